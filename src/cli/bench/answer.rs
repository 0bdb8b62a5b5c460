//! Answers in JSON.

use super::super::exit::Failure;
use super::super::output::findings_out;
use crate::finding::Findings;
use crate::report::visible;
use axum::body::Body;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;
use serde::Serialize;
use serde_json::{Value, json};

/// An answer with a body of a kind.
pub fn of_kind(status: StatusCode, kind: &'static str, body: impl Into<Body>) -> Response {
    let mut answer = Response::new(body.into());
    *answer.status_mut() = status;
    answer.headers_mut().insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    answer
}

/// A value in JSON.
pub fn value<T: Serialize>(status: StatusCode, value: &T) -> Response {
    serde_json::to_vec(value).map_or_else(
        |e| refused(StatusCode::INTERNAL_SERVER_ERROR, &format!("the answer has no form: {e}")),
        |bytes| of_kind(status, "application/json", bytes),
    )
}

/// A refusal with its reason.
pub fn refused(status: StatusCode, why: &str) -> Response {
    let body = json!({ "refused": why }).to_string();
    of_kind(status, "application/json", body)
}

/// Findings as the page reads them.
pub fn findings(found: &Findings) -> Value {
    serde_json::to_value(findings_out(found)).unwrap_or_default()
}

/// Why something failed, as the page reads it: in words, and with findings where there are some.
pub fn told(failure: &Failure) -> (String, Value) {
    match failure {
        Failure::Findings(found) => {
            ("the inputs have errors; nothing was written".to_owned(), findings(found))
        }
        Failure::Stopped => ("stopped before there was anything to show".to_owned(), Value::Null),
        other => {
            (other.to_string().lines().map(visible).collect::<Vec<_>>().join("\n"), Value::Null)
        }
    }
}

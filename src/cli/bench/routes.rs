//! What can be asked of the bench.
//!
//! | request | gives |
//! |---|---|
//! | `GET /`, `GET /NAME` | the page and its files |
//! | `GET /api/job` | the job's files with their versions, columns, keys of the rules |
//! | `POST /api/check` | findings for files as the page shows them; nothing is written |
//! | `PUT /api/file/NAME` | writes one of the job's files onto the version in `If-Match` |
//! | `POST /api/keep/NAME` | keeps a workbook's list as a CSV file; the workbook stays under another name |
//! | `POST /api/read/NAME` | the list in a workbook that is sent, in the form of a table, or whether a CSV file that is sent can be read as text; nothing is written |
//! | `GET`, `POST /api/run` | how the run stands; starts one |
//! | `POST /api/stop` | winds the run up |
//! | `GET /api/plan` | the plan as the page draws it |
//! | `GET /report/NAME` | a report; `?save` to save it |

use super::super::beside::Also;
use super::super::effort::{Effort, seconds};
use super::super::exit::{Failure, said};
use super::super::tables;
use super::answer::{of_kind, refused, told, value};
use super::files::{self, Written};
use super::run::Work;
use super::shown::Shown;
use super::state::Bench;
use super::{assets, draft, guard, run, shown};
use crate::cost::rates;
use crate::finding::Findings;
use crate::rules::reference;
use crate::table::{BOOK_ENDINGS, Column, decode_table, listed};
use axum::extract::rejection::JsonRejection;
use axum::extract::{DefaultBodyLimit, Path, Query, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::Response;
use axum::routing::{get, post, put};
use axum::{Json, Router, middleware};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::Arc;

type Here = State<Arc<Bench>>;

/// All of it, behind the guard and below a place of its own.
pub fn routes(bench: &Arc<Bench>) -> Router {
    let at = |path: &str| format!("/{}/{path}", bench.place);
    Router::new()
        .route(&at(""), get(async |State(bench): Here| assets::page(&bench)))
        .route(&at("{name}"), get(asset))
        .route(&at("api/job"), get(job))
        .route(&at("api/check"), post(check))
        .route(&at("api/file/{name}"), put(write))
        .route(&at("api/keep/{name}"), post(keep))
        .route(&at("api/read/{name}"), post(read))
        .route(&at("api/run"), get(run_told).post(run_start))
        .route(&at("api/stop"), post(run_stop))
        .route(&at("api/plan"), get(plan))
        .route(&at("report/{name}"), get(document))
        .fallback(async || refused(StatusCode::NOT_FOUND, "there is nothing of that name"))
        .layer(DefaultBodyLimit::max(guard::LARGEST))
        .layer(middleware::from_fn_with_state(Arc::clone(bench), guard::guard))
        .with_state(Arc::clone(bench))
}

/// Work that reads files or computes, away from the threads that answer.
async fn apart<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Failure> + Send + 'static,
) -> Result<T, Response> {
    let done = tokio::task::spawn_blocking(work).await;
    let done = done.unwrap_or_else(|_| Err(Failure::given_way("work")));
    done.map_err(|failure| {
        let (what, findings) = told(&failure);
        let status = match failure {
            Failure::Refused(_) | Failure::Usage(_) | Failure::Findings(_) => {
                StatusCode::UNPROCESSABLE_ENTITY
            }
            _ => StatusCode::INTERNAL_SERVER_ERROR,
        };
        value(status, &json!({ "refused": what, "findings": findings }))
    })
}

async fn asset(Path(name): Path<String>) -> Response {
    assets::asset(&name)
        .unwrap_or_else(|| refused(StatusCode::NOT_FOUND, "there is nothing of that name"))
}

async fn job(State(bench): Here) -> Result<Response, Response> {
    apart(move || {
        let mut list = Vec::new();
        for name in files::EDITED {
            list.push(file(&bench, name).unwrap_or_else(|failure| {
                json!({ "name": name, "text": null, "columns": columns(name),
                        "version": files::UNREAD, "workbook": null, "unread": why(&failure) })
            }));
        }
        let rules: Vec<Value> = reference()
            .into_iter()
            .map(|row| {
                json!({ "key": row.key, "default": row.default, "form": row.form,
                        "unit": row.unit, "range": row.range, "meaning": row.meaning,
                        "source": row.source })
            })
            .collect();
        Ok(json!({ "name": bench.name(), "files": list, "rules": rules, "rates": rates(),
                   "version": env!("CARGO_PKG_VERSION") }))
    })
    .await
    .map(|told| value(StatusCode::OK, &told))
}

/// One of the job's files as it is on disk.
fn file(bench: &Bench, name: &'static str) -> Result<Value, Failure> {
    let bytes = files::read(bench, name)?;
    let text = bytes.as_deref().map(String::from_utf8_lossy);
    let book = files::book(bench, name)?.map(|book| {
        let list = book.list.as_ref();
        json!({ "name": book.name, "version": book.version,
                "sheet": list.map(|list| &list.sheet), "rows": list.map(|list| &list.rows) })
    });
    let version = files::version(bytes.as_deref());
    Ok(json!({ "name": name, "text": text, "columns": columns(name), "version": version,
               "workbook": book }))
}

/// Why a file that is named beside it cannot be read.
fn why(failure: &Failure) -> String {
    match failure {
        Failure::File { source, .. } => said(source),
        other => other.to_string(),
    }
}

/// The keys of `rates.toml` in the form of those of the rules.
fn rates() -> Vec<Value> {
    let row = |key: String, default: String, form: &str, meaning: &str, source: &str| {
        json!({ "key": key, "default": default, "form": form, "unit": "", "range": "",
                "meaning": meaning, "source": source })
    };
    let word = "a short word without figures";
    let currency = row(
        "currency".to_owned(),
        String::new(),
        word,
        "the currency of all amounts, as in rolls.csv",
        "none is assumed",
    );
    let amounts = rates::KEYS.iter().map(|key| {
        let name = format!("[{}] {}", key.section, key.name);
        let source = "a placeholder, made up, no fact about any market";
        row(name, key.placeholder.cents(), "a plain number of 0 or more", key.meaning, source)
    });
    [currency].into_iter().chain(amounts).collect()
}

fn columns(name: &str) -> &'static [Column] {
    tables::named(name).map_or(&[], |form| form.columns)
}

/// The version that a change was made on.
fn read_version(headers: &HeaderMap) -> Option<String> {
    headers.get(header::IF_MATCH)?.to_str().ok().map(str::to_owned)
}

/// Tells that a change does not say what it was made on.
fn unversioned() -> Response {
    refused(StatusCode::PRECONDITION_REQUIRED, "say which version was read")
}

async fn check(
    State(bench): Here,
    draft: Result<Json<draft::Draft>, JsonRejection>,
) -> Result<Response, Response> {
    let Json(draft) = draft.map_err(|e| refused(e.status(), &e.body_text()))?;
    let told = apart(move || Ok(draft::check(&bench, &draft))).await?;
    Ok(value(StatusCode::OK, &told))
}

async fn write(
    State(bench): Here,
    Path(name): Path<String>,
    headers: HeaderMap,
    body: axum::body::Bytes,
) -> Result<Response, Response> {
    let Some(name) = files::edited(&name) else {
        return Err(refused(StatusCode::NOT_FOUND, "the job has no file of that name to change"));
    };
    let onto = read_version(&headers).ok_or_else(unversioned)?;
    let told = apart(move || files::write(&bench, name, body.to_vec(), &onto)).await?;
    Ok(written(told))
}

async fn keep(
    State(bench): Here,
    Path(name): Path<String>,
    headers: HeaderMap,
) -> Result<Response, Response> {
    let Some(name) = files::edited(&name) else {
        return Err(refused(StatusCode::NOT_FOUND, "the job has no list of that name"));
    };
    let onto = read_version(&headers).ok_or_else(unversioned)?;
    Ok(written(apart(move || files::keep(&bench, name, &onto)).await?))
}

/// The list in a workbook that is to be loaded in place of a table, such as `takeoff.xlsx`; of a CSV file whether
/// its bytes are text, which the command line asks of it as well.
async fn read(Path(name): Path<String>, body: axum::body::Bytes) -> Result<Response, Response> {
    if let Some(name) = files::edited(&name).filter(|name| tables::named(name).is_some()) {
        let text = apart(move || {
            let mut found = Findings::new();
            drop(decode_table(name, &body, &mut found));
            if found.has_errors() { Err(Failure::Findings(found)) } else { Ok(()) }
        });
        text.await?;
        return Ok(value(StatusCode::OK, &json!({})));
    }
    let named = tables::named(&name).filter(|_| is_book(&name));
    let Some(form) = named else {
        return Err(refused(
            StatusCode::NOT_FOUND,
            "only .csv, .xlsx and .ods files can be loaded",
        ));
    };
    let told = apart(move || {
        let (list, found) = listed(&name, &body, form.columns);
        list.ok_or(Failure::Findings(found))
    });
    let list = told.await?;
    Ok(value(StatusCode::OK, &json!({ "sheet": list.sheet, "rows": list.rows })))
}

/// Whether a name ends like a workbook's.
fn is_book(name: &str) -> bool {
    let ending = name.rsplit_once('.').map_or("", |(_, ending)| ending);
    BOOK_ENDINGS.contains(&ending)
}

fn written(told: Written) -> Response {
    match told {
        Written::Done(version) => value(StatusCode::OK, &json!({ "version": version })),
        Written::Changed => refused(
            StatusCode::PRECONDITION_FAILED,
            "another window or program changed the file since this page read it, so nothing was written",
        ),
    }
}

async fn run_told(State(bench): Here) -> Result<Response, Response> {
    let told = apart(move || {
        shown::look_again(&bench);
        Ok(run_and_plan(&bench))
    });
    Ok(value(StatusCode::OK, &told.await?))
}

/// How the run stands, from which files the plan that is shown was made, and its reports, and the
/// options compared last.
fn run_and_plan(bench: &Bench) -> Value {
    let mut told = bench.run().told();
    let shown = bench.shown();
    told["plan"] = json!(shown.as_deref().map(|shown| &shown.inputs));
    let names = |shown: &Shown| shown.documents.iter().map(|d| d.name).collect::<Vec<_>>();
    told["reports"] = json!(shown.as_deref().map(names));
    told["folder"] = json!(shown.as_deref().map(|shown| &shown.folder));
    told["digest"] = json!(shown.as_deref().map(|shown| &shown.digest));
    // While a run writes, nobody asks what lies there.
    let still = !bench.run().runs();
    told["elsewhere"] =
        json!(still && shown.as_deref().is_some_and(|shown| shown.elsewhere(bench)));
    told["options"] = bench.compared().clone();
    told
}

/// Hours rather than days.
const MOST_TIMES: u64 = 1000;

#[derive(Deserialize)]
struct Asked {
    seconds: Option<String>,
    /// How many times the usual work the search may do.
    times: Option<u64>,
    /// Whether options are compared instead of a plan made.
    #[serde(default)]
    options: bool,
    /// Whether the plan goes on from an earlier one by what `done.csv` reports.
    #[serde(default)]
    go_on: bool,
    #[serde(default)]
    also: Vec<Also>,
    /// The versions of all files that the page has read.
    #[serde(default)]
    seen: Option<BTreeMap<String, String>>,
}

async fn run_start(
    State(bench): Here,
    asked: Result<Json<Asked>, JsonRejection>,
) -> Result<Response, Response> {
    let Json(asked) = asked.map_err(|e| refused(e.status(), &e.body_text()))?;
    let wrong = |why: String| refused(StatusCode::UNPROCESSABLE_ENTITY, &format!("seconds {why}"));
    let limit = match asked.seconds.as_deref().map(str::trim) {
        None | Some("") => bench.effort.seconds,
        Some(text) => Some(seconds(text).map_err(wrong)?),
    };
    let times = asked.times.unwrap_or(1);
    if !(1..=MOST_TIMES).contains(&times) {
        let why = format!("times must be 1 to {MOST_TIMES}");
        return Err(refused(StatusCode::UNPROCESSABLE_ENTITY, &why));
    }
    if let Some(seen) = asked.seen {
        let own = Arc::clone(&bench);
        let changed = apart(move || Ok(files::changed(&own, &seen))).await?;
        if !changed.is_empty() {
            let names = changed.join(", ");
            return Err(refused(
                StatusCode::PRECONDITION_FAILED,
                &format!(
                    "changed outside this page since it was read, so nothing was run: {names}"
                ),
            ));
        }
    }
    let effort = Effort { seconds: limit, ..bench.effort }.times(times);
    let what = match (asked.options, asked.go_on) {
        (true, _) => Work::Options,
        (_, true) => Work::GoOn,
        _ => Work::Plan(asked.also),
    };
    let begun = run::start(&bench, effort, what)
        .map_err(|failure| refused(StatusCode::INTERNAL_SERVER_ERROR, &failure.to_string()))?;
    if begun {
        Ok(value(StatusCode::ACCEPTED, &run_and_plan(&bench)))
    } else {
        Err(refused(StatusCode::CONFLICT, "a run is going on: stop it or wait for it"))
    }
}

async fn run_stop(State(bench): Here) -> Response {
    bench.run().stop();
    value(StatusCode::OK, &run_and_plan(&bench))
}

async fn plan(State(bench): Here) -> Response {
    match bench.shown() {
        Some(shown) => of_kind(StatusCode::OK, "application/json", shown.view.clone()),
        None => refused(StatusCode::NOT_FOUND, "there is no plan for the job as it is; run one"),
    }
}

/// What a report, opened in the browser, may load: nothing but its own styles and drawings.
const REPORT: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; \
                      base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox";

async fn document(
    State(bench): Here,
    Path(name): Path<String>,
    Query(how): Query<BTreeMap<String, String>>,
) -> Response {
    let shown = bench.shown();
    let Some(document) = shown.as_deref().and_then(|shown| shown.document(&name)) else {
        return refused(StatusCode::NOT_FOUND, "there is no report of that name; run a plan");
    };
    let ending = document.name.rsplit_once('.').map_or("", |(_, ending)| ending);
    let kind = match ending {
        "html" => "text/html; charset=utf-8",
        "csv" => "text/csv; charset=utf-8",
        "json" => "application/json",
        "svg" => "image/svg+xml",
        "txt" => "text/plain; charset=utf-8",
        "pdf" => "application/pdf",
        "xlsx" => "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        _ => "application/octet-stream",
    };
    let mut answer = of_kind(StatusCode::OK, kind, document.bytes.clone());
    let headers = answer.headers_mut();
    headers.insert(header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(REPORT));
    if how.contains_key("save") {
        let saved = format!("attachment; filename=\"{}\"", document.name);
        if let Ok(saved) = HeaderValue::try_from(saved) {
            headers.insert(header::CONTENT_DISPOSITION, saved);
        }
    }
    answer
}

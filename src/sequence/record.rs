//! Open-stacks instances as files: an array (or one object) of
//! `{name, customers, products, matrix, published}`, where `matrix` has one text of `0` and `1`
//! for each customer and one character for each product.

use super::stacks::Instance;
use crate::finding::codes::sequence as codes;
use crate::finding::{Finding, Findings, Place};
use serde::Deserialize;
use serde_json::Value;

/// The most customers or products a file may give.
const LIMIT: usize = 100_000;

#[derive(Deserialize)]
struct Record {
    name: String,
    customers: usize,
    products: usize,
    matrix: Vec<String>,
    published: Option<Published>,
}

#[derive(Deserialize)]
struct Published {
    value: Option<usize>,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum File {
    Many(Vec<Value>),
    One(Value),
}

/// Reads a file of instances; the list is empty where anything is wrong.
#[must_use]
pub fn read(file: &str, bytes: &[u8]) -> (Vec<Instance>, Findings) {
    let mut findings = Findings::new();
    // The untagged form loses the place of an error, so the syntax is checked by itself first.
    if let Err(error) = serde_json::from_slice::<serde::de::IgnoredAny>(bytes) {
        let place =
            Place { column: Some(error.column() as u64), ..Place::line(file, error.line() as u64) };
        findings.push(Finding::new(
            &codes::NO_JSON,
            place,
            format!("this is not valid JSON: {error}"),
            "mend the file at that place, or write it out again from where it came",
        ));
        return (Vec::new(), findings);
    }
    let entries = match serde_json::from_slice(bytes) {
        Ok(File::Many(entries)) => entries,
        Ok(File::One(entry)) => vec![entry],
        Err(_) => Vec::new(),
    };
    if entries.is_empty() {
        findings.push(Finding::new(
            &codes::NO_INSTANCE,
            Place::file(file),
            "the file holds no instance",
            "put at least one instance into the list",
        ));
    }
    let mut instances = Vec::with_capacity(entries.len());
    for (entry, number) in entries.into_iter().zip(1_usize..) {
        let name = entry.get("name").and_then(Value::as_str).map(str::to_owned);
        match serde_json::from_value(entry) {
            Ok(record) => instances.push(checked(file, record, &mut findings)),
            Err(why) => {
                let which = name.unwrap_or_else(|| format!("entry {number}"));
                findings.push(Finding::new(
                    &codes::NO_INSTANCE,
                    Place::file(file).field(which, None),
                    format!("entry {number} cannot be read: {why}"),
                    "give name (text), customers and products (whole numbers) and matrix (a list of texts)",
                ));
            }
        }
    }
    if findings.has_errors() { (Vec::new(), findings) } else { (instances, findings) }
}

fn checked(file: &str, record: Record, findings: &mut Findings) -> Instance {
    let Record { name, customers, products, matrix, published } = record;
    let mut wrong = |field: &str, what: String, remedy: &str| {
        let place = Place::file(file).field(format!("{name}: {field}"), None);
        findings.push(Finding::new(&codes::BAD_MATRIX, place, what, remedy));
    };
    if customers == 0 || products == 0 || customers > LIMIT || products > LIMIT {
        let what = format!("there are {customers} customers and {products} products");
        wrong("customers", what, "both must lie between 1 and 100,000");
    }
    if matrix.len() != customers {
        let what = format!("{} rows stand for {customers} customers", matrix.len());
        wrong("matrix", what, "give one text for each customer");
    }
    let mut wants = Vec::with_capacity(matrix.len());
    for (number, row) in matrix.iter().enumerate() {
        if row.len() != products || !row.bytes().all(|b| matches!(b, b'0' | b'1')) {
            let what = format!("row {} is not {products} characters of 0 and 1", number + 1);
            wrong("matrix", what, "write 1 where the customer wants the product, else 0");
        }
        let wanted = row.bytes().enumerate().filter(|&(_, b)| b == b'1').map(|(at, _)| at);
        wants.push(wanted.collect());
    }
    let published = published.and_then(|p| p.value);
    Instance { name, products, wants, published }
}

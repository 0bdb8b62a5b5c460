//! Quality of answers on published sets: `cargo bench --bench quality -- FAMILY [NAME PART]`.
//!
//! One file a family; each prints a table, worst first where that helps. Data is read from the
//! folder `shared/data` beside the project; a family whose data is missing says so.

mod alternating;
mod augmented;
mod choose;
mod free;
mod hollows;
mod one;
mod rolls;
mod shapes;
mod shared;
mod shelf;
mod stacks;
mod straight;

use std::process::ExitCode;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).filter(|word| word != "--bench").collect();
    let part = words.get(1).map_or("", String::as_str);
    let ran = match words.first().map(String::as_str) {
        Some("choose") => choose::run(part, words.get(2..).unwrap_or_default()),
        Some("one") => one::run(part),
        Some("straight") => straight::run(part),
        Some("rolls") => rolls::run(part),
        Some("shapes") => shapes::run(part),
        Some(family @ ("free" | "strip")) => free::run(family, part),
        Some("shelf") => shelf::run(),
        Some("stacks") => stacks::run(part),
        None => one::run(""),
        Some(other) => {
            shared::say(&format!("no family is called '{other}'"));
            return ExitCode::FAILURE;
        }
    };
    if ran { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

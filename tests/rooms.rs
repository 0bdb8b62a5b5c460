//! The house's own rules, kept by machine: which room may know which, and where printing, clocks
//! and hash maps may stand.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use std::fs;
use std::path::{Path, PathBuf};

/// Rooms in the order of the arrow. A room knows only rooms of smaller rank.
const RANK: &[(&str, u32)] = &[
    ("units", 0),
    ("geometry", 1),
    ("cutting", 2),
    ("finding", 3),
    ("table", 4),
    ("standards", 5),
    ("rules", 5),
    ("takeoff", 6),
    ("stock", 6),
    ("pattern", 7),
    ("demand", 8),
    ("measured", 8),
    ("nest", 9),
    ("sequence", 9),
    ("plan", 10),
    ("done", 11),
    ("audit", 11),
    ("cost", 12),
    ("forecast", 13),
    ("compare", 14),
    ("report", 15),
    ("shelf", 15),
    ("cli", 16),
];

/// The engine must not know these, though they stand before it.
const HIDDEN_FROM_NEST: &[&str] =
    &["table", "standards", "rules", "takeoff", "stock", "pattern", "demand", "measured"];

/// A rule may be a pipe size (`[elbow] one_piece_up_to`), which the tables turn into a diameter;
/// the takeoff is checked against the stock.
const ALLOWED_BESIDE: &[(&str, &str)] = &[("rules", "standards"), ("takeoff", "stock")];

fn rank(room: &str) -> Option<u32> {
    RANK.iter().find(|(name, _)| *name == room).map(|(_, rank)| *rank)
}

fn files_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a readable folder") {
        let path = entry.expect("a readable entry").path();
        if path.is_dir() {
            found.extend(files_below(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn sources() -> Vec<(String, PathBuf, String)> {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    files_below(&src)
        .into_iter()
        .map(|path| {
            let inside = path.strip_prefix(&src).expect("below src");
            let room = inside.components().next().expect("a name").as_os_str();
            let room = room.to_string_lossy().trim_end_matches(".rs").to_owned();
            let text = fs::read_to_string(&path).expect("UTF-8 source");
            (room, path, text)
        })
        .collect()
}

/// Names of rooms that a source text refers to through `crate::`.
fn rooms_named(text: &str) -> Vec<String> {
    let mut named = Vec::new();
    for line in text.lines() {
        let code = line.split("//").next().unwrap_or("");
        for part in code.split("crate::").skip(1) {
            let words: Vec<String> = if let Some(group) = part.strip_prefix('{') {
                group.split(',').map(str::trim).map(str::to_owned).collect()
            } else {
                vec![part.to_owned()]
            };
            for word in words {
                let name: String =
                    word.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                named.push(name);
            }
        }
    }
    named
}

#[test]
fn no_arrow_runs_back() {
    let mut checked = 0;
    let mut wrong = Vec::new();
    for (room, path, text) in sources() {
        if room == "lib" || room == "main" {
            continue;
        }
        let own = rank(&room).unwrap_or_else(|| panic!("room `{room}` has no rank"));
        for named in rooms_named(&text) {
            let Some(other) = rank(&named) else { continue };
            checked += 1;
            let sideways = ALLOWED_BESIDE.contains(&(room.as_str(), named.as_str()));
            let back = named != room && other >= own && !sideways;
            let hidden = room == "nest" && HIDDEN_FROM_NEST.contains(&named.as_str());
            let witness = room == "audit" && named == "nest";
            if back || hidden || witness {
                wrong.push(format!("{}: {room} -> {named}", path.display()));
            }
        }
    }
    assert!(checked > 20, "only {checked} arrows were seen: the reader is broken");
    assert!(wrong.is_empty(), "arrows that run back:\n{}", wrong.join("\n"));
}

#[test]
fn clocks_and_hash_maps_stay_out_of_the_engine() {
    let words = ["HashMap", "HashSet", "std::time", "Instant::", "SystemTime", "thread_rng"];
    let mut seen = 0;
    for (room, path, text) in sources() {
        if room == "cli" {
            continue;
        }
        seen += 1;
        for word in words {
            assert!(!text.contains(word), "{} holds {word}", path.display());
        }
    }
    assert!(seen > 20, "only {seen} files were seen");
}

#[test]
fn only_the_command_line_prints() {
    for (room, path, text) in sources() {
        if room == "cli" {
            continue;
        }
        for (number, line) in text.lines().enumerate() {
            let code = line.trim_start();
            let print = ["println!", "print!", "eprintln!", "eprint!"];
            let prints = print.iter().any(|p| code.starts_with(p));
            assert!(!prints, "{}:{} prints", path.display(), number + 1);
        }
    }
}

#[test]
fn main_stays_small() {
    let main = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/main.rs");
    let lines = fs::read_to_string(main).expect("main.rs").lines().count();
    assert!(lines < 30, "main.rs has {lines} lines");
}

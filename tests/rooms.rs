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

/// A part of a source text, as far as paths are concerned.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Token<'t> {
    Word(&'t str),
    /// The two colons of a path.
    Path,
    Sign(char),
}

/// Where a comment, a string or a sign in quotes at the text's begin ends; `None` where none begins there.
fn silent(text: &str) -> Option<usize> {
    let until = |from: usize, end: &str| {
        text.get(from..)
            .and_then(|rest| rest.find(end))
            .map_or(text.len(), |at| from + at + end.len())
    };
    if text.starts_with("//") {
        return Some(until(2, "\n"));
    }
    if text.starts_with("/*") {
        return Some(until(2, "*/"));
    }
    let raw = text.strip_prefix('b').unwrap_or(text).strip_prefix('r');
    if let Some(raw) = raw {
        let fence = raw.len() - raw.trim_start_matches('#').len();
        if raw.get(fence..).is_some_and(|rest| rest.starts_with('"')) {
            let end = format!("\"{}", "#".repeat(fence));
            return Some(until(text.len() - raw.len() + fence + 1, &end));
        }
    }
    if text.starts_with('"') {
        let mut escaped = false;
        let end = text.char_indices().skip(1).find(|(_, c)| {
            let ends = *c == '"' && !escaped;
            escaped = *c == '\\' && !escaped;
            ends
        });
        return Some(end.map_or(text.len(), |(at, _)| at + 1));
    }
    // A sign in quotes, not a lifetime.
    let rest = text.strip_prefix('\'')?;
    if rest.starts_with('\\') {
        return Some(until(3, "'"));
    }
    let first = rest.chars().next()?.len_utf8();
    rest.get(first..)?.starts_with('\'').then_some(first + 2)
}

fn tokens(text: &str) -> Vec<Token<'_>> {
    let mut found = Vec::new();
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let letter = |c: char| c.is_alphanumeric() || c == '_';
        let end = if let Some(end) = silent(rest) {
            end
        } else if letter(first) {
            let end = rest.find(|c| !letter(c)).unwrap_or(rest.len());
            found.push(Token::Word(&rest[..end]));
            end
        } else if rest.starts_with("::") {
            found.push(Token::Path);
            2
        } else {
            if !first.is_whitespace() {
                found.push(Token::Sign(first));
            }
            first.len_utf8()
        };
        rest = &rest[end..];
    }
    found
}

/// Reads on in a path that has come to so many modules below the crate's root; gives where it stops. What
/// stands right below the root is a room.
fn follow(tokens: &[Token<'_>], mut at: usize, mut depth: usize, named: &mut Vec<String>) -> usize {
    loop {
        match tokens.get(at) {
            Some(Token::Word("self")) => {}
            Some(Token::Word("super")) => depth = depth.saturating_sub(1),
            Some(Token::Word(word)) => {
                if depth == 0 {
                    named.push((*word).to_owned());
                }
                return at + 1;
            }
            Some(Token::Sign('*')) => {
                if depth == 0 {
                    named.push("*".to_owned());
                }
                return at + 1;
            }
            Some(Token::Sign('{')) => return group(tokens, at + 1, depth, named),
            _ => return at,
        }
        if tokens.get(at + 1) != Some(&Token::Path) {
            return at + 1;
        }
        at += 2;
    }
}

/// The paths between braces that all begin at so many modules below the root; gives where it ends.
fn group(tokens: &[Token<'_>], mut at: usize, depth: usize, named: &mut Vec<String>) -> usize {
    loop {
        at = follow(tokens, at, depth, named);
        let mut open = 0;
        loop {
            match tokens.get(at) {
                None => return at,
                Some(Token::Sign('{')) => open += 1,
                Some(Token::Sign('}')) if open == 0 => return at + 1,
                Some(Token::Sign('}')) => open -= 1,
                Some(Token::Sign(',')) if open == 0 => break,
                _ => {}
            }
            at += 1;
        }
        at += 1;
    }
}

/// Names of rooms that a source text refers to through `crate::` and through `super::`, where its module
/// lies so many below the crate's root.
fn rooms_named(text: &str, depth: usize) -> Vec<String> {
    let tokens = tokens(text);
    let mut named = Vec::new();
    // For every brace that is open, whether a module began there.
    let mut open: Vec<bool> = Vec::new();
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        let before = |back: usize| at.checked_sub(back).and_then(|at| tokens.get(at));
        match token {
            Token::Sign('{') => {
                open.push(before(2) == Some(&Token::Word("mod")));
            }
            Token::Sign('}') => {
                open.pop();
            }
            Token::Word("crate" | "super" | "self")
                if before(1) != Some(&Token::Path) && tokens.get(at + 1) == Some(&Token::Path) =>
            {
                let inside = depth + open.iter().filter(|module| **module).count();
                let (from, depth) = match token {
                    Token::Word("crate") => (at + 2, 0),
                    _ => (at, inside),
                };
                at = follow(&tokens, from, depth, &mut named);
                continue;
            }
            _ => {}
        }
        at += 1;
    }
    named
}

/// How many modules below the crate's root a file's module lies.
fn depth_of(path: &Path) -> usize {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let inside = path.strip_prefix(&src).expect("below src");
    let own = usize::from(!inside.ends_with("mod.rs"));
    inside.components().count() - 1 + own
}

/// Whether a room may not know another.
fn runs_back(room: &str, named: &str) -> bool {
    // All of the crate at once may be any room.
    if named == "*" {
        return true;
    }
    let (Some(own), Some(other)) = (rank(room), rank(named)) else { return false };
    let sideways = ALLOWED_BESIDE.contains(&(room, named));
    let back = named != room && other >= own && !sideways;
    let hidden = room == "nest" && HIDDEN_FROM_NEST.contains(&named);
    let witness = room == "audit" && named == "nest";
    back || hidden || witness
}

#[test]
fn no_arrow_runs_back() {
    let (mut checked, mut upwards) = (0, 0);
    let mut wrong = Vec::new();
    for (room, path, text) in sources() {
        if room == "lib" || room == "main" {
            continue;
        }
        assert!(rank(&room).is_some(), "room `{room}` has no rank");
        let depth = depth_of(&path);
        upwards += usize::from(text.contains("super::super::"));
        for named in rooms_named(&text, depth) {
            checked += usize::from(rank(&named).is_some());
            if runs_back(&room, &named) {
                wrong.push(format!("{}: {room} -> {named}", path.display()));
            }
        }
    }
    assert!(checked > 1000, "only {checked} arrows were seen: the reader is broken");
    assert!(upwards > 0, "no file goes up by `super`, so that was not tried");
    assert!(wrong.is_empty(), "arrows that run back:\n{}", wrong.join("\n"));
}

/// What the test above could miss: groups over lines, ways up by `super`, names in comments and strings.
#[test]
fn arrows_are_seen_however_they_are_written() {
    let cases: &[(&str, usize, &[&str])] = &[
        ("use crate::finding::Finding;", 2, &["finding"]),
        (
            "use crate::{\n    finding::{Finding, Place},\n    nest::solve,\n};",
            2,
            &["finding", "nest"],
        ),
        ("use crate::{cost::{self, Rates}, plan as made, units};", 1, &["cost", "plan", "units"]),
        ("use crate::\n    audit::verify;", 1, &["audit"]),
        ("use {crate::nest, super::super::audit::verify};", 2, &["nest", "audit"]),
        ("use super::super::nest;", 2, &["nest"]),
        ("use super::super::nest;", 3, &[]),
        ("use super::{super::{nest, plan::Plan}, own};", 2, &["nest", "plan"]),
        ("let a = super::super::nest::solve(x);", 2, &["nest"]),
        ("use self::super::super::nest;", 2, &["nest"]),
        ("mod tests { use super::super::nest; }", 1, &["nest"]),
        ("mod tests { use super::*; }\nuse super::nest;", 1, &["nest"]),
        ("fn a() { if b { c() } }\nmod d { fn e() { super::super::nest::f() } }", 1, &["nest"]),
        ("use super::*; pub(in crate::plan) struct A;", 2, &["plan"]),
        ("use crate::*;", 2, &["*"]),
        ("// crate::nest\n/* crate::nest */ let a = \"crate::nest\";", 1, &[]),
        (
            "let a = (r#\"crate::nest \"#, '\"', 'x', b\"\\\"crate::nest\"); crate::plan::b()",
            1,
            &["plan"],
        ),
        ("fn a<'a>(b: &'a str) -> &'a str { crate::plan::b(b) }", 1, &["plan"]),
        ("pub(crate) fn a() {} pub(super) fn b() {}", 1, &[]),
    ];
    for (text, depth, wanted) in cases {
        assert_eq!(rooms_named(text, *depth), *wanted, "{text}");
    }
    for (room, named) in
        [("units", "nest"), ("nest", "plan"), ("nest", "takeoff"), ("audit", "nest"), ("plan", "*")]
    {
        assert!(runs_back(room, named), "{room} -> {named}");
    }
    for (room, named) in
        [("plan", "nest"), ("takeoff", "stock"), ("nest", "nest"), ("cli", "report")]
    {
        assert!(!runs_back(room, named), "{room} -> {named}");
    }
    let at = |path: &str| depth_of(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(path));
    assert_eq!(["units/mod.rs", "units/text.rs", "nest/one/mod.rs"].map(at), [1, 2, 2]);
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

/// Whether a text prints, outside comments and strings.
fn prints(text: &str) -> bool {
    let printing =
        |word: &Token<'_>| matches!(word, Token::Word("println" | "print" | "eprintln" | "eprint"));
    tokens(text).windows(2).any(|two| printing(&two[0]) && two[1] == Token::Sign('!'))
}

#[test]
fn only_the_command_line_prints() {
    assert!(prints("if x { println!() }") && !prints("// println!()\n\"eprint!\"; reprint!(x)"));
    for (room, path, text) in sources() {
        assert!(room == "cli" || !prints(&text), "{} prints", path.display());
    }
}

#[test]
fn main_stays_small() {
    let main = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/main.rs");
    let lines = fs::read_to_string(main).expect("main.rs").lines().count();
    assert!(lines < 30, "main.rs has {lines} lines");
}

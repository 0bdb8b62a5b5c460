//! The demo job: its summary is the one that stands beside it, whatever the number of threads, and
//! it is quick.
//!
//! After a change that is meant to change it: `UPDATE_EXPECTED=1 cargo test --test demo`, and look
//! at the difference.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use assert_cmd::Command;
use std::fs;
use std::path::{Path, PathBuf};

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/vellmoor")
}

/// Plans the demo into a folder of its own; gives what the terminal shows.
fn plan(out: &Path, threads: &str) -> String {
    let output = Command::cargo_bin("rollwright")
        .expect("the program")
        .args(["plan", "--threads", threads, "--out"])
        .arg(out)
        .arg(demo())
        .output()
        .expect("a run");
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{errors}");
    String::from_utf8(output.stdout).expect("UTF-8")
}

#[test]
fn the_summary_is_the_expected_one_on_any_number_of_threads() {
    let (one, two) =
        (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let summary = plan(one.path(), "1");
    assert_eq!(plan(two.path(), "2"), summary);
    let mut files = 0;
    for entry in fs::read_dir(one.path()).expect("a folder") {
        let name = entry.expect("an entry").file_name();
        let bytes = |folder: &Path| fs::read(folder.join(&name)).expect("a file");
        assert!(bytes(one.path()) == bytes(two.path()), "{} differs", name.display());
        files += 1;
    }
    assert_eq!(files, 14);
    let expected = demo().join("expected-summary.txt");
    if std::env::var_os("UPDATE_EXPECTED").is_some() {
        fs::write(&expected, &summary).expect("written");
    }
    let written = fs::read_to_string(&expected).expect("the expected summary");
    assert_eq!(summary, written, "see the head of tests/demo.rs");
}

/// Where nothing was cut, the rolls that were bought are enough for what they were bought for, however they
/// are filled this time.
#[test]
fn going_on_from_nothing_done_buys_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let job = folder.path().join("job");
    fs::create_dir(&job).expect("a folder");
    for entry in fs::read_dir(demo()).expect("a folder") {
        let entry = entry.expect("an entry");
        if entry.path().extension().is_some_and(|kind| kind == "csv" || kind == "toml")
            && entry.file_name() != "offcuts.csv"
        {
            fs::copy(entry.path(), job.join(entry.file_name())).expect("copied");
        }
    }
    let done = folder.path().join("done.csv");
    fs::write(&done, "ticket,what\n").expect("written");
    let run = |words: &[&Path]| {
        let output = Command::cargo_bin("rollwright")
            .expect("the program")
            .arg("plan")
            .arg(&job)
            .args(words)
            .output()
            .expect("a run");
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).expect("UTF-8")
    };
    let [first, second] = ["first", "second"].map(|name| folder.path().join(name));
    let said = run(&[Path::new("--out"), &first]);
    assert!(said.contains("buy 64 rolls of B10-1500"), "{said}");
    let from = first.join("plan.json");
    let words = ["--from", "--done", "--out"].map(Path::new);
    let said = run(&[words[0], &from, words[1], &done, words[2], &second]);
    assert!(said.contains("rolls to buy beyond those on hand: 0"), "{said}");
    // Nor where next to no work is allowed: what is left of the plan before is one for the rest.
    let little = ["--work", "1"].map(Path::new);
    let said = run(&[&little[..], &[words[0], &from, words[1], &done, words[2], &second]].concat());
    assert!(said.contains("rolls to buy beyond those on hand: 0"), "{said}");
}

#[test]
fn the_demo_is_of_real_size() {
    // Issue 2: at least 150 lines, three areas, NPS 1 to NPS 24, builds in 5 and 10 mm, two roll
    // widths, through and net lengths, elbows small and large, ends that are named.
    let text = fs::read_to_string(demo().join("takeoff.csv")).expect("a takeoff");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headings = reader.headers().expect("headings").clone();
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    let column = |name: &str| {
        let at = headings.iter().position(|h| h == name).expect("a column");
        rows.iter().map(move |row| row[at].to_owned()).collect::<Vec<_>>()
    };
    let distinct = |name: &str| {
        let mut values = column(name);
        values.sort();
        values.dedup();
        values
    };
    assert!(rows.len() >= 150, "{} lines", rows.len());
    assert_eq!(distinct("area").len(), 3);
    assert_eq!(distinct("item").len(), rows.len());
    let sizes = distinct("size");
    assert!(sizes.contains(&"NPS 1".to_owned()) && sizes.contains(&"NPS 24".to_owned()));
    assert!(distinct("build").iter().any(|b| b.contains('5')));
    assert!(distinct("measured").contains(&"through".to_owned()));
    assert!(distinct("ends").iter().any(|e| e.contains('|')));
    assert!(distinct("radius").contains(&"short".to_owned()));
    let rolls = fs::read_to_string(demo().join("rolls.csv")).expect("rolls");
    assert!(rolls.contains(",1500,") && rolls.contains(",1000,"));
}

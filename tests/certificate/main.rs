//! Bounds are checked by another program: `check.py` recomputes them from instance and
//! certificate in Python's whole numbers. Skipped with a message where there is no `python3`.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

fn told(text: &str) {
    // Past the test runner's capture.
    let _ = writeln!(std::io::stderr(), "{text}");
}

fn python() -> bool {
    let there = Command::new("python3").arg("--version").output().is_ok_and(|o| o.status.success());
    if !there {
        told("SKIPPED: there is no python3 to check certificates with");
    }
    there
}

/// Nests a file and gives its certificates' path.
fn certified(folder: &Path, instances: &Path) -> PathBuf {
    let out = folder.join("certificates.json");
    let status = Command::new(env!("CARGO_BIN_EXE_rollwright"))
        .args(["nest", "--json", "--seconds", "60", "--work", "1000000", "--certificate"])
        .arg(&out)
        .arg(instances)
        .output()
        .expect("the program runs");
    assert!(status.status.success(), "{}", String::from_utf8_lossy(&status.stderr));
    out
}

/// What the script prints last, and whether it found nothing wrong.
fn verdict(instances: &Path, certificates: &Path) -> (String, bool) {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/certificate/check.py");
    let output = Command::new("python3")
        .arg(script)
        .args([instances, certificates])
        .output()
        .expect("python3 runs");
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    (text, output.status.success())
}

/// Rolls of 48 x 100 (units of 10 mm, with a gap) and of 70 x 70, four sizes, two stages; rolls of
/// 100 x 110 in three stages, whose programme is above every bound for all packings; two widths of rolls in any number
/// of stages, with pieces too wide to lie side by side; squares of more than half a roll laid free; and
/// wedges, whose bound once was rounded up to whole millimetres, though outlines may lie in one
/// another at any length: the area bound is 3 x 1435 / 100 = 43.05 mm; and boxes given as outlines, which are
/// rectangles to the program: two of 40 mm lie side by side, so three of 70 mm take 105 mm of both lanes, which
/// goes up to whole steps of 10 mm.
const OWN: &str = r#"[
 {"name": "rolls", "objective": "rolls",
  "rolls": [{"id": "A", "width": 480, "length": 1000, "price": 1, "available": null}],
  "pieces": [
   {"id": "a", "width": 210, "length": 310, "quantity": 17, "turns": [0]},
   {"id": "b", "width": 130, "length": 270, "quantity": 23, "turns": [0, 90]},
   {"id": "c", "width": 90, "length": 450, "quantity": 9, "turns": [0]},
   {"id": "d", "width": 340, "length": 120, "quantity": 14, "turns": [0, 90]}],
  "cutting": {"style": "straight", "stages": 2, "square_cut": 20, "edge_trim": 10, "gap": 5}},
 {"name": "price", "objective": "price",
  "rolls": [{"id": "A", "width": 480, "length": 1000, "price": 31.5, "available": 4},
            {"id": "B", "width": 700, "length": 700, "price": 33, "available": null}],
  "pieces": [
   {"id": "a", "width": 210, "length": 310, "quantity": 17, "turns": [0]},
   {"id": "b", "width": 130, "length": 270, "quantity": 23, "turns": [0, 90]},
   {"id": "c", "width": 90, "length": 450, "quantity": 9, "turns": [0]},
   {"id": "d", "width": 340, "length": 120, "quantity": 14, "turns": [0, 90]}],
  "cutting": {"style": "straight", "stages": 2}},
 {"name": "three", "objective": "rolls",
  "rolls": [{"id": "A", "width": 100, "length": 110, "price": 1, "available": null}],
  "pieces": [
   {"id": "a", "width": 34, "length": 42, "quantity": 6, "turns": [0]},
   {"id": "b", "width": 25, "length": 67, "quantity": 8, "turns": [0]},
   {"id": "c", "width": 39, "length": 70, "quantity": 14, "turns": [0]},
   {"id": "d", "width": 37, "length": 29, "quantity": 10, "turns": [0]}],
  "cutting": {"style": "straight", "stages": 3}},
 {"name": "any", "objective": "price",
  "rolls": [{"id": "A", "width": 100, "length": 400, "price": 10, "available": null},
            {"id": "B", "width": 135, "length": 400, "price": 14.5, "available": 3}],
  "pieces": [
   {"id": "a", "width": 62, "length": 51, "quantity": 31, "turns": [0]},
   {"id": "b", "width": 44, "length": 35, "quantity": 9, "turns": [0, 90]},
   {"id": "c", "width": 57, "length": 90, "quantity": 12, "turns": [0, 90]}],
  "cutting": {"style": "straight", "stages": null, "square_cut": 10, "gap": 2, "pull_limit": 200}},
 {"name": "free", "objective": "rolls",
  "rolls": [{"id": "A", "width": 100, "length": 100, "price": 1, "available": null}],
  "pieces": [
   {"id": "a", "width": 53, "length": 58, "quantity": 5, "turns": [0, 90]},
   {"id": "b", "width": 34, "length": 41, "quantity": 11, "turns": [0, 90]}],
  "cutting": {"style": "free"}},
 {"name": "wedges", "objective": "length",
  "rolls": [{"id": "A", "width": 100, "length": null}],
  "pieces": [{"id": "t", "outline": [[0, 0], [70, 0], [0, 41]], "quantity": 3, "turns": [0, 180]}],
  "cutting": {"style": "free"}},
 {"name": "boxes", "objective": "length",
  "rolls": [{"id": "A", "width": 100, "length": null}],
  "pieces": [{"id": "b", "outline": [[5, 0], [45, 0], [45, 30], [45, 70], [5, 70]], "quantity": 3, "turns": [0]}],
  "cutting": {"style": "free"}}
]"#;

#[test]
fn another_program_agrees_with_the_bounds_and_sees_wrong_ones() {
    if !python() {
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    let instances = folder.path().join("own.json");
    fs::write(&instances, OWN).expect("written");
    let certificates = certified(folder.path(), &instances);
    let (text, right) = verdict(&instances, &certificates);
    assert!(right, "{text}");
    assert!(text.contains("checked 7, unchecked 0, wrong 0"), "{text}");
    tampered_with(&instances, &certificates);
}

fn half(value: &mut serde_json::Value) {
    *value = (value.as_i64().expect("a number") / 2).into();
}

/// Tampers with certificates.
type Change = dyn Fn(&mut serde_json::Value);

/// The script itself is tested: bounds, worths and weights that are tampered with are seen.
fn tampered_with(instances: &Path, certificates: &Path) {
    let text = fs::read_to_string(certificates).expect("readable");
    let honest: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let bases: Vec<&str> = (0..6).filter_map(|at| honest[at]["basis"].as_str()).collect();
    let programme = "linear-programme";
    assert_eq!(bases, [programme, programme, programme, "lines", "dual-feasible", "area"]);
    assert_eq!(honest[6]["bound"], 110, "not the 105 that follows without steps");
    let tamper: [(&str, &Change); 7] = [
        ("rolls", &|all| all[0]["bound"] = 1000.into()),
        ("rolls", &|all| all[0]["prices"][1]["price"] = (-1).into()),
        ("rolls", &|all| half(&mut all[0]["most"][0]["worth"])),
        ("three", &|all| half(&mut all[2]["most"][0]["worth"])),
        ("any", &|all| half(&mut all[3]["most"][1]["worth"])),
        ("free", &|all| half(&mut all[4]["scales"]["across"][2][1])),
        ("boxes", &|all| all[6]["bound"] = 141.into()),
    ];
    for (name, change) in tamper {
        let mut all = honest.clone();
        change(&mut all);
        fs::write(certificates, all.to_string()).expect("written");
        let (text, right) = verdict(instances, certificates);
        assert!(!right && text.contains(&format!("WRONG {name}")), "{text}");
    }
}

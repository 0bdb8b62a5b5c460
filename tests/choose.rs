//! Letting the nest choose joints, as a user meets it: less blanket, pins, the audit, and no change
//! where it is not asked for.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use assert_cmd::Command;
use serde_json::Value;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

const ROLLS: &str = "roll,thickness,width,length,price,available\nB10,10,1500,50 m,310,\n";
const RULES: &str = "[turning]\nquarter_turns = true\n[table]\nstages = 2\n";

/// Twenty invented runs of two layers; `pinned` for all of them.
fn job(pinned: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let mut takeoff = String::from("item,kind,size,length,quantity,build,pinned\n");
    let sizes = ["NPS 2", "NPS 4", "NPS 6", "NPS 8"];
    for number in 0..20_usize {
        let size = sizes[number % 4];
        let length = 1_550 + 137 * number % 2_900;
        let _ = writeln!(takeoff, "P-{number},pipe,{size},{length},1,10+10,{pinned}");
    }
    for (name, text) in [("takeoff.csv", &takeoff[..]), ("rolls.csv", ROLLS), ("rules.toml", RULES)]
    {
        fs::write(folder.path().join(name), text).expect("a file written");
    }
    folder
}

fn run(words: &[&str], folder: &Path) -> std::process::Output {
    let mut command = Command::cargo_bin("rollwright").expect("the program");
    command.args(words).arg(folder).output().expect("a run")
}

fn plan(folder: &Path) -> Value {
    let bytes = fs::read(folder.join("out/plan.json")).expect("a plan");
    serde_json::from_slice(&bytes).expect("JSON")
}

fn audit(folder: &Path) -> Option<i32> {
    let mut command = Command::cargo_bin("rollwright").expect("the program");
    let plan = folder.join("out/plan.json");
    command.arg("audit").arg(folder).arg(plan).output().expect("a run").status.code()
}

#[test]
fn chosen_joints_save_blanket_and_pass_the_audit() {
    let folder = job("");
    let output = run(&["plan", "--choose", "--quiet", "--work", "400000"], folder.path());
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let chosen = plan(folder.path());
    let runs = chosen["choice"]["runs"].as_array().expect("runs");
    assert!(!runs.is_empty(), "nothing was chosen");
    assert_eq!(audit(folder.path()), Some(0));
    let further: i64 = runs.iter().map(|run| run["joints"].as_i64().expect("a count")).sum();
    assert!(further <= 0, "{further} joints more than specified");
    let summary = fs::read_to_string(folder.path().join("out/summary.txt")).expect("a summary");
    assert!(summary.contains("as specified"), "{summary}");
    // Another joint than the rules allow, and a record that hides a choice, do not stand.
    let mut hidden = chosen.clone();
    hidden["choice"]["runs"].as_array_mut().expect("runs").pop();
    let path = folder.path().join("out/plan.json");
    fs::write(&path, hidden.to_string()).expect("a file written");
    assert_eq!(audit(folder.path()), Some(3));
    let mut denied = chosen.clone();
    denied.as_object_mut().expect("a plan").remove("choice");
    fs::write(&path, denied.to_string()).expect("a file written");
    assert_eq!(audit(folder.path()), Some(3));
    fs::write(&path, chosen.to_string()).expect("a file written");
    assert_eq!(audit(folder.path()), Some(0));
}

#[test]
fn pinned_runs_and_jobs_that_do_not_ask_stay_as_specified() {
    let pinned = job("yes");
    assert!(
        run(&["plan", "--choose", "--quiet", "--work", "400000"], pinned.path()).status.success()
    );
    let with = plan(pinned.path());
    assert!(with.get("choice").is_none_or(|c| c["runs"].as_array().is_none_or(Vec::is_empty)));
    let plain = job("");
    assert!(run(&["plan", "--quiet", "--work", "400000"], plain.path()).status.success());
    let without = plan(plain.path());
    assert!(without.get("choice").is_none());
    assert_eq!(with["joints"], without["joints"]);
}

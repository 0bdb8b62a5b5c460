//! The shelf ledger under stress: many processes, kills at random moments, a full disk, files that
//! are no ledgers.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use rollwright::finding::Findings;
use rollwright::shelf::{Ledger, New, Restored, Sheets, ShelfError, Wanted};
use rollwright::units::Length;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

fn new(length_mm: i64) -> New {
    New {
        name: None,
        thickness: Length::from_mm(10),
        width: Length::from_mm(700),
        length: Length::from_mm(length_mm),
        place: "rack 2".to_owned(),
        batch: "B7".to_owned(),
    }
}

/// A ledger as its sheets tell it.
fn read_back(sheets: &Sheets) -> Result<Restored, Findings> {
    let mut findings = Findings::new();
    let on_shelf = Some(("offcuts.csv", sheets.on_shelf.as_slice()));
    let (history, bookings) =
        (("history.csv", &*sheets.history), ("bookings.csv", &*sheets.bookings));
    Restored::read(history, bookings, on_shelf, &mut findings).ok_or(findings)
}

fn on_shelf(path: &Path) -> usize {
    let ledger = Ledger::open(path).expect("a whole ledger");
    ledger.list(&Wanted::default()).expect("a readable ledger").len()
}

fn rollwright(ledger: &Path, words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_rollwright"));
    command.arg("shelf").arg(words[0]).arg(ledger).args(&words[1..]);
    command.stdout(Stdio::null()).stderr(Stdio::null());
    command
}

const FIFTY: [&str; 12] = [
    "add",
    "--thickness",
    "10",
    "--width",
    "600",
    "--length",
    "900",
    "--place",
    "rack 1",
    "--quantity",
    "50",
    "--new-place",
];

/// A small job, planned from an offcut that the shelf lent and one roll.
struct Planned {
    folder: tempfile::TempDir,
}

impl Planned {
    fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let planned = Self { folder };
        let job = planned.path("job");
        std::fs::create_dir(&job).expect("a folder");
        let write = |name: &str, text: &str| {
            std::fs::write(job.join(name), text).expect("a file");
        };
        write("takeoff.csv", "item,kind,size,length,quantity,build\nP-1,pipe,NPS 6,7 m,1,10+10\n");
        write("rolls.csv", "roll,thickness,width,length,price,available\nR,10,1500,20 m,400,\n");
        let mut ledger = Ledger::open(&planned.path("shelf.db")).expect("a new ledger");
        let wide = New { width: Length::from_mm(1500), ..new(1800) };
        ledger.add("2026-11-25", &[wide]).expect("one offcut");
        drop(ledger);
        let done = Command::new(env!("CARGO_BIN_EXE_rollwright"))
            .args(["shelf", "lend"])
            .args([planned.path("shelf.db"), planned.path("job")])
            .status()
            .expect("a process");
        assert!(done.success());
        let done = Command::new(env!("CARGO_BIN_EXE_rollwright"))
            .args(["plan", "--quiet"])
            .arg(planned.path("job"))
            .status()
            .expect("a process");
        assert!(done.success());
        planned
    }

    fn path(&self, name: &str) -> std::path::PathBuf {
        self.folder.path().join(name)
    }

    /// The command that books the plan into a ledger.
    fn book(&self, ledger: &Path) -> Command {
        let mut command = rollwright(ledger, &["book"]);
        command.args([self.path("job"), self.path("job/out/plan.json")]);
        command.args(["--place", "rack 9", "--new-place"]);
        command
    }
}

/// What lies on the shelf: (the lent offcut, offcuts kept from the plan).
fn state(path: &Path) -> (usize, usize) {
    let ledger = Ledger::open(path).expect("a whole ledger");
    let all = ledger.list(&Wanted::default()).expect("a readable ledger");
    let kept = all.iter().filter(|entry| entry.place == "rack 9").count();
    (all.len() - kept, kept)
}

#[test]
fn a_plan_is_booked_once_and_only_for_its_own_job() {
    let planned = Planned::new();
    let ledger = planned.path("shelf.db");
    assert_eq!(state(&ledger), (1, 0));
    assert!(planned.book(&ledger).status().expect("a process").success());
    let (lent, kept) = state(&ledger);
    assert_eq!(lent, 0, "the lent offcut was used");
    assert!(kept > 0, "something was left and kept");
    let again = planned.book(&ledger).stderr(Stdio::piped()).output().expect("a process");
    assert_eq!(again.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&again.stderr).contains("already"));
    assert_eq!(state(&ledger), (0, kept));

    let takeoff = planned.path("job/takeoff.csv");
    let text = std::fs::read_to_string(&takeoff).expect("a file").replace("7 m", "8 m");
    std::fs::write(&takeoff, text).expect("a file");
    let other = planned.book(&ledger).stderr(Stdio::piped()).output().expect("a process");
    assert_eq!(other.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&other.stderr).contains("not made from the files"));
    assert_eq!(state(&ledger), (0, kept));
}

/// Who holds a piece with its label finds the name that the shelf gives it, and where it is to lie.
#[test]
fn a_booking_tells_what_the_labels_say() {
    let planned = Planned::new();
    let ledger = planned.path("shelf.db");
    let done = Command::new(env!("CARGO_BIN_EXE_rollwright"))
        .args(["tickets", "--quiet"])
        .arg(planned.path("job"))
        .status()
        .expect("a process");
    assert!(done.success());
    let piped = |command: &mut Command| {
        let output = command.stdout(Stdio::piped()).stderr(Stdio::piped()).output().expect("a run");
        [output.stdout, output.stderr].map(|bytes| String::from_utf8_lossy(&bytes).into_owned())
    };
    let [booked, told] = piped(&mut planned.book(&ledger));
    let labels = std::fs::read_to_string(planned.path("job/out/labels.csv")).expect("labels");
    let mut reader = csv::Reader::from_reader(labels.as_bytes());
    let kept: Vec<(String, String, String)> = reader
        .records()
        .map(|row| row.expect("a row"))
        .filter(|row| row[1].contains(" left "))
        .map(|row| (row[1].to_owned(), row[3].to_owned(), row[4].to_owned()))
        .collect();
    assert!(kept.len() > 1, "{labels}");
    let lines: Vec<&str> = booked.lines().filter(|line| line.contains("kept:")).collect();
    assert_eq!(lines.len(), kept.len(), "{booked}");
    for (label, width, length) in &kept {
        let line = lines.iter().find(|line| line.contains(&format!(" {label} ")));
        let line = line.unwrap_or_else(|| panic!("{label} is not in\n{booked}"));
        let words: Vec<&str> = line.split_whitespace().collect();
        assert!(words.contains(&width.as_str()) && words.contains(&length.as_str()), "{line}");
        assert!(line.ends_with("rack 9"), "{line}");
    }
    assert!(
        told.contains("booked at `rack 9`; for what is put elsewhere: rollwright shelf move"),
        "{told}"
    );
    // The ticket has room for the place.
    let tickets = std::fs::read_to_string(planned.path("job/out/tickets.html")).expect("tickets");
    assert_eq!(tickets.matches(", lies at <span class=\"write\">").count(), kept.len());
}

/// The same order in another form, or planned with another seed, is booked once all the same; a second
/// cutting of it has to be said.
#[test]
fn another_plan_of_the_same_files_is_booked_only_when_asked_for() {
    let planned = Planned::new();
    let ledger = planned.path("shelf.db");
    std::fs::remove_file(planned.path("job/offcuts.csv")).expect("a file");
    let plan = |seed: &str| {
        let done = Command::new(env!("CARGO_BIN_EXE_rollwright"))
            .args(["plan", "--quiet", "--seed", seed])
            .arg(planned.path("job"))
            .status()
            .expect("a process");
        assert!(done.success());
    };
    plan("1");
    assert!(planned.book(&ledger).status().expect("a process").success());
    let first = state(&ledger);
    let path = planned.path("job/out/plan.json");
    let text = std::fs::read(&path).expect("a plan");
    let value: serde_json::Value = serde_json::from_slice(&text).expect("JSON");
    std::fs::write(&path, value.to_string()).expect("written in another form");
    let refused = || {
        let again = planned.book(&ledger).stderr(Stdio::piped()).output().expect("a process");
        let said = String::from_utf8_lossy(&again.stderr).into_owned();
        assert_eq!(again.status.code(), Some(1), "{said}");
        assert!(said.contains("L006") && said.contains("--again"), "{said}");
        assert_eq!(state(&ledger), first);
    };
    refused();
    plan("2");
    refused();
    assert!(planned.book(&ledger).arg("--again").status().expect("a process").success());
    assert_eq!(state(&ledger), (first.0, 2 * first.1));
    let again = planned.book(&ledger).arg("--again").status().expect("a process");
    assert_eq!(again.code(), Some(1), "one plan file is booked once");
    // A ledger restored from its sheets knows it still.
    let (backup, copy) = (planned.path("backup"), planned.path("copy.db"));
    for (words, file) in [("export", &ledger), ("import", &copy)] {
        let mut run = rollwright(file, &[words]);
        assert!(run.arg(&backup).status().expect("a process").success());
    }
    plan("3");
    assert_eq!(planned.book(&copy).status().expect("a process").code(), Some(1));
}

/// The folder's name, blanks in its rules and rates make no other order; a last release that is none makes none.
#[test]
fn a_copy_of_a_job_is_the_same_order() {
    let planned = Planned::new();
    let ledger = planned.path("shelf.db");
    std::fs::remove_file(planned.path("job/offcuts.csv")).expect("a file");
    let rules = "[joints]\nstagger = 80\n";
    let (rules_of, plan) = (planned.path("job/rules.toml"), planned.path("job/out/plan.json"));
    let make = |up_to: Option<u64>| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_rollwright"));
        command.args(["plan", "--quiet"]).arg(planned.path("job"));
        assert!(command.status().expect("a process").success());
        if let Some(up_to) = up_to {
            let text = std::fs::read(&plan).expect("a plan");
            let mut value: serde_json::Value = serde_json::from_slice(&text).expect("JSON");
            value["up_to"] = up_to.into();
            std::fs::write(&plan, value.to_string()).expect("written");
        }
    };
    std::fs::write(&rules_of, rules).expect("written");
    make(None);
    assert!(planned.book(&ledger).status().expect("a process").success());
    let first = state(&ledger);
    assert!(first.1 > 0);
    let refused = |what: &str| {
        let again = planned.book(&ledger).stderr(Stdio::piped()).output().expect("a process");
        let said = String::from_utf8_lossy(&again.stderr).into_owned();
        assert_eq!(again.status.code(), Some(1), "{what}: {said}");
        assert!(said.contains("L006") && said.contains("`job`"), "{what}: {said}");
        assert_eq!(state(&ledger), first, "{what}");
    };
    // No release is the seventh: such a plan does not even stand.
    make(Some(7));
    assert_eq!(planned.book(&ledger).status().expect("a process").code(), Some(3));
    assert_eq!(state(&ledger), first);
    std::fs::write(&rules_of, format!("{rules} \n# as agreed\n")).expect("written");
    make(None);
    refused("a blank in the rules");
    std::fs::write(planned.path("job/rates.toml"), "[labour]\ntie = 0.5\n").expect("written");
    make(None);
    refused("rates");
    let job = planned.path("job");
    let named = |name: &str| std::fs::rename(&job, planned.path(name)).expect("renamed");
    named("copy");
    let link = |to: &str| {
        // The job's name is the folder's own.
        let mut command = Command::new(env!("CARGO_BIN_EXE_rollwright"));
        command.args(["plan", "--quiet"]).arg(planned.path(to));
        assert!(command.status().expect("a process").success());
        let mut book = rollwright(&ledger, &["book"]);
        book.args([planned.path(to), planned.path(to).join("out/plan.json")]);
        book.args(["--place", "rack 9"]).stderr(Stdio::piped()).output().expect("a process")
    };
    let told = link("copy");
    let said = String::from_utf8_lossy(&told.stderr).into_owned();
    assert!(told.status.code() == Some(1) && said.contains("L006"), "{said}");
    // What is another order is booked.
    std::fs::write(planned.path("copy/rules.toml"), "[joints]\nstagger = 90\n").expect("written");
    assert_eq!(link("copy").status.code(), Some(0));
}

/// A booking of version 2 of the tables: its key had the job's name, all files' bytes and the last release as
/// it was asked for (as `made_from` made it then).
#[test]
fn bookings_of_the_second_version_are_known() {
    use rollwright::plan::{Plan, digest};
    let planned = Planned::new();
    let ledger = planned.path("shelf.db");
    std::fs::remove_file(planned.path("job/offcuts.csv")).expect("a file");
    let plan = |seed: &str| -> Plan {
        let mut command = Command::new(env!("CARGO_BIN_EXE_rollwright"));
        command.args(["plan", "--quiet", "--seed", seed]).arg(planned.path("job"));
        assert!(command.status().expect("a process").success());
        let bytes = std::fs::read(planned.path("job/out/plan.json")).expect("a plan");
        serde_json::from_slice(&bytes).expect("a plan")
    };
    let first = plan("1");
    assert!(planned.book(&ledger).status().expect("a process").success());
    let before = state(&ledger);
    let none: Option<&String> = None;
    let old = digest(
        &serde_json::to_vec(&(&first.name, &first.inputs, first.up_to, none)).expect("JSON"),
    );
    let database = rusqlite::Connection::open(&ledger).expect("a database");
    database.execute("UPDATE booking SET made_from = ?1", [&old]).expect("a change");
    database.pragma_update(None, "user_version", 2).expect("a pragma");
    drop(database);
    let refused = |what: &str| {
        let again = planned.book(&ledger).stderr(Stdio::piped()).output().expect("a process");
        let said = String::from_utf8_lossy(&again.stderr).into_owned();
        assert!(again.status.code() == Some(1) && said.contains("L006"), "{what}: {said}");
        assert_eq!(state(&ledger), before, "{what}");
    };
    refused("the same plan");
    plan("2");
    refused("the same order planned anew");
    let database = rusqlite::Connection::open(&ledger).expect("a database");
    let version: i64 =
        database.query_row("PRAGMA user_version", [], |row| row.get(0)).expect("a version");
    let kept: String =
        database.query_row("SELECT made_from FROM booking", [], |row| row.get(0)).expect("a row");
    assert_eq!((version, kept), (3, old));
}

/// Lists typed by hand and other ledgers' exports are not replaced unasked; earlier exports are.
#[test]
fn lending_and_exporting_replace_only_earlier_exports() {
    let planned = Planned::new();
    let (ledger, job) = (planned.path("shelf.db"), planned.path("job"));
    let lend = |more: &[&str]| {
        rollwright(&ledger, &["lend"]).arg(&job).args(more).status().expect("a process").code()
    };
    let change = |words: &[&str]| {
        assert!(rollwright(&ledger, words).status().expect("a process").success());
    };
    change(&["take", "S1"]);
    assert_eq!(lend(&[]), Some(0), "what is lent already lay in the ledger");
    let typed = "offcut,thickness,width,length,quantity,place\nmine,10,700,900,1,rack\n";
    std::fs::write(job.join("offcuts.csv"), typed).expect("a file");
    assert_eq!(lend(&[]), Some(1));
    assert_eq!(std::fs::read_to_string(job.join("offcuts.csv")).expect("a file"), typed);
    assert_eq!(lend(&["--replace"]), Some(0));

    // A spreadsheet may put columns in another order, and what somebody added is not lost.
    let turned = "Length,offcut,thickness,width,quantity,place\n1800,S1,10,1500,1,rack 2\n";
    let noted = turned.replace("place\n", "place,seen\n").replace("rack 2\n", "rack 2,torn\n");
    for (text, code) in [(turned, 0), (&noted, 1)] {
        std::fs::write(job.join("offcuts.csv"), text).expect("a file");
        assert_eq!(lend(&[]), Some(code), "{text}");
    }
    assert_eq!(std::fs::read_to_string(job.join("offcuts.csv")).expect("a file"), noted);

    let backup = planned.path("backup");
    let export = |file: &Path, more: &[&str]| {
        rollwright(file, &["export"]).arg(&backup).args(more).status().expect("a process").code()
    };
    assert_eq!(export(&ledger, &[]), Some(0));
    change(&FIFTY);
    change(&["take", "S2", "--for", "a patch"]);
    assert_eq!(export(&ledger, &[]), Some(0), "an earlier export of it");
    let other = planned.path("other.db");
    assert!(rollwright(&other, &FIFTY).status().expect("a process").success());
    let before = std::fs::read(backup.join("history.csv")).expect("a file");
    assert_eq!(export(&other, &[]), Some(1));
    assert_eq!(std::fs::read(backup.join("history.csv")).expect("a file"), before);
    assert_eq!(export(&other, &["--replace"]), Some(0));
    let into = rollwright(&ledger, &["export"]).arg(&job).status().expect("a process");
    assert_eq!(into.code(), Some(1), "a job folder");
}

/// Whoever cut the offcut may have taken it off the ledger by hand that day.
#[test]
fn an_offcut_that_was_taken_by_hand_is_booked_when_that_is_said() {
    let planned = Planned::new();
    let ledger = planned.path("shelf.db");
    let book = |more: &[&str]| {
        let output = planned.book(&ledger).args(more).stderr(Stdio::piped()).output();
        let output = output.expect("a process");
        (output.status.code(), String::from_utf8_lossy(&output.stderr).into_owned())
    };
    let (code, said) = book(&["--taken", "S1"]);
    assert!(code == Some(1) && said.contains("was not taken off the shelf by hand"), "{said}");
    // For the very job, as whoever cuts it writes.
    let take = ["take", "S1", "--for", "job"];
    assert!(rollwright(&ledger, &take).status().expect("a process").success());
    let (code, said) = book(&[]);
    assert!(code == Some(1) && said.contains("--taken"), "{said}");
    let (code, said) = book(&["--taken", "S9"]);
    assert!(code == Some(1) && said.contains("uses no offcut `S9`"), "{said}");
    assert_eq!(state(&ledger), (0, 0));
    let plan = |name: &str, text: &str| {
        std::fs::write(planned.path("job").join(name), text).expect("written");
        let mut command = Command::new(env!("CARGO_BIN_EXE_rollwright"));
        command.args(["plan", "--quiet"]).arg(planned.path("job"));
        assert!(command.status().expect("a process").success());
    };
    // The offcut of another shelf may be called so.
    let lent = std::fs::read_to_string(planned.path("job/offcuts.csv")).expect("a list");
    plan("offcuts.csv", &lent.replace("1800", "1750"));
    let (code, said) = book(&["--taken", "S1"]);
    assert!(code == Some(1) && said.contains("not of this shelf"), "{said}");
    plan("offcuts.csv", &lent);
    let (code, said) = book(&["--taken", "S1"]);
    assert_eq!(code, Some(0), "{said}");
    let booked = state(&ledger);
    assert!(booked.0 == 0 && booked.1 > 0);
    let entries = Ledger::open(&ledger).expect("a ledger");
    let all = entries.list(&Wanted { taken_too: true, ..Wanted::default() }).expect("a list");
    let taken = all.iter().find(|entry| entry.name == "S1").and_then(|entry| entry.taken.clone());
    assert_eq!(taken.map(|(_, job)| job), Some("job".to_owned()));
    drop(entries);
    // Now it went out by that booking, and is not there to be cut by another order.
    plan("rules.toml", "[joints]\nstagger = 85\n");
    let (code, said) = book(&["--taken", "S1"]);
    assert!(code == Some(1) && said.contains("by the booking of a plan"), "{said}");
    assert_eq!(state(&ledger), booked);
}

#[test]
fn a_plan_of_another_shelf_takes_nothing_of_the_same_name() {
    let planned = Planned::new();
    let ledger = planned.path("other.db");
    let mut other = Ledger::open(&ledger).expect("a new ledger");
    other.add("2026-11-25", &[new(1800)]).expect("one offcut, narrower than the job's");
    let name = other.list(&Wanted::default()).expect("a readable ledger")[0].name.clone();
    drop(other);
    let lent = std::fs::read_to_string(planned.path("job/offcuts.csv")).expect("a file");
    assert!(lent.contains(&name), "the case needs the same name on both shelves: {lent}");
    let booked = planned.book(&ledger).stderr(Stdio::piped()).output().expect("a process");
    let errors = String::from_utf8_lossy(&booked.stderr).into_owned();
    assert_eq!(booked.status.code(), Some(1), "{errors}");
    assert!(errors.contains("700 x 1800 mm") && errors.contains("1500 x 1800 mm"), "{errors}");
    assert_eq!(state(&ledger), (1, 0));
    // Nor does a plan that goes on from it: there the offcut is on hand, and was once taken by its name alone.
    std::fs::write(planned.path("done.csv"), "ticket,what,pull\n").expect("a file");
    let on = Command::new(env!("CARGO_BIN_EXE_rollwright"))
        .args(["plan", "--quiet"])
        .arg(planned.path("job"))
        .args([std::ffi::OsStr::new("--from"), planned.path("job/out/plan.json").as_os_str()])
        .args([std::ffi::OsStr::new("--done"), planned.path("done.csv").as_os_str()])
        .args([std::ffi::OsStr::new("--out"), planned.path("out2").as_os_str()])
        .status()
        .expect("a process");
    assert!(on.success());
    let book = |ledger: &Path| {
        let mut command = rollwright(ledger, &["book"]);
        command.args([planned.path("job"), planned.path("out2/plan.json")]);
        command.args(["--place", "rack 9", "--new-place"]);
        command.stderr(Stdio::piped()).output().expect("a process")
    };
    let errors = String::from_utf8_lossy(&book(&ledger).stderr).into_owned();
    assert!(errors.contains("700 x 1800 mm") && errors.contains("1500 x 1800 mm"), "{errors}");
    assert_eq!(state(&ledger), (1, 0));
    let own = planned.path("shelf.db");
    assert!(book(&own).status.success());
    assert_eq!(state(&own).0, 0, "of its own shelf it is taken");
}

#[test]
fn a_kill_at_any_moment_of_a_booking_leaves_the_old_or_the_new_state() {
    let planned = Planned::new();
    let template = planned.path("shelf.db");
    let trial = planned.path("trial.db");
    let journal = planned.path("trial.db-journal");
    let fresh = || {
        let _ = std::fs::remove_file(&journal);
        std::fs::copy(&template, &trial).expect("a copy");
    };
    fresh();
    let start = std::time::Instant::now();
    assert!(planned.book(&trial).status().expect("a process").success());
    let whole = start.elapsed().as_micros().max(1_000);
    let new = state(&trial);
    // A cheap generator is enough to vary the moment of the kill (Lehmer 1951, modulus 2^31 - 1).
    let mut lots: u64 = 12_345;
    let (mut old_seen, mut new_seen) = (0, 0);
    for _ in 0..200 {
        fresh();
        let mut child: Child = planned.book(&trial).spawn().expect("a process");
        lots = lots * 48_271 % 2_147_483_647;
        let pause = u128::from(lots) * whole * 5 / 4 / 2_147_483_647;
        std::thread::sleep(Duration::from_micros(u64::try_from(pause).expect("a short time")));
        let _ = child.kill();
        child.wait().expect("an end");
        let now = state(&trial);
        assert!(now == (1, 0) || now == new, "neither old nor new: {now:?}");
        if now == new {
            new_seen += 1;
        } else {
            old_seen += 1;
        }
    }
    assert!(old_seen > 10 && new_seen > 0, "{old_seen} old, {new_seen} new: the moments are off");
}

#[test]
fn eight_processes_lose_and_double_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("shelf.db");
    let mut ledger = Ledger::open(&path).expect("a new ledger");
    let names = ledger.add("2026-11-25", &vec![new(900); 40]).expect("forty offcuts");
    let children: Vec<Vec<Child>> = (0..8)
        .map(|_| {
            names
                .iter()
                .map(|name| rollwright(&path, &["take", name]).spawn().expect("a process"))
                .collect()
        })
        .collect();
    let adding: Vec<Child> =
        (0..8).map(|_| rollwright(&path, &FIFTY).spawn().expect("a process")).collect();
    let taken = children
        .into_iter()
        .flatten()
        .map(|mut child| child.wait().expect("an end").success())
        .filter(|done| *done)
        .count();
    for mut child in adding {
        assert!(child.wait().expect("an end").success());
    }
    assert_eq!(taken, 40, "each offcut is taken by exactly one process");
    assert_eq!(on_shelf(&path), 8 * 50);
}

#[test]
fn taking_is_all_or_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut ledger = Ledger::open(&folder.path().join("shelf.db")).expect("a new ledger");
    let names = ledger.add("2026-11-25", &[new(900), new(800)]).expect("two offcuts");
    let wrong = [names[0].clone(), "S99".to_owned()];
    assert!(
        matches!(ledger.take("2026-11-25", "x", &wrong), Err(ShelfError::Gone(n)) if n == "S99")
    );
    assert_eq!(ledger.list(&Wanted::default()).expect("a list").len(), 2);
    ledger.take("2026-11-26", "x", &names).expect("both lie there");
    assert!(ledger.list(&Wanted::default()).expect("a list").is_empty());
}

#[test]
fn sheets_restore_the_ledger() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut ledger = Ledger::open(&folder.path().join("a.db")).expect("a new ledger");
    let names = ledger.add("2026-11-25", &[new(900), new(800), new(700)]).expect("three");
    ledger.take("2026-11-26", "=1+1", &names[..1]).expect("it lies there");
    // The clock of another computer is a day behind; nothing is taken before it came.
    ledger.take("2026-11-24", "patch", &names[1..2]).expect("it lies there");
    let sheets = ledger.export().expect("sheets");
    let text = String::from_utf8(sheets.history.clone()).expect("UTF-8");
    assert!(!text.contains(",=1"), "no live formula: {text}");
    let mut copy = Ledger::open(&folder.path().join("b.db")).expect("a new ledger");
    let restored = read_back(&sheets).expect("our own sheets");
    assert_eq!(copy.import(&restored).expect("an import"), 3);
    assert_eq!(copy.export().expect("sheets"), sheets);
    let all = Wanted { taken_too: true, ..Wanted::default() };
    assert_eq!(copy.list(&all).expect("a list"), ledger.list(&all).expect("a list"));
    assert!(copy.import(&restored).is_err(), "it is not empty any more");
}

/// What an offcut is taken for is said; a ledger in which it once was not can be read back all the same.
#[test]
fn every_export_can_be_read_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut ledger = Ledger::open(&folder.path().join("a.db")).expect("a new ledger");
    let names = ledger.add("2026-11-25", &[new(900)]).expect("one");
    for nothing in ["", " ", "two\nlines", &"x".repeat(101)] {
        let refused = ledger.take("2026-11-26", nothing, &names);
        assert!(matches!(refused, Err(ShelfError::Invalid { .. })), "{nothing:?}");
    }
    drop(ledger);
    let old = rusqlite::Connection::open(folder.path().join("a.db")).expect("a database");
    old.execute("UPDATE offcut SET taken = '2026-11-26', taken_for = ''", []).expect("a change");
    drop(old);
    let ledger = Ledger::open(&folder.path().join("a.db")).expect("a ledger");
    let sheets = ledger.export().expect("sheets");
    let restored = read_back(&sheets).expect("our own sheets");
    let mut copy = Ledger::open(&folder.path().join("b.db")).expect("a new ledger");
    assert_eq!(copy.import(&restored).expect("an import"), 1);
    assert_eq!(copy.export().expect("sheets"), sheets);
}

/// Words that a table of a job would refuse, such as a formula or what cannot be seen, are written so that they can be
/// read back.
#[test]
fn words_that_tables_refuse_are_read_back() {
    for words in ["=1+1", " =1+1", "\u{FF1D}1", "'so", "zero\u{200B}width", "lost \u{FFFD}"] {
        let folder = tempfile::tempdir().expect("a folder");
        let mut ledger = Ledger::open(&folder.path().join("a.db")).expect("a new ledger");
        let names = ledger.add("2026-11-25", &[new(900)]).expect("one");
        ledger.take("2026-11-26", words, &names).expect("it lies there");
        let sheets = ledger.export().expect("sheets");
        let restored = read_back(&sheets).unwrap_or_else(|found| panic!("{words:?}: {found:?}"));
        let mut copy = Ledger::open(&folder.path().join("b.db")).expect("a new ledger");
        assert_eq!(copy.import(&restored).expect("an import"), 1);
        let text = |sheets: &Sheets| String::from_utf8(sheets.history.clone()).expect("UTF-8");
        let again = copy.export().expect("sheets");
        assert_eq!(text(&again).replace(' ', ""), text(&sheets).replace(' ', ""), "{words:?}");
    }
}

/// A ledger of the first version is raised when it is opened, with all that it holds; bookings of which
/// it is not known what they were made from stay, and so do sheets without that column.
#[test]
fn a_ledger_of_the_first_version_is_raised() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.db");
    let mut ledger = Ledger::open(&path).expect("a new ledger");
    ledger.add("2026-11-25", &[new(900)]).expect("one");
    drop(ledger);
    let old = rusqlite::Connection::open(&path).expect("a database");
    old.execute_batch(
        "DROP INDEX made_from; ALTER TABLE booking DROP COLUMN made_from; PRAGMA user_version = 1;
         INSERT INTO booking VALUES ('p', 'job', '2026-11-25'), ('q', 'job', '2026-11-26');",
    )
    .expect("a ledger as it was");
    drop(old);
    let sheets = Ledger::open(&path).expect("raised").export().expect("sheets");
    let bookings = String::from_utf8(sheets.bookings).expect("UTF-8");
    assert_eq!(bookings, "plan,job,booked,made_from\np,job,2026-11-25,\nq,job,2026-11-26,\n");
    let old = b"plan,job,booked\np,job,2026-11-25\n".to_vec();
    let restored = read_back(&Sheets { bookings: old, ..sheets }).expect("sheets as they were");
    let mut copy = Ledger::open(&folder.path().join("b.db")).expect("a new ledger");
    assert_eq!(copy.import(&restored).expect("an import"), 1);
}

/// Several like offcuts get their names in one go, and change their place in one go; a refusal changes nothing.
#[test]
fn several_are_named_and_moved_at_once() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("shelf.db");
    let add = |more: &[&str]| {
        let size =
            ["add", "--thickness", "10", "--width", "700", "--length", "900", "--place", "rack 1"];
        let told = rollwright(&path, &[&size[..], more].concat()).stdout(Stdio::piped()).output();
        let told = told.expect("an end");
        (told.status.code(), String::from_utf8(told.stdout).expect("UTF-8"))
    };
    assert_eq!(add(&["--quantity", "3", "--name", "R8"]), (Some(0), "R8\nR9\nR10\n".into()));
    assert_eq!(add(&["--quantity", "2", "--name", "08-09"]), (Some(0), "08-09\n08-10\n".into()));
    let two = ["--name", "left", "--name", "right"];
    assert_eq!(add(&two), (Some(0), "left\nright\n".into()));
    assert_eq!(add(&["--quantity", "2"]), (Some(0), "S8\nS9\n".into()));
    for wrong in [
        &["--quantity", "2", "--name", "door"][..],
        &["--quantity", "3", "--name", "a", "--name", "b"],
        &["--quantity", "1", "--name", "a", "--name", "b"],
        &["--quantity", "2", "--name", "18446744073709551615"],
    ] {
        assert_eq!(add(wrong), (Some(2), String::new()), "{wrong:?}");
    }
    // R10 lies there already, and two may not bear one name.
    assert_eq!(add(&["--quantity", "2", "--name", "R9"]).0, Some(1));
    assert_eq!(add(&["--name", "c", "--name", "c"]).0, Some(1));
    assert_eq!(on_shelf(&path), 9);
    let moved = |words: &[&str]| {
        let words = [&["move"], words].concat();
        rollwright(&path, &words).status().expect("an end").code()
    };
    let lies = |place: &str| {
        let ledger = Ledger::open(&path).expect("a whole ledger");
        let wanted = Wanted { place: Some(place.into()), ..Wanted::default() };
        let entries = ledger.list(&wanted).expect("a readable ledger");
        entries.into_iter().map(|entry| entry.name).collect::<Vec<_>>()
    };
    assert_eq!(moved(&["R8", "R9", "--place", "rakc 1"]), Some(1), "near a place that is known");
    assert_eq!(moved(&["R8", "R99", "--place", "box", "--new-place"]), Some(1), "R99 is not there");
    assert_eq!(moved(&["R8", "--place", "=box", "--new-place"]), Some(1));
    assert!(lies("box").is_empty());
    assert_eq!(moved(&["R8", "left", "--place", "box", "--new-place"]), Some(0));
    assert_eq!(lies("box"), ["R8", "left"]);
    assert_eq!(lies("rack 1").len(), 7);
}

/// Sizes, names and forms that no ledger holds: told with their row, and no ledger is made.
#[test]
fn what_no_ledger_holds_is_not_read_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut ledger = Ledger::open(&folder.path().join("a.db")).expect("a new ledger");
    ledger.add("2026-11-25", &[new(900), new(800)]).expect("two");
    let sheets = ledger.export().expect("sheets");
    let history = String::from_utf8(sheets.history).expect("UTF-8");
    std::fs::write(folder.path().join("bookings.csv"), &sheets.bookings).expect("a file");
    let place = |line: u64, column: u64, field: &str| {
        format!("history.csv:{line}:{column} ({field}): error")
    };
    for (from, to, told) in [
        (",900,", ",-900,", place(2, 4, "length") + " L005: `-900` is too small"),
        (",800,", ",99999999,", place(3, 4, "length") + " L005: `99999999` is too large"),
        (
            "2026-11-25",
            "2026-02-29",
            place(2, 7, "added") + " L005: the day on which it came, `2026-02-29`, is none",
        ),
        (
            "2026-11-25",
            "25.11.2026",
            place(2, 7, "added") + " L005: the day on which it came, `25.11.2026`, is none",
        ),
        (
            ",by hand,,",
            ",by hand,,patch",
            place(2, 9, "taken") + " L005: it says what the offcut was taken for, but not when",
        ),
        (
            ",by hand,,",
            ",by hand,today,",
            place(2, 9, "taken") + " L005: the day on which it was taken, `today`, is none",
        ),
        (
            ",by hand,,",
            ",by hand,2020-01-01,patch",
            place(2, 9, "taken")
                + " L005: the offcut was taken on 2020-01-01, before it came on 2026-11-25",
        ),
        ("rack 2", "", place(2, 5, "place") + " L005: there is no `place`"),
        ("rack 2", "=A1", place(2, 5, "place") + " F013"),
        (
            "S2,",
            "S1,",
            place(3, 1, "offcut") + " L005: this offcut, `S1`, stands in line 2 already",
        ),
        ("length", "lenght", "F007: the heading `lenght` is not known; write `length`".to_owned()),
        (",taken,", ",,", "F006: there is no column `taken`".to_owned()),
        (
            &history,
            &history.replace(',', ";"),
            "F005: the columns are separated by semicolons".to_owned(),
        ),
    ] {
        let path = folder.path().join("history.csv");
        std::fs::write(path, history.replacen(from, to, 1)).expect("a file");
        let fresh = folder.path().join("fresh.db");
        let output = Command::new(env!("CARGO_BIN_EXE_rollwright"))
            .args(["shelf", "import"])
            .args([&fresh, folder.path()])
            .output()
            .expect("a run");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(1), "{said}");
        assert!(said.contains(&told), "{told}: {said}");
        assert!(!fresh.exists(), "{told}");
    }
}

/// What somebody changes in the sheet of the shelf alone is told, all of it, with its cell, and nothing is read.
#[test]
fn sheets_that_do_not_agree_are_not_read_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut ledger = Ledger::open(&folder.path().join("a.db")).expect("a new ledger");
    let sizes = [900, 800, 700, 600, 500];
    let names = ledger.add("2026-11-25", &sizes.map(new)).expect("five");
    ledger.take("2026-11-26", "patch", &names[4..]).expect("it lies there");
    let sheets = ledger.export().expect("sheets");
    let told = |on_shelf: &str| -> Vec<String> {
        let changed = Sheets { on_shelf: on_shelf.as_bytes().to_vec(), ..sheets.clone() };
        let found = read_back(&changed).err();
        found.iter().flat_map(Findings::iter).map(ToString::to_string).collect()
    };
    let text = String::from_utf8(sheets.on_shelf.clone()).expect("UTF-8");
    assert_eq!(text.lines().nth(1), Some("S1,10,700,900,1,rack 2"), "{text}");
    // In other words, another order and other columns it says the same.
    let other = "place,offcut,thickness,width,length,\nrack 2,S4,10 mm,700,60 cm,\n\
                 rack 2,S3,10,700.0,700,\nrack 2,S2,10,700,800,\nrack 2,S1,10,700,900,\n";
    for same in [text.clone(), text.replace('\n', "\r\n"), other.to_owned()] {
        assert!(told(&same).is_empty(), "{:?}", told(&same));
    }
    let edited = text
        .replace("S1,10,700,900,1,rack 2", "S1,10,800,900,1,rack 7")
        .replace("S2,10,700,800,1", "S2,10,700,800,3")
        .replace("S3,10,700,700,1,rack 2", "S5,10,700,500,1,rack 2")
        + "S9,10,700,400,1,rack 2\n";
    let found = told(&edited);
    let starts = [
        "offcuts.csv:2:3 (width): error L009: the width of `S1` is 800 mm here and 700 mm in line 2 of history.csv",
        "offcuts.csv:2:6 (place): error L009: the place of `S1` is `rack 7` here and `rack 2` in line 2",
        "offcuts.csv:3:5 (quantity): error L009: every offcut of a ledger has a name of its own",
        "offcuts.csv:4:1 (offcut): error L009: `S5` was taken on 2026-11-26 by line 6 of history.csv (patch)",
        "offcuts.csv:6:1 (offcut): error L009: `S9` stands in no line of history.csv",
        "history.csv:4 (offcut): error L009: `S3` lies on the shelf by this line",
    ];
    assert_eq!(found.len(), starts.len(), "{found:#?}");
    for (found, start) in found.iter().zip(starts) {
        assert!(found.starts_with(start), "{found}");
    }
    // The command reads nothing then, and everything where the sheet is not there.
    let export = folder.path().join("export");
    std::fs::create_dir(&export).expect("a folder");
    for (name, bytes) in [
        ("history.csv", &sheets.history),
        ("bookings.csv", &sheets.bookings),
        ("offcuts.csv", &edited.into_bytes()),
    ] {
        std::fs::write(export.join(name), bytes).expect("a file");
    }
    let fresh = folder.path().join("fresh.db");
    let import = || rollwright(&fresh, &["import", export.to_str().expect("UTF-8")]).status();
    assert_eq!(import().expect("an end").code(), Some(1));
    assert!(!fresh.exists());
    std::fs::remove_file(export.join("offcuts.csv")).expect("it is there");
    assert_eq!(import().expect("an end").code(), Some(0));
    assert_eq!(on_shelf(&fresh), 4);
}

/// An offcut that is named twice, or was taken a moment ago: told as what it is, and nothing is changed.
#[test]
fn a_slip_in_a_name_and_an_offcut_that_was_taken_are_told_apart() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("shelf.db");
    let mut ledger = Ledger::open(&path).expect("a new ledger");
    let mut offcuts = vec![new(900); 15];
    offcuts.push(New { name: Some("left".into()), ..new(900) });
    ledger.add("2026-11-25", &offcuts).expect("sixteen");
    ledger.take("2026-11-26", "patch at the boiler", &["S5".to_owned()]).expect("it lies there");
    let said = |words: &[&str]| {
        let output = rollwright(&path, words).stderr(Stdio::piped()).output().expect("an end");
        assert_eq!(output.status.code(), Some(1), "{words:?}");
        String::from_utf8_lossy(&output.stderr).into_owned()
    };
    let to = ["--place", "rack 2"];
    for words in [&["take", "S1", "S2", "S1"][..], &[&["move", "S1", "S1"], &to[..]].concat()] {
        let said = said(words);
        assert!(said.contains("offcut `S1` is named twice"), "{said}");
    }
    for words in [&["take", "S5"][..], &[&["move", "S1", "S5"], &to[..]].concat()] {
        let said = said(words);
        let when =
            "offcut `S5` is not on the shelf: it was taken on 2026-11-26 (patch at the boiler)";
        assert!(said.contains(when) && !said.contains("`S15"), "{said}");
    }
    let near = said(&["take", "lfet"]);
    assert!(
        near.contains("offcut `lfet` is not on the shelf") && near.contains("write `left`"),
        "{near}"
    );
    assert_eq!(on_shelf(&path), 15);
}

/// What no list takes back is not kept: an export of the ledger is its backup.
#[test]
fn names_that_no_list_would_take_are_refused() {
    for (name, place) in [
        ("B\u{200b}1", "rack"),
        ("A ", "rack"),
        ("A", " rack"),
        ("A", "rack \u{fffd}"),
        ("=A", "rack"),
    ] {
        let offcut = New { name: Some(name.into()), place: place.into(), ..new(900) };
        assert!(offcut.check().is_err(), "{name:?}, {place:?}");
    }
    assert!(New { name: Some("A 1".into()), ..new(900) }.check().is_ok());
}

#[test]
fn a_refused_offcut_makes_no_ledger() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("shelf.db");
    let words = ["--thickness", "10", "--width", "600", "--length", "-5", "--place", "rack"];
    let output = Command::new(env!("CARGO_BIN_EXE_rollwright"))
        .args(["shelf", "add"])
        .arg(&path)
        .args(words)
        .output()
        .expect("a run");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(said.contains("L005") && said.contains("-5 mm cannot be"), "{said}");
    assert!(!path.exists());
}

/// `SQLite` keeps nothing under these names where it reads them itself.
#[cfg(unix)]
#[test]
fn a_ledger_is_a_file_whatever_it_is_called() {
    for name in [":memory:", "file:zz.db?mode=memory", "file::memory:"] {
        let folder = tempfile::tempdir().expect("a folder");
        let mut add = rollwright(Path::new(name), &FIFTY);
        let status = add.current_dir(folder.path()).status().expect("a run");
        assert!(status.success(), "{name}");
        assert!(folder.path().join(name).is_file(), "{name}");
        assert_eq!(on_shelf(&folder.path().join(name)), 50, "{name}");
    }
    let folder = tempfile::tempdir().expect("a folder");
    let pipe = folder.path().join("pipe.db");
    assert!(Command::new("mkfifo").arg(&pipe).status().expect("a run").success());
    assert_eq!(rollwright(&pipe, &FIFTY).status().expect("a run").code(), Some(1));
}

#[test]
fn what_cannot_be_is_refused_and_changes_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("shelf.db");
    let mut ledger = Ledger::open(&path).expect("a new ledger");
    ledger.add("2026-11-25", &[New { name: Some("A".into()), ..new(900) }]).expect("one");
    let wrong = [
        new(-5),
        new(0),
        new(20_000_000),
        New { place: " ".into(), ..new(900) },
        New { place: "=cmd()".into(), ..new(900) },
        New { batch: "x".repeat(101), ..new(900) },
        // What a job's own list refuses.
        New { name: Some("x".repeat(61)), ..new(900) },
        New { thickness: Length::from_nm(100_000), ..new(900) },
        New { width: Length::from_mm(5), ..new(900) },
        new(3),
        New { name: Some("A".into()), ..new(900) },
    ];
    for bad in wrong {
        let both = [new(500), bad.clone()];
        assert!(
            matches!(ledger.add("2026-11-25", &both), Err(ShelfError::Invalid { .. })),
            "{bad:?}"
        );
        assert_eq!(on_shelf(&path), 1);
    }
}

#[test]
fn other_files_and_newer_ledgers_are_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let text = folder.path().join("notes.txt");
    std::fs::write(&text, "no ledger at all, only words".repeat(50)).expect("a file");
    assert!(matches!(Ledger::open(&text), Err(ShelfError::NotALedger(_))));
    assert_eq!(std::fs::read(&text).expect("a file").len(), 28 * 50);

    let newer = folder.path().join("newer.db");
    drop(Ledger::open(&newer).expect("a new ledger"));
    let other = rusqlite::Connection::open(&newer).expect("a database");
    other.pragma_update(None, "user_version", 99).expect("a pragma");
    drop(other);
    assert!(matches!(Ledger::open(&newer), Err(ShelfError::Newer { found: 99, .. })));

    let foreign = folder.path().join("foreign.db");
    let other = rusqlite::Connection::open(&foreign).expect("a database");
    other.execute_batch("CREATE TABLE t (x)").expect("a table");
    drop(other);
    assert!(matches!(Ledger::open(&foreign), Err(ShelfError::NotALedger(_))));
    assert!(Ledger::open_existing(&folder.path().join("nowhere.db")).is_err());
}

/// A limit on the size of files stands in for a full disk: writes fail in the same way.
#[cfg(unix)]
#[test]
fn a_full_disk_changes_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("shelf.db");
    let mut ledger = Ledger::open(&path).expect("a new ledger");
    ledger.add("2026-11-25", &vec![new(900); 100]).expect("a hundred");
    drop(ledger);
    let script = "trap '' XFSZ; ulimit -f 48; exec \"$0\" shelf add \"$1\" --thickness 10 \
                  --width 600 --length 900 --place rack --new-place --quantity 10000";
    let output = Command::new("sh")
        .args(["-c", script, env!("CARGO_BIN_EXE_rollwright")])
        .arg(&path)
        .output()
        .expect("a shell");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(5), "{said}");
    assert!(said.contains("the disk is full; nothing was changed"), "{said}");
    assert_eq!(on_shelf(&path), 100);
}

#[test]
fn a_place_that_nobody_knows_is_refused_and_changes_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("shelf.db");
    Ledger::open(&path).expect("a new ledger").add("2026-11-25", &[new(900)]).expect("one");
    let bytes = std::fs::read(&path).expect("a file");
    let sizes = ["--thickness", "10", "--width", "600", "--length", "900"];
    let add = |more: &[&str]| {
        let mut command = rollwright(&path, &["add"]);
        command.args(sizes).args(more).stderr(Stdio::piped()).output().expect("a process")
    };
    let refused = add(&["--place", "rack 22"]);
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert_eq!(refused.status.code(), Some(1), "{said}");
    assert!(said.contains("L007") && said.contains("`rack 2`"), "{said}");
    let whole = |words: &[&str]| {
        let mut command = rollwright(&path, &["add", "--place", "rack 2", "--thickness", "10"]);
        command.args(words).stderr(Stdio::piped()).output().expect("a process")
    };
    let negative = whole(&["--width=-5", "--length", "900"]);
    assert_eq!(negative.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&negative.stderr).contains("L005"));
    let huge = whole(&["--width", "600", "--length", "20000 m"]);
    assert_eq!(huge.status.code(), Some(1));
    assert_eq!(std::fs::read(&path).expect("a file"), bytes, "the ledger was touched");
    assert!(add(&["--place", "rack 22", "--new-place"]).status.success());
    assert!(add(&["--place", "rack 22"]).status.success(), "now it is known");
    assert_eq!(on_shelf(&path), 3);
}

/// The database takes a file shorter than its head for an empty database and would write over it, and an empty one is none
/// yet for who only looks.
#[test]
fn what_is_no_ledger_is_not_made_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("notes.txt");
    let list = |place: Option<&str>| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_rollwright"));
        command.args(["shelf", "list"]).arg(&path);
        command.args(place.into_iter().flat_map(|place| ["--place", place]));
        let done = command.output().expect("a run");
        (done.status.code(), String::from_utf8_lossy(&done.stderr).into_owned())
    };
    for bytes in [&b""[..], b"x", &[b'x'; 99], &[b'x'; 100]] {
        std::fs::write(&path, bytes).expect("written");
        let (code, told) = list(None);
        assert!(code == Some(1) && told.contains("L001"), "{} bytes: {told}", bytes.len());
        assert_eq!(std::fs::read(&path).expect("read"), bytes);
    }
    std::fs::write(&path, b"").expect("written");
    Ledger::open(&path).expect("a new ledger").add("2026-11-25", &[new(900)]).expect("one");
    let (code, told) = list(Some("elsewhere"));
    assert!(code == Some(1) && told.contains("L007"), "{told}");
    assert!(!told.contains("--new-place") && !told.contains("nothing was changed"), "{told}");
}

/// A file that may only be read. The superuser may write everything, so the command then runs as
/// nobody; where that is not possible either, the test says so.
#[cfg(unix)]
#[test]
fn a_ledger_that_may_only_be_read_is_left_alone() {
    use std::io::Write as _;
    use std::os::unix::fs::PermissionsExt;
    use std::os::unix::process::CommandExt;
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("shelf.db");
    Ledger::open(&path).expect("a new ledger").add("2026-11-25", &[new(900)]).expect("one");
    let bytes = std::fs::read(&path).expect("a file");
    let mode = |path: &Path, mode: u32| {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).expect("a mode");
    };
    mode(&path, 0o444);
    mode(folder.path(), 0o555);
    let may_all = std::fs::write(folder.path().join("probe"), "x").is_ok();
    let program = folder.path().join("rollwright");
    let mut command = if may_all {
        std::fs::copy(env!("CARGO_BIN_EXE_rollwright"), &program).expect("a copy");
        mode(&program, 0o755);
        let mut command = Command::new(&program);
        command.uid(65_534).gid(65_534);
        command
    } else {
        Command::new(env!("CARGO_BIN_EXE_rollwright"))
    };
    let run = command.args(["shelf", "take"]).arg(&path).arg("S1").output();
    mode(folder.path(), 0o755);
    let Ok(run) = run else {
        let _ = writeln!(std::io::stderr(), "SKIPPED: no other user can be had");
        return;
    };
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert_eq!(run.status.code(), Some(1), "{said}");
    assert!(said.contains("L003"), "{said}");
    assert_eq!(std::fs::read(&path).expect("a file"), bytes, "the ledger was touched");
}

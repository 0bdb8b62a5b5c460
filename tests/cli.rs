//! The command line as its users meet it: exit codes, findings, files, streams, Ctrl-C.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use assert_cmd::Command;
use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::Stdio;

const HEADER: &str = "item,area,line,kind,size,length,quantity,build,note\n";
const PIPE: &str = "P-1,hall,L-1,pipe,NPS 6,12 m,2,10+10,\n";
const ROLLS: &str = "roll,thickness,width,length,price,available\n\
                     B10,10,1500,50 m,310,\nB5,5,1000,50 m,190,\n";

/// A job folder with these files.
fn job(files: &[(&str, &[u8])]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (name, bytes) in files {
        fs::write(folder.path().join(name), bytes).expect("a file written");
    }
    folder
}

fn good_job() -> tempfile::TempDir {
    let takeoff = [HEADER, PIPE].concat();
    job(&[("takeoff.csv", takeoff.as_bytes()), ("rolls.csv", ROLLS.as_bytes())])
}

fn rollwright() -> Command {
    Command::cargo_bin("rollwright").expect("the program")
}

/// Every file below a folder with its bytes.
fn contents(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(folder).expect("a readable folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(contents(&path));
        } else {
            found.insert(path.clone(), fs::read(&path).expect("a readable file"));
        }
    }
    found
}

/// Runs `plan` on a bad job: exit code 1, a finding that holds these words, nothing written.
fn refused(files: &[(&str, &[u8])], words: &[&str]) {
    let folder = job(files);
    let before = contents(folder.path());
    let output = rollwright().arg("plan").arg(folder.path()).output().expect("a run");
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(1), "{errors}");
    assert!(output.stdout.is_empty(), "{errors}");
    for word in words {
        assert!(errors.contains(word), "`{word}` is not in:\n{errors}");
    }
    assert!(errors.contains("rollwright explain"), "{errors}");
    assert_eq!(contents(folder.path()), before, "something was written");
}

fn refused_takeoff(takeoff: &[u8], words: &[&str]) {
    refused(&[("takeoff.csv", takeoff), ("rolls.csv", ROLLS.as_bytes())], words);
}

#[test]
fn every_bad_takeoff_is_told_and_nothing_is_written() {
    let with = |line: &str| [HEADER, line].concat().into_bytes();
    refused_takeoff(b"", &["takeoff.csv: error", "the file is empty"]);
    refused_takeoff(HEADER.as_bytes(), &["takeoff.csv", "headings"]);
    refused_takeoff(b"a,b,c\n1,2,3\n", &["takeoff.csv", "item", "kind", "build"]);
    refused_takeoff(
        b"item,kind,size,length,build\nP-1,pipe,NPS 6,1 m,10\n",
        &["takeoff.csv", "quantity"],
    );
    refused_takeoff(&with("P-1,,,pipe,NPS 7,12 m,1,10,\n"), &["takeoff.csv:2:5 (size)", "NPS 7"]);
    refused_takeoff(&with("P-1,,,pipe,NPS 6,-3,1,10,\n"), &["takeoff.csv:2:6 (length)"]);
    refused_takeoff(&with("P-1,,,pipe,NPS 6,90000 km,1,10,\n"), &["takeoff.csv:2:6 (length)"]);
    refused_takeoff(&with("P-1,,,pipe,NPS 6,12 m,0,10,\n"), &["takeoff.csv:2:7 (quantity)"]);
    refused_takeoff(&with("P-1,,,pipe,NPS 6,12 m,10000000,10,\n"), &["takeoff.csv:2:7 (quantity)"]);
    refused_takeoff(&with("P-1,,,pipe,NPS 6,12 m,1,25,\n"), &["takeoff.csv:2", "(build)", "25 mm"]);
    refused_takeoff(HEADER.replace(',', ";").as_bytes(), &["takeoff.csv", "comma"]);
    let latin = [HEADER.as_bytes(), b"P-1,K\xfche,,pipe,NPS 6,1 m,1,10,\n"].concat();
    refused_takeoff(&latin, &["takeoff.csv", "UTF-8"]);
    refused_takeoff(&with("=1+1,,,pipe,NPS 6,12 m,1,10,\n"), &["takeoff.csv:2:1", "formula"]);
    refused_takeoff(&with(&[PIPE, PIPE].concat()), &["takeoff.csv:3", "P-1"]);
    refused_takeoff(&with("P-1,,,chimney,NPS 6,12 m,1,10,\n"), &["takeoff.csv:2:4 (kind)"]);
}

#[test]
fn a_piece_wider_than_every_roll_is_told() {
    // NPS 24 is 609.6 mm across (ASME B36.10M); a course of it on a roll 40 mm wide is no piece.
    let takeoff = [HEADER, "P-1,,,pipe,NPS 24,12 m,1,10,\n"].concat();
    let rolls = b"roll,thickness,width,length\nB10,10,40,50 m\n";
    refused(&[("takeoff.csv", takeoff.as_bytes()), ("rolls.csv", rolls)], &["error"]);
}

#[test]
fn all_problems_of_all_files_are_told_at_once_and_in_order() {
    let takeoff = [HEADER, "P-1,,,pipe,NPS 7,12 m,1,10,\n", "P-2,,,pipe,NPS 6,x,0,10,\n"].concat();
    let folder = job(&[
        ("takeoff.csv", takeoff.as_bytes()),
        ("rolls.csv", b"roll,thickness,width,length\nB10,10,wide,50 m\n"),
        ("rules.toml", b"[joints]\nstagger = -3\n"),
    ]);
    let output = rollwright().arg("plan").arg(folder.path()).output().expect("a run");
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    let told: Vec<&str> = errors.lines().filter(|line| line.contains(" error ")).collect();
    let places: Vec<&str> =
        told.iter().map(|line| line.split(' ').next().unwrap_or_default()).collect();
    let expected = [
        "rolls.csv:2:3",
        "rules.toml:2:11",
        "takeoff.csv:2:5",
        "takeoff.csv:3:6",
        "takeoff.csv:3:7",
    ];
    assert_eq!(places, expected, "{errors}");
    assert!(errors.contains("5 errors"), "{errors}");
}

/// Courses are as wide as the widest roll on offer. Where few of it can be had, narrower ones without limit
/// do not help, and the message says what does; the study of the order goes on with them, and so does all with none of it.
#[test]
fn a_wide_roll_of_which_few_can_be_had_does_not_hide_the_narrow_ones() {
    let takeoff = "item,kind,size,length,quantity,build\nP-1,pipe,NPS 6,12 m,20,10\n";
    let job_of = |available: &str| {
        let rolls = format!(
            "roll,thickness,width,length,price,available\nA,10,1500,40 m,700,{available}\nB,10,1000,40 m,500,\n"
        );
        job(&[("takeoff.csv", takeoff.as_bytes()), ("rolls.csv", rolls.as_bytes())])
    };
    let run = |folder: &Path, command: &[&str]| {
        let mut asked = rollwright();
        let output = asked.arg(command[0]).arg(folder).args(&command[1..]).output().expect("a run");
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        (output.status.code(), text(&output.stdout), text(&output.stderr))
    };
    let few = job_of("1");
    let remedy = "or write no into the column `courses` of `A`, which lays the courses out for `B`";
    for command in [&["order"][..], &["compare", "--set", "rolls=A | B"]] {
        let (code, _, errors) = run(few.path(), command);
        assert!(code == Some(1) && errors.contains(remedy), "{command:?}: {errors}");
    }
    let (code, told, errors) = run(few.path(), &["price", "--order"]);
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    let remedy = "Both orders lay the courses out for B, and cut from A what fits: to plan so, write no into";
    assert!(code == Some(0) && told.contains(remedy), "{told}{errors}");
    let (code, order, errors) = run(job_of("0").path(), &["order"]);
    assert!(code == Some(0) && order.contains(" of B (1000 mm x 40 m)"), "{order}{errors}");
}

#[test]
fn too_few_rolls_are_told() {
    let takeoff = [HEADER, "P-1,,,pipe,NPS 24,900 m,1,10,\n"].concat();
    let rolls = b"roll,thickness,width,length,available\nB10,10,1500,50 m,3\n";
    let found = [" of B10 would do)", "J005", "rolls.csv"];
    refused(&[("takeoff.csv", takeoff.as_bytes()), ("rolls.csv", rolls)], &found);
    // With as many as it says there is a plan.
    let order = |available: &str| {
        let rolls =
            format!("roll,thickness,width,length,available\nB10,10,1500,50 m,{available}\n");
        let folder = job(&[("takeoff.csv", takeoff.as_bytes()), ("rolls.csv", rolls.as_bytes())]);
        let output = rollwright().arg("order").arg(folder.path()).output().expect("a run");
        (output.status.code(), String::from_utf8_lossy(&output.stderr).into_owned())
    };
    let (code, errors) = order("3");
    assert_eq!(code, Some(1), "{errors}");
    let before = errors.split(" of B10 would do").next().expect("words");
    let (_, enough) = before.rsplit_once('(').expect("a bracket");
    let (code, errors) = order(enough);
    assert_eq!(code, Some(0), "{enough}: {errors}");
}

/// A clock that ends the search before it had any plan says nothing about the rolls; a shortage that area
/// proves is told whatever the clock does.
#[test]
fn time_that_ran_out_is_no_shortage_of_rolls() {
    // A piece of 800 by some 890 mm lies alone across a roll of 1500 mm: 90 of them take 72 m, and as much
    // area as 43 m. The search proves no shortage, whatever it takes.
    let run = |quantity: u32, more: &[&str]| {
        let takeoff = format!("{HEADER}P-1,,,pipe,NPS 10,800,{quantity},10,\n");
        let rolls = b"roll,thickness,width,length,available\nB10,10,1500,50 m,1\n";
        let folder = job(&[("takeoff.csv", takeoff.as_bytes()), ("rolls.csv", rolls)]);
        let output = rollwright().arg("plan").arg(folder.path()).args(more).output();
        let output = output.expect("a run");
        assert!(!folder.path().join("out").exists());
        (output.status.code(), String::from_utf8_lossy(&output.stderr).into_owned())
    };
    let clock = ["--seconds", "0.000001"];
    let (code, errors) = run(90, &clock);
    assert_eq!(code, Some(4), "{errors}");
    assert!(errors.contains("J011") && errors.contains("the time of 0.000001 s"), "{errors}");
    assert!(errors.contains("--seconds") && !errors.contains("J005"), "{errors}");
    let (code, errors) = run(90, &["--work", "20000"]);
    assert!(code == Some(1) && errors.contains("J005"), "{errors}");
    let (code, errors) = run(200, &clock);
    assert!(code == Some(1) && errors.contains("J005"), "{errors}");
}

#[test]
fn folders_and_files_that_are_not_there_are_told() {
    refused(&[("takeoff.csv", b"x")], &["J002", "rolls.csv"]);
    refused(&[("rolls.csv", ROLLS.as_bytes()), ("Takeoff.csv.txt", b"")], &["takeoff.csv", "J002"]);
    let output = rollwright().args(["plan", "/no/such/job"]).output().expect("a run");
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("J001"));
}

#[test]
fn findings_come_in_json_when_asked_for() {
    let folder = job(&[("takeoff.csv", b""), ("rolls.csv", ROLLS.as_bytes())]);
    let output = rollwright().arg("plan").arg(folder.path()).arg("--json").output().expect("a run");
    assert_eq!(output.status.code(), Some(1));
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(told["status"], "refused");
    assert_eq!(told["findings"][0]["code"], rollwright::finding::codes::files::EMPTY.id);
    assert_eq!(told["findings"][0]["severity"], "error");
    assert_eq!(told["findings"][0]["file"], "takeoff.csv");
}

#[test]
fn marks_and_windows_line_ends_do_no_harm() {
    let takeoff = [HEADER, PIPE].concat().replace('\n', "\r\n");
    let marked = ["\u{feff}", &takeoff].concat();
    let folder = job(&[("takeoff.csv", marked.as_bytes()), ("rolls.csv", ROLLS.as_bytes())]);
    rollwright().arg("plan").arg(folder.path()).assert().code(0);
    assert!(folder.path().join("out/plan.json").exists());
}

#[test]
fn a_plan_is_written_stands_and_can_be_made_again() {
    let folder = good_job();
    let inputs = contents(folder.path());
    let first = rollwright().arg("plan").arg(folder.path()).output().expect("a run");
    assert_eq!(first.status.code(), Some(0), "{}", String::from_utf8_lossy(&first.stderr));
    let out = folder.path().join("out");
    let written = contents(&out);
    let names: Vec<String> = written
        .keys()
        .map(|path| path.file_name().unwrap_or_default().to_string_lossy().into_owned())
        .collect();
    let expected = [
        "cuts.csv",
        "items.csv",
        "joints.csv",
        "offcuts.csv",
        "order.csv",
        "pieces.csv",
        "plan.json",
        "plan.xlsx",
        "price.csv",
        "report.html",
        "schedule.csv",
        "sequence.csv",
        "summary.txt",
        "waste.csv",
    ];
    assert_eq!(names, expected);
    assert_eq!(written[&out.join("summary.txt")], first.stdout);
    let plan = out.join("plan.json");
    rollwright().arg("audit").arg(folder.path()).arg(&plan).assert().code(0);
    rollwright().arg("plan").arg(folder.path()).args(["--threads", "2"]).assert().code(0);
    assert_eq!(contents(&out), written, "the same inputs gave other bytes");
    fs::remove_dir_all(&out).expect("removed");
    assert_eq!(contents(folder.path()), inputs, "an input was changed");
}

/// By hand: legs of 700 mm on rolls of 600, two layers. The inner one has its hole parted in the middle and 100 mm left at
/// either end, the outer one a course as wide as the roll round the hole. The branch is 1,300 high; places on it count
/// from the top. Both are as wide, so the saddles reach down to the run's axis: the inner layer's lowest course ends at
/// 600 mm, the outer one's a stagger lower, and the joints above it keep one from 1,200, so 100 and 175 are left.
#[test]
fn courses_of_covers_round_branches_are_listed_with_the_joints() {
    let takeoff = "item,kind,size,size2,quantity,build,centre_to_end,branch_height,length\n\
                   T-1,tee,OD 88.9,OD 88.9,1,10+10,700,1300,\n";
    let rolls = "roll,thickness,width,length,price\nA,10,600,40 m,300\n";
    let folder = job(&[("takeoff.csv", takeoff.as_bytes()), ("rolls.csv", rolls.as_bytes())]);
    rollwright().arg("plan").arg(folder.path()).args(["--work", "1000"]).assert().code(0);
    let list = fs::read_to_string(folder.path().join("out/joints.csv")).expect("a list");
    let of = |cover: &str, layer: &str| -> Vec<(String, String)> {
        let rows = csv::Reader::from_reader(list.as_bytes()).into_records();
        let rows = rows.map(|row| row.expect("a row"));
        let rows = rows.filter(|row| (&row[11], &row[2]) == (cover, layer));
        rows.map(|row| (row[4].to_owned(), row[5].to_owned())).collect()
    };
    let pair = |from: &str, to: &str| (from.to_owned(), to.to_owned());
    let inner = [("0", "100"), ("100", "700"), ("700", "1300"), ("1300", "1400")];
    assert_eq!(of("run cover", "1"), inner.map(|(from, to)| pair(from, to)), "{list}");
    let outer = [("0", "400"), ("400", "1000"), ("1000", "1400")];
    assert_eq!(of("run cover", "2"), outer.map(|(from, to)| pair(from, to)), "{list}");
    for (layer, left) in [("1", "100"), ("2", "175")] {
        assert_eq!(of("branch cover", layer).last(), Some(&pair("0", left)), "{list}");
    }
    assert!(list.contains("one end of the cover") && list.contains("the cover's top, downwards"));
}

#[test]
fn findings_name_what_is_to_be_written_as_it_is_written() {
    let good = [HEADER, PIPE].concat();
    let rolls = ("rolls.csv", ROLLS.as_bytes());
    let misspelt = good.replacen("note\n", "bonet_height\n", 1);
    refused(
        &[("takeoff.csv", misspelt.as_bytes()), rolls],
        &["takeoff.csv:1:9", "`bonnet_height`"],
    );
    let half = good.replace(",2,10+10", ",2.5,10+10");
    let told = ["takeoff.csv:2:7 (quantity)", "`2.5` is not a whole number; write a whole number"];
    refused(&[("takeoff.csv", half.as_bytes()), rolls], &told);
    let tabs = good.replace(',', "\t");
    refused(&[("takeoff.csv", tabs.as_bytes()), rolls], &["separated by tabs; save"]);
    let told = ["takeoff.xlsx", "what it holds is not what its ending says", "save it again"];
    refused(&[("takeoff.xlsx", b"no workbook"), rolls], &told);
    let few = ROLLS.replace("50 m,310,", "6 m,310,1");
    let files = [("takeoff.csv", good.as_bytes()), ("rolls.csv", few.as_bytes())];
    refused(&files, &["rolls.csv:2 (available)", "raise `available`"]);
}

/// What `audit` says of a job's plan: its exit code, standard output and standard error.
fn audited(folder: &Path, more: &[&str]) -> (Option<i32>, String, String) {
    let output = rollwright().arg("audit").arg(folder).args(more).output().expect("a run");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code(), text(&output.stdout), text(&output.stderr))
}

#[test]
fn a_rule_changed_under_a_plan_is_told_before_what_follows_from_it() {
    let folder = good_job();
    let rules = folder.path().join("rules.toml");
    let written = |text: &str| fs::write(&rules, text).expect("written");
    written("[joints]\nstagger = 80\n");
    rollwright().arg("plan").arg(folder.path()).assert().code(0);
    assert_eq!(audited(folder.path(), &[]).0, Some(0));
    // The same rules in other words: nothing to tell. Another value: which rule it is, and no other.
    written("# as agreed\n[joints]\nstagger = \"8 cm\"\n");
    let (code, _, errors) = audited(folder.path(), &[]);
    assert!(code == Some(0) && !errors.contains("J008"), "{errors}");
    written("[joints]\nstagger = 80\n[rates]\npiece = 9\n");
    let (code, _, errors) = audited(folder.path(), &[]);
    assert!(code == Some(0) && errors.contains("J008"), "{errors}");
    assert!(errors.contains("rates.piece is 9 and was 8;"), "{errors}");
    // Longer pieces: the cause first, its consequences summed up; all of them in JSON.
    written("[joints]\nstagger = 80\n[wrap]\nfactor = 1\n");
    let (code, out, _) = audited(folder.path(), &["--quiet"]);
    assert_eq!(code, Some(3), "{out}");
    let place =
        |words: &str| out.find(words).unwrap_or_else(|| panic!("`{words}` is not in:\n{out}"));
    assert!(place("wrap.factor is 1 and was 0.5") < place("What does not hold"));
    assert!(place("items with other pieces than before: P-1") < place("What does not hold"));
    assert!(out.lines().count() < 30, "{out}");
    let (code, json, _) = audited(folder.path(), &["--quiet", "--json"]);
    let verdict: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(code, Some(3));
    assert!(verdict["changed"][0].to_string().contains("wrap.factor is 1"), "{json}");
    assert!(verdict["failures"].as_array().is_some_and(|all| !all.is_empty()), "{json}");
    // Whoever wants to use the plan is told the same cause.
    let output = rollwright().arg("tickets").arg(folder.path()).output().expect("a run");
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(1));
    assert!(errors.contains("wrap.factor is 1 and was 0.5"), "{errors}");
    // A plan file that somebody wrote in is told as such.
    written("[joints]\nstagger = 80\n");
    let plan = folder.path().join("out/plan.json");
    let text = fs::read_to_string(&plan).expect("a plan");
    let mut made: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    made["pieces"][0]["quantity"] = 1_000.into();
    fs::write(&plan, made.to_string()).expect("written");
    let (code, out, _) = audited(folder.path(), &[]);
    assert!(code == Some(3) && out.contains("the plan file itself was changed"), "{out}");
}

#[test]
fn an_altered_plan_does_not_stand() {
    let folder = good_job();
    rollwright().arg("plan").arg(folder.path()).assert().code(0);
    let path = folder.path().join("out/plan.json");
    let mut plan: serde_json::Value =
        serde_json::from_slice(&fs::read(&path).expect("a plan")).expect("JSON");
    let quantity = &mut plan["pieces"][0]["quantity"];
    *quantity = (quantity.as_u64().expect("a count") + 1).into();
    fs::write(&path, plan.to_string()).expect("written");
    let output = rollwright().arg("audit").arg(folder.path()).arg(&path).output().expect("a run");
    assert_eq!(output.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&output.stdout).contains("does not stand"));
    fs::write(&path, "{}").expect("written");
    let output = rollwright().arg("audit").arg(folder.path()).arg(&path).output().expect("a run");
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("J007"));
}

#[test]
fn inputs_and_other_peoples_files_are_safe() {
    let folder = good_job();
    let before = contents(folder.path());
    let plan = |out: &Path| {
        rollwright().arg("plan").arg(folder.path()).arg("--out").arg(out).output().expect("a run")
    };
    assert_eq!(plan(folder.path()).status.code(), Some(2));
    let dotted = folder.path().join("out/..");
    fs::create_dir(folder.path().join("out")).expect("a folder");
    assert_eq!(plan(&dotted).status.code(), Some(2));
    let file = folder.path().join("takeoff.csv");
    assert_eq!(plan(&file).status.code(), Some(2));
    assert_eq!(contents(folder.path()), before);
    let theirs = job(&[("order.csv", b"theirs")]);
    assert_eq!(plan(theirs.path()).status.code(), Some(2));
    assert_eq!(fs::read(theirs.path().join("order.csv")).expect("still there"), b"theirs");
    assert_eq!(plan(&folder.path().join("out")).status.code(), Some(0));
    let other = good_job();
    let theirs = contents(other.path());
    for command in ["plan", "draw", "tickets"] {
        let mut run = rollwright();
        let told = run.arg(command).arg(folder.path()).arg("--out").arg(other.path()).output();
        let told = told.expect("a run");
        let words = String::from_utf8_lossy(&told.stderr).into_owned();
        assert!(told.status.code() == Some(2) && words.contains("another job"), "{words}");
        assert_eq!(contents(other.path()), theirs, "{command}");
    }
    let mixed = job(&[("letter.txt", b"theirs")]);
    assert_eq!(plan(mixed.path()).status.code(), Some(0));
    assert_eq!(fs::read(mixed.path().join("letter.txt")).expect("still there"), b"theirs");
}

#[test]
fn text_of_the_takeoff_is_never_live() {
    // `=` in the middle of a cell passes the door; after a list separator of other countries it
    // would start a cell of its own.
    let takeoff = [
        HEADER,
        "P-1,\"a;=1+1\",\"<script>alert(1)</script>\",pipe,NPS 6,3 m,1,10,\"<b onclick=x>\"\n",
    ]
    .concat();
    let folder = job(&[("takeoff.csv", takeoff.as_bytes()), ("rolls.csv", ROLLS.as_bytes())]);
    let run = rollwright().arg("plan").arg(folder.path()).output().expect("a run");
    assert_eq!(run.status.code(), Some(0), "{}", String::from_utf8_lossy(&run.stderr));
    let mut cells = 0;
    for (path, bytes) in contents(&folder.path().join("out")) {
        if path.extension().is_some_and(|ending| ending == "xlsx") {
            continue; // tests/spreadsheets.rs looks into workbooks
        }
        let text = String::from_utf8(bytes).expect("UTF-8");
        match path.extension().and_then(|e| e.to_str()) {
            Some("csv") => {
                let mut reader =
                    csv::ReaderBuilder::new().flexible(true).from_reader(text.as_bytes());
                for record in reader.records() {
                    for cell in &record.expect("a record") {
                        for part in cell.split([';', ',', '\t', '|']) {
                            cells += 1;
                            let live = part.trim_start().starts_with(['=', '+', '@']);
                            assert!(!live, "{}: {cell}", path.display());
                        }
                    }
                }
            }
            Some("html") => {
                assert!(!text.contains("<script") && !text.contains("<b onclick"));
                assert!(text.contains("&lt;script&gt;"));
            }
            _ => {}
        }
    }
    assert!(cells > 50, "only {cells} cells were seen");
}

#[test]
fn help_names_every_command_and_exit_code() {
    let output = rollwright().arg("--help").output().expect("a run");
    assert_eq!(output.status.code(), Some(0));
    let help = String::from_utf8_lossy(&output.stdout).into_owned();
    for command in
        ["plan", "order", "pieces", "templates", "wraps", "audit", "nest", "rules", "explain"]
    {
        assert!(help.contains(&format!("  {command} ")), "{help}");
        let own = rollwright().args([command, "--help"]).output().expect("a run");
        let own = String::from_utf8_lossy(&own.stdout).into_owned();
        assert!(own.contains("Example"), "{command} shows no example");
    }
    for code in 0..=5 {
        assert!(help.contains(&format!("\n  {code}  ")), "{help}");
    }
    rollwright().arg("plna").assert().code(2);
    rollwright().args(["plan", "x", "--seconds", "0"]).assert().code(2);
    rollwright().args(["explain", "Z999"]).assert().code(2);
    rollwright().args(["explain", "j002"]).assert().code(0);
}

#[test]
fn no_colour_and_no_progress_where_nobody_looks() {
    let folder = good_job();
    let output = rollwright().arg("plan").arg(folder.path()).output().expect("a run");
    for stream in [&output.stdout, &output.stderr] {
        assert!(!stream.contains(&0x1b), "an escape sequence");
    }
    let quiet = rollwright().args(["plan", "--quiet"]).arg(folder.path()).output().expect("a run");
    assert_eq!(quiet.status.code(), Some(0));
    assert!(quiet.stdout.is_empty() && quiet.stderr.is_empty());
}

#[test]
fn a_closed_pipe_is_no_panic() {
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_rollwright"))
        .arg("rules")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("a process");
    drop(child.stdout.take());
    let mut errors = String::new();
    child.stderr.take().expect("a pipe").read_to_string(&mut errors).expect("text");
    assert_eq!(child.wait().expect("an end").code(), Some(0));
    assert_eq!(errors, "");
}

#[test]
fn other_outputs_can_be_read_by_programs() {
    let folder = good_job();
    let run = |words: &[&str]| {
        let output = rollwright().args(words).arg(folder.path()).output().expect("a run");
        assert_eq!(output.status.code(), Some(0), "{words:?}");
        output.stdout
    };
    let json = |words: &[&str]| -> serde_json::Value {
        serde_json::from_slice(&run(words)).expect("JSON")
    };
    let pieces = json(&["pieces", "--json"]);
    let list = pieces.as_array().expect("an array");
    assert!(!list.is_empty());
    for piece in list {
        for key in ["piece", "item", "layer", "part", "thickness", "quantity", "width", "length"] {
            assert!(!piece[key].is_null(), "{key}");
        }
    }
    let order = json(&["order", "--json"]);
    assert_eq!(order["nests"][0]["order"][0]["roll"], "B10");
    let table = run(&["order", "--csv"]);
    let mut reader = csv::Reader::from_reader(table.as_slice());
    assert_eq!(reader.records().count(), 1);
    assert!(String::from_utf8_lossy(&run(&["order"])).contains("buy 1 roll of B10"));
    assert_eq!(json(&["plan", "--json"])["files"].as_array().map(Vec::len), Some(14));
}

#[test]
fn the_schedule_puts_every_piece_on_once() {
    let folder = good_job();
    rollwright().arg("plan").arg(folder.path()).assert().code(0);
    let sum = |file: &str, column: &str| -> u64 {
        let mut reader =
            csv::Reader::from_path(folder.path().join("out").join(file)).expect("a table");
        let at = reader.headers().expect("headings").iter().position(|h| h == column);
        let at = at.expect("the column");
        reader.records().map(|r| r.expect("a row")[at].parse::<u64>().expect("a count")).sum()
    };
    // A row of the schedule stands for all items alike; the job has two.
    let pieces = sum("pieces.csv", "quantity");
    assert!(pieces > 0);
    assert_eq!(2 * sum("schedule.csv", "pieces, one item"), pieces);
    let ties = sum("schedule.csv", "ties, one item");
    assert!(ties > 0);
    assert_eq!(2 * ties, sum("schedule.csv", "ties, all items alike"));
}

/// Templates of a tee's curved covers; sheets that an earlier run left and that are no longer made
/// are taken away, other files are left alone; a job of rectangles has nothing to draw.
#[test]
fn templates_are_written_and_old_ones_taken_away() {
    let takeoff =
        [HEADER, "T-1,hall,L-1,tee,NPS 6,,1,10+10,\n", "P-1,hall,L-1,pipe,NPS 6,2 m,1,10,\n"]
            .concat();
    let folder = job(&[("takeoff.csv", takeoff.as_bytes()), ("rolls.csv", ROLLS.as_bytes())]);
    let run = |extra: &[&str]| {
        let done = rollwright().arg("templates").arg(folder.path()).args(extra).output();
        done.expect("a run")
    };
    let out = folder.path().join("out/templates");
    assert_eq!(run(&[]).status.code(), Some(0));
    let tiled = fs::read_dir(&out).expect("sheets").count();
    assert!(tiled > 4, "{tiled} files");
    // Somebody's own, one of them by a name as this command gives.
    for name in ["site.svg", "P101.svg", "B12-A1.svg"] {
        fs::write(out.join(name), "mine").expect("a file written");
    }
    assert_eq!(run(&["--paper", "whole"]).status.code(), Some(0));
    let names: Vec<String> = contents(&out)
        .into_keys()
        .filter_map(|p| Some(p.file_name()?.to_string_lossy().into_owned()))
        .collect();
    let tiles: Vec<&String> = names.iter().filter(|n| n.contains('-')).collect();
    assert_eq!(tiles, ["B12-A1.svg"], "{names:?}");
    for name in ["site.svg", "P101.svg", "templates.html", "templates.csv"] {
        assert!(names.iter().any(|n| n == name), "{name}: {names:?}");
    }
    assert_eq!(run(&["--item", "P-1"]).status.code(), Some(1));
    assert_eq!(run(&["--item", "P-9"]).status.code(), Some(2));
    assert_eq!(run(&["--out", &folder.path().to_string_lossy()]).status.code(), Some(2));
    // Nothing of a folder that this command never wrote to is replaced or taken away.
    let others = ["templates", "P101", "site", "B12-A1"];
    let sheet = names.iter().find(|name| others.iter().all(|other| !name.starts_with(other)));
    let theirs = job(&[("Z9.svg", b"theirs")]);
    let into = theirs.path().to_string_lossy().into_owned();
    assert_eq!(run(&["--paper", "whole", "--out", &into]).status.code(), Some(0));
    assert_eq!(fs::read(theirs.path().join("Z9.svg")).expect("still there"), b"theirs");
    let theirs = job(&[(sheet.expect("a sheet"), b"theirs")]);
    let into = theirs.path().to_string_lossy().into_owned();
    assert_eq!(run(&["--paper", "whole", "--out", &into]).status.code(), Some(2));
    assert_eq!(contents(theirs.path()).into_values().collect::<Vec<_>>(), [b"theirs".to_vec()]);
}

/// Measured wraps: NPS 6 is 168.3 mm; with a factor of 0.4 a 10 mm layer is pi (168.3 + 8) = 553.9
/// mm, so each ring of 560.1 is 6.3 mm shorter. The rule lines printed are ones the rules take.
#[test]
fn measured_wraps_give_rule_lines_that_the_job_takes() {
    let folder = good_job();
    let wraps = folder.path().join("wraps.csv");
    let run = |text: &str, extra: &[&str]| {
        fs::write(&wraps, text).expect("a file written");
        let done = rollwright().arg("wraps").arg(&wraps).arg(folder.path()).args(extra).output();
        done.expect("a run")
    };
    let good = "size,layer,thickness,length\nNPS 6,1,10,553.9\nNPS 6,2,10,616.7\n\
                NPS 12,1,10,1042.4\nNPS 6,1,10,575\n";
    let output = run(good, &["--rolls"]);
    let (text, told) =
        (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(0), "{told}");
    assert!(told.contains("wraps.csv:5: warning W006"), "{told}");
    let rule = text.lines().skip_while(|line| *line != "[wrap]").collect::<Vec<_>>().join("\n");
    assert!(rule.contains("\"10\" = 0.4 }"), "{text}");
    fs::write(folder.path().join("rules.toml"), &rule).expect("a file written");
    let pieces = rollwright().arg("pieces").arg(folder.path()).arg("--csv").output();
    let pieces = pieces.expect("a run");
    assert_eq!(pieces.status.code(), Some(0));
    assert!(String::from_utf8_lossy(&pieces.stdout).contains(",554,"), "553.9 rounded up");
    let csv = run(good, &["--csv"]);
    assert_eq!(String::from_utf8_lossy(&csv.stdout).lines().count(), 5);
    let bad = run("size,layer,thickness,length\nNPS 6,1,10,55\n,1,10,560\n", &[]);
    let told = String::from_utf8_lossy(&bad.stderr).into_owned();
    assert_eq!(bad.status.code(), Some(1));
    assert!(bad.stdout.is_empty());
    assert!(told.contains("wraps.csv:2:4 (length): error W005"), "{told}");
    assert!(told.contains("wraps.csv:3:1 (size): error W001"), "{told}");
}

#[test]
fn a_clock_is_kept_and_told() {
    let folder = hard_job();
    let started = std::time::Instant::now();
    rollwright()
        .args(["plan", "--seconds", "0.2", "--work", "1000000000000"])
        .arg(folder.path())
        .assert()
        .code(0);
    assert!(started.elapsed() < std::time::Duration::from_mins(2));
    let plan = fs::read(folder.path().join("out/plan.json")).expect("a plan");
    let plan: serde_json::Value = serde_json::from_slice(&plan).expect("JSON");
    assert_eq!(plan["program"]["limits"]["seconds"], 0.2);
    assert_eq!(plan["status"], "stopped");
}

/// A job whose proof takes far longer than the test waits.
fn hard_job() -> tempfile::TempDir {
    use std::fmt::Write;
    let mut takeoff = HEADER.to_owned();
    for at in 0_u64..400 {
        let sizes = ["NPS 1", "NPS 2", "NPS 3", "NPS 4", "NPS 6", "NPS 8", "NPS 10", "NPS 12"];
        let size = sizes[usize::try_from(at % 8).expect("small")];
        let length = 700 + at * 7919 % 11_000;
        let _ = writeln!(takeoff, "P-{at},,,pipe,{size},{length},{},10+10+10,", 1 + at % 5);
    }
    job(&[("takeoff.csv", takeoff.as_bytes()), ("rolls.csv", ROLLS.as_bytes())])
}

#[cfg(unix)]
#[test]
fn ctrl_c_keeps_the_best_plan() {
    let folder = hard_job();
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_rollwright"))
        .args(["plan", "--verbose", "--work", "1000000000000"])
        .arg(folder.path())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("a process");
    let mut lines = BufReader::new(child.stderr.take().expect("a pipe")).lines();
    // The first news of the engine: there is a plan to keep.
    let first = lines.next().expect("a line").expect("text");
    assert!(first.contains("bound"), "{first}");
    let sent = std::process::Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status()
        .expect("kill");
    assert!(sent.success());
    let rest: Vec<String> = lines.map_while(Result::ok).collect();
    assert_eq!(child.wait().expect("an end").code(), Some(0), "{rest:?}");
    assert!(rest.iter().any(|line| line.contains("best plan so far is kept")), "{rest:?}");
    let plan = fs::read(folder.path().join("out/plan.json")).expect("a plan");
    let plan: serde_json::Value = serde_json::from_slice(&plan).expect("JSON");
    assert_eq!(plan["status"], "stopped");
}

/// Of a comparison that is stopped what is done is kept, as is said, and no half of anything: what is open then is
/// wound up at once, and would stand beside what was done to the end as if an option cost more.
#[cfg(unix)]
#[test]
fn ctrl_c_keeps_the_options_that_are_done() {
    let folder = hard_job();
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_rollwright"))
        .args(["compare", "--verbose", "--set", "table.style=free", "--work", "1000000000000"])
        .arg(folder.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("a process");
    let mut lines = BufReader::new(child.stderr.take().expect("a pipe")).lines();
    // The job as it stands is proven soon; free layouts are searched for as long as they may.
    let done = lines.find(|line| line.as_ref().expect("text").ends_with("1 of 2"));
    assert!(done.is_some(), "nothing was done");
    let mut sent = std::process::Command::new("kill");
    sent.args(["-INT", &child.id().to_string()]);
    assert!(sent.status().expect("kill").success());
    let rest: Vec<String> = lines.map_while(Result::ok).collect();
    assert_eq!(child.wait().expect("an end").code(), Some(0), "{rest:?}");
    assert!(rest.iter().any(|line| line.contains("what is done is kept")), "{rest:?}");
    let mut shown = String::new();
    child.stdout.take().expect("a pipe").read_to_string(&mut shown).expect("text");
    let row = |name: &str| shown.lines().find(|line| line.starts_with(name)).unwrap_or_default();
    let ends: Vec<&str> = row("as it stands").split_whitespace().rev().take(2).collect();
    assert_eq!(ends, ["placeholders", "proven"], "{shown}");
    assert!(row("table.style=").contains("no plan: stopped"), "{shown}");
}

/// `--quiet` tells nothing but errors, also where there are some.
#[test]
fn quiet_tells_errors_alone() {
    let takeoff = [HEADER, "P-1,,,pipe,NPS 6,10 mm,1,10,\nP-2,,,pipe,NPS 6,x,1,10,\n"].concat();
    let folder = job(&[("takeoff.csv", takeoff.as_bytes()), ("rolls.csv", ROLLS.as_bytes())]);
    let told = |words: &[&str]| {
        let output = rollwright().arg("order").arg(folder.path()).args(words).output();
        let output = output.expect("a run");
        assert_eq!(output.status.code(), Some(1));
        String::from_utf8_lossy(&output.stderr).into_owned()
    };
    let (all, quiet) = (told(&[]), told(&["--quiet"]));
    assert!(all.contains(": warning ") && all.contains(": error "), "{all}");
    assert!(!quiet.contains(": warning ") && quiet.contains(": error "), "{quiet}");
}

/// The table's figures against the plan that `plan` makes with the same weights.
#[test]
fn weights_tell_what_the_plan_with_them_comes_to() {
    let lines = (1..=12).map(|n| {
        let (size, length) = (2 + n % 3, 2 + n % 5);
        format!("P-{n},hall,L-1,pipe,NPS {size},{length} m,1,10+10,\n")
    });
    let takeoff = [HEADER.to_owned()].into_iter().chain(lines).collect::<Vec<_>>().concat();
    let files: [(&str, &[u8]); 3] = [
        ("takeoff.csv", takeoff.as_bytes()),
        ("rolls.csv", ROLLS.as_bytes()),
        ("rules.toml", b"[sequence]\nopen_kits = 70\n"),
    ];
    let folder = job(&files);
    let before = contents(folder.path());
    let run = |command: &str, more: &[&str]| {
        let mut run = rollwright();
        run.arg(command).arg(folder.path()).args(["--work", "20000"]).args(more);
        let output = run.output().expect("a run");
        let errors = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(0), "{errors}");
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    let told: serde_json::Value = serde_json::from_str(&run("weights", &["--json"])).expect("JSON");
    let rows = told.as_array().expect("an array");
    let own: Vec<_> = rows.iter().filter(|row| row["chosen"] == true).collect();
    assert_eq!(own.len(), 1, "{told}");
    assert_eq!((&own[0]["open_kits"], &own[0]["held_kits"]), (&70.into(), &100.into()));
    assert!(rows.iter().all(|row| row["bound"].as_u64() <= row["most"].as_u64()), "{told}");
    assert!(run("weights", &["--csv"]).lines().count() == rows.len() + 1);
    assert_eq!(contents(folder.path()), before, "nothing is written");
    run("plan", &[]);
    let plan = fs::read(folder.path().join("out/plan.json")).expect("a plan");
    let plan: serde_json::Value = serde_json::from_slice(&plan).expect("JSON");
    let sequence = &plan["sequence"];
    for (row, plan) in
        [("most", "open_kits"), ("settings", "setups"), ("roll_changes", "roll_changes")]
    {
        assert_eq!(own[0][row], sequence[plan], "{row}: {told}");
    }
}

#[test]
fn seams_are_planned_in_all_three_places() {
    let takeoff = [HEADER, "E-1,hall,L-1,elbow,NPS 16,,4,10+10,\n"].concat();
    let rules = "[elbow]\nseam = \"heel\"\n[table]\nstyle = \"free\"\npull_limit = \"4 m\"\n";
    let files: [(&str, &[u8]); 3] = [
        ("takeoff.csv", takeoff.as_bytes()),
        ("rolls.csv", ROLLS.as_bytes()),
        ("rules.toml", rules.as_bytes()),
    ];
    let folder = job(&files);
    let before = contents(folder.path());
    let run = |more: &[&str]| {
        let mut command = rollwright();
        command.arg("seams").arg(folder.path()).args(["--work", "20000"]).args(more);
        command.output().expect("a run")
    };
    let output = run(&["--json"]);
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{errors}");
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let of = |key: &str| -> Vec<String> {
        let rows = told.as_array().expect("an array");
        rows.iter().map(|row| row[key].to_string()).collect()
    };
    assert_eq!(of("seam"), ["\"throat\"", "\"heel\"", "\"alternate\""]);
    assert_eq!(of("chosen"), ["false", "true", "false"]);
    // An area that is no whole number of square millimetres is text.
    let area = |area: &serde_json::Value| {
        area.as_f64().or_else(|| area.as_str()?.parse().ok()).expect("an area")
    };
    let cut = |row: &serde_json::Value| area(&row["cut"]);
    for row in told.as_array().expect("an array") {
        let saves = area(&row["saves"]);
        assert!((saves - (cut(&told[1]) - cut(row))).abs() < 1e-3, "{told}");
        let rolls = row["rolls"].as_array().expect("by thickness");
        assert!(
            rolls.len() == 1 && rolls[0]["thickness"] == 10 && rolls[0]["rolls"].is_u64(),
            "{told}"
        );
        assert!(row["proof"].is_string(), "{told}");
    }
    let text = String::from_utf8_lossy(&run(&[]).stdout).into_owned();
    assert!(text.contains("alternate") && text.contains("saves m2"), "{text}");
    assert_eq!(contents(folder.path()), before, "nothing is written");
}

//! What people expect of a command line: help with examples, completions, a manual, suggestions,
//! streams, colour, drawings for cutting tables.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use crate::python::python;
use assert_cmd::Command;
use std::fs;
use std::path::Path;
use std::process::Output;

const TAKEOFF: &str = "item,area,line,kind,size,length,quantity,build,note\n\
                       P-1,hall,L-1,pipe,NPS 6,12 m,2,10+10,\n\
                       E-1,roof,L-2,elbow,NPS 12,0,3,10,\n\
                       T-1,roof,L-2,tee,NPS 6,0,1,10,\n";
const ROLLS: &str = "roll,thickness,width,length,price\nB10,10,1500,50 m,310.50\n";

fn rollwright() -> Command {
    Command::cargo_bin("rollwright").expect("the program")
}

fn run(words: &[&str]) -> Output {
    rollwright().args(words).output().expect("a run")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// The names of all commands, as the help lists them.
fn commands() -> Vec<String> {
    let help = text(&run(&["--help"]).stdout);
    let list = help.split("Commands:").nth(1).expect("commands").split("\n\n").next();
    let names = list.expect("a list").lines().filter(|line| line.starts_with("  "));
    let first = |line: &str| line.trim_start().split(' ').next().unwrap_or_default().to_owned();
    let mut names: Vec<String> = names.filter(|line| !line.starts_with("   ")).map(first).collect();
    names.retain(|name| name != "help");
    names
}

fn job() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("takeoff.csv"), TAKEOFF).expect("written");
    fs::write(folder.path().join("rolls.csv"), ROLLS).expect("written");
    folder
}

fn planned() -> tempfile::TempDir {
    let folder = job();
    rollwright().arg("plan").arg(folder.path()).assert().code(0);
    folder
}

/// A command that is ended leaves its files or none, and no temporary ones.
#[cfg(unix)]
#[test]
fn a_command_that_is_ended_leaves_no_temporary_files() {
    let folder = planned();
    let out = folder.path().join("out");
    let sheets = out.join("templates");
    let started = std::time::Instant::now();
    assert!(run(&["templates", &folder.path().display().to_string()]).status.success());
    let whole = started.elapsed();
    let all = fs::read_dir(&sheets).expect("sheets").count();
    let (tries, mut ended, mut done) = (24, 0, 0);
    for at in 0..tries {
        fs::remove_dir_all(&sheets).expect("taken away");
        let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_rollwright"))
            .args(["templates", "--quiet"])
            .arg(folder.path())
            .stderr(std::process::Stdio::null())
            .spawn()
            .expect("a process");
        std::thread::sleep(whole * at / (tries - 4));
        let signal = if at % 2 == 0 { "-INT" } else { "-TERM" };
        // It may be over already.
        let _ = std::process::Command::new("kill")
            .args([signal, &child.id().to_string()])
            .stderr(std::process::Stdio::null())
            .status();
        let code = child.wait().expect("an end").code();
        let names: Vec<String> = fs::read_dir(&sheets)
            .map(|list| list.map(|e| text(e.expect("an entry").file_name().as_encoded_bytes())))
            .map_or_else(|_| Vec::new(), Iterator::collect);
        assert!(!names.iter().any(|name| name.starts_with('.')), "{at}: {names:?}");
        assert!(names.is_empty() || names.len() == all, "{at}: {names:?}");
        // Before it listens, the system ends it, without a code.
        assert!(matches!(code, Some(0 | 4) | None), "{code:?}");
        if code == Some(0) {
            done += usize::from(names.len() == all);
        } else {
            ended += usize::from(names.is_empty());
        }
        fs::create_dir_all(&sheets).expect("there");
    }
    assert_eq!(ended + done, 24);
    assert!(ended > 0 && done > 0, "{ended} ended, {done} done: the moments are off");
}

/// A plan that is to be written while another run writes into the folder waits for it, and one Ctrl-C ends
/// the wait; what the other run has written stays whole.
#[cfg(unix)]
#[test]
fn one_run_at_a_time_writes_into_a_folder() {
    use std::io::{BufRead, BufReader};
    let folder = planned();
    let out = folder.path().join("out");
    let read = || fs::read(out.join("plan.json")).expect("a plan");
    let before = read();
    let roll = ROLLS.replace("B10", "C10");
    fs::write(folder.path().join("rolls.csv"), roll).expect("written");
    for ended in [true, false] {
        let held = fs::File::open(&out).expect("a folder");
        held.lock().expect("a lock, as another run has it");
        let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_rollwright"))
            .arg("plan")
            .arg(folder.path())
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .expect("a process");
        let mut lines = BufReader::new(child.stderr.take().expect("a pipe")).lines();
        let told = lines.by_ref().map_while(Result::ok).find(|line| line.contains("another run"));
        assert!(told.is_some_and(|line| line.contains("waiting") && line.contains("out")));
        assert_eq!(read(), before, "it does not wait");
        if ended {
            let mut sent = std::process::Command::new("kill");
            sent.args(["-INT", &child.id().to_string()]);
            assert!(sent.status().expect("kill").success());
            let rest: Vec<String> = lines.map_while(Result::ok).collect();
            assert_eq!(child.wait().expect("an end").code(), Some(4), "{rest:?}");
            assert_eq!(read(), before);
        } else {
            drop(held);
            let rest: Vec<String> = lines.map_while(Result::ok).collect();
            assert_eq!(child.wait().expect("an end").code(), Some(0), "{rest:?}");
            assert_ne!(read(), before);
        }
        let names = fs::read_dir(&out).expect("a folder").map(|e| e.expect("an entry").file_name());
        assert!(names.into_iter().all(|name| !text(name.as_encoded_bytes()).starts_with('.')));
    }
}

/// Two jobs planned into one folder at the same time: all that stands there is of one of them.
#[cfg(unix)]
#[test]
fn two_plans_into_one_folder_are_not_mixed() {
    let jobs = [job(), job()];
    fs::write(jobs[1].path().join("rolls.csv"), ROLLS.replace("B10", "C10")).expect("written");
    let all = tempfile::tempdir().expect("a folder");
    let plan = |job: &Path, out: &Path| {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_rollwright"));
        command.args(["plan", "--quiet", "--work", "1000", "--out"]).args([out, job]);
        command.spawn().expect("a process")
    };
    let read = |out: &Path| -> Vec<(String, Vec<u8>)> {
        let mut names: Vec<_> =
            fs::read_dir(out).expect("a folder").map(|e| e.expect("an entry").path()).collect();
        names.sort();
        let name = |path: &Path| text(path.file_name().expect("a name").as_encoded_bytes());
        names.iter().map(|path| (name(path), fs::read(path).expect("a file"))).collect()
    };
    let alone = [0, 1].map(|at| {
        let out = all.path().join(format!("alone-{at}"));
        assert!(plan(jobs[at].path(), &out).wait().expect("an end").success());
        read(&out)
    });
    assert_ne!(alone[0], alone[1]);
    let both = all.path().join("both");
    for round in 0..12 {
        let mut children = jobs.each_ref().map(|job| plan(job.path(), &both));
        for child in &mut children {
            assert!(child.wait().expect("an end").success());
        }
        let found = read(&both);
        assert!(alone.contains(&found), "round {round}: files of both plans");
    }
}

/// What was done for good is told on standard error where standard output cannot be written.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_behind_standard_output_is_told() {
    let folder = job();
    let at = |name: &str| folder.path().join(name).display().to_string();
    let full = |words: &[&str]| {
        let out = fs::OpenOptions::new().write(true).open("/dev/full").expect("the device");
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_rollwright"));
        let done = command.args(words).stdout(out).output().expect("a run");
        (done.status.code(), text(&done.stderr))
    };
    let (ledger, job) = (at("shelf.db"), at(""));
    for words in [&["--version"][..], &["--help"], &["plan", "--help"], &["rules"]] {
        let (code, said) = full(words);
        assert_eq!(code, Some(5), "{words:?}: {said}");
        assert!(said.contains("standard output cannot be written: the disk is full"), "{said}");
    }
    let add = ["shelf", "add", &ledger, "--thickness", "10", "--width", "700", "--length", "900"];
    let (code, said) = full(&[&add[..], &["--place", "rack"]].concat());
    assert_eq!(code, Some(5), "{said}");
    assert!(said.contains("done before that: S1 is on the shelf"), "{said}");
    let (code, said) = full(&[&add[..], &["--place", "rack", "--quantity", "30"]].concat());
    assert_eq!(code, Some(5), "{said}");
    assert!(
        said.contains("S2, S3,") && said.contains("S21 and 10 more are on the shelf"),
        "{said}"
    );
    let (code, said) = full(&["plan", &job]);
    assert_eq!(code, Some(5), "{said}");
    assert!(said.contains("files are in") && Path::new(&at("out/plan.json")).exists(), "{said}");
    let (code, said) =
        full(&["shelf", "book", &ledger, &job, &at("out/plan.json"), "--place", "rack"]);
    assert_eq!(code, Some(5), "{said}");
    assert!(
        said.contains("the plan is booked") && said.contains("write this name on it"),
        "{said}"
    );
    let (code, said) = full(&["draw", &job, "--json"]);
    assert_eq!(code, Some(5), "{said}");
    assert!(said.contains("drawings"), "{said}");
}

#[test]
fn tickets_are_written_again_into_a_folder_of_their_own() {
    let folder = planned();
    let (job, out) = (folder.path().display().to_string(), folder.path().join("shop"));
    let shop = out.display().to_string();
    for round in 0..2 {
        let done = run(&["tickets", &job, "--out", &shop]);
        assert_eq!(done.status.code(), Some(0), "{round}: {}", text(&done.stderr));
    }
    fs::write(out.join("kits.csv"), "kit,price\n").expect("written");
    let done = run(&["tickets", &job, "--out", &shop]);
    assert_eq!(done.status.code(), Some(2));
    assert!(text(&done.stderr).contains("holds a kits.csv"), "{}", text(&done.stderr));
}

/// A link that leads nowhere is there; what it misses is not the plan's making.
#[cfg(unix)]
#[test]
fn a_broken_link_to_a_plan_is_told_as_one() {
    let folder = job();
    let (job, link) = (folder.path().display().to_string(), folder.path().join("link.json"));
    std::os::unix::fs::symlink(folder.path().join("gone.json"), &link).expect("a link");
    let link = link.display().to_string();
    for command in ["price", "tickets", "draw"] {
        let done = run(&[command, &job, "--plan", &link]);
        let said = text(&done.stderr);
        assert_eq!(done.status.code(), Some(5), "{command}: {said}");
        assert!(said.contains("link") && said.contains("gone.json"), "{said}");
        assert!(!said.contains("rollwright plan"), "{said}");
    }
}

/// Whoever waits for a pipe waits without end.
#[cfg(unix)]
#[test]
fn no_command_waits_for_a_pipe() {
    let folder = planned();
    let job = folder.path().display().to_string();
    let at = |name: &str| folder.path().join(name).display().to_string();
    let (pipe, out) = (at("pipe"), at("out2"));
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().expect("a run").success());
    let plan = at("out/plan.json");
    let runs: [&[&str]; 10] = [
        &["audit", &job, &pipe],
        &["nest", &pipe],
        &["stacks", &pipe],
        &["plan", &job, "--out", &out, "--from", &plan, "--done", &pipe],
        &["plan", &job, "--out", &out, "--from", &pipe, "--done", &plan],
        &["tickets", &job, "--plan", &pipe],
        &["wraps", &pipe, &job],
        &["allowance", &pipe],
        &["compare", &job, "--options", &pipe],
        &["price", &job, "--plan", &pipe],
    ];
    for words in runs {
        let mut command = rollwright();
        let done = command.args(words).timeout(std::time::Duration::from_mins(1)).output();
        let done = done.expect("a run");
        let said = text(&done.stderr);
        assert_eq!(done.status.code(), Some(5), "{words:?}: {said}");
        assert!(said.contains("a pipe or a device, where a plain file is needed"), "{said}");
    }
}

#[test]
fn every_command_has_help_with_an_example_and_a_page_of_the_manual() {
    let names = commands();
    assert!(names.len() >= 12, "{names:?}");
    let bash = text(&run(&["completions", "bash"]).stdout);
    for name in &names {
        let help = run(&[name, "--help"]);
        let help = (help.status.code(), text(&help.stdout), text(&help.stderr));
        assert_eq!(help.0, Some(0), "{name}");
        assert!(
            help.1.contains("Example") && help.1.contains(&format!("rollwright {name}")),
            "{}",
            help.1
        );
        assert_eq!(help.2, "", "{name}");
        let page = run(&["man", name]);
        let page = (page.status.code(), text(&page.stdout));
        assert_eq!(page.0, Some(0), "{name}");
        let title = format!(".TH rollwright-{name} 1");
        assert!(page.1.contains(".SH SYNOPSIS") && page.1.contains(&title), "{}", page.1);
        assert!(
            bash.contains(&format!("            rollwright,{name})\n")),
            "{name} is not completed"
        );
    }
    let whole = text(&run(&["man"]).stdout);
    assert!(whole.contains(".TH rollwright 1"), "{whole}");
    // The pages that a page names are there as well.
    let shelf = text(&run(&["man", "shelf"]).stdout);
    let own = text(&run(&["man", "shelf", "add"]).stdout);
    assert!(shelf.contains("rollwright\\-shelf\\-add(1)"), "{shelf}");
    assert!(own.contains(".TH rollwright-shelf-add 1") && own.contains("thickness"), "{own}");
    assert_eq!(run(&["man", "plan", "add"]).status.code(), Some(2));
    assert!(whole.contains("Exit codes"));
    for shell in ["zsh", "fish", "powershell", "elvish"] {
        assert!(run(&["completions", shell]).stdout.len() > 1000, "{shell}");
    }
}

#[test]
fn a_shell_takes_the_completions() {
    let script = text(&run(&["completions", "bash"]).stdout);
    let file = tempfile::NamedTempFile::new().expect("a file");
    fs::write(file.path(), script).expect("written");
    let ask = format!(
        "source {}; COMP_WORDS=(rollwright pla); COMP_CWORD=1; _rollwright rollwright pla; \
         echo \"${{COMPREPLY[@]}}\"",
        file.path().display()
    );
    let told = std::process::Command::new("bash").arg("-c").arg(ask).output().expect("bash");
    assert_eq!(text(&told.stdout).trim(), "plan", "{}", text(&told.stderr));
}

/// Names of tables and codes of findings are words of ours: the shell knows them, and help stays short.
#[test]
fn tables_and_codes_are_completed() {
    let complete = |command: &str, word: &str| {
        let script = text(&run(&["completions", "bash"]).stdout);
        let file = tempfile::NamedTempFile::new().expect("a file");
        fs::write(file.path(), script).expect("written");
        let ask = format!(
            "source {}; COMP_WORDS=(rollwright {command} {word}); COMP_CWORD=2; \
             _rollwright rollwright {word} {command}; echo \"${{COMPREPLY[@]}}\"",
            file.path().display()
        );
        let told = std::process::Command::new("bash").arg("-c").arg(ask).output().expect("bash");
        text(&told.stdout).trim().to_owned()
    };
    assert_eq!(complete("columns", "take"), "takeoff");
    let codes = complete("explain", "T00");
    assert!(codes.starts_with("T001 T002 ") && !codes.contains("S001"), "{codes}");
    assert!(text(&run(&["completions", "zsh"]).stdout).contains("T001"));
    for words in [&["explain", "--help"][..], &["man", "explain"]] {
        assert!(!text(&run(words).stdout).contains("T013"), "{words:?}");
    }
    // As before, a slip is answered with what is nearest, and case and endings do not matter.
    assert_eq!(run(&["columns", "TAKEOFF.csv"]).status.code(), Some(0));
    assert_eq!(run(&["explain", "t012"]).status.code(), Some(0));
    assert!(text(&run(&["explain", "T9l2"]).stderr).contains("the nearest is"));
}

#[test]
fn slips_are_answered_with_what_was_meant() {
    for (words, meant) in [
        (&["plna"][..], "'plan'"),
        (&["plan", "x", "--secnods", "3"], "'--seconds'"),
        (&["explain", "T01"], "nearest is T0"),
        (&["man", "ordre"], "write `order`"),
        (&["completions", "bsh"], "'bash'"),
    ] {
        let told = run(words);
        let errors = text(&told.stderr);
        assert_eq!(told.status.code(), Some(2), "{words:?}");
        assert!(errors.contains(meant), "`{meant}` is not in:\n{errors}");
        assert!(told.stdout.is_empty());
    }
    let folder = job();
    let takeoff = TAKEOFF.replace("quantity", "quanity").replace("elbow", "elbwo");
    fs::write(folder.path().join("takeoff.csv"), takeoff).expect("written");
    fs::write(folder.path().join("rules.toml"), "[joints]\nstager = 100\n").expect("written");
    let told = rollwright().arg("plan").arg(folder.path()).output().expect("a run");
    let errors = text(&told.stderr);
    assert_eq!(told.status.code(), Some(1));
    for meant in ["write `quantity`", "stagger"] {
        assert!(errors.contains(meant), "`{meant}` is not in:\n{errors}");
    }
}

/// What goes wrong is said with what to do about it.
#[test]
fn slips_are_answered_with_what_is_meant() {
    let folder = job();
    let path = folder.path().display().to_string();
    let takeoff = folder.path().join("takeoff.csv").display().to_string();
    for (words, meant) in [
        (&["plan", &takeoff][..], &*format!("name the folder that it lies in: `{path}`")),
        (&["plan", &path, "--ouput", "x"], "'--out'"),
        (&["compare", &path, "--set", "joints.stagger"], "write `KEY=VALUE`"),
        (&["begin", &path], "fill in its tables"),
        #[cfg(target_os = "linux")]
        (&["plan", &path, "--out", "/proc/foo"], "the folder /proc/foo cannot be made"),
    ] {
        let told = run(words);
        let errors = text(&told.stderr);
        assert!(!told.status.success(), "{words:?}");
        assert!(errors.contains(meant), "{words:?}: `{meant}` is not in:\n{errors}");
    }
}

/// With so much work allowed the demo would take days.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_can_only_be_read_is_told_before_the_work() {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/demo/vellmoor");
    for name in ["plan", "stages"] {
        let mut command = Command::cargo_bin("rollwright").expect("the program");
        command.args([name, demo, "--out", "/proc/plans", "--work", "1000000000000"]);
        let done = command.timeout(std::time::Duration::from_mins(1)).output().expect("a run");
        let errors = text(&done.stderr);
        assert_eq!(done.status.code(), Some(5), "{name}: {errors}");
        assert!(errors.contains("the folder /proc/plans"), "{name}: {errors}");
    }
}

/// A line with too many cells is one mistake, whatever its cells then hold.
#[test]
fn a_line_with_too_many_cells_is_told_once() {
    let folder = job();
    let path = folder.path().display().to_string();
    for line in ["asdf\n", "P-2,hall,L-1,pipe,NPS 6,7,35 m,2,10+10,\n"] {
        fs::write(folder.path().join("takeoff.csv"), format!("{TAKEOFF}{line}")).expect("written");
        let errors = text(&run(&["pieces", &path]).stderr);
        assert!(
            errors.contains(":5: error F011: there") && errors.contains("\n1 error"),
            "{errors}"
        );
    }
}

#[test]
fn mistyped_names_of_items_rolls_files_and_offcuts_are_answered_with_those_that_are_there() {
    let folder = planned();
    let path = folder.path().display().to_string();
    let name = folder.path().file_name().expect("a name").to_string_lossy().into_owned();
    let ledger = folder.path().join("shelf.db").display().to_string();
    let add = ["shelf", "add", &ledger, "--thickness", "10", "--width", "700", "--length", "1800"];
    let put = run(&[&add[..], &["--place", "rack 2", "--name", "left-7"]].concat());
    assert_eq!(put.status.code(), Some(0), "{}", text(&put.stderr));
    let (plan, slip) = (folder.path().join("out/plam.json"), format!("{path}x"));
    let plan = plan.display().to_string();
    let own = format!("`{name}`");
    for (words, meant) in [
        (&["templates", &path, "--item", "E-l"][..], "write `E-1`"),
        (&["templates", &path, "--piece", "AA1"], "write `A"),
        (&["compare", &path, "--set", "price.B01=3"], "write `B10`"),
        (&["compare", &path, "--set", "rolls=B100"], "write `B10`"),
        (&["compare", &path, "--set", "labor.tie=3"], "write `labour.tie`"),
        (&["compare", &path, "--set", "tabel.pull_limit=3"], "write `table.pull_limit`"),
        (&["shelf", "take", &ledger, "left-1"], "write `left-7`"),
        (&["shelf", "move", &ledger, "left-1", "--place", "rack 2"], "write `left-7`"),
        (&["shelf", "list", &ledger, "--place", "rakc 2"], "`rack 2`"),
        (&["shelf", "lend", &ledger, &slip], &own),
        (&["audit", &path, &plan], "`plan.json`"),
        (&["order", &slip], &own),
        (&["bench", &slip], &own),
        (&["tickets", &slip], &own),
    ] {
        let told = run(words);
        let errors = text(&told.stderr);
        assert!(!told.status.success(), "{words:?}");
        assert!(errors.contains(meant), "{words:?}: `{meant}` is not in:\n{errors}");
        assert!(!errors.contains("os error"), "{errors}");
    }
}

/// A name with a space is quoted where a command is shown to be copied.
#[cfg(unix)]
#[test]
fn commands_that_are_shown_can_be_copied() {
    let folder = tempfile::tempdir().expect("a folder");
    let yard = folder.path().join("north yard").display().to_string();
    let quoted = format!("rollwright plan '{yard}'");
    for code in [0, 1] {
        let told = run(&["begin", &yard]);
        let errors = text(&told.stderr);
        assert!(told.status.code() == Some(code) && errors.contains(&quoted), "{errors}");
    }
}

#[test]
fn everything_that_gives_data_gives_it_in_json() {
    let folder = planned();
    let path = folder.path().display().to_string();
    let plan = folder.path().join("out/plan.json").display().to_string();
    let file = |name: &str, text: &str| {
        let path = folder.path().join(name);
        fs::write(&path, text).expect("written");
        path.display().to_string()
    };
    let bare = file(
        "bare.json",
        r#"{"name": "a", "objective": "rolls", "cutting": {"style": "straight", "stages": 2},
            "rolls": [{"id": "A", "width": 1500, "length": 2700}],
            "pieces": [{"id": "p", "width": 480, "length": 300, "quantity": 7}]}"#,
    );
    let stacks = file(
        "stacks.json",
        r#"{"name": "s", "customers": 2, "products": 3, "matrix": ["110", "011"]}"#,
    );
    let little = ["--work", "20000", "--json"];
    let all = [
        &["rules", "--json"][..],
        &["columns", "--json"],
        &["explain", "--json"],
        &["explain", "T012", "--json"],
        &["pieces", &path, "--json"],
        &["plan", &path, "--json"],
        &["audit", &path, &plan, "--json"],
        &["draw", &path, "--json"],
        &[&["order", &path][..], &little].concat(),
        &[&["seams", &path][..], &little].concat(),
        &[&["price", &path][..], &little].concat(),
        &[&["price", &path, "--order"][..], &little].concat(),
        &[&["compare", &path, "--set", "shelf=none"][..], &little].concat(),
        &[&["allowance", &path, "--jobs", "10", "--sizes", "1"][..], &little].concat(),
        &[&["risk", &path, "--jobs", "10", "--uncertainty", "5"][..], &little].concat(),
        &[&["stages", &path][..], &little].concat(),
        &[&["weights", &path][..], &little].concat(),
        &[&["nest", &bare][..], &little].concat(),
        &["stacks", &stacks, "--json"],
    ];
    for words in all {
        let told = run(words);
        assert_eq!(told.status.code(), Some(0), "{words:?}: {}", text(&told.stderr));
        let json: serde_json::Value = serde_json::from_slice(&told.stdout).expect("JSON");
        let empty = json.as_array().is_some_and(Vec::is_empty)
            || json.as_object().is_some_and(serde_json::Map::is_empty);
        assert!(!empty && (json.is_array() || json.is_object()), "{words:?}: {json}");
    }
    for name in commands() {
        let offers = text(&run(&[&name, "--help"]).stdout).contains("  --json");
        let tried = all.iter().any(|words| words.first() == Some(&name.as_str()));
        assert_eq!(offers, tried, "{name} and JSON");
    }
}

#[test]
fn nothing_is_coloured_unless_a_terminal_looks() {
    let folder = job();
    fs::write(folder.path().join("takeoff.csv"), "item\n").expect("written");
    let path = folder.path().display().to_string();
    let told = run(&["plan", &path]);
    assert!(!told.stderr.contains(&0x1b));
    // `script` of util-linux runs a command on a terminal of its own.
    let on_terminal = |variables: &[(&str, &str)]| {
        let line = format!("{} plan {path}", env!("CARGO_BIN_EXE_rollwright"));
        let mut command = std::process::Command::new("script");
        command.args(["-qec", &line, "/dev/null"]).env("TERM", "xterm").env_remove("NO_COLOR");
        command.envs(variables.iter().copied()).output().ok().map(|o| o.stdout)
    };
    let Some(coloured) = on_terminal(&[]) else {
        use std::io::Write as _;
        let _ = writeln!(std::io::stderr(), "SKIPPED: script (util-linux) is missing");
        return;
    };
    assert!(text(&coloured).contains("\u{1b}[1;31merror\u{1b}[0m"), "{}", text(&coloured));
    for variable in [("NO_COLOR", "1"), ("TERM", "dumb")] {
        let plain = on_terminal(&[variable]).expect("as before");
        assert!(text(&plain).contains(": error F"), "{}", text(&plain));
        assert!(!plain.contains(&0x1b), "{variable:?}");
    }
}

#[test]
fn drawings_need_a_plan_that_stands_and_never_replace_others_files() {
    let folder = job();
    let path = folder.path().display().to_string();
    let told = run(&["draw", &path]);
    assert_eq!(told.status.code(), Some(2));
    assert!(text(&told.stderr).contains("rollwright plan"));
    let folder = planned();
    let path = folder.path().display().to_string();
    assert_eq!(run(&["draw", &path, "--out", &path]).status.code(), Some(2));
    let theirs = tempfile::tempdir().expect("a folder");
    fs::write(theirs.path().join("drawing-001.svg"), "theirs").expect("written");
    let out = theirs.path().display().to_string();
    assert_eq!(run(&["draw", &path, "--out", &out]).status.code(), Some(2));
    assert_eq!(fs::read(theirs.path().join("drawing-001.svg")).expect("there"), b"theirs");
    // Files of an earlier run that are no longer written would mislead.
    assert_eq!(run(&["draw", &path]).status.code(), Some(0));
    let drawings = folder.path().join("out/drawings");
    assert!(drawings.join("drawing-001.svg").exists());
    assert_eq!(run(&["draw", &path, "--each", "roll", "--format", "dxf"]).status.code(), Some(0));
    assert!(!drawings.join("drawing-001.svg").exists() && drawings.join("layout-001.dxf").exists());
    // Another takeoff: the plan does not stand for it.
    fs::write(folder.path().join("takeoff.csv"), TAKEOFF.replace("12 m", "11 m")).expect("written");
    let plan = folder.path().join("out/plan.json").display().to_string();
    for command in [&["draw", &path][..], &["tickets", &path], &["price", &path, "--plan", &plan]] {
        let told = run(command);
        assert_eq!(told.status.code(), Some(1), "{command:?}: {}", text(&told.stderr));
        assert!(text(&told.stderr).contains("make a new plan"), "{}", text(&told.stderr));
    }
}

#[test]
fn drawings_are_read_by_another_program() {
    let folder = planned();
    let path = folder.path().display().to_string();
    assert_eq!(run(&["draw", &path]).status.code(), Some(0));
    let drawings = folder.path().join("out/drawings");
    let check = r#"
import csv, glob, math, sys, ezdxf
folder = sys.argv[1]
words = {"blanket edge", "square cut", "cross-cuts", "rips", "trims", "outline cuts",
         "pieces to look at", "offcuts to keep", "words"}
sheets = {row["file"]: row for row in csv.DictReader(open(folder + "/drawings.csv", newline=""))}
curved = cuts = 0
for name in sorted(glob.glob(folder + "/*.dxf")):
    drawing = ezdxf.readfile(name)
    audit = drawing.audit()
    assert not audit.errors, (name, audit.errors)
    assert drawing.header["$INSUNITS"] == 4, "millimetres"
    assert words <= {layer.dxf.name for layer in drawing.layers}
    sheet = sheets[name.split("/")[-1][:-4]]
    seen = {}
    xs, ys = [], []
    for entity in drawing.modelspace():
        kind, layer = entity.dxftype(), entity.dxf.layer
        assert layer in words, layer
        if kind == "LINE":
            cuts += 1
            a, b = entity.dxf.start, entity.dxf.end
            key = tuple(sorted([(round(a.x, 4), round(a.y, 4)), (round(b.x, 4), round(b.y, 4))]))
            assert key not in seen, (name, key, "is cut twice")
            seen[key] = layer
        elif kind == "LWPOLYLINE":
            assert entity.closed
            points = list(entity.get_points("xy"))
            if layer == "blanket edge":
                xs, ys = zip(*points)
            curved += layer == "pieces to look at" and len(points) > 4
    assert abs(max(xs) - min(xs) - float(sheet["width mm"])) < 1e-6
    assert abs(max(ys) - min(ys) - float(sheet["length mm"])) < 1e-6
print(len(sheets), curved, cuts)
"#;
    let Some(told) = python("ezdxf", check, &[&drawings.display().to_string()]) else { return };
    let counts: Vec<u32> = told.split_whitespace().filter_map(|n| n.parse().ok()).collect();
    assert!(counts.len() == 3 && counts.iter().all(|n| *n > 0), "{told}");
    let svg = fs::read_to_string(drawings.join("drawing-001.svg")).expect("a drawing");
    assert!(svg.contains("mm\" viewBox=") && svg.contains("id=\"cross-cuts\""), "{svg}");
}

#[test]
fn quiet_tells_nothing_and_verbose_more() {
    let folder = job();
    let takeoff = TAKEOFF.replace("note\n", "note,own\n").replace(",\n", ",,\n");
    fs::write(folder.path().join("takeoff.csv"), ["\u{feff}", &takeoff].concat()).expect("written");
    let told = |words: &[&str]| {
        let output = rollwright().args(words).arg(folder.path()).output().expect("a run");
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        (text(&output.stdout), text(&output.stderr))
    };
    let (data, plain) = told(&["pieces"]);
    let (quiet_data, quiet) = told(&["pieces", "--quiet"]);
    let (verbose_data, verbose) = told(&["pieces", "--verbose"]);
    assert!(data == quiet_data && data == verbose_data && !data.is_empty());
    assert_eq!(quiet, "");
    assert!(plain.contains("F008") && !plain.contains("note F004:"), "{plain}");
    assert!(verbose.contains("F008") && verbose.contains("F004"), "{verbose}");
}

/// The names of all files below a folder.
fn names(folder: &Path, found: &mut Vec<String>) {
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            names(&path, found);
        } else {
            found.push(path.file_name().expect("a name").to_string_lossy().into_owned());
        }
    }
}

#[test]
fn names_from_the_takeoff_never_become_names_of_files() {
    let folder = job();
    let takeoff = TAKEOFF.replace("P-1,", "../../P<script>,").replace("E-1,", "\"a/b\\c:d\",");
    fs::write(folder.path().join("takeoff.csv"), takeoff).expect("written");
    rollwright().arg("plan").arg(folder.path()).assert().code(0);
    rollwright().arg("draw").arg(folder.path()).assert().code(0);
    let mut found = Vec::new();
    names(folder.path(), &mut found);
    assert!(found.len() > 12);
    for name in found {
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || "-.".contains(c);
        assert!(name.chars().all(plain), "{name}");
    }
}

#[test]
fn a_job_begins_with_empty_tables_and_nothing_is_replaced() {
    let place = tempfile::tempdir().expect("a folder");
    let yard = place.path().join("north yard");
    let folder = yard.to_str().expect("a name in letters");
    let made = run(&["begin", folder]);
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
    assert!(text(&made.stderr).contains("takeoff.csv"), "{}", text(&made.stderr));
    // The headings are those that are read: the only thing wrong is that nothing stands below.
    let planned = run(&["plan", folder]);
    let told = text(&planned.stderr);
    assert_eq!(planned.status.code(), Some(1), "{told}");
    assert!(!told.contains("there is no column") && !told.contains("is not read"), "{told}");
    // Filled in as the examples say, it is a job.
    for (file, line) in
        [("takeoff.csv", "P-1,pipe,NPS 6,12 m,2,10+10\n"), ("rolls.csv", "B10,10,1500,50 m\n")]
    {
        let path = yard.join(file);
        let before = fs::read_to_string(&path).expect("headings");
        let missing = before.matches(',').count() - line.matches(',').count();
        let line = line.replace('\n', &(",".repeat(missing) + "\n"));
        fs::write(&path, before + &line).expect("written");
    }
    assert_eq!(run(&["pieces", folder]).status.code(), Some(0));
    // A second time it is refused, and what was filled in stays.
    let again = run(&["begin", folder]);
    assert_eq!(again.status.code(), Some(1));
    assert!(text(&again.stderr).contains("takeoff.csv"), "{}", text(&again.stderr));
    assert!(fs::read_to_string(yard.join("takeoff.csv")).expect("kept").contains("P-1"));
}

#[test]
fn every_table_says_what_its_columns_mean() {
    let all = run(&["columns"]);
    let told = text(&all.stdout);
    for heading in ["takeoff.csv: ", "rolls.csv: ", "offcuts.csv: ", "done.csv: ", "wraps.csv: "] {
        assert!(told.contains(heading), "{heading} is missing in {told}");
    }
    let one = run(&["columns", "rolls.csv", "--json"]);
    let list: serde_json::Value = serde_json::from_slice(&one.stdout).expect("JSON");
    assert_eq!(list[0]["table"], "rolls");
    assert_eq!(list[0]["columns"][0]["name"], "roll");
    let wrong = run(&["columns", "takeof"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(text(&wrong.stderr).contains("write `takeoff`"), "{}", text(&wrong.stderr));
}

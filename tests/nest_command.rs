//! `rollwright nest` from outside: what it prints, writes, refuses and returns.

#![expect(
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "a test helper that fails should stop the test"
)]

use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use std::time::Instant;

/// 7 pieces of 480 x 300 lie three abreast, so three to a pull and 9 pulls of 300 to a roll of
/// 2700: one roll. 40 of them take 14 pulls: two rolls. Both optima by counting.
fn instance(name: &str, quantity: u64) -> String {
    format!(
        r#"{{"name": "{name}", "objective": "rolls",
            "rolls": [{{"id": "A", "width": 1500, "length": 2700, "price": 310.5}}],
            "pieces": [{{"id": "p", "width": 480, "length": 300, "quantity": {quantity}}}],
            "cutting": {{"style": "straight", "stages": 2}}}}"#
    )
}

fn nest(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_rollwright"))
        .arg("nest")
        .args(args)
        .current_dir(folder)
        .output()
        .expect("the program runs")
}

fn folder(files: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, text) in files {
        fs::write(folder.path().join(name), text).expect("written");
    }
    folder
}

fn lines(output: &Output) -> Vec<Value> {
    let text = String::from_utf8_lossy(&output.stdout);
    text.lines().map(|line| serde_json::from_str(line).expect("a line of JSON")).collect()
}

fn messages(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// A price that nobody gave is not made up: not in what is told, and where it is to be the lowest the instance is refused.
#[test]
fn a_roll_without_a_price_has_none() {
    let given = instance("two", 40);
    let bare = given.replace(", \"price\": 310.5", "");
    let lowest = |text: &str| text.replace("\"rolls\",", "\"price\",");
    let folder =
        folder(&[("given.json", &given), ("bare.json", &bare), ("low.json", &lowest(&bare))]);
    let price = |file: &str| lines(&nest(folder.path(), &[file, "--json"]))[0]["price"].clone();
    assert_eq!((price("given.json"), price("bare.json")), (621.into(), Value::Null));
    let refused = nest(folder.path(), &["low.json"]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(messages(&refused).contains("the objective is the price, and roll `A` has none"));
}

/// The instance in the help can be copied.
#[test]
fn the_instance_that_help_shows_is_one() {
    let folder = folder(&[]);
    let help = String::from_utf8_lossy(&nest(folder.path(), &["--help"]).stdout).into_owned();
    let shown = help.split("list of them:").nth(1).and_then(|rest| rest.split("Lengths").next());
    fs::write(folder.path().join("shown.json"), shown.expect("an instance")).expect("written");
    let output = nest(folder.path(), &["shown.json", "--json"]);
    assert_eq!(output.status.code(), Some(0), "{}", messages(&output));
    assert_eq!(messages(&output), "");
    assert_eq!(lines(&output)[0]["status"], "proven");
}

#[test]
fn a_line_of_json_holds_what_others_rely_on() {
    let both = format!("[{}, {}]", instance("few", 7), instance("many", 40));
    let folder = folder(&[("set.json", &both)]);
    let output = nest(folder.path(), &["set.json", "--json"]);
    assert_eq!(output.status.code(), Some(0), "{}", messages(&output));
    let lines = lines(&output);
    assert_eq!(lines.len(), 2);
    let keys: Vec<&str> =
        lines[0].as_object().expect("an object").keys().map(String::as_str).collect();
    let mut expected = [
        "name",
        "status",
        "value",
        "bound",
        "rolls",
        "price",
        "length",
        "piece_area",
        "used_area",
        "seconds",
        "audited",
    ];
    expected.sort_unstable();
    let mut keys = keys;
    keys.sort_unstable();
    assert_eq!(keys, expected);
    let figures = |at: usize, key: &str| lines[at][key].as_f64();
    assert_eq!((lines[0]["name"].as_str(), lines[1]["name"].as_str()), (Some("few"), Some("many")));
    for (at, rolls, pieces) in [(0, 1.0, 7.0), (1, 2.0, 40.0)] {
        assert_eq!(lines[at]["status"], "proven");
        assert_eq!(figures(at, "value"), Some(rolls));
        assert_eq!(figures(at, "bound"), Some(rolls));
        assert_eq!(figures(at, "rolls"), Some(rolls));
        assert_eq!(figures(at, "price"), Some(310.5 * rolls));
        assert_eq!(figures(at, "piece_area"), Some(480.0 * 300.0 * pieces));
        assert_eq!(figures(at, "used_area"), Some(1500.0 * 2700.0 * rolls));
        assert_eq!(lines[at]["audited"], true);
    }
    // Three pulls of 300 hold seven; fourteen hold forty.
    assert_eq!((figures(0, "length"), figures(1, "length")), (Some(900.0), Some(4200.0)));
}

/// Three covers of 1000 x 900, each whole or in two halves, on rolls that take two pulls of 900. Whole
/// ones leave 500 of each pull: three pulls, two rolls. With the halves of one cover beside the other
/// two, or all in halves, two pulls and one roll do: the least by counting.
#[test]
fn choices_are_made_and_told() {
    let set = r#"{"name": "covers", "objective": "rolls",
        "rolls": [{"id": "A", "width": 1500, "length": 1800}],
        "pieces": [{"id": "whole", "width": 1000, "length": 900, "quantity": 0},
                   {"id": "half", "width": 500, "length": 900, "quantity": 0}],
        "choices": [{"id": "cover", "quantity": 3, "ways": [
            {"id": "in one", "pieces": [{"piece": "whole"}]},
            {"id": "in two", "pieces": [{"piece": "half", "quantity": 2}]}]}],
        "cutting": {"style": "straight", "stages": 2}}"#;
    let folder = folder(&[("set.json", set)]);
    let output = nest(folder.path(), &["set.json", "--json", "--plan", "plans.json"]);
    assert_eq!(output.status.code(), Some(0), "{}", messages(&output));
    let line = &lines(&output)[0];
    assert_eq!((&line["status"], line["value"].as_f64()), (&Value::from("proven"), Some(1.0)));
    assert_eq!(line["audited"], true);
    let taken = line["choices"].as_array().expect("ways taken");
    let count = |way: &str| -> u64 {
        let of = taken.iter().filter(|t| t["choice"] == "cover" && t["way"] == way);
        of.filter_map(|t| t["quantity"].as_u64()).sum()
    };
    assert_eq!(count("in one") + count("in two"), 3);
    assert!(count("in two") > 0);
    let plans = fs::read_to_string(folder.path().join("plans.json")).expect("plans");
    let plans: Value = serde_json::from_str(&plans).expect("JSON");
    assert_eq!(&plans[0]["taken"], &line["choices"]);
    let halves = plans[0]["pieces"].as_array().expect("pieces").iter();
    let halves = halves.filter(|p| p["piece"] == "half").filter_map(|p| p["quantity"].as_u64());
    assert_eq!(halves.sum::<u64>(), 2 * count("in two"));
    let words = String::from_utf8_lossy(&nest(folder.path(), &["set.json"]).stdout).into_owned();
    assert!(words.contains("in two"), "{words}");
}

#[test]
fn a_refused_instance_does_not_stop_the_others() {
    let wrong = instance("wrong", 7).replace("480", "1501");
    let set = format!("[{}, {}]", wrong, instance("right", 7));
    let none = instance("none", 40).replace("310.5", "310.5, \"available\": 1");
    let folder = folder(&[("set.json", &set), ("none.json", &none)]);
    let output = nest(folder.path(), &["set.json", "none.json", "--json", "--plan", "plans.json"]);
    assert_eq!(output.status.code(), Some(1));
    let lines = lines(&output);
    let status: Vec<Option<&str>> = lines.iter().map(|l| l["status"].as_str()).collect();
    assert_eq!(status, [Some("refused"), Some("proven"), Some("refused")]);
    assert!(lines[0]["value"].is_null() && lines[0]["audited"] == false);
    let told = messages(&output);
    assert!(told.contains("N024") && told.contains("set.json:"), "{told}");
    assert!(told.contains("N027") || told.contains("N029"), "{told}");
    let plans = fs::read_to_string(folder.path().join("plans.json")).expect("plans");
    let plans: Value = serde_json::from_str(&plans).expect("JSON");
    assert_eq!(plans.as_array().map(Vec::len), Some(1));
    assert_eq!(plans[0]["name"], "right");
}

#[test]
fn what_is_no_instance_ends_with_its_place_and_writes_nothing() {
    let folder =
        folder(&[("cut.json", "{\n \"name\": \"x\","), ("good.json", &instance("good", 7))]);
    let output = nest(folder.path(), &["good.json", "cut.json", "--json", "--plan", "p.json"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(messages(&output).contains("cut.json:2"), "{}", messages(&output));
    assert!(output.stdout.is_empty() && !folder.path().join("p.json").exists());
    assert_eq!(nest(folder.path(), &["nowhere.json"]).status.code(), Some(5));
}

#[test]
fn wrong_command_lines_and_overwriting_are_refused() {
    let folder = folder(&[("a.json", &instance("a", 7))]);
    let wrong: [&[&str]; 8] = [
        &[],
        &["a.json", "--only", "b"],
        &["a.json", "--seconds", "0"],
        &["a.json", "--threads", "many"],
        &["a.json", "--plan", "a.json"],
        &["a.json", "--certificate", "./a.json"],
        &["a.json", "--plan", "new.json", "--certificate", "new.json"],
        &["a.json", "--plan", "new.json", "--certificate", "./new.json"],
    ];
    for args in wrong {
        assert_eq!(nest(folder.path(), args).status.code(), Some(2), "{args:?}");
    }
    let after = fs::read_to_string(folder.path().join("a.json")).expect("still there");
    assert_eq!(after, instance("a", 7));
    // What cannot be written is told before anything is searched.
    fs::create_dir(folder.path().join("plans")).expect("a folder");
    for (place, words) in [("plans", "is a folder"), ("none/plan.json", "there is no folder none")]
    {
        for option in ["--plan", "--certificate"] {
            let output = nest(folder.path(), &["a.json", option, place]);
            assert_eq!(output.status.code(), Some(2), "{option} {place}");
            assert!(messages(&output).contains(words), "{}", messages(&output));
            assert!(output.stdout.is_empty());
        }
    }
    // Nor anything else that no earlier run wrote, such as a job's tables, its plan or another instance.
    let others = [
        ("takeoff.csv", "item,kind,size\nP-1,pipe,NPS 6\n".to_owned()),
        ("plan.json", "{\"name\":\"job\",\"program\":{},\"nests\":[]}".to_owned()),
        ("b.json", format!("[{}]", instance("b", 9))),
        ("plans.json", "[{\"program\":{},\"nests\":[]}, {\"name\":\"c\"}]".to_owned()),
    ];
    for (name, text) in others {
        fs::write(folder.path().join(name), &text).expect("written");
        for option in ["--plan", "--certificate"] {
            let output = nest(folder.path(), &["a.json", option, name]);
            assert_eq!(output.status.code(), Some(2), "{option} {name}");
            assert!(messages(&output).contains("will not be overwritten"), "{}", messages(&output));
            assert_eq!(
                fs::read_to_string(folder.path().join(name)).expect("there"),
                text,
                "{name}"
            );
        }
    }
    assert!(!folder.path().join("new.json").exists());
}

/// A set of odd sizes that no clock needs to stop.
fn odd(name: &str) -> String {
    let pieces: Vec<String> = (0..24)
        .map(|i| {
            let (width, length) = (137 + 53 * (i * 7 % 23), 211 + 89 * (i * 5 % 19));
            format!(
                r#"{{"id": "p{i}", "width": {width}, "length": {length}, "quantity": {},
                     "turns": [0, 90]}}"#,
                1 + i % 5
            )
        })
        .collect();
    format!(
        r#"{{"name": "{name}", "objective": "rolls",
            "rolls": [{{"id": "A", "width": 1500, "length": 4000}}],
            "pieces": [{}], "cutting": {{"style": "straight", "stages": 2, "gap": 2}}}}"#,
        pieces.join(",")
    )
}

/// The same pieces laid freely on a roll without end, which is searched for half a minute and more.
fn searched() -> String {
    odd("searched")
        .replace("\"objective\": \"rolls\"", "\"objective\": \"length\"")
        .replace("\"length\": 4000", "\"length\": null")
        .replace("\"style\": \"straight\", \"stages\": 2", "\"style\": \"free\"")
}

/// One that is proven at once, and one of which the work ends the search.
#[test]
fn threads_change_no_byte_of_plans_and_certificates() {
    let folder = folder(&[("odd.json", &odd("odd")), ("searched.json", &searched())]);
    let run = |threads: &str| {
        let args = [
            "odd.json",
            "searched.json",
            "--threads",
            threads,
            "--work",
            "500000",
            "--plan",
            "plan.json",
            "--certificate",
            "proof.json",
        ];
        let output = nest(folder.path(), &args);
        assert_eq!(output.status.code(), Some(0), "{}", messages(&output));
        ["plan.json", "proof.json"].map(|f| fs::read(folder.path().join(f)).expect("written"))
    };
    let one = run("1");
    assert_eq!(run("2"), one);
    assert_eq!(run("1"), one);
}

#[test]
fn a_time_limit_is_kept() {
    let folder = folder(&[("odd.json", &searched())]);
    let started = Instant::now();
    let output = nest(folder.path(), &["odd.json", "--json", "--seconds", "1"]);
    let took = started.elapsed().as_secs_f64();
    let line = &lines(&output)[0];
    let seconds = line["seconds"].as_f64().expect("a number");
    // 10 % or 0.3 s is allowed on a machine of one's own; tests run beside others.
    assert!(seconds < 2.0, "{seconds} s, {took} s with start and end");
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(line["status"], "stopped", "the limit had nothing to end: {line}");
    assert!(line["bound"].as_f64() <= line["value"].as_f64());
}

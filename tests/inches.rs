//! Papers of an inch shop: in inches where a tape is held, everything else in millimetres and unchanged.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use assert_cmd::Command;
use rollwright::plan::Plan;
use rollwright::units::Length;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// Two runs of 8 ft on rolls of 48 in by 75 ft: each two courses of 48 in.
const RUNS: &str = "item,area,line,kind,size,length,quantity,build\n\
                    P-1,North yard,L-1,pipe,NPS 6,8 ft,2,10\n";
/// With elbows, whose gores are no whole sixty-fourths of anything.
const MIXED: &str = "item,area,line,kind,size,length,quantity,build,ends\n\
                     P-1,North yard,L-1,pipe,NPS 6,8 ft,2,10+10,\n\
                     P-2,North yard,L-1,pipe,NPS 12,\"17'-3 7/16\"\"\",1,10+10,E-1|none\n\
                     E-1,North yard,L-1,elbow,NPS 12,0,3,10+10,\n\
                     D-1,South yard,V-1,disc,OD 30 in,0,1,10,\n";
const ROLLS: &str = "roll,thickness,width,length,price\nW10,10,48 in,75 ft,310\n";
const RULES: &str = "[resolution]\ncut = \"1/16 in\"\n[table]\nsquare_cut = \"2 in\"\n\
                     [joints]\nstagger = \"3 in\"\nsmallest_piece = \"4 in\"\n";
const INCHES: &str = "lengths = \"inches\"\n";

/// A job with these files beside its rolls.
fn job(files: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let all = [("rolls.csv", ROLLS)];
    for (name, text) in all.iter().chain(files) {
        let path = folder.path().join("yard").join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("made");
        fs::write(path, text).expect("written");
    }
    folder
}

/// Runs a command on the job; what it prints and what it says.
fn run(folder: &tempfile::TempDir, words: &[&str]) -> (String, String) {
    let output = Command::cargo_bin("rollwright")
        .expect("the program")
        .arg(words[0])
        .arg(folder.path().join("yard"))
        .args(&words[1..])
        .output()
        .expect("a run");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let errors = text(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{words:?}: {errors}");
    (text(&output.stdout), errors)
}

/// All files of the folder for reports, by name.
fn files(folder: &tempfile::TempDir) -> BTreeMap<String, Vec<u8>> {
    let entries = fs::read_dir(folder.path().join("yard/out")).expect("a folder");
    let plain = entries.map(|entry| entry.expect("an entry").path()).filter(|path| path.is_file());
    let read = |path: &Path| fs::read(path).expect("a file");
    plain
        .map(|path| (path.file_name().expect("a name").to_string_lossy().into_owned(), read(&path)))
        .collect()
}

fn page(files: &BTreeMap<String, Vec<u8>>, name: &str) -> String {
    String::from_utf8_lossy(&files[name]).replace('\u{a0}', " ")
}

/// By hand: a wrap of 10 mm round 168.3 mm, measured in the blanket's middle, is pi (168.3 + 10) = 560.15 mm or 22.053 in, up
/// to the next sixteenth 22 1/16. Behind a square cut of 2 in the four pulls end at 24 1/16, 46 1/8, 68 3/16 and
/// 90 1/4; of 900 in that leaves 809 3/4.
#[test]
fn tickets_labels_and_kits_are_those_of_hand_reckoning() {
    let folder = job(&[("takeoff.csv", RUNS), ("rules.toml", RULES), ("papers.toml", INCHES)]);
    run(&folder, &["plan"]);
    let (_, told) = run(&folder, &["tickets"]);
    assert!(!told.contains("warning"), "{told}");
    let files = files(&folder);
    let tickets = page(&files, "tickets.html");
    for words in [
        "48 wide, 75 ft long",
        "All dimensions in inches",
        "cut across at 2<",
        "22 1/16 long, 4 pulls",
        "pull 1: 2 to 24 1/16<",
        "pull 2: 24 1/16 to 46 1/8<",
        "pull 3: 46 1/8 to 68 3/16<",
        "pull 4: 68 3/16 to 90 1/4<",
        "48 × 22 1/16",
        "T1 left 1</b>: 48 × 809 3/4, from 90 1/4",
    ] {
        assert!(tickets.contains(words), "{words}");
    }
    let labels = page(&files, "labels.html");
    assert_eq!(labels.matches(">10 mm, 48 × 22 1/16<").count(), 4);
    assert_eq!(labels.matches(">10 mm, 48 × 809 3/4<").count(), 1);
    let report = page(&files, "report.html");
    for words in
        ["inches, unless written otherwise", "pipe NPS 6, 96 in", "(48 × 22 1/16)", "W10, 48 × 900"]
    {
        assert!(report.to_lowercase().contains(&words.to_lowercase()), "{words}");
    }
    // 48 in by 22 1/16 in are 1059 square inches, of which a square foot has 144.
    assert!(report.contains(">7.354<"), "the area of a piece in square feet");
    // Nothing is crooked in this job: the sign stands in the words about it, on the ticket and above the kits.
    assert_eq!((tickets.matches('~').count(), report.matches(">~").count()), (2, 0));
    let (shown, _) = run(&folder, &["pieces"]);
    assert!(shown.contains("48  22 1/16  7.354") && shown.contains("ft2"), "{shown}");
    let (list, _) = run(&folder, &["pieces", "--csv"]);
    // 22 1/16 in are 560.3875 mm.
    assert!(list.contains("\"width mm\"") && list.contains(",1219.2,560.3875,"), "{list}");
}

/// Whatever the papers' measure: the same plan, lists and files for machines, to the byte; and a plan that stands
/// keeps standing where the measure changes.
#[test]
fn only_papers_change_and_no_plan_goes_stale() {
    let folder = job(&[("takeoff.csv", MIXED), ("rules.toml", RULES)]);
    let make = || {
        run(&folder, &["plan"]);
        run(&folder, &["tickets"]);
        files(&folder)
    };
    let set =
        |text: &str| fs::write(folder.path().join("yard/papers.toml"), text).expect("written");
    let without = make();
    set("lengths = \"millimetres\"\n");
    assert!(make() == without, "millimetres are what there is without the file");
    set(INCHES);
    let (_, told) = run(&folder, &["tickets"]);
    // The folder's name, which is made at random, may hold any two letters.
    assert!(!told.contains(" J0"), "{told}");
    let (_, told) = run(&folder, &["audit"]);
    assert!(!told.contains(" J0"), "{told}");
    let inches = make();
    assert!(without.keys().eq(inches.keys()));
    // The workbook's lists are in millimetres all the same; what it is printed on changes.
    let papers = [
        "summary.txt",
        "report.html",
        "tickets.html",
        "tickets.pdf",
        "labels.html",
        "labels.pdf",
        "plan.xlsx",
    ];
    for (name, bytes) in &inches {
        assert_eq!(*bytes == without[name], !papers.contains(&name.as_str()), "{name}");
    }
}

/// Papers in inches are printed on sheets of 8 1/2 by 11 in (215.9 by 279.4 mm, size A of ASME Y14.1, from memory), of
/// which one holds 3 by 7 labels of 70 by 36 mm; others on A4 (ISO 216), unless the file says otherwise.
#[test]
fn papers_are_on_the_sheets_that_are_asked_for() {
    let folder = job(&[("takeoff.csv", MIXED), ("rules.toml", RULES)]);
    let set =
        |text: &str| fs::write(folder.path().join("yard/papers.toml"), text).expect("written");
    for (text, sheet, labels, templates) in [
        ("", "A4", "3 across and 8 down", ",210,297"),
        (INCHES, "letter", "3 across and 7 down", ",215.9,279.4"),
        ("sheets = \"letter\"\n", "letter", "3 across and 7 down", ",215.9,279.4"),
        ("lengths = \"inches\"\nsheets = \"A4\"\n", "A4", "3 across and 8 down", ",210,297"),
    ] {
        set(text);
        run(&folder, &["plan"]);
        run(&folder, &["tickets"]);
        run(&folder, &["templates"]);
        let files = files(&folder);
        for (name, margin) in [("report.html", 13), ("tickets.html", 11), ("labels.html", 0)] {
            let rule = format!("@page{{size:{sheet};margin:{margin}mm}}");
            assert_eq!(page(&files, name).matches("@page").count(), 1, "{name}");
            assert!(page(&files, name).contains(&rule), "{text}: {name}");
        }
        assert!(page(&files, "labels.html").contains(labels), "{text}");
        let list = folder.path().join("yard/out/templates/templates.csv");
        let list = fs::read_to_string(list).expect("a list");
        let lying = templates.rsplit(',').take(2).collect::<Vec<_>>().join(",");
        let lies = |row: &str| row.ends_with(templates) || row.ends_with(&lying);
        assert!(list.lines().count() > 5 && list.lines().skip(1).all(lies), "{text}: {list}");
    }
}

/// Every place of the cut list is the plan's, to the nanometre, and every piece of this job is a whole number of
/// sixteenths.
#[test]
fn the_cut_list_of_an_inch_job_reads_back() {
    let folder = job(&[("takeoff.csv", RUNS), ("rules.toml", RULES), ("papers.toml", INCHES)]);
    run(&folder, &["plan"]);
    let files = files(&folder);
    let plan: Plan = serde_json::from_slice(&files["plan.json"]).expect("a plan");
    let cuts = plan.rolls.iter().flat_map(|roll| &roll.pulls).flat_map(|pull| &pull.cuts);
    let planned: Vec<[Length; 4]> =
        cuts.map(|cut| [cut.from.x, cut.from.y, cut.to.x, cut.to.y]).collect();
    let mut reader = csv::Reader::from_reader(files["cuts.csv"].as_slice());
    let headings = reader.headers().expect("headings").clone();
    let places = ["from x mm", "from y mm", "to x mm", "to y mm"]
        .map(|name| headings.iter().position(|heading| heading == name).expect("a column"));
    let mut rows: Vec<[Length; 4]> = reader
        .records()
        .map(|row| row.expect("a row"))
        .map(|row| places.map(|at| Length::parse(&row[at]).expect("a length")))
        .collect();
    // The first is the square cut.
    let square = Length::parse("2 in").expect("a length");
    assert_eq!(rows.remove(0)[1], square);
    assert!(planned.len() >= 4 && rows == planned, "{rows:?} {planned:?}");
    let sixteenth = Length::parse("1/16 in").expect("a length").nm();
    for piece in &plan.pieces {
        assert_eq!((piece.width.nm() % sixteenth, piece.length.nm() % sixteenth), (0, 0));
    }
}

/// Rules in millimetres make every size crooked: one warning says what to write.
#[test]
fn rules_in_millimetres_are_told_once() {
    let folder = job(&[("takeoff.csv", RUNS), ("papers.toml", INCHES)]);
    let (_, told) = run(&folder, &["pieces"]);
    assert_eq!(told.matches("warning R071").count(), 1, "{told}");
    assert!(told.contains("cut = \"1/16 in\"") && told.contains("square_cut = \"2 in\""), "{told}");
    fs::write(folder.path().join("yard/papers.toml"), "").expect("written");
    let (_, told) = run(&folder, &["pieces"]);
    assert!(!told.contains("R071"), "{told}");
}

/// With a step of 1 mm every size is rounded: tickets, kits and report say so once, in place of a mark on each. Labels
/// have no room for that. By hand: 560.15 mm, up to 561, are 22.0866 in, up to a sixty-fourth 22 3/32 (22.09375).
#[test]
fn where_all_lengths_are_rounded_papers_say_so_once() {
    let folder = job(&[("takeoff.csv", RUNS), ("papers.toml", INCHES)]);
    run(&folder, &["plan"]);
    run(&folder, &["tickets"]);
    let files = files(&folder);
    let (tickets, report) = (page(&files, "tickets.html"), page(&files, "report.html"));
    assert!(!tickets.contains('~') && !report.contains('~'), "a mark on a figure");
    let told = "All dimensions in inches, rounded to 1/64: a piece's size up, what is left down";
    assert_eq!(tickets.matches(told).count(), 2, "on the ticket and above the kits");
    assert!(tickets.contains("48 × 22 3/32"), "{tickets}");
    assert!(report.contains("inches, unless written otherwise; rounded to 1/64"));
    assert!(report.contains("they are rounded to 1/64, sizes up"));
    assert_eq!(page(&files, "labels.html").matches(">10 mm, ~48 × ~22 3/32<").count(), 2);
}

/// Of what a ticket leaves all that comes after counts no more than there is. By hand: behind a square cut of 50 mm, up to
/// a sixty-fourth 1 31/32 in, four pulls of 22 3/32 end at 90 11/32 in; of 75 ft that leaves 809 21/32 in or 20565.26875
/// mm, where the plan, at 50 + 4 x 561 mm, leaves 20566.
#[test]
fn what_is_left_is_left_as_tickets_are_set_out() {
    let runs = RUNS.replace("8 ft", "2438");
    let folder = job(&[("takeoff.csv", &runs), ("papers.toml", INCHES)]);
    run(&folder, &["plan"]);
    run(&folder, &["tickets"]);
    let files = files(&folder);
    let plan: Plan = serde_json::from_slice(&files["plan.json"]).expect("a plan");
    assert_eq!(plan.rolls[0].offcuts[0].length, Length::from_mm(20_566));
    assert!(page(&files, "tickets.html").contains("48 × 809 21/32"), "the ticket");
    assert!(page(&files, "offcuts.csv").contains(",1219.2,20565.26875,1,"), "the list");

    let at = |name: &str| folder.path().join(name).display().to_string();
    fs::write(at("done.csv"), "ticket,what,pull\nT1,cut,all\n").expect("written");
    fs::write(at("yard/takeoff.csv"), runs.replace("2438,2", "2438,4")).expect("written");
    let from = ["--from", &at("yard/out/plan.json"), "--done", &at("done.csv")];
    run(&folder, &[&["plan", "--out", &at("out2")], &from[..]].concat());
    let bytes = fs::read(at("out2/plan.json")).expect("a plan");
    let next: Plan = serde_json::from_slice(&bytes).expect("a plan");
    let stock = &next.already.as_ref().expect("what is on hand").stock;
    let rest = Length::from_nm(20_565_268_750);
    assert_eq!(stock.iter().map(|one| one.length).collect::<Vec<_>>(), [rest]);
    run(&folder, &[&["audit", &at("out2/plan.json")], &from[..]].concat());

    fs::write(at("yard/takeoff.csv"), runs).expect("written");
    let shelf = |words: &[&str]| {
        let output = Command::cargo_bin("rollwright")
            .expect("the program")
            .arg("shelf")
            .args(words)
            .output();
        let output = output.expect("a run");
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    let size = ["--thickness", "5", "--width", "700", "--length", "900", "--place", "rack"];
    shelf(&[&["add", &at("shelf.db")], &size[..]].concat());
    shelf(&["book", &at("shelf.db"), &at("yard"), &at("yard/out/plan.json"), "--place", "rack"]);
    assert!(shelf(&["list", &at("shelf.db")]).contains("20565.26875"), "the shelf");
}

/// The bar is 4 in (101.6 mm), from the margin of 8 mm to 109.6 mm, with a tick every quarter.
#[test]
fn templates_bear_a_bar_of_four_inches() {
    let folder = job(&[("takeoff.csv", MIXED), ("rules.toml", RULES), ("papers.toml", INCHES)]);
    run(&folder, &["templates"]);
    let out = folder.path().join("yard/out/templates");
    let mut sheets = 0;
    for entry in fs::read_dir(out).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|kind| kind == "svg") {
            let sheet = fs::read_to_string(&path).expect("a file").replace('\u{a0}', " ");
            assert!(sheet.contains(">4 in: measure this bar first;"), "{}", path.display());
            assert!(sheet.contains("L109.6 ") && !sheet.contains("100 mm"), "{}", path.display());
            assert!(sheet.contains(" wide, ~"), "{}", path.display());
            sheets += 1;
        }
    }
    assert!(sheets > 5, "{sheets}");
}

/// What people read beside the papers is told in feet and inches as well: summary, proofs, findings and printed tables;
/// CSV and JSON stay as they are.
#[test]
fn sentences_and_tables_are_in_feet_and_inches() {
    let folder = job(&[("takeoff.csv", MIXED), ("rules.toml", RULES)]);
    let lists = ["price", "allowance"].map(|name| run(&folder, &[name, "--csv"]).0);
    fs::write(folder.path().join("yard/papers.toml"), INCHES).expect("written");
    let metric = |text: &str| {
        text.split_whitespace()
            .any(|word| matches!(word.trim_end_matches(['.', ',', ';', ':']), "m2" | "m"))
    };
    for command in ["order", "price", "allowance"] {
        let (out, _) = run(&folder, &[command]);
        let body: Vec<&str> = out
            .lines()
            .filter(|line| !line.contains("cutting ") && !line.contains("1 m"))
            .collect();
        assert!(!metric(&body.join("\n")), "{command}: {out}");
    }
    let (out, _) = run(&folder, &["plan"]);
    assert!(out.contains(" ft2 ") && out.contains(" ft of cuts"), "{out}");
    assert_eq!(["price", "allowance"].map(|name| run(&folder, &[name, "--csv"]).0), lists);
}

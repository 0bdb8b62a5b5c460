//! The shop, as the command line shows it: order of cutting, tickets, going on after a bad day,
//! release by release.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use assert_cmd::Command;
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

const TAKEOFF: &str = "item,area,line,kind,size,length,quantity,build,release\n\
P-1,North,L-1,pipe,NPS 6,7 m,1,10+10,2\n\
P-2,North,L-1,pipe,NPS 4,5200,2,10,1\n\
E-1,North,L-1,elbow,NPS 6,,2,10+10,2\n\
P-3,South,L-2,pipe,NPS 8,9 m,1,10+10,1\n\
P-4,South,L-2,pipe,NPS 2,6 m,3,10,3\n";
const ROLLS: &str = "roll,thickness,width,length,price,available\nR,10,1500,15 m,400,\n";

struct Shop {
    folder: tempfile::TempDir,
}

impl Shop {
    /// A planned job.
    fn new() -> Self {
        let shop = Self { folder: tempfile::tempdir().expect("a folder") };
        fs::create_dir(shop.path("job")).expect("a folder");
        shop.write("job/takeoff.csv", TAKEOFF);
        shop.write("job/rolls.csv", ROLLS);
        let (code, said) = shop.run(&["plan", "--quiet", "job"]);
        assert_eq!(code, 0, "{said}");
        shop
    }

    /// A planned job with elbows in gores.
    fn with_gores() -> Self {
        let shop = Self::new();
        shop.write("job/rules.toml", "[elbow]\none_piece_up_to = \"NPS 2\"\n");
        assert_eq!(shop.run(&["plan", "--quiet", "job"]).0, 0);
        shop
    }

    /// A job of one kit for each of three releases, on short rolls; its plan is of another.
    fn of_three_releases() -> Self {
        let shop = Self::new();
        let takeoff = "item,kind,size,length,quantity,build,release\n\
                       K0,pipe,NPS 3,2000,3,10,1\nK1,pipe,NPS 3,2000,3,10,2\nK2,pipe,NPS 3,2000,1,10,3\n";
        shop.write("job/takeoff.csv", takeoff);
        shop.write("job/rolls.csv", "roll,thickness,width,length,price\nR,10,1000,1916,100\n");
        shop
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        fs::write(self.path(name), text).expect("written");
    }

    /// Runs the program in the folder; exit code and all that it says.
    fn run(&self, words: &[&str]) -> (i32, String) {
        let output = Command::cargo_bin("rollwright")
            .expect("the program")
            .current_dir(self.folder.path())
            .args(words)
            .output()
            .expect("a run");
        let said = [output.stdout, output.stderr].concat();
        (output.status.code().unwrap_or(-1), String::from_utf8_lossy(&said).into_owned())
    }

    fn plan(&self, name: &str) -> Value {
        serde_json::from_slice(&fs::read(self.path(name)).expect("a plan")).expect("JSON")
    }
}

fn rows(path: &Path) -> Vec<std::collections::BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_path(path).expect("a table");
    reader.deserialize().map(|row| row.expect("a row")).collect()
}

fn number(text: &str) -> u64 {
    text.parse().expect("a number")
}

/// All pieces that a plan's order of cutting yields.
fn yielded(plan: &Value) -> usize {
    let steps = plan["sequence"]["steps"].as_array().expect("steps");
    steps.iter().map(|step| step["uses"].as_array().expect("uses").len()).sum()
}

#[test]
fn every_pull_is_cut_once_and_earlier_releases_first() {
    let shop = Shop::new();
    let plan = shop.plan("job/out/plan.json");
    let pulls: usize = plan["rolls"]
        .as_array()
        .expect("rolls")
        .iter()
        .map(|r| {
            let copies = usize::try_from(r["copies"].as_u64().expect("a count")).expect("few");
            copies * r["pulls"].as_array().expect("pulls").len()
        })
        .sum();
    let list = rows(&shop.path("job/out/sequence.csv"));
    assert_eq!(list.len(), pulls);
    let releases: Vec<u64> = list.iter().map(|row| number(&row["release"])).collect();
    assert!(releases.is_sorted(), "{releases:?}");
    assert_eq!(releases.iter().collect::<BTreeSet<_>>().len(), 3);
    let most = list.iter().map(|row| number(&row["kits open"])).max();
    assert_eq!(most, plan["sequence"]["open_kits"].as_u64());
    let report = fs::read_to_string(shop.path("job/out/report.html")).expect("a report");
    assert!(report.contains("Kits open while each pull is cut"));
}

/// Whether a plan that was altered so still stands.
fn stands(shop: &Shop, alter: impl FnOnce(&mut Value)) -> bool {
    let mut plan = shop.plan("job/out/plan.json");
    alter(&mut plan);
    shop.write("altered.json", plan.to_string());
    let (code, said) = shop.run(&["audit", "job", "altered.json"]);
    assert!(code == 0 || code == 3, "{said}");
    code == 0
}

type Alter = fn(&mut Value);

#[test]
fn an_altered_order_of_cutting_does_not_stand() {
    let shop = Shop::new();
    assert!(stands(&shop, |_| {}));
    let alterations: &[(&str, Alter)] = &[
        ("no order at all", |p| {
            p.as_object_mut().expect("an object").remove("sequence");
        }),
        ("a pull left out", |p| {
            p["sequence"]["steps"].as_array_mut().expect("steps").pop();
        }),
        ("a pull cut twice", |p| {
            let steps = p["sequence"]["steps"].as_array_mut().expect("steps");
            let first = steps[0].clone();
            steps.push(first);
        }),
        ("the last release first", |p| {
            p["sequence"]["steps"].as_array_mut().expect("steps").reverse();
        }),
        ("fewer kits open", |p| p["sequence"]["open_kits"] = 0.into()),
        ("a bound above", |p| p["sequence"]["open_kits_bound"] = 99.into()),
        ("fewer settings", |p| p["sequence"]["setups"] = 0.into()),
        ("fewer changes of the roll", |p| p["sequence"]["roll_changes"] = 0.into()),
        ("lateness hidden or invented", |p| p["sequence"]["late"] = 7.into()),
        ("a piece for nobody", |p| p["sequence"]["steps"][0]["uses"][0] = Value::Null),
        ("a use that is not there", |p| p["sequence"]["steps"][0]["uses"][0] = 999.into()),
        ("a roll that is not there", |p| p["sequence"]["steps"][0]["roll"] = 999.into()),
        ("no order", |p| {
            p.as_object_mut().expect("an object").remove("order");
        }),
        ("more spares than the rules ask for", |p| p["order"][0]["spare"] = 2.into()),
        ("spares told as cut", |p| {
            p["order"][0]["cut"] = 1.into();
            p["order"][0]["more"] = 1.into();
        }),
        ("another rule than it was made under", |p| p["rules"]["table.gap"] = "9".into()),
        ("a rule left out", |p| {
            p["rules"].as_object_mut().expect("rules").remove("table.gap");
        }),
    ];
    for (what, alter) in alterations {
        assert!(!stands(&shop, alter), "{what}");
    }
}

#[test]
fn tickets_kits_and_labels_name_every_piece_once() {
    let shop = Shop::new();
    let (code, said) = shop.run(&["tickets", "job"]);
    assert_eq!(code, 0, "{said}");
    let pieces: u64 =
        rows(&shop.path("job/out/pieces.csv")).iter().map(|r| number(&r["quantity"])).sum();
    let kits = rows(&shop.path("job/out/kits.csv"));
    assert_eq!(kits.iter().map(|row| number(&row["quantity"])).sum::<u64>(), pieces);
    for two in kits.windows(2).filter(|two| two[0]["kit"] == two[1]["kit"]) {
        assert!(number(&two[0]["layer"]) <= number(&two[1]["layer"]), "inner layers first");
    }
    let labels = rows(&shop.path("job/out/labels.csv"));
    let on_pieces = labels.iter().filter(|row| !row["pull"].is_empty()).count();
    assert_eq!(on_pieces as u64, pieces);
    // What is kept bears the name that the next job's shelf has for it.
    let kept: Vec<_> = labels.iter().filter(|row| row["pull"].is_empty()).collect();
    let listed = rows(&shop.path("job/out/offcuts.csv"));
    assert!(!kept.is_empty(), "the case needs an offcut that is kept");
    for label in kept {
        let named = |row: &&std::collections::BTreeMap<String, String>| {
            label["part"].contains(&format!(", keep: {} in offcuts.csv", row["offcut"]))
        };
        let row = listed.iter().find(named).unwrap_or_else(|| panic!("{label:?} in {listed:?}"));
        assert_eq!([&row["width"], &row["length"]], [&label["width mm"], &label["length mm"]]);
    }
    let names: BTreeSet<&str> = labels.iter().map(|row| row["identity"].as_str()).collect();
    assert_eq!(names.len(), labels.len(), "identities are unlike");
    let fits = |name: &&str| {
        name.len() <= 25
            && name.bytes().all(|b| b.is_ascii_digit() || b.is_ascii_uppercase() || b == b'-')
    };
    assert!(names.iter().all(fits), "{names:?}");
    let page = fs::read_to_string(shop.path("job/out/labels.html")).expect("a page");
    assert_eq!(page.matches("<svg").count(), labels.len());
    let tickets = fs::read_to_string(shop.path("job/out/tickets.html")).expect("a page");
    let stacked = "stack it from the end of its list, so that the inner layer comes to lie on top";
    for words in ["Square the front", "Dust: mask", "Knives", "goes to", "seam at", stacked] {
        assert!(tickets.contains(words), "{words}");
    }
    assert!(!tickets.contains("http") && !page.contains("<script"));
    fs::remove_dir_all(shop.path("job/out")).expect("removed");
    assert_eq!(shop.run(&["tickets", "job"]).0, 2, "no plan, no tickets");
}

/// Every edge of a piece that no edge of the roll makes is a rip or a cross-cut on its ticket, measured
/// from the roll's edge before the trim; the settings of the knives count the same places.
#[test]
fn tickets_say_every_cut_that_makes_an_edge() {
    let shop = Shop::new();
    let rules = "[table]\nedge_trim = 5\n";
    shop.write("job/rules.toml", rules);
    let (code, said) = shop.run(&["plan", "--quiet", "job"]);
    assert_eq!(code, 0, "{said}");
    let (code, said) = shop.run(&["tickets", "job"]);
    assert_eq!(code, 0, "{said}");
    let page = fs::read_to_string(shop.path("job/out/tickets.html")).expect("a page");
    assert!(page.contains("before 5 is trimmed off: the first strip begins at 5"));
    let plan = shop.plan("job/out/plan.json");
    let sizes: std::collections::BTreeMap<&str, f64> = plan["pieces"]
        .as_array()
        .expect("pieces")
        .iter()
        .filter(|p| p["outline"].is_null())
        .map(|p| (p["piece"].as_str().expect("a code"), mm(&p["width"])))
        .collect();
    // On a ticket a block names the numbers of its pulls, then its rips.
    let mut rips: std::collections::BTreeMap<usize, String> = std::collections::BTreeMap::new();
    for block in page.split("<div class=\"block\">").skip(1) {
        let listed = block.split("Rip at <b>").nth(1).and_then(|rest| rest.split("</b>").next());
        for part in block.split("</span> pull ").skip(1) {
            let number = part.split(':').next().expect("a number").parse().expect("a number");
            rips.insert(number, format!(", {},", listed.unwrap_or_default().replace(" (", ", (")));
        }
    }
    let mut seen = 0;
    for (at, step) in plan["sequence"]["steps"].as_array().expect("steps").iter().enumerate() {
        let index =
            |key: &str| usize::try_from(step[key].as_u64().expect("an index")).expect("few");
        let pull = &plan["rolls"][index("roll")]["pulls"][index("pull")];
        for place in pull["placements"].as_array().expect("placements") {
            let quarter = place["turn"].to_string().contains("90")
                || place["turn"].to_string().contains("270");
            let Some(width) =
                sizes.get(place["piece"].as_str().expect("a code")).filter(|_| !quarter)
            else {
                continue;
            };
            let far = mm(&place["x"]) + width;
            let shown = format!(", {},", (far * 10.0).round() / 10.0);
            assert!(
                rips[&(at + 1)].contains(&shown),
                "no. {}: {shown} not in {}",
                at + 1,
                rips[&(at + 1)]
            );
            seen += 1;
        }
    }
    assert!(seen > 10, "{seen}");
}

/// A length of a plan file.
fn mm(value: &Value) -> f64 {
    value.as_f64().or_else(|| value.as_str()?.parse().ok()).expect("a length")
}

/// The codes of a plan are used again in the next one, for other sizes.
#[test]
fn tickets_of_the_plan_before_do_not_lie_beside_a_new_one() {
    let shop = Shop::new();
    assert_eq!(shop.run(&["tickets", "job"]).0, 0);
    shop.write("job/out/notes.txt", "mine");
    let (_, said) = shop.run(&["plan", "job"]);
    assert!(!said.contains("taken away") && shop.path("job/out/tickets.pdf").exists(), "{said}");
    shop.write("job/takeoff.csv", TAKEOFF.replace("5200", "5100"));
    let (code, said) = shop.run(&["plan", "job"]);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("taken away") && said.contains("rollwright tickets job"), "{said}");
    for name in
        ["tickets.html", "tickets.pdf", "labels.html", "labels.pdf", "kits.csv", "labels.csv"]
    {
        assert!(!shop.path("job/out").join(name).exists(), "{name}");
    }
    assert!(shop.path("job/out/notes.txt").exists());
}

/// Price lists of a plan before whose rolls had prices are taken away with it, too.
#[test]
fn price_lists_of_the_plan_before_are_taken_away() {
    let shop = Shop::new();
    assert!(shop.path("job/out/price.csv").exists());
    shop.write("job/rolls.csv", ROLLS.replace("400", ""));
    let (code, said) = shop.run(&["plan", "job"]);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("price.csv, items.csv, waste.csv"), "{said}");
    assert!(!shop.path("job/out/price.csv").exists());
}

/// What nobody can make anew is told as taken on the plan's word; what the job tells is held against it. The
/// job is of three releases, 1 to 3.
#[test]
fn what_a_plan_says_of_its_making_is_checked_or_told() {
    let shop = Shop::new();
    let made = shop.plan("job/out/plan.json");
    let audit = |alter: &dyn Fn(&mut Value)| {
        let mut plan = made.clone();
        alter(&mut plan);
        shop.write("altered.json", plan.to_string());
        let (code, said) = shop.run(&["audit", "job", "altered.json"]);
        (code, said.split_whitespace().collect::<Vec<_>>().join(" "))
    };
    let passes = |words: &str, alter: &dyn Fn(&mut Value)| {
        let (code, said) = audit(alter);
        assert!(code == 0 && said.contains(words), "`{words}` is not in: {said}");
    };
    let version = env!("CARGO_PKG_VERSION");
    let maker = |seed: u64, work: &str| {
        format!(
            "that version {version} made it with seed {seed} and {work} of work for each thickness"
        )
    };
    passes(&maker(1, "5000000 steps"), &|_| ());
    passes(&maker(99, "5000000 steps"), &|plan| plan["program"]["seed"] = 99.into());
    passes(&maker(1, "1 step"), &|plan| plan["program"]["limits"]["work"] = 1.into());
    passes("thickness, in a folder named `other`", &|plan| plan["name"] = "other".into());
    passes("that no search was stopped before its end", &|_| ());
    passes("search was stopped before its end for the order of cutting", &|plan| {
        plan["sequence"]["stopped"] = true.into();
    });
    passes("search was stopped before its end for 10 mm", &|plan| {
        let value = plan["nests"][0]["value"].as_f64().expect("a value");
        for place in ["/nests/0/bound", "/bound"] {
            *plan.pointer_mut(place).expect("a bound") = (value - 1.0).into();
        }
        for place in ["/nests/0/status", "/status"] {
            *plan.pointer_mut(place).expect("a status") = "stopped".into();
        }
    });
    passes("J013", &|plan| {
        plan["program"]["version"] = "9.9".into();
        plan["rules"] = serde_json::json!({});
    });
    let other = format!("that version 9.9, where this is {version}, made it");
    passes(&other, &|plan| plan["program"]["version"] = "9.9".into());
    passes("rules that there are now it does not name", &|plan| {
        plan["program"]["version"] = "9.9".into();
        plan["rules"] = serde_json::json!({});
    });
    for (up_to, told) in
        [(99, "releases up to 99, and none is later"), (3, "releases up to 3, and")]
    {
        let (code, said) = audit(&|plan| plan["up_to"] = up_to.into());
        assert!(code == 3 && said.contains(told), "{up_to}: {said}");
    }
    // A comparison with a shelf that there is not.
    let (code, said) = audit(&|plan| {
        let nest = &mut plan["nests"][0];
        nest["without_shelf"] = serde_json::json!({"value": nest["value"], "bound": nest["bound"]});
    });
    assert!(code == 3 && said.contains("without the shelf, which gives it nothing"), "{said}");
    // What items are charged does not follow from a figure that nobody can check.
    let mut idle = made.clone();
    idle["program"]["limits"]["work"] = 0.into();
    shop.write("altered.json", idle.to_string());
    let priced = |plan: &str| shop.run(&["price", "job", "--plan", plan, "--by", "item", "--csv"]);
    assert_eq!(priced("altered.json"), priced("job/out/plan.json"));
}

/// A plan that does not stand is told in the same words by who audits it and by who would use it.
#[test]
fn what_does_not_hold_is_told_alike() {
    let shop = Shop::new();
    shop.write("job/takeoff.csv", TAKEOFF.replace("5200", "5100"));
    let told = |words: &[&str]| {
        let (_, said) = shop.run(words);
        let list = said.split("Changed since the plan was made:").nth(1).expect("causes");
        // What the job itself is told for stands behind it.
        list.split("\ntakeoff.csv:").next().unwrap_or_default().trim().to_owned()
    };
    let audit = told(&["audit", "job"]);
    assert!(audit.contains("What does not hold"), "{audit}");
    assert_eq!(told(&["tickets", "job"]), audit);
    assert_eq!(told(&["price", "job", "--plan", "job/out/plan.json"]), audit);
    // Where much follows from one change, the audit tells all of it and others its beginning.
    shop.write("job/takeoff.csv", TAKEOFF.replace("10+10", "10").replace("6 m", "4 m"));
    let audit = told(&["audit", "job"]);
    let tickets = told(&["tickets", "job"]);
    let (begun, more) = tickets.rsplit_once("  and ").expect("more");
    assert!(audit.starts_with(begun) && more.contains("sentences more"), "{tickets}\n{audit}");
    let lines = |text: &str| text.lines().count();
    assert!(lines(&audit) > lines(&tickets) + 3, "{tickets}\n{audit}");
}

/// By hand: two of four rolls are cut, and a piece of at most 623 mm and as wide as the roll is spoilt. The pulls that are left
/// stand on two rolls on hand; all pulls are 11 (561 + 623) + 3 x 391 mm long, 14,197 of 15,800, and the end of the
/// last roll has room for it. With next to no work a new plan bought a roll.
#[test]
fn a_spoilt_piece_goes_onto_what_is_left_beside_the_pulls_that_stand() {
    let shop = Shop { folder: tempfile::tempdir().expect("a folder") };
    fs::create_dir(shop.path("job")).expect("a folder");
    let takeoff = "item,kind,size,length,quantity,build\nP0,pipe,NPS 6,4000,2,10+10\n\
                   P1,pipe,NPS 6,2900,1,10+10\nP2,pipe,NPS 4,2900,1,10\n";
    shop.write("job/takeoff.csv", takeoff);
    shop.write("job/rolls.csv", "roll,thickness,width,length,price\nA,10,1000,4000,100\n");
    let (code, said) = shop.run(&["plan", "--quiet", "--work", "20000", "job"]);
    assert_eq!(code, 0, "{said}");
    let before = shop.plan("job/out/plan.json");
    assert_eq!(before["value"], 4);
    // A whole course that the second ticket yields.
    let steps = before["sequence"]["steps"].as_array().expect("steps");
    let roll = |step: &Value| (step["roll"].as_u64(), step["copy"].as_u64());
    let other = steps.iter().find(|step| roll(step) != roll(&steps[0])).expect("two rolls");
    let at = |index: &Value| usize::try_from(index.as_u64().expect("an index")).expect("small");
    let pulls = before["rolls"][at(&other["roll"])]["pulls"].as_array().expect("pulls");
    let places = pulls.iter().flat_map(|pull| pull["placements"].as_array().expect("places"));
    let second: BTreeSet<&str> = places.filter_map(|place| place["piece"].as_str()).collect();
    let pieces = before["pieces"].as_array().expect("pieces").iter();
    let mut wide = pieces.filter(|piece| {
        piece["width"] == 1000 && second.contains(piece["piece"].as_str().expect("a code"))
    });
    let code = wide.next().expect("a whole course")["piece"].as_str().expect("a code");
    let list = rows(&shop.path("job/out/sequence.csv"));
    let of_two = list.iter().filter(|row| row["ticket"] == "T1" || row["ticket"] == "T2");
    let cut: usize = of_two.map(|row| row["pieces"].parse::<usize>().expect("a number")).sum();
    let done = format!(
        "ticket,what,pull,from,to,length,piece,quantity,note\nT1,cut,all,,,,,,\nT2,cut,all,,,,,,\n\
         T2,spoilt,all,,,,{code},1,torn\n"
    );
    shop.write("done.csv", done);
    let go_on = ["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv"];
    let (code, said) = shop.run(&[&go_on[..], &["--work", "1", "--out", "next"]].concat());
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("nothing is to be bought"), "{said}");
    assert_eq!(shop.plan("next/plan.json")["value"], 0);
    assert_eq!(yielded(&shop.plan("next/plan.json")) + cut - 1, yielded(&before));
    let audited = || {
        let ground = ["--from", "job/out/plan.json", "--done", "done.csv"];
        shop.run(&[&["audit", "job", "next/plan.json"], &ground[..]].concat()).0
    };
    assert_eq!(audited(), 0);
    // Of the two rolls that the pulls stand on one is there no more.
    let done = fs::read_to_string(shop.path("done.csv")).expect("the report");
    shop.write("done.csv", done + "T3,gone,,,,,,,lent\n");
    let (code, said) = shop.run(&[&go_on[..], &["--work", "1", "--out", "next"]].concat());
    assert_eq!(code, 0, "{said}");
    assert_eq!(shop.plan("next/plan.json")["value"], 1);
    assert_eq!(audited(), 0);
}

#[test]
fn the_rest_is_planned_after_a_bad_day() {
    let shop = Shop::new();
    let before = shop.plan("job/out/plan.json");
    let list = rows(&shop.path("job/out/sequence.csv"));
    let first: Vec<&_> = list.iter().filter(|row| row["ticket"] == "T1").collect();
    let cut: u64 = first[..2].iter().map(|row| number(&row["pieces"])).sum();
    let (from, to) = (&first[0]["pull"], &first[1]["pull"]);
    let roll = usize::try_from(before["sequence"]["steps"][0]["roll"].as_u64().expect("a roll"));
    let pull = &before["rolls"][roll.expect("small")]["pulls"][0];
    let code = pull["placements"][0]["piece"].as_str().expect("a code");
    let done = format!(
        "ticket,what,pull,from,to,length,piece,quantity,note\n\
         T1,cut,{from}-{to},,,,,,\n\
         T1,spoilt,{from},,,,{code},1,torn\n\
         T1,damaged,,14 m,14.2 m,,,,forklift\n\
         T2,short,,,,13.5 m,,,\n"
    );
    shop.write("done.csv", done);
    let go_on =
        ["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"];
    let (code, said) = shop.run(&go_on);
    assert_eq!(code, 0, "{said}");
    for words in [
        "cut already",
        "spoilt and made again: 1",
        "damaged from 14000 to 14200",
        "1500 mm shorter",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let after = shop.plan("out2/plan.json");
    // Nothing is lost: what is cut and good is not cut again, everything else is.
    let good = usize::try_from(cut - 1).expect("few");
    assert_eq!(yielded(&after), yielded(&before) - good);
    let audit = ["audit", "job", "out2/plan.json"];
    assert_eq!(shop.run(&audit).0, 0);
    let full = [&audit[..], &["--from", "job/out/plan.json", "--done", "done.csv"]].concat();
    let (code, said) = shop.run(&full);
    assert_eq!(code, 0, "{said}");
    shop.write("none.csv", "ticket,what\n");
    let other = [&audit[..], &["--from", "job/out/plan.json", "--done", "none.csv"]].concat();
    assert_eq!(shop.run(&other).0, 3, "another report, another ground");
    // The same codes never stand on pieces of two plans.
    let codes = |plan: &Value| -> BTreeSet<String> {
        let pieces = plan["pieces"].as_array().expect("pieces");
        pieces.iter().map(|p| p["piece"].as_str().expect("a code").to_owned()).collect()
    };
    assert!(codes(&before).is_disjoint(&codes(&after)));
    assert_eq!(shop.run(&["tickets", "job", "--plan", "out2/plan.json"]).0, 0);
    // Papers of the two plans do not get into one folder, nor drawings.
    let mixed = ["tickets", "job", "--plan", "out2/plan.json", "--out", "job/out"];
    let (code, said) = shop.run(&mixed);
    assert!(code == 2 && said.contains("another plan than out2/plan.json"), "{said}");
    assert!(!shop.path("job/out/tickets.html").exists());
    assert_eq!(shop.run(&["draw", "job", "--plan", "out2/plan.json"]).0, 0);
    assert!(shop.path("out2/drawings/drawings.csv").exists());
    assert!(!shop.path("job/out/drawings").exists());
    // A kit keeps its number; tickets say which plan they are of, and so does the head of each sheet.
    assert_eq!(shop.run(&["tickets", "job"]).0, 0);
    let kits = |name: &str| -> BTreeSet<(String, String)> {
        let list = rows(&shop.path(name));
        list.iter().map(|row| (row["item"].clone(), row["kit"].clone())).collect()
    };
    assert_eq!(kits("out2/kits.csv"), kits("job/out/kits.csv"));
    let names: Vec<String> =
        rows(&shop.path("out2/sequence.csv")).iter().map(|row| row["ticket"].clone()).collect();
    assert!(names.contains(&"T1r2".to_owned()) && names.iter().all(|name| name.ends_with("r2")));
    let page = fs::read_to_string(shop.path("out2/tickets.html")).expect("a page");
    assert!(page.contains("<b>T1r2</b>") && page.contains("job, plan 2"));
    // What is on hand is no roll off the shelf: papers say what it is and where it was left.
    let report = fs::read_to_string(shop.path("out2/report.html")).expect("a page");
    assert!(report.contains(": 1 offcut T") && report.contains(", left of ticket T"));
    for page in [&page, &report] {
        assert!(!page.contains("from the shelf, left") && !page.contains("from the shelf, bought"));
    }
    // What is cut already has its code in the schedule as well.
    let steps = rows(&shop.path("out2/schedule.csv"));
    assert!(steps.iter().all(|row| !row["piece"].is_empty()));
    let before = codes(&before);
    let cut: Vec<_> =
        steps.iter().filter(|row| row["piece"].split(' ').any(|c| before.contains(c))).collect();
    assert!(!cut.is_empty() && cut.iter().all(|row| row["note"].contains("cut before")));
    // The third plan is told of the second's tickets by their names.
    for (ticket, code) in [("T1r2", 0), ("t1 R2", 0), ("T1", 1), ("T1r3", 1)] {
        fs::write(shop.path("more.csv"), format!("ticket,what,pull\n{ticket},cut,all\n"))
            .expect("written");
        let go_on =
            ["plan", "job", "--from", "out2/plan.json", "--done", "more.csv", "--out", "out3"];
        let (exit, said) = shop.run(&go_on);
        assert_eq!(exit, code, "{ticket}: {said}");
        // What the second had in hand is counted, too.
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        let told = said.contains("cut since the plan before: ") && said.contains(" in all");
        assert_eq!(told, exit == 0, "{said}");
    }
    assert_eq!(shop.run(&["tickets", "job", "--plan", "out3/plan.json"]).0, 0);
    assert_eq!(kits("out3/kits.csv"), kits("job/out/kits.csv"));
}

/// `1, 4 to 6` as numbers.
fn listed(text: &str) -> Vec<u64> {
    let ends = |part: &str| {
        let (from, to) = part.split_once(" to ").unwrap_or((part, part));
        number(from)..=number(to)
    };
    text.split(", ").flat_map(ends).collect()
}

/// The number of a pull in the order of cutting is not that of its drawing; each is found from the other.
#[test]
fn a_pull_leads_to_its_drawing_and_back() {
    let shop = Shop::new();
    for command in ["tickets", "draw"] {
        assert_eq!(shop.run(&[command, "job"]).0, 0);
    }
    let drawings = rows(&shop.path("job/out/drawings/drawings.csv"));
    let pulls = rows(&shop.path("job/out/sequence.csv"));
    let cuts = rows(&shop.path("job/out/cuts.csv"));
    let page = fs::read_to_string(shop.path("job/out/tickets.html")).expect("a page");
    let report = fs::read_to_string(shop.path("job/out/report.html")).expect("a report");
    let mut seen = BTreeSet::new();
    for row in &drawings {
        assert!(shop.path("job/out/drawings").join(format!("{}.dxf", row["file"])).exists());
        let drawing = number(row["file"].trim_start_matches("drawing-"));
        assert!(report.contains(&format!("<b>Drawing {drawing}</b>")), "{drawing}");
        let own = listed(&row["pulls"]);
        assert_eq!(own.len() as u64, number(&row["times"]));
        let svg = shop.path("job/out/drawings").join(format!("{}.svg", row["file"]));
        let svg = fs::read_to_string(svg).expect("a drawing");
        let word = if own.len() == 1 { "pull" } else { "pulls" };
        assert!(svg.contains(&format!("; {word} {}", own[0])), "{svg}");
        for pull in own {
            assert!(seen.insert(pull), "pull {pull} stands in two drawings");
            let place = usize::try_from(pull - 1).expect("few");
            let step = &pulls[place];
            assert_eq!((number(&step["pull"]), number(&step["drawing"])), (pull, drawing));
            assert_eq!(step["roll"], row["roll"]);
            assert!(row["tickets"].split(' ').any(|ticket| ticket == step["ticket"]));
            let cut = cuts.iter().find(|cut| {
                (&cut["layout"], &cut["pull of layout"])
                    == (&step["layout"], &step["pull of layout"])
            });
            if let Some(cut) = cut {
                assert_eq!(cut["drawing"], step["drawing"]);
                assert!(cut["tickets"].split(' ').any(|ticket| ticket == step["ticket"]));
            }
            let block = page
                .split("<div class=\"block\">")
                .find(|block| block.contains(&format!("pull {pull}: ")))
                .expect("a block");
            let head = block.split("</h3>").next().unwrap_or_default();
            assert!(head.ends_with(&format!("drawing {drawing}")), "{head}");
        }
    }
    assert_eq!(seen.len(), pulls.len());
    assert!(pulls.iter().any(|step| step["pull"] != step["drawing"]), "they cannot be told apart");
}

/// Eight elbows have a run at one end, the ninth at both: the schedule counts each way of making
/// them by itself, and its ties are those that are priced.
#[test]
fn the_schedule_counts_items_that_are_made_in_two_ways() {
    let shop = Shop::new();
    let takeoff = "item,kind,size,length,quantity,build,ends\n\
        E-1,elbow,NPS 3,,9,10+10,\nP-1,pipe,NPS 3,2 m,10,10+10,E-1|none\n";
    shop.write("job/takeoff.csv", takeoff);
    fs::write(shop.path("job/rates.toml"), "currency = \"EUR\"\n[labour]\ntie = 1\n")
        .expect("a file");
    let (code, said) = shop.run(&["plan", "--quiet", "job"]);
    assert_eq!(code, 0, "{said}");
    let list = rows(&shop.path("job/out/schedule.csv"));
    let alike: BTreeSet<u64> = list
        .iter()
        .filter(|row| row["item"] == "E-1")
        .map(|row| number(&row["items alike"]))
        .collect();
    assert_eq!(alike, [1, 8].into());
    let pieces: u64 =
        rows(&shop.path("job/out/pieces.csv")).iter().map(|r| number(&r["quantity"])).sum();
    let on: u64 =
        list.iter().map(|row| number(&row["items alike"]) * number(&row["pieces, one item"])).sum();
    assert_eq!(on, pieces);
    let ties: u64 = list.iter().map(|row| number(&row["ties, all items alike"])).sum();
    let price = rows(&shop.path("job/out/price.csv"));
    let priced = price.iter().find(|row| row["unit"] == "ties").expect("ties");
    assert_eq!(ties, number(&priced["quantity"]));
    // Every list with money says which.
    for name in ["order.csv", "price.csv", "items.csv", "waste.csv"] {
        let list = rows(&shop.path("job/out").join(name));
        assert!(!list.is_empty() && list.iter().all(|row| row["currency"] == "EUR"), "{name}");
    }
}

/// Templates by other codes than the plan's would be taken for other pieces.
#[test]
fn templates_are_those_of_the_plan_that_stands() {
    let shop = Shop::with_gores();
    assert_eq!(shop.run(&["templates", "job"]).0, 0);
    let codes = |list: Vec<std::collections::BTreeMap<String, String>>| -> BTreeSet<String> {
        list.iter().map(|row| row["piece"].clone()).collect()
    };
    let drawn = codes(rows(&shop.path("job/out/templates/templates.csv")));
    assert!(!drawn.is_empty() && drawn.is_subset(&codes(rows(&shop.path("job/out/pieces.csv")))));
    fs::remove_dir_all(shop.path("job/out/templates")).expect("removed");
    // Those of another plan lie beside it.
    assert_eq!(shop.run(&["plan", "--quiet", "job", "--out", "other"]).0, 0);
    assert_eq!(shop.run(&["templates", "job", "--plan", "other/plan.json"]).0, 0);
    assert!(shop.path("other/templates/templates.csv").exists());
    assert!(!shop.path("job/out/templates").exists());
    shop.write("job/takeoff.csv", TAKEOFF.replace("5200", "5100"));
    let (code, said) = shop.run(&["templates", "job"]);
    assert_eq!(code, 1, "{said}");
    assert!(said.contains("no templates are written") && said.contains("takeoff.csv"), "{said}");
    assert!(!shop.path("job/out/templates").exists());
    // Without a plan they are named as the first plan will name them.
    fs::remove_file(shop.path("job/out/plan.json")).expect("removed");
    assert_eq!(shop.run(&["templates", "job"]).0, 0);
}

/// Codes of a plan that goes on bear its number: without it they would be those of pieces cut before.
#[test]
fn templates_of_a_plan_that_goes_on_bear_its_number() {
    let shop = Shop::with_gores();
    shop.write("done.csv", "ticket,what,pull\nT1,cut,1\n");
    let on = ["plan", "--quiet", "job", "--from", "job/out/plan.json", "--done", "done.csv"];
    assert_eq!(shop.run(&[&on[..], &["--out", "job/out2"]].concat()).0, 0);
    let plan = ["templates", "job", "--plan", "job/out2/plan.json"];
    assert_eq!(shop.run(&plan).0, 0);
    let list = rows(&shop.path("job/out2/templates/templates.csv"));
    let cut: BTreeSet<String> =
        rows(&shop.path("job/out2/pieces.csv")).iter().map(|row| row["piece"].clone()).collect();
    for row in &list {
        assert!(row["piece"].ends_with("r2") && cut.contains(&row["piece"]), "{row:?}");
        assert!(row["file"].starts_with(&row["piece"]), "{row:?}");
        let drawn = shop.path("job/out2/templates").join(format!("{}.svg", row["file"]));
        let drawn = fs::read_to_string(drawn).expect("a drawing");
        assert!(drawn.contains(&row["piece"]), "{row:?}");
    }
    let (code, said) = shop.run(&[&plan[..], &["--piece", &list[0]["piece"]]].concat());
    assert!(code == 0 && said.contains("1 piece on"), "{said}");
    assert!(rows(&shop.path("job/out2/templates/templates.csv")).len() < list.len());
    let (code, said) =
        shop.run(&[&plan[..], &["--piece", list[0]["piece"].trim_end_matches("r2")]].concat());
    assert!(code == 2 && said.contains("codes end in r2"), "{said}");
}

/// A valve has a bonnet and no branch; its top discs are cut for the stem on site, and the schedule says so.
#[test]
fn notes_on_valves_are_about_valves() {
    let shop = Shop::new();
    let takeoff = "item,kind,size,length,quantity,build,class,type,bonnet,bonnet_height\n\
        V-1,valve,NPS 6,,1,10+10,150,gate,219,610\n";
    shop.write("job/takeoff.csv", takeoff);
    let (code, said) = shop.run(&["plan", "--quiet", "job"]);
    assert_eq!(code, 0, "{said}");
    let list = rows(&shop.path("job/out/schedule.csv"));
    let tops: Vec<_> = list.iter().filter(|row| row["part"].contains("bonnet top")).collect();
    assert_eq!(tops.len(), 2);
    assert!(tops.iter().all(|row| row["note"].contains("cut a hole for it")));
    for row in &list {
        let note = &row["note"];
        assert!(!note.contains("branch") && !note.contains("the run"), "{note}");
    }
    assert!(list.iter().any(|row| row["note"].contains("bonnet")));
}

/// A plan that goes on does not stand any more: what changed is told of the whole takeoff, and items of which all is cut
/// have not gone from it.
#[test]
fn what_is_all_in_hand_is_not_told_as_gone_from_the_takeoff() {
    let shop = Shop::new();
    let list = rows(&shop.path("job/out/sequence.csv"));
    let tickets: BTreeSet<&str> = list.iter().map(|row| row["ticket"].as_str()).collect();
    let last = list.last().expect("a pull")["ticket"].as_str();
    let cut: Vec<String> =
        tickets.iter().filter(|t| **t != last).map(|t| format!("{t},cut,all\n")).collect();
    fs::write(shop.path("done.csv"), format!("ticket,what,pull\n{}", cut.concat()))
        .expect("written");
    let go_on =
        ["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"];
    let (code, said) = shop.run(&go_on);
    assert_eq!(code, 0, "{said}");
    let after = shop.plan("out2/plan.json");
    let pieces = after["pieces"].as_array().expect("pieces").iter();
    let uses = pieces.flat_map(|piece| piece["uses"].as_array().expect("uses"));
    let items: BTreeSet<&str> = uses.map(|used| used["item"].as_str().expect("a name")).collect();
    assert!(items.contains("P-4") && items.len() < 5, "something is all in hand: {items:?}");
    let revised = TAKEOFF.replace("NPS 2,6 m", "NPS 2,5 m");
    shop.write("job/takeoff.csv", revised);
    let (code, said) = shop.run(&["tickets", "job", "--plan", "out2/plan.json"]);
    assert_eq!(code, 1, "{said}");
    assert!(said.contains("items with other pieces than before: P-4\n"), "{said}");
    assert!(!said.contains("no longer in the takeoff"), "{said}");
}

#[test]
fn a_revised_takeoff_keeps_what_is_cut() {
    let shop = Shop::new();
    let list = rows(&shop.path("job/out/sequence.csv"));
    let all: Vec<&_> = list.iter().filter(|row| row["ticket"] == "T1").collect();
    let cut: u64 = all.iter().map(|row| number(&row["pieces"])).sum();
    shop.write("done.csv", "ticket,what,pull\nT1,cut,all\n");
    let revised = TAKEOFF
        .replace("P-4,South,L-2,pipe,NPS 2,6 m,3,10,3\n", "P-5,South,L-2,pipe,NPS 2,4 m,1,10,3\n");
    shop.write("job/takeoff.csv", revised);
    let go_on =
        ["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"];
    let (code, said) = shop.run(&go_on);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("items new in the takeoff: P-5"), "{said}");
    assert!(said.contains("items no longer in the takeoff: P-4"), "{said}");
    let after = shop.plan("out2/plan.json");
    let (_, wanted) = shop.run(&["pieces", "job", "--json", "--quiet"]);
    let wanted: Value = serde_json::from_str(&wanted).expect("JSON");
    let wanted: u64 = wanted
        .as_array()
        .expect("pieces")
        .iter()
        .map(|p| p["quantity"].as_u64().expect("a count"))
        .sum();
    let hands = after["already"]["pieces"].as_array().expect("pieces");
    let in_hand = |used: bool| -> u64 {
        let list = hands.iter().filter(|h| (h["id"] != "") == used);
        list.map(|h| h["quantity"].as_u64().expect("a count")).sum()
    };
    assert_eq!(in_hand(true) + in_hand(false), cut);
    assert_eq!(yielded(&after) as u64 + in_hand(true), wanted);
}

/// Rolls are often a little longer than their label says, and what is left of them is there to cut from.
#[test]
fn a_roll_that_proved_longer_leaves_more_on_the_shelf() {
    let shop = Shop::new();
    let list = rows(&shop.path("job/out/sequence.csv"));
    let pull = &list.iter().find(|row| row["ticket"] == "T1").expect("a pull")["pull"];
    let rest = |more: &str, out: &str| {
        let done = format!(
            "ticket,what,pull,from,to,length,piece,quantity,note\nT1,cut,{pull},,,,,,\n{more}"
        );
        shop.write("done.csv", done);
        let from = ["--from", "job/out/plan.json", "--done", "done.csv"];
        let (code, said) = shop.run(&[&["plan", "job", "--out", out][..], &from].concat());
        assert_eq!(code, 0, "{said}");
        let plan = format!("{out}/plan.json");
        let audit = shop.run(&[&["audit", "job", &plan][..], &from].concat());
        assert_eq!(audit.0, 0, "{}", audit.1);
        let stock = shop.plan(&plan)["already"]["stock"].clone();
        let stock = stock.as_array().expect("stock").clone();
        let left = stock.iter().filter(|left| left["place"].to_string().contains("ticket T1"));
        let long: Vec<f64> = left
            .map(|left| left["length"].to_string())
            .map(|length| length.trim_matches('"').parse().expect("a length"))
            .collect();
        (long, said)
    };
    let (as_listed, _) = rest("", "out2");
    let [listed] = as_listed[..] else { panic!("{as_listed:?}") };
    let (longer, said) = rest("T1,long,,,,15.15 m,,,\n", "out3");
    assert!(said.contains("T1, R: 150 mm longer than it should be"), "{said}");
    assert_eq!(longer, [listed + 150.0]);
    // What is measured and damaged up to and behind the length that it should have, in whichever order it is told.
    let measured = format!(
        "T1,damaged,,15 m,15.05 m,,,,\nT1,left,,,,{},,,\nT1,long,,,,15.15 m,,,\n",
        listed + 140.0
    );
    assert_eq!(rest(&measured, "out4").0, [listed - 10.0, 100.0]);
}

#[test]
fn what_cannot_have_been_done_is_told() {
    let shop = Shop::new();
    let list = rows(&shop.path("job/out/sequence.csv"));
    let second = list.iter().filter(|row| row["ticket"] == "T1").nth(1).expect("two pulls");
    let second = second["pull"].clone();
    let go_on =
        ["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"];
    let cases: &[(String, &str)] = &[
        (",cut,all,,,,,".to_owned(), "G001"),
        ("T1,damaged,,,,,,".to_owned(), "G001"),
        ("T1,burnt,all,,,,,".to_owned(), "G002"),
        ("T1,cut,some,,,,,".to_owned(), "G002"),
        ("roll 1,cut,all,,,,,".to_owned(), "G002"),
        ("T1,short,,,,90 m,,".to_owned(), "for a roll that is longer write `long`"),
        ("T1,long,,,,15 m,,".to_owned(), "G003"),
        ("T1,long,,,,152 m,,".to_owned(), "G003"),
        ("T1,long,,,,15.2 m,,\nT1,short,,,,14 m,,".to_owned(), "G006"),
        ("T99,cut,all,,,,,".to_owned(), "G004"),
        ("T1,cut,9999,,,,,".to_owned(), "G004"),
        ("T1,cut,all,,,,,\nT1,spoilt,all,,,,Z9,1".to_owned(), "G004"),
        (
            "T1,cut,all,,,,,\nT1,spoilt,all,,,,Z9,1".to_owned(),
            "of T1 yield no piece `Z9`; write the code as",
        ),
        (
            "T1,cut,3-1,,,,,".to_owned(),
            "the range `3-1` runs backwards; write `1 to 3` if that is meant",
        ),
        (format!("T1,cut,{second},,,,,"), "G005"),
        ("T1,cut,all,,,,,\nT1,cut,all,,,,,".to_owned(), "G006"),
        ("T1,damaged,,9 m,8 m,,,".to_owned(), "G006"),
        ("T1,damaged,,80 m,81 m,,,".to_owned(), "mm long, and 80000 mm lies behind its end"),
        ("T1,cut,all,,,,,\nT1,damaged,,1 m,2 m,,,".to_owned(), "G006"),
        ("T1,cut,all,,,,,\nT1,short,,,,1 m,,".to_owned(), "G006"),
        (
            "T1,cut,all,,,,,\nT1,short,,,,14.9,,".to_owned(),
            "is the length in metres or feet? Then write `14.9 m` or `14.9 ft`; else",
        ),
        ("T1,cut,\"1,2\",,,,,".to_owned(), "give each of several a line of its own"),
        ("T1,cut,9999,,,,,".to_owned(), "its pulls are 1"),
        ("T1,cut,all,,,,,\nT1,elsewhere,all,,,,,".to_owned(), "G006"),
        ("T1,left,,,,,,".to_owned(), "G001"),
        ("T1,left,,,,15.1 m,,".to_owned(), "G003"),
        ("T1,left,,,,15.3 m,,\nT1,long,,,,15.2 m,,".to_owned(), "G003"),
        ("T1,left,,,,15 m,,\nT1,cut,all,,,,,".to_owned(), "add `T1,long` with length"),
        ("T1,left,,,,3 m,,\nT1,left,,,,4 m,,".to_owned(), "G006"),
        ("T1,cut,all,,,,,\nT1,left,,,,14.9 m,,".to_owned(), "done.csv:3:6 (length): error G006"),
        ("T1,damaged,,5.5 m,5.8 m,,,\nT1,short,,,,5 m,,".to_owned(), "5500 mm lies behind its end"),
        ("T1,damaged,,14 m,16 m,,,".to_owned(), "done.csv:2:5 (to): error G006"),
        ("T1,left,,,,4 m,,\nT1,damaged,,2 m,2.5 m,,,".to_owned(), "which begins at 11000 mm"),
        (format!("T1,left,,,,2 m,,\nT1,cut,{second},,,,,"), "done.csv:3:3 (pull): error G005"),
        ("T1,cut,all,,,12 m,,".to_owned(), "done.csv:2:6 (length): error G008"),
    ];
    for (line, code) in cases {
        let text = format!("ticket,what,pull,from,to,length,piece,quantity\n{line}\n");
        shop.write("done.csv", text);
        let (exit, said) = shop.run(&go_on);
        assert_eq!(exit, 1, "{line}: {said}");
        assert!(said.contains(code), "{line}: {said}");
        assert!(said.matches("reported cut in").count() <= 1, "told once for all pulls: {said}");
        assert!(!shop.path("out2").exists(), "{line}: something was written");
    }
    let bare = shop.path("bare.json");
    let mut plan = shop.plan("job/out/plan.json");
    plan.as_object_mut().expect("an object").remove("sequence");
    fs::write(&bare, plan.to_string()).expect("written");
    shop.write("done.csv", "ticket,what\n");
    let (exit, said) =
        shop.run(&["plan", "job", "--from", "bare.json", "--done", "done.csv", "--out", "out2"]);
    assert!(exit == 1 && said.contains("G007"), "{said}");
}

/// By hand: five pulls of one length, 10 mm between them and nothing squared off. Where the first three come from another
/// roll, the fourth is cut from the front, and of 10 m all but its length is left.
#[test]
fn what_moves_up_takes_its_gap_along() {
    let shop = Shop::new();
    shop.write("job/takeoff.csv", "item,kind,size,length,quantity,build\nA,pipe,NPS 6,1 m,5,5\n");
    shop.write("job/rolls.csv", "roll,thickness,width,length,price\nR,5,1100,10 m,50\n");
    shop.write("job/rules.toml", "[table]\ngap = 10\nsquare_cut = 0\n");
    assert_eq!(shop.run(&["plan", "--quiet", "job"]).0, 0);
    let plan = shop.plan("job/out/plan.json");
    let pulls = plan["rolls"][0]["pulls"].as_array().expect("pulls");
    let (length, second) = (mm(&pulls[0]["length"]), mm(&pulls[1]["y"]));
    assert!(pulls.len() == 5 && (second - length - 10.0).abs() < 1e-9, "{plan}");
    let go_on =
        ["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"];
    for left in [String::new(), format!("T1,left,,,,{},,,\n", 10_000.0 - length - 5.0)] {
        let head = "ticket,what,pull,from,to,length,piece,quantity,note\n";
        shop.write("done.csv", format!("{head}T1,elsewhere,1-3,,,,,,\nT1,cut,4,,,,,,\n{left}"));
        let (code, said) = shop.run(&go_on);
        assert_eq!(code, 0, "{said}");
        let rest = mm(&shop.plan("out2/plan.json")["already"]["stock"][0]["length"]);
        let measured = if left.is_empty() { 0.0 } else { 5.0 };
        assert!((rest - (10_000.0 - length - measured)).abs() < 1e-9, "{rest}");
    }
}

/// By hand: 18 wraps of 545 mm fill a roll of 10 m, and the nineteenth lies on an offcut, be it small or large.
#[test]
fn what_an_offcut_saves_is_told_whatever_its_size() {
    let shop = Shop::new();
    shop.write("job/takeoff.csv", "item,kind,size,length,quantity,build\nA,pipe,NPS 6,1200,19,5\n");
    shop.write("job/rolls.csv", "roll,thickness,width,length,price\nR,5,1500,10 m,50\n");
    for length in ["700", "9 m"] {
        let offcuts = format!("offcut,thickness,width,length,quantity\ns,5,1500,{length},1\n");
        shop.write("job/offcuts.csv", offcuts);
        let (code, said) = shop.run(&["plan", "job"]);
        assert_eq!(code, 0, "{said}");
        let told = "the shelf saves 1 roll: 1 to buy with it, 2 without it";
        assert!(said.contains(told), "{length}: {said}");
    }
    // A shelf that gives what a roll has room for as well saves nothing.
    shop.write("job/takeoff.csv", "item,kind,size,length,quantity,build\nA,pipe,NPS 6,1200,18,5\n");
    let (code, said) = shop.run(&["plan", "job"]);
    assert!(code == 0 && said.contains("the shelf saves nothing: 1 to buy"), "{said}");
}

#[test]
fn a_plan_does_not_replace_the_one_it_goes_on_from() {
    let shop = Shop::new();
    let before = fs::read(shop.path("job/out/plan.json")).expect("a plan");
    shop.write("done.csv", "ticket,what,pull\nT1,cut,all\n");
    fs::create_dir(shop.path("job/out2")).expect("a folder");
    let from = ["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv"];
    for more in [&[][..], &["--out", "job/../job/out/"]] {
        let (code, said) = shop.run(&[&from, more].concat());
        assert_eq!(code, 2, "{said}");
        assert!(said.contains("such as --out job/out3"), "{said}");
        assert_eq!(fs::read(shop.path("job/out/plan.json")).expect("a plan"), before);
    }
    assert_eq!(shop.run(&[&from[..], &["--out", "job/out3"]].concat()).0, 0);
}

#[test]
fn what_the_crew_wrote_into_a_list_of_cuts_is_kept() {
    let shop = Shop::new();
    let stages = ["stages", "job", "--out", "days"];
    for _ in 0..2 {
        let (code, said) = shop.run(&stages);
        assert_eq!(code, 0, "what nobody changed is written anew: {said}");
    }
    let list = shop.path("days/release-2/cut-2.csv");
    let mut text = fs::read_to_string(&list).expect("a list");
    text.push_str("T1r2,left,,,,3 m,,,\n");
    fs::write(&list, &text).expect("written");
    let plan = fs::read(shop.path("days/release-1/plan.json")).expect("a plan");
    shop.write("job/rolls.csv", ROLLS.replace("15 m", "16 m"));
    let (code, said) = shop.run(&stages);
    assert!(code == 2 && said.contains("cut-2.csv") && said.contains("--out"), "{said}");
    assert_eq!(fs::read_to_string(&list).expect("a list"), text);
    assert_eq!(fs::read(shop.path("days/release-1/plan.json")).expect("a plan"), plan);
    assert_eq!(shop.run(&["stages", "job", "--out", "other"]).0, 0);
}

/// An earlier plan whose file was changed is told wherever a plan goes on from it, and none that goes on from it stands.
/// Inputs in another order are the same inputs, so a certificate that is false is told all the same.
#[test]
fn a_plan_that_was_changed_is_no_ground() {
    let shop = Shop::new();
    assert_eq!(shop.run(&["plan", "--quiet", "job"]).0, 0);
    shop.write("none.csv", "ticket,what,pull,from,to,length,piece,quantity,note\n");
    let text = fs::read_to_string(shop.path("job/out/plan.json")).expect("a plan");
    let mut plan: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let inputs = plan["inputs"].as_array_mut().expect("inputs");
    inputs.reverse();
    shop.write("turned.json", plan.to_string());
    assert_eq!(shop.run(&["audit", "job", "turned.json"]).0, 0, "nothing is changed");
    let mut priced = plan.clone();
    let nests = priced["nests"].as_array_mut().expect("nests");
    let certificates = nests.iter_mut().filter_map(|nest| nest.get_mut("certificate"));
    let prices = certificates.filter_map(|certificate| certificate["prices"].as_array_mut());
    let changed =
        prices.flatten().map(|price| *price = (price.as_i64().expect("a price") * 3).into());
    assert!(changed.count() > 0, "no certificate");
    shop.write("false.json", priced.to_string());
    let (code, said) = shop.run(&["audit", "job", "false.json"]);
    assert_eq!(code, 3, "{said}");
    let spare = &mut plan["order"][0]["spare"];
    *spare = (spare.as_u64().expect("a number") + 50).into();
    shop.write("spares.json", plan.to_string());
    assert_eq!(shop.run(&["audit", "job", "spares.json"]).0, 3);
    let on = |from: &str, out: &str| {
        shop.run(&["plan", "job", "--from", from, "--done", "none.csv", "--out", out])
    };
    let (code, said) = on("job/out/plan.json", "out2");
    assert!(code == 0 && !said.contains("J084"), "{said}");
    let (code, said) = on("spares.json", "out3");
    assert!(code == 0 && said.contains("J084"), "{said}");
    let ground = ["--from", "spares.json", "--done", "none.csv"];
    let (code, said) = shop.run(&[&["audit", "job", "out3/plan.json"][..], &ground].concat());
    assert!(code == 3 && said.contains("The earlier plan: it does not stand"), "{said}");
}

/// A report that cannot be replaced leaves new ones beside the old plan: whoever reads that plan is told, until a run has
/// written all.
#[test]
fn a_run_that_ended_between_two_files_is_told() {
    let shop = Shop::new();
    assert_eq!(shop.run(&["plan", "--quiet", "job"]).0, 0);
    let report = shop.path("job/out/sequence.csv");
    fs::remove_file(&report).expect("a list");
    fs::create_dir_all(report.join("full")).expect("a folder");
    shop.write("job/rolls.csv", ROLLS.replace("15 m", "16 m"));
    let (code, said) = shop.run(&["plan", "--quiet", "job"]);
    assert!(code == 5 && said.contains("sequence.csv"), "{said}");
    shop.write("job/rolls.csv", ROLLS);
    for command in [&["tickets", "job"][..], &["audit", "job"]] {
        let (code, said) = shop.run(command);
        assert!(code == 0 && said.contains("J083"), "{command:?}: {said}");
    }
    fs::remove_dir_all(&report).expect("taken away");
    assert_eq!(shop.run(&["plan", "--quiet", "job"]).0, 0);
    let (code, said) = shop.run(&["audit", "job"]);
    assert!(code == 0 && !said.contains("J083"), "{said}");
}

/// Lists of an earlier run that say what its plan said go with that plan, and its folders that have none now are told.
#[test]
fn stages_leave_no_list_of_an_earlier_run() {
    let shop = Shop::of_three_releases();
    let lists = |folder: &str| -> Vec<String> {
        let entries = fs::read_dir(shop.path(&format!("days/{folder}"))).expect("a folder");
        let names = entries.map(|entry| entry.expect("an entry").file_name().into_string());
        let mut lists: Vec<String> =
            names.filter_map(Result::ok).filter(|name| name.starts_with("cut-")).collect();
        lists.sort();
        lists
    };
    let told = "days/release-3 is of an earlier run";
    for (window, first, left) in [
        ("0", &["cut-1.csv"][..], false),
        ("2", &["cut-1.csv", "cut-2.csv", "cut-3.csv"], true),
        ("0", &["cut-1.csv"], false),
        ("1", &["cut-1.csv"], true),
    ] {
        let (code, said) =
            shop.run(&["stages", "job", "--window", window, "--out", "days", "--work", "100000"]);
        assert_eq!(code, 0, "window {window}: {said}");
        assert_eq!(lists("release-1"), first, "window {window}");
        assert_eq!(said.contains(told), left, "window {window}: {said}");
    }
    assert_eq!(lists("release-2"), ["cut-2.csv", "cut-3.csv"]);
}

/// Behind each pull that another ticket's follows, the tickets name that one, its pulls and with which pull the roll
/// comes back: as the order of cutting has it.
#[test]
fn tickets_say_which_comes_next() {
    let shop = Shop::new();
    shop.write("job/rules.toml", "[sequence]\nroll_change = 0\n");
    assert_eq!(shop.run(&["plan", "--quiet", "job"]).0, 0);
    let (code, said) = shop.run(&["tickets", "job"]);
    assert_eq!(code, 0, "{said}");
    let list = rows(&shop.path("job/out/sequence.csv"));
    let order: Vec<(String, u64)> =
        list.iter().map(|row| (row["ticket"].clone(), number(&row["pull"]))).collect();
    let goes: Vec<&[(String, u64)]> = order.chunk_by(|a, b| a.0 == b.0).collect();
    let page = fs::read_to_string(shop.path("job/out/tickets.html")).expect("tickets");
    let mut comes_back = 0;
    for (at, pair) in goes.windows(2).enumerate() {
        let [now, next] = pair else { unreachable!() };
        let (first, last) = (next[0].1, next[next.len() - 1].1);
        let pulls = if first == last {
            format!("pull {first}")
        } else {
            format!("pulls {first} to {last}")
        };
        let back = goes[at + 1..].iter().find(|go| go[0].0 == now[0].0);
        comes_back += u32::from(back.is_some());
        let back = back
            .map_or_else(String::new, |go| format!("; this roll comes back with pull {}", go[0].1));
        let words = format!("Next: {}, {pulls}{back}.", next[0].0);
        assert!(page.contains(&words), "{words}");
    }
    assert_eq!(page.matches("Next: ").count(), goes.len() - 1);
    assert!(comes_back > 0, "no roll comes back: {order:?}");
}

/// A window of one release ahead plans for two at a time, but buys what the first of them begins: what its papers say to
/// buy now comes to the table's rolls, and those that a later release begins are told apart.
#[test]
fn papers_of_a_release_order_what_it_begins() {
    let shop = Shop::of_three_releases();
    shop.write("job/rules.toml", "[order]\nspare_rolls = 0\n");
    let (code, said) = shop.run(&["stages", "job", "--window", "1", "--out", "days", "--csv"]);
    assert_eq!(code, 0, "{said}");
    let table = said.lines().filter(|line| line.starts_with("1,")).map(|line| {
        let cells: Vec<u64> = line.split(',').map_while(|cell| cell.parse().ok()).collect();
        (cells[1], cells[2])
    });
    let bought: Vec<(u64, u64)> = table.collect();
    assert_eq!(bought.iter().map(|(release, _)| *release).collect::<Vec<_>>(), [1, 2, 3]);
    let all: u64 = bought.iter().map(|(_, rolls)| rolls).sum();
    let mut now = 0;
    for (release, folder) in [(1, "release-1"), (2, "release-2")] {
        let order = shop.path(&format!("days/{folder}/order.csv"));
        let lines = rows(&order);
        let buys = lines.iter().filter(|row| row["source"] == "buy");
        let summary = fs::read_to_string(shop.path(&format!("days/{folder}/summary.txt")));
        let summary = summary.expect("a summary");
        let summary = summary.split_whitespace().collect::<Vec<_>>().join(" ");
        if release == 2 {
            // Cut to the job's end.
            now += buys.map(|row| number(&row["quantity"])).sum::<u64>();
            assert!(!summary.contains("This plan is for releases"), "{summary}");
            continue;
        }
        let (quantity, at_once) = buys.fold((0, 0), |(all, now), row| {
            (all + number(&row["quantity"]), now + number(&row["of which to buy now"]))
        });
        assert_eq!(at_once, bought[0].1);
        assert!(at_once < quantity, "the plan begins a roll for release 2: {lines:?}");
        now += at_once;
        assert!(summary.contains("This plan is for releases up to 2"), "{summary}");
        let words = format!("and for these buy {at_once} roll of R");
        assert!(summary.contains("For release 1 cut pulls up to number"), "{summary}");
        assert!(summary.contains(&words), "{words}: {summary}");
        let page = fs::read_to_string(shop.path("days/release-1/report.html")).expect("a report");
        assert!(page.contains(&words), "{words}");
    }
    assert_eq!(now, all, "what papers order is what the table buys");
}

/// By hand: rolls of 2,000 mm less a square cut of 50, three pulls of pi (141.3 + 10) mm, so an end of some 520 mm,
/// which its ticket calls nothing to keep (the least is 500 by 700 here). When all is cut, it went away with the
/// scrap; measured, it is there.
#[test]
fn an_end_that_no_ticket_keeps_is_not_counted_on() {
    let shop = Shop::new();
    shop.write(
        "job/takeoff.csv",
        "item,kind,size,length,quantity,build\nK0,pipe,NPS 5,1000,3,10\n",
    );
    shop.write("job/rolls.csv", "roll,thickness,width,length,price\nR,10,1000,2000,100\n");
    shop.write(
        "job/rules.toml",
        "[table]\nsquare_cut = 50\n[offcuts]\nkeep_width = 500\nkeep_length = 700\n",
    );
    assert_eq!(shop.run(&["plan", "--quiet", "job"]).0, 0);
    let plan = shop.plan("job/out/plan.json");
    let pulls = plan["rolls"][0]["pulls"].as_array().expect("pulls");
    assert_eq!(pulls.len(), 3);
    let stock = |lines: &str| -> Vec<String> {
        let text = format!("ticket,what,pull,from,to,length,piece,quantity,note\n{lines}");
        shop.write("done.csv", text);
        let from = ["--from", "job/out/plan.json", "--done", "done.csv"];
        let more = "item,kind,size,length,quantity,build\nK0,pipe,NPS 5,1000,3,10\nK1,pipe,NPS 1,1000,1,10\n";
        shop.write("job/takeoff.csv", more);
        let (code, said) = shop.run(&[&["plan", "job", "--out", "out2"], &from[..]].concat());
        assert_eq!(code, 0, "{said}");
        assert_eq!(shop.run(&[&["audit", "job", "out2/plan.json"], &from[..]].concat()).0, 0);
        let plan = shop.plan("out2/plan.json");
        let list = plan["already"]["stock"].as_array().expect("stock").clone();
        list.iter().map(|stock| stock["name"].as_str().expect("a name").to_owned()).collect()
    };
    assert!(stock("T1,cut,all,,,,,,\n").is_empty());
    assert_eq!(stock("T1,cut,all,,,,,,\nT1,left,,,,300 mm,,,\n"), ["T1 rest"]);
    assert_eq!(stock("T1,cut,all,,,,,,\nT1,long,,,,2100 mm,,,\n"), ["T1 rest"]);
    // What is not cut yet is on its roll with all that follows.
    assert_eq!(stock("T1,cut,1,,,,,,\n"), ["T1 rest"]);
}

/// A report that is older than its plan may be of the plan that this one replaced; one that is younger is not told.
#[test]
fn a_report_older_than_its_plan_is_told() {
    let shop = Shop::new();
    shop.write("done.csv", "ticket,what,pull,from,to,length,piece,quantity,note\nT1,cut,1,,,,,,\n");
    let go_on =
        ["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"];
    let (code, said) = shop.run(&go_on);
    assert!(code == 0 && !said.contains("J082"), "{said}");
    let plan = fs::File::options().append(true).open(shop.path("job/out/plan.json"));
    let later = std::time::SystemTime::now() + std::time::Duration::from_hours(1);
    plan.expect("a plan").set_modified(later).expect("a time");
    let (code, said) = shop.run(&go_on);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("done.csv: warning J082"), "{said}");
}

/// A report that bears the mark at the head of its tickets is read by that plan and by no other, whatever the files' age;
/// a plan made anew with nothing changed has the same mark.
#[test]
fn a_report_with_a_mark_is_read_by_its_own_plan_alone() {
    let shop = Shop::new();
    let mark = || {
        assert_eq!(shop.run(&["tickets", "job"]).0, 0);
        let page = fs::read_to_string(shop.path("job/out/tickets.html")).expect("tickets");
        let behind = page.split_once(", mark ").expect("a mark").1;
        behind.chars().take(4).collect::<String>()
    };
    let first = mark();
    let report = |mark: &str| {
        let head = "ticket,what,pull,from,to,length,piece,quantity,note,plan";
        shop.write("done.csv", format!("{head}\nT1,cut,1,,,,,,,{mark}\nT1,long,,,,16 m,,,,\n"));
    };
    let go_on =
        ["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"];
    report(&first.to_lowercase());
    let (code, said) = shop.run(&go_on);
    assert_eq!(code, 0, "{said}");
    let plan = fs::File::options().append(true).open(shop.path("job/out/plan.json"));
    let later = std::time::SystemTime::now() + std::time::Duration::from_hours(1);
    plan.expect("a plan").set_modified(later).expect("a time");
    let (code, said) = shop.run(&go_on);
    assert!(code == 0 && !said.contains("J082"), "{said}");

    assert_eq!(shop.run(&["plan", "job", "--out", "job/out"]).0, 0);
    assert_eq!(mark(), first);
    // One line more in the takeoff: other tickets.
    let takeoff = fs::read_to_string(shop.path("job/takeoff.csv")).expect("a takeoff");
    let last = takeoff.lines().last().expect("a line").replacen('P', "Z", 1);
    shop.write("job/takeoff.csv", format!("{}\n{last}\n", takeoff.trim_end()));
    assert_eq!(shop.run(&["plan", "job", "--out", "job/out"]).0, 0);
    assert_ne!(mark(), first);
    let (code, said) = shop.run(&go_on);
    assert_ne!(code, 0, "{said}");
    assert!(said.contains("done.csv:2:10 (plan): error G009"), "{said}");
    assert!(said.contains(&first) && said.contains(&mark()), "{said}");
    report(&mark());
    let (code, said) = shop.run(&go_on);
    assert_eq!(code, 0, "{said}");
}

/// A pull that was cut from another roll than its ticket's uses that one up, not its own.
#[test]
fn pulls_cut_from_another_roll_leave_their_own_whole() {
    let shop = Shop::new();
    let before = shop.plan("job/out/plan.json");
    let list = rows(&shop.path("job/out/sequence.csv"));
    let first: Vec<&_> = list.iter().filter(|row| row["ticket"] == "T1").collect();
    let (a, b) = (&first[0]["pull"], &first[1]["pull"]);
    let cut: u64 = first[..2].iter().map(|row| number(&row["pieces"])).sum();
    let go_on =
        ["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"];
    let after = |lines: &str| {
        let text = format!("ticket,what,pull,from,to,length,piece,quantity,note\n{lines}");
        shop.write("done.csv", text);
        let (code, said) = shop.run(&go_on);
        assert_eq!(code, 0, "{said}");
        let audit = ["audit", "job", "out2/plan.json", "--from", "job/out/plan.json"];
        assert_eq!(shop.run(&[&audit[..], &["--done", "done.csv"]].concat()).0, 0);
        let plan = shop.plan("out2/plan.json");
        let stock = plan["already"]["stock"].as_array().expect("stock").clone();
        let of = |name: &str| stock.iter().find(|s| s["name"] == name).cloned();
        (said, yielded(&plan), of("T1 rest"), of("T2 rest"), of("R on hand"))
    };
    let roll = before["sequence"]["steps"][0]["roll"].as_u64().expect("a roll");
    let pulls = &before["rolls"][usize::try_from(roll).expect("small")]["pulls"];
    let end = |pull: &Value| mm(&pull["y"]) + mm(&pull["length"]);
    let all = before["rolls"].as_array().expect("rolls").iter();
    let all: u64 = all.map(|roll| roll["copies"].as_u64().expect("a count")).sum();

    // Both pulls from the roll of ticket 2, of which 9.5 m are left then.
    let lines = format!("T1,elsewhere,{a}-{b},,,,,,\nT2,left,,,,9.5 m,,,\n");
    let (said, still, one, two, whole) = after(&lines);
    assert!(said.contains("cut from another roll than the ticket's: 2 pulls"), "{said}");
    assert!(said.contains(", from 2 pulls") && !said.contains(" of 0 rolls"), "{said}");
    assert!(said.contains("9500 mm are left, as measured"), "{said}");
    assert_eq!(still, yielded(&before) - usize::try_from(cut).expect("few"));
    assert!(one.is_none(), "ticket 1 is not begun: {one:?}");
    assert!((mm(&two.expect("a rest")["length"]) - 9500.0).abs() < 1e-6);
    assert_eq!(whole.expect("rolls")["quantity"], all - 1);

    // The first from another, the second from its own: that one begins where the first would have.
    let (said, again, one, ..) = after(&format!("T1,elsewhere,{a},,,,,,\nT1,cut,{b},,,,,,\n"));
    assert_eq!(again, still);
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("1 pull (of no ticket is told what is `left`"), "{said}");
    let front = end(&pulls[1]) - mm(&pulls[0]["length"]);
    assert!((mm(&one.expect("a rest")["length"]) - (15_000.0 - front)).abs() < 1e-6);
}

/// The report of the first plan, handed in once more, is not one of the plan that went on from it.
#[test]
fn a_ticket_of_the_first_plan_is_none_of_the_second() {
    let shop = Shop::new();
    shop.write("none.csv", "ticket,what\n");
    let first =
        ["plan", "job", "--from", "job/out/plan.json", "--done", "none.csv", "--out", "out2"];
    let (exit, said) = shop.run(&first);
    assert_eq!(exit, 0, "{said}");
    let go_on = ["plan", "job", "--from", "out2/plan.json", "--done", "done.csv", "--out", "out3"];
    for wrong in ["T1", "1", "T1r1", "T1r3"] {
        fs::write(shop.path("done.csv"), format!("ticket,what,pull\n{wrong},cut,all\n"))
            .expect("written");
        let (exit, said) = shop.run(&go_on);
        assert_eq!(exit, 1, "{wrong}: {said}");
        assert!(said.contains("G004") && said.contains("T1r2"), "{wrong}: {said}");
        assert!(!shop.path("out3").exists(), "{wrong}: something was written");
    }
    shop.write("done.csv", "ticket,what,pull\nT1r2,cut,all\n");
    let (exit, said) = shop.run(&go_on);
    assert_eq!(exit, 0, "{said}");
    assert!(said.contains("cut already"), "{said}");
}

#[test]
fn stages_cut_every_piece_once_whatever_the_window() {
    let shop = Shop::new();
    let (code, said) = shop.run(&["stages", "job", "--window", "1", "--json", "--quiet"]);
    assert_eq!(code, 0, "{said}");
    let stages: Value = serde_json::from_str(&said).expect("JSON");
    let sum = |window: u64, key: &str| -> u64 {
        let list = stages.as_array().expect("stages").iter().filter(|s| s["window"] == window);
        list.map(|s| s[key].as_u64().expect("a count")).sum()
    };
    let plan = shop.plan("job/out/plan.json");
    let all = yielded(&plan) as u64;
    for window in 0..=2 {
        assert_eq!(sum(window, "pieces"), all, "window {window}: {said}");
    }
    assert_eq!(sum(0, "ahead"), 0, "day by day cuts nothing ahead");
    let rolls: u64 = plan["rolls"]
        .as_array()
        .expect("rolls")
        .iter()
        .map(|r| r["copies"].as_u64().expect("a count"))
        .sum();
    assert_eq!(sum(2, "bought"), rolls, "the widest window is the plan of the whole job");
    let (code, said) = shop.run(&["stages", "job"]);
    assert_eq!(code, 0, "{said}");
    assert!(
        said.contains("day by day:") && said.contains("the whole job planned at once:"),
        "{said}"
    );
}

/// Short runs of small pipe, no two alike, so that pulls serve many kits. Where blanket may weigh next
/// to nothing against open kits, pulls are formed of few of them, on as many rolls; where it weighs
/// all, they are left as they were nested. Both stand (a plan that does not is not written).
#[test]
fn pulls_are_formed_of_few_kits() {
    let mut takeoff = String::from("item,line,kind,size,length,quantity,build,release\n");
    for item in 0..160 {
        let (line, size) = (item / 8, ["NPS 1", "NPS 2", "NPS 3"][item % 3]);
        let length = 150 + item * 37 % 400;
        let row = format!("P-{item:03},L-{line},pipe,{size},{length},1,10+10,1\n");
        takeoff.push_str(&row);
    }
    let planned = |blanket: &str| {
        let shop = Shop { folder: tempfile::tempdir().expect("a folder") };
        fs::create_dir(shop.path("job")).expect("a folder");
        shop.write("job/takeoff.csv", &takeoff);
        shop.write("job/rolls.csv", ROLLS);
        let rules = format!("[sequence]\nblanket = {blanket}\n");
        shop.write("job/rules.toml", rules);
        let (code, said) = shop.run(&["plan", "--quiet", "job"]);
        assert_eq!(code, 0, "{said}");
        let plan = shop.plan("job/out/plan.json");
        let open = plan["sequence"]["open_kits"].as_u64().expect("a count");
        (plan["value"].clone(), yielded(&plan), open)
    };
    let (left, formed) = (planned("1000000"), planned("1"));
    assert_eq!((&left.0, left.1), (&formed.0, formed.1), "as many rolls, the same pieces");
    assert!(formed.2 < left.2, "{} kits open, {} as nested", formed.2, left.2);
}

/// Plans of the stages are kept to cut by: each stands, alone and on the ground of the one before it
/// with what was cut for its release; each has tickets; together they cut every piece once.
#[test]
fn staged_plans_are_cut_one_after_another() {
    for (window, last) in [("0", 3), ("1", 2)] {
        let shop = Shop::new();
        let (code, said) =
            shop.run(&["stages", "job", "--window", window, "--out", "days", "--quiet"]);
        assert_eq!(code, 0, "{said}");
        for release in 1..=last {
            let folder = format!("days/release-{release}");
            assert!(shop.path(&folder).join("tickets.html").exists());
            let plan = format!("{folder}/plan.json");
            let (code, said) = shop.run(&["audit", "job", &plan]);
            assert_eq!(code, 0, "{said}");
            if release == 1 {
                continue;
            }
            let before = release - 1;
            let from = format!("days/release-{before}/plan.json");
            let done = format!("days/release-{before}/cut-{before}.csv");
            let ground = ["audit", "job", &plan, "--from", &from, "--as-needed", "--done", &done];
            let (code, said) = shop.run(&ground);
            assert_eq!(code, 0, "{said}");
            // On other ground, nothing cut, it does not stand.
            assert_eq!(shop.run(&ground[..6]).0, 3);
        }
        let end = shop.plan(&format!("days/release-{last}/plan.json"));
        assert!(end.get("up_to").is_none(), "the last one is for all that is left");
        let first = &shop.plan("days/release-1/plan.json")["up_to"];
        assert_eq!(first, if window == "0" { 1 } else { 2 });
        let in_hand: u64 = end["already"]["pieces"]
            .as_array()
            .expect("pieces")
            .iter()
            .map(|piece| piece["quantity"].as_u64().expect("a count"))
            .sum();
        let whole = yielded(&shop.plan("job/out/plan.json"));
        assert_eq!(usize::try_from(in_hand).expect("few") + yielded(&end), whole);
    }
}

/// A product that is no longer on offer does not turn into offcuts of the shelf.
#[test]
fn a_product_under_another_name_is_bought() {
    let shop = Shop::new();
    let bought = |plan: &Value| -> u64 {
        let rolls = plan["rolls"].as_array().expect("rolls").iter();
        let bought = rolls.filter(|roll| roll.get("shelf").is_none());
        bought.map(|roll| roll["copies"].as_u64().expect("a count")).sum()
    };
    let whole = bought(&shop.plan("job/out/plan.json"));
    let renamed = ROLLS.replace("\nR,", "\nQ,");
    assert_ne!(renamed, ROLLS);
    shop.write("job/rolls.csv", renamed);
    fs::copy(shop.path("job/out/plan.json"), shop.path("before.json")).expect("a copy");
    let on = ["plan", "job", "--quiet", "--out", "next", "--from", "before.json", "--as-needed"];
    let (code, said) = shop.run(&on);
    assert_eq!(code, 0, "{said}");
    let next = shop.plan("next/plan.json");
    assert_eq!(bought(&next), whole, "{said}");
    let taken = next["already"]["from_shelf"].as_object();
    assert!(taken.is_none_or(serde_json::Map::is_empty), "nothing is taken from a shelf");
}

/// What tickets keep is called in the next plan, and where it is booked, what its label says.
#[test]
fn what_is_kept_is_called_as_its_label() {
    let shop = Shop::new();
    assert_eq!(shop.run(&["tickets", "job"]).0, 0);
    let labels = rows(&shop.path("job/out/labels.csv"));
    let named: std::collections::BTreeSet<String> = labels
        .iter()
        .map(|row| row["piece"].clone())
        .filter(|name| name.contains(" left "))
        .collect();
    assert!(!named.is_empty(), "nothing is kept: {labels:?}");
    let list = rows(&shop.path("job/out/sequence.csv"));
    let tickets: std::collections::BTreeSet<&str> =
        list.iter().map(|row| row["ticket"].as_str()).collect();
    let lines: Vec<&str> = tickets.iter().flat_map(|ticket| [ticket, ",cut,all\n"]).collect();
    shop.write("done.csv", format!("ticket,what,pull\n{}", lines.concat()));
    let words = ["--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"];
    let (code, said) = shop.run(&[&["plan", "job"], &words[..]].concat());
    assert_eq!(code, 0, "{said}");
    let next = shop.plan("out2/plan.json");
    let stock = next["already"]["stock"].as_array().expect("stock").iter();
    let stock: std::collections::BTreeSet<String> = stock
        .filter(|one| one["place"].as_str().expect("words").starts_with("left of"))
        .map(|one| one["name"].as_str().expect("a name").to_owned())
        .collect();
    assert!(named.is_subset(&stock), "{named:?} {stock:?}");
    let sizes = ["--thickness", "10", "--width", "700", "--length", "900", "--place", "rack 1"];
    assert_eq!(shop.run(&[&["shelf", "add", "s.db"], &sizes[..]].concat()).0, 0);
    let (code, said) =
        shop.run(&["shelf", "book", "s.db", "job", "out2/plan.json", "--place", "rack 1"]);
    assert_eq!(code, 0, "{said}");
    assert!(named.iter().all(|name| said.contains(name)), "{named:?} {said}");
}

/// Three runs of two layers, all 10 mm cut and the day over: their kits are begun, so three are open while the first of
/// the 5 mm pulls is cut, then two, then one.
#[test]
fn kits_that_are_begun_are_open() {
    let shop = Shop::new();
    let runs = (1..=3).map(|n| format!("P-{n},pipe,NPS {},1 m,1,5+10\n", 2 * n + 2));
    let takeoff = format!("item,kind,size,length,quantity,build\n{}", runs.collect::<String>());
    shop.write("job/takeoff.csv", takeoff);
    let rolls = "roll,thickness,width,length,price\nF,5,1000,8 m,90\nT,10,1000,8 m,180\n";
    shop.write("job/rolls.csv", rolls);
    let (code, said) = shop.run(&["plan", "job"]);
    assert_eq!(code, 0, "{said}");
    let ten = rows(&shop.path("job/out/sequence.csv")).into_iter().find(|row| row["roll"] == "T");
    let ticket = ten.expect("a pull of 10 mm")["ticket"].clone();
    shop.write("done.csv", format!("ticket,what,pull\n{ticket},cut,all\n"));
    let words = ["--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"];
    let (code, said) = shop.run(&[&["plan", "job"], &words[..]].concat());
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("at most 3 kits open at once"), "{said}");
    let open = |row: &std::collections::BTreeMap<String, String>| number(&row["kits open"]);
    assert_eq!(
        rows(&shop.path("out2/sequence.csv")).iter().map(open).collect::<Vec<_>>(),
        [3, 2, 1]
    );
    let audit =
        ["audit", "job", "out2/plan.json", "--from", "job/out/plan.json", "--done", "done.csv"];
    let (code, said) = shop.run(&audit);
    assert_eq!(code, 0, "{said}");
    let begun = |row: &std::collections::BTreeMap<String, String>| row["begun with pull"].clone();
    let (code, said) = shop.run(&["tickets", "job", "--plan", "out2/plan.json"]);
    assert_eq!(code, 0, "{said}");
    let kits = rows(&shop.path("out2/kits.csv"));
    assert!(kits.len() >= 6 && kits.iter().all(|row| begun(row) == "0"), "{kits:?}");
    let sheets = fs::read_to_string(shop.path("out2/tickets.html")).expect("tickets");
    assert_eq!(
        sheets.matches("begun by what was cut before, whole with pull").count(),
        3,
        "{sheets}"
    );
}

/// Three offcuts alike, each good for four wraps of 373 mm or so: the first plan counts on one and cuts nothing, the second
/// cuts all three. Nothing of them is left for a third, which once was to cut two of them again.
#[test]
fn offcuts_of_one_line_are_cut_once() {
    let shop = Shop::new();
    let pipes = |quantity: u64| {
        format!("item,kind,size,length,quantity,build\nP-1,pipe,NPS 4,600,{quantity},10\n")
    };
    shop.write("job/rolls.csv", "roll,thickness,width,length,price\nC10,10,700,8 m,180\n");
    shop.write("job/offcuts.csv", "offcut,thickness,width,length,quantity\nS1,10,700,1800,3\n");
    let plan = |takeoff: u64, done: &str, [from, to]: [&str; 2]| {
        shop.write("job/takeoff.csv", pipes(takeoff));
        shop.write("done.csv", format!("ticket,what,pull\n{done}"));
        let from = format!("{from}/plan.json");
        let words = ["plan", "job", "--from", &from, "--done", "done.csv", "--out", to];
        let (code, said) = shop.run(if to == "job/out" { &words[..2] } else { &words });
        assert_eq!(code, 0, "{said}");
        let plan = shop.plan(&format!("{to}/plan.json"));
        let taken = plan["already"]["from_shelf"]["S1"].as_u64().unwrap_or(0);
        let rolls = plan["rolls"].as_array().expect("rolls").iter();
        let shelf = rolls.filter(|roll| roll["roll"] == "S1");
        let now: u64 = shelf.map(|roll| roll["copies"].as_u64().expect("a count")).sum();
        (taken, now, said)
    };
    let (_, first, _) = plan(1, "", ["", "job/out"]);
    assert_eq!(first, 1);
    let (before, second, said) = plan(12, "", ["job/out", "out2"]);
    assert_eq!((before, second), (1, 3), "{said}");
    assert!(said.contains("on hand: 1 of S1 (700 x 1800 mm); 1 used, 0 left"), "{said}");
    let all = "T1r2,cut,all\nT2r2,cut,all\nT3r2,cut,all\n";
    let (before, third, said) = plan(20, all, ["out2", "out3"]);
    assert_eq!((before, third), (3, 0), "{said}");
    assert!(said.contains("rolls to buy beyond those on hand: 1"), "{said}");
}

/// An offcut of the shelf that bears the name of what a ticket of the job leaves goes out when it was cut.
#[test]
fn an_offcut_called_like_a_rest_is_booked_as_used() {
    let shop = Shop::new();
    let takeoff = "item,kind,size,length,quantity,build\nP-1,pipe,NPS 8,700,1,5\nP-2,pipe,NPS 4,600,4,10\n\
                   P-3,pipe,NPS 8,700,1,5\n";
    shop.write("job/takeoff.csv", takeoff);
    let rolls = "roll,thickness,width,length,price\nC10,10,1000,8 m,180\nC5,5,1300,8 m,180\n";
    shop.write("job/rolls.csv", rolls);
    let size = ["--thickness", "10", "--width", "1000", "--length", "2000", "--place", "r1"];
    let steps: [&[&str]; 4] = [
        &[&["shelf", "add", "l.db", "--name", "T2 left 1"], &size[..]].concat(),
        &["shelf", "lend", "l.db", "job"],
        &["plan", "job"],
        &["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"],
    ];
    shop.write("done.csv", "ticket,what,pull\nT1,cut,all\nT2,cut,all\n");
    for words in steps {
        let (code, said) = shop.run(words);
        assert_eq!(code, 0, "{words:?}: {said}");
    }
    let next = shop.plan("out2/plan.json");
    assert_eq!(next["already"]["from_shelf"]["T2 left 1"], 1);
    let stock = next["already"]["stock"].as_array().expect("stock");
    assert!(stock.iter().any(|one| one["name"] == "T2 left 1"), "a rest is called so: {stock:?}");
    let book = ["shelf", "book", "l.db", "job", "out2/plan.json", "--place", "r1"];
    let (code, said) = shop.run(&book);
    assert_eq!(code, 0, "{said}");
    assert_eq!(said.matches("used, taken off the shelf").count(), 1, "{said}");
    let (_, list) = shop.run(&["shelf", "list", "l.db", "--json"]);
    assert!(!list.contains("2000"), "{list}");
}

/// Few sizes and many offcuts, each with a limit of its own: this once ended the engine.
#[test]
fn more_offcuts_than_sizes_are_planned_with() {
    let shop = Shop::new();
    let takeoff = "item,kind,size,length,quantity,build\nP-1,pipe,NPS 6,9 m,4,10\n";
    shop.write("job/takeoff.csv", takeoff);
    let mut offcuts = "offcut,thickness,width,length\n".to_owned();
    for at in 0..40 {
        let line = format!("O-{at},10,1500,{}\n", 600 + 40 * at);
        offcuts += &line;
    }
    shop.write("job/offcuts.csv", offcuts);
    let (code, said) = shop.run(&["plan", "job"]);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("the shelf "), "{said}");
}

#[test]
fn a_plan_that_goes_on_is_booked_with_the_rests() {
    let shop = Shop::new();
    let done = "ticket,what,pull,from,to\nT1,damaged,,5 m,6 m\n";
    shop.write("done.csv", done);
    let sizes = ["--thickness", "10", "--width", "700", "--length", "900", "--place", "rack 1"];
    let (code, said) = shop.run(&[&["shelf", "add", "s.db"], &sizes[..]].concat());
    assert_eq!(code, 0, "{said}");
    let go_on =
        ["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"];
    assert_eq!(shop.run(&go_on).0, 0);
    let plan = shop.plan("out2/plan.json");
    let used = |name: &str| {
        plan["rolls"].as_array().expect("rolls").iter().any(|roll| roll["roll"] == name)
    };
    let parts = plan["already"]["stock"].as_array().expect("stock");
    let rests = parts
        .iter()
        .filter(|s| s["place"].as_str().expect("words").starts_with("left of"))
        .filter(|s| !used(s["name"].as_str().expect("a name")))
        .count();
    let kept: usize = plan["rolls"]
        .as_array()
        .expect("rolls")
        .iter()
        .map(|roll| {
            let kept =
                roll["offcuts"].as_array().expect("offcuts").iter().filter(|o| o["keep"] == true);
            kept.count() * usize::try_from(roll["copies"].as_u64().expect("a count")).expect("few")
        })
        .sum();
    let book = ["shelf", "book", "s.db", "job", "out2/plan.json", "--place", "rack 1"];
    let (code, said) = shop.run(&book);
    assert_eq!(code, 0, "{said}");
    let (_, list) = shop.run(&["shelf", "list", "s.db", "--json"]);
    let list: Value = serde_json::from_str(&list).expect("JSON");
    assert_eq!(list.as_array().expect("entries").len(), 1 + kept + rests, "{said}");
    assert_eq!(shop.run(&book).0, 1, "booked once");
    // What no ticket had a label printed for is known by its name in the lists.
    let done = "ticket,what,pull,from,to\nT1,cut,all,,\nT2,cut,all,,\nT1,damaged,,14 m,15 m\n";
    shop.write("done.csv", done);
    assert_eq!(shop.run(&go_on).0, 0);
    let (code, said) = shop.run(&[&book[..], &["--again"]].concat());
    assert!(code == 0 && said.contains("  no label (T1 part 1)  "), "{said}");
}

/// A job under these rules and with these rolls, planned into `job/out`; what its order comes to.
fn ordered(rules: &str, rolls: &str) -> (Shop, u64, u64) {
    let shop = Shop::new();
    shop.write("job/rules.toml", rules);
    shop.write("job/rolls.csv", rolls);
    let (code, said) = shop.run(&["plan", "--quiet", "job"]);
    assert_eq!(code, 0, "{said}");
    let plan = shop.plan("job/out/plan.json");
    let line = &plan["order"][0];
    let count = |key: &str| line[key].as_u64().expect("a count");
    let cut = count("cut");
    let bought = cut + count("spare") + count("more");
    (shop, cut, bought)
}

const GO_ON: [&str; 8] =
    ["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"];
const ONE_LOST: &str = "ticket,what,pull,from,to\nT1,damaged,,100,15 m\n";

/// The rolls of a product that are on hand, whole and not begun.
fn whole(plan: &Value) -> u64 {
    let stock = plan["already"]["stock"].as_array().expect("stock").iter();
    let whole = stock.filter(|stock| stock["of"] == "R");
    whole.map(|stock| stock["quantity"].as_u64().expect("a count")).sum()
}

/// Spares, and what a minimum order or a price break added, lie there when a roll is lost: nothing more is
/// bought while they do, in the plan after that neither, and the ground is checked.
#[test]
fn what_was_ordered_beyond_the_cut_is_on_hand() {
    let minimum = "roll,thickness,width,length,price,minimum\nR,10,1500,15 m,400,9\n";
    let breaks = "roll,thickness,width,length,price,breaks\nR,10,1500,15 m,400,9: 60\n";
    let cases = [("[order]\nspare_rolls = 2\n", ROLLS), ("", minimum), ("", breaks)];
    for (rules, rolls) in cases {
        let (shop, cut, bought) = ordered(rules, rolls);
        assert!(bought >= cut + 2, "{rules}{rolls}: {cut} cut of {bought}");
        shop.write("done.csv", ONE_LOST);
        let (code, said) = shop.run(&GO_ON);
        assert_eq!(code, 0, "{said}");
        assert!(said.contains("(1500 x 100 mm); 0 used, 1 left, too small to"), "{said}");
        assert!(said.contains("rolls to buy beyond those on hand: 0"), "{said}");
        let second = shop.plan("out2/plan.json");
        assert!(second.get("order").is_none(), "{}", second["order"]);
        assert_eq!(
            (whole(&second), second["already"]["bought"]["R"].as_u64()),
            (bought - 1, Some(bought))
        );
        let audit =
            ["audit", "job", "out2/plan.json", "--from", "job/out/plan.json", "--done", "done.csv"];
        let (code, said) = shop.run(&audit);
        assert_eq!(code, 0, "{said}");
        let mut less = second.clone();
        less["already"]["bought"]["R"] = 1.into();
        shop.write("less.json", less.to_string());
        assert_eq!(shop.run(&[&["audit", "job", "less.json"], &audit[3..]].concat()).0, 3);
        shop.write("done.csv", ONE_LOST.replace("T1", "T1r2"));
        let third =
            ["plan", "job", "--from", "out2/plan.json", "--done", "done.csv", "--out", "out3"];
        let (code, said) = shop.run(&third);
        assert_eq!(code, 0, "{said}");
        let third = shop.plan("out3/plan.json");
        assert!(third.get("order").is_none(), "{}", third["order"]);
        assert_eq!(
            (whole(&third), third["already"]["bought"]["R"].as_u64()),
            (bought - 2, Some(bought))
        );
        // Rolls bought as they are begun: the first one lost, with its spares, and no other.
        shop.write("done.csv", ONE_LOST);
        let (code, said) = shop.run(&[&GO_ON[..], &["--as-needed"]].concat());
        assert_eq!(code, 0, "{said}");
        let needed = shop.plan("out2/plan.json");
        let begun = if rules.is_empty() && rolls == breaks { 1 } else { bought.min(9) };
        let begun = if rules.is_empty() { begun } else { 3 };
        assert_eq!(needed["already"]["bought"]["R"], begun);
        assert_eq!(whole(&needed), begun - 1);
        // Audited otherwise than it was made, it is told so, and nobody is said to have changed the plan.
        let audit = ["audit", "job", "out2/plan.json", "--from", GO_ON[3], "--done", "done.csv"];
        assert_eq!(shop.run(&[&audit[..], &["--as-needed"]].concat()).0, 0);
        let (code, said) = shop.run(&audit);
        if begun == bought {
            assert_eq!(code, 0, "{said}");
        } else {
            assert!(
                code == 2 && said.contains("made with --as-needed: give it here as well"),
                "{said}"
            );
        }
    }
}

/// Spares are ordered once: a plan that goes on and must buy more takes the spares that are there, orders none
/// again, and says so; asked for more than were ordered, it orders the difference.
#[test]
fn spares_are_ordered_once_and_that_is_told() {
    let (shop, cut, bought) = ordered("[order]\nspare_rolls = 2\n", ROLLS);
    assert_eq!(bought, cut + 2);
    shop.write("done.csv", ONE_LOST);
    // Some forty metres of NPS 8 more: several rolls.
    let more = "P-9,South,L-2,pipe,NPS 8,40 m,1,10+10,3\n";
    shop.write("job/takeoff.csv", format!("{TAKEOFF}{more}"));
    for (asked, spare) in [(2, None), (3, Some(1))] {
        let rules = format!("[order]\nspare_rolls = {asked}\n");
        shop.write("job/rules.toml", rules);
        for words in [&GO_ON[..], &[&GO_ON[..], &["--as-needed"]].concat()] {
            let (code, said) = shop.run(words);
            assert_eq!(code, 0, "{said}");
            let next = shop.plan("out2/plan.json");
            let line = &next["order"][0];
            assert!(line["cut"].as_u64() > Some(0), "more is bought: {said}");
            let told = said.split_whitespace().collect::<Vec<_>>().join(" ");
            // As needed, the one roll begun was bought with the spares asked for by now.
            let as_needed = words.contains(&"--as-needed");
            let before = if as_needed { asked } else { 2 };
            let spare = spare.filter(|_| !as_needed);
            assert_eq!(line["spare"].as_u64().filter(|&n| n > 0), spare, "{line}: {said}");
            let again = spare.unwrap_or(0);
            let words = format!("10 mm: {before} ordered before, {again} more now");
            assert!(told.contains(&words), "{words}: {told}");
            assert_eq!(next["already"]["spares"][0]["count"], before);
        }
    }
}

/// What no ticket is for can be reported gone by its name, a ticket's whole roll by the ticket: neither is counted on
/// afterwards, in the plan after that neither, and the audit checks that ground.
#[test]
fn what_is_gone_is_not_counted_on() {
    let (shop, cut, bought) = ordered("[order]\nspare_rolls = 2\n", ROLLS);
    assert_eq!(bought, cut + 2);
    let head = "ticket,what,pull,quantity\n";
    let after = |lines: &str, words: &[&str]| {
        shop.write("done.csv", format!("{head}{lines}"));
        let (code, said) = shop.run(words);
        (code, said.split_whitespace().collect::<Vec<_>>().join(" "))
    };
    let lines = [
        ("", bought),
        ("R,gone,,\n", bought - 1),
        ("R on hand,GONE,,2\n", bought - 2),
        ("R whole,gone,,1\n", bought - 1),
        ("R,gone,,1\nT1,gone,,\nR,gone,,1\n", bought - 3),
        ("T1,gone,,\n", bought - 1),
    ];
    for (line, left) in lines {
        let (code, said) = after(line, &GO_ON);
        assert_eq!(code, 0, "{line}: {said}");
        let plan = shop.plan("out2/plan.json");
        assert_eq!(whole(&plan), left, "{line}: {said}");
        assert_eq!(said.contains("no longer there: "), line.starts_with('R'), "{line}: {said}");
        let audit = ["audit", "job", "out2/plan.json", "--from", "job/out/plan.json"];
        assert_eq!(shop.run(&[&audit[..], &["--done", "done.csv"]].concat()).0, 0);
        // Against a report in which nothing is gone the plan's ground is false.
        shop.write("other.csv", head);
        let other = shop.run(&[&audit[..], &["--done", "other.csv"]].concat()).0;
        assert_eq!(other, if line.is_empty() { 0 } else { 3 }, "{line}");
    }
    // An offcut of the shelf that is called like the rolls is none of them, and stays where a roll is gone.
    shop.write(
        "job/offcuts.csv",
        "offcut,thickness,width,length,quantity\nR on hand,10,1000,2400,1\n",
    );
    let (code, said) = shop.run(&["plan", "job", "--quiet"]);
    assert_eq!(code, 0, "{said}");
    let stock = |shop: &Shop| -> Vec<(u64, u64)> {
        let plan = shop.plan("out2/plan.json");
        let stock = plan["already"]["stock"].as_array().cloned().unwrap_or_default();
        let named = stock.iter().filter(|stock| stock["name"].to_string().contains("R on hand"));
        named.filter_map(|s| Some((s["length"].as_u64()?, s["quantity"].as_u64()?))).collect()
    };
    assert_eq!(after("", &GO_ON).0, 0);
    let before = stock(&shop);
    assert_eq!(after("R,gone,,1\n", &GO_ON).0, 0);
    let rolls =
        |stock: &[(u64, u64)]| stock.iter().filter(|s| s.0 != 2400).map(|s| s.1).sum::<u64>();
    let offcuts = |stock: &[(u64, u64)]| stock.iter().filter(|s| s.0 == 2400).count();
    let now = stock(&shop);
    assert_eq!(offcuts(&before), 1);
    assert_eq!((rolls(&now) + 1, offcuts(&now)), (rolls(&before), offcuts(&before)), "{now:?}");
    std::fs::remove_file(shop.folder.path().join("job/offcuts.csv")).unwrap();
    let (code, said) = shop.run(&["plan", "job", "--quiet"]);
    assert_eq!(code, 0, "{said}");
    // Rolls that are bought as they are begun: with the first its two spares, before it none.
    for (line, words) in [
        ("R,gone,,2\n", "no longer there: 2 of R on hand, of which 0 were bought so far"),
        ("T1,gone,,\nR,gone,,2\n", "no longer there: 2 of R on hand changed:"),
    ] {
        let (code, said) = after(line, &[&GO_ON[..], &["--as-needed"]].concat());
        assert!(code == 0 && said.contains(words), "{line}: {said}");
        assert_eq!(whole(&shop.plan("out2/plan.json")), 0, "{line}: {said}");
    }
    assert!(after("T1,gone,,\n", &GO_ON).1.contains("T1, R: nothing is left of it"));
    // In the plan after that, of what the first ordered and the second has no ticket for.
    let (code, said) = after("R,gone,,\n", &GO_ON);
    assert_eq!(code, 0, "{said}");
    let third = ["plan", "job", "--from", "out2/plan.json", "--done", "done.csv", "--out", "out3"];
    let (code, said) = after("R,gone,,1\n", &third);
    assert_eq!(code, 0, "{said}");
    assert_eq!(whole(&shop.plan("out3/plan.json")), bought - 2, "{said}");
    let wrong = [
        ("R,gone,,3\n", "3 of `R` are told to be gone, and 2 lie there without a ticket"),
        ("R,gone,,1\nR,gone,,2\n", "done.csv:3:1 (ticket): error G006"),
        ("S,gone,,\n", "`S` is neither a ticket nor what lies on hand"),
        ("T99,gone,,\n", "name a ticket, or one of R on hand"),
        ("R,gone,1,\n", "done.csv:2:3 (pull): error G008"),
        ("T1,gone,,2\n", "done.csv:2:4 (quantity): error G008"),
        ("R,gone,,none\n", "done.csv:2:4 (quantity): error G00"),
        ("R,left,,\n", "error G002"),
    ];
    for (line, words) in wrong {
        let (code, said) = after(line, &GO_ON);
        assert!(code == 1 && said.contains(words), "{line}: {said}");
    }
}

/// An offcut that a cut of the same report keeps is lost by the name on its label; another roll's is there still, and a
/// product whose name ends like a ticket's is no ticket.
#[test]
fn an_offcut_is_lost_by_its_label() {
    let shop = Shop::new();
    let takeoff =
        "item,kind,size,length,quantity,build\nP-1,pipe,NPS 6,900,2,10\nP-2,pipe,NPS 6,900,2,5\n";
    shop.write("job/takeoff.csv", takeoff);
    let rolls = "roll,thickness,width,length,price\nMat1,10,1500,6 m,100\nFelt2,5,1500,6 m,80\n";
    shop.write("job/rolls.csv", rolls);
    shop.write("job/rules.toml", "[order]\nspare_rolls = 1\n");
    assert_eq!(shop.run(&["plan", "--quiet", "job"]).0, 0);
    let labels = |plan: &Value| -> Vec<String> {
        let stock = plan["already"]["stock"].as_array().expect("a list").iter();
        stock.map(|on_hand| on_hand["name"].as_str().expect("a name").to_owned()).collect()
    };
    let after = |lines: &str| {
        shop.write("done.csv", format!("ticket,what,pull\n{lines}"));
        let (code, said) = shop.run(&GO_ON);
        assert_eq!(code, 0, "{lines}: {said}");
        labels(&shop.plan("out2/plan.json"))
    };
    let all = after("T1,cut,all\nT2,cut,all\n");
    let kept: Vec<&String> = all.iter().filter(|name| name.contains(" left ")).collect();
    assert!(!kept.is_empty() && all.iter().any(|name| name == "Mat1 on hand"), "{all:?}");
    for lost in kept {
        let left = after(&format!("T1,cut,all\nT2,cut,all\n{lost},gone,\n"));
        let expected: Vec<&String> = all.iter().filter(|name| *name != lost).collect();
        assert_eq!(left.iter().collect::<Vec<_>>(), expected, "{lost}");
    }
    let left = after("T1,cut,all\nT2,cut,all\nFelt2,gone,\n");
    let expected: Vec<&String> = all.iter().filter(|name| *name != "Felt2 on hand").collect();
    assert_eq!(left.iter().collect::<Vec<_>>(), expected);
}

/// Rolls that are whole at the end are not used: with spares, stages tell the same savings as without.
#[test]
fn spares_do_not_turn_what_stages_save() {
    let used = |rules: &str| -> Vec<i64> {
        let (shop, ..) = ordered(rules, ROLLS);
        let (code, said) = shop.run(&["stages", "job", "--json", "--quiet"]);
        assert_eq!(code, 0, "{said}");
        let stages: Value = serde_json::from_str(&said).expect("JSON");
        let of = |window: u64| {
            let list =
                || stages.as_array().expect("stages").iter().filter(|s| s["window"] == window);
            let bought: i64 = list().map(|s| s["bought"].as_i64().expect("a count")).sum();
            bought - list().next_back().and_then(|s| s["whole"].as_i64()).expect("a count")
        };
        [0, 2].map(of).to_vec()
    };
    let without = used("");
    let with = used("[order]\nspare_rolls = 2\n");
    // What is used, not what is bought: the whole job uses the same, day by day no less than without spares
    // needs, as spares serve like bought rolls.
    assert_eq!(with, without);
}

/// What is left after a plan is all listed: kept offcuts, rests that are not cut, offcuts that stay on the
/// shelf, and whole rolls.
#[test]
fn all_that_is_left_is_in_the_list_for_the_shelf() {
    let shop = Shop::new();
    let shelf = "offcut,thickness,width,length,quantity,place\nK-1,10,310,320,2,rack 7\n";
    shop.write("job/offcuts.csv", shelf);
    shop.write("job/rules.toml", "[order]\nspare_rolls = 2\n");
    assert_eq!(shop.run(&["plan", "--quiet", "job"]).0, 0);
    let list = |name: &str| {
        let rows = rows(&shop.path(name));
        let row = |row: &std::collections::BTreeMap<String, String>| {
            (row["offcut"].clone(), number(&row["quantity"]), row["place"].clone())
        };
        rows.iter().map(row).collect::<Vec<_>>()
    };
    let first = list("job/out/offcuts.csv");
    for left in [("K-1", 2, "rack 7"), ("R whole", 2, "whole roll, not begun")] {
        let (name, count, place) = left;
        assert!(first.contains(&(name.to_owned(), count, place.to_owned())), "{left:?}: {first:?}");
    }
    fs::write(shop.path("done.csv"), "ticket,what,pull,from,to\nT1,damaged,,500,13900\n")
        .expect("written");
    let (code, said) = shop.run(&GO_ON);
    assert_eq!(code, 0, "{said}");
    let (plan, second) = (shop.plan("out2/plan.json"), list("out2/offcuts.csv"));
    let mut left = 0;
    for stock in plan["already"]["stock"].as_array().expect("stock") {
        let used: u64 = plan["rolls"].as_array().expect("rolls").iter().fold(0, |sum, roll| {
            sum + roll["copies"].as_u64().filter(|_| roll["roll"] == stock["name"]).unwrap_or(0)
        });
        let count = stock["quantity"].as_u64().expect("a count") - used;
        let name = stock["name"].as_str().expect("a name");
        let listed: u64 = second.iter().filter(|row| row.0 == name).map(|row| row.1).sum();
        assert_eq!(listed, count, "{name}: {second:?}");
        left += count;
    }
    assert!(left > 0, "{second:?}");
    // It is an input as it stands.
    fs::copy(shop.path("out2/offcuts.csv"), shop.path("job/offcuts.csv")).expect("copied");
    let (code, said) = shop.run(&["order", "job"]);
    assert_eq!(code, 0, "{said}");
}

/// What a job leaves is the shelf of the next, and what that leaves the shelf of the one after: no two things of a
/// list bear one name, and names do not grow from job to job.
#[test]
fn what_is_left_is_the_shelf_of_job_after_job() {
    let shop = Shop::new();
    shop.write("job/rules.toml", "[order]\nspare_rolls = 1\n");
    let mut most = 0;
    for round in 0..4 {
        let (code, said) = shop.run(&["plan", "--quiet", "job"]);
        assert_eq!(code, 0, "job {round}: {said}");
        let names: Vec<String> = rows(&shop.path("job/out/offcuts.csv"))
            .iter()
            .map(|row| row["offcut"].clone())
            .collect();
        assert!(names.iter().all(|name| name.len() < 16), "{names:?}");
        most = most.max(names.len());
        fs::copy(shop.path("job/out/offcuts.csv"), shop.path("job/offcuts.csv")).expect("copied");
    }
    assert!(most > 1, "nothing is left");
}

/// Whole rolls that a plan leaves come into the ledger under a word of their own.
#[test]
fn unopened_spares_are_booked() {
    let (shop, ..) = ordered("[order]\nspare_rolls = 2\n", ROLLS);
    let sizes = ["--thickness", "10", "--width", "700", "--length", "900", "--place", "rack 1"];
    let (code, said) = shop.run(&[&["shelf", "add", "s.db"], &sizes[..]].concat());
    assert_eq!(code, 0, "{said}");
    let (code, said) =
        shop.run(&["shelf", "book", "s.db", "job", "job/out/plan.json", "--place", "rack 1"]);
    assert_eq!(code, 0, "{said}");
    assert_eq!(said.matches("a whole roll, not begun").count(), 2, "{said}");
    let (_, list) = shop.run(&["shelf", "list", "s.db", "--json"]);
    assert_eq!(list.matches("15000").count(), 2, "{list}");
}

/// Whole rolls that are narrower than what is kept of cut ones come into the ledger as they stand in the list, and what
/// lay on the shelf and is not cut stands in the list whatever its size.
#[test]
fn whole_rolls_and_what_lies_on_the_shelf_are_kept_whatever_their_size() {
    let shop = Shop::new();
    shop.write("job/takeoff.csv", "item,kind,size,length,quantity,build\nP,pipe,NPS 1,900,9,10\n");
    let rolls = "roll,thickness,width,length,price,minimum\nN,10,250,10 m,20,3\n";
    shop.write("job/rolls.csv", rolls);
    shop.write("job/offcuts.csv", "offcut,thickness,width,length,quantity\nS1,10,240,950,1\n");
    assert_eq!(shop.run(&["plan", "--quiet", "job"]).0, 0);
    let listed = |list: &str| -> Vec<(String, String)> {
        let rows = rows(&shop.path(list));
        rows.iter().map(|row| (row["offcut"].clone(), row["quantity"].clone())).collect()
    };
    let whole = ("N whole".to_owned(), "2".to_owned());
    assert!(listed("job/out/offcuts.csv").contains(&whole));
    let used = shop.plan("job/out/plan.json")["rolls"].to_string().contains("\"S1\"");
    assert!(used, "the offcut is used first");
    // Nothing was cut, and less is wanted: the offcut lies there still.
    shop.write("job/takeoff.csv", "item,kind,size,length,quantity,build\nP,pipe,NPS 1,1000,9,10\n");
    shop.write("done.csv", "ticket,what,pull\n");
    let (code, said) = shop.run(&GO_ON);
    assert_eq!(code, 0, "{said}");
    let one = ("S1".to_owned(), "1".to_owned());
    assert!(listed("out2/offcuts.csv").contains(&one), "{:?}", listed("out2/offcuts.csv"));
    let ledger = ["--thickness", "10", "--width", "240", "--length", "950", "--place", "rack 1"];
    assert_eq!(shop.run(&[&["shelf", "add", "s.db"], &ledger[..]].concat()).0, 0);
    let (code, said) =
        shop.run(&["shelf", "book", "s.db", "job", "out2/plan.json", "--place", "rack 1"]);
    assert_eq!(code, 0, "{said}");
    assert_eq!(said.matches("a whole roll, not begun").count(), 2, "{said}");
}

/// The plan of an early release is not booked: the next one may cut what it leaves. And no plan goes on from that of
/// another job.
#[test]
fn a_part_of_a_job_is_not_booked_and_another_job_is_not_gone_on_from() {
    let shop = Shop::new();
    let (code, said) = shop.run(&["stages", "job", "--out", "days"]);
    assert_eq!(code, 0, "{said}");
    let sizes = ["--thickness", "10", "--width", "700", "--length", "900", "--place", "rack 1"];
    assert_eq!(shop.run(&[&["shelf", "add", "s.db"], &sizes[..]].concat()).0, 0);
    let first = "days/release-1/plan.json";
    let book = ["shelf", "book", "s.db", "job", first, "--place", "rack 1"];
    let (code, said) = shop.run(&book);
    assert!(code == 1 && said.contains("L010") && said.contains("release 1"), "{said}");
    let (_, list) = shop.run(&["shelf", "list", "s.db", "--json"]);
    assert_eq!(list.matches("\"offcut\"").count(), 1, "{list}");
    let (code, said) = shop.run(&[&book[..], &["--only"]].concat());
    assert_eq!(code, 0, "{said}");
    shop.write("job/takeoff.csv", "item,kind,size,length,quantity,build\nQ,pipe,NPS 6,3 m,1,10\n");
    shop.write("done.csv", "ticket,what,pull\n");
    let (code, said) = shop.run(&GO_ON);
    assert!(code == 1 && said.contains("J016") && !shop.path("out2").exists(), "{said}");
}

/// A plan that goes on from another buys no more than is left of what could be had, and says why.
#[test]
fn what_was_bought_can_not_be_had_again() {
    let rolls = |available: u64| {
        format!("roll,thickness,width,length,price,available\nR,10,1500,15 m,400,{available}\n")
    };
    let (_, cut, _) = ordered("", ROLLS);
    let (shop, again, bought) = ordered("", &rolls(cut));
    assert_eq!((again, bought), (cut, cut));
    shop.write("done.csv", ONE_LOST);
    let (code, said) = shop.run(&GO_ON);
    assert_eq!(code, 1, "{said}");
    let told =
        format!("of `R` {cut} were bought before (`available` counts them), and 0 can be had");
    assert!(said.contains("J005") && said.contains(&told), "{said}");
    // One more can be had now.
    shop.write("job/rolls.csv", rolls(cut + 1));
    let (code, said) = shop.run(&GO_ON);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("rolls to buy beyond those on hand: 1"), "{said}");
}

/// Day by day a minimum order is bought once, and what it leaves is on hand at the next release.
#[test]
fn stages_carry_on_what_a_minimum_order_left() {
    let minimum = "roll,thickness,width,length,price,minimum\nR,10,1500,15 m,400,9\n";
    let (shop, _, bought) = ordered("", minimum);
    assert_eq!(bought, 9);
    let (code, said) = shop.run(&["stages", "job", "--json", "--quiet", "--out", "days"]);
    assert_eq!(code, 0, "{said}");
    let stages: Value = serde_json::from_str(&said).expect("JSON");
    for window in [0, 2] {
        let list = stages.as_array().expect("stages").iter().filter(|s| s["window"] == window);
        let list: Vec<u64> = list.map(|s| s["bought"].as_u64().expect("a count")).collect();
        assert_eq!(list, [9, 0, 0], "window {window}: {said}");
    }
    let from = ["--from", "days/release-1/plan.json", "--done", "days/release-1/cut-1.csv"];
    let audit = [&["audit", "job", "days/release-2/plan.json", "--as-needed"], &from[..]].concat();
    let (code, said) = shop.run(&audit);
    assert_eq!(code, 0, "{said}");
    assert!(whole(&shop.plan("days/release-2/plan.json")) > 0);
}

/// Where nobody names what a plan goes on from, every use of it says that this was not checked; and the
/// verdict tells what only the search knew.
#[test]
fn what_was_not_checked_is_said() {
    let shop = Shop::new();
    shop.write("done.csv", ONE_LOST);
    assert_eq!(shop.run(&GO_ON).0, 0);
    let plan = ["--plan", "out2/plan.json"];
    let uses: [&[&str]; 4] = [
        &["audit", "job", "out2/plan.json"],
        &[&["price", "job"], &plan[..]].concat(),
        &[&["tickets", "job"], &plan[..]].concat(),
        &[&["draw", "job", "--out", "drawn"], &plan[..]].concat(),
    ];
    for words in uses {
        let (code, said) = shop.run(words);
        assert!(code == 0 && said.contains("J010"), "{words:?}: {said}");
    }
    let ground = ["--from", "job/out/plan.json", "--done", "done.csv"];
    let (_, said) = shop.run(&[&["audit", "job", "out2/plan.json"], &ground[..]].concat());
    assert!(!said.contains("J010"), "{said}");
    // A bound above what area and lengths tell is the search's, and no plan says more than it has.
    let (_, said) = shop.run(&["audit", "job", "--json", "--quiet"]);
    let verdict: Value = serde_json::from_str(&said).expect("JSON");
    let kits = shop.plan("job/out/plan.json")["sequence"]["open_kits_bound"].as_u64();
    let told = verdict["unchecked"].as_array().expect("a list");
    assert_eq!(kits > Some(1), told.iter().any(|s| s.as_str().is_some_and(|s| s.contains("kits"))));
}

/// A shop that does as planned needs no roll more for going on: what is left of a roll begins behind a cut and is square,
/// so that it holds the pulls planned on it, which together fill the roll to its last millimetre.
#[test]
fn what_begins_behind_a_cut_is_not_squared_again() {
    const TO_HERE: &str = "ticket,what,pull\nT1,cut,1-3\n";
    const ON: [&str; 8] =
        ["plan", "job", "--from", "job/out/plan.json", "--done", "done.csv", "--out", "out2"];
    let audit = ["audit", "job", "out2/plan.json", "--from", ON[3], "--done", "done.csv"];
    for gap in [0, 3, 60] {
        let shop = Shop { folder: tempfile::tempdir().expect("a folder") };
        fs::create_dir(shop.path("job")).expect("a folder");
        let file = |name: &str, text: &str| fs::write(shop.path(name), text).expect("a file");
        let rolls = |length: u64| {
            file(
                "job/rolls.csv",
                &format!("roll,thickness,width,length,price\nA,10,1000,{length},400\n"),
            );
        };
        file("job/takeoff.csv", "item,kind,size,length,quantity,build\nP1,pipe,NPS 4,10 m,1,10\n");
        file("job/rules.toml", &format!("[table]\ngap = {gap}\n"));
        rolls(20_000);
        assert_eq!(shop.run(&["plan", "job", "--quiet"]).0, 0);
        let first = shop.plan("job/out/plan.json");
        let last = first["rolls"][0]["pulls"].as_array().and_then(|pulls| pulls.last());
        let last = last.expect("a pull");
        let end = last["y"].as_u64().zip(last["length"].as_u64()).expect("lengths");
        rolls(end.0 + end.1);
        assert_eq!(shop.run(&["plan", "job", "--quiet"]).0, 0);
        file("done.csv", TO_HERE);
        let (code, said) = shop.run(&ON);
        assert_eq!(code, 0, "gap {gap}: {said}");
        assert!(said.contains("nothing is to be bought"), "gap {gap}: {said}");
        assert_eq!(shop.run(&audit).0, 0);
        let after = shop.plan("out2/plan.json");
        let roll = &after["rolls"][0];
        // By hand: the gap to the cut before is kept, and no square cut is made where that needs no more.
        let squared = gap < 50;
        assert_eq!(roll["squared"].as_bool().unwrap_or(false), squared);
        assert_eq!(roll["pulls"][0]["y"], if squared { gap } else { 50 });
        let square_cuts = after["nests"][0]["areas"]["square_cuts"].as_u64();
        assert_eq!(square_cuts, Some(if squared { 0 } else { 50_000 }));
        assert_eq!(shop.run(&["tickets", "job", "--plan", "out2/plan.json"]).0, 0);
        let tickets = fs::read_to_string(shop.path("out2/tickets.html")).expect("tickets");
        assert_eq!(tickets.contains("which the cut before has left square"), squared);
        assert_eq!(tickets.contains("Square the front"), !squared);
        let cuts = rows(&shop.path("out2/cuts.csv"));
        assert_eq!(cuts.iter().any(|row| row["cut"] == "square cut"), !squared);
        // Who says otherwise of the front is told.
        let mut other = after.clone();
        other["rolls"][0]["squared"] = (!squared).into();
        file("out2/plan.json", &other.to_string());
        let (code, said) = shop.run(&audit);
        assert!(code == 3 && said.contains("square already and listed as"), "{said}");
    }
}

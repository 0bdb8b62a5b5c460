//! Bounds and their certificates in plans: what the engine proves is made anew by the audit, and a plan of
//! which bound, status, price or worth was altered does not stand.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use assert_cmd::Command;
use proptest::prelude::*;
use rollwright::audit::{Verdict, bounds};
use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::nest::{Instance, Options, Piece, Quiet, Roll, solve};
use rollwright::plan::{Limits, Plan, Program, Wanted, assemble};
use rollwright::units::{Decimal, Length, Money};
use serde_json::Value;
use std::fs;
use std::path::Path;

/// Width, length, quantity, and whether quarter turns are allowed.
type Of = (i64, i64, u64, bool);

fn pieces() -> impl Strategy<Value = Vec<Of>> {
    prop::collection::vec((8..60_i64, 8..60_i64, 1_u64..12, any::<bool>()), 1..7)
}

/// Widths, lengths and prices of rolls; the last is limited where there are two.
fn rolls() -> impl Strategy<Value = Vec<(i64, i64, i64)>> {
    prop::collection::vec((60..110_i64, 60..400_i64, 1..9_i64), 1..3)
}

fn cutting() -> impl Strategy<Value = Cutting> {
    let style = prop_oneof![
        Just((Style::Straight, Some(2))),
        Just((Style::Straight, Some(3))),
        Just((Style::Straight, None)),
        Just((Style::Free, None)),
    ];
    let pull =
        prop_oneof![Just(None), (60..150_i64).prop_map(|limit| Some(Length::from_mm(limit)))];
    (style, pull, 0..4_i64, 0..4_i64, 0..4_i64).prop_map(
        |((style, stages), pull_limit, gap, trim, front)| {
            let plain = Cutting::plain(style, stages);
            let [gap, edge_trim, square_cut] =
                [2 * gap, trim, 2 * front].map(|halves| Length::from_nm(halves * 500_000));
            Cutting { pull_limit, gap, edge_trim, square_cut, ..plain }
        },
    )
}

fn instance(
    (rolls, pieces): (&[(i64, i64, i64)], &[Of]),
    cutting: Cutting,
    objective: Objective,
) -> Instance {
    let endless = objective == Objective::Length;
    let roll = |(at, &(width, length, price)): (usize, &(i64, i64, i64))| Roll {
        id: format!("R{at}"),
        width: Length::from_mm(width),
        length: (!endless).then(|| Length::from_mm(length)),
        price: Money::from_units(price),
        available: (at > 0).then_some(2),
    };
    let piece = |(at, &(width, length, quantity, turned)): (usize, &Of)| Piece {
        id: format!("p{at}"),
        width: Length::from_mm(width),
        length: Length::from_mm(length),
        outline: None,
        quantity,
        turns: if turned { Turns::quarter() } else { Turns::none() },
    };
    let some = if endless { 1 } else { rolls.len() };
    Instance {
        name: "random".to_owned(),
        rolls: rolls.iter().take(some).enumerate().map(roll).collect(),
        pieces: pieces.iter().enumerate().map(piece).collect(),
        cutting,
        objective,
        published: None,
    }
}

/// The plan of an instance with its order sheet; `None` where it cannot be nested.
fn planned(instance: &Instance) -> Option<(Plan, Wanted)> {
    let nesting = solve(instance, &Options { seed: 1, work: 200_000 }, &Quiet).ok()?;
    let sheet = Wanted::from(instance);
    let limits = Limits { work: 1, seconds: None };
    let program = Program { version: "0".to_owned(), seed: 1, limits };
    let nested = [(sheet.clone(), nesting)];
    let plan = assemble("random", program, Vec::new(), &nested, Vec::new(), None).expect("a plan");
    Some((plan, sheet))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 250, max_global_rejects: 4000, ..ProptestConfig::default() })]

    /// Whatever the engine proves with a certificate stands, and none that is made too good does.
    #[test]
    fn what_the_engine_proves_is_made_anew(
        rolls in rolls(), pieces in pieces(), cutting in cutting(), least in 0..3_usize,
    ) {
        let objective = [Objective::Rolls, Objective::Price, Objective::Length][least];
        let instance = instance((&rolls, &pieces), cutting, objective);
        let Some((plan, sheet)) = planned(&instance) else {
            prop_assume!(false);
            return Ok(());
        };
        let sheets = std::slice::from_ref(&sheet);
        let (_, failures) = bounds(&plan, sheets, true);
        let told: Vec<&String> = failures.iter().map(|failure| &failure.sentence).collect();
        prop_assert!(told.is_empty(), "{:?} {:?}", told, plan.nests[0].certificate);
        let text = serde_json::to_string(&plan).expect("JSON");
        prop_assert_eq!(&serde_json::from_str::<Plan>(&text).expect("a plan"), &plan);
        if let Some(certificate) = &plan.nests[0].certificate {
            let mut better = plan.clone();
            let mut lower = certificate.clone();
            let dearest = certificate.prices.iter().copied().max().unwrap_or(0);
            // On some roll the dearest piece fits.
            for most in &mut lower.most {
                most.worth = if most.per.is_some() { 0 } else { (dearest - 1).max(0) };
            }
            better.nests[0].certificate = Some(lower);
            prop_assert_eq!(bounds(&better, sheets, true).1.is_empty(), dearest == 0);
            prop_assert!(bounds(&better, sheets, false).1.is_empty());
            let mut higher = plan.clone();
            higher.nests[0].bound = Decimal::from_millionths(1 << 60);
            prop_assert!(!bounds(&higher, sheets, true).1.is_empty());
        }
    }
}

/// Of many instances nearly all bounds are made anew: the others are free layouts with a gap, or rest on a
/// search.
#[test]
fn hardly_a_bound_is_taken_on_the_plans_word() {
    let (mut anew, mut word) = (0, Vec::new());
    for seed in 0..60_i64 {
        let of = |at: i64| {
            let draw = (seed * 7 + at * 13) % 41;
            (12 + draw, 50 - (draw * 5) % 38, 3 + (draw % 7).unsigned_abs(), at % 2 == 0)
        };
        let pieces: Vec<Of> = (0..5).map(of).collect();
        let stages = [Some(2), Some(3), None][usize::try_from(seed % 3).expect("small")];
        let cutting = Cutting::plain(Style::Straight, stages);
        let instance = instance((&[(100, 240, 1)], &pieces), cutting, Objective::Rolls);
        let (plan, sheet) = planned(&instance).expect("a plan");
        match bounds(&plan, std::slice::from_ref(&sheet), true).0.as_slice() {
            [Verdict::Anew(_)] => anew += 1,
            other => word.push((seed, format!("{other:?}"))),
        }
    }
    assert!(anew >= 50, "{anew} anew, but {word:?}");
}

const TAKEOFF: &str = "item,area,line,kind,size,length,quantity,build\n\
P-1,N,L,pipe,NPS 6,7 m,3,10+10\n\
P-2,N,L,pipe,NPS 4,5200,2,10\n\
P-3,N,L,pipe,NPS 8,9 m,2,10+10\n\
P-4,N,L,pipe,NPS 3,3700,4,10\n\
P-5,N,L,pipe,NPS 12,4100,2,10+10+10\n";
const ROLLS: &str = "roll,thickness,width,length,price,available\nR,10,1500,15 m,400,\n";

/// Runs the program in a folder; exit code and all that it says.
fn run(folder: &Path, words: &[&str]) -> (i32, String) {
    let output = Command::cargo_bin("rollwright")
        .expect("the program")
        .current_dir(folder)
        .args(words)
        .output()
        .expect("a run");
    let said = [output.stdout, output.stderr].concat();
    (output.status.code().unwrap_or(-1), String::from_utf8_lossy(&said).into_owned())
}

/// Each number of a list under a name, changed.
fn each(list: &mut Value, change: impl Fn(i64) -> i64) {
    for number in list.as_array_mut().expect("a list") {
        let place = if number.is_object() { &mut number["worth"] } else { number };
        *place = change(place.as_i64().expect("a whole number")).into();
    }
}

type Alter = fn(&mut Value);

/// Alterations of a nest, and what the audit says of each.
const ALTERED: [(&str, Alter, &str); 6] = [
    ("prices doubled", |nest| each(&mut nest["certificate"]["prices"], |p| 2 * p), "certificate"),
    ("prices halved", |nest| each(&mut nest["certificate"]["prices"], |p| p / 2), "gives no more"),
    ("worths halved", |nest| each(&mut nest["certificate"]["most"], |w| w / 2), "no more than"),
    (
        "a price below nothing",
        |nest| nest["certificate"]["prices"][0] = (-1).into(),
        "below nothing",
    ),
    ("a roll left out", |nest| nest["certificate"]["most"] = Value::Array(Vec::new()), "each roll"),
    (
        "a status",
        |nest| {
            let other = if nest["status"] == "proven" { "feasible" } else { "proven" };
            nest["status"] = other.into();
        },
        "The status of the nest of 10 mm is wrong",
    ),
];

fn altered(stages: &str) {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    fs::create_dir(at("job")).expect("a folder");
    let table = format!("[table]\n{stages}\nsquare_cut = 20\n[turning]\nquarter_turns = true\n");
    let files = [("takeoff.csv", TAKEOFF), ("rolls.csv", ROLLS), ("rules.toml", &table)];
    for (name, text) in files {
        fs::write(at("job").join(name), text).expect("written");
    }
    let (code, said) = run(folder.path(), &["plan", "job", "--quiet"]);
    assert_eq!(code, 0, "{said}");
    let (code, said) = run(folder.path(), &["audit", "job"]);
    assert!(code == 0 && said.contains("will not do, from its prices"), "{said}");
    assert!(!said.contains("will not do ("), "{said}");
    let plan = fs::read(at("job/out/plan.json")).expect("a plan");
    let honest: Value = serde_json::from_slice(&plan).expect("JSON");
    for (what, alter, says) in ALTERED {
        let mut plan = honest.clone();
        alter(&mut plan["nests"][0]);
        fs::write(at("altered.json"), plan.to_string()).expect("written");
        let (code, said) = run(folder.path(), &["audit", "job", "altered.json"]);
        let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(code == 3 && flat.contains(says), "{what}: {code} {said}");
    }
    // Where the shelf has changed since, the plan still stands, and the verdict says of which job the bound is.
    let shelf = "offcut,thickness,width,length,quantity,place\nO,10,1500,9 m,1,\n";
    fs::write(at("job/offcuts.csv"), shelf).expect("written");
    let (code, said) = run(folder.path(), &["audit", "job"]);
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(code == 0 && flat.contains("not one for the job as it is now"), "{said}");
    assert!(
        flat.contains("; a bound that it tells does not hold for the job as it is now"),
        "{said}"
    );
    fs::remove_file(at("job/offcuts.csv")).expect("taken away");
    // Without its certificate the plan stands, and the verdict says what it rests on then. One under a misspelt name is
    // no more, and that it was passed over is told.
    let mut plan = honest;
    let nest = plan["nests"][0].as_object_mut().expect("an object");
    let certificate = nest.remove("certificate").expect("a certificate");
    for misspelt in [false, true] {
        if misspelt {
            plan["nests"][0]["certficate"] = certificate.clone();
        }
        fs::write(at("altered.json"), plan.to_string()).expect("written");
        let (code, said) = run(folder.path(), &["audit", "job", "altered.json"]);
        assert!(code == 0 && !said.contains("from its prices"), "{said}");
        let told =
            "it has a field that is not known, and nothing is read from: `nests.0.certficate`";
        let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(flat.contains("warning J015") && flat.contains(told), misspelt, "{said}");
    }
}

#[test]
fn an_altered_bound_of_two_stages_does_not_stand() {
    altered("stages = 2");
}

#[test]
fn an_altered_bound_of_three_stages_does_not_stand() {
    altered("stages = 3");
}

#[test]
fn an_altered_bound_of_free_layouts_does_not_stand() {
    altered("style = \"free\"");
}

/// The demo's 10 mm are a roll above their bound: a plan that calls them proven is refused.
#[test]
fn a_plan_that_says_proven_falsely_does_not_stand() {
    let folder = tempfile::tempdir().expect("a folder");
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/vellmoor").display().to_string();
    let (code, said) = run(folder.path(), &["plan", &demo, "--out", "out", "--quiet"]);
    assert_eq!(code, 0, "{said}");
    let bytes = fs::read(folder.path().join("out/plan.json")).expect("a plan");
    let mut plan: Value = serde_json::from_slice(&bytes).expect("JSON");
    let (code, said) = run(folder.path(), &["audit", &demo, "out/plan.json", "--json", "--quiet"]);
    assert_eq!(code, 0, "{said}");
    let verdict: Value = serde_json::from_str(&said).expect("JSON");
    assert_eq!(verdict["checked"].as_array().map(Vec::len), Some(2), "{said}");
    assert_ne!(plan["nests"][1]["bound"], plan["nests"][1]["value"]);
    plan["nests"][1]["bound"] = plan["nests"][1]["value"].clone();
    plan["nests"][1]["status"] = "proven".into();
    plan["bound"] = plan["value"].clone();
    plan["status"] = "proven".into();
    fs::write(folder.path().join("proven.json"), plan.to_string()).expect("written");
    let (code, said) = run(folder.path(), &["audit", &demo, "proven.json"]);
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(code == 3 && flat.contains("its certificate gives no more than 63"), "{said}");
}

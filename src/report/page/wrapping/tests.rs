//! The schedule on the page: like things once, and small for a large job.

use super::*;

use crate::demand::expand;
use crate::finding::{Findings, Place};
use crate::plan::sample;
use crate::rules::Rules;
use crate::stock::{Roll, Stock};
use crate::takeoff::{Build, Elbow, Item, Kind, Measure, Pipe, Size, Takeoff};

fn mm(value: i64) -> Length {
    Length::from_mm(value)
}

fn item(id: String, kind: Kind, quantity: u64) -> Item {
    Item {
        id,
        area: String::new(),
        line: String::new(),
        kind,
        quantity,
        build: Build(vec![mm(10), mm(10), mm(10)]),
        release: 1,
        note: String::new(),
        pinned: false,
        place: Place::line("takeoff.csv", 2),
    }
}

fn size(od: i64) -> Size {
    Size { text: format!("OD {od}"), od: mm(od), nps_64ths: None }
}

/// Runs that are all of different length, each `quantity` times, and elbows that are alike.
fn takeoff(runs: i64, quantity: u64) -> Takeoff {
    let run = |i: i64| {
        let pipe = Pipe {
            size: size(114 + 27 * (i % 9)),
            length: mm(1900 + 7 * i),
            measure: Measure::Net,
            vertical: false,
            ends: Vec::new(),
        };
        item(format!("L-{i}-P"), Kind::Pipe(pipe), quantity)
    };
    let elbow = |i: i64| {
        let od = 114 + 27 * (i % 9);
        let bend = Elbow {
            size: size(od),
            angle: Angle::QUARTER,
            radius: mm(od + od / 3),
            straight: Length::ZERO,
        };
        item(format!("L-{i}-E"), Kind::Elbow(bend), 1)
    };
    Takeoff { items: (0..runs).map(run).chain((0..runs / 4).map(elbow)).collect() }
}

/// The sample plan with the demand's pieces as uses of its own.
fn with_page<T>(takeoff: &Takeoff, show: impl Fn(&Plan, &Sources<'_>) -> T) -> T {
    let roll = Roll {
        id: "R".to_owned(),
        thickness: mm(10),
        width: mm(1500),
        length: mm(40_000),
        price: None,
        available: None,
        offered: true,
        courses: true,
        terms: crate::stock::Terms::default(),
        place: Place::default(),
    };
    let (rules, stock) = (Rules::default(), Stock { rolls: vec![roll], offcuts: Vec::new() });
    let demand = expand(takeoff, &stock, &rules).0.unwrap();
    let findings = Findings::new();
    let mut plan = sample::plan(400, 17);
    for piece in &mut plan.pieces {
        piece.uses.clear();
    }
    for step in plan.sequence.iter_mut().flat_map(|sequence| &mut sequence.steps) {
        step.uses.fill(None);
    }
    let wanted = crate::plan::job::wanted("job", &demand, &stock, &rules);
    let pieces = wanted.iter().flat_map(|sheet| &sheet.pieces);
    plan.pieces.extend(pieces.map(|piece| piece.in_nest(1)));
    show(&plan, &Sources::new(takeoff, &stock, &rules, &demand, &findings))
}

/// Twenty thousand pieces of six hundred runs, no two of one length, stay below 3 MB.
#[test]
fn a_large_job_stays_small() {
    let takeoff = takeoff(600, 4);
    let (pieces, page) = with_page(&takeoff, |plan, sources| {
        let pieces: u64 = sources.demand.pieces.iter().map(|p| p.quantity).sum();
        (
            pieces,
            crate::report::page::page(plan, sources, crate::report::page::draft(plan, sources)),
        )
    });
    assert!(pieces > 20_000, "{pieces}");
    assert!(page.len() < 3 << 20, "{} bytes", page.len());
}

/// Like items stand together, every step of one of them has its row, and a curved piece is drawn
/// once.
#[test]
fn like_items_are_told_once() {
    let takeoff = takeoff(40, 1);
    with_page(&takeoff, |plan, sources| {
        let page = wrapping(plan, sources).into_string();
        // Forty runs, and ten elbows of nine sizes.
        assert_eq!(page.matches("<h3>").count(), 49);
        assert!(page.contains("L-0-E, L-9-E"), "like elbows");
        let (mut drawn, mut seen) = (0, BTreeSet::new());
        for rest in page.split("id=\"dev").skip(1) {
            assert!(seen.insert(rest.split('"').next().unwrap().to_owned()));
            drawn += 1;
        }
        assert!(drawn > 0);
    });
}

#[test]
fn a_worked_out_length_is_told_to_the_tenth() {
    let mut list = takeoff(1, 1);
    let Kind::Pipe(pipe) = &mut list.items[0].kind else { panic!() };
    // What take-outs of R tan 22.5 leave has nanometres.
    pipe.length = Length::from_nm(11_242_486_432);
    let what = words::thing(&list.items[0], crate::units::Measure::Millimetres);
    assert_eq!(what, "pipe OD 114, 11242.5 mm");
}

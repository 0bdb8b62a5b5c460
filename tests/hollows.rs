//! Rectangles in the hollows of curved pieces: what the audit takes and refuses, what is cut and told, and
//! what the engine finds.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use rollwright::audit::{Rule, Verified, verify};
use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::geometry::{Outline, Point};
use rollwright::nest::{Basis, Layout, Nesting, Placement, Pull, Status};
use rollwright::plan::wanted::{Keep, Piece, Roll};
use rollwright::plan::{self, CutKind, Lengths, Limits, Plan, Program, Wanted, assemble};
use rollwright::units::{Angle, Length, Money};
use std::collections::BTreeMap;

fn mm(value: i64) -> Length {
    Length::from_mm(value)
}

fn nm(value: i64) -> Length {
    Length::from_nm(value)
}

fn piece(code: &str, width: Length, length: Length, quantity: u64) -> Piece {
    Piece {
        code: code.to_owned(),
        width,
        length,
        outline: None,
        turns: Turns::none(),
        quantity,
        uses: Vec::new(),
    }
}

/// Half of a valve's body: a box of 400 by 300 mm with a neck of 200 by 200 mm cut out at its far end.
fn body(quantity: u64) -> Piece {
    let corners =
        [(0, 0), (400, 0), (400, 300), (300, 300), (300, 100), (100, 100), (100, 300), (0, 300)];
    let corners = corners.map(|(x, y)| Point::new(mm(x), mm(y))).to_vec();
    let outline = Some(Outline::new(corners).expect("an outline"));
    Piece { outline, ..piece("body", mm(400), mm(300), quantity) }
}

/// An order sheet for a roll of 1000 mm, two stages, nothing trimmed off.
fn sheet(pieces: Vec<Piece>, gap: Length) -> Wanted {
    Wanted {
        name: "hollows".to_owned(),
        thickness: None,
        rolls: vec![Roll {
            id: "R".to_owned(),
            width: mm(1000),
            length: Some(mm(5000)),
            price: Money::from_units(1),
            available: None,
            shelf: false,
        }],
        pieces,
        cutting: Cutting {
            style: Style::Straight,
            stages: Some(2),
            pull_limit: Some(mm(3000)),
            square_cut: Length::ZERO,
            edge_trim: Length::ZERO,
            gap,
        },
        objective: Objective::Rolls,
        keep: Keep { width: mm(900), length: mm(900) },
        choices: Vec::new(),
    }
}

/// A plan of one pull with pieces at these places.
fn laid(wanted: &Wanted, length: Length, places: &[(usize, Length, Length)]) -> Plan {
    let place =
        |&(piece, x, y): &(usize, Length, Length)| Placement { piece, x, y, turn: Angle::ZERO };
    let placements = places.iter().map(place).collect();
    let pulls = vec![Pull { y: Length::ZERO, length, placements }];
    let nesting = Nesting {
        layouts: vec![Layout { roll: 0, copies: 1, pulls }],
        value: 1,
        bound: 1,
        basis: Basis::Area,
        certificate: None,
        status: Status::Proven,
    };
    let program =
        Program { version: "test".into(), seed: 1, limits: Limits { work: 1, seconds: None } };
    let nested = [(wanted.clone(), nesting)];
    assemble("hollows", program, Vec::new(), &nested, Vec::new(), None).expect("a plan")
}

fn passes(plan: Plan, wanted: &Wanted) -> Verified<Plan> {
    verify(plan, std::slice::from_ref(wanted), None).expect("a plan that passes")
}

fn broken(plan: Plan, wanted: &Wanted) -> Vec<Rule> {
    let verdict = verify(plan, std::slice::from_ref(wanted), None);
    let mut rules = verdict.map_or_else(
        |failed| failed.failures.iter().map(|failure| failure.rule).collect(),
        |_| Vec::new(),
    );
    rules.dedup();
    rules
}

/// By hand: the neck is 200 wide from 100 on, and its floor lies at 100. A rectangle of 200 by 150 fits to
/// the nanometre; to the left, nearer to the floor or a nanometre wider it overlaps.
#[test]
fn a_rectangle_fills_a_cut_out_to_the_nanometre() {
    let wanted = sheet(vec![body(1), piece("r", mm(200), mm(150), 1)], Length::ZERO);
    let at = |x: Length, y: Length| laid(&wanted, mm(300), &[(0, nm(0), nm(0)), (1, x, y)]);
    let plan = passes(at(mm(100), mm(100)), &wanted);
    let pull = &plan.rolls[0].pulls[0];
    // The rectangle's edges are lines for the knife, and the body is one cut.
    let lines = |named: bool| {
        let cuts = pull.cuts.iter().filter(|cut| cut.kind == CutKind::Outline);
        cuts.filter(|cut| cut.piece.is_some() == named).count()
    };
    assert_eq!((lines(false), lines(true)), (4, 1));
    // Beside the cuts that free the blank: the body's edges inside it, 200 + 200 + 200, and the rectangle's
    // far edge, 200. Three of its edges are the body's.
    let cut = Lengths::of(&plan).of_pull(pull, mm(1000));
    assert_eq!(cut.outline, mm(800));
    let pieces: BTreeMap<_, _> = plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    let shared = plan::shared(pull, &pieces);
    let members: Vec<(usize, bool)> =
        shared[0].members.iter().map(|member| (member.number, member.curved)).collect();
    assert_eq!((shared.len(), members), (1, vec![(0, true), (1, false)]));
    for (x, y) in [(-1, 0), (1, 0), (0, -1)] {
        let rules = broken(at(mm(100) + nm(x), mm(100) + nm(y)), &wanted);
        assert!(rules.contains(&Rule::Clear), "{x} {y}: {rules:?}");
    }
    let wider = sheet(vec![body(1), piece("r", mm(200) + nm(1), mm(150), 1)], Length::ZERO);
    let plan = laid(&wider, mm(300), &[(0, nm(0), nm(0)), (1, mm(100), mm(100))]);
    assert!(broken(plan, &wider).contains(&Rule::Clear));
    // Left out of the cuts it is not cut free.
    let mut plan = at(mm(100), mm(100));
    plan.rolls[0].pulls[0].cuts.retain(|cut| cut.kind != CutKind::Outline || cut.piece.is_some());
    assert_eq!(broken(plan, &wanted), [Rule::Cuts]);
}

#[test]
fn the_gap_is_kept_in_a_cut_out() {
    let wanted = sheet(vec![body(1), piece("r", mm(196), mm(90), 1)], mm(2));
    let at = |x: Length, y: Length| laid(&wanted, mm(300), &[(0, nm(0), nm(0)), (1, x, y)]);
    passes(at(mm(102), mm(102)), &wanted);
    for (x, y) in [(-1, 0), (1, 0), (0, -1)] {
        assert_eq!(broken(at(mm(102) + nm(x), mm(102) + nm(y)), &wanted), [Rule::Clear], "{x} {y}");
    }
    // Two of 90 by 90: 2 mm apart across or along they lie as straight cuts would leave them. 1.5 mm apart
    // across and along they are 2.12 mm apart, which keeps the gap only from corner to corner.
    let wanted = sheet(vec![body(1), piece("r", mm(90), mm(90), 2)], mm(2));
    let two = |x: Length, y: Length| {
        let second = (1, mm(192) + x, mm(192) + y);
        laid(&wanted, mm(300), &[(0, nm(0), nm(0)), (1, mm(102), mm(102)), second])
    };
    passes(two(mm(2), nm(0)), &wanted);
    passes(two(nm(0), mm(2)), &wanted);
    let half = nm(1_500_000);
    assert_eq!(broken(two(half, half), &wanted), [Rule::Straight]);
}

/// In two stages a pull is ripped once: what lies behind a body beside something longer, or in the pinwheel of four rectangles about
/// it, a straight cut would have to part, and there is none.
#[test]
fn what_straight_cuts_should_part_is_refused() {
    let pieces = vec![body(1), piece("r", mm(200), mm(150), 1), piece("long", mm(500), mm(450), 1)];
    let wanted = sheet(pieces, Length::ZERO);
    let at = |wanted: &Wanted, y: Length| {
        laid(wanted, mm(450), &[(0, nm(0), nm(0)), (1, mm(100), y), (2, mm(500), nm(0))])
    };
    assert_eq!(broken(at(&wanted, mm(300)), &wanted), [Rule::Straight]);
    let mut three = wanted.clone();
    three.cutting.stages = Some(3);
    passes(at(&three, mm(300)), &three);
    // A nanometre into the neck no straight cut parts it from the body.
    passes(at(&wanted, mm(300) - nm(1)), &wanted);
    let blades = vec![
        body(1),
        piece("a", mm(500), mm(100), 1),
        piece("b", mm(100), mm(400), 1),
        piece("c", mm(500), mm(100), 1),
        piece("d", mm(100), mm(400), 1),
    ];
    let wanted = sheet(blades, Length::ZERO);
    let places = [
        (0, mm(100), mm(100)),
        (1, mm(0), mm(0)),
        (2, mm(500), mm(0)),
        (3, mm(100), mm(400)),
        (4, mm(0), mm(100)),
    ];
    assert_eq!(broken(laid(&wanted, mm(500), &places), &wanted), [Rule::Straight]);
}

/// A body too many stays where a rectangle lies in its neck with another: without it nothing straight would
/// part the two in two stages. Where it holds none it is taken out.
#[test]
fn a_body_too_many_stays_with_the_rectangles_that_it_holds() {
    let wanted = sheet(vec![body(1), piece("r", mm(200), mm(90), 2)], Length::ZERO);
    let places =
        [(0, mm(0), mm(0)), (1, mm(100), mm(100)), (1, mm(100), mm(200)), (0, mm(500), mm(0))];
    let of_bodies = |plan: &Plan| {
        let placements = plan.rolls[0].pulls[0].placements.iter();
        placements.filter(|place| place.piece == "body").map(|place| place.x).collect::<Vec<_>>()
    };
    let plan = passes(laid(&wanted, mm(300), &places), &wanted);
    assert_eq!(of_bodies(&plan), [mm(0)]);
    let none = sheet(vec![body(1), piece("r", mm(200), mm(90), 4)], Length::ZERO);
    let more = [(1, mm(600), mm(100)), (1, mm(600), mm(200))];
    let plan = passes(laid(&none, mm(300), &[&places[..], &more].concat()), &none);
    assert_eq!(of_bodies(&plan), [mm(0), mm(500)]);
}

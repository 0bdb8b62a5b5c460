//! Rectangles in the hollows of curved pieces: what the audit takes and refuses, what is cut and told, and
//! what the engine finds.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use proptest::prelude::*;
use rollwright::audit::{Rule, Verified, verify};
use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::geometry::{Outline, Point};
use rollwright::nest::{Basis, Layout, Nesting, Options, Placement, Pull, Quiet, Status, solve};
use rollwright::plan::wanted::{Charges, Hand, Keep, Piece, Roll};
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
            saved: Length::ZERO,
            id: "R".to_owned(),
            width: mm(1000),
            length: Some(mm(5000)),
            price: Money::from_units(1),
            available: None,
            shelf: false,
            hand: Hand::Any,
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
        charges: Charges::Listed,
        keep: Keep { width: mm(900), length: mm(900) },
        choices: Vec::new(),
        begun: std::collections::BTreeSet::new(),
    }
}

/// A plan of one pull with pieces at these places.
fn laid(wanted: &Wanted, length: Length, places: &[(usize, Length, Length)]) -> Plan {
    let place =
        |&(piece, x, y): &(usize, Length, Length)| Placement { piece, x, y, turn: Angle::ZERO };
    let placements = places.iter().map(place).collect();
    of_pulls(wanted, vec![Pull { y: Length::ZERO, length, placements }])
}

/// A plan of one roll with these pulls.
fn of_pulls(wanted: &Wanted, pulls: Vec<Pull>) -> Plan {
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

/// A straight cut stays one where something is curved: tickets tell the shop by straight cuts where to set the
/// knives. Listed as an outline cut, whole or in two, it is refused, each for itself.
#[test]
fn a_straight_cut_beside_something_curved_is_no_outline_cut() {
    let mut wanted = sheet(vec![body(2), piece("r", mm(200), mm(150), 1)], Length::ZERO);
    wanted.cutting.edge_trim = mm(10);
    let places = [(0, mm(10), nm(0)), (0, mm(410), nm(0)), (1, mm(110), mm(100))];
    let plan = passes(laid(&wanted, mm(300), &places), &wanted).into_inner();
    let cuts = &plan.rolls[0].pulls[0].cuts;
    let straight = |cut: &rollwright::plan::Cut| cut.kind != CutKind::Outline;
    let all: Vec<usize> = (1..cuts.len()).filter(|&at| straight(&cuts[at])).collect();
    // Two edge trims, the rip between the bodies, and the trim behind the second.
    assert_eq!(all.len(), 4, "{cuts:#?}");
    for at in all {
        let mut whole = plan.clone();
        whole.rolls[0].pulls[0].cuts[at].kind = CutKind::Outline;
        assert_eq!(broken(whole.clone(), &wanted), [Rule::Cuts], "cut {at}");
        let cuts = &mut whole.rolls[0].pulls[0].cuts;
        let (mut half, middle) = (cuts[at].clone(), Point::new(cuts[at].from.x, mm(100)));
        (cuts[at].to, half.from) = (middle, middle);
        cuts.push(half);
        assert_eq!(broken(whole, &wanted), [Rule::Cuts], "cut {at} in two");
    }
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

/// Thirty bodies on a roll of 800 mm, two side by side, and a rectangle for each neck.
fn necks(rectangle: (Length, Length), gap: Length) -> Wanted {
    let turned = Turns::quarter();
    let rectangle = Piece { turns: turned, ..piece("r", rectangle.0, rectangle.1, 30) };
    let mut wanted = sheet(vec![body(30), rectangle], gap);
    wanted.rolls[0].width = mm(800) + gap;
    wanted.rolls[0].length = None;
    wanted.objective = Objective::Length;
    wanted
}

fn nested(wanted: &Wanted) -> Nesting {
    let options = Options { seed: 3, work: 300_000 };
    let nesting = solve(&wanted.instance(), &options, &Quiet).expect("an answer");
    assert!(nesting.bound <= nesting.value, "{} over {}", nesting.bound, nesting.value);
    nesting
}

fn planned(wanted: &Wanted, nesting: Nesting) -> Verified<Plan> {
    let program =
        Program { version: "test".into(), seed: 3, limits: Limits { work: 1, seconds: None } };
    let nested = [(wanted.clone(), nesting)];
    let plan = assemble("hollows", program, Vec::new(), &nested, Vec::new(), None);
    passes(plan.expect("a plan"), wanted)
}

/// By hand: fifteen rows of two bodies are 15 times 300 mm long, whatever lies in their necks. A rectangle as
/// wide and as deep as a neck fits, upright or turned; one that is a nanometre larger, in either
/// direction, must lie elsewhere, and 30 of 200 by 200 take 1.5 m of this roll at least.
#[test]
fn the_engine_fills_necks_to_the_nanometre() {
    let rows = |gap: Length| (mm(300) + gap) * 15 - gap;
    for (wide, deep) in [(200, 200), (200, 150), (150, 200)] {
        let wanted = necks((mm(wide), mm(deep)), nm(0));
        let nesting = nested(&wanted);
        assert_eq!(nesting.value, rows(nm(0)).nm(), "{wide} {deep}");
        planned(&wanted, nesting);
    }
    for larger in [(mm(200) + nm(1), mm(200)), (mm(200), mm(200) + nm(1))] {
        let wanted = necks(larger, nm(0));
        let nesting = nested(&wanted);
        assert!(nesting.value >= (rows(nm(0)) + mm(1500)).nm(), "{larger:?}");
        planned(&wanted, nesting);
    }
    // With a gap of 4 a neck holds 192 by 196, the far end being the blank's.
    for (wide, fits) in [(mm(192), true), (mm(192) + nm(1), false)] {
        let wanted = necks((wide, mm(196)), mm(4));
        let nesting = nested(&wanted);
        assert_eq!(nesting.value == rows(mm(4)).nm(), fits, "{wide}");
        planned(&wanted, nesting);
    }
}

/// Small curved pieces lie in the cut-outs of large ones, too.
#[test]
fn small_curved_pieces_lie_in_cut_outs() {
    let corners = [(0, 0), (190, 0), (190, 60), (0, 180)].map(|(x, y)| Point::new(mm(x), mm(y)));
    let outline = Some(Outline::new(corners.to_vec()).expect("an outline"));
    let mut wanted = necks((mm(200), mm(200)), nm(0));
    wanted.pieces[1] = Piece { outline, ..piece("saddle", mm(190), mm(180), 30) };
    let nesting = nested(&wanted);
    assert_eq!(nesting.value, (mm(300) * 15).nm());
    planned(&wanted, nesting);
}

/// A block with a neck, a rectangle that fills part of it, a gap.
fn any_neck() -> impl Strategy<Value = (Piece, Piece, (i64, i64), i64)> {
    let sizes = (40_i64..400, 30_i64..300, 1_i64..200, 1_i64..200, 1_i64..200, 0_i64..9);
    sizes.prop_map(|(wide, deep, left, right, floor, gap)| {
        let (inner, width) = (left + wide + 2 * gap, left + wide + 2 * gap + right);
        let length = floor + deep + gap;
        let corners = [
            (0, 0),
            (width, 0),
            (width, length),
            (inner, length),
            (inner, floor),
            (left, floor),
            (left, length),
            (0, length),
        ];
        let corners = corners.map(|(x, y)| Point::new(mm(x), mm(y))).to_vec();
        let outline = Some(Outline::new(corners).expect("an outline"));
        let host = Piece { outline, ..piece("host", mm(width), mm(length), 1) };
        (host, piece("r", mm(wide), mm(deep), 1), (left + gap, floor + gap), gap)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Rolls that a block with a rectangle in its neck fills: by construction so many rolls hold so many of
    /// each, no bound is above that, and the engine needs no more.
    #[test]
    fn a_roll_saved_in_a_hollow_is_never_proven_away(
        (host, rectangle, at, gap) in any_neck(),
        rolls in 1_u64..20,
        stages in 2_u8..4,
    ) {
        let many = |piece: &Piece| Piece { quantity: rolls, ..piece.clone() };
        let mut wanted = sheet(vec![host.clone(), rectangle.clone()], mm(gap));
        wanted.rolls[0].width = host.width;
        wanted.rolls[0].length = Some(host.length);
        wanted.cutting.stages = Some(stages);
        passes(laid(&wanted, host.length, &[(0, nm(0), nm(0)), (1, mm(at.0), mm(at.1))]), &wanted);
        wanted.pieces = vec![many(&host), many(&rectangle)];
        let options = Options { seed: 3, work: 600_000 };
        let nesting = solve(&wanted.instance(), &options, &Quiet).expect("an answer");
        prop_assert!(nesting.bound <= i64::try_from(rolls).expect("few"));
        prop_assert_eq!(nesting.value, i64::try_from(rolls).expect("few"));
        planned(&wanted, nesting);
    }
}

/// Two copies of a trapezoid in unlike turns whose boxes have a corner in common, touching along a slanted side: each
/// is cut round by itself, and told apart by how far its box reaches.
#[test]
fn copies_whose_boxes_share_a_corner_are_told_apart() {
    let corners = [(0, 0), (400, 0), (300, 100), (100, 100)];
    let corners = corners.map(|(x, y)| Point::new(mm(x), mm(y))).to_vec();
    let turned = Angle::from_degrees(270);
    let trapezoid = Piece {
        outline: Some(Outline::new(corners).expect("an outline")),
        turns: Turns::Only(vec![Angle::ZERO, turned]),
        ..piece("t", mm(400), mm(100), 2)
    };
    let mut wanted = sheet(vec![trapezoid], Length::ZERO);
    wanted.cutting = Cutting::plain(Style::Free, None);
    for turns in [[Angle::ZERO, turned], [turned, Angle::ZERO]] {
        let place = |turn| Placement { piece: 0, x: mm(0), y: mm(0), turn };
        let placements = turns.map(place).to_vec();
        let pulls = vec![Pull { y: mm(0), length: mm(400), placements }];
        passes(of_pulls(&wanted, pulls), &wanted);
    }
}

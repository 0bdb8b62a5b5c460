//! Plans that pass the audit, and every way to break one.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test helper that fails should stop the test"
)]

use proptest::prelude::*;
use rollwright::audit::{Courses, Rule, Verified, verify};
use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::demand::RunJoints;
use rollwright::geometry::{Outline, Point};
use rollwright::nest::{Basis, Choice, Layout, NamedWay, Nesting, Placement, Pull, Status};
use rollwright::plan::wanted::{Charges, Hand, Keep, Piece, Roll};
use rollwright::plan::{Cut, CutKind, Limits, Program, Sequence, Taken, Use, assemble};
use rollwright::plan::{Plan, Wanted};
use rollwright::units::{Angle, Decimal, Length, Money};

fn mm(value: i64) -> Length {
    Length::from_mm(value)
}

fn piece(code: &str, width: i64, length: i64, quantity: u64) -> Piece {
    Piece {
        code: code.to_owned(),
        width: mm(width),
        length: mm(length),
        outline: None,
        turns: Turns::none(),
        quantity,
        uses: Vec::new(),
    }
}

fn sheet(pieces: Vec<Piece>) -> Wanted {
    Wanted {
        name: "test".to_owned(),
        thickness: None,
        rolls: vec![Roll {
            saved: Length::ZERO,
            id: "R".to_owned(),
            width: mm(1500),
            length: Some(mm(10_000)),
            price: Money::from_units(300),
            available: Some(50),
            shelf: false,
            hand: Hand::Any,
        }],
        pieces,
        cutting: Cutting {
            style: Style::Straight,
            stages: Some(2),
            pull_limit: Some(mm(3000)),
            square_cut: mm(50),
            edge_trim: mm(10),
            gap: mm(2),
        },
        objective: Objective::Rolls,
        charges: Charges::Listed,
        keep: Keep { width: mm(300), length: mm(500) },
        choices: Vec::new(),
        begun: std::collections::BTreeSet::new(),
    }
}

fn program() -> Program {
    Program { version: "0".to_owned(), seed: 1, limits: Limits { work: 1, seconds: None } }
}

/// Lays pieces side by side in pulls, pulls one after the other: a plain first fit.
fn rows(sheet: &Wanted) -> Nesting {
    let roll = &sheet.rolls[0];
    let cutting = &sheet.cutting;
    let end = roll.length.unwrap_or(Length::LIMIT);
    let mut layouts: Vec<Layout> = Vec::new();
    let mut pulls: Vec<Pull> = Vec::new();
    let mut pull = Pull { y: cutting.square_cut, length: Length::ZERO, placements: Vec::new() };
    let mut x = cutting.edge_trim;
    let singles = sheet.pieces.iter().enumerate();
    for (index, piece) in singles.flat_map(|(i, p)| (0..p.quantity).map(move |_| (i, p))) {
        if x + piece.width > roll.width - cutting.edge_trim {
            let y = pull.y + pull.length + cutting.gap;
            pulls.push(std::mem::replace(
                &mut pull,
                Pull { y, length: Length::ZERO, placements: Vec::new() },
            ));
            x = cutting.edge_trim;
        }
        if pull.y + piece.length > end {
            if !pull.placements.is_empty() {
                pulls.push(pull);
            }
            let full = std::mem::take(&mut pulls);
            layouts.push(Layout { roll: 0, copies: 1, pulls: full });
            pull = Pull { y: cutting.square_cut, length: Length::ZERO, placements: Vec::new() };
            x = cutting.edge_trim;
        }
        let (y, turn) = (pull.y, Angle::ZERO);
        pull.placements.push(Placement { piece: index, x, y, turn });
        pull.length = pull.length.max(piece.length);
        x += piece.width + cutting.gap;
    }
    if !pull.placements.is_empty() {
        pulls.push(pull);
    }
    layouts.push(Layout { roll: 0, copies: 1, pulls });
    let value = i64::try_from(layouts.len()).unwrap();
    Nesting {
        layouts,
        value,
        bound: 0,
        basis: Basis::Area,
        certificate: None,
        status: Status::Feasible,
    }
}

/// A nesting of these pulls on so many rolls alike, which is proven where that is one.
fn alone(pulls: Vec<Pull>, copies: u64) -> Nesting {
    Nesting {
        layouts: vec![Layout { roll: 0, copies, pulls }],
        value: i64::try_from(copies).unwrap(),
        bound: 1,
        basis: Basis::Area,
        certificate: None,
        status: if copies == 1 { Status::Proven } else { Status::Feasible },
    }
}

fn planned(sheet: &Wanted, nesting: Nesting) -> Plan {
    assemble("test", program(), Vec::new(), &[(sheet.clone(), nesting)], Vec::new(), None).unwrap()
}

fn sample() -> Wanted {
    let mut turned = piece("c", 900, 300, 2);
    turned.turns = Turns::quarter();
    sheet(vec![piece("a", 600, 900, 5), piece("b", 400, 1200, 7), turned])
}

fn assert_passes(plan: Plan, wanted: &Wanted) -> Verified<Plan> {
    verify(plan, std::slice::from_ref(wanted), None)
        .unwrap_or_else(|failed| panic!("{failed}\n{:#?}", failed.plan))
}

fn broken_rules(plan: Plan, wanted: &Wanted) -> Vec<Rule> {
    match verify(plan, std::slice::from_ref(wanted), None) {
        Ok(_) => Vec::new(),
        Err(failed) => failed.failures.iter().map(|f| f.rule).collect(),
    }
}

#[test]
fn a_plain_plan_passes_and_survives_its_file() {
    let wanted = sample();
    let plan = planned(&wanted, rows(&wanted));
    let text = serde_json::to_string(&plan).unwrap();
    let back: Plan = serde_json::from_str(&text).unwrap();
    assert_eq!(back, plan);
    assert_passes(back, &wanted);
}

/// Two covers, each in one piece or in two.
fn with_choice() -> Wanted {
    let way =
        |id: &str, pieces: &[(usize, u64)]| NamedWay { id: id.into(), pieces: pieces.to_vec() };
    let ways = vec![way("in one", &[(0, 1)]), way("in two", &[(1, 2)])];
    let choices = vec![Choice { id: "cover".into(), quantity: 2, ways }];
    let pieces =
        vec![piece("whole", 1000, 900, 0), piece("half", 500, 900, 0), piece("c", 300, 300, 1)];
    Wanted { choices, ..sheet(pieces) }
}

#[test]
fn ways_taken_must_be_those_of_the_choices() {
    let wanted = with_choice();
    let taken = |way: &str, quantity| Taken { choice: "cover".into(), way: way.into(), quantity };
    let with = |taken: Vec<Taken>| {
        let settled = wanted.clone().settled(&taken);
        let mut plan = planned(&settled, rows(&settled));
        plan.taken = taken;
        plan
    };
    let both = vec![taken("in one", 1), taken("in two", 1)];
    let plan = assert_passes(with(both.clone()), &wanted);
    let counts: Vec<u64> = plan.pieces.iter().map(|piece| piece.quantity).collect();
    assert_eq!(counts, [1, 2, 1]);
    for wrong in [
        vec![taken("in one", 1)],
        vec![taken("in one", 3)],
        vec![taken("in one", 2), taken("in three", 1)],
        vec![taken("in one", 1), taken("in one", 1)],
        vec![taken("in one", 2), taken("in two", 0)],
    ] {
        assert!(broken_rules(with(wrong.clone()), &wanted).contains(&Rule::Lists), "{wrong:?}");
    }
    // Pieces of one choice under the record of another.
    let mut other = with(both);
    other.taken = vec![taken("in one", 2)];
    assert!(broken_rules(other, &wanted).contains(&Rule::Lists));
}

type Break = (&'static str, Rule, fn(&mut Plan));

/// Every way to break a plan, the rule that must catch it, and how.
const BREAKS: &[Break] = &[
    ("a piece is moved across by a nanometre", Rule::Clear, |p| {
        p.rolls[0].pulls[0].placements[1].x -= Length::from_nm(1);
    }),
    ("a piece is moved along by a nanometre", Rule::Inside, |p| {
        p.rolls[0].pulls[0].placements[0].y -= Length::from_nm(1);
    }),
    ("a piece lies over the edge trim", Rule::Inside, |p| {
        p.rolls[0].pulls[0].placements[0].x -= Length::from_nm(1);
    }),
    ("a piece lies over the edge trim on the right", Rule::Inside, |p| {
        // By hand: 600 mm wide, on a roll of 1500 with trims of 10.
        p.rolls[0].pulls[0].placements[1].x = mm(890) + Length::from_nm(1);
    }),
    ("a piece is left out", Rule::Quantity, |p| {
        p.rolls[0].pulls[0].placements.pop();
    }),
    ("a piece is laid twice", Rule::Clear, |p| {
        let twin = p.rolls[0].pulls[0].placements[0].clone();
        p.rolls[0].pulls[0].placements.push(twin);
    }),
    ("a piece is turned against its rule", Rule::Turn, |p| {
        p.rolls[0].pulls[0].placements[0].turn = Angle::QUARTER;
    }),
    ("a piece is turned by a full turn", Rule::Turn, |p| {
        p.rolls[0].pulls[0].placements[0].turn = Angle::from_degrees(360);
    }),
    ("a piece is turned by half a degree", Rule::Turn, |p| {
        p.rolls[0].pulls[0].placements[0].turn = Angle::from_microdegrees(500_000);
    }),
    ("a piece nobody wants", Rule::Quantity, |p| {
        p.rolls[0].pulls[0].placements[0].piece = "z".into();
    }),
    ("a piece's name is another's", Rule::Quantity, |p| {
        p.rolls[0].pulls[0].placements[0].piece = "b".into();
    }),
    ("sizes are exchanged in the list", Rule::Lists, |p| {
        let piece = &mut p.pieces[0];
        std::mem::swap(&mut piece.width, &mut piece.length);
    }),
    ("a quantity is changed in the list", Rule::Lists, |p| p.pieces[0].quantity -= 1),
    ("turns are changed in the list", Rule::Lists, |p| p.pieces[0].turns = Turns::Any),
    ("a piece is dropped from the list", Rule::Lists, |p| {
        p.pieces.pop();
    }),
    ("a piece is renamed in the list", Rule::Lists, |p| p.pieces[0].piece = "b".into()),
    ("a piece belongs to another nest", Rule::Lists, |p| p.pieces[0].nest = 1),
    ("the cutting style is changed", Rule::Lists, |p| p.nests[0].style = Style::Free),
    ("the stages are changed", Rule::Lists, |p| p.nests[0].stages = None),
    ("the objective is changed", Rule::Lists, |p| p.nests[0].objective = Objective::Price),
    ("the thickness is changed", Rule::Lists, |p| p.nests[0].thickness = Some(mm(10))),
    ("a nest is dropped", Rule::Lists, |p| p.nests.clear()),
    ("more copies than there are rolls", Rule::Availability, |p| p.rolls[0].copies = 51),
    ("no copies", Rule::Product, |p| p.rolls[0].copies = 0),
    ("copies beyond counting", Rule::Availability, |p| p.rolls[0].copies = u64::MAX),
    ("one copy more", Rule::Value, |p| p.rolls[0].copies += 1),
    ("a roll that is not on offer", Rule::Product, |p| p.rolls[0].roll = "S".into()),
    ("a roll that is not on the shelf", Rule::Product, |p| p.rolls[0].shelf = true),
    ("a wider roll", Rule::Product, |p| p.rolls[0].width += mm(1)),
    ("a longer roll", Rule::Product, |p| p.rolls[0].length = Some(mm(10_001))),
    ("a roll without end", Rule::Product, |p| p.rolls[0].length = None),
    ("a cheaper roll", Rule::Product, |p| p.rolls[0].price = Money::ZERO),
    ("a roll of no nest", Rule::Lists, |p| p.rolls[0].nest = 9),
    ("a pull starts in the square cut", Rule::Pulls, |p| {
        let pull = &mut p.rolls[0].pulls[0];
        pull.y -= Length::from_nm(1);
        pull.length += Length::from_nm(1);
    }),
    ("a pull reaches into the next", Rule::Pulls, |p| {
        p.rolls[0].pulls[0].length += mm(2) + Length::from_nm(1);
    }),
    ("a pull is longer than the table", Rule::Pulls, |p| {
        p.rolls[0].pulls.last_mut().unwrap().length = mm(3000) + Length::from_nm(1);
    }),
    ("a pull is shorter than its pieces", Rule::Inside, |p| {
        p.rolls[0].pulls[0].length -= Length::from_nm(1);
    }),
    ("a pull goes beyond the roll", Rule::Pulls, |p| {
        p.rolls[0].pulls.last_mut().unwrap().length = mm(9000);
    }),
    ("a pull without length", Rule::Pulls, |p| p.rolls[0].pulls[0].length = Length::ZERO),
    ("a roll without pulls", Rule::Pulls, |p| p.rolls[0].pulls.clear()),
    ("a cut is left out", Rule::Cuts, |p| {
        p.rolls[0].pulls[0].cuts.pop();
    }),
    ("the freeing cut comes later", Rule::Cuts, |p| p.rolls[0].pulls[0].cuts.swap(0, 1)),
    ("a cut is moved by a nanometre", Rule::Cuts, |p| {
        let cut = p.rolls[0].pulls[0].cuts.last_mut().unwrap();
        cut.from.x += Length::from_nm(1);
        cut.to.x += Length::from_nm(1);
    }),
    (
        "a cut that divides pieces is listed as a trim, or a trim as one that does",
        Rule::Cuts,
        |p| {
            let cut = p.rolls[0].pulls[0].cuts.last_mut().unwrap();
            let across = cut.from.y == cut.to.y;
            cut.kind = match cut.kind {
                CutKind::Trim if across => CutKind::Cross,
                CutKind::Trim => CutKind::Rip,
                _ => CutKind::Trim,
            };
        },
    ),
    ("a straight cut is listed as an outline cut", Rule::Cuts, |p| {
        p.rolls[0].pulls[0].cuts.last_mut().unwrap().kind = CutKind::Outline;
    }),
    ("waste is cut up", Rule::Cuts, |p| {
        // By hand: two pieces of 600 fill 10 to 1212 of a pull; what is cut off behind them is waste.
        let pull = &mut p.rolls[0].pulls[0];
        let (near, far) = (pull.y, pull.y + pull.length);
        let (from, to) = (Point::new(mm(1300), near), Point::new(mm(1300), far));
        pull.cuts.push(Cut { kind: CutKind::Trim, from, to, piece: None });
    }),
    ("waste is cut off in two strips", Rule::Cuts, |p| {
        let pull = &mut p.rolls[0].pulls[0];
        let (near, far) = (pull.y, pull.y + pull.length);
        let last = pull.cuts.len() - 1;
        assert_eq!((pull.cuts[last].kind, pull.cuts[last].from.x), (CutKind::Trim, mm(1212)));
        let (from, to) = (Point::new(mm(1300), near), Point::new(mm(1300), far));
        pull.cuts.insert(last, Cut { kind: CutKind::Trim, from, to, piece: None });
    }),
    ("a comparison with a plan without the shelf, where there is no shelf", Rule::Bound, |p| {
        let (value, bound) = (p.nests[0].value, p.nests[0].bound);
        p.nests[0].without_shelf = Some(rollwright::plan::WithoutShelf { value, bound });
    }),
    ("rolls are ordered for a bare instance", Rule::Order, |p| {
        p.order.push(rollwright::plan::Ordered { roll: "R".into(), cut: 1, spare: 0, more: 0 });
    }),
    ("a cut is turned into an outline cut through a piece", Rule::Cuts, |p| {
        let pull = &mut p.rolls[0].pulls[0];
        let at = pull.placements[0].x + mm(100);
        let (from, to) = (Point::new(at, pull.y), Point::new(at, pull.y + mm(100)));
        pull.cuts.push(Cut { kind: CutKind::Outline, from, to, piece: None });
    }),
    ("the value is lower", Rule::Value, |p| p.nests[0].value = Decimal::ZERO),
    ("the plan's value is another", Rule::Value, |p| p.value = Decimal::ZERO),
    ("the bound is above the value", Rule::Bound, |p| {
        p.nests[0].bound = Decimal::from_millionths(p.nests[0].value.millionths() + 1);
    }),
    ("the bound is below nothing", Rule::Bound, |p| {
        p.nests[0].bound = Decimal::from_millionths(-1);
    }),
    ("the plan's bound is another", Rule::Bound, |p| p.bound = Decimal::ONE),
    ("proven without a bound", Rule::Status, |p| p.nests[0].status = Status::Proven),
    ("bound reached and not proven", Rule::Status, |p| p.nests[0].bound = p.nests[0].value),
    ("the plan's status is better than its nests'", Rule::Status, |p| p.status = Status::Proven),
    ("an offcut is not kept", Rule::Offcuts, |p| {
        let kept = p.rolls[0].offcuts.iter_mut().find(|o| o.keep).unwrap();
        kept.keep = false;
    }),
    ("the roll's end is left out", Rule::Offcuts, |p| {
        p.rolls[0].offcuts.pop();
    }),
    ("the roll's end is longer", Rule::Offcuts, |p| {
        p.rolls[0].offcuts.last_mut().unwrap().length += Length::from_nm(1);
    }),
    ("the roll's end is narrower", Rule::Offcuts, |p| {
        p.rolls[0].offcuts.last_mut().unwrap().width -= Length::from_nm(1);
    }),
    ("an offcut lies on a piece", Rule::Offcuts, |p| {
        let at = p.rolls[0].pulls[0].placements[0].clone();
        let offcut = rollwright::plan::Offcut {
            x: at.x,
            y: at.y,
            width: mm(300),
            length: mm(500),
            keep: true,
        };
        p.rolls[0].offcuts.insert(0, offcut);
    }),
    ("an offcut is listed twice", Rule::Offcuts, |p| {
        let twin = p.rolls[0].offcuts[0].clone();
        p.rolls[0].offcuts.insert(0, twin);
    }),
    ("an area is changed by a square nanometre", Rule::Areas, |p| {
        p.nests[0].areas.between += rollwright::units::Area::from_nm2(1);
    }),
    ("area is moved from scrap to kept", Rule::Areas, |p| {
        p.nests[0].areas.between += rollwright::units::Area::from_nm2(-5);
        p.nests[0].areas.kept += rollwright::units::Area::from_nm2(5);
    }),
    ("joints that the job does not have", Rule::Joints, |p| {
        p.joints.push(rollwright::demand::RunJoints {
            item: "x".to_owned(),
            run: 1,
            layer: 1,
            start: Length::ZERO,
            courses: Vec::new(),
            joints: Vec::new(),
            under: Length::ZERO,
            seams: Vec::new(),
            lap: Length::ZERO,
            waived: None,
        });
    }),
];

#[test]
fn every_break_is_caught_by_its_rule() {
    let wanted = sample();
    let plan = planned(&wanted, rows(&wanted));
    assert_passes(plan.clone(), &wanted);
    for (what, rule, break_it) in BREAKS {
        let mut broken = plan.clone();
        break_it(&mut broken);
        assert_ne!(broken, plan, "{what}: nothing was broken");
        let rules = broken_rules(broken, &wanted);
        assert!(rules.contains(rule), "{what}: {rule:?} was not among {rules:?}");
    }
}

/// By hand: a piece of 700 at the right end of 10 to 1490 leaves 780, which are kept; moved by a nanometre they lie
/// over the trim, or on the piece.
#[test]
fn offcuts_lie_between_trims_and_pieces() {
    let wanted = sheet(vec![piece("a", 700, 1200, 1)]);
    let placements = vec![Placement { piece: 0, x: mm(790), y: mm(50), turn: Angle::ZERO }];
    let pulls = vec![Pull { y: mm(50), length: mm(1200), placements }];
    let plan = assert_passes(planned(&wanted, alone(pulls, 1)), &wanted).into_inner();
    let strip = &plan.rolls[0].offcuts[0];
    assert_eq!((strip.x, strip.width, strip.keep), (mm(10), mm(780), true));
    for by in [-1, 1] {
        let mut broken = plan.clone();
        broken.rolls[0].offcuts[0].x += Length::from_nm(by);
        assert_eq!(broken_rules(broken, &wanted), [Rule::Cuts, Rule::Offcuts], "{by}");
    }
}

/// A thickness is called by itself, not by its number in the file.
#[test]
fn sentences_name_the_thickness() {
    let mut wanted = sample();
    wanted.thickness = Some(mm(10));
    let plan = planned(&wanted, rows(&wanted));
    let told = |break_it: &dyn Fn(&mut Plan)| {
        let mut broken = plan.clone();
        break_it(&mut broken);
        let failed = verify(broken, std::slice::from_ref(&wanted), None).unwrap_err();
        failed.sentences().join(" ")
    };
    let less = told(&|p| p.nests[0].value = Decimal::from_millionths(2_000_000));
    assert!(less.contains("The value of the nest of 10 mm is given as 2,"), "{less}");
    let areas = told(&|p| p.nests[0].areas.kept += rollwright::units::Area::from_nm2(1));
    assert!(areas.contains("The areas of the nest of 10 mm do not add up"), "{areas}");
    // Where another stands in its place, the number says where in the file.
    let other = told(&|p| p.nests[0].thickness = Some(mm(5)));
    assert!(other.contains("Where the nest of 10 mm belongs, nests[0] of the file,"), "{other}");
    for text in [less, areas, other] {
        assert!(!text.contains("est 0"), "{text}");
    }
}

/// Four pieces of 2 by 1 around a hole, from this corner on.
fn pinwheel((x, y): (Length, Length), unit: Length) -> Vec<Placement> {
    let at = |right: i64, along: i64, turn: Angle| Placement {
        piece: 0,
        x: x + unit * right,
        y: y + unit * along,
        turn,
    };
    vec![
        at(0, 0, Angle::ZERO),
        at(2, 0, Angle::QUARTER),
        at(1, 2, Angle::ZERO),
        at(0, 1, Angle::QUARTER),
    ]
}

#[test]
fn a_pinwheel_needs_free_cutting() {
    // Four 2 x 1 pieces around a hole (unit 400 mm): no edge-to-edge cut separates them, a fact
    // known of the pinwheel pattern.
    let unit = 400;
    let mut blade = piece("a", 2 * unit, unit, 4);
    blade.turns = Turns::quarter();
    let mut wanted = sheet(vec![blade]);
    wanted.cutting.gap = Length::ZERO;
    let (x, y) = (mm(10), mm(50));
    let placements = pinwheel((x, y), mm(unit));
    let pull = Pull { y, length: mm(3 * unit), placements };
    let layouts = vec![Layout { roll: 0, copies: 1, pulls: vec![pull] }];
    let nesting = Nesting {
        layouts,
        value: 1,
        bound: 1,
        basis: Basis::Area,
        certificate: None,
        status: Status::Proven,
    };
    for stages in [Some(2), Some(3), None] {
        wanted.cutting.stages = stages;
        let rules = broken_rules(planned(&wanted, nesting.clone()), &wanted);
        // Nor can its cuts be what straight cuts are.
        assert_eq!(rules, [Rule::Straight, Rule::Cuts], "{stages:?}");
    }
    wanted.cutting.style = Style::Free;
    let plan = assert_passes(planned(&wanted, nesting), &wanted).into_inner();
    // Each blade's inner edges are cut once; the hole is too short to keep (400 < 500 mm).
    assert_eq!(plan.rolls[0].offcuts.len(), 1);
    // None of the four lines between them can be left out, level or upright.
    let cuts = plan.rolls[0].pulls[0].cuts.iter().enumerate();
    let outlines: Vec<usize> =
        cuts.filter(|(_, cut)| cut.kind == CutKind::Outline).map(|(at, _)| at).collect();
    assert_eq!(outlines.len(), 4);
    for at in outlines {
        let mut broken = plan.clone();
        broken.rolls[0].pulls[0].cuts.remove(at);
        assert_eq!(broken_rules(broken, &wanted), [Rule::Cuts], "{at}");
    }
}

type BreakCuts = (&'static str, fn(&mut Vec<Cut>));

/// Ways to list the cuts round two triangles wrongly; the last cut goes round one of them.
const OUTLINE_BREAKS: &[BreakCuts] = &[
    ("a piece is not cut out", |cuts| {
        cuts.pop();
    }),
    ("a piece is cut out once more", |cuts| cuts.extend(cuts.last().cloned())),
    ("a cut goes round nothing", |cuts| {
        cuts.last_mut().unwrap().from.x += Length::from_nm(1);
    }),
    ("a cut goes round something smaller", |cuts| {
        cuts.last_mut().unwrap().to.y -= Length::from_nm(1);
    }),
    ("a cut goes round another piece", |cuts| {
        cuts.last_mut().unwrap().piece = Some("u".to_owned());
    }),
    ("a rip goes round a piece", |cuts| cuts.last_mut().unwrap().kind = CutKind::Rip),
    ("a piece's name is left out", |cuts| cuts.last_mut().unwrap().piece = None),
];

#[test]
fn outlines_may_touch_and_not_overlap() {
    let corners = |c: [(i64, i64); 3]| {
        Outline::new(c.iter().map(|&(x, y)| Point::new(mm(x), mm(y))).collect()).unwrap()
    };
    let mut triangle = piece("t", 600, 600, 2);
    triangle.outline = Some(corners([(0, 0), (600, 0), (0, 600)]));
    triangle.turns = Turns::Only(vec![Angle::ZERO, Angle::from_degrees(180)]);
    let mut wanted = sheet(vec![triangle]);
    wanted.cutting.style = Style::Free;
    wanted.cutting.gap = Length::ZERO;
    let laid = |shift: i64| {
        let (x, y) = (mm(10), mm(50));
        let half = Angle::from_degrees(180);
        let placements = vec![
            Placement { piece: 0, x, y, turn: Angle::ZERO },
            Placement { piece: 0, x: x + Length::from_nm(shift), y, turn: half },
        ];
        let pulls = vec![Pull { y, length: mm(600), placements }];
        let layouts = vec![Layout { roll: 0, copies: 1, pulls }];
        Nesting {
            layouts,
            value: 1,
            bound: 0,
            basis: Basis::Area,
            certificate: None,
            status: Status::Feasible,
        }
    };
    let plan = assert_passes(planned(&wanted, laid(0)), &wanted).into_inner();
    for (what, break_it) in OUTLINE_BREAKS {
        let mut broken = plan.clone();
        break_it(&mut broken.rolls[0].pulls[0].cuts);
        assert_eq!(broken_rules(broken, &wanted), [Rule::Cuts], "{what}");
    }
    // A piece's edges listed one by one do the same as the one cut that names it.
    let mut single = plan.clone();
    let cuts = &mut single.rolls[0].pulls[0].cuts;
    cuts.retain(|cut| cut.piece.is_none());
    let (x, y) = (mm(10), mm(50));
    let line = |from: (i64, i64), to: (i64, i64)| Cut {
        kind: CutKind::Outline,
        from: Point::new(x + mm(from.0), y + mm(from.1)),
        to: Point::new(x + mm(to.0), y + mm(to.1)),
        piece: None,
    };
    cuts.push(line((0, 600), (600, 0)));
    assert_passes(single.clone(), &wanted);
    // A line that is no edge of theirs is no outline cut, also where it runs into none of them.
    single.rolls[0].pulls[0].cuts.push(line((700, 100), (700, 200)));
    assert_eq!(broken_rules(single, &wanted), [Rule::Cuts]);
    assert_passes(planned(&wanted, laid(1)), &wanted);
    assert!(broken_rules(planned(&wanted, laid(-1)), &wanted).contains(&Rule::Clear));
    // Moved apart by 2 mm across, the slanted sides are 2/sqrt(2) = 1.414... mm apart.
    wanted.cutting.gap = Length::from_nm(1_414_213);
    assert_passes(planned(&wanted, laid(2_000_000)), &wanted);
    wanted.cutting.gap = Length::from_nm(1_414_214);
    assert_eq!(broken_rules(planned(&wanted, laid(2_000_000)), &wanted), [Rule::Clear]);
}

/// In free layouts a line that runs through is a straight cut too. By construction: a pinwheel of four 2 x 1
/// pieces (unit 400 mm) fills the first 1200 mm of the roll's width; the strip beside it, 300 mm of 1500, is
/// worth keeping.
#[test]
fn what_is_left_beside_a_free_layout_is_cut_off_straight() {
    let mut blade = piece("a", 800, 400, 4);
    blade.turns = Turns::quarter();
    let mut wanted = sheet(vec![blade]);
    wanted.cutting = Cutting { style: Style::Free, stages: None, ..wanted.cutting };
    (wanted.cutting.gap, wanted.cutting.edge_trim) = (Length::ZERO, Length::ZERO);
    let placements = pinwheel((Length::ZERO, mm(50)), mm(400));
    let pulls = vec![Pull { y: mm(50), length: mm(1200), placements }];
    let nesting = Nesting {
        layouts: vec![Layout { roll: 0, copies: 1, pulls }],
        value: 1,
        bound: 1,
        basis: Basis::Area,
        certificate: None,
        status: Status::Proven,
    };
    let plan = assert_passes(planned(&wanted, nesting), &wanted).into_inner();
    let strip = &plan.rolls[0].offcuts[0];
    assert_eq!(
        (strip.x, strip.width, strip.length, strip.keep),
        (mm(1200), mm(300), mm(1200), true)
    );
    let cuts = &plan.rolls[0].pulls[0].cuts;
    let at = cuts.iter().position(|cut| cut.from.x == mm(1200) && cut.to.x == mm(1200)).unwrap();
    assert_eq!(cuts[at].kind, CutKind::Trim);
    let mut broken = plan.clone();
    broken.rolls[0].pulls[0].cuts[at].kind = CutKind::Outline;
    assert_eq!(broken_rules(broken, &wanted), [Rule::Cuts]);
}

/// By hand: two pieces as wide as the roll, one behind the other, come apart by one cut across it.
#[test]
fn what_lies_behind_a_full_row_is_cut_off_straight() {
    let mut wanted = sheet(vec![piece("a", 1500, 400, 2)]);
    wanted.cutting = Cutting { style: Style::Free, stages: None, ..wanted.cutting };
    (wanted.cutting.gap, wanted.cutting.edge_trim) = (Length::ZERO, Length::ZERO);
    let placements = [50, 450]
        .map(|y| Placement { piece: 0, x: Length::ZERO, y: mm(y), turn: Angle::ZERO })
        .to_vec();
    let pulls = vec![Pull { y: mm(50), length: mm(800), placements }];
    let mut plan = assert_passes(planned(&wanted, alone(pulls, 1)), &wanted).into_inner();
    let cuts = &mut plan.rolls[0].pulls[0].cuts;
    let at = cuts.iter().position(|cut| cut.from.y == mm(450) && cut.to.y == mm(450)).unwrap();
    assert_eq!(cuts[at].kind, CutKind::Cross);
    cuts[at].kind = CutKind::Outline;
    assert_eq!(broken_rules(plan, &wanted), [Rule::Cuts]);
}

#[test]
fn what_is_too_many_is_taken_out_again() {
    // By construction: rows lays 5 and 7 and 2; asking for fewer afterwards leaves a surplus.
    let made = sample();
    let nesting = rows(&made);
    for (a, b) in [(5, 7), (4, 7), (1, 7), (5, 1), (1, 1), (2, 3)] {
        let mut wanted = made.clone();
        wanted.pieces[0].quantity = a;
        wanted.pieces[1].quantity = b;
        let plan = assert_passes(planned(&wanted, nesting.clone()), &wanted);
        assert_eq!(plan.nests[0].areas.surplus.nm2(), 0);
        let laid: u64 = plan
            .rolls
            .iter()
            .map(|r| r.copies * r.pulls.iter().map(|p| p.placements.len() as u64).sum::<u64>())
            .sum();
        assert_eq!(laid, a + b + 2, "{a} {b}");
    }
}

#[test]
fn surplus_of_many_copies_goes_where_it_empties_rolls() {
    // Ten rolls of two pulls with two pieces each make 40; 30 fill seven rolls and a half.
    let wanted = sheet(vec![piece("a", 700, 1000, 30)]);
    let pull = |y: i64| Pull {
        y: mm(y),
        length: mm(1000),
        placements: [10, 712]
            .map(|x| Placement { piece: 0, x: mm(x), y: mm(y), turn: Angle::ZERO })
            .to_vec(),
    };
    let layouts = vec![Layout { roll: 0, copies: 10, pulls: vec![pull(50), pull(1052)] }];
    let nesting = Nesting {
        layouts,
        value: 10,
        bound: 3,
        basis: Basis::Search,
        certificate: None,
        status: Status::Feasible,
    };
    let plan = assert_passes(planned(&wanted, nesting), &wanted);
    assert_eq!(plan.value, Decimal::from_millionths(8_000_000));
    let copies: Vec<(u64, usize)> = plan.rolls.iter().map(|r| (r.copies, r.pulls.len())).collect();
    assert_eq!(copies, [(7, 2), (1, 1)]);
}

fn any_sheet() -> impl Strategy<Value = Wanted> {
    let pieces = prop::collection::vec((50_i64..1480, 20_i64..3000, 1_u64..12), 1..8);
    (pieces, 0_i64..30, 0_i64..6, 0_i64..60).prop_map(|(sizes, trim, gap, square)| {
        let make = |(i, (w, l, q)): (usize, (i64, i64, u64))| {
            piece(&format!("p{i}"), w.min(1500 - 2 * trim), l, q)
        };
        let mut wanted = sheet(sizes.into_iter().enumerate().map(make).collect());
        wanted.cutting.edge_trim = mm(trim);
        wanted.cutting.gap = mm(gap);
        wanted.cutting.square_cut = mm(square);
        wanted.rolls[0].available = None;
        wanted
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn plans_of_random_sheets_pass(wanted in any_sheet()) {
        let plan = planned(&wanted, rows(&wanted));
        assert_passes(plan, &wanted);
    }

    /// Any single figure of a plan changed: it fails, or says the same as before.
    #[test]
    fn changed_figures_never_panic_and_never_pass(
        wanted in any_sheet(), pick in any::<prop::sample::Index>(), by in -3_i64..1000,
    ) {
        let plan = planned(&wanted, rows(&wanted));
        let mut value = serde_json::to_value(&plan).unwrap();
        let count = count_numbers(&value);
        change_number(&mut value, &mut pick.index(count), by);
        let Ok(changed) = serde_json::from_value::<Plan>(value) else { return Ok(()) };
        let free = changed.program != plan.program;
        if changed != plan && !free {
            prop_assert!(verify(changed, &[wanted], None).is_err());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Figures at the ends of what a file can say.
    #[test]
    fn extreme_figures_never_panic(
        wanted in any_sheet(), pick in any::<prop::sample::Index>(), which in 0_usize..8,
    ) {
        let extremes = ["0", "-1", "1000000000", "-1000000000", "18446744073709551615", "0.000001",
            "-9223372036854775808", "999999999.999999"];
        let extreme: serde_json::Value = serde_json::from_str(extremes[which]).unwrap();
        let plan = planned(&wanted, rows(&wanted));
        let mut value = serde_json::to_value(&plan).unwrap();
        let count = count_numbers(&value);
        let mut skip = pick.index(count);
        replace_number(&mut value, &mut skip, &|_| extreme.clone());
        if let Ok(changed) = serde_json::from_value::<Plan>(value) {
            let same = changed == plan || changed.program != plan.program;
            prop_assert_eq!(verify(changed, &[wanted], None).is_ok(), same);
        }
    }

    /// Any member of any list left out or listed twice.
    #[test]
    fn lists_are_complete_and_without_repetition(
        wanted in any_sheet(), pick in any::<prop::sample::Index>(), twice in any::<bool>(),
    ) {
        let plan = planned(&wanted, rows(&wanted));
        let mut value = serde_json::to_value(&plan).unwrap();
        let mut skip = pick.index(count_members(&value));
        change_list(&mut value, &mut skip, twice);
        if let Ok(changed) = serde_json::from_value::<Plan>(value) {
            prop_assert_ne!(&changed, &plan);
            // An edge trim beside waste can be left out; nothing else can.
            let edge = wanted.cutting.edge_trim;
            let spare = without_trims_at(&changed, edge) == without_trims_at(&plan, edge);
            prop_assert!(spare || verify(changed, &[wanted], None).is_err());
        }
    }
}

fn without_trims_at(plan: &Plan, edge: Length) -> Plan {
    let mut plan = plan.clone();
    for roll in &mut plan.rolls {
        let right = roll.width - edge;
        for pull in &mut roll.pulls {
            pull.cuts.retain(|c| c.from.x != right || c.to.x != right);
        }
    }
    plan
}

/// Members of all lists; corners of cuts are no list.
fn count_members(value: &serde_json::Value) -> usize {
    match value {
        serde_json::Value::Array(all) => all.len() + all.iter().map(count_members).sum::<usize>(),
        serde_json::Value::Object(all) => all.values().map(count_members).sum(),
        _ => 0,
    }
}

fn change_list(value: &mut serde_json::Value, skip: &mut usize, twice: bool) {
    match value {
        serde_json::Value::Array(all) => {
            if *skip < all.len() {
                let member = all.remove(*skip);
                if twice {
                    all.insert(*skip, member.clone());
                    all.insert(*skip, member);
                }
                *skip = usize::MAX;
            } else if *skip != usize::MAX {
                *skip -= all.len();
            }
            for member in all {
                change_list(member, skip, twice);
            }
        }
        serde_json::Value::Object(all) => {
            for member in all.values_mut() {
                change_list(member, skip, twice);
            }
        }
        _ => {}
    }
}

fn count_numbers(value: &serde_json::Value) -> usize {
    match value {
        serde_json::Value::Number(_) => 1,
        serde_json::Value::Array(all) => all.iter().map(count_numbers).sum(),
        serde_json::Value::Object(all) => all.values().map(count_numbers).sum(),
        _ => 0,
    }
}

/// Adds `by` to the number that comes after `skip` others.
fn change_number(value: &mut serde_json::Value, skip: &mut usize, by: i64) {
    let changed = |number: &serde_json::Number| {
        number.as_i64().map_or_else(|| by.into(), |n| serde_json::Value::from(n + by))
    };
    replace_number(value, skip, &changed);
}

/// Replaces the number that comes after `skip` others.
fn replace_number(
    value: &mut serde_json::Value,
    skip: &mut usize,
    new: &dyn Fn(&serde_json::Number) -> serde_json::Value,
) {
    match value {
        serde_json::Value::Number(number) => {
            if *skip == 0 {
                *value = new(number);
                *skip = usize::MAX;
            } else if *skip != usize::MAX {
                *skip -= 1;
            }
        }
        serde_json::Value::Array(all) => all.iter_mut().for_each(|v| replace_number(v, skip, new)),
        serde_json::Value::Object(all) => {
            all.values_mut().for_each(|v| replace_number(v, skip, new));
        }
        _ => {}
    }
}

fn layer(number: u32, courses: &[i64], under: i64, seam: i64) -> RunJoints {
    let courses: Vec<Length> = courses.iter().map(|c| mm(*c)).collect();
    let mut ends: Vec<Length> = courses
        .iter()
        .scan(Length::ZERO, |at, c| {
            *at += *c;
            Some(*at)
        })
        .collect();
    ends.pop();
    RunJoints {
        item: "P1".to_owned(),
        run: 1,
        layer: number,
        start: Length::ZERO,
        courses,
        joints: ends,
        under: mm(under),
        seams: vec![Angle::from_degrees(seam)],
        lap: Length::ZERO,
        waived: None,
    }
}

type BreakJoints = (&'static str, fn(&mut Vec<RunJoints>));

#[test]
fn joints_follow_courses_and_keep_the_stagger() {
    // DOMAIN part 4, case 1: 4000 mm in courses of 1500, make-up piece at alternate ends, has a
    // stagger of 500 mm; seams of 168.3 mm pipe a half turn apart are 264 mm apart.
    let joints =
        vec![layer(1, &[1500, 1500, 1000], 168, 90), layer(2, &[1000, 1500, 1500], 188, 270)];
    let wanted = sample();
    let held = |joints: &[RunJoints], stagger: i64, most: i64, pieces: i64| {
        let nested = [(wanted.clone(), rows(&wanted))];
        let rules = rollwright::rules::Sequence::default();
        let joints_of = joints.to_vec();
        let plan =
            assemble("test", program(), Vec::new(), &nested, joints_of, Some((&rules, &|| false)))
                .unwrap();
        let releases = rollwright::rules::Releases::Hard;
        let courses = Courses {
            joints,
            covers: &[],
            step: mm(1),
            stagger: mm(stagger),
            releases,
            order: None,
            chosen: None,
            record: None,
            further: (1, most),
            unchanged: true,
            further_pieces: (2, pieces),
        };
        verify(plan, std::slice::from_ref(&wanted), Some(&courses)).is_ok()
    };
    let allowed = |joints: &[RunJoints], stagger, most| held(joints, stagger, most, 2);
    let verdict = |joints: &[RunJoints], stagger: i64| allowed(joints, stagger, 1);
    assert!(!held(&joints, 75, 1, 1), "two pieces more than specified, and one is allowed");
    assert!(!allowed(&joints, 75, 0), "a joint more than specified, and none is allowed");
    assert!(verdict(&joints, 75) && verdict(&joints, 295), "seams 295.3 mm apart on 188 mm");
    assert!(!verdict(&joints, 501), "joints are 500 mm apart");
    let breaks: &[BreakJoints] = &[
        ("a joint beside its course's end", |j| j[0].joints[0] += Length::from_nm(1)),
        ("a joint too few", |j| {
            j[1].joints.pop();
        }),
        ("a course without width", |j| j[0].courses.push(Length::ZERO)),
        ("no seam", |j| j[0].seams.clear()),
        ("a seam beyond a full turn", |j| j[0].seams[0] = Angle::from_degrees(450)),
        ("seams too near", |j| j[1].seams[0] = Angle::from_degrees(130)),
        ("the same courses twice", |j| {
            j[1].courses = j[0].courses.clone();
            j[1].joints = j[0].joints.clone();
        }),
        ("a layer listed twice", |j| {
            let twin = j[0].clone();
            j.push(twin);
        }),
        ("an outer layer that is narrower", |j| j[1].under = mm(168)),
    ];
    for (what, break_it) in breaks {
        let mut broken = joints.clone();
        break_it(&mut broken);
        assert!(!verdict(&broken, 75), "{what}");
    }
    let mut waived = joints.clone();
    waived[1].courses = waived[0].courses.clone();
    waived[1].joints = waived[0].joints.clone();
    waived[1].waived = Some("too short".to_owned());
    assert!(verdict(&waived, 75), "a reason is given");
    // On a diameter of 40 mm half the girth is 62.8 mm, less than 75: opposite is the best.
    let thin = vec![layer(1, &[500], 20, 90), layer(2, &[500], 40, 270)];
    assert!(verdict(&thin, 75));
    let thin = vec![layer(1, &[500], 20, 90), layer(2, &[500], 40, 260)];
    assert!(!verdict(&thin, 75));
}

/// A plan of so many rolls with one pull each, in an order of cutting.
fn in_order(wanted: &Wanted, pull: Pull, copies: u64) -> Plan {
    let nested = [(wanted.clone(), alone(vec![pull], copies))];
    let rules = rollwright::rules::Sequence::default();
    assemble("test", program(), Vec::new(), &nested, Vec::new(), Some((&rules, &|| false))).unwrap()
}

type BreakOrder = (&'static str, fn(&mut Sequence));

/// Ways to tell the order of cutting wrongly of two rolls alike, each with a piece for another kit; both kits are
/// begun.
const ORDER_BREAKS: &[BreakOrder] = &[
    ("a roll that is not there", |s| s.steps[1].copy = 3),
    ("a roll before the first", |s| s.steps[0].copy = 0),
    ("a roll twice", |s| s.steps[1].copy = s.steps[0].copy),
    ("a pull that is not there", |s| s.steps[1].pull = 1),
    ("a step too few", |s| {
        s.steps.pop();
    }),
    ("both pieces for one kit", |s| s.steps[1].uses = s.steps[0].uses.clone()),
    ("a piece for nobody", |s| s.steps[0].uses[0] = None),
    ("fewer kits open", |s| s.open_kits = 1),
    ("fewer kits possible than are begun", |s| s.open_kits_bound = 1),
    ("more kits needed than are open", |s| s.open_kits_bound = 3),
    ("a setting of the knives more", |s| s.setups += 1),
    ("a change of the roll less", |s| s.roll_changes -= 1),
    ("a pull cut too early", |s| s.late = 1),
];

#[test]
fn the_order_of_cutting_is_counted_anew() {
    let used = |item: &str| Use {
        id: item.to_owned(),
        item: item.to_owned(),
        layer: 1,
        part: "cover".to_owned(),
        quantity: 1,
        release: 1,
    };
    let mut wanted = sheet(vec![piece("a", 700, 1000, 2)]);
    wanted.pieces[0].uses = vec![used("A"), used("B")];
    wanted.begun = ["A", "B"].map(str::to_owned).into();
    // One pull a roll.
    wanted.rolls[0].length = Some(mm(1100));
    let pull = |places: &[i64]| {
        let place = |x: &i64| Placement { piece: 0, x: mm(*x), y: mm(50), turn: Angle::ZERO };
        Pull { y: mm(50), length: mm(1000), placements: places.iter().map(place).collect() }
    };
    let plan = in_order(&wanted, pull(&[10]), 2);
    let plan = assert_passes(plan, &wanted).into_inner();
    let order = plan.sequence.as_ref().unwrap();
    assert_eq!((order.open_kits, order.open_kits_bound), (2, 2));
    assert_eq!((plan.rolls.len(), plan.rolls[0].copies), (1, 2));
    for (what, break_it) in ORDER_BREAKS {
        let mut broken = plan.clone();
        break_it(broken.sequence.as_mut().unwrap());
        assert_ne!(broken, plan, "{what}: nothing was broken");
        assert_eq!(broken_rules(broken, &wanted), [Rule::Sequence], "{what}");
    }
    // A pull for both kits holds both open, whether or not they are begun.
    wanted.begun.clear();
    let mut plan = in_order(&wanted, pull(&[10, 712]), 1);
    assert_passes(plan.clone(), &wanted);
    plan.sequence.as_mut().unwrap().open_kits_bound = 1;
    assert_eq!(broken_rules(plan, &wanted), [Rule::Sequence]);
}

#[test]
fn a_pull_that_ends_with_the_roll_needs_no_freeing_cut() {
    let mut wanted = sheet(vec![piece("a", 1480, 3000, 3)]);
    wanted.rolls[0].length = Some(mm(50 + 3 * 3000 + 2 * 2));
    let plan = assert_passes(planned(&wanted, rows(&wanted)), &wanted);
    // Each pull: freed (but the last), a trim for the gap in front (but the first), two edges.
    let counts: Vec<usize> = plan.rolls[0].pulls.iter().map(|p| p.cuts.len()).collect();
    assert_eq!(counts, [3, 4, 3]);
    assert_eq!(plan.rolls[0].offcuts, Vec::new());
}

#[test]
fn offcuts_on_the_shelf_count_nothing() {
    // Five pieces of 700 x 1000: four lie on the shelf's offcut (two pulls), one on a bought roll.
    let mut wanted = sheet(vec![piece("a", 700, 1000, 5)]);
    let bought = wanted.rolls[0].clone();
    let length = Some(mm(2100));
    let price = Money::ZERO;
    let shelf =
        Roll { id: "S".to_owned(), length, price, available: Some(1), shelf: true, ..bought };
    wanted.rolls.push(shelf);
    // The engine is asked for the least price at one unit a roll bought.
    let instance = wanted.instance();
    assert_eq!(instance.objective, Objective::Price);
    let prices: Vec<Money> = instance.rolls.iter().map(|r| r.price).collect();
    assert_eq!(prices, [Money::from_units(1), Money::ZERO]);
    let pull = |y: i64, count: usize| Pull {
        y: mm(y),
        length: mm(1000),
        placements: [10, 712][..count]
            .iter()
            .map(|x| Placement { piece: 0, x: mm(*x), y: mm(y), turn: Angle::ZERO })
            .collect(),
    };
    let layouts = vec![
        Layout { roll: 0, copies: 1, pulls: vec![pull(50, 1)] },
        Layout { roll: 1, copies: 1, pulls: vec![pull(50, 2), pull(1052, 2)] },
    ];
    let nesting = Nesting {
        layouts,
        value: 1_000_000,
        bound: 1_000_000,
        basis: Basis::Area,
        certificate: None,
        status: Status::Proven,
    };
    let plan = assert_passes(planned(&wanted, nesting), &wanted).into_inner();
    assert_eq!((plan.value, plan.bound), (Decimal::ONE, Decimal::ONE));
    // Without the shelf it takes no less than the bound with it, 1, nor than its own.
    for (value, bound, rules) in [
        (2, 2, vec![]),
        (1, 0, vec![]),
        (0, 0, vec![Rule::Bound]),
        (2, 3, vec![Rule::Bound]),
        (2, -1, vec![Rule::Bound]),
    ] {
        let [value, bound] =
            [value, bound].map(|rolls| Decimal::from_millionths(rolls * 1_000_000));
        let mut beside = plan.clone();
        beside.nests[0].without_shelf = Some(rollwright::plan::WithoutShelf { value, bound });
        assert_eq!(broken_rules(beside, &wanted), rules, "{value} {bound}");
    }
    // Two offcuts of that sort are not there.
    let mut greedy = plan;
    greedy.rolls[1].copies = 2;
    assert!(broken_rules(greedy, &wanted).contains(&Rule::Availability));
}

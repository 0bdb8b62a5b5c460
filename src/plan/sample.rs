//! A plan for tests of the reports, laid by a simple rule: one roll after another, each pull as
//! long as its first piece and filled across with pieces of that length. No plan that anybody
//! would cut; the reports do not know.

use crate::cutting::{Objective, Style, Turns};
use crate::demand::RunJoints;
use crate::geometry::{Outline, Point, Rect};
use crate::nest::{Basis, Status};
use crate::plan::{
    Areas, Cut, CutKind, Input, Limits, Nest, Offcut, Piece, Placement, Plan, Program, Pull, Roll,
    Sequence, Step, Use,
};
use crate::units::{Angle, Area, Decimal, Length, Money};

fn mm(value: i64) -> Length {
    Length::from_mm(value)
}

/// A lens, narrow at its ends, in a box of this size.
fn lens(width: i64, length: i64) -> Outline {
    let steps = 12;
    let side = |at: i64| {
        let from_end = at.min(steps - at);
        width / 4 - width * from_end / (2 * steps) + width * from_end * from_end / (400 * steps)
    };
    let y = |at: i64| mm(length * at / steps);
    let mut corners: Vec<Point> =
        (0..=steps).map(|at| Point::new(mm(width - side(at)), y(at))).collect();
    corners.extend((0..=steps).rev().map(|at| Point::new(mm(side(at)), y(at))));
    Outline::new(corners).unwrap()
}

/// The pieces of a thickness: `sizes` different ones, `each` of every size; every eighth curved.
fn pieces(nest: usize, sizes: usize, each: u64) -> Vec<Piece> {
    (0..sizes)
        .map(|at| {
            let at_i = i64::try_from(at).unwrap();
            let (width, length) = (120 + at_i * 37 % 1200, 180 + at_i * 91 % 1600);
            let curved = at % 8 == 7;
            Piece {
                piece: format!("{}{}", ["A", "B"][nest % 2], at + 1),
                nest,
                width: mm(width),
                length: mm(length),
                outline: curved.then(|| lens(width, length)),
                turns: Turns::none(),
                quantity: each,
                uses: vec![Use {
                    id: format!("item-{at}/1/course"),
                    item: format!("item-{at}"),
                    layer: 1 + u32::try_from(at % 3).unwrap(),
                    part: if curved { "gore".to_owned() } else { "course 1 of 2".to_owned() },
                    quantity: each,
                    release: 1,
                }],
            }
        })
        .collect()
}

/// Lays pieces on rolls 1500 mm wide and 50 m long.
fn rolls(nest: usize, pieces: &[Piece]) -> Vec<Roll> {
    let (width, length, square) = (mm(1500), mm(50_000), mm(50));
    let mut all: Vec<&Piece> = pieces
        .iter()
        .flat_map(|p| std::iter::repeat_n(p, usize::try_from(p.quantity).unwrap()))
        .collect();
    all.sort_by(|a, b| b.length.cmp(&a.length).then(a.piece.cmp(&b.piece)));
    let mut rolls: Vec<Roll> = Vec::new();
    let mut rest = all.into_iter().peekable();
    let mut y = length;
    while let Some(&first) = rest.peek() {
        if y + first.length > length {
            y = square;
            rolls.push(Roll {
                squared: false,
                roll: format!("roll-{}", nest + 1),
                nest,
                width,
                length: Some(length),
                price: Money::from_units(400),
                shelf: false,
                copies: 1,
                pulls: Vec::new(),
                offcuts: Vec::new(),
            });
        }
        let mut x = Length::ZERO;
        let mut placements = Vec::new();
        let mut cuts = vec![Cut {
            kind: CutKind::Cross,
            from: Point::new(Length::ZERO, y + first.length),
            to: Point::new(width, y + first.length),
            piece: None,
        }];
        while let Some(piece) = rest.next_if(|p| x + p.width <= width) {
            placements.push(Placement { piece: piece.piece.clone(), x, y, turn: Angle::ZERO });
            if piece.outline.is_some() {
                cuts.push(Cut {
                    kind: CutKind::Outline,
                    from: Point::new(x, y),
                    to: Point::new(x + piece.width, y + piece.length),
                    piece: Some(piece.piece.clone()),
                });
            }
            x += piece.width;
            cuts.push(Cut {
                kind: CutKind::Rip,
                from: Point::new(x, y),
                to: Point::new(x, y + first.length),
                piece: None,
            });
        }
        let roll = rolls.last_mut().unwrap();
        roll.pulls.push(Pull { y, length: first.length, placements, cuts });
        y += first.length;
    }
    for roll in &mut rolls {
        let end = roll.pulls.last().map_or(square, |p| p.y + p.length);
        let left = Rect { x: Length::ZERO, y: end, width, length: length - end };
        if left.length.is_positive() {
            let Rect { x, y, width, length } = left;
            roll.offcuts.push(Offcut { x, y, width, length, keep: length >= mm(500) });
        }
    }
    rolls
}

fn areas(pieces: &[Piece], rolls: &[Roll]) -> Areas {
    let left = |keep: bool| {
        rolls
            .iter()
            .flat_map(|r| &r.offcuts)
            .filter(|o| o.keep == keep)
            .map(|o| Area::of_rectangle(o.width, o.length))
            .sum::<Area>()
    };
    let all = Area::of_rectangle(mm(1500), mm(50_000)) * i128::try_from(rolls.len()).unwrap();
    let square = Area::of_rectangle(mm(1500), mm(50)) * i128::try_from(rolls.len()).unwrap();
    let wanted: Area = pieces.iter().map(|p| p.area() * i128::from(p.quantity)).sum();
    Areas {
        rolls: all,
        pieces: wanted,
        square_cuts: square,
        between: all - wanted - square - left(true) - left(false),
        roll_ends: left(false),
        kept: left(true),
        ..Areas::default()
    }
}

/// Every pull where it lies, every piece for the first item that wants one.
fn one_after_another(rolls: &[Roll]) -> Sequence {
    let steps = rolls.iter().enumerate().flat_map(|(roll, of)| {
        of.pulls.iter().enumerate().map(move |(pull, drawn)| Step {
            roll,
            copy: 1,
            pull,
            uses: vec![Some(0); drawn.placements.len()],
        })
    });
    Sequence {
        steps: steps.collect(),
        open_kits: 0,
        open_kits_bound: 0,
        setups: 0,
        roll_changes: 0,
        late: 0,
        stopped: false,
    }
}

/// A plan of two thicknesses with `sizes` different pieces in each and `each` of every size.
pub fn plan(sizes: usize, each: u64) -> Plan {
    let program =
        Program { version: "0".to_owned(), seed: 1, limits: Limits { work: 1_000, seconds: None } };
    let inputs = vec![Input { file: "takeoff.csv".to_owned(), sha256: "00".repeat(32) }];
    let joints = vec![RunJoints {
        item: "item-0".to_owned(),
        run: 1,
        layer: 1,
        start: Length::ZERO,
        courses: vec![mm(1000), mm(1500), mm(1500), mm(400)],
        joints: vec![mm(1000), mm(2500), mm(4000)],
        under: Length::from_nm(168_300_000),
        seams: vec![Angle::QUARTER],
        lap: Length::ZERO,
        waived: None,
    }];
    let mut plan = Plan::empty("sample", program, inputs, joints);
    plan.status = Status::Feasible;
    for (nest, thickness) in [5, 10].into_iter().enumerate() {
        let pieces = pieces(nest, sizes, each);
        let rolls = rolls(nest, &pieces);
        let value = Decimal::from_millionths(i64::try_from(rolls.len()).unwrap() * 1_000_000);
        plan.nests.push(Nest {
            thickness: Some(mm(thickness)),
            objective: Objective::Rolls,
            style: Style::Straight,
            stages: Some(3),
            status: if nest == 0 { Status::Proven } else { Status::Feasible },
            value,
            bound: if nest == 0 { value } else { Decimal::ONE },
            basis: Basis::LinearProgramme,
            certificate: None,
            without_shelf: None,
            areas: areas(&pieces, &rolls),
        });
        plan.rolls.extend(rolls);
        plan.pieces.extend(pieces);
    }
    plan.sequence = Some(one_after_another(&plan.rolls));
    plan
}

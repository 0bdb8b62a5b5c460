//! Random fittings and vessels: the pieces of a layer have the layer's surface once, whatever the
//! sizes, the build and how short the rolls are; and every piece fits its roll.

use super::{item, mm, run, size};
use crate::demand::Demand;
use crate::pattern::saddle::hole_area;
use crate::rules::Rules;
use crate::stock::{Roll, Stock};
use crate::takeoff::{Disc, Head, HeadForm, Kind, Reducer, Shell, Tee};
use crate::units::{Angle, Length};
use proptest::prelude::*;
use std::f64::consts::PI;

fn stock(width: i64, length: i64) -> Stock {
    let roll = |t: i64| Roll { ..super::roll(t, width, length) };
    Stock { rolls: vec![roll(5), roll(10)], offcuts: Vec::new() }
}

fn fine() -> Rules {
    let mut rules = Rules::default();
    rules.elbow.chord_error = Length::from_nm(50_000);
    rules
}

/// Pieces of one kind on these rolls; `None` where they are refused.
fn expand(kind: Kind, build: &[i64], (width, length): (i64, i64), rules: &Rules) -> Option<Demand> {
    let (demand, findings) = run(vec![item("X", kind, 1, build)], &stock(width, length), rules);
    if demand.is_none() {
        // Refusals say what does not fit; nothing else may go wrong.
        assert!(findings.iter().any(|f| f.code.id == "D004"), "{findings:?}");
    }
    let demand = demand?;
    for piece in &demand.pieces {
        let fits = |w: Length, l: Length| w <= mm(width) && l <= mm(length - 50);
        let turned = piece.turns.sideways() && fits(piece.length, piece.width);
        assert!(turned || fits(piece.width, piece.length), "{piece:?}");
    }
    Some(demand)
}

fn area(demand: &Demand, layer: u32, part: &str) -> f64 {
    let mine = demand.pieces.iter().filter(|p| p.layer == layer && p.part.starts_with(part));
    mine.map(|p| p.area.mm2_f64() * f64::from(u32::try_from(p.quantity).unwrap_or(0))).sum()
}

/// Under-diameter and mid radius of each layer.
fn mids(od: f64, build: &[i64]) -> Vec<f64> {
    let mut under = od;
    let mut all = Vec::new();
    for &t in build {
        let t = f64::from(i32::try_from(t).unwrap());
        all.push(under / 2.0 + t / 2.0);
        under += 2.0 * t;
    }
    all
}

/// An item that is refused shows nothing of its area; a test in which nearly all are fails.
fn refused() -> TestCaseError {
    TestCaseError::reject("the item is refused")
}

fn close(found: f64, expected: f64, relative: f64) -> Result<(), TestCaseError> {
    prop_assert!((found / expected - 1.0).abs() < relative, "{} is not {}", found, expected);
    Ok(())
}

/// The mean height of the saddle above the run's axis times the turn: `integral of
/// sqrt(a^2 - b^2 sin^2) over 0..2 pi`, by Simpson's rule.
fn saddle_integral(a: f64, b: f64) -> f64 {
    let h = |t: f64| (a * a - b * b * t.sin() * t.sin()).max(0.0).sqrt();
    let n = 4000_u32;
    let step = 2.0 * PI / f64::from(n);
    (0..n)
        .map(|i| {
            let t = step * f64::from(i);
            step / 6.0 * (h(t) + 4.0 * h(t + step / 2.0) + h(t + step))
        })
        .sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Run less hole, and branch above its saddle, in one piece or several round, whole or in courses. Along the run a
    /// slanted branch is cut by `1 / sin` of its angle longer than a square one, so its hole is larger and its
    /// saddle higher by as much.
    #[test]
    fn tees(
        od in 60_i64..900,
        share in 8_i64..=100,
        degrees in proptest::sample::select(&[45_i64, 60, 90][..]),
        build in proptest::collection::vec(proptest::sample::select(&[5_i64, 10][..]), 1..5),
        width in 400_i64..2000,
        length in 700_i64..4000,
    ) {
        let branch = (od * share / 100).max(20);
        let (obtuse, acute, high) = match degrees {
            90 => (od + 200, od + 200, od + 250),
            _ => (od + 200, 2 * od + 300, 2 * od + 250),
        };
        let angle = Angle::from_degrees(degrees);
        let sine = angle.radians_f64().sin();
        let kind = Kind::Tee(Tee {
            run: size(od * 100),
            branch: size(branch * 100),
            angle,
            centre_to_end: mm(obtuse),
            acute_end: mm(acute),
            branch_height: mm(high),
        });
        let Some(demand) = expand(kind, &build, (width, length), &fine()) else {
            return Err(refused());
        };
        let f = |v: i64| f64::from(i32::try_from(v).unwrap());
        let (runs, branches) = (mids(f(od), &build), mids(f(branch), &build));
        for (i, (a, b)) in runs.iter().zip(&branches).enumerate() {
            let layer = u32::try_from(i + 1).unwrap();
            let whole = 2.0 * PI * a * f(obtuse + acute) - hole_area(*a, *b) / sine;
            // Each piece of a plain course is cut to whole millimetres round the pipe.
            let pieces = (2.0 * PI * a / f(length)).ceil() + 1.0;
            let round = |radius: f64| pieces / (2.0 * PI * radius);
            close(area(&demand, layer, "run"), whole, 2e-3 + round(*a))?;
            let sleeve = b * (2.0 * PI * f(high) - saddle_integral(*a, *b) / sine);
            close(area(&demand, layer, "branch"), sleeve, 2e-3 + round(*b))?;
        }
    }

    /// `pi (r1 + r2) l`, in one piece or as sectors.
    #[test]
    fn concentric_reducers(
        od in 60_i64..700,
        share in 40_i64..=95,
        height in 50_i64..700,
        build in proptest::collection::vec(proptest::sample::select(&[5_i64, 10][..]), 1..4),
        width in 300_i64..1600,
        length in 700_i64..3000,
    ) {
        let small = (od * share / 100).min(od - 1);
        let kind = Kind::Reducer(Reducer {
            large: size(od * 100),
            small: size(small * 100),
            length: mm(height),
            eccentric: false,
        });
        let Some(demand) = expand(kind, &build, (width, length), &fine()) else {
            return Err(refused());
        };
        let f = |v: i64| f64::from(i32::try_from(v).unwrap());
        for (i, (r1, r2)) in mids(f(od), &build).iter().zip(mids(f(small), &build)).enumerate() {
            let slant = f(height).hypot(r1 - r2);
            let layer = u32::try_from(i + 1).unwrap();
            close(area(&demand, layer, ""), PI * (r1 + r2) * slant, 3e-3)?;
        }
    }

    /// A cylinder's `2 pi r L`, in rings of several pieces where the roll is short; each ring is
    /// rounded up to whole millimetres.
    #[test]
    fn shells_discs_and_heads(
        od in 800_i64..6000,
        tangents in 500_i64..9000,
        build in proptest::collection::vec(proptest::sample::select(&[5_i64, 10][..]), 1..4),
        width in 900_i64..2000,
        length in 1500_i64..5000,
        hole in 100_i64..700,
    ) {
        let f = |v: i64| f64::from(i32::try_from(v).unwrap());
        let mid = mids(f(od), &build);
        let mut shown = 0;
        let shell = Kind::Shell(Shell { diameter: mm(od), length: mm(tangents), vertical: false });
        if let Some(demand) = expand(shell, &build, (width, length), &fine()) {
            shown += 1;
            for (i, r) in mid.iter().enumerate() {
                let found = area(&demand, u32::try_from(i + 1).unwrap(), "");
                close(found, 2.0 * PI * r * f(tangents), 4e-3)?;
            }
        }
        let disc = Kind::Disc(Disc { outside: mm(od), inside: Length::ZERO });
        if let Some(demand) = expand(disc, &build, (width, length), &fine()) {
            shown += 1;
            close(area(&demand, 1, ""), PI * f(od) * f(od) / 4.0, 2e-3)?;
        }
        let ring = Kind::Disc(Disc { outside: mm(od), inside: mm(hole) });
        if let Some(demand) = expand(ring, &build, (width, length), &fine()) {
            shown += 1;
            close(area(&demand, 1, ""), PI * (f(od) * f(od) - f(hole) * f(hole)) / 4.0, 2e-3)?;
        }
        // Half a sphere is 2 pi a^2; the flat crown disc of radius s is larger than its cap by
        // s^2 / (12 a^2) of it: up to 266 mm on 405 mm here.
        let head = Kind::Head(Head { diameter: mm(od), form: HeadForm::Hemispherical });
        if let Some(demand) = expand(head, &build, (width, length), &fine()) {
            shown += 1;
            for (i, a) in mid.iter().enumerate() {
                let found = area(&demand, u32::try_from(i + 1).unwrap(), "");
                close(found, 2.0 * PI * a * a, 1.5e-2)?;
            }
        }
        // Counts as a case only where none of the four was refused.
        prop_assume!(shown == 4);
    }
}

/// NPS 24 equal tee on a table of 1.5 m: no ring fits, so all covers are parted round; with 40 mm
/// of a vessel's girth a roll and more, rings are parted as well, up to 64 pieces.
#[test]
fn short_tables_part_tees_and_vessels() {
    let tee = |angle: i64| {
        Kind::Tee(Tee {
            run: size(61000),
            branch: size(61000),
            angle: Angle::from_degrees(angle),
            centre_to_end: mm(900),
            acute_end: mm(900),
            branch_height: mm(900),
        })
    };
    for (angle, length) in [(90, 1550), (90, 800), (60, 1550), (60, 1100)] {
        let demand = expand(tee(angle), &[10, 10], (1500, length), &fine());
        let demand = demand.unwrap_or_else(|| panic!("{angle} degrees, {length} mm"));
        assert!(demand.pieces.len() > 4, "{:?}", demand.pieces.len());
    }
    let shell = |od| Kind::Shell(Shell { diameter: mm(od), length: mm(2000), vertical: false });
    let codes = |od: i64, length: i64| {
        let (_, findings) =
            run(vec![item("S", shell(od), 1, &[10, 10])], &stock(1500, length), &fine());
        findings.iter().map(|f| f.code.id).collect::<Vec<_>>()
    };
    assert_eq!(codes(3000, 2000), ["D012", "D015"]);
    assert!(codes(19_000, 500).contains(&"D004"));
}

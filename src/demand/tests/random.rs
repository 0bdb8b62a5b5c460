//! Random takeoffs: what must hold whatever the sizes, layers and rules.

use super::{item, mm, pipe, roll, run, size};
use crate::demand::{Demand, RunJoints};
use crate::rules::Rules;
use crate::stock::Stock;
use crate::takeoff::{Elbow, Kind};
use crate::units::{Angle, Length};
use proptest::prelude::*;
use std::f64::consts::PI;

/// Outside diameters of ASME B36.10M, hundredths of a millimetre, and NPS times 100.
const SIZES: [(i64, i64); 8] = [
    (3340, 100),
    (6030, 200),
    (8890, 300),
    (11430, 400),
    (16830, 600),
    (27300, 1000),
    (40640, 1600),
    (61000, 2400),
];

fn runs_of<'a>(demand: &'a Demand, item: &'a str) -> impl Iterator<Item = &'a RunJoints> {
    demand.joints.iter().filter(move |j| j.item == item)
}

fn mm2(pieces: &Demand, item: &str, layer: u32) -> f64 {
    let mine = pieces.pieces.iter().filter(|p| p.item == item && p.layer == layer);
    mine.map(|p| p.area.mm2_f64() * f64::from(u32::try_from(p.quantity).unwrap_or(0))).sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn pieces_cover_once_and_keep_the_rules(
        (od, nps) in proptest::sample::select(&SIZES[..]),
        build in proptest::collection::vec(proptest::sample::select(&[5_i64, 10][..]), 1..5),
        lengths in (600_i64..9000, 600_i64..9000),
        width in 900_i64..2000,
        stagger in 40_i64..120,
        smallest in 50_i64..130,
        angle in 15_i64..=90,
        factor in 0_i64..=10,
        pull in proptest::option::of(1000_i64..4000),
        one_piece in any::<bool>(),
    ) {
        let mut rules = Rules::default();
        rules.joints.stagger = mm(stagger);
        rules.joints.smallest_piece = mm(smallest);
        rules.table.pull_limit = pull.map(mm);
        rules.elbow.chord_error = Length::from_nm(50_000);
        rules.wrap.factor = crate::units::Decimal::from_millionths(factor * 100_000);
        if !one_piece {
            rules.elbow.one_piece_up_to = Length::ZERO;
        }
        let stock = Stock { rolls: vec![roll(5, width, 60_000), roll(10, width, 40_000)], offcuts: vec![] };
        let radius = Length::from_nm(nps * 381_000);
        let elbow = Kind::Elbow(Elbow { size: size(od), angle: Angle::from_degrees(angle), radius, straight: Length::ZERO });
        let items = vec![
            item("P1", pipe(od, mm(lengths.0), &["E"]), 1, &build),
            item("E", elbow, 1, &build),
            item("P2", pipe(od, mm(lengths.1), &["E"]), 1, &build),
        ];
        let (demand, findings) = run(items, &stock, &rules);
        prop_assert!(demand.is_some(), "{:?}", findings);
        let demand = demand.unwrap();
        let step = rules.resolution.cut;
        for piece in &demand.pieces {
            prop_assert!(piece.width <= mm(width), "{} {} wide", piece.id, piece.width);
            if let Some(limit) = rules.table.pull_limit {
                prop_assert!(piece.length <= limit, "{} {} long", piece.id, piece.length);
            }
        }
        for (name, length) in [("P1", lengths.0), ("P2", lengths.1)] {
            for joints in runs_of(&demand, name) {
                let covered: Length = joints.courses.iter().copied().sum();
                prop_assert_eq!(joints.start + covered, mm(length));
                let many = joints.courses.len() > 1;
                prop_assert!(!many || joints.courses.iter().all(|c| *c >= mm(smallest)));
                // The cut area is the surface and no more than the roundings up.
                let t = mm(build[usize::try_from(joints.layer - 1).unwrap()]);
                let ring = PI * (joints.under.mm_f64() + 2.0 * rules.wrap.factor.f64() * t.mm_f64());
                let parts = f64::from(u32::try_from(joints.seams.len()).unwrap());
                let surface = ring * covered.mm_f64();
                let most = (ring + parts * step.mm_f64())
                    * (covered.mm_f64() + f64::from(u32::try_from(joints.courses.len()).unwrap()));
                let cut = mm2(&demand, name, joints.layer);
                prop_assert!(cut >= surface * (1.0 - 1e-12) && cut <= most, "{} {} {}", surface, cut, most);
            }
            let layers: Vec<&RunJoints> = runs_of(&demand, name).collect();
            for pair in layers.windows(2).filter(|p| p[1].waived.is_none()) {
                for joint in &pair[1].joints {
                    let near = pair[0].joints.iter().map(|b| (*b - *joint).abs()).min();
                    prop_assert!(near.is_none_or(|n| n >= mm(stagger)));
                }
                let stepped = pair[0].start - pair[1].start;
                prop_assert!(stepped == Length::ZERO || stepped >= mm(stagger));
                for a in &pair[0].seams {
                    for b in &pair[1].seams {
                        let turn = (a.degrees_f64() - b.degrees_f64()).rem_euclid(360.0);
                        let arc = PI * pair[1].under.mm_f64() * turn.min(360.0 - turn) / 360.0;
                        prop_assert!(arc >= f64::from(i32::try_from(stagger).unwrap()) - 1e-3);
                    }
                }
            }
        }
        // Each layer of the elbow has at least the torus's area over the bend (Pappus) and its
        // straight ends, for a gored one no more than tan(x)/x of it.
        let gored = demand.pieces.iter().filter(|p| p.item == "E").all(|p| p.part.contains("seam"));
        let room = radius.mm_f64() > od_radius(od, &build);
        if gored && room {
            let mut under = f64::from(i32::try_from(od).unwrap()) / 100.0;
            for (i, t) in (0_u32..).zip(&build) {
                let t = f64::from(i32::try_from(*t).unwrap());
                let ring = PI * (under + 2.0 * rules.wrap.factor.f64() * t);
                let starts: f64 =
                    demand.joints.iter().filter(|j| j.layer == i + 1).map(|j| j.start.mm_f64()).sum();
                let bend = radius.mm_f64() * Angle::from_degrees(angle).radians_f64();
                let found = mm2(&demand, "E", i + 1) / ring - starts;
                prop_assert!(found >= bend * 0.999 - 0.2 && found <= bend * 1.28, "{} {}", found, bend);
                under += 2.0 * t;
            }
        }
    }
}

/// Radius over all layers.
fn od_radius(od: i64, build: &[i64]) -> f64 {
    let total: i64 = build.iter().sum();
    f64::from(i32::try_from(od).unwrap()) / 200.0 + f64::from(i32::try_from(total).unwrap())
}

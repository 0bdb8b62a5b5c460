//! Every size of the standards' tables, thin and thick: each fitting has a pattern that fits.
//!
//! Dimensions are those of ASME B36.10M, B16.9, B16.5 and B16.10 as the tables hold them.

use super::{demand, item, mm, roll, run};
use crate::finding::Severity;
use crate::rules::Rules;
use crate::standards::{
    self, Bend, ValveKind, bend_radius, cap_length, face_to_face, pipe_rows, reducer_length,
    straight_end, tee,
};
use crate::stock::Stock;
use crate::takeoff::{Bare, Cap, Elbow, Flange, Item, Kind, Reducer, Size, Tee, Valve};
use crate::units::{Angle, Length};

const BUILDS: [&[i64]; 4] = [&[5], &[10, 10], &[5, 10, 10, 10], &[10; 12]];

/// All sizes, and in this test suite's short form every third.
fn sizes() -> Vec<Size> {
    let size = |row: &standards::PipeRow| Size {
        text: standards::nps_text(row.nps_64ths),
        od: row.asme.value,
        nps_64ths: Some(row.nps_64ths),
    };
    pipe_rows().iter().step_by(2).map(size).collect()
}

fn fittings(size: &Size, smaller: Option<&Size>) -> Vec<Kind> {
    let mut all = Vec::new();
    let nps = size.nps_64ths.unwrap();
    for bend in [Bend::Long, Bend::Short] {
        for degrees in [45, 90, 180] {
            let Some(radius) = bend_radius(nps, bend) else { continue };
            let (size, angle) = (size.clone(), Angle::from_degrees(degrees));
            // The legs of a return bend cannot have covers of their own where they meet.
            if degrees < 180 || radius.value > size.od {
                let straight = straight_end(nps, bend, angle).map_or(Length::ZERO, |end| end.value);
                all.push(Kind::Elbow(Elbow { size, angle, radius: radius.value, straight }));
            }
        }
    }
    for branch in [Some(size), smaller].into_iter().flatten() {
        let Some(figures) = tee(nps, branch.nps_64ths.unwrap()) else { continue };
        all.push(Kind::Tee(Tee {
            run: size.clone(),
            branch: branch.clone(),
            angle: Angle::QUARTER,
            centre_to_end: figures.centre_to_end.value,
            acute_end: figures.centre_to_end.value,
            branch_height: figures.branch_height.value,
        }));
    }
    if let Some(small) = smaller
        && let Some(length) = reducer_length(nps, small.nps_64ths.unwrap())
    {
        for eccentric in [false, true] {
            let (large, small, length) = (size.clone(), small.clone(), length.value);
            all.push(Kind::Reducer(Reducer { large, small, length, eccentric }));
        }
    }
    if let Some(length) = cap_length(nps) {
        all.push(Kind::Cap(Cap { size: size.clone(), length: length.value }));
    }
    if let Some(figures) = standards::flange(nps, 150) {
        let flange = Flange {
            size: size.clone(),
            diameter: figures.diameter.value,
            thickness: figures.thickness.value,
            stud: figures.stud.value,
            gasket: mm(3),
            bare: Bare::Covered,
        };
        all.push(Kind::Flange(flange.clone()));
        if let Some(length) = face_to_face(ValveKind::Gate, nps, 150) {
            // Bonnets are measured on site; here one as wide as the pipe.
            let (bonnet, bonnet_height) = (size.od, length.value + size.od);
            let face_to_face = length.value;
            all.push(Kind::Valve(Valve { flange, face_to_face, bonnet, bonnet_height }));
        }
    }
    all
}

#[test]
fn every_standard_fitting_has_pieces_that_fit() {
    let stock =
        Stock { rolls: vec![roll(5, 1500, 60_000), roll(10, 1500, 40_000)], offcuts: vec![] };
    let rules = Rules::default();
    let sizes = sizes();
    let mut seen = 0;
    for (n, size) in sizes.iter().enumerate() {
        let smaller = n.checked_sub(1).and_then(|m| sizes.get(m));
        for kind in fittings(size, smaller) {
            for build in BUILDS {
                // Return bends thicker than their legs' distance are refused, rightly.
                let total: i64 = build.iter().sum();
                if let Kind::Elbow(elbow) = &kind
                    && elbow.angle == Angle::from_degrees(180)
                    && size.od + mm(2 * total) > elbow.radius * 2
                {
                    continue;
                }
                let (made, findings) = run(vec![item("X", kind.clone(), 1, build)], &stock, &rules);
                let errors: Vec<String> = findings
                    .iter()
                    .filter(|f| f.severity() == Severity::Error)
                    .map(ToString::to_string)
                    .collect();
                assert!(errors.is_empty(), "{} {kind:?} {build:?}: {errors:?}", size.text);
                for piece in &made.unwrap().pieces {
                    seen += 1;
                    assert!(piece.width.is_positive() && piece.area.nm2() > 0, "{}", piece.id);
                }
            }
        }
    }
    assert!(seen > 1000, "only {seen} pieces");
}

/// A whole line: names of both ends, every fitting between, so that what reaches where adds up:
/// each layer's courses and what its neighbours take are the run's length.
#[test]
fn a_line_of_fittings_adds_up() {
    let size = |n: usize| sizes()[n].clone();
    let od = size(7);
    let nps = od.nps_64ths.unwrap();
    let build = [10, 10, 10];
    let pipe = |id: &str, length: i64, ends: &[&str]| -> Item {
        let hundredths = od.od.nm() / 10_000;
        item(id, super::pipe(hundredths, mm(length), ends), 1, &build)
    };
    let radius = bend_radius(nps, Bend::Long).unwrap().value;
    let elbow = Kind::Elbow(Elbow {
        size: od.clone(),
        angle: Angle::QUARTER,
        radius,
        straight: Length::ZERO,
    });
    let figures = standards::flange(nps, 150).unwrap();
    let flange = Kind::Flange(Flange {
        size: od.clone(),
        diameter: figures.diameter.value,
        thickness: figures.thickness.value,
        stud: figures.stud.value,
        gasket: mm(3),
        bare: Bare::Covered,
    });
    let items = vec![
        pipe("P1", 3000, &["E1"]),
        item("E1", elbow.clone(), 1, &build),
        pipe("P2", 6000, &["E1", "F1"]),
        item("F1", flange, 1, &build),
        pipe("P3", 2345, &["F1", "E2"]),
        item("E2", elbow, 1, &build),
    ];
    let demand = demand(items, &Rules::default());
    let bolts = figures.stud.value + mm(25);
    for joints in demand.joints.iter().filter(|j| j.item.starts_with('P')) {
        let reach = mm(75) * i64::from(3 - joints.layer);
        let (first, last, length) = match joints.item.as_str() {
            "P1" => (reach, Length::ZERO, mm(3000)),
            "P2" => (reach, bolts, mm(6000)),
            _ => (bolts, reach, mm(2345)),
        };
        assert_eq!(joints.start, first, "{joints:?}");
        let covered: Length = joints.courses.iter().copied().sum();
        assert_eq!(first + covered + last, length, "{joints:?}");
    }
}

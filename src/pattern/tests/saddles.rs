use super::super::saddle::{BranchSeam, Saddle, beside, hole_area};
use super::{HALF, close, layer};
use crate::units::Angle;
use std::f64::consts::{FRAC_PI_2, PI};

/// NPS 6 by 3, layer 1 of 10 mm: mid radii 89.15 and 49.45 (TV11 to TV13).
fn six_by_three() -> Saddle {
    Saddle::new(&layer(16830, 10, HALF), &layer(8890, 10, HALF), Angle::QUARTER)
}

fn equal() -> Saddle {
    Saddle::new(&layer(16830, 10, HALF), &layer(16830, 10, HALF), Angle::QUARTER)
}

#[test]
fn tv11_reducing_tee() {
    let saddle = six_by_three();
    close(saddle.height(0.0) - saddle.height(FRAC_PI_2), 14.9717, 6e-5);
    close(saddle.hole().1, 49.45, 1e-9);
    close(saddle.around(FRAC_PI_2), 52.419, 6e-4);
    close(hole_area(saddle.run, saddle.branch), 8018.4490, 1e-3); // TV11b
}

#[test]
fn tv12_equal_tee() {
    let saddle = equal();
    let four = 4.0 * saddle.run * saddle.run;
    close(four, 31_790.89, 1e-6);
    close(hole_area(saddle.run, saddle.run), four, 1e-2);
    // TV12b: as much is lost below the saddle.
    let ring = 2.0 * PI * saddle.branch;
    let sleeve = saddle.sleeve(143.0, BranchSeam::Acute).unwrap();
    close(sleeve.area().mm2_f64(), ring * 143.0 - four, four * 1e-3);
    // h = a |cos theta|.
    close(saddle.height(1.0), saddle.run * libm::cos(1.0), 1e-9);
    close(saddle.height(FRAC_PI_2), 0.0, 1e-6);
}

/// `TV12c`: every point of the saddle lies on both cylinders, at right angles and others.
#[test]
fn saddle_points_lie_on_both_cylinders() {
    for degrees in [90, 60, 45] {
        let angle = Angle::from_degrees(degrees);
        let saddle = Saddle::new(&layer(16830, 10, HALF), &layer(8890, 10, HALF), angle);
        let (sine, cosine) = (libm::sin(angle.radians_f64()), libm::cos(angle.radians_f64()));
        for i in 0..36 {
            let theta = 2.0 * PI * f64::from(i) / 36.0;
            let (x, u) = (saddle.along(theta), saddle.around(theta) / saddle.run);
            let (y, z) = (saddle.run * libm::sin(u), saddle.run * libm::cos(u));
            // On the branch: distance from its axis (cosine, 0, sine) is its radius.
            let along = x * cosine + z * sine;
            let off = (x * x + y * y + z * z - along * along).sqrt();
            close(off, saddle.branch, 1e-9);
            close(along, saddle.height(theta), 1e-9);
        }
    }
}

#[test]
fn tv13_branch_cover() {
    for seam in [BranchSeam::Acute, BranchSeam::Obtuse] {
        let sleeve = six_by_three().sleeve(124.0, seam).unwrap();
        close(sleeve.area().mm2_f64(), 13_100.568_3, 6.0);
        close(sleeve.length.mm_f64(), 2.0 * PI * 49.45, 1e-5);
    }
}

/// Both ways to cut the run's cover leave out the same hole.
#[test]
fn run_covers_lose_the_hole() {
    for (saddle, side) in [(six_by_three(), 143.0), (equal(), 143.0)] {
        let whole = 2.0 * side * 2.0 * PI * saddle.run_wrap;
        let hole = hole_area(saddle.run, saddle.branch);
        let seamed = saddle.seamed(side, side).unwrap().area().mm2_f64();
        let parted: f64 =
            saddle.parted(side, side).unwrap().iter().map(|f| f.area().mm2_f64()).sum();
        close(seamed, whole - hole, hole * 2e-3);
        close(parted, whole - hole, hole * 2e-3);
    }
}

#[test]
fn a_hole_beyond_the_cover_is_refused() {
    assert!(six_by_three().seamed(40.0, 40.0).is_err());
    assert!(six_by_three().sleeve(60.0, BranchSeam::Acute).is_err());
}

/// `TV23b`: neck of 109.55 mm on a valve's body of 149.15 mm.
#[test]
fn tv23b_neck_of_a_valve() {
    let saddle = Saddle::new(&layer(28830, 10, HALF), &layer(20910, 10, HALF), Angle::QUARTER);
    close(saddle.around(FRAC_PI_2), 123.0373, 6e-5);
    close(saddle.hole().1, 109.55, 1e-9);
}

#[test]
fn edges_keep_to_their_chords() {
    // Branches from far smaller than their run to as wide as it, at 30 to 90 degrees, on walls up to 1.2 m:
    // every point of the sleeve's edge and of the hole's lies within 0.3 mm of the chord beside it.
    for run in [57.0, 290.0, 600.0] {
        for share in [0.3, 0.8, 0.95, 0.99, 0.998, 0.9999, 1.0] {
            for degrees in [30.0_f64, 45.0, 60.0, 90.0] {
                let branch = run * share;
                let angle = degrees.to_radians();
                let saddle = Saddle { run, branch, run_wrap: run, branch_wrap: branch, angle };
                let rim = saddle.rim(0.0, 2.0 * PI);
                for pair in rim.windows(2) {
                    let (begin, end) = (pair[0], pair[1]);
                    for share in (1..40).map(|i| f64::from(i) / 40.0) {
                        let t = begin + share * (end - begin);
                        let on_branch = |t: f64| (saddle.height(t), branch * t);
                        let off = [
                            beside(on_branch(t), on_branch(begin), on_branch(end)),
                            beside(saddle.on_run(t), saddle.on_run(begin), saddle.on_run(end)),
                        ];
                        assert!(
                            off.iter().all(|&off| off < 0.3),
                            "{run} {branch} {degrees} {t}: {off:?}"
                        );
                    }
                }
                assert!(rim.len() <= 400, "{run} {branch} {degrees}: {}", rim.len());
            }
        }
    }
}

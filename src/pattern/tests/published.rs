//! One published example of pattern development for each family of shapes, or a published closed
//! form where no example with numbers was found. What was searched for and not found stands in
//! `DEVELOPERS.md`, *Published examples*.

use super::super::Flat;
use super::super::bend::{Arrangement, Bend, Edge};
use super::super::cone::{Cone, Eccentric};
use super::super::disc::{disc, strips};
use super::super::dome::{Meridian, ellipsoid_area};
use super::super::gore::{BendLayer, SeamAt};
use super::super::saddle::{BranchSeam, Saddle, hole_area};
use super::{HALF, close, layer};
use crate::geometry::Point;
use crate::units::{Angle, Length};
use std::f64::consts::{FRAC_PI_2, PI};

const FINE: Length = Length::from_nm(1_000);

/// Bare pipe on bare pipe, by their diameters in hundredths of a millimetre.
fn bare(run: i64, branch: i64, degrees: i64) -> Saddle {
    Saddle::new(&layer(run, 0, HALF), &layer(branch, 0, HALF), Angle::from_degrees(degrees))
}

/// Pipe: 168 mm over all is laid out on 527.85 mm, `3.142` times as much (fitterkipurijankari.com,
/// Miter bend formula, 2020).
#[test]
fn pipe_stretched_out() {
    close(layer(16800, 0, HALF).stretch_out(), 527.85, 0.1);
}

/// Elbow: 6 in across, throat radius 6 in, four pieces, 90 degrees: six half gores, mitres at 15
/// degrees, seam height 2 7/16 in to the nearest sixteenth, so a blank of 14 5/8 in (`BCcampus`,
/// Pattern Development, chapter 19, Round Elbow).
#[test]
fn elbow_of_four_pieces() {
    let bend = Bend { radius: 9.0, angle: FRAC_PI_2, units: 3 };
    let gores = bend.gores(Arrangement::HalfEnds, [None, None]);
    assert_eq!(gores.len(), 4);
    let Edge::Mitre(mitre) = gores[1].first else { panic!("a mitre") };
    close(mitre.to_degrees(), 15.0, 1e-9);
    let seam_height = bend.radius * libm::tan(mitre);
    close((seam_height * 16.0).round() / 16.0, 2.0 + 7.0 / 16.0, 1e-12);
    close((seam_height * 16.0).round() / 16.0 * 6.0, 14.0 + 5.0 / 8.0, 1e-12);
}

/// Mitred bend: NPS 10 (273 mm), radius 381 mm, four cuts: 151.6 mm between cuts, 75.8 mm at the
/// ends, cut back by 27.15 mm (pipingengineer.org, Formula for miter fabrication from pipe). A gore
/// is as wide as that in its middle, and wider at the heel by the cut back on both sides.
#[test]
fn mitred_bend_of_four_cuts() {
    let bend = Bend { radius: 381.0, angle: FRAC_PI_2, units: 4 };
    let tangent = libm::tan(bend.unit() / 2.0);
    close(2.0 * bend.radius * tangent, 151.6, 0.05);
    close(bend.radius * tangent, 75.8, 0.05);
    close(273.0 / 2.0 * tangent, 27.15, 5e-3);
    let pipe = layer(27300, 0, HALF);
    let flat = BendLayer::new(bend, &pipe, 1, FINE).unwrap();
    let gores = bend.gores(Arrangement::HalfEnds, [None, None]);
    let gore = &flat.gore(&gores[1], SeamAt::Throat, Length::ZERO).unwrap()[0];
    close(gore.width.mm_f64(), 151.6 + 2.0 * 27.15, 0.06);
    close(bend.throat(136.5), 151.6 - 2.0 * 27.15, 0.06);
}

/// Tee, reducing: a branch of 4.500 in on a run of 6.625 in has a saddle 0.882 in deep (calcady.com,
/// Pipe saddle cuts, step-by-step example).
#[test]
fn reducing_tee() {
    // 168.275 and 114.3 mm, in hundredths of a millimetre to the nearest.
    let saddle = bare(16828, 11430, 90);
    close((saddle.height(0.0) - saddle.height(FRAC_PI_2)) / 25.4, 0.882, 1e-3);
}

/// Tee, reducing: the girth of the hole is that of the curve on the branch's pattern (Sheet and
/// Plate Metal Work, chestofbooks.com, Tee-Piece With Unequal Pipes, its check of the workmanship).
#[test]
fn the_hole_is_as_long_round_as_the_saddle() {
    for (run, branch, degrees) in [(16830, 8890, 90), (16830, 16830, 90), (21910, 11430, 60)] {
        let saddle = bare(run, branch, degrees);
        let turn = |i: u32| 2.0 * PI * f64::from(i) / 20_000.0;
        let (mut hole, mut curve) = (0.0, 0.0);
        for i in 0..20_000 {
            let (from, to) = (turn(i), turn(i + 1));
            let off = |f: &dyn Fn(f64) -> f64| f(to) - f(from);
            hole += libm::hypot(off(&|t| saddle.along(t)), off(&|t| saddle.around(t)));
            curve += libm::hypot(off(&|t| saddle.height(t)), off(&|t| saddle.branch * t));
        }
        close(hole / curve, 1.0, 1e-6);
    }
}

/// Tee, equal: two cylinders of radius 1 at right angles bound a surface of 16 (Math Stack Exchange,
/// question 2599749; the double vault of Archimedes), of which each hole is a quarter: `4 a^2`.
#[test]
fn equal_tee() {
    close(4.0 * hole_area(1.0, 1.0), 16.0, 1e-3);
}

/// Branch at 45 degrees: 88 mm on 114 mm, ordinates every 22.5 degrees (fitterkipurijankari.com,
/// Unequal lateral tee branch formula, 2023; it cuts off after two decimals, and prints 22.95 at
/// 45 degrees but 25.95 at 315, which is what its formula gives).
#[test]
fn branch_at_forty_five_degrees() {
    let saddle = bare(11400, 8800, 45);
    let cut_back = [6.94, 25.95, 51.26, 73.36, 84.94, 88.18, 88.24, 88.0];
    for (i, want) in (1_u8..).zip(cut_back) {
        let theta = f64::from(i) * PI / 8.0;
        close(saddle.height(0.0) - saddle.height(theta), want, 1e-2);
        close(saddle.height(0.0) - saddle.height(-theta), want, 1e-2);
    }
    // The flat sleeve, seam on the acute side, bears them: 73.36 a quarter of the way round.
    let sleeve = saddle.sleeve(200.0, BranchSeam::Acute).unwrap();
    let quarter = width_at(&sleeve, sleeve.length.mm_f64() / 4.0);
    close(quarter, 200.0 - saddle.height(0.0) + 73.36, 0.1);
}

/// Reducer, concentric: ducts of 8 and 5 in, 4 in apart, give radii of 11.39 and 7.12 in and a
/// sector of 126.4 degrees (ceemrr.com, The Net of a Frustum); ends of 6 and 3 in, 3 in high, have a
/// slant of sqrt(3^2 + 1.5^2) (Sheet Metal Drafting, Longfield 1921, p. 128).
#[test]
fn frustums() {
    let inches = Cone { large: 4.0, small: 2.5, height: 4.0 };
    let slope = inches.slant() / 1.5;
    close(inches.large * slope, 11.39, 6e-3);
    close(inches.small * slope, 7.12, 6e-3);
    close(inches.opening().to_degrees(), 126.4, 0.06);
    let other = Cone { large: 3.0, small: 1.5, height: 3.0 };
    close(other.slant(), libm::sqrt(11.25), 1e-12);
}

/// Reducer, eccentric: the lateral area of an oblique cone over a circle of radius `r`, apex `h` up
/// and `d` off the middle, is the integral of `sqrt((r - d sin t)^2 + h^2) r / 2` over a turn (Ask
/// Dr. Math, Lateral Area of Oblique Cones, 1998); a frustum has what is cut off less. Books with
/// worked drawings (Longfield 1921, chapter XIII; Kidder, Triangulation, 1920, chapters III and VI)
/// give lengths to be measured, no numbers.
#[test]
fn oblique_frustums() {
    for (large, small, height) in [(89.15, 62.15, 140.0), (170.0, 90.0, 330.0), (60.0, 55.0, 40.0)]
    {
        let (r, d, h) = (large, large, height * large / (large - small));
        let steps = 20_000_u32;
        let share = |i: u32| {
            let t = 2.0 * PI * f64::from(i) / f64::from(steps);
            libm::hypot(r - d * libm::sin(t), h) * r / 2.0
        };
        let cone: f64 = (0..steps).map(share).sum::<f64>() * 2.0 * PI / f64::from(steps);
        let frustum = cone * (1.0 - (small / large) * (small / large));
        let flat = Cone { large, small, height }.eccentric(Eccentric::all(1, true)[0]).unwrap();
        close(flat.area().mm2_f64() / frustum, 1.0, 4e-4);
    }
}

/// Sphere: 18 orange-peel sections of a sphere of radius `r` are `pi/2 r` high from the equator to
/// the pole, and at the n-th of 45 steps of 2 degrees as wide as at the equator times 0.9994,
/// 0.9976, .. 0.0698, 0.0349 (Math Central, University of Regina, question of Herman, 2008).
#[test]
fn sphere_in_sections() {
    let r = 4572.0; // 30 ft across
    let petal = Meridian::hemisphere(r).petal(18, 0.0, 0.01).unwrap();
    close(petal.length.mm_f64() / r, FRAC_PI_2, 1e-4);
    let step = petal.length.mm_f64() / 45.0;
    let equator = petal.width.mm_f64();
    // The equator as an arc, where the source has its chord, 2 sin(10 degrees).
    close(equator / r, PI / 9.0, 1e-4);
    for (n, share) in [(1.0, 0.9994), (2.0, 0.9976), (43.0, 0.0698), (44.0, 0.0349)] {
        // The pole is at the bottom of the flat piece.
        let width = width_at(&petal, petal.length.mm_f64() - n * step);
        close(width / equator, share, 6e-5);
    }
}

/// Bowl: a hemisphere has the area of a disc of radius `d / sqrt(2)` (Sheet and Plate Metal Work,
/// chestofbooks.com, Spherical Bowl).
#[test]
fn hemisphere_as_a_disc() {
    let (d, r) = (600.0, 600.0 / 2.0_f64.sqrt());
    let petals =
        Meridian::hemisphere(d / 2.0).petal(12, 0.0, 0.01).unwrap().area().mm2_f64() * 12.0;
    close(petals / disc(r, FINE).unwrap().area().mm2_f64(), 1.0, 3e-4);
}

/// Dished heads: torispherical, 2.54 m across, crown radius 1.039370079 and knuckle radius
/// 0.062362205 times that: 6.00394283477063 m2; ellipsoidal, 2 m across and 0.999 m deep:
/// 6.278996936093318 m2 (documented and tested values of `SA_torispheroidal` and
/// `SA_ellipsoidal_head` in the general-purpose library `fluids` for Python).
#[test]
fn dished_heads() {
    let d = 2540.0;
    let head = Meridian::torisphere(d / 2.0, 1.039_370_079 * d, 0.062_362_205 * d);
    close(head.area() / 1e6, 6.003_942_834_770_63, 2e-4);
    let petals = head.petal(16, 0.0, 0.01).unwrap().area().mm2_f64() * 16.0;
    close(petals / 1e6, 6.003_942_834_770_63, 1e-3);
    close(ellipsoid_area(1.0, 0.999), 6.278_996_936_093_318, 1e-9);
}

/// Disc in strips: a segment of a circle has `r^2 acos(d/r) - d sqrt(r^2 - d^2)` beyond a chord at
/// the distance `d` (closed form in any table of integrals; no worked example was found).
#[test]
fn disc_in_strips() {
    let (r, parts) = (1200.0_f64, 3);
    let all = strips(r, parts, FINE).unwrap();
    let d = r / 3.0;
    let segment = r * r * libm::acos(d / r) - d * libm::sqrt(r * r - d * d);
    let area = |flat: &Flat| flat.area().mm2_f64();
    let outer = all.iter().map(area).fold(f64::INFINITY, f64::min);
    close(outer / segment, 1.0, 1e-3);
    let whole: f64 = all.iter().map(area).sum();
    close(whole / (PI * r * r), 1.0, 1e-4);
}

/// How wide a flat piece is across at `y` mm from its lower end.
fn width_at(flat: &Flat, y: f64) -> f64 {
    let corners = flat.outline.as_ref().unwrap().corners();
    let mut crossed: Vec<f64> = Vec::new();
    for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        let at = |p: &Point| (p.x.mm_f64(), p.y.mm_f64());
        let ((x0, y0), (x1, y1)) = (at(a), at(b));
        if (y0 > y) != (y1 > y) {
            crossed.push(x0 + (x1 - x0) * (y - y0) / (y1 - y0));
        }
    }
    let most = crossed.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    most - crossed.iter().copied().fold(f64::INFINITY, f64::min)
}

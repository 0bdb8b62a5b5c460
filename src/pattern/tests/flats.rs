use super::super::disc::{disc, ring_sector, strips};
use super::super::flange::{Cover, bolt_clearance};
use super::{HALF, close, layer};
use crate::takeoff::{Bare, Flange, Size, Valve};
use crate::units::Length;
use std::f64::consts::PI;

const QUARTER: Length = Length::from_nm(250_000);

/// TV18: a full circle of 89.15 mm within half a millimetre needs 30 edges (by chords).
#[test]
fn tv18_edges_of_a_circle() {
    let off = |n: f64| 89.15 * (1.0 - libm::cos(PI / n));
    assert!(off(30.0) <= 0.5 && off(29.0) > 0.5);
    // Drawn by tangents, a disc is no smaller than its circle and no further off than allowed.
    let piece = disc(89.15, Length::from_nm(500_000)).unwrap();
    let circle = PI * 89.15 * 89.15;
    let area = piece.area().mm2_f64();
    assert!(area >= circle && area <= circle + 2.0 * PI * 89.65 * 0.5, "{area}");
}

/// TV24: a disc of 2400 mm in two strips.
#[test]
fn tv24_a_disc_in_strips() {
    for parts in [2, 3, 4] {
        let all = strips(1200.0, parts, QUARTER).unwrap();
        let area: f64 = all.iter().map(|f| f.area().mm2_f64()).sum();
        assert!((area / 4_523_893.421_2 - 1.0).abs() < 3e-4, "{area}");
        assert!(area >= 4_523_893.421_2);
        let widths: f64 = all.iter().map(|f| f.width.mm_f64()).sum();
        close(widths, 2400.0, 1.5);
    }
}

/// TV19: NPS 6 Class 150 (B16.5: diameter 279.4, thickness 25.4, studs 100), pipe insulation 30 mm
/// in 10 mm layers, 3 mm gasket.
fn six_inch() -> Flange {
    Flange {
        size: Size { text: "NPS 6".into(), od: Length::from_nm(168_300_000), nps_64ths: Some(384) },
        diameter: Length::from_nm(279_400_000),
        thickness: Length::from_nm(25_400_000),
        stud: Length::from_mm(100),
        gasket: Length::from_mm(3),
        bare: Bare::Covered,
    }
}

#[test]
fn tv19_flange_cover() {
    let flange = six_inch();
    let cover = Cover::of_flange(&flange, [Length::from_mm(30); 2], Length::from_mm(10));
    assert_eq!(bolt_clearance(&flange), Length::from_mm(125));
    close(cover.body.mm_f64(), 403.8, 1e-9);
    assert_eq!(cover.sides[0], cover.sides[1]);
    assert_eq!(cover.sides[0].shoulder_layers, 3); // TV19b
    close(cover.sides[0].insulation.mm_f64(), 228.3, 1e-9);
    for (under, length) in [(22830, 748.64), (24830, 811.47), (26830, 874.31), (28830, 937.14)] {
        close(layer(under, 10, HALF).stretch_out(), length, 6e-3);
    }
    assert_eq!(cover.under, Length::from_nm(288_300_000));
    // TV19c: the end ring.
    let half = ring_sector(174.15, 114.15, 2, Length::from_nm(1_000)).unwrap();
    close(half.area().mm2_f64() * 2.0, 54_343.269_7, 2.0);
}

/// By hand: 20 mm on one pipe of 168.3 and 30 mm on the other. 279.4 - 208.3 = 71.1 is four strips of
/// 20 in diameter, 288.3; 279.4 - 228.3 = 51.1 is three, 288.3. Pipe far thicker than the flange on one
/// side raises the other side's shoulder to it: 168.3 + 2 * 80 = 328.3; 328.3 - 208.3 = 120, six.
#[test]
fn each_side_of_a_cover_is_fitted_to_its_own_pipe() {
    let mm = Length::from_mm;
    let of = |one: i64, other: i64| Cover::of_flange(&six_inch(), [mm(one), mm(other)], mm(10));
    let cover = of(20, 30);
    assert_eq!(cover.sides.map(|side| side.shoulder_layers), [4, 3]);
    assert_eq!(cover.sides.map(|side| side.insulation.nm()), [208_300_000, 228_300_000]);
    assert_eq!(cover.under, Length::from_nm(288_300_000));
    let cover = of(20, 80);
    assert_eq!(cover.sides.map(|side| side.shoulder_layers), [6, 0]);
    assert_eq!(cover.under, Length::from_nm(328_300_000));
    // Flanges stay in the middle: 25.4 + 125 + 80 on both sides, 3 between.
    close(cover.body.mm_f64(), 463.8, 1e-9);
}

/// TV23: Class 150 gate, face to face 267 mm (B16.10).
#[test]
fn tv23_valve_cover() {
    let valve = Valve {
        flange: six_inch(),
        face_to_face: Length::from_mm(267),
        bonnet: Length::from_mm(200),
        bonnet_height: Length::from_mm(400),
    };
    let cover = Cover::of_valve(&valve, [Length::from_mm(30); 2], Length::from_mm(10));
    close(cover.body.mm_f64(), 673.8, 1e-9);
}

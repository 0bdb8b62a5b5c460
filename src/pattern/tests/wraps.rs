use super::super::wrap::{Layer, spiral_bound, turns_length};
use super::{HALF, close, layer};
use crate::rules::Wrap;
use crate::takeoff::Build;
use crate::units::{Decimal, Length};

const NPS6: i64 = 16830;

#[test]
fn tv1_stretch_outs_by_wrap_factor() {
    let rows = [
        ("TV1.L1", 16830, [528.7300, 560.1460, 591.5619]),
        ("TV1.L2", 18830, [591.5619, 622.9778, 654.3937]),
        ("TV1.L3", 20830, [654.3937, 685.8097, 717.2256]),
    ];
    for (id, under, expected) in rows {
        for (k, want) in [0, HALF, 2 * HALF].into_iter().zip(expected) {
            let found = layer(under, 10, k).stretch_out();
            assert!((found - want).abs() < 6e-5, "{id} k={k}: {found}");
        }
    }
}

#[test]
fn tv2_middle_factor_keeps_the_annulus() {
    for (under, want) in [(16830, 5601.4597), (18830, 6229.7782), (20830, 6858.0968)] {
        let one = layer(under, 10, HALF);
        close(one.stretch_out() * 10.0, want, 6e-5);
        let radii = (one.over().mm_f64() / 2.0, one.under.mm_f64() / 2.0);
        let annulus = std::f64::consts::PI * (radii.0 * radii.0 - radii.1 * radii.1);
        close(one.stretch_out() * 10.0, annulus, 1e-8);
    }
}

#[test]
fn tv3_a_mixed_build_adds_up() {
    let mm = Length::from_mm;
    let build = Build(vec![mm(5), mm(10), mm(10)]);
    let layers = Layer::stack(Length::from_nm(60_300_000), &build, &Wrap::default());
    close(layers.iter().map(Layer::stretch_out).sum(), 772.5176, 6e-5);
    assert_eq!(layers[2].over(), Length::from_nm(110_300_000));
    let section = layers.iter().map(|l| l.stretch_out() * l.thickness.mm_f64()).sum();
    close(section, 6699.4463, 6e-5); // TV3b
}

#[test]
fn tv4_several_turns_of_one_piece() {
    let od = Length::from_nm(NPS6 * 10_000);
    let five = Length::from_mm(5);
    close(turns_length(od, five, 3, Decimal::from_millionths(HALF)), 1727.5618, 6e-5);
    close(spiral_bound(od, five, 3), 1774.6857, 6e-5); // TV4b
}

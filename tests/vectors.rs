//! The shop's file of worked vectors itself, where it is at hand: the same rows computed here.

#![expect(clippy::print_stderr, reason = "a skipped test must say so")]

use rollwright::pattern::bend::Bend;
use rollwright::pattern::wrap::{Layer, spiral_bound, turns_length};
use rollwright::units::{Decimal, Length};
use std::collections::BTreeMap;
use std::f64::consts::{FRAC_PI_2, PI};
use std::path::Path;

const HALF: i64 = 500_000;

type Row = (&'static str, f64);

/// A layer by its diameter beneath, in hundredths of a millimetre, and thickness in mm.
fn layer(under_hundredths: i64, thickness: i64, factor_millionths: i64) -> Layer {
    Layer {
        under: Length::from_nm(under_hundredths * 10_000),
        thickness: Length::from_mm(thickness),
        factor: Decimal::from_millionths(factor_millionths),
    }
}

/// Numbers computed here, by row.
fn computed() -> Vec<Row> {
    let od = Length::from_nm(168_300_000);
    let five = Length::from_mm(5);
    let first = layer(16830, 10, HALF);
    let r = first.mid_radius();
    let bend = Bend { radius: 228.6, angle: FRAC_PI_2, units: 6 };
    let x = bend.unit() / 2.0;
    let a = bend.radius * libm::tan(x);
    vec![
        ("TV1.L1.k0", layer(16830, 10, 0).stretch_out()),
        ("TV1.L1.k0.5", first.stretch_out()),
        ("TV1.L1.k1", layer(16830, 10, 2 * HALF).stretch_out()),
        ("TV1.L2.k0", layer(18830, 10, 0).stretch_out()),
        ("TV1.L2.k0.5", layer(18830, 10, HALF).stretch_out()),
        ("TV1.L2.k1", layer(18830, 10, 2 * HALF).stretch_out()),
        ("TV1.L3.k0", layer(20830, 10, 0).stretch_out()),
        ("TV1.L3.k0.5", layer(20830, 10, HALF).stretch_out()),
        ("TV1.L3.k1", layer(20830, 10, 2 * HALF).stretch_out()),
        ("TV4", turns_length(od, five, 3, Decimal::from_millionths(HALF))),
        ("TV4b", spiral_bound(od, five, 3)),
        ("TV5", 4.0 * PI * r * a),
        ("TV6", libm::tan(x) / x),
        ("TV8", first.stretch_out() * 12.0 * a),
        ("TV10", r / (bend.radius + r)),
        ("TV22", 12.0 * a),
    ]
}

#[test]
fn rows_of_the_file_agree() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/domain/vectors.csv");
    if !path.exists() {
        eprintln!("SKIPPED: {} is not here", path.display());
        return;
    }
    let mut rows = BTreeMap::new();
    let mut reader = csv::Reader::from_path(&path).unwrap();
    for row in reader.records() {
        let row = row.unwrap();
        let routes: [f64; 2] = [2, 3].map(|i| row[i].trim().parse().unwrap());
        rows.insert(row[0].to_owned(), routes);
    }
    let mut compared = 0;
    for (id, value) in computed() {
        let routes = rows.get(id).unwrap_or_else(|| panic!("row {id} is missing"));
        let near = routes.iter().any(|v| (v - value).abs() < 1e-4 * (1.0 + v.abs() * 1e-3));
        assert!(near, "{id}: {value} against {routes:?}");
        compared += 1;
    }
    assert!(compared >= 16, "only {compared} rows compared");
}

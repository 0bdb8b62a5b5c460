//! The shop's file of worked vectors itself, where it is at hand: the same rows computed here.
//!
//! Not compared: the two rows on rows of interlocked gores and the one on their gap (`TV7`, `TV7b`,
//! `TV9`), which are the nest's, and the four on counts of chords (`TV18`), which are identities.

#![expect(clippy::print_stderr, reason = "a skipped test must say so")]
#![expect(clippy::unwrap_used, reason = "a pattern that cannot be made should stop the test")]

use rollwright::pattern::bend::{Bend, Edge, Gore};
use rollwright::pattern::cone::{Cone, Eccentric};
use rollwright::pattern::dome::{Meridian, ellipsoid_area};
use rollwright::pattern::flange::Cover;
use rollwright::pattern::gore::{BendLayer, SeamAt};
use rollwright::pattern::saddle::{BranchSeam, Saddle, hole_area};
use rollwright::pattern::wrap::{Layer, spiral_bound, turns_length};
use rollwright::pattern::{Flat, MarkKind, disc};
use rollwright::takeoff::{Bare, Flange, Size, Valve};
use rollwright::units::{Decimal, Length};
use std::collections::BTreeMap;
use std::f64::consts::{FRAC_PI_2, PI};
use std::path::Path;

const HALF: i64 = 500_000;

/// A row, the number computed here, and how far it may be off: polygons stand for curves, and the
/// file's second route is a mesh for some rows.
type Row = (&'static str, f64, f64);

/// A layer by its diameter beneath, in hundredths of a millimetre, and thickness in mm.
fn layer(under_hundredths: i64, thickness: i64, factor_millionths: i64) -> Layer {
    Layer {
        under: Length::from_nm(under_hundredths * 10_000),
        thickness: Length::from_mm(thickness),
        factor: Decimal::from_millionths(factor_millionths),
    }
}

fn fine() -> Length {
    Length::from_nm(1000)
}

fn area(flat: &Flat) -> f64 {
    flat.area().mm2_f64()
}

/// Relative tolerance of numbers that are computed from one formula.
const EXACT: f64 = 1e-6;

/// Layers and turns.
fn wraps() -> Vec<Row> {
    let od = Length::from_nm(168_300_000);
    let five = Length::from_mm(5);
    let mut rows = vec![
        ("TV1.L1.k0", layer(16830, 10, 0).stretch_out(), EXACT),
        ("TV1.L1.k0.5", layer(16830, 10, HALF).stretch_out(), EXACT),
        ("TV1.L1.k1", layer(16830, 10, 2 * HALF).stretch_out(), EXACT),
        ("TV1.L2.k0", layer(18830, 10, 0).stretch_out(), EXACT),
        ("TV1.L2.k0.5", layer(18830, 10, HALF).stretch_out(), EXACT),
        ("TV1.L2.k1", layer(18830, 10, 2 * HALF).stretch_out(), EXACT),
        ("TV1.L3.k0", layer(20830, 10, 0).stretch_out(), EXACT),
        ("TV1.L3.k0.5", layer(20830, 10, HALF).stretch_out(), EXACT),
        ("TV1.L3.k1", layer(20830, 10, 2 * HALF).stretch_out(), EXACT),
        ("TV4", turns_length(od, five, 3, Decimal::from_millionths(HALF)), EXACT),
        ("TV4b", spiral_bound(od, five, 3), EXACT),
    ];
    let tens = [16830, 18830, 20830].map(|under| layer(under, 10, HALF).stretch_out() * 10.0);
    rows.extend(["TV2.L1", "TV2.L2", "TV2.L3"].into_iter().zip(tens).map(|(id, a)| (id, a, EXACT)));
    let small = [layer(6030, 5, HALF), layer(7030, 10, HALF), layer(9030, 10, HALF)];
    rows.push(("TV3", small.iter().map(Layer::stretch_out).sum(), EXACT));
    let sections = small.iter().map(|l| l.stretch_out() * l.thickness.mm_f64());
    rows.push(("TV3b", sections.sum(), EXACT));
    rows
}

/// Gores.
fn gores() -> Vec<Row> {
    let first = layer(16830, 10, HALF);
    let r = first.mid_radius();
    let bend = Bend { radius: 228.6, angle: FRAC_PI_2, units: 6 };
    let x = bend.unit() / 2.0;
    let (a, b) = (bend.radius * libm::tan(x), r * libm::tan(x));
    let whole = Gore { first: Edge::Mitre(x), second: Edge::Mitre(x) };
    let gore = |bend: Bend, layer: &Layer, gore: &Gore| {
        let laid = BendLayer::new(bend, layer, 1, fine()).unwrap();
        laid.gore(gore, SeamAt::Throat, Length::ZERO).unwrap().remove(0)
    };
    let piece = gore(bend, &first, &whole);
    // NPS 1 long radius, r = 41.7 mm: beyond the bend's axis.
    let thick = layer(7340, 10, HALF);
    let tight = Bend { radius: 38.1, angle: FRAC_PI_2, units: 4 };
    let half = Edge::Mitre(tight.unit() / 2.0);
    let lens = gore(tight, &thick, &Gore { first: half, second: half });
    vec![
        ("TV5", area(&piece), 1e-5),
        ("TV5b", area(&piece), 1e-5),
        ("TV6", libm::tan(x) / x, EXACT),
        ("TV6b", first.stretch_out() * 228.6 * FRAC_PI_2, 1e-5),
        ("TV8", area(&piece) * 6.0, 1e-5),
        ("TV8b", first.stretch_out() * 12.0 * a, EXACT),
        ("TV10", r / (bend.radius + r), EXACT),
        ("TV10b", 2.0 * b * (1.0 - libm::cos(25.0 / first.wrap_radius())), 1e-4),
        ("TV20", Bend { radius: r, ..bend }.throat(r), EXACT),
        ("TV21", area(&lens), 1e-4),
        ("TV22", 12.0 * a, EXACT),
    ]
}

/// Branches.
fn saddles() -> Vec<Row> {
    let (run, branch) = (layer(16830, 10, HALF), layer(8890, 10, HALF));
    let saddle = Saddle::new(&run, &branch, rollwright::units::Angle::QUARTER);
    let (a, b) = (run.mid_radius(), branch.mid_radius());
    let neck =
        Saddle { run: 149.15, branch: 109.55, run_wrap: 149.15, branch_wrap: 109.55, ..saddle };
    let equal = Saddle::new(&run, &run, rollwright::units::Angle::QUARTER);
    // What the branch's cover loses below the highest point of its saddle, less nothing.
    let plain = 2.0 * PI * a * 200.0;
    let lost = plain - area(&equal.sleeve(200.0, BranchSeam::Acute).unwrap());
    vec![
        ("TV11", saddle.height(0.0) - saddle.height(FRAC_PI_2), EXACT),
        ("TV11b", hole_area(a, b), 1e-5),
        ("TV12", hole_area(a, a), 1e-5),
        ("TV12b", lost, 2e-3),
        ("TV13", area(&saddle.sleeve(124.0, BranchSeam::Acute).unwrap()), 1e-3),
        ("TV23b", neck.around(FRAC_PI_2), EXACT),
    ]
}

/// Reducers, heads, discs.
fn rounds() -> Vec<Row> {
    let (large, small) = (layer(16830, 10, HALF), layer(11430, 10, HALF));
    let cone = Cone { large: large.wrap_radius(), small: small.wrap_radius(), height: 140.0 };
    let flat = cone.concentric(1, fine()).unwrap();
    let oblique = cone.eccentric(Eccentric::all(1, true)[0]).unwrap();
    let long = |word: &str| {
        let mark = oblique.marks.iter().find(|m| m.kind == MarkKind::Size && m.word == word);
        let mark = mark.unwrap();
        let (dx, dy) = (mark.to.x - mark.from.x, mark.to.y - mark.from.y);
        libm::hypot(dx.mm_f64(), dy.mm_f64())
    };
    let head = Meridian::ellipsoid(755.0, 380.0);
    let petals = head.petal(12, 0.0, 0.01).unwrap();
    let sphere = Meridian::hemisphere(1005.0).petal(10, 0.0, 0.01).unwrap();
    let strips = disc::strips(1200.0, 2, fine()).unwrap();
    let ring = disc::ring_sector(348.3 / 2.0, 228.3 / 2.0, 2, fine()).unwrap();
    vec![
        ("TV14", area(&flat), 1e-5),
        ("TV14b", cone.opening() * cone.large * cone.slant() / (cone.large - cone.small), EXACT),
        ("TV14c", area(&flat), 1e-5),
        ("TV15", area(&oblique), 3e-4),
        ("TV15b", long("seam on the flat side"), EXACT),
        ("TV15c", long("long side"), 1e-5),
        ("TV16", ellipsoid_area(755.0, 380.0), EXACT),
        ("TV16b", head.length(), EXACT),
        ("TV16c", area(&petals) * 12.0, 1e-4),
        ("TV16d", ellipsoid_area(0.5, 0.25), 1e-4),
        ("TV17", area(&sphere) * 20.0, 1e-4),
        ("TV19c", area(&ring) * 2.0, 1e-4),
        ("TV24", strips.iter().map(area).sum(), 1e-5),
    ]
}

/// Flange and valve covers.
fn covers() -> Vec<Row> {
    let nm = Length::from_nm;
    let od = nm(168_300_000);
    let flange = Flange {
        size: Size { text: "NPS 6".to_owned(), od, nps_64ths: Some(384) },
        diameter: nm(279_400_000),
        thickness: nm(25_400_000),
        stud: Length::from_mm(100),
        gasket: Length::from_mm(3),
        bare: Bare::Covered,
    };
    let valve = Valve {
        flange: flange.clone(),
        face_to_face: Length::from_mm(267),
        bonnet: Length::ZERO,
        bonnet_height: Length::ZERO,
    };
    let (pipes, strip) = ([Length::from_mm(30); 2], Length::from_mm(10));
    let cover = Cover::of_flange(&flange, pipes, strip);
    vec![
        ("TV19", cover.body.mm_f64(), EXACT),
        ("TV19b", f64::from(cover.sides[0].shoulder_layers), EXACT),
        ("TV23", Cover::of_valve(&valve, pipes, strip).body.mm_f64(), EXACT),
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
    let all = [wraps(), gores(), saddles(), rounds(), covers()].concat();
    for (id, value, relative) in &all {
        let routes = rows.get(*id).unwrap_or_else(|| panic!("row {id} is missing"));
        let near = routes.iter().any(|v| (v - value).abs() < 1e-4 + relative * v.abs());
        assert!(near, "{id}: {value} against {routes:?}");
    }
    assert!(all.len() >= 48, "only {} rows compared", all.len());
}

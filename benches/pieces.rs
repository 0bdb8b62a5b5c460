//! How long a takeoff of 10,000 lines takes to become pieces; the target is under 1 s.
//!
//! The lines are made by a fixed rule: runs of 4,000 different lengths between elbows of 24 sizes
//! and builds, with tees, reducers, caps and flanges among them. Prints seconds, pieces and memory
//! of the outlines; `cargo bench --bench pieces`.

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

use rollwright::demand::expand;
use rollwright::finding::Place;
use rollwright::rules::Rules;
use rollwright::stock::{Roll, Stock, Terms};
use rollwright::takeoff::{
    Bare, Build, Cap, Elbow, Flange, Item, Kind, Measure, Pipe, Reducer, Size, Takeoff, Tee,
};
use rollwright::units::{Angle, Length};
use std::time::Instant;

/// Outside diameter in hundredths of a millimetre (ASME B36.10M) and NPS times 100.
const SIZES: [(i64, i64); 8] = [
    (3340, 100),
    (6030, 200),
    (8890, 300),
    (11430, 400),
    (16830, 600),
    (21910, 800),
    (32390, 1200),
    (50800, 2000),
];
const BUILDS: [&[i64]; 3] = [&[10], &[5, 10], &[10, 10, 10]];

fn size(n: usize) -> Size {
    let od = Length::from_nm(SIZES[n].0 * 10_000);
    Size { text: format!("OD {od}"), od, nps_64ths: None }
}

fn kind(i: usize, n: usize) -> Kind {
    let nps = Length::from_nm(SIZES[n].1 * 254_000);
    let length = Length::from_mm(600 + i64::try_from(i * 37 % 8000).unwrap_or(0));
    match i % 20 {
        1 | 5 | 9 | 13 => {
            let radius = Length::from_nm(nps.nm() * 3 / 2);
            Kind::Elbow(Elbow {
                size: size(n),
                angle: Angle::QUARTER,
                radius,
                straight: Length::ZERO,
            })
        }
        3 => Kind::Tee(Tee {
            run: size(n),
            branch: size(n),
            angle: Angle::QUARTER,
            centre_to_end: nps,
            acute_end: nps,
            branch_height: nps,
        }),
        7 if n > 0 => {
            let (large, small) = (size(n), size(n - 1));
            Kind::Reducer(Reducer { large, small, length: nps, eccentric: i % 40 == 7 })
        }
        11 => Kind::Cap(Cap { size: size(n), length: Length::from_nm(nps.nm() / 2) }),
        15 => Kind::Flange(Flange {
            size: size(n),
            diameter: size(n).od + Length::from_mm(110),
            thickness: Length::from_mm(25),
            stud: Length::from_mm(100),
            gasket: Length::from_mm(3),
            bare: Bare::Covered,
        }),
        _ => {
            let ends = [i.wrapping_sub(1), i + 1].iter().map(|j| format!("I{j}")).collect();
            let (measure, vertical) = (Measure::Net, i.is_multiple_of(7));
            Kind::Pipe(Pipe { size: size(n), length, measure, vertical, ends })
        }
    }
}

fn main() {
    let items = (0..10_000).map(|i| {
        let n = i / 20 % SIZES.len();
        Item {
            id: format!("I{i}"),
            area: String::new(),
            line: String::new(),
            kind: kind(i, n),
            quantity: 1,
            build: Build(BUILDS[i / 160 % 3].iter().map(|&t| Length::from_mm(t)).collect()),
            release: 0,
            note: String::new(),
            pinned: false,
            place: Place::line("takeoff.csv", 2),
        }
    });
    let takeoff = Takeoff { items: items.collect() };
    let roll = |thickness: i64, width: i64| Roll {
        id: format!("R{thickness}-{width}"),
        thickness: Length::from_mm(thickness),
        width: Length::from_mm(width),
        length: Length::from_mm(40_000),
        price: None,
        available: None,
        offered: true,
        courses: true,
        terms: Terms::default(),
        place: Place::default(),
    };
    let stock = Stock { rolls: vec![roll(5, 1500), roll(10, 1500)], offcuts: Vec::new() };
    let start = Instant::now();
    let (demand, findings) = expand(&takeoff, &stock, &Rules::default());
    let seconds = start.elapsed().as_secs_f64();
    let Some(demand) = demand else {
        for finding in findings.iter().take(5) {
            println!("{finding}");
        }
        return;
    };
    let pieces: u64 = demand.pieces.iter().map(|p| p.quantity).sum();
    let corners: usize =
        demand.pieces.iter().filter_map(|p| p.outline.as_ref()).map(|o| o.corners().len()).sum();
    println!(
        "10000 lines: {seconds:.3} s, {pieces} pieces in {} entries, {} joints, {} steps, {} \
         findings, {corners} corners",
        demand.pieces.len(),
        demand.joints.len(),
        demand.schedule.len(),
        findings.len()
    );
}

//! Jobs in which small rectangles go into the hollows of curved pieces, made here.
//!
//! Necks: halves of valve bodies in eight sizes, a box with the neck of a bonnet cut out at its far end and
//! another of half its width at its near end, and bands and patches of 60 to 300 mm. Gores: lenses and waists
//! of elbows in six lengths, whose trains leave room at their ends, with the same bands. Sizes grow by odd
//! steps, so that few fit exactly.

use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::geometry::{Outline, Point};
use rollwright::nest::{Instance, Piece, Roll};
use rollwright::units::{Angle, Length, Money};

/// Both jobs, on a roll without end, in two and three stages.
pub fn instances() -> Vec<Instance> {
    let necks: Vec<Piece> = (0..8).filter_map(neck).chain(bands(40)).collect();
    let gores: Vec<Piece> = (0..12).filter_map(gore).chain(bands(24)).collect();
    let mut made = Vec::new();
    for stages in [2, 3] {
        made.push(instance(&format!("hollows of necks, {stages} stages"), necks.clone(), stages));
        made.push(instance(&format!("hollows of gores, {stages} stages"), gores.clone(), stages));
    }
    made
}

fn instance(name: &str, pieces: Vec<Piece>, stages: u8) -> Instance {
    Instance {
        name: name.to_owned(),
        rolls: vec![Roll {
            id: "R".to_owned(),
            width: Length::from_mm(1500),
            length: None,
            price: Money::from_units(1),
            available: None,
        }],
        pieces,
        cutting: Cutting {
            style: Style::Straight,
            stages: Some(stages),
            pull_limit: Some(Length::from_mm(4000)),
            square_cut: Length::ZERO,
            edge_trim: Length::from_mm(5),
            gap: Length::ZERO,
        },
        objective: Objective::Length,
        published: None,
    }
}

fn curved(id: String, corners: Vec<Point>, quantity: u64) -> Option<Piece> {
    let outline = Outline::new(corners).ok()?;
    let (width, length) = outline.size();
    let turns = Turns::Only([0, 90, 180, 270].map(Angle::from_degrees).to_vec());
    Some(Piece { id, width, length, outline: Some(outline), quantity, turns })
}

/// Half a valve's body.
fn neck(size: i64) -> Option<Piece> {
    let (width, length) = (420 + 57 * size, 330 + 41 * size);
    let (wide, deep) = (170 + 31 * size, 120 + 17 * size);
    let (left, low) = ((width - wide) / 2, (width - wide / 2) / 2);
    let corners = [
        (0, 0),
        (low, 0),
        (low, deep / 2),
        (low + wide / 2, deep / 2),
        (low + wide / 2, 0),
        (width, 0),
        (width, length),
        (left + wide, length),
        (left + wide, length - deep),
        (left, length - deep),
        (left, length),
        (0, length),
    ];
    let point = |(x, y)| Point::new(Length::from_mm(x), Length::from_mm(y));
    curved(format!("n{size}"), corners.map(point).to_vec(), 12)
}

/// A gore: a lens, or every second time a waist.
fn gore(number: i64) -> Option<Piece> {
    let (length, mean, swing) =
        (700 + 83 * (number / 2), 95 + 4 * (number / 2), 42 + 3 * (number / 2));
    let sign = if number % 2 == 0 { 1.0 } else { -1.0 };
    let edges = 24_i32;
    let half = |k: i32| {
        let wave = libm::cos(2.0 * std::f64::consts::PI * (f64::from(k) / f64::from(edges) - 0.5));
        let half = Length::from_mm(mean).mm_f64() + sign * Length::from_mm(swing).mm_f64() * wave;
        Length::from_mm_f64_nearest(half).unwrap_or(Length::ZERO)
    };
    let along = |k: i32| Length::from_nm(length * 1_000_000 * i64::from(k) / i64::from(edges));
    let right = (0..=edges).map(|k| Point::new(half(k), along(k)));
    let left = (0..=edges).rev().map(|k| Point::new(-half(k), along(k)));
    curved(format!("g{number}"), right.chain(left).collect(), 9)
}

/// Bands and patches.
fn bands(quantity: u64) -> impl Iterator<Item = Piece> {
    (0..8_i64).map(move |number| Piece {
        id: format!("b{number}"),
        width: Length::from_mm(60 + 23 * number),
        length: Length::from_mm(62 + 37 * ((number * 3) % 8)),
        outline: None,
        quantity,
        turns: Turns::quarter(),
    })
}

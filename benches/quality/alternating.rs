//! Elbows with alternating seams, made by the project's own patterns: the gores of `one24` in
//! `gores_1.json` once more, every second one with its seam at the heel.
//!
//! One layer of ten NPS 24 long-radius elbows: mid radius 315 mm, bend radius 914.4 mm, 7.5 degrees a
//! gore. A chain of throat and heel in turn takes `2a = 119.87` mm a gore and `2b = 41.29` more for its
//! outer edges; with half gores at its ends, none: twelve gores are the rectangle of an elbow.

use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::nest::{Instance, Piece, Roll};
use rollwright::pattern::PatternError;
use rollwright::pattern::bend::{Arrangement, Bend, Gore};
use rollwright::pattern::gore::{BendLayer, SeamAt};
use rollwright::pattern::wrap::Layer;
use rollwright::units::{Angle, Decimal, Length, Money};
use std::f64::consts::FRAC_PI_2;

/// Gores of a bend of 90 degrees.
const GORES: u32 = 12;
/// Elbows.
const ELBOWS: u64 = 10;

/// The instances: whole gores on the roll of `one24`, on one that twelve of them fill, and elbows with
/// half gores at their ends.
pub fn instances() -> Vec<Instance> {
    let whole = gores(Arrangement::WholeEnds).unwrap_or_default();
    let halves = gores(Arrangement::HalfEnds).unwrap_or_default();
    let made = [
        ("alternating one24", whole.clone(), 1500, Style::Free),
        ("alternating one24, 1480 mm", whole.clone(), 1480, Style::Free),
        ("alternating one24, straight", whole, 1500, Style::Straight),
        ("alternating one24, half gores", halves.clone(), 1500, Style::Free),
        ("alternating one24, half gores, straight", halves, 1500, Style::Straight),
    ];
    made.into_iter()
        .map(|(name, pieces, width, style)| instance(name, pieces, width, style))
        .collect()
}

fn instance(name: &str, pieces: Vec<Piece>, width: i64, style: Style) -> Instance {
    let straight = style == Style::Straight;
    Instance {
        name: name.to_owned(),
        rolls: vec![Roll {
            id: "R".to_owned(),
            width: Length::from_mm(width),
            length: None,
            price: Money::from_units(1),
            available: None,
        }],
        pieces,
        cutting: Cutting {
            style,
            stages: straight.then_some(3),
            pull_limit: straight.then(|| Length::from_mm(4000)),
            square_cut: Length::ZERO,
            edge_trim: Length::ZERO,
            gap: Length::ZERO,
        },
        objective: Objective::Length,
        published: None,
    }
}

/// The gores of all elbows, like ones together.
fn gores(arrangement: Arrangement) -> Result<Vec<Piece>, PatternError> {
    let bend = Bend { radius: 914.4, angle: FRAC_PI_2, units: GORES };
    let ten = Length::from_mm(10);
    let factor = Decimal::from_millionths(500_000);
    let layer = Layer { thickness: ten, under: Length::from_mm(620), factor };
    let flat = BendLayer::new(bend, &layer, 1, Length::from_nm(250_000))?;
    let mut kinds: Vec<(Gore, SeamAt, u64)> = Vec::new();
    for (at, gore) in bend.gores(arrangement, [None, None]).into_iter().enumerate() {
        let (gore, seam) = (gore.canonical(), [SeamAt::Throat, SeamAt::Heel][at % 2]);
        match kinds.iter_mut().find(|kind| (kind.0, kind.1) == (gore, seam)) {
            Some(kind) => kind.2 += ELBOWS,
            None => kinds.push((gore, seam, ELBOWS)),
        }
    }
    let mut pieces = Vec::new();
    for (at, (gore, seam, quantity)) in kinds.into_iter().enumerate() {
        for flat in flat.gore(&gore, seam, Length::ZERO)? {
            let size = flat.outline.as_ref().map(rollwright::geometry::Outline::size);
            let (width, length) = size.unwrap_or((flat.width, flat.length));
            pieces.push(Piece {
                id: format!("g{at}"),
                width,
                length,
                outline: flat.outline,
                quantity,
                turns: Turns::Only([0, 90, 180, 270].map(Angle::from_degrees).to_vec()),
            });
        }
    }
    Ok(pieces)
}

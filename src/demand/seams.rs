//! Longitudinal seams round a run.
//!
//! Seams of neighbouring layers lie at least the stagger apart, measured as an arc on the surface
//! between the two layers (the diameter under the outer one). A layer's seam goes opposite the one
//! beneath: there the arc is greatest, and from the side of the pipe it reaches the other side, so
//! no seam lies at the top or the bottom. Where the specification starts at the top or bottom, the
//! next layer turns by a quarter if the arc allows. Where even half the girth is less than the
//! stagger (`Du < 2 s / pi`), opposite is the best there is.
//!
//! A ring of several pieces has its seams evenly round; the next layer's lie halfway between, or a
//! quarter of the way where that keeps them off top and bottom.
//!
//! Sources: opposite or quarter turns, clear of top and bottom: common practice, no source; the
//! limit: derived.

use super::kit::Kit;
use super::shop::Shop;
use crate::finding::codes::demand as codes;
use crate::pattern::wrap::Layer;
use crate::units::{Angle, Length};
use std::f64::consts::PI;

/// A full turn in microdegrees.
pub const FULL: i64 = 360_000_000;

/// The seams of one layer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seams {
    /// Their positions, clockwise from the top looking along the run, in increasing order.
    pub at: Vec<Angle>,
    /// The arc to the seams of the layer beneath, where it is less than the stagger.
    pub short: Option<Length>,
}

/// Places the seams of every layer; every ring has `parts` pieces.
#[must_use]
pub fn place(layers: &[Layer], parts: u32, first: Angle, stagger: Length) -> Vec<Seams> {
    let parts = i64::from(parts.max(1));
    let pitch = FULL / parts;
    let mut base = first.microdegrees().rem_euclid(FULL);
    let mut all = Vec::with_capacity(layers.len());
    for (i, layer) in layers.iter().enumerate() {
        let mut short = None;
        if i > 0 {
            let turn = next_turn(base, pitch, layer, stagger);
            base = (base + turn).rem_euclid(FULL);
            let arc = arc(layer, turn.min(pitch - turn));
            short = (arc < stagger).then_some(arc);
        }
        let mut at: Vec<i64> = (0..parts).map(|j| (base + j * pitch).rem_euclid(FULL)).collect();
        at.sort_unstable();
        all.push(Seams { at: at.into_iter().map(Angle::from_microdegrees).collect(), short });
    }
    all
}

/// Says of the first layer whose seams come closer to those beneath than the stagger.
pub fn remark(kit: &mut Kit, layers: &[Layer], seams: &[Seams], shop: &Shop<'_>) {
    let mut all = seams.iter().zip(layers).enumerate();
    if let Some(close) = all.find_map(|(i, (seams, layer))| Some((i, layer, seams.short?))) {
        closer(kit, close, shop);
    }
}

/// Half the angle from one seam of a layer to its next, in microdegrees, where it has so many pieces round.
pub fn half_pitch(parts: u32) -> i64 {
    FULL / i64::from(parts.max(1)) / 2
}

/// The least arc between the seams of two layers on a surface of this diameter; [`Length::LIMIT`] where one of
/// them has none.
pub fn apart(one: &[Angle], other: &[Angle], on: Length) -> Length {
    let between = |a: &Angle, b: &Angle| {
        let turn = (a.microdegrees() - b.microdegrees()).rem_euclid(FULL);
        turn.min(FULL - turn)
    };
    let turns = one.iter().flat_map(|a| other.iter().map(move |b| between(a, b)));
    turns.min().map_or(Length::LIMIT, |turn| arc_on(on, turn))
}

/// The same of layers whose seams lie opposite each other in turn, those of several pieces round
/// halfway between.
pub fn remark_opposite(kit: &mut Kit, layers: &[Layer], parts: u32, shop: &Shop<'_>) {
    let half = half_pitch(parts);
    let mut arcs = layers.iter().enumerate().skip(1).map(|(i, layer)| (i, layer, arc(layer, half)));
    let stagger = shop.rules.joints.stagger;
    if let Some(close) = arcs.find(|(_, _, arc)| *arc < stagger) {
        closer(kit, close, shop);
    }
}

fn closer(kit: &mut Kit, (i, layer, short): (usize, &Layer, Length), shop: &Shop<'_>) {
    let stagger = shop.rules.joints.stagger;
    kit.remark(
        &codes::SEAM_STAGGER,
        format!(
            "the seams of layers {i} and {} lie opposite each other, {} mm apart round the pipe; the rule of \
             {stagger} mm cannot be kept on {} mm diameter",
            i + 1,
            short.round_down_to(Length::from_nm(100_000)),
            layer.under
        ),
        "nothing to do",
    );
}

/// How far the next layer's seams turn against this layer's.
fn next_turn(base: i64, pitch: i64, layer: &Layer, stagger: Length) -> i64 {
    let opposite = pitch / 2;
    let seams =
        |turn: i64| (0..FULL / pitch).map(move |j| (base + turn + j * pitch).rem_euclid(FULL));
    let dead_centre = |turn: i64| seams(turn).any(|seam| seam % (FULL / 2) == 0);
    let turns = [opposite, pitch / 4, pitch - pitch / 4];
    let fits = |turn: &i64| !dead_centre(*turn) && arc(layer, (*turn).min(pitch - turn)) >= stagger;
    turns.into_iter().find(fits).unwrap_or(opposite)
}

/// The arc that an angle cuts from the surface under a layer, rounded down.
fn arc(layer: &Layer, turn: i64) -> Length {
    arc_on(layer.under, turn)
}

/// The arc that an angle cuts from a surface of this diameter, rounded down.
#[expect(clippy::cast_precision_loss, reason = "angles are far below 2^53 microdegrees")]
fn arc_on(diameter: Length, turn: i64) -> Length {
    let mm = PI * diameter.mm_f64() * turn as f64 / FULL as f64;
    Length::from_mm_f64_nearest((mm - 1e-6).max(0.0)).unwrap_or(Length::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 350 and 10 degrees are 20 apart over the top, a ninth of half a turn: on 360 mm across 20 pi mm.
    #[test]
    fn seams_are_as_far_apart_as_the_shorter_way_round() {
        let degrees = |all: &[i64]| all.iter().map(|d| Angle::from_degrees(*d)).collect::<Vec<_>>();
        let near = |one: &[i64], other: &[i64]| {
            apart(&degrees(one), &degrees(other), Length::from_mm(360)).mm_f64()
        };
        assert!((near(&[350], &[10]) - 20.0 * PI).abs() < 0.001);
        assert!((near(&[10], &[350]) - 20.0 * PI).abs() < 0.001);
        assert!((near(&[90, 355], &[180, 359]) - 4.0 * PI).abs() < 0.001);
        assert_eq!(apart(&[], &degrees(&[10]), Length::from_mm(360)), Length::LIMIT);
    }
}

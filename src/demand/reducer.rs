//! A reducer's pieces: in one piece where it fits, else in as few like sectors as do; all layers in as many. Seams
//! lie as on a run. An eccentric one's pattern is bound to its sides, so its seam lies on the flat and on the long
//! side in turn, and those of several parts from the long side on and half a part further in turn. Parts that lie
//! opposite each other are mirror images, cut as two pieces, since the two faces of a blanket may differ.

use super::kit::{Kit, Part, number};
use super::seams;
use super::shop::Shop;
use crate::cutting::Turns;
use crate::finding::codes::demand as codes;
use crate::pattern::cone::{Cone, Eccentric};
use crate::pattern::wrap::Layer;
use crate::pattern::{Flat, PatternError};
use crate::takeoff::{Build, Reducer};
use crate::units::Length;

/// More parts than anybody cuts a reducer into.
const MOST_PARTS: u32 = 16;

/// A layer's unlike pieces: name, shape, how many of each.
type Pieces = Vec<(String, Flat, u64)>;

/// The pieces of a reducer.
pub fn kit(reducer: &Reducer, build: &Build, shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    let large = Layer::stack(reducer.large.od, build, &shop.rules.wrap);
    let small = Layer::stack(reducer.small.od, build, &shop.rules.wrap);
    for (i, layer) in large.iter().enumerate() {
        if shop.rooms(layer.thickness).is_empty() {
            shop.no_roll(&mut kit, layer.thickness, i);
            return kit;
        }
    }
    let cones: Vec<Cone> = large
        .iter()
        .zip(&small)
        .map(|(large, small)| Cone {
            large: large.wrap_radius(),
            small: small.wrap_radius(),
            height: reducer.length.mm_f64(),
        })
        .collect();
    let fits = |i: usize, pieces: &Pieces| {
        let fit = |flat: &Flat| shop.takes(large[i].thickness, flat, &turns(flat, shop));
        pieces.iter().all(|(_, flat, _)| fit(flat))
    };
    let any: Vec<u32> = (1..=MOST_PARTS).collect();
    let numbers = if reducer.eccentric { &Eccentric::SHARES[..] } else { &any[..] };
    let mut bad = (0, 0);
    for &parts in numbers {
        let laid: Result<Vec<Pieces>, PatternError> = cones
            .iter()
            .enumerate()
            .map(|(i, cone)| pieces(cone, reducer, (i, parts), shop))
            .collect();
        let Some(laid) = kit.take(laid) else { return kit };
        let Some(i) = laid.iter().enumerate().position(|(i, pieces)| !fits(i, pieces)) else {
            put(&mut kit, reducer, (&cones, laid), (&large, &small), parts, shop);
            return kit;
        };
        bad = (i, parts);
    }
    let (i, most) = bad;
    kit.remark(
        &codes::TOO_LARGE,
        format!("layer {}: the reducer fits no roll in up to {most} parts", i + 1),
        "offer a larger roll or raise the pull limit",
    );
    kit
}

/// Adds all layers, each in so many parts.
fn put(
    kit: &mut Kit,
    reducer: &Reducer,
    (cones, laid): (&[Cone], Vec<Pieces>),
    (large, small): (&[Layer], &[Layer]),
    parts: u32,
    shop: &Shop<'_>,
) {
    super::welds::remark_on_welds(kit, large.len(), shop);
    let joints = &shop.rules.joints;
    // Seams come closest at the small end.
    let placed = seams::place(small, parts, joints.first_seam, joints.stagger);
    if reducer.eccentric {
        seams::remark_opposite(kit, small, parts, shop);
    } else {
        seams::remark(kit, small, &placed, shop);
    }
    for (i, (pieces, seams)) in laid.into_iter().zip(placed).enumerate() {
        let along = Length::from_mm_f64_up(cones[i].slant()).unwrap_or(Length::LIMIT);
        let note = match (reducer.eccentric, parts, i % 2) {
            (false, ..) => "",
            (true, 1, 0) => "seam on the flat side",
            (true, 1, _) => "seam on the long side",
            (true, 2, 0) => {
                "one of each hand, the same face of the blanket outside; seams on the flat and on the long side"
            }
            (true, 2, _) => "seams on the two sides between the flat and the long one",
            (true, _, 0) => {
                "degrees round from the long side; one of each hand, the same face of the blanket outside; a seam on \
                 the long side"
            }
            (true, ..) => {
                "degrees round from the long side; one of each hand, the same face of the blanket outside; no seam on \
                 the long side"
            }
        };
        for (k, (name, flat, count)) in pieces.into_iter().enumerate() {
            let seams = if reducer.eccentric { Vec::new() } else { seams.at.clone() };
            let (turns, thickness) = (turns(&flat, shop), large[i].thickness);
            let part = Part { layer: number(i), name, thickness, flat, turns, count };
            kit.put(shop, part, (u64::from(k == 0), along), seams, note);
        }
    }
}

/// The `i`-th layer in so many parts.
fn pieces(
    cone: &Cone,
    reducer: &Reducer,
    (i, parts): (usize, u32),
    shop: &Shop<'_>,
) -> Result<Pieces, PatternError> {
    if !reducer.eccentric {
        let flat = cone.concentric(parts, shop.rules.elbow.chord_error)?;
        let name = match parts {
            1 => "cone".to_owned(),
            2 => "half cone".to_owned(),
            _ => format!("cone, one of {parts} parts"),
        };
        return Ok(vec![(name, flat, u64::from(parts))]);
    }
    // The one seam of a whole cover lies on the flat side first, those of parts begin on the long side.
    let moved = (parts == 1) == i.is_multiple_of(2);
    let all = Eccentric::all(parts, moved);
    let piece = |part: &Eccentric| Ok((part_name(*part, parts), cone.eccentric(*part)?, 1));
    all.iter().map(piece).collect()
}

/// What an eccentric cover's part is called; degrees are counted from the long side, to either side.
fn part_name(part: Eccentric, parts: u32) -> String {
    let [from, to] = part.degrees();
    let middle = f64::midpoint(from, to);
    let side = if middle < 90.0 { "long" } else { "flat" };
    let (hand, [near, far]) =
        if middle < 180.0 { ("one", [from, to]) } else { ("other", [360.0 - to, 360.0 - from]) };
    match (parts, part.is_symmetric()) {
        (1, _) => "eccentric cone".to_owned(),
        (2, true) => format!("half eccentric cone, {side} side"),
        (2, false) => format!("half eccentric cone, {hand} hand"),
        (_, true) => format!("eccentric cone, {} degrees about the {side} side", to - from),
        (_, false) => format!("eccentric cone, {near} to {far} degrees, {hand} hand"),
    }
}

/// A cone's pattern turns round its apex, so the blanket's direction changes along it anyway: it
/// may lie at every quarter turn.
fn turns(flat: &Flat, shop: &Shop<'_>) -> Turns {
    if flat.outline.is_some() { Shop::flat_turns() } else { shop.wrap_turns(flat) }
}

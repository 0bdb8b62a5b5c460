//! Covers of flange pairs and valves.
//!
//! From the inside out, counted as layers in that order: the shoulders' strips, which build the
//! pipe's insulation up to the flange; the body's layers; one end ring on each side, which closes
//! the body down to the pipe's insulation. A valve's body has a neck for the bonnet, which gets a
//! sleeve and, layer by layer, a top disc, slit to the stem on site. Each layer of the sleeve reaches up beside
//! the discs of the layers beneath, to the underside of its own. Gland, handwheel, grease points and
//! name plates stay free.
//!
//! The pipe's insulation is that of the runs which name the item in their ends, else like the item's own
//! build; shoulders and end rings are fitted to it, each side to its own.
//!
//! A blind flange has a pipe on one side only: one shoulder, one end ring, and on the other side a lid, layer by
//! layer a disc, each layer of the body reaching up beside the discs beneath its own.
//!
//! Shoulders are cut from the thickest blanket of the build, so that there are fewest.

use super::branch::{Junction, Words};
use super::flat::Round;
use super::kit::{Kit, Part, number};
use super::pipe::{Cylinder, seams_of_body, whole};
use super::seams::{self, FULL, Seams};
use super::shop::Shop;
use super::welds::{Insulated, thick};
use crate::finding::codes::demand as codes;
use crate::pattern::Flat;
use crate::pattern::flange::{Cover, NECK, Side};
use crate::pattern::wrap::Layer;
use crate::takeoff::{Bare, Build, Flange, Valve};
use crate::units::{Angle, Length, noted};

/// The pieces of a flange pair; none where it is left bare. `pipes` is the insulation of the pipe on each
/// side ([`super::welds`]).
pub fn flange(flange: &Flange, build: &Build, pipes: &[Insulated; 2], shop: &Shop<'_>) -> Kit {
    let thick = thick(pipes);
    let mut kit = Kit::default();
    match flange.bare {
        Bare::Covered | Bare::Blind => {}
        Bare::Uninsulated | Bare::Flush => return kit,
        Bare::Closed => {
            closing_rings(&mut kit, flange, build, thick, shop);
            return kit;
        }
    }
    let strip = thickest(build);
    let cover = Cover::of_flange(flange, thick, strip);
    let body = Layer::stack(cover.under, build, &shop.rules.wrap);
    let beneath = shoulders(&mut kit, &cover, Some(&body), pipes, strip, shop);
    wrap_body(&mut kit, &cover, &body, beneath, shop);
    end_rings(&mut kit, &cover, &body, beneath, shop);
    if cover.lid {
        let closes = |_| "closes the side of the lid, on the edge of the body's layer like it";
        discs(&mut kit, &body, beneath, ("lid", closes), shop);
        by_layer(&mut kit);
    }
    kit
}

/// Puts each layer of all parts of a cover before the next, within a layer as they came.
fn by_layer(kit: &mut Kit) {
    let layers: Vec<u32> = kit.parts.iter().map(|part| part.layer).collect();
    kit.steps.sort_by_key(|step| layers.get(step.part).copied());
}

/// Discs that close a cover's end, each on the edge of the layer like it.
fn discs(
    kit: &mut Kit,
    layers: &[Layer],
    beneath: usize,
    (what, do_to): (&'static str, fn(u32) -> &'static str),
    shop: &Shop<'_>,
) {
    for (i, layer) in layers.iter().enumerate() {
        let disc = Round {
            thickness: layer.thickness,
            outside: layer.over(),
            inside: Length::ZERO,
            turned: i % 2 == 1,
            what,
            do_to,
        };
        disc.put(kit, shop, beneath + i, 1);
    }
}

/// A ring of one layer on the end of each pipe that stops short of a bare flange (ends protected
/// with a ring of one layer: common practice, no source).
fn closing_rings(
    kit: &mut Kit,
    flange: &Flange,
    build: &Build,
    pipes: [Length; 2],
    shop: &Shop<'_>,
) {
    let Some(&thickness) = build.layers().last() else { return };
    let od = flange.size.od;
    for (pipe, count) in alike(&pipes) {
        let do_to = |_| "closes the end of the pipe's insulation";
        end_ring(thickness, (od + pipe * 2, od), do_to).put(kit, shop, 0, count);
    }
}

/// A single ring that closes an end, around and within these diameters.
const fn end_ring(
    thickness: Length,
    (outside, inside): (Length, Length),
    do_to: fn(u32) -> &'static str,
) -> Round {
    Round { thickness, outside, inside, turned: false, what: "end ring", do_to }
}

/// What the sides have, of which there are no more than two: each once with how many sides have it.
fn alike<T: PartialEq + Copy>(sides: &[T]) -> Vec<(T, u64)> {
    match sides {
        [one, other] if one == other => vec![(*one, 2)],
        _ => sides.iter().map(|side| (*side, 1)).collect(),
    }
}

/// The pieces of a valve; `pipes` as of a flange pair.
pub fn valve(valve: &Valve, build: &Build, pipes: &[Insulated; 2], shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    let strip = thickest(build);
    let cover = Cover::of_valve(valve, thick(pipes), strip);
    let body = Layer::stack(cover.under, build, &shop.rules.wrap);
    let has_bonnet = valve.bonnet.is_positive();
    let plain = (!has_bonnet).then_some(body.as_slice());
    let beneath = shoulders(&mut kit, &cover, plain, pipes, strip, shop);
    if has_bonnet {
        neck(&mut kit, valve, &cover, build, beneath, shop);
    } else {
        wrap_body(&mut kit, &cover, &body, beneath, shop);
    }
    end_rings(&mut kit, &cover, &body, beneath, shop);
    by_layer(&mut kit);
    kit
}

fn thickest(build: &Build) -> Length {
    build.layers().iter().copied().max().unwrap_or_default()
}

/// Adds the strips of both shoulders; gives the number of layers of the higher one. `body` lies over them; `None` where it
/// has a bonnet, by which its seams lie, wherever that points.
fn shoulders(
    kit: &mut Kit,
    cover: &Cover,
    body: Option<&[Layer]>,
    pipes: &[Insulated; 2],
    strip: Length,
    shop: &Shop<'_>,
) -> usize {
    let over = body.map(|body| seams_of_body(body, shop)).unwrap_or_default();
    let clear = match body {
        Some(_) => "",
        None => "keep the outermost strip's seam clear of the bonnet's line and of that opposite",
    };
    let over: &[Angle] = over.first().map_or(&[], |innermost| &innermost.at);
    let mut highest = 0;
    // Sides that are alike have pipes of one thickness, and these all their seams together.
    for ((side, count), pipe) in alike(cover.on_pipes()).into_iter().zip(pipes) {
        let note = if cover.lid {
            "on the pipe's side, butted against the flange".to_owned()
        } else if count > 1 {
            "one on each side, butted against the flange".to_owned()
        } else {
            format!(
                "on the side whose insulation is {} mm over, against the flange",
                side.insulation
            )
        };
        let note = noted(&[&note, clear]);
        let seams = [pipe.seams.as_slice(), over];
        highest = highest.max(shoulder(kit, (&side, count, &note), seams, strip, shop));
    }
    highest
}

/// The strips of one shoulder, as many of each as there are `sides`, between pipe and body with these `seams`;
/// gives their number of layers.
fn shoulder(
    kit: &mut Kit,
    (side, sides, note): (&Side, u64, &str),
    seams: [&[Angle]; 2],
    strip: Length,
    shop: &Shop<'_>,
) -> usize {
    let count = usize::try_from(side.shoulder_layers).unwrap_or(usize::MAX);
    let factor = shop.rules.wrap.factor_for(strip);
    let mut layers: Vec<Layer> = Vec::new();
    let (mut under, mut parts) = (side.insulation, 1);
    for i in 0..count {
        let layer = Layer { thickness: strip, under, factor };
        let Some(ring) = shop.ring_of(kit, &layer, i, count + 1, 1) else { return i };
        parts = parts.max(ring.parts);
        under = layer.over();
        layers.push(layer);
    }
    // All strips have as many pieces as the one that needs most.
    let mut rings = Vec::new();
    for (i, layer) in layers.iter().enumerate() {
        let Some(ring) = shop.ring_of(kit, layer, i, count + 1, parts) else { return i };
        rings.push(ring);
    }
    let width = side.shoulder_width.round_up_to(shop.rules.resolution.cut);
    for (i, (ring, seams)) in
        rings.into_iter().zip(between(seams, &layers, parts, shop)).enumerate()
    {
        let flat = Flat::rectangle(width, ring.length);
        let part = Part {
            layer: number(i),
            name: "shoulder strip".to_owned(),
            thickness: strip,
            turns: shop.wrap_turns(&flat),
            flat,
            count: sides * u64::from(ring.parts),
        };
        kit.put(shop, part, (sides, width), seams.at, note);
    }
    count
}

/// Where the seams of a shoulder's strips lie: as on a run, begun so that the outermost strip's keep the stagger
/// from all that the body's first layer has, which may be of more pieces round; else as far from them as can be.
/// Where the innermost's would then lie over those of the pipe's outermost layer, they go halfway between these
/// and the next strip's, if the stagger allows.
fn between(
    [beneath, body]: [&[Angle]; 2],
    strips: &[Layer],
    parts: u32,
    shop: &Shop<'_>,
) -> Vec<Seams> {
    let joints = &shop.rules.joints;
    let half = seams::half_pitch(parts);
    let body_half = seams::half_pitch(u32::try_from(body.len()).unwrap_or(u32::MAX));
    let from = |turn: i64| {
        let first = Angle::from_microdegrees(joints.first_seam.microdegrees() + turn);
        seams::place(strips, parts, first, joints.stagger)
    };
    let off = |placed: &[Seams]| {
        let last = placed.last().zip(strips.last());
        last.map_or(Length::LIMIT, |(last, strip)| seams::apart(&last.at, body, strip.over()))
    };
    // A quarter of the body's pitch before half of it, which may be at top and bottom.
    let turns = [0, half, body_half / 2, body_half + body_half / 2, body_half];
    let all = || turns.into_iter().map(from);
    let clear_of_body = all().find(|placed| off(placed) >= joints.stagger);
    let furthest = || all().rev().max_by_key(|placed| off(placed));
    let mut placed = clear_of_body.or_else(furthest).unwrap_or_default();
    let over = placed.get(1).map_or_else(|| body.to_vec(), |next| next.at.clone());
    let Some((innermost, strip)) = placed.first_mut().zip(strips.first()) else { return placed };
    let clear =
        |at: &[Angle], seams: &[Angle], on: Length| seams::apart(at, seams, on) >= joints.stagger;
    if clear(&innermost.at, beneath, strip.under) {
        return placed;
    }
    let turned = |turn: i64| {
        let at = innermost.at.iter().map(|seam| (seam.microdegrees() + turn).rem_euclid(FULL));
        let mut at: Vec<i64> = at.collect();
        at.sort_unstable();
        at.into_iter().map(Angle::from_microdegrees).collect::<Vec<_>>()
    };
    let found = [half / 2, half + half / 2]
        .map(turned)
        .into_iter()
        .find(|at| clear(at, beneath, strip.under) && clear(at, &over, strip.over()));
    if let Some(at) = found {
        innermost.at = at;
    }
    placed
}

fn wrap_body(kit: &mut Kit, cover: &Cover, body: &[Layer], beneath: usize, shop: &Shop<'_>) {
    let (turns, vertical, what, least) = (vec![1; body.len()], false, "body, ", 1);
    let cylinder = Cylinder { layers: body, turns: &turns, shop, vertical, beneath, what, least };
    // Each layer reaches up beside the lid's discs beneath its own: the outermost furthest, the others by so much less.
    let discs =
        if cover.lid { body.split_last().map_or(body, |(_, beneath)| beneath) } else { &[] };
    let above = |i: usize| discs.iter().skip(i).map(|layer| layer.thickness).sum();
    let less: Vec<Length> = (0..body.len()).map(above).collect();
    let furthest = less.first().copied().unwrap_or_default();
    cylinder.wrap(kit, &whole(cover.body + furthest), &[Vec::new(), less]);
}

fn end_rings(kit: &mut Kit, cover: &Cover, body: &[Layer], beneath: usize, shop: &Shop<'_>) {
    let Some(last) = body.last() else { return };
    let insulation: Vec<Length> = cover.on_pipes().iter().map(|side| side.insulation).collect();
    for (inside, count) in alike(&insulation) {
        let do_to = |_| "closes an end of the cover, down to the pipe's insulation";
        let ring = end_ring(last.thickness, (last.over(), inside), do_to);
        ring.put(kit, shop, beneath + body.len(), count);
    }
}

/// A disc with a hole for the stem, and where it is in one piece one radial slit: common practice, no source. The
/// stem's diameter is in no takeoff, so it is measured where the disc goes on. A disc in parts opens at their
/// joint, which an even number has in its middle.
const fn stem(parts: u32) -> &'static str {
    match (parts, parts.is_multiple_of(2)) {
        (0 | 1, _) => {
            "on site: measure the stem, cut a hole for it in the middle and one slit from the hole to the edge; \
             gland and handwheel stay free"
        }
        (_, true) => {
            "on site: measure the stem and cut half a hole for it from the middle of each edge that meets at the \
             disc's middle, no slit; gland and handwheel stay free"
        }
        (_, false) => {
            "on site: measure the stem, cut a hole for it in the middle of the middle strip and one slit from the \
             hole to that strip's long edge; gland and handwheel stay free"
        }
    }
}

/// The body with its neck, the bonnet's sleeve and its top discs.
fn neck(
    kit: &mut Kit,
    valve: &Valve,
    cover: &Cover,
    build: &Build,
    beneath: usize,
    shop: &Shop<'_>,
) {
    let bonnet = valve.bonnet + NECK * 2;
    if bonnet > cover.under {
        kit.remark(
            &codes::SHAPE,
            format!(
                "the bonnet of {} mm, with {NECK} mm of play all round, is wider than the body of {} mm under \
                 its cover",
                valve.bonnet, cover.under
            ),
            "measure the bonnet's diameter again, or cover this valve by hand",
        );
        return;
    }
    let branch = Junction {
        run: Layer::stack(cover.under, build, &shop.rules.wrap),
        branch: Layer::stack(bonnet, build, &shop.rules.wrap),
        angle: Angle::QUARTER,
        ends: [Length::from_nm(cover.body.nm() / 2 + cover.body.nm() % 2); 2],
        height: valve.bonnet_height,
        closed: true,
    };
    let (along, up) = branch.extra(shop);
    if along.is_positive() || up.is_positive() {
        kit.remark(
            &codes::LONGER_COVER,
            format!(
                "the bonnet leaves no room within its cover: the body is {along} mm longer at \
                 each end and the sleeve {up} mm higher"
            ),
            "measure bonnet diameter and height again; cut the neighbouring covers back on site",
        );
    }
    let words = Words { run: "body ", branch: "bonnet sleeve", what: "bonnet", along: "valve" };
    branch.put(kit, shop, &words, beneath);
    discs(kit, &branch.branch, beneath, ("bonnet top", stem), shop);
}

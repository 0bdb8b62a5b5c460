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
//! Shoulders are cut from the thickest blanket of the build, so that there are fewest.

use super::branch::{Junction, Words};
use super::flat::Round;
use super::kit::{Kit, Part, number};
use super::pipe::{Cylinder, whole};
use super::seams::{self, Seams};
use super::shop::Shop;
use crate::finding::codes::demand as codes;
use crate::pattern::Flat;
use crate::pattern::flange::{Cover, NECK, Side};
use crate::pattern::wrap::Layer;
use crate::takeoff::{Bare, Build, Flange, Valve};
use crate::units::{Angle, Length};

/// The pieces of a flange pair; none where it is left bare. `pipes` is how thick the insulation of the
/// pipe on each side is ([`super::welds`]).
pub fn flange(flange: &Flange, build: &Build, pipes: [Length; 2], shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    match flange.bare {
        Bare::Covered => {}
        Bare::Uninsulated | Bare::Flush => return kit,
        Bare::Closed => {
            closing_rings(&mut kit, flange, build, pipes, shop);
            return kit;
        }
    }
    let strip = thickest(build);
    let cover = Cover::of_flange(flange, pipes, strip);
    let body = Layer::stack(cover.under, build, &shop.rules.wrap);
    let beneath = shoulders(&mut kit, &cover, strip, shop);
    wrap_body(&mut kit, &cover, &body, beneath, shop);
    end_rings(&mut kit, &cover, &body, beneath, shop);
    kit.tell_apart();
    kit
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
    for (pipe, count) in alike(pipes) {
        end_ring(thickness, od + pipe * 2, od).put(kit, shop, 0, count);
    }
    kit.tell_apart();
}

/// A single ring that closes an end, around and within these diameters.
const fn end_ring(thickness: Length, outside: Length, inside: Length) -> Round {
    Round { thickness, outside, inside, turned: false, what: "end ring", do_to: "" }
}

/// What the two sides have: each once with how many sides have it.
fn alike<T: PartialEq>([one, other]: [T; 2]) -> Vec<(T, u64)> {
    if one == other { vec![(one, 2)] } else { vec![(one, 1), (other, 1)] }
}

/// The pieces of a valve; `pipes` as of a flange pair.
pub fn valve(valve: &Valve, build: &Build, pipes: [Length; 2], shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    let strip = thickest(build);
    let cover = Cover::of_valve(valve, pipes, strip);
    let body = Layer::stack(cover.under, build, &shop.rules.wrap);
    let beneath = shoulders(&mut kit, &cover, strip, shop);
    if valve.bonnet.is_positive() {
        neck(&mut kit, valve, &cover, build, beneath, shop);
    } else {
        wrap_body(&mut kit, &cover, &body, beneath, shop);
    }
    end_rings(&mut kit, &cover, &body, beneath, shop);
    // Each layer of body, sleeve and top before the next.
    let layers: Vec<u32> = kit.parts.iter().map(|part| part.layer).collect();
    kit.steps.sort_by_key(|step| (layers.get(step.part).copied(), step.run, step.at));
    kit.tell_apart();
    kit
}

fn thickest(build: &Build) -> Length {
    build.layers().iter().copied().max().unwrap_or_default()
}

/// Adds the strips of both shoulders; gives the number of layers of the higher one.
fn shoulders(kit: &mut Kit, cover: &Cover, strip: Length, shop: &Shop<'_>) -> usize {
    let same = cover.sides[0] == cover.sides[1];
    let mut highest = 0;
    for (side, count) in alike(cover.sides) {
        let note = if same {
            "one on each side, butted against the flange".to_owned()
        } else {
            format!(
                "on the side whose insulation is {} mm over, against the flange",
                side.insulation
            )
        };
        highest = highest.max(shoulder(kit, (&side, count, &note), strip, shop));
    }
    highest
}

/// The strips of one shoulder, `count` of each; gives their number of layers.
fn shoulder(
    kit: &mut Kit,
    (side, sides, note): (&Side, u64, &str),
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
    for (i, (ring, seams)) in rings.into_iter().zip(under_body(&layers, parts, shop)).enumerate() {
        let flat = Flat::rectangle(width, ring.length);
        let part = Part {
            layer: number(i),
            name: "shoulder strip".to_owned(),
            thickness: strip,
            turns: shop.wrap_turns(&flat),
            flat,
            count: sides * u64::from(ring.parts),
        };
        kit.put(shop, part, seams.at, note);
    }
    count
}

/// Where the seams of a shoulder's strips lie: as on a run, begun so that the outermost strip's are not where
/// the body's first layer has its own.
fn under_body(strips: &[Layer], parts: u32, shop: &Shop<'_>) -> Vec<Seams> {
    let joints = &shop.rules.joints;
    let body = joints.first_seam;
    let from = |first: Angle| seams::place(strips, parts, first, joints.stagger);
    let placed = from(body);
    if placed.last().is_some_and(|last| last.at.contains(&body)) {
        let between = body.microdegrees() + seams::half_pitch(parts);
        return from(Angle::from_microdegrees(between));
    }
    placed
}

fn wrap_body(kit: &mut Kit, cover: &Cover, body: &[Layer], beneath: usize, shop: &Shop<'_>) {
    let (turns, vertical, what) = (vec![1; body.len()], false, "body, ");
    let cylinder = Cylinder { layers: body, turns: &turns, shop, vertical, beneath, what };
    cylinder.wrap(kit, &whole(cover.body), &[Vec::new(), Vec::new()]);
}

fn end_rings(kit: &mut Kit, cover: &Cover, body: &[Layer], beneath: usize, shop: &Shop<'_>) {
    let Some(last) = body.last() else { return };
    for (inside, count) in alike(cover.sides.map(|side| side.insulation)) {
        let ring = end_ring(last.thickness, last.over(), inside);
        ring.put(kit, shop, beneath + body.len(), count);
    }
}

/// A disc with a hole for the stem and one radial slit: common practice, no source. The stem's diameter is in
/// no takeoff, so it is measured where the disc goes on.
const STEM: &str = "on site: measure the stem, cut a hole for it in the middle and one slit from the hole to \
                    the edge; gland and handwheel stay free";

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
        centre_to_end: Length::from_nm(cover.body.nm() / 2 + cover.body.nm() % 2),
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
    for (i, layer) in branch.branch.iter().enumerate() {
        let round = Round {
            thickness: layer.thickness,
            outside: layer.over(),
            inside: Length::ZERO,
            turned: i % 2 == 1,
            what: "bonnet top",
            do_to: STEM,
        };
        round.put(kit, shop, beneath + i, 1);
    }
}

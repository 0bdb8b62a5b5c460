//! A reducer's pieces: in one piece where it fits, else in as few like sectors as do; an eccentric
//! one in two halves. Seams lie as on a run; an eccentric one's on the flat side.

use super::kit::{Kit, Part, number};
use super::seams;
use super::shop::Shop;
use crate::cutting::Turns;
use crate::finding::codes::demand as codes;
use crate::pattern::cone::Cone;
use crate::pattern::wrap::Layer;
use crate::pattern::{Flat, PatternError};
use crate::takeoff::{Build, Reducer};
use crate::units::Length;

/// More parts than anybody cuts a reducer into.
const MOST_PARTS: u32 = 16;

/// The pieces of a reducer.
pub fn kit(reducer: &Reducer, build: &Build, shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    let large = Layer::stack(reducer.large.od, build, &shop.rules.wrap);
    let small = Layer::stack(reducer.small.od, build, &shop.rules.wrap);
    let cone = |i: usize| Cone {
        large: large[i].wrap_radius(),
        small: small[i].wrap_radius(),
        height: reducer.length.mm_f64(),
    };
    let mut chosen = Vec::new();
    for (i, layer) in large.iter().enumerate() {
        if shop.rooms(layer.thickness).is_empty() {
            shop.no_roll(&mut kit, layer.thickness, i);
            return kit;
        }
        match sectors(&cone(i), reducer.eccentric, layer, shop) {
            Some(Ok(found)) => chosen.push(found),
            Some(Err(error)) => {
                kit.no_pattern(error);
                return kit;
            }
            None => {
                kit.remark(
                    &codes::TOO_LARGE,
                    format!(
                        "layer {}: the reducer fits no roll in up to {MOST_PARTS} parts",
                        i + 1
                    ),
                    "offer a larger roll or raise the pull limit",
                );
                return kit;
            }
        }
    }
    let parts = chosen.iter().map(|c| c.0).max().unwrap_or(1);
    super::welds::remark_on_welds(&mut kit, build.layers().len(), shop);
    let joints = &shop.rules.joints;
    let placed = seams::place(&large, parts, joints.first_seam, joints.stagger);
    for (i, ((parts, flat), seams)) in chosen.into_iter().zip(placed).enumerate() {
        let form = if reducer.eccentric { "eccentric cone" } else { "cone" };
        let name = match parts {
            1 => form.to_owned(),
            2 => format!("half {form}"),
            _ => format!("{form}, one of {parts} parts"),
        };
        let (seams, note) =
            if reducer.eccentric { (Vec::new(), "seam on the flat side") } else { (seams.at, "") };
        let part = Part {
            layer: number(i),
            name,
            thickness: large[i].thickness,
            turns: turns(&flat, shop),
            flat,
            count: u64::from(parts),
        };
        let along = Length::from_mm_f64_up(cone(i).slant()).unwrap_or(Length::LIMIT);
        kit.put_along(shop, part, along, seams, note);
    }
    kit
}

/// The fewest like parts that fit a roll, and their shape.
fn sectors(
    cone: &Cone,
    eccentric: bool,
    layer: &Layer,
    shop: &Shop<'_>,
) -> Option<Result<(u32, Flat), PatternError>> {
    let most = if eccentric { 2 } else { MOST_PARTS };
    (1..=most).find_map(|parts| {
        let flat = if eccentric {
            cone.eccentric(parts == 2)
        } else {
            cone.concentric(parts, shop.rules.elbow.chord_error)
        };
        match flat {
            Ok(flat) => {
                shop.takes(layer.thickness, &flat, &turns(&flat, shop)).then_some(Ok((parts, flat)))
            }
            Err(error) => Some(Err(error)),
        }
    })
}

/// A cone's pattern turns round its apex, so the blanket's direction changes along it anyway: it
/// may lie at every quarter turn.
fn turns(flat: &Flat, shop: &Shop<'_>) -> Turns {
    if flat.outline.is_some() { Shop::flat_turns() } else { shop.wrap_turns(flat) }
}

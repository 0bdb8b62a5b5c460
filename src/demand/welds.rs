//! Which runs meet which elbows, and how far an elbow's inner layers reach into a run.
//!
//! At the weld plane between a run and an elbow every layer would have a joint in one plane. So
//! layer `i` of `K` is part of the elbow's end piece for `(K - i) s` beyond that plane, and the
//! run's layer starts there: the joints step back by the stagger `s` from layer to layer, outermost
//! at the weld.
//!
//! Other fittings take room of a run in all layers alike: flanges and valves, so that bolts can be
//! drawn; tees whose cover is longer than themselves.
//!
//! A run says in its `ends` what it meets. An elbow must have the run's diameter and build;
//! what is left of the run in every layer must be no less than the smallest piece, else one end,
//! and if need be both, go without. A side of an elbow that no run names goes without, too.

use super::branch::Junction;
use super::elbow;
use super::kit::{Kit, Remark};
use super::shop::{Shop, Shops};
use crate::finding::codes::demand as codes;
use crate::pattern::flange::bolt_clearance;
use crate::takeoff::{Bare, Elbow, Item, Kind, Pipe, Takeoff};
use crate::units::Length;
use std::collections::BTreeMap;

/// How far each layer of the fitting at an end reaches into the run; empty where it does not.
pub type Reach = Vec<Length>;

/// What was found for every item.
pub struct Welds {
    /// For each item that is a run: the reach at its first and second end.
    pub ends: Vec<[Reach; 2]>,
    /// For each item: how many of its sides (quantity counted in) reach into runs.
    pub sides: Vec<u64>,
    /// What is to be said, and about which item.
    pub remarks: Vec<(usize, Remark)>,
}

/// Looks all runs' ends up.
pub fn find(takeoff: &Takeoff, shops: &Shops<'_>) -> Welds {
    let items = &takeoff.items;
    let names: BTreeMap<&str, usize> =
        items.iter().enumerate().map(|(i, item)| (item.id.as_str(), i)).collect();
    let mut reaches: BTreeMap<usize, Option<Reach>> = BTreeMap::new();
    let mut welds = Welds {
        ends: vec![[Vec::new(), Vec::new()]; items.len()],
        sides: vec![0; items.len()],
        remarks: Vec::new(),
    };
    let mut named = vec![0_u64; items.len()];
    for (p, item) in items.iter().enumerate() {
        let Kind::Pipe(pipe) = &item.kind else { continue };
        let mut at: [Option<(usize, Reach)>; 2] = [None, None];
        for (slot, name) in at.iter_mut().zip(&pipe.ends) {
            let Some(&e) = names.get(name.as_str()) else { continue };
            let Kind::Elbow(elbow) = &items[e].kind else {
                let layers = item.build.layers().len();
                let reach = room_at(&items[e], pipe.size.od, layers, shops.of(e));
                *slot = reach.map(|reach| (e, reach));
                continue;
            };
            named[e] = named[e].saturating_add(item.quantity);
            if elbow.size.od != pipe.size.od || items[e].build != item.build {
                let what = format!(
                    "it differs from {name} in size or build, so their joint is not staggered"
                );
                let remedy =
                    "check both lines; nothing is wrong where the insulation really changes here";
                welds.remarks.push((p, Remark::new(&codes::WELD_STAGGER, what, remedy)));
                continue;
            }
            // What is wound from one piece has one edge for all its turns.
            if super::pipe::plies(pipe, &item.build, shops.of(p)).1.iter().any(|&turns| turns > 1) {
                continue;
            }
            let reach = reaches.entry(e).or_insert_with(|| reach_of(&items[e], elbow, shops.of(e)));
            *slot = reach.clone().map(|reach| (e, reach));
        }
        let kept = keep(item, pipe, &at, shops.of(p));
        if kept != [at[0].is_some(), at[1].is_some()] {
            let what = "it is too short for what reaches into it at its ends";
            let remedy = "nothing to do, or join the run and its neighbour into one piece on site";
            welds.remarks.push((p, Remark::new(&codes::NO_ROOM_FOR_REACH, what, remedy)));
        }
        for ((end, slot), kept) in welds.ends[p].iter_mut().zip(at).zip(kept) {
            if let (Some((e, reach)), true) = (slot, kept) {
                *end = reach;
                welds.sides[e] = welds.sides[e].saturating_add(item.quantity);
            }
        }
    }
    for (e, item) in items.iter().enumerate() {
        if let Kind::Elbow(_) = &item.kind {
            let remark = check_sides(item, named[e], welds.sides[e]);
            welds.remarks.extend(remark.map(|remark| (e, remark)));
        }
    }
    welds
}

/// The reach of an elbow; `None` where its end pieces would be wider than the rolls.
fn reach_of(item: &Item, elbow: &Elbow, shop: &Shop<'_>) -> Option<Reach> {
    let plan = elbow::Plan::new(elbow, &item.build, 2, shop)?;
    let reach = plan.reach(shop.rules);
    let fits = plan.layers.iter().zip(&reach).all(|(layer, &reach)| {
        let widest = shop.widest(layer.thickness).unwrap_or(Length::ZERO);
        reach + plan.half_gore(layer) <= widest
    });
    fits.then_some(reach)
}

/// What a fitting that is no elbow takes of a run, in all layers alike: a flange and a valve the
/// room to draw the bolts, a tee what its cover is longer than itself.
fn room_at(item: &Item, od: Length, layers: usize, shop: &Shop<'_>) -> Option<Reach> {
    let taken = match &item.kind {
        Kind::Flange(flange) if flange.bare == Bare::Flush => Length::ZERO,
        Kind::Flange(flange) => bolt_clearance(flange),
        Kind::Valve(valve) => bolt_clearance(&valve.flange),
        Kind::Tee(tee) => {
            let (along, up) = Junction::of_tee(tee, &item.build, shop).extra(shop);
            if od == tee.run.od { along } else { up }
        }
        _ => Length::ZERO,
    };
    taken.is_positive().then(|| vec![taken; layers])
}

/// Says that the layers of a fitting meet at its welds.
pub fn remark_on_welds(kit: &mut Kit) {
    kit.remark(
        &codes::WELD_STAGGER,
        "all layers of this item meet the neighbouring covers in the planes of its welds",
        "nothing to do where the specification allows it; else move the neighbours' joints on site",
    );
}

/// Which of the two ends can be kept.
fn keep(item: &Item, pipe: &Pipe, at: &[Option<(usize, Reach)>; 2], shop: &Shop<'_>) -> [bool; 2] {
    let layers = item.build.layers().len();
    let needed = shop.smallest_course(layers);
    let room = |kept: [bool; 2]| {
        (0..layers).all(|i| {
            let taken =
                at.iter().zip(kept).filter(|(_, kept)| *kept).filter_map(|(slot, _)| {
                    slot.as_ref().and_then(|(_, reach)| reach.get(i).copied())
                });
            let taken: Length = taken.sum();
            taken == Length::ZERO || pipe.length - taken >= needed
        })
    };
    let wanted = [at[0].is_some(), at[1].is_some()];
    let tries = [wanted, [wanted[0], false], [false, wanted[1]]];
    tries.into_iter().find(|&kept| room(kept)).unwrap_or([false, false])
}

fn check_sides(item: &Item, named: u64, joined: u64) -> Option<Remark> {
    let sides = item.quantity.saturating_mul(2);
    if named > sides {
        let what = format!("{named} pipe ends are named at it, which has {sides} sides");
        let remedy = "correct the ends of the runs, or the quantity";
        return Some(Remark::new(&codes::TOO_MANY_ENDS, what, remedy));
    }
    if joined >= sides || item.build.layers().len() < 2 {
        return None;
    }
    let what = if joined == 0 {
        "no run's inner layers give way to this elbow's, so all layers meet at its welds".to_owned()
    } else {
        let are = if joined == 1 { "is" } else { "are" };
        format!("{joined} of the elbow's {sides} sides {are} staggered against a run")
    };
    let remedy =
        "name the elbow in the ends of the runs that meet it, if its joints must be staggered";
    Some(Remark::new(&codes::WELD_STAGGER, what, remedy))
}

//! Where a piece costs least.
//!
//! A place is worth what it lengthens its pull by, in the width of the roll, less a part of what it
//! leaves open for others.

use super::shop::{Item, Pull, Shop, real};

/// A place: pull, lane, turned.
#[derive(Clone, Copy, Debug)]
pub(super) enum Spot {
    /// In a lane, or beside the lanes.
    Pull(usize, Option<usize>, bool),
    /// A new pull on this width.
    New(usize, bool),
}

/// How much open space counts, and which open pulls are looked at.
#[derive(Clone, Copy, Debug)]
pub(super) struct Taste {
    /// A square nanometre of open space counts so much of one that is cut off.
    pub open: f64,
    /// At most so many open pulls are tried.
    pub many: usize,
    /// Which of them is the first.
    pub from: usize,
    /// What a place for a joint costs is taken up to so much dearer, by lot.
    pub shake: f64,
}

/// The open pulls that are looked at.
pub(super) fn looked_at(
    shop: &Shop,
    material: usize,
    taste: Taste,
) -> impl Iterator<Item = usize> + '_ {
    let open = &shop.open[material];
    let many = open.len().min(taste.many);
    let from = if open.len() > taste.many { taste.from } else { 0 };
    (0..many).map(move |at| open[(from + at) % open.len()])
}

/// The best place for an item, and what it costs.
pub(super) fn best(shop: &Shop, item: &Item, taste: Taste) -> Option<(f64, Spot)> {
    let mut best: Option<(f64, Spot)> = None;
    let mut offer = |cost: f64, spot: Spot| {
        if best.is_none_or(|(old, _)| cost < old) {
            best = Some((cost, spot));
        }
    };
    for at in looked_at(shop, item.material, taste) {
        in_pull(shop, at, item, taste, &mut offer);
    }
    let bench = &shop.benches[item.material];
    for (across, along, turned) in item.forms() {
        if along > bench.pull {
            continue;
        }
        for (q, &(width, rate)) in bench.widths.iter().enumerate() {
            if across > width {
                continue;
            }
            let free = width - across;
            let open = if free >= bench.narrow { real(free) * real(along) } else { 0.0 };
            let cost = rate * (real(along) - (1.0 - taste.open) * open / real(width));
            offer(cost, Spot::New(q, turned));
        }
    }
    best
}

/// The places in one pull.
fn in_pull(shop: &Shop, at: usize, item: &Item, taste: Taste, offer: &mut impl FnMut(f64, Spot)) {
    let pull = &shop.pulls[at];
    let bench = &shop.benches[pull.material];
    let (width, rate) = shop.roll(pull);
    let before = shop.space(pull);
    for (across, along, turned) in item.forms() {
        let price = |long: i64, open: f64| {
            rate * (real(long - pull.long) - (1.0 - taste.open) * (open - before) / real(width))
        };
        if pull.used + across <= width && along <= bench.pull {
            let long = pull.long.max(along);
            let free = width - pull.used - across;
            let mut open = if free >= bench.narrow { real(free) * real(long) } else { 0.0 };
            if bench.stacks {
                open += stacked(pull, bench.narrow, long, None);
                let left = long - along;
                if left >= bench.narrow && across >= bench.narrow {
                    open += real(left) * real(across);
                }
            }
            offer(price(long, open), Spot::Pull(at, None, turned));
        }
        if !bench.stacks {
            continue;
        }
        for (number, lane) in pull.lanes.iter().enumerate() {
            let reach = lane.long + along;
            // A lane may lengthen its pull.
            if across > lane.wide || reach > bench.pull {
                continue;
            }
            let long = pull.long.max(reach);
            let free = width - pull.used;
            let mut open = if free >= bench.narrow { real(free) * real(long) } else { 0.0 };
            open += stacked(pull, bench.narrow, long, Some((number, reach)));
            offer(price(long, open), Spot::Pull(at, Some(number), turned));
        }
    }
}

/// What is open behind the lanes of a pull of this length, one of them with another reach.
fn stacked(pull: &Pull, narrow: i64, long: i64, other: Option<(usize, i64)>) -> f64 {
    let lanes = pull.lanes.iter().enumerate();
    lanes
        .map(|(number, lane)| {
            let reach = other.filter(|o| o.0 == number).map_or(lane.long, |o| o.1);
            let left = long - reach;
            if left >= narrow && lane.wide >= narrow { real(left) * real(lane.wide) } else { 0.0 }
        })
        .sum()
}

/// Widths, gap included, at which a piece of this length fills what is open: alone or with one or two
/// of `others` across, or along turned.
pub(super) fn fills(
    shop: &Shop,
    like: &Item,
    (least, most): (i64, i64),
    others: &[usize],
    taste: Taste,
) -> Vec<i64> {
    let mut fill = Vec::new();
    let mut offer = |width: i64| {
        if (least..=most).contains(&width) {
            fill.push(width);
        }
    };
    let bench = &shop.benches[like.material];
    let mut across: Vec<i64> = others
        .iter()
        .map(|&other| &shop.items[other])
        .filter(|other| other.material == like.material)
        .flat_map(|other| other.forms().map(|form| form.0))
        .collect();
    across.sort_unstable();
    across.dedup();
    let beside = |free: i64, offer: &mut dyn FnMut(i64)| {
        offer(free);
        for (at, &one) in across.iter().enumerate() {
            offer(free - one);
            for &two in &across[at..] {
                offer(free - one - two);
            }
        }
    };
    for at in looked_at(shop, like.material, taste) {
        let pull = &shop.pulls[at];
        let free = shop.roll(pull).0 - pull.used;
        {
            beside(free, &mut offer);
        }
        if like.sideways && like.length <= free {
            offer(pull.long);
        }
        if bench.stacks {
            for lane in &pull.lanes {
                let left = pull.long - lane.long;
                if like.sideways && like.length <= lane.wide {
                    offer(left);
                }
                if like.upright && like.length <= left {
                    offer(lane.wide);
                }
            }
        }
    }
    for &(width, _) in &bench.widths {
        {
            beside(width, &mut offer);
        }
    }
    for &other in others {
        let other = &shop.items[other];
        if other.material == like.material && like.sideways {
            for (_, along, _) in other.forms() {
                offer(along);
            }
        }
    }
    fill
}

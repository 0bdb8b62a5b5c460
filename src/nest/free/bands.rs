//! Many pieces: a strip, or long rolls, as a row of bands, improved a few at a time.
//!
//! 1. A layout falls apart wherever a line across the roll meets no piece. Such bands can be put
//!    in any order and on any roll; only their lengths count.
//! 2. In each round several groups of bands are drawn by lot, wasteful ones more often. The pieces
//!    of a group are laid anew into a room shorter than the group ([`Chain`]); where that succeeds
//!    the new bands take the old ones' place. Groups of a round share no band, so a round gives
//!    the same answer on any number of threads (large neighbourhood search, Shaw 1998).
//! 3. Bands are put on rolls by best fit, longest first.

use super::edges::FirstCut;
use super::effort::{Effort, LOOKS_PER_STEP};
use super::lot::Lot;
use super::packer::{Entry, Rule, Spot};
use super::search::Chain;
use super::strip::CHAINS;
use super::task::{Room, Task};
use rayon::prelude::*;
use std::cmp::Reverse;

/// Pieces in the first groups; groups grow where nothing is found.
const GROUP: usize = 50;
/// Failures in a row after which groups hold one half more.
const PATIENCE: u64 = 100;

/// A stretch of a layout that shares no piece with its neighbours.
#[derive(Clone, Debug)]
pub struct Band {
    /// How long it is.
    pub length: i64,
    /// Where the pieces lie, from the band's near end.
    pub spots: Vec<Spot>,
    /// The area on which nothing lies.
    pub waste: i128,
}

/// The bands of one room's layout.
pub fn split(mut spots: Vec<Spot>, width: i64) -> Vec<Band> {
    spots.sort_by_key(|s| (s.y, s.x));
    let mut bands: Vec<Band> = Vec::new();
    let (mut start, mut far) = (0, 0);
    for mut spot in spots {
        if bands.is_empty() || spot.y >= far {
            start = spot.y;
            bands.push(Band { length: 0, spots: Vec::new(), waste: 0 });
        }
        far = far.max(spot.y + spot.shape.h);
        if let Some(band) = bands.last_mut() {
            band.length = far - start;
            spot.y -= start;
            spot.room = 0;
            band.spots.push(spot);
        }
    }
    for band in &mut bands {
        let laid: i128 = band.spots.iter().map(Spot::area).sum();
        band.waste = i128::from(band.length) * i128::from(width) - laid;
    }
    bands
}

/// The length of all bands.
pub fn total(bands: &[Band]) -> i64 {
    bands.iter().map(|band| band.length).sum()
}

/// All bands one after the other.
pub fn join(bands: &[Band]) -> Vec<Spot> {
    let mut start = 0;
    let mut spots = Vec::new();
    for band in bands {
        spots.extend(band.spots.iter().map(|s| Spot { y: s.y + start, ..*s }));
        start += band.length;
    }
    spots
}

/// Bands on as few rolls of a length as best fit finds: for each roll its bands, by index.
pub fn stack(bands: &[Band], length: i64) -> Vec<Vec<usize>> {
    let mut order: Vec<usize> = (0..bands.len()).collect();
    order.sort_by_key(|&i| (Reverse(bands[i].length), i));
    let mut rolls: Vec<(i64, Vec<usize>)> = Vec::new();
    for i in order {
        let need = bands[i].length;
        let fitting = rolls.iter_mut().filter(|(free, _)| *free >= need);
        match fitting.min_by_key(|(free, _)| *free) {
            Some((free, held)) => {
                *free -= need;
                held.push(i);
            }
            None => rolls.push((length - need, vec![i])),
        }
    }
    rolls.into_iter().map(|(_, held)| held).collect()
}

/// Shortens the bands until `done` says so or the effort is spent. `told` hears each new state.
pub fn shorten(
    task: &Task,
    width: i64,
    mut bands: Vec<Band>,
    effort: Effort<'_>,
    done: &mut dyn FnMut(&[Band]) -> bool,
) -> Vec<Band> {
    let mut spent = 0;
    let mut round = 0;
    let mut failures = 0;
    while !done(&bands) && spent / LOOKS_PER_STEP < effort.work && (effort.go_on)() {
        let mut lot = Lot::new(effort.seed, round);
        let grown = (failures / PATIENCE).min(6);
        let groups =
            draw(&bands, GROUP + GROUP / 2 * usize::try_from(grown).unwrap_or(0), &mut lot);
        if groups.is_empty() {
            break;
        }
        let looks = effort.turn(CHAINS) * (2 + grown * grown);
        let tries: Vec<(Option<Vec<Band>>, u64)> = groups
            .par_iter()
            .enumerate()
            .map(|(i, group)| {
                let lot = Lot::new(effort.seed ^ 0x5bd1, round * CHAINS as u64 + i as u64);
                relay(task, width, &bands, group, lot, looks, effort.go_on)
            })
            .collect();
        round += 1;
        spent += tries.iter().map(|(_, looks)| looks + 1).sum::<u64>();
        let mut gone = vec![false; bands.len()];
        let mut new = Vec::new();
        for (group, (found, _)) in groups.iter().zip(tries) {
            let Some(found) = found else {
                failures += 1;
                continue;
            };
            failures = 0;
            for &i in group {
                gone[i] = true;
            }
            new.extend(found);
        }
        let mut old = gone.iter();
        bands.retain(|_| !old.next().copied().unwrap_or(false));
        bands.extend(new);
    }
    bands
}

/// Groups of bands by lot, at most one for each search side by side: the first of a group is a
/// wasteful one, the others are any but those of one piece that fills the width.
fn draw(bands: &[Band], most: usize, lot: &mut Lot) -> Vec<Vec<usize>> {
    let mut free: Vec<usize> = (0..bands.len())
        .filter(|&i| bands[i].waste > 0 || bands[i].spots.len() > 1)
        .filter(|&i| bands[i].spots.len() < most)
        .collect();
    free.sort_by_key(|&i| (Reverse(bands[i].waste / i128::from(bands[i].length.max(1))), i));
    let mut groups = Vec::new();
    while groups.len() < CHAINS && free.len() > 1 {
        let most = most / 3 + lot.below(most * 2 / 3);
        let mut pieces = 0;
        let mut group = Vec::new();
        while !free.is_empty() {
            let draws = if group.is_empty() || lot.once_in(2) { 3 } else { 1 };
            let at = (0..draws).map(|_| lot.below(free.len())).min().unwrap_or(0);
            pieces += bands[free[at]].spots.len();
            if pieces > most && group.len() > 1 {
                break;
            }
            group.push(free.remove(at));
        }
        groups.push(group);
    }
    groups
}

/// Lays a group's pieces anew into something shorter; the looks that took.
fn relay(
    task: &Task,
    width: i64,
    bands: &[Band],
    group: &[usize],
    mut lot: Lot,
    looks: u64,
    go_on: &(dyn Fn() -> bool + Sync),
) -> (Option<Vec<Band>>, u64) {
    let length: i64 = group.iter().map(|&i| bands[i].length).sum();
    let waste: i128 = group.iter().map(|&i| bands[i].waste).sum();
    let spare = i64::try_from(waste / i128::from(width.max(1))).unwrap_or(0);
    if spare == 0 {
        return (None, 0);
    }
    let mut order: Vec<Entry> =
        group.iter().flat_map(|&i| &bands[i].spots).map(|s| Entry::new(s.kind, 1)).collect();
    if task.edges {
        for entry in &mut order {
            entry.first = if lot.once_in(2) { FirstCut::Along } else { FirstCut::Across };
        }
    }
    if lot.once_in(2) {
        let area = |e: &Entry| task.kinds[e.kind as usize].area();
        order.sort_by_key(|e| (Reverse(area(e)), e.kind));
    }
    let rule = match lot.below(3) {
        0 => Rule::Fit,
        1 => Rule::First(1),
        _ => Rule::First(4),
    };
    let aim = length - (spare >> lot.below(6)).max(1);
    let mut chain = Chain::new(task, rule, lot, looks);
    chain.aim(vec![Room { width, length: aim }], Some(&order));
    let done = chain.run(looks, go_on);
    let found = done.then(|| split(std::mem::take(&mut chain.packer.spots), width));
    (found, chain.spent)
}

//! Two pieces behind each other in a lane, where the table may cut lanes of a pull by themselves.

use super::across::Way;
use super::fill::{Atom, Filler, Room};
use super::shop::real;

/// Pieces that are tried behind the first one of a pull.
const BEHIND: usize = 2;

impl Filler<'_> {
    /// Pulls as long as a lane of the seed and another piece, taken by lot, behind it or before it.
    pub fn with_one_behind(
        &mut self,
        atoms: &[Atom],
        seed: usize,
        starts: &mut Vec<(i64, Option<Way>)>,
    ) {
        let gap = self.rolls.gap;
        let alone: Vec<Way> = starts.iter().filter_map(|start| start.1).collect();
        for _ in 0..BEHIND {
            let at = self.lots.below(atoms.len());
            if at == seed || atoms[at].open.is_some() {
                continue;
            }
            for other in atoms[at].ways(at, atoms[at].width, gap) {
                let lane = |way: &Way| {
                    let long = way.along + other.along;
                    (long, Some(way.lane(other, long)))
                };
                starts.extend(alone.iter().map(lane));
            }
        }
    }

    /// Lanes of two pieces that waste no more than `most`, among the ways to lie.
    pub fn lanes(
        &mut self,
        atoms: &[Atom],
        must: Option<usize>,
        (long, left): (i64, i64),
        (most, noise): (f64, f64),
    ) {
        let gap = self.rolls.gap;
        let lots = &mut *self.lots;
        let Room { keyed, shorter, .. } = &mut self.room;
        shorter.clear();
        for (at, atom) in
            atoms.iter().enumerate().filter(|(at, atom)| atom.open.is_none() && must != Some(*at))
        {
            let fits = |way: &Way| way.across <= left && way.along < long;
            shorter.extend(atom.ways(at, atom.width, gap).filter(fits));
        }
        self.looks += shorter.len();
        shorter.sort_unstable_by_key(|way| (way.along, way.atom, way.turned));
        let mut offer = |lane: Way| {
            if lane.across <= left && lane.along <= long && lane.lost <= most {
                keyed.push((real(lane.across) * (1.0 - noise * lots.unit()), lane));
            }
        };
        for (at, one) in shorter.iter().enumerate() {
            // What stays free behind both, as wide as this one at least, is wasted.
            let rest = real(long - one.along);
            let least = rest - most / real(one.across);
            let from = shorter.partition_point(|way| real(way.along) < least);
            let to = shorter.partition_point(|way| real(way.along) <= rest);
            let others = shorter.get(from.max(at + 1)..to).unwrap_or_default();
            for other in others.iter().filter(|other| other.atom != one.atom) {
                offer(one.lane(*other, long));
            }
        }
        for (at, atom) in atoms.iter().enumerate().filter(|(at, _)| must != Some(*at)) {
            let Some(open) = atom.open else { continue };
            let (low, high) = open.window();
            let whole = |width: i64| width.min(high) - width.min(high).rem_euclid(open.step);
            for one in &*shorter {
                let room = long - one.along - gap;
                // Turned it fills what is left along; upright it is as wide as the other.
                let turned = (atom.sideways, whole(room), true);
                let upright = (atom.upright && atom.length <= room, whole(one.across - gap), false);
                for (may, width, turned) in [turned, upright] {
                    if may && width >= low {
                        let sides = (width + gap, atom.length + gap);
                        let sides = if turned { (sides.1, sides.0) } else { sides };
                        offer(one.lane(Way::one((at, width), sides, (turned, long)), long));
                    }
                }
            }
        }
    }
}

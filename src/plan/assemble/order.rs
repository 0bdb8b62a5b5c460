//! The order of cutting: pulls of all rolls in one row, and each roll laid in that order.
//!
//! Steps: every roll by itself, copies apart; the job as [`crate::sequence::shop`] sees it, with
//! pulls, the places of their knives, pieces and the kits that need them; its order; pulls of
//! one length may have changed rolls; then each roll's pulls laid from the front in the order in which they are cut. That needs equal gaps
//! between them; a roll with other gaps keeps its order. Rolls cut alike are one entry again, and the
//! steps name entry, copy and pull.

use super::regroup::{Filling, regrouped};
use super::{Layouts, pull_key};
use crate::geometry::Rect;
use crate::nest;
use crate::plan::wanted::Wanted;
use crate::plan::{Sequence, Step};
use crate::sequence::shop::{self, Job, Share, Stop, Weights};
use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

/// One roll by itself.
pub(super) struct Single {
    /// Whose it is.
    pub nest: usize,
    /// One copy of its layout.
    pub layout: nest::Layout,
    /// Whether its pulls keep their order.
    pub fixed: bool,
}

/// The layouts as the order of cutting sees them.
struct Seen {
    singles: Vec<Single>,
    job: Job,
    hands: Hands,
    first: shop::First,
    /// What the first order and the blanket that is used up come to.
    points: u64,
}

impl Seen {
    fn of(
        sheets: &[&Wanted],
        layouts: &[Layouts],
        rules: &crate::rules::Sequence,
        stop: Stop<'_>,
    ) -> Self {
        let singles = singles(sheets, layouts);
        let (job, hands) = job(sheets, &singles, rules);
        let first = shop::first(&job, stop);
        let points = first.points().saturating_add(used_up(sheets, layouts, rules.blanket));
        Self { singles, job, hands, first, points }
    }
}

/// Orders the pulls of all nests and lays them anew; the layouts as they are, or filled kit by kit
/// ([`regrouped`]) where these cost fewer points. Where somebody wants to stop, the order that is found by then
/// counts.
pub(super) fn ordered(
    sheets: &[&Wanted],
    layouts: &mut [Layouts],
    (rules, stop): (&crate::rules::Sequence, Stop<'_>),
) -> Sequence {
    let uses = sheets.iter().flat_map(|sheet| &sheet.pieces).flat_map(|piece| &piece.uses);
    let kits = uses.map(|u| (u.release, u.item.as_str())).collect::<BTreeSet<_>>().len();
    let windows = [kits / KITS, kits / KITS / 2].into_iter().filter(|&windows| windows > 1);
    let windows = windows.chain([0]).filter(|_| kits > 1);
    let as_they_are: &[Layouts] = layouts;
    let (mut seen, by_kits) = rayon::join(
        || Seen::of(sheets, as_they_are, rules, stop),
        || {
            let mut windows = windows;
            let regrouped = |windows, filling| {
                regrouped(sheets, as_they_are, (rules, stop), (windows, filling))
            };
            let exact = windows.find_map(|n| regrouped(n, Filling::Exact));
            let few = [Filling::InOrder, Filling::FirstOnes].into_iter().filter(|_| kits > 1);
            let others = exact.into_iter().chain(few.filter_map(|filling| regrouped(0, filling)));
            let seen = others.map(|other| (Seen::of(sheets, &other, rules, stop), other));
            seen.min_by_key(|(seen, _)| seen.points)
        },
    );
    if let Some((by_kits, other)) = by_kits.filter(|(by_kits, _)| by_kits.points < seen.points) {
        layouts.clone_from_slice(&other);
        seen = by_kits;
    }
    let Seen { mut singles, job, mut hands, first, .. } = seen;
    let done = shop::ordered(&job, first, stop);
    let mut of_single: Vec<Vec<usize>> = vec![Vec::new(); singles.len()];
    for &pull in &done.order {
        of_single[done.rolls[pull]].push(pull);
    }
    let all: Vec<nest::Pull> =
        singles.iter().flat_map(|single| single.layout.pulls.iter().cloned()).collect();
    for (single, order) in singles.iter_mut().zip(&of_single) {
        let pulls: Vec<&nest::Pull> = order.iter().map(|&pull| &all[pull]).collect();
        single.layout.pulls = laid(&single.layout.pulls, &pulls);
    }
    let names = merged(&singles, &done.order, &done.rolls, layouts);
    let mut at = vec![0; singles.len()];
    let mut steps = Vec::with_capacity(done.order.len());
    for (&pull, dealt) in done.order.iter().zip(&done.dealt) {
        let single = done.rolls[pull];
        let (roll, copy) = names[single];
        let number = at[single];
        at[single] += 1;
        let placements = &singles[single].layout.pulls[number].placements;
        let uses = hands.serve(singles[single].nest, placements, dealt);
        steps.push(Step { roll, copy, pull: number, uses });
    }
    Sequence {
        steps,
        open_kits: done.score.most(),
        open_kits_bound: done.bound,
        setups: done.score.setups,
        roll_changes: done.score.rolls,
        late: done.score.late,
        stopped: stop(),
    }
}

fn singles(sheets: &[&Wanted], layouts: &[Layouts]) -> Vec<Single> {
    let mut singles = Vec::new();
    for (nest, list) in layouts.iter().enumerate() {
        for layout in list {
            let fixed = spacing(&sheets[nest].cutting, &layout.pulls).is_none();
            for _ in 0..layout.copies {
                let layout = nest::Layout { copies: 1, ..layout.clone() };
                singles.push(Single { nest, layout, fixed });
            }
        }
    }
    singles
}

/// The gap between neighbouring pulls where all are equal and wide enough.
pub(super) fn spacing(cutting: &crate::cutting::Cutting, pulls: &[nest::Pull]) -> Option<Length> {
    let mut gaps = pulls.windows(2).map(|two| two[1].y - (two[0].y + two[0].length));
    let Some(gap) = gaps.next() else { return Some(Length::ZERO) };
    (gap >= cutting.gap && gaps.all(|other| other == gap)).then_some(gap)
}

/// Other pulls, as long together, laid where these lie, with the gaps that these have.
fn laid(pulls: &[nest::Pull], others: &[&nest::Pull]) -> Vec<nest::Pull> {
    let gap = |at: usize| match at {
        0 => Length::ZERO,
        _ => pulls[at].y - (pulls[at - 1].y + pulls[at - 1].length),
    };
    let mut y = pulls.first().map_or(Length::ZERO, |p| p.y);
    let mut out = Vec::with_capacity(others.len());
    for (at, pull) in others.iter().enumerate() {
        y += gap(at);
        out.push(pull.moved(y - pull.y));
        y += pull.length;
    }
    out
}

/// For each nest and piece, the uses by kit: (kit, index into the piece's uses, quantity).
type Uses = Vec<Vec<Vec<(usize, usize, u64)>>>;

/// Kits in a window; our choice: smaller ones use up more blanket than fewer open kits are worth.
const KITS: usize = 40;

/// What the blanket comes to that is used up, in points: rolls less what is worth keeping of their
/// ends.
fn used_up(sheets: &[&Wanted], layouts: &[Layouts], points: u64) -> u64 {
    let used = |sheet: &Wanted, layout: &nest::Layout| {
        let (roll, far) = (&sheet.rolls[layout.roll], layout.far_end());
        let length = roll.length.unwrap_or(far);
        let used = if sheet.keep.worth(roll.width, length - far) { far } else { length };
        i128::from(used.nm()) * i128::from(layout.copies)
    };
    let all = sheets.iter().zip(layouts);
    let nm: i128 = all.map(|(s, list)| list.iter().map(|l| used(s, l)).sum::<i128>()).sum();
    u64::try_from(nm * i128::from(points) / 1_000_000_000).unwrap_or(u64::MAX)
}

/// The job as [`shop`] sees it; pulls in the order of the rolls.
pub(super) fn job(
    sheets: &[&Wanted],
    singles: &[Single],
    rules: &crate::rules::Sequence,
) -> (Job, Hands) {
    let mut kits: BTreeMap<(u32, &str), usize> = BTreeMap::new();
    let all = || sheets.iter().flat_map(|sheet| &sheet.pieces).flat_map(|piece| &piece.uses);
    for used in all() {
        let next = kits.len();
        kits.entry((used.release, used.item.as_str())).or_insert(next);
    }
    for (number, kit) in kits.values_mut().enumerate() {
        *kit = number;
    }
    let releases = kits.keys().map(|(release, _)| *release).collect();
    let is_begun = |item: &str| sheets.iter().any(|sheet| sheet.begun.contains(item));
    let begun = kits.iter().filter(|((_, item), _)| is_begun(item)).map(|(_, kit)| *kit).collect();
    let mut first_piece = Vec::with_capacity(sheets.len());
    let (mut shares, mut uses): (Vec<Vec<Share>>, Uses) = (Vec::new(), Vec::new());
    for sheet in sheets {
        first_piece.push(shares.len());
        let mut of_sheet = Vec::with_capacity(sheet.pieces.len());
        for piece in &sheet.pieces {
            let mut by_kit: BTreeMap<usize, u64> = BTreeMap::new();
            let mut list = Vec::with_capacity(piece.uses.len());
            for (at, used) in piece.uses.iter().enumerate() {
                let kit = kits.get(&(used.release, used.item.as_str())).copied().unwrap_or(0);
                *by_kit.entry(kit).or_default() += used.quantity;
                list.push((kit, at, used.quantity));
            }
            let share = |(kit, quantity)| Share { kit, quantity };
            shares.push(by_kit.into_iter().map(share).collect());
            of_sheet.push(list);
        }
        uses.push(of_sheet);
    }
    let mut slots: BTreeMap<(usize, Length, Length), usize> = BTreeMap::new();
    let mut setups: BTreeMap<Vec<i64>, usize> = BTreeMap::new();
    let mut pulls = Vec::new();
    for (roll, single) in singles.iter().enumerate() {
        let sheet = sheets[single.nest];
        for pull in &single.layout.pulls {
            let key = knives(sheet, single.nest, pull);
            let next = setups.len();
            let setup = *setups.entry(key).or_insert(next);
            let mut counts: BTreeMap<usize, u64> = BTreeMap::new();
            for place in &pull.placements {
                *counts.entry(first_piece[single.nest] + place.piece).or_default() += 1;
            }
            let next = slots.len();
            let width = sheet.rolls[single.layout.roll].width;
            let slot = *slots.entry((single.nest, width, pull.length)).or_insert(next);
            pulls.push(shop::Pull { roll, slot, setup, pieces: counts.into_iter().collect() });
        }
    }
    let fixed = singles.iter().map(|single| single.fixed).collect();
    let job = Job { pulls, fixed, shares, releases, begun, weights: Weights::from(rules) };
    (job, Hands { left: uses, first_piece })
}

/// What a setting of the knives is: the thickness, and where across the roll pieces begin and end.
fn knives(sheet: &Wanted, nest: usize, pull: &nest::Pull) -> Vec<i64> {
    let mut places: Vec<i64> = Vec::with_capacity(2 * pull.placements.len());
    for place in &pull.placements {
        let Rect { x, width, .. } = super::cuts::Blank::placed(sheet, place).rect;
        places.extend([x.nm(), (x + width).nm()]);
    }
    places.sort_unstable();
    places.dedup();
    places.insert(0, i64::try_from(nest).unwrap_or(i64::MAX));
    places
}

/// Rolls cut alike as one entry with copies, in place of the layouts; for each roll its entry in the
/// plan and its copy, counted from 1 in the order of cutting.
fn merged(
    singles: &[Single],
    order: &[usize],
    rolls: &[usize],
    layouts: &mut [Layouts],
) -> Vec<(usize, u64)> {
    let mut begun: Vec<usize> = Vec::with_capacity(singles.len());
    let mut seen = vec![false; singles.len()];
    for &pull in order {
        let single = rolls[pull];
        if !std::mem::replace(&mut seen[single], true) {
            begun.push(single);
        }
    }
    let mut names = vec![(0, 0); singles.len()];
    let mut base = 0;
    for (nest, list) in layouts.iter_mut().enumerate() {
        let mut alike: BTreeMap<_, Vec<usize>> = BTreeMap::new();
        for &at in begun.iter().filter(|&&at| singles[at].nest == nest) {
            let layout = &singles[at].layout;
            let key = (layout.roll, layout.pulls.iter().map(pull_key).collect::<Vec<_>>());
            alike.entry(key).or_default().push(at);
        }
        let mut entries: Vec<(nest::Layout, Vec<usize>)> = alike
            .into_values()
            .map(|rolls| {
                let copies = rolls.len() as u64;
                (nest::Layout { copies, ..singles[rolls[0]].layout.clone() }, rolls)
            })
            .collect();
        entries.sort_by_key(|(l, _)| (l.roll, std::cmp::Reverse((l.copies, l.far_end()))));
        list.clear();
        for (number, (layout, rolls)) in entries.into_iter().enumerate() {
            for (copy, roll) in rolls.into_iter().enumerate() {
                names[roll] = (base + number, copy as u64 + 1);
            }
            list.push(layout);
        }
        base += list.len();
    }
    names
}

/// What each use still needs, as pieces are handed out.
pub(super) struct Hands {
    left: Uses,
    /// For each nest the number of its first piece.
    first_piece: Vec<usize>,
}

impl Hands {
    /// For each placement of a pull the use that its piece goes to: kits as dealt, and within a kit
    /// layers from the innermost.
    fn serve(
        &mut self,
        nest: usize,
        placements: &[nest::Placement],
        dealt: &[(usize, Option<usize>, u64)],
    ) -> Vec<Option<usize>> {
        let mut dealt = dealt.to_vec();
        let mut next = |piece: usize| {
            let entry = dealt.iter_mut().find(|d| d.0 == piece && d.2 > 0)?;
            entry.2 -= 1;
            entry.1
        };
        let first = self.first_piece[nest];
        placements
            .iter()
            .map(|place| {
                let kit = next(first + place.piece)?;
                let uses = &mut self.left[nest][place.piece];
                let used = uses.iter_mut().find(|(of, _, left)| *of == kit && *left > 0)?;
                used.2 -= 1;
                Some(used.1)
            })
            .collect()
    }
}

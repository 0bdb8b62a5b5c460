//! Pulls in the order of the kits, without regard to rolls.
//!
//! Steps: of the kits of the earliest release that still wait, open ones and the next few others,
//! choose for each the pulls that would make it whole; cut those of the kit that opens fewest kits
//! for those made whole; go on. A kit's pulls: of every piece it lacks, pulls that yield nothing
//! else, as far as there are any; for the rest mixed pulls, always the one that opens fewest kits
//! for each lacking piece it yields.
//!
//! The work is bounded: where there are very many kits for one piece, or somebody wants to stop, the kits
//! that still wait then get the next pulls that yield what they lack, one kit after another.

use super::deal::Kits;
use super::{Job, Stop};
use std::cmp::Reverse;
use std::collections::BTreeSet;

/// Pulls looked at for one lacking piece.
const LOOK: usize = 12;
/// Kits looked at, all in all; decides how many at each step.
const TRIES: usize = 24_000;
/// Shares and pulls looked at before the other kits are taken as they come; our choice: some seconds.
const WORK: u64 = 2_000_000_000;

/// An order of all pulls.
pub(super) struct Kitwise {
    /// The pulls.
    pub order: Vec<usize>,
    /// For each pull, the number of the release it was cut for, from 0.
    pub phase: Vec<usize>,
}

/// Orders the pulls kit by kit.
pub(super) fn kitwise(job: &Job, stop: Stop<'_>) -> Kitwise {
    within(job, WORK, stop)
}

/// [`kitwise`] with so much work.
fn within(job: &Job, work: u64, stop: Stop<'_>) -> Kitwise {
    let mut stock = Stock::of(job);
    let mut kits = Kits::of(job);
    let mut releases = job.releases.clone();
    releases.sort_unstable();
    releases.dedup();
    let mut sorted: Vec<usize> = (0..job.releases.len()).collect();
    sorted.sort_by_key(|&kit| (job.releases[kit], kit));
    let look = (TRIES / sorted.len().max(1)).clamp(2, 16);
    let mut made = Kitwise { order: Vec::new(), phase: vec![0; job.pulls.len()] };
    let last = releases.len().saturating_sub(1);
    let phase = |release: u32| releases.binary_search(&release).unwrap_or(last);
    loop {
        sorted.retain(|&kit| kits.waits(kit));
        let Some(release) = sorted.first().map(|&kit| job.releases[kit]) else { break };
        if kits.looked + stock.looked > work || stop() {
            break;
        }
        let now = sorted.iter().take_while(|&&kit| job.releases[kit] == release);
        let mut closed = 0;
        let looked: Vec<usize> = now
            .copied()
            .filter(|&kit| {
                closed += usize::from(!kits.is_open(kit));
                kits.is_open(kit) || closed <= look
            })
            .collect();
        stock.step += 1;
        let tried = looked.iter().map(|&kit| {
            let pulls = stock.for_kit(job, &mut kits, kit);
            let (opened, whole) = kits.try_on(job, &pulls);
            ((opened + job.releases.len() - whole, opened, pulls.len(), kit), pulls)
        });
        let Some(((.., kit), pulls)) = tried.min_by_key(|t| t.0) else { break };
        if pulls.is_empty() {
            // Nothing yields what it lacks.
            sorted.retain(|&other| other != kit);
            continue;
        }
        kits.cut(job, &pulls);
        for pull in pulls {
            stock.take(job, pull);
            made.phase[pull] = phase(release);
            made.order.push(pull);
        }
        stock.tidy();
    }
    for kit in sorted {
        while let Some(pull) = stock.next_for(&kits, kit) {
            kits.cut(job, &[pull]);
            stock.take(job, pull);
            made.phase[pull] = phase(job.releases[kit]);
            made.order.push(pull);
        }
    }
    for pull in 0..job.pulls.len() {
        if !stock.used[pull] {
            made.phase[pull] = last;
            made.order.push(pull);
        }
    }
    made
}

/// The pulls that are not cut yet.
struct Stock {
    used: Vec<bool>,
    /// For each piece, the pulls that yield nothing else, the next one last.
    plain: Vec<Vec<usize>>,
    /// For each piece, the pulls that yield others too, the next one last.
    mixed: Vec<Vec<usize>>,
    /// For each piece, how many of its mixed pulls are cut and still in the list.
    gone: Vec<usize>,
    /// For each kit, its pieces and which of their shares it is.
    needs: Vec<Vec<(usize, usize)>>,
    /// The number of the step, from 1; while it lasts nothing is cut.
    step: u64,
    /// For each pull the step in which it was last tried by itself, and how many kits it would open.
    opens: Vec<(u64, u64)>,
    /// Pulls looked at.
    looked: u64,
}

impl Stock {
    fn of(job: &Job) -> Self {
        let none = || vec![Vec::new(); job.shares.len()];
        let (mut plain, mut mixed) = (none(), none());
        for (pull, of) in job.pulls.iter().enumerate().rev() {
            for &(piece, _) in &of.pieces {
                let list = if of.pieces.len() == 1 { &mut plain } else { &mut mixed };
                list[piece].push(pull);
            }
        }
        let mut needs = vec![Vec::new(); job.releases.len()];
        for (piece, shares) in job.shares.iter().enumerate() {
            for (at, share) in shares.iter().enumerate() {
                needs[share.kit].push((piece, at));
            }
        }
        let (used, opens) = (vec![false; job.pulls.len()], vec![(0, 0); job.pulls.len()]);
        let gone = vec![0; job.shares.len()];
        Self { used, plain, mixed, gone, needs, step: 0, opens, looked: 0 }
    }

    /// Takes a pull that is cut.
    fn take(&mut self, job: &Job, pull: usize) {
        self.used[pull] = true;
        let pieces = &job.pulls[pull].pieces;
        for (piece, _) in pieces.iter().filter(|_| pieces.len() > 1) {
            self.gone[*piece] += 1;
        }
    }

    /// Clears the lists of what is cut: their ends always, a whole one where half of it is cut.
    fn tidy(&mut self) {
        let used = &self.used;
        for list in &mut self.plain {
            while list.last().is_some_and(|&pull| used[pull]) {
                list.pop();
            }
        }
        for (list, gone) in self.mixed.iter_mut().zip(&mut self.gone) {
            while list.last().is_some_and(|&pull| used[pull]) {
                list.pop();
                *gone -= 1;
            }
            if *gone * 2 > list.len() {
                list.retain(|&pull| !used[pull]);
                *gone = 0;
            }
        }
    }

    /// The pulls that would make a kit whole if it got all it lacks of them.
    fn for_kit(&mut self, job: &Job, kits: &mut Kits, kit: usize) -> Vec<usize> {
        let mut chosen: Vec<usize> = Vec::new();
        let yields = |pull: usize, piece: usize| {
            job.pulls[pull].pieces.iter().find(|p| p.0 == piece).map_or(0, |p| p.1)
        };
        let mut lack: Vec<(usize, u64)> = Vec::new();
        for &(piece, share) in &self.needs[kit] {
            let mut left = kits.lacks(piece, share);
            for &pull in self.plain[piece].iter().rev().filter(|&&pull| !self.used[pull]) {
                if left == 0 {
                    break;
                }
                left = left.saturating_sub(yields(pull, piece));
                chosen.push(pull);
            }
            if left > 0 {
                lack.push((piece, left));
            }
        }
        let plain = chosen.len();
        let mut mine: BTreeSet<usize> = BTreeSet::new();
        while let Some(&(piece, _)) = lack.first() {
            let mut next = self.mixed[piece].iter().rev().copied();
            // The pulls that are looked at, and how many kits each would open.
            let mut window: Vec<(usize, u64)> = Vec::with_capacity(LOOK);
            while lack.first().is_some_and(|first| first.0 == piece) {
                while window.len() < LOOK {
                    let Some(pull) = next.next() else { break };
                    self.looked += 1;
                    if self.used[pull] || mine.contains(&pull) {
                        continue;
                    }
                    if self.opens[pull].0 != self.step {
                        let opened = kits.try_on(job, &[pull]).0 as u64;
                        self.opens[pull] = (self.step, opened);
                    }
                    window.push((pull, self.opens[pull].1));
                }
                let best = window.iter().enumerate().min_by_key(|&(_, &(pull, opened))| {
                    let helps: u64 =
                        lack.iter().map(|&(piece, left)| left.min(yields(pull, piece))).sum();
                    (opened * 1000 / helps.max(1), Reverse(helps), pull)
                });
                self.looked += window.len() as u64;
                let Some((at, &(pull, _))) = best else {
                    lack.remove(0);
                    break;
                };
                window.remove(at);
                mine.insert(pull);
                chosen.push(pull);
                for (piece, left) in &mut lack {
                    *left = left.saturating_sub(yields(pull, *piece));
                }
                lack.retain(|l| l.1 > 0);
            }
        }
        // Mixed ones first: what they yield for the kit need not be cut again.
        chosen.rotate_left(plain);
        chosen
    }

    /// The next pull that yields something a kit lacks, plain ones first.
    fn next_for(&mut self, kits: &Kits, kit: usize) -> Option<usize> {
        let used = &self.used;
        for &(piece, share) in &self.needs[kit] {
            if kits.lacks(piece, share) == 0 {
                continue;
            }
            for list in [&mut self.plain[piece], &mut self.mixed[piece]] {
                while let Some(pull) = list.pop() {
                    if !used[pull] {
                        return Some(pull);
                    }
                }
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Pull, Share, Weights};
    use super::*;
    use proptest::prelude::*;

    /// The same order by going through all pulls for each choice.
    fn plain_way(job: &Job) -> Vec<usize> {
        let (mut stock, mut kits) = (Stock::of(job), Kits::of(job));
        let mut sorted: Vec<usize> = (0..job.releases.len()).collect();
        sorted.sort_by_key(|&kit| (job.releases[kit], kit));
        let mut order: Vec<usize> = Vec::new();
        loop {
            sorted.retain(|&kit| kits.waits(kit));
            let Some(&first) = sorted.first() else { break };
            let mut closed = 0;
            let looked: Vec<usize> = sorted
                .iter()
                .copied()
                .filter(|&kit| job.releases[kit] == job.releases[first])
                .filter(|&kit| {
                    closed += usize::from(!kits.is_open(kit));
                    kits.is_open(kit) || closed <= 16
                })
                .collect();
            let tried = looked.iter().map(|&kit| {
                let pulls = plain_choice(&stock, job, &mut kits, kit);
                let (opened, whole) = kits.try_on(job, &pulls);
                ((opened + job.releases.len() - whole, opened, pulls.len(), kit), pulls)
            });
            let ((.., kit), pulls) = tried.min_by_key(|t| t.0).unwrap();
            if pulls.is_empty() {
                sorted.retain(|&other| other != kit);
            }
            kits.cut(job, &pulls);
            for pull in pulls {
                stock.used[pull] = true;
                order.push(pull);
            }
        }
        order.extend((0..job.pulls.len()).filter(|&pull| !stock.used[pull]));
        order
    }

    fn plain_choice(stock: &Stock, job: &Job, kits: &mut Kits, kit: usize) -> Vec<usize> {
        let yields = |pull: usize, piece: usize| {
            job.pulls[pull].pieces.iter().find(|p| p.0 == piece).map_or(0, |p| p.1)
        };
        let (mut plain, mut mixed): (Vec<usize>, Vec<usize>) = (Vec::new(), Vec::new());
        let mut lack: Vec<(usize, u64)> = Vec::new();
        for &(piece, share) in &stock.needs[kit] {
            let mut left = kits.lacks(piece, share);
            for pull in (0..job.pulls.len()).filter(|&pull| !stock.used[pull]) {
                if left > 0 && job.pulls[pull].pieces.len() == 1 && yields(pull, piece) > 0 {
                    left = left.saturating_sub(yields(pull, piece));
                    plain.push(pull);
                }
            }
            if left > 0 {
                lack.push((piece, left));
            }
        }
        while let Some(&(piece, _)) = lack.first() {
            let free = (0..job.pulls.len()).filter(|&pull| {
                let others = job.pulls[pull].pieces.len() > 1;
                others && yields(pull, piece) > 0 && !stock.used[pull] && !mixed.contains(&pull)
            });
            let best = free.take(LOOK).min_by_key(|&pull| {
                let helps: u64 = lack.iter().map(|l| l.1.min(yields(pull, l.0))).sum();
                let opened = kits.try_on(job, &[pull]).0 as u64;
                (opened * 1000 / helps.max(1), Reverse(helps), pull)
            });
            let Some(pull) = best else {
                lack.remove(0);
                continue;
            };
            mixed.push(pull);
            for (piece, left) in &mut lack {
                *left = left.saturating_sub(yields(pull, *piece));
            }
            lack.retain(|l| l.1 > 0);
        }
        mixed.extend(plain);
        mixed
    }

    /// Pulls of one to three of four pieces, and kits of two releases that want them.
    fn jobs() -> impl Strategy<Value = Job> {
        let pull = prop::collection::btree_map(0_usize..4, 1_u64..4, 1..4);
        let wanted = prop::collection::vec((1_u32..3, prop::collection::vec(0_u64..9, 4)), 1..7);
        (prop::collection::vec(pull, 1..60), wanted).prop_map(|(pulls, wanted)| {
            let pull = |(at, pieces): (usize, std::collections::BTreeMap<usize, u64>)| Pull {
                roll: at / 8,
                slot: 0,
                setup: 0,
                pieces: pieces.into_iter().collect(),
            };
            let share = |piece: usize| {
                let wants = wanted.iter().map(move |kit| kit.1[piece]).enumerate();
                let wants = wants.filter(|w| w.1 > 0);
                wants.map(|(kit, quantity)| Share { kit, quantity }).collect()
            };
            Job {
                fixed: vec![false; pulls.len().div_ceil(8)],
                pulls: pulls.into_iter().enumerate().map(pull).collect(),
                shares: (0..4).map(share).collect(),
                releases: wanted.iter().map(|kit| kit.0).collect(),
                begun: Vec::new(),
                weights: Weights::default(),
            }
        })
    }

    proptest! {
        #[test]
        fn pulls_are_chosen_as_by_going_through_all_of_them(job in jobs()) {
            prop_assert_eq!(kitwise(&job, &|| false).order, plain_way(&job));
        }

        /// However early the work ends or somebody stops.
        #[test]
        fn every_pull_is_cut_once_and_in_its_release(job in jobs(), work in 0_u64..400) {
            let whole = kitwise(&job, &|| false);
            prop_assert_eq!(within(&job, u64::MAX, &|| false).order, whole.order);
            for made in [within(&job, work, &|| false), kitwise(&job, &|| true)] {
                let mut pulls = made.order.clone();
                pulls.sort_unstable();
                prop_assert_eq!(pulls, (0..job.pulls.len()).collect::<Vec<_>>());
                // What waits is taken by release, so phases never fall, but for what nobody needs.
                let releases = job.releases.iter().collect::<std::collections::BTreeSet<_>>().len();
                prop_assert!(made.phase.iter().all(|&phase| phase < releases));
                let phases: Vec<usize> = made.order.iter().map(|&pull| made.phase[pull]).collect();
                prop_assert!(phases.is_sorted());
            }
        }
    }

    /// One kit of very many mixed pulls: each choice went through all that were chosen before it.
    #[test]
    fn a_kit_of_very_many_pulls_takes_no_time() {
        let pulls = 60_000;
        let pull = Pull { roll: 0, slot: 0, setup: 0, pieces: vec![(0, 1), (1, 1)] };
        let job = Job {
            pulls: vec![pull; pulls],
            fixed: vec![false],
            shares: vec![vec![Share { kit: 0, quantity: pulls as u64 }]; 2],
            releases: vec![1],
            begun: Vec::new(),
            weights: Weights::default(),
        };
        let mut stock = Stock::of(&job);
        stock.step = 1;
        let chosen = stock.for_kit(&job, &mut Kits::of(&job), 0);
        assert_eq!(chosen, (0..pulls).collect::<Vec<_>>());
        assert!(stock.looked <= (LOOK as u64 + 1) * pulls as u64, "{}", stock.looked);
    }
}

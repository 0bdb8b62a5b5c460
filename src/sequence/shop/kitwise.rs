//! Pulls in the order of the kits, without regard to rolls.
//!
//! Steps: of the kits of the earliest release that still wait, open ones and the next few others,
//! choose for each the pulls that would make it whole; cut those of the kit that opens fewest kits
//! for those made whole; go on. A kit's pulls: of every piece it lacks, pulls that yield nothing
//! else, as far as there are any; for the rest mixed pulls, always the one that opens fewest kits
//! for each lacking piece it yields.

use super::Job;
use super::deal::Kits;
use std::cmp::Reverse;

/// Pulls looked at for one lacking piece.
const LOOK: usize = 12;
/// Kits looked at, all in all; decides how many at each step.
const TRIES: usize = 24_000;

/// An order of all pulls.
pub(super) struct Kitwise {
    /// The pulls.
    pub order: Vec<usize>,
    /// For each pull, the number of the release it was cut for, from 0.
    pub phase: Vec<usize>,
}

/// Orders the pulls kit by kit.
pub(super) fn kitwise(job: &Job) -> Kitwise {
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
    loop {
        sorted.retain(|&kit| kits.waits(kit));
        let Some(release) = sorted.first().map(|&kit| job.releases[kit]) else { break };
        let now = sorted.iter().take_while(|&&kit| job.releases[kit] == release);
        let mut closed = 0;
        let looked: Vec<usize> = now
            .copied()
            .filter(|&kit| {
                closed += usize::from(!kits.is_open(kit));
                kits.is_open(kit) || closed <= look
            })
            .collect();
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
        let phase = releases.binary_search(&release).unwrap_or(last);
        for pull in pulls {
            stock.used[pull] = true;
            made.phase[pull] = phase;
            made.order.push(pull);
        }
        stock.tidy();
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
    /// For each kit, its pieces and which of their shares it is.
    needs: Vec<Vec<(usize, usize)>>,
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
        Self { used: vec![false; job.pulls.len()], plain, mixed, needs }
    }

    fn tidy(&mut self) {
        let used = &self.used;
        for list in self.plain.iter_mut().chain(&mut self.mixed) {
            while list.last().is_some_and(|&pull| used[pull]) {
                list.pop();
            }
        }
    }

    /// The pulls that would make a kit whole if it got all it lacks of them.
    fn for_kit(&self, job: &Job, kits: &mut Kits, kit: usize) -> Vec<usize> {
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
        while let Some(&(piece, _)) = lack.first() {
            let free = self.mixed[piece].iter().rev();
            let free = free.filter(|&&p| !self.used[p] && !chosen[plain..].contains(&p));
            let best = free.take(LOOK).min_by_key(|&&pull| {
                let helps: u64 =
                    lack.iter().map(|&(piece, left)| left.min(yields(pull, piece))).sum();
                let opened = kits.try_on(job, &[pull]).0 as u64;
                (opened * 1000 / helps.max(1), Reverse(helps), pull)
            });
            let Some(&pull) = best else {
                lack.remove(0);
                continue;
            };
            chosen.push(pull);
            for (piece, left) in &mut lack {
                *left = left.saturating_sub(yields(pull, *piece));
            }
            lack.retain(|l| l.1 > 0);
        }
        // Mixed ones first: what they yield for the kit need not be cut again.
        chosen.rotate_left(plain);
        chosen
    }
}

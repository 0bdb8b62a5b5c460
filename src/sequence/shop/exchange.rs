//! Pulls of one length change rolls, so that what is needed early lies on few rolls.
//!
//! Pulls in the same slot (length, and rolls of one width and thickness) may lie on each other's
//! rolls: every roll stays as full as it is. Steps: kit by kit, by release, choose the pulls that
//! the kit needs; that numbers all pulls by when they are wanted. Then roll by roll, always the one
//! that the pulls wanted soonest fill best: put into each of its slots the pull of that slot that
//! is wanted soonest of those left.

use super::phases::cover;
use super::{Job, Pull, Stop};
use std::collections::{BTreeMap, VecDeque};

/// More rolls than this are taken as they come.
const ROLLS: usize = 300;
/// Pulls looked at for all kits together; the kits left then want theirs last. Our choice: some seconds.
const WORK: usize = 100_000_000;
/// After so many, each kit looks at no more than so many pulls of a piece beside as many as it wants, those that stand
/// first.
const SPARING: usize = 2_000_000;
const FEW: usize = 100;

/// For each pull its new roll; rolls that keep their order keep their pulls.
pub(super) fn exchanged(job: &Job, stop: Stop<'_>) -> Vec<usize> {
    let wanted = wanted(job, stop);
    let mut left: BTreeMap<usize, VecDeque<usize>> = BTreeMap::new();
    let mut by_time: Vec<usize> = (0..job.pulls.len()).collect();
    by_time.sort_by_key(|&pull| (wanted[pull], pull));
    for &pull in by_time.iter().filter(|&&pull| !job.fixed[job.pulls[pull].roll]) {
        left.entry(job.pulls[pull].slot).or_default().push_back(pull);
    }
    let mut slots: Vec<Vec<usize>> = vec![Vec::new(); job.fixed.len()];
    for pull in &job.pulls {
        if !job.fixed[pull.roll] {
            slots[pull.roll].push(pull.slot);
        }
    }
    let mut rolls: Vec<usize> = job.pulls.iter().map(|pull| pull.roll).collect();
    let mut open: Vec<usize> = (0..slots.len()).filter(|&roll| !slots[roll].is_empty()).collect();
    while !open.is_empty() {
        let look = if open.len() > ROLLS { 1 } else { open.len() };
        let best = (0..look).min_by_key(|&at| (mean(&slots[open[at]], &left, &wanted), at));
        let roll = open.remove(best.unwrap_or(0));
        for slot in &slots[roll] {
            if let Some(pull) = left.get_mut(slot).and_then(VecDeque::pop_front) {
                rolls[pull] = roll;
            }
        }
    }
    rolls
}

/// When the pulls that would fill these slots are wanted, on average, in thousandths of a kit.
fn mean(slots: &[usize], left: &BTreeMap<usize, VecDeque<usize>>, wanted: &[usize]) -> usize {
    let mut taken: BTreeMap<usize, usize> = BTreeMap::new();
    let mut sum = 0;
    for slot in slots {
        let next = taken.entry(*slot).or_default();
        let pull = left.get(slot).and_then(|list| list.get(*next));
        *next += 1;
        sum += pull.map_or(0, |&pull| wanted[pull]);
    }
    sum * 1000 / slots.len().max(1)
}

/// For each pull the place, in the order of kits by release, of the kit that it is chosen for; behind all
/// of them where it is chosen for none, or the work ends before.
fn wanted(job: &Job, stop: Stop<'_>) -> Vec<usize> {
    let mut kits: Vec<usize> = (0..job.releases.len()).collect();
    kits.sort_by_key(|&kit| (job.releases[kit], kit));
    let mut needs: Vec<Vec<(usize, u64)>> = vec![Vec::new(); kits.len()];
    for (piece, shares) in job.shares.iter().enumerate() {
        for share in shares {
            needs[share.kit].push((piece, share.quantity));
        }
    }
    let mut when = vec![kits.len(); job.pulls.len()];
    let mut free = vec![true; job.pulls.len()];
    let mut need = vec![0_u64; job.shares.len()];
    let mut spare = vec![0_u64; job.shares.len()];
    let mut yields: Vec<Vec<usize>> = vec![Vec::new(); job.shares.len()];
    for (at, Pull { pieces, .. }) in job.pulls.iter().enumerate() {
        for (piece, _) in pieces {
            yields[*piece].push(at);
        }
    }
    // Before these all pulls of a piece are taken.
    let mut first = vec![0_usize; yields.len()];
    let mut looked = 0;
    for (place, &kit) in kits.iter().enumerate() {
        if looked > WORK || stop() {
            break;
        }
        let mut may: Vec<usize> = Vec::new();
        for &(piece, quantity) in &needs[kit] {
            let from_spare = spare[piece].min(quantity);
            spare[piece] -= from_spare;
            need[piece] += quantity - from_spare;
            if need[piece] > 0 {
                let (all, from) = (&yields[piece], &mut first[piece]);
                *from += all[*from..].iter().take_while(|&&pull| !free[pull]).count();
                let most = usize::try_from(need[piece]).unwrap_or(usize::MAX).saturating_add(FEW);
                let most = if looked > SPARING { most } else { usize::MAX };
                let open = all[*from..].iter().filter(|&&pull| free[pull]).take(most);
                let before = may.len();
                may.extend(open);
                looked += 1 + may.len() - before;
            }
        }
        may.sort_unstable();
        may.dedup();
        for pull in cover(job, &may, &mut need, &mut spare) {
            free[pull] = false;
            when[pull] = place;
        }
    }
    when
}

//! Whole choices from the programme: settle what is nearly whole, generate again, go on; then choose
//! parts anew.
//!
//! Pulls stay fractions here: with the choices made, the rest is an ordinary instance, for which the
//! straight engine finds whole pulls.

use super::generate::{Limit, generate};
use super::master::Master;
use crate::nest::straight::effort::Effort;
use crate::nest::straight::lots::Lots;

/// How bold a dive is.
#[derive(Clone, Copy, Debug)]
struct Boldness {
    /// Fractions from here on are settled in one step.
    from: f64,
    /// At most one in so many of the open groups in one step.
    share: usize,
    /// Rounds of generation between steps.
    rounds: usize,
    /// Fractions are raised by up to so much by lot.
    noise: f64,
}

const DIVES: [Boldness; 3] = [
    Boldness { from: 0.8, share: 12, rounds: 2, noise: 0.0 },
    Boldness { from: 0.9, share: 24, rounds: 3, noise: 0.0 },
    Boldness { from: 0.5, share: 12, rounds: 2, noise: 0.1 },
];

/// A gap to the free programme that is not worth more dives.
const CLOSE: f64 = 3e-4;

/// A pull from which on is as good as whole.
const WHOLE: f64 = 0.95;

/// Tries of choosing a part anew.
const TRIES: usize = 20;

/// The best whole choices found.
pub(super) fn best<P: Clone + Ord>(
    master: &Master<P>,
    free: f64,
    (lots, effort): (&mut Lots, &Effort<'_>),
) -> Option<Master<P>> {
    let mut best: Option<(f64, Master<P>)> = None;
    let close = |best: &Option<(f64, Master<P>)>| {
        best.as_ref().is_some_and(|(value, _)| *value <= free * (1.0 + CLOSE))
    };
    for boldness in DIVES {
        if close(&best) || (best.is_some() && effort.over()) {
            break;
        }
        let mut diving = master.clone();
        if !dive(&mut diving, boldness, (lots, effort)) {
            continue;
        }
        let value = diving.value();
        if best.as_ref().is_none_or(|(old, _)| value < *old) {
            best = Some((value, diving));
        }
    }
    let (mut value, mut standing) = best?;
    for _ in 0..TRIES {
        if value <= free * (1.0 + CLOSE) || effort.over() {
            break;
        }
        let mut anew = standing.clone();
        open_some(&mut anew, lots);
        if !anew.optimise(effort) {
            continue;
        }
        generate(&mut anew, Limit::rounds(3), effort);
        if anew.value() > value * (1.0 - 1e-7) {
            continue;
        }
        let boldness = Boldness { from: 0.7, share: 6, rounds: 2, noise: 0.3 * lots.unit() };
        if dive(&mut anew, boldness, (lots, effort)) && anew.value() < value {
            (value, standing) = (anew.value(), anew);
        }
    }
    Some(standing)
}

/// Frees some groups by lot.
fn open_some<P: Clone + Ord>(master: &mut Master<P>, lots: &mut Lots) {
    let settled: Vec<usize> =
        (0..master.picks.len()).filter(|&p| master.picks[p].settled > 0).collect();
    let want = (3 + lots.below(12)).min(settled.len());
    for _ in 0..want {
        let pick = settled[lots.below(settled.len())];
        let things = master.picks[pick].settled;
        // What is taken back must not overdraw what is limited while it is open.
        let back = master.picks[pick].bill.extra * i64::try_from(things).unwrap_or(0);
        if things > 0 && master.extra_left + back >= 0 && master.is_open(pick) {
            master.settle(pick, -i64::try_from(things).unwrap_or(0));
        }
    }
}

/// Settles every group; false where the programme could not be solved on the way and nothing could
/// be settled.
fn dive<P: Clone + Ord>(
    master: &mut Master<P>,
    boldness: Boldness,
    (lots, effort): (&mut Lots, &Effort<'_>),
) -> bool {
    while master.left.iter().any(|&n| n > 0) {
        let taken = master.taken();
        let mut step = 0;
        let mut fractions: Vec<(f64, usize)> = Vec::new();
        for (pick, &weight) in taken.iter().enumerate() {
            let whole = floor(weight + 1e-6);
            let fraction = weight - weight.floor();
            if whole > 0 {
                step += settle(master, pick, whole);
            } else if fraction > 1e-6 {
                fractions.push((fraction + boldness.noise * lots.unit(), pick));
            }
        }
        if step == 0 {
            fractions.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
            let open = master.left.iter().filter(|&&n| n > 0).count();
            let most = if effort.over() { usize::MAX } else { (open / boldness.share).max(1) };
            for (at, &(fraction, pick)) in fractions.iter().enumerate() {
                let bold = at < most && (fraction >= boldness.from || effort.over());
                if step == 0 || bold {
                    step += settle(master, pick, 1);
                }
            }
        }
        if step == 0 {
            // Nothing may be settled as it stands: what is limited is used up. Take first bills.
            for pick in 0..master.picks.len() {
                if master.picks[pick].bill.extra <= 0 {
                    let left = master.left[master.picks[pick].group];
                    step += settle(master, pick, left);
                }
            }
        }
        if step == 0 {
            return false;
        }
        if master.left.iter().any(|&n| n > 0) {
            generate(master, Limit::rounds(boldness.rounds), effort);
            master.settle_pulls(WHOLE);
        }
    }
    generate(master, Limit::rounds(20), effort);
    !effort.over() || master.optimise_to_end()
}

/// Settles up to `things` of a bill, as far as its group and what is limited allow.
fn settle<P: Clone + Ord>(master: &mut Master<P>, pick: usize, things: u64) -> u64 {
    let extra = master.picks[pick].bill.extra;
    let mut things = things.min(master.left[master.picks[pick].group]);
    if extra > 0 {
        things = things.min(u64::try_from(master.extra_left / extra).unwrap_or(0));
    }
    if things > 0 {
        master.settle(pick, i64::try_from(things).unwrap_or(0));
    }
    things
}

/// The whole part of a weight.
#[expect(clippy::cast_possible_truncation, reason = "weights are bounded by counts")]
#[expect(clippy::cast_sign_loss, reason = "weights are not negative")]
fn floor(weight: f64) -> u64 {
    weight.max(0.0).floor() as u64
}

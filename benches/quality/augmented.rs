//! Instances of the kind of classes AI and ANI, made here: a small core that fills its bins exactly (or
//! nearly could), and triples that fill a bin and have no other exact fill when they are added.
//!
//! As Delorme, Iori and Martello, EJOR 255 (2016), describe their classes: the numbers of items and
//! the capacities are theirs, the cores and triples are drawn here.
//!
//! 1. Core: 15 pieces of three bins' length in all. Drawn until three bins hold them (kind AI) or do
//!    not although the area says so (kind ANI), as the engine finds.
//! 2. At each scale, rooms beside a long piece from half a bin downwards; the room is parted about
//!    5 to 1, and the triple is taken if the long piece has no other exact fill. Then all lengths
//!    are doubled, and odd ones come.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rollwright::nest::one::{Bin, Problem, solve};
use rollwright::nest::{Options, Quiet};
use std::collections::BTreeMap;

/// Items and how often lengths are doubled.
const CLASSES: [(usize, u32); 5] = [(201, 3), (402, 5), (600, 6), (801, 7), (1002, 8)];

/// An instance: its name, its problem, and the least number of bins.
pub struct Made {
    pub name: String,
    pub problem: Problem,
    pub least: i64,
}

/// Two instances of each kind and class.
pub fn made() -> Vec<Made> {
    let mut lots = ChaCha8Rng::seed_from_u64(2016);
    let mut all = Vec::new();
    for (items, doublings) in CLASSES {
        for (kind, more) in [("AI", 0), ("ANI", 1)] {
            for number in 0..2 {
                let (capacity, core) = core(&mut lots, 3 + more);
                let (capacity, pieces) = augment(&mut lots, capacity, core, items, doublings);
                let total: i64 = pieces.iter().map(|(&size, &count)| size * whole(count)).sum();
                all.push(Made {
                    name: format!("{kind}-{items}-{number}"),
                    problem: Problem {
                        bins: vec![Bin { size: capacity, cost: 1, available: None }],
                        items: pieces.into_iter().collect(),
                    },
                    least: total / capacity + more,
                });
            }
        }
    }
    all
}

fn whole(count: u64) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

/// A bin's length and 15 pieces of three bins' length that need `bins` bins.
fn core(lots: &mut ChaCha8Rng, bins: i64) -> (i64, BTreeMap<i64, u64>) {
    loop {
        let capacity = lots.random_range(240..320_i64);
        let mut pieces = BTreeMap::new();
        let mut left = 3 * capacity;
        for _ in 0..14 {
            let share: f64 = lots.random_range(0.0..1.0);
            #[expect(clippy::cast_possible_truncation, reason = "below 256")]
            let percent = (share * share * 180.0) as i64;
            let size = (capacity * percent / 256).max(1);
            *pieces.entry(size).or_insert(0_u64) += 1;
            left -= size;
        }
        if !(1..capacity * 3 / 4).contains(&left) {
            continue;
        }
        *pieces.entry(left).or_insert(0) += 1;
        let problem = Problem {
            bins: vec![Bin { size: capacity, cost: 1, available: None }],
            items: pieces.iter().map(|(&size, &count)| (size, count)).collect(),
        };
        let answer = solve(&problem, &Options::default(), &Quiet);
        if answer.is_ok_and(|answer| answer.value == bins && answer.bound == bins) {
            return (capacity, pieces);
        }
    }
}

/// Adds triples until there are about so many items.
fn augment(
    lots: &mut ChaCha8Rng,
    mut capacity: i64,
    mut pieces: BTreeMap<i64, u64>,
    items: usize,
    doublings: u32,
) -> (i64, BTreeMap<i64, u64>) {
    let mut left = (items - 15) / 3;
    for scale in 0..=doublings {
        let mut quota = left.div_ceil(usize::try_from(doublings - scale).unwrap_or(0) + 1);
        let odd = i64::from(scale > 0);
        let mut rooms: Vec<i64> = (0..4 * quota)
            .map(|_| lots.random_range(capacity / 20..capacity / 4) * 2 + odd)
            .collect();
        rooms.sort_unstable_by(|one, other| other.cmp(one));
        rooms.dedup();
        let count = rooms.len();
        for (at, room) in rooms.into_iter().enumerate() {
            let small = (room / 12 * 2).max(2);
            let triple = [capacity - room, room - small, small];
            let must = scale == doublings && count - at <= quota;
            if quota > 0 && (must || is_only(&pieces, room, &triple[1..])) {
                for size in triple {
                    *pieces.entry(size).or_insert(0) += 1;
                }
                quota -= 1;
                left -= 1;
            }
        }
        if scale < doublings {
            capacity *= 2;
            pieces = pieces.into_iter().map(|(size, count)| (2 * size, count)).collect();
        }
    }
    (capacity, pieces)
}

/// Whether the pieces and the two new ones fill the room in no way but with these two.
fn is_only(pieces: &BTreeMap<i64, u64>, room: i64, pair: &[i64]) -> bool {
    let mut all = pieces.clone();
    for &size in pair {
        *all.entry(size).or_insert(0) += 1;
    }
    let Ok(length) = usize::try_from(room) else { return false };
    // Sums made in at least one way, and in at least two.
    let mut once = vec![0_u64; length / 64 + 1];
    let mut twice = once.clone();
    once[0] = 1;
    for (&size, &count) in all.range(..=room) {
        let (first, second) = (once.clone(), twice.clone());
        for copies in 1..=whole(count).min(room / size) {
            let Ok(by) = usize::try_from(copies * size) else { continue };
            for at in by / 64..once.len() {
                let (one, two) = (moved(&first, at, by), moved(&second, at, by));
                twice[at] |= two | (once[at] & one);
                once[at] |= one;
            }
        }
    }
    let has = |sums: &[u64]| sums[length / 64] >> (length % 64) & 1 == 1;
    has(&once) && !has(&twice)
}

/// Word `at` of a set of sums moved up.
fn moved(sums: &[u64], at: usize, by: usize) -> u64 {
    let (words, bits) = (by / 64, by % 64);
    let mut word = sums[at - words] << bits;
    if bits > 0 && at > words {
        word |= sums[at - words - 1] >> (64 - bits);
    }
    word
}

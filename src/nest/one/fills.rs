//! The ways to fill a bin exactly beside one piece.
//!
//! 1. `reach_k`: the sums that kinds `k ..` can make, as bits. A set under way lives while what is
//!    left of the bin can still be made.
//! 2. Depth first, large pieces first, as many as possible first.
//! 3. A fill `P` stands for a fill `Q` beside the same piece if `Q` can be parted into sets as long
//!    as the pieces of `P`, one each: in a packing without waste each of them can change places with
//!    its piece, the largest first. Only fills that no other stands for are kept.
//!
//! Martello and Toth, Discrete Applied Mathematics 28 (1990), dominance criterion, for any sets.

use super::core::{divisor, whole};
use crate::nest::knapsack::Counts;

/// Words of all reachable sums at most (64 MB).
const MOST_WORDS: usize = 8_000_000;
/// Pieces of a fill for which dominance is looked at.
const MOST_PIECES: usize = 14;

/// Reachable sums for what is left of the kinds.
pub(super) struct Fills<'a> {
    sizes: &'a [i64],
    /// The kinds of which something was left when the sums were made, by falling size.
    kinds: Vec<usize>,
    capacity: i64,
    common: i64,
    /// Sums of the kinds from each place of `kinds` on.
    words: Vec<u64>,
    width: usize,
    /// Steps made so far.
    pub steps: u64,
}

impl<'a> Fills<'a> {
    /// The sums for `left` of each kind; nothing if they take too much memory.
    pub fn new(sizes: &'a [i64], left: &[u64], capacity: i64) -> Option<Self> {
        let kinds: Vec<usize> = (0..sizes.len()).filter(|&kind| left[kind] > 0).collect();
        let common = kinds.iter().fold(capacity, |common, &kind| divisor(common, sizes[kind]));
        let length = usize::try_from(capacity / common.max(1)).ok()?;
        let width = length / 64 + 1;
        if (kinds.len() + 1).checked_mul(width)? > MOST_WORDS {
            return None;
        }
        let mut words = vec![0_u64; (kinds.len() + 1) * width];
        words[kinds.len() * width] = 1;
        for (place, &kind) in kinds.iter().enumerate().rev() {
            let (earlier, later) = words.split_at_mut((place + 1) * width);
            let row = &mut earlier[place * width..];
            row.copy_from_slice(&later[..width]);
            let size = usize::try_from(sizes[kind] / common).ok()?;
            let mut count = left[kind].min(u64::try_from(length / size).unwrap_or(0));
            // Packages of 1, 2, 4, ... pieces and the rest make every count.
            let mut package = 1;
            while count > 0 {
                let take = package.min(count);
                shift(row, size * usize::try_from(take).ok()?);
                count -= take;
                package *= 2;
            }
        }
        let steps = words.len() as u64 / 4;
        Some(Self { sizes, kinds, capacity, common, words, width, steps })
    }

    fn has(&self, place: usize, sum: i64) -> bool {
        let sum = usize::try_from(sum / self.common).unwrap_or(usize::MAX);
        let word = self.words.get(place * self.width + sum / 64).copied().unwrap_or(0);
        word >> (sum % 64) & 1 == 1
    }

    /// The fills beside one piece of `kind` that no other stands for, best first; nothing if there
    /// are more than `most` fills or it takes too many steps. `left` may have fallen since the sums
    /// were made; all sizes must still be multiples of what they had in common.
    pub fn beside(&mut self, kind: usize, left: &mut [u64], most: usize) -> Option<Vec<Counts>> {
        let room = self.capacity - self.sizes[kind];
        left[kind] -= 1;
        let mut walk = Walk { fills: Vec::new(), path: Vec::new(), most, steps: 0, over: false };
        let from = self.kinds.partition_point(|&other| self.sizes[other] > room);
        self.walk(from, room, left, &mut walk);
        left[kind] += 1;
        self.steps += walk.steps;
        (!walk.over).then(|| self.kept(walk.fills))
    }

    fn walk(&self, from: usize, room: i64, left: &[u64], walk: &mut Walk) {
        if room == 0 {
            walk.fills.push(walk.path.clone());
            walk.over = walk.fills.len() > walk.most;
            return;
        }
        for place in from..self.kinds.len() {
            walk.steps += 1;
            walk.over |= walk.steps > 400 + 100 * walk.most as u64;
            if walk.over || !self.has(place, room) {
                return;
            }
            let kind = self.kinds[place];
            let size = self.sizes[kind];
            let fits = left[kind].min(u64::try_from(room / size).unwrap_or(0));
            for count in (1..=fits).rev() {
                walk.steps += 1;
                let rest = room - size * whole(count);
                if self.has(place + 1, rest) {
                    walk.path.push((kind, count));
                    self.walk(place + 1, rest, left, walk);
                    walk.path.pop();
                }
            }
        }
    }

    /// Those that no other stands for: few pieces first, then those whose smallest piece is
    /// largest, as small pieces are wanted elsewhere.
    fn kept(&self, fills: Vec<Counts>) -> Vec<Counts> {
        let pieces = |fill: &Counts| fill.iter().map(|entry| entry.1).sum::<u64>();
        let mut ranked: Vec<(u64, usize, Counts)> = fills
            .into_iter()
            .map(|fill| (pieces(&fill), fill.last().map_or(0, |entry| entry.0), fill))
            .collect();
        ranked.sort();
        let mut kept: Vec<(Vec<i64>, Counts)> = Vec::new();
        for (_, _, fill) in ranked {
            let lengths = self.lengths(&fill);
            if !kept.iter().any(|(other, _)| stands_for(other, &lengths)) {
                kept.push((lengths, fill));
            }
        }
        kept.into_iter().map(|(_, fill)| fill).collect()
    }

    fn lengths(&self, fill: &Counts) -> Vec<i64> {
        let each = fill.iter().flat_map(|&(kind, count)| (0..count).map(move |_| kind));
        each.map(|kind| self.sizes[kind]).collect()
    }
}

struct Walk {
    fills: Vec<Counts>,
    path: Counts,
    most: usize,
    steps: u64,
    over: bool,
}

/// Adds to a set of sums all of them moved up.
fn shift(row: &mut [u64], by: usize) {
    let (words, bits) = (by / 64, by % 64);
    for at in (words..row.len()).rev() {
        let mut moved = row[at - words] << bits;
        if bits > 0 && at > words {
            moved |= row[at - words - 1] >> (64 - bits);
        }
        row[at] |= moved;
    }
}

/// Whether `parts` can be parted into sets as long as each of `pieces`; both by falling length.
fn stands_for(pieces: &[i64], parts: &[i64]) -> bool {
    if parts.len() > MOST_PIECES || pieces.len() > parts.len() {
        return false;
    }
    let mut rooms = pieces.to_vec();
    place(parts, &mut rooms)
}

fn place(parts: &[i64], rooms: &mut [i64]) -> bool {
    let Some((&part, rest)) = parts.split_first() else { return true };
    for at in 0..rooms.len() {
        // Rooms of one size are alike.
        if rooms[at] < part || rooms[..at].contains(&rooms[at]) {
            continue;
        }
        rooms[at] -= part;
        let fits = place(rest, rooms);
        rooms[at] += part;
        if fits {
            return true;
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 10 = 7 + 3 = 7 + 2 + 1 = 5 + 5 and so on beside a piece of 10 in a bin of 20.
    #[test]
    fn fills_are_exact_and_none_stands_for_another() {
        let sizes = [10, 7, 5, 3, 2, 1];
        let mut left = [1, 1, 2, 1, 1, 1];
        let mut fills = Fills::new(&sizes, &left, 20).expect("small");
        let kept = fills.beside(0, &mut left, 100).expect("few");
        // 7 + 3 stands for 7 + 2 + 1; 5 + 5 for 5 + 3 + 2; neither for the other.
        assert_eq!(kept, vec![vec![(2, 2)], vec![(1, 1), (3, 1)]]);
        assert_eq!(left, [1, 1, 2, 1, 1, 1]);
        assert_eq!(fills.beside(0, &mut left, 2), None, "there are more than two");
    }

    #[test]
    fn parts_must_fill_every_piece() {
        assert!(stands_for(&[8, 5], &[5, 3, 3, 2]));
        assert!(!stands_for(&[8, 5], &[7, 6]));
        assert!(!stands_for(&[9, 4], &[6, 5, 2]));
    }
}

//! Which lengths sums of sizes can have, and what room is therefore lost for certain.
//!
//! In some best layout every piece is pushed to the left until it touches (normal patterns: Herz,
//! IBM Journal of Research and Development 16, 1972), so a row across the roll is filled to a sum
//! of sizes. Two things follow for any packing:
//!
//! * the roll may be taken as wide as the greatest sum that it holds;
//! * a piece of more than half that width has beside it at most the greatest sum of the others
//!   that fits, and may be taken as wide as all the rest (Boschetti and Mingozzi, 4OR 1, 2003).
//!   Two such pieces never lie side by side, so all of them may grow at once.

/// The most units that are looked at one by one; beyond it nothing is concluded.
const MOST: i64 = 1 << 21;

/// The sums that sizes can have up to a capacity.
#[derive(Clone, Debug)]
pub struct Reach {
    /// For each length up to the capacity, the greatest sum that is not more.
    below: Vec<i64>,
    capacity: i64,
}

impl Reach {
    /// Sums of any of these sizes, each taken up to so many times.
    #[must_use]
    pub fn new(sizes: &[(i64, u64)], capacity: i64) -> Self {
        let Some(room) = usize::try_from(capacity).ok().filter(|_| capacity <= MOST) else {
            return Self { below: Vec::new(), capacity };
        };
        let mut reached = vec![false; room + 1];
        reached[0] = true;
        let mut sizes: Vec<(i64, u64)> = sizes.to_vec();
        sizes.sort_unstable();
        let mut used = vec![0_u64; room + 1];
        let mut missing: Vec<usize> = (1..=room).collect();
        for group in sizes.chunk_by(|a, b| a.0 == b.0) {
            let many = group.iter().map(|g| g.1).fold(0, u64::saturating_add);
            let Ok(size) = usize::try_from(group[0].0) else { continue };
            if size == 0 || size > room {
                continue;
            }
            let mut new = Vec::new();
            missing.retain(|&to| {
                let hit = to >= size && reached[to - size] && used[to - size] < many;
                if hit {
                    reached[to] = true;
                    used[to] = used[to - size] + 1;
                    new.push(to);
                }
                !hit
            });
            for to in new {
                used[to] = 0;
            }
        }
        let mut greatest = 0;
        let below = (0..=capacity)
            .zip(reached)
            .map(|(sum, is)| {
                if is {
                    greatest = sum;
                }
                greatest
            })
            .collect();
        Self { below, capacity }
    }

    /// The greatest sum that is not more than a length.
    #[must_use]
    pub fn at_most(&self, length: i64) -> i64 {
        let at = usize::try_from(length).ok().and_then(|at| self.below.get(at)).copied();
        at.unwrap_or(length)
    }

    /// What a size may be taken for in a roll as wide as the capacity.
    #[must_use]
    pub fn grown(&self, size: i64) -> i64 {
        let home = self.at_most(self.capacity);
        if 2 * size <= home || size > home { size } else { home - self.at_most(home - size) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Expected values: all subsets of the sizes, added up.
    #[test]
    fn sums_are_those_of_all_subsets() {
        let sizes = [(3, 2), (5, 1), (7, 1), (3, 1)];
        let single = [3_i64, 3, 3, 5, 7];
        let reach = Reach::new(&sizes, 30);
        for length in 0..=30 {
            let best = (0_u32..32)
                .map(|set| (0..5).filter(|i| set >> i & 1 == 1).map(|i| single[i]).sum::<i64>())
                .filter(|&sum| sum <= length)
                .max();
            assert_eq!(Some(reach.at_most(length)), best, "up to {length}");
        }
    }

    // Expected values by hand: beside 1330 of 1500 fit 81 + 81 = 162 of 170.
    #[test]
    fn wide_pieces_grow_by_what_nothing_fits_beside_them() {
        let reach = Reach::new(&[(81, 5), (1330, 2), (300, 1)], 1500);
        assert_eq!(reach.at_most(1500), 1492);
        assert_eq!(reach.grown(1330), 1330);
        let reach = Reach::new(&[(80, 1), (1330, 2), (1500, 1)], 1500);
        assert_eq!(reach.grown(1330), 1420);
        assert_eq!(reach.grown(80), 80);
        assert_eq!(reach.grown(1500), 1500);
    }

    #[test]
    fn nothing_is_concluded_from_too_fine_a_unit() {
        let reach = Reach::new(&[(3, 1)], i64::MAX / 2);
        assert_eq!(reach.at_most(1_000_000_000), 1_000_000_000);
        assert_eq!(reach.grown(i64::MAX / 4 + 5), i64::MAX / 4 + 5);
    }
}

//! The row of a knapsack whose things may be taken any number of times: the most that fits, for every room.
//!
//! Things join one after another, and each is added to the whole row at once, a part as long as the thing
//! after the other: within a part nothing waits for anything. Sums in floating point are exact below 2^52 and
//! take a fraction of the time of whole numbers.

use super::generate::whole;
use super::master::real;

/// The most that fits, for every room up to the whole one.
pub(super) struct Row(Values);

enum Values {
    /// In floating point, all below 2^52.
    Exact(Vec<f64>),
    /// As whole numbers.
    Whole(Vec<i64>),
}

impl Row {
    /// For rooms up to `most`, with nothing in them; of things none of which is worth more for its size than
    /// `densest`, given by worth and size.
    pub fn new(most: usize, densest: (i64, usize)) -> Self {
        let exact = i128::from(densest.0) * wide(most) < wide(densest.1) << 52;
        Self(if exact {
            Values::Exact(vec![0.0; most + 1])
        } else {
            Values::Whole(vec![0; most + 1])
        })
    }

    /// A thing may be taken from now on.
    pub fn join(&mut self, size: usize, worth: i64) {
        match &mut self.0 {
            Values::Exact(row) => {
                let worth = real(u64::try_from(worth).unwrap_or(0));
                raise(row, size, |less| less + worth);
            }
            Values::Whole(row) => raise(row, size, |less| less + worth),
        }
    }

    /// The most that fits a room.
    pub fn at(&self, room: usize) -> i64 {
        match &self.0 {
            Values::Exact(row) => whole(row[room]),
            Values::Whole(row) => row[room],
        }
    }
}

/// Raises a row to what it holds with another thing of this size, any number of times.
fn raise<T: Copy + PartialOrd>(row: &mut [T], size: usize, with: impl Fn(T) -> T) {
    let size = size.max(1);
    for from in (size..row.len()).step_by(size) {
        let (before, here) = row.split_at_mut(from);
        for (most, &less) in here.iter_mut().zip(&before[from - size..]) {
            let with = with(less);
            *most = if with > *most { with } else { *most };
        }
    }
}

/// A size for products that 64 bits may not hold.
pub(super) fn wide(number: usize) -> i128 {
    i128::try_from(number).unwrap_or(i128::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    proptest::proptest! {
        /// Against the plain recursion, in either kind of numbers.
        #[test]
        fn a_row_holds_the_most_that_fits(
            things in proptest::collection::vec((1_usize..9, 0_i64..40), 0..7),
            most in 0_usize..40,
        ) {
            let mut plain = vec![0_i64; most + 1];
            for room in 1..=most {
                let with = |&(size, worth): &(usize, i64)| {
                    room.checked_sub(size).map_or(0, |left| plain[left] + worth)
                };
                plain[room] = things.iter().map(with).max().unwrap_or(0).max(plain[room - 1]);
            }
            for densest in [(40, 1), (1 << 60, 1)] {
                let mut row = Row::new(most, densest);
                for &(size, worth) in &things {
                    row.join(size, worth);
                }
                let all: Vec<i64> = (0..=most).map(|room| row.at(room)).collect();
                proptest::prop_assert_eq!(&all, &plain);
            }
        }
    }
}

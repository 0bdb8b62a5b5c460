//! Three-stage pricing: a strip holds a stack of pieces.
//!
//! 1. Along: `S_w(l)`, the best stack of pieces no wider than `w` on a length `l`. Forms are sorted by
//!    width and join a knapsack along the pull, so all strips come from one sweep.
//! 2. Across, for one pull length `l`:
//!
//!    ```text
//!      V(l) = max sum_w S_w(l) z_w   s.t.  sum_w w z_w <= W,   z_w whole
//!    ```
//!
//! The reduced cost of a pull is `rate * l - V(l)` (Gilmore and Gomory 1965 with one stage more;
//! three-stage models: Puchinger and Raidl, EJOR 183, 2007). Only lengths at which some stack
//! changes matter.

use super::knapsack::Knapsack;
use super::model::Form;
use super::pattern::{Place, PullCut};
use super::row::{Row, wide};

/// The best stacks for every strip width.
pub(super) struct Stacks<'a> {
    forms: &'a [Form],
    knapsack: Knapsack,
    /// Width and moment of every strip worth having.
    strips: Vec<(usize, usize)>,
    /// The lengths at which strips' worths are kept, rising; `None` if at all.
    kept: Option<Vec<usize>>,
    /// Worths by length kept, then by strip.
    worths: Vec<i64>,
}

impl<'a> Stacks<'a> {
    /// Stacks on lengths up to `longest` of `forms`, which are sorted by width, within `most` width.
    pub fn new(forms: &'a [Form], within: (usize, usize), state: (&[i64], &[u64])) -> Self {
        Self::made(forms, within, state, None)
    }

    /// The same for these lengths only, which rise and are no more than `longest`.
    pub fn at(
        forms: &'a [Form],
        within: (usize, usize),
        state: (&[i64], &[u64]),
        lengths: &[usize],
    ) -> Self {
        Self::made(forms, within, state, Some(lengths.to_vec()))
    }

    fn made(
        forms: &'a [Form],
        (most, longest): (usize, usize),
        (price, left): (&[i64], &[u64]),
        kept: Option<Vec<usize>>,
    ) -> Self {
        let fits = |form: &Form| {
            form.width <= most
                && form.length <= longest
                && left[form.class] > 0
                && price[form.class] > 0
        };
        let useful: Vec<usize> = (0..forms.len()).filter(|&f| fits(&forms[f])).collect();
        let mut widths: Vec<usize> = useful.iter().map(|&f| forms[f].width).collect();
        widths.dedup();
        let many = kept.as_ref().map_or(longest + 1, Vec::len);
        let mut worths = vec![0; many * widths.len()];
        let (mut knapsack, mut strips) = (Knapsack::new(longest), Vec::with_capacity(widths.len()));
        let copies = |form: &Form| usize::try_from(left[form.class]).unwrap_or(usize::MAX);
        knapsack.reserve(useful.iter().map(|&f| (forms[f].length, copies(&forms[f]))));
        for (at, &f) in useful.iter().enumerate() {
            let form = &forms[f];
            let copies = copies(form);
            knapsack.join(f, form.length, price[form.class], copies);
            let next = useful.get(at + 1).map(|&next| forms[next].width);
            if next != Some(form.width) {
                let own = worths.iter_mut().skip(strips.len()).step_by(widths.len());
                match &kept {
                    Some(kept) => {
                        let values = kept.iter().map(|&l| knapsack.value[l]);
                        own.zip(values).for_each(|(worth, value)| *worth = value);
                    }
                    None => own.zip(&knapsack.value).for_each(|(worth, &value)| *worth = value),
                }
                strips.push((form.width, knapsack.moment()));
            }
        }
        Self { forms, knapsack, strips, kept, worths }
    }

    /// What each strip is worth on length `l`; nothing on lengths that are not kept.
    fn worths(&self, l: usize) -> &[i64] {
        let row = match &self.kept {
            Some(kept) => kept.binary_search(&l).ok(),
            None => Some(l),
        };
        let from = row.map_or(self.worths.len(), |row| row * self.strips.len());
        self.worths.get(from..from + self.strips.len()).unwrap_or_default()
    }

    /// Lengths at which some stack is worth more than on any shorter length.
    pub fn lengths(&self) -> Vec<usize> {
        let longest = self.knapsack.value.len();
        let grows = |l: usize| self.worths(l).iter().zip(self.worths(l - 1)).any(|(a, b)| a > b);
        (1..longest).filter(|&l| grows(l)).collect()
    }

    /// What pulls of this width are worth, length by length.
    pub fn growing(&self, width: usize) -> Growing<'_> {
        let worths = self.worths.chunks(self.strips.len().max(1)).last().unwrap_or_default();
        let strips = self.strips.iter().zip(worths).filter(|(strip, _)| strip.0 <= width);
        let worth = strips.clone().map(|(_, &worth)| worth).max().unwrap_or(0);
        let narrowest = strips.map(|(strip, _)| strip.0).min().unwrap_or(1);
        let row = Row::new(width, (worth, narrowest));
        Growing { stacks: self, width, row, joined: vec![0; self.strips.len()] }
    }

    /// The best worth of a pull of length `l` for every width up to `most`, and the strip taken last.
    pub fn across(&self, l: usize, most: usize) -> (Vec<i64>, Vec<u32>) {
        let mut useful: Vec<(u32, usize, i64)> = Vec::new();
        for (number, ((width, _), &worth)) in (1..).zip(self.strips.iter().zip(self.worths(l))) {
            if worth > useful.last().map_or(0, |last| last.2) {
                useful.push((number, *width, worth));
            }
        }
        let mut best = vec![0_i64; most + 1];
        let mut last = vec![0_u32; most + 1];
        for x in 1..=most {
            let mut top = (best[x - 1], 0);
            for &(number, width, worth) in &useful {
                if width > x {
                    break;
                }
                let with = best[x - width] + worth;
                if with > top.0 {
                    top = (with, number);
                }
            }
            (best[x], last[x]) = top;
        }
        (best, last)
    }

    /// The best pull of length `l` and width `most`, where it is worth more than `least`: its worth and its
    /// strips, widest first; and what that took, in inner-loop operations.
    ///
    /// With `e` the greatest worth for its width of any strip, a pull with strip `w` is worth at most
    /// `S_w(l) + e (most - w)`. Strips with which that is no more than `least` are left out first
    /// (fixing by reduced costs); near the programme's end hardly any stays.
    pub fn above(&self, l: usize, most: usize, least: i64) -> (Option<(i64, Vec<usize>)>, usize) {
        let mut useful: Vec<(u32, usize, i64)> = Vec::new();
        let mut densest = (0_i64, 1_usize);
        for (number, ((width, _), &worth)) in (1..).zip(self.strips.iter().zip(self.worths(l))) {
            if *width > most {
                break;
            }
            if worth > useful.last().map_or(0, |last| last.2) {
                useful.push((number, *width, worth));
                if i128::from(worth) * wide(densest.1) > i128::from(densest.0) * wide(*width) {
                    densest = (worth, *width);
                }
            }
        }
        let looked = self.strips.len();
        // `e (most - w) > least - S_w(l)` in whole numbers, without a division.
        let may = |(_, width, worth): &(u32, usize, i64)| {
            let open = i128::from(least) - i128::from(*worth) + 1;
            i128::from(densest.0) * wide(most - width) >= open * wide(densest.1)
        };
        useful.retain(may);
        if useful.is_empty() {
            return (None, looked);
        }
        let looked = looked + useful.len() * most;
        let mut row = Row::new(most, densest);
        for &(_, width, worth) in &useful {
            row.join(width, worth);
        }
        if row.at(most) <= least {
            return (None, looked);
        }
        let mut best = vec![0_i64; most + 1];
        let mut last = vec![0_u32; most + 1];
        for &(number, width, worth) in &useful {
            // A part at a time that is filled up from the one before it.
            for from in (width..=most).step_by(width) {
                let (before, here) = best.split_at_mut(from);
                let smaller = &before[from - width..];
                for ((best, &less), last) in here.iter_mut().zip(smaller).zip(&mut last[from..]) {
                    let with = less + worth;
                    let better = with > *best;
                    *best = if better { with } else { *best };
                    *last = if better { number } else { *last };
                }
            }
        }
        let (mut chosen, mut x) = (Vec::new(), most);
        while let Some(strip) = (last[x] as usize).checked_sub(1) {
            chosen.push(strip);
            x -= self.strips[strip].0;
        }
        chosen.sort_unstable_by(|a, b| b.cmp(a));
        (Some((best[most], chosen)), looked)
    }

    /// The strips, widest first, of the best pull of length `l` and width `x`.
    pub fn strips(&self, l: usize, mut x: usize) -> Vec<usize> {
        let (_, last) = self.across(l, x);
        let mut chosen = Vec::new();
        while x > 0 {
            match last[x] {
                0 => x -= 1,
                number => {
                    chosen.push(number as usize - 1);
                    x -= self.strips[number as usize - 1].0;
                }
            }
        }
        chosen.sort_unstable_by(|a, b| b.cmp(a));
        chosen
    }

    /// The pieces of a strip's best stack on length `l`, from position `x` on; its width and length.
    pub fn stack(&self, strip: usize, l: usize, x: usize) -> (Vec<Place>, usize, usize) {
        let (_, moment) = self.strips[strip];
        let mut forms: Vec<Form> =
            self.knapsack.trace(moment, l).iter().map(|&f| self.forms[f]).collect();
        forms.sort_unstable_by_key(|form| std::cmp::Reverse((form.width, form.length)));
        let mut y = 0;
        let mut places = Vec::with_capacity(forms.len());
        for form in &forms {
            places.push(Place::of(form, x, y));
            y += form.length;
        }
        (places, forms.first().map_or(0, |form| form.width), y)
    }

    /// The whole pull.
    pub fn pull(&self, l: usize, width: usize) -> PullCut {
        self.of_strips(l, &self.strips(l, width))
    }

    /// A pull of length `l` with these strips.
    pub fn of_strips(&self, l: usize, strips: &[usize]) -> PullCut {
        let mut pull = PullCut { length: 0, width: 0, places: Vec::new() };
        for &strip in strips {
            let (places, wide, long) = self.stack(strip, l, pull.width);
            pull.places.extend(places);
            pull.width += wide;
            pull.length = pull.length.max(long);
        }
        pull
    }
}

/// The most that pulls of one width are worth, for lengths that grow: strips are worth no less then, so of the
/// knapsack across only those join anew that are worth more.
pub(super) struct Growing<'s> {
    stacks: &'s Stacks<'s>,
    width: usize,
    row: Row,
    /// As what each strip joined last.
    joined: Vec<i64>,
}

impl Growing<'_> {
    /// The most that a pull of this length is worth, which is no less than the one asked for before.
    pub fn worth(&mut self, l: usize) -> i64 {
        let strips = self.stacks.strips.iter().zip(self.stacks.worths(l));
        let mut narrower = 0;
        for ((&(width, _), &worth), joined) in strips.zip(&mut self.joined) {
            if width > self.width {
                break;
            }
            if worth > narrower && worth > *joined {
                self.row.join(width, worth);
                *joined = worth;
            }
            narrower = narrower.max(worth);
        }
        self.row.at(self.width)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    proptest::proptest! {
        /// Leaving strips out loses no pull that is worth more than asked: against the table of all.
        #[test]
        fn what_is_worth_more_is_found(
            sizes in proptest::collection::vec((1_usize..12, 1_usize..9, 1_i64..40), 1..7),
            least in 0_i64..300,
            length in 1_usize..12,
            width in 1_usize..25,
        ) {
            let mut forms: Vec<Form> = sizes
                .iter()
                .enumerate()
                .map(|(class, &(width, length, _))| Form { length, width, class, turned: false })
                .collect();
            forms.sort_by_key(|form| (form.width, form.length, form.class));
            let prices: Vec<i64> = sizes.iter().map(|size| size.2).collect();
            let left = vec![u64::MAX; sizes.len()];
            let stacks = Stacks::new(&forms, (25, 12), (&prices, &left));
            let all = stacks.across(length, width).0[width];
            let mut growing = stacks.growing(width);
            for length in 1..=length {
                let all = stacks.across(length, width).0[width];
                proptest::prop_assert_eq!(growing.worth(length), all);
            }
            let (found, _) = stacks.above(length, width, least);
            let alone = Stacks::at(&forms, (25, 12), (&prices, &left), &[length]);
            proptest::prop_assert_eq!(&alone.above(length, width, least).0, &found);
            proptest::prop_assert_eq!(found.as_ref().map(|f| f.0), (all > least).then_some(all));
            if let Some((worth, strips)) = found {
                let pull = stacks.of_strips(length, &strips);
                proptest::prop_assert!(pull.width <= width && pull.length <= length);
                let sum: i64 = pull.places.iter().map(|place| prices[place.class]).sum();
                proptest::prop_assert_eq!(sum, worth);
            }
        }
    }
}

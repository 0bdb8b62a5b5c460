//! A bounded knapsack that forms join one at a time, and that can be traced back to any moment.
//!
//! ```text
//!   value(r) = max sum_j p_j a_j   s.t.  sum_j s_j a_j <= r,  a_j <= copies_j,  over the forms joined
//! ```
//!
//! A form with few copies enters in parts of 1, 2, 4, ... copies; one with as many as fit enters
//! without limit. For each part a byte for every `r` remembers whether it was taken (Martello and
//! Toth, Knapsack Problems, 1990, section 3.6).

/// Copies of a form that are taken or left together.
struct Part {
    form: usize,
    size: usize,
    copies: usize,
    unlimited: bool,
}

/// The knapsack.
pub(in crate::nest) struct Knapsack {
    /// Best worth for every capacity, over the forms joined so far.
    pub value: Vec<i64>,
    parts: Vec<Part>,
    taken: Vec<u8>,
}

impl Knapsack {
    /// An empty one for capacities up to `most`.
    pub fn new(most: usize) -> Self {
        Self { value: vec![0; most + 1], parts: Vec::new(), taken: Vec::new() }
    }

    /// Makes room for these forms to join, given by size and number of copies.
    pub fn reserve(&mut self, forms: impl Iterator<Item = (usize, usize)>) {
        let parts = forms.map(|(size, copies)| {
            let many = self.limited(size, copies).unwrap_or(1);
            many.checked_ilog2().map_or(0, |twos| twos as usize + 1)
        });
        let parts: usize = parts.sum();
        self.taken.reserve(parts.saturating_mul(self.value.len()));
        self.parts.reserve(parts);
    }

    /// How many parts have joined: a moment to trace back to.
    pub fn moment(&self) -> usize {
        self.parts.len()
    }

    /// How many of so many copies fit; none where they limit nothing.
    fn limited(&self, size: usize, copies: usize) -> Option<usize> {
        let fit = (self.value.len() - 1) / size;
        (copies < fit || fit <= 1).then(|| copies.min(fit))
    }

    /// Form number `form` joins with this `size`, `worth` and number of `copies`.
    pub fn join(&mut self, form: usize, size: usize, worth: i64, copies: usize) {
        let most = self.value.len() - 1;
        let Some(mut left) = self.limited(size, copies) else {
            let row = self.row();
            let taken = &mut self.taken[row..];
            // A part at a time that is filled up from the one before it.
            for from in (size..=most).step_by(size) {
                let (before, here) = self.value.split_at_mut(from);
                raise(here, &before[from - size..], worth, &mut taken[from..]);
            }
            self.parts.push(Part { form, size, copies: 1, unlimited: true });
            return;
        };
        let mut many = 1;
        while left > 0 {
            many = many.min(left);
            left -= many;
            let row = self.row();
            let (step, gain) = (many * size, worth * i64::try_from(many).unwrap_or(0));
            let taken = &mut self.taken[row..];
            // The last part first, so that each is filled up from one that has not been yet.
            for from in (1..=most / step).rev().map(|part| part * step) {
                let (before, here) = self.value.split_at_mut(from);
                raise(here, &before[from - step..], gain, &mut taken[from..]);
            }
            self.parts.push(Part { form, size, copies: many, unlimited: false });
            many *= 2;
        }
    }

    /// The forms, with repeats, that gave the best worth for `room` at a moment.
    pub fn trace(&self, moment: usize, mut room: usize) -> Vec<usize> {
        let stride = self.value.len();
        let mut chosen = Vec::new();
        for (at, part) in self.parts[..moment].iter().enumerate().rev() {
            while self.taken[at * stride + room] == 1 {
                chosen.extend(std::iter::repeat_n(part.form, part.copies));
                room -= part.copies * part.size;
                if !part.unlimited {
                    break;
                }
            }
        }
        chosen
    }

    /// A new row of `taken`; where it starts.
    fn row(&mut self) -> usize {
        let start = self.taken.len();
        self.taken.resize(start + self.value.len(), 0);
        start
    }
}

/// Raises values to those of smaller capacities with something more, as far as these go, and marks
/// where that is better. Without a branch: which way it goes cannot be foretold.
fn raise(values: &mut [i64], smaller: &[i64], gain: i64, taken: &mut [u8]) {
    for ((value, &less), taken) in values.iter_mut().zip(smaller).zip(taken) {
        let with = less + gain;
        let better = with > *value;
        *value = if better { with } else { *value };
        *taken = u8::from(better);
    }
}

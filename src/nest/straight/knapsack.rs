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

    /// How many parts have joined: a moment to trace back to.
    pub fn moment(&self) -> usize {
        self.parts.len()
    }

    /// Form number `form` joins with this `size`, `worth` and number of `copies`.
    pub fn join(&mut self, form: usize, size: usize, worth: i64, copies: usize) {
        let most = self.value.len() - 1;
        let fit = most / size;
        if copies >= fit && fit > 1 {
            let row = self.row();
            for r in size..self.value.len() {
                let with = self.value[r - size] + worth;
                if with > self.value[r] {
                    self.value[r] = with;
                    self.taken[row + r] = 1;
                }
            }
            self.parts.push(Part { form, size, copies: 1, unlimited: true });
            return;
        }
        let mut left = copies.min(fit);
        let mut many = 1;
        while left > 0 {
            many = many.min(left);
            left -= many;
            let row = self.row();
            let (step, gain) = (many * size, worth * i64::try_from(many).unwrap_or(0));
            for r in (step..self.value.len()).rev() {
                let with = self.value[r - step] + gain;
                if with > self.value[r] {
                    self.value[r] = with;
                    self.taken[row + r] = 1;
                }
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

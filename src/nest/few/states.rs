//! What of the pieces is laid: how many of each class, numbered.

/// All ways to take some of each class.
pub(super) struct States {
    /// By class, how many there are.
    most: Vec<usize>,
    /// By class, by how much the number rises with one more.
    weights: Vec<usize>,
    count: usize,
}

impl States {
    /// Of so many of each class (at least one each); nothing where there are more than `limit`.
    pub fn new(most: &[usize], limit: usize) -> Option<Self> {
        let mut weights = Vec::with_capacity(most.len());
        let mut count = 1_usize;
        for &n in most {
            weights.push(count);
            count = count.checked_mul(n.checked_add(1)?).filter(|&count| count <= limit)?;
        }
        Some(Self { most: most.to_vec(), weights, count })
    }

    /// How many there are; the last one has everything.
    pub fn count(&self) -> usize {
        self.count
    }

    /// How many of a class are in it.
    pub fn digit(&self, state: usize, class: usize) -> usize {
        state / self.weights[class] % (self.most[class] + 1)
    }

    /// How many pieces are in it.
    pub fn pieces(&self, state: usize) -> usize {
        (0..self.most.len()).map(|class| self.digit(state, class)).sum()
    }

    /// The last class of which it has some.
    pub fn top(&self, state: usize) -> Option<usize> {
        (0..self.most.len()).rev().find(|&class| self.digit(state, class) > 0)
    }

    /// The number of one piece.
    pub fn one(&self, class: usize) -> usize {
        self.weights[class]
    }

    /// What can be taken out of it, itself among them, with at least one of its last class: each way to
    /// part it in two is met.
    pub fn parts(&self, state: usize) -> Vec<usize> {
        let Some(top) = self.top(state) else { return Vec::new() };
        let mut parts: Vec<usize> =
            (1..=self.digit(state, top)).map(|n| n * self.weights[top]).collect();
        for class in 0..top {
            let digit = self.digit(state, class);
            let so_far = parts.len();
            for n in 1..=digit {
                for at in 0..so_far {
                    parts.push(parts[at] + n * self.weights[class]);
                }
            }
        }
        parts
    }

    /// Everything that can be taken out of it, nothing and itself among them.
    pub fn within(&self, state: usize) -> Vec<usize> {
        let mut parts = vec![0];
        for class in 0..self.most.len() {
            let so_far = parts.len();
            for n in 1..=self.digit(state, class) {
                for at in 0..so_far {
                    parts.push(parts[at] + n * self.weights[class]);
                }
            }
        }
        parts
    }
}

//! Two-stage pricing: the best pull of every length in one sweep.
//!
//! Variables: `a_j`, how often form `j` lies in the pull. For a pull of length `l`:
//!
//! ```text
//!   V(l) = max sum_j p_j a_j   s.t.  sum_j w_j a_j <= W,   a_j <= left_j,   only forms with l_j <= l
//! ```
//!
//! and its reduced cost is `rate * l - V(l)`. Forms are sorted by length; as `l` grows each joins the
//! knapsack across the roll once, so all lengths and all roll widths are priced in
//! `O(forms * width)` (Gilmore and Gomory, Operations Research 13, 1965, section 2: stages solved
//! from the inside out). For every form the best pull that it leads (that is as long as the form)
//! is a candidate, so one sweep gives many different columns. Prices are whole numbers, so the
//! optimum is exact.

use super::effort::Effort;
use super::knapsack::Knapsack;
use super::model::Form;
use super::pattern::{Place, PullCut};

/// The best pull led by a form, for one width.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Candidate {
    /// What its pieces are worth.
    pub worth: i64,
    /// Its length, gap included.
    pub length: usize,
    /// Index into the widths asked for.
    pub width: usize,
    /// The leading form.
    form: usize,
    /// How often it is taken.
    copies: usize,
    /// When it led.
    moment: usize,
}

/// One sweep's outcome: candidates, and what is needed to lay them out.
pub(super) struct Sweep<'a> {
    forms: &'a [Form],
    widths: &'a [usize],
    knapsack: Knapsack,
    /// The best pulls, by form and then by width.
    pub candidates: Vec<Candidate>,
    /// Whether the sweep ended early; its candidates are valid but not all.
    pub cut_short: bool,
}

impl<'a> Sweep<'a> {
    /// Sweeps over `forms`, which are sorted by length, for `widths`. `price` and `left` are by
    /// class; forms longer than `longest` are left out.
    pub fn new(
        forms: &'a [Form],
        (widths, longest): (&'a [usize], usize),
        (price, left): (&[i64], &[u64]),
        effort: &Effort<'_>,
    ) -> Self {
        let most = widths.iter().copied().max().unwrap_or(0);
        let (knapsack, candidates) = (Knapsack::new(most), Vec::new());
        let mut sweep = Self { forms, widths, knapsack, candidates, cut_short: false };
        let useful = |form: &&Form| {
            let there = price[form.class] > 0 && left[form.class] > 0;
            there && form.width <= most && form.length <= longest
        };
        let copies = |form: &Form| usize::try_from(left[form.class]).unwrap_or(usize::MAX);
        let joining = forms.iter().filter(useful).map(|form| (form.width, copies(form)));
        sweep.knapsack.reserve(joining);
        let mut spent = 0;
        for (f, form) in forms.iter().enumerate().filter(|(_, form)| useful(form)) {
            let (worth, copies) = (price[form.class], copies(form));
            sweep.lead(f, worth, copies);
            sweep.knapsack.join(f, form.width, worth, copies);
            spent += 2 * most;
            if spent > 2_000_000 {
                effort.spend(spent);
                spent = 0;
                if effort.over() {
                    sweep.cut_short = true;
                    break;
                }
            }
        }
        effort.spend(spent);
        sweep
    }

    /// Candidates led by form `f`, from the knapsack of the forms before it.
    fn lead(&mut self, f: usize, worth: i64, copies: usize) {
        let form = self.forms[f];
        for (q, &width) in self.widths.iter().enumerate() {
            let mut best = (0, 0);
            let mut sum = 0;
            for n in 1..=copies.min(width / form.width) {
                sum += worth;
                let total = sum + self.knapsack.value[width - n * form.width];
                if total > best.0 {
                    best = (total, n);
                }
            }
            if best.1 > 0 {
                self.candidates.push(Candidate {
                    worth: best.0,
                    length: form.length,
                    width: q,
                    form: f,
                    copies: best.1,
                    moment: self.knapsack.moment(),
                });
            }
        }
    }

    /// Lays out a candidate.
    pub fn pull(&self, candidate: &Candidate) -> PullCut {
        side_by_side(self.chosen(candidate).into_iter().map(|f| self.forms[f]))
    }

    /// The forms of a candidate, its leading one first.
    pub fn chosen(&self, candidate: &Candidate) -> Vec<usize> {
        let lead = self.forms[candidate.form];
        let room = self.widths[candidate.width] - candidate.copies * lead.width;
        let mut chosen = vec![candidate.form; candidate.copies];
        chosen.extend(self.knapsack.trace(candidate.moment, room));
        chosen
    }
}

/// A pull of forms side by side, as long as the longest.
pub(super) fn side_by_side(forms: impl Iterator<Item = Form>) -> PullCut {
    let mut pull = PullCut { length: 0, width: 0, places: Vec::new() };
    for form in forms {
        pull.places.push(Place::of(&form, pull.width, 0));
        pull.width += form.width;
        pull.length = pull.length.max(form.length);
    }
    pull
}

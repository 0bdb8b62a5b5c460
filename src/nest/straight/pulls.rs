//! Pulls as columns: pricing in two stages, or with stacked strips in three, for rolls that hold many
//! pulls.
//!
//! The bound: if no pull of length `l` on width `q` is worth more than `V_q(l)`, a roll of length
//! `L_k` holds no more than `L_k * max_l V_q(l) / l`, which is exact in integers.
//!
//! With stacks, pulls of the lengths that some piece has are tried, where these are few also of those that two have
//! together (all lengths where they are few), which is enough to improve an answer but not to prove a bound.
//!
//! A class that lies alone across the roll whatever the form (nothing fits beside it) is a pull of
//! its own: it never enters the programme, and its price is what its length costs.

use super::across::{Candidate, Sweep, side_by_side};
use super::effort::Effort;
use super::generate::{Priced, Pricing, Question, whole};
use super::master::{Column, Cut, Master, real};
use super::model::{Form, Model};
use super::pattern::PullCut;
use super::row::wide;
use super::stacks::Stacks;
use super::trains::{Offered, Train, Trains};
use crate::nest::bound::Most;
use rayon::prelude::*;
use std::sync::Arc;

/// At most so many pull lengths are tried for stacks in a round.
const LENGTHS: usize = 400;
/// With so many lengths of pieces at most, pulls as long as two of them together are tried, too, no more than so many.
const SINGLES: usize = 60;
const PAIRS: usize = 150;
/// So many of them are tried side by side.
const AT_ONCE: usize = 100;
/// At most so many pulls with stacks come from a round.
const STACKED: usize = 200;

/// Pulls of two stages, or three.
pub(super) struct Pulls<'a> {
    model: &'a Model,
    /// The model rounded down, for bounds.
    under: &'a Model,
    /// By class: lies alone.
    alone: Vec<bool>,
    /// Forms of the others, in both models.
    forms: Vec<Form>,
    under_forms: Vec<Form>,
    /// Whether strips may hold stacks.
    stacked: bool,
    /// Trains of curved pieces, where they may share blanks.
    trains: Option<Trains>,
}

/// What pulls may hold: single pieces, and trains that are numbered behind the classes.
struct Choice<'p> {
    forms: &'p [Form],
    prices: &'p [i64],
    left: &'p [u64],
    trains: &'p [Train],
}

impl Choice<'_> {
    /// Takes the pieces of a class or a train off what is left, if there are enough.
    fn take(&self, class: usize, left: &mut [u64]) -> bool {
        let Some(train) = class.checked_sub(left.len()) else {
            let there = left[class] > 0;
            left[class] = left[class].saturating_sub(1);
            return there;
        };
        let counts = &self.trains[train].counts;
        let there = counts.iter().all(|&(class, n)| left[class] >= n);
        if there {
            for &(class, n) in counts {
                left[class] -= n;
            }
        }
        there
    }

    /// The forms worth having, those first that are worth most for their width.
    fn densest(&self) -> Vec<usize> {
        let useful = |form: &Form| self.prices[form.class] > 0 && self.left[form.class] > 0;
        let mut order: Vec<usize> =
            (0..self.forms.len()).filter(|&f| useful(&self.forms[f])).collect();
        let worth = |f: usize| i128::from(self.prices[self.forms[f].class]);
        order.sort_by(|&a, &b| {
            let (of_a, of_b) = (wide(self.forms[a].width), wide(self.forms[b].width));
            (worth(b) * of_a).cmp(&(worth(a) * of_b)).then(a.cmp(&b))
        });
        order
    }

    /// A pull with these forms as far as their pieces are left: a knapsack counts every train by
    /// itself, but several may want the same pieces. The room is filled up with what is worth most for
    /// its width.
    fn proper(&self, forms: &[usize], densest: &[usize], width: usize, left: &[u64]) -> PullCut {
        let mut left = left.to_vec();
        let mut free = width;
        let longest = forms.first().map_or(0, |&f| self.forms[f].length);
        let mut taken = Vec::with_capacity(forms.len());
        let mut take = |f: usize, left: &mut [u64]| {
            let form = self.forms[f];
            let there = form.width <= free && form.length <= longest && self.take(form.class, left);
            if there {
                free -= form.width;
                taken.push(form);
            }
            there
        };
        for &f in forms {
            take(f, &mut left);
        }
        for &f in densest {
            while take(f, &mut left) {}
        }
        side_by_side(taken.into_iter())
    }
}

impl<'a> Pulls<'a> {
    /// For a model and the same model rounded down.
    pub fn new(model: &'a Model, under: &'a Model) -> Self {
        let alone = alone(model, under);
        let others = |model: &Model| -> Vec<Form> {
            model.forms.iter().filter(|form| !alone[form.class]).copied().collect()
        };
        let (forms, under_forms) = (others(model), others(under));
        Self { model, under, alone, forms, under_forms, stacked: false, trains: None }
    }

    /// The same with trains of curved pieces.
    pub fn with_trains(mut self) -> Self {
        self.trains = Some(Trains::new(self.model));
        self
    }

    /// The same with hollows of curved pieces left empty.
    pub fn bare(mut self) -> Self {
        self.trains = self.trains.map(Trains::bare);
        self
    }

    /// Whether hollows of curved pieces are filled.
    pub fn fills(&self) -> bool {
        self.trains.as_ref().is_some_and(Trains::worthwhile)
    }

    /// The same with stacked strips, in three stages.
    pub fn stacked(mut self) -> Self {
        self.stacked = true;
        self
    }

    /// Pulls of three stages that pay, for lengths that some piece has, or any where they are few.
    fn stacks(
        &self,
        choice: &Choice<'_>,
        (master, question): (&Master<'_>, &Question<'_>),
        effort: &Effort<'_>,
    ) -> Vec<Column> {
        let mut by_width = choice.forms.to_vec();
        by_width.sort_by_key(|form| (form.width, form.length, form.class, form.turned));
        let mut lengths: Vec<usize> = choice
            .forms
            .iter()
            .filter(|form| choice.left[form.class] > 0 && form.length <= self.model.pull)
            .map(|form| form.length)
            .collect();
        lengths.dedup();
        let Some(&piece) = lengths.last() else { return Vec::new() };
        if lengths.len() <= SINGLES {
            lengths = with_pairs(&lengths, self.model.pull);
        }
        let widest = master.widths.last().copied().unwrap_or(0);
        let state = (choice.prices, choice.left);
        let fine = 2 * piece <= LENGTHS;
        let longest = lengths.last().copied().unwrap_or(piece);
        let longest = if fine { self.model.pull.min(2 * piece) } else { longest };
        effort.spend(2 * longest * by_width.len());
        let within = (widest, longest);
        let stacks = if fine {
            let stacks = Stacks::new(&by_width, within, state);
            lengths = stacks.lengths();
            stacks
        } else {
            let every = lengths.len().div_ceil(LENGTHS).max(1);
            let skip = question.left.len() % every;
            lengths = lengths.into_iter().skip(skip).step_by(every).collect();
            Stacks::at(&by_width, within, state, &lengths)
        };
        let (rates, widths) = (question.rates, master.widths.as_slice());
        let above = |&l: &usize| {
            let mut looked = 0;
            let one = |(q, &width): (usize, &usize)| {
                let cost = (rates[q] * real(l as u64)).max(1.0);
                let (best, more) = stacks.above(l, width, whole(cost * (1.0 + 1e-7)));
                looked += more;
                best.map(|(worth, strips)| {
                    (real(u64::try_from(worth).unwrap_or(0)) / cost, q, l, strips)
                })
            };
            let found: Vec<_> = widths.iter().enumerate().filter_map(one).collect();
            (found, looked)
        };
        let mut found = Vec::new();
        // Side by side, so many at a time that the same are looked at on any number of threads.
        for part in lengths.chunks(AT_ONCE) {
            if effort.over() {
                break;
            }
            let looked: Vec<_> = part.par_iter().map(above).collect();
            effort.spend(looked.iter().map(|one| one.1).sum());
            found.extend(looked.into_iter().flat_map(|one| one.0));
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        let lay = |(_, q, l, strips): &(f64, usize, usize, Vec<usize>)| {
            self.column(choice, *q, stacks.of_strips(*l, strips), question)
        };
        found.iter().take(STACKED).filter_map(lay).collect()
    }

    /// A column of a pull, its trains taken apart; none where it does not pay without the pieces that
    /// exceed what is left.
    fn column(
        &self,
        choice: &Choice<'_>,
        q: usize,
        pull: PullCut,
        question: &Question<'_>,
    ) -> Option<Column> {
        let Some(trains) = self.trains.as_ref().filter(|_| !choice.trains.is_empty()) else {
            return Some(Column::new(Cut::Pull(q, Arc::new(pull))));
        };
        let pull = trains.unfold(self.model, choice.trains, pull, question.left);
        let worth: i64 = pull.places.iter().map(|place| question.prices[place.class]).sum();
        let cost = question.rates[q] * real(pull.length as u64);
        let pays = real(u64::try_from(worth).unwrap_or(0)) > cost * (1.0 + 1e-9);
        pays.then(|| Column::new(Cut::Pull(q, Arc::new(pull))))
    }

    /// Pulls that are nearly as full as they can be, those first that are worth most for their length
    /// where a square unit of every piece is worth the same.
    pub fn by_area(
        &self,
        (areas, left): (&[u128], &[u64]),
        master: &Master<'_>,
        effort: &Effort<'_>,
    ) -> Vec<Column> {
        const SQUARE: i64 = 1_000;
        let worth = |&area: &u128| i64::try_from(area).unwrap_or(0).saturating_mul(SQUARE);
        let prices: Vec<i64> = areas.iter().map(worth).collect();
        // Four fifths full pays.
        let least =
            |&width: &usize| 0.8 * real((width as u64).saturating_mul(SQUARE.unsigned_abs()));
        let rates: Vec<f64> = master.widths.iter().map(least).collect();
        let question =
            Question { prices: &prices, left, rates: &rates, targets: &[], prove: false };
        self.price(master, &question, effort).columns
    }

    /// The trains that pay, and single pieces with them.
    fn offered(
        &self,
        master: &Master<'_>,
        question: &Question<'_>,
        effort: &Effort<'_>,
    ) -> Option<(Offered, Vec<Form>)> {
        let trains = self.trains.as_ref()?;
        let each = |(q, &width): (usize, &usize)| question.rates[q] / real(width as u64).max(1.0);
        let rate = master.widths.iter().enumerate().map(each).fold(f64::INFINITY, f64::min);
        let offered = trains.offer((question.prices, question.left), rate, effort);
        let mut forms = self.forms.clone();
        forms.extend(&offered.forms);
        forms.sort_unstable();
        Some((offered, forms))
    }

    /// The pulls of classes that lie alone, and the demand that remains.
    pub fn set_aside(&self) -> (Vec<(Arc<PullCut>, u64)>, Vec<u64>) {
        let mut left = self.model.demands();
        let mut pulls = Vec::new();
        // Forms are by length: the first of a class is its shortest pull.
        for form in &self.model.forms {
            if self.alone[form.class] && left[form.class] > 0 {
                let pull = PullCut::alone(form);
                pulls.push((Arc::new(pull), left[form.class]));
                left[form.class] = 0;
            }
        }
        (pulls, left)
    }

    /// Worth per length of the best pull on each width, and prices with those of lonely classes.
    fn proof(
        &self,
        master: &Master<'_>,
        (prices, candidates): (&[i64], &[Candidate]),
    ) -> Option<(Vec<i64>, Vec<Most>)> {
        let mut ratio = vec![(0_i64, 1_usize); master.widths.len()];
        for candidate in candidates {
            let best = &mut ratio[candidate.width];
            if i128::from(candidate.worth) * wide(best.1)
                > i128::from(best.0) * wide(candidate.length)
            {
                *best = (candidate.worth, candidate.length);
            }
        }
        let worth = |length: usize, (worth, per): (i64, usize)| -> Option<i64> {
            i64::try_from(i128::from(worth) * wide(length) / wide(per)).ok()
        };
        if ratio.iter().all(|ratio| ratio.0 == 0) {
            // Nobody is left but the lonely: worth is length.
            ratio.fill((1, 1));
        }
        let mut prices = prices.to_vec();
        for form in self.under.forms.iter().rev().filter(|form| self.alone[form.class]) {
            prices[form.class] = worth(form.length, ratio[0])?;
        }
        let most = self.under.rolls.iter().map(|roll| {
            let q = master.widths.binary_search(&roll.width).ok()?;
            let whole = worth(roll.length, ratio[q])?.checked_add(1)?;
            let nm = i64::try_from(roll.length).ok()?.checked_mul(self.under.unit[1])?;
            Some(Most { worth: whole, per: if self.under.endless { nm } else { 0 } })
        });
        let most: Option<Vec<Most>> = most.collect();
        Some((prices, most?))
    }
}

impl Pricing for Pulls<'_> {
    fn price(&self, master: &Master<'_>, question: &Question<'_>, effort: &Effort<'_>) -> Priced {
        let widths = (master.widths.as_slice(), self.model.pull);
        let offered = self.offered(master, question, effort);
        let choice = match &offered {
            Some((offered, forms)) => Choice {
                forms,
                prices: &offered.prices,
                left: &offered.left,
                trains: &offered.trains,
            },
            None => Choice {
                forms: &self.forms,
                prices: question.prices,
                left: question.left,
                trains: &[],
            },
        };
        let state = (choice.prices, choice.left);
        let sweep = Sweep::new(choice.forms, widths, state, effort);
        let mut order: Vec<(f64, &Candidate)> = sweep
            .candidates
            .iter()
            .map(|candidate| {
                let cost = question.rates[candidate.width] * real(candidate.length as u64);
                (real(u64::try_from(candidate.worth).unwrap_or(0)) / cost.max(1.0), candidate)
            })
            .filter(|(ratio, _)| *ratio > 1.0 + 1e-9)
            .collect();
        order.sort_by(|a, b| b.0.total_cmp(&a.0));
        let many = 60 + question.prices.len() / 2;
        let densest = if choice.trains.is_empty() { Vec::new() } else { choice.densest() };
        let mut columns: Vec<Column> = order
            .iter()
            .take(many)
            .filter_map(|(_, candidate)| {
                let pull = if choice.trains.is_empty() {
                    sweep.pull(candidate)
                } else {
                    let width = master.widths[candidate.width];
                    choice.proper(&sweep.chosen(candidate), &densest, width, question.left)
                };
                self.column(&choice, candidate.width, pull, question)
            })
            .collect();
        if self.stacked {
            columns.extend(self.stacks(&choice, (master, question), effort));
        }
        let proof = if !question.prove || sweep.cut_short || self.model.curved() {
            // Curved pieces may interlock in more ways than there are trains.
            None
        } else if self.model == self.under {
            self.proof(master, (question.prices, &sweep.candidates))
        } else {
            let state = (question.prices, question.left);
            let under = Sweep::new(&self.under_forms, widths, state, effort);
            let whole = !under.cut_short;
            whole.then(|| self.proof(master, (question.prices, &under.candidates))).flatten()
        };
        Priced { columns, proof }
    }
}

/// These lengths, which rise, and those that two of them have together, evenly thinned to [`PAIRS`].
fn with_pairs(lengths: &[usize], most: usize) -> Vec<usize> {
    let mut pairs: Vec<usize> = lengths
        .iter()
        .flat_map(|a| lengths.iter().map(move |b| a + b))
        .filter(|pair| *pair <= most && lengths.binary_search(pair).is_err())
        .collect();
    pairs.sort_unstable();
    pairs.dedup();
    let every = pairs.len().div_ceil(PAIRS).max(1);
    let mut all: Vec<usize> =
        lengths.iter().copied().chain(pairs.into_iter().step_by(every)).collect();
    all.sort_unstable();
    all
}

/// Classes that nothing fits beside, on rolls of one width; never curved ones, nor those that may lie in the
/// hollows of a curved one.
fn alone(model: &Model, under: &Model) -> Vec<bool> {
    let mut alone: Vec<bool> = model.classes.iter().map(|class| class.curved.is_none()).collect();
    let width = under.rolls.first().map_or(0, |roll| roll.width);
    let narrowest = under.forms.iter().map(|form| form.width).min().unwrap_or(0);
    let one_width = under.rolls.iter().all(|roll| roll.width == width);
    let hosts = || under.forms.iter().filter(|form| under.classes[form.class].curved.is_some());
    for form in &under.forms {
        let held = hosts().any(|host| form.width < host.width && form.length < host.length);
        alone[form.class] &= one_width && form.width + narrowest > width && !held;
    }
    alone
}

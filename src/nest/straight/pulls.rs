//! Pulls as columns: pricing in two stages, or with stacked strips in three, for rolls that hold many
//! pulls.
//!
//! The bound: if no pull of length `l` on width `q` is worth more than `V_q(l)`, a roll of length
//! `L_k` holds no more than `L_k * max_l V_q(l) / l`, which is exact in integers.
//!
//! With stacks, pulls of the lengths that some piece has are tried (all lengths where they are few),
//! which is enough to improve an answer but not to prove a bound.
//!
//! A class that lies alone across the roll whatever the form (nothing fits beside it) is a pull of
//! its own: it never enters the programme, and its price is what its length costs.

use super::across::{Candidate, Sweep};
use super::effort::Effort;
use super::generate::{Priced, Pricing, Question, whole};
use super::master::{Column, Cut, Master, real};
use super::model::{Form, Model};
use super::pattern::{Place, PullCut};
use super::stacks::Stacks;
use crate::nest::bound::Most;
use std::sync::Arc;

/// At most so many pull lengths are tried for stacks in a round.
const LENGTHS: usize = 400;
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
    /// The others by width, where strips may hold stacks.
    by_width: Option<Vec<Form>>,
}

impl<'a> Pulls<'a> {
    /// For a model and the same model rounded down.
    pub fn new(model: &'a Model, under: &'a Model) -> Self {
        let alone = alone(model, under);
        let others = |model: &Model| -> Vec<Form> {
            model.forms.iter().filter(|form| !alone[form.class]).copied().collect()
        };
        let (forms, under_forms) = (others(model), others(under));
        Self { model, under, alone, forms, under_forms, by_width: None }
    }

    /// The same with stacked strips, in three stages.
    pub fn stacked(mut self) -> Self {
        let mut forms = self.forms.clone();
        forms.sort_by_key(|form| (form.width, form.length, form.class, form.turned));
        self.by_width = Some(forms);
        self
    }

    /// Pulls of three stages that pay, for lengths that some piece has, or any where they are few.
    fn stacks(
        &self,
        by_width: &[Form],
        (master, question): (&Master<'_>, &Question<'_>),
        effort: &Effort<'_>,
    ) -> Vec<Column> {
        let mut lengths: Vec<usize> = self
            .forms
            .iter()
            .filter(|form| question.left[form.class] > 0 && form.length <= self.model.pull)
            .map(|form| form.length)
            .collect();
        lengths.dedup();
        let Some(&piece) = lengths.last() else { return Vec::new() };
        let widest = master.widths.last().copied().unwrap_or(0);
        let state = (question.prices, question.left);
        let fine = 2 * piece <= LENGTHS;
        let longest = if fine { self.model.pull.min(2 * piece) } else { piece };
        effort.spend(2 * longest * by_width.len());
        let stacks = Stacks::new(by_width, (widest, longest), state);
        if fine {
            lengths = stacks.lengths();
        }
        let every = lengths.len().div_ceil(LENGTHS).max(1);
        let skip = question.left.len() % every;
        let mut found = Vec::new();
        let mut spent = 0;
        for &l in lengths.iter().skip(skip).step_by(every) {
            if effort.over() {
                break;
            }
            for (q, &width) in master.widths.iter().enumerate() {
                let cost = (question.rates[q] * real(l as u64)).max(1.0);
                let (best, looked) = stacks.above(l, width, whole(cost * (1.0 + 1e-7)));
                spent += looked;
                if let Some((worth, strips)) = best {
                    let worth = real(u64::try_from(worth).unwrap_or(0));
                    found.push((worth / cost, q, l, strips));
                }
            }
            if spent > 1_000_000 {
                effort.spend(std::mem::take(&mut spent));
            }
        }
        effort.spend(spent);
        found.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        let lay = |(_, q, l, strips): &(f64, usize, usize, Vec<usize>)| {
            Column::new(Cut::Pull(*q, Arc::new(stacks.of_strips(*l, strips))))
        };
        found.iter().take(STACKED).map(lay).collect()
    }

    /// The pulls of classes that lie alone, and the demand that remains.
    pub fn set_aside(&self) -> (Vec<(Arc<PullCut>, u64)>, Vec<u64>) {
        let mut left = self.model.demands();
        let mut pulls = Vec::new();
        // Forms are by length: the first of a class is its shortest pull.
        for form in &self.model.forms {
            if self.alone[form.class] && left[form.class] > 0 {
                let place = Place { x: 0, y: 0, class: form.class, turned: form.turned };
                let pull = PullCut { length: form.length, width: form.width, places: vec![place] };
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
            if wide(candidate.worth) * wide_len(best.1) > wide(best.0) * wide_len(candidate.length)
            {
                *best = (candidate.worth, candidate.length);
            }
        }
        let worth = |length: usize, (worth, per): (i64, usize)| -> Option<i64> {
            i64::try_from(wide(worth) * wide_len(length) / wide_len(per)).ok()
        };
        if ratio[0].0 == 0 {
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
        let state = (question.prices, question.left);
        let sweep = Sweep::new(&self.forms, widths, state, effort);
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
        let mut columns: Vec<Column> = order
            .iter()
            .take(many)
            .map(|(_, candidate)| {
                Column::new(Cut::Pull(candidate.width, Arc::new(sweep.pull(candidate))))
            })
            .collect();
        if let Some(by_width) = &self.by_width {
            columns.extend(self.stacks(by_width, (master, question), effort));
        }
        let proof = if !question.prove || sweep.cut_short {
            None
        } else if self.model == self.under {
            self.proof(master, (question.prices, &sweep.candidates))
        } else {
            let under = Sweep::new(&self.under_forms, widths, state, effort);
            let whole = !under.cut_short;
            whole.then(|| self.proof(master, (question.prices, &under.candidates))).flatten()
        };
        Priced { columns, proof }
    }
}

/// Classes that nothing fits beside, on rolls of one width.
fn alone(model: &Model, under: &Model) -> Vec<bool> {
    let mut alone = vec![true; model.classes.len()];
    let width = under.rolls.first().map_or(0, |roll| roll.width);
    let narrowest = under.forms.iter().map(|form| form.width).min().unwrap_or(0);
    let one_width = under.rolls.iter().all(|roll| roll.width == width);
    for form in &under.forms {
        alone[form.class] &= one_width && form.width + narrowest > width;
    }
    alone
}

fn wide(number: i64) -> i128 {
    i128::from(number)
}

fn wide_len(length: usize) -> i128 {
    i128::try_from(length).unwrap_or(i128::MAX)
}

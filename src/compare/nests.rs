//! The nests behind several options, each made once.
//!
//! Many options ask for the same: a rate of labour, a weight of the order of cutting or a rule that nothing in the
//! job meets changes no order sheet. Like sheets in like markets are answered alike ([`market::alike`]), so such a
//! nest is made once for all options that ask for it, and an option is done as soon as its last nest is.

use super::solve::{Setup, Trouble};
use crate::cost::{market, share};
use crate::nest::{self, NestError, Nesting, Options, Watch};
use crate::plan::{Plan, Wanted};
use rayon::prelude::*;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What a plan of a job cuts of one of its sheets, as an answer to it; none where it does not hold all of it.
fn standing(plan: &Plan, at: usize, sheet: &Wanted) -> Option<Nesting> {
    let own = plan.nests.get(at).is_some_and(|nest| nest.thickness == sheet.thickness);
    if plan.already.is_some() || plan.up_to.is_some() || !own {
        return None;
    }
    let layouts = share::layouts(plan, at, sheet);
    let made = nest::made(&layouts, sheet.pieces.len());
    let all = sheet.pieces.iter().zip(made).all(|(piece, made)| made >= piece.quantity);
    all.then(|| Nesting::known(&sheet.instance(), layouts))
}

/// An order sheet and whose it is.
#[derive(Clone, Copy)]
struct Question<'s> {
    setup: &'s Setup,
    sheet: &'s Wanted,
}

impl Question<'_> {
    fn market(&self) -> market::Place<'_> {
        (&self.setup.stock, &self.setup.rates)
    }

    fn is_as(&self, other: &Self) -> bool {
        market::alike((self.sheet, self.market()), (other.sheet, other.market()))
    }
}

/// A nest, and the options that ask for it, by number; once for each of their sheets.
struct Nest<'s> {
    question: Question<'s>,
    askers: Vec<usize>,
    /// What is known to answer it, if anything.
    known: Option<Nesting>,
    answer: OnceLock<Result<Nesting, NestError>>,
}

/// All nests that options ask for.
pub(super) struct Nests<'s> {
    nests: Vec<Nest<'s>>,
    /// By option and sheet: which nest it is.
    of: Vec<Vec<usize>>,
}

impl<'s> Nests<'s> {
    /// The nests of so many options with their sheets; those without sheets, which have no pieces or no
    /// answer, ask for none.
    pub fn new(options: &[(&'s Setup, &'s [Wanted])]) -> Self {
        let mut all = Self { nests: Vec::new(), of: Vec::with_capacity(options.len()) };
        for (asker, &(setup, sheets)) in options.iter().enumerate() {
            let of = sheets.iter().map(|sheet| all.number(Question { setup, sheet }, asker));
            let of = of.collect();
            all.of.push(of);
        }
        all
    }

    /// The same where a plan of the first option's job may be there: no nest comes to more than it does.
    pub fn beginning_with(mut self, plan: Option<&Plan>) -> Self {
        let Some(plan) = plan else { return self };
        let of = self.of.first().cloned().unwrap_or_default();
        for (at, number) in of.into_iter().enumerate() {
            let nest = &mut self.nests[number];
            nest.known = standing(plan, at, nest.question.sheet);
        }
        self
    }

    fn number(&mut self, question: Question<'s>, asker: usize) -> usize {
        let known = self.nests.iter().position(|nest| nest.question.is_as(&question));
        let number = known.unwrap_or(self.nests.len());
        if known.is_none() {
            let (askers, answer) = (Vec::new(), OnceLock::new());
            self.nests.push(Nest { question, askers, known: None, answer });
        }
        self.nests[number].askers.push(asker);
        number
    }

    /// Makes all of them side by side. `watch` follows an option's, and of several that ask for one nest the
    /// first's; `done` is called with each option when the last of its nests is made.
    pub fn make<W: Watch>(
        &self,
        options: &Options,
        watch: impl Fn(usize) -> W + Sync,
        done: impl Fn(usize) + Sync,
    ) {
        let open: Vec<AtomicUsize> = self.of.iter().map(|of| AtomicUsize::new(of.len())).collect();
        for option in (0..self.of.len()).filter(|&option| self.of[option].is_empty()) {
            done(option);
        }
        self.nests.par_iter().for_each(|nest| {
            let Some(&first) = nest.askers.first() else { return };
            let Question { sheet, .. } = nest.question;
            let watch = watch(first);
            if !watch.stop() {
                let made = market::nested(sheet, nest.question.market(), options, &watch);
                let made = match &nest.known {
                    Some(known) => Ok(Nesting::no_worse_than(made, known.clone())),
                    None => made,
                };
                // Nobody else sets it.
                let _ = nest.answer.set(made);
            }
            let last = |&&option: &&usize| open[option].fetch_sub(1, Ordering::AcqRel) == 1;
            let complete: Vec<usize> = nest.askers.iter().filter(last).copied().collect();
            complete.into_par_iter().for_each(&done);
        });
    }

    /// The answers to an option's sheets, in their order.
    ///
    /// # Errors
    /// Why its first sheet without one has none.
    pub fn answers(&self, option: usize) -> Result<Vec<Nesting>, Trouble> {
        let answer = |&number: &usize| {
            let nest = &self.nests[number];
            let Question { setup, sheet } = nest.question;
            match nest.answer.get() {
                Some(Ok(nesting)) => Ok(nesting.clone()),
                Some(Err(why)) => Err(Trouble::of_nest(why, sheet, &setup.stock)),
                None => Err(Trouble::Stopped),
            }
        };
        self.of[option].iter().map(answer).collect()
    }

    /// Whether two options ask for the same nests.
    pub fn same(&self, one: usize, other: usize) -> bool {
        self.of[one] == self.of[other]
    }

    /// How many there are.
    #[cfg(test)]
    pub fn count(&self) -> usize {
        self.nests.len()
    }
}

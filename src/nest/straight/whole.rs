//! Whole rolls as columns, for rolls that hold few pulls.
//!
//! 1. Price pulls of every length: two stages ([`super::across`]) or three ([`super::stacks`]).
//! 2. Lay pulls along each roll by a knapsack ([`super::along`]); its optimum `g(L_k)` is at least
//!    what any roll `k` can be worth, so it proves a bound.
//! 3. A column for the best roll, and one for the best roll that begins with each pull: one round
//!    gives many different columns.
//! 4. A roll must be proper, that is hold no more of a class than is wanted. Where the knapsacks
//!    (which limit each strip by itself) exceed that, and few columns are proper, the roll is built strip
//!    by strip, pricing again what is left after each.
//!
//! A column improves when it is worth more than its roll's target `c_k + s_k` (see
//! [`super::master`]).

use super::across::{Candidate, Sweep};
use super::along::{Along, Offer};
use super::effort::Effort;
use super::generate::{Priced, Pricing, Question};
use super::master::{Column, Cut, Master, real};
use super::model::{Form, Model};
use super::pattern::{PullCut, RollCut, count};
use super::stacks::Stacks;
use crate::nest::bound::Most;
use std::cell::OnceCell;
use std::sync::Arc;

/// How many columns one round gives for each product.
const COLUMNS: usize = 24;

/// With so many columns no roll is built strip by strip, which takes long; and where nothing is to be
/// proven, so many at most.
const ENOUGH: usize = 3;
const TRIES: usize = 6;

/// How many lengths of pulls with two pieces in a stack are tried where a proof is not wanted.
const LENGTHS: usize = 120;

/// Whole rolls of two or three stages.
pub(super) struct Whole<'a> {
    model: &'a Model,
    under: &'a Model,
    three: bool,
    /// Forms by width, for stacks; the models hold them by length.
    by_width: Vec<Form>,
    under_by_width: Vec<Form>,
    /// The only lengths of pulls with stacks to try, increasing; `None`: all.
    only: Option<Vec<usize>>,
}

/// Pulls on offer for one width, and how to lay them out.
struct Pulls<'p> {
    width: usize,
    offers: Vec<Offer>,
    made_of: MadeOf<'p>,
    /// Those that were laid out: rolls of all lengths share them, and many rolls hold the same.
    laid: Vec<OnceCell<Arc<PullCut>>>,
}

impl<'p> Pulls<'p> {
    fn new(width: usize, offers: Vec<Offer>, made_of: MadeOf<'p>) -> Self {
        let laid = vec![OnceCell::new(); offers.len()];
        Self { width, offers, made_of, laid }
    }

    /// A pull on offer, laid out.
    fn pull(&self, at: usize) -> &Arc<PullCut> {
        self.laid[at].get_or_init(|| {
            Arc::new(match &self.made_of {
                MadeOf::Sweep(sweep, candidates) => sweep.pull(&candidates[at]),
                MadeOf::Stacks(stacks) => stacks.pull(self.offers[at].length, self.width),
            })
        })
    }
}

enum MadeOf<'p> {
    Sweep(Sweep<'p>, Vec<Candidate>),
    Stacks(Stacks<'p>),
}

/// Room for pulls: width and length.
type Room = (usize, usize);

impl<'a> Whole<'a> {
    /// For a model and the same model rounded down, in two stages or `three`.
    pub fn new(model: &'a Model, under: &'a Model, three: bool) -> Self {
        let by_width = |model: &Model| {
            let mut forms = model.forms.clone();
            forms.sort_by_key(|form| (form.width, form.length, form.class, form.turned));
            forms
        };
        let (by, under_by) = (by_width(model), by_width(under));
        Self { model, under, three, by_width: by, under_by_width: under_by, only: None }
    }

    /// Tries pulls with stacks only of lengths that one piece has, or two in a stack, and of those no
    /// more than [`LENGTHS`] where there are more. Proves nothing then, but is quick on large rolls.
    pub fn quick(mut self) -> Self {
        let one: Vec<usize> = self.model.forms.iter().map(|form| form.length).collect();
        let mut two: Vec<usize> = one
            .iter()
            .flat_map(|a| one.iter().map(move |b| a + b))
            .filter(|&sum| sum <= self.model.pull)
            .collect();
        two.sort_unstable();
        two.dedup();
        let every = two.len().div_ceil(LENGTHS).max(1);
        let mut only: Vec<usize> = two.into_iter().step_by(every).chain(one).collect();
        only.sort_unstable();
        only.dedup();
        self.only = Some(only);
        self
    }

    fn tries(&self, length: usize) -> bool {
        self.only.as_ref().is_none_or(|only| only.binary_search(&length).is_ok())
    }

    /// Pulls in this room at these prices.
    fn pulls<'p>(
        &'p self,
        under: bool,
        room: (&'p [usize], usize),
        state: (&[i64], &[u64]),
        effort: &Effort<'_>,
    ) -> Pulls<'p> {
        let (model, by_width) =
            if under { (self.under, &self.under_by_width) } else { (self.model, &self.by_width) };
        let (widths, length) = (room.0, room.1.min(model.pull));
        if self.three {
            effort.spend(2 * length * by_width.len());
            let stacks = Stacks::new(by_width, (widths[0], length), state);
            let mut offers: Vec<Offer> = Vec::new();
            let mut growing = stacks.growing(widths[0]);
            for l in stacks.lengths().into_iter().filter(|l| self.tries(*l)) {
                effort.spend(widths[0] * 8);
                let worth = growing.worth(l);
                if worth > offers.last().map_or(0, |last| last.worth) {
                    offers.push(Offer { length: l, worth });
                }
                if effort.over() {
                    break;
                }
            }
            return Pulls::new(widths[0], offers, MadeOf::Stacks(stacks));
        }
        let sweep = Sweep::new(&model.forms, (widths, length), state, effort);
        let mut chosen: Vec<Candidate> = Vec::new();
        for candidate in &sweep.candidates {
            if candidate.worth <= chosen.last().map_or(0, |last| last.worth) {
                continue;
            }
            if chosen.last().is_some_and(|last| last.length == candidate.length) {
                chosen.pop();
            }
            chosen.push(*candidate);
        }
        let offers = chosen.iter().map(|c| Offer { length: c.length, worth: c.worth }).collect();
        Pulls::new(widths[0], offers, MadeOf::Sweep(sweep, chosen))
    }

    /// A roll of product `k` that begins with the pull on offer that is closest to `first` long, built
    /// strip by strip so that it holds no more than `left`.
    pub fn proper(
        &self,
        k: usize,
        first: Option<usize>,
        (prices, left): (&[i64], &[u64]),
        effort: &Effort<'_>,
    ) -> RollCut {
        let width = [self.model.rolls[k].width];
        let mut room = self.model.rolls[k].length;
        let mut left = left.to_vec();
        let mut roll = RollCut { roll: k, pulls: Vec::new() };
        loop {
            let pulls = self.pulls(false, (&width, room), (prices, &left), effort);
            let mut chosen: Vec<usize> = match first {
                Some(length) if roll.pulls.is_empty() => pulls
                    .offers
                    .iter()
                    .rposition(|offer| offer.length <= length)
                    .into_iter()
                    .collect(),
                _ => Along::new(&pulls.offers, room, effort).trace(room),
            };
            chosen.sort_unstable_by(|a, b| b.cmp(a));
            let before = roll.pulls.len();
            for at in chosen {
                let pull = self.lay((&pulls, at), roll.pulls.len() == before, (prices, &left));
                let Some(pull) = pull else { break };
                for (class, n) in pull.counts() {
                    left[class] -= n;
                }
                room -= pull.length;
                roll.pulls.push(pull);
            }
            if roll.pulls.len() == before || effort.over() {
                return roll;
            }
        }
    }

    /// Lays out a pull on offer within what is `left`. Where the offer exceeds that, `None`, or if
    /// `must`, the pull built strip by strip.
    fn lay(
        &self,
        (pulls, at): (&Pulls<'_>, usize),
        must: bool,
        (prices, left): (&[i64], &[u64]),
    ) -> Option<Arc<PullCut>> {
        let pull = pulls.pull(at);
        if is_proper(&pull.counts(), left) {
            return Some(Arc::clone(pull));
        }
        let pull = match &pulls.made_of {
            _ if !must => return None,
            MadeOf::Sweep(..) => PullCut::clone(pull),
            MadeOf::Stacks(_) => {
                self.strip_by_strip((pulls.width, pulls.offers[at].length), (prices, left))
            }
        };
        let pull = pull.proper(left, self.model);
        (!pull.places.is_empty()).then(|| Arc::new(pull))
    }

    /// A pull of three stages that holds no more than `left`: strips of the best pull, widest first, as
    /// long as they do, then again for the width that remains.
    fn strip_by_strip(&self, (width, length): Room, (prices, left): (&[i64], &[u64])) -> PullCut {
        let mut left = left.to_vec();
        let mut pull = PullCut { length: 0, width: 0, places: Vec::new() };
        let mut before = usize::MAX;
        while pull.places.len() != before {
            before = pull.places.len();
            let free = width - pull.width;
            let stacks = Stacks::new(&self.by_width, (free, length), (prices, &left));
            for strip in stacks.strips(length, free) {
                let (places, wide, long) = stacks.stack(strip, length, pull.width);
                let counts = count(places.iter().map(|place| place.class));
                if pull.places.len() > before && !is_proper(&counts, &left) {
                    break;
                }
                for place in &places {
                    left[place.class] = left[place.class].saturating_sub(1);
                }
                pull.places.extend(places);
                pull.width += wide;
                pull.length = pull.length.max(long);
            }
        }
        pull
    }

    /// Columns for product `k` from the pulls of its width, best first.
    fn columns(
        &self,
        k: usize,
        (pulls, along): (&Pulls<'_>, &Along<'_>),
        question: &Question<'_>,
        effort: &Effort<'_>,
    ) -> Vec<Column> {
        let length = self.model.rolls[k].length;
        let target = question.targets[k] * (1.0 + 1e-9);
        let pays = |worth: i64| real(u64::try_from(worth).unwrap_or(0)) > target;
        let mut begins: Vec<(i64, Option<usize>)> = vec![(along.value(length), None)];
        for (at, offer) in pulls.offers.iter().enumerate().filter(|(_, o)| o.length <= length) {
            begins.push((offer.worth + along.value(length - offer.length), Some(at)));
        }
        begins.sort_by_key(|&(worth, at)| (std::cmp::Reverse(worth), at));
        let mut columns = Vec::new();
        let mut improper = Vec::new();
        for (worth, begin) in begins {
            if !pays(worth) || columns.len() >= COLUMNS || effort.over() {
                break;
            }
            let rest = length - begin.map_or(0, |at| pulls.offers[at].length);
            let mut chosen: Vec<usize> = begin.into_iter().collect();
            chosen.extend(along.trace(rest));
            let laid = chosen.iter().map(|&at| Arc::clone(pulls.pull(at)));
            let roll = RollCut { roll: k, pulls: laid.collect() };
            if is_proper(&roll.counts(), question.left) {
                columns.push(Column::new(Cut::Roll(roll)));
            } else {
                improper.push(begin.map(|at| pulls.offers[at].length));
            }
        }
        for (tried, first) in improper.into_iter().enumerate() {
            let enough = columns.len() >= ENOUGH || (tried >= TRIES && !question.prove);
            if enough || effort.over() {
                break;
            }
            let roll = self.proper(k, first, (question.prices, question.left), effort);
            if pays(worth_of(&roll, question.prices)) {
                columns.push(Column::new(Cut::Roll(roll)));
            }
        }
        columns
    }
}

/// What a roll's pieces are worth.
pub(super) fn worth_of(roll: &RollCut, prices: &[i64]) -> i64 {
    roll.pulls.iter().flat_map(|pull| pull.places.iter()).map(|place| prices[place.class]).sum()
}

/// Whether no more of a class is used than is left.
fn is_proper(counts: &[(usize, u64)], left: &[u64]) -> bool {
    counts.iter().all(|&(class, n)| n <= left[class])
}

impl Pricing for Whole<'_> {
    fn price(&self, _: &Master<'_>, question: &Question<'_>, effort: &Effort<'_>) -> Priced {
        let state = (question.prices, question.left);
        let exact = self.model == self.under;
        let mut columns = Vec::new();
        let mut most: Vec<Option<Most>> = vec![None; self.model.rolls.len()];
        let mut widths: Vec<usize> = self.model.rolls.iter().map(|roll| roll.width).collect();
        widths.sort_unstable();
        widths.dedup();
        for width in widths {
            let here: Vec<usize> = (0..self.model.rolls.len())
                .filter(|&k| self.model.rolls[k].width == width)
                .collect();
            let longest =
                |model: &Model| here.iter().map(|&k| model.rolls[k].length).max().unwrap_or(0);
            let only = [width];
            let pulls = self.pulls(false, (&only, longest(self.model)), state, effort);
            let along = Along::new(&pulls.offers, longest(self.model), effort);
            for &k in &here {
                columns.extend(self.columns(k, (&pulls, &along), question, effort));
                most[k] = Some(Most { worth: along.value(self.model.rolls[k].length), per: 0 });
            }
            if question.prove && !exact {
                let pulls = self.pulls(true, (&only, longest(self.under)), state, effort);
                let along = Along::new(&pulls.offers, longest(self.under), effort);
                for &k in &here {
                    most[k] = Some(Most { worth: along.value(self.under.rolls[k].length), per: 0 });
                }
            }
        }
        let most: Option<Vec<Most>> = most.into_iter().collect();
        let complete = question.prove && !effort.over() && !self.model.curved();
        let proof = most.filter(|_| complete).map(|most| (question.prices.to_vec(), most));
        Priced { columns, proof }
    }
}

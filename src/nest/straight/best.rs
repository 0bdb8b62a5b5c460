//! The best answer and the best bound so far, and telling about them.

use super::answer;
use super::effort::Effort;
use super::model::Model;
use super::pattern::{Cuts, Place, RollCut, all_copies};
use crate::cutting::Objective;
use crate::nest::bound::{Certificate, Scales};
use crate::nest::{Basis, Instance, Nesting, News, Status};
use crate::units::{Length, gcd};

/// The best so far.
pub(super) struct Best<'a> {
    instance: &'a Instance,
    effort: &'a Effort<'a>,
    /// The step in which values differ, and what lies before the first pull in a length.
    step: (i64, i64),
    cuts: Option<Cuts>,
    value: i64,
    bound: i64,
    basis: Basis,
    certificate: Option<Certificate>,
    /// Whether a piece counts for less along the roll than it is.
    clipped: bool,
    /// A certificate showed that the rolls on hand cannot hold the pieces.
    impossible: bool,
}

impl<'a> Best<'a> {
    /// Nothing yet.
    pub fn new(instance: &'a Instance, model: &Model, effort: &'a Effort<'a>) -> Self {
        let (value, bound, basis) = (i64::MAX, 0, Basis::Area);
        let step = Self::steps(instance, model);
        let clipped = model.clips_along();
        Self {
            clipped,
            instance,
            effort,
            step,
            cuts: None,
            value,
            bound,
            basis,
            certificate: None,
            impossible: false,
        }
    }

    /// Keeps the cuts if they are better.
    pub fn offer(&mut self, model: &Model, cuts: Cuts) -> bool {
        let value = value(self.instance, model, &cuts);
        if value >= self.value || !keeps_limits(model, &cuts) {
            return false;
        }
        if self.clipped && !cuts.iter().all(|(cut, _)| self.ends_on_roll(model, cut)) {
            return false;
        }
        self.value = value;
        self.cuts = Some(cuts);
        self.tell();
        true
    }

    /// Whether pulls as long as their pieces truly are end on the roll.
    fn ends_on_roll(&self, model: &Model, cut: &RollCut) -> bool {
        let Some(length) = self.instance.rolls[cut.roll].length else { return true };
        let along = |place: &Place| {
            let [across, along] = model.classes[place.class].size;
            let own = if place.turned { across } else { along };
            let own = place.within.map_or(own, |within| within.length + model.gap);
            i64::try_from(place.y).unwrap_or(i64::MAX).saturating_mul(model.unit[1]) + own
        };
        let pulls = cut.pulls.iter().map(|pull| pull.places.iter().map(along).max().unwrap_or(0));
        pulls.sum::<i64>() <= length.nm() - self.instance.cutting.square_cut.nm() + model.gap
    }

    /// Raises the bound to what a certificate proves; whether the certificate is kept.
    pub fn raise(&mut self, certificate: Certificate, basis: Basis) -> bool {
        let Some(bound) = certificate.bound(self.instance) else {
            self.impossible = true;
            return false;
        };
        let kept = bound > self.bound || self.certificate.is_none();
        if kept {
            self.bound = bound.max(self.bound);
            self.basis = basis;
            self.certificate = Some(certificate);
            self.tell();
        }
        kept
    }

    /// Says what the certificate kept last is made of.
    pub fn made_of(&mut self, scales: Scales) {
        if let Some(certificate) = &mut self.certificate {
            certificate.scales = Some(scales);
        }
    }

    /// How many rolls the best cuts have.
    pub fn rolls(&self) -> u64 {
        self.cuts.as_ref().map_or(0, all_copies)
    }

    /// The best cuts.
    pub fn cuts(&self) -> Option<&Cuts> {
        self.cuts.as_ref()
    }

    /// What is to be nested.
    pub fn instance(&self) -> &'a Instance {
        self.instance
    }

    /// The best value; the greatest number before there is one.
    pub fn value(&self) -> i64 {
        self.value
    }

    /// Whether nothing better can exist, or nothing at all.
    pub fn proven(&self) -> bool {
        self.value <= self.bound || self.impossible
    }

    /// Whether the bound already is the linear programme's `value`, rounded up to a value that can
    /// be: then nothing more can be proven by it.
    pub fn settles(&self, value: f64) -> bool {
        let (step, front) = (real(self.step.0), real(self.step.1));
        ((value + front) / step - 1e-6).ceil() * step <= real(self.bound) + step / 2.0
    }

    /// Whether an answer whose linear value is `value` could cost less than `cost`: each pull of it has a gap
    /// behind it, which the last one of a length has not. What the square cut adds is left out,
    /// as the programme does not know all columns: looking somewhat longer than it promises pays.
    pub fn could_beat(&self, value: f64, cost: i64) -> bool {
        let (step, front) = (real(self.step.0), real(self.step.1));
        (value / step - 1e-6).ceil() * step + front.min(0.0) < real(cost) - step / 2.0
    }

    /// The step in which values differ, and what lies before the first pull in a length.
    fn steps(instance: &Instance, model: &Model) -> (i64, i64) {
        let (step, front) = match instance.objective {
            Objective::Rolls => (1, 0),
            Objective::Price => (instance.rolls.iter().fold(0, |g, r| gcd(g, r.price.micros())), 0),
            Objective::Length => {
                let cutting = &instance.cutting;
                (model.unit[1], cutting.square_cut.nm() - cutting.gap.nm())
            }
        };
        (step.max(1), front)
    }

    fn tell(&self) {
        let value = (self.value < i64::MAX).then_some(self.value);
        let Instance { name, objective, .. } = self.instance;
        let news = News { instance: name, objective: *objective, value, bound: self.bound };
        self.effort.watch().news(&news);
    }

    /// The answer, if there is one.
    pub fn nesting(self, model: &Model) -> Option<Nesting> {
        let layouts = answer::layouts(self.instance, model, self.cuts.as_ref()?);
        let status = Status::of(self.value, self.bound, self.effort.stopped());
        let Self { value, bound, basis, certificate, .. } = self;
        Some(Nesting { layouts, value, bound, basis, certificate, status })
    }
}

/// What the cuts come to, in the objective's unit.
pub(super) fn value(instance: &Instance, model: &Model, cuts: &Cuts) -> i64 {
    let copies = |n: u64| i64::try_from(n).unwrap_or(i64::MAX);
    if instance.objective == Objective::Length {
        let units: i64 = cuts
            .iter()
            .map(|(cut, n)| {
                i64::try_from(answer::used(&cut.pulls))
                    .unwrap_or(i64::MAX)
                    .saturating_mul(copies(*n))
            })
            .sum();
        return units.saturating_mul(model.unit[1]) - model.gap + instance.cutting.square_cut.nm();
    }
    value_of(model, cuts)
}

/// What the rolls cost.
pub(super) fn value_of(model: &Model, cuts: &Cuts) -> i64 {
    let copies = |n: u64| i64::try_from(n).unwrap_or(i64::MAX);
    cuts.iter().map(|(cut, n)| model.rolls[cut.roll].cost.saturating_mul(copies(*n))).sum()
}

/// A value as floating point, to compare with the linear programme's.
fn real(value: i64) -> f64 {
    Length::from_nm(value).mm_f64() * 1e6
}

/// Whether no more rolls are used than there are.
pub(super) fn keeps_limits(model: &Model, cuts: &Cuts) -> bool {
    model.rolls.iter().enumerate().all(|(k, roll)| {
        let used: u64 =
            cuts.iter().filter(|(cut, _)| cut.roll == k).map(|(_, copies)| copies).sum();
        roll.available.is_none_or(|most| used <= most)
    })
}

//! One roll fewer: rolls filled again and again until nothing is left outside.
//!
//! 1. The worst filled roll of the best answer is taken away; its pieces lie outside.
//! 2. One to three rolls are filled again, by [`super::beam`], from what they held and what lies outside.
//!    If that is worth no less, they stay so.
//! 3. A piece's worth is its area at first; as long as it lies outside, it rises. So pieces that nobody
//!    wants push others out until a place is found for those.
//!
//! Rolls may be first cut along where that is allowed. Of few rolls whole answers are tried too, in one
//! beam. Beams are wider each time.
//!
//! Ejection with weights that rise: Nagata and Braysy, Operations Research Letters 37, 2009, for
//! routes (from memory).

use super::FEW;
use super::beam::{Asked, Beam, Filled};
use super::best::Best;
use super::effort::Effort;
use super::either::turned_back;
use super::lots::Lots;
use super::model::Model;
use super::pattern::{Cuts, RollCut};

/// The most pieces in a roll, on average, and the most in all, that are laid one by one.
const IN_A_ROLL: u64 = 150;
const IN_ALL: u64 = 5_000;

/// What a unit of area is worth at first, when a rise is 1.
const UNIT: u64 = 64;

/// Widths of beams for parts of an answer, and for whole answers. These double from round to round, so
/// often at most; those every other round.
const PART: [usize; 3] = [16, 64, 256];
const WHOLE: usize = 256;
const DOUBLED: u32 = 6;

/// Width of beams for what is left of an answer.
const REST: usize = 64;

/// Rounds at once where rolls are few.
const ROUNDS: u32 = 5;

/// Powers by which what is lost is weighed, in quarters.
const QUARTERS: [u32; 4] = [8, 4, 12, 5];

/// Fills rolls of one product anew.
pub(super) struct Refill<'a> {
    model: &'a Model,
    across: Beam<'a>,
    along: Option<Beam<'a>>,
    area: Vec<u64>,
    round: u32,
}

impl<'a> Refill<'a> {
    /// For a model, and the same with width and length exchanged where rolls may be first cut along.
    /// `None` where there are several products, or too many pieces.
    pub fn new(
        (model, other): (&'a Model, Option<&'a Model>),
        three: bool,
        rolls: u64,
    ) -> Option<Self> {
        let pieces: u64 = model.demands().iter().fold(0, |sum, &n| sum.saturating_add(n));
        let many = pieces > IN_ALL || pieces > IN_A_ROLL.saturating_mul(rolls);
        let areas = model.areas().into_iter();
        let area = areas.map(u64::try_from).collect::<Result<Vec<u64>, _>>().ok()?;
        (model.rolls.len() == 1 && !model.endless && !many).then(|| Self {
            model,
            across: Beam::new(model, three),
            along: other.map(|other| Beam::new(other, three)),
            area,
            round: 0,
        })
    }

    /// Looks for answers with fewer rolls until the best is proven or one of so many `parts` of the
    /// work left is done.
    pub fn improve(
        &mut self,
        best: &mut Best<'_>,
        parts: u64,
        (lots, effort): (&mut Lots, &Effort<'_>),
    ) {
        let until = effort.left() - effort.left() / parts;
        let few = best.rolls() <= FEW;
        for round in (1..=if few { ROUNDS } else { 1 }).rev() {
            if few && effort.left() > until {
                self.whole(best, effort);
            }
            let rest = effort.left().saturating_sub(until);
            let until = effort.left() - rest / u64::from(round);
            while !best.proven() && best.rolls() > 1 && self.fewer(best, until, (lots, effort)) {}
            self.round = (self.round + 1).min(DOUBLED);
        }
    }

    /// Whole answers with one roll fewer, one for each power.
    fn whole(&self, best: &mut Best<'_>, effort: &Effort<'_>) {
        let left = self.model.demands();
        for quarters in QUARTERS {
            let Some(rolls) = usize::try_from(best.rolls()).ok().and_then(|n| n.checked_sub(1))
            else {
                return;
            };
            if best.proven() || effort.over() || rolls == 0 {
                return;
            }
            let width = WHOLE << self.round;
            let asked = Asked { left: &left, worth: &self.area, rolls, width, quarters, all: true };
            let found = self.fill(&asked, self.round % 2 == 1, effort);
            if let Some(Filled { rolls, .. }) = found {
                best.offer(self.model, once_each(&rolls));
            }
        }
    }

    /// Fills rolls, first cut along if so asked and allowed.
    fn fill(&self, asked: &Asked<'_>, along: bool, effort: &Effort<'_>) -> Option<Filled> {
        let Some(along) = self.along.as_ref().filter(|_| along) else {
            return self.across.fill(asked, effort);
        };
        let Filled { rolls, left, worth } = along.fill(asked, effort)?;
        Some(Filled { rolls: rolls.iter().map(turned_back).collect(), left, worth })
    }

    /// Tries to do without one roll of the best answer, until only so much work is left; whether it did.
    fn fewer(
        &self,
        best: &mut Best<'_>,
        until: u64,
        (lots, effort): (&mut Lots, &Effort<'_>),
    ) -> bool {
        let without = self.without_one(best);
        let found = self.eject(without, until, (lots, effort));
        found.is_some_and(|rolls| best.offer(self.model, once_each(&rolls)))
    }

    /// Fills rolls again until nothing lies `out`, or only so much work is left.
    fn eject(
        &self,
        (mut rolls, mut out): (Vec<RollCut>, Vec<u64>),
        until: u64,
        (lots, effort): (&mut Lots, &Effort<'_>),
    ) -> Option<Vec<RollCut>> {
        let mut worth: Vec<u64> = self.area.iter().map(|area| area.saturating_mul(UNIT)).collect();
        while effort.left() > until && !effort.over() && !rolls.is_empty() {
            let many = (1 + lots.below(3)).min(rolls.len());
            for at in 0..many {
                let other = at + lots.below(rolls.len() - at);
                rolls.swap(at, other);
            }
            let mut left = out.clone();
            let mut before = 0;
            for (class, n) in rolls[..many].iter().flat_map(RollCut::counts) {
                left[class] += n;
                before += n * worth[class];
            }
            let width = PART[lots.below(PART.len())] << (self.round / 2);
            let quarters = QUARTERS[lots.below(QUARTERS.len())];
            let asked =
                Asked { left: &left, worth: &worth, rolls: many, width, quarters, all: false };
            let new = self.fill(&asked, lots.below(2) == 1, effort)?;
            if new.worth >= before {
                rolls.drain(..many);
                rolls.extend(new.rolls);
                out = new.left;
            }
            if out.iter().all(|&n| n == 0) {
                return Some(rolls);
            }
            for (class, _) in out.iter().enumerate().filter(|(_, n)| **n > 0) {
                worth[class] = worth[class].saturating_add(self.area[class]);
            }
        }
        None
    }

    /// Lays all that is `left` into so many rolls, if it can within one of so many `parts` of the work
    /// left: in one beam, or rolls filled again from the fullest beginning of one.
    pub fn rest(
        &self,
        (left, rolls): (&[u64], usize),
        parts: u64,
        (lots, effort): (&mut Lots, &Effort<'_>),
    ) -> Option<Vec<RollCut>> {
        let until = effort.left() - effort.left() / parts;
        let roll = &self.model.rolls[0];
        let wanted: u64 = left.iter().zip(&self.area).map(|(n, area)| n * area).sum();
        if wanted > (roll.width * roll.length * rolls) as u64 {
            return None;
        }
        let mut fullest: Option<Filled> = None;
        for (number, quarters) in QUARTERS.into_iter().enumerate() {
            let width = REST;
            let asked = Asked { left, worth: &self.area, rolls, width, quarters, all: false };
            let found = self.fill(&asked, number % 2 == 1, effort)?;
            if found.left.iter().all(|&n| n == 0) {
                return Some(found.rolls);
            }
            if fullest.as_ref().is_none_or(|fullest| found.worth > fullest.worth) {
                fullest = Some(found);
            }
        }
        let Filled { rolls, left, .. } = fullest?;
        self.eject((rolls, left), until, (lots, effort))
    }

    /// The best answer's rolls, one by one and none with more than is wanted, without the worst
    /// filled; and the pieces that are in none of them.
    fn without_one(&self, best: &Best<'_>) -> (Vec<RollCut>, Vec<u64>) {
        let cuts = best.cuts().into_iter().flatten();
        let mut rolls: Vec<RollCut> =
            cuts.flat_map(|(roll, n)| (0..*n).map(move |_| roll.clone())).collect();
        let filled = |roll: &RollCut| -> u64 {
            roll.counts().iter().map(|&(class, n)| self.area[class].saturating_mul(n)).sum()
        };
        if let Some(worst) = (0..rolls.len()).min_by_key(|&at| filled(&rolls[at])) {
            rolls.swap_remove(worst);
        }
        let mut out = self.model.demands();
        rolls.retain(|roll| {
            let counts = roll.counts();
            let proper = counts.iter().all(|&(class, n)| n <= out[class]);
            for (class, n) in counts.into_iter().filter(|_| proper) {
                out[class] -= n;
            }
            proper
        });
        (rolls, out)
    }
}

fn once_each(rolls: &[RollCut]) -> Cuts {
    rolls.iter().map(|roll| (roll.clone(), 1)).collect()
}

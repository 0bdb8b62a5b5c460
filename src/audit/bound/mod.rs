//! A nest's bound, made anew from its certificate in whole numbers.
//!
//! **What is claimed.** The certificate gives every piece `i` of the nest, wanted `d_i` times, a whole
//! price `p_i >= 0`, and says of every roll `k` that no layout of it in the nest's cutting style holds
//! pieces worth more than `z_k` (of a roll without end: more than `z_k` for each `per` of its length).
//!
//! **Why a bound follows** ([`follow`]; Farley, Operations Research 38, 1990, here for several sizes of
//! rolls). `R_k` rolls hold all pieces, so `sum_k z_k R_k >= sum_i d_i p_i`, with `R_k` no more than there
//! are. The least of `sum_k c_k R_k` under these lines, with fractions, is a knapsack by `c_k / z_k`; it is
//! rounded up to what whole rolls can come to. `c_k` is 1 or the price of a roll, nothing on the shelf. For
//! a length, `z / per` bounds what a unit of it holds. A plan may not say more than that.
//!
//! **Why no layout is worth more.** One of these, whichever holds, in this order:
//!
//! * [`area`]: prices are in proportion to the area that a piece takes, or less, and every roll is worth
//!   its own. It holds for every layout of any shapes.
//! * [`scales`]: prices are products of weights across and along. It holds for every packing of rectangles
//!   square to the roll (Fekete and Schepers, Mathematical Methods of Operations Research 60, 2004, theorem
//!   3).
//! * [`alone`]: no two pieces lie side by side, and the most that a length holds is one knapsack along.
//! * [`two`]: straight cuts in two stages: the best pull of every length, then the best pulls along the
//!   roll (Gilmore and Gomory, Operations Research 13, 1965).
//! * [`three`]: straight cuts in three stages: stacks along a strip, strips across, pulls along.
//!
//! The last three are exact but for one thing: a piece may lie in a pull (in three stages: in a strip of one)
//! no more often than it is wanted, but pulls and strips are counted each by itself. Certificates are
//! made with these limits, so this refuses none that is true, and every one whose worth is too low.
//!
//! **Gaps.** Every piece brings its own gap behind and beside it, and the roll one more. In free layouts
//! pieces may come nearer than the gap across and along, corner to corner: two are `gap / sqrt 2` apart one
//! way or the other, and only that is counted there ([`apart`]).
//!
//! **Work.** Inner loops are counted, and a check that would take more than it may is not made
//! ([`Verdict::Word`]). Where sizes have no common measure that is coarse enough, pieces are counted a
//! little too small; then a certificate may be confirmed, but not refused.
//!
//! Outlined pieces are priced by area, or at nothing: their boxes may lie over one another.

mod alone;
mod area;
mod follow;
mod knapsack;
mod scales;
mod sizes;
#[cfg(test)]
mod tests;
mod three;
mod two;
mod work;

use super::least::{apart, least};
use super::{Failures, Rule};
use crate::cutting::{Objective, Style};
use crate::plan::{Basis, Certificate, Nest, Plan, Wanted};
use crate::units::{Decimal, Length};
use sizes::Sizes;
use work::Work;

/// Steps of inner loops that one nest's check may take beside the planning of a job: some hundredths of a
/// second.
const BESIDE: u64 = 20_000_000;
/// The same where the check is what is asked for: a second or two.
const WHOLE: u64 = 2_000_000_000;

/// How far the audit stands for a nest's bound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing is said to be impossible.
    None,
    /// It was made anew, and this is what it rests on.
    Anew(Ground),
    /// It is taken on the plan's word, and this is why.
    Word(Why),
}

/// What a bound that was made anew rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ground {
    /// The pieces' area or their lengths, from the job alone.
    Least,
    /// Prices that are no more than areas.
    Area,
    /// Prices that are products of weights across and along.
    Scales,
    /// Prices, and all layouts of every roll gone through by knapsacks.
    Layouts,
}

impl Ground {
    /// In words, to go on after "was made anew".
    #[must_use]
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::Least => "from the area and the lengths of the pieces",
            Self::Area => "from its prices, which are no more than areas",
            Self::Scales => "from its prices, which hold for every packing",
            Self::Layouts => "from its prices, and no roll can be cut into pieces worth more",
        }
    }
}

/// Why a bound is taken on the plan's word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// The plan has no certificate of it.
    Absent,
    /// It is said to hold whatever is chosen.
    Chosen,
    /// Its certificate is not one for the job as it is now.
    Changed,
    /// The check would take too long.
    Long,
    /// Sizes have no common measure that is coarse enough to be sure.
    Fine,
    /// Numbers are too large to be counted.
    Large,
    /// In free layouts pieces may lie nearer to each other than the gap across and along.
    Corners,
}

impl Why {
    /// In words, to stand in brackets.
    #[must_use]
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::Absent => "the plan holds no prices that tell it",
            Self::Chosen => "it is one over all that may be chosen",
            Self::Changed => "it is not one for the job as it is now",
            Self::Long => "to go through all layouts would take too long",
            Self::Fine => "the sizes have no common measure coarse enough",
            Self::Large => "its prices are too large to be added up",
            Self::Corners => "pieces may lie nearer than the gap, corner to corner",
        }
    }
}

/// Why a certificate is not confirmed.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Trouble {
    /// It is false; what is wrong, in words that follow "Its certificate".
    False(String),
    /// It may be true.
    Unsure(Why),
}

/// Checks the bounds of a plan as far as that is quick.
pub(super) fn check(plan: &Plan, wanted: &[Wanted], unchanged: bool, failures: &mut Failures) {
    verdicts(plan, wanted, (BESIDE, unchanged), failures);
}

/// Checks the bounds of a plan of a job, nest by nest, for a second or two each where it takes that long.
/// What is false is told beside the verdicts, if the job is `unchanged` since the plan was made: what
/// has changed since may rule out what was proven for the job as it was.
#[must_use]
pub fn bounds(plan: &Plan, wanted: &[Wanted], unchanged: bool) -> (Vec<Verdict>, Failures) {
    let mut failures = Failures::default();
    (verdicts(plan, wanted, (WHOLE, unchanged), &mut failures), failures)
}

fn verdicts(
    plan: &Plan,
    wanted: &[Wanted],
    (most, unchanged): (u64, bool),
    failures: &mut Failures,
) -> Vec<Verdict> {
    let chosen = !plan.taken.is_empty() || plan.choice.as_ref().is_some_and(|c| !c.is_empty());
    let mut one = |(nest, sheet): (&Nest, &Wanted)| {
        let verdict = if chosen && nest.bound > Decimal::ZERO {
            over_choices(nest, sheet).map(|()| Verdict::Word(Why::Chosen))
        } else {
            one(nest, sheet, most)
        };
        verdict.unwrap_or_else(|what| {
            let remedy = "plan the job again, or take the file as `rollwright plan` wrote it";
            let bound = nest.bound;
            failures.unless(!unchanged, Rule::Bound, || {
                format!("The bound of {}, {bound}, does not hold: {what}; {remedy}.", sheet.nest())
            });
            Verdict::Word(Why::Changed)
        })
    };
    plan.nests.iter().zip(wanted).map(&mut one).collect()
}

/// The verdict on one nest, or what is false in words that stand by themselves.
fn one(nest: &Nest, sheet: &Wanted, most: u64) -> Result<Verdict, String> {
    if nest.bound <= Decimal::ZERO {
        return Ok(Verdict::None);
    }
    let why = match &nest.certificate {
        None => Why::Absent,
        Some(certificate) => match certified(nest, sheet, certificate, &mut Work::new(most)) {
            Ok(ground) => return Ok(Verdict::Anew(ground)),
            Err(Trouble::Unsure(why)) => why,
            Err(Trouble::False(what)) => return Err(format!("its certificate {what}")),
        },
    };
    let Some(lower) = least(sheet) else { return Ok(Verdict::Word(why)) };
    if nest.bound <= lower {
        return Ok(Verdict::Anew(Ground::Least));
    }
    // What the plain area rules out needs no prices.
    if why == Why::Absent && by_plain_area(nest, sheet) {
        return Err(beyond_area(lower));
    }
    Ok(Verdict::Word(why))
}

/// What is wrong with a bound over all that may be chosen, in words that stand by themselves: what is chosen is one of the
/// choices, so where area tells it, it is no more than the area of what is chosen.
fn over_choices(nest: &Nest, sheet: &Wanted) -> Result<(), String> {
    match least(sheet) {
        Some(lower) if by_plain_area(nest, sheet) && nest.bound > lower => Err(beyond_area(lower)),
        _ => Ok(()),
    }
}

/// Whether a bound is said to rest on area, and area is all that counts: with gaps, and of a length, pieces count for more.
fn by_plain_area(nest: &Nest, sheet: &Wanted) -> bool {
    let plain = sheet.cutting.gap == Length::ZERO && sheet.objective != Objective::Length;
    nest.basis == Basis::Area && plain
}

fn beyond_area(lower: Decimal) -> String {
    format!("it is said to rest on area, and by area and lengths it is at most {lower}")
}

/// What a certified bound rests on.
fn certified(
    nest: &Nest,
    sheet: &Wanted,
    certificate: &Certificate,
    work: &mut Work,
) -> Result<Ground, Trouble> {
    belongs(sheet, certificate).map_err(Trouble::False)?;
    follow::check(nest, sheet, certificate)?;
    let (near, gap) = (apart(sheet), sheet.cutting.gap);
    let sure = layouts(sheet, certificate, near, work);
    match sure {
        // In free layouts what would be true with the whole gap is not refused.
        Err(why) if near < gap => {
            let corners = match why {
                Trouble::Unsure(why) => why,
                Trouble::False(_) => Why::Corners,
            };
            layouts(sheet, certificate, gap, work).and(Err(Trouble::Unsure(corners)))
        }
        other => other,
    }
}

/// That no layout is worth more than is said, where pieces are so far apart across or along.
fn layouts(
    sheet: &Wanted,
    certificate: &Certificate,
    gap: Length,
    work: &mut Work,
) -> Result<Ground, Trouble> {
    if area::holds(sheet, certificate, gap) {
        return Ok(Ground::Area);
    }
    let outlined =
        |(piece, &price): (&crate::plan::wanted::Piece, &i64)| price > 0 && piece.outline.is_some();
    if sheet.pieces.iter().zip(&certificate.prices).any(outlined) {
        return Err(Trouble::False("prices curved pieces by more than their area".to_owned()));
    }
    if let Some(scales) = &certificate.scales {
        return scales::check((sheet, certificate), scales, gap, work).map(|()| Ground::Scales);
    }
    let curved = sheet.pieces.iter().any(|piece| piece.outline.is_some());
    let sizes = Sizes::new(sheet, certificate, gap);
    let (straight, stages) = (sheet.cutting.style == Style::Straight, sheet.cutting.stages);
    if sizes.tiny {
        return Err(Trouble::Unsure(Why::Fine));
    }
    let checked = match stages {
        _ if curved || sizes.any_angle => None,
        _ if alone::holds(&sizes) => Some(alone::check(&sizes, certificate, work)),
        Some(2) if straight => Some(two::check(&sizes, certificate, work)),
        Some(3) if straight => Some(three::check(&sizes, certificate, work)),
        _ => None,
    };
    let neither = "has prices that are neither areas nor made of scales, and layouts of this style cannot \
                   be gone through";
    checked.unwrap_or_else(|| Err(Trouble::False(neither.to_owned()))).map(|()| Ground::Layouts)
}

/// Whether a certificate is one for the pieces and rolls of an order sheet.
fn belongs(sheet: &Wanted, certificate: &Certificate) -> Result<(), String> {
    if certificate.prices.len() != sheet.pieces.len() {
        let (has, asked) = (certificate.prices.len(), sheet.pieces.len());
        return Err(format!("has prices for {has} pieces where {asked} are wanted"));
    }
    if certificate.prices.iter().any(|&price| price < 0) {
        return Err("prices a piece below nothing".to_owned());
    }
    let pairs = sheet.rolls.iter().zip(&certificate.most);
    let same = pairs.into_iter().all(|(roll, most)| {
        let whole = roll.length.is_some() == most.per.is_none();
        let per = most.per.is_none_or(Length::is_positive);
        roll.id == most.roll && whole && per && most.worth >= 0
    });
    if !same || sheet.rolls.len() != certificate.most.len() {
        return Err("does not say of each roll on offer what it can be worth".to_owned());
    }
    Ok(())
}

/// That a roll is worth more than is said of it.
fn exceeded(roll: &str, claimed: i64, worth: i128) -> String {
    format!(
        "says that roll `{roll}` can be worth no more than {claimed}, but it can be worth {worth}"
    )
}

//! The plan file's certificate of a bound: whole prices of pieces, what rolls can be worth at most by
//! them, and where the prices hold for every packing the scales that they are made of.
//!
//! Only what can be checked without a search is kept ([`Certificate::of`]). What the numbers mean, how
//! the bound follows from them and how they are checked stands in `audit::bound`.

use super::wanted::Wanted;
use crate::cutting::Objective;
use crate::nest::bound::{self, Weight};
use crate::nest::{Instance, Nesting, Roll};
use crate::units::{Length, gcd};
use serde::{Deserialize, Serialize};

/// Prices and worths from which a nest's bound follows.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Certificate {
    /// A whole price, not negative, for each of the nest's pieces, in the plan's order; in a unit of the
    /// certificate's own.
    pub prices: Vec<i64>,
    /// For each roll on offer, in the order of the order sheet (what can be bought, then the shelf), the
    /// most that one layout of it is worth.
    pub most: Vec<Most>,
    /// What the prices are made of, where they hold for every packing; absent elsewhere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scales: Option<Scales>,
}

/// The most that layouts of a roll are worth.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Most {
    /// The roll product's or the offcut's name.
    pub roll: String,
    /// The worth, in the prices' unit.
    pub worth: i64,
    /// Of a roll without end: for each so much of its length; absent where the worth is a whole roll's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per: Option<Length>,
}

/// Weights of sizes, gap included, each with its size: a piece is priced at no more than the product of
/// its two weights, however it may lie.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Scales {
    /// Across the roll, by increasing size.
    pub across: Vec<(Length, i64)>,
    /// Along the roll, by increasing size.
    pub along: Vec<(Length, i64)>,
}

impl Certificate {
    /// The certificate of an answer's bound. `None` where the answer has none, where it proves less than
    /// the bound, as that rests on a search, and where it rests on slices of curved pieces, which are
    /// not in it.
    #[must_use]
    pub fn of(sheet: &Wanted, instance: &Instance, nesting: &Nesting) -> Option<Self> {
        let found = nesting.certificate.as_ref()?;
        let short =
            found.prices.len() != sheet.pieces.len() || found.most.len() != sheet.rolls.len();
        if short || proven(instance, found)? < nesting.bound {
            return None;
        }
        if instance.is_outlined() && found.scales.is_none() && !is_area(instance, found) {
            return None;
        }
        let most = |(roll, most): (&Roll, &bound::Most)| Most {
            roll: roll.id.clone(),
            worth: most.worth,
            per: (most.per > 0).then(|| Length::from_nm(most.per)),
        };
        Some(Self {
            prices: found.prices.clone(),
            most: instance.rolls.iter().zip(&found.most).map(most).collect(),
            scales: found.scales.as_ref().map(Scales::from),
        })
    }
}

impl From<&bound::Scales> for Scales {
    fn from(scales: &bound::Scales) -> Self {
        let pairs = |weights: &[Weight]| {
            weights.iter().map(|w| (Length::from_nm(w.size), w.weight)).collect()
        };
        Self { across: pairs(&scales.across), along: pairs(&scales.along) }
    }
}

/// What a certificate proves; the length of rectangles is a sum of sides, each with its gap.
fn proven(instance: &Instance, found: &bound::Certificate) -> Option<i64> {
    let bound = found.bound(instance)?;
    if instance.objective != Objective::Length || instance.is_outlined() {
        return Some(bound);
    }
    let gap = instance.cutting.gap;
    let front = instance.cutting.square_cut - gap;
    let sides = instance.pieces.iter().flat_map(|piece| {
        let upright = piece.turns.upright().then_some(piece.length + gap);
        let sideways = piece.turns.sideways().then_some(piece.width + gap);
        upright.into_iter().chain(sideways)
    });
    let step = sides.fold(0, |step, side| gcd(step, side.nm()));
    let pulls = Length::from_nm(bound) - front;
    Some((pulls.round_up_to(Length::from_nm(step)) + front).nm())
}

/// Whether all prices are in proportion to the pieces' area, or less, and rolls worth their own.
fn is_area(instance: &Instance, found: &bound::Certificate) -> bool {
    let cutting = &instance.cutting;
    instance.rolls.iter().zip(&found.most).all(|(roll, most)| {
        let across = i128::from((roll.width - cutting.edge_trim * 2).nm());
        let along = roll.length.map_or(most.per, |length| (length - cutting.square_cut).nm());
        let whole = across * i128::from(along);
        instance.pieces.iter().zip(&found.prices).all(|(piece, &price)| {
            let worth = i128::from(price).checked_mul(whole);
            let may = i128::from(most.worth).checked_mul(piece.area().nm2());
            worth.zip(may).is_some_and(|(worth, may)| worth <= may)
        })
    })
}

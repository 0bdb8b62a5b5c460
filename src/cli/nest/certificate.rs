//! What another program needs to check a bound.
//!
//! Together with the instance file it is complete: a price for each piece, and for each roll the
//! most that one layout of it can hold by these prices. Whoever finds no layout that holds more
//! has checked the bound; how it follows from prices and worths stands in DEVELOPERS.md.

use crate::cutting::Objective;
use crate::nest::{self, Basis, Instance, Nesting};
use crate::plan::Scales;
use crate::units::{Decimal, Length};
use serde::Serialize;

/// The certificate of one instance's bound.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Certificate {
    name: String,
    objective: Objective,
    /// In the objective's unit.
    bound: Decimal,
    basis: Basis,
    /// Whole prices, one for each piece; absent where the bound does not rest on prices.
    prices: Option<Vec<Price>>,
    most: Option<Vec<Most>>,
    /// What the prices are made of, where they hold for every packing: pairs of a size, gap included,
    /// and its weight, across and along.
    scales: Option<Scales>,
}

#[derive(Clone, Debug, Serialize)]
struct Price {
    piece: String,
    price: i64,
}

#[derive(Clone, Debug, Serialize)]
struct Most {
    roll: String,
    /// No layout of the roll holds pieces worth more.
    worth: i64,
    /// For a roll without end: for each so many millimetres of pulls, each with its gap.
    per: Option<Length>,
}

impl Certificate {
    pub(super) fn of(instance: &Instance, nesting: &Nesting) -> Self {
        let certificate = nesting.certificate.as_ref();
        let prices = certificate.map(|c| prices(instance, c));
        let most = certificate.map(|c| most(instance, c));
        Self {
            name: instance.name.clone(),
            objective: instance.objective,
            bound: instance.objective.decimal(nesting.bound),
            basis: nesting.basis,
            prices,
            most,
            scales: certificate.and_then(|c| c.scales.as_ref()).map(Scales::from),
        }
    }
}

fn prices(instance: &Instance, certificate: &nest::bound::Certificate) -> Vec<Price> {
    let price =
        |(piece, price): (&nest::Piece, &i64)| Price { piece: piece.id.clone(), price: *price };
    instance.pieces.iter().zip(&certificate.prices).map(price).collect()
}

fn most(instance: &Instance, certificate: &nest::bound::Certificate) -> Vec<Most> {
    let most = |(roll, most): (&nest::Roll, &nest::bound::Most)| Most {
        roll: roll.id.clone(),
        worth: most.worth,
        per: (most.per > 0).then(|| Length::from_nm(most.per)),
    };
    instance.rolls.iter().zip(&certificate.most).map(most).collect()
}

//! Orders placed one after another, as the days of a job want them.
//!
//! Each order is priced like any purchase ([`offer`]): at its price break, above its minimum. What a
//! minimum or a break made more than was wanted is there for the next order. Spares are bought with
//! the first order of their thickness and kept.

use super::buy::{offer, spared};
use super::rates::Rates;
use crate::stock::Roll;
use crate::units::{Length, Money};
use std::collections::{BTreeMap, BTreeSet};

/// So many rolls of each product, by name.
pub type Counts = BTreeMap<String, u64>;

/// The orders so far.
#[derive(Clone, Debug)]
pub struct Orders<'a> {
    rolls: &'a [Roll],
    rates: &'a Rates,
    spares: u64,
    /// Bought and not wanted yet.
    left: Counts,
    /// Thicknesses that have their spares.
    spared: BTreeSet<Length>,
}

impl<'a> Orders<'a> {
    /// None so far; `spares` of each thickness are wanted.
    #[must_use]
    pub const fn new(rolls: &'a [Roll], spares: u64, rates: &'a Rates) -> Self {
        Self { rolls, rates, spares, left: Counts::new(), spared: BTreeSet::new() }
    }

    /// Places one order for all of these stages together. Gives how many rolls are bought for each
    /// stage and their price; what nobody wants yet, and spares, count for the first.
    pub fn place(&mut self, stages: &[Counts]) -> Vec<(u64, Money)> {
        let mut bought = vec![(0, Money::ZERO); stages.len()];
        let mut by: BTreeMap<Length, Vec<(&Roll, u64)>> = BTreeMap::new();
        for roll in self.rolls {
            let wanted = stages.iter().filter_map(|stage| stage.get(&roll.id)).sum();
            if wanted > 0 {
                by.entry(roll.thickness).or_default().push((roll, wanted));
            }
        }
        for (thickness, wanted) in by {
            let first = self.spared.insert(thickness);
            let spares = spared(&wanted, if first { self.spares } else { 0 });
            for (at, (roll, _)) in wanted.iter().enumerate() {
                let spare =
                    spares.filter(|spares| spares.at == at).map_or(0, |spares| spares.count);
                self.place_one((*roll, spare), stages, &mut bought);
            }
        }
        bought
    }

    /// Places the order of one product.
    fn place_one(
        &mut self,
        (roll, spare): (&Roll, u64),
        stages: &[Counts],
        bought: &mut [(u64, Money)],
    ) {
        let left = self.left.entry(roll.id.clone()).or_default();
        let needs: Vec<u64> = stages
            .iter()
            .map(|stage| {
                let wanted = stage.get(&roll.id).copied().unwrap_or(0);
                let there = wanted.min(*left);
                *left -= there;
                wanted - there
            })
            .collect();
        let need = needs.iter().sum::<u64>() + spare;
        let listed = roll.price.unwrap_or_default();
        let (count, each, price) = match offer(roll, need, self.rates) {
            Some(offer) => (offer.count, offer.each.unwrap_or_default(), offer.price),
            None => (need, listed, listed.at_most_times(need)),
        };
        *left += count - need;
        let mut rest = (count, price);
        for (own, need) in bought.iter_mut().zip(needs) {
            let price = each.at_most_times(need);
            own.0 += need;
            own.1 += price;
            rest = (rest.0 - need, rest.1 - price);
        }
        if let Some(own) = bought.first_mut() {
            own.0 += rest.0;
            own.1 += rest.1;
        }
    }
}

//! What is there after a plan without being cut by it: of what was on hand before it all that it leaves, and
//! the whole rolls that are ordered with it beyond those it cuts (spares, and what a minimum order or a price
//! break adds).

use super::file::{OnHand, Plan, Roll};
use crate::units::Length;

impl Plan {
    /// What is there after the plan and not cut by it; whole rolls that are ordered with it come last.
    #[must_use]
    pub fn left_over(&self) -> Vec<OnHand> {
        let stock = self.already.iter().flat_map(|already| &already.stock);
        let left = stock.map(|stock| OnHand { quantity: self.left_of(stock), ..stock.clone() });
        let mut left: Vec<OnHand> = left.filter(|stock| stock.quantity > 0).collect();
        for line in &self.order {
            let Some(roll) = self.bought(&line.roll) else { continue };
            let beyond = line.spare.saturating_add(line.more);
            let (Some(thickness), Some(length), 1..) =
                (self.thickness_of(roll), roll.length, beyond)
            else {
                continue;
            };
            left.push(OnHand {
                name: format!("{} whole", line.roll),
                thickness,
                width: roll.width,
                length,
                quantity: beyond,
                place: "bought beyond what is cut, not begun".to_owned(),
                squared: false,
                of: Some(line.roll.clone()),
            });
        }
        left
    }

    /// The thickness of what is cut; nothing in a bare instance.
    #[must_use]
    pub fn thickness_of(&self, roll: &Roll) -> Option<Length> {
        self.nests.get(roll.nest)?.thickness
    }

    /// Rolls of a product that are bought for the plan and cut by it: the first that are cut alike.
    #[must_use]
    pub fn bought(&self, product: &str) -> Option<&Roll> {
        self.rolls.iter().find(|roll| !roll.shelf && roll.roll == product)
    }

    /// How many of what was on hand before it the plan leaves.
    #[must_use]
    pub fn left_of(&self, stock: &OnHand) -> u64 {
        stock.quantity.saturating_sub(self.copies_of(&stock.name))
    }

    /// How many rolls or offcuts of this name the plan cuts.
    #[must_use]
    pub fn copies_of(&self, name: &str) -> u64 {
        let same = self.rolls.iter().filter(|roll| roll.roll == name);
        same.fold(0, |sum: u64, roll| sum.saturating_add(roll.copies))
    }

    /// The product of which this is a whole roll on hand, bought for an earlier plan and not begun.
    #[must_use]
    pub fn whole(&self, name: &str) -> Option<&str> {
        let stock = self.already.iter().flat_map(|already| &already.stock);
        stock.filter(|stock| stock.name == name).find_map(|stock| stock.of.as_deref())
    }
}

#[cfg(test)]
mod tests {
    use crate::plan::{Ordered, sample};

    #[test]
    fn spares_and_what_a_price_break_added_are_left_over() {
        let mut plan = sample::plan(1, 1);
        let line = |spare, more| Ordered { roll: "roll-1".to_owned(), cut: 1, spare, more };
        plan.order = vec![line(1, 2)];
        let left = plan.left_over();
        assert_eq!((left.len(), left[0].quantity), (1, 3));
        plan.order = vec![line(0, 0)];
        assert!(plan.left_over().is_empty());
    }
}

//! What is there after a plan without being cut by it: of what was on hand before it all that it leaves, and
//! the whole rolls that are ordered with it beyond those it cuts (spares, and what a minimum order or a price
//! break adds).

use super::file::{OnHand, Plan};

impl Plan {
    /// What is there after the plan and not cut by it; whole rolls that are ordered with it come last.
    #[must_use]
    pub fn left_over(&self) -> Vec<OnHand> {
        let stock = self.already.iter().flat_map(|already| &already.stock);
        let left = stock.map(|stock| OnHand {
            quantity: stock.quantity.saturating_sub(self.copies_of(&stock.name)),
            ..stock.clone()
        });
        let mut left: Vec<OnHand> = left.filter(|stock| stock.quantity > 0).collect();
        for line in &self.order {
            let Some(roll) = self.rolls.iter().find(|roll| !roll.shelf && roll.roll == line.roll)
            else {
                continue;
            };
            let thickness = self.nests.get(roll.nest).and_then(|nest| nest.thickness);
            let beyond = line.spare.saturating_add(line.more);
            let (Some(thickness), Some(length), 1..) = (thickness, roll.length, beyond) else {
                continue;
            };
            left.push(OnHand {
                name: format!("{} whole", line.roll),
                thickness,
                width: roll.width,
                length,
                quantity: beyond,
                place: "bought beyond what is cut, not begun".to_owned(),
                of: Some(line.roll.clone()),
            });
        }
        left
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

//! The lists of a plan, each made once: the CSV files and the sheets of the workbook are the same tables.
//! Those that rest on the plan alone are long; they are written at once and not kept.

use super::sources::Sources;
use super::table::Table;
use super::{cuts, joints, money, offcuts, order, pieces, schedule, sequence};
use crate::cost::{Cost, RatesAre};
use crate::plan::Plan;
use crate::plan::groups::Groups;

/// The lists that rest on the plan alone.
pub struct Lists {
    /// What to buy and what to take from the shelf.
    pub order: Table,
    /// Every piece.
    pub pieces: Table,
    /// Every cut.
    pub cuts: Table,
    /// What is left and kept.
    pub offcuts: Table,
    /// Courses, joints and seams.
    pub joints: Table,
    /// Which piece goes where in which order.
    pub schedule: Table,
    /// Every pull in the order of cutting.
    pub sequence: Table,
}

/// The lists with money in them, where everything that is ordered has a price.
pub struct Priced {
    /// Rolls, freight, labour.
    pub price: Table,
    /// What every area, line, kind, size and item takes.
    pub items: Table,
    /// Where the blanket goes.
    pub waste: Table,
}

/// In which currency amounts are, as it was given: a column of every list that holds some.
pub const CURRENCY: &str = "currency";

impl Lists {
    /// Makes them, of the plan alone.
    pub fn of(plan: &Plan, sources: &Sources<'_>) -> Self {
        let groups = Groups::of(plan);
        Self {
            order: order::order(plan, sources).with(CURRENCY, sources.currency()),
            pieces: pieces::pieces_of_plan(plan, sources),
            cuts: cuts::cuts(plan, &groups, sources.rules.table.square_cut),
            offcuts: offcuts::offcuts(plan, &groups, sources),
            joints: joints::joints(plan, &sources.demand.covers),
            schedule: schedule::schedule(plan, sources),
            sequence: sequence::sequence(plan, &groups, sources),
        }
    }

    /// As they are written, in the order in which they stand here.
    #[must_use]
    pub fn csv(&self) -> [Vec<u8>; 7] {
        let Self { order, pieces, cuts, offcuts, joints, schedule, sequence } = self;
        [order, pieces, cuts, offcuts, joints, schedule, sequence].map(Table::csv)
    }
}

impl Priced {
    /// Makes them.
    pub fn of(plan: &Plan, cost: &Cost) -> Self {
        Self {
            price: money::whole(plan, cost).with(CURRENCY, &cost.currency),
            items: money::everything(cost)
                .with(CURRENCY, &cost.currency)
                .with(RatesAre::HEADING, RatesAre::of(&cost.labour).word()),
            waste: money::waste(cost).with(CURRENCY, &cost.currency),
        }
    }

    /// As they are written, in the order in which they stand here.
    #[must_use]
    pub fn csv(&self) -> [Vec<u8>; 3] {
        let Self { price, items, waste } = self;
        [price, items, waste].map(Table::csv)
    }
}

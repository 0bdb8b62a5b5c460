//! The lists of a plan, each made once: the CSV files and the sheets of the workbook are the same tables.

use super::groups::Groups;
use super::sources::Sources;
use super::table::Table;
use super::{cuts, joints, money, offcuts, order, pieces, schedule, sequence};
use crate::cost::Cost;
use crate::plan::Plan;

/// The lists.
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
    /// Where everything ordered has a price.
    pub priced: Option<Priced>,
}

/// The lists with money in them.
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
    /// Makes those that rest on the plan alone; those with money in them follow where there is a price.
    pub fn of(plan: &Plan, sources: &Sources<'_>) -> Self {
        let groups = Groups::of(plan);
        Self {
            order: order::order(plan, sources).with(CURRENCY, sources.currency()),
            pieces: pieces::pieces_of_plan(plan, sources),
            cuts: cuts::cuts(plan, &groups, sources.rules.table.square_cut),
            offcuts: offcuts::offcuts(plan, sources),
            joints: joints::joints(plan),
            schedule: schedule::schedule(plan, sources),
            sequence: sequence::sequence(plan, &groups, sources),
            priced: None,
        }
    }
}

impl Priced {
    /// Makes them.
    pub fn of(plan: &Plan, cost: &Cost) -> Self {
        Self {
            price: money::whole(plan, cost).with(CURRENCY, &cost.currency),
            items: money::everything(cost).with(CURRENCY, &cost.currency),
            waste: money::waste(cost).with(CURRENCY, &cost.currency),
        }
    }
}

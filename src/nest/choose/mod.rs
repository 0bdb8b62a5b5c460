//! Choosing among alternative bills of pieces together with the cutting.
//!
//! A group is so many like things, each of which can be made from any one of several bills of
//! pieces. Sets: sizes `i` with a fixed demand `d_i`; groups `g` with `m_g` things and bills `a`
//! that hold `n_ia` pieces, cost `c_a` (labour) and weigh `e_a` (what is limited over all groups,
//! such as extra joints). Columns: pulls `p` with length `l_p` and counts `a_ip`.
//!
//! ```text
//!   min  sum_p rate l_p x_p + sum_a c_a y_a
//!   s.t. sum_p a_ip x_p - sum_a n_ia y_a >= d_i      every size i      (price pi_i)
//!        sum_{a of g} y_a = m_g                      every group g     (price sigma_g)
//!        sum_a e_a y_a <= E                                            (price -tau)
//! ```
//!
//! 1. [`master`] holds the programme; [`table`] prices pulls in two stages and tells what a piece
//!    of any size would cost to add, whether it has a row yet or not: the least `rate l - V(W - w)`
//!    over all pull lengths. So the bills on offer need not be listed: whoever asks ([`Offers`])
//!    finds those that cost less than `sigma_g` at these prices, and their new sizes become rows
//!    together with the pull that would cut them (columns and rows at once: Muter, Birbil and
//!    Bulbul, Mathematical Programming 142, 2013).
//! 2. [`dive`] makes the choices whole, generating on the way; parts of them are then chosen anew.
//! 3. With the choices made, what is left is an ordinary instance.
//!
//! A pull lies on one width of one material; several materials (thicknesses) are one programme,
//! since one bill may need them all. Rolls in limited number count in the bound and in the final
//! instance, but not in the programme that chooses.

mod bare;
mod bound;
mod curve;
mod dive;
mod generate;
mod master;
mod material;
mod table;

pub use bare::{Alternative, Choice, Chosen, solve as solve_listed, solve_many};
pub use bound::by_area;
pub use curve::Prices;

use super::straight::effort::Effort;
use super::straight::lots::Lots;
use super::{Instance, Options, Piece, Watch};
use crate::units::Length;
use generate::{Limit, generate};
use master::Master;
use std::fmt::Debug;

/// A size of piece, and how it may lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Size {
    /// Index of the material.
    pub material: usize,
    /// Size across, unturned.
    pub width: Length,
    /// Size along, unturned.
    pub length: Length,
    /// Whether it may lie as it is.
    pub upright: bool,
    /// Whether it may lie with its sides exchanged.
    pub sideways: bool,
}

impl Size {
    /// Of a piece of this material.
    #[must_use]
    pub fn of(piece: &Piece, material: usize) -> Self {
        Self {
            material,
            width: piece.width,
            length: piece.length,
            upright: piece.turns.upright(),
            sideways: piece.turns.sideways(),
        }
    }
}

/// One way to make a thing of a group.
#[derive(Clone, Debug, PartialEq)]
pub struct Bill<P> {
    /// What it means to whoever offers it.
    pub plan: P,
    /// Pieces and how many of each.
    pub parts: Vec<(Size, u64)>,
    /// What it costs beside the blanket, in the objective's unit.
    pub cost: f64,
    /// What it takes of what is limited over all groups.
    pub extra: i64,
}

/// Whoever knows the bills.
pub trait Offers: Sync {
    /// What tells bills of a group apart.
    type Plan: Clone + Ord + Debug + Send;
    /// How many like things each group has.
    fn counts(&self) -> Vec<u64>;
    /// Bills to start from; the first must take nothing of what is limited.
    fn first(&self, group: usize) -> Vec<Bill<Self::Plan>>;
    /// Bills that cost less than `target` at these prices, cheapest first; may be none, and need
    /// not be all.
    fn more(&self, group: usize, prices: &Prices<'_>, target: f64) -> Vec<Bill<Self::Plan>>;
}

/// What is to be chosen.
pub struct Task<'a, O: Offers> {
    /// The materials: rolls, cutting, and the pieces that are wanted whatever is chosen.
    pub materials: &'a [Instance],
    /// The bills.
    pub offers: &'a O,
    /// The most that all choices together may take of what is limited.
    pub limit: i64,
    /// The finest step in which pieces may be wide.
    pub step: Length,
}

/// What was chosen.
#[derive(Clone, Debug)]
pub struct Answer<P> {
    /// For each group the bills taken and how often; they add up to its count.
    pub taken: Vec<Vec<(Bill<P>, u64)>>,
    /// For each group what its first bill costs more than what is taken, for one thing, at the
    /// prices of the free programme and in the objective's unit.
    pub saves: Vec<f64>,
    /// The programme's value with the first bills only, with free choice in fractions, and with
    /// the whole choices taken; pulls in fractions each time.
    pub linear: [f64; 3],
}

/// Makes the choices. `None` where sizes are too fine for the pricing, or the effort ended before
/// there was a choice.
pub fn choose<O: Offers>(
    task: &Task<'_, O>,
    options: &Options,
    watch: &dyn Watch,
) -> Option<Answer<O::Plan>> {
    let effort = Effort::new(options, watch);
    let mut lots = Lots::new(options.seed);
    let mut master = Master::new(task)?;
    generate(&mut master, None::<&O>, Limit::rounds(200), &effort);
    let specified = master.value();
    generate(&mut master, Some(task.offers), Limit::patient(), &effort);
    let free = master.value();
    let saves = generate::savings(&master, &effort);
    let taken = dive::best(&master, task, free, (&mut lots, &effort))?;
    Some(taken.answer(saves, [specified, free]))
}

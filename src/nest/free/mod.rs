//! Layouts of any kind: rectangles may lie anywhere, and a knife follows their edges; or every cut
//! runs from edge to edge, in any number of stages.
//!
//! 1. The instance is scaled to whole units with the gap inside the pieces (`task`).
//! 2. An order of the pieces gives a layout (`packer`: the contour in `skyline`, the choice in
//!    `fit`); sorted orders (`orders`) give a first answer at once.
//! 3. The straight engine gives another (`straight_start`), so a free answer is never worse.
//! 4. Few pieces: orders are searched for one that lays everything into less (`search`): a shorter
//!    strip (`strip`), or fewer or cheaper rolls (`rooms`, `emptier`). Many pieces: the layout is taken apart
//!    into bands that are laid anew a few at a time (`bands`).
//!    Where cuts run from edge to edge, an order is cut from sheets instead (`edges`), and of a short
//!    strip every block that wastes little is built (`joins`), which gives a bound.
//! 5. Spots become layouts of the instance's pieces (`answer`).

mod answer;
mod bands;
mod bound;
mod edges;
mod effort;
mod emptier;
mod fit;
mod joins;
mod lot;
mod orders;
mod packer;
#[cfg(test)]
mod perturbed;
mod rooms;
mod search;
mod skyline;
mod solve;
mod straight_start;
mod strip;
mod task;

pub use solve::{solve, takes};

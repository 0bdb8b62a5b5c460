//! The takeoff: what is to be insulated. `record` as typed, `kinds`, `build` and `runs` at the
//! door, `domain` after.

mod against;
mod build;
mod desk;
mod domain;
mod ends;
mod kinds;
mod opened;
mod ports;
mod read;
mod record;
mod runs;
#[cfg(test)]
mod tests;
mod unusual;
mod weak;

pub use against::check_against_stock;
pub use build::{BuildError, MOST_LAYERS};
pub use domain::{
    Bare, Build, Cap, Disc, Elbow, Flange, Head, HeadForm, Item, Kind, Measure, Pipe, Reducer,
    Shell, Size, Takeoff, Tee, Valve,
};
pub use read::{read, read_unnamed};
pub use record::COLUMNS;

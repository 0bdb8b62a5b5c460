//! The takeoff: what is to be insulated. `record` as typed, `validate` at the door, `domain` after.

mod domain;

pub use domain::{
    Bare, Build, Cap, Disc, Elbow, Flange, Head, HeadForm, Item, Kind, Measure, Pipe, Reducer,
    Shell, Size, Takeoff, Tee, Valve,
};

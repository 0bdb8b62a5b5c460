//! The specification's and the shop's rules: `rules.toml`, every key with a documented default.

mod domain;

pub use domain::{
    Elbows, JointKind, Joints, Lengths, Offcuts, Order, Resolution, Rules, Seam, Securement, Table,
    Turning, Vertical, Wrap,
};

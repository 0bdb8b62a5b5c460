//! From an insulation takeoff to flat blanket pieces, to rolls, to an order with its proof.
//!
//! The rooms, in the one direction in which they may know each other (a test reads all paths that begin with
//! `crate` or `super` and fails on an arrow that runs back):
//!
//! `units -> geometry -> cutting -> finding -> table -> {standards, rules} -> {takeoff, stock} ->
//! pattern -> {demand, measured} -> {nest, sequence} -> plan -> {done, audit} -> cost -> forecast ->
//! compare -> {report, shelf} -> cli`

pub mod audit;
pub mod cli;
pub mod compare;
pub mod cost;
pub mod cutting;
pub mod demand;
pub mod done;
pub mod finding;
pub mod forecast;
pub mod geometry;
pub mod measured;
pub mod nest;
pub mod pattern;
pub mod plan;
pub mod report;
pub mod rules;
pub mod sequence;
pub mod shelf;
pub mod standards;
pub mod stock;
pub mod table;
pub mod takeoff;
pub mod units;

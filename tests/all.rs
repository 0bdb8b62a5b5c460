//! All tests from outside the crate, as one program: thirty of them took minutes to be linked, and ran one after another.
//! One file of them alone: `cargo test --test all -- shelf::`.

mod audit;
mod bench_server;
mod bounds;
mod browser;
#[path = "certificate/main.rs"]
mod certificate;
mod choose;
mod claims;
mod cli;
mod command_line;
mod common;
mod curved_reports;
mod cut_order;
mod demo;
mod estimate;
mod few;
mod hollows;
mod inches;
mod instances;
mod nest_command;
#[path = "nest_free/main.rs"]
mod nest_free;
mod one_dimensional;
mod open_stacks;
mod outlines;
mod paper;
#[path = "common/python.rs"]
mod python;
mod readme;
mod rooms;
mod sharing;
mod shelf;
mod shop;
mod spreadsheets;
#[path = "straight/main.rs"]
mod straight;
mod trains;
mod vectors;
mod ways;

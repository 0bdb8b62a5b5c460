//! Quality of answers.
fn main() {}

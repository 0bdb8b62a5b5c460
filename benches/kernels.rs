//! Inner loops, timed.
fn main() {}

//! The straight engine against the outside: answers re-checked from the instance alone, published
//! values, exhaustive search on tiny instances.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]
#![expect(clippy::print_stderr, reason = "a skipped set is said aloud")]

mod check;
mod reader;

use rollwright::cutting::Style;
use rollwright::nest::{Options, Quiet, solve};

const SETS: [&str; 5] = [
    "csp2d_cintra_gcutd",
    "csp2d_silva2010_literature30",
    "csp2d_imahori2005",
    "bp2d_berkey_martello",
    "rolls_small_1",
];

/// With next to no work allowed, every shared instance still gets a valid answer and a bound that
/// no published value contradicts.
#[test]
fn first_answers_of_the_shared_sets_are_valid() {
    for set in SETS {
        let Some(instances) = reader::shared(set) else { continue };
        for instance in instances.iter().filter(|i| i.cutting.style == Style::Straight) {
            let options = Options { seed: 1, work: 1 };
            let nesting = solve(instance, &options, &Quiet).expect("an answer");
            check::check(instance, &nesting);
            if let Some(value) = instance.published.as_ref().and_then(|p| p.value) {
                assert!(nesting.bound <= value, "{}: bound {}", instance.name, nesting.bound);
            }
        }
    }
}

//! The user's guide says what the program does.

use rollwright::takeoff::COLUMNS;

const README: &str = include_str!("../README.md");

#[test]
fn every_column_of_the_takeoff_is_explained() {
    assert!(COLUMNS.len() > 20);
    for column in COLUMNS {
        assert!(README.contains(&format!("| `{}`", column.name)), "{}", column.name);
    }
}

#[test]
fn the_summary_shown_is_the_demos() {
    assert!(README.contains(include_str!("../demo/vellmoor/expected-summary.txt").trim_end()));
}

//! How much there is to do: length of cuts and time, from the rates in the rules.

use crate::geometry::Point;
use crate::plan::{CutKind, Piece, Pull, Roll};
use crate::rules::Rates;
use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

/// Work and the time it takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Work {
    /// Length of straight cuts; a cut that serves two pieces counts once.
    pub straight: Length,
    /// Length cut along outlines; an edge that two pieces share counts once.
    pub outline: Length,
    /// Pulls drawn off.
    pub pulls: u64,
    /// Pieces marked and stacked.
    pub pieces: u64,
    /// Settings of the knives.
    pub setups: u64,
    /// Changes of the roll.
    pub roll_changes: u64,
    /// What all of it takes, in seconds.
    pub seconds: u64,
}

impl Work {
    /// Adds other work.
    pub fn add(&mut self, other: &Self) {
        self.straight += other.straight;
        self.outline += other.outline;
        self.pulls += other.pulls;
        self.pieces += other.pieces;
        self.setups += other.setups;
        self.roll_changes += other.roll_changes;
        self.seconds += other.seconds;
    }

    /// The time in words: `3 h 05 min`.
    #[must_use]
    pub fn time(&self) -> String {
        let minutes = self.seconds.div_ceil(60);
        match (minutes / 60, minutes % 60) {
            (0, minutes) => format!("{minutes} min"),
            (hours, minutes) => format!("{hours} h {minutes:02} min"),
        }
    }
}

/// The work of one pull. With `new_roll` the roll is changed and, where the pull is its first, cut
/// square; with `new_setup` the knives are set anew.
#[must_use]
pub fn work(
    roll: &Roll,
    pull: &Pull,
    (new_roll, new_setup): (bool, bool),
    square: bool,
    (pieces, rates): (&BTreeMap<&str, &Piece>, &Rates),
) -> Work {
    let cuts = pull.cuts.iter().filter(|cut| cut.kind != CutKind::Outline);
    let straight = cuts.map(|c| c.from.distance(c.to).nm()).sum::<i64>()
        + if square { roll.width.nm() } else { 0 };
    let outline = outlines(pull, pieces);
    let pieces = pull.placements.len() as u64;
    let seconds = minutes(straight, rates.straight)
        + minutes(outline, rates.outline)
        + rates.pull
        + pieces * rates.piece
        + u64::from(new_setup) * rates.setup
        + u64::from(new_roll) * rates.roll_change;
    Work {
        straight: Length::from_nm(straight),
        outline: Length::from_nm(outline),
        pulls: 1,
        pieces,
        setups: u64::from(new_setup),
        roll_changes: u64::from(new_roll),
        seconds,
    }
}

/// Length of all outlines of a pull; an edge that two pieces share once.
fn outlines(pull: &Pull, pieces: &BTreeMap<&str, &Piece>) -> i64 {
    let mut edges: BTreeSet<(Point, Point)> = BTreeSet::new();
    for cut in pull.cuts.iter().filter(|cut| cut.kind == CutKind::Outline && cut.piece.is_none()) {
        edges.insert((cut.from.min(cut.to), cut.from.max(cut.to)));
    }
    for place in &pull.placements {
        let outline = pieces.get(place.piece.as_str()).and_then(|p| p.outline.as_ref());
        let Some(outline) = outline else { continue };
        let corners = place.corners(outline);
        for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
            edges.insert((*a.min(b), *a.max(b)));
        }
    }
    edges.into_iter().map(|(a, b)| a.distance(b).nm()).sum()
}

/// Seconds for a length at a length a minute, rounded up.
fn minutes(nm: i64, rate: Length) -> u64 {
    let all = i128::from(nm) * 60;
    let rate = i128::from(rate.nm().max(1));
    u64::try_from((all + rate - 1) / rate).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_and_times_are_those_of_hand_reckoning() {
        let mm = Length::from_mm;
        // A 3-4-5 triangle.
        let far = Point::new(mm(300), mm(400));
        assert_eq!(Point::new(mm(0), mm(0)).distance(far), mm(500));
        // 9 m at 6 m a minute are 90 seconds; 1 nm more rounds up.
        assert_eq!(minutes(mm(9000).nm(), mm(6000)), 90);
        assert_eq!(minutes(mm(9000).nm() + 1, mm(6000)), 91);
        assert_eq!(Work { seconds: 7441, ..Work::default() }.time(), "2 h 05 min");
    }
}

//! The mark by which tickets and what is reported of them are held to one plan.

use super::{Piece, Plan, Roll, Step};
use serde::Serialize;
use sha2::{Digest, Sha256};

/// Digits and capitals that nobody takes for one another; no vowels, so that no mark is a word, and none that a
/// spreadsheet takes for a number's exponent.
const SIGNS: &[u8] = b"BCDFGHJKLMNPQRSTVWXZ23456789";
/// The first of them are letters; a mark begins with one, so that no spreadsheet takes it for a number.
const LETTERS: usize = 20;
/// How many signs a mark has.
const LONG: usize = 4;

/// What stands on tickets.
#[derive(Serialize)]
struct OnTickets<'p> {
    revision: u32,
    rolls: &'p [Roll],
    pieces: &'p [Piece],
    steps: &'p [Step],
}

impl Plan {
    /// Four letters and digits by whatever stands on the tickets: rolls, pulls, pieces, for whom they are, and their order. Of
    /// two unlike plans some one in 400,000 have the same.
    #[must_use]
    pub fn mark(&self) -> String {
        let on_tickets = OnTickets {
            revision: self.revision(),
            rolls: &self.rolls,
            pieces: &self.pieces,
            steps: self.sequence.as_ref().map_or(&[], |sequence| &sequence.steps),
        };
        let mut digest = Sha256::new();
        // Hashing never fails, and a plan has no map whose keys are no text.
        let _ = serde_json::to_writer(&mut digest, &on_tickets);
        let signs = |(at, byte): (usize, u8)| {
            let many = if at == 0 { LETTERS } else { SIGNS.len() };
            char::from(SIGNS[usize::from(byte) % many])
        };
        digest.finalize().into_iter().take(LONG).enumerate().map(signs).collect()
    }
}

#[cfg(test)]
mod tests {
    use crate::plan::sample;
    use std::collections::BTreeSet;

    #[test]
    fn a_mark_changes_with_what_is_on_the_tickets_and_with_nothing_else() {
        let plan = sample::plan(4, 2);
        let mark = plan.mark();
        assert_eq!(mark.len(), 4);
        assert!(mark.starts_with(|c: char| c.is_ascii_uppercase()), "{mark}");
        let mut same = plan.clone();
        same.name = "another".to_owned();
        same.program.seed += 1;
        assert_eq!(same.mark(), mark);
        let mut moved = plan.clone();
        moved.rolls[0].pulls[0].y += crate::units::Length::from_nm(1);
        let mut fewer = plan.clone();
        fewer.rolls[0].copies += 1;
        let mut other = plan;
        other.pieces[0].piece.push('x');
        let marks: BTreeSet<String> = [moved.mark(), fewer.mark(), other.mark()].into();
        assert_eq!(marks.len(), 3);
        assert!(!marks.contains(&mark));
    }
}

//! Which release each pull of a plan is cut for.

use super::{Done, Happened};
use crate::plan::{Piece, Plan};
use std::collections::BTreeMap;

/// For each step of the order of cutting, the earliest release that still waits when it is cut.
#[must_use]
pub fn waiting(plan: &Plan) -> Vec<u32> {
    let pieces: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    let steps = plan.sequence.as_ref().map_or(&[][..], |sequence| &sequence.steps);
    let mut least = u32::MAX;
    let mut waits = vec![u32::MAX; steps.len()];
    for (time, step) in steps.iter().enumerate().rev() {
        let pull = plan.rolls.get(step.roll).and_then(|roll| roll.pulls.get(step.pull));
        let places = pull.map_or(&[][..], |pull| &pull.placements);
        for (place, used) in places.iter().zip(&step.uses) {
            let piece = pieces.get(place.piece.as_str());
            if let Some(used) = piece.zip(*used).and_then(|(p, at)| p.uses.get(at)) {
                least = least.min(used.release);
            }
        }
        waits[time] = least;
    }
    waits
}

/// What is done when a plan is cut up to the last pull that `release` waits for.
#[must_use]
pub fn cut_for(plan: &Plan, release: u32) -> Done {
    let mut done = Done::default();
    let Some(sequence) = &plan.sequence else { return done };
    let tickets = sequence.tickets();
    for ((step, waits), number) in sequence.steps.iter().zip(waiting(plan)).zip(1..) {
        if waits > release {
            continue;
        }
        if let Some(&ticket) = tickets.get(&(step.roll, step.copy)) {
            let happened: &mut Happened = done.tickets.entry(ticket).or_default();
            happened.cut.insert(number);
        }
    }
    done
}

/// What was done of a plan, as the file that [`super::read()`] reads: cut pulls only, a line for each stretch of
/// numbers on one ticket. A spreadsheet would make a date of `8-12`.
#[must_use]
pub fn report(plan: &Plan, done: &Done) -> Vec<u8> {
    let mut text = String::from("ticket,what,pull,from,to,length,piece,quantity,note,plan\n");
    let mark = plan.mark();
    for (ticket, happened) in &done.tickets {
        let pulls: Vec<u64> = happened.cut.iter().copied().collect();
        for stretch in pulls.chunk_by(|a, b| a + 1 == *b) {
            let (Some(first), Some(last)) = (stretch.first(), stretch.last()) else { continue };
            let range =
                if first == last { first.to_string() } else { format!("{first} to {last}") };
            text.extend([&plan.ticket_name(*ticket), ",cut,", &range, ",,,,,,,", &mark, "\n"]);
        }
    }
    text.into_bytes()
}

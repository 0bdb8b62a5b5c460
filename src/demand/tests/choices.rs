//! Joints that are chosen: legal, dealt out as told.

use super::*;
use crate::demand::{Choices, FreeRun, Picks, expand_chosen};
use crate::rules::Rules;

fn free(length: i64, build: &[i64], rules: &Rules) -> FreeRun {
    let made = demand(vec![item("P", pipe(NPS6, mm(length), &[]), 2, build)], rules);
    assert_eq!(made.free.len(), 1);
    made.free[0].clone()
}

/// By hand: W 1500, m 100, s 75 (DOMAIN notes, part 4).
#[test]
fn what_breaks_a_rule_is_refused() {
    let run = free(2_000, &[10, 10], &Rules::default());
    assert_eq!(run.specified, [vec![mm(1500), mm(500)], vec![mm(500), mm(1500)]]);
    let plan = |a: &[i64], b: &[i64]| -> Vec<Vec<Length>> {
        [a, b].iter().map(|l| l.iter().map(|&w| mm(w)).collect()).collect()
    };
    assert_eq!(run.keeps(&plan(&[1000, 1000], &[1075, 925])), Ok(()));
    for (a, b, word) in [
        (&[1000, 1000][..], &[1074, 926][..], "nearer than 75 mm"),
        (&[1000, 1000], &[1950, 50], "too narrow"),
        (&[1000, 1000], &[400, 1600], "too wide"),
        (&[1000, 1000], &[400, 1500], "to be covered"),
        (&[1000, 1000], &[500, 500, 600, 400], "more than"),
    ] {
        let told = run.keeps(&plan(a, b)).unwrap_err();
        assert!(told.contains(word), "{told}");
    }
    assert!(run.keeps(&plan(&[1000, 1000], &[1075, 925])[..1]).is_err());
}

fn chosen(pinned: bool, courses: &[&[i64]]) -> (Option<Demand>, Findings) {
    let mut pipe = item("P", pipe(NPS6, mm(2_000), &[]), 3, &[10, 10]);
    pipe.pinned = pinned;
    let mut choices = Choices::new();
    let plan = courses.iter().map(|l| l.iter().map(|&w| mm(w)).collect()).collect();
    choices.insert(("P".to_owned(), 1), plan);
    let picks = Picks { courses: choices, ..Picks::default() };
    expand_chosen(&Takeoff { items: vec![pipe] }, &stock(), &Rules::default(), &picks)
}

#[test]
fn pieces_joints_and_schedule_follow_the_choice() {
    let (made, _) = chosen(false, &[&[1000, 1000], &[1100, 900]]);
    let made = made.unwrap();
    let sizes: Vec<(i64, u64)> =
        made.pieces.iter().map(|p| (p.width.nm() / 1_000_000, p.quantity)).collect();
    assert_eq!(sizes, [(1000, 6), (1100, 3), (900, 3)]);
    assert_eq!(made.joints[1].joints, [mm(1100)]);
    let at: Vec<Length> = made.schedule.iter().filter(|s| s.layer == 2).map(|s| s.at).collect();
    assert_eq!(at, [mm(0), mm(1100)]);
    // What was read from the joints is what was put in.
    let again = made.choices(&made.joints);
    assert_eq!(again.get(&("P".to_owned(), 1)).map(Vec::len), Some(2));
    // As specified is no choice.
    let plain =
        demand(vec![item("P", pipe(NPS6, mm(2_000), &[]), 3, &[10, 10])], &Rules::default());
    assert!(plain.choices(&plain.joints).is_empty());
}

#[test]
fn a_choice_that_breaks_the_rules_or_a_pin_is_an_error() {
    let ids = |found: &Findings| found.iter().map(|f| f.code.id).collect::<Vec<_>>();
    let (made, found) = chosen(false, &[&[1000, 1000], &[1010, 990]]);
    assert!(made.is_none());
    assert_eq!(ids(&found), ["D008"]);
    let (made, found) = chosen(true, &[&[1000, 1000], &[1100, 900]]);
    assert!(made.is_none());
    assert_eq!(ids(&found), ["D008"]);
    let mut pinned = item("P", pipe(NPS6, mm(2_000), &[]), 3, &[10, 10]);
    pinned.pinned = true;
    assert!(demand(vec![pinned], &Rules::default()).free.is_empty());
}

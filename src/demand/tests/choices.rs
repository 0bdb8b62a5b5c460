//! Joints that are chosen: legal, cheapest, dealt out as told.

use super::*;
use crate::demand::{Choices, FreeRun, cheapest, expand_chosen};
use crate::rules::Rules;

/// Lehmer's generator (1951), modulus 2^31 - 1.
struct Lots(u64);

impl Lots {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 % limit
    }
}

fn free(length: i64, build: &[i64], rules: &Rules) -> FreeRun {
    let made = demand(vec![item("P", pipe(NPS6, mm(length), &[]), 2, build)], rules);
    assert_eq!(made.free.len(), 1);
    made.free[0].clone()
}

/// A price for every width, all different and none like another's area.
fn curves(run: &FreeRun, lots: &mut Lots) -> Vec<Vec<f64>> {
    let many = |layer: &crate::demand::FreeLayer| layer.longest.nm() / layer.step.nm() + 2;
    run.layers
        .iter()
        .map(|layer| {
            (0..many(layer))
                .map(|k| {
                    let noise = u32::try_from(lots.below(400)).unwrap();
                    f64::from(i32::try_from(k).unwrap()) + f64::from(noise)
                })
                .collect()
        })
        .collect()
}

fn price(run: &FreeRun, curves: &[Vec<f64>], courses: &[Vec<Length>]) -> f64 {
    let mut sum = 0.0;
    for ((layer, curve), courses) in run.layers.iter().zip(curves).zip(courses) {
        for (at, &course) in courses.iter().enumerate() {
            let cut = layer.cut(course, at + 1 == courses.len());
            sum += curve[usize::try_from(cut.nm() / layer.step.nm()).unwrap()]
                * f64::from(layer.parts);
        }
    }
    sum
}

/// Whatever the prices, what is offered keeps the rules, costs what it says, and never more than
/// what is specified.
#[test]
fn offers_keep_the_rules_at_any_price() {
    let mut lots = Lots(11);
    for round in 0..60 {
        let mut rules = Rules::default();
        rules.turning.quarter_turns = round % 2 == 0;
        rules.choose.longest_course = (round % 4 == 0).then(|| mm(2500));
        rules.choose.joints_a_layer = lots.below(3);
        let length = 400 + i64::try_from(lots.below(6_000)).unwrap();
        let builds: [&[i64]; 3] = [&[10], &[10, 10], &[5, 10, 10]];
        let run = free(length, builds[round % 3], &rules);
        let curves = curves(&run, &mut lots);
        let offers = cheapest(&run, &curves, 0.0, 4);
        assert!(!offers.is_empty(), "{length}");
        let specified = price(&run, &curves, &run.specified);
        for offer in &offers {
            assert_eq!(run.keeps(&offer.courses), Ok(()), "{length} {:?}", offer.courses);
            let cost = price(&run, &curves, &offer.courses);
            assert!((cost - offer.cost).abs() < 1e-6, "{length}: {cost} {}", offer.cost);
        }
        assert!(offers[0].cost <= specified + 1e-6);
    }
}

/// One layer in two courses: every place of the joint, tried one by one.
#[test]
fn two_courses_are_cut_where_it_costs_least() {
    let mut lots = Lots(5);
    let mut rules = Rules::default();
    rules.resolution.cut = mm(10);
    rules.choose.joints_a_layer = 0;
    for length in [1_600, 2_000, 2_400, 2_900] {
        let run = free(length, &[10], &rules);
        let curves = curves(&run, &mut lots);
        let two = |a: i64| vec![vec![mm(a), mm(length - a)]];
        let legal = (0..length).step_by(10).map(two).filter(|plan| run.keeps(plan).is_ok());
        let least = legal.map(|plan| price(&run, &curves, &plan)).fold(f64::INFINITY, f64::min);
        let offers = cheapest(&run, &curves, 0.0, 1);
        assert!((offers[0].cost - least).abs() < 1e-9, "{length}: {} {least}", offers[0].cost);
    }
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
    expand_chosen(&Takeoff { items: vec![pipe] }, &stock(), &Rules::default(), &choices)
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

//! What can be made in several ways: offered as the rules allow, made as chosen.

use super::*;
use crate::demand::{Making, Makings, Picks, Thing, ThingWay, expand_chosen, things};
use crate::takeoff::{HeadForm, Kind, Shell};

fn free(items: Vec<Item>, rules: &Rules) -> Vec<Thing> {
    things(&Takeoff { items }, &stock(), rules)
}

fn builds() -> Rules {
    let mut rules = Rules::default();
    rules.choose.builds = true;
    rules
}

fn build_of(way: &ThingWay, item: &str) -> Option<Vec<i64>> {
    let build = way.makings.get(item)?.build.as_ref()?;
    Some(build.iter().map(|t| t.nm() / 1_000_000).collect())
}

#[test]
fn nothing_is_offered_unless_a_rule_says_so() {
    let items = || vec![item("P", pipe(NPS6, mm(4_000), &[]), 1, &[10, 10])];
    assert!(free(items(), &Rules::default()).is_empty());
    assert_eq!(free(items(), &builds()).len(), 1);
    let mut pinned = items();
    pinned[0].pinned = true;
    assert!(free(pinned, &builds()).is_empty());
    // Without blanket of half the thickness there is nothing to choose from.
    let stock = Stock { rolls: vec![roll(10, 1500, 40_000)], offcuts: Vec::new() };
    assert!(things(&Takeoff { items: items() }, &stock, &builds()).is_empty());
}

/// The outer surface does not move: the layer above a halved one has the diameter it had, and all
/// layers keep the stagger.
#[test]
fn a_layer_may_be_two_of_half_its_thickness() {
    let all = free(vec![item("P", pipe(NPS6, mm(4_000), &[]), 2, &[10, 10])], &builds());
    let ways = &all[0].ways;
    let told: Vec<_> = ways.iter().map(|way| build_of(way, "P")).collect();
    assert_eq!(told, [None, Some(vec![5, 5, 10]), Some(vec![5, 5, 5, 5])]);
    let under = |way: &ThingWay, layer: usize| way.demand.joints[layer].under;
    assert_eq!(under(&ways[0], 1), under(&ways[1], 2));
    assert_eq!(under(&ways[0], 1), under(&ways[2], 2));
    assert!(ways.iter().all(|way| way.demand.joints.iter().all(|j| j.waived.is_none())));
    // Two layers of three courses in two copies; three layers; four.
    assert_eq!(ways.iter().map(ThingWay::pieces).collect::<Vec<_>>(), [12, 18, 24]);
}

/// A run and the elbow at its end take the same build, or their joint would not be staggered.
#[test]
fn items_that_meet_are_chosen_together() {
    let line = || {
        let elbow = item("E", elbow(NPS12, 4572), 1, &[10, 10]);
        vec![item("P", pipe(NPS12, mm(4_000), &["E"]), 1, &[10, 10]), elbow]
    };
    let all = free(line(), &builds());
    assert_eq!(all.len(), 1);
    assert_eq!(all[0].items, ["P", "E"]);
    for way in &all[0].ways {
        assert_eq!(build_of(way, "P"), build_of(way, "E"));
    }
    let one_only = Makings::from([(
        "P".to_owned(),
        Making { build: Some(vec![mm(5), mm(5), mm(10)]), ..Making::default() },
    )]);
    let picks = Picks { makings: one_only, ..Picks::default() };
    let (_, found) = expand_chosen(&Takeoff { items: line() }, &stock(), &builds(), &picks);
    assert!(codes(&found).contains(&"D012"), "{found:?}");
}

#[test]
fn elbows_may_be_gored_each_by_itself() {
    let mut rules = Rules::default();
    rules.choose.elbows = true;
    let items = || {
        vec![
            item("E", elbow(NPS6, 2286), 1, &[10, 10]),
            item("F", elbow(NPS12, 4572), 1, &[10, 10]),
            item("P", pipe(NPS6, mm(4_000), &["E"]), 1, &[10, 10]),
        ]
    };
    let all = free(items(), &rules);
    // The larger one is gored as specified.
    assert_eq!(all.iter().map(|thing| &thing.items[..]).collect::<Vec<_>>(), [["E"]]);
    let [whole, gored] = &all[0].ways[..] else { panic!("two ways") };
    assert_eq!(whole.pieces(), 2);
    assert!(gored.pieces() > 2 && gored.makings["E"].gored);
    let picks = Picks { makings: gored.makings.clone(), ..Picks::default() };
    let (made, found) = expand_chosen(&Takeoff { items: items() }, &stock(), &rules, &picks);
    let of = |demand: &Demand, item: &str| -> Vec<(String, u64)> {
        let own = demand.pieces.iter().filter(|piece| piece.item == item);
        own.map(|piece| (piece.part.clone(), piece.quantity)).collect()
    };
    let made = made.unwrap_or_else(|| panic!("{found:?}"));
    assert_eq!(of(&made, "E"), of(&gored.demand, "E"));
    assert_eq!(of(&made, "P"), of(&demand(items(), &rules), "P"));
}

#[test]
fn wound_pipe_may_be_wrapped_layer_by_layer() {
    let mut rules = Rules::default();
    rules.wrap.wound_up_to = mm(61);
    rules.choose.windings = true;
    let all = free(vec![item("P", pipe(NPS2, mm(2_000), &[]), 1, &[5, 5])], &rules);
    let [wound, layers] = &all[0].ways[..] else { panic!("two ways") };
    assert_eq!((wound.pieces(), layers.pieces()), (2, 4));
    assert!(layers.makings["P"].unwound);
}

#[test]
fn what_the_rules_do_not_allow_is_an_error() {
    let with = |making: Making, rules: &Rules, pinned: bool| -> Vec<&'static str> {
        let mut pipe = item("P", pipe(NPS6, mm(4_000), &[]), 1, &[10, 10]);
        pipe.pinned = pinned;
        let makings = Makings::from([("P".to_owned(), making)]);
        let picks = Picks { makings, ..Picks::default() };
        let (_, found) = expand_chosen(&Takeoff { items: vec![pipe] }, &stock(), rules, &picks);
        found.iter().map(|finding| finding.code.id).collect()
    };
    let halved = || Making { build: Some(vec![mm(5), mm(5), mm(10)]), ..Making::default() };
    assert!(with(halved(), &builds(), false).is_empty());
    assert_eq!(with(halved(), &builds(), true), ["D008"]);
    assert_eq!(with(halved(), &Rules::default(), false), ["D008"]);
    let thinner = Making { build: Some(vec![mm(5), mm(10)]), ..Making::default() };
    assert_eq!(with(thinner, &builds(), false), ["D008"]);
    for making in [
        Making { gored: true, ..Making::default() },
        Making { unwound: true, ..Making::default() },
        Making { seam: Some(Seam::Heel), ..Making::default() },
        Making { parts: Some(3), ..Making::default() },
        Making { petals: Some(14), ..Making::default() },
    ] {
        assert_eq!(with(making, &builds(), false), ["D008"]);
    }
}

/// By hand, rolls of 1500 x 10,000 mm: the ring is 11,027 mm long, the shell four courses high. Two parts take a roll each,
/// 8 in all; three go two on a roll, 6 in all; five of 2,206 mm four, 5 in all. Sectors of a head are fewer and wider, or
/// more and narrower.
#[test]
fn rings_and_heads_may_be_cut_into_more_parts() {
    let stock = Stock { rolls: vec![roll(10, 1500, 10_000)], offcuts: Vec::new() };
    let shell = |diameter: i64| {
        let (diameter, length, vertical) = (mm(diameter), mm(6_000), false);
        item("S", Kind::Shell(Shell { diameter, length, vertical }), 1, &[10])
    };
    let mut rules = Rules::default();
    let free = |items: Vec<Item>, rules: &Rules| things(&Takeoff { items }, &stock, rules);
    assert!(free(vec![shell(3500)], &rules).is_empty());
    rules.choose.parts = true;
    let all = free(vec![shell(3500)], &rules);
    let parts: Vec<_> = all[0].ways.iter().map(|way| way.makings.get("S")?.parts).collect();
    assert_eq!(parts, [None, Some(3), Some(4), Some(5), Some(6)]);
    let pieces: Vec<_> = all[0].ways.iter().map(ThingWay::pieces).collect();
    assert_eq!(pieces, [8, 12, 16, 20, 24]);
    let five = &all[0].ways[3].demand.pieces;
    assert!(five.iter().all(|piece| (mm(2_206)..mm(2_208)).contains(&piece.length)));
    // Rings of 1 m leave little of a roll, and a bend's seams are placed against those of the run beside it.
    assert!(free(vec![shell(310)], &rules).is_empty());
    let line = |ends: &[&str]| item("P", pipe(NPS12, mm(3_000), ends), 1, &[10]);
    let stub = Stock { rolls: vec![roll(10, 1500, 4_000)], offcuts: Vec::new() };
    let offered = |items| things(&Takeoff { items }, &stub, &rules).len();
    assert_eq!(offered(vec![line(&[])]), 1);
    assert_eq!(offered(vec![line(&["E"]), item("E", elbow(NPS12, 4572), 1, &[10])]), 0);

    let kind =
        Kind::Head(crate::takeoff::Head { diameter: mm(4_000), form: HeadForm::Ellipsoidal });
    let all = free(vec![item("H", kind, 1, &[10])], &rules);
    let petals: Vec<_> = all[0].ways.iter().map(|way| way.makings.get("H")?.petals).collect();
    let more = [14, 16, 18, 20, 22, 24].map(Some);
    assert_eq!((petals[0], &petals[1..]), (None, &more[..]));
    // A petal more, a piece more; crown discs may be cut in more strips.
    let pieces: Vec<_> = all[0].ways.iter().map(ThingWay::pieces).collect();
    assert!(pieces.windows(2).all(|two| two[1] >= two[0] + 2), "{pieces:?}");
}

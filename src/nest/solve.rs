//! Chooses the engine that an instance needs.

use super::straight::{LaidPull, laid};
use super::watch::{Hushed, Share};
use super::{Instance, NestError, Nesting, Options, Piece, Status, Watch, bound};
use super::{bars, endless, few, free, neighbourhood, offers, shapes, straight};
use crate::cutting::{Cutting, Objective, Style};

/// So many rectangles are laid corner to corner, too, where they are cut freely with a gap.
const CORNERS: u64 = 300;

/// Where all answers to a few pieces can be gone through, this much work goes into others first: mostly
/// it is enough.
const QUICK: u64 = 100_000;

/// Lays the pieces on rolls and bounds what could be saved.
///
/// # Errors
/// When there is no roll, a piece fits none, the rolls on hand hold less than the pieces, or a
/// roll without end is asked for a number of rolls.
pub fn solve(
    instance: &Instance,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    solve_from(instance, &[], options, watch)
}

/// As [`solve()`], with pulls that are known to hold all pieces: where straight cuts have two or three
/// stages, the answer is no worse than they are.
///
/// # Errors
/// As [`solve()`].
pub fn solve_from(
    instance: &Instance,
    known: &[LaidPull],
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    check(instance)?;
    if let Some(two) = two_stages_first(instance, options) {
        let first = Options { work: (options.work / OF_TWO).min(MOST_OF_TWO), ..*options };
        let time = Share::of(watch, 1, OF_TWO);
        let two = with_shelf(&two, known, &first, &Hushed(&time));
        // Where the area proves it, it is the answer; else a search that began from it would stay near it.
        let area = bound::by_area(instance).bound(instance);
        let proven = |two: &&Nesting| area.is_some_and(|area| two.value <= area);
        let two_laid = two.as_ref().ok().filter(|_| known.is_empty()).filter(proven);
        let two_laid = two_laid.map(|two| laid(instance, &two.layouts));
        let found = with_shelf(instance, two_laid.as_deref().unwrap_or(known), options, watch);
        return no_worse_than_stricter(instance, found, two);
    }
    let found = with_shelf(instance, known, options, watch);
    let open = found.as_ref().map_or(true, |found| found.status != Status::Proven);
    if options.work > LITTLE || !open || watch.stop() {
        return found;
    }
    let stricter = stricter(instance).filter(|_| !watch.stop());
    stricter.fold(found, |found, other| {
        let answer = with_shelf(&other, &[], options, &Hushed(watch));
        no_worse_than_stricter(instance, found, answer)
    })
}

/// With so little work a search loses a roll now and then that it does not lose where fewer cuts are allowed: then those
/// are asked for, too. Each ends soon.
const LITTLE: u64 = 500_000;

/// So many rectangles on rolls, or more, are cut in two stages first, with half as much work and no more than
/// this, where more stages are allowed: that programme is much the smaller, and by what it costs a search for three falls
/// short of it now and then.
/// Of more than the most, all pulls one by one would take too much room.
const MANY: u64 = 150;
const MOST: u64 = 100_000;
const OF_TWO: u64 = 2;
const MOST_OF_TWO: u64 = 2_500_000;

/// The same pieces in two stages, where that is worth being asked first.
fn two_stages_first(instance: &Instance, options: &Options) -> Option<Instance> {
    let counted =
        instance.objective != Objective::Length && (MANY..=MOST).contains(&instance.demand());
    let plain = !instance.is_outlined() && !bars::takes(instance);
    let takes = options.work > LITTLE && counted && plain;
    takes.then(|| stricter(instance).last()).flatten()
}

/// The same pieces with fewer cuts, or fewer kinds of cuts, allowed, where each of their layouts is one of the
/// instance's.
fn stricter(instance: &Instance) -> impl Iterator<Item = Instance> {
    let Cutting { style, stages, .. } = instance.cutting;
    let bare = |piece: &Piece| {
        piece.outline.as_ref().is_none_or(|o| o.size() == (piece.width, piece.length))
    };
    let fewer: &[Option<u8>] = match (style, stages) {
        (Style::Free, _) if instance.pieces.iter().all(bare) => &[None, Some(3), Some(2)],
        (Style::Straight, None) => &[Some(3), Some(2)],
        (Style::Straight, Some(3)) => &[Some(2)],
        _ => &[],
    };
    fewer.iter().map(|&stages| {
        let cutting = Cutting { style: Style::Straight, stages, ..instance.cutting.clone() };
        Instance { cutting, ..instance.clone() }
    })
}

/// An answer, or one with fewer cuts that is better; of that only the layouts count.
fn no_worse_than_stricter(
    instance: &Instance,
    found: Result<Nesting, NestError>,
    stricter: Result<Nesting, NestError>,
) -> Result<Nesting, NestError> {
    match (found, stricter) {
        (Ok(found), Ok(other)) if other.value < found.value => Ok(found.replaced_by(other)),
        (Err(_), Ok(other)) => Ok(Nesting::known(instance, other.layouts)),
        (found, _) => found,
    }
}

/// The answer by what is on the shelf first, where that may do.
fn with_shelf(
    instance: &Instance,
    known: &[LaidPull],
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    let Some((kept, work)) = offers::free_rolls(instance, options) else {
        return whole(instance, known, options, watch);
    };
    let first = Options { work: options.work - work, ..*options };
    let found = whole(instance, known, &first, &Share::of(watch, first.work, options.work));
    let found = found.map(|found| found.within(watch));
    if found.as_ref().is_ok_and(|found| found.value == 0) || watch.stop() {
        return found;
    }
    // Something is bought, or there is no answer.
    let options = Options { work, ..*options };
    let alone = |one: &Instance| within_limits(one, &[], &options, &Hushed(watch));
    offers::free_alone(instance, &kept, alone).map_or(found, Ok)
}

/// The answer by all rolls.
fn whole(
    instance: &Instance,
    known: &[LaidPull],
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    if let Some(work) = endless::work(instance, options) {
        let first = Options { work: options.work - work, ..*options };
        let time = Share::of(watch, first.work, options.work);
        let strip = within_limits(instance, known, &first, &time)?.within(watch);
        let options = Options { work, ..*options };
        let one = |one: &Instance, options: &Options, watch: &dyn Watch| {
            within_limits(one, &[], options, watch)
        };
        return Ok(endless::shorten(instance, strip, &options, watch, one).within(watch));
    }
    let around = neighbourhood::work(instance, options);
    let first = Options { work: options.work - around.unwrap_or(0), ..*options };
    let Some(work) = around else { return within_limits(instance, known, &first, watch) };
    let answer =
        within_limits(instance, known, &first, &Share::of(watch, first.work, options.work))?;
    let answer = answer.within(watch);
    let options = Options { work, ..*options };
    Ok(improved(instance, answer, &options, watch).within(watch))
}

/// A better answer by nests of few rolls at a time, or the one that there is.
pub(super) fn improved(
    instance: &Instance,
    answer: Nesting,
    options: &Options,
    watch: &dyn Watch,
) -> Nesting {
    let few = |few: &Instance, options: &Options, watch: &dyn Watch| {
        engine(few, &[], options, watch).ok()
    };
    neighbourhood::improve(instance, answer, options, watch, few)
}

/// The engine's answer; where it finds limited rolls too few, one without limits that keeps them.
fn within_limits(
    instance: &Instance,
    known: &[LaidPull],
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    let quick = Options { work: options.work.min(QUICK), ..*options };
    let first = if few::takes(instance) {
        match engine(instance, known, &quick, watch) {
            Err(NestError::NotEnoughRolls { .. }) => match few::solve(instance, options, watch) {
                // All ways were gone through: no other search finds one.
                Some(Err(none)) => return Err(none),
                found => found,
            },
            Ok(answer) if answer.status == Status::Feasible => few::solve(instance, options, watch),
            answer => Some(answer),
        }
    } else {
        None
    };
    match first.unwrap_or_else(|| engine(instance, known, options, watch)) {
        Err(NestError::NotEnoughRolls { missing }) => {
            let ask = |other: &Instance| engine(other, known, options, watch).ok();
            let found = offers::without_limits(instance, ask);
            let found = found.or_else(|| offers::by_area(instance, ask));
            found.ok_or(NestError::NotEnoughRolls { missing })
        }
        answer => answer,
    }
}

/// The engine that the instance needs.
fn engine(
    instance: &Instance,
    known: &[LaidPull],
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    if let Some(nesting) = bars::solve(instance, options, watch) {
        return Ok(nesting);
    }
    match instance.cutting.style {
        Style::Straight if instance.cutting.stages.is_some() || !free::takes(instance) => {
            straight::solve_from(instance, known, options, watch)
        }
        Style::Free if instance.is_outlined() => shapes::solve(instance, options, watch),
        Style::Free if instance.cutting.gap.is_positive() && instance.demand() <= CORNERS => {
            corner_to_corner(instance, options, watch)
        }
        Style::Straight | Style::Free => free::solve(instance, options, watch),
    }
}

/// Rectangles that are cut freely with a gap: laid as boxes that have it behind them, and where that is not proven, as
/// outlines, which keep it corner to corner.
fn corner_to_corner(
    instance: &Instance,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    let half = Options { work: options.work / 2, ..*options };
    let boxes = free::solve(instance, &half, &Share::of(watch, 1, 2));
    let boxes = boxes.map(|boxes| boxes.within(watch));
    if boxes.as_ref().is_ok_and(|boxes| boxes.status != Status::Feasible) {
        return boxes;
    }
    let outlines = shapes::solve(instance, &half, watch);
    let best = match (boxes, outlines) {
        // What is proven of boxes with less of a gap between them may be more than the area proves.
        (Ok(boxes), Ok(outlines)) if outlines.value < boxes.value => {
            Ok(boxes.replaced_by(outlines))
        }
        (Err(why), outlines) => outlines.map_err(|_| why),
        (boxes, _) => boxes,
    };
    best.map(|best| best.within(watch))
}

fn check(instance: &Instance) -> Result<(), NestError> {
    if instance.rolls.is_empty() {
        return Err(NestError::NoRolls);
    }
    if instance.objective == Objective::Length {
        let one_endless = instance.rolls.len() == 1 && instance.rolls[0].length.is_none();
        return if one_endless { Ok(()) } else { Err(NestError::LengthNeedsOneEndlessRoll) };
    }
    match instance.rolls.iter().find(|roll| roll.length.is_none()) {
        Some(roll) => Err(NestError::EndlessRoll { roll: roll.id.clone() }),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::Quiet;
    use crate::nest::sample;

    #[test]
    fn a_roll_without_end_is_for_the_least_length_alone() {
        let text = r#"{ "name": "a", "objective": "length", "cutting": { "style": "straight" },
            "rolls": [ { "id": "A", "width": 10, "length": null } ],
            "pieces": [ { "id": "p", "width": 10, "length": 5, "quantity": 1 } ] }"#;
        let mut instance = sample::instance(text);
        let options = Options { seed: 1, work: 1_000 };
        let solved = |instance: &Instance| solve(instance, &options, &Quiet);
        assert_eq!(solved(&instance).unwrap().value, 5_000_000);
        for objective in [Objective::Rolls, Objective::Price] {
            instance.objective = objective;
            let why = solved(&instance).unwrap_err();
            assert!(matches!(&why, NestError::EndlessRoll { roll } if roll == "A"), "{why}");
        }
    }

    proptest::proptest! {
        #![proptest_config(proptest::test_runner::Config::with_cases(24))]

        /// With little work, too: each layout of fewer cuts is one of more, and of a freer kind. What is proven stays so.
        #[test]
        fn freer_cuts_take_no_more(
            pieces in proptest::collection::vec((60_i64..900, 60_i64..900, 1_u64..9, 0_usize..3), 1..6),
            objective in 0_usize..2,
            work in 500_u64..20_000,
        ) {
            let piece = |(k, &(width, length, n, shape)): (usize, &(i64, i64, u64, usize))| {
                let (right, top) = (width / 2, length / 3);
                let outline = [
                    String::new(),
                    format!(r#", "outline": [[0, 0], [{width}, 0], [{width}, {length}], [{right}, {length}]]"#),
                    format!(r#", "outline": [[0, 0], [{width}, 0], [{width}, {top}], [0, {length}]]"#),
                ];
                let outline = &outline[shape];
                format!(
                    r#"{{ "id": "p{k}", "width": {width}, "length": {length}, "quantity": {n}, "turns": [0, 90]{outline} }}"#
                )
            };
            let pieces: Vec<String> = pieces.iter().enumerate().map(piece).collect();
            let (pieces, objective) = (pieces.join(", "), ["rolls", "price"][objective]);
            let mut instance = sample::instance(&format!(
                r#"{{ "name": "a", "objective": "{objective}", "cutting": {{ "style": "free" }},
                    "rolls": [ {{ "id": "A", "width": 1000, "length": 2000, "price": 3 }},
                        {{ "id": "B", "width": 1200, "length": 3000, "price": 5 }} ],
                    "pieces": [ {pieces} ] }}"#
            ));
            let options = Options { seed: 1, work };
            let mut least = solve(&instance, &options, &Quiet).unwrap();
            instance.cutting.style = Style::Straight;
            for stages in [None, Some(3), Some(2)] {
                instance.cutting.stages = stages;
                let next = solve(&instance, &options, &Quiet).unwrap();
                proptest::prop_assert!(least.value <= next.value, "{stages:?}");
                proptest::prop_assert!(least.bound <= next.value && next.bound <= next.value);
                least = next;
            }
        }
    }

    /// Many sizes that may be turned, with the usual work: a search in three stages alone took a roll more than one in two in
    /// four of six such sets.
    #[test]
    fn three_stages_of_many_sizes_take_no_more_than_two() {
        let mut state = 7_u64;
        let mut draw = |least: u64, most: u64| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            least + (state >> 33) % (most - least)
        };
        for _ in 0..3 {
            let piece = |k: u64| {
                let (width, length, quantity) = (draw(150, 1100), draw(200, 1150), draw(1, 4));
                format!(
                    r#"{{ "id": "p{k}", "width": {width}, "length": {length}, "quantity": {quantity}, "turns": [0, 90] }}"#
                )
            };
            let pieces: Vec<String> = (0..120).map(piece).collect();
            let found = [3, 2].map(|stages| {
                let instance = sample::instance(&format!(
                    r#"{{ "name": "a", "objective": "rolls", "cutting": {{ "style": "straight", "stages": {stages} }},
                        "rolls": [ {{ "id": "R", "width": 1200, "length": 5000 }} ], "pieces": [ {} ] }}"#,
                    pieces.join(", ")
                ));
                assert!(instance.demand() >= MANY);
                solve(&instance, &Options { seed: 1, work: LITTLE + 1 }, &Quiet).unwrap().value
            });
            assert!(found[0] <= found[1], "{found:?}");
        }
    }

    /// Rolls on hand that hold all pieces, as they were made by filling them (a reviewer's): two kinds of 18 pieces go
    /// through exactly; 200 pieces of three kinds take 95 % of their rolls' length, 305 of six kinds 99.9.
    #[test]
    fn rolls_on_hand_that_hold_all_pieces_are_not_refused() {
        let instance = |rolls: &[(i64, i64, u64, i64)], pieces: &[(i64, i64, u64)]| {
            let roll = |(k, (w, l, n, price)): (usize, &(i64, i64, u64, i64))| {
                format!(
                    r#"{{ "id": "R{k}", "width": {w}, "length": {l}, "available": {n}, "price": {price} }}"#
                )
            };
            let piece = |(k, (w, l, n)): (usize, &(i64, i64, u64))| {
                format!(
                    r#"{{ "id": "p{k}", "width": {w}, "length": {l}, "quantity": {n}, "turns": [0] }}"#
                )
            };
            let rolls: Vec<String> = rolls.iter().enumerate().map(roll).collect();
            let pieces: Vec<String> = pieces.iter().enumerate().map(piece).collect();
            let (rolls, pieces) = (rolls.join(", "), pieces.join(", "));
            sample::instance(&format!(
                r#"{{ "name": "a", "objective": "price", "cutting": {{ "style": "straight", "stages": 2 }},
                    "rolls": [ {rolls} ], "pieces": [ {pieces} ] }}"#
            ))
        };
        let tiny =
            instance(&[(1200, 2000, 1, 24), (900, 2000, 2, 18)], &[(200, 830, 10), (500, 820, 8)]);
        let three = instance(
            &[(1000, 5000, 2, 50), (1200, 15_000, 1, 180)],
            &[(180, 580, 109), (250, 1170, 4), (280, 580, 87)],
        );
        let six = instance(
            &[(1200, 12_000, 3, 144), (1500, 20_000, 2, 308)],
            &[
                (170, 230, 65),
                (245, 1145, 43),
                (270, 485, 50),
                (505, 1005, 42),
                (515, 1035, 34),
                (640, 690, 71),
            ],
        );
        for (instance, price) in [(tiny, 60), (three, 280), (six, 1048)] {
            let options = Options { seed: 1, work: 1_000_000 };
            let found = solve(&instance, &options, &Quiet).unwrap();
            assert_eq!(found.value, price * 1_000_000);
        }
    }
}

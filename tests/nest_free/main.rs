//! The engine for free layouts: every answer is re-checked from the instance alone, and compared
//! with optima that are known by construction or by exhaustive search.

#![expect(clippy::unwrap_used, reason = "a test that cannot be set up should stop")]
#![expect(
    clippy::cast_possible_wrap,
    clippy::cast_precision_loss,
    reason = "test instances are small"
)]

mod check;
mod exhaustive;
mod make;
mod shared;

use crate::common;
use check::check;
use make::{Dice, mm, piece, roll, shards, strip};
use rollwright::cutting::{Objective, Turns};
use rollwright::nest::free::solve;
use rollwright::nest::{self, Instance, NestError, News, Options, Quiet, Status, Watch};
use rollwright::units::Money;

fn options(work: u64) -> Options {
    Options { seed: 1, work }
}

/// Freely cut pieces keep the gap corner to corner: on a width of 90 two squares of 30 lie at (0, 0) and (60, 70), 50 apart
/// (3-4-5 triangle), so 100 of length hold them. Side by side or one behind the other they need 110. The search keeps
/// polygons round its circles, which takes a hundredth more.
#[test]
fn no_bound_of_free_layouts_counts_the_gap_as_a_box() {
    let squares = vec![piece(30, 30, 2, Turns::none())];
    let mut instance = strip("corner to corner", 90, squares);
    instance.cutting.gap = mm(50);
    let answer = nest::solve(&instance, &options(100_000), &Quiet).unwrap();
    assert!(answer.bound <= mm(100).nm() && answer.value < mm(102).nm(), "{answer:?}");
    let places: Vec<_> =
        answer.layouts.iter().flat_map(|l| &l.pulls).flat_map(|p| &p.placements).collect();
    let apart = |a: rollwright::units::Length, b: rollwright::units::Length| {
        ((a - b).mm_f64().abs() - 30.0).max(0.0)
    };
    let (x, y) = (apart(places[0].x, places[1].x), apart(places[0].y, places[1].y));
    assert!(places.len() == 2 && x.hypot(y) >= 50.0, "{places:?}");
    instance.objective = Objective::Rolls;
    instance.rolls = vec![roll(90, Some(102))];
    let answer = nest::solve(&instance, &options(100_000), &Quiet).unwrap();
    assert_eq!((answer.bound, answer.value), (1, 1), "{answer:?}");
}

/// Optimum: the rectangle that the pieces were cut from leaves no waste.
#[test]
fn pieces_cut_from_a_rectangle_go_back_into_it() {
    let mut dice = Dice(11);
    for round in 0..24 {
        let (width, length) = (dice.roll(40, 300), dice.roll(40, 300));
        let many = usize::try_from(dice.roll(2, 12)).unwrap();
        let turns = if round % 2 == 0 { Turns::none() } else { Turns::quarter() };
        let cut = shards(&mut dice, width, length, many);
        let pieces = cut.iter().map(|&(w, l)| piece(w, l, 1, turns.clone())).collect();
        let instance = strip(&format!("cut {round}"), width, pieces);
        let answer = solve(&instance, &options(300_000), &Quiet).unwrap();
        check(&instance, &answer);
        assert_eq!(answer.value, mm(length).nm(), "{}: {cut:?}", instance.name);
        assert_eq!(answer.status, Status::Proven);
    }
}

/// Optimum: every order of bottom-left placements at every corner position, by exhaustion.
#[test]
fn tiny_strips_are_laid_as_short_as_an_exhaustive_search_finds() {
    let mut dice = Dice(5);
    for round in 0..40 {
        let width = dice.roll(5, 12);
        let sizes: Vec<(i64, i64)> =
            (0..dice.roll(2, 5)).map(|_| (dice.roll(1, width.min(7)), dice.roll(1, 7))).collect();
        let pieces = sizes.iter().map(|&(w, l)| piece(w, l, 1, Turns::none())).collect();
        let instance = strip(&format!("tiny {round}"), width, pieces);
        let answer = solve(&instance, &options(20_000), &Quiet).unwrap();
        check(&instance, &answer);
        let least = exhaustive::shortest(width, &sizes);
        assert!(answer.bound <= mm(least).nm(), "{sizes:?} on {width}: bound");
        assert_eq!(answer.value, mm(least).nm(), "{sizes:?} on {width}");
    }
}

/// Random pieces with every shop rule at once: only validity is known.
#[test]
fn gaps_trims_square_cuts_and_pull_limits_are_kept() {
    let mut dice = Dice(3);
    for round in 0..60 {
        let width = dice.roll(100, 400);
        let pieces = (0..dice.roll(1, 12))
            .map(|_| {
                let turns = if dice.roll(0, 1) == 0 { Turns::none() } else { Turns::quarter() };
                let quantity = dice.roll(1, 4).unsigned_abs();
                piece(dice.roll(5, width / 2), dice.roll(5, 150), quantity, turns)
            })
            .collect();
        let mut instance = strip(&format!("rules {round}"), width, pieces);
        instance.cutting.gap = mm(dice.roll(0, 4));
        instance.cutting.edge_trim = mm(dice.roll(0, 10));
        instance.cutting.square_cut = mm(dice.roll(0, 30));
        instance.cutting.pull_limit = (dice.roll(0, 2) > 0).then(|| mm(dice.roll(200, 400)));
        if round % 2 == 0 {
            instance.objective = Objective::Rolls;
            instance.rolls = vec![roll(width, Some(dice.roll(200, 600)))];
        }
        let answer = solve(&instance, &options(20_000), &Quiet).unwrap();
        check(&instance, &answer);
    }
}

/// Optimum by hand: 4 pieces of 50 x 50 fill one 100 x 100 offcut that is free of charge.
#[test]
fn a_paid_offcut_is_used_before_a_roll_is_bought() {
    let mut instance = strip("offcut", 100, vec![piece(50, 50, 4, Turns::none())]);
    instance.objective = Objective::Price;
    instance.rolls = vec![roll(100, Some(1000)), roll(100, Some(100))];
    instance.rolls[1].price = Money::ZERO;
    instance.rolls[1].available = Some(1);
    let answer = solve(&instance, &options(20_000), &Quiet).unwrap();
    check(&instance, &answer);
    assert_eq!(answer.value, 0);
}

/// Optimum by hand: a half-price short roll holds all that is wanted.
#[test]
fn the_last_roll_is_exchanged_for_a_cheaper_one() {
    let mut instance = strip("short", 100, vec![piece(100, 60, 3, Turns::none())]);
    instance.objective = Objective::Price;
    instance.rolls = vec![roll(100, Some(120)), roll(100, Some(70))];
    instance.rolls[1].price = Money::from_micros(600_000);
    let answer = solve(&instance, &options(20_000), &Quiet).unwrap();
    check(&instance, &answer);
    assert_eq!(answer.value, 1_600_000);
    assert_eq!(answer.layouts.len(), 2);
}

#[test]
fn what_cannot_be_laid_is_refused_with_the_reason() {
    let wide = strip("wide", 100, vec![piece(101, 20, 1, Turns::none())]);
    let refused = solve(&wide, &options(1000), &Quiet).unwrap_err();
    assert_eq!(refused, NestError::PieceFitsNoRoll { piece: "101x20".to_owned() });
    let mut few = strip("few", 100, vec![piece(60, 60, 3, Turns::none())]);
    few.objective = Objective::Rolls;
    few.rolls = vec![roll(100, Some(100))];
    few.rolls[0].available = Some(2);
    let refused = solve(&few, &options(1000), &Quiet).unwrap_err();
    assert_eq!(refused, NestError::NotEnoughRolls { missing: 1 });
    let mut none = few.clone();
    none.rolls.clear();
    assert_eq!(solve(&none, &options(1000), &Quiet).unwrap_err(), NestError::NoRolls);
}

fn forty(seed: u64) -> Instance {
    let mut dice = Dice(seed);
    let pieces = (0..40)
        .map(|_| piece(dice.roll(10, 150), dice.roll(10, 150), 1, Turns::quarter()))
        .collect();
    strip("forty", 300, pieces)
}

#[test]
fn threads_do_not_change_the_answer() {
    let instance = forty(8);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| solve(&instance, &options(100_000), &Quiet).unwrap())
    };
    assert_eq!(on(1), on(3));
}

struct AtOnce;

impl Watch for AtOnce {
    fn stop(&self) -> bool {
        true
    }
    fn news(&self, _: &News<'_>) {}
}

#[test]
fn an_answer_is_there_even_when_stopped_at_once() {
    let instance = forty(9);
    let answer = solve(&instance, &options(u64::MAX / 2), &AtOnce).unwrap();
    check(&instance, &answer);
    assert_eq!(answer.status, Status::Stopped);
}

/// More pieces than are searched at once, on rolls that hold some thirty (laid roll by roll) or ninety
/// (band by band): only validity is known, and that the area bound is near.
#[test]
fn many_pieces_are_laid_roll_by_roll_or_band_by_band() {
    for length in [500, 1500] {
        let mut dice = Dice(21);
        let pieces = (0..60)
            .map(|_| piece(dice.roll(20, 120), dice.roll(20, 120), 12, Turns::quarter()))
            .collect();
        let mut instance = strip("many", 300, pieces);
        instance.objective = Objective::Rolls;
        instance.rolls = vec![roll(300, Some(length))];
        instance.cutting.gap = mm(2);
        let answer = solve(&instance, &options(150_000), &Quiet).unwrap();
        check(&instance, &answer);
        let more = answer.value * 100 <= answer.bound * 112;
        assert!(more || answer.value == answer.bound + 1, "{} of {}", answer.value, answer.bound);
    }
}

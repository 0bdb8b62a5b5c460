//! Choices against brute force: every combination of alternatives, each nested exhaustively without a
//! line of the engine.

use crate::oracle::least_rolls;
use crate::random::{piece, roll, straight};
use rollwright::cutting::{Objective, Turns};
use rollwright::nest::choose::{Alternative, Choice, Chosen, solve_listed, solve_many};
use rollwright::nest::{Instance, Options, Quiet, Status};

/// Lehmer's generator (1951), modulus 2^31 - 1.
struct Lots(u64);

impl Lots {
    fn from(&mut self, least: i64, most: i64) -> i64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        let span = u64::try_from(most - least + 1).expect("a range");
        least + i64::try_from(self.0 % span).expect("small")
    }
}

/// Up to six runs on one kind of roll. A run of length `l` and stretch-out `s` is one piece, or two
/// that meet anywhere; some runs are as they are, others may be made in two or three ways.
fn case(seed: u64) -> (Instance, Vec<Choice>) {
    let mut lots = Lots(seed * 7919 + 1);
    let width = lots.from(8, 14);
    let mut pieces = Vec::new();
    let mut choices = Vec::new();
    let runs = lots.from(1, 6);
    let turns = if lots.from(0, 1) == 0 { Turns::none() } else { Turns::quarter() };
    let mut free = 3;
    for run in 0..runs {
        let around = lots.from(3, 9);
        let long = lots.from(4, width);
        let ways = if free > 0 { lots.from(1, 3) } else { 1 };
        free -= i64::from(ways > 1);
        // Only the first two runs may be in two pieces, so that sets of pieces stay few.
        let mut alternatives = vec![vec![long]];
        for _ in 1..ways {
            let first = lots.from(2, long - 2);
            alternatives.push(if run < 2 { vec![first, long - first] } else { vec![long] });
        }
        if run >= 2 && ways > 1 {
            // The same area with its sides otherwise: what a wrap in two turns would need.
            alternatives.truncate(1);
            alternatives.push(vec![(long + 1) / 2]);
        }
        let listed = alternatives
            .into_iter()
            .enumerate()
            .map(|(way, widths)| {
                let around = if run >= 2 && way > 0 { 2 * around } else { around };
                let held = widths.into_iter().map(|wide| {
                    let size = piece(pieces.len(), wide, around, 0, turns.clone());
                    pieces.push(size);
                    (pieces.len() - 1, 1)
                });
                Alternative { pieces: held.collect() }
            })
            .collect();
        choices.push(Choice { count: 1, alternatives: listed });
    }
    let instance = Instance {
        name: format!("case-{seed}"),
        rolls: vec![roll("A", width, lots.from(18, 26), 1)],
        pieces,
        cutting: straight(Some(2)),
        objective: Objective::Rolls,
        published: None,
    };
    (instance, choices)
}

/// The least number of rolls over all combinations.
fn brute_force(instance: &Instance, choices: &[Choice]) -> i64 {
    let mut ways = vec![Vec::new()];
    for choice in choices {
        ways = ways
            .iter()
            .flat_map(|way: &Vec<usize>| {
                (0..choice.alternatives.len()).map(|a| {
                    let mut longer = way.clone();
                    longer.push(a);
                    longer
                })
            })
            .collect();
    }
    let least = ways.iter().map(|way| {
        let mut made = instance.clone();
        for (choice, &a) in choices.iter().zip(way) {
            for &(piece, n) in &choice.alternatives[a].pieces {
                made.pieces[piece].quantity += n;
            }
        }
        made.pieces.retain(|piece| piece.quantity > 0);
        least_rolls(&made)
    });
    i64::try_from(least.min().expect("a way")).expect("few rolls")
}

fn valid(chosen: &Chosen, choices: &[Choice], least: i64, name: &str) {
    crate::check::check(&chosen.instance, &chosen.nesting);
    for (choice, taken) in choices.iter().zip(&chosen.taken) {
        assert_eq!(taken.iter().sum::<u64>(), choice.count, "{name}");
    }
    let nesting = &chosen.nesting;
    assert!(nesting.bound <= least, "{name}: bound {} above {least}", nesting.bound);
    assert!(nesting.value >= least, "{name}: value {} below {least}", nesting.value);
    assert!(nesting.status != Status::Proven || nesting.value == least, "{name}");
}

/// 200 jobs of up to six runs: the answer is the best over all choices, and so says its bound.
#[test]
fn few_choices_are_made_exactly() {
    let mut many = 0;
    for seed in 1..=200 {
        let (instance, choices) = case(seed);
        let least = brute_force(&instance, &choices);
        let chosen = solve_listed(&instance, &choices, &Options { seed: 1, work: 100_000 }, &Quiet)
            .expect("an answer");
        valid(&chosen, &choices, least, &instance.name);
        assert_eq!(chosen.nesting.value, least, "{}", instance.name);
        many += usize::from(choices.iter().any(|choice| choice.alternatives.len() > 1));
    }
    assert!(many > 100, "only {many} cases have a choice");
}

/// The programme alone, as it is used where there are too many combinations: bounds hold, answers
/// are valid and nearly always the best.
#[test]
fn the_programme_bounds_every_choice() {
    let mut best = 0;
    for seed in 1..=200 {
        let (instance, choices) = case(seed);
        let least = brute_force(&instance, &choices);
        let chosen = solve_many(&instance, &choices, &Options { seed: 1, work: 100_000 }, &Quiet)
            .expect("an answer");
        valid(&chosen, &choices, least, &instance.name);
        best += usize::from(chosen.nesting.value == least);
    }
    assert!(best >= 190, "only {best} of 200 are the best");
}

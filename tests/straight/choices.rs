//! Choices against brute force: every combination of alternatives, each nested exhaustively without a
//! line of the engine.

use crate::straight::oracle::least_rolls;
use crate::straight::random::{piece, roll, straight};
use rollwright::cutting::{Objective, Turns};
use rollwright::nest::choose::{Chosen, Group, Held, Listing, Way, solve_listed, solve_many};
use rollwright::nest::{Instance, Options, Quiet, Roll, Status, solve};

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
fn case(seed: u64) -> (Instance, Vec<Group>) {
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
                    Held { material: 0, piece: pieces.len() - 1, quantity: 1 }
                });
                Way { pieces: held.collect(), ..Way::default() }
            })
            .collect();
        choices.push(Group { count: 1, ways: listed });
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

const OPTIONS: Options = Options { seed: 1, work: 100_000 };

fn listing<'a>(instance: &'a Instance, groups: &'a [Group]) -> Listing<'a> {
    Listing { materials: std::slice::from_ref(instance), groups, limit: 0 }
}

/// The least number of rolls over all combinations.
fn brute_force(instance: &Instance, choices: &[Group]) -> i64 {
    let mut ways = vec![Vec::new()];
    for choice in choices {
        ways = ways
            .iter()
            .flat_map(|way: &Vec<usize>| {
                (0..choice.ways.len()).map(|a| {
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
            for held in &choice.ways[a].pieces {
                made.pieces[held.piece].quantity += held.quantity;
            }
        }
        made.pieces.retain(|piece| piece.quantity > 0);
        least_rolls(&made)
    });
    i64::try_from(least.min().expect("a way")).expect("few rolls")
}

fn valid(chosen: &Chosen, choices: &[Group], least: i64, name: &str) {
    let nesting = &chosen.nestings[0];
    crate::straight::check::check(&chosen.instances[0], nesting);
    for (choice, taken) in choices.iter().zip(&chosen.taken) {
        assert_eq!(taken.iter().sum::<u64>(), choice.count, "{name}");
    }
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
        let chosen =
            solve_listed(&listing(&instance, &choices), &OPTIONS, &Quiet).expect("an answer");
        valid(&chosen, &choices, least, &instance.name);
        assert_eq!(chosen.value, least, "{}", instance.name);
        many += usize::from(choices.iter().any(|choice| choice.ways.len() > 1));
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
        let chosen =
            solve_many(&listing(&instance, &choices), &OPTIONS, &Quiet).expect("an answer");
        valid(&chosen, &choices, least, &instance.name);
        best += usize::from(chosen.value == least);
    }
    assert!(best >= 190, "only {best} of 200 are the best");
}

/// Some hundred combinations more than are gone through at once, on a roll without end: the programme counts
/// pulls in parts, so what it chooses was up to 15 % too long.
#[test]
fn hundreds_of_combinations_come_to_the_shortest() {
    for seed in 1..=3 {
        let mut lots = Lots(seed * 4_649 + 3);
        let turns = Turns::quarter();
        let sizes: Vec<_> =
            (0..5).map(|n| piece(n, lots.from(3, 9), lots.from(2, 8), 0, turns.clone())).collect();
        let mut groups = Vec::new();
        for _ in 0..4 {
            let mut way = || {
                let held = (0..lots.from(1, 2)).map(|_| {
                    let piece = usize::try_from(lots.from(0, 4)).expect("an index");
                    Held { material: 0, piece, quantity: 1 }
                });
                Way { pieces: held.collect(), ..Way::default() }
            };
            groups.push(Group { count: 1, ways: (0..5).map(|_| way()).collect() });
        }
        let instance = Instance {
            name: format!("hundreds-{seed}"),
            rolls: vec![Roll { length: None, ..roll("A", 14, 0, 1) }],
            pieces: sizes,
            cutting: straight(Some(2)),
            objective: Objective::Length,
            published: None,
        };
        let all = 5_usize.pow(4);
        let least = (0..all).map(|mut number| {
            let mut made = instance.clone();
            for group in &groups {
                for held in &group.ways[number % 5].pieces {
                    made.pieces[held.piece].quantity += 1;
                }
                number /= 5;
            }
            made.pieces.retain(|piece| piece.quantity > 0);
            // Up to eight pieces are nested exactly: `tests/few.rs`.
            let nesting = solve(&made, &OPTIONS, &Quiet).expect("an answer");
            assert_eq!(nesting.status, Status::Proven);
            nesting.value
        });
        let least = least.min().expect("combinations");
        let options = Options { seed: 1, work: 5_000_000 };
        let chosen =
            solve_listed(&listing(&instance, &groups), &options, &Quiet).expect("an answer");
        crate::straight::check::check(&chosen.instances[0], &chosen.nestings[0]);
        assert_eq!((chosen.value, chosen.status), (least, Status::Proven), "{}", instance.name);
    }
}

/// Things of one or two layers on two kinds of rolls: a layer of the thick kind, or two of the thin,
/// which takes pieces more. Priced rolls, priced ways, and a limit on the pieces more.
fn two_materials(seed: u64) -> ([Instance; 2], Vec<Group>, i64) {
    let mut lots = Lots(seed * 6_271 + 5);
    let priced = lots.from(0, 1) == 1;
    let turns = if lots.from(0, 1) == 0 { Turns::none() } else { Turns::quarter() };
    let mut materials = [0, 1].map(|at| {
        let width = lots.from(9, 14);
        Instance {
            name: format!("material-{at}-{seed}"),
            rolls: vec![roll("A", width, lots.from(14, 24), lots.from(3, 9))],
            pieces: Vec::new(),
            cutting: straight(Some(2)),
            objective: if priced { Objective::Price } else { Objective::Rolls },
            published: None,
        }
    });
    let mut groups = Vec::new();
    let mut hold = |material: usize, wide: i64, around: i64| {
        let pieces = &mut materials[material].pieces;
        pieces.push(piece(pieces.len(), wide, around, 0, turns.clone()));
        Held { material, piece: pieces.len() - 1, quantity: 1 }
    };
    for number in 0..lots.from(2, 4) {
        let (wide, around) = (lots.from(4, 9), lots.from(4, 9));
        let thick = vec![hold(0, wide, around)];
        let mut ways = vec![(thick, 1)];
        if number < 3 {
            let thin = vec![hold(1, wide, around), hold(1, wide, around + 1)];
            ways.push((thin, 2));
        }
        let cost = |n: i64| if priced { n * 400_000 } else { 0 };
        let way = |(pieces, n): (Vec<Held>, i64)| Way { pieces, cost: cost(n), extra: n - 1 };
        groups.push(Group { count: 1, ways: ways.into_iter().map(way).collect() });
    }
    let most = lots.from(0, 3);
    (materials, groups, most)
}

/// The least that rolls and ways cost together, over all combinations within the limit.
fn least_together(materials: &[Instance], groups: &[Group], limit: i64) -> i64 {
    let mut least = i64::MAX;
    let combinations: usize = groups.iter().map(|group| group.ways.len()).product();
    for mut number in 0..combinations {
        let mut made = materials.to_vec();
        let (mut cost, mut extra) = (0, 0);
        for group in groups {
            let way = &group.ways[number % group.ways.len()];
            number /= group.ways.len();
            (cost, extra) = (cost + way.cost, extra + way.extra);
            for held in &way.pieces {
                made[held.material].pieces[held.piece].quantity += held.quantity;
            }
        }
        if extra > limit {
            continue;
        }
        for instance in &mut made {
            instance.pieces.retain(|piece| piece.quantity > 0);
            if instance.pieces.is_empty() {
                continue;
            }
            let rolls = i64::try_from(least_rolls(instance)).expect("few rolls");
            cost += match instance.objective {
                Objective::Price => rolls * instance.rolls[0].price.micros(),
                Objective::Rolls | Objective::Length => rolls,
            };
        }
        least = least.min(cost);
    }
    least
}

/// 200 jobs on two materials: exact where combinations are few, bounded by the programme, and neither
/// takes more than is allowed.
#[test]
fn choices_over_two_materials_keep_their_limit_and_are_the_best() {
    let mut best = 0;
    for seed in 1..=200 {
        let (materials, groups, limit) = two_materials(seed);
        let least = least_together(&materials, &groups, limit);
        let listing = Listing { materials: &materials, groups: &groups, limit };
        let exact = solve_listed(&listing, &OPTIONS, &Quiet).expect("an answer");
        let many = solve_many(&listing, &OPTIONS, &Quiet).expect("an answer");
        assert_eq!(exact.value, least, "case {seed}");
        for chosen in [&exact, &many] {
            for (instance, nesting) in chosen.instances.iter().zip(&chosen.nestings) {
                if !instance.pieces.is_empty() {
                    crate::straight::check::check(instance, nesting);
                }
            }
            let nests: i64 = chosen.nestings.iter().map(|nesting| nesting.value).sum();
            assert!(chosen.value >= least && chosen.bound <= least, "case {seed}: {chosen:?}");
            assert!(chosen.nests_bound <= nests, "case {seed}");
            assert!(chosen.status != Status::Proven || chosen.value == least, "case {seed}");
            let extra: i64 = groups
                .iter()
                .zip(&chosen.taken)
                .flat_map(|(group, taken)| group.ways.iter().zip(taken))
                .map(|(way, &n)| way.extra * i64::try_from(n).expect("few"))
                .sum();
            assert!(extra <= limit, "case {seed}: {extra} above {limit}");
        }
        best += usize::from(many.value == least);
    }
    assert!(best >= 180, "only {best} of 200 are the best");
}

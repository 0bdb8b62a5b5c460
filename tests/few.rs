//! A few pieces are nested exactly: against a plain enumeration that shares no code with the engine, for two
//! and three stages, rolls of several kinds, limits, gaps, turns and all three objectives.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use crate::straight::check::check;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::nest::{Instance, NestError, Options, Piece, Quiet, Roll, Status, solve};
use rollwright::units::{Length, Money};

/// A roll that is being filled: its usable sides, and the stacks of its pulls (width and length, with the
/// gap).
#[derive(Clone)]
struct Open {
    roll: usize,
    pulls: Vec<Vec<(i64, i64)>>,
}

/// Goes through all ways to lay pieces one after another: on each roll begun or a new one, in each pull or a
/// new one, on each stack or a new one, upright or turned.
struct Plain<'a> {
    instance: &'a Instance,
    pieces: Vec<usize>,
    least: Option<i64>,
}

impl Plain<'_> {
    fn usable(&self, roll: usize) -> (i64, i64) {
        let (cutting, roll) = (&self.instance.cutting, &self.instance.rolls[roll]);
        let length = roll.length.map_or(i64::MAX, |l| (l - cutting.square_cut + cutting.gap).nm());
        ((roll.width - cutting.edge_trim * 2 + cutting.gap).nm(), length)
    }

    fn fits(&self, open: &Open) -> bool {
        let (width, length) = self.usable(open.roll);
        let gap = self.instance.cutting.gap.nm();
        let limit = self.instance.cutting.pull_limit.map_or(i64::MAX, |l| l.nm() + gap);
        let along = |pull: &Vec<(i64, i64)>| pull.iter().map(|s| s.1).max().unwrap_or(0);
        open.pulls.iter().all(|p| p.iter().map(|s| s.0).sum::<i64>() <= width && along(p) <= limit)
            && open.pulls.iter().map(along).sum::<i64>() <= length
    }

    fn cost(&self, rolls: &[Open]) -> i64 {
        let along = |pull: &Vec<(i64, i64)>| pull.iter().map(|s| s.1).max().unwrap_or(0);
        let cutting = &self.instance.cutting;
        match self.instance.objective {
            Objective::Rolls => i64::try_from(rolls.len()).expect("few"),
            Objective::Price => {
                rolls.iter().map(|o| self.instance.rolls[o.roll].price.micros()).sum()
            }
            Objective::Length => {
                let all: i64 = rolls.iter().flat_map(|o| &o.pulls).map(along).sum();
                all + (cutting.square_cut - cutting.gap).nm()
            }
        }
    }

    fn go(&mut self, at: usize, rolls: &mut Vec<Open>) {
        if self.least.is_some_and(|least| self.cost(rolls) >= least) {
            return;
        }
        let Some(&piece) = self.pieces.get(at) else {
            self.least = Some(self.cost(rolls));
            return;
        };
        let gap = self.instance.cutting.gap;
        let piece = &self.instance.pieces[piece];
        let size = ((piece.width + gap).nm(), (piece.length + gap).nm());
        let mut lies = Vec::new();
        if piece.turns.upright() {
            lies.push(size);
        }
        if piece.turns.sideways() {
            lies.push((size.1, size.0));
        }
        let three = self.instance.cutting.stages == Some(3);
        for (width, length) in lies {
            for roll in 0..rolls.len() {
                let before = rolls[roll].clone();
                for pull in 0..=before.pulls.len() {
                    let stacks = before.pulls.get(pull).map_or(0, Vec::len);
                    for stack in 0..=stacks {
                        if stack < stacks && !three {
                            continue;
                        }
                        let open = &mut rolls[roll];
                        if pull == open.pulls.len() {
                            open.pulls.push(Vec::new());
                        }
                        match open.pulls[pull].get_mut(stack) {
                            Some(old) => *old = (old.0.max(width), old.1 + length),
                            None => open.pulls[pull].push((width, length)),
                        }
                        if self.fits(&rolls[roll]) {
                            self.go(at + 1, rolls);
                        }
                        rolls[roll] = before.clone();
                    }
                }
            }
            for kind in 0..self.instance.rolls.len() {
                let used = rolls.iter().filter(|open| open.roll == kind).count();
                if self.instance.rolls[kind].available.is_some_and(|most| used as u64 >= most) {
                    continue;
                }
                let new = Open { roll: kind, pulls: vec![vec![(width, length)]] };
                if self.fits(&new) {
                    rolls.push(new);
                    self.go(at + 1, rolls);
                    rolls.pop();
                }
            }
        }
    }
}

fn plain(instance: &Instance) -> Option<i64> {
    let pieces =
        instance.pieces.iter().enumerate().flat_map(|(p, of)| (0..of.quantity).map(move |_| p));
    let mut plain = Plain { instance, pieces: pieces.collect(), least: None };
    plain.go(0, &mut Vec::new());
    plain.least
}

fn random(random: &mut ChaCha8Rng, number: usize) -> Instance {
    let mut mm = |from: i64, to: i64| Length::from_mm(random.random_range(from..=to));
    let objective = [Objective::Rolls, Objective::Price, Objective::Length][number % 3];
    let gap = if number.is_multiple_of(4) { mm(1, 3) } else { Length::ZERO };
    let cutting = Cutting {
        style: Style::Straight,
        stages: Some(if number.is_multiple_of(2) { 2 } else { 3 }),
        pull_limit: (number.is_multiple_of(5)).then(|| mm(60, 90)),
        square_cut: if number.is_multiple_of(7) { mm(1, 5) } else { Length::ZERO },
        edge_trim: if number.is_multiple_of(11) { mm(1, 4) } else { Length::ZERO },
        gap,
    };
    let kinds = if objective == Objective::Length { 1 } else { 1 + number % 4 };
    let rolls = (0..kinds).map(|k| Roll {
        id: format!("R{k}"),
        width: mm(50, 120),
        length: (objective != Objective::Length).then(|| mm(50, 160)),
        price: Money::from_units(mm(0, 30).nm() / 1_000_000),
        available: (k > 0 || number.is_multiple_of(6))
            .then(|| u64::from(mm(0, 3) > Length::from_mm(1)) + 1),
    });
    let rolls = rolls.collect();
    let pieces = (0..2 + number % 3).map(|p| Piece {
        id: format!("p{p}"),
        width: mm(10, 60),
        length: mm(10, 60),
        outline: None,
        quantity: if mm(0, 2) == Length::ZERO { 2 } else { 1 },
        turns: if mm(0, 1) == Length::ZERO { Turns::none() } else { Turns::quarter() },
    });
    let pieces = pieces.collect();
    Instance { name: format!("few {number}"), rolls, pieces, cutting, objective, published: None }
}

#[test]
fn a_few_pieces_are_nested_exactly() {
    let mut lots = ChaCha8Rng::seed_from_u64(20);
    let (mut answered, mut refused) = (0, 0);
    for number in 0..400 {
        let instance = random(&mut lots, number);
        let options = Options { seed: 1, work: 1_000_000 };
        match (solve(&instance, &options, &Quiet), plain(&instance)) {
            (Ok(nesting), Some(least)) => {
                check(&instance, &nesting);
                assert_eq!(
                    (nesting.value, nesting.status),
                    (least, Status::Proven),
                    "{instance:#?}"
                );
                answered += 1;
            }
            (Err(NestError::NotEnoughRolls { .. } | NestError::PieceFitsNoRoll { .. }), None) => {
                refused += 1;
            }
            other => panic!("{other:?} {instance:#?}"),
        }
    }
    assert!(answered > 350 && refused > 5, "{answered} {refused}");
}

/// Four pieces of 3 by 2 round one of 1 by 1 fill a square of 5 by 5, the windmill that no straight cut
/// parts (common example of textbooks, from memory); sums of 2 and 3 leave 6 as the next length.
#[test]
fn a_windmill_is_not_cut_straight() {
    let mm = Length::from_mm;
    let piece = |id: &str, size: [i64; 2], quantity| Piece {
        id: id.into(),
        width: mm(size[0]),
        length: mm(size[1]),
        outline: None,
        quantity,
        turns: Turns::quarter(),
    };
    let pieces = vec![piece("a", [300, 200], 4), piece("b", [100, 100], 1)];
    let roll =
        Roll { id: "A".into(), width: mm(500), length: None, price: Money::ZERO, available: None };
    let cutting = Cutting::plain(Style::Straight, None);
    let (name, objective) = ("windmill".into(), Objective::Length);
    let instance =
        Instance { name, rolls: vec![roll], pieces, cutting, objective, published: None };
    let nesting =
        solve(&instance, &Options { seed: 1, work: 1_000_000 }, &Quiet).expect("an answer");
    check(&instance, &nesting);
    assert_eq!((nesting.value, nesting.status), (mm(600).nm(), Status::Proven));
}

/// Where all ways were gone through and none holds the pieces, nothing is searched any more: with the whole work of a
/// command this took minutes (a reviewer's case).
#[test]
fn what_is_proven_not_to_fit_is_refused_at_once() {
    let mm = Length::from_mm;
    let piece = |id: &str, width: i64, length: i64, turns: Turns| Piece {
        id: id.to_owned(),
        width: mm(width),
        length: mm(length),
        outline: None,
        quantity: 1,
        turns,
    };
    let instance = Instance {
        name: "refused".to_owned(),
        pieces: vec![
            piece("a", 21, 88, Turns::none()),
            piece("b", 6, 26, Turns::quarter()),
            piece("c", 28, 45, Turns::none()),
            piece("d", 20, 85, Turns::none()),
            piece("e", 11, 83, Turns::quarter()),
        ],
        rolls: vec![Roll {
            id: "R".to_owned(),
            width: mm(30),
            length: Some(mm(120)),
            price: Money::from_units(33),
            available: Some(2),
        }],
        cutting: Cutting {
            square_cut: mm(1),
            edge_trim: mm(1),
            gap: mm(1),
            ..Cutting::plain(Style::Straight, Some(3))
        },
        objective: Objective::Rolls,
        published: None,
    };
    let options = Options { seed: 1, work: 60_000_000 };
    let answer = solve(&instance, &options, &Quiet);
    assert!(matches!(answer, Err(NestError::NotEnoughRolls { .. })), "{answer:?}");
}

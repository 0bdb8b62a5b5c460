//! What the shelf saves: three series of ten generated jobs, cut one after another with what the
//! jobs before left over.
//!
//! Three ways: without a shelf; with offcuts as stock beside the rolls; and as shops do by hand,
//! pieces put first-fit, longest first, in strips on the offcuts in the order in which they came,
//! and the rest planned on new rolls. Rolls are 1500 mm by 20 m; offcuts of 300 by 500 mm are kept.

use crate::shared::{Timer, say};
use rollwright::cutting::{Cutting, Objective, Turns};
use rollwright::nest::{self, Options};
use rollwright::plan::wanted::{Charges, Hand, Keep, Piece, Roll};
use rollwright::plan::{self, Limits, Program, Wanted};
use rollwright::rules;
use rollwright::sequence::shop::Stop;
use rollwright::units::{Length, Money};
use std::collections::BTreeSet;
use std::time::Duration;

/// Lehmer's generator (1951), modulus 2^31 - 1: the same jobs on every machine.
struct Lots(u64);

impl Lots {
    fn below(&mut self, limit: u64) -> i64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        i64::try_from(self.0 % limit).unwrap_or(0)
    }
}

/// A piece of the shelf.
#[derive(Clone)]
struct Left {
    width: Length,
    length: Length,
}

const WIDTH: Length = Length::from_mm(1500);
const LENGTH: Length = Length::from_mm(20_000);

/// A job of so many sizes, up to `each` of every size.
fn job(lots: &mut Lots, sizes: u64, each: u64) -> Vec<Piece> {
    (0..sizes)
        .map(|at| {
            let wide = lots.below(3) == 0;
            let width = if wide { 1500 } else { 200 + 10 * lots.below(100) };
            let length = 200 + 5 * lots.below(300);
            Piece {
                code: format!("P{at}"),
                width: Length::from_mm(width),
                length: Length::from_mm(length),
                outline: None,
                turns: Turns::none(),
                quantity: 1 + u64::try_from(lots.below(each)).unwrap_or(0),
                uses: Vec::new(),
            }
        })
        .collect()
}

/// Plans pieces on new rolls and offcuts; rolls bought, and what lies on the shelf afterwards.
fn planned(pieces: &[Piece], shelf: &[Left]) -> Option<(u64, Vec<Left>)> {
    if pieces.is_empty() {
        return Some((0, shelf.to_vec()));
    }
    let roll = |id: String, (width, length), shelf: bool| Roll {
        saved: Length::ZERO,
        id,
        width,
        length: Some(length),
        price: Money::ZERO,
        available: shelf.then_some(1),
        shelf,
        hand: Hand::Any,
    };
    let mut rolls = vec![roll("new".to_owned(), (WIDTH, LENGTH), false)];
    let numbered = shelf.iter().enumerate();
    rolls.extend(numbered.map(|(at, o)| roll(format!("S{at}"), (o.width, o.length), true)));
    let wanted = Wanted {
        name: "series".to_owned(),
        thickness: Some(Length::from_mm(10)),
        rolls,
        pieces: pieces.to_vec(),
        cutting: Cutting { stages: Some(3), ..cutting() },
        objective: Objective::Rolls,
        charges: Charges::Listed,
        keep: Keep::default(),
        choices: Vec::new(),
        begun: BTreeSet::new(),
    };
    let watch = Timer::new(Duration::from_secs(20));
    let options = Options { seed: 1, work: 3_000_000 };
    let nesting = nest::solve(&wanted.instance(), &options, &watch).ok()?;
    let program = Program {
        version: String::new(),
        seed: 1,
        limits: Limits { work: options.work, seconds: None },
    };
    let nested = [(wanted, nesting)];
    let rules = rules::Sequence::default();
    let shop = Some((&rules, (&|| false) as Stop<'_>));
    let plan = plan::assemble("series", program, Vec::new(), &nested, Vec::new(), shop).ok()?;
    let mut left: Vec<Left> = Vec::new();
    let used = |at: usize| plan.rolls.iter().any(|roll| roll.roll == format!("S{at}"));
    left.extend(shelf.iter().enumerate().filter(|(at, _)| !used(*at)).map(|(_, o)| o.clone()));
    let mut bought = 0;
    for roll in &plan.rolls {
        bought += if roll.roll == "new" { roll.copies } else { 0 };
        for offcut in roll.offcuts.iter().filter(|o| o.keep) {
            let one = Left { width: offcut.width, length: offcut.length };
            left.extend((0..roll.copies).map(|_| one.clone()));
        }
    }
    Some((bought, left))
}

fn cutting() -> Cutting {
    let table = rules::Table::default();
    Cutting {
        style: table.style,
        stages: table.stages,
        pull_limit: Some(Length::from_mm(4000)),
        square_cut: table.square_cut,
        edge_trim: table.edge_trim,
        gap: table.gap,
    }
}

/// Puts pieces first-fit on offcuts, in strips; what is still wanted, and the shelf afterwards.
fn first_fit(pieces: &[Piece], shelf: &[Left]) -> (Vec<Piece>, Vec<Left>) {
    struct Strip {
        length: Length,
        rest: Length,
    }
    let square = cutting().square_cut;
    let mut open: Vec<(Vec<Strip>, Length)> =
        shelf.iter().map(|o| (Vec::new(), o.length - square)).collect();
    let mut wanted = pieces.to_vec();
    wanted.sort_by_key(|p| std::cmp::Reverse((p.length, p.width)));
    for piece in &mut wanted {
        while piece.quantity > 0 {
            let mut placed = false;
            for (offcut, (strips, rest)) in shelf.iter().zip(&mut open) {
                let fits = |s: &&mut Strip| piece.length <= s.length && piece.width <= s.rest;
                if let Some(strip) = strips.iter_mut().find(fits) {
                    strip.rest -= piece.width;
                    placed = true;
                } else if piece.length <= *rest && piece.width <= offcut.width {
                    strips.push(Strip { length: piece.length, rest: offcut.width - piece.width });
                    *rest -= piece.length;
                    placed = true;
                }
                if placed {
                    break;
                }
            }
            if !placed {
                break;
            }
            piece.quantity -= 1;
        }
    }
    wanted.retain(|piece| piece.quantity > 0);
    let keep = Keep::default();
    let mut left = Vec::new();
    for (offcut, (strips, rest)) in shelf.iter().zip(open) {
        if strips.is_empty() {
            left.push(offcut.clone());
        } else if keep.worth(offcut.width, rest) {
            left.push(Left { width: offcut.width, length: rest });
        }
    }
    (wanted, left)
}

/// Prints the table.
pub fn run() -> bool {
    say("series            jobs  without  first fit  offcuts as stock  on the shelf at the end");
    for (name, seed, sizes, each) in
        [("small jobs", 11, 8, 4), ("middling jobs", 12, 20, 6), ("large jobs", 13, 40, 10)]
    {
        let mut lots = Lots(seed);
        let jobs: Vec<Vec<Piece>> = (0..10).map(|_| job(&mut lots, sizes, each)).collect();
        let (mut without, mut by_hand, mut with) = (0, 0, 0);
        let (mut hand_shelf, mut shelf): (Vec<Left>, Vec<Left>) = (Vec::new(), Vec::new());
        for pieces in &jobs {
            let Some((bought, _)) = planned(pieces, &[]) else { return false };
            without += bought;
            let (rest, kept) = first_fit(pieces, &hand_shelf);
            let Some((bought, fresh)) = planned(&rest, &[]) else { return false };
            by_hand += bought;
            hand_shelf = kept;
            hand_shelf.extend(fresh);
            let Some((bought, left)) = planned(pieces, &shelf) else { return false };
            with += bought;
            shelf = left;
        }
        let metres: Length = shelf.iter().map(|o| o.length).sum();
        say(&format!(
            "{name:<16}{:>6}{without:>9}{by_hand:>11}{with:>18}{:>14} pieces, {} m",
            jobs.len(),
            shelf.len(),
            metres.metres(1)
        ));
    }
    true
}

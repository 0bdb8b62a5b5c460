//! All ways to lay the joints, gone through one by one where they are few.
//!
//! The search weighs blanket by its length, while whole rolls are asked for: of a handful of pulls any may be
//! the one that a roll has no room for. So where steps are coarse and things few, every way of every thing is
//! a bill of pieces, and each combination of them is nested by itself ([`listed`]): its answer is the best there
//! is, and what no way goes below is a bound.

use super::search::count;
use super::shop::real;
use super::{Row, Rows, Sliding, Things};
use crate::cutting::Style;
use crate::nest::choose::Size;
use crate::nest::choose::listed::{self, Group, Held, Listing, Way};
use crate::nest::straight::{LaidPull, laid};
use crate::nest::{Basis, Instance, Nesting, Options, Piece, Watch};
use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

/// Up to so many ways to part one row, and to part all rows of one thing, are looked at.
const LOOKED: [usize; 2] = [2_000, 50_000];

/// Up to so many combinations of bills are gone through.
const COMBINATIONS: usize = listed::AT_ONCE;

/// Up to so many pieces in all, as to start from: of more, each nest would want more work than there is.
const PIECES: u64 = 40;

/// The best of all ways.
#[derive(Clone, Debug)]
pub struct Few {
    /// Courses by thing.
    pub courses: Vec<Rows>,
    /// By material, pulls that hold all pieces.
    pub pulls: Vec<Vec<LaidPull>>,
    /// What the nests of no way go below, in the objective's unit.
    pub bound: i64,
    /// What that rests on.
    pub basis: Basis,
}

/// The pieces of a way, by what tells them apart.
type Bill = BTreeMap<Size, u64>;

/// The best of all ways to lay the joints; `None` where they are more than a few, or nothing was found.
/// All materials have one objective.
pub fn few<T: Things>(task: &Sliding<'_, T>, options: &Options, watch: &dyn Watch) -> Option<Few> {
    if pieces(task) > PIECES {
        return None;
    }
    let mut ways: Vec<Vec<(Rows, Bill)>> = Vec::new();
    let mut combinations = 1_usize;
    // Joints that may be made anywhere, where all others are made as few as can be.
    let spared = (0..task.things.count()).map(|thing| {
        let (rows, first) = (task.things.rows(thing), task.things.first(thing));
        let spared: i64 = rows.iter().zip(&first).map(|(row, c)| spared(row, c)).sum();
        spared * task.things.joints(thing).0
    });
    let spare = task.limit.saturating_add(spared.sum());
    for thing in 0..task.things.count() {
        let mine = bills(task.things, thing, spare)?;
        combinations = combinations.saturating_mul(mine.len());
        if combinations > COMBINATIONS {
            return None;
        }
        ways.push(mine);
    }
    let mut materials: Vec<Instance> = task.materials.to_vec();
    let mut numbers: BTreeMap<Size, usize> = BTreeMap::new();
    for size in ways.iter().flatten().flat_map(|(_, bill)| bill.keys()) {
        let pieces = &mut materials[size.material].pieces;
        numbers.entry(*size).or_insert_with(|| {
            let id = format!("open {}", pieces.len());
            pieces.push(Piece { id, ..size.pieces(0) });
            pieces.len() - 1
        });
    }
    let group = |(thing, ways): (usize, &Vec<(Rows, Bill)>)| {
        let (joints, cost) = task.things.joints(thing);
        let all = |rows: &Rows| count(rows.iter().map(|row| row.len().saturating_sub(1)).sum());
        let specified = all(&task.things.first(thing));
        let way = |(rows, bill): &(Rows, Bill)| Way {
            pieces: bill
                .iter()
                .map(|(size, &quantity)| Held {
                    material: size.material,
                    piece: numbers[size],
                    quantity,
                })
                .collect(),
            cost: whole(real(all(rows) * joints) * cost),
            extra: (all(rows) - specified) * joints,
        };
        Group { count: 1, ways: ways.iter().map(way).collect() }
    };
    let groups: Vec<Group> = ways.iter().enumerate().map(group).collect();
    let listing = Listing { materials: &materials, groups: &groups, limit: task.limit };
    let chosen = listed::solve_each(&listing, options, watch)?.ok()?;
    let taken = |(ways, taken): (&Vec<(Rows, Bill)>, &Vec<u64>)| {
        let way = taken.iter().position(|&n| n > 0)?;
        ways.get(way).map(|(rows, _)| rows.clone())
    };
    let courses = ways.iter().zip(&chosen.taken).map(taken).collect::<Option<_>>()?;
    let nests = chosen.instances.iter().zip(&chosen.nestings);
    let pulls = nests.map(|(instance, nesting)| pulls(instance, nesting)).collect();
    Some(Few { courses, pulls, bound: chosen.nests_bound, basis: chosen.basis })
}

/// How many pieces there are to start from.
fn pieces<T: Things>(task: &Sliding<'_, T>) -> u64 {
    let fixed = task.materials.iter().flat_map(|instance| &instance.pieces).map(|p| p.quantity);
    let free = (0..task.things.count()).flat_map(|thing| {
        let rows = task.things.rows(thing).into_iter().zip(task.things.first(thing));
        rows.map(|(row, courses)| row.parts.saturating_mul(courses.len() as u64))
    });
    fixed.chain(free).fold(0, u64::saturating_add)
}

/// The pulls of a nest; none where they are not of two or three stages.
fn pulls(instance: &Instance, nesting: &Nesting) -> Vec<LaidPull> {
    let cut = &instance.cutting;
    let plain = cut.style == Style::Straight && cut.stages.is_some() && !instance.is_outlined();
    if plain { laid(instance, &nesting.layouts) } else { Vec::new() }
}

/// By how many its courses could be fewer than these.
fn spared(row: &Row, courses: &[Length]) -> i64 {
    let total: Length = courses.iter().copied().sum();
    let most = row.most.nm().max(1);
    count(courses.len()) - (total.round_up_to(Length::from_nm(most)).nm() / most).max(1)
}

/// The ways of a thing that need different pieces, as to start from first; `None` where they are too many. So many
/// joints may be made beyond the fewest of all things.
fn bills<T: Things>(things: &T, thing: usize, spare: i64) -> Option<Vec<(Rows, Bill)>> {
    let rows = things.rows(thing);
    let first = things.first(thing);
    let joints = things.joints(thing).0.max(1);
    let bill = |courses: &Rows| {
        let mut bill = Bill::new();
        for (size, quantity) in rows.iter().zip(courses).flat_map(|(row, c)| row.sizes(c)) {
            *bill.entry(size).or_default() += quantity;
        }
        bill
    };
    let mut all: Vec<Rows> = vec![Vec::new()];
    for (row, courses) in rows.iter().zip(&first) {
        let most = count(courses.len()) - spared(row, courses) + spare / joints;
        let most = row.courses.min(usize::try_from(most).unwrap_or(0));
        let parts = Parts::of(row, (courses.iter().copied().sum(), most))?;
        if all.len().saturating_mul(parts.len()) > LOOKED[1] {
            return None;
        }
        let longer = |before: Rows| {
            let with = |part: &Vec<Length>| [&before[..], std::slice::from_ref(part)].concat();
            parts.iter().map(with).collect::<Vec<_>>()
        };
        all = all.into_iter().flat_map(longer).collect();
    }
    let mut known: BTreeSet<Bill> = BTreeSet::new();
    let mut ways = Vec::new();
    for courses in std::iter::once(first).chain(all) {
        let bill = bill(&courses);
        if !known.contains(&bill) && (ways.is_empty() || things.keeps(thing, &courses)) {
            known.insert(bill.clone());
            ways.push((courses, bill));
            if ways.len() > COMBINATIONS {
                return None;
            }
        }
    }
    Some(ways)
}

/// All ways to part a length into so many courses of a row at the most: multiples of its step, but for one that takes up what is
/// no multiple.
struct Parts {
    least: i64,
    most: i64,
    step: i64,
    odd: i64,
    now: Vec<i64>,
    all: Vec<Vec<Length>>,
}

impl Parts {
    /// `None` where they are too many.
    fn of(row: &Row, (total, courses): (Length, usize)) -> Option<Vec<Vec<Length>>> {
        let (total, step) = (total.nm(), row.step.nm().max(1));
        let mut parts = Self {
            least: row.least.nm().min(total).max(1),
            most: row.most.nm(),
            step,
            odd: total % step,
            now: Vec::new(),
            all: Vec::new(),
        };
        parts.go((total, parts.odd > 0), courses)?;
        Some(parts.all)
    }

    /// Parts what is left into so many courses at the most, one of them odd if that is still due.
    fn go(&mut self, (left, odd): (i64, bool), courses: usize) -> Option<()> {
        if left == 0 {
            self.all.push(self.now.iter().map(|&nm| Length::from_nm(nm)).collect());
            return (self.all.len() <= LOOKED[0]).then_some(());
        }
        if courses == 0 || left > self.most.saturating_mul(count(courses)) {
            return Some(());
        }
        for rest in [0, self.odd].into_iter().take(1 + usize::from(odd)) {
            let above = (self.least - rest).max(0);
            let mut width = rest + above + (-above).rem_euclid(self.step);
            while width <= self.most.min(left) {
                if left == width || left - width >= self.least {
                    self.now.push(width);
                    self.go((left - width, odd && rest == 0), courses - 1)?;
                    self.now.pop();
                }
                width += self.step;
            }
        }
        Some(())
    }
}

/// To the nearest whole.
#[expect(clippy::cast_possible_truncation, reason = "prices of joints are far below 2^53")]
fn whole(value: f64) -> i64 {
    value.round() as i64
}

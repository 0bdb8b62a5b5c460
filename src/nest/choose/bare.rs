//! Choices whose alternatives are all listed: a bare instance.
//!
//! Few combinations are gone through one by one, each nested by itself: the least value is the
//! answer, and the least of their bounds is the bound. Many are left to the programme.

use super::{Bill, Limit, Offers, Size, Task, bound, dive, generate};
use crate::nest::choose::master::Master;
use crate::nest::straight::effort::Effort;
use crate::nest::straight::lots::Lots;
use crate::nest::{Basis, Instance, NestError, Nesting, Options, Status, Watch};
use crate::units::Length;

/// Up to so many combinations are gone through.
const COMBINATIONS: usize = 600;

/// So many like things, each of which is made in one of several ways.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// How many things.
    pub count: u64,
    /// The ways to make one; at least one.
    pub alternatives: Vec<Alternative>,
}

/// One way to make a thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alternative {
    /// Pieces (by index into the instance's) and how many of each.
    pub pieces: Vec<(usize, u64)>,
}

/// Alternatives taken, and the nest of what they need.
#[derive(Clone, Debug)]
pub struct Chosen {
    /// For each choice how often each alternative is taken.
    pub taken: Vec<Vec<u64>>,
    /// The instance with these choices made: no choices left, only pieces that are wanted.
    pub instance: Instance,
    /// Its nest; the bound holds for every choice.
    pub nesting: Nesting,
}

/// Nests an instance with choices; what these need comes on top of the pieces' own quantities,
/// which may be nothing.
///
/// # Errors
/// See [`crate::nest::solve()`].
pub fn solve(
    instance: &Instance,
    choices: &[Choice],
    options: &Options,
    watch: &dyn Watch,
) -> Result<Chosen, NestError> {
    if let Some(all) = combinations(choices) {
        return one_by_one(&Listed { instance, choices }, all, options, watch);
    }
    solve_many(instance, choices, options, watch)
}

/// The same by the programme, however few combinations there are.
///
/// # Errors
/// See [`crate::nest::solve()`].
pub fn solve_many(
    instance: &Instance,
    choices: &[Choice],
    options: &Options,
    watch: &dyn Watch,
) -> Result<Chosen, NestError> {
    let task = Listed { instance, choices };
    let first: Vec<Vec<u64>> = choices
        .iter()
        .map(|choice| {
            (0..choice.alternatives.len()).map(|a| if a == 0 { choice.count } else { 0 }).collect()
        })
        .collect();
    let (taken, linear) = by_programme(&task, options, watch);
    let mut ways = vec![first];
    ways.extend(taken);
    let mut best: Option<Chosen> = None;
    let mut refused = None;
    for taken in ways {
        match made(&task, taken, options, watch) {
            Ok(new) => {
                if best.as_ref().is_none_or(|old| new.nesting.value < old.nesting.value) {
                    best = Some(new);
                }
            }
            Err(why) => refused = Some(why),
        }
    }
    let Some(mut best) = best else { return Err(refused.unwrap_or(NestError::NoRolls)) };
    let area = area_bound(&task).unwrap_or(0);
    let (value, basis) = match linear {
        Some(linear) if linear > area => (linear, Basis::LinearProgramme),
        _ => (area, Basis::Area),
    };
    bounded(&mut best.nesting, value, basis);
    Ok(best)
}

/// Sets a nest's bound to one that holds for every choice.
pub(super) fn bounded(nesting: &mut Nesting, bound: i64, basis: Basis) {
    let bound = bound.min(nesting.value);
    (nesting.bound, nesting.basis, nesting.certificate) = (bound, basis, None);
    if nesting.value <= bound {
        nesting.status = Status::Proven;
    } else if nesting.status == Status::Proven {
        nesting.status = Status::Feasible;
    }
}

/// The bound by area over all choices.
fn area_bound(task: &Listed<'_>) -> Option<i64> {
    let Listed { instance, choices } = task;
    let area = |a: &Alternative| -> i128 {
        a.pieces.iter().map(|&(p, n)| instance.pieces[p].area().nm2() * i128::from(n)).sum()
    };
    let chosen: i128 = choices
        .iter()
        .map(|c| c.alternatives.iter().map(area).min().unwrap_or(0) * i128::from(c.count))
        .sum();
    bound::by_area(instance, chosen)
}

/// The choices that the programme makes, and its bound where it is one.
fn by_programme(
    listed: &Listed<'_>,
    options: &Options,
    watch: &dyn Watch,
) -> (Option<Vec<Vec<u64>>>, Option<i64>) {
    let Listed { instance, choices } = listed;
    let mut plain = (*instance).clone();
    plain.pieces.retain(|piece| piece.quantity > 0);
    let step = instance.pieces.iter().flat_map(|p| [p.width.nm(), p.length.nm()]).fold(0, gcd);
    let task = Task {
        materials: std::slice::from_ref(&plain),
        offers: listed,
        limit: 0,
        step: Length::from_nm(step.max(1)),
    };
    let effort = Effort::new(options, watch);
    let mut lots = Lots::new(options.seed);
    let Some(mut master) = Master::new(&task) else { return (None, None) };
    let ended = generate::generate(&mut master, Limit::none(), &effort);
    let free = master.value();
    let linear = (ended && instance.cutting.stages == Some(2))
        .then(|| bound::by_prices(&master, &plain, &listed.counts(), &effort))
        .flatten();
    let Some(whole) = dive::best(&master, free, (&mut lots, &effort)) else {
        return (None, linear);
    };
    let mut taken: Vec<Vec<u64>> =
        choices.iter().map(|choice| vec![0; choice.alternatives.len()]).collect();
    for pick in &whole.picks {
        taken[pick.group][pick.bill.plan] += pick.settled;
    }
    (Some(taken), linear)
}

/// All ways to choose, where they are few.
fn combinations(choices: &[Choice]) -> Option<Vec<Vec<Vec<u64>>>> {
    let mut all: Vec<Vec<Vec<u64>>> = vec![Vec::new()];
    for choice in choices {
        let mut ways: Vec<Vec<u64>> = vec![Vec::new()];
        for at in 0..choice.alternatives.len() {
            let last = at + 1 == choice.alternatives.len();
            let mut longer = Vec::new();
            for way in ways {
                let left = choice.count - way.iter().sum::<u64>();
                for n in if last { left } else { 0 }..=left {
                    let mut way = way.clone();
                    way.push(n);
                    longer.push(way);
                    if longer.len() > COMBINATIONS {
                        return None;
                    }
                }
            }
            ways = longer;
        }
        if all.len() * ways.len() > COMBINATIONS {
            return None;
        }
        all = all
            .iter()
            .flat_map(|before| {
                ways.iter().map(|way| {
                    let mut longer = before.clone();
                    longer.push(way.clone());
                    longer
                })
            })
            .collect();
    }
    Some(all)
}

fn one_by_one(
    task: &Listed<'_>,
    all: Vec<Vec<Vec<u64>>>,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Chosen, NestError> {
    let area = |taken: &Vec<Vec<u64>>| bound::by_area(&fixed(task, taken), 0);
    let mut order: Vec<(Option<i64>, Vec<Vec<u64>>)> =
        all.into_iter().map(|taken| (area(&taken), taken)).collect();
    order.sort_by_key(|(bound, _)| bound.unwrap_or(i64::MAX));
    let each = Options { work: (options.work / order.len() as u64).max(20_000), ..*options };
    let mut best: Option<Chosen> = None;
    let mut least = i64::MAX;
    let mut basis = Basis::Area;
    let mut stopped = false;
    let mut refused = None;
    for (bound, taken) in order {
        let value = best.as_ref().map_or(i64::MAX, |best| best.nesting.value);
        let Some(bound) = bound else { continue };
        stopped |= watch.stop();
        if bound >= value || (stopped && best.is_some()) {
            least = least.min(bound);
            continue;
        }
        match made(task, taken, &each, watch) {
            Ok(new) => {
                if new.nesting.bound < least {
                    (least, basis) = (new.nesting.bound, new.nesting.basis);
                }
                if new.nesting.value < value {
                    best = Some(new);
                }
            }
            Err(why) => refused = Some(why),
        }
    }
    let Some(mut best) = best else {
        return Err(refused.unwrap_or(NestError::NotEnoughRolls { missing: 0 }));
    };
    bounded(&mut best.nesting, least, basis);
    if stopped && best.nesting.status != Status::Proven {
        best.nesting.status = Status::Stopped;
    }
    Ok(best)
}

/// The instance with the choices made; pieces that are not wanted stay with quantity 0.
fn fixed(task: &Listed<'_>, taken: &[Vec<u64>]) -> Instance {
    let mut made = task.instance.clone();
    for (choice, taken) in task.choices.iter().zip(taken) {
        for (alternative, &n) in choice.alternatives.iter().zip(taken) {
            for &(piece, each) in &alternative.pieces {
                let quantity = &mut made.pieces[piece].quantity;
                *quantity = quantity.saturating_add(each.saturating_mul(n));
            }
        }
    }
    made
}

fn made(
    task: &Listed<'_>,
    taken: Vec<Vec<u64>>,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Chosen, NestError> {
    let mut instance = fixed(task, &taken);
    instance.pieces.retain(|piece| piece.quantity > 0);
    let nesting = crate::nest::solve(&instance, options, watch)?;
    Ok(Chosen { taken, instance, nesting })
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a.abs() } else { gcd(b, a % b) }
}

/// The alternatives of an instance.
struct Listed<'a> {
    instance: &'a Instance,
    choices: &'a [Choice],
}

impl Offers for Listed<'_> {
    type Plan = usize;

    fn counts(&self) -> Vec<u64> {
        self.choices.iter().map(|choice| choice.count).collect()
    }

    fn first(&self, group: usize) -> Vec<Bill<usize>> {
        let bill = |(plan, alternative): (usize, &Alternative)| Bill {
            plan,
            parts: alternative
                .pieces
                .iter()
                .map(|&(piece, n)| (Size::of(&self.instance.pieces[piece], 0), n))
                .collect(),
            cost: 0.0,
            extra: 0,
        };
        self.choices[group].alternatives.iter().enumerate().map(bill).collect()
    }
}

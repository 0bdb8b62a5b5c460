//! Large neighbourhood search over rolls of several kinds: a few rolls are taken apart, and their pieces
//! are nested anew on rolls of all kinds and on what is left of the stock.
//!
//! Engines price lengths of roll before they know what else will lie on it, so where a shelf of offcuts or
//! several products are on offer their answers leave rolls that do not suit one another. Answers for
//! a few rolls are near their bounds, and whole answers follow from them step by step
//! (Shaw, CP 1998, pages 417 to 431). What is no dearer is kept where it makes full rolls fuller and empty
//! ones emptier: the sum of the squares of what lies on them rises.

use super::straight::lots::Lots;
use super::watch::Hushed;
use super::{Instance, Layout, Nesting, News, Options, Piece, Status, Watch};
use crate::cutting::{Objective, Style};
use crate::units::Area;
use rayon::prelude::*;
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// The part of the work that goes into the search.
const PART: u64 = 2;
/// With less work than this there is no search.
const LEAST: u64 = 2_000_000;
/// The work that one neighbourhood may take.
const EACH: u64 = 100_000;
/// How many neighbourhoods are looked at side by side; not the number of threads, so that answers do not
/// depend on it.
const ABREAST: usize = 4;
/// An answer of more rolls is left as it is.
const MOST: u64 = 1_000;

/// What the search may spend, where it is worth its while: kinds of roll differ, pieces lie on them by
/// boxes, and there is a neighbourhood for every other roll or more.
pub(super) fn work(instance: &Instance, options: &Options) -> Option<u64> {
    let kinds = |roll: &super::Roll| (roll.width, roll.length);
    let differ = instance.rolls.iter().any(|roll| kinds(roll) != kinds(&instance.rolls[0]));
    let boxes = instance.cutting.style == Style::Straight || !instance.is_outlined();
    let counted = instance.objective != Objective::Length;
    let work = options.work / PART;
    let tried = i128::from(work / EACH) * 2;
    let largest = instance.rolls.iter().map(super::Roll::area).max().unwrap_or_default();
    let few = instance.wanted_nm2() <= largest.nm2().saturating_mul(tried);
    (differ && boxes && counted && few && options.work >= LEAST).then_some(work)
}

/// A better answer than `nesting`, or that, by nests of few rolls with `solve`.
pub(super) fn improve(
    instance: &Instance,
    nesting: Nesting,
    options: &Options,
    watch: &dyn Watch,
    solve: impl Fn(&Instance, &Options, &dyn Watch) -> Option<Nesting> + Sync,
) -> Nesting {
    let rolls: u64 = nesting.layouts.iter().map(|layout| layout.copies).sum();
    if nesting.status != Status::Feasible || !(2..=MOST).contains(&rolls) {
        return nesting;
    }
    let mut search = Search::new(instance, &nesting);
    let mut lots = Lots::new(options.seed);
    let mut left = options.work;
    let mut changed = false;
    while left > 0 && search.value > nesting.bound && !watch.stop() {
        let groups = search.groups(&mut lots);
        if groups.is_empty() {
            break;
        }
        let seed = options.seed.wrapping_add(left);
        let each = Options { seed, work: EACH.min(left) };
        let answers: Vec<Option<Nesting>> = groups
            .par_iter()
            .map(|group| solve(&search.around(group), &each, &Hushed(watch)))
            .collect();
        let mut kept = Vec::new();
        for (group, answer) in groups.into_iter().zip(answers) {
            let ended = answer.as_ref().is_some_and(|answer| answer.status == Status::Proven);
            left = left.saturating_sub(if ended { EACH / 4 } else { EACH });
            if let Some(answer) = answer {
                kept.push((group, answer));
            }
        }
        let before = search.value;
        changed |= search.keep(kept);
        if search.value < before {
            let (value, bound) = (Some(search.value), nesting.bound);
            let Instance { name, objective, .. } = instance;
            watch.news(&News { instance: name, objective: *objective, value, bound });
        }
    }
    if !changed {
        return nesting;
    }
    let status = Status::of(search.value, nesting.bound, watch.stop());
    Nesting { value: search.value, layouts: search.layouts(), status, ..nesting }
}

/// A roll, with what lies on it.
#[derive(Clone)]
struct Full {
    layout: Layout,
    area: Area,
}

/// The answer roll by roll.
struct Search<'a> {
    instance: &'a Instance,
    rolls: Vec<Full>,
    value: i64,
}

impl<'a> Search<'a> {
    fn new(instance: &'a Instance, nesting: &Nesting) -> Self {
        let mut search = Self { instance, rolls: Vec::new(), value: 0 };
        for layout in &nesting.layouts {
            search.rolls.extend(search.full(layout));
        }
        search.value = search.cost(&search.rolls);
        search
    }

    /// The rolls of a layout, one by one.
    fn full(&self, layout: &Layout) -> Vec<Full> {
        let area = pieces_of(layout).map(|piece| self.instance.pieces[piece].area()).sum();
        let one = Full { layout: Layout { copies: 1, ..layout.clone() }, area };
        (0..layout.copies).map(|_| one.clone()).collect()
    }

    fn cost(&self, rolls: &[Full]) -> i64 {
        let Instance { rolls: kinds, objective, .. } = self.instance;
        let one = |full: &Full| kinds[full.layout.roll].cost(*objective);
        rolls.iter().map(one).fold(0, i64::saturating_add)
    }

    /// Groups of two to four rolls, none in two of them, each with one that costs something.
    fn groups(&self, lots: &mut Lots) -> Vec<Vec<usize>> {
        let mut order: Vec<usize> = (0..self.rolls.len()).collect();
        for at in (1..order.len()).rev() {
            order.swap(at, lots.below(at + 1));
        }
        let costs = |&at: &usize| self.cost(&self.rolls[at..=at]) > 0;
        let mut groups = Vec::new();
        while groups.len() < ABREAST {
            let size = [2, 2, 3, 4][lots.below(4)];
            let Some(first) = order.iter().position(costs) else { break };
            let mut group = vec![order.remove(first)];
            if order.is_empty() {
                break;
            }
            group.extend(order.drain(..order.len().min(size - 1)));
            groups.push(group);
        }
        groups
    }

    /// How many of a roll's kind are still to be had, were these rolls not used.
    fn available(&self, without: &[usize], kind: usize) -> Option<u64> {
        let all = self.instance.rolls[kind].available?;
        let others = self.rolls.iter().enumerate().filter(|(at, _)| !without.contains(at));
        let used = others.filter(|(_, full)| full.layout.roll == kind).count();
        Some(all.saturating_sub(u64::try_from(used).unwrap_or(u64::MAX)))
    }

    /// What lies on some rolls: how many of which piece.
    fn wanted(&self, group: &[usize]) -> BTreeMap<usize, u64> {
        let mut wanted = BTreeMap::new();
        for piece in group.iter().flat_map(|&at| pieces_of(&self.rolls[at].layout)) {
            *wanted.entry(piece).or_default() += 1;
        }
        wanted
    }

    /// The instance of some rolls' pieces, in the order of [`Self::wanted`].
    fn around(&self, group: &[usize]) -> Instance {
        let wanted = self.wanted(group);
        let instance = self.instance;
        let mut rolls = instance.rolls.clone();
        for (kind, roll) in rolls.iter_mut().enumerate() {
            roll.available = self.available(group, kind);
        }
        let piece =
            |(piece, quantity): (usize, u64)| Piece { quantity, ..instance.pieces[piece].clone() };
        let pieces = wanted.into_iter().map(piece).collect();
        let cutting = instance.cutting.clone();
        let (name, objective) = (instance.name.clone(), instance.objective);
        Instance { name, rolls, pieces, cutting, objective, published: None }
    }

    /// Takes over the answers that are better and keep the limits together; whether any did.
    fn keep(&mut self, answers: Vec<(Vec<usize>, Nesting)>) -> bool {
        let mut gone = Vec::new();
        let mut added: Vec<Full> = Vec::new();
        for (group, answer) in answers {
            let pieces: Vec<usize> = self.wanted(&group).into_keys().collect();
            let mut new: Vec<Full> = Vec::new();
            for mut layout in answer.layouts {
                for pull in &mut layout.pulls {
                    for placed in &mut pull.placements {
                        placed.piece = pieces[placed.piece];
                    }
                }
                new.extend(self.full(&layout));
            }
            let old: Vec<Full> = group.iter().map(|&at| self.rolls[at].clone()).collect();
            let worth = |rolls: &[Full]| (self.cost(rolls), Reverse(squares(rolls)));
            if worth(&new) >= worth(&old) {
                continue;
            }
            let mut without = gone.clone();
            without.extend_from_slice(&group);
            let keeps = new.iter().all(|full| {
                let kind = full.layout.roll;
                let used = added.iter().chain(&new).filter(|f| f.layout.roll == kind).count();
                let left = self.available(&without, kind);
                left.is_none_or(|left| u64::try_from(used).is_ok_and(|used| used <= left))
            });
            if keeps {
                gone = without;
                added.extend(new);
            }
        }
        let changed = !gone.is_empty();
        let mut at = 0..;
        self.rolls.retain(|_| at.next().is_none_or(|at| !gone.contains(&at)));
        self.rolls.extend(added);
        self.value = self.cost(&self.rolls);
        changed
    }

    /// The layouts, in the order of the rolls, like ones together.
    fn layouts(mut self) -> Vec<Layout> {
        self.rolls.sort_by_key(|full| full.layout.roll);
        let mut layouts: Vec<Layout> = Vec::new();
        for Full { layout, .. } in self.rolls {
            match layouts.iter_mut().find(|l| l.roll == layout.roll && l.pulls == layout.pulls) {
                Some(like) => like.copies += 1,
                None => layouts.push(layout),
            }
        }
        layouts
    }
}

/// The pieces that lie on a roll.
fn pieces_of(layout: &Layout) -> impl Iterator<Item = usize> {
    layout.pulls.iter().flat_map(|pull| &pull.placements).map(|placed| placed.piece)
}

/// The sum of the squares of what lies on rolls.
fn squares(rolls: &[Full]) -> i128 {
    let square = |full: &Full| {
        let mm2 = full.area.nm2() / 1_000_000_000_000;
        mm2.saturating_mul(mm2)
    };
    rolls.iter().map(square).fold(0, i128::saturating_add)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::{Cutting, Turns};
    use crate::nest::{Basis, Placement, Pull, Quiet, Roll, straight};
    use crate::units::{Angle, Length, Money};

    fn mm(value: i64) -> Length {
        Length::from_mm(value)
    }

    /// Twelve pieces, four of which fill a roll of 10.00; a free offcut that holds two.
    fn instance() -> Instance {
        let roll = |id: &str, length, price, available| Roll {
            id: String::from(id),
            width: mm(1_000),
            length: Some(mm(length)),
            price: Money::from_units(price),
            available,
        };
        let piece = Piece {
            id: String::from("p"),
            width: mm(500),
            length: mm(1_000),
            outline: None,
            quantity: 12,
            turns: Turns::none(),
        };
        Instance {
            name: String::from("twelve"),
            rolls: vec![roll("N", 2_000, 10, None), roll("S", 1_000, 0, Some(1))],
            pieces: vec![piece],
            cutting: Cutting::plain(Style::Straight, Some(2)),
            objective: Objective::Price,
            published: None,
        }
    }

    /// Each piece on a roll of its own.
    fn apart(instance: &Instance) -> Nesting {
        let placements =
            vec![Placement { piece: 0, x: Length::ZERO, y: Length::ZERO, turn: Angle::ZERO }];
        let pulls = vec![Pull { y: Length::ZERO, length: mm(1_000), placements }];
        Nesting {
            layouts: vec![Layout { roll: 0, copies: 12, pulls }],
            value: 12 * instance.rolls[0].price.micros(),
            bound: 0,
            basis: Basis::Area,
            certificate: None,
            status: Status::Feasible,
        }
    }

    #[test]
    fn a_poor_answer_becomes_the_best_and_keeps_the_limits() {
        let instance = instance();
        let options = Options { seed: 1, work: 5_000_000 };
        let few = |few: &Instance, options: &Options, watch: &dyn Watch| {
            straight::solve(few, options, watch).ok()
        };
        let better = improve(&instance, apart(&instance), &options, &Quiet, few);
        // Two on the offcut, ten on three rolls.
        assert_eq!(better.value, 30_000_000);
        let of =
            |k| better.layouts.iter().filter(move |l| l.roll == k).map(|l| l.copies).sum::<u64>();
        assert_eq!((of(0), of(1)), (3, 1));
        let pieces =
            |l: &Layout| l.copies * l.pulls.iter().map(|p| p.placements.len() as u64).sum::<u64>();
        assert_eq!(better.layouts.iter().map(pieces).sum::<u64>(), 12);
        assert_eq!(better.status, Status::Feasible);
    }

    #[test]
    fn what_is_proven_or_has_one_kind_of_roll_is_left_alone() {
        let mut one = instance();
        assert!(work(&one, &Options { seed: 1, work: LEAST }).is_some());
        assert!(work(&one, &Options { seed: 1, work: LEAST - 1 }).is_none());
        let proven = Nesting { status: Status::Proven, ..apart(&one) };
        let never = |_: &Instance, _: &Options, _: &dyn Watch| None;
        let options = Options { seed: 1, work: 5_000_000 };
        assert_eq!(improve(&one, proven.clone(), &options, &Quiet, never), proven);
        let mut many = one.clone();
        many.pieces[0].quantity = 4 * 50 + 1;
        assert!(work(&many, &options).is_none(), "50 rolls and more, and 25 neighbourhoods");
        one.rolls.pop();
        assert!(work(&one, &options).is_none());
    }
}

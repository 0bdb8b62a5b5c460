//! Rounds that take some pulls apart, wasteful ones and such as share rows with them, and fill pulls
//! anew ([`super::fill`]) with what lay in them.
//!
//! Where several courses of a row are free, the row is parted anew by the pulls that take from it:
//! in as many courses, one fewer where they may be so wide, or one more where joints are left.
//! Rows with laps keep their courses here.

use super::Things;
use super::fill::{Atom, Filler, Made, Open, Rolls, Source};
use super::search::{Search, Was, count};
use super::shop::real;
use crate::nest::straight::lots::Lots;
use crate::units::Length;

/// At least two pulls are taken apart, and so many more at the most.
const MORE: usize = 10;

/// In so many of ten cases the next pull shares a row with one before.
const NEAR: usize = 7;

/// Of up to one pull in so many, taken by lot, the one that wastes most is taken apart: first, and next.
const WORST: [usize; 2] = [6, 12];

/// A row that is parted anew: which it is, and its courses that are free.
struct Slot {
    thing: usize,
    row: usize,
    free: Vec<usize>,
}

/// What lay in pulls that are taken apart.
#[derive(Default)]
struct Loose {
    slots: Vec<Slot>,
    atoms: Vec<Atom>,
    /// Joints that the slots make beyond those there were, and what they cost.
    joints: i64,
    cost: f64,
}

/// A piece's width without gap, and the number of its course if that stays as it was.
type Part = (i64, Option<usize>);

impl<T: Things> Search<'_, T> {
    /// One round, after which all is at most so much dearer; nothing where it did not come out.
    pub fn refill(&mut self, lots: &mut Lots, allowed: f64) -> Option<()> {
        let pulls = self.pick(lots);
        let material = self.now.shop.pulls[*pulls.first()?].material;
        let loose = self.loosened(&pulls, lots);
        let shop = &self.now.shop;
        let bench = &shop.benches[material];
        let worth = bench.worth();
        let (widths, pull, gap) = (&bench.widths, bench.pull, bench.gap);
        let rolls = Rolls { widths, pull, gap, worth, stacks: bench.stacks };
        let before: f64 = pulls.iter().map(|&pull| shop.cost(&shop.pulls[pull])).sum();
        let area: f64 = pulls.iter().map(|&pull| shop.pulls[pull].held).sum();
        let budget = before - worth * area + allowed - loose.cost;
        let room = std::mem::take(&mut self.room);
        let mut filler = Filler { rolls, lots, looks: 0, room };
        let made = filler.rebuild(loose.atoms, budget);
        self.looks += filler.looks;
        self.room = filler.room;
        self.lay_made(material, &pulls, &loose.slots, made?)
    }

    /// Pulls of one material to take apart.
    fn pick(&self, lots: &mut Lots) -> Vec<usize> {
        let shop = &self.now.shop;
        let tries = WORST.map(|part| shop.pulls.len() / part);
        let Some(first) = self.wasteful(1 + lots.below(tries[0]), lots) else { return Vec::new() };
        let mut pulls = vec![first];
        let many = 2 + lots.below(MORE + 1);
        for _ in 0..3 * many {
            if pulls.len() == many {
                break;
            }
            let next = if lots.below(10) < NEAR {
                self.neighbour(pulls[lots.below(pulls.len())], lots)
            } else {
                self.wasteful(1 + lots.below(tries[1]), lots)
            };
            let Some(next) = next else { continue };
            if shop.pulls[next].material == shop.pulls[first].material && !pulls.contains(&next) {
                pulls.push(next);
            }
        }
        pulls
    }

    /// The pull of some taken by lot that wastes most.
    fn wasteful(&self, tries: usize, lots: &mut Lots) -> Option<usize> {
        let shop = &self.now.shop;
        let mut worst: Option<(f64, usize)> = None;
        for _ in 0..tries {
            let pull = lots.below(shop.pulls.len());
            let Some(waste) = shop.waste(pull) else { continue };
            let lost = waste * shop.cost(&shop.pulls[pull]);
            if worst.is_none_or(|(old, _)| lost > old) {
                worst = Some((lost, pull));
            }
        }
        worst.map(|(_, pull)| pull)
    }

    /// A pull that holds a piece of a row of which this one holds a piece.
    fn neighbour(&self, pull: usize, lots: &mut Lots) -> Option<usize> {
        let shop = &self.now.shop;
        let lanes = &shop.pulls[pull].lanes;
        let items = &lanes.get(lots.below(lanes.len()))?.items;
        let [thing, row] = shop.items[items.get(lots.below(items.len()))?.0].of?;
        let courses = &self.now.pieces[thing][row];
        let pieces = courses.get(lots.below(courses.len()))?;
        shop.items[*pieces.get(lots.below(pieces.len()))?].home
    }

    fn items(&self, pulls: &[usize]) -> Vec<usize> {
        let lanes = pulls.iter().flat_map(|&pull| &self.now.shop.pulls[pull].lanes);
        lanes.flat_map(|lane| &lane.items).map(|item| item.0).collect()
    }

    /// What lies in pulls: rows to part anew, and pieces that stay as they are.
    fn loosened(&self, pulls: &[usize], lots: &mut Lots) -> Loose {
        let items = self.items(pulls);
        let mut loose = Loose::default();
        let mut seen: Vec<[usize; 2]> = Vec::new();
        let mut gone: Vec<usize> = Vec::new();
        for of in items.iter().filter_map(|&item| self.now.shop.items[item].of) {
            if seen.contains(&of) {
                continue;
            }
            seen.push(of);
            if lots.below(10) > 0
                && let Some(slot) = self.part_anew(of, &items, &mut loose, lots)
            {
                let courses = &self.now.pieces[slot.thing][slot.row];
                gone.extend(slot.free.iter().flat_map(|&course| &courses[course]));
                loose.slots.push(slot);
            }
        }
        let stays = items.into_iter().filter(|item| !gone.contains(item));
        loose.atoms.extend(stays.map(|item| self.rigid(item)));
        loose
    }

    /// A piece as it is.
    fn rigid(&self, item: usize) -> Atom {
        let of = &self.now.shop.items[item];
        let gap = self.now.shop.benches[of.material].gap;
        let square = of.width == of.length;
        Atom {
            source: Source::Item(item),
            width: of.width - gap,
            length: of.length - gap,
            upright: of.upright || square,
            sideways: of.sideways && !square,
            parts: 1,
            open: None,
        }
    }

    /// Opens a row whose free pieces are among `items`; `None` where there is nothing to choose.
    fn part_anew(
        &self,
        [thing, row]: [usize; 2],
        items: &[usize],
        loose: &mut Loose,
        lots: &mut Lots,
    ) -> Option<Slot> {
        let rule = &self.rows[thing][row];
        if rule.lap > Length::ZERO {
            return None;
        }
        let shop = &self.now.shop;
        let courses = &self.now.pieces[thing][row];
        let free = |&course: &usize| courses[course].iter().all(|item| items.contains(item));
        let free: Vec<usize> = (0..courses.len()).filter(free).collect();
        let gap = shop.benches[rule.material].gap;
        let wide = |&course: &usize| courses[course].first().map(|&item| shop.items[item].width);
        let total: i64 = free.iter().filter_map(wide).map(|width| width - gap).sum();
        let (joints, cost) = self.things.joints(thing);
        let step = rule.step.nm().max(1);
        let least = rule.least.round_up_to(rule.step).nm();
        let most = rule.most.round_down_to(rule.step).nm();
        let stands = count(free.len());
        let more = courses.len() < rule.courses
            && self.now.extra + loose.joints + joints <= self.limit
            && total >= (stands + 1) * least;
        let many = if more && lots.below(4) == 0 {
            stands + 1
        } else if stands > 1 && total <= (stands - 1) * most && lots.below(3) == 0 {
            stands - 1
        } else {
            stands
        };
        if many.max(stands) < 2 {
            return None;
        }
        loose.joints += (many - stands) * joints;
        loose.cost += real((many - stands) * joints) * cost;
        let open = (many > 1).then_some(Open { total, courses: many, least, most, step });
        let atom = Atom {
            source: Source::Slot(loose.slots.len()),
            width: total,
            length: rule.length.nm(),
            upright: true,
            sideways: rule.sideways,
            parts: if open.is_some() { rule.parts } else { 1 },
            open,
        };
        let copies = if open.is_some() { 1 } else { rule.parts };
        loose.atoms.extend((0..copies).map(|_| atom));
        Some(Slot { thing, row, free })
    }

    /// Lays pulls as made; nothing where courses cannot keep the rules.
    fn lay_made(
        &mut self,
        material: usize,
        pulls: &[usize],
        slots: &[Slot],
        made: Vec<Made>,
    ) -> Option<()> {
        let mut widths: Vec<Vec<i64>> = vec![Vec::new(); slots.len()];
        for piece in made.iter().flat_map(|pull| &pull.pieces) {
            if let Source::Slot(slot) = piece.source {
                widths[slot].push(piece.width);
            }
        }
        for &pull in pulls {
            self.now.shop.empty(pull);
        }
        let fresh: Option<Vec<Vec<(i64, usize)>>> =
            slots.iter().zip(widths).map(|(slot, widths)| self.part(slot, widths)).collect();
        let mut fresh = fresh?;
        for pull in made {
            let at = self.now.shop.pull(material, pull.width);
            for piece in pull.pieces {
                let item = match piece.source {
                    Source::Item(item) => item,
                    Source::Slot(slot) => {
                        let like = fresh[slot].iter().position(|new| new.0 == piece.width)?;
                        fresh[slot].swap_remove(like).1
                    }
                };
                let lane = self.now.shop.pulls[at].lanes.len().checked_sub(1);
                self.now.shop.put(item, at, lane.filter(|_| piece.behind), piece.turned);
            }
        }
        Some(())
    }

    /// Gives a row new pieces of these widths, in an order that keeps the rules; the new pieces with
    /// their widths.
    fn part(&mut self, slot: &Slot, mut widths: Vec<i64>) -> Option<Vec<(i64, usize)>> {
        let at = (slot.thing, slot.row);
        let rule = self.rows[at.0][at.1];
        let gap = self.now.shop.benches[rule.material].gap;
        widths.sort_unstable();
        let each = usize::try_from(rule.parts).unwrap_or(usize::MAX).max(1);
        let mut new: Vec<i64> = widths.into_iter().step_by(each).collect();
        let old = self.now.courses[at.0][at.1].clone();
        let pieces = self.now.pieces[at.0][at.1].clone();
        let mut parts: Vec<Part> = Vec::with_capacity(old.len() + 1);
        for (course, items) in pieces.iter().enumerate() {
            let width = self.now.shop.items[*items.first()?].width - gap;
            if !slot.free.contains(&course) {
                parts.push((width, Some(course)));
            } else if let Some(near) = (0..new.len()).min_by_key(|&i| (new[i] - width).abs()) {
                parts.push((new.remove(near), None));
            }
        }
        parts.extend(new.into_iter().map(|width| (width, None)));
        let whole: Length = old.iter().copied().sum();
        let parts = self.ordered(at, parts, whole)?;
        let courses = courses(&parts, whole);
        let mut fresh = Vec::new();
        let mut now = Vec::with_capacity(parts.len());
        for (number, &(width, stays)) in (1..).zip(&parts) {
            now.push(if let Some(course) = stays {
                pieces[course].clone()
            } else {
                let made = self.make(at, courses[number - 1], number == parts.len());
                fresh.extend(made.iter().map(|&item| (width, item)));
                made
            });
        }
        let more = count(courses.len()) - count(old.len());
        self.now.extra += more * self.things.joints(at.0).0;
        self.was.push(Was { thing: at.0, row: at.1, courses: old, pieces });
        self.now.courses[at.0][at.1] = courses;
        self.now.pieces[at.0][at.1] = now;
        Some(fresh)
    }

    /// An order of pieces that keeps the rules: as given or backwards, with two exchanged.
    fn ordered(
        &self,
        (thing, row): (usize, usize),
        mut parts: Vec<Part>,
        whole: Length,
    ) -> Option<Vec<Part>> {
        let mut rows = self.now.courses[thing].clone();
        let mut keeps = |parts: &[Part]| {
            rows[row] = courses(parts, whole);
            self.things.keeps(thing, &rows)
        };
        for _ in 0..2 {
            if keeps(&parts) {
                return Some(parts);
            }
            for second in 1..parts.len() {
                for first in 0..second {
                    parts.swap(first, second);
                    if keeps(&parts) {
                        return Some(parts);
                    }
                    parts.swap(first, second);
                }
            }
            parts.reverse();
        }
        None
    }
}

/// The courses of pieces in this order: the last is what is left, as its piece may be rounded up.
fn courses(parts: &[Part], whole: Length) -> Vec<Length> {
    let mut courses: Vec<Length> = parts.iter().map(|part| Length::from_nm(part.0)).collect();
    let sum: Length = courses.iter().copied().sum();
    if let Some(last) = courses.last_mut() {
        *last = *last + whole - sum;
    }
    courses
}

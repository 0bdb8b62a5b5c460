//! Two courses of a row laid anew, the joint between them wherever it suits the pulls.

use super::lay::{Taste, best, fills};
use super::search::{Loose, Search, Was, count};
use super::shop::{Item, real};
use super::{Row, Things};
use crate::nest::straight::lots::Lots;
use crate::units::Length;

/// Ways that are tried until one keeps the rules.
const WAYS: usize = 6;

/// Places of the joint that are tried whether they fill anything or not.
const ANY: usize = 3;

/// Courses of a row with a pair in the place of what is loose.
struct Pair<'a> {
    loose: Loose,
    row: &'a Row,
    courses: &'a [Length],
    /// What both cover.
    total: i64,
    /// The places of both, when both stand, and how many courses there are then.
    places: [usize; 2],
    many: usize,
}

impl<'a> Pair<'a> {
    fn new(loose: Loose, row: &'a Row, courses: &'a [Length]) -> Self {
        let first = courses[loose.first];
        let total = first + loose.second.map_or(Length::ZERO, |second| courses[second]);
        let (second, many) = match loose.second {
            Some(second) => (second, courses.len()),
            None => (loose.first + 1, courses.len() + 1),
        };
        Self { loose, row, courses, total: total.nm(), places: [loose.first, second], many }
    }

    fn last(&self, which: usize) -> bool {
        self.places[which] + 1 == self.many
    }

    /// Courses of the first at which one of both is cut as wide as one of `widths`, or nearly.
    fn starts(&self, widths: Vec<i64>, lots: &mut Lots) -> Vec<i64> {
        let step = self.row.step.nm().max(1);
        let down = |nm: i64| nm.div_euclid(step) * step;
        let lap = |which: usize| if self.last(which) { 0 } else { self.row.lap.nm() };
        let mut starts: Vec<i64> = widths
            .into_iter()
            .flat_map(|width| {
                let second = self.total - (width - lap(1));
                [down(width - lap(0)), -down(-second)]
            })
            .collect();
        if self.loose.second.is_some() {
            starts.push(self.courses[self.loose.first].nm());
        }
        let room = usize::try_from((self.row.most - self.row.least).nm() / step).unwrap_or(0);
        for _ in 0..ANY {
            starts.push(down(self.row.least.nm() + step * count(lots.below(room + 1))));
        }
        starts.sort_unstable();
        starts.dedup();
        let within = |nm: i64| (self.row.least.nm()..=self.row.most.nm()).contains(&nm);
        starts.retain(|&x| within(x) && within(self.total - x) && x % step == 0);
        starts
    }

    /// Whether one course in the place of both would be the last.
    fn whole_is_last(&self) -> bool {
        self.loose.second.unwrap_or(self.loose.first) + 1 == self.courses.len()
    }

    /// The courses of the row with the first of both so long, or with one in their place; the other
    /// way round, if `swapped`.
    fn courses(&self, first: Option<i64>, swapped: bool) -> Option<Vec<Length>> {
        let mut courses = self.courses.to_vec();
        let Some(x) = first else {
            let Some(second) = self.loose.second else {
                return (!swapped).then_some(courses);
            };
            let first = self.loose.first;
            let (stays, goes) = if swapped { (second, first) } else { (first, second) };
            courses[stays] = Length::from_nm(self.total);
            courses.remove(goes);
            return Some(courses);
        };
        let (a, b) = if swapped { (self.total - x, x) } else { (x, self.total - x) };
        if a % self.row.step.nm().max(1) != 0 {
            return None;
        }
        courses[self.loose.first] = Length::from_nm(a);
        match self.loose.second {
            Some(second) => courses[second] = Length::from_nm(b),
            None => courses.insert(self.places[1], Length::from_nm(b)),
        }
        Some(courses)
    }
}

impl<T: Things> Search<'_, T> {
    /// Lays a pair of courses anew, in the best way that keeps the rules; nothing where none does.
    pub fn slide(
        &mut self,
        loose: Loose,
        others: &[usize],
        (taste, lots): (Taste, &mut Lots),
    ) -> Option<()> {
        let at = (loose.thing, loose.row);
        let row = self.rows[at.0][at.1];
        let now = self.now.courses[at.0][at.1].clone();
        let pair = Pair::new(loose, &row, &now);
        let gap = self.now.shop.benches[row.material].gap;
        let room = (row.least.nm() + gap, row.most.nm() + row.lap.nm() + gap);
        let like = self.like(at, row.least, true);
        let widths = fills(&self.now.shop, &like, room, others, taste);
        let starts = pair.starts(widths.into_iter().map(|width| width - gap).collect(), lots);
        self.look(row.material, taste, 2 * starts.len() + 3);
        let parts = real(i64::try_from(row.parts).unwrap_or(i64::MAX));
        let cost = |search: &Self, item: &Item| best(&search.now.shop, item, taste).map(|b| b.0);
        let mut ways: Vec<(f64, Option<i64>)> = Vec::new();
        for x in starts {
            let a = self.like(at, Length::from_nm(x), pair.last(0));
            let b = self.like(at, Length::from_nm(pair.total - x), pair.last(1));
            if let (Some(a), Some(b)) = (cost(self, &a), cost(self, &b)) {
                ways.push((parts * (a + b), Some(x)));
            }
        }
        if pair.total <= row.most.nm() {
            let whole = self.like(at, Length::from_nm(pair.total), pair.whole_is_last());
            ways.extend(cost(self, &whole).map(|whole| (parts * whole, None)));
        }
        // Places as good as another are taken by lot, or those of chance would never be.
        for way in &mut ways {
            way.0 *= 1.0 + taste.shake * lots.unit();
        }
        ways.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for &(_, first) in ways.iter().take(WAYS) {
            for swapped in [false, true] {
                let Some(courses) = pair.courses(first, swapped) else { continue };
                if self.may(at, &courses) {
                    return self.replace(loose, courses, taste);
                }
            }
        }
        None
    }

    /// Whether a row may have these courses, the thing's other rows as they are.
    fn may(&self, (thing, row): (usize, usize), courses: &[Length]) -> bool {
        let mut rows = self.now.courses[thing].clone();
        if rows[row] == courses {
            return true;
        }
        rows[row] = courses.to_vec();
        self.things.keeps(thing, &rows)
    }

    /// Puts new courses into a row and lays the pieces that changed.
    fn replace(&mut self, loose: Loose, courses: Vec<Length>, taste: Taste) -> Option<()> {
        let (thing, row) = (loose.thing, loose.row);
        let was = Was {
            thing,
            row,
            courses: self.now.courses[thing][row].clone(),
            pieces: self.now.pieces[thing][row].clone(),
        };
        let more = count(courses.len()) - count(was.courses.len());
        self.now.extra += more * self.things.joints(thing).0;
        // Courses that stayed keep their pieces where those are as wide as before.
        let stayed = |at: &usize| *at != loose.first && Some(*at) != loose.second;
        let mut old: Vec<Vec<usize>> =
            (0..was.pieces.len()).filter(stayed).map(|at| was.pieces[at].clone()).collect();
        let mut pieces: Vec<Vec<usize>> = Vec::with_capacity(courses.len());
        let mut new: Vec<usize> = Vec::new();
        for (at, &course) in courses.iter().enumerate() {
            let last = at + 1 == courses.len();
            let width = self.like((thing, row), course, last).width;
            let wide = |p: &Vec<usize>| p.first().map(|&i| self.now.shop.items[i].width);
            if let Some(same) = old.iter().position(|p| wide(p) == Some(width)) {
                pieces.push(old.swap_remove(same));
            } else {
                let made = self.make((thing, row), course, last);
                new.extend(&made);
                pieces.push(made);
            }
        }
        // A course that stayed, but is the last now or no longer.
        for item in old.into_iter().flatten() {
            self.now.shop.take(item);
        }
        self.was.push(was);
        self.now.courses[thing][row] = courses;
        self.now.pieces[thing][row] = pieces;
        let area = |&item: &usize| self.now.shop.items[item].area();
        new.sort_by(|a, b| area(b).total_cmp(&area(a)).then(a.cmp(b)));
        for item in new {
            self.lay(item, taste)?;
        }
        Some(())
    }
}

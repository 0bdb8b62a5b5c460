//! The forbidden regions of all pairs of forms, worked out when first asked for.
//!
//! Two forms that are turned together forbid each other the same, turned. So of all pairs that are turns of
//! each other, by quarters, one is worked out, and places are turned into it. With `h` and `g` half of what
//! the second form's box is larger than the first's, before and after, a place `d` goes to
//!
//! ```text
//!   e = R (d + h) - g
//! ```
//!
//! since boxes turn about their middles; where the two forms change places, that is another half turn.

use super::convex::Corner;
use super::forbidden::Forbidden;
use super::form::Form;
use super::number::float;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Forms and what each forbids to each.
#[derive(Debug)]
pub struct Pairs {
    /// The forms.
    pub forms: Vec<Form>,
    /// Free distance between outlines, in nanometres.
    pub gap: i64,
    faces: Vec<Face>,
    table: Vec<OnceLock<Box<Forbidden>>>,
}

/// What a form is when it is turned.
#[derive(Clone, Copy, Debug)]
struct Face {
    /// Half of its box's sides.
    half: [f64; 2],
    /// The form after so many quarter turns; [`NONE`] where it is none of the forms.
    turned: [usize; 4],
    /// The turn that makes it the first of these, and which that is.
    home: usize,
    first: usize,
}

/// No form.
const NONE: usize = usize::MAX;

/// Cosine and sine of so many quarter turns. Places are turned without a branch, as the turns of one pair
/// after another cannot be foretold.
const TURNS: [[f64; 2]; 4] = [[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]];

/// How a place goes into the pair that is worked out, and back.
#[derive(Clone, Copy, Debug)]
struct Turn {
    quarters: usize,
    before: [f64; 2],
    after: [f64; 2],
}

/// A vector after so many quarter turns.
#[inline]
fn spun([x, y]: [f64; 2], quarters: usize) -> [f64; 2] {
    let [cos, sin] = TURNS[quarters & 3];
    [cos * x - sin * y, sin * x + cos * y]
}

impl Turn {
    #[inline]
    fn place(&self, (x, y): (f64, f64)) -> [f64; 2] {
        let [x, y] = spun([x + self.before[0], y + self.before[1]], self.quarters);
        [x - self.after[0], y - self.after[1]]
    }

    fn place_back(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [x, y] = self.way_back([x + self.after[0], y + self.after[1]]);
        [x - self.before[0], y - self.before[1]]
    }

    #[inline]
    fn way_back(&self, way: [f64; 2]) -> [f64; 2] {
        spun(way, 4 - self.quarters)
    }
}

impl Pairs {
    /// Nothing worked out yet.
    #[must_use]
    pub fn new(forms: Vec<Form>, gap: i64) -> Self {
        let count = forms.len() * (forms.len() + 1) / 2;
        let faces = faces(&forms);
        Self { forms, gap, faces, table: (0..count).map(|_| OnceLock::new()).collect() }
    }

    /// The pair, of all that are turns of this one, that is worked out: the lesser form, the greater, and
    /// how many quarter turns lead there.
    #[inline]
    fn worked_out(&self, a: usize, b: usize) -> (usize, usize, usize) {
        let (one, other) = (&self.faces[a], &self.faces[b]);
        let mine = (one.first, a) <= (other.first, b);
        let quarters = if mine { one.home } else { other.home };
        let (p, q) = (one.turned[quarters], other.turned[quarters]);
        let (p, q, quarters) = if p.max(q) == NONE { (a, b, 0) } else { (p, q, quarters) };
        (p.min(q), p.max(q), (quarters + 2 * usize::from(p > q)) & 3)
    }

    /// What the lesser of two forms forbids to the greater.
    #[inline]
    fn known(&self, less: usize, more: usize) -> &OnceLock<Box<Forbidden>> {
        &self.table[more * (more + 1) / 2 + less]
    }

    #[inline]
    fn of(&self, a: usize, b: usize) -> (&Forbidden, Turn) {
        let (less, more, quarters) = self.worked_out(a, b);
        let larger = |a: usize, b: usize| {
            let (a, b) = (&self.faces[a].half, &self.faces[b].half);
            [b[0] - a[0], b[1] - a[1]]
        };
        let turn = Turn { quarters, before: larger(a, b), after: larger(less, more) };
        let forbidden = match self.known(less, more).get() {
            Some(known) => known,
            None => self.work_out(less, more),
        };
        (forbidden, turn)
    }

    #[cold]
    fn work_out(&self, less: usize, more: usize) -> &Forbidden {
        let make = || Box::new(Forbidden::new(&self.forms[less], &self.forms[more], self.gap));
        self.known(less, more).get_or_init(make)
    }

    /// Works out what these pairs of forms forbid to each other, side by side, where it is not known.
    pub fn prepare(&self, pairs: impl Iterator<Item = (usize, usize)>) {
        let missing = |&(less, more): &(usize, usize)| self.known(less, more).get().is_none();
        let pairs = pairs.map(|(a, b)| self.worked_out(a, b)).map(|(less, more, _)| (less, more));
        let mut missing: Vec<(usize, usize)> = pairs.filter(missing).collect();
        missing.sort_unstable();
        missing.dedup();
        missing.into_par_iter().for_each(|(a, b)| {
            self.of(a, b);
        });
    }

    /// How deep form `b` lies in what form `a` forbids, `b`'s corner being `(dx, dy)` from `a`'s; told
    /// exactly where it is less than `enough`.
    #[must_use]
    pub fn depth(&self, a: usize, b: usize, place: (f64, f64), enough: f64) -> f64 {
        let (forbidden, turn) = self.of(a, b);
        let [x, y] = turn.place(place);
        forbidden.depth(x, y, enough)
    }

    /// The least move of `b` that frees it from `a`.
    #[must_use]
    pub fn way_out(&self, a: usize, b: usize, dx: f64, dy: f64) -> Option<[f64; 2]> {
        let (forbidden, turn) = self.of(a, b);
        let [x, y] = turn.place((dx, dy));
        forbidden.way_out(x, y).map(|way| turn.way_back(way))
    }

    /// A place of `b`, relative to `a`, at which a corner touches: the corner of the forbidden
    /// region at this share of all.
    #[must_use]
    pub fn touch(&self, a: usize, b: usize, share: f64) -> Option<[f64; 2]> {
        let (forbidden, turn) = self.of(a, b);
        forbidden.corner(share).map(|corner| turn.place_back(corner))
    }

    /// Half-planes that keep `b` free of `a`: for the move of `b` against `a`, a unit normal and how far
    /// it must go along that at least. Tells how many convex regions were looked at.
    pub fn sides(
        &self,
        a: usize,
        b: usize,
        place: (f64, f64),
        reach: f64,
        list: &mut Vec<[f64; 3]>,
    ) -> usize {
        let (forbidden, turn) = self.of(a, b);
        let from = list.len();
        let looked = forbidden.sides(turn.place(place), reach, list);
        for [x, y, _] in &mut list[from..] {
            let [nx, ny] = turn.way_back([*x, *y]);
            (*x, *y) = (nx, ny);
        }
        looked
    }

    /// The direction in which `b` leaves `a` soonest.
    #[must_use]
    pub fn outward(&self, a: usize, b: usize, dx: f64, dy: f64) -> [f64; 2] {
        let (forbidden, turn) = self.of(a, b);
        let [x, y] = turn.place((dx, dy));
        turn.way_back(forbidden.outward(x, y))
    }

    /// The ranges on a line, relative to `a`, that `a` forbids to `b`: across at `fixed = dy`
    /// (axis 0) or along at `fixed = dx` (axis 1).
    pub fn spans(&self, a: usize, b: usize, axis: usize, fixed: f64, list: &mut Vec<(f64, f64)>) {
        let (forbidden, turn) = self.of(a, b);
        let from = list.len();
        let line = turn.place(if axis == 0 { (0.0, fixed) } else { (fixed, 0.0) });
        let turned = (axis + turn.quarters) % 2;
        forbidden.spans(turned, line[1 - turned], list);
        let back = |value: f64| {
            let mut place = line;
            place[turned] = value;
            turn.place_back(place)[axis]
        };
        for range in &mut list[from..] {
            let (one, other) = (back(range.0), back(range.1));
            *range = (one.min(other), one.max(other));
        }
    }
}

/// What every form is when it is turned.
fn faces(forms: &[Form]) -> Vec<Face> {
    let by_corners: BTreeMap<&[Corner], usize> =
        forms.iter().enumerate().map(|(at, form)| (form.corners.as_slice(), at)).collect();
    let face = |(at, form): (usize, &Form)| {
        let mut corners = form.corners.clone();
        let mut turned = [at; 4];
        for turned in &mut turned[1..] {
            corners = quarter_turned(&corners);
            *turned = by_corners.get(corners.as_slice()).copied().unwrap_or(NONE);
        }
        let first = turned.into_iter().min().unwrap_or(at);
        let home = turned.iter().position(|&form| form == first).unwrap_or(0);
        let half = [float(form.width) / 2.0, float(form.length) / 2.0];
        Face { half, turned, home, first }
    };
    forms.iter().enumerate().map(face).collect()
}

/// Corners of a form after a quarter turn, as forms have them: the box's corner at the origin, the least
/// first.
fn quarter_turned(corners: &[Corner]) -> Vec<Corner> {
    let height = corners.iter().map(|corner| corner.1).max().unwrap_or(0);
    let mut turned: Vec<Corner> = corners.iter().map(|&(x, y)| (height - y, x)).collect();
    let first = (0..turned.len()).min_by_key(|&at| turned[at]).unwrap_or(0);
    turned.rotate_left(first);
    turned
}

#[cfg(test)]
mod tests {
    use super::super::lot::Lot;
    use super::*;
    use crate::nest::shapes::number::whole;

    /// An outline without any symmetry, and one that half a turn leaves as it is, in all their turns.
    fn forms() -> Vec<Form> {
        let hook = [(0, 0), (90, 0), (95, 20), (30, 35), (40, 110), (5, 100)];
        let slanted = [(0, 0), (60, 0), (90, 70), (30, 70)];
        let mut forms: Vec<Form> = Vec::new();
        for outline in [hook.as_slice(), slanted.as_slice()] {
            let large = outline.iter().map(|&(x, y)| (1_001 * x, 1_003 * y));
            let mut corners = Form::new(large.collect()).corners;
            for _ in 0..4 {
                if forms.iter().all(|form| form.corners != corners) {
                    forms.push(Form::new(corners.clone()));
                }
                corners = quarter_turned(&corners);
            }
        }
        forms
    }

    /// Half-planes as whole numbers, in order.
    fn rounded(sides: &[[f64; 3]]) -> Vec<[i64; 3]> {
        let mut all: Vec<[i64; 3]> =
            sides.iter().map(|s| [whole(s[0] * 1e6), whole(s[1] * 1e6), whole(s[2])]).collect();
        all.sort_unstable();
        all
    }

    #[test]
    fn turned_pairs_tell_what_each_pair_tells_by_itself() {
        // The oracle works out every pair for itself.
        let forms = forms();
        assert_eq!(forms.len(), 6);
        let mut lot = Lot::new(5, 7);
        for gap in [0, 2_000] {
            let pairs = Pairs::new(forms.clone(), gap);
            for (a, b) in (0..6).flat_map(|a| (0..6).map(move |b| (a, b))) {
                let alone = Forbidden::new(&forms[a], &forms[b], gap);
                let (mut deep, mut alike) = (0, 0);
                for _ in 0..200 {
                    let (x, y) = (lot.between(-120e3, 120e3), lot.between(-120e3, 120e3));
                    let truth = alone.depth(x, y, f64::INFINITY);
                    let depth = pairs.depth(a, b, (x, y), f64::INFINITY);
                    assert!((depth - truth).abs() < 1e-3, "{a} {b} at {x}, {y}: {depth}, {truth}");
                    let out = pairs.way_out(a, b, x, y).map_or(0.0, |way| way[0].hypot(way[1]));
                    assert!((out - truth).abs() < 1e-3);
                    if truth > 1.0 {
                        deep += 1;
                        let way = pairs.way_out(a, b, x, y).unwrap();
                        let left = alone.depth(x + 1.001 * way[0], y + 1.001 * way[1], 1e9);
                        assert!(left < 0.1 * truth, "{a} {b} at {x}, {y}: {left} of {truth}");
                        // Beyond a corner either side's direction may be told.
                        let (one, two) = (pairs.outward(a, b, x, y), alone.outward(x, y));
                        alike += usize::from((0..2).all(|k| (one[k] - two[k]).abs() < 1e-6));
                    }
                    let (mut mine, mut plain) = (Vec::new(), Vec::new());
                    pairs.sides(a, b, (x, y), 5e3, &mut mine);
                    alone.sides([x, y], 5e3, &mut plain);
                    assert_eq!(mine.len(), plain.len());
                    for (one, two) in rounded(&mine).iter().zip(rounded(&plain)) {
                        assert!((0..3).all(|k| (one[k] - two[k]).abs() <= 2), "{one:?} {two:?}");
                    }
                    for axis in 0..2 {
                        let (mut mine, mut plain) = (Vec::new(), Vec::new());
                        pairs.spans(a, b, axis, y, &mut mine);
                        alone.spans(axis, y, &mut plain);
                        mine.sort_by(|one, two| one.0.total_cmp(&two.0));
                        assert_eq!(mine.len(), plain.len());
                        for (one, two) in mine.iter().zip(&plain) {
                            assert!((one.0 - two.0).abs() < 1e-3 && (one.1 - two.1).abs() < 1e-3);
                        }
                    }
                    let [x, y] = pairs.touch(a, b, lot.share()).unwrap();
                    let touching = |k: f64| alone.depth(x, y, f64::INFINITY) <= k;
                    assert!(touching(1.0), "{a} {b} at {x}, {y}");
                }
                assert!(deep > 20 && 10 * alike > 8 * deep, "{alike} of {deep}");
            }
            // Of 21 pairs, those that are turns of others are not worked out.
            let known = pairs.table.iter().filter(|pair| pair.get().is_some()).count();
            assert!(known <= 9, "{known}");
        }
    }
}

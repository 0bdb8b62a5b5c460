//! The forbidden regions of all pairs of forms, worked out when first asked for.

use super::forbidden::Forbidden;
use super::form::Form;
use super::library::{self, Library, Numbers};
use super::number::of_index;
use rayon::prelude::*;
use std::sync::{Arc, OnceLock};

/// Forms and what each forbids to each.
#[derive(Debug)]
pub struct Pairs {
    /// The forms.
    pub forms: Vec<Form>,
    /// Free distance between outlines, in nanometres.
    pub gap: i64,
    /// By the greater form, then the lesser.
    table: Vec<OnceLock<Arc<Forbidden>>>,
    /// Where somebody keeps pairs, these forms' numbers there.
    library: Option<(Arc<Library>, Numbers)>,
}

impl Pairs {
    /// Nothing worked out yet.
    #[must_use]
    pub fn new(forms: Vec<Form>, gap: i64) -> Self {
        let count = forms.len() * (forms.len() + 1) / 2;
        let library = library::held().map(|library| {
            let numbers = library.numbers(&forms);
            (library, numbers)
        });
        Self { forms, gap, table: (0..count).map(|_| OnceLock::new()).collect(), library }
    }

    /// What the lesser of two forms forbids to the greater.
    #[inline]
    fn of(&self, less: usize, more: usize) -> &Forbidden {
        self.table[more * (more + 1) / 2 + less].get_or_init(|| {
            let make = || Forbidden::new(&self.forms[less], &self.forms[more], self.gap);
            match &self.library {
                None => Arc::new(make()),
                Some((library, numbers)) => {
                    let key = (numbers[less], numbers[more], self.gap);
                    library.pair(key, self.sums(less, more), make)
                }
            }
        })
    }

    /// How many convex sums the region of two forms takes.
    #[must_use]
    pub fn sums(&self, a: usize, b: usize) -> u64 {
        let parts = |form: usize| of_index(self.forms[form].parts.len());
        parts(a) * parts(b)
    }

    /// Works out what these pairs of forms forbid to each other, side by side, where it is not known.
    pub fn prepare(&self, pairs: impl Iterator<Item = (usize, usize)>) {
        let known = |&(a, b): &(usize, usize)| self.table[b * (b + 1) / 2 + a].get().is_some();
        let mut missing: Vec<(usize, usize)> =
            pairs.map(|(a, b)| (a.min(b), a.max(b))).filter(|pair| !known(pair)).collect();
        missing.sort_unstable();
        missing.dedup();
        missing.into_par_iter().for_each(|(a, b)| {
            self.of(a, b);
        });
    }

    /// How deep form `b` lies in what form `a` forbids, `b`'s corner being `(dx, dy)` from `a`'s; told
    /// exactly where it is less than `enough`.
    #[must_use]
    pub fn depth(&self, a: usize, b: usize, (dx, dy): (f64, f64), enough: f64) -> f64 {
        if a <= b {
            self.of(a, b).depth(dx, dy, enough)
        } else {
            self.of(b, a).depth(-dx, -dy, enough)
        }
    }

    /// The least move of `b` that frees it from `a`.
    #[must_use]
    pub fn way_out(&self, a: usize, b: usize, dx: f64, dy: f64) -> Option<[f64; 2]> {
        if a <= b {
            self.of(a, b).way_out(dx, dy)
        } else {
            self.of(b, a).way_out(-dx, -dy).map(|[x, y]| [-x, -y])
        }
    }

    /// A place of `b`, relative to `a`, at which a corner touches: the corner of the forbidden
    /// region at this share of all.
    #[must_use]
    pub fn touch(&self, a: usize, b: usize, share: f64) -> Option<[f64; 2]> {
        if a <= b {
            self.of(a, b).corner(share)
        } else {
            self.of(b, a).corner(share).map(|c| c.map(|v| -v))
        }
    }

    /// Half-planes that keep `b` free of `a`: for the move of `b` against `a`, a unit normal and how far
    /// it must go along that at least. Tells how many convex regions were looked at.
    pub fn sides(
        &self,
        a: usize,
        b: usize,
        (dx, dy): (f64, f64),
        reach: f64,
        list: &mut Vec<[f64; 3]>,
    ) -> usize {
        if a <= b {
            return self.of(a, b).sides([dx, dy], reach, list);
        }
        let from = list.len();
        let looked = self.of(b, a).sides([-dx, -dy], reach, list);
        for side in &mut list[from..] {
            *side = [-side[0], -side[1], side[2]];
        }
        looked
    }

    /// The direction in which `b` leaves `a` soonest.
    #[must_use]
    pub fn outward(&self, a: usize, b: usize, dx: f64, dy: f64) -> [f64; 2] {
        if a <= b {
            self.of(a, b).outward(dx, dy)
        } else {
            self.of(b, a).outward(-dx, -dy).map(|c| -c)
        }
    }

    /// The ranges on a line, relative to `a`, that `a` forbids to `b`: across at `fixed = dy`
    /// (axis 0) or along at `fixed = dx` (axis 1).
    pub fn spans(&self, a: usize, b: usize, axis: usize, fixed: f64, list: &mut Vec<(f64, f64)>) {
        if a <= b {
            self.of(a, b).spans(axis, fixed, list);
        } else {
            let from = list.len();
            self.of(b, a).spans(axis, -fixed, list);
            for range in &mut list[from..] {
                *range = (-range.1, -range.0);
            }
        }
    }
}

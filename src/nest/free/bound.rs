//! What no packing can beat.
//!
//! 1. Sizes grow by what no sum of others can fill ([`Reach`]), in each direction.
//! 2. A piece's price is `f(width) * g(length)` for two dual feasible functions ([`DualFeasible`]);
//!    where it may be turned, the smaller of its prices either way. What one roll holds is worth
//!    at most `f(W) * g(L)` (Fekete and Schepers 2004); area is the identity in both directions.
//! 3. The best of all pairs is kept. On a roll without end only the identity is used along it.
//!
//! Pieces with an outline count by their own area in the area bound, and for nothing elsewhere: rectangles alone
//! lie at whole units with or without them. Where some
//! may take any turn only the areas count: then neither sides nor sums of them bound anything.

use super::task::{Kind, Shape, Task};
use crate::cutting::{Objective, Turns};
use crate::nest::bound::{Certificate, DualFeasible, Most, Reach, Scales, Weight, by_area};
use crate::nest::{Basis, Instance};
use crate::units::Length;

/// A bound, what it rests on, and its certificate where the numbers are small enough for one.
pub type Bound = (i64, Basis, Option<Certificate>);

/// The best bound of layouts in which pieces keep the gap corner to corner, as free ones do: across or along no two of
/// them need be nearer than `gap / sqrt 2`, so what holds of boxes so far apart holds of them. Where sizes are then too
/// large to count, the area bounds.
pub fn any_free_packing(instance: &Instance) -> Bound {
    let mut looser = instance.clone();
    looser.cutting.gap = corner_to_corner(instance.cutting.gap);
    let Some(task) = Task::new(&looser) else { return by_plain_area(instance) };
    let mut found = any_packing(&looser, &task);
    // Scales are told by sizes with the whole gap.
    let more = (instance.cutting.gap - looser.cutting.gap).nm();
    for scales in found.2.iter_mut().flat_map(|certificate| &mut certificate.scales) {
        let weights = scales.across.iter_mut().chain(&mut scales.along);
        weights.for_each(|weight| weight.size += more);
    }
    found
}

/// What the pieces' own area bounds.
fn by_plain_area(instance: &Instance) -> Bound {
    let certificate = by_area(instance);
    (certificate.bound(instance).unwrap_or(0), Basis::Area, Some(certificate))
}

/// How far two boxes that keep a gap corner to corner are apart across or along at least, rounded down to whole
/// tenths of a millimetre where it has any, so that sizes keep a common measure.
fn corner_to_corner(gap: Length) -> Length {
    const TENTH: Length = Length::from_nm(100_000);
    let half = i128::from(gap.nm()) * i128::from(gap.nm()) / 2;
    let near = Length::from_nm(i64::try_from(half.isqrt()).unwrap_or(0));
    if near < TENTH { near } else { near.round_down_to(TENTH) }
}

/// The best bound of layouts of boxes that keep the gap across or along.
pub fn any_packing(instance: &Instance, task: &Task) -> Bound {
    if instance.pieces.iter().any(|piece| piece.turns == Turns::Any) {
        return by_plain_area(instance);
    }
    let mut best: Bound = (0, Basis::Area, None);
    // Sizes and rolls are those that sums of sides fill, so what tells more than the plain area is no area.
    if let Some(area) = area(instance, task) {
        let plain = instance.cutting.gap != Length::ZERO
            || area.bound(instance) <= Some(by_plain_area(instance).0);
        let basis = if plain { Basis::Area } else { Basis::DualFeasible };
        if offer(instance, task, &mut best, area, basis) && !instance.is_outlined() {
            made_of(&mut best, task, |s| Some([s.w, s.h]));
        }
    }
    let across = Side::new(task, |s| s.w, task.rooms.iter().map(|r| r.width));
    let along = Side::new(task, |s| s.h, task.rooms.iter().map(|r| r.length));
    for &f in &across.family {
        for &g in &along.family {
            if let Some(certificate) = weigh(instance, task, (&across, f), (&along, g))
                && offer(instance, task, &mut best, certificate, Basis::DualFeasible)
            {
                made_of(&mut best, task, |s| Some([across.weigh(f, s.w)?, along.weigh(g, s.h)?]));
            }
        }
    }
    best
}

/// Keeps a certificate if its bound is better, and says so. The length of a strip of rectangles is a
/// sum of sides, so it is rounded up to whole units; outlines may lie in one another at any length.
fn offer(
    instance: &Instance,
    task: &Task,
    best: &mut Bound,
    new: Certificate,
    basis: Basis,
) -> bool {
    let Some(mut bound) = new.bound(instance) else { return false };
    if instance.objective == Objective::Length && !instance.is_outlined() {
        let fixed = instance.cutting.square_cut.nm() - instance.cutting.gap.nm();
        bound = Length::from_nm(bound - fixed).round_up_to(Length::from_nm(task.unit)).nm() + fixed;
    }
    let kept = bound > best.0 || best.2.is_none();
    if kept {
        *best = (bound.max(best.0), basis, Some(new));
    }
    kept
}

/// Says what the best certificate is made of: the weights of each shape that fits.
fn made_of(best: &mut Bound, task: &Task, weigh: impl Fn(&Shape) -> Option<[i64; 2]>) {
    let shapes = task.kinds.iter().flat_map(|kind| &kind.shapes);
    let weights = shapes.filter_map(|shape| {
        let [across, along] = weigh(shape)?;
        let of = |size: i64, weight: i64| Weight { size: size * task.unit, weight };
        Some([of(shape.w, across), of(shape.h, along)])
    });
    if let Some(certificate) = &mut best.2 {
        certificate.scales = Some(Scales::new(weights));
    }
}

/// Pieces priced by their area, rectangles with their gap. Where there are outlines all count by what they truly
/// take, as rolls do then: in units of their boxes a roll would be too small, as outlines lie at any place.
fn area(instance: &Instance, task: &Task) -> Option<Certificate> {
    if instance.is_outlined() {
        return Some(by_area(instance));
    }
    let mut prices = vec![0; instance.pieces.len()];
    for kind in &task.kinds {
        for &(piece, _) in &kind.pieces {
            prices[piece] = i64::try_from(kind.area()).ok()?;
        }
    }
    let most = task.rooms.iter().zip(&instance.rolls).map(|(room, roll)| {
        let (length, per) = if roll.length.is_none() { (1, task.unit) } else { (room.length, 0) };
        Some(Most { worth: room.width.checked_mul(length)?, per })
    });
    Some(Certificate::new(prices, most.collect::<Option<Vec<Most>>>()?))
}

/// One direction: how far rolls reach in it, and the functions to try.
pub(super) struct Side {
    /// The rolls' size where all have the same; sizes grow and functions differ only then.
    pub(super) same: Option<i64>,
    reach: Reach,
    family: Vec<DualFeasible>,
}

impl Side {
    pub(super) fn new(
        task: &Task,
        size: fn(&Shape) -> i64,
        mut rooms: impl Iterator<Item = i64>,
    ) -> Self {
        let first = rooms.next().unwrap_or(0);
        let same = rooms.all(|room| room == first) && first > 0 && first < Task::ENDLESS;
        let capacity = if same { first } else { 0 };
        let of_kind = |k: &Kind| -> Vec<(i64, u64)> {
            k.shapes.iter().map(|s| (size(s), u64::from(k.demand))).collect()
        };
        let sizes: Vec<(i64, u64)> = task.kinds.iter().flat_map(of_kind).collect();
        let reach = Reach::new(&sizes, capacity);
        let capacity = reach.at_most(capacity);
        // Nothing is reached either where nothing is left to lay.
        if capacity <= 0 {
            return Self { same: None, reach, family: vec![DualFeasible::Identity] };
        }
        let grown: Vec<i64> =
            sizes.iter().map(|s| reach.grown(s.0)).filter(|&s| s <= capacity).collect();
        let many = if task.kinds.len() > 200 { 6 } else { 24 };
        let family = DualFeasible::family(&grown, capacity, many);
        Self { same: Some(capacity), reach, family }
    }

    /// The weight of a size; `None` where it does not fit.
    fn weigh(&self, f: DualFeasible, size: i64) -> Option<i64> {
        let Some(capacity) = self.same else { return Some(size) };
        let grown = self.reach.grown(size);
        (grown <= capacity).then(|| f.weigh(grown, capacity))
    }

    /// The weight of a whole roll of a size.
    fn whole(&self, f: DualFeasible, room: i64) -> i64 {
        self.same.map_or(room, |capacity| f.weigh(capacity, capacity))
    }
}

/// The certificate of a pair of functions; `None` where numbers grow too large.
pub(super) fn weigh(
    instance: &Instance,
    task: &Task,
    (across, f): (&Side, DualFeasible),
    (along, g): (&Side, DualFeasible),
) -> Option<Certificate> {
    let mut prices = vec![0; instance.pieces.len()];
    for kind in &task.kinds {
        let mut price: Option<i64> = None;
        for shape in &kind.shapes {
            let (Some(w), Some(h)) = (across.weigh(f, shape.w), along.weigh(g, shape.h)) else {
                continue;
            };
            let new = w.checked_mul(h)?;
            price = Some(price.map_or(new, |old| old.min(new)));
        }
        for &(piece, _) in &kind.pieces {
            if instance.pieces[piece].outline.is_none() {
                prices[piece] = price.unwrap_or(0);
            }
        }
    }
    let most = task.rooms.iter().zip(&instance.rolls).map(|(room, roll)| {
        let endless = roll.length.is_none();
        let length = if endless { 1 } else { along.whole(g, room.length) };
        let worth = across.whole(f, room.width).checked_mul(length)?;
        Some(Most { worth, per: if endless { task.unit } else { 0 } })
    });
    Some(Certificate::new(prices, most.collect::<Option<Vec<Most>>>()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: apart by 10 mm corner to corner is apart by 7.07 mm both ways, and by a tenth 0.0707.
    #[test]
    fn corners_lie_nearer_both_ways_than_the_gap() {
        let near = |nm: i64| corner_to_corner(Length::from_nm(nm)).nm();
        assert_eq!((near(10_000_000), near(100_000), near(0)), (7_000_000, 70_710, 0));
    }
}

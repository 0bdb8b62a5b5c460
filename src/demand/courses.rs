//! Courses along a straight run, with the joints of neighbouring layers kept apart.
//!
//! A layer covers a stretch of the run with courses no wider than the roll (`W`) and no narrower
//! than the smallest piece (`m`); its joints keep the stagger `s` from those of the layer beneath,
//! the ends of that layer included. As few courses as possible are laid.
//!
//! Steps:
//! 1. Each layer gets candidate plans, `n = ceil(L / W)`, `rho = L - (n - 1) W`:
//!    make-up course last; make-up course first; shifted by `x = max(0, m - rho)`; shifted by
//!    `x + s`; `n + 1` courses with like make-up courses at both ends.
//! 2. A dynamic programme over the layers picks one plan each: fewest layers that cannot keep the stagger,
//!    then fewest courses in all, then fewest different widths, then the earlier candidate.
//! 3. Where no candidate goes with the plan beneath, or one course could be saved, an exact search
//!    joins in: the set of places that `j` courses reach and no fewer do is a union of few intervals,
//!    `R_(j+1) = (R_j + [m, W])` less the forbidden neighbourhoods and all earlier `R`; the first of them
//!    from which one course reaches the end gives the fewest courses, however many those are.
//! 4. Where a layer still finds nothing, all are laid anew with even divisions among the candidates: what lies
//!    beneath may then leave more room.
//! 5. Where even that finds nothing, the largest stagger that can be kept is found by halving and
//!    the plan says so. Plans beneath are not searched for the room that they leave, so that where rolls are less
//!    than some three times as wide as the stagger, a division that keeps it may be missed.
//!
//! For layers of the same extent the candidates alone are best: two plans of `n` courses exist
//! exactly when `n W - L >= s + max(0, m - rho)` (make-up courses at alternate ends, or shifted),
//! else the second needs one course more. Derived; a test compares with exhaustive search.

use super::freedom::apart;
use crate::units::Length;
use std::collections::BTreeMap;

/// What courses have to keep.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CourseRule {
    /// Widest course.
    pub widest: Length,
    /// Narrowest course.
    pub smallest: Length,
    /// Least distance between joints of neighbouring layers.
    pub stagger: Length,
    /// Courses are multiples of this, but for one a layer that takes up the rest.
    pub step: Length,
}

/// What a layer covers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// From here along the run.
    pub start: Length,
    /// To here.
    pub end: Length,
}

/// A layer's joints.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Laid {
    /// What it covers.
    pub span: Span,
    /// The joints inside it, in order.
    pub joints: Vec<Length>,
    /// The distance from the joints of the layer beneath that could be kept, where it is less
    /// than the rule.
    pub kept: Option<Length>,
}

impl Laid {
    /// What each course covers.
    #[must_use]
    pub fn courses(&self) -> Vec<Length> {
        let mut at = self.span.start;
        let ends = self.joints.iter().copied().chain([self.span.end]);
        ends.map(|end| {
            let width = end - at;
            at = end;
            width
        })
        .collect()
    }
}

/// A state of the dynamic programme: a plan for a layer and how it came about.
struct State {
    joints: Vec<i64>,
    kept: Option<i64>,
    paid: Paid,
    from: usize,
}

/// What a layer and all beneath it come to, least first: layers that do not keep the stagger, courses, different
/// widths.
type Paid = (usize, usize, usize);

/// Lays every layer of a run; each layer has its own rule, as rolls differ.
#[must_use]
pub fn lay(layers: &[(Span, CourseRule)]) -> Vec<Laid> {
    let closer = |laid: &[Laid]| laid.iter().filter(|layer| layer.kept.is_some()).count();
    let laid = lay_of(layers, false);
    if closer(&laid) == 0 {
        return laid;
    }
    let evenly = lay_of(layers, true);
    if closer(&evenly) < closer(&laid) { evenly } else { laid }
}

/// The same, with even divisions among the candidates or without.
fn lay_of(layers: &[(Span, CourseRule)], evenly: bool) -> Vec<Laid> {
    let mut stages: Vec<Vec<State>> = Vec::with_capacity(layers.len());
    for (i, &(span, rule)) in layers.iter().enumerate() {
        let course = Course::new(span, rule);
        let mut plans = course.candidates();
        if evenly {
            plans.extend(course.even());
        }
        let beneath = i.checked_sub(1).and_then(|j| stages.get(j).map(|s| (j, s)));
        let mut stage: Vec<State> = Vec::new();
        match beneath {
            None => {
                for joints in plans {
                    add(&mut stage, course.state(joints, None, 0, (0, 0, 0)));
                }
                if stage.is_empty() {
                    let (joints, kept) = course.best_effort(&[]);
                    add(&mut stage, course.state(joints, kept, 0, (0, 0, 0)));
                }
            }
            Some((j, states)) => {
                for (from, state) in states.iter().enumerate() {
                    let forbidden = course.forbidden(layers[j].0, &state.joints);
                    let paid = state.paid;
                    let mut fewest = usize::MAX;
                    for joints in &plans {
                        if course.keeps(joints, &forbidden) {
                            fewest = fewest.min(joints.len() + 1);
                            add(&mut stage, course.state(joints.clone(), None, from, paid));
                        }
                    }
                    if fewest > course.least() {
                        let found = course.search(&forbidden, course.stagger);
                        let (joints, kept) =
                            found.map_or_else(|| course.best_effort(&forbidden), |j| (j, None));
                        if joints.len() + 1 < fewest && (kept.is_none() || fewest == usize::MAX) {
                            add(&mut stage, course.state(joints, kept, from, paid));
                        }
                    }
                }
            }
        }
        stages.push(stage);
    }
    trace(layers, &stages)
}

/// The joints of the fewest courses over a span that keep the stagger from all of these places; `None` where none do.
#[must_use]
pub fn staggered(span: Span, rule: CourseRule, places: &[Length]) -> Option<Vec<Length>> {
    let course = Course::new(span, rule);
    let mut forbidden: Vec<i64> = places.iter().map(|&at| (at - span.start).nm()).collect();
    forbidden.sort_unstable();
    let joints = course.search(&forbidden, course.stagger)?;
    Some(joints.into_iter().map(|nm| span.start + Length::from_nm(nm)).collect())
}

/// Keeps the cheapest state for each plan.
fn add(stage: &mut Vec<State>, state: State) {
    match stage.iter_mut().find(|s| s.joints == state.joints) {
        Some(old) if state.paid < old.paid => *old = state,
        Some(_) => {}
        None => stage.push(state),
    }
}

/// Follows the cheapest last state back to the first layer.
fn trace(layers: &[(Span, CourseRule)], stages: &[Vec<State>]) -> Vec<Laid> {
    let mut laid = Vec::with_capacity(layers.len());
    let mut pick =
        stages.last().and_then(|stage| (0..stage.len()).min_by_key(|&i| (stage[i].paid, i)));
    for ((span, _), stage) in layers.iter().zip(stages).rev() {
        let Some(state) = pick.and_then(|i| stage.get(i)) else { break };
        laid.push(Laid {
            span: *span,
            joints: state.joints.iter().map(|&nm| span.start + Length::from_nm(nm)).collect(),
            kept: state.kept.map(Length::from_nm),
        });
        pick = Some(state.from);
    }
    laid.reverse();
    laid
}

/// One layer's numbers in nanometres, measured from its start.
struct Course {
    start: i64,
    length: i64,
    widest: i64,
    smallest: i64,
    stagger: i64,
    step: i64,
}

impl Course {
    fn new(span: Span, rule: CourseRule) -> Self {
        let step = rule.step.nm().max(1);
        let widest = rule.widest.nm().div_euclid(step) * step;
        Self {
            start: span.start.nm(),
            length: (span.end - span.start).nm(),
            widest: widest.max(step),
            smallest: rule.smallest.round_up_to(rule.step).nm().max(step),
            stagger: rule.stagger.nm(),
            step,
        }
    }

    /// The fewest courses that could do.
    fn least(&self) -> usize {
        usize::try_from(ceil_div(self.length, self.widest).max(1)).unwrap_or(usize::MAX)
    }

    fn state(
        &self,
        joints: Vec<i64>,
        kept: Option<i64>,
        from: usize,
        (closer, courses, kinds): Paid,
    ) -> State {
        let mut widths = self.widths(&joints);
        widths.sort_unstable();
        widths.dedup();
        let closer = closer + usize::from(kept.is_some());
        State {
            paid: (closer, courses + joints.len() + 1, kinds + widths.len()),
            kept,
            from,
            joints,
        }
    }

    fn widths(&self, joints: &[i64]) -> Vec<i64> {
        let ends = joints.iter().copied().chain([self.length]);
        ends.scan(0, |at, end| {
            let width = end - *at;
            *at = end;
            Some(width)
        })
        .collect()
    }

    /// The plans worth trying; all within the limits, none twice.
    fn candidates(&self) -> Vec<Vec<i64>> {
        if self.length <= self.widest {
            return vec![Vec::new()];
        }
        let n = self.length.div_euclid(self.widest) + i64::from(self.length % self.widest != 0);
        let rho = self.length - (n - 1) * self.widest;
        let shift = self.up((self.smallest - rho).max(0));
        let both = (self.length - (n - 1) * self.widest) / 2;
        let shifted = |x: i64| (1..n).map(|j| j * self.widest - x).collect::<Vec<_>>();
        let first = self.up(rho);
        let plans = [
            shifted(0),
            (0..n - 1).map(|j| first + j * self.widest).collect(),
            shifted(shift),
            shifted(self.up(shift + self.stagger)),
            (0..n).map(|j| self.up(both) + j * self.widest).collect(),
        ];
        let mut kept: Vec<Vec<i64>> = Vec::new();
        for plan in plans {
            let fits = self.widths(&plan).iter().all(|w| (self.smallest..=self.widest).contains(w));
            if fits && !kept.contains(&plan) {
                kept.push(plan);
            }
        }
        if kept.is_empty() {
            kept.extend(self.search(&[], 0));
        }
        kept
    }

    /// Even divisions into the fewest courses and up to two more, which leave the most room between joints.
    fn even(&self) -> Vec<Vec<i64>> {
        let least = ceil_div(self.length, self.widest).max(1);
        let plan = |n: i64| {
            let joint =
                |j: i64| i64::try_from(i128::from(self.length) * i128::from(j) / i128::from(n));
            (1..n).map(|j| joint(j).map(|at| self.up(at))).collect::<Result<Vec<_>, _>>().ok()
        };
        let fits = |plan: &Vec<i64>| {
            self.widths(plan).iter().all(|w| (self.smallest..=self.widest).contains(w))
        };
        (least..=least + 2).filter_map(plan).filter(fits).collect()
    }

    fn up(&self, x: i64) -> i64 {
        ceil_div(x, self.step) * self.step
    }

    /// The joints and ends of the layer beneath, measured from this layer's start, in order.
    fn forbidden(&self, beneath: Span, joints: &[i64]) -> Vec<i64> {
        let offset = beneath.start.nm() - self.start;
        let ends = [offset, beneath.end.nm() - self.start];
        let mut all: Vec<i64> = joints.iter().map(|j| j + offset).chain(ends).collect();
        all.sort_unstable();
        all
    }

    fn keeps(&self, joints: &[i64], forbidden: &[i64]) -> bool {
        apart(joints, forbidden, self.stagger)
    }

    /// The plan with fewest courses that keeps `stagger` from every forbidden place, if there is
    /// one; its joints as near to an even division as they can be. Each place is looked at once, for the fewest
    /// courses that reach it, so that a long run costs little more than its length.
    fn search(&self, forbidden: &[i64], stagger: i64) -> Option<Vec<i64>> {
        if self.least() == 1 {
            return Some(Vec::new());
        }
        let mut open = self.free_of(forbidden, stagger);
        // reach[j]: where the j-th joint can lie and no earlier one, as disjoint closed intervals on the grid.
        let mut reach: Vec<Vec<(i64, i64)>> = vec![vec![(0, 0)]];
        loop {
            let next = self.beyond(reach.last()?, &mut open);
            // The furthest place decides: all are at least the smallest course from the end.
            let furthest = next.last()?.1;
            reach.push(next);
            if furthest >= self.length - self.widest {
                return self.back(&reach);
            }
        }
    }

    /// Where joints may lie, first place to last: on the grid, the smallest course from both ends, outside
    /// the open neighbourhoods of the forbidden places.
    fn free_of(&self, forbidden: &[i64], stagger: i64) -> BTreeMap<i64, i64> {
        let mut open = BTreeMap::new();
        let mut keep = |a: i64, b: i64| {
            let (a, b) = (self.up(a), b.div_euclid(self.step) * self.step);
            if a <= b {
                open.insert(a, b);
            }
        };
        let (mut at, end) = (self.smallest, self.length - self.smallest);
        for &f in forbidden.iter().filter(|_| stagger > 0) {
            keep(at, (f - stagger).min(end));
            at = at.max(f + stagger);
        }
        keep(at, end);
        open
    }

    /// The open places that one course more reaches, in order; they are open no longer.
    fn beyond(&self, from: &[(i64, i64)], open: &mut BTreeMap<i64, i64>) -> Vec<(i64, i64)> {
        let mut reached: Vec<(i64, i64)> = Vec::new();
        for &(a, b) in from {
            let (a, b) = (a + self.smallest, b + self.widest);
            if a > b {
                continue;
            }
            while let Some((&start, &end)) = open.range(..=b).next_back().filter(|(_, e)| **e >= a)
            {
                open.remove(&start);
                if start < a {
                    open.insert(start, a - self.step);
                }
                if end > b {
                    open.insert(b + self.step, end);
                }
                reached.push((start.max(a), end.min(b)));
            }
        }
        reached.sort_unstable();
        // What was only reached by several of them is one place all the same.
        reached.dedup_by(|next, before| {
            let touches = next.0 <= before.1 + self.step;
            if touches {
                before.1 = before.1.max(next.1);
            }
            touches
        });
        reached
    }

    /// Joints through the reachable sets, from the end back to the start.
    fn back(&self, reach: &[Vec<(i64, i64)>]) -> Option<Vec<i64>> {
        let mut joints = Vec::with_capacity(reach.len());
        let mut end = self.length;
        let parts = i64::try_from(reach.len()).ok()?;
        for (j, places) in (1..parts).zip(reach.get(1..)?).collect::<Vec<_>>().into_iter().rev() {
            let even = i128::from(self.length) * i128::from(j) / i128::from(parts);
            let even = i64::try_from(even).ok()?;
            let nearest = |&(a, b): &(i64, i64)| {
                let (a, b) = (a.max(self.up(end - self.widest)), b.min(end - self.smallest));
                let b = b.div_euclid(self.step) * self.step;
                (a <= b).then(|| self.up(even).clamp(a, b))
            };
            let joint = places.iter().filter_map(nearest).min_by_key(|x| ((x - even).abs(), *x))?;
            joints.push(joint);
            end = joint;
        }
        joints.reverse();
        Some(joints)
    }

    /// The plan with the largest stagger that can be kept, found by halving; with the smallest
    /// piece given up where nothing else helps.
    fn best_effort(&self, forbidden: &[i64]) -> (Vec<i64>, Option<i64>) {
        let (mut low, mut high) = (0, self.stagger / self.step);
        let mut best = self.search(forbidden, 0);
        while best.is_some() && low + 1 < high {
            let middle = i64::midpoint(low, high);
            match self.search(forbidden, middle * self.step) {
                Some(plan) => {
                    best = Some(plan);
                    low = middle;
                }
                None => high = middle,
            }
        }
        let even = || {
            let n = ceil_div(self.length, self.widest).max(1);
            (1..n).map(|j| self.up(self.length / n * j).min(self.widest * j)).collect()
        };
        (best.unwrap_or_else(even), Some(low * self.step))
    }
}

/// The quotient rounded up, for a positive divisor.
const fn ceil_div(a: i64, b: i64) -> i64 {
    a.div_euclid(b) + if a.rem_euclid(b) == 0 { 0 } else { 1 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(mm: i64) -> Length {
        Length::from_mm(mm)
    }

    fn rule(widest: i64, smallest: i64, stagger: i64) -> CourseRule {
        let step = mm(1);
        CourseRule { widest: mm(widest), smallest: mm(smallest), stagger: mm(stagger), step }
    }

    fn widths(layers: &[(i64, i64)], rule: CourseRule) -> Vec<Vec<i64>> {
        let span = |&(a, b): &(i64, i64)| (Span { start: mm(a), end: mm(b) }, rule);
        let laid = lay(&layers.iter().map(span).collect::<Vec<_>>());
        assert_eq!(laid.len(), layers.len());
        laid.iter().map(|l| l.courses().iter().map(|c| c.nm() / 1_000_000).collect()).collect()
    }

    /// All ways to lay a length with at most one course more than the fewest.
    fn plans(length: i64, widest: i64, smallest: i64) -> Vec<Vec<i64>> {
        let most = usize::try_from((length + widest - 1) / widest).unwrap();
        let mut all = Vec::new();
        let mut stack = vec![(0, Vec::new())];
        while let Some((at, joints)) = stack.pop() {
            for width in smallest..=widest {
                match (at + width).cmp(&length) {
                    std::cmp::Ordering::Less => {
                        let mut next: Vec<i64> = joints.clone();
                        next.push(at + width);
                        if next.len() > most {
                            continue;
                        }
                        stack.push((at + width, next));
                    }
                    std::cmp::Ordering::Equal => all.push(joints.clone()),
                    std::cmp::Ordering::Greater => break,
                }
            }
        }
        all
    }

    /// Worked examples, derived by hand: W 1500, m 100, s 75 (DOMAIN notes, part 4).
    #[test]
    fn worked_examples() {
        let rule = rule(1500, 100, 75);
        let pair = |length: i64| widths(&[(0, length), (0, length)], rule);
        assert_eq!(pair(2000), [vec![1500, 500], vec![500, 1500]]);
        assert_eq!(pair(4000), [vec![1500, 1500, 1000], vec![1000, 1500, 1500]]);
        assert_eq!(pair(900), [vec![900], vec![900]]);
        // Shifted: a make-up course at one end would be 30 or 40 mm.
        assert_eq!(pair(1530), [vec![1430, 100], vec![1355, 175]]);
        let long = pair(6040);
        assert_eq!(long[0], [1440, 1500, 1500, 1500, 100]);
        assert_eq!(long[1], [1365, 1500, 1500, 1500, 175]);
        // A whole number of widths, or nearly: one layer needs a course more.
        assert_eq!(pair(3000), [vec![1500, 1500], vec![750, 1500, 750]]);
        assert_eq!(pair(2950), [vec![1500, 1450], vec![725, 1500, 725]]);
    }

    /// The closed form: two plans of n courses exist exactly when the slack reaches the stagger
    /// and what the make-up course lacks; else one course more is enough. Both against exhaustive
    /// search over all pairs of plans.
    #[test]
    fn exhaustive_search_agrees_for_like_spans() {
        let mut cases = 0;
        for (w, m, s) in [(10, 2, 2), (10, 3, 2), (12, 3, 3), (9, 2, 1), (11, 4, 2)] {
            for length in 1..=3 * w {
                let all = plans(length, w, m);
                let apart =
                    |a: &[i64], b: &[i64]| a.iter().all(|x| b.iter().all(|y| (x - y).abs() >= s));
                let best = all
                    .iter()
                    .flat_map(|a| all.iter().filter(|b| apart(a, b)).map(|b| a.len() + b.len() + 2))
                    .min();
                let found = widths(&[(0, length), (0, length)], rule(w, m, s));
                if length <= w {
                    assert_eq!(found, [vec![length], vec![length]]);
                    continue;
                }
                let Some(best) = best else { continue };
                cases += 1;
                assert_eq!(found[0].len() + found[1].len(), best, "L {length} W {w} m {m} s {s}");
                let n = (length + w - 1) / w;
                let (rho, slack) = (length - (n - 1) * w, n * w - length);
                let like = slack >= s + (m - rho).max(0);
                let expected = usize::try_from(2 * n).unwrap() + usize::from(!like);
                assert_eq!(best, expected, "closed form, L {length} W {w} m {m} s {s}");
            }
        }
        assert!(cases > 80, "only {cases} cases");
    }

    /// Layers that step back by the stagger at one or both ends, as at elbows.
    #[test]
    fn exhaustive_search_agrees_for_stepped_spans() {
        let mut cases = 0;
        for (w, m, s) in [(10, 3, 2), (12, 3, 3), (9, 2, 2)] {
            for length in w + 1..=26 {
                for (first, second) in [(s, s), (s, 0), (0, s)] {
                    let outer = plans(length, w, m);
                    let (start, end) = (first, length - second);
                    let inner = plans(end - start, w, m);
                    let apart = |a: &[i64], b: &[i64]| {
                        let a = a.iter().map(|x| x + start).chain([start, end]);
                        a.into_iter().all(|x| b.iter().all(|y| (x - y).abs() >= s))
                    };
                    let best = inner
                        .iter()
                        .flat_map(|a| {
                            outer.iter().filter(|b| apart(a, b)).map(|b| a.len() + b.len() + 2)
                        })
                        .min();
                    let Some(best) = best else { continue };
                    let found = widths(&[(start, end), (0, length)], rule(w, m, s));
                    cases += 1;
                    assert_eq!(
                        found[0].len() + found[1].len(),
                        best,
                        "L {length} W {w} m {m} s {s} ends {first} {second}: {found:?}"
                    );
                }
            }
        }
        assert!(cases > 100, "only {cases} cases");
    }

    /// Ten kilometres, the longest run a takeoff may have, whose layers need the exact search.
    #[test]
    fn the_longest_run_is_laid() {
        let rule = rule(1500, 100, 75);
        let span = |at: i64| (Span { start: mm(at), end: mm(10_000_000 - 2 * at) }, rule);
        let laid = lay(&[span(110), span(40), span(0)]);
        for pair in laid.windows(2) {
            assert_eq!(pair[1].kept, None);
            let near = |j: &Length| {
                let i = pair[0].joints.partition_point(|b| b <= j);
                let around = pair[0].joints.get(i.saturating_sub(1)..).unwrap_or_default();
                around.iter().take(2).map(|b| (*b - *j).abs()).min()
            };
            assert!(pair[1].joints.iter().all(|j| near(j).is_none_or(|n| n >= mm(75))));
        }
    }

    /// Whether all layers keep the stagger from what lies beneath, ends included, with courses within the rule.
    fn is_kept(laid: &[Laid], rules: &[CourseRule]) -> bool {
        let pairs = laid.iter().zip(laid.iter().skip(1)).zip(rules.iter().skip(1));
        let apart = |((below, above), rule): ((&Laid, &Laid), &CourseRule)| {
            let ends = [below.span.start, below.span.end];
            let mut places: Vec<Length> = below.joints.iter().copied().chain(ends).collect();
            places.sort_unstable();
            above.joints.iter().all(|&joint| {
                let at = places.partition_point(|&place| place <= joint - rule.stagger);
                places.get(at).is_none_or(|&place| place >= joint + rule.stagger)
            })
        };
        let within = |(laid, rule): (&Laid, &CourseRule)| {
            laid.courses().iter().all(|&c| c >= rule.smallest && c <= rule.widest)
        };
        laid.iter().all(|laid| laid.kept.is_none())
            && pairs.into_iter().all(apart)
            && laid.iter().zip(rules).all(within)
    }

    /// Rolls of 900 and 1000: each beat of the two pitches costs part of a course, so that long runs need many
    /// more courses of the wider roll than its fewest. Joints at 450 + 900 k over joints at 900 k keep the stagger,
    /// with 43 courses a layer on 38 m, of which 1000 would need 38.
    #[test]
    fn long_runs_of_rolls_of_two_widths_keep_the_stagger() {
        for stagger in [75, 150] {
            for metres in (20..=200).chain([1000]) {
                for widths in [&[900, 1000, 1000][..], &[1000, 900], &[1400, 1500], &[500, 1050]] {
                    let rules: Vec<CourseRule> =
                        widths.iter().map(|&w| rule(w, stagger.max(100), stagger)).collect();
                    let span = Span { start: mm(0), end: mm(1000 * metres) };
                    let laid = lay(&rules.iter().map(|&rule| (span, rule)).collect::<Vec<_>>());
                    assert!(is_kept(&laid, &rules), "{metres} m of {widths:?}, {stagger} mm");
                }
            }
        }
        let rules = [rule(900, 100, 75), rule(1000, 100, 75)];
        let span = Span { start: mm(0), end: mm(38_000) };
        let laid = lay(&rules.map(|rule| (span, rule)));
        assert!(laid.iter().all(|layer| layer.courses().len() <= 43));
    }

    /// Rolls of 200, stagger and smallest piece 75, on steps of 25: no plan with full courses beneath leaves room
    /// for the joints above, but three courses of 150 beneath leave it for four.
    #[test]
    fn even_divisions_beneath_leave_room_above() {
        let narrow = CourseRule { step: mm(25), ..rule(200, 75, 75) };
        let spans = [(75, 525), (0, 600)].map(|(a, b)| Span { start: mm(a), end: mm(b) });
        let laid = lay(&spans.map(|span| (span, narrow)));
        assert!(is_kept(&laid, &[narrow; 2]), "{laid:?}");
    }

    #[test]
    fn what_cannot_be_kept_is_said() {
        // Two courses of 100 and a stagger of 90: with pieces of at least 50 no joint of the
        // second layer can be 90 from the first's at 100.
        let span = Span { start: mm(0), end: mm(200) };
        let laid = lay(&[(span, rule(100, 50, 90)), (span, rule(100, 50, 90))]);
        assert_eq!(laid[0].joints, [mm(100)]);
        let kept = laid[1].kept.expect("the rule cannot be kept");
        assert!(kept < mm(90), "{kept}");
        let gap = |j: &Length| (*j - mm(100)).abs();
        assert!(laid[1].joints.iter().all(|j| gap(j) >= kept), "{:?}", laid[1]);
    }

    proptest::proptest! {
        #[test]
        fn courses_cover_and_stagger(
            length in 1_i64..60_000,
            steps in proptest::collection::vec(0_i64..3, 1..6),
            widest in 700_i64..2000,
            smallest in 50_i64..150,
            stagger in 30_i64..150,
        ) {
            let rule = rule(widest, smallest.max(stagger), stagger);
            let total: i64 = steps.iter().sum::<i64>() * stagger;
            let length = length + 2 * total + 300;
            let mut from = total;
            let mut spans = Vec::new();
            for step in &steps {
                spans.push((Span { start: mm(from), end: mm(length - from) }, rule));
                from -= step * stagger;
            }
            let laid = lay(&spans);
            for (i, plan) in laid.iter().enumerate() {
                proptest::prop_assert_eq!(plan.kept, None);
                let courses = plan.courses();
                let sum: Length = courses.iter().copied().sum();
                proptest::prop_assert_eq!(sum, plan.span.end - plan.span.start);
                if courses.len() > 1 {
                    proptest::prop_assert!(courses.iter().all(|c| *c <= rule.widest && *c >= rule.smallest));
                }
                if i > 0 {
                    let below = &laid[i - 1];
                    let ends = [below.span.start, below.span.end];
                    for joint in &plan.joints {
                        let near = below.joints.iter().chain(&ends).map(|b| (*b - *joint).abs()).min();
                        proptest::prop_assert!(near.is_none_or(|n| n >= rule.stagger));
                    }
                }
            }
        }
    }
}

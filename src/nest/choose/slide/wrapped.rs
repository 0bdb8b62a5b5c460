//! A start for the search: rows chained as far as that is cheap ([`super::wrap`]), their courses in an
//! order that the things allow; and what rows that cannot lie turned take at least.
//!
//! Only where no gap is left between pieces. Rows with laps, and things of which no order of courses
//! stands, keep the courses to start from. Where the rows of a thing do not stand beside each other with
//! as few courses as their lengths ask for, those that have more to start from keep their number.

use super::search::count;
use super::shop::{Bench, real};
use super::wrap::{Strand, Wrap, pieces};
use super::{Row, Rows, Sliding, Things};
use crate::nest::choose::material::Material;
use crate::nest::straight::effort::Effort;
use crate::nest::straight::lots::Lots;
use crate::nest::straight::{Laid, LaidPull};
use crate::nest::{Options, Watch};
use crate::units::Length;

/// Orders of courses that are tried for a thing.
const ORDERS: usize = 300;

/// Courses by thing, joints beyond those to start from, and pulls by material.
pub(super) struct Wrapped {
    pub courses: Vec<Rows>,
    pub extra: i64,
    pub pulls: Vec<Vec<LaidPull>>,
}

/// What rows that may be chained have in common: material, pieces of a course, joints of a course, and
/// how wide their pulls are, in nanometres.
type Kind = (usize, u64, i64, i64);

/// A row among those of its kind.
#[derive(Clone, Copy)]
struct Member {
    thing: usize,
    row: usize,
    rule: Row,
    fewest: usize,
}

/// Chains rows; `None` where none can be.
pub(super) fn wrapped<T: Things>(
    task: &Sliding<'_, T>,
    start: &[Rows],
    (lots, effort): (&mut Lots, &Effort<'_>),
) -> Option<Wrapped> {
    let benches: Option<Vec<Bench>> = task
        .materials
        .iter()
        .map(|m| Some(Bench::new(&Material::new(m, task.step)?, false)))
        .collect();
    let benches = benches?;
    let mut wrapped = Wrapped {
        courses: start.to_vec(),
        extra: 0,
        pulls: vec![Vec::new(); task.materials.len()],
    };
    let mut left = real(task.limit);
    for (kind, members) in kinds(task, (&benches, start), lots) {
        let dearest = real(members.first()?.rule.length.nm());
        let strand = |member: &Member| Strand {
            fewest: member.fewest,
            along: real(member.rule.length.nm()) / dearest,
            weight: real(kind.2),
            ..strand(&member.rule, &start[member.thing][member.row])
        };
        let strands: Vec<Strand> = members.iter().map(strand).collect();
        let before: f64 =
            members.iter().map(|m| real(count(start[m.thing][m.row].len()) * kind.2)).sum();
        let step = task.step.nm().max(1);
        let width = usize::try_from(kind.3 / step).unwrap_or(0);
        let wrap = Wrap { strands, width, limit: before + left };
        let mut used = 0.0;
        for chain in wrap.chains(lots, effort) {
            used += lay(&wrap, &chain, &members, (step, kind), &mut wrapped);
        }
        left += before - used;
    }
    wrapped.order(task, start, lots);
    (wrapped.extra <= task.limit).then_some(wrapped)
}

/// The cheapest width of rolls for its blanket, and what length on it costs.
fn roll(bench: &Bench) -> Option<(i64, f64)> {
    bench.widths.iter().copied().min_by(|a, b| (a.1 / real(a.0)).total_cmp(&(b.1 / real(b.0))))
}

/// Rows that may be chained, by kind, those with the longest pieces first.
fn kinds<T: Things>(
    task: &Sliding<'_, T>,
    (benches, start): (&[Bench], &[Rows]),
    lots: &mut Lots,
) -> Vec<(Kind, Vec<Member>)> {
    let mut all: Vec<(Kind, Member)> = Vec::new();
    for (thing, start) in start.iter().enumerate() {
        let joints = task.things.joints(thing).0;
        let rules = task.things.rows(thing);
        let mut fewest: Rows = rules.iter().zip(start).map(|(r, s)| fewest(r, s)).collect();
        let many: Vec<usize> = fewest.iter().map(Vec::len).collect();
        let stands = in_order((task.things, thing, &rules), &mut fewest, lots);
        for (row, rule) in rules.into_iter().enumerate() {
            let fewest = if stands { many[row] } else { start[row].len() };
            let bench = &benches[rule.material];
            let Some((width, _)) = roll(bench) else { continue };
            let most = width.min(rule.most.nm());
            let stands = bench.gap == 0 && rule.lap == Length::ZERO && rule.step == task.step;
            if stands && rule.length.nm() <= bench.pull && rule.least.nm() * 2 <= most {
                all.push((
                    (rule.material, rule.parts, joints, most),
                    Member { thing, row, rule, fewest },
                ));
            }
        }
    }
    all.sort_by_key(|(kind, m)| (*kind, std::cmp::Reverse(m.rule.length), m.thing, m.row));
    let mut kinds: Vec<(Kind, Vec<Member>)> = Vec::new();
    for (kind, member) in all {
        match kinds.last_mut() {
            Some((last, members)) if *last == kind => members.push(member),
            _ => kinds.push((kind, vec![member])),
        }
    }
    kinds
}

/// Lays a chain: its courses and pulls. Gives what its pieces count.
fn lay(
    wrap: &Wrap,
    chain: &[usize],
    members: &[Member],
    (step, kind): (i64, Kind),
    wrapped: &mut Wrapped,
) -> f64 {
    let length = |steps: usize| Length::from_nm(count(steps) * step);
    let mut pulls: Vec<Vec<Laid>> = Vec::new();
    let (mut fill, mut used) = (0, 0.0);
    for &number in chain {
        let (strand, member) = (&wrap.strands[number], &members[number]);
        let (made, end) = pieces(strand, fill, wrap.width);
        fill = end;
        used += strand.weight * real(count(made.len()));
        for piece in &made {
            let (width, length) = (length(piece.width), member.rule.length);
            let laid = Laid { width, length, turned: false };
            match pulls.last_mut() {
                Some(pull) if !piece.begins => pull.push(laid),
                _ => pulls.push(vec![laid]),
            }
        }
        let whole: Length = wrapped.courses[member.thing][member.row].iter().copied().sum();
        let courses: Vec<Length> = made.into_iter().map(|piece| length(piece.width)).collect();
        wrapped.courses[member.thing][member.row] = covering(courses, whole);
    }
    for pull in pulls {
        let lanes: Vec<Vec<Laid>> = pull.into_iter().map(|piece| vec![piece]).collect();
        let pull = LaidPull { width: Length::from_nm(kind.3), lanes };
        let copies = usize::try_from(kind.1).unwrap_or(1);
        wrapped.pulls[kind.0].extend(std::iter::repeat_n(pull, copies));
    }
    used
}

/// Courses that are cut so wide; the last is what is left, as its piece may be rounded up.
fn covering(mut pieces: Vec<Length>, whole: Length) -> Vec<Length> {
    let sum: Length = pieces.iter().copied().sum();
    if let Some(last) = pieces.last_mut() {
        *last = *last + whole - sum;
    }
    pieces
}

impl Wrapped {
    /// Puts the courses of every thing into an order that stands; a thing for which none is found has
    /// its courses to start from, and so have those with most joints while there are too many.
    fn order<T: Things>(&mut self, task: &Sliding<'_, T>, start: &[Rows], lots: &mut Lots) {
        let mut more: Vec<(i64, usize)> = Vec::new();
        for (thing, first) in start.iter().enumerate() {
            let rules = task.things.rows(thing);
            if self.courses[thing] == *first {
                continue;
            }
            let rows = &mut self.courses[thing];
            if !in_order((task.things, thing, &rules), rows, lots) {
                rows.clone_from(first);
            }
            let courses = |rows: &Rows| count(rows.iter().map(Vec::len).sum());
            let joints = (courses(rows) - courses(first)) * task.things.joints(thing).0;
            more.push((joints, thing));
        }
        self.extra = more.iter().map(|m| m.0).sum();
        more.sort_unstable();
        while self.extra > task.limit
            && let Some((joints, thing)) = more.pop()
            && joints > 0
        {
            self.courses[thing].clone_from(&start[thing]);
            self.extra -= joints;
        }
    }
}

/// Orders the courses of a thing so that they stand; whether that came out.
fn in_order<T: Things>(
    (things, thing, rules): (&T, usize, &[Row]),
    rows: &mut Rows,
    lots: &mut Lots,
) -> bool {
    for _ in 0..ORDERS {
        if things.keeps(thing, rows) {
            return true;
        }
        rows.iter_mut().zip(rules).for_each(|(row, rule)| shuffle(row, rule, lots));
    }
    false
}

/// A row with these courses as a strand by itself.
fn strand(rule: &Row, courses: &[Length]) -> Strand {
    let whole: Length = courses.iter().copied().sum();
    let step = rule.step.nm().max(1);
    let steps =
        |length: Length| usize::try_from(length.round_up_to(rule.step).nm() / step).unwrap_or(0);
    let total = steps(whole);
    let least = steps(rule.least).clamp(1, total.max(1));
    Strand { total, least, fewest: 1, along: 1.0, weight: 1.0 }
}

/// As few courses as the length of a row allows, as many as can be the widest.
fn fewest(rule: &Row, start: &[Length]) -> Vec<Length> {
    let whole: Length = start.iter().copied().sum();
    let step = rule.step.nm().max(1);
    let width = usize::try_from(rule.most.nm() / step).unwrap_or(0).max(1);
    let made = pieces(&strand(rule, start), 0, width).0.into_iter();
    covering(made.map(|piece| Length::from_nm(count(piece.width) * step)).collect(), whole)
}

/// Another order of a row's courses, by lot.
fn shuffle(courses: &mut Vec<Length>, rule: &Row, lots: &mut Lots) {
    let whole: Length = courses.iter().copied().sum();
    let many = courses.len();
    let mut pieces: Vec<Length> = (1..)
        .zip(courses.iter())
        .map(|(number, &course)| rule.cut(course, number == many))
        .collect();
    for at in (1..many).rev() {
        pieces.swap(at, lots.below(at + 1));
    }
    *courses = covering(pieces, whole);
}

/// How long pulls of two stages must be in all, wherever courses part within the limit of joints: a
/// length in nanometres. `None` where a row may lie turned, rows are not alike in what a joint counts,
/// or there is not one material on one width of rolls.
pub fn least_length<T: Things>(
    task: &Sliding<'_, T>,
    options: &Options,
    watch: &dyn Watch,
) -> Option<i64> {
    let [instance] = task.materials else { return None };
    let bench = Bench::new(&Material::new(instance, task.step)?, false);
    let &[(width, _)] = &bench.widths[..] else { return None };
    if bench.gap > 0 || instance.cutting.stages != Some(2) {
        return None;
    }
    let step = task.step.nm().max(1);
    let steps = |length: Length| usize::try_from(length.round_up_to(task.step).nm() / step).ok();
    let mut strands: Vec<Strand> = Vec::new();
    let mut add = |total: Length, length: Length| -> Option<()> {
        let (total, along) = (steps(total)?, real(length.nm()));
        strands.push(Strand { total, least: 1, fewest: 1, along, weight: 1.0 });
        Some(())
    };
    let mut pieces = task.limit;
    for thing in 0..task.things.count() {
        let joints = task.things.joints(thing).0;
        for (rule, courses) in task.things.rows(thing).iter().zip(task.things.first(thing)) {
            let turns = rule.sideways && rule.length.nm() <= width;
            if turns || rule.parts != 1 || joints != 1 || rule.lap > Length::ZERO {
                return None;
            }
            pieces += count(courses.len());
            add(courses.iter().copied().sum(), rule.length)?;
        }
    }
    for piece in &instance.pieces {
        let turns = piece.turns.sideways() && piece.length.nm() <= width;
        if turns || piece.outline.is_some() || !piece.turns.upright() {
            return None;
        }
        for _ in 0..piece.quantity {
            pieces += 1;
            add(piece.width, piece.length)?;
        }
    }
    strands.sort_by(|a, b| b.along.total_cmp(&a.along));
    let wide = usize::try_from(width / step).ok()? + usize::from(width % step > 0);
    let dearest = strands.first()?.along;
    for strand in &mut strands {
        strand.along /= dearest;
    }
    let wrap = Wrap { strands, width: wide, limit: real(pieces) };
    wrap.bound(dearest, &Effort::new(options, watch))
}

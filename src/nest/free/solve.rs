//! From the instance to the best answer: first answers, straight start, search.

use super::answer::Dealer;
use super::bands::{self, Band};
use super::bound;
use super::effort::Effort;
use super::emptier;
use super::joins;
use super::orders::MOST_SINGLE;
use super::packer::Spot;
use super::rooms::{self, Offer, Stack};
use super::straight_start::{spots, straight_answer};
use super::strip::{self, Strip};
use super::task::{Room, Task};
use crate::cutting::Objective;
use crate::nest::watch::Share;
use crate::nest::{
    Basis, Instance, Layout, NestError, Nesting, News, Options, Status, Watch, straight,
};
use crate::units::Length;
use std::sync::atomic::{AtomicBool, Ordering};

/// Rolls that hold more pieces than this are improved band by band, not roll by roll.
const LONG: u64 = 60;

/// One part in so many of the work is for building blocks.
const SHARE_OF_JOINS: u64 = 10;

/// Nests freely, or by straight cuts in any number of stages.
///
/// # Errors
/// When there is no roll, a piece fits none, the rolls on hand hold less than the pieces, or a
/// number is too large.
pub fn solve(
    instance: &Instance,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    if instance.rolls.is_empty() {
        return Err(NestError::NoRolls);
    }
    let too_large = || NestError::TooLarge { what: "the demand".to_owned() };
    let task = Task::new(instance).ok_or_else(too_large)?;
    check(instance, &task)?;
    let (mut bound, mut basis, mut certificate) =
        if task.edges || instance.cutting.gap == Length::ZERO {
            bound::any_packing(instance, &task)
        } else {
            bound::any_free_packing(instance)
        };
    let Instance { name, objective, .. } = instance;
    watch.news(&News { instance: name, objective: *objective, value: None, bound });
    let mut given = None;
    if task.edges {
        let share = match task.pieces() {
            _ if instance.objective != Objective::Length => 2,
            pieces if pieces <= 40 => 40,
            pieces if pieces <= MOST_SINGLE => 10,
            _ => 2,
        };
        let options = Options { work: options.work / share, ..*options };
        let found = straight::solve(instance, &options, &Share::of(watch, 1, share))?;
        if found.bound > bound {
            (bound, basis) = (found.bound, found.basis);
            certificate.clone_from(&found.certificate);
        }
        if found.value <= bound {
            return Ok(Nesting { bound, basis, certificate, status: Status::Proven, ..found });
        }
        given = Some(found);
    }
    let stopped = AtomicBool::new(false);
    let go_on = || {
        let stop = watch.stop();
        if stop {
            stopped.store(true, Ordering::Relaxed);
        }
        !stop
    };
    let effort = Effort { seed: options.seed, work: options.work, go_on: &go_on };
    let mut job = Job { instance, task: &task, bound, options, watch, effort, given };
    if let Some(layouts) = job.join() {
        let (value, status) = (job.bound, Status::Proven);
        let (basis, certificate) = (Basis::Search, None);
        return Ok(Nesting { layouts, value, bound: value, basis, certificate, status });
    }
    if job.bound > bound {
        (bound, basis, certificate) = (job.bound, Basis::Search, None);
    }
    let (layouts, value) =
        if instance.objective == Objective::Length { job.strip()? } else { job.rolls()? };
    let status = Status::of(value, bound, stopped.load(Ordering::Relaxed) || watch.stop());
    Ok(Nesting { layouts, value, bound, basis, certificate, status })
}

/// Whether pieces can be laid one by one.
#[must_use]
pub fn takes(instance: &Instance) -> bool {
    Task::new(instance).is_some()
}

/// Whether pieces are so few that whole orders are searched.
fn few(task: &Task) -> bool {
    task.pieces() <= MOST_SINGLE
}

/// Refuses pieces that fit no roll.
fn check(instance: &Instance, task: &Task) -> Result<(), NestError> {
    for kind in &task.kinds {
        let fits = kind.shapes.iter().any(|s| {
            let room = |r: &Room| s.w <= r.width && s.h <= r.length;
            s.h <= task.pull && task.rooms.iter().any(room)
        });
        if let (false, Some(&(piece, _))) = (fits, kind.pieces.first()) {
            return Err(NestError::PieceFitsNoRoll { piece: instance.pieces[piece].id.clone() });
        }
    }
    Ok(())
}

/// What every part of the way needs.
struct Job<'a> {
    instance: &'a Instance,
    task: &'a Task,
    bound: i64,
    options: &'a Options,
    watch: &'a dyn Watch,
    effort: Effort<'a>,
    /// The straight engine's answer, where it was asked for a bound already.
    given: Option<Nesting>,
}

impl<'a> Job<'a> {
    fn tell(&self, value: i64) {
        if self.given.as_ref().is_some_and(|given| given.value < value) {
            return;
        }
        let Instance { name, objective, .. } = self.instance;
        let (objective, bound) = (*objective, self.bound);
        self.watch.news(&News { instance: name, objective, value: Some(value), bound });
    }

    /// Says no when it is time to stop, or when so many parts in so many of what is left of the time have gone.
    fn patience(&self, parts: u64, all: u64) -> impl Fn() -> bool + Sync + use<'a> {
        let (go_on, time) = (self.effort.go_on, Share::of(self.watch, parts, all));
        move || go_on() && !time.stop()
    }

    /// Raises the bound of a strip of few rectangles cut edge to edge; its layout, if the shortest is
    /// found. Outlines may interlock, so boxes round them bound nothing.
    fn join(&mut self) -> Option<Vec<Layout>> {
        let (task, given) = (self.task, self.given.as_ref()?);
        let Instance { objective, .. } = self.instance;
        if *objective != Objective::Length || !few(task) || self.instance.is_outlined() {
            return None;
        }
        let fixed = self.fixed();
        let known = (given.value - fixed).div_euclid(task.unit);
        let least = (self.bound - fixed + task.unit - 1).div_euclid(task.unit);
        let width = task.rooms.first().map_or(0, |room| room.width);
        let steps = self.options.work / SHARE_OF_JOINS;
        let go_on = self.patience(1, SHARE_OF_JOINS);
        let joined = joins::shortest(task, width, (least, known), steps, &go_on);
        if joined.least > least {
            self.bound = joined.least * task.unit + fixed;
        }
        if let Some(spots) = joined.spots {
            let far = spots.iter().map(|spot| spot.y + spot.shape.h).max()?;
            let layouts = vec![Dealer::new(self.instance, task).layout(0, &spots)];
            let value = far * task.unit + fixed;
            self.given = self.given.take().map(|given| Nesting { layouts, value, ..given });
        }
        let given = self.given.as_ref()?;
        self.tell(given.value);
        (given.value <= self.bound).then(|| given.layouts.clone())
    }

    /// What lies before the first unit of a strip's length.
    fn fixed(&self) -> i64 {
        self.instance.cutting.square_cut.nm() - self.instance.cutting.gap.nm()
    }

    /// The straight engine's answer, if it is better than `value`. It gets the greater part of
    /// the work where pieces are many, since its layouts are what the search starts from.
    fn straight(&self, value: i64) -> Option<Nesting> {
        if let Some(given) = &self.given {
            return (given.value < value).then(|| given.clone());
        }
        if value <= self.bound || !(self.effort.go_on)() {
            return None;
        }
        let share = if few(self.task) { 10 } else { 2 };
        let options = Options { work: self.options.work / share, ..*self.options };
        let time = Share::of(self.watch, 1, share);
        let found = straight_answer(self.instance, &options, (&time, self.bound, value))?;
        (found.value < value).then_some(found)
    }

    /// The shortest strip.
    fn strip(&self) -> Result<(Vec<Layout>, i64), NestError> {
        let (task, fixed) = (self.task, self.fixed());
        let value = |far: i64| far * task.unit + fixed;
        let least = (self.bound - fixed + task.unit - 1).div_euclid(task.unit);
        let width = task.rooms.first().map_or(0, |room| room.width);
        let told = |far: i64| self.tell(value(far));
        let (first, straight) = if few(task) {
            let first = strip::first(task, width, (&|| true, self.effort.go_on), &told);
            let far = first.as_ref().map_or(i64::MAX, |first| value(first.far));
            (first, self.straight(far))
        } else {
            let straight = self.straight(i64::MAX);
            let at_once: &dyn Fn() -> bool =
                if straight.is_some() { &self.effort.go_on } else { &|| true };
            let told = |_| ();
            (strip::first(task, width, (at_once, self.effort.go_on), &told), straight)
        };
        let mut best = match (first, &straight) {
            (Some(first), _) => first,
            (None, Some(straight)) => return Ok((straight.layouts.clone(), straight.value)),
            (None, None) => return Err(NestError::LengthNeedsOneEndlessRoll),
        };
        if few(task) {
            best = strip::shorten(task, width, least, best, self.effort, &told);
        } else {
            let start = self.start(task, width, least, best, straight.as_ref());
            let mut told = bands::total(&start);
            let mut done = |bands: &[Band]| {
                let far = bands::total(bands);
                if far < told {
                    told = far;
                    self.tell(value(far));
                }
                far <= least
            };
            let shorter = bands::shorten(task, width, start, self.effort, &mut done);
            let far = bands::total(&shorter);
            best = Strip { order: Vec::new(), spots: bands::join(&shorter), far };
        }
        match straight {
            Some(straight) if straight.value <= value(best.far) => {
                Ok((straight.layouts, straight.value))
            }
            _ => {
                let layout = Dealer::new(self.instance, task).layout(0, &best.spots);
                Ok((vec![layout], value(best.far)))
            }
        }
    }

    /// Bands to start from where pieces are many: the straight layouts', or those of whole orders
    /// searched for a while, whichever are shorter in all.
    fn start(
        &self,
        task: &Task,
        width: i64,
        least: i64,
        strip: Strip,
        straight: Option<&Nesting>,
    ) -> Vec<Band> {
        let go_on = self.patience(1, 8);
        let effort = Effort { work: self.options.work / 8, go_on: &go_on, ..self.effort };
        let strip = strip::shorten(task, width, least, strip, effort, &|_| ());
        let own = bands::split(strip.spots, width);
        let other = straight.and_then(|s| self.bands(&s.layouts, width));
        match other {
            Some(other) if bands::total(&other) < bands::total(&own) => other,
            _ => own,
        }
    }

    /// The bands of layouts; `None` where they do not lie on whole units.
    fn bands(&self, layouts: &[Layout], width: i64) -> Option<Vec<Band>> {
        let kind_of = self.task.kind_of();
        let mut bands = Vec::new();
        for layout in layouts {
            let spots = spots(self.instance, self.task, &kind_of, layout)?;
            let split = bands::split(spots, width);
            for _ in 0..layout.copies {
                bands.extend(split.iter().cloned());
            }
        }
        Some(bands)
    }

    /// The fewest or the cheapest rolls.
    fn rolls(&self) -> Result<(Vec<Layout>, i64), NestError> {
        let offers: Vec<Offer> = self
            .instance
            .rolls
            .iter()
            .map(|roll| Offer {
                cost: roll.cost(self.instance.objective),
                available: roll.available,
            })
            .collect();
        let told = |cost: i64| self.tell(cost);
        let many = if few(self.task) { None } else { self.straight(i64::MAX) };
        let first = match &many {
            Some(_) => Err(0),
            None => rooms::first(self.task, &offers, self.effort.go_on, &told),
        };
        let dear = first.as_ref().map_or(i64::MAX, |stack| stack.cost);
        let straight = if many.is_some() { many } else { self.straight(dear) };
        let mut best = match (first, &straight) {
            (Ok(stack), _) => stack,
            (Err(missing), None) => return Err(NestError::NotEnoughRolls { missing }),
            (Err(_), Some(_)) => Stack::default(),
        };
        if let Some(straight) = &straight {
            let Some(stack) = self.stack(straight) else {
                return Ok((straight.layouts.clone(), straight.value));
            };
            best = stack;
        }
        let before = best.cost;
        let short = self.task.pieces() <= LONG * best.rolls.len() as u64;
        let part = |share| Effort { work: self.effort.work / 3 * share, ..self.effort };
        if few(self.task) {
            let parts = if short { 1 } else { 3 };
            let go_on = self.patience(parts, 3);
            let effort = Effort { go_on: &go_on, ..part(parts) };
            best = rooms::cheapen(self.task, &offers, self.bound, best, effort, &told);
        } else if let ([room], false) = (&self.task.rooms[..], short) {
            best = self.long_rolls(*room, best, straight.as_ref(), offers[0].cost);
        }
        if short {
            best = emptier::empty(self.task, &offers, self.bound, best, part(2), &told);
        }
        match straight {
            Some(straight) if before <= best.cost => Ok((straight.layouts, straight.value)),
            _ => Ok((self.layouts(&best), best.cost)),
        }
    }

    /// The rolls of layouts; `None` where they do not lie on whole units.
    fn stack(&self, nesting: &Nesting) -> Option<Stack> {
        let kind_of = self.task.kind_of();
        let mut stack = Stack { cost: nesting.value, ..Stack::default() };
        for layout in &nesting.layouts {
            let on = spots(self.instance, self.task, &kind_of, layout)?;
            for _ in 0..layout.copies {
                let room = u32::try_from(stack.rolls.len()).ok()?;
                stack.rolls.push(layout.roll);
                stack.spots.extend(on.iter().map(|spot| Spot { room, ..*spot }));
            }
        }
        Some(stack)
    }

    /// Fewer rolls of the one kind there is, by shorter bands. Bands are pulls no longer than the
    /// roll, whatever the pull limit.
    fn long_rolls(
        &self,
        room: Room,
        mut best: Stack,
        straight: Option<&Nesting>,
        cost: i64,
    ) -> Stack {
        let task = Task { pull: self.task.pull.min(room.length), ..self.task.clone() };
        let least = i64::try_from(task.area() / i128::from(room.width.max(1))).unwrap_or(0);
        let go_on = || (self.effort.go_on)();
        let patience: (&dyn Fn() -> bool, &dyn Fn() -> bool) = (&go_on, &go_on);
        let Some(strip) = strip::first(&task, room.width, patience, &|_| ()) else {
            return best;
        };
        let bands = self.start(&task, room.width, least, strip, straight);
        let mut done = |bands: &[Band]| {
            let many = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
            let fewer = many(best.rolls.len()) - 1;
            if bands::total(bands) <= fewer.saturating_mul(room.length) {
                let rolls = bands::stack(bands, room.length);
                if rolls.len() < best.rolls.len() {
                    best = stacked(bands, &rolls, cost);
                    self.tell(best.cost);
                }
            }
            best.cost <= self.bound
        };
        bands::shorten(&task, room.width, bands, self.effort, &mut done);
        best
    }

    fn layouts(&self, stack: &Stack) -> Vec<Layout> {
        let mut dealer = Dealer::new(self.instance, self.task);
        let mut rooms: Vec<Vec<Spot>> = vec![Vec::new(); stack.rolls.len()];
        for spot in &stack.spots {
            rooms[spot.room as usize].push(*spot);
        }
        stack.rolls.iter().zip(&rooms).map(|(&roll, spots)| dealer.layout(roll, spots)).collect()
    }
}

/// Bands on rolls as rooms with spots.
fn stacked(bands: &[Band], rolls: &[Vec<usize>], cost: i64) -> Stack {
    let mut spots = Vec::new();
    for (number, held) in (0u32..).zip(rolls) {
        let held: Vec<Band> = held.iter().map(|&i| bands[i].clone()).collect();
        spots.extend(bands::join(&held).into_iter().map(|s| Spot { room: number, ..s }));
    }
    let cost = cost.saturating_mul(i64::try_from(rolls.len()).unwrap_or(i64::MAX));
    Stack { rolls: vec![0; rolls.len()], order: Vec::new(), spots, cost }
}

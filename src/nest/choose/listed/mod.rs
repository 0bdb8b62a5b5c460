//! Choices whose ways are all listed.
//!
//! Few combinations are gone through one by one ([`few`]), each nested by itself: the least value is
//! the answer, and the least of their bounds is the bound. Of many the programme chooses, what it chose is
//! searched around ([`around`]), and [`bound`] says what no choice can go below; where they are some
//! thousands, what may still be better is gone through as well.

mod around;
mod bound;
mod few;

use super::material::real;
use super::{Bill, Limit, Offers, Size, Task, dive, generate};
use crate::cutting::Objective;
use crate::nest::choose::master::Master;
use crate::nest::shapes::library::remember;
use crate::nest::straight::effort::Effort;
use crate::nest::straight::lots::Lots;
use crate::nest::watch::Share;
use crate::nest::{self, Basis, Instance, NestError, Nesting, Options, Piece, Status, Watch};
use crate::units::{Area, Length, gcd};
pub(super) use few::AT_ONCE;
use few::Known;

/// So many like things, each of which is made in one of several ways.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Group {
    /// How many things.
    pub count: u64,
    /// The ways to make one; at least one, and the first takes nothing of what is limited.
    pub ways: Vec<Way>,
}

/// One way to make a thing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Way {
    /// What pieces it needs.
    pub pieces: Vec<Held>,
    /// What it costs beside the blanket, in the objective's unit; not negative.
    pub cost: i64,
    /// What it takes of what is limited over all groups.
    pub extra: i64,
}

/// Like pieces that a way needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Held {
    /// Index of the material.
    pub material: usize,
    /// Index into the material's pieces.
    pub piece: usize,
    /// How many.
    pub quantity: u64,
}

/// Materials, and choices over their pieces.
#[derive(Clone, Copy, Debug)]
pub struct Listing<'a> {
    /// The materials; what choices need comes on top of the pieces' own quantities, which may be
    /// nothing. All have one objective.
    pub materials: &'a [Instance],
    /// The choices.
    pub groups: &'a [Group],
    /// The most that all choices together may take of what is limited.
    pub limit: i64,
}

/// Ways taken, and the nests of what they need.
#[derive(Clone, Debug)]
pub struct Chosen {
    /// For each group how often each of its ways is taken.
    pub taken: Vec<Vec<u64>>,
    /// The materials with these choices made: only pieces that are wanted.
    pub instances: Vec<Instance>,
    /// Their nests; each bound holds for every choice.
    pub nestings: Vec<Nesting>,
    /// All nests and all that the ways taken cost, in the objective's unit.
    pub value: i64,
    /// No choice goes below this.
    pub bound: i64,
    /// The nests of no choice go below this together, whatever the ways cost.
    pub nests_bound: i64,
    /// What the bounds rest on.
    pub basis: Basis,
    /// Whether the bound reaches the value, and if not, why.
    pub status: Status,
}

/// Chooses and nests: all combinations where they are few, else by the programme and by searching around
/// what it chose.
///
/// # Errors
/// See [`crate::nest::solve()`].
pub fn solve(
    listing: &Listing<'_>,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Chosen, NestError> {
    let _held = remember();
    let Some(all) = few::combinations(listing, few::few(listing)) else {
        return solve_many(listing, options, watch);
    };
    if all.len() <= AT_ONCE {
        return few::solve(listing, all, None, options, watch);
    }
    let half = Options { work: options.work / 2, ..*options };
    let many = many(listing, &half, &Share::of(watch, 1, 2))?.within(watch);
    if many.best.value <= many.joint.with_costs || watch.stop() {
        return Ok(many.chosen(listing));
    }
    few::solve(listing, all, Some(many), &half, watch)
}

/// The best of all combinations, each nested by itself; `None` where they are more than [`AT_ONCE`].
pub(super) fn solve_each(
    listing: &Listing<'_>,
    options: &Options,
    watch: &dyn Watch,
) -> Option<Result<Chosen, NestError>> {
    let all = few::combinations(listing, AT_ONCE)?;
    let _held = remember();
    Some(few::solve(listing, all, None, options, watch))
}

/// Chooses by the programme and around what it chose, however few combinations there are.
///
/// # Errors
/// See [`crate::nest::solve()`].
pub fn solve_many(
    listing: &Listing<'_>,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Chosen, NestError> {
    let _held = remember();
    Ok(many(listing, options, watch)?.chosen(listing))
}

/// What came of many combinations.
struct Many {
    best: Made,
    joint: Joint,
    basis: Basis,
    /// Nests that were met on the way.
    known: Known,
}

impl Many {
    /// The same, where shares of the clock ended nests and this watch goes on.
    fn within(mut self, watch: &dyn Watch) -> Self {
        let nestings = self.best.nestings.into_iter();
        self.best.nestings = nestings.map(|nesting| nesting.within(watch)).collect();
        self
    }

    fn chosen(self, listing: &Listing<'_>) -> Chosen {
        self.best.bounded(self.joint, &bound::of_each(listing), self.basis)
    }
}

/// A quarter of the work each: the programme, nests of what it chose and of the first ways, the search
/// around the better of them, and the nest of what that found.
fn many(listing: &Listing<'_>, options: &Options, watch: &dyn Watch) -> Result<Many, NestError> {
    let quarter = Options { work: options.work / 4, ..*options };
    let eighth = Options { work: options.work / 8, ..*options };
    let (taken, linear) = by_programme(listing, &quarter, &Share::of(watch, 1, 4));
    let area = bound::by_area(listing);
    let (joint, basis) = match linear {
        Some(linear) if linear.with_costs > area.with_costs => (linear, Basis::LinearProgramme),
        _ => (area, Basis::Area),
    };
    let mut best: Option<Made> = None;
    let mut refused = None;
    let begun: Vec<_> = std::iter::once(listing.first()).chain(taken).collect();
    for (taken, eighths) in begun.iter().cloned().zip([6, 5]) {
        match listing.made(taken, &eighth, &Share::of(watch, 1, eighths)) {
            Ok(new) => new.replace(&mut best, listing),
            Err(why) => refused = Some(why),
        }
    }
    let mut known = Known::new();
    if best.as_ref().is_none_or(|best| best.value > joint.with_costs) {
        let from =
            best.as_ref().map_or_else(|| begun[begun.len() - 1].clone(), |b| b.taken.clone());
        let found = around::search(listing, from, &mut known, &quarter, &Share::of(watch, 1, 2));
        if let Some(found) = found
            && best.as_ref().is_none_or(|best| found.taken != best.taken)
        {
            if let Ok(new) = listing.made(found.taken.clone(), &quarter, watch) {
                new.replace(&mut best, listing);
            }
            found.replace(&mut best, listing);
        }
    }
    let Some(best) = best else { return Err(refused.unwrap_or(NestError::NoRolls)) };
    Ok(Many { best, joint, basis, known }.within(watch))
}

/// Bounds by area that hold for every choice: for each material, and on all nests together.
#[must_use]
pub fn bounds_by_area(listing: &Listing<'_>) -> (Vec<i64>, i64) {
    let each = bound::of_each(listing);
    let all = bound::by_area(listing).nests.max(each.iter().sum());
    (each, all)
}

/// Bounds that hold for every choice, in the objective's unit.
#[derive(Clone, Copy, Debug)]
struct Joint {
    /// On nests and costs of the ways.
    with_costs: i64,
    /// On the nests alone.
    nests: i64,
}

/// What tells answers apart: the value, then the blanket that is drawn off.
type Rank = (i64, Area);

/// Choices made and nested.
#[derive(Clone)]
struct Made {
    taken: Vec<Vec<u64>>,
    instances: Vec<Instance>,
    nestings: Vec<Nesting>,
    value: i64,
}

impl Made {
    /// Takes the place of a worse answer, or of none.
    fn replace(self, best: &mut Option<Self>, listing: &Listing<'_>) {
        if best.as_ref().is_none_or(|old| self.rank(listing) < old.rank(listing)) {
            *best = Some(self);
        }
    }

    /// Whether nothing better is made of these choices.
    fn is_proven(&self) -> bool {
        self.nestings.iter().all(|nesting| nesting.status == Status::Proven)
    }

    /// The value, then the blanket that is drawn off, with the part of a roll that must be saved by what is
    /// taken of what is limited.
    fn rank(&self, listing: &Listing<'_>) -> Rank {
        let drawn = self.instances.iter().zip(&self.nestings).map(|(instance, nesting)| {
            let of = |layout: &crate::nest::Layout| {
                let far = layout.pulls.iter().map(|p| p.y + p.length).max().unwrap_or_default();
                let width = instance.rolls[layout.roll].width;
                Area::of_rectangle(width, far) * i128::from(layout.copies)
            };
            nesting.layouts.iter().map(of).sum::<Area>()
        });
        let extra = listing.extra(&self.taken);
        let rolls = listing.materials.iter().flat_map(|instance| &instance.rolls);
        let roll = rolls.map(crate::nest::Roll::area).max().unwrap_or(Area::ZERO);
        let thrift = Area::from_nm2(roll.nm2() / i128::from(THRIFT) * extra);
        (self.value, drawn.sum::<Area>() + thrift)
    }

    /// With bounds that hold for every choice; `each` by material.
    fn bounded(mut self, joint: Joint, each: &[i64], basis: Basis) -> Chosen {
        let alone = self.nestings.len() == 1;
        let nests: i64 = self.nestings.iter().map(|nesting| nesting.value).sum();
        let nests_bound = joint.nests.max(each.iter().sum()).min(nests);
        let bound = joint.with_costs.max(nests_bound).min(self.value);
        for (nesting, &each) in self.nestings.iter_mut().zip(each) {
            let (bound, basis) = if alone { (nests_bound, basis) } else { (each, Basis::Area) };
            bound_nest(nesting, bound, basis);
        }
        let weakest = self.nestings.iter().map(|nesting| nesting.status).max();
        let status = match weakest {
            _ if self.value <= bound => Status::Proven,
            Some(Status::Stopped) => Status::Stopped,
            _ => Status::Feasible,
        };
        let Self { taken, instances, nestings, value } = self;
        Chosen { taken, instances, nestings, value, bound, nests_bound, basis, status }
    }
}

/// Sets a nest's bound to one that holds for every choice.
fn bound_nest(nesting: &mut Nesting, bound: i64, basis: Basis) {
    let bound = bound.min(nesting.value);
    (nesting.bound, nesting.basis, nesting.certificate) = (bound, basis, None);
    if nesting.value <= bound {
        nesting.status = Status::Proven;
    } else if nesting.status == Status::Proven {
        nesting.status = Status::Feasible;
    }
}

impl Group {
    /// Whether there is anything to choose.
    fn is_open(&self) -> bool {
        self.count > 0 && self.ways.len() > 1
    }
}

impl Listing<'_> {
    /// Every group made in its first way.
    fn first(&self) -> Vec<Vec<u64>> {
        let of = |group: &Group| {
            let mut taken = vec![0; group.ways.len()];
            taken[0] = group.count;
            taken
        };
        self.groups.iter().map(of).collect()
    }

    fn piece(&self, held: &Held) -> &Piece {
        &self.materials[held.material].pieces[held.piece]
    }

    /// The materials with the choices made; pieces that are not wanted stay with quantity 0.
    fn fixed(&self, taken: &[Vec<u64>]) -> Vec<Instance> {
        let mut made = self.materials.to_vec();
        for (group, taken) in self.groups.iter().zip(taken) {
            for (way, &n) in group.ways.iter().zip(taken) {
                for held in &way.pieces {
                    let quantity = &mut made[held.material].pieces[held.piece].quantity;
                    *quantity = quantity.saturating_add(held.quantity.saturating_mul(n));
                }
            }
        }
        made
    }

    /// What the ways taken cost.
    fn cost(&self, taken: &[Vec<u64>]) -> i64 {
        let of = |(group, taken): (&Group, &Vec<u64>)| {
            let ways = group.ways.iter().zip(taken);
            let cost = |(way, &n): (&Way, &u64)| i128::from(way.cost) * i128::from(n);
            ways.map(cost).sum::<i128>()
        };
        let all: i128 = self.groups.iter().zip(taken).map(of).sum();
        i64::try_from(all).unwrap_or(i64::MAX)
    }

    /// What the ways taken take of what is limited.
    fn extra(&self, taken: &[Vec<u64>]) -> i128 {
        let of = |(group, taken): (&Group, &Vec<u64>)| {
            let ways = group.ways.iter().zip(taken);
            ways.map(|(way, &n)| i128::from(way.extra) * i128::from(n)).sum::<i128>()
        };
        self.groups.iter().zip(taken).map(of).sum()
    }

    /// What a unit of what is limited must save, in the objective's unit; nothing where rolls have no
    /// end.
    #[must_use]
    pub fn thrift(&self) -> f64 {
        let rolls = self.materials.iter().flat_map(|instance| {
            instance.rolls.iter().filter_map(|roll| match instance.objective {
                Objective::Rolls | Objective::Price => Some(roll.cost(instance.objective)),
                Objective::Length => None,
            })
        });
        real(rolls.max().unwrap_or(0)) / real(THRIFT)
    }

    fn made(
        &self,
        taken: Vec<Vec<u64>>,
        options: &Options,
        watch: &dyn Watch,
    ) -> Result<Made, NestError> {
        let mut instances = self.fixed(&taken);
        let mut nestings = Vec::with_capacity(instances.len());
        for instance in &mut instances {
            instance.pieces.retain(|piece| piece.quantity > 0);
            nestings.push(nested(instance, options, watch, nest::solve_offers)?);
        }
        let value = nestings.iter().map(|nesting| nesting.value).sum::<i64>() + self.cost(&taken);
        Ok(Made { taken, instances, nestings, value })
    }

    /// The finest step in which the programme tells sizes apart: what divides all of them, or where
    /// that is too fine, a small part of the widest roll.
    fn step(&self) -> Length {
        let pieces = self.materials.iter().flat_map(|instance| &instance.pieces);
        let common = pieces.flat_map(|p| [p.width.nm(), p.length.nm()]).fold(0, gcd).max(1);
        let rolls = self.materials.iter().flat_map(|instance| &instance.rolls);
        let widest = rolls.map(|roll| roll.width.nm()).max().unwrap_or(0);
        let coarse = Length::from_mm(1).nm().max(widest / COARSE);
        Length::from_nm(if widest / common > FINE { coarse } else { common })
    }
}

/// One unit of what is limited must save at least one part in so many of a roll, or as good as
/// nothing would be got for it. Our choice.
const THRIFT: i64 = 1_000;

/// Up to so many steps across a roll the sizes' common divisor is taken.
const FINE: i64 = 5_000;

/// Else a roll is about so many steps wide, each at least a millimetre.
const COARSE: i64 = 2_000;

/// How a material is nested.
type Solve = fn(&Instance, &Options, &dyn Watch) -> Result<Nesting, NestError>;

/// The nest of a material, of which nothing may be wanted.
fn nested(
    instance: &Instance,
    options: &Options,
    watch: &dyn Watch,
    solve: Solve,
) -> Result<Nesting, NestError> {
    if instance.pieces.is_empty() {
        return Ok(Nesting {
            layouts: Vec::new(),
            value: 0,
            bound: 0,
            basis: Basis::Area,
            certificate: None,
            status: Status::Proven,
        });
    }
    solve(instance, options, watch)
}

/// The choices that the programme makes, and its bounds where they are some.
fn by_programme(
    listing: &Listing<'_>,
    options: &Options,
    watch: &dyn Watch,
) -> (Option<Vec<Vec<u64>>>, Option<Joint>) {
    let task = Task {
        materials: listing.materials,
        offers: listing,
        limit: listing.limit,
        step: listing.step(),
    };
    let effort = Effort::new(options, watch);
    let mut lots = Lots::new(options.seed);
    let Some(mut master) = Master::new(&task) else { return (None, None) };
    let ended = generate::generate(&mut master, Limit::none(), &effort);
    let free = master.value();
    let two = |instance: &Instance| instance.cutting.stages == Some(2);
    let linear = (ended && listing.materials.iter().all(two))
        .then(|| bound::by_programme(listing, &master, &effort))
        .flatten();
    let Some(whole) = dive::best(&master, free, (&mut lots, &effort)) else {
        return (None, linear);
    };
    let mut taken: Vec<Vec<u64>> =
        listing.groups.iter().map(|group| vec![0; group.ways.len()]).collect();
    for pick in &whole.picks {
        taken[pick.group][pick.bill.plan] += pick.settled;
    }
    (Some(taken), linear)
}

impl Offers for Listing<'_> {
    type Plan = usize;

    fn counts(&self) -> Vec<u64> {
        self.groups.iter().map(|group| group.count).collect()
    }

    fn first(&self, group: usize) -> Vec<Bill<usize>> {
        let part = |held: &Held| (Size::of(self.piece(held), held.material), held.quantity);
        let thrift = self.thrift();
        let bill = |(plan, way): (usize, &Way)| Bill {
            plan,
            parts: way.pieces.iter().map(part).collect(),
            cost: real(way.cost) + thrift * real(way.extra),
            extra: way.extra,
        };
        self.groups[group].ways.iter().enumerate().map(bill).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_nest_above_the_bound_of_its_choice_is_not_proven() {
        let bounded = |bound: i64| {
            let mut nesting = Nesting {
                layouts: Vec::new(),
                value: 3,
                bound: 3,
                basis: Basis::Search,
                certificate: None,
                status: Status::Proven,
            };
            bound_nest(&mut nesting, bound, Basis::Area);
            (nesting.bound, nesting.status)
        };
        assert_eq!(bounded(2), (2, Status::Feasible));
        assert_eq!(bounded(5), (3, Status::Proven));
    }
}

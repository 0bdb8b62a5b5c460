//! The joints of straight runs as choices for the nest.
//!
//! Steps: runs that are free in the same way, and as often in their item, form a group; what all
//! else needs becomes the fixed pieces of each thickness; the nest asks for the plans that cost
//! least at its prices ([`crate::demand::cheapest`]); what it takes is dealt out to the runs in the
//! takeoff's order. The nest itself knows sizes and groups, and nothing of runs.

use super::job;
use super::wanted::Wanted;
use super::{ChosenRun, Figures, NestFigures, Plan};
use crate::cutting::Objective;
use crate::demand::{Choices, Curve, Demand, FreeLayer, FreeRun, cheapest};
use crate::nest::choose::{self, Answer, Bill, Offers, Prices, Size, Task};
use crate::nest::{Instance, Options, Watch};
use crate::rules::Rules;
use crate::stock::Stock;
use crate::units::{Area, Decimal, Length, Money};
use std::collections::{BTreeMap, BTreeSet};

/// Plans that are offered for a group at one time.
const MANY: usize = 1;

/// The free runs of a job, and what is cut whatever is chosen.
pub struct Freedom<'a> {
    groups: Vec<Group<'a>>,
    materials: Vec<Instance>,
    /// The thickness of each material.
    thicknesses: Vec<Length>,
    rules: &'a Rules,
    /// Joints along the free runs as specified.
    joints: u64,
}

/// Runs that are free in the same way.
struct Group<'a> {
    members: Vec<&'a FreeRun>,
    /// The material of each layer.
    materials: Vec<usize>,
}

/// All that was chosen.
#[derive(Clone, Debug, Default)]
pub struct Picked {
    /// The courses of the runs that are not as specified.
    pub choices: Choices,
    /// The same runs with what each saves.
    pub runs: Vec<ChosenRun>,
    /// The programme's value as specified, with free choice in fractions, and as chosen; pulls in
    /// fractions each time, in the objective's unit.
    pub linear: [f64; 3],
}

impl<'a> Freedom<'a> {
    /// Of a job whose order sheets are `sheets`; `None` where nothing is free.
    #[must_use]
    pub fn new(
        demand: &'a Demand,
        sheets: &[Wanted],
        (stock, rules): (&Stock, &'a Rules),
    ) -> Option<Self> {
        let names: BTreeSet<&str> = demand.free.iter().map(|run| run.item.as_str()).collect();
        // All of an item's pieces are its runs'; where one of its runs is not free, none is.
        let mut runs: BTreeMap<&str, BTreeSet<u32>> = BTreeMap::new();
        for joints in demand.joints.iter().filter(|j| names.contains(j.item.as_str())) {
            runs.entry(&joints.item).or_default().insert(joints.run);
        }
        for run in &demand.free {
            if let Some(left) = runs.get_mut(run.item.as_str()) {
                left.remove(&run.run);
            }
        }
        let free = |item: &str| runs.get(item).is_some_and(BTreeSet::is_empty);
        let mut fixed = Demand { pieces: demand.pieces.clone(), ..Demand::default() };
        fixed.pieces.retain(|piece| !free(&piece.item));
        let fixed = job::wanted("", &fixed, stock, rules);
        let thicknesses: Vec<Length> = sheets.iter().filter_map(|s| s.thickness).collect();
        let materials = sheets
            .iter()
            .map(|sheet| {
                let own = fixed.iter().find(|f| f.thickness == sheet.thickness);
                let pieces = own.map(|f| f.instance().pieces).unwrap_or_default();
                Instance { pieces, ..sheet.instance() }
            })
            .collect();
        let mut groups: BTreeMap<_, Vec<&FreeRun>> = BTreeMap::new();
        for run in demand.free.iter().filter(|run| free(&run.item)) {
            groups.entry(run.likeness()).or_default().push(run);
        }
        let material = |t: Length| thicknesses.iter().position(|&own| own == t);
        let groups: Vec<Group<'_>> = groups
            .into_values()
            .filter_map(|members| {
                let layers = &members.first()?.layers;
                let materials: Option<Vec<usize>> =
                    layers.iter().map(|l| material(l.thickness)).collect();
                materials.map(|materials| Group { members, materials })
            })
            .collect();
        let joints = groups
            .iter()
            .flat_map(|group| &group.members)
            .map(|run| FreeRun::joints(&run.specified).saturating_mul(run.quantity))
            .fold(0, u64::saturating_add);
        let any = !groups.is_empty();
        any.then_some(Self { groups, materials, thicknesses, rules, joints })
    }

    /// Joints along the free runs as specified.
    #[must_use]
    pub const fn joints(&self) -> u64 {
        self.joints
    }

    /// Lets the nest choose; `None` where it found nothing, or sizes are too fine for it.
    #[must_use]
    pub fn choose(&self, options: &Options, watch: &dyn Watch) -> Option<Picked> {
        let more = u128::from(self.joints) * u128::from(self.rules.choose.more_joints) / 100;
        let task = Task {
            materials: &self.materials,
            offers: self,
            limit: i64::try_from(more).unwrap_or(i64::MAX),
            step: self.rules.resolution.cut,
        };
        let answer = choose::choose(&task, options, watch)?;
        Some(self.picked(&answer))
    }

    /// A bound for each order sheet that holds whatever is chosen, by area.
    #[must_use]
    pub fn bounds(&self) -> Vec<Option<i64>> {
        let area = |run: &FreeRun, layer: &FreeLayer| {
            let one = i128::from(layer.around.nm()) * i128::from(layer.length().nm());
            one * i128::from(layer.parts) * i128::from(run.quantity)
        };
        self.materials
            .iter()
            .enumerate()
            .map(|(at, instance)| {
                let of = |group: &Group<'_>| -> i128 {
                    let layers = |run: &FreeRun| -> i128 {
                        let mine = run.layers.iter().zip(&group.materials);
                        mine.filter(|(_, m)| **m == at).map(|(l, _)| area(run, l)).sum()
                    };
                    group.members.iter().map(|run| layers(run)).sum()
                };
                choose::by_area(instance, self.groups.iter().map(of).sum())
            })
            .collect()
    }

    /// The thickness of each material.
    #[must_use]
    pub fn thicknesses(&self) -> &[Length] {
        &self.thicknesses
    }

    /// Deals what was taken out to the runs.
    fn picked(&self, answer: &Answer<Vec<Vec<Length>>>) -> Picked {
        let mut picked = Picked { linear: answer.linear, ..Picked::default() };
        for ((group, taken), saves) in self.groups.iter().zip(&answer.taken).zip(&answer.saves) {
            let mut members = group.members.iter();
            for (bill, count) in taken {
                for _ in 0..*count {
                    let Some(run) = members.next() else { break };
                    if !group.as_specified(bill) {
                        let key = (run.item.clone(), run.run);
                        picked.choices.insert(key, bill.plan.clone());
                        picked.runs.push(ChosenRun {
                            item: run.item.clone(),
                            run: run.run,
                            joints: bill.extra,
                            saves: self.in_its_unit(*saves),
                        });
                    }
                }
            }
        }
        picked
    }

    /// A saving in the unit of plans' values.
    #[expect(clippy::cast_possible_truncation, reason = "a rounded estimate, far below 2^63")]
    fn in_its_unit(&self, saving: f64) -> Decimal {
        let by_price = self.materials.iter().any(|m| m.objective == Objective::Price);
        let millionths = if by_price { saving } else { saving * 1e6 };
        Decimal::from_millionths(millionths.round() as i64)
    }

    fn size(group: &Group<'_>, at: usize, width: Length) -> Option<Size> {
        let layer = group.first()?.layers.get(at)?;
        Some(Size {
            material: *group.materials.get(at)?,
            width,
            length: layer.around,
            upright: true,
            sideways: layer.sideways,
        })
    }

    /// The bill of a plan.
    fn bill(&self, group: &Group<'_>, plan: Vec<Vec<Length>>) -> Option<Bill<Vec<Vec<Length>>>> {
        let run = group.first()?;
        let mut parts: BTreeMap<Size, u64> = BTreeMap::new();
        for (at, (layer, courses)) in run.layers.iter().zip(&plan).enumerate() {
            for (number, &course) in courses.iter().enumerate() {
                let width = layer.cut(course, number + 1 == courses.len());
                let size = Self::size(group, at, width)?;
                *parts.entry(size).or_default() += u64::from(layer.parts) * run.quantity;
            }
        }
        let extra = Self::extra(run, &plan);
        Some(Bill { cost: self.cost(extra), parts: parts.into_iter().collect(), extra, plan })
    }

    /// Joints beyond those specified, in all of the item's copies.
    fn extra(run: &FreeRun, plan: &[Vec<Length>]) -> i64 {
        let count = |courses: &[Vec<Length>]| {
            i64::try_from(FreeRun::joints(courses).saturating_mul(run.quantity)).unwrap_or(i64::MAX)
        };
        count(plan) - count(&run.specified)
    }

    /// What joints cost, in the objective's unit: nothing where rolls are counted.
    fn cost(&self, joints: i64) -> f64 {
        match self.rules.order.objective {
            Objective::Price => real(self.rules.choose.joints_cost(joints)),
            Objective::Rolls | Objective::Length => 0.0,
        }
    }
}

impl Group<'_> {
    fn first(&self) -> Option<&FreeRun> {
        self.members.first().copied()
    }

    fn as_specified(&self, bill: &Bill<Vec<Vec<Length>>>) -> bool {
        self.first().is_some_and(|run| run.specified == bill.plan)
    }
}

impl Offers for Freedom<'_> {
    type Plan = Vec<Vec<Length>>;

    fn counts(&self) -> Vec<u64> {
        self.groups.iter().map(|group| group.members.len() as u64).collect()
    }

    fn first(&self, group: usize) -> Vec<Bill<Self::Plan>> {
        let group = &self.groups[group];
        let specified = group.first().map(|run| run.specified.clone()).unwrap_or_default();
        self.bill(group, specified).into_iter().collect()
    }

    fn more(&self, group: usize, prices: &Prices<'_>, target: f64) -> Vec<Bill<Self::Plan>> {
        let group = &self.groups[group];
        let Some(run) = group.first() else { return Vec::new() };
        let curve = |at: usize| -> Option<Curve> {
            let layer = &run.layers[at];
            let step = layer.step.nm().max(1);
            let many = usize::try_from((layer.longest + layer.lap).nm() / step).ok()? + 2;
            Some(prices.widths(
                &Self::size(group, at, Length::ZERO)?,
                Length::ZERO,
                layer.step,
                many,
            ))
        };
        let curves: Option<Vec<Curve>> = (0..run.layers.len()).map(curve).collect();
        let Some(curves) = curves else { return Vec::new() };
        let joint = prices.extra() + self.cost(1) * prices.unit();
        let copies = real(i64::try_from(run.quantity).unwrap_or(i64::MAX));
        cheapest(run, &curves, joint, MANY)
            .into_iter()
            .filter(|found| found.cost * copies < target && run.keeps(&found.courses).is_ok())
            .filter_map(|found| self.bill(group, found.courses))
            .collect()
    }
}

impl Figures {
    /// Of a plan; `joints` are those along the runs that are free to choose.
    #[must_use]
    pub fn of(plan: &Plan, joints: u64) -> Self {
        let nests = plan.nests.iter().enumerate().map(|(at, nest)| {
            let rolls = || plan.rolls.iter().filter(|roll| roll.nest == at);
            let far = |roll: &super::Roll| {
                roll.pulls.iter().map(|p| p.y + p.length).max().unwrap_or_default()
            };
            NestFigures {
                thickness: nest.thickness,
                value: nest.value,
                bound: nest.bound,
                rolls: rolls().map(|roll| roll.copies).sum(),
                price: rolls().fold(Money::ZERO, |sum, roll| {
                    (0..roll.copies).fold(sum, |sum, _| sum + roll.price)
                }),
                drawn: rolls()
                    .map(|r| Area::of_rectangle(r.width, far(r)) * i128::from(r.copies))
                    .sum(),
                pieces: nest.areas.pieces,
            }
        });
        Self { nests: nests.collect(), joints }
    }

    /// The sum of the values.
    #[must_use]
    pub fn value(&self) -> i128 {
        self.nests.iter().map(|nest| i128::from(nest.value.millionths())).sum()
    }

    /// All blanket drawn off.
    #[must_use]
    pub fn drawn(&self) -> Area {
        self.nests.iter().map(|nest| nest.drawn).sum()
    }

    /// Whether these are better than others: a lower value, or with the same value at least a
    /// thousandth less blanket.
    #[must_use]
    pub fn better_than(&self, other: &Self) -> bool {
        let (mine, theirs) = (self.drawn().nm2(), other.drawn().nm2());
        (self.value() < other.value())
            || (self.value() == other.value() && mine * 1000 <= theirs * 999)
    }
}

/// As floating point, for the programme.
#[expect(clippy::cast_precision_loss, reason = "the programme works in floating point")]
fn real(value: i64) -> f64 {
    value as f64
}

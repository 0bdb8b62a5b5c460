//! The joints of straight runs as choices for the nest.
//!
//! Steps: what all else needs becomes the fixed pieces of each thickness; every free run is a thing of
//! its own, whose courses the nest slides ([`slide`]) as far as [`FreeRun::keeps`] allows. The nest
//! itself knows lengths and courses, and nothing of runs.

use super::job;
use super::wanted::Wanted;
use super::ways::{counted, counted_alike};
use super::{ChosenRun, Figures, NestFigures, Plan};
use crate::cutting::Objective;
use crate::demand::{Choices, Demand, FreeLayer, FreeRun};
use crate::nest::choose::slide::{self, Row, Sliding, Things};
use crate::nest::choose::{self, Size};
use crate::nest::straight::LaidPull;
use crate::nest::{Basis, Instance, Options, Watch};
use crate::rules::Rules;
use crate::stock::Stock;
use crate::units::{Area, Decimal, Length, Money};
use std::collections::BTreeMap;

/// Pulls that are known to hold all pieces of a thickness.
pub type Known = BTreeMap<Option<Length>, Vec<LaidPull>>;

/// The free runs of a job, and what is cut whatever is chosen.
pub struct Freedom<'a> {
    runs: Vec<Run<'a>>,
    materials: Vec<Instance>,
    /// The thickness of each material.
    thicknesses: Vec<Length>,
    rules: &'a Rules,
}

/// A free run and the material of each of its layers.
struct Run<'a> {
    free: &'a FreeRun,
    materials: Vec<usize>,
}

/// All that was chosen.
#[derive(Clone, Debug, Default)]
pub struct Picked {
    /// The courses of all free runs.
    courses: Vec<Vec<Vec<Length>>>,
    /// The courses of the runs that are not as specified.
    pub choices: Choices,
    /// Pulls that hold all pieces as specified, by thickness.
    pub specified: Known,
    /// Pulls that hold all pieces as chosen, by thickness.
    pub chosen: Known,
    /// What both cost, in the objective's unit; rolls in fractions.
    pub cost: [f64; 2],
}

impl<'a> Freedom<'a> {
    /// Of a job whose order sheets are `sheets`; `None` where nothing is free.
    #[must_use]
    pub fn new(
        demand: &'a Demand,
        sheets: &[Wanted],
        (stock, rules): (&Stock, &'a Rules),
    ) -> Option<Self> {
        let free_items = demand.free_items();
        let free = |item: &str| free_items.contains(item);
        let mut fixed = Demand { pieces: demand.pieces.clone(), ..Demand::default() };
        fixed.pieces.retain(|piece| !free(&piece.item));
        let fixed = job::wanted("", &fixed, stock, rules);
        let thicknesses: Vec<Length> = sheets.iter().filter_map(|s| s.thickness).collect();
        let mut materials: Vec<Instance> = sheets
            .iter()
            .map(|sheet| {
                let own = fixed.iter().find(|f| f.thickness == sheet.thickness);
                let pieces = own.map(|f| f.instance().pieces).unwrap_or_default();
                Instance { pieces, ..sheet.instance() }
            })
            .collect();
        counted_alike(&mut materials);
        let material = |layer: &FreeLayer| thicknesses.iter().position(|t| *t == layer.thickness);
        let runs: Vec<Run<'_>> = demand
            .free
            .iter()
            .filter(|run| free(&run.item))
            .filter_map(|free| {
                let materials: Option<Vec<usize>> = free.layers.iter().map(material).collect();
                Some(Run { free, materials: materials? })
            })
            .collect();
        let any = !runs.is_empty();
        any.then_some(Self { runs, materials, thicknesses, rules })
    }

    /// Joints along the free runs as specified.
    #[must_use]
    pub fn joints(&self) -> u64 {
        let of = |run: &Run<'_>| run.free.joints_of_all(&run.free.specified);
        self.runs.iter().map(of).fold(0, u64::saturating_add)
    }

    /// How the nest sees it.
    fn task(&self) -> Sliding<'_, Self> {
        Sliding {
            materials: &self.materials,
            things: self,
            limit: self.rules.choose.joints_beyond(self.joints()),
            step: self.rules.resolution.cut,
        }
    }

    /// How long the pulls of a job must be in all, whatever joints are chosen; `None` where that is not
    /// known, as it is not where pieces turn.
    #[must_use]
    pub fn least_length(&self, options: &Options, watch: &dyn Watch) -> Option<Length> {
        slide::least_length(&self.task(), options, watch).map(Length::from_nm)
    }

    /// Lets the nest choose, beginning with pulls that hold all as specified where they are known; `None`
    /// where it found nothing, or sizes are too fine for it.
    #[must_use]
    pub fn choose(&self, known: &Known, options: &Options, watch: &dyn Watch) -> Option<Picked> {
        let pulls = |t: &Length| known.get(&Some(*t)).cloned().unwrap_or_default();
        let pulls: Vec<Vec<LaidPull>> = self.thicknesses.iter().map(pulls).collect();
        let slid = slide::slide(&self.task(), &pulls, options, watch)?;
        Some(Picked {
            specified: self.by_thickness(slid.first),
            cost: slid.cost,
            ..self.picked(slid.courses, slid.pulls)
        })
    }

    /// The best of all ways to lay the joints, and what no way goes below, in the unit of plans' values, with what
    /// that rests on; `None` where they are more than a few.
    #[must_use]
    pub fn few(&self, options: &Options, watch: &dyn Watch) -> Option<(Picked, (Decimal, Basis))> {
        let few = slide::few(&self.task(), options, watch)?;
        let picked = self.picked(few.courses, few.pulls);
        Some((picked, (counted(&self.materials).decimal(few.bound), few.basis)))
    }

    /// What was chosen, and pulls that hold it.
    fn picked(&self, courses: Vec<Vec<Vec<Length>>>, pulls: Vec<Vec<LaidPull>>) -> Picked {
        let chosen = self.runs.iter().zip(&courses);
        let chosen = chosen.filter(|(run, courses)| **courses != run.free.specified);
        let key = |run: &Run<'_>| (run.free.item.clone(), run.free.run);
        Picked {
            choices: chosen.map(|(run, courses)| (key(run), courses.clone())).collect(),
            courses,
            chosen: self.by_thickness(pulls),
            ..Picked::default()
        }
    }

    fn by_thickness(&self, pulls: Vec<Vec<LaidPull>>) -> Known {
        self.thicknesses.iter().map(|t| Some(*t)).zip(pulls).collect()
    }

    /// The runs that are not as specified with what each saves.
    #[must_use]
    pub fn runs(&self, picked: &Picked, options: &Options, watch: &dyn Watch) -> Vec<ChosenRun> {
        let saves = self.savings(&picked.courses, options, watch);
        let by_price = counted(&self.materials) == Objective::Price;
        let all = self.runs.iter().zip(&picked.courses).zip(saves);
        let chosen = all.filter(|((run, courses), _)| **courses != run.free.specified);
        let one = |((run, courses), saves): ((&Run<'_>, &Vec<Vec<Length>>), f64)| {
            let joints = |courses: &[Vec<Length>]| {
                i64::try_from(run.free.joints_of_all(courses)).unwrap_or(i64::MAX)
            };
            ChosenRun {
                item: run.free.item.clone(),
                run: run.free.run,
                joints: joints(courses) - joints(&run.free.specified),
                saves: in_units_of_value(saves, by_price),
            }
        };
        chosen.map(one).collect()
    }

    /// For each run what its pieces as specified would cost more than those chosen, at the prices of
    /// all that is chosen.
    fn savings(
        &self,
        courses: &[Vec<Vec<Length>>],
        options: &Options,
        watch: &dyn Watch,
    ) -> Vec<f64> {
        let sizes = |run: usize, courses: &[Vec<Length>]| -> Vec<(Size, u64)> {
            let rows = self.rows(run);
            rows.iter().zip(courses).flat_map(|(row, courses)| row.sizes(courses)).collect()
        };
        let specified = |run: usize| sizes(run, &self.runs[run].free.specified);
        let mut materials = self.materials.clone();
        let mut asked: BTreeMap<Size, f64> = BTreeMap::new();
        for (run, courses) in courses.iter().enumerate() {
            for (size, quantity) in sizes(run, courses) {
                asked.insert(size, 0.0);
                materials[size.material].pieces.push(size.pieces(quantity));
            }
            asked.extend(specified(run).into_iter().map(|(size, _)| (size, 0.0)));
        }
        let step = self.rules.resolution.cut;
        let all: Vec<Size> = asked.keys().copied().collect();
        let options = Options { work: options.work / 4, ..*options };
        let prices = choose::prices_of((&materials, step), &all, &options, watch);
        for (price, found) in asked.values_mut().zip(prices.unwrap_or_default()) {
            *price = found;
        }
        let cost = |sizes: Vec<(Size, u64)>| -> f64 {
            let one = |(size, n): &(Size, u64)| {
                asked.get(size).copied().unwrap_or(0.0) * real(i64::try_from(*n).unwrap_or(0))
            };
            sizes.iter().map(one).sum()
        };
        let saves = |(run, courses): (usize, &Vec<Vec<Length>>)| {
            saved(cost(specified(run)), cost(sizes(run, courses)))
        };
        courses.iter().enumerate().map(saves).collect()
    }

    /// A bound for each thickness that holds whatever is chosen, by area, in the unit of plans' values.
    #[must_use]
    pub fn bounds(&self) -> Vec<(Length, Decimal)> {
        let of = |(instance, &thickness): (&Instance, &Length)| {
            let areas = self.runs.iter().map(|run| run.free.area(thickness));
            let bound = choose::by_area(instance, areas.sum()).unwrap_or(0);
            (thickness, counted(&self.materials).decimal(bound))
        };
        self.materials.iter().zip(&self.thicknesses).map(of).collect()
    }
}

/// What is saved, never less than nothing.
pub(super) fn saved(specified: f64, chosen: f64) -> f64 {
    (specified - chosen).max(0.0)
}

/// A saving of the engine's in the unit of plans' values.
#[expect(clippy::cast_possible_truncation, reason = "a rounded estimate, far below 2^63")]
pub(super) fn in_units_of_value(saving: f64, by_price: bool) -> Decimal {
    let millionths = if by_price { saving } else { saving * 1e6 };
    Decimal::from_millionths(millionths.round() as i64)
}

impl Things for Freedom<'_> {
    fn count(&self) -> usize {
        self.runs.len()
    }

    fn rows(&self, thing: usize) -> Vec<Row> {
        let run = &self.runs[thing];
        let row = |(layer, &material): (&FreeLayer, &usize)| Row {
            material,
            length: layer.around,
            sideways: layer.sideways,
            parts: u64::from(layer.parts).saturating_mul(run.free.quantity),
            least: layer.smallest,
            most: layer.longest,
            courses: layer.most,
            lap: layer.lap,
            step: layer.step,
        };
        run.free.layers.iter().zip(&run.materials).map(row).collect()
    }

    fn first(&self, thing: usize) -> Vec<Vec<Length>> {
        self.runs[thing].free.specified.clone()
    }

    fn joints(&self, thing: usize) -> (i64, f64) {
        let joints = i64::try_from(self.runs[thing].free.quantity).unwrap_or(i64::MAX);
        match self.rules.order.objective {
            Objective::Price => (joints, real(self.rules.choose.joints_cost(1))),
            Objective::Rolls | Objective::Length => (joints, 0.0),
        }
    }

    fn keeps(&self, thing: usize, courses: &[Vec<Length>]) -> bool {
        self.runs[thing].free.keeps(courses).is_ok()
    }
}

impl Figures {
    /// Of a plan; `joints` are those along the runs that are free to choose, and `paid` says how many rolls of a nest
    /// are bought, and for what.
    #[must_use]
    pub fn of(plan: &Plan, joints: u64, paid: impl Fn(usize) -> (u64, Money)) -> Self {
        let nests = plan.nests.iter().enumerate().map(|(at, nest)| {
            let rolls = || plan.rolls.iter().filter(|roll| roll.nest == at);
            let far = |roll: &super::Roll| {
                roll.pulls.iter().map(|p| p.y + p.length).max().unwrap_or_default()
            };
            let (bought, price) = paid(at);
            NestFigures {
                thickness: nest.thickness,
                value: nest.value,
                bound: nest.bound,
                rolls: rolls().filter(|roll| !roll.shelf).map(|roll| roll.copies).sum(),
                offcuts: rolls().filter(|roll| roll.shelf).map(|roll| roll.copies).sum(),
                bought,
                price,
                drawn: rolls()
                    .map(|r| Area::of_rectangle(r.width, far(r)) * i128::from(r.copies))
                    .sum(),
                pieces: nest.areas.pieces,
            }
        });
        let pieces =
            plan.pieces.iter().fold(0, |sum: u64, piece| sum.saturating_add(piece.quantity));
        Self { nests: nests.collect(), joints, pieces, at_table: None }
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

    /// What is to be least, as whoever buys sees it: rolls that are bought, what is paid for them with what all pieces
    /// cost to cut and fit, or the sum of the values. A roll that is not cut, but bought all the same for a minimum order
    /// or a price break, is none that is saved.
    fn cost(&self, rules: &Rules) -> i128 {
        match rules.order.objective {
            Objective::Rolls => i128::from(self.bought()) * 1_000_000,
            Objective::Price => {
                let pieces = i64::try_from(self.pieces).unwrap_or(i64::MAX);
                i128::from(self.price().micros()) + i128::from(rules.choose.joints_cost(pieces))
            }
            Objective::Length => self.value(),
        }
    }

    /// All rolls that are bought.
    #[must_use]
    pub fn bought(&self) -> u64 {
        self.nests.iter().map(|nest| nest.bought).sum()
    }

    /// The price of all rolls.
    #[must_use]
    pub fn price(&self) -> Money {
        self.nests.iter().fold(Money::ZERO, |sum, nest| sum + nest.price)
    }

    /// Whether what these take more of people's time than others is paid for by what rolls cost less, at the
    /// price of an hour in `choose.hour_price`: pieces as in [`Rules`], and the cutting table. Always so where
    /// they cost less by what is to be least, and where an hour has no price.
    #[must_use]
    pub fn pays(&self, other: &Self, rules: &Rules) -> bool {
        let choose = &rules.choose;
        if choose.hour_price == 0 || self.cost(rules) < other.cost(rules) {
            return true;
        }
        let pieces = i128::from(self.pieces) - i128::from(other.pieces);
        let each = i128::from(choose.joint_minutes) * 60;
        let seconds =
            |figures: &Self| figures.at_table.map_or(0, |table| i128::from(table.seconds));
        let more = pieces * each + seconds(self) - seconds(other);
        let saved = i128::from(other.price().micros()) - i128::from(self.price().micros());
        // Millionths of money by seconds against seconds by millionths of money.
        more * i128::from(choose.hour_price) * 1_000_000 <= saved * 3600
    }

    /// Whether more rolls of one thickness are bought than of others, as fewer are of another.
    fn trades(&self, other: &Self) -> bool {
        self.nests.iter().any(|nest| {
            let same = other.nests.iter().find(|same| same.thickness == nest.thickness);
            nest.bought > same.map_or(0, |same| same.bought)
        })
    }

    /// Whether these are better than others: they cost less, or with the same cost and rolls no dearer
    /// take at least a thousandth less blanket. Where rolls count, those of one thickness are as good as those of another
    /// only if no more is paid for them.
    #[must_use]
    pub fn better_than(&self, other: &Self, rules: &Rules) -> bool {
        let (mine, theirs) = (self.drawn().nm2(), other.drawn().nm2());
        let dearer = self.price() > other.price();
        let (cost, costs) = (self.cost(rules), other.cost(rules));
        if cost == costs {
            return !dearer && mine * 1000 <= theirs * 999;
        }
        let by_rolls = rules.order.objective == Objective::Rolls;
        cost < costs && !(by_rolls && dearer && self.trades(other))
    }
}

/// As floating point, for the programme.
#[expect(clippy::cast_precision_loss, reason = "the programme works in floating point")]
pub(super) fn real(value: i64) -> f64 {
    value as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand, a reviewer's: three rolls of 5 mm at 66 for one of 10 mm at 750 are two fewer, and 552 dearer. Fewer of one
    /// thickness are better at any price where rolls count, and of two thicknesses where they cost no more.
    #[test]
    fn rolls_are_not_traded_for_dearer_ones_of_another_thickness() {
        let rules = Rules::default();
        let figures = |rolls: [u64; 2], price: i64| {
            let nests = [5, 10].into_iter().zip(rolls).map(|(mm, bought)| NestFigures {
                bought,
                rolls: bought,
                price: if mm == 5 { Money::from_units(price) } else { Money::ZERO },
                ..NestFigures::nothing(Some(Length::from_mm(mm)))
            });
            Figures { nests: nests.collect(), joints: 0, pieces: 0, at_table: None }
        };
        let specified = figures([3, 0], 198);
        assert!(!figures([0, 1], 750).better_than(&specified, &rules));
        assert!(figures([0, 1], 198).better_than(&specified, &rules));
        assert!(figures([2, 0], 250).better_than(&specified, &rules));
    }
}

//! How items are made, as choices for the nest.
//!
//! Steps: what all else needs becomes the fixed pieces of each thickness; things that need the same
//! pieces in the same ways are a group; the programme over bills of pieces ([`choose::solve_listed`])
//! says how many of each group are made in which way, and the first ones of the takeoff keep the
//! specified one. The nest itself knows pieces and ways, and nothing of items.

use super::choose::{Known, in_units_of_value, real, saved};
use super::job;
use super::wanted::Wanted;
use super::{ChosenItem, ChosenThing};
use crate::cutting::Objective;
use crate::demand::{Demand, FreeRun, Makings, Thing, ThingWay};
use crate::nest::choose::{self, Chosen, Group, Held, Listing, Size, Way};
use crate::nest::{Basis, Instance, Nesting, Options, Roll, Watch, straight};
use crate::rules::Rules;
use crate::stock::Stock;
use crate::units::{Area, Decimal, Length, Money};
use std::collections::{BTreeMap, BTreeSet};

/// The things of a job that can be made in several ways, and what is cut whatever is chosen.
pub struct Ways<'a> {
    things: &'a [Thing],
    /// What else is cut.
    fixed: Demand,
    /// The pieces of each thickness, those that only ways need with quantity 0.
    materials: Vec<Instance>,
    thicknesses: Vec<Length>,
    groups: Vec<Group>,
    /// The things of each group.
    members: Vec<Vec<usize>>,
    rules: &'a Rules,
}

/// All that was chosen.
#[derive(Clone, Debug, Default)]
pub struct Made {
    /// The items that are not made as specified.
    pub makings: Makings,
    /// The things that they belong to, with what each saves.
    pub things: Vec<ChosenThing>,
    /// Pulls that hold all pieces of the whole choice, by thickness.
    pub known: Known,
}

/// What came of choosing.
#[derive(Clone, Debug, Default)]
pub struct Found {
    /// What is left of the choice without things that save less than their further pieces must, and the whole of
    /// it. Neither where no answer was found, or all stays as specified.
    pub made: Vec<Made>,
    /// What all thicknesses together cannot go below, whatever is chosen of what [`Ways`] may choose;
    /// in the unit of plans' values, and what that rests on. `None` where no answer was found.
    pub bound: Option<(Decimal, Basis)>,
}

impl<'a> Ways<'a> {
    /// Of a job whose pieces as specified are `demand`; `None` where nothing is free.
    #[must_use]
    pub fn new(
        things: &'a [Thing],
        demand: &Demand,
        (stock, rules): (&Stock, &'a Rules),
    ) -> Option<Self> {
        if things.is_empty() {
            return None;
        }
        let named: BTreeSet<&str> =
            things.iter().flat_map(|thing| &thing.items).map(String::as_str).collect();
        let mut fixed = demand.clone();
        fixed.pieces.retain(|piece| !named.contains(piece.item.as_str()));
        fixed.free.retain(|run| !named.contains(run.item.as_str()));
        let sheets = job::wanted("", &labelled(&fixed, things), stock, rules);
        let mut held: Vec<Vec<Vec<Held>>> =
            things.iter().map(|thing| vec![Vec::new(); thing.ways.len()]).collect();
        let mut materials: Vec<Instance> = sheets.iter().map(Wanted::instance).collect();
        for (material, sheet) in sheets.iter().enumerate() {
            for (piece, entry) in sheet.pieces.iter().enumerate() {
                let mut own = 0_u64;
                for used in &entry.uses {
                    let quantity = used.quantity;
                    match way_of(&used.item) {
                        Some((thing, way)) => {
                            held[thing][way].push(Held { material, piece, quantity });
                        }
                        None => own = own.saturating_add(quantity),
                    }
                }
                materials[material].pieces[piece].quantity = own;
            }
        }
        counted_alike(&mut materials);
        let (groups, members) = groups(things, held, rules);
        let thicknesses = sheets.iter().filter_map(|sheet| sheet.thickness).collect();
        Some(Self { things, fixed, materials, thicknesses, groups, members, rules })
    }

    /// Lets the nest choose.
    #[must_use]
    pub fn choose(&self, options: &Options, watch: &dyn Watch) -> Found {
        let all: u64 = self.things.iter().map(|thing| thing.ways[0].pieces()).sum();
        let fixed: u64 = self.fixed.pieces.iter().map(|piece| piece.quantity).sum();
        let limit = self.rules.choose.pieces_beyond(all + fixed);
        let listing = Listing { materials: &self.materials, groups: &self.groups, limit };
        let Ok(chosen) = choose::solve_listed(&listing, options, watch) else {
            return Found::default();
        };
        let taken = self.taken(&chosen);
        let saves = self.savings(&taken, &chosen, options, watch);
        let pays = |(thing, &way): (usize, &usize)| {
            let further = real(self.further(thing, way));
            if saves[thing] < further * listing.thrift() { 0 } else { way }
        };
        let paying: Vec<usize> = taken.iter().enumerate().map(pays).collect();
        let mut ways = vec![paying, taken];
        ways.dedup();
        let made = ways.iter().map(|taken| self.made(taken, &saves, &chosen));
        Found {
            made: made.filter(|made| !made.makings.is_empty()).collect(),
            bound: Some((self.decimal(chosen.nests_bound), chosen.basis)),
        }
    }

    /// Pieces of a thing beyond those specified.
    fn further(&self, thing: usize, way: usize) -> i64 {
        let ways = &self.things[thing].ways;
        count(&ways[way]) - count(&ways[0])
    }

    /// What was chosen, as the plan records it.
    fn made(&self, taken: &[usize], saves: &[f64], chosen: &Chosen) -> Made {
        let mut made = Made::default();
        let by_price = self.by_price();
        for (thing, &way) in taken.iter().enumerate().filter(|(_, way)| **way > 0) {
            let makings = &self.things[thing].ways[way].makings;
            made.makings.extend(makings.clone());
            let items = makings.iter().map(|(item, making)| {
                let (item, making) = (item.clone(), making.clone());
                ChosenItem { item, making }
            });
            made.things.push(ChosenThing {
                items: items.collect(),
                pieces: self.further(thing, way),
                saves: in_units_of_value(saves[thing], by_price),
            });
        }
        let nests = chosen.instances.iter().zip(&chosen.nestings);
        for (thickness, (instance, nesting)) in self.thicknesses.iter().zip(nests) {
            made.known.insert(Some(*thickness), straight::laid(instance, &nesting.layouts));
        }
        made
    }

    /// The way in which each thing is made.
    fn taken(&self, chosen: &Chosen) -> Vec<usize> {
        let mut taken = vec![0; self.things.len()];
        for (members, counts) in self.members.iter().zip(&chosen.taken) {
            let mut ways = counts.iter().enumerate().flat_map(|(way, &n)| {
                std::iter::repeat_n(way, usize::try_from(n).unwrap_or(usize::MAX))
            });
            for &thing in members {
                taken[thing] = ways.next().unwrap_or(0);
            }
        }
        taken
    }

    /// What a square metre of each material costs where it is cut as chosen, waste and all; of one that is not cut
    /// any more, on the roll that is cheapest for its area.
    fn rates(&self, chosen: &Chosen) -> Vec<f64> {
        let nests = self.materials.iter().zip(chosen.instances.iter().zip(&chosen.nestings));
        let one = |(material, (instance, nesting)): (&Instance, (&Instance, &Nesting))| {
            let pieces = instance.pieces.iter();
            let area: f64 = pieces.map(|p| p.area().m2_f64() * real(count_of(p.quantity))).sum();
            if area > 0.0 {
                return real(nesting.value) / area;
            }
            let cost = |roll: &Roll| match material.objective {
                Objective::Price => real(roll.price.micros()),
                Objective::Rolls | Objective::Length => 1.0,
            };
            let rates = material.rolls.iter().filter_map(|roll| {
                let area = Area::of_rectangle(roll.width, roll.length?).m2_f64();
                (area > 0.0).then(|| cost(roll) / area)
            });
            rates.min_by(f64::total_cmp).unwrap_or(0.0)
        };
        nests.map(one).collect()
    }

    /// For each thing what its pieces as specified would cost more than those chosen, at the prices of
    /// all that is chosen; curved pieces, which the programme counts as boxes, and all where there are no prices, by
    /// their area and what that costs.
    fn savings(
        &self,
        taken: &[usize],
        chosen: &Chosen,
        options: &Options,
        watch: &dyn Watch,
    ) -> Vec<f64> {
        let mut all: Vec<Size> = Vec::new();
        let sizes: Vec<Vec<usize>> = self
            .materials
            .iter()
            .enumerate()
            .map(|(material, instance)| {
                let number = |piece| {
                    all.push(Size::of(piece, material));
                    all.len() - 1
                };
                instance.pieces.iter().map(number).collect()
            })
            .collect();
        let options = Options { work: options.work / 4, ..*options };
        let step = self.rules.resolution.cut;
        let prices = choose::prices_of((&chosen.instances, step), &all, &options, watch);
        let rates = self.rates(chosen);
        let price = |held: &Held| {
            let piece = &self.materials[held.material].pieces[held.piece];
            let programme = prices.as_ref().filter(|_| piece.outline.is_none());
            programme.map_or_else(
                || rates[held.material] * piece.area().m2_f64(),
                |prices| prices[sizes[held.material][held.piece]],
            )
        };
        let mut group_of = vec![0; self.things.len()];
        for (group, members) in self.members.iter().enumerate() {
            for &thing in members {
                group_of[thing] = group;
            }
        }
        let cost = |thing: usize, way: usize| -> f64 {
            let held = &self.groups[group_of[thing]].ways[way].pieces;
            let one = |held: &Held| price(held) * real(i64::try_from(held.quantity).unwrap_or(0));
            held.iter().map(one).sum()
        };
        let saves = |(thing, &way): (usize, &usize)| saved(cost(thing, 0), cost(thing, way));
        taken.iter().enumerate().map(saves).collect()
    }

    /// Whether values are millionths.
    fn by_price(&self) -> bool {
        counted(&self.materials) == Objective::Price
    }

    /// A value of the engine's in the unit of plans' values.
    fn decimal(&self, value: i64) -> Decimal {
        counted(&self.materials).decimal(value)
    }

    /// Bounds by area for each thickness and for all together, in the unit of plans' values, that hold
    /// whatever is made, and wherever the joints of free runs lie.
    #[must_use]
    pub fn bounds_by_area(&self) -> (Vec<(Length, Decimal)>, Decimal) {
        let areas = |demand: &Demand| -> Vec<u64> {
            self.thicknesses.iter().map(|&t| least_area(demand, t)).collect()
        };
        let mut materials = self.materials.clone();
        for (instance, area) in materials.iter_mut().zip(areas(&self.fixed)) {
            instance.pieces = vec![choose::square(area)];
        }
        let way = |way: &ThingWay| {
            let held = areas(&way.demand).into_iter().enumerate();
            let held = held.map(|(material, quantity)| Held { material, piece: 0, quantity });
            Way { pieces: held.collect(), ..Way::default() }
        };
        let groups: Vec<Group> = self
            .things
            .iter()
            .map(|thing| Group { count: 1, ways: thing.ways.iter().map(way).collect() })
            .collect();
        let listing = Listing { materials: &materials, groups: &groups, limit: i64::MAX };
        let (each, all) = choose::bounds_by_area(&listing);
        let each = each.into_iter().map(|bound| self.decimal(bound));
        (self.thicknesses.iter().copied().zip(each).collect(), self.decimal(all))
    }
}

/// All that might be cut: fixed pieces under no item's name, others under those of thing and way.
fn labelled(fixed: &Demand, things: &[Thing]) -> Demand {
    let mut all = Demand::default();
    let mut add = |demand: &Demand, label: &str| {
        all.pieces.extend(demand.pieces.iter().cloned().map(|mut piece| {
            label.clone_into(&mut piece.item);
            piece
        }));
    };
    add(fixed, "");
    for (t, thing) in things.iter().enumerate() {
        for (w, way) in thing.ways.iter().enumerate() {
            add(&way.demand, &format!("{t} {w}"));
        }
    }
    all
}

/// Thing and way from a label.
fn way_of(label: &str) -> Option<(usize, usize)> {
    let (thing, way) = label.split_once(' ')?;
    Some((thing.parse().ok()?, way.parse().ok()?))
}

/// Has all materials counted in one unit: where one counts rolls by price, since offcuts count
/// nothing, all do.
pub(super) fn counted_alike(materials: &mut [Instance]) {
    if materials.iter().all(|instance| instance.objective == Objective::Rolls) {
        return;
    }
    for instance in materials.iter_mut().filter(|i| i.objective == Objective::Rolls) {
        instance.objective = Objective::Price;
        for roll in &mut instance.rolls {
            roll.price = Money::from_units(1);
        }
    }
}

/// What materials count that are counted alike.
pub(super) fn counted(materials: &[Instance]) -> Objective {
    materials.first().map_or(Objective::Rolls, |instance| instance.objective)
}

/// Things by what they need in which way.
fn groups(
    things: &[Thing],
    held: Vec<Vec<Vec<Held>>>,
    rules: &Rules,
) -> (Vec<Group>, Vec<Vec<usize>>) {
    let priced = rules.order.objective == Objective::Price;
    let mut alike: BTreeMap<Vec<Vec<Held>>, Vec<usize>> = BTreeMap::new();
    for (thing, mut ways) in held.into_iter().enumerate() {
        for way in &mut ways {
            way.sort_unstable();
        }
        alike.entry(ways).or_default().push(thing);
    }
    let group = |(ways, members): (Vec<Vec<Held>>, &Vec<usize>)| {
        let thing = &things[members[0]];
        let specified = count(&thing.ways[0]);
        let way = |(pieces, way): (Vec<Held>, &ThingWay)| Way {
            pieces,
            cost: if priced { rules.choose.joints_cost(count(way)) } else { 0 },
            extra: count(way) - specified,
        };
        let ways = ways.into_iter().zip(&thing.ways).map(way).collect();
        Group { count: members.len() as u64, ways }
    };
    let mut all = (Vec::new(), Vec::new());
    for (ways, members) in alike {
        all.0.push(group((ways, &members)));
        all.1.push(members);
    }
    all
}

fn count_of(quantity: u64) -> i64 {
    i64::try_from(quantity).unwrap_or(i64::MAX)
}

fn count(way: &ThingWay) -> i64 {
    count_of(way.pieces())
}

/// The least area that a demand takes of a thickness, wherever the joints of free runs lie, in the
/// squares of [`choose::square`], rounded down.
fn least_area(demand: &Demand, thickness: Length) -> u64 {
    let free = demand.free_items();
    let pieces = demand
        .pieces
        .iter()
        .filter(|piece| piece.thickness == thickness && !free.contains(piece.item.as_str()))
        .map(|piece| piece.area.nm2() * i128::from(piece.quantity));
    let runs = demand
        .free
        .iter()
        .filter(|run| free.contains(run.item.as_str()))
        .map(|run: &FreeRun| run.area(thickness));
    let all: i128 = pieces.chain(runs).sum();
    u64::try_from(all / choose::SQUARE).unwrap_or(u64::MAX)
}

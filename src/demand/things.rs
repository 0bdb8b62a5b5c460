//! Items that can be made in several ways, and what each way needs.
//!
//! Items that meet at a run's ends depend on each other: how far an elbow reaches into a run follows
//! from its layers and gores. So what is chosen together is a line of items that meet ([`lines`]).
//! Where only its elbows can be made otherwise and its runs do not notice, each elbow is chosen by
//! itself. A way is offered only where nothing has to be said of it that need not be said of the
//! specified one, but for seams on small pipe that lie opposite each other, layers that are wound, and rings in parts.

use super::domain::Demand;
use super::expand::{expand, expand_chosen};
use super::freedom::Picks;
use super::making::{Making, Makings, Parts, builds};
use super::shop::Shop;
use super::{dome, pipe};
use crate::cutting::Turns;
use crate::finding::Findings;
use crate::finding::codes::demand as codes;
use crate::geometry::Outline;
use crate::rules::{Rules, Seam};
use crate::stock::Stock;
use crate::takeoff::{Item, Kind, Takeoff};
use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

/// Items that are chosen together.
#[derive(Clone, Debug)]
pub struct Thing {
    /// Their names, in the takeoff's order.
    pub items: Vec<String>,
    /// The ways to make them, as specified first; at least two, no two with the same pieces.
    pub ways: Vec<ThingWay>,
}

/// A way to make a thing.
#[derive(Clone, Debug)]
pub struct ThingWay {
    /// How its items are made; none where all is as specified.
    pub makings: Makings,
    /// What they need then.
    pub demand: Demand,
}

impl ThingWay {
    /// How many pieces it takes.
    #[must_use]
    pub fn pieces(&self) -> u64 {
        self.demand.pieces.iter().fold(0, |sum, piece| sum.saturating_add(piece.quantity))
    }
}

/// Up to so many ways of one line are looked at.
const WAYS: usize = 16;

/// All things of a takeoff that can be made in more ways than one, by the rules of what may be chosen.
#[must_use]
pub fn things(takeoff: &Takeoff, stock: &Stock, rules: &Rules) -> Vec<Thing> {
    if !rules.choose.any_making() {
        return Vec::new();
    }
    let maker = Maker { stock, rules };
    let lines = lines(takeoff).into_iter();
    lines.flat_map(|items| maker.things(&Takeoff { items })).collect()
}

/// Items by lines: those that meet at some run's ends stand together.
fn lines(takeoff: &Takeoff) -> Vec<Vec<Item>> {
    let mut lines: BTreeMap<usize, Vec<Item>> = BTreeMap::new();
    for (item, leader) in takeoff.items.iter().zip(leaders(takeoff)) {
        lines.entry(leader).or_default().push(item.clone());
    }
    lines.into_values().collect()
}

/// For each item the number of the first item of its line: items that meet at some run's ends are of one line.
#[must_use]
pub fn leaders(takeoff: &Takeoff) -> Vec<usize> {
    let names: BTreeMap<&str, usize> =
        takeoff.items.iter().enumerate().map(|(i, item)| (item.id.as_str(), i)).collect();
    let mut leader: Vec<usize> = (0..takeoff.items.len()).collect();
    for (i, item) in takeoff.items.iter().enumerate() {
        let Kind::Pipe(pipe) = &item.kind else { continue };
        for met in pipe.ends.iter().filter_map(|name| names.get(name.as_str())) {
            let (a, b) = (led(&mut leader, i), led(&mut leader, *met));
            leader[a.max(b)] = a.min(b);
        }
    }
    (0..leader.len()).map(|item| led(&mut leader, item)).collect()
}

/// The first item of the line that an item is known to belong to.
fn led(leader: &mut [usize], item: usize) -> usize {
    let mut at = item;
    while leader[at] != at {
        leader[at] = leader[leader[at]];
        at = leader[at];
    }
    at
}

/// What tells pieces apart on a roll.
type Bill = BTreeMap<(Length, Length, Length, Option<Outline>, Turns), u64>;

struct Maker<'a> {
    stock: &'a Stock,
    rules: &'a Rules,
}

impl Maker<'_> {
    /// The things of one line.
    fn things(&self, line: &Takeoff) -> Vec<Thing> {
        let (Some(specified), said) = expand(line, self.stock, self.rules) else {
            return Vec::new();
        };
        let free = Free::of(line, self);
        let first = ThingWay { makings: Makings::new(), demand: specified };
        if free.builds.is_empty() && free.wound.is_empty() && free.parted.is_empty() {
            return self.elbows(line, &free, first, &said);
        }
        let mut thing = Thing { items: names(line), ways: vec![first] };
        for makings in free.all().into_iter().take(WAYS) {
            if let Some(demand) = self.demand(line, &makings, &said) {
                thing.ways.push(ThingWay { makings, demand });
            }
        }
        thing.told_apart().into_iter().collect()
    }

    /// Where only elbows are free: each a thing of its own, if the rest does not notice.
    fn elbows(&self, line: &Takeoff, free: &Free, first: ThingWay, said: &Findings) -> Vec<Thing> {
        let mut together = Thing { items: names(line), ways: vec![first] };
        for makings in free.of_elbows() {
            if let Some(demand) = self.demand(line, &makings, said) {
                together.ways.push(ThingWay { makings, demand });
            }
        }
        let elbows: BTreeSet<&str> =
            free.gored.iter().chain(&free.seamed).map(String::as_str).collect();
        let rest = |way: &ThingWay| -> Bill { bill(&way.demand, &|item| !elbows.contains(item)) };
        let same = together.ways.iter().all(|way| rest(way) == rest(&together.ways[0]));
        if !same {
            return together.told_apart().into_iter().collect();
        }
        let alone = |item: &&str| {
            let ways = together.ways.iter().map(|way| way.only(item));
            Thing { items: vec![(*item).to_owned()], ways: ways.collect() }.told_apart()
        };
        elbows.iter().filter_map(alone).collect()
    }

    /// What a line needs that is made so; `None` where the rules do not let it, or something is to be
    /// said about it that is not said of the specified one.
    fn demand(&self, line: &Takeoff, makings: &Makings, said: &Findings) -> Option<Demand> {
        let picks = Picks { makings: makings.clone(), ..Picks::default() };
        let (demand, found) = expand_chosen(line, self.stock, self.rules, &picks);
        demand.filter(|_| no_worse(&found, said))
    }

    /// Whether an item by itself may be made so.
    fn offers(&self, item: &Item, making: &Making) -> bool {
        if making.allowed(item, self.rules).is_err() {
            return false;
        }
        let alone = Takeoff { items: vec![item.clone()] };
        let (_, said) = expand(&alone, self.stock, self.rules);
        let makings = Makings::from([(item.id.clone(), making.clone())]);
        self.demand(&alone, &makings, &said).is_some()
    }
}

/// Whether findings have no code that others have not, but for what is only said.
fn no_worse(found: &Findings, said: &Findings) -> bool {
    let harmless = [codes::SEAM_STAGGER.id, codes::WOUND.id, codes::RING_SPLIT.id];
    let known: BTreeSet<&str> =
        said.iter().map(|finding| finding.code.id).chain(harmless).collect();
    found.iter().all(|finding| known.contains(finding.code.id))
}

fn names(line: &Takeoff) -> Vec<String> {
    line.items.iter().map(|item| item.id.clone()).collect()
}

/// The pieces of some items, as a roll sees them.
fn bill(demand: &Demand, of: &dyn Fn(&str) -> bool) -> Bill {
    let mut bill = Bill::new();
    for piece in demand.pieces.iter().filter(|piece| of(&piece.item)) {
        let outline = piece.outline.clone();
        let key = (piece.thickness, piece.width, piece.length, outline, piece.turns.clone());
        *bill.entry(key).or_default() += piece.quantity;
    }
    bill
}

impl ThingWay {
    /// One item of it.
    fn only(&self, item: &str) -> Self {
        let mut makings = self.makings.clone();
        makings.retain(|name, _| name == item);
        let mut demand = Demand::default();
        let pieces = self.demand.pieces.iter().filter(|piece| piece.item == item);
        demand.pieces.extend(pieces.cloned());
        Self { makings, demand }
    }
}

impl Thing {
    /// Without ways that need the same pieces as an earlier one; `None` where one way is left.
    fn told_apart(mut self) -> Option<Self> {
        let mut known: BTreeSet<Bill> = BTreeSet::new();
        self.ways.retain(|way| known.insert(bill(&way.demand, &|_| true)));
        (self.ways.len() > 1).then_some(self)
    }
}

/// What is free about a line.
struct Free {
    /// Items whose build may be another, and those builds.
    built: Vec<String>,
    builds: Vec<Vec<Length>>,
    /// Pipe that may be wrapped layer by layer.
    wound: Vec<String>,
    /// Elbows that may be cut gore by gore.
    gored: Vec<String>,
    /// Elbows whose seams may lie otherwise.
    seamed: Vec<String>,
    seams: Vec<Seam>,
    /// Rings and heads in more parts than need be: so many more each time.
    parted: Vec<Makings>,
}

impl Free {
    fn of(line: &Takeoff, maker: &Maker<'_>) -> Self {
        let allowed = |making: &Making| -> Vec<String> {
            let may = |item: &&Item| maker.offers(item, making);
            line.items.iter().filter(may).map(|item| item.id.clone()).collect()
        };
        let rules = maker.rules;
        let own = rules.elbow.seam;
        let all = [Seam::Throat, Seam::Heel, Seam::Alternate];
        let mut seams: Vec<Seam> = all.into_iter().filter(|seam| *seam != own).collect();
        let may_seam: Vec<Vec<String>> = seams
            .iter()
            .map(|&seam| allowed(&Making { seam: Some(seam), ..Making::default() }))
            .collect();
        let seamed = may_seam.into_iter().max_by_key(Vec::len).unwrap_or_default();
        if !rules.choose.seams {
            seams.clear();
        }
        let (built, builds) = other_builds(line, maker);
        Self {
            built,
            builds,
            wound: allowed(&Making { unwound: true, ..Making::default() }),
            gored: allowed(&Making { gored: true, ..Making::default() }),
            seamed,
            seams,
            parted: more_parts(line, maker),
        }
    }

    /// All makings of the line but the specified one: those of one kind first, then combined.
    fn all(&self) -> Vec<Makings> {
        let mut all = vec![Makings::new()];
        let combined = |all: &mut Vec<Makings>, items: &[String], change: &dyn Fn(&mut Making)| {
            let before = all.clone();
            for mut makings in before {
                for item in items {
                    change(makings.entry(item.clone()).or_default());
                }
                all.push(makings);
            }
        };
        let builds = self.builds.iter().map(|build| {
            let making = Making { build: Some(build.clone()), ..Making::default() };
            self.built.iter().map(|item| (item.clone(), making.clone())).collect::<Makings>()
        });
        all.extend(builds);
        all.extend(self.parted.iter().cloned());
        if !self.wound.is_empty() {
            combined(&mut all, &self.wound, &|making| making.unwound = true);
        }
        if !self.gored.is_empty() {
            combined(&mut all, &self.gored, &|making| making.gored = true);
        }
        all.remove(0);
        all.sort_by_key(|makings| makings.values().map(Making::changes).max());
        all
    }

    /// The makings of all elbows together, each kind by itself.
    fn of_elbows(&self) -> Vec<Makings> {
        let together = |items: &[String], making: Making| -> Makings {
            items.iter().map(|item| (item.clone(), making.clone())).collect()
        };
        let mut all = Vec::new();
        if !self.gored.is_empty() {
            all.push(together(&self.gored, Making { gored: true, ..Making::default() }));
        }
        for &seam in &self.seams {
            let making = Making { seam: Some(seam), ..Making::default() };
            all.push(together(&self.seamed, making.clone()));
            if !self.gored.is_empty() {
                all.push(together(&self.gored, Making { gored: true, ..making }));
            }
        }
        all.retain(|makings| !makings.is_empty());
        all
    }
}

/// Makings of a line with its rings and heads in more parts, where that may save something: a ring of a good part of a
/// roll's length in up to four more, a head in up to twelve petals more. A bend's seams are placed against those of the
/// runs beside it, so lines with bends keep theirs.
fn more_parts(line: &Takeoff, maker: &Maker<'_>) -> Vec<Makings> {
    let bends = line.items.iter().any(|item| matches!(item.kind, Kind::Elbow(_)));
    if !maker.rules.choose.parts || bends {
        return Vec::new();
    }
    let shop = Shop::new(maker.stock, maker.rules);
    let items = line.items.iter();
    let parted: Vec<(&Item, Parts, u32)> = items
        .filter_map(|item| {
            let kind = Parts::of(item)?;
            Some((item, kind, needed_parts(item, maker.stock, &shop)?))
        })
        .collect();
    let more = |more: u32| -> Makings {
        let one = |&(item, kind, parts): &(&Item, Parts, u32)| {
            let further = match kind {
                Parts::Rings if more > MORE_RINGS => return None,
                Parts::Rings => more,
                Parts::Petals => 2 * more,
            };
            let making = kind.making(parts + further);
            maker.offers(item, &making).then(|| (item.id.clone(), making))
        };
        parted.iter().filter_map(one).collect()
    };
    (1..=MORE_PETALS).map(more).filter(|makings| !makings.is_empty()).collect()
}

/// Into how many parts an item's rings or its head are cut as specified; `None` where more may save nothing.
fn needed_parts(item: &Item, stock: &Stock, shop: &Shop<'_>) -> Option<u32> {
    match &item.kind {
        Kind::Head(head) => dome::petals_of_head(head, &item.build, shop),
        Kind::Cap(cap) => dome::petals_of_cap(cap, &item.build, shop),
        _ => {
            let (parts, rings) = pipe::rings_of(item, shop)?;
            let long = |&(thickness, length): &(Length, Length)| {
                let longest = stock.of(thickness).map(|roll| roll.length).max();
                longest.is_some_and(|roll| length * GOOD_PART >= roll)
            };
            rings.iter().any(long).then_some(parts)
        }
    }
}

/// A ring's piece that takes one part in so many of a roll, or more, may leave much of it.
const GOOD_PART: i64 = 8;
/// So many more parts of a ring, and pairs of petals of a head, are looked at.
const MORE_RINGS: u32 = 4;
const MORE_PETALS: u32 = 6;

/// The items of a line whose build may be another, and which: covers of flanges and valves keep
/// theirs, all others must share one.
fn other_builds(line: &Takeoff, maker: &Maker<'_>) -> (Vec<String>, Vec<Vec<Length>>) {
    let none = (Vec::new(), Vec::new());
    if !maker.rules.choose.builds {
        return none;
    }
    let keeps = |item: &&Item| matches!(item.kind, Kind::Flange(_) | Kind::Valve(_));
    let built: Vec<&Item> = line.items.iter().filter(|item| !keeps(item)).collect();
    let Some(first) = built.first() else { return none };
    let on_offer = |t: Length| maker.stock.rolls.iter().any(|roll| roll.thickness == t);
    let mut builds = builds(first.build.layers(), &on_offer);
    builds.retain(|build| {
        let making = Making { build: Some(build.clone()), ..Making::default() };
        built.iter().all(|item| item.build == first.build && maker.offers(item, &making))
    });
    (built.iter().map(|item| item.id.clone()).collect(), builds)
}

//! Which runs meet which elbows, and how far an elbow's inner layers reach into a run.
//!
//! At the weld plane between a run and an elbow every layer would have a joint in one plane. So
//! layer `i` of `K` is part of the elbow's end piece for `(K - i) s` beyond that plane, and the
//! run's layer starts there: the joints step back by the stagger `s` from layer to layer, outermost
//! at the weld.
//!
//! Other fittings take room of a run in all layers alike: flanges and valves, so that bolts can be
//! drawn; tees whose cover is longer than themselves.
//!
//! Covers of flanges and valves are fitted to the insulation of the runs that name them ([`Welds::pipes`]);
//! where any other item differs in build from a run that names it, that is said.
//!
//! A run says in its `ends` what it meets. An elbow must have the run's diameter and build;
//! what is left of the run in every layer, or of its first and its last stretch where it has support rings, must
//! be no less than the smallest piece, else one end, and if need be both, go without: an elbow's before what is
//! there in iron and bolts. A side of an elbow that no run names goes without, too.
//!
//! A flange or valve that fewer run ends name than it has sides is told: there no run stops short of its bolts.
//!
//! Covers of flanges and valves lie on a part of the runs beside them; where a run is shorter than what lies
//! on it, covers would lie in each other's place, which is said.

use super::branch::Junction;
use super::kit::{Kit, Remark};
use super::shop::{Shop, Shops};
use super::{elbow, pipe};
use crate::finding::codes::demand as codes;
use crate::pattern::flange::{Cover, bolt_clearance};
use crate::takeoff::{Bare, Build, Elbow, Item, Kind, Pipe, Takeoff, Tee};
use crate::units::{Angle, Length};
use std::collections::{BTreeMap, BTreeSet};

/// How far each layer of the fitting at an end reaches into the run; empty where it does not.
pub type Reach = Vec<Length>;

/// What was found for every item.
pub struct Welds {
    /// For each item that is a run: the reach at its first and second end.
    pub ends: Vec<[Reach; 2]>,
    /// For each item: how many of its sides (quantity counted in) reach into runs.
    pub sides: Vec<u64>,
    /// For each elbow the names of the runs that its sides reach into.
    pub onto: Vec<Vec<String>>,
    /// For each item the insulation of the pipes on its two sides: as the runs have it that name it, else as
    /// it has itself; seams are told of flanges and valves only.
    pub pipes: Vec<[Insulated; 2]>,
    /// What is to be said, and about which item.
    pub remarks: Vec<(usize, Remark)>,
}

/// The insulation of a pipe to which a cover is fitted.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Insulated {
    /// How thick it is.
    pub thick: Length,
    /// Where the seams of its outermost layer lie, of all runs that it may be, in increasing order; empty where
    /// that is not known.
    pub seams: Vec<Angle>,
}

/// How thick the insulation on the two sides is.
pub const fn thick(pipes: &[Insulated; 2]) -> [Length; 2] {
    [pipes[0].thick, pipes[1].thick]
}

impl Insulated {
    /// What a run has on.
    fn of(od: Length, build: &Build, shop: &Shop<'_>) -> Self {
        Self { thick: build.total(), seams: pipe::outermost(od, build, shop) }
    }
}

/// Looks all runs' ends up.
pub fn find(takeoff: &Takeoff, shops: &Shops<'_>) -> Welds {
    let items = &takeoff.items;
    let names: BTreeMap<&str, usize> =
        items.iter().enumerate().map(|(i, item)| (item.id.as_str(), i)).collect();
    let mut reaches: BTreeMap<usize, Option<Reach>> = BTreeMap::new();
    let mut welds = Welds {
        ends: vec![[Vec::new(), Vec::new()]; items.len()],
        sides: vec![0; items.len()],
        onto: vec![Vec::new(); items.len()],
        pipes: vec![<[Insulated; 2]>::default(); items.len()],
        remarks: Vec::new(),
    };
    let mut named = vec![0_u64; items.len()];
    let mut met: BTreeMap<usize, Met> = BTreeMap::new();
    for (p, item) in items.iter().enumerate() {
        let Kind::Pipe(pipe) = &item.kind else { continue };
        let mut at: [Option<(usize, Reach)>; 2] = [None, None];
        for (slot, name) in at.iter_mut().zip(&pipe.ends) {
            let Some(&e) = names.get(name.as_str()) else { continue };
            named[e] = named[e].saturating_add(item.quantity);
            if let Kind::Flange(_) | Kind::Valve(_) = &items[e].kind {
                let insulated = Insulated::of(pipe.size.od, &item.build, shops.of(p));
                met.entry(e).or_default().runs.push(insulated);
            }
            if let Kind::Pipe(_) = &items[e].kind {
                welds.remarks.extend(run_on_run(item, &items[e], shops.of(p)).map(|r| (p, r)));
            }
            let remark = differs(item, &items[e], shops.of(e).rules.joints.stagger);
            welds.remarks.extend(remark.map(|remark| (p, remark)));
            let Kind::Elbow(elbow) = &items[e].kind else {
                let layers = item.build.layers().len();
                let reach = room_at(&items[e], pipe.size.od, layers, shops.of(e));
                *slot = reach.map(|reach| (e, reach));
                continue;
            };
            if elbow.size.od != pipe.size.od || items[e].build != item.build {
                continue;
            }
            // What is wound from one piece has one edge for all its turns.
            if pipe::plies(pipe.size.od, &item.build, shops.of(p)).1.iter().any(|&turns| turns > 1)
            {
                continue;
            }
            let reach = reaches.entry(e).or_insert_with(|| reach_of(&items[e], elbow, shops.of(e)));
            *slot = reach.clone().map(|reach| (e, reach));
        }
        let firm = [0, 1].map(|end| {
            let met = at[end].as_ref().and_then(|(e, _)| items.get(*e));
            met.is_some_and(|met| !matches!(met.kind, Kind::Elbow(_)))
        });
        let kept = keep(item, pipe, &at, firm, shops.of(p));
        let remark = not_shortened(items, pipe, &at, kept, shops.of(p));
        welds.remarks.extend(remark.map(|remark| (p, remark)));
        for ((end, slot), kept) in welds.ends[p].iter_mut().zip(at).zip(kept) {
            if let (Some((e, reach)), true) = (slot, kept) {
                *end = reach;
                welds.sides[e] = welds.sides[e].saturating_add(item.quantity);
                if matches!(items[e].kind, Kind::Elbow(_)) && welds.onto[e].last() != Some(&item.id)
                {
                    welds.onto[e].push(item.id.clone());
                }
                let met = met.entry(e).or_default();
                let branch = matches!(&items[e].kind, Kind::Tee(tee) if tee.run.od != pipe.size.od);
                met.give_way[usize::from(branch)] += item.quantity;
            }
        }
    }
    for (e, item) in items.iter().enumerate() {
        let met = met.remove(&e).unwrap_or_default();
        let remark = match &item.kind {
            Kind::Elbow(_) => check_sides(item, named[e], welds.sides[e], shops.of(e)),
            Kind::Tee(tee) => longer_cover(item, tee, met.give_way, shops.of(e)),
            Kind::Flange(_) | Kind::Valve(_) => {
                let found = met.pipes(item, shops.of(e));
                let remark = fitted(item, found.as_ref().map(thick));
                let sides = bolts_covered(item, named[e]);
                welds.remarks.extend(sides.map(|remark| (e, remark)));
                welds.pipes[e] = found.unwrap_or_else(|| twice(own(item, shops.of(e))));
                remark
            }
            _ => None,
        };
        welds.remarks.extend(remark.map(|remark| (e, remark)));
    }
    for (p, item) in items.iter().enumerate() {
        let Kind::Pipe(pipe) = &item.kind else { continue };
        let covers = [0, 1].map(|end: usize| {
            let e = *names.get(pipe.ends.get(end)?.as_str())?;
            Some((items.get(e)?, lies_on_run(&items[e], &welds.pipes[e])?))
        });
        welds.remarks.extend(crowded(pipe, covers).map(|remark| (p, remark)));
    }
    welds
}

/// Says at which of its ends a run does not give way, as it is too short.
fn not_shortened(
    items: &[Item],
    run: &Pipe,
    at: &[Option<(usize, Reach)>; 2],
    kept: [bool; 2],
    shop: &Shop<'_>,
) -> Option<Remark> {
    let without = at.iter().zip(kept).filter(|(_, kept)| !kept);
    let without: Vec<&str> =
        without.filter_map(|(slot, _)| Some(items.get(slot.as_ref()?.0)?.id.as_str())).collect();
    if without.is_empty() {
        return None;
    }
    let short = if pipe::stretches(run.length, run.vertical, shop).len() > 1 {
        "its first and last stretches, between ends and support rings,".to_owned()
    } else {
        format!("its {} mm", run.length.to_tenths())
    };
    let what = format!(
        "{short} are too short for what reaches into it at its ends, so it is not shortened at {}",
        without.join(" and ")
    );
    let remedy = "check its length and the unit; where it is right, cut it back on site where bolts must be \
                  drawn, or join the run and its neighbour into one piece there";
    Some(Remark::new(&codes::NO_ROOM_FOR_REACH, what, remedy))
}

/// The runs that name an item.
#[derive(Default)]
struct Met {
    /// The insulation of each that meets a flange or valve.
    runs: Vec<Insulated>,
    /// How many ends give way to what it takes: of its runs, and of its branch's.
    give_way: [u64; 2],
}

impl Met {
    /// The insulation of the pipes on an item's two sides; a side that no run names is like the other.
    /// `None` where the runs differ in thickness and there are several such items, so that nobody can tell
    /// which run meets which.
    fn pipes(&self, item: &Item, shop: &Shop<'_>) -> Option<[Insulated; 2]> {
        let ends = || self.runs.iter().map(|run| run.thick);
        let Some((thinnest, thickest)) = ends().min().zip(ends().max()) else {
            return Some(twice(own(item, shop)));
        };
        let so_thick = |thick: Length| {
            let alike = self.runs.iter().filter(|run| run.thick == thick);
            let seams: BTreeSet<Angle> = alike.flat_map(|run| run.seams.iter().copied()).collect();
            Insulated { thick, seams: seams.into_iter().collect() }
        };
        if thinnest == thickest {
            return Some(twice(so_thick(thinnest)));
        }
        (item.quantity == 1).then(|| [so_thick(thinnest), so_thick(thickest)])
    }
}

/// The same on both sides.
fn twice(pipe: Insulated) -> [Insulated; 2] {
    [pipe.clone(), pipe]
}

/// The insulation of a pipe that is insulated like the flange or valve on it.
fn own(item: &Item, shop: &Shop<'_>) -> Insulated {
    let od = match &item.kind {
        Kind::Flange(flange) => flange.size.od,
        Kind::Valve(valve) => valve.flange.size.od,
        _ => return Insulated { thick: item.build.total(), seams: Vec::new() },
    };
    Insulated::of(od, &item.build, shop)
}

/// How much of a run on either side the cover of a flange pair or valve lies on, from the flange's back to
/// the outside of its end ring; `None` where there is no such cover.
fn lies_on_run(item: &Item, pipes: &[Insulated; 2]) -> Option<Length> {
    let thick = thick(pipes);
    let cover = match &item.kind {
        Kind::Flange(flange) if matches!(flange.bare, Bare::Covered | Bare::Blind) => {
            Cover::of_flange(flange, thick, Length::from_mm(1))
        }
        Kind::Valve(valve) => Cover::of_valve(valve, thick, Length::from_mm(1)),
        _ => return None,
    };
    let ring = item.build.layers().last().copied().unwrap_or_default();
    Some(cover.sides[0].shoulder_width + ring)
}

/// Says of a run that the covers at its ends lie on more of it than there is.
fn crowded(run: &Pipe, covers: [Option<(&Item, Length)>; 2]) -> Option<Remark> {
    let all = || covers.iter().flatten();
    let taken: Length = all().map(|(_, on)| *on).sum();
    if taken <= run.length {
        return None;
    }
    let names: Vec<&str> = all().map(|(item, _)| item.id.as_str()).collect();
    let over = taken - run.length;
    let (what, remedy) = if names.len() > 1 {
        (
            format!(
                "the covers of {} lie on {taken} mm of it, end rings counted in, and it has {}: they \
                 would lie in each other's place for {over} mm",
                names.join(" and "),
                run.length
            ),
            "check its length; where it is right, cut both covers back on site so that they butt, without \
             end rings between them, or cover both in one by hand",
        )
    } else {
        (
            format!(
                "the cover of {} lies on {taken} mm of it, end ring counted in, and it has {}: the cover \
                 would go {over} mm beyond its other end",
                names.join(""),
                run.length
            ),
            "check its length; where it is right, cut that side of the cover back on site, or put the \
             neighbour's insulation on first",
        )
    };
    Some(Remark::new(&codes::CROWDED, what, remedy))
}

/// Says that all layers of two runs end in the plane in which the runs meet.
fn run_on_run(run: &Item, other: &Item, shop: &Shop<'_>) -> Option<Remark> {
    if !shop.staggers(run.build.layers().len().min(other.build.layers().len())) {
        return None;
    }
    let what = format!("all its layers meet those of the run {} in one plane", other.id);
    let remedy =
        "give both runs as one, with their lengths added, or move the joints there on site";
    Some(Remark::new(&codes::WELD_STAGGER, what, remedy))
}

/// Says how the cover of a flange pair or valve is fitted to runs that are not insulated like it.
fn fitted(item: &Item, found: Option<[Length; 2]>) -> Option<Remark> {
    let own = item.build.total();
    let Some([one, other]) = found else {
        let what = format!(
            "the runs that name it differ in how thick their insulation is, and there are {} of it, so \
             its covers are made for pipe with {own} mm, as it has itself",
            item.quantity
        );
        let remedy = "give each a line of its own, and name it in the ends of its two runs";
        return Some(Remark::new(&codes::BUILDS_DIFFER, what, remedy));
    };
    if [one, other] == [own; 2] {
        return None;
    }
    let over = if one == other {
        format!("{one} mm, as the runs have it that name it")
    } else {
        format!(
            "{one} mm on one side and {other} mm on the other, as the runs have it that name it"
        )
    };
    let what = format!(
        "its own insulation is {own} mm thick; its cover is fitted to pipe insulated with {over}"
    );
    let remedy = "nothing to do where the builds are right; else correct the item's or the runs'";
    Some(Remark::new(&codes::FITTED, what, remedy))
}

/// Says that a run and a fitting that it names differ in build, where nothing follows from it by
/// itself.
fn differs(run: &Item, met: &Item, stagger: Length) -> Option<Remark> {
    if run.build == met.build || matches!(met.kind, Kind::Flange(_) | Kind::Valve(_)) {
        return None;
    }
    let (own, other) = (run.build.total(), met.build.total());
    let step = if own == other {
        "as thick, of other layers".to_owned()
    } else {
        format!("a step of {} mm where they meet", (own - other).max(other - own))
    };
    let staggered = stagger.is_positive() && matches!(met.kind, Kind::Elbow(_));
    let joint = if staggered { ", and their joint is not staggered" } else { "" };
    let what = format!(
        "it is built {} and {}, at its end, {}: {step}{joint}",
        run.build, met.id, met.build
    );
    let remedy = "correct one of the two builds; where the insulation really changes here, the step is \
                  closed on site";
    Some(Remark::new(&codes::BUILDS_DIFFER, what, remedy))
}

/// Says that a tee's cover is longer than the tee, and whether all runs that meet it give way.
fn longer_cover(item: &Item, tee: &Tee, give_way: [u64; 2], shop: &Shop<'_>) -> Option<Remark> {
    let (along, up) = Junction::of_tee(tee, &item.build, shop).extra(shop);
    if !along.is_positive() && !up.is_positive() {
        return None;
    }
    let run = format!("{along} mm longer at each end of the run");
    let top = format!("{up} mm longer at the branch's top");
    let longer = match (along.is_positive(), up.is_positive()) {
        (true, true) => format!("{run} and {top}"),
        (true, false) => run,
        (false, _) => top,
    };
    let thick = format!("the insulation is too thick for the tee's length: its cover is {longer}");
    let count = |longer: Length, each: u64| {
        if longer.is_positive() { item.quantity.saturating_mul(each) } else { 0 }
    };
    let (wanted, given) = if tee.run.od == tee.branch.od {
        ([count(along, 3), 0], give_way)
    } else {
        ([count(along, 2), count(up, 1)], give_way)
    };
    let missing: u64 = wanted.iter().zip(given).map(|(want, has)| want.saturating_sub(has)).sum();
    let sides: u64 = wanted.iter().sum();
    if missing == 0 {
        let what = format!("{thick}; the runs that meet it there are that much shorter");
        return Some(Remark::new(&codes::RUNS_GIVE_WAY, what, "nothing to do"));
    }
    let what = format!("{thick}, and at {missing} of {sides} such ends no run is shortened for it");
    let remedy = "name the tee in the ends of the runs that meet it there (of those that are too short \
                  for it D013 tells), or cut the covers back on site";
    Some(Remark::new(&codes::LONGER_COVER, what, remedy))
}

/// The reach of an elbow; `None` where its end pieces would be wider than the rolls.
fn reach_of(item: &Item, elbow: &Elbow, shop: &Shop<'_>) -> Option<Reach> {
    let plan = elbow::Plan::new(elbow, &item.build, 2, shop)?;
    let reach = plan.reach(shop.rules);
    let fits = plan.layers.iter().zip(&reach).all(|(layer, &reach)| {
        let widest = shop.widest(layer.thickness).unwrap_or(Length::ZERO);
        reach + plan.straight + plan.half_gore(layer) <= widest
    });
    fits.then_some(reach)
}

/// What a fitting that is no elbow takes of a run, in all layers alike: a flange and a valve the
/// room to draw the bolts, a tee what its cover is longer than itself.
fn room_at(item: &Item, od: Length, layers: usize, shop: &Shop<'_>) -> Option<Reach> {
    let taken = match &item.kind {
        Kind::Flange(flange) if flange.bare == Bare::Flush => Length::ZERO,
        Kind::Flange(flange) => bolt_clearance(flange),
        Kind::Valve(valve) => bolt_clearance(&valve.flange),
        Kind::Tee(tee) => {
            let (along, up) = Junction::of_tee(tee, &item.build, shop).extra(shop);
            if od == tee.run.od { along } else { up }
        }
        _ => Length::ZERO,
    };
    taken.is_positive().then(|| vec![taken; layers])
}

/// Says that the layers of a fitting meet at its welds, where there are several and they should be
/// staggered.
pub fn remark_on_welds(kit: &mut Kit, layers: usize, shop: &Shop<'_>) {
    if !shop.staggers(layers) {
        return;
    }
    kit.remark(
        &codes::WELD_STAGGER,
        "all layers of this item meet the neighbouring covers in the planes of its welds",
        "nothing to do where the specification allows it; else move the neighbours' joints on site",
    );
}

/// Which of the two ends can be kept; where not both, sooner one that is `firm`: bolts must be drawn and a
/// tee's cover is as long as it is, whereas an elbow's joint is then not staggered.
fn keep(
    item: &Item,
    pipe: &Pipe,
    at: &[Option<(usize, Reach)>; 2],
    firm: [bool; 2],
    shop: &Shop<'_>,
) -> [bool; 2] {
    let layers = item.build.layers().len();
    let needed = shop.smallest_course(layers);
    let runs = pipe::stretches(pipe.length, pipe.vertical, shop);
    let reach = |end: usize, layer: usize| {
        let reach = at[end].as_ref().and_then(|(_, reach)| reach.get(layer).copied());
        reach.unwrap_or_default()
    };
    let room = |kept: [bool; 2]| {
        (0..layers).all(|i| {
            runs.iter().enumerate().all(|(r, run)| {
                let first = if kept[0] && r == 0 { reach(0, i) } else { Length::ZERO };
                let last = if kept[1] && r + 1 == runs.len() { reach(1, i) } else { Length::ZERO };
                let taken = first + last;
                taken == Length::ZERO || run.end - run.start - taken >= needed
            })
        })
    };
    let wanted = [at[0].is_some(), at[1].is_some()];
    let (first, second) = ([wanted[0], false], [false, wanted[1]]);
    let tries =
        if firm == [false, true] { [wanted, second, first] } else { [wanted, first, second] };
    tries.into_iter().find(|&kept| room(kept)).unwrap_or([false, false])
}

/// Says that a flange or valve is named by more pipe ends than it has sides, or by fewer, so that runs go right up to
/// its bolts.
fn bolts_covered(item: &Item, named: u64) -> Option<Remark> {
    let (each, lid) = match &item.kind {
        Kind::Flange(flange) if flange.bare == Bare::Flush => return None,
        Kind::Flange(flange) if flange.bare == Bare::Blind => (1, ""),
        Kind::Flange(_) => (2, "; a pair with a lid on one side is of type `blind`"),
        _ => (2, ""),
    };
    let sides = item.quantity.saturating_mul(each);
    if named > sides {
        return Some(too_many_ends(named, sides));
    }
    let of = match named {
        _ if named == sides => return None,
        0 if sides == 1 => "no run's end names it".to_owned(),
        0 => "no run's ends name it".to_owned(),
        _ => format!("{named} of its {sides} sides are named in the ends of runs"),
    };
    let what = format!(
        "{of}, and a run is shortened, so that bolts can be drawn, only where it names what it meets"
    );
    let remedy = format!(
        "name it in the ends of the runs that meet it; where another fitting is welded to it, cut both covers back on site \
         so that the bolts can be drawn; where nothing meets it, nothing is to be done{lid}"
    );
    Some(Remark::new(&codes::BOLTS_COVERED, what, remedy))
}

/// Says that more pipe ends are named at an item than it has sides.
fn too_many_ends(named: u64, sides: u64) -> Remark {
    let side = if sides == 1 { "side" } else { "sides" };
    let what = format!("{named} pipe ends are named at it, which has {sides} {side}");
    Remark::new(&codes::TOO_MANY_ENDS, what, "correct the ends of the runs, or the quantity")
}

fn check_sides(item: &Item, named: u64, joined: u64, shop: &Shop<'_>) -> Option<Remark> {
    let sides = item.quantity.saturating_mul(2);
    if named > sides {
        return Some(too_many_ends(named, sides));
    }
    if joined >= sides || !shop.staggers(item.build.layers().len()) {
        return None;
    }
    let what = if joined == 0 {
        "no run's inner layers give way to this elbow's, so all layers meet at its welds".to_owned()
    } else {
        let are = if joined == 1 { "is" } else { "are" };
        format!("{joined} of the elbow's {sides} sides {are} staggered against a run")
    };
    let remedy = if named < sides {
        "name the elbow in the ends of the runs that meet it, if its joints must be staggered"
    } else {
        "runs name it on both sides, but a run that is too short for it (D013), of another build (D021) or wound from \
         one piece does not give way, nor does any where its end pieces would be wider than the rolls: mend that, or \
         move the joints on site, if they must be staggered"
    };
    Some(Remark::new(&codes::WELD_STAGGER, what, remedy))
}

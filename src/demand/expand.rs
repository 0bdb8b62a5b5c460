//! From a takeoff to its pieces.
//!
//! Steps: find which runs meet which elbows ([`super::welds`]); make the kit of every distinct
//! item once; give each item its kit's pieces under its own name, times its quantity; collect
//! what is to be said, like notes of many items in one.

use super::domain::{CoverJoints, Demand, Piece, RunJoints, Step};
use super::freedom::{FreeRun, Picks};
use super::kit::{Kit, Remark};
use super::making::Makings;
use super::shop::{Shop, Shops};
use super::welds::{self, Insulated, Reach};
use super::{branch, cover, dome, elbow, flat, pipe, reducer};
use crate::finding::codes::demand as codes;
use crate::finding::{Finding, Findings, Severity};
use crate::rules::Rules;
use crate::stock::Stock;
use crate::takeoff::{Build, Item, Kind, Takeoff};
use crate::units::{Length, few, noted};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// The most pieces of a job: each is laid, cut and listed by itself.
const MOST_PIECES: u64 = 2_000_000;

/// Courses chosen for an item's runs.
type OfRuns<'a> = Vec<(u32, &'a [Vec<Length>])>;

/// What decides an item's kit.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Key<'a> {
    kind: &'a Kind,
    build: &'a Build,
    ends: &'a [Reach; 2],
    joined: usize,
    /// The insulation of the pipes at an item; nothing where it is no flange pair or valve.
    pipes: &'a [Insulated; 2],
    /// Which shop's.
    shop: usize,
    /// Courses that are not as specified.
    chosen: OfRuns<'a>,
}

/// So many further items are named where one finding holds for several.
const NAMED: usize = 40;

/// Findings, each with the further items it holds for.
#[derive(Default)]
struct Said {
    all: Vec<(Finding, Vec<String>)>,
    seen: BTreeMap<(&'static str, String), usize>,
}

/// Makes every piece of a takeoff, the joints of its runs and the wrapping schedule.
///
/// No demand comes with an error among the findings.
#[must_use]
pub fn expand(takeoff: &Takeoff, stock: &Stock, rules: &Rules) -> (Option<Demand>, Findings) {
    expand_chosen(takeoff, stock, rules, &Picks::default())
}

/// The same with some runs' courses, or some items' makings, chosen otherwise than as specified; a
/// choice that breaks the rules is an error.
#[must_use]
pub fn expand_chosen(
    takeoff: &Takeoff,
    stock: &Stock,
    rules: &Rules,
    picks: &Picks,
) -> (Option<Demand>, Findings) {
    let mut said = Said::default();
    let made = Made::new(takeoff, rules, &picks.makings, &mut said);
    let takeoff = made.takeoff.as_ref();
    let shops = Shops::new(stock, &made.rules, made.by_item);
    let welds = welds::find(takeoff, &shops);
    let mut kits: BTreeMap<Key<'_>, Kit> = BTreeMap::new();
    let mut demand = Demand::default();
    for (i, remark) in &welds.remarks {
        if let Some(item) = takeoff.items.get(*i) {
            say(&mut said, item, remark);
        }
    }
    let mut by_item: BTreeMap<&str, OfRuns<'_>> = BTreeMap::new();
    for ((item, run), courses) in &picks.courses {
        by_item.entry(item).or_default().push((*run, courses));
    }
    let mut pieces = 0;
    for (i, item) in takeoff.items.iter().enumerate() {
        let first = demand.pieces.len();
        demand.releases.insert(item.id.clone(), item.release);
        let chosen = by_item.remove(item.id.as_str()).unwrap_or_default();
        if item.pinned && !chosen.is_empty() {
            say(&mut said, item, &pinned());
        }
        for (joined, quantity) in variants(item, welds.sides[i]) {
            let (kind, build, ends) = (&item.kind, &item.build, &welds.ends[i]);
            let shop = shops.number(i);
            let pipes = &welds.pipes[i];
            let key = Key { kind, build, ends, joined, pipes, shop, chosen: chosen.clone() };
            let kit = match kits.entry(key) {
                Entry::Occupied(known) => known.into_mut(),
                Entry::Vacant(new) => {
                    let kit = make(new.key(), shops.of(i));
                    new.insert(kit)
                }
            };
            let before = pieces;
            let added = add(&mut demand, first, (item, &welds.onto[i]), kit, quantity);
            pieces = added.map_or(u64::MAX, |added| pieces.saturating_add(added));
            if pieces > MOST_PIECES && before <= MOST_PIECES {
                say(&mut said, item, &too_many());
            }
            for remark in &kit.remarks {
                say(&mut said, item, remark);
            }
        }
    }
    let mut findings = Findings::new();
    for (mut finding, more) in said.all {
        if !more.is_empty() {
            finding.what = format!("{} (also {})", finding.what, few(&more, NAMED));
        }
        findings.push(finding);
    }
    ((!findings.has_errors()).then_some(demand), findings)
}

/// The takeoff as its items are made, and the rules by which they are.
struct Made<'a> {
    takeoff: Cow<'a, Takeoff>,
    /// Those of the job first.
    rules: Vec<Rules>,
    /// Which of the rules are an item's.
    by_item: Vec<usize>,
}

impl<'a> Made<'a> {
    fn new(takeoff: &'a Takeoff, rules: &Rules, makings: &Makings, said: &mut Said) -> Self {
        let mut all = vec![rules.clone()];
        if makings.is_empty() {
            return Self { takeoff: Cow::Borrowed(takeoff), rules: all, by_item: Vec::new() };
        }
        let mut by_item = vec![0; takeoff.items.len()];
        let mut items = takeoff.items.clone();
        for (item, own) in items.iter_mut().zip(&mut by_item) {
            let Some(making) = makings.get(&item.id) else { continue };
            if let Err(why) = making.allowed(item, rules) {
                say(said, item, &not_to_be_made(why));
                continue;
            }
            let by = making.rules(rules);
            *own = all.iter().position(|known| *known == by).unwrap_or(all.len());
            if *own == all.len() {
                all.push(by);
            }
            *item = making.of(item);
        }
        Self { takeoff: Cow::Owned(Takeoff { items }), rules: all, by_item }
    }
}

/// The kit of a kind.
fn make(key: &Key<'_>, shop: &Shop<'_>) -> Kit {
    let mut kit = match key.kind {
        Kind::Pipe(run) => pipe::kit(run, key.build, key.ends, &key.chosen, shop),
        Kind::Elbow(bend) => elbow::kit(bend, key.build, key.joined, shop),
        Kind::Tee(tee) => branch::kit(tee, key.build, shop),
        Kind::Reducer(reducer) => reducer::kit(reducer, key.build, shop),
        Kind::Cap(cap) => dome::cap(cap, key.build, shop),
        Kind::Flange(flange) => cover::flange(flange, key.build, key.pipes, shop),
        Kind::Valve(valve) => cover::valve(valve, key.build, key.pipes, shop),
        Kind::Shell(shell) => pipe::shell(shell, key.build, &key.chosen, shop),
        Kind::Head(head) => dome::head(head, key.build, shop),
        Kind::Disc(disc) => flat::kit(disc, key.build, shop),
    };
    kit.tell_apart();
    kit
}

/// How an item's quantity divides by the number of sides joined to runs: evenly, as an elbow of
/// which one side is named most often stands like all its kind. Only elbows have such sides.
fn variants(item: &Item, sides: u64) -> Vec<(usize, u64)> {
    if !matches!(item.kind, Kind::Elbow(_)) {
        return vec![(0, item.quantity)];
    }
    let all = item.quantity.max(1);
    let (each, more) = ((sides / all).min(2), sides % all);
    let fewer = usize::try_from(each).unwrap_or(2);
    if more == 0 || fewer == 2 {
        return vec![(fewer, all)];
    }
    vec![(fewer, all - more), (fewer + 1, more)]
}

/// Adds a kit under the item's name and tells how many pieces it has; `None` when a count overflows.
/// Like pieces of the item's variants become one. Of elbows that differ by the runs they reach `onto` these are
/// named where they do.
fn add(
    demand: &mut Demand,
    first: usize,
    (item, onto): (&Item, &[String]),
    kit: &Kit,
    quantity: u64,
) -> Option<u64> {
    let mut ids = Vec::with_capacity(kit.parts.len());
    // A kit's parts differ in name, so pieces may be alike only where another variant went before.
    let before = demand.pieces.len();
    let mut all = 0_u64;
    for part in &kit.parts {
        let count = part.count.checked_mul(quantity)?;
        all = all.checked_add(count)?;
        let others = demand.pieces.get_mut(first..before).unwrap_or_default();
        let like = others.iter_mut().find(|p| {
            p.layer == part.layer && p.part == part.name && p.outline == part.flat.outline
        });
        if let Some(piece) = like {
            piece.quantity = piece.quantity.checked_add(count)?;
            ids.push(piece.id.clone());
            continue;
        }
        // Variants may differ in shape under one name.
        let mut id = format!("{}/{}/{}", item.id, part.layer, part.name);
        let mut number = 1;
        while before > first && demand.pieces.iter().skip(first).any(|p| p.id == id) {
            number += 1;
            id = format!("{}/{}/{} ({number})", item.id, part.layer, part.name);
        }
        let piece = Piece {
            id,
            item: item.id.clone(),
            layer: part.layer,
            part: part.name.clone(),
            thickness: part.thickness,
            width: part.flat.width,
            length: part.flat.length,
            area: part.flat.area(),
            outline: part.flat.outline.clone(),
            marks: part.flat.marks.clone(),
            turns: part.turns.clone(),
            quantity: count,
        };
        ids.push(piece.id.clone());
        demand.pieces.push(piece);
    }
    let named = kit.runs.iter().map(|run| RunJoints { item: item.id.clone(), ..run.clone() });
    demand.joints.extend(named);
    let named =
        kit.covers.iter().map(|layer| CoverJoints { item: item.id.clone(), ..layer.clone() });
    demand.covers.extend(named);
    if !item.pinned {
        demand.free.extend(kit.free.iter().map(|run| {
            let id = item.id.clone();
            FreeRun { item: id, quantity, ..run.clone() }
        }));
    }
    demand.schedule.extend(kit.steps.iter().filter_map(|step| {
        Some(Step {
            item: item.id.clone(),
            run: step.run,
            layer: kit.parts.get(step.part)?.layer,
            piece: ids.get(step.part)?.clone(),
            count: step.count,
            items: quantity,
            at: step.at,
            seams: step.seams.clone(),
            ties: step.ties,
            pins: step.pins,
            note: if quantity < item.quantity {
                let onto = if kit.parts.get(step.part)?.name.contains(elbow::STRAIGHT) {
                    format!(", straight end onto {}", few(onto, NAMED))
                } else {
                    String::new()
                };
                noted(&[&step.note, &format!("for {quantity} of the {}{onto}", item.quantity)])
            } else {
                step.note.clone()
            },
        })
    }));
    Some(all)
}

fn not_to_be_made(why: &str) -> Remark {
    let what = format!("it is chosen to be made otherwise than as specified, and {why}");
    Remark::new(&codes::NOT_TO_BE_CHOSEN, what, "plan the job again")
}

fn pinned() -> Remark {
    let what = "other courses than specified are chosen for it, and it is pinned";
    Remark::new(&codes::NOT_TO_BE_CHOSEN, what, "plan the job again")
}

fn too_many() -> Remark {
    let what = "with this item the job has more than 2,000,000 pieces";
    let remedy = "check the quantity and the length, or plan it as several jobs";
    Remark::new(&codes::TOO_MANY_PIECES, what, remedy)
}

/// Adds a finding; where a note, or a warning of what holds for whole kinds of items, was made before in
/// the same words, its item is named there.
fn say(said: &mut Said, item: &Item, remark: &Remark) {
    let Remark { code, what, remedy } = remark;
    let whole_kinds =
        [&codes::WELD_STAGGER, &codes::HEAD_STAGGER, &codes::BOLTS_COVERED, &codes::STAND_OFF];
    let whole_kinds = whole_kinds.iter().any(|whole| whole.id == code.id);
    if code.severity == Severity::Note || whole_kinds {
        let key = (code.id, what.clone());
        if let Some(&i) = said.seen.get(&key) {
            if !said.all[i].0.what.starts_with(&format!("{}: ", item.id)) {
                // Items come in their order, so one that is named already is the last.
                let named = &mut said.all[i].1;
                if named.last() != Some(&item.id) {
                    named.push(item.id.clone());
                }
            }
            return;
        }
        said.seen.insert(key, said.all.len());
    }
    let finding = Finding::new(code, item.place.clone(), format!("{}: {what}", item.id), remedy);
    said.all.push((finding, Vec::new()));
}

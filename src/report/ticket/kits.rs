//! Kit lists: all that one item needs, inner layer first.

use crate::plan::Plan;
use crate::report::joints::seams_in_words;
use crate::report::proof::thickness_in_words;
use crate::report::sources::Sources;
use crate::units::{Angle, Length};
use std::collections::{BTreeMap, BTreeSet};

/// A kit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitList {
    /// Its number, from 1: by release, then in the order in which kits are begun.
    pub number: u64,
    /// The item.
    pub item: String,
    /// Area of the site.
    pub area: String,
    /// Line or equipment.
    pub line: String,
    /// When the site wants it, smallest first.
    pub release: u32,
    /// How many of the item it is for.
    pub quantity: u64,
    /// The pull with which it is begun, in the order of cutting.
    pub begun: u64,
    /// The pull with which it is whole.
    pub whole: u64,
    /// What is in it, inner layer first.
    pub lines: Vec<KitLine>,
}

/// Like pieces of a kit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitLine {
    /// Which layer, 1 innermost.
    pub layer: u32,
    /// Which part of the item, in words.
    pub part: String,
    /// Blanket thickness in words.
    pub thickness: String,
    /// The code that is written on it.
    pub code: String,
    /// Size across the roll, unturned.
    pub width: Length,
    /// Size along the roll, unturned.
    pub length: Length,
    /// Whether it is cut along an outline.
    pub outlined: bool,
    /// Where its seam lies, in words; may be empty.
    pub seam: String,
    /// How many.
    pub count: u64,
    /// Tickets that yield it; none where it was cut by an earlier plan.
    pub tickets: Vec<u64>,
}

/// Numbers of the kits by item, from 1: by release, then in the order in which they are begun.
pub(super) fn kit_numbers(plan: &Plan) -> BTreeMap<&str, u64> {
    let mut order: Vec<(u32, u64, &str)> =
        spans(plan).into_iter().map(|(item, span)| (span.release, span.first, item)).collect();
    order.sort_unstable();
    order.into_iter().zip(1..).map(|((_, _, item), number)| (item, number)).collect()
}

struct Span {
    release: u32,
    first: u64,
    last: u64,
}

/// For each item with a piece in the order of cutting, its first and last pull.
fn spans(plan: &Plan) -> BTreeMap<&str, Span> {
    let mut spans: BTreeMap<&str, Span> = BTreeMap::new();
    walk(plan, |time, _, (_, used)| {
        let span = spans.entry(used.item.as_str()).or_insert(Span {
            release: used.release,
            first: time,
            last: time,
        });
        span.last = time;
    });
    spans
}

/// Every piece that goes to a kit, in the order of cutting: the pull's number from 1, the ticket's,
/// the piece and its use.
fn walk<'p>(
    plan: &'p Plan,
    mut each: impl FnMut(u64, u64, (&'p crate::plan::Piece, &'p crate::plan::Use)),
) {
    let pieces: BTreeMap<&str, &crate::plan::Piece> =
        plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    let tickets = plan.tickets();
    for (step, time) in plan.sequence.iter().flat_map(|s| &s.steps).zip(1..) {
        let ticket = tickets.get(&(step.roll, step.copy)).copied().unwrap_or_default();
        let pull = plan.rolls.get(step.roll).and_then(|roll| roll.pulls.get(step.pull));
        let places = pull.map_or(&[][..], |pull| &pull.placements);
        for (place, used) in places.iter().zip(&step.uses) {
            let piece = pieces.get(place.piece.as_str());
            let found = piece.zip(*used).and_then(|(p, at)| Some((*p, p.uses.get(at)?)));
            if let Some(found) = found {
                each(time, ticket, found);
            }
        }
    }
}

/// Where the seams of each of the demand's pieces lie, in words.
pub(super) fn seams<'a>(sources: &Sources<'a>) -> BTreeMap<&'a str, String> {
    let mut all: BTreeMap<&str, BTreeSet<&[Angle]>> = BTreeMap::new();
    for step in &sources.demand.schedule {
        if !step.seams.is_empty() {
            all.entry(step.piece.as_str()).or_default().insert(&step.seams);
        }
    }
    all.into_iter()
        .map(|(piece, places)| {
            let words: Vec<String> =
                places.into_iter().map(|seams| format!("{}°", seams_in_words(seams))).collect();
            match words.len() {
                0..=2 => (piece, format!("seam at {}", words.join(" or "))),
                _ => (piece, "seam: see the schedule".to_owned()),
            }
        })
        .collect()
}

/// All kit lists, by number.
#[must_use]
pub fn kits(plan: &Plan, sources: &Sources<'_>) -> Vec<KitList> {
    let numbers = kit_numbers(plan);
    let seams = seams(sources);
    let mut lists: Vec<KitList> = numbers
        .iter()
        .zip(spans(plan).values())
        .map(|((item, &number), span)| {
            let found = sources.item(item);
            KitList {
                number,
                item: (*item).to_owned(),
                area: found.map(|i| i.area.clone()).unwrap_or_default(),
                line: found.map(|i| i.line.clone()).unwrap_or_default(),
                release: span.release,
                quantity: found.map_or(1, |i| i.quantity),
                begun: span.first,
                whole: span.last,
                lines: Vec::new(),
            }
        })
        .collect();
    lists.sort_by_key(|list| list.number);
    walk(plan, |_, ticket, (piece, used)| {
        let number = numbers.get(used.item.as_str()).copied().unwrap_or(1);
        let at = usize::try_from(number).unwrap_or(1).saturating_sub(1);
        let Some(list) = lists.get_mut(at) else { return };
        let same =
            |l: &KitLine| l.code == piece.piece && l.layer == used.layer && l.part == used.part;
        let at = list.lines.iter().position(same).unwrap_or_else(|| {
            list.lines.push(KitLine {
                layer: used.layer,
                part: used.part.clone(),
                thickness: plan.nests.get(piece.nest).map(thickness_in_words).unwrap_or_default(),
                code: piece.piece.clone(),
                width: piece.width,
                length: piece.length,
                outlined: piece.outline.is_some(),
                seam: seams.get(used.id.as_str()).cloned().unwrap_or_default(),
                count: 0,
                tickets: Vec::new(),
            });
            list.lines.len() - 1
        });
        let line = &mut list.lines[at];
        line.count += 1;
        if line.tickets.last() != Some(&ticket) {
            line.tickets.push(ticket);
        }
    });
    in_hand(plan, sources, &seams, &mut lists);
    // The demand's own order of parts within a layer.
    let order: BTreeMap<(&str, u32, &str), usize> = sources
        .demand
        .pieces
        .iter()
        .enumerate()
        .map(|(at, p)| ((p.item.as_str(), p.layer, p.part.as_str()), at))
        .collect();
    for list in &mut lists {
        let item = list.item.clone();
        list.lines.sort_by_key(|l| {
            let at = order.get(&(item.as_str(), l.layer, l.part.as_str())).copied();
            (l.layer, at.unwrap_or(usize::MAX), l.code.clone())
        });
        for line in &mut list.lines {
            line.tickets.sort_unstable();
            line.tickets.dedup();
        }
    }
    lists
}

/// Adds what an earlier plan cut: a line each, without tickets. A kit that is whole by it comes after
/// all others, begun and whole with pull 0.
fn in_hand(
    plan: &Plan,
    sources: &Sources<'_>,
    seams: &BTreeMap<&str, String>,
    lists: &mut Vec<KitList>,
) {
    let known: BTreeMap<&str, &crate::demand::Piece> =
        sources.demand.pieces.iter().map(|p| (p.id.as_str(), p)).collect();
    for hand in plan.already.iter().flat_map(|already| &already.pieces) {
        let Some(piece) = known.get(hand.id.as_str()) else { continue };
        let at = lists.iter().position(|list| list.item == piece.item).unwrap_or_else(|| {
            let found = sources.item(&piece.item);
            lists.push(KitList {
                number: lists.len() as u64 + 1,
                item: piece.item.clone(),
                area: found.map(|i| i.area.clone()).unwrap_or_default(),
                line: found.map(|i| i.line.clone()).unwrap_or_default(),
                release: found.map_or(1, |i| i.release),
                quantity: found.map_or(1, |i| i.quantity),
                begun: 0,
                whole: 0,
                lines: Vec::new(),
            });
            lists.len() - 1
        });
        lists[at].lines.push(KitLine {
            layer: piece.layer,
            part: piece.part.clone(),
            thickness: format!("{} mm", hand.thickness),
            code: hand.piece.clone(),
            width: hand.width,
            length: hand.length,
            outlined: hand.outline.is_some(),
            seam: seams.get(hand.id.as_str()).cloned().unwrap_or_default(),
            count: hand.quantity,
            tickets: Vec::new(),
        });
    }
}

//! Kit lists: all that one item needs, inner layer first.

use crate::plan::{Plan, ticket_name};
use crate::report::proof::thickness_in_words;
use crate::report::sources::Sources;
use crate::units::{Angle, Length, joined};
use std::collections::{BTreeMap, BTreeSet};

/// A kit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitList {
    /// Its number, which all plans of a job keep: by release, then in the order in which kits are begun.
    pub number: u64,
    /// Which plan of the job the tickets are of, from 1.
    pub revision: u32,
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
    /// The pull with which it is begun, in the order of cutting; 0 where an earlier plan began it.
    pub begun: u64,
    /// The pull with which it is whole; 0 where it is so by what was cut before.
    pub whole: u64,
    /// What is in it, inner layer first.
    pub lines: Vec<KitLine>,
}

impl KitList {
    /// When it is begun and whole, in words.
    #[must_use]
    pub fn when(&self) -> String {
        match (self.begun, self.whole) {
            (_, 0) => "whole by what was cut before".to_owned(),
            (0, whole) => format!("begun by what was cut before, whole with pull {whole}"),
            (begun, whole) => format!("begun with pull {begun}, whole with pull {whole}"),
        }
    }

    /// What the tickets are called that yield a line.
    #[must_use]
    pub fn tickets(&self, line: &KitLine) -> Vec<String> {
        line.tickets.iter().map(|&number| ticket_name(number, self.revision)).collect()
    }
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
            let many = places.iter().any(|seams| seams.len() > 1);
            let words: Vec<String> = places.into_iter().map(at_degrees).collect();
            match words.len() {
                0..=2 if many => (piece, format!("seams at {}", words.join(" or "))),
                0..=2 => (piece, format!("seam at {}", words.join(" or "))),
                _ => (piece, "seam: see the schedule".to_owned()),
            }
        })
        .collect()
}

/// `90° and 270°`.
fn at_degrees(seams: &[Angle]) -> String {
    let each: Vec<String> = seams.iter().map(|seam| format!("{seam}°")).collect();
    joined(&each)
}

impl KitLine {
    /// Where its seam lies, as it stands below a heading that says what it is.
    #[must_use]
    pub fn seam_under_heading(&self) -> &str {
        ["seam at ", "seams at "]
            .iter()
            .find_map(|words| self.seam.strip_prefix(words))
            .unwrap_or(&self.seam)
    }
}

/// All kit lists, by number; those that are whole by what was cut before come last.
#[must_use]
pub fn kits(plan: &Plan, sources: &Sources<'_>) -> Vec<KitList> {
    let numbers = plan.kits();
    let seams = seams(sources);
    let mut lists: Vec<KitList> = plan
        .kit_spans()
        .iter()
        .map(|(item, span)| {
            let number = numbers.get(item).copied().unwrap_or_default();
            let found = sources.item(item);
            KitList {
                number,
                revision: plan.revision(),
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
    let places: BTreeMap<u64, usize> =
        lists.iter().enumerate().map(|(at, list)| (list.number, at)).collect();
    plan.walk(|_, ticket, (piece, used)| {
        let at = numbers.get(used.item.as_str()).and_then(|number| places.get(number));
        let Some(list) = at.and_then(|&at| lists.get_mut(at)) else { return };
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
    lists.sort_by_key(|list| (list.whole == 0, list.number));
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
    let numbers = plan.kits();
    let known: BTreeMap<&str, &crate::demand::Piece> =
        sources.demand.pieces.iter().map(|p| (p.id.as_str(), p)).collect();
    for hand in plan.already.iter().flat_map(|already| &already.pieces) {
        let Some(piece) = known.get(hand.id.as_str()) else { continue };
        let at = lists.iter().position(|list| list.item == piece.item).unwrap_or_else(|| {
            let found = sources.item(&piece.item);
            lists.push(KitList {
                number: numbers.get(piece.item.as_str()).copied().unwrap_or_default(),
                revision: plan.revision(),
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
        lists[at].begun = 0;
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_seams_are_two_places() {
        let degrees = |seams: &[i64]| -> String {
            at_degrees(&seams.iter().map(|seam| Angle::from_degrees(*seam)).collect::<Vec<_>>())
        };
        assert_eq!(degrees(&[90]), "90°");
        assert_eq!(degrees(&[90, 270]), "90° and 270°");
        assert_eq!(degrees(&[0, 120, 240]), "0°, 120° and 240°");
    }
}

//! The wrapping schedule: item by item and layer by layer, which pieces go on in which order, where
//! they start and end, where joints and seams lie, and what holds them.

use super::joints::seams_in_words;
use super::sources::Sources;
use super::table::{Cell, Table};
use super::text::tenths;
use super::words;
use crate::demand::{Piece, RunJoints, Step};
use crate::plan::Plan;
use crate::takeoff::Item;
use crate::units::{Length, Measure, noted};
use std::collections::BTreeMap;

/// A step with all that is known of it.
#[derive(Clone, Debug)]
pub struct Row<'a> {
    /// The step.
    pub step: &'a Step,
    /// Its number within the layer of the run.
    pub number: u64,
    /// The item.
    pub item: Option<&'a Item>,
    /// The codes that are written on its pieces: the plan's, then those of pieces that earlier plans
    /// cut.
    pub codes: Vec<&'a str>,
    /// How many for all items that are made so earlier plans cut.
    pub in_hand: u64,
    /// How many of its piece all steps take together, where other steps take some as well: what is in hand is for any.
    pub of_all: Option<u64>,
    /// The piece.
    pub piece: Option<&'a Piece>,
    /// Where the last of its pieces ends along the run; `None` for what is no run.
    pub to: Option<Length>,
    /// The circumferential joints that its pieces make with each other and with the next.
    pub joints: Vec<Length>,
    /// Why the stagger is not kept in this layer, where it is not.
    pub waived: Option<&'a str>,
}

impl<'a> Row<'a> {
    /// The code under which its piece is drawn: the plan's, or one that stands on a piece in hand.
    #[must_use]
    pub fn code(&self) -> Option<&'a str> {
        self.codes.first().copied()
    }

    /// All its codes.
    #[must_use]
    pub fn codes_in_words(&self) -> String {
        self.codes.join(" or ")
    }

    /// What the crew should know, and what of it was cut before.
    #[must_use]
    pub fn note(&self) -> String {
        let cut = match (self.in_hand, self.codes.as_slice()) {
            (0, _) => String::new(),
            (_, [_]) => "cut before".to_owned(),
            (many, [_, before @ ..]) => format!("{many} cut before: {}", before.join(", ")),
            (many, []) => format!("{many} cut before"),
        };
        let cut = match self.of_all {
            Some(all) if self.in_hand > 0 => format!("of all {all}, {cut}"),
            _ => cut,
        };
        noted(&[&self.step.note, &cut])
    }
}

/// All steps, in the order in which the site wants the items, else in the takeoff's.
#[must_use]
pub fn rows<'a>(plan: &'a Plan, sources: &Sources<'a>) -> Vec<Row<'a>> {
    let demand = sources.demand;
    let mut codes: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for piece in &plan.pieces {
        for used in &piece.uses {
            codes.entry(used.id.as_str()).or_default().push(&piece.piece);
        }
    }
    let mut cut: BTreeMap<&str, u64> = BTreeMap::new();
    for hand in plan.already.iter().flat_map(|already| &already.pieces) {
        codes.entry(hand.id.as_str()).or_default().push(&hand.piece);
        *cut.entry(hand.id.as_str()).or_default() += hand.quantity;
    }
    let pieces: BTreeMap<&str, &Piece> = demand.pieces.iter().map(|p| (p.id.as_str(), p)).collect();
    let runs: BTreeMap<(&str, u32, u32), &RunJoints> =
        demand.joints.iter().map(|j| ((j.item.as_str(), j.run, j.layer), j)).collect();
    let mut wanted: BTreeMap<&str, (usize, u64)> = BTreeMap::new();
    for step in &demand.schedule {
        let (steps, all) = wanted.entry(step.piece.as_str()).or_default();
        *steps += 1;
        *all = all.saturating_add(step.count.saturating_mul(step.items));
    }
    let of_all =
        |piece: &str| wanted.get(piece).filter(|(steps, _)| *steps > 1).map(|(_, all)| *all);
    let release = |item: &str| sources.item(item).map_or(u32::MAX, |item| item.release);
    let mut steps: Vec<&Step> = demand.schedule.iter().collect();
    steps.sort_by_key(|step| release(&step.item));
    let mut before = ("", 0, 0);
    let mut number = 0;
    let row = |step: &'a Step| {
        let layer = (step.item.as_str(), step.run, step.layer);
        number = if layer == before { number + 1 } else { 1 };
        before = layer;
        // A disc or ring has a layer's number without lying along it.
        let run = runs.get(&layer).copied().filter(|_| !step.seams.is_empty());
        let (to, joints) = run.map_or((None, Vec::new()), |run| stretch(step, run));
        Row {
            step,
            number,
            item: sources.item(&step.item),
            codes: codes.get(step.piece.as_str()).cloned().unwrap_or_default(),
            in_hand: cut.get(step.piece.as_str()).copied().unwrap_or(0),
            of_all: of_all(&step.piece),
            piece: pieces.get(step.piece.as_str()).copied(),
            to,
            joints,
            waived: run.and_then(|run| run.waived.as_deref()),
        }
    };
    steps.into_iter().map(row).collect()
}

/// Where a step's pieces end, and the joints on the way, the one at the run's end left out.
fn stretch(step: &Step, run: &RunJoints) -> (Option<Length>, Vec<Length>) {
    let round = u64::try_from(run.seams.len()).unwrap_or(1).max(1);
    let courses = usize::try_from(step.count / round).unwrap_or(usize::MAX);
    let mut from = run.start;
    let mut ends = Vec::new();
    for &course in &run.courses {
        let end = from + course;
        if from >= step.at && ends.len() < courses {
            ends.push(end);
        }
        from = end;
    }
    let to = ends.last().copied();
    ends.retain(|end| *end < from);
    (to, ends)
}

/// Lengths with a space between them.
fn list(lengths: &[Length]) -> String {
    lengths.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
}

/// One row a step. An item of which some are made otherwise has rows for each way, and `items alike` are
/// those of the row. Sizes are to a tenth, as a wrapper measures
/// them; exact ones stand in the list of pieces.
#[must_use]
pub fn schedule(plan: &Plan, sources: &Sources<'_>) -> Table {
    let mut table = Table::new(&[
        "release",
        "area",
        "line",
        "item",
        "what",
        "items alike",
        "run",
        "layer",
        "thickness mm",
        "step",
        "piece",
        "part",
        "pieces, one item",
        "width mm",
        "length mm",
        "from mm",
        "to mm",
        "joints mm",
        "seams deg",
        "ties, one item",
        "ties, all items alike",
        "pins, one piece",
        "stagger waived",
        "note",
    ]);
    for row in rows(plan, sources) {
        let Row { step, item, piece, .. } = row;
        table.push(vec![
            item.map_or(Cell::Empty, |i| Cell::Count(i.release.into())),
            item.map_or(Cell::Empty, |i| Cell::text(&i.area)),
            item.map_or(Cell::Empty, |i| Cell::text(&i.line)),
            Cell::text(&step.item),
            item.map_or(Cell::Empty, |i| Cell::text(words::thing(i, Measure::Millimetres))),
            Cell::Count(step.items),
            Cell::Count(step.run.into()),
            Cell::Count(step.layer.into()),
            piece.map_or(Cell::Empty, |p| Cell::Millimetres(p.thickness)),
            Cell::Count(row.number),
            Cell::text(row.codes.join(" ")),
            piece.map_or(Cell::Empty, |p| Cell::text(&p.part)),
            Cell::Count(step.count),
            piece.map_or(Cell::Empty, |p| Cell::Number(tenths(p.width))),
            piece.map_or(Cell::Empty, |p| Cell::Number(tenths(p.length))),
            row.to.map_or(Cell::Empty, |_| Cell::Millimetres(step.at)),
            row.to.map_or(Cell::Empty, Cell::Millimetres),
            Cell::text(list(&row.joints)),
            Cell::text(seams_in_words(&step.seams)),
            Cell::Count(step.ties),
            Cell::Count(step.ties.saturating_mul(step.items)),
            Cell::Count(step.pins.into()),
            row.waived.map_or(Cell::Empty, Cell::text),
            Cell::text(row.note()),
        ]);
    }
    table
}

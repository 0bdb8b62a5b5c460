//! Labels: one for each piece in the order of cutting, and one for each offcut that is kept.

use super::kits::seams;
use super::{Ticket, size_left};
use crate::plan::groups::drawings;
use crate::plan::{Piece, Plan};
use crate::report::proof::thickness_in_words;
use crate::report::sources::Sources;
use crate::units::{Length, Measure};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// What stands on one label.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// What the label's QR code holds: figures, capital letters and dashes, at most 25 of them, and
    /// unlike that of every other label of every plan.
    pub identity: String,
    /// The short code, to be read at arm's length; of an offcut its name.
    pub code: String,
    /// Blanket thickness in words.
    pub thickness: String,
    /// Size across the roll, unturned.
    pub width: Length,
    /// Size along the roll, unturned.
    pub length: Length,
    /// Whether it is an offcut, and no piece.
    pub left: bool,
    /// The item; empty for a spare or an offcut.
    pub item: String,
    /// Area of the site; may be empty.
    pub area: String,
    /// Line or equipment; may be empty.
    pub line: String,
    /// Layer and part in words, or what else it is.
    pub part: String,
    /// Where its seam lies, in words; may be empty.
    pub seam: String,
    /// The kit's number; `None` for a spare or an offcut.
    pub kit: Option<u64>,
    /// What the ticket is called.
    pub ticket: String,
    /// The pull's number in the order of cutting; 0 for an offcut behind all pulls.
    pub pull: u64,
    /// The number of the pull's drawing; `None` for an offcut behind all pulls.
    pub drawing: Option<u64>,
}

impl Label {
    /// Thickness and size in words: a piece's rounded up, an offcut's down.
    #[must_use]
    pub fn size_in_words(&self, measure: Measure) -> String {
        let size = if self.left {
            size_left(self.width, self.length, measure)
        } else {
            format!("{} × {}", measure.up(self.width), measure.up(self.length))
        };
        format!("{}, {size}", self.thickness)
    }
}

/// All labels of a plan: pieces in the order of cutting, then what each ticket keeps.
#[must_use]
pub fn labels(plan: &Plan, tickets: &[Ticket], sources: &Sources<'_>) -> Vec<Label> {
    let tag = tag(plan);
    let pieces: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    let (kits, seams) = (plan.kits(), seams(sources));
    let numbers = plan.tickets();
    let mut labels = Vec::new();
    let steps = plan.sequence.iter().flat_map(|s| &s.steps);
    for ((step, drawing), time) in steps.zip(drawings(plan)).zip(1..) {
        let ticket = numbers.get(&(step.roll, step.copy)).copied().unwrap_or_default();
        let pull = plan.rolls.get(step.roll).and_then(|roll| roll.pulls.get(step.pull));
        let places = pull.map_or(&[][..], |pull| &pull.placements);
        for ((place, used), at) in places.iter().zip(&step.uses).zip(1..) {
            let Some(piece) = pieces.get(place.piece.as_str()) else { continue };
            let used = used.and_then(|at| piece.uses.get(at));
            let item = used.and_then(|used| sources.item(&used.item));
            let identity: String = format!("{tag}-{ticket}-{time}-{at}");
            labels.push(Label {
                identity,
                code: piece.piece.clone(),
                thickness: plan.nests.get(piece.nest).map(thickness_in_words).unwrap_or_default(),
                width: piece.width,
                length: piece.length,
                left: false,
                item: used.map(|used| used.item.clone()).unwrap_or_default(),
                area: item.map(|i| i.area.clone()).unwrap_or_default(),
                line: item.map(|i| i.line.clone()).unwrap_or_default(),
                part: used.map_or_else(
                    || "spare".to_owned(),
                    |used| format!("layer {}, {}", used.layer, used.part),
                ),
                seam: used.and_then(|u| seams.get(u.id.as_str())).cloned().unwrap_or_default(),
                kit: used.and_then(|used| kits.get(used.item.as_str())).copied(),
                ticket: plan.ticket_name(ticket),
                drawing: Some(drawing),
                pull: time,
            });
        }
    }
    for ticket in tickets {
        for (kept, at) in ticket.kept.iter().zip(1_u64..) {
            labels.push(Label {
                identity: format!("{tag}-{}-LEFT-{at}", ticket.number),
                code: kept.name.clone(),
                thickness: ticket.thickness.clone(),
                width: kept.width,
                length: kept.length,
                left: true,
                item: String::new(),
                area: String::new(),
                line: String::new(),
                part: format!("offcut of {}, keep: {} in offcuts.csv", ticket.roll, kept.listed),
                seam: String::new(),
                kit: None,
                ticket: ticket.name.clone(),
                drawing: None,
                pull: 0,
            });
        }
    }
    labels
}

/// Six figures and letters that tell plans apart: of the digest of the plan's name, inputs, program
/// and rolls.
fn tag(plan: &Plan) -> String {
    let mut digest = Sha256::new();
    // With its length before it no text can be taken for the end or the beginning of its neighbour.
    let mut add = |text: &str| {
        digest.update(text.len().to_string());
        digest.update(":");
        digest.update(text);
    };
    add(&plan.name);
    add(&plan.inputs.len().to_string());
    for input in &plan.inputs {
        add(&input.file);
        add(&input.sha256);
    }
    let program = &plan.program;
    add(&program.version);
    add(&format!("{} {}", program.seed, program.limits.work));
    for roll in &plan.rolls {
        add(&roll.roll);
        add(&format!("{} {}", roll.copies, roll.pulls.len()));
        for pull in &roll.pulls {
            add(&pull.placements.len().to_string());
            for place in &pull.placements {
                add(&place.piece);
                add(&format!("{} {}", place.x, place.y));
            }
        }
    }
    let bytes = digest.finalize();
    bytes
        .iter()
        .take(3)
        .flat_map(|byte| [byte >> 4, byte & 15])
        .filter_map(|half| char::from_digit(half.into(), 16))
        .map(|c| c.to_ascii_uppercase())
        .collect()
}

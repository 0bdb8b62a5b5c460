//! A plan as the page in the browser draws it: pulls numbered as in the report, like ones once,
//! pieces by their number.

use super::groups::Groups;
use super::proof::{proof_of, thickness_in_words};
use super::sources::Sources;
use super::summary;
use crate::audit::Verified;
use crate::plan::{Offcut, Piece, Plan};
use crate::units::{Angle, Length};
use serde::Serialize;
use std::collections::BTreeMap;

/// The plan.
#[derive(Debug, Serialize)]
pub struct View<'a> {
    name: &'a str,
    summary: String,
    nests: Vec<NestView>,
    pieces: &'a [Piece],
    pulls: Vec<PullView>,
    layouts: Vec<LayoutView<'a>>,
    /// Item to where it stands in the takeoff.
    items: BTreeMap<&'a str, ItemView<'a>>,
}

#[derive(Debug, Serialize)]
struct NestView {
    thickness: String,
    proof: String,
}

#[derive(Debug, Serialize)]
struct PullView {
    nest: usize,
    width: Length,
    length: Length,
    /// How many there are on all rolls.
    count: u64,
    layouts: Vec<usize>,
    /// Their numbers in the order of cutting, those in a row as one.
    pulls: Vec<String>,
    cut_length: Length,
    /// Piece's index, x, y from the pull's near end, turn.
    placements: Vec<(usize, Length, Length, Angle)>,
}

#[derive(Debug, Serialize)]
struct LayoutView<'a> {
    roll: &'a str,
    nest: usize,
    width: Length,
    length: Option<Length>,
    copies: u64,
    shelf: Option<&'a str>,
    /// Index of each pull, and where it starts.
    pulls: Vec<(usize, Length)>,
    offcuts: &'a [Offcut],
}

#[derive(Debug, Serialize)]
struct ItemView<'a> {
    area: &'a str,
    line: &'a str,
    release: u32,
}

impl<'a> View<'a> {
    /// Of a plan that passed the audit.
    #[must_use]
    pub fn of(plan: &'a Verified<Plan>, sources: &Sources<'a>) -> Self {
        let groups = Groups::of(plan);
        let lengths = crate::plan::Lengths::of(plan);
        let index: BTreeMap<&str, usize> =
            plan.pieces.iter().enumerate().map(|(at, p)| (p.piece.as_str(), at)).collect();
        let pulls = groups.groups.iter().map(|group| PullView {
            nest: group.nest,
            width: group.width,
            length: group.pull.length,
            count: group.count,
            layouts: group.layouts.clone(),
            pulls: group.pulls_in_words(),
            cut_length: lengths.of_pull(group.pull, group.width).all(),
            placements: group
                .pull
                .placements
                .iter()
                .filter_map(|p| {
                    let &at = index.get(p.piece.as_str())?;
                    Some((at, p.x, p.y - group.pull.y, p.turn))
                })
                .collect(),
        });
        let layouts = plan.rolls.iter().zip(&groups.of_layout).map(|(roll, of)| LayoutView {
            roll: &roll.roll,
            nest: roll.nest,
            width: roll.width,
            length: roll.length,
            copies: roll.copies,
            shelf: sources.shelf(&roll.roll),
            pulls: of.iter().copied().zip(roll.pulls.iter().map(|p| p.y)).collect(),
            offcuts: &roll.offcuts,
        });
        let uses = plan.pieces.iter().flat_map(|piece| &piece.uses);
        let items = uses
            .filter_map(|used| {
                let item = sources.item(&used.item)?;
                let view = ItemView { area: &item.area, line: &item.line, release: item.release };
                Some((item.id.as_str(), view))
            })
            .collect();
        Self {
            name: &plan.name,
            summary: summary::summary(plan, sources),
            nests: (0..plan.nests.len())
                .map(|at| NestView {
                    thickness: thickness_in_words(&plan.nests[at]),
                    proof: proof_of(plan, at, sources),
                })
                .collect(),
            pieces: &plan.pieces,
            pulls: pulls.collect(),
            layouts: layouts.collect(),
            items,
        }
    }
}

//! A plan as the page in the browser draws it: pulls numbered as in the report, like ones once,
//! pieces by their number. Lengths to draw by are in millimetres; beside them stand those to be read, in the papers'
//! measure and where tickets set them out.

use super::order::lines;
use super::proof::{cut_from, proof_of, thickness_in_words};
use super::sources::Sources;
use super::summary::{order_line, price_in_words};
use crate::audit::Verified;
use crate::plan::groups::Groups;
use crate::plan::set_out::SetOut;
use crate::plan::{Offcut, Piece, Plan, Roll};
use crate::takeoff::Item;
use crate::units::{Angle, Length, Measure};
use serde::Serialize;
use std::collections::BTreeMap;

/// The plan.
#[derive(Debug, Serialize)]
pub struct View<'a> {
    name: &'a str,
    /// The unit of the lengths that are read, and what is said of all of them.
    unit: &'static str,
    rounded: &'static str,
    nests: Vec<NestView>,
    /// What the order costs, and what is to be said of that.
    price: Vec<String>,
    pieces: &'a [Piece],
    /// Of each piece, to be read: width and length.
    sizes: Vec<[String; 2]>,
    pulls: Vec<PullView>,
    layouts: Vec<LayoutView<'a>>,
    /// Item to where it stands in the takeoff.
    items: BTreeMap<&'a str, ItemView<'a>>,
}

#[derive(Debug, Serialize)]
struct NestView {
    thickness: String,
    /// What to buy of it and what to take from the shelf.
    order: Vec<String>,
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
    /// To be read: its length, its width, how much is cut.
    read: [String; 3],
    /// Piece's index, x, y from the pull's near end, turn.
    placements: Vec<(usize, Length, Length, Angle)>,
}

#[derive(Debug, Serialize)]
struct LayoutView<'a> {
    roll: &'a str,
    nest: usize,
    width: Length,
    length: Option<Length>,
    /// How many, of rolls or of offcuts, and where they are taken from where they are not bought.
    count: String,
    from: Option<String>,
    /// Index of each pull, and where it starts.
    pulls: Vec<(usize, Length)>,
    offcuts: &'a [Offcut],
    /// To be read: its width and length, empty where it has none; where each pull starts; where each offcut starts, its
    /// width and length.
    read: ([String; 2], Vec<String>, Vec<[String; 3]>),
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
        let measured = sources.measured(plan);
        let (measure, order) = (sources.measure, lines(plan, sources));
        let set_out = SetOut::of(plan, &groups, sources.rules, measure);
        let index: BTreeMap<&str, usize> =
            plan.pieces.iter().enumerate().map(|(at, p)| (p.piece.as_str(), at)).collect();
        let pulls = groups.groups.iter().enumerate().map(|(at, group)| PullView {
            nest: group.nest,
            width: group.width,
            length: group.pull.length,
            count: group.count,
            layouts: group.layouts.clone(),
            pulls: group.pulls_in_words(),
            read: [
                measure.up(set_out.group(at).along.at(group.pull.length)),
                measure.words(group.width),
                measure.way(measured.of_pull(group.at.0, group.at.1).all(), 2),
            ],
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
        let read = |at: usize, roll: &Roll| {
            let along = set_out.layout(at);
            let start = |y: Length| measure.words(along.at(y));
            let offcut = |left: &Offcut| {
                let left = set_out.left(at, roll, left);
                [measure.words(left.y), measure.down(left.width), measure.down(left.length)]
            };
            let long = roll.length.map_or_else(String::new, |length| measure.words(length));
            let starts = roll.pulls.iter().map(|pull| start(pull.y)).collect();
            ([measure.words(roll.width), long], starts, roll.offcuts.iter().map(offcut).collect())
        };
        let layouts = plan.rolls.iter().zip(&groups.of_layout).enumerate();
        let layouts = layouts.map(|(at, (roll, of))| LayoutView {
            roll: &roll.roll,
            nest: roll.nest,
            width: roll.width,
            length: roll.length,
            count: cut_from(plan, roll),
            from: sources.taken_from(plan, roll),
            pulls: of.iter().copied().zip(roll.pulls.iter().map(|p| p.y)).collect(),
            offcuts: &roll.offcuts,
            read: read(at, roll),
        });
        let item = |item: &'a Item| {
            let view = ItemView { area: &item.area, line: &item.line, release: item.release };
            (item.id.as_str(), view)
        };
        let items = sources.items().map(item).collect();
        Self {
            name: &plan.name,
            unit: measure.unit(),
            rounded: match measure {
                Measure::Millimetres => "",
                Measure::Inches => {
                    "~ before a length: rounded to 1/64, sizes up, what is left down."
                }
                Measure::RoundedInches => {
                    "Lengths are rounded to 1/64 in, sizes up, what is left down."
                }
            },
            nests: (0..plan.nests.len())
                .map(|at| NestView {
                    thickness: thickness_in_words(&plan.nests[at]),
                    order: order
                        .iter()
                        .filter(|line| line.nest == at)
                        .map(|line| order_line(line, measure))
                        .collect(),
                    proof: sources.telling.text(&proof_of(plan, at, sources)),
                })
                .collect(),
            price: price_in_words(plan, sources, &order),
            pieces: &plan.pieces,
            sizes: plan
                .pieces
                .iter()
                .map(|p| [measure.up(p.width), measure.up(p.length)])
                .collect(),
            pulls: pulls.collect(),
            layouts: layouts.collect(),
            items,
        }
    }
}

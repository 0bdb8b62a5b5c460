//! Files for cutting tables: each pull, or each roll, once as SVG and as DXF, in millimetres, with
//! a list that says which file is cut how often.
//!
//! Steps: choose what a file shows (like pulls once, or a roll's layout once); take the cuts in
//! cutting order, those along curved pieces from their outlines, and leave out what was cut before
//! ([`crate::plan::Once`]), so that an edge that two pieces share is cut one time; sort all lines
//! into layers with plain names ([`sheet::Layer`]); write them ([`svg`], [`dxf`]).

mod dxf;
mod sheet;
mod svg;

use super::documents::DocumentError;
use super::proof::thickness_in_words;
use super::table::{Cell, Table};
use crate::audit::Verified;
use crate::plan::groups::{Group, Groups};
use crate::plan::{Lengths, Piece, Plan};
use crate::units::Length;
use sheet::Sheet;
use std::collections::BTreeMap;

/// What one file shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shows {
    /// One pull; like pulls once.
    Pulls,
    /// One roll from its front to its end; like rolls once.
    Rolls,
}

/// A file: its name is made from numbers alone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CuttingFile {
    /// Its name.
    pub name: String,
    /// What stands in it.
    pub bytes: Vec<u8>,
}

/// The name of the list of all files.
pub const LIST: &str = "drawings.csv";

/// How files' names begin: those of pulls by their drawing, those of rolls by their layout; then what earlier
/// versions called them.
const STEMS: [&str; 4] = ["drawing-", "layout-", "pull-", "roll-"];

/// Whether a file of this name may have been written here: `drawing-` or `layout-`, a number, `.svg` or
/// `.dxf`.
#[must_use]
pub fn is_ours(name: &str) -> bool {
    let number = |rest: &str| !rest.is_empty() && rest.bytes().all(|b| b.is_ascii_digit());
    name.split_once('.').is_some_and(|(stem, ending)| {
        matches!(ending, "svg" | "dxf")
            && STEMS.iter().any(|begin| stem.strip_prefix(begin).is_some_and(number))
    })
}

/// All files of a plan, and the list of them.
///
/// # Errors
/// [`DocumentError::Dxf`]; none is expected: every sheet has a form in DXF.
pub fn cutting_files(
    plan: &Verified<Plan>,
    square_cut: Length,
    shows: Shows,
    svg: bool,
    dxf: bool,
) -> Result<Vec<CuttingFile>, DocumentError> {
    let pieces: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    let (sheets, word) = match shows {
        Shows::Pulls => (pulls(plan, &pieces), STEMS[0]),
        Shows::Rolls => (rolls(plan, square_cut, &pieces), STEMS[1]),
    };
    let digits = sheets.len().to_string().len().max(3);
    let mut files = Vec::new();
    let mut list = Table::new(&[
        "file",
        "thickness",
        "roll",
        "width mm",
        "length mm",
        "times",
        "layouts",
        "pieces each",
        "pulls",
        "tickets",
    ]);
    for (at, sheet) in sheets.iter().enumerate() {
        let stem = format!("{word}{:0digits$}", at + 1);
        if svg {
            files.push(CuttingFile { name: format!("{stem}.svg"), bytes: svg::write(sheet) });
        }
        if dxf {
            files.push(CuttingFile { name: format!("{stem}.dxf"), bytes: dxf::write(sheet)? });
        }
        list.push(vec![
            Cell::text(stem),
            Cell::text(&sheet.thickness),
            Cell::text(&sheet.roll),
            Cell::Millimetres(sheet.width),
            Cell::Millimetres(sheet.length),
            Cell::Count(sheet.times),
            Cell::text(&sheet.layouts),
            Cell::Count(sheet.pieces.len() as u64),
            Cell::text(&sheet.pulls),
            Cell::text(&sheet.tickets),
        ]);
    }
    files.push(CuttingFile { name: LIST.to_owned(), bytes: list.csv() });
    Ok(files)
}

fn pulls(plan: &Plan, pieces: &BTreeMap<&str, &Piece>) -> Vec<Sheet> {
    let groups = Groups::of(plan);
    let lengths = Lengths::of(plan);
    let sheet = |(at, group): (usize, &Group<'_>)| {
        let layouts: Vec<String> = group.layouts.iter().map(|l| (l + 1).to_string()).collect();
        let mut rolls: Vec<&str> = Vec::new();
        for roll in group.layouts.iter().filter_map(|&l| plan.rolls.get(l)) {
            if !rolls.contains(&roll.roll.as_str()) {
                rolls.push(&roll.roll);
            }
        }
        let mut sheet = Sheet {
            title: format!("{}: drawing {}", plan.name, at + 1),
            thickness: plan.nests.get(group.nest).map(thickness_in_words).unwrap_or_default(),
            roll: rolls.join(" or "),
            width: group.width,
            length: group.pull.length,
            times: group.count,
            layouts: layouts.join(" "),
            pulls: group.pulls_in_words().join(", "),
            tickets: plan.ticket_names(&group.tickets),
            ..Sheet::default()
        };
        sheet.add_pull(group.pull, group.pull.y, (pieces, &lengths));
        sheet
    };
    groups.groups.iter().enumerate().map(sheet).collect()
}

fn rolls(plan: &Plan, square_cut: Length, pieces: &BTreeMap<&str, &Piece>) -> Vec<Sheet> {
    let numbers = plan.tickets_by_layout();
    let lengths = Lengths::of(plan);
    let tickets = |layout: usize| {
        numbers.get(&layout).map(|numbers| plan.ticket_names(numbers)).unwrap_or_default()
    };
    let sheet = |(at, roll): (usize, &crate::plan::Roll)| {
        let used = roll.pulls.iter().map(|pull| pull.y + pull.length).max().unwrap_or_default();
        let mut sheet = Sheet {
            title: format!("{}: layout {}", plan.name, at + 1),
            thickness: plan.nests.get(roll.nest).map(thickness_in_words).unwrap_or_default(),
            roll: roll.roll.clone(),
            width: roll.width,
            length: roll.length.unwrap_or(used),
            times: roll.copies,
            layouts: (at + 1).to_string(),
            tickets: tickets(at),
            ..Sheet::default()
        };
        sheet.square_cut(roll.square_cut(square_cut));
        for pull in &roll.pulls {
            sheet.add_pull(pull, Length::ZERO, (pieces, &lengths));
        }
        sheet.keep(&roll.offcuts);
        sheet
    };
    plan.rolls.iter().enumerate().map(sheet).collect()
}

#[cfg(test)]
mod tests;

//! Every piece to cut: from the demand before nesting, or from the plan after it.

use super::sources::Sources;
use super::table::{Cell, Table, area_of_one};
use crate::cutting::Turns;
use crate::demand::{self, Demand};
use crate::geometry::Outline;
use crate::plan::{Piece, Plan, Wanted, wanted};
use crate::units::{Area, Length, Measure};
use serde::Serialize;
use std::collections::BTreeMap;

/// The allowed turns in words: `0`, `0 90`, `any`.
#[must_use]
pub fn turns_in_words(turns: &Turns) -> String {
    match turns {
        Turns::Any => "any".to_owned(),
        Turns::Only(list) => list.iter().map(ToString::to_string).collect::<Vec<_>>().join(" "),
    }
}

const fn shape(outline: Option<&Outline>) -> &'static str {
    if outline.is_some() { "outline" } else { "rectangle" }
}

/// The area of one of a plan's pieces.
#[must_use]
pub fn area_of(piece: &Piece) -> Area {
    piece.outline.as_ref().map_or(Area::of_rectangle(piece.width, piece.length), Outline::area)
}

/// The pieces of a plan, one row for each use, in the plan's order.
#[must_use]
pub fn pieces_of_plan(plan: &Plan, sources: &Sources<'_>) -> Table {
    let mut table = Table::new(&[
        "piece",
        "item",
        "area",
        "line",
        "layer",
        "part",
        "thickness mm",
        "width mm",
        "length mm",
        "area of one m2",
        "quantity",
        "shape",
        "turns deg",
        "release",
    ]);
    for piece in &plan.pieces {
        let thickness = plan.nests.get(piece.nest).and_then(|nest| nest.thickness);
        for used in &piece.uses {
            let item = sources.item(&used.item);
            table.push(vec![
                Cell::text(&piece.piece),
                Cell::text(&used.item),
                item.map_or(Cell::Empty, |i| Cell::text(&i.area)),
                item.map_or(Cell::Empty, |i| Cell::text(&i.line)),
                Cell::Count(used.layer.into()),
                Cell::text(&used.part),
                thickness.map_or(Cell::Empty, Cell::Millimetres),
                Cell::Millimetres(piece.width),
                Cell::Millimetres(piece.length),
                Cell::SquareMetres(area_of(piece)),
                Cell::Count(used.quantity),
                Cell::text(shape(piece.outline.as_ref())),
                Cell::text(turns_in_words(&piece.turns)),
                item.map_or(Cell::Empty, |i| Cell::Count(i.release.into())),
            ]);
        }
    }
    table
}

/// What a plan calls each of a demand's pieces, and the size to which it is cut: by the demand's own name.
fn as_cut(sheets: &[Wanted]) -> BTreeMap<&str, &wanted::Piece> {
    let pieces = sheets.iter().flat_map(|sheet| &sheet.pieces);
    pieces.flat_map(|piece| piece.uses.iter().map(move |used| (used.id.as_str(), piece))).collect()
}

/// As [`pieces`], for people: in the papers' measure.
#[must_use]
pub fn pieces_shown(demand: &Demand, sheets: &[Wanted], measure: Measure) -> Table {
    let mut table = pieces(demand, sheets);
    if measure == Measure::Millimetres {
        return table;
    }
    for heading in &mut table.headings {
        *heading = match *heading {
            "width mm" => "width in",
            "length mm" => "length in",
            "area of one m2" => "area of one ft2",
            other => other,
        };
    }
    for (at, heading) in table.headings.iter().enumerate() {
        let (of_product, of_part) = (*heading == "thickness mm", *heading == "part");
        for cell in table.rows.iter_mut().filter_map(|row| row.get_mut(at)) {
            match cell {
                // A space that a terminal's own search finds.
                Cell::Millimetres(length) if !of_product => {
                    *cell = Cell::Number(measure.up(*length).replace('\u{a0}', " "));
                }
                Cell::SquareMetres(area) => *cell = Cell::Number(area_of_one(*area, measure).1),
                Cell::Text(part) if of_part => *part = measure.in_text(part).replace('\u{a0}', " "),
                _ => {}
            }
        }
    }
    table
}

/// The pieces of a demand as a table, by the codes and sizes of a plan of these order sheets.
#[must_use]
pub fn pieces(demand: &Demand, sheets: &[Wanted]) -> Table {
    let as_cut = as_cut(sheets);
    let mut table = Table::new(&[
        "piece",
        "item",
        "layer",
        "part",
        "thickness mm",
        "quantity",
        "width mm",
        "length mm",
        "area of one m2",
        "shape",
        "turns deg",
    ]);
    for piece in &demand.pieces {
        let cut = as_cut.get(piece.id.as_str());
        let (width, length) =
            cut.map_or((piece.width, piece.length), |cut| (cut.width, cut.length));
        table.push(vec![
            cut.map_or(Cell::Empty, |cut| Cell::text(&cut.code)),
            Cell::text(&piece.item),
            Cell::Count(piece.layer.into()),
            Cell::text(&piece.part),
            Cell::Millimetres(piece.thickness),
            Cell::Count(piece.quantity),
            Cell::Millimetres(width),
            Cell::Millimetres(length),
            Cell::SquareMetres(piece.area),
            Cell::text(shape(piece.outline.as_ref())),
            Cell::text(turns_in_words(&piece.turns)),
        ]);
    }
    table
}

/// One piece of a demand as others read it.
#[derive(Clone, Debug, Serialize)]
pub struct PieceOut<'a> {
    piece: &'a str,
    /// What a plan calls it, and the size to which it is cut.
    code: Option<&'a str>,
    cut_width: Option<Length>,
    cut_length: Option<Length>,
    item: &'a str,
    layer: u32,
    part: &'a str,
    thickness: Length,
    quantity: u64,
    width: Length,
    length: Length,
    area: Area,
    #[serde(skip_serializing_if = "Option::is_none")]
    outline: Option<&'a Outline>,
    turns: &'a Turns,
}

/// The pieces of a demand for JSON; lengths in millimetres, areas in square millimetres.
#[must_use]
pub fn pieces_out<'a>(demand: &'a Demand, sheets: &'a [Wanted]) -> Vec<PieceOut<'a>> {
    let as_cut = as_cut(sheets);
    let cut = |p: &demand::Piece| as_cut.get(p.id.as_str()).copied();
    demand
        .pieces
        .iter()
        .map(|p| PieceOut {
            piece: &p.id,
            code: cut(p).map(|cut| cut.code.as_str()),
            cut_width: cut(p).map(|cut| cut.width),
            cut_length: cut(p).map(|cut| cut.length),
            item: &p.item,
            layer: p.layer,
            part: &p.part,
            thickness: p.thickness,
            quantity: p.quantity,
            width: p.width,
            length: p.length,
            area: p.area,
            outline: p.outline.as_ref(),
            turns: &p.turns,
        })
        .collect()
}

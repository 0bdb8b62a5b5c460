//! What stands below every sheet: what the piece is, where it goes, the bar to measure a print by, and which
//! of the piece's sheets this is.

use super::cell::Cell;
use super::tile::{Grid, MARGIN};
use super::{Anchor, Line, Sheet, Stroke, Template, Text};
use crate::geometry::Point;
use crate::report::bar::Bar;
use crate::report::text::shortened;
use crate::units::{Angle, Length, Measure};

/// Height of the footer.
pub const FOOTER: Length = Length::from_mm(34);

fn mm(value: i64) -> Length {
    Length::from_mm(value)
}

/// Writes the footer.
pub fn write(
    sheet: &mut Sheet,
    template: &Template,
    (grid, cell): (&Grid, &Cell),
    measure: Measure,
) {
    let (width, length) = template.outline.size();
    let thickness = template.thickness.map_or_else(String::new, |t| format!(", {t} mm blanket"));
    let only = grid.cells.len() == 1;
    let place = if only {
        "one sheet".to_owned()
    } else {
        format!("sheet {}, one of {}", cell.name(), grid.cells.len())
    };
    let room = sheet.width - MARGIN * 2;
    let lines = [
        (mm(5), format!("{}   {}", template.piece, measure.in_text(&template.part))),
        (
            mm(4),
            format!(
                "{} wide, {} long{thickness}; cut {}; {place}",
                measure.up(width),
                measure.up(length),
                template.quantity
            ),
        ),
        (Length::from_nm(3_300_000), format!("for {}", kit(&template.kit, room))),
    ];
    let mut y = MARGIN + FOOTER - mm(6);
    for (size, words) in lines {
        let words = shortened(&words, letters(room, size));
        let at = Point::new(MARGIN, y);
        sheet.texts.push(Text { at, anchor: Anchor::Start, turn: Angle::ZERO, size, words });
        y = y - size - mm(1);
    }
    frame(sheet);
    bar(sheet, Bar::of(measure));
    if !only {
        map(sheet, grid, cell, template.outline.size());
    }
}

/// About how many letters of this size fit.
fn letters(room: Length, size: Length) -> usize {
    usize::try_from(room.nm() * 20 / (size.nm().max(1) * 11)).unwrap_or(0)
}

/// As many uses as fit, and how many more there are.
fn kit(uses: &[String], room: Length) -> String {
    let most = letters(room, Length::from_nm(3_300_000)).saturating_sub(16);
    let mut text = String::new();
    for (at, used) in uses.iter().enumerate() {
        let more = if at == 0 { used.clone() } else { format!("; {used}") };
        if at > 0 && text.chars().count() + more.chars().count() > most {
            return format!("{text}; {} more", uses.len() - at);
        }
        text.push_str(&more);
    }
    text
}

fn stroke(sheet: &mut Sheet, line: Line, points: &[(Length, Length)]) {
    let points = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
    sheet.strokes.push(Stroke { line, points });
}

/// The line between drawing and footer.
fn frame(sheet: &mut Sheet) {
    let y = MARGIN + FOOTER;
    let right = sheet.width - MARGIN;
    stroke(sheet, Line::Fine, &[(MARGIN, y), (right, y)]);
}

/// The bar with its ticks.
fn bar(sheet: &mut Sheet, bar: Bar) {
    let (x, y) = (MARGIN, MARGIN + mm(5));
    stroke(sheet, Line::Mark, &[(x, y), (x + bar.length(), y)]);
    for (at, tall) in bar.ticks() {
        stroke(sheet, Line::Mark, &[(x + at, y), (x + at, y + tall)]);
    }
    let (at, size) = (Point::new(x, MARGIN + mm(1)), mm(3));
    let words = bar.words();
    sheet.texts.push(Text { at, anchor: Anchor::Start, turn: Angle::ZERO, size, words });
}

/// A small plan of the piece's sheets, this one crossed.
fn map(sheet: &mut Sheet, grid: &Grid, this: &Cell, (width, length): (Length, Length)) {
    let room = i128::from(mm(15).nm());
    let longest = i128::from(width.max(length).nm()).max(1);
    let small = |v: Length| {
        Length::from_nm(i64::try_from(i128::from(v.nm()) * room / longest).unwrap_or(0))
    };
    let left = sheet.width - MARGIN - small(width);
    for cell in &grid.cells {
        let (x, right) =
            (left + small(cell.low.x.max(Length::ZERO)), left + small(cell.high.x.min(width)));
        let (y, top) = (MARGIN + small(cell.low.y), MARGIN + small(cell.high.y));
        stroke(sheet, Line::Fine, &[(x, y), (right, y), (right, top), (x, top), (x, y)]);
        if cell == this {
            stroke(sheet, Line::Mark, &[(x, y), (right, top)]);
            stroke(sheet, Line::Mark, &[(x, top), (right, y)]);
        }
    }
}

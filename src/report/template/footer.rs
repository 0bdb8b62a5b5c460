//! What stands below every sheet: what the piece is, where it goes, the bar of 100 mm, and which of
//! the piece's sheets this is.

use super::tile::{Grid, MARGIN};
use super::{Anchor, Line, Sheet, Stroke, Template, Text};
use crate::geometry::Point;
use crate::report::text::{shortened, tenths};
use crate::units::{Angle, Length};

/// Height of the footer.
pub const FOOTER: Length = Length::from_mm(34);

const BAR: Length = Length::from_mm(100);

fn mm(value: i64) -> Length {
    Length::from_mm(value)
}

/// Writes the footer.
pub fn write(sheet: &mut Sheet, template: &Template, grid: &Grid, column: usize, row: usize) {
    let (width, length) = template.outline.size();
    let thickness = template.thickness.map_or_else(String::new, |t| format!(", {t} mm blanket"));
    let only = grid.columns * grid.rows == 1;
    let place = if only {
        "one sheet".to_owned()
    } else {
        let last = grid.name(grid.columns - 1, 0);
        format!("sheet {} of A1 to {last}", grid.name(column, row))
    };
    let room = sheet.width - MARGIN * 2;
    let lines = [
        (mm(5), format!("{}   {}", template.piece, template.part)),
        (
            mm(4),
            format!(
                "{} wide, {} long{thickness}; cut {}; {place}",
                tenths(width),
                tenths(length),
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
    bar(sheet);
    if !only {
        map(sheet, grid, column, row);
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

/// The bar of 100 mm with a tick every 10 mm.
fn bar(sheet: &mut Sheet) {
    let (x, y) = (MARGIN, MARGIN + mm(5));
    stroke(sheet, Line::Mark, &[(x, y), (x + BAR, y)]);
    for i in 0..=10 {
        let at = x + mm(10 * i);
        let tall = if i % 5 == 0 { mm(3) } else { Length::from_nm(1_500_000) };
        stroke(sheet, Line::Mark, &[(at, y), (at, y + tall)]);
    }
    let words = "100 mm: measure this bar first; print at full size, not fitted to the page";
    let (at, size) = (Point::new(x, MARGIN + mm(1)), mm(3));
    let words = words.to_owned();
    sheet.texts.push(Text { at, anchor: Anchor::Start, turn: Angle::ZERO, size, words });
}

/// A small plan of the piece's sheets, this one crossed.
fn map(sheet: &mut Sheet, grid: &Grid, column: usize, row: usize) {
    let most = grid.columns.max(grid.rows);
    let cell = Length::from_nm(16_000_000 / i64::try_from(most).unwrap_or(1).max(4));
    let number = |i: usize| i64::try_from(i).unwrap_or(0);
    let left = sheet.width - MARGIN - cell * number(grid.columns);
    let bottom = MARGIN;
    let (right, top) = (left + cell * number(grid.columns), bottom + cell * number(grid.rows));
    for i in 0..=grid.columns {
        let x = left + cell * number(i);
        stroke(sheet, Line::Fine, &[(x, bottom), (x, top)]);
    }
    for i in 0..=grid.rows {
        let y = bottom + cell * number(i);
        stroke(sheet, Line::Fine, &[(left, y), (right, y)]);
    }
    let (x, y) = (left + cell * number(column), bottom + cell * number(row));
    stroke(sheet, Line::Mark, &[(x, y), (x + cell, y + cell)]);
    stroke(sheet, Line::Mark, &[(x, y + cell), (x + cell, y)]);
}

//! A table as a sheet that can be read, sorted and printed.

use super::List;
use crate::report::table::{Cell, Table};
use crate::report::text::{shortened, starts_formula, visible};
use crate::units::SheetSize;
use rust_xlsxwriter::{Format, FormatAlign, FormatBorder, Worksheet, XlsxError};

/// The last row of a sheet is the 1,048,576th (ECMA-376), and one holds the headings.
const ROWS: usize = 1_048_575;

/// The longest text that a cell can hold.
const LONGEST: usize = 32_767;

/// The number of a size among those of workbooks (ECMA-376, 18.3.1.63).
const fn paper(sheet: SheetSize) -> u8 {
    match sheet {
        SheetSize::A4 => 9,
        SheetSize::Letter => 1,
    }
}

/// Words as a cell holds them: on one line, every character visible, no longer than it can be.
pub(super) fn words(text: &str) -> String {
    shortened(&visible(text), LONGEST)
}

/// The forms of cells.
pub(super) struct Forms {
    head: Format,
    words: Format,
    marked: Format,
    plain: Format,
    area: Format,
    money: Format,
}

impl Forms {
    pub(super) fn new() -> Self {
        let cell = || Format::new().set_align(FormatAlign::Top);
        Self {
            head: cell().set_bold().set_text_wrap().set_border_bottom(FormatBorder::Thin),
            words: cell(),
            marked: cell().set_quote_prefix(),
            plain: cell(),
            area: cell().set_num_format("0.000"),
            money: cell().set_num_format("#,##0.00"),
        }
    }

    /// All of them, always in the same order.
    pub(super) fn all(&self) -> [&Format; 6] {
        [&self.head, &self.words, &self.marked, &self.plain, &self.area, &self.money]
    }
}

/// How many sheets a list takes.
pub(super) fn parts(table: &Table) -> usize {
    table.rows.len().div_ceil(ROWS).max(1)
}

/// A list on so many blank sheets as it takes ([`parts`]).
pub(super) fn sheets(
    job: &str,
    list: &List<'_>,
    blanks: Vec<Worksheet>,
    on: SheetSize,
) -> Result<Vec<Worksheet>, XlsxError> {
    let forms = Forms::new();
    let part = |(part, mut sheet): (usize, Worksheet)| {
        let from = part * ROWS;
        let rows = list.table.rows.iter().skip(from).take(ROWS);
        let name =
            if part == 0 { list.name.to_owned() } else { format!("{} {}", list.name, part + 1) };
        sheet.set_name(&name)?;
        fill(&mut sheet, &list.table, rows, &forms)?;
        print(&mut sheet, job, &name, on);
        Ok(sheet)
    };
    blanks.into_iter().enumerate().map(part).collect()
}

fn fill<'t>(
    sheet: &mut Worksheet,
    table: &Table,
    rows: impl Iterator<Item = &'t Vec<Cell>> + Clone,
    forms: &Forms,
) -> Result<(), XlsxError> {
    let last_column = u16::try_from(table.headings.len().saturating_sub(1)).unwrap_or(u16::MAX);
    for (column, heading) in (0_u16..).zip(&table.headings) {
        sheet.write_string_with_format(0, column, *heading, &forms.head)?;
        let cells = rows.clone().filter_map(|row| row.get(usize::from(column)));
        let longest = cells.map(|cell| cell.rounded().chars().count()).max().unwrap_or(0);
        sheet.set_column_width(column, width(heading, longest))?;
    }
    let mut last_row = 0;
    for (row, cells) in (1_u32..).zip(rows) {
        last_row = row;
        for (column, cell) in (0_u16..).zip(cells) {
            write_cell(sheet, row, column, cell, forms)?;
        }
    }
    sheet.set_freeze_panes(1, 0)?;
    sheet.set_repeat_rows(0, 0)?;
    sheet.set_print_area(0, 0, last_row, last_column)?;
    if last_row > 0 {
        sheet.autofilter(0, 0, last_row, last_column)?;
    }
    Ok(())
}

/// A column's width in letters: its longest value, and its heading on two lines at most.
fn width(heading: &str, longest: usize) -> f64 {
    let word = heading.split(' ').map(str::len).max().unwrap_or(0);
    let head = (heading.len().div_ceil(2) + 3).max(word + 3);
    let letters = longest.clamp(6, 60).max(head) + 2;
    f64::from(u32::try_from(letters).unwrap_or(60))
}

fn write_cell(
    sheet: &mut Worksheet,
    row: u32,
    column: u16,
    cell: &Cell,
    forms: &Forms,
) -> Result<(), XlsxError> {
    let (number, form) = match cell {
        Cell::Empty => return Ok(()),
        Cell::Text(text) => return write_words(sheet, row, column, text, forms),
        // Beyond 2^53 a workbook has no whole numbers; no count of a job comes near.
        Cell::Count(count) => (count.to_string().parse().ok(), &forms.plain),
        Cell::Millimetres(length) => (Some(length.mm_f64()), &forms.plain),
        Cell::SquareMetres(area) => (Some(area.m2_f64()), &forms.area),
        Cell::Money(money) => (Some(money.units_f64()), &forms.money),
        Cell::Rate(each) => (Some(each.units_f64()), &forms.plain),
        Cell::Number(figures) => (figures.parse::<f64>().ok(), &forms.plain),
    };
    match number.filter(|n| n.is_finite()) {
        Some(number) => sheet.write_number_with_format(row, column, number, form)?,
        None => sheet.write_string_with_format(row, column, words(&cell.plain()), &forms.words)?,
    };
    Ok(())
}

fn write_words(
    sheet: &mut Worksheet,
    row: u32,
    column: u16,
    text: &str,
    forms: &Forms,
) -> Result<(), XlsxError> {
    let text = words(text);
    if text.is_empty() {
        return Ok(());
    }
    let live = text.trim_start().starts_with(starts_formula);
    let form = if live { &forms.marked } else { &forms.words };
    sheet.write_string_with_format(row, column, text, form)?;
    Ok(())
}

/// On paper: across, as many pages down as it takes, the headings on each, job and page below.
fn print(sheet: &mut Worksheet, job: &str, name: &str, on: SheetSize) {
    // In headers an ampersand starts a code; two stand for one. They hold 255 characters.
    let job = shortened(&visible(job), 80).replace('&', "&&");
    sheet.set_landscape().set_paper_size(paper(on)).set_print_fit_to_pages(1, 0);
    sheet.set_header(format!("&L{job}&R{name}"));
    sheet.set_footer("&LNothing here replaces the project's specification.&RPage &P of &N");
}

//! One workbook with every list of a plan: `plan.xlsx`.
//!
//! Steps: the lists as tables ([`lists`]); a sheet for each ([`sheet`]), split where it is longer
//! than a sheet can be; the library's own names taken out of what it wrote ([`maker`]). Numbers are numbers, their unit stands in the heading; words are stored as
//! words, and where one begins like a formula it is marked as text, so that it stays one when it is
//! edited. There is no formula and no link in the workbook, and no clock: the date of making is a
//! fixed one, so that the same plan gives the same bytes.
//!
//! The library keeps some 2 kB for each row of a sheet until the workbook is packed. So rows of long lists go to
//! temporary files as they are written. It panics where their disk is full: then the workbook is made anew in memory.

mod lists;
mod maker;
mod sheet;

use super::lists::{Lists, Priced};
use super::sources::Sources;
use super::table::Table;
use crate::plan::Plan;
use rayon::prelude::*;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook, Worksheet, XlsxError};
use std::borrow::Cow;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// A list and the name of its sheet.
struct List<'t> {
    name: &'static str,
    table: Cow<'t, Table>,
}

/// Lists with more rows than this are kept in temporary files.
const LONG: usize = 5_000;

/// A workbook in the making, with its first sheets.
pub(super) struct Draft {
    book: Workbook,
    sheets: Vec<Vec<Worksheet>>,
    /// Lists with more rows than this go to temporary files.
    long: usize,
}

/// What is made, unless it fails or panics.
fn guarded<T>(make: impl FnOnce() -> Result<T, XlsxError>) -> Option<T> {
    catch_unwind(AssertUnwindSafe(make)).ok()?.ok()
}

/// A workbook with the sheets of the lists that rest on the plan alone; `None` where temporary files cannot be
/// written.
pub(super) fn draft(plan: &Plan, sources: &Sources<'_>, made: &Lists) -> Option<Draft> {
    guarded(|| drafted(plan, sources, made, LONG))
}

fn drafted(
    plan: &Plan,
    sources: &Sources<'_>,
    made: &Lists,
    long: usize,
) -> Result<Draft, XlsxError> {
    let mut book = Workbook::new();
    // Forms of cells are numbered as they come up, here always in the same order.
    sheet::Forms::new().all().into_iter().for_each(|form| book.register_format(form));
    let sheets = sheets((&mut book, long), plan, sources, &lists::of_plan(plan, sources, made))?;
    Ok(Draft { book, sheets, long })
}

fn sheets(
    (book, long): (&mut Workbook, usize),
    plan: &Plan,
    sources: &Sources<'_>,
    lists: &[List<'_>],
) -> Result<Vec<Vec<Worksheet>>, XlsxError> {
    let blank = |list: &List<'_>| -> Result<Vec<Worksheet>, XlsxError> {
        let one = |_| match list.table.rows.len() {
            rows if rows > long => book.new_worksheet_with_constant_memory(),
            _ => Ok(Worksheet::new()),
        };
        (0..sheet::parts(&list.table)).map(one).collect()
    };
    let blanks: Vec<Vec<Worksheet>> = lists.iter().map(blank).collect::<Result<_, _>>()?;
    lists
        .par_iter()
        .zip(blanks)
        .map(|(list, blanks)| sheet::sheets(&plan.name, list, blanks, sources.sheet))
        .collect()
}

/// How hard sheets are compressed, 1 to 9: a fourth larger than at the usual 6, in a third of the time, which
/// is the last that a plan waits for.
const LEVEL: u8 = 2;

/// The workbook, from its draft; where there is none, or it cannot be written, all in memory.
///
/// # Errors
/// None is expected: names, sizes and texts are kept within what a workbook can hold.
pub(super) fn workbook(
    plan: &Plan,
    sources: &Sources<'_>,
    priced: Option<&Priced>,
    draft: Option<Draft>,
) -> Result<Vec<u8>, XlsxError> {
    let packed = draft.and_then(|draft| guarded(|| packed(plan, sources, priced, draft)));
    if let Some(packed) = packed {
        return Ok(packed);
    }
    let draft = drafted(plan, sources, &Lists::of(plan, sources), usize::MAX)?;
    self::packed(plan, sources, priced, draft)
}

fn packed(
    plan: &Plan,
    sources: &Sources<'_>,
    priced: Option<&Priced>,
    draft: Draft,
) -> Result<Vec<u8>, XlsxError> {
    let Draft { mut book, sheets: first, long } = draft;
    book.set_zip_compression_level(LEVEL);
    let day = ExcelDateTime::from_ymd(2000, 1, 1)?;
    let about = DocProperties::new()
        .set_title(sheet::words(&plan.name))
        .set_comment(format!("rollwright {}", plan.program.version))
        .set_creation_datetime(&day);
    book.set_properties(&about);
    let beside = sheets((&mut book, long), plan, sources, &lists::beside(sources, priced))?;
    for sheet in first.into_iter().chain(beside).flatten() {
        book.push_worksheet(sheet);
    }
    maker::named(&book.save_to_buffer()?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demand::Demand;
    use crate::finding::Findings;
    use crate::plan::sample;
    use crate::report::table::Cell;
    use crate::rules::Rules;
    use crate::stock::Stock;
    use crate::takeoff::Takeoff;
    use calamine::{Data, Reader, Xlsx};
    use std::io::Cursor;

    /// What is made of the sources of a plan alone.
    fn of<T>(plan: &Plan, make: impl FnOnce(&Sources<'_>, &Lists) -> T) -> T {
        let (takeoff, stock, rules) = (Takeoff::default(), Stock::default(), Rules::default());
        let (demand, findings) = (Demand::default(), Findings::new());
        let sources = Sources::new(&takeoff, &stock, &rules, &demand, &findings);
        make(&sources, &Lists::of(plan, &sources))
    }

    fn made(plan: &Plan) -> Vec<u8> {
        of(plan, |sources, lists| {
            workbook(plan, sources, None, draft(plan, sources, lists)).unwrap()
        })
    }

    #[test]
    fn nobody_else_is_named_as_its_maker() {
        let bytes = made(&sample::plan(3, 2));
        let mut archive = zip::ZipArchive::new(Cursor::new(bytes.as_slice())).unwrap();
        let mut read = 0;
        for at in 0..archive.len() {
            let mut part = archive.by_index(at).unwrap();
            let (name, mut text) = (part.name().unwrap().into_owned(), String::new());
            std::io::Read::read_to_string(&mut part, &mut text).unwrap();
            // Names in the addresses of the format are no makers.
            let plain = text.to_lowercase();
            let plain = plain.replace("officedocument", "").replace("schemas.microsoft.com", "");
            for brand in ["microsoft", "excel", "office", "appname", "rust_xlsxwriter"] {
                assert!(!plain.contains(brand), "{name} names {brand}");
            }
            if name == "docProps/app.xml" {
                assert!(text.contains("<Application>rollwright</Application>"), "{text}");
                read += 1;
            }
            if name == "xl/theme/theme1.xml" {
                assert!(text.contains("<a:latin "), "the theme has lost its own fonts: {text}");
                read += 1;
            }
        }
        assert_eq!(read, 2, "parts that are looked for");
        let book: Xlsx<_> = calamine::open_workbook_from_rs(Cursor::new(bytes.as_slice())).unwrap();
        assert!(book.sheet_names().contains(&"pieces".to_owned()));
    }

    /// Where temporary files cannot be written (the library panics), the workbook holds the same.
    #[test]
    fn what_fails_in_files_is_made_in_memory() {
        assert!(guarded::<()>(|| panic!("as the library where the disk is full")).is_none());
        let plan = sample::plan(LONG + 10, 2);
        let sheets = |bytes: Vec<u8>| -> Vec<(String, Vec<Vec<Data>>)> {
            let mut book = Xlsx::new(Cursor::new(bytes)).unwrap();
            let sheets = book.worksheets().into_iter();
            sheets.map(|(name, of)| (name, of.rows().map(<[Data]>::to_vec).collect())).collect()
        };
        let anew = of(&plan, |sources, _| workbook(&plan, sources, None, None).unwrap());
        let anew = sheets(anew);
        assert!(anew.iter().any(|(_, rows)| rows.len() > LONG));
        assert!(anew == sheets(made(&plan)), "other cells in memory");
    }

    /// Rows of long lists go to temporary files: what is read from the sheet is what the list says, and the bytes
    /// are the same on one thread and on four.
    #[test]
    fn long_lists_are_as_they_would_be_in_memory() {
        let plan = sample::plan(LONG + 10, 2);
        let on = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| made(&plan))
        };
        let bytes = on(1);
        assert!(bytes == on(4), "other bytes on four threads");
        let mut book = Xlsx::new(Cursor::new(bytes.as_slice())).unwrap();
        let sheet = book.worksheet_range("pieces").unwrap();
        let wanted: Vec<Vec<String>> = of(&plan, |sources, lists| {
            let all = lists::of_plan(&plan, sources, lists);
            let list = all.iter().find(|list| list.name == "pieces").unwrap();
            list.table.rows.iter().map(|row| row.iter().map(Cell::plain).collect()).collect()
        });
        assert!(wanted.len() > LONG);
        let rows: Vec<&[Data]> = sheet.rows().collect();
        assert_eq!(rows.len(), wanted.len() + 1);
        for (row, cells) in rows.iter().skip(1).zip(&wanted) {
            for (data, plain) in row.iter().zip(cells) {
                match data {
                    Data::Float(number) => {
                        let wanted: f64 = plain.parse().unwrap();
                        assert!((number - wanted).abs() <= 1e-6 * wanted.abs().max(1.0), "{plain}");
                    }
                    Data::String(text) => assert_eq!(text, plain),
                    Data::Empty => assert_eq!(plain, ""),
                    other => panic!("{other:?} for {plain}"),
                }
            }
        }
    }

    #[test]
    fn numbers_are_numbers_and_words_never_a_formula() {
        let mut plan = sample::plan(9, 2);
        plan.name = "=cmd()&G<script>\u{202e}".to_owned();
        for (at, text) in [
            "=cmd|' /C calc'!A0",
            "+1",
            "-1+A1",
            "@SUM(A1)",
            "<script>",
            "../x",
            "http://x",
            "\u{7}",
        ]
        .iter()
        .enumerate()
        {
            plan.pieces[at].uses[0].item = (*text).to_owned();
        }
        plan.pieces[8].uses[0].item = "x".repeat(40_000);
        let bytes = made(&plan);
        assert_eq!(bytes, made(&plan), "the same plan gave other bytes");
        let mut book = Xlsx::new(Cursor::new(bytes.as_slice())).unwrap();
        let mut counted = 0;
        for name in book.sheet_names() {
            let formulas = book.worksheet_formula(&name).unwrap();
            assert!(formulas.used_cells().next().is_none(), "{name} has a formula");
            counted += 1;
        }
        assert!(counted >= 6, "{counted} sheets");
        let pieces = book.worksheet_range("pieces").unwrap();
        let rows: Vec<&[Data]> = pieces.rows().collect();
        assert_eq!(rows[0][1], Data::String("item".to_owned()));
        assert_eq!(rows[1][1], Data::String("=cmd|' /C calc'!A0".to_owned()));
        assert_eq!(rows[8][1], Data::String("\u{fffd}".to_owned()));
        assert!(matches!(&rows[9][1], Data::String(long) if long.chars().count() == 32_767));
        // The sample's first piece is 120 by 180 mm.
        let at = |heading: &str| {
            rows[0].iter().position(|cell| *cell == Data::String(heading.to_owned())).unwrap()
        };
        assert_eq!(rows[1][at("width mm")], Data::Float(120.0));
        assert_eq!(rows[1][at("area of one m2")], Data::Float(0.0216));
        assert_eq!(rows[1][at("quantity")], Data::Float(2.0));
    }
}

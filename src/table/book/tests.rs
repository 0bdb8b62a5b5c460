//! Workbooks as people make them, written by `rust_xlsxwriter` or packed by hand.

use super::super::{Codes, Column, Reader, Table};
use crate::finding::Findings;
use crate::finding::codes::files;
use crate::units::Length;
use rust_xlsxwriter::{ExcelDateTime, Format, Formula, Workbook, Worksheet};
use std::io::{Cursor, Write};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

static COLUMNS: [Column; 5] = [
    Column::needed("item", "name", "a", "a name"),
    Column::needed("length", "length", "5", "a length"),
    Column::optional("size", "size", "NPS 3", "a size"),
    Column::optional("area", "text", "North", "where"),
    Column::optional("note", "text", "x", "free text"),
];

type Rows = Vec<(u64, [String; 5])>;

fn read(file: &str, bytes: &[u8]) -> (Option<Rows>, Vec<String>) {
    let mut findings = Findings::new();
    let table = Table::read(file, bytes, &COLUMNS, &mut findings);
    let rows = table.map(|table| {
        table.rows().map(|row| (row.line, row.cells.map(|cell| cell.text().to_owned()))).collect()
    });
    (rows, findings.iter().map(ToString::to_string).collect())
}

fn row(line: u64, cells: [&str; 5]) -> (u64, [String; 5]) {
    (line, cells.map(str::to_owned))
}

/// A workbook with one sheet.
fn book(name: &str, fill: impl Fn(&mut Worksheet)) -> Vec<u8> {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet().set_name(name).unwrap();
    fill(sheet);
    book.save_to_buffer().unwrap()
}

fn head(sheet: &mut Worksheet, row: u32, headings: &[&str]) {
    for (at, heading) in headings.iter().enumerate() {
        sheet.write(row, u16::try_from(at).unwrap(), *heading).unwrap();
    }
}

#[test]
fn values_count_and_not_how_they_are_shown() {
    let bytes = book("Sheet1", |sheet| {
        head(sheet, 0, &["Item", "Length (mm)", "own", "note", "area"]);
        let grouped = Format::new().set_num_format("#,##0");
        let metres = Format::new().set_num_format("0.0\" m\"");
        let day = Format::new().set_num_format("yyyy-mm-dd");
        sheet.write(1, 0, 101).unwrap();
        sheet.write_with_format(1, 1, 1200.0, &grouped).unwrap();
        sheet.write(1, 2, "kept to myself").unwrap();
        let date = ExcelDateTime::from_ymd(2026, 3, 4).unwrap();
        sheet.write_with_format(1, 3, &date, &day).unwrap();
        sheet.write(3, 0, "P-2").unwrap();
        sheet.write_with_format(3, 1, 2.4, &metres).unwrap();
        sheet.write(3, 3, "two\r\nlines").unwrap();
        sheet.write(4, 0, "P-3").unwrap();
        sheet.write(4, 1, Formula::new("=2*600.5").set_result("1201")).unwrap();
        sheet.write(4, 4, "North").unwrap();
    });
    let (rows, findings) = read("takeoff.xlsx", &bytes);
    let expected = [
        row(2, ["101", "1200", "", "", "2026-03-04"]),
        row(4, ["P-2", "2.4 m", "", "", "two lines"]),
        row(5, ["P-3", "1201", "", "North", ""]),
    ];
    assert_eq!(rows.as_deref(), Some(&expected[..]), "{findings:?}");
    assert_eq!(findings.len(), 1);
    assert!(findings[0].starts_with("takeoff.xlsx:Sheet1!C1 (own): warning F008"), "{findings:?}");
}

#[test]
fn headings_may_stand_below_a_title() {
    let bytes = book("Site list", |sheet| {
        sheet.write(0, 0, "Boiler house").unwrap();
        sheet.write(1, 3, "rev. B").unwrap();
        head(sheet, 4, &["item", "length"]);
        sheet.write(5, 0, "P-1").unwrap();
        sheet.write(5, 1, 5).unwrap();
    });
    let (rows, findings) = read("rolls.xlsx", &bytes);
    assert_eq!(rows.as_deref(), Some(&[row(6, ["P-1", "5", "", "", ""])][..]));
    assert!(findings[0].starts_with("rolls.xlsx:Site list, row 5: note F024"), "{findings:?}");
}

#[test]
fn findings_name_sheet_and_cell() {
    let bytes = book("takeoff", |sheet| {
        head(sheet, 0, &["item", "length", "size", "area"]);
        let day = Format::new().set_num_format("d-mmm");
        sheet.write(1, 0, "=1+1").unwrap();
        sheet.write(1, 1, Formula::new("=1/0").set_result("#DIV/0!")).unwrap();
        let date = ExcelDateTime::from_ymd(2026, 4, 3).unwrap();
        sheet.write_with_format(1, 2, &date, &day).unwrap();
        // What a spreadsheet makes of area 2/3.
        sheet.write_with_format(1, 3, &date, &day).unwrap();
        sheet.write(2, 0, "P-2").unwrap();
        sheet.write(2, 1, 5).unwrap();
        sheet.write(2, 4, "beyond the headings").unwrap();
        sheet.write(3, 0, "P\u{202e}3").unwrap();
        sheet.write(3, 1, 5).unwrap();
    });
    let (_, findings) = read("takeoff.xlsx", &bytes);
    let text = findings.join("\n");
    for place in [
        "takeoff.xlsx:takeoff!A2 (item): error F013",
        "takeoff.xlsx:takeoff!B2 (length): error F021",
        "takeoff.xlsx:takeoff!C2 (size): error F020: the cell holds the date or time `2026-04-03`",
        "takeoff.xlsx:takeoff!D2 (area): error F020",
        "takeoff.xlsx:takeoff!A4 (item): error F016",
        "takeoff.xlsx:takeoff, row 3: error F011",
    ] {
        assert!(text.contains(place), "`{place}` is not in:\n{text}");
    }
}

#[test]
fn words_in_merged_cells_hold_for_each_row_and_figures_do_not() {
    let bytes = book("takeoff", |sheet| {
        head(sheet, 0, &["item", "length", "size", "area"]);
        let plain = Format::new();
        sheet.merge_range(1, 3, 3, 3, "North", &plain).unwrap();
        for (at, item) in ["P-1", "P-2", "P-3"].iter().enumerate() {
            sheet.write(u32::try_from(at).unwrap() + 1, 0, *item).unwrap();
        }
        sheet.write(1, 1, 5).unwrap();
        sheet.merge_range(2, 1, 3, 1, "700", &plain).unwrap();
        sheet.merge_range(4, 0, 4, 2, "section B", &plain).unwrap();
    });
    let (rows, findings) = read("takeoff.xlsx", &bytes);
    let rows = rows.unwrap();
    assert!(rows[..3].iter().all(|(_, cells)| cells[3] == "North"), "{rows:?}");
    let ids: Vec<&str> =
        findings.iter().filter_map(|f| f.split(": ").nth(1)?.split(' ').nth(1)).collect();
    assert_eq!(ids, ["F023", "F022", "F022"], "{findings:?}");
    assert!(findings[1].contains("takeoff!B3 (length)") && findings[1].contains("down to B4"));
    assert!(findings[2].contains("merged across to C5"), "{findings:?}");
}

/// Merging keeps the value of the first cell that has one, so the pipe's length below a fitting is lost.
#[test]
fn merged_figures_are_told_where_they_are_missing() {
    let bytes = book("takeoff", |sheet| {
        head(sheet, 0, &["item", "length", "size", "area"]);
        let plain = Format::new();
        for (at, item) in ["P-1", "P-2", "E-1", "P-3", "P-4"].iter().enumerate() {
            sheet.write(u32::try_from(at).unwrap() + 1, 0, *item).unwrap();
        }
        sheet.merge_range(1, 1, 2, 1, "", &plain).unwrap();
        sheet.write_number(1, 1, 6.42).unwrap();
        sheet.merge_range(3, 1, 4, 1, "", &plain).unwrap();
        sheet.merge_range(4, 3, 5, 3, "", &plain).unwrap();
        sheet.merge_range(5, 1, 5, 2, "700", &plain).unwrap();
    });
    let mut findings = Findings::new();
    let table = Table::read("takeoff.xlsx", &bytes, &COLUMNS, &mut findings).unwrap();
    let codes = Codes { missing: &files::EMPTY, unread: &files::EMPTY, range: &files::EMPTY };
    let range = Length::from_mm(1)..=Length::from_mm(100_000);
    let rows: Vec<_> = table.rows().collect();
    let mut reader = Reader::new(codes, &mut findings);
    let lengths: Vec<_> =
        rows.iter().map(|row| reader.length(&row.cells[1], &range).map(Length::nm)).collect();
    assert_eq!(lengths, [Some(6_420_000), None, None, None, Some(700_000_000)]);
    let found: Vec<String> = findings.iter().map(ToString::to_string).collect();
    let starts = [
        "takeoff.xlsx:takeoff!B2 (length): error F022: `6.42` stands in cells merged down to B3;",
        "takeoff.xlsx:takeoff!B4 (length): warning F025: it is merged down to B5, and nothing stands in it;",
        "takeoff.xlsx:takeoff!B6 (length): error F022: `700` stands in cells merged across to C6;",
        "takeoff.xlsx:takeoff!B4 (length): error F001",
        "takeoff.xlsx:takeoff!B5 (length): error F001",
    ];
    assert_eq!(found.len(), starts.len(), "{found:#?}");
    for (found, start) in found.iter().zip(starts) {
        assert!(found.starts_with(start), "{found}");
    }
}

#[test]
fn the_sheet_is_named_or_the_only_one() {
    let make = |names: &[(&str, bool)]| {
        let mut book = Workbook::new();
        for (name, headed) in names {
            let sheet = book.add_worksheet().set_name(*name).unwrap();
            head(sheet, 0, if *headed { &["item", "length"] } else { &["cover", "sheet"] });
            sheet.write(1, 0, *name).unwrap();
            sheet.write(1, 1, 5).unwrap();
        }
        book.save_to_buffer().unwrap()
    };
    let item = |bytes: &[u8]| read("takeoff.xlsx", bytes).0.map(|rows| rows[0].1[0].clone());
    let told = |bytes: &[u8]| read("takeoff.xlsx", bytes).1.join("\n");
    assert_eq!(item(&make(&[("cover", false), ("list", true)])).as_deref(), Some("list"));
    let named = make(&[("other", true), ("Takeoff", true)]);
    assert_eq!(item(&named).as_deref(), Some("Takeoff"));
    let two = make(&[("one", true), ("two", true)]);
    assert!(told(&two).contains("F019: the sheets `one`, `two` all have"), "{}", told(&two));
    // One has all headings that are needed, the other some.
    let mut book = Workbook::new();
    head(book.add_worksheet().set_name("some").unwrap(), 0, &["item", "size"]);
    head(book.add_worksheet().set_name("all").unwrap(), 0, &["item", "length"]);
    book.worksheets_mut()[1].write(1, 0, "all").unwrap();
    book.worksheets_mut()[1].write(1, 1, 5).unwrap();
    assert_eq!(item(&book.save_to_buffer().unwrap()).as_deref(), Some("all"));
    let mut book = Workbook::new();
    for name in ["one", "two"] {
        head(book.add_worksheet().set_name(name).unwrap(), 0, &["item", "size"]);
    }
    let some = told(&book.save_to_buffer().unwrap());
    assert!(some.contains("F019: the sheets `one`, `two` have some of the headings"), "{some}");
    let none = make(&[("one", false), ("two", false)]);
    assert!(told(&none).contains("F019: none of the sheets"), "{}", told(&none));
    assert!(told(&make(&[("one", false)])).contains("takeoff.xlsx:one!A1"));
}

#[test]
fn hidden_rows_are_read_and_told() {
    let bytes = book("t", |sheet| {
        head(sheet, 0, &["item", "length"]);
        for (row, name) in (1_u32..).zip(["a", "b", "c", "d", "e"]) {
            sheet.write(row, 0, name).unwrap();
            sheet.write(row, 1, 5).unwrap();
        }
        for row in [2, 4, 5, 9] {
            sheet.set_row_hidden(row).unwrap();
        }
    });
    let (rows, told) = read("t.xlsx", &bytes);
    assert_eq!(rows.map(|rows| rows.len()), Some(5));
    assert_eq!(told.len(), 1, "{told:?}");
    let text = "t.xlsx:t, row 3: warning F081: 3 rows are hidden, and were read like the others: 3, 5 to 6;";
    assert!(told[0].starts_with(text), "{told:?}");
    let line = |name: &str, how: &str| {
        format!("<table:table-row{how}>{}{}</table:table-row>", words(name), words("5"))
    };
    let heads = format!("<table:table-row>{}{}</table:table-row>", words("item"), words("length"));
    let filtered = line("b", " table:visibility=\"filter\"");
    let bytes = open_document(&format!("{heads}{}{filtered}", line("a", "")));
    let (rows, told) = read("t.ods", &bytes);
    assert_eq!(rows.map(|rows| rows.len()), Some(2));
    assert!(told.len() == 1 && told[0].contains("F081: row 3 is hidden"), "{told:?}");
}

/// Only of columns that are read and hold something.
#[test]
fn hidden_columns_are_read_and_told() {
    let make = |hidden: &[u16]| {
        book("t", |sheet| {
            head(sheet, 0, &["item", "length", "size", "area"]);
            sheet.write(1, 0, "a").unwrap();
            sheet.write(1, 1, 5).unwrap();
            sheet.write(1, 2, "NPS 6").unwrap();
            for column in hidden {
                sheet.set_column_hidden(*column).unwrap();
            }
        })
    };
    let (rows, told) = read("t.xlsx", &make(&[1, 3, 7]));
    assert_eq!(rows.unwrap()[0].1[1], "5");
    let text = "t.xlsx:t!B1 (length): warning F083: column B (`length`) is hidden, and was read like the others;";
    assert!(told.len() == 1 && told[0].starts_with(text), "{told:?}");
    let told = read("t.xlsx", &make(&[1, 2])).1;
    let text = "2 columns are hidden, and were read like the others: B (`length`), C (`size`);";
    assert!(told.len() == 1 && told[0].contains(text), "{told:?}");
    assert!(read("t.xlsx", &make(&[3])).1.is_empty());
    let columns = "<table:table-column/><table:table-column table:visibility=\"collapse\"/>";
    let line = |first: &str, second: &str| {
        format!("<table:table-row>{}{}</table:table-row>", words(first), words(second))
    };
    let bytes = open_document(&format!("{columns}{}{}", line("item", "length"), line("a", "5")));
    let (rows, told) = read("t.ods", &bytes);
    assert_eq!(rows.map(|rows| rows.len()), Some(1));
    assert!(told.len() == 1 && told[0].contains("F083: column B (`length`) is hidden"), "{told:?}");
}

#[test]
fn a_hidden_sheet_of_the_right_name_is_told() {
    let make = |name: &str| {
        let mut book = Workbook::new();
        for (name, hidden) in [("list", false), (name, true)] {
            let sheet = book.add_worksheet().set_name(name).unwrap();
            head(sheet, 0, &["item", "length"]);
            sheet.write(1, 0, name).unwrap();
            sheet.write(1, 1, 5).unwrap();
            sheet.set_hidden(hidden);
        }
        book.save_to_buffer().unwrap()
    };
    let (rows, told) = read("takeoff.xlsx", &make("Takeoff"));
    assert_eq!(rows.unwrap()[0].1[0], "list");
    assert!(told.len() == 1 && told[0].contains("F082: the sheet `Takeoff` is hidden"), "{told:?}");
    assert!(read("takeoff.xlsx", &make("old")).1.is_empty());
}

/// A workbook of `OpenDocument` with this table inside.
fn open_document(rows: &str) -> Vec<u8> {
    let content = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document-content \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\"><office:body>\
         <office:spreadsheet><table:table table:name=\"A &amp; B\">{rows}</table:table>\
         </office:spreadsheet></office:body></office:document-content>"
    );
    packed(&[
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("META-INF/manifest.xml", "<manifest:manifest/>"),
        ("content.xml", &content),
    ])
}

fn packed(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut packed = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        packed.start_file(*name, SimpleFileOptions::default()).unwrap();
        packed.write_all(text.as_bytes()).unwrap();
    }
    packed.finish().unwrap().into_inner()
}

fn words(text: &str) -> String {
    format!(
        "<table:table-cell office:value-type=\"string\"><text:p>{text}</text:p></table:table-cell>"
    )
}

/// Some programs store a failed formula as an empty word or as the number that it had, with its error as the text that is
/// shown. A formula whose result is an empty word has not failed.
#[test]
fn formulas_that_failed_are_told_whatever_is_stored() {
    let formula = |value: &str, shown: &str| {
        format!(
            "<table:table-cell table:formula=\"of:=FOO()\" {value}><text:p>{shown}</text:p></table:table-cell>"
        )
    };
    let empty = "office:value-type=\"string\" office:string-value=\"\"";
    let float = "office:value-type=\"float\" office:value=\"3200\"";
    let rows = [
        "<table:table-row>".to_owned(),
        ["item", "length", "size", "area"].map(words).concat(),
        "</table:table-row><table:table-row>".to_owned(),
        [&words("a"), &formula(float, "#DIV/0!"), &formula(empty, "#NAME?"), &formula(empty, "")]
            .map(String::as_str)
            .concat(),
        "</table:table-row><table:table-row>".to_owned(),
        [words("b"), formula(float, "3.200"), formula(empty, "Err:502")].concat(),
        "</table:table-row>".to_owned(),
    ];
    let (rows, told) = read("t.ods", &open_document(&rows.concat()));
    let places = ["t.ods:A & B!B2 (length)", "t.ods:A & B!C2 (size)", "t.ods:A & B!C3 (size)"];
    assert_eq!(told.len(), places.len(), "{told:?}");
    for (told, place) in told.iter().zip(places) {
        assert!(told.starts_with(&format!("{place}: error F021")), "{told}");
    }
    assert_eq!(rows.unwrap()[1], row(3, ["b", "3200", "Err:502", "", ""]));
}

#[test]
fn open_document_is_read_as_well() {
    let number = |value: &str| {
        format!("<table:table-cell office:value-type=\"float\" office:value=\"{value}\"/>")
    };
    let spanned = "<table:table-cell table:number-rows-spanned=\"2\" office:value-type=\"string\">\
                   <text:p>North</text:p></table:table-cell>";
    // Shown to a tenth with its unit; a note on the cell is no part of it.
    let shown = "<table:table-cell office:value-type=\"float\" office:value=\"2.4375\">\
                 <office:annotation><text:p>see drawing 7 B</text:p></office:annotation>\
                 <text:p>2.4<text:s/>m</text:p></table:table-cell>";
    // Inch marks, as an entity, as a number of its sign and bare.
    let inches = |mark: &str| {
        format!(
            "<table:table-cell office:value-type=\"float\" office:value=\"48\"><text:p>48{mark}</text:p>\
             </table:table-cell>"
        )
    };
    let date = "<table:table-cell office:value-type=\"date\" office:date-value=\"2026-03-04\"/>";
    let rows = [
        "<table:table-row table:number-rows-repeated=\"2\"><table:table-cell/></table:table-row>"
            .to_owned(),
        ["<table:table-row>", &words("item"), &words("length"), &words("area"), &words("size")]
            .concat(),
        "</table:table-row>".to_owned(),
        ["<table:table-row>", &words("P-1"), &number("1200"), spanned, &words("NPS 3")].concat(),
        "</table:table-row>".to_owned(),
        ["<table:table-row>", &words("P-2"), shown, "<table:covered-table-cell/>", date].concat(),
        "</table:table-row>".to_owned(),
        ["<table:table-row>", &words("P-3"), &inches("&quot;"), "</table:table-row>"].concat(),
        ["<table:table-row>", &words("P-4"), &inches("&#34;"), "</table:table-row>"].concat(),
        ["<table:table-row>", &words("P-5"), &inches("<![CDATA[\"]]>"), "</table:table-row>"]
            .concat(),
        ["<table:table-row>", &words("P-6"), &inches("\""), "</table:table-row>"].concat(),
    ]
    .concat();
    let (rows, findings) = read("takeoff.ods", &open_document(&rows));
    let expected = [
        row(4, ["P-1", "1200", "NPS 3", "North", ""]),
        row(5, ["P-2", "2.4375 m", "2026-03-04", "North", ""]),
        row(6, ["P-3", "48 \"", "", "", ""]),
        row(7, ["P-4", "48 \"", "", "", ""]),
        row(8, ["P-5", "48 \"", "", "", ""]),
        row(9, ["P-6", "48 \"", "", "", ""]),
    ];
    assert_eq!(rows.as_deref(), Some(&expected[..]), "{findings:?}");
    assert!(findings[0].starts_with("takeoff.ods:A & B!C4 (area): note F023"), "{findings:?}");
    assert!(findings[1].starts_with("takeoff.ods:A & B!D5 (size): error F020"), "{findings:?}");
}

#[test]
fn what_is_no_workbook_or_would_fill_the_memory_is_refused() {
    let told = |file: &str, bytes: &[u8]| read(file, bytes).1.join("\n");
    assert!(told("t.xlsx", b"item,length\na,5\n").contains("F018"));
    assert!(told("t.xlsx", b"").contains("F001"));
    assert!(told("t.ods", &packed(&[("x", "y")])).contains("F018"));
    // A cell repeated over all columns and rows of a sheet.
    let cell = "<table:table-row table:number-rows-repeated=\"1048576\"><table:table-cell \
                table:number-columns-repeated=\"16384\" office:value-type=\"float\" \
                office:value=\"1\"/></table:table-row>";
    let found = told("t.ods", &open_document(cell));
    assert!(found.contains("F018") && found.contains("more than"), "{found}");
    // Few cells that lie far apart.
    let apart = "<table:table-row><table:table-cell table:number-columns-repeated=\"16000\"/>\
                 <table:table-cell office:value-type=\"float\" office:value=\"1\"/></table:table-row>\
                 <table:table-row table:number-rows-repeated=\"6000\"/>\
                 <table:table-row><table:table-cell office:value-type=\"float\" \
                 office:value=\"1\"/></table:table-row>";
    let found = told("t.ods", &open_document(apart));
    assert!(found.contains("F018") && found.contains("more than"), "{found}");
    // One far corner: no table is made for all that lies between.
    let far = book("t", |sheet| {
        head(sheet, 0, &["item", "length"]);
        sheet.write(1_048_575, 1, 5).unwrap();
    });
    assert_eq!(read("t.xlsx", &far).0.map(|rows| rows.len()), Some(1));
    let right = book("t", |sheet| {
        sheet.write(0, 16_383, "x").unwrap();
    });
    assert!(told("t.xlsx", &right).contains("cell XFD1 stands right of"));
    // 600 MB of spaces in half a megabyte.
    let bomb = packed(&[("xl/workbook.xml", &" ".repeat(600 << 20))]);
    assert!(bomb.len() < 1 << 20);
    assert!(told("t.xlsx", &bomb).contains("larger than 512 MB"));
    // Spaces that are counted and not written (ODF 1.2, part 1, 6.1.3).
    let spaces = |count: &str| {
        let content = format!(
            r#"<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
            xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
            xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet>
            <table:table table:name="t"><table:table-row><table:table-cell office:value-type="string">
            <text:p>a<text:s text:c="{count}"/></text:p></table:table-cell></table:table-row></table:table>
            </office:spreadsheet></office:body></office:document-content>"#
        );
        let mime = "application/vnd.oasis.opendocument.spreadsheet";
        told("t.ods", &packed(&[("mimetype", mime), ("content.xml", &content)]))
    };
    for count in ["2000000000", "99999999999999999999"] {
        assert!(spaces(count).contains("more than 1000 spaces"), "{}", spaces(count));
    }
    assert!(spaces("1001").contains("more than 1000 spaces"), "{}", spaces("1001"));
    assert!(!spaces("1000").contains("more than 1000 spaces"), "{}", spaces("1000"));
}

#[test]
fn no_bytes_stop_the_reader() {
    let good = book("t", |sheet| {
        head(sheet, 0, &["item", "length"]);
        sheet.write(1, 0, "a").unwrap();
        sheet.write(1, 1, 5).unwrap();
    });
    let step = good.len() / 60;
    let mut broken = 0;
    for at in (0..good.len()).step_by(step.max(1)) {
        let mut bytes = good.clone();
        bytes[at] ^= 0xFF;
        broken += usize::from(read("t.xlsx", &bytes).0.is_none());
        let _ = read("t.ods", &bytes);
        let _ = read("t.xlsx", &good[..at]);
    }
    assert!(broken > 0);
}

proptest::proptest! {
    #![proptest_config(proptest::test_runner::Config::with_cases(24))]

    /// A workbook gives what a CSV file of the same texts gives, cell for cell and finding for
    /// finding, but for how places are named.
    #[test]
    fn a_sheet_is_read_as_its_csv(
        cells in proptest::collection::vec(
            proptest::array::uniform5("[a-zA-Z0-9 .,;=@'-]{0,9}"), 1..8)
    ) {
        let headings = ["item", "length", "size", "area", "note"];
        let mut csv = csv::Writer::from_writer(Vec::new());
        csv.write_record(headings).unwrap();
        for row in &cells {
            csv.write_record(row).unwrap();
        }
        let csv = csv.into_inner().unwrap();
        let bytes = book("t", |sheet| {
            head(sheet, 0, &headings);
            for (line, row) in cells.iter().enumerate() {
                for (at, text) in row.iter().enumerate() {
                    let line = u32::try_from(line).unwrap() + 1;
                    sheet.write_string(line, u16::try_from(at).unwrap(), text).unwrap();
                }
            }
        });
        let plain = |found: &[String]| -> Vec<String> {
            found.iter().map(|f| f.split_once(": ").map_or(f.clone(), |(_, f)| f.to_owned())).collect()
        };
        let (from_csv, told_csv) = read("t.csv", &csv);
        let (from_book, told_book) = read("t.xlsx", &bytes);
        proptest::prop_assert_eq!(from_csv, from_book);
        proptest::prop_assert_eq!(plain(&told_csv), plain(&told_book));
    }
}

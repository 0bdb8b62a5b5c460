//! Tests of the table reader: what spreadsheets and people write, and every mistake told.

use super::*;
use crate::finding::Findings;
use crate::finding::codes::files as codes;
use crate::units::Length;
use std::collections::BTreeSet;

static COLUMNS: [Column; 4] = [
    Column::needed("item", "name", "a", "a name"),
    Column::needed("length", "length", "5", "a length"),
    Column::optional("quantity", "number", "1", "how many"),
    Column::optional("note", "text", "x", "free text"),
];

type Cells = Vec<(u64, [String; 4])>;

fn read(bytes: &[u8]) -> (Option<Cells>, Findings) {
    let mut findings = Findings::new();
    let table = Table::read("t.csv", bytes, &COLUMNS, &mut findings);
    let rows = table.map(|table| {
        table.rows().map(|row| (row.line, row.cells.map(|cell| cell.text().to_owned()))).collect()
    });
    (rows, findings)
}

/// The rows of a file without any finding.
fn rows(text: &str) -> Cells {
    let (rows, findings) = read(text.as_bytes());
    assert!(findings.is_empty(), "{text:?}: {findings:?}");
    rows.unwrap()
}

fn shown(bytes: &[u8]) -> Vec<String> {
    read(bytes).1.iter().map(ToString::to_string).collect()
}

fn row(line: u64, cells: [&str; 4]) -> (u64, [String; 4]) {
    (line, cells.map(str::to_owned))
}

/// A column that is not there may stand under another name, which no nearness of letters tells.
#[test]
fn a_missing_column_may_be_one_that_is_not_read() {
    let remedy = |text: &str| {
        let findings = read(text.as_bytes()).1;
        let missing = findings.iter().find(|finding| finding.code.id == codes::COLUMN_MISSING.id);
        missing.unwrap().remedy.clone()
    };
    assert_eq!(remedy("item,note\na,5\n"), "add it to the headings: a length");
    assert_eq!(
        remedy("item,metres\na,5\n"),
        "add it to the headings, or call `metres` so if that is meant: a length"
    );
    assert_eq!(
        remedy("item,run,by\na,5,x\n"),
        "add it to the headings, or call one of those that are not read so (`run`, `by`): a length"
    );
}

#[test]
fn columns_stand_in_any_order_and_case() {
    let expected = [row(2, ["a", "5", "", ""])];
    for text in [
        "item,length\na,5\n",
        "LENGTH,Item\n5,a\n",
        " Length , item \n 5 , a \n",
        "item,length\r\na,5\r\n",
        "item,length\ra,5\r",
        "item,length\na,5",
        "\"item\",\"length\"\n\"a\",\"5\"\n",
        "item,Length (mm)\na,5\n",
        "item,length,,\na,5,,\n",
        "item,length\na,5\n,\n   \n\n",
        "item,length\n\u{a0}a\u{a0},5\n",
    ] {
        assert_eq!(rows(text), expected, "{text:?}");
    }
}

#[test]
fn lines_are_counted_as_an_editor_counts_them() {
    let text = "\nitem,length,note\n\na,5,\"two\nlines\"\n\n,,\nb,6,\"say \"\"hello\"\"\"\n";
    assert_eq!(
        rows(text),
        [row(4, ["a", "5", "", "two lines"]), row(8, ["b", "6", "", "say \"hello\""])]
    );
}

#[test]
fn a_cell_knows_its_place() {
    let mut findings = Findings::new();
    let bytes = b"note,length,item\nx,5,a\n";
    let table = Table::read("t.csv", bytes, &COLUMNS, &mut findings).unwrap();
    let row = table.rows().next().unwrap();
    let places: Vec<String> = row.cells.iter().map(|cell| cell.place().to_string()).collect();
    assert_eq!(
        places,
        ["t.csv:2:3 (item)", "t.csv:2:2 (length)", "t.csv:2 (quantity)", "t.csv:2:1 (note)"]
    );
}

/// Files with a mistake, and the codes they must give.
const MISTAKES: &[(&[u8], &[&str])] = &[
    (b"", &["F001"]),
    (b"\r\n \r\n", &["F001"]),
    (b"\xEF\xBB\xBF", &["F004", "F001"]),
    (b"item,length\n", &["F002"]),
    (b"item,length\n,\n\n", &["F002"]),
    (b"item,length,note\na,5,caf\xE9\n", &["F003"]),
    (b"\xFF\xFEi\0t\0e\0m\0", &["F003"]),
    (b"PK\x03\x04\x14\0", &["F003"]),
    (b"\x89PNG\r\n\x1A\n\0\0\0\r,\0", &["F003"]),
    (b"item,length,=note\na,5,x\n", &["F013", "F007"]),
    (b"\xEF\xBB\xBFitem,length\na,5\n", &["F004"]),
    (b"item;length\na;5\n", &["F005"]),
    (b"item;length\na;2,4 m\n", &["F005"]),
    (b"item\tlength\na\t5\n", &["F005"]),
    (b"item|length\na|5\n", &["F005"]),
    (b"item\na\n", &["F006"]),
    (b"1,2,3\na,5,7\n", &["F008", "F008", "F008", "F006", "F006"]),
    (b"sep=,\nitem,length\na,5\n", &[]),
    (b"Takeoff\n\nMay,,\nnote,item,length\n,a,5\n", &["F017"]),
    (b"item,lenght\na,5\n", &["F007"]),
    (b"item,length (m)\na,5\n", &["F007"]),
    (b"item,Length [ft]\na,5\n", &["F007"]),
    (b"item,length [mm]\na,5\n", &[]),
    (b"item,length mm\na,5\n", &[]),
    (b"item,length,note (m)\na,5,x\n", &["F008"]),
    (b"item,length,quantity (pcs)\na,5,1\n", &["F007"]),
    (b"item,length,quantity,quantity (drawing)\na,5,1,2\n", &["F008"]),
    (b"item,length\na,5\nItem,LENGTH\nb,6\n", &["F060"]),
    (b"item,length,quanity\na,5,1\n", &["F007"]),
    (b"item,length,colour\na,5,red\n", &["F008"]),
    (b"item,length,Item\na,5,b\n", &["F009"]),
    (b"item,length,\na,5,9\n", &["F010"]),
    (b"item,length,\na,5,9\nb,5,9\n", &["F010"]),
    (b"item,length,note\na,5\n", &["F011"]),
    (b"item,length\na,2,400\n", &["F011"]),
    (b"item,length,note\na,2,4,\nb,5,\n", &["F011"]),
    (b"item,length,note\na,2,4,\n", &["F011"]),
    (b"item,length\na,5,,,\n", &["F011"]),
    (b"item,length,note\n=a,2\nb,5,\n", &["F011"]),
    (b"item,length\n\"a,5\nb,6\n", &["F012"]),
    (b"item,length\n\"a\"b,5\n", &["F012"]),
    (b"item,length\n=1+1,5\n", &["F013"]),
    (b"item,length,note\na,5,@SUM(A1)\n", &["F013"]),
    (b"item,length,note\na,5,\"\t=1\"\n", &["F013"]),
    (b"item,length,note\na,5,\"\r\n=1\"\n", &["F013"]),
    (b"item,length,note\na,5,-cmd\nb,6,+1\n", &["F013"]),
    (b"item,length\na\0b,5\n", &["F015"]),
    (b"item,length\na\x1B[2Jb,5\n", &["F015"]),
    ("item,length\nP\u{202E}1,5\n".as_bytes(), &["F016"]),
    ("item,length\ncaf\u{FFFD},5\n".as_bytes(), &["F030"]),
    ("item,length,note\na,5,G\u{FFFD}rkeller\n".as_bytes(), &["F030"]),
];

#[test]
fn every_mistake_is_told() {
    for (bytes, expected) in MISTAKES {
        let (_, findings) = read(bytes);
        let ids: Vec<&str> = findings.iter().map(|f| f.code.id).collect();
        assert_eq!(ids, *expected, "{}: {findings:?}", String::from_utf8_lossy(bytes));
    }
}

static LIST: [Column; 5] = [
    Column::needed("item", "name", "a", "a name"),
    Column::needed("kind", "word", "pipe", "a kind"),
    Column::needed("length", "length", "5", "a length"),
    Column::needed("quantity", "number", "1", "how many"),
    Column::optional("note", "text", "x", "free text"),
];

/// A line that is no entry is told once, and for what it is; one that may be an entry is left to its reader.
#[test]
fn lines_that_are_no_entries_are_told_for_what_they_are() {
    for (line, told) in [
        ("Total,,,9,", "`Total` is a line of totals, no entry; delete the line"),
        ("Sub-total North,pipe,,,", "`Sub-total North` is a line of totals, no entry"),
        (",,Sum: ,9,", "`Sum:` is a line of totals, no entry"),
        (",,mm,pcs,", "this is a line of units, no entry"),
        ("North yard,,,,", "only `North yard` stands in this line; delete the line; what holds"),
        ("# north yard", "the line begins with #, and comments are not read; delete the line"),
        ("# pipes, first floor", "the line begins with #, and comments are not read"),
        ("Item,Kind,LENGTH,quantity,note", "the headings stand here again; delete the line"),
    ] {
        let text = format!("item,kind,length,quantity,note\na,pipe,5,1,\n{line}\n");
        let mut findings = Findings::new();
        let table = Table::read("t.csv", text.as_bytes(), &LIST, &mut findings).unwrap();
        assert_eq!(table.rows().count(), 2);
        // What the line's reader finds besides is left out.
        findings.push(crate::finding::Finding::new(
            &codes::FORMULA,
            crate::finding::Place::line("t.csv", 3),
            "something else",
            "mend it",
        ));
        let found: Vec<String> = findings.iter().map(ToString::to_string).collect();
        assert!(found.len() == 1 && found[0].contains("t.csv:3: error F060: "), "{found:?}");
        assert!(found[0].contains(told), "{found:?}");
    }
    for line in [
        "#4,pipe,,3,",
        "Total,pipe,,3,",
        "Sum pump,elbow,,1,",
        "b,pipe,,,total of all",
        "m,,,,in the shop",
    ] {
        let text = format!("item,kind,length,quantity,note\n{line}\n");
        let mut findings = Findings::new();
        let table = Table::read("t.csv", text.as_bytes(), &LIST, &mut findings);
        assert!(table.is_some() && findings.is_empty(), "{line}: {findings:?}");
    }
}

fn long_cell() -> Vec<String> {
    shown(format!("item,length\n{},5\n", "x".repeat(10_000)).as_bytes())
}

#[test]
fn a_long_cell_is_told_in_short() {
    let found = long_cell();
    assert!(found.len() == 1 && found[0].contains("F014") && found[0].len() < 300, "{found:?}");
}

/// What is told of a cell that holds this length.
fn overfull(text: &str) -> Vec<String> {
    let text = format!("item,length\na,{text}\n");
    let mut findings = Findings::new();
    let table = Table::read("t.csv", text.as_bytes(), &COLUMNS, &mut findings).unwrap();
    let rows: Vec<_> = table.rows().collect();
    let codes = Codes { missing: &codes::EMPTY, unread: &codes::EMPTY, range: &codes::EMPTY };
    let range = Length::from_mm(1)..=Length::from_mm(1_000_000);
    Reader::new(codes, &mut findings).length(&rows[0].cells[1], &range).unwrap();
    findings.iter().map(ToString::to_string).collect()
}

/// A foot is 12 inches, a metre 100 cm or 1000 mm.
#[test]
fn a_part_that_comes_to_the_unit_before_it_is_told() {
    for text in ["12 ft 14 in", "12 ft 12 in", "7'-12 1/2\"\"", "2 m 100 cm", "2 m 30 cm 10 mm"] {
        let told =
            overfull(&if text.contains('"') { format!("\"{text}\"") } else { text.to_owned() });
        assert!(told.len() == 1 && told[0].contains("warning F026"), "{text}: {told:?}");
    }
    for text in ["12 ft 11 15/16 in", "14 in", "2 m 99 cm 9.9 mm", "2 m 999 mm", "5000"] {
        assert!(overfull(text).is_empty(), "{text}");
    }
}

#[test]
fn every_code_has_an_example() {
    let mut seen: BTreeSet<&str> = MISTAKES.iter().flat_map(|(_, ids)| *ids).copied().collect();
    assert!(long_cell()[0].contains("F014"));
    seen.insert("F014");
    // Examples of these stand in the tests of workbooks.
    seen.extend([
        "F018", "F019", "F020", "F021", "F022", "F023", "F024", "F025", "F081", "F082", "F083",
    ]);
    assert!(overfull("12 ft 14 in")[0].contains("F026"));
    seen.insert("F026");
    // Of this in its own file.
    seen.insert("F031");
    for code in codes::ALL {
        assert!(seen.contains(code.id), "{} {} has no example", code.id, code.title);
    }
}

#[test]
fn messages_name_the_place_and_the_nearest_heading() {
    assert_eq!(
        shown(b"item,lenght\na,5\n"),
        [
            "t.csv:1:2 (lenght): error F007: the heading `lenght` is not known; write `length` if that \
          is meant, else give it a quite different name"
        ]
    );
    // A column that is there already is not what is meant.
    assert_eq!(
        shown(b"item,length,lengths\na,5,6\n"),
        [
            "t.csv:1:3 (lengths): error F007: the heading `lengths` is not known; there is a column `length` \
          already: delete this one, or give it a quite different name"
        ]
    );
    assert_eq!(
        shown(b"item;length\na;5\n"),
        ["t.csv:1: error F005: the columns are separated by semicolons (`;`); save the file with \
          commas as separator and points as decimal sign"]
    );
    // A line for spreadsheets that tells the separator is no heading, and lines are counted with it.
    let found = shown(b"sep=;\nitem;length\na;5\n");
    assert!(
        found.len() == 1 && found[0].contains("F005: the columns are separated by semi"),
        "{found:?}"
    );
    let (rows, findings) = read(b"sep=,\nitem,length\na,5\n");
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!(rows.unwrap()[0].0, 3);
    let found = shown(b"item,length\na,5\n\"b,6\n");
    assert!(found[0].starts_with("t.csv:3:1: error F012"), "{found:?}");
}

#[test]
fn problems_of_headings_and_of_cells_are_told_together() {
    let (rows, findings) = read(b"item,lenght,note\n=1,5,a\nb,6\nc,7,\x07\n");
    let ids: Vec<&str> = findings.iter().map(|f| f.code.id).collect();
    assert!(rows.is_none());
    assert_eq!(ids, ["F007", "F013", "F011", "F015"]);
}

#[test]
fn rows_with_a_told_mistake_are_still_given() {
    let (rows, findings) = read(b"item,length\n=1,5\nb,6\n");
    assert!(rows.is_some_and(|rows| rows.len() == 2) && findings.has_errors());
}

fn cell() -> impl proptest::strategy::Strategy<Value = String> {
    proptest::string::string_regex("[a-zA-Z0-9 .,;\"'/|]{0,12}").unwrap()
}

proptest::proptest! {
    #![proptest_config(proptest::test_runner::Config::with_cases(300))]

    /// Whatever the `csv` crate writes is read back, cell for cell.
    #[test]
    fn what_is_written_is_read(cells in proptest::collection::vec([cell(), cell(), cell(), cell()], 1..6)) {
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(["item", "length", "quantity", "note"]).unwrap();
        for row in &cells {
            writer.write_record(row).unwrap();
        }
        let bytes = writer.into_inner().unwrap();
        let (rows, findings) = read(&bytes);
        let expected: Vec<[String; 4]> = cells
            .iter()
            .filter(|row| row.iter().any(|c| !c.trim().is_empty()))
            .map(|row| row.clone().map(|c| c.trim().to_owned()))
            .collect();
        if expected.is_empty() {
            proptest::prop_assert!(rows.is_none());
        } else {
            // Lengths by lot may be in inches on one line and bare on another.
            let others = findings.iter().any(|finding| finding.code.id != "F031");
            proptest::prop_assert!(!others, "{:?}", findings);
            let read: Vec<[String; 4]> = rows.unwrap().into_iter().map(|(_, cells)| cells).collect();
            proptest::prop_assert_eq!(read, expected);
        }
    }

    #[test]
    fn no_bytes_stop_the_reader(bytes in proptest::collection::vec(proptest::num::u8::ANY, 0..300)) {
        let mut with_headings = b"item,length\n".to_vec();
        with_headings.extend(&bytes);
        let _ = read(&bytes);
        let _ = read(&with_headings);
    }

    #[test]
    fn no_text_of_dangerous_signs_stops_it(text in "([\",;|=@+\\-\n\r\t a1é\u{202E}\u{0}]|\r\n){0,60}") {
        let text = format!("item,length\n{text}");
        let (rows, findings) = read(text.as_bytes());
        // Every line in a finding is one of the file's.
        let lines = text.replace("\r\n", "\n").replace('\r', "\n").matches('\n').count() as u64 + 1;
        for finding in &findings {
            proptest::prop_assert!(finding.place.line.is_none_or(|line| line >= 1 && line <= lines));
        }
        for (line, _) in rows.iter().flatten() {
            proptest::prop_assert!(*line >= 2 && *line <= lines);
        }
    }
}

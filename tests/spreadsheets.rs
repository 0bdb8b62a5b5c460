//! Workbooks in and out, made and read back by independent programs: `openpyxl` and `odfpy` of the
//! Python Package Index. Where Python or they are missing the tests say so and skip.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use crate::python::python;
use assert_cmd::Command;
use std::fs;
use std::path::Path;

const TAKEOFF: &str = "item,area,line,kind,size,length,quantity,build,note\n\
                       P-1,hall,L-1,pipe,NPS 6,12 m,2,10+10,\n\
                       P-2,hall,L-2,pipe,NPS 3,7500,1,10,\"<b>;=1+1\"\n\
                       E-1,roof,L-2,elbow,NPS 3,0,3,10,\n";
const ROLLS: &str = "roll,thickness,width,length,price\nB10,10,1500,50 m,310.50\n";

fn rollwright() -> Command {
    Command::cargo_bin("rollwright").expect("the program")
}

fn plan(folder: &Path) -> String {
    let run = rollwright().arg("plan").arg(folder).output().expect("a run");
    let errors = String::from_utf8_lossy(&run.stderr).into_owned();
    assert_eq!(run.status.code(), Some(0), "{errors}");
    String::from_utf8(run.stdout).expect("UTF-8")
}

/// Writes both tables as workbooks: numbers as numbers, a title above the takeoff's headings, an
/// area merged over its rows, a cover sheet before it.
const WRITE: &str = r##"
import csv, sys
kind, folder = sys.argv[1:3]
def value(text):
    try: return float(text)
    except ValueError: return text
def rows(name):
    with open(f"{folder}/{name}.csv", newline="") as f:
        return [[value(c) for c in row] for row in csv.reader(f)]
if kind == "xlsx":
    import openpyxl
    for name in ["takeoff", "rolls"]:
        book = openpyxl.Workbook()
        book.active.title = "cover"
        book.active["A1"] = "not this one"
        sheet = book.create_sheet("list of " + name)
        if name == "takeoff":
            sheet["A1"] = "A title"
            sheet.append([])
        for row in rows(name):
            sheet.append([c if c != "" else None for c in row])
            for cell in sheet[sheet.max_row]:
                if isinstance(cell.value, float): cell.number_format = "#,##0.0"
                elif isinstance(cell.value, str): cell.data_type = "s"
        if name == "takeoff":
            first = sheet.max_row - 2
            assert sheet.cell(first, 2).value == "hall"
            sheet.cell(first + 1, 2).value = None
            sheet.merge_cells(start_row=first, end_row=first + 1, start_column=2, end_column=2)
        book.save(f"{folder}/{name}.xlsx")
else:
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableRow, TableCell, CoveredTableCell
    from odf.text import P
    for name in ["takeoff", "rolls"]:
        book = OpenDocumentSpreadsheet()
        sheet = Table(name=name)
        lines = rows(name)
        for at, row in enumerate(lines):
            line = TableRow()
            for column, c in enumerate(row):
                if isinstance(c, float):
                    cell = TableCell(valuetype="float", value=c)
                elif name == "takeoff" and (at, column) == (1, 1):
                    cell = TableCell(valuetype="string", numberrowsspanned=2)
                    cell.addElement(P(text=c))
                elif name == "takeoff" and (at, column) == (2, 1):
                    cell = CoveredTableCell()
                elif c == "":
                    cell = TableCell()
                else:
                    cell = TableCell(valuetype="string")
                    cell.addElement(P(text=c))
                line.addElement(cell)
            sheet.addElement(line)
        book.spreadsheet.addElement(sheet)
        book.save(f"{folder}/{name}.ods")
"##;

#[test]
fn a_job_of_workbooks_gives_the_plan_of_its_csv_files() {
    for (kind, module) in [("xlsx", "openpyxl"), ("ods", "odf")] {
        let job = tempfile::tempdir().expect("a folder");
        fs::write(job.path().join("takeoff.csv"), TAKEOFF).expect("written");
        fs::write(job.path().join("rolls.csv"), ROLLS).expect("written");
        let from_csv = plan(job.path());
        let pieces = fs::read(job.path().join("out/pieces.csv")).expect("pieces");
        let folder = job.path().display().to_string();
        if python(module, WRITE, &[kind, &folder]).is_none() {
            continue;
        }
        let both = rollwright().arg("plan").arg(job.path()).output().expect("a run");
        assert_eq!(both.status.code(), Some(1));
        assert!(String::from_utf8_lossy(&both.stderr).contains("J009"));
        for name in ["takeoff", "rolls"] {
            fs::remove_file(job.path().join(name).with_extension("csv")).expect("removed");
        }
        assert_eq!(plan(job.path()), from_csv, "{kind}");
        assert_eq!(fs::read(job.path().join("out/pieces.csv")).expect("pieces"), pieces);
        let told = rollwright().args(["pieces", "--verbose"]).arg(job.path()).output();
        let told = String::from_utf8_lossy(&told.expect("a run").stderr).into_owned();
        assert!(told.contains("F023") && told.contains("!B"), "{told}");
    }
}

#[test]
fn a_finding_on_a_workbook_names_sheet_and_cell() {
    let job = tempfile::tempdir().expect("a folder");
    fs::write(job.path().join("rolls.csv"), ROLLS).expect("written");
    let write = r#"
import sys, openpyxl, datetime
book = openpyxl.Workbook()
sheet = book.active
sheet.title = "Site <A>"
sheet.append(["item", "kind", "size", "length", "quantity", "build"])
sheet.append(["P-1", "pipe", datetime.date(2026, 4, 3), 12000, 1, 10])
sheet.append(["P-2", "pipe", "NPS 7", "=1/0", 1, 10])
sheet.append(["P-3", "pipe", "NPS 6", 500, 0.5, 10])
sheet["E4"].number_format = "0%"
book.save(sys.argv[1] + "/takeoff.xlsx")
"#;
    let Some(_) = python("openpyxl", write, &[&job.path().display().to_string()]) else { return };
    let run = rollwright().arg("plan").arg(job.path()).output().expect("a run");
    let errors = String::from_utf8_lossy(&run.stderr).into_owned();
    assert_eq!(run.status.code(), Some(1), "{errors}");
    for words in [
        "takeoff.xlsx:Site <A>!C2 (size): error F020",
        "takeoff.xlsx:Site <A>!D3 (length): error F021",
        "takeoff.xlsx:Site <A>!C3 (size): error T",
        "takeoff.xlsx:Site <A>!E4 (quantity): error T",
        "`50%`",
    ] {
        assert!(errors.contains(words), "`{words}` is not in:\n{errors}");
    }
    assert!(!job.path().join("out").exists());
}

#[test]
fn the_workbook_of_a_plan_is_read_by_another_program() {
    let job = tempfile::tempdir().expect("a folder");
    fs::write(job.path().join("takeoff.csv"), TAKEOFF).expect("written");
    fs::write(job.path().join("rolls.csv"), ROLLS).expect("written");
    plan(job.path());
    let out = job.path().join("out").display().to_string();
    let check = r#"
import csv, sys, openpyxl
out = sys.argv[1]
book = openpyxl.load_workbook(out + "/plan.xlsx")
cells = numbers = 0
for sheet in book.worksheets:
    assert sheet.freeze_panes == "A2", sheet.title
    assert sheet.print_title_rows == "$1:$1", (sheet.title, sheet.print_title_rows)
    assert sheet.print_area, sheet.title
    assert sheet.page_setup.paperSize == 9 and sheet.page_setup.orientation == "landscape"
    for row in sheet.iter_rows():
        for cell in row:
            cells += 1
            assert cell.data_type in ("s", "n"), (sheet.title, cell.coordinate, cell.data_type)
            assert cell.hyperlink is None
            numbers += cell.data_type == "n" and cell.value is not None
def table(name):
    rows = list(book[name].iter_rows(values_only=True))
    return [dict(zip(rows[0], row)) for row in rows[1:]]
for name in ["pieces", "cuts", "order", "joints", "schedule"]:
    with open(f"{out}/{name}.csv", newline="") as f:
        lines = list(csv.DictReader(f))
    sheet = table(name)
    assert len(lines) == len(sheet), name
    for line, row in zip(lines, sheet):
        for key, text in line.items():
            value = row[key]
            if text == "": assert value in (None, ""), (name, key, value)
            elif isinstance(value, str): assert value == text.replace("'=", "="), (name, key, value, text)
            else: assert abs(value - float(text)) < 1e-6, (name, key, value, text)
order = table("order")[0]
assert order["price each"] == 310.5 and isinstance(order["quantity"], int), order
assert "findings" in book.sheetnames
cost = table("cost")
assert cost and any(isinstance(v, (int, float)) and abs(v - 310.5) < 1e-9 for r in cost for v in r.values()), cost
print(cells, numbers)
"#;
    let Some(told) = python("openpyxl", check, &[&out]) else { return };
    let counts: Vec<u32> = told.split_whitespace().filter_map(|n| n.parse().ok()).collect();
    assert!(counts.len() == 2 && counts[0] > 200 && counts[1] > 100, "{told}");
}

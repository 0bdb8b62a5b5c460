//! Tickets, labels and templates as PDF, as poppler (`pdfinfo`, `pdftotext`, `pdftoppm`) reads them.
//! Where poppler is missing the tests say so and skip.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use assert_cmd::Command;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

const TAKEOFF: &str = "item,area,line,kind,size,length,quantity,build,note\n\
                       P-1,\"<script>alert(1)</script>\",L-1,pipe,NPS 6,12 m,2,10+10,\n\
                       E-1,roof,\"../=cmd();+x\",elbow,NPS 12,0,3,10,\n\
                       T-中,größe,L-2,tee,NPS 6,0,1,10,\n";
const ROLLS: &str = "roll,thickness,width,length,price\nB10,10,1500,50 m,310.50\n";

/// A job with its plan, tickets and templates.
fn made() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("takeoff.csv"), TAKEOFF).expect("written");
    fs::write(folder.path().join("rolls.csv"), ROLLS).expect("written");
    for command in ["plan", "tickets", "templates"] {
        let mut run = Command::cargo_bin("rollwright").expect("the program");
        run.arg(command).arg(folder.path()).assert().code(0);
    }
    folder
}

/// What a tool of poppler prints about a file; `None` with a message where it is missing.
fn poppler(tool: &str, options: &[&str], file: &Path) -> Option<Vec<u8>> {
    let Ok(run) = std::process::Command::new(tool).args(options).arg(file).output() else {
        let _ = writeln!(std::io::stderr(), "SKIPPED: {tool} is missing");
        return None;
    };
    let errors = String::from_utf8_lossy(&run.stderr).into_owned();
    assert!(run.status.success() && errors.is_empty(), "{}: {errors}", file.display());
    Some(run.stdout)
}

fn text(options: &[&str], tool: &str, file: &Path) -> Option<String> {
    // pdftotext writes to a file unless it is told to write here.
    let output = if tool == "pdftotext" {
        let run = std::process::Command::new(tool).args(options).arg(file).arg("-").output();
        let Ok(run) = run else {
            let _ = writeln!(std::io::stderr(), "SKIPPED: {tool} is missing");
            return None;
        };
        run.stdout
    } else {
        poppler(tool, options, file)?
    };
    Some(String::from_utf8(output).expect("UTF-8"))
}

/// How many pages a file has.
fn pages(file: &Path) -> Option<usize> {
    let told = text(&[], "pdfinfo", file)?;
    let line = told.lines().find(|line| line.starts_with("Pages:")).expect("a number of pages");
    line.split_whitespace().last().expect("a number").parse().ok()
}

/// From where to where, in tenths of a millimetre, the row of pixels so far above the lower edge of
/// a page is dark in one stretch that begins here.
fn dark(file: &Path, page: usize, above: usize, left: usize) -> Option<(usize, usize)> {
    let page = page.to_string();
    let options = ["-r", "254", "-gray", "-f", &page, "-l", &page];
    let image = poppler("pdftoppm", &options, file)?;
    let mut head = image.splitn(4, |b| *b == b'\n');
    assert_eq!(head.next(), Some(&b"P5"[..]));
    let size = String::from_utf8(head.next().expect("a size").to_vec()).expect("UTF-8");
    let size: Vec<usize> = size.split(' ').map(|n| n.parse().expect("a number")).collect();
    let pixels = head.nth(1).expect("pixels");
    let is_dark = |x: usize| pixels[(size[1] - above) * size[0] + x] < 128;
    let from = (left - 10..left + 10).find(|x| is_dark(*x)).expect("nothing is drawn here");
    let to = (from..size[0]).find(|x| !is_dark(*x)).expect("it has an end");
    Some((from, to))
}

fn out(folder: &tempfile::TempDir, name: &str) -> PathBuf {
    folder.path().join("out").join(name)
}

#[test]
fn a_bar_of_100_mm_measures_100_mm_on_every_kind_of_sheet() {
    let folder = made();
    // Where the bars stand: in the margin of 12 mm of tickets and labels, of 8 mm of templates.
    for (name, above, left) in
        [("tickets.pdf", 121, 120), ("labels.pdf", 121, 120), ("templates/templates.pdf", 131, 80)]
    {
        let file = out(&folder, name);
        let Some(count) = pages(&file) else { return };
        let last = if name == "labels.pdf" { 1 } else { count.min(4) };
        for page in 1..=last {
            let Some((from, to)) = dark(&file, page, above, left) else { return };
            let long = to - from;
            // The line is 0.35 mm thick with round ends.
            assert!((998..=1008).contains(&long), "{name}, page {page}: {long} tenths");
            assert!(from.abs_diff(left) <= 4, "{name}, page {page}: it begins at {from}");
        }
    }
}

#[test]
fn labels_lie_in_their_places() {
    let folder = made();
    let file = out(&folder, "labels.pdf");
    let mut reader = csv::Reader::from_path(out(&folder, "labels.csv")).expect("labels");
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    let Some(count) = pages(&file) else { return };
    assert_eq!(count, 1 + rows.len().div_ceil(24));
    let Some(cover) = text(&["-f", "1", "-l", "1"], "pdftotext", &file) else { return };
    assert!(cover.contains(&format!("page 1 of {count}")), "{cover}");
    let Some(told) = text(&["-bbox", "-f", "2", "-l", "2"], "pdftotext", &file) else { return };
    let number = |line: &str, edge: &str| -> f64 {
        let rest = line.split(&format!("{edge}=\"")).nth(1).expect("an edge");
        rest.split('"').next().expect("an end").parse::<f64>().expect("a number") * 25.4 / 72.0
    };
    for (at, row) in rows.iter().take(24).enumerate() {
        let line = told.lines().find(|l| l.contains(&format!(">{}<", &row[0])));
        let line = line.unwrap_or_else(|| panic!("{} is on no label:\n{told}", &row[0]));
        let (column, down) = (at % 3, at / 3);
        let right = 70.0 * f64::from(u8::try_from(column).expect("small") + 1) - 3.0;
        let low = 4.0 + 36.0 * f64::from(u8::try_from(down).expect("small") + 1) - 3.0;
        assert!((number(line, "xMax") - right).abs() < 0.1, "{line}");
        assert!((low - 3.0..low + 1.5).contains(&number(line, "yMax")), "{low}: {line}");
    }
}

#[test]
fn tickets_say_what_the_page_says_and_names_stay_words() {
    let folder = made();
    let Some(told) = text(&["-layout"], "pdftotext", &out(&folder, "tickets.pdf")) else { return };
    for words in [
        "T1",
        "Square the front",
        "cut-resistant",
        "Kit 1",
        "<script>alert(1)</script>",
        "../=cmd();+x",
        "T-[U+4E2D]",
        "größe",
        "page 1 of",
    ] {
        assert!(told.contains(words), "`{words}` is not in:\n{told}");
    }
    // A page that begins in the middle of a pull or a kit says of which: below its head stands a pull's
    // length, a kit, what to keep, or what goes on.
    for page in told.split('\u{c}').filter(|page| page.contains(", continued")) {
        let mut lines = page.lines().map(str::trim).filter(|line| !line.is_empty());
        assert!(lines.next().is_some_and(|head| head.contains(", continued")), "{page}");
        let next = lines.next().unwrap_or_default();
        let begins =
            next.contains(" long, ") || next.starts_with("Kit ") || next.starts_with("Keep");
        let goes_on =
            next.ends_with(", continued") && (next.starts_with("pull") || next.starts_with("Kit"));
        let third = lines.next().unwrap_or_default();
        assert!(!goes_on || !third.contains(" long, "), "nothing of it goes on:\n{page}");
        let told = ["The roll comes back", "Next: "].iter().any(|words| next.starts_with(words));
        assert!(begins || goes_on || told, "{next}:\n{page}");
    }
    // Every piece of the plan is on a ticket, as often as it is cut.
    let mut reader = csv::Reader::from_path(out(&folder, "pieces.csv")).expect("pieces");
    for row in reader.records() {
        assert!(told.contains(&row.expect("a row")[0]));
    }
    let Some(sheets) = text(&["-layout"], "pdftotext", &out(&folder, "templates/templates.pdf"))
    else {
        return;
    };
    assert!(sheets.contains("100 mm") && sheets.contains("gore"), "{sheets}");
}

/// Nobody looks through all tickets for names that turned into numbers.
#[test]
fn names_that_a_pdf_cannot_show_are_told() {
    let folder = made();
    let told = |command: &str, more: &[&str]| {
        let mut run = Command::cargo_bin("rollwright").expect("the program");
        let output = run.arg(command).arg(folder.path()).args(more).output().expect("a run");
        assert_eq!(output.status.code(), Some(0));
        String::from_utf8(output.stderr).expect("UTF-8")
    };
    let days = out(&folder, "days").display().to_string();
    for (command, more, files) in [
        ("tickets", &[][..], "tickets.pdf and labels.pdf: `T-中` have letters"),
        ("templates", &[], "templates.pdf: `"),
        ("stages", &["--out", &days], "tickets.pdf and labels.pdf: `T-中` have letters"),
    ] {
        let said = told(command, more);
        let lines: Vec<&str> = said.lines().filter(|line| line.contains("T-中")).collect();
        let [line] = lines[..] else { panic!("{command}: {said}") };
        assert!(line.contains(files) && line.contains(".html"), "{line}");
        assert!(!line.contains("größe"), "what can be read is not named: {line}");
        let quiet = told(command, &[more, &["--quiet"]].concat());
        assert!(!quiet.contains("T-中"), "{quiet}");
    }
}

/// Words of drawings had 2 to 5 pt on paper.
#[test]
fn what_a_browser_prints_of_the_report_can_be_read() {
    let folder = made();
    let (page, file) = (out(&folder, "report.html"), out(&folder, "printed.pdf"));
    let to = |option: &str, path: &Path| format!("{option}={}", path.display());
    let run = std::process::Command::new("chromium")
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"])
        .args([to("--user-data-dir", &folder.path().join("browser")), to("--print-to-pdf", &file)])
        .arg(format!("file://{}", page.canonicalize().expect("a report").display()))
        .output();
    if !run.is_ok_and(|run| run.status.success() && file.exists()) {
        let _ = writeln!(std::io::stderr(), "SKIPPED: chromium is missing or does not print");
        return;
    }
    // Three pixels a point, as large as it lets one look.
    let options = ["-xml", "-i", "-stdout", "-zoom", "3"];
    let Some(told) = text(&options, "pdftohtml", &file) else { return };
    let mut sizes = std::collections::BTreeMap::new();
    let attribute = |line: &str, name: &str| {
        let rest = line.split(&format!(" {name}=\"")).nth(1)?;
        Some(rest.split('"').next()?.to_owned())
    };
    let mut seams = 0;
    for line in told.lines().map(str::trim) {
        if line.starts_with("<fontspec ") {
            let size = attribute(line, "size").and_then(|size| size.parse::<u32>().ok());
            sizes.insert(attribute(line, "id").expect("a name"), size.expect("a size"));
        } else if line.starts_with("<text ") {
            let font = attribute(line, "font").and_then(|font| sizes.get(&font).copied());
            assert!(font.is_some_and(|size| size >= 18), "less than 6 pt: {line}");
            seams += usize::from(line.contains(">seam<"));
        }
    }
    assert!(seams > 0, "the drawings are there");
}

#[test]
fn the_same_plan_gives_the_same_files() {
    let folder = made();
    let names = ["tickets.pdf", "labels.pdf", "plan.xlsx"];
    let read = || names.map(|name| fs::read(out(&folder, name)).expect("a file"));
    let first = read();
    for command in ["plan", "tickets"] {
        let mut run = Command::cargo_bin("rollwright").expect("the program");
        run.args([command]).arg(folder.path()).assert().code(0);
    }
    assert!(read() == first, "the same plan gave other bytes");
}

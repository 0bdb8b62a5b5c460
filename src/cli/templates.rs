//! `rollwright templates`: curved pieces in full size, on sheets of paper.
//!
//! Steps: read the job and name its pieces as the plan that stands has them, or where there is none as the
//! first will; draw every curved one; write one SVG a sheet, a list of them and one page to print them all from. Sheets that the list of an earlier run names
//! and that are no longer written are taken away, because somebody might cut after them.

use super::exit::{Exit, Failure};
use super::folder::{self, Listed};
use super::inputs::Job;
use super::output::{self, Loudness};
use super::standing;
use crate::report::template::{self, Paper, Sheet, Template};
use crate::report::{Cell, Table, pdf};
use crate::table::{nearest_or, quoted};
use crate::units::{Length, SheetSize, counted};
use std::collections::BTreeSet;
use std::path::PathBuf;

/// How an earlier run's sheets are known.
const LISTED: Listed = Listed { list: "templates.csv", is_ours };

/// The page that prints all sheets.
const PAGE: &str = "templates.html";

/// From so many sheets a piece on, other ways to print are told of.
const MANY: usize = 3;

/// All sheets in one file, each a page of its own size.
const PDF: &str = "templates.pdf";

/// The longest page that PDF readers must show: 14,400 points (ISO 32000-1, annex C).
const LONGEST_PAGE: Length = Length::from_mm(5080);

/// Write full-size templates of the curved pieces: gores, saddles, sectors, petals, holes
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright templates demo/vellmoor                     into demo/vellmoor/out/templates
  rollwright templates JOB --paper a3 --piece B211       one piece, on A3
  rollwright templates JOB --item E-1 --out /tmp/e1      all pieces of one item
  rollwright templates JOB --plan JOB/out2/plan.json     by the codes of another plan, into JOB/out2
  rollwright templates JOB --paper whole                 for plotters: a sheet as large as the piece

Print templates.pdf (or templates.html from a browser) at full size; every sheet bears a bar of
100 mm to check by (4 in where papers are in inches). Pieces bear the codes of the plan, which is
audited against the job first: one that does not stand gives no templates. Without a plan they bear
those that the first will give them. Rectangles need no template.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    /// Where sheets go; made if it is not there [default: templates, beside the
    /// plan, or in JOB/out]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// What they are printed on [default: the job's sheets, a4 or letter]
    #[arg(long, value_enum)]
    paper: Option<PaperName>,
    /// Only pieces with this code (may be given several times)
    #[arg(long, value_name = "CODE")]
    piece: Vec<String>,
    /// Only pieces of this item (may be given several times)
    #[arg(long, value_name = "ITEM")]
    item: Vec<String>,
    /// Draw the pieces of this plan [default: JOB/out/plan.json, where it is there]
    #[arg(long, value_name = "PLAN")]
    plan: Option<PathBuf>,
    #[command(flatten)]
    pub(super) loudness: Loudness,
}

/// Paper by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum PaperName {
    /// 210 by 297 mm, tiled
    A4,
    /// 297 by 420 mm, tiled
    A3,
    /// 8 1/2 by 11 in, tiled
    Letter,
    /// 11 by 17 in, tiled
    Tabloid,
    /// One sheet as large as the piece
    Whole,
}

impl From<SheetSize> for PaperName {
    fn from(sheet: SheetSize) -> Self {
        match sheet {
            SheetSize::A4 => Self::A4,
            SheetSize::Letter => Self::Letter,
        }
    }
}

impl From<PaperName> for Paper {
    fn from(name: PaperName) -> Self {
        match name {
            PaperName::A4 => Self::A4,
            PaperName::A3 => Self::A3,
            PaperName::Letter => Self::Letter,
            PaperName::Tabloid => Self::Tabloid,
            PaperName::Whole => Self::Whole,
        }
    }
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let job = Job::read(&args.job)?;
    output::findings(&job.findings, args.loudness);
    let made = args.job.join("out").join(folder::PLAN);
    let path = args.plan.clone().unwrap_or_else(|| made.clone());
    let out = args.out.clone().unwrap_or_else(|| folder::of(&path).join("templates"));
    let (job, file) = match (args.plan.is_some() || folder::there(&made)).then_some(&path) {
        Some(path) => {
            let stood = standing::read(job, path, "no templates are written")?;
            output::findings(&stood.changed, args.loudness);
            (stood.job, Some(stood.file))
        }
        None => (job, None),
    };
    let chosen = chosen(&job, args)?;
    let paper = args.paper.unwrap_or_else(|| job.papers.sheet.into());
    let sheets: Vec<Sheet> =
        chosen.iter().flat_map(|t| t.sheets(paper.into(), job.papers.measure)).collect();
    let mut files: Vec<(String, Vec<u8>)> =
        sheets.iter().map(|s| (format!("{}.svg", stem(s)), template::svg(s))).collect();
    files.push((LISTED.list.to_owned(), list(&sheets)));
    files.push((PDF.to_owned(), pdf::templates_pdf(&job.folder.name, &sheets)));
    files.push((PAGE.to_owned(), template::print_file(&job.folder.name, &sheets)));
    let named: Vec<(&str, &[u8])> = files.iter().map(|(n, b)| (n.as_str(), &**b)).collect();
    let written = LISTED.write(&out, (&args.job, file.as_ref()), &named)?;
    if !args.loudness.quiet {
        output::message(&format!(
            "{} on {}: {} in {}; print {PDF} or {PAGE} at full size",
            counted(chosen.len() as u64, "piece", "pieces"),
            counted(sheets.len() as u64, "sheet", "sheets"),
            counted(written as u64, "file", "files"),
            out.display()
        ));
        if sheets.len() >= MANY * chosen.len() && paper != PaperName::Whole {
            output::message(&format!(
                "`--paper whole` makes one sheet a piece, {} in all, for a plotter or a copy shop; \
                 `--item` and `--piece` print a part of them",
                chosen.len()
            ));
        }
        let instead = "what a browser prints of templates.html";
        output::in_numbers(&illegible(&sheets), PDF, instead);
        let long = too_long(&sheets);
        if !long.is_empty() {
            output::message(&format!(
                "longer than {LONGEST_PAGE} mm, the most that every PDF reader shows and prints: {}; plot their \
                 SVG files instead of {PDF}",
                long.join(", ")
            ));
        }
    }
    Ok(Exit::Done)
}

/// The templates asked for.
fn chosen(job: &Job, args: &Args) -> Result<Vec<Template>, Failure> {
    let wanted = job.sheets();
    let of_items = |piece: &crate::plan::wanted::Piece| {
        piece.uses.iter().any(|used| args.item.contains(&used.item))
    };
    let all = args.piece.is_empty() && args.item.is_empty();
    let codes: Vec<&str> = wanted
        .iter()
        .flat_map(|sheet| &sheet.pieces)
        .filter(|p| {
            all || of_items(p) || args.piece.iter().any(|c| c.eq_ignore_ascii_case(&p.code))
        })
        .map(|p| p.code.as_str())
        .collect();
    for item in &args.item {
        if !job.takeoff.items.iter().any(|i| i.id == *item) {
            let names = job.takeoff.items.iter().map(|i| i.id.as_str());
            let remedy = nearest_or(item, names, "column `item` of the takeoff names them");
            return Err(Failure::Usage(format!(
                "there is no item {} in the takeoff; {remedy}",
                quoted(item)
            )));
        }
    }
    for code in &args.piece {
        if !codes.iter().any(|c| c.eq_ignore_ascii_case(code)) {
            let all = wanted.iter().flat_map(|sheet| &sheet.pieces).map(|p| p.code.as_str());
            let remedy = match &job.already {
                Some(already) if !code.contains('r') => format!(
                    "the plan goes on from another, so its pieces' codes end in r{}; its pieces.csv \
                     and its schedule name them",
                    already.revision
                ),
                _ => nearest_or(code, all, "pieces.csv of a plan and the schedule name them"),
            };
            return Err(Failure::Usage(format!("there is no piece {}; {remedy}", quoted(code))));
        }
    }
    let mut templates = template::templates(&wanted, job.demand());
    templates.retain(|t| codes.contains(&t.piece.as_str()));
    if templates.is_empty() {
        return Err(Failure::Refused(
            "there is nothing to draw: all pieces asked for are rectangles, whose width and length \
             say all"
                .to_owned(),
        ));
    }
    Ok(templates)
}

/// The sheets that some PDF readers show or print in part only.
fn too_long(sheets: &[Sheet]) -> Vec<String> {
    sheets.iter().filter(|s| s.width.max(s.height) > LONGEST_PAGE).map(stem).collect()
}

/// What stands on sheets and cannot be read in the PDF file, each once.
fn illegible(sheets: &[Sheet]) -> Vec<String> {
    let words = sheets.iter().flat_map(|sheet| &sheet.texts).map(|text| text.words.as_str());
    let all: BTreeSet<&str> = words.filter(|words| !pdf::legible(words)).collect();
    all.into_iter().map(str::to_owned).collect()
}

/// `B12`, `B12-C3`: codes and grid names are ours.
fn stem(sheet: &Sheet) -> String {
    match sheet.tile.as_str() {
        "" => sheet.piece.clone(),
        tile => format!("{}-{tile}", sheet.piece),
    }
}

/// Whether a name is one that this command gives: `B12.svg`, `B12r2.svg` of a plan that goes on from
/// another, `B12-C3.svg`.
fn is_ours(name: &str) -> bool {
    let Some(stem) = name.strip_suffix(".svg") else { return false };
    let number = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let code = |text: &str| {
        let digits = text.trim_start_matches(|c: char| c.is_ascii_uppercase());
        digits.len() < text.len() && number(digits)
    };
    let piece = |text: &str| match text.split_once('r') {
        Some((first, revision)) => code(first) && number(revision),
        None => code(text),
    };
    match stem.split_once('-') {
        Some((first, tile)) => piece(first) && code(tile),
        None => piece(stem),
    }
}

/// The list of all sheets.
fn list(sheets: &[Sheet]) -> Vec<u8> {
    let mut table = Table::new(&["file", "piece", "sheet", "width mm", "height mm"]);
    for sheet in sheets {
        table.push(vec![
            Cell::text(stem(sheet)),
            Cell::text(&sheet.piece),
            Cell::text(&sheet.tile),
            Cell::Millimetres(sheet.width),
            Cell::Millimetres(sheet.height),
        ]);
    }
    table.csv()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheets_longer_than_a_pdf_page_are_told() {
        let sheet = |piece: &str, height: i64| Sheet {
            piece: piece.to_owned(),
            tile: String::new(),
            width: Length::from_mm(400),
            height: Length::from_mm(height),
            strokes: Vec::new(),
            texts: Vec::new(),
        };
        assert_eq!(too_long(&[sheet("B1", 5080), sheet("B2", 5081)]), ["B2"]);
    }

    #[test]
    fn only_names_of_ours_are_taken_away() {
        for name in ["B12.svg", "AB3-C11.svg", "B12r2.svg", "B12r10-A1.svg"] {
            assert!(is_ours(name), "{name}");
        }
        for name in [
            "drawing.svg",
            "B12.svg.bak",
            "B.svg",
            "12.svg",
            "B12-c1.svg",
            "B12-.svg",
            "B12r.svg",
            "r2.svg",
            "B12-A1r2.svg",
            "B12r2r3.svg",
        ] {
            assert!(!is_ours(name), "{name}");
        }
    }
}

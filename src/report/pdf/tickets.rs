//! Tickets and kit lists on paper. Every ticket begins on a page of its own; the kits follow.

use super::flow::{Column, Flow, Row};
use super::{Setting, document};
use crate::plan::Plan;
use crate::report::papers::Papers;
use crate::report::ticket::{
    Block, BlockPiece, CAUTIONS, Going, KitList, Ticket, counted_from, kits_in_words,
    places_in_words, rips_from,
};
use crate::units::Measure;
use crate::units::in_runs;

/// Blocks as high as this are kept on one page.
const WHOLE: f64 = 150.0;

/// The file of all tickets and kit lists.
#[must_use]
pub fn tickets_pdf(plan: &Plan, papers: &Papers) -> Vec<u8> {
    let measure = papers.measure;
    let mut flow = Flow::new(papers.sheet);
    for one in &papers.tickets {
        ticket(&mut flow, &papers.plan, one, measure);
    }
    if !papers.kits.is_empty() {
        flow.part("Kits", &papers.plan);
        flow.paragraph(Setting::plain(3.8), false, &kits_in_words(measure));
        flow.cautions(&CAUTIONS);
        for list in &papers.kits {
            kit(&mut flow, list, measure);
        }
    }
    document(&format!("Tickets: {}", plan.name), flow.pages(measure))
}

fn ticket(flow: &mut Flow, job: &str, ticket: &Ticket, measure: Measure) {
    flow.part(&format!("{}   {}   {}", ticket.name, ticket.thickness, ticket.roll), job);
    let length = ticket.length.map_or_else(String::new, |l| format!(", {} long", measure.words(l)));
    let from = ticket.from.as_ref().map_or_else(String::new, |from| format!("; {from}"));
    let work = &ticket.work;
    let outlines = if work.outline.is_positive() {
        format!(", {} along outlines", measure.way(work.outline, 1))
    } else {
        String::new()
    };
    let about = format!(
        "{} wide{length}{from}. {}; {} of straight cuts{outlines}; about {} at \
         the rates in the rules. {}; {}; {}.",
        measure.words(ticket.width),
        work.counts(),
        measure.way(work.straight, 1),
        work.time(),
        ticket.dimensions_in_words(measure),
        counted_from(ticket),
        rips_from(ticket.edge_trim, measure)
    );
    flow.paragraph(Setting::plain(3.8), false, &about);
    flow.cautions(&CAUTIONS);
    let run = Setting::bold(4.2);
    if ticket.square_cut.is_positive() {
        let text = format!("Square the front: cut across at {}", measure.words(ticket.square_cut));
        flow.paragraph(run, true, &text);
    }
    if ticket.edge_trim.is_positive() {
        let text =
            format!("Trim {} off each long edge of every pull.", measure.up(ticket.edge_trim));
        flow.paragraph(Setting::plain(4.2), false, &text);
    }
    for one in &ticket.blocks {
        // What is cut in one go stands on one page, unless that left much of the page before empty.
        let height = flow.height(|flow| block(flow, one, measure));
        flow.need(height.filter(|height| *height <= WHOLE).unwrap_or(34.0));
        block(flow, one, measure);
        flow.about("");
    }
    if !ticket.kept.is_empty() {
        flow.need(14.0);
        flow.gap(2.0);
        flow.rule(0.6);
        flow.paragraph(Setting::bold(5.0), false, "Keep, label and put on the shelf");
        for kept in &ticket.kept {
            let text = format!(
                "{}: {}, from {}, lies at ____________________",
                kept.name,
                kept.size_in_words(measure),
                measure.words(kept.from)
            );
            flow.paragraph(Setting::plain(4.2), true, &text);
        }
    }
}

fn block(flow: &mut Flow, block: &Block, measure: Measure) {
    flow.gap(2.0);
    if block.comes_back {
        let text = "The roll comes back on the table here: others are cut first.";
        flow.paragraph(Setting::bold(4.2), false, text);
    }
    flow.rule(0.6);
    flow.paragraph(Setting::bold(5.0), false, &block.heading(measure));
    flow.about(&pulls_in_words(block));
    let drawn: Vec<String> = block.pulls.iter().map(|p| block.pull_in_words(p, measure)).collect();
    flow.ticks(Setting::plain(4.2), &drawn);
    if !block.rips.is_empty() {
        let text = format!("Rip at {}", places_in_words(&block.rips, measure));
        flow.paragraph(Setting::bold(4.2), false, &text);
    }
    if !block.crosses.is_empty() {
        let places = places_in_words(&block.crosses, measure);
        let text = format!("Across inside the pull, from its near end, at {places}");
        flow.paragraph(Setting::bold(4.2), false, &text);
    }
    for blank in &block.shared {
        flow.paragraph(Setting::plain(4.2), true, &blank.in_words(measure));
    }
    let column = |heading, width, right, setting| Column { heading, width, right, setting };
    let columns = [
        column("piece", 26.0, false, Setting::bold(5.0)),
        column("across × along", 43.0, true, Setting::plain(4.4)),
        column("how many", 16.0, true, Setting::bold(4.8)),
        column("goes to", 86.0, false, Setting::plain(3.4)),
    ];
    let rows: Vec<Row> = block.pieces.iter().map(|piece| row(piece, measure)).collect();
    flow.table(15.0, &columns, &rows);
    if let Some(next) = &block.next {
        flow.paragraph(Setting::bold(4.2), false, &format!("{}.", next.in_words()));
    }
}

/// `pulls 7 to 9, 12`, as a page names them that begins in the middle of a block.
fn pulls_in_words(block: &Block) -> String {
    let numbers: Vec<u64> = block.pulls.iter().map(|pull| pull.number).collect();
    let word = if numbers.len() == 1 { "pull" } else { "pulls" };
    format!("{word} {}", in_runs(&numbers).join(", "))
}

fn row(piece: &BlockPiece, measure: Measure) -> Row {
    let mut size = format!("{} × {}", measure.up(piece.across), measure.up(piece.along));
    if piece.outlined {
        size.push_str(" outline");
    }
    let lies = piece.lies_in_words(measure);
    if !lies.is_empty() {
        size.push('\n');
        size.push_str(&lies);
    }
    let goes: Vec<String> = piece.goes.iter().map(|going| goes(going, measure)).collect();
    let words = vec![piece.code.clone(), size, piece.count.to_string(), goes.join("\n")];
    Row { ticks: piece.ticks(), words }
}

fn goes(going: &Going, measure: Measure) -> String {
    let mut text = match going.kit {
        Some(kit) => {
            let seam = if going.seam.is_empty() { "" } else { ", " };
            format!(
                "kit {kit} {}, layer {}, {}{seam}{}",
                going.item,
                going.layer,
                measure.in_text(&going.part),
                going.seam
            )
        }
        None => "spare: keep".to_owned(),
    };
    if going.count > 1 {
        text.push_str(": ");
        text.push_str(&going.count.to_string());
    }
    text
}

fn kit(flow: &mut Flow, list: &KitList, measure: Measure) {
    let height = flow.height(|flow| whole_kit(flow, list, measure));
    flow.need(height.filter(|height| *height <= WHOLE).unwrap_or(30.0));
    whole_kit(flow, list, measure);
    flow.about("");
}

fn whole_kit(flow: &mut Flow, list: &KitList, measure: Measure) {
    flow.gap(2.0);
    flow.rule(0.6);
    let of = match list.quantity {
        0 | 1 => String::new(),
        many => format!(", for {many} of it"),
    };
    flow.paragraph(Setting::bold(5.0), false, &format!("Kit {}: {}{of}", list.number, list.item));
    flow.about(&format!("Kit {}: {}", list.number, list.item));
    let place: Vec<&str> = [&list.area, &list.line]
        .map(String::as_str)
        .into_iter()
        .filter(|t| !t.is_empty())
        .collect();
    let comma = if place.is_empty() { "" } else { ", " };
    let text = format!("{}{comma}release {}; {}", place.join(", "), list.release, list.when());
    flow.paragraph(Setting::plain(3.6), false, &text);
    let column = |heading, width, right, setting| Column { heading, width, right, setting };
    let small = Setting::plain(3.4);
    let columns = [
        column("layer", 10.0, true, small),
        column("part", 44.0, false, small),
        column("piece", 24.0, false, Setting::bold(4.2)),
        column("size", 32.0, true, small),
        column("thickness", 17.0, false, small),
        column("seam", 20.0, false, small),
        column("how many", 15.0, true, Setting::bold(4.2)),
        column("from", 18.0, false, small),
    ];
    let rows: Vec<Row> = list
        .lines
        .iter()
        .map(|line| {
            let outline = if line.outlined { " (outline)" } else { "" };
            let from = match line.tickets.as_slice() {
                [] => "cut before".to_owned(),
                _ => list.tickets(line).join(", "),
            };
            let words = vec![
                line.layer.to_string(),
                format!("{}{outline}", measure.in_text(&line.part)),
                line.code.clone(),
                format!("{} × {}", measure.up(line.width), measure.up(line.length)),
                line.thickness.clone(),
                line.seam_under_heading().to_owned(),
                line.count.to_string(),
                from,
            ];
            Row { ticks: 1, words }
        })
        .collect();
    flow.table(6.0, &columns, &rows);
}

//! Labels on paper: a sheet that says how to print them, then the labels in the order of cutting.

use super::flow::Flow;
use super::{Anchor, Page, Setting, document, label_words, shortened_to, width};
use crate::plan::Plan;
use crate::report::papers::Papers;
use crate::report::sheets::{LABEL, LabelSheet};
use crate::report::ticket::{CAUTIONS, Label};
use crate::report::ticket_page::Square;
use crate::units::Measure;

/// Height of a line of thickness and size.
const SIZE: f64 = 3.6;
/// Side of the square code with its quiet zone.
const CODE: f64 = 21.0;

/// The file of all labels.
#[must_use]
pub fn labels_pdf(plan: &Plan, papers: &Papers) -> Vec<u8> {
    let labels = &papers.labels;
    let lies = LabelSheet::of(papers.sheet);
    let mut flow = Flow::new(papers.sheet);
    flow.part("Labels", &plan.name);
    let text = format!(
        "Behind this sheet: {}. Print at full size, not fitted to the page. The square code holds the \
         piece's identity, the first column of labels.csv.",
        lies.in_words(labels.len(), papers.sheet, papers.measure)
    );
    flow.paragraph(Setting::plain(4.2), false, &text);
    flow.cautions(&CAUTIONS);
    let mut pages = flow.pages_before(labels.len().div_ceil(lies.holds()), papers.measure);
    let (left, above) = lies.margins();
    let top = lies.size.1.mm_f64() - above;
    let (wide, high) = (LABEL.0.mm_f64(), LABEL.1.mm_f64());
    for sheet in labels.chunks(lies.holds()) {
        let mut page = Page::of(papers.sheet);
        for (row, labels) in (0_u16..).zip(sheet.chunks(usize::from(lies.across))) {
            for (column, (label, square)) in (0_u16..).zip(labels) {
                one(
                    &mut page,
                    (left + f64::from(column) * wide, top - f64::from(row) * high),
                    (label, square.as_ref()),
                    papers.measure.each_marked(),
                );
            }
        }
        pages.push(page);
    }
    document(&format!("Labels: {}", plan.name), pages)
}

/// How a size is set: it is never cut off, so where it is too wide it is smaller, by a hair more than the room asks
/// for, which rounding may take.
fn whole(size: &str, room: f64) -> Setting {
    let usual = Setting::bold(SIZE);
    let wide = width(size, usual.face, SIZE);
    Setting { size: SIZE * (room / wide * 0.999).min(1.0), ..usual }
}

/// A label, its upper left corner here.
fn one(
    page: &mut Page,
    (left, top): (f64, f64),
    (label, square): (&Label, Option<&Square>),
    measure: Measure,
) {
    let (across, high) = (LABEL.0.mm_f64(), LABEL.1.mm_f64());
    let (x, room) = (left + 4.0, across - 4.0 - 2.5 - CODE - 1.0);
    let mut y = top - 2.5;
    let mut line = |page: &mut Page, setting: Setting, room: f64, text: &str| {
        y -= setting.size * 1.1;
        let text = shortened_to(text, setting.face, setting.size, room);
        page.words((x, y + setting.size * 0.2), setting, &text);
    };
    let big = if label.code.chars().count() > 7 { 5.3 } else { 8.1 };
    line(page, Setting::bold(big), room, &label.code);
    let size = label.size_in_words(measure);
    line(page, whole(&size, room), room, &size);
    let words = label_words(label, measure);
    for (text, below) in &words.lines {
        let room = if *below { across - 4.0 - 3.0 } else { room };
        line(page, Setting::plain(words.letters), room, text);
    }
    let kit = label.kit.map_or_else(String::new, |kit| format!("kit {kit}, "));
    let pull = if label.pull > 0 { format!(", pull {}", label.pull) } else { String::new() };
    let foot = (left + 4.0, top - high + 3.0);
    page.words(foot, Setting::bold(3.0), &format!("{kit}{}{pull}", label.ticket));
    let end = Setting { anchor: Anchor::End, ..Setting::plain(2.6) };
    page.words((left + across - 3.0, foot.1), end, &label.identity);
    if let Some(square) = square {
        let module = CODE / f64::from(square.side);
        let (right, upper) = (left + across - 2.5 - CODE, top - 2.0);
        page.fill(square.runs.iter().map(|&(column, row, length)| {
            let [column, row, length] = [column, row, length].map(f64::from);
            let corner = (right + column * module, upper - (row + 1.0) * module);
            (corner, length * module, module)
        }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_size_is_cut_off() {
        for room in [30.0, 42.5, 42.7] {
            for first in 10..130 {
                for part in ["", "\u{a0}1/64", "\u{a0}15/16"] {
                    let size = format!("10 mm, ~{first}{part} × ~27\u{a0}1/64");
                    let setting = whole(&size, room);
                    assert_eq!(shortened_to(&size, setting.face, setting.size, room), size);
                    assert!(setting.size > SIZE * 0.6);
                }
            }
        }
    }
}

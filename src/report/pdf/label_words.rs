//! What stands on a label below its size, on lines: the same in a browser's print as in a PDF file.

use super::font::lines_in;
use super::{Face, width};
use crate::report::text::visible;
use crate::report::ticket::Label;
use crate::units::Measure;

/// Height of letters in millimetres and how many lines of them have room, the usual first.
const LETTERS: [(f64, usize); 2] = [(3.0, 4), (2.4, 5)];
/// So many lines stand beside the square code; those below it are wide.
const BESIDE: usize = 3;
/// The room beside the square code, and below it, in millimetres.
const ROOM: (f64, f64) = (41.5, 63.0);

/// Item, layer, part and seam, then area and line.
#[derive(Clone, Debug, PartialEq)]
pub struct LabelWords {
    /// Height of the letters in millimetres.
    pub letters: f64,
    /// The lines, and whether each is below the square code.
    pub lines: Vec<(String, bool)>,
}

/// What stands on a label below its size, in smaller letters where it would have no room, and cut off where it
/// has none even then: at the end of the part and of the place, as a name tells most at its beginning.
#[must_use]
pub fn label_words(label: &Label, measure: Measure) -> LabelWords {
    let text = |parts: &[&str]| {
        let parts = parts.iter().filter(|part| !part.is_empty());
        parts.map(|part| visible(part)).collect::<Vec<_>>().join(", ")
    };
    let part = measure.in_text(&label.part);
    let what = text(&[&label.item, &part, &label.seam]);
    let place = text(&[&label.area, &label.line]);
    let whole = |&(letters, most): &(f64, usize)| laid(&what, &place, letters, most);
    let mut tried = LETTERS.iter().map(whole);
    let fits = tried.find(|(_, cut)| !cut).map(|(words, _)| words);
    fits.unwrap_or_else(|| laid(&what, &place, LETTERS[1].0, LETTERS[1].1).0)
}

/// Both texts on at most so many lines, and whether something is cut off.
fn laid(what: &str, place: &str, letters: f64, most: usize) -> (LabelWords, bool) {
    let room = |line: usize| if line < BESIDE { ROOM.0 } else { ROOM.1 };
    let mut lines: Vec<String> = Vec::new();
    let mut cut = false;
    for (text, end) in [(what, if place.is_empty() { most } else { most - 1 }), (place, most)] {
        let first = lines.len();
        let mut own = lines_in(text, Face::Plain, letters, |line| room(first + line));
        if own.len() > end - first {
            cut = true;
            let rest = own.split_off(end - first - 1).join(" ");
            own.push(shortened(&rest, letters, room(end - 1)));
        }
        lines.extend(own);
    }
    let lines = lines.into_iter().enumerate().map(|(at, text)| (text, at >= BESIDE)).collect();
    (LabelWords { letters, lines }, cut)
}

/// The beginning of a text that is too wide, with an ellipsis.
fn shortened(text: &str, letters: f64, room: f64) -> String {
    let mut short = text.to_owned();
    while short.pop().is_some() {
        let told = format!("{}…", short.trim_end());
        if width(&told, Face::Plain, letters) <= room {
            return told;
        }
    }
    String::new()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    fn label(item: &str, part: &str, area: &str, line: &str) -> Label {
        Label {
            identity: String::new(),
            code: "A1".to_owned(),
            thickness: "10 mm".to_owned(),
            width: Length::from_mm(1),
            length: Length::from_mm(1),
            left: false,
            item: item.to_owned(),
            area: area.to_owned(),
            line: line.to_owned(),
            part: part.to_owned(),
            seam: "seam at 270°".to_owned(),
            kit: Some(1),
            ticket: "T1".to_owned(),
            pull: 1,
            drawing: None,
        }
    }

    fn told(words: &LabelWords) -> String {
        words.lines.iter().map(|(text, _)| text.as_str()).collect::<Vec<_>>().join(" ")
    }

    /// Long names use all the lines there are before anything is cut off, and each line has room.
    #[test]
    fn names_are_whole_where_lines_are_free() {
        let (area, line) = ("Boiler house east, upper platform", "FW-1102 feed water");
        let short = label("P-1", "layer 1, course 4 of 4", area, line);
        let long =
            label("Spool 12b behind the switchroom wall", "layer 2, courses 2-4 of 4", area, line);
        for (label, letters) in [(&short, 3.0), (&long, 2.4)] {
            let words = label_words(label, Measure::Millimetres);
            assert!((words.letters - letters).abs() < 1e-9, "{words:?}");
            let all = [&label.item, &label.part, &label.seam].map(String::as_str).join(", ");
            assert_eq!(told(&words), format!("{all} {area}, {line}"));
            assert!(words.lines.len() <= if letters > 2.9 { 4 } else { 5 });
            for (at, (text, below)) in words.lines.iter().enumerate() {
                let room = if *below { ROOM.1 } else { ROOM.0 };
                assert_eq!(*below, at >= BESIDE);
                assert!(width(text, Face::Plain, words.letters) <= room, "{text}");
            }
        }
    }

    /// The longest names there may be: something of both texts is left.
    #[test]
    fn what_has_no_room_ends_in_an_ellipsis() {
        let long = "Mezzanine ".repeat(6);
        let label = label(&long, "layer 12, branch cover, part 3 of 4", &long, &long);
        let words = label_words(&label, Measure::Millimetres);
        assert_eq!(words.lines.len(), 5);
        assert!(words.lines[4].0.ends_with('…'), "{words:?}");
        assert!(words.lines[0].0.starts_with("Mezzanine"), "{words:?}");
        let alone =
            super::label_words(&self::label("", &"w".repeat(400), "", ""), Measure::Millimetres);
        assert!(alone.lines[4].0.ends_with('…') && alone.lines.len() == 5, "{alone:?}");
    }
}

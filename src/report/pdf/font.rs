//! The two faces, how wide their letters are, and which letters they have; what they lack is taken from
//! [`wide`].
//!
//! Helvetica and Helvetica-Bold are among the 14 faces that a reader of PDF must have (ISO 32000-1,
//! 9.6.2.2), so nothing is embedded. Widths are in thousandths of the size, for the codes 32 to 255
//! of `WinAnsiEncoding` (ISO 32000-1, annex D.2); they were written from memory and agree with those
//! of Liberation Sans, a free face made to the same widths, but for the overline, plus-minus,
//! micro and division signs.

use super::wide;
use crate::report::text::visible;
use pdf_writer::Name;
use std::fmt::Write;

/// A face.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Face {
    /// For most words.
    Plain,
    /// For what must be seen first.
    Bold,
}

impl Face {
    pub(super) const ALL: [Self; 2] = [Self::Plain, Self::Bold];

    pub(super) const fn name(self) -> Name<'static> {
        match self {
            Self::Plain => Name(b"P"),
            Self::Bold => Name(b"B"),
        }
    }

    pub(super) const fn base(self) -> Name<'static> {
        match self {
            Self::Plain => Name(b"Helvetica"),
            Self::Bold => Name(b"Helvetica-Bold"),
        }
    }

    const fn widths(self) -> &'static [u16; 224] {
        match self {
            Self::Plain => &PLAIN,
            Self::Bold => &BOLD,
        }
    }
}

/// The characters of the codes 128 to 159; a space where there is none.
const HIGH: &str = "€ ‚ƒ„…†‡ˆ‰Š‹Œ Ž  ‘’“”•–—˜™š›œ žŸ";

/// A character's code; `None` where the face has no such letter.
fn code(c: char) -> Option<u8> {
    match c {
        ' '..='~' | '\u{a0}'..='ÿ' => u8::try_from(u32::from(c)).ok(),
        // Near enough in every way that matters on a label.
        '‐' | '‑' | '−' => Some(b'-'),
        '′' => Some(b'\''),
        '″' => Some(b'"'),
        _ => {
            (128_u8..).zip(HIGH.chars()).find(|(_, high)| *high == c && c != ' ').map(|(at, _)| at)
        }
    }
}

/// The text as it will be seen: on one line, and letters that no face here has as their numbers in
/// Unicode, `[U+4E2D]`.
pub(super) fn shown(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in visible(text).chars() {
        match c {
            '\u{fffd}' => out.push_str("[?]"),
            c if has(c) => out.push(c),
            c => {
                let _ = write!(out, "[U+{:04X}]", u32::from(c));
            }
        }
    }
    out
}

/// Whether there is such a letter in a face here.
fn has(c: char) -> bool {
    code(c).is_some() || Face::ALL.iter().all(|face| wide::glyph(c, *face).is_some())
}

/// Whether all of a text can be read where it is shown; what is no letter, and shown nowhere as one, does not count.
#[must_use]
pub fn legible(text: &str) -> bool {
    visible(text).chars().all(|c| c == '\u{fffd}' || has(c))
}

/// Letters of one face that follow each other, in its codes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Run {
    /// Whether the face is the one of [`wide`]; its codes have two bytes.
    pub wide: bool,
    /// The codes.
    pub bytes: Vec<u8>,
    /// Their width in thousandths of the size.
    pub width: u32,
    /// Where the face is [`wide`]'s: the letters by their numbers in it.
    pub glyphs: Vec<(u16, char)>,
}

/// [`shown`] in the faces' codes.
pub(super) fn runs(text: &str, face: Face) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    let mut last = |wide: bool, put: &dyn Fn(&mut Run)| match runs.last_mut() {
        Some(run) if run.wide == wide => put(run),
        _ => {
            let mut run = Run { wide, ..Run::default() };
            put(&mut run);
            runs.push(run);
        }
    };
    for c in shown(text).chars() {
        if let Some(code) = code(c) {
            let width = face.widths().get(usize::from(code).wrapping_sub(32)).copied();
            last(false, &|run| {
                run.bytes.push(code);
                run.width += u32::from(width.unwrap_or(0));
            });
        } else if let Some((glyph, width)) = wide::glyph(c, face) {
            last(true, &|run| {
                run.bytes.extend(glyph.to_be_bytes());
                run.width += u32::from(width);
                run.glyphs.push((glyph, c));
            });
        }
    }
    runs
}

pub(super) fn width_of(runs: &[Run], size: f64) -> f64 {
    f64::from(runs.iter().map(|run| run.width).sum::<u32>()) * size / 1000.0
}

/// How wide words are at a size, in the size's unit.
#[must_use]
pub fn width(text: &str, face: Face, size: f64) -> f64 {
    width_of(&runs(text, face), size)
}

/// The text as it is shown, cut with an ellipsis where it is wider than the room.
#[must_use]
pub fn shortened_to(text: &str, face: Face, size: f64, room: f64) -> String {
    let shown = shown(text);
    if width(&shown, face, size) <= room {
        return shown;
    }
    let mut left = room - width("…", face, size);
    let mut out = String::new();
    for c in shown.chars() {
        left -= width(c.encode_utf8(&mut [0; 4]), face, size);
        if left < 0.0 {
            break;
        }
        out.push(c);
    }
    out.push('…');
    out
}

/// The text on lines that are no wider than the room; a word that is wider goes on on the next line. A fraction stays
/// with its whole number, or one would be read without the other.
#[must_use]
pub fn lines(text: &str, face: Face, size: f64, room: f64) -> Vec<String> {
    lines_in(&shown(text), face, size, |_| room)
}

/// [`lines`] of a text as it is, the room of each line by its number from 0.
pub(super) fn lines_in(
    text: &str,
    face: Face,
    size: f64,
    room: impl Fn(usize) -> f64,
) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in unparted(text) {
        let longer = if line.is_empty() { word.clone() } else { format!("{line} {word}") };
        if width(&longer, face, size) <= room(lines.len()) {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        let mut left = room(lines.len());
        for c in word.chars() {
            let wide = width(c.encode_utf8(&mut [0; 4]), face, size);
            if left < wide && !line.is_empty() {
                lines.push(std::mem::take(&mut line));
                left = room(lines.len());
            }
            left -= wide;
            line.push(c);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// The words of a text, a whole number and the fraction behind it as one.
fn unparted(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let over = word.trim_end_matches([',', ';', '.', ':']).split_once('/');
        let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
        let fraction = over.is_some_and(|(over, under)| digits(over) && digits(under));
        match words.last_mut() {
            Some(whole) if fraction && whole.ends_with(|c: char| c.is_ascii_digit()) => {
                whole.push(' ');
                whole.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

#[rustfmt::skip]
const PLAIN: [u16; 224] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278,
    556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556,
    1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778,
    667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556,
    333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556,
    556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584, 0,
    556, 0, 222, 556, 333, 1000, 556, 556, 333, 1000, 667, 333, 1000, 0, 611, 0,
    0, 222, 222, 333, 333, 350, 556, 1000, 333, 1000, 500, 333, 944, 0, 500, 667,
    278, 333, 556, 556, 556, 556, 260, 556, 333, 737, 370, 556, 584, 333, 737, 333,
    400, 584, 333, 333, 333, 556, 537, 278, 333, 333, 365, 556, 834, 834, 834, 611,
    667, 667, 667, 667, 667, 667, 1000, 722, 667, 667, 667, 667, 278, 278, 278, 278,
    722, 722, 778, 778, 778, 778, 778, 584, 778, 722, 722, 722, 722, 667, 667, 611,
    556, 556, 556, 556, 556, 556, 889, 500, 556, 556, 556, 556, 278, 278, 278, 278,
    556, 556, 556, 556, 556, 556, 556, 584, 611, 556, 556, 556, 556, 500, 556, 500,
];
#[rustfmt::skip]
const BOLD: [u16; 224] = [
    278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278,
    556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611,
    975, 722, 722, 722, 722, 667, 611, 778, 722, 278, 556, 722, 611, 833, 722, 778,
    667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584, 556,
    333, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556, 278, 889, 611, 611,
    611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584, 0,
    556, 0, 278, 556, 500, 1000, 556, 556, 333, 1000, 667, 333, 1000, 0, 611, 0,
    0, 278, 278, 500, 500, 350, 556, 1000, 333, 1000, 556, 333, 944, 0, 500, 667,
    278, 333, 556, 556, 556, 556, 280, 556, 333, 737, 370, 556, 584, 333, 737, 333,
    400, 584, 333, 333, 333, 611, 556, 278, 333, 333, 365, 556, 834, 834, 834, 611,
    722, 722, 722, 722, 722, 722, 1000, 722, 667, 667, 667, 667, 278, 278, 278, 278,
    722, 722, 778, 778, 778, 778, 778, 584, 778, 722, 722, 722, 722, 667, 667, 611,
    556, 556, 556, 556, 556, 556, 889, 556, 556, 556, 556, 556, 278, 278, 278, 278,
    611, 611, 611, 611, 611, 611, 611, 584, 611, 611, 611, 611, 611, 556, 611, 556,
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_have_their_codes_and_widths() {
        // ISO 32000-1, annex D.2: Euro is octal 200, OE 214, Ydieresis 237, bullet 225.
        for (c, octal) in [('€', 0o200), ('Œ', 0o214), ('Ÿ', 0o237), ('•', 0o225), ('é', 0o351)]
        {
            assert_eq!(code(c), Some(octal), "{c}");
        }
        assert_eq!(code('中'), None);
        assert_eq!(HIGH.chars().count(), 32);
        assert!((width("Hello", Face::Plain, 10.0) - 22.78).abs() < 1e-9);
        assert!((width("100 mm", Face::Bold, 1.0) - 3.724).abs() < 1e-9);
    }

    #[test]
    fn what_the_face_cannot_show_is_said() {
        assert_eq!(shown("größe 中\u{202e}\n7″"), "größe [U+4E2D][?] 7″");
        let codes = |text: &str| {
            runs(text, Face::Plain).into_iter().map(|run| (run.wide, run.bytes)).collect::<Vec<_>>()
        };
        assert_eq!(codes("7″"), [(false, b"7\"".to_vec())]);
        assert!(
            codes(&"\u{0}x".repeat(10)).iter().all(|(wide, b)| !wide && b.iter().all(|b| *b >= 32))
        );
    }

    #[test]
    fn only_letters_that_no_face_has_make_a_name_illegible() {
        assert!(legible("größe 7″ Łódź Київ\u{202e}"));
        for name in ["北区", "タンク3", "배관", "T-中"] {
            assert!(!legible(name), "{name}");
        }
    }

    #[test]
    fn letters_of_other_alphabets_are_set_in_the_wide_face() {
        let names = "Łódź ğışİ Ωμ Київ ő ț";
        assert_eq!(shown(names), names);
        let runs = runs("Łódź", Face::Bold);
        assert_eq!(runs.iter().map(|run| run.wide).collect::<Vec<_>>(), [true, false, true]);
        assert_eq!(runs[0].glyphs[0].1, 'Ł');
        assert!(width("Ł", Face::Bold, 10.0) > 4.0);
    }

    /// `23` on one line and `15/16` on the next is read as two lengths, or as one of them.
    #[test]
    fn a_fraction_stays_with_its_whole_number() {
        let lines = lines("~9 27/32 × ~23 15/16, 4 1/2; ab 1/2", Face::Plain, 4.0, 20.0);
        assert_eq!(lines, ["~9 27/32 ×", "~23 15/16,", "4 1/2; ab", "1/2"]);
    }

    #[test]
    fn words_keep_to_their_room() {
        let text = "word ".repeat(200) + &"x".repeat(10_000);
        let lines = lines(&text, Face::Plain, 4.0, 60.0);
        assert!(lines.len() > 20);
        assert!(lines.iter().all(|line| width(line, Face::Plain, 4.0) <= 60.0));
        let kept: String = lines.concat().chars().filter(|c| *c == 'x').collect();
        assert_eq!(kept.len(), 10_000, "nothing of a long word is lost");
        assert!(shortened_to(&text, Face::Bold, 4.0, 30.0).ends_with('…'));
        assert_eq!(shortened_to("short", Face::Bold, 4.0, 30.0), "short");
    }
}

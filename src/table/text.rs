//! From bytes to text: UTF-8 with or without byte-order mark, any line end.

use super::quotes;
use crate::finding::codes::files;
use crate::finding::{Finding, Findings, Place};
use std::borrow::Cow;

/// The file's text with `\n` at every line's end and without byte-order mark.
///
/// Where the bytes are not UTF-8 an error is told, and the text is given with replacement
/// characters so that the other problems can be found as well.
#[must_use]
pub fn decode(file: &str, bytes: &[u8], findings: &mut Findings) -> String {
    decode_by(file, bytes, line_of_text, findings)
}

/// As [`decode`], of a table: what is told names its cell.
#[must_use]
pub fn decode_table(file: &str, bytes: &[u8], findings: &mut Findings) -> String {
    decode_by(file, bytes, quotes::cell_after, findings)
}

/// The line and the column that a place of a text is told by, from what stands before it.
type Told = fn(&str) -> (u64, u64);

fn line_of_text(before: &str) -> (u64, u64) {
    line_and_column(before, before.len())
}

fn decode_by(file: &str, bytes: &[u8], told: Told, findings: &mut Findings) -> String {
    let bytes = match bytes.strip_prefix(b"\xEF\xBB\xBF") {
        Some(rest) => {
            findings.push(Finding::new(
                &files::BYTE_ORDER_MARK,
                Place::line(file, 1),
                "the file starts with a byte-order mark, which was skipped",
                "nothing needs to be done",
            ));
            rest
        }
        None => bytes,
    };
    if !bytes.is_empty() && bytes.iter().all(|&byte| byte == 0) {
        findings.push(Finding::new(
            &files::NOT_UTF8,
            Place::line(file, 1),
            "the file holds nothing but zero bytes, as after a power cut in the middle of saving",
            "bring it back from a copy",
        ));
        return String::new();
    }
    // Letters of two bytes, one of them zero, also without the mark that should stand in front.
    let wide = matches!(bytes, [_, 0, _, 0, ..] | [0, _, 0, _, ..]);
    if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") || wide {
        findings.push(Finding::new(
            &files::NOT_UTF8,
            Place::line(file, 1),
            "the file is saved as UTF-16 (often called Unicode text)",
            SAVE,
        ));
        return String::new();
    }
    if bytes.starts_with(b"PK\x03\x04") {
        findings.push(Finding::new(
            &files::NOT_UTF8,
            Place::line(file, 1),
            "the file is a spreadsheet's workbook or another packed file, not text",
            SAVE,
        ));
        return String::new();
    }
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) if bytes.contains(&0) => {
            findings.push(Finding::new(
                &files::NOT_UTF8,
                Place::line(file, 1),
                "the file is not text: it holds zero bytes",
                SAVE,
            ));
            return String::new();
        }
        Err(error) => {
            findings.push(not_utf8(file, bytes, error.valid_up_to(), told));
            String::from_utf8_lossy(bytes).into_owned()
        }
    };
    with_line_feeds(Cow::Owned(text))
}

/// The text with `\n` at every line's end.
fn with_line_feeds(text: Cow<'_, str>) -> String {
    if text.contains('\r') {
        text.replace("\r\n", "\n").replace('\r', "\n")
    } else {
        text.into_owned()
    }
}

/// How to save as UTF-8.
const SAVE: &str = "save it again as `CSV UTF-8` (in a spreadsheet: Save As, file type CSV UTF-8; \
                    in an editor: Save As, encoding UTF-8)";

fn not_utf8(file: &str, bytes: &[u8], at: usize, told: Told) -> Finding {
    let before = with_line_feeds(String::from_utf8_lossy(bytes.get(..at).unwrap_or_default()));
    let (in_line, character) = line_of_text(&before);
    let (line, column) = told(&before);
    // A cell of several lines is told by the line on which its row begins.
    let of = if line == in_line { "the line".to_owned() } else { format!("line {in_line}") };
    let byte = bytes.get(at).copied().unwrap_or_default();
    let more = bytes
        .split(|b| *b == b'\n')
        .filter(|part| std::str::from_utf8(part).is_err())
        .count()
        .saturating_sub(1);
    let others = match more {
        0 => String::new(),
        1 => " (one more line has such bytes)".to_owned(),
        n => format!(" ({n} more lines have such bytes)"),
    };
    let latin = char::from(byte);
    let guess = if latin.is_alphanumeric() || "°²³½¼¾µ".contains(latin) {
        format!(", in an older character set the letter `{latin}`")
    } else {
        String::new()
    };
    let place = Place { column: Some(column), ..Place::line(file, line) };
    Finding::new(
        &files::NOT_UTF8,
        place,
        format!("the byte {byte:02X} at character {character} of {of} is not UTF-8{guess}{others}"),
        SAVE,
    )
}

/// Line and character in the line, both from 1, of a byte offset into a text.
#[must_use]
pub fn line_and_column(text: &str, offset: usize) -> (u64, u64) {
    let mut line = 1;
    let mut column = 1;
    for (at, c) in text.char_indices() {
        if at >= offset {
            break;
        }
        if c == '\n' {
            line += 1;
            column = 1;
        } else {
            column += 1;
        }
    }
    (line, column)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(bytes: &[u8]) -> (String, Vec<String>) {
        let mut findings = Findings::new();
        let text = decode("t.csv", bytes, &mut findings);
        (text, findings.iter().map(ToString::to_string).collect())
    }

    #[test]
    fn a_byte_order_mark_and_any_line_end_are_taken() {
        let (text, found) = read(b"\xEF\xBB\xBFa,b\r\n1,2\r3,4\n");
        assert_eq!(text, "a,b\n1,2\n3,4\n");
        assert!(found.len() == 1 && found[0].contains("note F004"), "{found:?}");
    }

    #[test]
    fn utf_16_is_told_with_and_without_its_mark() {
        for bytes in [&b"\xFF\xFEa\0,\0"[..], b"\xFE\xFF\0a\0,", b"a\0,\0b\0", b"\0a\0,\0b"] {
            let (text, found) = read(bytes);
            assert!(text.is_empty() && found.len() == 1, "{found:?}");
            assert!(found[0].contains("F003: the file is saved as UTF-16"), "{found:?}");
        }
    }

    #[test]
    fn latin_1_is_told_with_its_line_and_character() {
        // 0xE9 is e acute in ISO 8859-1.
        let (text, found) = read(b"a,b\n1,caf\xE9\n2,caf\xE9\n");
        assert_eq!(text.lines().count(), 3);
        assert!(found[0].starts_with("t.csv:2:6: error F003: the byte E9"), "{found:?}");
        assert!(found[0].contains("the letter `é`") && found[0].contains("one more line"));
    }

    #[test]
    fn of_a_table_the_cell_is_named() {
        let told = |bytes: &[u8]| {
            let mut findings = Findings::new();
            drop(decode_table("t.csv", bytes, &mut findings));
            findings.iter().next().unwrap().to_string()
        };
        // 0xE9 is e acute in ISO 8859-1. The comma in quotation marks separates nothing.
        let first = told(b"a,b,c\r\n1,\"x, y\",caf\xE9\r\n");
        assert!(first.starts_with("t.csv:2:3: error F003"), "{first}");
        assert!(first.contains("at character 13 of the line"), "{first}");
        let lower = told(b"a,b\n1,\"two\nlines \xE9\"\n");
        assert!(lower.starts_with("t.csv:2:2: error F003"), "{lower}");
        assert!(lower.contains("at character 7 of line 3"), "{lower}");
    }

    #[test]
    fn a_file_of_zero_bytes_is_told() {
        let (text, found) = read(&[0; 64]);
        assert!(text.is_empty() && found.len() == 1, "{found:?}");
        assert!(found[0].contains("F003: the file holds nothing but zero bytes"), "{found:?}");
        assert_eq!(read(b"").1.len(), 0);
    }

    #[test]
    fn utf_16_is_told_by_its_name() {
        let (text, found) = read(b"\xFF\xFEa\0,\0");
        assert!(text.is_empty() && found[0].contains("UTF-16"), "{found:?}");
    }
}

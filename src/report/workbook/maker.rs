//! Who made a workbook: the library names another program as its maker, and names of makers stand in its theme.
//!
//! Steps: go through the parts of the finished archive; write those anew that name a maker; copy all others
//! as they are packed.

use quick_xml::events::Event;
use quick_xml::{Reader, Writer};
use rust_xlsxwriter::XlsxError;
use std::io::{Cursor, Read, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter};

/// All that a workbook has to say of the program that made it (ECMA-376, part 1, 22.2); sheets are listed elsewhere.
const ABOUT: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n\
    <Properties xmlns=\"http://schemas.openxmlformats.org/officeDocument/2006/extended-properties\">\
    <Application>rollwright</Application></Properties>";

/// What takes the place of a part; `None` where it stays as it is.
fn anew(
    name: &str,
    text: impl FnOnce() -> Result<String, XlsxError>,
) -> Option<Result<String, XlsxError>> {
    match name {
        "docProps/app.xml" => Some(Ok(ABOUT.to_owned())),
        // The version of the program that saved it last.
        "xl/workbook.xml" => Some(text().and_then(|text| without(&text, "fileVersion"))),
        // A font for each of the world's scripts; programs know such fonts without it.
        "xl/theme/theme1.xml" => Some(text().and_then(|text| {
            Ok(without(&text, "a:font")?.replace("name=\"Office", "name=\"Plain"))
        })),
        _ => None,
    }
}

/// A part without the elements of a name, which hold nothing.
fn without(text: &str, name: &str) -> Result<String, XlsxError> {
    let wrong = |e: quick_xml::Error| XlsxError::IoError(std::io::Error::other(e));
    let mut reader = Reader::from_str(text);
    let mut writer = Writer::new(Vec::with_capacity(text.len()));
    loop {
        match reader.read_event().map_err(wrong)? {
            Event::Empty(element) if element.name().as_ref() == name => {}
            Event::Eof => break,
            other => writer.write_event(other)?,
        }
    }
    String::from_utf8(writer.into_inner()).map_err(|e| XlsxError::IoError(std::io::Error::other(e)))
}

/// The workbook with nobody but this program named as its maker.
///
/// # Errors
/// None is expected: what comes in was just written.
pub(super) fn named(book: &[u8]) -> Result<Vec<u8>, XlsxError> {
    let mut old = ZipArchive::new(Cursor::new(book))?;
    let mut new = ZipWriter::new(Cursor::new(Vec::with_capacity(book.len())));
    let packed = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default());
    for at in 0..old.len() {
        let mut part = old.by_index(at)?;
        let name = part.name()?.into_owned();
        let text = || {
            let mut text = String::new();
            part.read_to_string(&mut text)?;
            Ok(text)
        };
        if let Some(text) = anew(&name, text) {
            new.start_file(name, packed)?;
            new.write_all(text?.as_bytes())?;
        } else {
            drop(part);
            new.raw_copy_file(old.by_index_raw(at)?)?;
        }
    }
    Ok(new.finish()?.into_inner())
}

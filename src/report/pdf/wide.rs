//! Letters that the two faces of every reader lack: of Polish, Turkish, Greek or Ukrainian names.
//!
//! They are set in Noto Sans, a free face (SIL Open Font License 1.1) with the Latin, Greek and Cyrillic
//! letters, which comes with the crate `notosans`. A file gets only the letters it shows: the face is
//! cut down to them, its letters are numbered in the text as in the whole face, and a map leads from
//! those numbers to the ones in the file (ISO 32000-1, 9.7.4).

use super::font::Face;
use super::packed;
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, Str};
use std::collections::BTreeMap;
use subsetter::GlyphRemapper;
use ttf_parser::GlyphId;

/// The letters of a face that a file shows: their numbers in the face.
pub(super) type Used = BTreeMap<u16, char>;

const fn whole(face: Face) -> &'static [u8] {
    match face {
        Face::Plain => notosans::REGULAR_TTF,
        Face::Bold => notosans::BOLD_TTF,
    }
}

/// The name of the face in a page's list of fonts.
pub(super) const fn name(face: Face) -> Name<'static> {
    match face {
        Face::Plain => Name(b"W"),
        Face::Bold => Name(b"X"),
    }
}

/// As ISO 32000-1, 9.6.4, wants a part of a face to be named.
const fn base(face: Face) -> Name<'static> {
    match face {
        Face::Plain => Name(b"AAAAAA+NotoSans-Regular"),
        Face::Bold => Name(b"AAAAAB+NotoSans-Bold"),
    }
}

/// A letter's number in the face and its width in thousandths of the size; nothing where it has none.
pub(super) fn glyph(c: char, face: Face) -> Option<(u16, u16)> {
    let parsed = ttf_parser::Face::parse(whole(face), 0).ok()?;
    let glyph = parsed.glyph_index(c).filter(|glyph| glyph.0 != 0)?;
    Some((glyph.0, width(&parsed, glyph)))
}

fn width(parsed: &ttf_parser::Face<'_>, glyph: GlyphId) -> u16 {
    let advance = u32::from(parsed.glyph_hor_advance(glyph).unwrap_or(0));
    let em = u32::from(parsed.units_per_em()).max(1);
    u16::try_from((advance * 1000 + em / 2) / em).unwrap_or(u16::MAX)
}

/// Puts the letters that are used of a face into the file, from this reference on; gives the font's
/// reference and the next that is free. Nothing where the face cannot be cut down, which its tests rule
/// out.
pub(super) fn put(pdf: &mut Pdf, face: Face, used: &Used, first: i32) -> Option<(Ref, i32)> {
    let parsed = ttf_parser::Face::parse(whole(face), 0).ok()?;
    let mut renumbered = GlyphRemapper::new();
    let mut map = Vec::new();
    for &glyph in used.keys() {
        let (at, new) = (usize::from(glyph) * 2, renumbered.remap(glyph));
        map.resize(at, 0);
        map.extend(new.to_be_bytes());
    }
    let part = subsetter::subset(whole(face), 0, &renumbered).ok()?;
    let id = |at: i32| Ref::new(first + at);
    let (font, cid, about, program, text, numbers) = (id(0), id(1), id(2), id(3), id(4), id(5));
    let system = |ordering| SystemInfo { registry: Str(b"Adobe"), ordering, supplement: 0 };
    let mut written = pdf.type0_font(font);
    written.base_font(base(face)).encoding_predefined(Name(b"Identity-H"));
    written.descendant_font(cid).to_unicode(text);
    written.finish();
    let mut written = pdf.cid_font(cid);
    written.subtype(CidFontType::Type2).base_font(base(face));
    written.system_info(system(Str(b"Identity"))).font_descriptor(about).default_width(0.0);
    written.cid_to_gid_map_stream(numbers);
    let mut widths = written.widths();
    for &glyph in used.keys() {
        widths.consecutive(glyph, [f32::from(width(&parsed, GlyphId(glyph)))]);
    }
    widths.finish();
    written.finish();
    let em = f32::from(parsed.units_per_em().max(1));
    let scaled = |units: i16| f32::from(units) * 1000.0 / em;
    let around = parsed.global_bounding_box();
    let bounds = [around.x_min, around.y_min, around.x_max, around.y_max].map(scaled);
    let mut written = pdf.font_descriptor(about);
    written.name(base(face)).flags(FontFlags::SYMBOLIC).italic_angle(0.0);
    written.bbox(Rect::new(bounds[0], bounds[1], bounds[2], bounds[3]));
    written.ascent(scaled(parsed.ascender())).descent(scaled(parsed.descender()));
    written.cap_height(scaled(parsed.capital_height().unwrap_or(714)));
    written.stem_v(if face == Face::Bold { 140.0 } else { 80.0 }).font_file2(program);
    written.finish();
    let mut unicode = UnicodeCmap::new(Name(b"Letters"), system(Str(b"UCS")));
    for (&glyph, &c) in used {
        unicode.pair(glyph, c);
    }
    let unicode = unicode.finish();
    let parts = [(program, part.as_slice()), (text, unicode.as_slice()), (numbers, map.as_slice())];
    for (at, bytes) in parts {
        let packed = packed(bytes);
        let mut stream = pdf.stream(at, packed.as_deref().unwrap_or(bytes));
        if packed.is_some() {
            stream.filter(Filter::FlateDecode);
        }
        if at == program {
            stream.pair(Name(b"Length1"), i32::try_from(bytes.len()).unwrap_or(i32::MAX));
        }
    }
    Some((font, first + 6))
}

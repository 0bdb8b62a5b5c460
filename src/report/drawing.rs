//! Drawings to scale as SVG: pulls with their pieces, and rolls with their pulls.
//!
//! A pull is drawn as the cutter sees it who stands at the roll's front: x to the right across the
//! roll, y upward along it. Pieces are white, what is lost is hatched; a label goes into a piece
//! where it can be read, else only into the list below the drawing. All pulls of a report have one
//! scale. One user unit is one millimetre.

use super::outlines::Outlines;
use super::room;
use crate::geometry::Point;
use crate::plan::groups::Group;
use crate::plan::set_out::Rulers;
use crate::plan::{Piece, Placement, Roll};
use crate::units::{Length, Measure};
use maud::{Markup, html};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Pieces by name, with their numbers in the plan.
pub type ByName<'a> = BTreeMap<&'a str, (usize, &'a Piece)>;

/// The one scale of all pulls of a report.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Width of the widest roll in millimetres.
    widest: f64,
}

/// Width of the widest roll on the page, in CSS pixels: fits a phone. On paper all drawings are
/// made smaller by the same factor, so that three beside each other fit a sheet of A4.
const WIDEST_PX: f64 = 296.0;

/// The longest part of a pull drawn in one piece, in widths of the widest roll; fits a sheet of
/// A4 with caption and list.
const LONGEST: f64 = 2.2;

/// Parts of the usual height of letters that a label may have. Smaller ones are for screens, where one can come
/// nearer; on paper they are left out, as letters of the usual height have 6.3 pt there.
const SMALLER: [f64; 3] = [1.0, 0.7, 0.5];

/// Width of a letter in heights, roughly, for a sans-serif face.
const LETTER: f64 = 0.58;

impl Scale {
    /// The scale for rolls of at most this width.
    #[must_use]
    pub fn for_width(widest: Length) -> Self {
        Self { widest: widest.mm_f64().max(1.0) }
    }

    /// Height of the letters, in millimetres of blanket.
    fn font(self) -> f64 {
        self.widest / 24.0
    }

    /// The height of the letters for the style of what holds the drawings.
    #[must_use]
    pub fn style(self) -> String {
        format!("--f:{}px", num(self.font()))
    }

    /// The tick at the ends of dimension lines, defined once.
    #[must_use]
    pub fn tick(self) -> Markup {
        let half = 0.2 * self.font();
        let d = format!("M{} {}L{} {}", num(-half), num(half), num(half), num(-half));
        html! {
            marker id="tick" markerUnits="userSpaceOnUse" style="overflow:visible" {
                path d=(d) {}
            }
        }
    }

    /// CSS pixels for a millimetre.
    fn px(self) -> f64 {
        WIDEST_PX / self.widest
    }

    /// Into how many parts a pull of this length is drawn.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, reason = "a length is at most 1e9 mm")]
    #[expect(clippy::cast_sign_loss, reason = "lengths of pulls are positive")]
    pub fn parts(self, length: Length) -> u32 {
        (length.mm_f64() / (LONGEST * self.widest)).ceil().max(1.0) as u32
    }
}

/// A coordinate to a tenth of a millimetre, without trailing zeros.
pub(super) fn num(mm: f64) -> String {
    let text = format!("{mm:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// A pull's drawing, in as many parts as it needs: part `part` of `parts`, counted from 0.
#[must_use]
pub fn pull(
    group: &Group<'_>,
    number: usize,
    part: u32,
    scale: Scale,
    (pieces, outlines): (&ByName<'_>, &Outlines),
    (rulers, measure): (&Rulers, Measure),
) -> Markup {
    let (width, length) = (group.width.mm_f64(), group.pull.length.mm_f64());
    let font = scale.font();
    let margin = 1.7 * font;
    let each = length / f64::from(scale.parts(group.pull.length));
    let top = length - each * f64::from(part + 1);
    let view = format!(
        "{} {} {} {}",
        num(-margin),
        num(top - font / 4.0),
        num(width + margin + font / 4.0),
        num(each + margin + font / 4.0)
    );
    let px = format!("--w:{}", num((width + margin + font / 4.0) * scale.px()));
    let drawn = format!("drawing{number}");
    let below = format!(
        "M{} {}h{}v{}H{}z",
        num(-margin),
        num(top + each),
        num(width + 2.0 * margin),
        num(2.0 * margin),
        num(-margin)
    );
    html! {
        svg viewBox=(view) style=(px) role="img" aria-label={ "Drawing " (number) } {
            @if part == 0 {
                g id=(drawn) { (contents(group, number, (scale, pieces, outlines), measure)) }
            } @else {
                use href={ "#" (drawn) } {}
                // What lies nearer to the front is in the part before.
                path.p.bare d=(below) {}
            }
            path class="m" d=(measure_lines(width, top, each, font)) {}
            text x=(num(width / 2.0)) y=(num(top + each + 1.45 * font)) { (measure.nominal(group.width)) }
            text transform=(format!("translate({} {})rotate(-90)",
                num(-0.65 * font), num(top + each / 2.0))) {
                @if scale.parts(group.pull.length) == 1 { (measure.up(rulers.along.at(group.pull.length))) }
                @else {
                    (part_at(each * f64::from(part), measure)) " to " (part_at(each * f64::from(part + 1), measure))
                }
            }
        }
    }
}

/// Where a part of a pull begins or ends, in words.
fn part_at(mm: f64, measure: Measure) -> String {
    measure.words(Length::from_mm_f64_nearest(mm).unwrap_or_default())
}

/// Dimension lines, below and to the left; their ends bear the tick of [`Scale::tick`].
fn measure_lines(width: f64, top: f64, each: f64, font: f64) -> String {
    let at = 0.35 * font;
    let bottom = top + each;
    format!(
        "M0 {y}H{w}M{x} {t}V{b}",
        y = num(bottom + at),
        w = num(width),
        x = num(-at),
        t = num(top),
        b = num(bottom)
    )
}

/// The sheet, the pieces, the labels.
fn contents(
    group: &Group<'_>,
    number: usize,
    (scale, pieces, outlines): (Scale, &ByName<'_>, &Outlines),
    measure: Measure,
) -> Markup {
    let length = group.pull.length.mm_f64();
    let (font, parts) = (scale.font(), scale.parts(group.pull.length));
    let breaks: Vec<f64> = (1..parts).map(|at| length * f64::from(at) / f64::from(parts)).collect();
    let sheet = format!("M0 0H{}V{}H0z", num(group.width.mm_f64()), num(length));
    let up = |placement: &Placement| length - (placement.y - group.pull.y).mm_f64();
    let placed = || {
        group.pull.placements.iter().filter_map(|placement| {
            let &(_, piece) = pieces.get(placement.piece.as_str())?;
            Some((piece, placement, up(placement)))
        })
    };
    let mut boxes = String::new();
    for (piece, placement, y) in placed().filter(|(piece, placement, _)| !curved(piece, placement))
    {
        let (w, l) = size(piece, placement);
        let x = num(placement.x.mm_f64());
        let (y, w, l) = (num(y), num(w), num(l));
        let _ = write!(boxes, "M{x} {y}h{w}v-{l}h-{w}z");
    }
    let place = |at: usize| {
        let placement = group.pull.placements.get(at);
        placement.map_or((0.0, 0.0), |placement| (placement.x.mm_f64(), up(placement)))
    };
    html! {
        path class="w" d=(sheet) {}
        (outlines.pieces(number - 1, place))
        @if !boxes.is_empty() { path class="p" d=(boxes) {} }
        @for (piece, placement, y) in placed() { (label(piece, placement, y, (font, &breaks), measure)) }
    }
}

/// Whether a placed piece is drawn by its outline and not by its box.
pub(super) fn curved(piece: &Piece, placement: &Placement) -> bool {
    piece.outline.is_some() || placement.turn.quarter_turns().is_none()
}

/// The corners of a placed piece that is drawn by its box.
pub(super) fn box_of(piece: &Piece, placement: &Placement) -> Option<[Point; 4]> {
    if curved(piece, placement) {
        return None;
    }
    let rect = placement.blank(piece);
    let (x, y, right, far) = (rect.x, rect.y, rect.right(), rect.far());
    Some([(x, y), (right, y), (right, far), (x, far)].map(|(x, y)| Point::new(x, y)))
}

/// A piece's corners after its turn, in millimetres, its box's lower left corner at the origin.
pub(super) fn turned(piece: &Piece, placement: &Placement) -> Vec<(f64, f64)> {
    let (w, l) = (piece.width.mm_f64(), piece.length.mm_f64());
    let corners: Vec<(f64, f64)> = match &piece.outline {
        Some(outline) => outline.corners().iter().map(|p| (p.x.mm_f64(), p.y.mm_f64())).collect(),
        None => vec![(0.0, 0.0), (w, 0.0), (w, l), (0.0, l)],
    };
    let (sin, cos) = placement.turn.radians_f64().sin_cos();
    let turned: Vec<(f64, f64)> =
        corners.into_iter().map(|(x, y)| (x * cos - y * sin, x * sin + y * cos)).collect();
    let low = turned.iter().fold((f64::MAX, f64::MAX), |a, p| (a.0.min(p.0), a.1.min(p.1)));
    turned.into_iter().map(|(x, y)| (x - low.0, y - low.1)).collect()
}

/// Size of a placed piece's box.
fn size(piece: &Piece, placement: &Placement) -> (f64, f64) {
    turned(piece, placement)
        .into_iter()
        .fold((0.0, 0.0), |a, p| (f64::max(a.0, p.0), f64::max(a.1, p.1)))
}

/// Where along a curved piece's longer side a label may stand, in parts of it.
const ALONG: [f64; 5] = [0.5, 0.25, 0.75, 0.12, 0.88];
/// And beside that line, where the band of a half ring lies, in parts of the shorter side.
const BESIDE: [f64; 2] = [0.15, 0.85];

/// A label that fits: the height of its letters, the middle of its place from the lower left corner of
/// the piece's box, whether it lies, and whether it tells the size.
struct Fitting {
    font: f64,
    middle: (f64, f64),
    lying: bool,
    with_size: bool,
}

/// What is written on a piece: code and size, or the code, as it fits; in the middle, along the longer
/// side if that is the only way, and in smaller letters where the piece is narrow; on a curved piece
/// with a narrow middle nearer to one of its ends.
fn label(
    piece: &Piece,
    placement: &Placement,
    y: f64,
    (font, breaks): (f64, &[f64]),
    measure: Measure,
) -> Markup {
    let measures = format!("{}×{}", measure.up(piece.width), measure.up(piece.length));
    // Where the drawing goes on elsewhere, seen from the box's lower left corner.
    let breaks: Vec<f64> = breaks.iter().map(|at| y - at).collect();
    let whole = fitting(piece, placement, &measures, (font, &breaks));
    let found = whole.or_else(|| fitting(piece, placement, &measures, (font, &[])));
    let Some(Fitting { font: used, middle, lying, with_size }) = found else {
        return html! {};
    };
    let (cx, cy) = (placement.x.mm_f64() + middle.0, y - middle.1);
    let high = (used < font).then(|| num(used));
    let small = (used < font).then_some("s");
    let shift = if with_size { -0.15 } else { 0.35 } * used;
    if lying {
        let (x, y) = (num(cx), num(cy + shift));
        return html! {
            text class=[small] x=(x) y=(y) font-size=[high] {
                (piece.piece) @if with_size { tspan x=(x) dy="1em" { (measures) } }
            }
        };
    }
    let place = format!("translate({} {})rotate(-90)", num(cx + shift), num(cy));
    html! {
        text class=[small] transform=(place) font-size=[high] {
            (piece.piece) @if with_size { tspan x="0" dy="1em" { (measures) } }
        }
    }
}

/// The largest label that fits and that none of these lines across goes through.
fn fitting(
    piece: &Piece,
    placement: &Placement,
    measures: &str,
    (font, breaks): (f64, &[f64]),
) -> Option<Fitting> {
    let corners = turned(piece, placement);
    let (w, l) = size(piece, placement);
    let broken = breaks.iter().any(|&at| at > 0.0 && at < l);
    let curved = curved(piece, placement);
    let places = if broken || curved { &ALONG[..] } else { &ALONG[..1] };
    let beside = if !broken && curved { &BESIDE[..] } else { &[] };
    let on =
        |across: bool, part: f64| if across { (w * part, l / 2.0) } else { (w / 2.0, l * part) };
    let along = places.iter().map(|&part| on(w > l && !broken, part));
    let middles: Vec<(f64, f64)> =
        along.chain(beside.iter().map(|&part| on(w <= l, part))).collect();
    let fits = |font: f64, middle: (f64, f64)| {
        let across = |text: &str| text.chars().fold(0.4, |sum, _| sum + LETTER) * font;
        let both = across(measures).max(across(&piece.piece));
        let (w, l) = room::around(&corners, middle, font);
        let (two, one) = (2.3 * font, 1.1 * font);
        let code = across(&piece.piece);
        let clear = |half: f64| breaks.iter().all(|at| (at - middle.1).abs() > half);
        let ways = [
            (w >= both && l >= two && clear(two / 2.0), (true, true)),
            (l >= both && w >= two && clear(both / 2.0), (false, true)),
            (w >= code && l >= one && clear(one / 2.0), (true, false)),
            (l >= code && w >= one && clear(code / 2.0), (false, false)),
        ];
        let way = ways.into_iter().find_map(|(fits, way)| fits.then_some(way));
        way.map(|(lying, with_size)| Fitting { font, middle, lying, with_size })
    };
    let at = |part: f64| middles.iter().find_map(|&middle| fits(font * part, middle));
    SMALLER.into_iter().find_map(at)
}

/// Pulls as seen along the roll: those that meet as one sheet, and the edges between them as one line
/// to and fro along the sheet's borders.
fn drawn_off(roll: &Roll) -> (String, String) {
    let width = num(roll.width.mm_f64());
    let (mut sheets, mut edges) = (String::new(), String::new());
    for meeting in roll.pulls.chunk_by(|a, b| a.y + a.length == b.y) {
        let ([first, .., last] | [first @ last]) = meeting else { continue };
        let (from, end) = (num(first.y.mm_f64()), num((last.y + last.length).mm_f64()));
        let _ = write!(sheets, "M{from} 0H{end}V{width}H{from}z");
        let _ = write!(edges, "M{from} 0");
        for (at, pull) in meeting.iter().skip(1).enumerate() {
            let side = if at % 2 == 0 { &width } else { "0" };
            let _ = write!(edges, "H{}V{side}", num(pull.y.mm_f64()));
        }
    }
    (sheets, edges)
}

/// The numbers of the pulls' drawings, once for like neighbours and where they have room: where along
/// the roll the middle of each lies, and the number.
fn numbers(roll: &Roll, groups: &[usize], font: f64) -> Vec<(f64, String)> {
    let pulls: Vec<_> = roll.pulls.iter().zip(groups).collect();
    let alike = pulls.chunk_by(|(a, one), (b, other)| one == other && a.y + a.length == b.y);
    let number = |run: &[(&crate::plan::Pull, &usize)]| {
        let ([first, .., last] | [first @ last]) = run else { return None };
        let (from, to) = (first.0.y.mm_f64(), (last.0.y + last.0.length).mm_f64());
        let text = (first.1 + 1).to_string();
        let wide = text.chars().fold(0.1, |sum, _| sum + LETTER) * font;
        (to - from > wide).then_some((f64::midpoint(from, to), text))
    };
    alike.filter_map(number).collect()
}

/// Height of the numbers on a roll in lengths of the longest: 6.2 pt where that is as wide as a page.
const NUMBER: f64 = 0.0122;

/// A roll from its front on the left to its end on the right, with its pulls and what is kept. The
/// longest roll of the report is as wide as the page, the others are to its scale.
#[must_use]
pub fn roll(roll: &Roll, groups: &[usize], longest: Length) -> Markup {
    let end = roll.pulls.last().map_or(Length::ZERO, |p| p.y + p.length);
    let length = roll.length.unwrap_or(end).mm_f64();
    let width = roll.width.mm_f64();
    let (sheets, edges) = drawn_off(roll);
    let mut kept = String::new();
    for left in roll.offcuts.iter().filter(|o| o.keep) {
        let (from, long, wide) = (left.y.mm_f64(), left.length.mm_f64(), left.width.mm_f64());
        let y = width - left.x.mm_f64() - wide;
        let _ =
            write!(kept, "M{} {}h{}v{}h-{}z", num(from), num(y), num(long), num(wide), num(long));
    }
    let view = format!("0 0 {} {}", num(length), num(width));
    // On paper the longest roll is as wide as the page.
    let font = (longest.mm_f64().max(length) * NUMBER).clamp(width * 0.45, width * 0.8);
    let share = format!("width:{}%", num(100.0 * length / longest.mm_f64().max(length)));
    html! {
        svg.roll viewBox=(view) style=(share) role="img" font-size=(num(font)) preserveAspectRatio="none" aria-label="from its front" {
            path class="w" d={ "M0 0h" (num(length)) "v" (num(width)) "H0z" } {}
            path class="p" d=(sheets) {}
            path d=(edges) {}
            @if !kept.is_empty() { path class="k" d=(kept) {} }
            g transform={ "translate(0 " (num(0.5 * width + 0.36 * font)) ")" } {
                @for (middle, text) in numbers(roll, groups, font) {
                    text x=(num(middle)) { (text) }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Outline, Point};
    use crate::plan::sample;
    use crate::units::Angle;

    /// Letters of half the usual height have 3 pt on paper.
    #[test]
    fn small_labels_are_known_by_their_class() {
        let plan = sample::plan(9, 1);
        let placement = plan.rolls[0].pulls[0].placements[0].clone();
        let shown = |width: i64| {
            let (width, length) = (Length::from_mm(width), Length::from_mm(900));
            let piece = Piece { width, length, outline: None, ..plan.pieces[0].clone() };
            label(&piece, &placement, 0.0, (60.0, &[]), Measure::Millimetres).into_string()
        };
        let usual = shown(500);
        assert!(usual.starts_with("<text ") && !usual.contains("class"), "{usual}");
        let small = shown(40);
        assert!(
            small.starts_with("<text class=\"s\" ") && small.contains("font-size=\"30\""),
            "{small}"
        );
        assert_eq!(shown(20), "");
    }

    /// A half ring of 400 mm outside and 200 inside, in steps of an eighth of it: nothing lies on its box's longer middle
    /// line but the two ends, and its band has room for a label.
    #[test]
    fn a_half_ring_has_its_label_on_its_band() {
        let plan = sample::plan(9, 1);
        let at = |radius: f64, k: u32| {
            let angle = std::f64::consts::PI * f64::from(k) / 8.0;
            let mm = |value: f64| Length::from_mm_f64_nearest(value).unwrap();
            Point::new(mm(radius * libm::sin(angle)), mm(-radius * libm::cos(angle)))
        };
        let outer = (0..=8).map(|k| at(400.0, k));
        let inner = (0..=8).rev().map(|k| at(200.0, k));
        let outline = Outline::new(outer.chain(inner).collect()).unwrap();
        let (width, length) = outline.size();
        let piece = Piece { width, length, outline: Some(outline), ..plan.pieces[0].clone() };
        for degrees in [0, 90, 180, 270] {
            let turn = Angle::from_degrees(degrees);
            let placement = Placement { turn, ..plan.rolls[0].pulls[0].placements[0].clone() };
            let shown = label(&piece, &placement, 0.0, (60.0, &[]), Measure::Millimetres);
            assert!(shown.into_string().starts_with("<text "), "turned by {degrees}");
        }
    }

    #[test]
    fn labels_keep_off_the_lines_where_a_drawing_goes_on() {
        let plan = sample::plan(9, 1);
        let (width, length) = (Length::from_mm(500), Length::from_mm(4000));
        let piece = Piece { width, length, outline: None, ..plan.pieces[0].clone() };
        let placement = plan.rolls[0].pulls[0].placements[0].clone();
        let middle = |breaks: &[f64]| {
            fitting(&piece, &placement, "500×4000", (50.0, breaks)).map(|label| label.middle)
        };
        assert_eq!(middle(&[]), Some((250.0, 2000.0)));
        // Outside the piece a line changes nothing; through the middle of it a quarter is next.
        assert_eq!(middle(&[4500.0]), Some((250.0, 2000.0)));
        assert_eq!(middle(&[2010.0]), Some((250.0, 1000.0)));
        assert_eq!(middle(&[990.0, 2010.0]), Some((250.0, 3000.0)));
    }
}

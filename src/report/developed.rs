//! The developed piece, drawn with its dimensions.
//!
//! The longer side lies across the page: a piece longer than wide is turned by a quarter (its
//! length then runs to the right, its width downward). Overall dimensions stand below and to the
//! left, the sizes that its marks name inside, and the words of its edges where they have room. The
//! outline is thinned to what the eye can tell.

use crate::geometry::{Outline, Point};
use crate::pattern::{Mark, MarkKind};
use crate::report::text::visible;
use crate::units::{Length, Measure};
use maud::{Markup, html};
use std::fmt::Write as _;

/// Largest width and height of a drawn piece, CSS pixels.
const ROOM: (f64, f64) = (302.0, 210.0);
/// Height of the letters, CSS pixels.
const LETTERS: f64 = 10.0;
/// Width of a letter in heights, roughly, for a sans-serif face.
const LETTER: f64 = 0.55;

/// What is drawn: a shape with its marks.
#[derive(Clone, Copy, Debug)]
pub struct Developed<'a> {
    /// Size across the roll.
    pub width: Length,
    /// Size along the roll.
    pub length: Length,
    /// The shape, where it is no rectangle.
    pub outline: Option<&'a Outline>,
    /// What is drawn on it.
    pub marks: &'a [Mark],
}

/// From the piece to the page.
struct View {
    /// Pixels for a millimetre.
    px: f64,
    /// Length of the piece to the right.
    turned: bool,
    /// Height of the drawn piece, pixels.
    height: f64,
    /// Its width, pixels.
    width: f64,
}

impl View {
    fn of(piece: &Developed<'_>) -> Self {
        let (w, l) = (piece.width.mm_f64().max(1e-3), piece.length.mm_f64().max(1e-3));
        let turned = l > w;
        let (across, down) = if turned { (l, w) } else { (w, l) };
        let px = (ROOM.0 / across).min(ROOM.1 / down);
        Self { px, turned, height: down * px, width: across * px }
    }

    /// A point of the piece in pixels from the drawing's upper left corner.
    fn place(&self, p: Point) -> (f64, f64) {
        let (x, y) = (p.x.mm_f64() * self.px, p.y.mm_f64() * self.px);
        if self.turned { (y, x) } else { (x, self.height - y) }
    }
}

/// The drawing of a piece, by its code, which is ours. It is written out the `first` time only;
/// later ones show the same again.
#[must_use]
pub fn drawing(piece: &Developed<'_>, code: &str, first: bool, measure: Measure) -> Markup {
    let view = View::of(piece);
    let drawn = marks(piece, &view, measure);
    let rows = drawn.beside.chunks(BESIDE).map(|_| LETTERS * 1.1).sum::<f64>();
    let (left, below) = (LETTERS * 1.9, LETTERS * 1.9 + rows);
    let box_of = format!(
        "{} {} {} {}",
        num(-left),
        num(-LETTERS),
        num(view.width + left + LETTERS),
        num(view.height + below + LETTERS)
    );
    let wide = format!("--w:{}", num(view.width + left + LETTERS));
    let name = format!("dev{code}");
    let (across, down) =
        if view.turned { (piece.length, piece.width) } else { (piece.width, piece.length) };
    html! {
        svg viewBox=(box_of) style=(wide) role="img" font-size=(num(LETTERS)) {
            title { "Piece " (visible(code)) }
            @if first {
                g id=(name) font-size=(num(LETTERS)) {
                    path.p d=(shape(piece, &view)) {}
                    path.m d=(overall(&view)) {}
                    text x=(num(view.width / 2.0)) y=(num(view.height + LETTERS * 1.6)) {
                        (measure.up(across))
                    }
                    text transform=(upright(-LETTERS * 0.9, view.height / 2.0)) { (measure.up(down)) }
                    (drawn.markup)
                    @for (words, row) in drawn.beside.chunks(BESIDE).zip(1_u8..) {
                        text x=(num(view.width / 2.0)) font-size=(num(LETTERS * 0.9))
                            y=(num(view.height + LETTERS * (1.6 + 1.1 * f64::from(row)))) {
                            (words.join(", "))
                        }
                    }
                }
            } @else {
                use href={ "#" (name) } {}
            }
        }
    }
}

/// Where words that read upward stand.
fn upright(x: f64, y: f64) -> String {
    format!("translate({} {})rotate(-90)", num(x), num(y))
}

/// The outline, thinned to a fifth of a pixel.
fn shape(piece: &Developed<'_>, view: &View) -> String {
    let Some(outline) = piece.outline else {
        return format!("M0 0H{}V{}H0z", num(view.width), num(view.height));
    };
    let points: Vec<(f64, f64)> = outline.corners().iter().map(|&p| view.place(p)).collect();
    let mut d = String::new();
    for (at, (x, y)) in thinned(&points, 0.2).into_iter().enumerate() {
        let letter = if at == 0 { 'M' } else { 'L' };
        let _ = write!(d, "{letter}{} {}", num(x), num(y));
    }
    d.push('z');
    d
}

/// Leaves out points that lie within `error` of the line between those kept on both sides
/// (Douglas and Peucker 1973, on the ring from its first point).
fn thinned(points: &[(f64, f64)], error: f64) -> Vec<(f64, f64)> {
    let mut keep = vec![false; points.len()];
    if let [first, .., last] = keep.as_mut_slice() {
        *first = true;
        *last = true;
    }
    let mut spans = vec![(0, points.len().saturating_sub(1))];
    while let Some((from, to)) = spans.pop() {
        let far = (from + 1..to)
            .map(|i| (off(points[i], points[from], points[to]), i))
            .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        if let Some((distance, i)) = far
            && distance > error
        {
            keep[i] = true;
            spans.push((from, i));
            spans.push((i, to));
        }
    }
    points.iter().zip(keep).filter(|(_, keep)| *keep).map(|(&p, _)| p).collect()
}

/// Distance of a point from the line through two others, or from one where they are the same.
fn off(p: (f64, f64), a: (f64, f64), b: (f64, f64)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let long = libm::hypot(dx, dy);
    if long < 1e-9 {
        return libm::hypot(p.0 - a.0, p.1 - a.1);
    }
    ((p.0 - a.0) * dy - (p.1 - a.1) * dx).abs() / long
}

/// Overall dimension lines below and to the left, with ticks.
fn overall(view: &View) -> String {
    let (at, tick) = (LETTERS * 0.5, LETTERS * 0.25);
    let (w, h) = (view.width, view.height);
    let mut d = format!("M0 {y}H{}M{x} 0V{}", num(w), num(h), y = num(h + at), x = num(-at));
    for (x, y) in [(0.0, h + at), (w, h + at), (-at, 0.0), (-at, h)] {
        let _ = write!(
            d,
            "M{} {}l{} {}",
            num(x - tick),
            num(y + tick),
            num(2.0 * tick),
            num(-2.0 * tick)
        );
    }
    d
}

/// What is drawn on a piece, and the sizes that have no room there: they stand below it.
struct Drawn {
    markup: Markup,
    beside: Vec<String>,
}

/// Sizes that stand in one line below a drawing.
const BESIDE: usize = 3;
/// Where along its line a size is tried, in shares of it.
const ALONG: [f64; 7] = [0.5, 0.38, 0.62, 0.26, 0.74, 0.15, 0.85];

/// Sizes, match ticks and edges' words. A size stands on its line where no edge of the piece crosses it.
fn marks(piece: &Developed<'_>, view: &View, measure: Measure) -> Drawn {
    let outline: Vec<(f64, f64)> =
        piece.outline.iter().flat_map(|o| o.corners()).map(|&p| view.place(p)).collect();
    let mut beside = Vec::new();
    let mut ticks = String::new();
    let mut lines = String::new();
    let mut words: Vec<Label> = Vec::new();
    for mark in piece.marks {
        let (a, b) = (view.place(mark.from), view.place(mark.to));
        match mark.kind {
            MarkKind::Match => chain(&mut ticks, a, b),
            MarkKind::Size => {
                chain(&mut lines, a, b);
                let text = format!("{} {}", mark.word, measure.words(distance(mark)));
                let on = ALONG.map(|share| Label {
                    at: (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share + LETTERS * 0.3),
                    text: text.clone(),
                    turned: false,
                });
                let free = |label: &Label| {
                    !label.crossed(&outline) && !words.iter().any(|other| label.overlaps(other))
                };
                match on.into_iter().find(free) {
                    Some(label) => words.push(label),
                    None if beside.contains(&text) => {}
                    None => beside.push(text),
                }
            }
            MarkKind::Edge => words.extend(edge(a, b, &mark.word, view)),
            MarkKind::Note => {}
        }
    }
    let words = apart(words, view);
    let markup = html! {
        @if !lines.is_empty() { path.m d=(lines) stroke-dasharray="3 2" {} }
        @if !ticks.is_empty() { path d=(ticks) {} }
        g paint-order="stroke" stroke="#fff" stroke-width="3" font-size=(num(LETTERS * 0.9)) {
            @for word in words {
                @let (x, y) = word.at;
                @if word.turned {
                    text transform=(upright(x, y)) { (word.text) }
                } @else {
                    text x=(num(x)) y=(num(y)) { (word.text) }
                }
            }
        }
    };
    Drawn { markup, beside }
}

/// A word on the drawing; `at` is the middle of its foot.
struct Label {
    at: (f64, f64),
    text: String,
    turned: bool,
}

impl Label {
    /// Its box: left, top, right, bottom.
    fn bounds(&self) -> (f64, f64, f64, f64) {
        let half = self.text.chars().map(|_| LETTER).sum::<f64>() * LETTERS * 0.9 / 2.0;
        let (x, y) = self.at;
        if self.turned {
            (x - LETTERS * 0.8, y - half, x + 1.0, y + half)
        } else {
            (x - half, y - LETTERS * 0.8, x + half, y + 1.0)
        }
    }
}

impl Label {
    /// Whether an edge of this outline goes through its box, by halving edges down to single letters.
    fn crossed(&self, outline: &[(f64, f64)]) -> bool {
        let (left, top, right, bottom) = self.bounds();
        let within = |p: (f64, f64)| p.0 > left && p.0 < right && p.1 > top && p.1 < bottom;
        let next = outline.iter().cycle().skip(1);
        outline.iter().zip(next).any(|(&a, &b)| {
            let mut spans = vec![(a, b)];
            while let Some((a, b)) = spans.pop() {
                let apart = a.0.max(b.0) <= left
                    || a.0.min(b.0) >= right
                    || a.1.max(b.1) <= top
                    || a.1.min(b.1) >= bottom;
                if apart {
                    continue;
                }
                if within(a) || within(b) {
                    return true;
                }
                if libm::hypot(b.0 - a.0, b.1 - a.1) > LETTERS * 0.2 {
                    let half = (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
                    spans.extend([(a, half), (half, b)]);
                }
            }
            false
        })
    }

    fn overlaps(&self, other: &Self) -> bool {
        let (a, b) = (self.bounds(), other.bounds());
        a.0 < b.2 && b.0 < a.2 && a.1 < b.3 && b.1 < a.3
    }
}

/// Keeps words inside the drawing and leaves out those that would lie on one before them.
fn apart(words: Vec<Label>, view: &View) -> Vec<Label> {
    let mut kept: Vec<Label> = Vec::new();
    for mut word in words {
        let (left, top, right, bottom) = word.bounds();
        let inward = |low: f64, high: f64, most: f64| {
            if low < 0.0 {
                -low
            } else if high > most {
                most - high
            } else {
                0.0
            }
        };
        word.at.0 += inward(left, right, view.width + LETTERS * 0.8);
        word.at.1 += inward(top + LETTERS * 0.8, bottom, view.height + LETTERS * 0.2);
        let free = |word: &Label| !kept.iter().any(|other| word.overlaps(other));
        if !free(&word) {
            // Once more a line lower.
            word.at.1 += LETTERS;
            if !free(&word) || word.at.1 > view.height {
                continue;
            }
        }
        kept.push(word);
    }
    kept
}

/// The word of an edge, just inside it, where it is long enough; level and upright edges only.
fn edge(a: (f64, f64), b: (f64, f64), word: &str, view: &View) -> Option<Label> {
    let long = libm::hypot(b.0 - a.0, b.1 - a.1);
    let needed = word.chars().map(|_| LETTER).sum::<f64>() * LETTERS * 0.9;
    if long < needed {
        return None;
    }
    let at = (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
    let text = word.to_owned();
    if (a.1 - b.1).abs() < 0.5 {
        let y = if at.1 > view.height / 2.0 { at.1 - 3.0 } else { at.1 + LETTERS };
        return Some(Label { at: (at.0, y), text, turned: false });
    }
    if (a.0 - b.0).abs() < 0.5 {
        let x = if at.0 > view.width / 2.0 { at.0 - 3.0 } else { at.0 + LETTERS };
        return Some(Label { at: (x, at.1), text, turned: true });
    }
    Some(Label { at, text, turned: false })
}

/// The words about the whole piece.
#[must_use]
pub fn notes(marks: &[Mark], measure: Measure) -> String {
    let notes = marks.iter().filter(|m| m.kind == MarkKind::Note).map(|m| m.in_words(measure));
    notes.collect::<Vec<_>>().join("; ")
}

fn distance(mark: &Mark) -> Length {
    let (dx, dy) = (mark.to.x - mark.from.x, mark.to.y - mark.from.y);
    Length::from_mm_f64_nearest(libm::hypot(dx.mm_f64(), dy.mm_f64())).unwrap_or_default()
}

fn chain(d: &mut String, a: (f64, f64), b: (f64, f64)) {
    let _ = write!(d, "M{} {}L{} {}", num(a.0), num(a.1), num(b.0), num(b.1));
}

/// A coordinate to a tenth of a pixel, without trailing zeros.
fn num(px: f64) -> String {
    let text = format!("{px:.1}");
    let text = text.strip_suffix(".0").map_or(text.clone(), str::to_owned);
    if text == "-0" { "0".to_owned() } else { text }
}

//! The developed piece, drawn with its dimensions.
//!
//! The longer side lies across the page: a piece longer than wide is turned by a quarter (its
//! length then runs to the right, its width downward). Overall dimensions stand below and to the
//! left, the sizes that its marks name inside, and the words of its edges beside them. What has no room
//! there, clear of every line and of other words, stands below the drawing. The outline is thinned to what
//! the eye can tell.

use crate::geometry::{Outline, Point};
use crate::pattern::{Mark, MarkKind};
use crate::report::pdf::{Face, width};
use crate::report::text::visible;
use crate::units::{Length, Measure, joined};
use maud::{Markup, html};
use std::fmt::Write as _;

/// Largest width and height of a drawn piece, CSS pixels.
const ROOM: (f64, f64) = (302.0, 210.0);
/// Height of the letters, CSS pixels: on paper a drawing is as large as on the page, so 7.5 pt.
const LETTERS: f64 = 10.0;
/// Height of the letters of sizes and edges: 7.1 pt on paper.
const SMALL: f64 = 9.5;

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
    let below_it = in_lines(&drawn.beside, view.width + LETTERS * 2.0);
    let rows = below_it.iter().map(|_| LETTERS * 1.1).sum::<f64>();
    let (across, down) =
        if view.turned { (piece.length, piece.width) } else { (piece.width, piece.length) };
    let down = measure.up(down);
    // The size that stands upright may be longer than the piece is high.
    let over = (wide(&down, LETTERS) - view.height) / 2.0;
    let (left, above) = (LETTERS * 1.9, LETTERS.max(over));
    let below = (LETTERS * 1.9 + rows).max(over);
    let box_of = format!(
        "{} {} {} {}",
        num(-left),
        num(-above),
        num(view.width + left + LETTERS),
        num(view.height + above + below)
    );
    let wide = format!("--w:{}", num(view.width + left + LETTERS));
    let name = format!("dev{code}");
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
                    text transform=(upright(-LETTERS * 0.9, view.height / 2.0)) { (down) }
                    (drawn.markup)
                    @for (words, row) in below_it.iter().zip(1_u8..) {
                        text x=(num(view.width / 2.0)) font-size=(num(SMALL))
                            y=(num(view.height + LETTERS * (1.6 + 1.1 * f64::from(row)))) {
                            (words)
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

/// How wide words are, in a face to whose widths others are made.
fn wide(text: &str, letters: f64) -> f64 {
    width(text, Face::Plain, letters)
}

/// What is drawn on a piece, and what has no room there: it stands below it.
struct Drawn {
    markup: Markup,
    beside: Vec<String>,
}

/// Words on as few lines as hold them.
fn in_lines(all: &[String], room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for words in all {
        match lines.last_mut() {
            Some(line) if wide(line, SMALL) + wide(words, SMALL) + SMALL < room => {
                line.push_str("; ");
                line.push_str(words);
            }
            _ => lines.push(words.clone()),
        }
    }
    lines
}

/// Where along its line a word is tried, in shares of it.
const ALONG: [f64; 7] = [0.5, 0.38, 0.62, 0.26, 0.74, 0.15, 0.85];

/// What a piece's marks come to.
fn marks(piece: &Developed<'_>, view: &View, measure: Measure) -> Drawn {
    let (mut ticks, mut lines) = (String::new(), String::new());
    of_kind(piece, view, MarkKind::Match).for_each(|(_, line)| chain(&mut ticks, line));
    of_kind(piece, view, MarkKind::Size).for_each(|(_, line)| chain(&mut lines, line));
    let (words, beside) = words(piece, view, measure);
    let markup = html! {
        @if !lines.is_empty() { path.m d=(lines) stroke-dasharray="3 2" {} }
        @if !ticks.is_empty() { path d=(ticks) {} }
        g font-size=(num(SMALL)) {
            @for word in words {
                @let (x, y) = word.foot();
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

/// A piece's marks of a kind, and where they are drawn.
fn of_kind<'a>(
    piece: &Developed<'a>,
    view: &View,
    kind: MarkKind,
) -> impl Iterator<Item = (&'a Mark, Line)> {
    let marks = piece.marks.iter().filter(move |mark| mark.kind == kind);
    marks.map(|mark| (mark, (view.place(mark.from), view.place(mark.to))))
}

/// Words of sizes and edges, and those that have no room. Each stands beside its line where no line goes through it:
/// across one, `side 380` would be read as `side 1380`.
fn words(piece: &Developed<'_>, view: &View, measure: Measure) -> (Vec<Label>, Vec<String>) {
    let outline: Vec<(f64, f64)> =
        piece.outline.iter().flat_map(|o| o.corners()).map(|&p| view.place(p)).collect();
    let of = |kind| of_kind(piece, view, kind);
    let mut taken = Taken {
        cut: outline.iter().copied().zip(outline.iter().copied().cycle().skip(1)).collect(),
        drawn: of(MarkKind::Match).chain(of(MarkKind::Size)).map(|(_, line)| line).collect(),
        words: Vec::new(),
        room: (view.width, view.height),
    };
    let mut beside: Vec<String> = Vec::new();
    for (mark, (a, b)) in of(MarkKind::Size) {
        let text = format!("{} {}", mark.word, measure.words(distance(mark)));
        let places = beside_line((a, b), &text, &[1.0, -1.0], &[false]);
        if !taken.put(places) && !beside.contains(&text) {
            beside.push(text);
        }
    }
    // A size that is the same on both sides is told where it has room.
    beside.retain(|text| taken.words.iter().all(|word| word.text != *text));
    // Edges that bear their word, and those that do not, by the side on which they lie.
    let (mut told, mut untold) = (Vec::new(), Vec::new());
    for (mark, (a, b)) in of(MarkKind::Edge) {
        let named = taken.put(beside_edge((a, b), &mark.word, &outline));
        let edge = (mark.word.as_ref(), side((a, b), view));
        if named { &mut told } else { &mut untold }.push(edge);
    }
    untold.retain(|edge| !told.contains(edge));
    beside.extend(named_by_side(&untold));
    (taken.words, beside)
}

/// A line.
type Line = ((f64, f64), (f64, f64));

/// A word on the drawing, level or upright.
struct Label {
    middle: (f64, f64),
    text: String,
    turned: bool,
}

impl Label {
    /// Half its width and half its height as it lies.
    fn half(&self) -> (f64, f64) {
        let (along, high) = (wide(&self.text, SMALL) / 2.0, SMALL * 0.42);
        if self.turned { (high, along) } else { (along, high) }
    }

    /// The middle of the line on which its letters stand.
    fn foot(&self) -> (f64, f64) {
        let (x, y) = self.middle;
        if self.turned { (x + SMALL * 0.35, y) } else { (x, y + SMALL * 0.35) }
    }

    /// Whether a line goes through its box, by clipping it at the box's sides.
    fn crossed(&self, (a, b): &Line) -> bool {
        let half = self.half();
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (start, end, most) in [
            (a.0 - self.middle.0, b.0 - self.middle.0, half.0),
            (a.1 - self.middle.1, b.1 - self.middle.1, half.1),
        ] {
            if (end - start).abs() < 1e-9 {
                if start.abs() >= most {
                    return false;
                }
                continue;
            }
            let (one, other) = ((-most - start) / (end - start), (most - start) / (end - start));
            from = from.max(one.min(other));
            to = to.min(one.max(other));
        }
        from < to
    }

    fn overlaps(&self, other: &Self) -> bool {
        let (one, two) = (self.half(), other.half());
        (self.middle.0 - other.middle.0).abs() < one.0 + two.0 + CLEAR
            && (self.middle.1 - other.middle.1).abs() < one.1 + two.1
    }

    /// Whether it lies on the drawing: beside the piece as far as the drawing goes there.
    fn within(&self, room: (f64, f64)) -> bool {
        let ((x, y), half) = (self.middle, self.half());
        x - half.0 >= 0.0
            && y - half.1 >= -LETTERS * 0.8
            && x + half.0 <= room.0 + LETTERS * 0.8
            && y + half.1 <= room.1 + LETTERS * 0.3
    }
}

/// How far a word keeps from its line and from words beside it.
const CLEAR: f64 = 2.0;

/// What is on a drawing already.
struct Taken {
    /// The outline.
    cut: Vec<Line>,
    /// Ticks, and the lines of sizes.
    drawn: Vec<Line>,
    words: Vec<Label>,
    /// Width and height of the drawn piece.
    room: (f64, f64),
}

impl Taken {
    /// Puts a word at the first of its places that is free of lines and of other words; tells whether there is one.
    fn put(&mut self, mut places: impl Iterator<Item = Label>) -> bool {
        let found = places.find(|label| {
            label.within(self.room)
                && !self.cut.iter().chain(&self.drawn).any(|line| label.crossed(line))
                && !self.words.iter().any(|word| label.overlaps(word))
        });
        let put = found.is_some();
        self.words.extend(found);
        put
    }
}

/// Places of an edge's word: along it rather than across, inside the piece rather than outside, and nowhere
/// longer than it.
fn beside_edge(
    (a, b): Line,
    word: &str,
    outline: &[(f64, f64)],
) -> impl Iterator<Item = Label> + use<> {
    let way = direction((a, b));
    let middle = (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
    let ahead = inside(outline, (middle.0 - way.1, middle.1 + way.0));
    let sides = if ahead { [1.0, -1.0] } else { [-1.0, 1.0] };
    let steep = way.1.abs() > way.0.abs();
    let long = libm::hypot(b.0 - a.0, b.1 - a.1);
    beside_line((a, b), word, &sides, &[steep, !steep]).filter(move |label| {
        let half = label.half();
        let along = half.0 * way.0.abs() + half.1 * way.1.abs();
        let at = (label.middle.0 - a.0) * way.0 + (label.middle.1 - a.1) * way.1;
        along <= at.min(long - at) + 1.0
    })
}

/// Places of a word beside a line, on these sides of it, turned so.
fn beside_line(
    (a, b): Line,
    word: &str,
    sides: &[f64],
    turned: &[bool],
) -> impl Iterator<Item = Label> + use<> {
    let way = direction((a, b));
    let mut places = Vec::with_capacity(sides.len() * turned.len() * ALONG.len());
    for (&side, &turned) in sides.iter().flat_map(|side| turned.iter().map(move |t| (side, t))) {
        let label = Label { middle: a, text: word.to_owned(), turned };
        let half = label.half();
        let away = side * (half.0 * way.1.abs() + half.1 * way.0.abs() + CLEAR);
        places.extend(ALONG.map(|share| Label {
            middle: (
                a.0 + (b.0 - a.0) * share - way.1 * away,
                a.1 + (b.1 - a.1) * share + way.0 * away,
            ),
            text: word.to_owned(),
            turned,
        }));
    }
    places.into_iter()
}

/// Which way a line runs; none where it has no length.
fn direction((a, b): Line) -> (f64, f64) {
    let long = libm::hypot(b.0 - a.0, b.1 - a.1);
    if long > 0.0 { ((b.0 - a.0) / long, (b.1 - a.1) / long) } else { (0.0, 0.0) }
}

/// Whether a point lies inside an outline.
fn inside(outline: &[(f64, f64)], p: (f64, f64)) -> bool {
    let next = outline.iter().cycle().skip(1);
    outline.iter().zip(next).fold(false, |within, (a, b)| {
        let passes =
            (a.1 > p.1) != (b.1 > p.1) && p.0 < (b.0 - a.0) * (p.1 - a.1) / (b.1 - a.1) + a.0;
        within != passes
    })
}

/// Sides of a drawing in words.
const SIDES: [&str; 4] = ["top", "left", "right", "bottom"];

/// On which side of the drawing an edge lies, by its number in [`SIDES`].
fn side((a, b): Line, view: &View) -> usize {
    let x = (f64::midpoint(a.0, b.0) / view.width).mul_add(2.0, -1.0);
    let y = (f64::midpoint(a.1, b.1) / view.height).mul_add(2.0, -1.0);
    match (x.abs() > y.abs(), x > 0.0, y > 0.0) {
        (true, false, _) => 1,
        (true, true, _) => 2,
        (false, _, false) => 0,
        (false, _, true) => 3,
    }
}

/// Edges' words with the sides on which they lie: `left and right: seam`.
fn named_by_side(edges: &[(&str, usize)]) -> Vec<String> {
    let mut words: Vec<&str> = Vec::new();
    for (word, _) in edges {
        if !words.contains(word) {
            words.push(word);
        }
    }
    let told = words.into_iter().map(|word| {
        let sides = SIDES.iter().enumerate().filter(|(at, _)| edges.contains(&(word, *at)));
        let sides: Vec<&str> = sides.map(|(_, side)| *side).collect();
        format!("{}: {word}", joined(&sides))
    });
    told.collect()
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

fn chain(d: &mut String, (a, b): Line) {
    let _ = write!(d, "M{} {}L{} {}", num(a.0), num(a.1), num(b.0), num(b.1));
}

/// A coordinate to a tenth of a pixel, without trailing zeros.
fn num(px: f64) -> String {
    let text = format!("{px:.1}");
    let text = text.strip_suffix(".0").map_or(text.clone(), str::to_owned);
    if text == "-0" { "0".to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at((x, y): (i64, i64)) -> Point {
        Point::new(Length::from_mm(x), Length::from_mm(y))
    }

    fn mark(kind: MarkKind, from: (i64, i64), to: (i64, i64), word: &'static str) -> Mark {
        Mark { kind, from: at(from), to: at(to), word: word.into(), lengths: Vec::new() }
    }

    /// The words on a piece, none of them over a line or over another word; and those below it.
    fn told(corners: &[(i64, i64)], marks: &[Mark]) -> (Vec<String>, Vec<String>) {
        let outline = Outline::new(corners.iter().copied().map(at).collect()).unwrap();
        let (width, length) = outline.size();
        let piece = Developed { width, length, outline: Some(&outline), marks };
        let view = View::of(&piece);
        let (words, beside) = words(&piece, &view, Measure::Millimetres);
        let points: Vec<(f64, f64)> = outline.corners().iter().map(|p| view.place(*p)).collect();
        let edges = points.iter().copied().zip(points.iter().copied().cycle().skip(1));
        for edge in edges {
            assert!(words.iter().all(|word| !word.crossed(&edge)), "a word on an edge");
        }
        for (mark, line) in of_kind(&piece, &view, MarkKind::Size) {
            assert!(words.iter().all(|word| !word.crossed(&line)), "{}", mark.word);
        }
        for (at, word) in words.iter().enumerate() {
            assert!(words[..at].iter().all(|other| !word.overlaps(other)), "{}", word.text);
        }
        (words.into_iter().map(|word| word.text).collect(), beside)
    }

    /// A gore 2 m long, this wide at its ends and in its middle.
    fn gore(end: i64, middle: i64) -> (Vec<String>, Vec<String>) {
        let (low, high) = ((middle - end) / 2, i64::midpoint(middle, end));
        let corners = [(low, 0), (high, 0), (middle, 1000), (high, 2000), (low, 2000), (0, 1000)];
        let marks = [
            mark(MarkKind::Edge, (low, 0), (high, 0), "seam"),
            mark(MarkKind::Edge, (low, 2000), (high, 2000), "seam"),
            mark(MarkKind::Size, (0, 1000), (middle, 1000), "heel"),
        ];
        told(&corners, &marks)
    }

    #[test]
    fn words_keep_off_the_lines_and_have_their_place_below_where_there_is_no_room() {
        let none: [String; 0] = [];
        // 2000 mm are 302 pixels: 300 mm are 45, 100 mm 15, 20 mm are 3.
        assert_eq!(gore(300, 400).0, ["heel 400", "seam", "seam"]);
        assert_eq!(gore(300, 400).1, none);
        assert_eq!(gore(100, 200).0, ["heel 200", "seam", "seam"], "across where it is low");
        let (drawn, below) = gore(20, 40);
        assert_eq!(drawn, none);
        assert_eq!(below, ["heel 40", "left and right: seam"]);
    }

    /// The throat at either end of half a gore: at one of them ticks leave no room.
    #[test]
    fn a_size_that_is_told_on_the_piece_is_not_told_below_it() {
        let corners = [(0, 0), (120, 0), (120, 2000), (0, 2000)];
        let throat = |y| mark(MarkKind::Size, (0, y), (120, y), "throat");
        let tick = |x| mark(MarkKind::Match, (x, 1700), (x, 1950), "");
        let marks = [throat(0), tick(30), tick(60), tick(90), throat(2000)];
        let (drawn, below) = told(&corners, &marks);
        assert_eq!(drawn, ["throat 120"]);
        assert_eq!(below, [""; 0]);
    }

    /// The word of a slanted edge stood on its middle, and hid it.
    #[test]
    fn a_slanted_edge_has_its_word_beside_it() {
        let corners = [(0, 0), (1000, 0), (1600, 800), (600, 800)];
        let marks = [
            mark(MarkKind::Edge, (0, 0), (600, 800), "seam"),
            mark(MarkKind::Edge, (1000, 0), (1600, 800), "seam"),
        ];
        assert_eq!(told(&corners, &marks).0, ["seam", "seam"]);
    }

    #[test]
    fn what_stands_below_a_drawing_is_not_wider_than_it() {
        let sizes: Vec<String> = (0..7).map(|at| format!("between the darts {at}23.4")).collect();
        let lines = in_lines(&sizes, 302.0);
        assert!(lines.len() > 1 && lines.iter().all(|line| wide(line, SMALL) <= 302.0));
        assert_eq!(lines.join("; "), sizes.join("; "));
        assert_eq!(
            in_lines(&["heel 20".into(), "left: seam".into()], 302.0),
            ["heel 20; left: seam"]
        );
    }

    #[test]
    fn a_narrow_piece_has_room_for_its_width_upright() {
        let marks = [];
        let outline =
            Outline::new([(0, 0), (20, 0), (20, 2000), (0, 2000)].map(at).to_vec()).unwrap();
        let width = Length::from_nm(20_123_456);
        let piece = Developed {
            width,
            length: Length::from_mm(2000),
            outline: Some(&outline),
            marks: &marks,
        };
        // Three pixels high, with 20.1 (22 pixels) upright in the middle.
        let svg = drawing(&piece, "B1", true, Measure::Inches).into_string();
        let view: Vec<f64> = svg
            .split("viewBox=\"")
            .nth(1)
            .unwrap()
            .split('"')
            .next()
            .unwrap()
            .split(' ')
            .map(|part| part.parse().unwrap())
            .collect();
        let half = wide(&Measure::Inches.up(width), LETTERS) / 2.0;
        assert!(
            half > 11.0 && view[1] <= 1.5 - half + 0.1 && view[1] + view[3] >= 1.5 + half - 0.1,
            "{view:?}"
        );
    }
}

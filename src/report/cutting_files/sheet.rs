//! What a file shows: lines in layers, pieces as they lie, words.

use crate::geometry::{Point, Rect};
use crate::plan::{CutKind, Lengths, Offcut, Once, Piece, Placement, Pull};
use crate::report::room;
use crate::report::text::tenths;
use crate::units::Length;
use std::collections::BTreeMap;

/// The layers, by the names under which they are found in the files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Layer {
    /// The edge of the blanket as it lies on the table.
    Edge,
    /// The square cut of a roll's front.
    Square,
    /// Cuts across the roll.
    Cross,
    /// Cuts along the roll.
    Rip,
    /// Cuts that take off what is left over.
    Trim,
    /// Cuts along curved pieces.
    Outline,
    /// The pieces as they lie: to look at, not to cut.
    Pieces,
    /// Offcuts worth keeping: to look at.
    Kept,
    /// Codes of pieces, and the title.
    Words,
}

impl Layer {
    pub(super) const ALL: [Self; 9] = [
        Self::Edge,
        Self::Square,
        Self::Cross,
        Self::Rip,
        Self::Trim,
        Self::Outline,
        Self::Pieces,
        Self::Kept,
        Self::Words,
    ];

    /// Whether a knife goes along its lines; else they are to look at.
    pub(super) const fn is_cut(self) -> bool {
        matches!(self, Self::Square | Self::Cross | Self::Rip | Self::Trim | Self::Outline)
    }

    /// Its name in the files.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Edge => "blanket edge",
            Self::Square => "square cut",
            Self::Cross => "cross-cuts",
            Self::Rip => "rips",
            Self::Trim => "trims",
            Self::Outline => "outline cuts",
            Self::Pieces => "pieces to look at",
            Self::Kept => "offcuts to keep",
            Self::Words => "words",
        }
    }
}

/// A straight line in a layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stroke {
    pub(super) layer: Layer,
    pub(super) from: Point,
    pub(super) to: Point,
}

/// Words at a place: centred, so high, lying or standing.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Label {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) height: f64,
    pub(super) standing: bool,
    pub(super) text: String,
}

/// A closed shape to look at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Shape {
    pub(super) layer: Layer,
    pub(super) corners: Vec<Point>,
}

/// What a file shows; x across the roll, y along it.
#[derive(Debug, Default)]
pub(super) struct Sheet {
    pub(super) title: String,
    pub(super) thickness: String,
    pub(super) roll: String,
    pub(super) width: Length,
    pub(super) length: Length,
    pub(super) times: u64,
    pub(super) layouts: String,
    /// The pulls in the order of cutting that it shows; empty where it shows a roll.
    pub(super) pulls: String,
    /// The tickets on which they stand.
    pub(super) tickets: String,
    /// The cuts in cutting order, each edge once.
    pub(super) cuts: Vec<Stroke>,
    /// The pieces as they lie.
    pub(super) pieces: Vec<Shape>,
    pub(super) kept: Vec<Shape>,
    pub(super) labels: Vec<Label>,
    /// What was cut so far.
    pub(super) once: Once,
}

/// Height of the largest letters, in millimetres.
const TALLEST: f64 = 25.0;
/// Letters smaller than this cannot be read on a table, in millimetres.
const SMALLEST: f64 = 4.0;
/// Where else words may stand in a shape.
const PARTS: [f64; 7] = [0.5, 0.375, 0.625, 0.25, 0.75, 0.125, 0.875];
/// Width of a letter in heights, roughly.
const LETTER: f64 = 0.7;

impl Sheet {
    /// The sentence above the drawing.
    pub(super) fn words(&self) -> String {
        let times =
            if self.times == 1 { "once".to_owned() } else { format!("{} times", self.times) };
        let pulls = match self.pulls.chars().count() {
            0 => String::new(),
            1..=60 => {
                let several = self.pulls.contains(|c: char| !c.is_ascii_digit());
                let word = if several { "pulls" } else { "pull" };
                format!("; {word} {} in the order of cutting", self.pulls)
            }
            _ => "; its pulls in the order of cutting: see drawings.csv".to_owned(),
        };
        format!(
            "{}; {}; roll {}; {} wide, {} long (mm); cut {times}; layout {}{pulls}",
            self.title,
            self.thickness,
            self.roll,
            self.width,
            tenths(self.length),
            self.layouts
        )
    }

    fn cut(&mut self, layer: Layer, from: Point, to: Point) {
        let parts = self.once.parts(from, to).into_iter();
        self.cuts.extend(parts.map(|(from, to)| Stroke { layer, from, to }));
    }

    /// The square cut of a roll's front.
    pub(super) fn square_cut(&mut self, at: Length) {
        if at.is_positive() {
            self.cut(Layer::Square, Point::new(Length::ZERO, at), Point::new(self.width, at));
        }
    }

    /// A pull's cuts and pieces; y counts from `origin`. Edges of pieces on its border are no cuts, as they are not for
    /// whoever measures them.
    pub(super) fn add_pull(
        &mut self,
        pull: &Pull,
        origin: Length,
        (pieces, lengths): (&BTreeMap<&str, &Piece>, &Lengths<'_>),
    ) {
        let moved = |p: Point| Point::new(p.x, p.y - origin);
        for cut in &pull.cuts {
            let layer = match cut.kind {
                CutKind::Cross => Layer::Cross,
                CutKind::Rip => Layer::Rip,
                CutKind::Trim => Layer::Trim,
                CutKind::Outline => Layer::Outline,
            };
            let edges = match &cut.piece {
                Some(name) => lengths.round(pull, cut, name, self.width),
                None => vec![(cut.from, cut.to)],
            };
            for (from, to) in edges {
                self.cut(layer, moved(from), moved(to));
            }
        }
        for placement in &pull.placements {
            let Some(piece) = pieces.get(placement.piece.as_str()) else { continue };
            let corners: Vec<Point> = corners(piece, placement).into_iter().map(moved).collect();
            self.labels.extend(label(&placement.piece, &corners));
            self.pieces.push(Shape { layer: Layer::Pieces, corners });
        }
    }

    /// The offcuts worth keeping.
    pub(super) fn keep(&mut self, offcuts: &[Offcut]) {
        for left in offcuts.iter().filter(|left| left.keep) {
            let Offcut { x, y, width, length, .. } = *left;
            let corners = rectangle(&Rect { x, y, width, length });
            self.labels.extend(label("keep", &corners));
            self.kept.push(Shape { layer: Layer::Kept, corners });
        }
    }

    /// The edge of the blanket.
    pub(super) fn edge(&self) -> Shape {
        let whole =
            Rect { x: Length::ZERO, y: Length::ZERO, width: self.width, length: self.length };
        Shape { layer: Layer::Edge, corners: rectangle(&whole) }
    }
}

fn rectangle(rect: &Rect) -> Vec<Point> {
    [(rect.x, rect.y), (rect.right(), rect.y), (rect.right(), rect.far()), (rect.x, rect.far())]
        .map(|(x, y)| Point::new(x, y))
        .to_vec()
}

/// A piece's corners where it lies.
fn corners(piece: &Piece, placement: &Placement) -> Vec<Point> {
    if let Some(outline) = &piece.outline {
        return placement.corners(outline);
    }
    rectangle(&placement.blank(piece))
}

/// Lower left and upper right corner of the box around some points.
fn bounds(corners: &[Point]) -> Option<(Point, Point)> {
    let first = *corners.first()?;
    Some(corners.iter().fold((first, first), |(low, high), p| {
        (Point::new(low.x.min(p.x), low.y.min(p.y)), Point::new(high.x.max(p.x), high.y.max(p.y)))
    }))
}

/// Words in the middle of a shape, as large as they fit, or beside it where the middle lies in a hollow, which
/// may hold another piece; none where nobody could read them.
fn label(text: &str, corners: &[Point]) -> Option<Label> {
    let (low, high) = bounds(corners)?;
    let (width, length) = ((high.x - low.x).mm_f64(), (high.y - low.y).mm_f64());
    let letters = text.chars().fold(0.0, |sum, _| sum + LETTER);
    let fits = |along: f64, across: f64| (along * 0.9 / letters).min(across * 0.6).min(TALLEST);
    let put = |(x, y): (f64, f64), (lying, standing): (f64, f64)| Label {
        x,
        y,
        height: lying.max(standing),
        standing: standing > lying,
        text: text.to_owned(),
    };
    let (left, near) = (low.x.mm_f64(), low.y.mm_f64());
    let at = |across: f64, along: f64| (left + width * across, near + length * along);
    let whole = put(at(0.5, 0.5), (fits(width, length), fits(length, width)));
    let at_corner = |p: &Point| (p.x == low.x || p.x == high.x) && (p.y == low.y || p.y == high.y);
    if whole.height < SMALLEST || corners.iter().all(at_corner) {
        return (whole.height >= SMALLEST).then_some(whole);
    }
    let shape: Vec<(f64, f64)> = corners.iter().map(|p| (p.x.mm_f64(), p.y.mm_f64())).collect();
    let room = |middle: (f64, f64), height: f64| {
        let (lying, standing) = room::around(&shape, middle, height / 0.6);
        let of = |room: f64| if room * 0.9 >= letters * height { height } else { 0.0 };
        put(middle, (of(lying), of(standing)))
    };
    let heights = (0..6).map(|step| whole.height * 0.75_f64.powi(step));
    let middles = || PARTS.iter().flat_map(|part| [at(0.5, *part), at(*part, 0.5)]);
    let all = heights.filter(|height| *height >= SMALLEST);
    all.flat_map(|height| middles().map(move |middle| (middle, height)))
        .map(|(middle, height)| room(middle, height))
        .find(|label| label.height >= SMALLEST)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_do_not_stand_in_a_hollow() {
        let point = |(x, y)| Point::new(Length::from_mm(x), Length::from_mm(y));
        let neck = [
            (0, 0),
            (400, 0),
            (400, 300),
            (300, 300),
            (300, 100),
            (100, 100),
            (100, 300),
            (0, 300),
        ];
        // The middle, 200 across and 150 along, lies in the neck, whose floor is at 100.
        let label = label("B12", &neck.map(point)).expect("room for words");
        let in_neck = label.x > 100.0 && label.x < 300.0 && label.y > 100.0 - label.height / 2.0;
        assert!(!in_neck, "{label:?}");
        // In a box they stay in the middle.
        let whole = [(0, 0), (400, 0), (400, 300), (0, 300)];
        let middle = super::label("B12", &whole.map(point)).expect("room for words");
        assert!((middle.x - 200.0).abs() < 1e-9 && (middle.y - 150.0).abs() < 1e-9);
    }
}

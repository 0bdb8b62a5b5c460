//! Where the words of a piece stand: its code, its edges' and its ticks' words, none across a line that is cut
//! and none over another.
//!
//! Steps: ticks' words first, as they have the fewest places; then edges', along the edge, inside the piece and
//! else beside it, smaller where it is narrow; then the code where it has the most room. A word's box is
//! measured against every edge of the outline and every tick in its own directions. What has no
//! free place at the smallest size is left out, save for the code, which the foot of every sheet repeats.

use super::{Anchor, Template, Text};
use crate::geometry::Point;
use crate::pattern::MarkKind;
use crate::units::{Angle, Length};

/// Sizes of edges' and ticks' words, in millimetres.
const SIZES: [f64; 3] = [4.0, 3.2, 2.6];
/// The code's largest and smallest size, in millimetres.
const CODE: (f64, f64) = (12.0, 3.0);
/// Width of a letter in sizes, roughly, for a sans-serif face.
const LETTER: f64 = 0.58;
/// How far a word keeps from lines and other words, in millimetres.
const CLEAR: f64 = 1.0;
/// A word stands on an edge about once in so many millimetres, so that most sheets show it.
const EACH: f64 = 180.0;
/// Where along its part of an edge a word is tried, in shares of that part.
const ALONG: [f64; 9] = [0.0, 0.1, -0.1, 0.2, -0.2, 0.3, -0.3, 0.4, -0.4];

type Xy = (f64, f64);

/// A word that is tried at a place: the foot of its letters' middle, its direction and its size.
#[derive(Clone, Copy)]
struct Box {
    middle: Xy,
    /// Direction of the letters.
    along: Xy,
    /// Half its width and half its height.
    half: Xy,
}

impl Box {
    /// Of a word whose letters stand on a line through `foot`.
    fn of(word: &str, foot: Xy, along: Xy, size: f64) -> Self {
        let wide = word.chars().map(|_| LETTER * size).sum::<f64>();
        let (up, high) = ((-along.1, along.0), size * 0.75);
        let middle = (foot.0 + up.0 * high / 2.0, foot.1 + up.1 * high / 2.0);
        Self { middle, along, half: (wide / 2.0, high / 2.0 + size * 0.1) }
    }

    /// A point as seen from its middle, along and across the letters.
    fn seen(&self, p: Xy) -> Xy {
        let (dx, dy) = (p.0 - self.middle.0, p.1 - self.middle.1);
        let (c, s) = self.along;
        (dx * c + dy * s, dy * c - dx * s)
    }

    fn corners(&self) -> [Xy; 4] {
        let ((c, s), (w, h)) = (self.along, self.half);
        [(w, h), (-w, h), (-w, -h), (w, -h)]
            .map(|(x, y)| (self.middle.0 + x * c - y * s, self.middle.1 + x * s + y * c))
    }

    /// Whether a line comes nearer than [`CLEAR`], by clipping it at its four sides in turn.
    fn meets(&self, a: Xy, b: Xy) -> bool {
        let (a, b) = (self.seen(a), self.seen(b));
        let (w, h) = (self.half.0 + CLEAR, self.half.1 + CLEAR);
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (start, step, most) in [(a.0, b.0 - a.0, w), (a.1, b.1 - a.1, h)] {
            if step.abs() < 1e-12 {
                if start.abs() > most {
                    return false;
                }
                continue;
            }
            let (one, other) = ((-most - start) / step, (most - start) / step);
            from = from.max(one.min(other));
            to = to.min(one.max(other));
        }
        from <= to
    }

    /// Whether it lies over another: no direction of either parts them.
    fn over(&self, other: &Self) -> bool {
        let parted = |one: &Self, other: &Self| {
            let seen = other.corners().map(|p| one.seen(p));
            let apart = |of: fn(&Xy) -> f64, half: f64| {
                seen.iter().all(|p| of(p) > half + CLEAR)
                    || seen.iter().all(|p| of(p) < -half - CLEAR)
            };
            apart(|p| p.0, one.half.0) || apart(|p| p.1, one.half.1)
        };
        !parted(self, other) && !parted(other, self)
    }
}

/// The corners of a word on its piece.
pub(super) fn corners(text: &Text) -> [Point; 4] {
    let turn = text.turn.radians_f64();
    let along = (libm::cos(turn), libm::sin(turn));
    let foot = (text.at.x.mm_f64(), text.at.y.mm_f64());
    let mm = |v: f64| Length::from_mm_f64_nearest(v).unwrap_or_default();
    let corners = Box::of(&text.words, foot, along, text.size.mm_f64()).corners();
    corners.map(|(x, y)| Point::new(mm(x), mm(y)))
}

/// What stands on a piece already.
struct Taken {
    outline: Vec<Xy>,
    lines: Vec<(Xy, Xy)>,
    boxes: Vec<Box>,
    texts: Vec<Text>,
}

impl Taken {
    fn free(&self, word: &Box) -> bool {
        !self.lines.iter().any(|&(a, b)| word.meets(a, b))
            && !self.boxes.iter().any(|other| word.over(other))
    }

    fn inside(&self, word: &Box) -> bool {
        inside(&self.outline, word.middle)
    }

    /// Puts a word at the first of these places that is free.
    fn put(
        &mut self,
        word: &str,
        places: impl Iterator<Item = (Xy, Xy, f64)>,
        within: bool,
    ) -> bool {
        for (foot, along, size) in places {
            let tried = Box::of(word, foot, along, size);
            if !self.free(&tried) || (within && !self.inside(&tried)) {
                continue;
            }
            let mm = |v: f64| Length::from_mm_f64_nearest(v).unwrap_or_default();
            self.boxes.push(tried);
            self.texts.push(Text {
                at: Point::new(mm(foot.0), mm(foot.1)),
                anchor: Anchor::Middle,
                turn: Angle::from_microdegrees(microdegrees(along)),
                size: mm(size),
                words: word.to_owned(),
            });
            return true;
        }
        false
    }

    /// A tick's word: beyond its inner end, or its outer one.
    fn tick(&mut self, (from, to): (Xy, Xy), word: &str) {
        let along = (1.0, 0.0);
        let long = libm::hypot(to.0 - from.0, to.1 - from.1).max(1e-9);
        let way = ((to.0 - from.0) / long, (to.1 - from.1) / long);
        let place = |end: Xy, sign: f64, size: f64, aside: f64| {
            let half = Box::of(word, (0.0, 0.0), along, size).half;
            // So far that its box clears the tick's end in the tick's own direction.
            let reach = (half.0 * way.0.abs() + half.1 * way.1.abs() + 2.0 * CLEAR) * sign;
            let x = end.0 + way.0 * reach - way.1 * aside;
            let y = end.1 + way.1 * reach + way.0 * aside;
            ((x, y - size * 0.75 / 2.0), along, size)
        };
        let aside = [0.0, 3.0, -3.0, 6.0, -6.0, 10.0, -10.0];
        let places = [(to, 1.0), (from, -1.0)].into_iter().flat_map(|(end, sign)| {
            SIZES.into_iter().flat_map(move |size| {
                aside.into_iter().map(move |aside| place(end, sign, size, aside))
            })
        });
        self.put(word, places, false);
    }

    /// A word along an edge, once in [`EACH`] millimetres.
    fn edge(&mut self, (from, to): (Xy, Xy), word: &str) {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let long = libm::hypot(dx, dy);
        let letters: f64 = word.chars().map(|_| 0.55).sum();
        if long < letters * SIZES[0] * 0.7 {
            return;
        }
        let way = (dx / long, dy / long);
        // Never upside down.
        let up = way.0 > 1e-9 || (way.0.abs() <= 1e-9 && way.1 > 0.0);
        let along = if up { way } else { (-way.0, -way.1) };
        let normal = (-along.1, along.0);
        let near = (from.0 + dx / 2.0 + normal.0 * 1.5, from.1 + dy / 2.0 + normal.1 * 1.5);
        let above = inside(&self.outline, near);
        let steps = (long / EACH).ceil().clamp(1.0, 50.0);
        let mut share = 0.5 / steps;
        while share < 1.0 {
            let place = |size: f64, off: f64, within: bool, shift: f64| {
                let off = if above == within { off } else { -off - size * 0.75 };
                let at = share + shift / steps;
                let x = from.0 + dx * at + normal.0 * off;
                ((x, from.1 + dy * at + normal.1 * off), along, size)
            };
            let places = [true, false].into_iter().flat_map(|within| {
                SIZES.into_iter().flat_map(move |size| {
                    [2.0, 5.0].into_iter().flat_map(move |off| {
                        ALONG.into_iter().map(move |shift| place(size, off, within, shift))
                    })
                })
            });
            self.put(word, places, false);
            share += 1.0 / steps;
        }
    }

    /// The code, as large as there is room for, near the middle.
    fn code(&mut self, code: &str, (width, length): (f64, f64)) {
        let mut places: Vec<(f64, f64)> = Vec::with_capacity(15 * 15);
        for x in 1..16_u8 {
            places.extend((1..16_u8).map(|y| (f64::from(x) / 16.0, f64::from(y) / 16.0)));
        }
        let far = |p: &Xy| (p.0 - 0.5).powi(2) + (p.1 - 0.5).powi(2);
        places.sort_by(|a, b| far(a).total_cmp(&far(b)));
        let mut sizes = vec![CODE.0];
        while let Some(size) = sizes.last().map(|size| size * 0.8).filter(|size| *size > CODE.1) {
            sizes.push(size);
        }
        let lying = [(1.0, 0.0), (0.0, 1.0)];
        let all = sizes.into_iter().flat_map(|size| {
            let places = &places;
            lying.into_iter().flat_map(move |along| {
                places.iter().map(move |(x, y)| ((width * x, length * y), along, size))
            })
        });
        self.put(code, all, true);
    }
}

/// The words of a piece, in its own coordinates.
pub(super) fn words(template: &Template) -> Vec<Text> {
    let mm = |p: Point| (p.x.mm_f64(), p.y.mm_f64());
    let outline: Vec<Xy> = template.outline.corners().iter().map(|&p| mm(p)).collect();
    let next = outline.iter().cycle().skip(1);
    let mut lines: Vec<(Xy, Xy)> = outline.iter().copied().zip(next.copied()).collect();
    let of = |kind: MarkKind| {
        let marks = template.marks.iter().filter(move |mark| mark.kind == kind);
        marks.map(|mark| ((mm(mark.from), mm(mark.to)), mark.word.as_ref()))
    };
    lines.extend(of(MarkKind::Match).map(|(line, _)| line));
    let mut taken = Taken { outline, lines, boxes: Vec::new(), texts: Vec::new() };
    for (line, word) in of(MarkKind::Match) {
        taken.tick(line, word);
    }
    for (line, word) in of(MarkKind::Edge) {
        taken.edge(line, word);
    }
    let (width, length) = template.outline.size();
    taken.code(&template.piece, (width.mm_f64(), length.mm_f64()));
    taken.texts
}

/// Whether a point lies in a polygon: a ray to the right crosses its edges an odd number of times.
fn inside(corners: &[Xy], p: Xy) -> bool {
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).fold(false, |odd, (&a, &b)| {
        let spans = (a.1 > p.1) != (b.1 > p.1);
        odd ^ (spans && p.0 < a.0 + (b.0 - a.0) * (p.1 - a.1) / (b.1 - a.1))
    })
}

#[expect(clippy::cast_possible_truncation, reason = "an angle of at most half a turn")]
fn microdegrees((x, y): Xy) -> i64 {
    (libm::atan2(y, x).to_degrees() * 1e6).round() as i64
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// The texts that a piece bears, as boxes.
    fn boxes(texts: &[Text]) -> Vec<(String, Box)> {
        let mm = |p: Point| (p.x.mm_f64(), p.y.mm_f64());
        let one = |text: &Text| {
            let turn = text.turn.radians_f64();
            let along = (libm::cos(turn), libm::sin(turn));
            (text.words.clone(), Box::of(&text.words, mm(text.at), along, text.size.mm_f64()))
        };
        texts.iter().map(one).collect()
    }

    fn crossed(template: &Template) -> Vec<String> {
        let corners: Vec<Xy> =
            template.outline.corners().iter().map(|p| (p.x.mm_f64(), p.y.mm_f64())).collect();
        let placed = boxes(&words(template));
        let mut wrong = Vec::new();
        for (at, (word, one)) in placed.iter().enumerate() {
            // By points on the box's sides, another way than the one that chose the place.
            let sides = one.corners();
            let next = sides.iter().cycle().skip(1);
            let points = sides.iter().zip(next).flat_map(|(a, b)| {
                (0..20).map(move |i| {
                    let share = f64::from(i) / 20.0;
                    (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share)
                })
            });
            let within: Vec<bool> = points.map(|p| inside(&corners, p)).collect();
            if within.iter().any(|w| *w != within[0]) {
                wrong.push(format!("{word} across the outline"));
            }
            for (other, two) in &placed[at + 1..] {
                let hit = two.corners().iter().any(|&p| {
                    let (x, y) = one.seen(p);
                    x.abs() <= one.half.0 && y.abs() <= one.half.1
                });
                if hit {
                    wrong.push(format!("{word} over {other}"));
                }
            }
        }
        if !placed.iter().any(|(word, _)| *word == template.piece) {
            wrong.push("no code".to_owned());
        }
        wrong
    }

    /// Sleeves of small branches on small pipe: the code lay across the cut line, ticks' words ran into
    /// the edge's at the top.
    #[test]
    fn no_word_lies_across_the_cut_or_over_another() {
        use crate::pattern::saddle::{BranchSeam, Saddle};
        use crate::pattern::wrap::Layer;
        let mm = Length::from_mm;
        let mut seen = 0;
        for (run, branch) in [(60, 60), (60, 33), (89, 48), (114, 114), (168, 89), (324, 168)] {
            let layer = |od: i64| Layer {
                thickness: mm(5),
                under: mm(od),
                factor: crate::units::Decimal::from_millionths(500_000),
            };
            for angle in [90, 60, 45] {
                let saddle = Saddle::new(&layer(run), &layer(branch), Angle::from_degrees(angle));
                let side = mm(run * 3).mm_f64();
                let mut flats = Vec::new();
                for seam in [BranchSeam::Acute, BranchSeam::Obtuse] {
                    // Some are too short for what they meet, and have no pattern.
                    flats.extend(saddle.sleeve_round(side, seam, 1).into_iter().flatten());
                }
                let halves = saddle.parted_round(side, side, 1, false);
                flats.extend(halves.into_iter().flat_map(|halves| halves.concat()));
                for flat in flats {
                    let Some(outline) = flat.outline else { continue };
                    let (part, kit) = (String::new(), Vec::new());
                    let (piece, thickness, quantity) = ("A88".to_owned(), None, 1);
                    let marks = flat.marks;
                    let template =
                        Template { piece, part, thickness, quantity, outline, marks, kit };
                    assert_eq!(crossed(&template), [""; 0], "{run} {branch} {angle}");
                    seen += 1;
                }
            }
        }
        assert!(seen > 30, "{seen}");
    }
}

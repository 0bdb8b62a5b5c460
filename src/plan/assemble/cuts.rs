//! The cuts of a pull, in an order in which they can be made, and the rectangles that are left.
//!
//! Steps: the cross-cut frees the pull; what a gap left in front of it and the edge trims come
//! off; then the sheet is divided by all
//! cross-cuts that run free from edge to edge, each part by all free rips, and so on in turn; a
//! part with one piece is trimmed to it. A cut that serves two neighbours is made once. Where no
//! straight cut separates the pieces of a part (curved ones that interlock or have rectangles in their
//! hollows, free layouts), it is trimmed to them, if some are curved, and cut along their outlines:
//! rectangles by lines, each once, then every curved piece by one cut that names it; a line that runs through
//! from edge to edge is a straight cut, and divides the part. Curved pieces that
//! interlock lie at odd places; the blank that they share is rounded up to the step in which all blanks
//! come, where there is room. Curved pieces are cut round anyway, so their blanks reach to an edge or a neighbour that is
//! less than a millimetre away: nobody cuts a strip of that width off for their sake.
//! Waste that is worth keeping is reported where the cuts leave it.

use super::empty;
use crate::cutting::{Cutting, Style};
use crate::geometry::{Point, Rect};
use crate::nest;
use crate::plan::wanted::{Keep, Wanted};
use crate::plan::{Cut, CutKind};
use crate::units::Length;
use std::collections::BTreeMap;

/// Narrower strips are not cut off curved pieces' blanks.
const STRIP: Length = Length::from_mm(1);

/// A piece where it lies: its blank, and what its outline cut needs where it is no rectangle.
pub(super) struct Blank<'a> {
    pub(super) rect: Rect,
    /// Of an outlined piece its name and the size of its outline's box.
    outlined: Option<(&'a str, Length, Length)>,
}

impl<'a> Blank<'a> {
    /// A piece of the order sheet, turned and placed.
    pub(super) fn placed(wanted: &'a Wanted, place: &nest::Placement) -> Self {
        let piece = &wanted.pieces[place.piece];
        let quarters = place.turn.quarter_turns().unwrap_or(0);
        let (x, y) = (place.x, place.y);
        let (width, length) = if quarters.is_multiple_of(2) {
            (piece.width, piece.length)
        } else {
            (piece.length, piece.width)
        };
        let outlined = piece.outline.as_ref().map(|outline| {
            let (across, along) = outline.size();
            let upright = quarters.is_multiple_of(2);
            let (across, along) = if upright { (across, along) } else { (along, across) };
            (piece.code.as_str(), across, along)
        });
        Self { rect: Rect { x, y, width, length }, outlined }
    }
}

/// The cuts of a pull and the rectangles that are left and worth keeping.
pub(super) struct CutPull {
    pub(super) cuts: Vec<Cut>,
    pub(super) left: Vec<Rect>,
}

/// Direction of a straight cut.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Way {
    /// Across the roll, dividing along it.
    Cross,
    /// Along the roll, dividing across it.
    Rip,
}

impl Way {
    fn other(self) -> Self {
        match self {
            Self::Cross => Self::Rip,
            Self::Rip => Self::Cross,
        }
    }

    /// Where a rectangle begins and ends in the direction that is divided.
    fn span(self, rect: &Rect) -> (Length, Length) {
        match self {
            Self::Cross => (rect.y, rect.far()),
            Self::Rip => (rect.x, rect.right()),
        }
    }

    /// The part of `sheet` between two positions.
    fn part(self, sheet: &Rect, from: Length, to: Length) -> Rect {
        match self {
            Self::Cross => Rect { y: from, length: to - from, ..*sheet },
            Self::Rip => Rect { x: from, width: to - from, ..*sheet },
        }
    }

    /// The cut through the whole of `sheet` at a position.
    fn cut(self, sheet: &Rect, at: Length, trims: bool) -> Cut {
        let (from, to, kind) = match self {
            Self::Cross => (Point::new(sheet.x, at), Point::new(sheet.right(), at), CutKind::Cross),
            Self::Rip => (Point::new(at, sheet.y), Point::new(at, sheet.far()), CutKind::Rip),
        };
        Cut { kind: if trims { CutKind::Trim } else { kind }, from, to, piece: None }
    }
}

/// A pull in the roll's full width, and what surrounds it.
#[derive(Clone, Copy)]
pub(super) struct Drawn {
    pub(super) pull: Rect,
    /// Where the roll begins when the pull is drawn off.
    pub(super) front: Length,
    /// Whether the roll ends with it, so that nothing frees it.
    pub(super) last: bool,
}

/// Cuts a pull; `step` is what all blanks are multiples of.
pub(super) fn cut(
    drawn: Drawn,
    (cutting, step): (&Cutting, Length),
    keep: Keep,
    blanks: &[Blank<'_>],
) -> CutPull {
    let trim = cutting.edge_trim;
    let shared = (cutting.style == Style::Straight).then_some(step);
    let done = CutPull::new();
    let mut knife = Knife { gap: cutting.gap, keep, blanks, shared, done };
    let whole = drawn.pull;
    if !drawn.last {
        knife.done.cuts.push(Way::Cross.cut(&whole, whole.far(), false));
    }
    if drawn.front < whole.y {
        knife.done.cuts.push(Way::Cross.cut(&whole, whole.y, true));
    }
    let usable = Rect { x: whole.x + trim, width: whole.width - trim - trim, ..whole };
    if trim.is_positive() {
        knife.done.cuts.push(Way::Rip.cut(&whole, usable.x, true));
        let rest = Rect { x: usable.x, width: whole.width - trim, ..whole };
        knife.done.cuts.push(Way::Rip.cut(&rest, usable.right(), true));
    }
    // A stack of its own instead of recursion: a staircase of pieces is as deep as it is long.
    let mut sheets = vec![(usable, (0..blanks.len()).collect::<Vec<usize>>(), Way::Cross)];
    while let Some((sheet, inside, way)) = sheets.pop() {
        let mut parts = knife.divide(&sheet, &inside, way);
        parts.reverse();
        sheets.extend(parts);
    }
    knife.done
}

impl CutPull {
    fn new() -> Self {
        Self { cuts: Vec::new(), left: Vec::new() }
    }
}

type Sheet = (Rect, Vec<usize>, Way);
/// Where a group of pieces begins and ends, and which they are.
type Group = (Length, Length, Vec<usize>);

struct Knife<'a> {
    gap: Length,
    keep: Keep,
    blanks: &'a [Blank<'a>],
    /// Where curved pieces share blanks of their own, the step in which those are rounded up.
    shared: Option<Length>,
    done: CutPull,
}

impl Knife<'_> {
    /// Divides a sheet, if it can be, and gives its parts with pieces in them.
    fn divide(&mut self, sheet: &Rect, inside: &[usize], way: Way) -> Vec<Sheet> {
        match inside {
            [] => self.leave(*sheet),
            [one] => self.free_one(sheet, *one),
            _ => {
                for way in [way, way.other()] {
                    let groups = self.groups(inside, way);
                    if groups.len() > 1 {
                        let groups = self.rounded(groups, way.span(sheet).1);
                        return self.part(sheet, groups, way);
                    }
                }
                let trims = self.shared.is_some() && self.curved(inside);
                let sheet = if trims { self.trim(*sheet, inside, way) } else { *sheet };
                let (left, lines) = self.lines(&sheet, inside);
                let through = lines.iter().find_map(|line| self.through(&sheet, inside, *line));
                if let Some((way, at)) = through {
                    return self.halved(&sheet, inside, (way, at));
                }
                self.cut_outlines(inside, left, lines);
            }
        }
        Vec::new()
    }

    /// The pieces in groups that free straight channels separate, in order.
    fn groups(&self, inside: &[usize], way: Way) -> Vec<Group> {
        let mut order: Vec<(Length, Length, usize)> = inside
            .iter()
            .map(|&i| {
                let (from, to) = way.span(&self.blanks[i].rect);
                (from, to, i)
            })
            .collect();
        order.sort_unstable();
        let mut groups: Vec<Group> = Vec::new();
        for (from, to, i) in order {
            match groups.last_mut().filter(|g| from < g.1 + self.gap) {
                Some(group) => {
                    group.1 = group.1.max(to);
                    group.2.push(i);
                }
                None => groups.push((from, to, vec![i])),
            }
        }
        groups
    }

    /// Whether some pieces are curved.
    fn curved(&self, inside: &[usize]) -> bool {
        inside.iter().any(|&i| self.blanks[i].outlined.is_some())
    }

    /// Groups with curved pieces that share a blank, rounded up as far as there is room.
    fn rounded(&self, mut groups: Vec<Group>, end: Length) -> Vec<Group> {
        let Some(step) = self.shared else { return groups };
        for number in 0..groups.len() {
            let room = groups.get(number + 1).map_or(end, |next| next.0 - self.gap);
            let (from, to, inside) = &mut groups[number];
            if inside.len() > 1 && self.curved(inside) {
                *to = (*from + (*to - *from).round_up_to(step)).min(room).max(*to);
            }
        }
        groups
    }

    /// Trims a sheet to the pieces that share it; what is left of it.
    fn trim(&mut self, mut sheet: Rect, inside: &[usize], way: Way) -> Rect {
        for way in [way, way.other()] {
            let groups = self.rounded(self.groups(inside, way), way.span(&sheet).1);
            if let Some((part, _, _)) = self.part(&sheet, groups, way).first() {
                sheet = *part;
            }
        }
        sheet
    }

    /// The groups of a sheet, where those that curved pieces end reach to the edge of the sheet, or of their
    /// neighbour, that is nearer than [`STRIP`]. Pieces keep the gap all the same: it is between outlines.
    fn reaching(
        &self,
        mut groups: Vec<Group>,
        way: Way,
        (start, end): (Length, Length),
    ) -> Vec<Group> {
        let near = |from: Length, to: Length| from < to && to - from < STRIP;
        // Whether no rectangle of a group needs a cut within a strip of a place.
        let reaches = |(_, _, inside): &Group, place: Length| {
            let mut square =
                inside.iter().map(|&i| &self.blanks[i]).filter(|b| b.outlined.is_none());
            square.all(|blank| {
                let (from, to) = way.span(&blank.rect);
                from - place >= STRIP || place - to >= STRIP
            })
        };
        let mut begins = start;
        for number in 0..groups.len() {
            if near(begins, groups[number].0) && reaches(&groups[number], begins) {
                groups[number].0 = begins;
            }
            let ends = groups.get(number + 1).map_or(end, |next| next.0);
            if near(groups[number].1, ends) && reaches(&groups[number], ends) {
                groups[number].1 = ends;
            }
            begins = groups[number].1;
        }
        groups
    }

    /// Cuts a sheet between (and close to) its groups.
    fn part(&mut self, sheet: &Rect, groups: Vec<Group>, way: Way) -> Vec<Sheet> {
        let (mut at, end) = way.span(sheet);
        let groups = self.reaching(groups, way, (at, end));
        let last = groups.len() - 1;
        let mut parts = Vec::new();
        for (number, (from, to, inside)) in groups.into_iter().enumerate() {
            if from > at {
                self.done.cuts.push(way.cut(&way.part(sheet, at, end), from, true));
                self.leave(way.part(sheet, at, from));
            }
            if to < end {
                self.done.cuts.push(way.cut(&way.part(sheet, from, end), to, number == last));
            }
            parts.push((way.part(sheet, from, to), inside, way.other()));
            at = to;
        }
        if at < end {
            self.leave(way.part(sheet, at, end));
        }
        parts
    }

    /// Trims a sheet to its one piece, so that the larger rectangle is left.
    fn free_one(&mut self, sheet: &Rect, one: usize) {
        let blank = &self.blanks[one];
        let rect = blank.rect;
        let room = |way: Way| {
            way.span(sheet).1 - way.span(&rect).1 + way.span(&rect).0 - way.span(sheet).0
        };
        let across = crate::units::Area::of_rectangle(room(Way::Rip), sheet.length);
        let along = crate::units::Area::of_rectangle(sheet.width, room(Way::Cross));
        let first = if along >= across { Way::Cross } else { Way::Rip };
        let mut sheet = *sheet;
        for way in [first, first.other()] {
            let (from, to) = way.span(&rect);
            let parts = self.part(&sheet, vec![(from, to, vec![one])], way);
            if let Some((part, _, _)) = parts.first() {
                sheet = *part;
            }
        }
        if blank.outlined.is_some() {
            let (left, lines) = self.lines(&sheet, &[one]);
            self.cut_outlines(&[one], left, lines);
        }
    }

    /// What is worth keeping beside the pieces of a sheet, and the lines to cut round that and round all
    /// rectangles.
    fn lines(&self, sheet: &Rect, inside: &[usize]) -> (Vec<Rect>, Vec<Line>) {
        let boxes: Vec<Rect> = inside.iter().map(|&i| self.blanks[i].rect).collect();
        let left = empty::rectangles(*sheet, &boxes, self.keep);
        let mut lines = Lines::default();
        let pieces = inside.iter().map(|&i| &self.blanks[i]);
        let square = pieces.filter(|blank| blank.outlined.is_none()).map(|blank| &blank.rect);
        for rect in left.iter().chain(square) {
            lines.add_corners(&corners(rect));
        }
        (left, lines.within(sheet))
    }

    /// Where a line runs through a sheet from edge to edge and beside all pieces, it is a straight cut.
    fn through(&self, sheet: &Rect, inside: &[usize], (p, q): Line) -> Option<(Way, Length)> {
        let (way, at, from, to) =
            if p.y == q.y { (Way::Cross, p.y, p.x, q.x) } else { (Way::Rip, p.x, p.y, q.y) };
        let beside = |&i: &usize| {
            let (from, to) = way.span(&self.blanks[i].rect);
            to <= at || at <= from
        };
        let whole = (from, to) == way.other().span(sheet);
        (whole && inside.iter().all(beside)).then_some((way, at))
    }

    /// Divides a sheet in two where a line runs through it.
    fn halved(&mut self, sheet: &Rect, inside: &[usize], (way, at): (Way, Length)) -> Vec<Sheet> {
        let (start, end) = way.span(sheet);
        let before = |i: &usize| way.span(&self.blanks[*i].rect).1 <= at;
        let (near, far): (Vec<usize>, Vec<usize>) = inside.iter().partition(|i| before(i));
        let trims = near.is_empty() || far.is_empty();
        self.done.cuts.push(way.cut(sheet, at, trims));
        let halves = [(start, at, near), (at, end, far)];
        let half = |(from, to, inside)| (way.part(sheet, from, to), inside, way.other());
        halves.into_iter().map(half).collect()
    }

    /// Cuts pieces out along their outlines, and with them what is worth keeping.
    fn cut_outlines(&mut self, inside: &[usize], left: Vec<Rect>, lines: Vec<Line>) {
        let mut outlines = Vec::new();
        for &i in inside {
            let Rect { x, y, .. } = self.blanks[i].rect;
            if let Some((name, across, along)) = self.blanks[i].outlined {
                outlines.push(Cut {
                    kind: CutKind::Outline,
                    from: Point::new(x, y),
                    to: Point::new(x + across, y + along),
                    piece: Some(name.to_owned()),
                });
            }
        }
        outlines
            .sort_by(|a, b| (a.from.y, a.from.x, &a.piece).cmp(&(b.from.y, b.from.x, &b.piece)));
        let cut = |(from, to)| Cut { kind: CutKind::Outline, from, to, piece: None };
        self.done.cuts.extend(lines.into_iter().map(cut));
        self.done.cuts.extend(outlines);
        self.done.left.extend(left);
    }

    fn leave(&mut self, rect: Rect) {
        if self.keep.worth(rect.width, rect.length) {
            self.done.left.push(rect);
        }
    }
}

fn corners(rect: &Rect) -> [Point; 4] {
    [
        Point::new(rect.x, rect.y),
        Point::new(rect.right(), rect.y),
        Point::new(rect.right(), rect.far()),
        Point::new(rect.x, rect.far()),
    ]
}

/// A line to cut along, from its lesser end.
type Line = (Point, Point);

/// Edges of rectangles to cut, each once, joined where they meet.
#[derive(Default)]
struct Lines {
    across: BTreeMap<Length, Vec<(Length, Length)>>,
    along: BTreeMap<Length, Vec<(Length, Length)>>,
}

impl Lines {
    fn add_corners(&mut self, corners: &[Point; 4]) {
        let next = corners.iter().cycle().skip(1);
        for (p, q) in corners.iter().zip(next) {
            let (p, q) = (*p.min(q), *p.max(q));
            if p.y == q.y {
                self.across.entry(p.y).or_default().push((p.x, q.x));
            } else {
                self.along.entry(p.x).or_default().push((p.y, q.y));
            }
        }
    }

    /// The lines from the front to the far end, without those along the sheet's own edges.
    fn within(self, sheet: &Rect) -> Vec<Line> {
        let mut lines: Vec<Line> = Vec::new();
        for (y, spans) in self.across {
            if y > sheet.y && y < sheet.far() {
                let joined = joined(spans).into_iter();
                lines.extend(joined.map(|(a, b)| (Point::new(a, y), Point::new(b, y))));
            }
        }
        for (x, spans) in self.along {
            if x > sheet.x && x < sheet.right() {
                let joined = joined(spans).into_iter();
                lines.extend(joined.map(|(a, b)| (Point::new(x, a), Point::new(x, b))));
            }
        }
        lines.sort_by_key(|(p, q)| (p.y.min(q.y), p.x, p.y, q.x, q.y));
        lines
    }
}

/// Spans that meet or overlap become one.
fn joined(mut spans: Vec<(Length, Length)>) -> Vec<(Length, Length)> {
    spans.sort_unstable();
    let mut found: Vec<(Length, Length)> = Vec::new();
    for (from, to) in spans {
        match found.last_mut().filter(|last| from <= last.1) {
            Some(last) => last.1 = last.1.max(to),
            None => found.push((from, to)),
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Blanks 500 long beside each other, from their left to their right edge in hundredths of a millimetre, on a pull
    /// 1000 wide; the places of the rips.
    fn rips(gap: i64, blanks: &[(i64, i64, bool)]) -> Vec<i64> {
        let hundredths = |value: i64| Length::from_nm(value * 10_000);
        let blank = |&(from, to, curved): &(i64, i64, bool)| {
            let (width, length) = (hundredths(to - from), Length::from_mm(500));
            let rect = Rect { x: hundredths(from), y: Length::ZERO, width, length };
            Blank { rect, outlined: curved.then_some(("G", width, length)) }
        };
        let blanks: Vec<Blank<'_>> = blanks.iter().map(blank).collect();
        let (width, length) = (Length::from_mm(1000), Length::from_mm(500));
        let pull = Rect { x: Length::ZERO, y: Length::ZERO, width, length };
        let drawn = Drawn { pull, front: Length::ZERO, last: false };
        let cutting = Cutting { gap: hundredths(gap), ..Cutting::plain(Style::Free, None) };
        let keep = Keep { width, length };
        let done = cut(drawn, (&cutting, Length::from_nm(1)), keep, &blanks);
        let straight = done.cuts.iter().filter(|cut| cut.kind != CutKind::Outline);
        let rips = straight.filter(|cut| cut.from.x == cut.to.x);
        let mut rips: Vec<i64> = rips.map(|cut| cut.from.x.nm() / 10_000).collect();
        rips.sort_unstable();
        rips
    }

    #[test]
    fn no_strip_of_less_than_a_millimetre_is_cut_off_curved_pieces() {
        // Two lenses 0.28 mm apart, the second 0.4 mm from the roll's edge.
        let both = [(0, 17_071, true), (17_099, 99_960, true)];
        assert_eq!(rips(0, &both), [17_099]);
        // A whole millimetre is cut off.
        assert_eq!(rips(0, &[(0, 17_071, true), (17_171, 100_000, true)]), [17_071, 17_171]);
        // A rectangle keeps its size, and the lens beside it reaches to it on either side.
        let beside = [(30, 17_071, true), (17_099, 40_000, false), (40_050, 99_990, true)];
        assert_eq!(rips(0, &beside), [17_099, 40_000]);
        let square = [(0, 17_071, false), (17_099, 100_000, false)];
        assert_eq!(rips(0, &square), [17_071, 17_099]);
        // A gap of a millimetre and more is cut out; a narrower one is no strip either.
        assert_eq!(rips(300, &[(0, 17_000, true), (17_340, 99_990, true)]), [17_000, 17_340]);
        assert_eq!(rips(300, &[(0, 17_000, false), (17_340, 99_990, true)]), [17_000, 17_340]);
        assert_eq!(rips(50, &[(0, 17_000, true), (17_080, 100_000, true)]), [17_080]);
        assert_eq!(rips(50, &[(0, 17_000, false), (17_080, 100_000, true)]), [17_000]);
    }

    #[test]
    fn a_blank_that_a_rectangle_shares_reaches_where_a_curved_piece_ends_it() {
        // Blanks across and along in hundredths of a millimetre: a lens with a rectangle in its hollow, and a lens
        // 0.3 mm to their right.
        let beside = |square: i64| {
            [(0, 17_070, true), (square - 5_000, square, false), (17_100, 100_000, true)]
        };
        assert_eq!(rips(0, &beside(15_000)), [17_100]);
        // Where the rectangle ends the blank it keeps its size, and the lens reaches to it.
        assert_eq!(rips(0, &beside(17_070)), [17_070]);
    }
}

//! The cuts as listed, made again in their order.
//!
//! Steps: the first cut frees the pull in the roll's full width, unless it ends with the roll;
//! every further straight cut must run from edge to edge of a sheet that lies there by then, and
//! divides it. What the last cut before the pull left in front of it is a part of the sheet. At the end every
//! piece lies on one sheet. Either the sheet is the piece, or the piece's edges are covered by
//! the sheet's edges and the straight outline cuts, or a cut names it and goes round it. Offcuts
//! that are kept count as pieces here. No outline cut runs into a piece, and each lies on edges of pieces
//! ([`Lines`]); where all is cut straight and nothing is curved there is none. What they come to together
//! runs through no sheet that is left, from edge to edge and beside all its pieces: such a cut is a straight
//! one, and tickets tell it as one. A straight cut is listed as what it is ([`Halves`]).

use super::halves::{Halves, Straight};
use super::lines::Lines;
use super::polygon::{self, Corner};
use super::rolls::Placed;
use super::{Failures, Rule, clear};
use crate::plan::{Cut, CutKind, Pull, Roll};
use std::collections::BTreeMap;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Sheet {
    left: i64,
    right: i64,
    near: i64,
    far: i64,
    /// Its node in the tree of sheets ([`Halves`]).
    node: usize,
}

/// The pieces of a pull, and what is kept of it.
pub(super) struct Freed<'a> {
    /// The pieces, then the offcuts that are kept.
    pub(super) placed: &'a [Placed<'a>],
    /// How many of them are pieces.
    pub(super) pieces: usize,
    /// Whether all is cut straight.
    pub(super) straight: bool,
    /// How wide the trims of the roll's edges are, in nanometres.
    pub(super) trim: i64,
}

/// `front` is where the roll begins when the pull is drawn off.
pub(super) fn check(
    roll: &Roll,
    pull: &Pull,
    front: i64,
    freed: &Freed<'_>,
    failures: &mut Failures,
) {
    if let Err(sentence) = replayed(roll, pull, front, freed) {
        failures.add(
            Rule::Cuts,
            format!("In the pull at {} mm of roll `{}`, {sentence}.", pull.y, roll.roll),
        );
    }
}

fn replayed(roll: &Roll, pull: &Pull, front: i64, all: &Freed<'_>) -> Result<(), String> {
    let placed = all.placed;
    let whole = Sheet {
        left: 0,
        right: roll.width.nm(),
        near: front.min(pull.y.nm()),
        far: (pull.y + pull.length).nm(),
        node: 0,
    };
    let mut cuts = pull.cuts.iter().enumerate();
    if roll.length.is_none_or(|end| end.nm() != whole.far) {
        let frees = cuts.next().is_some_and(|(_, c)| {
            let all = ((whole.left, whole.far), (whole.right, whole.far));
            c.kind == CutKind::Cross && ends(c) == all
        });
        if !frees {
            return Err("the first cut does not free the pull".to_owned());
        }
    }
    let mut sheets = vec![whole];
    let mut halves = Halves::new(whole.near..whole.far);
    let outlined = !all.straight || placed.iter().any(|piece| piece.outline.is_some());
    let mut outlines = Lines::default();
    let mut straight_outlines = Vec::new();
    let mut named = vec![false; placed.len()];
    let rows = Rows::new(placed);
    for (number, cut) in cuts {
        let (p, q) = ends(cut);
        if let Some(name) = &cut.piece {
            round(cut, name, (placed, &rows), &mut named)?;
        } else if cut.kind == CutKind::Outline {
            let mut about = rows.meeting(p.1.min(q.1), p.1.max(q.1)).map(|at| &placed[at]);
            if let Some(hurt) = about.find(|piece| runs_into((p, q), piece)) {
                return Err(format!("an outline cut runs into piece `{}`", hurt.code));
            }
            if !outlined {
                return Err(format!("cut {} is listed as an outline cut and is none", number + 1));
            }
            outlines.add(p, q);
            straight_outlines.push((number, p, q));
        } else if let Some(first) = divide(&mut sheets, &mut halves, p, q) {
            let across = p.1 == q.1;
            let at = if across { p.1 } else { p.0 };
            halves.cuts.push(Straight { number, kind: cut.kind, across, at, first });
        } else {
            return Err(format!("cut {} does not run from edge to edge", number + 1));
        }
    }
    outlines.join();
    on_edges(&straight_outlines, placed)?;
    // Sheets by their near left corner, to find a piece's own at once.
    let by_corner: BTreeMap<(i64, i64), Sheet> =
        sheets.iter().map(|s| ((s.near, s.left), *s)).collect();
    let mut held: BTreeMap<usize, Vec<&Placed<'_>>> = BTreeMap::new();
    for (at, (piece, named)) in placed.iter().zip(named).enumerate() {
        let own = by_corner.get(&(piece.near, piece.left)).filter(|s| holds(s, piece));
        let sheet = own.or_else(|| sheets.iter().find(|s| holds(s, piece)));
        let Some(sheet) = sheet else {
            return Err(format!("a straight cut runs through piece `{}`", piece.code));
        };
        halves.hold(sheet.node, piece, at < all.pieces);
        held.entry(sheet.node).or_default().push(piece);
        if !named && !freed(piece, *sheet, &outlines) {
            return Err(format!("piece `{}` is not cut free", piece.code));
        }
    }
    for sheet in &sheets {
        through(sheet, &outlines, held.get(&sheet.node).map_or(&[], Vec::as_slice))?;
    }
    let edges = [all.trim, whole.right.saturating_sub(all.trim)];
    halves.listed(edges, pull.y.nm())
}

/// Each straight outline cut lies on edges of pieces.
fn on_edges(cuts: &[(usize, Corner, Corner)], placed: &[Placed<'_>]) -> Result<(), String> {
    if cuts.is_empty() {
        return Ok(());
    }
    let mut edges = Lines::default();
    for piece in placed {
        let corners = clear::corners(piece);
        for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
            edges.add(*a.min(b), *a.max(b));
        }
    }
    edges.join();
    match cuts.iter().find(|(_, p, q)| !edges.cover(*p, *q)) {
        Some((number, ..)) => Err(format!(
            "cut {} is listed as an outline cut and lies on no piece's edge",
            number + 1
        )),
        None => Ok(()),
    }
}

/// No outline cuts run through a sheet from edge to edge and beside all pieces on it.
fn through(sheet: &Sheet, outlines: &Lines, held: &[&Placed<'_>]) -> Result<(), String> {
    let beside = |from: i64, to: i64, at: i64| to <= at || at <= from;
    let mut across = outlines.across_through(sheet.near..sheet.far, sheet.left..sheet.right);
    let mut along = outlines.along_through(sheet.left..sheet.right, sheet.near..sheet.far);
    let across = across.find(|&at| held.iter().all(|p| beside(p.near, p.far, at)));
    let along = along.find(|&at| held.iter().all(|p| beside(p.left, p.right, at)));
    match (across, along) {
        (None, None) => Ok(()),
        (Some(at), _) => Err(told_straight("along", at)),
        (_, Some(at)) => Err(told_straight("across", at)),
    }
}

fn told_straight(way: &str, at: i64) -> String {
    let at = crate::units::Length::from_nm(at);
    format!(
        "a straight cut from edge to edge, at {at} mm {way} the roll, is listed as an outline cut"
    )
}

/// Pieces by where they begin along the roll, to find those about a place among thousands.
struct Rows {
    /// Near side and number, rising.
    order: Vec<(i64, usize)>,
    /// The longest piece along the roll.
    longest: i64,
}

impl Rows {
    fn new(placed: &[Placed<'_>]) -> Self {
        let mut order: Vec<(i64, usize)> =
            placed.iter().enumerate().map(|(at, piece)| (piece.near, at)).collect();
        order.sort_unstable();
        let longest = placed.iter().map(|p| p.far.saturating_sub(p.near)).max().unwrap_or(0);
        Self { order, longest }
    }

    /// Those that begin at a place.
    fn beginning(&self, near: i64) -> impl Iterator<Item = usize> + Clone {
        let from = self.order.partition_point(|one| one.0 < near);
        self.order[from..].iter().take_while(move |one| one.0 == near).map(|one| one.1)
    }

    /// Those that may lie between two places, and some before them.
    fn meeting(&self, near: i64, far: i64) -> impl Iterator<Item = usize> {
        let from = self.order.partition_point(|one| one.0 < near.saturating_sub(self.longest));
        self.order[from..].iter().take_while(move |one| one.0 < far).map(|one| one.1)
    }
}

/// A cut round a whole piece: the piece lies there and is named once. It runs into no other, as pieces lie clear of
/// one another ([`clear`]) and of offcuts ([`super::left`]).
fn round(
    cut: &Cut,
    name: &str,
    (placed, rows): (&[Placed<'_>], &Rows),
    named: &mut [bool],
) -> Result<(), String> {
    let (near, far) = ((cut.from.x.nm(), cut.from.y.nm()), (cut.to.x.nm(), cut.to.y.nm()));
    // Copies in other turns may have the same corner in front, and no outline reaches as far as its box there.
    let mut here = rows.beginning(near.1).filter(|&at| {
        let p = &placed[at];
        p.code == name && p.left == near.0 && !named[at] && cut.kind == CutKind::Outline
    });
    let first = here.clone().next();
    let own = here.find(|&at| {
        let corners = clear::corners(&placed[at]);
        let reach = corners.iter().fold(near, |far, c| (far.0.max(c.0), far.1.max(c.1)));
        reach == far
    });
    let Some(at) = own else {
        return Err(match first {
            Some(_) => format!("the cut round piece `{name}` is listed with another size"),
            None => format!("a cut goes round a piece `{name}` that does not lie there"),
        });
    };
    named[at] = true;
    Ok(())
}

fn ends(cut: &Cut) -> (Corner, Corner) {
    let corner = |p: &crate::geometry::Point| (p.x.nm(), p.y.nm());
    let (p, q) = (corner(&cut.from), corner(&cut.to));
    (p.min(q), p.max(q))
}

fn holds(sheet: &Sheet, piece: &Placed<'_>) -> bool {
    sheet.left <= piece.left
        && piece.right <= sheet.right
        && sheet.near <= piece.near
        && piece.far <= sheet.far
}

/// Divides the sheet that the cut crosses from edge to edge; the node of the first half, or `None` where
/// there is no such sheet.
fn divide(sheets: &mut Vec<Sheet>, halves: &mut Halves, p: Corner, q: Corner) -> Option<usize> {
    let crosses = |s: &Sheet| {
        if p.1 == q.1 {
            s.left == p.0 && s.right == q.0 && s.near < p.1 && p.1 < s.far
        } else {
            p.0 == q.0 && s.near == p.1 && s.far == q.1 && s.left < p.0 && p.0 < s.right
        }
    };
    // The newest sheet is the likeliest.
    let at = sheets.iter().rposition(crosses)?;
    let old = sheets[at];
    let first = halves.divide(old.node);
    let [one, other] = [first, first + 1].map(|node| Sheet { node, ..old });
    let (one, other) = if p.1 == q.1 {
        (Sheet { far: p.1, ..one }, Sheet { near: p.1, ..other })
    } else {
        (Sheet { right: p.0, ..one }, Sheet { left: p.0, ..other })
    };
    sheets[at] = one;
    sheets.push(other);
    Some(first)
}

fn runs_into((p, q): (Corner, Corner), piece: &Placed<'_>) -> bool {
    let apart = p.0.max(q.0) <= piece.left
        || p.0.min(q.0) >= piece.right
        || p.1.max(q.1) <= piece.near
        || p.1.min(q.1) >= piece.far;
    !apart && polygon::cuts_into((p, q), &clear::corners(piece))
}

/// Whether all edges of a piece are cut.
fn freed(piece: &Placed<'_>, sheet: Sheet, outlines: &Lines) -> bool {
    let corners = clear::corners(piece);
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).all(|(a, b)| {
        let (p, q) = (*a.min(b), *a.max(b));
        let at_edge = (p.1 == q.1 && (p.1 == sheet.near || p.1 == sheet.far))
            || (p.0 == q.0 && (p.0 == sheet.left || p.0 == sheet.right));
        at_edge || outlines.cover(p, q)
    })
}

//! Pieces in their turns, and the different forms among them.
//!
//! A **form** is an outline as it lies on the roll. Turns that give the same form (a square's
//! four, a gore's two) are one, and so are like pieces with different names; everything that is
//! worked out for a pair of forms is shared.

use super::coarse::coarse;
use super::convex::{self, Convex, Corner};
use super::number::float;
use crate::cutting::Turns;
use crate::nest::{Instance, Piece};
use crate::units::Angle;

/// An outline as it lies, its bounding box's lower left corner at the origin.
#[derive(Clone, Debug, PartialEq)]
pub struct Form {
    /// Corners, counter-clockwise, beginning with the least.
    pub corners: Vec<Corner>,
    /// Convex parts, which may fill fine hollows a little ([`coarse`]).
    pub parts: Vec<Convex>,
    /// The parts' bounding boxes: left, near, right, far.
    pub boxes: Vec<(i64, i64, i64, i64)>,
    /// Size across the roll.
    pub width: i64,
    /// Size along the roll.
    pub length: i64,
    /// Area, in square nanometres.
    pub area: f64,
}

impl Form {
    /// A form from the corners of a simple counter-clockwise polygon.
    #[must_use]
    pub fn new(mut corners: Vec<Corner>) -> Self {
        let least = |list: &[Corner], axis: fn(&Corner) -> i64| {
            list.iter().map(axis).min().unwrap_or_default()
        };
        let (left, near) = (least(&corners, |c| c.0), least(&corners, |c| c.1));
        for corner in &mut corners {
            *corner = (corner.0 - left, corner.1 - near);
        }
        let first = (0..corners.len()).min_by_key(|&i| corners[i]).unwrap_or(0);
        corners.rotate_left(first);
        let parts = convex::parts(&coarse(&corners));
        let boxes = parts.iter().map(|p| bounds(p)).collect();
        let (_, _, width, length) = bounds(&corners);
        let area = corners
            .iter()
            .zip(corners.iter().cycle().skip(1))
            .map(|(p, q)| float(p.0) * float(q.1) - float(p.1) * float(q.0))
            .sum::<f64>()
            / 2.0;
        Self { corners, parts, boxes, width, length, area }
    }
}

fn bounds(corners: &[Corner]) -> (i64, i64, i64, i64) {
    corners.iter().fold((i64::MAX, i64::MAX, i64::MIN, i64::MIN), |b, c| {
        (b.0.min(c.0), b.1.min(c.1), b.2.max(c.0), b.3.max(c.1))
    })
}

/// A way in which a piece may lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Way {
    /// Index into the forms.
    pub form: usize,
    /// The turn.
    pub turn: Angle,
}

/// All forms of an instance's pieces, and for each piece the ways in which it may lie.
#[derive(Clone, Debug)]
pub struct Forms {
    /// The different forms.
    pub forms: Vec<Form>,
    /// For each piece of the instance, its ways.
    pub ways: Vec<Vec<Way>>,
}

impl Forms {
    /// Turns every piece in every quarter turn that it may take. Other turns are left out: a
    /// turned corner is no whole number of nanometres there.
    #[must_use]
    pub fn new(instance: &Instance) -> Self {
        let mut all = Self { forms: Vec::new(), ways: Vec::new() };
        for piece in &instance.pieces {
            let mut ways: Vec<Way> = Vec::new();
            for quarters in 0..4_u8 {
                let turn = Angle::from_degrees(i64::from(quarters) * 90);
                let Some(turn) = allowed(&piece.turns, turn) else { continue };
                let corners = turned(piece, quarters);
                let form = all.index(corners);
                if ways.iter().all(|w| w.form != form) {
                    ways.push(Way { form, turn });
                }
            }
            all.ways.push(ways);
        }
        all
    }

    fn index(&mut self, corners: Vec<Corner>) -> usize {
        let form = Form::new(corners);
        self.forms.iter().position(|f| f.corners == form.corners).unwrap_or_else(|| {
            self.forms.push(form);
            self.forms.len() - 1
        })
    }
}

/// The turn as the piece's list spells it (360 degrees for 0, say).
fn allowed(turns: &Turns, turn: Angle) -> Option<Angle> {
    match turns {
        Turns::Any => Some(turn),
        Turns::Only(list) => {
            list.iter().copied().find(|t| t.quarter_turns() == turn.quarter_turns())
        }
    }
}

fn turned(piece: &Piece, quarters: u8) -> Vec<Corner> {
    if let Some(outline) = &piece.outline {
        let turned = outline.quarter_turned(quarters);
        return turned.corners().iter().map(|p| (p.x.nm(), p.y.nm())).collect();
    }
    let sides = (piece.width.nm(), piece.length.nm());
    let (w, l) = if quarters.is_multiple_of(2) { sides } else { (sides.1, sides.0) };
    vec![(0, 0), (w, 0), (w, l), (0, l)]
}

//! Curved classes in each of their turns, seen in a train's direction, and how near one comes behind
//! another.

use super::super::model::Model;
use super::hollows::Body;
use super::profile::Profile;
use crate::cutting::Turns;
use crate::geometry::{Outline, Point};
use crate::units::Angle;
use std::cell::Cell;

/// Not worked out yet.
const UNKNOWN: i64 = i64::MIN;

/// A curved class in one of its turns, seen in a train's direction.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kind {
    pub class: usize,
    pub quarters: u8,
    /// Its blank, in the train's direction and square to it, nanometres.
    pub blank: [i64; 2],
    /// The outline's box likewise.
    pub body: [i64; 2],
}

/// A kind's shape: apart from the kinds, so that these lie close together where growing looks at all of them.
#[derive(Clone, Debug)]
pub(super) struct Shape {
    profile: Profile,
    /// As it lies on the roll.
    pub lies: Body,
}

/// All kinds for one direction.
#[derive(Clone, Debug)]
pub(super) struct Direction {
    /// Whether trains lie across the roll.
    pub across: bool,
    pub kinds: Vec<Kind>,
    /// The shapes of the kinds.
    pub shapes: Vec<Shape>,
    /// The kinds from the shortest body, square to the train, to the longest.
    pub by_length: Vec<usize>,
    /// How far behind kind `i` kind `j` begins, at `i * kinds + j`.
    behind: Vec<Cell<i64>>,
    /// The longest train, in nanometres.
    pub longest: i64,
    /// How much room there is square to it.
    pub widest: i64,
}

impl Kind {
    /// Where its middle lies, square to the train.
    pub const fn middle(&self) -> i64 {
        self.body[1] / 2
    }
}

impl Direction {
    /// All kinds of a model's curved classes.
    pub fn new(model: &Model, across: bool) -> Self {
        let nm = |size: usize, unit: i64| {
            i64::try_from(size).unwrap_or(i64::MAX).saturating_mul(unit) - model.gap
        };
        let width = model.rolls.iter().map(|roll| roll.width).max().unwrap_or(0);
        let (width, pull) = (nm(width, model.unit[0]), nm(model.pull, model.unit[1]));
        let (longest, widest) = if across { (width, pull) } else { (pull, width) };
        let mut all: Vec<(Kind, Shape)> = Vec::new();
        for (number, class) in model.classes.iter().enumerate() {
            if let Some((outline, turns)) = &class.curved {
                let forms = model.forms.iter().filter(|form| form.class == number);
                let blank = |quarters: u8| {
                    let turned = quarters % 2 == 1;
                    // As it is, and not in units: a train is rounded up once, with all that is in it.
                    let [width, length] = class.largest.map(|size| size - model.gap);
                    let size = if across == turned { [length, width] } else { [width, length] };
                    forms.clone().any(|form| form.turned == turned).then_some(size)
                };
                all.extend(turned(number, (outline, turns), across, &blank));
            }
        }
        all.retain(|(kind, _)| kind.blank[0] <= longest && kind.blank[1] <= widest);
        let (kinds, shapes): (Vec<Kind>, Vec<Shape>) = all.into_iter().unzip();
        let mut by_length: Vec<usize> = (0..kinds.len()).collect();
        by_length.sort_by_key(|&k| kinds[k].body[1]);
        let behind = vec![Cell::new(UNKNOWN); kinds.len() * kinds.len()];
        Self { across, kinds, shapes, by_length, behind, longest, widest }
    }

    /// How far behind the beginning of kind `i` kind `j` begins.
    pub fn behind(&self, i: usize, j: usize, gap: i64) -> i64 {
        let cell = &self.behind[i * self.kinds.len() + j];
        if cell.get() == UNKNOWN {
            let (a, b) = (&self.kinds[i], &self.kinds[j]);
            let (of_a, of_b) = (&self.shapes[i].profile, &self.shapes[j].profile);
            let apart = of_a.apart(of_b, a.middle() - b.middle(), gap);
            // Where pieces do not lie in one another a straight cut parts their blanks.
            let apart = apart.filter(|&apart| apart < a.body[0] + gap);
            cell.set(apart.unwrap_or(a.blank[0] + gap));
        }
        cell.get()
    }
}

/// The kinds of a class, one for each of its turns that looks different.
fn turned(
    class: usize,
    (outline, turns): (&Outline, &Turns),
    across: bool,
    blank: &dyn Fn(u8) -> Option<[i64; 2]>,
) -> Vec<(Kind, Shape)> {
    let mut seen: Vec<Outline> = Vec::new();
    let mut kinds = Vec::new();
    for quarters in 0..4 {
        if !turns.allow(Angle::from_degrees(90 * i64::from(quarters))) {
            continue;
        }
        let lies = outline.quarter_turned(quarters);
        let Some(blank) = blank(quarters) else { continue };
        if seen.iter().any(|other| same(other, &lies)) {
            continue;
        }
        let corner = |p: &Point| {
            if across { (p.x.nm(), p.y.nm()) } else { (p.y.nm(), p.x.nm()) }
        };
        let corners: Vec<(i64, i64)> = lies.corners().iter().map(corner).collect();
        let (width, length) = lies.size();
        let body = if across { [width.nm(), length.nm()] } else { [length.nm(), width.nm()] };
        let shape = Shape { profile: Profile::of(&corners), lies: Body::of(&lies) };
        kinds.push((Kind { class, quarters, blank, body }, shape));
        seen.push(lies);
    }
    kinds
}

/// Whether two outlines have the same corners, whichever comes first.
fn same(a: &Outline, b: &Outline) -> bool {
    let (a, b) = (a.corners(), b.corners());
    let first = a.first().and_then(|first| b.iter().position(|corner| corner == first));
    first.is_some_and(|at| a.len() == b.len() && a.iter().eq(b[at..].iter().chain(&b[..at])))
}

//! The instance in small whole numbers, ready for dynamic programmes.
//!
//! 1. A piece takes `width + gap` of a roll's usable `width + gap` across, and `length + gap` of
//!    its usable `length + gap` along; edge trim and square cut are taken off first. So the gap
//!    needs no further thought: every strip, stack and pull is a plain sum.
//! 2. Both directions are divided by the greatest common divisor of the sizes in play. Rolls are
//!    rounded down after the division, which loses nothing: sums of pieces are whole.
//! 3. Pieces of equal size and turns form one class with one demand; outlined ones only where their
//!    outlines are the same too, as they may share a blank ([`super::trains`]). Where there are such
//!    pieces no direction has units above a millimetre, so that their common blanks can be short.
//!
//! Where even then a direction has more than [`FINEST`] units (millimetres and odd fractions of an
//! inch in one job), sizes are put on a coarser raster: rounded up to find layouts, rounded down to
//! find bounds, so that both stay true.

use crate::cutting::{Objective, Turns, fine};
use crate::geometry::Outline;
use crate::nest::bound::{Scales, Weight};
use crate::nest::{Instance, NestError};
use crate::units::gcd;
use std::collections::BTreeMap;

/// The most units a direction may have: what a sweep's memory and time allow.
const FINEST: [i64; 2] = [40_000, 400_000];

/// With more units than this, curved pieces are rounded up to the step of the others.
const FINE: i64 = 8_000;
/// Where there are no others, to this: half a millimetre.
const STEP: i64 = 500_000;

/// A piece's size across and along, gap included, upright and sideways, where it may lie so.
type Sides = [Option<[i64; 2]>; 2];

/// Which way sizes are rounded when they do not divide.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Rounding {
    /// Pieces up: what fits here fits in truth.
    Up,
    /// Pieces down: what fits in truth fits here.
    Down,
}

/// A roll's usable size in units, and what it costs in the objective's unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct RollSize {
    /// Usable width and gap.
    pub width: usize,
    /// Usable length and gap; the greatest length any pull can have, for a roll without end.
    pub length: usize,
    /// What one costs, in the objective's unit; its own length for a roll without end.
    pub cost: i64,
    /// How many there are.
    pub available: Option<u64>,
}

/// One way in which a class may lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Form {
    /// Along, gap included.
    pub length: usize,
    /// Across, gap included.
    pub width: usize,
    /// The class.
    pub class: usize,
    /// Whether the sides are exchanged.
    pub turned: bool,
}

/// Pieces of equal size and turns.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Class {
    /// The instance's pieces in it.
    pub pieces: Vec<usize>,
    /// How many are wanted in all.
    pub demand: u64,
    /// True size across and along, unturned, in nanometres, gap included.
    pub size: [i64; 2],
    /// The same of the largest of its pieces.
    pub largest: [i64; 2],
    /// Of curved pieces, what they look like and how they may be turned.
    pub curved: Option<(Outline, Turns)>,
    /// Whether it is smaller than a unit, as a piece of a millimetre is on a roll of a kilometre.
    pub tiny: bool,
}

/// The scaled instance.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Model {
    /// Nanometres in a unit, across and along.
    pub unit: [i64; 2],
    /// Nanometres of gap, part of every length here.
    pub gap: i64,
    /// The rolls.
    pub rolls: Vec<RollSize>,
    /// The classes.
    pub classes: Vec<Class>,
    /// Every form that fits some roll, by length, then width, class and turn.
    pub forms: Vec<Form>,
    /// The longest pull, gap included.
    pub pull: usize,
    /// Whether the roll has no end.
    pub endless: bool,
    /// Whether some piece is smaller than a unit and sizes are rounded down: such a piece counts as one unit, which is
    /// more than it is.
    pub tiny: bool,
}

/// The sizes in which a piece fits some roll, each with whether its sides are exchanged.
type Key = Vec<([i64; 2], bool)>;

/// Where a size may lie.
struct Homes<'a> {
    /// Usable sizes of the rolls, gap included.
    usable: &'a [[i64; 2]],
    /// The longest pull, gap included.
    pull: Option<i64>,
}

impl Homes<'_> {
    /// Usable sizes of the rolls that hold a size.
    fn of(&self, size: [i64; 2]) -> impl Iterator<Item = [i64; 2]> {
        let fits = move |roll: &[i64; 2]| size[0] <= roll[0] && size[1] <= roll[1];
        let short = self.pull.is_none_or(|pull| size[1] <= pull);
        self.usable.iter().copied().filter(move |roll| short && fits(roll))
    }

    /// The largest roll that holds a size, in one direction. What is cut down to it lies alone there: on a
    /// larger one than that it was cut down to, others would be laid over its edge.
    fn most(&self, size: [i64; 2], d: usize) -> i64 {
        self.of(size).map(|home| home[d]).max().unwrap_or(0)
    }
}

/// From nanometres to units.
#[derive(Clone, Copy)]
struct Scale {
    unit: [i64; 2],
    rounding: Rounding,
}

impl Scale {
    /// A piece's size in direction `d`, cut down to what the largest roll holds.
    fn piece(self, size: i64, d: usize, home: i64) -> usize {
        let unit = self.unit[d];
        let whole = size.div_euclid(unit);
        let size = match self.rounding {
            Rounding::Up => whole + i64::from(size.rem_euclid(unit) != 0),
            Rounding::Down => whole,
        };
        usize::try_from(size.min(home.div_euclid(unit))).unwrap_or(0)
    }

    /// A roll's size in direction `d`, rounded down; `up` where more is to be counted than there is, as curved
    /// pieces lie at any place and not at whole units.
    fn roll(self, size: i64, d: usize, up: bool) -> usize {
        let unit = self.unit[d];
        let more = i64::from(up && size.rem_euclid(unit) != 0);
        usize::try_from(size.div_euclid(unit) + more).unwrap_or(0)
    }
}

/// For each piece its size upright and sideways, gap included, where it may lie so and they differ.
fn sides(instance: &Instance) -> Vec<Sides> {
    let gap = instance.cutting.gap.nm();
    let of = |piece: &crate::nest::Piece| {
        let (w, l) = (piece.width.nm() + gap, piece.length.nm() + gap);
        let upright = piece.turns.upright() || (w == l && piece.turns.sideways());
        let sideways = piece.turns.sideways() && w != l;
        [upright.then_some([w, l]), sideways.then_some([l, w])]
    };
    instance.pieces.iter().map(of).collect()
}

/// Of each roll what pieces may take, with one gap more; one without end is as long as a pull, or as four of
/// the longest piece.
fn usable(instance: &Instance, longest: i64) -> Vec<[i64; 2]> {
    let cut = &instance.cutting;
    let gap = cut.gap.nm();
    let endless = cut.pull_limit.map_or(i64::MAX, |limit| limit.nm() + gap).min(4 * longest);
    let of = |roll: &crate::nest::Roll| {
        let width = roll.width.nm() - 2 * cut.edge_trim.nm() + gap;
        let length = roll.length.map_or(endless, |l| l.nm() - cut.square_cut.nm() + gap);
        [width.max(0), length.max(0)]
    };
    instance.rolls.iter().map(of).collect()
}

/// The rolls in units, with what each costs.
fn rolls(instance: &Instance, usable: &[[i64; 2]], scale: Scale) -> Vec<RollSize> {
    let up = scale.rounding == Rounding::Down && instance.is_outlined();
    let of = |(roll, size): (&crate::nest::Roll, &[i64; 2])| RollSize {
        width: scale.roll(size[0], 0, up),
        length: scale.roll(size[1], 1, up),
        cost: match instance.objective {
            Objective::Price => roll.price.micros(),
            Objective::Rolls => 1,
            Objective::Length => size[1] - size[1].rem_euclid(scale.unit[1]),
        },
        available: roll.available,
    };
    instance.rolls.iter().zip(usable).map(of).collect()
}

/// Pieces of equal sizes and turns, and curved ones of equal looks, together; each class with its key.
///
/// # Errors
/// When a piece fits no roll.
fn classes(
    instance: &Instance,
    sides: &[Sides],
    homes: &Homes<'_>,
) -> Result<(Vec<Key>, Vec<Class>), NestError> {
    let gap = instance.cutting.gap.nm();
    let mut classes: BTreeMap<_, Class> = BTreeMap::new();
    for (p, (piece, side)) in instance.pieces.iter().zip(sides).enumerate() {
        let mut key = Key::new();
        for (turned, size) in [(false, side[0]), (true, side[1])] {
            key.extend(size.filter(|&size| homes.of(size).next().is_some()).map(|s| (s, turned)));
        }
        if key.is_empty() {
            return Err(NestError::PieceFitsNoRoll { piece: piece.id.clone() });
        }
        let size = [piece.width.nm() + gap, piece.length.nm() + gap];
        let curved = piece.outline.as_ref().map(|outline| (outline, &piece.turns));
        let new = || Class {
            pieces: Vec::new(),
            demand: 0,
            size,
            largest: size,
            curved: curved.map(|(outline, turns)| (outline.clone(), turns.clone())),
            tiny: false,
        };
        let class = classes.entry((key, curved)).or_insert_with(new);
        class.pieces.push(p);
        class.largest = [0, 1].map(|d| class.largest[d].max(size[d]));
        class.demand += piece.quantity;
    }
    Ok(classes.into_iter().map(|((key, _), class)| (key, class)).unzip())
}

impl Model {
    /// Scales an instance.
    ///
    /// # Errors
    /// When there are no rolls, or a piece fits none of them.
    pub fn new(instance: &Instance, rounding: Rounding) -> Result<Self, NestError> {
        if instance.rolls.is_empty() {
            return Err(NestError::NoRolls);
        }
        let gap = instance.cutting.gap.nm();
        let sides = sides(instance);
        let longest = sides.iter().flatten().flatten().map(|side| side[1]).max().unwrap_or(0);
        let usable = usable(instance, longest);
        let pull = instance.cutting.pull_limit.map(|limit| limit.nm() + gap);
        let unit = units(instance, &sides, (&usable, pull));
        let scale = Scale { unit, rounding };
        let homes = Homes { usable: &usable, pull };
        let rolls = rolls(instance, &usable, scale);
        let (keys, mut classes) = classes(instance, &sides, &homes)?;
        let mut forms = Vec::new();
        for (class, key) in keys.into_iter().enumerate() {
            for (size, turned) in key {
                let most = |d: usize| homes.most(size, d);
                let along = pull.map_or(most(1), |p| p.min(most(1)));
                classes[class].tiny |= size[0] < unit[0] || size[1] < unit[1];
                let width = scale.piece(size[0], 0, most(0)).max(1);
                let length = scale.piece(size[1], 1, along).max(1);
                forms.push(Form { length, width, class, turned });
            }
        }
        forms.sort_unstable();
        let longest_roll = rolls.iter().map(|roll| roll.length).max().unwrap_or(0);
        let pull = pull.and_then(|p| usize::try_from(p / unit[1]).ok()).unwrap_or(usize::MAX);
        let endless = instance.rolls[0].length.is_none();
        let tiny = rounding == Rounding::Down && classes.iter().any(|class| class.tiny);
        Ok(Self { unit, gap, rolls, classes, forms, pull: pull.min(longest_roll), endless, tiny })
    }

    /// Whether a piece counts for less along the roll than it is, as it nearly fills a roll or a pull.
    pub fn clips_along(&self) -> bool {
        let clipped = |form: &Form| {
            let [across, along] = self.classes[form.class].size;
            let own = if form.turned { across } else { along };
            i64::try_from(form.length).is_ok_and(|n| n.saturating_mul(self.unit[1]) < own)
        };
        self.forms.iter().any(clipped)
    }

    /// Prices of classes as prices of the instance's pieces, in order; nothing for those that are smaller than a unit, as
    /// more of them lie on a roll than units tell.
    pub fn by_piece(&self, prices: &[Option<i64>]) -> Vec<i64> {
        let many = self.classes.iter().map(|class| class.pieces.len()).sum();
        let mut all = vec![0; many];
        for (class, price) in self.classes.iter().zip(prices) {
            let price = price.filter(|_| !class.tiny).unwrap_or(0);
            for &piece in &class.pieces {
                all[piece] = price;
            }
        }
        all
    }

    /// Weights of true sizes across and along, as told by their forms.
    pub fn scales(&self, weigh: impl Fn(&Form) -> [i64; 2]) -> Scales {
        Scales::new(self.forms.iter().map(|form| {
            let [w, l] = self.classes[form.class].size;
            let [across, along] = if form.turned { [l, w] } else { [w, l] };
            let [f, g] = weigh(form);
            [Weight { size: across, weight: f }, Weight { size: along, weight: g }]
        }))
    }

    /// The area of one of each class in square units: of rectangles with their gaps, of curved pieces
    /// that of their outlines.
    pub fn areas(&self) -> Vec<u128> {
        let mut areas = vec![0; self.classes.len()];
        for form in &self.forms {
            areas[form.class] = (form.width * form.length) as u128;
        }
        let square =
            u128::from(self.unit[0].unsigned_abs()) * u128::from(self.unit[1].unsigned_abs());
        for (area, class) in areas.iter_mut().zip(&self.classes) {
            if let Some((outline, _)) = &class.curved {
                *area = outline.area().nm2().unsigned_abs() / square.max(1);
            }
        }
        areas
    }

    /// Whether some pieces are curved: they may share a blank, so that no bound may rest on their
    /// bounding boxes.
    pub fn curved(&self) -> bool {
        self.classes.iter().any(|class| class.curved.is_some())
    }

    /// The demands, class by class.
    pub fn demands(&self) -> Vec<u64> {
        self.classes.iter().map(|class| class.demand).collect()
    }
}

/// Nanometres in a unit, across and along.
fn units(
    instance: &Instance,
    sides: &[Sides],
    (usable, pull): (&[[i64; 2]], Option<i64>),
) -> [i64; 2] {
    [0, 1].map(|d| {
        let of = |sides: &Sides| sides.iter().flatten().map(|s| s[d]).fold(0, gcd);
        let curved = |p: &usize| instance.pieces[*p].outline.is_some();
        let all = sides.iter().map(of).fold(0, gcd).max(1);
        let most = usable.iter().map(|size| size[d]).max().unwrap_or(1);
        let coarse = most / FINEST[d] + 1;
        // Several in one blank are no sum of boxes, and may just fill a roll or a pull.
        let pull = pull.filter(|_| d == 1);
        let rooms = usable.iter().map(|size| size[d]).chain(pull).fold(0, gcd);
        let unit = if !(0..sides.len()).any(|p| curved(&p)) {
            all
        } else if most / fine(gcd(all, rooms)) <= FINE {
            fine(gcd(all, rooms))
        } else if most / fine(all) <= FINE {
            fine(all)
        } else {
            // Boxes of bare outlines have odd sizes: they are rounded up to what rectangles have.
            let straight = (0..sides.len()).filter(|p| !curved(p)).map(|p| of(&sides[p]));
            let step = straight.fold(0, gcd);
            let step = if step > 0 { fine(step) } else { STEP };
            let whole = fine(gcd(step, rooms));
            if most / whole <= FINE { whole } else { step }
        };
        if most / unit <= FINEST[d] { unit } else { coarse }
    })
}

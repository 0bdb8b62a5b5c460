//! `plan.json`: one file from which every report is made. The same type holds the plan of a job
//! (several thicknesses) and of a bare instance (one nest).

use super::certificate::Certificate;
use super::choice::{Choice, Earlier};
use super::wanted::Keep;
use crate::cutting::{Objective, Style, Turns};
use crate::demand::RunJoints;
use crate::geometry::{Outline, Point, Rect};
use crate::nest::{Basis, Status};
use crate::units::{Angle, Area, Decimal, Length, Money};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// A whole plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Plan {
    /// The job folder's or the instance's name.
    pub name: String,
    /// What made it.
    pub program: Program,
    /// The inputs it was made from; empty for a bare instance.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub inputs: Vec<Input>,
    /// Every rule that it was made under, by name, as it would be written; empty for a bare instance.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub rules: BTreeMap<String, String>,
    /// The weakest status of the nests.
    pub status: Status,
    /// The sum of the nests' values (they share one objective).
    pub value: Decimal,
    /// The sum of the nests' bounds.
    pub bound: Decimal,
    /// One for each thickness; exactly one for a bare instance.
    pub nests: Vec<Nest>,
    /// Rolls and what is cut from them, nest by nest.
    pub rolls: Vec<Roll>,
    /// The pieces as nested: like pieces are one entry.
    pub pieces: Vec<Piece>,
    /// What is bought for it, by nest, then product: what it cuts, spares, and what a minimum order or
    /// a price break adds; empty for a bare instance, and where nothing is bought.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub order: Vec<Ordered>,
    /// The joints of every run and layer; empty for a bare instance.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub joints: Vec<RunJoints>,
    /// The order of cutting; absent for a bare instance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sequence: Option<Sequence>,
    /// The last release that it is for; absent where it is for the whole takeoff.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub up_to: Option<u32>,
    /// What was cut and is on hand by an earlier plan that this one goes on from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub already: Option<Already>,
    /// For a bare instance with choices, the ways taken.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub taken: Vec<Taken>,
    /// How joints were chosen together with the cutting, where the nest was let to choose.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub choice: Option<Choice>,
}

impl Plan {
    /// How many of the rolls that a nest is cut from are bought.
    #[must_use]
    pub fn bought_for(&self, nest: usize) -> u64 {
        let bought = self.rolls.iter().filter(|roll| roll.nest == nest && !roll.shelf);
        bought.map(|roll| roll.copies).sum()
    }

    /// A plan of nothing yet.
    #[must_use]
    pub fn empty(name: &str, program: Program, inputs: Vec<Input>, joints: Vec<RunJoints>) -> Self {
        Self {
            name: name.to_owned(),
            program,
            inputs,
            rules: BTreeMap::new(),
            status: Status::Proven,
            value: Decimal::ZERO,
            bound: Decimal::ZERO,
            nests: Vec::new(),
            rolls: Vec::new(),
            pieces: Vec::new(),
            order: Vec::new(),
            joints,
            sequence: None,
            up_to: None,
            already: None,
            taken: Vec::new(),
            choice: None,
        }
    }
}

/// So many rolls of one product that are bought.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Ordered {
    /// The product's name.
    pub roll: String,
    /// How many the plan cuts.
    pub cut: u64,
    /// How many more are spares.
    pub spare: u64,
    /// How many more a minimum order or a price break adds.
    pub more: u64,
}

impl Ordered {
    /// How many in all.
    #[must_use]
    pub const fn count(&self) -> u64 {
        self.cut.saturating_add(self.spare).saturating_add(self.more)
    }
}

/// How often a way of a bare instance's choice is taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Taken {
    /// The choice.
    pub choice: String,
    /// The way.
    pub way: String,
    /// For how many of the choice's things, at least one.
    pub quantity: u64,
}

/// What made a plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Program {
    /// Its version.
    pub version: String,
    /// The seed.
    pub seed: u64,
    /// Limits on the work. The number of threads is left out: it changes nothing.
    pub limits: Limits,
}

/// Limits on the work.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Limits {
    /// Work units for each nest.
    pub work: u64,
    /// Seconds for each nest, where a clock was set.
    pub seconds: Option<Decimal>,
}

/// An input file and what it held.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Input {
    /// Its name inside the job folder.
    pub file: String,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
}

/// SHA-256 in hexadecimal.
#[must_use]
pub fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .flat_map(|byte| [byte >> 4, byte & 15])
        .filter_map(|half| char::from_digit(half.into(), 16))
        .collect()
}

/// One nest: all that is cut from one thickness.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Nest {
    /// Blanket thickness; absent for a bare instance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thickness: Option<Length>,
    /// What was to be least.
    pub objective: Objective,
    /// The cutting style for which the bound holds.
    pub style: Style,
    /// Its stages, for straight cuts; absent is any number.
    pub stages: Option<u8>,
    /// Whether the bound reaches the value, and if not, why.
    pub status: Status,
    /// What the rolls come to.
    pub value: Decimal,
    /// A lower bound.
    pub bound: Decimal,
    /// What the bound rests on.
    pub basis: Basis,
    /// What anyone needs to check the bound; absent where it rests on a search, on all that may be chosen,
    /// or on slices of curved pieces, and in plans of earlier versions.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub certificate: Option<Certificate>,
    /// The same without the shelf, for comparison; absent where the shelf gives nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub without_shelf: Option<WithoutShelf>,
    /// Where the area went.
    pub areas: Areas,
}

/// What a nest would come to if all its rolls had to be bought.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WithoutShelf {
    /// What the rolls of such a plan come to.
    pub value: Decimal,
    /// A lower bound.
    pub bound: Decimal,
}

/// Where the area of the rolls went; the parts add up to `rolls`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Areas {
    /// All rolls bought or taken.
    pub rolls: Area,
    /// Pieces that were wanted.
    pub pieces: Area,
    /// Pieces beyond what was wanted.
    pub surplus: Area,
    /// Square cuts off the front of each roll.
    pub square_cuts: Area,
    /// Trims off both edges.
    pub edge_trims: Area,
    /// Between and around pieces inside pulls.
    pub between: Area,
    /// Roll ends too small to keep.
    pub roll_ends: Area,
    /// Offcuts kept.
    pub kept: Area,
}

/// A roll's layout and how many rolls are cut like it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Roll {
    /// The roll product's or the offcut's name.
    pub roll: String,
    /// Index into `nests`.
    pub nest: usize,
    /// Nominal width.
    pub width: Length,
    /// Nominal length; absent for a roll without end.
    pub length: Option<Length>,
    /// Price of one.
    pub price: Money,
    /// Whether it is an offcut or on hand already, and not bought.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub shelf: bool,
    /// Whether its front was left square by an earlier plan's cut, so that it needs no square cut.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub squared: bool,
    /// How many rolls are cut like this.
    pub copies: u64,
    /// The lengths drawn off, from the front.
    pub pulls: Vec<Pull>,
    /// What is left and whether it is worth keeping.
    pub offcuts: Vec<Offcut>,
}

/// One length drawn off the roll and cut square.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pull {
    /// Where it starts, from the roll's front before the square cut; of a roll that is squared, from its front.
    pub y: Length,
    /// How long it is.
    pub length: Length,
    /// What is cut from it.
    pub placements: Vec<Placement>,
    /// The cuts, in cutting order: the cross-cut that frees the pull comes first (none where the
    /// pull ends with the roll); then what the gap left in front of it, edge trims, and the cuts
    /// inside. The square cut of the roll's front is not listed.
    pub cuts: Vec<Cut>,
}

/// A piece's place: the lower left corner of the turned piece's bounding box.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Placement {
    /// The piece's name in `pieces`.
    pub piece: String,
    /// Across the roll, from the roll's left edge.
    pub x: Length,
    /// Along the roll, from the roll's front.
    pub y: Length,
    /// Counter-clockwise turn, before the placing.
    pub turn: Angle,
}

impl Roll {
    /// What is cut off its front to square it, by a rule of so much.
    #[must_use]
    pub const fn square_cut(&self, rule: Length) -> Length {
        if self.squared { Length::ZERO } else { rule }
    }

    /// Where the area of one went, with pieces of so much in it; a rule each says how much squares its front, and what is
    /// trimmed off either edge.
    #[must_use]
    pub fn areas(&self, pieces: Area, square_cut: Length, edge_trim: Length) -> Areas {
        let across = |length: Length| Area::of_rectangle(self.width, length);
        let front = self.square_cut(square_cut);
        let far = self.pulls.iter().map(|pull| pull.y + pull.length).max().unwrap_or_default();
        let rolls = across(self.length.unwrap_or(far));
        let square_cuts = across(front);
        let edge_trims = Area::of_rectangle(edge_trim, far - front) * 2;
        let kept = self.kept();
        let end_is_kept = self.offcuts.iter().any(|o| o.keep && o.y == far);
        let end = self.length.filter(|_| !end_is_kept);
        let roll_ends = end.map_or(Area::ZERO, |length| across(length - far));
        let between = rolls - pieces - square_cuts - edge_trims - roll_ends - kept;
        let surplus = Area::ZERO;
        Areas { rolls, pieces, surplus, square_cuts, edge_trims, between, roll_ends, kept }
    }

    /// The area of what is kept of one.
    #[must_use]
    pub fn kept(&self) -> Area {
        let kept = self.offcuts.iter().filter(|offcut| offcut.keep);
        kept.map(|offcut| Area::of_rectangle(offcut.width, offcut.length)).sum()
    }
}

impl Piece {
    /// The area of one.
    #[must_use]
    pub fn area(&self) -> Area {
        let plain = || Area::of_rectangle(self.width, self.length);
        self.outline.as_ref().map_or_else(plain, Outline::area)
    }
}

impl Placement {
    /// The piece's blank where it lies; as it lies unturned where its turn is no whole quarters.
    #[must_use]
    pub fn blank(&self, piece: &Piece) -> Rect {
        let (width, length) = match self.turn.quarter_turns() {
            Some(1 | 3) => (piece.length, piece.width),
            _ => (piece.width, piece.length),
        };
        Rect { x: self.x, y: self.y, width, length }
    }

    /// The corners of the piece's outline where it lies.
    #[must_use]
    pub fn corners(&self, outline: &Outline) -> Vec<Point> {
        let turned = outline.quarter_turned(self.turn.quarter_turns().unwrap_or(0));
        turned.corners().iter().map(|p| Point::new(p.x + self.x, p.y + self.y)).collect()
    }
}

/// A straight cut, or the whole outline of a piece.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cut {
    /// What kind.
    pub kind: CutKind,
    /// From here; of a whole outline its box's corner nearest the roll's front and left edge.
    pub from: Point,
    /// To here; of a whole outline its box's opposite corner.
    pub to: Point,
    /// The piece that is cut out along its whole outline, but for what is cut already: where it
    /// touches another piece, the first of the two cuts both free. Absent for a straight cut.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub piece: Option<String>,
}

/// Kinds of cuts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum CutKind {
    /// Across the full usable width, freeing a length.
    Cross,
    /// Along the roll.
    Rip,
    /// Cutting a piece to its size.
    Trim,
    /// Along a piece's outline, or a straight part of it that runs from no edge to another.
    Outline,
}

/// A rectangle that is left.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Offcut {
    /// Across the roll.
    pub x: Length,
    /// Along the roll.
    pub y: Length,
    /// Size across.
    pub width: Length,
    /// Size along.
    pub length: Length,
    /// Whether it goes on the shelf.
    pub keep: bool,
}

/// Like pieces.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Piece {
    /// Its name: short enough to write on the piece.
    pub piece: String,
    /// Index into `nests`.
    pub nest: usize,
    /// Size across the roll, unturned.
    pub width: Length,
    /// Size along the roll, unturned.
    pub length: Length,
    /// Its shape, where it is no rectangle; it lies in the lower left corner of the blank that
    /// `width` and `length` give.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outline: Option<Outline>,
    /// How it may be turned.
    pub turns: Turns,
    /// How many are wanted.
    pub quantity: u64,
    /// Where they go; empty for a bare instance.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub uses: Vec<Use>,
}

/// Where some of like pieces go.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Use {
    /// The demand's piece.
    pub id: String,
    /// The item.
    pub item: String,
    /// Which layer, 1 innermost.
    pub layer: u32,
    /// Which part of the item, in words.
    pub part: String,
    /// How many.
    pub quantity: u64,
    /// When the site wants the item, smallest first.
    pub release: u32,
}

/// Where a plan goes on from.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Already {
    /// Which plan of the job this is, counted from 1; codes of its pieces end with `r` and this.
    pub revision: u32,
    /// SHA-256 of the earlier plan's file.
    pub from: String,
    /// Pieces that are cut and good.
    pub pieces: Vec<InHand>,
    /// Rolls, rests and offcuts on hand.
    pub stock: Vec<OnHand>,
    /// Offcuts of the shelf that earlier plans took, and how many of each.
    pub from_shelf: BTreeMap<String, u64>,
    /// Rolls that were bought for earlier plans, by product: so many fewer can be had.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub bought: BTreeMap<String, u64>,
    /// How many of them were ordered as spares, by thickness: spares are ordered once.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub spares: Vec<SparesOrdered>,
    /// The numbers that earlier plans gave to kits, by item.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub kits: BTreeMap<String, u64>,
    /// What earlier plans chose and this one keeps.
    #[serde(default, skip_serializing_if = "Earlier::is_empty")]
    pub chosen: Earlier,
    /// What is not as the earlier plan had it, a sentence each.
    pub told: Vec<String>,
}

/// Spares of one thickness that were ordered for earlier plans.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SparesOrdered {
    /// Blanket thickness.
    pub thickness: Length,
    /// How many rolls.
    pub count: u64,
}

/// Like pieces that are cut already.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct InHand {
    /// The code that stands on them.
    pub piece: String,
    /// Blanket thickness.
    pub thickness: Length,
    /// Size across the roll, unturned.
    pub width: Length,
    /// Size along the roll, unturned.
    pub length: Length,
    /// Their shape, where it is no rectangle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outline: Option<Outline>,
    /// The demand's piece that they serve; empty where nobody wants them.
    pub id: String,
    /// How many.
    pub quantity: u64,
}

/// What stands between a ticket's name and the number of what it keeps, on labels.
pub(super) const LEFT: &str = " left ";

/// A roll, rest or offcut on hand, already paid for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct OnHand {
    /// Its name.
    pub name: String,
    /// Blanket thickness.
    pub thickness: Length,
    /// Size across.
    pub width: Length,
    /// Size along.
    pub length: Length,
    /// How many like it.
    pub quantity: u64,
    /// Where it comes from, in words.
    pub place: String,
    /// Whether its front is where a pull was cut off, and so needs no square cut.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub squared: bool,
    /// The product of which it is a whole roll, not begun; absent for rests and offcuts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
}

impl OnHand {
    /// The place of an offcut that lies on the shelf still, where the plan before had found it.
    pub const SHELF: &'static str = "shelf";

    /// What its label calls it, where a ticket had one printed for it.
    #[must_use]
    pub fn label(&self) -> Option<&str> {
        let own = !self.lies_on_shelf() && self.of.is_none() && self.name.contains(LEFT);
        own.then(|| self.name.trim_end_matches('+'))
    }

    /// Whether it is kept when the job is done: whole rolls, and what lies on the shelf, whatever their size.
    #[must_use]
    pub fn is_kept(&self, keep: Keep) -> bool {
        self.of.is_some() || self.lies_on_shelf() || keep.worth(self.width, self.length)
    }

    /// Whether it is an offcut of the shelf; names alone do not tell, since the shelf may hold the rest of another
    /// job's ticket.
    #[must_use]
    pub fn lies_on_shelf(&self) -> bool {
        self.place == Self::SHELF
    }
}

/// The order of cutting over all rolls.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sequence {
    /// Pulls in the order in which they are cut, each of each roll once.
    pub steps: Vec<Step>,
    /// The most kits open at once; a kit is all that one item needs, open from the first pull that
    /// yields a piece for it to the last.
    pub open_kits: u32,
    /// With these pieces for these kits, no order of the pulls has fewer open at once.
    pub open_kits_bound: u32,
    /// How often knives are set to other places across the roll, the first time counted.
    pub setups: u64,
    /// How often the roll on the table is changed, the first one counted.
    pub roll_changes: u64,
    /// Pulls cut while an earlier release waits, but for those that lie in front of what it waits for on a roll
    /// whose pulls cannot change places.
    pub late: u64,
    /// Whether the clock or Ctrl-C ended the search for a better order. Not in the file where it did not.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub stopped: bool,
}

/// A pull in the order of cutting, and where its pieces go.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Step {
    /// Index into the plan's rolls.
    pub roll: usize,
    /// Which of the rolls cut alike, from 1.
    pub copy: u64,
    /// Index into the roll's pulls.
    pub pull: usize,
    /// For each placement of the pull the index into its piece's uses; `null` is a spare.
    pub uses: Vec<Option<usize>>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digests_are_those_of_fips_180() {
        // FIPS 180-2, appendix B.1: SHA-256 of "abc".
        assert_eq!(
            digest(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}

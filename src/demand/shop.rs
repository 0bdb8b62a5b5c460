//! What the shop can cut: the largest piece of each thickness.
//!
//! A piece must fit at least one roll on offer: across the width less both edge trims, and along
//! the length less the square cut, or the pull limit where that is less. Wraps use the widest
//! roll that takes their stretch-out, so that there are as few joints as possible; a ring is
//! divided only where no roll takes it whole. Rolls of which none can be had (`available` 0) count only
//! where nothing else of the thickness is on offer, and those for which no courses are laid out only where
//! there is nothing else either. Offcuts on the shelf limit nothing: they serve where
//! a piece happens to fit.

use super::kit::Kit;
use crate::cutting::Turns;
use crate::finding::codes::demand as codes;
use crate::pattern::Flat;
use crate::pattern::wrap::Layer;
use crate::rules::{JointKind, Rules};
use crate::stock::{Roll, Stock};
use crate::units::{Angle, Length};
use std::collections::{BTreeMap, BTreeSet};

/// The rules and the room on each thickness's rolls.
pub struct Shop<'a> {
    /// The rules.
    pub rules: &'a Rules,
    rooms: BTreeMap<Length, Vec<Room>>,
}

/// The shop in which each item is cut: of the job's rules, or of those by which the item is made.
pub struct Shops<'a> {
    all: Vec<Shop<'a>>,
    by_item: Vec<usize>,
}

impl<'a> Shops<'a> {
    /// Of all rules by which items are made, and for each item which of them.
    pub fn new(stock: &Stock, rules: &'a [Rules], by_item: Vec<usize>) -> Self {
        Self { all: rules.iter().map(|rules| Shop::new(stock, rules)).collect(), by_item }
    }

    /// Which of the shops is an item's.
    pub fn number(&self, item: usize) -> usize {
        self.by_item.get(item).copied().unwrap_or(0)
    }

    /// An item's shop.
    pub fn of(&self, item: usize) -> &Shop<'a> {
        &self.all[self.number(item)]
    }
}

/// The room on one roll product.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Room {
    /// Usable width.
    pub across: Length,
    /// Usable length of one pull.
    pub along: Length,
}

/// How a ring is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ring {
    /// Widest course.
    pub across: Length,
    /// Into how many pieces.
    pub parts: u32,
    /// Length of one of them.
    pub length: Length,
}

/// More pieces in a ring than anybody cuts.
const MOST_PARTS: u32 = 64;

impl<'a> Shop<'a> {
    /// Looks the rolls over.
    pub fn new(stock: &Stock, rules: &'a Rules) -> Self {
        let mut rooms: BTreeMap<Length, Vec<Room>> = BTreeMap::new();
        let of = |such: fn(&Roll) -> bool| -> BTreeSet<Length> {
            stock.rolls.iter().filter(|roll| such(roll)).map(|roll| roll.thickness).collect()
        };
        let (laid, offered) = (of(Roll::is_laid_out_for), of(|roll| roll.offered));
        let counts = |roll: &&Roll| {
            roll.is_laid_out_for()
                || !laid.contains(&roll.thickness)
                    && (roll.offered || !offered.contains(&roll.thickness))
        };
        for roll in stock.rolls.iter().filter(counts) {
            let whole = roll.length - rules.table.square_cut;
            rooms.entry(roll.thickness).or_default().push(Room {
                across: roll.width - rules.table.edge_trim * 2,
                along: rules.table.pull_limit.map_or(whole, |limit| limit.min(whole)),
            });
        }
        for room in rooms.values_mut() {
            room.sort_unstable();
            room.dedup();
        }
        Self { rules, rooms }
    }

    /// The rolls of a thickness, narrowest first.
    pub fn rooms(&self, thickness: Length) -> &[Room] {
        self.rooms.get(&thickness).map_or(&[], Vec::as_slice)
    }

    /// The thicknesses on offer, for people.
    pub fn thicknesses(&self) -> String {
        let all: Vec<String> = self.rooms.keys().map(|t| format!("{t} mm")).collect();
        if all.is_empty() { "none".to_owned() } else { all.join(", ") }
    }

    /// The widest usable width of a thickness.
    pub fn widest(&self, thickness: Length) -> Option<Length> {
        self.rooms(thickness).iter().map(|r| r.across).max()
    }

    /// Cuts a ring of this stretch-out (mm) into at least `parts` pieces, each `lap` longer.
    /// `None` where no roll takes it.
    pub fn ring(&self, thickness: Length, stretch: f64, lap: Length, parts: u32) -> Option<Ring> {
        (parts.max(1)..=MOST_PARTS).find_map(|parts| {
            let exact = Length::from_mm_f64_up(stretch / f64::from(parts))?;
            let length = (exact + lap).round_up_to(self.rules.resolution.cut);
            let rooms = self.rooms(thickness).iter().filter(|r| r.along >= length);
            rooms.map(|r| r.across).max().map(|across| Ring { across, parts, length })
        })
    }

    /// Says that nothing is on offer for layer `i`.
    pub fn no_roll(&self, kit: &mut Kit, t: Length, i: usize) {
        kit.remark(
            &codes::NO_ROLL,
            format!("layer {} is {t} mm thick; on offer: {}", i + 1, self.thicknesses()),
            "add a roll of that thickness, or build the layers from those on offer",
        );
    }

    /// The ring of layer `i` of `count`, in at least `parts` pieces; says what is missing where
    /// there is none.
    pub fn ring_of(
        &self,
        kit: &mut Kit,
        layer: &Layer,
        i: usize,
        count: usize,
        parts: u32,
    ) -> Option<Ring> {
        self.wound_ring(kit, (layer.thickness, layer.stretch_out()), i, count, parts)
    }

    /// The same for a piece of this thickness and whole length (mm), that may go round several
    /// times.
    pub fn wound_ring(
        &self,
        kit: &mut Kit,
        (t, stretch): (Length, f64),
        i: usize,
        count: usize,
        parts: u32,
    ) -> Option<Ring> {
        let ring = self.ring(t, stretch, self.lap(i, count), parts);
        if self.rooms(t).is_empty() {
            self.no_roll(kit, t, i);
        } else if ring.is_none() {
            kit.remark(
                &codes::TOO_LARGE,
                format!(
                    "layer {}: a ring of {:.0} mm fits no roll of {t} mm, in up to {MOST_PARTS} pieces",
                    i + 1,
                    stretch
                ),
                self.longer(t),
            );
        }
        ring
    }

    /// Whether joints of so many layers are staggered: there are several, and the rules ask for it.
    #[must_use]
    pub fn staggers(&self, layers: usize) -> bool {
        layers > 1 && self.rules.joints.stagger.is_positive()
    }

    /// The narrowest course: the smallest piece, and where layers are staggered no less than the
    /// stagger, since the ends of a run are joints, too.
    pub fn smallest_course(&self, layers: usize) -> Length {
        let joints = &self.rules.joints;
        if layers > 1 { joints.smallest_piece.max(joints.stagger) } else { joints.smallest_piece }
    }

    /// The widest course that can be cut `across` so much where it laps over the next by `lap`: courses are
    /// whole steps of the resolution, and so is what is cut, rounded up with its lap.
    pub fn course(&self, across: Length, lap: Length) -> Length {
        let step = self.rules.resolution.cut;
        across.round_down_to(step) - lap.round_up_to(step)
    }

    /// The longest piece that can be cut along some roll of a thickness, `across` wide.
    pub fn longest(&self, thickness: Length, across: Length) -> Length {
        let rooms = self.rooms(thickness).iter().filter(|room| room.across >= across);
        rooms.map(|room| room.along).max().unwrap_or_default()
    }

    /// What to do where pieces are too long: of pulls the limit of the table, or the rolls' length.
    pub fn longer(&self, thickness: Length) -> &'static str {
        let limited = |room: &&Room| Some(room.along) == self.rules.table.pull_limit;
        let rooms = self.rooms(thickness);
        match rooms.iter().filter(limited).count() {
            0 => "offer a longer roll",
            all if all == rooms.len() => {
                "raise the pull limit (table.pull_limit), if the table is long enough"
            }
            _ => "offer a longer roll or raise the pull limit (table.pull_limit)",
        }
    }

    /// Whether a piece fits some roll in one of its turns.
    pub fn takes(&self, thickness: Length, flat: &Flat, turns: &Turns) -> bool {
        turns.fit((flat.width, flat.length), |w, l| {
            self.rooms(thickness).iter().any(|r| w <= r.across && l <= r.along)
        })
    }

    /// How a wrap may lie: square to the roll; with a quarter turn where the rules allow.
    /// A rectangle turned by half is itself, an outline is not.
    pub fn wrap_turns(&self, flat: &Flat) -> Turns {
        let degrees: &[i64] = match (self.rules.turning.quarter_turns, flat.outline.is_some()) {
            (false, false) => &[0],
            (true, false) => &[0, 90],
            (false, true) => &[0, 180],
            (true, true) => &[0, 90, 180, 270],
        };
        Turns::Only(degrees.iter().map(|&d| Angle::from_degrees(d)).collect())
    }

    /// How a flat or dished piece may lie: at every quarter turn, since it is not wrapped.
    pub fn flat_turns() -> Turns {
        Turns::Only([0, 90, 180, 270].map(Angle::from_degrees).to_vec())
    }

    /// The lap of a layer: on the outermost only, and only where joints lap.
    pub fn lap(&self, layer: usize, layers: usize) -> Length {
        let outermost = layer + 1 == layers;
        match self.rules.joints.kind {
            JointKind::Lap if outermost => self.rules.joints.lap,
            JointKind::Lap | JointKind::Butt => Length::ZERO,
        }
    }

    /// Pins or stitches that hold a piece laid on: one for every square of the spacing that its
    /// bounding box has, begun ones counted in, and four at the least, its corners (pins at 300 mm
    /// at most on flat and equipment surfaces: UFGS 15861N).
    pub fn pins(&self, flat: &Flat) -> u32 {
        let spacing = self.rules.securement.spacing.nm().max(1);
        let squares = |size: Length| size.round_up_to(Length::from_nm(spacing)).nm() / spacing;
        let pins = squares(flat.width).saturating_mul(squares(flat.length));
        u32::try_from(pins.max(4)).unwrap_or(u32::MAX)
    }

    /// Ties that hold a piece this wide: one at each end of every spacing.
    pub fn ties(&self, width: Length) -> u32 {
        let spacing = self.rules.securement.spacing.nm().max(1);
        let gaps = width.round_up_to(Length::from_nm(spacing)).nm() / spacing;
        u32::try_from(gaps + 1).unwrap_or(u32::MAX)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of 20 m a square cut of 50 mm leaves 19,950, whatever a table takes beyond that.
    #[test]
    fn a_pull_is_no_longer_than_its_roll() {
        let text = "roll,thickness,width,length\nA,10,1500,20 m\n";
        let rolls = crate::stock::read_rolls("rolls.csv", text.as_bytes()).0.unwrap();
        let stock = Stock { rolls, offcuts: Vec::new() };
        let along = |limit: Option<i64>| {
            let mut rules = Rules::default();
            rules.table.square_cut = Length::from_mm(50);
            rules.table.pull_limit = limit.map(Length::from_mm);
            Shop::new(&stock, &rules).rooms(Length::from_mm(10))[0].along
        };
        assert_eq!(
            [None, Some(30_000), Some(3000)].map(along),
            [19_950, 19_950, 3000].map(Length::from_mm)
        );
    }
}

//! The order sheet: what is to be cut from what, and how. The engine is asked with it, the plan is
//! assembled against it, and the audit re-checks the plan from it alone.
//!
//! One sheet holds everything of one thickness. It is made from a job ([`super::job::wanted`]) or from a bare
//! instance (`Wanted::from`); [`Wanted::instance`] is what the engine sees of it.

use super::{Taken, Use};
use crate::cutting::{Cutting, Objective, Turns, fine};
use crate::geometry::Outline;
use crate::nest::{self, Choice};
use crate::rules;
use crate::units::{Area, Length, Money, gcd};
use std::collections::BTreeSet;

/// All that is to be cut from one thickness.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// The job's or the instance's name.
    pub name: String,
    /// Blanket thickness; `None` for a bare instance.
    pub thickness: Option<Length>,
    /// What it can be cut from.
    pub rolls: Vec<Roll>,
    /// What is to be cut; like pieces are one entry.
    pub pieces: Vec<Piece>,
    /// How rolls may be cut.
    pub cutting: Cutting,
    /// What is to be least.
    pub objective: Objective,
    /// What an order costs beside the prices of its rolls.
    pub charges: Charges,
    /// What is worth keeping of what is left.
    pub keep: Keep,
    /// For a bare instance, things that can be made in one of several ways; what they need comes on
    /// top of the pieces' own quantities. None where the ways are settled.
    pub choices: Vec<Choice>,
    /// Items of whose kits pieces are in hand already: these kits are open before anything is cut.
    pub begun: BTreeSet<String>,
}

/// What an order costs beside the prices of its rolls.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Charges {
    /// Nothing.
    Listed,
    /// Minimums, price breaks or pallets: an order of cheaper rolls may cost more, one with a roll less does not.
    Terms,
    /// So many spares as well, of the roll of which most is cut: a roll less may take them to a dearer one.
    Spares(u64),
}

impl Charges {
    /// How many spares are still to be ordered.
    #[must_use]
    pub const fn spares(self) -> u64 {
        match self {
            Self::Spares(count) => count,
            Self::Listed | Self::Terms => 0,
        }
    }
}

/// A roll that can be bought, or an offcut on the shelf.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Roll {
    /// Its name.
    pub id: String,
    /// Nominal size across.
    pub width: Length,
    /// Nominal size along, and what is [`saved`](Self::saved); `None` is a roll without end.
    pub length: Option<Length>,
    /// How much less than the square cut comes off its front, because that is square already. Places count
    /// from so far in front of it, so pulls begin behind the square cut as on any roll.
    pub saved: Length,
    /// Price of one; nothing for an offcut, which is already paid for.
    pub price: Money,
    /// How many there are; `None` is without limit.
    pub available: Option<u64>,
    /// An offcut on the shelf: counts nothing where rolls are counted.
    pub shelf: bool,
    /// For a job that goes on, what it is that is on hand.
    pub hand: Hand,
}

/// What on the shelf comes first where a job goes on from an earlier plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Hand {
    /// Bought, or an offcut as good as any.
    #[default]
    Any,
    /// A rest or an offcut, which comes before whole rolls.
    Begun,
    /// A whole roll, not begun.
    Whole,
}

impl Roll {
    /// How long it is where it lies; `None` is a roll without end.
    #[must_use]
    pub fn nominal(&self) -> Option<Length> {
        self.length.map(|length| length - self.saved)
    }

    /// The area of one; nothing of one without end.
    #[must_use]
    pub fn area(&self) -> Area {
        Area::of_rectangle(self.width, self.nominal().unwrap_or_default())
    }
}

/// Like pieces.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// A name short enough to write on the piece.
    pub code: String,
    /// Size across the roll, unturned.
    pub width: Length,
    /// Size along the roll, unturned.
    pub length: Length,
    /// Its shape, where it is no rectangle; `width` and `length` are then the blank it is cut
    /// from, at least its bounding box, which lies in the blank's lower left corner.
    pub outline: Option<Outline>,
    /// How it may be turned.
    pub turns: Turns,
    /// How many are wanted.
    pub quantity: u64,
    /// Where they go; empty for a bare instance.
    pub uses: Vec<Use>,
}

impl Piece {
    /// The area of one.
    #[must_use]
    pub fn area(&self) -> Area {
        self.outline
            .as_ref()
            .map_or_else(|| Area::of_rectangle(self.width, self.length), Outline::area)
    }

    /// As it stands in a plan, in the nest of this number.
    #[must_use]
    pub fn in_nest(&self, nest: usize) -> super::Piece {
        super::Piece {
            piece: self.code.clone(),
            nest,
            width: self.width,
            length: self.length,
            outline: self.outline.clone(),
            turns: self.turns.clone(),
            quantity: self.quantity,
            uses: self.uses.clone(),
        }
    }
}

/// What is worth keeping: an offcut at least this wide and this long.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Keep {
    /// Least size across.
    pub width: Length,
    /// Least size along.
    pub length: Length,
}

impl Keep {
    /// Whether a rectangle of this size is worth keeping.
    #[must_use]
    pub fn worth(self, width: Length, length: Length) -> bool {
        width.is_positive() && length.is_positive() && width >= self.width && length >= self.length
    }
}

impl Default for Keep {
    /// The defaults of the shop's rules.
    fn default() -> Self {
        Self::from(&rules::Offcuts::default())
    }
}

impl From<&rules::Offcuts> for Keep {
    fn from(rule: &rules::Offcuts) -> Self {
        Self { width: rule.keep_width, length: rule.keep_length }
    }
}

/// The name of the nest of a thickness of a job.
#[must_use]
pub fn nest_name(job: &str, thickness: Option<Length>) -> String {
    thickness.map_or_else(|| job.to_owned(), |thickness| format!("{job}, {thickness} mm"))
}

impl Wanted {
    /// Whether rolls are counted and some of them, being offcuts, count nothing. The engine is
    /// then asked for the least price, at one unit a roll: the same values, written as money.
    fn counts_by_price(&self) -> bool {
        self.objective == Objective::Rolls && self.rolls.iter().any(|r| r.shelf)
    }

    /// What is nested from it, for people: there is one nest a thickness, and one of a bare instance.
    #[must_use]
    pub fn nest(&self) -> String {
        match self.thickness {
            Some(thickness) => format!("the nest of {thickness} mm"),
            None => "the nest".to_owned(),
        }
    }

    /// The step, no more than a millimetre, in which all blanks come.
    pub(super) fn step(&self) -> Length {
        let sizes = self.pieces.iter().flat_map(|piece| [piece.width, piece.length]);
        Length::from_nm(fine(sizes.fold(0, |divisor, size| gcd(divisor, size.nm()))))
    }

    /// What the engine sees: sizes, quantities and stock; indices are the same as here.
    #[must_use]
    pub fn instance(&self) -> nest::Instance {
        let by_price = self.counts_by_price();
        let price = |roll: &Roll| match (by_price, roll.shelf) {
            (true, true) => Money::ZERO,
            (true, false) => Money::from_units(1),
            (false, _) => roll.price,
        };
        nest::Instance {
            name: nest_name(&self.name, self.thickness),
            rolls: self
                .rolls
                .iter()
                .map(|roll| nest::Roll {
                    id: roll.id.clone(),
                    width: roll.width,
                    length: roll.length,
                    price: price(roll),
                    available: roll.available,
                })
                .collect(),
            pieces: self
                .pieces
                .iter()
                .map(|piece| nest::Piece {
                    id: piece.code.clone(),
                    width: piece.width,
                    length: piece.length,
                    outline: piece.outline.clone(),
                    quantity: piece.quantity,
                    turns: piece.turns.clone(),
                })
                .collect(),
            cutting: self.cutting.clone(),
            objective: if by_price { Objective::Price } else { self.objective },
            published: None,
        }
    }
}

impl Wanted {
    /// The order sheet with the choices made: pieces that are wanted then, and no choices. Ways that
    /// are not on the sheet count nothing.
    #[must_use]
    pub fn settled(mut self, taken: &[Taken]) -> Self {
        for choice in std::mem::take(&mut self.choices) {
            for way in &choice.ways {
                let of_way = taken.iter().filter(|t| t.choice == choice.id && t.way == way.id);
                let things = of_way.fold(0, |sum: u64, t| sum.saturating_add(t.quantity));
                for &(piece, each) in &way.pieces {
                    let quantity = &mut self.pieces[piece].quantity;
                    *quantity = quantity.saturating_add(each.saturating_mul(things));
                }
            }
        }
        self.pieces.retain(|piece| piece.quantity > 0);
        self
    }
}

impl From<&nest::Instance> for Wanted {
    /// The order sheet of a bare instance.
    fn from(instance: &nest::Instance) -> Self {
        Self {
            name: instance.name.clone(),
            thickness: None,
            rolls: instance
                .rolls
                .iter()
                .map(|roll| Roll {
                    id: roll.id.clone(),
                    width: roll.width,
                    length: roll.length,
                    saved: Length::ZERO,
                    price: roll.price,
                    available: roll.available,
                    shelf: false,
                    hand: Hand::Any,
                })
                .collect(),
            pieces: instance
                .pieces
                .iter()
                .map(|piece| Piece {
                    code: piece.id.clone(),
                    width: piece.width,
                    length: piece.length,
                    outline: piece.outline.clone(),
                    turns: piece.turns.clone(),
                    quantity: piece.quantity,
                    uses: Vec::new(),
                })
                .collect(),
            cutting: instance.cutting.clone(),
            objective: instance.objective,
            charges: Charges::Listed,
            keep: Keep::default(),
            choices: Vec::new(),
            begun: BTreeSet::new(),
        }
    }
}

/// Order sheets for tests; sizes in millimetres, width first.
#[cfg(test)]
pub(crate) mod sample {
    use super::{Charges, Hand, Keep, Piece, Roll, Wanted};
    use crate::cutting::{Cutting, Objective, Style, Turns};
    use crate::units::{Length, Money};
    use std::collections::BTreeSet;

    /// A roll that costs nothing, as many as are wanted.
    pub fn roll(id: &str, (width, length): (i64, i64)) -> Roll {
        Roll {
            id: id.to_owned(),
            width: Length::from_mm(width),
            length: Some(Length::from_mm(length)),
            saved: Length::ZERO,
            price: Money::ZERO,
            available: None,
            shelf: false,
            hand: Hand::Any,
        }
    }

    /// A rectangle that lies as it is.
    pub fn piece(code: &str, (width, length): (i64, i64), quantity: u64) -> Piece {
        Piece {
            code: code.to_owned(),
            width: Length::from_mm(width),
            length: Length::from_mm(length),
            outline: None,
            turns: Turns::none(),
            quantity,
            uses: Vec::new(),
        }
    }

    /// As few rolls as will do, cut straight; what is 100 mm wide and long is kept.
    pub fn sheet(rolls: Vec<Roll>, pieces: Vec<Piece>) -> Wanted {
        Wanted {
            name: "test".to_owned(),
            thickness: None,
            rolls,
            pieces,
            cutting: Cutting::plain(Style::Straight, None),
            objective: Objective::Rolls,
            charges: Charges::Listed,
            keep: Keep { width: Length::from_mm(100), length: Length::from_mm(100) },
            choices: Vec::new(),
            begun: BTreeSet::new(),
        }
    }
}

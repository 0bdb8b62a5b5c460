//! Order sheets of a job, one a thickness.
//!
//! Steps: pieces are put together by thickness, and within it by size, outline and turns; like
//! pieces of all items become one entry that remembers where each of them goes. Entries are
//! sorted by size and named by a letter for the thickness (A the thinnest) and a number, short
//! enough to write on the piece. Rolls and offcuts of the thickness follow, offcuts at no price.

use super::Use;
use super::wanted::{Charges, Hand, Keep, Piece, Roll, Wanted};
use crate::cutting::{Cutting, Style, Turns};
use crate::demand::{self, Demand};
use crate::geometry::Outline;
use crate::rules::Rules;
use crate::stock::{self, Stock};
use crate::units::{Length, Money};
use std::collections::{BTreeMap, BTreeSet};

/// What makes pieces alike; the order in which they are numbered: rectangles first, by size.
type Likeness = (bool, Length, Length, Option<Outline>, Turns);

/// The order sheets of a job, thinnest first.
#[must_use]
pub fn wanted(name: &str, demand: &Demand, stock: &Stock, rules: &Rules) -> Vec<Wanted> {
    let blanks = Blanks { stock, rules };
    let mut by_thickness: BTreeMap<Length, BTreeMap<Likeness, Vec<Use>>> = BTreeMap::new();
    for piece in demand.pieces.iter().filter(|p| p.quantity > 0) {
        let alike = by_thickness.entry(piece.thickness).or_default();
        alike.entry(likeness(piece, &blanks)).or_default().push(Use {
            id: piece.id.clone(),
            item: piece.item.clone(),
            layer: piece.layer,
            part: piece.part.clone(),
            quantity: piece.quantity,
            release: demand.releases.get(&piece.item).copied().unwrap_or(1),
        });
    }
    by_thickness
        .into_iter()
        .enumerate()
        .map(|(index, (thickness, alike))| Wanted {
            name: name.to_owned(),
            thickness: Some(thickness),
            rolls: rolls(stock, thickness),
            pieces: pieces(&letters(index), alike),
            cutting: cutting(rules),
            objective: rules.order.objective,
            charges: charges(stock, thickness, rules.order.spare_rolls),
            keep: Keep::from(&rules.offcuts),
            choices: Vec::new(),
            begun: BTreeSet::new(),
        })
        .collect()
}

/// The order sheets of a job that goes on from an earlier plan, its demand and stock being those
/// after [`super::go_on`]: codes bear the plan's number, as pieces cut before bear theirs; rests and
/// offcuts come before whole rolls, and what begins behind a cut needs no square cut, only the gap.
#[must_use]
pub fn wanted_after(
    name: &str,
    demand: &Demand,
    stock: &Stock,
    rules: &Rules,
    already: Option<&super::Already>,
) -> Vec<Wanted> {
    let mut sheets = wanted(name, demand, stock, rules);
    if let Some(already) = already {
        for piece in sheets.iter_mut().flat_map(|sheet| &mut sheet.pieces) {
            piece.code = format!("{}r{}", piece.code, already.revision);
        }
        for sheet in &mut sheets {
            let Some(thickness) = sheet.thickness else { continue };
            let left = rules.order.spare_rolls.saturating_sub(already.spares_of(thickness));
            sheet.charges = charges(stock, thickness, left);
        }
        let begun = already.begun(demand);
        for sheet in &mut sheets {
            sheet.begun = begun.iter().map(|item| (*item).to_owned()).collect();
            let saved = (sheet.cutting.square_cut - sheet.cutting.gap).max(Length::ZERO);
            for roll in sheet.rolls.iter_mut().filter(|roll| roll.shelf) {
                let stock = already.stock.iter().find(|stock| stock.name == roll.id);
                let whole = stock.is_some_and(|stock| stock.of.is_some());
                roll.hand = if whole { Hand::Whole } else { Hand::Begun };
                if stock.is_some_and(|stock| stock.squared) {
                    roll.saved = saved;
                    roll.length = roll.length.map(|length| length + saved);
                }
            }
        }
    }
    sheets
}

fn likeness(piece: &demand::Piece, blanks: &Blanks<'_>) -> Likeness {
    let outline = piece.outline.clone();
    let (width, length) = match outline {
        Some(_) => blanks.around(piece),
        None => (piece.width, piece.length),
    };
    (outline.is_some(), width, length, outline, piece.turns.clone())
}

/// The rectangles from which outlined pieces are cut.
///
/// An outline's bounding box has odd nanometres, and every cut and running dimension after it
/// would have them too. So its blank is rounded up to what the shop cuts to, unless only the bare
/// box still fits a roll or the table. Free layouts lay the outlines themselves: their box is bare.
struct Blanks<'a> {
    stock: &'a Stock,
    rules: &'a Rules,
}

impl Blanks<'_> {
    /// Size across and along of the blank of an outlined piece.
    fn around(&self, piece: &demand::Piece) -> (Length, Length) {
        let step = self.rules.resolution.cut;
        if self.rules.table.style == Style::Free {
            return (piece.width, piece.length);
        }
        let up = (piece.width.round_up_to(step), piece.length.round_up_to(step));
        let turned = piece.turns.sideways() && self.fits(piece.thickness, (up.1, up.0));
        let upright = piece.turns.upright() && self.fits(piece.thickness, up);
        if upright || turned { up } else { (piece.width, piece.length) }
    }

    fn fits(&self, thickness: Length, (across, along): (Length, Length)) -> bool {
        let mut rolls = self.stock.of(thickness);
        rolls.any(|roll| roll.takes((across, along), &self.rules.table))
    }
}

fn pieces(letters: &str, alike: BTreeMap<Likeness, Vec<Use>>) -> Vec<Piece> {
    alike
        .into_iter()
        .enumerate()
        .map(|(index, ((_, width, length, outline, turns), uses))| Piece {
            code: format!("{letters}{}", index + 1),
            width,
            length,
            outline,
            turns,
            quantity: uses.iter().fold(0, |sum: u64, u| sum.saturating_add(u.quantity)),
            uses,
        })
        .collect()
}

fn rolls(stock: &Stock, thickness: Length) -> Vec<Roll> {
    let offcuts = stock.offcuts.iter().filter(|o| o.thickness == thickness).map(|o| Roll {
        id: o.id.clone(),
        width: o.width,
        length: Some(o.length),
        saved: Length::ZERO,
        price: Money::ZERO,
        available: Some(o.quantity),
        shelf: true,
        hand: Hand::Any,
    });
    let bought = stock.of(thickness).map(|r| Roll {
        id: r.id.clone(),
        width: r.width,
        length: Some(r.length),
        saved: Length::ZERO,
        price: r.price.unwrap_or(Money::ZERO),
        available: r.available,
        shelf: false,
        hand: Hand::Any,
    });
    bought.chain(offcuts).collect()
}

/// What an order of this thickness costs beside prices, where so many spares are still to be ordered.
fn charges(stock: &Stock, thickness: Length, spares: u64) -> Charges {
    let plain = |roll: &stock::Roll| {
        let terms = &roll.terms;
        terms.breaks.is_empty() && terms.minimum <= 1 && terms.per_pallet.is_none()
    };
    let mut rolls = stock.of(thickness);
    if spares > 0 {
        Charges::Spares(spares)
    } else if rolls.all(plain) {
        Charges::Listed
    } else {
        Charges::Terms
    }
}

fn cutting(rules: &Rules) -> Cutting {
    let table = &rules.table;
    Cutting {
        style: table.style,
        stages: table.stages,
        pull_limit: table.pull_limit,
        square_cut: table.square_cut,
        edge_trim: table.edge_trim,
        gap: table.gap,
    }
}

/// A, B, … Z, AA, AB, … without I, O and Q, which are read as digits on a blanket.
fn letters(index: usize) -> String {
    const ALPHABET: &[u8] = b"ABCDEFGHJKLMNPRSTUVWXYZ";
    let mut rest = index + 1;
    let mut text = Vec::new();
    while rest > 0 {
        rest -= 1;
        text.push(char::from(ALPHABET[rest % ALPHABET.len()]));
        rest /= ALPHABET.len();
    }
    text.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(value: i64) -> Length {
        Length::from_mm(value)
    }

    fn piece(item: &str, thickness: i64, width: i64, length: i64) -> demand::Piece {
        demand::Piece {
            id: format!("{item}/1/x"),
            item: item.to_owned(),
            layer: 1,
            part: "wrap".to_owned(),
            thickness: mm(thickness),
            width: mm(width),
            length: mm(length),
            area: crate::units::Area::of_rectangle(mm(width), mm(length)),
            outline: None,
            marks: Vec::new(),
            turns: Turns::none(),
            quantity: 3,
        }
    }

    #[test]
    fn like_pieces_of_two_items_are_one_entry() {
        let demand = Demand {
            pieces: vec![
                piece("b", 10, 600, 500),
                piece("a", 10, 600, 500),
                piece("a", 5, 700, 1),
                piece("a", 10, 300, 900),
            ],
            ..Demand::default()
        };
        let sheets = wanted("job", &demand, &Stock::default(), &Rules::default());
        // By construction: 5 mm is thinner, so A; under B the narrower size comes first.
        let seen: Vec<(String, u64, usize)> = sheets
            .iter()
            .flat_map(|s| &s.pieces)
            .map(|p| (p.code.clone(), p.quantity, p.uses.len()))
            .collect();
        let expected = [("A1", 3, 1), ("B1", 3, 1), ("B2", 6, 2)];
        assert_eq!(seen, expected.map(|(c, q, u)| (c.to_owned(), q, u)));
    }

    /// Spares are ordered once: of 5 mm one is left to be ordered, of 10 mm none, so nothing hangs on them there.
    #[test]
    fn spares_that_were_ordered_before_are_asked_for_no_more() {
        let demand = Demand {
            pieces: vec![piece("a", 5, 700, 900), piece("a", 10, 600, 500)],
            ..Demand::default()
        };
        let mut rules = Rules::default();
        rules.order.spare_rolls = 3;
        let ordered = |thickness: i64, count: u64| crate::plan::SparesOrdered {
            thickness: mm(thickness),
            count,
        };
        let spares = vec![ordered(5, 2), ordered(10, 3)];
        let already = crate::plan::Already { spares, ..crate::plan::Already::default() };
        let charges = |already: Option<&crate::plan::Already>| -> Vec<Charges> {
            let sheets = wanted_after("job", &demand, &Stock::default(), &rules, already);
            sheets.iter().map(|sheet| sheet.charges).collect()
        };
        assert_eq!(charges(None), [Charges::Spares(3); 2]);
        assert_eq!(charges(Some(&already)), [Charges::Spares(1), Charges::Listed]);
    }

    #[test]
    fn letters_count_on_after_the_last() {
        // 23 letters: the 24th thickness is AA.
        assert_eq!(
            (letters(0), letters(8), letters(22), letters(23)),
            ("A".to_owned(), "J".to_owned(), "Z".to_owned(), "AA".to_owned())
        );
    }
}

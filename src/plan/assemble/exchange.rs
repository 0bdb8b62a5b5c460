//! Rolls exchanged for cheaper ones that hold the same pulls.
//!
//! The engine that counts rolls does not ask which of two products is dearer, and filling rolls kit by kit may
//! leave one empty that lies on the shelf while one is bought. Each bought roll, the dearest first, goes
//! to the cheapest that holds it: one on the shelf that nothing lies on; or, where rolls are counted and not
//! priced, one of a cheaper product that is still to be had, if its price is all that it costs: minimums, breaks,
//! pallets and spares are weighed before, by whole orders. Where a job goes on, whole rolls on hand give way to
//! rests and offcuts likewise.

use super::Layouts;
use super::cuts::Blank;
use crate::cutting::Objective;
use crate::nest::Layout;
use crate::plan::wanted::{Charges, Hand, Roll, Wanted};
use crate::units::{Length, Money};
use std::cmp::Reverse;

/// Whether any roll on offer may take the place of another.
pub(super) fn may_change(wanted: &Wanted) -> bool {
    let mut given = wanted.rolls.iter().filter(|roll| may_be_spared(roll));
    given.any(|own| wanted.rolls.iter().any(|roll| costs_less(wanted, roll, own)))
}

/// The layouts, each copy by itself, on rolls that cost no more.
pub(super) fn exchanged(wanted: &Wanted, layouts: &Layouts) -> Layouts {
    let mut list: Layouts = Vec::new();
    for layout in layouts {
        list.extend((0..layout.copies).map(|_| Layout { copies: 1, ..layout.clone() }));
    }
    let mut left: Vec<Option<u64>> = wanted.rolls.iter().map(|roll| roll.available).collect();
    for layout in &list {
        if let Some(left) = &mut left[layout.roll] {
            *left = left.saturating_sub(1);
        }
    }
    let mut order: Vec<usize> = (0..list.len()).collect();
    let price = |at: usize| wanted.rolls[list[at].roll].price;
    order.retain(|&at| may_be_spared(&wanted.rolls[list[at].roll]));
    order.sort_by_key(|&at| (Reverse(price(at)), at));
    for at in order {
        let own = list[at].roll;
        let (width, length) = reach(wanted, &list[at]);
        let cheaper = |&k: &usize| {
            let roll = &wanted.rolls[k];
            left[k] != Some(0)
                && roll.width >= width + wanted.cutting.edge_trim
                && roll.length.is_some_and(|l| l >= length)
                && costs_less(wanted, roll, &wanted.rolls[own])
        };
        let rank = |&k: &usize| {
            let roll = &wanted.rolls[k];
            (if roll.shelf { Money::ZERO } else { roll.price }, roll.area(), k)
        };
        let Some(to) = (0..wanted.rolls.len()).filter(cheaper).min_by_key(rank) else { continue };
        list[at].roll = to;
        for (k, change) in [(own, 1_i64), (to, -1)] {
            if let Some(left) = &mut left[k] {
                *left = left.saturating_add_signed(change);
            }
        }
    }
    list
}

/// Whether it is bought, or a whole one on hand that need not be begun.
fn may_be_spared(roll: &Roll) -> bool {
    !roll.shelf || roll.hand == Hand::Whole
}

/// Whether a roll in the place of one that is bought saves money, or in that of a whole one on hand saves
/// beginning it.
fn costs_less(wanted: &Wanted, roll: &Roll, bought: &Roll) -> bool {
    if bought.shelf {
        return roll.hand == Hand::Begun;
    }
    let priced = roll.price > Money::ZERO && roll.price < bought.price;
    roll.shelf
        || (wanted.objective == Objective::Rolls && wanted.charges == Charges::Listed && priced)
}

/// How far its pieces and pulls reach across and along.
fn reach(wanted: &Wanted, layout: &Layout) -> (Length, Length) {
    let places = layout.pulls.iter().flat_map(|pull| &pull.placements);
    let across = places.map(|place| Blank::placed(wanted, place).rect.right()).max();
    let along = layout.pulls.iter().map(|pull| pull.y + pull.length).max();
    (across.unwrap_or_default(), along.unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::{Cutting, Style, Turns};
    use crate::nest::{Placement, Pull};
    use crate::plan::wanted::{Keep, Piece};
    use crate::units::Angle;

    fn roll(id: &str, width: i64, price: i64, available: Option<u64>) -> Roll {
        Roll {
            saved: Length::ZERO,
            id: id.to_owned(),
            width: Length::from_mm(width),
            length: Some(Length::from_mm(5_000)),
            price: Money::from_units(price),
            available,
            shelf: price == 0,
            hand: Hand::Any,
        }
    }

    fn wanted(rolls: Vec<Roll>, objective: Objective) -> Wanted {
        let piece = Piece {
            code: "A1".to_owned(),
            width: Length::from_mm(900),
            length: Length::from_mm(2_000),
            outline: None,
            turns: Turns::none(),
            quantity: 3,
            uses: Vec::new(),
        };
        Wanted {
            name: "test".to_owned(),
            thickness: None,
            rolls,
            pieces: vec![piece],
            cutting: Cutting {
                edge_trim: Length::from_mm(10),
                ..Cutting::plain(Style::Straight, Some(2))
            },
            objective,
            charges: Charges::Listed,
            keep: Keep { width: Length::from_mm(100), length: Length::from_mm(100) },
            choices: Vec::new(),
            begun: std::collections::BTreeSet::new(),
        }
    }

    fn layouts(copies: u64) -> Layouts {
        let (x, y) = (Length::from_mm(10), Length::ZERO);
        let placements = vec![Placement { piece: 0, x, y, turn: Angle::ZERO }];
        let pulls = vec![Pull { y, length: Length::from_mm(2_000), placements }];
        vec![Layout { roll: 0, copies, pulls }]
    }

    fn rolls(list: &Layouts) -> Vec<usize> {
        list.iter().map(|layout| layout.roll).collect()
    }

    #[test]
    fn what_lies_on_the_shelf_is_taken_before_anything_is_bought() {
        let stock = || vec![roll("N", 1_500, 300, None), roll("S", 1_000, 0, Some(2))];
        let priced = wanted(stock(), Objective::Price);
        assert_eq!(rolls(&exchanged(&priced, &layouts(3))), [1, 1, 0]);
        // Too narrow by a millimetre for piece and trims.
        let narrow =
            wanted(vec![roll("N", 1_500, 300, None), roll("S", 919, 0, Some(2))], Objective::Price);
        assert_eq!(rolls(&exchanged(&narrow, &layouts(2))), [0, 0]);
    }

    #[test]
    fn of_as_many_rolls_the_cheaper_are_bought_where_rolls_are_counted() {
        let stock = || {
            vec![
                roll("C", 1_500, 300, None),
                roll("A", 1_500, 100, Some(1)),
                roll("B", 1_500, 120, None),
            ]
        };
        let counted = wanted(stock(), Objective::Rolls);
        assert_eq!(rolls(&exchanged(&counted, &layouts(3))), [1, 2, 2]);
        // Prices with breaks and minimums were weighed before, where the price is to be least.
        let priced = wanted(stock(), Objective::Price);
        assert_eq!(rolls(&exchanged(&priced, &layouts(3))), [0, 0, 0]);
        // And where rolls are counted as well.
        assert!(may_change(&counted));
        let with_terms = Wanted { charges: Charges::Terms, ..counted };
        assert_eq!(rolls(&exchanged(&with_terms, &layouts(3))), [0, 0, 0]);
        assert!(!may_change(&with_terms) && !may_change(&priced));
    }
}

//! Rolls exchanged for cheaper ones that hold the same pulls.
//!
//! The engine that counts rolls does not ask which of two products is dearer, and filling rolls kit by kit may
//! leave one empty that lies on the shelf while one is bought. Each bought roll, the dearest first, goes
//! to the cheapest that holds it: one on the shelf that nothing lies on; or, where rolls are counted and not
//! priced, one of a cheaper product that is still to be had, if its price is all that it costs: minimums, breaks,
//! pallets and spares are weighed before, by whole orders. Where a job goes on, whole rolls on hand give way to
//! rests and offcuts likewise.

use super::{Layouts, each_alone, far_side};
use crate::cutting::Objective;
use crate::plan::wanted::{Charges, Hand, Roll, Wanted};
use crate::units::Money;
use std::cmp::Reverse;

/// Whether any roll on offer may take the place of another.
pub(super) fn may_change(wanted: &Wanted) -> bool {
    let mut given = wanted.rolls.iter().filter(|roll| may_be_spared(roll));
    given.any(|own| wanted.rolls.iter().any(|roll| costs_less(wanted, roll, own)))
}

/// The layouts, each copy by itself, on rolls that cost no more.
pub(super) fn exchanged(wanted: &Wanted, layouts: &Layouts) -> Layouts {
    let mut list = each_alone(layouts);
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
        let (width, length) = (far_side(wanted, &list[at].pulls), list[at].far_end());
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::{Cutting, Style};
    use crate::nest::{Layout, Placement, Pull};
    use crate::plan::wanted::sample;
    use crate::units::{Angle, Length};

    fn roll(id: &str, width: i64, price: i64, available: Option<u64>) -> Roll {
        let (price, shelf) = (Money::from_units(price), price == 0);
        Roll { price, available, shelf, ..sample::roll(id, (width, 5_000)) }
    }

    fn wanted(rolls: Vec<Roll>, objective: Objective) -> Wanted {
        let cutting =
            Cutting { edge_trim: Length::from_mm(10), ..Cutting::plain(Style::Straight, Some(2)) };
        let piece = sample::piece("A1", (900, 2_000), 3);
        Wanted { cutting, objective, ..sample::sheet(rolls, vec![piece]) }
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

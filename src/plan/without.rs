//! A plan that leaves the shelf alone, from one that uses it: where all its pulls go onto the rolls
//! bought anyway, the shelf saves nothing, and no second nest is needed to know it.
//!
//! Steps: all pulls from rolls of the product bought most, and from the shelf, longest first, each onto
//! the fullest roll that still holds it. A plan without the shelf is one with it, so its bound holds.

use super::file::WithoutShelf;
use super::wanted::Wanted;
use crate::cutting::Objective;
use crate::nest::Nesting;
use crate::units::Length;
use std::collections::BTreeMap;

/// What an answer comes to without the shelf, where that is no more than with it; `None` where it
/// is not found so quickly.
#[must_use]
pub fn spared(sheet: &Wanted, nesting: &Nesting) -> Option<WithoutShelf> {
    if sheet.objective != Objective::Rolls {
        return None;
    }
    let mut bought: BTreeMap<usize, u64> = BTreeMap::new();
    for layout in nesting.layouts.iter().filter(|layout| !sheet.rolls[layout.roll].shelf) {
        *bought.entry(layout.roll).or_default() += layout.copies;
    }
    let (&product, &rolls) = bought.iter().max_by_key(|&(roll, count)| (*count, *roll))?;
    let home = &sheet.rolls[product];
    let gap = sheet.cutting.gap;
    let mut pulls: Vec<Length> = Vec::new();
    for layout in &nesting.layouts {
        let roll = &sheet.rolls[layout.roll];
        if layout.roll != product && !roll.shelf {
            continue;
        }
        if roll.width > home.width {
            return None;
        }
        let lengths = layout.pulls.iter().map(|pull| pull.length + gap);
        pulls.extend((0..layout.copies).flat_map(|_| lengths.clone()));
    }
    let needed = best_fit(pulls, home.length? - sheet.cutting.square_cut + gap)?;
    let decimal = |value| sheet.instance().objective.decimal(value);
    let same = WithoutShelf { value: decimal(nesting.value), bound: decimal(nesting.bound) };
    (needed <= rolls).then_some(same)
}

/// How many rolls with this room hold the pulls, longest first, each on the fullest roll that takes it.
fn best_fit(mut pulls: Vec<Length>, room: Length) -> Option<u64> {
    pulls.sort_unstable_by_key(|&length| std::cmp::Reverse(length));
    let mut free: BTreeMap<Length, u64> = BTreeMap::new();
    let mut rolls = 0;
    for length in pulls {
        let left = if let Some((&left, _)) = free.range(length..).next() {
            match free.remove(&left) {
                Some(many) if many > 1 => free.insert(left, many - 1),
                _ => None,
            };
            left
        } else {
            rolls += 1;
            room
        };
        if left < length {
            return None;
        }
        *free.entry(left - length).or_default() += 1;
    }
    Some(rolls)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::sample;

    /// By hand: two pulls of 45 mm with a gap of 10 fill a roll of 100, so the offcut saves nothing; what lies on an
    /// offcut that is wider may not go on the roll.
    #[test]
    fn what_an_offcut_gives_may_lie_on_the_roll_that_is_bought() {
        let spared = |width: i64| {
            let text = format!(
                r#"{{ "name": "a", "objective": "rolls", "cutting": {{ "style": "straight", "gap": 10 }},
                "rolls": [ {{ "id": "A", "width": 50, "length": 100 }},
                           {{ "id": "O", "width": {width}, "length": 50, "available": 1 }} ],
                "pieces": [ {{ "id": "p", "width": 50, "length": 45, "quantity": 2 }} ] }}"#
            );
            let instance = sample::instance(&text);
            let mut sheet = Wanted::from(&instance);
            sheet.rolls[1].shelf = true;
            let placements = Vec::new();
            let pull =
                crate::nest::Pull { y: Length::ZERO, length: Length::from_mm(45), placements };
            let layout = |roll| crate::nest::Layout { roll, copies: 1, pulls: vec![pull.clone()] };
            super::spared(&sheet, &Nesting::known(&instance, vec![layout(0), layout(1)])).is_some()
        };
        assert_eq!([50, 60].map(spared), [true, false]);
    }

    #[test]
    fn pulls_go_onto_the_fullest_roll_that_takes_them() {
        let mm = Length::from_mm;
        // 6 + 4, 5 + 5 and 7 + 3 fill three rolls of 10, by hand; what is longer than one fits none.
        let pulls = [4, 5, 3, 6, 5, 7].map(mm).to_vec();
        assert_eq!(best_fit(pulls.clone(), mm(10)), Some(3));
        assert_eq!(best_fit(pulls, mm(6)), None);
        assert_eq!(best_fit(vec![mm(6), mm(6)], mm(10)), Some(2));
    }
}

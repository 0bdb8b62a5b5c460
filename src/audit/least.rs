//! What a nest cannot go below, made anew in whole numbers: by the pieces' area, and where no two pieces lie
//! side by side by their lengths.
//!
//! Steps: what all pieces take; what a roll of each product can hold at most; the cheapest rolls that hold
//! it ([`cheapest`]). Bounds that lie higher rest on prices ([`super::bound`]) or on a search.

use super::cheapest::cheapest;
use super::usable::{fitting, two_narrowest, usable};
use crate::cutting::Style;
use crate::plan::Wanted;
use crate::plan::wanted::Piece;
use crate::units::{Decimal, Length};

/// What an order sheet cannot go below, in the unit of its objective; `None` where that cannot be counted
/// here, or its rolls cannot hold the pieces.
pub(super) fn least(sheet: &Wanted) -> Option<Decimal> {
    let by_area = cheapest(sheet, area(sheet)?, |_, roll| {
        let (across, along) = usable(sheet, roll, Length::ZERO);
        i128::from(across.nm()) * along.map_or(1, |along| i128::from(along.nm()))
    });
    let by_length = one_by_one(sheet).then(|| {
        let gap = apart(sheet);
        let taken = sheet.pieces.iter().map(|piece| {
            let length = fitting(sheet, piece, gap).map(|(_, along)| along).min()?;
            Some(i128::from(length.nm()) * i128::from(piece.quantity))
        });
        let taken = taken.sum::<Option<i128>>()?;
        cheapest(sheet, taken, |_, roll| {
            usable(sheet, roll, gap).1.map_or(1, |along| i128::from(along.nm()))
        })
    });
    let least = by_area.into_iter().chain(by_length.flatten()).max()?;
    i64::try_from(least).ok().map(Decimal::from_millionths)
}

/// What all pieces take, in square nanometres.
fn area(sheet: &Wanted) -> Option<i128> {
    let one = |piece: &Piece| piece.area().nm2().checked_mul(i128::from(piece.quantity));
    sheet.pieces.iter().map(one).try_fold(0, |sum: i128, one| sum.checked_add(one?))
}

/// How far two pieces are apart across or along at least. In straight layouts it is the gap. In free ones it is
/// kept corner to corner: `gap / sqrt 2`, rounded down to whole tenths of a millimetre where it has any, so that
/// sizes keep a common measure.
pub(super) fn apart(sheet: &Wanted) -> Length {
    const TENTH: Length = Length::from_nm(100_000);
    let gap = sheet.cutting.gap;
    if sheet.cutting.style == Style::Straight {
        return gap;
    }
    let half = i128::from(gap.nm()) * i128::from(gap.nm()) / 2;
    let near = Length::from_nm(i64::try_from(half.isqrt()).unwrap_or(0));
    if near < TENTH { near } else { near.round_down_to(TENTH) }
}

/// Whether no two pieces lie side by side on any roll: the two narrowest together are too wide. Outlines
/// may reach into each other's boxes.
fn one_by_one(sheet: &Wanted) -> bool {
    let widths = sheet.rolls.iter().map(|roll| usable(sheet, roll, Length::ZERO).0);
    let Some(widest) = widths.max() else { return false };
    let narrowest = |piece: &Piece| {
        let across = fitting(sheet, piece, Length::ZERO).map(|(across, _)| across).min()?;
        Some((across, piece.quantity))
    };
    let Some(narrow) = sheet.pieces.iter().map(narrowest).collect::<Option<Vec<_>>>() else {
        return false;
    };
    let outlined = sheet.pieces.iter().any(|piece| piece.outline.is_some());
    let two = two_narrowest(narrow.into_iter());
    !outlined && two.is_some_and(|(a, b)| a + b + apart(sheet) > widest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::{Cutting, Objective, Turns};
    use crate::plan::wanted::{Roll, sample};
    use crate::units::Money;

    fn mm(value: i64) -> Length {
        Length::from_mm(value)
    }

    /// Rolls of 1000 by 10,000 mm at these prices, so many to be had; pieces by size and quantity.
    fn sheet(rolls: &[(i64, Option<u64>)], pieces: &[(i64, i64, u64)]) -> Wanted {
        let roll = |(at, &(price, available)): (usize, &(i64, Option<u64>))| Roll {
            price: Money::from_units(price),
            available,
            shelf: price == 0,
            ..sample::roll(&format!("R{at}"), (1000, 10_000))
        };
        let piece = |&(width, length, quantity): &(i64, i64, u64)| {
            sample::piece("p", (width, length), quantity)
        };
        let rolls = rolls.iter().enumerate().map(roll).collect();
        let cutting = Cutting::plain(Style::Straight, Some(2));
        Wanted { cutting, ..sample::sheet(rolls, pieces.iter().map(piece).collect()) }
    }

    /// By hand: 21 pieces of half a square metre are 10.5 m2, so two rolls of 10 m2; one lies on the shelf.
    /// Pieces of 600 mm do not lie side by side: 21 of 1 m take 21 m, three rolls, though 12.6 m2 are two.
    #[test]
    fn rolls_hold_no_more_than_their_area_and_one_row() {
        let rolls = |rolls: &[_], pieces: &[_]| least(&sheet(rolls, pieces));
        let some = |count: i64| Some(Decimal::from_millionths(count * 1_000_000));
        assert_eq!(rolls(&[(40, None)], &[(500, 1000, 21)]), some(2));
        assert_eq!(rolls(&[(40, None), (0, Some(1))], &[(500, 1000, 21)]), some(1));
        assert_eq!(rolls(&[(40, None)], &[(600, 1000, 21)]), some(3));
        assert_eq!(rolls(&[(40, Some(1))], &[(600, 1000, 21)]), None);
        assert_eq!(rolls(&[(40, None)], &[]), some(0));
    }

    /// By hand: two pieces of 496 mm lie side by side on 1000 mm, with a gap of 10 mm they do not. Then 21 of 1 m with
    /// their gaps take 21.21 m of the 10.01 m of each roll, though 10.4 m2 are two.
    #[test]
    fn a_gap_keeps_two_from_lying_side_by_side() {
        let mut sheet = sheet(&[(40, None)], &[(496, 1000, 21)]);
        assert_eq!(least(&sheet), Some(Decimal::from_millionths(2_000_000)));
        sheet.cutting.gap = mm(10);
        assert_eq!(least(&sheet), Some(Decimal::from_millionths(3_000_000)));
    }

    /// By hand: 21 of 600 by 1100 mm lie along the roll of 1000 mm only, one behind another, though they may be turned: 23.1 m
    /// are three rolls, 13.86 m2 two.
    #[test]
    fn a_turn_in_which_a_piece_fits_no_roll_does_not_count() {
        let mut sheet = sheet(&[(40, None)], &[(600, 1100, 21)]);
        sheet.pieces[0].turns = Turns::quarter();
        assert_eq!(least(&sheet), Some(Decimal::from_millionths(3_000_000)));
        // On a table of 1 m they do not lie at all.
        sheet.cutting.pull_limit = Some(mm(1000));
        assert_eq!(least(&sheet), Some(Decimal::from_millionths(2_000_000)));
    }

    /// By hand: 15 m2 at 40 for 10 m2 are 60, and 60 is no sum of 40 and 54; the least above is 80. Where the
    /// cheaper kind is but one, the rest is of the other: 40 and half of 54.
    #[test]
    fn prices_are_sums_of_whole_rolls() {
        let price = |rolls: &[_]| {
            let sheet = sheet(rolls, &[(500, 1000, 30)]);
            least(&Wanted { objective: Objective::Price, ..sheet })
        };
        let some = |units: i64| Some(Decimal::from_millionths(units * 1_000_000));
        assert_eq!(price(&[(40, None), (54, None)]), some(80));
        assert_eq!(price(&[(40, Some(1)), (54, None)]), some(80));
        assert_eq!(price(&[(40, Some(1)), (66, None)]), some(80));
    }
}

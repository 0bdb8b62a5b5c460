//! Prices by area: they hold whatever the shapes and the cuts.
//!
//! If `p_i A_k <= z_k a_i` for every piece `i` of area `a_i` and every roll `k` of usable area `A_k`, the
//! pieces of a layout, which do not lie over one another, are worth `sum p_i <= z_k sum a_i / A_k <= z_k`. Where
//! all pieces are rectangles each may count with its gap, and the roll with one more; beside outlines only
//! the areas themselves count, as a gap's corner may reach into an outline.

use crate::audit::usable::usable;
use crate::plan::wanted::{Piece, Roll};
use crate::plan::{Certificate, Most, Wanted};
use crate::units::Length;

/// Whether all prices are by area, or less.
pub(super) fn holds(sheet: &Wanted, certificate: &Certificate, gap: Length) -> bool {
    let plain = sheet.pieces.iter().all(|piece| piece.outline.is_none());
    let gaps =
        if plain && gap > Length::ZERO { [Length::ZERO, gap].to_vec() } else { vec![Length::ZERO] };
    gaps.into_iter().any(|gap| {
        let mut rolls = sheet.rolls.iter().zip(&certificate.most);
        rolls.all(|(roll, most)| all_below(sheet, &certificate.prices, (roll, most), gap))
    })
}

/// Whether no piece is priced above its share of a roll.
fn all_below(sheet: &Wanted, prices: &[i64], (roll, most): (&Roll, &Most), gap: Length) -> bool {
    let (across, along) = usable(sheet, roll, gap);
    // Of a roll without end so much holds so much, whatever lies before and behind it.
    let along = along.or(most.per);
    let whole =
        i128::from(across.nm().max(0)) * i128::from(along.map_or(0, |along| along.nm().max(0)));
    let below = |(piece, &price): (&Piece, &i64)| {
        let worth = i128::from(price).checked_mul(whole);
        let may = i128::from(most.worth).checked_mul(area(piece, gap));
        worth.zip(may).is_some_and(|(worth, may)| worth <= may)
    };
    sheet.pieces.iter().zip(prices).all(below)
}

/// The area that a piece takes, in square nanometres.
fn area(piece: &Piece, gap: Length) -> i128 {
    if piece.outline.is_some() {
        return piece.area().nm2();
    }
    i128::from((piece.width + gap).nm()) * i128::from((piece.length + gap).nm())
}

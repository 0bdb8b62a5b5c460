//! What follows from prices and worths (see [`super`]): Farley's bound.

use super::Trouble;
use crate::audit::cheapest::{ceil, cheapest};
use crate::audit::least::apart;
use crate::audit::usable::with_gap;
use crate::cutting::Objective;
use crate::plan::{Certificate, Nest, Wanted};
use crate::units::gcd;

/// That a nest's bound is no more than what follows.
pub(super) fn check(nest: &Nest, sheet: &Wanted, certificate: &Certificate) -> Result<(), Trouble> {
    let Some(all) = worth(sheet, certificate) else {
        return Err(Trouble::Unsure(super::Why::Large));
    };
    let least = match sheet.objective {
        Objective::Length => length(sheet, certificate, all),
        Objective::Rolls | Objective::Price => {
            let most =
                |at: usize| certificate.most.get(at).map_or(0, |most| i128::from(most.worth));
            cheapest(sheet, all, |at, _| most(at))
        }
    };
    let none = || "says that the rolls on offer cannot hold the pieces".to_owned();
    let least = least.ok_or_else(|| Trouble::False(none()))?;
    if i128::from(nest.bound.millionths()) > least {
        let (whole, part) = (least / 1_000_000, least % 1_000_000);
        let gives = if part == 0 { format!("{whole}") } else { format!("{whole}.{part:06}") };
        return Err(Trouble::False(format!("gives no more than {gives}")));
    }
    Ok(())
}

/// What all pieces are worth.
fn worth(sheet: &Wanted, certificate: &Certificate) -> Option<i128> {
    let mut pieces = sheet.pieces.iter().zip(&certificate.prices);
    pieces.try_fold(0_i128, |sum, (piece, &price)| {
        sum.checked_add(i128::from(price).checked_mul(i128::from(piece.quantity))?)
    })
}

/// The least length of a roll without end, in nanometres: pulls with a gap each, less the last one's gap, and
/// the square cut. Rectangles can be pushed to the front until the length is a sum of their sides.
fn length(sheet: &Wanted, certificate: &Certificate, all: i128) -> Option<i128> {
    let most = certificate.most.first().filter(|most| most.worth > 0)?;
    let per = i128::from(most.per?.nm());
    let mut pulls = ceil(all.checked_mul(per)?, i128::from(most.worth));
    let gap = apart(sheet);
    if sheet.pieces.iter().all(|piece| piece.outline.is_none()) {
        let sides = sheet.pieces.iter().flat_map(|piece| with_gap(piece, gap));
        let step = i128::from(sides.fold(0, |step, (_, along)| gcd(step, along.nm())));
        if step > 0 {
            pulls = ceil(pulls, step) * step;
        }
    }
    Some(pulls + i128::from((sheet.cutting.square_cut - gap).nm()))
}

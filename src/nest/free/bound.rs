//! What no packing can beat.

use super::task::Task;
use crate::cutting::Objective;
use crate::nest::bound::{Certificate, Most};
use crate::nest::{Basis, Instance};
use crate::units::Length;

/// The area bound, rounded up to a length that whole units can have, its basis, and its certificate where the numbers are small enough for one.
pub fn any_packing(instance: &Instance, task: &Task) -> (i64, Basis, Option<Certificate>) {
    let certificate = area(instance, task);
    let bound = certificate.as_ref().and_then(|c| c.bound(instance)).unwrap_or(0);
    let bound = if instance.objective == Objective::Length {
        let fixed = instance.cutting.square_cut.nm() - instance.cutting.gap.nm();
        Length::from_nm(bound - fixed).round_up_to(Length::from_nm(task.unit)).nm() + fixed
    } else {
        bound
    };
    (bound, Basis::Area, certificate)
}

/// Pieces priced by their area: a rectangle's with its gap, an outline's own.
fn area(instance: &Instance, task: &Task) -> Option<Certificate> {
    let mut prices = vec![0; instance.pieces.len()];
    let unit = i128::from(task.unit);
    for kind in &task.kinds {
        for &(piece, _) in &kind.pieces {
            let outlined = instance.pieces[piece].outline.as_ref();
            let area = outlined.map_or(kind.area(), |o| o.area().nm2() / (unit * unit));
            prices[piece] = i64::try_from(area).ok()?;
        }
    }
    let most = task.rooms.iter().zip(&instance.rolls).map(|(room, roll)| {
        let (length, per) = if roll.length.is_none() { (1, task.unit) } else { (room.length, 0) };
        Some(Most { worth: room.width.checked_mul(length)?, per })
    });
    Some(Certificate { prices, most: most.collect::<Option<Vec<Most>>>()? })
}

//! Bounds that hold whatever is chosen.
//!
//! A bill's pieces are worth at least what the group's least bill is worth at any prices, so an
//! instance in which the groups stand as one further piece with that worth is never dearer than the
//! true one; its certificate's bound holds for every choice. By area it needs no list of bills; at
//! the linear programme's prices, of the bills as listed.

use super::generate::{tables, whole_prices};
use super::master::Master;
use crate::cutting::Turns;
use crate::nest::bound::{Certificate, Most};
use crate::nest::straight::effort::Effort;
use crate::nest::{Instance, Piece};
use crate::units::Length;

/// The side of the squares in which areas are counted, nanometres: fine enough to lose nothing that
/// matters, coarse enough for 64 bits.
const SIDE: i128 = 1_000;

/// The bound by area; `chosen` is the least area (in square nanometres) that the groups take of
/// this material, whatever is chosen. `None` where the rolls on hand cannot hold that much.
#[must_use]
pub fn by_area(instance: &Instance, chosen: i128) -> Option<i64> {
    let cut = &instance.cutting;
    let square = SIDE * SIDE;
    let down = |nm2: i128| i64::try_from(nm2.div_euclid(square)).unwrap_or(i64::MAX);
    let up = |nm2: i128| i64::try_from(nm2.div_euclid(square) + 1).unwrap_or(i64::MAX);
    let mut prices: Vec<i64> = instance.pieces.iter().map(|p| down(p.area().nm2())).collect();
    prices.push(down(chosen));
    let most = instance.rolls.iter().map(|roll| {
        let width = i128::from((roll.width - cut.edge_trim * 2).nm().max(0));
        let per = Length::from_mm(1000).nm();
        match roll.length {
            Some(length) => {
                let along = i128::from((length - cut.square_cut).nm().max(0));
                Most { worth: up(width * along), per: 0 }
            }
            None => Most { worth: up(width * i128::from(per)), per },
        }
    });
    let certificate = Certificate { prices, most: most.collect() };
    certificate.bound(&with_groups(instance))
}

/// The linear bound of a programme over one material whose bills are all listed, when nothing
/// improves any more; valid for two stages. `bills` are the listed bills of each group.
pub(super) fn by_prices<P: Clone + Ord>(
    master: &Master<P>,
    instance: &Instance,
    counts: &[u64],
    effort: &Effort<'_>,
) -> Option<i64> {
    let [material] = master.materials.as_slice() else { return None };
    if !material.exact {
        return None;
    }
    let scaled = whole_prices(&master.prices());
    let materials = master.materials.clone();
    let table = &tables(master, &materials, &scaled, effort)[0];
    let mut least: Vec<Option<i128>> = vec![None; counts.len()];
    for pick in &master.picks {
        let worth: i128 =
            pick.parts.iter().map(|&(size, n)| i128::from(scaled[size]) * i128::from(n)).sum();
        let least = &mut least[pick.group];
        *least = Some(least.map_or(worth, |old| old.min(worth)));
    }
    let groups: i128 =
        least.iter().zip(counts).map(|(least, &n)| least.unwrap_or(0) * i128::from(n)).sum();
    let mut prices: Vec<i64> = instance
        .pieces
        .iter()
        .map(|piece| master.price_of(piece, &scaled))
        .collect::<Option<_>>()?;
    prices.push(i64::try_from(groups).ok()?);
    let (worth, per) = table.densest();
    let most = instance.rolls.iter().map(|roll| {
        let cut = &instance.cutting;
        let nm = match roll.length {
            Some(length) => (length - cut.square_cut + cut.gap).nm(),
            None => material.unit.checked_mul(1_000_000)?,
        };
        let units = i128::from(nm.div_euclid(material.unit));
        let whole = i128::from(worth) * units / i128::try_from(per).ok()? + 1;
        let per = if roll.length.is_none() { nm } else { 0 };
        Some(Most { worth: i64::try_from(whole).ok()?, per })
    });
    let most: Option<Vec<Most>> = most.collect();
    Certificate { prices, most: most? }.bound(&with_groups(instance))
}

/// The instance with the groups as one further piece.
fn with_groups(instance: &Instance) -> Instance {
    let mut all = instance.clone();
    all.pieces.push(Piece {
        id: "groups".to_owned(),
        width: Length::from_nm(1),
        length: Length::from_nm(1),
        outline: None,
        quantity: 1,
        turns: Turns::none(),
    });
    all
}

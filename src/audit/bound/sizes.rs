//! Pieces and rolls in small whole numbers.
//!
//! Steps: pieces that are priced, each in the ways in which it fits some roll and the table, its gap included;
//! both directions divided by the greatest common divisor of the sizes in play, rolls rounded down, which
//! loses nothing, as sums of sizes are whole. Where a direction then still has more units than a table can
//! hold, sizes are rounded down on a coarser raster: what fits in truth fits there, and nothing is exact.

use crate::audit::usable::{fitting, usable};
use crate::cutting::{Style, Turns};
use crate::plan::wanted::Roll;
use crate::plan::{Certificate, Wanted};
use crate::units::{Length, gcd};

/// The most units across and along that are told apart.
const FINEST: [i64; 2] = [40_000, 400_000];

/// Priced pieces and all rolls, in units.
pub(super) struct Sizes<'a> {
    pub(super) kinds: Vec<Kind>,
    pub(super) rooms: Vec<Room<'a>>,
    /// The longest pull, gap included; the greatest number where any length may be pulled.
    pub(super) pull: usize,
    /// Whether nothing was rounded.
    pub(super) exact: bool,
    /// Whether some size came to nothing.
    pub(super) tiny: bool,
    /// Nanometres in a unit along.
    pub(super) along: i64,
    /// Whether a piece may lie at any angle.
    pub(super) any_angle: bool,
}

/// A priced piece.
pub(super) struct Kind {
    pub(super) price: i64,
    /// How often it is wanted.
    pub(super) copies: u64,
    /// Size across and along of each way in which it may lie.
    pub(super) ways: Vec<[usize; 2]>,
}

/// A roll's usable size.
pub(super) struct Room<'a> {
    pub(super) name: &'a str,
    pub(super) across: usize,
    /// Nothing where it has no end.
    pub(super) along: Option<usize>,
}

impl<'a> Sizes<'a> {
    pub(super) fn new(sheet: &'a Wanted, certificate: &Certificate, gap: Length) -> Self {
        let room = |roll: &Roll| {
            let (across, along) = usable(sheet, roll, gap);
            [Some(across), along].map(|size| size.map(|size| size.nm().max(0)))
        };
        let rooms: Vec<[Option<i64>; 2]> = sheet.rolls.iter().map(room).collect();
        let limit = sheet.cutting.pull_limit.map_or(i64::MAX, |limit| (limit + gap).nm());
        let priced = sheet.pieces.iter().zip(&certificate.prices).filter(|(_, price)| **price > 0);
        let kinds: Vec<(i64, u64, Vec<[i64; 2]>)> = priced
            .clone()
            .map(|(piece, &price)| {
                let ways = fitting(sheet, piece, gap).map(|(w, l)| [w.nm(), l.nm()]);
                (price, piece.quantity, ways.collect())
            })
            .collect();
        let unit = [0, 1].map(|d| {
            let sizes = kinds.iter().flat_map(|(_, _, ways)| ways.iter().map(move |way| way[d]));
            let common = sizes.clone().fold(0, gcd).max(1);
            let longest = sizes.max().unwrap_or(1);
            let most = rooms.iter().map(|room| room[d].unwrap_or(longest)).max().unwrap_or(1);
            if most / common <= FINEST[d] { (common, true) } else { (most / FINEST[d] + 1, false) }
        });
        let units =
            |size: i64, d: usize| usize::try_from(size.max(0) / unit[d].0).unwrap_or(usize::MAX);
        let any = sheet.cutting.style == Style::Free;
        let ways = |ways: &[[i64; 2]]| -> Vec<[usize; 2]> {
            ways.iter().map(|way| [0, 1].map(|d| units(way[d], d))).collect()
        };
        let kinds: Vec<Kind> = kinds
            .iter()
            .map(|(price, copies, all)| Kind { price: *price, copies: *copies, ways: ways(all) })
            .collect();
        Self {
            tiny: kinds.iter().flat_map(|kind| &kind.ways).flatten().any(|&size| size == 0),
            any_angle: any && priced.into_iter().any(|(piece, _)| piece.turns == Turns::Any),
            kinds,
            rooms: sheet
                .rolls
                .iter()
                .zip(&rooms)
                .map(|(roll, room)| Room {
                    name: &roll.id,
                    across: units(room[0].unwrap_or(0), 0),
                    along: room[1].map(|along| units(along, 1)),
                })
                .collect(),
            pull: sheet.cutting.pull_limit.map_or(usize::MAX, |_| units(limit, 1)),
            exact: unit[0].1 && unit[1].1,
            along: unit[1].0,
        }
    }

    /// Of pieces that fit a room one by one, the most that any are worth together that lie in it clear of one
    /// another, by their areas; more than anything that is added up in it.
    pub(super) fn by_area(&self, room: &Room<'_>, length: usize) -> i128 {
        let whole = (room.across as i128).saturating_mul(length as i128);
        let all = self.kinds.iter().flat_map(|kind| kind.ways.iter().map(move |way| (kind, way)));
        let one = |(kind, way): (&Kind, &[usize; 2])| {
            let area = (way[0] as i128).saturating_mul(way[1] as i128).max(1);
            i128::from(kind.price).saturating_mul(whole) / area + 1
        };
        all.map(one).max().unwrap_or(0)
    }
}

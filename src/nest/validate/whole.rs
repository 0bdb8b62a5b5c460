//! Rules that look at rolls, pieces, cutting and objective together.

use super::fields::Door;
use crate::cutting::{Cutting, Objective};
use crate::finding::codes::nest as codes;
use crate::nest::record::Spot;
use crate::nest::{Choice, Instance, NamedWay, Piece, Roll};
use crate::units::{Area, Length};
use std::collections::BTreeSet;

/// Where an instance, its rolls and its pieces stand in the file.
pub(super) struct Spots<'a> {
    pub(super) whole: Spot<'a>,
    pub(super) rolls: Vec<Spot<'a>>,
    pub(super) pieces: Vec<Spot<'a>>,
}

/// The most pieces of one instance.
const MOST_PIECES: u64 = 1_000_000_000;

impl Door<'_> {
    /// The instance, where it holds together. `spots` tell where it stands. Of `choices` the ways go that
    /// no roll has room for, where others are left.
    pub(super) fn whole(
        &mut self,
        instance: Instance,
        choices: &mut [Choice],
        spots: &Spots<'_>,
    ) -> Option<Instance> {
        self.ends(&instance, spots);
        self.wanted(&instance, choices, spots);
        let used_up = self.used_up(&instance, spots);
        if !used_up {
            self.fit(&instance, choices, spots);
        }
        if countable(&instance, choices) {
            self.enough(&instance, choices, spots);
            Some(instance)
        } else {
            self.add(
                &codes::TOO_LARGE,
                spots.whole,
                "pieces",
                "quantities, sizes and prices together are too large to compute with",
                format!("ask for at most {MOST_PIECES} pieces, and look at the units"),
            );
            None
        }
    }

    /// Pieces of which none is wanted must be some choice's.
    fn wanted(&mut self, instance: &Instance, choices: &[Choice], spots: &Spots<'_>) {
        if self.findings.has_errors() {
            return;
        }
        let ways = choices.iter().flat_map(|choice| &choice.ways);
        let named: BTreeSet<usize> =
            ways.flat_map(|way| &way.pieces).map(|&(piece, _)| piece).collect();
        for (at, (piece, spot)) in instance.pieces.iter().zip(&spots.pieces).enumerate() {
            if piece.quantity == 0 && !named.contains(&at) {
                self.unwanted(*spot, "pieces");
            }
        }
    }

    /// Rolls without end and the objective length belong together.
    fn ends(&mut self, instance: &Instance, spots: &Spots<'_>) {
        let endless = instance.rolls.iter().find(|r| r.length.is_none());
        match (instance.objective, endless) {
            (Objective::Length, Some(_)) if instance.rolls.len() == 1 => {}
            (Objective::Length, _) => {
                if !instance.rolls.is_empty() {
                    self.add(
                        &codes::ENDLESS,
                        spots.whole,
                        "rolls",
                        "the objective length needs exactly one roll, and that without end",
                        "give one roll with length null, or another objective",
                    );
                }
            }
            (_, Some(roll)) => self.add(
                &codes::ENDLESS,
                spots.whole,
                "rolls",
                format!("roll `{}` has no end, and the objective is not length", roll.id),
                "give the roll a length, or ask for objective length",
            ),
            (_, None) => {}
        }
    }

    /// Rolls that edge trims or square cut use up.
    fn used_up(&mut self, instance: &Instance, spots: &Spots<'_>) -> bool {
        let mut any = false;
        for (roll, spot) in instance.rolls.iter().zip(&spots.rolls) {
            let (width, length) = usable(roll, &instance.cutting);
            if width.is_positive() && length.is_none_or(Length::is_positive) {
                continue;
            }
            any = true;
            self.add(
                &codes::USED_UP,
                *spot,
                "rolls",
                format!("edge trims or square cut leave nothing of roll `{}`", roll.id),
                "make the trims smaller than the roll",
            );
        }
        any
    }

    /// Pieces that fit no roll: errors where they are wanted whatever is chosen, else their ways go.
    fn fit(&mut self, instance: &Instance, choices: &mut [Choice], spots: &Spots<'_>) {
        let misfits: Vec<Option<Misfit>> =
            instance.pieces.iter().map(|piece| misfit(instance, piece)).collect();
        let cut = |way: &NamedWay| way.pieces.iter().all(|&(piece, _)| misfits[piece].is_none());
        for (at, (misfit, spot)) in misfits.iter().zip(&spots.pieces).enumerate() {
            let Some((what, remedy)) = misfit else { continue };
            let needs = |way: &&NamedWay| way.pieces.iter().any(|&(piece, _)| piece == at);
            let named = choices.iter().filter(|choice| choice.ways.iter().any(|w| needs(&w)));
            let named: Vec<&Choice> = named.collect();
            let left = |choice: &&Choice| choice.ways.iter().any(cut);
            if instance.pieces[at].quantity > 0 || !named.iter().all(left) {
                self.add(&codes::TOO_BIG, *spot, "pieces", what, *remedy);
                continue;
            }
            let ways: Vec<String> = named
                .iter()
                .flat_map(|choice| {
                    let ways = choice.ways.iter().filter(needs);
                    ways.map(|way| format!("`{}` of choice `{}`", way.id, choice.id))
                })
                .collect();
            if !ways.is_empty() {
                let what = format!("{what}; what needs it is left out: {}", ways.join(", "));
                self.add(&codes::WAY_LEFT_OUT, *spot, "pieces", what, *remedy);
            }
        }
        if !self.findings.has_errors() {
            for choice in choices {
                choice.ways.retain(cut);
            }
        }
    }

    /// Whether limited rolls can hold the pieces by area.
    fn enough(&mut self, instance: &Instance, choices: &[Choice], spots: &Spots<'_>) {
        let on_hand: Option<i128> = instance.rolls.iter().try_fold(0_i128, |sum, roll| {
            let (width, length) = usable(roll, &instance.cutting);
            let one = Area::of_rectangle(width, length?).nm2();
            sum.checked_add(one.checked_mul(i128::from(roll.available?))?)
        });
        // Pieces that fit no roll may be of any size.
        let area = |piece: usize, n: u64| {
            instance.pieces[piece].area().nm2().saturating_mul(i128::from(n))
        };
        let of = |way: &NamedWay| {
            way.pieces.iter().fold(0_i128, |sum, &(p, n)| sum.saturating_add(area(p, n)))
        };
        let least = |choice: &Choice| {
            let least = choice.ways.iter().map(of).min().unwrap_or(0);
            least.saturating_mul(i128::from(choice.quantity))
        };
        let own = (0..instance.pieces.len()).map(|p| area(p, instance.pieces[p].quantity));
        let wanted = own.chain(choices.iter().map(least)).fold(0, i128::saturating_add);
        if on_hand.is_some_and(|most| most < wanted) && !instance.rolls.is_empty() {
            self.add(
                &codes::TOO_FEW,
                spots.whole,
                "rolls",
                "the pieces' area is larger than that of all rolls on hand",
                "allow more rolls, or ask for fewer pieces",
            );
        }
    }
}

/// What trims leave of a roll, across and along; it may be nothing or less.
fn usable(roll: &Roll, cutting: &Cutting) -> (Length, Option<Length>) {
    let trims = cutting.edge_trim + cutting.edge_trim;
    (roll.width - trims, roll.length.map(|length| length - cutting.square_cut))
}

/// Whether all sums that can occur fit into the integers that hold them, with room to spare: as
/// many rolls as pieces at worst, each as large and as dear as the largest.
fn countable(instance: &Instance, choices: &[Choice]) -> bool {
    let of = |way: &NamedWay| way.pieces.iter().fold(0_u64, |sum, &(_, n)| sum.saturating_add(n));
    let most = |choice: &Choice| {
        let most = choice.ways.iter().map(of).max().unwrap_or(0);
        most.saturating_mul(choice.quantity)
    };
    let own = instance.pieces.iter().map(|p| p.quantity);
    let pieces = own.chain(choices.iter().map(most)).fold(0, u64::saturating_add);
    if pieces > MOST_PIECES {
        return false;
    }
    let count = i128::from(pieces);
    let cutting = &instance.cutting;
    let longest = instance.pieces.iter().map(|p| p.width.max(p.length)).max();
    let along = i128::from((longest.unwrap_or_default() + cutting.gap).nm()) * count
        + i128::from(cutting.square_cut.nm());
    let dearest = instance.rolls.iter().map(|r| i128::from(r.price.micros())).max().unwrap_or(0);
    let room = i128::from(i64::MAX) / 4;
    let largest = instance
        .rolls
        .iter()
        .map(|r| i128::from(r.width.nm()).saturating_mul(r.length.map_or(along, |l| l.nm().into())))
        .max()
        .unwrap_or(0);
    let fits_64 = match instance.objective {
        Objective::Rolls => true,
        Objective::Price => dearest * count < room,
        Objective::Length => along < room,
    };
    fits_64 && largest.checked_mul(count.max(1)).is_some_and(|all| all < i128::MAX / 4)
}

/// What is wrong with a piece that fits no roll, and what to do about it.
type Misfit = (String, &'static str);

/// Whether a piece fits no roll.
fn misfit(instance: &Instance, piece: &Piece) -> Option<Misfit> {
    let cutting = &instance.cutting;
    let lies = |limit: Option<Length>| {
        piece.turns.fit((piece.width, piece.length), |width, length| {
            instance.rolls.iter().any(|roll| {
                let (across, along) = usable(roll, cutting);
                width <= across
                    && along.is_none_or(|most| length <= most)
                    && limit.is_none_or(|most| length <= most)
            })
        })
    };
    if instance.rolls.is_empty() || lies(cutting.pull_limit) {
        return None;
    }
    let size = format!("piece `{}`, {} x {} mm,", piece.id, piece.width, piece.length);
    Some(match cutting.pull_limit.filter(|_| lies(None)) {
        Some(limit) => (
            format!("{size} is longer than the pull limit of {limit} mm"),
            "split the piece, allow a turn, or raise the pull limit",
        ),
        None => (
            format!("{size} fits no roll after trims, in any quarter turn it may take"),
            "split the piece, allow a turn, or offer a larger roll",
        ),
    })
}

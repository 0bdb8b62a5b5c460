//! One simulated takeoff, nested: what it takes, in a moment and with little work. What can be had of a
//! roll does not limit it: it asks how much blanket a job takes, not whether somebody has it.

use crate::cost;
use crate::demand::{self, Demand, Picks};
use crate::finding::Findings;
use crate::nest::{self, Options, Quiet, Watch};
use crate::plan::{self, Wanted};
use crate::rules::Rules;
use crate::stock::Stock;
use crate::takeoff::{Item, Takeoff};
use crate::units::{Area, Length};
use std::collections::{BTreeMap, BTreeSet};

/// What a simulated job is made with.
#[derive(Clone, Copy, Debug)]
pub struct Shop<'a> {
    /// What can be bought; and the shelf, where it is to be used.
    pub stock: &'a Stock,
    /// The rules.
    pub rules: &'a Rules,
    /// Work for each nest.
    pub options: Options,
    /// The takeoff for which the nest chose, and what it chose: jobs drawn from it are made the same way.
    pub chosen: Option<(&'a Takeoff, &'a Picks)>,
}

impl Shop<'_> {
    /// The pieces of a drawn takeoff, for courses laid out on a stock: items are made as they were chosen for the whole
    /// one, and joints lie where they were chosen in runs that are as they were.
    pub(super) fn expand(&self, takeoff: &Takeoff, stock: &Stock) -> (Option<Demand>, Findings) {
        let Some((whole, picks)) = self.chosen.filter(|(_, picks)| !picks.is_empty()) else {
            return demand::expand(takeoff, stock, self.rules);
        };
        let was: BTreeMap<&str, &Item> =
            whole.items.iter().map(|item| (item.id.as_str(), item)).collect();
        let same = |item: &&Item| was.get(item.id.as_str()) == Some(item);
        let same: BTreeSet<&str> =
            takeoff.items.iter().filter(same).map(|item| item.id.as_str()).collect();
        let makings = Picks { makings: picks.makings.clone(), ..Picks::default() };
        let mut courses = picks.courses.clone();
        courses.retain(|(item, _), _| same.contains(item.as_str()));
        // A run whose fittings were not drawn has other ends, and other courses.
        let made = [Picks { courses, ..makings.clone() }, makings]
            .iter()
            .map(|picks| demand::expand_chosen(takeoff, stock, self.rules, picks))
            .find(|(demand, _)| demand.is_some());
        made.unwrap_or_else(|| demand::expand(takeoff, stock, self.rules))
    }
}

/// Who watches a simulation.
pub trait Follow: Watch {
    /// One more job is done.
    fn sampled(&self);
}

impl Follow for Quiet {
    fn sampled(&self) {}
}

/// Why a simulated job has no answer.
#[derive(Clone, Debug, thiserror::Error)]
pub enum Trouble {
    /// A takeoff that cannot be expanded.
    #[error("a simulated takeoff cannot be expanded into pieces")]
    Findings(Findings),
    /// A thickness that cannot be laid on its rolls.
    #[error("{0}")]
    Nest(String),
    /// Stopped before the simulation was done.
    #[error("stopped")]
    Stopped,
}

/// What one thickness of a simulated job takes.
#[derive(Clone, Debug, Default)]
pub(super) struct Taken {
    /// Rolls bought.
    pub rolls: u64,
    /// Their area, and that of offcuts taken from the shelf.
    pub whole: Area,
    /// The same without roll ends that are worth keeping.
    pub used: Area,
    /// Plain area of the pieces.
    pub plain: Area,
}

/// What a simulated job takes.
#[derive(Clone, Debug, Default)]
pub(super) struct Sample {
    /// By thickness.
    pub nests: BTreeMap<Length, Taken>,
    /// By kind: plain area of the pieces, and area used, each pull shared by the blanks in it.
    pub kinds: BTreeMap<&'static str, (Area, Area)>,
}

impl Sample {
    /// A sum over all thicknesses.
    pub fn sum(&self, of: impl Fn(&Taken) -> Area) -> Area {
        self.nests.values().map(of).sum()
    }
}

/// Expands and nests a takeoff.
pub(super) fn sample(
    takeoff: &Takeoff,
    shop: &Shop<'_>,
    watch: &dyn Watch,
) -> Result<Sample, Trouble> {
    let (demand, findings) = shop.expand(takeoff, shop.stock);
    let demand = demand.ok_or(Trouble::Findings(findings))?;
    let kinds: BTreeMap<&str, &'static str> =
        takeoff.items.iter().map(|item| (item.id.as_str(), cost::kind_word(&item.kind))).collect();
    let mut sample = Sample::default();
    for mut sheet in plan::job::wanted("simulated", &demand, shop.stock, shop.rules) {
        if watch.stop() {
            return Err(Trouble::Stopped);
        }
        // A roll of which there is none is not on offer.
        let bought = sheet.rolls.iter_mut().filter(|roll| !roll.shelf);
        bought.for_each(|roll| roll.available = roll.available.filter(|most| *most == 0));
        nested(&sheet, &kinds, shop, watch, &mut sample)?;
    }
    Ok(sample)
}

fn nested(
    sheet: &Wanted,
    kinds: &BTreeMap<&str, &'static str>,
    shop: &Shop<'_>,
    watch: &dyn Watch,
    sample: &mut Sample,
) -> Result<(), Trouble> {
    let thickness = sheet.thickness.unwrap_or_default();
    let answer = nest::solve(&sheet.instance(), &shop.options, watch)
        .map_err(|error| Trouble::Nest(format!("{thickness} mm: {error}")))?;
    let taken = sample.nests.entry(thickness).or_default();
    let blank = |piece: &plan::wanted::Piece| Area::of_rectangle(piece.width, piece.length).nm2();
    // By piece: blanks of it that were laid, and the area of rolls that falls to them.
    let mut falls = vec![0_i128; sheet.pieces.len()];
    for layout in &answer.layouts {
        let roll = &sheet.rolls[layout.roll];
        let length = roll.length.unwrap_or_default();
        let copies = i128::from(layout.copies);
        let far = layout.pulls.iter().map(|pull| pull.y + pull.length).max().unwrap_or_default();
        let kept = sheet.keep.worth(roll.width, length - far);
        let whole = Area::of_rectangle(roll.width, length);
        let used = if kept { Area::of_rectangle(roll.width, far) } else { whole };
        taken.rolls += if roll.shelf { 0 } else { layout.copies };
        taken.whole += whole * copies;
        taken.used += used * copies;
        // What lies outside the pulls falls to all pieces of the roll alike.
        let pulled: i128 = layout.pulls.iter().map(|pull| i128::from(pull.length.nm())).sum();
        for pull in &layout.pulls {
            let blanks: i128 = pull.placements.iter().map(|p| blank(&sheet.pieces[p.piece])).sum();
            let share = used.nm2() / pulled.max(1) * i128::from(pull.length.nm());
            // Square micrometres keep the products inside 128 bits.
            for place in &pull.placements {
                let part = blank(&sheet.pieces[place.piece]) / 1_000_000;
                falls[place.piece] +=
                    share / 1_000_000 * part / (blanks / 1_000_000).max(1) * 1_000_000 * copies;
            }
        }
    }
    for (piece, falls) in sheet.pieces.iter().zip(falls) {
        let plain = piece.area();
        taken.plain += plain * i128::from(piece.quantity);
        for used in &piece.uses {
            let Some(kind) = kinds.get(used.item.as_str()) else { continue };
            let sums = sample.kinds.entry(kind).or_default();
            sums.0 += plain * i128::from(used.quantity);
            let part = falls / i128::from(piece.quantity.max(1)) * i128::from(used.quantity);
            sums.1 += Area::from_nm2(part);
        }
    }
    Ok(())
}

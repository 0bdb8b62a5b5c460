//! Pulls that are known already: from the engine's answers, and back into them.

use super::best::Best;
use super::model::Model;
use super::pack;
use super::pattern::{Place, PullCut};
use crate::nest::{Instance, Layout};
use crate::units::{Angle, Length};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A piece in a pull: its sizes unturned, and whether it lies turned by a quarter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Laid {
    /// Size across, unturned.
    pub width: Length,
    /// Size along, unturned.
    pub length: Length,
    /// Whether its sides are exchanged.
    pub turned: bool,
}

impl Laid {
    /// How much of the pull it takes along.
    #[must_use]
    pub const fn along(&self) -> Length {
        if self.turned { self.width } else { self.length }
    }
}

/// A pull: lanes side by side, each a stack of pieces.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct LaidPull {
    /// Usable width of the rolls that it is cut from.
    pub width: Length,
    /// Its lanes.
    pub lanes: Vec<Vec<Laid>>,
}

/// The pulls of layouts. Pieces that share a stretch of the width are one lane, which is true for
/// straight cuts in two or three stages.
#[must_use]
pub fn laid(instance: &Instance, layouts: &[Layout]) -> Vec<LaidPull> {
    let mut all = Vec::new();
    for layout in layouts {
        let width = instance.rolls[layout.roll].width - instance.cutting.edge_trim * 2;
        for pull in &layout.pulls {
            let mut places: Vec<(Length, Length, Length, Laid)> = pull
                .placements
                .iter()
                .map(|placed| {
                    let piece = &instance.pieces[placed.piece];
                    let upright =
                        placed.turn == Angle::ZERO || placed.turn == Angle::from_degrees(180);
                    let laid = Laid { width: piece.width, length: piece.length, turned: !upright };
                    let across = if upright { piece.width } else { piece.length };
                    (placed.x, placed.y, placed.x + across, laid)
                })
                .collect();
            places.sort_unstable();
            let mut lanes: Vec<(Length, Vec<Laid>)> = Vec::new();
            for (from, _, to, laid) in places {
                match lanes.last_mut() {
                    Some((end, lane)) if from < *end => {
                        *end = to.max(*end);
                        lane.push(laid);
                    }
                    _ => lanes.push((to, vec![laid])),
                }
            }
            let lanes: Vec<Vec<Laid>> = lanes.into_iter().map(|lane| lane.1).collect();
            let one = LaidPull { width, lanes };
            all.extend((0..layout.copies).map(|_| one.clone()));
        }
    }
    all
}

/// Offers known pulls as an answer; pulls that are not what the instance asks for are let be.
pub(super) fn offer(best: &mut Best<'_>, task: (&Instance, &Model), known: &[LaidPull]) {
    if let Some(cuts) = cuts(task, known) {
        best.offer(task.1, cuts);
    }
}

/// Known pulls packed on rolls.
fn cuts(
    (instance, model): (&Instance, &Model),
    known: &[LaidPull],
) -> Option<super::pattern::Cuts> {
    if known.is_empty() {
        return None;
    }
    let mut classes: BTreeMap<(Length, Length), Vec<usize>> = BTreeMap::new();
    for (class, of) in model.classes.iter().enumerate() {
        let piece = &instance.pieces[*of.pieces.first()?];
        classes.entry((piece.width, piece.length)).or_default().push(class);
    }
    let mut left = model.demands();
    let mut widths: Vec<usize> = model.rolls.iter().map(|roll| roll.width).collect();
    widths.sort_unstable();
    widths.dedup();
    let mut on_width: Vec<BTreeMap<PullCut, u64>> = vec![BTreeMap::new(); widths.len()];
    for pull in known {
        let roll = instance
            .rolls
            .iter()
            .position(|roll| roll.width - instance.cutting.edge_trim * 2 == pull.width)?;
        let width = model.rolls[roll].width;
        let mut cut = PullCut { length: 0, width: 0, places: Vec::new() };
        for lane in &pull.lanes {
            if lane.len() > 1 && instance.cutting.stages == Some(2) {
                return None;
            }
            let (mut y, mut across) = (0, 0);
            for piece in lane {
                let mine = classes.get(&(piece.width, piece.length))?;
                let turned = piece.turned && piece.width != piece.length;
                let form = model
                    .forms
                    .iter()
                    .filter(|form| form.turned == turned && mine.contains(&form.class))
                    .find(|form| left[form.class] > 0)?;
                left[form.class] -= 1;
                cut.places.push(Place::of(form, cut.width, y));
                y += form.length;
                across = across.max(form.width);
            }
            cut.width += across;
            cut.length = cut.length.max(y);
        }
        if cut.width > width || cut.length > model.pull {
            return None;
        }
        let at = widths.binary_search(&width).ok()?;
        *on_width[at].entry(cut).or_default() += 1;
    }
    let shared = |pulls: BTreeMap<PullCut, u64>| {
        pulls.into_iter().map(|(pull, n)| (Arc::new(pull), n)).collect()
    };
    let on_width: Vec<Vec<(Arc<PullCut>, u64)>> = on_width.into_iter().map(shared).collect();
    let all = left.iter().all(|&n| n == 0);
    all.then(|| pack::on_products(model, &widths, &on_width)).flatten()
}

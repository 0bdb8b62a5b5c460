//! Instances of one dimension: no two pieces fit side by side, so a roll is cut like a bar.
//!
//! 1. It is one if no piece has an outline, every piece fits every roll across in just one of the
//!    ways it may lie, and even the two narrowest do not fit beside each other.
//! 2. A piece's size is its length along the roll and a gap; a roll's is what the square cut leaves
//!    and a gap, as there is none at its end.
//! 3. The packing's pieces are pulled one after the other.

use super::bound::{Certificate, by_area};
use super::one::{Answer, Bin, Problem, certify, solve as pack};
use super::{Basis, Instance, Layout, Nesting, News, Options, Placement, Pull, Watch};
use crate::cutting::{Objective, Style, Turns};
use crate::units::{Angle, Length};

/// How a piece lies: its size along the roll, and its turn.
#[derive(Clone, Copy, Debug)]
struct Lie {
    across: i64,
    along: i64,
    turn: Angle,
}

/// Puts the instance's name and objective on the news.
struct Named<'a> {
    watch: &'a dyn Watch,
    instance: &'a Instance,
}

impl Watch for Named<'_> {
    fn stop(&self) -> bool {
        self.watch.stop()
    }

    fn news(&self, news: &News<'_>) {
        let Instance { name, objective, .. } = self.instance;
        self.watch.news(&News { instance: name, objective: *objective, ..*news });
    }

    fn answered(&self) -> bool {
        self.watch.answered()
    }

    fn gone(&self) -> f64 {
        self.watch.gone()
    }
}

/// Whether an instance is of one dimension.
pub(super) fn takes(instance: &Instance) -> bool {
    instance.objective != Objective::Length && lies(instance).is_some()
}

/// Answers an instance of one dimension; nothing if it is not one, or no packing was found.
pub(super) fn solve(instance: &Instance, options: &Options, watch: &dyn Watch) -> Option<Nesting> {
    if instance.objective == Objective::Length {
        return None;
    }
    let lies = lies(instance)?;
    let gap = instance.cutting.gap.nm();
    let front = instance.cutting.square_cut.nm();
    let mut bins = Vec::new();
    for roll in &instance.rolls {
        let size = roll.length?.nm().checked_sub(front)?.checked_add(gap)?;
        bins.push(Bin { size, cost: roll.cost(instance.objective), available: roll.available });
    }
    let items: Option<Vec<(i64, u64)>> = lies
        .iter()
        .zip(&instance.pieces)
        .map(|(lie, piece)| Some((lie.along.checked_add(gap)?, piece.quantity)))
        .collect();
    let problem = Problem { bins, items: items? };
    let named = Named { watch, instance };
    let answer = pack(&problem, options, &named).ok()?;
    let certificate = certify(&problem, &answer)
        .map(|(prices, most)| {
            let most = most.into_iter().map(|worth| super::bound::Most { worth, per: 0 });
            Certificate::new(prices, most.collect())
        })
        .filter(|certificate| certificate.bound(instance) >= Some(answer.bound));
    Some(Nesting {
        layouts: layouts(instance, &lies, &answer),
        value: answer.value,
        bound: answer.bound,
        basis: basis(instance, &problem, &answer),
        certificate,
        status: answer.status,
    })
}

/// What the bound rests on. Lengths that rule less out need not be areas that do: courses are narrower than the roll, and
/// sizes that have much in common leave a rest on every roll.
pub(super) fn basis(instance: &Instance, problem: &Problem, answer: &Answer) -> Basis {
    if answer.basis != Basis::Area || by_area(instance).bound(instance) >= Some(answer.bound) {
        return answer.basis;
    }
    let [bin] = problem.bins.as_slice() else { return Basis::Lines };
    let items = problem.items.iter();
    let all: i128 = items.map(|&(size, count)| i128::from(size) * i128::from(count)).sum();
    let one_less = i128::from(answer.bound) - i128::from(bin.cost);
    let held = one_less * i128::from(bin.size);
    if all * i128::from(bin.cost) > held { Basis::Lines } else { Basis::DualFeasible }
}

/// How each piece lies, if the instance has one dimension.
fn lies(instance: &Instance) -> Option<Vec<Lie>> {
    let trims = instance.cutting.edge_trim.nm().checked_mul(2)?;
    let widths = || instance.rolls.iter().map(|roll| roll.width.nm().saturating_sub(trims));
    let (narrowest, widest) = (widths().min()?, widths().max()?);
    let mut lies = Vec::with_capacity(instance.pieces.len());
    for piece in &instance.pieces {
        if piece.outline.is_some() || piece.turns == Turns::Any {
            return None;
        }
        let (width, length) = (piece.width.nm(), piece.length.nm());
        let upright = piece.turns.upright_turn();
        let upright = upright.map(|turn| Lie { across: width, along: length, turn });
        let sideways = piece.turns.sideways_turn();
        let sideways = sideways.map(|turn| Lie { across: length, along: width, turn });
        let limit = instance.cutting.pull_limit.map_or(i64::MAX, Length::nm);
        let fits = |lie: &Lie| lie.across <= widest && lie.along <= limit;
        let lie = match (upright.filter(fits), sideways.filter(fits)) {
            (Some(lie), None) | (None, Some(lie)) => lie,
            (Some(lie), Some(_)) if width == length => lie,
            _ => return None,
        };
        if lie.across > narrowest {
            return None;
        }
        lies.push(lie);
    }
    let slimmest = lies.iter().map(|lie| lie.across).min()?;
    let both = slimmest.checked_mul(2)?;
    // Freely cut pieces keep the gap corner to corner, so that one beside another lets them lie closer along; where the
    // two just fill the roll there is room for no gap between them.
    let gap = instance.cutting.gap.nm();
    let between = match instance.cutting.style {
        Style::Straight => gap,
        Style::Free => gap.min(1),
    };
    (both.checked_add(between)? > widest).then_some(lies)
}

fn layouts(instance: &Instance, lies: &[Lie], answer: &Answer) -> Vec<Layout> {
    let edge = instance.cutting.edge_trim;
    let mut layouts = Vec::with_capacity(answer.patterns.len());
    for pattern in &answer.patterns {
        let mut y = instance.cutting.square_cut.nm();
        let mut pulls = Vec::new();
        for &(piece, count) in &pattern.items {
            let Lie { along, turn, .. } = lies[piece];
            for _ in 0..count {
                let at = Length::from_nm(y);
                let placement = Placement { piece, x: edge, y: at, turn };
                let length = Length::from_nm(along);
                pulls.push(Pull { y: at, length, placements: vec![placement] });
                y += along + instance.cutting.gap.nm();
            }
        }
        layouts.push(Layout { roll: pattern.bin, copies: pattern.copies, pulls });
    }
    layouts.sort_by_key(|layout| layout.roll);
    layouts
}

//! The straight engine's answer, in boxes and trains: a free layout like any other, and
//! soon there.

use super::first::lengthwise;
use super::number::{float, of_count, whole};
use super::sheets::{Filled, Sheet};
use super::strip::Laid;
use super::table::{Kit, Spot};
use crate::cutting::Style;
use crate::nest::watch::Hushed;
use crate::nest::{Instance, Nesting, Options, Placement, Watch, straight};
use crate::units::Length;

/// A strip's first layout may take this part of the work.
const OF_STRIP: u64 = 64;
/// It is tried where long pieces have this part of the area: others do not interlock in rows.
const LONG: f64 = 0.5;

/// A strip's first layout, where long pieces have most of its area: trains put gores with seams in turn
/// side by side without waste, which brickwork, made for gores that are all alike, does not.
pub fn strip(instance: &Instance, kit: &Kit, options: &Options, watch: &dyn Watch) -> Option<Laid> {
    let area = |piece: usize| {
        let copies = usize::try_from(instance.pieces[piece].quantity).unwrap_or(usize::MAX);
        kit.piece_area(piece) * of_count(copies)
    };
    let all: f64 = (0..instance.pieces.len()).map(area).sum();
    let long = (0..instance.pieces.len()).filter(|&piece| lengthwise(kit, piece).is_some());
    if long.map(area).sum::<f64>() < LONG * all {
        return None;
    }
    let options = Options { work: options.work / OF_STRIP, ..*options };
    let nesting = answer(instance, &options, watch)?;
    let [layout] = nesting.layouts.as_slice() else { return None };
    let places = layout.pulls.iter().flat_map(|pull| &pull.placements);
    laid(instance, kit, places, instance.cutting.square_cut)
}

/// An answer's rolls, so that its pulls can be searched on.
pub fn rolls(instance: &Instance, kit: &Kit, nesting: &Nesting) -> Option<Vec<Filled>> {
    let mut rolls = Vec::new();
    for layout in &nesting.layouts {
        let mut sheets = Vec::new();
        for pull in &layout.pulls {
            let Laid { spots, length } = laid(instance, kit, pull.placements.iter(), pull.y)?;
            sheets.push(Sheet { spots, length });
        }
        let copies = usize::try_from(layout.copies).ok()?;
        rolls.extend(std::iter::repeat_n(Filled { roll: layout.roll, sheets }, copies));
    }
    Some(rolls)
}

/// Pieces as they lie beyond a place along the roll.
fn laid<'a>(
    instance: &Instance,
    kit: &Kit,
    places: impl Iterator<Item = &'a Placement>,
    from: Length,
) -> Option<Laid> {
    let trim = instance.cutting.edge_trim;
    let mut spots = Vec::new();
    for place in places {
        let ways = kit.ways.get(place.piece)?;
        let way = ways.iter().find(|w| w.turn.quarter_turns() == place.turn.quarter_turns())?;
        let (x, y) = (float((place.x - trim).nm()), float((place.y - from).nm()));
        spots.push(Spot { piece: place.piece, way: *way, x, y });
    }
    let length = whole(kit.far(&spots));
    Some(Laid { spots, length })
}

/// An answer in three stages; none where the boxes of blanks are larger than the outlines'.
pub fn answer(instance: &Instance, options: &Options, watch: &dyn Watch) -> Option<Nesting> {
    let bare = |piece: &crate::nest::Piece| {
        piece.outline.as_ref().is_none_or(|o| o.size() == (piece.width, piece.length))
    };
    if !instance.pieces.iter().all(bare) {
        return None;
    }
    let mut boxes = instance.clone();
    boxes.cutting.style = Style::Straight;
    boxes.cutting.stages = Some(3);
    straight::solve(&boxes, options, &Hushed(watch)).ok()
}

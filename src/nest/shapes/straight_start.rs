//! The straight engine's answer, in boxes and trains: a free layout like any other, and
//! soon there.

use super::first::lengthwise;
use super::number::{float, of_count};
use super::strip::Laid;
use super::table::{Kit, Spot};
use crate::cutting::Style;
use crate::nest::{Instance, Nesting, News, Options, Watch, straight};

/// Passes the stop sign on and keeps the news back, whose bound is not ours.
struct Ear<'a>(&'a dyn Watch);

impl Watch for Ear<'_> {
    fn stop(&self) -> bool {
        self.0.stop()
    }
    fn news(&self, _: &News<'_>) {}
}

/// A strip's first layout may take this part of the work.
const OF_STRIP: u64 = 64;
/// It is tried where long pieces have this part of the area: others do not interlock in rows.
const LONG: f64 = 0.5;

/// A strip's first layout, where long pieces have most of its area: trains put gores with seams in turn
/// side by side without waste, which brickwork, made for gores that are all alike, does not.
pub fn strip(instance: &Instance, kit: &Kit, options: &Options, watch: &dyn Watch) -> Option<Laid> {
    let area = |piece: usize| {
        let copies = usize::try_from(instance.pieces[piece].quantity).unwrap_or(usize::MAX);
        kit.ways[piece].first().map_or(0.0, |way| kit.area(way.form)) * of_count(copies)
    };
    let all: f64 = (0..instance.pieces.len()).map(area).sum();
    let long = (0..instance.pieces.len()).filter(|&piece| lengthwise(kit, piece).is_some());
    if long.map(area).sum::<f64>() < LONG * all {
        return None;
    }
    let options = Options { work: options.work / OF_STRIP * 4, ..*options };
    let nesting = answer(instance, &options, watch)?;
    let [layout] = nesting.layouts.as_slice() else { return None };
    let (trim, square) = (instance.cutting.edge_trim.nm(), instance.cutting.square_cut.nm());
    let mut spots = Vec::new();
    for place in layout.pulls.iter().flat_map(|pull| &pull.placements) {
        let ways = kit.ways.get(place.piece)?;
        let way = ways.iter().find(|w| w.turn.quarter_turns() == place.turn.quarter_turns())?;
        let (x, y) = (float(place.x.nm() - trim), float(place.y.nm() - square));
        spots.push(Spot { piece: place.piece, way: *way, x, y });
    }
    let far = |spot: &Spot| super::number::whole(spot.y + kit.size(spot.way.form).1);
    let length = spots.iter().map(far).max()?;
    Some(Laid { spots, length })
}

/// An answer in three stages, found with a quarter of the work; none where the boxes of blanks are
/// larger than the outlines'.
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
    let options = Options { work: options.work / 4, ..*options };
    straight::solve(&boxes, &options, &Ear(watch)).ok()
}

//! The straight engine's answer, in boxes and trains: a free layout like any other, and
//! soon there.

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

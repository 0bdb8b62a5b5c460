//! Straight layouts as a start: whatever is cut edge to edge is a free layout too.

use super::packer::Spot;
use super::task::{Shape, Task};
use crate::cutting::Style;
use crate::nest::{Instance, Layout, Nesting, News, Options, Watch, straight};
use crate::units::Angle;

/// Passes the stop sign on, and better values, with a bound that holds for any cutting.
struct Ear<'a> {
    watch: &'a dyn Watch,
    bound: i64,
    value: i64,
}

impl Watch for Ear<'_> {
    fn stop(&self) -> bool {
        self.watch.stop()
    }
    fn news(&self, news: &News<'_>) {
        if news.value.is_some_and(|value| value < self.value) {
            self.watch.news(&News { bound: self.bound, ..*news });
        }
    }
    fn gone(&self) -> f64 {
        self.watch.gone()
    }
}

/// The straight engine's answer in three stages, if it has one. `bound` holds for any cutting, and
/// values not below `value` are no news.
pub fn straight_answer(
    instance: &Instance,
    options: &Options,
    (watch, bound, value): (&dyn Watch, i64, i64),
) -> Option<Nesting> {
    let mut straight_only = instance.clone();
    straight_only.cutting.style = Style::Straight;
    straight_only.cutting.stages = Some(3);
    straight::solve(&straight_only, options, &Ear { watch, bound, value }).ok()
}

/// One roll's layout as spots; `None` where it does not lie on whole units.
pub fn spots(
    instance: &Instance,
    task: &Task,
    kind_of: &[u32],
    layout: &Layout,
) -> Option<Vec<Spot>> {
    let cutting = &instance.cutting;
    let whole = |nm: i64| (nm % task.unit == 0).then_some(nm / task.unit);
    let mut spots = Vec::new();
    for place in layout.pulls.iter().flat_map(|pull| &pull.placements) {
        let piece = instance.pieces.get(place.piece)?;
        let upright = place.turn == Angle::ZERO || place.turn == Angle::from_degrees(180);
        let w = (piece.width + cutting.gap).nm() / task.unit;
        let h = (piece.length + cutting.gap).nm() / task.unit;
        spots.push(Spot {
            kind: *kind_of.get(place.piece)?,
            shape: if upright { Shape { w, h } } else { Shape { w: h, h: w } },
            room: 0,
            x: whole((place.x - cutting.edge_trim).nm())?,
            y: whole((place.y - cutting.square_cut).nm())?,
        });
    }
    Some(spots)
}

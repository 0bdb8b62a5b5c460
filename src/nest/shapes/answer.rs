//! From filled rolls to the engine's answer.

use super::number::whole;
use super::sheets::Filled;
pub(in crate::nest) use crate::nest::answer::value;
use crate::nest::{Instance, Layout, Nesting, Placement, Pull};
use crate::units::Length;

/// The layouts, like ones in a row as copies.
pub fn layouts(instance: &Instance, rolls: &[Filled]) -> Vec<Layout> {
    let mut layouts: Vec<Layout> = Vec::new();
    for filled in rolls {
        let pulls = pulls(instance, filled);
        if pulls.is_empty() {
            continue;
        }
        match layouts.last_mut() {
            Some(last) if last.roll == filled.roll && last.pulls == pulls => last.copies += 1,
            _ => layouts.push(Layout { roll: filled.roll, copies: 1, pulls }),
        }
    }
    layouts
}

fn pulls(instance: &Instance, filled: &Filled) -> Vec<Pull> {
    let trim = instance.cutting.edge_trim.nm();
    let mut y = instance.cutting.square_cut.nm();
    let mut pulls = Vec::new();
    for sheet in filled.sheets.iter().filter(|s| !s.spots.is_empty()) {
        let placements = sheet
            .spots
            .iter()
            .map(|spot| Placement {
                piece: spot.piece,
                x: Length::from_nm(trim + whole(spot.x)),
                y: Length::from_nm(y + whole(spot.y)),
                turn: spot.way.turn,
            })
            .collect();
        let length = Length::from_nm(sheet.length);
        pulls.push(Pull { y: Length::from_nm(y), length, placements });
        y += sheet.length + instance.cutting.gap.nm();
    }
    pulls
}

/// Whether filled rolls are better than an answer: of less value, or of the same with less of the
/// rolls drawn off.
pub fn better(instance: &Instance, rolls: &[Filled], other: &Nesting) -> bool {
    let layouts = layouts(instance, rolls);
    let drawn = |layouts: &[Layout]| -> i128 {
        let one = |l: &Layout| {
            let end = l.pulls.last().map_or(0, |pull| (pull.y + pull.length).nm());
            i128::from(end) * i128::from(instance.rolls[l.roll].width.nm()) * i128::from(l.copies)
        };
        layouts.iter().map(one).sum()
    };
    let key = |layouts: &[Layout]| (value(instance, layouts), drawn(layouts));
    key(&layouts) <= key(&other.layouts)
}

//! Looks for a better place for one piece.
//!
//! Steps (after Gardeyn, Vanden Berghe and Wauters, arXiv 2509.13329, section 5): places drawn
//! by lot all over the sheet and around the piece, in every way it may lie; the best few are
//! refined by coordinate descent with shrinking steps; the best of all is refined further, last
//! by moving out of its worst neighbours along the least way, or along both at once into the
//! corner between them, which ends in exact contact.

use super::form::Way;
use super::lot::Lot;
use super::table::Table;

/// How many places are drawn all over the sheet.
const ANYWHERE: usize = 10;
/// How many are drawn at which a corner touches another piece.
const TOUCHING: usize = 15;
/// How many are drawn near by.
const NEAR: usize = 10;
/// How many are refined.
const KEPT: usize = 3;

#[derive(Clone, Copy, Debug)]
struct Place {
    way: Way,
    x: f64,
    y: f64,
    cost: f64,
}

/// Moves a piece to a place of smaller weighted loss, if one is found.
pub fn improve(table: &mut Table<'_>, i: usize, lot: &mut Lot) -> bool {
    let old = table.spots[i];
    let before = table.current(i);
    let ways = table.kit.ways[old.piece].clone();
    let mut kept: Vec<Place> = vec![Place { way: old.way, x: old.x, y: old.y, cost: before }];
    for draw in 0..ANYWHERE + TOUCHING + NEAR {
        let way = ways[lot.below(ways.len())];
        let (w, l) = table.kit.size(way.form);
        let (x, y) = if draw < ANYWHERE {
            (lot.between(0.0, table.sheet[0] - w), lot.between(0.0, table.sheet[1] - l))
        } else if draw < ANYWHERE + TOUCHING {
            let j = lot.below(table.spots.len());
            let other = table.spots[j];
            let touch = table.kit.pairs.touch(other.way.form, way.form, lot.share());
            let Some([x, y]) = touch.filter(|_| j != i) else { continue };
            (other.x + x, other.y + y)
        } else {
            (old.x + lot.between(-w, w) * 0.5, old.y + lot.between(-l, l) * 0.5)
        };
        let Some((x, y)) = table.clamp(way.form, x, y) else { continue };
        let most = if kept.len() < KEPT { f64::INFINITY } else { kept[KEPT - 1].cost };
        let cost = table.cost(i, way, x, y, most);
        if cost < most {
            keep(&mut kept, Place { way, x, y, cost });
        }
    }
    for place in &mut kept {
        descend(table, i, place, (0.25, 0.02), lot);
    }
    kept.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    let Some(mut best) = kept.first().copied() else { return false };
    if best.cost > 0.0 {
        descend(table, i, &mut best, (0.01, 0.001), lot);
        part(table, i, &mut best);
    }
    if best.cost < before {
        table.place(i, best.way, best.x, best.y);
        return true;
    }
    false
}

fn keep(kept: &mut Vec<Place>, place: Place) {
    let at = kept.partition_point(|k| k.cost <= place.cost);
    kept.insert(at, place);
    kept.truncate(KEPT);
}

/// Coordinate descent with steps from the first to the second share of the piece's lesser side.
fn descend(table: &mut Table<'_>, i: usize, place: &mut Place, shares: (f64, f64), lot: &mut Lot) {
    let (w, l) = table.kit.size(place.way.form);
    let side = w.min(l);
    let mut steps = [shares.0 * side; 2];
    let least = shares.1 * side;
    while steps[0].max(steps[1]) > least && place.cost > 0.0 {
        let axis = lot.below(4);
        let (dx, dy) = match axis {
            0 => (steps[0], 0.0),
            1 => (0.0, steps[1]),
            2 => (steps[0], steps[1]),
            _ => (steps[0], -steps[1]),
        };
        let mut better = false;
        for sign in [1.0, -1.0] {
            let Some((x, y)) =
                table.clamp(place.way.form, place.x + sign * dx, place.y + sign * dy)
            else {
                continue;
            };
            let cost = table.cost(i, place.way, x, y, place.cost);
            if cost < place.cost {
                *place = Place { x, y, cost, ..*place };
                better = true;
                break;
            }
        }
        let scale = if better { 1.1 } else { 0.5 };
        if axis != 1 {
            steps[0] *= scale;
        }
        if axis != 0 {
            steps[1] *= scale;
        }
    }
}

/// Moves out of the worst neighbours as long as that helps.
fn part(table: &mut Table<'_>, i: usize, place: &mut Place) {
    for _ in 0..8 {
        if place.cost <= 0.0 {
            return;
        }
        let [Some(a), b] = table.ways_out(i, place.way, place.x, place.y) else { return };
        let mut moves = vec![a];
        if let Some(b) = b {
            moves.extend(corner(a, b));
            moves.push([a[0] + b[0], a[1] + b[1]]);
            moves.push(b);
        }
        let before = place.cost;
        for [dx, dy] in moves {
            let Some((x, y)) = table.clamp(place.way.form, place.x + dx, place.y + dy) else {
                continue;
            };
            let cost = table.cost(i, place.way, x, y, place.cost);
            if cost < place.cost {
                *place = Place { x, y, cost, ..*place };
                break;
            }
        }
        if place.cost >= before {
            return;
        }
    }
}

/// The move whose parts along both ways out are those ways: into the corner between the lines.
fn corner(a: [f64; 2], b: [f64; 2]) -> Option<[f64; 2]> {
    let (aa, bb) = (a[0] * a[0] + a[1] * a[1], b[0] * b[0] + b[1] * b[1]);
    let turn = a[0] * b[1] - a[1] * b[0];
    let flat = turn * turn < 1e-6 * aa * bb;
    (!flat).then(|| [(aa * b[1] - bb * a[1]) / turn, (bb * a[0] - aa * b[0]) / turn])
}

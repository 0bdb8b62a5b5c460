//! Lays long pieces in lanes along the sheet, every second lane half a piece ahead.
//!
//! Gores with the seam in the throat interlock exactly when one row lies half a length ahead of
//! the next (the widths of neighbours, `a + b cos` and `a - b cos`, add up to the same
//! everywhere), and nearly so when their lengths differ a little. Steps: pieces, sorted by
//! length, go one after the other to the lane that ends nearest to the front; as all lanes grow
//! alike and lengths change slowly, a lane's pieces stay half a length ahead of its neighbours'
//! without further care. Then lane by lane, from the left, every piece moves as far to the left
//! as the earlier lanes let it, at its place along the sheet. What would reach over the right edge
//! is put at it and overlaps; [`separate`](super::separate) finds room for it.

use super::form::Way;
use super::number::float;
use super::table::{Kit, Spot};
use crate::nest::positive;

/// How lanes are laid out.
#[derive(Clone, Copy, Debug)]
pub struct Lanes {
    /// How many there are.
    pub count: usize,
    /// Where every second one begins, in nanometres.
    pub ahead: i64,
}

/// Lays pieces in their order on a strip, and says how far over the edge they would reach in all.
pub fn lay(kit: &Kit, width: i64, items: &[(usize, Way)], lanes: Lanes) -> (Vec<Spot>, f64) {
    // Every second lane begins at the front, so further ones than these stay empty.
    let count = lanes.count.min(2 * items.len());
    let mut tops: Vec<i64> =
        (0..count).map(|lane| if lane % 2 == 0 { 0 } else { lanes.ahead }).collect();
    let mut rows: Vec<Vec<Spot>> = vec![Vec::new(); count];
    for &(piece, way) in items {
        let Some(lane) = (0..count).min_by_key(|&lane| tops[lane]) else { break };
        rows[lane].push(Spot { piece, way, x: 0.0, y: float(tops[lane]) });
        tops[lane] += kit.pairs.forms[way.form].length + kit.pairs.gap;
    }
    let mut spots: Vec<Spot> = Vec::new();
    let mut over = 0.0;
    for spot in rows.into_iter().flatten() {
        let right = positive(float(width) - kit.size(spot.way.form).0);
        let x = leftmost(kit, &spots, &spot);
        over += positive(x - right);
        spots.push(Spot { x: x.min(right), ..spot });
    }
    (spots, over)
}

/// How far to the left a piece can lie at its place along, to the right of all others there.
fn leftmost(kit: &Kit, spots: &[Spot], new: &Spot) -> f64 {
    let mut list = Vec::new();
    let mut least = 0.0_f64;
    for spot in spots {
        list.clear();
        kit.pairs.spans(spot.way.form, new.way.form, 0, new.y - spot.y, &mut list);
        let right = list.iter().map(|range| range.1).fold(f64::NEG_INFINITY, f64::max);
        least = least.max(spot.x + right);
    }
    least
}

/// Orders in which long pieces are laid, by their length along the sheet: falling, rising, and
/// rising with every second kind before it falls with the others.
pub fn orders(kit: &Kit, mut items: Vec<(usize, Way)>) -> Vec<Vec<(usize, Way)>> {
    items.sort_by_key(|&(piece, way)| (kit.pairs.forms[way.form].length, piece));
    let rising = items.clone();
    items.reverse();
    let falling = items;
    let mut kinds: Vec<usize> = rising.iter().map(|i| i.0).collect();
    kinds.dedup();
    let odd = |piece: usize| kinds.iter().position(|&k| k == piece).is_some_and(|k| k % 2 == 1);
    let mut pyramid: Vec<(usize, Way)> = rising.iter().copied().filter(|i| odd(i.0)).collect();
    pyramid.extend(falling.iter().copied().filter(|i| !odd(i.0)));
    vec![falling, rising, pyramid]
}

#[cfg(test)]
mod tests {
    use crate::nest::sample::instance;
    use crate::nest::{Options, Quiet, solve};

    /// Triangles a nanometre wide have as many lanes on a strip as it has nanometres, of which two are used.
    #[test]
    fn there_are_no_more_lanes_than_pieces_need() {
        let text = r#"{"name":"thin","objective":"length","rolls":[{"id":"A","width":1500,"length":null}],"pieces":[
            {"id":"p","outline":[[0,0],[1000,0],[1000,0.000001]],"quantity":2,"turns":[0,90]}],
            "cutting":{"style":"free"}}"#;
        let answer = solve(&instance(text), &Options { seed: 1, work: 1000 }, &Quiet).unwrap();
        assert!(answer.value <= 2_000_000_000, "{}", answer.value);
    }
}

//! Makes a layout shorter by moving all pieces at once.
//!
//! Compaction by linear programmes (Li and Milenkovic, European Journal of Operational Research 84,
//! 1995; Gomes and Oliveira, the same journal 171, 2006). Steps:
//!
//! 1. For every two pieces that can meet within the steps allowed, each convex part of what one
//!    forbids to the other gives a half-plane in which the other stays: that of the side which it is
//!    farthest beyond, or would be after the least move that parts the two.
//! 2. The programme: the least length, pieces moving no more than a step across and along, half-planes
//!    kept. Falling short of one costs a multiple of the length, so a layout with small overlaps is
//!    taken apart as it is made shorter.
//! 3. Again from where the pieces are now, since other sides may be better there, until nothing is
//!    gained.
//!
//! Solved by its dual programme: as many rows as pieces have places, a column for each half-plane,
//! whose upper bound is what falling short costs.

use super::number::{float, of_count};
use super::strip::Strip;
use super::table::Spot;
use crate::nest::positive;
use crate::nest::simplex::{Outcome, Row, Sense, Simplex};

/// How far a piece may move in one programme, as a share of the mean lesser side of pieces.
const STEP: f64 = 0.2;
/// Above so many half-planes for a piece, as outlines of many concave corners give, programmes take
/// longer than taking apart does.
const MOST: usize = 40;
/// What a unit of overlap costs, in units of length.
const OVERLAP: f64 = 4.0;
/// Pieces are kept so far apart, in nanometres, that whole places do not overlap.
const APART: f64 = 3.0;
/// Programmes at most.
const ROUNDS: usize = 8;
/// A round that gains a smaller share of the length is the last.
const GAIN: f64 = 2e-5;

/// Where pieces lie, and how far the last of them reaches.
#[derive(Clone, Debug)]
pub struct Compacted {
    /// The pieces.
    pub spots: Vec<Spot>,
    /// Their length.
    pub length: f64,
    /// Entries of matrices that were touched.
    pub work: u64,
}

/// Moves all pieces so that the strip is short; overlaps may be left.
pub fn compact(strip: &Strip<'_>, spots: &[Spot], stop: &dyn Fn() -> bool) -> Compacted {
    let mut now = Compacted { spots: spots.to_vec(), length: strip.kit.far(spots), work: 0 };
    let mut before = f64::INFINITY;
    for _ in 0..ROUNDS {
        let Some((spots, value, work)) = round(strip, &now.spots, now.length, stop) else { break };
        now.work += work;
        now.length = strip.kit.far(&spots);
        now.spots = spots;
        if value > before - GAIN * now.length {
            break;
        }
        before = value;
    }
    now
}

/// One programme: new places, its value (length and what overlap costs), the work done.
fn round(
    strip: &Strip<'_>,
    spots: &[Spot],
    length: f64,
    stop: &dyn Fn() -> bool,
) -> Option<(Vec<Spot>, f64, u64)> {
    let kit = strip.kit;
    let n = spots.len();
    let sizes: Vec<(f64, f64)> = spots.iter().map(|s| kit.size(s.way.form)).collect();
    let mean = sizes.iter().map(|s| s.0.min(s.1)).sum::<f64>() / of_count(n.max(1));
    let step = STEP * mean;
    // Lengths in units of the mean side keep the programme's numbers near one.
    let unit = 1.0 / mean;
    let width = float(strip.width);
    let least = (length - step).max(float(strip.least));
    let low: Vec<[f64; 2]> = spots.iter().map(|s| [(-step).max(-s.x), (-step).max(-s.y)]).collect();
    let high: Vec<[f64; 2]> =
        spots.iter().zip(&sizes).map(|(s, size)| [step.min(width - size.0 - s.x), step]).collect();
    // Rows of the dual: across and along of each piece, then the length.
    let row = |rhs: f64| Row { sense: Sense::AtMost, rhs };
    let rows: Vec<Row> = (0..2 * n).map(|_| row(0.0)).chain([row(1.0)]).collect();
    let mut dual = Simplex::new(&rows);
    let last = 2 * n;
    for i in 0..n {
        for axis in 0..2 {
            let range = positive(high[i][axis] - low[i][axis]);
            dual.add_column(range * unit, &[(2 * i + axis, -1.0)]);
        }
        let (y, l) = (spots[i].y, sizes[i].1);
        if y + high[i][1] + l > least {
            let reach = (y + low[i][1] + l - least) * unit;
            dual.add_column(-reach, &[(2 * i + 1, -1.0), (last, 1.0)]);
        }
    }
    let mut sides: Vec<[f64; 3]> = Vec::new();
    let (mut planes, mut looked) = (0, n * n / 2);
    let reach = 2.0 * step;
    for j in 0..n {
        for i in 0..j {
            let (a, b) = (&spots[i], &spots[j]);
            if kit.apart(a, b, float(kit.pairs.gap) + reach) {
                continue;
            }
            sides.clear();
            let from = (b.x - a.x, b.y - a.y);
            looked += kit.pairs.sides(a.way.form, b.way.form, from, reach, &mut sides);
            planes += sides.len();
            if planes > MOST * n {
                return None;
            }
            for &[nx, ny, short] in &sides {
                // n (move of b - move of a) >= short; moves are low + v.
                let lows = nx * (low[j][0] - low[i][0]) + ny * (low[j][1] - low[i][1]);
                let cost = -(short + APART - lows) * unit;
                let entries = [(2 * i, -nx), (2 * i + 1, -ny), (2 * j, nx), (2 * j + 1, ny)];
                let column = dual.add_column(cost, &entries);
                dual.set_upper(column, OVERLAP);
            }
        }
    }
    let outcome = dual.optimise(stop);
    if outcome != Outcome::Optimal {
        return None;
    }
    let moved = dual.prices();
    let spots = spots
        .iter()
        .enumerate()
        .map(|(i, s)| {
            let at = |axis: usize| low[i][axis] - moved[2 * i + axis] / unit;
            let x = (s.x + at(0)).clamp(0.0, (width - sizes[i].0).max(0.0));
            Spot { x, y: positive(s.y + at(1)), ..*s }
        })
        .collect();
    let value = least - dual.objective() / unit;
    Some((spots, value, dual.work() + looked as u64))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::shapes::form::{Form, Way};
    use crate::nest::shapes::pairs::Pairs;
    use crate::nest::shapes::table::Kit;
    use crate::units::Angle;

    /// Pieces of these outlines, one of each, at these places.
    fn lying(outlines: &[&[(i64, i64)]], gap: i64, places: &[(f64, f64)]) -> (Kit, Vec<Spot>) {
        let forms: Vec<Form> = outlines.iter().map(|o| Form::new(o.to_vec())).collect();
        let way = |form| Way { form, turn: Angle::from_degrees(0) };
        let ways = (0..forms.len()).map(|form| vec![way(form)]).collect();
        let spots = places
            .iter()
            .enumerate()
            .map(|(piece, &(x, y))| Spot { piece, way: way(piece), x, y })
            .collect();
        (Kit::new(Pairs::new(forms, gap), ways), spots)
    }

    const SQUARE: &[(i64, i64)] = &[(0, 0), (40_000, 0), (40_000, 40_000), (0, 40_000)];

    #[test]
    fn squares_in_a_lane_move_together_and_keep_the_gap() {
        // By hand: three of 40 with two gaps of 1 between them.
        let (kit, spots) =
            lying(&[SQUARE; 3], 1_000, &[(0.0, 5_000.0), (0.0, 50_000.0), (0.0, 99_000.0)]);
        let strip = Strip { kit: &kit, width: 40_000, least: 0 };
        let done = compact(&strip, &spots, &|| false);
        let laid = strip.laid(&done.spots, done.length.ceil() + 100.0).unwrap();
        assert!((122_000..122_020).contains(&laid.length), "{}", laid.length);
    }

    #[test]
    fn overlaps_are_taken_apart_where_there_is_room() {
        let (kit, spots) = lying(&[SQUARE; 2], 0, &[(0.0, 0.0), (37_000.0, 0.0)]);
        let strip = Strip { kit: &kit, width: 100_000, least: 0 };
        let done = compact(&strip, &spots, &|| false);
        let laid = strip.laid(&done.spots, done.length.ceil() + 100.0).unwrap();
        assert_eq!(laid.length, 40_000);
    }

    #[test]
    fn a_wedge_slides_along_its_neighbour() {
        // Two right triangles that make a square of 60 when the second has slid all the way.
        let low: &[(i64, i64)] = &[(0, 0), (60_000, 0), (0, 60_000)];
        let high: &[(i64, i64)] = &[(60_000, 0), (60_000, 60_000), (0, 60_000)];
        let (kit, spots) = lying(&[low, high], 0, &[(0.0, 0.0), (20_000.0, 9_000.0)]);
        let strip = Strip { kit: &kit, width: 90_000, least: 0 };
        let done = compact(&strip, &spots, &|| false);
        let laid = strip.laid(&done.spots, done.length.ceil() + 100.0).unwrap();
        assert!((60_000..60_020).contains(&laid.length), "{}", laid.length);
    }
}

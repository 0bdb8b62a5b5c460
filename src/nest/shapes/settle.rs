//! Takes the last nanometres out of a layout.
//!
//! The search keeps pieces a few nanometres apart, so that rounding leaves no overlap; a row that would fill
//! a pull exactly is then too long for it. Pieces are pushed to the front and to the side, those in front
//! first, as far as the exact test lets them.

use super::exact::conflict;
use super::number::{float, whole};
use super::table::{Kit, Spot};
use crate::nest::Watch;

/// The first step, in nanometres; each next is half of it, down to one.
const STEP: i64 = 1_024;

/// Times that all are pushed, at most.
const ROUNDS: i64 = 6;

/// Pushes pieces that lie in whole nanometres and free of one another; they stay so, and none moves back. Ends
/// early where that is asked for.
pub fn settle(kit: &Kit, spots: &mut [Spot], watch: &dyn Watch) {
    // Only these may come near one another, as far as all are pushed.
    let near = neighbours(kit, spots, kit.pairs.gap + 2 * STEP * (1 + ROUNDS));
    for _ in 0..ROUNDS {
        let mut moved = false;
        for along in [true, false] {
            let at = |spot: &Spot| if along { spot.y } else { spot.x };
            let mut order: Vec<usize> = (0..spots.len()).collect();
            order.sort_by(|&i, &j| at(&spots[i]).total_cmp(&at(&spots[j])).then(i.cmp(&j)));
            for i in order {
                if watch.stop() {
                    return;
                }
                moved |= push(kit, spots, (i, &near[i]), along);
            }
        }
        if !moved {
            break;
        }
    }
}

/// For each spot those whose boxes lie no farther away, across and along.
fn neighbours(kit: &Kit, spots: &[Spot], by: i64) -> Vec<Vec<usize>> {
    let by = float(by);
    let mut order: Vec<usize> = (0..spots.len()).collect();
    order.sort_by(|&i, &j| spots[i].y.total_cmp(&spots[j].y).then(i.cmp(&j)));
    let mut near = vec![Vec::new(); spots.len()];
    for (at, &i) in order.iter().enumerate() {
        let far = spots[i].y + kit.size(spots[i].way.form).1 + by;
        for &j in order[at + 1..].iter().take_while(|&&j| spots[j].y < far) {
            if !kit.apart(&spots[i], &spots[j], by) {
                near[i].push(j);
                near[j].push(i);
            }
        }
    }
    near
}

/// Pushes one piece; whether it moved.
fn push(kit: &Kit, spots: &mut [Spot], (i, near): (usize, &[usize]), along: bool) -> bool {
    let gap = kit.pairs.gap;
    let reach = float(gap + 2 * STEP);
    let others: Vec<usize> =
        near.iter().copied().filter(|&j| !kit.apart(&spots[i], &spots[j], reach)).collect();
    let form = |spot: &Spot| &kit.pairs.forms[spot.way.form];
    let mut place = (whole(spots[i].x), whole(spots[i].y));
    let from = place;
    let mut step = STEP;
    while step > 0 {
        let to = if along { (place.0, place.1 - step) } else { (place.0 - step, place.1) };
        let free = |&j: &usize| {
            let (x, y) = (whole(spots[j].x), whole(spots[j].y));
            !conflict(form(&spots[i]), form(&spots[j]), x - to.0, y - to.1, gap)
        };
        if to.0 >= 0 && to.1 >= 0 && others.iter().all(free) {
            place = to;
        }
        step /= 2;
    }
    (spots[i].x, spots[i].y) = (float(place.0), float(place.1));
    place != from
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::Quiet;
    use crate::nest::shapes::form::{Form, Way};
    use crate::nest::shapes::pairs::Pairs;
    use crate::units::Angle;

    /// By hand: squares of 100 and a gap of 10, each a few nanometres too far off.
    #[test]
    fn rows_close_to_the_nanometre_and_keep_their_gap() {
        let square = Form::new(vec![(0, 0), (100_000, 0), (100_000, 100_000), (0, 100_000)]);
        let way = Way { form: 0, turn: Angle::from_degrees(0) };
        let kit = Kit::new(Pairs::new(vec![square], 10_000), vec![vec![way]]);
        let places = [(3, 2), (110_009, 1), (4, 110_007), (110_011, 110_013)];
        let spot = |(x, y): (i64, i64)| Spot { piece: 0, way, x: float(x), y: float(y) };
        let mut spots = places.map(spot);
        settle(&kit, &mut spots, &Quiet);
        let places = spots.map(|spot| (whole(spot.x), whole(spot.y)));
        assert_eq!(places, [(0, 0), (110_000, 0), (0, 110_000), (110_000, 110_000)]);
    }

    /// By hand: a triangle of 100 by 100 slides down the slope of its like until it lies on the front.
    #[test]
    fn slopes_close_too() {
        let low = Form::new(vec![(0, 0), (100_000, 0), (0, 100_000)]);
        let high = Form::new(vec![(100_000, 0), (100_000, 100_000), (0, 100_000)]);
        let way = |form| Way { form, turn: Angle::from_degrees(0) };
        let kit = Kit::new(Pairs::new(vec![low, high], 0), vec![vec![way(0)], vec![way(1)]]);
        let spot = |form, x, y| Spot { piece: form, way: way(form), x, y };
        let mut spots = [spot(0, 5.0, 7.0), spot(1, 8.0, 9.0)];
        settle(&kit, &mut spots, &Quiet);
        assert_eq!(whole(kit.far(&spots)), 100_000);
    }
}

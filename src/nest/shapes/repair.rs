//! From the search's places to whole nanometres without any overlap.
//!
//! Steps: round; while some pair is in conflict by the exact test, move one of the two out along
//! the least way, rounded away from zero, or the other one the opposite way where the sheet's
//! edge is in the way. The piece that moved last stays and pushes the other on, so that a row
//! without room in the middle is pushed to where there is some. The search leaves conflicts of a nanometre or so, so a few rounds do, or
//! the layout is given up.

use super::exact::conflict;
use super::number::{float, outward, whole};
use super::table::{Kit, Spot};

/// Rounds before a layout is given up.
const ROUNDS: usize = 60;

/// A place in whole nanometres on a sheet.
pub type Whole = (i64, i64);

/// Whole places without conflict on a sheet of this size, near the ones given.
pub fn repair(kit: &Kit, sheet: (i64, i64), spots: &[Spot]) -> Option<Vec<Whole>> {
    let mut places: Vec<Whole> = spots
        .iter()
        .map(|spot| clamp(kit, sheet, spot, (whole(spot.x), whole(spot.y))))
        .collect::<Option<_>>()?;
    let mut moved = vec![0; spots.len()];
    for round in 1..=ROUNDS {
        let bad = conflicts(kit, spots, &places);
        if bad.is_empty() {
            return Some(places);
        }
        for (i, j) in bad {
            let (i, j) = if moved[j] > moved[i] { (j, i) } else { (i, j) };
            part(kit, sheet, spots, &mut places, i, j)?;
            moved[j] = round;
        }
    }
    None
}

/// The pairs in conflict, by the exact test.
pub fn conflicts(kit: &Kit, spots: &[Spot], places: &[Whole]) -> Vec<(usize, usize)> {
    let form = |i: usize| &kit.pairs.forms[spots[i].way.form];
    let mut order: Vec<usize> = (0..spots.len()).collect();
    order.sort_by_key(|&i| (places[i].1, i));
    let mut bad = Vec::new();
    for (k, &i) in order.iter().enumerate() {
        let far = places[i].1 + form(i).length + kit.pairs.gap;
        for &j in order[k + 1..].iter().take_while(|&&j| places[j].1 < far) {
            let (dx, dy) = (places[j].0 - places[i].0, places[j].1 - places[i].1);
            if conflict(form(i), form(j), dx, dy, kit.pairs.gap) {
                bad.push((i, j));
            }
        }
    }
    bad
}

fn part(
    kit: &Kit,
    sheet: (i64, i64),
    spots: &[Spot],
    places: &mut [Whole],
    i: usize,
    j: usize,
) -> Option<()> {
    let form = |i: usize| spots[i].way.form;
    let (dx, dy) = (places[j].0 - places[i].0, places[j].1 - places[i].1);
    if !conflict(&kit.pairs.forms[form(i)], &kit.pairs.forms[form(j)], dx, dy, kit.pairs.gap) {
        return Some(());
    }
    let (a, b, x, y) = (form(i), form(j), float(dx), float(dy));
    let step = if let Some(way) = kit.pairs.way_out(a, b, x, y) {
        (outward(way[0]), outward(way[1]))
    } else {
        // Floating point sees no conflict: a nanometre across the boundary ends it.
        let way = kit.pairs.outward(a, b, x, y);
        (whole(way[0] * 1.2), whole(way[1] * 1.2))
    };
    let moved = (places[j].0 + step.0, places[j].1 + step.1);
    let kept = clamp(kit, sheet, &spots[j], moved)?;
    places[j] = kept;
    if kept != moved {
        let back = (places[i].0 - (moved.0 - kept.0), places[i].1 - (moved.1 - kept.1));
        places[i] = clamp(kit, sheet, &spots[i], back)?;
    }
    Some(())
}

fn clamp(kit: &Kit, sheet: (i64, i64), spot: &Spot, place: Whole) -> Option<Whole> {
    let form = &kit.pairs.forms[spot.way.form];
    let (right, far) = (sheet.0 - form.width, sheet.1 - form.length);
    (right >= 0 && far >= 0).then(|| (place.0.clamp(0, right), place.1.clamp(0, far)))
}

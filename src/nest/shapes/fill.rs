//! Lays pieces one after the other, each as near to the front as it goes.
//!
//! Steps (bottom-left-fill with no-fit polygons; Burke et al., European Journal of Operational
//! Research 179, 2007): at places across the sheet that touch an edge or a neighbour, and some
//! between, take the first free place along it, the ranges that each neighbour forbids on that
//! line being known; slide to the left and to the front as far as the way is free; keep the
//! place whose far side is nearest to the front. Gaps between earlier pieces are found as well.

use super::exact::conflict;
use super::form::Way;
use super::number::{float, of_count, whole};
use super::table::{Kit, Spot};

/// Touching within this is free, in nanometres.
const EDGE: f64 = 1e-3;
/// Places tried across the sheet besides those that touch something.
const BETWEEN: usize = 24;
/// Most places tried across the sheet, for each way of a piece.
pub const MOST: usize = 160;

/// The place for a piece nearest to the front of a sheet, or none if it finds no room.
pub fn place(kit: &Kit, sheet: [f64; 2], spots: &[Spot], piece: usize) -> Option<Spot> {
    let forms = |way: &Way| spots.iter().map(|s| (s.way.form, way.form)).collect::<Vec<_>>();
    kit.pairs.prepare(kit.ways[piece].iter().flat_map(forms));
    let mut found: Vec<(f64, Spot)> = Vec::new();
    let mut least = f64::INFINITY;
    for &way in &kit.ways[piece] {
        let (w, l) = kit.size(way.form);
        let (right, far) = (sheet[0] - w, sheet[1] - l);
        if right < 0.0 || far < 0.0 {
            continue;
        }
        for x in starts(kit, spots, w, right) {
            let limit = far.min(least - l);
            let Some(y) = first_free(&ranges(kit, spots, way, 1, x), 0.0, limit) else { continue };
            let (x, y) = settle(kit, spots, way, x, y);
            least = least.min(y + l);
            found.push((y + l, Spot { piece, way, x, y }));
        }
    }
    found.extend(behind(kit, sheet, spots, piece).map(|spot| (f64::INFINITY, spot)));
    found.sort_by(|(e, a), (f, b)| e.total_cmp(f).then(a.x.total_cmp(&b.x)));
    found.into_iter().find_map(|(_, spot)| exactly(kit, sheet, spots, spot))
}

/// The place behind everything else: there is room in any case, if the sheet is long enough.
pub fn behind(kit: &Kit, sheet: [f64; 2], spots: &[Spot], piece: usize) -> Option<Spot> {
    let length = |way: &&Way| kit.pairs.forms[way.form].length;
    let fits = |way: &&Way| kit.size(way.form).0 <= sheet[0];
    let way = *kit.ways[piece].iter().filter(fits).min_by_key(length)?;
    let end = kit.far(spots);
    let y = if spots.is_empty() { 0.0 } else { end + float(kit.pairs.gap) };
    Some(Spot { piece, way, x: 0.0, y })
}

/// The nearest place in whole nanometres that is free by the exact test, a few nanometres away
/// at most. The places of all other pieces are whole.
pub fn exactly(kit: &Kit, sheet: [f64; 2], spots: &[Spot], spot: Spot) -> Option<Spot> {
    let form = &kit.pairs.forms[spot.way.form];
    let (right, far) = (whole(sheet[0]) - form.width, whole(sheet[1]) - form.length);
    let (x, y) = (whole(spot.x), whole(spot.y));
    let gap = kit.pairs.gap;
    let near = |s: &&Spot| {
        let (w, l) = kit.size(s.way.form);
        let room = float(gap) + 10.0;
        s.x < spot.x + float(form.width) + room
            && spot.x < s.x + w + room
            && s.y < spot.y + float(form.length) + room
            && spot.y < s.y + l + room
    };
    let others: Vec<&Spot> = spots.iter().filter(near).collect();
    let mut steps: Vec<(i64, i64)> =
        (-4..=4).flat_map(|dy| (-4..=4).map(move |dx| (dx, dy))).collect();
    steps.sort_by_key(|&(dx, dy): &(i64, i64)| (dx.abs().max(dy.abs()), dy.abs(), -dx, -dy));
    steps.into_iter().map(|(dx, dy)| (x + dx, y + dy)).find_map(|(x, y)| {
        let inside = (0..=right).contains(&x) && (0..=far).contains(&y);
        let free = inside
            && others.iter().all(|s| {
                let (dx, dy) = (x - whole(s.x), y - whole(s.y));
                !conflict(&kit.pairs.forms[s.way.form], form, dx, dy, gap)
            });
        free.then(|| Spot { x: float(x), y: float(y), ..spot })
    })
}

/// Slides left and to the front, turn about, as far as the way is free.
pub fn settle(kit: &Kit, spots: &[Spot], way: Way, x: f64, y: f64) -> (f64, f64) {
    let (mut x, mut y) = (x, y);
    for _ in 0..4 {
        let left = back(&ranges(kit, spots, way, 0, y), x);
        let near = back(&ranges(kit, spots, way, 1, left), y);
        let still = x - left < EDGE && y - near < EDGE;
        (x, y) = (left, near);
        if still {
            break;
        }
    }
    (x, y)
}

/// Places across the sheet worth trying, from the left.
fn starts(kit: &Kit, spots: &[Spot], w: f64, right: f64) -> Vec<f64> {
    let gap = float(kit.pairs.gap);
    let mut list: Vec<f64> =
        (0..=BETWEEN).map(|k| right * of_count(k) / of_count(BETWEEN)).collect();
    for spot in spots {
        let (width, _) = kit.size(spot.way.form);
        let after = spot.x + width + gap;
        list.extend([after, spot.x - w - gap, spot.x, spot.x + width - w]);
    }
    list.retain(|x| (0.0..=right).contains(x));
    list.sort_by(f64::total_cmp);
    list.dedup_by(|a, b| *a - *b < 1e3);
    let step = list.len().div_ceil(MOST).max(1);
    list.into_iter().step_by(step).collect()
}

/// The forbidden ranges on a line across (axis 0) or along (axis 1) the sheet, from the least.
fn ranges(kit: &Kit, spots: &[Spot], way: Way, axis: usize, fixed: f64) -> Vec<(f64, f64)> {
    let mut list = Vec::new();
    for spot in spots {
        let (own, other) = if axis == 0 { (spot.x, spot.y) } else { (spot.y, spot.x) };
        let from = list.len();
        kit.pairs.spans(spot.way.form, way.form, axis, fixed - other, &mut list);
        for range in &mut list[from..] {
            *range = (range.0 + own, range.1 + own);
        }
    }
    list.sort_by(|a, b| a.0.total_cmp(&b.0));
    list
}

/// The least free place from one up to a limit.
pub fn first_free(ranges: &[(f64, f64)], from: f64, limit: f64) -> Option<f64> {
    let mut at = from;
    for &(low, high) in ranges {
        if low + EDGE >= at {
            break;
        }
        if high - EDGE > at {
            at = high;
        }
    }
    (at <= limit).then_some(at)
}

/// How far back one can slide from a free place.
fn back(ranges: &[(f64, f64)], from: f64) -> f64 {
    ranges.iter().map(|r| r.1).filter(|&high| high <= from + EDGE).fold(0.0, f64::max).min(from)
}

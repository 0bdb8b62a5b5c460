//! How wide a curved piece is at least, stretch by stretch: what lines across a roll are sure to meet.
//!
//! Over a stretch of the piece's length an outline's measure (what a line across it has of the piece, all
//! parts of a comb together) is least at a corner or at an end of the stretch, as it is straight in
//! between. Left sides are rounded up and right sides down, so a slice is never wider than the piece.

use crate::geometry::Outline;

/// A stretch of a piece in units along: its least measure in nanometres, and its length.
pub(super) type Slice = (i64, usize);

/// An edge with the lower end first: `(x, y)` of both ends.
pub(super) type Edge = ((i64, i64), (i64, i64));

/// The edges of a polygon that lines across the roll meet.
pub(super) fn edges(corners: &[(i64, i64)]) -> Vec<Edge> {
    let ends = corners.iter().zip(corners.iter().cycle().skip(1));
    let leaning = ends.filter(|(p, q)| p.1 != q.1);
    leaning.map(|(&p, &q)| if p.1 < q.1 { (p, q) } else { (q, p) }).collect()
}

/// The edges of a stretch within which none ends, from left to right.
pub(super) fn sides(edges: &[Edge], [from, to]: [i64; 2]) -> Vec<&Edge> {
    let there = |edge: &&Edge| edge.0.1 <= from && edge.1.1 >= to;
    let mut sides: Vec<&Edge> = edges.iter().filter(there).collect();
    // Edges do not cross: their middles say in what order they lie.
    sides.sort_by_key(|edge| place(edge, from, false) + place(edge, to, false));
    sides
}

/// What lines have of the piece at both ends of a stretch within which no edge ends.
pub(super) fn measures(edges: &[Edge], [from, to]: [i64; 2]) -> [i64; 2] {
    let sides = sides(edges, [from, to]);
    [from, to].map(|y| {
        let parts = sides.chunks_exact(2);
        parts.map(|two| (place(two[1], y, false) - place(two[0], y, true)).max(0)).sum()
    })
}

/// Slices of an outline as it lies: at most `most`, each of whole units of `unit` nanometres, from
/// the front on. What is left at the far end is no longer than a unit and is left out.
pub(super) fn slices(outline: &Outline, unit: i64, most: usize) -> Vec<Slice> {
    let corners: Vec<(i64, i64)> =
        outline.corners().iter().map(|point| (point.x.nm(), point.y.nm())).collect();
    let edges = edges(&corners);
    let units = usize::try_from(outline.size().1.nm() / unit.max(1)).unwrap_or(0);
    let many = most.min(units);
    (0..many)
        .map(|at| {
            let (from, to) = (at * units / many, (at + 1) * units / many);
            let nm = |units: usize| i64::try_from(units).unwrap_or(i64::MAX).saturating_mul(unit);
            (least(&edges, nm(from), nm(to)), to - from)
        })
        .collect()
}

/// The least measure between two places along.
fn least(edges: &[Edge], from: i64, to: i64) -> i64 {
    let mut places: Vec<i64> = vec![from, to];
    let ends = edges.iter().flat_map(|(p, q)| [p.1, q.1]);
    places.extend(ends.filter(|&y| from < y && y < to));
    places.sort_unstable();
    places.dedup();
    let stretch = |ends: &[i64]| measures(edges, [ends[0], ends[1]]).into_iter().min().unwrap_or(0);
    places.windows(2).map(stretch).min().unwrap_or(0)
}

/// Where an edge lies at `y`, rounded up or down.
pub(super) fn place(&((x, y0), (far, y1)): &Edge, y: i64, up: bool) -> i64 {
    let over = i128::from(far - x) * i128::from(y - y0);
    let under = i128::from(y1 - y0);
    let more = i128::from(up && over.rem_euclid(under) != 0);
    x + i64::try_from(over.div_euclid(under) + more).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;
    use crate::units::Length;

    fn outline(corners: &[(i64, i64)]) -> Outline {
        let point = |&(x, y): &(i64, i64)| Point::new(Length::from_nm(x), Length::from_nm(y));
        Outline::new(corners.iter().map(point).collect()).expect("an outline")
    }

    #[test]
    fn slices_are_as_wide_as_the_piece_where_it_is_narrowest() {
        // A triangle 80 wide at the front that ends in a point 40 ahead: by hand.
        let triangle = outline(&[(0, 0), (80, 0), (40, 40)]);
        assert_eq!(slices(&triangle, 10, 4), [(60, 10), (40, 10), (20, 10), (0, 10)].map(of_ten));
        // Two teeth of 20, joined at the front by a bridge 10 long.
        let comb = [(0, 0), (60, 0), (60, 30), (40, 30), (40, 10), (20, 10), (20, 30), (0, 30)];
        assert_eq!(slices(&outline(&comb), 10, 3), [(60, 10), (40, 10), (40, 10)].map(of_ten));
        // Three units of 13 in a length of 40; one is left out.
        assert_eq!(slices(&triangle, 13, 2).iter().map(|slice| slice.1).sum::<usize>(), 3);
    }

    /// Units of 10 are meant.
    fn of_ten((wide, long): (i64, usize)) -> Slice {
        (wide, long / 10)
    }

    proptest::proptest! {
        /// Slices cover no more than the piece, and most of one with many of them.
        #[test]
        fn slices_lie_within_the_area(waist in 10_i64..2000, tall in 200_i64..3000, wide in 400_i64..3000) {
            let hourglass = outline(&[
                (0, 0), (2 * wide, 0), (wide + waist.min(wide), tall),
                (2 * wide, 2 * tall), (0, 2 * tall), (wide - waist.min(wide), tall),
            ]);
            let area = hourglass.area().nm2();
            let of = |most: usize| -> i128 {
                let all = slices(&hourglass, 1, most);
                all.iter().map(|&(wide, long)| i128::from(wide) * long as i128).sum()
            };
            proptest::prop_assert!(of(5) <= of(200) && of(200) <= area);
            proptest::prop_assert!(of(200) * 100 >= area * 95);
        }
    }
}

//! Overlap and distance of random outlines against an oracle that knows only sets of cells.
//!
//! An outline is a row of columns of unit cells, each beginning anywhere beside the last: steps,
//! notches, straight runs with corners in them and corners given twice come by themselves. Two
//! outlines overlap exactly when they have a cell in common, whatever whole-number map then turns
//! the cells into slanted ones or slivers. Their distance is the least of two cells.

use super::{Corner, nearer, overlap};
use crate::geometry::{Outline, Point};
use crate::units::Length;
use proptest::prelude::*;

type Cell = (i64, i64);

/// Columns as (begin, end) along.
fn columns() -> impl Strategy<Value = Vec<(i64, i64)>> {
    prop::collection::vec((0..100_i64, 1..6_i64), 1..6).prop_map(|draws| {
        let mut columns: Vec<(i64, i64)> = Vec::new();
        for (draw, height) in draws {
            // Beside the last column by at least one cell.
            let from = columns
                .last()
                .map_or(0, |&(low, high)| low - height + 1 + draw % (high - low + height - 1));
            columns.push((from, from + height));
        }
        columns
    })
}

fn cells(columns: &[(i64, i64)], by: Cell) -> Vec<Cell> {
    let column = |(x, &(low, high)): (i64, &(i64, i64))| (low..high).map(move |y| (x, y));
    (0..).zip(columns).flat_map(column).map(|(x, y)| (x + by.0, y + by.1)).collect()
}

/// The outline around the cells, mapped and moved; corners as the audit sees them.
fn outline(columns: &[(i64, i64)], map: [i64; 4], by: Cell) -> Vec<Corner> {
    let near = (0..).zip(columns).flat_map(|(x, c)| [(x, c.0), (x + 1, c.0)]);
    let far: Vec<Cell> = (0..).zip(columns).flat_map(|(x, c)| [(x, c.1), (x + 1, c.1)]).collect();
    let ring: Vec<Cell> = near.chain(far.into_iter().rev()).collect();
    let mapped = |(x, y): Cell| {
        let (x, y) = (x + by.0, y + by.1);
        (map[0] * x + map[1] * y, map[2] * x + map[3] * y)
    };
    let ring: Vec<Corner> = ring.into_iter().map(mapped).collect();
    let points = ring.iter().map(|c| Point::new(Length::from_nm(c.0), Length::from_nm(c.1)));
    let outline = Outline::new(points.collect()).expect("columns side by side are simple");
    let least = |axis: fn(&Corner) -> i64| ring.iter().map(axis).min().expect("corners");
    let (left, low) = (least(|c| c.0), least(|c| c.1));
    outline.corners().iter().map(|p| (p.x.nm() + left, p.y.nm() + low)).collect()
}

/// The square of the least distance of two sets of unit cells.
fn square_distance(a: &[Cell], b: &[Cell]) -> i64 {
    let apart = |p: i64, q: i64| ((p - q).abs() - 1).max(0);
    let pairs = a.iter().flat_map(|p| b.iter().map(move |q| (p, q)));
    pairs.map(|(p, q)| apart(p.0, q.0).pow(2) + apart(p.1, q.1).pow(2)).min().expect("cells")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn overlap_is_a_common_cell_under_any_map(
        a in columns(),
        b in columns(),
        by in (-6..7_i64, -8..9_i64),
        map in prop_oneof![
            Just([1, 0, 0, 1]),
            Just([3, 1, -2, 5]),
            Just([1, 1000, 0, 1]),
            Just([1, 0, 999_999, 1]),
            Just([1_000_000, 999_999, 999_999, 1_000_000]),
        ],
    ) {
        let common = cells(&a, (0, 0)).iter().any(|cell| cells(&b, by).contains(cell));
        let (p, q) = (outline(&a, map, (0, 0)), outline(&b, map, by));
        prop_assert_eq!(overlap(&p, &q), common);
        prop_assert_eq!(overlap(&q, &p), common);
    }

    #[test]
    fn distance_is_that_of_the_nearest_cells(
        a in columns(),
        b in columns(),
        by in (-14..15_i64, -14..15_i64),
    ) {
        let square = square_distance(&cells(&a, (0, 0)), &cells(&b, by));
        let scaled = [1000, 0, 0, 1000];
        let (p, q) = (outline(&a, scaled, (0, 0)), outline(&b, scaled, by));
        prop_assume!(!overlap(&p, &q));
        let below = (square * 1_000_000).isqrt();
        prop_assert!(!nearer(&p, &q, below));
        prop_assert!(nearer(&p, &q, below + 1));
        prop_assert!(nearer(&q, &p, below + 1));
    }
}

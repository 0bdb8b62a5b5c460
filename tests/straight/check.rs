//! Checks an answer from the instance alone, without a line of the engine: pieces in full number
//! and allowed turns, inside the roll's usable part, apart by the gap, and separable by edge-to-edge
//! cuts in the stages asked for.

use rollwright::cutting::Objective;
use rollwright::nest::{Instance, Nesting};
use rollwright::units::{Angle, Length};

/// A rectangle with the gap added: x, y, width, length.
type Cell = [i64; 4];

/// Fails the test unless the answer is valid and worth what it says.
pub fn check(instance: &Instance, nesting: &Nesting) {
    let name = &instance.name;
    let cutting = &instance.cutting;
    let gap = cutting.gap.nm();
    let mut made = vec![0_u64; instance.pieces.len()];
    let mut used = vec![0_u64; instance.rolls.len()];
    let mut far_end = 0;
    for layout in &nesting.layouts {
        let roll = &instance.rolls[layout.roll];
        used[layout.roll] += layout.copies;
        let mut free_from = cutting.square_cut.nm();
        for pull in &layout.pulls {
            assert!(pull.y.nm() >= free_from, "{name}: a pull starts at {:?}", pull.y);
            free_from = pull.y.nm() + pull.length.nm() + gap;
            far_end = far_end.max(free_from - gap);
            if let Some(length) = roll.length {
                assert!(free_from - gap <= length.nm(), "{name}: a pull beyond the roll's end");
            }
            let limit = cutting.pull_limit.map_or(i64::MAX, Length::nm);
            assert!(pull.length.nm() <= limit, "{name}: a pull beyond the table");
            let mut cells: Vec<Cell> = Vec::new();
            for placed in &pull.placements {
                let piece = &instance.pieces[placed.piece];
                assert!(piece.turns.allow(placed.turn), "{name}: a turn not allowed");
                let (w, l) = (piece.width.nm(), piece.length.nm());
                let upright = placed.turn == Angle::ZERO || placed.turn == Angle::from_degrees(180);
                let (w, l) = if upright { (w, l) } else { (l, w) };
                let (x, y) = (placed.x.nm(), placed.y.nm());
                let (left, right) =
                    (cutting.edge_trim.nm(), roll.width.nm() - cutting.edge_trim.nm());
                assert!(x >= left && x + w <= right, "{name}: a piece beyond the edge");
                assert!(
                    y >= pull.y.nm() && y + l <= pull.y.nm() + pull.length.nm(),
                    "{name}: a piece beyond its pull"
                );
                made[placed.piece] += layout.copies;
                cells.push([x, y, w + gap, l + gap]);
            }
            // The cross-cuts that part pulls are stage 1; inside a pull the next are rips.
            let stages = cutting.stages.map(|n| n - 1);
            assert!(
                separable(&cells, stages, 0, false),
                "{name}: no edge-to-edge cuts part a pull"
            );
        }
    }
    for (piece, made) in instance.pieces.iter().zip(&made) {
        assert!(*made >= piece.quantity, "{name}: {} is short", piece.id);
    }
    for (roll, used) in instance.rolls.iter().zip(&used) {
        assert!(roll.available.is_none_or(|most| *used <= most), "{name}: too many {}", roll.id);
    }
    let value: i64 = match instance.objective {
        Objective::Length => far_end,
        Objective::Rolls => i64::try_from(used.iter().sum::<u64>()).expect("few"),
        Objective::Price => instance
            .rolls
            .iter()
            .zip(&used)
            .map(|(roll, &n)| roll.price.micros() * i64::try_from(n).expect("few"))
            .sum(),
    };
    assert_eq!(value, nesting.value, "{name}: not worth what it says");
    assert!(nesting.bound <= nesting.value, "{name}: the bound is above the value");
}

/// Whether edge-to-edge cuts, across `axis` first and then the other way in turn, leave each cell
/// alone within `stages` stages (`None`: any number). The last trim is free, so a cell that is
/// alone is done.
fn separable(cells: &[Cell], stages: Option<u8>, axis: usize, wasted: bool) -> bool {
    if cells.len() <= 1 {
        return true;
    }
    if stages == Some(0) {
        return false;
    }
    let mut order: Vec<Cell> = cells.to_vec();
    order.sort_by_key(|cell| cell[axis]);
    let mut groups: Vec<Vec<Cell>> = Vec::new();
    let mut end = i64::MIN;
    for cell in order {
        if cell[axis] >= end {
            groups.push(Vec::new());
        }
        end = end.max(cell[axis] + cell[axis + 2]);
        groups.last_mut().expect("just begun").push(cell);
    }
    let alone = groups.len() == 1;
    if alone && wasted {
        return false;
    }
    groups.iter().all(|group| separable(group, stages.map(|n| n - 1), 1 - axis, alone))
}

/// The checker itself: layouts that edge-to-edge cuts can and cannot part (drawn by hand).
#[test]
fn the_checker_tells_layouts_apart() {
    // A pinwheel cannot be parted by any edge-to-edge cut.
    let pinwheel = [[0, 0, 2, 1], [2, 0, 1, 2], [1, 2, 2, 1], [0, 1, 1, 2]];
    assert!(!separable(&pinwheel, None, 0, false));
    // Two beside a stack of two: rips, then one cross-cut.
    let stack = [[0, 0, 1, 2], [1, 0, 1, 1], [1, 1, 1, 1]];
    assert!(separable(&stack, Some(2), 0, false));
    assert!(!separable(&stack, Some(1), 0, false));
    assert!(separable(&stack, None, 1, false));
    // Overlap is never parted.
    assert!(!separable(&[[0, 0, 2, 2], [1, 1, 2, 2]], None, 0, false));
}

//! The shortest strip by exhaustion.
//!
//! In some shortest layout every piece is pushed left and down until it touches, so each left edge
//! is a sum of other pieces' widths, and each near edge one of lengths (normal patterns, Herz
//! 1972). All pieces are tried at all such places.

/// The least length on which pieces of these sizes, not turned, fit.
pub fn shortest(width: i64, sizes: &[(i64, i64)]) -> i64 {
    let sums = |sizes: Vec<i64>| -> Vec<i64> {
        let mut sums = vec![0];
        for size in sizes {
            let more: Vec<i64> = sums.iter().map(|s| s + size).collect();
            sums.extend(more);
            sums.sort_unstable();
            sums.dedup();
        }
        sums
    };
    let xs = sums(sizes.iter().map(|s| s.0).collect());
    let ys = sums(sizes.iter().map(|s| s.1).collect());
    let mut best = sizes.iter().map(|s| s.1).sum();
    place(width, sizes, &xs, &ys, &mut Vec::new(), 0, &mut best);
    best
}

fn place(
    width: i64,
    sizes: &[(i64, i64)],
    xs: &[i64],
    ys: &[i64],
    placed: &mut Vec<(i64, i64, i64, i64)>,
    far: i64,
    best: &mut i64,
) {
    let Some(&(w, l)) = sizes.get(placed.len()) else {
        *best = far.min(*best);
        return;
    };
    for &x in xs.iter().filter(|&&x| x + w <= width) {
        for &y in ys {
            if y + l >= *best {
                break;
            }
            let free = |&(ox, oy, ow, ol): &(i64, i64, i64, i64)| {
                ox + ow <= x || x + w <= ox || oy + ol <= y || y + l <= oy
            };
            if placed.iter().all(free) {
                placed.push((x, y, w, l));
                place(width, sizes, xs, ys, placed, far.max(y + l), best);
                placed.pop();
            }
        }
    }
}

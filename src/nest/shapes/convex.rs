//! Cuts an outline into convex parts whose corners are corners of the outline.
//!
//! Steps: corners in the middle of a straight run are dropped; ears are clipped (Meisters,
//! American Mathematical Monthly 82, 1975), the shortest diagonal first; diagonals are taken out again
//! as long as what they part stays convex (Hertel and Mehlhorn, Foundations of Computation
//! Theory 1983: at most four times as many parts as needed). All in whole numbers, so two
//! outlines overlap exactly when two of their parts do.

/// A corner in whole nanometres.
pub type Corner = (i64, i64);

/// A convex polygon, counter-clockwise, no three corners on a line.
pub type Convex = Vec<Corner>;

/// Twice the signed area of a triangle.
pub fn cross(a: Corner, b: Corner, c: Corner) -> i128 {
    let d = |p: i64, q: i64| i128::from(p) - i128::from(q);
    d(b.0, a.0) * d(c.1, a.1) - d(b.1, a.1) * d(c.0, a.0)
}

/// The convex parts of a simple counter-clockwise polygon.
pub fn parts(corners: &[Corner]) -> Vec<Convex> {
    let ring = without_runs(corners);
    let (mut parts, diagonals) = clip_ears(&ring);
    for (a, b) in diagonals {
        let holds = |part: &Convex, from: Corner, to: Corner| {
            (0..part.len()).find(|&i| part[i] == from && part[(i + 1) % part.len()] == to)
        };
        let one = parts.iter().enumerate().find_map(|(k, p)| holds(p, a, b).map(|i| (k, i)));
        let two = parts.iter().enumerate().find_map(|(k, p)| holds(p, b, a).map(|i| (k, i)));
        let (Some((k, i)), Some((l, j))) = (one, two) else { continue };
        // From b all around the first part to a, then from a all around the second to b.
        let mut both = parts[k].clone();
        both.rotate_left((i + 1) % parts[k].len());
        let mut other = parts[l].clone();
        other.rotate_left((j + 1) % parts[l].len());
        both.extend(&other[1..other.len() - 1]);
        if is_convex(&both) {
            parts[k] = both;
            parts.remove(l);
        }
    }
    parts.iter().map(|part| without_runs(part)).collect()
}

/// Drops corners at which the way goes straight on.
fn without_runs(corners: &[Corner]) -> Vec<Corner> {
    let n = corners.len();
    (0..n)
        .filter(|&i| cross(corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]) != 0)
        .map(|i| corners[i])
        .collect()
}

fn is_convex(part: &[Corner]) -> bool {
    let n = part.len();
    (0..n).all(|i| cross(part[i], part[(i + 1) % n], part[(i + 2) % n]) >= 0)
}

/// Triangles, and the diagonals between them.
fn clip_ears(ring: &[Corner]) -> (Vec<Convex>, Vec<(Corner, Corner)>) {
    let mut left = ring.to_vec();
    let (mut triangles, mut diagonals) = (Vec::new(), Vec::new());
    while left.len() > 3 {
        let n = left.len();
        let at = |i: usize| (left[(i + n - 1) % n], left[i], left[(i + 1) % n]);
        // Clipping may leave a straight run: its middle corner goes without a triangle, its
        // edge joins the diagonals' ends.
        let short = |&i: &usize| {
            let (a, _, c) = at(i);
            let (x, y) = (i128::from(c.0 - a.0), i128::from(c.1 - a.1));
            x * x + y * y
        };
        let mut order: Vec<usize> = (0..n).collect();
        order.sort_by_cached_key(short);
        if let Some(i) = order.into_iter().find(|&i| is_ear(&left, at(i))) {
            let (a, b, c) = at(i);
            triangles.push(vec![a, b, c]);
            diagonals.push((a, c));
            left.remove(i);
        } else if let Some(i) = (0..n).find(|&i| {
            let (a, b, c) = at(i);
            cross(a, b, c) == 0
        }) {
            left.remove(i);
        } else {
            break;
        }
    }
    if left.len() == 3 && cross(left[0], left[1], left[2]) > 0 {
        triangles.push(left);
    }
    (triangles, diagonals)
}

/// Whether the triangle can be cut off: it turns left and no other corner lies in it.
fn is_ear(ring: &[Corner], (a, b, c): (Corner, Corner, Corner)) -> bool {
    cross(a, b, c) > 0
        && ring.iter().all(|&p| {
            p == a
                || p == b
                || p == c
                || cross(a, b, p) < 0
                || cross(b, c, p) < 0
                || cross(c, a, p) < 0
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn twice_area(ring: &[Corner]) -> i128 {
        (1..ring.len() - 1).map(|i| cross(ring[0], ring[i], ring[i + 1])).sum()
    }

    fn check(ring: &[Corner], most: usize) {
        let parts = parts(ring);
        assert!(parts.iter().all(|p| is_convex(p) && p.len() >= 3));
        // The parts' areas add up to the outline's: the shoelace formula on both sides.
        assert_eq!(parts.iter().map(|p| twice_area(p)).sum::<i128>(), twice_area(ring));
        assert!(parts.len() <= most, "{} parts", parts.len());
    }

    #[test]
    fn convex_outlines_stay_whole() {
        check(&[(0, 0), (10, 0), (10, 5), (0, 5)], 1);
        check(&[(0, 0), (4, 0), (10, 0), (10, 5), (3, 5), (0, 5), (0, 1)], 1);
    }

    #[test]
    fn an_l_and_a_comb_are_cut_into_few_parts() {
        check(&[(0, 0), (9, 0), (9, 3), (3, 3), (3, 9), (0, 9)], 2);
        let comb = [
            (0, 0),
            (50, 0),
            (50, 30),
            (40, 30),
            (40, 10),
            (30, 10),
            (30, 30),
            (20, 30),
            (20, 10),
            (10, 10),
            (10, 30),
            (0, 30),
        ];
        check(&comb, 6);
    }

    #[test]
    fn slivers_keep_their_area() {
        check(&[(0, 0), (1_000_000_000, 1), (2_000_000_000, 0), (1_000_000_000, 2)], 2);
        check(&[(0, 0), (1000, 0), (1000, 1), (999, 1), (998, 1), (0, 2)], 4);
    }
}

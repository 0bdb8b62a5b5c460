//! How much room for writing there is around the middle of a piece.

/// A corner, in millimetres.
type Corner = (f64, f64);

/// Width and height of the room for a text of this height, centred in the middle of a shape: the
/// width for a text that lies, the height for one that stands. Nothing where the middle is outside.
#[must_use]
pub fn around(corners: &[Corner], middle: Corner, text: f64) -> (f64, f64) {
    let half = text / 2.0;
    let lying = |corners: &[Corner], (x, y): Corner| {
        [y - half, y, y + half].into_iter().map(|y| chord(corners, (x, y))).fold(f64::MAX, f64::min)
    };
    let swapped: Vec<Corner> = corners.iter().map(|&(x, y)| (y, x)).collect();
    (lying(corners, middle), lying(&swapped, (middle.1, middle.0)))
}

/// Twice the way from a point inside a shape to its nearest edge on the left or on the right;
/// nothing for a point outside (even-odd rule).
fn chord(corners: &[Corner], (x, y): Corner) -> f64 {
    let (mut left, mut right, mut crossings) = (f64::MAX, f64::MAX, 0_u32);
    let next = corners.iter().cycle().skip(1);
    for (p, q) in corners.iter().zip(next) {
        if (p.1 > y) == (q.1 > y) {
            continue;
        }
        let at = p.0 + (y - p.1) * (q.0 - p.0) / (q.1 - p.1);
        if at < x {
            crossings += 1;
            left = left.min(x - at);
        } else {
            right = right.min(at - x);
        }
    }
    if crossings % 2 == 1 { 2.0 * left.min(right) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: (f64, f64), b: (f64, f64)) -> bool {
        (a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9
    }

    #[test]
    fn a_box_has_its_own_size_and_a_waist_less() {
        let whole = [(0.0, 0.0), (100.0, 0.0), (100.0, 300.0), (0.0, 300.0)];
        assert!(close(around(&whole, (50.0, 150.0), 40.0), (100.0, 300.0)));
        // Two trapeziums joined at a waist of 20 at mid-height: the chord there.
        let waist =
            [(0.0, 0.0), (100.0, 0.0), (60.0, 150.0), (100.0, 300.0), (0.0, 300.0), (40.0, 150.0)];
        let (lying, standing) = around(&waist, (50.0, 150.0), 0.0);
        assert!((lying - 20.0).abs() < 1e-9 && (standing - 300.0).abs() < 1e-9);
    }

    #[test]
    fn the_middle_of_a_horseshoe_is_outside() {
        let shoe = [
            (0.0, 0.0),
            (100.0, 0.0),
            (100.0, 100.0),
            (80.0, 100.0),
            (80.0, 20.0),
            (20.0, 20.0),
            (20.0, 100.0),
            (0.0, 100.0),
        ];
        assert!(close(around(&shoe, (50.0, 60.0), 10.0), (0.0, 0.0)));
    }
}

//! A bound for strips: lines across the roll, all one pitch apart.
//!
//! However the lines are shifted together, they have of a piece at least so much in all, wherever it lies:
//! for a gore whose seam is in the throat or at the heel and two lines half its length apart, its mean
//! width twice, since where it is narrow on one line it is wide on the other. A strip shorter than `k`
//! pitches is met by no more than `k - 1` of the lines for some shifts, and each has no more than the
//! roll's width. So a strip that `k - 1` lines cannot hold is `k` pitches long at least: unlike the area,
//! that sees that the rows of pieces are whole. Several pulls are no shorter in all: each is met by no more
//! lines, shifted for itself, than it has whole pitches.
//!
//! With a gap a line has a gap less than pieces that it meets between them, so each piece and the roll count
//! a gap more.

use super::number::float;
use super::table::Kit;
use crate::cutting::Turns;
use crate::nest::Instance;
use crate::nest::slices::{Edge, edges, measures};

/// Pitches are the lengths of so many forms, those with the most area, divided by up to so many.
const PITCHES: (usize, i64) = (2, 4);

/// The most lines across the longest form: of pitches so short the lines say no more than the area, and each takes
/// its time.
const MOST_LINES: i64 = 1000;

/// How long a strip of this width, or pulls of it in all, must be to hold all pieces; 0 where lines say
/// nothing.
pub fn least(instance: &Instance, kit: &Kit, width: i64) -> i64 {
    let gap = instance.cutting.gap.nm();
    let forms = Forms::new(instance, kit, width);
    let room = i128::from(width + gap);
    let mut least = 0;
    for long in forms.pitches() {
        for parts in 1..=PITCHES.1 {
            let of_forms: Vec<i64> =
                forms.edges.iter().map(|form| of_form(form, (long, parts), gap)).collect();
            let of_piece = |(own, quantity): &(Vec<usize>, u64)| {
                let least = own.iter().map(|&form| of_forms[form]).min().unwrap_or(0);
                i128::from(least) * i128::from(*quantity)
            };
            let needed: i128 = forms.of_pieces.iter().map(of_piece).sum();
            let lines = (needed + room - 1) / room.max(1);
            let long = (lines * i128::from(long) + i128::from(parts) - 1) / i128::from(parts);
            least = least.max(i64::try_from(long).unwrap_or(0));
        }
    }
    least
}

/// How pieces can lie.
struct Forms {
    /// Edges and length by form; nothing of forms that no piece takes.
    edges: Vec<(Vec<Edge>, i64)>,
    /// For each piece whose turns are known, its forms and how many of it there are.
    of_pieces: Vec<(Vec<usize>, u64)>,
    /// Area by form, of all pieces that can take it.
    areas: Vec<f64>,
}

impl Forms {
    fn new(instance: &Instance, kit: &Kit, width: i64) -> Self {
        let all = &kit.pairs.forms;
        let mut forms = Self {
            edges: vec![(Vec::new(), 0); all.len()],
            of_pieces: Vec::new(),
            areas: vec![0.0; all.len()],
        };
        for (piece, ways) in instance.pieces.iter().zip(&kit.ways) {
            if piece.turns == Turns::Any {
                continue;
            }
            let mut own: Vec<usize> = ways.iter().map(|way| way.form).collect();
            own.retain(|&form| all[form].width <= width);
            own.sort_unstable();
            own.dedup();
            let copies = i64::try_from(piece.quantity).unwrap_or(i64::MAX);
            for &form in &own {
                forms.edges[form] = (edges(&all[form].corners), all[form].length);
                forms.areas[form] += all[form].area * float(copies);
            }
            forms.of_pieces.push((own, piece.quantity));
        }
        forms
    }

    /// The lengths of the forms with most area, but for those with too many lines.
    fn pitches(&self) -> Vec<i64> {
        let mut order: Vec<usize> = (0..self.edges.len()).collect();
        order.sort_by(|&a, &b| self.areas[b].total_cmp(&self.areas[a]).then(a.cmp(&b)));
        let longest = self.edges.iter().map(|form| form.1).max().unwrap_or(0);
        let few = |long: i64| longest * PITCHES.1 <= long.saturating_mul(MOST_LINES);
        let mut lengths: Vec<i64> = Vec::new();
        for form in order {
            let long = self.edges[form].1;
            if long > 0 && few(long) && lengths.len() < PITCHES.0 && !lengths.contains(&long) {
                lengths.push(long);
            }
        }
        lengths
    }
}

/// What lines with `parts` to this length have of a form at least, however they are shifted, a gap counted in
/// for each line that meets it.
fn of_form((edges, length): &(Vec<Edge>, i64), (pitch, parts): (i64, i64), gap: i64) -> i64 {
    // In units in which the pitch is whole.
    let edges: Vec<Edge> =
        edges.iter().map(|&(p, q)| ((p.0, p.1 * parts), (q.0, q.1 * parts))).collect();
    let far = length * parts;
    let ends = edges.iter().flat_map(|(p, q)| [p.1, q.1]);
    let mut shifts: Vec<i64> =
        ends.chain([0, far]).map(|y| y.rem_euclid(pitch)).chain([pitch]).collect();
    shifts.sort_unstable();
    shifts.dedup();
    let of_shifts = |shifts: &[i64]| {
        let lines = (0..).map(|line| [shifts[0] + line * pitch, shifts[1] + line * pitch]);
        let mut sums = [0_i64; 2];
        for stretch in lines.take_while(|stretch| stretch[1] <= far) {
            let [near, beyond] = measures(&edges, stretch);
            sums = [sums[0] + near + gap, sums[1] + beyond + gap];
        }
        sums.into_iter().min().unwrap_or(0)
    };
    shifts.windows(2).map(of_shifts).min().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::super::number::whole;
    use super::*;

    /// By hand: a lens 4 long, 2 wide at its ends and 6 in its middle, straight in between. One line a
    /// length has 2 of it at its ends, two have 8 wherever they lie: its mean width twice.
    #[test]
    fn two_lines_half_a_length_apart_have_the_mean_width_of_a_lens_twice() {
        let corners =
            [(2, 0), (4, 0), (6, 2), (4, 4), (2, 4), (0, 2)].map(|(x, y)| (x * 600, y * 600));
        let lens = (edges(&corners), 2400);
        assert_eq!(of_form(&lens, (2400, 1), 0), 1200);
        assert_eq!(of_form(&lens, (2400, 2), 0), 4800);
        assert_eq!(of_form(&lens, (2400, 2), 10), 4820);
        // At shifts of 0 and a third: 2 + 4.67 + 4.67 and, from the other side, 4.67 + 4.67 + 2.
        assert_eq!(of_form(&lens, (2400, 3), 0), 1200 + 2800 + 2800);
        // Lines further apart than it is long may miss it.
        assert_eq!(of_form(&lens, (2401, 1), 0), 0);
    }

    /// By hand: four lines to each 2.4 mm are 1000 across 600 mm.
    #[test]
    fn pitches_with_lines_without_number_are_left_out() {
        let of = |lengths: &[i64]| {
            let edges = lengths.iter().map(|&length| (Vec::new(), length)).collect();
            let areas = vec![1.0; lengths.len()];
            Forms { edges, of_pieces: Vec::new(), areas }.pitches()
        };
        assert_eq!(of(&[1, 600_000_000]), [600_000_000]);
        assert_eq!(of(&[2_399_999, 600_000_000, 2_400_000]), [600_000_000, 2_400_000]);
        assert_eq!(of(&[3, 3, 2, 1]), [3, 2]);
    }

    /// A polygon round a point, from the lengths of its rays.
    fn star(rays: &[i64]) -> Vec<(i64, i64)> {
        let many = real(rays.len());
        let corner = |(at, &ray): (usize, &i64)| {
            let (sin, cos) = (std::f64::consts::TAU * real(at) / many).sin_cos();
            (whole(float(ray) * cos), whole(float(ray) * sin))
        };
        let mut corners: Vec<(i64, i64)> = rays.iter().enumerate().map(corner).collect();
        let near = corners.iter().map(|c| c.1).min().unwrap_or(0);
        for corner in &mut corners {
            corner.1 -= near;
        }
        corners
    }

    fn real(count: usize) -> f64 {
        super::super::number::of_count(count)
    }

    /// What a line has of a polygon: every second gap between the places where it meets edges.
    fn chord(corners: &[(i64, i64)], y: f64) -> f64 {
        let ends = corners.iter().zip(corners.iter().cycle().skip(1));
        let meets = ends.filter(|(p, q)| (float(p.1) < y) != (float(q.1) < y));
        let mut places: Vec<f64> = meets
            .map(|(p, q)| {
                let part = (y - float(p.1)) / float(q.1 - p.1);
                float(p.0) + part * float(q.0 - p.0)
            })
            .collect();
        places.sort_by(f64::total_cmp);
        places.chunks_exact(2).map(|two| two[1] - two[0]).sum()
    }

    proptest::proptest! {
        /// Against the definition: lines shifted by many steps, each measured in floating point. None has
        /// less, and one comes near.
        #[test]
        fn no_shift_of_the_lines_has_less(
            rays in proptest::collection::vec(10_000_i64..1_000_000, 3..12),
            pitch in 50_000_i64..1_500_000,
            parts in 1_i64..5,
        ) {
            let corners = star(&rays);
            let far = corners.iter().map(|c| c.1).max().unwrap_or(0);
            proptest::prop_assume!(far > 0);
            let found = of_form(&(edges(&corners), far), (pitch, parts), 0);
            let apart = float(pitch) / float(parts);
            let of_shift = |shift: usize| -> f64 {
                let from = (real(shift) + 0.5) / 4000.0 * apart;
                let lines = (0_usize..).map(|line| from + real(line) * apart);
                lines.take_while(|&y| y < float(far)).map(|y| chord(&corners, y)).sum()
            };
            let least = (0..4000).map(of_shift).fold(f64::INFINITY, f64::min);
            proptest::prop_assert!(float(found) <= least + 1.0, "{found} {least}");
            // Between two steps every chord changes by what its edges lean, and ends with a jump at most.
            let steep = corners.iter().zip(corners.iter().cycle().skip(1)).all(|(p, q)| {
                (p.0 - q.0).abs() <= 20 * (p.1 - q.1).abs()
            });
            if steep {
                let lines = float(far) / apart + 1.0;
                let slack = lines * real(rays.len()) * 20.0 * apart / 4000.0;
                proptest::prop_assert!(float(found) >= least - slack - 10.0, "{found} {least}");
            }
        }
    }
}

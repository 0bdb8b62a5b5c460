//! Bend radii of welding elbows, and how much of a run a bend takes out.

use super::figure::{Figure, lines};
use super::nominal::nps_64ths;
use crate::units::{Angle, Length};
use std::sync::LazyLock;

/// The two standard bends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bend {
    /// Long radius: one and a half nominal sizes.
    Long,
    /// Short radius: one nominal size.
    Short,
}

struct Row {
    nps_64ths: u32,
    long: Figure,
    short: Option<Figure>,
    /// Centre to end at 45 degrees, long radius.
    long_45: Option<Figure>,
}

static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
    lines("elbows", include_str!("tables/elbows.csv"))
        .filter_map(|line| {
            Some(Row {
                nps_64ths: nps_64ths(line.cell(0))?,
                long: line.figure(1, 2, 7)?,
                short: line.figure(3, 4, 7),
                long_45: line.figure(5, 6, 7),
            })
        })
        .collect()
});

/// The bend radius of a standard elbow at its centreline; `None` where there is no such elbow.
///
/// From NPS 1 up it is computed from the nominal size (1.5 or 1 times the size in inches), of
/// which the printed centre-to-end dimensions are roundings; NPS 1/2 and 3/4 are made to the
/// printed 38.1 mm.
#[must_use]
pub fn bend_radius(nps: u32, bend: Bend) -> Option<Figure> {
    let row = ROWS.iter().find(|row| row.nps_64ths == nps)?;
    let printed = match bend {
        Bend::Long => row.long,
        Bend::Short => row.short?,
    };
    if nps < 64 {
        return Some(printed);
    }
    let halves = match bend {
        Bend::Long => 3,
        Bend::Short => 2,
    };
    Some(Figure { value: Length::from_nm(i64::from(nps) * halves * 25_400_000 / 128), ..printed })
}

/// Small elbows of 45 degrees are longer than their bend up to this size, NPS 4, in sixty-fourths of an inch.
const LONGER_BELOW: u32 = 4 * 64;

/// How long a standard long-radius elbow of 45 degrees is straight between its bend and the weld, at either end: the printed
/// centre-to-end dimension less `R tan 22.5`. Below NPS 4, where it is 2 to 6.6 mm; of larger ones the printed
/// dimensions are roundings of the bend's own.
#[must_use]
pub fn straight_end(nps: u32, bend: Bend, angle: Angle) -> Option<Figure> {
    if bend != Bend::Long || angle != Angle::from_degrees(45) || nps >= LONGER_BELOW {
        return None;
    }
    let printed = ROWS.iter().find(|row| row.nps_64ths == nps)?.long_45?;
    let value = printed.value - take_out(bend_radius(nps, bend)?.value, angle)?;
    value.is_positive().then_some(Figure { value, ..printed })
}

/// How much of the straight a bend takes out on each side: R tan(angle / 2), to the nearest
/// nanometre; R itself for a right angle. It is the bend's own extent; what an elbow is longer is its
/// [`straight_end`]. `None` for a return bend, which has no intersection.
#[must_use]
pub fn take_out(radius: Length, angle: Angle) -> Option<Length> {
    if angle == Angle::QUARTER {
        return Some(radius);
    }
    if angle.microdegrees() >= 180_000_000 {
        return None;
    }
    Length::from_mm_f64_nearest(radius.mm_f64() * libm::tan(angle.radians_f64() / 2.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The table's centre-to-end dimensions of 45 degree long-radius elbows: printed roundings
    /// that serve to check the computed ones.
    fn printed_45() -> Vec<(u32, Length)> {
        lines("elbows", include_str!("tables/elbows.csv"))
            .filter_map(|line| Some((nps_64ths(line.cell(0))?, line.figure(5, 6, 7)?.value)))
            .collect()
    }

    #[test]
    fn printed_centre_to_end_dimensions_are_those_of_b16_9() {
        // ASME B16.9, 90 degree long and short radius and 45 degree long radius elbows, in whole
        // millimetres as the standard prints them; typed from memory, independent of the table.
        let published: [(&str, i64, Option<i64>, i64); 15] = [
            ("1/2", 38, None, 16),
            ("3/4", 38, None, 19),
            ("1", 38, Some(25), 22),
            ("1-1/4", 48, Some(32), 25),
            ("1-1/2", 57, Some(38), 29),
            ("2", 76, Some(51), 35),
            ("3", 114, Some(76), 51),
            ("4", 152, Some(102), 64),
            ("6", 229, Some(152), 95),
            ("8", 305, Some(203), 127),
            ("10", 381, Some(254), 159),
            ("12", 457, Some(305), 190),
            ("16", 610, Some(406), 254),
            ("20", 762, Some(508), 318),
            ("24", 914, Some(610), 381),
        ];
        for (nps, long, short, forty_five) in published {
            let size = nps_64ths(nps).unwrap();
            let row = ROWS.iter().find(|row| row.nps_64ths == size).unwrap();
            let near = |l: Length, mm: i64| (l.nm() - mm * 1_000_000).abs() <= 700_000;
            assert!(near(row.long.value, long), "NPS {nps} long");
            assert_eq!(row.short.is_some(), short.is_some(), "NPS {nps}");
            assert!(row.short.zip(short).is_none_or(|(f, mm)| near(f.value, mm)), "NPS {nps}");
            let (_, b) = printed_45().into_iter().find(|(n, _)| *n == size).unwrap();
            assert!(near(b, forty_five), "NPS {nps} 45: {b}");
        }
    }

    #[test]
    fn computed_radii_agree_with_the_printed_90_degree_dimensions() {
        // The centre-to-end dimension of a right-angled elbow is its bend radius.
        assert_eq!(ROWS.len(), 33);
        for row in ROWS.iter() {
            let long = bend_radius(row.nps_64ths, Bend::Long).unwrap();
            assert!((long.value - row.long.value).abs() <= Length::from_nm(200_000), "{long:?}");
            if let Some(printed) = row.short {
                let short = bend_radius(row.nps_64ths, Bend::Short).unwrap();
                assert!((short.value - printed.value).abs() <= Length::from_nm(100_000));
            }
        }
    }

    #[test]
    fn computed_take_outs_agree_with_the_printed_45_degree_dimensions() {
        // B = R tan 22.5 degrees to 1.3 percent from NPS 4 up. Smaller 45 degree elbows are made
        // longer than their bend (NPS 2: 35.1 printed, 31.6 computed), which is their straight ends.
        let mut checked = 0;
        for (nps, printed) in printed_45() {
            let radius = bend_radius(nps, Bend::Long).unwrap().value;
            let computed = take_out(radius, Angle::from_degrees(45)).unwrap();
            let straight = straight_end(nps, Bend::Long, Angle::from_degrees(45));
            if (48..4 * 64).contains(&nps) {
                assert!(straight.is_some_and(|end| computed + end.value == printed), "{nps}");
            } else {
                assert!((computed - printed).abs().nm() * 1000 <= printed.nm() * 13, "{nps}");
                checked += 1;
                assert!(nps < 48 || straight.is_none(), "{nps}");
            }
        }
        assert_eq!(checked, 25);
        assert!(straight_end(128, Bend::Long, Angle::QUARTER).is_none());
        assert!(straight_end(128, Bend::Short, Angle::from_degrees(45)).is_none());
    }

    #[test]
    fn right_and_flat_angles() {
        let r = Length::from_mm(100);
        assert_eq!(take_out(r, Angle::QUARTER), Some(r));
        assert_eq!(take_out(r, Angle::from_degrees(180)), None);
        // tan 30 degrees = 1 / sqrt 3.
        assert_eq!(take_out(r, Angle::from_degrees(60)), Some(Length::from_nm(57_735_027)));
    }
}

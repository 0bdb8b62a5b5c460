//! Where the area of the rolls goes: its parts, with their names.

use crate::cost::spread::spread;
use crate::plan::Areas;
use crate::units::Area;

/// The parts of the area with their names; they add up to the rolls'.
#[must_use]
pub fn parts(areas: &Areas) -> [(&'static str, Area); 7] {
    [
        ("pieces wanted", areas.pieces),
        ("pieces beyond what was wanted", areas.surplus),
        ("between and around pieces", areas.between),
        ("square cuts", areas.square_cuts),
        ("edge trims", areas.edge_trims),
        ("roll ends too small to keep", areas.roll_ends),
        ("offcuts kept", areas.kept),
    ]
}

/// A share in per cent with two decimals.
#[must_use]
pub fn per_cent(part: Area, whole: Area) -> String {
    format!("{:.2}", part.over(whole) * 100.0)
}

/// An area and its parts in whole steps of so many square nanometres, so that they add up as they are shown: by largest
/// remainders.
#[must_use]
pub fn in_steps(all: Area, parts: impl IntoIterator<Item = Area>, step: i128) -> (Area, Vec<Area>) {
    let steps = (all.nm2() + step / 2).div_euclid(step);
    let weights: Vec<i128> = parts.into_iter().map(Area::nm2).collect();
    let shown = spread(steps, &weights).into_iter().map(|n| Area::from_nm2(n * step)).collect();
    (Area::from_nm2(steps * step), shown)
}

/// The parts of the area, each as it is and as it is shown in such steps, and all of it as shown.
#[must_use]
pub fn parts_in_steps(areas: &Areas, step: i128) -> (Area, Vec<(&'static str, Area, Area)>) {
    let parts = parts(areas);
    let (all, shown) = in_steps(areas.rolls, parts.map(|(_, area)| area), step);
    let told = parts.into_iter().zip(shown).map(|((what, area), shown)| (what, area, shown));
    (all, told.collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::sample;

    #[test]
    fn the_parts_add_up_to_the_rolls() {
        let plan = sample::plan(30, 2);
        assert!(!plan.nests.is_empty());
        for nest in &plan.nests {
            let sum: Area = parts(&nest.areas).iter().map(|(_, area)| *area).sum();
            assert_eq!(sum, nest.areas.rolls);
        }
    }

    /// By hand, in hundredths: three times 1.4 are 4.2, so 4; rounded each by itself they would be 3.
    #[test]
    fn areas_add_up_as_they_are_shown() {
        let area = |tenths: i128| Area::from_nm2(tenths * 10);
        let (all, parts) = in_steps(area(42), [area(14); 3], 100);
        assert_eq!((all, parts), (area(40), vec![area(20), area(10), area(10)]));
        let (all, parts) = in_steps(Area::ZERO, [Area::ZERO; 2], 100);
        assert_eq!((all, parts), (Area::ZERO, vec![Area::ZERO; 2]));
    }
}

//! What no layout can beat, whatever the shapes and the cuts: the pieces' own area.
//!
//! Every piece is priced by its area in units that keep all sums in 64 bits, rounded down; every
//! roll is worth its usable area, rounded up.

use super::{Certificate, Most};
use crate::nest::{Instance, Roll};

/// The most that a roll, or a metre of one without end, is worth: millions of them stay in 64
/// bits.
const FINE: i128 = 1_000_000_000_000;
/// One metre in nanometres: rolls without end are measured by it.
const METRE: i64 = 1_000_000_000;

/// Areas as a certificate that holds for any layout.
pub fn by_area(instance: &Instance) -> Certificate {
    let usable = |roll: &Roll| {
        let cutting = &instance.cutting;
        let width = i128::from((roll.width - cutting.edge_trim * 2).nm().max(0));
        let length = roll.length.map_or(METRE, |l| (l - cutting.square_cut).nm().max(0));
        width * i128::from(length)
    };
    let largest = instance.rolls.iter().map(usable).max().unwrap_or(1);
    let unit = (largest / FINE).max(1);
    let narrow = |value: i128| i64::try_from(value).unwrap_or(i64::MAX);
    let prices = instance.pieces.iter().map(|p| narrow(p.area().nm2() / unit)).collect();
    let most = instance
        .rolls
        .iter()
        .map(|roll| Most {
            worth: narrow((usable(roll) + unit - 1) / unit),
            per: if roll.length.is_none() { METRE } else { 0 },
        })
        .collect();
    Certificate::new(prices, most)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::sample;

    /// By hand: 10,000,001 nm squared are 100,000,020,000,001, in hundreds 1,000,000,200,000.01.
    #[test]
    fn a_roll_is_worth_no_less_than_its_area() {
        let text = r#"{ "name": "a", "objective": "rolls", "cutting": { "style": "free" },
            "rolls": [ { "id": "A", "width": 10.000001, "length": 10.000001 } ],
            "pieces": [ { "id": "p", "width": 1, "length": 1.00001, "quantity": 1 } ] }"#;
        let certificate = by_area(&sample::instance(text));
        assert_eq!(certificate.most[0].worth, 1_000_000_200_001);
        assert_eq!(certificate.prices, [10_000_100_000]);
    }
}

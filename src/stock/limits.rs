//! What sizes and names blanket, rolls and offcuts can have: the same wherever they are read, lent
//! or booked.

use crate::table::LONGEST_NAME;
use crate::units::Length;
use std::ops::RangeInclusive;

/// Blanket thickness: 0.5 to 150 mm, from thin paper to a mattress.
pub const THICKNESS: RangeInclusive<Length> = Length::from_nm(500_000)..=Length::from_mm(150);
/// Width of a roll or offcut: 10 mm to 10 m.
pub const WIDTH: RangeInclusive<Length> = Length::from_mm(10)..=Length::from_mm(10_000);
/// Length of a roll or offcut: 10 mm to 10 km.
pub const LENGTH: RangeInclusive<Length> = Length::from_mm(10)..=Length::from_mm(10_000_000);
/// The longest name of a roll or offcut, in characters.
pub const NAME: usize = LONGEST_NAME;

//! Sizes of rolls and offcuts that are rarely meant: most often the unit is missing or wrong. And prices
//! that nobody can pay.
//!
//! Limits: common practice, no source. Blanket is sold in rolls of some 1 to 2 m by 10 to 60 m.

use super::record::{OffcutRecord, RollRecord};
use super::{Offcut, Roll};
use crate::finding::codes::stock as codes;
use crate::finding::{Finding, Findings};
use crate::table::units::{CHECK, too_long, too_short};
use crate::table::{Cell, Reader, quoted};
use crate::units::{Length, Money};

/// A longer roll is told.
const LONGEST: Length = Length::from_mm(200_000);
/// A wider roll is told.
const WIDEST: Length = Length::from_mm(3000);
/// A shorter offcut is told.
const SHORTEST: Length = Length::from_mm(50);

/// Tells a roll's sizes.
pub(super) fn roll(
    record: &RollRecord<'_>,
    width: Option<Length>,
    length: Option<Length>,
    reader: &mut Reader<'_>,
) {
    if let Some(length) = length.filter(|length| *length > LONGEST) {
        let metres = length.nm() / 1_000_000_000;
        let what = format!("the roll is {metres} m long");
        reader.tell(&codes::UNUSUAL, &record.length, what, too_long(record.length.text()));
    }
    if let Some(width) = width.filter(|width| *width > WIDEST) {
        let what = format!("the roll is {width} mm wide");
        reader.tell(&codes::UNUSUAL, &record.width, what, CHECK);
    }
}

/// What to do with a roll that is wider than long: a bare number of as many metres as rolls have was most
/// often meant as metres, else the two sizes are exchanged.
pub(super) fn turned(length: &str) -> String {
    let metres = length.parse::<f64>().is_ok_and(|number| number <= LONGEST.mm_f64() / 1000.0);
    if metres {
        let [metres, feet] = ["m", "ft"].map(|unit| quoted(&format!("{length} {unit}")));
        format!(
            "is the length in metres or feet? Then write {metres} or {feet}; exchange width and length if that is meant"
        )
    } else {
        "exchange width and length if that is meant; else correct the one that is wrong".to_owned()
    }
}

/// Tells a price of one that has more digits than money.
pub(super) fn price(cell: &Cell<'_>, price: Money, reader: &mut Reader<'_>) {
    if price == Money::ZERO {
        let what = "a price of 0 says that the roll costs nothing";
        let remedy = "leave the cell empty where the price is not known; leave it if it is right";
        reader.tell(&codes::FREE, cell, what, remedy);
    }
    if price == price.rounded() {
        return;
    }
    let cents = price.cents();
    let what = format!("{price} has more than two decimals, and a roll is bought at {cents}");
    let remedy = format!("write {cents}, or what the supplier's invoice has");
    reader.tell(&codes::FINER_THAN_MONEY, cell, what, remedy);
}

/// Tells an offcut's length.
pub(super) fn offcut(record: &OffcutRecord<'_>, length: Option<Length>, reader: &mut Reader<'_>) {
    let Some(length) = length.filter(|length| *length < SHORTEST) else { return };
    let what = format!("the offcut is only {length} mm long");
    reader.tell(&codes::UNUSUAL, &record.length, what, too_short(record.length.text()));
}

/// Tells offcuts that are wider or longer than every roll of their thickness, or than every roll where
/// none is as thick.
pub(super) fn against_rolls(rolls: &[Roll], offcuts: &[Offcut], findings: &mut Findings) {
    for offcut in offcuts {
        let like = |roll: &&Roll| roll.thickness == offcut.thickness;
        let some = rolls.iter().any(|roll| like(&roll));
        let most = |size: &dyn Fn(&Roll) -> Length| {
            rolls.iter().filter(|roll| !some || like(roll)).map(size).max()
        };
        for (name, word, size, most) in [
            ("width", "wide", offcut.width, most(&|roll| roll.width)),
            ("length", "long", offcut.length, most(&|roll| roll.length)),
        ] {
            let Some(most) = most.filter(|most| size > *most) else { continue };
            let of = if some { format!(" of {} mm", offcut.thickness) } else { String::new() };
            findings.push(Finding::new(
                &codes::LARGER_THAN_ROLLS,
                offcut.place.field(name, None),
                format!(
                    "the offcut {} is {size} mm {word}, and no roll{of} on offer is above {most} mm",
                    quoted(&offcut.id)
                ),
                CHECK,
            ));
        }
    }
}

//! What a supplier asks beside the price: currency, price breaks, minimum order, pallets.

use super::domain::Terms;
use super::record::RollRecord;
use super::unusual;
use super::validate::AVAILABLE;
use crate::finding::codes::stock as codes;
use crate::table::{Cell, Reader, quoted};
use crate::units::{Money, UnitError, parse_decimal};

/// The longest word for a currency, in characters.
const LONGEST: usize = 12;

/// How price breaks are written.
const REMEDY: &str = "write quantity, colon and price of one, a bar between breaks, quantities increasing, such as \
     `20: 295.00 | 50: 280.00`";

/// Reads a line's terms; `price` is that of one roll.
pub(super) fn read(
    record: &RollRecord<'_>,
    price: Option<Money>,
    reader: &mut Reader<'_>,
) -> Option<Terms> {
    let currency = currency(&record.currency, reader);
    let breaks = record.breaks.or(Vec::new(), |cell| breaks(cell, price, reader));
    let minimum = record.minimum.or(0, |cell| reader.count(cell, &(1..=AVAILABLE)));
    let per_pallet =
        record.per_pallet.or(None, |cell| reader.count(cell, &(1..=AVAILABLE)).map(Some));
    Some(Terms { currency: currency?, breaks: breaks?, minimum: minimum?, per_pallet: per_pallet? })
}

/// A currency as the user writes it: a short word.
fn currency(cell: &Cell<'_>, reader: &mut Reader<'_>) -> Option<String> {
    let text = cell.text();
    let word = text.chars().count() <= LONGEST
        && !text.chars().any(|c| c.is_whitespace() || c.is_ascii_digit());
    if word {
        return Some(text.to_owned());
    }
    let what = format!("{} is not a currency", quoted(text));
    reader.tell(&codes::UNREAD, cell, what, "write a short word or sign, such as `EUR`");
    None
}

fn breaks(
    cell: &Cell<'_>,
    alone: Option<Money>,
    reader: &mut Reader<'_>,
) -> Option<Vec<(u64, Money)>> {
    let mut list: Vec<(u64, Money)> = Vec::new();
    for part in cell.text().split('|') {
        match one(part) {
            Ok((count, price)) if price < Money::ZERO || count == 0 || count > AVAILABLE => {
                let what = format!("{} is out of range", quoted(part.trim()));
                let remedy =
                    format!("give a quantity from 1 to {AVAILABLE} and a price of 0 or more");
                reader.tell(&codes::RANGE, cell, what, remedy);
                return None;
            }
            Ok(entry) if list.last().is_none_or(|last| last.0 < entry.0) => list.push(entry),
            Ok(_) => {
                let what = format!("the quantities in {} do not increase", quoted(cell.text()));
                reader.tell(&codes::UNREAD, cell, what, REMEDY);
                return None;
            }
            Err(why) => {
                let comma = matches!(why, Some(UnitError::Comma(_)));
                let more = if comma { ": it has a comma" } else { "" };
                let what = format!("{} is not a price break{more}", quoted(part.trim()));
                reader.tell(&codes::UNREAD, cell, what, REMEDY);
                return None;
            }
        }
    }
    let mut fewer = alone;
    for (count, price) in &list {
        unusual::price(cell, *price, reader);
        let strange = fewer.and_then(|fewer| {
            if *price > fewer {
                Some((&codes::DEARER_BREAK, fewer, "and"))
            } else {
                less_than_half(*price, fewer).then_some((
                    &codes::CHEAP_BREAK,
                    fewer,
                    "less than half of the",
                ))
            }
        });
        if let Some((code, fewer, against)) = strange {
            let (price, fewer) = (price.cents(), fewer.cents());
            let what = format!(
                "from {count} on one costs {price}, {against} {fewer} where fewer are bought"
            );
            reader.tell(code, cell, what, "correct `breaks` or `price`; leave it if it is right");
        }
        fewer = Some(*price);
    }
    Some(list)
}

/// Whether a price is so far below another that a slipped decimal point is likelier than a discount. Common
/// practice, no source: breaks take some per cent off, seldom a third.
fn less_than_half(price: Money, other: Money) -> bool {
    price.micros() < other.micros() / 2
}

/// One break: quantity and price.
fn one(part: &str) -> Result<(u64, Money), Option<UnitError>> {
    let (count, price) = part.split_once(':').ok_or(None)?;
    let count = parse_decimal(count.trim(), 0).map_err(Some)?;
    let price = Money::parse(price).map_err(Some)?;
    Ok((u64::try_from(count).unwrap_or(0), price))
}

//! Codes of findings on prices, rates, uncertainties and options.

use super::Code;

/// A rates file that cannot be read.
pub static SYNTAX: Code = Code::error(
    "C001",
    "line not understood",
    "rates.toml is written in TOML: `[section]` on a line of its own, `key = value` below it, texts \
     in double quotes, each key once.",
);
/// A key that is not known.
pub static KEY_UNKNOWN: Code = Code::error(
    "C002",
    "key not known",
    "rates.toml holds `currency`, a section [labour] and a section [freight]; `rollwright rates` \
     lists all keys. A rate that is silently not read would make the price wrong.",
);
/// A value that is no rate.
pub static UNREAD: Code = Code::error(
    "C003",
    "value not understood",
    "A rate is a plain number with a decimal point, without a currency sign and without commas, \
     such as 0.45.",
);
/// A value out of range.
pub static RANGE: Code = Code::error(
    "C004",
    "value out of range",
    "Rates are not negative, an uncertainty lies between 0 and 100 per cent, and a mean run length \
     is a length that occurs. The finding names the limits.",
);
/// A price that is needed.
pub static PRICE_MISSING: Code = Code::error(
    "C005",
    "price missing",
    "A job can be priced only when every roll of a thickness that it needs has a price. Fill in the \
     column `price` of rolls.csv.",
);
/// More than one currency.
pub static CURRENCIES: Code = Code::error(
    "C006",
    "currencies mixed",
    "Prices and rates of one job must be in one currency, since they are added up; nothing here \
     knows a rate of exchange. Convert them, and write the same currency everywhere.",
);
/// A placeholder stands for a rate.
pub static PLACEHOLDER: Code = Code::warning(
    "C007",
    "rate not given",
    "The rates that the program starts with are placeholders, made up so that the arithmetic can be \
     seen; they are no facts about any market. Put your own into rates.toml.",
);
/// A line that matches nothing.
pub static NO_MATCH: Code = Code::warning(
    "C008",
    "line matches no item",
    "The line's item, kind, line and area together select nothing of the takeoff, so it has no \
     effect. Check the spelling against the takeoff.",
);
/// An option that cannot be carried out.
pub static OPTION: Code = Code::error(
    "C009",
    "option not understood",
    "An option is a name and one or more settings `key = value`. A key is a rule (`table.pull_limit`) \
     or one of `rolls`, `roll`, `price.NAME`, `available.NAME`, `breaks.NAME`, `minimum.NAME`, \
     `per_pallet.NAME`, `courses.NAME`, `build.OLD`, `shelf`, `labour.KEY` and `freight.pallet`. No two options have one \
     name, and none is called `as it stands`.",
);
/// A value that is missing.
pub static MISSING: Code = Code::error(
    "C010",
    "value missing",
    "The line needs a value in the column named, and the cell is empty. Fill it in.",
);

/// More money than can be counted.
pub static UNCOUNTABLE: Code = Code::error(
    "C011",
    "more than can be counted",
    "Amounts are kept to a millionth of the currency, up to some two million millions. A job that \
     could come to more is refused, since its sums would be wrong. Most often a price, a minimum \
     order or a quantity has too many digits.",
);
/// Spares that are not to be had.
pub static SPARES: Code = Code::warning(
    "C012",
    "fewer spare rolls than asked for",
    "The rule [order] spare_rolls asks for more of the roll of which most is cut in a thickness than `available` in \
     rolls.csv leaves. What can be had is ordered. Ask for fewer, or find out whether more can be had. Of a thickness \
     that is cut from the shelf alone, or from what was bought before, no spare is ordered.",
);
/// Freight that is not counted.
pub static FREIGHT: Code = Code::warning(
    "C081",
    "freight not counted",
    "rates.toml gives what a pallet's freight costs, and rolls.csv does not say how many of a product go on \
     one, so none is counted for it. Fill in `per_pallet`; leave it if that product comes without freight.",
);
/// Pallets without a rate.
pub static FREIGHT_UNKNOWN: Code = Code::warning(
    "C060",
    "freight of a pallet not given",
    "rolls.csv says how many of a product go on one pallet, and rates.toml does not say what the freight of one \
     costs, so it counts for nothing: in the price, and where the cheapest order is looked for and proven. Put \
     `pallet` under [freight] into rates.toml, 0 where the rolls come without freight.",
);
/// A number of per cent that may be a part of one.
pub static SMALL_PER_CENT: Code = Code::warning(
    "C061",
    "less than one per cent",
    "The column is in per cent, and the number is below 1: 0.2 is a fifth of one per cent. Most often a part of \
     one is meant, 20 %. Write the number that is meant; with its sign, as in `0.2 %`, it is taken as it stands.",
);

/// All of them.
pub const ALL: &[&Code] = &[
    &SYNTAX,
    &KEY_UNKNOWN,
    &UNREAD,
    &RANGE,
    &PRICE_MISSING,
    &CURRENCIES,
    &PLACEHOLDER,
    &NO_MATCH,
    &OPTION,
    &MISSING,
    &UNCOUNTABLE,
    &SPARES,
    &FREIGHT,
    &FREIGHT_UNKNOWN,
    &SMALL_PER_CENT,
];

//! Codes of findings on stock: rolls and offcuts.

use super::Code;

/// Nothing where something is needed.
pub static MISSING: Code = Code::error(
    "S001",
    "value missing",
    "Every roll and offcut needs a value in the column named, and the cell is empty. Fill it in.",
);
/// Not readable as what it should be.
pub static UNREAD: Code = Code::error(
    "S002",
    "value not understood",
    "The cell cannot be read as what its column holds. The finding says how to write it.",
);
/// Readable, but out of range.
pub static RANGE: Code = Code::error(
    "S003",
    "value out of range",
    "The value can be read but is too small or too large to be meant, most often because of a \
     wrong unit or a slipped decimal point. The finding names the limits.",
);
/// The same name twice.
pub static TWICE: Code = Code::error(
    "S004",
    "name stands twice",
    "Two rolls or offcuts have the same name, so an order or a cut plan could not tell them apart. \
     Rename one, or delete it if it is the same thing.",
);
/// Wider than long.
pub static WIDER_THAN_LONG: Code = Code::warning(
    "S005",
    "roll wider than long",
    "A roll is usually much longer than wide; width and length were perhaps exchanged, or the \
     length given in metres without the unit m. Leave it if it is right.",
);
/// Nothing usable after trimming.
pub static NOTHING_USABLE: Code = Code::error(
    "S006",
    "nothing usable after trimming",
    "The rules' edge trim or square cut takes the whole roll, so that nothing could be cut from \
     it. Check the roll's size and the rules [table] edge_trim and square_cut.",
);
/// A price that is needed.
pub static PRICE_NEEDED: Code = Code::error(
    "S007",
    "price missing",
    "The rules ask for the lowest price ([order] objective), and that cannot be found while a roll \
     has none. Give every roll a price, or ask for the fewest rolls.",
);

/// A minimum order that cannot be had.
pub static MINIMUM: Code = Code::error(
    "S008",
    "fewest sold are more than can be had",
    "The column `minimum` says that no fewer are sold than so many, and `available` that fewer than \
     these can be had, so that none could be bought. Correct one of the two; write 0 in `available` \
     for a roll that is not on offer at present.",
);

/// A size that is rarely meant.
pub static UNUSUAL: Code = Code::warning(
    "S009",
    "size that is rarely meant",
    "A roll is longer than 200 m or wider than 3 m, or an offcut shorter than 50 mm (limits: common \
     practice, no source). Most often the unit is missing or wrong: a plain number is millimetres. Leave it \
     if it is right.",
);

/// An offcut that no roll can have left.
pub static LARGER_THAN_ROLLS: Code = Code::warning(
    "S010",
    "offcut larger than every roll",
    "An offcut on the shelf is wider or longer than every roll of its thickness on offer, so it can hardly \
     be left of one. Plans count on it all the same: look at it, and correct its size or unit. Leave \
     it if it is right.",
);

/// A price that nobody can pay.
pub static FINER_THAN_MONEY: Code = Code::warning(
    "S011",
    "price finer than money",
    "A price of one roll has more than two decimals. Rolls are bought at whole hundredths: the price is \
     rounded (half to even) before it is multiplied, so nine rolls at 81.333333 come to nine times 81.33. \
     Write the price that the supplier's invoice has.",
);

/// Dearer the more are bought.
pub static DEARER_BREAK: Code = Code::warning(
    "S080",
    "price break dearer than fewer",
    "A price break asks more for one roll than is asked where fewer are bought, most often because of a \
     slipped decimal point. Orders are priced by it as it stands: correct it, or leave it if it is right.",
);

/// Far cheaper than fewer.
pub static CHEAP_BREAK: Code = Code::warning(
    "S060",
    "price break below half of the price of fewer",
    "A price break asks less than half of what is asked for one roll where fewer are bought, most often because \
     of a slipped decimal point. Orders are priced by it as it stands: correct it, or leave it if it is \
     right.",
);

/// For nothing.
pub static FREE: Code = Code::warning(
    "S065",
    "price of 0",
    "A price of 0 says that the roll costs nothing, so a price is made with it, and the cheapest order takes as \
     many of it as it can. Where the price is not known leave the cell empty; leave 0 if it is right.",
);

/// Courses laid out for nothing.
pub static NO_COURSES: Code = Code::error(
    "S090",
    "no roll to lay courses out for",
    "The column `courses` says no for every roll of a thickness that is on offer. Courses are as wide as the widest \
     roll that they are laid out for, so at least one of each thickness must be left for that; the others then only \
     serve for pieces that happen to fit. Leave the cell empty for those that courses are to be as wide as.",
);

/// Names that differ in capitals only.
pub static ALIKE: Code = Code::warning(
    "S081",
    "names that differ in capitals only",
    "Two rolls or two offcuts have names that differ in capital and small letters only, such as `O-1` and `o-1`. \
     They are read as two, and most often are one that was entered twice: then plans count on blanket that is not \
     there. Delete one, or rename it.",
);

/// All of them.
pub const ALL: &[&Code] = &[
    &MISSING,
    &UNREAD,
    &RANGE,
    &TWICE,
    &WIDER_THAN_LONG,
    &NOTHING_USABLE,
    &PRICE_NEEDED,
    &MINIMUM,
    &UNUSUAL,
    &LARGER_THAN_ROLLS,
    &FINER_THAN_MONEY,
    &DEARER_BREAK,
    &CHEAP_BREAK,
    &FREE,
    &NO_COURSES,
    &ALIKE,
];

//! Codes of findings on bare instances.

use super::Code;

/// Bytes that are no text.
pub const NO_TEXT: Code = Code::error(
    "N001",
    "instance file is not UTF-8 text",
    "Instances are JSON, and JSON is UTF-8. Save the file as UTF-8, with or without a byte-order \
     mark.",
);

/// The text is not JSON.
pub const NO_JSON: Code = Code::error(
    "N002",
    "instance file is not JSON",
    "The file must be JSON: an array of instances, or one instance. The line and column say where \
     reading stopped; a missing comma or bracket just before it, or a file that was cut off, are \
     the usual causes.",
);

/// JSON, but no instance.
pub const NO_INSTANCE: Code = Code::error(
    "N003",
    "no instance",
    "The file must hold one instance (an object with name, rolls, pieces, cutting and objective) \
     or an array with at least one.",
);

/// A key that is missing.
pub const MISSING: Code = Code::error(
    "N004",
    "key is missing",
    "The key has no default, so nothing can be nested without it.",
);

/// Another kind of value than belongs here.
pub const WRONG_KIND: Code = Code::error(
    "N005",
    "value of another kind",
    "Sizes are numbers of millimetres, or text with a unit (`2.4 m`, `23 15/16 in`); quantities \
     are whole numbers; names are text; turns are an array of degrees, or null for any angle.",
);

/// A key nobody reads.
pub const UNKNOWN_KEY: Code = Code::warning(
    "N006",
    "key is not read",
    "The key is no part of an instance and changes nothing. If it is a slip of the pen, the key \
     that was meant counts as missing.",
);

/// A key that stands twice.
pub const TWICE: Code = Code::error(
    "N007",
    "key stands twice",
    "JSON does not say which of two equal keys counts, so programs differ. Leave one away.",
);

/// A size that is not above zero, or below it where zero is allowed.
pub const NOT_POSITIVE: Code = Code::error(
    "N008",
    "size out of range",
    "Widths and lengths of rolls and pieces must be greater than zero; cuts, trims, gaps and \
     prices must not be negative.",
);

/// Beyond what can be computed with.
pub const TOO_LARGE: Code = Code::error(
    "N009",
    "number too large",
    "A length is at most 1000 km, a price at most a thousand million, all quantities together at \
     most a thousand million pieces, and areas and costs must stay within what 128 and 64 bits \
     hold exactly. Usually a unit is wrong.",
);

/// A quantity that is no whole number above zero.
pub const QUANTITY: Code = Code::error(
    "N010",
    "quantity out of range",
    "A piece is wanted at least once, in a whole number. Leave a piece out of which none is \
     wanted.",
);

/// None of a roll available.
pub const NONE_LEFT: Code = Code::warning(
    "N011",
    "no such roll available",
    "A roll of which none is available cannot be cut from, and is left out.",
);

/// No roll at all.
pub const NO_ROLLS: Code = Code::error(
    "N012",
    "nothing to cut from",
    "At least one roll must be available. `available: null` is without limit.",
);

/// No piece at all.
pub const NO_PIECES: Code =
    Code::error("N013", "nothing to cut", "At least one piece must be wanted.");

/// A name that stands twice.
pub const SAME_NAME: Code = Code::error(
    "N014",
    "name stands twice",
    "Rolls, and pieces, are told apart by their names (id). Put like pieces together with a \
     quantity, or give each a name of its own.",
);

/// An outline that is none.
pub const OUTLINE: Code = Code::error(
    "N015",
    "outline cannot be cut",
    "An outline is an array of at least three corners [x, y] in order, without crossing or \
     touching itself, around an area greater than zero; the way round does not matter and the \
     first corner need not be repeated.",
);

/// A hole.
pub const HOLE: Code = Code::error(
    "N016",
    "pieces with holes cannot be nested",
    "A piece is one outline without holes: what falls out of a hole would have to be tracked as a \
     piece of its own. Give the outline without the hole, and cut the hole on the table.",
);

/// Size and outline that differ.
pub const TWO_SIZES: Code = Code::error(
    "N017",
    "size and outline differ",
    "Width and length beside an outline must be those of its bounding box. Leave them away.",
);

/// A cutting style that is not known.
pub const STYLE: Code = Code::error(
    "N018",
    "unknown cutting style",
    "`straight`: cuts from edge to edge only. `free`: any layout that a knife can follow.",
);

/// Stages that are not known.
pub const STAGES: Code = Code::error(
    "N019",
    "unknown number of stages",
    "Straight cutting has 2 stages (cross-cuts, rips), 3 (cross-cuts again), or null for any \
     number; trims are not counted.",
);

/// Stages where they mean nothing.
pub const STAGES_UNUSED: Code = Code::warning(
    "N020",
    "stages mean nothing in free cutting",
    "Only straight cuts come in stages; the number is not used.",
);

/// An objective that is not known.
pub const OBJECTIVE: Code = Code::error(
    "N021",
    "unknown objective",
    "`rolls`: the fewest rolls. `price`: the lowest price of all rolls. `length`: the shortest \
     length of one roll without end.",
);

/// The price is to be the lowest, and a roll has none.
pub const NO_PRICE: Code = Code::error(
    "N033",
    "price missing",
    "The objective is the lowest price of all rolls, and that cannot be found while one that can be had has none. Give \
     every roll a price (0 where it is paid for already), or ask for the fewest `rolls`.",
);

/// Turns that cannot be used.
pub const TURNS: Code = Code::error(
    "N022",
    "turns cannot be used",
    "A piece must be allowed at least one of the turns 0, 90, 180 and 270 degrees: layouts are \
     made of these. `turns: null` allows any angle, of which these four are tried.",
);

/// Some turns that cannot be used.
pub const TURNS_UNUSED: Code = Code::warning(
    "N023",
    "some turns are not used",
    "Layouts are made with turns of 0, 90, 180 and 270 degrees. Other angles stay unused, and the \
     bound holds for the turns that are used.",
);

/// A piece that is too large.
pub const TOO_BIG: Code = Code::error(
    "N024",
    "piece fits no roll",
    "In none of its turns does the piece lie within a roll: across, the roll's width less both \
     edge trims; along, its length less the square cut, and at most the pull limit. Split the \
     piece, allow a turn, or offer a larger roll.",
);

/// A roll that its trims use up.
pub const USED_UP: Code = Code::error(
    "N025",
    "nothing is left of the roll",
    "Both edge trims together must be narrower than the roll, and the square cut shorter.",
);

/// A roll without end under another objective than length.
pub const ENDLESS: Code = Code::error(
    "N026",
    "roll without end",
    "`length: null`, a roll without end, belongs to the objective `length`, which needs exactly \
     one such roll; numbers and prices of rolls without end mean nothing.",
);

/// Not enough on hand, by area alone.
pub const TOO_FEW: Code = Code::error(
    "N027",
    "not enough rolls on hand",
    "All rolls are limited in number, and the pieces' area is larger than that of all of them \
     after trims. Allow more rolls or ask for fewer pieces.",
);

/// A published value that cannot be read.
pub const PUBLISHED: Code = Code::warning(
    "N028",
    "published value is not used",
    "`published` is for benchmarks: value and bound are numbers in the objective's unit, or null. \
     The instance is nested all the same.",
);

/// The engine has no answer.
pub const NO_ANSWER: Code = Code::error(
    "N029",
    "no answer",
    "The instance is well formed, but no way was found to cut it: most often limited rolls cannot \
     hold all pieces, though their area would do. More --work looks longer.",
);

/// A choice without ways, or a way without pieces.
pub const NO_WAYS: Code = Code::error(
    "N030",
    "choice without ways",
    "A choice lists the ways in which its things can be made, at least one; a way lists the pieces \
     that one thing needs then, at least one.",
);

/// A way that needs a piece that is not there.
pub const UNKNOWN_PIECE: Code = Code::error(
    "N031",
    "no such piece",
    "The ways of a choice name pieces of the instance by their id. A piece that is needed by choices \
     only stands among the pieces with quantity 0.",
);

/// A way of a choice that cannot be cut.
pub const WAY_LEFT_OUT: Code = Code::warning(
    "N032",
    "way left out",
    "A way of a choice needs a piece that lies within no roll in any of its turns. The choice has other \
     ways, so the instance is nested with those. Allow a turn, or offer a larger roll, if this way is \
     meant to be looked at.",
);

/// All of them.
pub const ALL: &[&Code] = &[
    &NO_TEXT,
    &NO_JSON,
    &NO_INSTANCE,
    &MISSING,
    &WRONG_KIND,
    &UNKNOWN_KEY,
    &TWICE,
    &NOT_POSITIVE,
    &TOO_LARGE,
    &QUANTITY,
    &NONE_LEFT,
    &NO_ROLLS,
    &NO_PIECES,
    &SAME_NAME,
    &OUTLINE,
    &HOLE,
    &TWO_SIZES,
    &STYLE,
    &STAGES,
    &STAGES_UNUSED,
    &OBJECTIVE,
    &NO_PRICE,
    &TURNS,
    &TURNS_UNUSED,
    &TOO_BIG,
    &USED_UP,
    &ENDLESS,
    &TOO_FEW,
    &PUBLISHED,
    &NO_ANSWER,
    &NO_WAYS,
    &UNKNOWN_PIECE,
    &WAY_LEFT_OUT,
];

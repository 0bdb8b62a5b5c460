//! Codes of findings on the takeoff.

use super::Code;

/// Nothing where something is needed.
pub static MISSING: Code = Code::error(
    "T001",
    "value missing",
    "This kind of item needs a value in the column named, and the cell is empty. Fill it in; where \
     the value is not known it has to be measured or asked for, because a guess would cut wrong \
     pieces.",
);
/// Not readable as what it should be.
pub static UNREAD: Code = Code::error(
    "T002",
    "value not understood",
    "The cell cannot be read as what its column holds. The finding says how to write it.",
);
/// Readable, but out of range.
pub static RANGE: Code = Code::error(
    "T003",
    "value out of range",
    "The value can be read but is too small or too large to be meant, most often because of a \
     wrong unit or a slipped decimal point. The finding names the limits.",
);
/// The same item twice.
pub static TWICE: Code = Code::error(
    "T004",
    "item stands twice",
    "Two lines have the same item name, so labels and reports could not tell their pieces apart; \
     often a line was copied and would be cut twice. Rename one of them, or delete it if it is the \
     same thing.",
);
/// A size that is not in the tables.
pub static SIZE: Code = Code::error(
    "T005",
    "size not known",
    "A size is written with its system: NPS 6, DN 150 or OD 168.3, because 6 and 150 alone could \
     mean different pipes. Sizes that are in no table are given by their measured outside \
     diameter.",
);
/// Layers that cannot be read.
pub static BUILD: Code = Code::error(
    "T006",
    "build not understood",
    "A build lists the layers' thicknesses from the inside out, joined by plus signs, such as \
     5+10+10 for 25 mm in all.",
);
/// An angle that is no bend.
pub static ANGLE: Code = Code::error(
    "T007",
    "angle impossible",
    "An elbow turns the line by more than 0 and at most 180 degrees; a branch leaves its run by at \
     least 15 and at most 90 degrees. An angle of 0 is straight pipe.",
);
/// A bend tighter than its pipe.
pub static RADIUS: Code = Code::error(
    "T008",
    "bend radius impossible",
    "The bend radius is measured to the pipe's centreline, so it cannot be less than half the \
     pipe's outside diameter. Write long, short or the measured radius.",
);
/// A branch larger than its run.
pub static BRANCH: Code = Code::error(
    "T009",
    "branch larger than run",
    "Column size holds the run and size2 the branch, which is at most as large as the run. Most \
     often the two were exchanged.",
);
/// A reducer that does not reduce.
pub static REDUCER: Code = Code::error(
    "T010",
    "reducer does not reduce",
    "Column size holds the large end and size2 the small end of a reducer; equal ends are straight \
     pipe. Most often the two were exchanged or one was copied.",
);
/// A dimension that is in no table.
pub static MEASURE: Code = Code::error(
    "T011",
    "dimension to be measured",
    "The tables do not hold this dimension for this item, and a guess would cut wrong pieces. \
     Measure it on site or take it from the maker's drawing, and put it into the column named.",
);
/// Dimensions that do not go together.
pub static UNLIKELY: Code = Code::error(
    "T012",
    "dimensions do not go together",
    "Two dimensions of the item contradict each other, such as a flange smaller than its pipe. One \
     of them is in the wrong column or has a wrong unit.",
);
/// An end that names no item.
pub static END_UNKNOWN: Code = Code::error(
    "T013",
    "end names no fitting",
    "Column ends names the items at a run's two ends, separated by a vertical bar, exactly as they \
     stand in column item. The name given is no fitting of this takeoff, or a slanted tee whose run has two \
     unlike ends (acute_end): then the name says which, as in T-4 acute or T-4 obtuse.",
);
/// A fitting with more runs than ends.
pub static END_TAKEN: Code = Code::error(
    "T014",
    "fitting named more often than it has ends",
    "An elbow, reducer, flange pair or valve has two ends, a tee three and a cap one, times its \
     quantity; more runs than that name it in column ends. One of them names the wrong fitting, or \
     the fitting's quantity is too small.",
);
/// A run and a fitting of different sizes.
pub static END_SIZE: Code = Code::error(
    "T015",
    "run and fitting differ in size",
    "Column ends says that the run meets this fitting, but the fitting has no end of the run's \
     size. Correct the name, or one of the sizes.",
);
/// A through-length whose fittings are not known.
pub static THROUGH_ENDS: Code = Code::error(
    "T016",
    "length through fittings, fittings not known",
    "The length is measured through fittings, so the fittings' take-outs must come off, but which \
     fittings they are cannot be told from the takeoff. Name them in column ends, write none for \
     open ends, or give the net length.",
);
/// Nothing left of a through-length.
pub static NOTHING_LEFT: Code = Code::error(
    "T017",
    "nothing left of the run",
    "The fittings' take-outs are as long as the run measured through them, so no straight pipe is \
     left. Check whether the length was measured net after all, and whether the fittings belong to \
     this run.",
);
/// Take-outs that came off.
pub static TAKE_OUTS: Code = Code::note(
    "T018",
    "take-outs taken off",
    "The length was measured through fittings; the take-outs of all fittings of its line and size \
     came off, and the rest is cut as one straight run. Split the run at its fittings, or name \
     them in column ends, where joints must be known exactly.",
);
/// Take-outs that came off, and may be too much.
pub static TAKE_OUTS_UNSURE: Code = Code::warning(
    "T083",
    "take-outs of both sides of each fitting taken off",
    "The length was measured through fittings, and column ends is empty, so both sides of every fitting of its line and \
     size came off. That is right for a line whose ends lie beyond its fittings. A run that ends at a fitting, such as \
     one between two elbows, meets one side of it only, and pieces would be missing on site: name the fittings at \
     its two ends in column ends.",
);
/// A figure that is weakly supported.
pub static WEAK_FIGURE: Code = Code::warning(
    "T019",
    "dimension from a weak source",
    "The dimension comes from a table row that rests on one public source or on memory. Pieces cut \
     from it may not fit; measure it, and put the measured value into the column named.",
);
/// A value that this kind does not use.
pub static NOT_USED: Code = Code::warning(
    "T020",
    "value has no effect on this kind",
    "The cell is filled, but this kind of item does not use the column. Often the kind is wrong or \
     the values stand one column too far; delete the value if it is only left over.",
);
/// A layer for which there is no roll.
pub static NO_ROLL: Code = Code::error(
    "T021",
    "no roll of a layer's thickness",
    "The build asks for a layer of a thickness in which no roll is on offer and no offcut on the \
     shelf. Correct the build, or add the roll to the stock.",
);
/// A length that is rarely meant.
pub static UNUSUAL_LENGTH: Code = Code::warning(
    "T022",
    "length that is rarely meant",
    "A pipe or shell is shorter than 50 mm or longer than 200 m (limits: common practice, no source). \
     Most often the unit is missing or wrong: a plain number is millimetres. Leave it if it is right.",
);
/// A dimension that is rarely meant.
pub static UNUSUAL: Code = Code::warning(
    "T080",
    "dimension that is rarely meant",
    "A dimension that was typed is far smaller or larger than on things of its size, such as a valve of NPS 4 that \
     is 1 mm from face to face (limits: common practice, no source). Most often the unit is missing or wrong, or the value \
     stands in another column: a plain number is millimetres. Pieces are made by it as it stands; leave it if it is right.",
);
/// An offcut of a thickness that is nowhere else.
pub static STRANGE_OFFCUT: Code = Code::warning(
    "T023",
    "offcut of a thickness that is nowhere else",
    "An offcut on the shelf has a thickness that no item uses and no roll on offer has. Most often it is a \
     slip; correct it in offcuts.csv, or leave it if it is right: it serves for nothing in this job.",
);
/// An offcut that this job does not use.
pub static IDLE_OFFCUT: Code = Code::note(
    "T024",
    "offcut of a thickness that no item uses",
    "Nothing in this job is built of blanket as thick as this offcut, so it stays on the shelf. Nothing is \
     to be done, unless its thickness or an item's build is wrong.",
);
/// Names that differ in capitals only.
pub static ALIKE: Code = Code::warning(
    "T081",
    "names that differ in capitals only",
    "Two items have names that differ in capital and small letters only, such as `P-1` and `p-1`. They are \
     read as two items, and most often are one that was entered twice. Delete one, or rename it.",
);

/// A run that comes back to where it began.
pub static BOTH_ENDS: Code = Code::warning(
    "T082",
    "both ends of a run at one fitting",
    "Column ends names the same fitting at both ends of a run, and there is only one of it. A straight run cannot come \
     back to it, so most often one of the names is wrong, or the fitting's quantity. Pieces are made as if the run met \
     one of it at each end.",
);

/// All of them.
pub const ALL: &[&Code] = &[
    &MISSING,
    &UNREAD,
    &RANGE,
    &TWICE,
    &SIZE,
    &BUILD,
    &ANGLE,
    &RADIUS,
    &BRANCH,
    &REDUCER,
    &MEASURE,
    &UNLIKELY,
    &END_UNKNOWN,
    &END_TAKEN,
    &END_SIZE,
    &THROUGH_ENDS,
    &NOTHING_LEFT,
    &TAKE_OUTS,
    &TAKE_OUTS_UNSURE,
    &WEAK_FIGURE,
    &NOT_USED,
    &NO_ROLL,
    &UNUSUAL_LENGTH,
    &STRANGE_OFFCUT,
    &IDLE_OFFCUT,
    &UNUSUAL,
    &ALIKE,
    &BOTH_ENDS,
];

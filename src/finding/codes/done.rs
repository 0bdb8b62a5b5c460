//! Codes of findings on what the shop reports as done, and on the plan that it was done by.

use super::Code;

/// Nothing where something is needed.
pub static MISSING: Code = Code::error(
    "G001",
    "value missing",
    "A line of what was done needs a value that is not there: every line a ticket and a word for \
     what happened, a damaged stretch where it runs from and to, a short or long roll its true length, `left` how \
     much is left, a spoilt piece its code and the pull it came from.",
);
/// Not readable as what it should be.
pub static UNREAD: Code = Code::error(
    "G002",
    "value not understood",
    "The cell cannot be read as what its column holds. The finding says how to write it.",
);
/// Readable, but out of range.
pub static RANGE: Code = Code::error(
    "G003",
    "value out of range",
    "The value can be read, but no roll is that long and no pull yields that many. A roll that proved longer \
     than it should be is reported with `long` and its true length, one that proved shorter with `short`.",
);
/// A ticket, pull or piece that the plan does not have there.
pub static UNKNOWN: Code = Code::error(
    "G004",
    "no such ticket, pull or piece in the plan",
    "Tickets are numbered T1, T2 and so on in the order in which rolls are begun; pulls are numbered \
     through all tickets. From the second plan of a job on, tickets bear its number, as in T1r2: T1 is one \
     of the first plan. What is reported must stand on the ticket of the plan that is named with \
     --from; a slip here would plan the rest from rolls that are not there. What no ticket is for, such as a spare \
     roll, can only be `gone`, under its own name.",
);
/// A pull is cut though one in front of it on its roll is not.
pub static OUT_OF_ORDER: Code = Code::error(
    "G005",
    "a pull is reported cut, one in front of it is not",
    "A roll is cut from its front, so a pull can only be cut after those in front of it. Name them \
     as cut too, or as `elsewhere` where they were cut from another roll.",
);
/// Two lines, or a line and the plan, that cannot both be true.
pub static CONTRADICTS: Code = Code::error(
    "G006",
    "this cannot be so together with another line",
    "The same pull is reported cut twice, a roll has two true lengths, more is left of it than its cut pulls \
     leave (where it was longer than it should be, say so with `long`), more pieces are spoilt than were cut, or a damage lies where the roll was cut already (report those pieces as spoilt) or \
     behind the roll's end, or in front of what is left of it.",
);
/// The plan has no order of cutting.
pub static NO_TICKETS: Code = Code::error(
    "G007",
    "the plan has no tickets",
    "Only the plan of a job, written by `rollwright plan`, has an order of cutting and tickets to \
     report on.",
);
/// A value in a column that such a line does not use.
pub static NOT_USED: Code = Code::error(
    "G008",
    "a value that such a line does not use",
    "`cut` and `elsewhere` name pulls, `damaged` where it runs from and to, `short`, `long` and `left` a length, \
     `spoilt` pulls, a piece and how many, `gone` how many where it names no ticket. What stands in another column would be lost: give it a line of its own.",
);
/// A report that bears another plan's mark.
pub static OTHER_PLAN: Code = Code::error(
    "G009",
    "a report of another plan",
    "Every ticket bears at its head the mark of its plan, four letters and digits that change with whatever is on the \
     tickets. A report may repeat it in the column `plan`; where it is not that of the plan that the report is read \
     by, its tickets and pulls are others, and pulls would count as cut that nobody cut.",
);

/// All of them.
pub static ALL: &[&Code] = &[
    &MISSING,
    &UNREAD,
    &RANGE,
    &UNKNOWN,
    &OUT_OF_ORDER,
    &CONTRADICTS,
    &NO_TICKETS,
    &NOT_USED,
    &OTHER_PLAN,
];

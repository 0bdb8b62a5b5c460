//! Codes of findings on the ledger of offcuts. In every case it is as it was before.

use super::Code;

/// The file is no ledger.
pub static NOT_A_LEDGER: Code = Code::error(
    "L001",
    "the file is no ledger",
    "The file that is named as the ledger was not made by `rollwright shelf`, or is damaged. It was \
     not touched. Name another file, or move this one away to start a new ledger.",
);
/// Made by a later version.
pub static NEWER: Code = Code::error(
    "L002",
    "the ledger is of a newer version",
    "A later version of the program has written to this ledger, and this one does not know its form. \
     Use the newer program; nothing was changed.",
);
/// May only be read.
pub static READ_ONLY: Code = Code::error(
    "L003",
    "the ledger may only be read",
    "The system does not let this user write the ledger or its folder, where the journal lies while a \
     change is made. Allow writing, or ask whoever keeps the ledger.",
);
/// An offcut that is not there.
pub static GONE: Code = Code::error(
    "L004",
    "an offcut is not on the shelf",
    "It never was, or is taken or used by a plan that was booked before. List the shelf; a plan that \
     counts on it must be made anew.",
);
/// A size, a name or a text that cannot be.
pub static INVALID: Code = Code::error(
    "L005",
    "this cannot be put in the ledger",
    "A size that no offcut has, an empty or overlong text, a text that a spreadsheet would run, a day that \
     is none, a name that stands in the ledger already, or one that is named twice.",
);
/// A plan that is booked.
pub static BOOKED: Code = Code::error(
    "L006",
    "the plan is booked already",
    "A plan is booked once: its offcuts came in then, and those it used went out. Another plan of the \
     same job folder counts as the same one while the files it was made from have not changed: made anew \
     with another seed, say, or written in another form. A job that is cut a second time is booked with \
     --again.",
);
/// A place where nothing ever lay.
pub static PLACE: Code = Code::error(
    "L007",
    "no offcut ever lay at this place",
    "Most often a slip of the pen, which would make an offcut hard to find. The finding lists the \
     places that are known; say --new-place where it is a new one.",
);
/// A plan that was not made from the job's files as they stand.
pub static OTHER_JOB: Code = Code::error(
    "L008",
    "the plan is not of this job",
    "A plan is booked with the job from whose files it was made, so that what it used and kept is \
     known for certain. Of a job that is cut, put the files back as they were, or go on from the plan by what was done \
     and book that plan: one made anew may use and keep something else than was cut.",
);

/// A plan that leaves releases out.
pub static PART: Code = Code::error(
    "L010",
    "the plan is for a part of the job",
    "A job that is cut release by release is booked once, by its last plan, which knows what all of them used and left. \
     What the plan of an earlier release leaves is counted on by the next: on the shelf it would be in two places. With \
     --only it is booked all the same, where nothing goes on from it.",
);

/// Sheets of an export that do not agree.
pub static DIFFERS: Code = Code::error(
    "L009",
    "the sheets of an export do not agree",
    "A ledger is read back from history.csv and bookings.csv. The offcuts.csv beside them lists what lies on the \
     shelf by the history, for jobs, and says neither when an offcut came nor what one was taken for: what was \
     changed in it alone cannot be read. Change history.csv as well, or read the sheets as they were and then \
     use `rollwright shelf add`, `take` and `move`.",
);

/// All of them.
pub static ALL: &[&Code] = &[
    &NOT_A_LEDGER,
    &NEWER,
    &READ_ONLY,
    &GONE,
    &INVALID,
    &BOOKED,
    &PLACE,
    &OTHER_JOB,
    &DIFFERS,
    &PART,
];

//! Codes of findings on the job folder.

use super::Code;

/// The job folder is not there.
pub static NO_FOLDER: Code = Code::error(
    "J001",
    "no such job folder",
    "A job is a folder that holds takeoff.csv (what is to be insulated) and rolls.csv (what can be \
     bought), and, if wanted, offcuts.csv (what is on the shelf) and rules.toml (the \
     specification's and the shop's rules). The path on the command line is not such a folder.",
);

/// A file that a job needs is not there.
pub static MISSING_FILE: Code = Code::error(
    "J002",
    "a file of the job is missing",
    "takeoff.csv and rolls.csv (or workbooks of these names) are needed; without them there is nothing to cut or nothing to cut \
     it from. Names are in lower case.",
);

/// A file that is there cannot be read.
pub static UNREADABLE: Code = Code::error(
    "J003",
    "a file of the job cannot be read",
    "The file is there, but the system would not hand over its bytes, or it is larger than any \
     takeoff could be. It may be open elsewhere, belong to somebody else, be a folder, a pipe or a \
     device, or be a link to a file that is not there.",
);

/// A file whose name is nearly that of one that would be read.
pub static MISNAMED: Code = Code::warning(
    "J004",
    "a file's name is nearly that of a file of the job",
    "The file is not read, because only takeoff, rolls and offcuts (.csv, .xlsx or .ods), rules.toml, rates.toml and \
     papers.toml are, and quantities, uncertainty and options by the commands that they are for. It \
     looks like a slip of the pen, and a rule or an offcut list that is silently not read costs \
     material.",
);

/// No way was found to cut the pieces from the rolls on offer.
pub static NOT_ENOUGH_ROLLS: Code = Code::error(
    "J005",
    "no way was found to cut all pieces from the rolls on offer",
    "The column `available` of rolls.csv limits how many rolls of a product can be had, and with \
     these limits no way was found to cut all pieces of the thickness. Leave `available` empty where \
     there is no limit; where it is near, more --work may find a way. Courses are as wide as the widest \
     roll on offer, however few of it can be had: with no in the column `courses` of that roll they are \
     laid out for the others, and it is cut from as well. `rollwright price JOB --order` looks for that order.",
);

/// The engine refuses a thickness.
pub static CANNOT_NEST: Code = Code::error(
    "J006",
    "a thickness cannot be laid on its rolls",
    "The pieces of one thickness and the rolls on offer do not go together under the table's \
     rules: no roll is offered, a piece fits none after square cut, edge trims and pull limit, or \
     a number is too great to compute with.",
);

/// The file is no plan.
pub static NO_PLAN: Code = Code::error(
    "J007",
    "not a plan file",
    "`rollwright audit` reads the plan.json that `rollwright plan` wrote. The file named is not \
     one, or it was changed in a way that leaves it no plan.",
);

/// An input differs from the one from which a plan was made.
pub static CHANGED_SINCE: Code = Code::warning(
    "J008",
    "an input has changed since the plan was made",
    "A plan lists the digests of the files from which it was made. One of them is not the same any \
     more. The audit goes by the files as they are now.",
);

/// A table stands in two files.
pub static TWO_FILES: Code = Code::error(
    "J009",
    "a table of the job stands in two files",
    "Takeoff, rolls and offcuts may each be a CSV file or a workbook (.xlsx, .ods), but where both \
     are in the folder it is not clear which of them counts. Keep one and move the other away.",
);

/// A plan goes on from another, and that was not looked at.
pub static GROUND_UNCHECKED: Code = Code::warning(
    "J010",
    "what a plan goes on from was taken as it says",
    "A plan that goes on from an earlier one says what is cut already, what is on hand and what was \
     bought. Whether that is so is seen only against the earlier plan and the report of what was done: \
     `rollwright audit JOB PLAN --from EARLIER --done FILE`.",
);

/// The clock ended a search that had no plan yet.
pub static OUT_OF_TIME: Code = Code::error(
    "J011",
    "time ran out before there was a plan",
    "The clock of --seconds ended the search before a way was found to cut all pieces of a thickness from \
     the rolls on offer. Whether there is one is not known: where `available` is near, finding it takes \
     longer. Give more --seconds, or leave it away; then --work ends the search. The exit code is 4, as \
     nothing is wrong with the inputs.",
);

/// A search ended before it was done, and what it found so far is told.
pub static STOPPED_EARLY: Code = Code::warning(
    "J014",
    "search stopped before its end",
    "Somebody, or the clock of --seconds, ended the search. What is told stands and is audited, but with more time fewer \
     or cheaper rolls may be found, and more be proven. Run again, with more --seconds or without.",
);

/// A plan file with fields that are not known.
pub static PASSED_OVER: Code = Code::warning(
    "J015",
    "fields of the plan file passed over",
    "The plan file has fields that this version does not know. Nothing is read from them: a field whose name is misspelt \
     counts as one that is not there, such as the prices that tell a bound.",
);

/// A section of the report could not be made.
pub static SECTION: Code = Code::warning(
    "J012",
    "a section that was asked for is not in the report",
    "`rollwright plan --also` makes sections beside the plan. One of them could not be made, for the cause \
     that is told, or was stopped; the plan and all else is written without it. Mend the cause, or ask for \
     it alone with the command of its name (price --order, allowance, risk, compare --options, seams).",
);

/// Another version of the program made a plan.
pub static OTHER_VERSION: Code = Code::warning(
    "J013",
    "another version of this program made the plan",
    "A plan names the version that made it, and every rule that it was made under. The audit goes by the \
     rules, tables and patterns of the version that runs; rules that only one of the two knows are not \
     compared.",
);

/// How items are made may be chosen, and the plan goes on from another.
pub static NOT_CHOSEN: Code = Code::warning(
    "J060",
    "a plan that goes on from another does not choose how items are made",
    "How items are made ([choose] in the rules: builds, elbows, windings, seams, parts) is chosen in the first plan of a job \
     only. A plan that goes on from it keeps what was chosen, so that what is cut fits; items that are new, or that \
     the takeoff has otherwise now, are made as specified. Where joints lie is chosen anew for runs of which nothing \
     is cut yet. `pinned` = `yes` in the takeoff has an item made as specified again: pieces that are cut for it then \
     count only where the specified ones have the same size.",
);

/// What an earlier plan chose does not stand any more.
pub static NOT_KEPT: Code = Code::warning(
    "J062",
    "what an earlier plan chose for an item does not stand any more",
    "A plan that goes on keeps what the plan before chose: how items are made, and where joints of runs lie. Where \
     the takeoff, the rolls or the rules changed so that the specification would be broken by it, the item is made \
     as specified; pieces that are cut for it count only where the specified ones have the same size, and the others \
     are cut for nothing (`changed` tells them).",
);

/// Rolls on hand that no course is laid out for.
pub static ON_HAND_NOT_LAID: Code = Code::warning(
    "J061",
    "no course is laid out for rolls that are on hand",
    "A plan goes on from another whose order has rolls of a product with 0 in `available` now. That takes the \
     product off the offer: courses are laid out for the others, so pieces get other sizes, and what is cut for \
     the old ones fits no longer. Where only no more is to be bought, write into `available` how many were bought: \
     they count against it, so none is bought, and courses stay as they are.",
);

/// Whole rolls on hand that are not cut while wider ones are bought.
pub static LEFT_LYING: Code = Code::warning(
    "J080",
    "whole rolls on hand are not cut, and wider ones are bought",
    "Courses are laid out for the widest roll on offer, whatever lies on the shelf or was bought before. Where that \
     is wider than whole rolls on hand, few pieces fit these, or none, and they are left lying. To use them up \
     first, write no into the column `courses` of the wider product while a roll as wide as those on hand stays on \
     offer: courses are then laid out for that, and the wider ones are cut from where they are needed. A part of the takeoff for which they suffice can also be a job of its own.",
);

/// A plan that is gone on from has none of the job's items.
pub static OTHER_ITEMS: Code = Code::error(
    "J016",
    "the plan that is gone on from is of other items",
    "With --from a plan goes on from an earlier one of the same job: what that one cut and has on hand is this job's. The \
     plan that is named cuts for none of the items of the takeoff, so it is most likely one of another job, whose \
     offcuts come into this one by offcuts.csv. Where all items were renamed, one of them keeps its old name for the plan \
     that goes on.",
);

/// A report of what was done that is older than its plan.
pub static OLDER_THAN_PLAN: Code = Code::warning(
    "J082",
    "a report of what was done is older than the plan it is read by",
    "A report names tickets and pulls of a plan. Its file was changed last before the plan's file was written, so the plan may \
     have replaced the one that was cut by, and its tickets are others: pulls would count as cut that nobody cut. \
     Where the plan was only made once more and nothing had changed, all is well. Else name the plan that was cut by, or write \
     the report anew by the tickets of this one. Copying files may change when they were written. A report that repeats the \
     mark of its tickets in the column `plan` is held against that instead.",
);

/// A plan from which only what was chosen is taken.
pub static CHOICES_ALONE: Code = Code::warning(
    "J081",
    "a plan does not stand, and only what the nest chose for it is taken",
    "Options are compared as a plan was chosen. It does not stand for the job as it is now: something of the job has \
     changed since, it is a plan of another job, or its file was changed. What it chose is still allowed, or it chose \
     nothing, so the options are compared with that; that none comes to more than the plan cannot be promised. \
     `rollwright audit JOB PLAN` tells what does not hold.",
);

/// A run was ended between two files of a plan.
pub static UNFINISHED: Code = Code::warning(
    "J083",
    "a run was ended while it wrote into the folder of the plan",
    "All files of a plan are written under other names first and then renamed, one after another. A run that was killed \
     in between, or could not replace a file, leaves reports of its own plan beside the plan.json that was there before, so \
     an order may say other rolls than the plan beside it. Run the command that wrote it, `rollwright plan` or `stages`, again: it writes all of \
     them.",
);

/// The plan that is gone on from is false in itself.
pub static GROUND_WRONG: Code = Code::warning(
    "J084",
    "the plan that is gone on from does not stand",
    "What is cut and on hand is taken from the plan named with --from and the report of what was done by it. Nothing that it \
     was made from has changed since, so it should stand as it did when it was made, and it does not: its file was changed. \
     Pieces that no cut yields may count as cut, and rolls that nobody bought as on hand. `rollwright audit` on that plan \
     tells all that is wrong with it.",
);

/// All of them.
pub const ALL: &[&Code] = &[
    &NO_FOLDER,
    &MISSING_FILE,
    &UNREADABLE,
    &MISNAMED,
    &NOT_ENOUGH_ROLLS,
    &CANNOT_NEST,
    &NO_PLAN,
    &CHANGED_SINCE,
    &TWO_FILES,
    &GROUND_UNCHECKED,
    &OUT_OF_TIME,
    &STOPPED_EARLY,
    &PASSED_OVER,
    &SECTION,
    &OTHER_VERSION,
    &NOT_CHOSEN,
    &NOT_KEPT,
    &ON_HAND_NOT_LAID,
    &LEFT_LYING,
    &CHOICES_ALONE,
    &OLDER_THAN_PLAN,
    &UNFINISHED,
    &GROUND_WRONG,
    &OTHER_ITEMS,
];

//! Lines of what was done, as typed.

use crate::table::record;

record! {
    /// The columns of the report of what was done.
    pub const COLUMNS;

    /// A line.
    struct Record;

    ticket: needed "ticket", "T12",
        "which ticket of the plan; for instance `T12`; of gone also the name of what no ticket is for: a roll as in rolls.csv, \
         a rest as the plan names it, an offcut as its label does";
    what: needed "word", "cut",
        "cut: pulls are cut; elsewhere: they are cut, but from another roll than the ticket's; spoilt: pieces of a \
         cut pull are to be made again; damaged: a stretch of the roll cannot be used; short or long: the roll is shorter or \
         longer than it should be; left: so much is left of the roll, where that was measured; gone: nothing is left of it, or a spare \
         roll or a rest that no ticket is for is there no more";
    pull: optional "number, range or all", "12 to 18",
        "of cut, elsewhere and spoilt: the pull's number, a range, or all";
    from: optional "length", "4.2 m", "of damaged: where it starts, from the roll's front";
    to: optional "length", "4900", "of damaged: where it ends";
    length: optional "length", "38.4 m", "of short and long: the roll's true length from its front; of left: from the last cut to its end";
    piece: optional "code", "B12", "of spoilt: the code on the piece";
    quantity: optional "whole number", "2", "of spoilt, and of gone where no ticket is named: how many; empty: one";
    #[expect(dead_code, reason = "kept for those who read the file")]
    note: optional "text", "forklift", "free text";
    plan: optional "mark", "K7W4",
        "the mark of the plan, as it stands at the head of its tickets, on one line or on all: a report of another plan is \
         refused";
}

//! Codes of findings on rules.

use super::Code;

/// The file is not TOML.
pub static SYNTAX: Code = Code::error(
    "R001",
    "rules cannot be read",
    "A rules file holds sections in square brackets and below them lines such as `stagger = 75`; \
     texts stand between double quotes. At the place named the file departs from that.",
);
/// No such section.
pub static SECTION_UNKNOWN: Code = Code::error(
    "R002",
    "section not known",
    "There is no section of this name, so the rules below it would be left unread and their \
     defaults used. Correct the name; `rollwright rules` lists all sections and keys.",
);
/// No such key.
pub static KEY_UNKNOWN: Code = Code::error(
    "R003",
    "key not known",
    "There is no key of this name in this section, so the rule would be left unread and its \
     default used. Correct the name, or move it to its own section; `rollwright rules` lists all.",
);
/// The wrong sort of value.
pub static VALUE_KIND: Code = Code::error(
    "R004",
    "value not understood",
    "The value is not of the sort that this rule takes. Lengths are plain numbers of millimetres \
     or texts with a unit, such as `\"3 in\"`; words stand between double quotes.",
);
/// Beyond its limits.
pub static VALUE_RANGE: Code = Code::error(
    "R005",
    "value out of range",
    "The value is smaller or larger than this rule can sensibly be, most often because of a wrong \
     unit. The finding names the limits.",
);
/// Two rules that cannot both be kept.
pub static CONTRADICTION: Code = Code::error(
    "R006",
    "rules contradict each other",
    "The two rules named cannot both be kept, so no piece could be cut. Change one of them.",
);
/// A rule that has no effect beside another.
pub static NO_EFFECT: Code = Code::warning(
    "R007",
    "rule has no effect",
    "The rule is given, but another one leaves it without effect. Delete it, or change the other \
     if this one was meant to count.",
);
/// `papers.toml` is not understood.
pub static PAPERS: Code = Code::error(
    "R070",
    "papers.toml not understood",
    "papers.toml says in what tickets, labels, kit lists, drawings and templates give lengths, and on what sheets they \
     are printed. It holds up to two lines: `lengths = \"inches\"` or `lengths = \"millimetres\"`, which is so without \
     it, and `sheets = \"letter\"` or `sheets = \"A4\"`. Without the second, papers in inches are on letter, others on A4.",
);
/// Rules that are no multiples of what the papers show.
pub static CROOKED: Code = Code::warning(
    "R071",
    "rules crooked in inches",
    "Papers are in inches, and sizes are rounded up to a step, or places begin at a cut, that is no whole number of \
     sixty-fourths of an inch. So nearly every length is shown rounded, with a ~ before it, and every pull on a ticket \
     may begin up to a sixty-fourth farther along its roll than in the plan: what is left of a roll, on tickets, in \
     offcuts.csv, on the shelf and in a plan that goes on, is shorter by so much. Give these rules in inches: \
     the finding names the next length that a tape shows. The plan changes with them, so make it again.",
);

/// All of them.
pub const ALL: &[&Code] = &[
    &SYNTAX,
    &SECTION_UNKNOWN,
    &KEY_UNKNOWN,
    &VALUE_KIND,
    &VALUE_RANGE,
    &CONTRADICTION,
    &NO_EFFECT,
    &PAPERS,
    &CROOKED,
];

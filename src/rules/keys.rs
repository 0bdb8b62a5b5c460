//! Every key of `rules.toml`: the one table from which the reader works and the documentation is
//! written, so that the two cannot drift. A new field of [`Rules`](super::Rules) needs its key here; the test of
//! the reader insists on it.

use super::form::{Form, Word};
use super::{JointKind, Lengths, Releases, Seam};
use crate::cutting::{Objective, Style};
use crate::standards::Diameters;
use crate::units::Length;

/// A key of `rules.toml`.
#[derive(Debug)]
pub struct Key {
    /// The section it stands in.
    pub section: &'static str,
    /// Its name.
    pub name: &'static str,
    /// What may stand there.
    pub form: Form,
    /// What it means.
    pub meaning: &'static str,
    /// Where the default comes from.
    pub source: &'static str,
}

const PRACTICE: &str = "common practice, no source";
const WEAK: &str = "weak common practice, no source";
const OURS: &str = "our choice";
const PLACEHOLDER: &str = "placeholder: measure it in your shop";

const fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

/// A length that is always there: `length!((least, most), field.path)` in millimetres.
macro_rules! length {
    (($least:expr, $most:expr), $($field:ident).+) => {
        Form::Length {
            range: ($least, $most),
            none: None,
            get: |rules| Some(rules.$($field).+),
            set: |rules, value| {
                if let Some(value) = value {
                    rules.$($field).+ = value;
                }
            },
        }
    };
}

/// A whole number that is always there: `count!((least, most), field.path)`.
macro_rules! count {
    (($least:expr, $most:expr), $($field:ident).+) => {
        Form::Count {
            range: ($least, $most),
            none: None,
            get: |rules| Some(rules.$($field).+),
            set: |rules, value| {
                if let Some(value) = value {
                    rules.$($field).+ = value;
                }
            },
        }
    };
}

/// `true` or `false`: `flag!(field.path)`.
macro_rules! flag {
    ($($field:ident).+) => {
        Form::Flag {
            get: |rules| rules.$($field).+,
            set: |rules, value| rules.$($field).+ = value,
        }
    };
}

/// A word and what it sets a field to.
macro_rules! word {
    ($text:literal, $meaning:literal, $($field:ident).+ = $value:expr) => {
        Word {
            text: $text,
            meaning: $meaning,
            set: |rules| rules.$($field).+ = $value,
            is: |rules| rules.$($field).+ == $value,
        }
    };
}

/// A micrometre: the least that a dimension above nothing may be.
const TINY: Length = Length::from_nm(1000);

/// All keys, section by section.
pub const KEYS: &[Key] = &[
    Key {
        section: "joints",
        name: "stagger",
        form: length!((Length::ZERO, mm(500)), joints.stagger),
        meaning: "least distance between joints of neighbouring layers, along and around the pipe",
        source: PRACTICE,
    },
    Key {
        section: "joints",
        name: "kind",
        form: Form::Word(&[
            word!("butt", "edge to edge", joints.kind = JointKind::Butt),
            word!(
                "lap",
                "one over the other, outermost layer only, of runs, shells, elbows' seams and bodies of covers but those with a bonnet; other curved edges butt",
                joints.kind = JointKind::Lap
            ),
        ]),
        meaning: "how pieces of one layer meet",
        source: PRACTICE,
    },
    Key {
        section: "joints",
        name: "lap",
        form: length!((Length::ZERO, mm(300)), joints.lap),
        meaning: "how far a lap joint laps, along and around; counts with kind \"lap\" only",
        source: WEAK,
    },
    Key {
        section: "joints",
        name: "smallest_piece",
        form: length!((mm(1), mm(1000)), joints.smallest_piece),
        meaning: "narrowest piece worth cutting, along the pipe; smaller ones hold no two ties",
        source: PRACTICE,
    },
    Key {
        section: "joints",
        name: "first_seam",
        form: Form::Angle {
            get: |rules| rules.joints.first_seam,
            set: |rules, angle| rules.joints.first_seam = angle,
        },
        meaning: "where the first layer's seam lies, clockwise from the top along the run; of what stands upright from a \
                  line marked on it",
        source: PRACTICE,
    },
    Key {
        section: "wrap",
        name: "factor",
        form: Form::Factor {
            get: |rules| rules.wrap.factor,
            by_thickness: |rules| &rules.wrap.by_thickness,
            set: |rules, general, by_thickness| {
                if let Some(general) = general {
                    rules.wrap.factor = general;
                }
                rules.wrap.by_thickness = by_thickness;
            },
        },
        meaning: "where in the blanket's thickness the wrap is measured: 0 inner face, 0.5 middle, \
                  1 outer face; a property of the product to be measured on a test wrap. By \
                  thickness: `factor = { default = 0.5, \"5\" = 0.6 }`",
        source: "0.5 keeps the blanket's cross-section (derived)",
    },
    Key {
        section: "wrap",
        name: "ring_parts",
        form: Form::Count {
            range: (1, 64),
            none: None,
            get: |rules| Some(u64::from(rules.wrap.ring_parts)),
            set: |rules, value| {
                rules.wrap.ring_parts =
                    value.and_then(|count| u32::try_from(count).ok()).unwrap_or(1);
            },
        },
        meaning: "least number of equal parts, each with a seam along the run, into which a ring of pipe or of a shell is \
                  cut; more where roll or table are too short for so few",
        source: OURS,
    },
    Key {
        section: "wrap",
        name: "wound_up_to",
        form: length!((Length::ZERO, mm(1000)), wrap.wound_up_to),
        meaning: "on pipe of at most this outside diameter, neighbouring layers of one thickness are \
                  wound from one piece; 0 never. The turns then share their joints along the pipe",
        source: PRACTICE,
    },
    Key {
        section: "wrap",
        name: "wound_thickness",
        form: length!((mm(1), mm(100)), wrap.wound_thickness),
        meaning: "the thickest blanket that is wound so",
        source: PRACTICE,
    },
    Key {
        section: "table",
        name: "pull_limit",
        form: Form::Length {
            range: (mm(100), mm(200_000)),
            none: Some("none"),
            get: |rules| rules.table.pull_limit,
            set: |rules, value| rules.table.pull_limit = value,
        },
        meaning: "longest length drawn off the roll across the table at once; hand tables take 3 \
                  to 6 m",
        source: PRACTICE,
    },
    Key {
        section: "table",
        name: "square_cut",
        form: length!((Length::ZERO, mm(1000)), table.square_cut),
        meaning: "cut off the front of each roll once, to square it",
        source: PRACTICE,
    },
    Key {
        section: "table",
        name: "edge_trim",
        form: length!((Length::ZERO, mm(200)), table.edge_trim),
        meaning: "cut off each of the roll's two long edges",
        source: OURS,
    },
    Key {
        section: "table",
        name: "gap",
        form: length!((Length::ZERO, mm(100)), table.gap),
        meaning: "free distance between pieces; 0 where one cut serves both",
        source: OURS,
    },
    Key {
        section: "table",
        name: "style",
        form: Form::Word(&[
            word!("straight", "edge-to-edge cuts only", table.style = Style::Straight),
            word!("free", "any line a knife can follow", table.style = Style::Free),
        ]),
        meaning: "how the knife may go",
        source: OURS,
    },
    Key {
        section: "table",
        name: "stages",
        form: Form::Count {
            range: (2, 3),
            none: Some("any"),
            get: |rules| rules.table.stages.map(u64::from),
            set: |rules, value| {
                rules.table.stages = value.and_then(|count| u8::try_from(count).ok());
            },
        },
        meaning: "for straight cuts: 2 (across, along) or 3 (across, along, across), final trims \
                  not counted",
        source: OURS,
    },
    Key {
        section: "elbow",
        name: "one_piece_up_to",
        form: Form::Size {
            none: "none",
            default: "NPS 8",
            get: |rules| rules.elbow.one_piece_up_to,
            set: |rules, od| rules.elbow.one_piece_up_to = od,
        },
        meaning: "elbows up to this size are cut in one piece, larger ones gore by gore",
        source: PRACTICE,
    },
    Key {
        section: "elbow",
        name: "gores",
        form: Form::Count {
            range: (1, 60),
            none: Some("auto"),
            get: |rules| rules.elbow.gores.map(u64::from),
            set: |rules, value| {
                rules.elbow.gores = value.and_then(|count| u32::try_from(count).ok());
            },
        },
        meaning: "number of gores in 90 degrees; \"auto\" takes the fewest that keep the tolerance",
        source: OURS,
    },
    Key {
        section: "elbow",
        name: "tolerance",
        form: length!((TINY, mm(100)), elbow.tolerance),
        meaning: "furthest that the gored surface may stand off the true bend at the heel",
        source: OURS,
    },
    Key {
        section: "elbow",
        name: "smallest_throat",
        form: length!((Length::ZERO, mm(300)), elbow.smallest_throat),
        meaning: "narrowest throat of a gore; of thick elbows that of the innermost layer, where the others run to a \
                  point sooner than stand off further than elbow.tolerance",
        source: WEAK,
    },
    Key {
        section: "elbow",
        name: "smallest_tooth",
        form: length!((Length::ZERO, mm(300)), elbow.smallest_tooth),
        meaning: "narrowest throat between the darts of an elbow in one piece, where the gores hang \
                  together at the heel; of thick elbows that of the innermost layer",
        source: WEAK,
    },
    Key {
        section: "elbow",
        name: "seam",
        form: Form::Word(&[
            word!("throat", "at the inside of the bend", elbow.seam = Seam::Throat),
            word!("heel", "at the outside of the bend", elbow.seam = Seam::Heel),
            word!(
                "alternate",
                "at throat and heel in turn, so that neighbours interlock",
                elbow.seam = Seam::Alternate
            ),
        ]),
        meaning: "where a gore's seam lies",
        source: PRACTICE,
    },
    Key {
        section: "elbow",
        name: "chord_error",
        form: length!((Length::from_nm(10_000), mm(5)), elbow.chord_error),
        meaning: "greatest distance between a true curve and the straight edges that stand for it",
        source: OURS,
    },
    Key {
        section: "elbow",
        name: "bridge",
        form: length!((mm(1), mm(300)), elbow.bridge),
        meaning: "material left between the darts of a one-piece elbow at its spine, less on small pipe, where a dart \
                  would begin too wide; without any it would be gores",
        source: OURS,
    },
    Key {
        section: "head",
        name: "petals",
        form: Form::Count {
            range: (4, 200),
            none: Some("auto"),
            get: |rules| rules.head.petals.map(u64::from),
            set: |rules, value| {
                rules.head.petals = value.and_then(|count| u32::try_from(count).ok());
            },
        },
        meaning: "least number of petals of a dished end or cap, even; \"auto\" takes 12, or 8 where the \
                  rim's radius is 300 mm or less or where only fewer keep the stagger",
        source: PRACTICE,
    },
    Key {
        section: "turning",
        name: "quarter_turns",
        form: flag!(turning.quarter_turns),
        meaning: "whether a piece may lie with its length across the roll; ask the product's maker",
        source: OURS,
    },
    Key {
        section: "offcuts",
        name: "keep_width",
        form: length!((mm(10), mm(10_000)), offcuts.keep_width),
        meaning: "narrowest offcut worth keeping",
        source: PRACTICE,
    },
    Key {
        section: "offcuts",
        name: "keep_length",
        form: length!((mm(10), mm(100_000)), offcuts.keep_length),
        meaning: "shortest offcut worth keeping",
        source: PRACTICE,
    },
    Key {
        section: "resolution",
        name: "cut",
        form: length!((TINY, mm(50)), resolution.cut),
        meaning: "rectangular sizes are rounded up to a multiple of this",
        source: OURS,
    },
    Key {
        section: "takeoff",
        name: "lengths",
        form: Form::Word(&[
            word!(
                "net",
                "between fittings, at flanges and valves from the back of the flange's ring, hub counted in",
                lengths = Lengths::Net
            ),
            word!(
                "through",
                "along the centreline through fittings, to the middle of those that lie in line (reducers, \
                 flange pairs, valves); their take-outs come off",
                lengths = Lengths::Through
            ),
        ]),
        meaning: "what pipe lengths in the takeoff mean; a line may differ in its column `measured`",
        source: OURS,
    },
    Key {
        section: "takeoff",
        name: "diameters",
        form: Form::Word(&[
            word!("asme", "ASME B36.10M", diameters = Diameters::Asme),
            word!(
                "en",
                "EN 10220 series 1 (ISO series A); these figures rest on one public page",
                diameters = Diameters::En
            ),
        ]),
        meaning: "which outside diameters DN sizes stand for; NPS sizes are always ASME's",
        source: OURS,
    },
    Key {
        section: "order",
        name: "objective",
        form: Form::Word(&[
            word!("rolls", "the fewest rolls", order.objective = Objective::Rolls),
            word!("price", "the lowest price", order.objective = Objective::Price),
        ]),
        meaning: "what is to be least",
        source: OURS,
    },
    Key {
        section: "order",
        name: "spare_rolls",
        form: Form::Count {
            range: (0, 1000),
            none: None,
            get: |rules| Some(rules.order.spare_rolls),
            set: |rules, value| {
                if let Some(value) = value {
                    rules.order.spare_rolls = value;
                }
            },
        },
        meaning: "spare rolls of each thickness, on top of what is needed",
        source: OURS,
    },
    Key {
        section: "securement",
        name: "spacing",
        form: length!((mm(20), mm(2000)), securement.spacing),
        meaning: "distance between ties along the pipe",
        source: PRACTICE,
    },
    Key {
        section: "vertical",
        name: "ring_spacing",
        form: length!((mm(500), mm(20_000)), vertical.ring_spacing),
        meaning: "greatest distance between support rings of a vertical run",
        source: PRACTICE,
    },
    Key {
        section: "vertical",
        name: "ring_gap",
        form: length!((Length::ZERO, mm(100)), vertical.ring_gap),
        meaning: "left free below each support ring",
        source: OURS,
    },
    Key {
        section: "sequence",
        name: "release",
        form: Form::Word(&[
            word!(
                "hard",
                "no pull of a later release while an earlier one waits",
                sequence.release = Releases::Hard
            ),
            word!(
                "weighed",
                "it may be, for points, and is told",
                sequence.release = Releases::Weighed
            ),
        ]),
        meaning: "what an earlier release means for the order of cutting",
        source: OURS,
    },
    Key {
        section: "sequence",
        name: "open_kits",
        form: count!((0, 1_000_000), sequence.open_kits),
        meaning: "points for each kit of the most that are open at once; of all points only ratios matter",
        source: OURS,
    },
    Key {
        section: "sequence",
        name: "held_kits",
        form: count!((0, 1_000_000), sequence.held_kits),
        meaning: "points for each kit that is open, averaged over all pulls",
        source: OURS,
    },
    Key {
        section: "sequence",
        name: "setup",
        form: count!((0, 1_000_000), sequence.setup),
        meaning: "points for each change of the knives' places across the roll",
        source: OURS,
    },
    Key {
        section: "sequence",
        name: "roll_change",
        form: count!((0, 1_000_000), sequence.roll_change),
        meaning: "points for each change of the roll on the table",
        source: OURS,
    },
    Key {
        section: "sequence",
        name: "late",
        form: count!((0, 1_000_000), sequence.late),
        meaning: "points for each pull cut while an earlier release waits, where releases are weighed",
        source: OURS,
    },
    Key {
        section: "sequence",
        name: "blanket",
        form: count!((0, 1_000_000), sequence.blanket),
        meaning: "points for each metre of roll used up, where pulls are formed of few kits",
        source: OURS,
    },
    Key {
        section: "rates",
        name: "straight",
        form: length!((mm(100), mm(1_000_000)), rates.straight),
        meaning: "length of straight cuts made in a minute",
        source: PLACEHOLDER,
    },
    Key {
        section: "rates",
        name: "outline",
        form: length!((mm(100), mm(1_000_000)), rates.outline),
        meaning: "length cut along outlines in a minute",
        source: PLACEHOLDER,
    },
    Key {
        section: "rates",
        name: "pull",
        form: count!((0, 36_000), rates.pull),
        meaning: "seconds to draw off one pull",
        source: PLACEHOLDER,
    },
    Key {
        section: "rates",
        name: "setup",
        form: count!((0, 36_000), rates.setup),
        meaning: "seconds to set the knives to other places",
        source: PLACEHOLDER,
    },
    Key {
        section: "rates",
        name: "roll_change",
        form: count!((0, 36_000), rates.roll_change),
        meaning: "seconds to change the roll on the table",
        source: PLACEHOLDER,
    },
    Key {
        section: "rates",
        name: "piece",
        form: count!((0, 36_000), rates.piece),
        meaning: "seconds to mark and stack one piece",
        source: PLACEHOLDER,
    },
    Key {
        section: "choose",
        name: "joints",
        form: flag!(choose.joints),
        meaning: "whether the nest may choose where the joints of straight runs lie; every other \
                  rule is kept. A line is kept as specified by column `pinned`",
        source: OURS,
    },
    Key {
        section: "choose",
        name: "builds",
        form: flag!(choose.builds),
        meaning: "whether the nest may choose builds of the same thickness: a layer as two of half its \
                  thickness, two like layers as one of twice it, where both are on offer; only where \
                  the specification allows it",
        source: OURS,
    },
    Key {
        section: "choose",
        name: "elbows",
        form: flag!(choose.elbows),
        meaning: "whether elbows that elbow.one_piece_up_to has cut in one piece may be cut gore by \
                  gore, too, where they follow the bend as well",
        source: OURS,
    },
    Key {
        section: "choose",
        name: "seams",
        form: flag!(choose.seams),
        meaning: "whether the seams of elbows may lie otherwise than elbow.seam says; it changes \
                  what straight cuts need only where outlines have other boxes",
        source: OURS,
    },
    Key {
        section: "choose",
        name: "windings",
        form: flag!(choose.windings),
        meaning: "whether pipe that wrap.wound_up_to has wound from one piece may be wrapped layer by \
                  layer, too",
        source: OURS,
    },
    Key {
        section: "choose",
        name: "parts",
        form: flag!(choose.parts),
        meaning: "whether rings of pipe and of shells that take a good part of a roll's length may be cut into up to four \
                  parts more than need be, and dished heads and caps into up to twelve petals more; see \
                  choose.more_pieces, which must leave room for them",
        source: OURS,
    },
    Key {
        section: "choose",
        name: "more_pieces",
        form: count!((0, 1000), choose.more_pieces),
        meaning: "the most pieces that builds, elbows, seams, windings and parts may take beyond those \
                  specified, in hundredths of all of them",
        source: OURS,
    },
    Key {
        section: "choose",
        name: "more_joints",
        form: count!((0, 100), choose.more_joints),
        meaning: "the most joints beyond those specified, in hundredths of all of them; where builds \
                  and windings are chosen, beyond those of the ways taken",
        source: OURS,
    },
    Key {
        section: "choose",
        name: "joints_a_layer",
        form: count!((0, 20), choose.joints_a_layer),
        meaning: "the most joints beyond those specified in one layer of one run",
        source: OURS,
    },
    Key {
        section: "choose",
        name: "longest_course",
        form: Form::Length {
            range: (mm(100), mm(20_000)),
            none: Some("none"),
            get: |rules| rules.choose.longest_course,
            set: |rules, value| rules.choose.longest_course = value,
        },
        meaning: "with quarter turns, the longest course that may be cut along the roll; one fitter \
                  handles 2 to 4 m. \"none\": no course is longer than the roll is wide",
        source: WEAK,
    },
    Key {
        section: "choose",
        name: "joint_minutes",
        form: count!((0, 1000), choose.joint_minutes),
        meaning: "minutes of work for one joint along a run, or one further piece: cut, label, fit, tie",
        source: WEAK,
    },
    Key {
        section: "choose",
        name: "hour_price",
        form: count!((0, 1_000_000), choose.hour_price),
        meaning: "price of an hour of that work, in whole units; counts where the lowest price is \
                  asked for, and where a choice saves blanket alone, then for the cutting table too",
        source: OURS,
    },
];

//! Each kind of item from its line, complete with every dimension.

mod fitting;
mod flange;
mod pipe;
mod vessel;

use super::desk::Desk;
use super::domain::Kind;
use super::record::TakeoffRecord;
use crate::finding::codes::takeoff as codes;

/// The words for the kinds.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum KindWord {
    Pipe,
    Elbow,
    Tee,
    Reducer,
    Cap,
    Flange,
    Valve,
    Shell,
    Head,
    Disc,
}

/// How each kind is written.
pub(super) const WORDS: &[(&str, KindWord)] = &[
    ("pipe", KindWord::Pipe),
    ("elbow", KindWord::Elbow),
    ("tee", KindWord::Tee),
    ("reducer", KindWord::Reducer),
    ("cap", KindWord::Cap),
    ("flange", KindWord::Flange),
    ("valve", KindWord::Valve),
    ("shell", KindWord::Shell),
    ("head", KindWord::Head),
    ("disc", KindWord::Disc),
];

/// Other words of the trade for the kinds, in small letters.
const ALSO: &[(&str, &[&str])] = &[
    ("pipe", &["tube", "straight", "run", "spool", "piping"]),
    ("elbow", &["bend", "ell", "bow", "90", "45", "90 deg", "45 deg", "90°", "45°", "return bend"]),
    ("tee", &["t", "tee piece", "t-piece", "t piece", "branch", "lateral", "stub-in"]),
    ("reducer", &["reduction", "cone", "swage"]),
    ("cap", &["end cap", "pipe cap"]),
    ("flange", &["flange pair", "flanges", "flg", "flanged joint"]),
    (
        "valve",
        &[
            "gate",
            "globe",
            "ball",
            "check",
            "butterfly",
            "plug",
            "vlv",
            "gate valve",
            "ball valve",
            "globe valve",
            "check valve",
            "butterfly valve",
            "plug valve",
            "control valve",
        ],
    ),
    ("shell", &["vessel", "tank", "drum", "cylinder", "vessel shell"]),
    ("head", &["dish", "dished end", "vessel head", "bottom"]),
    ("disc", &["disk", "ring", "plate", "blind", "flat plate"]),
];

/// The kind that a word of the trade means, if it is one.
pub(super) fn also(word: &str) -> Option<&'static str> {
    let meant = |(_, others): &&(&str, &[&str])| others.contains(&word);
    ALSO.iter().find(meant).map(|(kind, _)| *kind)
}

impl KindWord {
    /// The columns that this kind uses beside those that all kinds use.
    const fn columns(self) -> &'static [&'static str] {
        match self {
            Self::Pipe => &["length", "measured", "orientation", "ends"],
            Self::Elbow => &["angle", "radius"],
            Self::Tee => &["size2", "angle", "centre_to_end", "acute_end", "branch_height"],
            Self::Reducer => &["size2", "type", "length"],
            Self::Cap => &["length"],
            Self::Flange => &["type", "diameter", "thickness", "stud", "gasket"],
            Self::Valve => &[
                "type",
                "diameter",
                "thickness",
                "stud",
                "gasket",
                "face_to_face",
                "bonnet",
                "bonnet_height",
            ],
            Self::Shell => &["length", "orientation"],
            Self::Head => &["type", "crown", "knuckle"],
            Self::Disc => &["size2"],
        }
    }
}

/// Reads an item's own part of a line. A pipe's length is still as typed.
pub(super) fn read(
    word: KindWord,
    record: &TakeoffRecord<'_>,
    desk: &mut Desk<'_, '_>,
) -> Option<Kind> {
    warn_of_unused(word, record, desk);
    match word {
        KindWord::Pipe => pipe::pipe(record, desk).map(Kind::Pipe),
        KindWord::Elbow => fitting::elbow(record, desk).map(Kind::Elbow),
        KindWord::Tee => fitting::tee(record, desk).map(Kind::Tee),
        KindWord::Reducer => fitting::reducer(record, desk).map(Kind::Reducer),
        KindWord::Cap => fitting::cap(record, desk).map(Kind::Cap),
        KindWord::Flange => flange::flange(record, desk).map(Kind::Flange),
        KindWord::Valve => flange::valve(record, desk).map(Kind::Valve),
        KindWord::Shell => vessel::shell(record, desk).map(Kind::Shell),
        KindWord::Head => vessel::head(record, desk).map(Kind::Head),
        KindWord::Disc => vessel::disc(record, desk).map(Kind::Disc),
    }
}

fn warn_of_unused(word: KindWord, record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) {
    let used = word.columns();
    for cell in record.particular() {
        if !cell.is_empty() && !used.contains(&cell.name()) {
            let kind = WORDS.iter().find(|(_, w)| *w == word).map_or("", |(text, _)| text);
            let name = cell.name();
            let what = format!("column `{name}` is filled, but kind `{kind}` does not use it");
            let remedy = "check the kind, or delete the value";
            desk.reader.tell(&codes::NOT_USED, cell, what, remedy);
        }
    }
}

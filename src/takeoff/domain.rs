//! The takeoff once it is through the door: never invalid.
//!
//! Dimensions of standard fittings are looked up at the door, so that what stands here is
//! complete: nothing after it needs a table.

use crate::finding::Place;
pub use crate::standards::Size;
use crate::units::{Angle, Length};
use std::fmt;

/// A valid takeoff; item names are unique.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Takeoff {
    /// Its items, in the file's order.
    pub items: Vec<Item>,
}

/// One line of the takeoff: so many like things to be insulated.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    /// Its name, unique in the takeoff.
    pub id: String,
    /// The area of the site it belongs to; may be empty.
    pub area: String,
    /// The pipe line or equipment it belongs to; may be empty.
    pub line: String,
    /// What it is.
    pub kind: Kind,
    /// How many like it, at least one.
    pub quantity: u64,
    /// Its layers.
    pub build: Build,
    /// The order in which the site wants it, smallest first.
    pub release: u32,
    /// Free text.
    pub note: String,
    /// It is made and cut as specified, even where the nest may choose.
    pub pinned: bool,
    /// Where it stands in the file.
    pub place: Place,
}

/// Layers from the inside out.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Build(pub Vec<Length>);

impl Build {
    /// The layers' thicknesses, from the inside out.
    #[must_use]
    pub fn layers(&self) -> &[Length] {
        &self.0
    }

    /// All layers together.
    #[must_use]
    pub fn total(&self) -> Length {
        self.0.iter().copied().sum()
    }
}

/// As it is written: `5+10`.
impl fmt::Display for Build {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let layers: Vec<String> = self.0.iter().map(ToString::to_string).collect();
        f.write_str(&layers.join("+"))
    }
}

/// What an item is.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A straight run.
    Pipe(Pipe),
    /// A bend.
    Elbow(Elbow),
    /// A tee or branch.
    Tee(Tee),
    /// A reducer.
    Reducer(Reducer),
    /// A pipe cap.
    Cap(Cap),
    /// A pair of flanges.
    Flange(Flange),
    /// A valve between flanges or ends.
    Valve(Valve),
    /// A vessel's cylinder.
    Shell(Shell),
    /// A vessel's dished end.
    Head(Head),
    /// A flat disc or ring.
    Disc(Disc),
}

/// What a pipe's length means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measure {
    /// Net between fittings.
    Net,
    /// Through fittings; the take-outs have been taken off at the door, this much in all.
    Through(Length),
}

/// A straight run.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pipe {
    /// The pipe.
    pub size: Size,
    /// Net length between fittings.
    pub length: Length,
    /// How the file gave the length.
    pub measure: Measure,
    /// Runs upright, with support rings.
    pub vertical: bool,
    /// Names of the items it ends at, up to two, those of its first end first; empty text for an open end
    /// before a named one. Each that is named is in the takeoff, has an end of the run's
    /// size, and is named by no more runs than it has ends.
    pub ends: Vec<String>,
}

/// A bend.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Elbow {
    /// The pipe.
    pub size: Size,
    /// Change of direction, more than 0 and at most 180 degrees.
    pub angle: Angle,
    /// Bend radius at the centreline.
    pub radius: Length,
    /// How long it is straight between the bend and each weld.
    pub straight: Length,
}

/// A tee or branch.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Tee {
    /// The run.
    pub run: Size,
    /// The branch, at most as large as the run.
    pub branch: Size,
    /// Angle between branch and run; 90 for a standard tee.
    pub angle: Angle,
    /// Centre to end along the run; of a slanted tee with two unlike ends to the one on the obtuse side.
    pub centre_to_end: Length,
    /// Centre to the end on the branch's acute side; `centre_to_end` where both are alike.
    pub acute_end: Length,
    /// Centre to the branch's end.
    pub branch_height: Length,
}

/// A reducer.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Reducer {
    /// The large end.
    pub large: Size,
    /// The small end.
    pub small: Size,
    /// End to end.
    pub length: Length,
    /// One side flat.
    pub eccentric: bool,
}

/// A pipe cap (2:1 ellipsoidal).
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cap {
    /// The pipe.
    pub size: Size,
    /// End to crown.
    pub length: Length,
}

/// How much of a flange is covered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bare {
    /// Covered.
    Covered,
    /// Covered, with a pipe on one side and a lid on the other: a blind flange, a manway.
    Blind,
    /// Left bare: no pieces, and the pipe stops short of it by the bolt clearance.
    Uninsulated,
    /// Left bare, and the pipes that stop short of it get a ring that closes their ends.
    Closed,
    /// Left bare, and the pipe's cover goes right up to it.
    Flush,
}

/// A pair of flanges.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Flange {
    /// The pipe.
    pub size: Size,
    /// Flange diameter.
    pub diameter: Length,
    /// Thickness of one flange, its raised face counted in.
    pub thickness: Length,
    /// Length of the studs.
    pub stud: Length,
    /// Thickness of the gasket between the two. Default 3 mm; common practice, no source.
    pub gasket: Length,
    /// Covered or not.
    pub bare: Bare,
}

/// A valve.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Valve {
    /// Its flanges.
    pub flange: Flange,
    /// Face to face.
    pub face_to_face: Length,
    /// Bonnet diameter; zero where the valve has none.
    pub bonnet: Length,
    /// Top of the bonnet above the centreline; zero where the valve has none.
    pub bonnet_height: Length,
}

/// A vessel's cylinder.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Shell {
    /// Outside diameter.
    pub diameter: Length,
    /// Tangent to tangent.
    pub length: Length,
    /// Stands upright.
    pub vertical: bool,
}

/// The form of a vessel's end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HeadForm {
    /// 2:1 ellipsoidal.
    Ellipsoidal,
    /// Crown radius and knuckle radius.
    Torispherical(Length, Length),
    /// Half a sphere.
    Hemispherical,
    /// A disc.
    Flat,
}

impl HeadForm {
    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Ellipsoidal => "ellipsoidal",
            Self::Torispherical(..) => "torispherical",
            Self::Hemispherical => "hemispherical",
            Self::Flat => "flat",
        }
    }
}

/// A vessel's dished end.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Head {
    /// Outside diameter of the vessel.
    pub diameter: Length,
    /// Its form.
    pub form: HeadForm,
}

/// A flat disc or ring.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Disc {
    /// Outside diameter.
    pub outside: Length,
    /// Inside diameter; zero for a full disc.
    pub inside: Length,
}

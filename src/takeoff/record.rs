//! A line of `takeoff.csv` as typed: shape only.

use crate::table::{Cell, Column};

/// How many columns a takeoff may have.
pub(super) const COUNT: usize = 29;

/// The columns of `takeoff.csv`; their order in the file is free.
pub const COLUMNS: &[Column; COUNT] = &[
    Column::needed("item", "name", "the item's name, used once"),
    Column::optional("area", "text", "area of the site"),
    Column::optional("line", "text", "pipe line or equipment it belongs to"),
    Column::needed(
        "kind",
        "word",
        "pipe, elbow, tee, reducer, cap, flange, valve, shell, head or disc",
    ),
    Column::needed(
        "size",
        "size",
        "NPS 6, DN 150 or OD 168.3; of a tee its run, of a reducer its large end, of shell, head \
         and disc the outside diameter",
    ),
    Column::optional(
        "size2",
        "size",
        "of a tee its branch (empty: equal), of a reducer its small end, of a disc the hole",
    ),
    Column::needed(
        "length",
        "length",
        "of a pipe as column `measured` says, of a shell tangent to tangent; of a reducer or cap \
         end to end, where measured",
    ),
    Column::needed("quantity", "whole number", "how many like it, 1 to 1,000,000"),
    Column::needed("build", "list of lengths", "layers from the inside out, such as 5+10+10"),
    Column::optional(
        "angle",
        "angle",
        "of an elbow its turn (empty: 90), of a branch its angle to the run (empty: 90), degrees",
    ),
    Column::optional("radius", "word or length", "of an elbow: long (empty), short or a length"),
    Column::optional("class", "number", "of flange and valve: 150 or 300 from the tables"),
    Column::optional(
        "type",
        "word",
        "of a valve gate, globe, ball, check, butterfly, plug or control; of a flange covered \
         (empty) or bare; of a reducer concentric (empty) or eccentric; of a head ellipsoidal, \
         torispherical, hemispherical or flat",
    ),
    Column::optional("release", "whole number", "order in which the site wants it (empty: 1)"),
    Column::optional("note", "text", "free text"),
    Column::optional(
        "measured",
        "word",
        "whether a pipe's length is net between fittings or through them (empty: as the rules say)",
    ),
    Column::optional("orientation", "word", "of pipe and shell: horizontal (empty) or vertical"),
    Column::optional(
        "ends",
        "names",
        "items at a pipe's two ends, separated by |; none for open ends",
    ),
    Column::optional("diameter", "length", "of a flange, where measured"),
    Column::optional("thickness", "length", "of one flange with its raised face, where measured"),
    Column::optional("stud", "length", "length of a flange's studs, where measured"),
    Column::optional("gasket", "length", "thickness between two flanges (empty: 3 mm)"),
    Column::optional("face_to_face", "length", "of a valve, where measured"),
    Column::optional("bonnet", "length", "bonnet diameter of a valve, or none; to be measured"),
    Column::optional(
        "bonnet_height",
        "length",
        "top of the bonnet above the pipe's centreline; to be measured",
    ),
    Column::optional("centre_to_end", "length", "of a tee along its run, where measured"),
    Column::optional("branch_height", "length", "of a tee, centre to branch end, where measured"),
    Column::optional("crown", "length", "crown radius of a torispherical head"),
    Column::optional("knuckle", "length", "knuckle radius of a torispherical head"),
];

/// A line of `takeoff.csv`.
pub(super) struct TakeoffRecord<'t> {
    pub(super) item: Cell<'t>,
    pub(super) area: Cell<'t>,
    pub(super) line: Cell<'t>,
    pub(super) kind: Cell<'t>,
    pub(super) size: Cell<'t>,
    pub(super) size2: Cell<'t>,
    pub(super) length: Cell<'t>,
    pub(super) quantity: Cell<'t>,
    pub(super) build: Cell<'t>,
    pub(super) angle: Cell<'t>,
    pub(super) radius: Cell<'t>,
    pub(super) class: Cell<'t>,
    pub(super) form: Cell<'t>,
    pub(super) release: Cell<'t>,
    pub(super) note: Cell<'t>,
    pub(super) measured: Cell<'t>,
    pub(super) orientation: Cell<'t>,
    pub(super) ends: Cell<'t>,
    pub(super) diameter: Cell<'t>,
    pub(super) thickness: Cell<'t>,
    pub(super) stud: Cell<'t>,
    pub(super) gasket: Cell<'t>,
    pub(super) face_to_face: Cell<'t>,
    pub(super) bonnet: Cell<'t>,
    pub(super) bonnet_height: Cell<'t>,
    pub(super) centre_to_end: Cell<'t>,
    pub(super) branch_height: Cell<'t>,
    pub(super) crown: Cell<'t>,
    pub(super) knuckle: Cell<'t>,
}

impl<'t> From<[Cell<'t>; COUNT]> for TakeoffRecord<'t> {
    fn from(cells: [Cell<'t>; COUNT]) -> Self {
        let [
            item,
            area,
            line,
            kind,
            size,
            size2,
            length,
            quantity,
            build,
            angle,
            radius,
            class,
            form,
            release,
            note,
            measured,
            orientation,
            ends,
            diameter,
            thickness,
            stud,
            gasket,
            face_to_face,
            bonnet,
            bonnet_height,
            centre_to_end,
            branch_height,
            crown,
            knuckle,
        ] = cells;
        Self {
            item,
            area,
            line,
            kind,
            size,
            size2,
            length,
            quantity,
            build,
            angle,
            radius,
            class,
            form,
            release,
            note,
            measured,
            orientation,
            ends,
            diameter,
            thickness,
            stud,
            gasket,
            face_to_face,
            bonnet,
            bonnet_height,
            centre_to_end,
            branch_height,
            crown,
            knuckle,
        }
    }
}

impl<'t> TakeoffRecord<'t> {
    /// The columns that only some kinds use. Not `class`, which line lists give for everything.
    pub(super) fn particular(&self) -> [&Cell<'t>; 19] {
        [
            &self.size2,
            &self.length,
            &self.angle,
            &self.radius,
            &self.form,
            &self.measured,
            &self.orientation,
            &self.ends,
            &self.diameter,
            &self.thickness,
            &self.stud,
            &self.gasket,
            &self.face_to_face,
            &self.bonnet,
            &self.bonnet_height,
            &self.centre_to_end,
            &self.branch_height,
            &self.crown,
            &self.knuckle,
        ]
    }
}

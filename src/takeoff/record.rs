//! A line of `takeoff.csv` as typed: shape only.

use crate::table::{Cell, Column};

/// How many columns a takeoff may have.
pub(super) const COUNT: usize = 30;

/// The columns of `takeoff.csv`; their order in the file is free.
pub const COLUMNS: &[Column; COUNT] = &[
    Column::needed("item", "name", "P-101", "the item's name, used once"),
    Column::optional("area", "text", "North", "area of the site"),
    Column::optional("line", "text", "L-100", "pipe line or equipment it belongs to"),
    Column::needed(
        "kind",
        "kind",
        "pipe",
        "pipe, elbow, tee, reducer, cap, flange, valve, shell, head or disc",
    ),
    Column::needed(
        "size",
        "size",
        "NPS 6",
        "NPS 6, DN 150 or OD 168.3; of a tee its run, of a reducer its large end, of shell, head \
         and disc the outside diameter",
    ),
    Column::optional(
        "size2",
        "size",
        "NPS 4",
        "of a tee its branch (empty: equal), of a reducer its small end, of a disc the hole",
    ),
    Column::needed(
        "length",
        "length",
        "2.4 m",
        "of a pipe as column measured says, of a shell tangent to tangent; of a reducer or cap end \
         to end, where measured",
    ),
    Column::needed("quantity", "whole number", "4", "how many like it, 1 to 1,000,000"),
    Column::needed(
        "build",
        "list of layers",
        "5+10+10",
        "layers from the inside out, joined by plus signs",
    ),
    Column::optional(
        "angle",
        "angle",
        "45",
        "of an elbow its turn (empty: 90), of a branch its angle to the run (empty: 90), degrees",
    ),
    Column::optional(
        "radius",
        "word or length",
        "long",
        "of an elbow: long (empty), short, or the radius to the centreline",
    ),
    Column::optional("class", "class", "150", "of flange and valve: 150 or 300 from the tables"),
    Column::optional(
        "type",
        "word",
        "gate",
        "of a valve gate, globe, ball, check, butterfly, plug or control; of a flange covered \
         (empty), bare (the run stops short of it), closed (bare, rings on the runs' ends) or flush \
         (bare, the run goes up to it); of a reducer concentric (empty) or eccentric; of a head ellipsoidal, \
         torispherical, hemispherical or flat",
    ),
    Column::optional("release", "whole number", "2", "order in which the site wants it (empty: 1)"),
    Column::optional("note", "text", "by the stairs", "free text"),
    Column::optional(
        "measured",
        "word",
        "through",
        "whether a pipe's length is net between fittings or through them (empty: as the rules say)",
    ),
    Column::optional(
        "orientation",
        "word",
        "vertical",
        "of pipe and shell: horizontal (empty) or vertical",
    ),
    Column::optional(
        "ends",
        "names",
        "E-1|T-4 branch",
        "items at a pipe's two ends, separated by |; none for open ends",
    ),
    Column::optional("diameter", "length", "279.4", "of a flange, where measured"),
    Column::optional("thickness", "length", "25.4", "of one flange, where measured"),
    Column::optional("stud", "length", "100", "of a flange's studs, where measured"),
    Column::optional("gasket", "length", "3", "thickness between two flanges (empty: 3 mm)"),
    Column::optional("face_to_face", "length", "267", "of a valve, where measured"),
    Column::optional(
        "bonnet",
        "length",
        "220",
        "bonnet diameter of a valve, to be measured; none where it has none",
    ),
    Column::optional(
        "bonnet_height",
        "length",
        "610",
        "top of the bonnet above the pipe's centreline, to be measured",
    ),
    Column::optional("centre_to_end", "length", "143", "of a tee along its run, where measured"),
    Column::optional(
        "branch_height",
        "length",
        "124",
        "of a tee from its centre to the branch's end, where measured",
    ),
    Column::optional("crown", "length", "1500", "crown radius of a torispherical head"),
    Column::optional("knuckle", "length", "150", "knuckle radius of a torispherical head"),
    Column::optional(
        "pinned",
        "word",
        "yes",
        "yes: its joints stay as specified where the rules let the nest choose (empty: no)",
    ),
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
    pub(super) pinned: Cell<'t>,
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
            pinned,
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
            pinned,
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

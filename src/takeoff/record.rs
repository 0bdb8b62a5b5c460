//! A line of `takeoff.csv` as typed: shape only.

use crate::table::{Cell, Column, record};

record! {
    /// The columns of `takeoff.csv`; their order in the file is free.
    pub const COLUMNS;

    /// A line of `takeoff.csv`.
    struct TakeoffRecord;

    item: needed "name", "P-101", "the item's name, used once";
    area: optional "text", "North", "area of the site";
    line: optional "text", "L-100", "pipe line or equipment it belongs to";
    kind: needed "kind", "pipe",
        "pipe, elbow, tee, reducer, cap, flange, valve, shell, head or disc";
    size: needed "size", "NPS 6",
        "NPS 6, DN 150 or OD 168.3; of a tee its run, of a reducer its large end, of shell, head \
         and disc the outside diameter";
    size2: optional "size", "NPS 4",
        "of a tee its branch (empty: equal), of a reducer its small end, of a disc the hole";
    length: needed "length", "2.4 m",
        "of a pipe as column measured says: net, it ends at a flange or valve at the back of the \
         flange's ring, so the hub counts to the pipe; of a shell tangent to tangent; of a \
         reducer or cap end to end, where measured";
    quantity: needed "whole number", "4", "how many like it, 1 to 1,000,000";
    build: needed "list of layers", "5+10+10", "layers from the inside out, joined by plus signs";
    angle: optional "angle", "45",
        "of an elbow its turn (empty: 90), of a tee its branch's angle to the run (empty: 90), \
         degrees";
    radius: optional "word or length", "long",
        "of an elbow: long (empty), short, or the radius to the centreline";
    class: optional "class", "150", "of flange and valve: 150 or 300 from the tables";
    form as "type": optional "word", "gate",
        "of a valve gate, globe, ball, check, butterfly, plug or control; of a flange covered \
         (empty), blind (covered, with a run on one side and a lid on the other), bare (the run stops short of it), closed (bare, rings on the runs' ends) or \
         flush (bare, the run goes up to it); of a reducer concentric (empty) or eccentric; of a \
         head ellipsoidal, torispherical, hemispherical or flat";
    release: optional "whole number", "2", "order in which the site wants it (empty: 1)";
    note: optional "text", "by the stairs", "free text";
    measured: optional "word", "through",
        "whether a pipe's length is net between its fittings or through them, to where \
         centrelines cross, at a reducer, flange pair or valve to its middle (empty: as the rules \
         say)";
    orientation: optional "word", "vertical", "of pipe and shell: horizontal (empty) or vertical";
    ends: optional "names", "E-1|T-4 branch",
        "items at a pipe's two ends, separated by |, of a vertical run the lower end first; none for \
         an open end, as in none|E-1";
    diameter: optional "length", "279.4", "of a flange, where measured";
    thickness: optional "length", "25.4", "of one flange, where measured";
    stud: optional "length", "100", "of a flange's studs, where measured";
    gasket: optional "length", "3", "thickness between two flanges (empty: 3 mm)";
    face_to_face: optional "length", "267", "of a valve, where measured";
    bonnet: optional "length", "220",
        "bonnet diameter of a valve, to be measured; none where it has none";
    bonnet_height: optional "length", "610",
        "top of the bonnet above the pipe's centreline, to be measured";
    centre_to_end: optional "length", "143", "of a tee along its run, where measured";
    acute_end: optional "length", "470",
        "of a slanted tee from its centre to the run's end on the acute side of its branch (empty: \
         like centre_to_end); ends then say which, as in T-4 acute or T-4 obtuse";
    branch_height: optional "length", "124",
        "of a tee from its centre to the branch's end, where measured";
    crown: optional "length", "1500", "crown radius of a torispherical head, of its outer surface";
    knuckle: optional "length", "150", "knuckle radius of a torispherical head, of its outer surface";
    pinned: optional "word", "yes",
        "yes: it is made and cut as specified where the rules let the nest choose (empty: no)";
}

impl<'t> TakeoffRecord<'t> {
    /// The columns that only some kinds use. Not `class`, which line lists give for everything.
    pub(super) fn particular(&self) -> [&Cell<'t>; 20] {
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
            &self.acute_end,
            &self.branch_height,
            &self.crown,
            &self.knuckle,
        ]
    }
}

/// The same columns where `item` may be left out.
pub(super) const UNNAMED: &[Column; COLUMNS.len()] = &{
    let mut columns = *COLUMNS;
    columns[0].needed = false;
    columns
};

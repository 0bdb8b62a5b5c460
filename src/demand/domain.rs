//! The pieces a takeoff needs, and the joints they make.

use super::freedom::{Choices, FreeRun};
use crate::cutting::Turns;
use crate::geometry::Outline;
use crate::pattern::Mark;
use crate::units::{Angle, Area, Length};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// All pieces of a job and the joints of its runs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Demand {
    /// Every piece, item by item and layer by layer, inner layer first.
    pub pieces: Vec<Piece>,
    /// The joints of every run and layer.
    pub joints: Vec<RunJoints>,
    /// Those of covers round branches: of tees, and of valves' bodies and bonnets.
    pub covers: Vec<CoverJoints>,
    /// The wrapping schedule: item by item and layer by layer, in the order of work.
    pub schedule: Vec<Step>,
    /// For each item, the order in which the site wants it, smallest first.
    pub releases: BTreeMap<String, u32>,
    /// The runs whose joints may lie otherwise than as specified.
    pub free: Vec<FreeRun>,
}

impl Demand {
    /// The items all of whose runs have free joints: all their pieces are those of the runs.
    #[must_use]
    pub fn free_items(&self) -> BTreeSet<&str> {
        let mut items: BTreeSet<&str> = self.free.iter().map(|run| run.item.as_str()).collect();
        let free: BTreeSet<(&str, u32)> =
            self.free.iter().map(|run| (run.item.as_str(), run.run)).collect();
        for joints in &self.joints {
            if !free.contains(&(joints.item.as_str(), joints.run)) {
                items.remove(joints.item.as_str());
            }
        }
        items
    }

    /// The courses that these joints give the free runs, where they are not as specified.
    #[must_use]
    pub fn choices(&self, joints: &[RunJoints]) -> Choices {
        let by_layer: BTreeMap<(&str, u32, u32), &RunJoints> = joints
            .iter()
            .map(|layer| ((layer.item.as_str(), layer.run, layer.layer), layer))
            .collect();
        let mut choices = Choices::new();
        for run in &self.free {
            let layers = run.layers.iter().map(|layer| {
                by_layer.get(&(run.item.as_str(), run.run, layer.number)).map(|l| l.courses.clone())
            });
            let Some(courses) = layers.collect::<Option<Vec<_>>>() else { continue };
            if courses != run.specified {
                choices.insert((run.item.clone(), run.run), courses);
            }
        }
        choices
    }

    /// Joints along the runs that are free, as specified.
    #[must_use]
    pub fn free_joints(&self) -> u64 {
        let items = self.free_items();
        let free = self.free.iter().filter(|run| items.contains(run.item.as_str()));
        free.map(|run| run.joints_of_all(&run.specified)).fold(0, u64::saturating_add)
    }

    /// How many joints more than specified choices make in all.
    #[must_use]
    pub fn further_joints(&self, choices: &Choices) -> i128 {
        let of = |run: &FreeRun| -> i128 {
            let Some(courses) = choices.get(&(run.item.clone(), run.run)) else { return 0 };
            i128::from(run.joints_of_all(courses)) - i128::from(run.joints_of_all(&run.specified))
        };
        self.free.iter().map(of).sum()
    }
}

/// A step of the wrapping schedule: like pieces put on one after another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// The item.
    pub item: String,
    /// Which run of the item, from 1; 1 for all that is no run.
    pub run: u32,
    /// Which layer, 1 innermost.
    pub layer: u32,
    /// The piece's id.
    pub piece: String,
    /// How many of it, one after another, for one of the item.
    pub count: u64,
    /// How many of the item are made so: all of them, or those of one variant.
    pub items: u64,
    /// Where the first of them starts along the run, from its lower or first end.
    pub at: Length,
    /// Positions of its longitudinal seams, clockwise from the top looking along the run; empty
    /// where the note says where the seam lies.
    pub seams: Vec<Angle>,
    /// Ties that hold all of them, for one of the item; none on what is not wrapped round something.
    pub ties: u64,
    /// Pins or stitches that hold one of it, where it is not wrapped: discs, rings, petals.
    pub pins: u32,
    /// What the crew should know: seam, watershed, fitting. May be empty.
    pub note: String,
}

/// Like pieces of one layer of one item.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// Its name, unique in the job: `item/layer/part`.
    pub id: String,
    /// The item it belongs to.
    pub item: String,
    /// Which layer, 1 innermost. Covers of flanges and valves count on: the shoulders' strips, the
    /// body, the end rings.
    pub layer: u32,
    /// Which part of the item, in words: `course 2 of 4`, `gore`, `half gore`.
    pub part: String,
    /// Blanket thickness.
    pub thickness: Length,
    /// Along the pipe for wraps laid square; the bounding box's size across for others.
    pub width: Length,
    /// The stretch-out for wraps; the bounding box's size along for others.
    pub length: Length,
    /// Area of one.
    pub area: Area,
    /// Its shape, where it is no rectangle.
    pub outline: Option<Outline>,
    /// What is drawn on it beside the outline, in the outline's coordinates.
    pub marks: Vec<Mark>,
    /// How it may be turned on the roll.
    pub turns: Turns,
    /// How many of it the whole job needs (the item's quantity counted in).
    pub quantity: u64,
}

/// The joints of one layer of one straight run.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RunJoints {
    /// The item.
    pub item: String,
    /// Which run of the item, from 1: support rings split a run.
    pub run: u32,
    /// Which layer, 1 innermost.
    pub layer: u32,
    /// Where the layer starts, measured along the whole item from its lower or first end; inner
    /// layers start later where an elbow's end piece reaches into the run.
    pub start: Length,
    /// What each course covers along the run, in order; pieces are cut that wide (and a lap
    /// wider where they lap), rounded up to the shop's resolution.
    pub courses: Vec<Length>,
    /// Positions of the circumferential joints inside the run, measured like `start`.
    pub joints: Vec<Length>,
    /// Diameter under the layer.
    pub under: Length,
    /// Positions of the longitudinal seams, clockwise from the top looking along the run: one,
    /// or as many as a ring has pieces where it is longer than roll or table take.
    pub seams: Vec<Angle>,
    /// How far neighbouring courses lap; zero where they butt. Each course but the last is cut wider by it, upright
    /// each but the first, which is the lowest.
    pub lap: Length,
    /// Why the stagger against the layer beneath cannot be kept here, in words; absent where it
    /// is kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waived: Option<String>,
}

/// The joints of one layer of a cover round a branch: of the run's cover, along the run, or of the branch's, up the
/// branch. Both follow from the job, so a plan does not list them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CoverJoints {
    /// The item.
    pub item: String,
    /// Which of its covers, as its pieces name it: `run cover`, `branch cover`.
    pub cover: String,
    /// Which layer, 1 innermost.
    pub layer: u32,
    /// Where the places are measured from.
    pub datum: Datum,
    /// From here to here: the same for all layers along a run, from the lowest point of its saddle to its top for each
    /// layer up a branch.
    pub ends: [Length; 2],
    /// How far the pieces of each course reach along run or branch, in order.
    pub courses: Vec<Length>,
    /// Where the courses meet.
    pub joints: Vec<Length>,
    /// The joint at which the hole is parted.
    pub at_hole: Option<Length>,
    /// Diameter under the layer.
    pub under: Length,
    /// Why the stagger against the layer beneath cannot be kept, in words; what a joint at the hole in both of them
    /// lacks is not meant.
    pub waived: Option<String>,
}

/// Where places of a cover's joints are measured from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Datum {
    /// One end of the run's cover.
    End,
    /// The end of the run's cover on the obtuse side of a slanted branch.
    ObtuseEnd,
    /// The run's axis, up the branch.
    Axis,
}

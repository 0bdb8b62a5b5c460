//! The pieces of the branch's cover: whole from the saddle to the top, or in courses of which the lowest has the saddle.

use super::high::{self, Courses, Sleeve};
use super::{Laying, clear_of, reach_of};
use crate::pattern::saddle::{BranchSeam, Saddle};
use crate::pattern::{Flat, PatternError};
use crate::units::Length;

/// The branch's cover of one layer.
pub struct Cover {
    /// Its pieces round, or those of its lowest course.
    pub lowest: Vec<Flat>,
    /// The lowest point of its saddle, and how high it is, from the run's axis.
    pub ends: [Length; 2],
    /// A piece of each course above, and where it begins.
    pub above: Vec<(Length, Flat)>,
    /// What is noted of all of them.
    pub note: &'static str,
}

impl Cover {
    /// How far the pieces of each course reach, from below.
    pub fn courses(&self) -> Vec<Length> {
        let above = self.above.iter().map(|(_, flat)| flat.width);
        reach_of(&self.lowest).into_iter().chain(above).collect()
    }

    /// The shapes.
    pub fn flats(&self) -> impl Iterator<Item = &Flat> {
        self.lowest.iter().chain(self.above.iter().map(|(_, flat)| flat))
    }
}

/// The cover with joints at these heights, from below.
pub fn of(
    lay: &Laying<'_>,
    i: usize,
    saddle: &Saddle,
    joints: &[Length],
) -> Result<Cover, PatternError> {
    let seam = if lay.even(i) { BranchSeam::Acute } else { BranchSeam::Obtuse };
    let (top, round) = (lay.top(i), lay.round);
    let lowest = match joints.first() {
        Some(joint) => saddle.lowest_course(joint.mm_f64(), seam, round)?,
        None => saddle.sleeve_round(top.mm_f64(), seam, round)?,
    };
    let course = |(from, to): (&Length, &Length)| {
        let ring = lay.ring(i, saddle.branch_ring()).ok_or(PatternError::Range)?;
        Ok((*from, Flat::rectangle((*to - *from).round_up_to(lay.step()), ring.length)))
    };
    let above = joints.iter().zip(joints.iter().skip(1).chain([&top])).map(course);
    let above = above.collect::<Result<Vec<_>, PatternError>>()?;
    let low = low(saddle).ok_or(PatternError::Range)?;
    Ok(Cover { lowest, ends: [low, top], above, note: sleeve_note(round, lay.square(), seam) })
}

/// Where the courses of all layers meet; `None` where they cannot.
pub fn courses(lay: &Laying<'_>) -> Option<Courses> {
    let sleeve = |(i, saddle): (usize, Saddle)| {
        Some(Sleeve {
            low: low(&saddle)?.round_down_to(lay.step()),
            free: clear_of(saddle.highest(), lay.shop),
            top: lay.top(i),
            widest: lay.widest(lay.ring(i, saddle.branch_ring())?),
        })
    };
    let sleeves: Option<Vec<Sleeve>> = lay.junction.saddles().enumerate().map(sleeve).collect();
    high::courses(&sleeves?, lay.keep())
}

/// The saddle's lowest point, from the run's axis.
fn low(saddle: &Saddle) -> Option<Length> {
    Length::from_mm_f64_nearest(saddle.lowest())
}

/// Where the seams of a branch's cover of so many pieces round lie.
const fn sleeve_note(round: u32, square: bool, seam: BranchSeam) -> &'static str {
    match (round, square, seam) {
        // An even number of pieces, half a piece away from the other layers' seams.
        (2.., true, BranchSeam::Obtuse) if round.is_multiple_of(2) => {
            "no seam towards either end of the run"
        }
        (2.., false, BranchSeam::Obtuse) if round.is_multiple_of(2) => {
            "no seam on the acute nor on the obtuse side"
        }
        (2.., true, BranchSeam::Acute) => "one seam towards one end of the run",
        (2.., true, BranchSeam::Obtuse) => "one seam towards the other end of the run",
        (2.., false, BranchSeam::Acute) => "one seam on the acute side",
        (2.., false, BranchSeam::Obtuse) => "one seam on the obtuse side",
        (_, true, BranchSeam::Acute) => "seam towards one end of the run",
        (_, true, BranchSeam::Obtuse) => "seam towards the other end of the run",
        (_, false, BranchSeam::Acute) => "seam on the acute side",
        (_, false, BranchSeam::Obtuse) => "seam on the obtuse side",
    }
}

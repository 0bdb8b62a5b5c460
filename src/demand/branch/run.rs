//! The pieces of the run's cover: in one course with all of the hole or two with half of it each, and plain courses
//! beside them where these would be wider than the rolls.

use super::along::{self, Cover, Plan};
use super::{Laying, clear_of, reach_of};
use crate::pattern::saddle::{Saddle, Side};
use crate::pattern::{Flat, PatternError};
use crate::units::Length;

/// The run's cover of one layer.
pub struct RunCover {
    /// Its pieces.
    pub pieces: Vec<Named>,
    /// How far the pieces of each course reach along the run, from the obtuse side on.
    pub courses: Vec<Length>,
    /// Where they meet, from where the axes cross.
    pub joints: Vec<Length>,
    /// The joint among them at which it is parted crosswise at the hole.
    pub at_hole: Option<Length>,
    /// What is noted of those with the hole.
    pub note: &'static str,
    /// What is noted of plain courses: where their seams lie.
    pub plain: &'static str,
}

/// Like pieces of the run's cover.
pub struct Named {
    /// What they are called.
    pub name: &'static str,
    /// The shape.
    pub flat: Flat,
    /// How many.
    pub count: u64,
    /// How many rings' ties they carry: of the pieces of a ring the first has them.
    pub rings: u64,
    /// Where a plain course lies.
    pub at: Option<Lies>,
}

/// From where to where a plain course lies, from the end of the cover on its side of the hole.
pub struct Lies {
    /// From here.
    pub from: Length,
    /// To here.
    pub to: Length,
    /// Whether it lies on the acute side.
    pub acute: bool,
}

impl Named {
    const fn one(name: &'static str, flat: Flat, first: bool) -> Self {
        Self { name, flat, count: 1, rings: first as u64, at: None }
    }
}

impl RunCover {
    /// The shapes.
    pub fn flats(&self) -> impl Iterator<Item = &Flat> {
        self.pieces.iter().map(|named| &named.flat)
    }
}

/// The cover without plain courses: in one course where it may have its seam through the hole and fits the rolls so,
/// else parted.
pub fn whole(lay: &Laying<'_>, i: usize, saddle: &Saddle) -> Result<RunCover, PatternError> {
    let sides = lay.ends().map(|end| Side::from(end.mm_f64()));
    if lay.even(i)
        && let Some(cover) = seamed(lay, saddle, sides)?
        && lay.fit(i, cover.flats())
    {
        return Ok(cover);
    }
    parted(lay, i, saddle, sides)
}

/// The cover in the courses of a plan.
pub fn in_courses(
    lay: &Laying<'_>,
    i: usize,
    saddle: &Saddle,
    plan: &Plan,
) -> Result<RunCover, PatternError> {
    let [obtuse, acute] = lay.ends();
    let side = |joint: Option<Length>, end: Length| Side {
        at: joint.unwrap_or(end).mm_f64(),
        joint: joint.is_some(),
    };
    // On the obtuse side places are negative, but for joints beyond where the axes cross.
    let before = plan.before.last().map(|&joint| -joint);
    let sides = [side(before, obtuse), side(plan.behind.first().copied(), acute)];
    let mut cover = if plan.parted {
        parted(lay, i, saddle, sides)?
    } else {
        seamed(lay, saddle, sides)?.ok_or(PatternError::Short)?
    };
    let ring = lay.ring(i, saddle.run_ring()).ok_or(PatternError::Range)?;
    let before = std::iter::once(-obtuse).chain(plan.before.iter().copied());
    let before: Vec<Length> = before.map(|at| at + obtuse).collect();
    let behind = std::iter::once(acute).chain(plan.behind.iter().rev().copied());
    let behind: Vec<Length> = behind.map(|at| acute - at).collect();
    for (places, acute) in [(before, false), (behind, true)] {
        for (&from, &to) in places.iter().zip(places.iter().skip(1)) {
            cover.pieces.push(Named {
                name: "cover, plain course",
                flat: Flat::rectangle((to - from).round_up_to(lay.step()), ring.length),
                count: u64::from(lay.round),
                rings: 1,
                at: Some(Lies { from, to, acute }),
            });
        }
    }
    let plain = |acute: bool| -> Vec<Length> {
        let on = |named: &&Named| named.at.as_ref().is_some_and(|at| at.acute == acute);
        cover.pieces.iter().filter(on).map(|named| named.flat.width).collect()
    };
    let [before, mut behind] = [false, true].map(plain);
    behind.reverse();
    cover.courses = [before, cover.courses, behind].concat();
    cover.joints = [plan.before.as_slice(), &cover.joints, &plan.behind].concat();
    Ok(cover)
}

/// Where the courses of all layers meet; `None` where a layer has no such courses.
pub fn courses(lay: &Laying<'_>) -> Result<Option<along::Laid>, PatternError> {
    let mut layers = Vec::new();
    for (i, saddle) in lay.junction.saddles().enumerate() {
        let Some(ring) = lay.ring(i, saddle.run_ring()) else { return Ok(None) };
        let ends = lay.ends();
        let sides = ends.map(|end| Side::from(end.mm_f64()));
        let whole = if lay.even(i) { seamed(lay, &saddle, sides)? } else { None };
        let [obtuse, acute] = halves(lay, i, &saddle, sides)?;
        let hole = saddle.hole();
        layers.push(Cover {
            ends: [-ends[0], ends[1]],
            hole: [-clear_of(-hole.0, lay.shop), clear_of(hole.1, lay.shop)],
            middle: middle(&saddle)?,
            widest: lay.widest(ring),
            seamed: whole.map(|cover| lay.fit(i, cover.flats())),
            halves: [lay.fit(i, obtuse.iter()), lay.fit(i, acute.iter())],
        });
    }
    Ok(along::lay(&layers, lay.keep()))
}

/// In one course with the seam through the hole; `None` where the hole is too large for the pieces beside it.
fn seamed(
    lay: &Laying<'_>,
    saddle: &Saddle,
    sides: [Side; 2],
) -> Result<Option<RunCover>, PatternError> {
    let round = lay.round;
    let mut flats = match saddle.seamed_round(sides[0], sides[1], round) {
        Ok(flats) => flats,
        Err(PatternError::Short) if round > 1 => return Ok(None),
        Err(error) => return Err(error),
    };
    // At right angles one half is the other turned round.
    if lay.square() && sides[0] == sides[1] && flats.len() > 1 {
        flats[1] = flats[0].clone();
    }
    let name = |k: usize| match (round, k) {
        (1, _) => "cover",
        (_, 0 | 1) => "cover beside the hole",
        _ => "cover, plain part",
    };
    let courses = reach_of(&flats).into_iter().collect();
    let named = flats.into_iter().enumerate().map(|(k, flat)| Named::one(name(k), flat, k == 0));
    let plain = plain_note(round, true);
    let note = "seam through the hole";
    let (joints, at_hole) = (Vec::new(), None);
    Ok(Some(RunCover { pieces: named.collect(), courses, joints, at_hole, note, plain }))
}

/// The halves of a cover that is parted crosswise at the hole: on the obtuse side, on the acute side.
fn halves(
    lay: &Laying<'_>,
    i: usize,
    saddle: &Saddle,
    sides: [Side; 2],
) -> Result<[Vec<Flat>; 2], PatternError> {
    let [obtuse, acute] =
        saddle.parted_round(sides[0], sides[1], lay.round, !through_the_hole(lay, i))?;
    // At right angles one side is the other turned round.
    Ok(if lay.square() && sides[0] == sides[1] { [acute.clone(), acute] } else { [obtuse, acute] })
}

/// Whether a layer that is parted at the hole has a seam through its middle: every second, so that seams of
/// neighbouring layers do not lie over each other; a single ring opposite the branch, where nothing is cut out of it.
fn through_the_hole(lay: &Laying<'_>, i: usize) -> bool {
    lay.even(i) && (lay.round > 1 || lay.junction.run.len() > 1)
}

/// Parted crosswise at the hole.
fn parted(
    lay: &Laying<'_>,
    i: usize,
    saddle: &Saddle,
    sides: [Side; 2],
) -> Result<RunCover, PatternError> {
    let through = through_the_hole(lay, i);
    let note = match (lay.round, through) {
        (1, true) => "parted at the hole, seam through its middle",
        (1, false) => "parted at the hole, seam opposite the branch",
        (_, true) => "parted at the hole, one seam through its middle",
        (_, false) => "parted at the hole, no seam through its middle",
    };
    let names = match (lay.square(), sides[0] == sides[1]) {
        (true, true) => [["half cover", "half cover, plain part"]; 2],
        (true, false) => [
            ["half cover, other end", "half cover, other end, plain part"],
            ["half cover, one end", "half cover, one end, plain part"],
        ],
        (false, _) => [
            ["half cover, obtuse side", "half cover, obtuse side, plain part"],
            ["half cover, acute side", "half cover, acute side, plain part"],
        ],
    };
    let mut pieces = Vec::new();
    let mut courses = Vec::new();
    for ([beside, plain], flats) in names.into_iter().zip(halves(lay, i, saddle, sides)?) {
        courses.extend(reach_of(&flats));
        for (k, flat) in flats.into_iter().enumerate() {
            // What has nothing of the hole is a rectangle.
            let name = if flat.outline.is_some() { beside } else { plain };
            pieces.push(Named::one(name, flat, k == 0));
        }
    }
    let plain = plain_note(lay.round, through);
    let middle = middle(saddle)?;
    Ok(RunCover { pieces, courses, joints: vec![middle], at_hole: Some(middle), note, plain })
}

/// Where a cover is parted at the hole.
fn middle(saddle: &Saddle) -> Result<Length, PatternError> {
    let mm = saddle.along(std::f64::consts::FRAC_PI_2);
    Length::from_mm_f64_nearest(mm).ok_or(PatternError::Range)
}

/// Where the seams of plain courses of so many pieces round lie, like those of the courses with the hole.
const fn plain_note(round: u32, in_line: bool) -> &'static str {
    match (round, in_line) {
        (1, true) => "seam in line with the middle of the hole",
        (1, false) => "seam opposite the branch",
        (_, true) => "one seam in line with the middle of the hole",
        (_, false) => "no seam in line with the middle of the hole",
    }
}

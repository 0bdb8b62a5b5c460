//! A branch on a run: tees, and the bonnet of a valve on its body.
//!
//! Layers take turns: with the outermost layer counted 0, even ones have the run's seam through
//! the hole, odd ones are parted crosswise through it; the branch's seam lies on the acute and on
//! the obtuse side in turn. So the hole's cuts and all joints move from layer to layer. A layer
//! that no course with all of the hole fits is parted, too.
//!
//! A standard tee is short. Where thick insulation makes the hole reach its ends, or the saddle its
//! top, the tee's cover is made longer by as much and a smallest throat (a step of the resolution at
//! the least), in all layers alike, and the runs that meet it are shorter.
//!
//! What is wider than the rolls is laid in courses: of the run's cover ([`along`]) those with the hole and plain ones
//! beside them, of the branch's ([`high`]) the lowest with the saddle and plain ones above.

mod along;
mod high;
mod run;
mod sleeve;
mod write;

pub use write::Words;

use super::courses::CourseRule;
use super::kit::Kit;
use super::shop::{Ring, Shop};
use crate::pattern::saddle::Saddle;
use crate::pattern::wrap::Layer;
use crate::pattern::{Flat, PatternError};
use crate::takeoff::{Build, Tee};
use crate::units::{Angle, Length};
use write::Laid;

/// What courses have to keep.
#[derive(Clone, Copy, Debug)]
pub struct Keep {
    /// Narrowest plain course.
    smallest: Length,
    /// Least distance between joints of neighbouring layers; zero where nothing is asked for.
    stagger: Length,
    /// Joints lie at multiples of this.
    step: Length,
}

impl Keep {
    /// The stagger in whole steps.
    fn pitch(self) -> Length {
        self.stagger.round_up_to(self.step)
    }

    /// The rule for courses of a layer that are no wider than this.
    const fn rule(self, widest: Length) -> CourseRule {
        let Self { smallest, stagger, step } = self;
        CourseRule { widest, smallest, stagger, step }
    }
}

/// A branch on a run.
pub struct Junction {
    /// The run's layers.
    pub run: Vec<Layer>,
    /// The branch's layers.
    pub branch: Vec<Layer>,
    /// Angle between them.
    pub angle: Angle,
    /// From the branch to the ends of the run's cover: on the obtuse side, on the acute side.
    pub ends: [Length; 2],
    /// From the run's axis to the top of the branch's cover.
    pub height: Length,
    /// Whether a disc closes the top layer by layer, so that each layer reaches up beside the discs of those
    /// beneath it.
    pub closed: bool,
}

impl Junction {
    /// A tee's.
    pub fn of_tee(tee: &Tee, build: &Build, shop: &Shop<'_>) -> Self {
        Self {
            run: Layer::stack(tee.run.od, build, &shop.rules.wrap),
            branch: Layer::stack(tee.branch.od, build, &shop.rules.wrap),
            angle: tee.angle,
            ends: [tee.centre_to_end, tee.acute_end],
            height: tee.branch_height,
            closed: false,
        }
    }

    /// How thick the discs are that lie on the top beneath the `i`-th layer's.
    fn discs(&self, i: usize) -> Length {
        if !self.closed {
            return Length::ZERO;
        }
        self.branch.iter().take(i).map(|layer| layer.thickness).sum()
    }

    fn saddles(&self) -> impl Iterator<Item = Saddle> {
        self.run.iter().zip(&self.branch).map(|(r, b)| Saddle::new(r, b, self.angle))
    }

    /// How much longer than itself the run's cover is at each end, and the branch's at its top.
    pub fn extra(&self, shop: &Shop<'_>) -> (Length, Length) {
        let holes: Vec<(f64, f64)> = self.saddles().map(|s| s.hole()).collect();
        let obtuse = holes.iter().map(|(a, _)| -a).fold(0.0, f64::max);
        let acute = holes.iter().map(|(_, b)| *b).fold(0.0, f64::max);
        let top = self.saddles().map(|s| s.highest()).fold(0.0, f64::max);
        let beyond = |reach: f64, has: Length| {
            let step = shop.rules.resolution.cut;
            (clear_of(reach, shop) - has).max(Length::ZERO).round_up_to(step)
        };
        // Nobody can tell which of its ends a run meets, so both are longer by as much.
        let along = beyond(obtuse, self.ends[0]).max(beyond(acute, self.ends[1]));
        let up = beyond(top, self.height);
        // Where run and branch are of one size nobody can tell which of them a pipe meets.
        let like = self.run.first() == self.branch.first();
        if like { (along.max(up), along.max(up)) } else { (along, up) }
    }

    /// Adds the covers of run and branch, layer by layer, above `beneath` layers; in as few pieces
    /// round, in all layers alike, as fit the rolls.
    pub fn put(&self, kit: &mut Kit, shop: &Shop<'_>, words: &Words, beneath: usize) {
        for (i, layer) in self.run.iter().enumerate() {
            if shop.rooms(layer.thickness).is_empty() {
                shop.no_roll(kit, layer.thickness, i);
                return;
            }
        }
        let extra = self.extra(shop);
        let with = |flipped| Laying { junction: self, shop, extra, round: 1, flipped };
        let mut found: Option<(Laying<'_>, Done)> = None;
        for flipped in [false, true] {
            let mut lay = with(flipped);
            let Some(done) = kit.take(lay.done()) else { return };
            let Some(done) = done else { continue };
            let stacked = write::stacked(&done.laid, shop);
            // Where both leave two layers parted in one plane, the outermost has its seam through the hole.
            if !stacked || found.is_none() {
                found = Some((lay, done));
            }
            if !stacked || self.run.len() < 2 {
                break;
            }
        }
        if let Some((lay, done)) = found {
            write::remark(kit, &lay, words, &done.laid);
            write::remark_on_courses(kit, &done.courses, words, shop);
            write::put(kit, &lay, words, beneath, done);
            return;
        }
        let lay = with(false);
        if !write::remark_on_narrow(kit, &lay, words, beneath) {
            // Told as larger than every roll where it is added.
            let courses = Courses::default();
            let Some(laid) = kit.take(lay.layers(&courses)) else { return };
            write::put(kit, &lay, words, beneath, Done { laid, courses });
        }
    }
}

/// Where the courses of all layers meet, where they are laid in courses.
#[derive(Default)]
struct Courses {
    /// The run's cover: how each layer is laid, and how near joints of neighbouring layers come where that is less than
    /// the stagger.
    run: Option<along::Laid>,
    /// The branch's.
    branch: Option<high::Courses>,
}

/// All layers as they are laid.
struct Done {
    laid: Vec<Laid>,
    courses: Courses,
}

/// A branch on a run whose layers are laid in so many pieces round.
struct Laying<'a> {
    junction: &'a Junction,
    shop: &'a Shop<'a>,
    /// How much longer than itself the run's cover is at each end, and the branch's at its top.
    extra: (Length, Length),
    round: u32,
    /// Whether the outermost layer has no seam through the hole.
    flipped: bool,
}

impl Laying<'_> {
    /// Lays all layers in as few pieces round, in all alike, as fit the rolls; `None` where none do.
    fn done(&mut self) -> Result<Option<Done>, PatternError> {
        let mut stacked = None;
        for round in 1..=MOST_ROUND {
            self.round = round;
            let laid = self.layers(&Courses::default())?;
            let (runs, sleeves) = (self.runs_fit(&laid), self.sleeves_fit(&laid));
            let parted = write::stacked(&laid, self.shop);
            if runs && sleeves {
                if !parted {
                    return Ok(Some(Done { laid, courses: Courses::default() }));
                }
                stacked.get_or_insert((round, laid));
            }
            let Some(courses) = self.courses(!runs || parted, !sleeves)? else { continue };
            let laid = self.layers(&courses)?;
            if self.runs_fit(&laid) && self.sleeves_fit(&laid) {
                return Ok(Some(Done { laid, courses }));
            }
        }
        // Parted in one plane, if that is all there is.
        Ok(stacked.map(|(round, laid)| {
            self.round = round;
            Done { laid, courses: Courses::default() }
        }))
    }

    /// Whether the `i`-th layer has the run's seam through the hole: the outermost and every second beneath it, or those
    /// between them.
    fn even(&self, i: usize) -> bool {
        (self.junction.run.len() - 1 - i).is_multiple_of(2) != self.flipped
    }

    /// The pieces of all layers.
    fn layers(&self, courses: &Courses) -> Result<Vec<Laid>, PatternError> {
        let layer = |(i, saddle)| {
            let run = match courses.run.as_ref().and_then(|laid| laid.plans.get(i)) {
                Some(plan) => run::in_courses(self, i, &saddle, plan)?,
                None => run::whole(self, i, &saddle)?,
            };
            let joints = courses.branch.as_ref().and_then(|branch| branch.joints.get(i));
            let sleeve = sleeve::of(self, i, &saddle, joints.map_or(&[], Vec::as_slice))?;
            Ok(Laid { run, sleeve })
        };
        self.junction.saddles().enumerate().map(layer).collect()
    }

    /// Where courses meet, of the run's cover or of the branch's or of both; `None` where they cannot.
    fn courses(&self, run: bool, branch: bool) -> Result<Option<Courses>, PatternError> {
        let mut courses = Courses::default();
        if run {
            courses.run = run::courses(self)?;
        }
        if branch {
            courses.branch = sleeve::courses(self);
        }
        let all = (!run || courses.run.is_some()) && (!branch || courses.branch.is_some());
        Ok(all.then_some(courses))
    }

    /// The ends of the run's cover, from where the axes cross: on the obtuse side, on the acute side.
    fn ends(&self) -> [Length; 2] {
        self.junction.ends.map(|end| end + self.extra.0)
    }

    /// The height of the branch's cover in the `i`-th layer.
    fn top(&self, i: usize) -> Length {
        self.junction.height + self.extra.1 + self.junction.discs(i)
    }

    fn thickness(&self, i: usize) -> Length {
        self.junction.run[i].thickness
    }

    fn step(&self) -> Length {
        self.shop.rules.resolution.cut
    }

    fn keep(&self) -> Keep {
        let count = self.junction.run.len();
        let joints = &self.shop.rules.joints;
        Keep {
            smallest: self.shop.smallest_course(count),
            stagger: if self.shop.staggers(count) { joints.stagger } else { Length::ZERO },
            step: self.step(),
        }
    }

    /// A plain course of the `i`-th layer of this stretch-out (mm); `None` where no roll takes its pieces.
    fn ring(&self, i: usize, stretch: f64) -> Option<Ring> {
        let ring = self.shop.ring(self.thickness(i), stretch, Length::ZERO, self.round);
        ring.filter(|ring| ring.parts == self.round)
    }

    /// How wide courses in such pieces may be.
    fn widest(&self, ring: Ring) -> Length {
        self.shop.course(ring.across, Length::ZERO)
    }

    /// At right angles.
    fn square(&self) -> bool {
        self.junction.angle == Angle::QUARTER
    }

    /// What the narrowest course takes across a roll that has half the run's hole of the `i`-th layer, and that with the
    /// saddle of the branch.
    fn narrowest(&self, saddle: &Saddle) -> [Length; 2] {
        let (obtuse, acute) = saddle.hole();
        let middle = saddle.along(std::f64::consts::FRAC_PI_2);
        let half = (middle - obtuse).max(acute - middle);
        let of = |reach: f64| clear_of(reach, self.shop).round_up_to(self.step());
        [of(half), of(saddle.highest() - saddle.lowest())]
    }

    fn runs_fit(&self, laid: &[Laid]) -> bool {
        laid.iter().enumerate().all(|(i, layer)| self.fit(i, layer.run.flats()))
    }

    fn sleeves_fit(&self, laid: &[Laid]) -> bool {
        laid.iter().enumerate().all(|(i, layer)| self.fit(i, layer.sleeve.flats()))
    }

    /// Whether all these pieces of the `i`-th layer fit a roll.
    fn fit<'f>(&self, i: usize, mut flats: impl Iterator<Item = &'f Flat>) -> bool {
        let thickness = self.thickness(i);
        flats.all(|flat| self.shop.takes(thickness, flat, &self.shop.wrap_turns(flat)))
    }
}

/// The least distance between joints of two layers, each in order; `None` where one has none.
fn nearest(one: &[Length], other: &[Length]) -> Option<Length> {
    let mut best: Option<Length> = None;
    let (mut a, mut b) = (0, 0);
    while let (Some(&x), Some(&y)) = (one.get(a), other.get(b)) {
        let apart = (x - y).abs();
        best = Some(best.map_or(apart, |best| best.min(apart)));
        if x < y { a += 1 } else { b += 1 }
    }
    best
}

/// How far the pieces of a course reach along what they lie on.
fn reach_of(flats: &[Flat]) -> Option<Length> {
    flats.iter().map(|flat| flat.width).max()
}

/// The least distance from the run's axis, or from the branch, of an edge beyond a saddle or a hole that reaches so
/// far: one that just touches it would part the piece.
fn clear_of(reach: f64, shop: &Shop<'_>) -> Length {
    let step = shop.rules.resolution.cut;
    Length::from_mm_f64_up(reach).unwrap_or(Length::LIMIT)
        + shop.rules.elbow.smallest_throat.max(step)
}

/// More pieces round than anybody cuts.
const MOST_ROUND: u32 = 12;

/// The pieces of a tee.
pub fn kit(tee: &Tee, build: &Build, shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    let branch = Junction::of_tee(tee, build, shop);
    super::welds::remark_on_welds(&mut kit, build.layers().len(), shop);
    branch.put(
        &mut kit,
        shop,
        &Words { run: "run ", branch: "branch cover", what: "branch", along: "run" },
        0,
    );
    kit
}

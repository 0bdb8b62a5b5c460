//! What is free about a straight run: where its circumferential joints lie.
//!
//! The specification asks for courses no wider than the roll and no narrower than the smallest
//! piece, and for the stagger between neighbouring layers; within that, every plan is as good on the
//! pipe. [`FreeRun`] says what a run's plans have to keep, and [`FreeRun::keeps`] whether one does,
//! all layers of the run together.
//!
//! With quarter turns a course may also be longer than the roll is wide, cut along the roll, up to
//! what the rules let a fitter handle.

use super::courses::{CourseRule, Laid, Span};
use super::making::Makings;
use crate::units::Length;
use std::collections::BTreeMap;
use std::ops::{Add, Sub};

/// Courses chosen for runs: by item and run (from 1), of each layer as it is cut, in order along
/// the run.
pub type Choices = BTreeMap<(String, u32), Vec<Vec<Length>>>;

/// All that is chosen.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Picks {
    /// Courses of runs.
    pub courses: Choices,
    /// Makings of items.
    pub makings: Makings,
}

impl Picks {
    /// Whether everything is as specified.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.courses.is_empty() && self.makings.is_empty()
    }
}

/// A run whose joints may lie otherwise than as specified.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FreeRun {
    /// Its layers as they are cut, inner first.
    pub layers: Vec<FreeLayer>,
    /// The courses of each layer as specified.
    pub specified: Vec<Vec<Length>>,
    /// How many like it the item has.
    pub quantity: u64,
    /// The item.
    pub item: String,
    /// Which run of the item, from 1.
    pub run: u32,
}

/// One layer of a free run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FreeLayer {
    /// Its number in the item, 1 innermost; the first of those that are wound from one piece.
    pub number: u32,
    /// Blanket thickness.
    pub thickness: Length,
    /// Where it starts along the item.
    pub start: Length,
    /// Where it ends.
    pub end: Length,
    /// The widest course cut across the roll.
    pub widest: Length,
    /// The longest course, cut along the roll where it is more than `widest`.
    pub longest: Length,
    /// The narrowest course.
    pub smallest: Length,
    /// Least distance from the joints of the layer beneath.
    pub stagger: Length,
    /// Courses but for one are multiples of this.
    pub step: Length,
    /// How far each course but the last laps over the next.
    pub lap: Length,
    /// Length of one piece round the pipe.
    pub around: Length,
    /// Pieces in a ring.
    pub parts: u32,
    /// Whether pieces may lie turned by a quarter.
    pub sideways: bool,
    /// The most courses.
    pub most: usize,
}

impl FreeLayer {
    /// How long it is.
    #[must_use]
    pub fn length(&self) -> Length {
        self.end - self.start
    }
}

impl FreeRun {
    /// The area that its layers of a thickness cover in all copies, in square nanometres; its pieces
    /// take no less, wherever the joints lie.
    #[must_use]
    pub fn area(&self, thickness: Length) -> i128 {
        let layers = self.layers.iter().filter(|layer| layer.thickness == thickness);
        let one = |layer: &FreeLayer| {
            let area = i128::from(layer.around.nm()) * i128::from(layer.length().nm());
            area * i128::from(layer.parts) * i128::from(self.quantity)
        };
        layers.map(one).sum()
    }

    /// Joints along the run, all layers together.
    #[must_use]
    pub fn joints(courses: &[Vec<Length>]) -> u64 {
        courses.iter().map(|layer| layer.len().saturating_sub(1) as u64).sum()
    }

    /// Joints along all runs like it with these courses.
    #[must_use]
    pub fn joints_of_all(&self, courses: &[Vec<Length>]) -> u64 {
        Self::joints(courses).saturating_mul(self.quantity)
    }

    /// Whether a plan keeps all that the specification asks for; what it breaks, in words.
    ///
    /// # Errors
    /// The first thing that it breaks.
    pub fn keeps(&self, courses: &[Vec<Length>]) -> Result<(), String> {
        if courses.len() != self.layers.len() {
            return Err(format!("{} layers where {} are cut", courses.len(), self.layers.len()));
        }
        if courses == self.specified {
            return Ok(());
        }
        let mut beneath: Option<Vec<Length>> = None;
        for (number, (layer, courses)) in (1..).zip(self.layers.iter().zip(courses)) {
            let sum: Length = courses.iter().copied().sum();
            if sum != layer.length() {
                return Err(format!(
                    "layer {number}: courses of {sum} mm in all where {} mm are to be covered",
                    layer.length()
                ));
            }
            if courses.len() > layer.most {
                return Err(format!("layer {number}: more than {} courses", layer.most));
            }
            let narrow = courses.iter().find(|c| **c < layer.smallest.min(layer.length()));
            if let Some(course) = narrow {
                return Err(format!("layer {number}: a course of {course} mm is too narrow"));
            }
            if let Some(course) = courses.iter().find(|c| **c > layer.longest) {
                return Err(format!("layer {number}: a course of {course} mm is too wide"));
            }
            let joints = joints(layer.start, courses);
            if let Some(beneath) = &beneath
                && !apart(&joints, beneath, layer.stagger)
            {
                return Err(format!(
                    "layer {number}: a joint lies nearer than {} mm to one of the layer beneath",
                    layer.stagger
                ));
            }
            let ends = [layer.start, layer.end];
            let mut places: Vec<Length> = joints.into_iter().chain(ends).collect();
            places.sort_unstable();
            beneath = Some(places);
        }
        Ok(())
    }

    /// A plan as it is laid.
    pub(super) fn laid(&self, courses: &[Vec<Length>]) -> Vec<Laid> {
        self.layers
            .iter()
            .zip(courses)
            .map(|(layer, courses)| Laid {
                span: Span { start: layer.start, end: layer.end },
                joints: joints(layer.start, courses),
                kept: None,
            })
            .collect()
    }
}

/// Where courses meet.
fn joints(start: Length, courses: &[Length]) -> Vec<Length> {
    let ends = courses.iter().scan(start, |at, course| {
        *at += *course;
        Some(*at)
    });
    ends.take(courses.len().saturating_sub(1)).collect()
}

/// Whether joints keep the stagger from places beneath, both in order.
pub(super) fn apart<T>(joints: &[T], beneath: &[T], stagger: T) -> bool
where
    T: Copy + Ord + Add<Output = T> + Sub<Output = T>,
{
    joints.iter().all(|&joint| {
        let at = beneath.partition_point(|&place| place <= joint - stagger);
        beneath.get(at).is_none_or(|&place| place >= joint + stagger)
    })
}

/// The layer's rule and extent as [`FreeLayer`] has them.
pub(super) fn extent(layer: FreeLayer, (span, rule): (Span, CourseRule)) -> FreeLayer {
    FreeLayer {
        start: span.start,
        end: span.end,
        widest: rule.widest.round_down_to(rule.step),
        smallest: rule.smallest.round_up_to(rule.step),
        stagger: rule.stagger,
        step: rule.step,
        ..layer
    }
}

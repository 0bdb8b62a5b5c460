//! How an item is made where the specification leaves several ways.
//!
//! A [`Making`] says what is otherwise than as specified: another build of the same thickness, an
//! elbow gore by gore that could be cut in one piece, its seams elsewhere, layers cut one by one that
//! could be wound from one piece, rings or heads in more parts. Each has a rule that allows it; [`Making::allowed`] holds an item's
//! making to them.

use crate::rules::{Choose, Rules, Seam};
use crate::takeoff::{Build, HeadForm, Item, Kind, Takeoff};
use crate::units::Length;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What is otherwise than as specified about an item.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Making {
    /// Its layers from the inside out; absent as specified.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub build: Option<Vec<Length>>,
    /// An elbow that could be cut in one piece is cut gore by gore.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub gored: bool,
    /// Where the seams of an elbow lie; absent as specified.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seam: Option<Seam>,
    /// Layers that could be wound from one piece are cut one by one.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub unwound: bool,
    /// The least number of parts of a pipe's or shell's rings; absent as specified.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub parts: Option<u32>,
    /// The least number of petals of a head or cap; absent as specified.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub petals: Option<u32>,
}

/// Makings by item; items that are not named are as specified.
pub type Makings = BTreeMap<String, Making>;

impl Making {
    /// Whether all is as specified.
    #[must_use]
    pub fn is_specified(&self) -> bool {
        self.changes() == 0
    }

    /// How much is otherwise than as specified.
    #[must_use]
    pub fn changes(&self) -> usize {
        let (build, seam) = (self.build.is_some(), self.seam.is_some());
        let (parts, petals) = (self.parts.is_some(), self.petals.is_some());
        let flags = [build, self.gored, seam, self.unwound, parts, petals];
        flags.into_iter().filter(|&changed| changed).count()
    }

    /// Whether the rules let this item be made so.
    ///
    /// # Errors
    /// What they do not allow, in words.
    pub fn allowed(&self, item: &Item, rules: &Rules) -> Result<(), &'static str> {
        let Choose { builds, elbows, seams, windings, parts, .. } = rules.choose;
        if self.is_specified() {
            return Ok(());
        }
        if item.pinned {
            return Err("it is pinned");
        }
        if let Some(build) = &self.build {
            if !builds {
                return Err("its build is not to be chosen");
            }
            if !alike(item.build.layers(), build) {
                return Err("its build is not that of the takeoff with layers halved or doubled");
            }
        }
        let bend = match &item.kind {
            Kind::Elbow(elbow) => Some(elbow.size.od),
            _ => None,
        };
        let in_one_piece = bend.is_some_and(|od| od <= rules.elbow.one_piece_up_to);
        if self.gored && !(elbows && in_one_piece) {
            return Err("it is not to be cut gore by gore");
        }
        if self.seam.is_some() && !(seams && bend.is_some()) {
            return Err("its seams are not to be chosen");
        }
        let wound = matches!(&item.kind, Kind::Pipe(p) if p.size.od <= rules.wrap.wound_up_to);
        if self.unwound && !(windings && wound) {
            return Err("its layers are not to be cut one by one");
        }
        for (kind, many) in [(Parts::Rings, self.parts), (Parts::Petals, self.petals)] {
            let Some(many) = many else { continue };
            if !parts || Parts::of(item) != Some(kind) {
                return Err("the number of its parts is not to be chosen");
            }
            if !kind.range().contains(&many) {
                return Err("nothing is cut into so many parts");
            }
        }
        Ok(())
    }

    /// The item as it is made.
    #[must_use]
    pub fn of(&self, item: &Item) -> Item {
        let mut made = item.clone();
        if let Some(build) = &self.build {
            made.build = Build(build.clone());
        }
        made
    }

    /// The rules by which it is made.
    #[must_use]
    pub fn rules(&self, rules: &Rules) -> Rules {
        let mut own = rules.clone();
        if self.gored {
            own.elbow.one_piece_up_to = Length::ZERO;
        }
        if let Some(seam) = self.seam {
            own.elbow.seam = seam;
        }
        if self.unwound {
            own.wrap.wound_up_to = Length::ZERO;
        }
        if let Some(parts) = self.parts {
            own.wrap.ring_parts = parts.max(own.wrap.ring_parts);
        }
        if let Some(petals) = self.petals {
            own.head.petals = Some(petals.max(own.head.petals.unwrap_or(0)));
        }
        own
    }

    /// What is otherwise than as specified, in words.
    #[must_use]
    pub fn words(&self) -> String {
        let mut words = Vec::new();
        if let Some(build) = &self.build {
            let layers: Vec<String> = build.iter().map(ToString::to_string).collect();
            words.push(format!("layers of {} mm", layers.join(" + ")));
        }
        if self.gored {
            words.push("gore by gore".to_owned());
        }
        words.extend(self.seam.map(|seam| match seam {
            Seam::Throat => "seams at the throat".to_owned(),
            Seam::Heel => "seams at the heel".to_owned(),
            Seam::Alternate => "seams at throat and heel in turn".to_owned(),
        }));
        if self.unwound {
            words.push("one piece a layer".to_owned());
        }
        words.extend(self.parts.map(|parts| format!("in {parts} parts round")));
        words.extend(self.petals.map(|petals| format!("in {petals} petals")));
        words.join(", ")
    }
}

/// What of an item may be cut into more parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Parts {
    /// The rings of a pipe or shell.
    Rings,
    /// A dished head or cap, into petals.
    Petals,
}

impl Parts {
    /// How many of them there may be.
    const fn range(self) -> std::ops::RangeInclusive<u32> {
        match self {
            Self::Rings => 2..=64,
            Self::Petals => 4..=200,
        }
    }

    /// A making with so many.
    #[must_use]
    pub fn making(self, many: u32) -> Making {
        match self {
            Self::Rings => Making { parts: Some(many), ..Making::default() },
            Self::Petals => Making { petals: Some(many), ..Making::default() },
        }
    }

    /// Of an item; `None` where nothing may.
    #[must_use]
    pub const fn of(item: &Item) -> Option<Self> {
        match &item.kind {
            Kind::Pipe(_) | Kind::Shell(_) => Some(Self::Rings),
            Kind::Head(head) if !matches!(head.form, HeadForm::Flat) => Some(Self::Petals),
            Kind::Cap(_) => Some(Self::Petals),
            _ => None,
        }
    }
}

/// A takeoff with its items as they are made.
#[must_use]
pub fn made(takeoff: &Takeoff, makings: &Makings) -> Takeoff {
    let of = |item: &Item| makings.get(&item.id).map_or_else(|| item.clone(), |m| m.of(item));
    Takeoff { items: takeoff.items.iter().map(of).collect() }
}

/// Whether one build is the other with some layers parted into two halves, or pairs of like layers
/// made one.
fn alike(specified: &[Length], made: &[Length]) -> bool {
    match (specified, made) {
        ([], []) => true,
        ([a, rest @ ..], [b, others @ ..]) if a == b && alike(rest, others) => true,
        ([a, rest @ ..], [b, c, others @ ..]) if b == c && *b * 2 == *a && alike(rest, others) => {
            true
        }
        ([a, b, rest @ ..], [c, others @ ..]) if a == b && *a * 2 == *c => alike(rest, others),
        _ => false,
    }
}

/// The builds of the same thickness in which the innermost layers are parted into two halves, then
/// those in which the outermost pairs of like layers are made one; as far as `on_offer` says.
#[must_use]
pub fn builds(specified: &[Length], on_offer: &dyn Fn(Length) -> bool) -> Vec<Vec<Length>> {
    let half = |t: Length| {
        let half = Length::from_nm(t.nm() / 2);
        (half * 2 == t && on_offer(half)).then_some(half)
    };
    let mut all = Vec::new();
    let mut inner = Vec::new();
    for (at, &layer) in specified.iter().enumerate() {
        match half(layer) {
            Some(half) => inner.extend([half, half]),
            None => inner.push(layer),
        }
        let build = [&inner[..], &specified[at + 1..]].concat();
        if half(layer).is_some() {
            all.push(build);
        }
    }
    let mut outer: Vec<Length> = Vec::new();
    let mut left = specified;
    while let [rest @ .., last] = left {
        match rest {
            [before @ .., pair] if pair == last && on_offer(*last * 2) => {
                outer.insert(0, *last * 2);
                left = before;
                all.push([left, &outer[..]].concat());
            }
            _ => {
                outer.insert(0, *last);
                left = rest;
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(layers: &[i64]) -> Vec<Length> {
        layers.iter().map(|&t| Length::from_mm(t)).collect()
    }

    /// By hand.
    #[test]
    fn builds_are_halved_from_inside_and_doubled_from_outside() {
        let offer = |t: Length| t == Length::from_mm(5) || t == Length::from_mm(10);
        let made = |layers: &[i64]| builds(&mm(layers), &offer);
        assert_eq!(made(&[10, 10]), [mm(&[5, 5, 10]), mm(&[5, 5, 5, 5])]);
        assert_eq!(made(&[5, 5, 5]), [mm(&[5, 10])]);
        assert_eq!(made(&[5, 10]), [mm(&[5, 5, 5])]);
        assert_eq!(made(&[5, 5, 10]), [mm(&[5, 5, 5, 5]), mm(&[10, 10])]);
        assert!(made(&[5]).is_empty());
        for specified in [&[10, 10][..], &[5, 5, 5], &[5, 5, 10], &[10, 5, 5, 10]] {
            for build in made(specified) {
                assert!(alike(&mm(specified), &build), "{specified:?} {build:?}");
            }
        }
        assert!(!alike(&mm(&[10, 10]), &mm(&[5, 10, 5])));
        assert!(!alike(&mm(&[10, 10]), &mm(&[20, 10])));
        assert!(!alike(&mm(&[10]), &mm(&[10, 10])));
    }
}

//! A kit: the pieces, joints and steps of one item, before it has a name.
//!
//! Items of the same kind, size and build share one kit, so that a long takeoff costs little more
//! than its distinct items.

use super::domain::{CoverJoints, RunJoints};
use super::freedom::FreeRun;
use super::shop::Shop;
use crate::cutting::Turns;
use crate::finding::codes::Code;
use crate::finding::codes::demand as codes;
use crate::pattern::{Flat, PatternError};
use crate::units::{Angle, Length};
use std::collections::{BTreeMap, BTreeSet};

/// The pieces, joints and steps of one item.
#[derive(Clone, Debug, Default)]
pub struct Kit {
    /// Like pieces, in order of work.
    pub parts: Vec<Part>,
    /// Joints of its runs; the item's name is empty here.
    pub runs: Vec<RunJoints>,
    /// Joints of its covers round branches; the item's name is empty here.
    pub covers: Vec<CoverJoints>,
    /// What is done, in order.
    pub steps: Vec<KitStep>,
    /// What is free about its runs; item and quantity are empty here.
    pub free: Vec<FreeRun>,
    /// What is to be said about it.
    pub remarks: Vec<Remark>,
    /// The parts of each layer and name: a run between thousands of support rings has as many names.
    named: BTreeMap<(u32, String), Vec<usize>>,
}

/// Like pieces of one layer.
#[derive(Clone, Debug)]
pub struct Part {
    /// Which layer, 1 innermost.
    pub layer: u32,
    /// The part's name in words.
    pub name: String,
    /// Blanket thickness.
    pub thickness: Length,
    /// The shape.
    pub flat: Flat,
    /// How it may be turned.
    pub turns: Turns,
    /// How many for one item.
    pub count: u64,
}

/// A step of the schedule.
#[derive(Clone, Debug)]
pub struct KitStep {
    /// Index into the kit's parts.
    pub part: usize,
    /// Which run, from 1.
    pub run: u32,
    /// How many, one after another.
    pub count: u64,
    /// Where the first starts.
    pub at: Length,
    /// Seams by the clock.
    pub seams: Vec<Angle>,
    /// Ties for all of them.
    pub ties: u64,
    /// Pins or stitches for one of them.
    pub pins: u32,
    /// What the crew should know.
    pub note: String,
}

/// Something to be said about an item.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// The code.
    pub code: &'static Code,
    /// What is the matter.
    pub what: String,
    /// What to do.
    pub remedy: String,
}

impl Remark {
    /// A remark.
    pub fn new(code: &'static Code, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { code, what: what.into(), remedy: remedy.into() }
    }
}

/// A layer's number for people, from its index.
pub fn number(index: usize) -> u32 {
    u32::try_from(index + 1).unwrap_or(u32::MAX)
}

impl Kit {
    /// Says something.
    pub fn remark(
        &mut self,
        code: &'static Code,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        self.remarks.push(Remark::new(code, what, remedy));
    }

    /// Says that a choice breaks what it has to keep.
    pub fn not_to_be_chosen(&mut self, run: u32, why: &str) {
        self.remark(
            &codes::NOT_TO_BE_CHOSEN,
            format!("the courses chosen for run {run} do not keep the rules: {why}"),
            "plan the job again: takeoff, rolls or rules are not those of the plan",
        );
    }

    /// Says that a pattern cannot be made.
    pub fn no_pattern(&mut self, error: PatternError) {
        self.remark(
            &codes::SHAPE,
            error.to_string(),
            "check the item's size, radius, angle and build",
        );
    }

    /// Adds `count` pieces to the like ones of the layer and gives their index. A piece that fits
    /// no roll is remarked on.
    pub fn add(&mut self, shop: &Shop<'_>, part: Part) -> usize {
        let named = self.named.entry((part.layer, part.name.clone())).or_default();
        if let Some(&i) = named.iter().find(|&&i| self.parts[i].flat == part.flat) {
            self.parts[i].count += part.count;
            return i;
        }
        named.push(self.parts.len());
        if !shop.takes(part.thickness, &part.flat, &part.turns) {
            let (width, length) = (part.flat.width, part.flat.length);
            let turned = Turns::Only(vec![Angle::QUARTER]);
            let remedy = if shop.takes(part.thickness, &part.flat, &turned) {
                "offer a wider roll, or allow quarter turns where the product's maker does \
                 (turning.quarter_turns)"
            } else if shop.widest(part.thickness).is_some_and(|widest| width > widest) {
                "offer a wider roll"
            } else {
                shop.longer(part.thickness)
            };
            self.remark(
                &codes::TOO_LARGE,
                format!(
                    "layer {}, {}: a piece of {} by {} mm fits no roll of {} mm",
                    part.layer,
                    part.name,
                    width.round_up_to(Length::from_mm(1)),
                    length.round_up_to(Length::from_mm(1)),
                    part.thickness
                ),
                remedy,
            );
        }
        self.parts.push(part);
        self.parts.len() - 1
    }

    /// Adds like pieces and the step that puts them on, where they make so many whole rings that reach so far along the
    /// pipe: ties go round a ring, of however many pieces it is. Of a ring of unlike pieces the first carries its ties, and
    /// the others none. The step before grows where it puts on the same piece in the same way.
    pub fn put(
        &mut self,
        shop: &Shop<'_>,
        part: Part,
        (rings, along): (u64, Length),
        seams: Vec<Angle>,
        note: &str,
    ) {
        let ties = u64::from(shop.ties(along)).saturating_mul(rings);
        self.step(shop, part, (ties, 0), seams, note);
    }

    /// The same of a piece that is laid on and not wrapped round: pins or stitches hold it.
    pub fn put_on(&mut self, shop: &Shop<'_>, part: Part, note: &str) {
        let pins = shop.pins(&part.flat);
        self.step(shop, part, (0, pins), Vec::new(), note);
    }

    fn step(
        &mut self,
        shop: &Shop<'_>,
        part: Part,
        (ties, pins): (u64, u32),
        seams: Vec<Angle>,
        note: &str,
    ) {
        let count = part.count;
        let part = self.add(shop, part);
        match self.steps.last_mut() {
            Some(step) if step.part == part && step.note == note => {
                step.count += count;
                step.ties = step.ties.saturating_add(ties);
            }
            _ => self.steps.push(KitStep {
                part,
                run: 1,
                count,
                at: Length::ZERO,
                seams,
                ties,
                pins,
                note: note.to_owned(),
            }),
        }
    }

    /// Takes what a pattern came to, or says why there is none.
    pub fn take<T>(&mut self, result: Result<T, PatternError>) -> Option<T> {
        match result {
            Ok(value) => Some(value),
            Err(error) => {
                self.no_pattern(error);
                None
            }
        }
    }

    /// Gives parts of a layer that share a name but not a shape names of their own.
    pub fn tell_apart(&mut self) {
        let mut taken = BTreeSet::new();
        for part in &mut self.parts {
            let mut number = 1;
            let plain = part.name.clone();
            while !taken.insert((part.layer, part.name.clone())) {
                number += 1;
                part.name = format!("{plain} ({number})");
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unlike_pieces_of_one_name_and_layer_are_told_apart() {
        let part = |layer| Part {
            layer,
            name: "ring".to_owned(),
            thickness: Length::from_mm(10),
            flat: Flat::rectangle(Length::from_mm(10), Length::from_mm(10)),
            turns: Turns::none(),
            count: 1,
        };
        let mut kit = Kit { parts: [1, 1, 2, 1].map(part).to_vec(), ..Kit::default() };
        kit.tell_apart();
        let names: Vec<&str> = kit.parts.iter().map(|part| part.name.as_str()).collect();
        assert_eq!(names, ["ring", "ring (2)", "ring", "ring (3)"]);
    }
}

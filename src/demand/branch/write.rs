//! What was laid, as parts, steps and remarks of the kit.

use super::along::Plan;
use super::run::{Lies, RunCover};
use super::sleeve::Cover;
use super::{Courses, Done, Laying, reach_of};
use crate::demand::domain::{CoverJoints, Datum};
use crate::demand::kit::{Kit, Part, number};
use crate::demand::pipe::{Groups, remark_on_stagger};
use crate::demand::seams;
use crate::demand::shop::Shop;
use crate::finding::codes::demand as codes;
use crate::pattern::Flat;
use crate::units::{Length, noted};
use std::collections::BTreeMap;

/// One layer's pieces.
pub struct Laid {
    /// Of the run.
    pub run: RunCover,
    /// Of the branch.
    pub sleeve: Cover,
}

/// What run and branch are called.
pub struct Words {
    /// Before the run's piece.
    pub run: &'static str,
    /// The branch's piece.
    pub branch: &'static str,
    /// What the branch is in notes.
    pub what: &'static str,
    /// What it stands on, in notes.
    pub along: &'static str,
}

impl Words {
    /// A note about the branch of a run, told of these.
    fn told(&self, note: &str) -> String {
        let note = note.replace("the branch", &format!("the {}", self.what));
        note.replace("the run", &format!("the {}", self.along))
    }
}

/// Whether neighbouring layers are parted crosswise in one plane, where that is not to be.
pub fn stacked(laid: &[Laid], shop: &Shop<'_>) -> bool {
    let parted = |pair: &[Laid]| pair.iter().all(|layer| layer.run.at_hole.is_some());
    shop.staggers(laid.len()) && laid.windows(2).any(parted)
}

/// Says what is laid in courses, and where their joints do not keep the stagger.
pub fn remark_on_courses(kit: &mut Kit, courses: &Courses, words: &Words, shop: &Shop<'_>) {
    let what = words.what;
    if let Some(run) = courses.run.as_ref().filter(|run| run.plans.iter().any(Plan::is_wide)) {
        kit.remark(
            &codes::COVER_IN_COURSES,
            format!(
                "the cover with the hole for the {what} is wider than the rolls: it has plain courses beside those \
                 with the hole"
            ),
            "nothing to do, or offer a wider roll",
        );
        if let Some(kept) = run.kept {
            remark_on_stagger(kit, &format!("the courses beside the {what}"), kept, shop);
        }
    }
    if let Some(branch) = &courses.branch {
        let most = branch.joints.iter().map(Vec::len).max().unwrap_or(0) + 1;
        kit.remark(
            &codes::COVER_IN_COURSES,
            format!(
                "the cover of the {what} is higher than the rolls are wide: it is laid in {most} courses, the lowest \
                 with the saddle"
            ),
            "nothing to do, or offer a wider roll",
        );
        if let Some(kept) = branch.kept {
            remark_on_stagger(kit, &format!("the courses of the {what}'s cover"), kept, shop);
        }
    }
}

/// Says what is to be said of pieces round and of the hole.
pub fn remark(kit: &mut Kit, lay: &Laying<'_>, words: &Words, laid: &[Laid]) {
    if lay.round > 1 {
        kit.remark(
            &codes::RING_SPLIT,
            format!("the covers of run and branch are cut into {} pieces round", lay.round),
            "nothing to do, or offer a longer roll, or raise the pull limit where there is one",
        );
    }
    if stacked(laid, lay.shop) {
        kit.remark(
            &codes::STACKED,
            format!(
                "no course with all of the hole for the {} fits the rolls, so neighbouring layers are parted crosswise \
                 in one plane, at the hole",
                words.what
            ),
            "offer a wider roll, or tape the joint of the inner layer on site",
        );
    }
    // The branch is the smaller of the two.
    seams::remark_opposite(kit, &lay.junction.branch, lay.round, lay.shop);
}

/// Says which courses with the hole or the saddle no roll is wide enough for, of all layers of a thickness the one that
/// takes most; whether there are any.
pub fn remark_on_narrow(kit: &mut Kit, lay: &Laying<'_>, words: &Words, beneath: usize) -> bool {
    // By course and thickness the most that a layer takes, and which.
    let mut wide: BTreeMap<(usize, Length), (Length, usize)> = BTreeMap::new();
    for (i, saddle) in lay.junction.saddles().enumerate() {
        let thickness = lay.thickness(i);
        let Some(widest) = lay.shop.widest(thickness) else { continue };
        for (course, narrowest) in lay.narrowest(&saddle).into_iter().enumerate() {
            if narrowest > widest {
                let most = wide.entry((course, thickness)).or_default();
                *most = (*most).max((narrowest, i));
            }
        }
    }
    for (&(course, thickness), &(most, layer)) in &wide {
        let course = if course == 0 {
            format!(
                "the {}'s cover: a course with half the hole for the {}",
                words.along, words.what
            )
        } else {
            format!("the {}'s cover: a course with its saddle", words.what)
        };
        let widest = lay.shop.widest(thickness).unwrap_or_default();
        kit.remark(
            &codes::TOO_LARGE,
            format!(
                "layer {}, {course} takes {most} mm across the roll at least, and the widest of {thickness} mm gives {widest}",
                beneath + layer + 1
            ),
            "offer a wider roll",
        );
    }
    !wide.is_empty()
}

/// Adds all layers above `beneath` layers.
pub fn put(
    kit: &mut Kit,
    lay: &Laying<'_>,
    words: &Words,
    beneath: usize,
    Done { laid, courses }: Done,
) {
    for (i, layer) in laid.into_iter().enumerate() {
        kit.covers.extend(joints(lay, words, (i, beneath), &layer, &courses));
        let onto =
            Onto { number: number(beneath + i), thickness: lay.thickness(i), shop: lay.shop };
        onto.put_run(kit, lay, words, layer.run);
        onto.put_sleeve(kit, lay.round, words, layer.sleeve);
    }
}

/// The joints of the `i`-th layer's covers of run and branch.
fn joints(
    lay: &Laying<'_>,
    words: &Words,
    (i, beneath): (usize, usize),
    layer: &Laid,
    courses: &Courses,
) -> [CoverJoints; 2] {
    let [obtuse, acute] = lay.ends();
    let number = number(beneath + i);
    let waiver = |kept: Option<Length>| kept.map(|kept| format!("only {kept} mm can be kept"));
    let (run, sleeve) = (&layer.run, &layer.sleeve);
    let along = CoverJoints {
        item: String::new(),
        cover: format!("{}cover", words.run),
        layer: number,
        datum: if lay.square() { Datum::End } else { Datum::ObtuseEnd },
        ends: [Length::ZERO, obtuse + acute],
        courses: run.courses.clone(),
        joints: run.joints.iter().map(|&joint| joint + obtuse).collect(),
        at_hole: run.at_hole.map(|joint| joint + obtuse),
        under: lay.junction.run[i].under,
        waived: waiver(courses.run.as_ref().and_then(|laid| laid.kept)),
    };
    let up = CoverJoints {
        item: String::new(),
        cover: words.branch.to_owned(),
        layer: number,
        datum: Datum::Axis,
        ends: sleeve.ends,
        courses: sleeve.courses(),
        joints: sleeve.above.iter().map(|(from, _)| *from).collect(),
        at_hole: None,
        under: lay.junction.branch[i].under,
        waived: waiver(courses.branch.as_ref().and_then(|branch| branch.kept)),
    };
    [along, up]
}

/// From where to where a plain course lies.
fn lies(at: &Lies, square: bool) -> String {
    let end = match (square, at.acute) {
        (true, true) => "one end of the cover",
        (true, false) => "the other end of the cover",
        (false, true) => "the cover's end on the acute side",
        (false, false) => "the cover's end on the obtuse side",
    };
    format!("from {} to {} mm from {end}", at.from, at.to)
}

/// The layer that pieces are put into.
struct Onto<'a> {
    number: u32,
    thickness: Length,
    shop: &'a Shop<'a>,
}

impl Onto<'_> {
    fn put(
        &self,
        kit: &mut Kit,
        (name, flat): (String, Flat),
        (count, rings): (u64, u64),
        along: Length,
        note: &str,
    ) {
        let (layer, thickness, turns) = (self.number, self.thickness, self.shop.wrap_turns(&flat));
        let part = Part { layer, name, thickness, flat, turns, count };
        kit.put(self.shop, part, (rings, along), Vec::new(), note);
    }

    fn put_run(&self, kit: &mut Kit, lay: &Laying<'_>, words: &Words, cover: RunCover) {
        let square = lay.square();
        for named in cover.pieces {
            let note = named.at.as_ref().map_or_else(
                || cover.note.to_owned(),
                |at| format!("{}; {}", lies(at, square), cover.plain),
            );
            let note = words.told(&note);
            let name = format!("{}{}", words.run, named.name);
            let along = named.flat.width;
            self.put(kit, (name, named.flat), (named.count, named.rings), along, &note);
        }
    }

    fn put_sleeve(&self, kit: &mut Kit, round: u32, words: &Words, cover: Cover) {
        let along = reach_of(&cover.lowest).unwrap_or_default();
        let note = words.told(cover.note);
        let courses = cover.above.len() + 1;
        let lowest = if courses > 1 { format!(", course 1 of {courses}") } else { String::new() };
        for (k, flat) in cover.lowest.into_iter().enumerate() {
            let part = if round > 1 {
                format!(", part {} of {round} round", k + 1)
            } else {
                String::new()
            };
            let name = format!("{}{lowest}{part}", words.branch);
            self.put(kit, (name, flat), (1, u64::from(k == 0)), along, &note);
        }
        // The lowest course is like none of them.
        let widths = cover.above.iter().map(|(_, flat)| flat.width);
        let widths: Vec<Length> = std::iter::once(Length::ZERO).chain(widths).collect();
        for group in Groups::of(&widths).iter().skip(1) {
            let name = format!("{}, {}", words.branch, group.name(courses, 1, 0, round));
            for (first, rings) in group.stretches() {
                let Some((from, flat)) = cover.above.get(first - 1) else { continue };
                let begins =
                    format!("its lower edge lies {} mm below the top", cover.ends[1] - *from);
                let rings = rings as u64;
                let counts = (rings * u64::from(round), rings);
                let note = noted(&[&begins, &note]);
                self.put(kit, (name.clone(), flat.clone()), counts, flat.width, &note);
            }
        }
    }
}

//! A straight run's or a shell's pieces, joints and schedule.
//!
//! Steps: split the run at its support rings; shorten each layer where an elbow reaches into it;
//! cut every ring to the stretch-out; lay courses ([`super::courses`]) and seams
//! ([`super::seams`]).

use super::courses::{CourseRule, Laid, Span, lay};
use super::domain::RunJoints;
use super::freedom::{FreeLayer, FreeRun, extent};
use super::kit::{Kit, KitStep, Part, number};
use super::seams::{self, Seams};
use super::shop::{Ring, Shop};
use super::welds::Reach;
use crate::finding::codes::demand as codes;
use crate::pattern::Flat;
use crate::pattern::wrap::{Layer, turns_length};
use crate::takeoff::{Build, Item, Kind, Pipe, Shell};
use crate::units::{Angle, Length, few, noted};

/// Courses chosen for an item's runs: which run, from 1, and the courses of each layer.
pub type Chosen<'a> = [(u32, &'a [Vec<Length>])];

/// The pieces of a run; `ends` is what reaches into it, `chosen` what is not as specified.
pub fn kit(
    pipe: &Pipe,
    build: &Build,
    ends: &[Reach; 2],
    chosen: &Chosen<'_>,
    shop: &Shop<'_>,
) -> Kit {
    let mut kit = Kit::default();
    let (layers, turns) = plies(pipe.size.od, build, shop);
    let runs = stretches(pipe.length, pipe.vertical, shop);
    let (vertical, beneath, what) = (pipe.vertical, 0, "");
    let least = shop.rules.wrap.ring_parts;
    let cylinder =
        Cylinder { layers: &layers, turns: &turns, shop, vertical, beneath, what, least };
    cylinder.wrap_chosen(&mut kit, &runs, ends, chosen);
    remark_on_rings(&mut kit, &runs, shop);
    if turns.iter().any(|&t| t > 1) {
        kit.remark(
            &codes::WOUND,
            "neighbouring layers of one thickness are wound from one piece",
            "nothing to do, or set wrap.wound_up_to to 0",
        );
    }
    kit
}

/// The layers as they are cut: first layer of each, and how often it goes round. More than once
/// only where the rules have neighbouring layers of one thickness wound from one piece.
pub fn plies(od: Length, build: &Build, shop: &Shop<'_>) -> (Vec<Layer>, Vec<u32>) {
    let wrap = &shop.rules.wrap;
    let mut layers: Vec<Layer> = Vec::new();
    let mut turns: Vec<u32> = Vec::new();
    for layer in Layer::stack(od, build, wrap) {
        let like = layers.last().is_some_and(|l| l.thickness == layer.thickness);
        let small = od <= wrap.wound_up_to && layer.thickness <= wrap.wound_thickness;
        match turns.last_mut() {
            Some(count) if like && small => *count += 1,
            _ => {
                layers.push(layer);
                turns.push(1);
            }
        }
    }
    (layers, turns)
}

/// Into how many parts the rings of a run or shell are cut, and the thickness and length of a part of each layer; `None`
/// where no roll takes them.
pub fn rings_of(item: &Item, shop: &Shop<'_>) -> Option<(u32, Vec<(Length, Length)>)> {
    let (layers, turns) = match &item.kind {
        Kind::Pipe(pipe) => plies(pipe.size.od, &item.build, shop),
        Kind::Shell(shell) => {
            let layers = Layer::stack(shell.diameter, &item.build, &shop.rules.wrap);
            let turns = vec![1; layers.len()];
            (layers, turns)
        }
        _ => return None,
    };
    let cylinder = Cylinder::bare(&layers, &turns, shop.rules.wrap.ring_parts, shop);
    let rings = cylinder.rings(&mut Kit::default())?;
    let parts = rings.first()?.parts;
    let one = |(layer, ring): (&Layer, &Ring)| (layer.thickness, ring.length);
    Some((parts, layers.iter().zip(&rings).map(one).collect()))
}

/// Where the seams of a run's outermost layer lie; none where no roll takes its layers.
pub fn outermost(od: Length, build: &Build, shop: &Shop<'_>) -> Vec<Angle> {
    let (layers, turns) = plies(od, build, shop);
    seams_from(&layers, &turns, shop.rules.joints.first_seam, shop)
        .pop()
        .map_or_else(Vec::new, |last| last.at)
}

/// Where the seams of a cover's body lie, inner first; none where no roll takes its layers.
pub fn seams_of_body(layers: &[Layer], shop: &Shop<'_>) -> Vec<Seams> {
    let turns = vec![1; layers.len()];
    seams_of(layers, (&turns, 1), shop.rules.joints.first_seam, shop)
}

/// Where those of a run's layers lie if the first layer's begin at this angle.
pub fn seams_from(layers: &[Layer], turns: &[u32], first: Angle, shop: &Shop<'_>) -> Vec<Seams> {
    seams_of(layers, (turns, shop.rules.wrap.ring_parts), first, shop)
}

fn seams_of(
    layers: &[Layer],
    (turns, least): (&[u32], u32),
    first: Angle,
    shop: &Shop<'_>,
) -> Vec<Seams> {
    let cylinder = Cylinder::bare(layers, turns, least, shop);
    let Some(rings) = cylinder.rings(&mut Kit::default()) else { return Vec::new() };
    let parts = rings.first().map_or(1, |ring| ring.parts);
    seams::place(layers, parts, first, shop.rules.joints.stagger)
}

/// The pieces of a vessel's cylinder, tangent to tangent.
pub fn shell(shell: &Shell, build: &Build, chosen: &Chosen<'_>, shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    let layers = Layer::stack(shell.diameter, build, &shop.rules.wrap);
    super::welds::remark_on_welds(&mut kit, layers.len(), shop);
    let runs = stretches(shell.length, shell.vertical, shop);
    let (turns, vertical) = (vec![1; layers.len()], shell.vertical);
    let (beneath, what) = (0, "");
    let least = shop.rules.wrap.ring_parts;
    let cylinder =
        Cylinder { layers: &layers, turns: &turns, shop, vertical, beneath, what, least };
    cylinder.wrap_chosen(&mut kit, &runs, &[Vec::new(), Vec::new()], chosen);
    remark_on_rings(&mut kit, &runs, shop);
    kit
}

/// Says where support rings are taken to be.
fn remark_on_rings(kit: &mut Kit, runs: &[Span], shop: &Shop<'_>) {
    let at: Vec<String> = runs.iter().skip(1).map(|run| run.start.to_string()).collect();
    if at.is_empty() {
        return;
    }
    let rules = &shop.rules.vertical;
    let rings = if at.len() == 1 { "a support ring is" } else { "support rings are" };
    kit.remark(
        &codes::AT_RINGS,
        format!(
            "{rings} taken to stand at {} mm from its lower end, no more than vertical.ring_spacing = {} mm apart: all \
             layers part there",
            few(&at, 6),
            rules.ring_spacing
        ),
        "nothing to do where they stand there; else give the stretches between them as runs of their own, or change \
         vertical.ring_spacing in rules.toml",
    );
}

/// The stretches of a run: between its support rings where it stands upright.
pub fn stretches(length: Length, vertical: bool, shop: &Shop<'_>) -> Vec<Span> {
    if vertical { between_rings(length, shop) } else { whole(length) }
}

/// One stretch without rings.
pub fn whole(length: Length) -> Vec<Span> {
    vec![Span { start: Length::ZERO, end: length }]
}

/// The stretches between support rings: as few as the ring spacing allows, of like length, the
/// first ring at the lowest point; below each further ring the gap of the rules is left free.
fn between_rings(length: Length, shop: &Shop<'_>) -> Vec<Span> {
    let rules = &shop.rules.vertical;
    let spacing = rules.ring_spacing.nm().max(1);
    let count = (length.round_up_to(Length::from_nm(spacing)).nm() / spacing).max(1);
    let ring = |j: i64| {
        let nm = i128::from(length.nm()) * i128::from(j) / i128::from(count);
        Length::from_nm(i64::try_from(nm).unwrap_or(i64::MAX))
            .round_down_to(shop.rules.resolution.cut)
    };
    let stretch = |j: i64| Span {
        start: ring(j),
        end: if j + 1 == count { length } else { ring(j + 1) - rules.ring_gap },
    };
    (0..count).map(stretch).collect()
}

/// A cylinder to be wrapped: a pipe's run or a vessel's shell.
pub struct Cylinder<'a> {
    /// Its layers, or the first of those that are wound from one piece.
    pub layers: &'a [Layer],
    /// How often each goes round.
    pub turns: &'a [u32],
    /// The shop.
    pub shop: &'a Shop<'a>,
    /// Stands upright.
    pub vertical: bool,
    /// How many layers of the item lie beneath these.
    pub beneath: usize,
    /// What it is of the item, before the courses' numbers; empty where it is all of it.
    pub what: &'static str,
    /// The least number of parts of its rings.
    pub least: u32,
}

impl<'a> Cylinder<'a> {
    /// By itself, and not upright: for what its rings are.
    fn bare(layers: &'a [Layer], turns: &'a [u32], least: u32, shop: &'a Shop<'_>) -> Self {
        Self { layers, turns, shop, vertical: false, beneath: 0, what: "", least }
    }

    /// Wraps all runs as specified, with nothing free about them.
    pub fn wrap(&self, kit: &mut Kit, runs: &[Span], ends: &[Reach; 2]) {
        self.wrap_chosen(kit, runs, ends, &[]);
        kit.free.clear();
    }

    /// Wraps all runs, those as chosen for which there is a choice.
    pub fn wrap_chosen(
        &self,
        kit: &mut Kit,
        runs: &[Span],
        ends: &[Reach; 2],
        chosen: &Chosen<'_>,
    ) {
        let count = self.layers.len();
        let Some(rings) = self.rings(kit) else { return };
        let parts = rings.first().map_or(1, |r| r.parts);
        let joints = &self.shop.rules.joints;
        let seams = seams::place(self.layers, parts, joints.first_seam, joints.stagger);
        self.remark_on_seams(kit, &seams, &rings);
        let mut laid: Vec<Vec<Laid>> = Vec::with_capacity(runs.len());
        for (r, run) in runs.iter().enumerate() {
            let reach = |end: usize, layer: usize, here: bool| {
                if here { ends[end].get(layer).copied().unwrap_or_default() } else { Length::ZERO }
            };
            let spans: Vec<(Span, CourseRule)> = (0..count)
                .map(|i| {
                    let span = Span {
                        start: run.start + reach(0, i, r == 0),
                        end: run.end - reach(1, i, r + 1 == runs.len()),
                    };
                    (span, self.rule(&rings, i))
                })
                .collect();
            if let Some(bad) = spans.iter().position(|(s, rule)| {
                s.end <= s.start || (rule.widest < rule.smallest && s.end - s.start > rule.widest)
            }) {
                refuse(kit, bad, &rings[bad]);
                return;
            }
            let run_number = number(r);
            let specified = lay(&spans);
            let free = self.free(&spans, &rings, run_number, &specified);
            let mine = chosen.iter().find(|(run, _)| *run == run_number).map(|(_, c)| *c);
            match (mine, free) {
                (Some(courses), Some(free)) => match free.keeps(courses) {
                    Ok(()) => {
                        laid.push(free.laid(courses));
                        kit.free.push(free);
                    }
                    Err(why) => {
                        kit.not_to_be_chosen(run_number, &why);
                        return;
                    }
                },
                (Some(_), None) => {
                    kit.not_to_be_chosen(run_number, "its joints are not free");
                    return;
                }
                (None, free) => {
                    laid.push(specified);
                    kit.free.extend(free);
                }
            }
        }
        self.write_down(kit, &laid, &rings, &seams);
    }

    /// What is free about a run; nothing where even as specified the stagger is not kept.
    fn free(
        &self,
        spans: &[(Span, CourseRule)],
        rings: &[Ring],
        run: u32,
        specified: &[Laid],
    ) -> Option<FreeRun> {
        if specified.iter().any(|laid| laid.kept.is_some()) {
            return None;
        }
        let rules = &self.shop.rules;
        // Upright it is the first course that laps over none.
        let outermost = spans.len().saturating_sub(1);
        if self.vertical && self.shop.lap(outermost, spans.len()).is_positive() {
            return None;
        }
        let specified: Vec<Vec<Length>> = specified.iter().map(Laid::courses).collect();
        let layers = spans.iter().enumerate().map(|(i, &(span, rule))| {
            let lap = self.shop.lap(i, self.layers.len());
            let before: u32 = self.turns.iter().take(i).sum();
            let thickness = self.layers[i].thickness;
            let ring = rings[i];
            let longest = match rules.choose.longest_course {
                Some(most) if rules.turning.quarter_turns => {
                    self.shop.course(self.shop.longest(thickness, ring.length).min(most), lap)
                }
                _ => rule.widest,
            };
            let layer = FreeLayer {
                number: number(self.beneath) + before,
                thickness,
                start: span.start,
                end: span.end,
                widest: rule.widest,
                longest: longest.round_down_to(rule.step).max(rule.widest.round_down_to(rule.step)),
                smallest: rule.smallest,
                stagger: rule.stagger,
                step: rule.step,
                lap,
                around: ring.length,
                parts: ring.parts,
                sideways: rules.turning.quarter_turns,
                most: specified[i].len().saturating_add(rules.choose.further_joints()),
            };
            extent(layer, (span, rule))
        });
        let (layers, quantity) = (layers.collect(), 0);
        Some(FreeRun { layers, specified, quantity, item: String::new(), run })
    }

    /// The rings of every layer, all of as many pieces.
    fn rings(&self, kit: &mut Kit) -> Option<Vec<Ring>> {
        let count = self.layers.len();
        let mut parts = self.least;
        let mut rings = Vec::new();
        // Twice, so that all layers have as many pieces as the one that needs most.
        for _ in 0..2 {
            rings.clear();
            for (i, layer) in self.layers.iter().enumerate() {
                let whole = match self.turns[i] {
                    1 => layer.stretch_out(),
                    n => turns_length(layer.under, layer.thickness, n, layer.factor),
                };
                let whole = (layer.thickness, whole);
                let ring = self.shop.wound_ring(kit, whole, i, count, parts)?;
                parts = parts.max(ring.parts);
                rings.push(ring);
            }
        }
        Some(rings)
    }

    fn rule(&self, rings: &[Ring], i: usize) -> CourseRule {
        let count = self.layers.len();
        CourseRule {
            widest: self.shop.course(rings[i].across, self.shop.lap(i, count)),
            smallest: self.shop.smallest_course(count),
            stagger: self.shop.rules.joints.stagger,
            step: self.shop.rules.resolution.cut,
        }
    }

    fn remark_on_seams(&self, kit: &mut Kit, seams: &[Seams], rings: &[Ring]) {
        seams::remark(kit, self.layers, seams, self.shop);
        let parts = rings.first().map_or(1, |ring| ring.parts);
        if parts > 1 {
            let asked = self.least == parts;
            let remedy = if asked {
                "nothing to do: as many as the rule or the nest's choice asks for".to_owned()
            } else {
                let thickness = self.layers.first().map_or(Length::ZERO, |layer| layer.thickness);
                format!(
                    "nothing to do, or {}; more parts may fit the rolls better (wrap.ring_parts, or choose.parts for the \
                     nest to choose)",
                    self.shop.longer(thickness)
                )
            };
            kit.remark(&codes::RING_SPLIT, format!("each ring is cut into {parts} pieces"), remedy);
        }
    }

    /// Turns courses into parts, joints and steps.
    fn write_down(&self, kit: &mut Kit, laid: &[Vec<Laid>], rings: &[Ring], seams: &[Seams]) {
        let count = self.layers.len();
        let smallest = self.shop.rules.joints.smallest_piece;
        let mut closest: Option<(u32, Length)> = None;
        let mut small = false;
        for (i, layer) in self.layers.iter().enumerate() {
            let lap = self.shop.lap(i, count);
            let before: u32 = self.turns.iter().take(i).sum();
            let number = number(self.beneath) + before;
            for (r, run) in laid.iter().enumerate() {
                let Some(plan) = run.get(i) else { continue };
                let courses = plan.courses();
                small |= courses.iter().any(|&c| c < smallest);
                // The innermost layer has none beneath it.
                if let Some(kept) = plan.kept.filter(|_| number > 1)
                    && closest.is_none_or(|(_, c)| kept < c)
                {
                    closest = Some((number, kept));
                }
                let run_number = u32::try_from(r + 1).unwrap_or(u32::MAX);
                for turn in 0..self.turns[i] {
                    let waived = if turn == 0 {
                        waiver(plan, &seams[i])
                    } else {
                        Some("wound from one piece with the layer beneath".to_owned())
                    };
                    kit.runs.push(RunJoints {
                        item: String::new(),
                        run: run_number,
                        layer: number + turn,
                        start: plan.span.start,
                        courses: courses.clone(),
                        joints: plan.joints.clone(),
                        under: layer.under + layer.thickness * i64::from(turn) * 2,
                        seams: seams[i].at.clone(),
                        lap,
                        waived,
                    });
                }
                let last = courses.len() - 1;
                // What lies on the layer beneath ends at the joint: the lower one of two, if upright, so that the
                // upper one sheds water over it.
                let bare = if self.vertical { 0 } else { last };
                let cut = |c: usize| {
                    let lap = if c == bare { Length::ZERO } else { lap };
                    (courses[c] + lap).round_up_to(self.shop.rules.resolution.cut)
                };
                let widths: Vec<Length> = (0..courses.len()).map(cut).collect();
                for group in Groups::of(&widths) {
                    let name = group.name(widths.len(), laid.len(), r, rings[i].parts);
                    let turns = match self.turns[i] {
                        1 => String::new(),
                        n => format!(", {n} turns"),
                    };
                    let name = format!("{}{name}{turns}", self.what);
                    let flat = Flat::rectangle(group.width, rings[i].length);
                    let turns = self.shop.wrap_turns(&flat);
                    let pieces = group.courses.len() as u64 * u64::from(rings[i].parts);
                    let thickness = layer.thickness;
                    let part = Part { layer: number, name, thickness, flat, turns, count: pieces };
                    let part = kit.add(self.shop, part);
                    for (first, length) in group.stretches() {
                        let at = plan.span.start + courses[..first].iter().copied().sum();
                        let on_ring =
                            if r > 0 && first == 0 { "on the support ring here" } else { "" };
                        kit.steps.push(KitStep {
                            part,
                            run: run_number,
                            count: length as u64 * u64::from(rings[i].parts),
                            at,
                            seams: seams[i].at.clone(),
                            ties: u64::from(self.shop.ties(group.width)) * length as u64,
                            pins: 0,
                            note: noted(&[on_ring, &self.note(i)]),
                        });
                    }
                }
            }
        }
        kit.steps.sort_by_key(|s| (kit.parts[s.part].layer, s.run, s.at));
        self.remark_on_courses(kit, closest, small);
    }

    fn remark_on_courses(&self, kit: &mut Kit, closest: Option<(u32, Length)>, small: bool) {
        let joints = &self.shop.rules.joints;
        if let Some((layer, kept)) = closest {
            remark_on_stagger(kit, &format!("layers {} and {layer}", layer - 1), kept, self.shop);
        }
        if small {
            kit.remark(
                &codes::SMALL_PIECE,
                format!("a piece of this run is narrower than {} mm", joints.smallest_piece),
                "nothing to do, or cover the run with its neighbour's piece",
            );
        }
    }

    /// What the crew should know about a layer.
    fn note(&self, i: usize) -> String {
        // Layers turn together, or a seam would come to lie on that of the layer beneath.
        const WEATHER: &str =
            "where the weather comes from its seam's side, turn all layers by half a turn";
        let outermost = i + 1 == self.layers.len();
        let lap = self.shop.lap(i, self.layers.len());
        let water = match (outermost && lap.is_positive(), self.vertical) {
            (true, true) => {
                format!("from the bottom up; lap each upper course {lap} mm over the one below it")
            }
            (true, false) => {
                "lap the higher course over the lower one, seam lap facing down".to_owned()
            }
            (false, true) => "from the bottom up".to_owned(),
            (false, false) if outermost => WEATHER.to_owned(),
            (false, false) => String::new(),
        };
        match self.turns[i] {
            1 => water,
            n => {
                let wound = format!("wind {n} turns tightly, over its own starting edge");
                noted(&[&wound, &water])
            }
        }
    }
}

/// Says that joints of these can be kept only so far apart.
pub fn remark_on_stagger(kit: &mut Kit, of: &str, kept: Length, shop: &Shop<'_>) {
    kit.remark(
        &codes::STAGGER,
        format!(
            "the joints of {of} can only be kept {kept} mm apart, not {} mm",
            shop.rules.joints.stagger
        ),
        "offer a wider roll, or allow a smaller stagger or smaller pieces for this item",
    );
}

fn refuse(kit: &mut Kit, layer: usize, ring: &Ring) {
    kit.remark(
        &codes::TOO_NARROW,
        format!(
            "layer {}: courses of at most {} mm cannot be laid along this run",
            layer + 1,
            ring.across
        ),
        "offer a wider roll, or allow smaller pieces or a smaller stagger in the rules",
    );
}

/// Why the stagger is not kept, in words.
fn waiver(plan: &Laid, seams: &Seams) -> Option<String> {
    let along = plan.kept.map(|kept| format!("along the run only {kept} mm can be kept"));
    let around = seams.short.map(|_| "half the girth is less than the stagger".to_owned());
    match (along, around) {
        (Some(a), Some(b)) => Some(format!("{a}; {b}")),
        (a, b) => a.or(b),
    }
}

/// Courses of one width in one layer of one run.
pub struct Group {
    width: Length,
    courses: Vec<usize>,
}

/// Courses by width, in order of first use.
pub struct Groups;

impl Groups {
    /// Groups them.
    pub fn of(widths: &[Length]) -> Vec<Group> {
        let mut groups: Vec<Group> = Vec::new();
        for (i, &width) in widths.iter().enumerate() {
            match groups.iter_mut().find(|g| g.width == width) {
                Some(group) => group.courses.push(i),
                None => groups.push(Group { width, courses: vec![i] }),
            }
        }
        groups
    }
}

impl Group {
    /// Unbroken stretches: first course and how many.
    pub fn stretches(&self) -> Vec<(usize, usize)> {
        let mut all: Vec<(usize, usize)> = Vec::new();
        for &course in &self.courses {
            match all.last_mut() {
                Some((first, length)) if *first + *length == course => *length += 1,
                _ => all.push((course, 1)),
            }
        }
        all
    }

    /// `courses 2-4 of 5`, with the run where there are several, and the pieces of a ring.
    pub fn name(&self, courses: usize, runs: usize, run: usize, parts: u32) -> String {
        let span = |&(first, length): &(usize, usize)| {
            if length == 1 {
                (first + 1).to_string()
            } else {
                format!("{}-{}", first + 1, first + length)
            }
        };
        let stretches: Vec<String> = self.stretches().iter().map(span).collect();
        let plural = if self.courses.len() == 1 { "course" } else { "courses" };
        let run = if runs > 1 { format!("run {}, ", run + 1) } else { String::new() };
        let ring = if parts > 1 { format!(", {parts} round") } else { String::new() };
        format!("{run}{plural} {} of {courses}{ring}", stretches.join(" and "))
    }
}

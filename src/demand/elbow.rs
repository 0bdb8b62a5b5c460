//! An elbow's pieces: in one piece where it is small enough for the rules and the roll, gore by
//! gore where it is not.
//!
//! Layers take the two arrangements of gores in turn (see [`crate::pattern::bend`]), the outermost
//! with half gores at its ends, so that the mitre joints of neighbouring layers lie half a gore
//! apart: the stagger of straight runs cannot exist inside an elbow. Seams of gored layers lie at
//! throat and heel in turn, the outermost as the rules say. Rings of an even number of pieces have seams at both,
//! so there every second layer's lie half a piece further.
//!
//! Where inner layers reach into runs, their end gores lie beneath the run's next layers. Seams of runs are told by the
//! clock, those of bends by throat and heel, and a takeoff does not say which way a bend turns: whether they are apart
//! is told, not planned ([`remark_on_runs`]).
//!
//! Where many layers reach far into runs, a small elbow in one piece is too long for its roll. It is
//! then cut in two parts, each with its gores joined at the heel, so that the throat may still be as
//! narrow as in one piece and the elbow follows the bend: layers part at a third and at two thirds
//! of the bend in turn ([`parted_at`]).

use super::kit::{Kit, Part, number};
use super::pipe::seams_from;
use super::seams::{self, FULL};
use super::shop::Shop;
use crate::finding::codes::demand as codes;
use crate::pattern::bend::{Arrangement, Bend, Edge, Gore};
use crate::pattern::gore::{BendLayer, SeamAt};
use crate::pattern::wrap::Layer;
use crate::pattern::{Flat, PatternError};
use crate::rules::{Rules, Seam};
use crate::takeoff::{Build, Elbow};
use crate::units::{Angle, Length};

/// What a straight end is called in the names of pieces that have one.
pub const STRAIGHT: &str = "mm straight";

/// What all layers of an elbow share.
pub struct Plan {
    /// The layers.
    pub layers: Vec<Layer>,
    bend: Bend,
    outermost: f64,
    /// How long the elbow is straight between the bend and each weld.
    pub straight: Length,
    /// Into how many pieces with joined gores every layer is cut, 1 or 2; 0 where gores are loose.
    joined: usize,
}

impl Plan {
    /// Divides the bend of which `joined` sides meet a run; `None` for a build without layers. In one
    /// piece, where the rules want it and every layer fits a roll with its straight ends, the throat
    /// may be narrower.
    pub fn new(elbow: &Elbow, build: &Build, joined: usize, shop: &Shop<'_>) -> Option<Self> {
        let rules = &shop.rules.elbow;
        let layers = Layer::stack(elbow.size.od, build, &shop.rules.wrap);
        let outermost = layers.last()?.mid_radius();
        let ends = (layers.first()?.mid_radius(), outermost);
        let straight = elbow.straight;
        let choose = |throat| Bend::choose(elbow.radius, elbow.angle, ends, throat, rules);
        if elbow.size.od <= rules.one_piece_up_to {
            let bend = choose(rules.smallest_tooth);
            let whole = Self { layers: layers.clone(), bend, outermost, straight, joined: 1 };
            if whole.fits(joined, shop) {
                return Some(whole);
            }
            let halves = Self { joined: 2, ..whole };
            if bend.units >= 3 && halves.fits(joined, shop) {
                return Some(halves);
            }
        }
        let bend = choose(rules.smallest_throat);
        Some(Self { layers, bend, outermost, straight, joined: 0 })
    }

    /// Whether every layer, with its straight ends, fits a roll in one piece, or each of its two
    /// parts does.
    fn fits(&self, joined: usize, shop: &Shop<'_>) -> bool {
        let count = self.layers.len();
        let (units, ends, welds) = if self.joined == 2 {
            (i64::from(self.bend.units) * 2 / 3 + 2, i64::from(joined > 0), 1)
        } else {
            (i64::from(self.bend.units), i64::try_from(joined).unwrap_or(2), 2)
        };
        let reach = self.reach(shop.rules);
        self.layers.iter().zip(reach).enumerate().all(|(i, (layer, reach))| {
            let straight = reach * ends + self.straight * welds;
            let width = self.half_gore(layer) * (2 * units) + straight;
            let ring = Length::from_mm_f64_up(layer.stretch_out()).unwrap_or(Length::LIMIT);
            let flat = Flat::rectangle(width, ring + shop.lap(i, count));
            shop.takes(layer.thickness, &flat, &shop.wrap_turns(&flat))
        })
    }

    /// How far each layer reaches beyond a weld plane where it meets a run: a stagger for each
    /// layer outside it; where the bend leaves no room, as much more as the throat is cut back,
    /// and a smallest throat.
    pub fn reach(&self, rules: &Rules) -> Vec<Length> {
        let cut = self.bend.cut_back(self.outermost);
        let more = if cut > 0.0 {
            let cut = Length::from_mm_f64_up(cut).unwrap_or(Length::LIMIT);
            (cut + rules.elbow.smallest_throat).round_up_to(rules.resolution.cut)
        } else {
            Length::ZERO
        };
        let mut reach: Vec<Length> =
            (0_i64..).zip(&self.layers).map(|(i, _)| rules.joints.stagger * i + more).collect();
        reach.reverse();
        reach
    }

    /// Whether loose gores of a layer have no waist that would hold, so that their seams lie at the throat: it has no
    /// width there, or less than the rule, since the bend is followed all the same.
    fn runs_to_a_point(&self, layer: &Layer, rules: &Rules) -> bool {
        let throat = self.bend.throat(layer.mid_radius());
        let followed = rules.elbow.gores.is_none() && self.bend.units > self.bend.fewest();
        throat <= 0.0 || (followed && throat < rules.elbow.smallest_throat.mm_f64())
    }

    /// The half-width of a whole gore at the heel.
    pub fn half_gore(&self, layer: &Layer) -> Length {
        let width = (self.bend.radius + layer.mid_radius()) * libm::tan(self.bend.unit() / 2.0);
        Length::from_mm_f64_up(width).unwrap_or(Length::LIMIT)
    }
}

/// The pieces of an elbow of which `joined` sides (0 to 2) meet a run.
pub fn kit(elbow: &Elbow, build: &Build, joined: usize, shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    let Some(plan) = Plan::new(elbow, build, joined, shop) else { return kit };
    if !remark_on_bend(&mut kit, elbow, &plan, joined, shop) {
        return kit;
    }
    let reach = plan.reach(shop.rules);
    let mut stacked_seams = shop.rules.elbow.seam == Seam::Alternate && plan.layers.len() > 1;
    let Some(parts) = sectors(&mut kit, &plan, shop) else { return kit };
    let mut pieces_before = false;
    let (mut turned_before, mut cut_at_throat, mut narrow_throats) = (None, false, false);
    let mut ends_at: Vec<Vec<Angle>> = Vec::new();
    // Where the bend leaves no room at the throat, none is left beside it either.
    let room = plan.straight.is_positive() && plan.bend.cut_back(plan.outermost) <= 0.0;
    let own = room.then_some(plan.straight);
    for (i, (layer, &reach)) in plan.layers.iter().zip(&reach).enumerate() {
        let outer = plan.layers.len() - 1 - i;
        let ends = [0, 1].map(|end| if end < joined { Some(reach + plan.straight) } else { own });
        let gores = plan.bend.gores(Arrangement::of_layer(outer), ends);
        let pointed = plan.runs_to_a_point(layer, shop.rules);
        let lap = shop.lap(i, plan.layers.len());
        let straight = plan.straight;
        let work = Work { i, outer, layer, shop, gores: &gores, lap, straight, pointed };
        let flat = BendLayer::new(plan.bend, layer, parts, shop.rules.elbow.chord_error).and_then(
            |flat| {
                let turned = work.turned(parts);
                let above = turned_before.replace(turned) == Some(turned);
                cut_at_throat |= above && flat.vanishes();
                narrow_throats |= above && pointed && plan.joined == 0 && !flat.vanishes();
                work.lay(&flat, &mut kit, plan.joined, parts)
            },
        );
        match flat {
            Ok(one_piece) => {
                stacked_seams |= one_piece && pieces_before;
                pieces_before = one_piece;
                ends_at.push(if one_piece { vec![Angle::ZERO] } else { work.seams_at_ends(parts) });
            }
            Err(error) => kit.no_pattern(error),
        }
    }
    if joined > 0 {
        remark_on_runs(&mut kit, &plan, &ends_at, shop);
    }
    if stacked_seams {
        kit.remark(
            &codes::ELBOW_SEAMS,
            "the seams of neighbouring layers of this elbow lie above each other",
            "nothing to do; the rules can have small elbows gored, too (elbow.one_piece_up_to)",
        );
    }
    if narrow_throats && !stacked_seams {
        kit.remark(
            &codes::ELBOW_SEAMS,
            "gores of outer layers are narrower than elbow.smallest_throat at the throat, so their seams lie there, above \
             each other",
            "nothing to do, or raise elbow.tolerance in rules.toml, so that gores are fewer and wider",
        );
    }
    if cut_at_throat && parts > 1 && !stacked_seams {
        kit.remark(
            &codes::ELBOW_SEAMS,
            "gores begin and end at the throat, where they have no width, so the seams of their parts round lie above \
             each other in neighbouring layers",
            "nothing to do, or raise the pull limit, so that a gore is in one part",
        );
    }
    let throat = shop.rules.elbow.smallest_throat;
    let narrowest = kit.parts.iter().map(|part| part.flat.width).min();
    if let Some(width) = narrowest.filter(|width| *width < throat) {
        kit.remark(
            &codes::SMALL_PIECE,
            format!(
                "a piece of this bend is only {} mm wide at the heel",
                width.round_up_to(Length::from_nm(100_000))
            ),
            "nothing to do, or cover the bend with its neighbours' pieces, mitred where they meet",
        );
    }
    kit
}

/// Into how many pieces the rings of all layers are cut.
fn sectors(kit: &mut Kit, plan: &Plan, shop: &Shop<'_>) -> Option<u32> {
    let count = plan.layers.len();
    plan.layers.iter().enumerate().try_fold(1, |parts, (i, layer)| {
        shop.ring_of(kit, layer, i, count, parts).map(|ring| parts.max(ring.parts))
    })
}

/// Laying one layer.
struct Work<'a> {
    i: usize,
    outer: usize,
    layer: &'a Layer,
    shop: &'a Shop<'a>,
    gores: &'a [Gore],
    lap: Length,
    /// What of its straight ends lies before the weld.
    straight: Length,
    /// Its gores run to a point at the throat, or nearly.
    pointed: bool,
}

impl Work<'_> {
    /// Adds the layer's pieces; tells whether their seams all lie at the throat.
    fn lay(
        &self,
        flat: &BendLayer,
        kit: &mut Kit,
        joined: usize,
        parts: u32,
    ) -> Result<bool, PatternError> {
        let rules = &self.shop.rules.elbow;
        if parts == 1 && joined > 0 {
            let (first, second) = self.gores.split_at(parted_at(self.gores.len(), self.outer));
            let pieces = if joined == 1 { vec![self.gores] } else { vec![first, second] };
            let shaped: Vec<(&[Gore], Flat)> = pieces
                .into_iter()
                .map(|gores| Ok((gores, flat.one_piece(gores, rules.bridge, self.lap)?)))
                .collect::<Result<_, PatternError>>()?;
            let fits = |piece: &Flat| {
                self.shop.takes(self.layer.thickness, piece, &self.shop.wrap_turns(piece))
            };
            if shaped.iter().all(|(_, piece)| fits(piece)) {
                for (n, (gores, piece)) in (1..).zip(shaped) {
                    let of = match joined {
                        1 => "elbow in one piece".to_owned(),
                        _ => format!("elbow in two parts, part {n}"),
                    };
                    let name = format!("{of}{}", self.beyond_welds(gores));
                    let darts = if gores.len() > 1 { "close the darts, " } else { "" };
                    let along = piece.width;
                    let note = format!("{darts}seam at the throat");
                    self.add(kit, name, piece, (1, along), &note);
                }
                return Ok(true);
            }
        }
        for (g, gore) in self.gores.iter().enumerate() {
            let seam = self.seam(g, parts);
            let place = match seam {
                SeamAt::Throat => "seam at the throat",
                SeamAt::Heel => "seam at the heel",
                SeamAt::Between => "no seam at throat and heel",
            };
            let gore = gore.canonical();
            let kind = match (gore.first, gore.second) {
                (Edge::Square(reach), _) if reach > self.straight => {
                    format!("end gore with {reach} {STRAIGHT}")
                }
                (Edge::Square(_), _) => "half gore".to_owned(),
                _ if gore.is_next_to_end() => "gore next to the end".to_owned(),
                _ => "gore".to_owned(),
            };
            let name = format!("{kind}, {place}");
            let pieces = flat.gore(&gore, seam, self.lap)?;
            let count = pieces.len();
            let along = pieces.iter().map(|piece| piece.width).max().unwrap_or_default();
            for (sector, piece) in pieces.into_iter().enumerate() {
                let name = if count > 1 {
                    format!("{name}, part {} of {count} round", sector + 1)
                } else {
                    name.clone()
                };
                // Of its two mitres the lesser one, whose edge bends less, meets the end gore.
                let next = gore.is_next_to_end();
                let way = if next { ", straighter edge to the end gore" } else { "" };
                let rings = u64::from(sector == 0);
                self.add(kit, name, piece, (rings, along), &format!("{place}{way}"));
            }
        }
        Ok(false)
    }

    /// Where the seam of the `g`-th gore lies, or a seam where it has so many parts round.
    fn seam(&self, g: usize, parts: u32) -> SeamAt {
        let rule = self.shop.rules.elbow.seam;
        let turn = if rule == Seam::Alternate { self.outer + g } else { self.outer };
        match (rule, turn.is_multiple_of(2)) {
            _ if self.pointed => SeamAt::Throat,
            (_, false) if parts.is_multiple_of(2) => SeamAt::Between,
            (Seam::Heel, true) | (Seam::Throat | Seam::Alternate, false) => SeamAt::Heel,
            _ => SeamAt::Throat,
        }
    }

    /// Where the seams of its end gores lie, as angles from the throat.
    fn seams_at_ends(&self, parts: u32) -> Vec<Angle> {
        let pitch = FULL / i64::from(parts.max(1));
        let ends = [0, self.gores.len().saturating_sub(1)];
        let of = |g: usize| {
            let first = match self.seam(g, parts) {
                SeamAt::Throat => 0,
                SeamAt::Heel => FULL / 2,
                SeamAt::Between => seams::half_pitch(parts),
            };
            (0..i64::from(parts)).map(move |k| Angle::from_microdegrees((first + k * pitch) % FULL))
        };
        ends.into_iter().flat_map(of).collect()
    }

    /// Whether the seams of the layer's first gore, cut into so many parts round, lie half a part away from those
    /// that begin at the throat.
    fn turned(&self, parts: u32) -> bool {
        match self.seam(0, parts) {
            SeamAt::Throat => false,
            SeamAt::Heel => !parts.is_multiple_of(2),
            SeamAt::Between => true,
        }
    }

    /// The straight ends of an elbow in one piece that reach beyond the welds, in words.
    fn beyond_welds(&self, gores: &[Gore]) -> String {
        let reach = |edge: Option<Edge>| match edge {
            Some(Edge::Square(reach)) if reach > self.straight => Some(reach),
            _ => None,
        };
        let ends = [reach(gores.first().map(|g| g.first)), reach(gores.last().map(|g| g.second))];
        match ends {
            [Some(a), Some(b)] if a == b => format!(" with {a} {STRAIGHT} at both ends"),
            [Some(a), None] | [None, Some(a)] => format!(" with {a} {STRAIGHT} at one end"),
            [Some(a), Some(b)] => format!(" with {a} and {b} {STRAIGHT} at its ends"),
            [None, None] => String::new(),
        }
    }

    fn add(&self, kit: &mut Kit, name: String, flat: Flat, rings: (u64, Length), note: &str) {
        let part = Part {
            layer: number(self.i),
            name,
            thickness: self.layer.thickness,
            turns: self.shop.wrap_turns(&flat),
            flat,
            count: 1,
        };
        kit.put(self.shop, part, rings, Vec::new(), note);
    }
}

/// Before which of its gores a layer in two parts is parted: a third of the way along in the
/// outermost layer and every second one beneath, two thirds in the others, at least one gore from
/// either end.
fn parted_at(gores: usize, outer: usize) -> usize {
    let third = if outer.is_multiple_of(2) { (gores + 1) / 3 } else { gores - gores / 3 };
    third.clamp(1, gores.saturating_sub(1).max(1)).min(gores)
}

fn parts(units: u32) -> String {
    if units == 1 { "one plain mitre".to_owned() } else { format!("{units} parts") }
}

/// Says that seams of the bend and of the runs over its straight ends may come closer than the stagger: where they
/// do for one of the four ways in which a bend turns, level or upright, seen along the run.
fn remark_on_runs(kit: &mut Kit, plan: &Plan, ends_at: &[Vec<Angle>], shop: &Shop<'_>) {
    let joints = &shop.rules.joints;
    let layers = &plan.layers;
    let turns = vec![1; layers.len()];
    let too_close = |first: Angle| {
        let runs = seams_from(layers, &turns, first, shop);
        ends_at.iter().zip(runs.iter().zip(layers).skip(1)).any(|(bend, (run, layer))| {
            (0..4).any(|quarter| {
                let turned = |at: &Angle| {
                    let turn = at.microdegrees() + quarter * (FULL / 4);
                    Angle::from_microdegrees(turn % FULL)
                };
                let bend: Vec<Angle> = bend.iter().map(turned).collect();
                seams::apart(&bend, &run.at, layer.under) < joints.stagger
            })
        })
    };
    if !too_close(joints.first_seam) {
        return;
    }
    let on_site =
        "turn these layers of the run, or of the bend, on site where seams come too close";
    let (also, remedy) = if too_close(Angle::from_degrees(45)) {
        (", also if these begin at 45 degrees", on_site.to_owned())
    } else {
        let apart = "with joints.first_seam = 45 they are apart whichever of these ways it turns";
        ("", format!("{apart}; else {on_site}"))
    };
    kit.remark(
        &codes::SEAMS_AT_BENDS,
        format!(
            "which way this bend turns is not known, and turned to some side, up or down, the seams of its straight \
             ends lie closer than the stagger to those of the run's next layers{also}"
        ),
        remedy,
    );
    for step in &mut kit.steps {
        let covered =
            |part: &Part| part.layer < number(layers.len() - 1) && part.name.contains(STRAIGHT);
        if kit.parts.get(step.part).is_some_and(covered) {
            step.note.push_str("; keep it clear of the seam in the run's next layer");
        }
    }
}

/// What is to be said about how the gores follow the bend; whether it can be insulated at all.
fn remark_on_bend(
    kit: &mut Kit,
    elbow: &Elbow,
    plan: &Plan,
    joined: usize,
    shop: &Shop<'_>,
) -> bool {
    let rules = &shop.rules.elbow;
    let cut = plan.bend.cut_back(plan.outermost);
    if cut > 0.0 {
        if elbow.angle > Angle::from_degrees(150) {
            kit.remark(
                &codes::SHAPE,
                "the covers of the bend's two legs run into each other along their whole length",
                "insulate both legs together as one duct, or measure the radius again",
            );
            return false;
        }
        let done = if joined == 2 {
            "its ends are cut back there".to_owned()
        } else {
            let cut = libm::ceil(cut);
            format!("notch the neighbouring covers there by {cut:.0} mm where no run is named")
        };
        kit.remark(
            &codes::THICK_BEND,
            format!(
                "the insulation is thicker than the bend leaves room for at the throat; {done}"
            ),
            "look at the elbow on site, or choose a thinner build",
        );
    }
    let stand_off = plan.bend.heel_stand_off(plan.outermost);
    if stand_off > rules.tolerance.mm_f64() {
        let given = rules.gores.is_some();
        let throats =
            if plan.joined > 0 { "elbow.smallest_tooth" } else { "elbow.smallest_throat" };
        kit.remark(
            &codes::STAND_OFF,
            format!(
                "with the bend in {} the heel of its outermost layer stands off it by {stand_off:.1} mm, and \
                 elbow.tolerance is {} mm",
                parts(plan.bend.units),
                rules.tolerance
            ),
            if given {
                "raise elbow.gores in rules.toml, or leave it out; or fill the hollow at the heel on site".to_owned()
            } else {
                format!(
                    "lower {throats}, or write elbow.gores, in rules.toml for more and narrower gores; or fill the \
                     hollow at the heel on site"
                )
            },
        );
    }
    true
}

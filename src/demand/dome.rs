//! Dished ends and pipe caps: petals, with a crown disc where they are large.
//!
//! * Number of petals: even, the same in all layers, and as many as make a petal fit the roll, but at
//!   least twelve, or eight where the rim's radius is 300 mm or less; the rule `[head] petals` may give
//!   another least number. A petal's edge is longer than the meridian it follows by up to
//!   `(pi / M)^2 / 2`: 3.4 per cent with twelve, 7.7 with eight, which blanket takes up (derived; the
//!   limits are common practice, no source). Layers turn by half a petal.
//! * Where the rim's radius is beyond 300 mm a crown disc replaces the tips, so large that a petal
//!   begins no narrower than the smallest piece. Below that the petals run to a point, unless crown
//!   discs keep the stagger.
//! * Stagger `s` of several layers: every second layer's crown is larger, by `s` at least, and so large
//!   that there, where seams of both layers begin, half a petal is as wide as `s`: `pi rho / M >= s`.
//!   A crown disc goes no further than three quarters of the way to the tangent line (common practice, no
//!   source), and its edge is at most 8 per cent longer than the circle on which it comes to lie. Where
//!   `M` petals cannot keep the stagger, fewer are tried, down to eight; where none can, the pattern that
//!   comes nearest is taken, and it is said.
//! * A cap on pipe that has its elbows in one piece is cut in one piece, too, if all its layers can be:
//!   eight petals that stay joined at the crown, a quarter of the meridian in radius.
//! * A flat end gets a disc a layer, all as wide as the shell with every layer on: they lie on one another
//!   over the ends of all the shell's layers, which stop at one height, and no gap is left under a rim.

use super::flat::Round;
use super::kit::{Kit, Part, number};
use super::shop::Shop;
use crate::finding::codes::demand as codes;
use crate::pattern::dome::Meridian;
use crate::pattern::wrap::Layer;
use crate::pattern::{Flat, PatternError};
use crate::takeoff::{Build, Cap, Head, HeadForm};
use crate::units::Length;
use std::f64::consts::PI;

/// The fewest petals with a crown disc and without, where the rules give none.
const LEAST_PETALS: (u32, u32) = (12, 8);
/// The fewest that are tried to keep the stagger, where the rules give none.
const FEWEST_PETALS: u32 = 8;
/// The most.
const MOST_PETALS: u32 = 200;
/// Petals of a one-piece cap.
const CAP_PETALS: u32 = 8;
/// Rim radius from which there is a crown disc, mm.
const CROWN_FROM: f64 = 300.0;
/// How far towards the tangent line a crown disc goes at most.
const CROWN_TO: f64 = 0.75;
/// How much longer than the circle under it a crown disc's edge may be: as much as eight petals' edges.
const CROWN_EDGE: f64 = 1.08;

/// How many petals a vessel's end is cut into; `None` where it has none.
pub fn petals_of_head(head: &Head, build: &Build, shop: &Shop<'_>) -> Option<u32> {
    made_head(head, build, shop).1
}

/// How many petals a cap is cut into; `None` where it is one piece.
pub fn petals_of_cap(cap: &Cap, build: &Build, shop: &Shop<'_>) -> Option<u32> {
    made_cap(cap, build, shop).1
}

/// The pieces of a vessel's end.
pub fn head(head: &Head, build: &Build, shop: &Shop<'_>) -> Kit {
    made_head(head, build, shop).0
}

/// The same, and how many petals it has.
fn made_head(head: &Head, build: &Build, shop: &Shop<'_>) -> (Kit, Option<u32>) {
    let mut kit = Kit::default();
    let layers = Layer::stack(head.diameter, build, &shop.rules.wrap);
    super::welds::remark_on_welds(&mut kit, layers.len(), shop);
    let radius = head.diameter.mm_f64() / 2.0;
    let over = layers.last().map_or(head.diameter, Layer::over);
    let mut dome = Dome { layers: Vec::new(), shop };
    for (i, layer) in layers.iter().enumerate() {
        let a = layer.mid_radius();
        let off = a - radius;
        let meridian = match head.form {
            HeadForm::Ellipsoidal => Meridian::beside_ellipsoid(radius, radius / 2.0, off),
            HeadForm::Hemispherical => Meridian::hemisphere(a),
            HeadForm::Torispherical(crown, knuckle) => {
                Meridian::torisphere(a, crown.mm_f64() + off, knuckle.mm_f64() + off)
            }
            HeadForm::Flat => {
                let round = Round {
                    thickness: layer.thickness,
                    outside: over,
                    inside: Length::ZERO,
                    turned: i % 2 == 1,
                    what: "",
                    do_to: |_| "over the ends of all the shell's layers",
                };
                round.put(&mut kit, shop, i, 1);
                continue;
            }
        };
        dome.add(layer, &meridian);
    }
    let petals = dome.petals(&mut kit);
    (kit, petals)
}

/// The pieces of a pipe cap: a 2:1 ellipsoid on a straight skirt of `E - OD/4`.
pub fn cap(cap: &Cap, build: &Build, shop: &Shop<'_>) -> Kit {
    made_cap(cap, build, shop).0
}

/// The same, and how many petals it has.
fn made_cap(cap: &Cap, build: &Build, shop: &Shop<'_>) -> (Kit, Option<u32>) {
    let mut kit = Kit::default();
    let layers = Layer::stack(cap.size.od, build, &shop.rules.wrap);
    super::welds::remark_on_welds(&mut kit, layers.len(), shop);
    let radius = cap.size.od.mm_f64() / 2.0;
    let skirt = cap.length.mm_f64() - radius / 2.0;
    let mut dome = Dome { layers: Vec::new(), shop };
    for layer in &layers {
        let off = layer.mid_radius() - radius;
        let dished = Meridian::beside_ellipsoid(radius, radius / 2.0, off);
        dome.add(layer, &dished.with_skirt(skirt));
    }
    let small = cap.size.od <= shop.rules.elbow.one_piece_up_to;
    let whole = small && dome.one_piece(&mut kit);
    let petals = if whole { None } else { dome.petals(&mut kit) };
    (kit, petals)
}

/// A dome's layer.
struct Shell {
    thickness: Length,
    /// Its mid-surface.
    meridian: Meridian,
    /// Round the axis as long as the wrap factor says.
    stretched: Meridian,
}

/// All layers of a dome.
struct Dome<'a> {
    layers: Vec<Shell>,
    shop: &'a Shop<'a>,
}

/// One way to cut it.
struct Pattern {
    /// Petals of every layer.
    petals: u32,
    /// Radius of the crown discs of the first, third and further layers, and of those between, mm;
    /// nothing where petals run to a point.
    crowns: [f64; 2],
    /// One petal of each layer.
    flats: Vec<Flat>,
    /// The least distance between joints of neighbouring layers, mm.
    kept: f64,
}

impl Dome<'_> {
    fn add(&mut self, layer: &Layer, meridian: &Meridian) {
        let ratio = layer.wrap_radius() / layer.mid_radius();
        self.layers.push(Shell {
            thickness: layer.thickness,
            meridian: meridian.clone(),
            stretched: meridian.clone().stretched(ratio),
        });
    }

    fn part(&self, i: usize, name: String, flat: Flat, count: u64) -> Part {
        let (turns, thickness) = (Shop::flat_turns(), self.layers[i].thickness);
        Part { layer: number(i), name, thickness, flat, turns, count }
    }

    fn error(&self) -> f64 {
        self.shop.rules.elbow.chord_error.mm_f64()
    }

    /// The stagger to be kept, mm; nothing where there is one layer.
    fn stagger(&self) -> f64 {
        if self.layers.len() > 1 { self.shop.rules.joints.stagger.mm_f64() } else { 0.0 }
    }

    /// Half a petal at an arc from the pole, on the innermost layer, where it is narrowest.
    fn half(&self, petals: u32, arc: f64) -> f64 {
        let radius = self.layers.first().map_or(0.0, |layer| layer.meridian.radius_at(arc));
        PI * radius / f64::from(petals)
    }

    /// Adds all petals of each layer in one piece, if they fit.
    fn one_piece(&self, kit: &mut Kit) -> bool {
        let flat = |layer: &Shell| {
            let crown = layer.meridian.length() / 4.0;
            let flat = layer.stretched.rosette(CAP_PETALS, crown, self.error()).ok()?;
            self.shop.takes(layer.thickness, &flat, &Shop::flat_turns()).then_some(flat)
        };
        let Some(flats) = self.layers.iter().map(flat).collect::<Option<Vec<Flat>>>() else {
            return false;
        };
        for (i, flat) in flats.into_iter().enumerate() {
            let part = self.part(i, "cap in one piece".to_owned(), flat, 1);
            kit.put_on(self.shop, part, turned(i, "close the darts"));
        }
        let rim = self.layers.first().map_or(0.0, |layer| layer.meridian.length());
        let kept = self.half(CAP_PETALS, rim);
        if kept < self.stagger() {
            let what = format!(
                "the darts of its layers, cut in one piece each, are {kept:.0} mm apart at the rim; the rule \
                 of {} mm cannot be kept",
                self.shop.rules.joints.stagger
            );
            let remedy = "nothing to do where the specification allows it; larger than \
                          elbow.one_piece_up_to it is cut in petals";
            kit.remark(&codes::HEAD_STAGGER, what, remedy);
        }
        true
    }

    /// Adds petals and crown discs of all layers; how many petals each has.
    fn petals(&self, kit: &mut Kit) -> Option<u32> {
        for (i, layer) in self.layers.iter().enumerate() {
            if self.shop.rooms(layer.thickness).is_empty() {
                self.shop.no_roll(kit, layer.thickness, i);
                return None;
            }
        }
        let first = self.layers.first()?;
        let crowned = first.stretched.rim() > CROWN_FROM;
        let given = self.shop.rules.head.petals.map(|petals| petals.next_multiple_of(2));
        let (large, small) = LEAST_PETALS;
        let least = given.unwrap_or(if crowned { large } else { small });
        let fitting = (least..=MOST_PETALS)
            .step_by(2)
            .find_map(|petals| self.pattern(petals, crowned).transpose());
        let Some(result) = fitting else {
            self.too_large(kit, crowned);
            return None;
        };
        let plain = kit.take(result)?;
        let pattern = self.staggered(plain, given.unwrap_or(FEWEST_PETALS), crowned);
        self.remark(kit, &pattern);
        let petals = pattern.petals;
        for (i, flat) in pattern.flats.into_iter().enumerate() {
            let part = self.part(i, format!("petal, one of {petals}"), flat, u64::from(petals));
            kit.put_on(self.shop, part, turned(i, "from the rim to the crown"));
            let crown = Length::from_mm_f64_up(pattern.crowns[i % 2]);
            if let Some(radius) = crown.filter(|radius| radius.is_positive()) {
                let (thickness, inside) = (self.layers[i].thickness, Length::ZERO);
                let (outside, turned) = (radius * 2, i % 2 == 1);
                let what = "crown disc";
                let round = Round { thickness, outside, inside, turned, what, do_to: |_| "" };
                round.put(kit, self.shop, i, 1);
            }
        }
        Some(petals)
    }

    /// The pattern of so many petals, with a crown disc or without; nothing where a petal fits no roll.
    fn pattern(&self, petals: u32, crowned: bool) -> Result<Option<Pattern>, PatternError> {
        let crowns = if crowned { self.crowns(petals) } else { [0.0; 2] };
        let mut flats = Vec::with_capacity(self.layers.len());
        for (i, layer) in self.layers.iter().enumerate() {
            let flat = layer.stretched.petal(petals, crowns[i % 2], self.error())?;
            if !self.shop.takes(layer.thickness, &flat, &Shop::flat_turns()) {
                return Ok(None);
            }
            flats.push(flat);
        }
        let kept = (crowns[1] - crowns[0]).min(self.half(petals, crowns[1]));
        Ok(Some(Pattern { petals, crowns, flats, kept }))
    }

    /// The radii of the crown discs of two neighbouring layers.
    fn crowns(&self, petals: u32) -> [f64; 2] {
        let Some(first) = self.layers.first() else { return [0.0; 2] };
        let (many, stagger) = (f64::from(petals), self.stagger());
        let smallest = many * self.shop.rules.joints.smallest_piece.mm_f64() / (2.0 * PI);
        let wide = first.meridian.arc_to(stagger * many / PI);
        let most = (first.meridian.tangent() * CROWN_TO).min(first.meridian.flat_to(CROWN_EDGE));
        let larger = (smallest + stagger).max(wide.unwrap_or(most)).min(most);
        [smallest.min(most), larger]
    }

    /// The pattern with most petals up to the plain one's that keeps the stagger; else, of those with
    /// crown discs, the one that comes nearest.
    fn staggered(&self, plain: Pattern, fewest: u32, crowned: bool) -> Pattern {
        let stagger = self.stagger();
        // A thousandth of a millimetre is what arithmetic may lose.
        let keeps = |pattern: &Pattern| pattern.kept + 1e-3 >= stagger;
        let mut best = plain;
        if keeps(&best) {
            return best;
        }
        for petals in (fewest..=best.petals).rev().filter(|petals| petals % 2 == 0) {
            let Ok(Some(other)) = self.pattern(petals, true) else { continue };
            if keeps(&other) {
                return other;
            }
            if crowned && other.kept > best.kept {
                best = other;
            }
        }
        best
    }

    /// Says where the stagger is not kept.
    fn remark(&self, kit: &mut Kit, pattern: &Pattern) {
        let (stagger, petals) = (self.stagger(), pattern.petals);
        if pattern.kept + 1e-3 >= stagger {
            return;
        }
        let Some(first) = self.layers.first() else { return };
        let rule = self.shop.rules.joints.stagger;
        let [small, large] = pattern.crowns;
        let what = if large > 0.0 {
            format!(
                "{petals} petals and crown discs of {small:.0} and {large:.0} mm radius leave {:.0} mm \
                 between joints of neighbouring layers; the rule of {rule} mm cannot be kept on this head",
                libm::floor(pattern.kept)
            )
        } else {
            let rim = self.half(petals, first.meridian.length());
            let near = first.meridian.arc_to(stagger * f64::from(petals) / PI);
            let where_to = near.filter(|_| rim >= stagger).map_or_else(
                || format!("are {:.0} mm apart at the rim and closer above it", libm::floor(rim)),
                |arc| format!("come closer within {:.0} mm of the crown", libm::ceil(arc)),
            );
            format!(
                "its {petals} petals run to a point in every layer, and seams of neighbouring layers \
                 {where_to}; the rule of {rule} mm cannot be kept"
            )
        };
        let remedy = "nothing to do where the specification allows it; else fewer petals ([head] petals) \
                      or a smaller stagger";
        kit.remark(&codes::HEAD_STAGGER, what, remedy);
    }

    fn too_large(&self, kit: &mut Kit, crowned: bool) {
        let fits = |(i, layer): (usize, &Shell)| {
            let crown = if crowned { self.crowns(MOST_PETALS)[i % 2] } else { 0.0 };
            let petal = layer.stretched.petal(MOST_PETALS, crown, self.error());
            petal.is_ok_and(|p| self.shop.takes(layer.thickness, &p, &Shop::flat_turns()))
        };
        let bad = self.layers.iter().enumerate().position(|layer| !fits(layer)).unwrap_or(0);
        let Some(layer) = self.layers.get(bad) else { return };
        kit.remark(
            &codes::TOO_LARGE,
            format!(
                "layer {}: a petal {:.0} mm long fits no roll of {} mm",
                bad + 1,
                layer.meridian.length(),
                layer.thickness
            ),
            self.shop.longer(layer.thickness),
        );
    }
}

/// What the crew should know about a layer.
fn turned(i: usize, first: &'static str) -> &'static str {
    if i == 0 { first } else { "joints half a petal from the layer beneath" }
}

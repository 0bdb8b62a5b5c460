//! Dished ends and pipe caps: petals, with a crown disc where they are large.
//!
//! * Number of petals: even, and as many as make a petal fit the roll, but at least twelve, or
//!   eight where the rim's radius is 300 mm or less. A petal's edge is longer than the meridian it
//!   follows by up to `(pi / M)^2 / 2`: 3.4 per cent with twelve, which blanket takes up (derived;
//!   the limits are common practice, no source). Layers turn by half a petal.
//! * Where the rim's radius is beyond 300 mm a crown disc replaces the tips, so large that a petal
//!   begins no narrower than the smallest piece; every second layer's crown is larger by the
//!   stagger. Below that the petals run to a point.
//! * A cap on pipe that has its elbows in one piece is cut in one piece, too: eight petals that
//!   stay joined at the crown, a quarter of the meridian in radius.
//! * A flat end gets a disc a layer, as wide as the shell with that layer on, so that each disc
//!   covers the edge of the shell's layer beneath.

use super::flat::Round;
use super::kit::{Kit, Part, number};
use super::shop::Shop;
use crate::finding::codes::demand as codes;
use crate::pattern::dome::Meridian;
use crate::pattern::wrap::Layer;
use crate::takeoff::{Build, Cap, Head, HeadForm};
use crate::units::Length;

/// The fewest petals with a crown disc and without.
const LEAST_PETALS: (u32, u32) = (12, 8);
/// The most.
const MOST_PETALS: u32 = 200;
/// Petals of a one-piece cap.
const CAP_PETALS: u32 = 8;
/// Rim radius from which there is a crown disc, mm.
const CROWN_FROM: f64 = 300.0;

/// The pieces of a vessel's end.
pub fn head(head: &Head, build: &Build, shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    let layers = Layer::stack(head.diameter, build, &shop.rules.wrap);
    if layers.len() > 1 {
        super::welds::remark_on_welds(&mut kit);
    }
    let radius = head.diameter.mm_f64() / 2.0;
    for (i, layer) in layers.iter().enumerate() {
        let a = layer.mid_radius();
        let off = a - radius;
        let meridian = match head.form {
            HeadForm::Ellipsoidal => Meridian::ellipsoid(a, radius / 2.0 + off),
            HeadForm::Hemispherical => Meridian::hemisphere(a),
            HeadForm::Torispherical(crown, knuckle) => {
                Meridian::torisphere(a, crown.mm_f64() + off, knuckle.mm_f64() + off)
            }
            HeadForm::Flat => {
                let round = Round {
                    thickness: layer.thickness,
                    outside: layer.over(),
                    inside: Length::ZERO,
                    what: "",
                };
                round.put(&mut kit, shop, i, 1);
                continue;
            }
        };
        Dome { i, layer, shop }.petals(&mut kit, meridian);
    }
    kit
}

/// The pieces of a pipe cap: a 2:1 ellipsoid on a straight skirt of `E - OD/4`.
pub fn cap(cap: &Cap, build: &Build, shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    let layers = Layer::stack(cap.size.od, build, &shop.rules.wrap);
    if layers.len() > 1 {
        super::welds::remark_on_welds(&mut kit);
    }
    let radius = cap.size.od.mm_f64() / 2.0;
    let skirt = cap.length.mm_f64() - radius / 2.0;
    let small = cap.size.od <= shop.rules.elbow.one_piece_up_to;
    for (i, layer) in layers.iter().enumerate() {
        let a = layer.mid_radius();
        let meridian = Meridian::ellipsoid(a, radius / 2.0 + a - radius).with_skirt(skirt);
        let dome = Dome { i, layer, shop };
        if !(small && dome.one_piece(&mut kit, &meridian)) {
            dome.petals(&mut kit, meridian);
        }
    }
    kit
}

struct Dome<'a> {
    i: usize,
    layer: &'a Layer,
    shop: &'a Shop<'a>,
}

impl Dome<'_> {
    fn part(&self, name: String, flat: crate::pattern::Flat, count: u64) -> Part {
        let turns = Shop::flat_turns();
        Part { layer: number(self.i), name, thickness: self.layer.thickness, flat, turns, count }
    }

    fn error(&self) -> f64 {
        self.shop.rules.elbow.chord_error.mm_f64()
    }

    /// Adds all petals in one piece, if it fits.
    fn one_piece(&self, kit: &mut Kit, meridian: &Meridian) -> bool {
        let stretched = meridian.clone().stretched(self.stretch());
        let crown = meridian.length() / 4.0;
        let Ok(flat) = stretched.rosette(CAP_PETALS, crown, self.error()) else { return false };
        if !self.shop.takes(self.layer.thickness, &flat, &Shop::flat_turns()) {
            return false;
        }
        let part = self.part("cap in one piece".to_owned(), flat, 1);
        kit.put_on(self.shop, part, self.turned("close the darts"));
        true
    }

    fn petals(&self, kit: &mut Kit, meridian: Meridian) {
        let t = self.layer.thickness;
        if self.shop.rooms(t).is_empty() {
            self.shop.no_roll(kit, t, self.i);
            return;
        }
        let meridian = meridian.stretched(self.stretch());
        let smallest = self.shop.rules.joints.smallest_piece.mm_f64();
        let stagger = self.shop.rules.joints.stagger.mm_f64();
        let crown = |petals: u32| {
            if meridian.rim() <= CROWN_FROM {
                return 0.0;
            }
            let least = f64::from(petals) * smallest / (2.0 * std::f64::consts::PI);
            let more = if self.i % 2 == 1 { stagger } else { 0.0 };
            (least + more).min(meridian.tangent() * 0.75)
        };
        let turns = Shop::flat_turns();
        let (large, small) = LEAST_PETALS;
        let least = if meridian.rim() > CROWN_FROM { large } else { small };
        let fitting = (least..=MOST_PETALS).step_by(2).find_map(|petals| {
            match meridian.petal(petals, crown(petals), self.error()) {
                Ok(flat) => self.shop.takes(t, &flat, &turns).then_some(Ok((petals, flat))),
                Err(error) => Some(Err(error)),
            }
        });
        let Some(result) = fitting else {
            kit.remark(
                &codes::TOO_LARGE,
                format!(
                    "layer {}: a petal {:.0} mm long fits no roll of {t} mm",
                    self.i + 1,
                    meridian.length()
                ),
                "offer a longer roll or raise the pull limit",
            );
            return;
        };
        let Some((petals, flat)) = kit.take(result) else { return };
        let part = self.part(format!("petal, one of {petals}"), flat, u64::from(petals));
        kit.put_on(self.shop, part, self.turned("from the rim to the crown"));
        if let Some(radius) = Length::from_mm_f64_up(crown(petals)).filter(|r| r.is_positive()) {
            let inside = Length::ZERO;
            let round = Round { thickness: t, outside: radius * 2, inside, what: "crown disc" };
            round.put(kit, self.shop, self.i, 1);
        }
    }

    /// Round the axis the piece is as long as the wrap factor says.
    fn stretch(&self) -> f64 {
        self.layer.wrap_radius() / self.layer.mid_radius()
    }

    fn turned(&self, first: &'static str) -> &'static str {
        if self.i == 0 { first } else { "joints half a petal from the layer beneath" }
    }
}

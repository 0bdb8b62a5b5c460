//! A bend's division into gores.
//!
//! Symbols: `R` bend radius at the centreline, `Theta` change of direction, `n` units,
//! `delta = Theta / n`, `r` mid-surface radius of a layer.
//!
//! A gore is a short cylinder that touches the bend's centreline at one point of contact; two
//! neighbours meet in the plane halfway between their points, through the bend's axis. From a
//! point of contact to that plane the gore's half-width at angle `phi` round the pipe (0 at the
//! heel, the outside of the bend) is `w = (R + r cos phi) tan(half)`, `half` the angle between
//! the two.
//!
//! Two arrangements, whose joints lie half a gore apart, are laid in turn, so that the joints of
//! neighbouring layers never meet:
//!
//! * [`Arrangement::HalfEnds`]: points of contact at `0, delta, .., Theta`: `n - 1` gores and at
//!   each end half a gore whose other edge is square and whose axis is the adjoining pipe's.
//!   The textbook's round elbow: pieces = `n + 1`, mitre angle `Theta / (2 pieces - 2)`
//!   (`BCcampus`, Pattern Development, round elbow).
//! * [`Arrangement::WholeEnds`]: points at `delta/2, 3 delta/2, ..`: `n` gores that end in the weld
//!   planes. Where the layer reaches into the adjoining pipe, a further point of contact lies in
//!   the weld plane: the plane between it and the first gore is at `delta/4`.
//!
//! `n` is the least for which the heel of the outermost layer stands off the true bend by at most
//! the tolerance, `(R + r)(1/cos(delta/2) - 1)`, but not so many that the throat, `2 (R - r)
//! tan(delta/2)`, gets narrower than the rule; never so few that a mitre is sharper than 45
//! degrees. Where a thick outermost layer has no room for that many, its gores run to a point at the throat, and the
//! throat of the innermost layer counts instead, if it has any. Where that is too narrow this ends in the
//! fewest: a plain mitre for 90 degrees, which is what crews build there (common practice, no
//! source).

use crate::rules::Elbows;
use crate::units::{Angle, Length};
use std::f64::consts::FRAC_PI_2;

/// A bend and the number of its units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bend {
    /// Bend radius at the centreline, mm.
    pub radius: f64,
    /// Change of direction, radians.
    pub angle: f64,
    /// Number of units, at least 1.
    pub units: u32,
}

/// How a layer's gores end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Arrangement {
    /// Half a gore at each end.
    HalfEnds,
    /// A whole gore at each end.
    WholeEnds,
}

impl Arrangement {
    /// The arrangement of a layer, counted from 0 at the outermost: that one has half ends, so
    /// that what is seen is in line with the pipes; the others alternate.
    #[must_use]
    pub const fn of_layer(from_outside: usize) -> Self {
        if from_outside.is_multiple_of(2) { Self::HalfEnds } else { Self::WholeEnds }
    }
}

/// One edge of a gore.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Edge {
    /// In a mitre plane, at this angle from the point of contact, radians.
    Mitre(f64),
    /// Square across, this far beyond the weld plane.
    Square(Length),
}

/// One gore: its edges towards the bend's first and second end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gore {
    /// Towards the first end.
    pub first: Edge,
    /// Towards the second end.
    pub second: Edge,
}

impl Gore {
    /// Whether it lies next to a gore that reaches into a run: of two mitres the lesser one comes first, and faces
    /// the bend's end.
    #[must_use]
    pub fn is_next_to_end(&self) -> bool {
        matches!((self.first, self.second), (Edge::Mitre(a), Edge::Mitre(b)) if a < b)
    }

    /// The same piece turned so that its square edge, or else its lesser mitre, comes first: gores from both
    /// ends of a bend compare equal.
    #[must_use]
    pub fn canonical(self) -> Self {
        let swapped = Self { first: self.second, second: self.first };
        match (self.first, self.second) {
            (_, Edge::Square(_)) => swapped,
            (Edge::Mitre(a), Edge::Mitre(b)) if a > b => swapped,
            _ => self,
        }
    }
}

impl Bend {
    /// Chooses the units for a bend whose innermost and outermost layers have these mid-surface radii; the throat
    /// gets no narrower than `throat`, that of outer layers only where the tolerance allows it.
    #[must_use]
    pub fn choose(
        radius: Length,
        angle: Angle,
        (innermost, outermost): (f64, f64),
        throat: Length,
        rules: &Elbows,
    ) -> Self {
        let radius = radius.mm_f64();
        let quarters = angle.degrees_f64() / 90.0;
        let angle = angle.radians_f64();
        let bend = |units| Self { radius, angle, units };
        let fewest = bend(1).fewest();
        if let Some(gores) = rules.gores {
            return bend(count_up(f64::from(gores) * quarters).max(fewest));
        }
        let most = MOST_UNITS.max(fewest);
        let tolerance = rules.tolerance.mm_f64();
        let throat = throat.mm_f64();
        let follows = |n: u32| bend(n).heel_stand_off(outermost) <= tolerance;
        let near = (fewest..most).find(|&n| follows(n)).unwrap_or(most);
        let wide = |r| (fewest..=near).rev().find(|&n| bend(n).throat(r) >= throat);
        let units = wide(outermost).filter(|&n| follows(n));
        // Where even the innermost layer has no width there, no number of gores makes them narrower.
        let pointed = (innermost >= radius).then_some(near);
        bend(units.or(pointed).or_else(|| wide(innermost)).unwrap_or(fewest))
    }

    /// The fewest units, of which no mitre is sharper than 45 degrees.
    #[must_use]
    pub fn fewest(&self) -> u32 {
        count_up(self.angle / FRAC_PI_2).max(1)
    }

    /// Angle of one unit, radians.
    #[must_use]
    pub fn unit(&self) -> f64 {
        self.angle / f64::from(self.units)
    }

    /// How far the gored heel stands off the true bend at most, mm.
    #[must_use]
    pub fn heel_stand_off(&self, r: f64) -> f64 {
        (self.radius + r) * (1.0 / libm::cos(self.unit() / 2.0) - 1.0)
    }

    /// Width of a whole gore at the throat, mm; negative where it vanishes.
    #[must_use]
    pub fn throat(&self, r: f64) -> f64 {
        2.0 * (self.radius - r) * libm::tan(self.unit() / 2.0)
    }

    /// How far the square ends of a layer thicker than the bend leaves room for are cut back at
    /// the throat, where the covers of the two pipes run into each other: `(r - R) tan(Theta/2)`,
    /// mm, nothing where there is room.
    #[must_use]
    pub fn cut_back(&self, r: f64) -> f64 {
        ((r - self.radius) * libm::tan(self.angle / 2.0)).max(0.0)
    }

    /// The gores of a layer from end to end; at each end, how far it reaches into the adjoining
    /// pipe, if it is joined to one.
    #[must_use]
    pub fn gores(&self, arrangement: Arrangement, reach: [Option<Length>; 2]) -> Vec<Gore> {
        let half = self.unit() / 2.0;
        let mitre = Edge::Mitre(half);
        let whole = Gore { first: mitre, second: mitre };
        let units = usize::try_from(self.units).unwrap_or(usize::MAX);
        match arrangement {
            Arrangement::HalfEnds => {
                let [first, second] = reach.map(|r| Edge::Square(r.unwrap_or(Length::ZERO)));
                let mut gores = vec![whole; units + 1];
                gores[0].first = first;
                gores[units].second = second;
                gores
            }
            Arrangement::WholeEnds => {
                let quarter = Edge::Mitre(half / 2.0);
                let mut gores = vec![whole; units];
                if let Some(length) = reach[0] {
                    gores[0].first = quarter;
                    gores.insert(0, Gore { first: Edge::Square(length), second: quarter });
                }
                if let Some(length) = reach[1] {
                    if let Some(last) = gores.last_mut() {
                        last.second = quarter;
                    }
                    gores.push(Gore { first: quarter, second: Edge::Square(length) });
                }
                gores
            }
        }
    }
}

/// More gores than anybody cuts.
const MOST_UNITS: u32 = 60;

/// Smallest whole number not less than `x`, free of floating-point noise.
#[expect(clippy::cast_possible_truncation, reason = "clamped to the range just before")]
#[expect(clippy::cast_sign_loss, reason = "clamped to the range just before")]
fn count_up(x: f64) -> u32 {
    libm::ceil(x - 1e-9).clamp(0.0, 1e6) as u32
}

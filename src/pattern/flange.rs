//! Lengths and shoulders of flange and valve covers.
//!
//! Symbols (mm): `tf` flange thickness, `g` gasket, `c_b` bolt clearance, `ov` overlap on the
//! pipe's insulation, `F2F` face to face, `Dins` diameter over the pipe's insulation, `Df` flange
//! diameter, `t` thickness of a shoulder's layers.
//!
//! * `c_b = stud + 25`: studs can be drawn without touching the pipe's insulation, which stops
//!   short of the flange by as much (25 to 30 mm beyond the stud: common practice, no source).
//! * `ov = max(insulation thickness, 50)` (insulation manual, sheet 1.3.10).
//! * Body: `2 (tf + c_b + ov) + g` for a pair, `F2F + 2 (tf + c_b + ov) + 2 g` for a valve; where the
//!   pipes on the two sides differ in thickness, `ov` is the larger, so that flanges and stem stay in the
//!   middle.
//! * Body of a pair with a blind, from the pipe to what sticks out of the blind:
//!   `2 tf + g + c_b + ov + p`, `p = (stud - 2 tf - g) / 2` the stud's end beyond the flange (a blind is as thick as its
//!   flange: ASME B16.5, from memory). Each layer reaches further by the thickness of the lid's layers beneath its own.
//! * Shoulder: `m = ceil((Db - Dins) / (2 t))` strips, `c_b + ov` wide, on each side build the
//!   pipe's insulation up to `Db`, the larger of `Df` and both sides' `Dins`; the body lies on the largest
//!   of `Db` and both sides' `Dins + 2 m t`.
//!
//! Source: derived from the practice named.

use crate::takeoff::{Bare, Flange, Valve};
use crate::units::Length;

/// Beyond the stud's length, so that it can be drawn; common practice, no source.
pub const DRAW: Length = Length::from_mm(25);
/// Least overlap on the pipe's insulation; insulation manual, sheet 1.3.10.
pub const LEAST_OVERLAP: Length = Length::from_mm(50);
/// Free distance round a bonnet's neck; common practice, no source.
pub const NECK: Length = Length::from_mm(5);

/// How far the pipe's insulation stops short of the flange.
#[must_use]
pub fn bolt_clearance(flange: &Flange) -> Length {
    flange.stud + DRAW
}

/// The cover of a pair of flanges or of a valve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cover {
    /// Length of the body along the pipe.
    pub body: Length,
    /// Diameter that the body lies on.
    pub under: Length,
    /// Its two ends; where it has a lid the second is none, and like the first.
    pub sides: [Side; 2],
    /// Whether a lid closes its second end, so that only the first lies on a pipe.
    pub lid: bool,
}

/// One end of a cover, with its shoulder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Side {
    /// Strips of the shoulder.
    pub shoulder_layers: u32,
    /// Width of the shoulder's strips.
    pub shoulder_width: Length,
    /// Diameter over the pipe's insulation.
    pub insulation: Length,
}

impl Cover {
    /// The cover of a pair; `pipes` is the thickness of the insulation of the pipe on each side,
    /// `strip` that of a shoulder's layers.
    #[must_use]
    pub fn of_flange(flange: &Flange, pipes: [Length; 2], strip: Length) -> Self {
        let pair = Self::new(flange, flange.gasket, pipes, strip);
        if flange.bare != Bare::Blind {
            return pair;
        }
        let flanges = flange.thickness * 2 + flange.gasket;
        let stud_end = Length::from_nm((flange.stud - flanges).max(Length::ZERO).nm() / 2);
        let body = flanges + pair.sides[0].shoulder_width + stud_end;
        Self { body, lid: true, ..pair }
    }

    /// Its ends that lie on a pipe.
    #[must_use]
    pub fn on_pipes(&self) -> &[Side] {
        if self.lid { &self.sides[..1] } else { &self.sides }
    }

    /// The cover of a valve with its flanges.
    #[must_use]
    pub fn of_valve(valve: &Valve, pipes: [Length; 2], strip: Length) -> Self {
        let between = valve.face_to_face + valve.flange.gasket * 2;
        Self::new(&valve.flange, between, pipes, strip)
    }

    fn new(flange: &Flange, between: Length, pipes: [Length; 2], strip: Length) -> Self {
        let over = |pipe: Length| flange.size.od + pipe * 2;
        let base = flange.diameter.max(over(pipes[0])).max(over(pipes[1]));
        let step = (strip * 2).nm().max(1);
        let overlap = pipes[0].max(pipes[1]).max(LEAST_OVERLAP);
        let side = flange.thickness + bolt_clearance(flange) + overlap;
        let mut under = base;
        let sides = pipes.map(|pipe| {
            let insulation = over(pipe);
            let layers = (base - insulation).round_up_to(Length::from_nm(step)).nm() / step;
            under = under.max(insulation + Length::from_nm(step) * layers);
            Side {
                shoulder_layers: u32::try_from(layers).unwrap_or(u32::MAX),
                shoulder_width: bolt_clearance(flange) + overlap,
                insulation,
            }
        });
        Self { body: side * 2 + between, under, sides, lid: false }
    }
}

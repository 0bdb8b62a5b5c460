//! Lengths and shoulders of flange and valve covers.
//!
//! Symbols (mm): `tf` flange thickness, `g` gasket, `c_b` bolt clearance, `ov` overlap on the
//! pipe's insulation, `F2F` face to face, `Dins` diameter over the pipe's insulation, `Df` flange
//! diameter, `t` thickness of a shoulder's layers.
//!
//! * `c_b = stud + 25`: studs can be drawn without touching the pipe's insulation, which stops
//!   short of the flange by as much (25 to 30 mm beyond the stud: common practice, no source).
//! * `ov = max(insulation thickness, 50)` (insulation manual, sheet 1.3.10).
//! * Body: `2 (tf + c_b + ov) + g` for a pair, `F2F + 2 (tf + c_b + ov) + 2 g` for a valve.
//! * Shoulder: `m = ceil((Df - Dins) / (2 t))` strips, `c_b + ov` wide, on each side build the
//!   pipe's insulation up to the flange; the body lies on the larger of `Df` and `Dins + 2 m t`.
//!
//! Source: derived from the practice named.

use crate::takeoff::{Flange, Valve};
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
    /// Strips of each shoulder.
    pub shoulder_layers: u32,
    /// Width of a shoulder's strips.
    pub shoulder_width: Length,
    /// Diameter over the pipe's insulation.
    pub insulation: Length,
}

impl Cover {
    /// The cover of a pair; `pipe` is the thickness of the pipe's insulation, `strip` that of a
    /// shoulder's layers.
    #[must_use]
    pub fn of_flange(flange: &Flange, pipe: Length, strip: Length) -> Self {
        Self::new(flange, flange.gasket, pipe, strip)
    }

    /// The cover of a valve with its flanges.
    #[must_use]
    pub fn of_valve(valve: &Valve, pipe: Length, strip: Length) -> Self {
        let between = valve.face_to_face + valve.flange.gasket * 2;
        Self::new(&valve.flange, between, pipe, strip)
    }

    fn new(flange: &Flange, between: Length, pipe: Length, strip: Length) -> Self {
        let overlap = pipe.max(LEAST_OVERLAP);
        let side = flange.thickness + bolt_clearance(flange) + overlap;
        let insulation = flange.size.od + pipe * 2;
        let missing = (flange.diameter - insulation).max(Length::ZERO);
        let step = (strip * 2).nm().max(1);
        let layers = missing.round_up_to(Length::from_nm(step)).nm() / step;
        let built = insulation + Length::from_nm(step) * layers;
        Self {
            body: side * 2 + between,
            under: built.max(flange.diameter),
            shoulder_layers: u32::try_from(layers).unwrap_or(u32::MAX),
            shoulder_width: bolt_clearance(flange) + overlap,
            insulation,
        }
    }
}

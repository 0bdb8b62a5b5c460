//! Layers round a pipe and their stretch-outs.
//!
//! Symbols (mm): `D0` bare outside diameter, `t_i` thickness of layer `i`, `Du_i` diameter under
//! it, `k` wrap factor of its thickness (0 inner face, 1/2 middle, 1 outer face).
//!
//! * `Du_i = D0 + 2 (t_1 + .. + t_(i-1))`: layers add up.
//! * `L_i = pi (Du_i + 2 k t_i)`: the circle whose length the flat piece keeps. With `k = 1/2` the
//!   piece's section `L t` equals the annulus `pi t (Du + t)` exactly, so the blanket is neither
//!   squeezed nor stretched on the whole.
//! * `N` turns of one piece: turn `j` lies on the `j - 1` turns beneath it, so the lengths are
//!   those of `N` layers, `L = pi N (D0 + (N - 1) t + 2 k t)`; with `k = 1/2` this is again the
//!   annulus over `t`. A smooth spiral, `pi N (D0 + t + N t)`, is about `pi N t` longer and serves
//!   as an upper bound only: blanket steps over its own starting edge, it does not rise evenly.
//!
//! Source: derived; the sum of circumferences is the handbook rule for stretch-outs.

use crate::rules::Wrap;
use crate::takeoff::Build;
use crate::units::{Decimal, Length};

/// One layer round a pipe.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Layer {
    /// Blanket thickness.
    pub thickness: Length,
    /// Diameter under the layer.
    pub under: Length,
    /// Wrap factor, 0 to 1.
    pub factor: Decimal,
}

impl Layer {
    /// All layers of a build round a pipe, from the inside out.
    #[must_use]
    pub fn stack(od: Length, build: &Build, wrap: &Wrap) -> Vec<Self> {
        let mut under = od;
        let lay = |&thickness: &Length| {
            let layer = Self { thickness, under, factor: wrap.factor_for(thickness) };
            under = layer.over();
            layer
        };
        build.layers().iter().map(lay).collect()
    }

    /// Diameter over the layer.
    #[must_use]
    pub fn over(&self) -> Length {
        self.under + self.thickness * 2
    }

    /// Radius of the mid-surface, mm.
    #[must_use]
    pub fn mid_radius(&self) -> f64 {
        f64::midpoint(self.under.mm_f64(), self.thickness.mm_f64())
    }

    /// Radius at which the flat length equals the circle's, mm.
    #[must_use]
    pub fn wrap_radius(&self) -> f64 {
        self.under.mm_f64() / 2.0 + self.factor.f64() * self.thickness.mm_f64()
    }

    /// The stretch-out, mm: how long the flat piece is that closes round the pipe.
    #[must_use]
    pub fn stretch_out(&self) -> f64 {
        2.0 * std::f64::consts::PI * self.wrap_radius()
    }
}

/// Length of one piece that goes round `turns` times, mm.
#[must_use]
pub fn turns_length(od: Length, thickness: Length, turns: u32, factor: Decimal) -> f64 {
    let (d, t, n) = (od.mm_f64(), thickness.mm_f64(), f64::from(turns));
    std::f64::consts::PI * n * (d + (n - 1.0) * t + 2.0 * factor.f64() * t)
}

/// Upper bound on [`turns_length`]: a spiral that rises evenly, mm.
#[must_use]
pub fn spiral_bound(od: Length, thickness: Length, turns: u32) -> f64 {
    let (d, t, n) = (od.mm_f64(), thickness.mm_f64(), f64::from(turns));
    std::f64::consts::PI * n * (d + t + n * t)
}

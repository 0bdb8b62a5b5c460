//! Flat patterns: what a round thing's cover looks like before it is bent round it.
//!
//! All shapes here are developments of the layer's **mid-surface** (radius `r = Du/2 + t/2`, with
//! `Du` the diameter under the layer and `t` its thickness), stretched around the pipe to the
//! length that the wrap factor `k` gives (`r_k = Du/2 + k t`): an angle `phi` round the pipe lies
//! at `y = r_k phi` on the flat piece, a length along the pipe at `x`. So `x` runs across the
//! roll and `y` along it, as a wrap laid square lies.
//!
//! Floating point lives here only; it goes through `libm`, so that every platform gives the same
//! bits, and ends in whole nanometres.
//!
//! One file a fitting:
//!
//! | file | what |
//! |---|---|
//! | [`wrap`] | layers, stretch-out, several turns from one piece |
//! | [`bend`] | where a bend's mitre planes lie and how many gores it has |
//! | [`gore`] | gores of an elbow, and the elbow in one piece |
//! | [`saddle`] | branch on a run: hole and saddle; `parted` has them in several pieces round |
//! | [`cone`] | reducers, concentric and eccentric |
//! | [`dome`] | dished ends and caps: petals, crown, rosette |
//! | [`disc`] | discs and rings, whole or divided |
//! | [`flange`] | lengths and shoulders of flange and valve covers |
//! | [`fit`] | the wrap factor from measured wraps |
//!
//! A curved piece bears [`Mark`]s: where it meets its neighbours, what its edges are, and what to
//! measure.

mod arc;
pub mod bend;
pub mod cone;
pub mod disc;
pub mod dome;
pub mod fit;
pub mod flange;
mod flat;
pub mod gore;
mod mark;
mod parted;
pub mod saddle;
pub mod wrap;

pub use flat::{Flat, PatternError};
pub use mark::{Mark, MarkKind};

#[cfg(test)]
mod tests;

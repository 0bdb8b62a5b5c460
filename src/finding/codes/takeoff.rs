//! Codes of findings on takeoff.

use super::Code;

/// All of them.
pub const ALL: &[&Code] = &[];

//! Codes of findings on plan.

use super::Code;

/// All of them.
pub const ALL: &[&Code] = &[];

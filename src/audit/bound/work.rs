//! How much a check may still take.

use super::{Trouble, Why};

/// Steps of inner loops that are left.
#[derive(Debug)]
pub(super) struct Work(u64);

impl Work {
    pub(super) const fn new(steps: u64) -> Self {
        Self(steps)
    }

    /// Takes so many steps off, each of so many parts; an error where they are not left.
    pub(super) fn spend(&mut self, steps: usize, parts: usize) -> Result<(), Trouble> {
        let all = (steps as u64).saturating_mul(parts as u64);
        self.0 = self.0.checked_sub(all).ok_or(Trouble::Unsure(Why::Long))?;
        Ok(())
    }
}

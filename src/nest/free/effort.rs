//! How hard to try, and when to stop.

/// Fits that are looked at in about a microsecond.
pub const LOOKS_PER_STEP: u64 = 400;

/// What laying a piece costs besides, in looks.
pub const LOOKS_PER_PIECE: u64 = 12;

/// How hard to try, and when to stop.
#[derive(Clone, Copy)]
pub struct Effort<'a> {
    /// Feeds the lots.
    pub seed: u64,
    /// Steps of about a microsecond.
    pub work: u64,
    /// Says no when it is time to stop.
    pub go_on: &'a (dyn Fn() -> bool + Sync),
}

/// Looks in a search's turn: about five milliseconds.
pub const TURN: u64 = 5000 * LOOKS_PER_STEP;

impl Effort<'_> {
    /// Looks in a turn of each of several searches: short where little work is allowed.
    pub fn turn(&self, searches: usize) -> u64 {
        TURN.min(self.work.saturating_mul(LOOKS_PER_STEP) / (20 * searches as u64) + 1)
    }
}

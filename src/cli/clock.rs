//! The engine's watch: stops it on Ctrl-C or when its time is up, and passes its news on.

use super::progress::Counter;
use super::stop::Stop;
use crate::forecast::Follow;
use crate::nest::{News, Watch};
use crate::units::Decimal;
use std::time::{Duration, Instant};

/// Watches one nest.
pub struct Clock<'a> {
    stop: &'a Stop,
    until: Option<Instant>,
    tell: &'a (dyn Fn(&News<'_>) + Sync),
}

impl<'a> Clock<'a> {
    /// A clock that starts now and gives so many seconds, or any number.
    pub fn start(
        seconds: Option<Decimal>,
        stop: &'a Stop,
        tell: &'a (dyn Fn(&News<'_>) + Sync),
    ) -> Self {
        let until = seconds
            .and_then(|s| u64::try_from(s.millionths()).ok())
            .and_then(|micros| Instant::now().checked_add(Duration::from_micros(micros)));
        Self { stop, until, tell }
    }
}

impl Watch for Clock<'_> {
    fn stop(&self) -> bool {
        self.stop.asked() || self.until.is_some_and(|until| Instant::now() >= until)
    }

    fn news(&self, news: &News<'_>) {
        (self.tell)(news);
    }
}

/// Watches a simulation: Ctrl-C stops it, and jobs that are done are counted.
pub struct Simulation<'a> {
    /// Whether somebody has asked to stop.
    pub stop: &'a Stop,
    /// Counts.
    pub counter: &'a Counter,
}

impl Watch for Simulation<'_> {
    fn stop(&self) -> bool {
        self.stop.asked()
    }

    fn news(&self, _: &News<'_>) {}
}

impl Follow for Simulation<'_> {
    fn sampled(&self) {
        self.counter.one_more();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn time_and_ctrl_c_both_stop() {
        let stop = Stop::default();
        let quiet = |_: &News<'_>| {};
        assert!(Clock::start(Some(Decimal::ZERO), &stop, &quiet).stop());
        let endless = Clock::start(None, &stop, &quiet);
        assert!(!endless.stop());
        assert!(!Clock::start(Some(Decimal::from_millionths(3_600_000_000)), &stop, &quiet).stop());
        assert!(stop.ask());
        assert!(endless.stop());
    }
}

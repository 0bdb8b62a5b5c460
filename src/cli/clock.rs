//! The engine's watch: stops it on Ctrl-C or when its time is up, and passes its news on.

use super::progress::Counter;
use super::stop::Stop;
use crate::forecast::Follow;
use crate::nest::{News, Watch};
use crate::units::Decimal;
use std::time::{Duration, Instant};

/// What somebody who has asked to stop is let wait for so that pulls are in a good order: the demo takes less.
const MOMENT: Duration = Duration::from_secs(2);

/// Watches one nest.
pub struct Clock<'a> {
    stop: &'a Stop,
    /// Whether somebody had asked to stop before it started; then only time counts.
    asked: bool,
    begun: Instant,
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
        let begun = Instant::now();
        let until = seconds
            .and_then(|s| u64::try_from(s.millionths()).ok())
            .and_then(|micros| begun.checked_add(Duration::from_micros(micros)));
        Self { stop, asked: false, begun, until, tell }
    }

    /// How many seconds are left; `None` where time does not count.
    #[must_use]
    pub fn left(&self) -> Option<Decimal> {
        let left = self.until?.saturating_duration_since(Instant::now());
        Some(Decimal::from_millionths(i64::try_from(left.as_micros()).unwrap_or(i64::MAX)))
    }

    /// A clock for what follows on an answer and has to be done: where somebody has asked to stop already,
    /// it still gives [`MOMENT`], but no more.
    pub fn start_after(
        seconds: Option<Decimal>,
        stop: &'a Stop,
        tell: &'a (dyn Fn(&News<'_>) + Sync),
    ) -> Self {
        let clock = Self::start(seconds, stop, tell);
        let asked = stop.asked();
        let soon = Instant::now().checked_add(MOMENT).filter(|_| asked);
        Self { asked, until: clock.until.into_iter().chain(soon).min(), ..clock }
    }
}

impl Watch for Clock<'_> {
    fn stop(&self) -> bool {
        (!self.asked && self.stop.asked())
            || self.until.is_some_and(|until| Instant::now() >= until)
    }

    fn news(&self, news: &News<'_>) {
        (self.tell)(news);
    }

    fn gone(&self) -> f64 {
        let Some(until) = self.until else { return 0.0 };
        let all = until.duration_since(self.begun).as_secs_f64();
        let since = self.begun.elapsed().as_secs_f64();
        if since < all { since / all } else { 1.0 }
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
        assert!((Clock::start(Some(Decimal::ZERO), &stop, &quiet).gone() - 1.0).abs() < 1e-9);
        assert!(endless.gone() <= 0.0);
        let hour = Clock::start(Some(Decimal::from_millionths(3_600_000_000)), &stop, &quiet);
        assert!(!hour.stop() && hour.gone() < 0.5);
        let left = |clock: &Clock<'_>| clock.left().map(Decimal::millionths);
        assert!(left(&hour).is_some_and(|left| (3_000_000_000..=3_600_000_000).contains(&left)));
        assert_eq!(left(&Clock::start(Some(Decimal::ZERO), &stop, &quiet)), Some(0));
        assert_eq!(left(&endless), None);
        assert!(stop.ask());
        assert!(endless.stop());
    }

    #[test]
    fn what_follows_on_a_stop_has_a_moment() {
        let stop = Stop::default();
        let quiet = |_: &News<'_>| {};
        let before = Clock::start_after(None, &stop, &quiet);
        assert!(!before.stop());
        assert!(stop.ask());
        assert!(before.stop(), "asked while it runs");
        let after = Clock::start_after(None, &stop, &quiet);
        assert!(!after.stop() && after.until.is_some_and(|until| until <= Instant::now() + MOMENT));
        assert!(Clock::start_after(Some(Decimal::ZERO), &stop, &quiet).stop());
    }
}

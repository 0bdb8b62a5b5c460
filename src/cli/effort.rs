//! Arguments that say how hard to try, shared by the commands that nest.

use super::exit::Failure;
use super::number;
use super::stop::STACK;
use crate::nest::Options;
use crate::plan::{Limits, Program};
use crate::units::Decimal;

/// How hard to try.
#[derive(Clone, Copy, Debug, clap::Args)]
pub struct Effort {
    /// Stop each thickness or instance after so many seconds and keep its best plan, and so what the nest
    /// chooses and the order of cutting of a job (default: no clock; the work limit ends it, and the same inputs give the same plan)
    #[arg(long, value_name = "T", value_parser = seconds)]
    pub seconds: Option<Decimal>,
    /// How many threads to use (default: one for each processor); changes nothing but the time
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
    /// Feeds every choice that is made by lot
    #[arg(long, value_name = "S", default_value_t = Options::default().seed, value_parser = number::whole::<u64>)]
    pub seed: u64,
    /// Work allowed for each thickness or instance, in steps of about a microsecond (default: what
    /// two processors do in --seconds, or 5000000 for a job and 60000000 for a bare instance); more
    /// may close a gap that is left
    #[arg(long, value_name = "STEPS", value_parser = number::whole::<u64>)]
    pub work: Option<u64>,
}

/// Work for each thickness of a job, where the user gives none: a few seconds, after which a gap is
/// shown rather than waited for.
pub(super) const JOB: u64 = 5_000_000;

/// Work for each thickness of an order that is studied: up to half a minute.
pub(super) const ORDER: u64 = 30_000_000;

/// A positive number of seconds, at most a day.
pub(super) fn seconds(text: &str) -> Result<Decimal, String> {
    number::within(text, 1..=86_400_000_000, "must be more than 0 and at most 86400 seconds")
}

impl Effort {
    /// The same with the default for jobs filled in.
    #[must_use]
    pub fn for_job(self) -> Self {
        Self { work: self.work.or_else(|| self.in_time()).or(Some(JOB)), ..self }
    }

    /// With so many times the usual work for each thickness of a job.
    #[must_use]
    pub fn times(self, times: u64) -> Self {
        if times <= 1 {
            return self;
        }
        let work = self.work.unwrap_or(JOB).saturating_mul(times);
        Self { work: Some(work.max(self.in_time().unwrap_or(0))), ..self }
    }

    /// The work of a plan, though no less than that of simulated nests.
    #[must_use]
    pub fn thorough(&self) -> Options {
        Options { seed: self.seed, work: self.without_clock().unwrap_or(JOB).max(JOB) }
    }

    /// The work that is asked for, where no clock stops it: no more than two processors do in the time that is set.
    #[must_use]
    pub fn without_clock(&self) -> Option<u64> {
        self.work.map(|work| self.in_time().map_or(work, |time| work.min(time)))
    }

    /// The same with the default for an order filled in: enough to settle most that is open.
    #[must_use]
    pub fn for_order(self) -> Self {
        Self { work: self.work.or_else(|| self.in_time()).or(Some(ORDER)), ..self }
    }

    /// The same within so many seconds, and with no more work than two processors do in them.
    #[must_use]
    pub fn within(self, seconds: Decimal) -> Self {
        let less = Self { seconds: Some(seconds), ..self };
        Self { work: less.without_clock(), ..less }
    }

    fn work(&self) -> u64 {
        self.work.or_else(|| self.in_time()).unwrap_or(Options::default().work)
    }

    /// The steps that two processors take in the time that is set: the engine shares its work out
    /// between methods, so a limit far beyond the clock would let the first of them use it up.
    fn in_time(&self) -> Option<u64> {
        self.seconds.and_then(|seconds| u64::try_from(seconds.millionths()).ok()).map(|us| 2 * us)
    }

    /// For the engine.
    #[must_use]
    pub fn options(&self) -> Options {
        Options { seed: self.seed, work: self.work() }
    }

    /// For the plan.
    #[must_use]
    pub fn program(&self) -> Program {
        Program {
            version: env!("CARGO_PKG_VERSION").to_owned(),
            seed: self.seed,
            limits: Limits { work: self.work(), seconds: self.seconds },
        }
    }

    /// Works on the threads that are there, or on new ones.
    ///
    /// # Errors
    /// When they cannot be started.
    pub fn install<T: Send>(&self, work: impl FnOnce() -> T + Send) -> Result<T, Failure> {
        if rayon::current_thread_index().is_some() {
            return Ok(work());
        }
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(self.threads.map_or(0, usize::from))
            .stack_size(STACK)
            .build()
            .map_err(|e| Failure::System(format!("no threads can be started: {e}")))?;
        Ok(pool.install(work))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two processors do 120 million steps in a minute: asked to search longer, they do not do fewer.
    #[test]
    fn times_the_usual_work_is_never_less_work() {
        let usual = Effort { seconds: None, threads: None, seed: 1, work: None };
        assert_eq!(usual.times(1).work, None);
        assert_eq!(usual.times(6).work, Some(30_000_000));
        assert_eq!(Effort { work: Some(7), ..usual }.times(3).work, Some(21));
        let minute = Effort { seconds: seconds("60").ok(), ..usual };
        assert_eq!(minute.times(6).for_job().work, minute.for_job().work);
    }

    /// Where no clock is looked at, `--seconds` limits whatever work is asked for, and nothing where none is.
    #[test]
    fn without_a_clock_time_limits_the_work() {
        let second = |work| Effort { seconds: seconds("1").ok(), threads: None, seed: 1, work };
        assert_eq!(second(Some(u64::MAX)).without_clock(), Some(2_000_000));
        assert_eq!(second(Some(7)).without_clock(), Some(7));
        assert_eq!(second(None).without_clock(), None);
        assert_eq!(
            Effort { seconds: None, ..second(Some(u64::MAX)) }.without_clock(),
            Some(u64::MAX)
        );
        assert_eq!(second(Some(u64::MAX)).thorough().work, JOB);
    }

    #[test]
    fn seconds_are_positive_and_at_most_a_day() {
        assert_eq!(seconds("1.5"), Ok(Decimal::from_millionths(1_500_000)));
        assert_eq!(seconds("86400"), Ok(Decimal::from_millionths(86_400_000_000)));
        for wrong in ["0", "-1", "86401", "x", "", "NaN"] {
            assert!(seconds(wrong).is_err(), "{wrong}");
        }
    }
}

//! What a plan's price will need that does not wait for the plan: made on threads that have nothing else to do
//! while the plan is looked for.
//!
//! Whether it is made beforehand changes no figure: what rests on the order sheets alone comes out alike whenever it is
//! made ([`share::begun`]).

use super::effort::Effort;
use super::exit::Failure;
use super::inputs::Job;
use super::progress::Told;
use super::solving::solve_told;
use super::stop::Stop;
use crate::audit::Verified;
use crate::cost::share::{self, Begun};
use crate::nest::{News, Watch};
use crate::plan::Plan;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// Prices that are begun.
#[derive(Debug, Default)]
pub(super) struct Ahead {
    /// Whether somebody has begun.
    asked: AtomicBool,
    begun: OnceLock<Begun>,
}

impl Ahead {
    /// What was begun; waits for its end. Nothing where nobody has begun.
    pub(super) fn begun(&self) -> Begun {
        while self.asked.load(Ordering::Acquire) && self.begun.get().is_none() {
            // The work may be waiting for this very thread.
            if rayon::yield_now() != Some(rayon::Yield::Executed) {
                std::thread::sleep(Duration::from_millis(1));
            }
        }
        self.begun.get().cloned().unwrap_or_default()
    }
}

/// Ends what was begun when somebody stops the plan.
struct Until<'a>(&'a Stop);

impl Watch for Until<'_> {
    fn stop(&self) -> bool {
        self.0.asked()
    }

    fn news(&self, _: &News<'_>) {}
}

/// Makes a plan and what follows from it; meanwhile its price is begun.
///
/// Nothing is begun where the nest chooses what is made, where something on offer has no price, and where a clock ends the
/// search, which is then left every processor.
///
/// # Errors
/// As [`solve_told`]; those of what follows.
pub(super) fn solve_ahead<T: Send>(
    job: &Job,
    effort: &Effort,
    (told, stop): (&dyn Told, &Stop),
    then: impl FnOnce(Verified<Plan>, &Ahead) -> Result<T, Failure> + Send,
) -> Result<T, Failure> {
    let priced = job.stock.rolls.iter().all(|roll| roll.price.is_some());
    let wanted = priced && !job.lets_choose() && effort.seconds.is_none();
    let sheets = if wanted { job.sheets() } else { Vec::new() };
    let ahead = Ahead::default();
    let begin = || {
        // Prices that cannot be begun are told of once the plan is known.
        let begun = share::begun(&sheets, &Until(stop)).unwrap_or_default();
        let _ = ahead.begun.set(begun);
    };
    let work = || {
        rayon::scope(|scope| {
            let idle = || {
                if wanted && !ahead.asked.swap(true, Ordering::AcqRel) {
                    scope.spawn(|_| begin());
                }
            };
            let plan = solve_told(job, effort, (told, stop), &idle)?;
            then(plan, &ahead)
        })
    };
    effort.install(work)?
}

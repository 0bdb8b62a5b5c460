//! Ctrl-C: the first one asks everything to wind up, the second one ends the command at once.
//!
//! The work runs in a thread of its own while the main thread waits for its answer or for the
//! second Ctrl-C; returning from the main thread is what ends the command, so that nothing needs
//! to be killed.

use super::exit::Failure;
use super::output::message;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Sender, channel};

/// Room for the work's own stack and for each thread that helps it: 16 MB, as much again as a main
/// thread usually has, since searches go deep.
pub const STACK: usize = 16 << 20;

/// Whether somebody has asked to stop.
#[derive(Clone, Debug, Default)]
pub struct Stop(Arc<AtomicBool>);

impl Stop {
    /// Whether somebody has asked to stop.
    #[must_use]
    pub fn asked(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }

    /// Asks to stop; says whether it was the first to ask.
    #[must_use]
    pub fn ask(&self) -> bool {
        !self.0.swap(true, Ordering::Relaxed)
    }
}

/// Runs work that Ctrl-C can stop.
///
/// # Errors
/// The work's own failure, [`Failure::Stopped`] on a second Ctrl-C, or a thread that cannot be
/// started.
pub fn stoppable<T, F>(work: F) -> Result<T, Failure>
where
    T: Send + 'static,
    F: FnOnce(&Stop) -> Result<T, Failure> + Send + 'static,
{
    let stop = Stop::default();
    let (answer, wait) = channel();
    listen(&stop, answer.clone())?;
    std::thread::Builder::new()
        .name("work".to_owned())
        .stack_size(STACK)
        .spawn(move || {
            let done = catch_unwind(AssertUnwindSafe(|| work(&stop))).unwrap_or_else(|_| {
                Err(Failure::System(
                    "a defect of this program ended the work; see above".to_owned(),
                ))
            });
            // Nobody waits any more after a second Ctrl-C.
            let _ = answer.send(done);
        })
        .map_err(|e| Failure::System(format!("no thread can be started: {e}")))?;
    wait.recv()
        .unwrap_or_else(|_| Err(Failure::System("the work ended without an answer".to_owned())))
}

fn listen<T: Send + 'static>(
    stop: &Stop,
    answer: Sender<Result<T, Failure>>,
) -> Result<(), Failure> {
    let stop = stop.clone();
    ctrlc::set_handler(move || {
        if stop.ask() {
            message("stopping; the best plan so far is kept (once more ends at once)");
        } else {
            let _ = answer.send(Err(Failure::Stopped));
        }
    })
    .map_err(|e| Failure::System(format!("Ctrl-C cannot be listened to: {e}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_first_to_ask_is_told_so() {
        let stop = Stop::default();
        assert!(!stop.asked());
        assert!(stop.clone().ask());
        assert!(stop.asked() && !stop.ask());
    }
}

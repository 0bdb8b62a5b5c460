//! Ctrl-C: the first one asks everything to wind up, the second one ends the command at once.
//!
//! The work runs in a thread of its own while the main thread waits for its answer or for the
//! second Ctrl-C; returning from the main thread is what ends the command, so that nothing needs
//! to be killed.

use super::exit::Failure;
use super::progress::{HALF_A_MINUTE, interrupt, still};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::time::Instant;

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

/// What is left of work that is stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leaves {
    /// The best plan so far, which is then finished like any other.
    Plan,
    /// The best answer so far.
    Answer,
    /// Nothing.
    Nothing,
}

impl Leaves {
    const fn words(self) -> &'static str {
        match self {
            Self::Plan => {
                "stopping; the best plan so far is kept: it is put in the order of cutting, audited and \
                 written, which takes a moment (Ctrl-C once more ends at once, and keeps nothing)"
            }
            Self::Answer => {
                "stopping; the best answer so far is kept (Ctrl-C once more ends at once)"
            }
            Self::Nothing => "stopping; nothing is kept (Ctrl-C once more ends at once)",
        }
    }
}

/// Runs work that Ctrl-C can stop; what is kept then is told. Off a terminal, work that has said what it
/// does ([`super::progress::now`]) is told to go on every half minute.
///
/// # Errors
/// The work's own failure, [`Failure::Stopped`] on a second Ctrl-C, or a thread that cannot be
/// started.
pub fn stoppable<T, F>(kept: Leaves, work: F) -> Result<T, Failure>
where
    T: Send + 'static,
    F: FnOnce(&Stop) -> Result<T, Failure> + Send + 'static,
{
    let stop = Stop::default();
    let (answer, wait) = channel();
    listen(&stop, kept, answer.clone())?;
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
    let begun = Instant::now();
    loop {
        match wait.recv_timeout(HALF_A_MINUTE) {
            Ok(done) => return done,
            Err(RecvTimeoutError::Timeout) => still(begun.elapsed()),
            Err(RecvTimeoutError::Disconnected) => {
                return Err(Failure::System("the work ended without an answer".to_owned()));
            }
        }
    }
}

fn listen<T: Send + 'static>(
    stop: &Stop,
    kept: Leaves,
    answer: Sender<Result<T, Failure>>,
) -> Result<(), Failure> {
    let stop = stop.clone();
    ctrlc::set_handler(move || {
        if stop.ask() {
            interrupt(kept.words());
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

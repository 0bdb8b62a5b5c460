//! Ctrl-C: the first one asks everything to wind up, the second one ends the command at once.
//!
//! The work runs in a thread of its own while the main thread waits for its answer or for the
//! second Ctrl-C; returning from the main thread is what ends the command, so that nothing needs
//! to be killed. Files are written as a whole: a Ctrl-C that would end the command waits until they are there.
//! A wait for another run that writes is ended by one Ctrl-C ([`Waiting`]).

use super::exit::{Exit, Failure};
use super::progress::{HALF_A_MINUTE, interrupt, still};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
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

/// Held while files are written; whether any were.
static WRITING: Mutex<bool> = Mutex::new(false);

fn writing() -> MutexGuard<'static, bool> {
    WRITING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Writes files, during which the command is not ended.
///
/// # Errors
/// Those of writing.
pub fn unbroken<T>(write: impl FnOnce() -> Result<T, Failure>) -> Result<T, Failure> {
    let mut any = writing();
    let done = write()?;
    *any = true;
    Ok(done)
}

/// How many wait for another run, and whether Ctrl-C has ended that.
static WAITS: AtomicUsize = AtomicUsize::new(0);
static GIVEN_UP: AtomicBool = AtomicBool::new(false);

/// A wait for another run that writes: while it lasts, the first Ctrl-C ends it.
#[derive(Debug)]
pub struct Waiting(());

impl Waiting {
    /// The wait begins.
    pub fn begin() -> Self {
        if WAITS.fetch_add(1, Ordering::SeqCst) == 0 {
            GIVEN_UP.store(false, Ordering::SeqCst);
        }
        Self(())
    }

    /// Whether somebody no longer wants to wait.
    #[must_use]
    pub fn given_up() -> bool {
        GIVEN_UP.load(Ordering::SeqCst)
    }
}

impl Drop for Waiting {
    fn drop(&mut self) {
        WAITS.fetch_sub(1, Ordering::SeqCst);
    }
}

/// Waits for files that are being written, and lets no more be written.
pub fn no_more_files() {
    std::mem::forget(writing());
}

/// What is left of work that is stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leaves {
    /// The best plan so far, which is then finished like any other.
    Plan,
    /// The best answer so far.
    Answer,
    /// Of several things those that are done.
    Done,
    /// Nothing.
    Nothing,
}

impl Leaves {
    /// Whether nothing is shown of work that came to an end: somebody was told that nothing is kept. What was
    /// still open then was wound up at once, and would stand beside what was done to the end.
    fn none(self, stopped: bool) -> bool {
        stopped && self == Self::Nothing
    }

    const fn words(self) -> &'static str {
        match self {
            Self::Plan => {
                "stopping; the best plan so far is kept: it is put in the order of cutting, audited and \
                 written, which takes a moment (Ctrl-C once more ends at once, and keeps nothing)"
            }
            Self::Answer => {
                "stopping; the best answer so far is kept (Ctrl-C once more ends at once)"
            }
            Self::Done => "stopping; what is done is kept (Ctrl-C once more ends at once)",
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
    run(Stop::default(), kept, move |stop| {
        let done = work(stop)?;
        if kept.none(stop.asked()) { Err(Failure::Stopped) } else { Ok(done) }
    })
}

/// Runs a command that the first Ctrl-C ends, if it has not written its files yet.
///
/// # Errors
/// As [`stoppable`].
pub fn at_once<A: Clone + Send + 'static>(
    args: &A,
    command: fn(&A) -> Result<Exit, Failure>,
) -> Result<Exit, Failure> {
    let (asked, args) = (Stop::default(), args.clone());
    // As if there had been a first one.
    let _ = asked.ask();
    run(asked, Leaves::Nothing, move |_| command(&args))
}

fn run<T, F>(stop: Stop, kept: Leaves, work: F) -> Result<T, Failure>
where
    T: Send + 'static,
    F: FnOnce(&Stop) -> Result<T, Failure> + Send + 'static,
{
    let (answer, wait) = channel();
    listen(&stop, kept, answer.clone())?;
    std::thread::Builder::new()
        .name("work".to_owned())
        .stack_size(STACK)
        .spawn(move || {
            let done = catch_unwind(AssertUnwindSafe(|| work(&stop)))
                .unwrap_or_else(|_| Err(Failure::given_way("work; see above")));
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
        if WAITS.load(Ordering::SeqCst) > 0 {
            GIVEN_UP.store(true, Ordering::SeqCst);
            return;
        }
        if stop.ask() {
            interrupt(kept.words());
            return;
        }
        let any = writing();
        // Where files are there, little is left to do, and stopped would not be the word for it.
        if !*any {
            let _ = answer.send(Err(Failure::Stopped));
            // No file is begun any more.
            std::mem::forget(any);
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

    #[test]
    fn nothing_is_shown_of_work_of_which_nothing_is_kept() {
        assert!(Leaves::Nothing.none(true) && !Leaves::Nothing.none(false));
        assert!([Leaves::Plan, Leaves::Answer, Leaves::Done].iter().all(|kept| !kept.none(true)));
    }

    #[test]
    fn files_that_are_written_are_known() {
        assert!(unbroken(|| Err::<(), _>(Failure::Stopped)).is_err());
        assert_eq!(unbroken(|| Ok(7)).ok(), Some(7));
        assert!(*writing());
    }
}

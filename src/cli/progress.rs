//! Progress on standard error: on a terminal one line a thickness, then one for what is done with the
//! answers, written over; elsewhere a line in half a minute ([`still`]), and more if asked for.

use super::colour::dumb;
use super::output::message;
use crate::cutting::Objective;
use crate::nest::News;
use crate::report::{gap_per_cent, visible};
use indicatif::{MultiProgress, ProgressBar, ProgressStyle};
use std::io::{IsTerminal, stderr};
use std::sync::{LazyLock, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// The lines that are shown on a terminal, each as wide as it at most.
static SHOWN: LazyLock<MultiProgress> = LazyLock::new(MultiProgress::new);

/// One more line on the terminal.
fn shown(text: String) -> ProgressBar {
    let style = ProgressStyle::with_template("{wide_msg}");
    let style = style.unwrap_or_else(|_| ProgressStyle::default_spinner());
    let bar = SHOWN.add(ProgressBar::new_spinner().with_style(style));
    bar.set_message(text);
    bar
}

/// Writes a message while progress may be shown.
pub fn interrupt(text: &str) {
    if Show::suiting(false, false) == Show::Live {
        SHOWN.suspend(|| message(text));
    } else {
        message(text);
    }
}

/// What is done now, side by side, where nothing is shown of it but a line in half a minute; nothing where not
/// even that is wanted.
static NOW: Mutex<Vec<String>> = Mutex::new(Vec::new());

/// Long work off a terminal tells that it goes on after each such time.
pub const HALF_A_MINUTE: Duration = Duration::from_secs(30);

/// Notes what is done now.
pub fn now(show: Show, what: impl FnOnce() -> String) {
    if show == Show::Seldom {
        *NOW.lock().unwrap_or_else(PoisonError::into_inner) = vec![what()];
    }
}

/// Tells that the work goes on, where that is wanted.
pub fn still(after: Duration) {
    let now = NOW.lock().unwrap_or_else(PoisonError::into_inner);
    if !now.is_empty() {
        message(&still_in_words(after, &now.join("; ")));
    }
}

fn still_in_words(after: Duration, what: &str) -> String {
    let (minutes, seconds) = (after.as_secs() / 60, after.as_secs() % 60);
    let time =
        if minutes == 0 { format!("{seconds} s") } else { format!("{minutes} min {seconds} s") };
    format!("still at work after {time}: {what}")
}

/// How progress is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Show {
    /// Not at all.
    Nothing,
    /// Lines that are written over, on a terminal.
    Live,
    /// A line now and then.
    Sparse,
    /// A line in half a minute, so that long work off a terminal is seen to go on.
    Seldom,
}

impl Show {
    /// What suits standard error as it is.
    #[must_use]
    pub fn suiting(quiet: bool, verbose: bool) -> Self {
        if quiet {
            Self::Nothing
        } else if stderr().is_terminal() && !dumb() {
            Self::Live
        } else if verbose {
            Self::Sparse
        } else {
            Self::Seldom
        }
    }
}

/// The least time between two lines where they are written now and then.
const PAUSE: Duration = Duration::from_secs(1);

/// The last step of a plan.
pub const MADE: &str = "the plan stands; prices and reports are made";

/// Somebody who is told how nests come along.
pub trait Told: Sync {
    /// The nests begin: their names, and what is to be least.
    fn begin(&self, nests: &[(String, Objective)]);
    /// News of one of them.
    fn news(&self, at: usize, news: &News<'_>);
    /// All of them have ended.
    fn end(&self);
    /// What is done now that is no nest.
    fn step(&self, what: &'static str);
}

/// The lines that are shown, one a nest.
pub struct Board {
    show: Show,
    inner: Mutex<Inner>,
}

struct Line {
    name: String,
    objective: Objective,
    value: Option<i64>,
    bound: i64,
}

struct Inner {
    lines: Vec<Line>,
    /// On a terminal, what shows them, or a step in their place.
    bars: Vec<ProgressBar>,
    last: Option<Instant>,
}

impl Inner {
    /// Shows these in the place of what is there.
    fn show(&mut self, texts: impl IntoIterator<Item = String>) {
        self.bars.drain(..).for_each(|bar| bar.finish_and_clear());
        self.bars.extend(texts.into_iter().map(shown));
    }
}

impl Board {
    /// An empty board.
    #[must_use]
    pub fn new(show: Show) -> Self {
        Self { show, inner: Mutex::new(Inner { lines: Vec::new(), bars: Vec::new(), last: None }) }
    }
}

impl Told for Board {
    fn begin(&self, nests: &[(String, Objective)]) {
        let mut inner = self.inner.lock().unwrap_or_else(PoisonError::into_inner);
        let line = |(name, objective): &(String, Objective)| Line {
            name: name.clone(),
            objective: *objective,
            value: None,
            bound: 0,
        };
        inner.lines = nests.iter().map(line).collect();
        match self.show {
            Show::Live => {
                let texts: Vec<String> = inner.lines.iter().map(text).collect();
                inner.show(texts);
            }
            Show::Sparse => inner.lines.iter().for_each(|line| message(&text(line))),
            Show::Seldom => {
                *NOW.lock().unwrap_or_else(PoisonError::into_inner) =
                    inner.lines.iter().map(text).collect();
            }
            Show::Nothing => {}
        }
    }

    fn news(&self, at: usize, news: &News<'_>) {
        if self.show == Show::Nothing {
            return;
        }
        // A poisoned board is only a board that somebody failed to draw.
        let mut inner = self.inner.lock().unwrap_or_else(PoisonError::into_inner);
        let Inner { lines, bars, last } = &mut *inner;
        let Some(line) = lines.get_mut(at) else { return };
        let first = line.value.is_none() && news.value.is_some();
        line.value = news.value.or(line.value);
        line.bound = line.bound.max(news.bound);
        match self.show {
            Show::Live => {
                if let Some(bar) = bars.get(at) {
                    bar.set_message(text(line));
                }
            }
            // Whoever waits is told of a plan as soon as there is one.
            Show::Sparse if first || last.is_none_or(|last| last.elapsed() >= PAUSE) => {
                *last = Some(Instant::now());
                message(&text(line));
            }
            Show::Seldom => {
                let mut now = NOW.lock().unwrap_or_else(PoisonError::into_inner);
                if let Some(told) = now.get_mut(at) {
                    *told = text(line);
                }
            }
            Show::Sparse | Show::Nothing => {}
        }
    }

    /// Takes the lines away again.
    fn end(&self) {
        let mut inner = self.inner.lock().unwrap_or_else(PoisonError::into_inner);
        inner.lines.clear();
        inner.show([]);
    }

    fn step(&self, what: &'static str) {
        let mut inner = self.inner.lock().unwrap_or_else(PoisonError::into_inner);
        inner.lines.clear();
        match self.show {
            Show::Live => inner.show([what.to_owned()]),
            Show::Sparse => message(what),
            Show::Seldom => now(self.show, || what.to_owned()),
            Show::Nothing => {}
        }
    }
}

fn text(line: &Line) -> String {
    let name = visible(&line.name);
    let bound = line.objective.decimal(line.bound);
    let Some(value) = line.value else {
        let known =
            if line.bound > 0 { format!("bound {bound}") } else { "no bound yet".to_owned() };
        return format!("{name}: looking for a first plan, {known}");
    };
    let value = line.objective.decimal(value);
    match gap_per_cent(value, bound) {
        Some(gap) => format!("{name}: {value}, bound {bound}, gap {gap} %"),
        None if line.bound > 0 => format!("{name}: {value}, proven"),
        None => format!("{name}: {value}, no bound yet"),
    }
}

/// Many like things done one after another: one line with how many are done, on a terminal.
pub struct Counter {
    show: Show,
    what: &'static str,
    of: usize,
    done: Mutex<(usize, Option<Instant>)>,
    bar: Option<ProgressBar>,
}

impl Counter {
    /// None of so many is done.
    #[must_use]
    pub fn new(show: Show, what: &'static str, of: usize) -> Self {
        now(show, || what.to_owned());
        let bar = (show == Show::Live).then(|| shown(format!("{what}: 0 of {of}")));
        Self { show, what, of, done: Mutex::new((0, None)), bar }
    }

    /// One more is done.
    pub fn one_more(&self) {
        if self.show == Show::Nothing {
            return;
        }
        let mut inner = self.done.lock().unwrap_or_else(PoisonError::into_inner);
        inner.0 += 1;
        let text = format!("{}: {} of {}", self.what, inner.0, self.of);
        match (&self.bar, self.show) {
            (Some(bar), _) => bar.set_message(text),
            (None, Show::Seldom) => now(self.show, || text),
            (None, _) if inner.1.is_none_or(|last| last.elapsed() >= PAUSE) => {
                inner.1 = Some(Instant::now());
                message(&text);
            }
            (None, _) => {}
        }
    }
}

impl Drop for Counter {
    /// Takes the line away again.
    fn drop(&mut self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_work_says_for_how_long_and_at_what() {
        let told = |seconds| still_in_words(Duration::from_secs(seconds), "10 mm: 4, bound 3");
        assert_eq!(told(30), "still at work after 30 s: 10 mm: 4, bound 3");
        assert_eq!(told(150), "still at work after 2 min 30 s: 10 mm: 4, bound 3");
    }

    #[test]
    fn a_line_tells_value_bound_and_gap() {
        let line = |value, bound| {
            text(&Line { name: "10 mm".to_owned(), objective: Objective::Rolls, value, bound })
        };
        assert_eq!(line(None, 3), "10 mm: looking for a first plan, bound 3");
        // One roll above three is a third, 33.33... per cent.
        assert_eq!(line(Some(4), 3), "10 mm: 4, bound 3, gap 33.3 %");
        assert_eq!(line(Some(4), 4), "10 mm: 4, proven");
    }
}

//! Column `ends`: which items a run meets, and which of their ends are still free.

use super::domain::{Item, Kind};
use super::ports::{ACUTE, BRANCH, Left, OBTUSE, Port, all_left};
use super::runs::Typed;
use crate::finding::codes::Code;
use crate::finding::codes::takeoff as codes;
use crate::finding::{Finding, Findings};
use crate::table::{Cell, nearest, quoted};
use crate::units::Length;
use std::collections::BTreeMap;

/// The ends still free, by line of the file and port.
pub(super) struct Free<'t> {
    by_name: BTreeMap<&'t str, usize>,
    /// The ends of each item.
    ports: Vec<Left>,
    /// Whether the line has an error, which is told: its ends are not known then.
    wrong: Vec<bool>,
    /// How many more misspelt names are compared with all others.
    suggestions: u32,
}

/// Why an end cannot be taken.
enum Refusal {
    /// None fits the run's size.
    Size,
    /// None is left.
    Taken,
    /// Some are left, and fewer than like runs that would meet them.
    Few,
    /// Two of them differ in length, and the name does not say which.
    Which,
}

impl<'t> Free<'t> {
    pub(super) fn new(lines: &[Typed<'t>]) -> Self {
        let by_name = lines.iter().enumerate().rev().map(|(at, line)| (line.name, at)).collect();
        let ports =
            lines.iter().map(|line| line.item.as_ref().map(all_left).unwrap_or_default()).collect();
        let wrong = lines.iter().map(|line| line.item.is_none()).collect();
        Self { by_name, ports, wrong, suggestions: 20 }
    }

    /// The ends that an item has left.
    pub(super) fn of(&self, at: usize) -> &[(Port, Option<u64>)] {
        self.ports.get(at).map_or(&[], Vec::as_slice)
    }

    /// The line that a name means, and which of its ends where the name says so (`T-1 branch`).
    fn find<'n>(&self, name: &'n str) -> Option<(usize, Option<&'n str>)> {
        if let Some(at) = self.by_name.get(name) {
            return Some((*at, None));
        }
        let (item, port) = name.rsplit_once(' ')?;
        let at = *self.by_name.get(item.trim_end())?;
        let known = self.of(at).iter().any(|(p, _)| p.name == Some(port));
        // Which ends a wrong line has is not known.
        (known || self.wrong.get(at) == Some(&true)).then_some((at, Some(port)))
    }

    /// Takes `many` ends of an item for runs of this diameter; gives what each takes out. An equal
    /// tee gives its branch first where `branch_first`, else its run.
    fn take(
        &mut self,
        at: usize,
        which: Option<&str>,
        od: Length,
        many: u64,
        branch_first: bool,
    ) -> Result<Length, Refusal> {
        let fits = |(port, _): &&mut (Port, Option<u64>)| {
            port.od.is_none_or(|own| own == od) && which.is_none_or(|name| port.name == Some(name))
        };
        let mut fitting: Vec<_> =
            self.ports.iter_mut().skip(at).take(1).flatten().filter(fits).collect();
        if fitting.is_empty() {
            return Err(Refusal::Size);
        }
        if which.is_none() && fitting.iter().any(|(port, _)| port.name == Some(ACUTE)) {
            return Err(Refusal::Which);
        }
        let few = fitting.iter().any(|(_, free)| free.is_some_and(|left| left > 0));
        if branch_first {
            fitting.reverse();
        }
        for (port, free) in fitting {
            match free {
                None => return Ok(port.take_out),
                Some(left) if *left >= many => {
                    *left -= many;
                    return Ok(port.take_out);
                }
                Some(_) => {}
            }
        }
        Err(if few { Refusal::Few } else { Refusal::Taken })
    }
}

/// A run's ends.
pub(super) struct Named {
    /// Whether column `ends` is filled.
    pub(super) given: bool,
    /// The items, in the order of the run's ends; empty text for an open end before a named one.
    pub(super) names: Vec<String>,
    /// What they take out.
    pub(super) take_outs: Length,
}

/// Finds the items that a run names and takes an end of each; `None` where the line is no run or
/// an end is wrong, which is told.
pub(super) fn take_named(
    own: usize,
    lines: &[Typed<'_>],
    free: &mut Free<'_>,
    findings: &mut Findings,
) -> Option<Named> {
    let line = lines.get(own)?;
    if line.item.as_ref().is_some_and(|item| !matches!(item.kind, Kind::Pipe(_))) {
        return None;
    }
    let mut named =
        Named { given: !line.ends.is_empty(), names: Vec::new(), take_outs: Length::ZERO };
    let text = line.ends.text();
    let mut told: Vec<String> = Vec::new();
    let mut tell = |(code, what, remedy): Wrong| {
        // The same name at both ends is wrong in the same way.
        if !told.contains(&what) {
            findings.push(Finding::new(code, line.ends.place(), what.clone(), remedy));
            told.push(what);
        }
    };
    let all: Vec<&str> = text.split('|').map(str::trim).collect();
    if all.len() > 2 {
        let what = format!("{} names more than two ends", quoted(text));
        let remedy = "split the run at the fitting between, or name its two ends";
        tell((&codes::UNREAD, what, remedy.to_owned()));
        return None;
    }
    let mut good = true;
    for &name in &all {
        if open(name) {
            named.names.push(String::new());
            continue;
        }
        match take_one(name, own, lines, free) {
            Ok((item, out)) => {
                named.names.push(item);
                named.take_outs += out;
            }
            Err(wrong) => {
                good = false;
                wrong.into_iter().for_each(&mut tell);
            }
        }
    }
    if good {
        tell_both(&all, &line.ends, lines, free, findings);
    }
    without_open_last(&mut named.names);
    good.then_some(named)
}

/// Tells a run that names one and the same fitting at both its ends: where there is only one of it, a straight run
/// cannot come back to it.
fn tell_both(
    all: &[&str],
    cell: &Cell<'_>,
    lines: &[Typed<'_>],
    free: &Free<'_>,
    findings: &mut Findings,
) {
    let both = || {
        let &[first, second] = all else { return None };
        let (at, _) = free.find(first)?;
        let same = free.find(second).is_some_and(|(other, _)| other == at);
        let item = lines.get(at).and_then(|line| line.item.as_ref())?;
        let counted = free.of(at).iter().any(|(port, _)| port.count.is_some());
        (same && counted && item.quantity == 1).then_some(item)
    };
    if let Some(item) = both() {
        let what = format!(
            "the run has both its ends at {}, and there is only one of it",
            quoted(&item.id)
        );
        let remedy = "correct one of the names, write none for an open end, or correct the fitting's quantity";
        findings.push(Finding::new(&codes::BOTH_ENDS, cell.place(), what, remedy));
    }
}

/// Takes open ends behind the last named one away; one before it keeps its place.
pub(super) fn without_open_last(names: &mut Vec<String>) {
    while names.last().is_some_and(String::is_empty) {
        names.pop();
    }
}

/// Whether an end is given as an open one: nothing, none or a dash.
fn open(name: &str) -> bool {
    name.is_empty() || name.eq_ignore_ascii_case("none") || name == "-"
}

/// Code, what and remedy of a wrong end.
type Wrong = (&'static Code, String, String);

/// What is wrong with the name of an item and of an end that it does not have.
fn no_such_end(name: &str, free: &Free<'_>) -> Option<Wrong> {
    let (item, end) = name.rsplit_once(' ')?;
    let item = item.trim_end();
    let (at, _) = free.find(item)?;
    let named = free.of(at).iter().filter_map(|(port, _)| port.name);
    let known: Vec<String> = named.map(|end| quoted(&format!("{item} {end}"))).collect();
    let what = format!("{} is there, but has no end called {}", quoted(item), quoted(end));
    let remedy = match known.as_slice() {
        [] => format!("write {}", quoted(item)),
        known => format!("write {} or {}", quoted(item), known.join(" or ")),
    };
    Some((&codes::END_UNKNOWN, what, remedy))
}

/// What is wrong with two names that another sign than a bar separates: a comma or a semicolon, or any other where
/// both names are there.
fn without_bar(name: &str, free: &Free<'_>) -> Option<Wrong> {
    let parts = |sign: &str| -> Option<(String, String)> {
        let (first, second) = name.split_once(sign)?;
        let (first, second) = (first.trim(), second.trim());
        let there = |name: &str| open(name) || free.find(name).is_some();
        let meant = matches!(sign, "," | ";") || (there(first) && there(second));
        (meant && !first.is_empty() && !second.is_empty())
            .then(|| (first.to_owned(), second.to_owned()))
    };
    let (first, second) =
        [",", ";", " and ", "&", "+", "/", "\\", " - ", " "].into_iter().find_map(parts)?;
    let what = format!("{} is no fitting's name, and a bar separates two", quoted(name));
    let remedy =
        format!("write {} if these are the run's ends", quoted(&format!("{first}|{second}")));
    Some((&codes::END_UNKNOWN, what, remedy))
}

/// The item that one name means, and what it takes out; no finding where that item's own line is
/// wrong and has been told.
fn take_one(
    name: &str,
    own: usize,
    lines: &[Typed<'_>],
    free: &mut Free<'_>,
) -> Result<(String, Length), Option<Wrong>> {
    let Some((at, which)) = free.find(name) else {
        if let Some(wrong) = without_bar(name, free).or_else(|| no_such_end(name, free)) {
            return Err(Some(wrong));
        }
        // Suggestions search the whole takeoff, so they are made for the first few only.
        free.suggestions = free.suggestions.saturating_sub(1);
        let most = if free.suggestions > 0 { usize::MAX } else { 0 };
        let others = lines.iter().enumerate().filter(|(at, _)| *at != own);
        let names = others.map(|(_, line)| line.name).take(most);
        let remedy = nearest(name, names).map_or_else(
            || "write the item's name exactly as in column `item`".to_owned(),
            |near| format!("write {} if that is meant", quoted(near)),
        );
        return Err(Some((
            &codes::END_UNKNOWN,
            format!("there is no fitting {}", quoted(name)),
            remedy,
        )));
    };
    if at == own {
        let what = format!("{} is the run itself", quoted(name));
        let remedy = "name the fitting at the run's end, or write none where it is open".to_owned();
        return Err(Some((&codes::END_UNKNOWN, what, remedy)));
    }
    let Some(item) = lines.get(at).and_then(|line| line.item.as_ref()) else { return Err(None) };
    if free.of(at).is_empty() {
        let what = format!("{} is a disc, which no run meets", quoted(name));
        let remedy = "name the fitting at the run's end".to_owned();
        return Err(Some((&codes::END_UNKNOWN, what, remedy)));
    }
    // A run whose line is wrong otherwise takes no end; that its fittings exist has been seen.
    let Some(Item { kind: Kind::Pipe(pipe), quantity, line, .. }) =
        lines.get(own).and_then(|line| line.item.as_ref())
    else {
        return Err(None);
    };
    let out = free.take(at, which, pipe.size.od, *quantity, item.line != *line);
    let out = out.map_err(|refusal| match refusal {
        Refusal::Size => {
            let what = format!("{} has no end of the run's size {}", quoted(name), pipe.size.text);
            (&codes::END_SIZE, what, "correct the name, or one of the sizes".to_owned())
        }
        Refusal::Taken => {
            let what = format!("all ends of {} are taken already", quoted(name));
            let remedy = "correct the names, or the fitting's quantity".to_owned();
            (&codes::END_TAKEN, what, remedy)
        }
        Refusal::Few => {
            let what = format!("{} has too few ends left for {quantity} like runs", quoted(name));
            (&codes::END_TAKEN, what, "correct the names, or one of the quantities".to_owned())
        }
        Refusal::Which => {
            let what = format!("the run of {} has two ends that differ in length", quoted(name));
            let remedy = format!("write `{name} {ACUTE}`, `{name} {OBTUSE}` or `{name} {BRANCH}`");
            (&codes::END_UNKNOWN, what, remedy)
        }
    })?;
    Ok((item.id.clone(), out))
}

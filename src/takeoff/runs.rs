//! Every run's ends and take-outs, once all items are known.
//!
//! Steps: find the items that runs name in column `ends` and take an end of each; for a length
//! measured through fittings take off what its ends take out; where a through-run names none, and
//! is the only such run of its line and size, take off what all fittings of that line and size
//! take out that no other run has named.

use super::domain::{Item, Kind, Measure, Size};
use super::ports::{Port, ports};
use crate::finding::codes::Code;
use crate::finding::codes::takeoff as codes;
use crate::finding::{Finding, Findings};
use crate::table::{Cell, nearest, quoted};
use crate::units::Length;
use std::collections::BTreeMap;

/// A line's item, and what of it is still as typed.
pub(super) struct Typed<'t> {
    pub(super) name: &'t str,
    pub(super) ends: Cell<'t>,
    pub(super) length: Cell<'t>,
    /// `None` where the line has an error.
    pub(super) item: Option<Item>,
}

/// The ends still free, by line and port.
struct Free<'t> {
    by_name: BTreeMap<&'t str, usize>,
    by_line: BTreeMap<String, Vec<usize>>,
    ports: Vec<Vec<(Port, Option<u64>)>>,
}

impl<'t> Free<'t> {
    fn new(lines: &[Typed<'t>]) -> Self {
        let mut by_line: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (at, typed) in lines.iter().enumerate() {
            if let Some(item) = &typed.item {
                by_line.entry(item.line.clone()).or_default().push(at);
            }
        }
        let by_name = lines.iter().enumerate().rev().map(|(at, line)| (line.name, at)).collect();
        let ports = lines
            .iter()
            .map(|line| {
                let Some(item) = &line.item else { return Vec::new() };
                ports(&item.kind)
                    .into_iter()
                    .map(|port| {
                        let free = port.count.map(|n| n.saturating_mul(item.quantity));
                        (port, free)
                    })
                    .collect()
            })
            .collect();
        Self { by_name, by_line, ports }
    }

    /// The line that a name means, and which of its ends where the name says so.
    fn find<'n>(&self, name: &'n str) -> Option<(usize, Option<&'n str>)> {
        if let Some(at) = self.by_name.get(name) {
            return Some((*at, None));
        }
        let (item, port) = name.rsplit_once(' ')?;
        let at = *self.by_name.get(item.trim_end())?;
        let known = self.ports.get(at)?.iter().any(|(p, _)| p.name == Some(port));
        known.then_some((at, Some(port)))
    }

    /// Takes as many ends as a run needs; gives what each takes out, or why there is none.
    fn take(
        &mut self,
        at: usize,
        which: Option<&str>,
        od: Length,
        many: u64,
    ) -> Result<Length, Refusal> {
        let Some(ports) = self.ports.get_mut(at) else { return Err(Refusal::Size) };
        let fits = |port: &Port| {
            port.od.is_none_or(|own| own == od) && which.is_none_or(|name| port.name == Some(name))
        };
        if !ports.iter().any(|(port, _)| fits(port)) {
            return Err(Refusal::Size);
        }
        for (port, free) in ports.iter_mut().filter(|(port, _)| fits(port)) {
            match free {
                None => return Ok(port.take_out),
                Some(left) if *left >= many => {
                    *left -= many;
                    return Ok(port.take_out);
                }
                Some(_) => {}
            }
        }
        Err(Refusal::Taken)
    }
}

enum Refusal {
    Size,
    Taken,
}

/// Settles all runs.
pub(super) fn settle(lines: &mut [Typed<'_>], findings: &mut Findings) {
    let mut free = Free::new(lines);
    let named: Vec<Option<Named>> =
        (0..lines.len()).map(|at| name_ends(at, lines, &mut free, findings)).collect();
    let alone = through_runs_without_ends(lines, &named);
    let broken = findings.has_errors();
    for at in 0..lines.len() {
        let Some(line) = lines.get(at) else { continue };
        let Some(Item { kind: Kind::Pipe(pipe), .. }) = &line.item else { continue };
        let through = matches!(pipe.measure, Measure::Through(_));
        let out = match named.get(at) {
            Some(Some(Named { given: true, take_outs, .. })) => Some(*take_outs),
            Some(Some(_)) if through => whole_line(at, lines, &free, &alone, broken, findings),
            _ => Some(Length::ZERO),
        };
        let net = out.and_then(|out| {
            let gross = pipe.length;
            if !through || gross > out {
                return Some((if through { gross - out } else { gross }, out));
            }
            let what = format!("the take-outs of {out} mm leave nothing of {gross} mm");
            let remedy = "check the length, whether it is net after all, and the run's fittings";
            findings.push(Finding::new(&codes::NOTHING_LEFT, line.length.place(), what, remedy));
            None
        });
        let Some(line) = lines.get_mut(at) else { continue };
        let Some(Item { kind: Kind::Pipe(pipe), .. }) = &mut line.item else { continue };
        if let Some((length, out)) = net {
            pipe.length = length;
            if through {
                pipe.measure = Measure::Through(out);
            }
        }
        if let Some(Some(named)) = named.get(at) {
            pipe.ends.clone_from(&named.names);
        }
    }
}

/// A run's ends.
struct Named {
    /// Whether column `ends` is filled.
    given: bool,
    /// The items.
    names: Vec<String>,
    /// What they take out.
    take_outs: Length,
}

/// Finds the items that a run names; `None` where the line is no run or an end is wrong.
fn name_ends(
    own: usize,
    lines: &[Typed<'_>],
    free: &mut Free<'_>,
    findings: &mut Findings,
) -> Option<Named> {
    let line = lines.get(own)?;
    let Some(Item { kind: Kind::Pipe(pipe), quantity, .. }) = &line.item else { return None };
    let mut named =
        Named { given: !line.ends.is_empty(), names: Vec::new(), take_outs: Length::ZERO };
    let text = line.ends.text();
    if text.is_empty() || text.eq_ignore_ascii_case("none") || text == "-" {
        return Some(named);
    }
    let mut tell = |code: &'static Code, what: String, remedy: &str| {
        findings.push(Finding::new(code, line.ends.place(), what, remedy));
    };
    let names: Vec<&str> = text.split('|').map(str::trim).filter(|n| !n.is_empty()).collect();
    if names.len() > 2 {
        let what = format!("{} names more than two ends", quoted(text));
        tell(&codes::UNREAD, what, "split the run at the fitting between, or name its two ends");
        return None;
    }
    let mut good = true;
    for name in names {
        let Some((at, which)) = free.find(name).filter(|(at, _)| *at != own) else {
            good = false;
            let near = nearest(name, lines.iter().map(|l| l.name));
            let remedy = near.map_or_else(
                || "write the item's name exactly as in column `item`".to_owned(),
                |near| format!("write {} if that is meant", quoted(near)),
            );
            tell(&codes::END_UNKNOWN, format!("there is no fitting {}", quoted(name)), &remedy);
            continue;
        };
        let Some(Some(item)) = lines.get(at).map(|line| &line.item) else {
            // That line's own findings say what is wrong with it.
            good = false;
            continue;
        };
        if ports(&item.kind).is_empty() {
            good = false;
            let what = format!("{} is a disc, which no run meets", quoted(name));
            tell(&codes::END_UNKNOWN, what, "name the fitting at the run's end");
            continue;
        }
        match free.take(at, which, pipe.size.od, *quantity) {
            Ok(out) => {
                named.names.push(item.id.clone());
                named.take_outs += out;
            }
            Err(Refusal::Size) => {
                good = false;
                let what =
                    format!("{} has no end of the run's size {}", quoted(name), pipe.size.text);
                tell(&codes::END_SIZE, what, "correct the name, or one of the sizes");
            }
            Err(Refusal::Taken) => {
                good = false;
                let what = format!("all ends of {} are taken by runs before", quoted(name));
                tell(&codes::END_TAKEN, what, "correct the names, or the fitting's quantity");
            }
        }
    }
    good.then_some(named)
}

/// How many through-runs without named ends there are of each line and size.
type Alone = BTreeMap<(String, Length), u32>;

fn through_runs_without_ends(lines: &[Typed<'_>], named: &[Option<Named>]) -> Alone {
    let mut alone = Alone::new();
    for (line, named) in lines.iter().zip(named) {
        if let (Some(item), Some(Named { given: false, .. })) = (&line.item, named)
            && let Kind::Pipe(pipe) = &item.kind
            && matches!(pipe.measure, Measure::Through(_))
        {
            *alone.entry((item.line.clone(), pipe.size.od)).or_default() += 1;
        }
    }
    alone
}

/// What all fittings of a through-run's line and size take out; `None` where it cannot be known.
fn whole_line(
    at: usize,
    lines: &[Typed<'_>],
    free: &Free<'_>,
    alone: &Alone,
    broken: bool,
    findings: &mut Findings,
) -> Option<Length> {
    let typed = lines.get(at)?;
    let item = typed.item.as_ref()?;
    let Kind::Pipe(pipe) = &item.kind else { return None };
    let size: &Size = &pipe.size;
    let others = alone.get(&(item.line.clone(), size.od)).copied().unwrap_or_default();
    let why = if item.line.is_empty() {
        Some("the run belongs to no line".to_owned())
    } else if item.quantity > 1 {
        Some(format!("there are {} runs like it", item.quantity))
    } else if others > 1 {
        Some(format!("line {} has {others} such runs of {}", quoted(&item.line), size.text))
    } else {
        None
    };
    if let Some(why) = why {
        let what = format!("the length goes through fittings, but {why}, so which is not known");
        let remedy = "name the fittings at its two ends in `ends`, write none for open ends, or \
                      give the net length with `measured` net";
        findings.push(Finding::new(&codes::THROUGH_ENDS, typed.ends.place(), what, remedy));
        return None;
    }
    let mut out = Length::ZERO;
    let mut fittings: u64 = 0;
    for &other in free.by_line.get(&item.line)? {
        let (Some(ports), Some(Some(other))) =
            (free.ports.get(other), lines.get(other).map(|line| line.item.as_ref()))
        else {
            continue;
        };
        if matches!(other.kind, Kind::Pipe(_)) {
            continue;
        }
        let mut any = false;
        for (port, left) in ports.iter().filter(|(port, _)| port.od == Some(size.od)) {
            let many = i64::try_from(left.unwrap_or_default()).ok()?;
            out = port
                .take_out
                .checked_mul(many)
                .and_then(|o| out.checked_add(o))
                .unwrap_or(Length::LIMIT);
            any |= many > 0;
        }
        fittings += if any { other.quantity } else { 0 };
    }
    if fittings > 0 && !broken && pipe.length > out {
        let what = format!(
            "{} mm through fittings less {out} mm for {fittings} fittings of line {} leave {} mm",
            pipe.length,
            quoted(&item.line),
            pipe.length - out
        );
        let remedy = "name the fittings in `ends`, run by run, where joints must be known exactly";
        findings.push(Finding::new(&codes::TAKE_OUTS, typed.length.place(), what, remedy));
    }
    Some(out)
}

//! Every run's ends and net length, once all items are known.
//!
//! Steps: take the ends that runs name in column `ends`; for a length measured through fittings
//! take off what its ends take out; where a through-run names none, and is the only such run of
//! its line and size, take off what all fittings of that line and size take out, without the ends
//! that other runs have named.

use super::domain::{Item, Kind, Measure, Pipe};
use super::ends::{Free, Named, take_named};
use super::ports::{BRANCH, Port};
use crate::finding::codes::takeoff as codes;
use crate::finding::{Finding, Findings};
use crate::table::{Cell, quoted};
use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

/// A line's item, and what of it is still as typed.
pub(super) struct Typed<'t> {
    pub(super) name: &'t str,
    pub(super) ends: Cell<'t>,
    pub(super) length: Cell<'t>,
    /// `None` where the line has an error.
    pub(super) item: Option<Item>,
}

impl Typed<'_> {
    /// The item, where it is a run.
    fn run(&self) -> Option<(&Item, &Pipe)> {
        match &self.item {
            Some(item @ Item { kind: Kind::Pipe(pipe), .. }) => Some((item, pipe)),
            _ => None,
        }
    }
}

/// Settles all runs.
pub(super) fn settle(lines: &mut [Typed<'_>], findings: &mut Findings) {
    let mut free = Free::new(lines);
    let named: Vec<Option<Named>> =
        (0..lines.len()).map(|at| take_named(at, lines, &mut free, findings)).collect();
    let pipework = Pipework::new(lines, &named);
    let nets: Vec<Option<Net>> = (0..lines.len())
        .map(|at| {
            let named = named.get(at)?.as_ref()?;
            net_length(at, named, lines, &free, &pipework, findings)
        })
        .collect();
    for ((line, net), named) in lines.iter_mut().zip(nets).zip(named) {
        let Some(Item { kind: Kind::Pipe(pipe), .. }) = &mut line.item else { continue };
        if let (Some(net), Some(named)) = (net, named) {
            pipe.length = net.length;
            pipe.measure = net.measure;
            pipe.ends = named.names;
        }
    }
}

/// A run's length between its fittings, and how it came about.
struct Net {
    length: Length,
    measure: Measure,
}

/// The net length of a run; `None` where it cannot be known, which is told.
fn net_length(
    at: usize,
    named: &Named,
    lines: &[Typed<'_>],
    free: &Free<'_>,
    pipework: &Pipework<'_>,
    findings: &mut Findings,
) -> Option<Net> {
    let line = lines.get(at)?;
    let (item, pipe) = line.run()?;
    let gross = pipe.length;
    if pipe.measure == Measure::Net {
        return Some(Net { length: gross, measure: Measure::Net });
    }
    let mut tell = |code, cell: &Cell<'_>, what: String, remedy: &str| {
        findings.push(Finding::new(code, cell.place(), what, remedy));
    };
    let (out, fittings) = if named.given {
        (named.take_outs, 0)
    } else {
        if let Some(why) = pipework.unclear(item, pipe) {
            let what =
                format!("the length goes through fittings, but {why}, so which is not known");
            let remedy = "name the fittings at its two ends in `ends`, write none for open ends, \
                          or give the net length with `measured` net";
            tell(&codes::THROUGH_ENDS, &line.ends, what, remedy);
            return None;
        }
        pipework.take_outs(item, pipe, lines, free)
    };
    if out >= gross {
        let what = format!("the take-outs of {} mm leave nothing of {gross} mm", out.to_tenths());
        let remedy = "check the length, whether it is net after all, and the run's fittings";
        tell(&codes::NOTHING_LEFT, &line.length, what, remedy);
        return None;
    }
    if fittings > 0 && pipework.whole {
        let fitting = if fittings == 1 { "fitting" } else { "fittings" };
        let what = format!(
            "{gross} mm through fittings less {} mm for {fittings} {fitting} of line {} leave {} mm",
            out.to_tenths(),
            quoted(&item.line),
            (gross - out).to_tenths()
        );
        if fittings <= BETWEEN || pipework.run_by_run(item, pipe) {
            let what = format!("{what}, both sides of each");
            let remedy = "where the run ends at a fitting, one side of it comes off: name the fittings at its two ends in \
                          `ends`, or none for an open end";
            tell(&codes::TAKE_OUTS_UNSURE, &line.length, what, remedy);
        } else {
            let remedy =
                "name the fittings in `ends`, run by run, where joints must be known exactly";
            tell(&codes::TAKE_OUTS, &line.length, what, remedy);
        }
    }
    Some(Net { length: gross - out, measure: Measure::Through(out) })
}

/// So few fittings may be those between which a run lies.
const BETWEEN: u64 = 2;

/// The items of each pipe line, and how many through-runs without named ends it has of each size.
struct Pipework<'l> {
    by_line: BTreeMap<&'l str, Vec<usize>>,
    alone: BTreeMap<(&'l str, Length), u32>,
    /// Lines and sizes of which some run names its ends.
    named: BTreeSet<(&'l str, Length)>,
    /// Whether every line of the takeoff could be read.
    whole: bool,
}

impl<'l> Pipework<'l> {
    fn new(lines: &'l [Typed<'_>], named: &[Option<Named>]) -> Self {
        let mut by_line: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        let mut alone: BTreeMap<(&str, Length), u32> = BTreeMap::new();
        let mut runs_named: BTreeSet<(&str, Length)> = BTreeSet::new();
        for (at, (typed, named)) in lines.iter().zip(named).enumerate() {
            if let Some(item) = &typed.item {
                by_line.entry(&item.line).or_default().push(at);
            }
            if let (Some((item, pipe)), Some(Named { given: true, .. })) = (typed.run(), named) {
                runs_named.insert((&item.line, pipe.size.od));
            }
            if let (Some((item, pipe)), Some(Named { given: false, .. })) = (typed.run(), named)
                && pipe.measure != Measure::Net
            {
                *alone.entry((&item.line, pipe.size.od)).or_default() += 1;
            }
        }
        Self {
            by_line,
            alone,
            named: runs_named,
            whole: lines.iter().all(|line| line.item.is_some()),
        }
    }

    /// Whether runs of a line and size are taken off one by one, each with its ends.
    fn run_by_run(&self, item: &Item, pipe: &Pipe) -> bool {
        self.named.contains(&(item.line.as_str(), pipe.size.od))
    }

    /// Why it cannot be told which fittings a through-run goes through; `None` where it can.
    fn unclear(&self, item: &Item, pipe: &Pipe) -> Option<String> {
        let runs = self.alone.get(&(item.line.as_str(), pipe.size.od)).copied().unwrap_or(1);
        if item.line.is_empty() {
            Some("the run belongs to no line".to_owned())
        } else if item.quantity > 1 {
            Some(format!("there are {} runs like it", item.quantity))
        } else if runs > 1 {
            let line = quoted(&item.line);
            Some(format!("line {line} has {runs} such runs of {}", pipe.size.text))
        } else {
            None
        }
    }

    /// What all fittings of a run's line and size take out together, and how many they are. Of an
    /// equal tee only the two ends along the run count: its branch belongs to another run.
    fn take_outs(
        &self,
        item: &Item,
        pipe: &Pipe,
        lines: &[Typed<'_>],
        free: &Free<'_>,
    ) -> (Length, u64) {
        let mut out = Length::ZERO;
        let mut fittings: u64 = 0;
        for &at in self.by_line.get(item.line.as_str()).into_iter().flatten() {
            let Some(other) = lines.get(at).and_then(|line| line.item.as_ref()) else { continue };
            let equal = match &other.kind {
                Kind::Pipe(_) => continue,
                Kind::Tee(tee) => tee.run.od == tee.branch.od,
                _ => false,
            };
            let mut met = false;
            let fits = |(port, _): &&(Port, Option<u64>)| {
                port.od == Some(pipe.size.od) && !(equal && port.name == Some(BRANCH))
            };
            for (port, left) in free.of(at).iter().filter(fits) {
                let many = i64::try_from(left.unwrap_or_default()).unwrap_or(i64::MAX);
                let all = port.take_out.checked_mul(many).and_then(|all| out.checked_add(all));
                out = all.unwrap_or(Length::LIMIT).min(Length::LIMIT);
                met |= many > 0;
            }
            fittings += if met { other.quantity } else { 0 };
        }
        (out, fittings)
    }
}

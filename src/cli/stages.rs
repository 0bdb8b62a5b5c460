//! `rollwright stages`: a job cut over days, release by release.
//!
//! Steps, for a window of so many releases ahead: at each release, what the job wants up to the
//! window's end less what is cut, from what is on hand and rolls to buy; cut the pulls that this
//! release needs (whatever else they yield is in hand for later); carry the rests on to the next
//! release. Once the window reaches the last release, that plan is cut to its end. Day by day is the
//! window 0; the whole job planned at once is the widest. Rolls are priced as they are ordered: what
//! each release begins, and what the plan that is cut to its end begins, is one order ([`buy::purchase`]);
//! what is bought beyond what is cut lies on hand for the next release. Rolls that are whole at the end
//! (spares, and what a minimum order adds) are not used, so windows are compared without them.
//!
//! With `--out` the plans of one window are kept ([`Kept`]): a folder a release with plan, reports and
//! tickets, audited like any other, and the pulls to cut for it in the form of a report of what was
//! done, so that the next plan can be made from there when the day went otherwise.

use super::audit;
use super::choosing::not_chosen;
use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::folder;
use super::going_on::{as_begun, changed};
use super::inputs::Job;
use super::number;
use super::output::{self, Loudness};
use super::progress::Show;
use super::solving::{solve, stopped_early};
use super::stop::{Leaves, Stop, stoppable};
use crate::audit::Verified;
use crate::cost::rates::Kind;
use crate::cost::{self, Purchase, buy};
use crate::done::{self, Done, Ground};
use crate::finding::Findings;
use crate::plan::{Already, Piece, Plan, digest};
use crate::report::{
    self, CURRENCY, Cell, Document, Extras, Stage as Staged, Table, counted, filled, money,
};
use crate::units::Money;
use serde::Serialize;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Compare cutting day by day, release by release, with cutting ahead
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright stages demo/vellmoor                 day by day against the whole job at once
  rollwright stages demo/vellmoor --window 1      and one release ahead
  rollwright stages JOB --window 1 --out days     and keeps its plans to cut by

At each release the pulls that it needs are cut, and what is left of the rolls goes on to the
next. A window of 1 lets pieces of the next release fill these pulls, and so on. Writes nothing
without --out. With it: DIR/release-1 and so on, each with plan, reports, tickets, and cut-1.csv,
the pulls to cut for that release. When the day went otherwise, change that file and go on with

  rollwright plan JOB --from DIR/release-1/plan.json --done DIR/release-1/cut-1.csv --as-needed")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    /// How many releases ahead one may cut (day by day and the whole job are always shown)
    #[arg(long, value_name = "N", value_parser = number::whole::<usize>)]
    window: Option<usize>,
    /// Keep the plans of that window (day by day where none is named) in a folder a release
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    #[command(flatten)]
    effort: Effort,
    #[command(flatten)]
    pub(super) loudness: Loudness,
    /// As JSON
    #[arg(long, conflicts_with = "csv")]
    pub(super) json: bool,
    /// The stages as CSV
    #[arg(long)]
    csv: bool,
}

/// One release of one way of cutting.
#[derive(Clone, Debug, Serialize)]
struct Stage {
    /// How many releases ahead may be cut.
    window: usize,
    /// The release.
    release: u32,
    /// Rolls bought for it, with spares and what a minimum order or a price break adds.
    bought: u64,
    /// What they cost, at the price break that the order reaches; nothing where one of them has no price.
    price: Option<Money>,
    /// Whole rolls that are bought and not begun after it.
    whole: u64,
    /// What these cost when they were bought; nothing where one of them has no price.
    whole_price: Option<Money>,
    /// Rolls bought before, rests and offcuts that were begun for it.
    from_hand: u64,
    pulls: u64,
    pieces: u64,
    /// Pieces for later releases among them.
    ahead: u64,
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let asked = args.clone();
    let show = Show::suiting(args.loudness.quiet, args.loudness.verbose);
    let (job, stages, kept, (searches, spares)) = stoppable(Leaves::Nothing, move |stop| {
        let mut job = Job::read(&asked.job)?;
        not_chosen(&job, asked.loudness, "all releases are planned as specified");
        job.rules.choose = job.rules.choose.nothing();
        let releases: BTreeSet<u32> = job.demand.releases.values().copied().collect();
        let releases: Vec<u32> = releases.into_iter().collect();
        // Before the work: what is written comes after all of it.
        let first = asked.out.as_ref().zip(releases.first());
        if let Some((out, &release)) = first {
            let folder = out.join(release_folder(release));
            folder::may_write(&folder, &asked.job, &[])?;
            releases.iter().try_for_each(|&release| {
                as_written(&out.join(release_folder(release))).map(drop)
            })?;
            folder::can_write(&folder)?;
        }
        let widest = releases.len().saturating_sub(1);
        let wanted = asked.window.map(|window| window.min(widest));
        let mut windows = vec![0, widest];
        windows.extend(wanted);
        windows.sort_unstable();
        windows.dedup();
        let (mut stages, mut kept, mut searches) = (Vec::new(), Vec::new(), BTreeSet::new());
        let mut spares = Findings::new();
        for window in windows {
            let meant = window == wanted.unwrap_or(0);
            let plans = (asked.out.is_some() && meant).then_some(&mut kept);
            let effort = &asked.effort;
            let (of_window, stopped, lacking) =
                staged(&job, &releases, window, effort, (show, stop), plans)?;
            stages.extend(of_window);
            searches.extend(stopped);
            if meant {
                spares = lacking;
            }
        }
        Ok((job, stages, kept, (searches, spares)))
    })?;
    if let Some(out) = &args.out {
        write(&kept, out, &args.job)?;
        for stage in kept.iter().filter(|_| !args.loudness.quiet) {
            let folder = out.join(stage.folder());
            let files = stage.files().len();
            output::message(&format!("{}: {}; {files} files", folder.display(), stage.words));
        }
        if !args.loudness.quiet {
            for folder in left_over(out, &kept) {
                output::message(&format!(
                    "{} is of an earlier run: no plan here goes on from it; move it away, so that nobody cuts by it",
                    folder.display()
                ));
            }
            let all: BTreeSet<&String> = kept.iter().flat_map(|stage| &stage.illegible).collect();
            let all: Vec<String> = all.into_iter().cloned().collect();
            output::in_numbers(&all, report::TICKETS_PDF, report::TICKETS_PAGE);
        }
    }
    let mut findings = job.findings.clone();
    findings.append(spares);
    findings.extend(stopped_early(searches, "what a window saves may be the clock's doing"));
    output::findings(&job.telling().findings(&findings), args.loudness);
    let shown = if args.json {
        output::json(&stages)
    } else if args.csv {
        let table = table(&stages).with(CURRENCY, job.sources().currency());
        output::data(&String::from_utf8_lossy(&table.csv()))
    } else {
        output::data(&(words(&job.folder.name, &stages) + &of_prices(&job)))
    };
    match &args.out {
        Some(out) => output::after(shown, || format!("the plans are in {}", out.display()))?,
        None => shown?,
    }
    Ok(Exit::Done)
}

/// The plan of one release, to cut by.
struct Kept {
    release: u32,
    documents: Vec<Document>,
    /// Names that cannot be read in the PDF files among them.
    illegible: Vec<String>,
    /// For this release and later ones cut by the same plan, what is cut for it.
    cuts: Vec<(String, Vec<u8>)>,
    words: String,
}

fn release_folder(release: u32) -> String {
    format!("release-{release}")
}

/// The lists of what is cut for a release that an earlier run left, which say what the plan beside them
/// says: others tell how the day went otherwise, and whoever wrote that needs them.
///
/// # Errors
/// One of them says something else.
fn as_written(folder: &Path) -> Result<Vec<PathBuf>, Failure> {
    let entries = std::fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok);
    let lists = entries.filter_map(|entry| {
        let name = entry.file_name();
        let number = name.to_str()?.strip_prefix("cut-")?.strip_suffix(".csv")?;
        Some((entry.path(), number.parse::<u32>().ok()?))
    });
    let mut lists: Vec<(PathBuf, u32)> = lists.collect();
    lists.sort();
    if lists.is_empty() {
        return Ok(Vec::new());
    }
    let plan = audit::read(&folder.join(folder::PLAN)).ok().map(|(plan, _)| plan);
    for (path, release) in &lists {
        let text = std::fs::read(path).map_err(|e| Failure::file(path.clone(), e))?;
        // Earlier versions wrote ranges with a dash.
        let ranges = |text: &[u8]| String::from_utf8_lossy(text).replace(" to ", "-");
        let other = |plan: &Plan| {
            ranges(&done::report(plan, &done::cut_for(plan, *release))) != ranges(&text)
        };
        if plan.as_ref().is_none_or(other) {
            return Err(Failure::Usage(format!(
                "{} does not say what the plan beside it says, so somebody may have written into it how the day went, \
                 and new plans would replace both: move {} away, or name another folder with --out",
                path.display(),
                folder.display()
            )));
        }
    }
    Ok(lists.into_iter().map(|(path, _)| path).collect())
}

impl Kept {
    /// Of the releases that are cut by it; where later plans order what these do not begin, what is bought for them.
    fn of(
        plan: &Verified<Plan>,
        job: &Job,
        releases: &[u32],
        bought: Option<&Purchase>,
    ) -> Result<Self, Failure> {
        let number = |release: u32| done::waiting(plan).iter().filter(|&&w| w <= release).count();
        let stage = bought.zip(releases.first()).map(|(bought, &release)| Staged {
            release,
            pulls: number(release) as u64,
            now: bought.lines.iter().map(|line| (line.roll.clone(), line.count())).collect(),
        });
        let extras = Extras { stage: stage.as_ref(), ..Extras::default() };
        let sources = job.sources().with(extras);
        let mut documents =
            report::documents(plan, &sources).map_err(|e| Failure::System(e.to_string()))?;
        documents.extend(report::ticket_documents(plan, &sources));
        let cut = |release: u32| {
            (format!("cut-{release}.csv"), done::report(plan, &done::cut_for(plan, release)))
        };
        let words = releases
            .iter()
            .map(|&release| {
                format!("for release {release} cut pulls up to number {}", number(release))
            })
            .collect::<Vec<_>>()
            .join(", ");
        Ok(Self {
            release: releases.first().copied().unwrap_or_default(),
            documents,
            illegible: report::illegible(plan, &sources),
            cuts: releases.iter().map(|&release| cut(release)).collect(),
            words,
        })
    }

    fn folder(&self) -> String {
        release_folder(self.release)
    }

    /// The digest of the plan as it is written.
    fn digest(&self) -> String {
        let plan = self.documents.iter().find(|document| document.name == folder::PLAN);
        plan.map(|document| digest(&document.bytes)).unwrap_or_default()
    }

    /// Names of its files and what stands in them.
    fn files(&self) -> Vec<(&str, &[u8])> {
        self.documents().chain(self.cuts()).collect()
    }

    fn documents(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.documents.iter().map(|d| (d.name, d.bytes.as_slice()))
    }

    fn cuts(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.cuts.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice()))
    }
}

/// Writes the plans of all releases, or none: each goes on from the one before it.
fn write(kept: &[Kept], out: &Path, job: &Path) -> Result<(), Failure> {
    let mut sets = Vec::with_capacity(kept.len());
    for stage in kept {
        let folder = out.join(stage.folder());
        let names: Vec<&str> = stage.files().iter().map(|file| file.0).collect();
        folder::may_write(&folder, job, &names)?;
        let gone = as_written(&folder)?;
        let (files, behind) = (stage.documents().collect(), stage.cuts().collect());
        sets.push(folder::Set { folder, files, behind, gone });
    }
    folder::write_sets(&sets).map(drop)
}

/// The folders of releases, each with a plan, that an earlier run made and this one did not.
fn left_over(out: &Path, kept: &[Kept]) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(out).into_iter().flatten().filter_map(Result::ok);
    let release = |path: &PathBuf| {
        let name = path.file_name()?.to_str()?;
        let number = name.strip_prefix("release-")?.parse::<u32>().ok()?;
        (name == release_folder(number)).then_some(number)
    };
    let planned = entries.map(|entry| entry.path()).filter(|path| path.join(folder::PLAN).exists());
    let mut left: Vec<(u32, PathBuf)> = planned
        .filter_map(|path| Some((release(&path)?, path)))
        .filter(|(release, _)| kept.iter().all(|stage| stage.release != *release))
        .collect();
    left.sort();
    left.into_iter().map(|(_, path)| path).collect()
}

/// A job cut release by release with a window; its plans are kept where somebody wants them. Which searches were
/// stopped, and which spares cannot be had in the end.
fn staged(
    job: &Job,
    releases: &[u32],
    window: usize,
    effort: &Effort,
    (show, stop): (Show, &Stop),
    mut kept: Option<&mut Vec<Kept>>,
) -> Result<(Vec<Stage>, BTreeSet<String>, Findings), Failure> {
    let mut whole = Whole::new();
    let mut searches = BTreeSet::new();
    let mut before: Option<(Already, Verified<Plan>, Done)> = None;
    let (mut stages, mut lacking) = (Vec::new(), Findings::new());
    for (at, &release) in releases.iter().enumerate() {
        let last = at + window + 1 >= releases.len();
        let mut now = job.clone();
        now.keep_up_to(releases.get(at + window).copied().filter(|_| !last));
        if let Some((mut already, plan, done)) = before.take() {
            already.told.extend(changed(&plan, &now));
            now = now.going_on(already);
            now.before = Some(Arc::new((Plan::clone(&plan), done)));
        }
        let plan = solve(&now, effort, show, stop)?;
        searches.extend(plan.stopped());
        let cut_by_it = if last { &releases[at..] } else { &releases[at..=at] };
        let rolls = &now.stock.rolls;
        let done = done::cut_for(&plan, release);
        let begun = (!last).then(|| as_begun(&plan, &done, (rolls, &now)));
        let mut digest = String::new();
        if let Some(kept) = &mut kept {
            let keep = Kept::of(&plan, &now, cut_by_it, begun.as_ref().map(|begun| &begun.0))?;
            digest = keep.digest();
            kept.push(keep);
        }
        let Some((mut purchase, bought)) = begun else {
            let spares = now.rules.order.spare_rolls;
            let mut purchase = buy::purchase(&plan, rolls, spares, &now.rates);
            lacking = cost::spares(&plan, &now.stock, &now.rules, &now.rates);
            for &release in cut_by_it {
                stages.push(stage(
                    &plan,
                    &(release..=release),
                    window,
                    (&mut purchase, &mut whole),
                ));
            }
            break;
        };
        let spares = purchase.spares();
        let begun = (&mut purchase, &mut whole);
        stages.push(stage(&plan, &(0..=release), window, begun));
        let ground = Ground {
            digest: &digest,
            rules: &job.rules,
            measure: job.papers.measure,
            bought: &bought,
            spares: &spares,
        };
        let already = done::on_hand(&plan, &done, &ground);
        before = Some((already, plan, done));
    }
    Ok((stages, searches, lacking))
}

/// Whole rolls that are bought and not begun, by product, and what one cost when it was bought last, where
/// that is known.
type Whole = BTreeMap<String, (u64, Option<Money>)>;

/// A sum and so many more at a price each; no sum is known of what has no price.
fn added(sum: Option<Money>, each: Option<Money>, count: u64) -> Option<Money> {
    if count == 0 { sum } else { Some(sum? + each?.at_most_times(count)) }
}

/// What is cut of a plan while it waits for these releases. Spares, and what a minimum order or a price
/// break adds, are bought with the first roll of their product, and taken off the purchase then.
fn stage(
    plan: &Plan,
    releases: &std::ops::RangeInclusive<u32>,
    window: usize,
    (purchase, whole): (&mut Purchase, &mut Whole),
) -> Stage {
    let pieces: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    let mut stage = Stage {
        window,
        release: *releases.end(),
        bought: 0,
        price: Some(Money::ZERO),
        whole: 0,
        whole_price: Some(Money::ZERO),
        from_hand: 0,
        pulls: 0,
        pieces: 0,
        ahead: 0,
    };
    let steps = plan.sequence.iter().flat_map(|s| &s.steps);
    for (step, waits) in steps.zip(done::waiting(plan)) {
        if !releases.contains(&waits) {
            continue;
        }
        let Some(roll) = plan.rolls.get(step.roll) else { continue };
        if step.pull == 0 {
            if roll.shelf {
                stage.from_hand += 1;
                let of = plan.whole(&roll.roll).and_then(|product| whole.get_mut(product));
                if let Some((count, _)) = of {
                    *count = count.saturating_sub(1);
                }
            } else {
                let line = purchase.lines.iter_mut().find(|line| line.roll == roll.roll);
                let beyond = line.as_ref().map_or(0, |line| line.spare + line.more);
                let each = line.as_ref().and_then(|line| line.each);
                stage.bought += 1 + beyond;
                stage.price = added(stage.price, each, 1 + beyond);
                if let Some(line) = line {
                    (line.spare, line.more) = (0, 0);
                }
                let lies = whole.entry(roll.roll.clone()).or_default();
                *lies = (lies.0 + beyond, each);
            }
        }
        let Some(pull) = roll.pulls.get(step.pull) else { continue };
        stage.pulls += 1;
        for (place, used) in pull.placements.iter().zip(&step.uses) {
            stage.pieces += 1;
            let piece = pieces.get(place.piece.as_str());
            let used = piece.zip(*used).and_then(|(piece, at)| piece.uses.get(at));
            stage.ahead += u64::from(used.is_some_and(|used| used.release > stage.release));
        }
    }
    for (count, each) in whole.values() {
        stage.whole += count;
        stage.whole_price = added(stage.whole_price, *each, *count);
    }
    stage
}

/// What the prices are, where that is not plain: their currency, and that freight is not in them.
fn of_prices(job: &Job) -> String {
    let currency = job.sources().currency();
    let on_pallets = job.stock.rolls.iter().any(|roll| roll.terms.per_pallet.is_some());
    let freight = on_pallets && job.rates.of(Kind::Pallet).each > Money::ZERO;
    let mut words = Vec::new();
    if !currency.is_empty() {
        words.push(format!("Prices are {}.", money::currency(&report::visible(currency))));
    }
    if freight {
        let more = "Freight is not in them: ordered release by release the rolls may come on more pallets.";
        words.push(more.to_owned());
    }
    if words.is_empty() { String::new() } else { filled(&words.join(" "), "", "") }
}

fn table(stages: &[Stage]) -> Table {
    let mut table = Table::new(&[
        "releases ahead",
        "release",
        "rolls bought",
        "price",
        "whole rolls left",
        "rolls, rests and offcuts on hand begun",
        "pulls",
        "pieces",
        "of which ahead",
    ]);
    for stage in stages {
        table.push(vec![
            Cell::Count(stage.window as u64),
            Cell::Count(stage.release.into()),
            Cell::Count(stage.bought),
            stage.price.map_or(Cell::Empty, Cell::Money),
            Cell::Count(stage.whole),
            Cell::Count(stage.from_hand),
            Cell::Count(stage.pulls),
            Cell::Count(stage.pieces),
            Cell::Count(stage.ahead),
        ]);
    }
    table
}

/// What one window comes to.
#[derive(Clone, Copy)]
struct Sum {
    bought: u64,
    /// Nothing where a roll among them has no price.
    price: Option<Money>,
    /// Whole rolls left at the end, and what they cost.
    whole: (u64, Option<Money>),
}

impl Default for Sum {
    fn default() -> Self {
        Self { bought: 0, price: Some(Money::ZERO), whole: (0, Some(Money::ZERO)) }
    }
}

impl Sum {
    fn used(&self) -> u64 {
        self.bought.saturating_sub(self.whole.0)
    }

    /// What the rolls used cost.
    fn used_price(&self) -> Option<Money> {
        Some(self.price? - self.whole.1?)
    }

    /// What it saves against another: rolls, and money where it is known and not nothing.
    fn against(&self, by_day: &Self) -> String {
        let saved = by_day.used_price().zip(self.used_price()).map(|(then, now)| then - now);
        let (text, saves) = match self.used().cmp(&by_day.used()) {
            Ordering::Less => {
                (format!("saves {} against day by day", by_day.used() - self.used()), true)
            }
            Ordering::Equal => ("saves no roll against day by day".to_owned(), false),
            Ordering::Greater => {
                (format!("{} more than day by day", self.used() - by_day.used()), false)
            }
        };
        match saved {
            Some(saved) if saved > Money::ZERO && saves => {
                format!("{text} ({} in price)", saved.cents())
            }
            Some(saved) if saved > Money::ZERO => {
                format!("{text}, but saves {} in price", saved.cents())
            }
            Some(saved) if saved < Money::ZERO => {
                let and = if saves { "but" } else { "and" };
                format!("{text}, {and} costs {} more", (Money::ZERO - saved).cents())
            }
            _ => text,
        }
    }

    fn in_words(&self) -> String {
        let mut line = format!("{} to buy", counted(self.bought, "roll", "rolls"));
        if let Some(price) = self.price.filter(|price| *price > Money::ZERO) {
            let _ = write!(line, " for {}", price.cents());
        }
        if self.whole.0 > 0 {
            let _ = write!(line, ", of which {} not begun at the end", self.whole.0);
        }
        line
    }
}

/// What each window comes to, and what it saves against day by day: rolls that are not begun at the end
/// are not used, and their price is not counted.
fn words(name: &str, stages: &[Stage]) -> String {
    let mut sums: BTreeMap<usize, Sum> = BTreeMap::new();
    for stage in stages {
        let sum = sums.entry(stage.window).or_default();
        sum.bought += stage.bought;
        sum.price = sum.price.zip(stage.price).map(|(sum, more)| sum + more);
        sum.whole = (stage.whole, stage.whole_price);
    }
    let mut text = format!("{}, release by release\n\n", crate::report::visible(name));
    text.push_str(&table(stages).aligned());
    text.push('\n');
    let widest = sums.keys().max().copied().unwrap_or(0);
    let first = sums.get(&0).copied().unwrap_or_default();
    let kept = sums.values().any(|sum| sum.whole.0 > 0);
    let unpriced = sums.values().any(|sum| sum.price.is_none());
    for (window, sum) in sums {
        let how = match window {
            0 => "day by day".to_owned(),
            w if w == widest => "the whole job planned at once".to_owned(),
            1 => "one release ahead".to_owned(),
            w => format!("{w} releases ahead"),
        };
        let mut line = format!("{how}: {}", sum.in_words());
        if window > 0 {
            let _ = write!(line, "; {}", sum.against(&first));
        }
        text.push_str(&filled(&line, "", "  "));
    }
    if kept {
        let words = "Rolls that are not begun at the end, such as spares, are not used: they are left out of \
                     what a window saves, and so is their price.";
        text.push_str(&filled(words, "", ""));
    }
    if unpriced {
        let words =
            "No price is shown where one is bought of a product for which rolls.csv gives none.";
        text.push_str(&filled(words, "", ""));
    }
    if widest == 0 {
        text.push_str("The takeoff has one release only, so there is nothing to stage.\n");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of three rolls for 300 one lies there whole, so two for 200 are used; day by day it is three for 330.
    #[test]
    fn what_lies_there_whole_is_not_used() {
        let sum = |bought, price, whole, left| Sum {
            bought,
            price: Some(Money::from_units(price)),
            whole: (whole, Some(Money::from_units(left))),
        };
        let now = sum(3, 300, 1, 100);
        assert_eq!((now.used(), now.used_price()), (2, Some(Money::from_units(200))));
        let by_day = sum(3, 330, 0, 0);
        assert_eq!(now.against(&by_day), "saves 1 against day by day (130.00 in price)");
        assert_eq!(by_day.against(&now), "1 more than day by day, and costs 130.00 more");
    }
}

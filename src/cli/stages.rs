//! `rollwright stages`: a job cut over days, release by release.
//!
//! Steps, for a window of so many releases ahead: at each release, what the job wants up to the
//! window's end less what is cut, from what is on hand and rolls to buy; cut the pulls that this
//! release needs (whatever else they yield is in hand for later); carry the rests on to the next
//! release. Once the window reaches the last release, that plan is cut to its end. Day by day is the
//! window 0; the whole job planned at once is the widest.

use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::inputs::Job;
use super::output::{self, Loudness};
use super::progress::Show;
use super::solving::solve;
use super::stop::{Stop, stoppable};
use crate::done::{self, Ground};
use crate::plan::{Already, Piece, Plan};
use crate::report::{Cell, Table, filled};
use crate::units::Money;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::PathBuf;

/// Compare cutting day by day, release by release, with cutting ahead
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright stages demo/vellmoor                 day by day against the whole job at once
  rollwright stages demo/vellmoor --window 1      and one release ahead

At each release the pulls that it needs are cut, and what is left of the rolls goes on to the
next. A window of 1 lets pieces of the next release fill these pulls, and so on. Writes nothing.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    /// How many releases ahead one may cut (day by day and the whole job are always shown)
    #[arg(long, value_name = "N")]
    window: Option<usize>,
    #[command(flatten)]
    effort: Effort,
    #[command(flatten)]
    loudness: Loudness,
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
    /// Rolls bought for it.
    bought: u64,
    /// What they cost.
    price: Money,
    /// Rests and offcuts that were begun for it.
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
    let (job, stages) = stoppable(move |stop| {
        let job = Job::read(&asked.job)?;
        let releases: BTreeSet<u32> = job.demand.releases.values().copied().collect();
        let releases: Vec<u32> = releases.into_iter().collect();
        let widest = releases.len().saturating_sub(1);
        let mut windows = vec![0, widest];
        windows.extend(asked.window.map(|window| window.min(widest)));
        windows.sort_unstable();
        windows.dedup();
        let mut stages = Vec::new();
        for window in windows {
            stages.extend(staged(&job, &releases, window, &asked.effort, show, stop)?);
        }
        Ok((job, stages))
    })?;
    output::findings(&job.findings, args.loudness);
    if args.json {
        output::json(&stages)?;
    } else if args.csv {
        output::data(&String::from_utf8_lossy(&table(&stages).csv()))?;
    } else {
        output::data(&words(&job.folder.name, &stages))?;
    }
    Ok(Exit::Done)
}

/// A job cut release by release with a window.
fn staged(
    job: &Job,
    releases: &[u32],
    window: usize,
    effort: &Effort,
    show: Show,
    stop: &Stop,
) -> Result<Vec<Stage>, Failure> {
    let products: BTreeSet<&str> = job.stock.rolls.iter().map(|roll| roll.id.as_str()).collect();
    let square_cut = job.rules.table.square_cut;
    let ground = Ground { digest: "", square_cut, products: &products, bought: false };
    let mut before: Option<Already> = None;
    let mut stages = Vec::new();
    for (at, &release) in releases.iter().enumerate() {
        let last = at + window + 1 >= releases.len();
        let end = releases.get(at + window).copied().unwrap_or(u32::MAX);
        let mut now = job.clone();
        now.keep_up_to(end);
        if let Some(already) = before.take() {
            now = now.going_on(already);
        }
        let plan = solve(&now, effort, show, stop)?;
        if last {
            for &release in &releases[at..] {
                stages.push(stage(&plan, &(release..=release), window, &products));
            }
            break;
        }
        stages.push(stage(&plan, &(0..=release), window, &products));
        before = Some(done::on_hand(&plan, &done::cut_for(&plan, release), &ground));
    }
    Ok(stages)
}

/// What is cut of a plan while it waits for these releases.
fn stage(
    plan: &Plan,
    releases: &std::ops::RangeInclusive<u32>,
    window: usize,
    products: &BTreeSet<&str>,
) -> Stage {
    let pieces: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    let mut stage = Stage {
        window,
        release: *releases.end(),
        bought: 0,
        price: Money::ZERO,
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
            if products.contains(roll.roll.as_str()) {
                stage.bought += 1;
                stage.price += roll.price;
            } else {
                stage.from_hand += 1;
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
    stage
}

fn table(stages: &[Stage]) -> Table {
    let mut table = Table::new(&[
        "releases ahead",
        "release",
        "rolls bought",
        "price",
        "rests and offcuts begun",
        "pulls",
        "pieces",
        "of which ahead",
    ]);
    for stage in stages {
        table.push(vec![
            Cell::Count(stage.window as u64),
            Cell::Count(stage.release.into()),
            Cell::Count(stage.bought),
            Cell::Money(stage.price),
            Cell::Count(stage.from_hand),
            Cell::Count(stage.pulls),
            Cell::Count(stage.pieces),
            Cell::Count(stage.ahead),
        ]);
    }
    table
}

/// What each window comes to, and what it saves against day by day.
fn words(name: &str, stages: &[Stage]) -> String {
    let mut sums: BTreeMap<usize, (u64, Money)> = BTreeMap::new();
    for stage in stages {
        let sum = sums.entry(stage.window).or_default();
        sum.0 += stage.bought;
        sum.1 += stage.price;
    }
    let mut text = format!("{}, release by release\n\n", crate::report::visible(name));
    text.push_str(&table(stages).aligned());
    text.push('\n');
    let widest = sums.keys().max().copied().unwrap_or(0);
    let first = sums.get(&0).copied().unwrap_or_default();
    for (window, (rolls, price)) in sums {
        let how = match window {
            0 => "day by day".to_owned(),
            w if w == widest => "the whole job planned at once".to_owned(),
            1 => "one release ahead".to_owned(),
            w => format!("{w} releases ahead"),
        };
        let mut line = format!("{how}: {rolls} rolls to buy");
        if price > Money::ZERO {
            let _ = write!(line, " for {}", price.cents());
        }
        if window > 0 {
            let (saved, money) = (first.0.saturating_sub(rolls), first.1 - price);
            let _ = match rolls.cmp(&first.0) {
                std::cmp::Ordering::Less => {
                    write!(line, "; saves {saved} against day by day ({} in price)", money.cents())
                }
                std::cmp::Ordering::Equal => write!(line, "; saves no roll against day by day"),
                std::cmp::Ordering::Greater => {
                    write!(line, "; {} more than day by day", rolls - first.0)
                }
            };
        }
        text.push_str(&filled(&line, "", "  "));
    }
    if widest == 0 {
        text.push_str("The takeoff has one release only, so there is nothing to stage.\n");
    }
    text
}

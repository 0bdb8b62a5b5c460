//! One-dimensional cutting stock: for each set, how many are proven, and how long it takes.

use crate::augmented::{Made, made};
use crate::shared::{Raw, Timer, read, say};
use rollwright::nest::one::{Bin, Problem, solve};
use rollwright::nest::{Options, Status};
use std::time::Duration;

/// Seconds allowed for each instance made here.
const SECONDS: u64 = 60;

/// File and seconds allowed for each instance.
const SETS: [(&str, u64); 7] = [
    ("csp1d_falkenauer.json", 60),
    ("csp1d_scholl.json", 60),
    ("csp1d_waescher.json", 60),
    ("csp1d_schwerin.json", 60),
    ("csp1d_hard28.json", 60),
    ("csp1d_gi_gschwind_irnich.json", 60),
    ("csp1d_ani_ai.json", 60),
];

/// Runs the sets whose file name, or the instances whose name, contains `part`.
pub fn run(part: &str) -> bool {
    say("| set | instances | proven | equal to published | mean s | median s | worst s | worst |");
    say("|---|---|---|---|---|---|---|---|");
    let mut ran = 0;
    for (file, seconds) in SETS {
        let Some(instances) = read(file) else {
            say(&format!("| {file} | skipped: not there |"));
            continue;
        };
        let whole = file.contains(part);
        let chosen: Vec<Raw> = instances
            .into_iter()
            .filter(|raw| whole || raw.name.contains(part) || raw.source.contains(part))
            .collect();
        if !chosen.is_empty() {
            ran += chosen.len();
            table(file, &chosen, seconds);
        }
    }
    if "augmented".contains(part) {
        ran += augmented();
    }
    ran > 0
}

/// Instances made here after the classes AI and ANI; how many.
fn augmented() -> usize {
    let made = made();
    say("| made after AI and ANI | items | bin | value | bound | least | status | s |");
    say("|---|---|---|---|---|---|---|---|");
    for Made { name, problem, least } in &made {
        let timer = Timer::new(Duration::from_secs(SECONDS));
        let answer = solve(problem, &Options { work: u64::MAX, ..Options::default() }, &timer);
        let count: u64 = problem.items.iter().map(|item| item.1).sum();
        let size = problem.bins.first().map_or(0, |bin| bin.size);
        let told = answer.map_or_else(
            |_| "none | none | ".to_string() + &least.to_string() + " | none",
            |answer| format!("{} | {} | {least} | {:?}", answer.value, answer.bound, answer.status),
        );
        say(&format!("| {name} | {count} | {size} | {told} | {:.3} |", timer.seconds()));
    }
    made.len()
}

fn table(file: &str, instances: &[Raw], seconds: u64) {
    let mut times: Vec<(f64, &str)> = Vec::new();
    let (mut proven, mut equal) = (0, 0);
    let mut open = Vec::new();
    for raw in instances {
        let Some(problem) = problem(raw) else { continue };
        let timer = Timer::new(Duration::from_secs(seconds));
        let answer = solve(&problem, &Options { work: u64::MAX, ..Options::default() }, &timer);
        times.push((timer.seconds(), &raw.name));
        let Ok(answer) = answer else {
            open.push(format!("{}: no answer", raw.name));
            continue;
        };
        let published = raw.published.as_ref().and_then(|published| published.value);
        let is_equal = published.is_some_and(|value| {
            (value - f64::from(u32::try_from(answer.value).unwrap_or(0))).abs() < 0.5
        });
        proven += usize::from(answer.status == Status::Proven);
        equal += usize::from(is_equal);
        if answer.status != Status::Proven || !is_equal {
            open.push(format!(
                "{}: value {} bound {} published {published:?} {:?} {:.1} s",
                raw.name,
                answer.value,
                answer.bound,
                answer.status,
                timer.seconds()
            ));
        }
    }
    times.sort_by(|one, other| one.0.total_cmp(&other.0));
    let count = u32::try_from(times.len()).unwrap_or(1).max(1);
    let mean = times.iter().map(|time| time.0).sum::<f64>() / f64::from(count);
    let median = times.get(times.len() / 2).map_or(0.0, |time| time.0);
    let worst = times.last().map_or(0.0, |time| time.0);
    let names: Vec<String> =
        times.iter().rev().take(5).map(|(seconds, name)| format!("{name} {seconds:.3}")).collect();
    say(&format!(
        "| {file} | {} | {proven} | {equal} | {mean:.4} | {median:.4} | {worst:.3} | {} |",
        instances.len(),
        names.join(", ")
    ));
    for line in open {
        say(&format!("  open: {line}"));
    }
}

fn problem(raw: &Raw) -> Option<Problem> {
    let bins = raw
        .rolls
        .iter()
        .map(|roll| Some(Bin { size: whole(roll.length?), cost: 1, available: None }))
        .collect::<Option<Vec<Bin>>>()?;
    let items = raw.pieces.iter().map(|piece| (whole(piece.length), piece.quantity)).collect();
    Some(Problem { bins, items })
}

fn whole(length: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "the sets hold whole numbers")]
    let value = length.round() as i64;
    value
}

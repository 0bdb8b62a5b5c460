//! Straight cutting: for each set and style, answers against the bound and the published value, worst
//! gap first.

use crate::shared::{Timer, instances, say};
use rollwright::cutting::{Objective, Style};
use rollwright::nest::{Instance, Nesting, Options, Status, solve};
use std::time::Duration;

/// File, part of the names, seconds for each instance.
const SETS: [(&str, &str, u64); 11] = [
    ("strip_packing_rect.json", "-any-o", 10),
    ("strip_packing_rect.json", "-any-r", 10),
    ("csp2d_cintra_gcutd.json", "1bin-s2", 10),
    ("csp2d_cintra_gcutd.json", "3bin-s2-o", 10),
    ("csp2d_cintra_gcutd.json", "3bin-s2-r", 10),
    ("csp2d_silva2010_literature30.json", "-s2-", 10),
    ("csp2d_silva2010_literature30.json", "-s3-", 10),
    ("csp2d_silva2010_literature30.json", "-any-", 10),
    ("csp2d_imahori2005.json", "-any-", 10),
    ("bp2d_berkey_martello.json", "-s3-o", 10),
    ("bp2d_berkey_martello.json", "-s3-r", 10),
];

/// Runs the sets whose file and style, or the instances whose name, contain `part`.
pub fn run(part: &str) -> bool {
    let mut ran = 0;
    for (file, style, seconds) in SETS {
        let Some(all) = instances(file) else {
            say(&format!("{file}: skipped, not there"));
            continue;
        };
        let whole = format!("{file} {style}").contains(part);
        let chosen: Vec<Instance> = all
            .into_iter()
            .filter(|i| i.cutting.style == Style::Straight && i.name.contains(style))
            .filter(|i| whole || i.name.contains(part))
            .collect();
        if !chosen.is_empty() {
            ran += chosen.len();
            table(&format!("{file} {style}"), &chosen, seconds);
        }
    }
    ran > 0
}

/// One line of a table.
struct Line {
    gap: f64,
    text: String,
}

/// Solves the instances and prints them worst gap first, then the means.
pub fn table(title: &str, chosen: &[Instance], seconds: u64) {
    let mut lines = Vec::new();
    let (mut gaps, mut times, mut proven, mut better, mut worse) = (0.0, 0.0, 0, 0, Vec::new());
    for instance in chosen {
        let timer = Timer::new(Duration::from_secs(seconds));
        let options = Options { work: 2_000_000 * seconds, ..Options::default() };
        let Ok(nesting) = solve(instance, &options, &timer) else {
            lines.push(Line { gap: f64::INFINITY, text: format!("{}: no answer", instance.name) });
            continue;
        };
        let spent = timer.seconds();
        let gap = real(nesting.value - nesting.bound) / real(nesting.bound.max(1)) * 100.0;
        let published = instance.published.as_ref();
        let value = published.and_then(|p| p.value);
        let sure = published.is_some_and(|p| p.proven);
        proven += usize::from(nesting.status == Status::Proven);
        better += usize::from(value.is_some_and(|value| nesting.value < value));
        if let Some(value) = value.filter(|&value| nesting.value > value) {
            let mark = if sure { ", proven" } else { "" };
            let (ours, theirs) = (decimal(instance, nesting.value), decimal(instance, value));
            worse.push(format!("{}: {ours} over {theirs}{mark}", instance.name));
        }
        gaps += gap;
        times += spent;
        let published = value.map_or(String::new(), |value| decimal(instance, value));
        let text = format!(
            "| {} | {} | {} | {published} | {gap:.3} | {:.2} | {spent:.2} |",
            instance.name,
            decimal(instance, nesting.value),
            decimal(instance, nesting.bound),
            waste(instance, &nesting),
        );
        lines.push(Line { gap, text });
    }
    lines.sort_by(|a, b| b.gap.total_cmp(&a.gap));
    say(&format!("## {title}"));
    say("| instance | value | bound | published | gap % | waste % | s |");
    say("|---|---|---|---|---|---|---|");
    for line in lines {
        say(&line.text);
    }
    let count = real(i64::try_from(chosen.len()).unwrap_or(1).max(1));
    say(&format!(
        "{} instances, {proven} proven, {better} better and {} worse than published; \
         mean gap {:.4} %, mean {:.2} s",
        chosen.len(),
        worse.len(),
        gaps / count,
        times / count,
    ));
    for line in worse {
        say(&format!("  worse: {line}"));
    }
}

fn decimal(instance: &Instance, raw: i64) -> String {
    instance.objective.decimal(raw).to_string()
}

/// The share of the bought area that is in no piece, in percent.
fn waste(instance: &Instance, nesting: &Nesting) -> f64 {
    let pieces: f64 = instance.pieces.iter().map(|p| p.area().mm2_f64() * whole(p.quantity)).sum();
    let bought: f64 = nesting
        .layouts
        .iter()
        .map(|layout| {
            let roll = &instance.rolls[layout.roll];
            let length = match instance.objective {
                Objective::Length => real(nesting.value) / 1e6,
                _ => roll.length.map_or(0.0, rollwright::units::Length::mm_f64),
            };
            roll.width.mm_f64() * length * whole(layout.copies)
        })
        .sum();
    (1.0 - pieces / bought.max(1.0)) * 100.0
}

#[expect(clippy::cast_precision_loss, reason = "for printing")]
fn real(value: i64) -> f64 {
    value as f64
}

#[expect(clippy::cast_precision_loss, reason = "for printing")]
fn whole(value: u64) -> f64 {
    value as f64
}

//! Outlines: rows of gores and the published irregular strips, by density, worst first.
//!
//! Density is the pieces' area over the used length times the roll's width.

use crate::shared::{Timer, bytes, say};
use crate::{alternating, hollows};
use rollwright::nest::{Instance, Options, read, solve};
use rollwright::units::{Area, Length};
use std::time::Duration;

/// Files and seconds allowed for each instance.
const SETS: [(&str, u64); 2] = [("irregular_esicup.json", 60), ("gores_1.json", 60)];

/// Seconds for each instance that is made here.
const MADE: u64 = 20;

/// Runs the instances whose name, or whose file's name, contains `part`.
pub fn run(part: &str) -> bool {
    let mut ran = 0;
    for (file, seconds) in SETS {
        let Some(bytes) = bytes(file) else {
            say(&format!("{file} skipped: not there"));
            continue;
        };
        let entries = read(file, &bytes).unwrap_or_default();
        let chosen = entries
            .into_iter()
            .filter_map(|entry| entry.instance)
            .filter(|instance| file.contains(part) || instance.name.contains(part));
        ran += table(file, chosen.filter_map(|i| line(&i, seconds)).collect());
    }
    let made = alternating::instances().into_iter().chain(hollows::instances());
    let made = made.filter(|instance| instance.name.contains(part));
    ran += table("made here", made.filter_map(|i| line(&i, MADE)).collect());
    ran > 0
}

/// Prints lines, worst first; how many.
fn table(name: &str, mut lines: Vec<(f64, String)>) -> usize {
    lines.sort_by(|a, b| a.0.total_cmp(&b.0));
    say(&format!("{name}: {} instances", lines.len()));
    say("| instance | pieces | length | density % | published % | s |");
    say("|---|---|---|---|---|---|");
    for (_, text) in &lines {
        say(text);
    }
    lines.len()
}

fn line(instance: &Instance, seconds: u64) -> Option<(f64, String)> {
    let timer = Timer::new(Duration::from_secs(seconds));
    let options = Options { work: u64::MAX, ..Options::default() };
    let answer = solve(instance, &options, &timer).ok()?;
    let roll = instance.rolls.first()?;
    let area: i128 = instance.pieces.iter().map(|p| p.area().nm2() * i128::from(p.quantity)).sum();
    let density = |length: i64| {
        let used = Area::of_rectangle(roll.width, Length::from_nm(length));
        100.0 * Area::from_nm2(area).over(used)
    };
    let published = instance.published.as_ref().and_then(|p| p.value);
    let pieces: u64 = instance.pieces.iter().map(|p| p.quantity).sum();
    let own = density(answer.value);
    let text = format!(
        "| {} | {pieces} | {} | {own:.2} | {} | {:.1} |",
        instance.name,
        Length::from_nm(answer.value),
        published.map_or_else(|| "-".to_owned(), |value| format!("{:.2}", density(value))),
        timer.seconds(),
    );
    Some((own, text))
}

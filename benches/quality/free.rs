//! Free layouts of rectangles: shortest strips, bin packing, and roll jobs, worst first.

use crate::shared::{Timer, bytes, say};
use rollwright::cutting::Style;
use rollwright::nest::{Instance, Options, Status, read, solve};
use std::time::Duration;

/// Family, file and seconds allowed for each instance.
const SETS: [(&str, &str, u64); 5] = [
    ("strip", "strip_packing_rect.json", 10),
    ("free", "bp2d_berkey_martello.json", 5),
    ("free", "rolls_small_1.json", 5),
    ("free", "rolls_medium_1.json", 10),
    ("free", "rolls_large_1.json", 30),
];

/// A line of the table.
struct Line {
    excess: f64,
    text: String,
}

/// Runs a family's sets whose file name, or the instances whose name, contains `part`.
pub fn run(family: &str, part: &str) -> bool {
    let mut ran = 0;
    for (_, file, seconds) in SETS.iter().filter(|set| set.0 == family) {
        let Some(bytes) = bytes(file) else {
            say(&format!("{file} skipped: not there"));
            continue;
        };
        let entries = read(file, &bytes).unwrap_or_default();
        let free = entries.into_iter().filter_map(|entry| entry.instance).filter(|instance| {
            let chosen = file.contains(part) || instance.name.contains(part);
            instance.cutting.style == Style::Free && chosen
        });
        let mut lines: Vec<Line> = free.filter_map(|i| line(&i, *seconds)).collect();
        ran += lines.len();
        if !lines.is_empty() {
            table(file, &mut lines);
        }
    }
    ran > 0
}

/// Solves an instance; the excess is over the published value, else over the bound.
fn line(instance: &Instance, seconds: u64) -> Option<Line> {
    let timer = Timer::new(Duration::from_secs(seconds));
    let options = Options { work: 2_000_000 * seconds, ..Options::default() };
    let answer = solve(instance, &options, &timer).ok()?;
    let objective = instance.objective;
    let published = instance.published.as_ref().and_then(|published| published.value);
    let against = published.unwrap_or(answer.bound);
    let whole = |raw: i64| objective.decimal(raw).to_string();
    #[expect(clippy::cast_precision_loss, reason = "a ratio for people")]
    let excess = 100.0 * (answer.value - against) as f64 / against.max(1) as f64;
    let proven = if answer.status == Status::Proven { "proven" } else { "" };
    let text = format!(
        "| {} | {} | {} | {} | {excess:.3} | {:.1} | {proven} |",
        instance.name,
        whole(answer.value),
        whole(answer.bound),
        published.map_or_else(|| "-".to_owned(), whole),
        timer.seconds(),
    );
    Some(Line { excess, text })
}

fn table(file: &str, lines: &mut [Line]) {
    lines.sort_by(|a, b| b.excess.total_cmp(&a.excess));
    let count = u32::try_from(lines.len()).unwrap_or(1).max(1);
    let mean = lines.iter().map(|line| line.excess).sum::<f64>() / f64::from(count);
    say(&format!("{file}: {count} instances, mean excess {mean:.3} %"));
    say("| instance | value | bound | published | excess % | s | status |");
    say("|---|---|---|---|---|---|---|");
    for line in lines.iter() {
        say(&line.text);
    }
}

//! Joints chosen by the nest against joints as specified, on generated jobs of four kinds.
//!
//! Each job is nested on one roll without end, so that blanket length is what counts, and on rolls
//! of 50 m. Lines: as specified; with the nest choosing at no more joints in all; with up to 5 %
//! more; each without and with quarter turns. Everything is invented; only the kinds follow the
//! trade: short spools, mixed lengths, long runs, vessels.
//!
//! `choose NAME-PART STEPS STAGES SEED`: the work limit for choosing, a tenth of it for each nest; two stages
//! and the first seed where nothing is said. `least %` is proven, whatever joints are chosen: no waste where
//! pieces turn, else by chains of rows; empty where that took more than `STEPS`, or there are more stages.

use crate::shared::{Timer, say};
use rollwright::cutting::Objective;
use rollwright::demand::{Demand, Picks, expand, expand_chosen};
use rollwright::nest::straight::LaidPull;
use rollwright::nest::{Instance, Nesting, Options, solve_from};
use rollwright::plan::choose::{Freedom, Known};
use rollwright::plan::{Wanted, job};
use rollwright::rules::Rules;
use rollwright::stock::{Stock, combine, read_rolls};
use rollwright::takeoff::{self, Takeoff};
use rollwright::units::Length;
use std::fmt::Write as _;
use std::time::{Duration, Instant};

const SIZES: [&str; 8] =
    ["NPS 1", "NPS 1-1/2", "NPS 2", "NPS 3", "NPS 4", "NPS 6", "NPS 8", "NPS 10"];
const KINDS: [&str; 4] = ["spools", "mixed", "long", "vessels"];
const COUNTS: [u64; 3] = [30, 120, 400];
const ROLLS: &str = "roll,thickness,width,length,price,available\nT,10,1500,50 m,900,\n";

/// Runs the jobs whose name contains `part`.
pub fn run(part: &str, numbers: &[String]) -> bool {
    let number = |at: usize| numbers.get(at).and_then(|number| number.parse::<u64>().ok());
    let options = Options { work: number(0).unwrap_or(10_000_000), seed: number(2).unwrap_or(1) };
    let stages = number(1).and_then(|stages| u8::try_from(stages).ok()).unwrap_or(2);
    let mut ran = false;
    say(
        "job               turns joints      length m  waste %  least %  joints  rolls 50 m  bound  seconds",
    );
    for kind in KINDS {
        for count in COUNTS {
            let name = format!("{kind}-{count}");
            if name.contains(part) {
                ran = true;
                for turns in [false, true] {
                    one(&name, &takeoff(kind, count), (turns, stages), options);
                }
            }
        }
    }
    ran
}

/// Lehmer's generator (1951), modulus 2^31 - 1.
struct Lots(u64);

impl Lots {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 % limit
    }
}

/// An invented takeoff of two layers of 10 mm on everything.
fn takeoff(kind: &str, count: u64) -> String {
    let mut lots = Lots(7_919 + count);
    let mut text = String::from("item,kind,size,length,quantity,build\n");
    for number in 1..=count {
        let size = SIZES[usize::try_from(lots.below(8)).unwrap_or(0)];
        let (word, size, length) = match kind {
            "spools" => ("pipe", size.to_owned(), 500 + lots.below(2_501)),
            "mixed" => ("pipe", size.to_owned(), 500 + lots.below(5_501)),
            "long" => ("pipe", size.to_owned(), 4_000 + lots.below(8_001)),
            _ => ("shell", format!("OD {}", 500 + 50 * lots.below(20)), 1_500 + lots.below(4_501)),
        };
        let _ = writeln!(text, "X{number},{word},{size},{length},1,10+10");
    }
    text
}

struct Job {
    takeoff: Takeoff,
    stock: Stock,
    rules: Rules,
}

fn one(name: &str, text: &str, (turns, stages): (bool, u8), options: Options) {
    let mut rules = Rules::default();
    rules.turning.quarter_turns = turns;
    rules.table.stages = Some(stages);
    let (rolls, _) = read_rolls("rolls.csv", ROLLS.as_bytes());
    let stock = combine(rolls.unwrap_or_default(), Vec::new()).0;
    let (takeoff, found) = takeoff::read("takeoff.csv", text.as_bytes(), &rules);
    let (Some(takeoff), Some(stock)) = (takeoff, stock) else {
        for finding in &found {
            say(&finding.to_string());
        }
        return;
    };
    let mut job = Job { takeoff, stock, rules };
    let Some(demand) = expand(&job.takeoff, &job.stock, &job.rules).0 else { return };
    let start = Instant::now();
    line(&job, &demand, (name, turns, "specified", None), (start, options), &Known::new());
    for more in [0, 5] {
        job.rules.choose.more_joints = more;
        let start = Instant::now();
        let sheets = job::wanted(name, &demand, &job.stock, &job.rules);
        let Some(freedom) = Freedom::new(&demand, &sheets, (&job.stock, &job.rules)) else {
            return;
        };
        let timer = Timer::new(Duration::from_hours(1));
        let Some(picked) = freedom.choose(&Known::new(), &options, &timer) else { return };
        let picks = Picks { courses: picked.choices, ..Picks::default() };
        let (chosen, found) = expand_chosen(&job.takeoff, &job.stock, &job.rules, &picks);
        let Some(chosen) = chosen else {
            for finding in &found {
                say(&finding.to_string());
            }
            return;
        };
        let words = if more == 0 { "chosen" } else { "5 % more" };
        let least = freedom.least_length(&options, &timer);
        line(&job, &chosen, (name, turns, words, least), (start, options), &picked.chosen);
    }
}

fn line(
    job: &Job,
    demand: &Demand,
    (name, turns, words, least): (&str, bool, &str, Option<Length>),
    (start, options): (Instant, Options),
    known: &Known,
) {
    let sheets = job::wanted(name, demand, &job.stock, &job.rules);
    let instance = sheets.iter().map(Wanted::instance).next();
    let Some(instance) = instance else { return };
    let mut endless = instance.clone();
    endless.objective = Objective::Length;
    endless.rolls.truncate(1);
    endless.rolls[0].length = None;
    let known = known.values().next().map_or(&[][..], Vec::as_slice);
    let options = Options { work: options.work / 10, ..options };
    let long = nested(&endless, known, options);
    let rolls = nested(&instance, known, options);
    let area: f64 = instance
        .pieces
        .iter()
        .map(|p| {
            p.width.mm_f64() * p.length.mm_f64() * f64::from(u32::try_from(p.quantity).unwrap_or(0))
        })
        .sum();
    let cut = &instance.cutting;
    let usable = (instance.rolls[0].width - cut.edge_trim * 2).mm_f64();
    let joints: usize = demand.joints.iter().map(|j| j.joints.len()).sum();
    let length = |nesting: &Nesting| Length::from_nm(nesting.value) - cut.square_cut;
    let length = long.as_ref().map_or(Length::ZERO, length);
    let waste = |length: Length| (length.mm_f64() * usable / area - 1.0) * 100.0;
    let least = least.map_or(String::new(), |least| format!("{:.2}", waste(least)));
    let rolls = rolls.map_or((0, 0), |n| (n.value, n.bound));
    say(&format!(
        "{name:<17} {:<5} {words:<9} {:>10.2} {:>8.2} {least:>8} {joints:>7} {:>11} {:>6} {:>8.1}",
        if turns { "yes" } else { "no" },
        length.mm_f64() / 1000.0,
        waste(length),
        rolls.0,
        rolls.1,
        start.elapsed().as_secs_f64()
    ));
}

fn nested(instance: &Instance, known: &[LaidPull], options: Options) -> Option<Nesting> {
    let timer = Timer::new(Duration::from_hours(1));
    solve_from(instance, known, &options, &timer).ok()
}

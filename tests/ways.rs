//! How items are made, chosen by the nest, against brute force: every combination of ways of small
//! jobs, each nested exhaustively without a line of the engine.

#![expect(
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test helper that fails should stop the test"
)]

use crate::straight::oracle::least_rolls;
use rollwright::demand::{Demand, Thing, ThingWay, expand, expand_chosen, things};
use rollwright::demand::{Makings, Picks};
use rollwright::nest::{Options, Quiet};
use rollwright::plan::job;
use rollwright::plan::ways::Ways;
use rollwright::rules::Rules;
use rollwright::stock::{Stock, combine, read_rolls};
use rollwright::takeoff::{self, Takeoff};
use rollwright::units::Decimal;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// Lehmer's generator (1951), modulus 2^31 - 1.
struct Lots(u64);

impl Lots {
    fn below(&mut self, bound: u64) -> u64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 % bound
    }
}

struct Job {
    takeoff: Takeoff,
    stock: Stock,
    rules: Rules,
}

/// Up to six short items on short rolls; up to three of them may be made otherwise.
fn case(seed: u64) -> Job {
    let mut lots = Lots(seed * 9_973 + 17);
    let mut rules = Rules::default();
    rules.table.stages = Some(2);
    rules.turning.quarter_turns = lots.below(2) == 1;
    (rules.choose.builds, rules.choose.elbows, rules.choose.windings) = (true, true, true);
    rules.choose.parts = seed.is_multiple_of(4);
    rules.choose.more_pieces = [20, 50, 100, 300][usize::try_from(lots.below(4)).expect("small")];
    if lots.below(3) == 0 {
        rules.wrap.wound_up_to = rollwright::units::Length::from_mm(61);
    }
    let mut text = String::from("item,kind,size,length,quantity,build,pinned\n");
    for number in 0..2 + lots.below(5) {
        let size =
            ["NPS 1", "NPS 2", "NPS 3", "NPS 4"][usize::try_from(lots.below(4)).expect("small")];
        let build = ["10", "10", "5", "5+5"][usize::try_from(lots.below(4)).expect("small")];
        let pinned = if number < 3 { "" } else { "yes" };
        // One elbow at the most: gores are many pieces.
        let elbow = number == 0 && lots.below(3) == 0;
        let (kind, length) = if elbow {
            ("elbow", String::new())
        } else {
            ("pipe", (200 + lots.below(900)).to_string())
        };
        let build = if elbow { "10" } else { build };
        let _ = writeln!(text, "I{number},{kind},{size},{length},1,{build},{pinned}");
    }
    let rolls = format!(
        "roll,thickness,width,length,price,available\nA,10,{},{},300,\nB,5,{},{},200,\n",
        1_200 + lots.below(300),
        900 + lots.below(900),
        1_200 + lots.below(300),
        900 + lots.below(900),
    );
    let (takeoff, found) = takeoff::read("takeoff.csv", text.as_bytes(), &rules);
    let takeoff = takeoff.unwrap_or_else(|| panic!("{found:?}\n{text}"));
    let stock = combine(read_rolls("rolls.csv", rolls.as_bytes()).0.expect("rolls"), Vec::new());
    Job { takeoff, stock: stock.0.expect("stock"), rules }
}

/// The least number of rolls for a demand, and the most pieces of one thickness.
fn rolls(job: &Job, demand: &Demand) -> Option<u64> {
    let sheets = job::wanted("", demand, &job.stock, &job.rules);
    let many = |sheet: &rollwright::plan::Wanted| -> u64 {
        sheet.pieces.iter().map(|piece| piece.quantity).sum()
    };
    if sheets.iter().map(many).max().unwrap_or(0) > 8 {
        return None;
    }
    Some(sheets.iter().map(|sheet| least_rolls(&sheet.instance())).sum())
}

/// The least over all combinations within the limit on pieces; `None` where some have too many pieces
/// for exhaustive search.
fn brute_force(job: &Job, demand: &Demand, things: &[Thing]) -> Option<u64> {
    let free: BTreeSet<&String> = things.iter().flat_map(|thing| &thing.items).collect();
    let fixed = demand.pieces.iter().filter(|piece| !free.contains(&piece.item));
    let fixed: Vec<_> = fixed.cloned().collect();
    let all: u64 = demand.pieces.iter().map(|piece| piece.quantity).sum();
    let most = all + all * job.rules.choose.more_pieces / 100;
    let combinations: usize = things.iter().map(|thing| thing.ways.len()).product();
    let mut least: Option<u64> = None;
    for mut number in 0..combinations {
        let mut made = Demand { pieces: fixed.clone(), ..Demand::default() };
        for thing in things {
            let way: &ThingWay = &thing.ways[number % thing.ways.len()];
            number /= thing.ways.len();
            made.pieces.extend(way.demand.pieces.iter().cloned());
        }
        let pieces: u64 = made.pieces.iter().map(|piece| piece.quantity).sum();
        if pieces > most {
            continue;
        }
        let rolls = rolls(job, &made)?;
        least = Some(least.map_or(rolls, |least| least.min(rolls)));
    }
    least
}

#[test]
fn small_jobs_are_made_in_the_best_way() {
    let (mut done, mut chosen) = (0, 0);
    for seed in 1.. {
        if done == 200 {
            break;
        }
        let job = case(seed);
        let (Some(demand), _) = expand(&job.takeoff, &job.stock, &job.rules) else { continue };
        let things = things(&job.takeoff, &job.stock, &job.rules);
        let Some(ways) = Ways::new(&things, &demand, (&job.stock, &job.rules)) else { continue };
        let Some(least) = brute_force(&job, &demand, &things) else { continue };
        let options = Options { seed: 1, work: 2_000_000 };
        let found = ways.choose(&options, &Quiet);
        let mut best = rolls(&job, &demand).expect("as specified");
        let specified = best;
        let bound = Decimal::from_millionths(i64::try_from(least).expect("few") * 1_000_000);
        let (told, _) = found.bound.expect("a bound");
        assert!(told <= bound, "case {seed}: bound {told} above {least}");
        for made in found.made {
            assert!(pinned_as_specified(&job, &made.makings), "case {seed}");
            let picks = Picks { makings: made.makings, ..Picks::default() };
            let (as_made, found) = expand_chosen(&job.takeoff, &job.stock, &job.rules, &picks);
            let as_made = as_made.unwrap_or_else(|| panic!("case {seed}: {found:?}"));
            best = best.min(rolls(&job, &as_made).expect("few pieces"));
        }
        assert_eq!(best, least, "case {seed}");
        let (each, together) = ways.bounds_by_area();
        let sum: i64 = each.iter().map(|(_, bound)| bound.millionths()).sum();
        assert!(together <= bound && sum <= bound.millionths(), "case {seed}");
        chosen += usize::from(least < specified);
        done += 1;
    }
    assert!(chosen >= 20, "only in {chosen} of 200 cases a roll is saved");
}

fn pinned_as_specified(job: &Job, makings: &Makings) -> bool {
    job.takeoff.items.iter().filter(|item| item.pinned).all(|item| !makings.contains_key(&item.id))
}

//! Tests of forecasts: simulated quantiles against closed forms, files with mistakes, same seed same
//! figures.

use super::allowance::Question;
use super::simulate::sample;
use super::*;
use crate::nest::{Options, Quiet};
use crate::rules::Rules;
use crate::stock::{self, Stock};
use crate::takeoff::{self, Kind, Measure, Takeoff};
use crate::units::{Decimal, Length};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

const OPTIONS: Options = Options { seed: 1, work: 20_000 };

fn stock() -> Stock {
    let text = "roll,thickness,width,length\nB10,10,1500,20 m\nB5,5,1500,30 m\n";
    Stock { rolls: stock::read_rolls("rolls.csv", text.as_bytes()).0.unwrap(), offcuts: Vec::new() }
}

fn takeoff(lines: &str) -> Takeoff {
    let text = format!("item,kind,size,length,quantity,build\n{lines}");
    takeoff::read("takeoff.csv", text.as_bytes(), &Rules::default()).0.unwrap()
}

fn dec(text: &str) -> Decimal {
    Decimal::parse(text).unwrap()
}

/// Twenty runs of 3 m are the same on one line as on two: all alike, and drawn so.
#[test]
fn runs_alike_on_one_line_spread_as_little_as_on_two() {
    let laws = |lines: &str| -> Vec<Law> {
        quantities::of_takeoff(&takeoff(lines)).into_iter().map(|quantity| quantity.law).collect()
    };
    let one = laws("P,pipe,NPS 6,3 m,20,10\n");
    assert_eq!(one, laws("P,pipe,NPS 6,3 m,10,10\nQ,pipe,NPS 6,3 m,10,10\n"));
    let three = Law { shape: Shape::Fixed, mean: Length::from_mm(3000), spread: 0.0 };
    assert_eq!(one, [three]);
    // Of a single run there is no spread to be drawn; a third of a millimetre is no run of its own.
    assert_eq!(laws("P,pipe,NPS 6,3 m,1,10\n"), [three]);
    let job = quantities::of_takeoff(&takeoff("P,pipe,NPS 6,3000.4,900,10\n"));
    let drawn = allowance::draw(&job, Decimal::ONE, &mut ChaCha8Rng::seed_from_u64(1));
    assert_eq!(drawn.items.len(), 900);
}

/// Drawing until the total is used up made runs shorter and more than the mean that was given: each job cut its
/// last run short.
#[test]
fn runs_are_as_many_as_the_mean_says_and_scatter_as_their_law() {
    for (total, mean, spread) in
        [(10_000, 4000, 0.6), (6000, 4000, 0.2), (40_000, 4000, 0.2), (900, 4000, 0.6)]
    {
        let law = Law { shape: Shape::Lognormal, mean: Length::from_mm(mean), spread };
        let total = Length::from_mm(total);
        let (mut count, mut squares, mut free) = (0.0, 0.0, 0.0);
        for job in 0..4000 {
            let mut lots = ChaCha8Rng::seed_from_u64(7);
            lots.set_stream(job);
            let runs = law.runs(total, &mut lots);
            assert_eq!(runs.iter().copied().sum::<Length>(), total);
            assert!(runs.iter().all(|run| *run >= law::SHORTEST), "{runs:?}");
            let number = f64::from(u32::try_from(runs.len()).unwrap());
            let own = total.mm_f64() / number;
            count += number / 4000.0;
            squares += runs.iter().map(|run| (run.mm_f64() / own - 1.0).powi(2)).sum::<f64>();
            free += number - 1.0;
        }
        let wanted = (total.mm_f64() / law.mean.mm_f64()).max(1.0);
        // Three standard errors of a lot that is thrown 4000 times.
        assert!(
            (count - wanted).abs() < 3.0 * 0.5 / 4000.0_f64.sqrt(),
            "{total}: {count} {wanted}"
        );
        // To first order in the spread; shares of few and very unlike runs are bounded by the whole.
        if spread < 0.5 {
            let found = (squares / free).sqrt();
            assert!((found / spread - 1.0).abs() < 0.06, "{total}: {found} {spread}");
        }
    }
    // Runs that are all alike stay so, and the last is what is left.
    let fixed = Law { shape: Shape::Fixed, mean: Length::from_mm(4000), spread: 0.0 };
    let runs = fixed.runs(Length::from_mm(10_000), &mut ChaCha8Rng::seed_from_u64(1));
    assert_eq!(runs, [4000, 4000, 2000].map(Length::from_mm));
}

/// A job of single runs is drawn as it is, so its allowance is what it takes itself.
#[test]
fn a_job_of_single_runs_takes_what_it_takes() {
    let lines = [2, 3, 4, 6, 8, 10].map(|size| format!("P{size},pipe,NPS {size},4 m,1,10\n"));
    let job = takeoff(&lines.concat());
    let quantities = quantities::of_takeoff(&job);
    let (stock, rules) = (stock(), Rules::default());
    let shop = Shop { stock: &stock, rules: &rules, options: OPTIONS, chosen: None };
    let question = Question {
        jobs: 10,
        seed: 1,
        sizes: vec![Decimal::ONE],
        handbook: None,
        thorough: OPTIONS,
        source: String::new(),
    };
    let found = allowance::allowance(&quantities, &shop, &question, &Quiet).unwrap();
    let own = sample(&job, &shop, &Quiet).unwrap();
    let own = (own.sum(|taken| taken.used).over(own.sum(|taken| taken.plain)) - 1.0) * 100.0;
    for used in found.sizes[0].used {
        assert!((used - own).abs() < 1e-9, "{used} {own}");
    }
    // What is drawn stands there once, as all are the same.
    let [runs] = found.runs.as_slice() else { panic!("{:?}", found.runs) };
    assert_eq!(
        (runs.sizes.len(), runs.law, runs.mean),
        (6, law::Shape::Fixed, Length::from_mm(4000))
    );
}

/// Ten kilometres a million times over are more than 64 bits of nanometres: told at their line and not taken for less.
#[test]
fn more_runs_than_can_be_simulated_are_told() {
    let one = [Decimal::from_millionths(1_000_000)];
    let lines =
        "kind,size,length,quantity,build\nelbow,NPS 6,,1,10\npipe,NPS 6,10000 m,1000000,10\n";
    let read =
        |text: &str| quantities::read("q.csv", text.as_bytes(), &Rules::default()).0.unwrap();
    let finding = quantities::too_many_runs(&read(lines), &one).expect("a finding");
    assert_eq!((finding.code.id, finding.place.line), ("C004", Some(3)));
    let job = quantities::of_takeoff(&takeoff(
        "P,pipe,NPS 6,9000 m,1000000,10\nQ,pipe,NPS 6,9000 m,1000000,10\n",
    ));
    assert!(quantities::too_many_runs(&job, &one).is_some());
    // Two hundred thousand runs of 4 m less one are still simulated, but not twice as many.
    let much = read("kind,size,length,quantity,build\npipe,NPS 6,799.9996 m,1000,10\n");
    assert!(quantities::too_many_runs(&much, &one).is_none());
    assert!(quantities::too_many_runs(&much, &[Decimal::from_millionths(2_000_000)]).is_some());
}

/// Of one elbow four jobs in ten have none, and its kind has so much less area in a job.
#[test]
fn the_kinds_of_a_job_add_up_to_it() {
    let text = "kind,size,length,quantity,build\nelbow,NPS 6,,1,10\npipe,NPS 3,30 m,1,10\n";
    let quantities = quantities::read("q.csv", text.as_bytes(), &Rules::default()).0.unwrap();
    let (stock, rules) = (stock(), Rules::default());
    let shop = Shop { stock: &stock, rules: &rules, options: OPTIONS, chosen: None };
    let (sizes, source) = (vec![dec("0.6")], String::new());
    let question = Question { jobs: 20, seed: 1, sizes, handbook: None, thorough: OPTIONS, source };
    let found = allowance::allowance(&quantities, &shop, &question, &Quiet).unwrap();
    let sum: f64 = found.kinds.iter().map(|kind| kind.plain).sum();
    assert_eq!(found.kinds.len(), 2);
    assert!((sum - found.sizes[0].plain).abs() < 1e-9, "{found:?}");
}

/// A simulated job in which nothing is drawn is left out and counted; it is no job without waste.
#[test]
fn jobs_of_nothing_are_left_out() {
    let text = "kind,size,length,quantity,build\nelbow,NPS 6,,1,10\n";
    let quantities = quantities::read("q.csv", text.as_bytes(), &Rules::default()).0.unwrap();
    let (stock, rules) = (stock(), Rules::default());
    let shop = Shop { stock: &stock, rules: &rules, options: OPTIONS, chosen: None };
    let question = Question {
        jobs: 20,
        seed: 1,
        sizes: vec![dec("0.000001"), dec("0.4")],
        handbook: Some(dec("0")),
        thorough: OPTIONS,
        source: String::new(),
    };
    let found = allowance::allowance(&quantities, &shop, &question, &Quiet).unwrap();
    let at = &found.sizes[0];
    // None at all: nothing is ever too little.
    assert_eq!((at.empty, at.handbook), (20, Some([100.0; 2])), "{at:?}");
    assert!(at.used[0].abs() < 1e-12 && at.plain.abs() < 1e-12, "{at:?}");
    // Some: each of the others is one elbow, which wastes the same.
    let at = &found.sizes[1];
    assert!((1..20).contains(&at.empty), "{at:?}");
    assert!(at.used[0] > 1.0 && (at.used[2] - at.used[0]).abs() < 1e-9, "{at:?}");
    assert_eq!(at.handbook, Some([0.0; 2]));
}

#[test]
fn exponential_runs_share_their_total_as_the_closed_form_says() {
    // Exponential lengths scaled to their sum cut the total at places anywhere in it: a run of n is longer than a
    // part x with (1 - x)^(n - 1). With a mean of 50 m the shortest that is drawn hardly counts.
    let law = Law { shape: Shape::Exponential, mean: Length::from_mm(50_000), spread: 1.0 };
    let total = Length::from_mm(500_000);
    let mut firsts: Vec<Length> = (0..4000)
        .map(|job| {
            let mut lots = ChaCha8Rng::seed_from_u64(7);
            lots.set_stream(job);
            let runs = law.runs(total, &mut lots);
            assert_eq!((runs.iter().copied().sum::<Length>(), runs.len()), (total, 10));
            runs[0]
        })
        .collect();
    firsts.sort_unstable();
    for percent in [10, 50, 80, 90] {
        let ours = quantile::quantile(&firsts, percent).unwrap().mm_f64() / total.mm_f64();
        let part = f64::from(percent) / 100.0;
        let found = 1.0 - (1.0 - ours).powi(9);
        // Three standard errors of a part of so many, and the rare short runs.
        let off = 3.0 * (part * (1.0 - part) / 4000.0_f64).sqrt() + 0.01;
        assert!((found - part).abs() < off, "{part}: {found}");
    }
}

#[test]
fn lognormal_runs_have_the_mean_and_the_median_of_their_law() {
    // Closed forms of the log-normal: mean m, median m / sqrt(1 + c^2).
    let law = Law { shape: Shape::Lognormal, mean: Length::from_mm(6000), spread: 0.75 };
    let mut lots = ChaCha8Rng::seed_from_u64(3);
    let mut runs = law.runs(Length::from_mm(120_000_000), &mut lots);
    runs.sort_unstable();
    let count = u32::try_from(runs.len()).unwrap();
    let mean = 120_000_000.0 / f64::from(count);
    assert!((mean / 6000.0 - 1.0).abs() < 0.02, "{mean}");
    let median = quantile::quantile(&runs, 50).unwrap().mm_f64();
    assert!((median / (6000.0 / (1.0 + 0.75_f64 * 0.75).sqrt()) - 1.0).abs() < 0.03, "{median}");
}

/// The quantile of a triangular law over -1 to 1 with its peak at 0, in closed form.
fn triangular(part: f64) -> f64 {
    if part < 0.5 { (2.0 * part).sqrt() - 1.0 } else { 1.0 - (2.0 * (1.0 - part)).sqrt() }
}

#[test]
fn rolls_at_risk_are_those_of_the_closed_form() {
    // One run: rolls never fall as its length grows, so the quantile of the rolls is the rolls at
    // the quantile of the length, which is closed.
    let job = takeoff("P,pipe,NPS 8,200 m,1,10\n");
    let (stock, rules) = (stock(), Rules::default());
    let shop = Shop { stock: &stock, rules: &rules, options: OPTIONS, chosen: None };
    let (jobs, ordered) = (400_u32, 5_u64);
    let question = risk::Question {
        jobs,
        seed: 11,
        common: Decimal::ZERO,
        accepted: dec("0.1"),
        ordered: vec![Ordered { roll: "B10".to_owned(), cut: ordered - 1, count: ordered }],
        held: Held::default(),
    };
    let risk = risk::risk(&job, &[dec("0.4")], &shop, &question, &Quiet).unwrap();
    let needed = |part: f64| {
        let mut job = job.clone();
        if let Kind::Pipe(pipe) = &mut job.items[0].kind {
            let length = 200_000.0 * (1.0 + 0.4 * triangular(part.clamp(0.0, 1.0)));
            pipe.length = Length::from_mm_f64_nearest(length.round()).unwrap();
        }
        sample(&job, &shop, &Quiet).unwrap().nests[&Length::from_mm(10)].rolls
    };
    let nest = &risk.nests[0];
    // Beside the simulated jobs stands the job as it is, laid as they are.
    assert_eq!((nest.planned, nest.alike), (Some(ordered - 1), Some(needed(0.5))));
    for (percent, rolls) in quantile::PARTS.into_iter().zip(nest.rolls) {
        let part = f64::from(percent) / 100.0;
        let rolls = rolls.expect("any length goes on enough rolls");
        let off = 3.0 * (part * (1.0 - part) / f64::from(jobs)).sqrt();
        assert!(needed(part - off) <= rolls && rolls <= needed(part + off), "{part}: {rolls}");
    }
    assert!(nest.short > 0.0 && nest.short < 100.0, "{nest:?}");
    assert!(nest.short_then <= 10.0 && (risk.short - nest.short).abs() < 1e-9);
    let chance = |rolls: u64| nest.curve.iter().rfind(|(at, _)| *at <= rolls).map_or(0.0, |c| c.1);
    assert!((chance(ordered) - (100.0 - nest.short)).abs() < 1e-9);
    assert!((chance(ordered + nest.spare) - (100.0 - nest.short_then)).abs() < 1e-9);
}

/// The risk of an order of 10 mm for a job, from 200 simulated ones.
fn risk_of(
    takeoff: &Takeoff,
    rolls: &str,
    ordered: &[(&str, u64)],
    off: &str,
) -> risk::OfThickness {
    let text = format!("roll,thickness,width,length,available\n{rolls}");
    let rolls = stock::read_rolls("rolls.csv", text.as_bytes()).0.unwrap();
    let (stock, rules) = (Stock { rolls, offcuts: Vec::new() }, Rules::default());
    let line = |(roll, count): &(&str, u64)| Ordered {
        roll: (*roll).to_owned(),
        cut: *count,
        count: *count,
    };
    let question = risk::Question {
        jobs: 200,
        seed: 11,
        common: Decimal::ZERO,
        accepted: dec("0.05"),
        ordered: ordered.iter().map(line).collect(),
        held: Held::default(),
    };
    let shop = Shop { stock: &stock, rules: &rules, options: OPTIONS, chosen: None };
    let uncertain = vec![dec(off); takeoff.items.len()];
    let risk = risk::risk(takeoff, &uncertain, &shop, &question, &Quiet).unwrap();
    assert!((risk.short - risk.nests[0].short).abs() < 1e-9);
    risk.nests.into_iter().next().unwrap()
}

/// A plan that holds a takeoff, as the forecast sees it.
fn held_by_a_plan(takeoff: &Takeoff, stock: &Stock, rules: &Rules) -> Held {
    let demand = crate::demand::expand(takeoff, stock, rules).0.unwrap();
    let sheets = crate::plan::job::wanted("a job", &demand, stock, rules);
    let mut plan = crate::plan::sample::plan(1, 1);
    plan.nests.truncate(sheets.len());
    plan.pieces.clear();
    for (nest, sheet) in sheets.into_iter().enumerate() {
        plan.nests[nest].thickness = sheet.thickness;
        plan.pieces.extend(sheet.pieces.iter().map(|piece| piece.in_nest(nest)));
    }
    Held::by(&plan)
}

/// Simulated jobs are laid with less work than a plan, and may take more rolls than it for the same pieces: but what
/// wants no more of any piece than the plan cuts is held by its rolls.
#[test]
fn what_a_plan_holds_does_not_run_short() {
    let (stock, rules) = (stock(), Rules::default());
    let job = takeoff("P,pipe,NPS 8,200 m,1,10\n");
    let risk_by = |held: Held, off: &str| {
        let shop = Shop { stock: &stock, rules: &rules, options: OPTIONS, chosen: None };
        let question = risk::Question {
            jobs: 50,
            seed: 11,
            common: Decimal::ZERO,
            accepted: dec("0.1"),
            // One roll less than the little work of a simulated job finds for the job as it stands.
            ordered: vec![Ordered { roll: "B10".to_owned(), cut: 4, count: 4 }],
            held,
        };
        let risk = risk::risk(&job, &[dec(off)], &shop, &question, &Quiet).unwrap();
        risk.nests.into_iter().next().unwrap()
    };
    let held = || held_by_a_plan(&job, &stock, &rules);
    let unknown = risk_by(Held::default(), "0");
    assert!(unknown.alike > Some(4) && unknown.short > 99.0 && unknown.held == 0, "{unknown:?}");
    let sure = risk_by(held(), "0");
    assert_eq!((sure.held, sure.rolls, sure.spare), (50, [Some(4); 3], 0), "{sure:?}");
    assert!(sure.short.abs() < 1e-9 && sure.alike == unknown.alike, "{sure:?}");
    // What is longer wants more courses, and is laid anew.
    let off = risk_by(held(), "0.4");
    assert!(off.held < 50 && off.short > 1.0, "{off:?}");
}

#[test]
fn a_longer_roll_that_is_not_ordered_does_not_help() {
    // By construction: six whole courses of 719.7 mm in line fill 4318 of 5000 mm, a seventh has no room.
    // So one roll of 5 m holds up to 9 m, and as many runs come out longer as shorter. A roll of 10 m
    // would hold them all, but it is not ordered.
    let job = takeoff("P,pipe,OD 219.1,9 m,1,10\n");
    let both = risk_of(&job, "L,10,1500,10 m,\nS,10,1500,5 m,\n", &[("S", 1)], "0.3");
    // Three standard errors of a half of 200.
    assert!((both.short - 50.0).abs() < 11.0, "{both:?}");
    let alone = risk_of(&job, "S,10,1500,5 m,\n", &[("S", 1)], "0.3");
    assert_eq!(both, alone);
    assert_eq!((both.roll.as_str(), both.spare, both.ordered), ("S", 1, 1));
    assert!(both.short_then.abs() < 1e-9);
    // Beside a roll of 10 m, which holds 13 courses, one of 5 m is there as it is: together up to 28.5 m.
    let mixed = takeoff("P,pipe,OD 219.1,28.5 m,1,10\n");
    let rolls = "L,10,1500,10 m,\nS,10,1500,5 m,\n";
    let mixed = risk_of(&mixed, rolls, &[("L", 1), ("S", 1)], "0.3");
    assert_eq!((mixed.roll.as_str(), mixed.others, mixed.ordered), ("L", 1, 2));
    assert_eq!(mixed.planned, Some(2));
    assert!((mixed.short - 50.0).abs() < 11.0, "{mixed:?}");
    assert!(
        mixed.curve.iter().all(|(rolls, _)| *rolls >= 1),
        "the roll of 5 m is there: {mixed:?}"
    );
}

/// A roll of another product that was ordered beyond the cut may hold some of a job, so the rolls that the plan cuts are
/// not those that it takes.
#[test]
fn spares_of_another_product_leave_open_what_the_plan_takes() {
    let job = takeoff("P,pipe,OD 219.1,28.5 m,1,10\n");
    let text = "roll,thickness,width,length\nL,10,1500,10 m\nS,10,1500,5 m\n";
    let rolls = stock::read_rolls("rolls.csv", text.as_bytes()).0.unwrap();
    let (stock, rules) = (Stock { rolls, offcuts: Vec::new() }, Rules::default());
    let shop = Shop { stock: &stock, rules: &rules, options: OPTIONS, chosen: None };
    for (cut, planned) in [(1, Some(2)), (0, None)] {
        let line = |roll: &str, cut| Ordered { roll: roll.to_owned(), cut, count: 1 };
        let ordered = [line("L", 1), line("S", cut)];
        let order = order::Order::new(&job, &shop, &ordered, &Held::default());
        let counted = &order.counted[&Length::from_mm(10)];
        assert_eq!((counted.roll.as_str(), counted.planned), ("L", planned), "{counted:?}");
    }
}

#[test]
fn what_can_be_had_ends_the_further_spares_and_not_the_simulation() {
    let job = takeoff("P,pipe,OD 219.1,9 m,1,10\n");
    let none = risk_of(&job, "S,10,1500,5 m,1\n", &[("S", 1)], "0.3");
    assert!((none.short - 50.0).abs() < 11.0, "{none:?}");
    assert_eq!((none.further, none.spare), (Some(0), 0));
    assert!((none.short_then - none.short).abs() < 1e-9);
    // Where no more of what is ordered can be had, further rolls are of what can.
    let other = risk_of(&job, "M,10,1500,3 m,1\nS,10,1500,5 m,1\n", &[("S", 1)], "0.3");
    assert_eq!((other.roll.as_str(), other.others, other.further), ("M", 1, Some(1)));
    assert_eq!(other.spare, 1);
    assert!(other.short_then < other.short, "{other:?}");
    // One of three can be had: two lengths of seven courses need more.
    let some = takeoff("P,pipe,OD 219.1,18 m,1,10\n");
    let some = risk_of(&some, "S,10,1500,5 m,3\n", &[("S", 2)], "1");
    assert_eq!((some.further, some.spare), (Some(1), 1));
    assert!(some.short_then > 5.0 && some.short_then < some.short, "{some:?}");
    // An allowance asks how much a job takes, not who has it.
    let text = "roll,thickness,width,length,available\nS,10,1500,5 m,1\n";
    let rolls = stock::read_rolls("rolls.csv", text.as_bytes()).0.unwrap();
    let (stock, rules) = (Stock { rolls, offcuts: Vec::new() }, Rules::default());
    let shop = Shop { stock: &stock, rules: &rules, options: OPTIONS, chosen: None };
    let long = takeoff("P,pipe,OD 219.1,40 m,1,10\n");
    assert!(sample(&long, &shop, &Quiet).unwrap().nests[&Length::from_mm(10)].rolls > 3);
}

#[test]
fn a_roll_that_not_all_pieces_fit_is_not_the_one_that_is_counted() {
    // Courses of 1500 mm do not go on rolls of 300 mm, whatever their number; so the wide ones are counted,
    // though more narrow ones are ordered. One holds 13 courses, 19.5 m.
    let job = takeoff("P,pipe,OD 219.1,19.5 m,1,10\n");
    let rolls = "N,10,300,20 m,\nW,10,1500,10 m,\n";
    let wide = risk_of(&job, rolls, &[("N", 3), ("W", 1)], "0.3");
    assert_eq!((wide.roll.as_str(), wide.others), ("W", 3));
    assert!(wide.short > 0.0 && wide.rolls.iter().all(Option::is_some), "{wide:?}");
}

#[test]
fn what_is_in_common_widens_the_spread() {
    let lines =
        (0..20).fold(String::new(), |lines, at| lines + &format!("P{at},pipe,NPS 8,10 m,1,10\n"));
    let job = takeoff(&lines);
    let uncertain = vec![dec("0.3"); 20];
    let total = |common: &str, stream: u64| -> f64 {
        let mut lots = ChaCha8Rng::seed_from_u64(5);
        lots.set_stream(stream);
        let drawn = risk::draw(&job, &uncertain, dec(common), &mut lots);
        let length = |item: &takeoff::Item| match &item.kind {
            Kind::Pipe(pipe) => pipe.length.mm_f64(),
            _ => 0.0,
        };
        drawn.items.iter().map(length).sum()
    };
    let deviation = |common: &str| {
        let sums: Vec<f64> = (0..500).map(|stream| total(common, stream)).collect();
        let mean = sums.iter().sum::<f64>() / 500.0;
        (sums.iter().map(|sum| (sum - mean).powi(2)).sum::<f64>() / 500.0).sqrt()
    };
    // A triangular law over -u to u has the variance u^2 / 6; independent ones add up, common ones
    // multiply: 200 m * 0.3 / sqrt(6), over sqrt(20) where they are independent.
    let common = 200_000.0 * 0.3 / 6.0_f64.sqrt();
    assert!((deviation("1") / common - 1.0).abs() < 0.1, "{}", deviation("1"));
    let alone = common / 20.0_f64.sqrt();
    assert!((deviation("0") / alone - 1.0).abs() < 0.1, "{}", deviation("0"));
}

/// A length through fittings is off by a part of itself, and the fittings take out of it what they took.
#[test]
fn a_length_through_fittings_is_off_before_its_take_outs() {
    let both = |measure: Measure| -> Vec<Option<f64>> {
        let mut job = takeoff("P,pipe,NPS 8,400,1,10\nQ,pipe,NPS 8,10 m,1,10\n");
        if let Kind::Pipe(pipe) = &mut job.items[0].kind {
            pipe.measure = measure;
        }
        let drawn = |stream: u64| {
            let mut lots = ChaCha8Rng::seed_from_u64(5);
            lots.set_stream(stream);
            let drawn = risk::draw(&job, &[dec("0.5"); 2], Decimal::ZERO, &mut lots);
            drawn.items.iter().find(|item| item.id == "P").map(|item| match &item.kind {
                Kind::Pipe(pipe) => pipe.length.mm_f64(),
                _ => 0.0,
            })
        };
        (0..200).map(drawn).collect()
    };
    let through = both(Measure::Through(Length::from_mm(600)));
    // With the same lots a net length of 400 mm is off by the same part: (400 + 600) times - 600.
    let mut gone = 0;
    for (net, through) in both(Measure::Net).into_iter().zip(through) {
        let times = net.expect("never off by all of it") / 400.0;
        let left = 1000.0 * times - 600.0;
        if let Some(length) = through {
            assert!((length - left).abs() < 2.0, "{times}: {length}");
        } else {
            // Where the fittings take out all of it, there is no run.
            assert!(left < 2.0, "{times}");
            gone += 1;
        }
    }
    // The triangular law over 0.5 to 1.5 has 2 % below 0.6: some runs are gone, most are not.
    assert!(gone > 0 && gone < 20, "{gone}");
}

const QUANTITIES: &str = "kind,size,length,quantity,build,run,spread,law\n\
    pipe,NPS 6,120 m,1,10+5,3.5 m,50,\n\
    pipe,NPS 3,80 m,1,10,,,exponential\n\
    elbow,NPS 6,,14,10+5,,,\n";

#[test]
fn the_same_seed_gives_the_same_allowance_on_any_number_of_threads() {
    let rules = Rules::default();
    let (read, findings) = quantities::read("quantities.csv", QUANTITIES.as_bytes(), &rules);
    assert!(findings.is_empty(), "{findings:?}");
    let read = read.unwrap();
    assert_eq!(
        read[0].law,
        Law { shape: Shape::Lognormal, mean: Length::from_mm(3500), spread: 0.5 }
    );
    assert_eq!(read[1].law, Law { shape: Shape::Exponential, ..Law::default() });
    let stock = stock();
    let shop = Shop { stock: &stock, rules: &rules, options: OPTIONS, chosen: None };
    let question = Question {
        jobs: 12,
        seed: 1,
        sizes: vec![dec("0.25"), dec("1"), dec("3")],
        handbook: Some(dec("15")),
        thorough: Options { seed: 1, work: 50 * OPTIONS.work },
        source: String::new(),
    };
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| allowance::allowance(&read, &shop, &question, &Quiet).unwrap())
    };
    let one = on(1);
    assert_eq!(one, on(3));
    // It falls as the job grows, and whole rolls never take less than what is used of them.
    let [small, _, large] = one.sizes.as_slice() else { panic!("three sizes") };
    assert!(small.whole[1] > large.whole[1], "{one:?}");
    for at in &one.sizes {
        assert!(at.used.iter().zip(&at.whole).all(|(used, whole)| used <= whole));
        assert!(at.whole.is_sorted() && at.used.is_sorted());
        assert!(at.handbook.is_some_and(|h| h.iter().all(|p| (0.0..=100.0).contains(p))));
    }
    // With more work a job never takes more.
    let again = one.again.as_ref().expect("one job is laid again");
    assert_eq!(again.size, dec("1"));
    assert!(again.used[1] <= again.used[0] + 1e-9, "{again:?}");
    assert!(again.rolls.iter().all(|(_, [quick, thorough])| thorough <= quick), "{again:?}");
    let kinds: Vec<&str> = one.kinds.iter().map(|kind| kind.kind.as_str()).collect();
    assert_eq!(kinds, ["elbow", "pipe"]);
    assert!(one.kinds[0].used[0] > one.kinds[1].used[0], "curved pieces waste more: {one:?}");
}

#[test]
fn quoted_headings_and_lines_without_a_name_are_read() {
    let read = |text: &str| -> Vec<String> {
        let (read, findings) =
            quantities::read("quantities.csv", text.as_bytes(), &Rules::default());
        assert!(findings.is_empty(), "{text}: {findings:?}");
        read.unwrap().into_iter().map(|quantity| quantity.item.id).collect()
    };
    let quoted = "\"item\",\"kind\",\"size\",\"length\",\"quantity\",\"build\",\"run\"\n\
        \"A\",\"pipe\",\"NPS 6\",\"12 m\",1,10,\"4 m\"\n,pipe,NPS 3,12 m,1,10,\n";
    assert_eq!(read(quoted), ["A", "line 3"]);
    // A line break inside a cell, and empty lines: the number is the line's in the file.
    let broken = "kind,size,length,quantity,build,\"note\"\n\npipe,NPS 6,12 m,1,10,\"by\nthe stairs\"\n\
        elbow,NPS 6,,4,10,\n";
    assert_eq!(read(broken), ["line 3", "line 5"]);
    let marked = "\"Kind\", Size ,length,quantity,build,\"Item\"\npipe,NPS 6,12 m,1,10,B\n";
    assert_eq!(read(marked), ["B"]);
}

#[test]
fn mistakes_in_quantities_are_told_with_their_place() {
    let told = |line: &str| -> Vec<String> {
        let text = format!("kind,size,length,quantity,build,run,spread,law\n{line}\n");
        let (read, findings) =
            quantities::read("quantities.csv", text.as_bytes(), &Rules::default());
        assert_eq!(read.is_none(), findings.has_errors());
        findings.iter().map(ToString::to_string).collect()
    };
    for (line, words) in [
        ("pipe,NPS 6,12 m,1,10,4 m,300,", "quantities.csv:2:7 (spread): error C004"),
        ("pipe,NPS 6,12 m,1,10,4 m,-5 %,", "is negative"),
        ("pipe,NPS 6,12 m,1,10,1 mm,,", "quantities.csv:2:6 (run): error C004"),
        ("pipe,NPS 6,12 m,1,10,,,normal", "error C003"),
        ("pipe,NPS 6,\"12,5 m\",1,10,,,", "quantities.csv:2:3 (length): error T"),
        ("pump,NPS 6,,1,10,,,", "quantities.csv:2:1 (kind): error T"),
        ("elbow,NPS 6,,1,10,4 m,,", "quantities.csv:2:6 (run): warning T020"),
        ("elbow,NPS 6,,1,10,,,fixed", "quantities.csv:2:8 (law): warning T020"),
    ] {
        let told = told(line);
        assert!(told.iter().any(|finding| finding.contains(words)), "{line}: {told:?}");
    }
    assert!(told("pipe,NPS 6,12 m,1,10,4 m,,").is_empty());
}

#[test]
fn a_takeoff_is_summed_up_by_size() {
    let job = takeoff("A,pipe,NPS 6,3 m,2,10\nB,pipe,NPS 6,6 m,1,10\nE,elbow,NPS 6,,4,10\n");
    let summed = quantities::of_takeoff(&job);
    assert_eq!(summed.len(), 2);
    let pipe = summed.iter().find(|q| matches!(q.item.kind, Kind::Pipe(_))).unwrap();
    // By hand: 3 + 3 + 6 = 12 m in three runs; mean 4 m, deviation sqrt(6 / 2) m.
    assert_eq!(pipe.law.mean, Length::from_mm(4000));
    assert!((pipe.law.spread - 3.0_f64.sqrt() / 4.0).abs() < 1e-9);
    let Kind::Pipe(run) = &pipe.item.kind else { panic!("a pipe") };
    assert_eq!(run.length, Length::from_mm(12_000));
}

#[test]
fn the_first_line_that_selects_an_item_counts() {
    let job = takeoff("A,pipe,NPS 6,3 m,2,10\nB,pipe,NPS 6,6 m,1,10\nE,elbow,NPS 6,,4,10\n");
    let text = "item,kind,uncertainty\nB,,20 %\n,pipe,7.5\n";
    let (lines, findings) = uncertainty::read("uncertainty.csv", text.as_bytes());
    let (all, found) = uncertainty::of_items(&lines, &job);
    assert!(findings.is_empty() && found.is_empty(), "{findings:?} {found:?}");
    assert_eq!(all, [dec("0.075"), dec("0.2"), Decimal::ZERO]);
}

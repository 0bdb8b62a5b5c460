//! The prices by which rolls are shared, against a programme of its own: every layout enumerated, the
//! dual written out, and solved by another solver (microlp through `good_lp`). Where the optimal
//! prices are not unique, ours must lie between the least and the greatest that an optimal dual has.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use good_lp::{
    Expression, ProblemVariables, Solution, SolverModel, Variable, constraint, default_solver,
    variable,
};
use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::nest::straight::{Over, duals};
use rollwright::nest::{Instance, Options, Piece, Quiet, Roll, solve};
use rollwright::units::{Length, Money};

/// A column of the primal: how many of each piece, and what it costs; `limited` is the roll whose
/// number it counts against.
struct Column {
    counts: Vec<u64>,
    cost: f64,
    limited: Option<usize>,
}

fn instance(
    rolls: &[(i64, i64, i64, Option<u64>)],
    pieces: &[(i64, i64, u64)],
    objective: Objective,
) -> Instance {
    let mm = Length::from_mm;
    Instance {
        name: "shared".to_owned(),
        rolls: rolls
            .iter()
            .enumerate()
            .map(|(k, &(width, length, price, available))| Roll {
                id: format!("R{k}"),
                width: mm(width),
                length: Some(mm(length)),
                price: Money::from_units(price),
                available,
            })
            .collect(),
        pieces: pieces
            .iter()
            .enumerate()
            .map(|(i, &(width, length, quantity))| Piece {
                id: format!("p{i}"),
                width: mm(width),
                length: mm(length),
                outline: None,
                quantity,
                turns: Turns::none(),
            })
            .collect(),
        cutting: Cutting::plain(Style::Straight, Some(2)),
        objective,
        published: None,
    }
}

/// Every way to fill a room with sizes, none more often than is said.
fn fillings(sizes: &[(i64, u64)], room: i64) -> Vec<Vec<u64>> {
    let Some((&(size, most), rest)) = sizes.split_first() else { return vec![Vec::new()] };
    let mut all = Vec::new();
    for n in 0..=most {
        let taken = size * i64::try_from(n).expect("few");
        if taken > room {
            break;
        }
        for mut filling in fillings(rest, room - taken) {
            filling.insert(0, n);
            all.push(filling);
        }
    }
    all
}

fn real(n: u64) -> f64 {
    f64::from(u32::try_from(n).expect("small"))
}

/// The dual with one more aim: its variables, and the best value of the aim.
struct Dual<'a> {
    columns: &'a [Column],
    demand: Vec<f64>,
    limits: Vec<Option<u64>>,
}

impl Dual<'_> {
    /// Solves `max` (or `min`) of an aim over all duals whose own value is at least `least`.
    fn solve(
        &self,
        least: Option<f64>,
        greatest: bool,
        aim: &dyn Fn(&[Variable], &Expression) -> Expression,
    ) -> (f64, Vec<f64>) {
        let mut variables = ProblemVariables::new();
        let prices = variables.add_vector(variable().min(0.0), self.demand.len());
        let scarce = variables.add_vector(variable().min(0.0), self.limits.len());
        let mut value: Expression =
            self.demand.iter().zip(&prices).map(|(&d, &price)| d * price).sum();
        for (limit, &saves) in self.limits.iter().zip(&scarce) {
            if let Some(limit) = limit {
                value -= real(*limit) * saves;
            }
        }
        let aimed = aim(&prices, &value);
        let problem = if greatest {
            variables.maximise(aimed.clone())
        } else {
            variables.minimise(aimed.clone())
        };
        let mut model = problem.using(default_solver);
        for column in self.columns {
            let mut worth: Expression =
                column.counts.iter().zip(&prices).map(|(&n, &price)| real(n) * price).sum();
            if let Some(k) = column.limited {
                worth -= scarce[k];
            }
            model.add_constraint(constraint!(worth <= column.cost));
        }
        if let Some(least) = least {
            model.add_constraint(constraint!(value >= least));
        }
        let solution = model.solve().expect("a solution");
        (solution.eval(&aimed), prices.iter().map(|&price| solution.value(price)).collect())
    }
}

/// Holds our prices against the dual over these columns; `unit` is what one raw unit is worth.
fn check(instance: &Instance, columns: &[Column], unit: f64) {
    let options = Options { seed: 1, work: 5_000_000 };
    let answer = solve(instance, &options, &Quiet).expect("an answer");
    let ours = duals(instance, &answer.layouts, &options, &Quiet).expect("prices");
    assert_eq!(ours.over, Over::All);
    let dual = Dual {
        columns,
        demand: instance.pieces.iter().map(|piece| real(piece.quantity)).collect(),
        limits: instance.rolls.iter().map(|roll| roll.available).collect(),
    };
    let (best, _) = dual.solve(None, true, &|_, value| value.clone());
    let each: Vec<f64> = ours.each.iter().map(|price| price * unit).collect();
    let saved: f64 = ours
        .scarce
        .iter()
        .zip(&instance.rolls)
        .map(|(saves, roll)| saves * unit * real(roll.available.unwrap_or(0)))
        .sum();
    let value: f64 = each.iter().zip(&dual.demand).map(|(price, d)| price * d).sum::<f64>() - saved;
    assert!((value - best).abs() < 1e-6 * best.max(1.0), "ours {value}, theirs {best}");
    let slack = 1e-7 * best.max(1.0);
    for (i, price) in each.iter().enumerate() {
        let aim = |prices: &[Variable], _: &Expression| Expression::from(prices[i]);
        let (low, _) = dual.solve(Some(best - slack), false, &aim);
        let (high, _) = dual.solve(Some(best - slack), true, &aim);
        let near = 1e-5 * best.max(1.0);
        assert!(
            *price >= low - near && *price <= high + near,
            "piece {i}: ours {price}, theirs from {low} to {high}"
        );
    }
    // The whole rolls never come to less than what is shared.
    let whole = instance.objective.decimal(answer.value).f64();
    assert!(value <= whole + 1e-6 * whole, "shared {value}, whole rolls {whole}");
}

#[test]
fn bars_on_one_roll() {
    let pieces = [(600, 2100, 7), (600, 1700, 9), (650, 1300, 11), (700, 900, 6)];
    let instance = instance(&[(1000, 6000, 1, None)], &pieces, Objective::Rolls);
    let sizes: Vec<(i64, u64)> = pieces.iter().map(|p| (p.1, p.2)).collect();
    let columns: Vec<Column> = fillings(&sizes, 6000)
        .into_iter()
        .map(|counts| Column { counts, cost: 1.0, limited: None })
        .collect();
    assert!(columns.len() > 50);
    check(&instance, &columns, 1.0);
}

/// One roll holds all three, and any prices that add up to it would do if a layout held none more often than once.
/// By hand: five, five and six of each alone fill a roll, so none costs more than a fifth of it.
#[test]
fn bars_that_one_roll_holds_are_priced_as_if_many_were_wanted() {
    let pieces = [(600, 1200, 1), (600, 1100, 1), (600, 900, 1)];
    let instance = instance(&[(1000, 6000, 1, None)], &pieces, Objective::Rolls);
    let sizes: Vec<(i64, u64)> = pieces.iter().map(|p| (p.1, 6)).collect();
    let columns: Vec<Column> = fillings(&sizes, 6000)
        .into_iter()
        .map(|counts| Column { counts, cost: 1.0, limited: None })
        .collect();
    check(&instance, &columns, 1.0);
    let options = Options { seed: 1, work: 5_000_000 };
    let answer = solve(&instance, &options, &Quiet).expect("an answer");
    let ours = duals(&instance, &answer.layouts, &options, &Quiet).expect("prices").each;
    assert!(ours.iter().all(|&price| price > 0.1 && price < 0.2 + 1e-9), "{ours:?}");
}

#[test]
fn pulls_on_long_rolls() {
    // Sizes and quantities drawn once; any would do.
    let pieces = [(34, 50, 7), (27, 41, 11), (61, 29, 5), (18, 63, 9), (45, 45, 6), (12, 20, 23)];
    let instance = instance(&[(100, 10_000, 1, None)], &pieces, Objective::Rolls);
    let sizes: Vec<(i64, u64)> = pieces.iter().map(|p| (p.0, p.2)).collect();
    let long = |counts: &[u64]| {
        let used = counts.iter().zip(&pieces).filter(|(n, _)| **n > 0);
        used.map(|(_, piece)| piece.1).max().unwrap_or(0)
    };
    let columns: Vec<Column> = fillings(&sizes, 100)
        .into_iter()
        .map(|counts| {
            let length = u64::try_from(long(&counts)).expect("positive");
            Column { cost: real(length) / 10_000.0, counts, limited: None }
        })
        .collect();
    check(&instance, &columns, 1.0);
}

#[test]
fn two_prices_and_offcuts_that_are_paid_for() {
    let pieces = [(800, 2300, 9), (820, 1750, 12), (900, 1100, 14), (760, 640, 10)];
    let rolls = [(1000, 6000, 60, None), (1000, 4500, 48, None), (1000, 5000, 0, Some(2))];
    let instance = instance(&rolls, &pieces, Objective::Price);
    let sizes: Vec<(i64, u64)> = pieces.iter().map(|p| (p.1, p.2)).collect();
    let mut columns = Vec::new();
    for (k, &(_, length, price, available)) in rolls.iter().enumerate() {
        columns.extend(fillings(&sizes, length).into_iter().map(|counts| Column {
            counts,
            cost: real(u64::try_from(price).expect("positive")),
            limited: available.map(|_| k),
        }));
    }
    check(&instance, &columns, 1e-6);
}

#[test]
fn two_widths_in_pulls_with_prices() {
    let pieces = [(34, 50, 70), (27, 41, 110), (61, 29, 50), (18, 63, 90), (45, 45, 60)];
    let rolls = [(100, 9_000, 90, None), (70, 9_000, 66, None)];
    let instance = instance(&rolls, &pieces, Objective::Price);
    let sizes: Vec<(i64, u64)> = pieces.iter().map(|p| (p.0, 6)).collect();
    let mut columns = Vec::new();
    for &(width, length, price, _) in &rolls {
        for counts in fillings(&sizes, width) {
            let used = counts.iter().zip(&pieces).filter(|(n, _)| **n > 0);
            let long = used.map(|(_, piece)| piece.1).max().unwrap_or(0);
            let cost = real(u64::try_from(price * long).expect("positive"));
            let whole = real(u64::try_from(length).expect("positive"));
            columns.push(Column { cost: cost / whole, counts, limited: None });
        }
    }
    check(&instance, &columns, 1e-6);
}

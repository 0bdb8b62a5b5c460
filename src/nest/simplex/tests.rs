//! Against microlp, an independent solver, and against the optimality conditions themselves.

use super::{Outcome, Row, Sense, Simplex};
use microlp::{ComparisonOp, OptimizationDirection, Problem};

const NEVER: fn() -> bool = || false;

/// Numbers that look drawn by lot (`SplitMix64`).
struct Lots(u64);

impl Lots {
    fn below(&mut self, end: u32) -> u32 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        u32::try_from((z ^ (z >> 31)) >> 32).unwrap() % end
    }

    fn between(&mut self, low: i32, high: i32) -> f64 {
        let span = u32::try_from(high - low + 1).unwrap();
        f64::from(low + i32::try_from(self.below(span)).unwrap())
    }
}

/// Cost, upper bound, entries.
type Column = (f64, f64, Vec<(usize, f64)>);

#[derive(Clone, Debug)]
struct Programme {
    rows: Vec<Row>,
    columns: Vec<Column>,
}

impl Programme {
    fn random(lots: &mut Lots) -> Self {
        let row_count = 1 + lots.below(14) as usize;
        let column_count = 1 + lots.below(24) as usize;
        let small = lots.below(2) == 0;
        let rows = (0..row_count)
            .map(|_| Row {
                sense: [Sense::AtLeast, Sense::AtMost, Sense::Equal][lots.below(3) as usize % 3],
                rhs: if small { lots.between(0, 2) } else { lots.between(-6, 30) },
            })
            .collect();
        let columns = (0..column_count)
            .map(|_| {
                let upper = match lots.below(4) {
                    0 => lots.between(0, 3),
                    _ => f64::INFINITY,
                };
                let entries = (0..row_count)
                    .filter_map(|row| {
                        let value = lots.between(-1, 3);
                        (lots.below(3) == 0 && value != 0.0).then_some((row, value))
                    })
                    .collect();
                let cost = if small { lots.between(0, 1) } else { lots.between(-1, 9) };
                (cost, upper, entries)
            })
            .collect();
        Self { rows, columns }
    }

    fn simplex(&self) -> Simplex {
        let mut simplex = Simplex::new(&self.rows);
        for (cost, upper, entries) in &self.columns {
            let column = simplex.add_column(*cost, entries);
            simplex.set_upper(column, *upper);
        }
        simplex
    }

    /// The independent solver's objective; `Err(true)` is infeasible, `Err(false)` unbounded.
    fn reference(&self) -> Result<f64, bool> {
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let variables: Vec<_> = self
            .columns
            .iter()
            .map(|(cost, upper, _)| problem.add_var(*cost, (0.0, *upper)))
            .collect();
        for (index, row) in self.rows.iter().enumerate() {
            let terms: Vec<_> = self
                .columns
                .iter()
                .zip(&variables)
                .flat_map(|((_, _, entries), &variable)| {
                    entries
                        .iter()
                        .filter(move |entry| entry.0 == index)
                        .map(move |entry| (variable, entry.1))
                })
                .collect();
            let op = match row.sense {
                Sense::AtLeast => ComparisonOp::Ge,
                Sense::AtMost => ComparisonOp::Le,
                Sense::Equal => ComparisonOp::Eq,
            };
            problem.add_constraint(terms, op, row.rhs);
        }
        match problem.solve() {
            Ok(outcome) => {
                Ok(outcome.into_solution().map(|solution| solution.objective()).unwrap())
            }
            Err(microlp::Error::Infeasible) => Err(true),
            Err(microlp::Error::Unbounded) => Err(false),
            Err(other) => panic!("{other}"),
        }
    }

    /// Rows and bounds are kept, prices have the right signs, slackness is complementary: weights
    /// and prices are optimal, whoever found them.
    fn check(&self, simplex: &Simplex) {
        let (weights, prices) = (simplex.weights(), simplex.prices());
        let mut activity = vec![0.0; self.rows.len()];
        for ((cost, upper, entries), &weight) in self.columns.iter().zip(weights) {
            assert!(weight >= 0.0 && weight <= *upper);
            let mut reduced = *cost;
            for &(row, value) in entries {
                activity[row] += value * weight;
                reduced -= value * prices[row];
            }
            assert!(reduced > -1e-7 || weight > upper - 1e-6, "reduced {reduced} weight {weight}");
            assert!(reduced < 1e-7 || weight < 1e-6, "reduced {reduced} weight {weight}");
        }
        for ((row, &price), &activity) in self.rows.iter().zip(prices).zip(&activity) {
            let slack = activity - row.rhs;
            match row.sense {
                Sense::AtLeast => assert!(slack > -1e-6 && price > -1e-7),
                Sense::AtMost => assert!(slack < 1e-6 && price < 1e-7),
                Sense::Equal => assert!(slack.abs() < 1e-6),
            }
            assert!(slack.abs() < 1e-6 || price.abs() < 1e-7);
        }
    }
}

fn compare(programme: &Programme, simplex: &mut Simplex) -> Outcome {
    let outcome = simplex.optimise(&NEVER);
    match programme.reference() {
        Ok(objective) => {
            assert_eq!(outcome, Outcome::Optimal, "{programme:?}");
            assert!((simplex.objective() - objective).abs() < 1e-6, "{programme:?}");
            programme.check(simplex);
        }
        Err(true) => assert_eq!(outcome, Outcome::Infeasible, "{programme:?}"),
        Err(false) => assert_eq!(outcome, Outcome::Unbounded, "{programme:?}"),
    }
    outcome
}

/// Oracle: microlp, on random programmes, many of them degenerate, infeasible or unbounded.
#[test]
fn agrees_with_an_independent_solver() {
    let mut lots = Lots(7);
    let mut seen = [0; 3];
    for _ in 0..1500 {
        let programme = Programme::random(&mut lots);
        match compare(&programme, &mut programme.simplex()) {
            Outcome::Optimal => seen[0] += 1,
            Outcome::Infeasible => seen[1] += 1,
            Outcome::Unbounded => seen[2] += 1,
            Outcome::Stopped => panic!("stopped"),
        }
    }
    assert!(seen.iter().all(|&count| count > 40), "{seen:?}");
}

/// Oracle: microlp, after each of a series of changes that start from the basis before.
#[test]
fn agrees_after_changes() {
    let mut lots = Lots(11);
    for _ in 0..150 {
        let mut programme = Programme::random(&mut lots);
        let mut simplex = programme.simplex();
        compare(&programme, &mut simplex);
        for _ in 0..8 {
            match lots.below(5) {
                0 => {
                    let column =
                        lots.below(u32::try_from(programme.columns.len()).unwrap()) as usize;
                    let upper = [0.0, 1.0, f64::INFINITY][lots.below(3) as usize];
                    programme.columns[column].1 = upper;
                    simplex.set_upper(column, upper);
                }
                1 => {
                    let row = lots.below(u32::try_from(programme.rows.len()).unwrap()) as usize;
                    programme.rows[row].rhs = lots.between(0, 9);
                    simplex.set_rhs(row, programme.rows[row].rhs);
                }
                2 => {
                    let (row, sense) = (programme.rows.len(), [Sense::AtLeast, Sense::AtMost]);
                    let row_data =
                        Row { sense: sense[lots.below(2) as usize], rhs: lots.between(0, 9) };
                    programme.rows.push(row_data);
                    let mut entries = Vec::new();
                    for (index, column) in programme.columns.iter_mut().enumerate() {
                        if lots.below(3) == 0 {
                            column.2.push((row, 1.0));
                            entries.push((index, 1.0));
                        }
                    }
                    simplex.add_row(row_data, &entries);
                }
                3 => {
                    let marks: Vec<bool> =
                        programme.columns.iter().map(|_| lots.below(4) > 0).collect();
                    let stayed = simplex.retain(&|column| marks[column]);
                    let mut at = stayed.iter();
                    programme.columns.retain(|_| *at.next().unwrap());
                    if programme.columns.is_empty() {
                        break;
                    }
                }
                _ => {
                    let fresh = Programme::random(&mut lots).columns.swap_remove(0);
                    let entries: Vec<_> = fresh
                        .2
                        .into_iter()
                        .filter(|entry| entry.0 < programme.rows.len())
                        .collect();
                    simplex.add_column(fresh.0, &entries);
                    programme.columns.push((fresh.0, f64::INFINITY, entries));
                }
            }
            compare(&programme, &mut simplex);
        }
    }
}

/// Oracle: microlp, on masters of cutting stock: covering rows, patterns of few pieces, cost 1.
#[test]
fn agrees_on_cutting_stock_masters() {
    let mut lots = Lots(13);
    for rows in [10_usize, 40, 90] {
        let mut programme = Programme {
            rows: (0..rows)
                .map(|_| Row { sense: Sense::AtLeast, rhs: lots.between(1, 3) })
                .collect(),
            columns: (0..rows).map(|row| (1.0, f64::INFINITY, vec![(row, 1.0)])).collect(),
        };
        let mut simplex = programme.simplex();
        for _ in 0..6 {
            for _ in 0..2 * rows {
                let mut pattern = std::collections::BTreeMap::new();
                for _ in 0..2 + lots.below(3) {
                    *pattern
                        .entry(lots.below(u32::try_from(rows).unwrap()) as usize)
                        .or_insert(0.0) += 1.0;
                }
                let entries: Vec<_> = pattern.into_iter().collect();
                simplex.add_column(1.0, &entries);
                programme.columns.push((1.0, f64::INFINITY, entries));
            }
            assert_eq!(simplex.optimise(&NEVER), Outcome::Optimal);
            programme.check(&simplex);
        }
        compare(&programme, &mut simplex);
    }
}

/// Construction: a programme that is stopped at once says so and leaves a usable state.
#[test]
fn stops_when_told() {
    let programme = Programme {
        rows: vec![Row { sense: Sense::AtLeast, rhs: 2.0 }],
        columns: vec![(1.0, f64::INFINITY, vec![(0, 1.0)])],
    };
    let mut simplex = programme.simplex();
    assert_eq!(simplex.optimise(&|| true), Outcome::Stopped);
    assert_eq!(simplex.optimise(&NEVER), Outcome::Optimal);
    programme.check(&simplex);
}

/// Chvatal, Linear Programming (1983), chapter 1, first example (from memory): maximise
/// `5x + 4y + 3z` under three rows; optimum 13 at (2, 0, 1), prices (1, 0, 1).
#[test]
fn solves_a_textbook_example() {
    let row = |rhs| Row { sense: Sense::AtMost, rhs };
    let mut simplex = Simplex::new(&[row(5.0), row(11.0), row(8.0)]);
    simplex.add_column(-5.0, &[(0, 2.0), (1, 4.0), (2, 3.0)]);
    simplex.add_column(-4.0, &[(0, 3.0), (1, 1.0), (2, 4.0)]);
    simplex.add_column(-3.0, &[(0, 1.0), (1, 2.0), (2, 2.0)]);
    assert_eq!(simplex.optimise(&NEVER), Outcome::Optimal);
    let near = |got: &[f64], want: &[f64]| {
        got.iter().zip(want).all(|(one, other)| (one - other).abs() < 1e-9)
    };
    assert!((simplex.objective() + 13.0).abs() < 1e-9);
    assert!(near(simplex.weights(), &[2.0, 0.0, 1.0]));
    assert!(near(simplex.prices(), &[-1.0, 0.0, -1.0]));
}

/// Construction: four hundred rows and four thousand columns take no more than 20,000 exchanges
/// (about four times what they take today).
#[test]
fn carries_a_large_master() {
    let mut lots = Lots(17);
    let rows = 400;
    let demand: Vec<Row> =
        (0..rows).map(|_| Row { sense: Sense::AtLeast, rhs: lots.between(1, 9) }).collect();
    let mut simplex = Simplex::new(&demand);
    for row in 0..rows {
        simplex.add_column(1.0, &[(row, 1.0)]);
    }
    for _ in 0..4000 {
        let mut pattern = std::collections::BTreeMap::new();
        for _ in 0..2 + lots.below(4) {
            *pattern.entry(lots.below(400) as usize).or_insert(0.0) += 1.0;
        }
        let entries: Vec<_> = pattern.into_iter().collect();
        simplex.add_column(1.0, &entries);
    }
    let asked = std::sync::atomic::AtomicUsize::new(0);
    let outcome =
        simplex.optimise(&|| asked.fetch_add(1, std::sync::atomic::Ordering::Relaxed) > 20_000);
    assert_eq!(outcome, Outcome::Optimal);
}

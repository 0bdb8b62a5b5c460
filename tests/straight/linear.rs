//! The linear bound against a programme of its own: every two-stage pull enumerated, and solved by
//! another solver (microlp through `good_lp`).

use crate::straight::random::{piece, straight};
use good_lp::{ProblemVariables, Solution, SolverModel, constraint, default_solver, variable};
use rollwright::cutting::{Objective, Turns};
use rollwright::nest::{Instance, Options, Quiet, Roll, solve};
use rollwright::units::{Length, Money};

/// Sizes and quantities, drawn once; any would do.
const PIECES: [(i64, i64, u64); 6] =
    [(34, 50, 7), (27, 41, 11), (61, 29, 5), (18, 63, 9), (45, 45, 6), (12, 20, 23)];
const WIDTH: i64 = 100;

/// Every way to fill the width, as counts.
fn fillings(at: usize, room: i64, counts: &mut Vec<i64>, all: &mut Vec<Vec<i64>>) {
    if at == PIECES.len() {
        all.push(counts.clone());
        return;
    }
    let most = (room / PIECES[at].0).min(i64::try_from(PIECES[at].2).expect("few"));
    for n in 0..=most {
        counts.push(n);
        fillings(at + 1, room - n * PIECES[at].0, counts, all);
        counts.pop();
    }
}

#[test]
fn the_linear_bound_of_a_length_is_that_of_all_pulls_enumerated() {
    let mut all = Vec::new();
    fillings(0, WIDTH, &mut Vec::new(), &mut all);
    let long = |counts: &Vec<i64>| {
        (0..PIECES.len()).filter(|&i| counts[i] > 0).map(|i| PIECES[i].1).max().unwrap_or(0)
    };
    let real = |n: i64| f64::from(i32::try_from(n).expect("small"));
    let mut variables = ProblemVariables::new();
    let x = variables.add_vector(variable().min(0.0), all.len());
    let cost: good_lp::Expression =
        all.iter().zip(&x).map(|(counts, &x)| real(long(counts)) * x).sum();
    let mut model = variables.minimise(cost.clone()).using(default_solver);
    for (i, piece) in PIECES.iter().enumerate() {
        let made: good_lp::Expression =
            all.iter().zip(&x).map(|(counts, &x)| real(counts[i]) * x).sum();
        model.add_constraint(constraint!(made >= real(i64::try_from(piece.2).expect("few"))));
    }
    let linear = model.solve().expect("a solution").eval(&cost);

    let instance = Instance {
        name: "enumerated".to_owned(),
        rolls: vec![Roll {
            id: "A".to_owned(),
            width: Length::from_mm(WIDTH),
            length: None,
            price: Money::from_units(1),
            available: None,
        }],
        pieces: PIECES
            .iter()
            .enumerate()
            .map(|(i, &(w, l, n))| piece(i, w, l, n, Turns::none()))
            .collect(),
        cutting: straight(Some(2)),
        objective: Objective::Length,
        published: None,
    };
    let options = Options { seed: 1, work: 200_000 };
    let nesting = solve(&instance, &options, &Quiet).expect("an answer");
    crate::straight::check::check(&instance, &nesting);
    let bound = Length::from_nm(nesting.bound).mm_f64();
    assert!((bound - linear).abs() < 1e-3, "bound {bound} mm, linear {linear} mm");
}

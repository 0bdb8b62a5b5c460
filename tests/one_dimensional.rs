//! The one-dimensional engine against published optima of the shared sets (skipped, and said so,
//! where they are missing), and its bounds against perturbed prices.
//!
//! Sets and sources: Falkenauer 1996, Scholl, Klein and Juergens 1997, Waescher and Gau 1996,
//! Schwerin and Waescher 1997, Schoenfield 2002, Delorme, Iori and Martello 2016, Gschwind and
//! Irnich 2016; the optima are those published with them. A part of each set runs here; all of it
//! in `cargo bench --bench quality -- one`.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use crate::common;
use rollwright::nest::bound::{Certificate, Most};
use rollwright::nest::knapsack::{Kind, Table};
use rollwright::nest::{Instance, Nesting, Options, Quiet, Status, read, solve};
use rollwright::units::Length;

/// Every `step`-th instance of a shared set, from `first` on.
fn shared(file: &str, first: usize, step: usize) -> Option<Vec<Instance>> {
    let bytes = common::shared_data(file)?;
    let entries = read(file, &bytes).expect("a file of instances");
    let chosen: Vec<Instance> = entries
        .into_iter()
        .skip(first)
        .step_by(step)
        .map(|entry| entry.instance.expect("a valid instance"))
        .collect();
    assert!(!chosen.is_empty(), "{file} holds no instance");
    Some(chosen)
}

/// Re-checks an answer from the instance alone: every piece as often as wanted, one after the other
/// on rolls that are long enough.
fn check(instance: &Instance, nesting: &Nesting) {
    let mut made = vec![0; instance.pieces.len()];
    let mut rolls = 0;
    for layout in &nesting.layouts {
        let end = instance.rolls[layout.roll].length.expect("a length");
        let mut y = Length::ZERO;
        for pull in &layout.pulls {
            assert!(pull.y >= y, "{}: pulls overlap", instance.name);
            assert_eq!(pull.placements.len(), 1);
            let piece = pull.placements[0].piece;
            assert_eq!(pull.length, instance.pieces[piece].length);
            made[piece] += layout.copies;
            y = Length::from_nm(pull.y.nm() + pull.length.nm());
        }
        assert!(y <= end, "{}: a roll is overfull", instance.name);
        rolls += i64::try_from(layout.copies).expect("a count");
    }
    let wanted: Vec<u64> = instance.pieces.iter().map(|piece| piece.quantity).collect();
    assert_eq!(made, wanted, "{}", instance.name);
    assert_eq!(rolls, nesting.value, "{}", instance.name);
}

/// Solves each instance; every one is proven, and equal to the published optimum.
fn all_proven(file: &str, first: usize, step: usize) {
    let Some(instances) = shared(file, first, step) else { return };
    for instance in instances {
        let nesting = solve(&instance, &Options::default(), &Quiet).expect("an answer");
        check(&instance, &nesting);
        let published = instance.published.as_ref().and_then(|published| published.value);
        assert_eq!(Some(nesting.value), published, "{}", instance.name);
        assert_eq!(nesting.bound, nesting.value, "{}", instance.name);
        assert_eq!(nesting.status, Status::Proven, "{}", instance.name);
    }
}

#[test]
fn falkenauer() {
    all_proven("csp1d_falkenauer.json", 0, 5);
}

#[test]
fn scholl() {
    all_proven("csp1d_scholl.json", 5, 10);
}

#[test]
fn waescher() {
    all_proven("csp1d_waescher.json", 0, 1);
}

#[test]
fn schwerin() {
    all_proven("csp1d_schwerin.json", 0, 5);
}

#[test]
fn hard28() {
    all_proven("csp1d_hard28.json", 7, 7);
}

#[test]
fn gschwind_and_irnich() {
    all_proven("csp1d_gi_gschwind_irnich.json", 0, 3);
}

#[test]
fn items_without_waste() {
    all_proven("csp1d_ani_ai.json", 0, 9);
}

/// Prices moved at random never give a bound above the published optimum, and the certificates as
/// given do not claim more than their prices bear: both re-computed by an exact table over the
/// instance itself.
#[test]
fn perturbed_prices_never_exceed_the_optimum() {
    let mut lots = 9_u64;
    let mut next = move || {
        lots = lots.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        i64::try_from(lots >> 40).expect("24 bits")
    };
    for (file, step) in [
        ("csp1d_falkenauer.json", 16),
        ("csp1d_waescher.json", 4),
        ("csp1d_schwerin.json", 25),
        ("csp1d_hard28.json", 7),
    ] {
        let Some(instances) = shared(file, 0, step) else { return };
        for instance in instances {
            let optimum = instance.published.as_ref().and_then(|p| p.value).expect("a value");
            let nesting = solve(&instance, &Options::default(), &Quiet).expect("an answer");
            let Some(given) = nesting.certificate else { continue };
            let (claimed, borne) = (given.most[0].worth, most(&instance, &given.prices));
            assert!(borne <= claimed, "{}: {borne} > {claimed}", instance.name);
            for spread in [1, 20, 300] {
                let prices: Vec<i64> = given
                    .prices
                    .iter()
                    .map(|&price| price / 1000 * (1000 - spread + next() % (2 * spread + 1)))
                    .collect();
                let worth = most(&instance, &prices);
                let moved = Certificate::new(prices, vec![Most { worth, per: 0 }]);
                let bound = moved.bound(&instance).expect("unlimited rolls");
                assert!(bound <= optimum, "{}: {bound} > {optimum}", instance.name);
            }
        }
    }
}

/// The most that a roll's pieces can be worth (the sets' lengths are whole millimetres).
fn most(instance: &Instance, prices: &[i64]) -> i64 {
    let mm = |length: Length| length.nm() / 1_000_000;
    let kinds: Vec<Kind> = instance
        .pieces
        .iter()
        .zip(prices)
        .map(|(piece, &price)| Kind { size: mm(piece.length), limit: piece.quantity, price })
        .collect();
    let capacity = mm(instance.rolls[0].length.expect("a length"));
    let table = Table::new(&kinds, capacity, false).expect("a table");
    table.best(0).map_or(0, |best| best.0)
}

//! The shared benchmark sets, where they are at hand.

use super::check::check;
use super::common::shared_data;
use super::options;
use rollwright::cutting::{Objective, Style};
use rollwright::nest::free::solve;
use rollwright::nest::{Instance, Quiet, read};

/// The instances of a set; `None`, with a word about it, where the set is missing.
fn instances(set: &str) -> Option<Vec<Instance>> {
    let entries = read(set, &shared_data(set)?).unwrap();
    let instances: Vec<Instance> = entries.into_iter().filter_map(|e| e.instance).collect();
    assert!(!instances.is_empty(), "{set} holds no instance");
    Some(instances)
}

fn free_instances(set: &str) -> Option<Vec<Instance>> {
    let mut free = instances(set)?;
    free.retain(|i| i.cutting.style == Style::Free);
    assert!(!free.is_empty(), "{set} holds no free instance");
    Some(free)
}

/// Values: each instance's published optimum or best known value.
#[test]
fn bounds_never_exceed_published_values() {
    for set in ["strip_packing_rect.json", "bp2d_berkey_martello.json"] {
        let Some(instances) = free_instances(set) else { continue };
        for instance in &instances {
            let answer = solve(instance, &options(1000), &Quiet).unwrap();
            check(instance, &answer);
            let published = instance.published.as_ref().unwrap();
            let best = published.value.unwrap();
            assert!(answer.bound <= best, "{}: {} > {best}", instance.name, answer.bound);
            let known = published.proven && instance.objective != Objective::Price;
            assert!(!known || answer.value >= best, "{}: beats a proof", instance.name);
        }
    }
}

/// Values: Hopper and Turton 2001, classes 1 to 3, cut from a rectangle. Target: issue 3, point 4.
#[test]
fn the_small_classes_of_hopper_and_turton_are_near_their_optimum() {
    let Some(instances) = free_instances("strip_packing_rect.json") else { return };
    let (mut ran, mut excess) = (0, 0.0);
    for instance in instances.iter().filter(|i| i.name.starts_with(['C'])) {
        let small = ["C1", "C2", "C3", "C4"].iter().any(|c| instance.name.starts_with(c));
        if !small {
            continue;
        }
        let answer = solve(instance, &options(200_000), &Quiet).unwrap();
        check(instance, &answer);
        let best = instance.published.as_ref().unwrap().value.unwrap();
        excess += (answer.value - best) as f64 / best as f64;
        ran += 1;
    }
    assert!(ran > 0, "the set holds none of the classes");
    assert!(excess / f64::from(ran) <= 0.01, "mean excess {excess} over {ran}");
}

/// A first answer at once for many pieces: only validity is known, and that the bound is near.
#[test]
fn twenty_thousand_pieces_are_laid() {
    let Some(instances) = free_instances("rolls_large_1.json") else { return };
    for instance in &instances {
        let answer = solve(instance, &options(1), &Quiet).unwrap();
        check(instance, &answer);
        assert!(answer.value as f64 <= 1.03 * answer.bound as f64, "{}", instance.name);
    }
}

/// Values: each straight instance's published optimum or best known value. A bound for any packing
/// holds for straight ones too.
#[test]
fn bounds_for_any_packing_never_exceed_published_values_of_straight_cutting() {
    for set in [
        "strip_packing_rect.json",
        "bp2d_berkey_martello.json",
        "csp2d_cintra_gcutd.json",
        "csp2d_silva2010_literature30.json",
        "csp2d_imahori2005.json",
    ] {
        let Some(mut instances) = instances(set) else { continue };
        instances.retain(|i| i.cutting.style == Style::Straight);
        assert!(!instances.is_empty(), "{set} holds no straight instance");
        for mut instance in instances {
            instance.cutting.style = Style::Free;
            let Some(best) = instance.published.as_ref().and_then(|p| p.value) else { continue };
            let answer = solve(&instance, &options(1), &Quiet).unwrap();
            assert!(answer.bound <= best, "{}: {} > {best}", instance.name, answer.bound);
        }
    }
}

//! The shared benchmark sets, where they are at hand.

use super::check::check;
use super::common::shared_data;
use super::options;
use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::nest::free::solve;
use rollwright::nest::{Instance, Piece, Published, Quiet, Roll};
use rollwright::units::{Length, Money};
use serde_json::Value;

/// Instances of a set in free style; `None`, with a word about it, where the set is missing.
fn free_instances(set: &str) -> Option<Vec<Instance>> {
    let read: Value = serde_json::from_slice(&shared_data(set)?).unwrap();
    let instances: Vec<Instance> = read
        .as_array()
        .unwrap()
        .iter()
        .filter(|i| i["cutting"]["style"] == "free")
        .map(instance)
        .collect();
    assert!(!instances.is_empty(), "{set} holds no free instance");
    Some(instances)
}

fn instance(read: &Value) -> Instance {
    let length = |v: &Value| -> Option<Length> { serde_json::from_value(v.clone()).unwrap() };
    let cut = &read["cutting"];
    let zero = |v: &Value| length(v).unwrap_or(Length::ZERO);
    let objective: Objective = serde_json::from_value(read["objective"].clone()).unwrap();
    let unit = if objective == Objective::Length { 1e6 } else { 1.0 };
    let value = |v: &Value| v.as_f64().map(|v| (v * unit).round() as i64);
    Instance {
        name: read["name"].as_str().unwrap().to_owned(),
        rolls: read["rolls"]
            .as_array()
            .unwrap()
            .iter()
            .map(|r| Roll {
                id: r["id"].to_string(),
                width: length(&r["width"]).unwrap(),
                length: length(&r["length"]),
                price: Money::from_units(1),
                available: r["available"].as_u64(),
            })
            .collect(),
        pieces: read["pieces"]
            .as_array()
            .unwrap()
            .iter()
            .map(|p| Piece {
                id: p["id"].to_string(),
                width: length(&p["width"]).unwrap(),
                length: length(&p["length"]).unwrap(),
                outline: None,
                quantity: p["quantity"].as_u64().unwrap(),
                turns: match p.get("turns") {
                    Some(turns) => serde_json::from_value(turns.clone()).unwrap(),
                    None => Turns::none(),
                },
            })
            .collect(),
        cutting: Cutting {
            style: Style::Free,
            stages: None,
            pull_limit: length(&cut["pull_limit"]),
            square_cut: zero(&cut["square_cut"]),
            edge_trim: zero(&cut["edge_trim"]),
            gap: zero(&cut["gap"]),
        },
        objective,
        published: read.get("published").map(|p| Published {
            value: value(&p["value"]),
            proven: p["proven"] == true,
            bound: value(&p["bound"]),
            source: p["source"].to_string(),
        }),
    }
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
            assert!(!published.proven || answer.value >= best, "{}: beats a proof", instance.name);
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

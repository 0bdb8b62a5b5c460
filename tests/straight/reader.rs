//! Reads the shared instances, for tests of the engine alone.

use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::nest::{Instance, Piece, Published, Roll};
use rollwright::units::{Angle, Length, Money};
use serde_json::Value;
use std::path::Path;

/// All instances of a shared set, or `None`, said aloud, where the set is missing.
pub fn shared(set: &str) -> Option<Vec<Instance>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/data");
    let path = root.join(format!("{set}.json"));
    let Ok(text) = std::fs::read_to_string(&path) else {
        eprintln!("SKIPPED: {} is missing", path.display());
        return None;
    };
    let all: Vec<Value> = serde_json::from_str(&text).expect("JSON");
    assert!(!all.is_empty(), "{set} holds no instance");
    Some(all.iter().map(read).collect())
}

fn length(value: &Value) -> Option<Length> {
    match value {
        Value::Null => None,
        Value::String(text) => Some(Length::parse(text).expect("a length")),
        other => Some(Length::parse(&other.to_string()).expect("a length")),
    }
}

fn read(value: &Value) -> Instance {
    let cutting = &value["cutting"];
    let or_zero = |name: &str| length(&cutting[name]).unwrap_or(Length::ZERO);
    let objective = match value["objective"].as_str() {
        Some("price") => Objective::Price,
        Some("length") => Objective::Length,
        _ => Objective::Rolls,
    };
    let unit = if objective == Objective::Rolls { 1.0 } else { 1e6 };
    #[expect(clippy::cast_possible_truncation, reason = "published values are small")]
    let raw = |v: &Value| v.as_f64().map(|v| (v * unit).round() as i64);
    Instance {
        name: value["name"].as_str().expect("a name").to_owned(),
        rolls: value["rolls"].as_array().expect("rolls").iter().map(roll).collect(),
        pieces: value["pieces"].as_array().expect("pieces").iter().map(piece).collect(),
        cutting: Cutting {
            style: if cutting["style"] == "free" { Style::Free } else { Style::Straight },
            stages: cutting["stages"].as_u64().map(|n| u8::try_from(n).expect("few")),
            pull_limit: length(&cutting["pull_limit"]),
            square_cut: or_zero("square_cut"),
            edge_trim: or_zero("edge_trim"),
            gap: or_zero("gap"),
        },
        objective,
        published: value.get("published").filter(|p| !p.is_null()).map(|p| Published {
            value: raw(&p["value"]),
            proven: p["proven"].as_bool().unwrap_or(false),
            bound: raw(&p["bound"]),
            source: p["source"].as_str().unwrap_or("").to_owned(),
        }),
    }
}

fn roll(value: &Value) -> Roll {
    Roll {
        id: value["id"].as_str().unwrap_or("A").to_owned(),
        width: length(&value["width"]).expect("a width"),
        length: length(&value["length"]),
        price: Money::parse(&value["price"].to_string()).unwrap_or(Money::from_units(1)),
        available: value["available"].as_u64(),
    }
}

fn piece(value: &Value) -> Piece {
    let turns = match value.get("turns") {
        None => Turns::none(),
        Some(Value::Null) => Turns::Any,
        Some(list) => Turns::Only(
            list.as_array()
                .expect("turns")
                .iter()
                .map(|turn| Angle::from_degrees(turn.as_i64().expect("degrees")))
                .collect(),
        ),
    };
    Piece {
        id: value["id"].as_str().unwrap_or("p").to_owned(),
        width: length(&value["width"]).expect("a width"),
        length: length(&value["length"]).expect("a length"),
        outline: None,
        quantity: value["quantity"].as_u64().expect("a quantity"),
        turns,
    }
}

//! Random instances, small enough for exhaustive search or quick checks.

use proptest::prelude::*;
use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::nest::{Instance, Piece, Roll};
use rollwright::units::{Length, Money};

/// A piece of whole millimetres.
pub fn piece(index: usize, width: i64, length: i64, quantity: u64, turns: Turns) -> Piece {
    Piece {
        id: format!("p{index}"),
        width: Length::from_mm(width),
        length: Length::from_mm(length),
        outline: None,
        quantity,
        turns,
    }
}

/// A roll of whole millimetres without limit.
pub fn roll(id: &str, width: i64, length: i64, price: i64) -> Roll {
    Roll {
        id: id.to_owned(),
        width: Length::from_mm(width),
        length: Some(Length::from_mm(length)),
        price: Money::from_units(price),
        available: None,
    }
}

/// Straight cutting without trims.
pub fn straight(stages: Option<u8>) -> Cutting {
    Cutting {
        style: Style::Straight,
        stages,
        pull_limit: None,
        square_cut: Length::ZERO,
        edge_trim: Length::ZERO,
        gap: Length::ZERO,
    }
}

fn turns() -> impl Strategy<Value = Turns> {
    prop_oneof![Just(Turns::none()), Just(Turns::quarter())]
}

/// Up to seven single pieces on rolls of one kind, two or three stages, with gap and trims.
pub fn tiny() -> impl Strategy<Value = Instance> {
    let sizes = prop::collection::vec((2_i64..14, 2_i64..14, turns()), 1..7);
    (sizes, 14_i64..24, 14_i64..30, 2_u8..=3, 0_i64..2, 0_i64..2, any::<bool>()).prop_map(
        |(sizes, width, length, stages, gap, trim, limited)| {
            let mut cutting = straight(Some(stages));
            cutting.gap = Length::from_mm(gap);
            cutting.edge_trim = Length::from_mm(trim);
            cutting.square_cut = Length::from_mm(trim);
            cutting.pull_limit = limited.then(|| Length::from_mm(14));
            let pieces = sizes
                .into_iter()
                .enumerate()
                .map(|(i, (w, l, turns))| piece(i, w, l, 1, turns))
                .collect();
            Instance {
                name: "tiny".to_owned(),
                rolls: vec![roll("A", width + 2 * trim, length + trim, 1)],
                pieces,
                cutting,
                objective: Objective::Rolls,
                published: None,
            }
        },
    )
}

/// Some sizes in quantity on several rolls, some of them limited, any number of stages.
pub fn mixed() -> impl Strategy<Value = Instance> {
    let sizes = prop::collection::vec((20_i64..300, 20_i64..300, 1_u64..30, turns()), 1..12);
    let rolls = prop::collection::vec((300_i64..500, 300_i64..4000, 1_i64..9), 1..4);
    let stages = prop_oneof![Just(Some(2_u8)), Just(Some(3)), Just(None)];
    (sizes, rolls, stages, 0_i64..4, 0_i64..20, any::<bool>(), 0_u8..3).prop_map(
        |(sizes, rolls, stages, gap, trim, pull, objective)| {
            let mut cutting = straight(stages);
            cutting.gap = Length::from_mm(gap);
            cutting.edge_trim = Length::from_mm(trim);
            cutting.square_cut = Length::from_mm(2 * trim);
            cutting.pull_limit = pull.then(|| Length::from_mm(310));
            let pieces = sizes
                .into_iter()
                .enumerate()
                .map(|(i, (w, l, n, turns))| piece(i, w, l, n, turns))
                .collect();
            let mut rolls: Vec<Roll> = rolls
                .into_iter()
                .enumerate()
                .map(|(k, (w, l, price))| roll(&format!("R{k}"), w + 2 * trim, l + 2 * trim, price))
                .collect();
            if rolls.len() > 1 {
                rolls[0].available = Some(2);
                rolls[0].price = Money::ZERO;
            }
            let objective = match objective {
                0 => Objective::Price,
                1 => Objective::Rolls,
                _ => {
                    rolls.truncate(1);
                    rolls[0].length = None;
                    rolls[0].available = None;
                    Objective::Length
                }
            };
            Instance {
                name: "mixed".to_owned(),
                rolls,
                pieces,
                cutting,
                objective,
                published: None,
            }
        },
    )
}

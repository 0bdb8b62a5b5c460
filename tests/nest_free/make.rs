//! Instances made for the tests: random ones, and ones whose optimum is known because they were
//! cut from a full rectangle.

use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::nest::{Instance, Piece, Roll};
use rollwright::units::{Length, Money};

/// A small linear congruential generator (Knuth, MMIX constants).
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self, least: i64, most: i64) -> i64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        least + ((self.0 >> 33) as i64) % (most - least + 1)
    }
}

pub fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

pub fn piece(width: i64, length: i64, quantity: u64, turns: Turns) -> Piece {
    let id = format!("{width}x{length}");
    Piece { id, width: mm(width), length: mm(length), outline: None, quantity, turns }
}

pub fn free() -> Cutting {
    Cutting::plain(Style::Free, None)
}

/// A strip instance: one roll without end.
pub fn strip(name: &str, width: i64, pieces: Vec<Piece>) -> Instance {
    Instance {
        name: name.to_owned(),
        rolls: vec![roll(width, None)],
        pieces,
        cutting: free(),
        objective: Objective::Length,
        published: None,
    }
}

pub fn roll(width: i64, length: Option<i64>) -> Roll {
    Roll {
        id: format!("R{width}"),
        width: mm(width),
        length: length.map(mm),
        price: Money::from_units(1),
        available: None,
    }
}

/// Cuts a rectangle edge to edge at random places into so many pieces.
pub fn shards(dice: &mut Dice, width: i64, length: i64, many: usize) -> Vec<(i64, i64)> {
    let mut shards = vec![(width, length)];
    while shards.len() < many {
        let at = (0..shards.len()).max_by_key(|&i| shards[i].0 * shards[i].1).unwrap();
        let (w, l) = shards.swap_remove(at);
        let across = w > l || (w == l && dice.roll(0, 1) == 0);
        let whole = if across { w } else { l };
        let cut = dice.roll(whole / 4, whole - whole / 4).clamp(1, whole - 1);
        let (one, two) = if across { ((cut, l), (w - cut, l)) } else { ((w, cut), (w, l - cut)) };
        shards.extend([one, two]);
    }
    shards
}

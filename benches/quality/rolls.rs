//! Roll jobs: the shared ones and generated ones of the same kind, straight in two and three stages.
//!
//! A generated job wraps ten pipe sizes in one to four layers (pieces as wide as the roll), makes up
//! run ends (narrower pieces of the same stretch-out), and adds strips and discs, as the shared
//! `rolls_*` sets do. Everything is invented; only the sizes' ranges are those of the shared sets.

use crate::shared::{instances, say};
use crate::straight::table;
use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::nest::{Instance, Piece, Roll};
use rollwright::units::{Length, Money};

/// Width of the rolls in millimetres.
const WIDTH: u64 = 1500;
/// Outside diameters of the ten pipes in millimetres (ASME B36.10M, NPS 2 to 24, rounded).
const PIPES: [u64; 10] = [60, 89, 114, 168, 219, 273, 324, 406, 508, 610];

/// Runs the shared sets and generated jobs whose name contains `part`.
pub fn run(part: &str) -> bool {
    let mut ran = 0;
    for file in ["rolls_small_1.json", "rolls_medium_1.json", "rolls_large_1.json"] {
        let Some(all) = instances(file) else {
            say(&format!("{file}: skipped, not there"));
            continue;
        };
        for stages in [2, 3] {
            let chosen: Vec<Instance> = all
                .iter()
                .filter(|i| i.cutting.style == Style::Straight && i.cutting.stages == Some(stages))
                .filter(|i| file.contains(part) || i.name.contains(part))
                .cloned()
                .collect();
            if !chosen.is_empty() {
                ran += chosen.len();
                table(&format!("{file} in {stages} stages"), &chosen, 20);
            }
        }
    }
    for (sizes, pieces, length, seconds) in
        [(150, 1_000, 50_000, 5), (600, 20_000, 90_000, 10), (1_500, 200_000, 50_000, 30)]
    {
        let job = generate(sizes, pieces, length, 7);
        if job.name.contains(part) {
            ran += 1;
            table(&job.name.clone(), &[job], seconds);
        }
    }
    ran > 0
}

/// Lots from a seed (Numerical Recipes' 64-bit congruential generator).
struct Lots(u64);

impl Lots {
    fn below(&mut self, n: u64) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n.max(1)
    }
}

/// A job of so many sizes and pieces on rolls of 1500 by `length`.
fn generate(sizes: usize, pieces: u64, length: i64, seed: u64) -> Instance {
    let mut lots = Lots(seed);
    let each = (pieces / sizes as u64).max(1);
    let mut wanted = Vec::with_capacity(sizes);
    for index in 0..sizes {
        let pipe = PIPES[usize::try_from(lots.below(10)).unwrap_or(0)];
        let layer = lots.below(4);
        // The stretch-out of a layer of 10 mm at its outer face, whole millimetres.
        let around = (pipe + 20 * (layer + 1)) * 355 / 113 + 1;
        let (name, width, long, turns) = match lots.below(10) {
            0 => ("wrap", WIDTH, around, Turns::none()),
            1..=4 => ("makeup", 200 + lots.below(1000), around, some_turns(&mut lots)),
            5..=8 => ("strip", 150 + lots.below(250), around, some_turns(&mut lots)),
            _ => {
                let disc = pipe + 20 * (layer + 1) + lots.below(8);
                ("disc", disc, disc, Turns::none())
            }
        };
        wanted.push(Piece {
            id: format!("{name}{index}"),
            width: millimetres(width),
            length: millimetres(long),
            outline: None,
            quantity: 1 + lots.below(2 * each),
            turns,
        });
    }
    let roll = Roll {
        id: "A".to_owned(),
        width: millimetres(WIDTH),
        length: Some(Length::from_mm(length)),
        price: Money::from_units(1),
        available: None,
    };
    Instance {
        name: format!("generated-{sizes}-{pieces}"),
        rolls: vec![roll],
        pieces: wanted,
        cutting: Cutting::plain(Style::Straight, Some(2)),
        objective: Objective::Rolls,
        published: None,
    }
}

fn some_turns(lots: &mut Lots) -> Turns {
    if lots.below(2) == 0 { Turns::none() } else { Turns::quarter() }
}

fn millimetres(n: u64) -> Length {
    Length::from_mm(i64::try_from(n).unwrap_or(0))
}

//! Open stacks: the published sets, and larger random ones, five seconds each.
//!
//! Random instances as in the literature on larger sets: every customer wants a product with a given
//! probability, and at least one; 125 by 125 at four densities, and 150, 175 and 200 customers.

use crate::shared::{Timer, bytes, say};
use rollwright::nest::Watch as _;
use rollwright::sequence::{Instance, read, solve};
use std::time::Duration;

/// Lehmer's generator (1951), modulus 2^31 - 1.
struct Lots(u64);

impl Lots {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 % limit
    }
}

fn random(customers: usize, products: usize, per_cent: u64, seed: u64) -> Instance {
    let mut lots = Lots(seed * 7919 + 17);
    let wants = (0..customers)
        .map(|_| {
            let mut wanted: Vec<usize> =
                (0..products).filter(|_| lots.below(100) < per_cent).collect();
            if wanted.is_empty() {
                let any = lots.below(products as u64);
                wanted.push(usize::try_from(any).unwrap_or(0));
            }
            wanted
        })
        .collect();
    let name = format!("{customers} x {products}, {per_cent} %, {seed}");
    Instance { name, products, wants, published: None }
}

/// Prints the tables; `part` keeps the random instances whose name contains it.
pub fn run(part: &str) -> bool {
    let file = "mosp_fb_scoop_chu.json";
    if let Some(bytes) = bytes(file) {
        let (all, _) = read(file, &bytes);
        let (mut proven, mut worst) = (0, 0.0_f64);
        for instance in &all {
            let timer = Timer::new(Duration::from_secs(5));
            let answer = solve(instance, u64::MAX, &|| timer.stop());
            proven += usize::from(answer.value == answer.bound);
            worst = worst.max(timer.seconds());
        }
        say(&format!("Faggioli-Bentivoglio: {proven} of {} proven, worst {worst:.3} s", all.len()));
    } else {
        say(&format!("{file} is missing"));
    }
    say("instance                     open at most  bound  seconds");
    let mut all = Vec::new();
    for per_cent in [2, 4, 6, 8] {
        all.extend((1..=2).map(|seed| random(125, 125, per_cent, seed)));
    }
    for customers in [150, 175, 200] {
        all.extend([2, 4].map(|per_cent| random(customers, 100, per_cent, 1)));
    }
    for instance in all.iter().filter(|instance| instance.name.contains(part)) {
        let timer = Timer::new(Duration::from_secs(5));
        let answer = solve(instance, u64::MAX, &|| timer.stop());
        say(&format!(
            "{:<28}{:>13}{:>7}{:>9.2}",
            instance.name,
            answer.value,
            answer.bound,
            timer.seconds()
        ));
    }
    true
}

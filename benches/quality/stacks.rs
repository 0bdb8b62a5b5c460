//! Open stacks: the published sets, and larger random ones, some seconds each.
//!
//! Instances `c-p-s` are made as those of Chu and Stuckey ("Minimizing the maximum number of open
//! stacks by customer search", CP 2009) are described: c customers, p products, a product wanted by s
//! customers on average, five of each; sizes and construction are from memory, and the instances
//! themselves are not theirs. Others: every customer wants a product with a given probability.

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

    fn one_of(&mut self, count: usize) -> usize {
        usize::try_from(self.below(count as u64)).unwrap_or(0)
    }
}

/// Each customer wants each product with probability s / c, and whoever or whatever is left out is
/// given one at random.
fn customers_products_mean(customers: usize, products: usize, mean: usize, seed: u64) -> Instance {
    let sizes = (customers * 10_000 + products * 100 + mean) as u64;
    let mut lots = Lots(seed * 7919 + sizes);
    let mut wants = vec![Vec::new(); customers];
    for product in 0..products {
        let by = (0..customers).filter(|_| lots.below(customers as u64) < mean as u64);
        let mut by: Vec<usize> = by.collect();
        if by.is_empty() {
            by.push(lots.one_of(customers));
        }
        for customer in by {
            wants[customer].push(product);
        }
    }
    for wanted in wants.iter_mut().filter(|wanted| wanted.is_empty()) {
        wanted.push(lots.one_of(products));
    }
    let name = format!("{customers}-{products}-{mean}-{seed}");
    Instance { name, products, wants, published: None }
}

fn random(customers: usize, products: usize, per_cent: u64, seed: u64) -> Instance {
    let mut lots = Lots(seed * 7919 + 17);
    let wants = (0..customers)
        .map(|_| {
            let mut wanted: Vec<usize> =
                (0..products).filter(|_| lots.below(100) < per_cent).collect();
            if wanted.is_empty() {
                wanted.push(lots.one_of(products));
            }
            wanted
        })
        .collect();
    let name = format!("{customers} x {products}, {per_cent} %, {seed}");
    Instance { name, products, wants, published: None }
}

/// Seconds for each instance.
const SECONDS: u64 = 10;

/// Prints the tables; `part` keeps the made instances whose name contains it.
pub fn run(part: &str) -> bool {
    let file = "mosp_fb_scoop_chu.json";
    match bytes(file) {
        Some(bytes) if part.is_empty() => {
            table("Faggioli-Bentivoglio", &read(file, &bytes).0, "");
        }
        Some(_) => {}
        None => say(&format!("{file} is missing")),
    }
    let sizes =
        [(30, 30), (40, 40), (50, 50), (50, 100), (75, 75), (100, 50), (100, 100), (125, 125)];
    for (customers, products) in sizes {
        for mean in [2, 4, 6, 8, 10] {
            let of = |seed| customers_products_mean(customers, products, mean, seed);
            let all: Vec<Instance> = (1..=5).map(of).collect();
            table(&format!("{customers}-{products}-{mean}"), &all, part);
        }
    }
    for (customers, products, per_cents) in [
        (125, 125, [2, 4]),
        (125, 125, [6, 8]),
        (150, 100, [2, 4]),
        (175, 100, [2, 4]),
        (200, 100, [2, 4]),
    ] {
        for per_cent in per_cents {
            let all = [1, 2].map(|seed| random(customers, products, per_cent, seed));
            table(&format!("{customers} x {products}, {per_cent} %"), &all, part);
        }
    }
    true
}

/// Solves instances and prints how many are proven, how long they took, and what stayed open.
fn table(name: &str, all: &[Instance], part: &str) {
    let (mut proven, mut sum, mut worst) = (0, 0.0, 0.0_f64);
    let mut open = Vec::new();
    let all: Vec<&Instance> = all.iter().filter(|instance| instance.name.contains(part)).collect();
    for instance in &all {
        let timer = Timer::new(Duration::from_secs(SECONDS));
        let answer = solve(instance, u64::MAX, &|| timer.stop());
        let seconds = timer.seconds();
        sum += seconds;
        worst = worst.max(seconds);
        if answer.value == answer.bound {
            proven += 1;
        } else {
            open.push(format!("{}..{}", answer.bound, answer.value));
        }
    }
    if !all.is_empty() {
        let (of, open) = (all.len(), open.join(" "));
        say(&format!(
            "{name:<22}{proven:>4} of {of:>3} proven, together {sum:>8.2} s, worst {worst:>7.3} s {open}"
        ));
    }
}

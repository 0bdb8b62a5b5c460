//! One-dimensional cutting stock and bin packing, solved to proven optimality where bins are alike.
//!
//! Programme: bins `k` of size `C_k` and cost `c_k`, at most `u_k` of them; items `i` of size `s_i`,
//! `d_i` of them; each item goes into a bin, and no bin holds more than its size. Least total cost.
//!
//! 1. [`core`]: equal items become one kind with a demand; lengths are divided by what they have
//!    in common. [`reduce`]: bins that some best packing has are packed at once.
//! 2. [`bounds`] and [`greedy`]: most easy instances end here.
//!    Where a packing at the bound leaves nothing empty, [`tight`] packs what is forced, bin by bin
//!    ([`fills`], [`peel`]).
//! 3. [`master`] and [`pricing`]: the linear programme over all patterns, and its bound in whole
//!    numbers. Where a packing at the bound leaves little empty, only patterns that leave no more
//!    than that are let in.
//! 4. [`dive`]: packings from it.
//! 5. [`interior`] and [`pool`]: all patterns that a packing at the bound can have, at prices under
//!    which they are few; [`exact`]: a search over them with cuts ([`rows`]) and strong branching,
//!    which finds a packing at the bound or raises the bound by one.
//! 6. [`tree`] and [`rules`]: branch and price, where the patterns are too many.
//! 7. [`expand`]: back to the caller's items; [`mod@certify`]: prices from which others can compute the
//!    bound again.
//!
//! With several sizes of bin, steps 1 (but for the grouping), 5 and 6 do not apply.

mod bounds;
mod certify;
mod core;
mod dive;
mod effort;
mod exact;
mod expand;
mod fills;
mod greedy;
mod interior;
mod lessen;
mod lots;
mod master;
mod peel;
mod pool;
mod pricing;
mod problem;
mod reduce;
mod rows;
mod rules;
mod solve;
#[cfg(test)]
mod tests;
mod tight;
mod tree;

pub use certify::certify;
pub use problem::{Answer, Bin, Certificate, Pattern, Problem, Refusal};

use crate::cutting::Objective;
use crate::nest::{Basis, News, Options, Status, Watch};
use core::{Core, whole};
use effort::Effort;

/// Packs a problem's items.
///
/// # Errors
/// If an item fits no bin, the bins do not suffice (or no packing into them was found), or a number
/// is out of range.
pub fn solve(problem: &Problem, options: &Options, watch: &dyn Watch) -> Result<Answer, Refusal> {
    let (mut core, groups) = Core::new(problem)?;
    let effort = Effort::new(options, watch);
    let single = core.bins.len() == 1;
    let fixed = if single { reduce::reduce(&mut core) } else { Vec::new() };
    let fixed_cost = greedy::cost(&core, &fixed);
    let used: u64 = fixed.iter().map(|pattern| pattern.copies).sum();
    if let (true, Some(most)) = (single, core.bins[0].available) {
        if most < used {
            return Err(Refusal::TooFewBins { proven: true });
        }
        core.bins[0].available = Some(most - used);
    }
    let kept: Vec<usize> = (0..core.sizes.len()).filter(|&k| core.demand[k] > 0).collect();
    let small = Core {
        bins: core.bins.clone(),
        sizes: kept.iter().map(|&k| core.sizes[k]).collect(),
        demand: kept.iter().map(|&k| core.demand[k]).collect(),
    };
    let mut packed = fixed;
    let (mut bound, mut basis, mut certificate) = (fixed_cost, Basis::Search, None);
    let mut complete = true;
    if !kept.is_empty() {
        let tell = |value: Option<i64>, bound: i64| {
            watch.news(&News {
                instance: "",
                objective: Objective::Rolls,
                value: value.map(|value| value + fixed_cost),
                bound: bound + fixed_cost,
            });
        };
        let solved = solve::solve(&small, options.seed, &effort, &tell);
        complete = !effort.over();
        let Some(rest) = solved.packed else {
            return Err(Refusal::TooFewBins { proven: solved.impossible });
        };
        bound += solved.bound;
        basis = solved.basis;
        certificate = solved.linear.map(|linear| expand::certificate(&linear, &kept, &groups));
        packed.extend(rest.into_iter().map(|mut pattern| {
            for count in &mut pattern.counts {
                count.0 = kept[count.0];
            }
            pattern
        }));
    }
    let value: i64 =
        packed.iter().map(|pattern| core.bins[pattern.bin].cost * whole(pattern.copies)).sum();
    let status = Status::of(value, bound, !(complete || effort.exhausted()));
    let patterns = expand::expand(&packed, &groups, &problem.items);
    Ok(Answer { patterns, value, bound, basis, status, certificate })
}

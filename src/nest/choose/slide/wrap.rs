//! Rows laid one behind another across pulls, as a string is wrapped round a card.
//!
//! Where nothing lies turned, rows part into *chains*: those that share pulls, directly or through
//! others. A chain of `m` rows in `k` pulls has at least `m + k - 1` pieces, or it would fall apart (a
//! connected graph has at least as many edges as nodes less one). Laying its rows one behind another,
//! longest pieces first, and cutting wherever a pull is full, makes just so many, and no other way of
//! laying them has shorter pulls: the `j`-th longest pull is at least as long as the row in which the
//! width covered by longer pieces passes `j - 1` rolls. So what is left to choose is which rows are a
//! chain. Laying jobs one behind another so is `McNaughton`'s rule (Management Science 6, 1959).
//!
//! Variables: how often each chain is taken. Programme: least cost; every strand in at least one
//! chain; pieces of all chains at most so many, at price `mu` each. Reduced cost of a chain: its pulls
//! and `mu (m + k - 1)`, less the prices of its strands. As a chain's cost depends on what went
//! before only by how far its last pull is filled, one pass over the strands, longest pieces first,
//! with that as state, finds the least.

use crate::nest::positive;
use crate::nest::simplex::{Row, Sense, Simplex};
use crate::nest::straight::effort::Effort;
use crate::nest::straight::lots::Lots;

/// A row as chains see it; sizes in steps.
#[derive(Clone, Copy, Debug)]
pub(super) struct Strand {
    /// What it covers.
    pub total: usize,
    /// The narrowest piece; 1 where any will do.
    pub least: usize,
    /// At least so many pieces; those that laying it does not make are cut from the widest, in its pull.
    pub fewest: usize,
    /// What a pull as long as its pieces costs, as a part of the dearest.
    pub along: f64,
    /// What a piece counts in the limit.
    pub weight: f64,
}

/// What a piece beyond the limit costs, so that there is always an answer.
const DEAR: f64 = 1e3;

impl Strand {
    /// How many pieces it has where it is laid so.
    fn made(&self, end: End, fill: usize) -> usize {
        (end.begun + usize::from(fill > 0)).max(self.fewest)
    }
}

/// Chains kept from one round.
const KEPT: usize = 40;

/// Rounds of generation between steps of a dive.
const BETWEEN: usize = 8;

/// Strands of which chains are made at once at first, and at most anew, beyond ten.
const PART: usize = 80;
const AGAIN: usize = 60;

/// Tries in a row without a gain after which it is enough.
const IN_VAIN: usize = 60;

/// From here on a chain is taken.
const NEARLY_WHOLE: f64 = 0.999;

/// Where laying a strand after a pull is filled `from` far ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct End {
    /// Pulls begun.
    begun: usize,
    /// How far the last pull is filled; 0: it is full.
    fill: usize,
}

/// Lays a strand behind others; `None` where a piece would be too narrow. `fill` 0: in new pulls.
fn follow(strand: &Strand, fill: usize, width: usize) -> Option<End> {
    let room = if fill > 0 { width - fill } else { 0 };
    if strand.total <= room {
        return Some(End { begun: 0, fill: (fill + strand.total) % width });
    }
    if fill > 0 && room < strand.least {
        return None;
    }
    let (full, over) = ((strand.total - room) / width, (strand.total - room) % width);
    if over == 0 || over >= strand.least || (fill == 0 && full == 0) {
        return Some(End { begun: full + usize::from(over > 0), fill: over });
    }
    let needs = strand.least - over + strand.least;
    let gives = (full > 0 && width >= needs) || room >= needs;
    gives.then_some(End { begun: full + 1, fill: strand.least })
}

/// A piece of a strand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Piece {
    pub width: usize,
    /// Whether it begins a pull.
    pub begins: bool,
}

/// The pieces that [`follow`] makes, in order, and in how far the last pull is filled then (0: full).
pub(super) fn pieces(strand: &Strand, fill: usize, width: usize) -> (Vec<Piece>, usize) {
    let room = if fill > 0 { width - fill } else { 0 };
    let first = strand.total.min(room);
    let (full, over) = ((strand.total - first) / width, (strand.total - first) % width);
    let begins = |width: usize| Piece { width, begins: true };
    let mut all = Vec::with_capacity(full + 3);
    all.extend((first > 0).then_some(Piece { width: first, begins: false }));
    all.extend(std::iter::repeat_n(begins(width), full));
    if over > 0 {
        let short = if all.is_empty() { 0 } else { strand.least.saturating_sub(over) };
        if let Some(gives) = all.iter_mut().rev().find(|p| p.width >= short + strand.least) {
            gives.width -= short;
        }
        all.push(begins(over + short));
    }
    let last = all.last().map_or(0, |piece| piece.width);
    let end = if strand.total <= room { fill + last } else { last } % width;
    while all.len() < strand.fewest {
        let widest = (0..all.len()).rev().max_by_key(|&at| all[at].width);
        let Some(at) = widest.filter(|&at| all[at].width >= 2 * strand.least) else { break };
        let half = Piece { width: all[at].width / 2, begins: false };
        all[at].width -= half.width;
        all.insert(at + 1, half);
    }
    (all, end)
}

/// A chain: strands in order, what its pulls cost, and how many pieces it has.
#[derive(Clone, Debug)]
struct Chain {
    strands: Vec<usize>,
    cost: f64,
    weight: f64,
}

/// Strands that may be chained with each other, in order of what a pull costs, dearest first.
#[derive(Clone, Debug)]
pub(super) struct Wrap {
    pub strands: Vec<Strand>,
    /// How wide pulls are, in steps.
    pub width: usize,
    /// The most pieces, each counted with its weight.
    pub limit: f64,
}

impl Wrap {
    /// `None` where a strand cannot follow another in this order.
    fn chain(&self, strands: Vec<usize>) -> Option<Chain> {
        let (mut cost, mut weight, mut fill) = (0.0, 0.0, 0);
        for &number in &strands {
            let strand = &self.strands[number];
            let end = follow(strand, fill, self.width)?;
            cost += real(end.begun) * strand.along;
            weight += strand.weight * real(strand.made(end, fill));
            fill = end.fill;
        }
        Some(Chain { strands, cost, weight })
    }

    /// Chains of `live` strands that cost less than `prices` pay for these, best first; `mu` is the price
    /// of a piece.
    fn pricing(&self, live: &[usize], prices: &[f64], mu: f64) -> Vec<Chain> {
        let width = self.width;
        // The last state: nothing laid yet. A pull that is full, 0, cannot be shared: chains end there.
        let mut best = vec![f64::INFINITY; width + 1];
        best[width] = 0.0;
        let mut from: Vec<Vec<usize>> = Vec::with_capacity(live.len());
        for (&number, &price) in live.iter().zip(prices) {
            let strand = &self.strands[number];
            let mut next = best.clone();
            let mut came = vec![usize::MAX; width];
            for (state, &before) in best.iter().enumerate().skip(1) {
                if !before.is_finite() {
                    continue;
                }
                let fill = state % width;
                let Some(end) = follow(strand, fill, width) else { continue };
                let pieces = real(strand.made(end, fill));
                let cost = real(end.begun) * strand.along + mu * strand.weight * pieces;
                let value = before + cost - price;
                if value < next[end.fill] - 1e-12 {
                    next[end.fill] = value;
                    came[end.fill] = state;
                }
            }
            from.push(came);
            best = next;
        }
        let mut ends: Vec<usize> = (0..width).filter(|&f| best[f] < -1e-8).collect();
        ends.sort_by(|&a, &b| best[a].total_cmp(&best[b]).then(a.cmp(&b)));
        ends.truncate(KEPT);
        let back = |&end: &usize| {
            let mut state = end;
            let mut strands = Vec::new();
            for (&number, came) in live.iter().zip(&from).rev() {
                if let Some(&before) = came.get(state)
                    && before != usize::MAX
                {
                    strands.push(number);
                    state = before;
                }
            }
            strands.reverse();
            self.chain(strands)
        };
        ends.iter().filter_map(back).collect()
    }

    /// Chains that hold every strand once, cheap ones: of parts of all strands first, then of what lies
    /// in some chains anew, as long as there is effort.
    pub fn chains(&self, lots: &mut Lots, effort: &Effort<'_>) -> Vec<Vec<usize>> {
        let many = self.strands.len().div_ceil(PART).max(1);
        let size = self.strands.len().div_ceil(many).max(1);
        let all: Vec<usize> = (0..self.strands.len()).collect();
        let alone = |&number: &usize| self.chain(vec![number]);
        let weight = |chains: &[Chain]| chains.iter().map(|chain| chain.weight).sum::<f64>();
        let mut now: Vec<Chain> = all.iter().filter_map(alone).collect();
        let mut left = self.limit - weight(&now);
        for part in all.chunks(size) {
            let share = left * real(part.len()) / real(all.len() - part[0]);
            let (mine, others): (Vec<Chain>, Vec<Chain>) =
                now.into_iter().partition(|chain| part.contains(&chain.strands[0]));
            now = others;
            let before = weight(&mine);
            let found = self.dive(&mine, before + share, effort).unwrap_or(mine);
            left += before - weight(&found);
            now.extend(found);
        }
        let mut vain = 0;
        while vain < IN_VAIN && !effort.over() && now.len() > 1 {
            vain += 1;
            let some = self.near(&now, lots);
            let mine: Vec<Chain> = some.iter().map(|&at| now[at].clone()).collect();
            let cost = |chains: &[Chain]| chains.iter().map(|chain| chain.cost).sum::<f64>();
            let Some(found) = self.dive(&mine, weight(&mine) + left, effort) else { continue };
            let gain = cost(&mine) - cost(&found);
            if gain >= 0.0 {
                if gain > 1e-6 * cost(&mine) {
                    vain = 0;
                }
                left += weight(&mine) - weight(&found);
                let stays = (0..now.len()).filter(|at| !some.contains(at));
                now = stays.map(|at| now[at].clone()).chain(found).collect();
            }
        }
        now.into_iter().map(|chain| chain.strands).collect()
    }

    /// Chains by lot of which most hold strands near one of them.
    fn near(&self, now: &[Chain], lots: &mut Lots) -> Vec<usize> {
        let middle = lots.below(self.strands.len());
        let far = |at: usize, lots: &mut Lots| {
            let strands = &now[at].strands;
            let least = strands.iter().map(|s| s.abs_diff(middle)).min().unwrap_or(0);
            real(least) * (0.3 + lots.unit()) + f64::from(u8::from(lots.below(20) == 0)) * -1e9
        };
        let mut order: Vec<(f64, usize)> = (0..now.len()).map(|at| (far(at, lots), at)).collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut some = Vec::new();
        let mut strands = 0;
        let most = 10 + lots.below(AGAIN);
        for (_, at) in order {
            if strands > most {
                break;
            }
            strands += now[at].strands.len();
            some.push(at);
        }
        some
    }

    /// Chains anew for the strands of these, with pieces up to a limit; `None` where that does not come
    /// out.
    fn dive(&self, chains: &[Chain], mut limit: f64, effort: &Effort<'_>) -> Option<Vec<Chain>> {
        let mut alive = vec![false; self.strands.len()];
        let mut pool: Vec<Chain> = chains.to_vec();
        for &strand in chains.iter().flat_map(|chain| &chain.strands) {
            alive[strand] = true;
            pool.extend(self.chain(vec![strand]));
        }
        let mut settled: Vec<Chain> = Vec::new();
        let mut rounds = usize::MAX;
        while alive.contains(&true) {
            pool.retain(|chain| chain.strands.iter().all(|&strand| alive[strand]));
            let (taken, _) = self.solved(&mut pool, (&alive, limit, rounds), effort)?;
            rounds = BETWEEN;
            let mut order: Vec<usize> = (0..pool.len()).collect();
            order.sort_by(|&a, &b| taken[b].total_cmp(&taken[a]).then(a.cmp(&b)));
            let mut some = false;
            for at in order {
                let chain = &pool[at];
                if some && taken[at] < NEARLY_WHOLE {
                    break;
                }
                if chain.strands.iter().all(|&strand| alive[strand]) {
                    limit -= chain.weight;
                    for &strand in &chain.strands {
                        alive[strand] = false;
                    }
                    settled.push(chain.clone());
                    some = true;
                }
            }
            if !some {
                return None;
            }
        }
        (limit >= -1e-6).then_some(settled)
    }

    /// Solves the programme for the strands alive, chains generated: how much of each is taken, and the
    /// prices of strands and of pieces.
    fn solved(
        &self,
        pool: &mut Vec<Chain>,
        (alive, limit, rounds): (&[bool], f64, usize),
        effort: &Effort<'_>,
    ) -> Option<(Vec<f64>, Vec<f64>)> {
        let mut row_of = vec![usize::MAX; alive.len()];
        let live: Vec<usize> = (0..alive.len()).filter(|&strand| alive[strand]).collect();
        for (row, &strand) in live.iter().enumerate() {
            row_of[strand] = row;
        }
        let mut rows = vec![Row { sense: Sense::AtLeast, rhs: 1.0 }; live.len()];
        let pieces = rows.len();
        rows.push(Row { sense: Sense::AtMost, rhs: positive(limit) });
        let mut lp = Simplex::new(&rows);
        lp.add_column(DEAR, &[(pieces, -1.0)]);
        let add = |lp: &mut Simplex, chain: &Chain| {
            let strands = chain.strands.iter().map(|&strand| (row_of[strand], 1.0));
            let mut column: Vec<(usize, f64)> = strands.collect();
            column.push((pieces, chain.weight));
            lp.add_column(chain.cost, &column);
        };
        for chain in pool.iter() {
            add(&mut lp, chain);
        }
        for round in 0..=rounds {
            if !effort.optimise(&mut lp) {
                return None;
            }
            if round == rounds {
                break;
            }
            let prices = lp.prices();
            let new = self.pricing(&live, &prices[..pieces], -prices[pieces]);
            effort.spend(4 * self.width * live.len());
            if new.is_empty() {
                break;
            }
            for chain in new {
                add(&mut lp, &chain);
                pool.push(chain);
            }
        }
        Some((lp.weights()[1..].to_vec(), lp.prices().to_vec()))
    }
}

impl Wrap {
    /// What the pulls of all strands cost at least, whatever chains are taken, where the dearest costs
    /// `scale`: costs are whole numbers then, and so is the bound, re-computed from rounded prices.
    ///
    /// For prices `p` of strands and `mu` of pieces, the cost of any answer is at least the sum of `p`,
    /// less `mu` for each piece of the limit, plus for each chain its reduced cost where that is below
    /// nothing.
    pub fn bound(&self, scale: f64, effort: &Effort<'_>) -> Option<i64> {
        let alive = vec![true; self.strands.len()];
        let alone = |number: usize| self.chain(vec![number]);
        let mut pool: Vec<Chain> = (0..alive.len()).filter_map(alone).collect();
        let (_, prices) = self.solved(&mut pool, (&alive, self.limit, usize::MAX), effort)?;
        let (mu, prices) = prices.split_last()?;
        let (mu, limit) = (whole((-mu * scale).max(0.0)), whole(self.limit));
        let prices: Vec<i64> = prices.iter().map(|price| whole(price.max(0.0) * scale)).collect();
        let alongs: Vec<i64> = self.strands.iter().map(|s| whole(s.along * scale)).collect();
        let least = self.least_reduced((&prices, mu), &alongs);
        let many = i64::try_from(prices.len()).ok()?;
        Some(prices.iter().sum::<i64>() - mu * limit + many * least)
    }

    /// The least reduced cost of any chain, or nothing.
    fn least_reduced(&self, (prices, mu): (&[i64], i64), alongs: &[i64]) -> i64 {
        let width = self.width;
        let mut best = vec![i64::MAX; width + 1];
        best[width] = 0;
        for ((strand, price), along) in self.strands.iter().zip(prices).zip(alongs) {
            let mut next = best.clone();
            for (state, &before) in best.iter().enumerate().skip(1) {
                if before == i64::MAX {
                    continue;
                }
                let fill = state % width;
                let Some(end) = follow(strand, fill, width) else { continue };
                let begun = i64::try_from(end.begun).unwrap_or(i64::MAX);
                let pieces = begun + i64::from(fill > 0);
                let cost = begun * along + mu * whole(strand.weight) * pieces;
                next[end.fill] = next[end.fill].min(before + cost - price);
            }
            best = next;
        }
        best[..width].iter().copied().fold(0, i64::min)
    }
}

/// The nearest whole number.
#[expect(clippy::cast_possible_truncation, reason = "costs are far below 2^63")]
fn whole(number: f64) -> i64 {
    number.round() as i64
}

/// As floating point, for the programme.
#[expect(clippy::cast_precision_loss, reason = "the programme works in floating point")]
fn real(number: usize) -> f64 {
    number as f64
}

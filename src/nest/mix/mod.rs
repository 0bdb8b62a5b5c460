//! The cheapest order of whole rolls of several products, whatever the shape of their prices.
//!
//! The engine finds the least sum of fixed prices, and where rolls hold many pulls it chooses between
//! products in fractions. Here counts of rolls are chosen first, whole, and each choice is then either
//! ruled out or cut:
//!
//! ```text
//!   min  C(n)   s.t.  n holds the pieces,   n whole
//! ```
//!
//! `C` is what counts cost together: price breaks, minimum orders, freight, and spares of the roll of which
//! most is taken. But for the spares it does not fall; with them it is the least of several that do not,
//! one for each roll that may get them ([`mod@choose`]).
//! Every [`Certificate`] says what counts must reach to hold the pieces, whatever rolls there are, so
//! it is a row of this programme (Benders, Numerische Mathematik 4, 1962; with searches in the place
//! of his linear programmes: Hooker and Ottosson, Mathematical Programming 96, 2003).
//!
//! 1. Rows: the bound by area, the linear programmes over lines across the rolls
//!    ([`super::straight::lines`]), and what nesting has proven so far.
//! 2. The cheapest counts that no row rules out ([`mod@choose`]). The programme over lines is asked whether
//!    these very rolls can hold the pieces; where not, it gives a row, and 2. again.
//! 3. Where it finds nothing, the engine cuts the pieces from just these rolls: where they are few, first from all in the
//!    number chosen, weighed by their area, since it wastes rolls that cost it nothing; where it has no room, from all but one
//!    product in that number, of that one as few as it can. Where the spares would then be of another product, and all
//!    dearer, once more with those of which most was chosen at no price. If it needs no more than were chosen, this is the
//!    cheapest order. Otherwise its proof is a row, its layouts are an order too, and the counts are set
//!    aside: as open, unless its search proved that they are too few, which leaves no row; 2. again, until
//!    nothing cheaper than the best order is left. Each gets little work, and two are cut side by side; in the
//!    end the cheapest that is open gets all that is allowed.
//!
//! What is set aside and cheaper than the best order is what stands between it and the proof.

mod choose;
mod spread;

use super::bound::Certificate;
use super::neighbourhood;
use super::offers::weighed;
use super::shapes;
use super::solve::improved;
use super::straight::effort::Effort;
use super::straight::lines::{Asked, Lines};
use super::watch::{Beside, Hushed};
use super::{Basis, Instance, NestError, Nesting, News, Options, Roll, Status, Watch, solve};
use crate::cutting::{Objective, Style};
use crate::units::Money;
use choose::{BRANCHES, Cut, Found, Offered, Priced, Spared, Steps, cheapest};
use rayon::prelude::*;

/// What rolls cost.
pub trait Market: Sync {
    /// Whether a roll lies on the shelf and is there whatever is bought.
    fn shelf(&self, roll: usize) -> bool;
    /// What at least `count` of a roll cost, in millionths, and how many one then has; `None` where
    /// so many are not to be had. Never less for more.
    fn offer(&self, roll: usize, count: u64) -> Option<(u64, i64)>;
    /// Whether spares are bought, all of one roll: of that of which most is taken.
    fn spares(&self) -> bool;
    /// What at least `count` of a roll, one or more, and all spares cost, in millionths; `None` where so many
    /// are not to be had. Never less for more.
    fn with_spares(&self, roll: usize, count: u64) -> Option<i64>;
    /// The most of another roll that may be taken where `count` of `roll` are and it gets the spares. Never
    /// less for more.
    fn most_beside(&self, roll: usize, count: u64, other: usize) -> u64;
    /// What counts of all rolls cost together: the sum of their offers; where spares are bought the least
    /// sum with one of them offered with the spares, where it may get them. [`NEVER`] where they are not to be had.
    fn together(&self, counts: &[u64]) -> i64;
    /// Whether that is nothing but the sum of the instance's prices.
    fn plain(&self) -> bool;
}

/// Counts of rolls that are neither ruled out nor cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Open {
    /// By roll.
    pub counts: Vec<u64>,
    /// What they cost, in millionths.
    pub cost: i64,
}

/// The cheapest order found, and what is known of cheaper ones.
#[derive(Clone, Debug)]
pub struct Mixed {
    /// How it is cut; value and bound are those of the instance's prices.
    pub nesting: Nesting,
    /// What it costs in this market, in millionths.
    pub cost: i64,
    /// No order costs less.
    pub bound: i64,
    /// The orders below `cost` that are not ruled out, cheapest first; there are no others, if `all`.
    pub open: Vec<Open>,
    /// Whether every order below `cost` was looked at.
    pub all: bool,
    /// Orders that the programme over lines ruled out one by one.
    pub tried: u32,
}

/// What counts cost that are not to be had: more than any order does.
pub const NEVER: i64 = i64::MAX / 8;

/// The most rows that are added before the bound is left as it is.
const ROWS: usize = 400;
/// The most orders that are cut in vain.
const CUTS: usize = 24;
/// The most that are set aside, those that were proven too few among them.
const ASIDE: usize = 200;
/// Each gets this part of the work allowed; then the cheapest that is left gets all of it.
const QUICK: u64 = 32;
/// But no less than this, where so much is allowed.
const LEAST: u64 = 1_000_000;
/// The most steps of price of one roll.
const STEPS: usize = 20_000;
/// Beyond this the numbers of a certificate are rounded, so that sums stay in 128 bits.
const LARGE: i128 = 1 << 44;

/// More rolls than these are not asked for as they are: of many the engine finds an answer that has one too many, or
/// none, and takes long over it.
const EXACTLY: u64 = 40;

/// What cutting the pieces from just some counts of rolls came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Tried {
    /// They are enough.
    Enough,
    /// They are not: the engine proved that more are needed, by a search that leaves no row.
    TooFew,
    /// Neither is known.
    Open,
}

/// The programme of one instance.
pub struct Programme<'a> {
    instance: &'a Instance,
    market: &'a dyn Market,
    options: Options,
    lines: Option<Lines>,
    certificates: Vec<Certificate>,
    cuts: Vec<Cut>,
    /// By product, the roll of the instance.
    rolls: Vec<usize>,
    /// Set aside, by product.
    aside: Vec<Vec<u64>>,
    tried: u32,
}

impl<'a> Programme<'a> {
    /// For an instance whose rolls end.
    #[must_use]
    pub fn new(instance: &'a Instance, market: &'a dyn Market, options: &Options) -> Self {
        let rolls = (0..instance.rolls.len()).filter(|&k| !market.shelf(k)).collect();
        let lines = Lines::new(instance);
        let (certificates, cuts, aside) = (Vec::new(), Vec::new(), Vec::new());
        let options = *options;
        let mut new =
            Self { instance, market, options, lines, certificates, cuts, rolls, aside, tried: 0 };
        new.begin();
        new
    }

    /// The row that the programme over lines gives at list prices.
    fn begin(&mut self) {
        let costs: Vec<f64> = self.instance.rolls.iter().map(|r| r.price.units_f64()).collect();
        let dearest = costs.iter().copied().fold(0.0, f64::max).max(f64::MIN_POSITIVE);
        let costs: Vec<f64> = costs.iter().map(|cost| cost / dearest).collect();
        let limits: Vec<Option<u64>> = self.instance.rolls.iter().map(|r| r.available).collect();
        self.ask(&costs, 8.0, &limits);
    }

    /// Asks the programme over lines and keeps its row; the programme's value.
    fn ask(&mut self, costs: &[f64], missing: f64, limits: &[Option<u64>]) -> Option<f64> {
        let options = Options { work: self.options.work / 20, ..self.options };
        let quiet = super::Quiet;
        let effort = Effort::new(&options, &quiet);
        let lines = self.lines.as_mut()?;
        let widths = lines.widths();
        let widest = widths.last().copied().unwrap_or(1).max(1);
        let share = |&width: &usize| missing * ratio(width, widest);
        let missing: Vec<f64> = widths.iter().map(share).collect();
        let asked = Asked { costs, missing: &missing, limits };
        let (certificate, value) = lines.certificate(&asked, &effort);
        self.learn(&certificate);
        Some(value)
    }

    /// Takes a certificate as a row.
    pub fn learn(&mut self, certificate: &Certificate) {
        if certificate.most.len() != self.instance.rolls.len() {
            return;
        }
        let pieces = self.instance.pieces.iter().zip(&certificate.prices);
        let worth: i128 =
            pieces.map(|(piece, &price)| i128::from(piece.quantity) * i128::from(price)).sum();
        let most = |k: usize| i128::from(certificate.most[k].worth);
        let shelf: i128 = (0..self.instance.rolls.len())
            .filter(|k| !self.rolls.contains(k))
            .map(|k| most(k) * i128::from(self.instance.rolls[k].available.unwrap_or(0)))
            .sum();
        let large = self.rolls.iter().map(|&k| most(k)).max().unwrap_or(0);
        let by = large / LARGE + 1;
        // Rounded so that the row only becomes weaker.
        let gives = self.rolls.iter().map(|&k| (most(k) + by - 1) / by).collect();
        let cut = Cut { need: (worth - shelf).div_euclid(by), gives };
        if cut.need > 0 && !self.cuts.contains(&cut) {
            self.cuts.push(cut);
            self.certificates.push(certificate.clone());
        }
    }

    /// What so many of a roll cost, with the spares or without.
    fn offer(&self, k: usize, count: u64, spared: bool) -> Option<i64> {
        if spared {
            self.market.with_spares(k, count)
        } else {
            self.market.offer(k, count).map(|(_, cost)| cost)
        }
    }

    /// The most rolls of a product that are had for a cost, between a count that costs no more and `most`.
    fn had_for(&self, (k, spared): (usize, bool), cost: i64, count: u64, most: u64) -> u64 {
        let (mut low, mut high) = (count, most.max(count));
        while low < high {
            let middle = low + (high - low).div_ceil(2);
            if self.offer(k, middle, spared).is_some_and(|other| other <= cost) {
                low = middle;
            } else {
                high = middle - 1;
            }
        }
        low
    }

    /// What a roll costs, with the spares or without, step by step, below a cost; no more rolls than pieces.
    /// And whether these are all steps.
    fn steps(&self, (k, spared): (usize, bool), below: i64) -> (Steps, bool) {
        let most = self.instance.demand();
        let mut steps: Steps = vec![(0, 0)];
        let mut count = 1;
        while let Some(cost) = self.offer(k, count, spared) {
            if cost >= below {
                break;
            }
            if steps.len() > STEPS {
                return (steps, false);
            }
            // More for no more money is better.
            let have = self.had_for((k, spared), cost, count, most);
            if let Some(last) = steps.last_mut().filter(|last| last.0 > 0 && last.1 >= cost) {
                last.0 = have;
            } else {
                steps.push((have, cost));
            }
            if have >= most {
                break;
            }
            count = have + 1;
        }
        (steps, true)
    }

    /// The cheapest counts below a cost that no row rules out.
    fn cheapest(&self, below: i64) -> Found {
        let together = |counts: &[u64]| self.market.together(&self.all(counts));
        let steps = self.rolls.iter().map(|&k| self.steps((k, false), below));
        let (mut steps, whole): (Vec<Steps>, Vec<bool>) = steps.unzip();
        let mut found = Found { best: None, complete: whole.iter().all(|&whole| whole) };
        if !self.market.spares() || self.rolls.is_empty() {
            let offered =
                Offered { steps: &steps, spared: None, together: &together, branches: BRANCHES };
            let only = cheapest(offered, &self.cuts, &self.aside, below);
            return Found { complete: found.complete && only.complete, ..only };
        }
        let branches = BRANCHES / u64::try_from(self.rolls.len()).unwrap_or(BRANCHES);
        for (roll, &k) in self.rolls.iter().enumerate() {
            let below = found.best.as_ref().map_or(below, |best| best.1);
            let most =
                |count: u64, other: usize| self.market.most_beside(k, count, self.rolls[other]);
            let (with, whole) = self.steps((k, true), below);
            let without = std::mem::replace(&mut steps[roll], with);
            let spared = Some(Spared { roll, most: &most });
            let offered = Offered { steps: &steps, spared, together: &together, branches };
            let one = cheapest(offered, &self.cuts, &self.aside, below);
            steps[roll] = without;
            found.complete &= whole && one.complete;
            found.best = one.best.or(found.best);
        }
        found
    }

    /// The cheapest counts below a cost that nothing rules out, and whether that is certain. `None`:
    /// there are none.
    fn next(&mut self, below: i64, watch: &dyn Watch) -> (Option<Priced>, bool) {
        for _ in 0..ROWS {
            let found = self.cheapest(below);
            let Some(best) = found.best else { return (None, found.complete) };
            let rows = self.cuts.len();
            if !watch.stop() && self.lines.is_some() {
                let limits: Vec<Option<u64>> = self.all(&best.0).into_iter().map(Some).collect();
                self.ask(&vec![0.0; limits.len()], 1.0, &limits);
            }
            if self.cuts.len() == rows || self.may_hold(&self.all(&best.0)) {
                return (Some(best), found.complete);
            }
            self.tried += 1;
        }
        (None, false)
    }

    /// Counts of all rolls: those of the products, and the shelf.
    fn all(&self, counts: &[u64]) -> Vec<u64> {
        let mut all: Vec<u64> =
            self.instance.rolls.iter().map(|roll| roll.available.unwrap_or(0)).collect();
        for (&k, &count) in self.rolls.iter().zip(counts) {
            all[k] = count;
        }
        all
    }

    /// No order costs less than this, as far as rows alone say; at most `below`.
    pub fn bound(&mut self, below: i64, watch: &dyn Watch) -> i64 {
        match self.next(below, watch) {
            (Some((_, cost)), true) => cost,
            (None, true) => below,
            _ => 0,
        }
    }

    /// The cheapest order, where it costs less than `below`; whatever was found otherwise.
    ///
    /// # Errors
    /// As [`solve()`], where the pieces cannot be cut at all.
    pub fn solve(&mut self, below: i64, watch: &dyn Watch) -> Result<Mixed, NestError> {
        let priced = Instance { objective: Objective::Price, ..self.instance.clone() };
        // All orders are cut from the same pieces.
        let outlined = priced.cutting.style == Style::Free && priced.is_outlined();
        let _held = outlined.then(|| shapes::kit(&priced));
        let quick = (self.options.work / QUICK).max(LEAST.min(self.options.work));
        let quick = Options { work: quick, ..self.options };
        let first = solve(&priced, &quick, &Hushed(watch))?;
        let cost = self.market.together(&first.used(self.instance.rolls.len()));
        let mut best = (first, cost);
        self.prove(&best.0);
        let instance = self.instance;
        let tell = |value: i64, bound: i64| {
            let (value, bound) = (Some(value).filter(|value| *value < NEVER), bound.min(value));
            watch.news(&News {
                instance: &instance.name,
                objective: Objective::Price,
                value,
                bound,
            });
        };
        tell(cost, 0);
        // Orders come by cost: what is cheaper than the first that was set aside is ruled out.
        let mut ruled_out = 0;
        let (mut open, mut all): (Vec<Open>, bool) = (Vec::new(), true);
        loop {
            let (next, complete) = self.next(below.min(best.1), watch);
            all &= complete;
            let Some((counts, cost)) = next else { break };
            if all && open.is_empty() {
                ruled_out = cost;
            }
            tell(best.1, ruled_out);
            if open.len() >= CUTS || self.aside.len() >= ASIDE || watch.stop() {
                open.push(Open { counts: self.all(&counts), cost });
                all = false;
                break;
            }
            self.aside.push(counts.clone());
            let mut two = vec![(counts, cost)];
            if open.len() + 1 < CUTS
                && let (Some(second), complete) = self.next(below.min(best.1), watch)
            {
                all &= complete;
                self.aside.push(second.0.clone());
                two.push(second);
            }
            let laid: Vec<Laid> = two
                .par_iter()
                .map(|(counts, _)| self.laid(&priced, counts, &quick, watch))
                .collect();
            for ((counts, cost), laid) in two.into_iter().zip(laid) {
                if self.weigh(&counts, laid, &mut best) == Tried::Open {
                    open.push(Open { counts: self.all(&counts), cost });
                }
            }
        }
        // The cheapest that is left is worth most: all the work that is allowed goes to it. Beside it the best
        // is searched around.
        let first = open.iter().find(|open| open.cost < best.1 && self.may_hold(&open.counts));
        let first = first.map(|open| self.products(&open.counts)).filter(|_| !watch.stop());
        let work = neighbourhood::work(&priced, &self.options).filter(|_| !open.is_empty());
        let around = |work: u64| {
            let options = Options { work: work / 2, ..self.options };
            improved(&priced, best.0.clone(), &options, &Hushed(watch))
        };
        let last = |counts: Vec<u64>| {
            let laid = self.laid(&priced, &counts, &self.options, watch);
            (counts, laid)
        };
        let (better, last) = rayon::join(|| work.map(around), || first.map(last));
        if let Some(better) = better {
            let cost = self.market.together(&better.used(self.instance.rolls.len()));
            if cost < best.1 {
                best = (better, cost);
                tell(cost, ruled_out);
            }
        }
        if let Some((counts, laid)) = last
            && self.weigh(&counts, laid, &mut best) != Tried::Open
        {
            let counts = self.all(&counts);
            open.retain(|open| open.counts != counts);
        }
        let (mut nesting, cost) = best;
        let below = below.min(cost);
        // Rows that came later may rule out what was set aside.
        open.retain(|open| open.cost < below && self.may_hold(&open.counts));
        open.sort_by_key(|open| (open.cost, open.counts.clone()));
        let bound = open.first().map_or(below, |open| open.cost);
        let bound = if all || !open.is_empty() { bound } else { 0 };
        self.restate(&mut nesting, bound, watch);
        Ok(Mixed { nesting, cost, bound, open, all, tried: self.tried })
    }

    /// Whether an answer shows that these counts of products are enough, for no more than they cost. Keeps what
    /// is cheaper than the best, and what was proven.
    fn weigh(&mut self, counts: &[u64], (asked, answer): Laid, best: &mut (Nesting, i64)) -> Tried {
        let Some(nesting) = answer else { return Tried::Open };
        self.prove(&nesting);
        let counts = self.all(counts);
        let worth =
            |(roll, &n): (&Roll, &u64)| i128::from(roll.cost(asked.objective)) * i128::from(n);
        let holding: i128 = asked.rolls.iter().zip(&counts).map(worth).sum();
        let too_few = i128::from(nesting.bound) > holding;
        let most = self.market.together(&counts);
        let cost = self.market.together(&nesting.used(counts.len()));
        let enough = nesting.used(counts.len()).iter().zip(&counts).all(|(used, n)| used <= n);
        if cost < best.1 {
            // Its value and bound are of what was asked.
            *best = (Nesting::known(self.instance, nesting.layouts), cost);
        }
        if enough && cost <= most {
            Tried::Enough
        } else if too_few {
            Tried::TooFew
        } else {
            Tried::Open
        }
    }

    /// Lays cut pieces on more rolls of one product, no more than its count, where that costs less because it then
    /// gets the spares.
    fn spread(&self, nesting: &mut Nesting, counts: &[u64]) {
        let before = nesting.used(counts.len());
        let cost = self.market.together(&before);
        let top = self.rolls.iter().map(|&k| before[k]).max().unwrap_or(0);
        // As many as of any other are enough, or one more where that other gets the spares among equals.
        let each = |&k: &usize| [top, top.saturating_add(1)].map(|count| (k, count));
        let more = |&(k, count): &(usize, u64)| count > before[k] && count <= counts[k];
        let priced = |(k, count): (usize, u64)| {
            let mut used = before.clone();
            used[k] = count;
            (self.market.together(&used), count, k)
        };
        let tries = self.rolls.iter().flat_map(each).filter(more).map(priced);
        let mut tries: Vec<(i64, u64, usize)> = tries.filter(|tried| tried.0 < cost).collect();
        tries.sort_unstable();
        let laid = |&(_, count, k): &(i64, u64, usize)| {
            spread::more(self.instance, &nesting.layouts, k, count - before[k])
        };
        if let Some(layouts) = tries.iter().find_map(laid) {
            nesting.layouts = layouts;
        }
    }

    /// Counts of products among those of all rolls.
    fn products(&self, counts: &[u64]) -> Vec<u64> {
        self.rolls.iter().map(|&k| counts[k]).collect()
    }

    /// Whether no row rules counts of all rolls out.
    #[must_use]
    pub fn may_hold(&self, counts: &[u64]) -> bool {
        self.cuts.iter().all(|cut| {
            let gives = cut.gives.iter().zip(&self.rolls);
            gives.map(|(give, &k)| give * i128::from(counts[k])).sum::<i128>() >= cut.need
        })
    }

    /// Whether rows rule counts of all rolls out; then how much is missing at least, in hundredths of
    /// one roll `k`, rounded down.
    pub fn short(&mut self, counts: &[u64], k: usize) -> Option<u64> {
        let mut counts = counts.to_vec();
        for (roll, count) in self
            .instance
            .rolls
            .iter()
            .zip(&mut counts)
            .enumerate()
            .filter_map(|(k, (roll, count))| self.market.shelf(k).then_some((roll, count)))
        {
            *count = roll.available.unwrap_or(0);
        }
        let limits: Vec<Option<u64>> = counts.iter().copied().map(Some).collect();
        self.ask(&vec![0.0; limits.len()], 1.0, &limits);
        let at = self.rolls.iter().position(|&roll| roll == k)?;
        let missing = |cut: &Cut| {
            let gives = cut.gives.iter().zip(&self.rolls);
            let less =
                cut.need - gives.map(|(give, &k)| give * i128::from(counts[k])).sum::<i128>();
            (less > 0).then(|| if cut.gives[at] > 0 { 100 * less / cut.gives[at] } else { 0 })
        };
        let most = self.cuts.iter().filter_map(missing).max()?;
        u64::try_from(most).ok()
    }

    /// Value and bound in the instance's own prices.
    fn restate(&self, nesting: &mut Nesting, bound: i64, watch: &dyn Watch) {
        let count = |n: u64| i64::try_from(n).unwrap_or(i64::MAX);
        let one = |k: usize| self.instance.rolls[k].cost(self.instance.objective);
        let layouts = nesting.layouts.iter();
        nesting.value = layouts.map(|l| one(l.roll).saturating_mul(count(l.copies))).sum();
        let proven = self.certificates.iter().filter_map(|c| Some((c.bound(self.instance)?, c)));
        let (by_row, certificate) =
            proven.max_by_key(|(bound, _)| *bound).map_or((0, None), |(b, c)| (b, Some(c.clone())));
        (nesting.bound, nesting.basis) = (by_row.min(nesting.value), Basis::Lines);
        nesting.certificate = certificate;
        let searched = self.instance.objective == Objective::Price && self.market.plain();
        if searched && bound > nesting.bound {
            (nesting.bound, nesting.basis) = (bound.min(nesting.value), Basis::Search);
        }
        nesting.status = Status::of(nesting.value, nesting.bound, watch.stop());
    }

    /// Takes what an answer proves.
    fn prove(&mut self, nesting: &Nesting) {
        if let Some(certificate) = &nesting.certificate {
            self.learn(certificate);
        }
    }

    /// Cuts the pieces from just some counts of products. Where fewer of one are cut than were chosen, another may get the
    /// spares, and that may cost more than all: then once more, with as many of that one as there are.
    fn laid(
        &self,
        priced: &Instance,
        counts: &[u64],
        options: &Options,
        watch: &dyn Watch,
    ) -> Laid {
        let all = self.all(counts);
        let most = self.market.together(&all);
        let cost = |nesting: &Nesting| self.market.together(&nesting.used(all.len()));
        let ask = |asked: Instance, work: u64| {
            let options = Options { work, ..*options };
            let mut answer = solve(&asked, &options, &Beside(watch)).ok();
            if let Some(nesting) = answer.as_mut().filter(|nesting| cost(nesting) > most) {
                self.spread(nesting, &all);
            }
            (asked, answer)
        };
        let few = counts.iter().fold(0, |sum: u64, &n| sum.saturating_add(n)) <= EXACTLY;
        let exactly = few.then(|| ask(self.exactly(priced, counts), options.work / 2));
        let laid = match exactly {
            Some(laid) if laid.1.is_some() || watch.stop() => laid,
            _ => ask(self.only(priced, counts), options.work),
        };
        let dearer = laid.1.as_ref().map(cost).filter(|&cost| cost > most);
        let Some(dearer) = dearer.filter(|_| self.market.spares() && !watch.stop()) else {
            return laid;
        };
        let other = ask(self.leading(priced, counts), options.work / 2);
        if other.1.as_ref().is_some_and(|nesting| cost(nesting) < dearer) { other } else { laid }
    }

    /// The instance with no more than these counts, each roll weighed by its area.
    fn exactly(&self, priced: &Instance, counts: &[u64]) -> Instance {
        let mut exactly = weighed(priced);
        for (&k, &n) in self.rolls.iter().zip(counts) {
            exactly.rolls[k].available = Some(n);
        }
        exactly
    }

    /// As [`Self::exactly`], but those of which most are chosen cost nothing: one of them may get the spares.
    fn leading(&self, priced: &Instance, counts: &[u64]) -> Instance {
        let mut leading = self.exactly(priced, counts);
        let top = counts.iter().max();
        for (&k, _) in self.rolls.iter().zip(counts).filter(|(_, n)| Some(*n) == top) {
            leading.rolls[k].price = Money::ZERO;
        }
        leading
    }

    /// The instance with just these counts: all but one product at no price, of that one as few as
    /// can be.
    fn only(&self, priced: &Instance, counts: &[u64]) -> Instance {
        let area = |(&k, &n): (&usize, &u64)| (priced.rolls[k].area() * i128::from(n), k);
        let weighed = self.rolls.iter().zip(counts).map(area);
        let main = weighed.max_by_key(|&(area, k)| (area, std::cmp::Reverse(k))).map_or(0, |m| m.1);
        let mut only = priced.clone();
        for (&k, &n) in self.rolls.iter().zip(counts) {
            let roll = &mut only.rolls[k];
            // Of as many as it takes, so that too few are proven to be too few.
            (roll.price, roll.available) =
                if k == main { (Money::from_units(1), None) } else { (Money::ZERO, Some(n)) };
        }
        only
    }
}

/// What was asked for, and its answer.
type Laid = (Instance, Option<Nesting>);

#[expect(clippy::cast_precision_loss, reason = "the linear programme works in floating point")]
fn ratio(over: usize, under: usize) -> f64 {
    over as f64 / under as f64
}

//! The programme over pulls and bills.

use super::material::{Form, Material};
use super::table::Pull;
use super::{Bill, Offers, Size, Task};
use crate::nest::Piece;
use crate::nest::positive;
use crate::nest::simplex::{Outcome, Row, Sense, Simplex};
use crate::nest::straight::effort::Effort;
use std::collections::{BTreeMap, BTreeSet};

/// A size's row.
#[derive(Clone, Debug)]
pub(super) struct SizeRow {
    pub size: Size,
    pub forms: Vec<Form>,
    row: usize,
    /// What is wanted by now: the fixed demand and what settled bills hold.
    wanted: u64,
    /// The most that can be wanted of it, over all bills that stand.
    pub most: u64,
}

/// A bill's column.
#[derive(Clone, Debug)]
pub(super) struct Pick<P> {
    pub group: usize,
    pub bill: Bill<P>,
    pub parts: Vec<(usize, u64)>,
    column: usize,
    /// How often it is settled.
    pub settled: u64,
}

/// A pull's column.
#[derive(Clone, Debug)]
struct Cut {
    pull: Pull,
    column: usize,
    cost: f64,
}

/// The programme.
#[derive(Clone, Debug)]
pub(super) struct Master<P> {
    lp: Simplex,
    pub materials: Vec<Material>,
    pub sizes: Vec<SizeRow>,
    index: BTreeMap<Size, usize>,
    pulls: BTreeSet<Pull>,
    cuts: Vec<Cut>,
    /// Cost of the pulls that are settled.
    settled_pulls: f64,
    pub picks: Vec<Pick<P>>,
    known: Vec<BTreeSet<P>>,
    group_row: Vec<usize>,
    /// How many things of each group are not settled.
    pub left: Vec<u64>,
    extra_row: usize,
    /// What is left of what is limited.
    pub extra_left: i64,
    /// The objective's worth of one unit of cost.
    pub scale: f64,
}

impl<P: Clone + Ord> Master<P> {
    /// The programme with the first bills, each size in a pull of its own.
    pub fn new<O: Offers<Plan = P>>(task: &Task<'_, O>) -> Option<Self> {
        let materials: Vec<Material> = task
            .materials
            .iter()
            .map(|instance| Material::new(instance, task.step))
            .collect::<Option<_>>()?;
        let counts = task.offers.counts();
        let mut lp = Simplex::new(&[]);
        let group_row: Vec<usize> = counts
            .iter()
            .map(|&n| lp.add_row(Row { sense: Sense::Equal, rhs: real(n) }, &[]))
            .collect();
        let limit = Row { sense: Sense::AtMost, rhs: signed(task.limit) };
        let extra_row = lp.add_row(limit, &[]);
        let mut master = Self {
            lp,
            materials,
            sizes: Vec::new(),
            index: BTreeMap::new(),
            pulls: BTreeSet::new(),
            cuts: Vec::new(),
            settled_pulls: 0.0,
            picks: Vec::new(),
            known: vec![BTreeSet::new(); counts.len()],
            group_row,
            left: counts,
            extra_row,
            extra_left: task.limit,
            scale: 1.0,
        };
        for (material, instance) in task.materials.iter().enumerate() {
            for piece in &instance.pieces {
                let at = master.size(&Size::of(piece, material))?;
                master.sizes[at].wanted += piece.quantity;
                master.sizes[at].most += piece.quantity;
            }
        }
        let first: Vec<Vec<Bill<P>>> =
            (0..master.left.len()).map(|group| task.offers.first(group)).collect();
        for size in first.iter().flatten().flat_map(|bill| &bill.parts).map(|part| &part.0) {
            master.size(size)?;
        }
        let longest = |row: &SizeRow| {
            let rate = master.materials[row.size.material].widths.first().map_or(0.0, |w| w.rate);
            row.forms.iter().map(|form| rate * super::table::whole(form.length)).fold(0.0, f64::max)
        };
        let scale = master.sizes.iter().map(longest).fold(0.0, f64::max);
        master.scale = if scale > 0.0 { scale } else { 1.0 };
        for at in 0..master.sizes.len() {
            let row = master.sizes[at].row;
            master.lp.set_rhs(row, real(master.sizes[at].wanted));
            master.alone(at);
        }
        for (group, bills) in first.into_iter().enumerate() {
            for bill in bills {
                master.offer(group, bill);
            }
        }
        Some(master)
    }

    /// The row of a size, made where there is none; `None` where the size fits no roll.
    pub fn size(&mut self, size: &Size) -> Option<usize> {
        if let Some(&at) = self.index.get(size) {
            return Some(at);
        }
        let at = self.sizes.len();
        let forms = self.materials.get(size.material)?.forms(size, at);
        if forms.is_empty() {
            return None;
        }
        let row = self.lp.add_row(Row { sense: Sense::AtLeast, rhs: 0.0 }, &[]);
        self.sizes.push(SizeRow { size: *size, forms, row, wanted: 0, most: 0 });
        self.index.insert(*size, at);
        Some(at)
    }

    /// Pulls that hold one size alone, so that the programme can be met.
    pub fn alone(&mut self, at: usize) {
        let row = &self.sizes[at];
        let material = row.size.material;
        let mut new = Vec::new();
        for form in &row.forms {
            for (width, roll) in self.materials[material].widths.iter().enumerate() {
                if form.width <= roll.width {
                    let counts = vec![(at, 1)];
                    new.push(Pull { material, width, length: form.length, counts });
                }
            }
        }
        for pull in new {
            self.pull(pull);
        }
    }

    /// Adds a pull's column unless it stands.
    pub fn pull(&mut self, pull: Pull) -> bool {
        if self.pulls.contains(&pull) {
            return false;
        }
        let rate = self.materials[pull.material].widths[pull.width].rate / self.scale;
        let entries: Vec<(usize, f64)> =
            pull.counts.iter().map(|&(size, n)| (self.sizes[size].row, real(n))).collect();
        let cost = rate * super::table::whole(pull.length);
        let column = self.lp.add_column(cost, &entries);
        self.cuts.push(Cut { pull: pull.clone(), column, cost });
        self.pulls.insert(pull)
    }

    /// Adds a bill's column unless it stands; its sizes must fit rolls.
    pub fn offer(&mut self, group: usize, bill: Bill<P>) -> bool {
        if self.known[group].contains(&bill.plan) {
            return false;
        }
        let mut held: BTreeMap<usize, u64> = BTreeMap::new();
        for (size, n) in &bill.parts {
            let Some(at) = self.size(size) else { return false };
            *held.entry(at).or_default() += n;
        }
        let parts: Vec<(usize, u64)> = held.into_iter().collect();
        let mut entries = vec![(self.group_row[group], 1.0)];
        for &(size, n) in &parts {
            entries.push((self.sizes[size].row, -real(n)));
            let most = n.saturating_mul(self.left[group]);
            self.sizes[size].most = self.sizes[size].most.saturating_add(most);
        }
        if bill.extra != 0 {
            entries.push((self.extra_row, signed(bill.extra)));
        }
        let column = self.lp.add_column(bill.cost / self.scale, &entries);
        self.known[group].insert(bill.plan.clone());
        self.picks.push(Pick { group, bill, parts, column, settled: 0 });
        true
    }

    /// Solves the programme over the columns that stand.
    pub fn optimise(&mut self, effort: &Effort<'_>) -> bool {
        effort.optimise(&mut self.lp)
    }

    /// Solves what is left over the columns that stand, whatever effort is left: so that a value is
    /// one of what is settled.
    pub fn optimise_to_end(&mut self) -> bool {
        self.lp.optimise(&|| false) == Outcome::Optimal
    }

    /// The programme's value in its own unit, what is settled counted in.
    pub fn objective(&self) -> f64 {
        self.lp.objective() + self.settled_cost()
    }

    /// The programme's value in the objective's unit.
    pub fn value(&self) -> f64 {
        self.objective() * self.scale
    }

    fn settled_cost(&self) -> f64 {
        self.settled_pulls + self.settled_bills()
    }

    fn settled_bills(&self) -> f64 {
        let cost = |pick: &Pick<P>| pick.bill.cost / self.scale * real(pick.settled);
        self.picks.iter().map(cost).sum()
    }

    /// Prices of the sizes.
    pub fn prices(&self) -> Vec<f64> {
        let prices = self.lp.prices();
        self.sizes.iter().map(|row| positive(prices[row.row])).collect()
    }

    /// The whole price of a piece of a material.
    pub fn price_of(&self, piece: &Piece, material: usize, scaled: &[i64]) -> Option<i64> {
        let at = self.index.get(&Size::of(piece, material))?;
        scaled.get(*at).copied()
    }

    /// How often each bill is taken beyond what is settled.
    pub fn taken(&self) -> Vec<f64> {
        let weights = self.lp.weights();
        self.picks.iter().map(|p| weights.get(p.column).copied().unwrap_or(0.0)).collect()
    }

    /// Settles (or with a negative number frees again) things of a bill.
    pub fn settle(&mut self, pick: usize, things: i64) {
        let group = self.picks[pick].group;
        let change = |n: u64, by: i64| n.saturating_add_signed(by);
        self.picks[pick].settled = change(self.picks[pick].settled, things);
        self.left[group] = change(self.left[group], -things);
        self.lp.set_rhs(self.group_row[group], real(self.left[group]));
        self.extra_left -= self.picks[pick].bill.extra * things;
        self.lp.set_rhs(self.extra_row, signed(self.extra_left));
        for (size, n) in self.picks[pick].parts.clone() {
            let row = &mut self.sizes[size];
            row.wanted = change(row.wanted, things * i64::try_from(n).unwrap_or(0));
            self.lp.set_rhs(row.row, real(row.wanted));
        }
    }

    /// Settles pulls that are nearly whole (`from` of one on) and hold only pieces that are wanted by
    /// now, so that what is chosen next goes with whole pulls.
    pub fn settle_pulls(&mut self, from: f64) {
        let weights = self.lp.weights().to_vec();
        for at in 0..self.cuts.len() {
            let Some(&weight) = weights.get(self.cuts[at].column) else { continue };
            if weight < from {
                continue;
            }
            let counts = &self.cuts[at].pull.counts;
            let fits = counts.iter().map(|&(size, n)| self.sizes[size].wanted / n).min();
            let copies = fits.unwrap_or(0).min(whole(weight + 1.0 - from));
            if copies == 0 {
                continue;
            }
            self.settled_pulls += self.cuts[at].cost * real(copies);
            for (size, n) in counts.clone() {
                let row = &mut self.sizes[size];
                row.wanted -= n * copies;
                self.lp.set_rhs(row.row, real(row.wanted));
            }
        }
    }

    /// Whether no settled pull holds pieces of this settled bill.
    pub fn is_open(&self, pick: usize) -> bool {
        let Pick { parts, settled, .. } = &self.picks[pick];
        parts.iter().all(|&(size, n)| self.sizes[size].wanted >= n * settled)
    }
}

/// The whole part of a weight.
#[expect(clippy::cast_possible_truncation, reason = "weights are bounded by counts")]
#[expect(clippy::cast_sign_loss, reason = "weights are not negative")]
fn whole(weight: f64) -> u64 {
    weight.max(0.0).floor() as u64
}

/// A signed count as floating point, for the simplex.
fn signed(count: i64) -> f64 {
    super::material::real(count)
}

/// A count as floating point, for the simplex.
#[expect(clippy::cast_precision_loss, reason = "the simplex works in floating point")]
pub(super) fn real(count: u64) -> f64 {
    count as f64
}

//! What a report draws on beside the plan.

use super::telling::Telling;
use crate::compare::order::Study;
use crate::compare::{Comparison, Seams};
use crate::cost::{Cost, Rates};
use crate::demand::Demand;
use crate::finding::Findings;
use crate::forecast::{Allowance, Risk};
use crate::plan::{self, Measured, Nest, Plan};
use crate::rules::{Paperwork, Rules};
use crate::stock::{Offcut, Roll, Stock};
use crate::takeoff::{Item, Takeoff};
use crate::units::{Measure, SheetSize};
use std::collections::BTreeMap;

/// What can be computed beside a plan.
#[derive(Clone, Copy, Debug, Default)]
pub struct Extras<'a> {
    /// Labour and freight.
    pub rates: Option<&'a Rates>,
    /// The price, where everything ordered has one.
    pub cost: Option<&'a Cost>,
    /// The fewest rolls beside the cheapest.
    pub study: Option<&'a Study>,
    /// The waste allowance.
    pub allowance: Option<&'a Allowance>,
    /// How sure the order is.
    pub risk: Option<&'a Risk>,
    /// Options side by side.
    pub comparison: Option<&'a Comparison>,
    /// Where the seams of gores could lie.
    pub seams: Option<&'a Seams>,
    /// For which release the plan is cut, where it is one of several that are cut one after another.
    pub stage: Option<&'a Stage>,
    /// Names of sections that were asked for and could not be made.
    pub failed: &'a [&'static str],
}

/// One of several plans that are cut one after another, and rolls are bought as they are begun.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stage {
    /// The release that the plan is cut for.
    pub release: u32,
    /// How many of its pulls are cut for that, from the first on.
    pub pulls: u64,
    /// How many of each product are bought for that.
    pub now: BTreeMap<String, u64>,
}

/// The job's inputs, looked up by name.
#[derive(Clone, Debug)]
pub struct Sources<'a> {
    /// The rules.
    pub rules: &'a Rules,
    /// The pieces, joints and schedule that the takeoff came to.
    pub demand: &'a Demand,
    /// What was found in the inputs; no errors among them.
    pub findings: &'a Findings,
    /// What was computed beside the plan; each has a section of its own.
    pub extras: Extras<'a>,
    /// Rolls on offer.
    pub rolls: &'a [Roll],
    /// What lies on the shelf.
    pub offcuts: &'a [Offcut],
    /// In what papers give lengths.
    pub measure: Measure,
    /// What papers are printed on.
    pub sheet: SheetSize,
    /// How people are told.
    pub telling: Telling,
    items: BTreeMap<&'a str, &'a Item>,
    shelf: BTreeMap<&'a str, &'a str>,
    measured: Option<Measured<'a>>,
}

impl<'a> Sources<'a> {
    /// The products that courses of a nest are laid out for.
    pub fn laid_out_for(&self, nest: &Nest) -> impl Iterator<Item = &'a Roll> {
        let thickness = nest.thickness;
        let laid = move |roll: &&Roll| Some(roll.thickness) == thickness && roll.is_laid_out_for();
        self.rolls.iter().filter(laid)
    }

    /// Looks everything up once.
    #[must_use]
    pub fn new(
        takeoff: &'a Takeoff,
        stock: &'a Stock,
        rules: &'a Rules,
        demand: &'a Demand,
        findings: &'a Findings,
    ) -> Self {
        Self {
            rules,
            demand,
            findings,
            extras: Extras::default(),
            rolls: &stock.rolls,
            offcuts: &stock.offcuts,
            measure: Measure::default(),
            sheet: SheetSize::default(),
            telling: Telling::default(),
            items: takeoff.items.iter().map(|item| (item.id.as_str(), item)).collect(),
            shelf: stock.offcuts.iter().map(|o| (o.id.as_str(), o.shelf.as_str())).collect(),
            measured: None,
        }
    }

    /// With these findings in the place of the inputs' own.
    #[must_use]
    pub fn found(mut self, findings: &'a Findings) -> Self {
        self.findings = findings;
        self
    }

    /// With the cuts of the plan that papers are made of, so that these do not each measure them.
    #[must_use]
    pub fn cut(mut self, measured: Measured<'a>) -> Self {
        self.measured = Some(measured);
        self
    }

    /// The cuts of a plan: measured now where they are not known.
    #[must_use]
    pub fn measured<'p>(&self, plan: &'p Plan) -> Measured<'p>
    where
        'a: 'p,
    {
        let known = self.measured.as_ref().filter(|known| known.is_of(plan));
        known.cloned().unwrap_or_else(|| Measured::of(plan))
    }

    /// The currency of the prices, as it was given; empty where none is.
    #[must_use]
    pub fn currency(&self) -> &'a str {
        let rolls = self.rolls.iter().map(|roll| roll.terms.currency.as_str());
        let rates = self.extras.rates.map(|rates| rates.currency.as_str());
        rolls.chain(rates).find(|word| !word.is_empty()).unwrap_or_default()
    }

    /// With what was computed beside the plan.
    #[must_use]
    pub fn with(mut self, extras: Extras<'a>) -> Self {
        self.extras = Extras { rates: extras.rates.or(self.extras.rates), ..extras };
        self
    }

    /// With papers like this. Where the step of sizes is no whole number of sixty-fourths of an inch, nearly all
    /// lengths are rounded, and papers in inches say so once.
    #[must_use]
    pub fn on(mut self, papers: Paperwork) -> Self {
        let even = papers.measure.is_even(self.rules.resolution.cut);
        self.measure = if even { papers.measure } else { papers.measure.all_rounded() };
        self.sheet = papers.sheet;
        self.telling = Telling::new(papers.measure, self.rolls, self.offcuts)
            .knowing_items(self.items.values().copied());
        self
    }

    /// The takeoff's item of this name.
    #[must_use]
    pub fn item(&self, id: &str) -> Option<&'a Item> {
        self.items.get(id).copied()
    }

    /// All items of the takeoff.
    pub fn items(&self) -> impl Iterator<Item = &'a Item> {
        self.items.values().copied()
    }

    /// Where the offcut of this name lies on the shelf; `None` for a roll that is bought.
    #[must_use]
    pub fn shelf(&self, roll: &str) -> Option<&'a str> {
        self.shelf.get(roll).copied()
    }

    /// Where a roll of a plan is taken from, in words: off the shelf, or by where it was left or bought what is on
    /// hand from an earlier plan; `None` for a roll that is bought.
    #[must_use]
    pub fn taken_from(&self, plan: &Plan, roll: &plan::Roll) -> Option<String> {
        let place = self.shelf(&roll.roll)?;
        let mut stock = plan.already.iter().flat_map(|already| &already.stock);
        Some(if stock.any(|stock| stock.name == roll.roll && !stock.lies_on_shelf()) {
            place.to_owned()
        } else if place.is_empty() {
            "from the shelf".to_owned()
        } else {
            format!("from the shelf, {place}")
        })
    }
}

//! From a job folder to rules, takeoff, stock and pieces: all findings of all files at once.
//!
//! Steps: read the folder; put each file through its door, whatever the others hold (with the
//! default rules where the rules are wrong); check them against each other; expand the takeoff into pieces when all doors let
//! their file through.

use super::exit::Failure;
use super::job::{Folder, OFFCUTS, PAPERS, RATES, ROLLS, RULES, TAKEOFF};
use crate::compare::Setup;
use crate::cost::{self, Rates};
use crate::demand::{self, Demand, Picks};
use crate::done::Done;
use crate::finding::Findings;
use crate::plan::{self, Already, Plan, Wanted};
use crate::report::{Extras, Sources};
use crate::rules::{self, Rules};
use crate::stock::{self, Stock};
use crate::takeoff::{self, Takeoff};
use crate::units::Measure;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, OnceLock};

/// A job, valid and expanded into pieces.
#[derive(Clone, Debug)]
pub struct Job {
    /// Its folder.
    pub folder: Folder,
    /// The rules.
    pub rules: Rules,
    /// The rules as the folder has them, whatever the command line makes of them.
    pub written: BTreeMap<String, String>,
    /// What is to be insulated.
    pub takeoff: Takeoff,
    /// What it can be cut from.
    pub stock: Stock,
    /// Labour and freight.
    pub rates: Rates,
    /// In what papers give lengths.
    pub measure: Measure,
    /// The pieces, all as specified.
    pub demand: Demand,
    /// What a plan has otherwise than as specified, once there is one.
    chosen: OnceLock<Chosen>,
    /// What was found; no errors among them.
    pub findings: Findings,
    /// What was cut and is on hand by an earlier plan, taken off demand and put on stock.
    pub already: Option<Already>,
    /// The earlier plan and what was done of it, where the rest is to be planned.
    pub before: Option<Arc<(Plan, Done)>>,
    /// The last release it is for, where later ones are left out.
    pub up_to: Option<u32>,
}

/// For each item its pieces, as specified and as it is made with its joints as specified.
pub type PiecesByItem = [BTreeMap<String, u64>; 2];

/// What is otherwise than as specified.
#[derive(Clone, Debug)]
struct Chosen {
    picks: Picks,
    /// The takeoff as it is made.
    takeoff: Takeoff,
    /// Its pieces.
    demand: Demand,
}

/// What came through the doors; nothing where a file was refused.
struct Doors {
    rules: Option<Rules>,
    takeoff: Option<Takeoff>,
    stock: Option<Stock>,
    rates: Option<Rates>,
    measure: Option<Measure>,
}

impl Doors {
    /// Puts each file through its door, whatever the others hold.
    fn read(folder: &Folder, findings: &mut Findings) -> Self {
        let mut keep = |found: Findings| findings.append(found);
        let needed = |known| (folder.name_of(known), folder.bytes(known).unwrap_or_default());
        let optional = |known| folder.bytes(known).map(|bytes| (folder.name_of(known), bytes));
        let (rules, found) = through(optional(RULES), rules::read);
        keep(found);
        let (file, bytes) = needed(TAKEOFF);
        let (takeoff, found) = takeoff::read(file, bytes, &rules.clone().unwrap_or_default());
        keep(found);
        let (file, bytes) = needed(ROLLS);
        let (rolls, found) = stock::read_rolls(file, bytes);
        keep(found);
        let (offcuts, found) = through(optional(OFFCUTS), stock::read_offcuts);
        keep(found);
        let (rates, found) = through(optional(RATES), cost::rates::read);
        keep(found);
        let (measure, found) = through(optional(PAPERS), rules::read_papers);
        keep(found);
        let stock = rolls.zip(offcuts).and_then(|(rolls, offcuts)| {
            let (stock, found) = stock::combine(rolls, offcuts);
            keep(found);
            stock
        });
        Self { rules, takeoff, stock, rates, measure }
    }

    /// Checks them against each other.
    fn check(&self, findings: &mut Findings) {
        let Some(stock) = &self.stock else { return };
        if let Some(rules) = &self.rules {
            findings.append(stock::check_against_rules(stock, rules));
            findings.append(rules::crooked(rules, self.measure.unwrap_or_default()));
        }
        if let Some(rates) = &self.rates {
            findings.append(cost::currencies(stock, rates));
            findings.append(cost::freight(stock, rates));
        }
        if let Some(takeoff) = &self.takeoff {
            findings.append(takeoff::check_against_stock(takeoff, stock));
        }
    }
}

/// A file that may be missing through its door; what holds without it where it is.
fn through<T: Default>(
    file: Option<(&str, &[u8])>,
    door: impl Fn(&str, &[u8]) -> (Option<T>, Findings),
) -> (Option<T>, Findings) {
    file.map_or_else(|| (Some(T::default()), Findings::new()), |(name, bytes)| door(name, bytes))
}

impl Job {
    /// Reads a job.
    ///
    /// # Errors
    /// All findings, when any of them is an error.
    pub fn read(path: &Path) -> Result<Self, Failure> {
        let (folder, mut findings) = Folder::read(path);
        let Some(folder) = folder else { return Err(Failure::Findings(findings)) };
        let doors = Doors::read(&folder, &mut findings);
        doors.check(&mut findings);
        let Doors {
            rules: Some(rules),
            takeoff: Some(takeoff),
            stock: Some(stock),
            rates: Some(rates),
            measure: Some(measure),
        } = doors
        else {
            return Err(Failure::Findings(findings));
        };
        if findings.has_errors() {
            return Err(Failure::Findings(findings));
        }
        let (demand, found) = demand::expand(&takeoff, &stock, &rules);
        findings.append(found);
        if let Some(demand) = &demand {
            findings.append(cost::countable(demand, &stock, &rules, &rates));
        }
        match demand {
            Some(demand) if !findings.has_errors() => Ok(Self {
                folder,
                written: rules.written(),
                rules,
                takeoff,
                stock,
                rates,
                measure,
                demand,
                chosen: OnceLock::new(),
                findings,
                already: None,
                before: None,
                up_to: None,
            }),
            _ => Err(Failure::Findings(findings)),
        }
    }

    /// The same job under other rules, expanded anew.
    ///
    /// # Errors
    /// The findings of the expansion, when one of them is an error.
    pub fn with_rules(&self, rules: Rules) -> Result<Self, Failure> {
        let (demand, found) = demand::expand(&self.takeoff, &self.stock, &rules);
        match demand {
            Some(demand) => {
                Ok(Self { rules, demand, chosen: OnceLock::new(), findings: found, ..self.clone() })
            }
            None => Err(Failure::Findings(found)),
        }
    }

    /// The job after what was done by an earlier plan.
    #[must_use]
    pub fn going_on(mut self, mut already: Already) -> Self {
        plan::go_on(&mut already, &mut self.demand, &mut self.stock);
        self.already = Some(already);
        self
    }

    /// The job as a plan sees it: up to its last release, after what the plan says was done before.
    #[must_use]
    pub fn of_plan(mut self, plan: &Plan) -> Self {
        self.keep_up_to(plan.up_to);
        match &plan.already {
            Some(already) => self.going_on(already.clone()),
            None => self,
        }
    }

    /// Leaves out items of later releases than this, if one is named and there are any; what it is for then
    /// is the last release that is left.
    pub fn keep_up_to(&mut self, release: Option<u32>) {
        let Some(last) = release else { return };
        let releases = &self.demand.releases;
        if releases.values().all(|&r| r <= last) {
            return;
        }
        self.up_to = releases.values().copied().filter(|&r| r <= last).max().or(release);
        self.demand.pieces.retain(|piece| releases.get(&piece.item).is_none_or(|&r| r <= last));
    }

    /// The order sheets.
    #[must_use]
    pub fn sheets(&self) -> Vec<Wanted> {
        let already = self.already.as_ref();
        let name = &self.folder.name;
        plan::job::wanted_after(name, self.demand(), &self.stock, &self.rules, already)
    }

    /// The pieces: as chosen, once they are, else as specified.
    #[must_use]
    pub fn demand(&self) -> &Demand {
        self.chosen.get().map_or(&self.demand, |chosen| &chosen.demand)
    }

    /// Takes what is chosen from now on. Only the first choice counts.
    ///
    /// # Errors
    /// All findings, when the choice does not keep the rules.
    pub fn follow(&self, picks: &Picks) -> Result<(), Failure> {
        if picks.is_empty() {
            return Ok(());
        }
        let demand = self.expanded(picks)?;
        let takeoff = demand::made(&self.takeoff, &picks.makings);
        let _ = self.chosen.set(Chosen { picks: picks.clone(), takeoff, demand });
        Ok(())
    }

    /// Takes what a plan has, where the nest chose it.
    ///
    /// # Errors
    /// All findings, when it does not keep the rules.
    pub fn follow_plan(&self, plan: &Plan) -> Result<(), Failure> {
        let Some(choice) = &plan.choice else { return Ok(()) };
        let mut picks = Picks { makings: choice.makings(), ..Picks::default() };
        picks.courses = if picks.is_empty() {
            self.demand.choices(&plan.joints)
        } else {
            self.expanded(&picks)?.choices(&plan.joints)
        };
        self.follow(&picks)
    }

    /// How many pieces each item takes: as specified, and as it is made by what was chosen, joints left where
    /// they then are specified.
    #[must_use]
    pub fn pieces_by_item(&self) -> PiecesByItem {
        let of = |demand: &Demand| {
            let mut all: BTreeMap<String, u64> = BTreeMap::new();
            for piece in &demand.pieces {
                let sum = all.entry(piece.item.clone()).or_default();
                *sum = sum.saturating_add(piece.quantity);
            }
            all
        };
        let makings = self.chosen.get().map(|chosen| chosen.picks.makings.clone());
        let made = makings
            .filter(|makings| !makings.is_empty())
            .and_then(|makings| self.expanded(&Picks { makings, ..Picks::default() }).ok());
        [of(&self.demand), of(made.as_ref().unwrap_or(&self.demand))]
    }

    fn expanded(&self, picks: &Picks) -> Result<Demand, Failure> {
        let (demand, found) = demand::expand_chosen(&self.takeoff, &self.stock, &self.rules, picks);
        demand.ok_or(Failure::Findings(found))
    }

    /// Stock and rules.
    #[must_use]
    pub fn parts(&self) -> (&Stock, &Rules) {
        (&self.stock, &self.rules)
    }

    /// Its parts, as comparisons change them.
    #[must_use]
    pub fn setup(&self) -> Setup {
        Setup {
            name: self.folder.name.clone(),
            rules: self.rules.clone(),
            takeoff: self.takeoff.clone(),
            stock: self.stock.clone(),
            rates: self.rates.clone(),
            picks: self.chosen.get().map(|chosen| chosen.picks.clone()).unwrap_or_default(),
        }
    }

    /// What reports draw on.
    #[must_use]
    pub fn sources(&self) -> Sources<'_> {
        let rates = Extras { rates: Some(&self.rates), ..Extras::default() };
        let takeoff = self.chosen.get().map_or(&self.takeoff, |chosen| &chosen.takeoff);
        Sources::new(takeoff, &self.stock, &self.rules, self.demand(), &self.findings)
            .with(rates)
            .measured(self.measure)
    }
}

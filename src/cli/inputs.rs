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
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Findings, Place};
use crate::plan::{self, Already, Earlier, Plan, Wanted};
use crate::report::{Extras, Sources, Telling};
use crate::rules::{self, Paperwork, Rules};
use crate::stock::{self, Stock};
use crate::table::quoted;
use crate::takeoff::{self, Takeoff};
use crate::units::few;
use std::collections::{BTreeMap, BTreeSet};
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
    /// What papers are like.
    pub papers: Paperwork,
    /// The pieces, all as specified or as an earlier plan chose.
    pub demand: Demand,
    /// What a plan has otherwise than as specified, once there is one.
    chosen: OnceLock<Chosen>,
    /// What an earlier plan chose and is kept: from then on the specified way.
    kept: Option<Kept>,
    /// What was found; no errors among them.
    pub findings: Findings,
    /// What was cut and is on hand by an earlier plan, taken off demand and put on stock.
    pub already: Option<Already>,
    /// The earlier plan and what was done of it, where the rest is to be planned.
    pub before: Option<Arc<(Plan, Done)>>,
    /// The last release it is for, where later ones are left out.
    pub up_to: Option<u32>,
}

/// Items named at most, beside the first, whose choice is not kept.
const NAMED: usize = 12;

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

/// What is kept of an earlier plan's choices.
#[derive(Clone, Debug)]
struct Kept {
    picks: Picks,
    /// The takeoff as it is made.
    takeoff: Takeoff,
}

/// What came through the doors; nothing where a file was refused.
struct Doors {
    rules: Option<Rules>,
    takeoff: Option<Takeoff>,
    stock: Option<Stock>,
    rates: Option<Rates>,
    papers: Option<Paperwork>,
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
        let (papers, found) = through(optional(PAPERS), rules::read_papers);
        keep(found);
        let stock = rolls.zip(offcuts).and_then(|(rolls, offcuts)| {
            let (stock, found) = stock::combine(rolls, offcuts);
            keep(found);
            stock
        });
        Self { rules, takeoff, stock, rates, papers }
    }

    /// How people are told of what was found: in millimetres where no thickness is known that must stay as it is.
    fn telling(&self) -> Telling {
        let measure = self.papers.unwrap_or_default().measure;
        let items = || self.takeoff.iter().flat_map(|takeoff| &takeoff.items);
        if let Some(stock) = &self.stock {
            return Telling::new(measure, &stock.rolls, &stock.offcuts).knowing_items(items());
        }
        let Some(takeoff) = &self.takeoff else { return Telling::default() };
        let layers = takeoff.items.iter().flat_map(|item| item.build.layers().iter().copied());
        Telling::of(measure, layers).knowing_items(items())
    }

    /// Checks them against each other.
    fn check(&self, findings: &mut Findings) {
        let Some(stock) = &self.stock else { return };
        if let Some(rules) = &self.rules {
            findings.append(stock::check_against_rules(stock, rules));
            findings.append(rules::crooked(rules, self.papers.unwrap_or_default().measure));
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
        let telling = doors.telling();
        let refused = |findings: &Findings| Err(Failure::Findings(telling.findings(findings)));
        let Doors {
            rules: Some(rules),
            takeoff: Some(takeoff),
            stock: Some(stock),
            rates: Some(rates),
            papers: Some(papers),
        } = doors
        else {
            return refused(&findings);
        };
        if findings.has_errors() {
            return refused(&findings);
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
                papers,
                demand,
                chosen: OnceLock::new(),
                kept: None,
                findings: telling.findings(&findings),
                already: None,
                before: None,
                up_to: None,
            }),
            _ => refused(&findings),
        }
    }

    /// How people are told of it.
    #[must_use]
    pub fn telling(&self) -> Telling {
        Telling::new(self.papers.measure, &self.stock.rolls, &self.stock.offcuts)
            .knowing_items(self.takeoff.items.iter())
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

    /// What a plan chose otherwise than the takeoff specifies, itself or by what it goes on from.
    #[must_use]
    pub fn chosen_by(&self, plan: &Plan) -> Earlier {
        let before = plan.already.iter().map(|already| &already.chosen);
        let mut picks = before.clone().next().map(Earlier::picks).unwrap_or_default();
        let Some(choice) = &plan.choice else { return Earlier::from(&picks) };
        picks.makings.extend(choice.makings());
        let ours = choice.runs.iter().map(|run| (run.item.as_str(), run.run));
        let theirs = before.flat_map(|chosen| &chosen.runs);
        let runs: BTreeSet<(&str, u32)> =
            ours.chain(theirs.map(|run| (run.item.as_str(), run.run))).collect();
        let makings = Picks { makings: picks.makings.clone(), ..Picks::default() };
        let made = self.of_takeoff(&makings).ok();
        picks.courses = made.as_ref().unwrap_or(&self.demand).choices(&plan.joints);
        picks.courses.retain(|(item, run), _| runs.contains(&(item.as_str(), *run)));
        Earlier::from(&picks)
    }

    /// Makes items as an earlier plan chose, from now on the specified way; what does not stand any more is
    /// taken off the list and told.
    pub fn keep_chosen(&mut self, chosen: &mut Earlier) {
        if chosen.is_empty() {
            return;
        }
        let kept = demand::keep(&self.takeoff, (&self.stock, &self.rules), &chosen.picks());
        let Some(demand::Kept { picks, demand, dropped }) = kept else { return };
        self.demand = demand;
        let up_to = self.up_to.take();
        self.keep_up_to(up_to);
        let takeoff = demand::made(&self.takeoff, &picks.makings);
        self.findings.extend(not_kept(&dropped));
        *chosen = Earlier::from(&picks);
        self.kept = Some(Kept { picks, takeoff });
    }

    /// The job after what was done by an earlier plan.
    #[must_use]
    pub fn going_on(mut self, mut already: Already) -> Self {
        plan::go_on(&mut already, &mut self.demand, &mut self.stock);
        plan::hold_begun(&already, &mut self.demand);
        self.already = Some(already);
        self
    }

    /// The job with all its pieces, those in hand among them, as specified.
    #[must_use]
    pub fn whole(&self) -> Self {
        let mut job = self.clone();
        if self.already.is_some()
            && let Ok(demand) = self.of_takeoff(&Picks::default())
        {
            job.demand = demand;
            let up_to = job.up_to.take();
            job.keep_up_to(up_to);
        }
        job
    }

    /// The job as a plan sees it: up to its last release, after what the plan says was done before.
    #[must_use]
    pub fn of_plan(mut self, plan: &Plan) -> Self {
        self.keep_up_to(plan.up_to);
        let Some(mut already) = plan.already.clone() else { return self };
        self.keep_chosen(&mut already.chosen);
        self.going_on(already)
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
        self.sheets_of(self.demand())
    }

    /// The order sheets for pieces of this job.
    #[must_use]
    pub fn sheets_of(&self, demand: &Demand) -> Vec<Wanted> {
        let already = self.already.as_ref();
        let name = &self.folder.name;
        plan::job::wanted_after(name, demand, &self.stock, &self.rules, already)
    }

    /// The pieces: as chosen, once they are, else as specified.
    #[must_use]
    pub fn demand(&self) -> &Demand {
        self.chosen.get().map_or(&self.demand, |chosen| &chosen.demand)
    }

    /// What is made otherwise than the takeoff specifies, by a plan or by what it goes on from.
    #[must_use]
    pub fn picks(&self) -> Picks {
        let chosen = self.chosen.get().map(|chosen| chosen.picks.clone()).unwrap_or_default();
        self.with_kept(&chosen)
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
        let takeoff = demand::made(&self.takeoff, &self.with_kept(picks).makings);
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

    /// Picks, and what is kept where they say nothing.
    fn with_kept(&self, picks: &Picks) -> Picks {
        let mut all = self.kept.as_ref().map(|kept| kept.picks.clone()).unwrap_or_default();
        all.makings.extend(picks.makings.clone());
        all.courses.extend(picks.courses.clone());
        all
    }

    /// The takeoff's pieces with picks, all of them.
    fn of_takeoff(&self, picks: &Picks) -> Result<Demand, Failure> {
        let (demand, found) = demand::expand_chosen(&self.takeoff, &self.stock, &self.rules, picks);
        demand.ok_or(Failure::Findings(found))
    }

    /// The pieces of the job with picks: what is kept is the specified way, and what is in hand is not wanted
    /// again.
    ///
    /// # Errors
    /// All findings, when the picks do not keep the rules.
    pub fn expanded(&self, picks: &Picks) -> Result<Demand, Failure> {
        let mut demand = self.of_takeoff(&self.with_kept(picks))?;
        if let Some(kept) = &self.kept {
            demand::as_specified(&mut demand, &kept.picks.courses);
        }
        if let Some(already) = &self.already {
            plan::take_off(already, &mut demand);
            plan::hold_begun(already, &mut demand);
        }
        Ok(demand)
    }

    /// Stock and rules.
    #[must_use]
    pub fn parts(&self) -> (&Stock, &Rules) {
        (&self.stock, &self.rules)
    }

    /// Whether the nest chooses how something of it is made.
    #[must_use]
    pub fn lets_choose(&self) -> bool {
        let rules = &self.rules.choose;
        rules.joints || (rules.any_making() && self.already.is_none())
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
        let kept = self.kept.as_ref().map_or(&self.takeoff, |kept| &kept.takeoff);
        let takeoff = self.chosen.get().map_or(kept, |chosen| &chosen.takeoff);
        Sources::new(takeoff, &self.stock, &self.rules, self.demand(), &self.findings)
            .with(rates)
            .on(self.papers)
    }
}

/// Tells which items are made as specified again although an earlier plan chose otherwise.
fn not_kept(dropped: &BTreeMap<String, String>) -> Option<Finding> {
    let (first, why) = dropped.first_key_value()?;
    let mut what =
        format!("what the plan before chose for {} does not stand any more: {why}", quoted(first));
    let more: Vec<&str> = dropped.keys().skip(1).map(String::as_str).collect();
    if !more.is_empty() {
        what.push_str("; nor does it for ");
        what.push_str(&few(&more, NAMED));
    }
    Some(Finding::new(
        &codes::NOT_KEPT,
        Place::file(TAKEOFF),
        what,
        "where such an item is begun, cut the rest of it by the tickets of the plan before and report that as done, or \
         undo the change; else nothing: it is made as specified",
    ))
}

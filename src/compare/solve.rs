//! A job from its parts to a plan that passed the audit, with its price.

use crate::audit::{self, Courses, Verified};
use crate::cost::{self, Cost, Needs, Rates, market, share};
use crate::demand::{self, Demand, Picks};
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Findings, Place};
use crate::nest::{self, Nesting, Options, Watch};
use crate::plan::{self, Limits, Measured, Plan, Program, Wanted};
use crate::rules::Rules;
use crate::sequence::shop::Stop;
use crate::stock::{self, Stock};
use crate::takeoff::{self, Takeoff};
use crate::units::Length;
use rayon::prelude::*;

/// A job's parts, each through its door.
#[derive(Clone, Debug)]
pub struct Setup {
    /// The job's name.
    pub name: String,
    /// The rules.
    pub rules: Rules,
    /// What is to be insulated.
    pub takeoff: Takeoff,
    /// What it can be cut from.
    pub stock: Stock,
    /// Labour and freight.
    pub rates: Rates,
    /// What is cut otherwise than as specified, where it goes by a plan for which the nest chose.
    pub picks: Picks,
}

/// A job solved.
#[derive(Clone, Debug)]
pub struct Solved {
    /// Its pieces.
    pub demand: Demand,
    /// Its order sheets.
    pub sheets: Vec<Wanted>,
    /// Its plan.
    pub plan: Verified<Plan>,
    /// Its price.
    pub cost: Cost,
}

/// Why there is no answer.
#[derive(Clone, Debug, thiserror::Error)]
pub enum Trouble {
    /// The parts do not go together, or a price is missing.
    #[error("{}", first(.0))]
    Findings(Findings),
    /// A thickness cannot be laid on its rolls.
    #[error("{0}")]
    Nest(String),
    /// As far as was found the rolls that can be had of a thickness do not suffice.
    #[error("{}; {}", told.what, told.remedy)]
    Short {
        /// The thickness.
        thickness: Option<Length>,
        /// What is told of it.
        told: Box<Finding>,
    },
    /// A plan of ours did not pass its audit: a defect of this program.
    #[error("the plan did not pass its audit; this is a defect of the program")]
    Audit(Box<audit::Failed>),
    /// An answer that cannot be made into a plan: a defect of this program.
    #[error("{0}; this is a defect of the program")]
    Assembly(String),
    /// Stopped before there was an answer.
    #[error("stopped")]
    Stopped,
}

impl Trouble {
    /// That a thickness cannot be laid, and what to do where its rolls do not suffice.
    pub(super) fn of_nest(why: &nest::NestError, sheet: &Wanted, stock: &Stock) -> Self {
        let thickness = sheet.thickness.map_or_else(String::new, |t| format!("{t} mm: "));
        match why {
            nest::NestError::NotEnoughRolls { .. } => {
                let place = stock.limit(sheet.thickness);
                let told = Finding::new(
                    &codes::NOT_ENOUGH_ROLLS,
                    place.unwrap_or_else(|| Place::file("rolls.csv")),
                    format!("{thickness}{why}"),
                    stock.more(sheet.thickness, ""),
                );
                Self::Short { thickness: sheet.thickness, told: Box::new(told) }
            }
            _ => Self::Nest(format!("{thickness}{why}")),
        }
    }
}

/// The first error among findings, in words.
fn first(findings: &Findings) -> String {
    let error = findings.iter().min_by_key(|finding| finding.severity());
    error.map_or_else(String::new, |finding| finding.what.clone())
}

/// Expands, nests, audits and prices a job; says what each item really takes.
///
/// # Errors
/// See [`Trouble`].
pub fn solve(setup: &Setup, options: &Options, watch: &dyn Watch) -> Result<Solved, Trouble> {
    let (demand, sheets) = sheets(setup)?;
    let plan = planned(setup, (&demand, &sheets), options, watch)?;
    let shares = share::shares(&plan, &sheets, watch);
    let shares = shares.map_err(|error| Trouble::Nest(error.to_string()))?;
    priced(setup, (demand, sheets), plan, shares)
}

/// A job with its price, from a plan and what its items take of the rolls.
pub(super) fn priced(
    setup: &Setup,
    (demand, sheets): (Demand, Vec<Wanted>),
    plan: Verified<Plan>,
    shares: Vec<share::NestShare>,
) -> Result<Solved, Trouble> {
    let Setup { rules, takeoff, stock, rates, .. } = setup;
    let needs = Needs { takeoff, stock, rules, demand: &demand, rates };
    let cost =
        cost::price((&plan, &Measured::of(&plan)), &needs, shares).map_err(Trouble::Findings)?;
    Ok(Solved { demand, sheets, plan, cost })
}

/// The pieces and the order sheets.
pub(super) fn sheets(setup: &Setup) -> Result<(Demand, Vec<Wanted>), Trouble> {
    let mut findings = stock::check_against_rules(&setup.stock, &setup.rules);
    findings.append(takeoff::check_against_stock(&setup.takeoff, &setup.stock));
    if findings.has_errors() {
        return Err(Trouble::Findings(findings));
    }
    let Setup { takeoff, stock, rules, picks, rates, .. } = setup;
    let (demand, found) = demand::expand_chosen(takeoff, stock, rules, picks);
    let demand = demand.ok_or(Trouble::Findings(found))?;
    let findings = cost::countable(&demand, stock, rules, rates);
    if findings.has_errors() {
        return Err(Trouble::Findings(findings));
    }
    let sheets = plan::job::wanted(&setup.name, &demand, &setup.stock, &setup.rules);
    Ok((demand, sheets))
}

/// The order sheets nested, and the answers audited.
fn planned(
    setup: &Setup,
    (demand, sheets): (&Demand, &[Wanted]),
    options: &Options,
    watch: &dyn Watch,
) -> Result<Verified<Plan>, Trouble> {
    let Setup { stock, rates, .. } = setup;
    let one = |sheet: &Wanted| market::nested(sheet, (stock, rates), options, watch);
    let answers: Vec<Result<Nesting, nest::NestError>> = sheets.par_iter().map(one).collect();
    let with_sheet = |(sheet, answer): (&Wanted, Result<Nesting, nest::NestError>)| match answer {
        Ok(nesting) => Ok((sheet.clone(), nesting)),
        Err(_) if watch.stop() => Err(Trouble::Stopped),
        Err(why) => Err(Trouble::of_nest(&why, sheet, stock)),
    };
    let nested = sheets.iter().zip(answers).map(with_sheet).collect::<Result<Vec<_>, Trouble>>()?;
    assembled(setup, (demand, sheets), &nested, options, watch)
}

/// Answers to order sheets as a plan that passed the audit. A stopped watch ends the search for its order of cutting,
/// whose hours are then no measure of the rules.
pub(super) fn assembled(
    setup: &Setup,
    (demand, sheets): (&Demand, &[Wanted]),
    nested: &[(Wanted, Nesting)],
    options: &Options,
    watch: &dyn Watch,
) -> Result<Verified<Plan>, Trouble> {
    let program = Program {
        version: env!("CARGO_PKG_VERSION").to_owned(),
        seed: options.seed,
        limits: Limits { work: options.work, seconds: None },
    };
    let joints = demand.joints.clone();
    let stopped = || watch.stop();
    let shop = Some((&setup.rules.sequence, &stopped as Stop<'_>));
    let made = plan::assemble(&setup.name, program, Vec::new(), nested, joints, shop)
        .map_err(|error| Trouble::Assembly(error.to_string()))?;
    let stagger = setup.rules.joints.stagger;
    let releases = setup.rules.sequence.release;
    let courses = Courses {
        unchanged: true,
        joints: &demand.joints,
        covers: &demand.covers,
        step: setup.rules.resolution.cut,
        stagger,
        releases,
        order: None,
        chosen: None,
        record: None,
        further: (0, 0),
        further_pieces: (0, 0),
    };
    audit::verify(made, sheets, Some(&courses)).map_err(Trouble::Audit)
}

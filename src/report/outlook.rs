//! Tables of what is foreseen: allowance, risk, options, and the order's two answers.

use super::proof::{counted, gap_per_cent, of_thickness};
use super::table::{Cell, Table};
use super::text::visible;
use crate::compare::order::{Less, MoreSpares, Short, Study};
use crate::compare::{AS_IT_STANDS, Comparison, Figures, Row, Solved};
use crate::cost::share::PARTS;
use crate::cost::{Bought, RatesAre};
use crate::forecast::allowance::{Again, Runs, from_one};
use crate::forecast::risk::OfThickness;
use crate::forecast::{Allowance, Risk, Shape};
use crate::nest::Status;
use crate::plan::Wanted;
use crate::units::{Decimal, Length, Money};
use std::cmp::Ordering;
use std::fmt::Write as _;

fn tenth(value: f64) -> Cell {
    Cell::Number(format!("{value:.1}"))
}

/// Tenths, rounded up: an allowance as it is shown is enough wherever the exact one is.
fn up(value: f64) -> f64 {
    (value * 10.0 - 1e-6).ceil() / 10.0 + 0.0
}

/// The allowance by size of job.
#[must_use]
pub fn allowance(allowance: &Allowance) -> Table {
    let mut headings = vec![
        "size of job",
        "plain area m2",
        "whole rolls 50 %",
        "whole rolls 80 %",
        "whole rolls 90 %",
        "blanket used 50 %",
        "blanket used 80 %",
        "blanket used 90 %",
    ];
    if allowance.handbook.is_some() {
        headings.extend(["handbook %", "suffices, whole rolls %", "suffices, blanket used %"]);
    }
    let some_empty = allowance.sizes.iter().any(|at| at.empty > 0);
    if some_empty {
        headings.push("left out, nothing to cut");
    }
    let mut table = Table::new(&headings);
    for at in &allowance.sizes {
        let mut row = vec![Cell::Number(at.size.to_string()), tenth(at.plain)];
        row.extend(at.whole.iter().chain(&at.used).map(|value| tenth(up(*value))));
        if let (Some(handbook), Some(suffices)) = (allowance.handbook, at.handbook) {
            row.push(Cell::Number(handbook.to_string()));
            row.extend(suffices.map(tenth));
        }
        if some_empty {
            row.push(Cell::Count(at.empty));
        }
        table.push(row);
    }
    table
}

/// Rolls by size of job and thickness.
#[must_use]
pub fn allowance_rolls(allowance: &Allowance) -> Table {
    let mut table =
        Table::new(&["size of job", "thickness mm", "rolls 50 %", "rolls 80 %", "rolls 90 %"]);
    for at in &allowance.sizes {
        for (thickness, rolls) in &at.rolls {
            let mut row = vec![Cell::Number(at.size.to_string()), Cell::Millimetres(*thickness)];
            row.extend(rolls.iter().map(|count| Cell::Count(*count)));
            table.push(row);
        }
    }
    table
}

/// The allowance by kind.
#[must_use]
pub fn allowance_kinds(allowance: &Allowance) -> Table {
    let mut table = Table::new(&[
        "kind",
        "plain area m2",
        "blanket used 50 %",
        "blanket used 80 %",
        "blanket used 90 %",
    ]);
    for kind in &allowance.kinds {
        let mut row = vec![Cell::text(&kind.kind), tenth(kind.plain)];
        row.extend(kind.used.iter().map(|value| tenth(up(*value))));
        table.push(row);
    }
    table
}

/// How sure each thickness is.
#[must_use]
pub fn risk(risk: &Risk) -> Table {
    let mut table = Table::new(&[
        "thickness mm",
        "ordered",
        "rolls 50 %",
        "rolls 80 %",
        "rolls 90 %",
        "runs short %",
        "further spares",
        "of roll",
        "runs short then %",
    ]);
    let rolls = |count: Option<u64>| count.map_or_else(|| Cell::text("none"), Cell::Count);
    for nest in &risk.nests {
        table.push(vec![
            Cell::Millimetres(nest.thickness),
            Cell::Count(nest.ordered),
            rolls(nest.rolls[0]),
            rolls(nest.rolls[1]),
            rolls(nest.rolls[2]),
            tenth(nest.short),
            Cell::Count(nest.spare),
            Cell::text(&nest.roll),
            tenth(nest.short_then),
        ]);
    }
    table
}

/// That no thickness can run short, where nothing is ordered and nothing would ever be.
pub const NOTHING_AT_RISK: &str =
    "Nothing is ordered, and none of the simulated takeoffs asks for more than lies on the shelf.";

/// The chance that so many rolls suffice.
#[must_use]
pub fn risk_curve(risk: &Risk) -> Table {
    let mut table = Table::new(&["thickness mm", "rolls", "suffices %"]);
    for nest in &risk.nests {
        for (rolls, chance) in &nest.curve {
            table.push(vec![
                Cell::Millimetres(nest.thickness),
                Cell::Count(*rolls),
                tenth(*chance),
            ]);
        }
    }
    table
}

/// A plan's standing in a word or two.
#[must_use]
pub fn standing(status: Status, value: Decimal, bound: Decimal) -> String {
    match (status, gap_per_cent(value, bound)) {
        (Status::Proven, _) => "proven".to_owned(),
        (Status::Stopped, Some(gap)) => format!("stopped, {gap} % above the bound"),
        (Status::Stopped, None) => "stopped".to_owned(),
        (Status::Feasible, Some(gap)) => format!("{gap} % above the bound"),
        (Status::Feasible, None) => "not proven".to_owned(),
    }
}

/// Rolls by thickness: `4 of 5 mm, 65 of 10 mm`.
#[must_use]
pub fn rolls_in_words(rolls: &[(Option<Length>, u64)]) -> String {
    let one = |(thickness, count): &(Option<Length>, u64)| match thickness {
        Some(thickness) => format!("{count} of {thickness} mm"),
        None => count.to_string(),
    };
    rolls.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn signed(money: Money) -> Cell {
    let sign = if money > Money::ZERO { "+" } else { "" };
    Cell::Number(format!("{sign}{}", money.cents()))
}

/// Options side by side: the base first, then every option.
#[must_use]
pub fn options(comparison: &Comparison, rows: &[&Row]) -> Table {
    let mut headings = vec![
        "option",
        "rolls",
        "which",
        "offcuts",
        "price of rolls",
        "freight",
        "waste %",
        "cutting",
        "wrapping",
        "joints",
        "pieces",
        "everything",
        "against the base",
        "%",
        "proof",
    ];
    let figures = headings.len();
    // Told only where it matters: of rates that were given there is nothing to say.
    let outcomes = rows.iter().filter_map(|row| row.outcome.as_ref().ok());
    let told = outcomes.chain([&comparison.base]).any(|of| of.rates != RatesAre::Given);
    if told {
        headings.push(RatesAre::HEADING);
    }
    let rates = |of: &Figures| told.then(|| Cell::text(of.rates.word()));
    let noted = rows.iter().map(|row| &row.notes).chain([&comparison.notes]).any(|n| !n.is_empty());
    if noted {
        headings.push("note");
    }
    let mut table = Table::new(&headings);
    let note = |notes: &[String]| noted.then(|| Cell::Text(notes.join("; ")));
    let mut base = option(comparison, AS_IT_STANDS, &comparison.base);
    base.extend(rates(&comparison.base));
    base.extend(note(&comparison.notes));
    table.push(base);
    for row in rows {
        let mut cells = match &row.outcome {
            Ok(solved) => {
                let mut cells = option(comparison, &row.name, solved);
                cells.extend(rates(solved));
                cells
            }
            Err(why) => {
                let mut cells = vec![Cell::Empty; figures + usize::from(told)];
                cells[0] = Cell::text(&row.name);
                cells[figures - 1] = Cell::Text(format!("no plan: {why}"));
                cells
            }
        };
        cells.extend(note(&row.notes));
        table.push(cells);
    }
    table
}

fn option(comparison: &Comparison, name: &str, figures: &Figures) -> Vec<Cell> {
    let more = comparison.against(figures);
    let base = comparison.base.total.units_f64();
    let part = if base > 0.0 { more.units_f64() / base * 100.0 } else { 0.0 };
    vec![
        Cell::text(name),
        Cell::Count(figures.count()),
        Cell::Text(rolls_in_words(&figures.rolls)),
        Cell::Count(figures.offcuts),
        Cell::Money(figures.blanket),
        Cell::Money(figures.freight),
        Cell::Number(format!("{:.2}", figures.waste_per_cent())),
        Cell::Money(figures.cutting),
        Cell::Money(figures.wrapping),
        Cell::Count(figures.joints),
        Cell::Count(figures.pieces),
        Cell::Money(figures.total),
        signed(more),
        Cell::Number(format!("{part:+.2}")),
        Cell::Text(standing(figures.status, figures.value, figures.bound)),
    ]
}

/// The headings of what is bought by an order.
const BOUGHT: [&str; 8] =
    ["order", "thickness mm", "roll", "cut", "bought", "price each", "price", "freight"];

/// What is bought by an order, a row for each product.
fn bought(name: &'static str, solved: &Solved) -> Vec<Vec<Cell>> {
    let row = |line: &Bought| {
        let thickness = solved.plan.nests.get(line.nest).and_then(|nest| nest.thickness);
        vec![
            Cell::text(name),
            thickness.map_or(Cell::Empty, Cell::Millimetres),
            Cell::text(&line.roll),
            Cell::Count(line.cut),
            Cell::Count(line.count()),
            line.each.map_or(Cell::Empty, Cell::Money),
            Cell::Money(line.price),
            Cell::Money(line.freight),
        ]
    };
    solved.cost.purchase.lines.iter().map(row).collect()
}

/// The two orders by their names.
fn orders(study: &Study) -> [(&'static str, &Solved); 2] {
    [("fewest rolls", &study.fewest), ("cheapest", &study.cheapest)]
}

/// The fewest rolls beside the cheapest, for other programs: without sums, with the currency.
#[must_use]
pub fn study_alone(study: &Study) -> Table {
    let mut table = Table::new(&BOUGHT);
    table.rows =
        orders(study).into_iter().flat_map(|(name, solved)| bought(name, solved)).collect();
    table.with(super::lists::CURRENCY, &study.cheapest.cost.currency)
}

/// The fewest rolls beside the cheapest, each with its sums.
#[must_use]
pub fn study(study: &Study) -> Table {
    let mut headings = BOUGHT.to_vec();
    headings.extend(["in offcuts kept", "price less these"]);
    let mut table = Table::new(&headings);
    for (name, solved) in orders(study) {
        for mut row in bought(name, solved) {
            row.extend([Cell::Empty, Cell::Empty]);
            table.push(row);
        }
        let (purchase, kept) = (&solved.cost.purchase, solved.cost.kept());
        table.push(vec![
            Cell::Text(format!("{name}, all")),
            Cell::Empty,
            Cell::Empty,
            Cell::Count(purchase.lines.iter().map(|line| line.cut).sum()),
            Cell::Count(purchase.count()),
            Cell::Empty,
            Cell::Money(purchase.rolls()),
            Cell::Money(purchase.freight()),
            Cell::Money(kept),
            Cell::Money(purchase.rolls() + purchase.freight() - kept),
        ]);
    }
    table
}

/// One more and one less of each product of the cheapest order.
#[must_use]
pub fn beside(study: &Study) -> Table {
    let mut table = Table::new(&[
        "thickness mm",
        "roll",
        "cut",
        "bought",
        "one less",
        "would save",
        "one more costs",
        "reserve m2",
    ]);
    let nests = &study.cheapest.plan.nests;
    for beside in &study.beside {
        let lines = study.cheapest.cost.purchase.lines.iter();
        let area = lines.filter(|line| line.roll == beside.roll).map(Bought::area).next();
        table.push(vec![
            nests
                .get(beside.nest)
                .and_then(|nest| nest.thickness)
                .map_or(Cell::Empty, Cell::Millimetres),
            Cell::text(&beside.roll),
            Cell::Count(beside.cut),
            Cell::Count(beside.bought),
            match beside.less {
                Less::RuledOut(Some(hundredths)) if hundredths > 0 => Cell::Text(format!(
                    "too few, by {}.{:02} rolls or more",
                    hundredths / 100,
                    hundredths % 100
                )),
                Less::RuledOut(_) => Cell::text("too few"),
                Less::Unspared => Cell::text("would go without spares"),
                Less::Open => Cell::text("not ruled out"),
            },
            // The spares may then be of a dearer product.
            if beside.less == Less::Unspared {
                Cell::Empty
            } else if beside.saves < Money::ZERO {
                Cell::Text(format!("costs {} more", (Money::ZERO - beside.saves).cents()))
            } else {
                Cell::Money(beside.saves)
            },
            beside.costs.map_or_else(|| Cell::text("not to be had"), Cell::Money),
            area.map_or(Cell::Empty, |area| Cell::Number(super::table::square_metres(area, 2))),
        ]);
    }
    table
}

/// The most open orders that are named.
const NAMED: usize = 8;

/// Products on offer that are no longer among those of which the cheapest order was chosen: its courses are laid out for
/// the widest of these, whether any is bought of it or not.
fn left_out(study: &Study) -> Vec<String> {
    let on_offer = |sheets: &[Wanted]| -> Vec<String> {
        let rolls = sheets.iter().flat_map(|sheet| &sheet.rolls);
        let rolls = rolls.filter(|roll| !roll.shelf && roll.available != Some(0));
        rolls.map(|roll| roll.id.clone()).collect()
    };
    let left = on_offer(&study.cheapest.sheets);
    let gone = on_offer(&study.fewest.sheets).into_iter().filter(|id| !left.contains(id));
    gone.map(|id| visible(&id)).collect()
}

/// What the cheapest order costs against the fewest rolls.
fn cheapest_in_words(study: &Study) -> String {
    let paid = |solved: &Solved| solved.cost.purchase.rolls() + solved.cost.purchase.freight();
    let saved = paid(&study.fewest) - paid(&study.cheapest);
    let (few, cheap) = (study.fewest.cost.purchase.count(), study.cheapest.cost.purchase.count());
    let spares = |solved: &Solved| solved.cost.purchase.spares().values().sum::<u64>();
    let (had, has) = (spares(&study.fewest), spares(&study.cheapest));
    let with_spares = |against: &str| {
        let which = if had == 0 { "no spare".to_owned() } else { format!("only {had}") };
        format!(
            "The cheapest order with {}, {}, costs {against} the fewest rolls, {few}, which have {which}.",
            counted(has, "spare", "spares"),
            counted(cheap, "roll", "rolls"),
        )
    };
    match saved.cmp(&Money::ZERO) {
        Ordering::Less => with_spares(&format!("{} more than", (Money::ZERO - saved).cents())),
        Ordering::Equal if has > had => with_spares("as much as"),
        Ordering::Equal => "The fewest rolls are the cheapest order that was found.".to_owned(),
        Ordering::Greater => format!(
            "The cheapest order, {}, saves {} against the fewest{}, {few}.",
            counted(cheap, "roll", "rolls"),
            saved.cents(),
            if study.narrower { " of those with the widest courses" } else { "" }
        ),
    }
}

/// What the study of an order comes to, in sentences.
#[must_use]
pub fn study_in_words(study: &Study) -> Vec<String> {
    let mut words = vec![cheapest_in_words(study)];
    words.extend(study.short.iter().map(|short| short_in_words(short, study.narrower)));
    if study.narrower {
        let out = left_out(study);
        let told = |roll: &&String| {
            let mut short = study.short.iter().flat_map(|short| &short.wider);
            !short.any(|(wider, _)| wider == *roll) && !out.contains(roll)
        };
        let uncoursed: Vec<String> =
            study.uncoursed.iter().filter(told).map(|roll| visible(roll)).collect();
        let mut edits = Vec::new();
        if !out.is_empty() {
            edits.push(format!("0 as `available` of {}", out.join(", ")));
        }
        if !uncoursed.is_empty() {
            edits.push(format!("no into the column `courses` of {}", uncoursed.join(", ")));
        }
        words.push(format!(
            "It leaves the widest rolls of a thickness out, or cuts from them only what fits, so its courses are narrower and its joints \
             more; the pieces are those for these rolls. To cut by it write {}in \
             rules.toml objective = \"price\" under [order], and plan again.",
            if edits.is_empty() { String::new() } else { format!("in rolls.csv {}, ", edits.join(", ")) }
        ));
    }
    words.push(standing_of(study));
    let labour = |solved: &Solved| solved.cost.total.cents();
    words.push(format!(
        "With cutting and wrapping at {} the fewest rolls come to {}, the cheapest order to \
         {}; the proof is about rolls and freight alone.",
        match RatesAre::of(&study.cheapest.cost.labour) {
            RatesAre::Given => "the rates given",
            RatesAre::Partly => "rates of which some are placeholders, no facts,",
            RatesAre::Placeholders => "placeholder rates, no facts,",
        },
        labour(&study.fewest),
        labour(&study.cheapest)
    ));
    for open in study.open.iter().take(NAMED) {
        let rolls: Vec<String> =
            open.rolls.iter().map(|(roll, count)| format!("{count} of {roll}")).collect();
        let thickness = of_thickness(open.thickness);
        words.push(format!(
            "Not ruled out, and not cut: {thickness}{} for {}; the whole order would then cost {} or \
             more.",
            rolls.join(" and "),
            open.cost.cents(),
            open.total.cents()
        ));
    }
    if study.open.len() > NAMED {
        let more = study.open.len() - NAMED;
        let orders = if more == 1 { "order is" } else { "orders are" };
        words.push(format!("{more} more {orders} open in the same way."));
    }
    for steps in &study.steps {
        let plan = &study.fewest.plan;
        let thickness = plan.nests.get(steps.nest).and_then(|nest| nest.thickness);
        let thickness = of_thickness(thickness);
        if steps.rolls == 0 {
            words.push(format!("{thickness}nothing is to be bought."));
            continue;
        }
        let needed = steps.needed.max(0) / (PARTS / 100);
        let needed = format!("{}.{:02}", needed / 100, needed % 100);
        let less = if steps.proven {
            format!(
                "one less cannot hold the job; by the linear programme the pieces need {needed}"
            )
        } else {
            let bound = steps.bound;
            format!(
                "one less is not ruled out (the bound is {bound}); by the layouts that were found the pieces need {needed}"
            )
        };
        let fewest = counted(steps.rolls, "roll", "rolls");
        let courses = if study.narrower { "with the widest courses " } else { "" };
        words.push(format!("{thickness}{courses}the fewest are {fewest}; {less}."));
    }
    words
}

/// That too few of the widest rolls can be had, what was done about it, and how a plan comes to it.
fn short_in_words(short: &Short, narrower: bool) -> String {
    let Short { thickness, wider, laid } = short;
    let had = |(roll, available): &(String, Option<u64>)| {
        let roll = visible(roll);
        available.map_or_else(|| roll.clone(), |count| format!("{count} of {roll}"))
    };
    let orders = if narrower { "The fewest rolls lay" } else { "Both orders lay" };
    let had = wider.iter().map(had).collect::<Vec<_>>().join(" and ");
    let names = wider.iter().map(|(roll, _)| visible(roll)).collect::<Vec<_>>().join(" and ");
    let laid = laid.iter().map(|roll| visible(roll)).collect::<Vec<_>>().join(" and ");
    format!(
        "{thickness} mm: no way was found to cut the job with courses as wide as {names}, as no more than {had} can \
         be had. {orders} the courses out for {laid}, and cut from {names} what fits: to plan so, write no \
         into the column `courses` of {names} in rolls.csv."
    )
}

/// What is proven about the cheapest order.
fn standing_of(study: &Study) -> String {
    if study.proven() {
        let tried = match u64::from(study.tried) {
            0 => String::new(),
            tried => {
                let orders = counted(tried, "order", "orders");
                format!("; {orders} between it and the linear bound could not hold the job")
            }
        };
        // Wider rolls are cut from without courses for them only where too few can be had.
        let laid = if study.short.is_empty() {
            ", where courses are as wide as the widest roll of a thickness that is left on offer and that they are laid out for"
        } else {
            ""
        };
        // One without those spares may.
        let fewest = &study.fewest.cost.purchase;
        let spares = if fewest.rolls() + fewest.freight() < study.price() {
            " with as many spares"
        } else {
            ""
        };
        return format!(
            "Proven: no order of whole rolls{spares} costs less, over all products, with price breaks, minimum \
             orders and freight{laid}{tried}."
        );
    }
    if let Some(ways) = study.unseen {
        return format!(
            "Rolls of the thicknesses wanted come in so many widths that the {ways} ways were looked at that leave the fewest of \
             the wider ones out; a cheaper order that leaves more of them out is not ruled out. `rollwright plan` with a \
             shorter rolls.csv looks at those."
        );
    }
    let more_spares = study.more_spares == MoreSpares::NotFound;
    if more_spares && study.all && study.price() <= study.bound {
        return "No order of whole rolls with as many spares costs less, and none with more of the spares asked for was found; but \
                that there is none was not ruled out."
            .to_owned();
    }
    if study.stopped && study.bound == Money::ZERO {
        return "The search was stopped before it ruled out any order; cheaper ones were not all looked at.".to_owned();
    }
    let more = study.price() - study.bound;
    let others = if study.all { "" } else { "; orders in between were not all looked at" };
    let spares = if more_spares {
        ". Of orders with more of the spares asked for, which may cost more, none was found and none is ruled out"
    } else {
        ""
    };
    format!(
        "Every order below {} is ruled out; the cheapest found costs {} more{others}{spares}.",
        study.bound.cents(),
        more.cents(),
    )
}

/// Fewer simulated jobs tell nothing of nine in ten.
const FEW_JOBS: u64 = 10;

/// What to allow for a job as large as the one asked about, or nearest to it, in plain words.
#[must_use]
pub fn allowance_in_words(allowance: &Allowance) -> Option<String> {
    let at = allowance.sizes.iter().min_by_key(|at| from_one(at.size))?;
    let job = if at.size == Decimal::ONE {
        "the job as it is".to_owned()
    } else {
        format!("a job of size {}", at.size)
    };
    let [(used, whole), (half_used, half_whole)] =
        [2, 0].map(|part: usize| (up(at.used[part]), up(at.whole[part])));
    if at.empty == u64::from(allowance.jobs) {
        return Some(format!("There is nothing to cut in any simulated job of {job}."));
    }
    let mut words = format!(
        "What to allow for {job}, {:.1} m2 of pieces: {used:.1} % on their plain area where what is left over has a \
         use elsewhere, {whole:.1} % where whole rolls are bought for it alone. That is enough in nine of ten such \
         jobs; {half_used:.1} % and {half_whole:.1} % are in one of two.",
        at.plain
    );
    let less = |again: &Again| again.used[0] - again.used[1];
    if let Some(less) = allowance.again.as_ref().map(less).filter(|less| *less >= 0.1) {
        let _ = write!(
            words,
            " A plan made with more work takes less, in one job that was laid both ways by {less:.1} points on \
             blanket used, so this is on the safe side."
        );
    }
    if at.empty > 0 {
        let _ = write!(
            words,
            " In {} of the {} jobs simulated there is nothing to cut; they are left out.",
            at.empty, allowance.jobs
        );
    }
    let laid = u64::from(allowance.jobs) - at.empty;
    if laid < FEW_JOBS {
        let _ = write!(
            words,
            " {} behind these figures, too few to tell in how many jobs they are enough: ask for more --jobs.",
            if laid == 1 {
                "One simulated job stands".to_owned()
            } else {
                format!("{laid} simulated jobs stand")
            }
        );
    }
    Some(words)
}

/// The run lengths that are drawn: a sentence for each law, with the pipes of which it holds.
#[must_use]
pub fn allowance_runs(allowance: &Allowance) -> Vec<String> {
    let one = |runs: &Runs| {
        let sizes = runs.sizes.iter().map(|size| visible(size)).collect::<Vec<_>>().join(", ");
        let law = match runs.law {
            Shape::Fixed => "all alike".to_owned(),
            law => {
                let word = Shape::WORDS.iter().find(|(_, shape)| *shape == law).map_or("", |w| w.0);
                format!("{word}, spread {:.0} % of the mean", runs.spread * 100.0)
            }
        };
        format!("Run lengths of {sizes}: mean {} m, {law}.", runs.mean.metres(2))
    };
    allowance.runs.iter().map(one).collect()
}

/// What the allowance rests on.
pub const ALLOWANCE_NOTE: &str = "The shelf is left out, and so are minimum orders, price breaks and spares. Whole rolls: \
     the area of all rolls cut from. Blanket used: without roll ends that are worth keeping, the figure to add where what is left has a use. By kind, each \
     pull is shared by the blanks that lie in it. Per cent are rounded up. Of each pipe as many runs are drawn as its \
     mean goes into its length, and scaled to it; nests are good, not proven.";

/// How often the order runs short, and what further spares make of it.
#[must_use]
pub fn risk_in_words(risk: &Risk) -> String {
    let accepted = Decimal::from_millionths(risk.accepted.millionths() * 100);
    let short = |nest: &&OfThickness| nest.short_then > accepted.f64() + 1e-9;
    let left: Vec<&OfThickness> = risk.nests.iter().filter(short).collect();
    let spares = risk.nests.iter().map(|nest| nest.spare).sum::<u64>();
    let then = format!("in {:.1} %", risk.short_then);
    let spares = match (spares, left.is_empty()) {
        (0, true) => {
            format!("no further spares are needed to bring each thickness to at most {accepted} %.")
        }
        (0, false) => "no further spares that can be had make that less.".to_owned(),
        (_, true) => format!(
            "with the further spares, which bring each thickness to at most {accepted} %, {then}."
        ),
        (_, false) => format!("with the further spares, {then}."),
    };
    let mut words = format!("The order runs short in {:.1} % of them; {spares}", risk.short);
    for nest in left {
        let OfThickness { thickness, roll, further, short_then, .. } = nest;
        let why = match further {
            Some(0) => format!("no further roll of {} can be had", visible(roll)),
            Some(further) if *further == nest.spare => {
                let rolls = counted(*further, "further roll", "further rolls");
                format!("no more than {rolls} of {} can be had", visible(roll))
            }
            _ => format!("the rest has pieces for which no number of {} will do", visible(roll)),
        };
        let _ = write!(
            words,
            " {thickness} mm stays at {short_then:.1} %, above the {accepted} % accepted: {why}."
        );
    }
    words
}

/// What numbers of rolls count where several products are ordered: a sentence a thickness.
#[must_use]
pub fn risk_counted(risk: &Risk) -> Vec<String> {
    let one = |nest: &OfThickness| {
        let OfThickness { thickness, roll, ordered, others, .. } = nest;
        let (roll, own) = (visible(roll), ordered - others);
        format!(
            "{thickness} mm: the order is {own} of {roll} and {others} of other products. Each number of \
             rolls here counts those {others} as they are, and more or fewer of {roll}."
        )
    };
    risk.nests.iter().filter(|nest| nest.others > 0).map(one).collect()
}

/// What the little work of simulated jobs makes of the job as it stands: a sentence a thickness.
#[must_use]
pub fn risk_laid(risk: &Risk) -> Vec<String> {
    let one = |nest: &OfThickness| {
        let OfThickness { thickness, planned, alike, held, .. } = nest;
        if let Some(planned) = planned.filter(|_| u32::try_from(*held) == Ok(risk.jobs)) {
            let rolls = counted(planned, "roll", "rolls");
            return format!(
                "{thickness} mm: no simulated job wants more of any piece than the plan cuts, so the {rolls} that it \
                 takes {} each of them.",
                if planned == 1 { "holds" } else { "hold" }
            );
        }
        let laid = format!("{thickness} mm: laid like the simulated jobs, the job as it stands");
        let Some(alike) = *alike else {
            let roll = visible(&nest.roll);
            return format!(
                "{laid} does not go on the rolls ordered, whatever the number of {roll}, and its plan does: \
                 the plan is made otherwise, and the chance of running short is too high."
            );
        };
        let laid = format!("{laid} takes {}", counted(alike, "roll", "rolls"));
        let Some(planned) = *planned else {
            return format!("{laid}; {} are ordered.", nest.ordered);
        };
        match alike.cmp(&planned) {
            Ordering::Equal => format!("{laid}, as many as its plan."),
            Ordering::Greater => format!(
                "{laid}, and its plan {planned}: the simulated jobs are laid with less work, and of many \
                 sizes curved pieces then do not interlock. Their rolls, and with them the chance of running \
                 short, are too high by about that. More --work lessens it, and takes longer."
            ),
            Ordering::Less => format!(
                "{laid}, and its plan {planned}: the plan is made otherwise than the simulated jobs, so the \
                 chance of running short is rather too low."
            ),
        }
    };
    risk.nests.iter().map(one).collect()
}

/// What the little work of simulated jobs makes of one of them; nothing where no job was laid twice.
#[must_use]
pub fn allowance_laid(allowance: &Allowance) -> Option<String> {
    let again = allowance.again.as_ref()?;
    let [quick, thorough] = again.used.map(|value| format!("{:.1}", up(value)));
    let size = again.size;
    let same = again.rolls.iter().all(|(_, [quick, thorough])| quick == thorough);
    if quick == thorough && same {
        return Some(format!(
            "A job of size {size}, laid with the work of a plan, takes the same allowance as with the \
             little work of simulated jobs, {quick} % on blanket used."
        ));
    }
    let rolls = again.rolls.iter().map(|(thickness, [quick, thorough])| {
        let rolls = counted(*thorough, "roll", "rolls");
        format!("{rolls} of {thickness} mm in the place of {quick}")
    });
    let rolls: Vec<String> = rolls.collect();
    let more = again.used[1] > again.used[0]
        || again.rolls.iter().any(|(_, [quick, thorough])| thorough > quick);
    let so = if more {
        "the work of a plan lays it otherwise, and not better in all. The allowances are right to about that."
    } else {
        "the simulated jobs are laid with less work, and of many sizes curved pieces then do not interlock. The \
         allowances are too high by about that. More --work lessens it, and takes longer."
    };
    Some(format!(
        "A job of size {size}, laid with the work of a plan, takes {thorough} % on blanket used in the place \
         of {quick} %, and {}: {so}",
        rolls.join(", ")
    ))
}

/// What the risk rests on: how far quantities go, and how well so many simulated jobs know a chance.
#[must_use]
pub fn risk_note(risk: &Risk) -> String {
    let common = risk.common.f64();
    // The common deviation and the own one may both be as large as they can (see `forecast::risk`).
    let most = common.sqrt() + (1.0 - common).max(0.0).sqrt();
    let most = if most > 1.005 {
        format!(
            "at most {most:.2} times its uncertainty up or down, as the part in common and its own add up;"
        )
    } else {
        "at most its uncertainty up or down;".to_owned()
    };
    // Twice the standard deviation of a part of so many cases, at a half and at a twentieth.
    let within = |part: f64| 200.0 * (part * (1.0 - part) / f64::from(risk.jobs.max(1))).sqrt();
    // The rule of three: 1 - (1 - p)^n is 95 % at p = 3 / n.
    let never = |nest: &OfThickness| nest.short <= 0.0 || nest.short_then <= 0.0;
    let none = if risk.nests.iter().any(never) {
        let most = (300.0 / f64::from(risk.jobs.max(1))).min(100.0);
        format!(
            " Where none of them runs short, a chance of up to {most:.1} % may hide (95 % sure)."
        )
    } else {
        String::new()
    };
    format!(
        "Each quantity is off by a triangular deviation, {most} the part in common makes all of them too small or \
         too large together. All that stands on one line is off together: twenty runs on one line are less sure \
         than twenty lines. Of a pipe the length as taken off is varied, before its take-outs. Counts are whole: what is left of one is decided by lot. From {} jobs a chance \
         near 50 % is known to {:.1} either way, one near 5 % to {:.1}; another --seed moves it so far, and more \
         --jobs narrow it.{none} Nests are good, not proven, so rolls are rather over than under.",
        risk.jobs,
        within(0.5),
        within(0.05),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::allowance::{AtSize, OfKind};

    fn with(used: f64, empty: u64) -> Allowance {
        let at = AtSize {
            size: Decimal::ONE,
            empty,
            plain: 5.0,
            whole: [used; 3],
            used: [used; 3],
            rolls: Vec::new(),
            handbook: None,
        };
        Allowance {
            jobs: 10,
            seed: 1,
            source: String::new(),
            handbook: None,
            runs: Vec::new(),
            sizes: vec![at],
            again: None,
            kinds: vec![OfKind { kind: "pipe".to_owned(), plain: 5.0, used: [used; 3] }],
        }
    }

    /// The figure to write down is enough where it says so, also as it is shown.
    #[test]
    fn allowances_are_rounded_up() {
        let csv = |table: Table| String::from_utf8(table.csv()).unwrap();
        for (used, told) in
            [(7.0336, "7.1"), (7.0, "7.0"), (7.000_000_000_1, "7.0"), (0.0, "0.0"), (6.96, "7.0")]
        {
            let shown = with(used, 0);
            let words = allowance_in_words(&shown).unwrap();
            assert!(words.contains(&format!(": {told} % on their plain area")), "{used}: {words}");
            for table in [csv(allowance(&shown)), csv(allowance_kinds(&shown))] {
                assert!(table.contains(&format!(",{told},{told},{told}")), "{used}: {table}");
            }
        }
    }

    #[test]
    fn jobs_of_nothing_are_told() {
        let words = allowance_in_words(&with(7.0, 3)).unwrap();
        assert!(words.contains("In 3 of the 10 jobs simulated there is nothing to cut"), "{words}");
        assert!(words.contains(" 7 simulated jobs stand behind these figures, too few"), "{words}");
        assert!(!allowance_in_words(&with(7.0, 0)).unwrap().contains("too few"));
        let words = allowance_in_words(&with(0.0, 10)).unwrap();
        assert!(words.starts_with("There is nothing to cut in any simulated job"), "{words}");
    }
}

//! What was chosen together with the cutting: the plan as specified against the plan as chosen.

use super::cutting::at_table;
use super::proof::{amount, counted, of_thickness};
use super::sources::Sources;
use super::summary::filled;
use super::table::{Cell, Table, square_metres};
use super::ticket::in_hours;
use crate::cost::rates::Kind;
use crate::cost::{Rates, buy};
use crate::cutting::Objective;
use crate::plan::{AtTable, Choice, Figures, NestFigures, Plan};
use crate::rules::{Choose, Rules};
use crate::units::{Area, Length, Money, joined};
use core::time::Duration;
use std::collections::BTreeSet;
use std::fmt::Write;

/// The text for a terminal; empty where the nest was not let to choose.
#[must_use]
pub fn text(plan: &Plan, sources: &Sources<'_>) -> String {
    let Some(choice) = &plan.choice else { return String::new() };
    let telling = &sources.telling;
    let mut out = String::from("\nChosen together with the cutting\n");
    if !choice.is_empty() {
        out.push_str(&telling.table(comparison(plan, choice, sources)).aligned());
        if !choice.things.is_empty() {
            let _ = write!(out, "\n{}", telling.table(things(plan, choice)).aligned());
        }
    }
    for sentence in sentences(plan, choice, sources) {
        out.push_str(&filled(&telling.text(&sentence), "  ", "  "));
    }
    out
}

/// What is to be said beside the figures.
#[must_use]
pub fn sentences(plan: &Plan, choice: &Choice, sources: &Sources<'_>) -> Vec<String> {
    let offer = offered(sources.rules);
    if choice.is_empty() && choice.stopped {
        return vec![
            format!(
                "Letting the nest choose {offer} was stopped before its end, and nothing that saves was found until \
                 then: all stays as specified. A longer search may find more."
            ),
            beyond_specified(plan, choice),
        ];
    }
    if choice.is_empty() {
        let work = if sources.rules.choose.hour_price > 0 {
            ", and more than the work that it adds costs"
        } else {
            ""
        };
        let mut sentences = vec![
            format!(
                "Letting the nest choose {offer} was tried, and nothing was found that saves a roll or money, or a \
                 thousandth of the blanket{work}: all stays as specified."
            ),
            beyond_specified(plan, choice),
        ];
        sentences.extend(allowed_pieces(choice, &sources.rules.choose));
        if choice.again {
            sentences.push(
                "The plan was nested again on the way, and is better for that than `rollwright plan` makes \
                 it where nothing may be chosen."
                    .to_owned(),
            );
        }
        return sentences;
    }
    let mut sentences = Vec::new();
    if choice.stopped {
        let words = "The search among what may be chosen was stopped before its end: a longer one may find more.";
        sentences.push(words.to_owned());
    }
    if !choice.things.is_empty() {
        let items: usize = choice.things.iter().map(|thing| thing.items.len()).sum();
        let items = counted(items as u64, "item is", "items are");
        sentences.push(format!(
            "{items} made otherwise than as specified, as the rules allow. The schedule shows them as \
             they are made."
        ));
    }
    if !choice.runs.is_empty() {
        let runs = counted(choice.runs.len() as u64, "run is", "runs are");
        sentences.push(format!(
            "{runs} cut otherwise than as specified, within the same rules for stagger and widths."
        ));
    }
    sentences.extend(beyond_items(plan, choice));
    if plan.already.as_ref().is_some_and(|already| !already.chosen.is_empty()) {
        sentences.push(
            "As specified means here: what the plan before chose stays, and all else is as the rules have it."
                .to_owned(),
        );
    }
    let alone = blanket_alone(&choice.specified, &after(plan, choice, sources));
    let after = at_table(plan, sources);
    let work = choice.specified.at_table.zip(after).and_then(|(a, b)| further_work(a, b));
    let unweighed = alone.is_some() && work.is_some() && sources.rules.choose.hour_price == 0;
    sentences.extend(alone);
    sentences.extend(work);
    if unweighed {
        sentences.push(
            "Nobody weighed the one against the other, as `choose.hour_price` gives an hour no price: where it \
             is not worth that, give one, or plan without choosing."
                .to_owned(),
        );
    }
    if choice.again {
        sentences.push(
            "The plan as specified was nested again from the pulls with which choosing began, and is better \
             for that than `rollwright plan` makes it where nothing may be chosen: what that saves is not put \
             down to the choice."
                .to_owned(),
        );
    }
    sentences.push("The bounds above hold whatever is chosen.".to_owned());
    sentences.extend(choice.bound.map(|bound| {
        let least = amount(objective(plan), bound);
        format!("All thicknesses together need at least {least}, whatever is chosen.")
    }));
    sentences
}

/// What is saved beyond what is put down to items and runs, where that is most of it.
fn beyond_items(plan: &Plan, choice: &Choice) -> Option<String> {
    let saves = choice
        .things
        .iter()
        .map(|thing| thing.saves)
        .chain(choice.runs.iter().map(|run| run.saves));
    let named: i128 = saves.map(|saves| i128::from(saves.millionths())).sum();
    let all = choice.specified.value() - i128::from(plan.value.millionths());
    (all > 0 && named * 2 < all).then(|| {
        "What an item is said to save is what its pieces take less of a roll's length. Most of what is saved is that \
         pieces fill the rolls to their ends, which no item has by itself."
            .to_owned()
    })
}

/// What is known of all that might have been chosen, where all stays as specified: the proofs of the order are
/// of the pieces as specified.
fn beyond_specified(plan: &Plan, choice: &Choice) -> String {
    let together = if plan.nests.len() > 1 { " for all thicknesses together" } else { "" };
    let least = choice.least.zip(plan.nests.first());
    let least = least.map(|(least, nest)| (least, amount(nest.objective, least)));
    match least {
        Some((least, amount)) if least >= plan.value => {
            format!("Nothing that may be chosen brings it below {amount}{together}.")
        }
        Some((_, amount)) => format!(
            "What is said of the order above is about the pieces as specified: what else may be chosen might do \
             with less, though not with less than {amount}{together}."
        ),
        None => "What is said of the order above is about the pieces as specified, not about what else may be chosen."
            .to_owned(),
    }
}

/// How many pieces more were allowed, where more pieces may be chosen.
fn allowed_pieces(choice: &Choice, rules: &Choose) -> Option<String> {
    let specified = choice.specified.pieces;
    let more = u64::try_from(rules.pieces_beyond(specified)).unwrap_or(0);
    rules.any_making().then(|| {
        let more = if more == 0 { "no piece".to_owned() } else { counted(more, "piece", "pieces") };
        format!(
            "Allowed was {more} more than the {specified} as specified (choose.more_pieces = {}).",
            rules.more_pieces
        )
    })
}

/// Where neither rolls nor money are saved, what is: blanket that stays on the rolls.
fn blanket_alone(specified: &Figures, chosen: &Figures) -> Option<String> {
    let saved = specified.drawn().nm2() - chosen.drawn().nm2();
    let same = |figures: &Figures| (figures.bought(), figures.value(), figures.price());
    let alone = same(specified) == same(chosen);
    (alone && saved > 0).then(|| {
        format!(
            "It saves no roll and no money: all that is gained is {} m2 of blanket that is not drawn off and \
             stays on the rolls' ends.",
            square_metres(Area::from_nm2(saved), 2)
        )
    })
}

/// What cutting the plan as chosen asks of the table beyond the plan as specified, in words.
fn further_work(specified: AtTable, chosen: AtTable) -> Option<String> {
    let mut parts = Vec::new();
    let more = chosen.seconds.saturating_sub(specified.seconds);
    if more >= 60 {
        parts.push(in_hours(Duration::from_secs(more)));
    }
    let counts = [
        (specified.setups, chosen.setups, "setting of the knives", "settings of the knives"),
        (specified.roll_changes, chosen.roll_changes, "change of the roll", "changes of the roll"),
    ];
    for (before, after, one, many) in
        counts.into_iter().filter(|(before, after, ..)| after > before)
    {
        parts.push(counted(after - before, one, many));
    }
    let words = parts.join(", ");
    (!words.is_empty()).then(|| {
        format!("What it costs: {words} more at the cutting table, at the rates in the rules.")
    })
}

/// What the plan as chosen is compared by.
fn after(plan: &Plan, choice: &Choice, sources: &Sources<'_>) -> Figures {
    let fallback = Rates::default();
    let rates = sources.extras.rates.unwrap_or(&fallback);
    buy::figures(plan, choice.joints, sources.rolls, sources.rules.order.spare_rolls, rates)
}

/// What the rules let the nest choose, in words.
fn offered(rules: &Rules) -> String {
    let Choose { joints, builds, elbows, seams, windings, parts, .. } = rules.choose;
    let offered = [
        (joints, "where the joints of straight runs lie"),
        (builds, "the builds of layers"),
        (elbows, "which elbows are cut gore by gore"),
        (seams, "where the seams of elbows lie"),
        (windings, "which layers are wound from one piece"),
        (parts, "into how many parts rings and heads are cut"),
    ];
    let words = offered.into_iter().filter_map(|(on, words)| on.then_some(words));
    joined(&words.collect::<Vec<_>>())
}

/// What each thickness comes to as specified and as chosen, the thinnest first; nothing where only the other cuts it.
fn by_thickness(
    before: &Figures,
    after: &Figures,
) -> Vec<(Option<Length>, NestFigures, NestFigures)> {
    let all: BTreeSet<Option<Length>> =
        before.nests.iter().chain(&after.nests).map(|nest| nest.thickness).collect();
    let of = |figures: &Figures, thickness| {
        let own = figures.nests.iter().find(|nest| nest.thickness == thickness);
        own.cloned().unwrap_or_else(|| NestFigures::nothing(thickness))
    };
    all.into_iter()
        .map(|thickness| (thickness, of(before, thickness), of(after, thickness)))
        .collect()
}

/// As specified, as chosen, and the difference.
#[must_use]
pub fn comparison(plan: &Plan, choice: &Choice, sources: &Sources<'_>) -> Table {
    let rules = sources.rules;
    let before = &choice.specified;
    let after = after(plan, choice, sources);
    let mut table = Table::new(&["what", "as specified", "as chosen", "difference"]);
    let mut row = |what: String, a: i128, b: i128, show: &dyn Fn(i128) -> String| {
        let difference = match b - a {
            more if more > 0 => format!("+{}", show(more)),
            less => show(less),
        };
        table.push(vec![
            Cell::Text(what),
            Cell::Number(show(a)),
            Cell::Number(show(b)),
            Cell::Number(difference),
        ]);
    };
    let whole = |n: i128| n.to_string();
    // Hundredths, rounded before the difference is taken, so that the row adds up.
    let square = |hundredths: i128| square_metres(Area::from_nm2(hundredths * HUNDREDTH), 2);
    let hundredths = |n: i128| (n + HUNDREDTH / 2).div_euclid(HUNDREDTH);
    for (thickness, a, b) in by_thickness(before, &after) {
        let mm = of_thickness(thickness);
        // Plans of earlier versions say only how many are cut.
        let known = before.bought() > 0 || before.nests.iter().all(|nest| nest.rolls == 0);
        let buys = |n: &NestFigures| if known { n.bought } else { n.rolls };
        row(format!("{mm}rolls to buy"), buys(&a).into(), buys(&b).into(), &whole);
        if known && (a.bought, b.bought) != (a.rolls, b.rolls) {
            row(format!("{mm}of these cut"), a.rolls.into(), b.rolls.into(), &whole);
        }
        if a.offcuts + b.offcuts > 0 {
            row(format!("{mm}offcuts taken"), a.offcuts.into(), b.offcuts.into(), &whole);
        }
        let drawn = |n: &NestFigures| hundredths(n.drawn.nm2());
        row(format!("{mm}blanket drawn off, m2"), drawn(&a), drawn(&b), &square);
        let waste = |n: &NestFigures| hundredths(n.drawn.nm2() - n.pieces.nm2());
        row(format!("{mm}of it beyond the pieces, m2"), waste(&a), waste(&b), &square);
    }
    let price = |figures: &Figures| i128::from(figures.price().micros());
    let money = |n: i128| {
        let sign = if n < 0 { "-" } else { "" };
        let micros = i64::try_from(n.unsigned_abs()).unwrap_or(i64::MAX);
        format!("{sign}{}", Money::from_micros(micros).cents())
    };
    let freight =
        sources.extras.rates.is_some_and(|rates| rates.of(Kind::Pallet).each > Money::ZERO)
            && sources.rolls.iter().any(|roll| roll.terms.per_pallet.is_some());
    let paid = if freight { "rolls and freight" } else { "price of the rolls" };
    row(paid.to_owned(), price(before), price(&after), &money);
    let joints = |figures: &Figures| i128::from(figures.joints);
    row(
        "joints along runs whose joints may move".to_owned(),
        joints(before),
        joints(&after),
        &whole,
    );
    let pieces = |figures: &Figures| i128::from(figures.pieces);
    row("pieces".to_owned(), pieces(before), pieces(&after), &whole);
    let minutes = i128::from(rules.choose.joint_minutes);
    // Tenths, rounded before the difference is taken, so that the row adds up.
    let hours = |tenths: i128| {
        let sign = if tenths < 0 { "-" } else { "" };
        format!("{sign}{}.{}", tenths.abs() / 10, tenths.abs() % 10)
    };
    let tenths = |minutes: i128| (minutes + 3) / 6;
    let time = |figures: &Figures| tenths(pieces(figures) * minutes);
    let each = format!("hours to cut and fit them, {minutes} min each");
    row(each, time(before), time(&after), &hours);
    if rules.choose.hour_price > 0 {
        let cost = |figures: &Figures| {
            i128::from(rules.choose.joints_cost(i64::try_from(figures.pieces).unwrap_or(i64::MAX)))
        };
        row("price of these hours".to_owned(), cost(before), cost(&after), &money);
    }
    if let Some((a, b)) = before.at_table.zip(at_table(plan, sources)) {
        row("most kits open".to_owned(), a.open_kits.into(), b.open_kits.into(), &whole);
        row("settings of the knives".to_owned(), a.setups.into(), b.setups.into(), &whole);
        row("changes of the roll".to_owned(), a.roll_changes.into(), b.roll_changes.into(), &whole);
        let minutes = |seconds: u64| tenths(i128::from(seconds / 60));
        row(
            "hours at the cutting table".to_owned(),
            minutes(a.seconds),
            minutes(b.seconds),
            &hours,
        );
    }
    table
}

/// A hundredth of a square metre, in square nanometres.
const HUNDREDTH: i128 = 10_000_000_000_000_000;

/// What is to be least; one thing for all thicknesses.
fn objective(plan: &Plan) -> Objective {
    plan.nests.first().map_or(Objective::Rolls, |nest| nest.objective)
}

/// The heading over what a choice saves, in the unit of the plan's value.
fn saves(plan: &Plan) -> &'static str {
    match objective(plan) {
        Objective::Rolls => "saves about, rolls",
        Objective::Price => "saves about, at list price",
        Objective::Length => "saves about, mm of roll",
    }
}

/// Everything that is not made as specified, with what it saves.
#[must_use]
pub fn things(plan: &Plan, choice: &Choice) -> Table {
    let mut table = Table::new(&["items", "made", "further pieces", saves(plan)]);
    for thing in &choice.things {
        let names: Vec<&str> = thing.items.iter().map(|chosen| chosen.item.as_str()).collect();
        let mut made: Vec<String> =
            thing.items.iter().map(|chosen| chosen.making.words()).collect();
        made.sort_unstable();
        made.dedup();
        table.push(vec![
            Cell::text(names.join(", ")),
            Cell::Text(made.join("; ")),
            Cell::Number(thing.pieces.to_string()),
            Cell::Number(thing.saves.to_string()),
        ]);
    }
    table
}

/// Every run that is not as specified, with what it saves.
#[must_use]
pub fn runs(plan: &Plan, choice: &Choice) -> Table {
    let mut table =
        Table::new(&["item", "run", "courses by layer, mm", "further joints", saves(plan)]);
    for run in &choice.runs {
        let layers = plan.joints.iter().filter(|j| j.item == run.item && j.run == run.run);
        let mut courses = String::new();
        for layer in layers {
            if !courses.is_empty() {
                courses.push_str("; ");
            }
            let widths: Vec<String> = layer.courses.iter().map(ToString::to_string).collect();
            let _ = write!(courses, "{}", widths.join(" + "));
        }
        table.push(vec![
            Cell::text(&run.item),
            Cell::Count(run.run.into()),
            Cell::Text(courses),
            Cell::Number(run.joints.to_string()),
            Cell::Number(run.saves.to_string()),
        ]);
    }
    table
}

//! One setting of an option, carried out on a job's parts.

use super::choice::Part;
use super::solve::Setup;
use crate::cost::rates::KEYS;
use crate::cutting::Objective;
use crate::rules;
use crate::stock;
use crate::table::{nearest, nearest_or, quoted};
use crate::takeoff::Build;
use crate::units::{Length, Money, parse_decimal};

/// What is wrong with a setting, and what to do.
pub type Wrong = (String, String);

/// The keys that are no rules, for people.
const KEYWORDS: [&str; 12] = [
    "rolls",
    "roll",
    "price",
    "available",
    "breaks",
    "minimum",
    "per_pallet",
    "courses",
    "build",
    "shelf",
    "labour",
    "freight",
];

/// Less than this share of a price, in hundredths of a per cent, is most often a change (`8 %` for 8 %
/// more), and is asked back about. Our choice.
const LEAST_SHARE: i64 = 5000;

/// Carries a setting out.
pub(super) fn set(setup: &mut Setup, key: &str, value: &str) -> Result<(), Wrong> {
    let (word, rest) = key.split_once('.').unwrap_or((key, ""));
    match (word, rest) {
        ("rolls", "") => only(setup, value),
        ("roll", "") => add(setup, value),
        ("price", name) if !name.is_empty() => price(setup, name, value),
        ("available" | "breaks" | "minimum" | "per_pallet" | "courses", name)
            if !name.is_empty() =>
        {
            terms(setup, name, word, value)
        }
        ("build", old) if !old.is_empty() => build(setup, old, value),
        ("shelf", "") => shelf(setup, value),
        ("labour" | "freight", name) => rate(setup, (word, name), value),
        ("takeoff", _) => Err((
            format!("{} is settled when the takeoff is read", quoted(key)),
            "change it in rules.toml, and compare two jobs".to_owned(),
        )),
        (_, "") => {
            let remedy = match nearest(word, KEYWORDS) {
                Some(meant) if meant == word => named(word),
                Some(meant) => format!("write `{meant}` if that is meant"),
                None => format!("use a rule (`section.key`) or one of {}", KEYWORDS.join(", ")),
            };
            Err((format!("the setting {} is not known", quoted(key)), remedy))
        }
        _ => rules::set(&mut setup.rules, key, value).map_err(|wrong| {
            let rates = KEYS.iter().map(|key| format!("{}.{}", key.section, key.name));
            let rates: Vec<String> = rates.collect();
            let other = wrong.1;
            (wrong.0, nearest_or(key, rates.iter().map(String::as_str), other))
        }),
    }
}

/// What to write for a keyword that stands alone and must say of what.
fn named(word: &str) -> String {
    let (of, example) = match word {
        "build" => ("the build to be changed", "10+10"),
        _ => ("the roll", "NAME"),
    };
    format!("write {of} behind it: `{word}.{example}`")
}

/// The rolls that a setting names, be they there or not.
pub(super) fn names<'s>(key: &'s str, value: &'s str) -> Vec<&'s str> {
    match key.split_once('.') {
        Some(("price" | "available" | "breaks" | "minimum" | "per_pallet" | "courses", name)) => {
            vec![name]
        }
        None if key == "rolls" => value.split('|').map(str::trim).collect(),
        _ => Vec::new(),
    }
}

/// The roll that a setting adds.
pub(super) fn added<'s>(key: &str, value: &'s str) -> Option<&'s str> {
    let name = value.split(',').next().map(str::trim);
    name.filter(|name| key == "roll" && !name.is_empty())
}

/// Which part of a setting that cannot be carried out is to be mended: its key where nothing is called so, else
/// its value.
pub(super) fn at_fault(setup: &Setup, key: &str) -> Part {
    let (word, rest) = key.split_once('.').unwrap_or((key, ""));
    let roll = || setup.stock.rolls.iter().any(|roll| roll.id == rest);
    let known = match word {
        "rolls" | "roll" | "shelf" => rest.is_empty(),
        "price" => roll() || thickness(setup, rest),
        "available" | "breaks" | "minimum" | "per_pallet" | "courses" => roll(),
        "build" => {
            layers(rest).is_ok_and(|old| setup.takeoff.items.iter().any(|item| item.build == old))
        }
        "labour" | "freight" => KEYS.iter().any(|key| key.section == word && key.name == rest),
        "takeoff" => false,
        _ => rules::KEYS.iter().any(|rule| rule.full() == key),
    };
    if known { Part::Value } else { Part::Key }
}

/// Only these products are on offer.
fn only(setup: &mut Setup, value: &str) -> Result<(), Wrong> {
    let names: Vec<&str> =
        value.split('|').map(str::trim).filter(|name| !name.is_empty()).collect();
    for name in &names {
        if !setup.stock.rolls.iter().any(|roll| roll.id == *name) {
            return Err(unknown(setup, name));
        }
    }
    setup.stock.rolls.retain(|roll| names.contains(&roll.id.as_str()));
    Ok(())
}

/// A name after `price.` that is neither a product nor a thickness.
fn no_price(setup: &Setup, name: &str) -> Wrong {
    let (what, remedy) = unknown(setup, name);
    (
        what,
        remedy + ", or the thickness of one with its unit, such as `price.10 mm` or `price.1/2 in`",
    )
}

fn unknown(setup: &Setup, name: &str) -> Wrong {
    let names: Vec<&str> = setup.stock.rolls.iter().map(|roll| roll.id.as_str()).collect();
    let all = format!("use the names of rolls.csv: {}", names.join(" | "));
    let remedy = nearest_or(name, names, all);
    (format!("there is no roll {}", quoted(name)), remedy)
}

/// One more product: the cells of a line of `rolls.csv`.
fn add(setup: &mut Setup, value: &str) -> Result<(), Wrong> {
    let cells = value.split(',').count();
    let headings = ["roll", "thickness", "width", "length", "price", "available"];
    let headings = headings.get(..cells).filter(|_| cells >= 4).ok_or_else(|| {
        let remedy = "write name, thickness, width, length and price, such as \
                      `N-1200, 10, 1200, 50 m, 640.00`";
        (format!("{} is not a roll", quoted(value)), remedy.to_owned())
    })?;
    let table = format!("{}\n{value}\n", headings.join(","));
    let (read, findings) = stock::read_rolls("the option", table.as_bytes());
    let told = findings.iter().min_by_key(|f| f.severity());
    let Some(read) = read else {
        return Err(told.map_or_else(
            || (format!("{} is not a roll", quoted(value)), String::new()),
            |finding| (finding.what.clone(), finding.remedy.clone()),
        ));
    };
    for mut roll in read {
        if setup.stock.rolls.iter().any(|known| known.id == roll.id) {
            let what = format!("there is a roll {} already", quoted(&roll.id));
            return Err((what, "give the new one a name of its own".to_owned()));
        }
        if let Some(like) = setup.stock.rolls.first() {
            roll.terms.currency.clone_from(&like.terms.currency);
        }
        setup.stock.rolls.push(roll);
    }
    Ok(())
}

/// Another price for a product, whose price breaks then no longer hold; or a share of the price of now.
fn price(setup: &mut Setup, name: &str, value: &str) -> Result<(), Wrong> {
    if let Some(percent) = value.trim().strip_suffix('%') {
        return share(setup, name, value, percent.trim());
    }
    if value.trim().starts_with('+') {
        let what = format!("{} may be an amount or a change of one", quoted(value));
        let amount = value.trim().trim_start_matches('+').trim();
        let remedy =
            format!("write `{amount}` for the price, or `+{amount} %` for so much more of it");
        return Err((what, remedy));
    }
    let money = money(value)?;
    let wrong = if thickness(setup, name) {
        let all = "write a share, such as `108 %` for 8 % more, or name one product";
        (
            format!("{} is an amount, and {} are several products", quoted(value), quoted(name)),
            all.into(),
        )
    } else {
        no_price(setup, name)
    };
    let roll = setup.stock.rolls.iter_mut().find(|roll| roll.id == name).ok_or(wrong)?;
    roll.price = Some(money);
    roll.terms.breaks.clear();
    Ok(())
}

/// Whether a name means all products of a thickness (`10 mm`, `1/2 in`), some of which are on offer.
fn thickness(setup: &Setup, name: &str) -> bool {
    let thickness = as_thickness(name);
    thickness.is_some() && setup.stock.rolls.iter().any(|roll| Some(roll.thickness) == thickness)
}

/// A thickness has a unit: `10` would be the name of a product.
fn as_thickness(name: &str) -> Option<Length> {
    let unit = name.trim_end().ends_with(|c: char| c.is_alphabetic() || matches!(c, '"' | '\''));
    if unit { Length::parse(name.trim()).ok() } else { None }
}

/// A share in hundredths of a per cent: `108` is that much of the price of now, `+8` and `-8` so much more
/// or less.
fn hundredths(value: &str, percent: &str) -> Result<i64, Wrong> {
    let remedy =
        "write how much of the price of now, such as `108 %`, or the change, such as `+8 %`";
    let wrong = || (format!("{} is not a share of a price", quoted(value)), remedy.to_owned());
    let part =
        |text: &str| parse_decimal(text.trim(), 2).ok().filter(|part| *part >= 0).ok_or_else(wrong);
    if let Some(more) = percent.strip_prefix('+') {
        return part(more)?.checked_add(10_000).ok_or_else(wrong);
    }
    if let Some(less) = percent.strip_prefix(['-', '\u{2212}']) {
        return Some(10_000 - part(less)?).filter(|part| *part >= 0).ok_or_else(wrong);
    }
    let share = part(percent)?;
    if share < LEAST_SHARE {
        let (more, less) = (quoted(&format!("+{value}")), quoted(&format!("-{value}")));
        return Err((
            format!("{} would be that part of the price of now", quoted(value)),
            format!("write {more} or {less} for a change; for a price so low write the amount"),
        ));
    }
    Ok(share)
}

/// So many per cent of the price that a product, or every product of a thickness, has now, price breaks as
/// well.
fn share(setup: &mut Setup, name: &str, value: &str, percent: &str) -> Result<(), Wrong> {
    let hundredths = hundredths(value.trim(), percent)?;
    let of = |price: Money| {
        let share = price.times(i128::from(hundredths), 10_000);
        share.filter(|share| *share <= Money::LIMIT).ok_or_else(|| {
            (format!("{} of {price} cannot be counted", quoted(value)), "write less".to_owned())
        })
    };
    let named = setup.stock.rolls.iter().any(|roll| roll.id == name);
    let thickness = as_thickness(name);
    let unknown = no_price(setup, name);
    let mut any = false;
    for roll in &mut setup.stock.rolls {
        let meant = if named { roll.id == name } else { Some(roll.thickness) == thickness };
        let Some(now) = roll.price.filter(|_| meant) else { continue };
        any = true;
        roll.price = Some(of(now)?);
        for (_, price) in &mut roll.terms.breaks {
            *price = of(*price)?;
        }
    }
    if any {
        return Ok(());
    }
    if !named {
        return Err(unknown);
    }
    let remedy = "give it a price in rolls.csv, or an amount here".to_owned();
    Err((format!("{} has no price to take {} of", quoted(name), quoted(value)), remedy))
}

/// Another of the supplier's terms for a product, as `rolls.csv` has it; `none` is an empty cell.
fn terms(setup: &mut Setup, name: &str, column: &str, value: &str) -> Result<(), Wrong> {
    let wrong = unknown(setup, name);
    let roll = setup.stock.rolls.iter_mut().find(|roll| roll.id == name).ok_or(wrong)?;
    let cell = if value.trim() == "none" { "" } else { value.trim() };
    let cell = cell.replace('"', "\"\"");
    // Beside another, so that what is wrong is the cell alone.
    let table = format!(
        "roll,thickness,width,length,{column}\nA,10,1000,10 m,\"{cell}\"\nB,10,1000,10 m,\n"
    );
    let (read, findings) = stock::read_rolls("the option", table.as_bytes());
    let Some(read) = read.and_then(|rolls| rolls.into_iter().next()) else {
        let told = findings.iter().min_by_key(|finding| finding.severity());
        return Err(told.map_or_else(
            || (format!("{} is not understood", quoted(value)), String::new()),
            |finding| (finding.what.clone(), finding.remedy.clone()),
        ));
    };
    match column {
        "available" => (roll.available, roll.offered) = (read.available, read.offered),
        "breaks" => roll.terms.breaks = read.terms.breaks,
        "minimum" => roll.terms.minimum = read.terms.minimum,
        "courses" => roll.courses = read.courses,
        _ => roll.terms.per_pallet = read.terms.per_pallet,
    }
    Ok(())
}

fn money(value: &str) -> Result<Money, Wrong> {
    let remedy = || "write a plain number of 0 or more, such as 310.50".to_owned();
    match Money::parse(value) {
        Ok(money) if money >= Money::ZERO => Ok(money),
        Ok(_) => Err((format!("{} is negative", quoted(value)), remedy())),
        Err(error) => Err((format!("{} is not an amount: {error}", quoted(value)), remedy())),
    }
}

/// Another build for all items of one build.
fn build(setup: &mut Setup, old: &str, value: &str) -> Result<(), Wrong> {
    let (old, new) = (layers(old)?, layers(value)?);
    let mut any = false;
    for item in setup.takeoff.items.iter_mut().filter(|item| item.build == old) {
        item.build = new.clone();
        any = true;
    }
    any.then_some(()).ok_or_else(|| {
        let mut builds: Vec<String> =
            setup.takeoff.items.iter().map(|item| item.build.to_string()).collect();
        builds.sort();
        builds.dedup();
        let remedy = format!("write one of the takeoff's: {}", builds.join(", "));
        (format!("no item has the build {}", quoted(&old.to_string())), remedy)
    })
}

fn layers(text: &str) -> Result<Build, Wrong> {
    Build::parse(text).map_err(|error| (error.what(text), error.remedy()))
}

fn shelf(setup: &mut Setup, value: &str) -> Result<(), Wrong> {
    match value.trim() {
        "none" => setup.stock.offcuts.clear(),
        "all" => {}
        other => {
            let what = format!("{} is neither none nor all", quoted(other));
            return Err((what, "write `shelf = none` or `shelf = all`".to_owned()));
        }
    }
    Ok(())
}

fn rate(setup: &mut Setup, (section, name): (&str, &str), value: &str) -> Result<(), Wrong> {
    let at = KEYS.iter().position(|key| key.section == section && key.name == name);
    let at = at.ok_or_else(|| {
        let names: Vec<String> =
            KEYS.iter().map(|key| format!("{}.{}", key.section, key.name)).collect();
        let typed = format!("{section}.{name}");
        let remedy = nearest_or(
            &typed,
            names.iter().map(String::as_str),
            format!("use {}", names.join(", ")),
        );
        (format!("there is no rate {}", quoted(&typed)), remedy)
    })?;
    setup.rates.amounts[at] = crate::cost::Rate { each: money(value)?, placeholder: false };
    Ok(())
}

/// Asks for the lowest price.
pub(super) fn cheapest(setup: &mut Setup) {
    setup.rules.order.objective = Objective::Price;
}

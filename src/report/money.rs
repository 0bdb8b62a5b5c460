//! Tables of what a job costs.

use super::proof::of_thickness;
use super::table::{Cell, Table};
use super::waste::{in_steps, per_cent};
use crate::cost::lift::Basis;
use crate::cost::rates::{KEYS, Kind};
use crate::cost::share::{NestShare, Over, PARTS};
use crate::cost::waste::{NestWaste, Part};
use crate::cost::{Amount, Bought, Cost, Group, Labour};
use crate::cutting::Objective;
use crate::plan::Plan;
use crate::units::{Area, Length, Money};

fn thickness(plan: &Plan, nest: usize) -> Cell {
    let thickness = plan.nests.get(nest).and_then(|nest| nest.thickness);
    thickness.map_or(Cell::Empty, Cell::Millimetres)
}

/// Why more is bought than is needed, in words.
const fn why_in_words(line: &Bought) -> &'static str {
    match line.why {
        _ if line.more == 0 => "",
        crate::cost::buy::Why::Needed => "",
        crate::cost::buy::Why::Minimum => "minimum order",
        crate::cost::buy::Why::Break => "price break",
    }
}

/// What is bought.
#[must_use]
pub fn purchase(plan: &Plan, cost: &Cost) -> Table {
    let mut table = Table::new(&[
        "thickness mm",
        "roll",
        "width mm",
        "length mm",
        "cut",
        "spare",
        "more",
        "why more",
        "bought",
        "price each",
        "price",
        "pallets",
        "freight",
    ]);
    for line in &cost.purchase.lines {
        table.push(vec![
            thickness(plan, line.nest),
            Cell::text(&line.roll),
            Cell::Millimetres(line.width),
            Cell::Millimetres(line.length),
            Cell::Count(line.cut),
            Cell::Count(line.spare),
            Cell::Count(line.more),
            Cell::text(why_in_words(line)),
            Cell::Count(line.count()),
            line.each.map_or(Cell::Empty, Cell::Money),
            Cell::Money(line.price),
            Cell::Count(line.pallets),
            Cell::Money(line.freight),
        ]);
    }
    table
}

/// A labour rate's meaning and unit.
const fn work(kind: Kind) -> (&'static str, &'static str) {
    match kind {
        Kind::CutMetre => ("cutting", "m"),
        Kind::CutPiece => ("handling at the table", "pieces"),
        Kind::WrapPiece => ("wrapping", "pieces"),
        Kind::Tie => ("ties", "ties"),
        Kind::Pallet => ("freight", "pallets"),
    }
}

fn amount(line: &Labour) -> String {
    match line.kind {
        Kind::CutMetre => Length::from_mm(i64::try_from(line.quantity).unwrap_or(0)).metres(3),
        _ => line.quantity.to_string(),
    }
}

/// Labour.
#[must_use]
pub fn labour(cost: &Cost) -> Table {
    let mut table = Table::new(&["what", "quantity", "unit", "rate", "rate is", "money"]);
    for line in &cost.labour {
        let (what, unit) = work(line.kind);
        table.push(vec![
            Cell::text(what),
            Cell::Number(amount(line)),
            Cell::text(unit),
            Cell::Rate(line.each),
            Cell::text(if line.placeholder { "a placeholder" } else { "given" }),
            Cell::Money(line.money),
        ]);
    }
    table
}

/// The whole price, part by part; the last row is the sum of those before it.
#[must_use]
pub fn totals(cost: &Cost) -> Table {
    let mut table = Table::new(&["what", "money", "%"]);
    let all = cost.total;
    let mut row = |what: &str, money: Money| {
        let part = money.units_f64() / all.units_f64().max(f64::MIN_POSITIVE) * 100.0;
        table.push(vec![Cell::text(what), Cell::Money(money), Cell::Number(format!("{part:.2}"))]);
    };
    row("rolls", cost.purchase.rolls());
    row("freight", cost.purchase.freight());
    for line in &cost.labour {
        row(work(line.kind).0, line.money);
    }
    row("everything", all);
    table
}

/// Two decimals of a ratio; nothing where there is none.
fn ratio(value: f64) -> Cell {
    if value > 0.0 && value.is_finite() { Cell::Number(format!("{value:.2}")) } else { Cell::Empty }
}

/// Items, or groups of them, with what they take and cost, areas in steps of so many square nanometres; the last row is
/// the sum.
#[must_use]
pub fn groups(heading: &'static str, groups: &[Group], step: i128) -> Table {
    let mut all = Group { name: "all".to_owned(), ..Group::default() };
    for group in groups {
        all.join(group);
    }
    // Of different things together there is no price of one.
    (all.others, all.pipe) = (0, 0);
    // As they are shown, areas add up.
    let (all_plain, plain) = in_steps(all.plain, groups.iter().map(|group| group.plain), step);
    let (all_taken, taken) = in_steps(all.taken, groups.iter().map(|group| group.taken), step);
    let shown = plain.into_iter().zip(taken).map(|(plain, taken)| [plain, taken]);
    each(heading, groups.iter().zip(shown).chain([(&all, [all_plain, all_taken])]))
}

/// The same without the sum, for other programs, with the currency.
#[must_use]
pub fn groups_alone(heading: &'static str, groups: &[Group], currency: &str) -> Table {
    each(heading, groups.iter().map(as_it_is)).with(super::lists::CURRENCY, currency)
}

/// Headings of groups that are all of one kind, so that there is a price of one.
const LIKE: [&str; 2] = ["item", "kind and size"];

/// The headings of how much there is, and what one or a metre costs.
const OF_ONE: [&str; 3] = ["quantity", "unit", "everything, one or 1 m"];

/// Nanometres as metres, all of them, so that who divides by it comes to what one costs: two decimals at least.
fn metres(nm: i128) -> String {
    let text = format!("{}.{:09}", nm / 1_000_000_000, nm % 1_000_000_000);
    let (shown, finer) = text.split_at(text.len() - 7);
    format!("{shown}{}", finer.trim_end_matches('0'))
}

/// How much of a group there is, and what one of it or a metre costs; empty where it has no one unit.
fn of_one(group: &Group) -> [Cell; 3] {
    let money = group.of_one().map_or(Cell::Empty, Cell::Money);
    match group.amount() {
        Some(Amount::Pipe(pipe)) => [Cell::Number(metres(pipe)), Cell::text("m"), money],
        Some(Amount::Each(count)) => [Cell::Count(count), Cell::text("each"), money],
        None => [Cell::Empty, Cell::Empty, Cell::Empty],
    }
}

/// A group with its plain area and what it takes, as they are to stand in its row.
type WithAreas<'g> = (&'g Group, [Area; 2]);

/// With the areas as they are.
const fn as_it_is(group: &Group) -> WithAreas<'_> {
    (group, [group.plain, group.taken])
}

/// Items, or groups of them, a row each.
fn each<'g>(heading: &'static str, groups: impl IntoIterator<Item = WithAreas<'g>>) -> Table {
    let mut headings = vec![
        heading,
        "pieces",
        "plain area m2",
        "taken of the rolls m2",
        "times",
        "blanket",
        "whole rolls and spares",
        "freight",
        "cutting",
        "wrapping",
        "everything",
    ];
    let like = LIKE.contains(&heading);
    if like {
        headings.extend(OF_ONE);
    }
    let mut table = Table::new(&headings);
    for (group, [plain, taken]) in groups {
        let amounts = &group.amounts;
        let mut row = vec![
            Cell::text(if group.name.is_empty() { "(none given)" } else { &group.name }),
            Cell::Count(group.pieces),
            Cell::SquareMetres(plain),
            Cell::SquareMetres(taken),
            ratio(group.times()),
            Cell::Money(amounts.blanket),
            Cell::Money(amounts.rounding),
            Cell::Money(amounts.freight),
            Cell::Money(amounts.cutting),
            Cell::Money(amounts.wrapping),
            Cell::Money(amounts.total()),
        ];
        if like {
            row.extend(of_one(group));
        }
        table.push(row);
    }
    table
}

/// What a price leaves out of a plan that goes on from another; nothing of any other.
#[must_use]
pub fn going_on(plan: &Plan) -> Option<String> {
    let already = plan.already.as_ref()?;
    let cut = already.pieces_in_hand();
    let pieces =
        if cut == 1 { "1 piece that is".to_owned() } else { format!("{cut} pieces that are") };
    Some(format!(
        "This is the price of what is left to do: {pieces} cut already, wrapping them too, and rolls and \
         offcuts on hand that were paid before are not in it."
    ))
}

/// Of a price in which no rolls are bought.
pub const NOTHING_BOUGHT: &str = "Nothing is bought: all pieces come from what is there already, which counts for nothing, \
     so no item takes anything of rolls, and all that it costs is work.";

/// How each thickness is shared: what items take, what the shelf saves, the rounding to whole rolls.
#[must_use]
pub fn shares(plan: &Plan, cost: &Cost) -> Table {
    let mut table = Table::new(&[
        "thickness mm",
        "unit",
        "taken by all items",
        "saved by the shelf",
        "rounding to whole rolls",
        "whole rolls",
        "programme",
    ]);
    for (nest, share) in cost.shares.iter().enumerate() {
        // Six decimals, the rounding taking what the others leave, so that the row adds up.
        let step = PARTS / 1_000_000;
        let [taken, shelf, whole] =
            [share.linear() + share.shelf, share.shelf, share.value].map(|v| v.div_euclid(step));
        let figure = |millionths: i128| {
            let millionths = i64::try_from(millionths).unwrap_or(i64::MAX);
            Cell::Number(crate::units::Decimal::from_millionths(millionths).to_string())
        };
        table.push(vec![
            thickness(plan, nest),
            Cell::text(match share.objective {
                Objective::Rolls => "rolls",
                Objective::Price => "money",
                Objective::Length => "length",
            }),
            figure(taken),
            figure(-shelf),
            figure(whole - taken + shelf),
            figure(whole),
            Cell::text(match share.over {
                Over::All => "over all layouts",
                Over::Found => "over layouts that a search finds",
                Over::Known => "cut short",
            }),
        ]);
    }
    table
}

/// Where shares are not the programme's prices as they are, why: a sentence for each such thickness, and one where
/// something takes less than its plain area.
#[must_use]
pub fn bases(plan: &Plan, cost: &Cost) -> Vec<String> {
    let words = |(nest, share): (usize, &NestShare)| {
        let words = match share.basis {
            Basis::Prices => return None,
            Basis::Lifted => {
                "pieces priced below their plain area are charged that area, and the others so much \
                 less."
            }
            Basis::Blended => {
                "the programme's prices tell little here, as some are far below the pieces' plain area: each \
                 piece is charged that area, and what is left is shared partly by the prices and partly by area."
            }
            Basis::Area => {
                "the programme's prices tell next to nothing here, as some are far below the pieces' \
                 plain area, so the rolls are shared by area."
            }
        };
        let thickness = plan.nests.get(nest).and_then(|nest| nest.thickness);
        Some(of_thickness(thickness) + words)
    };
    let below = cost.sizes.iter().any(below_its_area).then(|| BELOW.to_owned());
    cost.shares.iter().enumerate().filter_map(words).chain(below).collect()
}

/// Why something takes less than its plain area, where anything does.
const BELOW: &str = "Where `times` is below 1 or empty, pieces come from what is there already: they count in the plain area, and \
     of what the shelf gives nothing is charged.";

/// Whether a group takes less of the rolls than its plain area, as it is shown: all or some of it is not bought.
#[must_use]
pub fn below_its_area(group: &Group) -> bool {
    group.plain > Area::ZERO && group.times() < 0.995
}

/// Where the blanket goes: by place, then by reason.
#[must_use]
pub fn waste(cost: &Cost) -> Table {
    waste_of(&cost.waste, MM2)
}

/// [`waste`] for people: areas add up in steps of so many square nanometres, as they are shown.
#[must_use]
pub fn waste_shown(cost: &Cost, step: i128) -> Table {
    waste_of(&cost.waste, step)
}

fn waste_of(nests: &[NestWaste], step: i128) -> Table {
    let mut table = Table::new(&[
        "thickness mm",
        "told apart by",
        "what",
        "area m2",
        "% of the rolls",
        "money",
    ]);
    for nest in nests {
        let mut row = |by: &'static str, what: &str, (shown, area): (Area, Area), money: Money| {
            table.push(vec![
                nest.thickness.map_or(Cell::Empty, Cell::Millimetres),
                Cell::text(by),
                Cell::text(what),
                Cell::SquareMetres(shown),
                Cell::Number(per_cent(area, nest.rolls)),
                Cell::Money(money),
            ]);
        };
        // As they are shown, areas add up; the reasons to all parts but the first. Shares are rounded each by itself,
        // as wherever else they stand beside other parts.
        let areas = |parts: &[Part]| parts.iter().map(|part| part.area).collect::<Vec<Area>>();
        let (all, shown) = in_steps(nest.rolls, areas(&nest.parts), step);
        let lost = shown.iter().copied().skip(1).sum();
        for (part, shown) in nest.parts.iter().zip(shown) {
            row("place", part.what, (shown, part.area), part.money);
        }
        row("place", "all rolls", (all, nest.rolls), nest.money);
        let (_, reasons) = in_steps(lost, areas(&nest.reasons), step);
        for (part, shown) in nest.reasons.iter().zip(reasons) {
            row("reason", part.what, (shown, part.area), part.money);
        }
    }
    table
}

/// Square nanometres of a square millimetre, the finest that an area is shown to.
const MM2: i128 = 1_000_000_000_000;

/// Rolls, freight and labour line by line; the money adds up to the price.
#[must_use]
pub fn whole(plan: &Plan, cost: &Cost) -> Table {
    let mut table = Table::new(&["what", "thickness mm", "quantity", "unit", "each", "money"]);
    let open = if cost.freight_open { " (no rate given)" } else { "" };
    for line in &cost.purchase.lines {
        table.push(vec![
            Cell::text(&line.roll),
            thickness(plan, line.nest),
            Cell::Count(line.count()),
            Cell::text("rolls"),
            line.each.map_or(Cell::Empty, Cell::Money),
            Cell::Money(line.price),
        ]);
        if line.pallets > 0 {
            table.push(vec![
                Cell::Text(format!("freight of {}{open}", line.roll)),
                thickness(plan, line.nest),
                Cell::Count(line.pallets),
                Cell::text("pallets"),
                Cell::Empty,
                Cell::Money(line.freight),
            ]);
        }
    }
    for line in &cost.labour {
        let (what, unit) = work(line.kind);
        let what = if line.placeholder { format!("{what} (placeholder)") } else { what.to_owned() };
        table.push(vec![
            Cell::Text(what),
            Cell::Empty,
            Cell::Number(amount(line)),
            Cell::text(unit),
            Cell::Rate(line.each),
            Cell::Money(line.money),
        ]);
    }
    table
}

/// Everything as one list for other programs: what, name, and the amounts.
#[must_use]
pub fn everything(cost: &Cost) -> Table {
    let mut headings = vec![
        "by",
        "name",
        "pieces",
        "plain area m2",
        "taken of the rolls m2",
        "blanket",
        "whole rolls and spares",
        "freight",
        "cutting",
        "wrapping",
        "everything",
    ];
    headings.extend(OF_ONE);
    let mut table = Table::new(&headings);
    let sets = [
        ("area", &cost.areas),
        ("line", &cost.lines),
        ("kind", &cost.kinds),
        ("kind and size", &cost.sizes),
        ("item", &cost.items),
    ];
    for (by, set) in sets {
        for group in set {
            let amounts = &group.amounts;
            let mut row = vec![
                Cell::text(by),
                Cell::text(&group.name),
                Cell::Count(group.pieces),
                Cell::SquareMetres(group.plain),
                Cell::SquareMetres(group.taken),
                Cell::Money(amounts.blanket),
                Cell::Money(amounts.rounding),
                Cell::Money(amounts.freight),
                Cell::Money(amounts.cutting),
                Cell::Money(amounts.wrapping),
                Cell::Money(amounts.total()),
            ];
            row.extend(if LIKE.contains(&by) { of_one(group) } else { [const { Cell::Empty }; 3] });
            table.push(row);
        }
    }
    table
}

/// Which currency, in words for a heading.
#[must_use]
pub fn currency(word: &str) -> String {
    if word.is_empty() { "in the job's currency".to_owned() } else { format!("in {word}") }
}

/// The rates' keys with their placeholders, for people.
#[must_use]
pub fn rates() -> Table {
    let mut table = Table::new(&["section", "key", "placeholder", "meaning"]);
    for key in &KEYS {
        table.push(vec![
            Cell::text(key.section),
            Cell::text(key.name),
            Cell::Money(key.placeholder),
            Cell::text(key.meaning),
        ]);
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_in_metres_is_told_as_it_is() {
        let told = [1_265_000_000, 52_000_000_000, 2_500_000_000, 30_480_001, 0].map(metres);
        assert_eq!(told, ["1.265", "52.00", "2.50", "0.030480001", "0.00"]);
    }

    /// Three thirds are 33.33 each, here as in the chart above the table; spread to add up to 100.00 one of them would be
    /// 33.34.
    #[test]
    fn a_share_is_the_same_here_as_wherever_else_it_stands() {
        let part = |what, mm2: i128| Part {
            what,
            area: Area::from_nm2(mm2 * MM2),
            money: Money::from_units(1),
        };
        let nest = NestWaste {
            thickness: None,
            rolls: Area::from_nm2(3_000_000 * MM2),
            money: Money::from_units(3),
            parts: ["pieces wanted", "edge trims", "offcuts kept"]
                .map(|w| part(w, 1_000_000))
                .into(),
            reasons: vec![part("unavoidable: the shapes", 2_000_000)],
        };
        let table = waste_of(std::slice::from_ref(&nest), MM2);
        let shown: Vec<String> = table.rows.iter().map(|row| row[4].plain()).collect();
        assert_eq!(shown, ["33.33", "33.33", "33.33", "100.00", "66.67"]);
        for (row, part) in table.rows.iter().zip(&nest.parts) {
            assert_eq!(row[4].plain(), per_cent(part.area, nest.rolls));
        }
    }

    /// By hand: of 100 square metres 60 are pieces, so the reasons for all else come to 40, as the places do.
    #[test]
    fn reasons_come_to_what_is_no_piece() {
        let part = |what, m2: i128| Part {
            what,
            area: Area::from_nm2(m2 * 1_000_000 * MM2),
            money: Money::ZERO,
        };
        let nest = NestWaste {
            thickness: None,
            rolls: part("", 100).area,
            money: Money::ZERO,
            parts: vec![part("pieces wanted", 60), part("edge trims", 40)],
            reasons: vec![part("unavoidable: the shapes", 30), part("avoidable at most", 10)],
        };
        let table = waste_of(&[nest], MM2);
        let areas: Vec<&Cell> = table.rows.iter().map(|row| &row[3]).collect();
        let shown = [60, 40, 100, 30, 10].map(|m2| Cell::SquareMetres(part("", m2).area));
        assert_eq!(areas, shown.iter().collect::<Vec<_>>());
    }

    #[test]
    fn what_takes_less_than_its_area_by_a_hundredth_is_below_it() {
        let mm2 = |mm2: i128| Area::from_nm2(mm2 * MM2);
        let group = |taken| Group { plain: mm2(1000), taken: mm2(taken), ..Group::default() };
        assert!(below_its_area(&group(994)) && !below_its_area(&group(996)));
        assert!(!below_its_area(&Group::default()), "what has no area takes none");
    }

    /// Two valves and one flange together have no price of one.
    #[test]
    fn all_together_have_no_price_of_one() {
        let group = |others| Group { others, pieces: 1, ..Group::default() };
        let table = groups("item", &[group(2), group(1)], MM2);
        let quantities: Vec<&Cell> = table.rows.iter().map(|row| &row[11]).collect();
        assert_eq!(quantities, [&Cell::Count(2), &Cell::Count(1), &Cell::Empty]);
    }
}

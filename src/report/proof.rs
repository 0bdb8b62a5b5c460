//! Why fewer will not do, in plain words.

use super::pieces::area_of;
use super::sources::Sources;
use super::text::visible;
use super::words::capital;
use crate::cost::rates::Kind;
use crate::cutting::{Objective, Style};
use crate::nest::{Basis, Status};
use crate::plan::{CutFrom, Nest, Plan, Roll};
use crate::units::{Area, Decimal, Length, Money, joined};
use std::fmt::Write as _;

pub use crate::units::counted;

/// Rolls that are bought, and what is there already: `13 rolls, 2 whole rolls on hand and 4 offcuts`.
#[must_use]
pub fn rolls_and_offcuts(from: CutFrom) -> String {
    let CutFrom { bought, whole, offcuts } = from;
    let mut parts = Vec::new();
    if bought > 0 || (whole, offcuts) == (0, 0) {
        parts.push(counted(bought, "roll", "rolls"));
    }
    if whole > 0 {
        parts.push(counted(whole, "whole roll on hand", "whole rolls on hand"));
    }
    if offcuts > 0 {
        parts.push(counted(offcuts, "offcut", "offcuts"));
    }
    joined(&parts)
}

/// How many a layout is cut from: `2 rolls`, or `1 offcut` where they are no whole ones.
#[must_use]
pub fn cut_from(plan: &Plan, roll: &Roll) -> String {
    if roll.shelf && plan.whole(&roll.roll).is_none() {
        counted(roll.copies, "offcut", "offcuts")
    } else {
        counted(roll.copies, "roll", "rolls")
    }
}

/// A nest's value or bound in words: `5 rolls`, `a list price of 1550.00`, `2140.5 mm`. Prices are those of
/// the rolls that are cut, one by one, without what the supplier asks beside.
#[must_use]
pub fn amount(objective: Objective, value: Decimal) -> String {
    match objective {
        Objective::Rolls => {
            let rolls = value.millionths() / 1_000_000;
            counted(u64::try_from(rolls).unwrap_or(0), "roll", "rolls")
        }
        Objective::Price => {
            format!("a list price of {}", Money::from_micros(value.millionths()).exact())
        }
        Objective::Length => format!("{value} mm"),
    }
}

const fn basis_in_words(basis: Basis) -> &'static str {
    match basis {
        Basis::Area => "the area that the pieces take",
        Basis::DualFeasible => "a weighing of the pieces (dual feasible functions)",
        Basis::Lines => "what any line across a roll can meet",
        Basis::LinearProgramme => "the linear bound over all layouts",
        Basis::Search => "an exhaustive search",
    }
}

/// The cutting style for which a bound holds, in words.
#[must_use]
pub fn style_in_words(nest: &Nest) -> String {
    match (nest.style, nest.stages) {
        (Style::Free, _) => "any layout that a knife can follow".to_owned(),
        (Style::Straight, None) => "straight cuts edge to edge".to_owned(),
        (Style::Straight, Some(stages)) => format!("straight cuts edge to edge in {stages} stages"),
    }
}

/// How far the value lies above the bound, in per cent of the bound to the nearest tenth: `33.3`; `less than 0.1` where
/// that would be none. `None` where there is no gap or nothing to compare.
#[must_use]
pub fn gap_per_cent(value: Decimal, bound: Decimal) -> Option<String> {
    let (value, bound) = (i128::from(value.millionths()), i128::from(bound.millionths()));
    if bound <= 0 || value <= bound {
        return None;
    }
    let tenths = ((value - bound) * 2000 + bound) / (bound * 2);
    Some(match tenths {
        0 => "less than 0.1".to_owned(),
        _ => format!("{}.{}", tenths / 10, tenths % 10),
    })
}

/// What the pieces alone fill.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Filled {
    words: String,
    /// Whether it is more than the rolls that are not ruled out: those are then other rolls than the ones that are cut.
    beyond: bool,
    /// Whether that alone is more than one roll less could hold, however it was cut.
    rules_out: bool,
}

/// The proof of one nest in a sentence or two, without a full stop at the end; `filled` is what the pieces
/// alone fill, `beside` what is paid beside list prices.
#[must_use]
fn proof(nest: &Nest, filled: Option<&Filled>, beside: &[&str]) -> String {
    let by_paid = nest.objective == Objective::Price && !beside.is_empty();
    let mut text = plain_proof(nest, filled, by_paid);
    if by_paid {
        let what = joined(beside);
        let one = beside.len() == 1 && !what.ends_with('s');
        let (are, them) = if one { ("is", "it") } else { ("are", "them") };
        let _ = write!(
            text,
            ". {} {are} not in that: the order is chosen by what is paid with {them}, and `rollwright price \
             JOB --order` says what is proven of it",
            capital(&what)
        );
    }
    text
}

/// [`proof`] without what is paid beside list prices; that is what counts, if `by_paid`.
fn plain_proof(nest: &Nest, filled: Option<&Filled>, by_paid: bool) -> String {
    let value = match nest.objective {
        Objective::Price => {
            format!("{} for the rolls that are cut", amount(nest.objective, nest.value))
        }
        _ => amount(nest.objective, nest.value),
    };
    let basis = basis_in_words(nest.basis);
    let style = style_in_words(nest);
    let mut text = match nest.status {
        Status::Proven => {
            let fewer = nest.value.millionths() / 1_000_000 - 1;
            match nest.objective {
                // What a calculator tells comes before what must be believed.
                Objective::Rolls if fewer >= 1 && filled.is_some_and(|filled| filled.rules_out) => {
                    format!("{value}, proven; {fewer} cannot hold it, however it is cut")
                }
                Objective::Rolls if fewer >= 1 => {
                    format!(
                        "{value}, proven; {fewer} cannot hold it: {basis} rules it out for {style}"
                    )
                }
                Objective::Rolls if nest.value.millionths() == 0 => {
                    "nothing is to be bought".to_owned()
                }
                Objective::Price if nest.value.millionths() == 0 => {
                    "nothing is to be paid for rolls".to_owned()
                }
                Objective::Rolls => format!("{value}, proven: some roll is needed"),
                Objective::Price => format!(
                    "{value}, proven; no rolls of a lower one hold the pieces: {basis} says so for {style}"
                ),
                Objective::Length => format!(
                    "{value}, proven; nothing less is possible: {basis} says so for {style}"
                ),
            }
        }
        Status::Feasible | Status::Stopped => {
            let why = if nest.status == Status::Stopped {
                "stopped early"
            } else if by_paid {
                "what is paid counts, and not this"
            } else {
                "the search ended without a proof; a longer one may find one"
            };
            if nest.bound <= Decimal::ZERO {
                format!(
                    "{value}, not proven to be the least ({why}): that less will do for {style} is not \
                     ruled out"
                )
            } else {
                let gap = gap_per_cent(nest.value, nest.bound)
                    .map_or_else(String::new, |gap| format!("; this plan lies {gap} % above that"));
                format!(
                    "{value}, not proven to be the least ({why}): {basis} leaves no plan for {style} \
                     below {}{gap}",
                    amount(nest.objective, nest.bound)
                )
            }
        }
    };
    if let Some(Filled { words, rules_out, .. }) = filled {
        text.push_str(if *rules_out { ": " } else { "; " });
        text.push_str(words);
    }
    text
}

/// How to look longer for what a search left open, on the command line; nothing where none did.
#[must_use]
pub fn longer(plan: &Plan, sources: &Sources<'_>) -> Option<String> {
    let open = |nest: &Nest| {
        let by_paid = nest.objective == Objective::Price && !beside(nest, sources).is_empty();
        nest.status == Status::Feasible && !by_paid && together(plan, nest).is_none()
    };
    let work = plan.program.limits.work.saturating_mul(6);
    plan.nests.iter().any(open).then(|| {
        format!(
            "A longer search may prove the order, or find a better one: with --work {work} it may look up to \
             six times as long."
        )
    })
}

/// The nest's thickness in words; a bare instance has none.
#[must_use]
pub fn thickness_in_words(nest: &Nest) -> String {
    nest.thickness.map_or_else(|| "pieces".to_owned(), |t| format!("{t} mm"))
}

/// A thickness before what is told of it, `10 mm: `; nothing of a bare instance.
#[must_use]
pub fn of_thickness(thickness: Option<Length>) -> String {
    thickness.map_or_else(String::new, |t| format!("{t} mm: "))
}

/// [`proof`] for one of a plan's nests, with what a roll gives looked up.
#[must_use]
pub fn proof_of(plan: &Plan, at: usize, sources: &Sources<'_>) -> String {
    let Some(nest) = plan.nests.get(at) else { return String::new() };
    let beside = beside(nest, sources);
    let by_paid = nest.objective == Objective::Price && !beside.is_empty();
    let mut text = together(plan, nest)
        .filter(|_| !by_paid)
        .unwrap_or_else(|| alone(plan, nest, rolls_filled(plan, at, sources).as_ref(), &beside));
    if let Some(narrower) = narrower_that_holds(plan, at, sources) {
        text.push_str(". ");
        text.push_str(&narrower);
    }
    text
}

/// What is proven of a nest by itself. What the pieces fill of the rolls that are cut says nothing where that is more than
/// the rolls that are not ruled out.
fn alone(plan: &Plan, nest: &Nest, filled: Option<&Filled>, beside: &[&str]) -> String {
    whatever_is_made(plan, nest, filled)
        .unwrap_or_else(|| proof(nest, filled.filter(|filled| !filled.beyond), beside))
}

/// Where items may be made of this thickness or of another, the least of it alone is no measure of the plan: what all
/// thicknesses need together is told beside the choice.
fn whatever_is_made(plan: &Plan, nest: &Nest, filled: Option<&Filled>) -> Option<String> {
    // Where nothing was chosen anew, the bound is still one over all that could have been.
    let beyond = filled.is_some_and(|filled| filled.beyond);
    plan.choice.as_ref().filter(|choice| beyond || !choice.things.is_empty())?;
    if nest.status == Status::Proven || nest.objective != Objective::Rolls {
        return None;
    }
    let mut text = format!(
        "{}, not proven to be the least: items may be made of this thickness or of another, so of this one alone only \
         {} sure, whatever is chosen",
        amount(nest.objective, nest.value),
        match nest.bound.millionths() / 1_000_000 {
            1 => "1 roll is".to_owned(),
            _ => format!("{} are", amount(nest.objective, nest.bound)),
        }
    );
    if let Some(filled) = filled {
        text.push_str("; ");
        text.push_str(&filled.words);
    }
    Some(text)
}

/// Names a narrower product of which fewer rolls have room enough, by area: what is proven holds for courses as
/// wide as the widest roll that they are laid out for.
fn narrower_that_holds(plan: &Plan, at: usize, sources: &Sources<'_>) -> Option<String> {
    let nest = plan.nests.get(at).filter(|nest| nest.objective == Objective::Rolls)?;
    let laid: Vec<&crate::stock::Roll> = sources.laid_out_for(nest).collect();
    let widest = laid.iter().map(|roll| roll.width).max()?;
    let cut = plan.rolls.iter().filter(|roll| roll.nest == at);
    let (shelf, bought): (Vec<&Roll>, Vec<&Roll>) = cut.partition(|roll| roll.shelf);
    let area = |roll: &&Roll| {
        roll.length.map(|length| Area::of_rectangle(roll.width, length) * i128::from(roll.copies))
    };
    let from_shelf: Area = shelf.iter().filter_map(area).sum();
    let pieces = pieces_of(plan, at) - from_shelf;
    let rolls: u64 = bought.iter().map(|roll| roll.copies).sum();
    let least = |roll: &crate::stock::Roll| {
        let one = usable(roll.width, roll.length, sources).nm2();
        let least = (one > 0).then(|| (pieces.nm2() + one - 1).div_euclid(one).max(1))?;
        let had = roll.available.unwrap_or(u64::MAX);
        u64::try_from(least).ok().filter(|least| *least < rolls && *least <= had)
    };
    let narrow = laid.iter().filter(|roll| roll.width < widest);
    let narrow = narrow.filter(|roll| takes_all(plan, at, roll, sources));
    let (least, roll) =
        narrow.filter_map(|roll| Some((least(roll)?, roll))).min_by_key(|(n, _)| *n)?;
    let names: Vec<String> =
        laid.iter().filter(|wide| wide.width > roll.width).map(|wide| visible(&wide.id)).collect();
    Some(format!(
        "This is for courses as wide as {widest} mm, the widest roll that they are laid out for. Laid out for a narrower one the job may \
         take fewer rolls: by area {least} of {} would hold it; to try it, write no as `courses` of {} in rolls.csv, \
         and plan again",
        visible(&roll.id),
        joined(&names),
    ))
}

/// Whether a roll takes all pieces of a nest but courses, which would be laid out for it.
fn takes_all(plan: &Plan, at: usize, roll: &crate::stock::Roll, sources: &Sources<'_>) -> bool {
    let takes = |across, along| roll.takes((across, along), &sources.rules.table);
    plan.pieces.iter().filter(|piece| piece.nest == at).all(|piece| {
        piece.uses.iter().all(|used| used.part.contains("course"))
            || piece.turns.fit((piece.width, piece.length), takes)
    })
}

/// The own area of a nest's pieces: curved ones share blanks even where cuts are straight.
fn pieces_of(plan: &Plan, at: usize) -> Area {
    let of = plan.pieces.iter().filter(|piece| piece.nest == at);
    of.map(|piece| area_of(piece) * i128::from(piece.quantity)).sum()
}

/// What is proven of a thickness that is not proven by itself, where layers may be of either and all thicknesses
/// together are; nothing else.
fn together(plan: &Plan, nest: &Nest) -> Option<String> {
    plan.choice.as_ref()?.bound?;
    (plan.status == Status::Proven && nest.status != Status::Proven).then(|| {
        format!(
            "{}, proven together with what else is bought: all thicknesses need at least {}, whatever is chosen, \
             and no less is ordered; of one thickness alone less may do where more of another is bought",
            amount(nest.objective, nest.value),
            amount(nest.objective, plan.bound)
        )
    })
}

/// What is asked for a thickness beside list prices, or takes off them.
fn beside(nest: &Nest, sources: &Sources<'_>) -> Vec<&'static str> {
    let rolls = || sources.rolls.iter().filter(|roll| Some(roll.thickness) == nest.thickness);
    let pallet = sources.extras.rates.map(|rates| rates.of(Kind::Pallet).each);
    let freight = rolls().any(|roll| roll.terms.per_pallet.is_some());
    let all = [
        ("minimum orders", rolls().any(|roll| roll.terms.minimum > 1)),
        ("price breaks", rolls().any(|roll| !roll.terms.breaks.is_empty())),
        ("spares", sources.rules.order.spare_rolls > 0),
        ("freight", freight && pallet.is_none_or(|each| each > Money::ZERO)),
    ];
    all.into_iter().filter(|(_, asked)| *asked).map(|(what, _)| what).collect()
}

/// How many rolls the pieces would fill if nothing were lost but square cuts and edge trims, where
/// all rolls that are bought are of one size: what stands on a purchaser's own calculator.
fn rolls_filled(plan: &Plan, at: usize, sources: &Sources<'_>) -> Option<Filled> {
    let nest = plan.nests.get(at)?;
    if nest.objective != Objective::Rolls {
        return None;
    }
    let (mut shelf, mut one) = (Area::ZERO, None);
    for roll in plan.rolls.iter().filter(|r| r.nest == at) {
        let area = usable(roll.width, roll.length?, sources);
        let area = Some(area).filter(|area| *area > Area::ZERO)?;
        if roll.shelf {
            shelf += area * i128::from(roll.copies);
        } else if *one.get_or_insert(area) != area {
            return None;
        }
    }
    let one = one?;
    let pieces = pieces_of(plan, at);
    let fewer = i128::from(nest.value.millionths() / 1_000_000 - 1);
    let all = whole_shelf(plan, nest, one, sources).filter(|all| pieces > *all + one * fewer);
    let rules_out = nest.status == Status::Proven && fewer >= 1 && all.is_some();
    let shelf = all.filter(|_| rules_out).unwrap_or(shelf);
    let hundredths = (pieces - shelf).nm2() * 100 / one.nm2();
    if hundredths < 0 {
        return None;
    }
    let less = match (shelf == Area::ZERO, rules_out) {
        (true, _) => "",
        (false, true) => ", less all that the shelf holds,",
        (false, false) => ", less what the shelf gives,",
    };
    let rolls = format!("{}.{:02}", hundredths / 100, hundredths % 100);
    // Cut off after two decimals it would be what is said not to do.
    let more = if rules_out && hundredths == fewer * 100 { "a little more than " } else { "" };
    let words = format!("the pieces alone{less} fill {more}{rolls} rolls");
    let beyond = hundredths > i128::from(nest.bound.millionths()) / 10_000;
    Some(Filled { words, beyond, rules_out })
}

/// What square cut and edge trims leave of a roll or offcut.
fn usable(width: Length, length: Length, sources: &Sources<'_>) -> Area {
    let table = &sources.rules.table;
    let (width, length) = (width - table.edge_trim - table.edge_trim, length - table.square_cut);
    if width.is_positive() && length.is_positive() {
        Area::of_rectangle(width, length)
    } else {
        Area::ZERO
    }
}

/// All that lies on the shelf in a thickness, where areas alone may rule rolls out: nothing else is on hand, no
/// pieces could have been chosen otherwise, and no product on offer has more area than this.
fn whole_shelf(plan: &Plan, nest: &Nest, one: Area, sources: &Sources<'_>) -> Option<Area> {
    let thickness = nest.thickness?;
    let offered = |roll: &&crate::stock::Roll| roll.thickness == thickness && roll.offered;
    let mut offered = sources.rolls.iter().filter(offered);
    let alone = plan.already.is_none() && plan.choice.is_none();
    let largest = offered.all(|roll| usable(roll.width, roll.length, sources) <= one);
    let shelf = sources.offcuts.iter().filter(|offcut| offcut.thickness == thickness);
    let all = |offcut: &crate::stock::Offcut| {
        usable(offcut.width, offcut.length, sources) * i128::from(offcut.quantity)
    };
    (alone && largest).then(|| shelf.map(all).sum())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::sample;
    use crate::plan::{Choice, Figures};

    #[test]
    fn what_is_bought_is_not_added_to_what_is_there() {
        let told = [(13, 0, 4), (1, 0, 0), (0, 0, 1), (0, 0, 0), (2, 1, 1), (0, 15, 1)]
            .map(|(bought, whole, offcuts)| rolls_and_offcuts(CutFrom { bought, whole, offcuts }));
        let wanted = [
            "13 rolls and 4 offcuts",
            "1 roll",
            "1 offcut",
            "0 rolls",
            "2 rolls, 1 whole roll on hand and 1 offcut",
            "15 whole rolls on hand and 1 offcut",
        ];
        assert_eq!(told, wanted);
    }

    /// Minimum orders and freight are paid too, so no proof of list prices may pass for one of what is paid.
    #[test]
    fn a_proof_of_prices_says_which_prices() {
        let value = Decimal::from_millionths(266_300_000);
        let nest = &sample::plan(24, 9).nests[0];
        let nest = Nest { objective: Objective::Price, value, bound: value, ..nest.clone() };
        let words = proof(&nest, None, &[]);
        assert!(
            words.starts_with("a list price of 266.30 for the rolls that are cut, proven"),
            "{words}"
        );
        assert!(!words.contains("--order"), "{words}");
        let words = proof(&nest, None, &["minimum orders", "spares", "freight"]);
        assert!(words.contains(". Minimum orders, spares and freight are not in that"), "{words}");
        assert!(words.contains("`rollwright price JOB --order`"), "{words}");
        let words = proof(&nest, None, &["freight"]);
        assert!(words.contains(". Freight is not in that"), "{words}");
        let open = Nest { status: Status::Feasible, bound: Decimal::ONE, ..nest.clone() };
        let words = proof(&open, None, &["freight"]);
        assert!(words.contains("not proven") && !words.contains("a longer one"), "{words}");
        assert!(proof(&open, None, &[]).contains("a longer one may find one"));
        // Where rolls are counted, prices prove nothing.
        let words = proof(&Nest { objective: Objective::Rolls, ..nest }, None, &["freight"]);
        assert!(!words.contains("reight"), "{words}");
    }

    /// Two nests of which one is open by itself, in a plan whose bound over all choices is reached.
    #[test]
    fn what_is_proven_of_all_thicknesses_together_is_told_of_each() {
        let mut plan = sample::plan(24, 9);
        assert_eq!(together(&plan, &plan.nests[1]), None);
        let specified = Figures { nests: Vec::new(), joints: 0, pieces: 0, at_table: None };
        let (things, runs) = (Vec::new(), Vec::new());
        let bound = Some(plan.value);
        plan.choice = Some(Choice {
            specified,
            things,
            bound,
            least: None,
            runs,
            joints: 0,
            again: false,
            stopped: false,
        });
        plan.status = Status::Feasible;
        assert_eq!(together(&plan, &plan.nests[1]), None, "nothing is proven of all");
        plan.bound_together(bound);
        let words = together(&plan, &plan.nests[1]).unwrap_or_default();
        assert!(words.contains("proven together with what else is bought"), "{words}");
        assert!(!words.contains("not proven") && !words.contains("a longer"), "{words}");
        assert_eq!(together(&plan, &plan.nests[0]), None, "proven by itself");
    }

    /// A bound of one roll beside pieces that fill 1.42 of those that are cut contradict each other, unless it is said why.
    #[test]
    fn what_pieces_fill_is_told_where_it_fits_the_bound() {
        let mut plan = sample::plan(24, 9);
        let nest = plan.nests[1].clone();
        assert!(nest.status != Status::Proven && nest.objective == Objective::Rolls);
        let filled = |beyond: bool| {
            let words = "the pieces alone fill 1.42 rolls".to_owned();
            Filled { words, beyond, rules_out: false }
        };
        assert!(alone(&plan, &nest, Some(&filled(false)), &[]).ends_with("fill 1.42 rolls"));
        let told = alone(&plan, &nest, Some(&filled(true)), &[]);
        assert!(told.contains("below 1 roll") && !told.contains("1.42"), "{told}");
        plan.choice = Some(Choice {
            specified: Figures { nests: Vec::new(), joints: 0, pieces: 0, at_table: None },
            things: Vec::new(),
            bound: None,
            least: None,
            runs: Vec::new(),
            joints: 0,
            again: false,
            stopped: false,
        });
        let told = alone(&plan, &nest, Some(&filled(true)), &[]);
        assert!(told.contains("made of this thickness or of another"), "{told}");
        assert!(told.ends_with("fill 1.42 rolls"), "{told}");
    }

    #[test]
    fn a_proof_names_what_cannot_be_and_a_gap_is_never_none() {
        let plan = sample::plan(24, 9);
        let proven = proof(&plan.nests[0], None, &[]);
        let rolls = plan.nests[0].value.millionths() / 1_000_000;
        assert!(rolls > 1);
        assert!(proven.starts_with(&format!("{rolls} rolls, proven; {} cannot", rolls - 1)));
        let open = proof(&plan.nests[1], None, &[]);
        assert!(open.contains("not proven") && open.contains("below 1 roll;"), "{open}");
        let none = proof(&Nest { bound: Decimal::ZERO, ..plan.nests[1].clone() }, None, &[]);
        assert!(none.contains("is not ruled out"), "{none}");
        assert!(!none.contains("below"), "{none}");
        let millionths = Decimal::from_millionths;
        // By hand, in per cent: 4 / 3 33.33, 8 / 7 14.29, 64 / 63 1.587, 66 / 65 1.538, 2001 / 2000 0.05.
        for (value, bound, gap) in [
            (4, 3, "33.3"),
            (8, 7, "14.3"),
            (64, 63, "1.6"),
            (66, 65, "1.5"),
            (2001, 2000, "0.1"),
            (2002, 2001, "less than 0.1"),
            (1_000_001, 1_000_000, "less than 0.1"),
        ] {
            let told = gap_per_cent(millionths(value), millionths(bound));
            assert_eq!(told.as_deref(), Some(gap), "{value} / {bound}");
        }
        assert_eq!(gap_per_cent(Decimal::ONE, Decimal::ONE), None);
        assert_eq!(gap_per_cent(Decimal::ONE, Decimal::ZERO), None);
    }
}

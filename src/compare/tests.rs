//! Tests of comparisons, and of whole prices: random jobs from takeoff to the last cent.

mod orders;

use super::*;
use crate::cost::lift::Basis;
use crate::cost::share::Over;
use crate::cost::{self, Group, Rates, rates};
use crate::demand::Picks;
use crate::finding::Findings;
use crate::finding::codes::cost as codes;
use crate::forecast::uncertainty;
use crate::nest::{Options, Quiet};
use crate::plan;
use crate::rules;
use crate::stock::{self, Stock};
use crate::takeoff;
use crate::units::{Area, Decimal, Length, Money};
use std::collections::BTreeSet;
use std::fmt::Write as _;

const OPTIONS: Options = Options { seed: 1, work: 200_000 };

const TAKEOFF: &str = "item,area,line,kind,size,length,quantity,build,class\n\
    P-1,north,L-1,pipe,NPS 6,31 m,1,10+10,\n\
    P-2,south,L-1,pipe,NPS 4,17300,2,10+10,\n\
    E-1,north,L-1,elbow,NPS 6,,5,10+10,\n\
    E-2,south,L-2,elbow,NPS 10,,3,10+10,\n\
    F-1,south,L-2,flange,NPS 4,,4,10,150\n\
    P-3,,L-2,pipe,NPS 2,22 m,1,5,\n";

const ROLLS: &str = "roll,thickness,width,length,price,currency,breaks,minimum,per_pallet\n\
    B10,10,1500,40 m,742.35,EUR,3: 700.10,2,4\n\
    N10,10,1000,40 m,510.00,EUR,,,4\n\
    B5,5,1500,60 m,596.00,EUR,,,\n";

/// A job from the text of its files.
fn setup(takeoff: &str, rolls: &str, offcuts: &str, rules: &str, rates: &str) -> Setup {
    let (rules, found) = rules::read("rules.toml", rules.as_bytes());
    let rules = rules.unwrap_or_else(|| panic!("{found:?}"));
    let (takeoff, found) = takeoff::read("takeoff.csv", takeoff.as_bytes(), &rules);
    let takeoff = takeoff.unwrap_or_else(|| panic!("{found:?}"));
    let (rolls, found) = stock::read_rolls("rolls.csv", rolls.as_bytes());
    let rolls = rolls.unwrap_or_else(|| panic!("{found:?}"));
    let offcuts = if offcuts.is_empty() {
        Vec::new()
    } else {
        stock::read_offcuts("offcuts.csv", offcuts.as_bytes()).0.unwrap()
    };
    let rates = rates::read("rates.toml", rates.as_bytes()).0.unwrap();
    let (name, stock) = ("test".to_owned(), Stock { rolls, offcuts });
    Setup { name, rules, takeoff, stock, rates, picks: Picks::default() }
}

fn plain() -> Setup {
    setup(
        TAKEOFF,
        ROLLS,
        "",
        "",
        "currency = \"EUR\"\n[labour]\ncut_metre = 0.333\n[freight]\npallet = 61.5\n",
    )
}

fn summed<'g>(groups: impl IntoIterator<Item = &'g Group>) -> Group {
    groups.into_iter().fold(Group::default(), |mut sum, group| {
        sum.join(group);
        sum
    })
}

/// Everything that must add up, adds up: to the cent, and to the last square nanometre.
fn reconciles(solved: &Solved) {
    let cost = &solved.cost;
    let all = summed(&cost.items);
    assert_eq!(all.amounts.total(), cost.total, "items");
    for set in [&cost.sizes, &cost.kinds, &cost.areas, &cost.lines] {
        let sum = summed(set);
        assert_eq!((sum.amounts, sum.plain, sum.taken), (all.amounts, all.plain, all.taken));
    }
    let purchase = &cost.purchase;
    assert_eq!(all.amounts.blanket + all.amounts.rounding, purchase.rolls());
    assert_eq!(all.amounts.freight, purchase.freight());
    assert_eq!(all.amounts.cutting + all.amounts.wrapping, cost.labour());
    assert_eq!(purchase.rolls() + purchase.freight() + cost.labour(), cost.total);
    // What is printed has two decimals and is exact.
    for group in cost.items.iter().chain(&cost.kinds) {
        let amounts = group.amounts;
        for money in [amounts.blanket, amounts.rounding, amounts.freight, amounts.cutting] {
            assert_eq!(money, money.rounded());
        }
    }
    for line in &purchase.lines {
        assert_eq!(line.each, line.each.map(Money::rounded));
        assert_eq!(line.price, line.each.unwrap().checked_times(line.count()).unwrap());
    }
    for (nest, (share, waste)) in solved.plan.nests.iter().zip(cost.shares.iter().zip(&cost.waste))
    {
        let items: i128 = share.items.values().sum();
        assert_eq!(items - share.shelf + share.rounding(), share.value, "without remainder");
        assert!(share.rounding() >= 0, "{}", share.rounding());
        assert!(share.over != Over::Known);
        let area: Area = waste.parts.iter().map(|part| part.area).sum();
        let money: Money = waste.parts.iter().map(|part| part.money).sum();
        assert_eq!((area, money), (nest.areas.rolls, waste.money));
        let reasons: Area = waste.reasons.iter().map(|part| part.area).sum();
        let lost: Area = waste.parts.iter().skip(1).map(|part| part.area).sum();
        assert_eq!(reasons, lost);
        let paid: Money = waste.reasons.iter().map(|part| part.money).sum();
        assert_eq!(paid, waste.parts.iter().skip(1).map(|part| part.money).sum());
        assert!(waste.reasons.iter().skip(1).all(|part| part.area >= Area::ZERO));
    }
    // Nothing takes less than its area, the last digits apart, where all together take more.
    if cost.shares.iter().all(|share| share.basis != Basis::Area && share.value > 0) {
        for group in &cost.items {
            assert!(group.times() > 0.999_999 || group.pieces == 0, "{group:?}");
        }
    }
    let pieces: u64 = solved.plan.pieces.iter().map(|piece| piece.quantity).sum();
    assert_eq!(all.pieces, pieces);
    let plain: Area = solved.plan.nests.iter().map(|nest| nest.areas.pieces).sum();
    assert_eq!(all.plain, plain);
    let work = crate::cost::labour::work(
        (&solved.plan, &crate::plan::Measured::of(&solved.plan)),
        &solved.demand,
        crate::rules::Rules::default().table.square_cut,
    );
    let cut: i128 = work.values().map(|one| one.cut).sum();
    let shown = cost.labour[0].quantity * 1_000_000;
    assert!((cut - shown).abs() <= 500_000, "metres to the millimetre: {cut} {shown}");
}

#[test]
fn a_job_is_priced_to_the_cent() {
    let setup = plain();
    let solved = solve(&setup, &OPTIONS, &Quiet).unwrap();
    reconciles(&solved);
    let cost = &solved.cost;
    assert_eq!(cost.currency, "EUR");
    // By hand from rolls.csv: the minimum of two, at the listed price while below three.
    let line = cost.purchase.lines.iter().find(|line| line.roll == "B10").unwrap();
    let each = if line.count() >= 3 { 70_010 } else { 74_235 };
    assert_eq!(line.each, Some(Money::from_cents(each)));
    assert_eq!(line.freight, Money::from_cents(6150).checked_times(line.pallets).unwrap());
    // Curved pieces take more than their area, square ones hardly.
    let times = |name: &str| cost.kinds.iter().find(|kind| kind.name == name).unwrap().times();
    assert!(times("elbow") > times("pipe") && times("pipe") >= 0.99, "{:?}", cost.kinds);
}

/// What is left out of a plan is not in its price, so no item has a price of one.
#[test]
fn a_plan_of_some_releases_has_no_price_of_one() {
    let setup = plain();
    let solved = solve(&setup, &OPTIONS, &Quiet).unwrap();
    let amounts = |up_to| {
        let plan = plan::Plan { up_to, ..plan::Plan::clone(&solved.plan) };
        let needs = cost::Needs {
            takeoff: &setup.takeoff,
            stock: &setup.stock,
            rules: &setup.rules,
            demand: &solved.demand,
            rates: &setup.rates,
        };
        let measured = plan::Measured::of(&plan);
        let cost = cost::price((&plan, &measured), &needs, solved.cost.shares.clone()).unwrap();
        cost.items.iter().filter(|item| item.amount().is_some()).count()
    };
    assert_eq!((amounts(None), amounts(Some(1))), (setup.takeoff.items.len(), 0));
}

/// Rolls that cost nothing may come on pallets that do: by hand, 30 m of a pipe take three times what 10 m take.
#[test]
fn freight_of_rolls_that_cost_nothing_is_shared_by_area() {
    let takeoff = "item,kind,size,length,quantity,build\n\
        P-1,pipe,NPS 6,30 m,1,10\nP-2,pipe,NPS 6,10 m,1,10\n";
    let rolls = "roll,thickness,width,length,price,per_pallet\nA,10,1500,10 m,0,1\n";
    let rules = "[order]\nobjective = \"price\"\n";
    let setup = setup(takeoff, rolls, "", rules, "[freight]\npallet = 80\n");
    let solved = solve(&setup, &OPTIONS, &Quiet).unwrap();
    let [long, short] = [0, 1].map(|at: usize| solved.cost.items[at].amounts.freight);
    assert!(short > Money::ZERO);
    assert_eq!(Some(long), short.checked_times(3));
}

/// By hand: ten pieces of 1500 by 1100 mm lie five to a roll of 6 m; five offcuts that hold one each save one of two rolls.
#[test]
fn offcuts_that_are_alike_save_each_its_own() {
    let takeoff = "item,kind,size,length,quantity,build\nP-1,pipe,OD 320,15 m,1,10\n";
    let rolls = "roll,thickness,width,length,price\nA,10,1500,6 m,100\n";
    let shelf = "offcut,thickness,width,length,quantity\nO,10,1500,1200,5\n";
    let solved = solve(&setup(takeoff, rolls, shelf, "", ""), &OPTIONS, &Quiet).unwrap();
    let share = &solved.cost.shares[0];
    let items: i128 = share.items.values().sum();
    let near = |parts: i128, rolls: i128| (parts - rolls * cost::share::PARTS).abs() < 1000;
    assert!(near(share.value, 1) && near(share.shelf, 1) && near(items, 2), "{share:?}");
}

#[test]
fn a_shelf_that_holds_everything_costs_no_blanket() {
    let offcuts = "offcut,thickness,width,length,quantity,place\nO-1,5,1500,60 m,1,rack\n\
                   O-2,10,1500,40 m,9,rack\n";
    let setup = setup(TAKEOFF, ROLLS, offcuts, "[order]\nspare_rolls = 1\n", "");
    let solved = solve(&setup, &OPTIONS, &Quiet).unwrap();
    reconciles(&solved);
    assert_eq!(solved.cost.purchase.rolls(), Money::ZERO);
}

#[test]
fn options_change_what_they_say() {
    let base = plain();
    let parse = |text: &str| Choice::parse(text, "--option").unwrap();
    let choices = [
        parse("narrow only: rolls = N10 | B5"),
        parse("table.pull_limit = 2 m"),
        parse("thick: build.10+10 = 10; labour.tie = 0"),
        parse("roll = W10, 10, 2000, 40 m, 1.00"),
        parse("no such length: joints.smallest_piece = 999; joints.stagger = 500"),
    ];
    let compared = compare(&base, &choices, &OPTIONS, &Quiet).unwrap();
    let figures: Vec<&Figures> =
        compared.rows.iter().filter_map(|row| row.outcome.as_ref().ok()).collect();
    assert!(figures.len() >= 4, "{compared:?}");
    assert_eq!(compared.against(&compared.base), Money::ZERO);
    // Half the layers need less; a roll at 1.00 costs less.
    assert!(compared.against(figures[2]) < Money::ZERO);
    assert!(figures[3].blanket < compared.base.blanket);
    let narrow = changed(&base, &choices[0]).unwrap();
    assert!(narrow.stock.rolls.iter().all(|roll| roll.id != "B10"));
    let none = solve(&base, &OPTIONS, &Quiet).unwrap();
    assert_eq!(Figures::of(&base, &none), compared.base);
}

/// What options share is made once, and every row is what its job comes to by itself.
#[test]
fn options_share_what_is_alike_and_nothing_else() {
    let base = plain();
    let options = [
        "sequence.setup = 400",
        "labour.tie = 3",
        "securement.spacing = 200",
        "rates.pull = 300",
        "offcuts.keep_width = 700",
        "price.B5 = 100",
        "freight.pallet = 0",
        "order.spare_rolls = 1",
        "table.gap = 5",
        "labour.cut_metre = 9",
    ];
    let choices = options.map(|text| Choice::parse(text, "--set").unwrap());
    let compared = compare(&base, &choices, &OPTIONS, &Quiet).unwrap();
    let setups: Vec<Setup> = choices.iter().map(|one| changed(&base, one).unwrap()).collect();
    for (setup, row) in setups.iter().zip(&compared.rows) {
        let alone = solve(setup, &OPTIONS, &Quiet).unwrap();
        assert_eq!(row.outcome, Ok(Figures::of(setup, &alone)), "{}", row.name);
    }
    let asked: Vec<_> = setups.iter().map(|setup| solve::sheets(setup).unwrap().1).collect();
    let pairs = |of: &[usize]| -> Vec<(&Setup, &[plan::Wanted])> {
        of.iter().map(|&at| (&setups[at], asked[at].as_slice())).collect()
    };
    let count = |of: &[usize]| nests::Nests::new(&pairs(of)).count();
    assert_eq!(count(&[0]), 2, "a nest for each thickness");
    assert_eq!(count(&[0, 1, 2, 3, 9]), 2, "labour and the order of cutting change no nest");
    assert_eq!(count(&[0, 5]), 3, "another price of a 5 mm roll");
    assert_eq!(count(&[0, 6]), 4, "freight is a part of what rolls cost");
    assert_eq!(count(&[0, 7]), 4, "so are spare rolls");
    assert_eq!(count(&[0, 8]), 4, "a gap");
}

/// Where nothing is chosen, rules of what may be chosen are not tried, and who sets one is told.
#[test]
fn nothing_is_chosen_in_a_comparison_and_that_is_said() {
    let base = plain();
    assert!(sensitivity(&base).iter().all(|c| !c.settings[0].0.starts_with("choose.")));
    let choices = ["choose.joints = true", "table.gap = 0"];
    let choices = choices.map(|text| Choice::parse(text, "--set").unwrap());
    let compared = compare(&base, &choices, &OPTIONS, &Quiet).unwrap();
    let [vain, idle] = compared.rows.as_slice() else { panic!("{compared:?}") };
    assert!(vain.notes[0].contains("choose.joints changes nothing here"), "{:?}", vain.notes);
    assert!(!compared.is_idle(vain) && compared.is_idle(idle));
}

/// An offcut that is wider than the rolls is told (S010) and may be right: no option is to blame for it, whether it
/// has to do with the shelf or not.
#[test]
fn what_is_odd_in_the_job_as_it_stands_is_no_fault_of_an_option() {
    let offcuts = "offcut,thickness,width,length,quantity,place\nO-1,5,1700,3 m,1,rack\n";
    let base = setup(TAKEOFF, ROLLS, offcuts, "", "");
    let (rolls, shelf) = (base.stock.rolls.clone(), base.stock.offcuts.clone());
    assert_eq!(ids(&stock::combine(rolls, shelf).1), ["S010"]);
    let told = |text: &str| match changed(&base, &Choice::parse(text, "--set").unwrap()) {
        Ok(_) => Vec::new(),
        Err(findings) => findings.iter().map(|found| found.what.clone()).collect(),
    };
    assert_eq!(told("table.stages = 2"), [""; 0]);
    assert_eq!(told("price.B10 = 700"), [""; 0]);
    // A new product that takes the offcut's name still is one.
    assert!(told("roll = O-1, 5, 1000, 60 m, 400")[0].contains("O-1"));
}

/// A thickness may be written in any unit, and in one option each key stands once.
#[test]
fn thicknesses_have_any_unit_and_each_key_stands_once() {
    let rolls = ROLLS.replace(",10,", ",12.7,");
    let takeoff = TAKEOFF.replace("10+10", "12.7+12.7").replace(",10,150", ",12.7,150");
    let base = setup(&takeoff, &rolls, "", "", "");
    let price = |text: &str| {
        let setup = changed(&base, &Choice::parse(text, "--set").unwrap());
        let setup = setup.map_err(|findings| findings.iter().next().unwrap().to_string());
        setup
            .map(|setup| setup.stock.rolls.iter().map(|roll| roll.price.unwrap().cents()).collect())
    };
    let raised: Vec<String> = ["801.74", "550.80", "596.00"].map(str::to_owned).to_vec();
    for name in ["12.7 mm", "1/2 in", "0.5in", "1.27 cm"] {
        assert_eq!(price(&format!("price.{name} = +8 %")), Ok(raised.clone()), "{name}");
    }
    let wrong = price("price.1/3 in = +8 %").unwrap_err();
    assert!(wrong.contains("`price.1/2 in`"), "{wrong}");
    let wrong = price("twice: price.B10 = 5; shelf = none; price.B10 = 6").unwrap_err();
    assert!(wrong.contains("`price.B10` is set twice"), "{wrong}");
}

#[test]
fn sensitivity_tries_every_rule_that_has_a_neighbour() {
    let tried = sensitivity(&plain());
    let keys: BTreeSet<&str> = tried.iter().map(|c| c.settings[0].0.as_str()).collect();
    for key in
        ["joints.stagger", "table.gap", "elbow.seam", "turning.quarter_turns", "order.objective"]
    {
        assert!(keys.contains(key), "{key}");
    }
    for choice in &tried {
        assert!(changed(&plain(), choice).is_ok(), "{}", choice.name);
    }
}

#[test]
fn the_cheapest_order_is_never_dearer_than_the_fewest_rolls() {
    // The narrow roll costs a quarter: no fewer rolls, less money.
    let rolls = "roll,thickness,width,length,price\nW,10,1500,40 m,400\nN,10,1000,40 m,100\n\
                 B5,5,1500,60 m,596\n";
    let base = setup(TAKEOFF, rolls, "", "", "");
    let study = order::study(&base, &OPTIONS, &Quiet).unwrap();
    let paid = |solved: &Solved| solved.cost.purchase.rolls();
    assert!(paid(&study.cheapest) < paid(&study.fewest));
    assert!(study.cheapest.cost.purchase.count() >= study.fewest.cost.purchase.count());
    assert!(study.narrower && study.bound <= study.price());
    for steps in &study.steps {
        assert!(i128::from(steps.rolls) * crate::cost::share::PARTS >= steps.needed);
    }
    // With breaks, minimum orders and freight.
    let study = order::study(&plain(), &OPTIONS, &Quiet).unwrap();
    assert!(study.bound <= study.price());
    reconciles(&study.fewest);
}

/// Thicknesses that nothing is built of change nothing, however many widths they come in.
#[test]
fn rolls_that_nothing_uses_change_no_order() {
    let rolls = "roll,thickness,width,length,price\nW,10,1500,20 m,900\nN,10,1000,20 m,400\n";
    let takeoff = "item,kind,size,length,quantity,build\nP,pipe,NPS 6,60 m,1,10\n";
    let study = |rolls: &str| {
        let study = order::study(&setup(takeoff, rolls, "", "", ""), &OPTIONS, &Quiet).unwrap();
        (study.price(), study.bound, study.proven(), study.unseen)
    };
    let mut more = rolls.to_owned();
    for (thickness, width) in (11..19).flat_map(|t| [1500, 1200, 1000].map(|width| (t, width))) {
        let _ = writeln!(more, "R{thickness}-{width},{thickness},{width},20 m,500");
    }
    let plain = study(rolls);
    assert!(plain.2 && plain.3.is_none(), "{plain:?}");
    assert_eq!(study(&more), plain);
}

/// Three thicknesses of five widths each are 125 ways: what is not looked at is not said to be ruled out, and leaving
/// the widest of one thickness out is looked at whichever it is.
#[test]
fn ways_that_were_not_looked_at_are_not_ruled_out() {
    let takeoff = "item,kind,size,length,quantity,build\nP,pipe,NPS 6,9 m,1,5+10+20\n";
    for cheap in [5, 10, 20] {
        let roll = |thickness: i64, width: i64| {
            let price = if thickness == cheap && width == 1400 { 100 } else { width };
            format!("R{thickness}-{width},{thickness},{width},20 m,{price}\n")
        };
        let widths = [1500, 1400, 1300, 1200, 1100];
        let all = [5, 10, 20].into_iter().flat_map(|t| widths.map(|w| roll(t, w)));
        let rolls: String =
            std::iter::once("roll,thickness,width,length,price\n".to_owned()).chain(all).collect();
        let study = order::study(&setup(takeoff, &rolls, "", "", ""), &OPTIONS, &Quiet).unwrap();
        assert!(!study.proven() && study.bound == Money::ZERO);
        assert_eq!(study.unseen, Some(64));
        let lines = study.cheapest.cost.purchase.lines.iter();
        assert!(lines.clone().any(|line| line.roll == format!("R{cheap}-1400")), "{cheap}");
    }
}

/// By hand: two rolls are cut and one is spare. Three cost 3 x 700 and a pallet, four 4 x 600 and two
/// pallets: 2185 and 2570. Two cost 1400 and a pallet, so one less saves 700.
#[test]
fn one_more_is_counted_from_what_is_bought() {
    let takeoff = "item,kind,size,length,quantity,build\nP,pipe,NPS 8,60 m,1,10+10\n";
    let rolls =
        "roll,thickness,width,length,price,breaks,per_pallet\nB,10,1500,40 m,700,4: 600,3\n";
    let setup = setup(takeoff, rolls, "", "[order]\nspare_rolls = 1\n", "[freight]\npallet = 85\n");
    let study = order::study(&setup, &OPTIONS, &Quiet).unwrap();
    let [beside] = study.beside.as_slice() else { panic!("{:?}", study.beside) };
    assert_eq!((beside.cut, beside.bought), (2, 3));
    assert_eq!(study.price(), Money::from_units(2185));
    assert_eq!(beside.costs, Some(Money::from_units(385)));
    assert_eq!(beside.saves, Money::from_units(700));
}

#[test]
fn of_two_cuts_of_one_order_the_better_stands() {
    let base = plain();
    let one = solve(&base, &OPTIONS, &Quiet).unwrap();
    // By construction: the same order, and more labour; or an offcut less to keep.
    let mut dearer = one.clone();
    dearer.cost.total += Money::from_units(50);
    assert!(order::cut_better(&one, &dearer) && !order::cut_better(&dearer, &one));
    assert!(!order::cut_better(&one, &one));
    let mut other = dearer.clone();
    other.cost.purchase.lines[0].spare += 1;
    assert!(!order::cut_better(&one, &other), "that is another order");
    let mut more = dearer;
    more.cost.purchase.lines[0].cut += 1;
    more.cost.purchase.lines[0].more = 0;
    assert!(!order::cut_better(&more, &one));
    // Of one product the fewest rolls are the cheapest, so one cut stands for both.
    let rolls = "roll,thickness,width,length,price\nW,10,1500,40 m,400\nB5,5,1500,60 m,596\n";
    let study = order::study(&setup(TAKEOFF, rolls, "", "", ""), &OPTIONS, &Quiet).unwrap();
    let cut = |solved: &Solved| (solved.cost.total, solved.cost.kept());
    assert_eq!(cut(&study.fewest), cut(&study.cheapest));
}

/// An order that has fewer rolls than were found for the fewest, or as many for less, stands for both.
#[test]
fn the_fewest_are_no_more_rolls_than_the_cheapest() {
    let one = solve(&plain(), &OPTIONS, &Quiet).unwrap();
    let mut more = one.clone();
    more.cost.purchase.lines[0].cut += 1;
    assert!(order::better_for_both(&one, &more) && !order::better_for_both(&more, &one));
    let mut dearer = one.clone();
    dearer.cost.purchase.lines[0].price += Money::from_units(5);
    assert!(order::better_for_both(&one, &dearer) && !order::better_for_both(&dearer, &one));
    assert!(!order::better_for_both(&one, &one));
}

/// One wide roll can be had and two are needed for courses as wide as it is, which fit no narrow one. By hand, for
/// 60 m of NPS 8 in two layers: (219.1 + 10) pi + (219.1 + 30) pi = 1502.3 mm round, so 90.1 m of a roll as wide as the
/// courses, of which each roll has 39.95 m: three, and narrow ones are cheaper.
#[test]
fn where_the_widest_do_not_suffice_courses_are_laid_out_for_narrower_ones_and_both_are_cut() {
    let takeoff = "item,kind,size,length,quantity,build\nP,pipe,NPS 8,60 m,1,10+10\n";
    let rolls = |courses: &str| {
        format!(
            "roll,thickness,width,length,price,available,courses\nW,10,1500,40 m,700,1,{courses}\n\
             N,10,1000,40 m,500,,\n"
        )
    };
    let base = setup(takeoff, &rolls(""), "", "", "");
    let told = match solve(&base, &OPTIONS, &Quiet) {
        Err(Trouble::Short { told, .. }) => told,
        other => panic!("{other:?}"),
    };
    assert!(told.remedy.contains("write no into the column `courses` of `W`"), "{told:?}");
    let study = order::study(&base, &OPTIONS, &Quiet).unwrap();
    let [short] = study.short.as_slice() else { panic!("{:?}", study.short) };
    assert_eq!(short.thickness, Length::from_mm(10));
    assert_eq!(short.wider, [("W".to_owned(), Some(1))]);
    assert_eq!(short.laid, ["N"]);
    let bought = |solved: &Solved| -> Vec<(String, u64)> {
        solved.cost.purchase.lines.iter().map(|l| (l.roll.clone(), l.count())).collect()
    };
    let count = |solved: &Solved| bought(solved).iter().map(|(_, n)| n).sum::<u64>();
    assert_eq!(bought(&study.cheapest), [("N".to_owned(), 3)]);
    assert_eq!((count(&study.fewest), study.price()), (3, Money::from_units(1500)));
    assert!(study.bound <= study.price() && !study.narrower);
    // As it says: so written, a plan can be made, of as few rolls.
    let plan = solve(&setup(takeoff, &rolls("no"), "", "", ""), &OPTIONS, &Quiet).unwrap();
    assert_eq!(count(&plan), 3, "{:?}", bought(&plan));
    // Where narrower ones do not suffice either, that is told.
    let few = rolls("").replace("500,,", "500,1,").replace("40 m", "10 m");
    assert!(matches!(
        order::study(&setup(takeoff, &few, "", "", ""), &OPTIONS, &Quiet),
        Err(Trouble::Short { .. })
    ));
}

/// Keeps what is told of the best price and its bound, by thickness.
#[derive(Default)]
struct Told(std::sync::Mutex<Vec<(String, Option<i64>, i64)>>);

impl crate::nest::Watch for Told {
    fn stop(&self) -> bool {
        false
    }
    fn news(&self, news: &crate::nest::News<'_>) {
        let told = (news.instance.to_owned(), news.value, news.bound);
        self.0.lock().unwrap().push(told);
    }
}

#[test]
fn the_least_price_is_told_while_it_is_looked_for() {
    let rules = "[order]\nobjective = \"price\"\n";
    let told = Told::default();
    let solved = solve(&setup(TAKEOFF, ROLLS, "", rules, ""), &OPTIONS, &told).unwrap();
    let told = told.0.into_inner().unwrap();
    for sheet in &solved.sheets {
        let nest = sheet.instance().name;
        let own: Vec<_> = told.iter().filter(|(name, ..)| *name == nest).collect();
        assert!(own.iter().any(|(_, value, _)| value.is_some()), "{nest}: {told:?}");
        assert!(own.iter().all(|(_, value, bound)| value.is_none_or(|value| *bound <= value)));
    }
}

fn ids(findings: &Findings) -> Vec<&'static str> {
    findings.iter().map(|finding| finding.code.id).collect()
}

fn refused(setup: &Setup) -> Vec<&'static str> {
    match solve(setup, &OPTIONS, &Quiet) {
        Err(Trouble::Findings(findings)) => ids(&findings),
        other => panic!("{other:?}"),
    }
}

#[test]
fn missing_prices_and_mixed_currencies_are_told() {
    let unpriced = ROLLS.replace("742.35", "").replace("510.00", "").replace("3: 700.10", "");
    assert_eq!(refused(&setup(TAKEOFF, &unpriced, "", "", "")), ["C005"]);
    let mixed = ROLLS.replacen("596.00,EUR", "596.00,USD", 1);
    assert_eq!(refused(&setup(TAKEOFF, &mixed, "", "", "")), ["C006"]);
    assert_eq!(refused(&setup(TAKEOFF, ROLLS, "", "", "currency = \"GBP\"")), ["C006"]);
    let lower = ROLLS.replacen("596.00,EUR", "596.00,eur", 1);
    assert!(solve(&setup(TAKEOFF, &lower, "", "", ""), &OPTIONS, &Quiet).is_ok());
}

#[test]
fn money_that_cannot_be_counted_and_spares_that_cannot_be_had_are_told() {
    // At 10,000 each, the thousand million that are the fewest sold are 10^13, over 2.3 x 10^12.
    let huge = ROLLS.replace("742.35,EUR,3: 700.10,2", "10000,EUR,,1000000000");
    assert_eq!(refused(&setup(TAKEOFF, &huge, "", "", "")), ["C011"]);
    assert_eq!(huge_labour(), ["C011"]);
    assert_eq!(few_spares(), ["C012"]);
}

/// Work that costs too much to count, though the rolls do not: 1.6 km at 0.3 m or less a tie are
/// over 5,000 ties at 10^9 each.
fn huge_labour() -> Vec<&'static str> {
    let takeoff = TAKEOFF.replace("31 m,1,", "31 m,53,");
    refused(&setup(&takeoff, ROLLS, "", "", "[labour]\ntie = 1000000000\n"))
}

/// Two spares where one of each product is left at most.
fn few_spares() -> Vec<&'static str> {
    let rolls =
        "roll,thickness,width,length,price,available\nA,10,1500,400 m,1,2\nB,5,1500,60 m,1,2\n";
    let setup = setup(TAKEOFF, rolls, "", "[order]\nspare_rolls = 2\n", "");
    let solved = solve(&setup, &OPTIONS, &Quiet).unwrap();
    let lines = &solved.cost.purchase.lines;
    for line in lines {
        assert_eq!((line.cut, line.spare, line.count()), (1, 1, 2), "{}", line.roll);
    }
    let findings = cost::spares(&solved.plan, &setup.stock, &setup.rules, &setup.rates);
    assert_eq!((findings.len(), lines.len()), (2, 2));
    let mut ids = ids(&findings);
    ids.dedup();
    ids
}

/// 22 m of NPS 2 in one layer of 5 mm need some 5 m of a 1500 mm roll, which the shelf has; then no spare of it is
/// ordered, and that is told.
#[test]
fn spares_of_what_the_shelf_holds_are_told() {
    let shelf = "offcut,thickness,width,length,quantity\nS5,5,1500,10 m,1\n";
    for (shelf, rules, told) in [
        (shelf, "[order]\nspare_rolls = 1\n", 1),
        (shelf, "", 0),
        ("", "[order]\nspare_rolls = 1\n", 0),
    ] {
        let setup = setup(TAKEOFF, ROLLS, shelf, rules, "");
        let solved = solve(&setup, &OPTIONS, &Quiet).unwrap();
        let bought = solved.cost.purchase.lines.iter().any(|line| line.roll == "B5");
        assert_eq!(bought, shelf.is_empty());
        let findings = cost::spares(&solved.plan, &setup.stock, &setup.rules, &setup.rates);
        let here = findings.iter().filter(|f| f.what.contains("no spare roll of 5 mm")).count();
        assert_eq!((here, findings.len()), (told, told), "{findings:?}");
    }
}

/// Options with a mistake.
const MISTAKES: &[&str] = &[
    "table.pullimit = 3 m",
    "table.pull_limit = long",
    "rolls = Z9",
    "roll = W10",
    "roll = B10, 10, 2000, 40 m, 1.00",
    "roll = W10, 10, 2000, 40 m, \"1,5\"",
    "price.B10 = -1",
    "price.Z = 1",
    "price.Z = 108 %",
    "price.B10 = ten %",
    "price.B10 = 8 %",
    "price.B10 = -108 %",
    "price.10 mm = 700",
    "available.Z = 3",
    "available.B10 = some",
    "available.B10 = 1",
    "breaks.B10 = 700",
    "minimum.B10 = 0",
    "per_pallet.B10 = none of them",
    "as it stands: shelf = none",
    "build.7+7 = 10",
    "build.10+10 = ten",
    "build.10+10 = 10+1000",
    "shelf = some",
    "labour.ties = 1",
    "labour.tie = 1,5",
    "takeoff.lengths = through",
    "shelves = none",
];

/// By hand: 108 % of 700, 600 and 510 are 756, 648 and 550.80; half of 756 and 648 is 378 and 324.
#[test]
fn a_share_of_a_price_keeps_the_price_breaks() {
    let rolls = "roll,thickness,width,length,price,breaks\nB,10,1500,40 m,700,4: 600\n\
                 N,10,1000,40 m,510,\nT,5,1500,60 m,596,\n";
    let mut setup = setup(TAKEOFF, rolls, "", "", "");
    let prices = |setup: &Setup| {
        let of = |roll: &crate::stock::Roll| {
            let breaks = roll.terms.breaks.iter().map(|(_, price)| price.cents());
            roll.price.iter().map(|price| price.cents()).chain(breaks).collect::<Vec<_>>()
        };
        setup.stock.rolls.iter().flat_map(of).collect::<Vec<_>>()
    };
    super::change::set(&mut setup, "price.10 mm", "108 %").unwrap();
    assert_eq!(prices(&setup), ["756.00", "648.00", "550.80", "596.00"]);
    super::change::set(&mut setup, "price.B", "50%").unwrap();
    assert_eq!(prices(&setup), ["378.00", "324.00", "550.80", "596.00"]);
    super::change::set(&mut setup, "price.B", "700").unwrap();
    assert_eq!(prices(&setup), ["700.00", "550.80", "596.00"]);
    // A sign is a change: 8 % more than 700 are 756, 5 % less than 596 are 566.20.
    super::change::set(&mut setup, "price.B", "+8 %").unwrap();
    super::change::set(&mut setup, "price.5 mm", "-5%").unwrap();
    assert_eq!(prices(&setup), ["756.00", "550.80", "566.20"]);
    let (_, remedy) = super::change::set(&mut setup, "price.B", "8 %").unwrap_err();
    assert!(remedy.contains("write `+8 %` or `-8 %`"), "{remedy}");
    let (what, remedy) = super::change::set(&mut setup, "price.B", " +8").unwrap_err();
    assert!(what.contains("` +8`"), "{what}");
    assert_eq!(remedy, "write `8` for the price, or `+8 %` for so much more of it");
    super::change::set(&mut setup, "breaks.B", "2: 690.5 | 9: 600").unwrap();
    assert_eq!(prices(&setup), ["756.00", "690.50", "600.00", "550.80", "566.20"]);
    super::change::set(&mut setup, "breaks.B", "none").unwrap();
    super::change::set(&mut setup, "available.B", "3").unwrap();
    super::change::set(&mut setup, "minimum.B", "2").unwrap();
    super::change::set(&mut setup, "per_pallet.B", "6").unwrap();
    let roll = &setup.stock.rolls[0];
    assert_eq!((roll.available, roll.terms.minimum, roll.terms.per_pallet), (Some(3), 2, Some(6)));
    super::change::set(&mut setup, "available.B", "none").unwrap();
    assert_eq!(setup.stock.rolls[0].available, None);
}

#[test]
fn a_price_without_its_breaks_and_a_roll_without_freight_are_noted() {
    let choices =
        ["price.B10 = 700", "price.B10 = 94 %", "a: price.B10 = 700; breaks.B10 = 2: 650"]
            .map(|text| Choice::parse(text, "--option").unwrap());
    let bare = Choice::parse("bare: rolls = W | B5; roll = W, 10, 2000, 40 m, 640", "--option");
    assert!(changed(&plain(), &bare.unwrap()).is_err(), "a product is named before it is there");
    let new =
        Choice::parse("new: roll = W, 10, 2000, 40 m, 64; rolls = W | B5", "--option").unwrap();
    let choices: Vec<Choice> = choices.into_iter().chain([new]).collect();
    let comparison = compare(&plain(), &choices, &OPTIONS, &Quiet).unwrap();
    let notes: Vec<&[String]> = comparison.rows.iter().map(|row| row.notes.as_slice()).collect();
    assert_eq!(notes[0], ["B10 without its price breaks"]);
    assert!(notes[1].is_empty() && notes[2].is_empty(), "{notes:?}");
    assert_eq!(notes[3], ["no freight counted for W: it has no per_pallet"]);
}

/// Where the shelf holds the whole job, what is kept of it is no waste that the shapes ask for.
#[test]
fn rests_of_what_was_on_hand_are_no_fault_of_the_shapes() {
    let offcuts = "offcut,thickness,width,length,quantity\nO,10,1500,40 m,4\nQ,5,1500,60 m,1\n";
    let solved = solve(&setup(TAKEOFF, ROLLS, offcuts, "", ""), &OPTIONS, &Quiet).unwrap();
    assert!(solved.cost.purchase.lines.is_empty(), "{:?}", solved.cost.purchase);
    for nest in &solved.cost.waste {
        let (kept, reason) = (nest.parts.last().unwrap(), nest.reasons.last().unwrap());
        assert_eq!((kept.what, reason.what), ("offcuts kept", "kept of what was on hand"));
        assert!(kept.area == reason.area && kept.area > Area::ZERO, "{nest:?}");
    }
    // Without a shelf the reason is not there.
    let solved = solve(&plain(), &OPTIONS, &Quiet).unwrap();
    assert!(solved.cost.waste.iter().all(|nest| nest.reasons.len() == 3));
}

/// B5 has no `per_pallet`, and a pallet costs 61.50.
fn uncounted_freight() -> Findings {
    let base = plain();
    cost::freight(&base.stock, &base.rates)
}

/// B10 comes on pallets.
fn freight_unknown(rates: &str) -> Findings {
    let base = setup(TAKEOFF, ROLLS, "", "", rates);
    cost::freight(&base.stock, &base.rates)
}

/// What no rate is given for counts for nothing, so the price says less than is paid.
#[test]
fn pallets_without_a_rate_are_told() {
    let told: Vec<String> =
        freight_unknown("[labour]\ntie = 1").iter().map(ToString::to_string).collect();
    assert!(told.len() == 1 && told[0].contains("C060: `B10` comes on pallets"), "{told:?}");
    assert!(freight_unknown("[freight]\npallet = 0").is_empty());
    assert!(freight_unknown("[freight]\npallet = 60").iter().all(|f| f.code.id != "C060"));
    let bare = setup(
        TAKEOFF,
        "roll,thickness,width,length,price\nA,10,1500,20 m,1\nB,5,1500,20 m,1\n",
        "",
        "",
        "",
    );
    assert!(cost::freight(&bare.stock, &bare.rates).is_empty());
    let rolls =
        "roll,thickness,width,length,price,per_pallet\nA,10,1500,20 m,1,6\nB,5,1500,20 m,1,6\n";
    let open = |rates: &str| {
        let setup = setup(TAKEOFF, rolls, "", "", rates);
        solve(&setup, &OPTIONS, &Quiet).unwrap().cost.freight_open
    };
    assert!(open("") && !open("[freight]\npallet = 0"));
    assert!(!solve(&bare, &OPTIONS, &Quiet).unwrap().cost.freight_open, "nothing comes on pallets");
}

/// Uncertainties of the plain job where one line is for all.
fn below_one(cell: &str) -> (Vec<Decimal>, Findings) {
    uncertain(&format!("uncertainty\n{cell}\n"))
}

/// Uncertainties of the plain job's items, with what is found in them.
fn uncertain(text: &str) -> (Vec<Decimal>, Findings) {
    let (lines, mut findings) = uncertainty::read("uncertainty.csv", text.as_bytes());
    let (all, found) = uncertainty::of_items(&lines, &plain().takeoff);
    findings.append(found);
    (all, findings)
}

#[test]
fn less_than_one_per_cent_is_asked_back() {
    let (read, findings) = below_one("0.2");
    assert!(read.iter().all(|by| *by == Decimal::from_millionths(2_000)));
    let told: Vec<String> = findings.iter().map(ToString::to_string).collect();
    assert!(told.len() == 1 && told[0].contains("C061: `0.2` is read as 0.2 %"), "{told:?}");
    assert!(told[0].contains("write `20 %` if that is meant, `0.2 %` if it is right"), "{told:?}");
    for cell in ["0", "0.2 %", "0.2%", "1", "20"] {
        assert!(below_one(cell).1.is_empty(), "{cell}");
    }
}

#[test]
fn freight_that_is_not_counted_is_told() {
    let told: Vec<String> = uncounted_freight().iter().map(ToString::to_string).collect();
    assert!(told.len() == 1 && told[0].contains("C081: a pallet's freight is 61.50"), "{told:?}");
    assert!(told[0].contains("none is counted for `B5`:"), "{told:?}");
    let base = setup(TAKEOFF, ROLLS, "", "", "[freight]\npallet = 0");
    assert!(cost::freight(&base.stock, &base.rates).is_empty(), "no rate of freight");
    let gone = "roll,thickness,width,length,price,available,per_pallet\nA,10,1500,40 m,700,,4\nB,10,1000,40 m,500,0,\n";
    let base = setup(TAKEOFF, gone, "", "", "[freight]\npallet = 60");
    assert!(cost::freight(&base.stock, &base.rates).is_empty(), "B is not on offer");
}

#[test]
fn two_options_of_one_name_are_refused() {
    let told = |second: &str| {
        let choices = ["a: shelf = none", second].map(|t| Choice::parse(t, "--option").unwrap());
        match compare(&plain(), &choices, &OPTIONS, &Quiet) {
            Err(Trouble::Findings(findings)) => ids(&findings),
            _ => Vec::new(),
        }
    };
    assert_eq!(told("a: price.B10 = 105 %"), ["C009"]);
    assert!(told("a: shelf = none").is_empty() && told("b: shelf = none").is_empty());
}

#[test]
fn every_mistake_in_options_is_told_at_once() {
    let base = plain();
    let choices: Vec<Choice> =
        MISTAKES.iter().map(|text| Choice::parse(text, "--option").unwrap()).collect();
    match compare(&base, &choices, &OPTIONS, &Quiet) {
        Err(Trouble::Findings(findings)) => {
            assert_eq!(ids(&findings), vec!["C009"; MISTAKES.len()], "{findings:?}");
        }
        other => panic!("{other:?}"),
    }
    for text in ["", "name only", "name:", "a: b", "a = ", ": x = 1"] {
        assert_eq!(Choice::parse(text, "--option").unwrap_err().code.id, "C009", "{text}");
    }
    let file = "option,key,value\nshort,table.pull_limit,3 m\nshort,shelf,none\n";
    let (read, findings) = choice::read("options.csv", file.as_bytes());
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!((read.len(), read[0].settings.len()), (1, 2));
    let (_, findings) = choice::read("options.csv", b"option,key,value\nshort,,3 m\n");
    assert_eq!(ids(&findings), ["C010"]);
}

/// What is missing on some lines of a file hides no mistake on others, nor elsewhere on the same line, and is no
/// mistake of theirs; each is told with its line and column.
#[test]
fn what_is_missing_in_a_file_of_options_hides_nothing() {
    let told = |lines: &str| {
        let file = format!("option,key,value\n{lines}\n");
        let (choices, read) = choice::read("options.csv", file.as_bytes());
        let found = mistakes(&plain(), &choices, &read);
        let told = |f: &crate::finding::Finding| {
            (f.code.id, f.place.line.unwrap_or(0), f.place.column.unwrap_or(0))
        };
        found.iter().map(told).collect::<Vec<_>>()
    };
    let lines = [
        "a,table.pull_limit,",
        ",shelf,none",
        "b,,3 m",
        "c,table.pul_limit,3 m",
        "c,price.ZZ,100",
        "d,joints.stagger,-3",
        ",table.pul_limit,4 m",
        "e,rolls,ZZ",
        "e,available.B10,x",
        "e,shelf,some",
        "e,shelf,none",
        "e,build.7,10",
        "e,build.10,x",
        "e,takeoff.measured,net",
        "e,labour.tea,1",
        "e,labour.tie,x",
        "f,table.pul_limit,",
        ",table.pul_limit,",
    ];
    let all = [
        ("C010", 2, 3),
        ("C010", 3, 1),
        ("C010", 4, 2),
        ("C009", 5, 2),
        ("C009", 6, 2),
        ("C009", 7, 3),
        ("C010", 8, 1),
        ("C009", 8, 2),
        ("C009", 9, 3),
        ("C009", 10, 3),
        ("C009", 11, 3),
        ("C009", 12, 2),
        ("C009", 13, 2),
        ("C009", 14, 3),
        ("C009", 15, 2),
        ("C009", 16, 2),
        ("C009", 17, 3),
        ("C009", 18, 2),
        ("C010", 18, 3),
        // No entry at all, which is told of the line and nothing else.
        ("F060", 19, 0),
    ];
    assert_eq!(told(&lines.join("\n")), all);
    // Without its name a line may belong to the option before, or to another that sets the same.
    assert_eq!(told("a,roll,\"N,10,1200,50 m,1\"\n,price.N,2"), [("C010", 3, 1)]);
    assert_eq!(told("a,shelf,none\n,shelf,all"), [("C010", 3, 1)]);
    assert_eq!(told("a,minimum.B10,4\na,available.B10,3"), [("C009", 2, 0)]);
    // A roll that could not be added is told, and not that it is not there; another that is not there is.
    assert_eq!(told("a,roll,N\na,price.N,2\na,rolls,B10 | N\na,minimum.N,2"), [("C009", 2, 3)]);
    assert_eq!(told("a,roll,N\na,price.M,2"), [("C009", 2, 3), ("C009", 3, 2)]);
    assert_eq!(told("a,roll,N\nb,price.N,2"), [("C009", 2, 3), ("C009", 3, 2)]);
    assert_eq!(told("a,minimum.B10,4\na,available.B10,3\na,,4"), [("C010", 4, 2)]);
}

/// A keyword that must say of what is not offered as its own correction.
#[test]
fn a_keyword_alone_is_told_what_stands_behind_it() {
    for (key, wanted) in [("build", "`build.10+10`"), ("price", "`price.NAME`")] {
        let choice = Choice::parse(&format!("{key} = 5"), "--option").unwrap();
        let findings = changed(&plain(), &choice).unwrap_err();
        let remedy = &findings.iter().next().unwrap().remedy;
        assert!(remedy.contains(wanted), "{remedy}");
    }
}

#[test]
fn an_option_may_not_give_a_roll_the_name_of_an_offcut() {
    let offcuts = "offcut,thickness,width,length,quantity\nS,10,1000,4 m,1\n";
    let base = setup(TAKEOFF, ROLLS, offcuts, "", "");
    let told = |text: &str| changed(&base, &Choice::parse(text, "--option").unwrap());
    let findings = told("roll = S,10,1000,4 m,1").unwrap_err();
    assert_eq!(ids(&findings), ["C009"]);
    let text = findings.iter().next().unwrap().to_string();
    assert!(text.contains("the name `S` stands already"), "{text}");
    assert!(told("roll = S2,10,1000,4 m,1").is_ok());
}

#[test]
fn every_code_has_an_example() {
    let mut shown: BTreeSet<&str> = BTreeSet::new();
    for text in ["[labour\n", "x = 1", "[labour]\ntie = true", "[labour]\ntie = -1"] {
        shown.extend(ids(&rates::read("rates.toml", text.as_bytes()).1));
    }
    shown.extend(ids(&Rates::default().remarks()));
    shown.extend(refused(&setup(
        TAKEOFF,
        &ROLLS.replace("742.35", "").replace("510.00", "").replace("3: 700.10", ""),
        "",
        "",
        "",
    )));
    shown.extend(refused(&setup(TAKEOFF, ROLLS, "", "", "currency = \"GBP\"")));
    shown.insert(Choice::parse("nothing", "--option").unwrap_err().code.id);
    shown.extend(ids(&choice::read("options.csv", b"option,key,value\nshort,,3 m\n").1));
    let findings = uncertain("uncertainty,kind\n101,pipe\n5,valve\n").1;
    assert_eq!(ids(&findings), ["C004", "C008"]);
    shown.extend(ids(&findings));
    shown.extend(huge_labour());
    shown.extend(few_spares());
    shown.extend(ids(&uncounted_freight()));
    shown.extend(ids(&freight_unknown("")));
    shown.extend(ids(&below_one("0.2").1));
    for code in codes::ALL {
        assert!(shown.contains(code.id), "{} {} has no example", code.id, code.title);
    }
}

proptest::proptest! {
    #![proptest_config(proptest::test_runner::Config::with_cases(16))]

    #[test]
    fn random_jobs_are_priced_to_the_cent_and_the_millimetre(
        lengths in proptest::collection::vec(400_u32..40_000, 1..5),
        sizes in proptest::collection::vec(0_usize..4, 5),
        elbows in 1_u32..9,
        cents in (1_u32..100_000, 1_u32..100_000, 0_u32..300),
        shelf in proptest::bool::ANY,
        spares in 0_u32..3,
    ) {
        let names = ["NPS 2", "NPS 4", "NPS 8", "NPS 14"];
        let mut takeoff = "item,area,line,kind,size,length,quantity,build\n".to_owned();
        for (at, length) in lengths.iter().enumerate() {
            let size = names[sizes[at]];
            let _ = writeln!(takeoff, "P{at},a{},l,pipe,{size},{length},1,10+5", at % 2);
        }
        let _ = writeln!(takeoff, "E,a,l2,elbow,{},,{elbows},10+5", names[sizes[4]]);
        let rolls = format!(
            "roll,thickness,width,length,price,per_pallet\nA,10,1500,20 m,{}.{:02},3\nB,5,1500,30 m,{}.{:02},2\n",
            cents.0 / 100, cents.0 % 100, cents.1 / 100, cents.1 % 100
        );
        let rates = format!("[labour]\ncut_metre = 0.{:03}\n[freight]\npallet = 33.33\n", cents.2);
        let rules = format!("[order]\nspare_rolls = {spares}\n");
        let offcuts = "offcut,thickness,width,length,quantity\nO,10,1200,3 m,2\n";
        let setup = setup(&takeoff, &rolls, if shelf { offcuts } else { "" }, &rules, &rates);
        let solved = solve(&setup, &OPTIONS, &Quiet).unwrap();
        reconciles(&solved);
    }
}

//! Tests of prices: purchases by hand, rates with their mistakes, the file to fill in.

use super::buy::{self, Why};
use super::rates::{self, KEYS, Kind, Rate, Rates};
use crate::finding::Place;
use crate::nest::mix::Market;
use crate::nest::{self, Nesting, Options, Quiet, Status};
use crate::plan::wanted::Charges;
use crate::rules::Rules;
use crate::stock::{self, Roll, Terms};
use crate::units::{Length, Money};
use crate::{demand, plan, takeoff};

fn roll(terms: Terms, available: Option<u64>) -> Roll {
    Roll {
        id: "A".to_owned(),
        thickness: Length::from_mm(10),
        width: Length::from_mm(1500),
        length: Length::from_mm(40_000),
        price: Some(Money::from_units(100)),
        available,
        offered: true,
        courses: true,
        terms,
        place: Place::default(),
    }
}

fn with_pallets(each: i64) -> Rates {
    let mut rates = Rates::default();
    rates.amounts[Kind::Pallet as usize] =
        Rate { each: Money::from_units(each), placeholder: false };
    rates
}

#[test]
fn the_cheapest_quantity_is_bought() {
    let terms = Terms {
        breaks: vec![(10, Money::from_units(90)), (20, Money::from_units(70))],
        minimum: 4,
        per_pallet: Some(6),
        ..Terms::default()
    };
    // By hand, with pallets at 25: what is needed, what is bought, price, pallets, why.
    let cases = [
        (0, 0, 0, 0, Why::Needed),
        (1, 4, 400, 1, Why::Minimum),
        (5, 5, 500, 1, Why::Needed),
        // 9 cost 900 and 2 pallets, 10 cost 900 and 2 pallets: the smaller.
        (9, 9, 900, 2, Why::Needed),
        (10, 10, 900, 2, Why::Needed),
        // 15 cost 1350 and 3 pallets (1425); 20 cost 1400 and 4 (1500).
        (15, 15, 1350, 3, Why::Needed),
        // 17 cost 1530 and 3 (1605); 20 cost 1500.
        (17, 20, 1400, 4, Why::Break),
    ];
    for (need, count, price, pallets, why) in cases {
        let offer = buy::offer(&roll(terms.clone(), None), need, &with_pallets(25)).unwrap();
        let seen = (offer.count, offer.price, offer.pallets, offer.why);
        assert_eq!(seen, (count, Money::from_units(price), pallets, why), "{need}");
        assert_eq!(offer.freight, Money::from_units(25 * i64::try_from(pallets).unwrap()));
    }
    // With only 18 to be had the break at 20 is out of reach.
    let offer = buy::offer(&roll(terms, Some(18)), 17, &with_pallets(25)).unwrap();
    assert_eq!((offer.count, offer.price), (17, Money::from_units(1530)));
}

#[test]
fn what_cannot_be_had_is_not_bought() {
    let terms = |minimum: u64| Terms { minimum, ..Terms::default() };
    let rates = Rates::default();
    assert_eq!(buy::offer(&roll(terms(5), Some(1)), 1, &rates), None);
    assert_eq!(buy::offer(&roll(terms(0), Some(3)), 4, &rates), None);
    // Without a price the fewest that are sold are bought all the same; no break matters.
    let breaks = vec![(9, Money::from_units(1))];
    let unpriced = Roll { price: None, ..roll(Terms { breaks, ..terms(5) }, None) };
    let offer = buy::offer(&unpriced, 1, &rates).unwrap();
    assert_eq!((offer.count, offer.each, offer.price), (5, None, Money::ZERO));
    // More than can be counted is no offer; it does not wrap to a negative price.
    let dear = Roll { price: Some(Money::from_units(10_000)), ..roll(terms(1_000_000_000), None) };
    assert_eq!(buy::offer(&dear, 1, &rates), None);
}

#[test]
fn spares_go_to_the_most_that_is_cut_as_far_as_there_are_any() {
    let one = Roll { id: "B".to_owned(), ..roll(Terms::default(), Some(5)) };
    let other = roll(Terms::default(), None);
    let spared = |cut: &[(&Roll, u64)], spares: u64| {
        buy::spared(cut, spares, &with_pallets(25)).map(|s| (s.at, s.count, s.missing))
    };
    assert_eq!(spared(&[(&one, 4), (&other, 3)], 3), Some((0, 1, 2)));
    assert_eq!(spared(&[(&one, 4), (&other, 4)], 3), Some((1, 3, 0)));
    assert_eq!(spared(&[(&one, 0), (&other, 0)], 3), None);
    // Of as many to the one for which they cost less; of one price the first by name.
    assert_eq!(spared(&[(&one, 2), (&other, 2)], 3), Some((1, 3, 0)));
    let within =
        Roll { id: "C".to_owned(), ..roll(Terms { minimum: 5, ..Terms::default() }, None) };
    assert_eq!(spared(&[(&one, 2), (&other, 2), (&within, 2)], 3), Some((2, 3, 0)));
    let full = Terms { per_pallet: Some(2), ..Terms::default() };
    let freight = Roll { id: "0".to_owned(), ..roll(full, None) };
    assert_eq!(spared(&[(&freight, 2), (&one, 2)], 1), Some((1, 1, 0)));
    // A cheaper one that cannot give all of them does not get them.
    let cheap = Roll { price: Some(Money::from_units(1)), ..roll(Terms::default(), Some(3)) };
    assert_eq!(spared(&[(&one, 2), (&cheap, 2)], 2), Some((0, 2, 0)));
}

#[test]
fn rates_are_read_and_the_others_stay_placeholders() {
    let text =
        "currency = \"EUR\"\n[labour]\ncut_metre = 0.55\ntie = \"0.20\"\n[freight]\npallet = 85\n";
    let (read, findings) = rates::read("rates.toml", text.as_bytes());
    assert!(findings.is_empty(), "{findings:?}");
    let read = read.unwrap();
    let cents = |kind: Kind| (read.of(kind).each.whole_cents(), read.of(kind).placeholder);
    assert_eq!((cents(Kind::CutMetre), cents(Kind::Tie)), ((55, false), (20, false)));
    assert_eq!((cents(Kind::Pallet), cents(Kind::WrapPiece).1), ((8500, false), true));
    assert_eq!(read.currency, "EUR");
    let remarks = read.remarks();
    let remark = remarks.iter().next().unwrap();
    assert_eq!((remarks.len(), remark.code.id), (1, "C007"));
    assert!(remark.what.contains("cut_piece, wrap_piece") && !remark.what.contains("tie"));
    assert_eq!(rates::read("rates.toml", b"").0, Some(Rates::default()));
}

#[test]
fn every_mistake_in_rates_is_told() {
    let ids = |text: &str| -> Vec<&str> {
        let (read, findings) = rates::read("rates.toml", text.as_bytes());
        assert_eq!(read.is_none(), findings.has_errors());
        findings.iter().map(|finding| finding.code.id).collect()
    };
    for (text, code) in [
        ("[labour\ntie = 1", "C001"),
        ("[labor]\ntie = 1", "C002"),
        ("[labour]\nties = 1", "C002"),
        ("tie = 1", "C002"),
        ("labour = 1", "C002"),
        ("[labour]\ntie = \"0,45\"", "C003"),
        ("[labour]\ntie = true", "C003"),
        ("[labour]\ntie = \"EUR 1\"", "C003"),
        ("[labour]\ntie = -0.45", "C004"),
        ("currency = 5", "C003"),
        ("currency = \"5 EUR\"", "C003"),
    ] {
        assert_eq!(ids(text), [code], "{text}");
    }
    assert_eq!(ids("[labour]\ntie = -1\ncut_metre = true\nx = 1"), ["C004", "C003", "C002"]);
}

#[test]
fn the_file_to_fill_in_reads_back() {
    let bare = rates::template();
    assert_eq!(rates::read("rates.toml", bare.as_bytes()).0, Some(Rates::default()));
    let filled: String = bare
        .lines()
        .map(|line| line.strip_prefix("# ").filter(|l| l.contains(" = ")).unwrap_or(line))
        .fold(String::new(), |text, line| text + line + "\n");
    let (read, findings) = rates::read("rates.toml", filled.as_bytes());
    assert!(findings.is_empty(), "{findings:?}\n{filled}");
    let read = read.unwrap();
    assert!(read.amounts.iter().all(|rate| !rate.placeholder) && read.currency == "EUR");
    for (key, rate) in KEYS.iter().zip(&read.amounts) {
        assert_eq!(rate.each, key.placeholder, "{}", key.name);
    }
}

proptest::proptest! {
    #![proptest_config(proptest::test_runner::Config::with_cases(200))]

    #[test]
    fn no_bytes_stop_the_reader(bytes in proptest::collection::vec(proptest::num::u8::ANY, 0..200)) {
        let (read, findings) = rates::read("rates.toml", &bytes);
        proptest::prop_assert_eq!(read.is_none(), findings.has_errors());
    }

    /// No quantity from the need upwards costs less than the one that is bought.
    #[test]
    fn nothing_cheaper_was_passed_over(
        need in 1_u64..60, minimum in 0_u64..30, steps in proptest::collection::vec((1_u64..20, 1_i64..100), 0..4),
        pallet in 0_i64..50, on_one in 1_u64..10,
    ) {
        let mut from = 0;
        let breaks = steps.iter().map(|(more, price)| { from += more; (from, Money::from_units(*price)) }).collect();
        let terms = Terms { breaks, minimum, per_pallet: Some(on_one), ..Terms::default() };
        let (roll, rates) = (roll(terms, None), with_pallets(pallet));
        let offer = buy::offer(&roll, need, &rates).unwrap();
        proptest::prop_assert!(offer.count >= need.max(minimum));
        for count in need.max(minimum)..200 {
            // Each quantity priced by the list itself.
            let each = roll.terms.breaks.iter().rfind(|(from, _)| *from <= count)
                .map_or(Money::from_units(100), |(_, price)| *price);
            let all = each.checked_times(count).unwrap()
                + Money::from_units(pallet).checked_times(count.div_ceil(on_one)).unwrap();
            proptest::prop_assert!(offer.price + offer.freight <= all, "{} for {}", count, need);
        }
    }
}

/// One roll holds the pieces, of either width: also from pulls of the dear product the cheap one is bought.
#[test]
fn of_as_few_rolls_the_cheaper_are_bought_from_known_pulls_too() {
    let takeoff = "item,line,kind,size,length,quantity,build\n\
        P-1,L-1,pipe,NPS 3,3.5 m,5,10+10\nP-2,L-1,pipe,NPS 4,1.8 m,5,10+10\n";
    let rolls = "roll,thickness,width,length,price\nW,10,1500,40 m,740\nN,10,1200,40 m,550\n";
    let mut rules = Rules::default();
    rules.turning.quarter_turns = true;
    let (takeoff, _) = takeoff::read("takeoff.csv", takeoff.as_bytes(), &rules);
    let (rolls, _) = stock::read_rolls("rolls.csv", rolls.as_bytes());
    let (stock, _) = stock::combine(rolls.expect("rolls"), Vec::new());
    let (takeoff, stock) = (takeoff.expect("a takeoff"), stock.expect("stock"));
    let demand = demand::expand(&takeoff, &stock, &rules).0.expect("pieces");
    let sheets = plan::job::wanted("t", &demand, &stock, &rules);
    assert_eq!(sheets[0].charges, Charges::Listed, "nothing is paid but prices");
    let (instance, rates) = (sheets[0].instance(), Rates::default());
    let options = Options { seed: 1, work: 1_000_000 };
    let dear = nest::solve(&instance, &options, &Quiet).expect("an answer");
    let roll = |nesting: &Nesting| instance.rolls[nesting.layouts[0].roll].id.clone();
    assert_eq!((dear.value, roll(&dear).as_str()), (1, "W"));
    let known = nest::straight::laid(&instance, &dear.layouts);
    for known in [&[][..], &known] {
        let market = (&stock, &rates);
        let cheap = super::market::nested_from((&sheets[0], known), market, &options, &Quiet);
        let cheap = cheap.expect("an answer");
        assert_eq!((cheap.value, roll(&cheap).as_str()), (1, "N"));
        assert_eq!((cheap.bound, cheap.status), (1, Status::Proven));
    }
}

/// By hand: ten pieces of 1500 by 1100 mm fill two rolls of 6 m, or one of 12 m, which is sold from fifty on for 5,500.
#[test]
fn more_rolls_are_not_taken_where_fewer_are_asked_for() {
    let stock =
        "roll,thickness,width,length,price,minimum\nA,10,1500,6 m,100,\nB,10,1500,12 m,110,50\n";
    let takeoff = "item,line,kind,size,length,quantity,build\nP-1,L-1,pipe,OD 320,15 m,1,10\n";
    let rules = Rules::default();
    let (takeoff, _) = takeoff::read("takeoff.csv", takeoff.as_bytes(), &rules);
    let (rolls, _) = stock::read_rolls("rolls.csv", stock.as_bytes());
    let (stock, _) = stock::combine(rolls.expect("rolls"), Vec::new());
    let (takeoff, stock) = (takeoff.expect("a takeoff"), stock.expect("stock"));
    let demand = demand::expand(&takeoff, &stock, &rules).0.expect("pieces");
    let sheets = plan::job::wanted("t", &demand, &stock, &rules);
    let options = Options { seed: 1, work: 1_000_000 };
    let fewest = nest::solve(&sheets[0].instance(), &options, &Quiet).expect("an answer");
    let market = (&stock, &Rates::default());
    let nested = super::market::nested(&sheets[0], market, &options, &Quiet).expect("an answer");
    assert_eq!((fewest.value, nested.value), (1, 1));
    assert_eq!(sheets[0].charges, Charges::Terms, "a minimum makes cheap rolls dear");
}

/// The fewest that are sold are bought even where next to nothing is cut, and each may come at its dearest.
#[test]
fn the_fewest_that_are_sold_are_counted_at_their_dearest() {
    let told = |terms: Terms, price: i64| -> Vec<String> {
        let roll = Roll { price: Some(Money::from_units(price)), ..roll(terms, None) };
        let stock = stock::Stock { rolls: vec![roll], offcuts: Vec::new() };
        let (demand, rules, rates) =
            (demand::Demand::default(), Rules::default(), Rates::default());
        let found = super::countable(&demand, &stock, &rules, &rates);
        found.iter().map(|finding| finding.what.clone()).collect()
    };
    let many = Terms { minimum: 1_000_000_000, ..Terms::default() };
    let dear = told(many.clone(), 10_000);
    assert!(dear[0].contains("1000000000 of the roll `A` (the fewest that are sold)"), "{dear:?}");
    let breaks = vec![(2, Money::from_units(10_000))];
    assert_eq!(told(Terms { breaks, ..many.clone() }, 1), dear);
    assert!(told(many, 1).is_empty() && told(Terms::default(), 10_000).is_empty());
}

/// Two spares of 5 mm were ordered before, of 10 mm none.
#[test]
fn spares_of_another_thickness_were_not_ordered_before() {
    let mut plan = plan::sample::plan(1, 1);
    let five = plan::SparesOrdered { thickness: Length::from_mm(5), count: 2 };
    plan.already = Some(plan::Already { spares: vec![five], ..plan::Already::default() });
    let rolls =
        ["roll-1", "roll-2"].map(|id| Roll { id: id.to_owned(), ..roll(Terms::default(), None) });
    let needs = buy::needs(&plan, &rolls, 2, &Rates::default());
    let spares: Vec<(&str, u64)> = needs.iter().map(|n| (n.roll.id.as_str(), n.spare)).collect();
    assert_eq!(spares, [("roll-1", 0), ("roll-2", 2)]);
}

/// By hand: of three rolls of A two are cut and one is left as a spare, of B both spares are to be had; so of as many
/// cut B gets them.
#[test]
fn a_market_knows_its_minimums_and_who_gets_the_spares() {
    let market = |lines: &str, spares: u64, see: &dyn Fn(&dyn Market)| {
        let takeoff = "item,line,kind,size,length,quantity,build\nP-1,L-1,pipe,OD 320,15 m,1,10\n";
        let (mut rules, rates) = (Rules::default(), Rates::default());
        rules.order.spare_rolls = spares;
        let (takeoff, _) = takeoff::read("takeoff.csv", takeoff.as_bytes(), &rules);
        let text = format!("roll,thickness,width,length,price,available,minimum\n{lines}");
        let (rolls, _) = stock::read_rolls("rolls.csv", text.as_bytes());
        let stock = stock::Stock { rolls: rolls.expect("rolls"), offcuts: Vec::new() };
        let takeoff = takeoff.expect("a takeoff");
        let demand = demand::expand(&takeoff, &stock, &rules).0.expect("pieces");
        let sheets = plan::job::wanted("t", &demand, &stock, &rules);
        see(&super::market::Offers::new(&sheets[0], &stock, &rates));
    };
    market("A,10,1500,6 m,100,3,\nB,10,1500,6 m,100,,\n", 2, &|market| {
        assert_eq!((market.most_beside(0, 2, 1), market.most_beside(1, 2, 0)), (1, 2));
    });
    market("A,10,1500,6 m,100,,5\n", 0, &|market| assert!(!market.plain()));
    market("A,10,1500,6 m,100,,\n", 0, &|market| assert!(market.plain()));
}

//! Tests of the door: rolls and offcuts read whole, every mistake told.

use super::*;
use crate::cutting::Objective;
use crate::finding::codes::stock as codes;
use crate::finding::{Findings, Place};
use crate::rules::{Order, Rules, Table};
use crate::units::{Length, Money};
use std::collections::BTreeSet;

fn rolls(lines: &str) -> (Option<Vec<Roll>>, Findings) {
    let text = format!("roll,thickness,width,length,price,available\n{lines}\n");
    let (rolls, findings) = read_rolls("rolls.csv", text.as_bytes());
    assert_eq!(rolls.is_none(), findings.has_errors());
    (rolls, findings)
}

fn offcuts(lines: &str) -> (Option<Vec<Offcut>>, Findings) {
    let text = format!("offcut,thickness,width,length,quantity,place\n{lines}\n");
    read_offcuts("offcuts.csv", text.as_bytes())
}

fn ids(findings: &Findings) -> Vec<&'static str> {
    findings.iter().map(|f| f.code.id).collect()
}

/// A currency belongs to a price; a length that is shown as money is told, not read.
#[test]
fn a_length_shown_as_money_in_a_workbook_is_told() {
    let read = |money: u16| {
        let mut book = rust_xlsxwriter::Workbook::new();
        let sheet = book.add_worksheet();
        let headings = ["roll", "thickness", "width", "length", "price", "currency"];
        for (at, heading) in (0_u16..).zip(headings) {
            sheet.write(0, at, heading).unwrap();
        }
        sheet.write(1, 0, "A").unwrap();
        let euros = rust_xlsxwriter::Format::new().set_num_format("#,##0.00\\ [$€-407]");
        for (at, number) in [(1, 10.0), (2, 1500.0), (3, 20000.0), (4, 310.5)] {
            if at == money {
                sheet.write_with_format(1, at, number, &euros).unwrap();
            } else {
                sheet.write(1, at, number).unwrap();
            }
        }
        sheet.write(1, 5, "EUR").unwrap();
        let (rolls, findings) = read_rolls("rolls.xlsx", &book.save_to_buffer().unwrap());
        let told: Vec<String> = findings.iter().map(ToString::to_string).collect();
        (rolls.and_then(|mut rolls| rolls.remove(0).price), told)
    };
    assert_eq!(read(4), (Some(Money::from_micros(310_500_000)), Vec::new()));
    let (_, told) = read(3);
    assert!(
        told.len() == 1 && told[0].contains("D2 (length): error S002: `20000 €` is not"),
        "{told:?}"
    );
}

/// It is an amount, if one too large, and nothing is said of lengths.
#[test]
fn a_price_that_is_too_large_is_told_as_one() {
    for price in ["9999999999.99", "99999999999999999999", "-9999999999.99"] {
        let list = format!("roll,thickness,width,length,price\nW,10,1500,40 m,{price}\n");
        let (_, findings) = read_rolls("rolls.csv", list.as_bytes());
        let told: Vec<String> = findings.iter().map(ToString::to_string).collect();
        let wanted = format!("error S003: `{price}` is a larger amount than is counted here");
        assert!(told.len() == 1 && told[0].contains(&wanted), "{told:?}");
        assert!(told[0].contains("at most 1000000000") && !told[0].contains("km"), "{told:?}");
    }
}

/// As items of the takeoff are: read as two, and told.
#[test]
fn names_that_differ_in_capitals_only_are_told() {
    let (read, findings) =
        offcuts("O-1,10,800,2 m,1,rack\no-1,10,800,2 m,1,rack\nO-2,10,800,2 m,1,rack");
    assert_eq!(read.map(|offcuts| offcuts.len()), Some(3));
    let told: Vec<String> = findings.iter().map(ToString::to_string).collect();
    assert_eq!(told.len(), 1, "{told:?}");
    let start = "offcuts.csv:3: warning S081: the names `o-1` and `O-1` at offcuts.csv:2 differ in capitals only";
    assert!(told[0].starts_with(start), "{told:?}");
}

/// A name on a line that holds another mistake was not compared: it was told only once that was mended.
#[test]
fn names_are_told_twice_on_lines_with_other_mistakes() {
    let (_, findings) =
        rolls("A,10,1500 mm,20 m,abc,\nA,10,wide,20 m,,\n,10,1500 mm,x,,\n,10,1500 mm,x,,");
    let twice = findings.iter().filter(|f| f.code.id == codes::TWICE.id);
    assert_eq!(twice.map(|f| f.place.clone()).collect::<Vec<_>>(), [Place::line("rolls.csv", 3)]);
    let (_, findings) = offcuts("O-1,10,800,x,1,rack\nO-1,10,800,2 m,none,rack");
    assert_eq!(findings.iter().filter(|f| f.code.id == codes::TWICE.id).count(), 1);
}

#[test]
fn rolls_are_read_whole() {
    let (read, findings) = rolls("A,10,1500 mm,20 m,310.50,12\nB,5,59 1/16 in,131 ft,,");
    assert!(findings.is_empty(), "{findings:?}");
    let expected = [
        Roll {
            id: "A".into(),
            thickness: Length::from_mm(10),
            width: Length::from_mm(1500),
            length: Length::from_mm(20_000),
            price: Some(Money::from_micros(310_500_000)),
            available: Some(12),
            offered: true,
            courses: true,
            terms: Terms::default(),
            place: Place::line("rolls.csv", 2),
        },
        Roll {
            id: "B".into(),
            thickness: Length::from_mm(5),
            // 59 1/16 in = 59.0625 x 25.4 mm and 131 ft = 131 x 304.8 mm exactly.
            width: Length::from_nm(1_500_187_500),
            length: Length::from_nm(39_928_800_000),
            price: None,
            available: None,
            offered: true,
            courses: true,
            terms: Terms::default(),
            place: Place::line("rolls.csv", 3),
        },
    ];
    assert_eq!(read.as_deref(), Some(expected.as_slice()));
}

#[test]
fn terms_are_read_whole() {
    let read = |cells: &str| {
        let text = format!(
            "roll,thickness,width,length,price,currency,breaks,minimum,per_pallet\nA,10,1500,20 m,{cells}\n"
        );
        let (rolls, findings) = read_rolls("rolls.csv", text.as_bytes());
        (rolls.map(|mut rolls| rolls.remove(0).terms), ids(&findings))
    };
    let money = Money::from_micros;
    let terms = Terms {
        currency: "EUR".to_owned(),
        breaks: vec![(20, money(295_500_000)), (50, money(280_000_000))],
        minimum: 5,
        per_pallet: Some(6),
    };
    assert_eq!(read("310,EUR,20: 295.50 | 50:280,5,6"), (Some(terms), Vec::new()));
    assert_eq!(read("310,,,,"), (Some(Terms::default()), Vec::new()));
    let finer = Terms { breaks: vec![(20, money(295_125_000))], ..Terms::default() };
    assert_eq!(read("310,,20: 295.125,,"), (Some(finer), vec!["S011"]));
    // A slipped point, against the price of one and against the break before.
    assert_eq!(read("310,,20: 2955,,").1, ["S080"]);
    assert_eq!(read("310,,20: 280 | 50: 295,,").1, ["S080"]);
    assert_eq!(read("310,,20: 310,,").1, Vec::<&str>::new());
    // One the other way, and half of it, which may be right.
    assert_eq!(read("310,,20: 29.55 | 50: 28,,").1, ["S060"]);
    assert_eq!(read("310,,20: 300 | 50: 29,,").1, ["S060"]);
    assert_eq!(read("310,,20: 155,,").1, Vec::<&str>::new());
    for (cells, code) in [
        ("\"310,50\",,,,", "S002"),
        ("310,,20 295,,", "S002"),
        ("310,,\"20: 295,00\",,", "S002"),
        ("310,,50: 280 | 20: 295,,", "S002"),
        ("310,,20: -1,,", "S003"),
        ("310,,0: 1,,", "S003"),
        ("310,,,0,", "S003"),
        ("310,,,,none", "S002"),
        ("310,1 EUR,,,", "S002"),
    ] {
        assert_eq!(read(cells), (None, vec![code]), "{cells}");
    }
}

/// What a roll says of which so many can be had and so many are the fewest sold.
fn fewest(available: &str, minimum: &str) -> Vec<&'static str> {
    let text = format!(
        "roll,thickness,width,length,price,available,minimum\nA,10,1500,20 m,1,{available},{minimum}\n"
    );
    ids(&read_rolls("rolls.csv", text.as_bytes()).1)
}

#[test]
fn no_more_are_the_fewest_sold_than_can_be_had() {
    assert_eq!(fewest("1", "5"), ["S008"]);
    for (available, minimum) in [("5", "5"), ("", "5"), ("1", ""), ("0", "5")] {
        assert_eq!(fewest(available, minimum), Vec::<&str>::new(), "{available} {minimum}");
    }
}

#[test]
fn offcuts_are_read_whole_and_a_shelf_may_be_empty() {
    let (read, findings) = offcuts("O-1,10,400,1.2 m,,rack 3\nO-2,5,300,500,4,");
    assert!(findings.is_empty(), "{findings:?}");
    let read = read.unwrap();
    assert_eq!((read[0].quantity, read[0].shelf.as_str()), (1, "rack 3"));
    assert_eq!((read[1].quantity, read[1].length), (4, Length::from_mm(500)));
    let (none, findings) = read_offcuts("offcuts.csv", b"offcut,thickness,width,length\r\n");
    assert_eq!((none, findings.len()), (Some(Vec::new()), 0));
}

/// A roll that courses are not laid out for is on offer all the same; of each thickness one must be left.
#[test]
fn courses_may_be_laid_out_for_some_rolls_alone() {
    let read = |lines: &str| {
        let text = format!("roll,thickness,width,length,available,courses\n{lines}");
        let (rolls, findings) = read_rolls("rolls.csv", text.as_bytes());
        let laid = rolls.map(|rolls| {
            rolls.iter().map(|r| (r.offered, r.is_laid_out_for())).collect::<Vec<_>>()
        });
        (laid, ids(&findings))
    };
    let both = "W,10,1500,20 m,3,no\nN,10,1000,20 m,,YES\nM,10,900,20 m,0,\n";
    assert_eq!(read(both), (Some(vec![(true, false), (true, true), (false, false)]), vec![]));
    assert_eq!(read("W,10,1500,20 m,,no\nN,10,1000,20 m,,no\n").1, ["S090"]);
    assert_eq!(read("W,10,1500,20 m,,no\nN,10,1000,20 m,0,\n").1, ["S090"]);
    assert_eq!(read("W,10,1500,20 m,,never\n").1, ["S002"]);
    // What to do where they do not suffice names it, and where it is said already no more.
    let remedy = |lines: &str| {
        let text = format!("roll,thickness,width,length,available,courses\n{lines}");
        let rolls = read_rolls("rolls.csv", text.as_bytes()).0.unwrap();
        Stock { rolls, offcuts: Vec::new() }.more(Some(Length::from_mm(10)), "")
    };
    let told = remedy("W,10,1500,20 m,3,\nN,10,1000,20 m,,\n");
    assert!(told.contains("write no into the column `courses` of `W`"), "{told}");
    let told = remedy("W,10,1500,20 m,3,no\nN,10,1000,20 m,3,\n");
    assert!(!told.contains("courses"), "{told}");
}

/// Lines of `rolls.csv` with a mistake, and the codes they must give.
const MISTAKES: &[(&str, &[&str])] = &[
    (",10,1500,20000,,", &["S001"]),
    ("A,,1500,20000,,", &["S001"]),
    ("A,10,,20000,,", &["S001"]),
    ("A,10,1500,,,", &["S001"]),
    ("A,ten,1500,20000,,", &["S002"]),
    ("A,10,1500,20000,EUR 300,", &["S002"]),
    ("A,10,1500,20000,\"1,300\",", &["S002"]),
    ("A,10,1500,20000,,some", &["S002"]),
    ("A,10,1500,20000,,2.5", &["S002"]),
    ("A,0,1500,20000,,", &["S003"]),
    ("A,10,-1500,20000,,", &["S003"]),
    ("A,10,1500,20 km,,", &["S002"]),
    ("A,10,1500,20000 m,,", &["S003"]),
    ("A,200,1500,20000,,", &["S003"]),
    ("A,10,1500,20000,-1,", &["S003"]),
    ("A,10,1500,20000,,-1", &["S003"]),
    ("A,10,1500,20000,,\nA,5,1500,20000,,", &["S004"]),
    ("A,10,1500,20000,,\na,5,1500,20000,,", &["S081"]),
    ("A,10,1500,20,,", &["S005"]),
    ("A,10,1500,3000 m,,", &["S009"]),
    ("A,10,4000,20 m,,", &["S009"]),
    ("A,10,3000,200 m,,", &[]),
    ("A,10,1500,20 m,81.333333,", &["S011"]),
    ("A,10,1500,20 m,81.330,", &[]),
];

#[test]
fn every_mistake_is_told() {
    for (lines, expected) in MISTAKES {
        let (_, findings) = rolls(lines);
        assert_eq!(ids(&findings), *expected, "{lines}: {findings:?}");
    }
    let (_, findings) = rolls("A,ten,-1,,x,y");
    assert_eq!(ids(&findings), ["S002", "S003", "S001", "S002", "S002"]);
    let (_, findings) = rolls(&format!("{},10,1500,20000,,", "A".repeat(61)));
    assert_eq!(ids(&findings), ["S003"]);
    let (longest, findings) = rolls(&format!("{},10,1500,20000,,", "A".repeat(60)));
    assert!(findings.is_empty() && longest.is_some(), "{findings:?}");
    let (_, findings) = offcuts("O,10,400,400,0,\nO,10,400,400,1,");
    assert_eq!(ids(&findings), ["S003", "S004"]);
    let (_, findings) = offcuts("O,10,400,400,2,\nO,10,400,400,1,");
    assert_eq!(ids(&findings), ["S004"]);
}

#[test]
fn a_roll_that_is_wider_than_long_is_told_with_the_unit_that_was_meant() {
    let told = |length: &str| {
        let (_, findings) = rolls(&format!("A,10,1500,{length},,"));
        findings.iter().next().unwrap().remedy.clone()
    };
    assert!(
        told("30").starts_with("is the length in metres or feet? Then write `30 m` or `30 ft`;"),
        "{}",
        told("30")
    );
    assert!(told("1200").starts_with("exchange width and length if"), "{}", told("1200"));
    assert!(told("30 mm").starts_with("exchange"), "{}", told("30 mm"));
}

/// A size outside what can be meant is guessed as one in the other unit that people leave out.
#[test]
fn a_size_out_of_range_is_told_with_the_unit_that_was_meant() {
    let told = |sizes: &str| {
        let (_, findings) = rolls(&format!("A,{sizes},,"));
        findings
            .iter()
            .map(|f| format!("{} {}", f.code.id, f.remedy))
            .collect::<Vec<_>>()
            .join("; ")
    };
    let limits = "else give a value from 10 mm to 10 m";
    assert_eq!(told("10,1.5,30 m"), format!("S003 is it metres? Then write `1.5 m`, {limits}"));
    let wide = told("10,1500 m,30 m");
    assert_eq!(wide, format!("S003 is it millimetres? Then write `1500`, {limits}"));
    assert!(told("0.01,1500,30 m").contains("`0.01 m`, else"), "{}", told("0.01,1500,30 m"));
    // No unit brings these inside.
    for sizes in ["10,0.001,30 m", "10,-1.5,30 m", "10,50000 m,30 m", "10,99 ft,30 m"] {
        assert_eq!(told(sizes), "S003 give a value from 10 mm to 10 m", "{sizes}");
    }
}

/// A price that a workbook's number format shows with a currency is a number.
#[test]
fn a_currency_in_a_number_format_is_no_part_of_the_price() {
    let book = |lines: &[(&str, f64, &str)]| {
        let mut book = rust_xlsxwriter::Workbook::new();
        let sheet = book.add_worksheet();
        let headings = ["roll", "thickness", "width", "length", "price", "currency"];
        for (at, heading) in (0_u16..).zip(headings) {
            sheet.write(0, at, heading).unwrap();
        }
        for ((line, name), (format, price, currency)) in (1..).zip(["A", "B"]).zip(lines) {
            for (at, cell) in (0_u16..).zip([name, "10", "1500", "20 m"]) {
                sheet.write(line, at, cell).unwrap();
            }
            let format = rust_xlsxwriter::Format::new().set_num_format(*format);
            sheet.write_with_format(line, 4, *price, &format).unwrap();
            sheet.write(line, 5, *currency).unwrap();
        }
        read_rolls("rolls.xlsx", &book.save_to_buffer().unwrap())
    };
    let read = |format: &str, currency: &str| {
        let (rolls, findings) = book(&[(format, 700.5, currency)]);
        (rolls.and_then(|rolls| rolls[0].price).map(Money::cents), ids(&findings))
    };
    let right = (Some("700.50".to_owned()), Vec::new());
    assert_eq!(read("0.00 \"EUR\"", ""), right);
    assert_eq!(read("\"EUR\" #,##0.00", "eur"), right);
    assert_eq!(read("[$€-407] #,##0.00", "EUR"), right);
    // A line without one is in that of the others.
    let two = |one: (&str, f64, &str), format: &str| ids(&book(&[one, (format, 480.0, "")]).1);
    let named = ("General", 700.0, "EUR");
    assert_eq!(two(named, "0 \"EUR\""), Vec::<&str>::new());
    assert_eq!(two(named, "0 \"USD\""), vec!["S002"]);
    // Two in one list, and no line names one.
    let unnamed = ("0 €", 700.0, "");
    assert_eq!(two(unnamed, "0 €"), Vec::<&str>::new());
    assert_eq!(two(unnamed, "[$$-409]0"), vec!["S002"]);
    // Another currency than the row's, in words or by its sign, and words that are none.
    assert_eq!(read("[$$-409]0.00", "EUR"), (None, vec!["S002"]));
    assert_eq!(read("0.00 €", "USD"), (None, vec!["S002"]));
    assert_eq!(read("0.00 \"USD\"", "EUR"), (None, vec!["S002"]));
    assert_eq!(read("0.00 \"per roll\"", ""), (None, vec!["S002"]));
}

#[test]
fn a_name_may_not_serve_for_a_roll_and_an_offcut() {
    let (stock, findings) =
        combine(rolls("A,10,1500,20000,,").0.unwrap(), offcuts("A,10,400,400,1,").0.unwrap());
    assert!(stock.is_none());
    let text = findings.iter().next().unwrap().to_string();
    assert!(
        text.starts_with("offcuts.csv:2: error S004") && text.contains("rolls.csv:2"),
        "{text}"
    );
    let (stock, findings) =
        combine(rolls("A,10,1500,20000,,").0.unwrap(), offcuts("O,10,400,400,1,").0.unwrap());
    assert!(stock.is_some_and(|s| s.rolls.len() == 1 && s.offcuts.len() == 1));
    assert!(findings.is_empty());
}

/// What is said of offcuts beside rolls of 10 mm, 1500 mm by 20 m, and of 5 mm, 1000 mm by 60 m.
fn larger(lines: &str) -> Vec<(&'static str, String)> {
    let (offcuts, found) = offcuts(lines);
    let mut all: Vec<_> = found.iter().map(|f| (f.code.id, f.to_string())).collect();
    let rolls = rolls("A,10,1500,20 m,,\nB,5,1000,60 m,,").0.unwrap();
    let (stock, found) = combine(rolls, offcuts.unwrap());
    assert!(stock.is_some());
    all.extend(found.iter().map(|f| (f.code.id, f.to_string())));
    all
}

#[test]
fn offcuts_larger_than_rolls_or_tiny_are_told() {
    assert!(larger("O,10,1500,20 m,1,\nQ,5,1000,60 m,1,").is_empty());
    // Of another thickness: above all rolls of any.
    assert!(larger("O,20,1500,60 m,1,").is_empty());
    let other = larger("O,20,5000,60 m,1,");
    assert!(
        other.len() == 1 && other[0].1.contains("no roll on offer is above 1500 mm"),
        "{other:?}"
    );
    let found = larger("O,10,5000,400,1,\nQ,5,1200,60 m,1,\nX,10,400,8400 m,1,\nY,10,400,12.4,1,");
    let ids: Vec<&str> = found.iter().map(|(id, _)| *id).collect();
    assert_eq!(ids, ["S009", "S010", "S010", "S010"]);
    assert!(
        found[0].1.contains("is it metres or feet? Then write `12.4 m` or `12.4 ft`"),
        "{found:?}"
    );
    assert!(
        found[1].1.contains("offcuts.csv:2 (width)")
            && found[1].1.contains("5000 mm wide, and no roll of 10 mm on offer is above 1500 mm"),
        "{found:?}"
    );
}

/// What the rules say against a roll of 1500 x 20,000 mm without a price.
fn against(rules: &Rules) -> Vec<&'static str> {
    let stock = Stock { rolls: rolls("A,10,1500,20000,,").0.unwrap(), offcuts: Vec::new() };
    ids(&check_against_rules(&stock, rules))
}

#[test]
fn rules_that_leave_nothing_or_need_a_price_are_told() {
    let table = |edge: i64, square: i64| Rules {
        table: Table {
            edge_trim: Length::from_mm(edge),
            square_cut: Length::from_mm(square),
            ..Table::default()
        },
        ..Rules::default()
    };
    assert_eq!(against(&Rules::default()), Vec::<&str>::new());
    assert_eq!(against(&table(750, 0)), ["S006"]);
    assert_eq!(against(&table(749, 19_999)), Vec::<&str>::new());
    assert_eq!(against(&table(0, 20_000)), ["S006"]);
    let price = Order { objective: Objective::Price, spare_rolls: 0 };
    let by_price = Rules { order: price, ..Rules::default() };
    assert_eq!(against(&by_price), ["S007"]);
    let gone = Stock { rolls: rolls("A,10,1500,20000,,0").0.unwrap(), offcuts: Vec::new() };
    assert!(
        check_against_rules(&gone, &by_price).is_empty(),
        "what is not on offer needs no price"
    );
}

/// By hand: 1500 mm less two trims of 10 are 1480, 20 m less a square cut of 50 mm are 19,950; a pull is no longer than 3 m.
#[test]
fn a_roll_takes_what_its_trims_and_the_table_leave() {
    let [roll] = <[Roll; 1]>::try_from(rolls("A,10,1500,20000,,").0.unwrap()).unwrap();
    let mm = Length::from_mm;
    let table = |pull_limit| Table {
        edge_trim: mm(10),
        square_cut: mm(50),
        pull_limit,
        ..Table::default()
    };
    let takes = |across, along, limit| roll.takes((mm(across), mm(along)), &table(limit));
    assert!(takes(1480, 19_950, None) && takes(1480, 3000, Some(mm(3000))));
    assert!(!takes(1481, 19_950, None) && !takes(1480, 19_951, None));
    assert!(!takes(1480, 3001, Some(mm(3000))));
}

#[test]
fn every_code_has_an_example() {
    let mut shown: BTreeSet<&str> = MISTAKES.iter().flat_map(|(_, ids)| *ids).copied().collect();
    let price = Order { objective: Objective::Price, spare_rolls: 0 };
    let trimmed = Table { edge_trim: Length::from_mm(750), ..Table::default() };
    shown.extend(against(&Rules { order: price, table: trimmed, ..Rules::default() }));
    shown.extend(fewest("1", "5"));
    let dearer = "roll,thickness,width,length,price,breaks\nA,10,1500,20 m,310,20: 2955\n";
    shown.extend(ids(&read_rolls("rolls.csv", dearer.as_bytes()).1));
    let cheap = "roll,thickness,width,length,price,breaks\nA,10,1500,20 m,310,20: 29.55\n";
    shown.extend(ids(&read_rolls("rolls.csv", cheap.as_bytes()).1));
    shown.extend(ids(&rolls("A,10,1500,20 m,0,").1));
    shown.extend(larger("O,10,5000,400,1,").iter().map(|(id, _)| *id));
    let none = "roll,thickness,width,length,courses\nA,10,1500,20 m,no\n";
    shown.extend(ids(&read_rolls("rolls.csv", none.as_bytes()).1));
    for code in codes::ALL {
        assert!(shown.contains(code.id), "{} {} has no example", code.id, code.title);
    }
}

proptest::proptest! {
    #![proptest_config(proptest::test_runner::Config::with_cases(200))]

    #[test]
    fn no_bytes_stop_the_readers(bytes in proptest::collection::vec(proptest::num::u8::ANY, 0..200)) {
        let (rolls, findings) = read_rolls("rolls.csv", &bytes);
        proptest::prop_assert_eq!(rolls.is_none(), findings.has_errors());
        let (offcuts, findings) = read_offcuts("offcuts.csv", &bytes);
        proptest::prop_assert_eq!(offcuts.is_none(), findings.has_errors());
    }

    #[test]
    fn no_cells_stop_the_reader(cells in proptest::collection::vec("[-+=@0-9a-z .,\"'/]{0,6}", 6)) {
        let (rolls, findings) = rolls(&cells.join(","));
        proptest::prop_assert_eq!(rolls.is_none(), findings.has_errors());
    }

    #[test]
    fn what_is_written_is_read(
        thickness in 1_i64..=150, width in 10_i64..=10_000, length in 10_i64..=10_000_000,
        cents in 0_i64..100_000_000, available in 0_u64..1_000_000,
    ) {
        let price = format!("{}.{:02}", cents / 100, cents % 100);
        let line = format!("A,{thickness},{width},{length} mm,{price},{available}");
        let roll = rolls(&line).0.unwrap().remove(0);
        let sizes = [roll.thickness, roll.width, roll.length];
        proptest::prop_assert_eq!(sizes, [thickness, width, length].map(Length::from_mm));
        proptest::prop_assert_eq!(roll.price, Some(Money::from_micros(cents * 10_000)));
        proptest::prop_assert_eq!(roll.available, Some(available));
    }
}

use super::*;
use crate::cutting::{Style, Turns};
use crate::units::{Length, Money};

const GOOD: &str = r#"{ "name": "two", "source": "made up for this test",
  "rolls": [ { "id": "A", "width": "48 in", "length": 50000, "price": 310.5, "available": null } ],
  "pieces": [
    { "id": "p1", "width": "23 15/16 in", "length": "0.42 m", "quantity": 12, "turns": [0, 90] },
    { "id": "p2", "outline": [[10, 0], [110, 0], [60, 80.5]], "quantity": 8.0, "turns": null } ],
  "cutting": { "style": "free", "pull_limit": 3000, "gap": "1/8 in" },
  "objective": "price",
  "published": { "value": 931.5, "proven": true, "source": "by hand" } }"#;

fn ids(text: &str) -> Vec<&'static str> {
    match read("x.json", text.as_bytes()) {
        Ok(entries) => entries.iter().flat_map(|e| e.findings.iter().map(|f| f.code.id)).collect(),
        Err(findings) => findings.iter().map(|f| f.code.id).collect(),
    }
}

#[test]
fn units_defaults_and_outlines_are_read() {
    let entries = read("x.json", GOOD.as_bytes()).unwrap();
    assert!(entries[0].findings.is_empty(), "{:?}", entries[0].findings);
    let instance = entries[0].instance.as_ref().unwrap();
    // 23 15/16 in = 608.0125 mm and 1/8 in = 3.175 mm (1 in = 25.4 mm exactly).
    assert_eq!(instance.pieces[0].width, Length::from_nm(608_012_500));
    assert_eq!(instance.cutting.gap, Length::from_nm(3_175_000));
    assert_eq!(instance.pieces[0].turns, Turns::quarter());
    assert_eq!(instance.pieces[1].turns, Turns::Any);
    assert_eq!(instance.pieces[1].quantity, 8);
    let size = (instance.pieces[1].width, instance.pieces[1].length);
    assert_eq!(size, (Length::from_mm(100), Length::from_nm(80_500_000)));
    assert_eq!((instance.cutting.style, instance.cutting.stages), (Style::Free, None));
    assert_eq!(instance.rolls[0].price, Money::from_micros(310_500_000));
    assert_eq!(instance.published.as_ref().unwrap().value, Some(931_500_000));
}

#[test]
fn a_byte_order_mark_and_a_single_object_in_an_array_change_nothing() {
    let plain = read("x.json", GOOD.as_bytes()).unwrap();
    for text in [format!("\u{feff}{GOOD}"), format!("[{GOOD}]"), GOOD.replace('\n', "\r\n")] {
        let other = read("x.json", text.as_bytes()).unwrap();
        assert_eq!(other[0].instance, plain[0].instance);
    }
}

#[test]
fn whoever_left_a_word_out_is_told_which_there_are() {
    let cases = [
        (",\n  \"objective\": \"price\"", "rolls, price or length"),
        ("\"style\": \"free\", ", "straight or free"),
        (
            "\"cutting\": { \"style\": \"free\", \"pull_limit\": 3000, \"gap\": \"1/8 in\" },\n",
            "straight or free",
        ),
    ];
    for (left_out, words) in cases {
        assert!(GOOD.contains(left_out), "{left_out}");
        let entries = read("x.json", GOOD.replacen(left_out, "", 1).as_bytes()).unwrap();
        let told: Vec<String> = entries[0].findings.iter().map(ToString::to_string).collect();
        assert!(told[0].contains("is missing") && told[0].contains(words), "{told:?}");
    }
}

/// What is replaced in the good instance, by what, and the codes that must come of it.
const BAD: &[(&str, &str, &[&str])] = &[
    ("\"two\"", "\"two", &["N002"]),
    ("\"by hand\" } }", "\"by hand\" }", &["N002"]),
    ("\"name\": \"two\", ", "", &["N004"]),
    ("\"two\"", "17", &["N005"]),
    ("\"rolls\": [ {", "\"rolls\": [ 5, {", &["N005"]),
    ("\"width\": \"48 in\", ", "", &["N004"]),
    ("\"width\": \"48 in\"", "\"width\": null", &["N005"]),
    ("\"48 in\"", "\"48 parsecs\"", &["N005"]),
    ("\"48 in\"", "\"wide\"", &["N005"]),
    ("\"48 in\"", "-1", &["N008"]),
    ("\"48 in\"", "0", &["N008"]),
    ("50000", "1e300", &["N009"]),
    ("50000", "1000000001", &["N009"]),
    ("50000", "9223372036854775807", &["N009"]),
    ("50000", "99999999999999999999999999", &["N009"]),
    ("310.5", "-1", &["N008"]),
    ("310.5", "\"dear\"", &["N005"]),
    ("\"available\": null", "\"available\": 0", &["N011", "N012"]),
    ("\"available\": null", "\"available\": -2", &["N010"]),
    ("\"available\": null", "\"availabel\": 7", &["N006"]),
    ("\"quantity\": 12", "\"quantity\": 0", &["N010"]),
    ("\"quantity\": 12", "\"quantity\": 1.5", &["N010"]),
    ("\"quantity\": 12", "\"quantity\": \"12\"", &["N005"]),
    ("\"quantity\": 12", "\"quantity\": 18446744073709551616", &["N009"]),
    ("\"quantity\": 12", "\"quantity\": 18446744073709551615", &["N009"]),
    ("\"quantity\": 12, ", "", &["N004"]),
    ("\"quantity\": 12", "\"quantity\": 12, \"quantity\": 13", &["N007"]),
    ("\"id\": \"p2\"", "\"id\": \"p1\"", &["N014"]),
    ("[60, 80.5]", "[60, 0]", &["N015"]),
    (", [60, 80.5]", "", &["N015"]),
    ("[[10, 0], [110, 0], [60, 80.5]]", "[[0,0],[9,9],[9,0],[0,9]]", &["N015"]),
    ("[60, 80.5]", "[60]", &["N005"]),
    ("[60, 80.5]", "[60, \"high\"]", &["N005"]),
    ("\"quantity\": 8.0", "\"quantity\": 8, \"holes\": [[[40,5],[50,5],[45,9]]]", &["N016"]),
    ("\"quantity\": 8.0", "\"quantity\": 8, \"width\": 99", &["N017"]),
    ("\"free\"", "\"curly\"", &["N018"]),
    ("\"style\": \"free\"", "\"style\": \"straight\", \"stages\": 4", &["N019"]),
    ("\"style\": \"free\"", "\"style\": \"free\", \"stages\": 2", &["N020"]),
    ("\"price\",", "\"beauty\",", &["N021"]),
    ("[0, 90]", "[]", &["N022"]),
    ("[0, 90]", "[45]", &["N022"]),
    ("[0, 90]", "[0, 45]", &["N023"]),
    ("[0, 90]", "[\"left\"]", &["N005"]),
    ("\"0.42 m\"", "51000", &["N024"]),
    ("3000", "400", &["N024"]),
    ("\"gap\"", "\"edge_trim\": 700, \"gap\"", &["N025"]),
    ("\"length\": 50000", "\"length\": null", &["N026"]),
    ("\"objective\": \"price\"", "\"objective\": \"length\"", &["N026"]),
    ("\"price\": 310.5, ", "", &["N033"]),
    ("\"price\": 310.5", "\"price\": null", &["N033"]),
    ("\"available\": null", "\"available\": 1", &[]),
    (
        "\"length\": 50000, \"price\": 310.5, \"available\": null",
        "\"length\": 600, \"price\": 310.5, \"available\": 2",
        &["N027"],
    ),
    ("931.5", "\"best\"", &["N028"]),
];

#[test]
fn every_bad_input_gives_its_finding() {
    assert_eq!(ids(GOOD), Vec::<&str>::new());
    for (old, new, codes) in BAD {
        assert!(GOOD.contains(old), "`{old}` does not stand in the instance");
        let text = GOOD.replacen(old, new, 1);
        assert_eq!(ids(&text), *codes, "{old} -> {new}");
        let stops = codes.iter().any(|c| {
            crate::finding::codes::find(c).unwrap().severity == crate::finding::Severity::Error
        });
        let instance = read("x.json", text.as_bytes()).ok().and_then(|e| e[0].instance.clone());
        assert_eq!(instance.is_none(), stops, "{old} -> {new}");
    }
    for text in ["", "[]", "7", "null", "[7]", "{", "[{]"] {
        assert!(!ids(text).is_empty(), "{text}");
    }
    assert!(read("x.json", b"{\"name\": \"\xff\"}").is_err());
}

/// A thing of which there are three, each in one piece or in two.
const CHOOSING: &str = r#"{ "name": "choosing", "objective": "rolls",
  "rolls": [ { "id": "A", "width": 1500, "length": 1800 } ],
  "pieces": [ { "id": "whole", "width": 1000, "length": 900, "quantity": 0 },
              { "id": "half", "width": 500, "length": 900, "quantity": 0 } ],
  "choices": [ { "id": "cover", "quantity": 3, "ways": [
      { "id": "in one", "pieces": [ { "piece": "whole" } ] },
      { "id": "in two", "pieces": [ { "piece": "half", "quantity": 2 } ] } ] } ],
  "cutting": { "style": "straight", "stages": 2 } }"#;

/// As [`BAD`], for the instance with choices.
const BAD_CHOICES: &[(&str, &str, &[&str])] = &[
    ("\"quantity\": 3", "\"quantity\": 0", &["N010"]),
    ("\"quantity\": 3, ", "", &[]),
    ("\"quantity\": 3", "\"quantity\": 2000000000", &["N009"]),
    ("\"in two\"", "\"in one\"", &["N014"]),
    ("\"piece\": \"half\"", "\"piece\": \"third\"", &["N031"]),
    ("\"piece\": \"half\"", "\"piece\": \"whole\"", &["N010"]),
    ("\"piece\": \"half\", ", "", &["N004"]),
    ("[ { \"piece\": \"whole\" } ]", "[]", &["N030"]),
    ("[ { \"piece\": \"whole\" } ]", "7", &["N005"]),
    ("\"ways\": [", "\"ways\": [], \"unread\": [", &["N006", "N030"]),
    ("\"ways\": [", "\"way\": [", &["N006", "N004"]),
    ("\"width\": 500", "\"width\": 1501", &["N032"]),
    ("\"length\": 1800", "\"length\": 899", &["N024", "N024"]),
    ("\"length\": 1800", "\"length\": 1800, \"available\": 1", &[]),
    ("\"length\": 1800", "\"length\": 900, \"available\": 1", &["N027"]),
];

#[test]
fn choices_are_read_and_their_mistakes_told() {
    let entries = read("x.json", CHOOSING.as_bytes()).unwrap();
    let [entry] = entries.as_slice() else { panic!("one instance") };
    assert!(entry.findings.is_empty(), "{:?}", entry.findings);
    let [choice] = entry.choices.as_slice() else { panic!("one choice") };
    let pieces: Vec<_> = choice.ways.iter().map(|way| way.pieces.clone()).collect();
    assert_eq!((choice.quantity, pieces), (3, vec![vec![(0, 1)], vec![(1, 2)]]));
    for (old, new, codes) in BAD_CHOICES {
        assert!(CHOOSING.contains(old), "`{old}` does not stand in the instance");
        assert_eq!(ids(&CHOOSING.replacen(old, new, 1)), *codes, "{old} -> {new}");
    }
    // A way that no roll has room for is left out, and the other is taken.
    let wide = CHOOSING.replacen("\"width\": 1000", "\"width\": 1501", 1);
    let entries = read("x.json", wide.as_bytes()).unwrap();
    let ways: Vec<&str> = entries[0].choices[0].ways.iter().map(|way| way.id.as_str()).collect();
    assert_eq!((ids(&wide), ways), (vec!["N032"], vec!["in two"]));
    assert!(entries[0].instance.is_some());
    // Without choices nobody wants these pieces.
    let without = CHOOSING.replacen("\"choices\": [", "\"choices\": null, \"note\": [", 1);
    assert_eq!(ids(&without), ["N010", "N010"]);
}

#[test]
fn problems_are_all_told_at_once_and_where_they_are() {
    let text = GOOD.replace("12,", "0,").replace("\"48 in\"", "\"48 feats\"").replace("8.0", "-3");
    let entries = read("x.json", text.as_bytes()).unwrap();
    let told: Vec<String> = entries[0].findings.iter().map(|f| f.place.to_string()).collect();
    // Where a text editor finds them.
    let column =
        |line: usize, what: &str| text.lines().nth(line - 1).unwrap().find(what).unwrap() + 1;
    assert_eq!(
        told,
        [
            format!("x.json:2:{} (rolls[0].width)", column(2, "\"48 feats\"")),
            format!("x.json:4:{} (pieces[0].quantity)", column(4, "0, \"turns\"")),
            format!("x.json:5:{} (pieces[1].quantity)", column(5, "-3")),
        ]
    );
}

#[test]
fn a_wrong_entry_does_not_hide_the_others() {
    let text = format!("[{GOOD},{},{GOOD}]", GOOD.replace("12", "0"));
    let entries = read("x.json", text.as_bytes()).unwrap();
    let good: Vec<bool> = entries.iter().map(|e| e.instance.is_some()).collect();
    assert_eq!(good, [true, false, true]);
    assert_eq!(entries[1].name, "two");
}

proptest::proptest! {
    /// Any bytes put into a good file: findings or an instance, never a panic.
    #[test]
    fn damaged_files_never_panic(at in 0_usize..900, cut in 0_usize..40, put in "[-0-9a-z\"{}\\[\\],:.]{0,8}") {
        let mut text = GOOD.to_owned();
        let at = at.min(text.len());
        let end = (at + cut).min(text.len());
        if text.is_char_boundary(at) && text.is_char_boundary(end) {
            text.replace_range(at..end, &put);
            let _ = read("x.json", text.as_bytes());
        }
    }
}

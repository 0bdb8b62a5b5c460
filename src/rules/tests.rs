//! Tests of the reader against the table of keys and against every field of the rules.

use super::*;
use crate::cutting::{Objective, Style};
use crate::standards::Diameters;
use crate::units::{Angle, Decimal, Length, Measure};

fn codes(text: &str) -> Vec<&'static str> {
    read("rules.toml", text.as_bytes()).1.iter().map(|f| f.code.id).collect()
}

fn shown(text: &str) -> Vec<String> {
    read("rules.toml", text.as_bytes()).1.iter().map(ToString::to_string).collect()
}

/// Every key, with a value that is not its default.
const ALL_CHANGED: &str = r#"
[joints]
stagger = "4 in"
kind = "lap"
lap = 40
smallest_piece = 150.5
first_seam = 135
[wrap]
factor = { default = 0.6, 5 = 0.7, "10 mm" = 1 }
wound_up_to = 60.3
wound_thickness = 10
ring_parts = 3
[table]
pull_limit = "3 m"
square_cut = 25
edge_trim = 10
gap = "1/8 in"
style = "Free"
stages = 2
[head]
petals = 10

[elbow]
one_piece_up_to = "NPS 4"
gores = 5
tolerance = 3
smallest_throat = 30
smallest_tooth = 4
seam = "alternate"
chord_error = 0.1
bridge = 60
[turning]
quarter_turns = true
[offcuts]
keep_width = 200
keep_length = 1_000
[resolution]
cut = 0.5
[takeoff]
lengths = "through"
diameters = "en"
[order]
objective = "price"
spare_rolls = 2
[securement]
spacing = 225
[vertical]
ring_spacing = "3 m"
ring_gap = 5
[sequence]
release = "weighed"
open_kits = 1
held_kits = 2
setup = 3
roll_change = 4
late = 5
blanket = 6
[rates]
straight = "9 m"
outline = 1500
pull = 20
setup = 90
roll_change = 240
piece = 5
[choose]
joints = true
builds = true
elbows = true
seams = true
windings = true
parts = true
more_pieces = 3
more_joints = 5
joints_a_layer = 2
longest_course = "3 m"
joint_minutes = 15
hour_price = 48
"#;

fn assert_choose(choose: &Choose) {
    let changed = Choose {
        joints: true,
        builds: true,
        elbows: true,
        seams: true,
        windings: true,
        parts: true,
        more_pieces: 3,
        more_joints: 5,
        joints_a_layer: 2,
        longest_course: Some(Length::from_mm(3000)),
        joint_minutes: 15,
        hour_price: 48,
    };
    assert_eq!(*choose, changed);
}

#[test]
fn every_rule_can_be_set() {
    let (rules, findings) = read("rules.toml", ALL_CHANGED.as_bytes());
    let ids: Vec<_> = findings.iter().map(|f| (f.code.id, f.place.field.clone())).collect();
    // Stages have no effect with free cuts, nor has a tolerance beside a number of gores.
    assert_eq!(
        ids,
        [("R007", Some("table.stages".to_owned())), ("R007", Some("elbow.tolerance".to_owned()))]
    );
    // Taken apart without `..`, so that a new rule cannot be forgotten here.
    let Rules {
        joints,
        wrap,
        table,
        elbow,
        head,
        turning,
        offcuts,
        resolution,
        lengths,
        diameters,
        order,
        securement,
        vertical,
        sequence,
        rates,
        choose,
    } = rules.unwrap();
    assert_choose(&choose);
    assert_eq!(head.petals, Some(10));
    let mm = Length::from_mm;
    assert_eq!(
        joints,
        Joints {
            stagger: Length::from_nm(101_600_000),
            kind: JointKind::Lap,
            lap: mm(40),
            smallest_piece: Length::from_nm(150_500_000),
            first_seam: Angle::from_degrees(135),
        }
    );
    let Wrap { factor, by_thickness, ring_parts, wound_up_to, wound_thickness } = wrap;
    assert_eq!(ring_parts, 3);
    assert_eq!((wound_up_to, wound_thickness), (Length::from_nm(60_300_000), mm(10)));
    assert_eq!(factor, Decimal::from_millionths(600_000));
    assert_eq!(
        by_thickness.into_iter().collect::<Vec<_>>(),
        [(mm(5), Decimal::from_millionths(700_000)), (mm(10), Decimal::ONE)]
    );
    assert_eq!(
        table,
        Table {
            pull_limit: Some(mm(3000)),
            square_cut: mm(25),
            edge_trim: mm(10),
            gap: Length::from_nm(3_175_000),
            style: Style::Free,
            stages: Some(2),
        }
    );
    assert_eq!(
        elbow,
        Elbows {
            one_piece_up_to: Length::from_nm(114_300_000),
            gores: Some(5),
            tolerance: mm(3),
            smallest_throat: mm(30),
            smallest_tooth: mm(4),
            seam: Seam::Alternate,
            chord_error: Length::from_nm(100_000),
            bridge: mm(60),
        }
    );
    assert_eq!(turning, Turning { quarter_turns: true });
    assert_eq!(offcuts, Offcuts { keep_width: mm(200), keep_length: mm(1000) });
    assert_eq!(resolution, Resolution { cut: Length::from_nm(500_000) });
    assert_eq!((lengths, diameters), (Lengths::Through, Diameters::En));
    assert_eq!(order, Order { objective: Objective::Price, spare_rolls: 2 });
    assert_eq!(securement, Securement { spacing: mm(225) });
    assert_eq!(vertical, Vertical { ring_spacing: mm(3000), ring_gap: mm(5) });
    assert_eq!(
        sequence,
        Sequence {
            release: Releases::Weighed,
            open_kits: 1,
            held_kits: 2,
            setup: 3,
            roll_change: 4,
            late: 5,
            blanket: 6,
        }
    );
    assert_eq!(
        rates,
        Rates {
            straight: mm(9000),
            outline: mm(1500),
            pull: 20,
            setup: 90,
            roll_change: 240,
            piece: 5,
        }
    );
}

#[test]
fn every_key_is_set_by_that_test() {
    for key in KEYS {
        let section = ALL_CHANGED.split(&format!("[{}]\n", key.section)).nth(1).unwrap();
        let section = section.split("\n[").next().unwrap();
        let found = section.lines().any(|line| line.starts_with(&format!("{} =", key.name)));
        assert!(found, "[{}] {} is not tried", key.section, key.name);
    }
}

#[test]
fn documented_defaults_read_back_as_the_defaults() {
    let mut text: Vec<String> = Vec::new();
    for row in reference() {
        let (section, key) = row.key.split_once(' ').unwrap();
        // TOML wants each section's heading once.
        if !text.iter().any(|line| line == section) {
            text.push(section.to_owned());
        }
        text.push(format!("{key} = {}", row.default));
    }
    let (rules, findings) = read("rules.toml", text.join("\n").as_bytes());
    assert_eq!(rules, Some(Rules::default()), "{findings:?}");
    // A lap is documented with its default but has no effect on butt joints.
    assert_eq!(findings.iter().map(|f| f.code.id).collect::<Vec<_>>(), ["R007"]);
}

#[test]
fn an_empty_file_gives_the_defaults() {
    assert_eq!(read("rules.toml", b""), (Some(Rules::default()), crate::finding::Findings::new()));
    assert_eq!(read("rules.toml", b"# nothing\r\n[joints]\r\n").0, Some(Rules::default()));
}

#[test]
fn words_for_none() {
    let text = "[table]\npull_limit = \"none\"\nstages = \"any\"\n[elbow]\ngores = \"auto\"\n\
                one_piece_up_to = \"none\"\n";
    let rules = read("rules.toml", text.as_bytes()).0.unwrap();
    assert_eq!((rules.table.pull_limit, rules.table.stages, rules.elbow.gores), (None, None, None));
    assert_eq!(rules.elbow.one_piece_up_to, Length::ZERO);
}

#[test]
fn every_problem_is_told_with_its_place_and_the_nearest_name() {
    let found = shown("[joint]\nstagger = 75\n[table]\nsquarecut = 5\nstagger = 3\nkind = \"x\"\n");
    assert_eq!(found.len(), 4, "{found:#?}");
    assert!(
        found[0].starts_with("rules.toml:1:2 (joint): error R002") && found[0].contains("[joints]")
    );
    assert!(found[1].starts_with("rules.toml:4:1 (table.squarecut): error R003"));
    assert!(found[1].contains("`square_cut`"), "{found:#?}");
    assert!(found[2].contains("move it below [joints]"), "{found:#?}");
    let found = shown("stagger = 75\n");
    assert!(found[0].contains("stands in no section") && found[0].contains("[joints]"));
}

/// Rules with a mistake, and the code it must give.
const MISTAKES: &[(&str, &str)] = &[
    ("[joints]\nstagger = true", "R004"),
    ("[joints]\nstagger = \"75 furlongs\"", "R004"),
    ("[joints]\nstagger = -1", "R005"),
    ("[joints]\nstagger = 1e3", "R004"),
    ("[joints]\nstagger = \"75 m\"", "R005"),
    ("[joints]\nkind = \"but\"", "R004"),
    ("[joints]\nkind = 5", "R004"),
    ("[joints]\nfirst_seam = 360", "R005"),
    ("[wrap]\nfactor = 1.5", "R005"),
    ("[wrap]\nfactor = \"half\"", "R004"),
    ("[wrap]\nfactor = { ten = 0.5 }", "R004"),
    ("[wrap]\nfactor = { 10 = 2 }", "R005"),
    ("[wrap]\nfactor = { 10 = 0.5, \"1 cm\" = 0.6 }", "R004"),
    ("[wrap]\nfactor = { default = 0.5, Default = 0.6 }", "R004"),
    ("[elbow]\nbridge = 0", "R005"),
    ("[table]\nstages = 4", "R005"),
    ("[table]\nstages = 2.5", "R004"),
    ("[elbow]\ngores = 0", "R005"),
    ("[head]\npetals = 2", "R005"),
    ("[elbow]\none_piece_up_to = 8", "R004"),
    ("[elbow]\none_piece_up_to = \"NPS 7\"", "R004"),
    ("[turning]\nquarter_turns = \"yes\"", "R004"),
    ("[order]\nspare_rolls = -1", "R005"),
    ("[order]\nspare_rolls = 99999999999999999999999", "R005"),
    ("[joints]\nstagger = inf", "R004"),
    ("[joints]\nstagger = [75]", "R004"),
    ("[joints\nstagger = 75", "R001"),
    ("[joints]\nstagger = 75\nstagger = 80", "R001"),
    ("[joints]\nsmallest_piece = 500\n[table]\npull_limit = 400", "R006"),
    ("[joints]\nsmallest_piece = 600\n[vertical]\nring_spacing = 550", "R006"),
    ("joints = 5", "R003"),
    ("[joint]\nstagger = 75", "R002"),
    ("[joints]\nlap = 30", "R007"),
    ("[wrap]\nwound_thickness = 10", "R007"),
    ("[choose]\nwindings = true", "R007"),
    ("[choose]\nlongest_course = 3000", "R007"),
    ("[sequence]\nlate = 20", "R007"),
];

#[test]
fn every_code_has_an_example() {
    for code in crate::finding::codes::rules::ALL {
        // The last two are those of papers.toml; their examples stand in `papers`.
        let shown = MISTAKES.iter().any(|(_, id)| *id == code.id)
            || read_papers(PAPERS, b"lengths = 5").1.iter().any(|f| f.code.id == code.id)
            || crooked(&Rules::default(), Measure::Inches).iter().any(|f| f.code.id == code.id);
        assert!(shown, "{} {} has no example", code.id, code.title);
    }
}

#[test]
fn wrong_values_are_told() {
    for (text, code) in MISTAKES {
        assert_eq!(codes(text), [*code], "{text}: {:?}", shown(text));
    }
    let found = shown("[joints]\nkind = \"but\"");
    assert!(found[0].contains("write \"butt\""), "{found:?}");
    let found = shown("[joints]\nstagger = 75 mm\n");
    assert!(found[0].starts_with("rules.toml:2:"), "{found:?}");
}

#[test]
fn what_is_no_rules_file_is_told_in_short() {
    let (rules, findings) = read("rules.toml", &b"]\n".repeat(10_000));
    assert!(rules.is_none() && findings.len() <= 50, "{}", findings.len());
    assert_eq!(read("rules.toml", &b"#\n".repeat(1 << 20)).1.len(), 1);
}

#[test]
fn all_values_that_are_wrong_are_told_at_once() {
    let text = "[joints]\nstagger = -1\nkind = \"x\"\n[table]\ngap = true\n";
    assert_eq!(codes(text), ["R005", "R004", "R004"]);
}

proptest::proptest! {
    #![proptest_config(proptest::test_runner::Config::with_cases(200))]

    #[test]
    fn no_bytes_stop_the_reader(bytes in proptest::collection::vec(proptest::num::u8::ANY, 0..200)) {
        let _ = read("rules.toml", &bytes);
    }

    #[test]
    fn no_slip_in_a_good_file_stops_the_reader(
        at in 0_usize..ALL_CHANGED.len(),
        with in ".{0,3}",
        gone in 0_usize..4,
    ) {
        let start = ALL_CHANGED.floor_char_boundary(at);
        let end = ALL_CHANGED.ceil_char_boundary((start + gone).min(ALL_CHANGED.len()));
        let text = format!("{}{with}{}", &ALL_CHANGED[..start], &ALL_CHANGED[end..]);
        let (rules, findings) = read("rules.toml", text.as_bytes());
        proptest::prop_assert_eq!(rules.is_none(), findings.has_errors());
    }
}

/// An inch is 25.4 mm: a mark of inches behind a number was taken for a quotation mark, and 2 in became 2 mm.
#[test]
fn marks_of_feet_and_inches_are_no_quotation_marks() {
    for (value, mm) in [
        ("9\"", "228.6"),
        ("\"5 in\"", "127"),
        ("\"200\"", "200"),
        ("1'", "304.8"),
        ("8' 6\"", "2590.8"),
        ("\\\"9 in\\\"", "228.6"),
    ] {
        let mut rules = Rules::default();
        assert_eq!(super::set(&mut rules, "table.pull_limit", value), Ok(()), "{value}");
        assert_eq!(rules.table.pull_limit.map(|limit| limit.to_string()).as_deref(), Some(mm));
    }
}

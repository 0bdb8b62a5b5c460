//! Every kind of item: areas against closed forms, names and findings.

use super::{NPS2, NPS6, NPS12, codes, demand, elbow, item, mm, pipe, roll, run, size, stock};
use crate::demand::{Demand, Piece, Step};
use crate::pattern::MarkKind;
use crate::rules::{JointKind, ReferenceRow, Rules, Seam, reference};
use crate::stock::Stock;
use crate::takeoff::{
    Bare, Cap, Disc, Flange, Head, HeadForm, Item, Kind, Reducer, Shell, Tee, Valve,
};
use crate::units::{Angle, Length};
use std::collections::BTreeSet;
use std::f64::consts::PI;

fn fine() -> Rules {
    let mut rules = Rules::default();
    rules.elbow.chord_error = Length::from_nm(10_000);
    rules
}

fn one(kind: Kind, build: &[i64]) -> Vec<Item> {
    vec![item("X", kind, 1, build)]
}

#[track_caller]
fn area(demand: &Demand, layer: u32, expected: f64, relative: f64) {
    let found: f64 = demand
        .pieces
        .iter()
        .filter(|p| p.layer == layer)
        .map(|p| p.area.mm2_f64() * f64::from(u32::try_from(p.quantity).unwrap()))
        .sum();
    assert!((found / expected - 1.0).abs() < relative, "layer {layer}: {found} is not {expected}");
}

fn piece_of<'a>(demand: &'a Demand, step: &Step) -> &'a Piece {
    demand.pieces.iter().find(|p| p.id == step.piece).unwrap()
}

fn parts(demand: &Demand) -> Vec<(u32, &str, u64)> {
    demand.pieces.iter().map(|p: &Piece| (p.layer, p.part.as_str(), p.quantity)).collect()
}

fn tee(branch: i64, angle: i64, centre: i64, height: i64) -> Kind {
    Kind::Tee(Tee {
        run: size(NPS6),
        branch: size(branch),
        angle: Angle::from_degrees(angle),
        centre_to_end: mm(centre),
        acute_end: mm(centre),
        branch_height: mm(height),
    })
}

/// NPS 6 by 3 tee (B16.9: C 143, M 124): run's ring less the hole of `TV11b` plus the branch of TV13
/// in layer 1.
#[test]
fn a_reducing_tee() {
    let demand = demand(one(tee(8890, 90, 143, 130), &[10, 10]), &fine());
    assert_eq!(
        parts(&demand),
        [
            (1, "run half cover", 2),
            (1, "branch cover", 1),
            (2, "run cover", 1),
            (2, "branch cover", 1)
        ]
    );
    area(&demand, 1, 286.0 * 560.146 - 8018.449 + 13_100.568 + 6.0 * 2.0 * PI * 49.45, 2e-4);
}

/// NPS 1 equal tee (C = M = 38) under 40 mm: the hole passes the ends.
#[test]
fn thick_insulation_lengthens_a_tee_and_shortens_its_runs() {
    let kind = Kind::Tee(Tee {
        run: size(3340),
        branch: size(3340),
        angle: Angle::QUARTER,
        centre_to_end: mm(38),
        acute_end: mm(38),
        branch_height: mm(38),
    });
    let build = [10, 10, 10, 10];
    let items =
        vec![item("T", kind, 1, &build), item("P", pipe(3340, mm(2000), &["T"]), 1, &build)];
    let (demand, findings) = run(items, &stock(), &fine());
    assert!(codes(&findings).contains(&"D019"), "{findings:?}");
    let demand = demand.unwrap();
    // Outermost mid radius 16.7 + 35 = 51.7, plus the smallest throat of 25, less 38: 38.7, up.
    let starts: Vec<Length> = demand.joints.iter().map(|j| j.start).collect();
    assert_eq!(starts, [mm(39); 4]);
}

#[test]
fn a_branch_at_an_angle() {
    let demand = demand(one(tee(8890, 45, 250, 300), &[10, 10]), &fine());
    assert!(demand.pieces.iter().any(|p| p.part == "run half cover, acute side"));
    assert!(demand.pieces.iter().all(|p| p.outline.is_some()));
    // Both halves together lose one hole: they and the run's whole cover differ by it, and the
    // hole of a slanted branch is larger than the upright one's.
    let halves: f64 = demand
        .pieces
        .iter()
        .filter(|p| p.part.starts_with("run half"))
        .map(|p| p.area.mm2_f64())
        .sum();
    let hole = 500.0 * 560.146 - halves;
    assert!(hole > 8018.4 * 1.3 && hole < 8018.4 * 1.6, "{hole}");
}

#[test]
fn reducers() {
    let kind = |eccentric| {
        let length = mm(140);
        Kind::Reducer(Reducer { large: size(NPS6), small: size(11430), length, eccentric })
    };
    // TV14, TV15: layer 1.
    area(&demand(one(kind(false), &[10]), &fine()), 1, 67_771.45, 2e-4);
    area(&demand(one(kind(true), &[10]), &fine()), 1, 68_354.0, 3e-4);
    // On a narrow roll the cone is parted.
    let narrow = Stock { rolls: vec![roll(10, 150, 40_000)], offcuts: vec![] };
    let (found, _) = run(one(kind(false), &[10]), &narrow, &fine());
    let found = found.unwrap();
    assert!(found.pieces[0].quantity > 1, "{:?}", parts(&found));
    area(&found, 1, 67_771.45, 4e-4);
}

/// NPS 6 cap (B16.9: E = 89): ellipsoid and skirt of E - OD/4.
#[test]
fn caps() {
    let kind = |od, length| Kind::Cap(Cap { size: size(od), length: mm(length) });
    let small = demand(one(kind(NPS6, 89), &[10, 10]), &fine());
    assert_eq!(parts(&small), [(1, "cap in one piece", 1), (2, "cap in one piece", 1)]);
    let large = demand(one(kind(NPS12, 152), &[10]), &fine());
    assert_eq!(parts(&large), [(1, "petal, one of 8", 8)]);
    // Steiner's formula, half of it: see the test of what lies beside an ellipsoid.
    let (a, b, h): (f64, f64, f64) = (161.9, 80.95, 5.0);
    let bend = 2.0 * PI * (b + a * a / (a * a - b * b).sqrt() * (b / a).acos());
    let dome = crate::pattern::dome::ellipsoid_area(a, b) + h * bend + 2.0 * PI * h * h;
    area(&large, 1, dome + 2.0 * PI * (a + h) * (152.0 - 80.95), 1e-3);
}

/// A head of 1500 mm (TV16) and the other forms: crown disc and petals cover the surface; the
/// flat crown of radius s has more than its share of it by s^2/(12 C^2), C the crown's radius.
#[test]
fn heads() {
    let kind = |form| Kind::Head(Head { diameter: mm(1500), form });
    let found = demand(one(kind(HeadForm::Ellipsoidal), &[10, 10]), &fine());
    assert_eq!(found.pieces.len(), 4, "{:?}", parts(&found));
    area(&found, 1, 2_478_169.36, 1e-3);
    let sphere = demand(one(kind(HeadForm::Hemispherical), &[10]), &fine());
    area(&sphere, 1, 2.0 * PI * 755.0 * 755.0, 1e-3);
    let form = HeadForm::Torispherical(mm(1500), mm(150));
    assert_eq!(demand(one(kind(form), &[10]), &fine()).pieces.len(), 2);
    let flat = demand(one(kind(HeadForm::Flat), &[10, 10]), &fine());
    // 1520 mm is wider than the roll of 1500: halves.
    assert_eq!(parts(&flat), [(1, "half disc", 2), (2, "half disc", 2)]);
    // Both lie over the ends of both layers of the shell, 1540 mm over, which end at one height.
    area(&flat, 1, PI * 770.0 * 770.0, 1e-3);
    area(&flat, 2, PI * 770.0 * 770.0, 1e-3);
    let notes: Vec<&str> = flat.schedule.iter().map(|s| s.note.as_str()).collect();
    let over = "over the ends of all the shell's layers";
    assert_eq!(notes, [over, &format!("joints across those of the layer beneath; {over}")]);
}

/// An equal branch's hole reaches a quarter of the way round on both sides of the seam, so of four pieces
/// round it would end in the far edge of the one beside it; rounding said whether it crossed it.
#[test]
fn an_equal_tee_in_four_pieces_round() {
    for (od, pull, build) in [
        (60_960, 532, vec![5, 10]),
        (60_960, 524, vec![10]),
        (50_800, 491, vec![5, 10, 10, 5, 5, 5]),
        (91_440, 771, vec![5, 10]),
    ] {
        let kind = Kind::Tee(Tee {
            run: size(od),
            branch: size(od),
            angle: Angle::QUARTER,
            centre_to_end: mm(700),
            acute_end: mm(700),
            branch_height: mm(1200),
        });
        let mut rules = fine();
        rules.table.pull_limit = Some(mm(pull));
        let (found, findings) = run(one(kind, &build), &stock(), &rules);
        assert!(found.is_some(), "{od} {build:?}: {findings:?}");
        assert!(codes(&findings).contains(&"D015"), "{od}: {findings:?}");
    }
}

/// The gore next to one that reaches into a run has a lesser mitre on that side: the step says which edge it is.
#[test]
fn the_lesser_mitre_faces_the_end_gore() {
    let build = [10, 10];
    let items = vec![
        item("P1", pipe(NPS12, mm(2000), &["E"]), 1, &build),
        item("E", super::elbow(NPS12, 4572), 1, &build),
        item("P2", pipe(NPS12, mm(2000), &["E"]), 1, &build),
    ];
    let found = demand(items, &fine());
    let notes: Vec<(String, bool)> = found
        .schedule
        .iter()
        .filter(|s| s.item == "E")
        .map(|s| {
            (piece_of(&found, s).part.clone(), s.note.contains("straighter edge to the end gore"))
        })
        .collect();
    assert!(notes.iter().any(|(part, _)| part.starts_with("gore next to the end")), "{notes:?}");
    assert!(notes.iter().all(|(part, told)| part.starts_with("gore next") == *told), "{notes:?}");
}

/// A branch's cover of 700 by 280 mm is wider than a roll of 600, but not longer than its pull: it would fit
/// across the roll, where that is allowed. It is laid in courses instead, but for a smallest piece of 600 mm, which leaves
/// the lowest course 100 of the 114 mm up to its saddle and what is left above it.
#[test]
fn a_piece_that_fits_turned_says_so() {
    let narrow = Stock { rolls: vec![roll(10, 600, 40_000)], offcuts: vec![] };
    let with = |pull: Option<i64>, turns: bool| {
        let mut rules = fine();
        rules.joints.smallest_piece = mm(600);
        rules.table.pull_limit = pull.map(mm);
        rules.turning.quarter_turns = turns;
        let (demand, findings) = run(one(tee(8890, 90, 143, 700), &[10]), &narrow, &rules);
        let told = findings.into_iter().find(|f| f.code.id == "D004");
        assert_eq!(demand.is_some(), told.is_none());
        told.map(|told| told.remedy.clone())
    };
    assert!(with(None, false).unwrap().contains("turning.quarter_turns"));
    assert_eq!(with(None, true), None);
    // Too long as well, it says nothing of turning.
    let told = with(Some(620), false).unwrap();
    assert!(!told.contains("turning"), "{told}");
    let (some, _) = run(one(tee(8890, 90, 143, 700), &[10]), &narrow, &fine());
    assert!(some.is_some());
}

/// By hand, rolls of 600. Layer 2: its hole reaches 59.45 mm either way; the course with it is as wide as the roll, 400
/// left on each side. Layer 1 is parted, a course of 600 and one of 100 on each side. The branch: the saddles' lowest
/// points are sqrt(89.15^2 - 49.45^2) = 74.18 and sqrt(99.15^2 - 59.45^2) = 79.35 mm up, so layer 1's lowest course ends at
/// 674 and layer 2's 75 lower. Of 626 and 701 mm above, the smallest piece leaves layer 1 a course of 526 and one of
/// 100; layer 2's joint, which may be at 1,199 at the most, keeps 75 mm from that at 1,200 at 1,124.
#[test]
fn what_is_wider_than_the_rolls_is_laid_in_courses() {
    let narrow = Stock { rolls: vec![roll(10, 600, 40_000)], offcuts: vec![] };
    let (found, findings) = run(one(tee(8890, 90, 700, 1300), &[10, 10]), &narrow, &fine());
    let found = found.unwrap_or_else(|| panic!("{findings:?}"));
    let told: Vec<&str> = codes(&findings).into_iter().filter(|c| *c == "D073").collect();
    assert_eq!(told.len(), 2, "{findings:?}");
    let rows: Vec<(u32, &str, i64, u64)> = found
        .pieces
        .iter()
        .map(|p| {
            (p.layer, p.part.as_str(), p.width.round_up_to(mm(1)).nm() / 1_000_000, p.quantity)
        })
        .collect();
    assert_eq!(
        rows,
        [
            (1, "run half cover", 600, 2),
            (1, "run cover, plain course", 100, 2),
            (1, "branch cover, course 1 of 3", 600, 1),
            (1, "branch cover, course 2 of 3", 526, 1),
            (1, "branch cover, course 3 of 3", 100, 1),
            (2, "run cover", 600, 1),
            (2, "run cover, plain course", 400, 2),
            (2, "branch cover, course 1 of 3", 520, 1),
            (2, "branch cover, course 2 of 3", 525, 1),
            (2, "branch cover, course 3 of 3", 176, 1),
        ]
    );
    let notes: Vec<&str> = found.schedule.iter().map(|s| s.note.as_str()).collect();
    let has =
        |start: &str| assert!(notes.iter().any(|n| n.starts_with(start)), "{start}: {notes:?}");
    has("from 0 to 400 mm from one end of the cover; seam in line with the middle of the hole");
    has("from 0 to 400 mm from the other end of the cover");
    has("from 0 to 100 mm from the other end of the cover; seam opposite");
    has("its lower edge lies 100 mm below the top; seam towards the other end of the run");
    has("its lower edge lies 176 mm below the top; seam towards one end of the run");
    // Every plain course has ties, and an edge on which another goes on is called a joint.
    assert!(found.schedule.iter().all(|s| s.ties > 0));
    let joints = |part: &str, layer: u32| {
        let piece = found.pieces.iter().find(|p| p.part == part && p.layer == layer).unwrap();
        let edges = piece.marks.iter().filter(|m| m.kind == MarkKind::Edge && m.word == "joint");
        (edges.count(), piece.marks.iter().any(|m| m.word == "end of the cover"))
    };
    assert_eq!(joints("run cover", 2), (2, false));
    // Two of a half's are beside the hole.
    assert_eq!(joints("run half cover", 1), (3, false));
    assert_eq!(joints("branch cover, course 1 of 3", 1), (1, false));
    // Where they lie: along the run from an end, up the branch from the axis.
    let places: Vec<(&str, u32, Vec<i64>, Option<Length>)> = found
        .covers
        .iter()
        .map(|c| {
            let joints = c.joints.iter().map(|j| j.nm() / 1_000_000).collect();
            (c.cover.as_str(), c.layer, joints, c.at_hole)
        })
        .collect();
    assert_eq!(
        places,
        [
            ("run cover", 1, vec![100, 700, 1300], Some(mm(700))),
            ("branch cover", 1, vec![674, 1200], None),
            ("run cover", 2, vec![400, 1000], None),
            ("branch cover", 2, vec![599, 1124], None),
        ]
    );
    assert!(found.covers.iter().all(|c| c.item == "X" && c.waived.is_none()), "{:?}", found.covers);
}

/// An equal tee of NPS 12 with legs of 900 mm on rolls of 380: no course takes the whole hole, so both layers are parted at
/// it, which is told. Their other joints keep 75 mm all the same, and so do their seams: one layer's goes through the
/// hole's middle.
#[test]
fn layers_that_are_both_parted_at_the_hole_are_staggered_elsewhere() {
    let kind = Kind::Tee(Tee {
        run: size(NPS12),
        branch: size(NPS12),
        angle: Angle::QUARTER,
        centre_to_end: mm(900),
        acute_end: mm(900),
        branch_height: mm(400),
    });
    let narrow = Stock { rolls: vec![roll(10, 380, 40_000)], offcuts: vec![] };
    let (found, findings) = run(one(kind, &[10, 10]), &narrow, &fine());
    let found = found.unwrap_or_else(|| panic!("{findings:?}"));
    let told = codes(&findings);
    assert!(told.contains(&"D070") && !told.contains(&"D010"), "{findings:?}");
    let seams = |layer: u32| -> BTreeSet<&str> {
        let run = |s: &&Step| s.layer == layer && piece_of(&found, s).part.starts_with("run");
        let notes = found.schedule.iter().filter(run).map(|s| s.note.as_str());
        notes.map(|note| note.rsplit_once("seam ").map_or(note, |(_, where_)| where_)).collect()
    };
    assert_eq!(seams(1), BTreeSet::from(["opposite the branch"]));
    assert_eq!(
        seams(2),
        BTreeSet::from(["in line with the middle of the hole", "through its middle"])
    );
    // Half the run less half the hole, with the seam on either side of the pipe.
    let half = |layer: u32| {
        let piece = found.pieces.iter().find(|p| p.layer == layer && p.part == "run half cover");
        let piece = piece.unwrap();
        (piece.area.mm2_f64(), piece.width.mm_f64())
    };
    for (layer, a) in [(1, 161.9 + 5.0), (2, 161.9 + 15.0)] {
        let (area, width) = half(layer);
        let whole = 2.0 * PI * a * width - crate::pattern::saddle::hole_area(a, a) / 2.0;
        assert!((area / whole - 1.0).abs() < 1e-3, "layer {layer}: {area} for {whole}");
    }
}

/// A reviewer's tee: NPS 18 by 2 with legs of 2,660 mm, 5 and 10 mm on rolls of 280 and 580, no piece below 150 mm. The
/// stagger can be kept with 30 pieces, which a constraint solver found; the first candidates come to 66 mm.
#[test]
fn plain_courses_are_searched_where_their_joints_come_near() {
    let kind = Kind::Tee(Tee {
        run: size(45_720),
        branch: size(6030),
        angle: Angle::QUARTER,
        centre_to_end: mm(2660),
        acute_end: mm(2660),
        branch_height: mm(700),
    });
    let rolls = vec![roll(5, 280, 40_000), roll(10, 580, 40_000)];
    let mut rules = fine();
    rules.joints.smallest_piece = mm(150);
    let (found, findings) = run(one(kind, &[5, 10]), &Stock { rolls, offcuts: vec![] }, &rules);
    assert!(!codes(&findings).contains(&"D010"), "{findings:?}");
    let found = found.unwrap();
    let along = found.pieces.iter().filter(|p| p.part.starts_with("run"));
    assert!(along.map(|p| p.quantity).sum::<u64>() <= 30, "{:?}", parts(&found));
}

/// What no roll is wide enough for is told by the narrowest course that there is: an equal lateral of NPS 20.
#[test]
fn what_cannot_be_laid_in_courses_tells_how_wide_a_roll_it_takes() {
    let kind = Kind::Tee(Tee {
        run: size(50_800),
        branch: size(50_800),
        angle: Angle::from_degrees(45),
        centre_to_end: mm(800),
        acute_end: mm(2000),
        branch_height: mm(2000),
    });
    let narrow = Stock { rolls: vec![roll(10, 500, 40_000)], offcuts: vec![] };
    let (found, findings) = run(one(kind.clone(), &[10]), &narrow, &fine());
    assert!(found.is_none());
    let told: Vec<&str> =
        findings.iter().filter(|f| f.code.id == "D004").map(|f| f.what.as_str()).collect();
    // Half the hole reaches 2.414 times the middle radius of 259 mm beyond its middle.
    let told_of_run =
        "layer 1, the run's cover: a course with half the hole for the branch takes 651 mm";
    assert!(told.iter().any(|what| what.contains(told_of_run)), "{told:?}");
    // So wide a roll does, of several layers the one that takes most: with less, another would be asked for next.
    for build in [&[10][..], &[10; 6]] {
        let (_, findings) = run(one(kind.clone(), build), &narrow, &fine());
        let told = findings.iter().filter(|f| f.code.id == "D004");
        let widths: Vec<i64> = told
            .filter_map(|f| {
                let (_, rest) = f.what.split_once(" takes ")?;
                rest.split_once(" mm across")?.0.parse().ok()
            })
            .collect();
        assert_eq!(widths.len(), 2, "{findings:?}");
        let most = widths.into_iter().max().unwrap();
        let of = |width: i64| Stock { rolls: vec![roll(10, width, 40_000)], offcuts: vec![] };
        let (found, findings) = run(one(kind.clone(), build), &of(most), &fine());
        assert!(found.is_some(), "{most}: {findings:?}");
        let (found, _) = run(one(kind.clone(), build), &of(most - 1), &fine());
        assert!(found.is_none(), "{most}");
    }
}

/// A branch of NPS 3 at 45 degrees on NPS 24: the whole hole lies on the acute side of where the axes cross, and a joint
/// in front of it may too. Each layer's pieces along the run are as long together as the cover, 260 and 451 mm.
#[test]
fn joints_beyond_where_the_axes_cross_have_their_sign() {
    let kind = Kind::Tee(Tee {
        run: size(60_960),
        branch: size(8890),
        angle: Angle::from_degrees(45),
        centre_to_end: mm(260),
        acute_end: mm(451),
        branch_height: mm(600),
    });
    let narrow = Stock { rolls: vec![roll(10, 500, 40_000)], offcuts: vec![] };
    let mut rules = fine();
    rules.joints.stagger = mm(150);
    let (found, findings) = run(one(kind, &[10, 10]), &narrow, &rules);
    let found = found.unwrap_or_else(|| panic!("{findings:?}"));
    for layer in [1, 2] {
        let run = found.pieces.iter().filter(|p| p.layer == layer && p.part.starts_with("run"));
        assert_eq!(run.map(|p| p.width).sum::<Length>(), mm(711), "layer {layer}");
    }
    // The one from the obtuse end reaches beyond there.
    let over =
        |s: &&Step| s.note.starts_with("from 0 to 450 mm from the cover's end on the obtuse");
    let step = found.schedule.iter().find(over).expect("a course over where the axes cross");
    assert_eq!(piece_of(&found, step).part, "run cover, plain course");
}

/// A valve of 1,000 mm and its bonnet on rolls of 600: body and sleeve in courses, and what the crew reads is told of
/// them.
#[test]
fn a_long_valve_on_narrow_rolls() {
    let valve = Kind::Valve(Valve {
        flange: six_inch(Bare::Covered),
        face_to_face: mm(1000),
        bonnet: Length::from_nm(199_100_000),
        bonnet_height: mm(900),
    });
    let narrow = Stock { rolls: vec![roll(10, 600, 40_000)], offcuts: vec![] };
    let (found, findings) = run(one(valve, &[10, 10, 10]), &narrow, &fine());
    let found = found.unwrap_or_else(|| panic!("{findings:?}"));
    let has = |part: &str| found.pieces.iter().any(|p| p.part == part);
    for part in ["body cover", "body cover, plain course", "bonnet sleeve, course 2 of 2"] {
        assert!(has(part), "{part}: {:?}", parts(&found));
    }
    let plain = |s: &&Step| piece_of(&found, s).part.contains("plain course");
    for step in found.schedule.iter().filter(plain) {
        assert!(step.note.contains(" end of the cover; "), "{}", step.note);
    }
    assert!(!codes(&findings).contains(&"D070"));
}

/// Every piece of a run's cover says which of its ends lies on the acute side, and what is cut free of the
/// hole is called so.
#[test]
fn ends_of_a_slanted_branch_are_told_apart() {
    for pull in [4000, 560] {
        let mut rules = fine();
        rules.table.pull_limit = Some(mm(pull));
        let (found, findings) = run(one(tee(8890, 60, 250, 300), &[10, 10]), &stock(), &rules);
        let found = found.unwrap_or_else(|| panic!("{findings:?}"));
        let covers = found.pieces.iter().filter(|p| p.part.starts_with("run"));
        let mut seen = 0;
        for piece in covers.filter(|p| !p.part.ends_with("plain part")) {
            let has = |end: &str| piece.marks.iter().any(|m| m.word.contains(end));
            let (acute, obtuse) = (has("end on the acute side"), has("end on the obtuse side"));
            let both = !piece.part.contains(" side");
            assert_eq!(acute, both || piece.part.contains("acute side"), "{}", piece.part);
            assert_eq!(obtuse, both || piece.part.contains("obtuse side"), "{}", piece.part);
            seen += 1;
        }
        assert!(seen >= 3, "{:?}", parts(&found));
    }
}

/// A lateral of 120 mm to one end and 400 mm to the other: its cover reaches from end to end, in one piece and in
/// halves, the hole where the branch is, and no less nor more of the run.
#[test]
fn a_lateral_has_two_unlike_ends() {
    let kind = |short: i64, long: i64| {
        let Kind::Tee(tee) = tee(8890, 45, short, 500) else { unreachable!() };
        Kind::Tee(Tee { acute_end: mm(long), ..tee })
    };
    let found = demand(one(kind(120, 400), &[10, 10]), &fine());
    let widths = |layer: u32| -> Vec<Length> {
        let run = found.pieces.iter().filter(|p| p.layer == layer && p.part.starts_with("run"));
        run.map(|p| p.width).collect()
    };
    // The outermost layer's seam goes through the hole, so its cover is whole.
    assert_eq!(widths(2), [mm(520)]);
    let [obtuse, acute] = widths(1)[..] else { panic!("{:?}", widths(1)) };
    assert_eq!(obtuse + acute, mm(520));
    let alike = demand(one(kind(400, 400), &[10, 10]), &fine());
    let of = |found: &Demand, part: &str| {
        found.pieces.iter().find(|p| p.layer == 1 && p.part.contains(part)).map(|p| p.width)
    };
    assert_eq!(of(&alike, "acute side"), Some(acute));
    assert_eq!(of(&alike, "obtuse side"), Some(obtuse + mm(280)));
}

/// Seams of an eccentric reducer do not lie above each other, in one piece and in halves, and all layers
/// have as many pieces.
#[test]
fn seams_of_eccentric_reducers_take_turns() {
    let kind = Kind::Reducer(Reducer {
        large: size(60_960),
        small: size(50_800),
        length: mm(508),
        eccentric: true,
    });
    let notes =
        |found: &Demand| -> Vec<String> { found.schedule.iter().map(|s| s.note.clone()).collect() };
    let found = demand(one(kind.clone(), &[10, 10, 10]), &fine());
    let (flat, long) = ("seam on the flat side", "seam on the long side");
    assert_eq!(notes(&found), [flat, long, flat]);
    for (piece, seam) in found.pieces.iter().zip([flat, long, flat]) {
        assert_eq!(piece.marks.iter().filter(|m| m.word == seam).count(), 4, "{piece:?}");
    }
    // Layer 1 alone would fit in one piece under a pull of 1.9 m.
    let mut rules = fine();
    rules.table.pull_limit = Some(mm(1900));
    let (halves, _) = run(one(kind, &[10, 10, 10]), &stock(), &rules);
    let halves = halves.unwrap();
    assert_eq!(
        parts(&halves),
        [
            (1, "half eccentric cone, one hand", 1),
            (1, "half eccentric cone, other hand", 1),
            (2, "half eccentric cone, long side", 1),
            (2, "half eccentric cone, flat side", 1),
            (3, "half eccentric cone, one hand", 1),
            (3, "half eccentric cone, other hand", 1),
        ]
    );
    // Of two hands, as the two faces of a blanket may differ.
    assert_ne!(halves.pieces[0].outline, halves.pieces[1].outline);
    for layer in 1..=3 {
        let of = |demand: &Demand| -> f64 {
            let mine = demand.pieces.iter().filter(|p| p.layer == layer);
            mine.map(|p| p.area.mm2_f64() * f64::from(u32::try_from(p.quantity).unwrap())).sum()
        };
        assert!((of(&halves) - of(&found)).abs() < 1.0, "layer {layer}");
    }
    assert!(notes(&halves)[2].contains("two sides between"));
}

/// Where no roll takes half of it, an eccentric reducer goes in more parts: NPS 24 by 20 under two layers of 10 mm
/// is 2 m round, and rolls 600 mm wide with pulls of 600 mm take a quarter of its large end, some 500 mm.
#[test]
fn eccentric_reducers_go_in_as_many_parts_as_fit() {
    let kind = Kind::Reducer(Reducer {
        large: size(60_960),
        small: size(50_800),
        length: mm(508),
        eccentric: true,
    });
    let whole = demand(one(kind.clone(), &[10, 10]), &fine());
    let mut rules = fine();
    rules.table.pull_limit = Some(mm(600));
    let narrow = Stock { rolls: vec![roll(10, 600, 40_000)], offcuts: vec![] };
    let (found, findings) = run(one(kind.clone(), &[10, 10]), &narrow, &rules);
    assert!(!codes(&findings).contains(&"D004"), "{findings:?}");
    let found = found.unwrap();
    assert_eq!(
        parts(&found),
        [
            (1, "eccentric cone, 0 to 90 degrees, one hand", 1),
            (1, "eccentric cone, 90 to 180 degrees, one hand", 1),
            (1, "eccentric cone, 90 to 180 degrees, other hand", 1),
            (1, "eccentric cone, 0 to 90 degrees, other hand", 1),
            (2, "eccentric cone, 90 degrees about the long side", 1),
            (2, "eccentric cone, 45 to 135 degrees, one hand", 1),
            (2, "eccentric cone, 90 degrees about the flat side", 1),
            (2, "eccentric cone, 45 to 135 degrees, other hand", 1),
        ]
    );
    for layer in [1, 2] {
        let of = |demand: &Demand| -> f64 {
            let mine = demand.pieces.iter().filter(|p| p.layer == layer);
            mine.map(|p| p.area.mm2_f64()).sum()
        };
        assert!((of(&found) - of(&whole)).abs() < 2.0, "layer {layer}");
    }
    let note = |layer: u32| found.schedule.iter().find(|s| s.layer == layer).map(|s| &s.note);
    assert!(note(1).unwrap().ends_with("; a seam on the long side"));
    assert!(note(2).unwrap().ends_with("; no seam on the long side"));
    // Nothing takes a twelfth of it.
    let tiny = Stock { rolls: vec![roll(10, 150, 40_000)], offcuts: vec![] };
    let (_, findings) = run(one(kind, &[10]), &tiny, &rules);
    let told = findings.iter().find(|f| f.code.id == "D004").unwrap();
    assert!(told.what.ends_with("fits no roll in up to 12 parts"), "{}", told.what);
}

/// NPS 3/4 by 1/2 under three layers: at the small end half the girth under layer 2 is
/// pi (21.3 + 20) / 2 = 64.9 mm, less than 75.
#[test]
fn seams_of_small_reducers_and_tees_come_close() {
    for eccentric in [false, true] {
        let (large, small, length) = (size(2670), size(2130), mm(38));
        let kind = Kind::Reducer(Reducer { large, small, length, eccentric });
        let (_, findings) = run(one(kind, &[10, 10, 10]), &stock(), &fine());
        assert!(codes(&findings).contains(&"D011"), "{findings:?}");
        let told = findings.iter().find(|f| f.code.id == "D011").unwrap();
        assert!(told.what.contains("64.8 mm apart"), "{}", told.what);
    }
    let (_, findings) = run(one(tee(2130, 90, 143, 130), &[10, 10, 10]), &stock(), &fine());
    assert!(codes(&findings).contains(&"D011"), "{findings:?}");
    let (_, findings) = run(one(tee(8890, 90, 143, 130), &[10, 10, 10]), &stock(), &fine());
    assert!(!codes(&findings).contains(&"D011"), "{findings:?}");
}

#[test]
fn shells_discs_and_rings() {
    let shell = Kind::Shell(Shell { diameter: mm(2400), length: mm(5000), vertical: true });
    let found = demand(one(shell, &[10, 10]), &fine());
    // Two stretches of 2500 between rings.
    assert_eq!(found.joints.len(), 4);
    area(&found, 1, 2410.0 * PI * 5000.0, 1e-3);
    let disc = |inside| Kind::Disc(Disc { outside: mm(2400), inside: mm(inside) });
    let found = demand(one(disc(0), &[10]), &fine());
    area(&found, 1, PI * 1200.0 * 1200.0, 1e-3);
    assert!(found.pieces.iter().all(|p| p.width <= mm(1500)));
    let found = demand(one(disc(600), &[10]), &fine());
    area(&found, 1, PI * (1200.0 * 1200.0 - 300.0 * 300.0), 1e-3);
}

fn six_inch(bare: Bare) -> Flange {
    Flange {
        size: size(NPS6),
        diameter: Length::from_nm(279_400_000),
        thickness: Length::from_nm(25_400_000),
        stud: mm(100),
        gasket: mm(3),
        bare,
    }
}

/// A rule for rings of runs is none for covers of flanges.
#[test]
fn rings_of_runs_are_cut_into_no_fewer_parts_than_the_rule_says() {
    let items = || {
        let run = item("P", pipe(NPS6, mm(2000), &["F"]), 1, &[10]);
        vec![item("F", Kind::Flange(six_inch(Bare::Covered)), 1, &[10]), run]
    };
    let pieces = |ring_parts: u32, of: &str| -> Vec<(String, u64)> {
        let mut rules = fine();
        rules.wrap.ring_parts = ring_parts;
        let made = demand(items(), &rules);
        let own = made.pieces.iter().filter(|piece| piece.item == of);
        own.map(|piece| (piece.part.clone(), piece.quantity)).collect()
    };
    assert_eq!(pieces(3, "F"), pieces(1, "F"));
    let all = |of: &[(String, u64)]| of.iter().map(|piece| piece.1).sum::<u64>();
    assert_eq!(all(&pieces(3, "P")), 3 * all(&pieces(1, "P")));
}

/// TV19: three shoulder layers, three body layers, end rings; all sizes from there.
#[test]
fn a_flange_pair_and_its_runs() {
    let build = [10, 10, 10];
    let items = vec![
        item("F", Kind::Flange(six_inch(Bare::Covered)), 1, &build),
        item("P", pipe(NPS6, mm(2000), &["F"]), 1, &build),
    ];
    let found = demand(items, &fine());
    let cover: Vec<&Piece> = found.pieces.iter().filter(|p| p.item == "F").collect();
    let rows: Vec<(u32, &str, u64)> =
        cover.iter().map(|p| (p.layer, p.part.as_str(), p.quantity)).collect();
    assert_eq!(
        rows,
        [
            (1, "shoulder strip", 2),
            (2, "shoulder strip", 2),
            (3, "shoulder strip", 2),
            (4, "body, course 1 of 1", 1),
            (5, "body, course 1 of 1", 1),
            (6, "body, course 1 of 1", 1),
            (7, "half end ring", 4),
        ]
    );
    let lengths: Vec<Length> = cover.iter().take(4).map(|p| p.length).collect();
    assert_eq!(lengths, [mm(749), mm(812), mm(875), mm(938)]);
    assert_eq!((cover[0].width, cover[3].width), (mm(175), mm(404)));
    // Seams of the strips lie opposite each other, the outermost strip's opposite the body's first.
    let seams: Vec<Vec<Angle>> = found
        .schedule
        .iter()
        .filter(|s| s.item == "F" && s.layer <= 4)
        .map(|s| s.seams.clone())
        .collect();
    let [right, left] = [90, 270].map(|d| vec![Angle::from_degrees(d)]);
    assert_eq!(seams, [left.clone(), right.clone(), left, right]);
    // The run stops short by the stud's length and 25 mm.
    let run = found.joints.iter().find(|j| j.item == "P").unwrap();
    assert_eq!(run.start, mm(125));
    // Left bare, it has no pieces and the run stops all the same.
    let items = vec![
        item("F", Kind::Flange(six_inch(Bare::Uninsulated)), 1, &build),
        item("P", pipe(NPS6, mm(2000), &["F"]), 1, &build),
    ];
    let bare = demand(items, &fine());
    assert!(bare.pieces.iter().all(|p| p.item == "P"));
    assert_eq!(bare.joints[0].start, mm(125));
    // Closed, each pipe's end gets a ring from the pipe to over its insulation, 168.3 to 228.3;
    // flush, the run goes up to the flange.
    let variant = |bare| {
        let items = vec![
            item("F", Kind::Flange(six_inch(bare)), 1, &build),
            item("P", pipe(NPS6, mm(2000), &["F"]), 1, &build),
        ];
        demand_of(items)
    };
    let closed = variant(Bare::Closed);
    let rings: Vec<&Piece> = closed.pieces.iter().filter(|p| p.item == "F").collect();
    assert_eq!((rings.len(), rings[0].part.as_str(), rings[0].quantity), (1, "half end ring", 4));
    let half = PI * (228.3 * 228.3 - 168.3 * 168.3) / 8.0;
    assert!((rings[0].area.mm2_f64() / half - 1.0).abs() < 1e-3);
    assert_eq!(closed.joints[0].start, mm(125));
    let flush = variant(Bare::Flush);
    assert_eq!((flush.joints[0].start, flush.pieces[0].item.as_str()), (Length::ZERO, "P"));
}

/// By hand, of TV19's flange: a run on one side alone, so one shoulder and one ring; the body is two flanges and a
/// gasket, 53.8, the shoulder's 175 and half of what studs of 100 stick out beyond them, 23.1, together 251.9; each further
/// layer reaches 10 higher, and the discs are as wide as the body is over its layers: 308.3, 328.3, 348.3.
#[test]
fn a_blind_flange_has_one_shoulder_and_a_lid() {
    let build = [10, 10, 10];
    let items = |ends: &[&str]| {
        vec![
            item("F", Kind::Flange(six_inch(Bare::Blind)), 1, &build),
            item("P", pipe(NPS6, mm(2000), ends), 1, &build),
        ]
    };
    let (found, findings) = run(items(&["F"]), &stock(), &fine());
    assert!(!codes(&findings).contains(&"D071"), "{findings:?}");
    let found = found.unwrap();
    let mut rows: Vec<(u32, &str, u64)> = found
        .pieces
        .iter()
        .filter(|p| p.item == "F")
        .map(|p| (p.layer, p.part.as_str(), p.quantity))
        .collect();
    rows.sort_unstable();
    let strips = [1, 2, 3].map(|layer| (layer, "shoulder strip", 1));
    let body = [4, 5, 6].map(|layer| [(layer, "body, course 1 of 1", 1), (layer, "lid", 1)]);
    let ring = (7, "half end ring", 2);
    assert_eq!(rows, [&strips[..], body.as_flattened(), &[ring]].concat());
    let of = |part: &str| -> Vec<f64> {
        let like = found.pieces.iter().filter(|p| p.item == "F" && p.part.starts_with(part));
        like.map(|p| p.width.mm_f64()).collect()
    };
    for (is, by_hand) in of("body").iter().zip([252.0, 262.0, 272.0]) {
        assert!((is - by_hand).abs() < 1e-9, "{is}");
    }
    for (is, by_hand) in of("lid").iter().zip([308.3, 328.3, 348.3]) {
        assert!(*is >= by_hand && is - by_hand < 1.0, "{is}");
    }
    assert_eq!(found.joints.iter().find(|j| j.item == "P").unwrap().start, mm(125));
    // The body's layer before its disc, and both before the next layer's.
    let order: Vec<(u32, &str)> = found
        .schedule
        .iter()
        .filter(|s| s.item == "F")
        .map(|s| (s.layer, piece_of(&found, s).part.split(',').next().unwrap()))
        .collect();
    assert!(order.is_sorted_by_key(|(layer, _)| *layer), "{order:?}");
    assert_eq!(order[3..5], [(4, "body"), (4, "lid")]);
    // Of a body in two courses both come before the disc on their edge.
    let narrow = Stock { rolls: vec![roll(10, 200, 40_000)], offcuts: vec![] };
    let mut turned = fine();
    turned.turning.quarter_turns = true;
    let parted = run(items(&["F"]), &narrow, &turned).0.unwrap();
    let order: Vec<&str> = parted
        .schedule
        .iter()
        .filter(|s| s.item == "F" && s.layer == 4)
        .map(|s| piece_of(&parted, s).part.as_str())
        .collect();
    let lids = order.iter().skip_while(|part| part.starts_with("body, course"));
    assert!(order[1].starts_with("body, course") && order.len() > 2, "{order:?}");
    assert!(lids.into_iter().all(|part| part.contains("lid")), "{order:?}");
    // It has one side: a second run there is too many, and none at all is told.
    let (none, findings) = run(items(&["F", "F"]), &stock(), &fine());
    assert!(none.is_none() && codes(&findings).contains(&"D006"), "{findings:?}");
    assert!(codes(&run(items(&[]), &stock(), &fine()).1).contains(&"D071"));
}

fn demand_of(items: Vec<Item>) -> Demand {
    demand(items, &fine())
}

/// NPS 36 on a table of 3 m: the third layer's ring of 3030 mm is cut in two, and so are all. Two parts from the
/// throat have seams at throat and heel, two from the heel as well, so every second layer's lie at the sides.
#[test]
fn seams_of_elbows_in_two_parts_round_take_turns() {
    let mut rules = fine();
    rules.table.pull_limit = Some(mm(3000));
    for rule in [Seam::Throat, Seam::Heel] {
        rules.elbow.seam = rule;
        let items = one(elbow(91_440, 13_716), &[10, 10, 10]);
        let (found, findings) = run(items, &stock(), &rules);
        assert!(!codes(&findings).contains(&"D018"), "{findings:?}");
        let found = found.unwrap();
        for layer in 1..=3 {
            let mine = found.pieces.iter().filter(|p| p.layer == layer);
            let seams: BTreeSet<&str> = mine
                .flat_map(|piece| {
                    assert!(piece.part.contains("of 2 round"), "{}", piece.part);
                    let sizes = piece.marks.iter().filter(|m| m.kind == MarkKind::Size);
                    let words: Vec<&str> = sizes.map(|m| m.word.as_ref()).collect();
                    [words[0], words[words.len() - 1]]
                })
                .collect();
            let wanted: &[&str] = if layer == 2 { &["side"] } else { &["heel", "throat"] };
            assert!(seams.iter().copied().eq(wanted.iter().copied()), "{layer}: {seams:?}");
        }
    }
}

/// NPS 4 long radius, two layers of 10 mm: at 2 degrees the inner cover is (152.4 + 62.15) tan 1 x 2 = 7.5 mm wide
/// at the heel, at 7 degrees 26.2 mm, more than the smallest throat of 25 mm.
#[test]
fn slivers_of_slight_bends_are_told() {
    let told = |degrees: i64| {
        let mut kind = elbow(11_430, 1524);
        if let Kind::Elbow(bend) = &mut kind {
            bend.angle = Angle::from_degrees(degrees);
        }
        let (found, findings) = run(one(kind, &[10, 10]), &stock(), &Rules::default());
        assert!(found.is_some(), "{findings:?}");
        findings.iter().find(|f| f.code.id == "D014").map(|f| f.what.clone())
    };
    let slight = told(2).unwrap();
    assert!(slight.contains("only 7.5 mm wide at the heel"), "{slight}");
    assert_eq!(told(7), None);
    assert_eq!(told(90), None);
}

/// OD 60 on a bend of 45 mm: the mid-surface of the second layer of 10 mm lies on the bend's axis, 30 + 10 + 5, so
/// that its gores have no width at the throat, which is no waist to be cut. In two parts round (a pull of 180 mm)
/// the seams of the layers that begin at the throat lie above each other, and that is said.
#[test]
fn an_elbow_whose_layer_just_touches_the_axis_is_cut() {
    let mut rules = fine();
    rules.elbow.one_piece_up_to = Length::ZERO;
    let (found, findings) = run(one(elbow(6000, 450), &[10, 10, 10]), &stock(), &rules);
    assert!(found.is_some(), "{findings:?}");
    assert!(!codes(&findings).contains(&"D018"), "{findings:?}");
    rules.table.pull_limit = Some(mm(180));
    let (found, findings) = run(one(elbow(6000, 450), &[10, 10, 10]), &stock(), &rules);
    assert!(found.is_some_and(|d| d.pieces[0].part.contains("of 2 round")), "{findings:?}");
    assert!(codes(&findings).contains(&"D018"), "{findings:?}");
}

/// OD 60 under four layers of 10 mm: hole and saddle reach 30 + 35 = 65 mm, beyond the tee's 64. A smallest throat of
/// 0 leaves a step of 1 mm beside them, since a cover that they just touch hangs together by nothing.
#[test]
fn a_tee_whose_throat_may_be_nothing_is_cut() {
    let mut rules = fine();
    rules.elbow.smallest_throat = Length::ZERO;
    let (run_of, branch, angle) = (size(6000), size(6000), Angle::QUARTER);
    let (centre_to_end, acute_end, branch_height) = (mm(64), mm(64), mm(64));
    let tee = Tee { run: run_of, branch, angle, centre_to_end, acute_end, branch_height };
    let (found, findings) = run(one(Kind::Tee(tee), &[10, 10, 10, 10]), &stock(), &rules);
    assert!(found.is_some(), "{findings:?}");
}

/// The seam of a body round a bonnet runs through the hole, so it butts as all of it does; without a bonnet it
/// laps. The rule says so.
#[test]
fn bodies_round_a_bonnet_butt() {
    let body = |bonnet: i64, kind| {
        let mut rules = fine();
        (rules.joints.kind, rules.joints.lap) = (kind, mm(30));
        let (bonnet, bonnet_height) = (mm(bonnet), mm(2 * bonnet));
        let (flange, face_to_face) = (six_inch(Bare::Covered), mm(267));
        let valve = Kind::Valve(Valve { flange, face_to_face, bonnet, bonnet_height });
        let found = demand(one(valve, &[10, 10]), &rules);
        let outermost = found.pieces.iter().rev().find(|p| p.part.starts_with("body")).unwrap();
        outermost.length
    };
    assert_eq!(body(200, JointKind::Lap), body(200, JointKind::Butt));
    let longer = body(0, JointKind::Lap) - body(0, JointKind::Butt);
    assert_eq!(longer, mm(30));
    let told =
        |row: &ReferenceRow| row.meaning.contains("bodies of covers but those with a bonnet");
    assert!(reference().iter().any(told));
}

/// TV23: body of 673.8 mm; neck of 209.1 mm outside diameter, 5 mm clearance.
#[test]
fn a_valve() {
    let valve = |bonnet: i64, height: i64| {
        Kind::Valve(Valve {
            flange: six_inch(Bare::Covered),
            face_to_face: mm(267),
            bonnet: Length::from_nm(bonnet * 100_000),
            bonnet_height: mm(height),
        })
    };
    let found = demand(one(valve(1991, 400), &[10, 10, 10]), &fine());
    let rows = parts(&found);
    for row in [
        (4, "body cover", 1),
        (5, "body half cover", 2),
        (6, "body cover", 1),
        (4, "bonnet sleeve", 1),
        (4, "bonnet top", 1),
        (7, "half end ring", 4),
    ] {
        assert!(rows.contains(&row), "{row:?} is not in {rows:?}");
    }
    let body = found.pieces.iter().find(|p| p.part == "body cover" && p.layer == 4).unwrap();
    assert_eq!(body.width.round_up_to(mm(1)), mm(674));
    // Each layer of the sleeve reaches up beside the discs beneath its own: its top is its width above the
    // lowest point of the saddle, sqrt(a^2 - b^2) above the axis; the body lies on 288.3 mm.
    let tops: Vec<f64> = found
        .pieces
        .iter()
        .filter(|p| p.part == "bonnet sleeve")
        .map(|p| {
            let (run, bonnet) = (144.15, 104.55);
            let layer = f64::from(p.layer - 4) * 10.0 + 5.0;
            let (a, b) = (run + layer, bonnet + layer);
            p.width.mm_f64() + (a * a - b * b).sqrt()
        })
        .collect();
    for (i, top) in (0..3).zip(&tops) {
        assert!((top - tops[0] - 10.0 * f64::from(i)).abs() < 1e-3, "{tops:?}");
    }
    // One ring on each side closes it: no ring lies beneath, whatever its layer's number.
    for build in [vec![10], vec![10, 10], vec![10, 10, 10]] {
        let found = demand(one(valve(1991, 400), &build), &fine());
        let ring = |s: &&Step| piece_of(&found, s).part.contains("end ring");
        assert!(found.schedule.iter().filter(ring).count() > 0);
        let closes = "closes an end of the cover, down to the pipe's insulation";
        assert!(found.schedule.iter().filter(ring).all(|s| s.note == closes), "{build:?}");
    }
    // A valve without bonnet is a long flange cover; a bonnet wider than the body is refused.
    assert!(
        parts(&demand(one(valve(0, 0), &[10]), &fine())).iter().all(|p| !p.1.contains("bonnet"))
    );
    let (none, findings) = run(one(valve(5000, 600), &[10]), &stock(), &fine());
    assert!(none.is_none() && codes(&findings).contains(&"D005"));
}

/// A bonnet's top in one piece is slit to the stem; where it is parted it opens at its joint: in halves the hole
/// lies on it. On rolls of 200 mm the tops of 229.1 mm and more are halves, on 100 mm three strips.
#[test]
fn a_parted_bonnet_top_opens_at_its_joint() {
    let notes = |width: i64| -> Vec<String> {
        let valve = Valve {
            flange: six_inch(Bare::Covered),
            face_to_face: mm(267),
            bonnet: Length::from_nm(199_100_000),
            bonnet_height: mm(400),
        };
        let mut rules = fine();
        rules.joints.smallest_piece = mm(20);
        rules.turning.quarter_turns = true;
        let stock = Stock { rolls: vec![roll(10, width, 40_000)], offcuts: vec![] };
        let shop = crate::demand::shop::Shop::new(&stock, &rules);
        let pipes = [(); 2].map(|()| crate::demand::welds::Insulated::default());
        let build = crate::takeoff::Build(vec![mm(10)]);
        let kit = crate::demand::cover::valve(&valve, &build, &pipes, &shop);
        let tops = kit.steps.iter().filter(|s| kit.parts[s.part].name.contains("bonnet top"));
        tops.map(|s| s.note.clone()).collect()
    };
    assert!(notes(1500)[0].contains("one slit from the hole to the edge"));
    let halves = notes(200);
    assert!(
        halves.iter().all(|n| n.contains("half a hole") && n.contains("no slit")),
        "{halves:?}"
    );
    let strips = notes(100);
    assert!(
        strips.iter().all(|n| n.contains("slit from the hole to that strip's long edge")),
        "{strips:?}"
    );
}

/// A disc of 4500 mm under a pull of 4 m: strips alone leave 4.5 m along the middle, however many. Its long strips
/// are parted across, away from the joints of the layer turned against it, and cover it once.
/// By hand, on rolls of 1500 mm: half a ring of 3200 mm is 1600 wide, and six sectors of 60 degrees have boxes of 1386 by
/// 1600 at the least; four strips of 800 by 3200 and by 2771 are less. A hole of 1500 leaves too little of the middle
/// strips, and one that fits in halves stays so.
#[test]
fn a_ring_too_wide_for_halves_is_cut_in_strips_where_its_hole_is_small() {
    let ring = |outside: i64, inside: i64| {
        let disc = Kind::Disc(Disc { outside: mm(outside), inside: mm(inside) });
        let rolls = Stock { rolls: vec![roll(10, 1500, 10_000)], offcuts: vec![] };
        run(vec![item("D", disc, 1, &[10, 10])], &rolls, &fine()).0.unwrap()
    };
    let strips = ring(3200, 60);
    let [edge, middle] = ["ring, strip 1 from the edge of 4", "ring, strip 2 from the edge of 4"];
    assert_eq!(parts(&strips), [(1, edge, 2), (1, middle, 2), (2, edge, 2), (2, middle, 2)]);
    for layer in [1, 2] {
        area(&strips, layer, PI * (1600.0 * 1600.0 - 30.0 * 30.0), 1e-3);
    }
    let long = |piece: &Piece| piece.width.max(piece.length).nm() / 1_000_000;
    assert_eq!(strips.pieces.iter().map(long).collect::<Vec<_>>(), [2771, 3200, 2771, 3200]);
    for (outside, inside, name) in [(3200, 1500, "ring, one of"), (2900, 60, "half ring")] {
        let made = ring(outside, inside);
        assert!(
            parts(&made).iter().all(|(_, part, _)| part.starts_with(name)),
            "{:?}",
            parts(&made)
        );
    }
}

#[test]
fn a_disc_longer_than_a_pull_is_parted_both_ways() {
    let mut rules = fine();
    rules.table.pull_limit = Some(mm(4000));
    let disc = |od: i64| Kind::Disc(crate::takeoff::Disc { outside: mm(od), inside: Length::ZERO });
    for od in [4100, 4500, 6000, 9500] {
        let (found, findings) = run(one(disc(od), &[10, 10]), &stock(), &rules);
        let found = found.unwrap_or_else(|| panic!("{od}: {findings:?}"));
        let r = f64::from(i32::try_from(od).unwrap()) / 2.0;
        area(&found, 1, PI * r * r, 1e-3);
        for piece in &found.pieces {
            let (w, l) = (piece.width, piece.length);
            let fits = |w: Length, l: Length| w <= mm(1500) && l <= mm(4000);
            assert!(fits(w, l) || fits(l, w), "{od}: {w} by {l}");
        }
    }
    let (found, _) = run(one(disc(4500), &[10]), &stock(), &rules);
    let strips: Vec<(String, u64)> =
        found.unwrap().pieces.iter().map(|p| (p.part.clone(), p.quantity)).collect();
    // Two strips of 2250 mm in thirds of 1500 lie across the roll, the thirds' joints 750 mm off the joint between
    // the strips of a layer turned against it: six pieces. The far strip is the near one turned round.
    let third = |piece: u32| format!("disc, strip 1 from the edge of 2, piece {piece} of 3");
    assert_eq!(strips, [(third(1), 2), (third(2), 2), (third(3), 2)]);
}

/// TV4: three turns of 5 mm on NPS 6 are 1727.562 long.
#[test]
fn layers_wound_from_one_piece() {
    let mut rules = fine();
    rules.wrap.wound_up_to = mm(200);
    let (found, findings) = run(one(pipe(NPS6, mm(1400), &[]), &[5, 5, 5, 10]), &stock(), &rules);
    let found = found.unwrap();
    assert_eq!(codes(&findings), ["D020"]);
    assert_eq!(parts(&found), [(1, "course 1 of 1, 3 turns", 1), (4, "course 1 of 1", 1)]);
    assert_eq!(found.pieces[0].length, mm(1728));
    assert_eq!(found.joints.len(), 4);
    assert_eq!(found.joints[2].under, Length::from_nm(188_300_000));
    assert!(found.joints[1].waived.is_some() && found.joints[3].waived.is_none());
}

/// NPS 1 long radius under 50 mm (TV21): no room at the throat; joined ends are cut back, and the
/// runs are shorter by as much.
#[test]
fn an_elbow_thicker_than_its_bend() {
    let build = [10, 10, 10, 10, 10];
    let radius = Length::from_nm(38_100_000);
    let kind = Kind::Elbow(crate::takeoff::Elbow {
        size: size(3340),
        angle: Angle::QUARTER,
        radius,
        straight: Length::ZERO,
    });
    let items = vec![
        item("P1", pipe(3340, mm(2000), &["E"]), 1, &build),
        item("E", kind.clone(), 1, &build),
        item("P2", pipe(3340, mm(2000), &["E"]), 1, &build),
    ];
    let (found, findings) = run(items, &stock(), &fine());
    let found = found.unwrap();
    assert!(codes(&findings).contains(&"D017"), "{findings:?}");
    // Outermost: r = 61.7, cut back 23.6, up with a throat of 25: 49 mm beyond the weld.
    let outer = found.joints.iter().find(|j| j.layer == 5).unwrap();
    assert_eq!(outer.start, mm(49));
    assert_eq!(found.pieces.iter().filter(|p| p.item == "E").count(), 5);
    let (alone, findings) = run(one(kind, &[10, 10, 10, 10, 10]), &stock(), &fine());
    assert!(alone.is_some() && codes(&findings).contains(&"D017"));
}

/// The smallest pipe has every kind at least drawn.
#[test]
fn small_bore() {
    let half = 2130;
    let build = [5, 10, 10];
    let cap = Kind::Cap(Cap { size: size(half), length: mm(25) });
    assert_eq!(demand(one(cap, &build), &fine()).pieces.len(), 3);
    let reducer = Kind::Reducer(Reducer {
        large: size(NPS2),
        small: size(half),
        length: mm(76),
        eccentric: true,
    });
    assert_eq!(demand(one(reducer, &build), &fine()).pieces.len(), 3);
}

/// B16.9: a long-radius elbow of 45 degrees of NPS 2 is 35.1 mm from centre to weld, its bend of 76.2 mm but
/// 76.2 tan 22.5 = 31.563 mm: its cover is 3.537 mm longer at either end.
#[test]
fn covers_of_small_45_degree_elbows_reach_to_the_welds() {
    let straight =
        crate::standards::straight_end(128, crate::standards::Bend::Long, Angle::from_degrees(45));
    let straight = straight.unwrap().value;
    assert!((straight.mm_f64() - 3.537).abs() < 1e-3, "{straight}");
    let width = |straight: Length| {
        let (angle, radius) = (Angle::from_degrees(45), Length::from_nm(76_200_000));
        let kind = Kind::Elbow(crate::takeoff::Elbow { size: size(NPS2), angle, radius, straight });
        let found = demand(one(kind, &[10]), &fine());
        assert_eq!(parts(&found), [(1, "elbow in one piece", 1)]);
        found.pieces[0].width
    };
    assert_eq!(width(straight) - width(Length::ZERO), straight * 2);
}

/// A tie goes round a ring, of however many pieces it is: by hand, 1500 mm of a shell in rings of one, two or five pieces
/// take 1500 / 300 + 1 = 6 of them.
#[test]
fn rings_of_several_pieces_have_the_ties_of_a_whole_one() {
    let ties = |limit: Option<i64>| -> (u64, u64) {
        let mut rules = fine();
        rules.table.pull_limit = limit.map(mm);
        let shell = Kind::Shell(crate::takeoff::Shell {
            diameter: mm(3000),
            length: mm(1500),
            vertical: false,
        });
        let found = demand(one(shell, &[10]), &rules);
        (found.pieces.iter().map(|p| p.quantity).sum(), found.schedule.iter().map(|s| s.ties).sum())
    };
    assert_eq!([None, Some(5000), Some(2000)].map(ties), [(1, 6), (2, 6), (5, 6)]);
}

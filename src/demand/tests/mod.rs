//! From a takeoff's items to their pieces.

mod choices;
mod heads;
mod kinds;
mod neighbours;
mod random;
mod standard;
mod surfaces;
mod things;
mod units;

use super::{Demand, RunJoints, expand};
use crate::finding::{Findings, Place, Severity};
use crate::rules::{JointKind, Rules, Seam};
use crate::stock::{Roll, Stock, Terms};
use crate::takeoff::{Build, Elbow, Item, Kind, Measure, Pipe, Size, Takeoff};
use crate::units::{Angle, Length};
use std::collections::BTreeSet;

fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

fn size(od_hundredths: i64) -> Size {
    let od = Length::from_nm(od_hundredths * 10_000);
    Size { text: format!("OD {od}"), od, nps_64ths: None }
}

const NPS2: i64 = 6030;
const NPS6: i64 = 16830;
const NPS12: i64 = 32380;

fn item(id: &str, kind: Kind, quantity: u64, build: &[i64]) -> Item {
    Item {
        id: id.to_owned(),
        area: String::new(),
        line: String::new(),
        kind,
        quantity,
        build: Build(build.iter().map(|&t| mm(t)).collect()),
        release: 0,
        note: String::new(),
        pinned: false,
        place: Place::line("takeoff.csv", 2),
    }
}

fn pipe(od: i64, length: Length, ends: &[&str]) -> Kind {
    Kind::Pipe(Pipe {
        size: size(od),
        length,
        measure: Measure::Net,
        vertical: false,
        ends: ends.iter().map(|&e| e.to_owned()).collect(),
    })
}

fn elbow(od: i64, radius: i64) -> Kind {
    Kind::Elbow(Elbow {
        size: size(od),
        angle: Angle::QUARTER,
        radius: Length::from_nm(radius * 100_000),
        straight: Length::ZERO,
    })
}

fn roll(thickness: i64, width: i64, length: i64) -> Roll {
    Roll {
        id: format!("R{thickness}x{width}"),
        thickness: mm(thickness),
        width: mm(width),
        length: mm(length),
        price: None,
        available: None,
        offered: true,
        courses: true,
        terms: Terms::default(),
        place: Place::default(),
    }
}

fn stock() -> Stock {
    Stock { rolls: vec![roll(10, 1500, 40_000), roll(5, 1500, 60_000)], offcuts: Vec::new() }
}

fn run(items: Vec<Item>, stock: &Stock, rules: &Rules) -> (Option<Demand>, Findings) {
    expand(&Takeoff { items }, stock, rules)
}

fn demand(items: Vec<Item>, rules: &Rules) -> Demand {
    let (demand, findings) = run(items, &stock(), rules);
    demand.unwrap_or_else(|| panic!("{findings:?}"))
}

fn remedies(findings: &Findings) -> Vec<&str> {
    findings.iter().map(|f| f.remedy.as_str()).collect()
}

fn codes(findings: &Findings) -> Vec<&str> {
    findings.iter().map(|f| f.code.id).collect()
}

/// Worked run: NPS 6, 4 m, two layers of 10 mm, W 1500, k 0.5: stretch-outs 560.146 and 622.978
/// (TV1) rounded up to whole millimetres; courses of DOMAIN notes part 4.
#[test]
fn a_straight_run() {
    let demand =
        demand(vec![item("P1", pipe(NPS6, mm(4000), &[]), 3, &[10, 10])], &Rules::default());
    let rows: Vec<(&str, i64, i64, u64)> = demand
        .pieces
        .iter()
        .map(|p| (p.id.as_str(), p.width.nm() / 1_000_000, p.length.nm() / 1_000_000, p.quantity))
        .collect();
    assert_eq!(
        rows,
        [
            ("P1/1/courses 1-2 of 3", 1500, 561, 6),
            ("P1/1/course 3 of 3", 1000, 561, 3),
            ("P1/2/course 1 of 3", 1000, 623, 3),
            ("P1/2/courses 2-3 of 3", 1500, 623, 6),
        ]
    );
    assert_eq!(demand.joints.len(), 2);
    assert_eq!(demand.joints[0].joints, [mm(1500), mm(3000)]);
    assert_eq!(demand.joints[1].joints, [mm(1000), mm(2500)]);
    // Seams at both sides of the pipe, never at top or bottom.
    assert_eq!(demand.joints[0].seams, [Angle::from_degrees(90)]);
    assert_eq!(demand.joints[1].seams, [Angle::from_degrees(270)]);
    assert!(demand.joints.iter().all(|j| j.waived.is_none()));
    let steps: Vec<(&str, u64, i64, u64)> = demand
        .schedule
        .iter()
        .map(|s| (s.piece.as_str(), s.count, s.at.nm() / 1_000_000, s.ties))
        .collect();
    // Ties: ceil(width / 300) + 1 for each ring.
    assert_eq!(
        steps,
        [
            ("P1/1/courses 1-2 of 3", 2, 0, 12),
            ("P1/1/course 3 of 3", 1, 3000, 5),
            ("P1/2/course 1 of 3", 1, 0, 5),
            ("P1/2/courses 2-3 of 3", 2, 1000, 12),
        ]
    );
}

/// The same lengths in inches and in millimetres are the same nanometres: 236 7/32 in.
#[test]
fn inches_and_millimetres_give_the_same_pieces() {
    let of = |text: &str| {
        let length = Length::parse(text).unwrap();
        demand(vec![item("P", pipe(NPS6, length, &[]), 1, &[10, 10])], &Rules::default())
    };
    assert_eq!(of("236 7/32 in"), of("5999.95625"));
}

#[test]
fn a_lapped_outer_layer_is_cut_wider_and_longer() {
    let mut rules = Rules::default();
    rules.joints.kind = JointKind::Lap;
    let demand = demand(vec![item("P", pipe(NPS6, mm(4000), &[]), 1, &[10, 10])], &rules);
    let (inner, outer): (Vec<_>, Vec<_>) = demand.pieces.iter().partition(|p| p.layer == 1);
    assert!(inner.iter().all(|p| p.length == mm(561)));
    // 622.978 rounded up to nanometres, 25 mm lap, rounded up to millimetres.
    assert!(outer.iter().all(|p| p.length == mm(648)));
    assert_eq!(demand.joints[1].lap, mm(25));
    let cut: Length = outer.iter().map(|p| p.width * i64::try_from(p.quantity).unwrap()).sum();
    let courses = demand.joints[1].courses.len();
    assert_eq!(cut, mm(4000 + 25 * (i64::try_from(courses).unwrap() - 1)));
    assert!(outer.iter().all(|p| p.width <= mm(1500)));
}

/// Upright every course but the lowest is wider by the lap, so that it hangs over the one below it, whose end is the
/// joint that the layer beneath is staggered against; level every course but the last. 4 m in courses of 1475 mm, the
/// roll less the lap, whichever way they are split.
#[test]
fn upright_courses_lap_over_those_below_them() {
    let mut rules = Rules::default();
    rules.joints.kind = JointKind::Lap;
    let cut = |vertical: bool| {
        let mut kind = pipe(NPS6, mm(3900), &[]);
        if let Kind::Pipe(pipe) = &mut kind {
            pipe.vertical = vertical;
        }
        let found = demand(vec![item("P", kind, 1, &[10])], &rules);
        assert_eq!(found.free.is_empty(), vertical);
        let mut steps: Vec<_> = found.schedule.iter().map(|step| (step.at, step)).collect();
        steps.sort_by_key(|(at, _)| *at);
        let widths = steps.iter().flat_map(|(_, step)| {
            let piece = found.pieces.iter().find(|p| p.id == step.piece).unwrap();
            vec![piece.width; usize::try_from(step.count).unwrap()]
        });
        let widths: Vec<Length> = widths.collect();
        let laps = widths.iter().zip(&found.joints[0].courses).map(|(&cut, &course)| cut - course);
        let note = steps[0].1.note.clone();
        (laps.collect::<Vec<Length>>(), note)
    };
    assert_eq!(cut(false).0, [mm(25), mm(25), mm(0)]);
    let (laps, note) = cut(true);
    assert_eq!(laps, [mm(0), mm(25), mm(25)]);
    assert!(note.ends_with("lap each upper course 25 mm over the one below it"), "{note}");
}

/// A lap of 25 mm is no multiple of 1/16 in (1.5875 mm), nor of 10 mm: 16 steps and 3. Courses are what the
/// whole steps of the roll leave beside it: 944 - 16 = 928 steps of 1500 mm, 74 - 3 = 71 of 745.
#[test]
fn lapped_courses_fit_the_roll_in_whole_steps() {
    for (step, width, widest) in [("1/16 in", 1500, "1473.2"), ("10", 745, "710")] {
        let mut rules = Rules::default();
        rules.joints.kind = JointKind::Lap;
        rules.resolution.cut = Length::parse(step).unwrap();
        let items = vec![item("P", pipe(NPS6, mm(4000), &[]), 1, &[10])];
        let stock = Stock { rolls: vec![roll(10, width, 40_000)], offcuts: vec![] };
        let (demand, findings) = run(items, &stock, &rules);
        let demand = demand.unwrap_or_else(|| panic!("{findings:?}"));
        assert!(demand.pieces.iter().all(|p| p.width <= mm(width)), "{:?}", demand.pieces);
        assert_eq!(demand.joints[0].courses[0], Length::parse(widest).unwrap());
    }
}

#[test]
fn the_widest_roll_that_takes_the_ring_is_used() {
    let items = || vec![item("P", pipe(NPS12, mm(3000), &[]), 1, &[10])];
    let rules = Rules::default();
    // The ring is 1048.7 mm; the wide roll is too short for it.
    let stock =
        Stock { rolls: vec![roll(10, 2000, 1000), roll(10, 1000, 40_000)], offcuts: vec![] };
    let (demand, _) = run(items(), &stock, &rules);
    assert_eq!(demand.unwrap().joints[0].courses, [mm(1000); 3]);
    // A pull limit below the ring splits it, with the seams of the next layer halfway between.
    let mut rules = Rules::default();
    rules.table.pull_limit = Some(mm(600));
    let items = vec![item("P", pipe(NPS12, mm(1400), &[]), 1, &[10, 10])];
    let (demand, findings) = run(items, &self::stock(), &rules);
    let demand = demand.unwrap();
    assert_eq!(codes(&findings), ["D015"]);
    assert!(remedies(&findings)[0].contains("raise the pull limit"), "{findings:?}");
    assert_eq!(demand.pieces.len(), 2);
    for piece in &demand.pieces {
        assert_eq!(piece.quantity, 2);
        assert!(piece.length <= mm(600));
    }
    let seams: Vec<_> = demand.joints.iter().map(|j| j.seams.clone()).collect();
    let deg = Angle::from_degrees;
    assert_eq!(seams[0], [deg(90), deg(270)]);
    // Halfway between would be top and bottom dead centre.
    assert_eq!(seams[1], [deg(135), deg(315)]);
}

/// Of rings in four or six parts, too, no seam of a layer that can turn lies at top or bottom dead centre: a quarter of
/// the way to the next one where halfway would.
#[test]
fn no_seam_of_a_ring_in_parts_turns_to_the_top() {
    for (limit, first, parts) in [(2500, 45, 4), (1700, 90, 6)] {
        let mut rules = Rules::default();
        rules.table.pull_limit = Some(mm(limit));
        rules.joints.first_seam = Angle::from_degrees(first);
        let items = vec![item("P", pipe(300_000, mm(3000), &[]), 1, &[10, 10, 10])];
        let joints = run(items, &stock(), &rules).0.unwrap().joints;
        for layer in &joints[1..] {
            assert_eq!(layer.seams.len(), parts);
            let dead = |at: &Angle| at.microdegrees() % 180_000_000 == 0;
            assert!(!layer.seams.iter().any(dead), "{:?}", layer.seams);
        }
    }
}

/// TV: seams 75 mm apart need a girth of 150 mm, D = 47.7.
#[test]
fn small_pipe_has_its_seams_opposite_and_says_so() {
    let items = vec![item("P", pipe(2670, mm(900), &[]), 1, &[5, 5])];
    let (demand, findings) = run(items, &stock(), &Rules::default());
    let demand = demand.unwrap();
    assert_eq!(codes(&findings), ["D011"]);
    assert_eq!(demand.joints[1].seams, [Angle::from_degrees(270)]);
    assert!(demand.joints[1].waived.is_some());
}

#[test]
fn vertical_runs_break_at_support_rings() {
    let mut rules = Rules::default();
    rules.vertical.ring_gap = mm(5);
    let mut kind = pipe(NPS6, mm(9000), &[]);
    if let Kind::Pipe(pipe) = &mut kind {
        pipe.vertical = true;
    }
    let demand = demand(vec![item("P", kind, 1, &[10])], &rules);
    let starts: Vec<Length> = demand.joints.iter().map(|j| j.start).collect();
    assert_eq!(starts, [mm(0), mm(3000), mm(6000)]);
    let sums: Vec<Length> = demand.joints.iter().map(|j| j.courses.iter().copied().sum()).collect();
    assert_eq!(sums, [mm(2995), mm(2995), mm(3000)]);
    // Where they are taken to stand is told, and the crew reads it where a stretch begins.
    let told = |length: i64| {
        let mut kind = pipe(NPS6, mm(length), &[]);
        if let Kind::Pipe(pipe) = &mut kind {
            pipe.vertical = true;
        }
        let (_, findings) = run(vec![item("P", kind, 1, &[10])], &stock(), &rules);
        findings.iter().find(|f| f.code.id == "D072").map(|f| f.what.clone())
    };
    let words = "P: support rings are taken to stand at 3000, 6000 mm from its lower end, no more than \
                 vertical.ring_spacing = 4000 mm apart: all layers part there";
    assert_eq!((told(9000).as_deref(), told(4000)), (Some(words), None));
    let on_ring = demand.schedule.iter().filter(|s| s.note.starts_with("on the support ring here"));
    assert_eq!(on_ring.map(|s| s.at).collect::<Vec<_>>(), [mm(3000), mm(6000)]);
}

/// An elbow between two runs: inner layers reach into both by a stagger a layer, the runs are
/// shorter by as much, and together they cover the line once: straight length times stretch-out
/// plus the elbow's `2 R n tan(Theta/2n)` (TV22), in every layer.
#[test]
fn elbow_and_runs_cover_the_line_once() {
    for (seam, one_piece) in [(Seam::Throat, 0), (Seam::Alternate, 0), (Seam::Throat, 250)] {
        let mut rules = Rules::default();
        rules.elbow.seam = seam;
        rules.elbow.one_piece_up_to = mm(one_piece);
        rules.elbow.gores = Some(6);
        rules.elbow.chord_error = Length::from_nm(10_000);
        let build = [10, 10, 10];
        let items = vec![
            item("P1", pipe(NPS6, mm(4000), &["E1"]), 1, &build),
            item("E1", elbow(NPS6, 2286), 1, &build),
            item("P2", pipe(NPS6, mm(2500), &["E1"]), 1, &build),
        ];
        let demand = demand(items, &rules);
        for layer in 1..=3_u32 {
            let reach = mm(75) * i64::from(3 - layer);
            let runs: Vec<&RunJoints> = demand.joints.iter().filter(|j| j.layer == layer).collect();
            assert_eq!(runs.len(), 2);
            for (joints, length) in runs.iter().zip([4000, 2500]) {
                assert_eq!(joints.start, reach);
                let covered: Length = joints.courses.iter().copied().sum();
                assert_eq!(covered, mm(length) - reach);
            }
            if one_piece > 0 {
                let pieces: Vec<_> =
                    demand.pieces.iter().filter(|p| p.item == "E1" && p.layer == layer).collect();
                assert_eq!(pieces.len(), 1);
                assert_eq!(pieces[0].quantity, 1);
                continue;
            }
            let area: f64 = demand
                .pieces
                .iter()
                .filter(|p| p.item == "E1" && p.layer == layer)
                .map(|p| p.area.mm2_f64() * f64::from(u32::try_from(p.quantity).unwrap()))
                .sum();
            let under = 168.3 + 20.0 * f64::from(layer - 1);
            let ring = std::f64::consts::PI * (under + 10.0);
            let unit = std::f64::consts::FRAC_PI_2 / 6.0;
            let tan = |x: f64| 457.2 * libm::tan(x);
            // Layer 2 has whole gores at its ends: twelve half-gores less two, and two quarters twice.
            let bend = if layer == 2 {
                10.0 * tan(unit / 2.0) / 2.0 + 4.0 * tan(unit / 4.0) / 2.0
            } else {
                12.0 * tan(unit / 2.0) / 2.0
            };
            let expected = ring * (bend + 2.0 * reach.mm_f64());
            assert!((area / expected - 1.0).abs() < 1e-4, "layer {layer}: {area} {expected}");
        }
    }
}

#[test]
fn an_elbow_that_no_run_names_says_so() {
    let items = vec![item("E1", elbow(NPS6, 2286), 4, &[10, 10])];
    let (demand, findings) = run(items, &stock(), &Rules::default());
    assert_eq!(codes(&findings), ["D012", "D018"]);
    let demand = demand.unwrap();
    let quantities: Vec<u64> = demand.pieces.iter().map(|p| p.quantity).collect();
    assert_eq!(quantities, [4, 4]);
}

/// Three runs name an elbow of which there are two: one is joined at one side, one at both. Their
/// pieces have names of their own, and the schedule says for how many each step is.
#[test]
fn variants_of_an_elbow_are_told_apart() {
    let build = [10, 10];
    let run_to = |id: &str| item(id, pipe(NPS6, mm(2000), &["E1"]), 1, &build);
    let items =
        vec![item("E1", elbow(NPS6, 2286), 2, &build), run_to("P1"), run_to("P2"), run_to("P3")];
    let demand = demand(items, &Rules::default());
    let ids: BTreeSet<&str> = demand.pieces.iter().map(|p| p.id.as_str()).collect();
    assert_eq!(ids.len(), demand.pieces.len());
    let steps: Vec<_> = demand.schedule.iter().filter(|s| s.item == "E1").collect();
    assert!(steps.iter().all(|s| s.note.contains("for 1 of the 2")));
    // Which of them is the one at a run is told where it differs: of inner layers, which reach into it.
    let mut onto = 0;
    for step in &steps {
        let told = step.note.ends_with(", straight end onto P1, P2, P3");
        assert_eq!(told, step.piece.contains("mm straight"), "{step:?}");
        onto += usize::from(told);
    }
    assert!(onto > 0);
}

/// NPS 2 under 30 mm: the outermost layer's mid radius is 55.15 mm on a bend of 76.2 mm. The teeth of
/// the elbow in one piece may be narrower than the 25 mm of loose gores, so it follows the bend:
/// with 3 units the heel stands off by 131.35 (1/cos 15 - 1) = 4.6 mm. Gored, it has one mitre.
#[test]
fn small_thick_elbows_follow_the_bend_in_one_piece() {
    let items = || vec![item("E", elbow(NPS2, 762), 1, &[10, 10, 10])];
    let (found, findings) = run(items(), &stock(), &Rules::default());
    assert!(!codes(&findings).contains(&"D016"), "{findings:?}");
    // Two darts a side: heel from end to end is 2 n (R + r) tan(45 / n).
    let heel = 6.0 * 131.35 * libm::tan(std::f64::consts::FRAC_PI_2 / 6.0);
    let outer = found.unwrap().pieces[2].width.mm_f64();
    assert!((outer - heel).abs() < 0.01, "{outer} is not {heel}");
    let mut gored = Rules::default();
    gored.elbow.one_piece_up_to = Length::ZERO;
    let (_, findings) = run(items(), &stock(), &gored);
    assert!(codes(&findings).contains(&"D016"), "{findings:?}");
}

/// NPS 2 under 50 mm, and NPS 1 under 25, whose outermost layers are as thick as the bend's radius, or thicker: their teeth
/// run to a point, and the elbow follows the bend in all layers (before, it was one plain mitre, its heel 63 mm off).
#[test]
fn elbows_thicker_than_their_bend_follow_it_too() {
    for (od, radius, build, wide) in
        [(NPS2, 762_i32, &[10, 10, 10, 10, 10][..], 6), (3340, 381, &[10, 10, 5][..], 6)]
    {
        let (found, findings) =
            run(vec![item("E", elbow(od, radius.into()), 1, build)], &stock(), &Rules::default());
        assert!(!codes(&findings).contains(&"D016"), "{findings:?}");
        let found = found.unwrap();
        assert_eq!(found.pieces.len(), build.len());
        // Along the heel: 2 n (R + r) tan(45 / n), n being 3 by the tolerance of 6 mm.
        for (piece, layer) in found.pieces.iter().zip(0_i32..) {
            let r =
                f64::from(i32::try_from(od).unwrap()) / 200.0 - 5.0 + 10.0 * f64::from(layer + 1);
            let r = if piece.thickness == mm(5) { r - 2.5 } else { r };
            let mitre = std::f64::consts::FRAC_PI_2 / f64::from(wide);
            let heel = f64::from(wide) * (f64::from(radius) / 10.0 + r) * libm::tan(mitre);
            let is = piece.width.mm_f64();
            assert!((is - heel).abs() < 0.01, "{od}, layer {layer}: {is} is not {heel}");
        }
        assert!(found.schedule.iter().all(|s| s.note.contains("close the darts")));
    }
    // Gored, NPS 6 under 100 mm: 2 (228.6 - r) tan(45 / n) at the throat; with the 25 mm of the outermost layer n would be 3
    // and the heel 14 mm off. The innermost has room for the five that the tolerance wants; outer layers' seams lie at
    // the throat, which is told.
    let thick = [10; 10];
    let mut gored = Rules::default();
    gored.elbow.one_piece_up_to = Length::ZERO;
    let (found, findings) = run(vec![item("E", elbow(NPS6, 2286), 1, &thick)], &stock(), &gored);
    assert!(!codes(&findings).contains(&"D016"), "{findings:?}");
    assert!(findings.iter().any(|f| f.what.contains("narrower than elbow.smallest_throat")));
    let found = found.unwrap();
    let gores = |layer: u32| -> Vec<&str> {
        let of = found.pieces.iter().filter(|p| p.layer == layer && p.part.starts_with("gore,"));
        of.map(|p| p.part.as_str()).collect()
    };
    assert_eq!(gores(10), ["gore, seam at the throat"]);
    assert_eq!(gores(9), ["gore, seam at the throat"]);
    assert_eq!(gores(1), ["gore, seam at the heel"]);
    // What keeps the rule, and a plain mitre that is all there is, have their seams in turn as before.
    let (found, findings) = run(vec![item("E", elbow(NPS6, 2286), 1, &[10, 10])], &stock(), &gored);
    assert!(!codes(&findings).contains(&"D018"), "{findings:?}");
    assert!(found.unwrap().pieces.iter().any(|p| p.part == "gore, seam at the heel"));
    // One plain mitre has no darts where it has no ends: a bend of 90 degrees that gores may not follow.
    let mut mitre = Rules::default();
    mitre.elbow.gores = Some(1);
    let (found, findings) = run(vec![item("E", elbow(NPS2, 762), 1, &[10, 10])], &stock(), &mitre);
    let told = findings.iter().find(|f| f.code.id == "D016").expect("it stands off");
    assert!(told.what.contains("in one plain mitre") && told.remedy.contains("raise elbow.gores"));
    let notes: Vec<String> = found.unwrap().schedule.into_iter().map(|s| s.note).collect();
    assert_eq!(notes, ["seam at the throat", "close the darts, seam at the throat"]);
}

/// NPS 4 long radius under nine layers of 10 mm, runs at both ends: the inner layers reach 600 mm into
/// them, so no roll of 1500 mm takes the elbow whole, and loose gores of 25 mm at the throat would
/// leave a plain mitre whose heel stands 122 mm off the bend: (152.4 + 142.15)(1/cos 45 - 1). In two
/// parts it follows the bend, has the whole surface, and parts at a third and two thirds of it in turn.
#[test]
fn thick_elbows_with_long_reaches_are_cut_in_two_parts() {
    let build = [10; 9];
    let nps4 = 11430;
    let run_to = |id: &str| item(id, pipe(nps4, mm(3000), &["E"]), 1, &build);
    let items = vec![item("E", elbow(nps4, 1524), 1, &build), run_to("P1"), run_to("P2")];
    let (found, findings) = run(items, &stock(), &Rules::default());
    assert!(!codes(&findings).contains(&"D016"), "{findings:?}");
    let found = found.unwrap();
    let mut before: Option<Vec<f64>> = None;
    for layer in 1..=9_u32 {
        let pieces: Vec<_> =
            found.pieces.iter().filter(|p| p.item == "E" && p.layer == layer).collect();
        assert_eq!(pieces.len(), 2);
        assert!(pieces.iter().all(|p| p.part.starts_with("elbow in two parts")));
        let (reach, r) = (75.0 * f64::from(9 - layer), 57.15 - 5.0 + 10.0 * f64::from(layer));
        // 4 units: the stand-off is 294.55 (1/cos 11.25 - 1) = 5.8 mm.
        let (half, quarter) = ((11.25_f64).to_radians(), (5.625_f64).to_radians());
        let inner = 6.0 * half.tan() + 4.0 * quarter.tan();
        let angles = if layer % 2 == 1 || reach < 1.0 { 8.0 * half.tan() } else { inner };
        let wrap = 2.0 * std::f64::consts::PI * r;
        let whole = wrap * (2.0 * reach + 152.4 * angles);
        let area: f64 = pieces.iter().map(|p| p.area.mm2_f64()).sum();
        assert!((area / whole - 1.0).abs() < 4e-3, "layer {layer}: {area} is not {whole}");
        // Along the heel: how far from the first weld the parts meet, of the whole heel.
        let heel: Vec<f64> = pieces.iter().map(|p| p.width.mm_f64() - reach).collect();
        if let Some(before) = before.replace(heel.clone()) {
            let share = |h: &[f64]| h[0] / (h[0] + h[1]);
            assert!((share(&before) - share(&heel)).abs() > 0.12, "{before:?} {heel:?}");
        }
    }
}

#[test]
fn a_run_too_short_for_both_reaches_keeps_one() {
    let build = [10, 10];
    let items = vec![
        item("E1", elbow(NPS6, 2286), 1, &build),
        item("P", pipe(NPS6, mm(200), &["E1", "E2"]), 1, &build),
        item("E2", elbow(NPS6, 2286), 1, &build),
    ];
    let (demand, findings) = run(items, &stock(), &Rules::default());
    assert!(codes(&findings).contains(&"D013"), "{findings:?}");
    let demand = demand.unwrap();
    let inner = demand.joints.iter().find(|j| j.layer == 1).unwrap();
    assert_eq!((inner.start, inner.courses.as_slice()), (mm(75), &[mm(125)][..]));
}

#[test]
fn refusals_say_why() {
    let rules = Rules::default();
    let refused = |items: Vec<Item>, stock: &Stock, rules: &Rules, code: &str| {
        let (demand, findings) = run(items, stock, rules);
        assert!(demand.is_none());
        let errors: Vec<&str> = findings
            .iter()
            .filter(|f| f.severity() == Severity::Error)
            .map(|f| f.code.id)
            .collect();
        assert!(errors.contains(&code), "{errors:?} lacks {code}");
    };
    let p = || vec![item("P", pipe(NPS6, mm(4000), &[]), 1, &[10])];
    refused(vec![item("P", pipe(NPS6, mm(4000), &[]), 1, &[12])], &stock(), &rules, "D002");
    let narrow = Stock { rolls: vec![roll(10, 90, 40_000)], offcuts: vec![] };
    refused(p(), &narrow, &rules, "D003");
    let mut short = Rules::default();
    short.table.pull_limit = Some(mm(5));
    refused(p(), &stock(), &short, "D004");
    let many = vec![item("P", pipe(NPS6, mm(4000), &[]), u64::MAX, &[10])];
    refused(many, &stock(), &rules, "D007");
    let large = vec![item("P", pipe(NPS6, mm(4000), &[]), 1_000_000, &[10])];
    refused(large, &stock(), &rules, "D007");
    let build = [10, 10];
    let crowd = vec![
        item("E", elbow(NPS6, 2286), 1, &build),
        item("P", pipe(NPS6, mm(4000), &["E"]), 3, &build),
    ];
    refused(crowd, &stock(), &rules, "D006");
}

/// Ids are unique, every piece fits its roll, and the areas of a run's pieces are at least its
/// surface and at most a rounding more.
#[test]
fn a_small_site() {
    let mut items = Vec::new();
    for (n, od) in [NPS2, NPS6, NPS12].into_iter().enumerate() {
        let radius = [762, 2286, 4572][n];
        for (b, build) in [&[10][..], &[5, 10], &[5, 10, 10]].into_iter().enumerate() {
            items.push(item(
                &format!("P{n}{b}"),
                pipe(od, mm(7310), &[&format!("E{n}{b}")]),
                2,
                build,
            ));
            items.push(item(&format!("E{n}{b}"), elbow(od, radius), 2, build));
        }
    }
    let demand = demand(items, &Rules::default());
    let mut seen = BTreeSet::new();
    for piece in &demand.pieces {
        assert!(seen.insert(piece.id.clone()), "{} twice", piece.id);
        assert!(piece.width <= mm(1500), "{piece:?}");
        assert!(piece.quantity > 0);
    }
    for step in &demand.schedule {
        assert!(seen.contains(&step.piece), "{step:?}");
    }
}

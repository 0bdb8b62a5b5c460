//! What meets at a run's ends: covers fitted to the runs, builds that differ, joints not staggered.

use super::{NPS6, NPS12, codes, elbow, item, mm, pipe, run, size, stock};
use crate::demand::Step;
use crate::finding::Findings;
use crate::rules::Rules;
use crate::stock::Stock;
use crate::takeoff::{Bare, Flange, Item, Kind, Tee};
use crate::units::{Angle, Length};
use std::collections::BTreeSet;

/// ASME B16.5 Class 150, NPS 6.
fn flange(bare: Bare) -> Kind {
    Kind::Flange(Flange {
        size: size(NPS6),
        diameter: Length::from_nm(279_400_000),
        thickness: Length::from_nm(25_400_000),
        stud: mm(100),
        gasket: mm(3),
        bare,
    })
}

fn to(id: &str, ends: &[&str], build: &[i64]) -> Item {
    item(id, pipe(NPS6, mm(3000), ends), 1, build)
}

fn said(findings: &Findings, code: &str) -> Vec<String> {
    findings.iter().filter(|f| f.code.id == code).map(|f| f.what.clone()).collect()
}

/// Lengths of one item's shoulder strips, innermost first, with how many there are of each.
fn strips(items: Vec<Item>) -> (Vec<(i64, u64)>, Findings) {
    let (demand, findings) = run(items, &stock(), &Rules::default());
    let demand = demand.unwrap_or_else(|| panic!("{findings:?}"));
    let strips = demand.pieces.iter().filter(|p| p.item == "F" && p.part.contains("shoulder"));
    (strips.map(|p| (p.length.nm() / 1_000_000, p.quantity)).collect(), findings)
}

/// By hand, k 0.5: pipe of 168.3 under 20 mm is 208.3 over; pi (208.3 + 10) = 685.8, up: 686. With the
/// flange's own 30 mm it was 749, 20 mm of diameter too large (cold trial).
#[test]
fn a_flange_is_fitted_to_the_runs_that_name_it() {
    let runs = || vec![to("P1", &["F"], &[10, 10]), to("P2", &["F"], &[10, 10])];
    let with = |mut items: Vec<Item>, build: &[i64], many: u64| {
        items.push(item("F", flange(Bare::Covered), many, build));
        strips(items)
    };
    let (found, findings) = with(runs(), &[10, 10, 10], 1);
    // 279.4 - 208.3 = 71.1: four strips of 20 in diameter.
    assert_eq!(found.iter().map(|s| s.0).collect::<Vec<_>>(), [686, 749, 812, 875]);
    assert!(found.iter().all(|s| s.1 == 2));
    assert!(said(&findings, "D022")[0].contains("fitted to pipe insulated with 20 mm"));
    assert!(!codes(&findings).contains(&"D021"), "{findings:?}");
    // Builds that are alike: nothing is said. A side that nobody names is like the other.
    let (same, findings) = with(runs(), &[10, 10], 1);
    assert_eq!(same, found);
    assert!(!codes(&findings).contains(&"D022"), "{findings:?}");
    assert_eq!(with(vec![runs().remove(0)], &[10, 10, 10], 1).0, found);
    // Nobody names it: its own build.
    assert_eq!(with(Vec::new(), &[10, 10, 10], 1).0[0], (749, 2));
    // Each side its own pipe: four strips on one side, three on the other.
    let uneven = || vec![to("P1", &["F"], &[10, 10]), to("P2", &["F"], &[10, 10, 10])];
    let (found, findings) = with(uneven(), &[10, 10, 10], 1);
    let all: Vec<(i64, u64)> = found;
    assert_eq!(all, [(686, 1), (749, 1), (812, 1), (875, 1), (749, 1), (812, 1), (875, 1)]);
    assert!(said(&findings, "D022")[0].contains("20 mm on one side and 30 mm on the other"));
    // Two flanges on one line: which run meets which is not known.
    let (found, findings) = with(uneven(), &[10, 10, 10], 2);
    assert_eq!(found[0], (749, 4));
    assert!(said(&findings, "D021")[0].starts_with("F: the runs that name it differ"));
}

/// A flange or valve that no run names leaves runs that go up to its bolts, and nothing told it; each side counts.
#[test]
fn a_flange_that_no_run_names_is_told() {
    let told = |bare: Bare, many: u64, runs: &[&[&str]]| {
        let mut items = vec![item("F", flange(bare), many, &[10])];
        let run_of = |(n, ends): (usize, &&[&str])| to(&format!("P{n}"), ends, &[10]);
        items.extend(runs.iter().enumerate().map(run_of));
        let (_, findings) = run(items, &stock(), &Rules::default());
        said(&findings, "D071").pop()
    };
    let f: &[&str] = &["F"];
    let none = told(Bare::Covered, 1, &[&[], &[]]).unwrap();
    assert!(none.starts_with("F: no run's ends name it, and a run is shortened"), "{none}");
    let one = told(Bare::Closed, 1, &[f]).unwrap();
    assert!(one.starts_with("F: 1 of its 2 sides are named in the ends of runs"), "{one}");
    assert!(told(Bare::Covered, 2, &[f, f, f]).unwrap().contains("3 of its 4 sides"));
    for (bare, many, runs) in [
        (Bare::Covered, 1, &[f, f][..]),
        (Bare::Covered, 1, &[&["F", "F"]]),
        (Bare::Uninsulated, 2, &[f, f, f, f]),
        (Bare::Blind, 1, &[f]),
        (Bare::Flush, 1, &[&[]]),
    ] {
        assert_eq!(told(bare, many, runs), None, "{bare:?}");
    }
}

/// The end rings of a bare flange close the pipe's insulation that is there: 208.3 mm over, not 228.3.
#[test]
fn end_rings_of_a_bare_flange_are_as_large_as_the_pipe() {
    let ring = |build: &[i64]| {
        let items = vec![to("P", &["F"], &[10, 10]), item("F", flange(Bare::Closed), 1, build)];
        let (demand, _) = run(items, &stock(), &Rules::default());
        let pieces = demand.unwrap().pieces;
        pieces.into_iter().find(|p| p.item == "F").unwrap().outline
    };
    assert_eq!(ring(&[10, 10, 10]), ring(&[10, 10]));
}

#[test]
fn neighbours_that_differ_in_build_are_told() {
    let tee = Kind::Tee(Tee {
        run: size(NPS6),
        branch: size(NPS6),
        angle: Angle::QUARTER,
        centre_to_end: mm(143),
        acute_end: mm(143),
        branch_height: mm(143),
    });
    let items = vec![
        to("P", &["E", "T"], &[10, 10]),
        item("E", elbow(NPS6, 2286), 1, &[10, 10, 10, 10]),
        item("T", tee, 1, &[5, 10]),
    ];
    let (demand, findings) = run(items.clone(), &stock(), &Rules::default());
    assert!(demand.is_some());
    let told = said(&findings, "D021");
    assert_eq!(told.len(), 2, "{findings:?}");
    assert!(
        told[0].starts_with("P: it is built 10+10 and E, at its end, 10+10+10+10: a step of 20 mm")
            && told[0].ends_with("their joint is not staggered"),
        "{told:?}"
    );
    assert!(told[1].contains("T, at its end, 5+10: a step of 5 mm"), "{told:?}");
    let alike =
        items.into_iter().map(|i| Item { build: crate::takeoff::Build(vec![mm(10); 2]), ..i });
    let (_, findings) = run(alike.collect(), &stock(), &Rules::default());
    assert!(!codes(&findings).contains(&"D021"), "{findings:?}");
}

/// Joints that are not staggered are a warning that names every item, where the rules ask for a stagger.
#[test]
fn joints_that_are_not_staggered_are_named() {
    let elbows = || -> Vec<Item> {
        (1..=3).map(|n| item(&format!("E{n}"), elbow(NPS12, 4572), 1, &[10, 10])).collect()
    };
    let (_, findings) = run(elbows(), &stock(), &Rules::default());
    let told = said(&findings, "D012");
    assert_eq!(told.len(), 1, "{findings:?}");
    assert!(told[0].starts_with("E1: ") && told[0].ends_with("(also E2, E3)"), "{told:?}");
    assert!(findings.iter().any(|f| f.code.severity == crate::finding::Severity::Warning));
    let mut rules = Rules::default();
    rules.joints.stagger = Length::ZERO;
    let (_, findings) = run(elbows(), &stock(), &rules);
    assert!(!codes(&findings).contains(&"D012"), "{findings:?}");
}

/// NPS 1 equal tee under 40 mm: each cover is 39 mm longer than the tee at its three ends.
#[test]
fn a_tee_whose_runs_all_give_way_needs_nothing() {
    let tee = || {
        Kind::Tee(Tee {
            run: size(3340),
            branch: size(3340),
            angle: Angle::QUARTER,
            centre_to_end: mm(38),
            acute_end: mm(38),
            branch_height: mm(38),
        })
    };
    let build = [10, 10, 10, 10];
    let with = |runs: usize, length: i64| {
        let mut items = vec![item("T", tee(), 1, &build)];
        for n in 0..runs {
            items.push(item(&format!("P{n}"), pipe(3340, mm(length), &["T"]), 1, &build));
        }
        run(items, &stock(), &Rules::default()).1
    };
    let findings = with(3, 2000);
    assert!(!codes(&findings).contains(&"D019"), "{findings:?}");
    assert!(
        said(&findings, "D024")[0].ends_with("the runs that meet it there are that much shorter")
    );
    let findings = with(1, 2000);
    assert!(said(&findings, "D019")[0].contains("at 2 of 3 such ends no run is shortened"));
    assert!(!codes(&findings).contains(&"D024"));
    // Runs too short to give way are told by D013 and counted.
    let findings = with(3, 100);
    assert!(codes(&findings).contains(&"D013"), "{findings:?}");
    assert!(said(&findings, "D019")[0].contains("at 3 of 3 such ends"), "{findings:?}");
}

/// By hand: an open end before the elbow keeps its place, so the inner layer starts with the outer one and
/// ends a stagger of 75 mm before it; with the elbow named first it is the other way round.
#[test]
fn an_elbow_reaches_into_the_end_at_which_it_is_named() {
    let inner = |ends: &[&str]| {
        let run_to = item("P", pipe(NPS6, mm(3000), ends), 1, &[10, 10]);
        let items = vec![run_to, item("E", elbow(NPS6, 2286), 1, &[10, 10])];
        let (demand, findings) = run(items, &stock(), &Rules::default());
        let demand = demand.unwrap_or_else(|| panic!("{findings:?}"));
        let layer = demand.joints.iter().find(|j| j.item == "P" && j.layer == 1).unwrap();
        let covered: Length = layer.courses.iter().copied().sum();
        (layer.start, layer.start + covered)
    };
    assert_eq!(inner(&["", "E"]), (mm(0), mm(2925)));
    assert_eq!(inner(&["E"]), (mm(75), mm(3000)));
}

/// Two runs that meet end all their layers in one plane, which is said once for each pair that names it.
#[test]
fn runs_that_meet_in_one_plane_are_told() {
    let runs = |build: &[i64]| {
        let items = vec![to("P1", &["P2"], build), to("P2", &[], build)];
        run(items, &stock(), &Rules::default()).1
    };
    let told = said(&runs(&[10, 10]), "D012");
    assert_eq!(told, ["P1: all its layers meet those of the run P2 in one plane"]);
    assert!(said(&runs(&[10]), "D012").is_empty());
}

/// The hole of an equal tee of NPS 12 is 2 (161.9 + 15) = 353.8 mm in its second layer, and a course with all of it
/// has 25 mm more on each side: on rolls of 380 all layers are parted at the hole, on rolls of 420 the outermost has
/// its seam through it and plain courses beside.
#[test]
fn covers_parted_in_one_plane_are_told() {
    let tee = |width: i64, build: &[i64]| {
        let long = Kind::Tee(Tee {
            run: size(NPS12),
            branch: size(NPS12),
            angle: Angle::QUARTER,
            centre_to_end: mm(400),
            acute_end: mm(400),
            branch_height: mm(254),
        });
        let stock = Stock { rolls: vec![super::roll(10, width, 40_000)], offcuts: Vec::new() };
        let (demand, findings) = run(vec![item("T", long, 1, build)], &stock, &Rules::default());
        assert!(demand.is_some(), "{findings:?}");
        said(&findings, "D070")
    };
    assert!(tee(380, &[10, 10])[0].ends_with("in one plane, at the hole"));
    assert!(tee(420, &[10, 10]).is_empty());
    assert!(tee(380, &[10]).is_empty());
    // The inner layer's hole is 333.8 mm: where the outer layer's is too large, that one has its seam through it.
    assert!(tee(400, &[10, 10]).is_empty());
}

/// By hand: the elbow's inner layer reaches 75 mm into a run of 290 mm, the flange takes 100 + 25; with both the
/// inner layer is 90 mm, less than the smallest piece. Bolts must be drawn, so the elbow goes without.
#[test]
fn a_short_run_leaves_room_for_bolts_first() {
    let build = [10, 10];
    for ends in [["E", "F"], ["F", "E"]] {
        let items = vec![
            item("P", pipe(NPS6, mm(290), &ends), 1, &build),
            item("E", elbow(NPS6, 2286), 1, &build),
            item("F", flange(Bare::Covered), 1, &build),
        ];
        let (demand, findings) = run(items, &stock(), &Rules::default());
        let demand = demand.unwrap_or_else(|| panic!("{findings:?}"));
        for layer in demand.joints.iter().filter(|j| j.item == "P") {
            let covered: Length = layer.courses.iter().copied().sum();
            assert_eq!(covered, mm(165), "{ends:?} {layer:?}");
            assert_eq!(layer.start, if ends[0] == "F" { mm(125) } else { Length::ZERO });
        }
        let told = said(&findings, "D013");
        assert!(told[0].ends_with("so it is not shortened at E"), "{told:?}");
    }
}

/// By hand: beside a flange with 80 mm of insulation a cover lies on 100 + 25 + 80 mm of the run and has an end
/// ring of 10: two of them on 430 mm, one on 215.
#[test]
fn covers_that_would_lie_in_each_others_place_are_told() {
    let build = [10; 8];
    let between = |long: i64, ends: &[&str], bare: Bare| {
        let mut items = vec![item("P", pipe(NPS6, mm(long), ends), 1, &build)];
        for end in ends.iter().filter(|end| !end.is_empty()) {
            items.push(item(end, flange(bare), 1, &build));
        }
        said(&run(items, &stock(), &Rules::default()).1, "D060")
    };
    assert!(between(430, &["F1", "F2"], Bare::Covered).is_empty());
    let told = between(375, &["F1", "F2"], Bare::Covered);
    assert_eq!(told.len(), 1);
    assert!(told[0].starts_with("P: the covers of F1 and F2 lie on 430 mm of it"), "{told:?}");
    assert!(told[0].ends_with("in each other's place for 55 mm"), "{told:?}");
    assert!(between(375, &["F1", "F2"], Bare::Closed).is_empty());
    assert!(between(215, &["F1"], Bare::Covered).is_empty());
    let told = between(214, &["F1"], Bare::Covered);
    assert!(told[0].ends_with("the cover would go 1 mm beyond its other end"), "{told:?}");
}

/// The innermost strip lies on the pipe's outermost layer and the outermost one beneath the body: whatever the
/// numbers of layers and strips, no two neighbours have their seams in one place. Before, a pipe of two layers
/// with an odd number of strips had (279.4 - 208.3 = 71.1 of diameter is four strips, of 12 mm three).
#[test]
fn strips_keep_their_seams_off_the_pipe_and_the_body() {
    let rules = Rules::default();
    let mut seen = BTreeSet::new();
    for (layers, diameter) in (1..=4).flat_map(|n| (0..5).map(move |more| (n, 235 + 20 * more))) {
        let build = vec![10; layers];
        let Kind::Flange(mut pair) = flange(Bare::Covered) else { unreachable!() };
        pair.diameter = mm(diameter);
        let items = vec![to("P", &["F"], &build), item("F", Kind::Flange(pair), 1, &build)];
        let (demand, findings) = run(items, &stock(), &rules);
        let demand = demand.unwrap_or_else(|| panic!("{findings:?}"));
        let of = |item: &str| -> Vec<Angle> {
            let mine = demand.schedule.iter().filter(|s| s.item == item && !s.seams.is_empty());
            mine.map(|s| s.seams[0]).collect()
        };
        let (pipe, cover) = (of("P"), of("F"));
        let strips = demand.pieces.iter().filter(|p| p.part == "shoulder strip").count();
        seen.insert((layers % 2, strips % 2, strips == 1));
        let neighbours: Vec<Angle> =
            pipe.last().into_iter().chain(cover.iter().take(strips + 1)).copied().collect();
        if strips == 0 {
            continue;
        }
        for pair in neighbours.windows(2) {
            let turn = (pair[0].microdegrees() - pair[1].microdegrees()).rem_euclid(360_000_000);
            assert!(turn.min(360_000_000 - turn) >= 90_000_000, "{layers} {strips} {neighbours:?}");
        }
    }
    // Even and odd pipes with even and odd numbers of strips, and single ones.
    assert!(seen.len() >= 5, "{seen:?}");
}

/// NPS 24 Class 150 on tables of 2.5 to 2.7 m: there are limits between the outermost strip's ring and the body's,
/// which is then in two parts with two seams; whatever the parts, no strip's seam lies under one of the body's.
/// 75 mm are 10.6 degrees on 812.8 mm.
#[test]
fn strips_keep_off_all_seams_of_a_body_in_parts() {
    let pair = Kind::Flange(Flange {
        size: size(60_960),
        diameter: Length::from_nm(812_800_000),
        thickness: Length::from_nm(47_600_000),
        stud: mm(175),
        gasket: mm(3),
        bare: Bare::Covered,
    });
    let mut unlike = 0;
    for limit in (2500..2700).step_by(20) {
        let mut rules = Rules::default();
        rules.table.pull_limit = Some(mm(limit));
        let items = vec![item("F", pair.clone(), 1, &[10, 10, 10])];
        let (demand, findings) = run(items, &stock(), &rules);
        let demand = demand.unwrap_or_else(|| panic!("{findings:?}"));
        let of = |step: &&Step, name: &str| {
            demand.pieces.iter().any(|p| p.id == step.piece && p.part.starts_with(name))
        };
        let strip = demand.schedule.iter().rfind(|step| of(step, "shoulder strip")).unwrap();
        let body = demand.schedule.iter().find(|step| of(step, "body")).unwrap();
        unlike += usize::from(strip.seams.len() != body.seams.len());
        for (a, b) in strip.seams.iter().flat_map(|a| body.seams.iter().map(move |b| (a, b))) {
            let turn = (a.microdegrees() - b.microdegrees()).rem_euclid(360_000_000);
            let turn = turn.min(360_000_000 - turn);
            assert!(turn > 10_600_000, "{limit}: {:?} {:?}", strip.seams, body.seams);
        }
    }
    assert!(unlike > 0);
}

/// By hand: 4 m upright with rings every 500 mm, and an elbow whose innermost of seven layers reaches 6 x 75 =
/// 450 mm into the first stretch of 500: 50 mm are left, less than the smallest piece, so the elbow goes without. With
/// eight layers it would reach 525 mm, and there is no such stretch.
#[test]
fn what_reaches_into_an_upright_run_must_leave_room_before_its_first_ring() {
    let mut rules = Rules::default();
    rules.vertical.ring_spacing = mm(500);
    for layers in [7, 8] {
        let build = vec![10; layers];
        let mut upright = item("P", pipe(NPS12, mm(4000), &["E"]), 1, &build);
        if let Kind::Pipe(pipe) = &mut upright.kind {
            pipe.vertical = true;
        }
        let items = vec![item("E", elbow(NPS12, 4572), 1, &build), upright];
        let (demand, findings) = run(items, &stock(), &rules);
        let demand = demand.unwrap_or_else(|| panic!("{findings:?}"));
        let told = said(&findings, "D013");
        assert!(told[0].contains("first and last stretches"), "{told:?}");
        assert!(!codes(&findings).contains(&"D014"), "{findings:?}");
        let mine = demand.joints.iter().find(|j| j.item == "P" && j.layer == 1).unwrap();
        assert_eq!(mine.start, Length::ZERO);
    }
}

/// The seams of the straight end of an elbow's inner layer and of the run's outer layer over it, two layers of 10 mm.
/// By hand: the outermost gores have their seams at the throat, the inner ones at the heel; the run's lie at 90 and 270
/// degrees, so a bend that turns to one side has its heel under the run's outer seam. An eighth of a turn is
/// pi 343.9 / 8 = 135 mm on NPS 12 (323.9) and pi 188.3 / 8 = 73.9 mm, less than the stagger, on NPS 6.
#[test]
fn seams_of_runs_over_a_bend_are_told() {
    let told = |od: i64, radius: i64, first: i64, stagger: i64| {
        let mut rules = Rules::default();
        rules.joints.first_seam = Angle::from_degrees(first);
        rules.joints.stagger = mm(stagger);
        rules.elbow.one_piece_up_to = Length::ZERO;
        let run_to = |id: &str| item(id, pipe(od, mm(3000), &["E"]), 1, &[10, 10]);
        let items = vec![item("E", elbow(od, radius), 1, &[10, 10]), run_to("P1"), run_to("P2")];
        let (found, findings) = run(items, &stock(), &rules);
        let demand = found.unwrap_or_else(|| panic!("{findings:?}"));
        let clear = |step: &&Step| step.note.contains("keep it clear");
        let noted: Vec<u32> = demand.schedule.iter().filter(clear).map(|step| step.layer).collect();
        let remedies = findings.iter().filter(|f| f.code.id == "D025").map(|f| f.remedy.clone());
        (remedies.collect::<Vec<String>>(), noted)
    };
    let (remedies, noted) = told(NPS12, 4572, 90, 75);
    assert!(remedies.len() == 1 && remedies[0].contains("first_seam = 45"), "{remedies:?}");
    assert!(!noted.is_empty() && noted.iter().all(|&layer| layer == 1), "{noted:?}");
    assert_eq!(told(NPS12, 4572, 45, 75), (Vec::new(), Vec::new()));
    assert_eq!(told(NPS6, 2286, 45, 73), (Vec::new(), Vec::new()));
    let (remedies, noted) = told(NPS6, 2286, 45, 75);
    assert!(remedies.len() == 1 && !remedies[0].contains("first_seam"), "{remedies:?}");
    assert!(!noted.is_empty());
}

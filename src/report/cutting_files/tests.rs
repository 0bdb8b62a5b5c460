//! The files of a sample plan, read back.

use super::sheet::Layer;
use super::*;
use crate::geometry::Point;
use crate::plan::sample;
use ::dxf::Drawing;
use ::dxf::entities::EntityType;
use ::dxf::enums::{DrawingUnits, Units};

/// The length of a straight cut in millimetres.
fn mm(from: Point, to: Point) -> f64 {
    libm::hypot((to.x - from.x).mm_f64(), (to.y - from.y).mm_f64())
}

fn sheets(plan: &Plan, shows: Shows) -> Vec<Sheet> {
    let pieces: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    match shows {
        Shows::Pulls => pulls(plan, &pieces),
        Shows::Rolls => rolls(plan, Length::from_mm(50), &pieces),
    }
}

#[test]
fn no_stretch_is_cut_twice_and_every_piece_is_there() {
    let plan = sample::plan(24, 3);
    let mut curved = 0;
    for sheet in sheets(&plan, Shows::Rolls) {
        // All cuts anew: whatever one leaves over, another may not cut.
        let mut once = crate::plan::Once::default();
        for cut in &sheet.cuts {
            let parts = once.parts(cut.from, cut.to);
            assert_eq!(parts, [(cut.from, cut.to)], "cut twice");
        }
        curved += sheet.cuts.iter().filter(|cut| cut.layer == Layer::Outline).count();
        assert!(sheet.cuts.iter().any(|cut| cut.layer == Layer::Square));
    }
    assert!(curved > 0, "no curved piece was cut");
    let drawn: usize = sheets(&plan, Shows::Rolls).iter().map(|s| s.pieces.len()).sum();
    let placed: usize = plan.rolls.iter().flat_map(|r| &r.pulls).map(|p| p.placements.len()).sum();
    assert_eq!(drawn, placed);
}

/// The knife goes where cut metres are counted, and nowhere else: not along the edge of the blanket, nor along a pull's near
/// end, which is cut already.
#[test]
fn files_cut_what_is_measured() {
    let plan = sample::plan(40, 3);
    let lengths = Lengths::of(&plan);
    let all = |sheet: &Sheet| -> f64 { sheet.cuts.iter().map(|c| mm(c.from, c.to)).sum() };
    let groups = Groups::of(&plan);
    for (sheet, group) in sheets(&plan, Shows::Pulls).iter().zip(&groups.groups) {
        let measured = lengths.of_pull(group.pull, group.width).all().mm_f64();
        assert!((all(sheet) - measured).abs() < 1e-3, "{}: {measured}", sheet.title);
    }
    for (sheet, roll) in sheets(&plan, Shows::Rolls).iter().zip(&plan.rolls) {
        let square = Lengths::square(roll.width, roll.square_cut(Length::from_mm(50)));
        let pulls = roll.pulls.iter().map(|pull| lengths.of_pull(pull, roll.width).all());
        let measured = (square + pulls.sum()).mm_f64();
        assert!((all(sheet) - measured).abs() < 1e-3, "{}: {measured}", sheet.title);
    }
}

/// A handle stands for one thing (groups 5 and 105), and all tables, blocks and their ends have one.
#[test]
fn every_handle_of_a_dxf_file_stands_once() {
    let plan = sample::plan(12, 3);
    for sheet in sheets(&plan, Shows::Pulls).iter().take(3) {
        let bytes = dxf::write(sheet).unwrap();
        let text = String::from_utf8(bytes).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.len() % 2, 0);
        let pairs: Vec<(&str, &str)> =
            lines.chunks(2).map(|p| (p[0].trim(), p[1].trim())).collect();
        let of = |at: usize| pairs[..=at].iter().rfind(|(code, _)| *code == "0").map(|(_, of)| *of);
        let seed = |at: usize| at > 0 && pairs[at - 1].1 == "$HANDSEED";
        let mut seen = std::collections::BTreeSet::new();
        let (mut most, mut next) = (0, 0);
        let mut with = BTreeMap::<&str, usize>::new();
        for (at, (code, value)) in pairs.iter().enumerate() {
            if !["5", "105"].contains(code) {
                continue;
            }
            let handle = u64::from_str_radix(value, 16).unwrap();
            if seed(at) {
                next = handle;
                continue;
            }
            assert!(handle > 0 && seen.insert(handle), "{handle:X} stands twice");
            most = most.max(handle);
            *with.entry(of(at).unwrap()).or_default() += 1;
        }
        assert!(next > most, "the next free handle, {next:X}, is taken: {most:X}");
        for kind in ["TABLE", "BLOCK", "ENDBLK", "LAYER", "LWPOLYLINE", "LINE", "TEXT"] {
            let all = pairs.iter().filter(|pair| **pair == ("0", kind)).count();
            assert!(all > 0 && with.get(kind) == Some(&all), "{kind}: {all}, {:?}", with.get(kind));
        }
    }
}

#[test]
fn a_dxf_file_is_in_millimetres_and_says_what_each_line_is() {
    let plan = sample::plan(16, 2);
    for sheet in sheets(&plan, Shows::Pulls).iter().take(8) {
        let bytes = dxf::write(sheet).unwrap();
        assert_eq!(bytes, dxf::write(sheet).unwrap(), "the same sheet gave other bytes");
        let drawing = Drawing::load(&mut bytes.as_slice()).unwrap();
        assert_eq!(drawing.header.default_drawing_units, Units::Millimeters);
        assert_eq!(drawing.header.drawing_units, DrawingUnits::Metric);
        assert!(drawing.blocks().any(|block| block.name == "*MODEL_SPACE"));
        assert!(drawing.layers().any(|layer| layer.name == "0"));
        let mut lines = 0.0;
        let mut shapes = 0;
        for entity in drawing.entities() {
            match &entity.specific {
                EntityType::Line(line) => {
                    lines += libm::hypot(line.p2.x - line.p1.x, line.p2.y - line.p1.y);
                }
                EntityType::LwPolyline(shape) if entity.common.layer == "pieces to look at" => {
                    assert!(shape.is_closed());
                    shapes += 1;
                }
                _ => {}
            }
        }
        let cut: f64 = sheet.cuts.iter().map(|c| mm(c.from, c.to)).sum();
        assert!((lines - cut).abs() < 1e-6, "{lines} and {cut}");
        assert_eq!(shapes, sheet.pieces.len());
    }
}

#[test]
fn names_cannot_break_out_of_a_file() {
    let mut plan = sample::plan(8, 1);
    plan.name = "<script>alert(1)</script>\u{202e}\n0\nEOF\n%%u^J\\U+0041".to_owned();
    for roll in &mut plan.rolls {
        roll.roll = format!("../{}", "\"'&<x".repeat(2000));
    }
    let sheet = &sheets(&plan, Shows::Pulls)[0];
    let svg = String::from_utf8(svg::write(sheet)).unwrap();
    assert!(!svg.contains("<script") && !svg.contains('\u{202e}') && svg.contains("&lt;script"));
    let bytes = dxf::write(sheet).unwrap();
    let text = String::from_utf8(bytes.clone()).unwrap();
    assert_eq!(text.lines().filter(|line| line.trim() == "EOF").count(), 1);
    assert!(!text.contains("%%u") && !text.contains("\\U+") && !text.contains("^J"));
    assert!(Drawing::load(&mut bytes.as_slice()).unwrap().entities().count() > 3);
}

#[test]
fn names_of_files_are_made_from_numbers() {
    assert!(is_ours("drawing-001.svg") && is_ours("layout-12.dxf"));
    // As earlier versions called them.
    assert!(is_ours("pull-001.svg") && is_ours("roll-12.dxf"));
    for other in ["pull-.svg", "pull-1.txt", "pull-1a.svg", "../pull-1.svg", "pull-1.svg.bak"] {
        assert!(!is_ours(other), "{other}");
    }
}

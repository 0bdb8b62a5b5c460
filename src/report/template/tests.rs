//! Sheets are true to size and miss nothing of a piece.

use super::tile::{MARGIN, OVERLAP};
use super::{Line, Paper, Sheet, Template, print_file, svg};
use crate::geometry::{Outline, Point};
use crate::pattern::{Flat, Mark};
use crate::units::Length;
use std::collections::BTreeSet;

fn mm(value: i64) -> Length {
    Length::from_mm(value)
}

fn template(corners: &[(i64, i64)]) -> Template {
    let corners: Vec<Point> = corners.iter().map(|&(x, y)| Point::new(mm(x), mm(y))).collect();
    let Flat { outline, marks, .. } = Flat::through(corners).unwrap();
    Template {
        piece: "B7".to_owned(),
        part: "gore".to_owned(),
        thickness: Some(mm(10)),
        quantity: 4,
        outline: outline.unwrap(),
        marks,
        kit: vec!["<E-1> layer 1: 4 off".to_owned()],
    }
}

/// A lens 364 by 1049 mm, as of an elbow on NPS 12.
fn lens() -> Template {
    template(&[(100, 0), (264, 0), (364, 500), (264, 1049), (100, 1049), (0, 500)])
}

fn cut_lines(sheet: &Sheet) -> impl Iterator<Item = &[Point]> {
    sheet.strokes.iter().filter(|s| s.line == Line::Cut).map(|s| s.points.as_slice())
}

fn long(points: &[Point]) -> f64 {
    let step = |w: &[Point]| (w[1].x - w[0].x).mm_f64().hypot((w[1].y - w[0].y).mm_f64());
    points.windows(2).map(step).sum()
}

/// The bar is 100 mm on every sheet, everything lies on the paper, and the paper is ISO 216's.
#[test]
fn every_sheet_is_true_to_size() {
    for (paper, sizes) in [(Paper::A4, (210, 297)), (Paper::A3, (297, 420))] {
        for sheet in lens().sheets(paper) {
            let mut size = [sheet.width, sheet.height];
            size.sort_unstable();
            assert_eq!(size, [mm(sizes.0), mm(sizes.1)]);
            let marks = sheet.strokes.iter().filter(|s| s.line == Line::Mark);
            let longest = marks.map(|s| long(&s.points)).fold(0.0, f64::max);
            assert!((longest - 100.0).abs() < 1e-9, "{longest}");
            for p in sheet.strokes.iter().flat_map(|s| &s.points) {
                assert!(p.x >= Length::ZERO && p.x <= sheet.width, "{p:?}");
                assert!(p.y >= Length::ZERO && p.y <= sheet.height, "{p:?}");
            }
        }
    }
}

/// One sheet as large as the piece bears its whole outline, at its own size.
#[test]
fn a_whole_sheet_holds_the_outline_unchanged() {
    let lens = lens();
    let sheets = lens.sheets(Paper::Whole);
    assert_eq!(sheets.len(), 1);
    let lines: Vec<&[Point]> = cut_lines(&sheets[0]).collect();
    assert_eq!(lines.len(), 1);
    let drawn = Outline::new(lines[0].to_vec()).unwrap();
    assert_eq!(drawn.area(), lens.outline.area());
    assert_eq!(drawn.size(), lens.outline.size());
}

/// Cut at the dashed lines and laid together, the sheets show the outline once: what each shows
/// between its dashed lines adds up to the outline's length, and every corner is on some sheet.
#[test]
fn tiles_laid_together_show_the_whole_outline() {
    for shape in [lens(), template(&[(0, 0), (900, 40), (700, 620), (30, 300)])] {
        let (corners, half) = (shape.outline.corners(), Length::from_nm(OVERLAP.nm() / 2));
        let mut ring = corners.to_vec();
        ring.push(corners[0]);
        for paper in [Paper::A4, Paper::A3] {
            let sheets = shape.sheets(paper);
            assert!(sheets.len() > 1);
            let names: BTreeSet<&str> = sheets.iter().map(|s| s.tile.as_str()).collect();
            assert_eq!(names.len(), sheets.len(), "names differ");
            let mut sum = 0.0;
            for sheet in &sheets {
                let low = (MARGIN + half, MARGIN + super::footer::FOOTER + half);
                let high = (sheet.width - low.0, sheet.height - MARGIN - half);
                for pair in cut_lines(sheet).flat_map(|points| points.windows(2)) {
                    sum += within(pair[0], pair[1], low, high);
                }
            }
            let whole = long(&ring);
            assert!((sum - whole).abs() < 1e-3, "{sum} of {whole}");
        }
    }
}

/// How much of a line lies in a box, its lower and left sides counted in, by cutting it into the
/// parts at which it crosses the box.
fn within(a: Point, b: Point, low: (Length, Length), high: (Length, Length)) -> f64 {
    let at = |p: Point| (p.x.mm_f64(), p.y.mm_f64());
    let ((ax, ay), (bx, by)) = (at(a), at(b));
    let mut shares = vec![0.0, 1.0];
    for (from, to, edge) in [
        (ax, bx, low.0.mm_f64()),
        (ax, bx, high.0.mm_f64()),
        (ay, by, low.1.mm_f64()),
        (ay, by, high.1.mm_f64()),
    ] {
        let share = (edge - from) / (to - from);
        if share > 0.0 && share < 1.0 {
            shares.push(share);
        }
    }
    shares.sort_by(f64::total_cmp);
    let whole = (bx - ax).hypot(by - ay);
    let mut sum = 0.0;
    for pair in shares.windows(2) {
        let middle = f64::midpoint(pair[0], pair[1]);
        let (x, y) = (ax + (bx - ax) * middle, ay + (by - ay) * middle);
        let from = |v: f64, edge: Length| v > edge.mm_f64() - 1e-7;
        let inside = from(x, low.0) && !from(x, high.0) && from(y, low.1) && !from(y, high.1);
        if inside {
            sum += whole * (pair[1] - pair[0]);
        }
    }
    sum
}

#[test]
fn svg_is_in_millimetres_and_escapes_names() {
    let sheets = lens().sheets(Paper::A4);
    let text = String::from_utf8(svg(&sheets[0])).unwrap();
    assert!(text.contains("width=\"210mm\" height=\"297mm\" viewBox=\"0 0 210 297\""), "{text}");
    assert!(text.contains("&lt;E-1&gt;") && !text.contains("<E-1>"));
    let page = String::from_utf8(print_file("<job>", &sheets)).unwrap();
    assert_eq!(page.matches("<svg").count(), sheets.len());
    assert!(page.contains("size:210mm 297mm") && !page.contains("<job>"));
}

#[test]
fn marks_follow_the_outline() {
    let flat = crate::pattern::disc::ring_sector(900.0, 300.0, 2, mm(1)).unwrap();
    let outline = flat.outline.unwrap();
    let (width, length) = outline.size();
    for Mark { from, to, .. } in
        flat.marks.iter().filter(|m| m.kind != crate::pattern::MarkKind::Note)
    {
        for p in [from, to] {
            // Within a micrometre: the outline's own corners are rounded.
            let um = Length::from_nm(1000);
            assert!(p.x >= -um && p.x <= width + um && p.y >= -um && p.y <= length + um, "{p:?}");
        }
    }
    assert!(flat.marks.len() > 5);
}

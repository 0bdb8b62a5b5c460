//! Sheets are true to size and miss nothing of a piece.

use super::tile::{Grid, MARGIN, OVERLAP};
use super::{Line, Paper, Sheet, Template, print_file, svg};
use crate::geometry::{Outline, Point};
use crate::pattern::{Flat, Mark};
use crate::units::{Length, Measure};
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

/// The bar is 100 mm or 4 in on every sheet, everything lies on the paper, and the paper is ISO 216's or of 8 1/2,
/// 11 and 17 inches.
#[test]
fn every_sheet_is_true_to_size() {
    let inches = |text: &str| Length::parse(&format!("{text} in")).unwrap();
    let letter = (inches("8 1/2"), inches("11"));
    for (paper, sizes, measure, bar) in [
        (Paper::A4, (mm(210), mm(297)), Measure::Millimetres, 100.0),
        (Paper::A3, (mm(297), mm(420)), Measure::Inches, 101.6),
        (Paper::Letter, letter, Measure::Inches, 101.6),
        (Paper::Tabloid, (letter.1, inches("17")), Measure::Millimetres, 100.0),
    ] {
        for sheet in lens().sheets(paper, measure) {
            let mut size = [sheet.width, sheet.height];
            size.sort_unstable();
            assert_eq!(size, [sizes.0, sizes.1]);
            let marks = sheet.strokes.iter().filter(|s| s.line == Line::Mark);
            let longest = marks.map(|s| long(&s.points)).fold(0.0, f64::max);
            assert!((longest - bar).abs() < 1e-9, "{longest}");
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
    let sheets = lens.sheets(Paper::Whole, Measure::Millimetres);
    assert_eq!(sheets.len(), 1);
    let lines: Vec<&[Point]> = cut_lines(&sheets[0]).collect();
    assert_eq!(lines.len(), 1);
    let drawn = Outline::new(lines[0].to_vec()).unwrap();
    assert_eq!(drawn.area(), lens.outline.area());
    assert_eq!(drawn.size(), lens.outline.size());
}

/// Cut at the dashed lines and laid together, the sheets show the outline once: what each shows of
/// its cell adds up to the outline's length, but for the cells that have no sheet.
#[test]
fn tiles_laid_together_show_the_whole_outline() {
    for shape in [lens(), template(&[(0, 0), (900, 40), (700, 620), (30, 300)])] {
        let mut ring = shape.outline.corners().to_vec();
        ring.push(ring[0]);
        for paper in [Paper::A4, Paper::A3] {
            let grid = Grid::of(paper, &shape.outline);
            let sheets = shape.sheets(paper, Measure::Millimetres);
            assert!(sheets.len() > 1 && sheets.len() == grid.cells.len());
            let names: BTreeSet<&str> = sheets.iter().map(|s| s.tile.as_str()).collect();
            assert_eq!(names.len(), sheets.len(), "names differ");
            let (mut drawn, mut due) = (0.0, 0.0);
            for (sheet, cell) in sheets.iter().zip(&grid.cells) {
                let window = grid.window(cell);
                let to_x = |x: Length| x - window.left + MARGIN;
                let to_y = |y: Length| y - window.bottom + MARGIN + super::footer::FOOTER;
                let low = (to_x(cell.low.x), to_y(cell.low.y));
                let high = (to_x(cell.high.x), to_y(cell.high.y));
                for pair in cut_lines(sheet).flat_map(|points| points.windows(2)) {
                    drawn += within(pair[0], pair[1], low, high);
                }
                let (low, high) = ((cell.low.x, cell.low.y), (cell.high.x, cell.high.y));
                due += ring.windows(2).map(|w| within(w[0], w[1], low, high)).sum::<f64>();
            }
            assert!((drawn - due).abs() < 1e-3, "{drawn} of {due}");
            let whole = long(&ring);
            assert!(due <= whole + 1e-3 && due > 0.9 * whole, "{due} of {whole}");
        }
    }
}

/// Shapes of all families and many sizes: every point of the outline shows on a sheet between its
/// dashed lines, or beyond a side without one; no sheet holds a mere sliver, unless the piece itself
/// runs out in a point there; and there are never more sheets than in a plain grid.
#[test]
fn no_sheet_holds_a_sliver() {
    let mut shapes = vec![lens().outline];
    for mm in (40..1400).step_by(61) {
        let size = f64::from(mm);
        let sector = crate::pattern::disc::ring_sector(size, size * 0.4, 3, Length::from_mm(1));
        let cone = crate::pattern::cone::Cone { large: size, small: size * 0.7, height: 150.0 };
        let petal = crate::pattern::dome::Meridian::hemisphere(size).petal(8, 0.0, 0.5);
        let strips = crate::pattern::disc::strips(size, 3, Length::from_mm(1)).unwrap();
        let flats =
            [sector, cone.eccentric(crate::pattern::cone::Eccentric::all(2, false)[0]), petal]
                .into_iter()
                .flatten()
                .chain(strips);
        shapes.extend(flats.filter_map(|f| f.outline));
    }
    let mut leanest = Vec::new();
    let (mut sheets, mut plain) = (0, 0);
    for outline in &shapes {
        for paper in [Paper::A4, Paper::A3] {
            let grid = Grid::of(paper, outline);
            let corners = outline.corners();
            for (&a, &b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
                for share in 0..4 {
                    let on =
                        |p: Length, q: Length| Length::from_nm(p.nm() + (q - p).nm() / 4 * share);
                    let p = Point::new(on(a.x, b.x), on(a.y, b.y));
                    assert!(grid.cells.iter().any(|c| shows(&grid, c, p)), "{p:?} is on no sheet");
                }
            }
            let steps = |size: Length, step: Length| size.round_up_to(step).nm() / step.nm();
            let (u, v) = (grid.width - MARGIN * 2 - OVERLAP, grid.height - MARGIN * 2 - OVERLAP);
            let (width, length) = outline.size();
            let cells = steps(width, u) * steps(length, v - super::footer::FOOTER);
            let count = i64::try_from(grid.cells.len()).unwrap();
            assert!(count <= cells);
            (sheets, plain) = (sheets + count, plain + cells);
            if count > 1 {
                leanest.extend(grid.cells.iter().map(super::cell::Cell::breadth).min());
            }
        }
    }
    leanest.sort_unstable();
    assert!(leanest.len() > 100);
    assert!(sheets * 5 < plain * 4, "{sheets} sheets, {plain} in plain grids");
    assert!(leanest[0] >= mm(20), "{:?}", &leanest[..20]);
}

/// Whether a point shows on a sheet, and not beyond a dashed line.
fn shows(grid: &Grid, cell: &super::cell::Cell, p: Point) -> bool {
    let w = grid.window(cell);
    let here = |p: Point| {
        p.x >= w.left && p.x <= w.left + w.width && p.y >= w.bottom && p.y <= w.bottom + w.height
    };
    let of = |c: &super::cell::Cell| {
        p.x >= c.low.x && p.x <= c.high.x && p.y >= c.low.y && p.y <= c.high.y
    };
    of(cell) || (here(p) && !grid.cells.iter().any(of))
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

/// Edges' words and the code stand whole on the paper above the foot, on a sheet that shows them whole.
#[test]
fn words_are_not_cut_off_by_the_sheet() {
    let mut long = template(&[(0, 0), (150, 0), (150, 1000), (120, 1200), (0, 1200)]);
    let edge = |x: i64| {
        let (from, to) = (Point::new(mm(x), mm(0)), Point::new(mm(x), mm(1000)));
        let (kind, word) = (crate::pattern::MarkKind::Edge, "end on the pipe".into());
        Mark { from, to, kind, word, lengths: Vec::new() }
    };
    long.marks = vec![edge(0), edge(150)];
    let sheets = long.sheets(Paper::A4, Measure::Millimetres);
    assert!(sheets.len() > 4);
    let mut shown = 0;
    for sheet in &sheets {
        let words = sheet.texts.iter().filter(|t| t.words == "end on the pipe" || t.words == "B7");
        for text in words {
            shown += 1;
            for corner in super::words::corners(text) {
                let foot = MARGIN + super::footer::FOOTER;
                assert!(corner.y >= foot && corner.y <= sheet.height - MARGIN, "{text:?}");
                assert!(corner.x >= MARGIN && corner.x <= sheet.width - MARGIN, "{text:?}");
            }
        }
    }
    assert!(shown >= sheets.len(), "{shown}");
}

#[test]
fn svg_is_in_millimetres_and_escapes_names() {
    let sheets = lens().sheets(Paper::A4, Measure::Millimetres);
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

/// Two parts of one layer may be one shape, as the sleeve's halves round a large bonnet: its sheet says once
/// how many go there.
#[test]
fn like_parts_of_a_layer_are_counted_together() {
    let flat = crate::pattern::disc::ring_sector(300.0, 100.0, 2, mm(1)).unwrap();
    let piece = |item: &str, part: &str| crate::demand::Piece {
        id: format!("{item}/1/{part}"),
        item: item.to_owned(),
        layer: 1,
        part: part.to_owned(),
        thickness: mm(10),
        width: flat.width,
        length: flat.length,
        area: flat.area(),
        outline: flat.outline.clone(),
        marks: flat.marks.clone(),
        turns: crate::cutting::Turns::Only(vec![crate::units::Angle::ZERO]),
        quantity: 1,
    };
    let pieces = vec![piece("V", "part 1"), piece("V", "part 2"), piece("W", "part 1")];
    let demand = crate::demand::Demand { pieces, ..Default::default() };
    let (stock, rules) = (crate::stock::Stock::default(), crate::rules::Rules::default());
    let wanted = crate::plan::job::wanted("job", &demand, &stock, &rules);
    let made = super::templates(&wanted, &demand);
    let kits: Vec<&[String]> = made.iter().map(|t| t.kit.as_slice()).collect();
    assert_eq!(kits, [["V layer 1: 2 off", "W layer 1: 1 off"]]);
}

//! Files as another program reads them: `pdfinfo`, `pdftotext` and `pdftoppm` of poppler. Where
//! they are missing the tests say so and skip.

use super::*;
use crate::report::papers::Papers;
use std::process::Command;

/// What a tool of poppler prints about a file; `None` with a message where it is missing.
fn poppler(tool: &str, options: &[&str], bytes: &[u8], after: &[&str]) -> Option<Vec<u8>> {
    let file = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(file.path(), bytes).unwrap();
    let run = Command::new(tool).args(options).arg(file.path()).args(after).output();
    let Ok(run) = run else {
        let _ = writeln!(std::io::stderr(), "SKIPPED: {tool} is missing");
        return None;
    };
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    assert!(run.stderr.is_empty(), "{}", String::from_utf8_lossy(&run.stderr));
    Some(run.stdout)
}

fn example() -> Vec<u8> {
    let mut page = Page::of(SheetSize::A4);
    page.bar((20.0, 20.0), Measure::Millimetres);
    page.words((20.0, 100.0), Setting::bold(5.0), "P-101 größe <script>");
    page.words((20.0, 90.0), Setting::plain(5.0), "The quick brown fox (jumps) \\ over 0123456789");
    let stand = Setting { turn: 90.0, anchor: Anchor::Middle, ..Setting::plain(4.0) };
    page.words((150.0, 150.0), stand, "standing");
    document("a \u{202e}title", vec![page, Page::new(100.0, 50.0)])
}

#[test]
fn pages_have_their_size_and_the_file_no_date() {
    let bytes = example();
    assert_eq!(bytes, example(), "the same pages gave other bytes");
    let Some(told) = poppler("pdfinfo", &["-f", "1", "-l", "2"], &bytes, &[]) else { return };
    let told = String::from_utf8(told).unwrap();
    assert!(told.contains("Pages:           2"), "{told}");
    // A4 is 210 by 297 mm: 595.276 by 841.89 points.
    assert!(told.contains("595.276 x 841.89 pts (A4)"), "{told}");
    assert!(told.contains("283.465 x 141.732 pts"), "{told}");
    assert!(!told.contains("CreationDate") && !told.contains("ModDate"), "{told}");
}

#[test]
fn a_hundred_millimetres_measure_a_hundred() {
    // 254 dots an inch: ten a millimetre.
    let options = ["-r", "254", "-gray", "-f", "1", "-l", "1"];
    let Some(image) = poppler("pdftoppm", &options, &example(), &[]) else { return };
    let mut head = image.splitn(4, |b| *b == b'\n');
    assert_eq!(head.next(), Some(&b"P5"[..]));
    let size = String::from_utf8(head.next().unwrap().to_vec()).unwrap();
    let size: Vec<usize> = size.split(' ').map(|n| n.parse().unwrap()).collect();
    assert!(size[0].abs_diff(2100) <= 1 && size[1].abs_diff(2970) <= 1, "{size:?}");
    let _ = head.next();
    let pixels = head.next().unwrap();
    // The bar stands 20 mm above the lower edge.
    let row = size[1] - 201;
    let dark: Vec<usize> = (0..size[0]).filter(|x| pixels[row * size[0] + x] < 128).collect();
    let long = dark.last().unwrap() - dark.first().unwrap();
    assert!(long.abs_diff(1000) <= 6, "the bar of 100 mm is {long} tenths long");
    assert!(dark.first().unwrap().abs_diff(200) <= 3);
    assert!(dark.len() + 4 > long, "the bar has gaps");
}

#[test]
fn words_are_as_wide_as_another_program_finds_them() {
    let Some(told) = poppler("pdftotext", &["-bbox", "-l", "1"], &example(), &["-"]) else {
        return;
    };
    let told = String::from_utf8(told).unwrap();
    let place = |word: &str, edge: &str| -> f64 {
        let line = told.lines().find(|line| line.contains(&format!(">{word}<"))).unwrap();
        let rest = line.split(&format!("{edge}=\"")).nth(1).unwrap();
        rest.split('"').next().unwrap().parse::<f64>().unwrap() * 25.4 / 72.0
    };
    let line = "The quick brown fox (jumps) \\ over 0123456789";
    let long = place("0123456789", "xMax") - place("The", "xMin");
    assert!((long - width(line, Face::Plain, 5.0)).abs() < 0.05, "{long}");
    let bold = place("&lt;script&gt;", "xMax") - place("P-101", "xMin");
    assert!((bold - width("P-101 größe <script>", Face::Bold, 5.0)).abs() < 0.05, "{bold}");
    assert!((place("P-101", "xMin") - 20.0).abs() < 0.05);
}

#[test]
fn no_words_break_the_file() {
    let mut page = Page::of(SheetSize::A4);
    for (at, words) in
        ["\u{0}\u{7}(()\\", "=cmd()", "../../x", "\u{202e}abc", "中文", ""].iter().enumerate()
    {
        let y = 250.0 - 10.0 * f64::from(u8::try_from(at).unwrap());
        page.words((10.0, y), Setting::plain(4.0), words);
    }
    page.words((10.0, 50.0), Setting::plain(4.0), &"x".repeat(10_000));
    let bytes = document("(()\\\u{0}", vec![page]);
    let Some(told) = poppler("pdftotext", &["-raw"], &bytes, &["-"]) else { return };
    let told = String::from_utf8(told).unwrap();
    for words in ["[?][?](()\\", "=cmd()", "../../x", "[?]abc", "[U+4E2D][U+6587]"] {
        assert!(told.contains(words), "`{words}` is not in {told}");
    }
}

#[test]
fn names_of_other_alphabets_are_read_as_they_were_written() {
    let names = "Zażółć gęślą jaźń ığŞİ Ωμέγα Київ Ő";
    let made = || {
        let mut page = Page::of(SheetSize::A4);
        page.words((10.0, 250.0), Setting::plain(5.0), names);
        page.words((10.0, 240.0), Setting::bold(5.0), "Łódź");
        document("Łódź", vec![page, Page::of(SheetSize::A4)])
    };
    let bytes = made();
    assert_eq!(bytes, made(), "the same words gave other bytes");
    // Two faces of a few letters each, not of 200 KB.
    assert!(bytes.len() < 24_000, "{}", bytes.len());
    let Some(told) = poppler("pdftotext", &["-raw"], &bytes, &["-"]) else { return };
    let told = String::from_utf8(told).unwrap();
    assert!(told.contains(names) && told.contains("Łódź"), "{told}");
    let Some(told) = poppler("pdftotext", &["-bbox", "-l", "1"], &bytes, &["-"]) else { return };
    let told = String::from_utf8(told).unwrap();
    let place = |word: &str, edge: &str| -> f64 {
        let line = told.lines().find(|line| line.contains(&format!(">{word}<"))).unwrap();
        let rest = line.split(&format!("{edge}=\"")).nth(1).unwrap();
        rest.split('"').next().unwrap().parse::<f64>().unwrap() * 25.4 / 72.0
    };
    let long = place("Ő", "xMax") - place("Zażółć", "xMin");
    assert!((long - width(names, Face::Plain, 5.0)).abs() < 0.05, "{long}");
    let Some(told) = poppler("pdffonts", &[], &bytes, &[]) else { return };
    let told = String::from_utf8(told).unwrap();
    assert_eq!(told.lines().filter(|line| line.contains("+NotoSans-")).count(), 2, "{told}");
}

#[test]
fn what_is_cut_in_one_go_stands_on_one_page() {
    use crate::{demand::Demand, finding::Findings, report::Sources, rules::Rules, stock::Stock};
    let (takeoff, stock, rules) =
        (crate::takeoff::Takeoff::default(), Stock::default(), Rules::default());
    let (demand, findings) = (Demand::default(), Findings::new());
    let sources = Sources::new(&takeoff, &stock, &rules, &demand, &findings);
    let (mut blocks, mut continued) = (0, 0);
    // Of many jobs the one or other has a block that just does not fit at the end of a page.
    for sizes in [9, 16, 24, 40, 75, 120] {
        let mut plan = crate::plan::sample::plan(sizes, 5);
        for used in plan.pieces.iter_mut().flat_map(|piece| &mut piece.uses) {
            used.item.push_str(
                " of the line behind the boiler house, second floor, north of the stairs",
            );
        }
        let bytes = tickets_pdf(&plan, &Papers::of(&plan, &sources));
        let Some(told) = poppler("pdftotext", &["-layout"], &bytes, &["-"]) else { return };
        let told = String::from_utf8(told).unwrap();
        for page in told.split('\u{c}') {
            continued += usize::from(page.contains("continued"));
            // From each block's heading to the next: its pieces are among that.
            for block in page.split(" long").skip(2) {
                assert!(block.contains(" × ") || !block.contains("no. "), "{page}");
                blocks += 1;
            }
        }
    }
    assert!(blocks > 100 && continued > 5, "{blocks} blocks, {continued} pages that go on");
}

/// 8 1/2 by 11 in are 612 by 792 points of 1/72 in.
#[test]
fn papers_flow_over_pages_of_their_sheet() {
    for (sheet, size) in
        [(SheetSize::A4, "595.276 x 841.89 pts"), (SheetSize::Letter, "612 x 792 pts")]
    {
        let mut flow = flow::Flow::new(sheet);
        flow.part("T1", "a job");
        for _ in 0..60 {
            flow.paragraph(Setting::plain(4.2), true, "Cut across.");
        }
        let bytes = document("a job", flow.pages(Measure::Inches));
        let Some(told) = poppler("pdfinfo", &["-f", "2", "-l", "2"], &bytes, &[]) else { return };
        let told = String::from_utf8(told).unwrap();
        assert!(told.contains("Pages:           2") && told.contains(size), "{told}");
        // All that is drawn lies on the sheet: the foot's page number ends within its margins.
        let Some(words) = poppler("pdftotext", &["-bbox", "-f", "2", "-l", "2"], &bytes, &["-"])
        else {
            return;
        };
        let words = String::from_utf8(words).unwrap();
        let reach = |name: &str| {
            let of = |line: &str| {
                let rest = line.split(&format!("{name}=\"")).nth(1)?;
                rest.split('"').next()?.parse::<f64>().ok()
            };
            words.lines().filter(|line| line.contains("<word")).filter_map(of).fold(0.0, f64::max)
        };
        let (width, height) = sheet.size();
        let inside = points_f64(width.mm_f64() - 11.0);
        assert!(reach("xMax") > inside - 20.0 && reach("xMax") < inside, "{words}");
        assert!(reach("yMax") < points_f64(height.mm_f64()), "{words}");
    }
}

fn points_f64(mm: f64) -> f64 {
    mm * 72.0 / 25.4
}

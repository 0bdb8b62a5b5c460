//! Reading a takeoff of 10,000 lines: bytes to complete items, every check made.

use criterion::Criterion;
use rollwright::rules::Rules;
use rollwright::takeoff;
use std::fmt::Write;
use std::hint::black_box;

const LINES: usize = 10_000;

/// A takeoff with every common kind, a quarter of its runs measured through named ends. Invented.
fn generated() -> String {
    let sizes = ["NPS 1", "NPS 2", "DN 100", "NPS 6", "NPS 8", "OD 323.8", "DN 600"];
    let mut text = String::from(
        "item,area,line,kind,size,size2,length,quantity,build,angle,radius,class,type,release,\
         note,measured,orientation,ends,bonnet,bonnet_height\n",
    );
    for at in 0..LINES / 5 {
        let size = sizes[at % sizes.len()];
        let line = at / 20;
        let _ = writeln!(
            text,
            "P-{at},north,L-{line},pipe,{size},,{} m,1,5+10+10,,,,,,,{},,E-{at}|V-{at},,",
            5 + at % 7,
            if at % 4 == 0 { "through" } else { "" },
        );
        let _ = writeln!(text, "Q-{at},north,L-{line},pipe,{size},,7 ft 6 1/2 in,2,10,,,,,2,,,,,,");
        let _ = writeln!(text, "E-{at},north,L-{line},elbow,{size},,,4,5+10+10,90,long,,,,,,,,,");
        let _ = writeln!(text, "F-{at},north,L-{line},flange,{size},,,1,10,,,150,,,by hand,,,,,");
        let _ =
            writeln!(text, "V-{at},north,L-{line},valve,{size},,,2,10+10,,,150,gate,,,,,,9 in,800");
    }
    text
}

fn read(c: &mut Criterion) {
    let text = generated();
    let rules = Rules::default();
    let (takeoff, findings) = takeoff::read("takeoff.csv", text.as_bytes(), &rules);
    assert!(takeoff.is_some_and(|t| t.items.len() == LINES), "{:?}", findings.iter().next());
    c.bench_function("takeoff of 10,000 lines", |b| {
        b.iter(|| takeoff::read("takeoff.csv", black_box(text.as_bytes()), &rules));
    });
    let broken = text.replace(",north,", ",north;");
    c.bench_function("takeoff of 10,000 lines, each with an error", |b| {
        b.iter(|| takeoff::read("takeoff.csv", black_box(broken.as_bytes()), &rules));
    });
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    read(&mut criterion);
    criterion.final_summary();
}

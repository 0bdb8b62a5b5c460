//! Nests of outlines, checked by two tests of overlap that share nothing with the engine's.
//!
//! The first is exact for small whole coordinates: between any two heights at which something
//! happens (a corner of either outline, a crossing of their edges) the cross-sections of both are
//! compared as exact fractions. The second, for real sizes, looks for edges that cross and for
//! corners inside.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use crate::common;
use proptest::prelude::*;
use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::geometry::{Outline, Point};
use rollwright::nest::{Instance, NestError, Nesting, Options, Piece, Quiet, Roll, solve};
use rollwright::units::{Angle, Length, Money};

type Corner = (i64, i64);

/// A fraction with a positive denominator.
#[derive(Clone, Copy, Debug)]
struct Fraction(i128, i128);

impl Fraction {
    fn new(over: i128, under: i128) -> Self {
        if under < 0 { Self(-over, -under) } else { Self(over, under) }
    }
    fn less(self, other: Self) -> bool {
        self.0 * other.1 < other.0 * self.1
    }
}

fn edges(ring: &[Corner]) -> Vec<(Corner, Corner)> {
    (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()])).collect()
}

fn wide(a: i64) -> i128 {
    i128::from(a)
}

/// Heights at which a corner lies or edges of the two outlines cross.
fn heights(a: &[Corner], b: &[Corner]) -> Vec<Fraction> {
    let mut all: Vec<Fraction> = a.iter().chain(b).map(|c| Fraction(wide(c.1), 1)).collect();
    for (p, q) in edges(a) {
        for (r, s) in edges(b) {
            let (d, e) = ((q.0 - p.0, q.1 - p.1), (s.0 - r.0, s.1 - r.1));
            let turn = wide(d.0) * wide(e.1) - wide(d.1) * wide(e.0);
            if turn != 0 {
                let t = wide(r.0 - p.0) * wide(e.1) - wide(r.1 - p.1) * wide(e.0);
                all.push(Fraction::new(wide(p.1) * turn + t * wide(d.1), turn));
            }
        }
    }
    all.sort_by(|a, b| (a.0 * b.1).cmp(&(b.0 * a.1)));
    all
}

/// The cross-section at a height at which no corner lies, as pairs of places.
fn section(ring: &[Corner], y: Fraction) -> Vec<(Fraction, Fraction)> {
    let mut places: Vec<Fraction> = edges(ring)
        .into_iter()
        .filter(|(p, q)| {
            let (low, high) = (Fraction(wide(p.1.min(q.1)), 1), Fraction(wide(p.1.max(q.1)), 1));
            low.less(y) && y.less(high)
        })
        .map(|(p, q)| {
            let rise = wide(q.1 - p.1);
            let x = wide(p.0) * rise * y.1 + (y.0 - wide(p.1) * y.1) * wide(q.0 - p.0);
            Fraction::new(x, rise * y.1)
        })
        .collect();
    places.sort_by(|a, b| (a.0 * b.1).cmp(&(b.0 * a.1)));
    places.chunks(2).map(|pair| (pair[0], pair[1])).collect()
}

/// Whether two outlines of small whole coordinates have an inner point in common.
fn overlap_exactly(a: &[Corner], b: &[Corner]) -> bool {
    let heights = heights(a, b);
    heights.windows(2).filter(|pair| pair[0].less(pair[1])).any(|pair| {
        let (p, q) = (pair[0], pair[1]);
        let y = Fraction(p.0 * q.1 + q.0 * p.1, 2 * p.1 * q.1);
        let (ours, theirs) = (section(a, y), section(b, y));
        ours.iter().any(|s| theirs.iter().any(|t| s.0.less(t.1) && t.0.less(s.1)))
    })
}

fn turn(a: Corner, b: Corner, c: Corner) -> i128 {
    (wide(b.0 - a.0) * wide(c.1 - a.1) - wide(b.1 - a.1) * wide(c.0 - a.0)).signum()
}

/// Whether edges cross or a corner of one lies strictly inside the other.
fn overlap_at_size(a: &[Corner], b: &[Corner]) -> bool {
    let crossing = edges(a).into_iter().any(|(p, q)| {
        edges(b)
            .into_iter()
            .any(|(r, s)| turn(p, q, r) * turn(p, q, s) < 0 && turn(r, s, p) * turn(r, s, q) < 0)
    });
    let within = |c: &Corner, ring: &[Corner]| {
        let on = edges(ring).into_iter().any(|(p, q)| {
            turn(p, q, *c) == 0
                && (p.0.min(q.0)..=p.0.max(q.0)).contains(&c.0)
                && (p.1.min(q.1)..=p.1.max(q.1)).contains(&c.1)
        });
        let crossed = edges(ring)
            .into_iter()
            .filter(|&(p, q)| (p.1 > c.1) != (q.1 > c.1) && (turn(p, q, *c) > 0) == (q.1 > p.1));
        !on && crossed.count() % 2 == 1
    };
    crossing || a.iter().any(|c| within(c, b)) || b.iter().any(|c| within(c, a))
}

fn corners(outline: &Outline) -> Vec<Corner> {
    outline.corners().iter().map(|p| (p.x.nm(), p.y.nm())).collect()
}

fn piece(id: &str, ring: &[Corner], quantity: u64, turns: Turns) -> Option<Piece> {
    let points = ring.iter().map(|c| Point::new(Length::from_nm(c.0), Length::from_nm(c.1)));
    let outline = Outline::new(points.collect()).ok()?;
    let (width, length) = outline.size();
    Some(Piece { id: id.into(), width, length, outline: Some(outline), quantity, turns })
}

fn all_turns() -> Turns {
    Turns::Only((0..4).map(|k| Angle::from_degrees(90 * k)).collect())
}

fn strip(width: i64, pieces: Vec<Piece>) -> Instance {
    Instance {
        name: "strip".into(),
        rolls: vec![Roll {
            id: "R".into(),
            width: Length::from_nm(width),
            length: None,
            price: Money::default(),
            available: None,
        }],
        pieces,
        cutting: Cutting::plain(Style::Free, None),
        objective: Objective::Length,
        published: None,
    }
}

/// Checks everything that an answer promises; `overlap` is one of the tests above.
fn check(instance: &Instance, nesting: &Nesting, overlap: fn(&[Corner], &[Corner]) -> bool) {
    let mut made = vec![0; instance.pieces.len()];
    let trim = instance.cutting.edge_trim.nm();
    for layout in &nesting.layouts {
        let roll = &instance.rolls[layout.roll];
        let mut placed: Vec<Vec<Corner>> = Vec::new();
        let mut from = instance.cutting.square_cut;
        for pull in &layout.pulls {
            assert!(pull.y >= from, "pulls follow each other");
            from = pull.y + pull.length;
            assert!(instance.cutting.pull_limit.is_none_or(|limit| pull.length <= limit));
            for place in &pull.placements {
                let piece = &instance.pieces[place.piece];
                assert!(piece.turns.allow(place.turn));
                made[place.piece] += layout.copies;
                let quarters = place.turn.quarter_turns().expect("a quarter turn");
                let ring = if let Some(outline) = &piece.outline {
                    corners(&outline.quarter_turned(quarters))
                } else {
                    let (w, l) = (piece.width.nm(), piece.length.nm());
                    let (w, l) = if quarters % 2 == 0 { (w, l) } else { (l, w) };
                    vec![(0, 0), (w, 0), (w, l), (0, l)]
                };
                let ring: Vec<Corner> =
                    ring.iter().map(|c| (c.0 + place.x.nm(), c.1 + place.y.nm())).collect();
                let across = trim..=roll.width.nm() - trim;
                let along = pull.y.nm()..=(pull.y + pull.length).nm();
                assert!(ring.iter().all(|c| across.contains(&c.0) && along.contains(&c.1)));
                placed.push(ring);
            }
        }
        assert!(roll.length.is_none_or(|length| from <= length), "off the roll's end");
        for (k, a) in placed.iter().enumerate() {
            assert!(placed[..k].iter().all(|b| !overlap(a, b)), "pieces overlap");
        }
    }
    for (piece, made) in instance.pieces.iter().zip(made) {
        assert!(made >= piece.quantity, "{} of {} `{}`", made, piece.quantity, piece.id);
    }
    assert!(nesting.bound <= nesting.value);
}

fn quick(work: u64) -> Options {
    Options { seed: 7, work }
}

/// Throat-seam gores `|y| <= a + b cos(s / r)` in micrometres, `count` points an edge.
fn gore(length: i64, a: i64, b: i64, count: i32) -> Vec<Corner> {
    let rounded = |value: f64| Length::from_mm_f64_nearest(value).expect("in range").nm();
    let mut right = Vec::new();
    let mut left = Vec::new();
    for k in 0..=count {
        let share = f64::from(k) / f64::from(count);
        let wave = libm::cos(2.0 * std::f64::consts::PI * (share - 0.5));
        let half = Length::from_nm(a).mm_f64() + Length::from_nm(b).mm_f64() * wave;
        let y = rounded(Length::from_nm(length).mm_f64() * share);
        right.push((rounded(half), y));
        left.push((-rounded(half), y));
    }
    left.reverse();
    right.extend(left);
    right
}

const MM: i64 = 1_000_000;

#[test]
fn the_oracles_know_touching_from_overlapping() {
    let square = |x: i64, y: i64| vec![(x, y), (x + 10, y), (x + 10, y + 10), (x, y + 10)];
    let wedge = [(10, 0), (20, 5), (10, 10)];
    for oracle in [overlap_exactly, overlap_at_size] {
        assert!(!oracle(&square(0, 0), &square(10, 0)));
        assert!(!oracle(&square(0, 0), &wedge));
        assert!(oracle(&square(1, 1), &wedge));
    }
    assert!(overlap_exactly(&square(0, 0), &square(0, 0)));
    assert!(overlap_exactly(&[(0, 0), (30, 1), (0, 2)], &[(29, 0), (31, 0), (29, 900)]));
}

#[test]
fn gores_interlock_at_the_pitch_of_the_closed_form() {
    // Pitch 2a for like gores half a length apart (identity of cosines; even points an edge, so
    // that corners meet): four lanes of three take 3a + 3a + 2(a + b) across and 3.5 lengths
    // along. One micrometre is left for the corners' rounding. Bounding boxes: three lanes, four
    // lengths.
    let (length, a, b) = (900 * MM, 60 * MM, 20 * MM);
    let width = 8 * a + 2 * b + 1000;
    let ring = gore(length, a, b, 24);
    let instance = strip(width, vec![piece("g", &ring, 12, Turns::none()).unwrap()]);
    let nesting = solve(&instance, &quick(2_000), &Quiet).unwrap();
    check(&instance, &nesting, overlap_at_size);
    assert!(nesting.value <= length * 7 / 2 + 1000, "{}", nesting.value);
}

#[test]
fn rolls_pulls_gap_and_rectangles_together() {
    let mut instance = strip(1000 * MM, Vec::new());
    instance.rolls[0].length = Some(Length::from_mm(2600));
    instance.objective = Objective::Rolls;
    instance.cutting.pull_limit = Some(Length::from_mm(1200));
    instance.cutting.gap = Length::from_mm(3);
    instance.cutting.square_cut = Length::from_mm(20);
    instance.cutting.edge_trim = Length::from_mm(10);
    let ring = gore(700 * MM, 60 * MM, 20 * MM, 16);
    instance.pieces.push(piece("g", &ring, 14, all_turns()).unwrap());
    instance.pieces.push(Piece {
        id: "r".into(),
        width: Length::from_mm(300),
        length: Length::from_mm(200),
        outline: None,
        quantity: 9,
        turns: Turns::quarter(),
    });
    let nesting = solve(&instance, &quick(1_000), &Quiet).unwrap();
    check(&instance, &nesting, overlap_at_size);
    // Area: 14 x 700 x 120 + 9 x 300 x 200 mm2 against 980 x 2580 mm2 a roll: one at least.
    assert!(nesting.bound == 1 && nesting.value <= 2, "{} rolls", nesting.value);
    instance.rolls[0].available = Some(0);
    assert!(matches!(
        solve(&instance, &quick(1_000), &Quiet),
        Err(NestError::NotEnoughRolls { missing: 23 })
    ));
}

/// Blocks of interlocked gores in pulls of at most 3 m: 15 % less than bounding boxes need.
#[test]
fn gores_in_limited_pulls_interlock() {
    let mut instance = strip(1500 * MM, Vec::new());
    instance.cutting.pull_limit = Some(Length::from_mm(3000));
    instance.cutting.gap = Length::from_mm(2);
    let mut boxes = 0;
    for (k, (length, b, count)) in
        [(920, 23, 26), (1080, 22, 31), (1400, 22, 24)].into_iter().enumerate()
    {
        let ring = gore(length * MM, 58 * MM, b * MM, 24);
        instance.pieces.push(piece(&format!("g{k}"), &ring, count, all_turns()).unwrap());
        // Lanes of bounding boxes, cut at 3 m: at best so many side by side, so many a pull.
        let (lanes, rows) = (1500 / (2 * (58 + b) + 2), (3000 + 2) / (length + 2));
        let count = i64::try_from(count).unwrap();
        let pulls = count / (lanes * rows);
        boxes += pulls * (rows * (length + 2))
            + (count - pulls * lanes * rows + lanes - 1) / lanes * (length + 2);
    }
    let nesting = solve(&instance, &quick(1_000_000), &Quiet).unwrap();
    check(&instance, &nesting, overlap_at_size);
    assert!(nesting.value * 20 < boxes * MM * 17, "{} of {boxes}", Length::from_nm(nesting.value));
}

/// A Z of five squares in a box of three by three.
const Z: [Corner; 8] = [(0, 1), (1, 1), (1, 0), (2, 0), (2, 2), (3, 2), (3, 3), (0, 3)];

fn scaled(ring: &[Corner], by: i64) -> Vec<Corner> {
    ring.iter().map(|c| (c.0 * by, c.1 * by)).collect()
}

/// By hand, squares of 100 mm on 300 mm: the Z one square off the front leaves the column beside its foot to
/// a rectangle of one by three, all in 400 mm; boxes one behind the other take 600. The limit is just that.
#[test]
fn pieces_are_dealt_to_pulls_anew_and_fit_to_the_nanometre() {
    let z = piece(
        "z",
        &scaled(&Z, 100 * MM),
        1,
        Turns::Only([0, 180].map(Angle::from_degrees).to_vec()),
    );
    let bar = Piece {
        id: "bar".into(),
        width: Length::from_mm(100),
        length: Length::from_mm(300),
        outline: None,
        quantity: 1,
        turns: Turns::none(),
    };
    let mut instance = strip(300 * MM, vec![bar, z.unwrap()]);
    for limit in [500, 400] {
        instance.cutting.pull_limit = Some(Length::from_mm(limit));
        let nesting = solve(&instance, &quick(1_000_000), &Quiet).unwrap();
        check(&instance, &nesting, overlap_at_size);
        assert_eq!(nesting.value, 400 * MM, "{limit}");
    }
    // Two such pulls, their pieces mixed: which belong together is found.
    instance.pieces.iter_mut().for_each(|piece| piece.quantity = 2);
    let nesting = solve(&instance, &quick(8_000_000), &Quiet).unwrap();
    check(&instance, &nesting, overlap_at_size);
    assert!(nesting.value <= 800 * MM, "{}", nesting.value);
}

/// By hand: what must be 100 mm apart may be just that.
#[test]
fn a_gap_that_is_just_kept_is_kept() {
    // An L round a square, all 100 mm apart: 300 by 300 with nothing to spare.
    let l = [(0, 0), (3, 0), (3, 1), (1, 1), (1, 3), (0, 3)];
    let square = [(0, 0), (1, 0), (1, 1), (0, 1)];
    let pieces = [("l", &l[..]), ("square", &square[..])];
    let pieces =
        pieces.map(|(id, ring)| piece(id, &scaled(ring, 100 * MM), 1, all_turns()).unwrap());
    let mut instance = strip(300 * MM, pieces.to_vec());
    instance.cutting.gap = Length::from_mm(100);
    let nesting = solve(&instance, &quick(200_000), &Quiet).unwrap();
    check(&instance, &nesting, overlap_at_size);
    assert_eq!(nesting.value, 300 * MM);
}

#[test]
fn what_fits_no_roll_is_refused_by_name() {
    let big = piece("big", &[(0, 0), (200, 0), (0, 200)], 1, all_turns()).unwrap();
    assert_eq!(
        solve(&strip(199, vec![big]), &quick(10), &Quiet),
        Err(NestError::PieceFitsNoRoll { piece: "big".into() })
    );
}

#[test]
fn the_answer_depends_on_seed_and_work_alone() {
    let ring = [(0, 0), (90, 0), (90, 30), (30, 30), (30, 90), (0, 90)];
    let pieces = vec![
        piece("l", &ring, 7, all_turns()).unwrap(),
        piece("t", &[(0, 0), (70, 10), (20, 60)], 6, all_turns()).unwrap(),
    ];
    let instance = strip(250, pieces);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| solve(&instance, &quick(20_000), &Quiet).unwrap())
    };
    let one = on(1);
    check(&instance, &one, overlap_exactly);
    assert_eq!(one, on(2));
}

/// Published outlines (fu: Fujita, Akagi and Hirokawa 1993, ESICUP) and rows of gores, in a
/// fraction of the usual time: shorter than any layout of bounding boxes can be, whose areas add
/// up to more.
#[test]
fn shared_outlines_beat_their_bounding_boxes() {
    for (file, name) in [("irregular_esicup.json", "fu"), ("gores_1.json", "gores-1-one16")] {
        let Some(bytes) = common::shared_data(file) else { continue };
        let entries = rollwright::nest::read(file, &bytes).expect("a file of instances");
        let mut chosen = entries.into_iter().filter(|entry| entry.name == name);
        let instance = chosen.next().and_then(|entry| entry.instance).expect("a valid instance");
        let nesting = solve(&instance, &quick(20_000), &Quiet).unwrap();
        check(&instance, &nesting, overlap_at_size);
        let boxes: i128 = instance
            .pieces
            .iter()
            .map(|p| wide(p.width.nm()) * wide(p.length.nm()) * i128::from(p.quantity))
            .sum();
        let used = wide(nesting.value) * wide(instance.rolls[0].width.nm());
        assert!(used < boxes, "{name}: {} mm", Length::from_nm(nesting.value));
    }
}

/// Outlines with slivers, straight runs and notches: corners at rising angles about a point.
fn star() -> impl Strategy<Value = Vec<Corner>> {
    let spoke = prop_oneof![Just(1_i64), Just(2), 3..40_i64, 60..100_i64];
    prop::collection::vec(spoke, 8).prop_map(|spokes| {
        let ways = [(1, 0), (2, 1), (0, 1), (-1, 1), (-1, 0), (-2, -1), (0, -1), (1, -1)];
        ways.iter().zip(spokes).map(|((x, y), s)| (x * s, y * s)).collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10, ..ProptestConfig::default() })]

    #[test]
    fn nests_of_adversarial_outlines_never_overlap(
        rings in prop::collection::vec((star(), 1..4_u64), 1..4),
        boxes in prop::collection::vec((5..90_i64, 5..90_i64), 0..3),
        gap in prop_oneof![Just(0_i64), Just(5)],
    ) {
        let mut pieces: Vec<Piece> = rings
            .iter()
            .enumerate()
            .filter_map(|(k, (ring, n))| piece(&format!("p{k}"), ring, *n, all_turns()))
            .collect();
        for (k, &(w, l)) in boxes.iter().enumerate() {
            pieces.extend(piece(&format!("b{k}"), &[(0, 0), (w, 0), (w, l), (0, l)], 2, Turns::none()));
        }
        prop_assume!(!pieces.is_empty());
        let mut instance = strip(420, pieces);
        instance.cutting.gap = Length::from_nm(gap);
        let nesting = solve(&instance, &quick(1_500), &Quiet).unwrap();
        check(&instance, &nesting, overlap_exactly);
    }
}

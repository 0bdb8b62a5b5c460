//! Curved pieces that share blanks in straight layouts: every plan passes the audit, whose test of
//! overlap shares nothing with the search, and needs no more than the pieces' boxes do.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use proptest::prelude::*;
use rollwright::audit::{self, Verified};
use rollwright::cutting::{Cutting, Objective, Style, Turns};
use rollwright::geometry::{Outline, Point};
use rollwright::nest::{Instance, Nesting, Options, Piece, Quiet, Roll, Status, solve};
use rollwright::plan::{self, Limits, Plan, Program, Wanted};
use rollwright::units::{Angle, Length, Money};

fn mm(value: i64) -> Length {
    Length::from_mm(value)
}

/// A gore with its length along the roll, `edges` to a side: a lens with its seam in the throat, half
/// as wide at the ends by `swing`, or with its seam at the heel, wide at the ends, where `heel`.
fn gore(id: &str, (length, mean, swing): (i64, i64, i64), heel: bool, quantity: u64) -> Piece {
    let edges = 24;
    let sign = if heel { -1.0 } else { 1.0 };
    let half = |k: i32| {
        let wave = libm::cos(2.0 * std::f64::consts::PI * (f64::from(k) / f64::from(edges) - 0.5));
        let half = mm(mean).mm_f64() + sign * mm(swing).mm_f64() * wave;
        Length::from_mm_f64_nearest(half).expect("in range")
    };
    let along = |k: i32| Length::from_nm(mm(length).nm() * i64::from(k) / i64::from(edges));
    let right = (0..=edges).map(|k| Point::new(half(k), along(k)));
    let left = (0..=edges).rev().map(|k| Point::new(-half(k), along(k)));
    curved(id, right.chain(left).collect(), quantity, half_turns())
}

/// A piece cut from a blank of whole millimetres, as in a job.
fn curved(id: &str, corners: Vec<Point>, quantity: u64, turns: Turns) -> Piece {
    let outline = Outline::new(corners).expect("an outline");
    let (width, length) = outline.size();
    let (width, length) = (width.round_up_to(mm(1)), length.round_up_to(mm(1)));
    Piece { id: id.into(), width, length, outline: Some(outline), quantity, turns }
}

fn half_turns() -> Turns {
    Turns::Only([0, 180].map(Angle::from_degrees).to_vec())
}

fn rectangle(id: &str, width: i64, length: i64, quantity: u64) -> Piece {
    let (width, length) = (mm(width), mm(length));
    Piece { id: id.into(), width, length, outline: None, quantity, turns: Turns::quarter() }
}

fn job(pieces: Vec<Piece>) -> Instance {
    Instance {
        name: "trains".into(),
        rolls: vec![Roll {
            id: "R".into(),
            width: mm(1500),
            length: Some(mm(20_000)),
            price: Money::from_units(1),
            available: None,
        }],
        pieces,
        cutting: Cutting {
            style: Style::Straight,
            stages: Some(3),
            pull_limit: Some(mm(4000)),
            square_cut: mm(50),
            edge_trim: mm(5),
            gap: Length::ZERO,
        },
        objective: Objective::Rolls,
        published: None,
    }
}

fn endless(mut instance: Instance) -> Instance {
    instance.rolls[0].length = None;
    instance.objective = Objective::Length;
    instance
}

/// The same pieces as their boxes.
fn boxes(instance: &Instance) -> Instance {
    let boxed = |piece: &Piece| Piece { outline: None, ..piece.clone() };
    Instance { pieces: instance.pieces.iter().map(boxed).collect(), ..instance.clone() }
}

fn options(work: u64) -> Options {
    Options { seed: 3, work }
}

fn nested(instance: &Instance, work: u64) -> Nesting {
    solve(instance, &options(work), &Quiet).expect("an answer")
}

/// The plan of an answer, audited.
fn planned(instance: &Instance, nesting: Nesting) -> Verified<Plan> {
    let program =
        Program { version: "test".into(), seed: 3, limits: Limits { work: 1, seconds: None } };
    let nested = [(Wanted::from(instance), nesting)];
    let plan = plan::assemble("trains", program, Vec::new(), &nested, Vec::new(), None);
    let plan = plan.expect("a plan");
    let [(wanted, _)] = &nested;
    audit::verify(plan, std::slice::from_ref(wanted), None).expect("a plan that passes")
}

/// Elbow layers as a job has them: lengths grow from layer to layer, seams lie at throat and heel in
/// turn.
fn elbows() -> Vec<Piece> {
    let mut pieces = Vec::new();
    for elbow in 0..3 {
        for layer in 0..4 {
            let length = 900 + 160 * elbow + 31 * layer;
            let shape = (length, 70 + 8 * elbow, 26 + 3 * elbow);
            pieces.push(gore(&format!("e{elbow}l{layer}"), shape, layer % 2 == 1, 8));
        }
    }
    pieces
}

#[test]
fn alternating_seams_fill_the_roll_where_boxes_leave_much() {
    let instance = endless(job(elbows()));
    let (trains, boxed) = (nested(&instance, 400_000), nested(&boxes(&instance), 400_000));
    // By area: (70 + 26) wide in a box where 70 are used, and so on; trains lose half a swing at
    // their ends. More than a tenth less is met with ease, and none is below the bound.
    assert!(trains.value * 10 <= boxed.value * 9, "{} of {}", trains.value, boxed.value);
    assert!(trains.bound <= trains.value);
    planned(&instance, trains);
}

/// Twelve gores with seams in turn lie in one another from edge to edge of a roll of 1490 mm less its
/// trims: 12 times 120 mm, and 20 mm of swing on either side (TV8 in `pattern/tests/bends.rs`). Four
/// such rows hold 48, so that 97.3 % of 1480 by 3600 mm are gores.
#[test]
fn seams_in_turn_leave_less_than_three_per_cent() {
    let gores = [gore("t", (900, 60, 20), false, 24), gore("h", (900, 60, 20), true, 24)];
    let mut straight = endless(job(gores.to_vec()));
    straight.rolls[0].width = mm(1490);
    let mut free = straight.clone();
    free.cutting.style = Style::Free;
    free.cutting.pull_limit = None;
    for instance in [straight, free] {
        let answer = nested(&instance, 100_000);
        let area: i128 = gores.iter().map(|p| p.area().nm2() * i128::from(p.quantity)).sum();
        let used = i128::from(mm(1480).nm()) * i128::from(answer.value - mm(50).nm());
        assert!(area * 100 >= used * 97, "{:?}: {}", instance.cutting.style, answer.value);
        // Two lines half a gore apart have 240 mm of each: seven of them have not room for all, so no
        // strip is shorter than eight times 450 mm.
        if instance.cutting.style == Style::Free {
            assert_eq!((answer.status, answer.value), (Status::Proven, mm(50 + 3600).nm()));
        }
        planned(&instance, answer);
    }
}

#[test]
fn mixed_jobs_need_no_more_rolls_than_boxes_and_fewer_where_gores_are_many() {
    let mut pieces = elbows();
    for piece in &mut pieces {
        piece.quantity *= 5;
    }
    pieces.push(rectangle("long", 1490, 900, 10));
    pieces.push(rectangle("part", 400, 700, 30));
    let many = job(pieces);
    let few = job(vec![
        gore("g", (700, 60, 20), false, 2),
        rectangle("a", 620, 810, 60),
        rectangle("b", 480, 640, 70),
        rectangle("c", 350, 1210, 40),
    ]);
    for (instance, fewer) in [(many, true), (few, false)] {
        let (trains, boxed) = (nested(&instance, 600_000), nested(&boxes(&instance), 600_000));
        assert!(trains.value <= boxed.value, "{} against {}", trains.value, boxed.value);
        assert!(!fewer || trains.value < boxed.value, "{} rolls", trains.value);
        assert!(trains.bound <= trains.value);
        planned(&instance, trains);
    }
}

/// Two wedges of one rectangle, cut along its diagonal: by hand, a blank of 400 by 300 takes four
/// of them in pairs, 150 wide each, and all cuts beside the blank's are two diagonals and one line
/// between the pairs.
#[test]
fn an_edge_that_neighbours_share_is_cut_once() {
    let point = |x: i64, y: i64| Point::new(mm(x), mm(y));
    let wedge = vec![point(0, 0), point(300, 0), point(0, 400)];
    let mut instance = endless(job(vec![curved("w", wedge, 2, half_turns())]));
    instance.rolls[0].width = mm(310);
    let nesting = nested(&instance, 50_000);
    // The square cut and one pull of 400.
    assert_eq!(nesting.value, mm(450).nm());
    let plan = planned(&instance, nesting);
    let lengths = plan::Lengths::of(&plan);
    let cut = lengths.of_pull(&plan.rolls[0].pulls[0], mm(310));
    // 3-4-5: the diagonal is 500 and both wedges have it; their other edges are the pull's and the
    // trims'.
    assert_eq!(cut.outline, mm(500));
}

#[test]
fn the_answer_is_the_same_on_any_number_of_threads() {
    let instance = job(elbows());
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| nested(&instance, 200_000))
    };
    assert_eq!(on(1), on(2));
}

/// Wedges, lenses, waists and necks of random sizes: three corners of a triangle, a gore, or a block with a
/// neck cut out at one end and room beside a foot at the other.
/// Twelve of a triangle in rows of six, every second one turned by half: 170 mm a row, in a strip of 1,000 mm two rows.
/// What goes best behind a triangle lies in its hollow, but leaves none for the next; laid in turn they all have one.
#[test]
fn pieces_with_a_hollow_on_one_side_are_laid_in_turn() {
    let corners = [(0, 0), (420, 170), (150, 160)].map(|(x, y)| Point::new(mm(x), mm(y)));
    let piece = curved("T", corners.to_vec(), 12, half_turns());
    let answer = nested(&endless(plain(vec![piece], 1000)), 100_000);
    assert!(answer.value <= mm(340).nm(), "{}", answer.value);
}

/// Two trapezoids with one slanted side in common, 200.273 and 280.727 mm wide, fill a roll of 381 mm side by side, and a
/// reviewer's pair like them took two rolls: the second counted in whole units of the model by itself.
#[test]
fn two_that_just_fill_the_width_lie_in_one_another() {
    let point =
        |(x, y): (i64, i64)| Point::new(Length::from_nm(x * 1000), Length::from_nm(y * 1000));
    // Blanks as large as the outlines, and no larger.
    let piece = |id: &str, corners: [(i64, i64); 4]| {
        let outline = Outline::new(corners.map(point).to_vec()).expect("an outline");
        let ((width, length), turns) = (outline.size(), Turns::Only(vec![Angle::ZERO]));
        Piece { id: id.into(), width, length, outline: Some(outline), quantity: 1, turns }
    };
    let left = piece("l", [(0, 0), (200_273, 0), (100_273, 2_000_000), (0, 2_000_000)]);
    let right = piece("r", [(100_000, 0), (280_727, 0), (280_727, 2_000_000), (0, 2_000_000)]);
    let mut instance = plain(vec![left, right], 381);
    instance.cutting.pull_limit = Some(mm(2000));
    instance.rolls[0].length = Some(mm(2000));
    let nesting = nested(&instance, 200_000);
    assert_eq!((nesting.value, nesting.status), (1, Status::Proven));
    planned(&instance, nesting);
}

/// Twenty chevrons one in another are 70 mm and 40 for each but the first: two columns of ten take 430. Eleven beside
/// eight and one behind them take 510 and more.
#[test]
fn pieces_are_dealt_evenly_on_columns() {
    let corners = [(0, 0), (40, 30), (80, 0), (80, 40), (40, 70), (0, 40)];
    let corners = corners.map(|(x, y)| Point::new(mm(x), mm(y)));
    let piece = curved("C", corners.to_vec(), 20, Turns::none());
    let answer = nested(&endless(plain(vec![piece], 160)), 100_000);
    assert!(answer.value <= mm(470).nm(), "{}", answer.value);
}

/// A job on rolls of this width without trims, cuts and limits.
fn plain(pieces: Vec<Piece>, width: i64) -> Instance {
    let mut instance = job(pieces);
    instance.rolls[0].width = mm(width);
    instance.cutting = Cutting::plain(Style::Straight, Some(2));
    instance
}

fn any_curved() -> impl Strategy<Value = Piece> {
    let sizes = (200_i64..1400, 40_i64..140, 0_i64..39, any::<bool>(), 1_u64..6);
    let lenses = sizes.prop_map(|(length, mean, swing, heel, n)| {
        gore(&format!("g{length}-{mean}-{swing}-{heel}"), (length, mean, swing), heel, n)
    });
    let corner = (0_i64..600, 0_i64..900);
    let triangle = ([corner.clone(), corner.clone(), corner], 1_u64..6, any::<bool>());
    let wedges = triangle.prop_filter_map("no triangle", |(corners, n, all)| {
        let points = corners.iter().map(|&(x, y)| Point::new(mm(x), mm(y))).collect();
        Outline::new(points).ok()?;
        let points = corners.iter().map(|&(x, y)| Point::new(mm(x), mm(y))).collect();
        let quarters = Turns::Only((0..4).map(|k| Angle::from_degrees(90 * k)).collect());
        let turns = if all { quarters } else { half_turns() };
        Some(curved(&format!("t{corners:?}"), points, n, turns))
    });
    let sides = (20_i64..150, 60_i64..300, 20_i64..150, 40_i64..200, 60_i64..300, 1_u64..6);
    let necks = sides.prop_map(|(left, wide, right, floor, deep, n)| {
        let (width, length) = (left + wide + right, floor + deep + 40);
        let corners = [
            (left / 2, 0),
            (width, 0),
            (width, length),
            (left + wide, length),
            (left + wide, floor + 40),
            (left, floor + 30),
            (left, length),
            (0, length),
            (0, 40),
            (left / 2, 40),
        ];
        let points = corners.map(|(x, y)| Point::new(mm(x), mm(y))).to_vec();
        curved(&format!("n{width}-{length}-{left}-{floor}"), points, n, half_turns())
    });
    prop_oneof![lenses, wedges, necks]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Random families with rectangles, with and without a gap: no overlap and nothing nearer than the gap,
    /// cuts replayed, bound below the answer, all by the audit.
    #[test]
    fn random_families_pass_the_audit(
        curved in prop::collection::vec(any_curved(), 1..9),
        boxes in prop::collection::vec(
            prop_oneof![(50_i64..800, 50_i64..900, 1_u64..9), (20_i64..200, 20_i64..200, 1_u64..30)],
            0..6,
        ),
        gap in prop_oneof![Just(0_i64), Just(3)],
        stages in 2_u8..4,
        short in any::<bool>(),
    ) {
        let mut pieces = curved;
        for (k, (width, length, n)) in boxes.into_iter().enumerate() {
            pieces.push(rectangle(&format!("r{k}"), width, length, n));
        }
        let mut instance = job(pieces);
        instance.cutting.gap = mm(gap);
        instance.cutting.stages = Some(stages);
        if short {
            instance.rolls[0].length = Some(mm(2500));
        }
        let nesting = nested(&instance, 30_000);
        prop_assert!(nesting.bound <= nesting.value);
        planned(&instance, nesting);
    }

    /// Rolls cut without waste into a rectangle and two or three pieces with crooked edges between them:
    /// no bound, by area, by functions or by lines, is above the number of rolls.
    #[test]
    fn no_bound_exceeds_a_layout_that_exists(
        knees in prop::collection::vec(prop::collection::vec(20_i64..180, 4), 1..3),
        beside in 1_i64..300,
        rolls in 1_u64..30,
    ) {
        let (length, each) = (900, 200);
        let many = i64::try_from(knees.len()).expect("few") + 1;
        let along = |k: usize| mm(length).nm() * i64::try_from(k).expect("few") / 3;
        let line = |number: usize| -> Vec<Point> {
            let base = each * i64::try_from(number).expect("few");
            let at = |k: usize| match number.checked_sub(1).and_then(|n| knees.get(n)) {
                Some(knees) => base - 100 + knees[k],
                None => base,
            };
            (0..4).map(|k| Point::new(mm(at(k)), Length::from_nm(along(k)))).collect()
        };
        let mut pieces = vec![Piece { turns: Turns::none(), ..rectangle("r", beside, length, rolls) }];
        for number in 0..=knees.len() {
            let corners = line(number).into_iter().chain(line(number + 1).into_iter().rev());
            pieces.push(curved(&format!("p{number}"), corners.collect(), rolls, Turns::none()));
        }
        let mut instance = job(pieces);
        instance.cutting.edge_trim = Length::ZERO;
        instance.rolls[0].width = mm(each * many + beside);
        instance.rolls[0].length = Some(mm(length + 50));
        // Much work, so that lines are asked, too.
        let nesting = nested(&instance, 600_000);
        let known = i64::try_from(rolls).expect("few");
        prop_assert!(nesting.bound <= known, "{} above {known}", nesting.bound);
        planned(&instance, nesting);
    }
}

//! Sliding against constructions and against all choices gone through one by one.

use super::fill::{Atom, Filler, Open, Rolls, Room, Source};
use super::shop::{Bench, Item, Shop};
use super::*;
use crate::cutting::{Cutting, Objective, Style, Turns};
use crate::nest::straight::Laid;
use crate::nest::straight::lots::Lots;
use crate::nest::{Options, Piece, Quiet, Roll, solve, solve_from};
use crate::units::{Area, Money};
use std::collections::BTreeSet;

fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

fn piece(width: i64, length: i64, turns: Turns, quantity: u64) -> Piece {
    let (width, length) = (mm(width), mm(length));
    Piece { id: String::new(), width, length, outline: None, quantity, turns }
}

fn instance(width: i64, stages: u8, pieces: Vec<Piece>) -> Instance {
    let length = Some(mm(100_000));
    let (width, price) = (mm(width), Money::from_units(1));
    let rolls = vec![Roll { id: "R".to_owned(), width, length, price, available: None }];
    let cutting = Cutting::plain(Style::Straight, Some(stages));
    let (name, objective) = (String::new(), Objective::Rolls);
    Instance { name, rolls, pieces, cutting, objective, published: None }
}

/// Rows of one thing each that may have any courses within their limits.
struct Any(Vec<(Row, Vec<Length>)>);

impl Things for Any {
    fn count(&self) -> usize {
        self.0.len()
    }

    fn rows(&self, thing: usize) -> Vec<Row> {
        vec![self.0[thing].0]
    }

    fn first(&self, thing: usize) -> Rows {
        vec![self.0[thing].1.clone()]
    }

    fn joints(&self, _: usize) -> (i64, f64) {
        (1, 0.0)
    }

    fn keeps(&self, thing: usize, courses: &[Vec<Length>]) -> bool {
        let (row, first) = &self.0[thing];
        let sum = |courses: &[Length]| courses.iter().copied().sum::<Length>();
        let within = |c: &Length| (row.least..=row.most).contains(c);
        let [courses] = courses else { return false };
        sum(courses) == sum(first) && courses.iter().all(within) && courses.len() <= row.courses
    }
}

fn row(length: i64, sideways: bool, (least, most): (i64, i64), courses: usize) -> Row {
    Row {
        material: 0,
        length: mm(length),
        sideways,
        parts: 1,
        least: mm(least),
        most: mm(most),
        courses,
        lap: Length::ZERO,
        step: mm(1),
    }
}

fn slid(instance: &Instance, things: &Any, limit: i64, work: u64) -> Slid {
    let materials = std::slice::from_ref(instance);
    let task = Sliding { materials, things, limit, step: mm(1) };
    let slid = slide(&task, &[], &Options { seed: 1, work }, &Quiet).expect("an answer");
    let extra: usize = slid.courses.iter().map(|c| c[0].len()).sum();
    let first: usize = things.0.iter().map(|t| t.1.len()).sum();
    assert!(extra <= first + usize::try_from(limit).unwrap());
    for (thing, courses) in slid.courses.iter().enumerate() {
        assert!(things.keeps(thing, courses), "{courses:?}");
    }
    // The pulls hold exactly the pieces.
    let mut wanted: Vec<(Length, Length)> = Vec::new();
    for piece in &instance.pieces {
        wanted.extend((0..piece.quantity).map(|_| (piece.width, piece.length)));
    }
    for ((row, _), courses) in things.0.iter().zip(&slid.courses) {
        let last = courses[0].len() - 1;
        let cut = courses[0].iter().enumerate().map(|(at, &c)| row.cut(c, at == last));
        wanted.extend(cut.map(|width| (width, row.length)));
    }
    let pieces = slid.pulls[0].iter().flat_map(|pull| pull.lanes.iter().flatten());
    let mut held: Vec<(Length, Length)> = pieces.map(|p| (p.width, p.length)).collect();
    wanted.sort_unstable();
    held.sort_unstable();
    assert_eq!(held, wanted);
    slid
}

fn length(pulls: &[LaidPull]) -> Length {
    let lane = |lane: &Vec<Laid>| lane.iter().map(Laid::along).sum();
    pulls.iter().map(|p| p.lanes.iter().map(lane).max().unwrap_or(Length::ZERO)).sum()
}

/// Two pieces of 1000 by 800 leave two strips of 500 by 800, which two courses of 800 fill when they
/// lie turned: nothing is wasted. As specified, 1500 + 100, it is half a metre longer.
#[test]
fn courses_slide_into_what_is_free() {
    let fixed = instance(1500, 2, vec![piece(1000, 800, Turns::none(), 2)]);
    let things = Any(vec![(row(500, true, (100, 1500), 2), vec![mm(1500), mm(100)])]);
    let slid = slid(&fixed, &things, 0, 200_000);
    assert_eq!(slid.courses, [[[mm(800), mm(800)]]]);
    assert_eq!(length(&slid.pulls[0]), mm(1600));
    assert_eq!(length(&slid.first[0]), mm(2100));
}

/// One long course is parted only where there are joints left.
#[test]
fn courses_are_parted_as_far_as_joints_allow() {
    let fixed = instance(1000, 2, vec![piece(600, 300, Turns::none(), 2)]);
    let things = Any(vec![(row(300, false, (100, 1000), 3), vec![mm(800)])]);
    let tied = slid(&fixed, &things, 0, 100_000);
    assert_eq!(length(&tied.pulls[0]), mm(900));
    let free = slid(&fixed, &things, 1, 100_000);
    assert_eq!(free.courses, [[[mm(400), mm(400)]]]);
    assert_eq!(length(&free.pulls[0]), mm(600));
}

/// Two courses of 600 behind each other are as long as three pieces of 200 beside them: no piece is as long as that
/// pull, and lanes once took nothing that would have lengthened one. As specified, 900 + 300, it is a third longer.
#[test]
fn lanes_may_lengthen_their_pull() {
    let fixed = instance(1000, 3, vec![piece(400, 200, Turns::none(), 3)]);
    let things = Any(vec![(row(300, false, (300, 1000), 2), vec![mm(900), mm(300)])]);
    let slid = slid(&fixed, &things, 0, 400_000);
    assert_eq!(slid.courses, [[[mm(600), mm(600)]]]);
    assert_eq!(length(&slid.pulls[0]), mm(600));
    assert_eq!(length(&slid.first[0]), mm(800));
}

/// 1400 and 1000 beside each other fill a roll of 2400: with no waste allowed that pull is found too. A pull yet to
/// be found was once called good enough.
#[test]
fn a_full_pull_is_found_where_no_waste_is_allowed() {
    let widths = [(2400, 2400.0)];
    let rolls = Rolls { widths: &widths, pull: 5000, gap: 0, worth: 1.0, stacks: false };
    let atoms = vec![rigid(0, 1400, 600), rigid(1, 1000, 600)];
    let (lots, room) = (&mut Lots::new(1), Room::default());
    let made = Filler { rolls, lots, looks: 0, room }.rebuild(atoms, 0.0).expect("no waste");
    assert_eq!(made.len(), 1);
    assert_eq!(made[0].pieces.len(), 2);
}

/// A piece that lies upright only.
fn rigid(at: usize, width: i64, length: i64) -> Atom {
    let (upright, sideways) = (true, false);
    Atom { source: Source::Item(at), width, length, upright, sideways, parts: 1, open: None }
}

/// By hand: 1400 x 600 beside a lane of 1000 x 250 and 1000 x 350 fill a pull of 2400 x 600; so do 1000 x 250 and
/// a course of a row, as long as the lane has room for. The first is the hardest to place, however sizes are shaken.
#[test]
fn a_pull_is_filled_with_pieces_behind_each_other() {
    let open = Open { total: 700, courses: 2, least: 100, most: 600, step: 1 };
    let row = Atom {
        source: Source::Slot(0),
        width: 700,
        upright: false,
        sideways: true,
        open: Some(open),
        ..rigid(0, 700, 1000)
    };
    let rebuilt = |atoms: Vec<Atom>, budget: f64, stacks: bool, seed: u64| {
        let widths = [(2400, 2400.0)];
        let rolls = Rolls { widths: &widths, pull: 5000, gap: 0, worth: 1.0, stacks };
        let (lots, room) = (&mut Lots::new(seed), Room::default());
        Filler { rolls, lots, looks: 0, room }.rebuild(atoms, budget)
    };
    for seed in 1..20 {
        let three = vec![rigid(0, 1400, 600), rigid(1, 1000, 250), rigid(2, 1000, 350)];
        assert!(rebuilt(three.clone(), 0.0, false, seed).is_none());
        let made = rebuilt(three, 0.0, true, seed).expect("no waste");
        assert_eq!(made.len(), 1);
        assert_eq!(made[0].pieces.iter().filter(|piece| piece.behind).count(), 1);
    }
    // The course of the row is 350 wide; the other one, 350 too, is a pull with 1400 beside it free.
    let free = 1400.0 * 350.0;
    let filled = |seed: u64| {
        let atoms = vec![rigid(0, 1400, 600), rigid(1, 1000, 250), row];
        let made = rebuilt(atoms, free, true, seed).expect("no more than this is wasted");
        let pieces = || made.iter().flat_map(|pull| &pull.pieces);
        let courses = pieces().filter(|piece| matches!(piece.source, Source::Slot(_)));
        pieces().any(|piece| piece.behind) && courses.map(|piece| piece.width).eq([350, 350])
    };
    assert!((1..20).any(filled));
}

/// The rolls that a nest takes.
fn rolls(instance: &Instance, pieces: &[(i64, i64)]) -> i64 {
    let pieces = pieces.iter().enumerate().map(|(at, &(width, length))| Piece {
        id: at.to_string(),
        ..piece(width, length, Turns::none(), 1)
    });
    let one = Instance { pieces: pieces.collect(), ..instance.clone() };
    solve(&one, &Options { seed: 1, work: 400_000 }, &Quiet).expect("a nest").value
}

/// On rolls as long as two rows, two of two courses each: gone through here one by one.
#[test]
fn few_ways_are_all_gone_through() {
    let mut one = instance(1000, 3, Vec::new());
    one.rolls[0].length = Some(mm(700));
    let step = |row: Row| Row { step: mm(50), ..row };
    let things = |step: fn(Row) -> Row| {
        Any(vec![
            (step(row(350, false, (150, 1000), 2)), vec![mm(900), mm(150)]),
            (step(row(400, false, (150, 1000), 2)), vec![mm(800), mm(250)]),
        ])
    };
    let (mut least, mut good) = (i64::MAX, 0);
    for a in (150..=500).step_by(50) {
        for b in (150..=500).step_by(50) {
            let value = rolls(&one, &[(a, 350), (1050 - a, 350), (b, 400), (1050 - b, 400)]);
            good = if value < least { 1 } else { good + usize::from(value == least) };
            least = least.min(value);
        }
    }
    assert_eq!(least, 2);
    assert!(good < 64 && rolls(&one, &[(900, 350), (150, 350), (800, 400), (250, 400)]) == 3);
    let materials = std::slice::from_ref(&one);
    let options = Options { seed: 1, work: 1_000_000 };
    let coarse = things(step);
    let task = Sliding { materials, things: &coarse, limit: 0, step: mm(50) };
    let few = few(&task, &options, &Quiet).expect("few ways");
    assert_eq!(few.bound, least);
    let of = |thing: usize, around: i64| {
        let courses = few.courses[thing][0].iter();
        courses.map(|c| (c.nm() / 1_000_000, around)).collect::<Vec<_>>()
    };
    assert_eq!(rolls(&one, &[of(0, 350), of(1, 400)].concat()), least);
    let held: usize = few.pulls[0].iter().flat_map(|pull| &pull.lanes).map(Vec::len).sum();
    assert_eq!(held, 4);
    // Of finer steps there are more than a few.
    let fine = things(|row| row);
    let task = Sliding { materials, things: &fine, limit: 0, step: mm(1) };
    assert!(super::few(&task, &options, &Quiet).is_none());
}

/// One joint more saves a roll, where it is allowed; what is left beside a whole number of steps is one course's.
#[test]
fn few_ways_keep_the_limit_on_joints() {
    let mut one = instance(1000, 2, vec![piece(600, 300, Turns::none(), 2)]);
    one.rolls[0].length = Some(mm(600));
    let materials = std::slice::from_ref(&one);
    let with = |limit: i64| {
        let coarse = Row { step: mm(50), ..row(300, false, (100, 1000), 2) };
        let things = Any(vec![(coarse, vec![mm(770)])]);
        let task = Sliding { materials, things: &things, limit, step: mm(50) };
        few(&task, &Options { seed: 1, work: 1_000_000 }, &Quiet).expect("few ways")
    };
    let (tied, free) = (with(0), with(1));
    assert_eq!((tied.bound, free.bound), (2, 1));
    assert_eq!(tied.courses, [[[mm(770)]]]);
    let sum: Length = free.courses[0][0].iter().copied().sum();
    assert!(free.courses[0][0].len() == 2 && sum == mm(770), "{:?}", free.courses);
}

/// Many courses would each gain by being parted, often in one round: no more are parted than there are
/// joints left.
#[test]
fn courses_parted_together_keep_the_limit() {
    let fixed = instance(1000, 2, vec![piece(600, 300, Turns::none(), 24)]);
    let long = || (row(300, false, (100, 1000), 3), vec![mm(800)]);
    let things = Any((0..12).map(|_| long()).collect());
    for limit in 1..=4 {
        let slid = slid(&fixed, &things, limit, 400_000);
        assert!(length(&slid.pulls[0]) < length(&slid.first[0]), "{limit}");
    }
}

/// Many pulls are searched in two halves: all pieces are held, less is wasted, and the answer is the same
/// on one thread and on two.
#[test]
fn halves_hold_all_pieces_on_any_number_of_threads() {
    let mut lots = crate::nest::straight::lots::Lots::new(5);
    let mut below = |n: usize| i64::try_from(lots.below(n)).unwrap();
    let things = Any((0..130)
        .map(|_| {
            let rest = mm(100 + below(1_200));
            (row(200 + below(600), true, (100, 1500), 3), vec![mm(1500), rest])
        })
        .collect());
    let one = instance(1500, 2, Vec::new());
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| slid(&one, &things, 0, 400_000))
    };
    let (one, two) = (with(1), with(2));
    assert!(one.first[0].len() > 130, "too few pulls for two halves");
    assert!(length(&one.pulls[0]) < length(&one.first[0]));
    assert_eq!((one.courses, one.pulls), (two.courses, two.pulls));
}

/// Emptied pulls are used again, whichever material asks first: they were forgotten when another did, until
/// most of a search's pulls were empty.
#[test]
fn emptied_pulls_wait_for_their_material() {
    let bench = || Bench {
        widths: vec![(mm(1500).nm(), 1.0)],
        pull: mm(4000).nm(),
        gap: 0,
        stacks: false,
        narrow: i64::MAX,
    };
    let mut shop = Shop::new(vec![bench(), bench()]);
    let length = mm(500).nm();
    for _ in 0..5 {
        let pulls = [shop.pull(0, 0), shop.pull(1, 0)];
        for (material, pull) in pulls.into_iter().enumerate() {
            let (home, of) = (None, None);
            let (upright, sideways) = (true, false);
            let item =
                shop.add(Item { material, width: length, length, upright, sideways, home, of });
            shop.put(item, pull, None, false);
        }
        assert_eq!(shop.filled(), 2);
        for pull in pulls {
            shop.empty(pull);
        }
        shop.keep();
    }
    assert_eq!((shop.filled(), shop.pulls.len()), (0, 2));
}

/// The least length of pulls of two stages for pieces, each given as it may lie: across, along. Exact:
/// the least over all ways to part the pieces among pulls.
fn shortest(pieces: &[Vec<(i64, i64)>], width: i64) -> i64 {
    let all = 1_usize << pieces.len();
    let alongs: BTreeSet<i64> = pieces.iter().flatten().map(|form| form.1).collect();
    let one = |set: usize| {
        let held = (0..pieces.len()).filter(|at| set >> at & 1 == 1);
        let across = |at: usize, long: i64| {
            let fit = pieces[at].iter().filter(|form| form.1 <= long);
            fit.map(|form| form.0).min().unwrap_or(width + 1)
        };
        let fits = |long: i64| held.clone().map(|at| across(at, long)).sum::<i64>() <= width;
        alongs.iter().copied().find(|&long| fits(long))
    };
    let pulls: Vec<Option<i64>> = (0..all).map(one).collect();
    let mut least = vec![0; all];
    for set in 1..all {
        let first = set & set.wrapping_neg();
        let mut others = set ^ first;
        least[set] = i64::MAX;
        loop {
            if let Some(pull) = pulls[others | first] {
                least[set] = least[set].min(pull + least[set ^ first ^ others]);
            }
            if others == 0 {
                break;
            }
            others = (others - 1) & (set ^ first);
        }
    }
    least[all - 1]
}

/// Up to six rows of two courses, whose joint may lie anywhere on a grid, and some fixed pieces: all
/// places are gone through, and for each all ways to part the pieces among pulls. The answers are as
/// short as the shortest of them.
#[test]
fn small_cases_reach_all_places_tried() {
    let mut lots = crate::nest::straight::lots::Lots::new(3);
    let mut below = |n: usize| i64::try_from(lots.below(n)).unwrap();
    let mut missed = Vec::new();
    for case in 0..200 {
        let fixed: Vec<(i64, i64)> = (0..below(4)).map(|_| (2 + below(7), 2 + below(5))).collect();
        let rows: Vec<(i64, i64)> = {
            let most = [1, 2, 2, 3, 4, 6][case % 6];
            let shorter = if most > 3 { 4 } else { 9 };
            (0..most).map(|_| (19 - below(shorter), 2 + below(6))).collect()
        };
        let fixed = if rows.len() > 4 { &[] } else { &fixed[..] };
        let pieces = fixed.iter().map(|&(w, l)| piece(w, l, Turns::none(), 1)).collect();
        let things = rows.iter().map(|&(long, around)| {
            let first = mm(10.min(long - 2));
            (row(around, true, (2, 10), 2), vec![first, mm(long) - first])
        });
        let things = Any(things.collect());
        let found = slid(&instance(10, 2, pieces), &things, 0, 60_000);
        let mut plans: Vec<Vec<Vec<(i64, i64)>>> =
            vec![fixed.iter().map(|&form| vec![form]).collect()];
        for &(long, around) in &rows {
            let places = (2.max(long - 10)..=long / 2).flat_map(|first| {
                let forms = [first, long - first].map(|w| vec![(w, around), (around, w)]);
                plans.iter().map(move |plan| plan.iter().cloned().chain(forms.clone()).collect())
            });
            plans = places.collect();
        }
        let least = plans.iter().map(|plan| shortest(plan, 10)).min().expect("a plan");
        let mine = length(&found.pulls[0]);
        assert!(mine >= mm(least) && mine <= length(&found.first[0]), "{mine} {least}");
        if mine > mm(least) {
            missed.push((case, fixed.to_vec(), rows, mine, least));
        }
    }
    assert!(missed.is_empty(), "{} of 200: {missed:?}", missed.len());
}

/// Rows of up to three courses that cannot lie turned, all places of whose joints are gone through: the
/// proven least is never more than the shortest of them, and the answer is as short as that.
#[test]
fn chains_reach_all_places_tried_where_nothing_turns() {
    let mut lots = crate::nest::straight::lots::Lots::new(11);
    let mut below = |n: usize| i64::try_from(lots.below(n)).unwrap();
    let (mut gains, mut tight) = (0, 0);
    for case in 0..100 {
        let fixed: Vec<(i64, i64)> = (0..below(3)).map(|_| (2 + below(7), 11 + below(5))).collect();
        let many = [2, 3, 3, 2][case % 4];
        let rows: Vec<(i64, i64)> =
            (0..many).map(|_| (11 + below(if many > 2 { 9 } else { 17 }), 11 + below(6))).collect();
        let pieces = fixed.iter().map(|&(w, l)| piece(w, l, Turns::none(), 1)).collect();
        let specified = |long: i64| {
            let full = (long - 1) / 10;
            let last = (long - 10 * full).max(2);
            let first = long - 10 * (full - 1) - last;
            let others = (1..full).map(|_| mm(10));
            [mm(first)].into_iter().chain(others).chain([mm(last)]).collect::<Vec<Length>>()
        };
        let things = Any(rows
            .iter()
            .map(|&(long, around)| (row(around, false, (2, 10), 4), specified(long)))
            .collect());
        let one = instance(10, 2, pieces);
        // In every second case one more joint, in whichever row.
        let limit = i64::from(case % 2 == 1);
        let found = slid(&one, &things, limit, 100_000);
        let materials = std::slice::from_ref(&one);
        let task = Sliding { materials, things: &things, limit, step: mm(1) };
        let options = Options { seed: 1, work: 1_000_000 };
        let bound = least_length(&task, &options, &Quiet).expect("a bound");
        let mut least = i64::MAX;
        for one_more in (0..rows.len()).map(Some).take(usize::from(limit > 0) * 9).chain([None]) {
            let mut plans: Vec<Vec<Vec<(i64, i64)>>> =
                vec![fixed.iter().map(|&form| vec![form]).collect()];
            for (at, &(long, around)) in rows.iter().enumerate() {
                let courses = specified(long).len() + usize::from(one_more == Some(at));
                let places = parted(long, courses, 2).into_iter().flat_map(|parts| {
                    let forms: Vec<_> = parts.iter().map(|&w| vec![(w, around)]).collect();
                    let with = move |plan: &Vec<_>| [plan.clone(), forms.clone()].concat();
                    plans.iter().map(with).collect::<Vec<_>>()
                });
                plans = places.collect();
            }
            let here = plans.iter().map(|plan| shortest(plan, 10)).min();
            least = least.min(here.unwrap_or(i64::MAX));
        }
        assert!(bound <= mm(least).nm(), "{case}: {bound} {least}");
        assert_eq!(length(&found.pulls[0]), mm(least), "{case}: {fixed:?} {rows:?}");
        gains += usize::from(length(&found.pulls[0]) < length(&found.first[0]));
        tight += usize::from(bound > mm(least - 1).nm());
    }
    assert!(gains > 10 && tight > 50, "{gains} gains, {tight} tight bounds");
}

/// All ways to part a length into so many widths from `least` to 10, in decreasing order.
fn parted(long: i64, many: usize, least: i64) -> Vec<Vec<i64>> {
    fn go(long: i64, many: usize, (least, most): (i64, i64)) -> Vec<Vec<i64>> {
        if many == 0 {
            return if long == 0 { vec![Vec::new()] } else { Vec::new() };
        }
        let widths = least..=most.min(long);
        let one = |width: i64| {
            let rest = go(long - width, many - 1, (least, width));
            rest.into_iter().map(move |rest| [vec![width], rest].concat())
        };
        widths.flat_map(one).collect()
    }
    go(long, many, (least, 10))
}

/// What the engine lays comes back as an answer no worse, even where there is no time to look for one.
#[test]
fn known_pulls_are_an_answer() {
    let mut lots = crate::nest::straight::lots::Lots::new(8);
    for stages in [2, 3] {
        let pieces: Vec<Piece> = (0..25)
            .map(|_| {
                let side = |lots: &mut crate::nest::straight::lots::Lots| {
                    100 + i64::try_from(lots.below(900)).unwrap()
                };
                piece(side(&mut lots), side(&mut lots), Turns::quarter(), 1 + lots.below(3) as u64)
            })
            .collect();
        let mut one = instance(1500, stages, pieces);
        one.objective = Objective::Length;
        one.rolls[0].length = None;
        let good = solve(&one, &Options { seed: 1, work: 300_000 }, &Quiet).expect("a nest");
        let known = crate::nest::straight::laid(&one, &good.layouts);
        let area: Area = one.pieces.iter().map(|p| p.area() * i128::from(p.quantity)).sum();
        assert!(
            length(&known) >= Length::from_nm(i64::try_from(area.nm2() / 1_500_000_000).unwrap())
        );
        let quick = Options { seed: 1, work: 1 };
        let again = solve_from(&one, &known, &quick, &Quiet).expect("a nest");
        assert!(again.value <= good.value, "{} {}", again.value, good.value);
        // Pulls of other pieces are let be.
        one.pieces[0].width = mm(99);
        assert!(solve_from(&one, &known, &quick, &Quiet).is_ok());
    }
}

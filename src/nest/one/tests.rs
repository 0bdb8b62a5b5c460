//! Against complete search on small instances, and against published examples.

use super::{Answer, Bin, Problem, Refusal, solve};
use crate::nest::{Options, Quiet, Status};
use proptest::prelude::*;

fn answer(problem: &Problem) -> Answer {
    let answer = solve(problem, &Options::default(), &Quiet).unwrap();
    check(problem, &answer);
    answer
}

/// Every item is packed exactly as often as asked, every bin holds no more than its size, there are
/// enough bins, and value, bound and status agree.
fn check(problem: &Problem, answer: &Answer) {
    let mut packed = vec![0; problem.items.len()];
    let mut used = vec![0; problem.bins.len()];
    let mut value = 0;
    for pattern in &answer.patterns {
        let mut room = problem.bins[pattern.bin].size;
        for &(item, count) in &pattern.items {
            packed[item] += count * pattern.copies;
            room -= problem.items[item].0 * i64::try_from(count).unwrap();
        }
        assert!(room >= 0 && pattern.copies > 0 && !pattern.items.is_empty());
        used[pattern.bin] += pattern.copies;
        value += problem.bins[pattern.bin].cost * i64::try_from(pattern.copies).unwrap();
    }
    let wanted: Vec<u64> = problem.items.iter().map(|item| item.1).collect();
    assert_eq!(packed, wanted);
    for (bin, used) in problem.bins.iter().zip(used) {
        assert!(bin.available.is_none_or(|most| used <= most));
    }
    assert_eq!(value, answer.value);
    assert!(answer.bound <= answer.value);
    assert_eq!(answer.status == Status::Proven, answer.bound == answer.value);
}

fn bins(size: i64) -> Vec<Bin> {
    vec![Bin { size, cost: 1, available: None }]
}

/// Oracle: the least cost over all ways to put the items, one by one, into bins opened so far or
/// a new one; nothing if the bins do not suffice.
fn brute(problem: &Problem) -> Option<i64> {
    fn walk(
        items: &[i64],
        problem: &Problem,
        open: &mut Vec<(usize, i64)>,
        left: &mut [u64],
        cost: i64,
        best: &mut Option<i64>,
    ) {
        if best.is_some_and(|best| cost >= best) {
            return;
        }
        let Some((&size, rest)) = items.split_first() else {
            *best = Some(cost);
            return;
        };
        for at in 0..open.len() {
            if open[at].1 >= size {
                open[at].1 -= size;
                walk(rest, problem, open, left, cost, best);
                open[at].1 += size;
            }
        }
        for (bin, kind) in problem.bins.iter().enumerate() {
            if kind.size >= size && left[bin] > 0 {
                left[bin] -= 1;
                open.push((bin, kind.size - size));
                walk(rest, problem, open, left, cost + kind.cost, best);
                open.pop();
                left[bin] += 1;
            }
        }
    }
    let mut items = Vec::new();
    for &(size, count) in &problem.items {
        items.extend((0..count).map(|_| size));
    }
    items.sort_unstable_by(|one, other| other.cmp(one));
    let mut left: Vec<u64> =
        problem.bins.iter().map(|bin| bin.available.unwrap_or(u64::MAX)).collect();
    let mut best = None;
    walk(&items, problem, &mut Vec::new(), &mut left, 0, &mut best);
    best
}

/// Bins of 9950 at a price and four for nothing hold 13 pieces of 720 each: 64 pieces need one that is paid for. So they do
/// where two bins for nothing are at hand that hold no piece, or one that is not worth its place.
#[test]
fn bins_that_hold_nothing_leave_the_bound() {
    let bin = |size, cost, available| Bin { size, cost, available };
    let few = |size, most| bin(size, 0, Some(most));
    for more in [None, Some(few(350, 2)), Some(few(719, 1)), Some(few(721, 0))] {
        let bins = [bin(9950, 1, None), few(9950, 4)].into_iter().chain(more).collect();
        let answer = answer(&Problem { bins, items: vec![(720, 64)] });
        assert_eq!((answer.value, answer.bound, answer.status), (1, 1, Status::Proven), "{more:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    /// One size of bin: always proven, and what complete search finds.
    #[test]
    fn one_size_is_exact(
        size in 8_i64..40,
        items in proptest::collection::vec((1_i64..40, 1_u64..3), 1..7),
    ) {
        let items: Vec<(i64, u64)> =
            items.into_iter().map(|(length, count)| (length.min(size), count)).collect();
        let problem = Problem { bins: bins(size), items };
        let answer = answer(&problem);
        prop_assert_eq!(answer.status, Status::Proven);
        prop_assert_eq!(Some(answer.value), brute(&problem));
    }

    /// Bins cut into pieces, so that nothing is left over, and then some length moved from one piece
    /// to another: the bins still hold all by area, and often not otherwise.
    #[test]
    fn nothing_to_spare_is_exact(
        size in 12_i64..60,
        cuts in proptest::collection::vec(proptest::collection::vec(1_i64..60, 1..4), 2..4),
        moves in proptest::collection::vec((0_usize..9, 0_usize..9, 1_i64..7), 0..4),
        times in 1_u64..3,
    ) {
        let mut items = Vec::new();
        for cuts in cuts {
            let mut room = size;
            for cut in cuts {
                if cut < room {
                    items.push((cut, 1));
                    room -= cut;
                }
            }
            items.push((room, 1));
        }
        for (from, to, by) in moves {
            let (from, to) = (from % items.len(), to % items.len());
            if from != to && items[from].0 > by && items[to].0 + by <= size {
                items[from].0 -= by;
                items[to].0 += by;
            }
        }
        if items.len() <= 5 {
            for item in &mut items {
                item.1 *= times;
            }
        }
        let problem = Problem { bins: bins(size), items };
        let answer = answer(&problem);
        prop_assert_eq!(answer.status, Status::Proven);
        prop_assert_eq!(Some(answer.value), brute(&problem));
    }

    /// Several sizes, some limited, some for nothing: the bound never exceeds what complete search finds, the answer
    /// is never below it, and a refusal called proven is one.
    #[test]
    fn several_sizes_are_bounded(
        bins in proptest::collection::vec((8_i64..30, 0_i64..9, proptest::option::of(0_u64..4)), 1..4),
        items in proptest::collection::vec((1_i64..30, 1_u64..3), 1..5),
    ) {
        let bins: Vec<Bin> = bins
            .into_iter()
            .map(|(size, cost, available)| Bin { size, cost, available })
            .collect();
        let problem = Problem { bins, items };
        let best = brute(&problem);
        match solve(&problem, &Options::default(), &Quiet) {
            Ok(answer) => {
                check(&problem, &answer);
                let best = best.unwrap();
                prop_assert!(answer.bound <= best && best <= answer.value);
            }
            Err(Refusal::TooFewBins { proven: true } | Refusal::TooLong { .. }) => {
                prop_assert_eq!(best, None);
            }
            Err(_) => {}
        }
    }
}

/// Chvatal, Linear Programming (1983), chapter 13, the paper mill (from memory): raws of 100 in;
/// the linear programme is worth 452.25, and 453 raws suffice.
#[test]
fn the_paper_mill_of_a_textbook() {
    let items = vec![(45, 97), (36, 610), (31, 395), (14, 211)];
    let answer = answer(&Problem { bins: bins(100), items });
    assert_eq!((answer.value, answer.bound), (453, 453));
}

/// The worked example of the encyclopedia article "Cutting stock problem" (read in a public copy):
/// a paper machine of 5600 mm with thirteen orders, 72.7 rolls by area, 73 by the optimum.
#[test]
fn the_paper_machine_of_5600() {
    let items = vec![
        (1380, 22),
        (1520, 25),
        (1560, 12),
        (1710, 14),
        (1820, 18),
        (1880, 18),
        (1930, 20),
        (2000, 10),
        (2050, 12),
        (2100, 14),
        (2140, 16),
        (2150, 18),
        (2200, 20),
    ];
    let answer = answer(&Problem { bins: bins(5600), items });
    assert_eq!((answer.value, answer.bound), (73, 73));
}

/// Winston, Operations Research, section on column generation, boards of 17 ft cut into 25 of 3,
/// 20 of 5 and 15 of 9 ft (from memory). By hand: fifteen boards hold 9 + 5 + 3, two 5 + 3 + 3 + 3
/// + 3, one 5 + 5 + 5 and one the rest; 310 ft do not fit into 18 boards of 17 ft.
#[test]
fn the_boards_of_a_textbook() {
    let items = vec![(3, 25), (5, 20), (9, 15)];
    let answer = answer(&Problem { bins: bins(17), items });
    assert_eq!((answer.value, answer.bound), (19, 19));
}

/// Worked by hand: four of 6 and two of 4. Two bars of 10 hold 6 + 4 each for 20, one of 12 holds
/// 6 + 6 for 11; the 32 units at the best price per length, 11/12, cost more than 29.
#[test]
fn two_stock_lengths() {
    let bins = vec![
        Bin { size: 10, cost: 10, available: None },
        Bin { size: 12, cost: 11, available: None },
    ];
    let problem = Problem { bins, items: vec![(6, 4), (4, 2)] };
    let answer = answer(&problem);
    assert_eq!(Some(answer.value), brute(&problem));
    assert_eq!(answer.value, 31);
}

/// Millions of pieces of few sizes: kinds are never unrolled, and the proof still closes.
#[test]
fn huge_quantities_are_quick() {
    let items = vec![(333, 1_000_000), (334, 1_000_000), (250, 7), (501, 999_999)];
    let answer = answer(&Problem { bins: bins(1000), items });
    assert_eq!(answer.status, Status::Proven);
}

/// Construction: every bin holds one piece longer than half with its only exact fill, many times over;
/// forced bins are packed all at once.
#[test]
fn forced_bins_with_many_copies() {
    let items = vec![(7001, 400_000), (2500, 400_000), (499, 400_000), (6000, 3), (4000, 3)];
    let answer = answer(&Problem { bins: bins(10_000), items });
    assert_eq!((answer.value, answer.status), (400_003, Status::Proven));
}

/// Bad input is refused with its reason.
#[test]
fn refusals() {
    let quiet = |problem: &Problem| solve(problem, &Options::default(), &Quiet).err();
    let problem = Problem { bins: bins(10), items: vec![(5, 1), (11, 2)] };
    assert_eq!(quiet(&problem), Some(Refusal::TooLong { item: 1 }));
    let problem = Problem { bins: bins(10), items: vec![(0, 1)] };
    assert_eq!(quiet(&problem), Some(Refusal::OutOfRange));
    let problem = Problem { bins: bins(i64::MAX), items: vec![(i64::MAX, u64::MAX)] };
    assert_eq!(quiet(&problem), Some(Refusal::OutOfRange));
    let none = vec![Bin { size: 10, cost: 1, available: Some(0) }];
    let problem = Problem { bins: none, items: vec![(5, 1)] };
    assert_eq!(quiet(&problem), Some(Refusal::TooFewBins { proven: true }));
}

/// The same input gives the same answer, and nothing asked is nothing packed.
#[test]
fn same_in_same_out() {
    let items: Vec<(i64, u64)> = (0..40).map(|k| (200 + 37 * k % 311, 3)).collect();
    let problem = Problem { bins: bins(1000), items };
    assert_eq!(answer(&problem), answer(&problem));
    let nothing = answer(&Problem { bins: bins(10), items: vec![(3, 0)] });
    assert_eq!((nothing.value, nothing.bound), (0, 0));
}

/// What a certificate says of bins holds of those that are not to be had as well, since whole orders learn from it:
/// against the most that fits each, gone through.
#[test]
fn certificates_hold_of_bins_that_are_not_to_be_had() {
    let mut lots = crate::nest::straight::lots::Lots::new(7);
    let mut told = 0;
    for _ in 0..400 {
        let mut size = |from: i64, most: i64| from + lots.number(most);
        let bins = [(0, size(60, 60)), (9, size(60, 60))];
        let bins = bins.map(|(most, length)| Bin {
            size: length,
            cost: size(50, 50),
            available: Some(most),
        });
        let items: Vec<(i64, u64)> =
            (0..4).map(|_| (size(17, 30), size(1, 4).unsigned_abs())).collect();
        let problem = Problem { bins: bins.to_vec(), items };
        let Ok(answer) = solve(&problem, &Options::default(), &Quiet) else { continue };
        let Some(certificate) = answer.certificate else { continue };
        told += 1;
        for (bin, &most) in problem.bins.iter().zip(&certificate.most) {
            // The most for every length, item by item.
            let mut row = vec![0_i64; usize::try_from(bin.size).unwrap() + 1];
            for (&(length, count), &price) in problem.items.iter().zip(&certificate.prices) {
                let length = usize::try_from(length).unwrap();
                for _ in 0..count {
                    for room in (length..row.len()).rev() {
                        row[room] = row[room].max(row[room - length] + price);
                    }
                }
            }
            assert!(row.iter().all(|&worth| worth <= most), "{problem:?}: {most}");
        }
    }
    assert!(told > 20, "{told} certificates");
}

//! Against complete enumeration.

use super::{Counts, Kind, Search, Sums, Table, best_through, label};
use proptest::prelude::*;

/// Oracle: every set, one by one; the best value of one within the waste allowed.
fn brute(kinds: &[Kind], capacity: i64, waste: i64) -> Option<i64> {
    fn walk(kinds: &[Kind], room: i64, value: i64, waste: i64, best: &mut Option<i64>) {
        let Some((kind, rest)) = kinds.split_first() else {
            if room <= waste && best.is_none_or(|most| value > most) {
                *best = Some(value);
            }
            return;
        };
        for count in 0..=i64::try_from(kind.limit).unwrap() {
            if count * kind.size > room {
                break;
            }
            walk(rest, room - count * kind.size, value + count * kind.price, waste, best);
        }
    }
    let mut best = None;
    walk(kinds, capacity, 0, waste, &mut best);
    best
}

fn check(kinds: &[Kind], capacity: i64, waste: i64, value: i64, counts: &Counts) {
    let size: i64 = counts.iter().map(|&(k, n)| kinds[k].size * i64::try_from(n).unwrap()).sum();
    let worth: i64 = counts.iter().map(|&(k, n)| kinds[k].price * i64::try_from(n).unwrap()).sum();
    assert!(size <= capacity && capacity - size <= waste);
    assert_eq!(worth, value);
    assert!(counts.iter().all(|&(k, n)| n > 0 && n <= kinds[k].limit));
    assert!(counts.windows(2).all(|pair| pair[0].0 < pair[1].0));
}

fn kinds() -> impl Strategy<Value = Vec<Kind>> {
    proptest::collection::vec((1_i64..30, 0_u64..4, -3_i64..40), 0..7).prop_map(|list| {
        list.into_iter().map(|(size, limit, price)| Kind { size, limit, price }).collect()
    })
}

proptest! {
    /// Branch and bound and the table find what enumeration finds.
    #[test]
    fn all_agree(kinds in kinds(), capacity in 1_i64..70) {
        let best = brute(&kinds, capacity, capacity).unwrap();
        let mut last = None;
        let verdict = Search::new(&kinds, capacity, None)
            .run(0, u64::MAX, &mut |value, counts| last = Some((value, counts)));
        prop_assert!(verdict.complete);
        prop_assert_eq!(verdict.best, best);
        if let Some((value, counts)) = last {
            check(&kinds, capacity, capacity, value, &counts);
        }
        let table = Table::new(&kinds, capacity, false).unwrap();
        let (value, length) = table.best(0).unwrap();
        prop_assert_eq!(value, best);
        check(&kinds, capacity, capacity, value, &table.counts(length));
    }

    /// The same where waste is limited.
    #[test]
    fn all_agree_on_limited_waste(kinds in kinds(), capacity in 1_i64..70, waste in 0_i64..5) {
        let best = brute(&kinds, capacity, waste.min(capacity));
        let floor = -1000;
        let mut last = None;
        let verdict = Search::new(&kinds, capacity, Some(waste))
            .run(floor, u64::MAX, &mut |value, counts| last = Some((value, counts)));
        if waste < capacity {
            prop_assert_eq!(verdict.best, best.unwrap_or(floor));
            if let Some((value, counts)) = last {
                check(&kinds, capacity, waste, value, &counts);
            }
        }
        let table = Table::new(&kinds, capacity, true).unwrap();
        let found = table.best(capacity - waste);
        prop_assert_eq!(found.map(|(value, _)| value), best);
        if let Some((value, length)) = found {
            check(&kinds, capacity, waste, value, &table.counts(length));
        }
    }

    /// Forcing each kind in turn finds the best set that holds it.
    #[test]
    fn a_forced_kind_is_held(kinds in kinds(), capacity in 1_i64..70) {
        for (index, kind) in kinds.iter().enumerate() {
            if kind.limit == 0 || kind.size > capacity || kind.price <= 0 {
                continue;
            }
            let mut rest = kinds.clone();
            rest[index].limit -= 1;
            let best = brute(&rest, capacity - kind.size, capacity).unwrap() + kind.price;
            let mut last = None;
            let verdict = Search::new(&kinds, capacity, None)
                .run_with(index, 0, u64::MAX, &mut |value, counts| last = Some((value, counts)));
            prop_assert_eq!(verdict.best, best);
            let (value, counts) = last.unwrap();
            check(&kinds, capacity, capacity, value, &counts);
            prop_assert!(counts.iter().any(|count| count.0 == index));
        }
    }

    /// Labels find the optimum and nothing wrong, with and without a limit on waste.
    #[test]
    fn labels_agree(
        kinds in kinds(),
        capacity in 1_i64..70,
        waste in proptest::option::of(0_i64..5),
        threshold in 0_i64..60,
    ) {
        let allowed = waste.filter(|&waste| waste < capacity).unwrap_or(capacity);
        let best = brute(&kinds, capacity, allowed).filter(|&best| best > threshold);
        let found = label(&kinds, capacity, waste, threshold, 1_000_000).unwrap();
        prop_assert_eq!(found.patterns.first().map(|pattern| pattern.0), best);
        for (value, counts) in &found.patterns {
            prop_assert!(*value > threshold);
            check(&kinds, capacity, allowed, *value, counts);
        }
    }

    /// The best pattern through each kind is that of enumeration.
    #[test]
    fn through_agrees(kinds in kinds(), capacity in 1_i64..70, waste in 0_i64..80) {
        let allowed = waste.min(capacity);
        let through = best_through(&kinds, capacity, waste).unwrap();
        for (index, kind) in kinds.iter().enumerate() {
            let mut rest = kinds.clone();
            let best = if kind.limit == 0 || kind.size > capacity {
                None
            } else {
                rest[index].limit -= 1;
                brute(&rest, capacity - kind.size, allowed).map(|value| value + kind.price)
            };
            prop_assert_eq!(through[index].as_ref().map(|best| best.0), best);
            if let Some((value, counts)) = &through[index] {
                check(&kinds, capacity, allowed, *value, counts);
                prop_assert!(counts.iter().any(|count| count.0 == index));
            }
        }
    }

    /// Reachable sums are those of enumeration.
    #[test]
    fn sums_are_reachable(kinds in kinds(), capacity in 1_i64..140) {
        let mut sums = Sums::new(capacity).unwrap();
        for kind in &kinds {
            sums.add(kind);
        }
        let mut largest = 0;
        for sum in 0..=capacity {
            let reachable = brute(&kinds, sum, 0).is_some();
            prop_assert_eq!(sums.has(sum), reachable);
            if reachable {
                largest = sum;
            }
            prop_assert_eq!(sums.below(sum), largest);
        }
    }
}

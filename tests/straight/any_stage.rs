//! Strips cut edge to edge in any number of stages: against exhaustive search over all ways to part a
//! set of pieces in two, and on rectangles that were cut up edge to edge.

use super::{check, random};
use proptest::prelude::*;
use rollwright::cutting::{Objective, Turns};
use rollwright::nest::{Basis, Instance, Options, Quiet, Roll, Status, solve};

/// A strip of single pieces.
fn strip(width: i64, sizes: &[(i64, i64)], turns: &Turns) -> Instance {
    let mut pieces = Vec::new();
    for (index, &(w, l)) in sizes.iter().enumerate() {
        pieces.push(random::piece(index, w, l, 1, turns.clone()));
    }
    Instance {
        name: "strip".to_owned(),
        rolls: vec![Roll { length: None, ..random::roll("A", width, 1, 1) }],
        pieces,
        cutting: random::straight(None),
        objective: Objective::Length,
        published: None,
    }
}

/// The shortest strip: for every set of pieces all sizes that it can be cut from, none of them
/// greater than another both ways.
fn least(width: i64, sizes: &[(i64, i64)], turned: bool) -> i64 {
    let mut boxes: Vec<Vec<(i64, i64)>> = vec![Vec::new(); 1 << sizes.len()];
    for set in 1_usize..1 << sizes.len() {
        let mut all = Vec::new();
        if set.is_power_of_two() {
            let (w, l) = sizes[set.trailing_zeros() as usize];
            all.push((w, l));
            if turned {
                all.push((l, w));
            }
        }
        let mut part = (set - 1) & set;
        while part > 0 {
            for &(w, l) in &boxes[part] {
                for &(v, k) in &boxes[set ^ part] {
                    all.extend([(w + v, l.max(k)), (w.max(v), l + k)]);
                }
            }
            part = (part - 1) & set;
        }
        all.retain(|size| size.0 <= width);
        all.sort_unstable();
        for size in all {
            if boxes[set].last().is_none_or(|last| size.1 < last.1) {
                boxes[set].push(size);
            }
        }
    }
    boxes.last().and_then(|all| all.last()).map_or(0, |size| size.1)
}

proptest! {
    #![proptest_config(ProptestConfig { max_shrink_iters: 30, ..ProptestConfig::with_cases(16) })]

    /// Up to six pieces: the answer is the shortest, and proven.
    #[test]
    fn short_strips_agree_with_exhaustive_search(
        sizes in prop::collection::vec((2_i64..7, 2_i64..7), 1..7),
        width in 6_i64..20,
        turned in any::<bool>(),
    ) {
        let turns = if turned { Turns::quarter() } else { Turns::none() };
        let instance = strip(width, &sizes, &turns);
        let nesting = solve(&instance, &Options { seed: 1, work: 300_000 }, &Quiet).expect("an answer");
        check::check(&instance, &nesting);
        prop_assert_eq!(nesting.value, least(width, &sizes, turned) * 1_000_000);
        prop_assert_eq!(nesting.status, Status::Proven);
    }

    /// A rectangle cut up edge to edge is put together again without waste.
    #[test]
    fn what_was_cut_edge_to_edge_is_put_together(
        cuts in prop::collection::vec((20_i64..80, any::<bool>()), 5..24),
    ) {
        let mut sizes = vec![(200_i64, 300_i64)];
        for (share, across) in cuts {
            let (w, l) = sizes.remove(0);
            let cut = if across { (l * share / 100).max(1) } else { (w * share / 100).max(1) };
            let parts =
                if across { [(w, cut), (w, l - cut)] } else { [(cut, l), (w - cut, l)] };
            sizes.extend(parts.into_iter().filter(|part| part.0 > 0 && part.1 > 0));
        }
        let instance = strip(200, &sizes, &Turns::none());
        let nesting = solve(&instance, &Options { seed: 1, work: 400_000 }, &Quiet).expect("an answer");
        check::check(&instance, &nesting);
        prop_assert_eq!((nesting.value, nesting.status), (300_000_000, Status::Proven));
    }
}

/// Five pieces in a pinwheel fill a square of 3, but no cut parts them edge to edge; by hand: the
/// middle one lies elsewhere, and 4 is the shortest.
#[test]
fn a_pinwheel_needs_more_than_its_area() {
    let sizes = [(2, 1), (1, 2), (2, 1), (1, 2), (1, 1)];
    let nesting = solve(&strip(3, &sizes, &Turns::none()), &Options::default(), &Quiet);
    let nesting = nesting.expect("an answer");
    assert_eq!((nesting.value, nesting.bound), (4_000_000, 4_000_000));
    assert_eq!((nesting.status, nesting.basis), (Status::Proven, Basis::Search));
}

/// Hopper's t1 and t2 fill a square of 200, but not edge to edge, whatever is said of them: all blocks
/// without waste are built, and none holds all pieces.
#[test]
fn t1_and_t2_have_no_strip_without_waste_edge_to_edge() {
    let Some(all) = super::shared::set("strip_packing_rect") else { return };
    for instance in all.iter().filter(|i| i.name.contains("any")).step_by(6) {
        let nesting =
            solve(instance, &Options { seed: 1, work: 40_000 }, &Quiet).expect("an answer");
        check::check(instance, &nesting);
        assert!(nesting.bound > 200_000_000, "{}", instance.name);
        assert!(nesting.value <= 280_000_000, "{}: {}", instance.name, nesting.value);
    }
}

//! The checks against plain enumeration, and the bound that follows by hand.

use super::*;
use crate::cutting::{Cutting, Turns};
use crate::geometry::{Outline, Point};
use crate::plan::wanted::{Piece, Roll, sample};
use crate::plan::{Areas, Basis, Most, Scales, Status};
use crate::units::Money;
use proptest::prelude::*;

fn mm(value: i64) -> Length {
    Length::from_mm(value)
}

/// Width, length, quantity, and whether quarter turns are allowed.
type Of = (i64, i64, u64, bool);

/// One roll of a width and a length, and pieces; sizes in millimetres.
fn sheet((width, length): (i64, i64), pieces: &[Of], cutting: Cutting) -> Wanted {
    let piece = |(at, &(width, length, quantity, turned)): (usize, &Of)| Piece {
        turns: if turned { Turns::quarter() } else { Turns::none() },
        ..sample::piece(&format!("p{at}"), (width, length), quantity)
    };
    let roll = Roll { price: Money::from_units(1), ..sample::roll("R", (width, length)) };
    let pieces = pieces.iter().enumerate().map(piece).collect();
    Wanted { cutting, ..sample::sheet(vec![roll], pieces) }
}

fn certificate(prices: &[i64], worth: i64) -> Certificate {
    let most = vec![Most { roll: "R".to_owned(), worth, per: None }];
    Certificate { prices: prices.to_vec(), most, scales: None }
}

fn work() -> Work {
    Work::new(WHOLE)
}

/// The most that things of a size are worth which fit a room, each kind no more often than it is wanted: all
/// ways to take them, one by one. A kind is what its things take in each way, its worth, and how many.
fn fill(kinds: &[(Vec<i64>, i64, u64)], room: i64) -> i64 {
    let Some(((sizes, worth, copies), others)) = kinds.split_first() else { return 0 };
    let mut best = fill(others, room);
    if *copies > 0 {
        for size in sizes.iter().filter(|size| **size <= room) {
            let mut fewer = kinds.to_vec();
            fewer[0] = (sizes.clone(), *worth, copies - 1);
            best = best.max(worth + fill(&fewer, room - size));
        }
    }
    best
}

/// A priced piece, its ways with the gap.
struct Plain {
    ways: Vec<(i64, i64)>,
    price: i64,
    copies: u64,
}

fn plain(pieces: &[Of], prices: &[i64], gap: i64) -> Vec<Plain> {
    let one = |(&(w, l, copies, turned), &price): (&Of, &i64)| {
        let mut ways = vec![(w + gap, l + gap)];
        ways.extend(turned.then_some((l + gap, w + gap)));
        Plain { ways, price, copies }
    };
    pieces.iter().zip(prices).map(one).collect()
}

/// Of pulls of these worths, by length from 0, the most along a roll.
fn laid(pulls: &[i64], room: i64) -> i64 {
    let kinds: Vec<(Vec<i64>, i64, u64)> = (1..)
        .zip(pulls.iter().skip(1))
        .filter(|(_, worth)| **worth > 0)
        .map(|(length, &worth)| (vec![length], worth, u64::MAX))
        .collect();
    let mut best = vec![0; usize::try_from(room).unwrap() + 1];
    for at in 1..best.len() {
        for (sizes, worth, _) in &kinds {
            let size = usize::try_from(sizes[0]).unwrap();
            if size <= at {
                best[at] = best[at].max(best[at - size] + worth);
            }
        }
    }
    best[usize::try_from(room).unwrap()]
}

/// The most that a roll is worth in two stages.
fn two_stages(pieces: &[Plain], (width, length): (i64, i64), pull: i64) -> i64 {
    let of = |l: i64| {
        let kinds = pieces.iter().map(|piece| {
            let fits = piece.ways.iter().filter(|way| way.1 <= l).map(|way| way.0);
            (fits.collect(), piece.price, piece.copies)
        });
        fill(&kinds.collect::<Vec<_>>(), width)
    };
    let pulls: Vec<i64> = (0..=length.min(pull)).map(of).collect();
    laid(&pulls, length)
}

/// The most that a roll is worth in three stages.
fn three_stages(pieces: &[Plain], (width, length): (i64, i64), pull: i64) -> i64 {
    let stack = |w: i64, l: i64| {
        let kinds = pieces.iter().map(|piece| {
            let fits = piece.ways.iter().filter(|way| way.0 <= w).map(|way| way.1);
            (fits.collect(), piece.price, piece.copies)
        });
        fill(&kinds.collect::<Vec<_>>(), l)
    };
    let of = |l: i64| laid(&(0..=width).map(|w| stack(w, l)).collect::<Vec<_>>(), width);
    let pulls: Vec<i64> = (0..=length.min(pull)).map(of).collect();
    laid(&pulls, length)
}

/// The most along a roll of pieces that lie alone.
fn one_by_one(pieces: &[Plain], (width, length): (i64, i64)) -> i64 {
    let kinds = pieces.iter().map(|piece| {
        let fits = piece.ways.iter().filter(|way| way.0 <= width).map(|way| way.1);
        (fits.collect(), piece.price, piece.copies)
    });
    fill(&kinds.collect::<Vec<_>>(), length)
}

fn pieces(most: i64) -> impl Strategy<Value = Vec<(Of, i64)>> {
    let piece = (1..=most, 1..=most, 1_u64..4, any::<bool>());
    prop::collection::vec((piece, 1..40_i64), 1..4)
}

/// A check, and the most that it should find.
type Check = dyn Fn(&Sizes<'_>, &Certificate, &mut Work) -> Result<(), Trouble>;

/// The true worth is confirmed and anything less refused.
fn exact(wanted: &Wanted, prices: &[i64], most: i64, check: &Check) -> Result<(), TestCaseError> {
    let told = |worth: i64| {
        let certificate = certificate(prices, worth);
        let sizes = Sizes::new(wanted, &certificate, wanted.cutting.gap);
        check(&sizes, &certificate, &mut work())
    };
    prop_assert_eq!(told(most), Ok(()));
    if most > 0 {
        let refused = told(most - 1);
        prop_assert!(
            matches!(&refused, Err(Trouble::False(why)) if why.contains(&most.to_string()))
        );
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn two_stages_are_counted_exactly(
        all in pieces(9), roll in (4..13_i64, 4..13_i64), gap in 0..2_i64, pull in 5..14_i64,
        edge in 0..2_i64, square in 0..2_i64,
    ) {
        let (of, prices): (Vec<Of>, Vec<i64>) = all.into_iter().unzip();
        let cutting = Cutting {
            gap: mm(gap), pull_limit: Some(mm(pull)), edge_trim: mm(edge), square_cut: mm(square),
            ..Cutting::plain(Style::Straight, Some(2))
        };
        let wanted = sheet((roll.0 + 2 * edge, roll.1 + square), &of, cutting);
        let room = (roll.0 + gap, roll.1 + gap);
        let most = two_stages(&plain(&of, &prices, gap), room, pull + gap);
        exact(&wanted, &prices, most, &two::check)?;
    }

    #[test]
    fn three_stages_are_counted_exactly(
        all in pieces(7), roll in (4..10_i64, 4..12_i64), gap in 0..2_i64, pull in 5..14_i64,
    ) {
        let (of, prices): (Vec<Of>, Vec<i64>) = all.into_iter().unzip();
        let cutting = Cutting {
            gap: mm(gap), pull_limit: Some(mm(pull)),
            ..Cutting::plain(Style::Straight, Some(3))
        };
        let wanted = sheet(roll, &of, cutting);
        let room = (roll.0 + gap, roll.1 + gap);
        let most = three_stages(&plain(&of, &prices, gap), room, pull + gap);
        exact(&wanted, &prices, most, &three::check)?;
    }

    #[test]
    fn pieces_that_lie_alone_are_counted_exactly(
        all in prop::collection::vec(((6..10_i64, 1..9_i64, 1_u64..4, any::<bool>()), 1..40_i64), 1..4),
        length in 4..24_i64,
    ) {
        let (of, prices): (Vec<Of>, Vec<i64>) = all.into_iter().unzip();
        let wanted = sheet((10, length), &of, Cutting::plain(Style::Free, None));
        let of_roll = Sizes::new(&wanted, &certificate(&prices, 0), Length::ZERO);
        if alone::holds(&of_roll) {
            let most = one_by_one(&plain(&of, &prices, 0), (10, length));
            exact(&wanted, &prices, most, &alone::check)?;
        }
    }

    /// Weights are drawn; the product of what is heaviest in each direction is confirmed, and nothing less.
    #[test]
    fn scales_are_counted_exactly(
        all in pieces(9), roll in (4..13_i64, 4..13_i64), gap in 0..2_i64,
        drawn in prop::collection::vec(0..9_i64, 24),
    ) {
        let (of, _): (Vec<Of>, Vec<i64>) = all.into_iter().unzip();
        let cutting = Cutting { gap: mm(gap), ..Cutting::plain(Style::Straight, None) };
        let wanted = sheet(roll, &of, cutting);
        let room = (roll.0 + gap, roll.1 + gap);
        let weight = |side: usize, size: i64| drawn[usize::try_from(size).unwrap() + 12 * side];
        let bare = plain(&of, &vec![1; of.len()], gap);
        let fits = |way: &&(i64, i64)| way.0 <= room.0 && way.1 <= room.1;
        let prices: Vec<i64> = bare.iter().map(|piece| {
            let ways = piece.ways.iter().filter(fits);
            ways.map(|way| weight(0, way.0) * weight(1, way.1)).min().unwrap_or(0)
        }).collect();
        let heaviest = |side: usize, room: i64| {
            let mut counts = [0_u64; 12];
            for (piece, &price) in bare.iter().zip(&prices) {
                let mut sizes: Vec<i64> =
                    piece.ways.iter().filter(fits).map(|way| [way.0, way.1][side]).collect();
                sizes.dedup();
                for size in sizes.into_iter().filter(|_| price > 0) {
                    counts[usize::try_from(size).unwrap()] += piece.copies;
                }
            }
            let kinds = (0..12).filter(|size| counts[*size] > 0).map(|size| {
                let own = i64::try_from(size).unwrap();
                (vec![own], weight(side, own), counts[size].min(4))
            });
            fill(&kinds.collect::<Vec<_>>(), room)
        };
        // Four of a size of 3 or more fill any room here; smaller ones are left to chance.
        prop_assume!(of.iter().all(|piece| piece.0.min(piece.1) + gap >= 3));
        let most = heaviest(0, room.0) * heaviest(1, room.1);
        let list = |side: usize| (1..12).map(|size| (mm(size), weight(side, size))).collect();
        let scales = Scales { across: list(0), along: list(1) };
        let told = |worth: i64, prices: &[i64]| {
            let all = (&wanted, &certificate(prices, worth));
            scales::check(all, &scales, mm(gap), &mut work())
        };
        prop_assert_eq!(told(most, &prices), Ok(()));
        if most > 0 {
            prop_assert!(matches!(told(most - 1, &prices), Err(Trouble::False(_))));
            let fitting = bare.iter().position(|piece| piece.ways.iter().any(|way| fits(&way)));
            let mut dearer = prices;
            dearer[fitting.unwrap()] += 1;
            prop_assert!(matches!(told(i64::MAX, &dearer), Err(Trouble::False(_))));
        }
    }
}

fn nest(wanted: &Wanted, bound: i64, certificate: Option<Certificate>) -> Nest {
    Nest {
        thickness: wanted.thickness,
        objective: wanted.objective,
        style: wanted.cutting.style,
        stages: wanted.cutting.stages,
        status: Status::Feasible,
        value: Decimal::from_millionths(i64::MAX),
        bound: Decimal::from_millionths(bound * 1_000_000),
        basis: Basis::LinearProgramme,
        certificate,
        without_shelf: None,
        areas: Areas::default(),
    }
}

fn verdict(wanted: &Wanted, bound: i64, certificate: Certificate) -> Result<Verdict, String> {
    one(&nest(wanted, bound, Some(certificate)), wanted, WHOLE)
}

/// By hand: pieces of 6 by 5 lie alone on rolls 10 wide, two on a roll of 10, so 21 take 11 rolls; by area
/// 6.3. At a price of 1 a roll is worth 2.
#[test]
fn a_bound_is_no_more_than_what_follows() {
    let wanted = sheet((10, 10), &[(6, 5, 21, false)], Cutting::plain(Style::Straight, Some(2)));
    let told = |bound, worth| verdict(&wanted, bound, certificate(&[1], worth));
    assert_eq!(told(11, 2), Ok(Verdict::Anew(Ground::Layouts)));
    assert!(told(12, 2).is_err_and(|why| why.contains("gives no more than 11")));
    assert!(told(21, 1).is_err_and(|why| why.contains("no more than 1, but it can be worth 2")));
    assert!(verdict(&wanted, 1, certificate(&[-1], 2)).is_err());
    assert!(verdict(&wanted, 1, certificate(&[1, 1], 2)).is_err());
    // Without a certificate: 6.3 rolls by area, and by length 11.
    let bare = |bound| one(&nest(&wanted, bound, None), &wanted, WHOLE);
    assert_eq!(bare(11), Ok(Verdict::Anew(Ground::Least)));
    assert_eq!(bare(12), Ok(Verdict::Word(Why::Absent)));
    // What is said to rest on area is computed, whether or not it has prices.
    let by_area = |bound| {
        let nest = Nest { basis: Basis::Area, ..nest(&wanted, bound, None) };
        one(&nest, &wanted, WHOLE)
    };
    assert_eq!(by_area(11), Ok(Verdict::Anew(Ground::Least)));
    assert!(by_area(12).is_err_and(|why| why.contains("by area and lengths it is at most 11")));
    // What holds whatever is chosen is no more than what is chosen takes.
    let whatever =
        |bound, basis| over_choices(&Nest { basis, ..nest(&wanted, bound, None) }, &wanted);
    assert_eq!(whatever(11, Basis::Area), Ok(()));
    assert!(whatever(12, Basis::Area).is_err_and(|why| why.contains("it is at most 11")));
    assert_eq!(whatever(12, Basis::LinearProgramme), Ok(()));
    assert_eq!(bare(0), Ok(Verdict::None));
}

/// By hand: right triangles of half a square metre, 5 of them, take 2.5 m2 of rolls of 1 m2. Priced higher than
/// their area they are refused, even if two of them could not lie on one roll.
#[test]
fn curved_pieces_are_priced_by_their_area() {
    let mut wanted =
        sheet((1000, 1000), &[(1000, 1000, 5, true)], Cutting::plain(Style::Free, None));
    let corner = |(x, y): (i64, i64)| Point::new(mm(x), mm(y));
    let corners = [(0, 0), (1000, 0), (0, 1000)].map(corner).to_vec();
    wanted.pieces[0].outline = Some(Outline::new(corners).expect("an outline"));
    assert_eq!(verdict(&wanted, 3, certificate(&[1], 2)), Ok(Verdict::Anew(Ground::Area)));
    assert!(verdict(&wanted, 5, certificate(&[1], 1)).is_err_and(|why| why.contains("curved")));
}

/// By hand: on 1000 x 1000 with a gap of 10 a square of 490 takes 500 x 500 of 1010 x 1010, so at a price of 100 a
/// roll is worth 408.04. Beside a curved piece only 490 x 490 of 1000 x 1000 count, and it is worth 416.5; at 417
/// the triangle of 0.18 may cost 75.
#[test]
fn beside_curved_pieces_no_gap_counts() {
    let cutting = Cutting { gap: mm(10), ..Cutting::plain(Style::Straight, Some(2)) };
    let plain = sheet((1000, 1000), &[(490, 490, 1, false), (600, 600, 1, false)], cutting);
    let mut curved = plain.clone();
    let corners = [(0, 0), (600, 0), (0, 600)].map(|(x, y)| Point::new(mm(x), mm(y))).to_vec();
    curved.pieces[1].outline = Some(Outline::new(corners).expect("an outline"));
    let told = |wanted: &Wanted, price, worth| {
        area::holds(wanted, &certificate(&[100, price], worth), wanted.cutting.gap)
    };
    assert!(told(&plain, 72, 409) && !told(&plain, 72, 408));
    assert!(told(&curved, 75, 417) && !told(&curved, 76, 417) && !told(&curved, 72, 416));
    assert!(verdict(&curved, 1, certificate(&[100, 72], 409)).is_err());
}

/// By hand: pieces of 6 by 5 lie alone on 10 without end, one on each 5 mm, four on 20. A certificate that allows
/// three on 10 mm gives 13.3, so 15, a sum of lengths. With three gaps of 1 and a square cut of 2 it is 25.
#[test]
fn a_length_is_no_more_than_what_follows() {
    let mut wanted = sheet((10, 1), &[(6, 5, 4, false)], Cutting::plain(Style::Straight, Some(2)));
    wanted.objective = Objective::Length;
    wanted.rolls[0].length = None;
    let told = |wanted: &Wanted, bound, worth, per| {
        let mut certificate = certificate(&[1], worth);
        certificate.most[0].per = Some(mm(per));
        verdict(wanted, bound, certificate)
    };
    let holds = Ok(Verdict::Anew(Ground::Layouts));
    let refused = |told: Result<Verdict, String>, most: &str| {
        told.is_err_and(|why| why.ends_with(&format!("gives no more than {most}")))
    };
    assert_eq!(told(&wanted, 20, 1, 5), holds);
    assert!(refused(told(&wanted, 21, 1, 5), "20"));
    assert_eq!(told(&wanted, 15, 3, 10), holds);
    assert!(refused(told(&wanted, 16, 3, 10), "15"));
    assert!(told(&wanted, 15, 1, 6).is_err_and(|why| why.contains("can be worth")));
    (wanted.cutting.gap, wanted.cutting.square_cut) = (mm(1), mm(2));
    assert_eq!(told(&wanted, 25, 1, 6), holds);
    assert!(refused(told(&wanted, 26, 1, 6), "25"));
}

/// By hand: squares of 5 with a gap of 2 lie two by two on a roll of 12. In a free layout one may lie nearer
/// across and along, corner to corner, so what the whole gap would prove is not confirmed, nor refused.
#[test]
fn in_free_layouts_gaps_are_kept_corner_to_corner() {
    let cutting = |style, stages| Cutting { gap: mm(2), ..Cutting::plain(style, stages) };
    let scales = || {
        let one = vec![(mm(7), 1)];
        Some(Scales { across: one.clone(), along: one })
    };
    let told = |cutting: Cutting, side: i64, worth: i64| {
        let wanted = sheet((side, side), &[(5, 5, 9, false)], cutting);
        verdict(&wanted, 1, Certificate { scales: scales(), ..certificate(&[1], worth) })
    };
    let free = || cutting(Style::Free, None);
    assert_eq!(told(free(), 12, 4), Ok(Verdict::Anew(Ground::Scales)));
    assert_eq!(told(cutting(Style::Straight, None), 18, 4), Ok(Verdict::Anew(Ground::Scales)));
    // Three squares and two gaps of 1.41 mm fit 18 mm, with gaps of 2 mm they do not.
    let word = told(free(), 18, 4);
    assert!(word == Ok(Verdict::Word(Why::Corners)) || word == Ok(Verdict::Anew(Ground::Least)));
    assert!(told(free(), 18, 3).is_err());
}

/// Nothing is said of a check for which there is not work enough, and nothing of sizes without a common measure
/// that are worth more when rounded.
#[test]
fn what_would_take_too_long_is_left() {
    let wanted = sheet((10, 10), &[(4, 5, 21, false)], Cutting::plain(Style::Straight, Some(2)));
    let certified = nest(&wanted, 6, Some(certificate(&[1], 4)));
    assert_eq!(one(&certified, &wanted, WHOLE), Ok(Verdict::Anew(Ground::Layouts)));
    assert_eq!(one(&certified, &wanted, 1), Ok(Verdict::Word(Why::Long)));
    let mut fine =
        sheet((1000, 1000), &[(501, 500, 1, false)], Cutting::plain(Style::Straight, Some(2)));
    fine.pieces.push(Piece { code: "q".to_owned(), ..fine.pieces[0].clone() });
    fine.pieces[1].width = Length::from_nm(499_000_001);
    let told = |bound, worth| verdict(&fine, bound, certificate(&[3, 3], worth));
    assert_eq!(told(1, 12), Ok(Verdict::Anew(Ground::Layouts)));
    assert_eq!(told(2, 3), Ok(Verdict::Word(Why::Fine)));
}

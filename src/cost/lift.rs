//! No piece is charged less of the rolls than its own plain area.
//!
//! Where a job just fills its rolls the programme has many best prices, and the one it ends at may
//! charge a piece less than its area, even nothing, and another many times its own. Steps: each
//! piece's floor is its area as a part of the rolls bought; what is charged below a floor is lifted to
//! it; what is charged above the floors is scaled down, so that the sum stays. The more of what is charged
//! above the floors lifting takes, the less the prices tell: from a third of it on what is left is shared partly by
//! area, in a straight line, and from two thirds on all of it, so that a hair more or less is never more than a
//! hair in any price. Whole numbers throughout, by largest remainders ([`spread`]).

use super::spread::spread;
use crate::units::Area;

/// By what the pieces of one thickness are shared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// By the programme's prices as they are.
    Prices,
    /// By the prices, those below a piece's area lifted to it.
    Lifted,
    /// Partly so and partly by area: the prices tell little.
    Blended,
    /// By area: the prices tell next to nothing.
    Area,
}

/// Like pieces and what the programme charges.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Charge {
    /// What one is charged.
    pub one: i128,
    /// The least that one may be charged.
    pub floor: i128,
    /// How many.
    pub quantity: i128,
}

impl Charge {
    fn least(&self) -> i128 {
        self.floor * self.quantity
    }

    /// What one lacks to its floor; a millionth of it is the last digits of floating point.
    fn lacks(&self) -> i128 {
        let short = self.floor - self.one;
        if short > self.floor / 1_000_000 + 1 { short } else { 0 }
    }
}

/// The least that a piece of such an area may be charged where `value` buys so much: rounded up, so
/// that the area of the charge, rounded down to square millimetres, is no less. Nothing where nothing
/// is bought.
#[must_use]
pub fn floor(area: Area, value: i128, bought: Area) -> i128 {
    let bought = bought.nm2() / MM2;
    if bought <= 0 || value <= 0 {
        return 0;
    }
    up(up(area.nm2().max(0), MM2) * value, bought)
}

/// Square nanometres of a square millimetre.
const MM2: i128 = 1_000_000_000_000;

fn up(number: i128, by: i128) -> i128 {
    (number + by - 1) / by
}

/// What all of each of the pieces are charged together, and by what; the sum is that of the charges
/// given. Where even that is less than the floors, as where other rolls than those bought are cheaper for their
/// area, each is charged its floor, if all may be charged so much (`most`); else its part by area.
#[must_use]
pub fn lifted(charges: &[Charge], most: i128) -> (Basis, Vec<i128>) {
    let given: Vec<i128> = charges.iter().map(|all| all.one * all.quantity).collect();
    let lifting: i128 = charges.iter().map(|all| all.lacks() * all.quantity).sum();
    if lifting == 0 {
        return (Basis::Prices, given);
    }
    let least: Vec<i128> = charges.iter().map(Charge::least).collect();
    let above: Vec<i128> =
        given.iter().zip(&least).map(|(all, least)| (all - least).max(0)).collect();
    let all: i128 = given.iter().sum();
    let floors = least.iter().sum::<i128>();
    let rest = all - floors;
    if rest < 0 {
        return (Basis::Area, if floors <= most { least } else { spread(all, &least) });
    }
    let surplus = above.iter().sum::<i128>();
    // By area nothing up to a third, all from two thirds on: 3 lifting - surplus, of surplus.
    let (by_area, of) = ((lifting * 3 - surplus).clamp(0, surplus), surplus.max(1));
    let (basis, more) = if by_area >= surplus {
        (Basis::Area, spread(rest, &least))
    } else if by_area == 0 {
        (Basis::Lifted, spread(rest, &above))
    } else {
        let part = part_of(rest, by_area, of);
        let both = spread(part, &least).into_iter().zip(spread(rest - part, &above));
        (Basis::Blended, both.map(|(area, price)| area + price).collect())
    };
    (basis, least.iter().zip(more).map(|(least, more)| least + more).collect())
}

/// `whole * part / of`, rounded to nearest, where the product may be beyond 128 bits: the first of two shares.
fn part_of(whole: i128, part: i128, of: i128) -> i128 {
    spread(whole, &[part, of - part]).first().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn charges(of: &[(i128, i128, i128)]) -> Vec<Charge> {
        of.iter().map(|&(one, floor, quantity)| Charge { one, floor, quantity }).collect()
    }

    #[test]
    fn a_floor_is_the_area_in_parts_of_the_rolls() {
        // By hand: 1.5 of 30 square metres, of one roll in a thousand parts, is 50.
        let m2 = |tenths: i128| Area::from_nm2(tenths * MM2 * 100_000);
        assert_eq!(floor(m2(15), 1000, m2(300)), 50);
        // One square millimetre of it is less than a part, and a part is the least.
        assert_eq!(floor(Area::from_nm2(1), 1000, m2(300)), 1);
        assert_eq!((floor(m2(15), 0, m2(300)), floor(m2(15), 1000, Area::ZERO)), (0, 0));
    }

    #[test]
    fn what_is_below_its_area_is_lifted_and_the_others_pay() {
        // By hand: nothing is below, the last digits apart.
        let as_is =
            lifted(&charges(&[(120, 100, 3), (100, 100, 2), (99_999_999, 100_000_000, 1)]), 0);
        assert_eq!(as_is, (Basis::Prices, vec![360, 200, 99_999_999]));
        // Two lack 10 each, 20 of the 60 + 20 above; the 60 left are 45 and 15.
        let some = lifted(&charges(&[(90, 100, 2), (130, 100, 2), (120, 100, 1)]), 0);
        assert_eq!(some, (Basis::Lifted, vec![200, 245, 115]));
        // A third is still by the prices: 60 left, by 45 and 45.
        let third = lifted(&charges(&[(70, 100, 1), (145, 100, 1), (145, 100, 1)]), 0);
        assert_eq!(third, (Basis::Lifted, vec![100, 130, 130]));
        // A half is half so: of the 60 left 30 by 100, 100 and 100, and 30 by 60 and 60.
        let half = lifted(&charges(&[(40, 100, 1), (160, 100, 1), (160, 100, 1)]), 0);
        assert_eq!(half, (Basis::Blended, vec![110, 125, 125]));
        // From two thirds on there are no prices: 30 by 100, 100 and 100.
        let most = lifted(&charges(&[(40, 100, 1), (145, 100, 1), (145, 100, 1)]), 0);
        assert_eq!(most, (Basis::Area, vec![110, 110, 110]));
    }

    #[test]
    fn a_hair_more_to_be_lifted_is_a_hair_in_every_price() {
        // Of three floors of 1000 all that may be lacking, step by step, where 1000 and 2000 are above two others.
        let at =
            |one: i128| lifted(&charges(&[(one, 1000, 3), (2000, 1000, 1), (3000, 1000, 1)]), 0);
        let mut bases = std::collections::BTreeSet::new();
        let mut before = at(0).1;
        for one in 1..1000 {
            let (basis, now) = at(one);
            bases.insert(format!("{basis:?}"));
            for (now, before) in now.iter().zip(&before) {
                // Three more to go round, and a slope of at most three of what is left, 2000, of 3000 above.
                assert!((now - before).abs() <= 3 + 9 + 2, "{one}: {now} {before}");
            }
            before = now;
        }
        let bases: Vec<&str> = bases.iter().map(String::as_str).collect();
        assert_eq!(bases, ["Area", "Blended", "Lifted", "Prices"]);
    }

    #[test]
    fn one_roll_that_all_just_fill_is_shared_by_area() {
        // By hand: elbows at nothing, pipe at all of it; both take 1000 / 900 of their area.
        let filled = lifted(&charges(&[(0, 11, 80), (50, 1, 20)]), 0);
        assert_eq!(filled, (Basis::Area, vec![978, 22]));
        // Where all together is less than the area, too, as where offcuts are valued at less.
        let less = |most: i128| lifted(&charges(&[(0, 100, 2), (100, 100, 1)]), most);
        assert_eq!(less(299), (Basis::Area, vec![67, 33]));
        // But where what is bought comes to more, each is charged its area.
        assert_eq!(less(300), (Basis::Area, vec![200, 100]));
    }

    proptest::proptest! {
        #[test]
        fn the_sum_is_kept_and_nothing_is_below(
            of in proptest::collection::vec((0_i128..2_000_000_000, 1_i128..1_000_000_000, 1_i128..50), 1..30),
        ) {
            let charges = charges(&of);
            let sum: i128 = charges.iter().map(|all| all.one * all.quantity).sum();
            let least: i128 = charges.iter().map(Charge::least).sum();
            let (basis, shares) = lifted(&charges, 0);
            proptest::prop_assert_eq!(shares.iter().sum::<i128>(), sum);
            let below = charges.iter().any(|all| all.lacks() > 0);
            proptest::prop_assert_eq!(basis == Basis::Prices, !below);
            for (all, share) in charges.iter().zip(&shares) {
                match basis {
                    Basis::Prices => proptest::prop_assert_eq!(*share, all.one * all.quantity),
                    // Lifted never raises what stood above.
                    Basis::Lifted => proptest::prop_assert!(
                        *share >= all.least() && *share <= (all.one.max(all.floor)) * all.quantity
                    ),
                    Basis::Blended => proptest::prop_assert!(*share >= all.least()),
                    Basis::Area => proptest::prop_assert!(sum < least || *share >= all.least()),
                }
            }
        }
    }
}

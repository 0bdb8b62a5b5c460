//! What is left, made worth more: one long roll end rather than many short ones.
//!
//! The engine makes rolls few or cheap and does not care which of them is left with what. Pulls may
//! move between rolls of one width. An end counts its width times the square of its length, if it
//! is worth keeping, and so does an offcut of the shelf that stays there whole; so one long end is
//! worth more than two that are together as long. Steps: of the rolls with the longest ends, move a
//! pull to another roll, or change it for a shorter one of another roll, wherever that makes all
//! ends together worth more; go on until nothing does, or the work is done. A roll that is emptied
//! is not bought.
//!
//! Where a job goes on from an earlier plan, rests and offcuts come first: before that, the emptiest of all
//! other rolls gives them what pulls they hold, so that its end, or all of it, is left in their place; then
//! the next that is emptiest, as long as one is emptied.

use super::{Layouts, far_side};
use crate::cutting::Objective;
use crate::nest;
use crate::plan::wanted::{Hand, Roll, Wanted};
use crate::units::Length;
use std::cmp::Reverse;

/// Changes that are looked at before the search ends.
const WORK: u64 = 2_000_000;
/// So many rolls with the longest ends give pulls away.
const GIVERS: usize = 4;

/// One roll by itself.
struct Bin {
    /// Index into the order sheet's rolls.
    product: usize,
    /// Room for pulls, each with the gap behind it.
    room: Length,
    rest: Length,
    pulls: Vec<nest::Pull>,
    /// Whether its pulls may be moved.
    free: bool,
}

/// The layouts with their ends gathered.
pub(super) fn gathered(wanted: &Wanted, layouts: &Layouts) -> Layouts {
    let cutting = &wanted.cutting;
    let mut bins: Vec<Bin> = Vec::new();
    for layout in layouts {
        let roll = &wanted.rolls[layout.roll];
        let first = layout.pulls.first().map_or(cutting.square_cut, |p| p.y);
        let spaced = super::order::spacing(cutting, &layout.pulls) == Some(cutting.gap)
            || layout.pulls.len() == 1;
        let free = spaced && first == cutting.square_cut;
        let room = roll.length.map(|length| length - cutting.square_cut + cutting.gap);
        let (Some(room), true) = (room, free) else {
            for _ in 0..layout.copies {
                let (pulls, room) = (layout.pulls.clone(), Length::ZERO);
                let product = layout.roll;
                bins.push(Bin { product, room, rest: Length::ZERO, pulls, free: false });
            }
            continue;
        };
        let used: Length = layout.pulls.iter().map(|p| p.length + cutting.gap).sum();
        for _ in 0..layout.copies {
            let (product, rest, pulls) = (layout.roll, room - used, layout.pulls.clone());
            bins.push(Bin { product, room, rest, pulls, free: true });
        }
    }
    begun_first(wanted, &mut bins);
    let mut gathering = Gathering { wanted, bins, work: WORK };
    while gathering.step() {}
    let laid = gathering.bins.into_iter().filter(|bin| !bin.pulls.is_empty());
    laid.map(|bin| nest::Layout {
        roll: bin.product,
        copies: 1,
        pulls: if bin.free { super::laid(cutting, bin.pulls.iter()) } else { bin.pulls },
    })
    .collect()
}

/// Fills rests and offcuts of a job that goes on from the emptiest of the other rolls.
fn begun_first(wanted: &Wanted, bins: &mut Vec<Bin>) {
    let cutting = &wanted.cutting;
    for (product, roll) in wanted.rolls.iter().enumerate() {
        let (Hand::Begun, Some(length)) = (roll.hand, roll.length) else { continue };
        let used = bins.iter().filter(|bin| bin.product == product).count() as u64;
        let room = length - cutting.square_cut + cutting.gap;
        for _ in used..roll.available.unwrap_or(0) {
            bins.push(Bin { product, room, rest: room, pulls: Vec::new(), free: true });
        }
    }
    let begun = |bin: &Bin| wanted.rolls[bin.product].hand == Hand::Begun;
    let mut to: Vec<usize> =
        (0..bins.len()).filter(|&at| bins[at].free && begun(&bins[at])).collect();
    to.sort_by_key(|&at| (bins[at].rest, at));
    let mut from: Vec<usize> =
        (0..bins.len()).filter(|&at| bins[at].free && !begun(&bins[at])).collect();
    from.sort_by_key(|&at| (bins[at].room - bins[at].rest, at));
    for giver in from.into_iter().filter(|_| !to.is_empty()) {
        for &taker in &to {
            while let Some(at) = longest(wanted, &bins[giver], &bins[taker]) {
                let pull = bins[giver].pulls.remove(at);
                let length = pull.length + cutting.gap;
                bins[giver].rest += length;
                bins[taker].rest -= length;
                bins[taker].pulls.push(pull);
            }
        }
        if !bins[giver].pulls.is_empty() {
            break;
        }
    }
}

/// The longest pull of one roll that another has room for.
fn longest(wanted: &Wanted, giver: &Bin, taker: &Bin) -> Option<usize> {
    let width = wanted.rolls[taker.product].width - wanted.cutting.edge_trim;
    let fits = |pull: &nest::Pull| {
        pull.length + wanted.cutting.gap <= taker.rest
            && far_side(wanted, std::slice::from_ref(pull)) <= width
    };
    let fitting = (0..giver.pulls.len()).filter(|&at| fits(&giver.pulls[at]));
    fitting.max_by_key(|&at| (giver.pulls[at].length, Reverse(at)))
}

/// What so long an end is worth: one long one more than two that are together as long.
pub(super) fn end_worth(roll: &Roll, length: Length) -> i128 {
    let millimetres = i128::from(length.nm() / 1000);
    i128::from(roll.width.nm() / 1000) * millimetres * millimetres
}

/// What so long an end of a roll that is cut is worth: nothing where it is not kept.
pub(super) fn kept_worth(wanted: &Wanted, roll: &Roll, length: Length) -> i128 {
    if wanted.keep.worth(roll.width, length) { end_worth(roll, length) } else { 0 }
}

/// To which roll, which of the giver's pulls, for which of the other's.
type Change = (usize, usize, Option<usize>);

struct Gathering<'a> {
    wanted: &'a Wanted,
    bins: Vec<Bin>,
    work: u64,
}

impl Gathering<'_> {
    /// What an end of this length is worth; of an empty roll its whole length, which is kept for
    /// certain where it lies on the shelf, and not bought where it would be. Where the order was chosen by its price,
    /// spares included, none of its rolls is to be emptied: another may get the spares then.
    fn worth(&self, bin: &Bin, rest: Length) -> i128 {
        let roll = &self.wanted.rolls[bin.product];
        let worth = |length: Length| end_worth(roll, length);
        let empty = rest == bin.room;
        let length = rest - self.wanted.cutting.gap.min(rest);
        let settled = self.wanted.objective == Objective::Price && self.wanted.charges.spares() > 0;
        match (empty, roll.shelf) {
            (true, false) if settled => 0,
            (true, false) => i128::MAX / 4,
            (true, true) if roll.hand == Hand::Whole => i128::MAX / 4,
            (true, true) => roll.length.map_or(0, worth),
            (false, _) => kept_worth(self.wanted, roll, length),
        }
    }

    /// What is gained when `moved` goes from one roll to another.
    fn gain(&self, from: usize, to: usize, moved: Length) -> i128 {
        let (a, b) = (&self.bins[from], &self.bins[to]);
        let after = self.worth(a, a.rest + moved) + self.worth(b, b.rest - moved);
        after - self.worth(a, a.rest) - self.worth(b, b.rest)
    }

    /// Makes one change for the better; false where there is none.
    fn step(&mut self) -> bool {
        let mut givers: Vec<usize> = (0..self.bins.len())
            .filter(|&at| self.bins[at].free && !self.bins[at].pulls.is_empty())
            .collect();
        givers.sort_by_key(|&at| (Reverse(self.bins[at].rest), at));
        let most = givers.len().min(GIVERS);
        for &from in &givers[..most] {
            if let Some((to, own, other)) = self.best_of(from, &givers) {
                self.change(from, to, own, other);
                return true;
            }
        }
        false
    }

    /// The best change for one giver: to which roll, which of its pulls, for which of the other's.
    fn best_of(&mut self, from: usize, rolls: &[usize]) -> Option<Change> {
        let gap = self.wanted.cutting.gap;
        let width = self.wanted.rolls[self.bins[from].product].width;
        let mut best: Option<(i128, Change)> = None;
        'scan: for &to in rolls {
            if to == from || self.wanted.rolls[self.bins[to].product].width != width {
                continue;
            }
            let others = std::iter::once(None).chain((0..self.bins[to].pulls.len()).map(Some));
            for other in others {
                for own in 0..self.bins[from].pulls.len() {
                    // Where the work ends here, what was found so far still counts.
                    let Some(left) = self.work.checked_sub(1) else { break 'scan };
                    self.work = left;
                    let back =
                        other.map_or(Length::ZERO, |at| self.bins[to].pulls[at].length + gap);
                    let moved = self.bins[from].pulls[own].length + gap - back;
                    if !moved.is_positive() || moved > self.bins[to].rest {
                        continue;
                    }
                    let gain = self.gain(from, to, moved);
                    if gain > 0 && best.as_ref().is_none_or(|(most, _)| gain > *most) {
                        best = Some((gain, (to, own, other)));
                    }
                }
            }
        }
        best.map(|(_, change)| change)
    }

    fn change(&mut self, from: usize, to: usize, own: usize, other: Option<usize>) {
        let gap = self.wanted.cutting.gap;
        let pull = self.bins[from].pulls.remove(own);
        let mut moved = pull.length + gap;
        if let Some(other) = other {
            let back = self.bins[to].pulls.remove(other);
            moved -= back.length + gap;
            self.bins[from].pulls.push(back);
        }
        self.bins[to].pulls.push(pull);
        self.bins[from].rest += moved;
        self.bins[to].rest -= moved;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::sample;
    use crate::plan::wanted::{Charges, sample as order};

    /// A job that goes on: two whole rolls hold 8 m and 4 m, a rest of 5 m and a narrow one lie there. By hand,
    /// the emptier roll gives the rest its 4 m, and is not begun; no pull fits the narrow one. Then one end of 3 m
    /// on the rest is worth more than 2 m on the whole roll and 1 m there, so one pull moves on.
    #[test]
    fn rests_come_before_whole_rolls() {
        let mm = Length::from_mm;
        let roll = |id: &str, size: (i64, i64), available: u64, hand: Hand| Roll {
            available: Some(available),
            shelf: true,
            hand,
            ..order::roll(id, size)
        };
        let rolls = vec![
            roll("whole", (1000, 10_000), 2, Hand::Whole),
            roll("rest", (1000, 5_000), 1, Hand::Begun),
            roll("narrow", (899, 5_000), 1, Hand::Begun),
        ];
        let wanted = order::sheet(rolls, vec![order::piece("A1", (900, 2000), 6)]);
        let pull = |at: i64| {
            let (x, y) = (Length::ZERO, mm(at * 2000));
            let turn = crate::units::Angle::ZERO;
            let placements = vec![nest::Placement { piece: 0, x, y, turn }];
            nest::Pull { y, length: mm(2000), placements }
        };
        let layout =
            |pulls: i64| nest::Layout { roll: 0, copies: 1, pulls: (0..pulls).map(pull).collect() };
        let laid = gathered(&wanted, &vec![layout(4), layout(2)]);
        let told: Vec<(usize, usize)> = laid.iter().map(|l| (l.roll, l.pulls.len())).collect();
        assert_eq!(told, [(0, 5), (1, 1)]);
        // Where nothing goes on, rolls stay as they are.
        let mut first = wanted;
        first.rolls.iter_mut().for_each(|roll| roll.hand = Hand::Any);
        let laid = gathered(&first, &vec![layout(4), layout(2)]);
        assert!(laid.iter().all(|l| l.roll == 0));
    }

    #[test]
    fn the_best_change_counts_though_the_work_ends_behind_it() {
        let mm = Length::from_mm;
        let wanted = order::sheet(vec![order::roll("R", (1000, 10_000))], Vec::new());
        // Two rolls with 4 m left of each, three and two pulls: a pull of 2 m that moves makes 6 m
        // and 2 m of them.
        let bin = |lengths: &[i64]| Bin {
            product: 0,
            room: mm(10_000),
            rest: mm(10_000 - lengths.iter().sum::<i64>()),
            pulls: lengths
                .iter()
                .map(|&l| nest::Pull { y: Length::ZERO, length: mm(l), placements: Vec::new() })
                .collect(),
            free: true,
        };
        for work in [1, 2, WORK] {
            let bins = vec![bin(&[2000, 2000, 2000]), bin(&[3000, 3000])];
            let mut gathering = Gathering { wanted: &wanted, bins, work };
            assert_eq!(gathering.best_of(0, &[0, 1]), Some((1, 0, None)), "{work}");
        }
    }

    /// By hand: both pieces fit one roll of 500 mm, and the other is not bought; but where the price was to be least and
    /// spares are bought by how many are cut, the order stays as it was chosen.
    #[test]
    fn a_roll_that_the_spares_hang_on_is_not_emptied() {
        let text = r#"{ "name": "a", "objective": "price", "cutting": { "style": "straight" },
            "rolls": [ { "id": "A", "width": 100, "length": 500, "price": 1 } ],
            "pieces": [ { "id": "p", "width": 80, "length": 40, "quantity": 2 } ] }"#;
        let place = nest::Placement {
            piece: 0,
            x: Length::ZERO,
            y: Length::ZERO,
            turn: crate::units::Angle::ZERO,
        };
        let pulls = vec![nest::Pull {
            y: Length::ZERO,
            length: Length::from_mm(40),
            placements: vec![place],
        }];
        let two = vec![nest::Layout { roll: 0, copies: 2, pulls }];
        let mut wanted = Wanted::from(&sample::instance(text));
        let rolls = |charges: Charges, wanted: &mut Wanted| {
            wanted.charges = charges;
            gathered(wanted, &two).iter().map(|layout| layout.copies).sum::<u64>()
        };
        assert_eq!(
            [Charges::Listed, Charges::Terms].map(|charges| rolls(charges, &mut wanted)),
            [1, 1]
        );
        assert_eq!(rolls(Charges::Spares(1), &mut wanted), 2);
        wanted.objective = Objective::Rolls;
        assert_eq!(rolls(Charges::Spares(1), &mut wanted), 1);
    }

    /// By hand: behind an edge trim of 10 mm a piece of 80 ends at 90 mm, where a roll of 95 mm ends at 85.
    #[test]
    fn a_pull_moves_to_no_roll_whose_trim_it_would_reach_into() {
        let text = r#"{ "name": "a", "objective": "rolls", "cutting": { "style": "straight", "edge_trim": 10 },
            "rolls": [ { "id": "A", "width": 100, "length": 500 }, { "id": "B", "width": 95, "length": 500 } ],
            "pieces": [ { "id": "p", "width": 80, "length": 40, "quantity": 1 } ] }"#;
        let wanted = Wanted::from(&sample::instance(text));
        let place = nest::Placement {
            piece: 0,
            x: Length::from_mm(10),
            y: Length::ZERO,
            turn: crate::units::Angle::ZERO,
        };
        let pull =
            nest::Pull { y: Length::ZERO, length: Length::from_mm(40), placements: vec![place] };
        let bin = |product: usize, pulls: &[nest::Pull]| {
            let (room, pulls) = (Length::from_mm(500), pulls.to_vec());
            Bin { product, room, rest: room, pulls, free: true }
        };
        let giver = bin(0, &[pull]);
        assert_eq!([0, 1].map(|taker| longest(&wanted, &giver, &bin(taker, &[]))), [Some(0), None]);
    }
}

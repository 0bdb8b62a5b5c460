//! Less blanket on as many rolls.
//!
//! Where rolls or their prices count, a search ends as soon as no fewer will do, and what it draws off them is as it
//! came. So what lies on rolls of one width is nested once more by the length it takes, and the pulls are packed on the
//! same rolls; where they do not go on all of them, on the emptier half of these, and so on down to the emptiest.

use super::answer::value;
use super::one::{self, Bin, Problem};
use super::watch::{Hushed, Share};
use super::{Instance, Layout, Nesting, Options, Piece, Pull, Roll, Status, Watch};
use super::{bars, made, solve, used};
use crate::cutting::Objective;
use crate::units::{Length, Money};
use std::collections::BTreeMap;

/// One part in so many of the work goes into it, and no more than this: a hundred times as much saved next to nothing more.
const SHARE: u64 = 10;
const MOST: u64 = 50_000;
/// Of more pieces than these, all pulls one by one would take too much room.
const PIECES: u64 = 100_000;
/// Less than one part in so many of what is drawn off is not worth another answer.
const WORTH: i128 = 200;

/// The same rolls with less drawn off them, or the answer that there is.
#[must_use]
pub fn drawn_less(
    instance: &Instance,
    nesting: Nesting,
    options: &Options,
    watch: &dyn Watch,
) -> Nesting {
    let counted = instance.objective != Objective::Length && instance.demand() <= PIECES;
    if !counted || bars::takes(instance) || nesting.status != Status::Proven {
        return nesting;
    }
    let share = Share::of(watch, 1, SHARE);
    let mut widths: Vec<Length> =
        nesting.layouts.iter().map(|layout| instance.rolls[layout.roll].width).collect();
    widths.sort_unstable();
    widths.dedup();
    let work = (options.work / SHARE).min(MOST) / (widths.len() as u64).max(1);
    let search = Search { instance, options: Options { work, ..*options }, watch: &share };
    let mut spare = made(&nesting.layouts, instance.pieces.len());
    for (spare, piece) in spare.iter_mut().zip(&instance.pieces) {
        *spare = spare.saturating_sub(piece.quantity);
    }
    let mut layouts = Vec::new();
    for width in widths {
        let on_width = nesting.layouts.iter().filter(|l| instance.rolls[l.roll].width == width);
        layouts.extend(search.less(on_width.cloned().collect(), &mut spare));
    }
    Nesting { layouts, ..nesting }
}

struct Search<'a> {
    instance: &'a Instance,
    options: Options,
    watch: &'a Share<'a>,
}

impl Search<'_> {
    /// Rolls of one width with less drawn off them; `spare` is what all hold beyond what is wanted.
    fn less(&self, mut layouts: Vec<Layout>, spare: &mut [u64]) -> Vec<Layout> {
        layouts.sort_by_key(Layout::far_end);
        let mut many = copies(&layouts);
        let mut tried = self.options;
        while many > 0 && !self.watch.stop() {
            let (few, rest) = split(&layouts, many);
            if self.full(&few) {
                break;
            }
            let mut kept = spare.to_vec();
            match self.anew(&few, &mut kept, &tried) {
                Anew::Less(mut less) => {
                    spare.copy_from_slice(&kept);
                    less.extend(rest);
                    return less;
                }
                Anew::NotLess => break,
                Anew::DoesNotFit => many /= 2,
            }
            tried.work = (tried.work / 2).max(1);
        }
        layouts
    }

    /// Whether pieces fill what is drawn off so far that nothing is to be won.
    fn full(&self, layouts: &[Layout]) -> bool {
        let on = made(layouts, self.instance.pieces.len());
        let one = |(piece, &n): (&Piece, &u64)| piece.area().nm2().saturating_mul(i128::from(n));
        let area: i128 =
            self.instance.pieces.iter().zip(&on).map(one).fold(0, i128::saturating_add);
        let cutting = &self.instance.cutting;
        let one = |layout: &Layout| {
            let usable = self.instance.rolls[layout.roll].width - cutting.edge_trim * 2;
            let long = i128::from((layout.far_end() - cutting.square_cut).nm());
            (long * i128::from(usable.nm())).saturating_mul(i128::from(layout.copies))
        };
        let drawn = layouts.iter().map(one).fold(0, i128::saturating_add);
        drawn - area <= drawn / WORTH
    }

    /// What lies on these rolls by the least length, packed on the same ones.
    fn anew(&self, layouts: &[Layout], spare: &mut [u64], options: &Options) -> Anew {
        let Some(pulls) = self.pulls(layouts, spare, options) else { return Anew::NotLess };
        let instance = self.instance;
        let worth = |now: i128, before: i128| before - now > before / WORTH;
        let (gap, front) = (instance.cutting.gap, instance.cutting.square_cut);
        let sum: Length = pulls.iter().map(|pull| pull.length + gap).sum();
        let fronts = i128::from((front - gap).nm()) * i128::from(copies(layouts));
        if !worth(i128::from(sum.nm()) + fronts, drawn(layouts)) {
            return Anew::NotLess;
        }
        let Some(packed) = self.packed(pulls, layouts, options) else { return Anew::DoesNotFit };
        // Spares hang on how many of each product are bought.
        let count = |layouts: &[Layout]| -> Vec<u64> {
            let all = used(layouts, instance.rolls.len()).into_iter().zip(&instance.rolls);
            all.filter(|(_, roll)| roll.price > Money::ZERO).map(|(count, _)| count).collect()
        };
        let same = instance.objective == Objective::Rolls || count(&packed) == count(layouts);
        let cheap = value(instance, &packed) <= value(instance, layouts);
        let less = same && cheap && worth(drawn(&packed), drawn(layouts));
        if less { Anew::Less(packed) } else { Anew::DoesNotFit }
    }

    /// Pulls with what lies on these rolls, by the least length.
    fn pulls(&self, layouts: &[Layout], spare: &mut [u64], options: &Options) -> Option<Vec<Pull>> {
        let instance = self.instance;
        let mut on = made(layouts, instance.pieces.len());
        for (on, spare) in on.iter_mut().zip(spare.iter_mut()) {
            let drop = (*on).min(*spare);
            *on -= drop;
            *spare -= drop;
        }
        let kept: Vec<usize> = (0..on.len()).filter(|&at| on[at] > 0).collect();
        let pieces =
            kept.iter().map(|&at| Piece { quantity: on[at], ..instance.pieces[at].clone() });
        let cut = &instance.cutting;
        let long = |layout: &Layout| instance.rolls[layout.roll].length;
        let longest = layouts.iter().filter_map(long).max()? - cut.square_cut;
        let one =
            Roll { length: None, available: None, ..instance.rolls[layouts.first()?.roll].clone() };
        let mut strip = Instance {
            name: instance.name.clone(),
            rolls: vec![one],
            pieces: pieces.collect(),
            cutting: cut.clone(),
            objective: Objective::Length,
            published: None,
        };
        strip.cutting.pull_limit = cut.pull_limit.into_iter().chain([longest]).min();
        let found = solve(&strip, options, &Hushed(self.watch)).ok()?;
        let pulls = found.layouts.into_iter().flat_map(|layout| layout.pulls);
        let back = |mut pull: Pull| {
            pull.placements.iter_mut().for_each(|place| place.piece = kept[place.piece]);
            pull
        };
        Some(pulls.map(back).collect())
    }

    /// Pulls on rolls as many as these of each kind, or fewer.
    fn packed(&self, pulls: Vec<Pull>, rolls: &[Layout], options: &Options) -> Option<Vec<Layout>> {
        let (instance, cut) = (self.instance, &self.instance.cutting);
        let mut like: BTreeMap<Length, Vec<Pull>> = BTreeMap::new();
        for pull in pulls {
            like.entry(pull.length).or_default().push(pull);
        }
        let many = used(rolls, instance.rolls.len());
        let kinds: Vec<usize> = (0..many.len()).filter(|&kind| many[kind] > 0).collect();
        let bin = |&kind: &usize| {
            let roll = &instance.rolls[kind];
            let size = (roll.length? - cut.square_cut + cut.gap).nm();
            let cost = roll.cost(instance.objective);
            Some(Bin { size, cost, available: Some(many[kind]) })
        };
        let bins: Option<Vec<Bin>> = kinds.iter().map(bin).collect();
        let item =
            |(length, pulls): (&Length, &Vec<Pull>)| ((*length + cut.gap).nm(), pulls.len() as u64);
        let problem = Problem { bins: bins?, items: like.iter().map(item).collect() };
        let answer = one::solve(&problem, options, &Hushed(self.watch)).ok()?;
        let mut like: Vec<Vec<Pull>> = like.into_values().collect();
        let mut layouts = Vec::new();
        for pattern in answer.patterns {
            for _ in 0..pattern.copies {
                let (mut y, mut on) = (cut.square_cut, Vec::new());
                for &(item, many) in &pattern.items {
                    for _ in 0..many {
                        let pull = like[item].pop()?;
                        on.push(pull.moved(y - pull.y));
                        y += pull.length + cut.gap;
                    }
                }
                layouts.push(Layout { roll: kinds[pattern.bin], copies: 1, pulls: on });
            }
        }
        Some(layouts)
    }
}

/// What comes of laying anew.
enum Anew {
    Less(Vec<Layout>),
    NotLess,
    DoesNotFit,
}

/// How much is drawn off rolls.
fn drawn(layouts: &[Layout]) -> i128 {
    let one = |l: &Layout| i128::from(l.far_end().nm()).saturating_mul(i128::from(l.copies));
    layouts.iter().map(one).fold(0, i128::saturating_add)
}

fn copies(layouts: &[Layout]) -> u64 {
    layouts.iter().map(|layout| layout.copies).fold(0, u64::saturating_add)
}

/// The first so many rolls of layouts, and the others.
fn split(layouts: &[Layout], mut many: u64) -> (Vec<Layout>, Vec<Layout>) {
    let (mut few, mut rest) = (Vec::new(), Vec::new());
    for layout in layouts {
        let here = layout.copies.min(many);
        many -= here;
        for (to, copies) in [(&mut few, here), (&mut rest, layout.copies - here)] {
            if copies > 0 {
                to.push(Layout { copies, ..layout.clone() });
            }
        }
    }
    (few, rest)
}

#[cfg(test)]
mod tests {
    use super::super::{Quiet, sample};
    use super::*;

    fn instance(rolls: &str, pieces: &str) -> Instance {
        sample::instance(&format!(
            r#"{{ "name": "a", "objective": "rolls", "cutting": {{ "style": "straight", "stages": 2 }},
                "rolls": [ {rolls} ], "pieces": [ {pieces} ] }}"#
        ))
    }

    fn millimetres(layouts: &[Layout]) -> i64 {
        layouts
            .iter()
            .map(|l| l.far_end().nm() / 1_000_000 * i64::try_from(l.copies).unwrap())
            .sum()
    }

    /// By hand: three pieces of 396 x 726 mm lie across 1500 mm in a pull of 726, 242 mm a piece, or two turned ones in a
    /// pull of 396, 198 mm a piece. 110 of them have more area than two rolls, and three do either way.
    #[test]
    fn as_many_rolls_with_less_drawn_off_them() {
        let instance = instance(
            r#"{ "id": "R", "width": 1500, "length": 10000 }"#,
            r#"{ "id": "p", "width": 396, "length": 726, "quantity": 110, "turns": [0, 90] }"#,
        );
        let options = Options { seed: 1, work: 1_000_000 };
        let first = solve(&instance, &options, &Quiet).unwrap();
        assert_eq!((first.value, first.status), (3, Status::Proven));
        assert!(millimetres(&first.layouts) > 21_780);
        let less = drawn_less(&instance, first.clone(), &options, &Quiet);
        assert_eq!((less.value, less.status), (3, Status::Proven));
        assert_eq!(millimetres(&less.layouts), 55 * 396);
        assert_eq!(made(&less.layouts, 1), [110]);
        // What stands for a longer search is left as it is.
        let open = Nesting { status: Status::Feasible, ..first };
        assert_eq!(drawn_less(&instance, open.clone(), &options, &Quiet), open);
    }

    /// By hand, rolls of 1000 mm: a roll of 800 and one of 600 are full of strips as wide as they are; of the rest the two
    /// pieces of 400 x 500 lie beside one another in 500, not behind one another in 1000.
    #[test]
    fn only_the_emptier_rolls_where_not_all_can_be_laid_anew() {
        let place = |piece, x, y| super::super::Placement {
            piece,
            x: Length::from_mm(x),
            y: Length::from_mm(y),
            turn: crate::units::Angle::ZERO,
        };
        let pull = |y, length, placements| {
            let (y, length) = (Length::from_mm(y), Length::from_mm(length));
            Pull { y, length, placements }
        };
        let instance = instance(
            r#"{ "id": "R", "width": 1000, "length": 1000 }"#,
            r#"{ "id": "a", "width": 1000, "length": 800, "quantity": 1, "turns": [0] },
               { "id": "b", "width": 400, "length": 500, "quantity": 2, "turns": [0] }"#,
        );
        let layouts = vec![
            Layout { roll: 0, copies: 1, pulls: vec![pull(0, 800, vec![place(0, 0, 0)])] },
            Layout {
                roll: 0,
                copies: 1,
                pulls: vec![
                    pull(0, 500, vec![place(1, 0, 0)]),
                    pull(500, 500, vec![place(1, 0, 500)]),
                ],
            },
        ];
        let nesting = Nesting { status: Status::Proven, ..Nesting::known(&instance, layouts) };
        let options = Options { seed: 1, work: 1_000_000 };
        let less = drawn_less(&instance, nesting, &options, &Quiet);
        assert_eq!(millimetres(&less.layouts), 1_300);
        assert_eq!(made(&less.layouts, 2), [1, 2]);
    }
}

//! A dozen pieces, or some more of few sizes, exactly: straight cuts in two, three or any number of stages, rolls of any
//! kinds.
//!
//! Over all sets `s` of the pieces (like pieces are one class, so a set is a count of each):
//!
//! ```text
//!   pull_w(s)  = least length of a pull of width w that holds s               (fronts)
//!   chain_w(s) = min over t within s of  pull_w(t) + chain_w(s - t)
//!   cost_k(s)  = min over t with chain(t) on roll k of  price_k + cost(s - t),  roll by roll
//! ```
//!
//! Large searches reach the optimum of such instances only by luck, as their prices promise fractions of
//! rolls; where limited rolls just hold the pieces, they may find nothing.

mod fronts;
mod states;

use super::{Basis, Instance, Layout, NestError, Nesting, Options, Placement, Pull, Status, Watch};
use crate::cutting::{Objective, Style, Turns};
use crate::units::{Angle, Length};
use fronts::{Blocks, How, Lie, Matter, Part};
use states::States;
use std::collections::BTreeMap;

/// More pieces than this are too many where most differ.
const PIECES: u64 = 14;
/// Ways to take some pieces and some of these, for each roll that is looked at; more are too many.
const PAIRS: u64 = 20_000_000;
/// More sets of pieces than this are too many.
const SETS: usize = 4_096;
/// More rolls of one kind are never needed, nor more kinds looked at.
const KINDS: usize = 64;
/// Blocks that are made at most, for each step of work that is allowed.
const BLOCKS: u64 = 20;
/// And never more than this.
const MOST: u64 = 20_000_000;

/// Whether an instance is so small.
pub(super) fn takes(instance: &Instance) -> bool {
    let plain = |p: &super::Piece| p.outline.is_none() && p.turns != Turns::Any;
    let all = instance.demand();
    let few = || {
        // Of `n` like pieces there are `n + 1` sets, and `(n + 1) (n + 2) / 2` of a set and a part of it.
        let ways = |n: u64| n.saturating_add(1).saturating_mul(n.saturating_add(2)) / 2;
        let pairs =
            instance.pieces.iter().fold(1, |all: u64, p| all.saturating_mul(ways(p.quantity)));
        let copies = |roll: &super::Roll| roll.available.unwrap_or(all).min(all);
        let rolls = instance.rolls.iter().map(copies).fold(0, u64::saturating_add);
        pairs.saturating_mul(rolls) <= PAIRS
    };
    instance.cutting.style == Style::Straight
        && (all <= PIECES || few())
        && instance.rolls.len() <= KINDS
        && instance.pieces.iter().all(plain)
}

/// The least of all answers to an instance that it takes, with its proof; nothing where the pieces make too
/// many sets, or the work allowed is too little.
///
/// # Errors
/// When the rolls on hand hold less than the pieces.
pub(super) fn solve(
    instance: &Instance,
    options: &Options,
    watch: &dyn Watch,
) -> Option<Result<Nesting, NestError>> {
    let few = Few::new(instance)?;
    let mut left = options.work.saturating_mul(BLOCKS).min(MOST);
    let stages = instance.cutting.stages;
    let matter = Matter { states: &few.states, lies: &few.lies, most: few.most };
    let blocks = matter.blocks(stages, &mut left)?;
    if watch.stop() {
        return None;
    }
    let chains: Vec<Chain> = few.widths.iter().map(|&width| few.chain(&blocks, width)).collect();
    Some(if instance.objective == Objective::Length {
        few.shortest(&blocks, &chains)
    } else {
        few.cheapest(&blocks, &chains)
    })
}

/// Pieces that are alike.
struct Class {
    size: [i64; 2],
    upright: Option<Angle>,
    sideways: Option<Angle>,
    /// The pieces, each as often as wanted.
    members: Vec<usize>,
}

/// A kind of roll: which of the widths it has, its length with the gap behind the last piece, its price,
/// and how many can be of use.
struct Kind {
    roll: usize,
    width: usize,
    length: i64,
    price: i64,
    copies: usize,
}

/// By set of pieces: the least length that holds it, and which part lies in the first pull.
type Chain = Vec<Option<(i64, usize)>>;

struct Few<'a> {
    instance: &'a Instance,
    classes: Vec<Class>,
    lies: Vec<Vec<Lie>>,
    states: States,
    widths: Vec<i64>,
    kinds: Vec<Kind>,
    /// No block is wider or longer; none is longer than a pull may be.
    most: [i64; 2],
}

impl<'a> Few<'a> {
    fn new(instance: &'a Instance) -> Option<Self> {
        let classes = classes(instance);
        let most: Vec<usize> = classes.iter().map(|class| class.members.len()).collect();
        let states = States::new(&most, SETS)?;
        let gap = instance.cutting.gap.nm();
        let lies: Vec<Vec<Lie>> = classes.iter().map(|class| class.lies(gap)).collect();
        let pieces: usize = most.iter().sum();
        let pull = instance.cutting.pull_limit.map_or(i64::MAX, |limit| limit.nm() + gap);
        let usable = |width: Length| width.nm() - 2 * instance.cutting.edge_trim.nm() + gap;
        let mut widths: Vec<i64> = instance.rolls.iter().map(|roll| usable(roll.width)).collect();
        widths.sort_unstable();
        widths.dedup();
        let mut kinds = Vec::new();
        for (k, roll) in instance.rolls.iter().enumerate() {
            let price = roll.cost(instance.objective);
            let front = instance.cutting.square_cut.nm();
            let length = roll.length.map_or(i64::MAX, |length| length.nm() - front + gap);
            let width = widths.binary_search(&usable(roll.width)).ok()?;
            let available = roll.available.and_then(|n| usize::try_from(n).ok());
            let copies = available.unwrap_or(pieces).min(pieces);
            kinds.push(Kind { roll: k, width, length, price, copies });
        }
        let longest = kinds.iter().map(|kind| kind.length).max()?.min(pull);
        let most = [widths.last().copied()?, longest];
        Some(Self { instance, classes, lies, states, widths, kinds, most })
    }

    /// The least lengths on a width.
    fn chain(&self, blocks: &Blocks, width: i64) -> Chain {
        let mut chain: Chain = vec![None; self.states.count()];
        chain[0] = Some((0, 0));
        for state in 1..self.states.count() {
            let length = |part: usize| {
                let (rest, _) = chain[state - part]?;
                let (own, _) = shortest_pull(blocks, width, part)?;
                Some((own + rest, part))
            };
            chain[state] = self.states.parts(state).into_iter().filter_map(length).min();
        }
        chain
    }

    /// The answer on the one roll without end.
    fn shortest(&self, blocks: &Blocks, chains: &[Chain]) -> Result<Nesting, NestError> {
        let all = self.states.count() - 1;
        let missing = || NestError::NotEnoughRolls { missing: self.missing(0) };
        let chain = chains.first().ok_or_else(missing)?;
        let (length, _) = chain[all].ok_or_else(missing)?;
        let cutting = &self.instance.cutting;
        let value = length - cutting.gap.nm() + cutting.square_cut.nm();
        Ok(self.nesting(value, blocks, chains, &[(0, all)]))
    }

    /// The answer on whole rolls.
    fn cheapest(&self, blocks: &Blocks, chains: &[Chain]) -> Result<Nesting, NestError> {
        let mut least: Vec<Option<i64>> = vec![None; self.states.count()];
        least[0] = Some(0);
        // Roll by roll: what each set has on it.
        let mut layers: Vec<(usize, Vec<usize>)> = Vec::new();
        for (k, kind) in self.kinds.iter().enumerate() {
            let chain = &chains[kind.width];
            let on_it: Vec<bool> =
                chain.iter().map(|held| held.is_some_and(|held| held.0 <= kind.length)).collect();
            for _ in 0..kind.copies {
                let mut next = least.clone();
                let mut on_roll = vec![0; self.states.count()];
                for state in 1..self.states.count() {
                    for part in self.states.within(state) {
                        if part == 0 || !on_it[part] {
                            continue;
                        }
                        let Some(rest) = least[state - part] else { continue };
                        let cost = rest.saturating_add(kind.price);
                        if next[state].is_none_or(|old| cost < old) {
                            next[state] = Some(cost);
                            on_roll[state] = part;
                        }
                    }
                }
                if next == least {
                    break;
                }
                least = next;
                layers.push((k, on_roll));
            }
        }
        let all = self.states.count() - 1;
        let Some(value) = least[all] else {
            let held = (0..=all).filter(|&state| least[state].is_some());
            let most = held.map(|state| self.states.pieces(state)).max().unwrap_or(0);
            return Err(NestError::NotEnoughRolls { missing: self.missing(most) });
        };
        let (mut state, mut rolls) = (all, Vec::new());
        for (k, on_roll) in layers.iter().rev() {
            if on_roll[state] > 0 {
                rolls.push((*k, on_roll[state]));
                state -= on_roll[state];
            }
        }
        rolls.reverse();
        Ok(self.nesting(value, blocks, chains, &rolls))
    }

    /// How many pieces are left over.
    fn missing(&self, held: usize) -> u64 {
        let all = self.states.pieces(self.states.count() - 1);
        u64::try_from(all - held).unwrap_or(u64::MAX)
    }

    /// The answer that lays sets on rolls of kinds.
    fn nesting(
        &self,
        value: i64,
        blocks: &Blocks,
        chains: &[Chain],
        rolls: &[(usize, usize)],
    ) -> Nesting {
        let mut members: Vec<_> =
            self.classes.iter().map(|class| class.members.iter().copied()).collect();
        let mut layouts = Vec::with_capacity(rolls.len());
        for &(k, held) in rolls {
            let kind = &self.kinds[k];
            let (width, chain) = (self.widths[kind.width], &chains[kind.width]);
            let (mut state, mut pulls) = (held, Vec::new());
            let mut y = self.instance.cutting.square_cut.nm();
            while let Some((_, part)) = chain[state].filter(|_| state > 0) {
                let Some((along, point)) = shortest_pull(blocks, width, part) else { break };
                let from = Part { state: part, point, stack: false };
                let mut placements = Vec::new();
                let at = [self.instance.cutting.edge_trim.nm(), y];
                self.lay(blocks, from, at, &mut members, &mut placements);
                let length = Length::from_nm(along) - self.instance.cutting.gap;
                pulls.push(Pull { y: Length::from_nm(y), length, placements });
                y += along;
                state -= part;
            }
            layouts.push(Layout { roll: kind.roll, copies: 1, pulls });
        }
        layouts.sort_by_key(|layout| layout.roll);
        Nesting {
            layouts,
            value,
            bound: value,
            basis: Basis::Search,
            certificate: None,
            status: Status::Proven,
        }
    }

    /// Lays a block's pieces from a corner on.
    fn lay(
        &self,
        blocks: &Blocks,
        part: Part,
        [x, y]: [i64; 2],
        members: &mut [impl Iterator<Item = usize>],
        placements: &mut Vec<Placement>,
    ) {
        let size = |part: Part| {
            let fronts = if part.stack { &blocks.stacks } else { &blocks.pulls };
            fronts[part.state][part.point]
        };
        match size(part).how {
            How::Piece { class, lie } => {
                let turn = if self.lies[class][lie].turned {
                    self.classes[class].sideways
                } else {
                    self.classes[class].upright
                };
                if let (Some(piece), Some(turn)) = (members[class].next(), turn) {
                    let (x, y) = (Length::from_nm(x), Length::from_nm(y));
                    placements.push(Placement { piece, x, y, turn });
                }
            }
            How::Across { one, other } => {
                self.lay(blocks, one, [x, y], members, placements);
                self.lay(blocks, other, [x + size(one).across, y], members, placements);
            }
            How::Along { one, other } => {
                self.lay(blocks, one, [x, y], members, placements);
                self.lay(blocks, other, [x, y + size(one).along], members, placements);
            }
        }
    }
}

impl Class {
    /// How it may lie, sizes with the gap.
    fn lies(&self, gap: i64) -> Vec<Lie> {
        let [width, length] = [self.size[0] + gap, self.size[1] + gap];
        let upright = self.upright.map(|_| Lie { across: width, along: length, turned: false });
        let apart = width != length || upright.is_none();
        let sideways = self.sideways.filter(|_| apart);
        let sideways = sideways.map(|_| Lie { across: length, along: width, turned: true });
        upright.into_iter().chain(sideways).collect()
    }
}

/// The pieces that are alike in size and in how they may lie.
fn classes(instance: &Instance) -> Vec<Class> {
    let mut classes: BTreeMap<_, Class> = BTreeMap::new();
    for (p, piece) in instance.pieces.iter().enumerate() {
        let (upright, sideways) = (piece.turns.upright_turn(), piece.turns.sideways_turn());
        let size = [piece.width.nm(), piece.length.nm()];
        let class = Class { size, upright, sideways, members: Vec::new() };
        let members = &mut classes.entry((size, upright, sideways)).or_insert(class).members;
        members.extend((0..piece.quantity).map(|_| p));
    }
    classes.into_values().collect()
}

/// The shortest pull of a width that holds a set, and its point.
fn shortest_pull(blocks: &Blocks, width: i64, state: usize) -> Option<(i64, usize)> {
    // Points get wider and shorter.
    let fits = blocks.pulls[state].partition_point(|point| point.across <= width);
    let point = fits.checked_sub(1)?;
    Some((blocks.pulls[state][point].along, point))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::Quiet;
    use crate::nest::sample;

    /// The value of two pieces of 60 by 40 mm and one of 40 by 70 on rolls of this form, cut so; `None` where they do
    /// not suffice.
    fn value(objective: &str, roll: &str, cutting: &str) -> Option<i64> {
        let text = format!(
            r#"{{ "name": "a", "objective": "{objective}", "cutting": {{ "style": "straight", {cutting} }},
            "rolls": [ {{ "id": "A", "width": 100, {roll} }} ],
            "pieces": [ {{ "id": "p", "width": 60, "length": 40, "quantity": 2 }},
                        {{ "id": "q", "width": 40, "length": 70, "quantity": 1 }} ] }}"#
        );
        let instance = sample::instance(&text);
        assert!(takes(&instance));
        let options = Options { seed: 1, work: 1_000_000 };
        let solved = solve(&instance, &options, &Quiet).expect("few enough");
        solved.ok().map(|nesting| nesting.value)
    }

    /// By hand: the three lie in one pull of 80 mm, two behind one another beside the third; else in two pulls of 110 mm
    /// together.
    #[test]
    fn a_dozen_pieces_keep_to_what_is_there() {
        let roll = r#""length": 80"#;
        assert_eq!(value("rolls", roll, r#""gap": 0"#), Some(1));
        assert_eq!(value("rolls", roll, r#""pull_limit": 75"#), Some(2));
        assert_eq!(value("rolls", roll, r#""square_cut": 1"#), Some(2));
        let one = r#""length": 80, "available": 1"#;
        assert_eq!(value("rolls", one, r#""gap": 0"#), Some(1));
        assert_eq!(value("rolls", one, r#""pull_limit": 75"#), None);
        // With a gap they are too wide side by side: 40, 40 and 70 mm behind one another, and two gaps.
        assert_eq!(value("length", r#""length": null"#, r#""gap": 3"#), Some(156_000_000));
    }
}

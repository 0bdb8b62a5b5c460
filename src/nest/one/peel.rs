//! Packings without waste, bin by bin.
//!
//! Where the items fill the bins of the bound exactly, every bin must be filled exactly, and many
//! items can be packed in few ways.
//!
//! 1. For every large kind, the fills of the bin beside it that no other fill stands for
//!    ([`super::fills`]). None: there is no packing without waste. One: some packing without waste
//!    has it, if there is one at all; pack it.
//! 2. When nothing is forced any more, the kind with the fewest fills is tried with each of them, depth
//!    first, a limited number of times.
//! 3. What was forced before the first such choice stays packed whatever follows. The choices up to
//!    the first dead end are handed on, as most of them are usually right.
//!
//! Instances put together from a small core and many triples (Delorme, Iori and Martello, European
//! Journal of Operational Research 255 (2016), classes AI and ANI) come apart like this; that such
//! classes can be solved so, without linear programmes: da Silva, de Lima, Schouery, Côté and Iori
//! (2026), arXiv 2604.05152.

use super::core::{Core, Packed};
use super::effort::Effort;
use super::fills::Fills;
use crate::nest::knapsack::{Counts, add};

/// Fills looked at for one kind: first these many, more only where no kind has so few.
const MOST: [usize; 3] = [60, 1000, 4000];
/// Choices made at most, and as a multiple of those it took to the first dead end.
const CHOICES: u32 = 1_500;
const FURTHER: u32 = 3;
/// Pieces up to which choices are tried, each for one bin.
const PIECES: u64 = 5_000;
/// Steps at most before the first piece is forced.
const PATIENCE: u64 = 3_000_000;
/// Steps to one of the effort.
const STEPS: u64 = 250;

/// What came of it.
pub(super) struct Peeled {
    /// Bins that a packing without waste has, if there is one.
    pub forced: Vec<Packed>,
    /// What is left of each kind after them.
    pub left: Vec<u64>,
    /// The choices up to the first dead end, each with all that was packed before it.
    pub trail: Vec<Stand>,
    pub end: End,
}

/// Bins packed, and what is left of each kind.
pub(super) struct Stand {
    pub packed: Vec<Packed>,
    pub left: Vec<u64>,
}

/// How it ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum End {
    /// A whole packing without waste.
    Found(Vec<Packed>),
    /// There is no packing without waste.
    None,
    /// Not settled.
    Open,
}

/// A choice under way.
struct Choice {
    left: Vec<u64>,
    packed: usize,
    kind: usize,
    /// Fills still to be tried, the next one last.
    fills: Vec<Counts>,
}

/// What a round of forcing came to.
enum Round {
    Empty,
    Dead,
    Choice(usize, Vec<Counts>),
    Wide,
}

/// Packs what is forced, and looks for a packing without waste.
pub(super) fn peel(core: &Core, effort: &Effort<'_>) -> Peeled {
    let mut left = core.demand.clone();
    let mut packed: Vec<Packed> = Vec::new();
    let mut open: Vec<Choice> = Vec::new();
    let mut root: Option<(usize, Vec<u64>)> = None;
    let mut end = End::Open;
    let mut trail = Vec::new();
    let (mut choices, mut most) = (0, CHOICES);
    while choices < most {
        choices += 1;
        let round = force(core, &mut left, &mut packed, effort);
        root.get_or_insert_with(|| (packed.len(), left.clone()));
        match round {
            Round::Empty => {
                end = End::Found(packed.clone());
                break;
            }
            Round::Wide => break,
            Round::Dead => most = most.min(choices * FURTHER),
            Round::Choice(..) if left.iter().sum::<u64>() > PIECES => break,
            Round::Choice(kind, mut fills) => {
                if most == CHOICES {
                    trail.push(Stand { packed: packed.clone(), left: left.clone() });
                }
                fills.reverse();
                open.push(Choice { left: left.clone(), packed: packed.len(), kind, fills });
            }
        }
        if effort.over() {
            break;
        }
        while open.last().is_some_and(|choice| choice.fills.is_empty()) {
            open.pop();
        }
        let Some(choice) = open.last_mut() else {
            end = End::None;
            break;
        };
        left.clone_from(&choice.left);
        packed.truncate(choice.packed);
        if let Some(fill) = choice.fills.pop() {
            take(choice.kind, fill, 1, &mut left, &mut packed);
        }
    }
    let (count, left) = root.unwrap_or((0, core.demand.clone()));
    packed.truncate(count);
    Peeled { forced: packed, left, trail, end }
}

/// Packs a piece of `kind` with its fill, at most so many times.
fn take(kind: usize, mut fill: Counts, most: u64, left: &mut [u64], packed: &mut Vec<Packed>) {
    add(&mut fill, kind, 1);
    let copies = fill.iter().map(|&(kind, count)| left[kind] / count).min().unwrap_or(0).min(most);
    for &(kind, count) in &fill {
        left[kind] -= count * copies;
    }
    packed.push(Packed { bin: 0, counts: fill, copies });
}

/// Packs all that is forced, round by round.
fn force(core: &Core, left: &mut [u64], packed: &mut Vec<Packed>, effort: &Effort<'_>) -> Round {
    let capacity = core.bins[0].size;
    loop {
        if left.iter().all(|&count| count == 0) {
            return Round::Empty;
        }
        let Some(mut fills) = Fills::new(&core.sizes, left, capacity) else { return Round::Wide };
        let mut best: Option<(usize, Vec<Counts>)> = None;
        let before = packed.len();
        for most in MOST {
            for kind in 0..core.sizes.len() {
                if left[kind] == 0 || 3 * core.sizes[kind] < capacity {
                    continue;
                }
                let Some(kept) = fills.beside(kind, left, most) else { continue };
                match kept.len() {
                    0 => {
                        effort.spend(fills.steps / STEPS);
                        return Round::Dead;
                    }
                    1 => {
                        // The fill stands for all others as long as its pieces last.
                        for fill in kept {
                            take(kind, fill, u64::MAX, left, packed);
                        }
                    }
                    count => {
                        if best.as_ref().is_none_or(|(_, least)| count < least.len()) {
                            best = Some((kind, kept));
                        }
                    }
                }
                if packed.is_empty() && fills.steps > PATIENCE {
                    break;
                }
            }
            if (best.is_some() && most > MOST[0]) || packed.len() > before {
                break;
            }
        }
        effort.spend(fills.steps / STEPS + 1);
        if packed.len() > before {
            if effort.over() {
                return Round::Wide;
            }
            continue;
        }
        return best.map_or(Round::Wide, |(kind, kept)| Round::Choice(kind, kept));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::one::Bin;
    use crate::nest::{Options, Watch};

    struct Patient;

    impl Watch for Patient {
        fn stop(&self) -> bool {
            false
        }

        fn news(&self, _: &crate::nest::News<'_>) {}
    }

    fn core(size: i64, items: &[(i64, u64)]) -> Core {
        Core {
            bins: vec![Bin { size, cost: 1, available: None }],
            sizes: items.iter().map(|item| item.0).collect(),
            demand: items.iter().map(|item| item.1).collect(),
        }
    }

    fn peeled(core: &Core) -> Peeled {
        let options = Options { work: u64::MAX, ..Options::default() };
        peel(core, &Effort::new(&options, &Patient))
    }

    /// By hand: 61 takes 30 and 9 (nothing else odd is left), then all follows.
    #[test]
    fn forced_bins_are_packed() {
        let core = core(100, &[(61, 1), (58, 1), (30, 1), (26, 1), (16, 1), (9, 1)]);
        let peeled = peeled(&core);
        assert!(matches!(peeled.end, End::Found(ref packed) if packed.len() == 2));
        assert_eq!(peeled.left, vec![0; 6]);
    }

    /// By hand: 51 + 49 is not to be had, 51 needs an odd piece beside it.
    #[test]
    fn no_packing_without_waste_is_said() {
        let core = core(100, &[(51, 2), (48, 1), (46, 1), (2, 2)]);
        assert_eq!(peeled(&core).end, End::None);
    }
}

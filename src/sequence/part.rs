//! One connected part, from both sides.
//!
//! A narrow beam gives an order, contraction a bound. Then in rounds of growing effort: a wider beam,
//! the exact search and the search on contracted graphs ask for one stack fewer; where none of them
//! knows, contracted graphs raise the bound by halving what is left between the two.

use super::bits::Set;
use super::dead::Dead;
use super::graph::Graph;
use super::search::{self, Effort, Outcome};
use super::{beam, minor};

/// States looked at by each search of the first round, and how much more in each next one.
const FIRST: u64 = 1000;
const GROWS: u64 = 4;
/// How much more beam and exact search may look at than each search on a contracted graph.
const SHARE: u64 = 8;

/// How much less each search on a contracted graph may look at where it can but raise the bound.
const LESS: u64 = 4;

/// From this round's effort on, the bound is looked for with neighbours joined.
const HARD: u64 = 16 * FIRST;

/// What is known of a part.
pub(super) struct Settled {
    /// Its customers in the order in which they are closed.
    pub(super) closing: Vec<usize>,
    /// The most open at once in that order.
    pub(super) most: usize,
    /// No order has fewer.
    pub(super) least: usize,
}

impl Settled {
    fn improve<const W: usize>(&mut self, graph: &Graph<W>, closing: Vec<usize>) {
        self.most = graph.most_open(&closing);
        self.closing = closing;
    }
}

/// Settles a part; what stays at or below `floor` decides nothing and is left as it is.
pub(super) fn settled<const W: usize>(
    graph: &Graph<W>,
    part: &Set<W>,
    floor: usize,
    mut effort: Effort<'_>,
) -> Settled {
    let closing = graph.closing(part, &[]);
    let most = graph.most_open(&closing);
    let mut known = Settled { closing, most, least: minor::bound(graph, part) };
    let mut each = FIRST;
    let mut dead = (known.most, Dead::new());
    beams(graph, part, 1, floor, &mut known, &mut effort);
    while known.most > known.least.max(floor) && !effort.spent() {
        let wide = minor::width(SHARE * each, part.len());
        effort.share(SHARE * each, |effort| beams(graph, part, wide, floor, &mut known, effort));
        if known.most <= known.least.max(floor) {
            break;
        }
        if dead.0 != known.most {
            dead = (known.most, Dead::new());
        }
        let limit = known.most - 1;
        let search =
            |effort: &mut Effort<'_>| search::close_all(graph, part, limit, &mut dead.1, effort);
        match effort.share(SHARE * each, search) {
            Outcome::Found(closing) => known.improve(graph, closing),
            Outcome::Impossible => known.least = known.most,
            Outcome::GaveUp => {
                if each == HARD {
                    known.least = minor::improved(graph, part, known.least, effort.stop);
                }
                raise(graph, part, floor, each, &mut known, &mut effort);
                each *= GROWS;
            }
        }
    }
    known
}

/// Lets a beam ask for one stack fewer as long as it finds that.
fn beams<const W: usize>(
    graph: &Graph<W>,
    part: &Set<W>,
    width: usize,
    floor: usize,
    known: &mut Settled,
    effort: &mut Effort<'_>,
) {
    while known.most > known.least.max(floor) {
        match beam::close_all(graph, part, known.most - 1, width, effort) {
            Outcome::Found(closing) => known.improve(graph, closing),
            Outcome::Impossible => known.least = known.most,
            Outcome::GaveUp => return,
        }
    }
}

/// Raises the bound on contracted graphs: all the way, or else by halves.
fn raise<const W: usize>(
    graph: &Graph<W>,
    part: &Set<W>,
    floor: usize,
    each: u64,
    known: &mut Settled,
    effort: &mut Effort<'_>,
) {
    let (mut limit, mut open) = (known.most - 1, known.most);
    while known.least.max(floor) < open && !effort.spent() {
        let each = if limit + 1 == known.most { each } else { each / LESS };
        if minor::rules_out(graph, part, limit, each, effort) {
            known.least = limit + 1;
        } else {
            open = limit;
        }
        limit = usize::midpoint(known.least.max(floor), open);
    }
}

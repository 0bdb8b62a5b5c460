//! What it costs to work out forbidden regions, in the engine's steps.
//!
//! A region takes as many convex sums as its two forms have parts by product, thousands for two elbows in one piece, and a
//! job has hundreds of forms in four turns each: working out all their pairs takes minutes and gigabytes, which no count
//! of places looked at ends. So whoever lays many pieces counts the pairs that it meets. Each counts once, whether or
//! not somebody has worked it out before: the answer depends on the instance and its work alone.

use super::pairs::Pairs;
use super::table::{Kit, Spot};

/// Steps that a convex sum takes with all that follows from it, about a microsecond each (measured: 17 to 24 on a job of
/// 31,000 pairs; some 1.1 kB of memory stay).
const STEPS: u64 = 20;
/// Never more than these, whatever the work: half a gigabyte.
const MOST: u64 = 10_000_000;

/// The pairs met so far, and what may be spent on them.
#[derive(Debug)]
pub struct Meter<'a> {
    pairs: &'a Pairs,
    met: Vec<u64>,
    /// Steps spent.
    spent: u64,
    /// Steps that may be spent.
    most: u64,
}

impl<'a> Meter<'a> {
    /// None met; so many steps may be spent.
    pub fn new(pairs: &'a Pairs, most: u64) -> Self {
        let count = pairs.forms.len() * (pairs.forms.len() + 1) / 2;
        Self { pairs, met: vec![0; count.div_ceil(64)], spent: 0, most: most.min(MOST) }
    }

    /// Counts nothing: for what is searched with work of its own.
    pub const fn unlimited(pairs: &'a Pairs) -> Self {
        Self { pairs, met: Vec::new(), spent: 0, most: u64::MAX }
    }

    /// With so many steps more.
    pub fn allow(&mut self, steps: u64) {
        self.most = self.most.saturating_add(steps).min(MOST);
    }

    /// Whether more was spent than may be.
    pub const fn over(&self) -> bool {
        self.spent > self.most
    }

    /// What a pair of forms takes: nothing once it was met.
    fn price(&self, a: usize, b: usize) -> u64 {
        let (word, bit) = place_of(a, b);
        let met = self.met.get(word).is_none_or(|met| met & bit != 0);
        if met { 0 } else { self.pairs.sums(a, b) * STEPS }
    }

    /// Counts a pair of forms.
    pub fn meet(&mut self, a: usize, b: usize) {
        self.spent += self.price(a, b);
        let (word, bit) = place_of(a, b);
        if let Some(met) = self.met.get_mut(word) {
            *met |= bit;
        }
    }

    /// Counts what a piece in any of its ways meets among others as they lie.
    pub fn place(&mut self, kit: &Kit, piece: usize, spots: &[Spot]) {
        for way in &kit.ways[piece] {
            for spot in spots {
                self.meet(way.form, spot.way.form);
            }
        }
    }

    /// Counts what pieces may meet of each other in all their ways; or counts nothing, and says so, where that is more
    /// than may be spent.
    pub fn search(&mut self, kit: &Kit, pieces: impl Iterator<Item = usize>) -> bool {
        let mut forms: Vec<usize> =
            pieces.flat_map(|piece| kit.ways[piece].iter().map(|way| way.form)).collect();
        forms.sort_unstable();
        forms.dedup();
        let pairs = || {
            let with =
                |(at, &more): (usize, &usize)| forms[..=at].iter().map(move |&less| (less, more));
            forms.iter().enumerate().flat_map(with)
        };
        let price: u64 = pairs().map(|(less, more)| self.price(less, more)).sum();
        if self.spent + price > self.most {
            return false;
        }
        pairs().for_each(|(less, more)| self.meet(less, more));
        true
    }
}

/// Word and bit of a pair of forms.
const fn place_of(a: usize, b: usize) -> (usize, u64) {
    let (less, more) = if a < b { (a, b) } else { (b, a) };
    let at = more * (more + 1) / 2 + less;
    (at / 64, 1 << (at % 64))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::shapes::form::{Form, Way};
    use crate::units::Angle;

    /// An L of two convex parts, and a square of one, as two pieces, the L in two ways.
    fn kit() -> Kit {
        let corner = vec![(0, 0), (60, 0), (60, 20), (20, 20), (20, 60), (0, 60)];
        let turned = vec![(0, 0), (60, 0), (60, 60), (40, 60), (40, 20), (0, 20)];
        let square = vec![(0, 0), (30, 0), (30, 30), (0, 30)];
        let way = |form| Way { form, turn: Angle::from_degrees(0) };
        let forms = [corner, turned, square].map(Form::new).to_vec();
        Kit::new(Pairs::new(forms, 0), vec![vec![way(0), way(1)], vec![way(2)]])
    }

    /// By hand: an L meets an L in two times two sums, a square in two, a square a square in one; each pair counts once.
    #[test]
    fn pairs_count_once_by_their_parts() {
        let kit = kit();
        let lies = Spot { piece: 1, way: kit.ways[1][0], x: 0.0, y: 0.0 };
        let mut meter = Meter::new(&kit.pairs, 1_000);
        for _ in 0..2 {
            meter.place(&kit, 0, &[lies, lies]);
            assert_eq!(meter.spent, 2 * 2 * STEPS);
        }
        // Three pairs of L, two of L and square, of which both are met, and one of squares.
        assert!(meter.search(&kit, [0, 1, 0].into_iter()));
        assert_eq!(meter.spent, (3 * 4 + 2 * 2 + 1) * STEPS);
        assert!(!meter.over());
    }

    #[test]
    fn what_is_too_much_is_not_counted() {
        let kit = kit();
        let mut meter = Meter::new(&kit.pairs, 12 * STEPS);
        assert!(!meter.search(&kit, [0, 1].into_iter()));
        assert_eq!(meter.spent, 0);
        assert!(meter.search(&kit, [0].into_iter()));
        meter.place(&kit, 1, &[Spot { piece: 0, way: kit.ways[0][0], x: 0.0, y: 0.0 }]);
        assert!(meter.over());
        meter.allow(u64::MAX);
        assert_eq!(meter.most, MOST);
        assert!(Meter::unlimited(&kit.pairs).search(&kit, [0, 1].into_iter()));
    }
}

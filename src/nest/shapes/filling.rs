//! A strip that is filled piece by piece ([`fill`]), in a time that grows with the pieces and not with their square.
//!
//! Of many pieces only the last some hundred stay open: what lies before them is closed, and no piece is laid in front
//! of the far side of all that is closed.

use super::fill;
use super::number::float;
use super::table::{Kit, Spot};

/// Longer than any strip, in nanometres.
const ENDLESS: i64 = 900_000_000_000_000;
/// With more pieces some are closed.
const MANY: usize = 1_000;
/// So many stay open then, and twice as many before it is done again.
const OPEN: usize = 150;

/// The strip as far as it is filled.
pub struct Filling<'a> {
    kit: &'a Kit,
    sheet: [f64; 2],
    closed: Vec<Spot>,
    /// The far side of what is closed, with the gap, whence open spots are measured.
    floor: f64,
    open: Vec<Spot>,
    /// How many open spots there may be.
    most: usize,
    /// The row behind everything else: the place of its next piece, and its far side with the gap.
    row: Option<([f64; 2], f64)>,
    /// Work done, in evaluated neighbours.
    pub spent: u64,
}

impl<'a> Filling<'a> {
    /// A strip with these pieces, and so many to come.
    pub fn new(kit: &'a Kit, width: i64, mut spots: Vec<Spot>, rest: usize) -> Self {
        let many = spots.len() + rest > MANY;
        if many {
            let far = |spot: &Spot| spot.y + kit.size(spot.way.form).1;
            spots.sort_by(|a, b| far(a).total_cmp(&far(b)));
        }
        let most = if many { 2 * OPEN } else { usize::MAX };
        let sheet = [float(width), float(ENDLESS)];
        let (closed, floor, row, spent) = (Vec::new(), 0.0, None, 0);
        let mut filling = Self { kit, sheet, closed, floor, open: spots, most, row, spent };
        filling.close();
        filling
    }

    /// Closes all but the last, where too many are open.
    fn close(&mut self) {
        if self.open.len() < self.most {
            return;
        }
        let rest = self.open.split_off(self.open.len() - OPEN);
        let shut = std::mem::replace(&mut self.open, rest);
        let more = self.kit.far(&shut) + float(self.kit.pairs.gap);
        self.closed.extend(shut.into_iter().map(|spot| Spot { y: spot.y + self.floor, ..spot }));
        self.open.iter_mut().for_each(|spot| spot.y -= more);
        self.floor += more;
    }

    /// Lays a piece as near to the front as it goes; nothing where it is wider than the strip.
    pub fn place(&mut self, piece: usize) -> Option<()> {
        let places = self.kit.ways[piece].len() * fill::MOST;
        self.spent += (places * (self.open.len() + 1)) as u64;
        self.open.push(fill::place(self.kit, self.sheet, &self.open, piece)?);
        self.row = None;
        self.close();
        Some(())
    }

    /// Lays a piece into a row behind everything else, or into another behind that where it is full.
    pub fn behind(&mut self, piece: usize) -> Option<()> {
        let gap = float(self.kit.pairs.gap);
        let spot = fill::behind(self.kit, self.sheet, &[], piece)?;
        let (width, length) = self.kit.size(spot.way.form);
        let full = |([x, _], _): &([f64; 2], f64)| x + width > self.sheet[0];
        let ([x, y], far) = self.row.filter(|row| !full(row)).unwrap_or_else(|| {
            let open = || if self.open.is_empty() { 0.0 } else { self.kit.far(&self.open) + gap };
            let y = self.row.map_or_else(open, |row| row.1);
            ([0.0, y], y)
        });
        self.row = Some(([x + width + gap, y], far.max(y + length + gap)));
        self.open.push(Spot { x, y, ..spot });
        Some(())
    }

    /// All pieces where they lie.
    pub fn done(mut self) -> Vec<Spot> {
        let floor = self.floor;
        self.closed.extend(self.open.into_iter().map(|spot| Spot { y: spot.y + floor, ..spot }));
        self.closed
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::shapes::form::{Form, Way};
    use crate::nest::shapes::pairs::Pairs;
    use crate::units::Angle;

    fn kit(corners: &[(i64, i64)], gap: i64) -> Kit {
        let way = Way { form: 0, turn: Angle::from_degrees(0) };
        Kit::new(Pairs::new(vec![Form::new(corners.to_vec())], gap), vec![vec![way]])
    }

    fn free(kit: &Kit, spots: &[Spot]) -> bool {
        let pairs = (0..spots.len()).flat_map(|i| (0..i).map(move |j| (i, j)));
        pairs.map(|(i, j)| kit.loss(&spots[i], &spots[j])).all(|loss| loss <= 0.0)
    }

    /// By hand: four squares of 100 and a gap of 10 lie across 450, so 1,500 take 375 rows of 110, the last without a
    /// gap behind it; closing what is filled loses nothing where rows are full.
    #[test]
    fn many_pieces_are_filled_in_full_rows() {
        let square = [(0, 0), (100_000, 0), (100_000, 100_000), (0, 100_000)];
        let kit = kit(&square, 10_000);
        let mut filling = Filling::new(&kit, 450_000, Vec::new(), 1_500);
        for _ in 0..1_500 {
            filling.place(0).expect("room");
        }
        assert!(filling.open.len() < 2 * OPEN && !filling.closed.is_empty());
        let spots = filling.done();
        assert_eq!(spots.len(), 1_500);
        assert!(free(&kit, &spots));
        // Two rows more for what closing cuts short.
        let rows = kit.far(&spots) / 110_000.0;
        assert!((374.9..377.0).contains(&rows), "{rows}");
    }

    /// By hand: behind one square lie nine more, four in a row, so three rows of 110, the last without its gap.
    #[test]
    fn what_is_not_filled_lies_in_rows() {
        let square = [(0, 0), (100_000, 0), (100_000, 100_000), (0, 100_000)];
        let kit = kit(&square, 10_000);
        let mut filling = Filling::new(&kit, 450_000, Vec::new(), 10);
        filling.place(0).expect("room");
        for _ in 1..10 {
            filling.behind(0).expect("room");
        }
        let spots = filling.done();
        assert!(free(&kit, &spots));
        let far = kit.far(&spots);
        assert!((far - 430_000.0).abs() < 10.0, "{far}");
    }
}

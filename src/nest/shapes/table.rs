//! What lies on one sheet, and what a place there costs.
//!
//! A **sheet** is a rectangle on which pieces lie: a pull, or a strip whose length is to shrink.
//! Pieces never leave it; they may overlap while the search runs. The loss of a pair is its
//! depth (see [`forbidden`](super::forbidden)) times the fourth root of both areas, so that
//! large pieces are not buried under small ones, times a weight that grows while the pair
//! stays in conflict.

use super::form::Way;
use super::number::{float, index, of_count};
use super::pairs::Pairs;

/// A piece where it lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Index into the instance's pieces.
    pub piece: usize,
    /// How it lies.
    pub way: Way,
    /// Across the sheet: the bounding box's left side, in nanometres.
    pub x: f64,
    /// Along the sheet: the bounding box's near side.
    pub y: f64,
}

/// The pieces' forms and ways: what all sheets share.
#[derive(Debug)]
pub struct Kit {
    /// Forms and what each forbids to each.
    pub pairs: Pairs,
    /// For each piece of the instance, its ways.
    pub ways: Vec<Vec<Way>>,
    /// For each form, its size and the fourth root of its area against the largest.
    sizes: Vec<[f64; 3]>,
}

impl Kit {
    /// Measures the forms.
    pub fn new(pairs: Pairs, ways: Vec<Vec<Way>>) -> Self {
        let largest = pairs.forms.iter().map(|f| f.area).fold(1.0, f64::max);
        let sizes = pairs
            .forms
            .iter()
            .map(|f| [float(f.width), float(f.length), (f.area / largest).sqrt().sqrt()])
            .collect();
        Self { pairs, ways, sizes }
    }

    /// A form's size across and along.
    #[must_use]
    pub fn size(&self, form: usize) -> (f64, f64) {
        (self.sizes[form][0], self.sizes[form][1])
    }

    /// A form's area.
    #[must_use]
    pub fn area(&self, form: usize) -> f64 {
        self.pairs.forms[form].area
    }

    /// A piece's area.
    #[must_use]
    pub fn piece_area(&self, piece: usize) -> f64 {
        self.ways[piece].first().map_or(0.0, |way| self.area(way.form))
    }

    /// The area of all that lies somewhere.
    pub fn area_of<'s>(&self, spots: impl IntoIterator<Item = &'s Spot>) -> f64 {
        spots.into_iter().map(|spot| self.area(spot.way.form)).sum()
    }

    /// Pieces in order, the largest first.
    pub fn largest_first(&self, pieces: &mut [usize]) {
        pieces.sort_by(|&a, &b| self.piece_area(b).total_cmp(&self.piece_area(a)).then(a.cmp(&b)));
    }

    /// A pair's depth times its share of size.
    #[must_use]
    pub fn loss(&self, a: &Spot, b: &Spot) -> f64 {
        if self.apart(a, b, float(self.pairs.gap)) {
            0.0
        } else {
            self.near_loss(a, b, f64::INFINITY)
        }
    }

    /// Whether the boxes of two spots lie this far apart, across or along.
    #[must_use]
    pub fn apart(&self, a: &Spot, b: &Spot, by: f64) -> bool {
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let (s, t) = (&self.sizes[a.way.form], &self.sizes[b.way.form]);
        dx >= s[0] + by || -dx >= t[0] + by || dy >= s[1] + by || -dy >= t[1] + by
    }

    /// How far spots reach along the sheet.
    pub fn far(&self, spots: &[Spot]) -> f64 {
        spots.iter().map(|s| s.y + self.size(s.way.form).1).fold(0.0, f64::max)
    }

    /// The same for a pair whose boxes are known to be near; exact where it is less than `enough`.
    fn near_loss(&self, a: &Spot, b: &Spot, enough: f64) -> f64 {
        let share = self.sizes[a.way.form][2] * self.sizes[b.way.form][2];
        let apart = (b.x - a.x, b.y - a.y);
        self.pairs.depth(a.way.form, b.way.form, apart, enough / share) * share
    }

    /// A spot's bounding box: left, near, and right and far with the gap.
    fn reach(&self, spot: &Spot) -> [f64; 4] {
        let (w, l) = self.size(spot.way.form);
        let gap = float(self.pairs.gap);
        [spot.x, spot.y, spot.x + w + gap, spot.y + l + gap]
    }
}

/// Bands across the sheet, and the spots that reach into each.
#[derive(Clone, Debug, Default)]
struct Bands {
    lists: Vec<Vec<usize>>,
    per: f64,
}

impl Bands {
    /// Bands about as high as the pieces are long.
    fn new(boxes: &[[f64; 4]], length: f64) -> Self {
        let count = of_count(boxes.len().max(1));
        let mean = boxes.iter().map(|b| b[3] - b[1]).sum::<f64>() / count;
        let bands = index(length / mean.max(1.0), boxes.len()).max(1);
        let mut all =
            Self { lists: vec![Vec::new(); bands], per: of_count(bands) / length.max(1.0) };
        for (j, own) in boxes.iter().enumerate() {
            let (first, last) = all.of(own);
            all.lists[first..=last].iter_mut().for_each(|list| list.push(j));
        }
        all
    }

    /// The first and the last band into which a box reaches.
    fn of(&self, own: &[f64; 4]) -> (usize, usize) {
        let last = self.lists.len() - 1;
        (index(own[1] * self.per, last), index(own[3] * self.per, last))
    }

    fn shift(&mut self, i: usize, from: &[f64; 4], to: &[f64; 4]) {
        let (before, after) = (self.of(from), self.of(to));
        if before == after {
            return;
        }
        for list in &mut self.lists[before.0..=before.1] {
            list.retain(|&j| j != i);
        }
        self.lists[after.0..=after.1].iter_mut().for_each(|list| list.push(i));
    }
}

/// Pieces on a sheet, the losses between them and their weights.
#[derive(Clone, Debug)]
pub struct Table<'a> {
    /// What all sheets share.
    pub kit: &'a Kit,
    /// The sheet's width and length.
    pub sheet: [f64; 2],
    /// Where the pieces lie.
    pub spots: Vec<Spot>,
    losses: Vec<f64>,
    weights: Vec<f64>,
    /// The spots' bounding boxes: left, near, and right and far with the gap.
    boxes: Vec<[f64; 4]>,
    /// Which spots reach into each band along the sheet.
    bands: Bands,
    /// Work done, in evaluated neighbours.
    pub work: u64,
}

impl<'a> Table<'a> {
    /// Measures all losses; weights begin at 1.
    #[must_use]
    pub fn new(kit: &'a Kit, sheet: [f64; 2], spots: Vec<Spot>) -> Self {
        let n = spots.len();
        let mut table = Self {
            kit,
            sheet,
            spots,
            losses: vec![0.0; n * n],
            weights: vec![1.0; n * n],
            boxes: Vec::with_capacity(n),
            bands: Bands::default(),
            work: 0,
        };
        table.measure();
        table
    }

    /// Puts all pieces elsewhere.
    pub fn restore(&mut self, spots: &[Spot]) {
        self.spots.clear();
        self.spots.extend_from_slice(spots);
        self.measure();
    }

    /// All weights back to 1.
    pub fn forget(&mut self) {
        self.weights.fill(1.0);
    }

    /// Measures all losses anew, after pieces were moved behind the table's back.
    pub fn measure(&mut self) {
        let n = self.spots.len();
        self.work += 8 + (n * n) as u64 / 2;
        self.boxes.clear();
        self.boxes.extend(self.spots.iter().map(|spot| self.kit.reach(spot)));
        self.bands = Bands::new(&self.boxes, self.sheet[1]);
        for i in 0..n {
            for j in 0..i {
                let loss = self.kit.loss(&self.spots[i], &self.spots[j]);
                self.losses[i * n + j] = loss;
                self.losses[j * n + i] = loss;
            }
        }
    }

    /// The sum of all losses, without weights.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.losses.iter().sum::<f64>() / 2.0
    }

    /// Whether a piece is in conflict.
    #[must_use]
    pub fn conflicts(&self, i: usize) -> bool {
        let n = self.spots.len();
        self.losses[i * n..(i + 1) * n].iter().any(|&l| l > 0.0)
    }

    /// A piece's weighted loss where it lies.
    #[must_use]
    pub fn current(&self, i: usize) -> f64 {
        let row = i * self.spots.len()..(i + 1) * self.spots.len();
        self.losses[row.clone()].iter().zip(&self.weights[row]).map(|(l, w)| l * w).sum()
    }

    /// A piece's weighted loss at another place; stops counting at `most`.
    pub fn cost(&mut self, i: usize, way: Way, x: f64, y: f64, most: f64) -> f64 {
        let new = Spot { piece: self.spots[i].piece, way, x, y };
        let n = self.spots.len();
        let weights = &self.weights[i * n..(i + 1) * n];
        let mut total = 0.0;
        let mut met = 0;
        let own = self.kit.reach(&new);
        let (first, last) = self.bands.of(&own);
        'all: for band in first..=last {
            for &j in &self.bands.lists[band] {
                let other = &self.boxes[j];
                let apart = own[0] >= other[2]
                    || other[0] >= own[2]
                    || own[1] >= other[3]
                    || other[1] >= own[3];
                // Of the bands that both reach into, the first counts.
                if apart || j == i || (band > first && self.bands.of(other).0 < band) {
                    continue;
                }
                met += 4;
                let enough = (most - total) / weights[j];
                let loss = self.kit.near_loss(&new, &self.spots[j], enough);
                if loss > 0.0 {
                    total += loss * weights[j];
                    if total >= most {
                        break 'all;
                    }
                }
            }
        }
        self.work += 16 + met;
        total
    }

    /// Moves a piece and measures its losses.
    pub fn place(&mut self, i: usize, way: Way, x: f64, y: f64) {
        let n = self.spots.len();
        self.work += 8 + n as u64;
        let piece = self.spots[i].piece;
        self.spots[i] = Spot { piece, way, x, y };
        let new = self.kit.reach(&self.spots[i]);
        self.bands.shift(i, &self.boxes[i], &new);
        self.boxes[i] = new;
        for j in (0..n).filter(|&j| j != i) {
            let loss = self.kit.loss(&self.spots[i], &self.spots[j]);
            self.losses[i * n + j] = loss;
            self.losses[j * n + i] = loss;
        }
    }

    /// Raises the weights of pairs in conflict, the deeper the more, and lets the others fade.
    pub fn reweigh(&mut self) {
        self.work += self.losses.len() as u64 / 8;
        let deepest = self.losses.iter().copied().fold(0.0, f64::max);
        for (weight, &loss) in self.weights.iter_mut().zip(&self.losses) {
            *weight = if loss > 0.0 {
                *weight * (1.2 + 0.8 * loss / deepest)
            } else {
                (*weight * 0.95).max(1.0)
            };
        }
    }

    /// The moves that free a piece from its two worst neighbours at a place, worst first.
    #[must_use]
    pub fn ways_out(&self, i: usize, way: Way, x: f64, y: f64) -> [Option<[f64; 2]>; 2] {
        let new = Spot { piece: self.spots[i].piece, way, x, y };
        let n = self.spots.len();
        let mut worst: [(f64, usize); 2] = [(0.0, 0); 2];
        for (j, spot) in self.spots.iter().enumerate() {
            let loss = self.kit.loss(&new, spot) * self.weights[i * n + j];
            if j == i || loss <= 0.0 {
                continue;
            }
            if loss > worst[0].0 {
                worst = [(loss, j), worst[0]];
            } else if loss > worst[1].0 {
                worst[1] = (loss, j);
            }
        }
        worst.map(|(loss, j)| {
            let spot = &self.spots[j];
            let out = || self.kit.pairs.way_out(spot.way.form, way.form, x - spot.x, y - spot.y);
            (loss > 0.0).then(out).flatten()
        })
    }

    /// The nearest place on the sheet; none if the form is larger than it.
    #[must_use]
    pub fn clamp(&self, form: usize, x: f64, y: f64) -> Option<(f64, f64)> {
        let (w, l) = self.kit.size(form);
        let (right, far) = (self.sheet[0] - w, self.sheet[1] - l);
        (right >= 0.0 && far >= 0.0).then(|| (x.clamp(0.0, right), y.clamp(0.0, far)))
    }
}

//! What goes into the hollows of blanks: rectangles, and small curved pieces in boxes of their own.
//!
//! Curved pieces go into hollows of single ones only, as trains take them in by themselves. Where all
//! that was ever found to fit a hollow is less than [`WORTHWHILE`] of the job, hollows stay empty: more
//! columns only make its programme slower.
//!
//! At the programme's prices what a hollow holds is worth the same as anywhere, and the blank is paid for.
//! So of what fits the dearest piece goes first, into the smallest hollow that takes it, then the next;
//! once by price, once by price for area, and the dearer filling counts. Every piece laid in must have a
//! part in common with the box around curved pieces that no straight cut parts: beside it a cut
//! would run between them, and stages are counted.

use super::hollows::{Box4, take_out};
use super::{real, real_of};
use crate::geometry::{Rect, joined};
use crate::nest::straight::model::Model;
use crate::nest::straight::pattern::Within;
use crate::units::{Angle, Length};

/// At most so many pieces in the hollows of one blank.
const MOST: usize = 24;
/// The least share of the job's area that makes filling worth while. On the demo (0.1 to 0.5 % fit somewhere) two
/// rectangles in hollows saved nothing, and other choices fell out worse.
const WORTHWHILE: f64 = 0.005;

/// A piece that may lie in a hollow, in one of its turns.
#[derive(Clone, Debug)]
pub(super) struct Filler {
    pub class: usize,
    quarters: u8,
    /// Across and along, in nanometres.
    size: [i64; 2],
    curved: bool,
    /// What all pieces of its class are of the job's area.
    share: f64,
}

impl Filler {
    /// Whether it may go into this hollow of a single piece, or of a train.
    pub fn fits(&self, hollow: &Box4, single: bool) -> bool {
        let fits = self.size[0] <= hollow[2] - hollow[0] && self.size[1] <= hollow[3] - hollow[1];
        fits && (single || !self.curved)
    }
}

/// Whether fillers that were found to fit somewhere are enough of the job.
pub(super) fn worthwhile(fillers: &[Filler], fitting: &[bool]) -> bool {
    let mut classes: Vec<(usize, f64)> = fillers
        .iter()
        .zip(fitting)
        .filter(|(_, fits)| **fits)
        .map(|(filler, _)| (filler.class, filler.share))
        .collect();
    classes.sort_by_key(|(class, _)| *class);
    classes.dedup_by_key(|(class, _)| *class);
    classes.iter().map(|(_, share)| share).sum::<f64>() >= WORTHWHILE
}

/// The room of a blank beside its pieces.
#[derive(Clone, Debug)]
pub(super) struct Room {
    /// The largest empty rectangles.
    pub hollows: Vec<Box4>,
    /// The boxes around curved pieces that no straight cut parts.
    groups: Vec<Box4>,
}

impl Room {
    /// Hollows of a blank whose pieces lie in these boxes.
    pub fn new(hollows: Vec<Box4>, boxes: &[Box4]) -> Self {
        let nm = Length::from_nm;
        let rect = |b: &Box4| Rect {
            x: nm(b[0]),
            y: nm(b[1]),
            width: nm(b[2] - b[0]),
            length: nm(b[3] - b[1]),
        };
        let boxes: Vec<Rect> = boxes.iter().map(rect).collect();
        let around = |r: Rect| [r.x.nm(), r.y.nm(), r.right().nm(), r.far().nm()];
        let groups = joined(&boxes).into_iter().map(|group| around(group.around)).collect();
        Self { hollows, groups }
    }
}

/// The pieces that could lie in a hollow somewhere: smaller than the box of a curved piece.
pub(super) fn fillers(model: &Model) -> Vec<Filler> {
    let bare = |class: usize| model.classes[class].size.map(|size| size - model.gap);
    let area = |class: usize| {
        let [across, along] = bare(class);
        real_of(across) * real_of(along) * real(model.classes[class].demand)
    };
    let all: f64 = (0..model.classes.len()).map(area).sum();
    let mut fillers = Vec::new();
    for form in &model.forms {
        let [across, along] = bare(form.class);
        let size = if form.turned { [along, across] } else { [across, along] };
        let quarters = match &model.classes[form.class].curved {
            None => Some(u8::from(form.turned)),
            Some((_, turns)) => (0..4).find(|&quarters| {
                (quarters % 2 == 1) == form.turned
                    && turns.allow(Angle::from_degrees(90 * i64::from(quarters)))
            }),
        };
        let host = |other: usize| {
            let (box_of, area) = (bare(other), |[a, b]: [i64; 2]| i128::from(a) * i128::from(b));
            let curved = other != form.class && model.classes[other].curved.is_some();
            // Trains are longer than their pieces: one side is enough.
            curved && area(size) < area(box_of) && size[0].min(size[1]) < box_of[0].max(box_of[1])
        };
        if let Some(quarters) = quarters
            && (0..model.classes.len()).any(host)
        {
            let curved = model.classes[form.class].curved.is_some();
            let share = area(form.class) / all.max(1.0);
            fillers.push(Filler { class: form.class, quarters, size, curved, share });
        }
    }
    fillers
}

/// The least size across and along that any of them has.
pub(super) fn least(fillers: &[Filler]) -> [i64; 2] {
    [0, 1].map(|d| fillers.iter().map(|filler| filler.size[d]).min().unwrap_or(0).max(1))
}

/// Fillers in the order in which they are laid in single pieces or trains, by price and by price for area.
pub(super) fn orders(
    fillers: &[Filler],
    (prices, left): (&[i64], &[u64]),
    single: bool,
) -> [Vec<usize>; 2] {
    let useful = |&f: &usize| {
        let Filler { class, curved, .. } = fillers[f];
        prices[class] > 0 && left[class] > 0 && (single || !curved)
    };
    let worth = |f: usize| real_of(prices[fillers[f].class]);
    let dense = |f: usize| worth(f) / (real_of(fillers[f].size[0]) * real_of(fillers[f].size[1]));
    let order = |value: &dyn Fn(usize) -> f64| {
        let mut order: Vec<usize> = (0..fillers.len()).filter(useful).collect();
        order.sort_by(|&a, &b| value(b).total_cmp(&value(a)).then(a.cmp(&b)));
        order
    };
    [order(&worth), order(&dense)]
}

/// The best filling of a room at these prices, as pieces by class, and how many fits were tried; `used` says
/// how many of a class are in the blank already.
pub(super) fn fill(
    room: &Room,
    (fillers, orders): (&[Filler], &[Vec<usize>; 2]),
    (prices, left): (&[i64], &[u64]),
    used: &dyn Fn(usize) -> u64,
    frame: (i64, [i64; 2]),
) -> (Vec<(usize, Within)>, usize) {
    let mut tried = 0;
    let mut best: (i64, Vec<(usize, Within)>) = (0, Vec::new());
    for order in orders {
        let mut free = room.hollows.clone();
        let mut worth = 0_i64;
        let mut laid: Vec<(usize, Within)> = Vec::new();
        for filler in order.iter().map(|&f| &fillers[f]) {
            let class = filler.class;
            let there = laid.iter().filter(|(other, _)| *other == class).count() as u64;
            let mut more = left[class].saturating_sub(used(class) + there);
            while more > 0 && laid.len() < MOST && !free.is_empty() {
                tried += free.len();
                let Some([x, y]) = spot(&free, filler.size, &room.groups) else { break };
                let [width, length] = filler.size;
                take_out(&mut free, [x, y, x + width, y + length], frame);
                laid.push((class, Within { x, y, quarters: filler.quarters, length: 0 }));
                worth = worth.saturating_add(prices[class]);
                more -= 1;
            }
        }
        if worth > best.0 {
            best = (worth, laid);
        }
    }
    (best.1, tried)
}

/// Where a piece lies in the smallest hollow that takes it: in the corner that is nearest to the origin of
/// those where it has a part in common with a group's box.
fn spot(free: &[Box4], [width, length]: [i64; 2], groups: &[Box4]) -> Option<[i64; 2]> {
    let area = |h: &Box4| i128::from(h[2] - h[0]) * i128::from(h[3] - h[1]);
    let meets = |&[x, y]: &[i64; 2]| {
        groups.iter().any(|g| x < g[2] && g[0] < x + width && y < g[3] && g[1] < y + length)
    };
    let corner = |h: &Box4| {
        let (right, far) = (h[2] - width, h[3] - length);
        if right < h[0] || far < h[1] {
            return None;
        }
        [[h[0], h[1]], [right, h[1]], [h[0], far], [right, far]].into_iter().find(|at| meets(at))
    };
    let fits = free.iter().filter_map(|h| Some((area(h), corner(h)?)));
    fits.min().map(|(_, at)| at)
}

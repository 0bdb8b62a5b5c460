//! Flat discs and rings: an item of their own, the flat end of a vessel, the end rings of a cover.
//!
//! A disc that fits no roll is parted into as few strips as fit; where every strip along its middle is longer than
//! a pull may be, strips that are too long are parted across, too, their joints away from those of the turned
//! layer beneath. A ring goes round something and
//! has two pieces or more: sectors, or, where halves fit no roll and the hole is small, strips of which the middle two have
//! the hole between them, if their boxes are a tenth less. The joints of neighbouring layers are turned: a quarter turn for strips,
//! half a piece for rings (common practice, no source).

use super::kit::{Kit, Part, number};
use super::shop::Shop;
use crate::finding::codes::demand as codes;
use crate::pattern::disc::{Share, disc, ring_sector, ring_strips, strip_parts, strips};
use crate::pattern::{Flat, PatternError};
use crate::takeoff::{Build, Disc};
use crate::units::{Area, Length};
use std::cmp::Ordering;

/// More parts than anybody cuts a disc into.
const MOST_PARTS: u32 = 64;
/// More pieces than anybody cuts one strip of a disc into.
const MOST_ACROSS: u32 = 16;

/// A disc in strips of which some are parted across.
struct Parted {
    /// The pieces of every strip, from its one end to its other.
    strips: Vec<Vec<Flat>>,
    /// How far joints in strips are from joints between strips of a layer that is turned by a quarter.
    clear: Length,
}

/// The pieces of a disc or ring; all layers are alike.
pub fn kit(item: &Disc, build: &Build, shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    for (i, &thickness) in build.layers().iter().enumerate() {
        let (outside, inside) = (item.outside, item.inside);
        let turned = i % 2 == 1;
        let round = Round { thickness, outside, inside, turned, what: "", do_to: |_| "" };
        round.put(&mut kit, shop, i, 1);
    }
    kit
}

/// A disc or ring of one layer.
pub struct Round {
    /// Blanket thickness.
    pub thickness: Length,
    /// Outside diameter.
    pub outside: Length,
    /// Inside diameter; zero for a disc.
    pub inside: Length,
    /// Whether a disc or ring like it lies beneath, whose joints it must not meet.
    pub turned: bool,
    /// What it is of the item; empty where it is all of it.
    pub what: &'static str,
    /// What is to be done to its pieces, of so many, beyond cutting them out; may be empty.
    pub do_to: fn(u32) -> &'static str,
}

impl Round {
    /// Adds `count` of them as the `i`-th layer.
    pub fn put(&self, kit: &mut Kit, shop: &Shop<'_>, i: usize, count: u64) {
        if shop.rooms(self.thickness).is_empty() {
            shop.no_roll(kit, self.thickness, i);
            return;
        }
        let Some(result) = self.cut_up(shop) else {
            if !self.is_ring() && self.put_parted(kit, shop, i, count) {
                return;
            }
            kit.remark(
                &codes::TOO_LARGE,
                format!(
                    "layer {}: a disc of {} mm fits no roll of {} mm, in up to {MOST_PARTS} parts",
                    i + 1,
                    self.outside,
                    self.thickness
                ),
                "offer a larger roll or raise the pull limit",
            );
            return;
        };
        let Some(CutUp { sectors, flats }) = kit.take(result) else { return };
        let parts = u32::try_from(flats.len()).unwrap_or(u32::MAX);
        let note = match (self.turned, sectors, parts) {
            (true, true, _) => "joints half a piece from the layer beneath",
            (true, false, 2..) => "joints across those of the layer beneath",
            _ => "",
        };
        let note = self.note(note, parts);
        let what = self.called();
        for (j, flat) in flats.into_iter().enumerate() {
            let name = match (sectors, parts) {
                (_, 2) => format!("half {what}"),
                (true, _) => format!("{what}, one of {parts} parts"),
                (false, 1) => what.to_owned(),
                // Strips come in pairs, one on each side of the middle.
                (false, _) => {
                    let side = j.min(flats_behind(parts, j)) + 1;
                    format!("{what}, strip {side} from the edge of {parts}")
                }
            };
            let part = Part {
                layer: number(i),
                name,
                thickness: self.thickness,
                flat,
                turns: Shop::flat_turns(),
                count,
            };
            kit.put_on(shop, part, &note);
        }
    }

    fn is_ring(&self) -> bool {
        self.inside.is_positive()
    }

    fn fits(&self, flats: &[Flat], shop: &Shop<'_>) -> bool {
        flats.iter().all(|flat| shop.takes(self.thickness, flat, &Shop::flat_turns()))
    }

    /// In as few parts as fit; `None` where no number of them does.
    fn cut_up(&self, shop: &Shop<'_>) -> Option<Result<CutUp, PatternError>> {
        let ring = self.is_ring();
        let fewest = if ring { 2 } else { 1 };
        let plain = (fewest..=MOST_PARTS).find_map(|parts| match self.parts(parts, shop) {
            Ok(flats) => self.fits(&flats, shop).then_some(Ok(flats)),
            Err(error) => Some(Err(error)),
        });
        let settled = match &plain {
            Some(Err(_)) => true,
            Some(Ok(flats)) => flats.len() == 2,
            None => false,
        };
        let strips = if ring && !settled { self.in_strips(shop) } else { None };
        let worth = |strips: &Vec<Flat>| match &plain {
            Some(Ok(sectors)) => boxes(strips) * 10 <= boxes(sectors) * 9,
            _ => true,
        };
        match strips.filter(worth) {
            Some(flats) => Some(Ok(CutUp { sectors: false, flats })),
            None => plain.map(|result| result.map(|flats| CutUp { sectors: ring, flats })),
        }
    }

    /// What is noted of its joints, and what is to be done to it in so many parts.
    fn note(&self, joints: &str, parts: u32) -> String {
        let notes = [joints, (self.do_to)(parts)].into_iter().filter(|note| !note.is_empty());
        notes.collect::<Vec<_>>().join("; ")
    }

    /// What it is called.
    fn called(&self) -> &'static str {
        match (self.what, self.is_ring()) {
            ("", true) => "ring",
            ("", false) => "disc",
            (what, _) => what,
        }
    }

    /// Adds a disc in strips of which the long ones are parted across; false where none of their numbers fits.
    fn put_parted(&self, kit: &mut Kit, shop: &Shop<'_>, i: usize, count: u64) -> bool {
        // As few pieces as there can be; joints in strips away from the joints between strips of the layers
        // turned against it, if that can be.
        let mut best: Option<(bool, usize, Parted)> = None;
        for number in 2..=MOST_PARTS {
            let enough = |(close, pieces, _): &(bool, usize, Parted)| {
                !close && usize::try_from(number).is_ok_and(|number| number >= *pieces)
            };
            if best.as_ref().is_some_and(enough) {
                break;
            }
            let Some(parted) = self.parted(number, shop) else { continue };
            let close = parted.clear < shop.rules.joints.stagger;
            let pieces = parted.strips.iter().map(Vec::len).sum();
            if best.as_ref().is_none_or(|(was, most, _)| (close, pieces) < (*was, *most)) {
                best = Some((close, pieces, parted));
            }
        }
        let Some((_, _, parted)) = best else { return false };
        let strips = parted.strips.len();
        let note = if self.turned { "joints across those of the layer beneath" } else { "" };
        let note = self.note(note, u32::try_from(strips).unwrap_or(u32::MAX));
        let what = self.called();
        for (j, flats) in parted.strips.into_iter().enumerate() {
            let (side, pieces) = (j.min(strips - 1 - j), flats.len());
            // The far strips are the near ones turned round, and so are the halves of the middle one.
            for (k, flat) in flats.into_iter().enumerate() {
                let piece = match (2 * j + 1).cmp(&strips) {
                    Ordering::Less => k,
                    Ordering::Equal => k.min(pieces - 1 - k),
                    Ordering::Greater => pieces - 1 - k,
                };
                let strip = format!("{what}, strip {} from the edge of {strips}", side + 1);
                let name = match pieces {
                    1 => strip,
                    _ => format!("{strip}, piece {} of {pieces}", piece + 1),
                };
                let (thickness, turns) = (self.thickness, Shop::flat_turns());
                let part = Part { layer: number(i), name, thickness, flat, turns, count };
                kit.put_on(shop, part, &note);
            }
        }
        true
    }

    /// The disc in so many strips, each in as few pieces as fit; `None` where they do not fit.
    fn parted(&self, strips: u32, shop: &Shop<'_>) -> Option<Parted> {
        let error = shop.rules.elbow.chord_error;
        let (diameter, radius) = (self.outside.mm_f64(), self.outside.mm_f64() / 2.0);
        let edge = |j: u32| diameter * (f64::from(j) / f64::from(strips) - 0.5);
        let mut clear = f64::INFINITY;
        let mut all: Vec<Vec<Flat>> = Vec::new();
        for j in 0..strips {
            let mirror = strips - 1 - j;
            let mut flats = if mirror < j {
                let near = all.get(usize::try_from(mirror).ok()?)?;
                near.iter().rev().cloned().collect()
            } else {
                (1..=MOST_ACROSS).find_map(|parts| {
                    let flats =
                        strip_parts(radius, Share { at: j, of: strips }, parts, error).ok()?;
                    self.fits(&flats, shop).then_some(flats)
                })?
            };
            let pieces = flats.len();
            if mirror == j {
                mirrored(&mut flats);
            }
            let nearest = if mirror == j { 0.0 } else { edge(j).abs().min(edge(j + 1).abs()) };
            let half = libm::sqrt((radius * radius - nearest * nearest).max(0.0));
            for k in 1..pieces {
                let share =
                    f64::from(u32::try_from(k).ok()?) / f64::from(u32::try_from(pieces).ok()?);
                let y = half * (2.0 * share - 1.0);
                clear = (1..strips).map(|j| (edge(j) - y).abs()).fold(clear, f64::min);
            }
            all.push(flats);
        }
        let clear = Length::from_mm_f64_nearest(clear).unwrap_or(Length::LIMIT);
        Some(Parted { strips: all, clear })
    }

    /// A ring in as few strips as fit, where its hole lies in the two middle ones.
    fn in_strips(&self, shop: &Shop<'_>) -> Option<Vec<Flat>> {
        let (outside, inside) = (self.outside.mm_f64() / 2.0, self.inside.mm_f64() / 2.0);
        let smallest = shop.rules.joints.smallest_piece.mm_f64();
        let holds = |strips: &u32| inside + smallest <= 2.0 * outside / f64::from(*strips);
        (4..=MOST_PARTS).step_by(2).take_while(holds).find_map(|strips| {
            let mut all =
                ring_strips(outside, inside, strips, shop.rules.elbow.chord_error).ok()?;
            mirrored(&mut all);
            self.fits(&all, shop).then_some(all)
        })
    }

    fn parts(&self, parts: u32, shop: &Shop<'_>) -> Result<Vec<Flat>, PatternError> {
        let error = shop.rules.elbow.chord_error;
        let (outside, inside) = (self.outside.mm_f64() / 2.0, self.inside.mm_f64() / 2.0);
        if inside > 0.0 {
            let sector = ring_sector(outside, inside, parts, error)?;
            return Ok((0..parts).map(|_| sector.clone()).collect());
        }
        if parts == 1 {
            return Ok(vec![disc(outside, error)?]);
        }
        let mut all = strips(outside, parts, error)?;
        mirrored(&mut all);
        Ok(all)
    }
}

/// A disc or ring in its parts.
struct CutUp {
    /// Whether these are sectors of a ring, else strips.
    sectors: bool,
    flats: Vec<Flat>,
}

/// The far half is the near half turned round: one shape for both.
fn mirrored(flats: &mut [Flat]) {
    let count = flats.len();
    for j in 0..count / 2 {
        flats[count - 1 - j] = flats[j].clone();
    }
}

/// The area of all boxes.
fn boxes(flats: &[Flat]) -> Area {
    flats.iter().map(|flat| Area::of_rectangle(flat.width, flat.length)).sum()
}

/// How many strips lie behind the `j`-th.
fn flats_behind(parts: u32, j: usize) -> usize {
    usize::try_from(parts).unwrap_or(usize::MAX).saturating_sub(j + 1)
}

//! Flat discs and rings: an item of their own, the flat end of a vessel, the end rings of a cover.
//!
//! A disc that fits no roll is parted into as few strips as fit; a ring goes round something and
//! has two pieces or more. The joints of neighbouring layers are turned: a quarter turn for strips,
//! half a piece for rings (common practice, no source).

use super::kit::{Kit, Part, number};
use super::shop::Shop;
use crate::finding::codes::demand as codes;
use crate::pattern::disc::{disc, ring_sector, strips};
use crate::pattern::{Flat, PatternError};
use crate::takeoff::{Build, Disc};
use crate::units::Length;

/// More parts than anybody cuts a disc into.
const MOST_PARTS: u32 = 64;

/// The pieces of a disc or ring; all layers are alike.
pub fn kit(item: &Disc, build: &Build, shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    for (i, &thickness) in build.layers().iter().enumerate() {
        let (outside, inside) = (item.outside, item.inside);
        let turned = i % 2 == 1;
        let round = Round { thickness, outside, inside, turned, what: "", do_to: "" };
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
    /// What is to be done to each of its pieces beyond cutting it out; may be empty.
    pub do_to: &'static str,
}

impl Round {
    /// Adds `count` of them as the `i`-th layer.
    pub fn put(&self, kit: &mut Kit, shop: &Shop<'_>, i: usize, count: u64) {
        if shop.rooms(self.thickness).is_empty() {
            shop.no_roll(kit, self.thickness, i);
            return;
        }
        let ring = self.inside.is_positive();
        let fewest = if ring { 2 } else { 1 };
        let fitting = (fewest..=MOST_PARTS).find_map(|parts| match self.parts(parts, shop) {
            Ok(flats) => {
                let fit = |f: &Flat| shop.takes(self.thickness, f, &Shop::flat_turns());
                flats.iter().all(fit).then_some(Ok((parts, flats)))
            }
            Err(error) => Some(Err(error)),
        });
        let Some(result) = fitting else {
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
        let Some((parts, flats)) = kit.take(result) else { return };
        let note = match (self.turned, ring, parts) {
            (true, true, _) => "joints half a piece from the layer beneath",
            (true, false, 2..) => "joints across those of the layer beneath",
            _ => "",
        };
        let notes = [note, self.do_to].into_iter().filter(|note| !note.is_empty());
        let note = notes.collect::<Vec<_>>().join("; ");
        let plain = if ring { "ring" } else { "disc" };
        let what = if self.what.is_empty() { plain } else { self.what };
        for (j, flat) in flats.into_iter().enumerate() {
            let name = match (ring, parts) {
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
        // The far half is the near half turned round: one shape for both.
        let n = all.len();
        for j in 0..n / 2 {
            all[n - 1 - j] = all[j].clone();
        }
        Ok(all)
    }
}

/// How many strips lie behind the `j`-th.
fn flats_behind(parts: u32, j: usize) -> usize {
    usize::try_from(parts).unwrap_or(usize::MAX).saturating_sub(j + 1)
}

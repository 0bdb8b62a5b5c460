//! A branch on a run: tees, and the bonnet of a valve on its body.
//!
//! Layers take turns: with the outermost layer counted 0, even ones have the run's seam through
//! the hole, odd ones are parted crosswise through it; the branch's seam lies on the acute and on
//! the obtuse side in turn. So the hole's cuts and all joints move from layer to layer. A layer
//! too wide for its rolls is parted, too.
//!
//! A standard tee is short. Where thick insulation makes the hole reach its ends, or the saddle its
//! top, the tee's cover is made longer by as much and a smallest throat, in all layers alike, and
//! the runs that meet it are shorter.

use super::kit::{Kit, Part, number};
use super::shop::Shop;
use crate::finding::codes::demand as codes;
use crate::pattern::saddle::{BranchSeam, Saddle};
use crate::pattern::wrap::Layer;
use crate::pattern::{Flat, PatternError};
use crate::takeoff::{Build, Tee};
use crate::units::{Angle, Length};

/// A branch on a run.
pub struct Junction {
    /// The run's layers.
    pub run: Vec<Layer>,
    /// The branch's layers.
    pub branch: Vec<Layer>,
    /// Angle between them.
    pub angle: Angle,
    /// From the branch to each end of the run's cover.
    pub centre_to_end: Length,
    /// From the run's axis to the top of the branch's cover.
    pub height: Length,
}

impl Junction {
    /// A tee's.
    pub fn of_tee(tee: &Tee, build: &Build, shop: &Shop<'_>) -> Self {
        Self {
            run: Layer::stack(tee.run.od, build, &shop.rules.wrap),
            branch: Layer::stack(tee.branch.od, build, &shop.rules.wrap),
            angle: tee.angle,
            centre_to_end: tee.centre_to_end,
            height: tee.branch_height,
        }
    }

    fn saddles(&self) -> impl Iterator<Item = Saddle> {
        self.run.iter().zip(&self.branch).map(|(r, b)| Saddle::new(r, b, self.angle))
    }

    /// How much longer than itself the run's cover is at each end, and the branch's at its top.
    pub fn extra(&self, shop: &Shop<'_>) -> (Length, Length) {
        let hole = self.saddles().map(|s| s.hole()).map(|(a, b)| b.max(-a)).fold(0.0, f64::max);
        let top = self.saddles().map(|s| s.highest()).fold(0.0, f64::max);
        let beyond = |reach: f64, has: Length| {
            let needed = Length::from_mm_f64_up(reach).unwrap_or(Length::LIMIT)
                + shop.rules.elbow.smallest_throat;
            (needed - has).max(Length::ZERO).round_up_to(shop.rules.resolution.cut)
        };
        let (along, up) = (beyond(hole, self.centre_to_end), beyond(top, self.height));
        // Where run and branch are of one size nobody can tell which of them a pipe meets.
        let like = self.run.first() == self.branch.first();
        if like { (along.max(up), along.max(up)) } else { (along, up) }
    }

    /// Adds the covers of run and branch, layer by layer, above `beneath` layers.
    pub fn put(&self, kit: &mut Kit, shop: &Shop<'_>, words: &Words, beneath: usize) {
        let (along, up) = self.extra(shop);
        let side = (self.centre_to_end + along).mm_f64();
        let top = (self.height + up).mm_f64();
        let count = self.run.len();
        for (i, saddle) in self.saddles().enumerate() {
            let thickness = self.run[i].thickness;
            if shop.rooms(thickness).is_empty() {
                shop.no_roll(kit, thickness, i);
                return;
            }
            let even = (count - 1 - i).is_multiple_of(2);
            let layer = number(beneath + i);
            let result = run_cover(&saddle, side, even, thickness, shop);
            let Some((pieces, note)) = kit.take(result) else { return };
            for (name, flat) in pieces {
                let turns = shop.wrap_turns(&flat);
                let name = format!("{}{name}", words.run);
                let part = Part { layer, name, thickness, flat, turns, count: 1 };
                kit.put(shop, part, Vec::new(), note);
            }
            let seam = if even { BranchSeam::Acute } else { BranchSeam::Obtuse };
            let Some(flat) = kit.take(saddle.sleeve(top, seam)) else { return };
            let turns = shop.wrap_turns(&flat);
            let name = words.branch.to_owned();
            let part = Part { layer, name, thickness, flat, turns, count: 1 };
            let note = match (self.angle == Angle::QUARTER, seam) {
                (true, BranchSeam::Acute) => "seam towards one end of the run",
                (true, BranchSeam::Obtuse) => "seam towards the other end of the run",
                (false, BranchSeam::Acute) => "seam on the acute side",
                (false, BranchSeam::Obtuse) => "seam on the obtuse side",
            };
            kit.put(shop, part, Vec::new(), note);
        }
    }
}

/// What run and branch are called.
pub struct Words {
    /// Before the run's piece.
    pub run: &'static str,
    /// The branch's piece.
    pub branch: &'static str,
}

type Named = (&'static str, Flat);

fn run_cover(
    saddle: &Saddle,
    side: f64,
    even: bool,
    thickness: Length,
    shop: &Shop<'_>,
) -> Result<(Vec<Named>, &'static str), PatternError> {
    if even {
        let flat = saddle.seamed(side, side)?;
        if shop.takes(thickness, &flat, &shop.wrap_turns(&flat)) {
            return Ok((vec![("cover", flat)], "seam through the hole"));
        }
    }
    let [obtuse, acute] = saddle.parted(side, side)?;
    let note = "parted at the hole, seam opposite the branch";
    // At right angles the halves are one shape, one of them turned round.
    let square = (saddle.angle - std::f64::consts::FRAC_PI_2).abs() < 1e-9;
    let pieces = if square {
        vec![("half cover", acute.clone()), ("half cover", acute)]
    } else {
        vec![("half cover, obtuse side", obtuse), ("half cover, acute side", acute)]
    };
    Ok((pieces, note))
}

/// The pieces of a tee.
pub fn kit(tee: &Tee, build: &Build, shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    let branch = Junction::of_tee(tee, build, shop);
    let (along, up) = branch.extra(shop);
    if along.is_positive() || up.is_positive() {
        kit.remark(
            &codes::LONGER_COVER,
            format!(
                "the insulation is too thick for the tee's length: its cover is {along} mm longer \
                 at each end of the run and {up} mm at the branch's top"
            ),
            "name the tee in the ends of the runs that meet it, or cut their covers back on site",
        );
    }
    if build.layers().len() > 1 {
        super::welds::remark_on_welds(&mut kit);
    }
    branch.put(&mut kit, shop, &Words { run: "run ", branch: "branch cover" }, 0);
    kit
}

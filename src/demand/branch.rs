//! A branch on a run: tees, and the bonnet of a valve on its body.
//!
//! Layers take turns: with the outermost layer counted 0, even ones have the run's seam through
//! the hole, odd ones are parted crosswise through it; the branch's seam lies on the acute and on
//! the obtuse side in turn. So the hole's cuts and all joints move from layer to layer. A layer
//! too wide for its rolls is parted, too.
//!
//! A standard tee is short. Where thick insulation makes the hole reach its ends, or the saddle its
//! top, the tee's cover is made longer by as much and a smallest throat (a step of the resolution at
//! the least), in all layers alike, and the runs that meet it are shorter.

use super::kit::{Kit, Part, number};
use super::seams;
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
    /// From the branch to the ends of the run's cover: on the obtuse side, on the acute side.
    pub ends: [Length; 2],
    /// From the run's axis to the top of the branch's cover.
    pub height: Length,
    /// Whether a disc closes the top layer by layer, so that each layer reaches up beside the discs of those
    /// beneath it.
    pub closed: bool,
}

impl Junction {
    /// A tee's.
    pub fn of_tee(tee: &Tee, build: &Build, shop: &Shop<'_>) -> Self {
        Self {
            run: Layer::stack(tee.run.od, build, &shop.rules.wrap),
            branch: Layer::stack(tee.branch.od, build, &shop.rules.wrap),
            angle: tee.angle,
            ends: [tee.centre_to_end, tee.acute_end],
            height: tee.branch_height,
            closed: false,
        }
    }

    /// How thick the discs are that lie on the top beneath the `i`-th layer's.
    fn discs(&self, i: usize) -> Length {
        if !self.closed {
            return Length::ZERO;
        }
        self.branch.iter().take(i).map(|layer| layer.thickness).sum()
    }

    fn saddles(&self) -> impl Iterator<Item = Saddle> {
        self.run.iter().zip(&self.branch).map(|(r, b)| Saddle::new(r, b, self.angle))
    }

    /// How much longer than itself the run's cover is at each end, and the branch's at its top.
    pub fn extra(&self, shop: &Shop<'_>) -> (Length, Length) {
        let holes: Vec<(f64, f64)> = self.saddles().map(|s| s.hole()).collect();
        let obtuse = holes.iter().map(|(a, _)| -a).fold(0.0, f64::max);
        let acute = holes.iter().map(|(_, b)| *b).fold(0.0, f64::max);
        let top = self.saddles().map(|s| s.highest()).fold(0.0, f64::max);
        let beyond = |reach: f64, has: Length| {
            // A hole that just touches the edge would part the piece.
            let step = shop.rules.resolution.cut;
            let needed = Length::from_mm_f64_up(reach).unwrap_or(Length::LIMIT)
                + shop.rules.elbow.smallest_throat.max(step);
            (needed - has).max(Length::ZERO).round_up_to(step)
        };
        // Nobody can tell which of its ends a run meets, so both are longer by as much.
        let along = beyond(obtuse, self.ends[0]).max(beyond(acute, self.ends[1]));
        let up = beyond(top, self.height);
        // Where run and branch are of one size nobody can tell which of them a pipe meets.
        let like = self.run.first() == self.branch.first();
        if like { (along.max(up), along.max(up)) } else { (along, up) }
    }

    /// Adds the covers of run and branch, layer by layer, above `beneath` layers; in as few pieces
    /// round, in all layers alike, as fit the rolls.
    pub fn put(&self, kit: &mut Kit, shop: &Shop<'_>, words: &Words, beneath: usize) {
        for (i, layer) in self.run.iter().enumerate() {
            if shop.rooms(layer.thickness).is_empty() {
                shop.no_roll(kit, layer.thickness, i);
                return;
            }
        }
        let extra = self.extra(shop);
        let mut whole = None;
        for round in 1..=MOST_ROUND {
            let laid: Result<Vec<Laid>, PatternError> =
                (0..self.run.len()).map(|i| self.layer(i, extra, round, shop)).collect();
            let Some(laid) = kit.take(laid) else { return };
            if laid.iter().all(|layer| layer.fits) {
                if round > 1 {
                    kit.remark(
                        &codes::RING_SPLIT,
                        format!("the covers of run and branch are cut into {round} pieces round"),
                        "nothing to do, or raise the pull limit",
                    );
                }
                remark_on_parting(kit, &laid, words, shop);
                // The branch is the smaller of the two.
                seams::remark_opposite(kit, &self.branch, round, shop);
                put_layers(kit, shop, words, beneath, &self.run, laid);
                return;
            }
            whole.get_or_insert(laid);
        }
        // Told as larger than every roll where it is added.
        put_layers(kit, shop, words, beneath, &self.run, whole.unwrap_or_default());
    }

    /// The pieces of one layer.
    fn layer(
        &self,
        i: usize,
        (along, up): (Length, Length),
        round: u32,
        shop: &Shop<'_>,
    ) -> Result<Laid, PatternError> {
        let sides = self.ends.map(|end| (end + along).mm_f64());
        let top = (self.height + up + self.discs(i)).mm_f64();
        let thickness = self.run[i].thickness;
        let saddle = Saddle::new(&self.run[i], &self.branch[i], self.angle);
        let even = (self.run.len() - 1 - i).is_multiple_of(2);
        let (run, parted, run_note) = run_cover(&saddle, sides, even, round, thickness, shop)?;
        let seam = if even { BranchSeam::Acute } else { BranchSeam::Obtuse };
        let sleeve = saddle.sleeve_round(top, seam, round)?;
        let sleeve_note = sleeve_note(round, self.angle == Angle::QUARTER, seam);
        let all = run.iter().map(|(_, flat, _)| flat).chain(&sleeve);
        let fit = |flat: &Flat| shop.takes(thickness, flat, &shop.wrap_turns(flat));
        let fits = all.into_iter().all(fit);
        Ok(Laid { run, parted, run_note, sleeve, sleeve_note, fits })
    }
}

/// Where the seams of a branch's cover of so many pieces round lie.
const fn sleeve_note(round: u32, square: bool, seam: BranchSeam) -> &'static str {
    match (round, square, seam) {
        // An even number of pieces, half a piece away from the other layers' seams.
        (2.., true, BranchSeam::Obtuse) if round.is_multiple_of(2) => {
            "no seam towards either end of the run"
        }
        (2.., false, BranchSeam::Obtuse) if round.is_multiple_of(2) => {
            "no seam on the acute nor on the obtuse side"
        }
        (2.., true, BranchSeam::Acute) => "one seam towards one end of the run",
        (2.., true, BranchSeam::Obtuse) => "one seam towards the other end of the run",
        (2.., false, BranchSeam::Acute) => "one seam on the acute side",
        (2.., false, BranchSeam::Obtuse) => "one seam on the obtuse side",
        (_, true, BranchSeam::Acute) => "seam towards one end of the run",
        (_, true, BranchSeam::Obtuse) => "seam towards the other end of the run",
        (_, false, BranchSeam::Acute) => "seam on the acute side",
        (_, false, BranchSeam::Obtuse) => "seam on the obtuse side",
    }
}

/// More pieces round than anybody cuts.
const MOST_ROUND: u32 = 12;

/// One layer's pieces.
struct Laid {
    run: Vec<Named>,
    /// Whether the run's cover is parted crosswise at the hole.
    parted: bool,
    run_note: &'static str,
    sleeve: Vec<Flat>,
    sleeve_note: &'static str,
    fits: bool,
}

/// Says that neighbouring layers are parted crosswise in one plane.
fn remark_on_parting(kit: &mut Kit, laid: &[Laid], words: &Words, shop: &Shop<'_>) {
    let stacked = |pair: &[Laid]| pair.iter().all(|layer| layer.parted);
    if !shop.staggers(laid.len()) || !laid.windows(2).any(stacked) {
        return;
    }
    kit.remark(
        &codes::STACKED,
        format!(
            "its cover is too wide for the rolls in one piece, so neighbouring layers are parted crosswise in \
             one plane, at the hole for the {}",
            words.what
        ),
        "offer a wider roll, or tape the joint of the inner layer on site",
    );
}

fn put_layers(
    kit: &mut Kit,
    shop: &Shop<'_>,
    words: &Words,
    beneath: usize,
    layers: &[Layer],
    laid: Vec<Laid>,
) {
    for (i, (layer, laid)) in layers.iter().zip(laid).enumerate() {
        let (number, thickness) = (number(beneath + i), layer.thickness);
        let mut put = |name: String, flat: Flat, rings: (u64, Length), note: &str| {
            let turns = shop.wrap_turns(&flat);
            let part = Part { layer: number, name, thickness, flat, turns, count: 1 };
            kit.put(shop, part, rings, Vec::new(), note);
        };
        for (name, flat, first) in laid.run {
            let ring = (u64::from(first), flat.width);
            put(format!("{}{name}", words.run), flat, ring, &words.told(laid.run_note));
        }
        let round = laid.sleeve.len();
        let along = laid.sleeve.iter().map(|flat| flat.width).max().unwrap_or_default();
        for (k, flat) in laid.sleeve.into_iter().enumerate() {
            let name = if round > 1 {
                format!("{}, part {} of {round} round", words.branch, k + 1)
            } else {
                words.branch.to_owned()
            };
            put(name, flat, (u64::from(k == 0), along), &words.told(laid.sleeve_note));
        }
    }
}

/// What run and branch are called.
pub struct Words {
    /// Before the run's piece.
    pub run: &'static str,
    /// The branch's piece.
    pub branch: &'static str,
    /// What the branch is in notes.
    pub what: &'static str,
    /// What it stands on, in notes.
    pub along: &'static str,
}

impl Words {
    /// A note about the branch of a run, told of these.
    fn told(&self, note: &str) -> String {
        let note = note.replace("the branch", &format!("the {}", self.what));
        note.replace("the run", &format!("the {}", self.along))
    }
}

/// A piece's name and shape, and whether it is the first of its ring.
type Named = (&'static str, Flat, bool);

/// The pieces of the run's cover, whether they are parted crosswise at the hole, and what is noted of them.
fn run_cover(
    saddle: &Saddle,
    sides: [f64; 2],
    even: bool,
    round: u32,
    thickness: Length,
    shop: &Shop<'_>,
) -> Result<(Vec<Named>, bool, &'static str), PatternError> {
    // At right angles one half is the other turned round, and so is one side.
    let square = (saddle.angle - std::f64::consts::FRAC_PI_2).abs() < 1e-9;
    if even && let Some(mut flats) = seamed(saddle, sides, round)? {
        let fit = |flat: &Flat| shop.takes(thickness, flat, &shop.wrap_turns(flat));
        if flats.iter().all(fit) {
            if square && flats.len() > 1 {
                flats[1] = flats[0].clone();
            }
            let name = |k: usize| match (round, k) {
                (1, _) => "cover",
                (_, 0 | 1) => "cover beside the hole",
                _ => "cover, plain part",
            };
            let named = flats.into_iter().enumerate().map(|(k, flat)| (name(k), flat, k == 0));
            return Ok((named.collect(), false, "seam through the hole"));
        }
    }
    let [obtuse, acute] = saddle.parted_round(sides[0], sides[1], round, !even)?;
    let note = match (round, even) {
        (1, _) => "parted at the hole, seam opposite the branch",
        (_, true) => "parted at the hole, one seam through its middle",
        (_, false) => "parted at the hole, no seam through its middle",
    };
    // What has nothing of the hole is a rectangle.
    let named = |[beside, plain]: [&'static str; 2], flats: Vec<Flat>| {
        let name = move |flat: &Flat| if flat.outline.is_some() { beside } else { plain };
        flats.into_iter().enumerate().map(move |(k, flat)| (name(&flat), flat, k == 0))
    };
    let pieces = if square {
        let names = ["half cover", "half cover, plain part"];
        named(names, acute.clone()).chain(named(names, acute)).collect()
    } else {
        named(["half cover, obtuse side", "half cover, obtuse side, plain part"], obtuse)
            .chain(named(["half cover, acute side", "half cover, acute side, plain part"], acute))
            .collect()
    };
    Ok((pieces, true, note))
}

/// The cover with its seam through the hole; `None` where the hole is too large for the pieces
/// beside it.
fn seamed(saddle: &Saddle, sides: [f64; 2], round: u32) -> Result<Option<Vec<Flat>>, PatternError> {
    match saddle.seamed_round(sides[0], sides[1], round) {
        Ok(flats) => Ok(Some(flats)),
        Err(PatternError::Short) if round > 1 => Ok(None),
        Err(error) => Err(error),
    }
}

/// The pieces of a tee.
pub fn kit(tee: &Tee, build: &Build, shop: &Shop<'_>) -> Kit {
    let mut kit = Kit::default();
    let branch = Junction::of_tee(tee, build, shop);
    super::welds::remark_on_welds(&mut kit, build.layers().len(), shop);
    branch.put(
        &mut kit,
        shop,
        &Words { run: "run ", branch: "branch cover", what: "branch", along: "run" },
        0,
    );
    kit
}

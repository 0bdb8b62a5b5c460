//! The rules, valid and with their defaults.
//!
//! None of these replaces the project's insulation specification, local codes or licensed
//! practice.

use super::choose::Choose;
use crate::cutting::{Objective, Style};
use crate::standards::Diameters;
use crate::units::{Angle, Decimal, Length};
use std::collections::BTreeMap;

/// All rules of a job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Rules {
    /// `[joints]`
    pub joints: Joints,
    /// `[wrap]`
    pub wrap: Wrap,
    /// `[table]`
    pub table: Table,
    /// `[elbow]`
    pub elbow: Elbows,
    /// `[head]`
    pub head: Heads,
    /// `[turning]`
    pub turning: Turning,
    /// `[offcuts]`
    pub offcuts: Offcuts,
    /// `[resolution]`
    pub resolution: Resolution,
    /// `[takeoff]`
    pub lengths: Lengths,
    /// `[takeoff]`: which outside diameters `DN` sizes stand for. Default ASME.
    pub diameters: Diameters,
    /// `[order]`
    pub order: Order,
    /// `[securement]`
    pub securement: Securement,
    /// `[vertical]`
    pub vertical: Vertical,
    /// `[sequence]`
    pub sequence: Sequence,
    /// `[rates]`
    pub rates: Rates,
    /// `[choose]`
    pub choose: Choose,
}

/// Joints between pieces of one layer and their stagger against the neighbouring layers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Joints {
    /// Least distance between joints of neighbouring layers, along the pipe and around it.
    /// Default 75 mm; common practice, no source.
    pub stagger: Length,
    /// How pieces of one layer meet.
    pub kind: JointKind,
    /// How far a lap joint laps along and around; used by [`JointKind::Lap`] only. Default 25 mm;
    /// weak common practice, no source.
    pub lap: Length,
    /// The narrowest piece worth cutting, along the pipe. Default 100 mm: smaller pieces hold no
    /// two ties and fray; common practice, no source.
    pub smallest_piece: Length,
    /// Where the first layer's longitudinal seam lies, in degrees clockwise from the top as seen
    /// looking along the run. Default 90 (side of the pipe); common practice, no source.
    pub first_seam: Angle,
}

impl Default for Joints {
    fn default() -> Self {
        Self {
            stagger: Length::from_mm(75),
            kind: JointKind::Butt,
            lap: Length::from_mm(25),
            smallest_piece: Length::from_mm(100),
            first_seam: Angle::QUARTER,
        }
    }
}

/// How pieces of one layer meet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum JointKind {
    /// Edge to edge (`butt`).
    #[default]
    Butt,
    /// One over the other, outermost layer only (`lap`).
    Lap,
}

/// Where in the blanket's thickness the wrap's length is measured.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrap {
    /// 0 inner face, 0.5 middle, 1 outer face. Default 0.5, which keeps the blanket's
    /// cross-section exactly (derived); a property of the product that should be measured.
    pub factor: Decimal,
    /// The factor for a thickness, where it differs.
    pub by_thickness: BTreeMap<Length, Decimal>,
    /// The least number of equal parts into which a ring of pipe or of a shell is cut, 1 to 64. Default 1: as few as
    /// roll and table allow.
    pub ring_parts: u32,
    /// On pipe of at most this outside diameter, neighbouring layers of one thickness are wound
    /// from one piece. Default 0: never, because the turns share their joints along the pipe.
    pub wound_up_to: Length,
    /// The thickest blanket that is wound so. Default 5 mm; common practice, no source.
    pub wound_thickness: Length,
}

impl Default for Wrap {
    fn default() -> Self {
        Self {
            factor: Decimal::from_millionths(500_000),
            by_thickness: BTreeMap::new(),
            ring_parts: 1,
            wound_up_to: Length::ZERO,
            wound_thickness: Length::from_mm(5),
        }
    }
}

impl Wrap {
    /// The factor for a thickness.
    #[must_use]
    pub fn factor_for(&self, thickness: Length) -> Decimal {
        self.by_thickness.get(&thickness).copied().unwrap_or(self.factor)
    }
}

/// The cutting table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// The longest pull. Default none. Hand tables are 3 to 6 m; common practice, no source.
    pub pull_limit: Option<Length>,
    /// Cut off each roll's front once. Default 50 mm; common practice, no source.
    pub square_cut: Length,
    /// Cut off each long edge. Default 0.
    pub edge_trim: Length,
    /// Free distance between pieces. Default 0 (one cut serves both).
    pub gap: Length,
    /// Straight cuts, or any line a knife can follow. Default straight.
    pub style: Style,
    /// For straight cuts 2 or 3 stages, or any number. Default 3.
    pub stages: Option<u8>,
}

impl Default for Table {
    fn default() -> Self {
        Self {
            pull_limit: None,
            square_cut: Length::from_mm(50),
            edge_trim: Length::ZERO,
            gap: Length::ZERO,
            style: Style::Straight,
            stages: Some(3),
        }
    }
}

/// Elbows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Elbows {
    /// Elbows on pipe of at most this outside diameter are cut in one piece that opens and closes
    /// along one seam; larger ones gore by gore. Default NPS 8 (219.1 mm); common practice, no
    /// source.
    pub one_piece_up_to: Length,
    /// Number of gores for 90 degrees; `None` chooses by [`Elbows::tolerance`].
    pub gores: Option<u32>,
    /// The furthest the gored surface may stand off the true bend at the heel. Default 6 mm.
    pub tolerance: Length,
    /// The narrowest throat of a gore. Default 25 mm; weak common practice, no source.
    pub smallest_throat: Length,
    /// The narrowest throat of an elbow in one piece, where the gores hang together at the heel and
    /// may run almost to a point. Default 2 mm; weak common practice, no source.
    pub smallest_tooth: Length,
    /// Where a gore's seam lies.
    pub seam: Seam,
    /// The greatest distance between a true curve and the straight edges that stand for it.
    /// Default 0.25 mm.
    pub chord_error: Length,
    /// Material left between the darts of a one-piece elbow at its spine. Default 50 mm.
    pub bridge: Length,
}

impl Default for Elbows {
    fn default() -> Self {
        Self {
            one_piece_up_to: Length::from_nm(219_100_000),
            gores: None,
            tolerance: Length::from_mm(6),
            smallest_throat: Length::from_mm(25),
            smallest_tooth: Length::from_mm(2),
            seam: Seam::Throat,
            chord_error: Length::from_nm(250_000),
            bridge: Length::from_mm(50),
        }
    }
}

/// Dished ends and caps.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Heads {
    /// The least number of petals, 4 to 200; an odd one counts as the next even. `None`, the default,
    /// takes twelve, eight where the rim's radius is 300 mm or less, and fewer than twelve, down to eight,
    /// where that keeps the stagger; common practice, no source.
    pub petals: Option<u32>,
}

/// Where the seam of a gore lies.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    serde::Serialize,
    serde::Deserialize,
)]
#[serde(rename_all = "lowercase")]
pub enum Seam {
    /// At the inside of the bend (`throat`): pieces widest in the middle. Common practice on
    /// large elbows, no source.
    #[default]
    Throat,
    /// At the outside of the bend (`heel`): pieces narrowest in the middle.
    Heel,
    /// Neighbouring gores at throat and heel in turn (`alternate`): they lie in one another
    /// without waste.
    Alternate,
}

/// Turning pieces on the roll.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Turning {
    /// Whether a piece may lie with its length across the roll. Default no: whether the blanket
    /// wraps equally well both ways is a property of the product.
    pub quarter_turns: bool,
}

/// What is worth keeping.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offcuts {
    /// Narrowest offcut kept. Default 300 mm; common practice, no source.
    pub keep_width: Length,
    /// Shortest offcut kept. Default 500 mm; common practice, no source.
    pub keep_length: Length,
}

impl Default for Offcuts {
    fn default() -> Self {
        Self { keep_width: Length::from_mm(300), keep_length: Length::from_mm(500) }
    }
}

/// How fine the shop cuts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Resolution {
    /// Rectangular sizes are rounded up to a multiple of this. Default 1 mm.
    pub cut: Length,
}

impl Default for Resolution {
    fn default() -> Self {
        Self { cut: Length::from_mm(1) }
    }
}

/// What the lengths in the takeoff mean.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lengths {
    /// Net between fittings (`net`).
    #[default]
    Net,
    /// Along the centreline through fittings (`through`): the fittings' take-outs come off.
    Through,
}

/// What is ordered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Order {
    /// The fewest rolls, or the lowest price. Default rolls.
    pub objective: Objective,
    /// Spare rolls of each thickness, on top. Default 0.
    pub spare_rolls: u64,
}

impl Default for Order {
    fn default() -> Self {
        Self { objective: Objective::Rolls, spare_rolls: 0 }
    }
}

/// Ties that hold each piece.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Securement {
    /// Distance between ties along the pipe. Default 300 mm; common practice, no source.
    pub spacing: Length,
}

impl Default for Securement {
    fn default() -> Self {
        Self { spacing: Length::from_mm(300) }
    }
}

/// Vertical runs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Vertical {
    /// Greatest distance between support rings. Default 4 m; common practice, no source.
    pub ring_spacing: Length,
    /// Left free below each ring. Default 0.
    pub ring_gap: Length,
}

impl Default for Vertical {
    fn default() -> Self {
        Self { ring_spacing: Length::from_mm(4000), ring_gap: Length::ZERO }
    }
}

/// The order of cutting: what counts how much. Weights are points; only their ratios matter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sequence {
    /// Whether pulls may be cut before those that an earlier release still waits for.
    pub release: Releases,
    /// Points for each kit of the most that are open at once. Default 100; our choice:
    /// `rollwright weights` shows what it costs in hours.
    pub open_kits: u64,
    /// Points for each kit that is open, averaged over all pulls. Default 100; our choice.
    pub held_kits: u64,
    /// Points for each change of the knives' places. Default 10; our choice.
    pub setup: u64,
    /// Points for each change of the roll on the table. Default 50; our choice: a roll is heavy.
    pub roll_change: u64,
    /// Points for each pull that is cut while an earlier release waits; with weighed releases
    /// only. Default 100; our choice.
    pub late: u64,
    /// Points for each metre of roll that is used up, where pulls may be formed for few kits. Default
    /// 500; our choice: blanket is dearer than order.
    pub blanket: u64,
}

impl Default for Sequence {
    fn default() -> Self {
        Self {
            release: Releases::Hard,
            open_kits: 100,
            held_kits: 100,
            setup: 10,
            roll_change: 50,
            late: 100,
            blanket: 500,
        }
    }
}

/// What an earlier release means for the order of cutting.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Releases {
    /// No pull of a later release is cut while an earlier one waits (`hard`).
    #[default]
    Hard,
    /// It may be, at a price in points, and the plan says how often (`weighed`).
    Weighed,
}

/// How fast the table works. All defaults are placeholders, to be measured in the shop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rates {
    /// Straight cutting in a minute. Default 6 m; placeholder.
    pub straight: Length,
    /// Cutting along an outline in a minute. Default 2 m; placeholder.
    pub outline: Length,
    /// Drawing off one pull, seconds. Default 30; placeholder.
    pub pull: u64,
    /// Setting the knives to new places, seconds. Default 60; placeholder.
    pub setup: u64,
    /// Changing the roll, seconds. Default 300; placeholder.
    pub roll_change: u64,
    /// Marking and stacking one piece, seconds. Default 8; placeholder.
    pub piece: u64,
}

impl Default for Rates {
    fn default() -> Self {
        Self {
            straight: Length::from_mm(6000),
            outline: Length::from_mm(2000),
            pull: 30,
            setup: 60,
            roll_change: 300,
            piece: 8,
        }
    }
}

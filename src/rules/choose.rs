//! What the nest may choose.

use crate::units::Length;

/// What the nest may choose.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(clippy::struct_excessive_bools, reason = "each is a rule of its own")]
pub struct Choose {
    /// Whether it may choose where the joints of straight runs lie. Default no: joints lie as
    /// specified.
    pub joints: bool,
    /// Whether the nest may choose builds of the same thickness: a layer halved, or two made one.
    /// Default no: the specification decides.
    pub builds: bool,
    /// Whether elbows small enough for one piece may be cut gore by gore, too. Default no.
    pub elbows: bool,
    /// Whether the seams of elbows may lie otherwise. Default no.
    pub seams: bool,
    /// Whether pipe that may be wound from one piece may be wrapped layer by layer, too. Default no.
    pub windings: bool,
    /// Whether the rings of pipe and of shells may be cut into more parts than need be, and dished heads and caps into
    /// more petals. Default no.
    pub parts: bool,
    /// The most pieces that builds, elbows, seams, windings and parts may take beyond those specified, in
    /// hundredths of them. Default 2; our choice.
    pub more_pieces: u64,
    /// The most joints along all runs together beyond those specified, in hundredths of them.
    /// Default 0.
    pub more_joints: u64,
    /// The most joints of one layer of one run beyond those specified. Default 1.
    pub joints_a_layer: u64,
    /// The longest course cut along the roll, where pieces may be turned by a quarter; `None`: no
    /// course is longer than the roll is wide. Default none.
    pub longest_course: Option<Length>,
    /// Minutes of work that one joint along a run, or one further piece, takes: cut, label, fit, tie.
    /// Default 10; weak common practice, no source: measure your own.
    pub joint_minutes: u64,
    /// What an hour of that work costs, in whole units of currency; where a choice saves blanket alone, an hour
    /// at the cutting table as well. Default 0: joints are counted, not priced.
    pub hour_price: u64,
}

impl Default for Choose {
    fn default() -> Self {
        Self {
            joints: false,
            builds: false,
            elbows: false,
            seams: false,
            windings: false,
            parts: false,
            more_pieces: 2,
            more_joints: 0,
            joints_a_layer: 1,
            longest_course: None,
            joint_minutes: 10,
            hour_price: 0,
        }
    }
}

impl Choose {
    /// The most joints of one layer beyond those specified, to add to a number of courses.
    #[must_use]
    pub fn further_joints(&self) -> usize {
        usize::try_from(self.joints_a_layer).unwrap_or(usize::MAX)
    }

    /// The most joints of all runs beyond those specified, of which there are so many.
    #[must_use]
    pub fn joints_beyond(&self, specified: u64) -> i64 {
        let more = u128::from(specified) * u128::from(self.more_joints) / 100;
        i64::try_from(more).unwrap_or(i64::MAX)
    }

    /// The most pieces that builds, elbows, seams, windings and parts may take beyond those specified, of which
    /// there are so many.
    #[must_use]
    pub fn pieces_beyond(&self, specified: u64) -> i64 {
        let more = u128::from(specified) * u128::from(self.more_pieces) / 100;
        i64::try_from(more).unwrap_or(i64::MAX)
    }

    /// Whether anything but joints may be chosen.
    #[must_use]
    pub const fn any_making(&self) -> bool {
        self.builds || self.elbows || self.seams || self.windings || self.parts
    }

    /// Whether anything may be chosen.
    #[must_use]
    pub const fn any(&self) -> bool {
        self.joints || self.any_making()
    }

    /// The same, with nothing to choose.
    #[must_use]
    pub const fn nothing(self) -> Self {
        let (joints, builds, elbows, seams) = (false, false, false, false);
        Self { joints, builds, elbows, seams, windings: false, parts: false, ..self }
    }

    /// What so many joints, or further pieces, cost in millionths of a unit of currency.
    #[must_use]
    pub fn joints_cost(&self, joints: i64) -> i64 {
        let rate = i128::from(self.joint_minutes) * i128::from(self.hour_price) * 1_000_000 / 60;
        i64::try_from(i128::from(joints) * rate).unwrap_or(if joints < 0 {
            i64::MIN
        } else {
            i64::MAX
        })
    }
}

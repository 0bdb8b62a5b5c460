//! The ends at which runs meet an item, and how much of a through-length each takes out.
//!
//! A through-length is measured along the centreline to where centrelines cross; at a fitting that
//! lies in line it is measured to the fitting's middle, so that the runs on both sides together
//! take out the whole of it.
//!
//! | item | take-out at each end |
//! |---|---|
//! | elbow | R tan(angle / 2); R for a return bend, measured to its furthest point |
//! | tee | centre to end on the run (where its two ends differ each its own), branch height on the branch |
//! | reducer | half its length |
//! | cap | its length: the run is measured to the crown |
//! | flange pair | one flange's thickness and half the gasket; the hub is covered with the pipe |
//! | valve | half its face-to-face length, one gasket and one flange's thickness |
//! | another pipe, a shell or a head | nothing |

use super::domain::{Bare, Item, Kind};
use crate::standards::take_out;
use crate::units::Length;

/// The end of a tee's branch.
pub(super) const BRANCH: &str = "branch";
/// The ends of a slanted tee's run where they differ, by the side of its branch on which they lie.
pub(super) const OBTUSE: &str = "obtuse";
/// As [`OBTUSE`].
pub(super) const ACUTE: &str = "acute";

/// Like ends of an item.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Port {
    /// Which of a tee's ends, for names such as `T-1 branch`.
    pub(super) name: Option<&'static str>,
    /// Outside diameter of the pipe that fits; `None` fits any.
    pub(super) od: Option<Length>,
    /// How many such ends one item has; `None` is without limit.
    pub(super) count: Option<u64>,
    /// What it takes out.
    pub(super) take_out: Length,
}

/// Like ends of an item, and how many of them are left; `None` is without limit.
pub(super) type Left = Vec<(Port, Option<u64>)>;

/// The ends of so many like items, none of them taken.
pub(super) fn all_left(item: &Item) -> Left {
    let many = |port: Port| {
        let count = port.count.map(|each| each.saturating_mul(item.quantity));
        (port, count)
    };
    ports(&item.kind).into_iter().map(many).collect()
}

/// The ends of an item; none where no run can meet it.
pub(super) fn ports(kind: &Kind) -> Vec<Port> {
    let half = |length: Length| Length::from_nm(length.nm() / 2);
    let port = |od: Length, count: u64, take_out: Length| Port {
        name: None,
        od: Some(od),
        count: Some(count),
        take_out,
    };
    match kind {
        Kind::Pipe(pipe) => vec![port(pipe.size.od, 2, Length::ZERO)],
        Kind::Elbow(elbow) => {
            let out = take_out(elbow.radius, elbow.angle).unwrap_or(elbow.radius);
            vec![port(elbow.size.od, 2, out + elbow.straight)]
        }
        Kind::Tee(tee) => {
            let branch = Port { name: Some(BRANCH), ..port(tee.branch.od, 1, tee.branch_height) };
            let end = |name, count, out| Port { name: Some(name), ..port(tee.run.od, count, out) };
            if tee.acute_end == tee.centre_to_end {
                return vec![end("run", 2, tee.centre_to_end), branch];
            }
            vec![end(OBTUSE, 1, tee.centre_to_end), end(ACUTE, 1, tee.acute_end), branch]
        }
        Kind::Reducer(reducer) => vec![
            port(reducer.large.od, 1, half(reducer.length)),
            port(reducer.small.od, 1, half(reducer.length)),
        ],
        Kind::Cap(cap) => vec![port(cap.size.od, 1, cap.length)],
        Kind::Flange(flange) => {
            let sides = if flange.bare == Bare::Blind { 1 } else { 2 };
            vec![port(flange.size.od, sides, flange.thickness + half(flange.gasket))]
        }
        Kind::Valve(valve) => {
            let flange = &valve.flange;
            let out = half(valve.face_to_face) + flange.gasket + flange.thickness;
            vec![port(flange.size.od, 2, out)]
        }
        Kind::Shell(_) | Kind::Head(_) => {
            vec![Port { name: None, od: None, count: None, take_out: Length::ZERO }]
        }
        Kind::Disc(_) => Vec::new(),
    }
}

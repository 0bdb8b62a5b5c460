//! Dimensions of pipe, fittings, flanges and valves, each figure with its evidence.
//!
//! Figures stand in `tables/*.csv`, one row a size. None was read from the priced standard itself
//! except the Class 150 stud lengths; each row says how well it is supported ([`Evidence`]), and
//! whoever uses a weak figure is told so. Figures are facts; a measured dimension in the takeoff
//! overrides any of them.
//!
//! | table | standard it follows |
//! |---|---|
//! | outside diameters | ASME B36.10M; EN 10220 series 1 (ISO series A) for DN sizes on request |
//! | elbows, tees, reducers, caps | ASME B16.9 |
//! | weld-neck flanges, Class 150 and 300 | ASME B16.5 |
//! | valves, face to face | ASME B16.10 |

mod cap;
mod elbow;
mod figure;
mod flange;
mod nominal;
mod pipe;
mod reducer;
mod size;
mod tee;
mod valve;

pub use cap::cap_length;
pub use elbow::{Bend, bend_radius, straight_end, take_out};
pub use figure::{Evidence, Figure};
pub use flange::{FlangeFigures, flange, has_flanges};
pub use nominal::{nps_64ths, nps_text};
pub use pipe::{Diameters, PipeRow, pipe_rows};
pub use reducer::reducer_length;
pub use size::{Size, SizeError};
pub use tee::{TeeFigures, tee};
pub use valve::{ValveKind, face_to_face};

//! Bounds hold whatever the functions: pairs of dual feasible functions drawn by lot, over the sizes
//! that pieces grow to, never give a bound above what others have cut the pieces from.

use super::bound::{Side, weigh};
use super::task::Task;
use crate::nest::bound::DualFeasible;
use crate::nest::read;
use crate::nest::straight::lots::Lots;
use std::io::Write as _;
use std::path::Path;

/// Sets of rectangles.
const SETS: [&str; 5] = [
    "csp2d_cintra_gcutd",
    "csp2d_silva2010_literature30",
    "bp2d_berkey_martello",
    "csp2d_imahori2005",
    "strip_packing_rect",
];

/// Pairs drawn for each instance.
const PAIRS: usize = 20;

#[test]
fn functions_by_lot_never_exceed_what_is_known() {
    let mut lots = Lots::new(7);
    for set in SETS {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../shared/data/{set}.json"));
        let Ok(bytes) = std::fs::read(&path) else {
            let _ = writeln!(std::io::stderr(), "SKIPPED: {} is missing", path.display());
            continue;
        };
        let mut bounds = 0;
        for instance in read(set, &bytes).unwrap().into_iter().filter_map(|entry| entry.instance) {
            let Some(known) = instance.published.as_ref().and_then(|p| p.value) else { continue };
            let task = Task::new(&instance).unwrap();
            let across = Side::new(&task, |s| s.w, task.rooms.iter().map(|r| r.width));
            let along = Side::new(&task, |s| s.h, task.rooms.iter().map(|r| r.length));
            for _ in 0..PAIRS {
                let mut drawn = |side: &Side| {
                    let of = |capacity| DualFeasible::drawn(capacity, &mut |n| lots.number(n));
                    side.same.map_or(DualFeasible::Identity, of)
                };
                let (f, g) = (drawn(&across), drawn(&along));
                let weighed = weigh(&instance, &task, (&across, f), (&along, g));
                let Some(certificate) = weighed else { continue };
                let bound = certificate.bound(&instance).unwrap();
                assert!(bound <= known, "{}: {f:?} {g:?}: {bound} above {known}", instance.name);
                bounds += 1;
            }
        }
        assert!(bounds > 0, "{set} gave no bound at all");
    }
}

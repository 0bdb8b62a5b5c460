//! A roll without end as one roll of a length that is tried.
//!
//! Strips are cut across into pulls, which are priced at chosen lengths: those of a piece or two. Rolls that end are filled
//! as a whole instead, without such a choice, and where three stages are allowed they may be cut along first, from end to
//! end ([`super::straight`]). So a length between what is proven and what was found is halved again and again, and the
//! engine asked whether one roll so long holds the pieces.

use super::watch::{Hushed, Share};
use super::{Instance, NestError, Nesting, Options, Roll, Status, Watch};
use crate::cutting::{Objective, Style};
use crate::units::Length;

/// So many lengths are tried.
const TRIES: u64 = 6;

/// One part in so many of the work goes into the tries.
const SHARE: u64 = 4;

/// A strip of more pieces than these is nearly as short in pulls, and takes long as one roll.
const MOST: u64 = 150;

/// The work for the tries, of that which is allowed; `None` where they would be of no use.
pub(super) fn work(instance: &Instance, options: &Options) -> Option<u64> {
    let cutting = &instance.cutting;
    let takes = instance.objective == Objective::Length
        && cutting.style == Style::Straight
        && cutting.stages.is_some()
        && instance.demand() <= MOST;
    takes.then_some(options.work / SHARE)
}

/// A shorter strip, or the one that there is.
pub(super) fn shorten(
    instance: &Instance,
    strip: Nesting,
    options: &Options,
    watch: &dyn Watch,
    solve: impl Fn(&Instance, &Options, &dyn Watch) -> Result<Nesting, NestError>,
) -> Nesting {
    let mut best = strip;
    let mut least = best.bound;
    let tried = Options { work: options.work / TRIES, ..*options };
    for to_come in (1..=TRIES).rev() {
        let long = if to_come == TRIES { least } else { i64::midpoint(least, best.value - 1) };
        let length = Some(Length::from_nm(long));
        let open = best.status == Status::Feasible && (least..best.value).contains(&long);
        if !open || watch.stop() {
            break;
        }
        let rolls =
            instance.rolls.iter().map(|roll| Roll { length, available: None, ..roll.clone() });
        let one =
            Instance { rolls: rolls.collect(), objective: Objective::Rolls, ..instance.clone() };
        let share = Share::of(watch, 1, to_come);
        let found = solve(&one, &tried, &Hushed(&share)).ok();
        let found = found.filter(|found| found.used(1) == [1]);
        match found.map(|found| Nesting::known(instance, found.layouts)) {
            Some(shorter) if shorter.value < best.value => best = best.replaced_by(shorter),
            _ => least = long + 1,
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::super::{Quiet, sample, solve};
    use super::*;

    /// A strip made by cutting one of 1000 x 1285 first along, then across, then along again, 3 mm between all pieces (a
    /// reviewer's): nothing is wasted, so no strip is shorter. As pulls it took 1,432. So short pulls do as well.
    #[test]
    fn a_strip_that_was_first_cut_along_is_found() {
        let pieces = [
            (343, 141, 1),
            (343, 142, 1),
            (654, 142, 1),
            (654, 141, 1),
            (332, 277, 1),
            (332, 217, 1),
            (331, 144, 1),
            (331, 175, 1),
            (331, 172, 1),
            (331, 247, 2),
            (343, 347, 1),
            (343, 146, 1),
            (654, 121, 3),
            (654, 124, 1),
        ];
        let piece = |(k, (width, length, quantity)): (usize, &(i64, i64, u64))| {
            format!(
                r#"{{ "id": "p{k}", "width": {width}, "length": {length}, "quantity": {quantity}, "turns": [0] }}"#
            )
        };
        let pieces: Vec<String> = pieces.iter().enumerate().map(piece).collect();
        let instance = |cutting: &str| {
            sample::instance(&format!(
                r#"{{ "name": "a", "objective": "length", "cutting": {{ "style": "straight", "gap": 3, {cutting} }},
                    "rolls": [ {{ "id": "R", "width": 1000, "length": null }} ], "pieces": [ {} ] }}"#,
                pieces.join(", ")
            ))
        };
        let options = Options { seed: 1, work: 400_000 };
        for cutting in [r#""stages": 3"#, r#""stages": 3, "pull_limit": 700"#] {
            let found = solve(&instance(cutting), &options, &Quiet).unwrap();
            assert_eq!((found.value, found.status), (1_285_000_000, Status::Proven), "{cutting}");
        }
        // Two stages do not do it.
        let found = solve(&instance(r#""stages": 2"#), &options, &Quiet).unwrap();
        assert!(found.value > 1_285_000_000, "{}", found.value);
    }
}

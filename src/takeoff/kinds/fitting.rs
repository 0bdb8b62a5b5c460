//! Elbows, tees, reducers and caps.

use crate::finding::codes::takeoff as codes;
use crate::standards::{
    Bend, bend_radius, cap_length, reducer_length, straight_end, tee as tee_figures,
};
use crate::table::quoted;
use crate::takeoff::desk::Desk;
use crate::takeoff::domain::{Cap, Elbow, Reducer, Size, Tee};
use crate::takeoff::record::TakeoffRecord;
use crate::units::{Angle, Length, UnitError};
use std::ops::RangeInclusive;

/// How far an elbow turns: above 0 and at most 180 degrees.
const TURN: RangeInclusive<Angle> = Angle::from_microdegrees(1)..=Angle::from_degrees(180);
/// How a branch leaves its run: 15 to 90 degrees; flatter ones are not made.
const BRANCH: RangeInclusive<Angle> = Angle::from_degrees(15)..=Angle::QUARTER;

pub(super) fn elbow(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) -> Option<Elbow> {
    let size = desk.size(&record.size);
    let angle = desk.angle(&record.angle, &TURN, "above 0 and at most 180 degrees");
    let size = size?;
    let bend = match record.radius.text().to_ascii_lowercase().as_str() {
        "" | "long" => Some((Bend::Long, "long")),
        "short" => Some((Bend::Short, "short")),
        _ => None,
    };
    let radius = radius(record, desk, &size, bend);
    let (angle, radius) = (angle?, radius?);
    let figure =
        size.nps_64ths.zip(bend).and_then(|(nps, (bend, _))| straight_end(nps, bend, angle));
    let straight = figure.map_or(Length::ZERO, |figure| figure.value);
    Some(Elbow { size, angle, radius, straight })
}

/// Long, short or a length, and not tighter than the pipe.
fn radius(
    record: &TakeoffRecord<'_>,
    desk: &mut Desk<'_, '_>,
    size: &Size,
    bend: Option<(Bend, &str)>,
) -> Option<Length> {
    let cell = &record.radius;
    if let Some((bend, word)) = bend {
        let figure = size.nps_64ths.and_then(|nps| bend_radius(nps, bend));
        if let Some(figure) = figure {
            desk.weak.note(
                &figure,
                "bend radius",
                &format!("the {word} {} elbow", size.text),
                cell,
            );
            return Some(figure.value);
        }
        let what = format!("the tables hold no {word} bend radius for {}", size.text);
        desk.reader.tell(&codes::MEASURE, cell, what, "measure it and fill in `radius`");
        return None;
    }
    let remedy = "write long, short, or the radius to the centreline, such as 229";
    let parsed = Length::parse(cell.text()).map_err(|error| match error {
        UnitError::UnknownUnit(word) => UnitError::NotANumber(word),
        other => other,
    });
    let radius = desk.reader.read(cell, parsed, "a bend radius", remedy)?;
    desk.reader.tell_overfull(cell, radius);
    if radius + radius < size.od || radius > Length::from_mm(100_000) {
        let what =
            format!("a bend radius of {} is not possible on {}", quoted(cell.text()), size.text);
        let remedy = format!(
            "give the radius to the centreline, at least half the outside diameter of {} mm and at \
             most 100 m",
            size.od
        );
        desk.reader.tell(&codes::RADIUS, cell, what, remedy);
        return None;
    }
    Some(radius)
}

pub(super) fn tee(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) -> Option<Tee> {
    let run = desk.size(&record.size);
    let branch = if record.size2.is_empty() { run.clone() } else { desk.size(&record.size2) };
    let angle = desk.angle(&record.angle, &BRANCH, "from 15 to 90 degrees");
    let (run, branch, angle) = (run?, branch?, angle?);
    if branch.od > run.od {
        let what = format!("the branch {} is larger than the run {}", branch.text, run.text);
        let remedy = "put the run into `size` and the branch into `size2`";
        desk.reader.tell(&codes::BRANCH, &record.size2, what, remedy);
        return None;
    }
    let figures = run
        .nps_64ths
        .zip(branch.nps_64ths)
        .filter(|_| angle == Angle::QUARTER)
        .and_then(|(run, branch)| tee_figures(run, branch));
    let of = if angle == Angle::QUARTER {
        format!("the {} x {} tee", run.text, branch.text)
    } else {
        format!("the {} x {} branch at {angle} degrees", run.text, branch.text)
    };
    let centre_to_end = desk.dimension(
        &record.centre_to_end,
        figures.map(|f| f.centre_to_end),
        "centre-to-end length",
        &of,
    );
    let branch_height = desk.dimension(
        &record.branch_height,
        figures.map(|f| f.branch_height),
        "branch height",
        &of,
    );
    let acute_end =
        if record.acute_end.is_empty() { centre_to_end } else { desk.measured(&record.acute_end) };
    let (centre_to_end, acute_end, branch_height) = (centre_to_end?, acute_end?, branch_height?);
    let two_ends = acute_end != centre_to_end;
    let slanted = !two_ends || angle != Angle::QUARTER;
    let slanted = desk.agree(&record.acute_end, slanted, || {
        "a branch at right angles has no acute side".to_owned()
    });
    let run_good = desk.agree(&record.centre_to_end, centre_to_end + acute_end > branch.od, || {
        format!(
            "a tee {centre_to_end} mm from centre to end has no room for the branch {}",
            branch.text
        )
    });
    let branch_good =
        desk.agree(&record.branch_height, branch_height + branch_height > run.od, || {
            format!("a branch {branch_height} mm high ends inside the run {}", run.text)
        });
    let good = run_good && branch_good && slanted;
    good.then_some(Tee { run, branch, angle, centre_to_end, acute_end, branch_height })
}

pub(super) fn reducer(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) -> Option<Reducer> {
    let large = desk.size(&record.size);
    let small = desk.size(&record.size2);
    let words = [("concentric", false), ("eccentric", true)];
    let eccentric = record.form.or(false, |cell| desk.reader.word(cell, &words));
    let (large, small) = (large?, small?);
    if large.od <= small.od {
        let what = if large.od == small.od {
            format!("both ends of the reducer are {}", large.text)
        } else {
            format!("the large end {} is smaller than the small end {}", large.text, small.text)
        };
        let remedy = "put the large end into `size` and the small end into `size2`";
        desk.reader.tell(&codes::REDUCER, &record.size2, what, remedy);
        return None;
    }
    let figure = large
        .nps_64ths
        .zip(small.nps_64ths)
        .and_then(|(large, small)| reducer_length(large, small));
    let of = format!("the {} x {} reducer", large.text, small.text);
    let length = desk.dimension(&record.length, figure, "length", &of)?;
    Some(Reducer { large, small, length, eccentric: eccentric? })
}

pub(super) fn cap(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) -> Option<Cap> {
    let size = desk.size(&record.size)?;
    let figure = size.nps_64ths.and_then(cap_length);
    let length =
        desk.dimension(&record.length, figure, "length", &format!("the {} cap", size.text))?;
    let good = desk.agree(&record.length, length.nm() * 4 >= size.od.nm(), || {
        format!("a cap {length} mm long is flatter than its form allows on {}", size.text)
    });
    good.then_some(Cap { size, length })
}

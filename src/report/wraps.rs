//! Measured wraps: how each agrees with the fitted factor, what the factors are, and what they are
//! worth on a job.

use super::table::{Cell, Table};
use crate::demand::Demand;
use crate::measured::Wrap;
use crate::pattern::fit::Fitted;
use crate::rules::Rules;
use crate::stock::Stock;
use crate::units::{Area, Length};
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// Every wrap, in the order of its file: measured against fitted.
#[must_use]
pub fn wraps(wraps: &[Wrap], fitted: &[Fitted]) -> Table {
    let mut table = Table::new(&[
        "line",
        "size",
        "layer",
        "thickness mm",
        "diameter under mm",
        "measured mm",
        "fitted mm",
        "off by mm",
        "factor of this wrap",
        "used",
    ]);
    let mut rows: Vec<(usize, Vec<Cell>)> = Vec::with_capacity(wraps.len());
    for fit in fitted {
        for one in &fit.wraps {
            let Some(wrap) = wraps.get(one.index) else { continue };
            let length =
                PI * (wrap.under.mm_f64() + 2.0 * fit.factor.f64() * wrap.thickness.mm_f64());
            rows.push((
                one.index,
                vec![
                    wrap.place.line.map_or(Cell::Empty, Cell::Count),
                    Cell::text(&wrap.size),
                    Cell::Count(wrap.layer.into()),
                    Cell::Millimetres(wrap.thickness),
                    Cell::Millimetres(wrap.under),
                    Cell::Millimetres(wrap.length),
                    Cell::Number(format!("{length:.1}")),
                    Cell::Number(signed(wrap.length.mm_f64() - length, 1)),
                    Cell::Number(format!("{:.3}", one.alone)),
                    Cell::text(if one.outlier { "no, left out" } else { "yes" }),
                ],
            ));
        }
    }
    rows.sort_by_key(|row| row.0);
    for (_, row) in rows {
        table.push(row);
    }
    table
}

/// The factor of each thickness: by the rules and as fitted.
#[must_use]
pub fn factors(fitted: &[Fitted], rules: &Rules) -> Table {
    let mut table = Table::new(&[
        "thickness mm",
        "wraps",
        "left out",
        "factor by the rules",
        "factor fitted",
        "spread mm",
        "changes each ring by mm",
    ]);
    for fit in fitted {
        let kept: Vec<f64> = fit.wraps.iter().filter(|w| !w.outlier).map(|w| w.residual).collect();
        let now = rules.wrap.factor_for(fit.thickness);
        let ring = 2.0 * PI * fit.thickness.mm_f64() * (fit.factor.f64() - now.f64());
        table.push(vec![
            Cell::Millimetres(fit.thickness),
            Cell::Count(fit.wraps.len() as u64),
            Cell::Count((fit.wraps.len() - kept.len()) as u64),
            Cell::Number(now.to_string()),
            Cell::Number(fit.factor.to_string()),
            Cell::Number(spread(&kept).map_or_else(|| "unknown".to_owned(), |s| format!("{s:.1}"))),
            Cell::Number(signed(ring, 1)),
        ]);
    }
    table
}

/// Standard deviation of the residuals; unknown of fewer than two.
fn spread(residuals: &[f64]) -> Option<f64> {
    let n = residuals.len();
    (n > 1).then(|| {
        let squares: f64 = residuals.iter().map(|r| r * r).sum();
        libm::sqrt(squares / count(n - 1))
    })
}

#[expect(clippy::cast_precision_loss, reason = "counts of measurements are small")]
fn count(n: usize) -> f64 {
    n as f64
}

fn signed(value: f64, places: usize) -> String {
    let text = format!("{value:+.places$}");
    if text.trim_start_matches(['+', '-', '0', '.']).is_empty() { "0".to_owned() } else { text }
}

/// What the factors change on a job: the pieces' area by thickness, and how much of a roll that is.
#[must_use]
pub fn worth(now: &Demand, then: &Demand, stock: &Stock) -> Table {
    let mut table = Table::new(&[
        "thickness mm",
        "pieces m2 by the rules",
        "pieces m2 as fitted",
        "change m2",
        "change %",
        "change in rolls",
        "of roll",
    ]);
    let (before, after) = (areas(now), areas(then));
    for (&thickness, &old) in &before {
        let new = after.get(&thickness).copied().unwrap_or_default();
        let change = new - old;
        let largest = stock
            .rolls
            .iter()
            .filter(|r| r.thickness == thickness)
            .max_by_key(|r| (Area::of_rectangle(r.width, r.length), std::cmp::Reverse(&r.id)));
        let rolls = largest
            .map(|roll| change.mm2_f64() / Area::of_rectangle(roll.width, roll.length).mm2_f64());
        table.push(vec![
            Cell::Millimetres(thickness),
            Cell::Number(super::table::square_metres(old, 2)),
            Cell::Number(super::table::square_metres(new, 2)),
            Cell::Number(super::table::square_metres(change, 2)),
            Cell::Number(signed(100.0 * change.mm2_f64() / old.mm2_f64(), 2)),
            rolls.map_or(Cell::Empty, |r| Cell::Number(signed(r, 2))),
            largest.map_or(Cell::Empty, |roll| Cell::text(&roll.id)),
        ]);
    }
    table
}

/// The area of all pieces, by thickness.
fn areas(demand: &Demand) -> BTreeMap<Length, Area> {
    let mut areas: BTreeMap<Length, Area> = BTreeMap::new();
    for piece in &demand.pieces {
        *areas.entry(piece.thickness).or_default() += piece.area * i128::from(piece.quantity);
    }
    areas
}

/// The lines to put into `rules.toml`: the rules' factors with the fitted ones in their place.
#[must_use]
pub fn rule_lines(rules: &Rules) -> String {
    let mut parts = vec![format!("default = {}", rules.wrap.factor)];
    let by = rules.wrap.by_thickness.iter();
    parts.extend(by.map(|(thickness, factor)| format!("\"{thickness}\" = {factor}")));
    format!("[wrap]\nfactor = {{ {} }}\n", parts.join(", "))
}

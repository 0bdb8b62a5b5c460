//! A run's layers as strips to scale, the innermost lowest, with joints and codes.

use crate::report::schedule::Row;
use crate::units::{Length, Measure};
use maud::{Markup, html};
use std::fmt::Write as _;

/// Width of a run's drawing and height of one of its layers, CSS pixels.
const WIDE: f64 = 760.0;
const STRIP: f64 = 17.0;

/// The layers of all runs as strips to scale, the innermost lowest, with the pieces' codes.
pub(super) fn strips(rows: &[Row<'_>], measure: Measure) -> Markup {
    let ends = rows.iter().filter_map(|row| row.to);
    let Some(end) = ends.max().filter(|end| end.is_positive()) else { return html! {} };
    let starts = rows.iter().filter(|row| row.to.is_some()).map(|row| row.step.at);
    let start = starts.min().unwrap_or_default().min(Length::ZERO);
    let px = WIDE / (end - start).mm_f64();
    let mut layers: Vec<u32> =
        rows.iter().filter(|row| row.to.is_some()).map(|row| row.step.layer).collect();
    layers.sort_unstable();
    layers.dedup();
    let high = |layer: u32| {
        let above = layers.iter().filter(|&&l| l > layer).count();
        STRIP * f64::from(u32::try_from(above).unwrap_or(0))
    };
    let all = STRIP * f64::from(u32::try_from(layers.len()).unwrap_or(0));
    let mut path = String::new();
    let mut words: Vec<(f64, f64, String)> = Vec::new();
    for row in rows {
        let Some(to) = row.to else { continue };
        let y = high(row.step.layer);
        let x = |at: Length| (at - start).mm_f64() * px;
        let (from, wide) = (x(row.step.at), x(to) - x(row.step.at));
        let _ = write!(path, "M{} {}h{}v{STRIP}h-{}z", num(from), num(y), num(wide), num(wide));
        let mut from = from;
        let inner = row.joints.iter().filter(|joint| **joint < to).map(|&joint| x(joint));
        for end in inner.chain([x(to)]) {
            if end < x(to) {
                let _ = write!(path, "M{} {}v{STRIP}", num(end), num(y));
            }
            let code = row.codes_in_words();
            if code.chars().map(|_| 6.2).sum::<f64>() < end - from {
                words.push((f64::midpoint(from, end), y + STRIP * 0.72, code.clone()));
            }
            from = end;
        }
    }
    let view = format!("-46 -1 {} {}", num(WIDE + 48.0), num(all + 18.0));
    html! {
        svg viewBox=(view) style="width:808px" role="img" aria-label="layers along the run" font-size="11" {
            path.p d=(path) {}
            @for (x, y, word) in words { text x=(num(x)) y=(num(y)) { (word) } }
            @for &layer in &layers {
                text x="-23" y=(num(high(layer) + STRIP * 0.72)) { "layer " (layer) }
            }
            text x=(num(WIDE / 2.0)) y=(num(all + 14.0)) {
                (measure.words(start)) " to " (measure.words(end)) " along the run, layer " (layers.first().copied().unwrap_or(1)) " lowest"
            }
        }
    }
}

/// A coordinate to a tenth of a pixel, without trailing zeros.
fn num(px: f64) -> String {
    let text = format!("{px:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

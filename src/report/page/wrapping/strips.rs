//! Layers as strips to scale, the innermost lowest, with their joints: those of a run with the pieces' codes, those of a
//! cover that is laid in courses round a branch with the courses' widths.

use crate::demand::{CoverJoints, Datum};
use crate::report::schedule::Row;
use crate::units::{Length, Measure};
use maud::{Markup, html};
use std::fmt::Write as _;

/// Width of a drawing and height of one of its layers, CSS pixels.
const WIDE: f64 = 760.0;
const STRIP: f64 = 17.0;

/// Like courses of a layer, one behind another.
struct Bar {
    layer: u32,
    from: Length,
    to: Length,
    /// Where they meet; some may lie elsewhere in the layer.
    joints: Vec<Length>,
    /// What stands in each course.
    words: Vec<String>,
}

impl Bar {
    /// Where its courses begin and end.
    fn ends(&self) -> Vec<Length> {
        let inner =
            self.joints.iter().copied().filter(|joint| (self.from..self.to).contains(joint));
        [self.from].into_iter().chain(inner).chain([self.to]).collect()
    }
}

/// The layers of all runs.
pub(super) fn runs(rows: &[Row<'_>], measure: Measure) -> Markup {
    let bar = |row: &Row<'_>| {
        let words = vec![row.codes_in_words(); row.joints.len() + 1];
        let (layer, from, joints) = (row.step.layer, row.step.at, row.joints.clone());
        Some(Bar { layer, from, to: row.to?, joints, words })
    };
    let bars: Vec<Bar> = rows.iter().filter_map(bar).collect();
    let start = bars.iter().map(|bar| bar.from).min().unwrap_or_default().min(Length::ZERO);
    let end = bars.iter().map(|bar| bar.to).max().unwrap_or_default();
    let about = format!("{} to {} along the run", measure.words(start), measure.words(end));
    strips(&bars, (start, end), "layers along the run", &about)
}

/// The layers of a cover round a branch.
pub(super) fn cover(layers: &[&CoverJoints], measure: Measure) -> Markup {
    let bar = |layer: &&CoverJoints| {
        let [from, to] = layer.ends;
        let joints = layer.joints.clone();
        let mut bar = Bar { layer: layer.layer, from, to, joints, words: Vec::new() };
        let ends = bar.ends();
        bar.words = ends.windows(2).map(|two| measure.words(two[1] - two[0])).collect();
        bar
    };
    let bars: Vec<Bar> = layers.iter().map(bar).collect();
    let Some(first) = layers.first() else { return html! {} };
    let start = bars.iter().map(|bar| bar.from).min().unwrap_or_default();
    let end = bars.iter().map(|bar| bar.to).max().unwrap_or_default();
    let (what, to) = (&first.cover, measure.words(end));
    let about = match first.datum {
        Datum::End => format!("{what}, 0 to {to} from one end of it"),
        Datum::ObtuseEnd => format!("{what}, 0 to {to} from its end on the obtuse side"),
        Datum::Axis => format!("{what}, from its saddle up to its top"),
    };
    strips(&bars, (start, end), "courses of a cover", &about)
}

/// Bars from here to there; below them stands what they are `about`.
fn strips(bars: &[Bar], (start, end): (Length, Length), label: &str, about: &str) -> Markup {
    if end <= start {
        return html! {};
    }
    let px = WIDE / (end - start).mm_f64();
    let mut layers: Vec<u32> = bars.iter().map(|bar| bar.layer).collect();
    layers.sort_unstable();
    layers.dedup();
    let high = |layer: u32| {
        let above = layers.iter().filter(|&&l| l > layer).count();
        STRIP * f64::from(u32::try_from(above).unwrap_or(0))
    };
    let all = STRIP * f64::from(u32::try_from(layers.len()).unwrap_or(0));
    let mut path = String::new();
    let mut words: Vec<(f64, f64, &str)> = Vec::new();
    for bar in bars {
        let y = high(bar.layer);
        let x = |at: Length| (at - start).mm_f64() * px;
        let (from, wide) = (x(bar.from), x(bar.to) - x(bar.from));
        let _ = write!(path, "M{} {}h{}v{STRIP}h-{}z", num(from), num(y), num(wide), num(wide));
        for (two, word) in bar.ends().windows(2).zip(&bar.words) {
            let (from, to) = (x(two[0]), x(two[1]));
            if two[1] < bar.to {
                let _ = write!(path, "M{} {}v{STRIP}", num(to), num(y));
            }
            if word.chars().map(|_| 6.2).sum::<f64>() < to - from {
                words.push((f64::midpoint(from, to), y + STRIP * 0.72, word));
            }
        }
    }
    let view = format!("-46 -1 {} {}", num(WIDE + 48.0), num(all + 18.0));
    html! {
        svg viewBox=(view) style="width:808px;display:block;margin-bottom:6px" role="img" aria-label=(label) font-size="11" {
            path.p d=(path) {}
            @for (x, y, word) in words { text x=(num(x)) y=(num(y)) { (word) } }
            @for &layer in &layers {
                text x="-23" y=(num(high(layer) + STRIP * 0.72)) { "layer " (layer) }
            }
            text x=(num(WIDE / 2.0)) y=(num(all + 14.0)) {
                (about) ", layer " (layers.first().copied().unwrap_or(1)) " lowest"
            }
        }
    }
}

/// A coordinate to a tenth of a pixel, without trailing zeros.
fn num(px: f64) -> String {
    let text = format!("{px:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

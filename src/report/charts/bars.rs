//! Horizontal bars, one or more a row.

use super::axis::{Axis, px};
use super::style::{END, FAINT, LINE, SMALL, START};
use crate::report::text::{shortened, visible};
use maud::{Markup, html};

/// How a bar is filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fill {
    /// White.
    White,
    /// Hatched.
    Hatched,
    /// Black.
    Black,
}

/// A row: its name, a value for each kind of bar, and what is written behind the last of them.
#[derive(Clone, Debug)]
pub struct Row {
    /// Its name.
    pub name: String,
    /// A value for each kind of bar; negative ones run to the left.
    pub values: Vec<f64>,
    /// What is written behind the bars.
    pub note: String,
}

/// A chart of bars.
#[derive(Clone, Debug)]
pub struct Bars<'a> {
    /// What it shows, for those who cannot see it.
    pub title: &'a str,
    /// The axis in words, with its unit.
    pub axis: String,
    /// The kinds of bars: name and fill. A legend is drawn where there is more than one.
    pub kinds: &'a [(&'a str, Fill)],
    /// The rows, from the top.
    pub rows: Vec<Row>,
}

const WIDTH: f64 = 720.0;
const NAMES: f64 = 210.0;
const NOTES: f64 = 96.0;
const TOP: f64 = 8.0;
const BAR: f64 = 11.0;
const GAP: f64 = 8.0;
const BELOW: f64 = 40.0;

impl Fill {
    fn style(self) -> &'static str {
        match self {
            Self::White => "fill:#fff;stroke:#000;stroke-width:1",
            Self::Hatched => "fill:url(#hatched);stroke:#000;stroke-width:1",
            Self::Black => "fill:#000;stroke:#000;stroke-width:1",
        }
    }
}

impl Bars<'_> {
    /// The chart; the page that shows it holds [`hatching`], once for all of its charts.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "rows are few")]
    pub fn svg(&self) -> Markup {
        let many = self.kinds.len().max(1) as f64;
        let row = many * BAR + GAP;
        let legend = if self.kinds.len() > 1 { 20.0 } else { 0.0 };
        let top = TOP + legend;
        let bottom = top + row * self.rows.len() as f64;
        let height = bottom + BELOW;
        let axis =
            Axis::covering(self.rows.iter().flat_map(|row| row.values.iter().copied()), true, 6);
        let x = |value: f64| NAMES + axis.at(value) * (WIDTH - NAMES - NOTES);
        html! {
            svg viewBox={ "0 0 " (px(WIDTH)) " " (px(height)) } style="width:720px" role="img"
                aria-label=(self.title) {
                title { (self.title) }
                @if self.kinds.len() > 1 { (self.legend()) }
                @for tick in &axis.ticks {
                    path d={ "M" (px(x(*tick))) " " (px(top)) "V" (px(bottom)) } style=(FAINT) {}
                    text x=(px(x(*tick))) y=(px(bottom + 14.0)) style=(SMALL) { (axis.number(*tick)) }
                }
                text x=(px(NAMES + (WIDTH - NAMES - NOTES) / 2.0)) y=(px(bottom + 31.0)) style=(SMALL) {
                    (visible(&self.axis))
                }
                @for (at, of) in self.rows.iter().enumerate() {
                    @let y = top + row * at as f64 + GAP / 2.0;
                    @let middle = y + many * BAR / 2.0 + 4.0;
                    text x=(px(NAMES - 8.0)) y=(px(middle)) style=(END) {
                        (shortened(&visible(&of.name), 34))
                    }
                    @for (kind, value) in of.values.iter().enumerate() {
                        @let (from, to) = (x(0.0).min(x(*value)), x(0.0).max(x(*value)));
                        rect x=(px(from)) y=(px(y + BAR * kind as f64)) width=(px(to - from))
                            height=(px(BAR - 1.0))
                            style=(self.kinds.get(kind).map_or(Fill::White, |k| k.1).style()) {}
                    }
                    @let far = of.values.iter().copied().fold(0.0_f64, f64::max);
                    text x=(px(x(far) + 5.0)) y=(px(middle)) style=(START) { (visible(&of.note)) }
                }
                path d={ "M" (px(x(0.0))) " " (px(top)) "V" (px(bottom)) } style=(LINE) {}
            }
        }
    }

    #[expect(clippy::cast_precision_loss, reason = "kinds are few")]
    fn legend(&self) -> Markup {
        html! {
            @for (at, (name, fill)) in self.kinds.iter().enumerate() {
                @let x = NAMES + 170.0 * at as f64;
                rect x=(px(x)) y="4.0" width="18" height="10" style=(fill.style()) {}
                text x=(px(x + 24.0)) y="13" style=(START) { (name) }
            }
        }
    }
}

/// The pattern of slanted lines by which bars are hatched; a name stands in a page only once.
#[must_use]
pub fn hatching() -> Markup {
    html! {
        svg width="0" height="0" style="position:absolute" aria-hidden="true" {
            defs {
                pattern id="hatched" width="5" height="5" patternUnits="userSpaceOnUse"
                    patternTransform="rotate(45)" {
                    rect width="5" height="5" style="fill:#fff;stroke:none" {}
                    path d="M0 0V5" style="stroke:#000;stroke-width:2;fill:none" {}
                }
            }
        }
    }
}

//! Curves and steps over two axes, each named at its end.

use super::axis::{Axis, px};
use super::style::{END, FAINT, LINE, SMALL, START};
use crate::report::text::visible;
use maud::{Markup, html};
use std::fmt::Write as _;

/// A curve.
#[derive(Clone, Debug)]
pub struct Curve {
    /// Its name, written at its end.
    pub name: String,
    /// Its points, from left to right.
    pub points: Vec<(f64, f64)>,
    /// Dashes, as SVG has them; empty for a whole line.
    pub dashes: &'static str,
}

/// A chart of curves.
#[derive(Clone, Debug)]
pub struct Curves<'a> {
    /// What it shows, for those who cannot see it.
    pub title: &'a str,
    /// The axes in words, with their units.
    pub across: String,
    /// See `across`.
    pub up: String,
    /// The curves.
    pub curves: Vec<Curve>,
    /// Whether each value holds until the next, from whole number to whole number.
    pub steps: bool,
    /// Upright lines with their names.
    pub marks: Vec<(f64, String)>,
}

const WIDTH: f64 = 720.0;
const HEIGHT: f64 = 300.0;
const LEFT: f64 = 62.0;
const RIGHT: f64 = 190.0;
const TOP: f64 = 24.0;
const BELOW: f64 = 44.0;

impl Curves<'_> {
    /// The chart.
    #[must_use]
    pub fn svg(&self) -> Markup {
        let points = || self.curves.iter().flat_map(|curve| curve.points.iter().copied());
        let marks = self.marks.iter().map(|(at, _)| *at);
        let across = Axis::covering(points().map(|p| p.0).chain(marks), false, 7);
        let up = Axis::covering(points().map(|p| p.1), true, 6);
        let (right, bottom) = (WIDTH - RIGHT, HEIGHT - BELOW);
        let x = |value: f64| LEFT + across.at(value) * (right - LEFT);
        let y = |value: f64| bottom - up.at(value) * (bottom - TOP);
        let drawn = merged(&self.curves, &y);
        let ends = ends(&drawn, &y);
        html! {
            svg viewBox={ "0 0 " (px(WIDTH)) " " (px(HEIGHT)) } style="width:720px" role="img"
                aria-label=(self.title) {
                title { (self.title) }
                @for tick in &up.ticks {
                    path d={ "M" (px(LEFT)) " " (px(y(*tick))) "H" (px(right)) } style=(FAINT) {}
                    text x=(px(LEFT - 6.0)) y=(px(y(*tick) + 4.0)) style=(END) { (up.number(*tick)) }
                }
                @for tick in across.ticks.iter().filter(|tick| !self.steps || tick.fract().abs() < 1e-9) {
                    path d={ "M" (px(x(*tick))) " " (px(bottom)) "v5" } style=(LINE) {}
                    text x=(px(x(*tick))) y=(px(bottom + 18.0)) style=(SMALL) {
                        @if self.steps { (format!("{tick:.0}")) } @else { (across.number(*tick)) }
                    }
                }
                path d={ "M" (px(LEFT)) " " (px(TOP)) "V" (px(bottom)) "H" (px(right)) } style=(LINE) {}
                text x=(px(LEFT + (right - LEFT) / 2.0)) y=(px(bottom + 36.0)) style=(SMALL) {
                    (visible(&self.across))
                }
                text x="4" y="13" style=(START) { (visible(&self.up)) }
                @for (at, name) in &self.marks {
                    path d={ "M" (px(x(*at))) " " (px(TOP)) "V" (px(bottom)) }
                        style="stroke:#000;stroke-width:1;stroke-dasharray:1 3;fill:none" {}
                    text x=(px(x(*at))) y=(px(TOP - 4.0)) style=(SMALL) { (visible(name)) }
                }
                @for (curve, end) in drawn.iter().zip(&ends) {
                    path d=(self.path(curve, &x, &y))
                        style={ "stroke:#000;stroke-width:1.6;fill:none;stroke-dasharray:"
                            (if curve.dashes.is_empty() { "none" } else { curve.dashes }) } {}
                    @if let Some((last, up)) = curve.points.last().filter(|_| !curve.name.is_empty()) {
                        path d={ "M" (px(x(*last) + 2.0)) " " (px(y(*up))) "L" (px(right + 12.0)) " " (px(*end)) }
                            style=(FAINT) {}
                    }
                    text x=(px(right + 14.0)) y=(px(end + 4.0)) style=(START) {
                        (visible(&curve.name))
                    }
                }
            }
        }
    }

    fn path(&self, curve: &Curve, x: &impl Fn(f64) -> f64, y: &impl Fn(f64) -> f64) -> String {
        let mut path = String::new();
        for (at, &(across, up)) in curve.points.iter().enumerate() {
            let _ = if at == 0 {
                write!(path, "M{} {}", px(x(across)), px(y(up)))
            } else if self.steps {
                write!(path, "H{}V{}", px(x(across)), px(y(up)))
            } else {
                write!(path, "L{} {}", px(x(across)), px(y(up)))
            };
        }
        path
    }
}

/// Curves that lie on one another are one, under all their names: `used, 50 %` and `used, 80 %` become `used,
/// 50 %, 80 %`.
fn merged(curves: &[Curve], y: &impl Fn(f64) -> f64) -> Vec<Curve> {
    let mut all: Vec<Curve> = Vec::new();
    for curve in curves {
        let alike = |other: &&mut Curve| {
            let mut pairs = other.points.iter().zip(&curve.points);
            other.points.len() == curve.points.len()
                && pairs.all(|(a, b)| (a.0 - b.0).abs() < 1e-9 && (y(a.1) - y(b.1)).abs() < ALIKE)
        };
        match all.iter_mut().find(alike) {
            Some(other) => {
                let begin = curve.name.split_once(", ").filter(|(b, _)| other.name.starts_with(b));
                let more = begin.map_or(curve.name.as_str(), |(_, rest)| rest);
                other.name = format!("{}, {more}", other.name);
            }
            None => all.push(curve.clone()),
        }
    }
    all
}

/// Curves nearer than so many pixels everywhere cannot be told apart.
const ALIKE: f64 = 1.5;

/// Where each curve's name stands: at its end, but no two over each other.
fn ends(curves: &[Curve], y: &impl Fn(f64) -> f64) -> Vec<f64> {
    const LEAST: f64 = 13.0;
    let last = |curve: &Curve| curve.points.last().map_or(HEIGHT / 2.0, |point| y(point.1));
    let mut ends: Vec<f64> = curves.iter().map(last).collect();
    let mut order: Vec<usize> = (0..ends.len()).collect();
    order.sort_by(|&a, &b| ends[a].total_cmp(&ends[b]).then(a.cmp(&b)));
    for pair in 1..order.len() {
        let (above, here) = (order[pair - 1], order[pair]);
        ends[here] = ends[here].max(ends[above] + LEAST);
    }
    // Nor in the figures below the axis.
    let mut lowest = HEIGHT - BELOW;
    for &here in order.iter().rev() {
        ends[here] = ends[here].min(lowest);
        lowest = ends[here] - LEAST;
    }
    ends
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_do_not_lie_over_each_other_and_text_is_escaped() {
        let curve = |name: &str, up: f64| Curve {
            name: name.to_owned(),
            points: vec![(0.0, 1.0), (10.0, up)],
            dashes: "",
        };
        let chart = Curves {
            title: "a < b",
            across: "rolls".to_owned(),
            up: "chance, %".to_owned(),
            curves: vec![curve("<script>", 2.0), curve("b", 2.0), curve("c", 2.01)],
            steps: true,
            marks: vec![(5.0, "ordered".to_owned())],
        };
        let ends = ends(&chart.curves, &|up: f64| 100.0 - up);
        let mut sorted = ends.clone();
        sorted.sort_by(f64::total_cmp);
        assert!(sorted.windows(2).all(|two| two[1] - two[0] >= 12.9), "{ends:?}");
        let one = merged(
            &[curve("used, 50 %", 2.0), curve("used, 80 %", 2.1), curve("rolls", 9.0)],
            &|up: f64| 100.0 - up,
        );
        let names: Vec<&str> = one.iter().map(|curve| curve.name.as_str()).collect();
        assert_eq!(names, ["used, 50 %, 80 %", "rolls"]);
        let svg = chart.svg().into_string();
        assert!(svg.contains("&lt;script&gt;") && !svg.contains("<script"));
        assert!(svg.contains("chance, %") && svg.contains("ordered") && svg.contains('H'));
    }
}

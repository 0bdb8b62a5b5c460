//! Developed areas against meshes in space.
//!
//! The surfaces are set up anew here from points in space: where a line of one cylinder meets a
//! plane or another cylinder is found by halving an interval, and areas are sums of triangles.
//! Nothing of the formulas in the pattern files is used.

use super::super::bend::{Bend, Edge, Gore};
use super::super::cone::{Cone, Eccentric};
use super::super::dome::Meridian;
use super::super::gore::{BendLayer, SeamAt};
use super::super::saddle::{BranchSeam, Saddle};
use super::super::wrap::Layer;
use super::{HALF, close, layer};
use crate::units::{Angle, Length};
use std::f64::consts::{FRAC_PI_2, PI};

type P = [f64; 3];

/// Area of a triangle.
fn triangle(a: P, b: P, c: P) -> f64 {
    let [u, v] = [[b[0] - a[0], b[1] - a[1], b[2] - a[2]], [c[0] - a[0], c[1] - a[1], c[2] - a[2]]];
    let cross = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    (cross[0] * cross[0] + cross[1] * cross[1] + cross[2] * cross[2]).sqrt() / 2.0
}

/// Area of a surface over a grid of so many cells.
fn mesh(surface: impl Fn(f64, f64) -> P, (us, vs): (u32, u32)) -> f64 {
    let at = |i: u32, j: u32| surface(f64::from(i) / f64::from(us), f64::from(j) / f64::from(vs));
    let mut sum = 0.0;
    for i in 0..us {
        for j in 0..vs {
            let (a, b, c, d) = (at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
            sum += triangle(a, b, c) + triangle(a, c, d);
        }
    }
    sum
}

/// Where a rising function passes zero.
fn zero(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    for _ in 0..80 {
        let middle = f64::midpoint(low, high);
        if f(middle) < 0.0 { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

#[track_caller]
fn alike(found: f64, expected: f64, relative: f64) {
    close(found / expected, 1.0, relative);
}

/// A gore: the cylinder round its axis between two planes through the bend's axis.
#[test]
fn gores() {
    for (radius, angle, units, under) in
        [(228.6, FRAC_PI_2, 6, 16830), (114.3, FRAC_PI_2, 3, 8890), (500.0, 1.0, 4, 32380)]
    {
        let of = layer(under, 10, HALF);
        let (r, bend) = (of.mid_radius(), Bend { radius, angle, units });
        let half = bend.unit() / 2.0;
        // A point of the plane at `turn` from the gore's middle: (x + R) sin = z cos.
        let reach = |phi: f64, turn: f64| {
            let x = r * phi.cos();
            zero(|z| z * turn.cos() - (x + radius) * turn.sin(), -2e3, 2e3)
        };
        let surface = |u: f64, v: f64| {
            let phi = 2.0 * PI * u;
            let (from, to) = (reach(phi, -half), reach(phi, half));
            [r * phi.cos(), r * phi.sin(), from + (to - from) * v]
        };
        let laid = BendLayer::new(bend, &of, 1, Length::from_nm(1000)).unwrap();
        let gore = Gore { first: Edge::Mitre(half), second: Edge::Mitre(half) };
        let flat = laid.gore(&gore, SeamAt::Throat, Length::ZERO).unwrap().remove(0);
        alike(flat.area().mm2_f64(), mesh(surface, (720, 2)), 2e-5);
    }
}

/// A branch at any angle: its cylinder from where it comes out of the run's to its top, and the
/// hole it makes in the run's, laid flat.
#[test]
fn branches() {
    for (run, branch, degrees) in
        [(16830, 8890, 90), (16830, 8890, 60), (16830, 16830, 45), (32380, 21910, 30)]
    {
        let (outer, inner): (Layer, Layer) = (layer(run, 10, HALF), layer(branch, 10, HALF));
        let (a, b) = (outer.mid_radius(), inner.mid_radius());
        let beta = Angle::from_degrees(degrees).radians_f64();
        let point = |theta: f64, h: f64| {
            let (along, across) = (b * theta.cos(), b * theta.sin());
            [h * beta.cos() + along * beta.sin(), across, h * beta.sin() - along * beta.cos()]
        };
        let out = |theta: f64| {
            let off = |h: f64| {
                let [_, y, z] = point(theta, h);
                if z < 0.0 { -1.0 } else { y * y + z * z - a * a }
            };
            zero(off, -4.0 * a, 8.0 * a)
        };
        let saddle = Saddle::new(&outer, &inner, Angle::from_degrees(degrees));
        let top = saddle.highest() + 150.0;
        let sleeve = |u: f64, v: f64| {
            let theta = 2.0 * PI * u;
            let from = out(theta);
            point(theta, from + (top - from) * v)
        };
        let flat = saddle.sleeve(top, BranchSeam::Acute).unwrap();
        alike(flat.area().mm2_f64(), mesh(sleeve, (1440, 2)), 1e-3);
        // The hole's edge on the run laid flat: x along it, the arc round it.
        let edge: Vec<(f64, f64)> = (0..1440)
            .map(|i| {
                let theta = 2.0 * PI * f64::from(i) / 1440.0;
                let [x, y, z] = point(theta, out(theta));
                (x, a * y.atan2(z))
            })
            .collect();
        let next = edge.iter().cycle().skip(1);
        let twice: f64 = edge.iter().zip(next).map(|(p, q)| p.0 * q.1 - p.1 * q.0).sum();
        let (from, to) = (saddle.hole().0.abs() + 100.0, saddle.hole().1 + 100.0);
        let halves = saddle.parted(from, to).unwrap();
        let left: f64 = halves.iter().map(|h| h.area().mm2_f64()).sum();
        alike(2.0 * PI * a * (from + to) - left, twice.abs() / 2.0, 2e-3);
        // Parted round, the pieces are the same cover.
        for round in [2, 3, 4] {
            for turned in [false, true] {
                let parts = saddle.parted_round(from, to, round, turned).unwrap();
                let sum: f64 = parts.iter().flatten().map(|h| h.area().mm2_f64()).sum();
                alike(sum, left, 1e-6);
            }
            let sum: f64 = saddle
                .sleeve_round(top, BranchSeam::Obtuse, round)
                .unwrap()
                .iter()
                .map(|h| h.area().mm2_f64())
                .sum();
            alike(sum, flat.area().mm2_f64(), 1e-3);
        }
    }
}

/// An eccentric reducer: straight lines between two circles that touch the same flat side.
#[test]
fn eccentric_reducers() {
    for (large, small, height) in [(89.15, 62.15, 140.0), (170.0, 90.0, 330.0), (60.0, 55.0, 40.0)]
    {
        let offset = large - small;
        let surface = |u: f64, v: f64| {
            let phi = 2.0 * PI * u;
            let r = large + (small - large) * v;
            [r * phi.cos() + offset * v, r * phi.sin(), height * v]
        };
        let cone = Cone { large, small, height };
        let flat = cone.eccentric(Eccentric::all(1, true)[0]).unwrap();
        alike(flat.area().mm2_f64(), mesh(surface, (1440, 1)), 4e-4);
        // Each part covers its own share, from the long side, opposite the flat one, on.
        for parts in Eccentric::SHARES {
            for part in [false, true].into_iter().flat_map(|moved| Eccentric::all(parts, moved)) {
                let [from, to] = part.degrees().map(|degrees| 0.5 + degrees / 360.0);
                let share = |u: f64, v: f64| surface(from + (to - from) * u, v);
                let flat = cone.eccentric(part).unwrap();
                alike(flat.area().mm2_f64(), mesh(share, (1440, 1)), 4e-4);
            }
        }
    }
}

/// Petals of dished ends: surfaces of revolution.
#[test]
fn heads() {
    let (a, b) = (755.0, 380.0);
    let ellipsoid = |u: f64, v: f64| {
        let (turn, q) = (2.0 * PI * u, FRAC_PI_2 * v);
        [a * q.sin() * turn.cos(), a * q.sin() * turn.sin(), b * q.cos()]
    };
    let petal = Meridian::ellipsoid(a, b).petal(12, 0.0, 0.01).unwrap();
    alike(petal.area().mm2_f64() * 12.0, mesh(ellipsoid, (360, 360)), 2e-4);
    // Crown 1500, knuckle 150 on a radius of 750: two arcs that meet smoothly.
    let (a, crown, knuckle): (f64, f64, f64) = (750.0, 1500.0, 150.0);
    let bend = ((a - knuckle) / (crown - knuckle)).asin();
    let torisphere = |u: f64, v: f64| {
        let turn = 2.0 * PI * u;
        let q = FRAC_PI_2 * v;
        let (rho, z) = if q <= bend {
            (crown * q.sin(), crown * q.cos())
        } else {
            let centre = (a - knuckle, (crown - knuckle) * bend.cos());
            (centre.0 + knuckle * q.sin(), centre.1 + knuckle * q.cos())
        };
        [rho * turn.cos(), rho * turn.sin(), z]
    };
    let petal = Meridian::torisphere(a, crown, knuckle).petal(16, 0.0, 0.01).unwrap();
    alike(petal.area().mm2_f64() * 16.0, mesh(torisphere, (360, 1800)), 3e-4);
}

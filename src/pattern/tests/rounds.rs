use super::super::cone::{Cone, Eccentric};
use super::super::dome::{Meridian, ellipsoid_area};
use super::super::mark::MarkKind;
use super::close;
use crate::units::Length;
use std::f64::consts::PI;

/// NPS 6 by 4, layer 1 of 10 mm: mid radii 89.15 and 62.15, 140 mm long (TV14, TV15).
const CONE: Cone = Cone { large: 89.15, small: 62.15, height: 140.0 };
const FINE: Length = Length::from_nm(10_000);

#[test]
fn tv14_concentric_reducer() {
    close(CONE.slant(), 142.580, 6e-4);
    close(CONE.opening().to_degrees(), 68.172, 6e-4);
    close(CONE.large * CONE.slant() / 27.0, 470.78, 6e-3);
    let flat = CONE.concentric(1, FINE).unwrap();
    close(flat.area().mm2_f64(), 67_771.454_8, 5.0);
    close(flat.length.mm_f64(), 527.7, 0.1);
    close(flat.width.mm_f64(), 199.0, 0.1);
    // TV14b: the outer arc is the large ring.
    close(CONE.opening() * CONE.large * CONE.slant() / 27.0, 560.1460, 6e-5);
    let third = CONE.concentric(3, FINE).unwrap();
    close(third.area().mm2_f64() * 3.0, 67_771.454_8, 5.0);
}

#[test]
fn tv15_eccentric_reducer() {
    let flat = CONE.eccentric(Eccentric::all(1, true)[0]).unwrap();
    close(flat.area().mm2_f64(), 68_354.037_9, 12.0);
    let half = CONE.eccentric(Eccentric::all(2, false)[0]).unwrap();
    close(half.area().mm2_f64() * 2.0, flat.area().mm2_f64(), 1e-3);
    // Generators: the seam's two ends are the first and the last corners of both rims.
    let outline = half.outline.unwrap();
    let corners = outline.corners();
    let distance = |i: usize, j: usize| {
        let (p, q) = (corners[i], corners[j]);
        libm::hypot((p.x - q.x).mm_f64(), (p.y - q.y).mm_f64())
    };
    let n = corners.len();
    let ends: Vec<f64> = (0..n).map(|i| distance(i, (i + 1) % n)).filter(|d| *d > 100.0).collect();
    assert_eq!(ends.len(), 2);
    close(ends.iter().copied().fold(f64::INFINITY, f64::min), 140.0, 1e-4); // TV15b
    close(ends.iter().copied().fold(0.0, f64::max), 150.0533, 1e-4); // TV15c
}

/// Going round a half with the blanket on the left, the large rim runs from the long side to the flat one; on the
/// other half it runs back, so that one is the other turned over and no turn lays one on the other.
#[test]
fn halves_of_an_eccentric_reducer_are_of_two_hands() {
    // Edges between corners that are no rim: the seams, each with the edge after it.
    let seams = |part| {
        let corners = CONE.eccentric(part).unwrap().outline.unwrap().corners().to_vec();
        let next = |i: usize| (i + 1) % corners.len();
        let length = |i: usize| {
            let (p, q) = (corners[i], corners[next(i)]);
            libm::hypot((p.x - q.x).mm_f64(), (p.y - q.y).mm_f64())
        };
        let found: Vec<(f64, f64)> = (0..corners.len())
            .filter(|&i| length(i) > 100.0)
            .map(|i| (length(i), length(next(i))))
            .collect();
        // The seam after which the large rim begins, whose edges are the longer ones.
        assert_eq!(found.len(), 2);
        if found[0].1 > found[1].1 { found[0].0 } else { found[1].0 }
    };
    let halves = Eccentric::all(2, false);
    let (one, other) = (seams(halves[0]), seams(halves[1]));
    close(one.min(other), 140.0, 1e-4);
    close(one.max(other), 150.0533, 1e-4);
}

/// Every part's two seams are as long as the straight lines of the cone where they lie: at `t` from the long side
/// the rims lie `2 e cos(t / 2)` apart in plan, so `sqrt(H^2 + (2 e cos(t / 2))^2)`; and parts meet where the next
/// one begins.
#[test]
fn seams_of_an_eccentric_reducer_s_parts_are_its_straight_lines() {
    let line = |degrees: f64| {
        let offset = CONE.large - CONE.small;
        libm::hypot(CONE.height, 2.0 * offset * libm::cos(degrees.to_radians() / 2.0))
    };
    for parts in Eccentric::SHARES {
        for moved in [false, true] {
            let all = Eccentric::all(parts, moved);
            assert_eq!(all.len(), usize::try_from(parts).unwrap());
            for (part, next) in all.iter().zip(all.iter().cycle().skip(1)) {
                let ([from, to], [after, _]) = (part.degrees(), next.degrees());
                close((after - to).rem_euclid(360.0), 0.0, 1e-9);
                close(to - from, 360.0 / f64::from(parts), 1e-9);
                let flat = CONE.eccentric(*part).unwrap();
                let seams: Vec<f64> = flat
                    .marks
                    .iter()
                    .filter(|mark| mark.kind == MarkKind::Edge)
                    .map(|mark| {
                        let (from, to) = (mark.from, mark.to);
                        libm::hypot((to.x - from.x).mm_f64(), (to.y - from.y).mm_f64())
                    })
                    .collect();
                // From the far end on.
                assert_eq!(seams.len(), 2);
                close(seams[0], line(to), 1e-4);
                close(seams[1], line(from), 1e-4);
            }
        }
    }
}

/// A 2:1 head of 1500 mm under 10 mm (TV16).
#[test]
fn tv16_ellipsoidal_head() {
    let meridian = Meridian::ellipsoid(755.0, 380.0);
    close(meridian.length(), 915.9251, 1e-3);
    // TV16b: Ramanujan's second formula for the ellipse's girth.
    let (a, b): (f64, f64) = (755.0, 380.0);
    let h = ((a - b) / (a + b)).powi(2);
    let girth = PI * (a + b) * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
    close(meridian.length(), girth / 4.0, 1e-3);
    close(ellipsoid_area(755.0, 380.0), 2_478_169.356_6, 1e-3);
    // TV16c: four petals have the head's area; the widest is 1185.95.
    let petal = meridian.petal(4, 0.0, 0.01).unwrap();
    close(petal.area().mm2_f64() * 4.0, 2_478_169.356_6, 60.0);
    close(petal.width.mm_f64(), 1185.95, 6e-3);
    // TV16d: 1.0840 D^2 without thickness.
    close(ellipsoid_area(1.0, 0.5) / 4.0, 1.0840, 6e-5);
}

/// The mid-surface of the twentieth layer of 10 mm on a 2:1 head of 1500 mm: by Steiner's formula its girth is that of the
/// ellipse and `2 pi h`, its area that of the ellipsoid and `2 h M + 4 pi h^2`, of which a head has half. `M`, the integral
/// of the mean curvature of an oblate ellipsoid, is `2 pi (b + a^2 / c arccos(b/a))`, `c^2 = a^2 - b^2` (from memory; checked
/// against a sum over two million rings).
#[test]
fn a_layer_lies_beside_the_ellipsoid_all_over() {
    let (a, b, h): (f64, f64, f64) = (750.0, 375.0, 195.0);
    let bare = Meridian::ellipsoid(a, b);
    let layer = Meridian::beside_ellipsoid(a, b, h);
    close(layer.length(), bare.length() + h * PI / 2.0, 1e-9);
    close(layer.tangent(), layer.length(), 1e-9);
    close(layer.rim(), a + h, 1e-9);
    let c = (a * a - b * b).sqrt();
    let bend = 2.0 * PI * (b + a * a / c * (b / a).acos());
    close(layer.area(), ellipsoid_area(a, b) + h * bend + 2.0 * PI * h * h, 30.0);
    let petals = layer.petal(8, 0.0, 0.01).unwrap().area().mm2_f64() * 8.0;
    close(petals, layer.area(), 200.0);
    let sphere = Meridian::beside_ellipsoid(500.0, 500.0, 5.0);
    close(sphere.area(), Meridian::hemisphere(505.0).area(), 1e-3);
}

/// A sphere of 2000 mm under 10 mm, five gores (TV17), here as two hemispheres.
#[test]
fn tv17_sphere() {
    let meridian = Meridian::hemisphere(1005.0);
    close(2.0 * meridian.length(), 3157.3, 0.06);
    let petal = meridian.petal(5, 0.0, 0.01).unwrap();
    close(petal.width.mm_f64(), 1262.9, 0.06);
    close(petal.area().mm2_f64() * 10.0, 12_692_348.479_8, 400.0);
    close(4.0 * PI * 1005.0 * 1005.0, 12_692_348.479_8, 1e-3);
}

/// Torisphere: crown cap `2 pi C^2 (1 - cos b)` and knuckle `2 pi k (a - k) (pi/2 - b) + 2 pi k^2
/// cos b` (surfaces of revolution, closed forms).
#[test]
fn torispherical_head() {
    let (a, c, k): (f64, f64, f64) = (1000.0, 2000.0, 200.0);
    let meridian = Meridian::torisphere(a, c, k);
    let b = ((a - k) / (c - k)).asin();
    let crown = 2.0 * PI * c * c * (1.0 - b.cos());
    let knuckle = 2.0 * PI * k * ((a - k) * (PI / 2.0 - b) + k * b.cos());
    close(meridian.area(), crown + knuckle, 40.0);
    close(meridian.rim(), a, 1e-9);
    let petals = meridian.petal(8, 300.0, 0.01).unwrap().area().mm2_f64() * 8.0;
    let cap = 2.0 * PI * c * c * (1.0 - (300.0 / c).cos());
    close(petals + cap, crown + knuckle, 80.0);
}

#[test]
fn a_rosette_is_its_petals_joined() {
    let meridian = Meridian::ellipsoid(89.15, 47.0).with_skirt(40.0);
    let crown = meridian.length() / 4.0;
    let rosette = meridian.rosette(8, crown, 0.05).unwrap();
    let petals = meridian.petal(8, crown, 0.05).unwrap().area().mm2_f64() * 8.0;
    // The crown is an octagon round the circle of its radius; darts run from its corners.
    let octagon = 8.0 * crown * crown * (PI / 8.0).tan();
    close(rosette.area().mm2_f64(), petals + octagon, octagon * 0.05);
    close(meridian.area(), ellipsoid_area(89.15, 47.0) + 2.0 * PI * 89.15 * 40.0, 1.0);
}

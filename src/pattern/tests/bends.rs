use super::super::bend::{Arrangement, Bend, Edge, Gore};
use super::super::gore::{BendLayer, SeamAt};
use super::super::mark::MarkKind;
use super::super::wrap::Layer;
use super::super::{Flat, PatternError};
use super::{HALF, close, layer};
use crate::geometry::Point;
use crate::rules::Elbows;
use crate::units::{Angle, Length};
use std::f64::consts::{FRAC_PI_2, PI};

const ZERO: Length = Length::ZERO;

/// NPS 6 long radius, layer 1 of 10 mm, six units: the worked elbow of TV5 to TV10.
fn worked() -> (Bend, Layer) {
    (Bend { radius: 228.6, angle: FRAC_PI_2, units: 6 }, layer(16830, 10, HALF))
}

fn fine(bend: Bend, layer: &Layer, sectors: u32) -> BendLayer {
    BendLayer::new(bend, layer, sectors, Length::from_nm(1_000)).unwrap()
}

fn total(flats: &[Flat]) -> f64 {
    flats.iter().map(|f| f.area().mm2_f64()).sum()
}

fn all_gores(flat: &BendLayer, gores: &[Gore], seam: SeamAt) -> Result<f64, PatternError> {
    gores.iter().map(|g| flat.gore(g, seam, ZERO).map(|f| total(&f))).sum()
}

#[test]
fn tv5_full_gore() {
    let (bend, layer) = worked();
    let flat = fine(bend, &layer, 1);
    let gores = bend.gores(Arrangement::HalfEnds, [None, None]);
    assert_eq!(gores.len(), 7);
    for seam in [SeamAt::Throat, SeamAt::Heel] {
        let gore = &flat.gore(&gores[1], seam, ZERO).unwrap()[0];
        close(gore.area().mm2_f64(), 33_716.038_4, 0.02);
        close(gore.width.mm_f64(), 83.665, 6e-4);
        close(gore.length.mm_f64(), 560.146, 6e-4);
    }
    // Throat width where the seam is.
    close(bend.throat(layer.mid_radius()), 36.718, 6e-4);
}

#[test]
fn tv5c_developed_points_lie_in_the_mitre_plane() {
    let (bend, layer) = worked();
    let flat = BendLayer::new(bend, &layer, 1, Length::from_nm(250_000)).unwrap();
    let gore = &flat
        .gore(&bend.gores(Arrangement::HalfEnds, [None, None])[1], SeamAt::Throat, ZERO)
        .unwrap()[0];
    let (r, half) = (layer.mid_radius(), bend.unit() / 2.0);
    let outline = gore.outline.as_ref().unwrap();
    for corner in outline.corners() {
        // Back onto the cylinder: x along its axis from the point of contact, y round it from the
        // throat; the mitre plane goes through the bend's axis at the angle `half`.
        let x = corner.x.mm_f64() - gore.width.mm_f64() / 2.0;
        let phi = corner.y.mm_f64() / layer.wrap_radius() - PI;
        let out = bend.radius + r * libm::cos(phi);
        let distance = x.abs() * libm::cos(half) - out * libm::sin(half);
        close(distance, 0.0, 5e-6);
    }
}

/// Gored area over the torus (Pappus: `2 pi r R Theta`) is `tan(x)/x`, `x = Theta / 2n`, whatever
/// the arrangement.
#[test]
fn tv6_total_area_against_the_torus_of_pappus() {
    let layer = layer(16830, 10, HALF);
    for units in [2, 3, 4, 5, 6, 8, 12] {
        let bend = Bend { radius: 228.6, angle: FRAC_PI_2, units };
        let flat = fine(bend, &layer, 1);
        let torus = 2.0 * PI * layer.mid_radius() * bend.radius * bend.angle;
        let x = bend.unit() / 2.0;
        for arrangement in [Arrangement::HalfEnds, Arrangement::WholeEnds] {
            let gores = bend.gores(arrangement, [None, None]);
            let area = all_gores(&flat, &gores, SeamAt::Throat).unwrap();
            close(area / torus, libm::tan(x) / x, 1e-6);
        }
    }
    // TV6: six units.
    let (bend, _) = worked();
    let x = bend.unit() / 2.0;
    close(libm::tan(x) / x, 1.0058, 6e-5);
}

/// TV7, TV8: a lens and an hour-glass of one layer share every corner at pitch `2a`, so an elbow
/// with seams in turn fills a rectangle `2 pi r` by `2 a n` to the last nanometre.
#[test]
fn tv8_gores_with_seams_in_turn_fill_a_rectangle() {
    let (bend, layer) = worked();
    let flat = BendLayer::new(bend, &layer, 1, Length::from_nm(250_000)).unwrap();
    let gores = bend.gores(Arrangement::HalfEnds, [None, None]);
    let mut area = 0;
    let mut edge: Option<Vec<Point>> = None;
    for (g, gore) in gores.iter().enumerate() {
        let seam = if g % 2 == 0 { SeamAt::Throat } else { SeamAt::Heel };
        let piece = &flat.gore(gore, seam, ZERO).unwrap()[0];
        area += piece.area().nm2();
        let corners = piece.outline.as_ref().unwrap().corners();
        let relative = |points: Vec<Point>| -> Vec<Point> {
            let base = points.iter().map(|p| p.x).min().unwrap();
            let mut all: Vec<Point> =
                points.into_iter().map(|p| Point::new(p.x - base, p.y)).collect();
            all.sort_unstable_by_key(|p| p.y);
            all
        };
        let side = |right: bool| -> Vec<Point> {
            // Corners of one side: to the right or left of the line through the narrowest place.
            let width = |y: Length| {
                let at: Vec<Length> = corners.iter().filter(|p| p.y == y).map(|p| p.x).collect();
                (at.iter().min().copied().unwrap(), at.iter().max().copied().unwrap())
            };
            let chosen = corners
                .iter()
                .filter(|p| if right { p.x == width(p.y).1 } else { p.x == width(p.y).0 });
            relative(chosen.copied().collect())
        };
        if let Some(before) = &edge {
            assert_eq!(before, &side(false), "gores {} and {g} do not mate", g - 1);
        }
        edge = Some(side(true));
    }
    // The rectangle, whole nanometres: 2 pi r_k by 12 half-means.
    let mean = Length::from_mm_f64_up(bend.radius * libm::tan(bend.unit() / 2.0)).unwrap();
    assert_eq!(area, i128::from(flat.stretch_out().nm()) * i128::from((mean * 12).nm()));
    close(flat.stretch_out().mm_f64() * mean.mm_f64() * 12.0, 202_296.23, 0.01);
}

#[test]
fn tv10_one_piece_wastes_what_the_darts_open() {
    let (bend, layer) = worked();
    let flat = fine(bend, &layer, 1);
    let gores = bend.gores(Arrangement::HalfEnds, [None, None]);
    // All but the bridge's last tenth of a millimetre is cut.
    let piece = flat.one_piece(&gores, Length::from_nm(100_000), ZERO).unwrap();
    let blank = piece.width.mm_f64() * piece.length.mm_f64();
    let r = layer.mid_radius();
    close(1.0 - piece.area().mm2_f64() / blank, r / (bend.radius + r), 1e-5);
    close(r / (bend.radius + r), 0.2806, 6e-5);
    // TV10b: how far a dart has opened 25 mm from the heel.
    let b = r * libm::tan(bend.unit() / 2.0);
    close(2.0 * b * (1.0 - libm::cos(25.0 / r)), 0.9169, 6e-5);
}

/// TV20, TV21: NPS 1 long radius under 50 mm: `r = 41.7` passes `R = 38.1`.
#[test]
fn tv21_a_gore_thicker_than_the_bend_ends_in_a_point() {
    let bend = Bend { radius: 38.1, angle: FRAC_PI_2, units: 4 };
    let thick = layer(7340, 10, HALF);
    close(thick.mid_radius(), 41.7, 1e-9);
    let flat = fine(bend, &thick, 1);
    let gore =
        Gore { first: Edge::Mitre(bend.unit() / 2.0), second: Edge::Mitre(bend.unit() / 2.0) };
    let piece = &flat.gore(&gore, SeamAt::Heel, ZERO).unwrap()[0];
    close(piece.length.mm_f64(), 227.10, 6e-3);
    close(flat.stretch_out().mm_f64(), 262.01, 6e-3);
    close(piece.area().mm2_f64(), 4004.5325, 0.02);
    // TV20: at r = R the throat vanishes.
    close(bend.throat(38.1), 0.0, 1e-12);
}

#[test]
fn tv22_an_elbow_is_worth_so_much_pipe_whatever_its_layer() {
    for under in [16830, 18830, 20830] {
        let (bend, _) = worked();
        let layer = layer(under, 10, HALF);
        let flat = fine(bend, &layer, 1);
        let gores = bend.gores(Arrangement::HalfEnds, [None, None]);
        let area = all_gores(&flat, &gores, SeamAt::Throat).unwrap();
        close(area / layer.stretch_out(), 361.1491, 1e-3);
    }
}

/// Where the ends are joined, `WholeEnds` has a mitre at a quarter unit; the axes of contact still
/// add up: `sum of 2 R tan(half)` over all mitres plus the straight ends, times the stretch-out.
#[test]
fn reaching_ends_add_their_rectangle() {
    let (bend, layer) = worked();
    let flat = fine(bend, &layer, 1);
    let reach = Length::from_mm(75);
    let gores = bend.gores(Arrangement::WholeEnds, [Some(reach), None]);
    assert_eq!(gores.len(), 7);
    let (half, quarter) = (bend.unit() / 2.0, bend.unit() / 4.0);
    let mean = 75.0 + bend.radius * (11.0 * libm::tan(half) + 2.0 * libm::tan(quarter));
    let area = all_gores(&flat, &gores, SeamAt::Heel).unwrap();
    close(area / layer.stretch_out(), mean, 1e-3);
    let piece = flat.one_piece(&gores, Length::from_mm(50), ZERO).unwrap();
    let heel = 75.0
        + (bend.radius + layer.mid_radius()) * (11.0 * libm::tan(half) + 2.0 * libm::tan(quarter));
    close(piece.width.mm_f64(), heel, 1e-3);
}

/// Where the bend leaves no room, ends that reach into runs are cut back along the plane in which
/// the two covers meet.
#[test]
fn cut_back_ends_meet_in_the_middle_plane() {
    let bend = Bend { radius: 38.1, angle: FRAC_PI_2, units: 1 };
    let thick = layer(7340, 10, HALF);
    let flat = fine(bend, &thick, 1);
    close(bend.cut_back(thick.mid_radius()), 3.6, 1e-9);
    let reach = Length::from_mm(29);
    let gores = bend.gores(Arrangement::HalfEnds, [Some(reach); 2]);
    assert_eq!(gores.len(), 2);
    let area = all_gores(&flat, &gores, SeamAt::Throat).unwrap();
    // One mitre of 45 degrees: each half has the mean width R tan 45 + 29.
    close(area / thick.stretch_out(), 2.0 * (38.1 + 29.0), 1e-3);
    let whole = flat.one_piece(&gores, Length::from_mm(50), ZERO).unwrap();
    close(whole.length.mm_f64(), thick.stretch_out(), 1e-3);
    close(whole.width.mm_f64(), 2.0 * (29.0 + 38.1 + 41.7), 1e-3);
}

#[test]
fn a_split_ring_keeps_its_area() {
    let (bend, layer) = worked();
    let gores = bend.gores(Arrangement::HalfEnds, [None, None]);
    let whole = all_gores(&fine(bend, &layer, 1), &gores, SeamAt::Throat).unwrap();
    for sectors in [2, 3, 5] {
        let flat = fine(bend, &layer, sectors);
        let pieces = flat.gore(&gores[1], SeamAt::Throat, ZERO).unwrap();
        assert_eq!(pieces.len(), usize::try_from(sectors).unwrap());
        let area = all_gores(&flat, &gores, SeamAt::Throat).unwrap();
        close(area, whole, 0.2);
    }
}

/// Two parts round that part at the sides: there a gore is 2 R tan(7.5) = 60.19 mm wide, at the heel 2 (30.10 +
/// 11.74) = 83.67, at the throat 36.72 (TV5). Their area is the ring's, as with seams at the throat.
#[test]
fn parts_may_begin_half_a_part_from_throat_and_heel() {
    let (bend, layer) = worked();
    let gores = bend.gores(Arrangement::HalfEnds, [None, None]);
    let whole = all_gores(&fine(bend, &layer, 1), &gores, SeamAt::Throat).unwrap();
    for sectors in [2, 4] {
        let area = all_gores(&fine(bend, &layer, sectors), &gores, SeamAt::Between).unwrap();
        close(area, whole, 0.2);
    }
    let pieces = fine(bend, &layer, 2).gore(&gores[1], SeamAt::Between, ZERO).unwrap();
    for (piece, (word, width)) in pieces.iter().zip([("heel", 83.665), ("throat", 36.718)]) {
        let sizes = piece.marks.iter().filter(|m| m.kind == MarkKind::Size);
        let found: Vec<(&str, f64)> =
            sizes.map(|m| (m.word.as_ref(), (m.to.x - m.from.x).mm_f64())).collect();
        assert_eq!(found.len(), 3);
        for (found, wanted) in found.iter().zip([("side", 60.191), (word, width), ("side", 60.191)])
        {
            assert_eq!(found.0, wanted.0);
            close(found.1, wanted.1, 2e-3);
        }
    }
}

/// Each part round is longer by the lap, and as wide there as the one it laps over: beyond the side, towards the
/// throat, 2 (30.096 - 11.737 sin(30 / 89.15)) = 52.44 mm.
#[test]
fn all_parts_round_a_gore_lap() {
    let (bend, layer) = worked();
    let gores = bend.gores(Arrangement::HalfEnds, [None, None]);
    let lap = Length::from_mm(30);
    for sectors in [1_u32, 2, 3] {
        for piece in fine(bend, &layer, sectors).gore(&gores[1], SeamAt::Heel, lap).unwrap() {
            close(piece.length.mm_f64(), 560.146 / f64::from(sectors) + 30.0, 1e-3);
        }
    }
    let pieces = fine(bend, &layer, 2).gore(&gores[1], SeamAt::Between, lap).unwrap();
    let seams = pieces[0].marks.iter().filter(|m| m.kind == MarkKind::Edge && m.word == "seam");
    let widths: Vec<f64> = seams.map(|m| (m.to.x - m.from.x).mm_f64()).collect();
    assert_eq!(widths.len(), 2);
    close(widths[0], 60.191, 2e-3);
    close(widths[1], 52.44, 1e-2);
}

/// `TV18b`: edges for a swing of 11.74 mm at chord errors of 0.5, 0.25 and 0.1 mm.
#[test]
fn tv18b_edges_round_a_gore() {
    use super::super::gore::edges_for;
    assert_eq!([0.5, 0.25, 0.1].map(|e| edges_for(11.7368, e)), [11, 16, 25]);
}

/// Heel deviation of NPS 6, layer 1, by number of units (derived; DOMAIN notes 3.2).
#[test]
fn units_follow_the_tolerance_and_the_throat() {
    let r = 89.15;
    for (units, off) in [(3, 11.2), (4, 6.2), (5, 4.0), (6, 2.7), (8, 1.5)] {
        let bend = Bend { radius: 228.6, angle: FRAC_PI_2, units };
        close(bend.heel_stand_off(r), off, 0.06);
    }
    let choose = |tolerance: i64, throat: i64| {
        let rules = Elbows {
            tolerance: Length::from_mm(tolerance),
            smallest_throat: Length::from_mm(throat),
            ..Elbows::default()
        };
        let throat = rules.smallest_throat;
        Bend::choose(Length::from_nm(228_600_000), Angle::QUARTER, (r, r), throat, &rules).units
    };
    assert_eq!(choose(6, 25), 5);
    assert_eq!(choose(3, 25), 6);
    // 2 (R - r) tan(45/n): 55.5 mm at n = 4, 44.2 at 5.
    assert_eq!(choose(3, 50), 4);
    let rules = Elbows { gores: Some(6), ..Elbows::default() };
    let half = Bend::choose(
        Length::from_nm(228_600_000),
        Angle::from_degrees(45),
        (r, r),
        rules.smallest_throat,
        &rules,
    );
    assert_eq!(half.units, 3);
}

/// By hand, NPS 2 long radius (R 76.2, outside diameter 60.3) in five layers of 10 mm, mid radii 35.15 to 75.15: three
/// units leave the outermost heel 5.34 mm off, `(76.2 + 75.15) (1/cos(15) - 1)`, two 12.5. Its throat is then 0.56 mm,
/// `2 (76.2 - 75.15) tan(15)`, and the innermost layer's 22.0.
#[test]
fn a_thick_outer_layer_runs_to_a_point_sooner_than_the_bend_is_cut_off() {
    let units = |layers: (f64, f64), throat: i64, tolerance: i64| {
        let rules = Elbows { tolerance: Length::from_mm(tolerance), ..Elbows::default() };
        let radius = Length::from_nm(76_200_000);
        Bend::choose(radius, Angle::QUARTER, layers, Length::from_mm(throat), &rules).units
    };
    assert_eq!(units((35.15, 75.15), 2, 6), 3);
    assert_eq!(units((35.15, 75.15), 2, 13), 2);
    // Beyond the bend's own radius the same, and where the innermost has no room for them the fewest.
    assert_eq!(units((35.15, 95.15), 2, 6), 4);
    assert_eq!(units((35.15, 95.15), 23, 6), 2);
    assert_eq!(units((75.15, 95.15), 2, 6), 1);
    // With no width at all at the throat in any layer, none is too narrow.
    assert_eq!(units((76.2, 95.15), 2, 6), 4);
    // What keeps the tolerance is as before.
    assert_eq!(units((35.15, 45.15), 2, 6), 3);
}

/// A gore next to one that reaches into a run has two mitres that nobody tells apart by eye: the lesser one's
/// ticks say that they face the bend's end. Of like mitres none says so.
#[test]
fn unlike_mitres_are_told_apart() {
    let (bend, layer) = worked();
    let flat = fine(bend, &layer, 1);
    let reach = Some(Length::from_mm(75));
    let gores = bend.gores(Arrangement::WholeEnds, [reach, reach]);
    for seam in [SeamAt::Throat, SeamAt::Heel] {
        for (g, told) in [(0, false), (1, true), (2, false), (6, true), (7, false)] {
            let piece = &flat.gore(&gores[g].canonical(), seam, ZERO).unwrap()[0];
            let ends = piece.marks.iter().filter(|m| m.word.ends_with("to the end"));
            assert_eq!(ends.clone().count(), if told { 3 } else { 0 }, "gore {g}");
            // On the near edge: a quarter of the unit from the point of contact, not half.
            assert!(ends.into_iter().all(|m| m.from.x < m.to.x), "gore {g}");
        }
    }
}

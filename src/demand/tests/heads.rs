//! Heads and caps: their joints keep the stagger, or it is said.

use super::{codes, item, mm, run, stock};
use crate::demand::Demand;
use crate::finding::Findings;
use crate::pattern::dome::Meridian;
use crate::rules::Rules;
use crate::takeoff::{Head, HeadForm, Kind};
use crate::units::Length;
use std::f64::consts::PI;

fn head(od: i64, build: &[i64], stagger: i64, petals: Option<u32>) -> (Demand, Findings) {
    let kind = Kind::Head(Head { diameter: mm(od), form: HeadForm::Ellipsoidal });
    let mut rules = Rules::default();
    rules.joints.stagger = mm(stagger);
    rules.head.petals = petals;
    let (demand, findings) = run(vec![item("H", kind, 1, build)], &stock(), &rules);
    (demand.unwrap_or_else(|| panic!("{findings:?}")), findings)
}

/// Petals of each layer, and the radius of its crown disc in mm.
fn made(demand: &Demand) -> Vec<(u64, f64)> {
    let layers = demand.pieces.iter().map(|p| p.layer).max().unwrap();
    let of = |layer: u32| {
        let mine = || demand.pieces.iter().filter(move |p| p.layer == layer);
        let petals = mine().find(|p| p.part.starts_with("petal")).unwrap().quantity;
        let disc = mine().filter(|p| p.part.contains("crown disc")).map(|p| p.width.max(p.length));
        let disc = disc.max().unwrap_or(Length::ZERO);
        (petals, disc.mm_f64() / 2.0)
    };
    (1..=layers).map(of).collect()
}

/// The least distance between joints of neighbouring layers as the pieces are: between the edges of
/// crown discs, and half a petal of the innermost layer at the larger disc's edge.
fn kept(demand: &Demand, od: f64) -> f64 {
    let made = made(demand);
    let mut least = f64::INFINITY;
    for pair in made.windows(2) {
        let (petals, other) = (pair[0].0, pair[1].0);
        assert_eq!(petals, other, "half a petal apart only where there are as many");
        let larger = pair[0].1.max(pair[1].1);
        let inner = Meridian::ellipsoid(od / 2.0 + 5.0, od / 4.0 + 5.0);
        let half = PI * inner.radius_at(larger) / f64::from(u32::try_from(petals).unwrap());
        least = least.min((pair[0].1 - pair[1].1).abs()).min(half);
    }
    least
}

/// OD 1600, four layers, default stagger: with crowns of 191 and 266 mm the seams of twelve petals were
/// 2 pi 266 / 24 = 69 mm apart (cold trial); a crown of 287 mm and more keeps 75.
#[test]
fn larger_crowns_keep_the_stagger() {
    let (demand, findings) = head(1600, &[10, 10, 10, 10], 75, None);
    assert!(!codes(&findings).contains(&"D023"), "{findings:?}");
    assert_eq!(made(&demand)[0].0, 12);
    assert!(made(&demand)[1].1 > 286.0, "{:?}", made(&demand));
    assert!(kept(&demand, 1600.0) > 75.0 - 0.6, "{}", kept(&demand, 1600.0));
}

/// OD 1600 and 150 mm: twelve petals need a crown of rho = 150 * 12 / pi = 573 mm, within reach; OD 1000
/// cannot with twelve (rho 573 is beyond its rim of 500), but with eight (382).
#[test]
fn fewer_petals_keep_the_stagger() {
    let (demand, findings) = head(1600, &[10, 10], 150, None);
    assert!(!codes(&findings).contains(&"D023"), "{findings:?}");
    assert!(kept(&demand, 1600.0) > 150.0 - 0.6);
    let (demand, findings) = head(1000, &[10, 10], 150, None);
    assert!(!codes(&findings).contains(&"D023"), "{findings:?}");
    assert_eq!(made(&demand)[0].0, 8);
    assert!(kept(&demand, 1000.0) > 150.0 - 0.6);
}

/// OD 640 and 150 mm (cold trial: 117 mm between crowns, 85 mm at the rim, and nothing said): at the rim
/// of 325 mm even eight petals are 2 pi 325 / 16 = 128 mm apart, so it cannot be kept, and is told.
#[test]
fn what_cannot_be_kept_is_told() {
    for stagger in [150, 200] {
        let (demand, findings) = head(640, &[10, 10], stagger, None);
        let told = findings.iter().find(|f| f.code.id == "D023").unwrap();
        let kept = kept(&demand, 640.0);
        assert!(kept < 150.0 && kept > 90.0, "{kept}");
        let words = format!("leave {:.0} mm between", kept.floor());
        assert!(told.what.contains(&words), "{} {kept}", told.what);
    }
    // One layer has nothing to be staggered against.
    assert!(!codes(&head(640, &[10], 200, None).1).contains(&"D023"));
    assert!(!codes(&head(640, &[10, 10], 0, None).1).contains(&"D023"));
    // Petals that run to a point meet there.
    let (_, findings) = head(300, &[10, 10], 75, None);
    let told = findings.iter().find(|f| f.code.id == "D023").unwrap();
    assert!(told.what.contains("run to a point"), "{}", told.what);
}

/// Below a rim of 300 mm heads have crown discs where these keep the stagger: OD 580 with eight petals
/// needs rho = 75 * 8 / pi = 191 mm.
#[test]
fn small_heads_get_crowns_where_these_keep_the_stagger() {
    let (demand, findings) = head(580, &[10, 10], 75, None);
    assert!(!codes(&findings).contains(&"D023"), "{findings:?}");
    assert!(made(&demand).iter().all(|layer| layer.1 > 0.0));
    assert!(kept(&demand, 580.0) > 75.0 - 0.6);
    let (demand, _) = head(580, &[10], 75, None);
    assert_eq!(made(&demand), [(8, 0.0)]);
}

#[test]
fn the_rule_gives_the_least_number_of_petals() {
    assert_eq!(made(&head(1600, &[10, 10], 75, Some(16)).0)[0].0, 16);
    assert_eq!(made(&head(1600, &[10, 10], 75, Some(9)).0)[0].0, 10);
    // Six petals keep 200 mm on OD 1000: rho = 200 * 6 / pi = 382 mm.
    let (demand, findings) = head(1000, &[10, 10], 200, Some(6));
    assert!(!codes(&findings).contains(&"D023"), "{findings:?}");
    assert_eq!(made(&demand)[0].0, 6);
}

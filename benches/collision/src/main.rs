//! What a place on a sheet of outlines costs to judge: our forbidden regions against `jagua-rs`, a
//! general-purpose collision engine (MPL-2.0), on the same layouts, the same places and one processor.
//!
//! A layout is searched for first, shortly. Then places are drawn by lot, half of them anywhere on the
//! sheet and half near the piece's own, and three questions are asked of each: does the piece collide
//! there at all, with which others, and how deep does it lie in each (which only ours tells). Every answer is
//! held against the exact test in whole numbers. Last, each piece of the layout is asked for where it
//! lies, touching others, and a little beside.
//!
//! ```text
//! cargo run --release --manifest-path benches/collision/Cargo.toml -- FILE.json [NAME]
//! ```

use jagua_rs::collision_detection::CDEConfig;
use jagua_rs::collision_detection::hazards::HazKey;
use jagua_rs::collision_detection::hazards::collector::BasicHazardCollector;
use jagua_rs::entities::{Item, Layout, PItemKey};
use jagua_rs::geometry::DTransformation;
use jagua_rs::geometry::fail_fast::SPSurrogateConfig;
use jagua_rs::geometry::geo_traits::TransformableFrom;
use jagua_rs::geometry::primitives::SPolygon;
use jagua_rs::io::ext_repr::{
    ExtContainer, ExtItem, ExtOrientation, ExtRotation, ExtSPolygon, ExtShape,
};
use jagua_rs::io::import::Importer;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rollwright::nest::shapes::exact::conflict;
use rollwright::nest::shapes::form::{Forms, Way};
use rollwright::nest::shapes::pairs::Pairs;
use rollwright::nest::shapes::table::{Kit, Spot, Table};
use rollwright::nest::{Instance, News, Options, Watch, read, solve};
use std::hint::black_box;
use std::process::ExitCode;
use std::sync::Arc;
use std::time::Instant;

/// Places drawn for each instance.
const PLACES: usize = 200_000;
/// Times that each question is asked of all places; the quickest counts.
const TIMES: usize = 3;
/// Steps of the search for a layout.
const WORK: u64 = 1_000_000;
/// Nanometres in a unit of the other engine, which counts in single precision.
const UNIT: f64 = 1e6;

fn main() -> ExitCode {
    let mut words = std::env::args().skip(1);
    let (file, name) = (words.next(), words.next().unwrap_or_default());
    let Some((file, bytes)) = file.and_then(|f| std::fs::read(&f).ok().map(|b| (f, b))) else {
        eprintln!("wanted: a file of instances, and perhaps the name of one");
        return ExitCode::FAILURE;
    };
    println!("| instance | pieces | question | ours, ns | jagua-rs, ns |");
    println!("|---|---|---|---|---|");
    let entries = read(&file, &bytes).unwrap_or_default();
    let mut notes = Vec::new();
    for instance in entries.into_iter().filter_map(|entry| entry.instance) {
        if instance.name.contains(&name) {
            notes.extend(compare(&instance));
        }
    }
    notes.iter().for_each(|note| println!("{note}"));
    ExitCode::SUCCESS
}

struct Quiet;

impl Watch for Quiet {
    fn stop(&self) -> bool {
        false
    }

    fn news(&self, _: &News<'_>) {}
}

/// A place to be judged.
struct Place {
    piece: usize,
    way: Way,
    x: f64,
    y: f64,
}

/// Prints the times of one instance, and returns what is to be said of the answers.
fn compare(instance: &Instance) -> Option<String> {
    let forms = Forms::new(instance);
    let kit = Kit::new(Pairs::new(forms.forms, instance.cutting.gap.nm()), forms.ways);
    let count = kit.pairs.forms.len();
    let start = Instant::now();
    for a in 0..count {
        for b in 0..=a {
            black_box(kit.pairs.depth(a, b, (0.0, 0.0), f64::INFINITY));
        }
    }
    let prepared = start.elapsed().as_secs_f64() * 1e9;
    let options = Options { work: WORK, ..Options::default() };
    let answer = solve(instance, &options, &Quiet).ok()?;
    let pull = answer.layouts.first()?.pulls.first()?;
    let spots: Vec<Spot> = pull
        .placements
        .iter()
        .map(|p| {
            let way = kit.ways[p.piece]
                .iter()
                .find(|way| way.turn.quarter_turns() == p.turn.quarter_turns());
            let way = *way.unwrap_or(&kit.ways[p.piece][0]);
            Spot { piece: p.piece, way, x: p.x.nm() as f64, y: (p.y - pull.y).nm() as f64 }
        })
        .collect();
    let sheet = [instance.rolls.first()?.width.nm() as f64, pull.length.nm() as f64];
    let mut table = Table::new(&kit, sheet, spots.clone());
    let start = Instant::now();
    let (layout, items, keys) = other(&kit, &spots, sheet)?;
    let imported = start.elapsed().as_secs_f64() * 1e9;
    let places = places(&kit, &spots, sheet);

    let mut any = (0, 0);
    let ours = nanoseconds(|| {
        any.0 = places
            .iter()
            .filter(|p| table.cost(p.piece, p.way, p.x, p.y, f64::MIN_POSITIVE) > 0.0)
            .count();
    });
    let theirs = nanoseconds(|| {
        let mut shapes = shapes(&items);
        any.1 = places
            .iter()
            .filter(|p| collides(&layout, &items, &mut shapes, p, keys[p.piece]))
            .count();
    });
    let row = |question: &str, ours: f64, theirs: &str| {
        let Instance { name, .. } = instance;
        let corners: usize = spots.iter().map(|s| kit.pairs.forms[s.way.form].corners.len()).sum();
        println!(
            "| {name} | {} of {corners} corners | {question} | {ours:.0} | {theirs} |",
            spots.len(),
        );
    };
    row("all that is worked out beforehand", prepared, &format!("{imported:.0}"));
    row("does it collide", ours, &format!("{theirs:.0}"));

    let mut depth = 0.0;
    let ours = nanoseconds(|| {
        depth = places.iter().map(|p| table.cost(p.piece, p.way, p.x, p.y, f64::INFINITY)).sum();
    });
    black_box(depth);
    let mut met = 0;
    let theirs = nanoseconds(|| {
        let mut shapes = shapes(&items);
        let mut collector = BasicHazardCollector::with_capacity(spots.len() + 1);
        met = 0;
        for p in &places {
            let shape = moved(&items, &mut shapes, p.way.form, p.x, p.y);
            collector.clear();
            let cde = layout.cde();
            cde.collect_surrogate_collisions(shape, &keys[p.piece], &mut collector);
            cde.collect_poly_collisions(shape, &keys[p.piece], &mut collector);
            met += collector.len();
        }
    });
    black_box(met);
    row("with which; ours also how deep in each", ours, &format!("{theirs:.0} (without depths)"));

    let mut layout = layout;
    let mut keys_now: Vec<PItemKey> = layout.placed_items().keys().collect();
    let moves = &places[..places.len() / 10];
    let ours = nanoseconds_of(moves.len(), || {
        for p in moves {
            table.place(p.piece, p.way, p.x, p.y);
        }
    });
    let theirs = nanoseconds_of(moves.len(), || {
        for p in moves {
            layout.remove_item(keys_now[p.piece]);
            let item = &items[p.way.form];
            keys_now[p.piece] = layout.place_item(item, pose(item, p.x, p.y));
        }
    });
    row("a piece moves, and all is kept right", ours, &format!("{theirs:.0}"));
    Some(note(instance, &kit, &spots, sheet, &places))
}

/// How often the other engine's answers differ from the exact test.
fn note(
    instance: &Instance,
    kit: &Kit,
    spots: &[Spot],
    sheet: [f64; 2],
    places: &[Place],
) -> String {
    let Some((layout, items, keys)) = other(kit, spots, sheet) else {
        return format!("{}: not taken by the other engine", instance.name);
    };
    let mut shapes = shapes(&items);
    let truth = |p: &Place| {
        spots.iter().enumerate().any(|(j, s)| {
            let forms = &kit.pairs.forms;
            let (dx, dy) = ((p.x - s.x).round() as i64, (p.y - s.y).round() as i64);
            j != p.piece && conflict(&forms[s.way.form], &forms[p.way.form], dx, dy, kit.pairs.gap)
        })
    };
    // Adds to the free ones said to collide, or to those that collide and are said to be free.
    let mut judge = |p: &Place, wrong: &mut [usize; 2]| {
        let told = collides(&layout, &items, &mut shapes, p, keys[p.piece]);
        let truth = truth(p);
        wrong[0] += usize::from(told && !truth);
        wrong[1] += usize::from(truth && !told);
    };
    let mut wrong = [0; 2];
    places.iter().for_each(|p| judge(p, &mut wrong));
    let mut text = format!(
        "{}: of {} places {} free ones were said to collide, {} that collide to be free",
        instance.name,
        places.len(),
        wrong[0],
        wrong[1],
    );
    for nm in [0.0, 10.0, 100.0, 1_000.0, 10_000.0, 100_000.0] {
        let (mut asked, mut wrong) = (0, [0; 2]);
        for (piece, spot) in spots.iter().enumerate() {
            for (dx, dy) in [(nm, 0.0), (-nm, 0.0), (0.0, nm), (0.0, -nm)] {
                let (w, l) = kit.size(spot.way.form);
                let (x, y) = (spot.x + dx, spot.y + dy);
                if x < 0.0 || y < 0.0 || x + w > sheet[0] || y + l > sheet[1] {
                    continue;
                }
                asked += 1;
                judge(&Place { piece, way: spot.way, x, y }, &mut wrong);
            }
        }
        text += &format!("; {nm} nm beside its own place, {asked}: {} and {}", wrong[0], wrong[1]);
    }
    text
}

/// The same layout in the other engine: forms as items, and the key by which each spot is left out.
fn other(
    kit: &Kit,
    spots: &[Spot],
    sheet: [f64; 2],
) -> Option<(Layout, Vec<Arc<Item>>, Vec<HazKey>)> {
    let config = CDEConfig {
        quadtree_depth: 5,
        cd_threshold: 16,
        item_surrogate_config: SPSurrogateConfig {
            n_pole_limits: [(64, 0.0), (16, 0.8), (8, 0.9)],
            ff_pole_area_ratio: 0.6,
            n_ff_piers: 0,
        },
    };
    let importer = Importer::new(config, None, None);
    // A little larger, or what touches the sheet's edge would collide with its outside.
    let slack = sheet[1] * 1e-4;
    let container = ExtContainer {
        id: 0,
        shape: ExtShape::Rectangle {
            x_min: (-slack / UNIT) as f32,
            y_min: (-slack / UNIT) as f32,
            width: ((sheet[0] + 2.0 * slack) / UNIT) as f32,
            height: ((sheet[1] + 2.0 * slack) / UNIT) as f32,
        },
        zones: Vec::new(),
    };
    let items: Vec<Arc<Item>> = kit
        .pairs
        .forms
        .iter()
        .enumerate()
        .map(|(index, form)| {
            let point = |c: &(i64, i64)| ((c.0 as f64 / UNIT) as f32, (c.1 as f64 / UNIT) as f32);
            let item = ExtItem {
                id: index as u64,
                orientation: ExtOrientation {
                    rotation: ExtRotation::Discrete { angles: vec![0.0] },
                    reflection_axes: Vec::new(),
                },
                shape: ExtShape::SimplePolygon(ExtSPolygon(
                    form.corners.iter().map(point).collect(),
                )),
                min_quality: None,
            };
            importer.import_item(&item, index).ok()
        })
        .collect::<Option<_>>()?;
    let mut layout = Layout::new(importer.import_container(&container).ok()?);
    let mut keys = Vec::new();
    for spot in spots {
        let item = &items[spot.way.form];
        let placed = layout.place_item(item, pose(item, spot.x, spot.y));
        let entity = (placed, &layout.placed_items()[placed]).into();
        keys.push(layout.cde().haz_key(&entity)?);
    }
    Some((layout, items, keys))
}

/// Where an item is to be moved so that its box begins there.
fn pose(item: &Item, x: f64, y: f64) -> DTransformation {
    let bbox = item.shape_cd().bbox();
    let to = (x / UNIT - f64::from(bbox.x_min), y / UNIT - f64::from(bbox.y_min));
    DTransformation::new(0.0, (to.0 as f32, to.1 as f32))
}

fn shapes(items: &[Arc<Item>]) -> Vec<SPolygon> {
    items.iter().map(|item| item.shape_cd().as_ref().clone()).collect()
}

fn moved<'a>(
    items: &[Arc<Item>],
    shapes: &'a mut [SPolygon],
    form: usize,
    x: f64,
    y: f64,
) -> &'a SPolygon {
    let item = &items[form];
    shapes[form].transform_from(item.shape_cd(), &pose(item, x, y).compose())
}

fn collides(
    layout: &Layout,
    items: &[Arc<Item>],
    shapes: &mut [SPolygon],
    p: &Place,
    key: HazKey,
) -> bool {
    let item = &items[p.way.form];
    let to = pose(item, p.x, p.y).compose();
    let cde = layout.cde();
    // What surely collides is told by circles inside the outline, before it is moved.
    cde.detect_surrogate_collision(item.shape_cd().surrogate(), &to, &key)
        || cde.detect_poly_collision(moved(items, shapes, p.way.form, p.x, p.y), &key)
}

/// Places by lot on the sheet, in whole nanometres.
fn places(kit: &Kit, spots: &[Spot], sheet: [f64; 2]) -> Vec<Place> {
    let mut lot = ChaCha8Rng::seed_from_u64(1);
    let mut places = Vec::with_capacity(PLACES);
    while places.len() < PLACES {
        let piece = lot.random_range(0..spots.len());
        let spot = &spots[piece];
        let ways = &kit.ways[spot.piece];
        let way = ways[lot.random_range(0..ways.len())];
        let (w, l) = kit.size(way.form);
        let free = [sheet[0] - w, sheet[1] - l];
        if free[0] < 0.0 || free[1] < 0.0 {
            continue;
        }
        let near = places.len() % 2 == 1;
        let mut by = |from: f64, size: f64, free: f64| {
            let to = if near {
                from + (lot.random::<f64>() - 0.5) * size
            } else {
                lot.random::<f64>() * free
            };
            to.clamp(0.0, free).floor()
        };
        let (x, y) = (by(spot.x, w, free[0]), by(spot.y, l, free[1]));
        places.push(Place { piece, way, x, y });
    }
    places
}

fn nanoseconds(ask: impl FnMut()) -> f64 {
    nanoseconds_of(PLACES, ask)
}

fn nanoseconds_of(count: usize, mut ask: impl FnMut()) -> f64 {
    let times = (0..TIMES).map(|_| {
        let start = Instant::now();
        ask();
        start.elapsed().as_secs_f64() * 1e9 / count as f64
    });
    times.fold(f64::INFINITY, f64::min)
}

//! Re-checks an answer from the instance alone; shares no code with the engine.

use rollwright::cutting::Objective;
use rollwright::nest::{Instance, Nesting, Status};
use rollwright::units::Angle;

/// A placed rectangle: x, y, width, length, in nanometres.
type Placed = [i64; 4];

/// Stops the test with what is wrong.
pub fn check(instance: &Instance, answer: &Nesting) {
    let name = &instance.name;
    let cut = &instance.cutting;
    let (gap, trim, square) = (cut.gap.nm(), cut.edge_trim.nm(), cut.square_cut.nm());
    let mut made = vec![0_u64; instance.pieces.len()];
    let mut used = vec![0_u64; instance.rolls.len()];
    let mut furthest = 0;
    for layout in &answer.layouts {
        let roll = &instance.rolls[layout.roll];
        used[layout.roll] += layout.copies;
        let mut placed: Vec<Placed> = Vec::new();
        let mut far = None;
        for pull in &layout.pulls {
            let (start, end) = (pull.y.nm(), (pull.y + pull.length).nm());
            assert!(far.is_none_or(|f: i64| start >= f + gap), "{name}: pulls too near");
            assert!(start >= square, "{name}: a pull starts in the square cut");
            if let Some(limit) = cut.pull_limit {
                assert!(pull.length <= limit, "{name}: a pull is too long");
            }
            far = Some(end);
            for place in &pull.placements {
                let piece = &instance.pieces[place.piece];
                made[place.piece] += layout.copies;
                assert!(piece.turns.allow(place.turn), "{name}: a turn is not allowed");
                let upright = place.turn == Angle::ZERO || place.turn == Angle::from_degrees(180);
                let (w, l) = if upright {
                    (piece.width.nm(), piece.length.nm())
                } else {
                    (piece.length.nm(), piece.width.nm())
                };
                let (x, y) = (place.x.nm(), place.y.nm());
                assert!(x >= trim && x + w <= roll.width.nm() - trim, "{name}: over the edge");
                assert!(y >= start && y + l <= end, "{name}: outside its pull");
                placed.push([x, y, w, l]);
            }
        }
        let far = far.unwrap_or(0);
        assert!(roll.length.is_none_or(|l| far <= l.nm()), "{name}: past the roll's end");
        furthest = far;
        sweep(name, placed, gap);
    }
    for (piece, made) in instance.pieces.iter().zip(&made) {
        assert!(*made >= piece.quantity, "{name}: {} of {} made", made, piece.quantity);
    }
    for (roll, used) in instance.rolls.iter().zip(&used) {
        assert!(roll.available.is_none_or(|most| *used <= most), "{name}: too many rolls");
    }
    let prices = instance.rolls.iter().zip(&used).map(|(r, &n)| r.price.micros() * n as i64);
    let value = match instance.objective {
        Objective::Length => furthest,
        Objective::Rolls => used.iter().sum::<u64>() as i64,
        Objective::Price => prices.sum(),
    };
    assert_eq!(answer.value, value, "{name}: the value is not what the layouts come to");
    assert!(answer.bound <= value, "{name}: bound {} above {value}", answer.bound);
    assert_eq!(answer.status == Status::Proven, answer.bound == value, "{name}: status");
}

/// No two rectangles nearer than the gap: a sweep along the roll.
fn sweep(name: &str, mut placed: Vec<Placed>, gap: i64) {
    placed.sort_by_key(|p| p[1]);
    let mut open: Vec<Placed> = Vec::new();
    for new in placed {
        open.retain(|old| old[1] + old[3] + gap > new[1]);
        for old in &open {
            let apart = old[0] + old[2] + gap <= new[0] || new[0] + new[2] + gap <= old[0];
            assert!(apart, "{name}: {old:?} and {new:?} are too near");
        }
        open.push(new);
    }
}

//! Exhaustive search on tiny instances, without a line of the engine: the least number of rolls in two
//! or three stages, by dynamic programming over sets of pieces.

use rollwright::nest::Instance;

/// Width and length of a piece, gap included, as it lies.
type Size = (i64, i64);

/// The least number of rolls of an instance with one roll product and few single pieces.
pub fn least_rolls(instance: &Instance) -> u64 {
    let cutting = &instance.cutting;
    let gap = cutting.gap.nm();
    let roll = &instance.rolls[0];
    let width = roll.width.nm() - 2 * cutting.edge_trim.nm() + gap;
    let length = roll.length.expect("an end").nm() - cutting.square_cut.nm() + gap;
    let limit = cutting.pull_limit.map_or(length, |limit| (limit.nm() + gap).min(length));
    let mut lies: Vec<Vec<Size>> = Vec::new();
    for piece in &instance.pieces {
        let (w, l) = (piece.width.nm() + gap, piece.length.nm() + gap);
        let mut ways = Vec::new();
        if piece.turns.upright() {
            ways.push((w, l));
        }
        if piece.turns.sideways() {
            ways.push((l, w));
        }
        lies.extend((0..piece.quantity).map(|_| ways.clone()));
    }
    let all = (1_usize << lies.len()) - 1;
    let pull: Vec<Option<i64>> = (0..=all)
        .map(|set| {
            let members: Vec<&[Size]> =
                (0..lies.len()).filter(|i| set >> i & 1 == 1).map(|i| lies[i].as_slice()).collect();
            shortest_pull(&members, width, limit, cutting.stages == Some(3))
        })
        .collect();
    // The shortest way to hold a set in pulls one after another, then the fewest rolls.
    let mut along: Vec<Option<i64>> = vec![None; all + 1];
    along[0] = Some(0);
    for set in 1..=all {
        along[set] = parts(set)
            .filter_map(|part| Some(pull[part]? + along[set & !part]?))
            .min()
            .filter(|&long| long <= length);
    }
    let mut rolls: Vec<Option<u64>> = vec![None; all + 1];
    rolls[0] = Some(0);
    for set in 1..=all {
        rolls[set] = parts(set)
            .filter(|&part| along[part].is_some())
            .filter_map(|part| Some(1 + rolls[set & !part]?))
            .min();
    }
    rolls[all].expect("every piece fits")
}

/// The subsets of a set that hold its lowest member.
fn parts(set: usize) -> impl Iterator<Item = usize> {
    let lowest = set & set.wrapping_neg();
    (1..=set).filter(move |part| part & !set == 0 && part & lowest != 0)
}

/// The shortest pull that holds these pieces, each in one of its ways to lie.
fn shortest_pull(pieces: &[&[Size]], width: i64, limit: i64, stacks: bool) -> Option<i64> {
    let Some((first, rest)) = pieces.split_first() else { return Some(0) };
    let mut best: Option<i64> = None;
    place(
        first,
        rest,
        &mut Vec::new(),
        &mut |strips: &[Size]| {
            let across: i64 = strips.iter().map(|strip| strip.0).sum();
            let along = strips.iter().map(|strip| strip.1).max().unwrap_or(0);
            if across <= width && along <= limit && best.is_none_or(|b| along < b) {
                best = Some(along);
            }
        },
        stacks,
    );
    best
}

/// Puts the first piece on each strip in turn (if stacks are allowed) and on a strip of its own.
fn place(
    first: &[Size],
    rest: &[&[Size]],
    strips: &mut Vec<Size>,
    done: &mut dyn FnMut(&[Size]),
    stacks: bool,
) {
    for &(w, l) in first {
        let many = if stacks { strips.len() } else { 0 };
        for at in 0..=many {
            let own = at == many;
            let before = if own { None } else { Some(strips[at]) };
            match before {
                None => strips.push((w, l)),
                Some(old) => strips[at] = (old.0.max(w), old.1 + l),
            }
            match rest.split_first() {
                None => done(strips),
                Some((next, others)) => place(next, others, strips, done, stacks),
            }
            match before {
                None => {
                    strips.pop();
                }
                Some(old) => strips[at] = old,
            }
        }
    }
}

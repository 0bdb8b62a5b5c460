//! Knapsacks over a row of room: what fits, for every length up to a whole one.

use super::Trouble;
use super::work::Work;

/// Like things that may be taken, from one mark to before another.
#[derive(Clone, Debug)]
pub(super) struct Span {
    pub(super) from: usize,
    pub(super) to: usize,
    /// Room that one takes; at least 1.
    pub(super) size: usize,
    /// What one is worth.
    pub(super) price: i64,
    /// How many there are.
    pub(super) copies: u64,
}

/// Adds to a row, where `row[x]` is the most that fits a room `x`, up to so many copies of a thing.
pub(super) fn join(
    row: &mut [i64],
    size: usize,
    price: i64,
    copies: u64,
    work: &mut Work,
) -> Result<(), Trouble> {
    let room = row.len().saturating_sub(1);
    let fit = room / size.max(1);
    if usize::try_from(copies).unwrap_or(usize::MAX) >= fit {
        work.spend(row.len(), 1)?;
        repeat(row, size, price);
        return Ok(());
    }
    // So many at a time that all counts up to the whole are sums: 1, 2, 4, and what is left.
    let (mut left, mut pack) = (usize::try_from(copies).unwrap_or(usize::MAX), 1_usize);
    while left > 0 {
        let many = pack.min(left);
        let shift = many * size;
        if shift > room {
            break;
        }
        work.spend(row.len() - shift, 1)?;
        let worth = price * i64::try_from(many).unwrap_or(i64::MAX);
        let before = row.to_vec();
        for (here, less) in row[shift..].iter_mut().zip(&before) {
            *here = (*here).max(less + worth);
        }
        left -= many;
        pack *= 2;
    }
    Ok(())
}

/// Adds as many copies of a thing as fit, a part of the row at a time from the one before it.
pub(super) fn repeat(row: &mut [i64], size: usize, price: i64) {
    let size = size.max(1);
    for from in (size..row.len()).step_by(size) {
        let (before, here) = row.split_at_mut(from);
        for (here, less) in here.iter_mut().zip(&before[from - size..]) {
            *here = (*here).max(less + price);
        }
    }
}

/// For every mark the row of what may be taken at it.
///
/// Marks are halved again and again; a thing joins the row of a part as soon as it may be taken on all of
/// it. So it joins a few rows for each halving, and none needs to be taken out of a row again.
pub(super) fn each(
    spans: Vec<Span>,
    marks: usize,
    room: usize,
    work: &mut Work,
    visit: &mut dyn FnMut(usize, &[i64]),
) -> Result<(), Trouble> {
    if marks == 0 {
        return Ok(());
    }
    let row = vec![0; room + 1];
    part((0, marks), spans, &row, work, visit)
}

fn part(
    (from, to): (usize, usize),
    spans: Vec<Span>,
    row: &[i64],
    work: &mut Work,
    visit: &mut dyn FnMut(usize, &[i64]),
) -> Result<(), Trouble> {
    let mut row = row.to_vec();
    let (all, some): (Vec<Span>, Vec<Span>) =
        spans.into_iter().partition(|span| span.from <= from && to <= span.to);
    for span in &all {
        join(&mut row, span.size, span.price, span.copies, work)?;
    }
    if to - from == 1 {
        visit(from, &row);
        return Ok(());
    }
    let middle = from.midpoint(to);
    for (from, to) in [(from, middle), (middle, to)] {
        let there = some.iter().filter(|span| span.from < to && span.to > from);
        part((from, to), there.cloned().collect(), &row, work, visit)?;
    }
    Ok(())
}

/// For every mark, when it may be taken, the smallest size of a thing that comes in several: of `(mark, size)`
/// those that are smaller than all before, each up to where a smaller one is there.
pub(super) fn spans(
    mut ways: Vec<(usize, usize)>,
    marks: usize,
    price: i64,
    copies: u64,
) -> Vec<Span> {
    ways.sort_unstable();
    let mut spans: Vec<Span> = Vec::new();
    for (from, size) in ways {
        if let Some(last) = spans.last_mut() {
            if size >= last.size {
                continue;
            }
            last.to = from;
        }
        spans.push(Span { from, to: marks, size, price, copies });
    }
    spans.retain(|span| span.from < span.to);
    spans
}

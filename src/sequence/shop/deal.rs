//! Which kit a piece goes to, and what an order comes to.
//!
//! Pieces are dealt as they are cut: to the earliest release that still needs one; there to a kit
//! that is open already, of those to the one with fewest pieces outstanding, and of equals to the
//! first. Pieces beyond what all kits need go to none.

use super::Job;

/// What an order of the pulls comes to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Score {
    /// Kits open while each pull is cut.
    pub open: Vec<u32>,
    /// Changes of the knives' places, the first one counted.
    pub setups: u64,
    /// Changes of the roll, the first one counted.
    pub rolls: u64,
    /// Pulls cut while an earlier release waits and none behind them on their roll serves it.
    pub late: u64,
    /// All of it in points.
    pub points: u64,
}

impl Score {
    /// The most kits open at once.
    #[must_use]
    pub fn most(&self) -> u32 {
        self.open.iter().copied().max().unwrap_or(0)
    }
}

/// For every pull of an order, in that order: piece, kit, how many; `None` is no kit.
pub type Dealt = Vec<Vec<(usize, Option<usize>, u64)>>;

/// Deals the pieces of the pulls, cut in this order, and scores the order.
#[must_use]
pub fn deal(job: &Job, order: &[usize]) -> (Dealt, Score) {
    let mut kits = Kits::of(job);
    let dealt: Dealt = order.iter().map(|&pull| kits.deal(job, pull)).collect();
    let score = score(job, order, &dealt);
    (dealt, score)
}

pub(super) struct Kits {
    /// Where each piece's groups begin, and the end of the last.
    groups_of: Vec<usize>,
    /// Shares of one piece and one release, those of earlier releases first.
    groups: Vec<Group>,
    /// The shares, group by group; within a group those that still need something stand first.
    shares: Vec<Open>,
    /// Where each of a piece's shares stands in `left`: where the piece's begin.
    first: Vec<usize>,
    /// For each share, pieces in order, what it still needs.
    left: Vec<u64>,
    /// How each kit stands.
    states: Vec<State>,
    /// What was changed and is to be undone.
    steps: Vec<Step>,
    /// Shares looked at so far.
    pub(super) looked: u64,
}

/// Shares of one piece and one release.
#[derive(Clone, Copy)]
struct Group {
    /// Where they begin.
    start: usize,
    /// How many of them need something.
    open: usize,
}

/// A share that may need something.
#[derive(Clone, Copy)]
struct Open {
    kit: usize,
    /// Where it stands in `left`.
    place: usize,
}

/// How a kit stands.
#[derive(Clone, Copy, Default)]
struct State {
    /// Pieces outstanding.
    outstanding: u64,
    /// Whether it was begun.
    open: bool,
}

/// A change, to be undone: which share, of which group, how many it got, whether that opened the kit.
#[derive(Clone, Copy)]
struct Step {
    share: Open,
    group: usize,
    given: u64,
    opened: bool,
}

impl Kits {
    pub(super) fn of(job: &Job) -> Self {
        let mut states = vec![State::default(); job.releases.len()];
        let all: usize = job.shares.iter().map(Vec::len).sum();
        let (mut groups_of, mut groups) = (Vec::with_capacity(job.shares.len() + 1), Vec::new());
        let mut first = Vec::with_capacity(job.shares.len());
        let (mut shares, mut left) = (Vec::with_capacity(all), Vec::with_capacity(all));
        for own in &job.shares {
            groups_of.push(groups.len());
            first.push(left.len());
            let from = shares.len();
            for share in own {
                states[share.kit].outstanding += share.quantity;
                if share.quantity > 0 {
                    shares.push(Open { kit: share.kit, place: left.len() });
                }
                left.push(share.quantity);
            }
            let release = |share: &Open| job.releases[share.kit];
            shares[from..].sort_by_key(release);
            let mut start = from;
            for group in shares[from..].chunk_by(|a, b| release(a) == release(b)) {
                groups.push(Group { start, open: group.len() });
                start += group.len();
            }
        }
        groups_of.push(groups.len());
        Self { groups_of, groups, shares, first, left, states, steps: Vec::new(), looked: 0 }
    }

    /// How many kits cutting these pulls next would open, and how many it would make whole.
    pub(super) fn try_on(&mut self, job: &Job, pulls: &[usize]) -> (usize, usize) {
        for &pull in pulls {
            self.take(job, pull);
        }
        let (mut opened, mut whole) = (0, 0);
        while let Some(Step { share, group, given, opened: new }) = self.steps.pop() {
            let kit = &mut self.states[share.kit];
            opened += usize::from(new);
            whole += usize::from(kit.outstanding == 0);
            kit.outstanding += given;
            kit.open &= !new;
            // What was taken last from a group stands right behind those that need something.
            self.groups[group].open += usize::from(self.left[share.place] == 0);
            self.left[share.place] += given;
        }
        (opened, whole)
    }

    /// Whether a kit lacks pieces.
    pub(super) fn waits(&self, kit: usize) -> bool {
        self.states[kit].outstanding > 0
    }

    /// Whether a kit was begun.
    pub(super) fn is_open(&self, kit: usize) -> bool {
        self.states[kit].open
    }

    /// How many of a piece one of its shares lacks.
    pub(super) fn lacks(&self, piece: usize, share: usize) -> u64 {
        self.left[self.first[piece] + share]
    }

    /// Cuts these pulls next.
    pub(super) fn cut(&mut self, job: &Job, pulls: &[usize]) {
        for &pull in pulls {
            self.take(job, pull);
        }
        self.steps.clear();
    }

    /// Cuts a pull next: for each piece, which kit gets how many.
    fn deal(&mut self, job: &Job, pull: usize) -> Vec<(usize, Option<usize>, u64)> {
        let mut dealt = Vec::with_capacity(job.pulls[pull].pieces.len());
        for &(piece, count) in &job.pulls[pull].pieces {
            let mut over = count;
            self.hand_out(piece, count, |kit, given| {
                over -= given;
                dealt.push((piece, Some(kit), given));
            });
            if over > 0 {
                dealt.push((piece, None, over));
            }
        }
        self.steps.clear();
        dealt
    }

    fn take(&mut self, job: &Job, pull: usize) {
        for &(piece, count) in &job.pulls[pull].pieces {
            self.hand_out(piece, count, |_, _| {});
        }
    }

    /// Hands out so many of a piece, as far as kits need them.
    fn hand_out(&mut self, piece: usize, mut count: u64, mut to: impl FnMut(usize, u64)) {
        for number in self.groups_of[piece]..self.groups_of[piece + 1] {
            let group = &mut self.groups[number];
            while group.open > 0 {
                if count == 0 {
                    return;
                }
                let open = &mut self.shares[group.start..group.start + group.open];
                self.looked += open.len() as u64;
                let states = &self.states;
                let first = open.iter().enumerate().min_by_key(|(_, share)| {
                    let State { outstanding, open } = states[share.kit];
                    (!open, outstanding, share.kit, share.place)
                });
                let Some((at, &share)) = first else { break };
                let given = count.min(self.left[share.place]);
                self.left[share.place] -= given;
                if self.left[share.place] == 0 {
                    group.open -= 1;
                    open.swap(at, group.open);
                }
                let kit = &mut self.states[share.kit];
                kit.outstanding -= given;
                let opened = !std::mem::replace(&mut kit.open, true);
                self.steps.push(Step { share, group: number, given, opened });
                count -= given;
                to(share.kit, given);
            }
        }
    }
}

/// Scores an order with its deal. Made from the order and the deal alone.
fn score(job: &Job, order: &[usize], dealt: &Dealt) -> Score {
    let mut first = vec![usize::MAX; job.releases.len()];
    let mut last = vec![0; job.releases.len()];
    for (time, served) in dealt.iter().enumerate() {
        for kit in served.iter().filter_map(|d| d.1) {
            first[kit] = first[kit].min(time);
            last[kit] = time;
        }
    }
    let mut change = vec![0_i32; order.len() + 1];
    for (&from, &to) in first.iter().zip(&last) {
        if from != usize::MAX {
            change[from] += 1;
            change[to + 1] -= 1;
        }
    }
    let mut now = 0_i32;
    let open: Vec<u32> = change[..order.len()]
        .iter()
        .map(|step| {
            now += step;
            now.unsigned_abs()
        })
        .collect();
    let changes = |key: &dyn Fn(usize) -> usize| -> u64 {
        let starts = order.iter().enumerate();
        let new = starts.filter(|&(at, &p)| at == 0 || key(order[at - 1]) != key(p));
        new.count() as u64
    };
    let setups = changes(&|pull| job.pulls[pull].setup);
    let rolls = changes(&|pull| job.pulls[pull].roll);
    let late = late(job, order, dealt, &(first, last));
    let weights = &job.weights;
    let sum: u64 = open.iter().map(|&n| u64::from(n)).sum();
    let most = open.iter().copied().max().map_or(0, u64::from);
    let held = (sum * weights.held).checked_div(order.len() as u64).unwrap_or(0);
    // Where lateness may not be, it counts more than all else together.
    let each_late = weights.late.unwrap_or(1 << 40);
    let points = most * weights.open
        + held
        + setups * weights.setup
        + rolls * weights.roll
        + late.saturating_mul(each_late);
    Score { open, setups, rolls, late, points }
}

/// Pulls that serve only later releases than one that still waits, unless a pull behind them on
/// their roll serves that one, so that they are in its way.
fn late(
    job: &Job,
    order: &[usize],
    dealt: &Dealt,
    (first, last): &(Vec<usize>, Vec<usize>),
) -> u64 {
    let serves: Vec<u32> = dealt
        .iter()
        .map(|served| served.iter().filter_map(|d| d.1).map(|k| job.releases[k]).min())
        .map(|least| least.unwrap_or(0))
        .collect();
    // The release that waits at each time: the least of those with a pull still to come.
    let mut waits = vec![u32::MAX; order.len() + 1];
    for (kit, &release) in job.releases.iter().enumerate() {
        if first[kit] != usize::MAX {
            waits[last[kit]] = waits[last[kit]].min(release);
        }
    }
    for time in (0..order.len()).rev() {
        waits[time] = waits[time].min(waits[time + 1]);
    }
    let mut behind = vec![u32::MAX; job.fixed.len()];
    let mut late = 0;
    for (time, &pull) in order.iter().enumerate().rev() {
        let roll = job.pulls[pull].roll;
        if serves[time] > waits[time] && behind[roll] > waits[time] {
            late += 1;
        }
        behind[roll] = behind[roll].min(serves[time]);
    }
    late
}

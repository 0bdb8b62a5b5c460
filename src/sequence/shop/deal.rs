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
    let dealt: Dealt = order.iter().map(|&pull| kits.take(job, pull, None)).collect();
    let score = score(job, order, &dealt);
    (dealt, score)
}

pub(super) struct Kits {
    /// For each piece, what each of its shares still needs.
    left: Vec<Vec<u64>>,
    /// For each kit, pieces outstanding.
    outstanding: Vec<u64>,
    open: Vec<bool>,
}

/// What a step changed, to be undone: piece, share, how many, whether it opened the kit.
type Step = (usize, usize, u64, bool);

impl Kits {
    pub(super) fn of(job: &Job) -> Self {
        let mut outstanding = vec![0; job.releases.len()];
        for share in job.shares.iter().flatten() {
            outstanding[share.kit] += share.quantity;
        }
        let left = job.shares.iter().map(|s| s.iter().map(|s| s.quantity).collect()).collect();
        Self { left, outstanding, open: vec![false; job.releases.len()] }
    }

    /// How many kits cutting these pulls next would open, and how many it would make whole.
    pub(super) fn try_on(&mut self, job: &Job, pulls: &[usize]) -> (usize, usize) {
        let mut steps = Vec::new();
        for &pull in pulls {
            self.take(job, pull, Some(&mut steps));
        }
        let opened = steps.iter().filter(|step| step.3).count();
        let mut whole: Vec<usize> =
            steps.iter().map(|&(piece, share, ..)| job.shares[piece][share].kit).collect();
        whole.sort_unstable();
        whole.dedup();
        let whole = whole.into_iter().filter(|&kit| self.outstanding[kit] == 0).count();
        for (piece, share, given, opened) in steps.into_iter().rev() {
            let kit = job.shares[piece][share].kit;
            self.left[piece][share] += given;
            self.outstanding[kit] += given;
            self.open[kit] &= !opened;
        }
        (opened, whole)
    }

    /// Whether a kit lacks pieces.
    pub(super) fn waits(&self, kit: usize) -> bool {
        self.outstanding[kit] > 0
    }

    /// Whether a kit was begun.
    pub(super) fn is_open(&self, kit: usize) -> bool {
        self.open[kit]
    }

    /// How many of a piece one of its shares lacks.
    pub(super) fn lacks(&self, piece: usize, share: usize) -> u64 {
        self.left[piece][share]
    }

    /// Cuts these pulls next.
    pub(super) fn cut(&mut self, job: &Job, pulls: &[usize]) {
        for &pull in pulls {
            self.take(job, pull, None);
        }
    }

    fn take(
        &mut self,
        job: &Job,
        pull: usize,
        mut steps: Option<&mut Vec<Step>>,
    ) -> Vec<(usize, Option<usize>, u64)> {
        let mut dealt = Vec::with_capacity(job.pulls[pull].pieces.len());
        for &(piece, count) in &job.pulls[pull].pieces {
            let mut count = count;
            while count > 0 {
                let shares = &job.shares[piece];
                let next =
                    (0..shares.len()).filter(|&s| self.left[piece][s] > 0).min_by_key(|&s| {
                        let kit = shares[s].kit;
                        (job.releases[kit], !self.open[kit], self.outstanding[kit], kit)
                    });
                let Some(at) = next else {
                    dealt.push((piece, None, count));
                    break;
                };
                let kit = shares[at].kit;
                let given = count.min(self.left[piece][at]);
                self.left[piece][at] -= given;
                self.outstanding[kit] -= given;
                let opened = !std::mem::replace(&mut self.open[kit], true);
                if let Some(steps) = &mut steps {
                    steps.push((piece, at, given, opened));
                }
                count -= given;
                dealt.push((piece, Some(kit), given));
            }
        }
        dealt
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

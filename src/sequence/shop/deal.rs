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
    /// Pulls cut while an earlier release waits, but for those in front of one that serves it on a roll that keeps
    /// its order.
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

/// Which kits still need what. Of a piece and a release the kits that are begun stand in a list of their own,
/// and the others in the order in which they would be begun, which nothing changes until they are: so a piece
/// goes to its kit without a look at all that share it.
pub(super) struct Kits {
    /// Where each piece's groups begin, and the end of the last.
    groups_of: Vec<usize>,
    /// Shares of one piece and one release, those of earlier releases first.
    groups: Vec<Group>,
    /// The shares, group by group; within a group those of kits begun that still need something stand first.
    begun: Vec<Open>,
    /// The shares, group by group; within a group in the order in which their kits would be begun.
    waiting: Vec<Open>,
    /// For each share, pieces in order, where it stands in `begun`.
    at: Vec<usize>,
    /// Where each of a piece's shares stands in `left`: where the piece's begin.
    first: Vec<usize>,
    /// For each share, pieces in order, what it still needs.
    left: Vec<u64>,
    /// For each kit its shares, and the group of each.
    of_kit: Vec<Vec<(usize, Open)>>,
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
    /// Where they end.
    end: usize,
    /// How many are of kits begun and need something.
    open: usize,
    /// Where the first stands in `waiting` whose kit is not begun for good.
    next: usize,
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
    begun: Begun,
}

#[derive(Clone, Copy, Default, PartialEq, Eq)]
enum Begun {
    /// It was not.
    #[default]
    No,
    /// By pulls that are only tried.
    Tried,
    /// By pulls that are cut.
    Yes,
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
        let kits = job.releases.len();
        let (mut states, mut of_kit) = (vec![State::default(); kits], vec![Vec::new(); kits]);
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
                let end = start + group.len();
                for &share in group {
                    of_kit[share.kit].push((groups.len(), share));
                }
                groups.push(Group { start, end, open: 0, next: start });
                start = end;
            }
        }
        groups_of.push(groups.len());
        let mut at = vec![0; left.len()];
        for (stands, share) in shares.iter().enumerate() {
            at[share.place] = stands;
        }
        let mut waiting = shares.clone();
        for group in &groups {
            waiting[group.start..group.end].sort_unstable_by_key(|share| order_of(&states, share));
        }
        let (begun, steps) = (shares, Vec::new());
        let mut kits = Self {
            groups_of,
            groups,
            begun,
            waiting,
            at,
            first,
            left,
            of_kit,
            states,
            steps,
            looked: 0,
        };
        for &kit in &job.begun {
            kits.begin(kit, Begun::Yes);
        }
        kits
    }

    /// How many kits cutting these pulls next would open, and how many it would make whole.
    pub(super) fn try_on(&mut self, job: &Job, pulls: &[usize]) -> (usize, usize) {
        for &pull in pulls {
            self.take(job, pull, Begun::Tried);
        }
        let (mut opened, mut whole) = (0, 0);
        while let Some(Step { share, group, given, opened: new }) = self.steps.pop() {
            opened += usize::from(new);
            whole += usize::from(self.states[share.kit].outstanding == 0);
            self.states[share.kit].outstanding += given;
            if self.left[share.place] == 0 {
                self.put_in(group, share);
            }
            self.left[share.place] += given;
            if new {
                self.states[share.kit].begun = Begun::No;
                for number in 0..self.of_kit[share.kit].len() {
                    let (group, share) = self.of_kit[share.kit][number];
                    self.put_out(group, share);
                }
            }
        }
        (opened, whole)
    }

    /// Whether a kit lacks pieces.
    pub(super) fn waits(&self, kit: usize) -> bool {
        self.states[kit].outstanding > 0
    }

    /// Whether a kit was begun.
    pub(super) fn is_open(&self, kit: usize) -> bool {
        self.states[kit].begun != Begun::No
    }

    /// How many of a piece one of its shares lacks.
    pub(super) fn lacks(&self, piece: usize, share: usize) -> u64 {
        self.left[self.first[piece] + share]
    }

    /// Cuts these pulls next.
    pub(super) fn cut(&mut self, job: &Job, pulls: &[usize]) {
        for &pull in pulls {
            self.take(job, pull, Begun::Yes);
        }
        self.steps.clear();
    }

    /// Cuts a pull next: for each piece, which kit gets how many.
    fn deal(&mut self, job: &Job, pull: usize) -> Vec<(usize, Option<usize>, u64)> {
        let mut dealt = Vec::with_capacity(job.pulls[pull].pieces.len());
        for &(piece, count) in &job.pulls[pull].pieces {
            let mut over = count;
            self.hand_out(piece, count, Begun::Yes, |kit, given| {
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

    fn take(&mut self, job: &Job, pull: usize, begun: Begun) {
        for &(piece, count) in &job.pulls[pull].pieces {
            self.hand_out(piece, count, begun, |_, _| {});
        }
    }

    /// Hands out so many of a piece, as far as kits need them.
    fn hand_out(
        &mut self,
        piece: usize,
        mut count: u64,
        begun: Begun,
        mut to: impl FnMut(usize, u64),
    ) {
        for group in self.groups_of[piece]..self.groups_of[piece + 1] {
            while count > 0 {
                let Some(share) = self.next_of(group) else { break };
                let given = count.min(self.left[share.place]);
                let opened = !self.is_open(share.kit);
                if opened {
                    self.begin(share.kit, begun);
                }
                self.left[share.place] -= given;
                if self.left[share.place] == 0 {
                    self.put_out(group, share);
                }
                self.states[share.kit].outstanding -= given;
                self.steps.push(Step { share, group, given, opened });
                count -= given;
                to(share.kit, given);
            }
        }
    }

    /// Which share of a group gets the next piece.
    fn next_of(&mut self, group: usize) -> Option<Open> {
        let Group { start, end, open, .. } = self.groups[group];
        self.looked += 1 + open as u64;
        let begun = self.begun[start..start + open].iter();
        if let Some(share) = begun.min_by_key(|share| order_of(&self.states, share)) {
            return Some(*share);
        }
        let next = &mut self.groups[group].next;
        while *next < end && self.states[self.waiting[*next].kit].begun == Begun::Yes {
            *next += 1;
        }
        let mut waiting = self.waiting[*next..end].iter();
        let looked = &mut self.looked;
        let free = waiting.find(|share| {
            *looked += 1;
            self.states[share.kit].begun == Begun::No
        });
        free.copied()
    }

    /// Begins a kit: all that it needs stands among what kits begun need.
    fn begin(&mut self, kit: usize, begun: Begun) {
        self.states[kit].begun = begun;
        self.looked += self.of_kit[kit].len() as u64;
        for number in 0..self.of_kit[kit].len() {
            let (group, share) = self.of_kit[kit][number];
            self.put_in(group, share);
        }
    }

    /// Puts a share among those of kits begun that need something.
    fn put_in(&mut self, group: usize, share: Open) {
        let Group { start, open, .. } = self.groups[group];
        self.exchange(self.at[share.place], start + open);
        self.groups[group].open += 1;
    }

    /// Takes a share out of them.
    fn put_out(&mut self, group: usize, share: Open) {
        let Group { start, open, .. } = self.groups[group];
        self.exchange(self.at[share.place], start + open - 1);
        self.groups[group].open -= 1;
    }

    fn exchange(&mut self, a: usize, b: usize) {
        self.begun.swap(a, b);
        self.at[self.begun[a].place] = a;
        self.at[self.begun[b].place] = b;
    }
}

/// Of equals that are begun, and of those that are not, the kit that comes first.
fn order_of(states: &[State], share: &Open) -> (u64, usize, usize) {
    (states[share.kit].outstanding, share.kit, share.place)
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
    for &kit in &job.begun {
        // One that gets nothing stays out.
        if first[kit] != usize::MAX {
            first[kit] = 0;
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

/// Pulls that serve only later releases than one that still waits, unless their roll keeps its order and a
/// pull behind them serves that one, so that they are in its way.
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
        let in_the_way = job.fixed[roll] && behind[roll] <= waits[time];
        if serves[time] > waits[time] && !in_the_way {
            late += 1;
        }
        behind[roll] = behind[roll].min(serves[time]);
    }
    late
}

#[cfg(test)]
mod tests {
    use super::super::{Pull, Share, Weights};
    use super::*;
    use proptest::prelude::*;

    /// Deals by the words at the head of this file: every share is looked at for every piece.
    fn plain_deal(job: &Job, order: &[usize]) -> Dealt {
        let mut left: Vec<Vec<u64>> =
            job.shares.iter().map(|own| own.iter().map(|s| s.quantity).collect()).collect();
        let mut begun: Vec<bool> =
            (0..job.releases.len()).map(|kit| job.begun.contains(&kit)).collect();
        let mut dealt = Dealt::new();
        for &pull in order {
            let mut served = Vec::new();
            for &(piece, mut count) in &job.pulls[pull].pieces {
                while count > 0 {
                    let lacks = |kit: usize| -> u64 {
                        let own = job.shares.iter().zip(&left);
                        let own = own.flat_map(|(shares, left)| shares.iter().zip(left));
                        own.filter(|(share, _)| share.kit == kit).map(|(_, left)| left).sum()
                    };
                    let needs = job.shares[piece].iter().enumerate();
                    let needs = needs.filter(|&(at, _)| left[piece][at] > 0);
                    let best = needs.min_by_key(|&(at, share)| {
                        let kit = share.kit;
                        (job.releases[kit], !begun[kit], lacks(kit), kit, at)
                    });
                    let Some((at, share)) = best else { break };
                    let given = count.min(left[piece][at]);
                    left[piece][at] -= given;
                    begun[share.kit] = true;
                    count -= given;
                    served.push((piece, Some(share.kit), given));
                }
                if count > 0 {
                    served.push((piece, None, count));
                }
            }
            dealt.push(served);
        }
        dealt
    }

    /// Pulls of one to three of four pieces, and up to twelve kits of three releases that want them.
    fn jobs() -> impl Strategy<Value = Job> {
        let pull = prop::collection::btree_map(0_usize..4, 1_u64..4, 1..4);
        let wanted = prop::collection::vec((1_u32..4, prop::collection::vec(0_u64..5, 4)), 1..12);
        let begun = prop::collection::vec(any::<bool>(), 12);
        (prop::collection::vec(pull, 1..40), wanted, begun).prop_map(|(pulls, wanted, begun)| Job {
            fixed: vec![false],
            pulls: pulls
                .into_iter()
                .map(|pieces| Pull {
                    roll: 0,
                    slot: 0,
                    setup: 0,
                    pieces: pieces.into_iter().collect(),
                })
                .collect(),
            shares: (0..4)
                .map(|piece| {
                    let wants = wanted.iter().map(|kit| kit.1[piece]).enumerate();
                    wants.map(|(kit, quantity)| Share { kit, quantity }).collect()
                })
                .collect(),
            releases: wanted.iter().map(|kit| kit.0).collect(),
            begun: (0..wanted.len()).filter(|&kit| begun[kit]).collect(),
            weights: Weights::default(),
        })
    }

    proptest! {
        #[test]
        fn pieces_are_dealt_as_by_looking_at_every_share(job in jobs()) {
            let order: Vec<usize> = (0..job.pulls.len()).collect();
            prop_assert_eq!(deal(&job, &order).0, plain_deal(&job, &order));
        }

        /// What is only tried leaves nothing behind, and tells what cutting then does.
        #[test]
        fn trying_changes_nothing(job in jobs(), together in 1_usize..6) {
            let order: Vec<usize> = (0..job.pulls.len()).collect();
            let (mut kits, mut dealt) = (Kits::of(&job), Dealt::new());
            for &pull in &order {
                let (open, waits) = (kits.states.clone(), kits.left.clone());
                for block in order[pull..].chunks(together) {
                    kits.try_on(&job, block);
                }
                prop_assert_eq!(&kits.left, &waits);
                let told = kits.try_on(&job, &[pull]);
                dealt.push(kits.deal(&job, pull));
                let begun = |state: &State| state.begun != Begun::No;
                let new = kits.states.iter().zip(&open).filter(|(now, old)| begun(now) && !begun(old));
                prop_assert_eq!(new.count(), told.0);
            }
            prop_assert_eq!(dealt, plain_deal(&job, &order));
        }
    }

    /// Many kits that share one piece: each piece handed out went through all of them.
    #[test]
    fn very_many_kits_of_one_piece_take_no_time() {
        let kits = 3_000;
        let job = Job {
            pulls: vec![Pull { roll: 0, slot: 0, setup: 0, pieces: vec![(0, 1)] }; kits],
            fixed: vec![false],
            shares: vec![(0..kits).map(|kit| Share { kit, quantity: 1 }).collect()],
            releases: vec![1; kits],
            begun: Vec::new(),
            weights: Weights::default(),
        };
        let mut dealing = Kits::of(&job);
        for pull in 0..kits {
            dealing.try_on(&job, &[pull]);
            dealing.cut(&job, &[pull]);
        }
        assert!(dealing.looked <= 12 * kits as u64, "{}", dealing.looked);
    }
}

//! Rolls filled piece by piece, with many beginnings at a time.
//!
//! 1. A beginning has so many pieces laid and one open end: a roll with closed pulls, in it a pull with
//!    closed strips, in it a strip with a stack. The next piece goes onto the stack, or begins a
//!    strip, a pull or a roll; what is closed by that is lost.
//! 2. Each arrangement is met in one order only: the first strip of a pull is as long as the pull; the
//!    others follow by falling width, and so do the pieces of a stack.
//! 3. Of all beginnings with as many pieces, those are kept that lost least for what they hold, and of
//!    those that hold the same pieces and are as far along the roll the best one.
//! 4. The beginning that is worth most is the answer; or, where all pieces are asked for, the one that
//!    has them all. Then those that lost more than the rolls have to spare are out at once.
//!
//! Beam search: Ow and Morton, International Journal of Production Research 26, 1988; guillotine cuts
//! searched by what is lost: Libralesso and Fontan, EJOR 291, 2021 (both from memory).

use super::effort::Effort;
use super::master::real;
use super::model::{Form, Model};
use super::pattern::{Place, PullCut, RollCut};
use std::cmp::Reverse;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Children are sorted for so many times the beam's width, since some are alike.
const SPARE: usize = 4;

/// What counts as lost from the beginning, as a share of the last piece.
const SMALL: f64 = 0.02;

/// Where the next piece is laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Step {
    Stack,
    Strip,
    Pull,
    Roll,
}

const STEPS: [Step; 4] = [Step::Stack, Step::Strip, Step::Pull, Step::Roll];

/// The open end of a beginning.
#[derive(Clone, Copy, Debug)]
struct Front {
    /// Rolls begun.
    rolls: usize,
    /// Length of the last roll's closed pulls.
    before: usize,
    /// Length of the open pull.
    pull: usize,
    /// Width of its closed strips.
    across: usize,
    /// Width of the open strip.
    strip: usize,
    /// Length of its stack.
    stack: usize,
    /// The form laid last.
    last: usize,
}

/// A beginning.
#[derive(Clone, Debug)]
struct Node {
    front: Front,
    left: Vec<u64>,
    /// Tells which pieces are laid.
    hash: u64,
    /// Area of the pieces laid.
    held: u64,
    /// What they are worth.
    worth: u64,
    /// The piece laid last, by number in the tree.
    at: Option<usize>,
}

/// A beginning with one piece more, not yet made.
#[derive(Clone, Copy, Debug)]
struct Child {
    loss: f64,
    hash: u64,
    parent: usize,
    form: usize,
    step: Step,
}

/// A piece laid: the one before it in the tree, its form, and where it was laid.
type Laid = (Option<usize>, usize, Step);

/// What is asked of one search.
#[derive(Clone, Copy)]
pub(super) struct Asked<'q> {
    /// How many of each class there are.
    pub left: &'q [u64],
    /// What one of each class is worth.
    pub worth: &'q [u64],
    /// How many rolls may be filled.
    pub rolls: usize,
    /// How many beginnings are kept.
    pub width: usize,
    /// What is lost is divided by the area held to the power of so many quarters.
    pub quarters: u32,
    /// Whether only an answer with all pieces is wanted.
    pub all: bool,
}

/// What a search laid.
pub(super) struct Filled {
    /// The rolls.
    pub rolls: Vec<RollCut>,
    /// What is not laid, by class.
    pub left: Vec<u64>,
    /// What is laid is worth so much.
    pub worth: u64,
}

/// Fills rolls of a model's only product.
pub(super) struct Beam<'a> {
    model: &'a Model,
    three: bool,
    /// Widest first.
    forms: Vec<Form>,
    /// A number for each class, to tell sets of pieces apart.
    mark: Vec<u64>,
}

impl<'a> Beam<'a> {
    /// For a model with one product, in two stages or `three`.
    pub fn new(model: &'a Model, three: bool) -> Self {
        let mut forms = model.forms.clone();
        forms.sort_by_key(|form| Reverse((form.width, form.length, form.class)));
        let mark = (1..=model.classes.len() as u64).map(scatter).collect();
        Self { model, three, forms, mark }
    }

    /// One search. `None` where all pieces are asked for and not laid.
    pub fn fill(&self, asked: &Asked<'_>, effort: &Effort<'_>) -> Option<Filled> {
        let usable: Vec<usize> =
            (0..self.forms.len()).filter(|&f| asked.left[self.forms[f].class] > 0).collect();
        let room = if asked.all { self.to_spare(asked)? } else { u64::MAX };
        let before = self.model.rolls[0].length;
        let front =
            Front { rolls: 0, before, pull: 0, across: 0, strip: 0, stack: 0, last: usize::MAX };
        let left = asked.left.to_vec();
        let mut top = Node { front, left, hash: 0, held: 0, worth: 0, at: None };
        let mut nodes = vec![top.clone()];
        let mut tree: Vec<Laid> = Vec::new();
        loop {
            let mut children = Vec::new();
            for (parent, node) in nodes.iter().enumerate() {
                self.children((parent, node), &usable, (asked, room), &mut children);
            }
            effort.spend(nodes.len() * usable.len() * 8 + children.len() * 20);
            if children.is_empty() || effort.over() {
                break;
            }
            nodes = self.keep(&nodes, children, asked, &mut tree);
            let best = nodes.iter().max_by_key(|node| (node.worth, Reverse(node.at)));
            if let Some(best) = best.filter(|best| best.worth > top.worth) {
                top = best.clone();
            }
        }
        let enough = !asked.all || top.left.iter().all(|&n| n == 0);
        enough.then(|| Filled {
            rolls: self.rolls(&tree, top.at),
            left: top.left,
            worth: top.worth,
        })
    }

    /// The area that the rolls have beyond that of all pieces; `None` where it is too little.
    fn to_spare(&self, asked: &Asked<'_>) -> Option<u64> {
        let roll = &self.model.rolls[0];
        let areas = self.model.areas();
        let wanted: u128 = areas.iter().zip(asked.left).map(|(a, &n)| a * u128::from(n)).sum();
        let there = (roll.width * roll.length * asked.rolls) as u128;
        u64::try_from(there.checked_sub(wanted)?).ok()
    }

    /// All ways to lay one piece more.
    fn children(
        &self,
        (parent, node): (usize, &Node),
        usable: &[usize],
        (asked, room): (&Asked<'_>, u64),
        children: &mut Vec<Child>,
    ) {
        for &number in usable {
            let form = &self.forms[number];
            if node.left[form.class] == 0 {
                continue;
            }
            let held = node.held + area(form);
            let scale = power(held, asked.quarters);
            for step in STEPS {
                let Some(front) = self.after(&node.front, (number, form), step) else { continue };
                let lost = self.covered(&front).saturating_sub(held);
                if front.rolls > asked.rolls || lost > room {
                    continue;
                }
                let loss = (real(lost) + SMALL * real(area(form))) / scale;
                let hash = node.hash.wrapping_add(self.mark[form.class]);
                children.push(Child { loss, hash, parent, form: number, step });
            }
        }
    }

    /// The open end after one piece more; `None` where it does not fit there.
    fn after(&self, front: &Front, (last, form): (usize, &Form), step: Step) -> Option<Front> {
        let (roll, longest) = (&self.model.rolls[0], self.model.pull);
        let Front { rolls, before, pull, across, strip, stack, .. } = *front;
        let (first, begun) = (across == 0, rolls > 0);
        let alone = Front {
            pull: form.length,
            across: 0,
            strip: form.width,
            stack: form.length,
            last,
            ..*front
        };
        match step {
            Step::Stack => {
                let stack = stack + form.length;
                let room = if first { longest.min(roll.length - before) } else { pull };
                let fits = form.width <= strip && stack <= room && last >= front.last;
                let pull = if first { stack } else { pull };
                (begun && self.three && fits).then_some(Front { pull, stack, last, ..*front })
            }
            Step::Strip => {
                let across = across + strip;
                let fits = form.length <= pull && across + form.width <= roll.width;
                let falls = first || form.width <= strip;
                (begun && fits && falls).then_some(Front { pull, across, ..alone })
            }
            Step::Pull => {
                let before = before + pull;
                let fits = form.length <= longest.min(roll.length.saturating_sub(before));
                (begun && fits).then_some(Front { before, ..alone })
            }
            Step::Roll => {
                let fits = form.width <= roll.width && form.length <= longest.min(roll.length);
                fits.then_some(Front { rolls: rolls + 1, before: 0, ..alone })
            }
        }
    }

    /// The area that is closed or holds a piece.
    fn covered(&self, front: &Front) -> u64 {
        let roll = &self.model.rolls[0];
        let closed = (front.rolls.saturating_sub(1) * roll.length + front.before) * roll.width;
        (closed + front.across * front.pull + front.strip * front.stack) as u64
    }

    /// The best children, made; one of those that hold the same pieces and are as far.
    fn keep(
        &self,
        nodes: &[Node],
        mut children: Vec<Child>,
        asked: &Asked<'_>,
        tree: &mut Vec<Laid>,
    ) -> Vec<Node> {
        let order = |a: &Child, b: &Child| {
            let place = |child: &Child| (child.parent, child.form, child.step);
            a.loss.total_cmp(&b.loss).then(place(a).cmp(&place(b)))
        };
        let many = SPARE * asked.width;
        if children.len() > many {
            children.select_nth_unstable_by(many, order);
            children.truncate(many);
        }
        children.sort_unstable_by(order);
        let mut seen = BTreeSet::new();
        let mut kept: Vec<Node> = Vec::new();
        for child in children {
            if kept.len() == asked.width {
                break;
            }
            let node = &nodes[child.parent];
            let form = &self.forms[child.form];
            let after = self.after(&node.front, (child.form, form), child.step);
            let Some(front) = after else { continue };
            if !seen.insert((child.hash, front.rolls, front.before, front.pull)) {
                continue;
            }
            let mut left = node.left.clone();
            left[form.class] -= 1;
            tree.push((node.at, child.form, child.step));
            let (held, worth) = (node.held + area(form), node.worth + asked.worth[form.class]);
            let at = tree.len().checked_sub(1);
            kept.push(Node { front, left, hash: child.hash, held, worth, at });
        }
        kept
    }

    /// The rolls whose last piece is this one.
    fn rolls(&self, tree: &[Laid], mut at: Option<usize>) -> Vec<RollCut> {
        let mut laid = Vec::new();
        while let Some((before, form, step)) = at.map(|at| tree[at]) {
            laid.push((self.forms[form], step));
            at = before;
        }
        let mut rolls: Vec<Vec<PullCut>> = Vec::new();
        let (mut x, mut y) = (0, 0);
        for (form, step) in laid.into_iter().rev() {
            if step == Step::Roll {
                rolls.push(Vec::new());
            }
            let Some(roll) = rolls.last_mut() else { continue };
            if step >= Step::Pull {
                roll.push(PullCut { length: 0, width: 0, places: Vec::new() });
            }
            let Some(pull) = roll.last_mut() else { continue };
            if step >= Step::Strip {
                (x, y) = (pull.width, 0);
                pull.width += form.width;
            }
            pull.places.push(Place::of(&form, x, y));
            y += form.length;
            pull.length = pull.length.max(y);
        }
        let whole = |pulls: Vec<PullCut>| pulls.into_iter().map(Arc::new).collect();
        rolls.into_iter().map(|pulls| RollCut { roll: 0, pulls: whole(pulls) }).collect()
    }
}

fn area(form: &Form) -> u64 {
    (form.width * form.length) as u64
}

/// A number to the power of so many quarters; by roots and products, which are the same everywhere.
fn power(number: u64, quarters: u32) -> f64 {
    let root = real(number).sqrt().sqrt();
    (0..quarters).fold(1.0, |product, _| product * root)
}

/// A number spread over all bits (Steele, Lea and Flood 2014, from memory: the end of `SplitMix`).
fn scatter(number: u64) -> u64 {
    let mut z = number.wrapping_mul(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

//! What is on hand after what was done: pieces, and what is left of every roll.
//!
//! Steps: pieces of pulls that are cut, for whom the order of cutting meant them, spoilt ones left
//! out; of each roll what lies behind its last pull that is cut, or what was measured, up to its true end, in
//! parts between damaged stretches; offcuts that were kept of pulls that are cut; rolls that were bought and
//! are not begun, whole, those beyond what the plan cuts as well. A part that the square cut would use
//! up is no stock.

use super::read::Tickets;
use super::{Done, Happened, Loose};
use crate::plan::set_out::as_cut;
use crate::plan::{Already, InHand, Offcut, OnHand, Piece, Plan, Pull, Roll, SparesOrdered};
use crate::rules::Rules;
use crate::units::{Length, Measure, counted};
use std::collections::{BTreeMap, BTreeSet};

/// What is to be known beside a plan and what was done.
#[derive(Clone, Debug)]
pub struct Ground<'a> {
    /// SHA-256 of the plan's file.
    pub digest: &'a str,
    /// The job's rules.
    pub rules: &'a Rules,
    /// In what its tickets give lengths: what is left is left as they are set out.
    pub measure: Measure,
    /// How many of each product are bought for the plan ([`ordered`], or fewer where rolls are bought as
    /// they are begun).
    pub bought: &'a BTreeMap<String, u64>,
    /// How many of these, by product, are spares.
    pub spares: &'a BTreeMap<String, u64>,
}

/// Adds to a name's count; a plan's file may say any.
fn add(counts: &mut BTreeMap<String, u64>, name: &str, more: u64) {
    let count = counts.entry(name.to_owned()).or_default();
    *count = count.saturating_add(more);
}

/// How many of each product are bought for a plan: as it says, and where it says nothing (older files)
/// as many as it cuts.
#[must_use]
pub fn ordered(plan: &Plan) -> BTreeMap<String, u64> {
    let mut bought: BTreeMap<String, u64> = BTreeMap::new();
    for line in &plan.order {
        add(&mut bought, &line.roll, line.count());
    }
    if plan.order.is_empty() {
        for roll in plan.rolls.iter().filter(|roll| !roll.shelf) {
            add(&mut bought, &roll.roll, roll.copies);
        }
    }
    bought
}

/// How many of the rolls that are bought for a plan are spares, by product.
#[must_use]
pub fn spares(plan: &Plan) -> BTreeMap<String, u64> {
    let mut spares: BTreeMap<String, u64> = BTreeMap::new();
    for line in plan.order.iter().filter(|line| line.spare > 0) {
        add(&mut spares, &line.roll, line.spare);
    }
    spares
}

/// How many rolls of each nest and product are begun that were bought for a plan.
#[must_use]
pub fn begun<'p>(plan: &'p Plan, done: &Done) -> BTreeMap<(usize, &'p str), u64> {
    let mut begun: BTreeMap<(usize, &str), u64> = BTreeMap::new();
    for (number, (roll, _)) in Tickets::of(plan).0 {
        let happened = done.tickets.get(&number);
        if !roll.shelf && happened.is_some_and(|happened| !happened.untouched()) {
            *begun.entry((roll.nest, roll.roll.as_str())).or_default() += 1;
        }
    }
    begun
}

/// Where a job stands after `done` of `plan`.
#[must_use]
pub fn on_hand(plan: &Plan, done: &Done, ground: &Ground<'_>) -> Already {
    let plan = &*as_cut(plan, ground.rules, ground.measure);
    let mut told = Vec::new();
    let mut pieces = plan.already.as_ref().map(|a| a.pieces.clone()).unwrap_or_default();
    let cut = pieces_cut(plan, done, &mut told);
    pieces.extend(cut);
    let stock = stock(plan, done, ground, &mut told);
    let mut from_shelf = plan.already.as_ref().map(|a| a.from_shelf.clone()).unwrap_or_default();
    // Offcuts of the shelf that an earlier plan counted on are on hand, those like them that it left are not.
    let taken = plan.rolls.iter().filter(|roll| roll.shelf).map(|roll| roll.roll.as_str());
    for name in taken.collect::<BTreeSet<_>>() {
        let stock = plan.already.iter().flat_map(|already| &already.stock);
        let own: u64 = stock.filter(|stock| stock.name == name).map(|stock| stock.quantity).sum();
        let new = plan.copies_of(name).saturating_sub(own);
        if new > 0 {
            *from_shelf.entry(name.to_owned()).or_default() += new;
        }
    }
    let mut bought = plan.already.as_ref().map(|a| a.bought.clone()).unwrap_or_default();
    for (product, count) in ground.bought {
        add(&mut bought, product, *count);
    }
    let spares = spares_ordered(plan, ground.spares);
    Already {
        revision: plan.revision().saturating_add(1),
        from: ground.digest.to_owned(),
        pieces,
        stock,
        from_shelf,
        bought,
        spares,
        chosen: plan.already.as_ref().map(|a| a.chosen.clone()).unwrap_or_default(),
        kits: plan.kits().into_iter().map(|(item, number)| (item.to_owned(), number)).collect(),
        told,
    }
}

/// Spares by thickness that were ordered up to a plan, those of its own products among them.
fn spares_ordered(plan: &Plan, own: &BTreeMap<String, u64>) -> Vec<SparesOrdered> {
    let before = plan.already.iter().flat_map(|already| &already.spares);
    let mut all: BTreeMap<Length, u64> =
        before.map(|spares| (spares.thickness, spares.count)).collect();
    for (product, count) in own {
        let thickness = plan.bought(product).and_then(|roll| plan.thickness_of(roll));
        if let (Some(thickness), 1..) = (thickness, *count) {
            *all.entry(thickness).or_default() += count;
        }
    }
    all.into_iter().map(|(thickness, count)| SparesOrdered { thickness, count }).collect()
}

fn pieces_cut(plan: &Plan, done: &Done, told: &mut Vec<String>) -> Vec<InHand> {
    let by_code: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    let Some(sequence) = &plan.sequence else { return Vec::new() };
    let tickets = sequence.tickets();
    let mut spoilt: BTreeMap<(u64, &str), u64> = BTreeMap::new();
    let (mut cut, mut elsewhere): (BTreeSet<u64>, BTreeSet<u64>) = Default::default();
    for happened in done.tickets.values() {
        cut.extend(happened.cut.iter().chain(&happened.elsewhere));
        elsewhere.extend(&happened.elsewhere);
        for ((pull, code), count) in &happened.spoilt {
            *spoilt.entry((*pull, code.as_str())).or_default() += count;
        }
    }
    let mut found: BTreeMap<(&str, Option<usize>), u64> = BTreeMap::new();
    let mut lost: BTreeMap<&str, u64> = BTreeMap::new();
    let mut rolls: BTreeSet<u64> = BTreeSet::new();
    for (step, number) in sequence.steps.iter().zip(1_u64..) {
        if !cut.contains(&number) {
            continue;
        }
        if !elsewhere.contains(&number) {
            rolls.extend(tickets.get(&(step.roll, step.copy)));
        }
        let pull = plan.rolls.get(step.roll).and_then(|roll| roll.pulls.get(step.pull));
        let places = pull.map_or(&[][..], |pull| &pull.placements);
        for (place, used) in places.iter().zip(&step.uses) {
            let code = place.piece.as_str();
            if let Some(left) = spoilt.get_mut(&(number, code)).filter(|n| **n > 0) {
                *left -= 1;
                *lost.entry(code).or_default() += 1;
                continue;
            }
            *found.entry((code, *used)).or_default() += 1;
        }
    }
    let all: u64 = found.values().sum();
    if !cut.is_empty() {
        // Where all were cut from other rolls than their tickets', the next sentence says so.
        let of = match rolls.len() as u64 {
            0 => String::new(),
            rolls => format!(" of {}", counted(rolls, "roll", "rolls")),
        };
        let pieces = counted(all, "piece", "pieces");
        let pulls = counted(cut.len() as u64, "pull", "pulls");
        let before = plan.already.as_ref().map_or(0, Already::pieces_in_hand);
        told.push(match before {
            0 => format!("cut already: {pieces}, from {pulls}{of}"),
            _ => format!(
                "cut since the plan before: {pieces}, from {pulls}{of}; {} in all",
                all.saturating_add(before)
            ),
        });
    }
    if !elsewhere.is_empty() {
        let pulls = counted(elsewhere.len() as u64, "pull", "pulls");
        let measured = done.tickets.values().any(|happened| happened.left.is_some());
        let whole = if measured {
            ""
        } else {
            " (of no ticket is told what is `left`, so the roll that gave them counts as if it had not)"
        };
        told.push(format!("cut from another roll than the ticket's: {pulls}{whole}"));
    }
    for (code, count) in lost {
        told.push(format!("spoilt and made again: {count} of {code}"));
    }
    found
        .into_iter()
        .filter_map(|((code, used), quantity)| {
            let piece = by_code.get(code)?;
            let used = used.and_then(|at| piece.uses.get(at));
            Some(InHand {
                piece: code.to_owned(),
                thickness: plan.nests.get(piece.nest)?.thickness?,
                width: piece.width,
                length: piece.length,
                outline: piece.outline.clone(),
                id: used.map(|u| u.id.clone()).unwrap_or_default(),
                quantity,
            })
        })
        .collect()
}

fn stock(plan: &Plan, done: &Done, ground: &Ground<'_>, told: &mut Vec<String>) -> Vec<OnHand> {
    let mut stock: Vec<OnHand> = Vec::new();
    let mut whole: BTreeMap<(Length, &str), (&Roll, u64)> = BTreeMap::new();
    for (number, (roll, pulls)) in Tickets::of(plan).0 {
        let (Some(length), Some(thickness)) = (roll.length, plan.thickness_of(roll)) else {
            continue;
        };
        let ticket =
            Begun { plan, number, roll, thickness, square_cut: ground.rules.table.square_cut };
        let happened = done.tickets.get(&number);
        stock.extend(happened.map(|h| ticket.parts(h, &pulls, length)).unwrap_or_default());
        let Some(happened) = happened.filter(|ticket| !ticket.untouched()) else {
            whole.entry((thickness, roll.roll.as_str())).or_insert((roll, 0)).1 += 1;
            continue;
        };
        ticket.is_told(happened, length, told);
    }
    let earlier: BTreeMap<&str, &OnHand> =
        plan.already.iter().flat_map(|a| &a.stock).map(|s| (s.name.as_str(), s)).collect();
    for ((thickness, name), (roll, quantity)) in whole {
        if let Some(before) = earlier.get(name) {
            // On hand before this plan and untouched by it: as it was.
            put(&mut stock, OnHand { quantity, ..(*before).clone() });
        } else if roll.shelf {
            // An offcut of the shelf that was not needed yet lies there still.
            stock.extend(roll.length.map(|length| OnHand {
                name: name.to_owned(),
                thickness,
                width: roll.width,
                length,
                quantity,
                place: OnHand::SHELF.to_owned(),
                squared: false,
                of: None,
            }));
        }
    }
    for whole in not_begun(plan, done, ground) {
        put(&mut stock, whole);
    }
    for unused in unused(plan, &earlier) {
        put(&mut stock, unused);
    }
    for (loose, &count) in &done.gone {
        let taken = take_away(&mut stock, loose, count);
        let less = match loose {
            _ if taken == count => String::new(),
            // Where rolls are bought as they are begun, spares may not have been.
            Loose::Whole(_) => format!(", of which {taken} were bought so far"),
            Loose::Part(_) => ", too short to have counted".to_owned(),
        };
        told.push(format!("no longer there: {count} of {}{less}", loose.name()));
    }
    stock.sort_by(|a, b| (a.thickness, &a.name).cmp(&(b.thickness, &b.name)));
    stock
}

/// What the parts are called that are left of what tickets are for.
pub(super) fn of_tickets(plan: &Plan, tickets: &Tickets<'_>, done: &Done) -> Vec<String> {
    let parts = tickets.0.iter().filter_map(|(&number, (roll, pulls))| {
        let (length, thickness) = (roll.length?, plan.thickness_of(roll)?);
        let ticket = Begun { plan, number, roll, thickness, square_cut: Length::ZERO };
        Some(ticket.parts(done.tickets.get(&number)?, pulls, length))
    });
    parts.flatten().map(|part| part.name).collect()
}

/// Takes so many of what no ticket is for off the stock; how many of them were there.
fn take_away(stock: &mut Vec<OnHand>, loose: &Loose, count: u64) -> u64 {
    let is = |on_hand: &&mut OnHand| match loose {
        Loose::Whole(product) => on_hand.of.as_ref() == Some(product),
        Loose::Part(name) => on_hand.of.is_none() && on_hand.name == *name,
    };
    let mut left = count;
    for on_hand in stock.iter_mut().filter(is) {
        let taken = left.min(on_hand.quantity);
        on_hand.quantity -= taken;
        left -= taken;
    }
    stock.retain(|on_hand| on_hand.quantity > 0);
    count - left
}

/// What a plan did not use of what was on hand before it.
fn unused(plan: &Plan, earlier: &BTreeMap<&str, &OnHand>) -> Vec<OnHand> {
    let left = |before: &&OnHand| {
        let quantity = plan.left_of(before);
        (quantity > 0).then(|| OnHand { quantity, ..(*before).clone() })
    };
    earlier.values().filter_map(left).collect()
}

/// A roll or offcut of a plan.
struct Begun<'p> {
    plan: &'p Plan,
    /// The number of its ticket.
    number: u64,
    roll: &'p Roll,
    thickness: Length,
    square_cut: Length,
}

impl Begun<'_> {
    /// Tells where it is shorter or longer than `nominal`, and what of it is damaged.
    fn is_told(&self, happened: &Happened, nominal: Length, told: &mut Vec<String>) {
        let what = format!("{}, {}", self.plan.ticket_name(self.number), self.roll.roll);
        if let Some(length) = happened.length.filter(|length| *length < nominal) {
            told.push(format!("{what}: {} mm shorter than it should be", nominal - length));
        }
        if let Some(length) = happened.length.filter(|length| *length > nominal) {
            told.push(format!("{what}: {} mm longer than it should be", length - nominal));
        }
        if let Some(left) = happened.left {
            told.push(if left.is_positive() {
                format!("{what}: {left} mm are left, as measured")
            } else {
                format!("{what}: nothing is left of it")
            });
        }
        for (from, to) in happened.damaged_in_order() {
            told.push(format!("{what}: damaged from {from} to {to} mm"));
        }
    }

    /// What is left of it from `front` to its end, around what is damaged. What begins at `front` is square there where
    /// a pull was cut off, and where it was before. Where all is cut, it is called what its label says; without a
    /// label it went away with the scrap, as its ticket has it, unless somebody measured it.
    fn left(
        &self,
        (happened, pulls): (&Happened, &BTreeMap<u64, &Pull>),
        front: Length,
        end: Length,
    ) -> Vec<OnHand> {
        let mut list = Vec::new();
        let (mut at, mut count) = (front, 0);
        let square = self.roll.squared || !happened.cut.is_empty();
        for (from, to) in happened.damaged_in_order() {
            count += 1;
            let size = (self.roll.width, from.min(end) - at);
            let name = name_of_part(self.plan, self.number, &format!("part {count}"));
            list.extend(self.part(name, size, square && at == front));
            at = at.max(to);
        }
        let far = pulls.values().map(|pull| pull.y + pull.length).max();
        let labelled = self.kept_offcuts().find(|(o, _)| Some(o.y) == far);
        let all_cut = happened.cut.len() == pulls.len();
        let longer = self.roll.length.is_some_and(|nominal| end > nominal);
        if all_cut && labelled.is_none() && happened.left.is_none() && !longer {
            return Vec::new();
        }
        let labelled = labelled.filter(|_| all_cut);
        let name = match labelled {
            _ if count > 0 => name_of_part(self.plan, self.number, &format!("part {}", count + 1)),
            Some((_, at)) => self.plan.left_name(self.number, at),
            None => name_of_part(self.plan, self.number, "rest"),
        };
        list.extend(self.part(name, (self.roll.width, end - at), square && at == front));
        list
    }

    /// What is kept of its pulls, and what is left of it where it is begun; `length` is how long it should be.
    fn parts(
        &self,
        happened: &Happened,
        pulls: &BTreeMap<u64, &Pull>,
        length: Length,
    ) -> Vec<OnHand> {
        let mut parts = self.kept(happened, pulls);
        if !happened.untouched() {
            let end = happened.length.unwrap_or(length);
            parts.extend(self.left((happened, pulls), happened.begins(pulls, end), end));
        }
        parts
    }

    /// What is kept of its pulls that are cut, from whatever roll.
    fn kept(&self, happened: &Happened, pulls: &BTreeMap<u64, &Pull>) -> Vec<OnHand> {
        let cut = |o: &&Offcut| {
            let mut cut = pulls.iter().filter(|(number, _)| happened.is_cut(**number));
            cut.any(|(_, pull)| pull.y <= o.y && o.y + o.length <= pull.y + pull.length)
        };
        let kept = self.kept_offcuts().filter(|(o, _)| cut(o));
        let name = |at: usize| self.plan.left_name(self.number, at);
        kept.filter_map(|(o, at)| self.part(name(at), (o.width, o.length), false)).collect()
    }

    /// What it keeps, numbered from 0 as labels name it.
    fn kept_offcuts(&self) -> impl Iterator<Item = (&Offcut, usize)> {
        self.roll.offcuts.iter().filter(|o| o.keep).zip(0..)
    }

    /// A part of it as stock, where it is worth anything; `squared` where a cut is its front.
    fn part(
        &self,
        name: String,
        (width, length): (Length, Length),
        squared: bool,
    ) -> Option<OnHand> {
        let square_cut = if squared { Length::ZERO } else { self.square_cut };
        let worth = length > square_cut && length >= Length::from_mm(10);
        let ticket = self.plan.ticket_name(self.number);
        worth.then(|| OnHand {
            name,
            thickness: self.thickness,
            width,
            length,
            quantity: 1,
            place: format!("left of ticket {ticket}, {}", self.roll.roll),
            squared,
            of: None,
        })
    }
}

/// What a part of a ticket's roll is called on hand.
pub(super) fn name_of_part(plan: &Plan, ticket: u64, what: &str) -> String {
    format!("{} {what}", plan.ticket_name(ticket))
}

impl Loose {
    /// What it is called on hand.
    pub(super) fn name(&self) -> String {
        match self {
            Self::Whole(product) => name_of_whole(product),
            Self::Part(name) => name.clone(),
        }
    }
}

/// What whole rolls of a product are called on hand.
pub(super) fn name_of_whole(product: &str) -> String {
    format!("{product} on hand")
}

/// Whole rolls that were bought for the plan and not begun.
fn not_begun(plan: &Plan, done: &Done, ground: &Ground<'_>) -> Vec<OnHand> {
    let begun = begun(plan, done);
    let mut list = Vec::new();
    for (product, bought) in ground.bought {
        let Some(roll) = plan.bought(product) else { continue };
        let begun = begun.get(&(roll.nest, product.as_str())).copied().unwrap_or(0);
        let quantity = bought.saturating_sub(begun);
        let (Some(thickness), Some(length), 1..) = (plan.thickness_of(roll), roll.length, quantity)
        else {
            continue;
        };
        list.push(OnHand {
            name: name_of_whole(product),
            thickness,
            width: roll.width,
            length,
            quantity,
            place: "bought for the plan before, not begun".to_owned(),
            squared: false,
            of: Some(product.clone()),
        });
    }
    list
}

/// Adds stock to like stock of the same name and origin, or to the list.
fn put(stock: &mut Vec<OnHand>, more: OnHand) {
    let size = |s: &OnHand| (s.thickness, s.width, s.length);
    let alike = |s: &OnHand| {
        (&s.name, &s.place, &s.of) == (&more.name, &more.place, &more.of) && size(s) == size(&more)
    };
    match stock.iter_mut().find(|s| alike(s)) {
        Some(found) => found.quantity += more.quantity,
        None => stock.push(more),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An offcut of the shelf may be called like rolls that are not begun; it is none of them all the same.
    #[test]
    fn stock_of_another_origin_is_kept_apart() {
        let on_hand = |place: &str, of: Option<&str>| OnHand {
            squared: false,
            name: name_of_whole("B10"),
            thickness: Length::from_mm(10),
            width: Length::from_mm(1500),
            length: Length::from_mm(6000),
            quantity: 2,
            place: place.to_owned(),
            of: of.map(str::to_owned),
        };
        let mut stock = Vec::new();
        let bought = "bought for the plan before, not begun";
        for (place, of) in [(OnHand::SHELF, None), (bought, Some("B10")), (bought, Some("B10"))] {
            put(&mut stock, on_hand(place, of));
        }
        let kept: Vec<_> = stock.iter().map(|s| (s.of.as_deref(), s.quantity)).collect();
        assert_eq!(kept, [(None, 2), (Some("B10"), 4)]);
        // Nor does an offcut that is gone take any of them away.
        let gone = Loose::Part(name_of_whole("B10"));
        assert_eq!(take_away(&mut stock, &gone, 3), 2);
        assert_eq!((stock.len(), stock[0].quantity), (1, 4));
    }

    /// What is on hand after this of the first ticket, and so many bought and spares of its product. Its roll is 50 m
    /// long, and its one pull lies from 50 to 230 mm.
    fn after(plan: &Plan, happened: Happened, bought: u64) -> Already {
        let rules = Rules::default();
        let counts: BTreeMap<String, u64> =
            [("roll-1".to_owned(), bought)].into_iter().filter(|(_, count)| *count > 0).collect();
        let ground = Ground {
            digest: "",
            rules: &rules,
            measure: Measure::Millimetres,
            bought: &counts,
            spares: &counts,
        };
        let done = Done { tickets: [(1, happened)].into(), ..Done::default() };
        on_hand(plan, &done, &ground)
    }

    fn cut() -> Happened {
        Happened { cut: [1].into(), ..Happened::default() }
    }

    fn lengths(already: &Already) -> Vec<i64> {
        already.stock.iter().map(|stock| stock.length.nm() / 1_000_000).collect()
    }

    #[test]
    fn what_is_left_counts_from_a_centimetre_on() {
        let plan = crate::plan::sample::plan(1, 1);
        let left = |mm| Happened { left: Some(Length::from_mm(mm)), ..cut() };
        assert_eq!(lengths(&after(&plan, left(10), 0)), [10]);
        assert!(lengths(&after(&plan, left(9), 0)).is_empty());
    }

    /// By hand: 1000 mm lie in front of the damage, of 50 m all behind 3000 mm lies behind it.
    #[test]
    fn damage_within_damage_ends_with_the_longer() {
        let plan = crate::plan::sample::plan(1, 1);
        let damaged = [(1200, 1500), (1000, 3000)]
            .map(|(from, to)| (Length::from_mm(from), Length::from_mm(to)));
        let happened = Happened { damaged: damaged.to_vec(), ..Happened::default() };
        assert_eq!(lengths(&after(&plan, happened, 0)), [1000, 47_000]);
    }

    #[test]
    fn an_offcut_of_a_pull_that_another_roll_gave_is_kept() {
        let mut plan = crate::plan::sample::plan(1, 1);
        let [x, y, width, length] = [200, 50, 800, 180].map(Length::from_mm);
        plan.rolls[0].offcuts.insert(0, Offcut { x, y, width, length, keep: true });
        let elsewhere = Happened { elsewhere: [1].into(), ..Happened::default() };
        assert_eq!(lengths(&after(&plan, elsewhere, 0)), [180]);
    }

    /// One of three like pieces is spoilt, and of three rolls bought one is begun; all three are spares, beside two
    /// that were ordered before.
    #[test]
    fn what_is_spoilt_or_begun_is_counted_once() {
        let mut plan = crate::plan::sample::plan(1, 3);
        let five = SparesOrdered { thickness: Length::from_mm(5), count: 2 };
        plan.already = Some(Already { spares: vec![five], ..Already::default() });
        let spoilt = [((1, "A1".to_owned()), 1)].into();
        let already = after(&plan, Happened { spoilt, ..cut() }, 3);
        assert_eq!(already.pieces.iter().map(|piece| piece.quantity).sum::<u64>(), 2);
        let whole = already.stock.iter().find(|stock| stock.of.is_some()).unwrap();
        assert_eq!((whole.name.as_str(), whole.quantity), ("roll-1 on hand", 2));
        assert_eq!(already.spares, [SparesOrdered { count: 5, ..five }]);
    }

    /// An offcut of the shelf that the plan counts on lies there until it is cut, and is taken from it once.
    #[test]
    fn an_offcut_of_the_shelf_that_is_not_cut_lies_there() {
        let mut plan = crate::plan::sample::plan(1, 1);
        plan.rolls[0].shelf = true;
        let first = after(&plan, Happened::default(), 0);
        assert_eq!((first.stock.len(), first.stock[0].place.as_str()), (1, OnHand::SHELF));
        assert_eq!(first.from_shelf["roll-1"], 1);
        plan.already = Some(first);
        let second = after(&plan, Happened::default(), 0);
        assert_eq!((second.stock.len(), second.from_shelf["roll-1"]), (1, 1));
    }
}

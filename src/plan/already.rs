//! Going on from an earlier plan: what is cut already comes off the demand, what is on hand joins
//! the shelf.
//!
//! Steps: pieces in hand go first to the very use for which they were cut, if it still wants one
//! like it; then to others that want one like it, the earliest release first; what nobody wants any
//! more is told. Stock on hand is cut from like offcuts on the shelf: it is paid for. What was bought
//! before can not be had again.

use super::file::{Already, InHand, OnHand, Plan, Sequence};
use crate::demand::{Demand, Piece};
use crate::finding::Place;
use crate::stock::{Offcut, Roll, Stock};
use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

impl Sequence {
    /// For each roll and copy the number of its ticket: from 1, in the order in which they are begun.
    #[must_use]
    pub fn tickets(&self) -> BTreeMap<(usize, u64), u64> {
        let mut numbers = BTreeMap::new();
        for step in &self.steps {
            let next = numbers.len() as u64 + 1;
            numbers.entry((step.roll, step.copy)).or_insert(next);
        }
        numbers
    }
}

impl Plan {
    /// For each roll and copy the number of its ticket; nothing without an order of cutting.
    #[must_use]
    pub fn tickets(&self) -> BTreeMap<(usize, u64), u64> {
        self.sequence.as_ref().map(Sequence::tickets).unwrap_or_default()
    }
}

/// Whether a piece in hand is what a demand's piece wants.
fn like(hand: &InHand, piece: &Piece) -> bool {
    hand.thickness == piece.thickness
        && hand.outline == piece.outline
        && (piece.outline.is_some() || (hand.width, hand.length) == (piece.width, piece.length))
}

impl Already {
    /// Items of whose kits there are pieces in hand, by a demand that holds them all.
    #[must_use]
    pub fn begun<'d>(&self, demand: &'d Demand) -> BTreeSet<&'d str> {
        let hand: BTreeSet<&str> = self.pieces.iter().map(|hand| hand.id.as_str()).collect();
        let pieces = demand.pieces.iter().filter(|piece| hand.contains(piece.id.as_str()));
        pieces.map(|piece| piece.item.as_str()).collect()
    }

    /// How many pieces are cut and good.
    #[must_use]
    pub fn pieces_in_hand(&self) -> u64 {
        self.pieces.iter().fold(0, |sum: u64, hand| sum.saturating_add(hand.quantity))
    }

    /// How many spares of a thickness were ordered.
    #[must_use]
    pub fn spares_of(&self, thickness: Length) -> u64 {
        let here = self.spares.iter().filter(|spares| spares.thickness == thickness);
        here.fold(0, |sum: u64, spares| sum.saturating_add(spares.count))
    }
}

/// Takes pieces in hand off the demand and puts stock on hand on the shelf. The pieces in hand are
/// then named for the uses that they go to, without a name where nobody wants them.
pub fn go_on(already: &mut Already, demand: &mut Demand, stock: &mut Stock) {
    let mut hands = std::mem::take(&mut already.pieces);
    let mut placed: Vec<InHand> = Vec::new();
    for hand in &mut hands {
        let own = demand.pieces.iter_mut().find(|p| p.id == hand.id && like(hand, p));
        if let Some(piece) = own {
            give(hand, piece, &mut placed);
        }
    }
    let mut order: Vec<usize> = (0..demand.pieces.len()).collect();
    let release = |item: &str| demand.releases.get(item).copied().unwrap_or(1);
    order.sort_by_key(|&at| (release(&demand.pieces[at].item), at));
    for hand in &mut hands {
        for &at in &order {
            if hand.quantity == 0 {
                break;
            }
            let piece = &mut demand.pieces[at];
            if piece.quantity > 0 && like(hand, piece) {
                give(hand, piece, &mut placed);
            }
        }
        if hand.quantity > 0 {
            placed.push(InHand { id: String::new(), ..hand.clone() });
        }
    }
    // Kits that are whole by what is in hand, and that no plan numbered.
    let items: BTreeMap<&str, &str> =
        demand.pieces.iter().map(|p| (p.id.as_str(), p.item.as_str())).collect();
    for item in placed.iter().filter_map(|hand| items.get(hand.id.as_str())) {
        let next = already.kits.values().copied().max().unwrap_or(0) + 1;
        already.kits.entry((*item).to_owned()).or_insert(next);
    }
    let mut merged: Vec<InHand> = Vec::new();
    for hand in placed {
        let same = |m: &&mut InHand| m.id == hand.id && m.piece == hand.piece;
        match merged.iter_mut().find(same) {
            Some(found) => found.quantity += hand.quantity,
            None => merged.push(hand),
        }
    }
    already.pieces = merged;
    put_on_shelf(already, stock);
}

/// Takes pieces in hand, each named for its use, off a demand that makes what is begun as it is.
pub fn take_off(already: &Already, demand: &mut Demand) {
    let mut given: BTreeMap<&str, u64> = BTreeMap::new();
    for hand in already.pieces.iter().filter(|hand| !hand.id.is_empty()) {
        *given.entry(hand.id.as_str()).or_default() += hand.quantity;
    }
    for piece in &mut demand.pieces {
        let given = given.get(piece.id.as_str()).copied().unwrap_or(0);
        piece.quantity = piece.quantity.saturating_sub(given);
    }
}

/// Runs of items of which something is in hand are no longer free: what is cut of them decides the rest.
pub fn hold_begun(already: &Already, demand: &mut Demand) {
    let used: BTreeSet<&str> = already.pieces.iter().map(|hand| hand.id.as_str()).collect();
    let begun = demand.pieces.iter().filter(|piece| used.contains(piece.id.as_str()));
    let begun: BTreeSet<&str> = begun.map(|piece| piece.item.as_str()).collect();
    demand.free.retain(|run| !begun.contains(run.item.as_str()));
}

fn give(hand: &mut InHand, piece: &mut Piece, placed: &mut Vec<InHand>) {
    let given = hand.quantity.min(piece.quantity);
    if given > 0 {
        hand.quantity -= given;
        piece.quantity -= given;
        placed.push(InHand { id: piece.id.clone(), quantity: given, ..hand.clone() });
    }
}

/// Takes rolls that were bought off what can be had. Fewer than the supplier sells can not be had.
pub fn left_to_buy(rolls: &mut [Roll], bought: &BTreeMap<String, u64>) {
    for roll in rolls {
        let gone = bought.get(&roll.id).copied().unwrap_or(0);
        let Some(available) = roll.available.filter(|_| gone > 0) else { continue };
        let left = available.saturating_sub(gone);
        roll.available = Some(if left < roll.terms.minimum { 0 } else { left });
    }
}

fn put_on_shelf(already: &mut Already, stock: &mut Stock) {
    left_to_buy(&mut stock.rolls, &already.bought);
    let lies = |offcut: &Offcut| (offcut.id.clone(), offcut.shelf.clone());
    let places: BTreeMap<String, String> = stock.offcuts.iter().map(lies).collect();
    for offcut in &mut stock.offcuts {
        let used = already.from_shelf.get(&offcut.id).copied().unwrap_or(0);
        offcut.quantity = offcut.quantity.saturating_sub(used);
    }
    stock.offcuts.retain(|offcut| offcut.quantity > 0);
    // What lies on the shelf keeps its name there; what is left of this job's rolls gives way.
    let (shelved, left): (Vec<_>, Vec<_>) =
        already.stock.iter_mut().partition(|on_hand| on_hand.lies_on_shelf());
    for on_hand in shelved.into_iter().chain(left) {
        let OnHand { thickness, width, length, quantity, .. } = *on_hand;
        let known = places.get(&on_hand.name).filter(|_| on_hand.lies_on_shelf());
        let size = |o: &Offcut| (o.thickness, o.width, o.length);
        let same = stock.offcuts.iter_mut().find(|o| {
            known.is_some() && o.id == on_hand.name && size(o) == (thickness, width, length)
        });
        if let Some(same) = same {
            same.quantity += quantity;
            continue;
        }
        while stock.rolls.iter().any(|r| r.id == on_hand.name)
            || stock.offcuts.iter().any(|o| o.id == on_hand.name)
        {
            on_hand.name.push('+');
        }
        stock.offcuts.push(Offcut {
            id: on_hand.name.clone(),
            thickness,
            width,
            length,
            quantity,
            shelf: known.unwrap_or(&on_hand.place).clone(),
            place: Place::file("plan.json"),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::Turns;
    use crate::units::{Area, Length};

    fn mm(value: i64) -> Length {
        Length::from_mm(value)
    }

    fn piece(item: &str, width: i64, quantity: u64) -> Piece {
        Piece {
            id: format!("{item}/1/wrap"),
            item: item.to_owned(),
            layer: 1,
            part: "wrap".to_owned(),
            thickness: mm(10),
            width: mm(width),
            length: mm(500),
            area: Area::of_rectangle(mm(width), mm(500)),
            outline: None,
            turns: Turns::none(),
            quantity,
            marks: Vec::new(),
        }
    }

    #[test]
    fn pieces_in_hand_go_to_their_own_use_then_to_the_earliest_release() {
        let mut demand = Demand {
            pieces: vec![piece("late", 600, 5), piece("early", 600, 5), piece("own", 600, 2)],
            ..Demand::default()
        };
        demand.releases = [("late", 2), ("early", 1), ("own", 3)]
            .map(|(item, release)| (item.to_owned(), release))
            .into();
        let hand = |id: &str, width, quantity| InHand {
            piece: "A1".to_owned(),
            thickness: mm(10),
            width: mm(width),
            length: mm(500),
            outline: None,
            id: id.to_owned(),
            quantity,
        };
        let mut already = Already {
            pieces: vec![hand("own/1/wrap", 600, 8), hand("own/1/wrap", 601, 1)],
            ..Already::default()
        };
        go_on(&mut already, &mut demand, &mut Stock::default());
        // By hand: 2 to their own item, 5 to release 1, the last to release 2; none is 601 wide.
        let left: Vec<u64> = demand.pieces.iter().map(|p| p.quantity).collect();
        assert_eq!(left, [4, 0, 0]);
        let unwanted: u64 =
            already.pieces.iter().filter(|p| p.id.is_empty()).map(|p| p.quantity).sum();
        assert_eq!(unwanted, 1);
        assert_eq!(already.pieces.iter().map(|p| p.quantity).sum::<u64>(), 9);
        let thin = InHand { thickness: mm(5), ..hand("", 600, 1) };
        assert!(
            like(&hand("", 600, 1), &piece("own", 600, 1)) && !like(&thin, &piece("own", 600, 1))
        );
    }

    /// Of five two are left where three were bought, and no fewer than three are sold.
    #[test]
    fn fewer_than_are_sold_can_not_be_had_again() {
        let text = "roll,thickness,width,length,price,available,minimum\nA,10,1500,6 m,1,5,3\n";
        let left = |bought: u64| {
            let mut rolls = crate::stock::read_rolls("rolls.csv", text.as_bytes()).0.unwrap();
            left_to_buy(&mut rolls, &[("A".to_owned(), bought)].into());
            rolls[0].available
        };
        assert_eq!([0, 2, 3, 9].map(left), [5, 3, 0, 0].map(Some));
    }

    /// The shelf holds rests of other jobs' tickets, whose names say nothing about this job's.
    #[test]
    fn a_rest_is_not_taken_for_an_offcut_of_the_same_name() {
        let rest = |place: &str, length, of: Option<&str>| OnHand {
            squared: false,
            name: "T2 rest".to_owned(),
            thickness: mm(10),
            width: mm(1500),
            length: mm(length),
            quantity: 1,
            place: place.to_owned(),
            of: of.map(str::to_owned),
        };
        let mut stock = Stock::default();
        stock.offcuts.push(Offcut {
            id: "T2 rest".to_owned(),
            thickness: mm(10),
            width: mm(1500),
            length: mm(3000),
            quantity: 3,
            shelf: "rack 4".to_owned(),
            place: Place::file("offcuts.csv"),
        });
        let mut already = Already {
            from_shelf: [("T2 rest".to_owned(), 2)].into(),
            stock: vec![
                rest("left of ticket T2, B10", 5419, None),
                rest("bought for the plan before, not begun", 3000, Some("B10")),
                rest(OnHand::SHELF, 3000, None),
            ],
            ..Already::default()
        };
        go_on(&mut already, &mut Demand::default(), &mut stock);
        // By hand: one was never counted on, one counted on and not needed; two went.
        let lies: Vec<_> =
            stock.offcuts.iter().map(|o| (o.id.as_str(), o.quantity, o.shelf.as_str())).collect();
        let wanted = [
            ("T2 rest", 2, "rack 4"),
            ("T2 rest+", 1, "left of ticket T2, B10"),
            ("T2 rest++", 1, "bought for the plan before, not begun"),
        ];
        assert_eq!(lies, wanted);
        let names: Vec<&str> = already.stock.iter().map(|s| s.name.as_str()).collect();
        assert_eq!(names, ["T2 rest+", "T2 rest++", "T2 rest"]);
    }
}

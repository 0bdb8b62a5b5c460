//! Tickets from a plan and its order of cutting.
//!
//! Steps: number the rolls in the order in which they are begun; walk the order of cutting; put each
//! pull on its roll's ticket, together with the one before where it is like it and nothing came
//! between; say for each piece where it goes.

use super::kits::seams;
use super::lines::{crosses, rips};
use super::work::work;
use super::{Block, BlockPiece, CutLine, Drawn, Going, Kept, Next, Ticket, Work};
use super::{InBlank, Shape, SharedBlank};
use crate::plan::{self, Lengths, Piece, Plan, Pull, Roll, Step};

use crate::plan::groups::Groups;
use crate::plan::set_out::{Rulers, SetOut};
use crate::report::offcuts;
use crate::report::proof::thickness_in_words;
use crate::report::sources::Sources;
use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

/// All tickets of a plan, in the order in which rolls are begun; none where it has no order of
/// cutting.
#[must_use]
pub fn tickets(plan: &Plan, sources: &Sources<'_>) -> Vec<Ticket> {
    let Some(sequence) = &plan.sequence else { return Vec::new() };
    let pieces: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    let works = works(plan, sources);
    let groups = Groups::of(plan);
    let set_out = SetOut::of(plan, &groups, sources.rules, sources.measure);
    let (kits, seams) = (plan.kits(), seams(sources));
    let maker = Maker {
        plan,
        sources,
        pieces,
        kits,
        seams,
        set_out,
        listed: offcuts::names(plan, sources),
    };
    let drawings = groups.drawings(plan);
    let mut tickets: Vec<Ticket> = Vec::new();
    let mut at: BTreeMap<(usize, u64), usize> = BTreeMap::new();
    let mut before: Option<&Step> = None;
    for (time, step) in sequence.steps.iter().enumerate() {
        let Some(roll) = plan.rolls.get(step.roll) else { continue };
        let Some(pull) = roll.pulls.get(step.pull) else { continue };
        let ticket = *at.entry((step.roll, step.copy)).or_insert_with(|| {
            tickets.push(maker.ticket(roll, step.roll, tickets.len() as u64 + 1));
            tickets.len() - 1
        });
        let same_roll = before.is_some_and(|b| (b.roll, b.copy) == (step.roll, step.copy));
        let first = step.pull == 0;
        if let Some(ticket) = tickets.get_mut(ticket) {
            ticket.work.add(&works.get(time).copied().unwrap_or_default());
            let comes_back = !same_roll && !first;
            let drawing = drawings.get(time).copied().unwrap_or_default();
            maker.put(ticket, (time as u64 + 1, drawing), pull, step, comes_back);
        }
        before = Some(step);
    }
    tell_what_is_next(&mut tickets);
    tickets
}

/// Tells behind each block that is followed by another ticket's which that is, and whether its roll comes back.
fn tell_what_is_next(tickets: &mut [Ticket]) {
    // The blocks in the order of cutting: first and last pull, ticket and block.
    let mut blocks: Vec<(u64, u64, usize, usize)> = Vec::new();
    for (t, ticket) in tickets.iter().enumerate() {
        for (b, block) in ticket.blocks.iter().enumerate() {
            if let [first, .., last] | [first @ last] = block.pulls.as_slice() {
                blocks.push((first.number, last.number, t, b));
            }
        }
    }
    blocks.sort_unstable();
    for (at, &(_, _, t, b)) in blocks.iter().enumerate() {
        let Some(&(first, _, other, _)) = blocks.get(at + 1).filter(|next| next.2 != t) else {
            continue;
        };
        let in_one_go = blocks[at + 1..].iter().take_while(|block| block.2 == other);
        let last = in_one_go.last().map_or(first, |block| block.1);
        let back = blocks[at + 1..].iter().find(|block| block.2 == t).map(|block| block.0);
        let ticket = tickets[other].name.clone();
        tickets[t].blocks[b].next = Some(Next { ticket, pulls: (first, last), back });
    }
}

/// The work of each pull, in the order of cutting.
#[must_use]
pub fn works(plan: &Plan, sources: &Sources<'_>) -> Vec<Work> {
    let pieces: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    let measured = sources.measured(plan);
    let mut works = Vec::new();
    let mut before: Option<(&Step, Option<Knives>)> = None;
    for step in plan.sequence.iter().flat_map(|s| &s.steps) {
        let Some(roll) = plan.rolls.get(step.roll) else { continue };
        let Some(pull) = roll.pulls.get(step.pull) else { continue };
        let same_roll =
            before.as_ref().is_some_and(|(b, _)| (b.roll, b.copy) == (step.roll, step.copy));
        let knives = knives(plan, &pieces, step);
        let fresh = before.as_ref().is_none_or(|(_, b)| *b != knives);
        let mut cut = measured.of_pull(step.roll, step.pull);
        if step.pull == 0 {
            let square = roll.square_cut(sources.rules.table.square_cut);
            cut.straight += Lengths::square(roll.width, square);
        }
        works.push(work(pull, cut, (!same_roll, fresh), &sources.rules.rates));
        before = Some((step, knives));
    }
    works
}

/// Where the knives stand: the nest, and where pieces begin and end across the roll.
type Knives = (usize, Vec<Length>);

fn knives(plan: &Plan, pieces: &BTreeMap<&str, &Piece>, step: &Step) -> Option<Knives> {
    let roll = plan.rolls.get(step.roll)?;
    let pull = roll.pulls.get(step.pull)?;
    let mut places: Vec<Length> = Vec::new();
    for place in &pull.placements {
        let width = pieces.get(place.piece.as_str()).map(|piece| place.blank(piece).width);
        places.extend([place.x, place.x + width.unwrap_or_default()]);
    }
    places.sort_unstable();
    places.dedup();
    Some((roll.nest, places))
}

/// The blanks of a pull that curved pieces share, as a ticket tells of them.
fn shared_blanks(
    all: &[plan::Shared],
    pull: &Pull,
    Rulers { across: x, along: y }: &Rulers,
) -> Vec<SharedBlank> {
    let told = |found: &plan::Shared| {
        let blank = found.blank;
        let member = |member: &plan::Member| {
            let place = &pull.placements[member.number];
            let quarters = place.turn.quarter_turns().unwrap_or(0);
            InBlank {
                code: place.piece.clone(),
                across: member.rect.x - blank.x,
                along: member.rect.y - blank.y,
                shape: if member.curved {
                    Shape::Curved { quarters }
                } else {
                    Shape::Rectangle { width: member.rect.width, length: member.rect.length }
                },
            }
        };
        SharedBlank {
            across: (x.at(blank.x), x.at(blank.right())),
            along: (y.at(blank.y - pull.y), y.at(blank.far() - pull.y)),
            open: found.open.clone(),
            pieces: found.members.iter().map(member).collect(),
        }
    };
    all.iter().map(told).collect()
}

struct Maker<'a> {
    plan: &'a Plan,
    sources: &'a Sources<'a>,
    pieces: BTreeMap<&'a str, &'a Piece>,
    kits: BTreeMap<&'a str, u64>,
    seams: BTreeMap<&'a str, String>,
    set_out: SetOut,
    /// What each layout keeps, as it is called in `offcuts.csv`.
    listed: Vec<Vec<String>>,
}

impl Maker<'_> {
    fn ticket(&self, roll: &Roll, layout: usize, number: u64) -> Ticket {
        let rules = &self.sources.rules.table;
        let along = self.set_out.layout(layout);
        let listed = self.listed.get(layout).into_iter().flatten();
        let kept = roll.offcuts.iter().filter(|o| o.keep);
        let kept = kept.map(|left| self.set_out.left(layout, roll, left)).zip(listed).enumerate();
        Ticket {
            number,
            name: self.plan.ticket_name(number),
            layout,
            roll: roll.roll.clone(),
            from: self.sources.taken_from(self.plan, roll),
            thickness: self.plan.nests.get(roll.nest).map(thickness_in_words).unwrap_or_default(),
            width: roll.width,
            length: roll.length,
            square_cut: along.at(roll.square_cut(rules.square_cut)),
            squared: roll.squared,
            edge_trim: rules.edge_trim,
            blocks: Vec::new(),
            kept: kept
                .map(|(at, (o, listed))| Kept {
                    name: self.plan.left_name(number, at),
                    listed: listed.clone(),
                    from: o.y,
                    width: o.width,
                    length: o.length,
                })
                .collect(),
            work: Work::default(),
        }
    }

    fn put(
        &self,
        ticket: &mut Ticket,
        (number, drawing): (u64, u64),
        pull: &Pull,
        step: &Step,
        comes_back: bool,
    ) {
        let roll = self.set_out.layout(step.roll);
        let (from, to) = (roll.at(pull.y), roll.at(pull.y + pull.length));
        let drawn = Drawn { number, from, to, drawing };
        let mut block = self.block(pull, step, ticket.width, drawn);
        block.comes_back = comes_back;
        let last = ticket.blocks.last_mut().filter(|last| {
            !comes_back
                && last.pulls.last().is_some_and(|p| p.number + 1 == number)
                && alike(last, &block)
        });
        let Some(last) = last else {
            ticket.blocks.push(block);
            return;
        };
        last.pulls.push(drawn);
        for (sum, more) in last.pieces.iter_mut().zip(block.pieces) {
            sum.count += more.count;
            for going in more.goes {
                add(&mut sum.goes, going);
            }
        }
    }

    fn block(&self, pull: &Pull, step: &Step, width: Length, drawn: Drawn) -> Block {
        let edge_trim = self.sources.rules.table.edge_trim;
        let rulers = self.set_out.pull(step.roll, step.pull);
        let found = plan::shared(pull, &self.pieces);
        let shared: BTreeSet<usize> =
            found.iter().flat_map(|blank| &blank.members).map(|member| member.number).collect();
        let mut pieces: Vec<BlockPiece> = Vec::new();
        for (number, (place, used)) in pull.placements.iter().zip(&step.uses).enumerate() {
            let piece = self.pieces.get(place.piece.as_str());
            let blank = piece.map(|piece| place.blank(piece)).unwrap_or_default();
            let (across, along) = (blank.width, blank.length);
            let outlined = piece.is_some_and(|p| p.outline.is_some());
            let quarters = place.turn.quarter_turns().unwrap_or(0);
            let (turned, alone) = (quarters % 2 == 1, outlined && !shared.contains(&number));
            let template = if alone { quarters } else { 0 };
            let going = self.going(piece.copied(), *used);
            let found = pieces
                .iter_mut()
                .find(|p| p.code == place.piece && (p.turned, p.template) == (turned, template));
            if let Some(found) = found {
                found.count += 1;
                add(&mut found.goes, going);
                continue;
            }
            pieces.push(BlockPiece {
                code: place.piece.clone(),
                across,
                along,
                outlined,
                turned,
                template,
                count: 1,
                goes: vec![going],
            });
        }
        let cuts: Vec<CutLine> = pull
            .cuts
            .iter()
            .map(|cut| CutLine {
                what: crate::report::cuts::cut_in_words(cut.kind),
                from: (cut.from.x, cut.from.y - pull.y),
                to: (cut.to.x, cut.to.y - pull.y),
                piece: cut.piece.clone(),
            })
            .collect();
        Block {
            pulls: vec![drawn],
            length: rulers.along.at(pull.length),
            rips: rips(pull, width, edge_trim, rulers),
            crosses: crosses(pull, width, edge_trim, rulers),
            shared: shared_blanks(&found, pull, rulers),
            cuts,
            pieces,
            comes_back: false,
            next: None,
        }
    }

    fn going(&self, piece: Option<&Piece>, used: Option<usize>) -> Going {
        let used = piece.zip(used).and_then(|(piece, at)| piece.uses.get(at));
        used.map_or_else(
            || Going {
                kit: None,
                item: String::new(),
                layer: 0,
                part: "spare".to_owned(),
                seam: String::new(),
                count: 1,
            },
            |used| Going {
                kit: self.kits.get(used.item.as_str()).copied(),
                item: used.item.clone(),
                layer: used.layer,
                part: used.part.clone(),
                seam: self.seams.get(used.id.as_str()).cloned().unwrap_or_default(),
                count: 1,
            },
        )
    }
}

/// Whether two pulls are cut in the same way and yield the same pieces, wherever they go. The cuts of outlines do
/// not tell how templates are turned in a shared blank, so blanks are compared as well.
fn alike(one: &Block, other: &Block) -> bool {
    let (a, b) = (&one.pieces, &other.pieces);
    one.length == other.length
        && one.cuts == other.cuts
        && one.shared == other.shared
        && a.len() == b.len()
        && a.iter()
            .zip(b)
            .all(|(a, b)| (&a.code, a.turned, a.template) == (&b.code, b.turned, b.template))
}

fn add(list: &mut Vec<Going>, going: Going) {
    let same = |g: &&mut Going| {
        (&g.kit, &g.item, g.layer, &g.part) == (&going.kit, &going.item, going.layer, &going.part)
    };
    match list.iter_mut().find(same) {
        Some(found) => found.count += going.count,
        None => list.push(going),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two pulls of the same cuts, whose blank holds its second template turned by half in one of them alone, are
    /// two blocks.
    #[test]
    fn pulls_whose_templates_lie_otherwise_are_not_one_block() {
        let mm = Length::from_mm;
        let block = |quarters: u8| {
            let member = |along: i64, quarters: u8| InBlank {
                code: "A1".to_owned(),
                across: Length::ZERO,
                along: mm(along),
                shape: Shape::Curved { quarters },
            };
            Block {
                pulls: Vec::new(),
                length: mm(800),
                rips: Vec::new(),
                crosses: Vec::new(),
                shared: vec![SharedBlank {
                    across: (mm(5), mm(405)),
                    along: (Length::ZERO, mm(800)),
                    open: Vec::new(),
                    pieces: vec![member(0, 0), member(300, quarters)],
                }],
                cuts: Vec::new(),
                pieces: Vec::new(),
                comes_back: false,
                next: None,
            }
        };
        assert!(alike(&block(2), &block(2)));
        assert!(!alike(&block(2), &block(0)));
    }
}

//! From spots back to layouts of the instance's pieces.
//!
//! A room's spots are cut into pulls wherever a line across the roll meets no piece; within the
//! gap's allowance the next pull starts where the gap ends. Like pieces are dealt out in order.

use super::packer::Spot;
use super::task::{Shape, Task};
use crate::nest::{Instance, Layout, Piece, Placement, Pull};
use crate::units::{Angle, Length};

/// Hands out the instance's pieces for the kinds laid.
#[derive(Debug)]
pub struct Dealer<'a> {
    instance: &'a Instance,
    task: &'a Task,
    /// For each kind, how many pieces of it were dealt out.
    dealt: Vec<u32>,
}

impl<'a> Dealer<'a> {
    /// Nothing dealt yet.
    pub fn new(instance: &'a Instance, task: &'a Task) -> Self {
        Self { instance, task, dealt: vec![0; task.kinds.len()] }
    }

    /// One roll's layout; the spots' own room numbers are not looked at.
    pub fn layout(&mut self, roll: usize, spots: &[Spot]) -> Layout {
        let cutting = &self.instance.cutting;
        let mut spots: Vec<&Spot> = spots.iter().collect();
        spots.sort_by_key(|s| (s.y, s.x));
        let mut pulls: Vec<Pull> = Vec::new();
        let mut far = 0;
        for spot in spots {
            let Some((piece, turn)) = self.deal(spot) else { continue };
            let at = |units: i64| Length::from_nm(units * self.task.unit);
            let placed = Placement {
                piece,
                x: at(spot.x) + cutting.edge_trim,
                y: at(spot.y) + cutting.square_cut,
                turn,
            };
            if pulls.is_empty() || spot.y >= far {
                let empty = Pull { y: placed.y, length: Length::ZERO, placements: Vec::new() };
                pulls.push(empty);
            }
            far = far.max(spot.y + spot.shape.h);
            if let Some(pull) = pulls.last_mut() {
                pull.length = at(far) - cutting.gap + cutting.square_cut - pull.y;
                pull.placements.push(placed);
            }
        }
        Layout { roll, copies: 1, pulls }
    }

    fn deal(&mut self, spot: &Spot) -> Option<(usize, Angle)> {
        let kind = spot.kind as usize;
        let mut number = self.dealt[kind];
        self.dealt[kind] += 1;
        for &(piece, quantity) in &self.task.kinds[kind].pieces {
            if number < quantity {
                let turn = turn(&self.instance.pieces[piece], self.instance, self.task, spot.shape);
                return Some((piece, turn));
            }
            number -= quantity;
        }
        None
    }
}

/// The turn that lays a piece as the shape says.
fn turn(piece: &Piece, instance: &Instance, task: &Task, shape: Shape) -> Angle {
    let gap = instance.cutting.gap;
    let units = |size: Length| (size + gap).nm() / task.unit;
    let upright = units(piece.width) == shape.w && units(piece.length) == shape.h;
    let turns: &[i64] = if upright && piece.turns.upright() { &[0, 180] } else { &[90, 270] };
    let allowed = turns.iter().map(|&t| Angle::from_degrees(t)).find(|&t| piece.turns.allow(t));
    allowed.unwrap_or(Angle::ZERO)
}

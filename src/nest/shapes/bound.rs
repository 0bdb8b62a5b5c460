//! What no layout of outlines can beat: their area, and where length counts the longest piece and what lines
//! one pitch apart have of the pieces ([`comb`](super::comb)).

use super::number::{float, whole};
use super::table::Kit;
use crate::cutting::{Objective, Turns};
use crate::nest::bound::{Certificate, by_area};
use crate::nest::{Basis, Instance};

/// The bound in the objective's unit, on what it rests, and what proves it where area does; `comb` is what
/// a strip needs by [`comb::least`](super::comb::least), 0 where it is none.
pub fn any_layout(instance: &Instance, kit: &Kit, comb: i64) -> (i64, Basis, Option<Certificate>) {
    let certificate = by_area(instance);
    let bound = certificate.bound(instance).unwrap_or(0);
    if instance.objective != Objective::Length {
        return (bound, Basis::Area, Some(certificate));
    }
    let square_cut = instance.cutting.square_cut.nm();
    let [longest, comb] = [longest(instance, kit), comb].map(|length| length + square_cut);
    if comb > bound.max(longest) {
        (comb, Basis::Lines, None)
    } else if longest > bound {
        (longest, Basis::Area, None)
    } else {
        (bound, Basis::Area, Some(certificate))
    }
}

/// No strip of this width that holds these pieces is shorter: by their area, and by the longest as it lies
/// shortest.
pub fn least(kit: &Kit, width: i64, pieces: impl Iterator<Item = usize> + Clone) -> i64 {
    let shortest = |piece: usize| {
        let forms = kit.ways[piece].iter().map(|way| &kit.pairs.forms[way.form]);
        forms.filter(|form| form.width <= width).map(|form| form.length).min()
    };
    let longest = pieces.clone().filter_map(shortest).max().unwrap_or(0);
    whole((pieces.map(|piece| kit.piece_area(piece)).sum::<f64>() / float(width)).floor())
        .max(longest)
}

/// The size along the strip of the piece that is longest however it lies; one that may take any turn is
/// left out, as it may be shorter in a turn that is not tried.
fn longest(instance: &Instance, kit: &Kit) -> i64 {
    let least = |ways: &Vec<super::form::Way>| {
        ways.iter().map(|way| kit.pairs.forms[way.form].length).min().unwrap_or(0)
    };
    let fixed = kit.ways.iter().zip(&instance.pieces).filter(|(_, p)| p.turns != Turns::Any);
    fixed.map(|(ways, _)| least(ways)).max().unwrap_or(0)
}

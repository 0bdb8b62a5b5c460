//! The plan's nests and pieces are those of the order sheets.

use super::{Failures, Rule};
use crate::plan::{Plan, Wanted};

pub(super) fn check(plan: &Plan, wanted: &[Wanted], failures: &mut Failures) {
    failures.unless(plan.nests.len() == wanted.len(), Rule::Lists, || {
        format!("The plan holds {} nests where {} are wanted.", plan.nests.len(), wanted.len())
    });
    for (number, (nest, sheet)) in plan.nests.iter().zip(wanted).enumerate() {
        let same = nest.thickness == sheet.thickness
            && nest.objective == sheet.objective
            && nest.style == sheet.cutting.style
            && nest.stages == sheet.cutting.stages;
        failures.unless(same, Rule::Lists, || {
            format!(
                "Where {} belongs, nests[{number}] of the file, there is one for another thickness, \
                 objective or cutting style.",
                sheet.nest()
            )
        });
    }
    pieces(plan, wanted, failures);
}

fn pieces(plan: &Plan, wanted: &[Wanted], failures: &mut Failures) {
    let sheets = wanted.iter().enumerate().flat_map(|(n, s)| s.pieces.iter().map(move |p| (n, p)));
    let asked: Vec<_> = sheets.collect();
    failures.unless(asked.len() == plan.pieces.len(), Rule::Lists, || {
        format!("The plan lists {} pieces where {} are wanted.", plan.pieces.len(), asked.len())
    });
    for (listed, (nest, piece)) in plan.pieces.iter().zip(asked) {
        let code = &piece.code;
        failures.unless(listed.piece == *code && listed.nest == nest, Rule::Lists, || {
            format!("Piece `{}` is listed where piece `{code}` belongs.", listed.piece)
        });
        let size = listed.width == piece.width
            && listed.length == piece.length
            && listed.outline == piece.outline;
        failures.unless(size, Rule::Lists, || {
            format!(
                "Piece `{code}` is listed as {} x {} mm where {} x {} mm is wanted, or with \
                 another outline.",
                listed.width, listed.length, piece.width, piece.length
            )
        });
        failures.unless(listed.turns == piece.turns, Rule::Lists, || {
            format!("Piece `{code}` is listed with other turns than it may take.")
        });
        failures.unless(listed.quantity == piece.quantity, Rule::Lists, || {
            format!(
                "Piece `{code}` is listed {} times where {} are wanted.",
                listed.quantity, piece.quantity
            )
        });
        failures.unless(listed.uses == piece.uses, Rule::Lists, || {
            format!("Piece `{code}` is listed with other uses than in the job.")
        });
    }
}

//! What is told of one instance.

use crate::audit::Verified;
use crate::nest::Status;
use crate::plan::{Plan, Taken};
use crate::units::{Decimal, Length, Money};
use serde::Serialize;
use std::time::Duration;

/// What is told of one instance; all but name and status are null where it was refused.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Line {
    pub(super) name: String,
    /// `proven`, `feasible`, `stopped` or `refused`.
    pub(super) status: &'static str,
    /// In the objective's unit: rolls, currency units, millimetres.
    pub(super) value: Option<Decimal>,
    /// In the objective's unit.
    pub(super) bound: Option<Decimal>,
    /// How many rolls are cut.
    pub(super) rolls: Option<u64>,
    /// What they cost; null as well where some roll has no price.
    pub(super) price: Option<Money>,
    /// Millimetres from each roll's front to the end of its last pull, together.
    pub(super) length: Option<Length>,
    /// Square millimetres of the pieces wanted.
    pub(super) piece_area: Option<f64>,
    /// Square millimetres of the rolls cut from, whole; of a roll without end what is used.
    pub(super) used_area: Option<f64>,
    /// Seconds from instance to audited plan.
    pub(super) seconds: Option<f64>,
    /// Whether the plan passed its audit.
    pub(super) audited: bool,
    /// The ways taken; absent where there are no choices.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) choices: Vec<Taken>,
}

impl Line {
    pub(super) fn refused(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            status: "refused",
            value: None,
            bound: None,
            rolls: None,
            price: None,
            length: None,
            piece_area: None,
            used_area: None,
            seconds: None,
            audited: false,
            choices: Vec::new(),
        }
    }

    pub(super) fn of(plan: &Verified<Plan>, took: Duration) -> Self {
        let areas = plan.nests.first().map(|nest| nest.areas).unwrap_or_default();
        let (mut rolls, mut price, mut length) = (0_u64, 0_i64, 0_i64);
        for roll in &plan.rolls {
            let copies = i64::try_from(roll.copies).unwrap_or(i64::MAX);
            let far = roll.pulls.iter().map(|p| p.y + p.length).max().unwrap_or_default();
            rolls = rolls.saturating_add(roll.copies);
            price = price.saturating_add(roll.price.micros().saturating_mul(copies));
            length = length.saturating_add(far.nm().saturating_mul(copies));
        }
        Self {
            name: plan.name.clone(),
            status: match plan.status {
                Status::Proven => "proven",
                Status::Feasible => "feasible",
                Status::Stopped => "stopped",
            },
            value: Some(plan.value),
            bound: Some(plan.bound),
            rolls: Some(rolls),
            price: Some(Money::from_micros(price)),
            length: Some(Length::from_nm(length)),
            piece_area: Some(areas.pieces.mm2_f64()),
            used_area: Some(areas.rolls.mm2_f64()),
            seconds: Some((took.as_secs_f64() * 1e6).round() / 1e6),
            audited: true,
            choices: plan.taken.clone(),
        }
    }
}

//! What came out, for other programs: order, value, bound and status in JSON.

use super::order::lines;
use super::sources::Sources;
use super::waste::parts;
use crate::audit::Verified;
use crate::nest::{Basis, Status};
use crate::plan::Plan;
use crate::units::{Area, Decimal, Length, Money};
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// What came out.
#[derive(Clone, Debug, Serialize)]
pub struct Outcome {
    name: String,
    status: Status,
    value: Decimal,
    bound: Decimal,
    nests: Vec<NestOut>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    files: Vec<String>,
}

#[derive(Clone, Debug, Serialize)]
struct NestOut {
    thickness: Option<Length>,
    status: Status,
    value: Decimal,
    bound: Decimal,
    basis: Basis,
    order: Vec<LineOut>,
    areas: BTreeMap<&'static str, Area>,
}

#[derive(Clone, Debug, Serialize)]
struct LineOut {
    roll: String,
    shelf: bool,
    width: Length,
    length: Option<Length>,
    quantity: u64,
    spare: u64,
    /// How many more for a minimum order or a price break.
    more: u64,
    /// Of one; absent where none is given.
    price: Option<Money>,
}

impl Outcome {
    /// Of a plan that passed the audit.
    #[must_use]
    pub fn of(plan: &Verified<Plan>, sources: &Sources<'_>) -> Self {
        let order = lines(plan, sources);
        let nests = plan.nests.iter().enumerate().map(|(at, nest)| NestOut {
            thickness: nest.thickness,
            status: nest.status,
            value: nest.value,
            bound: nest.bound,
            basis: nest.basis,
            order: order
                .iter()
                .filter(|line| line.nest == at)
                .map(|line| LineOut {
                    roll: line.roll.clone(),
                    shelf: line.shelf.is_some(),
                    width: line.width,
                    length: line.length,
                    quantity: line.count(),
                    spare: line.spare,
                    more: line.more,
                    price: (!line.unpriced()).then_some(line.price),
                })
                .collect(),
            areas: parts(&nest.areas)
                .into_iter()
                .chain([("all rolls", nest.areas.rolls)])
                .collect(),
        });
        Self {
            name: plan.name.clone(),
            status: plan.status,
            value: plan.value,
            bound: plan.bound,
            nests: nests.collect(),
            files: Vec::new(),
        }
    }

    /// With the files that were written.
    #[must_use]
    pub fn with_files(mut self, files: &[PathBuf]) -> Self {
        self.files = files.iter().map(|path| path.display().to_string()).collect();
        self
    }
}

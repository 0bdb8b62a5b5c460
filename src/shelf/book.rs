//! Booking a finished plan: the offcuts it used go out, the ones it keeps come in.

use super::error::ShelfError;
use super::ledger::{Ledger, New, Trouble, insert, remove};
use crate::plan::{Input, Plan, digest};
use crate::rules::Rules;
use crate::table::quoted;
use crate::units::Length;
use rusqlite::{OptionalExtension as _, Row, Transaction, params};
use serde::Serialize;
use std::collections::BTreeMap;

/// An offcut of this shelf that an earlier plan of a job took.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lent {
    /// Its name.
    pub name: String,
    /// Thickness, width and length as the job lists it; `None` where it does not any longer.
    pub size: Option<[Length; 3]>,
}

/// A plan to be booked.
#[derive(Clone, Debug)]
pub struct Booking<'a> {
    /// The plan, with what is left as its tickets leave it.
    pub plan: &'a Plan,
    /// SHA-256 of its file, which makes it the same plan.
    pub digest: &'a str,
    /// Whether the job was cut a second time, so that another plan of the same files is no mistake.
    pub again: bool,
    /// Offcuts that it used and that somebody took off the shelf by hand.
    pub by_hand: &'a [String],
    /// Names among the plan's rolls that are offcuts from this shelf.
    pub from_shelf: &'a [String],
    /// Offcuts of this shelf that earlier plans of the job, not booked, took already.
    pub taken_before: &'a [Lent],
    /// What is on hand after the plan without being cut from it: rests of an earlier plan's rolls, each with what it is
    /// called.
    pub rests: &'a [(Option<String>, New)],
    /// Where its offcuts will lie.
    pub place: &'a str,
    /// The batch of the rolls; may be empty.
    pub batch: &'a str,
    /// Today, ISO 8601.
    pub day: &'a str,
}

/// What a booking changed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Booked {
    /// Names of offcuts that went out.
    pub used: Vec<String>,
    /// Offcuts that came in.
    pub kept: Vec<Kept>,
}

/// An offcut that came in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Its name on the shelf.
    pub name: String,
    /// What ticket and label call it, or the list of what was left, where it has no label; nothing for whole rolls.
    pub label: Option<String>,
    /// Its size and where it lies.
    pub new: New,
}

impl Ledger {
    /// Books a plan, all of it or nothing.
    ///
    /// # Errors
    /// The plan is booked already; an offcut that it used is gone; the database's.
    pub fn book(&mut self, booking: &Booking<'_>) -> Result<Booked, ShelfError> {
        let Booking {
            plan,
            digest: file,
            again,
            by_hand,
            from_shelf,
            taken_before,
            rests,
            place,
            batch,
            day,
        } = *booking;
        let mut used: Vec<String> = plan
            .rolls
            .iter()
            .filter(|roll| from_shelf.contains(&roll.roll))
            .map(|roll| roll.roll.clone())
            .collect();
        // An offcut of the ledger is one thing; a plan that cuts two of it is not of this shelf.
        if let Some(roll) = plan.rolls.iter().find(|r| from_shelf.contains(&r.roll) && r.copies > 1)
        {
            return Err(ShelfError::Second(roll.roll.clone()));
        }
        let before = taken_before.iter().map(|lent| &lent.name);
        let before: Vec<String> = before.filter(|name| !used.contains(name)).cloned().collect();
        used.extend(before);
        if let Some(name) = by_hand.iter().find(|name| !used.contains(name)) {
            let what = format!("the plan uses no offcut {} of this shelf", quoted(name));
            return Err(ShelfError::invalid(what, "leave it out of --taken, or mend its name"));
        }
        let mut kept = kept(plan, place, batch);
        kept.extend(rests.iter().cloned());
        let made_from = made_from(plan)?;
        let earlier = plan.already.as_ref().map(|already| already.from.clone());
        self.change(|transaction| {
            let before: Option<String> = transaction
                .query_row("SELECT booked FROM booking WHERE plan = ?1", [file], |row| row.get(0))
                .optional()?;
            if let Some(day) = before {
                return Err(ShelfError::BookedAlready(day).into());
            }
            let same = same_order(transaction, plan, &made_from)?;
            // The first plan of an order stands for all of them.
            let made_from = match same {
                Some((day, job)) if !again => {
                    return Err(ShelfError::SameOrder { day, job }.into());
                }
                Some(_) => None,
                None => Some(&made_from),
            };
            if let Some(earlier) = &earlier {
                let booked: bool = transaction.query_row(
                    "SELECT count(*) > 0 FROM booking WHERE plan = ?1",
                    [earlier],
                    |row| row.get(0),
                )?;
                if booked {
                    return Err(ShelfError::invalid(
                        "the plan that this one goes on from is booked already, so its offcuts would \
                         come in twice",
                        "put in and take out by hand what has changed since",
                    )
                    .into());
                }
            }
            transaction.execute(
                "INSERT INTO booking (plan, job, booked, made_from) VALUES (?1, ?2, ?3, ?4)",
                params![file, plan.name, day, made_from],
            )?;
            for roll in plan.rolls.iter().filter(|roll| from_shelf.contains(&roll.roll)) {
                let cut = [plan.thickness_of(roll), Some(roll.width), roll.length];
                same_size(transaction, &roll.roll, cut.map(Option::unwrap_or_default))?;
            }
            for Lent { name, size } in taken_before {
                if let Some(size) = size {
                    same_size(transaction, name, *size)?;
                }
            }
            for name in &used {
                if by_hand.contains(name) {
                    taken_for(transaction, (&plan.name, file), name)?;
                } else {
                    remove(transaction, day, &plan.name, name)?;
                }
            }
            let named = kept
                .iter()
                .map(|(label, new)| {
                    let name = insert(transaction, day, &plan.name, new)?;
                    Ok(Kept { name, label: label.clone(), new: new.clone() })
                })
                .collect::<Result<_, Trouble>>()?;
            Ok(Booked { used, kept: named })
        })
    }
}

/// Files that make an order, without their endings: prices of labour make none.
const ORDER: [&str; 3] = ["takeoff", "rolls", "offcuts"];

/// SHA-256 of what a plan orders: what is to be insulated, what it may be cut from, the rules that are not
/// the defaults, by value, the last release that it cuts for, the plan it goes on from. Plans that agree in it
/// order the same pieces, whatever their seed, layout or form, and whatever the job's folder is called.
fn made_from(plan: &Plan) -> Result<String, ShelfError> {
    let stem = |input: &Input| input.file.rsplit_once('.').map_or("", |(stem, _)| stem).to_owned();
    let inputs: BTreeMap<String, &str> = plan
        .inputs
        .iter()
        .map(|input| (stem(input), input.sha256.as_str()))
        .filter(|(stem, _)| ORDER.contains(&stem.as_str()))
        .collect();
    let defaults = Rules::default().written();
    let rules: BTreeMap<&String, &String> =
        plan.rules.iter().filter(|(name, value)| defaults.get(*name) != Some(*value)).collect();
    let uses = plan.pieces.iter().flat_map(|piece| &piece.uses);
    let last = uses.map(|used| used.release).max();
    let already = plan.already.as_ref().map(|already| &already.from);
    json_digest(&(inputs, rules, last, already))
}

/// As version 2 of the tables had it: with the job's name, the bytes of all files, and the last release as
/// it was asked for.
fn made_from_2(plan: &Plan, job: &str) -> Result<String, ShelfError> {
    let already = plan.already.as_ref().map(|already| &already.from);
    json_digest(&(job, &plan.inputs, plan.up_to, already))
}

fn json_digest<T: Serialize>(value: &T) -> Result<String, ShelfError> {
    let text = serde_json::to_vec(value).map_err(|e| {
        let what = format!("the plan's inputs have no form in JSON: {e}");
        ShelfError::invalid(what, "plan the job again and book that plan")
    })?;
    Ok(digest(&text))
}

/// The day on which the order of a plan was booked, and the job's name then.
fn same_order(
    transaction: &Transaction<'_>,
    plan: &Plan,
    made_from: &str,
) -> Result<Option<(String, String)>, Trouble> {
    let query =
        "SELECT booked, job, made_from FROM booking WHERE made_from IS NOT NULL ORDER BY rowid";
    let mut statement = transaction.prepare(query)?;
    let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
    for row in rows {
        let (day, job, from): (String, String, String) = row?;
        // Bookings of before have the job's name in it, which may have been another.
        if from == made_from || from == made_from_2(plan, &job)? {
            return Ok(Some((day, job)));
        }
    }
    Ok(None)
}

/// Writes down for what job an offcut was taken by hand; refuses one that lies there still, and one that went out by the
/// booking of another plan.
fn taken_for(
    transaction: &Transaction<'_>,
    (job, plan): (&str, &str),
    name: &str,
) -> Result<(), Trouble> {
    let query = "SELECT taken, EXISTS (SELECT 1 FROM booking WHERE job = taken_for AND booked = taken AND plan <> ?2) \
                 FROM offcut WHERE name = ?1";
    let row = |row: &Row<'_>| Ok((row.get::<_, Option<String>>(0)?, row.get(1)?));
    let taken = transaction.query_row(query, [name, plan], row).optional()?;
    let (what, remedy) = match taken {
        None => return Err(ShelfError::Gone(name.to_owned()).into()),
        Some((Some(_), false)) => {
            transaction.execute("UPDATE offcut SET taken_for = ?1 WHERE name = ?2", [job, name])?;
            return Ok(());
        }
        Some((Some(day), true)) => (
            format!("offcut {} went out on {day} by the booking of a plan", quoted(name)),
            "see by `rollwright shelf list --all` for what job it was taken: it is cut twice, or the plan is of another \
             shelf",
        ),
        Some((None, _)) => (
            format!("offcut {} was not taken off the shelf by hand", quoted(name)),
            "leave it out of --taken: what lies there is taken by the booking",
        ),
    };
    Err(ShelfError::invalid(what, remedy).into())
}

/// Refuses a plan that cuts an offcut of other size than the one of that name here: its offcuts are of
/// another shelf, and names like `S1` are many.
fn same_size(transaction: &Transaction<'_>, name: &str, cut: [Length; 3]) -> Result<(), Trouble> {
    let query = "SELECT thickness, width, length FROM offcut WHERE name = ?1";
    let size = |row: &Row<'_>| Ok([row.get(0)?, row.get(1)?, row.get(2)?]);
    let lies: Option<[i64; 3]> = transaction.query_row(query, [name], size).optional()?;
    let cut = cut.map(Length::nm);
    match lies {
        Some(lies) if lies != cut => {
            let words = |[thickness, width, length]: [i64; 3]| {
                let mm = Length::from_nm;
                format!("{} x {} mm, {} mm thick", mm(width), mm(length), mm(thickness))
            };
            Err(ShelfError::invalid(
                format!(
                    "offcut {name} is {}, and the plan cuts one of that name of {}, so its offcuts are \
                     not of this shelf",
                    words(lies),
                    words(cut),
                ),
                "lend the job what lies here (`rollwright shelf lend`) and plan it again",
            )
            .into())
        }
        _ => Ok(()),
    }
}

/// Every offcut that a plan keeps, one entry for each that will lie on the shelf, with its name on its ticket.
fn kept(plan: &Plan, place: &str, batch: &str) -> Vec<(Option<String>, New)> {
    let tickets = plan.tickets_by_layout();
    let mut kept = Vec::new();
    for (at, roll) in plan.rolls.iter().enumerate() {
        let Some(thickness) = plan.thickness_of(roll) else { continue };
        let tickets = tickets.get(&at).map_or(&[][..], Vec::as_slice);
        for copy in 0..usize::try_from(roll.copies).unwrap_or(usize::MAX) {
            let ticket = tickets.get(copy).copied();
            for (left, offcut) in roll.offcuts.iter().filter(|offcut| offcut.keep).enumerate() {
                let new = New {
                    name: None,
                    thickness,
                    width: offcut.width,
                    length: offcut.length,
                    place: place.to_owned(),
                    batch: batch.to_owned(),
                };
                kept.push((ticket.map(|ticket| plan.left_name(ticket, left)), new));
            }
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the ledger has once cannot be cut twice, whatever the plan says.
    #[test]
    fn a_plan_that_cuts_two_of_an_offcut_is_not_booked() {
        let folder = tempfile::tempdir().unwrap();
        let mut ledger = Ledger::open(&folder.path().join("shelf.db")).unwrap();
        let mut plan = crate::plan::sample::plan(1, 1);
        plan.rolls[0].copies = 2;
        let name = plan.rolls[0].roll.clone();
        let from_shelf = [name.clone()];
        let booking = Booking {
            plan: &plan,
            digest: "00",
            again: false,
            by_hand: &[],
            from_shelf: &from_shelf,
            taken_before: &[],
            rests: &[],
            place: "rack",
            batch: "",
            day: "2026-11-02",
        };
        let refused = ledger.book(&booking).unwrap_err();
        assert!(matches!(refused, ShelfError::Second(of) if of == name));
    }
}

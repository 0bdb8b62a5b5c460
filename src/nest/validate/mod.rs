//! Bare instances through the door: from a file's bytes to valid instances and all findings.
//!
//! Steps: text; JSON; one instance or an array of them; of each its keys ([`fields`]), values
//! ([`value`]), rolls ([`roll`]), pieces ([`piece`]), choices ([`choice`]) and cutting ([`cutting`]); then the rules
//! that look at several of them at once ([`whole`]). Nothing stops at the first problem.

mod choice;
mod cutting;
mod fields;
mod piece;
mod roll;
mod value;
mod whole;

use super::record::{Kind, Source, Spot};
use super::{Choice, Instance, Published};
use crate::cutting::Objective;
use crate::finding::codes::nest as codes;
use crate::finding::{Finding, Findings};
use fields::{Door, Known};
use whole::Spots;

/// What was read of one instance.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Its name; empty where it has none.
    pub name: String,
    /// The instance, where nothing is wrong with it; pieces that only choices need have quantity 0.
    pub instance: Option<Instance>,
    /// Its choices; what they need comes on top of the pieces' own quantities.
    pub choices: Vec<Choice>,
    /// Whether each of its rolls has a price.
    pub priced: bool,
    /// Everything found in it.
    pub findings: Findings,
}

/// Reads a file of bare instances; `file` is its name for findings.
///
/// # Errors
/// What makes it no file of instances at all.
pub fn read(file: &str, bytes: &[u8]) -> Result<Vec<Entry>, Findings> {
    let mut findings = Findings::new();
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.strip_prefix('\u{feff}').unwrap_or(text),
        Err(error) => {
            let good = std::str::from_utf8(&bytes[..error.valid_up_to()]).unwrap_or_default();
            let line = good.matches('\n').count() + 1;
            findings.push(Finding::new(
                &codes::NO_TEXT,
                crate::finding::Place::line(file, u64::try_from(line).unwrap_or(u64::MAX)),
                "there are bytes here that are not UTF-8",
                "save the file as UTF-8",
            ));
            return Err(findings);
        }
    };
    let source = Source::new(file, text);
    let spots = match Spot::parse(text) {
        Ok(spot) if spot.kind() == Kind::Object => vec![spot],
        Ok(spot) => spot.members().unwrap_or_default(),
        Err(error) => {
            let cause = error.to_string();
            let cause = cause.split(" at line ").next().unwrap_or_default();
            findings.push(Finding::new(
                &codes::NO_JSON,
                source.stopped(&error),
                format!("this is not valid JSON: {cause}"),
                "mend the file at that place, or write it out again from where it came",
            ));
            return Err(findings);
        }
    };
    if spots.is_empty() {
        findings.push(Finding::new(
            &codes::NO_INSTANCE,
            source.whole(),
            "the file holds no instance",
            "put one instance into it, or an array of them",
        ));
        return Err(findings);
    }
    let one = spots.len() == 1;
    Ok(spots
        .into_iter()
        .enumerate()
        .map(|(i, spot)| entry(&source, spot, if one { String::new() } else { format!("[{i}].") }))
        .collect())
}

/// The keys of an instance; those not read at all are for people.
const KEYS: Known = Known {
    read: &["name", "rolls", "pieces", "cutting", "objective", "published", "choices"],
    passed: &["source", "licence", "license", "note", "notes", "comment"],
};

fn entry(source: &Source<'_>, spot: Spot<'_>, path: String) -> Entry {
    let mut door = Door::new(source);
    let Some(mut all) = door.object(spot, path, &KEYS) else {
        return Entry {
            name: String::new(),
            instance: None,
            choices: Vec::new(),
            priced: false,
            findings: door.findings,
        };
    };
    let name = door.text(&mut all, "name").unwrap_or_default();
    let objective = door.objective(&mut all);
    let cutting = door.cutting(&mut all);
    let rolls = door.rolls(&mut all, objective);
    let any_choices = all.has("choices");
    let pieces = door.pieces(&mut all, cutting.as_ref().map(|c| c.style), any_choices);
    let published = objective.and_then(|objective| door.published(&mut all, objective));
    let mut choices = Vec::new();
    let instance = match (objective, cutting, rolls, pieces) {
        (Some(objective), Some(cutting), Some(rolls), Some(pieces)) => {
            let (roll_spots, rolls) = rolls.into_iter().unzip();
            let (piece_spots, pieces): (Vec<_>, Vec<_>) = pieces.into_iter().unzip();
            choices = door.choices(&mut all, &pieces);
            let spots = Spots { whole: spot, rolls: roll_spots, pieces: piece_spots };
            let name = name.clone();
            let instance = Instance { name, rolls, pieces, cutting, objective, published };
            door.whole(instance, &mut choices, &spots)
        }
        _ => None,
    };
    let instance = instance.filter(|_| !door.findings.has_errors());
    Entry { name, instance, choices, priced: door.priced, findings: door.findings }
}

impl Door<'_> {
    fn objective(&mut self, all: &mut fields::Object<'_>) -> Option<Objective> {
        let (spot, text) = self.text_at(all, "objective")?;
        let found = match text.as_str() {
            "rolls" => Objective::Rolls,
            "price" => Objective::Price,
            "length" => Objective::Length,
            other => {
                self.add(
                    &codes::OBJECTIVE,
                    spot,
                    &all.key("objective"),
                    format!("`{other}` is no objective"),
                    format!("write {}", fields::OBJECTIVES),
                );
                return None;
            }
        };
        Some(found)
    }

    /// What others have reached. Nothing here stops the instance.
    fn published(
        &mut self,
        all: &mut fields::Object<'_>,
        objective: Objective,
    ) -> Option<Published> {
        let spot = all.take("published").filter(|s| s.kind() != Kind::Null)?;
        let fields = spot.fields();
        let find = |key: &str| {
            let fields = fields.as_ref()?;
            fields
                .0
                .iter()
                .find(|(k, _)| k == key)
                .map(|(_, s)| *s)
                .filter(|s| s.kind() != Kind::Null)
        };
        let mut unread = fields.is_none();
        let mut number = |key: &str| {
            let spot = find(key)?;
            let raw = value::raw_value(spot, objective);
            unread |= raw.is_none();
            raw
        };
        let published = Published {
            value: number("value"),
            bound: number("bound"),
            proven: find("proven").is_some_and(|s| s.text() == "true"),
            source: find("source").and_then(Spot::string).unwrap_or_default(),
        };
        if unread {
            self.add(
                &codes::PUBLISHED,
                spot,
                &all.key("published"),
                "its value or bound is no number",
                "write numbers in the objective's unit, or null",
            );
        }
        Some(published)
    }
}

#[cfg(test)]
mod tests;

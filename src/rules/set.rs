//! One rule changed by name, as an option of a comparison asks for it.

use super::form::Form;
use super::keys::{KEYS, Key};
use super::{Rules, value};
use crate::finding::codes::rules as codes;
use crate::table::{nearest, quoted};
use crate::units::Length;
use std::collections::BTreeMap;
use toml::de::DeTable;

/// Sets a rule by `section.key` to a value written as in `rules.toml`; the quotes around words may
/// be left away. Rules are not looked at together.
///
/// # Errors
/// What is wrong, and what to do.
pub fn set(rules: &mut Rules, key: &str, text: &str) -> Result<(), (String, String)> {
    let known = KEYS.iter().find(|k| key == format!("{}.{}", k.section, k.name));
    let Some(known) = known else {
        let names: Vec<String> = KEYS.iter().map(|k| format!("{}.{}", k.section, k.name)).collect();
        let meant = nearest(key, names.iter().map(String::as_str));
        let remedy = meant.map_or_else(
            || "see `rollwright rules` for all rules".to_owned(),
            |meant| format!("write `{meant}` if that is meant"),
        );
        return Err((format!("the rule {} is not known", quoted(key)), remedy));
    };
    let bare = format!("value = {text}");
    // A mark of inches behind a number is no quotation mark; those that stand around the whole are.
    let plain = text.trim().replace('\\', "");
    let inside = plain.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(&plain);
    let words = format!("value = \"{}\"", inside.replace('"', "\\\""));
    let mut wrong =
        (format!("{} is not a value", quoted(text)), "see `rollwright rules`".to_owned());
    for document in [bare, words] {
        let (table, faults) = DeTable::parse_recoverable(&document);
        if !faults.is_empty() {
            continue;
        }
        let Some(found) = table.get_ref().get("value") else { continue };
        match value::put(rules, &known.form, found.get_ref()) {
            Ok(()) => return Ok(()),
            // A number that is too large is no word either, but that is not what is wrong with it.
            Err((code, what, remedy)) if code.id == codes::VALUE_RANGE.id => {
                return Err((what, remedy));
            }
            Err((_, what, remedy)) => wrong = (what, remedy),
        }
    }
    Err(wrong)
}

impl Rules {
    /// Every rule by its full name, with its value as it would be written.
    #[must_use]
    pub fn written(&self) -> BTreeMap<String, String> {
        KEYS.iter().map(|key| (key.full(), key.show(self))).collect()
    }

    /// The rules that these have otherwise than `before`, of those named there: name, value now, value
    /// before, with units.
    #[must_use]
    pub fn differences(&self, before: &BTreeMap<String, String>) -> Vec<(String, String, String)> {
        let differs = |key: &Key| {
            let name = key.full();
            let (now, then) = (key.show(self), before.get(&name)?);
            let unit = |value: &str| match key.form.unit() {
                unit if !unit.is_empty() && value.starts_with(|c: char| c.is_ascii_digit()) => {
                    format!("{value} {unit}")
                }
                _ => value.to_owned(),
            };
            (now != *then).then(|| (name, unit(&now), unit(then)))
        };
        KEYS.iter().filter_map(differs).collect()
    }
}

impl Key {
    /// The rule's full name.
    #[must_use]
    pub fn full(&self) -> String {
        format!("{}.{}", self.section, self.name)
    }

    /// Its value in these rules, as it would be written.
    #[must_use]
    pub fn show(&self, rules: &Rules) -> String {
        self.form.show(rules)
    }

    /// Values near the present one, as they would be written, to see what the rule matters: lengths a
    /// fifth less and more (5 mm where there is nothing), counts a fifth less and more but at least one, every
    /// other word, the other truth, factors a tenth less and more.
    #[must_use]
    pub fn neighbours(&self, rules: &Rules) -> Vec<String> {
        let now = self.form.show(rules);
        let mut near: Vec<String> = match &self.form {
            Form::Length { range: (least, most), get, .. } => match get(rules) {
                Some(length) if length.is_positive() => {
                    let fifth = Length::from_nm(length.nm() / 5);
                    [length - fifth, length + fifth]
                        .map(|near| near.clamp(*least, *most).to_string())
                        .to_vec()
                }
                Some(_) => vec![Length::from_mm(5).clamp(*least, *most).to_string()],
                None => vec![Length::from_mm(4000).to_string()],
            },
            Form::Count { range: (least, most), get, .. } => match get(rules) {
                Some(count) => {
                    let by = (count / 5).max(1);
                    [count.saturating_sub(by), count.saturating_add(by)]
                        .into_iter()
                        .filter(|near| near >= least && near <= most)
                        .map(|near| near.to_string())
                        .collect()
                }
                // Twelve where the rules give none.
                None if self.full() == "head.petals" => {
                    [10, 14, 20].map(|n| n.to_string()).to_vec()
                }
                None => vec![least.to_string(), (least + 2).min(*most).to_string()],
            },
            Form::Angle { .. } => Vec::new(),
            Form::Factor { get, .. } => {
                let tenth = crate::units::Decimal::from_millionths(100_000).millionths();
                [-tenth, tenth]
                    .map(|by| (get(rules).millionths() + by).clamp(0, 1_000_000))
                    .map(|near| crate::units::Decimal::from_millionths(near).to_string())
                    .to_vec()
            }
            Form::Flag { get, .. } => vec![(!get(rules)).to_string()],
            Form::Word(words) => words.iter().map(|word| format!("\"{}\"", word.text)).collect(),
            Form::Size { none, .. } => vec![format!("\"{none}\"")],
        };
        near.retain(|value| *value != now);
        near.dedup();
        near
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_are_set_as_they_are_written() {
        let mut rules = Rules::default();
        assert_eq!(set(&mut rules, "table.pull_limit", "3 m"), Ok(()));
        assert_eq!(set(&mut rules, "joints.kind", "lap"), Ok(()));
        assert_eq!(set(&mut rules, "turning.quarter_turns", "true"), Ok(()));
        assert_eq!(set(&mut rules, "elbow.one_piece_up_to", "\"NPS 4\""), Ok(()));
        assert_eq!(rules.table.pull_limit, Some(Length::from_mm(3000)));
        assert_eq!(rules.joints.kind, super::super::JointKind::Lap);
        assert!(rules.turning.quarter_turns);
        assert_eq!(rules.elbow.one_piece_up_to, Length::from_nm(114_300_000));
        let (what, remedy) = set(&mut rules, "table.pulllimit", "3 m").unwrap_err();
        assert!(what.contains("not known") && remedy.contains("table.pull_limit"), "{remedy}");
        assert!(set(&mut rules, "joints.stagger", "-5").is_err());
        assert!(set(&mut rules, "joints.stagger", "much").is_err());
    }

    #[test]
    fn differences_are_told_with_their_units() {
        let before = Rules::default();
        assert_eq!(before.differences(&before.written()), []);
        let mut after = before.clone();
        let changes = [
            ("joints.stagger", "4 in", "101.6 mm", "75 mm"),
            ("wrap.factor", "{ default = 0.5, 5 = 0.6 }", "{ default = 0.5, \"5\" = 0.6 }", "0.5"),
            ("table.stages", "2", "2", "3"),
            ("elbow.one_piece_up_to", "NPS 4", "\"OD 114.3\"", "\"NPS 8\""),
        ];
        for (key, value, ..) in changes {
            assert_eq!(set(&mut after, key, value), Ok(()), "{key}");
        }
        let told =
            changes.map(|(key, _, now, then)| (key.to_owned(), now.to_owned(), then.to_owned()));
        assert_eq!(after.differences(&before.written()), told);
        // What is shown can be written again.
        for (key, value) in after.written() {
            let mut rules = before.clone();
            assert_eq!(set(&mut rules, &key, &value), Ok(()), "{key} = {value}");
            assert_eq!(rules.written().get(&key), Some(&value));
        }
    }

    /// A weight of 100 is tried at 80 and 120; 99 and 101 would tell nothing.
    #[test]
    fn counts_are_tried_a_fifth_less_and_more() {
        let near = |name: &str, rules: &Rules| {
            let key = KEYS.iter().find(|key| key.full() == name).unwrap();
            key.neighbours(rules)
        };
        let mut rules = Rules::default();
        assert_eq!(near("sequence.late", &rules), ["80", "120"]);
        assert_eq!(near("order.spare_rolls", &rules), ["1"]);
        assert_eq!(set(&mut rules, "order.spare_rolls", "3"), Ok(()));
        assert_eq!(near("order.spare_rolls", &rules), ["2", "4"]);
        assert_eq!(near("wrap.ring_parts", &rules), ["2"]);
        assert_eq!(near("head.petals", &rules), ["10", "14", "20"]);
    }

    #[test]
    fn every_neighbour_can_be_set() {
        let mut tried = 0;
        for key in KEYS {
            for near in key.neighbours(&Rules::default()) {
                let mut rules = Rules::default();
                assert_eq!(set(&mut rules, &key.full(), &near), Ok(()), "{} {near}", key.full());
                tried += 1;
            }
        }
        assert!(tried > KEYS.len(), "{tried}");
    }
}

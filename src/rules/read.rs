//! `rules.toml`, from bytes to [`Rules`].
//!
//! Steps: decode; read as TOML, going on after faults; for each section and key find it among
//! [`KEYS`] and put its value in; then look whether rules contradict each other.

use super::keys::KEYS;
use super::{JointKind, Releases, Rules, value};
use crate::cutting::Style;
use crate::finding::codes::Code;
use crate::finding::codes::rules as codes;
use crate::finding::{Finding, Findings, Place};
use crate::table::{Bare, Settings, in_file_order, nearest, quoted};
use crate::units::Length;
use std::collections::BTreeMap;
use toml::de::DeTable;

/// The places of the keys given, by `section.key`.
type Given = BTreeMap<String, Place>;

/// Reads the rules; `None` where any finding is an error. An empty file gives the defaults.
#[must_use]
pub fn read(file: &str, bytes: &[u8]) -> (Option<Rules>, Findings) {
    let mut findings = Findings::new();
    let source = Settings::open(file, bytes, &mut findings);
    let plain = "write `[section]` or `key = value`, each on a line of its own, texts in double quotes, each key once";
    let remedy = |bare: Option<Bare>| bare.map_or_else(|| plain.to_owned(), |bare| bare.remedy);
    let mut rules = Rules::default();
    let mut given = Given::new();
    if let Some(document) = source.read(&codes::SYNTAX, remedy, &mut findings) {
        read_sections(&source, &document, &mut rules, &mut given, &mut findings);
    }
    if !findings.has_errors() {
        check_together(&rules, &given, &mut findings);
    }
    (if findings.has_errors() { None } else { Some(rules) }, findings)
}

fn read_sections(
    source: &Settings<'_>,
    document: &DeTable<'_>,
    rules: &mut Rules,
    given: &mut Given,
    findings: &mut Findings,
) {
    for (name, section) in in_file_order(document) {
        let (name, span): (&str, _) = (name.get_ref(), name.span());
        let mut tell = |code, what: String, remedy: String| {
            findings.push(Finding::new(code, source.place(&span, name), what, remedy));
        };
        let known = KEYS.iter().any(|key| key.section == name);
        let Some(table) = section.get_ref().as_table() else {
            let home = KEYS.iter().find(|key| key.name == name);
            let what = format!("the key {} stands in no section", quoted(name));
            let remedy = match home {
                Some(key) => format!("put it below a line [{}]", key.section),
                None if known => format!("write [{name}] on a line of its own and keys below it"),
                None => format!("put it below its section, one of {}", sections()),
            };
            tell(&codes::KEY_UNKNOWN, what, remedy);
            continue;
        };
        if !known {
            let what = format!("the section {} is not known", quoted(name));
            let meant = nearest(name, KEYS.iter().map(|key| key.section));
            let remedy = meant.map_or_else(
                || format!("use one of {}", sections()),
                |meant| format!("write [{meant}] if that is meant"),
            );
            tell(&codes::SECTION_UNKNOWN, what, remedy);
            continue;
        }
        read_keys(source, name, table, rules, given, findings);
    }
}

fn read_keys(
    source: &Settings<'_>,
    section: &str,
    table: &DeTable<'_>,
    rules: &mut Rules,
    given: &mut Given,
    findings: &mut Findings,
) {
    for (name, found) in in_file_order(table) {
        let full = format!("{section}.{}", name.get_ref());
        let Some(key) = KEYS.iter().find(|k| k.section == section && k.name == name.get_ref())
        else {
            let what = format!("the key {} is not known in [{section}]", quoted(name.get_ref()));
            let place = source.place(&name.span(), &full);
            findings.push(Finding::new(
                &codes::KEY_UNKNOWN,
                place,
                what,
                meant(section, name.get_ref()),
            ));
            continue;
        };
        let place = source.place(&found.span(), &full);
        match value::put(rules, &key.form, found.get_ref()) {
            Ok(()) => {
                given.insert(full, place);
            }
            Err((code, what, remedy)) => {
                findings.push(Finding::new(code, place, what, remedy));
            }
        }
    }
}

/// What an unknown key may have been meant to be: one of its section, or one of another.
fn meant(section: &str, name: &str) -> String {
    let own = || KEYS.iter().filter(|key| key.section == section);
    if let Some(key) = KEYS.iter().find(|key| key.name == name) {
        return format!("move it below [{}]", key.section);
    }
    if let Some(meant) = nearest(name, own().map(|key| key.name)) {
        return format!("write `{meant}` if that is meant");
    }
    let names: Vec<&str> = own().map(|key| key.name).collect();
    format!("use one of {}", names.join(", "))
}

fn sections() -> String {
    let mut names: Vec<String> = KEYS.iter().map(|key| format!("[{}]", key.section)).collect();
    names.dedup();
    names.join(", ")
}

/// Rules that cannot both be kept, and rules without effect.
fn check_together(rules: &Rules, given: &Given, findings: &mut Findings) {
    let mut tell = |code: &'static Code, key: &str, what: String, remedy: &str| {
        if let Some(place) = given.get(key) {
            findings.push(Finding::new(code, place.clone(), what, remedy));
        }
    };
    if let Some(limit) = rules.table.pull_limit {
        let smallest = rules.joints.smallest_piece;
        if smallest > limit {
            let what = format!(
                "the smallest piece ({smallest} mm) is longer than the longest pull ({limit} mm)"
            );
            let key = if given.contains_key("joints.smallest_piece") {
                "joints.smallest_piece"
            } else {
                "table.pull_limit"
            };
            tell(&codes::CONTRADICTION, key, what, "allow smaller pieces or longer pulls");
        }
    }
    if rules.vertical.ring_gap + rules.joints.smallest_piece > rules.vertical.ring_spacing {
        let what = "no piece fits between two support rings".to_owned();
        let key = if given.contains_key("vertical.ring_spacing") {
            "vertical.ring_spacing"
        } else {
            "joints.smallest_piece"
        };
        tell(&codes::CONTRADICTION, key, what, "space the rings wider or allow smaller pieces");
    }
    if rules.joints.kind == JointKind::Butt && rules.joints.lap != Length::ZERO {
        let what = "a lap is given, but joints are butted".to_owned();
        tell(&codes::NO_EFFECT, "joints.lap", what, "write kind = \"lap\" if joints are to lap");
    }
    if rules.table.style == Style::Free {
        let what = "stages are given, but only straight cuts have stages".to_owned();
        tell(&codes::NO_EFFECT, "table.stages", what, "delete it, or write style = \"straight\"");
    }
    if rules.elbow.gores.is_some() {
        let what = "a tolerance is given, but so is the number of gores".to_owned();
        tell(&codes::NO_EFFECT, "elbow.tolerance", what, "delete one of the two");
    }
    // Who writes a default down says nothing by it.
    let plain = Rules::default();
    if rules.wrap.wound_up_to == Length::ZERO {
        let remedy = "write wound_up_to under [wrap], the largest outside diameter that is wound";
        if rules.wrap.wound_thickness != plain.wrap.wound_thickness {
            let what =
                "a thickness is given up to which blanket is wound, but no pipe is".to_owned();
            tell(&codes::NO_EFFECT, "wrap.wound_thickness", what, remedy);
        }
        if rules.choose.windings {
            let what = "windings may be chosen, but no pipe is wound from one piece".to_owned();
            tell(&codes::NO_EFFECT, "choose.windings", what, remedy);
        }
    }
    if rules.choose.longest_course.is_some() && !rules.turning.quarter_turns {
        let what = "longer courses lie along the roll, and no piece may be turned so".to_owned();
        let remedy =
            "write quarter_turns = true under [turning] if the material may lie so, or delete it";
        tell(&codes::NO_EFFECT, "choose.longest_course", what, remedy);
    }
    let late = rules.sequence.late != plain.sequence.late;
    if late && rules.sequence.release == Releases::Hard {
        let what = "points are given for late releases, but no pull may be late".to_owned();
        let remedy = "write release = \"weighed\" if pulls may be cut late for points";
        tell(&codes::NO_EFFECT, "sequence.late", what, remedy);
    }
}

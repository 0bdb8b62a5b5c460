//! What may stand as a rule's value, and how it is put into [`Rules`] and shown again.

use super::Rules;
use crate::units::{Angle, Decimal, Length};
use std::collections::BTreeMap;

/// A word that a rule may take.
#[derive(Debug)]
pub struct Word {
    /// The word.
    pub text: &'static str,
    /// What it chooses.
    pub meaning: &'static str,
    pub(super) set: fn(&mut Rules),
    pub(super) is: fn(&Rules) -> bool,
}

/// What may stand as a rule's value.
#[derive(Debug)]
pub enum Form {
    /// A length, or a word for none.
    Length {
        /// Least and greatest.
        range: (Length, Length),
        /// The word that stands for none, where there may be none.
        none: Option<&'static str>,
        /// Shows it.
        get: fn(&Rules) -> Option<Length>,
        /// Puts it in.
        set: fn(&mut Rules, Option<Length>),
    },
    /// A whole number, or a word for none.
    Count {
        /// Least and greatest.
        range: (u64, u64),
        /// The word that stands for none, where there may be none.
        none: Option<&'static str>,
        /// Shows it.
        get: fn(&Rules) -> Option<u64>,
        /// Puts it in.
        set: fn(&mut Rules, Option<u64>),
    },
    /// An angle in degrees, at least 0 and less than 360.
    Angle {
        /// Shows it.
        get: fn(&Rules) -> Angle,
        /// Puts it in.
        set: fn(&mut Rules, Angle),
    },
    /// A number from 0 to 1, or a table of such numbers by thickness.
    Factor {
        /// Shows the general one.
        get: fn(&Rules) -> Decimal,
        /// Shows those of single thicknesses.
        by_thickness: fn(&Rules) -> &BTreeMap<Length, Decimal>,
        /// Puts them in.
        set: fn(&mut Rules, Option<Decimal>, BTreeMap<Length, Decimal>),
    },
    /// `true` or `false`.
    Flag {
        /// Shows it.
        get: fn(&Rules) -> bool,
        /// Puts it in.
        set: fn(&mut Rules, bool),
    },
    /// One of some words.
    Word(&'static [Word]),
    /// A pipe size, kept as its outside diameter, or a word for none.
    Size {
        /// The word that stands for none.
        none: &'static str,
        /// The default as people write it.
        default: &'static str,
        /// Shows its outside diameter, nothing for none.
        get: fn(&Rules) -> Length,
        /// Puts it in.
        set: fn(&mut Rules, Length),
    },
}

impl Form {
    /// What to write, for people.
    #[must_use]
    pub fn text(&self) -> String {
        let or = self.none().map_or_else(String::new, |word| format!(" or `\"{word}\"`"));
        match self {
            Self::Length { .. } => format!("length{or}"),
            Self::Count { .. } => format!("whole number{or}"),
            Self::Angle { .. } => "angle".to_owned(),
            Self::Factor { .. } => "number, or a table of numbers by thickness".to_owned(),
            Self::Flag { .. } => "`true` or `false`".to_owned(),
            Self::Word(words) => {
                let list: Vec<String> = words.iter().map(|w| format!("`\"{}\"`", w.text)).collect();
                list.join(" or ")
            }
            Self::Size { .. } => format!("pipe size{or}"),
        }
    }

    /// The word that may stand in a value's place.
    #[must_use]
    pub const fn none(&self) -> Option<&'static str> {
        match self {
            Self::Length { none, .. } | Self::Count { none, .. } => *none,
            Self::Size { none, .. } => Some(none),
            Self::Angle { .. } | Self::Factor { .. } | Self::Flag { .. } | Self::Word(_) => None,
        }
    }

    /// The unit of a bare number.
    #[must_use]
    pub const fn unit(&self) -> &'static str {
        match self {
            Self::Length { .. } => "mm",
            Self::Angle { .. } => "degrees",
            Self::Count { .. }
            | Self::Factor { .. }
            | Self::Flag { .. }
            | Self::Word(_)
            | Self::Size { .. } => "",
        }
    }

    /// The limits, for people; empty where there are none but the words.
    #[must_use]
    pub fn range(&self) -> String {
        match self {
            Self::Length { range: (least, most), .. } => format!("{least} to {most}"),
            Self::Count { range: (least, most), .. } => format!("{least} to {most}"),
            Self::Angle { .. } => "0 to below 360".to_owned(),
            Self::Factor { .. } => "0 to 1".to_owned(),
            Self::Flag { .. } | Self::Word(_) | Self::Size { .. } => String::new(),
        }
    }

    /// The value in these rules, as it would be written in the file.
    #[must_use]
    pub fn show(&self, rules: &Rules) -> String {
        let or = |none: Option<&str>| none.map_or_else(String::new, |w| format!("\"{w}\""));
        match self {
            Self::Length { get, none, .. } => {
                get(rules).map_or_else(|| or(*none), |length| length.to_string())
            }
            Self::Count { get, none, .. } => {
                get(rules).map_or_else(|| or(*none), |count| count.to_string())
            }
            Self::Angle { get, .. } => get(rules).to_string(),
            Self::Factor { get, by_thickness, .. } => {
                let own: Vec<String> = by_thickness(rules)
                    .iter()
                    .map(|(thickness, factor)| format!(", \"{thickness}\" = {factor}"))
                    .collect();
                let general = get(rules);
                if own.is_empty() {
                    general.to_string()
                } else {
                    format!("{{ default = {general}{} }}", own.concat())
                }
            }
            Self::Flag { get, .. } => get(rules).to_string(),
            Self::Word(words) => words
                .iter()
                .find(|word| (word.is)(rules))
                .map_or_else(String::new, |word| format!("\"{}\"", word.text)),
            Self::Size { none, default, get, .. } => match get(rules) {
                od if od == get(&Rules::default()) => format!("\"{default}\""),
                od if od.is_positive() => format!("\"OD {od}\""),
                _ => format!("\"{none}\""),
            },
        }
    }
}

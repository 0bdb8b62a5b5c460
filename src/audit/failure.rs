//! What an audit can find wrong.

use crate::plan::Plan;
use crate::units::kind_of;
use std::collections::BTreeMap;
use std::fmt;

/// The rule that a plan breaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rule {
    /// The plan's lists are those of the order sheets.
    Lists,
    /// Every piece is made as often as it is wanted.
    Quantity,
    /// A roll is one that is on offer, as it is on offer.
    Product,
    /// No more rolls than are available.
    Availability,
    /// Pulls lie one behind the other on their roll, within the table.
    Pulls,
    /// Pieces lie inside their pull and between the trimmed edges.
    Inside,
    /// Pieces are turned as they may be.
    Turn,
    /// Pieces do not overlap and keep the gap.
    Clear,
    /// Straight cuts within the stages separate all pieces.
    Straight,
    /// The cuts as listed cut the pieces as placed.
    Cuts,
    /// Offcuts are what is left.
    Offcuts,
    /// Areas add up.
    Areas,
    /// Values are what the rolls come to.
    Value,
    /// Bounds stay at or below values.
    Bound,
    /// Statuses say what is so.
    Status,
    /// What is bought is what the job needs for the rolls that are cut.
    Order,
    /// Joints are those of the job and staggered.
    Joints,
    /// The order of cutting names every pull once, serves every use and keeps the releases.
    Sequence,
}

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failure {
    /// The rule that is broken.
    pub rule: Rule,
    /// What is wrong, in one sentence.
    pub sentence: String,
}

/// All that is wrong with a plan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Failures(Vec<Failure>);

impl Failures {
    pub(super) fn add(&mut self, rule: Rule, sentence: impl Into<String>) {
        self.0.push(Failure { rule, sentence: sentence.into() });
    }

    /// Adds a failure where `holds` is false.
    pub(super) fn unless(&mut self, holds: bool, rule: Rule, sentence: impl FnOnce() -> String) {
        if !holds {
            self.add(rule, sentence());
        }
    }

    /// Adds what another check found.
    pub(super) fn append(&mut self, mut other: Self) {
        self.0.append(&mut other.0);
    }

    /// Whether nothing is wrong.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many things are wrong.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.0.len()
    }

    /// One after the other.
    pub fn iter(&self) -> std::slice::Iter<'_, Failure> {
        self.0.iter()
    }
}

impl<'a> IntoIterator for &'a Failures {
    type Item = &'a Failure;
    type IntoIter = std::slice::Iter<'a, Failure>;
    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

/// A plan that did not pass, and why.
#[derive(Clone, Debug)]
pub struct Failed {
    /// The plan.
    pub plan: Plan,
    /// What is wrong with it; never empty.
    pub failures: Failures,
}

impl Failed {
    /// All that is wrong, a sentence each.
    #[must_use]
    pub fn sentences(&self) -> Vec<String> {
        self.failures.iter().map(|failure| failure.sentence.clone()).collect()
    }
}

impl fmt::Display for Failed {
    /// One sentence a line, of like ones the first few.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&summed(&self.sentences(), FIRST).join("\n"))
    }
}

/// Like sentences that are told one by one.
const FIRST: usize = 10;

/// The first few sentences of each kind, and how many more there are. Sentences are of one kind where
/// they differ in figures and in what stands between backticks alone; kinds come in the order in which
/// they begin.
#[must_use]
pub fn summed(sentences: &[String], first: usize) -> Vec<String> {
    let mut kinds: Vec<(String, Vec<&String>)> = Vec::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for sentence in sentences {
        let kind = kind_of(sentence);
        let at = *known.entry(kind.clone()).or_insert(kinds.len());
        if at == kinds.len() {
            kinds.push((kind, Vec::new()));
        }
        if let Some((_, like)) = kinds.get_mut(at) {
            like.push(sentence);
        }
    }
    let mut told = Vec::new();
    for (_, like) in kinds {
        told.extend(like.iter().take(first).map(|&sentence| sentence.clone()));
        if like.len() > first {
            told.push(format!("... and {} more like it.", like.len() - first));
        }
    }
    told
}

impl std::error::Error for Failed {}

#[cfg(test)]
mod tests {
    use super::summed;

    #[test]
    fn like_sentences_are_counted() {
        let list =
            |list: &[&str]| -> Vec<String> { list.iter().map(|s| (*s).to_owned()).collect() };
        let all = list(&[
            "Piece `A1` is listed 3 times where 4 are wanted.",
            "The plan lists other joints than the job's runs have.",
            "Piece `B12` is listed 17 times where 1 are wanted.",
            "Piece `C` is listed 2.5 times where 4 are wanted.",
        ]);
        let told = list(&[
            "Piece `A1` is listed 3 times where 4 are wanted.",
            "... and 2 more like it.",
            "The plan lists other joints than the job's runs have.",
        ]);
        assert_eq!(summed(&all, 1), told);
        assert_eq!(summed(&all, 3).len(), 4);
        assert_eq!(summed(&[], 3), list(&[]));
    }
}

//! The known word that a misspelt one was most likely meant to be.

use super::cell::quoted;

/// The known word nearest to `word`, where one is near enough that it was most likely meant:
/// at most two letters wrong, left out, too many or exchanged, and at most a third of the letters.
#[must_use]
pub fn nearest<'k>(word: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    let word = word.to_lowercase();
    let letters = word.chars().take(LONGEST + 1).count();
    if letters > LONGEST {
        return None;
    }
    known
        .into_iter()
        .filter(|candidate| candidate.len().abs_diff(word.len()) <= 8)
        .map(|candidate| (strsim::osa_distance(&word, &candidate.to_lowercase()), candidate))
        .filter(|(wrong, candidate)| *wrong <= 2 && wrong * 3 <= candidate.len().max(letters))
        .min_by_key(|(wrong, _)| *wrong)
        .map(|(_, candidate)| candidate)
}

/// What to do about a name that is not known: write the nearest known one if that is meant, else what
/// `otherwise` says.
#[must_use]
pub fn nearest_or<'k>(
    name: &str,
    known: impl IntoIterator<Item = &'k str>,
    otherwise: impl Into<String>,
) -> String {
    match nearest(name, known) {
        Some(meant) => format!("write {} if that is meant", quoted(meant)),
        None => otherwise.into(),
    }
}

/// Words longer than this are like no known one; comparing them would only take time.
const LONGEST: usize = 40;

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn a_slip_of_the_finger_is_seen_and_another_word_is_not() {
        let known = ["quantity", "size", "size2", "build", "kind", "length"];
        assert_eq!(nearest("quanity", known), Some("quantity"));
        assert_eq!(nearest("Lenght", known), Some("length"));
        assert_eq!(nearest("biuld", known), Some("build"));
        assert_eq!(nearest("size1", known), Some("size"));
        assert_eq!(nearest("E-l", ["P-1", "E-1"]), Some("E-1"));
        assert_eq!(nearest("colour", known), None);
        assert_eq!(nearest("id", known), None);
        assert_eq!(nearest(&"x".repeat(100_000), known), None);
    }
}

/// So many of something, with the right ending.
#[must_use]
pub fn counted(count: u64, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// All names of a list: `A, B and C`.
#[must_use]
pub fn joined<N: AsRef<str>>(names: &[N]) -> String {
    let names: Vec<&str> = names.iter().map(AsRef::as_ref).collect();
    match names.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
        None => String::new(),
    }
}

/// Notes one behind another, those that say nothing left out: `A; B`.
#[must_use]
pub fn noted(notes: &[&str]) -> String {
    notes.iter().copied().filter(|note| !note.is_empty()).collect::<Vec<_>>().join("; ")
}

/// The first names of a list, and how many more there are: `A, B and 3 more`.
#[must_use]
pub fn few<N: AsRef<str>>(names: &[N], most: usize) -> String {
    let shown: Vec<&str> = names.iter().take(most).map(AsRef::as_ref).collect();
    let shown = shown.join(", ");
    match names.len().saturating_sub(most) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

/// Whole numbers, those in a row as one: `3`, `7 to 9`.
#[must_use]
pub fn in_runs(numbers: &[u64]) -> Vec<String> {
    let runs = numbers.chunk_by(|a, b| a + 1 == *b);
    runs.filter_map(|run| match run {
        [] => None,
        [one] => Some(one.to_string()),
        [first, .., last] => Some(format!("{first} to {last}")),
    })
    .collect()
}

/// A sentence without its figures and what stands between backticks: like sentences differ in these alone.
#[must_use]
pub fn kind_of(sentence: &str) -> String {
    let outside = sentence.split('`').step_by(2).collect::<Vec<_>>().join("`");
    outside.chars().filter(|c| !c.is_ascii_digit() && *c != '.').collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_joined_as_people_do() {
        assert_eq!(joined::<&str>(&[]), "");
        assert_eq!(joined(&["near"]), "near");
        assert_eq!(joined(&["near", "far"]), "near and far");
        assert_eq!(joined(&["near", "left", "far"]), "near, left and far");
    }
}

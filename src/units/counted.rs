/// So many of something, with the right ending.
#[must_use]
pub fn counted(count: u64, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
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

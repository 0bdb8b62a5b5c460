//! Instances for unit tests, from the text of a file.

use super::Instance;

/// The one instance that a file holds.
pub(crate) fn instance(text: &str) -> Instance {
    super::read("x.json", text.as_bytes()).unwrap().remove(0).instance.unwrap()
}

//! Reads the shared instances.

use rollwright::nest::{Instance, read};
use std::path::Path;

/// All instances of a shared set, or `None`, said aloud, where the set is missing.
pub fn set(name: &str) -> Option<Vec<Instance>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/data");
    let path = root.join(format!("{name}.json"));
    let Ok(bytes) = std::fs::read(&path) else {
        eprintln!("SKIPPED: {} is missing", path.display());
        return None;
    };
    let entries = read(name, &bytes).expect("a file of instances");
    assert!(!entries.is_empty(), "{name} holds no instance");
    Some(entries.into_iter().map(|entry| entry.instance.expect("a valid instance")).collect())
}

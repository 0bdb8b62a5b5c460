//! What several tests share.

use std::io::Write as _;
use std::path::Path;

/// The bytes of a file in the shared benchmark folder, or `None` with a clear message, past the
/// test runner's capture, that the test was skipped.
pub fn shared_data(file: &str) -> Option<Vec<u8>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/data").join(file);
    let bytes = std::fs::read(&path).ok();
    if bytes.is_none() {
        let _ = writeln!(std::io::stderr(), "SKIPPED: {} is missing", path.display());
    }
    bytes
}

//! The shared benchmark sets come through the door of bare instances.

#![expect(clippy::print_stderr, reason = "a test tells what it skips")]

use rollwright::nest::read;
use std::path::Path;

#[test]
fn the_shared_sets_are_read_without_a_finding() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/data");
    let Ok(files) = std::fs::read_dir(&folder) else {
        eprintln!("skipped: there is no folder {}", folder.display());
        return;
    };
    let mut count = 0;
    for file in files.map(|f| f.unwrap().path()) {
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        if file.extension().is_none_or(|e| e != "json") || name.starts_with("mosp_") {
            continue;
        }
        for entry in read(&name, &std::fs::read(&file).unwrap()).unwrap() {
            assert!(entry.findings.is_empty(), "{}: {:?}", entry.name, entry.findings);
            assert!(entry.instance.is_some());
            count += 1;
        }
    }
    assert!(count > 1000, "only {count} instances were seen");
}

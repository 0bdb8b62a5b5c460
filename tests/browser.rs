//! The page in the browser and the report, driven in headless Chromium by `tests/browser/drive.mjs`.
//!
//! Needs node, Chromium, and a folder with playwright-core and axe-core from the npm registry, named
//! by `ROLLWRIGHT_BROWSER_MODULES`; `.ci/run` installs them into a folder of its own. Where
//! something is missing the test says so past the runner's capture, and skips.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Names under which systems install Chromium.
const CHROMIUM: [&str; 3] = ["chromium", "chromium-browser", "google-chrome"];

fn on_path(name: &str) -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    std::env::split_paths(&path).map(|folder| folder.join(name)).find(|file| file.is_file())
}

fn skipped(what: &str) {
    let _ = writeln!(std::io::stderr(), "SKIPPED: the page was not driven in a browser: {what}");
}

#[test]
fn the_page_and_the_report_work_in_a_browser() {
    let Some(node) = on_path("node") else { return skipped("node is missing") };
    let Some(chromium) = CHROMIUM.iter().find_map(|name| on_path(name)) else {
        return skipped("Chromium is missing");
    };
    let Some(modules) = std::env::var_os("ROLLWRIGHT_BROWSER_MODULES").map(PathBuf::from) else {
        return skipped(
            "ROLLWRIGHT_BROWSER_MODULES names no folder with playwright-core and axe-core",
        );
    };
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let done = Command::new(node)
        .arg(root.join("tests/browser/drive.mjs"))
        .env("ROLLWRIGHT", env!("CARGO_BIN_EXE_rollwright"))
        .env("DEMO", root.join("demo/vellmoor"))
        .env("MODULES", modules)
        .env("CHROMIUM", chromium)
        .output();
    match done {
        Ok(done) => assert!(
            done.status.success(),
            "{}{}",
            String::from_utf8_lossy(&done.stdout),
            String::from_utf8_lossy(&done.stderr)
        ),
        Err(why) => skipped(&format!("node cannot be run: {why}")),
    }
}

//! Scripts of independent programs, for tests that can be skipped.

use std::io::Write as _;

/// What a Python script prints, or `None` with a clear message, past the test runner's capture,
/// that it was skipped because Python or the module is missing. A script that fails fails the test.
pub fn python(module: &str, script: &str, arguments: &[&str]) -> Option<String> {
    let run = |code: &str, arguments: &[&str]| {
        std::process::Command::new("python3").arg("-c").arg(code).args(arguments).output().ok()
    };
    let there = run(&format!("import {module}"), &[]).is_some_and(|o| o.status.success());
    if !there {
        let _ = writeln!(std::io::stderr(), "SKIPPED: python3 with {module} is missing");
        return None;
    }
    let output = run(script, arguments)?;
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{errors}");
    Some(String::from_utf8_lossy(&output.stdout).into_owned())
}

//! Arguments, progress and exit codes; the only room that prints.

use std::ffi::OsString;
use std::process::ExitCode;

/// Runs the command line and gives its exit code.
pub fn run(_args: impl IntoIterator<Item = OsString>) -> ExitCode {
    ExitCode::SUCCESS
}

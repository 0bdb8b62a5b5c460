//! The `rollwright` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    rollwright::cli::run(std::env::args_os())
}

//! `rollwright rates`: a rates file to fill in.

use super::exit::{Exit, Failure};
use super::output;
use crate::cost::rates;

/// Show a rates.toml to fill in: labour and freight
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Example:
  rollwright rates > JOB/rates.toml")]
pub struct Args {}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(_: &Args) -> Result<Exit, Failure> {
    output::data(&rates::template())?;
    Ok(Exit::Done)
}

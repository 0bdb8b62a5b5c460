//! `rollwright begin`: a job folder to fill in.

use super::exit::{Exit, Failure};
use super::folder;
use super::output;
use super::tables::named;
use crate::cost::rates;
use crate::table::Column;
use std::path::PathBuf;

/// Make a job folder with empty tables to fill in: takeoff, rolls, offcuts, rates
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Example:
  rollwright begin north-yard            then fill in the tables, in a spreadsheet or with
  rollwright bench north-yard            in the browser")]
pub struct Args {
    /// The folder; made if it is not there, and nothing in it is ever replaced
    folder: PathBuf,
}

/// The tables that a new job gets.
const TABLES: [&str; 3] = ["takeoff", "rolls", "offcuts"];

/// Runs the command.
///
/// # Errors
/// A table is there already; what the system says.
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    for form in TABLES.iter().filter_map(|name| named(name)) {
        files.push((format!("{}.csv", form.name), headings(form.columns).into_bytes()));
    }
    files.push(("rates.toml".to_owned(), rates::template().into_bytes()));
    folder::make_new(&args.folder, files.iter().map(|(n, b)| (n.as_str(), b.as_slice())))?;
    let (shown, word) = (args.folder.display(), output::word(&args.folder));
    output::message(&format!(
        "{shown} holds empty tables: fill in takeoff.csv and rolls.csv, offcuts.csv if there is a \
         shelf\n`rollwright columns takeoff` says what stands in each column, `rollwright rules` \
         what rules.toml may hold\nthen: rollwright plan {word}, or work on it in the browser: \
         rollwright bench {word}"
    ));
    Ok(Exit::Done)
}

/// The line of headings, needed columns first.
fn headings(columns: &[Column]) -> String {
    let (needed, other): (Vec<&Column>, Vec<&Column>) = columns.iter().partition(|c| c.needed);
    let names: Vec<&str> = needed.iter().chain(&other).map(|c| c.name).collect();
    names.join(",") + "\n"
}

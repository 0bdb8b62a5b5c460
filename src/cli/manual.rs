//! `rollwright completions` and `rollwright man`: both are made from the command line's own
//! description, so that they cannot say anything else.

use super::exit::{Exit, Failure};
use super::output;
use crate::table::{nearest_or, quoted};
use clap::CommandFactory;
use clap_complete::Shell;
use clap_mangen::Man;

/// Print what a shell needs to complete commands and options
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright completions bash > ~/.local/share/bash-completion/completions/rollwright
  rollwright completions zsh > ~/.zfunc/_rollwright
  rollwright completions fish > ~/.config/fish/completions/rollwright.fish")]
pub struct Completions {
    /// The shell
    #[arg(value_enum)]
    shell: Shell,
}

/// Print the manual page, or that of one command
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright man > rollwright.1
  rollwright man plan > rollwright-plan.1
  rollwright man shelf add
  rollwright man | man -l -")]
pub struct Manual {
    /// The command, and one of its own where it has some; without any the whole program
    command: Vec<String>,
}

/// Prints completions.
///
/// # Errors
/// What the system says.
pub fn completions(args: &Completions) -> Result<Exit, Failure> {
    let mut bytes = Vec::new();
    let mut command = super::Cli::command();
    clap_complete::generate(args.shell, &mut command, "rollwright", &mut bytes);
    output::data(&String::from_utf8_lossy(&bytes))?;
    Ok(Exit::Done)
}

/// One of a command's own commands.
fn of(command: &clap::Command, name: &str) -> Result<clap::Command, Failure> {
    let names: Vec<&str> = command.get_subcommands().map(clap::Command::get_name).collect();
    let all = match names.as_slice() {
        [] => format!("{} has none of its own", command.get_name()),
        names => format!("use {}", names.join(", ")),
    };
    let remedy = nearest_or(name, names.iter().copied(), all);
    let found = command.get_subcommands().find(|own| own.get_name() == name).cloned();
    found.ok_or_else(|| Failure::Usage(format!("there is no command {}; {remedy}", quoted(name))))
}

/// Prints a manual page.
///
/// # Errors
/// A command that does not exist.
pub fn manual(args: &Manual) -> Result<Exit, Failure> {
    let mut whole = super::Cli::command();
    whole.build();
    let mut page = whole;
    for name in &args.command {
        page = of(&page, name)?;
    }
    let mut bytes = Vec::new();
    let title = page.get_display_name().unwrap_or("rollwright").to_owned();
    let told = Man::new(page).title(title).date("").render(&mut bytes);
    told.map_err(|e| Failure::System(format!("the page cannot be made: {e}")))?;
    output::data(&String::from_utf8_lossy(&bytes))?;
    Ok(Exit::Done)
}

//! `rollwright draw`: files for cutting tables, from a plan that passes its audit.

use super::exit::{Exit, Failure};
use super::folder::{self, Listed};
use super::inputs::Job;
use super::output::{self, Loudness};
use super::standing::{self, Standing};
use crate::report::{self, DRAWINGS, Shows};
use crate::units::counted;
use serde::Serialize;
use std::path::PathBuf;

/// Draw every pull or roll of a plan for a cutting table, as SVG and DXF in millimetres
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright draw demo/vellmoor                     from its plan, into demo/vellmoor/out/drawings
  rollwright draw JOB --each roll --format dxf      one DXF file for each layout of a roll
  rollwright draw JOB --plan JOB/out2/plan.json     from another plan, into JOB/out2/drawings

The plan is audited against the job first. drawings.csv says how often each file is cut, for
which pulls in the order of cutting and on which tickets. Layers are named in plain words:
cross-cuts, rips, trims and outline cuts are to be cut, each edge once and in cutting order; the
others are to look at.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    /// The plan file [default: JOB/out/plan.json]
    #[arg(long, value_name = "FILE")]
    plan: Option<PathBuf>,
    /// Where the files go; made if it is not there [default: drawings, beside the plan]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// What a file shows
    #[arg(long, value_enum, default_value_t = Each::Pull)]
    each: Each,
    /// Which files are written
    #[arg(long, value_enum, default_value_t = Format::Both)]
    format: Format,
    #[command(flatten)]
    pub(super) loudness: Loudness,
    /// Tell the files in JSON
    #[arg(long)]
    pub(super) json: bool,
}

/// How an earlier run's drawings are known.
const LISTED: Listed = Listed { list: DRAWINGS, is_ours: report::is_drawing };

/// What a file shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum Each {
    /// One pull; like pulls once
    Pull,
    /// One layout of a roll, whole
    Roll,
}

/// Which files are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// SVG only
    Svg,
    /// DXF only
    Dxf,
    /// SVG and DXF
    Both,
}

/// What was written, for other programs.
#[derive(Serialize)]
struct Written {
    folder: String,
    files: Vec<String>,
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let path = args.plan.clone().unwrap_or_else(|| args.job.join("out").join(folder::PLAN));
    let out = args.out.clone().unwrap_or_else(|| folder::of(&path).join("drawings"));
    let job = Job::read(&args.job)?;
    let mut findings = job.findings.clone();
    let Standing { job, plan, changed, file } = standing::read(job, &path, "nothing is drawn")?;
    findings.append(changed);
    let shows = match args.each {
        Each::Pull => Shows::Pulls,
        Each::Roll => Shows::Rolls,
    };
    let (svg, dxf) = (args.format != Format::Dxf, args.format != Format::Svg);
    let files = report::cutting_files(&plan, job.rules.table.square_cut, shows, svg, dxf)
        .map_err(|e| Failure::System(e.to_string()))?;
    let named: Vec<(&str, &[u8])> = files.iter().map(|f| (f.name.as_str(), &*f.bytes)).collect();
    LISTED.write(&out, (&args.job, Some(&file)), &named)?;
    output::findings(&findings, args.loudness);
    if args.json {
        let count = counted(files.len() as u64, "file is", "files are");
        let done = format!("{count} in {}", out.display());
        let files = files.into_iter().map(|file| file.name).collect();
        output::after(output::json(&Written { folder: out.display().to_string(), files }), || {
            done
        })?;
    } else if !args.loudness.quiet {
        let count = counted(files.len() as u64, "file", "files");
        output::message(&format!("{count} in {}", out.display()));
    }
    Ok(Exit::Done)
}

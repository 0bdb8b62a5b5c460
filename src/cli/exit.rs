//! How the command ends: exit codes and the failures that lead to them.

use crate::audit::Failed;
use crate::finding::codes::job::OUT_OF_TIME;
use crate::finding::{Findings, Severity};
use crate::table::{nearest, quoted};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Exit codes. Scripts may rely on them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exit {
    /// 0: done; a plan that was stopped early but stands is done, and says that it was stopped.
    Done = 0,
    /// 1: the inputs have errors, all of which are listed, or do not go with what was given, like a plan
    /// that does not stand for them any longer; nothing was written.
    Findings = 1,
    /// 2: the command line itself is wrong.
    Usage = 2,
    /// 3: a plan failed its audit. From `plan` and `order` that is a defect of this program and
    /// nothing is shown; from `audit` it is the verdict on the file.
    AuditFailed = 3,
    /// 4: stopped before there was anything to show.
    Stopped = 4,
    /// 5: the system would not do what was asked: a file that cannot be read or written, a thread
    /// that cannot be started.
    System = 5,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit as u8)
    }
}

/// Why a command could not be carried out.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The inputs have errors.
    #[error("the inputs have errors")]
    Findings(Findings),
    /// The command line asks for something that cannot be done.
    #[error("{0}")]
    Usage(String),
    /// What was asked for cannot be done with what is there; nothing was changed.
    #[error("{0}")]
    Refused(String),
    /// A plan failed its audit.
    #[error("{0}")]
    Audit(String),
    /// A plan of ours did not pass its audit; with the plan, so that it can be saved.
    #[error("{0}")]
    Rejected(Box<Failed>),
    /// Stopped before there was anything to show.
    #[error("stopped before there was anything to show")]
    Stopped,
    /// A file or folder that cannot be read or written.
    #[error("{}: {}{}", path.display(), said(source), hint(path, source))]
    File {
        /// Which.
        path: PathBuf,
        /// What the system says.
        source: std::io::Error,
    },
    /// Anything else that the system would not do.
    #[error("{0}")]
    System(String),
}

impl Failure {
    /// A panic ended what was asked for.
    #[must_use]
    pub fn given_way(what: &str) -> Self {
        Self::System(format!(
            "a defect of this program, or too few threads or too little memory for it, ended the {what}"
        ))
    }

    /// The exit code it leads to.
    #[must_use]
    pub fn exit(&self) -> Exit {
        match self {
            Self::Findings(findings) if only_late(findings) => Exit::Stopped,
            Self::Findings(_) | Self::Refused(_) => Exit::Findings,
            Self::Usage(_) => Exit::Usage,
            Self::Audit(_) | Self::Rejected(_) => Exit::AuditFailed,
            Self::Stopped => Exit::Stopped,
            Self::File { .. } | Self::System(_) => Exit::System,
        }
    }

    /// A job folder that is not there.
    pub fn no_job(path: &Path) -> Self {
        let near = beside(path).map_or_else(String::new, |n| format!("; {} is there", quoted(&n)));
        Self::Usage(format!("there is no job folder {}{near}", path.display()))
    }

    /// What must not happen: a plan cannot be made as the program meant to.
    pub fn defect(what: impl std::fmt::Display) -> Self {
        Self::Audit(format!("{what}; this is a defect of the program"))
    }

    /// With what else is wrong, where it is findings.
    #[must_use]
    pub fn with(mut self, more: impl FnOnce() -> Findings) -> Self {
        if let Self::Findings(findings) = &mut self {
            findings.append(more());
        }
        self
    }

    /// A file's failure.
    pub fn file(path: impl Into<PathBuf>, source: std::io::Error) -> Self {
        Self::File { path: path.into(), source }
    }
}

/// Whether nothing is wrong but that time ran out.
fn only_late(findings: &Findings) -> bool {
    let mut errors = findings.iter().filter(|found| found.severity() == Severity::Error).peekable();
    errors.peek().is_some() && errors.all(|found| found.code.id == OUT_OF_TIME.id)
}

/// What the system says, in plain words where they are known.
pub fn said(source: &std::io::Error) -> String {
    use std::io::ErrorKind;
    match source.kind() {
        ErrorKind::NotFound => "there is no such file or folder".to_owned(),
        ErrorKind::PermissionDenied => {
            "the system does not allow it; see who may read and write there".to_owned()
        }
        ErrorKind::IsADirectory => "it is a folder, where a file is needed".to_owned(),
        ErrorKind::NotADirectory => "a file stands where a folder is needed".to_owned(),
        ErrorKind::AlreadyExists => "something of that name is there".to_owned(),
        ErrorKind::StorageFull => "the disk is full".to_owned(),
        ErrorKind::ReadOnlyFilesystem => "the disk may only be read".to_owned(),
        _ => source.to_string(),
    }
}

/// What may have been meant by a file that is not there.
fn hint(path: &Path, source: &std::io::Error) -> String {
    let missing = source.kind() == std::io::ErrorKind::NotFound;
    let near = if missing { beside(path) } else { None };
    near.map_or_else(String::new, |name| format!("; {} is there", quoted(&name)))
}

/// The name beside a path that is not there that it was most likely meant to be; no link that leads nowhere.
#[must_use]
pub fn beside(path: &Path) -> Option<String> {
    let name = path.file_name()?.to_string_lossy();
    let parent = path.parent().filter(|parent| !parent.as_os_str().is_empty());
    let entries = std::fs::read_dir(parent.unwrap_or(Path::new("."))).ok()?;
    let mut names: Vec<String> = entries
        .filter_map(|entry| entry.ok().filter(|e| e.path().exists()))
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    nearest(&name, names.iter().map(String::as_str)).map(str::to_owned)
}

impl From<crate::compare::Trouble> for Failure {
    fn from(trouble: crate::compare::Trouble) -> Self {
        use crate::compare::Trouble;
        match trouble {
            Trouble::Findings(findings) => Self::Findings(findings),
            Trouble::Short { told, .. } => {
                let mut findings = Findings::new();
                findings.push(*told);
                Self::Findings(findings)
            }
            Trouble::Nest(_) => Self::Refused(trouble.to_string()),
            Trouble::Audit(failed) => Self::Rejected(failed),
            Trouble::Assembly(_) => Self::Audit(trouble.to_string()),
            Trouble::Stopped => Self::Stopped,
        }
    }
}

impl From<crate::forecast::Trouble> for Failure {
    fn from(trouble: crate::forecast::Trouble) -> Self {
        use crate::forecast::Trouble;
        match trouble {
            Trouble::Findings(findings) => Self::Findings(findings),
            Trouble::Nest(_) => Self::Refused(trouble.to_string()),
            Trouble::Stopped => Self::Stopped,
        }
    }
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;

    /// A link that leads nowhere was named as what was meant in its own place.
    #[test]
    fn a_link_that_leads_nowhere_is_not_meant() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        std::os::unix::fs::symlink(at("gone"), at("yard")).unwrap();
        assert_eq!(beside(&at("yard")), None);
        std::fs::create_dir(at("yards")).unwrap();
        assert_eq!(beside(&at("yard")).as_deref(), Some("yards"));
    }

    /// What time alone has ended is stopped; what is wrong besides is to be mended.
    #[test]
    fn a_mistake_beside_a_lack_of_time_is_a_mistake() {
        let exit = |codes: &[&'static crate::finding::codes::Code]| {
            let mut findings = Findings::new();
            for code in codes {
                let place = crate::finding::Place::file("takeoff.csv");
                findings.push(crate::finding::Finding::new(code, place, "so it is", "mend it"));
            }
            Failure::Findings(findings).exit()
        };
        let (late, wrong) = (&OUT_OF_TIME, &crate::finding::codes::files::COLUMN_MISSING);
        assert_eq!(exit(&[late]), Exit::Stopped);
        assert_eq!(exit(&[late, wrong]), Exit::Findings);
        assert_eq!(exit(&[wrong]), Exit::Findings);
    }
}

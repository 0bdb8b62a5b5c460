//! What papers are made from: a plan as it was read, which other runs may replace meanwhile.

use super::PLAN;
use super::place::meant;
use crate::cli::exit::Failure;
use crate::cli::reading::{self, LARGEST_OF_OURS};
use crate::plan::digest;
use std::path::{Path, PathBuf};

/// A plan's file as it was read. Two plans may have the same codes for other pieces, so nothing that is made from
/// one may come to lie beside another, whatever other runs do meanwhile.
#[derive(Debug)]
pub struct AsRead {
    pub(super) path: PathBuf,
    digest: String,
}

impl AsRead {
    /// The file and what was read of it.
    #[must_use]
    pub fn new(path: &Path, bytes: &[u8]) -> Self {
        Self { path: path.to_owned(), digest: digest(bytes) }
    }

    fn is(&self, path: &Path) -> bool {
        reading::bytes(path, LARGEST_OF_OURS).is_ok_and(|bytes| digest(&bytes) == self.digest)
    }

    /// Checks that the file is what it was when it was read.
    ///
    /// # Errors
    /// Another run has replaced it, or it is gone.
    pub(super) fn still(&self) -> Result<(), Failure> {
        if self.is(&self.path) {
            return Ok(());
        }
        Err(Failure::Refused(format!(
            "{} is not the plan any more that was read: another run has replaced it meanwhile, so nothing is \
             written; run this again",
            self.path.display()
        )))
    }

    /// Checks that a folder holds the reports of no other plan.
    ///
    /// # Errors
    /// It does.
    pub fn no_other_in(&self, folder: &Path) -> Result<(), Failure> {
        let there = meant(folder).join(PLAN);
        if !there.exists() || self.is(&there) {
            return Ok(());
        }
        Err(Failure::Usage(format!(
            "{} holds the reports of another plan than {}, and papers of two plans would be mixed up there, so \
             nothing is written: name another folder with --out, or the plan that lies there with --plan",
            folder.display(),
            self.path.display()
        )))
    }
}

//! Files whose names are made, beside the list that names them, such as drawings and templates.

use super::as_read::AsRead;
use super::place::{meant, no_inputs, of, there};
use super::put::{Disk, Ready, STALE, alone, halfway, without_remains};
use crate::cli::exit::Failure;
use crate::cli::reading::{self, LARGEST_OF_OURS};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

/// Files whose names are made from numbers and codes, and the list that names them.
#[derive(Clone, Copy, Debug)]
pub struct Listed {
    /// The list, a CSV file whose first column is `file`: names without their endings.
    pub list: &'static str,
    /// Whether a name is of the form that is given to such files.
    pub is_ours: fn(&str) -> bool,
}

/// The first heading of every list.
const FILE: &str = "file";

impl Listed {
    /// Writes files beside their list, and takes away those of an earlier run that are not written again;
    /// gives how many were written. Where they are made from a plan, nothing if it is replaced meanwhile. They can be made again from what they show, so the disk is not waited
    /// for: with thousands of them that would take longer than all else.
    ///
    /// # Errors
    /// The folder is a job folder, or no folder, or one of the names is there and is not an earlier run's; as
    /// [`write()`](super::write).
    pub fn write(
        self,
        folder: &Path,
        (job, plan): (&Path, Option<&AsRead>),
        files: &[(&str, &[u8])],
    ) -> Result<usize, Failure> {
        let folder = &meant(folder);
        let names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
        // Before the folder is made, and once more when nobody else writes into it.
        self.may_write(folder, job, &names)?;
        let folders: Vec<&Path> =
            std::iter::once(folder.as_path()).chain(plan.map(|plan| of(&plan.path))).collect();
        alone(&folders, || {
            plan.map_or(Ok(()), AsRead::still)?;
            let earlier = self.may_write(folder, job, &names)?;
            // All that a run may have left is named by the list that it leaves.
            let both = self.with_earlier(folder, files, &earlier);
            let both = both.iter().map(|bytes| (self.list, bytes.as_slice()));
            let both = Ready::made(folder, both, Disk::Later)?;
            let all = Ready::made(folder, files.iter().copied(), Disk::Later)?;
            let (list, other) = all.parted(|path| path.ends_with(self.list));
            let mut done = Vec::new();
            both.renamed(&mut done)?;
            done.clear();
            other.renamed(&mut done)?;
            for name in earlier.iter().filter(|name| !names.contains(&name.as_str())) {
                let path = folder.join(name);
                let gone = fs::remove_file(&path).map_err(|e| Failure::file(path, e));
                gone.map_err(|failure| halfway(failure, &done))?;
            }
            list.renamed(&mut done)?;
            without_remains(folder, STALE);
            Ok(done.len())
        })
    }

    /// The list that is to be written, and behind its lines those of an earlier one for files that are still there;
    /// nothing where neither list is one.
    fn with_earlier(
        self,
        folder: &Path,
        files: &[(&str, &[u8])],
        earlier: &[String],
    ) -> Option<Vec<u8>> {
        let (_, new) = files.iter().find(|(name, _)| *name == self.list)?;
        let mut both = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
        let mut named = BTreeSet::new();
        let records = |bytes: &[u8]| -> Vec<csv::StringRecord> {
            let mut reader = csv::ReaderBuilder::new();
            let reader = reader.flexible(true).has_headers(false).from_reader(bytes);
            reader.into_records().filter_map(Result::ok).collect()
        };
        let old = reading::bytes(&folder.join(self.list), LARGEST_OF_OURS).unwrap_or_default();
        let stems: BTreeSet<&str> = earlier.iter().map(|name| stem(name)).collect();
        let still =
            |record: &csv::StringRecord| record.get(0).is_some_and(|file| stems.contains(file));
        let old = records(&old).into_iter().filter(still);
        for record in records(new).into_iter().chain(old) {
            if named.insert(record.get(0).map(str::to_owned)) {
                both.write_record(&record).ok()?;
            }
        }
        both.into_inner().ok()
    }

    /// Checks that files of these names may be written into the folder; gives those that an earlier run
    /// wrote there.
    pub(super) fn may_write(
        self,
        folder: &Path,
        job: &Path,
        names: &[&str],
    ) -> Result<Vec<String>, Failure> {
        let folder = &meant(folder);
        no_inputs(folder, job)?;
        let listed = self.listed(folder);
        let earlier = |name: &str| match &listed {
            Some(stems) if (self.is_ours)(name) => stems.contains(stem(name)),
            Some(_) => true,
            None => false,
        };
        if let Some(name) = names.iter().find(|n| there(&folder.join(n)) && !earlier(n)) {
            return Err(Failure::Usage(format!(
                "{} holds a {name}, but no {} of an earlier run that names it, so it may be somebody \
                 else's: move it away or name another folder with --out",
                folder.display(),
                self.list,
            )));
        }
        let mut there: Vec<String> = match fs::read_dir(folder) {
            Ok(entries) => entries
                .filter_map(|entry| Some(entry.ok()?.file_name().to_string_lossy().into_owned()))
                .filter(|name| (self.is_ours)(name) && earlier(name))
                .collect(),
            Err(_) => Vec::new(),
        };
        there.sort();
        Ok(there)
    }

    /// The names that the list in a folder gives; nothing where there is none of ours.
    fn listed(self, folder: &Path) -> Option<BTreeSet<String>> {
        let bytes = reading::bytes(&folder.join(self.list), LARGEST_OF_OURS).ok()?;
        // Lines of another version's list may have other columns.
        let mut reader = csv::ReaderBuilder::new();
        let mut reader = reader.flexible(true).from_reader(bytes.as_slice());
        (reader.headers().ok()?.get(0) == Some(FILE)).then_some(())?;
        let first = |row: csv::StringRecord| row.get(0).map(str::to_owned);
        Some(reader.records().filter_map(|row| first(row.ok()?)).collect())
    }
}

/// A file's name without its ending.
pub(super) fn stem(name: &str) -> &str {
    name.split_once('.').map_or(name, |(stem, _)| stem)
}

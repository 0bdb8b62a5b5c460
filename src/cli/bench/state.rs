//! What a bench holds: the job folder, the secret of this start, the run, the plan that is shown.

use super::ground::Known;
use super::run::Run;
use super::shown::Shown;
use crate::cli::effort::Effort;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, TryLockError};
use tempfile::TempDir;

/// A bench for one job.
pub struct Bench {
    /// The job folder, without links on the way.
    pub folder: PathBuf,
    /// The port it listens on.
    pub port: u16,
    /// How hard to try, where the page does not say.
    pub effort: Effort,
    /// Known only to whoever read the printed address; every request must bring it, as a cookie.
    pub key: String,
    /// What all its paths begin with, another secret: a browser brings the cookie to paths below it alone, on whatever port.
    pub place: String,
    /// Known only to pages that this start served; every change must bring it.
    pub token: String,
    run: Mutex<Run>,
    shown: Mutex<Option<Arc<Shown>>>,
    compared: Mutex<Value>,
    /// Plans as they were read last, by their folders inside the job's.
    known: Mutex<BTreeMap<String, Known>>,
    /// With which plans and files it was looked last whether another plan is to be shown.
    looked: Mutex<String>,
    /// Held while the job's files are changed.
    writing: Mutex<()>,
    /// Where drafts are checked, once there was one.
    drafts: Mutex<Option<TempDir>>,
}

/// What nobody guesses: 24 random bytes in hexadecimal.
fn secret() -> String {
    let mut text = String::new();
    for byte in rand::random::<[u8; 24]>() {
        let _ = write!(text, "{byte:02x}");
    }
    text
}

impl Bench {
    /// The address to open: with the key, which the browser keeps as a cookie.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/?key={}", self.port, self.key)
    }

    /// A bench that has done nothing yet.
    pub fn new(folder: PathBuf, port: u16, effort: Effort) -> Self {
        Self {
            folder,
            port,
            effort,
            key: secret(),
            place: secret(),
            token: secret(),
            run: Mutex::default(),
            shown: Mutex::default(),
            compared: Mutex::default(),
            known: Mutex::default(),
            looked: Mutex::default(),
            writing: Mutex::default(),
            drafts: Mutex::default(),
        }
    }

    /// The folder's own name.
    pub fn name(&self) -> String {
        self.folder.file_name().map_or_else(|| "job".to_owned(), |n| n.to_string_lossy().into())
    }

    /// The run, present or last.
    pub fn run(&self) -> MutexGuard<'_, Run> {
        whole(&self.run)
    }

    /// The plan that is shown, if there is one.
    pub fn shown(&self) -> Option<Arc<Shown>> {
        whole(&self.shown).clone()
    }

    /// Shows another plan.
    pub fn show(&self, shown: Shown) {
        *whole(&self.shown) = Some(Arc::new(shown));
    }

    /// The options compared last, as the page reads them.
    pub fn compared(&self) -> MutexGuard<'_, Value> {
        whole(&self.compared)
    }

    /// Plans as they were read last.
    pub fn known(&self) -> MutexGuard<'_, BTreeMap<String, Known>> {
        whole(&self.known)
    }

    /// With which plans and files it was looked last; `None` while somebody looks.
    pub fn looked(&self) -> Option<MutexGuard<'_, String>> {
        match self.looked.try_lock() {
            Ok(looked) => Some(looked),
            Err(TryLockError::Poisoned(looked)) => Some(looked.into_inner()),
            Err(TryLockError::WouldBlock) => None,
        }
    }

    /// A folder of its own for a draft that is checked.
    ///
    /// # Errors
    /// What the system says.
    pub fn draft(&self) -> std::io::Result<TempDir> {
        let mut drafts = whole(&self.drafts);
        // Whoever clears the folder of temporary files may have taken it away.
        let all = match drafts.take().filter(|all| all.path().exists()) {
            Some(all) => all,
            None => tempfile::tempdir()?,
        };
        tempfile::tempdir_in(drafts.insert(all).path())
    }

    /// Takes away the folders of drafts, also of those that are still being checked where the bench ends.
    pub fn without_drafts(&self) {
        drop(whole(&self.drafts).take());
    }

    /// Only one at a time changes files.
    pub fn writing(&self) -> MutexGuard<'_, ()> {
        whole(&self.writing)
    }
}

/// A lock's content, also where a thread that held it gave up: every value is whole at any time.
fn whole<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bench that ends while a draft is checked leaves no copy of the job behind.
    #[test]
    fn drafts_are_gone_when_the_bench_ends() {
        let effort = Effort { seconds: None, threads: None, seed: 1, work: None };
        let bench = Bench::new("/nowhere".into(), 1, effort);
        let [one, two] = [bench.draft().unwrap(), bench.draft().unwrap()];
        std::fs::write(one.path().join("takeoff.csv"), "item").unwrap();
        assert!(one.path() != two.path() && one.path().parent() == two.path().parent());
        bench.without_drafts();
        assert!(!one.path().exists() && !two.path().exists());
        assert!(bench.draft().unwrap().path().exists());
    }
}

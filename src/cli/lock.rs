//! One run at a time writes into a folder: what two write there together would be a set of neither.
//!
//! Steps: lock the folder itself, so that nothing stays behind; where the system locks no folders (some
//! drives of a network, and Windows), a file in it, which stays; wait while another run holds it, and say so
//! after a moment. The system gives the lock back when it is dropped, and when a run is killed. Where nothing
//! can be locked, that is told, and the files are written all the same.

use super::exit::Failure;
use super::output::message;
use super::stop::Waiting;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// The file that is locked where a folder cannot be.
const FILE: &str = ".rollwright-lock";

/// A run that only writes is done before this is over.
const MOMENT: Duration = Duration::from_secs(1);

/// Between two looks at a lock that another run holds.
const PAUSE: Duration = Duration::from_millis(50);

/// Folders that no other run writes into while this lives.
#[derive(Debug)]
pub struct Locked(
    #[expect(dead_code, reason = "the locks live as long as the files are open")] Vec<File>,
);

/// Waits until no other run writes into these folders, which are there, and keeps others out.
///
/// # Errors
/// [`Failure::Stopped`] where Ctrl-C ends the wait.
pub fn lock(folders: &[&Path]) -> Result<Locked, Failure> {
    // By one name each and in one order, so that two runs do not wait for each other.
    let whole = |folder: &&Path| folder.canonicalize().unwrap_or_else(|_| folder.to_path_buf());
    let mut folders: Vec<PathBuf> = folders.iter().map(whole).collect();
    folders.sort_unstable();
    folders.dedup();
    let mut held = Vec::with_capacity(folders.len());
    for folder in &folders {
        held.extend(one(folder)?);
    }
    Ok(Locked(held))
}

fn one(folder: &Path) -> Result<Option<File>, Failure> {
    // Elsewhere no folder can be opened.
    if cfg!(unix)
        && let Ok(file) = File::open(folder)
        && wait(&file, folder)?.is_none()
    {
        return Ok(Some(file));
    }
    let path = folder.join(FILE);
    let Ok(file) = OpenOptions::new().create(true).write(true).truncate(false).open(path) else {
        // Nothing can be written there, which is told when it is tried.
        return Ok(None);
    };
    let Some(why) = wait(&file, folder)? else { return Ok(Some(file)) };
    message(&format!(
        "{} cannot be locked ({why}): see that no other run writes into it at the same time",
        folder.display()
    ));
    Ok(None)
}

/// Waits for a lock; says why there is none where the system knows none.
fn wait(file: &File, folder: &Path) -> Result<Option<std::io::Error>, Failure> {
    let _waiting = Waiting::begin();
    let (begun, mut told) = (Instant::now(), false);
    loop {
        match file.try_lock() {
            Ok(()) if Waiting::given_up() => return Err(Failure::Stopped),
            Ok(()) => return Ok(None),
            Err(TryLockError::WouldBlock) => {}
            Err(TryLockError::Error(e)) if e.kind() == ErrorKind::Interrupted => {}
            Err(TryLockError::Error(e)) => return Ok(Some(e)),
        }
        if Waiting::given_up() {
            return Err(Failure::Stopped);
        }
        if !told && begun.elapsed() >= MOMENT {
            told = true;
            message(&format!(
                "another run writes into {}: waiting until it is done (Ctrl-C ends this one, and it \
                 writes nothing)",
                folder.display()
            ));
        }
        std::thread::sleep(PAUSE);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc::channel;

    #[test]
    fn one_waits_for_the_other_and_nothing_stays_behind() {
        let folder = tempfile::tempdir().unwrap();
        let there = folder.path().join("a");
        std::fs::create_dir(&there).unwrap();
        // The same folder by two names is locked once.
        let first = lock(&[folder.path(), &there.join(".."), &there]).unwrap();
        let (send, done) = channel();
        let path = there.clone();
        let other = std::thread::spawn(move || {
            let _held = lock(&[&path]).unwrap();
            send.send(()).unwrap();
        });
        assert!(done.recv_timeout(4 * PAUSE).is_err(), "it does not wait");
        drop(first);
        assert!(done.recv_timeout(Duration::from_secs(10)).is_ok(), "it waits for ever");
        other.join().unwrap();
        assert_eq!(std::fs::read_dir(&there).unwrap().count(), usize::from(cfg!(not(unix))));
    }

    /// As on a drive that locks no folders.
    #[test]
    fn a_file_is_locked_where_a_folder_cannot_be() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(FILE);
        let open = || OpenOptions::new().create(true).append(true).open(&path).unwrap();
        let (first, second) = (open(), open());
        assert!(wait(&first, folder.path()).unwrap().is_none());
        assert!(matches!(second.try_lock(), Err(TryLockError::WouldBlock)));
    }
}

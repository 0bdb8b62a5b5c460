//! Reading files that somebody named: plain files only, and no more of them than is sensible.
//!
//! A named pipe would be waited for without end, and a device read until memory ends; links are followed.

use super::exit::Failure;
use super::folder;
use std::fs::{self, File};
use std::io::{self, ErrorKind, Read as _};
use std::path::Path;

/// The largest file of somebody's own that is read: 64 MB, some hundred thousand lines.
pub const LARGEST: u64 = 64 << 20;

/// The largest file that is read of those that this program wrote (plans, lists of the ledger): 1 GB. A
/// plan of 25,000 pieces has some 10 MB.
pub const LARGEST_OF_OURS: u64 = 1 << 30;

/// A file's bytes.
///
/// # Errors
/// As [`bytes`].
pub fn file(path: &Path, largest: u64) -> Result<Vec<u8>, Failure> {
    bytes(path, largest).map_err(|e| Failure::file(path, e))
}

/// The bytes of a file that may be missing; nothing only where nothing bears its name.
///
/// # Errors
/// As [`bytes`]; a link that leads nowhere is one.
pub fn if_there(path: &Path, largest: u64) -> Result<Option<Vec<u8>>, Failure> {
    if folder::there(path) { file(path, largest).map(Some) } else { Ok(None) }
}

/// A file's bytes; `largest` is how many there may be.
///
/// # Errors
/// It is no plain file, or larger than that; what the system says.
pub fn bytes(path: &Path, largest: u64) -> io::Result<Vec<u8>> {
    // Before it is opened: opening a pipe waits for somebody who writes.
    let about = fs::metadata(path).map_err(|e| through_link(path, e))?;
    if about.is_dir() {
        return Err(ErrorKind::IsADirectory.into());
    }
    if !about.is_file() {
        return Err(io::Error::other("it is a pipe or a device, where a plain file is needed"));
    }
    let too_large = || {
        let megabytes = largest >> 20;
        io::Error::new(ErrorKind::FileTooLarge, format!("it is larger than {megabytes} MB"))
    };
    if about.len() > largest {
        return Err(too_large());
    }
    let mut bytes = Vec::with_capacity(usize::try_from(about.len()).unwrap_or(0));
    // Some files of the system's say that they are empty and are not.
    File::open(path)?.take(largest + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > largest { Err(too_large()) } else { Ok(bytes) }
}

/// What is wrong with a name under which no file is found, where it is a link.
fn through_link(path: &Path, error: io::Error) -> io::Error {
    match fs::read_link(path) {
        Ok(to) if error.kind() == ErrorKind::NotFound => {
            let to = to.display();
            io::Error::other(format!("it is a link to {to}, where there is no file"))
        }
        _ => error,
    }
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use std::os::unix::fs::symlink;

    #[test]
    fn only_plain_files_of_a_sensible_size_are_read() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::write(at("plain"), "12345").unwrap();
        symlink(at("plain"), at("link")).unwrap();
        for name in ["plain", "link"] {
            assert_eq!(bytes(&at(name), 5).unwrap(), b"12345");
            assert_eq!(bytes(&at(name), 4).unwrap_err().kind(), ErrorKind::FileTooLarge);
        }
        let made = std::process::Command::new("mkfifo").arg(at("pipe")).status().unwrap();
        assert!(made.success());
        symlink("/dev/zero", at("endless")).unwrap();
        for name in ["pipe", "endless"] {
            let told = bytes(&at(name), LARGEST).unwrap_err().to_string();
            assert!(told.contains("plain file"), "{told}");
        }
        assert_eq!(bytes(folder.path(), 9).unwrap_err().kind(), ErrorKind::IsADirectory);
    }

    #[test]
    fn only_what_bears_no_name_is_missing() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        assert!(if_there(&at("rules.toml"), 9).unwrap().is_none());
        symlink("nowhere", at("astray")).unwrap();
        symlink("loop", at("loop")).unwrap();
        let told = if_there(&at("astray"), 9).unwrap_err().to_string();
        assert!(told.contains("a link to nowhere, where there is no file"), "{told}");
        assert!(if_there(&at("loop"), 9).is_err());
    }

    /// Linux says of such files that they have no bytes.
    #[cfg(target_os = "linux")]
    #[test]
    fn a_file_that_hides_its_size_is_not_read_beyond_the_limit() {
        let path = Path::new("/proc/self/status");
        assert_eq!(fs::metadata(path).unwrap().len(), 0);
        assert!(!bytes(path, LARGEST).unwrap().is_empty());
        assert_eq!(bytes(path, 9).unwrap_err().kind(), ErrorKind::FileTooLarge);
    }
}

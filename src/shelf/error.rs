//! Why the ledger would not do what was asked. In every case it is as it was before.

use crate::finding::codes::Code;
use crate::finding::codes::shelf as codes;
use crate::finding::printable;
use crate::table::quoted;
use std::borrow::Cow;

/// A refusal; the ledger is untouched.
#[derive(Debug, thiserror::Error)]
pub enum ShelfError {
    /// The file is no ledger.
    #[error("{0} is not a shelf ledger")]
    NotALedger(String),
    /// Made by a later version of this program.
    #[error("the ledger is of version {found} and this program knows versions up to {known}")]
    Newer {
        /// The file's version.
        found: i64,
        /// The newest version known here.
        known: i64,
    },
    /// The file may not be written.
    #[error("the ledger {0} may only be read")]
    ReadOnly(String),
    /// No room left on the disk.
    #[error("the disk is full")]
    Full,
    /// Another process kept the ledger locked for too long.
    #[error("another process keeps the ledger locked")]
    Busy,
    /// An offcut that is not on the shelf.
    #[error("offcut {} is not on the shelf", quoted(.0))]
    Gone(String),
    /// An offcut that was taken off the shelf.
    #[error(
        "offcut {} is not on the shelf: it was taken on {day} ({})",
        quoted(name),
        words(what_for)
    )]
    Taken {
        /// Its name.
        name: String,
        /// The day.
        day: String,
        /// What for; may be no words at all.
        what_for: String,
    },
    /// An offcut that a plan cuts twice, and of which there is one.
    #[error("there is one offcut {} on the shelf, and the plan cuts two", quoted(.0))]
    Second(String),
    /// A size or a name that cannot be.
    #[error("{what}")]
    Invalid {
        /// What is wrong.
        what: String,
        /// What to do.
        remedy: String,
    },
    /// A plan that is booked already.
    #[error("this plan was booked on {0} already")]
    BookedAlready(String),
    /// Another plan of an order that is booked.
    #[error(
        "another plan of the same order (takeoff, stock, rules and releases) was booked on {day} already, \
             for the job {}",
        quoted(job)
    )]
    SameOrder {
        /// The day.
        day: String,
        /// The job's name then.
        job: String,
    },
    /// A place where nothing ever lay.
    #[error("nothing ever lay at the place {place}")]
    UnknownPlace {
        /// What was named.
        place: String,
        /// Places that are known, in words.
        known: String,
        /// Whether it may be a new one.
        new: bool,
    },
    /// Anything else the database says.
    #[error("the ledger could not be used: {0}")]
    Database(rusqlite::Error),
}

/// What something was taken for, in words.
fn words(what_for: &str) -> String {
    if what_for.trim().is_empty() {
        "nobody said what for".to_owned()
    } else {
        printable(what_for.to_owned())
    }
}

impl ShelfError {
    /// What cannot be in a ledger, and what to do.
    pub(super) fn invalid(what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::Invalid { what: what.into(), remedy: remedy.into() }
    }

    /// What to do.
    #[must_use]
    pub fn remedy(&self) -> Cow<'_, str> {
        Cow::Borrowed(match self {
            Self::NotALedger(_) => "name another file, or move this one away to start a new ledger",
            Self::Newer { .. } => "use the newer program",
            Self::ReadOnly(_) => "allow writing to the file and its folder",
            Self::Full => "make room and try again",
            Self::Busy => "try again",
            Self::Gone(_) | Self::Second(_) => {
                "list the shelf and take what lies there; where a plan counts on it, lend the shelf to its job \
                 again and make the plan anew"
            }
            Self::Taken { .. } => {
                "take another one that lies there; put it on the shelf anew, under a new name, where it came \
                 back; where it was taken off by hand when a plan cut it, book that plan with --taken and its name; where \
                 a plan that is not cut yet counts on it, lend the shelf to its job again and make the plan anew"
            }
            Self::Invalid { remedy, .. } => remedy,
            Self::BookedAlready(_) => "a plan is booked once",
            Self::SameOrder { .. } => {
                "leave it where it is that order planned anew or copied; add --again where it was cut a \
                 second time"
            }
            Self::UnknownPlace { known, new, .. } => {
                let or = if *new { ", or add --new-place" } else { "" };
                return Cow::Owned(format!("name {known}{or}"));
            }
            Self::Database(_) => {
                "try again; where that fails too, read the last export into a new file"
            }
        })
    }

    /// The code of the finding that it is; `None` for what the system would not do.
    #[must_use]
    pub const fn code(&self) -> Option<&'static Code> {
        match self {
            Self::NotALedger(_) => Some(&codes::NOT_A_LEDGER),
            Self::Newer { .. } => Some(&codes::NEWER),
            Self::ReadOnly(_) => Some(&codes::READ_ONLY),
            Self::Gone(_) | Self::Second(_) | Self::Taken { .. } => Some(&codes::GONE),
            Self::Invalid { .. } => Some(&codes::INVALID),
            Self::BookedAlready(_) | Self::SameOrder { .. } => Some(&codes::BOOKED),
            Self::UnknownPlace { .. } => Some(&codes::PLACE),
            Self::Full | Self::Busy | Self::Database(_) => None,
        }
    }

    /// Sorts a database error.
    pub(super) fn of(file: &str, error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode;
        match error.sqlite_error_code() {
            Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt) => {
                Self::NotALedger(file.to_owned())
            }
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied | ErrorCode::CannotOpen) => {
                Self::ReadOnly(file.to_owned())
            }
            Some(ErrorCode::DiskFull | ErrorCode::SystemIoFailure) => Self::Full,
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            _ => Self::Database(error),
        }
    }
}

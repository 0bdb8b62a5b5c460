//! Why the ledger would not do what was asked. In every case it is as it was before.

use crate::finding::codes::Code;
use crate::finding::codes::shelf as codes;

/// A refusal; the ledger is untouched.
#[derive(Debug, thiserror::Error)]
pub enum ShelfError {
    /// The file is no ledger.
    #[error(
        "{0} is not a shelf ledger; name another file, or move this one away to start a new ledger"
    )]
    NotALedger(String),
    /// Made by a later version of this program.
    #[error(
        "the ledger is of version {found} and this program knows versions up to {known}; use the \
         newer program"
    )]
    Newer {
        /// The file's version.
        found: i64,
        /// The newest version known here.
        known: i64,
    },
    /// The file may not be written.
    #[error(
        "the ledger {0} may only be read; nothing was changed; allow writing to the file and its folder"
    )]
    ReadOnly(String),
    /// No room left on the disk.
    #[error("the disk is full; nothing was changed; make room and try again")]
    Full,
    /// Another process kept the ledger locked for too long.
    #[error("another process keeps the ledger locked; nothing was changed; try again")]
    Busy,
    /// An offcut that is not on the shelf.
    #[error(
        "offcut {0} is not on the shelf (never was, or is taken); nothing was changed; list the shelf and take what lies there"
    )]
    Gone(String),
    /// A size or a name that cannot be.
    #[error("{0}; nothing was changed")]
    Invalid(String),
    /// A plan that is booked already.
    #[error("this plan was booked on {0} already; nothing was changed; a plan is booked once")]
    BookedAlready(String),
    /// A place where nothing ever lay.
    #[error(
        "nothing ever lay at the place {place}; nothing was changed; name one of {known}, or add \
         --new-place"
    )]
    UnknownPlace {
        /// What was named.
        place: String,
        /// Places that are known, in words.
        known: String,
    },
    /// Anything else the database says.
    #[error("the ledger could not be used: {0}; nothing was changed")]
    Database(rusqlite::Error),
}

impl ShelfError {
    /// The code of the finding that it is; `None` for what the system would not do.
    #[must_use]
    pub const fn code(&self) -> Option<&'static Code> {
        match self {
            Self::NotALedger(_) => Some(&codes::NOT_A_LEDGER),
            Self::Newer { .. } => Some(&codes::NEWER),
            Self::ReadOnly(_) => Some(&codes::READ_ONLY),
            Self::Gone(_) => Some(&codes::GONE),
            Self::Invalid(_) => Some(&codes::INVALID),
            Self::BookedAlready(_) => Some(&codes::BOOKED),
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

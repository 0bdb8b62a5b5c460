//! The ledger's tables and how they are made.
//!
//! Lengths are whole nanometres; dates are ISO 8601 days (`2026-11-25`).

use super::error::ShelfError;
use rusqlite::Connection;

/// Marks the file as a shelf ledger (`SQLite`'s application id: "rwsh").
const APPLICATION: i64 = 0x7277_7368;
/// The version of the tables. Version 1 did not know from what a booked plan was made. Version 2 knew it
/// with the job's name and the bytes of its files; such bookings stay and are known still, and a program of
/// that time, which would not know the new ones, refuses the ledger.
const VERSION: i64 = 3;

const TABLES: &str = "
CREATE TABLE offcut (
    number    INTEGER PRIMARY KEY AUTOINCREMENT,
    name      TEXT NOT NULL UNIQUE CHECK (length(name) BETWEEN 1 AND 100),
    thickness INTEGER NOT NULL CHECK (thickness > 0),
    width     INTEGER NOT NULL CHECK (width > 0),
    length    INTEGER NOT NULL CHECK (length > 0),
    place     TEXT NOT NULL,
    batch     TEXT NOT NULL,
    added     TEXT NOT NULL,
    came_from TEXT NOT NULL,
    taken     TEXT,
    taken_for TEXT,
    CHECK ((taken IS NULL) = (taken_for IS NULL))
) STRICT;
CREATE INDEX on_shelf ON offcut (thickness, width, length) WHERE taken IS NULL;
CREATE TABLE booking (
    plan   TEXT PRIMARY KEY,
    job    TEXT NOT NULL,
    booked TEXT NOT NULL,
    made_from TEXT
) STRICT;
CREATE UNIQUE INDEX made_from ON booking (made_from);
";

/// From version 1 to version 2.
const FROM_1: &str = "
ALTER TABLE booking ADD COLUMN made_from TEXT;
CREATE UNIQUE INDEX made_from ON booking (made_from);
";

/// What is done to a file.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Step {
    Nothing,
    Make,
    /// From this version.
    Raise(i64),
}

/// Opens the file's tables, making them where the file is new.
pub(super) fn prepare(connection: &mut Connection, file: &str) -> Result<(), ShelfError> {
    let told = |error| ShelfError::of(file, error);
    // Wait for other processes; rollback journal in one file, flushed to the disk at each commit.
    connection
        .execute_batch("PRAGMA busy_timeout = 20000; PRAGMA synchronous = FULL;")
        .map_err(told)?;
    let number = |connection: &Connection, name: &str| {
        connection.query_row(&format!("PRAGMA {name}"), [], |row| row.get::<_, i64>(0))
    };
    let step = |connection: &Connection| -> Result<Step, ShelfError> {
        let application = number(connection, "application_id").map_err(told)?;
        let version = number(connection, "user_version").map_err(told)?;
        match (application, version) {
            (APPLICATION, VERSION) => Ok(Step::Nothing),
            (APPLICATION, found @ 1..VERSION) => Ok(Step::Raise(found)),
            (APPLICATION, found) => Err(ShelfError::Newer { found, known: VERSION }),
            (0, 0) => Ok(Step::Make),
            _ => Err(ShelfError::NotALedger(file.to_owned())),
        }
    };
    if step(connection)? == Step::Nothing {
        return Ok(());
    }
    let transaction = connection
        .transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)
        .map_err(told)?;
    // Another process may have made the tables while this one waited for the lock.
    let step = step(&transaction)?;
    if step == Step::Make {
        let tables: i64 = transaction
            .query_row("SELECT count(*) FROM sqlite_master", [], |row| row.get(0))
            .map_err(told)?;
        if tables > 0 {
            return Err(ShelfError::NotALedger(file.to_owned()));
        }
        transaction.execute_batch(TABLES).map_err(told)?;
        transaction.pragma_update(None, "application_id", APPLICATION).map_err(told)?;
    }
    if step == Step::Raise(1) {
        transaction.execute_batch(FROM_1).map_err(told)?;
    }
    if step != Step::Nothing {
        transaction.pragma_update(None, "user_version", VERSION).map_err(told)?;
    }
    transaction.commit().map_err(told)
}

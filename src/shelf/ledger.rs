//! Listing, adding and taking offcuts.

use super::error::ShelfError;
use super::schema;
use crate::finding::is_invisible;
use crate::stock::limits::{LENGTH, NAME, THICKNESS, WIDTH};
use crate::table::{nearest, quoted};
use crate::units::Length;
use rusqlite::{
    Connection, OpenFlags, OptionalExtension as _, Row, Transaction, TransactionBehavior, params,
};
use std::path::Path;

/// How long the head of a database's file is (section 1.3 of the library's file format).
const HEAD: u64 = 100;

/// An open ledger.
#[derive(Debug)]
pub struct Ledger {
    pub(super) connection: Connection,
    pub(super) file: String,
}

/// An offcut in the ledger.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its name, unique for ever.
    pub name: String,
    /// Blanket thickness.
    pub thickness: Length,
    /// Size across.
    pub width: Length,
    /// Size along.
    pub length: Length,
    /// Where it lies.
    pub place: String,
    /// Which batch it was cut from; may be empty.
    pub batch: String,
    /// The day it came, ISO 8601.
    pub added: String,
    /// The job it was left over from, or `by hand`.
    pub came_from: String,
    /// The day it was taken and for what; `None` while it lies on the shelf.
    pub taken: Option<(String, String)>,
}

/// An offcut that comes in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct New {
    /// Its name; `None` has the ledger name it `S1`, `S2`, and so on.
    pub name: Option<String>,
    /// Blanket thickness.
    pub thickness: Length,
    /// Size across.
    pub width: Length,
    /// Size along.
    pub length: Length,
    /// Where it will lie.
    pub place: String,
    /// Which batch it was cut from; may be empty.
    pub batch: String,
}

/// What to list.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// Only this thickness.
    pub thickness: Option<Length>,
    /// Only what lies here.
    pub place: Option<String>,
    /// Also what was taken.
    pub taken_too: bool,
}

impl Ledger {
    /// Opens a ledger, making it where the file does not exist.
    ///
    /// # Errors
    /// The file is no ledger, is of a newer version, or cannot be read.
    pub fn open(path: &Path) -> Result<Self, ShelfError> {
        Self::with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE)
    }

    /// Opens a ledger that must exist.
    ///
    /// # Errors
    /// As [`Ledger::open`], and where there is no such file.
    pub fn open_existing(path: &Path) -> Result<Self, ShelfError> {
        if !path.is_file() {
            return Err(ShelfError::invalid(
                format!("there is no ledger {}", path.display()),
                "name the ledger's file; `rollwright shelf add` makes a new one",
            ));
        }
        Self::with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE)
    }

    fn with_flags(path: &Path, flags: OpenFlags) -> Result<Self, ShelfError> {
        let file = path.display().to_string();
        let about = path.metadata().ok();
        if about.as_ref().is_some_and(|about| !about.is_file() && !about.is_dir()) {
            return Err(ShelfError::invalid(
                format!("{file} is a pipe or a device"),
                "name a plain file for the ledger",
            ));
        }
        // SQLite takes a file shorter than its head for an empty one and writes over it, and makes a ledger of an empty one,
        // which is well where one is to be made.
        let least = u64::from(flags.contains(OpenFlags::SQLITE_OPEN_CREATE));
        if about.is_some_and(|about| about.is_file() && (least..HEAD).contains(&about.len())) {
            return Err(ShelfError::NotALedger(file));
        }
        // SQLite reads some names itself: `:memory:` keeps nothing, `file:` has options. A path with a folder
        // is no such name.
        let mut connection = Connection::open_with_flags(Path::new(".").join(path), flags)
            .map_err(|e| ShelfError::of(&file, e))?;
        schema::prepare(&mut connection, &file)?;
        Ok(Self { connection, file })
    }

    /// One change, all or nothing. The lock is taken at once, so that what was read stays true.
    pub(super) fn change<T>(
        &mut self,
        work: impl FnOnce(&Transaction<'_>) -> Result<T, Trouble>,
    ) -> Result<T, ShelfError> {
        let file = self.file.clone();
        let sort = |trouble| match trouble {
            Trouble::Refused(error) => error,
            Trouble::Database(error) => ShelfError::of(&file, error),
        };
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(|e| sort(e.into()))?;
        let done = work(&transaction).map_err(sort)?;
        transaction.commit().map_err(|e| ShelfError::of(&file, e))?;
        Ok(done)
    }

    /// Today in local time, ISO 8601.
    ///
    /// # Errors
    /// The database's.
    pub fn today(&self) -> Result<String, ShelfError> {
        self.connection
            .query_row("SELECT date('now', 'localtime')", [], |row| row.get(0))
            .map_err(|error| ShelfError::of(&self.file, error))
    }

    /// For how many days each offcut has been on the shelf, or was until it was taken.
    ///
    /// # Errors
    /// The database's.
    pub fn ages(&self, entries: &[Entry]) -> Result<Vec<i64>, ShelfError> {
        let told = |error| ShelfError::of(&self.file, error);
        let today = self.today()?;
        let query = "SELECT CAST(round(julianday(?1) - julianday(?2)) AS INTEGER)";
        let mut statement = self.connection.prepare(query).map_err(told)?;
        let mut age = |entry: &Entry| {
            let until = entry.taken.as_ref().map_or(&today, |(day, _)| day);
            statement.query_row([until, &entry.added], |row| row.get::<_, Option<i64>>(0))
        };
        entries
            .iter()
            .map(|entry| age(entry).map(Option::unwrap_or_default).map_err(told))
            .collect()
    }

    /// What lies on the shelf, by thickness, then largest first.
    ///
    /// # Errors
    /// The database's.
    pub fn list(&self, wanted: &Wanted) -> Result<Vec<Entry>, ShelfError> {
        let told = |error| ShelfError::of(&self.file, error);
        let mut statement = self
            .connection
            .prepare(
                "SELECT name, thickness, width, length, place, batch, added, came_from, taken, \
                 taken_for FROM offcut \
                 WHERE (?1 IS NULL OR thickness = ?1) AND (?2 IS NULL OR place = ?2) \
                 AND (?3 OR taken IS NULL) \
                 ORDER BY thickness, length DESC, width DESC, number",
            )
            .map_err(told)?;
        let rows = statement
            .query_map(
                params![wanted.thickness.map(Length::nm), wanted.place, wanted.taken_too],
                entry,
            )
            .map_err(told)?;
        rows.collect::<Result<_, _>>().map_err(told)
    }

    /// Refuses a place where nothing ever lay, unless nothing lay anywhere yet; `new` says that one who puts something
    /// there may call it a new one.
    ///
    /// # Errors
    /// The place is not known; the database's.
    pub fn know_place(&self, place: &str, new: bool) -> Result<(), ShelfError> {
        let told = |error| ShelfError::of(&self.file, error);
        let mut statement = self
            .connection
            .prepare("SELECT DISTINCT place FROM offcut ORDER BY place")
            .map_err(told)?;
        let rows = statement.query_map([], |row| row.get::<_, String>(0)).map_err(told)?;
        let places: Vec<String> = rows.collect::<Result<_, _>>().map_err(told)?;
        if places.is_empty() || places.iter().any(|known| known == place) {
            return Ok(());
        }
        if let Some(near) = nearest(place, places.iter().map(String::as_str)) {
            return Err(ShelfError::UnknownPlace {
                place: format!("`{place}`"),
                known: format!("`{near}` if that is meant"),
                new,
            });
        }
        let more = if places.len() > 20 { " and more" } else { "" };
        let list: Vec<String> = places.iter().take(20).map(|p| format!("`{p}`")).collect();
        let known = format!("one of {}{more}", list.join(", "));
        Err(ShelfError::UnknownPlace { place: format!("`{place}`"), known, new })
    }

    /// Puts offcuts on the shelf and gives their names.
    ///
    /// # Errors
    /// A size or name that cannot be; the database's. None of them is added then.
    pub fn add(&mut self, day: &str, offcuts: &[New]) -> Result<Vec<String>, ShelfError> {
        self.change(|transaction| {
            offcuts.iter().map(|new| insert(transaction, day, "by hand", new)).collect()
        })
    }

    /// Takes offcuts off the shelf.
    ///
    /// # Errors
    /// One of them is not there, or nothing says what for: none is taken then.
    pub fn take(&mut self, day: &str, what_for: &str, names: &[String]) -> Result<(), ShelfError> {
        if names.is_empty() {
            return Err(ShelfError::invalid("no offcut was named", "name what is taken"));
        }
        check_use(what_for)?;
        only_once(names)?;
        self.change(|transaction| {
            names.iter().try_for_each(|name| remove(transaction, day, what_for, name))
        })
    }

    /// Moves offcuts to a place on the shelf.
    ///
    /// # Errors
    /// One of them is not there, or no place is named: none is moved then.
    pub fn put(&mut self, place: &str, names: &[String]) -> Result<(), ShelfError> {
        check_place(place)?;
        only_once(names)?;
        self.change(|transaction| {
            for name in names {
                let changed = transaction.execute(
                    "UPDATE offcut SET place = ?1 WHERE name = ?2 AND taken IS NULL",
                    params![place, name],
                )?;
                if changed == 0 {
                    return Err(gone(transaction, name));
                }
            }
            Ok(())
        })
    }
}

/// What stops a change.
pub(super) enum Trouble {
    Refused(ShelfError),
    Database(rusqlite::Error),
}

impl From<rusqlite::Error> for Trouble {
    fn from(error: rusqlite::Error) -> Self {
        Self::Database(error)
    }
}

impl From<ShelfError> for Trouble {
    fn from(error: ShelfError) -> Self {
        Self::Refused(error)
    }
}

fn entry(row: &Row<'_>) -> rusqlite::Result<Entry> {
    let length = |at| row.get(at).map(Length::from_nm);
    let taken: Option<String> = row.get(8)?;
    let taken_for: Option<String> = row.get(9)?;
    Ok(Entry {
        name: row.get(0)?,
        thickness: length(1)?,
        width: length(2)?,
        length: length(3)?,
        place: row.get(4)?,
        batch: row.get(5)?,
        added: row.get(6)?,
        came_from: row.get(7)?,
        taken: taken.zip(taken_for),
    })
}

/// Puts one offcut on the shelf.
pub(super) fn insert(
    transaction: &Transaction<'_>,
    day: &str,
    came_from: &str,
    new: &New,
) -> Result<String, Trouble> {
    new.check()?;
    let name = match &new.name {
        Some(name) => name.clone(),
        None => free_name(transaction)?,
    };
    let taken: bool = transaction.query_row(
        "SELECT count(*) > 0 FROM offcut WHERE name = ?1",
        [&name],
        |row| row.get(0),
    )?;
    if taken {
        let what = format!("the ledger has an offcut {name} already, on the shelf or taken");
        return Err(ShelfError::invalid(what, "give another name").into());
    }
    transaction.execute(
        "INSERT INTO offcut (name, thickness, width, length, place, batch, added, came_from) \
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        params![
            name,
            new.thickness.nm(),
            new.width.nm(),
            new.length.nm(),
            new.place,
            new.batch,
            day,
            came_from
        ],
    )?;
    Ok(name)
}

/// The next name of the ledger's own that nobody has used.
fn free_name(transaction: &Transaction<'_>) -> Result<String, Trouble> {
    let mut number: i64 =
        transaction
            .query_row("SELECT coalesce(max(number), 0) FROM offcut", [], |row| row.get(0))?;
    loop {
        number += 1;
        let name = format!("S{number}");
        let used: bool = transaction.query_row(
            "SELECT count(*) > 0 FROM offcut WHERE name = ?1",
            [&name],
            |row| row.get(0),
        )?;
        if !used {
            return Ok(name);
        }
    }
}

/// Takes one offcut off the shelf, not before the day on which it came: clocks of two computers may differ.
pub(super) fn remove(
    transaction: &Transaction<'_>,
    day: &str,
    what_for: &str,
    name: &str,
) -> Result<(), Trouble> {
    let changed = transaction.execute(
        "UPDATE offcut SET taken = max(?1, added), taken_for = ?2 WHERE name = ?3 AND taken IS NULL",
        params![day, what_for, name],
    )?;
    if changed == 1 { Ok(()) } else { Err(gone(transaction, name)) }
}

/// Why an offcut does not lie there: it was taken, or never was.
fn gone(transaction: &Transaction<'_>, name: &str) -> Trouble {
    let query = "SELECT taken, taken_for FROM offcut WHERE name = ?1 AND taken IS NOT NULL";
    let taken = transaction.query_row(query, [name], |row| {
        Ok((row.get(0)?, row.get::<_, Option<String>>(1)?.unwrap_or_default()))
    });
    let name = name.to_owned();
    match taken.optional() {
        Ok(Some((day, what_for))) => ShelfError::Taken { name, day, what_for }.into(),
        Ok(None) => ShelfError::Gone(name).into(),
        Err(error) => error.into(),
    }
}

/// Refuses an offcut that is named twice: there is one of each name, and a slip may stand for another.
fn only_once(names: &[String]) -> Result<(), ShelfError> {
    let twice =
        names.iter().enumerate().find(|(at, name)| names.iter().take(*at).any(|n| n == *name));
    twice.map_or(Ok(()), |(_, name)| {
        let what = format!("offcut {} is named twice, and there is one of that name", quoted(name));
        Err(ShelfError::invalid(what, "name it once; look whether another is meant"))
    })
}

/// The longest text, in characters.
const MOST: usize = 100;
const SHORTER: &str = "write less, in one line";

/// Whether a text is longer than the ledger keeps, or holds line ends and the like.
fn overlong(text: &str) -> bool {
    text.chars().count() > MOST || text.chars().any(char::is_control)
}

/// Refuses words for what an offcut is taken for that say nothing or cannot be written on one line.
pub(super) fn check_use(what_for: &str) -> Result<(), ShelfError> {
    if what_for.trim().is_empty() {
        let what = "nothing says what the offcuts are taken for";
        return Err(ShelfError::invalid(what, "say it in a few words"));
    }
    if overlong(what_for) {
        return Err(ShelfError::invalid(
            format!(
                "what the offcuts are taken for is longer than {MOST} characters or more than a line"
            ),
            SHORTER,
        ));
    }
    Ok(())
}

/// Refuses a name that cannot be.
pub(super) fn check_name(name: &str) -> Result<(), ShelfError> {
    if name.trim().is_empty() {
        let what = "the offcut's name is empty";
        return Err(ShelfError::invalid(what, "give it a name, or let the ledger name it"));
    }
    check_words("name", name, NAME)
}

/// Refuses a place that cannot be.
pub(super) fn check_place(place: &str) -> Result<(), ShelfError> {
    if place.trim().is_empty() {
        let what = "the offcut has no place";
        return Err(ShelfError::invalid(what, "say where it lies, or nobody will find it"));
    }
    check_words("place", place, MOST)
}

/// Refuses a batch that cannot be.
pub(super) fn check_batch(batch: &str) -> Result<(), ShelfError> {
    check_words("batch", batch, MOST)
}

fn check_words(what: &str, text: &str, most: usize) -> Result<(), ShelfError> {
    if text.trim_start().starts_with(['=', '+', '-', '@', '\'']) {
        return Err(ShelfError::invalid(
            format!("the offcut's {what} starts with = + - @ or ', which spreadsheets run or drop"),
            "let it start with a letter or a digit",
        ));
    }
    if text.trim() != text {
        let what = format!("the offcut's {what} begins or ends with a blank");
        return Err(ShelfError::invalid(what, "leave it out: lists do not keep it"));
    }
    if let Some(sign) = text.chars().find(|&c| is_invisible(c) || c == '\u{fffd}') {
        return Err(ShelfError::invalid(
            format!(
                "the offcut's {what} holds the sign U+{:04X}, which cannot be seen or was a letter once",
                u32::from(sign)
            ),
            "type it anew",
        ));
    }
    if overlong(text) || text.chars().count() > most {
        return Err(ShelfError::invalid(
            format!("the offcut's {what} is longer than {most} characters or more than a line"),
            SHORTER,
        ));
    }
    Ok(())
}

impl New {
    /// Refuses sizes and texts that cannot be.
    ///
    /// # Errors
    /// The first of them.
    pub fn check(&self) -> Result<(), ShelfError> {
        let invalid = |what: String, remedy: String| Err(ShelfError::Invalid { what, remedy });
        // What a job's list would refuse cannot be lent to it.
        for (what, size, may) in [
            ("thickness", self.thickness, THICKNESS),
            ("width", self.width, WIDTH),
            ("length", self.length, LENGTH),
        ] {
            if !may.contains(&size) {
                return invalid(
                    format!("the offcut's {what} of {size} mm cannot be"),
                    format!("measure it again: it must be {} to {} mm", may.start(), may.end()),
                );
            }
        }
        self.name.as_deref().map_or(Ok(()), check_name)?;
        check_place(&self.place)?;
        check_batch(&self.batch)
    }
}

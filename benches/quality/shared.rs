//! Reading the shared instances, and printing.

use serde::Deserialize;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// An instance in the project's format, as far as the runner needs it.
#[derive(Debug, Deserialize)]
pub struct Raw {
    /// Its name.
    pub name: String,
    /// Where it comes from.
    pub source: String,
    /// The rolls on offer.
    pub rolls: Vec<RawRoll>,
    /// The pieces wanted.
    pub pieces: Vec<RawPiece>,
    /// What others have reached.
    pub published: Option<RawPublished>,
}

/// A roll.
#[derive(Debug, Deserialize)]
pub struct RawRoll {
    /// Size along.
    pub length: Option<f64>,
}

/// A piece.
#[derive(Debug, Deserialize)]
pub struct RawPiece {
    /// Size along.
    pub length: f64,
    /// How many.
    pub quantity: u64,
}

/// A published value.
#[derive(Debug, Deserialize)]
pub struct RawPublished {
    /// The value.
    pub value: Option<f64>,
}

/// The instances of a file in the shared folder; nothing if it is not there.
pub fn read(file: &str) -> Option<Vec<Raw>> {
    serde_json::from_slice(&bytes(file)?).ok()
}

/// The bytes of a file in the shared folder; nothing if it is not there.
pub fn bytes(file: &str) -> Option<Vec<u8>> {
    let folder = std::env::var_os("ROLLWRIGHT_SHARED").map_or_else(
        || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../shared/data"),
        PathBuf::from,
    );
    std::fs::read(folder.join(file)).ok()
}

/// The valid instances of a file in the shared folder; nothing if it is not there.
pub fn instances(file: &str) -> Option<Vec<rollwright::nest::Instance>> {
    let entries = rollwright::nest::read(file, &bytes(file)?).ok()?;
    Some(entries.into_iter().filter_map(|entry| entry.instance).collect())
}

/// Prints a line.
pub fn say(line: &str) {
    use std::io::Write;
    let _ = writeln!(std::io::stdout(), "{line}");
}

/// Stops the engine after some time, and remembers that it did.
pub struct Timer {
    start: Instant,
    limit: Duration,
    rang: AtomicBool,
}

impl Timer {
    /// Starts now.
    pub fn new(limit: Duration) -> Self {
        Self { start: Instant::now(), limit, rang: AtomicBool::new(false) }
    }

    /// Seconds since the start.
    pub fn seconds(&self) -> f64 {
        self.start.elapsed().as_secs_f64()
    }
}

impl rollwright::nest::Watch for Timer {
    fn stop(&self) -> bool {
        let over = self.start.elapsed() > self.limit;
        if over {
            self.rang.store(true, Ordering::Relaxed);
        }
        over
    }

    fn news(&self, _: &rollwright::nest::News<'_>) {}
}

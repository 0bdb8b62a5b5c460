//! What is packed in a workbook, unpacked once to see that it is not larger than it says: a file of
//! some kilobytes can hold gigabytes.

use std::io::{Cursor, Read};
use zip::ZipArchive;

/// All parts of a workbook together: what 64 MB of the densest lists come to.
const MOST: u64 = 512 << 20;

/// Checks the sizes.
pub(super) fn check(bytes: &[u8]) -> Result<(), String> {
    let mut archive = ZipArchive::new(Cursor::new(bytes))
        .map_err(|_| "what it holds is not what its ending says, or it is not whole".to_owned())?;
    let mut left = MOST;
    for at in 0..archive.len() {
        let part = archive.by_index(at).map_err(|e| e.to_string())?;
        let took = std::io::copy(&mut part.take(left + 1), &mut std::io::sink())
            .map_err(|e| e.to_string())?;
        if took > left {
            return Err(format!("unpacked it is larger than {} MB", MOST >> 20));
        }
        left -= took;
    }
    Ok(())
}

/// The text of one part.
pub(super) fn part(bytes: &[u8], name: &str) -> Result<String, String> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|e| e.to_string())?;
    let part = archive.by_name(name).map_err(|e| e.to_string())?;
    let mut text = String::new();
    part.take(MOST).read_to_string(&mut text).map_err(|e| e.to_string())?;
    Ok(text)
}

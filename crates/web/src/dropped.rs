//! A file of notes that was dropped on the page, as text: unpacked where it is packed.

use apoyando_formats::{ReadError, musicxml};
use serde::Serialize;

/// No piece is larger, in bytes of its text.
pub const LARGEST: u64 = 4_000_000;

/// A file of notes as text.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Dropped {
    /// Its name, with the ending of what it is now.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// The text of MusicXML, plain or compressed.
///
/// # Errors
/// If it is larger than a piece is, packed or unpacked, or is no text.
pub fn dropped(name: &str, bytes: &[u8]) -> Result<Dropped, ReadError> {
    let text = musicxml::text(name, bytes, LARGEST)?;
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    Ok(Dropped { name: format!("{stem}.musicxml"), text })
}

//! MusicXML and ABC, read and written.
//!
//! [`read`] turns the bytes of a file into checked scores, with the fingering
//! marks found in it as pins and a finding for everything that was not
//! understood. [`musicxml::write`] writes a score with its fingering.
//!
//! Files are not touched here; the caller reads and writes the bytes.

pub mod abc;
mod error;
mod expression;
mod fit;
pub mod musicxml;
mod options;
mod reading;
mod report;
mod rough;
mod sign;
mod text;
mod time;

pub use error::ReadError;
pub use options::{OctaveReading, ReadOptions};
pub use reading::{ReadPiece, Reading};

/// Reads a score from a file's bytes. The format is told by the name's ending
/// (`.musicxml`, `.xml`, `.mxl`, `.abc`), or by the content if that says nothing.
///
/// # Errors
/// If the bytes are no MusicXML or ABC, or nothing in them can be read.
pub fn read(file_name: &str, bytes: &[u8]) -> Result<Reading, ReadError> {
    read_with(file_name, bytes, &ReadOptions::default())
}

/// [`read`] with options.
///
/// # Errors
/// As [`read`].
pub fn read_with(
    file_name: &str,
    bytes: &[u8],
    options: &ReadOptions,
) -> Result<Reading, ReadError> {
    if bytes.is_empty() {
        return Err(ReadError::Empty { file: file_name.to_owned() });
    }
    let ending = file_name.rsplit_once('.').map_or("", |(_, ending)| ending).to_ascii_lowercase();
    match ending.as_str() {
        "abc" => abc::read(file_name, bytes, options),
        "mxl" | "musicxml" | "xml" => musicxml::read(file_name, bytes, options),
        _ if bytes.starts_with(b"PK") || looks_like_xml(bytes) => {
            musicxml::read(file_name, bytes, options)
        }
        _ if abc::looks_like(bytes) => abc::read(file_name, bytes, options),
        _ => Err(ReadError::UnknownFormat { file: file_name.to_owned() }),
    }
}

/// Whether the first character is an angle bracket, in UTF-8 or UTF-16.
fn looks_like_xml(bytes: &[u8]) -> bool {
    bytes
        .iter()
        .find(|b| !matches!(b, 0xef | 0xbb | 0xbf | 0xfe | 0xff | 0 | b' ' | b'\n' | b'\r' | b'\t'))
        == Some(&b'<')
}

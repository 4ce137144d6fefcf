//! Several files as one: a zip archive whose bytes are the same whenever it is made.

use std::io::{Cursor, Write};

use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// How a file lies in a bundle.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Laid {
    /// Packed: text.
    Packed,
    /// As it is: what is packed already.
    AsItIs,
}

/// Files that are put together.
pub struct Bundle(ZipWriter<Cursor<Vec<u8>>>);

impl Bundle {
    /// None yet.
    pub fn new() -> Self {
        Self(ZipWriter::new(Cursor::new(Vec::new())))
    }

    /// Adds a file.
    ///
    /// # Errors
    /// If there is one of that name already, or the archive would be too large.
    pub fn add(&mut self, name: &str, bytes: &[u8], laid: Laid) -> Result<(), ZipError> {
        let method = match laid {
            Laid::Packed => CompressionMethod::Deflated,
            Laid::AsItIs => CompressionMethod::Stored,
        };
        // No clock: the first day that an archive can tell.
        let options = SimpleFileOptions::default()
            .compression_method(method)
            .last_modified_time(DateTime::default())
            .unix_permissions(0o644);
        self.0.start_file(name, options)?;
        self.0.write_all(bytes)?;
        Ok(())
    }

    /// The archive.
    ///
    /// # Errors
    /// If it would be too large.
    pub fn finish(self) -> Result<Vec<u8>, ZipError> {
        Ok(self.0.finish()?.into_inner())
    }
}

#[cfg(test)]
mod tests {
    use std::io::Read;

    use super::*;

    #[test]
    fn the_same_files_give_the_same_bytes_and_come_out_again() {
        let text = "notes ".repeat(200);
        let made = || {
            let mut bundle = Bundle::new();
            bundle.add("a.txt", text.as_bytes(), Laid::Packed).unwrap();
            bundle.add("b.bin", &[1, 2, 3], Laid::AsItIs).unwrap();
            assert!(bundle.add("a.txt", b"", Laid::Packed).is_err());
            bundle.finish().unwrap()
        };
        let bytes = made();
        assert_eq!(bytes, made());
        assert!(bytes.len() < text.len());
        let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
        let mut read = String::new();
        archive.by_name("a.txt").unwrap().read_to_string(&mut read).unwrap();
        assert_eq!(read, text);
        assert_eq!(archive.len(), 2);
    }
}

//! A small book to begin with.

use std::path::{Path, PathBuf};

use crate::save::{SaveError, save};

/// The files of a new book, by their paths in the folder.
pub const TEMPLATE: [(&str, &str); 5] = [
    ("book.toml", include_str!("../template/book.toml")),
    ("sections/c-major.toml", include_str!("../template/sections/c-major.toml")),
    ("pieces/morning-walk.abc", include_str!("../template/pieces/morning-walk.abc")),
    ("text/welcome.md", include_str!("../template/text/welcome.md")),
    ("text/c-major.md", include_str!("../template/text/c-major.md")),
];

/// Why a new book could not be made.
#[derive(Debug, thiserror::Error)]
pub enum NewBookError {
    /// Something is there already.
    #[error("{path}: is there already; name a folder that does not exist or is empty", path = .0.display())]
    Exists(PathBuf),
    /// A file could not be written.
    #[error(transparent)]
    Save(#[from] SaveError),
}

/// Makes a folder with a small book that can be built as it is. Nothing that
/// exists is overwritten.
///
/// # Errors
/// If the folder holds anything already, or cannot be written to.
pub fn new_book(folder: &Path) -> Result<(), NewBookError> {
    let taken = match std::fs::read_dir(folder) {
        Ok(mut entries) => entries.next().is_some(),
        Err(error) => error.kind() != std::io::ErrorKind::NotFound,
    };
    if taken {
        return Err(NewBookError::Exists(folder.to_owned()));
    }
    // The plan comes last: a folder without one is no book, so a new book that
    // was broken off does not pass for a whole one.
    for (file, text) in TEMPLATE.iter().rev() {
        save(&folder.join(file), text.as_bytes())?;
    }
    Ok(())
}

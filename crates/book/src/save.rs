//! Writing without halves: beside the file, then over it by a rename.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// A file or folder that could not be written.
#[derive(Debug, thiserror::Error)]
#[error("{path}: cannot be written: {error}; check that the folder exists and may be written to", path = path.display())]
pub struct SaveError {
    /// The file or folder.
    pub path: PathBuf,
    /// What the system says.
    #[source]
    pub error: io::Error,
}

/// Writes a whole file or nothing: the content goes to a file beside it, is
/// flushed to the disk and takes the name with one rename. Missing folders on
/// the way are made.
///
/// # Errors
/// If any step fails; the file of that name is then as it was before.
pub fn save(path: &Path, content: &[u8]) -> Result<(), SaveError> {
    let fail = |error| SaveError { path: path.to_owned(), error };
    let name = path.file_name().ok_or_else(|| fail(io::ErrorKind::InvalidFilename.into()))?;
    let folder = match path.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    };
    fs::create_dir_all(folder).map_err(fail)?;
    let mut beside_name = std::ffi::OsString::from(".");
    beside_name.push(name);
    beside_name.push(format!(".{}.part", std::process::id()));
    let beside = folder.join(beside_name);
    let written = write_through(&beside, content).and_then(|()| fs::rename(&beside, path));
    if written.is_err() {
        // What was begun is taken away again; if even that fails, the first
        // failure is the one worth telling.
        let _ = fs::remove_file(&beside);
    }
    written.map_err(fail)?;
    // The rename itself lasts only when the folder is flushed. Not every
    // system lets a folder be opened for that, and the file is whole anyway.
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
    Ok(())
}

/// Takes away what saves that were broken off have left beside the files of a book: a part of
/// a file that never took its name.
pub fn tidy(folder: &Path) {
    let folders = ["", "sections", "pieces", "text"].map(|name| folder.join(name));
    let entries = folders.iter().filter_map(|folder| fs::read_dir(folder).ok()).flatten().flatten();
    for entry in entries {
        let name = entry.file_name();
        let name = name.to_string_lossy();
        let process = name
            .strip_prefix('.')
            .and_then(|name| name.strip_suffix(".part"))
            .and_then(|name| name.rsplit_once('.'));
        if process.is_some_and(|(_, id)| id.parse::<u32>().is_ok()) {
            // What cannot be taken away does no harm.
            let _ = fs::remove_file(entry.path());
        }
    }
}

fn write_through(path: &Path, content: &[u8]) -> io::Result<()> {
    let mut file = File::create(path)?;
    file.write_all(content)?;
    file.sync_all()
}

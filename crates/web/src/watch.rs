//! Whether the files of a book were changed by another program.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// The files that an author writes, with when and how large they were written.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Seen(BTreeMap<PathBuf, (Option<SystemTime>, u64)>);

impl Seen {
    /// Looks at a folder.
    pub fn of(folder: &Path) -> Self {
        let mut seen = BTreeMap::new();
        let mut put = |path: PathBuf| {
            if let Ok(metadata) = std::fs::metadata(&path)
                && metadata.is_file()
            {
                seen.insert(path, (metadata.modified().ok(), metadata.len()));
            }
        };
        put(folder.join("book.toml"));
        for name in ["sections", "pieces", "text"] {
            let entries = std::fs::read_dir(folder.join(name)).into_iter().flatten().flatten();
            // What is being written beside its place is not there yet.
            let shown = |path: &PathBuf| {
                path.file_name().is_some_and(|name| !name.to_string_lossy().starts_with('.'))
            };
            entries.map(|entry| entry.path()).filter(shown).for_each(&mut put);
        }
        Self(seen)
    }
}

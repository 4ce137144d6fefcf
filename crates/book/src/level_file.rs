//! A level in a file of its own.

use apoyando_fingering::Level;

use crate::error::BookError;
use crate::node::{Faults, Fields};
use crate::plan::NamedLevel;
use crate::read::{self, level};
use crate::source::Source;

/// Reads a level from TOML: the keys of `[level]` in a book, at the top of the
/// file. What is not said is open.
///
/// # Errors
/// Every fault, with its place.
pub fn read_level(file: &str, text: &str) -> Result<NamedLevel, Vec<BookError>> {
    let source = Source::new(file, text);
    let document = read::parse(&source, text).map_err(|error| vec![error])?;
    let faults = Faults::default();
    let fields = Fields::root(document.as_table(), &source, &faults);
    let open = NamedLevel { name: String::new(), level: Level::open() };
    let level = level::read_table(fields, &open);
    match faults.into_inner() {
        faults if faults.is_empty() => Ok(level),
        faults => Err(faults),
    }
}

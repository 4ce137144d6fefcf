//! From the text of a plan to its types.

pub(crate) mod book;
pub(crate) mod breaks;
pub(crate) mod edition;
pub(crate) mod house;
pub(crate) mod item;
pub(crate) mod level;
pub(crate) mod nudges;
pub(crate) mod pins;
pub(crate) mod section;
pub(crate) mod seen;
pub(crate) mod words;

use toml_edit::Document;

use crate::error::BookError;
use crate::source::Source;

/// The TOML of a file, or the fault that ends it.
pub(crate) fn parse(source: &Source, text: &str) -> Result<Document<String>, BookError> {
    Document::parse(text.to_owned()).map_err(|error| BookError::Syntax {
        place: source.place_of(error.span()),
        message: error.message().lines().collect::<Vec<_>>().join("; "),
    })
}

//! Edits: what an author changes through the program, as commands on the text of the folder.
//!
//! A command reads the text of a file, changes what it is about and leaves every other byte
//! as it is. It is meant for the text its author saw: where that has changed on disk since, it
//! is refused and both are shown.

mod add;
mod note;
mod pins;
mod revision;
mod spans;

use std::path::{Component, Path};

use serde::{Deserialize, Serialize};
use toml_edit::{DocumentMut, Table};

use crate::folder::read_file;

pub use note::NotePlace;
pub use revision::Revision;

/// What may be decided about a note.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PinKey {
    /// The finger of the left hand.
    Finger,
    /// A finger that it is not.
    NotFinger,
    /// The string.
    String,
    /// The fret.
    Fret,
    /// The finger of the right hand.
    Right,
}

impl PinKey {
    /// Every key.
    pub const ALL: [Self; 5] =
        [Self::Finger, Self::NotFinger, Self::String, Self::Fret, Self::Right];

    /// As it is written in the plan.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Finger => "finger",
            Self::NotFinger => "not-finger",
            Self::String => "string",
            Self::Fret => "fret",
            Self::Right => "right",
        }
    }
}

/// The value of a pin, as it is written in the plan.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
#[serde(untagged)]
pub enum PinValue {
    /// A finger, string or fret.
    Number(i64),
    /// A letter of the right hand.
    Letter(String),
}

/// An item of a section, by its place in the plan.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub struct ItemPlace {
    /// The section, by the name of its file without ending.
    pub section: String,
    /// Which of its items, from 0.
    pub item: usize,
}

impl ItemPlace {
    /// The file in which it is planned, relative to the book's folder.
    #[must_use]
    pub fn file(&self) -> String {
        format!("sections/{}.toml", self.section)
    }
}

/// A change that an author wants.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case")]
pub enum Command {
    /// Decides something about a note; what was decided about the same thing before is gone.
    Pin {
        /// The item it is in.
        at: ItemPlace,
        /// The note.
        note: NotePlace,
        /// What is decided.
        what: Vec<(PinKey, PinValue)>,
    },
    /// Takes back all that was decided about a note.
    Unpin {
        /// The item it is in.
        at: ItemPlace,
        /// The note.
        note: NotePlace,
    },
    /// Gives the hand a position in some bars.
    Position {
        /// The item they are in.
        at: ItemPlace,
        /// The part, from 1.
        part: u16,
        /// First and last bar: `5-8`.
        bars: String,
        /// The position: `II`.
        position: String,
    },
    /// Forbids a barre in some bars.
    NoBarre {
        /// The item they are in.
        at: ItemPlace,
        /// First and last bar: `5-8`.
        bars: String,
    },
    /// A new section; it has its place in the order by [`Command::ListSection`].
    NewSection {
        /// The name of its file without ending.
        section: String,
        /// Its title.
        title: String,
        /// Its key, `G major`; empty for none.
        key: String,
        /// Its position, `II`; chosen by the program if there is none.
        position: Option<String>,
    },
    /// Puts a section at the end of the book.
    ListSection {
        /// The name of its file without ending.
        section: String,
    },
    /// Puts an item at the end of a section.
    NewItem {
        /// The section.
        section: String,
        /// What it is, as the plan says it: `scale`, `solo`.
        kind: String,
        /// What else is said of it: `degrees`, `file`, `title`.
        keys: Vec<(String, String)>,
    },
    /// The whole text of a file of the plan, of prose or of a piece.
    Write {
        /// The file, relative to the book's folder.
        file: String,
        /// What stands in it from now on.
        text: String,
    },
}

impl Command {
    /// The file that it changes, relative to the book's folder.
    #[must_use]
    pub fn file(&self) -> String {
        match self {
            Self::Pin { at, .. }
            | Self::Unpin { at, .. }
            | Self::Position { at, .. }
            | Self::NoBarre { at, .. } => at.file(),
            Self::NewSection { section, .. } | Self::NewItem { section, .. } => {
                format!("sections/{section}.toml")
            }
            Self::ListSection { .. } => "book.toml".to_owned(),
            Self::Write { file, .. } => file.clone(),
        }
    }
}

/// A command and the text it is meant for.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Edit {
    /// The revision of the file that its author saw; `None` for a file that is new.
    pub base: Option<Revision>,
    /// What is to be changed.
    #[serde(flatten)]
    pub command: Command,
}

/// A file before and after an edit.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Change {
    /// The file, relative to the book's folder.
    pub file: String,
    /// Its text before; `None` if there was none.
    pub before: Option<String>,
    /// Its text afterwards.
    pub after: String,
}

/// Why an edit could not be made. Nothing is changed then.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum EditError {
    /// The file was changed by someone else since.
    #[error("{file} was changed since this page was made; look at both and decide again")]
    Conflict {
        /// The file.
        file: String,
        /// What stands in it now.
        now: String,
    },
    /// The file is not the book's.
    #[error(
        "{0} is not a file of the book; only book.toml and what lies in sections/, text/ and pieces/ is changed here"
    )]
    NotOfTheBook(String),
    /// The file cannot be read.
    #[error("{file} cannot be read: {message}")]
    Unreadable {
        /// The file.
        file: String,
        /// What the system says.
        message: String,
    },
    /// The plan is not what the command takes it to be.
    #[error("{file}: {message}")]
    Plan {
        /// The file.
        file: String,
        /// What is missing or in the way, and what to do.
        message: String,
    },
}

/// Works out what an edit changes. Nothing is written.
///
/// # Errors
/// If the file is not of the book or was changed since, or if what the command is about is
/// not there.
pub fn apply(folder: &Path, edit: &Edit) -> Result<Change, EditError> {
    let file = edit.command.file();
    if !is_of_the_book(&file) {
        return Err(EditError::NotOfTheBook(file));
    }
    let before = text_of(folder, &file)?;
    if before.as_deref().map(Revision::of) != edit.base {
        return Err(EditError::Conflict { file, now: before.unwrap_or_default() });
    }
    let text = before.as_deref().unwrap_or_default();
    let plan = |message: String| EditError::Plan { file: file.clone(), message };
    let after = match &edit.command {
        Command::Pin { at, note, what } => {
            changed(text, at, |item| pins::pin(item, note, what)).map_err(plan)?
        }
        Command::Unpin { at, note } => {
            changed(text, at, |item| pins::unpin(item, note)).map_err(plan)?
        }
        Command::Position { at, part, bars, position } => {
            changed(text, at, |item| spans::position(item, *part, bars, position)).map_err(plan)?
        }
        Command::NoBarre { at, bars } => {
            changed(text, at, |item| spans::no_barre(item, bars)).map_err(plan)?
        }
        Command::NewSection { title, key, position, .. } => {
            add::section(title, key, position.as_deref()).map_err(plan)?
        }
        Command::ListSection { section } => add::list(text, section).map_err(plan)?,
        Command::NewItem { kind, keys, .. } => add::item(text, kind, keys).map_err(plan)?,
        Command::Write { text, .. } => text.clone(),
    };
    Ok(Change { file, before, after })
}

/// The text of a file of the book; `None` if there is no such file.
///
/// # Errors
/// If it cannot be read or is not UTF-8.
pub fn text_of(folder: &Path, file: &str) -> Result<Option<String>, EditError> {
    let unreadable = |message: String| EditError::Unreadable { file: file.to_owned(), message };
    match read_file(&folder.join(file)) {
        Ok(bytes) => String::from_utf8(bytes)
            .map(Some)
            .map_err(|_| unreadable("it is not UTF-8 text".to_owned())),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(unreadable(error.to_string())),
    }
}

/// Whether a file is one that an author writes: the plan, or right in one of its folders.
#[must_use]
pub fn is_of_the_book(file: &str) -> bool {
    let plain = Path::new(file).components().all(|part| matches!(part, Component::Normal(_)));
    let parts: Vec<&str> = file.split('/').collect();
    let hidden = parts.iter().any(|part| part.starts_with('.'));
    plain
        && !hidden
        && !file.contains('\\')
        && match parts.as_slice() {
            ["book.toml"] => true,
            ["sections", name] => name.ends_with(".toml"),
            ["text", name] => name.ends_with(".md"),
            ["pieces", _] => true,
            _ => false,
        }
}

/// A section's text with one of its items changed.
fn changed(
    text: &str,
    at: &ItemPlace,
    change: impl FnOnce(&mut Table) -> Result<(), String>,
) -> Result<String, String> {
    let mut document: DocumentMut = text
        .parse()
        .map_err(|error| format!("this is not valid TOML: {error}; correct it first"))?;
    let items = document
        .get_mut("items")
        .and_then(toml_edit::Item::as_array_of_tables_mut)
        .ok_or("there are no [[items]] in it")?;
    let count = items.len();
    let item = items
        .get_mut(at.item)
        .ok_or_else(|| format!("there is no item {}; it has {count}", at.item + 1))?;
    change(item)?;
    Ok(document.to_string())
}

#[cfg(test)]
mod tests;

//! Edits: what an author changes through the program, as commands on the text of the folder.
//!
//! A command reads the text of a file, changes what it is about and leaves every other byte
//! as it is. It is meant for the text its author saw: where that has changed on disk since, it
//! is refused and both are shown.

mod add;
mod allow;
mod command;
mod keys;
mod note;
mod order;
mod pins;
mod revision;
mod seen;
mod spans;
mod spot;

use std::path::{Component, Path};

use serde::{Deserialize, Serialize};
use toml_edit::{DocumentMut, Item, Table, value};

use crate::folder::read_file;

pub use allow::{Allowed, Player};
pub use command::{Command, ItemPlace, PinKey, PinValue};
pub use note::NotePlace;
pub use revision::Revision;
pub use seen::Remark;
pub use spot::{Meant, Spot};

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
    let after = made(text, &edit.command)
        .map_err(|message| EditError::Plan { file: file.clone(), message })?;
    Ok(Change { file, before, after })
}

/// The text of a file after a command.
fn made(text: &str, command: &Command) -> Result<String, String> {
    match command {
        Command::Pin { at, note, what } => changed(text, at, |item| pins::pin(item, note, what)),
        Command::Unpin { at, note } => changed(text, at, |item| pins::unpin(item, note)),
        Command::PinLike { at, note, likes } => {
            changed(text, at, |item| pins::pin_like(item, note, likes))
        }
        Command::Position { at, part, bars, position } => {
            changed(text, at, |item| spans::position(item, *part, bars, position))
        }
        Command::NoBarre { at, bars } => changed(text, at, |item| spans::no_barre(item, bars)),
        Command::Allow { at, player, allowed } => {
            changed(text, at, |item| allow::allow(item, *player, allowed))
        }
        Command::Seen { at, remark } => changed(text, at, |item| seen::seen(item, remark)),
        Command::Advise { at, sentence, remark } => {
            changed(text, at, |item| seen::advise(item, sentence, remark))
        }
        Command::Change { at, keys } => changed(text, at, |item| keys::of_item(item, keys)),
        Command::TakeOut { spot, keys, .. } => spot::take_out(text, *spot, keys),
        Command::Means { spot, meant, .. } => spot::means(text, *spot, meant),
        Command::Word { spot, word, .. } => spot::word(text, *spot, word),
        Command::LikeBars => like_bars(text),
        Command::NewSection { title, key, position, .. } => {
            add::section(title, key, position.as_deref())
        }
        Command::ChangeSection { keys, .. } => keys::of_section(text, keys),
        Command::ListSection { section } => add::list(text, section),
        Command::MoveSection { section, to } => order::move_section(text, section, *to),
        Command::TakeOutSection { section } => order::take_out_section(text, section),
        Command::NewItem { kind, keys, .. } => add::item(text, kind, keys),
        Command::MoveItem { at, to } => order::move_item(text, at.item, *to),
        Command::TakeOutItem { at } => order::take_out(text, at.item),
        Command::PutItem { lines, before, .. } => order::put(text, lines, *before),
        Command::Write { text, .. } => Ok(text.clone()),
    }
}

/// The lines of an item as they are written, for [`Command::PutItem`].
///
/// # Errors
/// If the text is no section or has no such item.
pub fn lines_of(text: &str, item: usize) -> Result<String, String> {
    order::lines(text, item)
}

/// The names of the sections in the text of a book, in its order.
///
/// # Errors
/// If it is not valid.
pub fn sections_of(text: &str) -> Result<Vec<String>, String> {
    let document = parsed(text)?;
    let sections = document.get("sections").and_then(Item::as_array);
    let names = sections.into_iter().flatten().filter_map(|name| name.as_str());
    Ok(names.map(str::to_owned).collect())
}

/// Keys with what they say, as a form shows them.
pub type Said = Vec<(String, String)>;

/// What the text of a section says of it and of each of its items, for a form.
///
/// # Errors
/// If it is not valid.
pub fn said_in(text: &str) -> Result<(Said, Vec<Said>), String> {
    let document = parsed(text)?;
    let items = document.get("items").and_then(Item::as_array_of_tables);
    let items = items.into_iter().flatten().map(|item| keys::shown(item)).collect();
    Ok((keys::shown(document.as_table()), items))
}

/// Lets what is decided about a note hold in all like bars.
fn like_bars(text: &str) -> Result<String, String> {
    let mut document = parsed(text)?;
    let house = document.entry("house").or_insert_with(toml_edit::table);
    let house = house.as_table_like_mut().ok_or("house is no table; write [house]")?;
    house.insert("like-bars", value(true));
    Ok(document.to_string())
}

fn parsed(text: &str) -> Result<DocumentMut, String> {
    text.parse().map_err(|error| format!("this is not valid TOML: {error}; correct it first"))
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
    let mut document = parsed(text)?;
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

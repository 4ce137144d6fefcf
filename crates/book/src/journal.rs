//! The journal of a book: every edit that was made through the program, so that it can be
//! undone and done again without limit, also after the program was closed.
//!
//! It lies beside the book as lines of JSON in `.apoyando/journal`. An edit is put down and
//! flushed to the disk before its file is replaced by one rename, so that the book is always
//! as it was before an edit or as it is after it. When a program was broken off between the
//! two, the journal says so by the revision of the file, and the edit counts as not made.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::edit::{Change, EditError, Revision, text_of};
use crate::save::{SaveError, save};

/// The file of the journal in the book's folder.
pub const JOURNAL: &str = ".apoyando/journal";

/// A change of one file as what is taken out and what is put in its place.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
struct Splice {
    file: String,
    /// The revision before; `None` for a file that was not there.
    before: Option<Revision>,
    /// The revision after; `None` for a file that is gone.
    after: Option<Revision>,
    /// The byte at which it begins.
    at: usize,
    removed: String,
    inserted: String,
}

impl Splice {
    fn of(file: &str, before: Option<&str>, after: Option<&str>) -> Self {
        let (old, new) = (before.unwrap_or_default(), after.unwrap_or_default());
        let same = |pair: &(char, char)| pair.0 == pair.1;
        let head = old.chars().zip(new.chars()).take_while(same);
        let head: usize = head.map(|(c, _)| c.len_utf8()).sum();
        let (old_rest, new_rest) = (&old[head..], &new[head..]);
        let tail = old_rest.chars().rev().zip(new_rest.chars().rev()).take_while(same);
        let tail: usize = tail.map(|(c, _)| c.len_utf8()).sum();
        Self {
            file: file.to_owned(),
            before: before.map(Revision::of),
            after: after.map(Revision::of),
            at: head,
            removed: old_rest[..old_rest.len() - tail].to_owned(),
            inserted: new_rest[..new_rest.len() - tail].to_owned(),
        }
    }

    fn back(&self) -> Self {
        Self {
            file: self.file.clone(),
            before: self.after,
            after: self.before,
            at: self.at,
            removed: self.inserted.clone(),
            inserted: self.removed.clone(),
        }
    }

    /// The file afterwards; `None` where it is gone.
    fn apply(&self, text: Option<&str>) -> Option<Option<String>> {
        if text.map(Revision::of) != self.before {
            return None;
        }
        if self.after.is_none() {
            return Some(None);
        }
        let text = text.unwrap_or_default();
        let end = self.at + self.removed.len();
        (text.get(self.at..end)? == self.removed)
            .then(|| Some(format!("{}{}{}", &text[..self.at], self.inserted, &text[end..])))
    }
}

/// A line of the journal.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Entry {
    /// An edit was made. One that was made `with` the one before is undone with it.
    Made {
        said: String,
        splice: Splice,
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        with: bool,
    },
    /// The last edit that holds was undone.
    Undone,
    /// The last edit that was undone was made again.
    Redone,
    /// What the line before says did not come about.
    Void,
}

/// An edit that can be undone or done again.
#[derive(Clone, PartialEq, Eq, Debug)]
struct Made {
    said: String,
    splice: Splice,
    /// Whether it belongs to the one before.
    with: bool,
}

/// Why a step could not be taken.
#[derive(Debug, thiserror::Error)]
pub enum JournalError {
    /// There is nothing to undo, or to do again.
    #[error("there is nothing to {0}")]
    Nothing(&'static str),
    /// The file was changed by someone else since.
    #[error(transparent)]
    Edit(#[from] EditError),
    /// A file could not be written.
    #[error(transparent)]
    Save(#[from] SaveError),
}

/// The edits of a book, in the order in which they were made.
pub struct Journal {
    folder: PathBuf,
    /// Edits that hold, the last one last.
    done: Vec<Made>,
    /// Edits that were undone, the one to be made again first last.
    undone: Vec<Made>,
}

impl Journal {
    /// Opens the journal of a book; an empty one if there is none. What a program that was
    /// broken off left half done is put right.
    ///
    /// # Errors
    /// If it cannot be read or put right.
    pub fn open(folder: &Path) -> Result<Self, JournalError> {
        let mut journal = Self { folder: folder.to_owned(), done: Vec::new(), undone: Vec::new() };
        let path = folder.join(JOURNAL);
        let fail = |error| SaveError { path: path.clone(), error };
        let bytes = match fs::read(&path) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(journal),
            Err(error) => return Err(fail(error).into()),
        };
        // A line that was broken off is no line: its edit was not made yet.
        let whole = bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
        if whole < bytes.len() {
            let file = OpenOptions::new().write(true).open(&path).map_err(fail)?;
            file.set_len(whole as u64).and_then(|()| file.sync_all()).map_err(fail)?;
        }
        let text = String::from_utf8_lossy(&bytes[..whole]);
        let entries: Vec<Entry> =
            text.lines().filter_map(|line| serde_json::from_str(line).ok()).collect();
        let mut last = None;
        for (index, entry) in entries.iter().enumerate() {
            let void = entries.get(index + 1) == Some(&Entry::Void);
            if !void {
                last = journal.read(entry.clone()).or(last.take());
            }
        }
        let settled = entries.last() == Some(&Entry::Void);
        if let (false, Some(splice)) = (settled, last) {
            journal.put_right(&splice, entries.last())?;
        }
        Ok(journal)
    }

    /// Takes an entry over; the change it stands for.
    fn read(&mut self, entry: Entry) -> Option<Splice> {
        match entry {
            Entry::Made { said, splice, with } => {
                self.undone.clear();
                self.done.push(Made { said, splice: splice.clone(), with });
                Some(splice)
            }
            Entry::Undone => {
                let made = self.done.pop()?;
                let splice = made.splice.back();
                self.undone.push(made);
                Some(splice)
            }
            Entry::Redone => {
                let made = self.undone.pop()?;
                let splice = made.splice.clone();
                self.done.push(made);
                Some(splice)
            }
            Entry::Void => None,
        }
    }

    /// The last change was put down; if its file is still as it was before, it did not come
    /// about.
    fn put_right(&mut self, splice: &Splice, last: Option<&Entry>) -> Result<(), JournalError> {
        let now = text_of(&self.folder, &splice.file)?;
        if splice.before == splice.after || now.as_deref().map(Revision::of) != splice.before {
            return Ok(());
        }
        self.write(&Entry::Void)?;
        match last {
            Some(Entry::Made { .. }) => {
                self.done.pop();
            }
            Some(Entry::Undone) => self.done.extend(self.undone.pop()),
            Some(Entry::Redone) => self.undone.extend(self.done.pop()),
            Some(Entry::Void) | None => {}
        }
        Ok(())
    }

    /// Makes an edit that was worked out: puts it down, then writes its file. `said` tells
    /// in a few words what it does.
    ///
    /// # Errors
    /// If the file is not any more what it was, or cannot be written.
    pub fn make(&mut self, change: &Change, said: &str) -> Result<(), JournalError> {
        self.put(change, said, false)
    }

    /// As [`make`](Self::make), for an edit that belongs to the one made just before: both are
    /// undone and made again in one step. Broken off between them, what is left is done with
    /// the next step.
    ///
    /// # Errors
    /// As [`make`](Self::make).
    pub fn make_with(&mut self, change: &Change, said: &str) -> Result<(), JournalError> {
        self.put(change, said, true)
    }

    fn put(&mut self, change: &Change, said: &str, with: bool) -> Result<(), JournalError> {
        let now = text_of(&self.folder, &change.file)?;
        if now != change.before {
            let now = now.unwrap_or_default();
            return Err(EditError::Conflict { file: change.file.clone(), now }.into());
        }
        let before = change.before.as_deref();
        let splice = Splice::of(&change.file, before, Some(&change.after));
        self.step(Entry::Made { said: said.to_owned(), splice, with })
    }

    /// Undoes the last edit that holds, with all that belong to it; what it was.
    ///
    /// # Errors
    /// If there is none, if its file was changed otherwise since, or cannot be written.
    pub fn undo(&mut self) -> Result<String, JournalError> {
        let mut last = self.done.last().ok_or(JournalError::Nothing("undo"))?.clone();
        self.step(Entry::Undone)?;
        while last.with
            && let Some(before) = self.done.last().cloned()
        {
            self.step(Entry::Undone)?;
            last = before;
        }
        Ok(last.said)
    }

    /// Makes the edit again that was undone last, with all that belong to it; what it was.
    ///
    /// # Errors
    /// As [`undo`](Self::undo).
    pub fn redo(&mut self) -> Result<String, JournalError> {
        let said = self.undone.last().ok_or(JournalError::Nothing("do again"))?.said.clone();
        self.step(Entry::Redone)?;
        while self.undone.last().is_some_and(|next| next.with) {
            self.step(Entry::Redone)?;
        }
        Ok(said)
    }

    /// What would be undone, and what done again.
    #[must_use]
    pub fn next(&self) -> (Option<String>, Option<String>) {
        let said = |made: &'_ [Made]| made.last().map(|made| made.said.clone());
        (said(&self.done), said(&self.undone))
    }

    /// Puts an entry down and does what it says.
    fn step(&mut self, entry: Entry) -> Result<(), JournalError> {
        let splice = match &entry {
            Entry::Made { splice, .. } => splice.clone(),
            Entry::Undone => match self.done.last() {
                Some(made) => made.splice.back(),
                None => return Ok(()),
            },
            Entry::Redone => match self.undone.last() {
                Some(made) => made.splice.clone(),
                None => return Ok(()),
            },
            Entry::Void => return Ok(()),
        };
        let now = text_of(&self.folder, &splice.file)?;
        let Some(after) = splice.apply(now.as_deref()) else {
            let (file, now) = (splice.file, now.unwrap_or_default());
            return Err(EditError::Conflict { file, now }.into());
        };
        self.write(&entry)?;
        let path = self.folder.join(&splice.file);
        let written = match after {
            Some(text) => save(&path, text.as_bytes()),
            None => fs::remove_file(&path).map_err(|error| SaveError { path, error }),
        };
        if let Err(error) = written {
            self.write(&Entry::Void)?;
            return Err(error.into());
        }
        self.read(entry);
        Ok(())
    }

    /// Appends a line and flushes it to the disk.
    fn write(&self, entry: &Entry) -> Result<(), SaveError> {
        let path = self.folder.join(JOURNAL);
        let fail = |error| SaveError { path: path.clone(), error };
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).map_err(fail)?;
        }
        let mut line = serde_json::to_string(entry).map_err(|error| fail(error.into()))?;
        line.push('\n');
        let mut file: File =
            OpenOptions::new().append(true).create(true).open(&path).map_err(fail)?;
        file.write_all(line.as_bytes()).and_then(|()| file.sync_all()).map_err(fail)
    }
}

#[cfg(test)]
mod tests;

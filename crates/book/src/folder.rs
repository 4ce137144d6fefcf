//! The folder on disk: what a plan names is looked up here.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::io::Read;
use std::path::{Component, Path, PathBuf};

use crate::edit::Change;
use crate::error::BookError;
use crate::nearest::nearest;
use crate::node::{Faults, Node};
use crate::pins_file::PinsFile;
use crate::plan::{Book, PieceFile, Prose};
use crate::read;
use crate::source::{Source, SourcePlace};

/// No file of a book is larger than this; a larger one is a mistake.
const LARGEST: u64 = 64 << 20;

/// A book folder that is being read.
pub(crate) struct Folder<'a> {
    root: PathBuf,
    /// A change of it that is not made.
    change: Option<&'a Change>,
    pieces: RefCell<BTreeMap<String, PieceFile>>,
}

impl Folder<'_> {
    /// The bytes of a file, as the change would leave it.
    fn read(&self, file: &str) -> std::io::Result<Vec<u8>> {
        match self.change.filter(|change| change.file == file) {
            Some(change) => Ok(change.after.clone().into_bytes()),
            None => read_file(&self.root.join(file)),
        }
    }

    pub(crate) fn root(&self) -> &Path {
        &self.root
    }

    /// The bytes of a file that the plan names, or a fault put down.
    fn bytes(&self, node: &Node<'_>, file: &str, folder: &str) -> Option<Vec<u8>> {
        let inside = Path::new(file).components().all(|part| matches!(part, Component::Normal(_)));
        if !inside {
            node.not_allowed(format!("write the name of a file in {folder}/, without .. or /"));
            return None;
        }
        match self.read(file) {
            Ok(bytes) => Some(bytes),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                node.fault(BookError::MissingFile {
                    place: node.place().clone(),
                    file: file.to_owned(),
                    hint: self.what_is_there(file, folder),
                });
                None
            }
            Err(error) => {
                node.fault(BookError::Unreadable {
                    place: node.place().clone(),
                    file: file.to_owned(),
                    message: error.to_string(),
                });
                None
            }
        }
    }

    /// What an author may have meant by a file that is not there.
    fn what_is_there(&self, file: &str, folder: &str) -> String {
        let names: Vec<String> = std::fs::read_dir(self.root.join(folder))
            .into_iter()
            .flatten()
            .flatten()
            .map(|entry| format!("{folder}/{}", entry.file_name().to_string_lossy()))
            .collect();
        match nearest(file, names.iter().map(String::as_str)) {
            Some(meant) => format!("did you mean {meant}?"),
            None => format!("put it into {folder}/ or correct the name"),
        }
    }

    /// The text of a file that the plan names, or a fault put down.
    pub(crate) fn text(&self, node: &Node<'_>, file: &str, folder: &str) -> Option<String> {
        let bytes = self.bytes(node, file, folder)?;
        match String::from_utf8(bytes) {
            Ok(text) => Some(without_mark(&text).to_owned()),
            Err(error) => {
                node.fault(BookError::Unreadable {
                    place: node.place().clone(),
                    file: file.to_owned(),
                    message: format!(
                        "byte {} is not UTF-8 text; save the file as UTF-8",
                        error.utf8_error().valid_up_to() + 1
                    ),
                });
                None
            }
        }
    }

    /// Prose by the name of its file under `text/`.
    pub(crate) fn prose(&self, node: &Node<'_>) -> Option<Prose> {
        let file = format!("text/{}", node.text()?);
        let text = self.text(node, &file, "text")?;
        Some(Prose { file, text })
    }

    /// What is remembered of a piece's pins; nothing if there is no such file.
    fn pins(&self, node: &Node<'_>, file: &str) -> Option<PinsFile> {
        let bytes = match self.read(file) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return None,
            Err(error) => {
                node.fault(BookError::Unreadable {
                    place: node.place().clone(),
                    file: file.to_owned(),
                    message: error.to_string(),
                });
                return None;
            }
        };
        match PinsFile::read(file, &String::from_utf8_lossy(&bytes)) {
            Ok(pins) => Some(pins),
            Err(faults) => {
                faults.into_iter().for_each(|fault| node.fault(fault));
                None
            }
        }
    }

    /// A piece by the name of its file under `pieces/`; gives the name.
    pub(crate) fn piece(&self, node: &Node<'_>) -> Option<String> {
        let name = node.text()?;
        if !self.pieces.borrow().contains_key(&name) {
            let file = format!("pieces/{name}");
            let bytes = self.bytes(node, &file, "pieces")?.into();
            let mut piece = PieceFile { file, bytes, pins: None };
            piece.pins = self.pins(node, &piece.pins_path());
            self.pieces.borrow_mut().insert(name.clone(), piece);
        }
        Some(name)
    }
}

/// The bytes of a file of at most 64 MB.
///
/// # Errors
/// If there is no such file, it is a folder or larger, or cannot be read.
pub fn read_file(path: &Path) -> std::io::Result<Vec<u8>> {
    let file = std::fs::File::open(path)?;
    let metadata = file.metadata()?;
    if metadata.is_dir() {
        return Err(std::io::Error::other("it is a folder"));
    }
    let mut bytes = Vec::new();
    file.take(LARGEST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST {
        return Err(std::io::Error::other("it is larger than 64 MB"));
    }
    Ok(bytes)
}

/// Text without the byte order mark that some editors write.
fn without_mark(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

impl Book {
    /// Reads a book folder with everything its plan names.
    ///
    /// # Errors
    /// Every fault of the plan and every file that is missing, in the order in
    /// which they were met.
    pub fn open(folder: &Path) -> Result<Self, Vec<BookError>> {
        Self::read(folder, None)
    }

    /// Reads a book folder as a change would leave it. Nothing is written.
    ///
    /// # Errors
    /// As [`open`](Self::open).
    pub fn open_after(folder: &Path, change: &Change) -> Result<Self, Vec<BookError>> {
        Self::read(folder, Some(change))
    }

    fn read(folder: &Path, change: Option<&Change>) -> Result<Self, Vec<BookError>> {
        let shown = folder.display().to_string();
        let no_book = |message: &str| {
            vec![BookError::NoBook { folder: shown.clone(), message: message.to_owned() }]
        };
        let here = Folder { root: folder.to_owned(), change, pieces: RefCell::default() };
        let text = match here.read("book.toml") {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                return Err(no_book(if folder.is_dir() {
                    "there is no book.toml in this folder; make a book with “apoyando new”"
                } else {
                    "there is no such folder; make a book with “apoyando new”"
                }));
            }
            Err(error) => return Err(no_book(&format!("book.toml cannot be read: {error}"))),
        };
        let Ok(text) = String::from_utf8(text) else {
            return Err(vec![BookError::Unreadable {
                place: SourcePlace::start_of("book.toml"),
                file: "book.toml".to_owned(),
                message: "it is not UTF-8 text; save it as UTF-8".to_owned(),
            }]);
        };
        let text = without_mark(&text);
        let faults = Faults::default();
        let source = Source::new("book.toml", text);
        let book = read::book::read(&here, &source, text, &faults);
        let faults = faults.into_inner();
        match book {
            Some(mut book) if faults.is_empty() => {
                book.pieces = here.pieces.into_inner();
                Ok(book)
            }
            _ => Err(faults),
        }
    }
}

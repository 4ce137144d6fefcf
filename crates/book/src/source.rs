//! Places in the author's files.

use std::fmt;
use std::ops::Range;
use std::sync::Arc;

/// A place in a file of the book, as an author looks it up in an editor.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct SourcePlace {
    /// The file, relative to the book's folder.
    pub file: Arc<str>,
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

impl SourcePlace {
    /// The very beginning of a file.
    pub fn start_of(file: &str) -> Self {
        Self { file: file.into(), line: 1, column: 1 }
    }
}

/// `sections/g.toml:12:5`.
impl fmt::Display for SourcePlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}", self.file, self.line, self.column)
    }
}

/// A text file with the beginnings of its lines.
#[derive(Clone, Debug)]
pub(crate) struct Source {
    file: Arc<str>,
    text: Arc<str>,
    line_starts: Vec<usize>,
}

impl Source {
    pub(crate) fn new(file: &str, text: &str) -> Self {
        let line_starts =
            std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        Self { file: file.into(), text: text.into(), line_starts }
    }

    pub(crate) fn file(&self) -> &str {
        &self.file
    }

    /// The place of a byte; the end of the file for one beyond it.
    pub(crate) fn place(&self, byte: usize) -> SourcePlace {
        let byte = byte.min(self.text.len());
        let line = self.line_starts.partition_point(|start| *start <= byte).max(1);
        let start = self.line_starts[line - 1];
        let before = self.text.get(start..byte).unwrap_or_default();
        SourcePlace {
            file: Arc::clone(&self.file),
            line: line as u32,
            column: before.chars().count() as u32 + 1,
        }
    }

    /// The place where a span begins; the beginning of the file without one.
    pub(crate) fn place_of(&self, span: Option<Range<usize>>) -> SourcePlace {
        self.place(span.map_or(0, |span| span.start))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_are_found_by_line_and_character() {
        let source = Source::new("book.toml", "a\nÄé x\n");
        let places: Vec<(u32, u32)> = [0, 1, 2, 6, 8, 99]
            .map(|byte| source.place(byte))
            .map(|place| (place.line, place.column))
            .into();
        assert_eq!(places, [(1, 1), (1, 2), (2, 1), (2, 3), (2, 5), (3, 1)]);
    }
}

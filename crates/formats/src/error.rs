//! Why a file cannot be read.

use apoyando_music::ScoreError;

/// Why a file cannot be read. Every text names the file, the place where one
/// is known, what is the matter and what can be done.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[allow(missing_docs)]
pub enum ReadError {
    /// There are no bytes.
    #[error("{file}: the file is empty")]
    Empty { file: String },
    /// Neither name nor content tell the format.
    #[error("{file}: not MusicXML or ABC; name the file .musicxml, .mxl or .abc")]
    UnknownFormat { file: String },
    /// Larger than any score of one piece.
    #[error("{file}: {what} is larger than {limit} bytes; split the score")]
    TooLarge { file: String, what: String, limit: u64 },
    /// The bytes are no text.
    #[error("{file}: the bytes are not text ({reason}); save the file as UTF-8")]
    NotText { file: String, reason: String },
    /// Broken XML.
    #[error("{file}:{line}:{column}: broken XML: {reason}")]
    Xml { file: String, line: u32, column: u32, reason: String },
    /// Well-formed XML that is no partwise MusicXML.
    #[error("{file}: the root element is <{root}>, not <score-partwise>; {remedy}")]
    NotPartwise { file: String, root: String, remedy: &'static str },
    /// A MusicXML element whose content cannot be.
    #[error("{file}:{line}:{column}: <{element}>: {what}")]
    Element { file: String, line: u32, column: u32, element: String, what: String },
    /// A broken or suspicious archive.
    #[error("{file}: the archive cannot be read: {reason}")]
    Archive { file: String, reason: String },
    /// ABC that cannot be read.
    #[error("{file}:{line}:{column}: {what}")]
    Abc { file: String, line: u32, column: u32, what: String },
    /// Nothing to play in it.
    #[error("{file}: there is no music in it")]
    NoMusic { file: String },
    /// Rhythm that no written value can show.
    #[error("{file}: bar {bar}: {what}")]
    Rhythm { file: String, bar: u32, what: String },
    /// The score does not hold together.
    #[error("{file}: {fault}")]
    Score { file: String, fault: ScoreError },
}

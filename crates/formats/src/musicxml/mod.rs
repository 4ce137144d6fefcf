//! MusicXML 3 and 4, partwise.

mod archive;
mod read;
mod write;

use crate::text::{self, Lines};
use crate::{ReadError, ReadOptions, Reading};

pub use write::{Layer, write};

/// Largest text read, in bytes; more than any printed score needs.
const LARGEST: u64 = 64 << 20;

/// Most XML nodes read; a note has about fifteen.
const MOST_NODES: u32 = 6_000_000;

/// Reads a partwise score, plain or in its archive (`.mxl`).
///
/// # Errors
/// If the bytes are no such score.
pub fn read(file: &str, bytes: &[u8], options: &ReadOptions) -> Result<Reading, ReadError> {
    let text = text(file, bytes, LARGEST)?;
    let options_xml = roxmltree::ParsingOptions {
        // The document type is declared in most files; no entities are
        // fetched, and those declared inside are bounded by the parser.
        allow_dtd: true,
        nodes_limit: MOST_NODES,
        ..roxmltree::ParsingOptions::default()
    };
    let document =
        roxmltree::Document::parse_with_options(&text, options_xml).map_err(|error| {
            let place = error.pos();
            let (line, column) = match error {
                // An element left open is missed at the end.
                roxmltree::Error::UnclosedRootNode | roxmltree::Error::UnexpectedEndOfStream => {
                    Lines::of(&text).place(text.len())
                }
                _ => (place.row, place.col),
            };
            ReadError::Xml { file: file.to_owned(), line, column, reason: error.to_string() }
        })?;
    let root = document.root_element();
    let remedy = match root.tag_name().name() {
        "score-partwise" => None,
        "score-timewise" => Some("convert it to partwise"),
        _ => Some("export the score as MusicXML"),
    };
    if let Some(remedy) = remedy {
        let root = root.tag_name().name().to_owned();
        return Err(ReadError::NotPartwise { file: file.to_owned(), root, remedy });
    }
    let source = read::Source { file, lines: Lines::of(&text) };
    let piece = read::piece(&source, root, options)?;
    Ok(Reading { pieces: vec![piece], findings: Vec::new() })
}

/// The text of a score, plain or in its archive (`.mxl`), of at most `limit` bytes before and
/// after it is unpacked. It is not read any further.
///
/// # Errors
/// If it is empty, larger, no text, or in an archive that cannot be unpacked.
pub fn text(file: &str, bytes: &[u8], limit: u64) -> Result<String, ReadError> {
    if bytes.len() as u64 > limit {
        let what = "the file".to_owned();
        return Err(ReadError::TooLarge { file: file.to_owned(), what, limit });
    }
    let unpacked;
    let bytes = if bytes.starts_with(b"PK") {
        unpacked = archive::score(file, bytes, limit)?;
        &unpacked[..]
    } else {
        bytes
    };
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(ReadError::Empty { file: file.to_owned() });
    }
    decode(file, bytes)
}

/// UTF-8, UTF-16, or ISO 8859-1 where the XML declaration says so.
fn decode(file: &str, bytes: &[u8]) -> Result<String, ReadError> {
    text::decode(bytes).or_else(|reason| {
        let head = text::latin1(&bytes[..bytes.len().min(200)]).to_ascii_lowercase();
        if head.starts_with("<?xml") && head.contains("iso-8859-1") {
            Ok(text::latin1(bytes))
        } else {
            Err(ReadError::NotText { file: file.to_owned(), reason })
        }
    })
}

//! ABC notation, version 2.1, written down from memory of the standard.
//!
//! Pitches are read like those of MusicXML: a plain treble clef is taken as
//! written for the guitar, `clef=treble-8` says so in the file.

mod barline;
mod body;
mod chars;
mod decoration;
mod fields;
mod graces;
mod key;
mod length;
mod lyrics;
mod notes;
mod staves;
mod tempo;
mod title;
mod tune;
mod tunes;
mod voice;

use apoyando_fingering::{Finding, FindingPlace, Severity};

use crate::text;
use crate::{ReadError, ReadOptions, Reading};

/// Largest file read, in bytes. A note takes two bytes here and some hundred in
/// a score.
const LARGEST: u64 = 8 << 20;

/// Reads all tunes of an ABC file. A tune that cannot be read is a finding, as
/// long as another one can.
///
/// # Errors
/// If no tune in it can be read.
pub fn read(file: &str, bytes: &[u8], options: &ReadOptions) -> Result<Reading, ReadError> {
    if bytes.len() as u64 > LARGEST {
        let what = "the file".to_owned();
        return Err(ReadError::TooLarge { file: file.to_owned(), what, limit: LARGEST });
    }
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(ReadError::Empty { file: file.to_owned() });
    }
    let mut findings = Vec::new();
    let text = match text::decode(bytes) {
        Ok(text) => text,
        // Before UTF-8 ISO 8859-1 was the standard's encoding.
        Err(_) if !bytes.contains(&0) => {
            findings.push(file_finding(
                file,
                Severity::Advice,
                "encoding",
                "the file is not UTF-8; it is read as ISO 8859-1".to_owned(),
            ));
            text::latin1(bytes)
        }
        Err(reason) => return Err(ReadError::NotText { file: file.to_owned(), reason }),
    };
    let mut pieces = Vec::new();
    let mut first_error = None;
    let (header, tunes) = tunes::split(&text);
    for tune in &tunes {
        match tune::read(file, &header, tune, options) {
            Ok(piece) => pieces.push(piece),
            Err(error) => {
                let mut finding =
                    file_finding(file, Severity::Error, "tune-not-read", error.to_string());
                finding.place.line = tune.first().map(|line| line.number);
                findings.push(finding);
                first_error.get_or_insert(error);
            }
        }
    }
    match first_error {
        Some(error) if pieces.is_empty() => Err(error),
        None if pieces.is_empty() => Err(ReadError::NoMusic { file: file.to_owned() }),
        _ => Ok(Reading { pieces, findings }),
    }
}

fn file_finding(file: &str, severity: Severity, rule: &'static str, message: String) -> Finding {
    let place = FindingPlace { file: Some(file.to_owned()), ..FindingPlace::default() };
    Finding { rule, severity, place, message, remedy: None, remedies: Vec::new() }
}

/// Whether the bytes have a tune's reference number (`X:`) at a line's start.
pub(crate) fn looks_like(bytes: &[u8]) -> bool {
    bytes.split(|b| *b == b'\n' || *b == b'\r').any(|line| line.starts_with(b"X:"))
}

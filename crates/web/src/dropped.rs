//! A file of notes that was dropped on the page, as text: unpacked where it is packed.

use apoyando_formats::{ReadError, musicxml};
use serde::Serialize;

/// No piece is larger, in bytes of its text.
pub const LARGEST: u64 = 4_000_000;

/// A file of notes as text.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Dropped {
    /// Its name, with the ending of what it is now.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// The text of MusicXML, plain or compressed.
///
/// # Errors
/// If it is larger than a piece is, packed or unpacked, or is no text.
pub fn dropped(name: &str, bytes: &[u8]) -> Result<Dropped, ReadError> {
    let text = musicxml::text(name, bytes, LARGEST)?;
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    Ok(Dropped { name: format!("{stem}.musicxml"), text: in_utf8(text) })
}

/// A text that says of itself in which letters it is written, and is kept in UTF-8.
fn in_utf8(text: String) -> String {
    let text = text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text);
    let declared = text.strip_prefix("<?xml").and_then(|rest| rest.split_once("?>"));
    let Some((declaration, rest)) = declared else { return text };
    if declaration.to_ascii_lowercase().contains("utf-8") {
        return text;
    }
    let of_encoding = |word: &&str| !word.starts_with("encoding");
    let words: Vec<&str> = declaration.split_ascii_whitespace().filter(of_encoding).collect();
    // What is written without it is UTF-8 (XML 1.0, 4.3.3).
    format!("<?xml {}?>{rest}", words.join(" "))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SCORE: &str = "<score-partwise version=\"4.0\"></score-partwise>";

    #[test]
    fn text_in_other_letters_is_kept_in_utf_8() {
        let declared =
            format!("<?xml version=\"1.0\" encoding=\"UTF-16\" standalone=\"no\"?>\n{SCORE}");
        let wide: Vec<u8> = declared.encode_utf16().flat_map(u16::to_le_bytes).collect::<Vec<u8>>();
        let kept = dropped("My Piece.xml", &[&[0xff, 0xfe], &wide[..]].concat()).unwrap();
        assert_eq!(kept.name, "My Piece.musicxml");
        assert_eq!(kept.text, format!("<?xml version=\"1.0\" standalone=\"no\"?>\n{SCORE}"));
        let plain = dropped("a.musicxml", SCORE.as_bytes()).unwrap();
        assert_eq!(plain.text, SCORE);
    }

    #[test]
    fn what_is_no_text_or_too_large_is_refused() {
        for bytes in [&b""[..], b"PK\x03\x04 broken", b"\xc3\x28\x00"] {
            assert!(dropped("a.mxl", bytes).is_err(), "{bytes:?}");
        }
        let large = vec![b' '; LARGEST as usize + 1];
        assert!(matches!(dropped("a.xml", &large), Err(ReadError::TooLarge { .. })));
    }
}

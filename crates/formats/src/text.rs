//! From bytes to text, and from places in it to lines and columns.

/// Why bytes are not text.
pub(crate) type NotText = String;

/// Decodes UTF-8 or UTF-16 with a byte order mark; `Err` for anything else.
pub(crate) fn decode(bytes: &[u8]) -> Result<String, NotText> {
    match bytes {
        [0xef, 0xbb, 0xbf, rest @ ..] => utf8(rest),
        [0xff, 0xfe, rest @ ..] => utf16(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => utf16(rest, u16::from_be_bytes),
        _ => utf8(bytes),
    }
}

fn utf8(bytes: &[u8]) -> Result<String, NotText> {
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.to_owned()),
        Err(error) => Err(format!("no valid UTF-8 from byte {} on", error.valid_up_to() + 1)),
    }
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Result<String, NotText> {
    let (pairs, odd) = bytes.as_chunks::<2>();
    if !odd.is_empty() {
        return Err("UTF-16 with half a character at the end".to_owned());
    }
    let units: Vec<u16> = pairs.iter().map(|pair| unit(*pair)).collect();
    String::from_utf16(&units).map_err(|_| "no valid UTF-16".to_owned())
}

/// Each byte as the character of the same number: ISO 8859-1.
pub(crate) fn latin1(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| char::from(*byte)).collect()
}

/// Where the lines of a text begin.
pub(crate) struct Lines {
    starts: Vec<usize>,
}

impl Lines {
    pub(crate) fn of(text: &str) -> Self {
        let breaks = text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(at, _)| at + 1);
        Self { starts: std::iter::once(0).chain(breaks).collect() }
    }

    /// Line and column of a byte, from 1; columns count bytes.
    pub(crate) fn place(&self, byte: usize) -> (u32, u32) {
        let line = self.starts.partition_point(|start| *start <= byte);
        (line as u32, (byte - self.starts[line - 1]) as u32 + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_of_order_tell_the_encoding() {
        assert_eq!(decode(b"\xef\xbb\xbfa").unwrap(), "a");
        assert_eq!(decode(b"\xff\xfea\0").unwrap(), "a");
        assert_eq!(decode(b"\xfe\xff\0a").unwrap(), "a");
        assert!(decode(b"\xff\xfea").is_err());
        assert!(decode(b"\xe9t").is_err());
        assert_eq!(latin1(b"\xe9t"), "ét");
    }

    #[test]
    fn bytes_have_lines_and_columns() {
        let lines = Lines::of("ab\nc\n");
        assert_eq!(lines.place(0), (1, 1));
        assert_eq!(lines.place(3), (2, 1));
        assert_eq!(lines.place(5), (3, 1));
    }
}

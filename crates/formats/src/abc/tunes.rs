//! The tunes of a file.

/// A line of the file.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line<'a> {
    /// From 1.
    pub number: u32,
    pub text: &'a str,
}

/// The file header and the lines of every tune. A tune begins with `X:` and
/// ends with a blank line or the next one.
pub(super) fn split(text: &str) -> (Vec<Line<'_>>, Vec<Vec<Line<'_>>>) {
    let mut header = Vec::new();
    let mut tunes: Vec<Vec<Line<'_>>> = Vec::new();
    let mut open = false;
    let numbered = text.contains("\nX:") || text.starts_with("X:");
    for (index, line) in text.split('\n').enumerate() {
        let line = Line { number: index as u32 + 1, text: line.trim_end_matches('\r') };
        let starts = if numbered {
            line.text.starts_with("X:")
        } else {
            // A single tune may lack its number.
            tunes.is_empty() && field(line.text).is_some()
        };
        if starts {
            tunes.push(vec![line]);
            open = true;
        } else if line.text.trim().is_empty() {
            open = false;
        } else if open {
            if let Some(tune) = tunes.last_mut() {
                tune.push(line);
            }
        } else if tunes.is_empty() {
            header.push(line);
        }
    }
    (header, tunes)
}

/// Letter and content of a field line. Music may also begin with a note and
/// the colon of a repeat; then it is no field.
pub(super) fn field(line: &str) -> Option<(char, &str)> {
    let mut chars = line.chars();
    let letter = chars.next()?;
    let rest = chars.as_str().strip_prefix(':')?;
    let music = rest.starts_with('|') || rest.starts_with(':');
    (letter.is_ascii_alphabetic() && !music).then_some((letter, rest))
}

/// A line without its comment; `\%` is a percent sign.
pub(super) fn without_comment(line: &str) -> &str {
    let mut escaped = false;
    for (at, c) in line.char_indices() {
        if c == '%' && !escaped {
            return &line[..at];
        }
        escaped = c == '\\' && !escaped;
    }
    line
}

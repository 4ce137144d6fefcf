//! Titles and names as texts.

/// Adds a further text to one that may stand there.
pub(super) fn append(place: &mut String, text: &str) {
    if !place.is_empty() && !text.is_empty() {
        place.push_str("; ");
    }
    place.push_str(text);
}

/// A text with the standard's accent sequences as letters.
pub(super) fn plain(text: &str) -> String {
    const ACCENTS: [(&str, char); 6] = [
        ("`", '\u{300}'),
        ("'", '\u{301}'),
        ("^", '\u{302}'),
        ("~", '\u{303}'),
        ("\"", '\u{308}'),
        ("c", '\u{327}'),
    ];
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find('\\') {
        out.push_str(&rest[..at]);
        rest = &rest[at + 1..];
        let accent = ACCENTS.iter().find(|(mark, _)| rest.starts_with(mark));
        let letter = rest.chars().nth(1).filter(|c| c.is_alphabetic());
        match (accent, letter) {
            (Some((mark, combining)), Some(letter)) => {
                out.push(composed(letter, *combining));
                rest = &rest[mark.len() + letter.len_utf8()..];
            }
            _ => out.push('\\'),
        }
    }
    out.push_str(rest);
    out
}

/// The letter with its accent as one character, where this table has it.
fn composed(letter: char, accent: char) -> char {
    const TABLE: [(char, &str, &str); 6] = [
        ('\u{300}', "aeiouAEIOU", "àèìòùÀÈÌÒÙ"),
        ('\u{301}', "aeiouyAEIOUY", "áéíóúýÁÉÍÓÚÝ"),
        ('\u{302}', "aeiouAEIOU", "âêîôûÂÊÎÔÛ"),
        ('\u{303}', "anoANO", "ãñõÃÑÕ"),
        ('\u{308}', "aeiouyAEIOU", "äëïöüÿÄËÏÖÜ"),
        ('\u{327}', "cC", "çÇ"),
    ];
    let row = TABLE.iter().find(|(mark, ..)| *mark == accent);
    row.and_then(|(_, from, to)| {
        let at = from.chars().position(|c| c == letter)?;
        to.chars().nth(at)
    })
    .unwrap_or(letter)
}

//! Rows of words as sentences need them.

fn joined(words: &[String], last: &str) -> String {
    match words {
        [] => String::new(),
        [only] => only.clone(),
        [before @ .., end] => format!("{} {last} {end}", before.join(", ")),
    }
}

/// `I, II or V`.
pub(crate) fn either(words: &[String]) -> String {
    joined(words, "or")
}

/// `E, A and D`.
pub(crate) fn both(words: &[String]) -> String {
    joined(words, "and")
}

/// `no`, `one`, `two` … as far as words read better than figures.
pub(crate) fn count(number: usize) -> String {
    const WORDS: [&str; 7] = ["no", "one", "two", "three", "four", "five", "six"];
    WORDS.get(number).map_or_else(|| number.to_string(), |word| (*word).to_owned())
}

/// The sentence with a capital at its beginning.
pub(crate) fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_joined_as_they_are_spoken() {
        let words = ["I", "II", "V"].map(str::to_owned);
        assert_eq!(either(&words), "I, II or V");
        assert_eq!(both(&words[..2]), "I and II");
        assert_eq!(both(&words[..1]), "I");
        assert_eq!(either(&[]), "");
        assert_eq!(count(3), "three");
        assert_eq!(count(12), "12");
        assert_eq!(sentence("one extension."), "One extension.");
    }
}

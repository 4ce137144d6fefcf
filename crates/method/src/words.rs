//! Rows of words as sentences need them.

use apoyando_fingering::Allowance;

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

/// `a barre or finger 4`.
pub(crate) fn allowed(allowances: &[Allowance]) -> String {
    let named = |allowance: &Allowance| match allowance {
        Allowance::Barre(_) => "a barre".to_owned(),
        Allowance::HighestFret(fret) => format!("frets up to {fret}"),
        Allowance::Position(position) => format!("position {position}"),
        Allowance::Finger(None) => "open strings".to_owned(),
        Allowance::Finger(Some(finger)) => format!("finger {finger}"),
        Allowance::Extension(_) => "an extension".to_owned(),
        Allowance::Substitution => "fingers that take a note over".to_owned(),
    };
    either(&allowances.iter().map(named).collect::<Vec<String>>())
}

/// `allow a barre or finger 4, or `; nothing where nothing is to be allowed.
pub(crate) fn or_allow(allowances: &[Allowance]) -> String {
    match allowances {
        [] => String::new(),
        some => format!("allow {}, or ", allowed(some)),
    }
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

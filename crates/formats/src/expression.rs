//! Words of expression and tone as files state them: which they are, and where they
//! stand if nothing is said.

use apoyando_music::StaffSide;

/// How words about loudness begin, which stand with the dynamics (common practice,
/// no source).
const LOUDNESS: &[&str] = &[
    "cresc",
    "crescendo",
    "decresc",
    "dim",
    "diminuendo",
    "smorz",
    "mezza voce",
    "sotto voce",
    "più f",
    "più p",
    "poco f",
    "poco p",
    "meno f",
    "meno p",
    "sempre f",
    "sempre p",
    "subito f",
    "subito p",
    "sempre cresc",
    "sempre dim",
    "molto cresc",
    "molto dim",
    "poco cresc",
    "poco dim",
    "poco a poco cresc",
    "poco a poco dim",
];

/// How words about tone and touch begin (common practice, no source). Words that
/// also stand at the head of a piece, like *cantabile*, are not among them.
const TONE: &[&str] = &[
    "dolce",
    "dolciss",
    "metal",
    "metál",
    "pont",
    "ponticello",
    "sul pont",
    "tasto",
    "sul tasto",
    "sulla tastiera",
    "pizz",
    "pizzicato",
    "étouffé",
    "vibr",
    "vibrato",
    "con vibr",
    "senza vibr",
    "molto vibr",
    "nat",
    "naturale",
    "ord",
    "ordinario",
    "espr",
    "espress",
    "con espr",
    "rasg",
    "rasgueado",
    "tamb",
    "tambora",
    "golpe",
    "let ring",
    "l.v",
    "arm",
    "harm",
    "apoyando",
    "tirando",
    "simile",
    "sim",
];

fn begins(words: &str, with: &[&str]) -> bool {
    let plain = words.trim().to_lowercase();
    with.iter().any(|start| {
        let rest = plain.strip_prefix(start);
        // What is short may begin another word.
        let short = start.chars().count() < 5;
        rest.is_some_and(|rest| !(short && rest.starts_with(char::is_alphabetic)))
    })
}

/// Whether words are about tone, expression or loudness rather than the tempo.
pub(crate) fn is_expression(words: &str) -> bool {
    begins(words, LOUDNESS) || begins(words, TONE)
}

/// Where words stand if the file does not say: those about loudness with the
/// dynamics.
pub(crate) fn usual_side(words: &str) -> StaffSide {
    if begins(words, LOUDNESS) { StaffSide::Below } else { StaffSide::Above }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice, no source: which words are which.
    #[test]
    fn words_of_tone_are_told_from_those_of_tempo() {
        for words in ["dolce", "Metálico", "pizz.", "pont.", "vibr.", "cresc.", "dim.", "sul tasto"]
        {
            assert!(is_expression(words), "{words}");
        }
        for words in ["Andante", "Allegro brillante", "Dimanche", "Natale", "rit.", "Cantabile"] {
            assert!(!is_expression(words), "{words}");
        }
    }

    #[test]
    fn words_of_loudness_stand_with_the_dynamics() {
        for (words, side) in [
            ("cresc. poco a poco", StaffSide::Below),
            ("dim.", StaffSide::Below),
            ("decresc.", StaffSide::Below),
            ("dolce", StaffSide::Above),
            ("rit.", StaffSide::Above),
        ] {
            assert_eq!(usual_side(words), side, "{words}");
        }
    }
}

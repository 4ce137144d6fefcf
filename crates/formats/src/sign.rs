//! Signs of the playing order as files state them, and the words that name them.

use apoyando_music::{Exit, Jump, JumpTo, Until};

/// A sign or word that tells where play goes on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Sign {
    Segno,
    /// The beginning of the coda.
    Coda,
    /// The coda's sign where it may show its beginning or the way out to it.
    RingAndCross,
    Exit(Exit),
    Jump(Jump),
}

/// The sign that some words are: `D.C. al Fine`, `To Coda`. Dots, spaces and
/// capitals do not matter.
pub(crate) fn of_words(words: &str) -> Option<Sign> {
    let plain: String = words
        .chars()
        .flat_map(char::to_lowercase)
        .filter(|c| c.is_alphabetic() || matches!(*c, SEGNO | CODA))
        .map(|c| match c {
            SEGNO => "segno".to_owned(),
            CODA => "coda".to_owned(),
            c => c.to_string(),
        })
        .collect();
    Some(match plain.as_str() {
        "segno" => Sign::Segno,
        "coda" => Sign::RingAndCross,
        "fine" => Sign::Exit(Exit::Fine),
        "tocoda" | "dacoda" => Sign::Exit(Exit::ToCoda),
        plain => {
            const BACK: [(&str, JumpTo); 4] = [
                ("dacapo", JumpTo::Capo),
                ("dalsegno", JumpTo::Segno),
                ("dc", JumpTo::Capo),
                ("ds", JumpTo::Segno),
            ];
            let (to, rest) =
                BACK.into_iter().find_map(|(word, to)| Some((to, plain.strip_prefix(word)?)))?;
            let until = match rest {
                "" => Until::End,
                "alfine" => Until::Fine,
                "alcoda" => Until::Coda,
                _ => return None,
            };
            Sign::Jump(Jump { to, until })
        }
    })
}

/// The signs as characters of their own (Unicode, Musical Symbols).
const SEGNO: char = '\u{1d10b}';
const CODA: char = '\u{1d10c}';

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice, no source: what the words are written like.
    #[test]
    fn words_are_read_however_they_are_written() {
        let jump = |to, until| Some(Sign::Jump(Jump { to, until }));
        for (words, sign) in [
            ("D.C.", jump(JumpTo::Capo, Until::End)),
            ("Da Capo", jump(JumpTo::Capo, Until::End)),
            ("D. C. al Fine", jump(JumpTo::Capo, Until::Fine)),
            ("DC al Coda", jump(JumpTo::Capo, Until::Coda)),
            ("D.S. al Coda", jump(JumpTo::Segno, Until::Coda)),
            ("Dal Segno al Fine.", jump(JumpTo::Segno, Until::Fine)),
            ("dal \u{1d10b} al \u{1d10c}", jump(JumpTo::Segno, Until::Coda)),
            ("FINE", Some(Sign::Exit(Exit::Fine))),
            ("To Coda \u{2295}", Some(Sign::Exit(Exit::ToCoda))),
            ("to \u{1d10c}", Some(Sign::Exit(Exit::ToCoda))),
            ("Coda", Some(Sign::RingAndCross)),
            ("Andante", None),
            ("D.C. senza replica", None),
            ("Finale", None),
            ("", None),
        ] {
            assert_eq!(of_words(words), sign, "{words}");
        }
    }
}

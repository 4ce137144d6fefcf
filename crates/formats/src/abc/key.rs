//! Keys with their modes and extra accidentals.

use std::collections::BTreeMap;

use apoyando_music::{Alter, KeySignature, NoteName, Step};

/// A key: a signature and what it alters besides.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct AbcKey {
    pub signature: KeySignature,
    /// Letters with an accidental of their own.
    pub extra: BTreeMap<Step, Alter>,
}

impl AbcKey {
    /// What the key does to a letter.
    pub(super) fn alter(&self, step: Step) -> Alter {
        self.extra.get(&step).copied().unwrap_or_else(|| self.signature.alter(step))
    }
}

/// What a `K:` field says: a key if it gives one, and the words that are not
/// about the key (clef and the like).
#[derive(Debug, Default)]
pub(super) struct KeyField {
    pub key: Option<AbcKey>,
    pub rest: Vec<String>,
    /// What could not be read.
    pub unread: Vec<String>,
}

/// Reads the content of a `K:` field.
pub(super) fn read(text: &str) -> KeyField {
    let mut field = KeyField::default();
    let spaced = text.trim();
    let mut words = spaced.split_whitespace().peekable();
    let Some(first) = words.peek().copied() else {
        field.key = Some(AbcKey::default());
        return field;
    };
    match first {
        "none" => {
            words.next();
            field.key = Some(AbcKey::default());
        }
        // The highland pipes play F♯ and C♯ whether these are shown or not.
        "HP" | "Hp" => {
            words.next();
            let signature = KeySignature::new(2).unwrap_or_default();
            field.key = Some(AbcKey { signature, extra: BTreeMap::new() });
            if first == "HP" {
                field.unread.push("hidden key signature of the pipes".to_owned());
            }
        }
        _ => {
            if let Some((tonic, mode)) = tonic(first) {
                words.next();
                let joined = !mode.is_empty();
                let mode = if joined {
                    mode.to_owned()
                } else {
                    words.next_if(|word| mode_shift(word).is_some()).unwrap_or("").to_owned()
                };
                match mode_shift(&mode) {
                    Some(shift) => {
                        let fifths = tonic.fifths() + shift;
                        let signature = KeySignature::new(fifths).unwrap_or_else(|| {
                            field.unread.push(format!("key “{spaced}” of {fifths} fifths"));
                            KeySignature::new(fifths - 12 * fifths.signum()).unwrap_or_default()
                        });
                        field.key = Some(AbcKey { signature, extra: BTreeMap::new() });
                    }
                    None => field.unread.push(format!("mode “{mode}”")),
                }
            }
        }
    }
    for word in words {
        if word == "exp" {
            if let Some(key) = &mut field.key {
                key.signature = KeySignature::NONE;
            }
        } else if word.starts_with(['^', '_', '=']) {
            let key = field.key.get_or_insert_default();
            if !accidentals(word, &mut key.extra) {
                field.unread.push(format!("accidental “{word}” of the key"));
            }
        } else {
            field.rest.push(word.to_owned());
        }
    }
    if let Some(key) = &mut field.key {
        settle(key);
        if !key.extra.is_empty() {
            field.unread.push("signature with accidentals of its own".to_owned());
        }
    }
    field
}

/// The tonic at the beginning of a word, and the rest of the word.
fn tonic(word: &str) -> Option<(NoteName, &str)> {
    let mut chars = word.chars();
    let step = step(chars.next().filter(char::is_ascii_uppercase)?)?;
    let rest = chars.as_str();
    let (alter, rest) = match rest.strip_prefix('#') {
        Some(rest) => (Alter::SHARP, rest),
        None => match rest.strip_prefix('b') {
            Some(rest) => (Alter::FLAT, rest),
            None => (Alter::NATURAL, rest),
        },
    };
    // A word like “Bass” or “Clef” is no key.
    (!rest.contains(['=', ':'])).then_some((NoteName::new(step, alter), rest))
}

/// The letter of a note, in either case.
pub(super) fn step(letter: char) -> Option<Step> {
    Step::from_letter(letter.to_ascii_uppercase())
}

/// Fifths by which a mode's signature differs from the major of its tonic.
/// Only the first three letters count.
fn mode_shift(mode: &str) -> Option<i32> {
    let mode = mode.to_ascii_lowercase();
    let short: String = mode.chars().take(3).collect();
    Some(match short.as_str() {
        "" | "maj" | "ion" => 0,
        "lyd" => 1,
        "mix" => -1,
        "dor" => -2,
        "m" | "min" | "aeo" => -3,
        "phr" => -4,
        "loc" => -5,
        _ => return None,
    })
}

/// `^f`, `_b`, `=c`, several in one word; whether all was understood.
fn accidentals(word: &str, extra: &mut BTreeMap<Step, Alter>) -> bool {
    let mut chars = word.chars().peekable();
    while chars.peek().is_some() {
        let mut semitones = 0;
        while let Some(sign) = chars.next_if(|c| matches!(c, '^' | '_' | '=')) {
            semitones += match sign {
                '^' => 1,
                '_' => -1,
                _ => 0,
            };
        }
        match (chars.next().and_then(step), Alter::new(semitones)) {
            (Some(step), Some(alter)) => extra.insert(step, alter),
            _ => return false,
        };
    }
    true
}

/// If the letters altered make up a usual signature, it is that signature.
fn settle(key: &mut AbcKey) {
    let usual = (-7..=7)
        .filter_map(KeySignature::new)
        .find(|usual| Step::ALL.iter().all(|step| usual.alter(*step) == key.alter(*step)));
    match usual {
        Some(signature) => *key = AbcKey { signature, extra: BTreeMap::new() },
        None => {
            let signature = key.signature;
            key.extra.retain(|step, alter| signature.alter(*step) != *alter);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice, no source: modes by their signatures.
    #[test]
    fn modes_have_their_signatures() {
        for (text, fifths) in [
            ("C", 0),
            ("Am", 0),
            ("G", 1),
            ("Ador", 1),
            ("A dorian", 1),
            ("DMix", 1),
            ("E Phrygian", 0),
            ("F lyd", 0),
            ("Bloc", 0),
            ("F#m", 3),
            ("Bb", -2),
            ("Cmin", -3),
            ("", 0),
            ("none", 0),
            ("C# maj", 7),
            ("D exp ^f ^c", 2),
        ] {
            let key = read(text).key.unwrap();
            assert_eq!(key.signature.fifths(), fifths, "{text}");
            assert!(key.extra.is_empty(), "{text}");
        }
    }

    #[test]
    fn accidentals_of_their_own_are_kept() {
        let key = read("D phr ^f").key.unwrap();
        assert_eq!(key.alter(Step::F), Alter::SHARP);
        assert_eq!(key.alter(Step::B), Alter::FLAT);
        let field = read("clef=bass");
        assert!(field.key.is_none());
        assert_eq!(field.rest, ["clef=bass"]);
        assert!(!read("Cxyz").unread.is_empty());
    }
}

//! What is sung to the notes, verse by verse.

/// A verse, from 1.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Verse(pub u8);

/// What is sung to an event in a verse.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Lyric {
    /// The verse.
    pub verse: Verse,
    /// What is sung.
    pub sung: Sung,
}

/// A syllable, or one held on.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Sung {
    /// A syllable begins.
    Syllable {
        /// Its letters, never blank; [`ELISION`] binds two syllables on one note.
        text: String,
        /// Its word goes on with the next syllable of the verse.
        goes_on: bool,
    },
    /// The syllable before is held on.
    Held,
}

/// What binds two syllables that are sung to one note.
pub const ELISION: char = '\u{203f}';

/// Why the lyrics of an event are none.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Fault {
    OnRest,
    Doubled(Verse),
    Blank(Verse),
}

/// Puts the lyrics of an event in the order of verses.
pub(super) fn ordered(mut lyrics: Vec<Lyric>, rest: bool) -> Result<Vec<Lyric>, Fault> {
    lyrics.sort();
    if rest && !lyrics.is_empty() {
        return Err(Fault::OnRest);
    }
    if let Some(pair) = lyrics.windows(2).find(|pair| pair[0].verse == pair[1].verse) {
        return Err(Fault::Doubled(pair[0].verse));
    }
    let blank = |lyric: &&Lyric| match &lyric.sung {
        Sung::Syllable { text, .. } => text.trim().is_empty(),
        Sung::Held => false,
    };
    match lyrics.iter().find(blank) {
        Some(lyric) => Err(Fault::Blank(lyric.verse)),
        None => Ok(lyrics),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn syllable(verse: u8, text: &str) -> Lyric {
        let sung = Sung::Syllable { text: text.to_owned(), goes_on: false };
        Lyric { verse: Verse(verse), sung }
    }

    #[test]
    fn they_stand_in_order_of_verses() {
        let held = Lyric { verse: Verse(2), sung: Sung::Held };
        let [one, three] = [syllable(1, "la"), syllable(3, "le")];
        let given = vec![three.clone(), held.clone(), one.clone()];
        assert_eq!(ordered(given, false), Ok(vec![one, held, three]));
    }

    #[test]
    fn a_verse_has_one_syllable_at_a_note_and_none_at_a_rest() {
        let twice = vec![syllable(2, "la"), syllable(2, "le")];
        assert_eq!(ordered(twice, false), Err(Fault::Doubled(Verse(2))));
        assert_eq!(ordered(vec![syllable(1, " ")], false), Err(Fault::Blank(Verse(1))));
        assert_eq!(ordered(vec![syllable(1, "la")], true), Err(Fault::OnRest));
        assert_eq!(ordered(Vec::new(), true), Ok(Vec::new()));
    }
}

//! Tunings: the open pitch of every string.

use std::str::FromStr;

use apoyando_music::{NoteName, Pitch};

use crate::place::StringNumber;

/// The sounding open pitches from ① on; four to ten strings.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Tuning(Vec<Pitch>);

/// Why a list of pitches is not a tuning.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum TuningError {
    /// Not four to ten strings.
    #[error("a tuning has 4 to 10 strings, this one has {0}")]
    Strings(usize),
    /// A string's text is not a pitch.
    #[error("{0}")]
    Pitch(#[from] apoyando_music::pitch::PitchTextError),
    /// A change of the usual tuning names no string of it.
    #[error("“{0}” is no string of the usual tuning; write ① to ⑥ or 1 to 6, as in 6=D")]
    NoString(String),
    /// A change of the usual tuning names no note.
    #[error("“{0}” is neither a note nor a pitch; write one for the string, as in 6=D or 6=D2")]
    NoNote(String),
    /// The same string twice.
    #[error("{0} is tuned twice; say it once")]
    Twice(StringNumber),
    /// Changes and whole lists mixed.
    #[error(
        "“{0}” stands among changed strings; write all open strings from the thickest, or only changes such as 6=D"
    )]
    Mixed(String),
    /// A pitch that no string gives.
    #[error("{0} is no pitch of an open string; give one from C1 to C6")]
    Pitchless(Pitch),
}

impl Tuning {
    /// A tuning from its open pitches, ① first.
    ///
    /// # Errors
    /// If there are fewer than four or more than ten.
    pub fn new(open: Vec<Pitch>) -> Result<Self, TuningError> {
        if (4..=usize::from(StringNumber::MOST)).contains(&open.len()) {
            Ok(Self(open))
        } else {
            Err(TuningError::Strings(open.len()))
        }
    }

    /// E4 B3 G3 D3 A2 E2. Common practice, no source.
    pub fn standard() -> Self {
        use apoyando_music::Step::{A, B, D, E, G};
        let open = [(E, 4), (B, 3), (G, 3), (D, 3), (A, 2), (E, 2)];
        Self(open.into_iter().map(|(step, octave)| Pitch::of(step, 0, octave)).collect())
    }

    /// How many strings there are.
    pub const fn len(&self) -> usize {
        self.0.len()
    }

    /// Never true; a tuning has at least four strings.
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The strings from ① on.
    pub fn strings(&self) -> impl DoubleEndedIterator<Item = StringNumber> + use<> {
        (1..=self.0.len() as u8).filter_map(StringNumber::new)
    }

    /// The open pitch of a string, if the instrument has it.
    pub fn open(&self, string: StringNumber) -> Option<Pitch> {
        self.0.get(string.index()).copied()
    }

    /// Whether this is the usual tuning of six strings.
    pub fn is_standard(&self) -> bool {
        *self == Self::standard()
    }
}

/// Reads open pitches from the thickest string to the thinnest, as players say
/// them: `E2 A2 D3 G3 B3 E4`; or what is changed in the usual tuning: `6=D`,
/// `3=F#`, `⑥=D ⑤=G`. A note without octave is the one nearest to the string's
/// usual pitch.
impl FromStr for Tuning {
    type Err = TuningError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let words =
            || text.split(|c: char| c.is_whitespace() || c == ',').filter(|word| !word.is_empty());
        let mut open = if text.contains('=') {
            return changed(words());
        } else {
            words().map(str::parse).collect::<Result<Vec<Pitch>, _>>()?
        };
        open.reverse();
        if let Some(odd) = open.iter().find(|pitch| !gives(**pitch)) {
            return Err(TuningError::Pitchless(*odd));
        }
        Self::new(open)
    }
}

/// Whether a string may give this pitch: C1 to C6. House: wider than any lute.
fn gives(pitch: Pitch) -> bool {
    (24..=84).contains(&pitch.key_number().0)
}

/// The usual tuning with changes, each `string=note`.
fn changed<'a>(words: impl Iterator<Item = &'a str>) -> Result<Tuning, TuningError> {
    let mut tuning = Tuning::standard();
    let mut seen = Vec::new();
    for word in words {
        let (string, note) =
            word.split_once('=').ok_or_else(|| TuningError::Mixed(word.to_owned()))?;
        let string = tuning
            .strings()
            .find(|known| known.to_string() == string || known.get().to_string() == string)
            .ok_or_else(|| TuningError::NoString(string.to_owned()))?;
        if seen.contains(&string) {
            return Err(TuningError::Twice(string));
        }
        seen.push(string);
        let usual = tuning.0[string.index()];
        let pitch = match (note.parse::<Pitch>(), note.parse::<NoteName>()) {
            (Ok(pitch), _) => pitch,
            (_, Ok(name)) => nearest(name, usual),
            _ => return Err(TuningError::NoNote(note.to_owned())),
        };
        if !gives(pitch) {
            return Err(TuningError::Pitchless(pitch));
        }
        tuning.0[string.index()] = pitch;
    }
    Ok(tuning)
}

/// The note of this name nearest to a pitch, the lower of two as near: strings
/// are tuned down rather than up.
fn nearest(name: NoteName, pitch: Pitch) -> Pitch {
    let away = |octave: i8| pitch.semitones_to(name.in_octave(octave)).abs();
    let octave = (0..=6).min_by_key(|octave| away(*octave)).unwrap_or(4);
    name.in_octave(octave)
}

/// From the thickest string to the thinnest.
impl std::fmt::Display for Tuning {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (index, pitch) in self.0.iter().rev().enumerate() {
            let gap = if index == 0 { "" } else { " " };
            write!(f, "{gap}{pitch}")?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(text: &str) -> String {
        text.parse::<Tuning>().unwrap().to_string()
    }

    /// Common practice, no source: ⑥ down to D; ⑥ D and ⑤ G; ③ at F♯ as on the
    /// lute.
    #[test]
    fn changes_of_the_usual_tuning_are_read() {
        assert_eq!(written("6=D"), "D2 A2 D3 G3 B3 E4");
        assert_eq!(written("⑥=D ⑤=G"), "D2 G2 D3 G3 B3 E4");
        assert_eq!(written("3=F♯"), written("3=F#3"));
        assert_eq!(written("3=F#"), written("E2 A2 D3 F#3 B3 E4"));
        assert_eq!(written("1=D, 6=C"), "C2 A2 D3 G3 B3 D4");
    }

    /// The lute's courses: 4th, 4th, 3rd, 4th, 4th. Common practice, no source.
    #[test]
    fn the_third_string_at_f_sharp_gives_the_intervals_of_the_lute() {
        let tuning: Tuning = "3=F#".parse().unwrap();
        let steps: Vec<i32> =
            tuning.0.windows(2).map(|pair| pair[1].semitones_to(pair[0])).rev().collect();
        assert_eq!(steps, [5, 5, 4, 5, 5]);
    }

    #[test]
    fn four_to_ten_strings_are_read_and_no_others() {
        assert_eq!(written("G3 C4 E4 A4"), "G3 C4 E4 A4");
        let ten = "A1 B1 C2 D2 E2 A2 D3 G3 B3 E4";
        assert_eq!(written(ten), ten);
        for (bad, says) in [
            ("E2 A2 D3", "4 to 10 strings, this one has 3"),
            ("A1 A1 B1 C2 D2 E2 A2 D3 G3 B3 E4", "this one has 11"),
            ("E2 A2 D3 G3 B3 H4", "not a pitch"),
            ("7=B1", "“7” is no string of the usual tuning"),
            ("6=H", "“H” is neither a note nor a pitch"),
            ("6=D ⑥=C", "⑥ is tuned twice"),
            ("6=D A2", "“A2” stands among changed strings"),
            ("6=D9", "D9 is no pitch of an open string"),
            ("E2 A2 D3 G3 B3 E9", "E9 is no pitch"),
            ("", "this one has 0"),
        ] {
            let said = bad.parse::<Tuning>().unwrap_err().to_string();
            assert!(said.contains(says), "{bad}: {said}");
        }
    }
}

//! Degrees of a key in roman numerals: I, ii, V7, vii°, V65/V.
//!
//! Capitals are major, small letters minor; the sign ° is diminished, ø
//! half-diminished and + augmented. Figures give the inversion: 6 and 64 for
//! triads, 7, 65, 43 and 42 for sevenths. Common practice, no source.

use std::fmt;
use std::str::FromStr;

use crate::chord::{Chord, ChordQuality, Inversion};
use crate::key::{Key, Mode};
use crate::pitch::{Alter, NoteName};
use crate::scale::{Direction, Scale, ScaleDegree, ScaleKind};

/// The triad that the letters of a numeral name.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
enum Letters {
    Major,
    Minor,
    Diminished,
    /// As diminished, but with a minor seventh; only with a seventh.
    HalfDiminished,
    Augmented,
}

/// A degree with its chord, as written.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Degree {
    numeral: ScaleDegree,
    /// ♭ or ♯ before the numeral: the root is moved against the scale.
    moved: Alter,
    letters: Letters,
    seventh: bool,
    inversion: Inversion,
    /// The degree whose key it is borrowed from: the V of V7/V.
    target: Option<Target>,
}

/// What a secondary degree leads to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
struct Target {
    numeral: ScaleDegree,
    letters: Letters,
}

/// A degree sounding in a key.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct DegreeChord {
    /// The chord.
    pub chord: Chord,
    /// Its inversion.
    pub inversion: Inversion,
}

impl DegreeChord {
    /// The note that lies lowest.
    pub fn bass(self) -> NoteName {
        self.chord.bass(self.inversion).unwrap_or(self.chord.root())
    }
}

/// `C`, or `C/E` over another bass than the root.
impl fmt::Display for DegreeChord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.inversion == Inversion::ROOT {
            write!(f, "{}", self.chord)
        } else {
            write!(f, "{}/{}", self.chord, self.bass())
        }
    }
}

/// A degree that cannot be spelled in a key.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("{degree} cannot be spelled in {key}; take the enharmonic key with fewer accidentals")]
pub struct DegreeKeyError {
    degree: Degree,
    key: Key,
}

impl Degree {
    /// I.
    pub const TONIC_MAJOR: Self = Self::tonic(Letters::Major);
    /// i.
    pub const TONIC_MINOR: Self = Self::tonic(Letters::Minor);

    const fn tonic(letters: Letters) -> Self {
        Self {
            numeral: ScaleDegree::TONIC,
            moved: Alter::NATURAL,
            letters,
            seventh: false,
            inversion: Inversion::ROOT,
            target: None,
        }
    }

    /// Its place in the scale.
    pub const fn numeral(self) -> ScaleDegree {
        self.numeral
    }

    /// Its inversion.
    pub const fn inversion(self) -> Inversion {
        self.inversion
    }

    /// The same degree in another inversion; `None` for the third inversion of
    /// a triad.
    pub const fn inverted(self, inversion: Inversion) -> Option<Self> {
        if self.seventh || inversion.get() < 3 { Some(Self { inversion, ..self }) } else { None }
    }

    /// Whether it asks for a seventh.
    pub const fn has_seventh(self) -> bool {
        self.seventh
    }

    /// The chord in a key. In minor, roots stand on the natural scale; a
    /// diminished chord on 6 or 7 stands on the raised degree, as in harmonic
    /// and melodic minor (vii° in A minor is G♯dim, VII is G). The seventh of
    /// V is minor, that of °7 diminished, any other as the signature has it.
    ///
    /// # Errors
    /// If the chord, or the key it is borrowed from, cannot be spelled.
    pub fn in_key(self, key: Key) -> Result<DegreeChord, DegreeKeyError> {
        let error = || DegreeKeyError { degree: self, key };
        let local = match self.target {
            None => key,
            Some(target) => target.key(key).ok_or_else(error)?,
        };
        let root = root_in(local, self.numeral, self.moved, self.letters).ok_or_else(error)?;
        let quality = self.quality(local, root);
        let chord = Chord::new(root, quality).ok_or_else(error)?;
        Ok(DegreeChord { chord, inversion: self.inversion })
    }

    fn quality(self, key: Key, root: NoteName) -> ChordQuality {
        if !self.seventh {
            return self.letters.triad();
        }
        match self.letters {
            Letters::Diminished => ChordQuality::DiminishedSeventh,
            Letters::HalfDiminished => ChordQuality::HalfDiminishedSeventh,
            Letters::Augmented => ChordQuality::Augmented,
            Letters::Major if self.numeral.get() == 5 => ChordQuality::DominantSeventh,
            Letters::Major if seventh_is_major(key, root) => ChordQuality::MajorSeventh,
            Letters::Major => ChordQuality::DominantSeventh,
            Letters::Minor if seventh_is_major(key, root) => ChordQuality::MinorMajorSeventh,
            Letters::Minor => ChordQuality::MinorSeventh,
        }
    }
}

/// Whether the letter a seventh above the root, under the key's signature,
/// is a major seventh away.
fn seventh_is_major(key: Key, root: NoteName) -> bool {
    let below = crate::pitch::Step::from_index(root.step.index() - 1);
    let seventh = NoteName::new(below, key.signature().alter(below));
    (root.pitch_class() - seventh.pitch_class()).rem_euclid(12) == 1
}

fn root_in(key: Key, numeral: ScaleDegree, moved: Alter, letters: Letters) -> Option<NoteName> {
    let diminished = matches!(letters, Letters::Diminished | Letters::HalfDiminished);
    let scale = match key.mode() {
        Mode::Minor if diminished && numeral.get() >= 6 => {
            Scale::new(key, ScaleKind::MelodicMinor)?
        }
        _ => Scale::of_key(key),
    };
    let natural = scale.note(numeral, Direction::Up);
    let alter = Alter::new(natural.alter.semitones() + moved.semitones())?;
    Some(NoteName::new(natural.step, alter))
}

impl Target {
    fn key(self, home: Key) -> Option<Key> {
        let mode = match self.letters {
            Letters::Major | Letters::Augmented => Mode::Major,
            _ => Mode::Minor,
        };
        Key::new(root_in(home, self.numeral, Alter::NATURAL, self.letters)?, mode)
    }
}

impl Letters {
    const fn triad(self) -> ChordQuality {
        match self {
            Self::Major => ChordQuality::Major,
            Self::Minor => ChordQuality::Minor,
            Self::Diminished | Self::HalfDiminished => ChordQuality::Diminished,
            Self::Augmented => ChordQuality::Augmented,
        }
    }

    const fn sign(self) -> &'static str {
        match self {
            Self::Major | Self::Minor => "",
            Self::Diminished => "°",
            Self::HalfDiminished => "ø",
            Self::Augmented => "+",
        }
    }

    const fn capital(self) -> bool {
        matches!(self, Self::Major | Self::Augmented)
    }
}

const NUMERALS: [&str; 7] = ["I", "II", "III", "IV", "V", "VI", "VII"];

fn numeral_text(numeral: ScaleDegree, letters: Letters) -> String {
    let capital = NUMERALS[usize::from(numeral.get()) - 1];
    let cased = if letters.capital() { capital.to_owned() } else { capital.to_lowercase() };
    cased + letters.sign()
}

/// Figures of a triad or seventh by inversion.
const TRIAD_FIGURES: [&str; 3] = ["", "6", "64"];
const SEVENTH_FIGURES: [&str; 4] = ["7", "65", "43", "42"];

impl fmt::Display for Degree {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let figures: &[&str] = if self.seventh { &SEVENTH_FIGURES } else { &TRIAD_FIGURES };
        let figure = figures.get(usize::from(self.inversion.get())).copied().unwrap_or_default();
        write!(f, "{}{}{figure}", self.moved, numeral_text(self.numeral, self.letters))?;
        match self.target {
            Some(target) => write!(f, "/{}", numeral_text(target.numeral, target.letters)),
            None => Ok(()),
        }
    }
}

/// A text that is not a degree.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error(
    "“{0}” is not a degree; write a roman numeral, then °, ø or + and figures, as in I, ii6, V7, vii°, V65/V"
)]
pub struct DegreeTextError(String);

/// Reads the longest numeral at the beginning; gives what is left. `o` may
/// stand for °.
fn read_numeral(text: &str) -> Option<(ScaleDegree, Letters, &str)> {
    let length = text.bytes().take_while(|b| matches!(b, b'I' | b'V' | b'i' | b'v')).count();
    let (numeral, rest) = text.split_at(length);
    let index = NUMERALS
        .iter()
        .position(|capital| *capital == numeral || capital.to_lowercase() == numeral)?;
    let capital = numeral.starts_with(['I', 'V']);
    let (letters, rest) = match (capital, rest.chars().next()) {
        (false, Some(sign @ ('°' | 'o'))) => (Letters::Diminished, &rest[sign.len_utf8()..]),
        (false, Some(sign @ 'ø')) => (Letters::HalfDiminished, &rest[sign.len_utf8()..]),
        (true, Some('+')) => (Letters::Augmented, &rest[1..]),
        (true, _) => (Letters::Major, rest),
        (false, _) => (Letters::Minor, rest),
    };
    Some((ScaleDegree::new(index as u8 + 1)?, letters, rest))
}

impl FromStr for Degree {
    type Err = DegreeTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let error = || DegreeTextError(text.to_owned());
        let (own, target) = match text.split_once('/') {
            Some((own, target)) => (own, Some(target)),
            None => (text, None),
        };
        let (moved, body) = match own.chars().next() {
            Some(sign @ ('b' | '♭')) => (Alter::FLAT, &own[sign.len_utf8()..]),
            Some(sign @ ('#' | '♯')) => (Alter::SHARP, &own[sign.len_utf8()..]),
            _ => (Alter::NATURAL, own),
        };
        let (numeral, letters, figures) = read_numeral(body).ok_or_else(error)?;
        let figures = if figures == "2" { "42" } else { figures };
        let found = |all: &[&str]| all.iter().position(|figure| *figure == figures);
        let (seventh, index) = match (found(&TRIAD_FIGURES), found(&SEVENTH_FIGURES)) {
            (Some(index), _) => (false, index),
            (None, Some(index)) => (true, index),
            (None, None) => return Err(error()),
        };
        // ø names a seventh chord; + with a seventh is not a chord known here.
        if (letters == Letters::HalfDiminished && !seventh)
            || (letters == Letters::Augmented && seventh)
        {
            return Err(error());
        }
        let target = match target {
            None => None,
            Some(target) => match read_numeral(target) {
                Some((numeral, letters @ (Letters::Major | Letters::Minor), "")) => {
                    Some(Target { numeral, letters })
                }
                _ => return Err(error()),
            },
        };
        let inversion = Inversion::new(index as u8).ok_or_else(error)?;
        Ok(Self { numeral, moved, letters, seventh, inversion, target })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chord(degree: &str, key: &str) -> String {
        let degree: Degree = degree.parse().unwrap();
        degree.in_key(key.parse().unwrap()).unwrap().to_string()
    }

    #[test]
    fn text_is_read_and_written_back() {
        for text in [
            "I", "ii", "iii6", "IV64", "V", "V7", "V65", "V43", "V42", "vi", "vii°", "vii°7",
            "iiø65", "III+", "♭VII", "♯iv°", "V/V", "V7/ii", "vii°7/V",
        ] {
            assert_eq!(text.parse::<Degree>().unwrap().to_string(), text);
        }
        assert_eq!("viio".parse::<Degree>(), "vii°".parse());
        assert_eq!("V2".parse::<Degree>(), "V42".parse());
        for bad in ["", "VIII", "iV", "V9", "I°", "i+", "iiø", "III+7", "V/", "V7/V7", "IIII", "7"]
        {
            assert!(bad.parse::<Degree>().is_err(), "{bad}");
        }
    }

    /// Common practice, no source: the chords of C major and A minor.
    #[test]
    fn degrees_give_the_chords_of_a_key() {
        for (degree, name) in [
            ("I", "C"),
            ("ii", "Dm"),
            ("iii", "Em"),
            ("IV", "F"),
            ("V", "G"),
            ("V7", "G7"),
            ("vi", "Am"),
            ("vii°", "Bdim"),
            ("viiø7", "Bm7♭5"),
            ("I7", "Cmaj7"),
            ("ii7", "Dm7"),
            ("I6", "C/E"),
            ("V43", "G7/D"),
            ("V42", "G7/F"),
            ("V/V", "D"),
            ("V7/ii", "A7"),
            ("vii°7/V", "F♯dim7"),
            ("♭VII", "B♭"),
        ] {
            assert_eq!(chord(degree, "C major"), name, "{degree}");
        }
        for (degree, name) in [
            ("i", "Am"),
            ("ii°", "Bdim"),
            ("iiø7", "Bm7♭5"),
            ("III", "C"),
            ("III+", "Caug"),
            ("iv", "Dm"),
            ("v", "Em"),
            ("V", "E"),
            ("V7", "E7"),
            ("VI", "F"),
            ("VI7", "Fmaj7"),
            ("VII", "G"),
            ("VII7", "G7"),
            ("vii°", "G♯dim"),
            ("vii°7", "G♯dim7"),
            ("vi°", "F♯dim"),
            ("i64", "Am/E"),
            ("V7/iv", "A7"),
        ] {
            assert_eq!(chord(degree, "A minor"), name, "{degree}");
        }
    }

    /// In every key the primary chords are spelled from its scale: I, IV and
    /// V of major hold the seven notes between them, i, iv and V those of
    /// harmonic minor.
    #[test]
    fn primary_chords_hold_the_scale() {
        for key in Key::all() {
            let (degrees, kind) = match key.mode() {
                Mode::Major => (["I", "IV", "V"], ScaleKind::Major),
                Mode::Minor => (["i", "iv", "V"], ScaleKind::HarmonicMinor),
            };
            let mut found: Vec<NoteName> = degrees
                .iter()
                .flat_map(|d| d.parse::<Degree>().unwrap().in_key(key).unwrap().chord.notes())
                .collect();
            found.sort();
            found.dedup();
            let mut scale = Scale::new(key, kind).unwrap().notes(Direction::Up).to_vec();
            scale.sort();
            assert_eq!(found, scale, "{key}");
        }
    }

    #[test]
    fn degrees_are_turned_over() {
        let degree: Degree = "V".parse().unwrap();
        assert_eq!(degree.inverted(Inversion::SECOND).unwrap().to_string(), "V64");
        assert_eq!(degree.inverted(Inversion::THIRD), None);
    }

    #[test]
    fn a_borrowed_key_may_be_out_of_reach() {
        let degree: Degree = "V/iii".parse().unwrap();
        let error = degree.in_key("C# major".parse().unwrap()).unwrap_err();
        assert!(error.to_string().contains("V/iii"), "{error}");
    }
}

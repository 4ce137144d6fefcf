//! Spelled pitch: a letter, its alteration and an octave.
//!
//! Octaves follow scientific pitch notation (ISO 16 puts A4 at 440 Hz), so C4
//! is middle C and MIDI key 60.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// One of the seven letters, in the order of the octave.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Step {
    C,
    D,
    E,
    F,
    G,
    A,
    B,
}

impl Step {
    /// All letters from C to B.
    pub const ALL: [Self; 7] = [Self::C, Self::D, Self::E, Self::F, Self::G, Self::A, Self::B];

    /// The step of a capital letter.
    pub const fn from_letter(letter: char) -> Option<Self> {
        Some(match letter {
            'C' => Self::C,
            'D' => Self::D,
            'E' => Self::E,
            'F' => Self::F,
            'G' => Self::G,
            'A' => Self::A,
            'B' => Self::B,
            _ => return None,
        })
    }

    /// 0 for C to 6 for B.
    pub const fn index(self) -> i32 {
        self as i32
    }

    /// The letter `index` steps above C, in any octave.
    pub const fn from_index(index: i32) -> Self {
        Self::ALL[index.rem_euclid(7) as usize]
    }

    /// Semitones above C of the natural letter.
    pub const fn semitones(self) -> i32 {
        [0, 2, 4, 5, 7, 9, 11][self as usize]
    }
}

/// Alteration of a letter in semitones: ♭♭ is −2, ♯ is +1. Never beyond ±3.
#[derive(
    Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default, Serialize, Deserialize,
)]
pub struct Alter(i8);

impl Alter {
    /// No alteration.
    pub const NATURAL: Self = Self(0);
    /// One semitone up.
    pub const SHARP: Self = Self(1);
    /// One semitone down.
    pub const FLAT: Self = Self(-1);

    /// An alteration of `semitones`, or `None` beyond a triple sharp or flat.
    pub const fn new(semitones: i32) -> Option<Self> {
        if semitones >= -3 && semitones <= 3 { Some(Self(semitones as i8)) } else { None }
    }

    /// Semitones, positive upwards.
    pub const fn semitones(self) -> i32 {
        self.0 as i32
    }
}

/// A letter with its alteration, in no particular octave: F♯, B♭.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub struct NoteName {
    /// The letter.
    pub step: Step,
    /// Its alteration.
    pub alter: Alter,
}

impl NoteName {
    /// A note name from its two parts.
    pub const fn new(step: Step, alter: Alter) -> Self {
        Self { step, alter }
    }

    /// The pitch class, 0 for C to 11 for B.
    pub const fn pitch_class(self) -> i32 {
        (self.step.semitones() + self.alter.semitones()).rem_euclid(12)
    }

    /// This name in an octave. B♯3 sounds like C4, as its letter says.
    pub const fn in_octave(self, octave: i8) -> Pitch {
        Pitch { step: self.step, alter: self.alter, octave }
    }

    /// Place on the line of fifths: F −1, C 0, G 1, F♯ 6, B♭ −2.
    pub const fn fifths(self) -> i32 {
        [0, 2, 4, -1, 1, 3, 5][self.step as usize] + 7 * self.alter.semitones()
    }
}

/// Number of a key on the keyboard as MIDI counts them: C4 is 60.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub struct KeyNumber(pub i16);

/// A spelled pitch in its octave.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub struct Pitch {
    /// The letter.
    pub step: Step,
    /// Its alteration.
    pub alter: Alter,
    /// Octave in scientific pitch notation; it changes between B and C.
    pub octave: i8,
}

impl Pitch {
    /// A pitch from letter, alteration in semitones and octave.
    ///
    /// # Panics
    /// If the alteration is beyond ±3; meant for constants.
    pub const fn of(step: Step, alter: i32, octave: i8) -> Self {
        match Alter::new(alter) {
            Some(alter) => Self { step, alter, octave },
            None => panic!("alteration beyond a triple sharp or flat"),
        }
    }

    /// The letter with its alteration.
    pub const fn name(self) -> NoteName {
        NoteName { step: self.step, alter: self.alter }
    }

    /// The key on the keyboard that sounds this pitch.
    pub const fn key_number(self) -> KeyNumber {
        KeyNumber(
            (12 * (self.octave as i32 + 1) + self.step.semitones() + self.alter.semitones()) as i16,
        )
    }

    /// Steps of the staff above C0, alterations ignored: one per line or space.
    pub const fn staff_step(self) -> i32 {
        7 * self.octave as i32 + self.step.index()
    }

    /// The same spelling `octaves` higher (lower if negative).
    pub const fn up_octaves(self, octaves: i8) -> Self {
        Self { octave: self.octave + octaves, ..self }
    }

    /// Semitones from `self` up to `other`.
    pub const fn semitones_to(self, other: Self) -> i32 {
        other.key_number().0 as i32 - self.key_number().0 as i32
    }

    /// Equal-tempered frequency in hertz, with A4 at `a4` hertz (ISO 16: 440).
    pub fn frequency(self, a4: f64) -> f64 {
        a4 * ((f64::from(self.key_number().0) - 69.0) / 12.0).exp2()
    }
}

/// By sound first, then by spelling, so that enharmonics stand side by side.
impl Ord for Pitch {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        (self.key_number(), self.staff_step()).cmp(&(other.key_number(), other.staff_step()))
    }
}

impl PartialOrd for Pitch {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self, f)
    }
}

impl fmt::Display for Alter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "♭" } else { "♯" };
        f.write_str(&sign.repeat(usize::from(self.0.unsigned_abs())))
    }
}

impl fmt::Display for NoteName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.step, self.alter)
    }
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.name(), self.octave)
    }
}

/// A text that is not a note name or pitch.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("“{read}” is not a {wanted}; write a letter A to G, then # or b if altered{example}")]
pub struct PitchTextError {
    read: String,
    wanted: &'static str,
    example: &'static str,
}

/// Reads a letter and its accidentals (`#`, `b`, `♯`, `♭`); gives what is left.
fn read_name(text: &str) -> Option<(NoteName, &str)> {
    let mut chars = text.chars();
    let step = Step::from_letter(chars.next()?)?;
    let mut rest = chars.as_str();
    let mut semitones = 0;
    loop {
        let (change, length) = match rest.chars().next() {
            Some('#') => (1, 1),
            Some('b') => (-1, 1),
            Some('♯') => (1, '♯'.len_utf8()),
            Some('♭') => (-1, '♭'.len_utf8()),
            _ => break,
        };
        semitones += change;
        rest = &rest[length..];
    }
    Some((NoteName::new(step, Alter::new(semitones)?), rest))
}

impl FromStr for NoteName {
    type Err = PitchTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        match read_name(text) {
            Some((name, "")) => Ok(name),
            _ => Err(PitchTextError {
                read: text.to_owned(),
                wanted: "note name",
                example: " (C, F#, Bb)",
            }),
        }
    }
}

impl FromStr for Pitch {
    type Err = PitchTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        read_name(text)
            .and_then(|(name, octave)| Some(name.in_octave(octave.parse().ok()?)))
            .ok_or_else(|| PitchTextError {
                read: text.to_owned(),
                wanted: "pitch",
                example: ", then the octave (C4, F#3, Bb2)",
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_read_and_written_back() {
        for (text, shown) in [("C4", "C4"), ("F#3", "F♯3"), ("Bb2", "B♭2"), ("C##-1", "C♯♯-1")]
        {
            let pitch: Pitch = text.parse().unwrap();
            assert_eq!(pitch.to_string(), shown);
            assert_eq!(shown.parse::<Pitch>().unwrap(), pitch);
        }
        for bad in ["", "H4", "C", "c4", "C####4", "C4x"] {
            assert!(bad.parse::<Pitch>().is_err(), "{bad}");
        }
    }

    /// ISO 16:1975, standard tuning frequency: A4 is 440 Hz. Equal-tempered
    /// neighbours from the rule of twelfth roots.
    #[test]
    fn frequencies_follow_iso_16() {
        let a4: Pitch = "A4".parse().unwrap();
        assert_eq!(a4.frequency(440.0), 440.0);
        assert_eq!(a4.up_octaves(-2).frequency(440.0), 110.0);
        let semitone = 2f64.powf(1.0 / 12.0);
        let b_flat: Pitch = "Bb4".parse().unwrap();
        assert!((b_flat.frequency(440.0) - 440.0 * semitone).abs() < 1e-9);
    }

    /// MIDI 1.0 key numbers: middle C is 60.
    #[test]
    fn key_numbers_follow_midi() {
        for (text, number) in [("C4", 60), ("A4", 69), ("E2", 40), ("B#3", 60), ("Cb4", 59)] {
            assert_eq!(text.parse::<Pitch>().unwrap().key_number(), KeyNumber(number), "{text}");
        }
    }
}

//! Keys and key signatures.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::pitch::{Alter, NoteName, Step};

/// Major or minor; which minor scale is a matter of the scale, not of the key.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Mode {
    Major,
    Minor,
}

/// Sharps (positive) or flats (negative) at the beginning of a staff, −7 to 7.
#[derive(
    Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default, Serialize, Deserialize,
)]
pub struct KeySignature(i8);

impl KeySignature {
    /// No sharps or flats.
    pub const NONE: Self = Self(0);

    /// `None` beyond seven sharps or flats.
    pub const fn new(fifths: i32) -> Option<Self> {
        if fifths >= -7 && fifths <= 7 { Some(Self(fifths as i8)) } else { None }
    }

    /// Sharps if positive, flats if negative.
    pub const fn fifths(self) -> i32 {
        self.0 as i32
    }

    /// What the signature does to a letter.
    pub fn alter(self, step: Step) -> Alter {
        // A letter's natural stands at −1 (F) to 5 (B) on the line of fifths;
        // n sharps raise the first n from F on, n flats lower the first n from B down.
        let natural = NoteName::new(step, Alter::NATURAL).fifths();
        let fifths = self.fifths();
        if fifths > natural + 1 {
            Alter::SHARP
        } else if fifths < natural - 5 {
            Alter::FLAT
        } else {
            Alter::NATURAL
        }
    }
}

/// A major or minor key with at most seven sharps or flats.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Key {
    tonic: NoteName,
    mode: Mode,
}

impl Key {
    /// The key on `tonic`; `None` if it would need more than seven accidentals.
    pub fn new(tonic: NoteName, mode: Mode) -> Option<Self> {
        let key = Self { tonic, mode };
        KeySignature::new(key.fifths()).map(|_| key)
    }

    /// All thirty keys, from seven flats to seven sharps, major before minor.
    pub fn all() -> impl Iterator<Item = Self> {
        [Mode::Major, Mode::Minor]
            .into_iter()
            .flat_map(|mode| (-7..=7).filter_map(KeySignature::new).map(move |s| s.key(mode)))
    }

    /// The first note of its scale.
    pub const fn tonic(self) -> NoteName {
        self.tonic
    }

    /// Major or minor.
    pub const fn mode(self) -> Mode {
        self.mode
    }

    fn fifths(self) -> i32 {
        self.tonic.fifths() - if self.mode == Mode::Minor { 3 } else { 0 }
    }

    /// The signature at the beginning of the staff.
    pub fn signature(self) -> KeySignature {
        KeySignature(self.fifths() as i8)
    }
}

impl KeySignature {
    /// The major or minor key with this signature.
    pub fn key(self, mode: Mode) -> Key {
        let fifths = self.fifths() + if mode == Mode::Minor { 3 } else { 0 };
        // F stands at −1 on the line of fifths; the letter is found within
        // seven of it, the rest is alteration.
        let step = [Step::F, Step::C, Step::G, Step::D, Step::A, Step::E, Step::B]
            [(fifths + 1).rem_euclid(7) as usize];
        let alter = Alter::new((fifths + 1).div_euclid(7)).unwrap_or_default();
        Key { tonic: NoteName::new(step, alter), mode }
    }
}

impl fmt::Display for Mode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Major => "major",
            Self::Minor => "minor",
        })
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.tonic, self.mode)
    }
}

/// A text that is not a key.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error(
    "“{0}” is not a key; write tonic and mode, as in “G major” or “F# minor” (at most seven sharps or flats)"
)]
pub struct KeyTextError(String);

impl FromStr for Key {
    type Err = KeyTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let error = || KeyTextError(text.to_owned());
        let (tonic, mode) = text.trim().split_once(' ').ok_or_else(error)?;
        let mode = match mode.trim() {
            "major" => Mode::Major,
            "minor" => Mode::Minor,
            _ => return Err(error()),
        };
        Self::new(tonic.parse().map_err(|_| error())?, mode).ok_or_else(error)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thirty_keys_are_named_and_read_back() {
        let all: Vec<Key> = Key::all().collect();
        assert_eq!(all.len(), 30);
        for key in all {
            assert_eq!(key.to_string().parse::<Key>().unwrap(), key);
            assert_eq!(key.signature().key(key.mode()), key);
        }
        assert!("G# major".parse::<Key>().is_err());
    }

    /// Common practice: the order of sharps is F C G D A E B, of flats the reverse.
    #[test]
    fn signatures_alter_letters_in_order() {
        let sharps = [Step::F, Step::C, Step::G, Step::D, Step::A, Step::E, Step::B];
        for count in 0..=7 {
            for (index, step) in sharps.into_iter().enumerate() {
                let sharp = KeySignature(count as i8).alter(step);
                assert_eq!(sharp == Alter::SHARP, index < count, "{count} sharps, {step}");
                let flat = KeySignature(-(count as i8)).alter(step);
                assert_eq!(flat == Alter::FLAT, 6 - index < count, "{count} flats, {step}");
            }
        }
    }
}

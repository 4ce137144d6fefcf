//! Fingers, positions and what a finger does.

use std::fmt;
use std::str::FromStr;

use apoyando_fretboard::{Fret, Place, StringNumber};
use serde::{Deserialize, Serialize};

/// A finger of the left hand, index to little.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(try_from = "u8", into = "u8")]
#[allow(missing_docs)]
pub enum LeftFinger {
    One = 1,
    Two,
    Three,
    Four,
}

impl LeftFinger {
    /// From the index to the little finger.
    pub const ALL: [Self; 4] = [Self::One, Self::Two, Self::Three, Self::Four];

    /// The digit printed for it, 1 to 4.
    pub const fn digit(self) -> u8 {
        self as u8
    }

    /// Its index, from 0.
    pub const fn index(self) -> usize {
        self as usize - 1
    }

    /// The finger with this digit.
    pub const fn from_digit(digit: u8) -> Option<Self> {
        match digit {
            1 => Some(Self::One),
            2 => Some(Self::Two),
            3 => Some(Self::Three),
            4 => Some(Self::Four),
            _ => None,
        }
    }
}

impl TryFrom<u8> for LeftFinger {
    type Error = String;
    fn try_from(digit: u8) -> Result<Self, String> {
        Self::from_digit(digit).ok_or_else(|| format!("{digit} is no left finger; they are 1 to 4"))
    }
}

impl From<LeftFinger> for u8 {
    fn from(finger: LeftFinger) -> Self {
        finger.digit()
    }
}

impl fmt::Display for LeftFinger {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.digit(), f)
    }
}

/// The fret where finger 1 falls when the hand is at rest, one finger to a
/// fret. Written as a roman numeral.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(try_from = "u8", into = "u8")]
pub struct Position(u8);

impl Position {
    /// Finger 1 at the first fret.
    pub const FIRST: Self = Self(1);
    /// The highest position any instrument here may have.
    pub const MOST: u8 = 24;

    /// Position 1 to 24.
    pub const fn new(fret: u8) -> Option<Self> {
        if fret >= 1 && fret <= Self::MOST { Some(Self(fret)) } else { None }
    }

    /// The fret of finger 1, from 1.
    pub const fn get(self) -> u8 {
        self.0
    }

    /// The fret under a finger at rest.
    pub const fn fret_of(self, finger: LeftFinger) -> Fret {
        Fret(self.0 + finger.digit() - 1)
    }

    /// Frets by which `fret` lies above the finger's own fret in this
    /// position; negative below it.
    pub const fn offset(self, finger: LeftFinger, fret: Fret) -> i32 {
        fret.0 as i32 - self.fret_of(finger).0 as i32
    }
}

impl TryFrom<u8> for Position {
    type Error = String;
    fn try_from(fret: u8) -> Result<Self, String> {
        Self::new(fret).ok_or_else(|| format!("there is no position {fret}; they are 1 to 24"))
    }
}

impl From<Position> for u8 {
    fn from(position: Position) -> Self {
        position.0
    }
}

/// The roman numeral: IV.
impl fmt::Display for Position {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const UNITS: [&str; 10] = ["", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX"];
        f.write_str(&"X".repeat(usize::from(self.0 / 10)))?;
        f.write_str(UNITS[usize::from(self.0 % 10)])
    }
}

/// A text that is no position.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("“{0}” is not a position; write a roman numeral from I to XXIV, as in II")]
pub struct PositionTextError(String);

/// Reads a roman numeral, or the fret as a number: `II`, `2`.
impl FromStr for Position {
    type Err = PositionTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let wanted = text.trim();
        (1..=Self::MOST)
            .filter_map(Self::new)
            .find(|p| p.to_string() == wanted || p.get().to_string() == wanted)
            .ok_or_else(|| PositionTextError(text.to_owned()))
    }
}

/// Where a sound is made and with which finger; no finger on an open string.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub struct Placement {
    /// String and fret.
    pub place: Place,
    /// The finger that stops it; `None` exactly when the fret is 0.
    pub finger: Option<LeftFinger>,
}

/// Finger 1 laid across neighbouring strings at one fret.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub struct Barre {
    /// The fret it lies at.
    pub fret: Fret,
    /// Its thinnest string.
    pub thin: StringNumber,
    /// Its thickest string; always thicker than `thin`.
    pub thick: StringNumber,
}

impl Barre {
    /// How many strings it covers, at least 2.
    pub const fn width(self) -> u8 {
        self.thick.get() - self.thin.get() + 1
    }

    /// Whether a string lies under it.
    pub const fn covers(self, string: StringNumber) -> bool {
        self.thin.get() <= string.get() && string.get() <= self.thick.get()
    }
}

/// The side of a barre that is lifted while the other lies.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Hinge {
    /// The base of the finger is lifted off the thin strings.
    Thin,
    /// Its tip is lifted off the thick strings.
    Thick,
}

/// A finger of the right hand.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum RightFinger {
    /// Thumb (pulgar).
    P,
    /// Index (índice).
    I,
    /// Middle (medio).
    M,
    /// Ring (anular).
    A,
}

impl RightFinger {
    /// From the thumb to the ring finger.
    pub const ALL: [Self; 4] = [Self::P, Self::I, Self::M, Self::A];

    /// The letter printed for it.
    pub const fn letter(self) -> char {
        match self {
            Self::P => 'p',
            Self::I => 'i',
            Self::M => 'm',
            Self::A => 'a',
        }
    }

    /// The finger with this letter.
    pub const fn from_letter(letter: char) -> Option<Self> {
        match letter {
            'p' => Some(Self::P),
            'i' => Some(Self::I),
            'm' => Some(Self::M),
            'a' => Some(Self::A),
            _ => None,
        }
    }
}

impl fmt::Display for RightFinger {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.letter())
    }
}

/// How a right-hand finger leaves its string.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Stroke {
    /// Apoyando: it comes to rest on the next string.
    Rest,
    /// Tirando: it moves free of the next string.
    Free,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_are_written_in_roman_numerals() {
        let shown: Vec<String> =
            [1, 4, 5, 9, 10, 12, 19].map(|p| Position::new(p).unwrap().to_string()).into();
        assert_eq!(shown, ["I", "IV", "V", "IX", "X", "XII", "XIX"]);
        for fret in 1..=Position::MOST {
            let position = Position::new(fret).unwrap();
            assert_eq!(position.to_string().parse(), Ok(position));
            assert_eq!(fret.to_string().parse(), Ok(position));
        }
        assert!("0".parse::<Position>().is_err());
        assert!("IIII".parse::<Position>().is_err());
    }

    /// Common practice, no source: in II fingers 1 2 3 4 cover frets 2 3 4 5.
    #[test]
    fn a_position_gives_each_finger_its_fret() {
        let second = Position::new(2).unwrap();
        assert_eq!(LeftFinger::ALL.map(|f| second.fret_of(f).0), [2, 3, 4, 5]);
        assert_eq!(second.offset(LeftFinger::One, Fret(1)), -1);
    }
}

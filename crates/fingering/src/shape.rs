//! Chord shapes, as diagrams show them.

use std::fmt;
use std::str::FromStr;

use apoyando_fretboard::Fret;

use crate::hand::{Barre, LeftFinger};

/// What happens on one string of a shape.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum StringState {
    /// Not played.
    Unplayed,
    /// Played open.
    Open,
    /// Stopped at a fret, with its finger where one is given.
    Stopped {
        /// The fret, from 1.
        fret: Fret,
        /// The finger.
        finger: Option<LeftFinger>,
    },
}

impl StringState {
    /// The fret sounded; `None` if the string is not played.
    pub const fn fret(self) -> Option<Fret> {
        match self {
            Self::Unplayed => None,
            Self::Open => Some(Fret::OPEN),
            Self::Stopped { fret, .. } => Some(fret),
        }
    }
}

/// A chord as it lies under the hand.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Shape {
    /// Name over the diagram: `Am`, `B7`; may be empty.
    pub name: String,
    /// The strings from ① on.
    pub strings: Vec<StringState>,
    /// The barre, if there is one.
    pub barre: Option<Barre>,
}

impl Shape {
    /// The frets from the thickest string to the thinnest: `x32010`. Frets
    /// above 9 stand in parentheses.
    pub fn frets(&self) -> String {
        let mut text = String::new();
        for state in self.strings.iter().rev() {
            match state.fret() {
                None => text.push('x'),
                Some(Fret(fret)) if fret < 10 => text.push(char::from(b'0' + fret)),
                Some(fret) => text.push_str(&format!("({fret})")),
            }
        }
        text
    }

    /// The fingers from the thickest string to the thinnest: `·32·1·`.
    pub fn fingers(&self) -> String {
        self.strings
            .iter()
            .rev()
            .map(|state| match state {
                StringState::Stopped { finger: Some(finger), .. } => {
                    char::from(b'0' + finger.digit())
                }
                _ => '·',
            })
            .collect()
    }
}

impl fmt::Display for Shape {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.frets(), self.fingers())
    }
}

/// A text that is not a row of frets.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("“{0}” is not a shape; write one fret or x for every string, thickest first, as in x32010")]
pub struct ShapeTextError(String);

/// Reads single-digit frets from the thickest string on, without fingers.
impl FromStr for Shape {
    type Err = ShapeTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let strings = text
            .chars()
            .rev()
            .map(|c| match c {
                'x' => Some(StringState::Unplayed),
                '0' => Some(StringState::Open),
                '1'..='9' => {
                    Some(StringState::Stopped { fret: Fret(c as u8 - b'0'), finger: None })
                }
                _ => None,
            })
            .collect::<Option<Vec<_>>>()
            .ok_or_else(|| ShapeTextError(text.to_owned()))?;
        Ok(Self { name: String::new(), strings, barre: None })
    }
}

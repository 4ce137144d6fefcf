//! House style: what holds for every item that does not say otherwise, and
//! what the book's author prefers where hands leave a choice.

use std::str::FromStr;

use apoyando_fingering::{HouseStyle, LeftFinger, Shape, StringState, Stroke};
use apoyando_fretboard::Millimetres;

use super::item::{Alternation, Density};

/// House style.
#[derive(Clone, PartialEq, Debug)]
pub struct House {
    /// How much fingering is printed.
    pub density: Density,
    /// Whether lines tell how long a finger stays down for its next note.
    pub hold_lines: bool,
    /// Where tablature stands.
    pub tablature: Tablature,
    /// Height of a staff of five lines.
    pub staff_height: Millimetres,
    /// The alternating pair of a line.
    pub alternation: Alternation,
    /// How it is plucked; `None` is rest stroke on single lines and free
    /// stroke elsewhere.
    pub stroke: Option<Stroke>,
    /// What is preferred for certain notes.
    pub style: HouseStyle,
    /// What each note placed against the style costs; a value of the table of
    /// effort, which holds where this is `None`.
    pub worth: Option<u32>,
    /// Whether a pin on a note holds for the like notes of like bars.
    pub like_bars: bool,
    /// How gladly open strings are played; a value of the table of effort.
    pub open_strings: OpenStrings,
    /// How gladly finger 4 is used; a value of the table of effort.
    pub fourth_finger: FourthFinger,
}

impl Default for House {
    /// 7.2 mm is usual for the main text of a method: common practice.
    fn default() -> Self {
        Self {
            density: Density::WhereNeeded,
            hold_lines: false,
            tablature: Tablature::None,
            staff_height: Millimetres(7.2),
            alternation: Alternation::INDEX_MIDDLE,
            stroke: None,
            style: HouseStyle::NONE,
            worth: None,
            like_bars: false,
            open_strings: OpenStrings::default(),
            fourth_finger: FourthFinger::default(),
        }
    }
}

/// Where tablature stands.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Tablature {
    /// Nowhere.
    #[default]
    None,
    /// Under the notation.
    Under,
    /// Instead of the notation, with its rhythm.
    Alone,
}

impl From<bool> for Tablature {
    /// Under the notation, or nowhere.
    fn from(wanted: bool) -> Self {
        if wanted { Self::Under } else { Self::None }
    }
}

/// How gladly open strings are played.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum OpenStrings {
    /// A stopped note costs twice as much as in the table.
    Sought,
    /// As in the table.
    #[default]
    Usual,
    /// A stopped note costs no more than an open one.
    Equal,
}

/// How gladly finger 4 is used.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum FourthFinger {
    /// It costs twice as much as in the table.
    Spared,
    /// As in the table.
    #[default]
    Usual,
    /// It costs as much as finger 3.
    Equal,
}

/// A shape of which every stopped string has its finger: `x02210 ··231·`.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct FingeredShape(pub Shape);

/// A text that is no fingered shape.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error(
    "“{0}” is not a shape with fingers; write a fret or x for every string and below it the finger, thickest string first, as in x02210 ··231·"
)]
pub struct FingeredShapeTextError(String);

impl FromStr for FingeredShape {
    type Err = FingeredShapeTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        fingered(text).map(Self).ok_or_else(|| FingeredShapeTextError(text.to_owned()))
    }
}

fn fingered(text: &str) -> Option<Shape> {
    let mut rows = text.split_whitespace();
    let (frets, fingers) = (rows.next()?, rows.next()?);
    let mut shape: Shape = frets.parse().ok()?;
    let fingers: Vec<char> = fingers.chars().rev().collect();
    if rows.next().is_some() || fingers.len() != shape.strings.len() || fingers.len() < 4 {
        return None;
    }
    for (state, digit) in shape.strings.iter_mut().zip(fingers) {
        let read = digit.to_digit(10).and_then(|digit| LeftFinger::from_digit(digit as u8));
        match (state, read) {
            (StringState::Stopped { finger, .. }, Some(read)) => *finger = Some(read),
            (StringState::Open | StringState::Unplayed, None) if ".·-0".contains(digit) => {}
            _ => return None,
        }
    }
    Some(shape)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice, no source: A minor and D minor in open position.
    #[test]
    fn shapes_are_read_with_their_fingers() {
        let read = |text: &str| text.parse::<FingeredShape>().map(|shape| shape.0.to_string());
        assert_eq!(read("x02210 ..231."), Ok("x02210 ··231·".to_owned()));
        assert_eq!(read("xx0231 ···241"), Ok("xx0231 ···241".to_owned()));
        for bad in ["", "x02210", "x02210 ..23..", "x02210 ..2315", "x022 ..231.", "x02210 1.231."]
        {
            assert!(read(bad).is_err(), "{bad}");
        }
    }
}

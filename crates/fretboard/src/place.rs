//! Strings, frets and the places where they meet.

use std::fmt;

use serde::{Deserialize, Serialize};

/// A string, counted from the thinnest: ① is 1.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(try_from = "u8", into = "u8")]
pub struct StringNumber(u8);

impl StringNumber {
    /// The thinnest string.
    pub const FIRST: Self = Self(1);
    /// As many strings as an instrument may have.
    pub const MOST: u8 = 10;

    /// A string from 1 to 10.
    pub const fn new(number: u8) -> Option<Self> {
        if number >= 1 && number <= Self::MOST { Some(Self(number)) } else { None }
    }

    /// Its number, from 1.
    pub const fn get(self) -> u8 {
        self.0
    }

    /// Its index, from 0 for ①.
    pub const fn index(self) -> usize {
        self.0 as usize - 1
    }
}

impl TryFrom<u8> for StringNumber {
    type Error = String;
    fn try_from(number: u8) -> Result<Self, String> {
        Self::new(number).ok_or_else(|| format!("there is no string {number}; strings are 1 to 10"))
    }
}

impl From<StringNumber> for u8 {
    fn from(string: StringNumber) -> Self {
        string.0
    }
}

/// The circled digit used in print: ①.
impl fmt::Display for StringNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let circled = char::from_u32('①' as u32 + u32::from(self.0) - 1).unwrap_or('?');
        write!(f, "{circled}")
    }
}

/// A fret; 0 is the open string.
#[derive(
    Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default, Serialize, Deserialize,
)]
pub struct Fret(pub u8);

impl Fret {
    /// The open string.
    pub const OPEN: Self = Self(0);
    /// The highest fret any instrument here may have.
    pub const MOST: Self = Self(24);

    /// Whether this is the open string.
    pub const fn is_open(self) -> bool {
        self.0 == 0
    }
}

impl fmt::Display for Fret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

/// A string at a fret.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub struct Place {
    /// The string.
    pub string: StringNumber,
    /// The fret; 0 for open.
    pub fret: Fret,
}

/// `②3`, `⑥0`.
impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.string, self.fret)
    }
}

//! Tunings: the open pitch of every string.

use std::str::FromStr;

use apoyando_music::Pitch;

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
/// them: `E2 A2 D3 G3 B3 E4`.
impl FromStr for Tuning {
    type Err = TuningError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let mut open =
            text.split_whitespace().map(str::parse).collect::<Result<Vec<Pitch>, _>>()?;
        open.reverse();
        Self::new(open)
    }
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

//! Pins of the plan: decisions by bar, beat and voice.

use std::fmt;
use std::str::FromStr;

use apoyando_fingering::{
    BarreLimit, FretSet, LeftFingerSet, PositionSet, RightFingerSet, StringSet,
};
use apoyando_music::Pitch;
use num_rational::Ratio;

use crate::source::SourcePlace;

/// A beat in a bar, counted from 1 in beats as they are felt (dotted quarters
/// in 6/8), with a fraction for what lies between: `2`, `3½`, `2 1/3`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Beat(Ratio<i64>);

impl Beat {
    /// The count, from 1.
    pub const fn count(self) -> Ratio<i64> {
        self.0
    }
}

/// A text that is no beat.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("“{0}” is not a beat; count from 1 and write fractions as in 2, 2.5, “2½” or “2 1/3”")]
pub struct BeatTextError(String);

const FRACTIONS: [(char, i64, i64); 6] =
    [('½', 1, 2), ('⅓', 1, 3), ('⅔', 2, 3), ('¼', 1, 4), ('¾', 3, 4), ('⅛', 1, 8)];

fn beat(text: &str) -> Option<Ratio<i64>> {
    let whole = |text: &str| {
        text.parse::<i64>().ok().filter(|n| (0..=999).contains(n)).map(Ratio::from_integer)
    };
    let fraction = |text: &str| {
        let (above, below) = text.split_once('/')?;
        let (above, below) = (whole(above.trim())?, whole(below.trim())?);
        (*below.numer() > 0).then(|| above / below)
    };
    if let Some(last) = text.chars().last()
        && let Some((_, above, below)) = FRACTIONS.into_iter().find(|(sign, ..)| *sign == last)
    {
        let before = text[..text.len() - last.len_utf8()].trim();
        return Some(whole(before)? + Ratio::new(above, below));
    }
    if let Some((before, after)) = text.split_once(' ') {
        return Some(whole(before)? + fraction(after.trim())?);
    }
    if let Some((before, after)) = text.split_once('.') {
        let places = u32::try_from(after.len()).ok().filter(|places| (1..=6).contains(places))?;
        let digits = after.bytes().all(|b| b.is_ascii_digit()).then_some(after)?;
        return Some(whole(before)? + Ratio::new(digits.parse().ok()?, 10i64.pow(places)));
    }
    fraction(text).or_else(|| whole(text))
}

impl FromStr for Beat {
    type Err = BeatTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        beat(text.trim())
            .filter(|beat| *beat >= Ratio::from_integer(1))
            .map(Self)
            .ok_or_else(|| BeatTextError(text.to_owned()))
    }
}

/// As it was counted: `2`, `3½`, `1 2/5`.
impl fmt::Display for Beat {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0.to_integer())?;
        let rest = self.0.fract();
        if *rest.numer() == 0 {
            return Ok(());
        }
        match FRACTIONS.iter().find(|(_, n, d)| (n, d) == (rest.numer(), rest.denom())) {
            Some((sign, ..)) => write!(f, "{sign}"),
            None => write!(f, " {}/{}", rest.numer(), rest.denom()),
        }
    }
}

/// Bars by their printed numbers, both included.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct BarRange {
    /// The first.
    pub first: u32,
    /// The last.
    pub last: u32,
}

/// A text that is no range of bars.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("“{0}” is not a range of bars; write one bar or first and last, as in 5 or 5-8")]
pub struct BarRangeTextError(String);

impl FromStr for BarRange {
    type Err = BarRangeTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let (first, last) = text.split_once(['-', '–']).unwrap_or((text, text));
        match (first.trim().parse(), last.trim().parse()) {
            (Ok(first), Ok(last)) if first <= last => Ok(Self { first, last }),
            _ => Err(BarRangeTextError(text.to_owned())),
        }
    }
}

impl fmt::Display for BarRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.first == self.last {
            write!(f, "{}", self.first)
        } else {
            write!(f, "{}-{}", self.first, self.last)
        }
    }
}

impl BarRange {
    /// `bar 5` or `bars 5 to 8`.
    #[must_use]
    pub fn in_words(&self) -> String {
        if self.first == self.last {
            format!("bar {}", self.first)
        } else {
            format!("bars {} to {}", self.first, self.last)
        }
    }
}

/// A note as an author points at it.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct PinPlace {
    /// The bar, by its printed number.
    pub bar: u32,
    /// The beat.
    pub beat: Beat,
    /// The voice, from 1.
    pub voice: u8,
    /// Which note of a chord, as written in guitar music; may be left out
    /// where there is one note only.
    pub pitch: Option<Pitch>,
}

impl fmt::Display for PinPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "bar {}, beat {}", self.bar, self.beat)?;
        if self.voice != 1 {
            write!(f, ", voice {}", self.voice)?;
        }
        if let Some(pitch) = self.pitch {
            write!(f, ", {pitch}")?;
        }
        Ok(())
    }
}

/// What a pin of the plan is about.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum PlannedScope {
    /// A note.
    Note(PinPlace),
    /// A range of bars.
    Bars(BarRange),
}

impl fmt::Display for PlannedScope {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Note(place) => fmt::Display::fmt(place, f),
            Self::Bars(bars) => write!(f, "bars {bars}"),
        }
    }
}

/// What is allowed there.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
#[allow(missing_docs)]
pub enum PlannedRule {
    Strings(StringSet),
    Frets(FretSet),
    LeftFingers(LeftFingerSet),
    SecondFingers(LeftFingerSet),
    RightFingers(RightFingerSet),
    Positions(PositionSet),
    Barre(BarreLimit),
}

/// A decision of the author.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct PlannedPin {
    /// Where it stands in the plan.
    pub place: SourcePlace,
    /// The part it is for, from 1.
    pub part: u16,
    /// What it is about.
    pub scope: PlannedScope,
    /// What is allowed there.
    pub rule: PlannedRule,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beats_are_read_as_they_are_counted() {
        for (text, shown) in
            [("1", "1"), ("2.5", "2½"), ("3¾", "3¾"), ("2 1/3", "2⅓"), ("7/5", "1 2/5")]
        {
            let beat: Beat = text.parse().unwrap();
            assert_eq!(beat.to_string(), shown);
            assert_eq!(shown.parse::<Beat>().unwrap(), beat);
        }
        for bad in ["", "0", "0.5", "-1", "two", "1/0", "2.", "1e3", "½x"] {
            assert!(bad.parse::<Beat>().is_err(), "{bad}");
        }
    }

    #[test]
    fn ranges_are_read() {
        assert_eq!("5-8".parse(), Ok(BarRange { first: 5, last: 8 }));
        assert_eq!("5".parse(), Ok(BarRange { first: 5, last: 5 }));
        assert!("8-5".parse::<BarRange>().is_err());
        assert!("a".parse::<BarRange>().is_err());
    }
}

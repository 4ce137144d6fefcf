//! The reach of a hand: three sizes, and free values for every pair of
//! fingers.
//!
//! Reach is a length of the hand, in millimetres; the guitar does not change
//! it. A shorter scale brings the frets closer together, so that the same hand
//! covers more of them: what a medium hand covers on 650 mm, a small one (nine
//! tenths) covers along a neck of 585 mm.

use std::fmt::{self, Write};
use std::str::FromStr;

use apoyando_fretboard::{Millimetres, TenthsOfMm};
use serde::{Deserialize, Serialize};

use crate::hand::LeftFinger;

/// Three sizes of hand; each multiplies the reach of the middle one.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum HandSize {
    Small,
    #[default]
    Medium,
    Large,
}

/// What is to be said of a size of hand.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct HandSizeInfo {
    /// The size.
    pub size: HandSize,
    /// The word for it.
    pub name: &'static str,
    /// Its reach, in tenths of the medium hand's.
    pub tenths_of_medium: i32,
    /// Whose hand it is.
    pub why: &'static str,
    /// Where the value comes from.
    pub source: &'static str,
}

impl HandSize {
    /// Every size, the smallest first.
    pub const ALL: [HandSizeInfo; 3] = [
        HandSizeInfo {
            size: Self::Small,
            name: "small",
            tenths_of_medium: 9,
            why: "a hand about 165 mm long: small adults, and the young from about twelve",
            source: "hand lengths of adults, from memory; one tenth less is house",
        },
        HandSizeInfo {
            size: Self::Medium,
            name: "medium",
            tenths_of_medium: 10,
            why: "a hand about 185 mm long: what method books write for",
            source: "house",
        },
        HandSizeInfo {
            size: Self::Large,
            name: "large",
            tenths_of_medium: 11,
            why: "a hand about 205 mm long",
            source: "hand lengths of adults, from memory; one tenth more is house",
        },
    ];

    /// What is to be said of this size.
    pub fn info(self) -> &'static HandSizeInfo {
        &Self::ALL[self as usize]
    }
}

/// Two different fingers of the left hand, the lower-numbered first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct FingerPair {
    low: LeftFinger,
    high: LeftFinger,
}

/// What is to be said of a pair of fingers.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ReachInfo {
    /// The pair.
    pub pair: FingerPair,
    /// Its name: `1-2`.
    pub name: &'static str,
    /// The reach of a medium hand.
    pub medium: TenthsOfMm,
    /// Why so far.
    pub why: &'static str,
    /// Where the value comes from.
    pub source: &'static str,
}

const HOUSE: &str = "house, from the spans that method books ask for on 650 mm";

const fn known(
    low: LeftFinger,
    high: LeftFinger,
    name: &'static str,
    medium: i32,
    why: &'static str,
) -> ReachInfo {
    let pair = FingerPair { low, high };
    ReachInfo { pair, name, medium: TenthsOfMm(medium), why, source: HOUSE }
}

use LeftFinger::{Four, One, Three, Two};

impl FingerPair {
    /// Every pair.
    pub const ALL: [ReachInfo; 6] = [
        known(
            One,
            Two,
            "1-2",
            800,
            "frets 1 and 3, with a little left to cross strings; finger 1 turns back far",
        ),
        known(One, Three, "1-3", 1050, "frets 1 and 4"),
        known(One, Four, "1-4", 1250, "frets 1 to 4 with ease; frets 2 and 6, but not 1 and 5"),
        known(Two, Three, "2-3", 660, "just short of frets 1 and 3: 2 and 3 spread badly"),
        known(Two, Four, "2-4", 950, "just short of frets 1 and 4"),
        known(Three, Four, "3-4", 640, "just short of frets 1 and 3: 3 and 4 spread badly"),
    ];

    /// Two fingers in any order; `None` if they are one.
    pub const fn new(a: LeftFinger, b: LeftFinger) -> Option<Self> {
        if a.digit() < b.digit() {
            Some(Self { low: a, high: b })
        } else if a.digit() > b.digit() {
            Some(Self { low: b, high: a })
        } else {
            None
        }
    }
}

/// `1-4`.
impl fmt::Display for FingerPair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-{}", self.low, self.high)
    }
}

/// The widest distance between the tips of two fingers, in tenths of a
/// millimetre, for every pair.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Reach {
    /// Fingers 1 and 2.
    pub one_two: TenthsOfMm,
    /// Fingers 1 and 3.
    pub one_three: TenthsOfMm,
    /// Fingers 1 and 4.
    pub one_four: TenthsOfMm,
    /// Fingers 2 and 3.
    pub two_three: TenthsOfMm,
    /// Fingers 2 and 4.
    pub two_four: TenthsOfMm,
    /// Fingers 3 and 4.
    pub three_four: TenthsOfMm,
}

impl Reach {
    /// The shortest reach of a pair that may be given, in millimetres. House:
    /// two fingertips side by side.
    pub const LEAST: Millimetres = Millimetres(15.0);
    /// The longest reach of a pair that may be given, in millimetres. House:
    /// no hand opens as far.
    pub const MOST: Millimetres = Millimetres(250.0);

    /// The reach of a hand of a given size.
    pub const fn of(size: HandSize) -> Self {
        let by = HandSize::ALL[size as usize].tenths_of_medium;
        const fn scaled(pair: usize, by: i32) -> TenthsOfMm {
            TenthsOfMm(FingerPair::ALL[pair].medium.0 * by / 10)
        }
        Self {
            one_two: scaled(0, by),
            one_three: scaled(1, by),
            one_four: scaled(2, by),
            two_three: scaled(3, by),
            two_four: scaled(4, by),
            three_four: scaled(5, by),
        }
    }

    /// The widest distance between two different fingers.
    pub const fn between(&self, a: LeftFinger, b: LeftFinger) -> TenthsOfMm {
        let (low, high) = if a.digit() < b.digit() { (a, b) } else { (b, a) };
        match (low, high) {
            (One, Two) => self.one_two,
            (One, Three) => self.one_three,
            (One, _) => self.one_four,
            (Two, Three) => self.two_three,
            (Two, _) => self.two_four,
            _ => self.three_four,
        }
    }

    /// The widest distance between the fingers of a pair.
    pub const fn of_pair(&self, pair: FingerPair) -> TenthsOfMm {
        self.between(pair.low, pair.high)
    }

    /// The same hand with another reach of one pair.
    #[must_use]
    pub const fn with(mut self, pair: FingerPair, reach: TenthsOfMm) -> Self {
        match (pair.low, pair.high) {
            (One, Two) => self.one_two = reach,
            (One, Three) => self.one_three = reach,
            (One, _) => self.one_four = reach,
            (Two, Three) => self.two_three = reach,
            (Two, _) => self.two_four = reach,
            _ => self.three_four = reach,
        }
        self
    }

    /// Two pairs of which one lies within the other and yet reaches farther,
    /// which no hand does: `(inner, outer)`.
    pub fn contradiction(&self) -> Option<(FingerPair, FingerPair)> {
        let pairs = || FingerPair::ALL.iter().map(|info| info.pair);
        pairs().flat_map(|outer| pairs().map(move |inner| (inner, outer))).find(|(inner, outer)| {
            outer.low <= inner.low
                && inner.high <= outer.high
                && self.between(inner.low, inner.high) > self.between(outer.low, outer.high)
        })
    }
}

/// A text that is no pair of fingers.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("“{0}” is not a pair of fingers; write 1-2, 1-3, 1-4, 2-3, 2-4 or 3-4")]
pub struct FingerPairTextError(String);

impl FromStr for FingerPair {
    type Err = FingerPairTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let wanted = text.trim();
        Self::ALL
            .iter()
            .find(|info| info.name == wanted)
            .map(|info| info.pair)
            .ok_or_else(|| FingerPairTextError(text.to_owned()))
    }
}

/// The page `docs/hand.md`, in Markdown.
pub fn hand_page() -> String {
    let mut page = String::from(
        "# The reach of a hand\n\n\
         How far apart the tips of two fingers can be, in millimetres, along the neck and\n\
         across it together (rule P6 of [the hand model](model.md)). A level names a size,\n\
         or gives the reach of any pair itself.\n\n\
         Reach belongs to the hand: the scale length of the guitar does not change it. A\n\
         shorter scale brings the frets closer together, so that the same hand covers more\n\
         of them; nine tenths of the reach on nine tenths of 650 mm cover along the neck\n\
         what the whole covers on 650 mm.\n\n\
         Written from `crates/fingering/src/reach.rs`; a test keeps the two alike.\n\n",
    );
    page.push_str("| fingers |");
    for size in HandSize::ALL {
        let _ = write!(page, " {} |", size.name);
    }
    page.push_str(" why | source |\n|---|---:|---:|---:|---|---|\n");
    for info in FingerPair::ALL {
        let _ = write!(page, "| {} |", info.name);
        for size in HandSize::ALL {
            let reach = Reach::of(size.size).between(info.pair.low, info.pair.high);
            let _ = write!(page, " {} |", reach.in_millimetres());
        }
        let _ = writeln!(page, " {} | {} |", info.why, info.source);
    }
    page.push_str("\n| size | of medium | whose | source |\n|---|---:|---|---|\n");
    for size in HandSize::ALL {
        let _ = writeln!(
            page,
            "| {} | {} % | {} | {} |",
            size.name,
            size.tenths_of_medium * 10,
            size.why,
            size.source
        );
    }
    page
}

#[cfg(test)]
mod tests {
    use apoyando_fretboard::{Fret, Instrument};

    use super::*;

    #[test]
    fn every_size_and_pair_is_found_under_its_own_name() {
        for info in HandSize::ALL {
            assert_eq!(info.size.info(), &info);
        }
        for info in FingerPair::ALL {
            assert_eq!(info.name.parse(), Ok(info.pair));
            assert_eq!(info.pair.to_string(), info.name);
            let reach = Reach::of(HandSize::Medium);
            assert_eq!(reach.between(info.pair.low, info.pair.high), info.medium);
            let wider = reach.with(info.pair, TenthsOfMm(1500));
            assert_eq!(wider.between(info.pair.high, info.pair.low), TenthsOfMm(1500));
        }
        for bad in ["2-1", "1-1", "1", "12", "0-4", ""] {
            assert!(bad.parse::<FingerPair>().is_err(), "{bad}");
        }
        assert_eq!(FingerPair::new(Two, Two), None);
    }

    #[test]
    fn no_size_contradicts_itself() {
        for info in HandSize::ALL {
            assert_eq!(Reach::of(info.size).contradiction(), None);
        }
        let pair = |name: &str| name.parse::<FingerPair>().unwrap();
        let odd = Reach::of(HandSize::Medium).with(pair("2-3"), TenthsOfMm(1000));
        assert_eq!(odd.contradiction(), Some((pair("2-3"), pair("2-4"))));
        let odd = Reach::of(HandSize::Medium).with(pair("1-4"), TenthsOfMm(900));
        assert!(odd.contradiction().is_some_and(|(_, outer)| outer == pair("1-4")));
    }

    /// Common practice, no source: four fingers cover four frets in I on
    /// 650 mm, and a small hand finds the same on a guitar of 580 mm.
    #[test]
    fn a_hand_covers_four_frets_on_a_guitar_of_its_size() {
        let span = |scale: f64, frets: u8| {
            let guitar = Instrument { scale_length: Millimetres(scale), ..Instrument::guitar() };
            guitar.fret_from_nut(Fret(frets + 1)).to_tenths()
                - guitar.fret_from_nut(Fret(1)).to_tenths()
        };
        let reach = |size| Reach::of(size).between(One, Four);
        assert!(span(650.0, 3) <= reach(HandSize::Medium));
        assert!(span(650.0, 4) > reach(HandSize::Medium));
        assert!(span(650.0, 4) > reach(HandSize::Small));
        for size in HandSize::ALL {
            let scale = 650.0 * f64::from(size.tenths_of_medium) / 10.0;
            assert!(span(scale, 3) <= reach(size.size) && span(scale, 4) > reach(size.size));
        }
    }
}

//! What a player may be asked to do: the author's limits and the hand's.

use apoyando_fretboard::{Fret, TenthsOfMm};
use serde::{Deserialize, Serialize};

use crate::hand::LeftFinger;
use crate::set::{LeftFingerSet, PositionSet};

/// The widest barre allowed.
#[derive(
    Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default, Serialize, Deserialize,
)]
#[serde(rename_all = "lowercase")]
pub enum BarreLimit {
    /// No barre at all.
    #[default]
    None,
    /// Two strings.
    Small,
    /// Up to four strings.
    Half,
    /// All strings.
    Full,
}

impl BarreLimit {
    /// How many strings it may cover; 0 for none.
    pub const fn width(self) -> u8 {
        match self {
            Self::None => 0,
            Self::Small => 2,
            Self::Half => 4,
            Self::Full => u8::MAX,
        }
    }
}

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
    /// The reach of a hand of a given size. House values, from measuring
    /// which spans method books ask for on a 650 mm guitar: four frets at the
    /// nut in comfort, five from the second position on.
    pub const fn of(size: HandSize) -> Self {
        let tenths_of_medium = match size {
            HandSize::Small => 9,
            HandSize::Medium => 10,
            HandSize::Large => 11,
        };
        const fn scaled(tenths: i32, by: i32) -> TenthsOfMm {
            TenthsOfMm(tenths * by / 10)
        }
        Self {
            one_two: scaled(800, tenths_of_medium),
            one_three: scaled(1050, tenths_of_medium),
            one_four: scaled(1250, tenths_of_medium),
            two_three: scaled(660, tenths_of_medium),
            two_four: scaled(950, tenths_of_medium),
            three_four: scaled(640, tenths_of_medium),
        }
    }

    /// The widest distance between two different fingers.
    pub const fn between(&self, a: LeftFinger, b: LeftFinger) -> TenthsOfMm {
        let (low, high) = if a.digit() < b.digit() { (a, b) } else { (b, a) };
        match (low, high) {
            (LeftFinger::One, LeftFinger::Two) => self.one_two,
            (LeftFinger::One, LeftFinger::Three) => self.one_three,
            (LeftFinger::One, _) => self.one_four,
            (LeftFinger::Two, LeftFinger::Three) => self.two_three,
            (LeftFinger::Two, _) => self.two_four,
            _ => self.three_four,
        }
    }
}

/// What may be asked of a player.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Level {
    /// The highest fret.
    pub highest_fret: Fret,
    /// The positions the hand may be in.
    pub positions: PositionSet,
    /// The fingers that may be used; the open string among them.
    pub fingers: LeftFingerSet,
    /// The widest barre.
    pub barre: BarreLimit,
    /// By how many frets a finger may leave its own fret outwards: 1 towards
    /// the nut, 2 3 4 towards the bridge.
    pub extension: u8,
    /// The reach of the hand.
    pub reach: Reach,
}

impl Level {
    /// Everything a medium hand can do.
    pub const fn open() -> Self {
        Self {
            highest_fret: Fret::MOST,
            positions: PositionSet::ALL,
            fingers: LeftFingerSet::ALL,
            barre: BarreLimit::Full,
            extension: 1,
            reach: Reach::of(HandSize::Medium),
        }
    }

    /// A beginner's hand: no barre, no extension, nothing above fret 5.
    pub const fn first() -> Self {
        Self { highest_fret: Fret(5), barre: BarreLimit::None, extension: 0, ..Self::open() }
    }
}

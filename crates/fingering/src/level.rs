//! What a player may be asked to do: the author's limits and the hand's.

use apoyando_fretboard::Fret;
use serde::{Deserialize, Serialize};

pub use crate::reach::{HandSize, Reach};
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
    /// Whether another finger may take over a note that sounds on. Off unless a book
    /// says so: it is taught by name, and what has not been taught is not asked.
    pub substitution: bool,
    /// The reach of the hand.
    pub reach: Reach,
}

impl Level {
    /// Everything a medium hand can do, but fingers that take over.
    pub const fn open() -> Self {
        Self {
            highest_fret: Fret::MOST,
            positions: PositionSet::ALL,
            fingers: LeftFingerSet::ALL,
            barre: BarreLimit::Full,
            extension: 1,
            substitution: false,
            reach: Reach::of(HandSize::Medium),
        }
    }

    /// A beginner's hand: no barre, no extension, nothing above fret 5.
    pub const fn first() -> Self {
        Self { highest_fret: Fret(5), barre: BarreLimit::None, extension: 0, ..Self::open() }
    }
}

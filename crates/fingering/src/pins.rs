//! Pins: what an author has decided about a fingering. Constraints, not half
//! a fingering: sets of what is allowed, on a tone or over bars.

use apoyando_music::{BarIndex, ToneId};

use crate::level::BarreLimit;
use crate::set::{FretSet, LeftFingerSet, PositionSet, RightFingerSet, StringSet};

/// Who said so. The author outranks an imported file.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum PinAuthor {
    /// A fingering found in an imported file.
    Import,
    /// The author of the book.
    Author,
}

/// What a pin is about.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Scope {
    /// One tone of the part.
    Tone(ToneId),
    /// Every onset from the first bar to the last, both included.
    Bars {
        /// First bar.
        first: BarIndex,
        /// Last bar.
        last: BarIndex,
    },
}

/// What is allowed there. A tone's rule on frets, fingers and strings holds
/// for its placement; over bars it holds for every tone struck in them.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum PinRule {
    /// Only these strings.
    Strings(StringSet),
    /// Only these frets.
    Frets(FretSet),
    /// Only these left fingers; `None` in the set allows the open string.
    LeftFingers(LeftFingerSet),
    /// While the tone sounds on, one of these fingers takes it over. Nothing over bars.
    SecondFingers(LeftFingerSet),
    /// Only these right fingers.
    RightFingers(RightFingerSet),
    /// Only these positions of the hand while anything is stopped.
    Positions(PositionSet),
    /// No wider barre than this.
    Barre(BarreLimit),
}

/// One decision.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Pin {
    /// What it is about.
    pub scope: Scope,
    /// What is allowed there.
    pub rule: PinRule,
    /// Who said so.
    pub author: PinAuthor,
}

/// All decisions on one part of one score.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub struct Pins(pub Vec<Pin>);

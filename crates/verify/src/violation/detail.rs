//! What can be wrong with a barre, a finger that stays and a hand away.

use apoyando_fingering::LeftFinger;
use apoyando_fretboard::{Place, StringNumber};

/// What is wrong with a barre.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
#[allow(missing_docs)]
pub enum BarreFault {
    #[error("it does not span two or more neighbouring strings of the instrument at a fret")]
    NoBarre,
    #[error("{0} under it is below its fret")]
    Below(Place),
    #[error("finger 1 stops what is at its fret and nothing else, not so {0}")]
    NotByFingerOne(Place),
    #[error("the harmonic touched at {0} cannot sound under it")]
    HarmonicUnder(Place),
    #[error("finger 1 also stops {0} outside it")]
    FingerOneOutside(Place),
    #[error("it stops nothing")]
    StopsNothing,
    #[error("{0} under its lifted part is neither open nor above its fret")]
    UnderLifted(Place),
    #[error("no string of its lifted part sounds open")]
    LiftsNothing,
    #[error("it is laid on one string only")]
    LaidOnOne,
    #[error(
        "its end on {0} gives no sound that is kept, struck now or next, or still to come in the broken chord"
    )]
    IdleEnd(StringNumber),
}

/// What is wrong with a finger that stays.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
#[allow(missing_docs)]
pub enum StayFault {
    #[error("it is at no fret of the instrument")]
    NoPlace,
    #[error("it is down as well")]
    IsDown,
    #[error("{0} on its string is not stopped in front of it")]
    NotInFront(Place),
    #[error("it is extended by {0} frets")]
    Extended(i64),
    #[error("the hand is away")]
    HandAway,
    #[error("the hand has no position")]
    NoPosition,
    #[error("it is no common, guide or prepared finger there")]
    NoPurpose,
}

/// What is wrong with a finger that takes over a note that sounds on.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
#[allow(missing_docs)]
pub enum SecondFault {
    #[error("the level has not taught it")]
    NotTaught,
    #[error("the level does not allow that finger")]
    NotAllowed,
    #[error("another note is taken over at the same time")]
    SecondAtOnce,
    #[error("it is a harmonic")]
    Harmonic,
    #[error("it has an ornament")]
    Ornamented,
    #[error("its finger has been changed before")]
    Twice,
    #[error("a barre stops it")]
    Barre,
    #[error("the finger is down on {0} until then")]
    Elsewhere(Place),
    #[error("a pin asks for another finger")]
    Pinned,
}

/// What is wrong with a hand that is away.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
#[allow(missing_docs)]
pub enum AwayFault {
    #[error("it has no position to be away from")]
    NoPosition,
    #[error("it is {0} frets from its position, and may be 2, 3 or 4 above it")]
    Frets(i64),
    #[error("no finger is down")]
    NothingDown,
    #[error("finger {0} holds what was struck before")]
    Holds(LeftFinger),
    #[error("finger {0} is bound by an ornament")]
    Bound(LeftFinger),
    #[error("finger {0} stays")]
    Stays(LeftFinger),
    #[error("a barre lies")]
    Barre,
    #[error("finger {0} is extended")]
    Extended(LeftFinger),
    #[error("no finger is on its own fret")]
    NoneAtRest,
}

//! Signs that an author wants elsewhere on the page.

use super::pins::PinPlace;
use crate::source::SourcePlace;

/// A sign that can be moved.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum NudgedSign {
    /// The left-hand digit at a note.
    Digit,
    /// The right-hand letter at a note.
    Letter,
}

/// A sign moved from where it would stand.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct PlannedNudge {
    /// Where it stands in the plan.
    pub place: SourcePlace,
    /// The part, from 1.
    pub part: u16,
    /// The note that the sign belongs to.
    pub at: PinPlace,
    /// The sign.
    pub sign: NudgedSign,
    /// To the right, in hundredths of a staff space.
    pub right: i16,
    /// Up, in hundredths of a staff space.
    pub up: i16,
}

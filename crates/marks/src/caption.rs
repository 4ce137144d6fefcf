//! What an exercise prints at a moment besides notes and fingering.

use apoyando_fingering::Shape;
use apoyando_music::{Moment, PartIndex};

/// Something printed at a moment of a part.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Caption {
    /// The part.
    pub part: PartIndex,
    /// The onset it stands at.
    pub at: Moment,
    /// What it is.
    pub text: CaptionText,
}

/// What is printed.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum CaptionText {
    /// A chord name above the staff: `Am`.
    ChordName(String),
    /// A chord diagram above the staff, under its name.
    Diagram(Shape),
    /// A degree below the staff: `V7`.
    Degree(String),
    /// A few words below the staff.
    Words(String),
}

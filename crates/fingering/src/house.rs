//! What a book prefers where schools differ and hands do not much care.

use crate::hand::LeftFinger;
use crate::shape::Shape;

/// How a note is played that a line reaches by step from above, where both an
/// open string and a stopped one give it.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Descending {
    /// On the open string.
    Open,
    /// Stopped.
    Stopped,
}

/// Preferences of a book. Each struck note that is placed against one of them
/// costs [`Term::House`](crate::effort::Term::House).
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub struct HouseStyle {
    /// The finger on fret 3 in the first position: 3 or 4.
    pub third_fret: Option<LeftFinger>,
    /// Open or stopped in descending lines.
    pub descending: Option<Descending>,
    /// Fingers of chords.
    pub shapes: Vec<Shape>,
}

impl HouseStyle {
    /// No preference.
    pub const NONE: Self = Self { third_fret: None, descending: None, shapes: Vec::new() };

    /// Whether nothing is preferred.
    pub const fn is_empty(&self) -> bool {
        self.third_fret.is_none() && self.descending.is_none() && self.shapes.is_empty()
    }
}

/// The style of those who have none.
pub static NO_HOUSE: HouseStyle = HouseStyle::NONE;

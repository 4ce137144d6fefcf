//! Which way the right hand goes across the strings of a chord.

/// A way across the strings. The arrow that shows it goes with the pitch: up the page
/// from the bass to the treble, which is down with the hand.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Sweep {
    /// From the lowest string to the highest.
    ToTreble,
    /// From the highest string to the lowest.
    ToBass,
}

impl Sweep {
    /// Both.
    pub const ALL: [Self; 2] = [Self::ToTreble, Self::ToBass];
}

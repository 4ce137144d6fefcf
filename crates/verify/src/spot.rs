//! Where something is, as players say it.

use std::fmt;

use apoyando_music::{BarIndex, Moment, Score};

/// A layer, by number and as bar and beat.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Spot {
    /// Number of the layer, from 0.
    pub layer: usize,
    /// Its onset.
    pub at: Moment,
    /// Number of the bar as printed.
    pub bar: u32,
    /// Beat in the bar, from 1: `2`, `3½`.
    pub beat: String,
}

impl Spot {
    /// The spot of a layer in a score.
    pub(crate) fn new(score: &Score, bar: BarIndex, layer: usize, at: Moment) -> Self {
        let bar = score.bar(bar);
        Self { layer, at, bar: bar.number, beat: bar.beat_text(at) }
    }
}

/// `bar 3, beat 2½`.
impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "bar {}, beat {}", self.bar, self.beat)
    }
}

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
        let mut offset = at - bar.start;
        // A pickup is counted from the end of the bar that it stands for.
        if bar.number == 0 && bar.length < bar.metre.bar() {
            offset += bar.metre.bar() - bar.length;
        }
        let beats = offset.ratio() / bar.metre.beat().ratio();
        let whole = beats.to_integer();
        let rest = beats - whole;
        let fraction = match (*rest.numer(), *rest.denom()) {
            (0, _) => String::new(),
            (1, 2) => "½".to_owned(),
            (1, 3) => "⅓".to_owned(),
            (2, 3) => "⅔".to_owned(),
            (1, 4) => "¼".to_owned(),
            (3, 4) => "¾".to_owned(),
            (numerator, denominator) => format!(" {numerator}/{denominator}"),
        };
        Self { layer, at, bar: bar.number, beat: format!("{}{fraction}", whole + 1) }
    }
}

/// `bar 3, beat 2½`.
impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "bar {}, beat {}", self.bar, self.beat)
    }
}

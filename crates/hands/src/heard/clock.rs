//! Time in milliseconds and the hurry it makes (model §1).

use apoyando_music::{Duration, Moment, Score};

/// The metronome marks of a score.
#[derive(Clone, Debug)]
pub(crate) struct Clock {
    /// Onset, then milliseconds of a whole note as a fraction.
    marks: Vec<(Moment, i128, i128)>,
}

/// Quarters a minute where the score names none, or none a minute.
const USUAL_QUARTERS: i128 = 72;

impl Clock {
    pub fn of(score: &Score) -> Self {
        let marks = score
            .bars()
            .iter()
            .filter_map(|bar| {
                let tempo = bar.tempo?;
                let value = tempo.value.duration().ratio();
                let quarters = 4 * i128::from(tempo.per_minute) * i128::from(*value.numer());
                if quarters <= 0 {
                    return Some((bar.start, 240_000, USUAL_QUARTERS));
                }
                Some((bar.start, 240_000 * i128::from(*value.denom()), quarters))
            })
            .collect();
        Self { marks }
    }

    /// Milliseconds from one moment to a later one, at the earlier one's tempo.
    pub fn milliseconds(&self, from: Moment, to: Moment) -> i64 {
        self.lasting(from, to - from)
    }

    /// Milliseconds that a length takes at the tempo in force at a moment.
    pub fn lasting(&self, from: Moment, length: Duration) -> i64 {
        let after = self.marks.partition_point(|(start, ..)| *start <= from);
        let (numerator, denominator) = match after.checked_sub(1) {
            Some(mark) => (self.marks[mark].1, self.marks[mark].2),
            None => (240_000, USUAL_QUARTERS),
        };
        let ratio = length.ratio();
        let milliseconds = i128::from(*ratio.numer()) * numerator
            / (i128::from(*ratio.denom()) * denominator).max(1);
        i64::try_from(milliseconds).unwrap_or(i64::MAX)
    }
}

/// Above this many milliseconds nothing hurries the hand.
pub(crate) const UNHURRIED: i64 = 600;

/// The greatest hurry there is.
pub(crate) const MOST_HURRY: i64 = 4;

/// The hurry of a time.
pub(crate) const fn hurry(milliseconds: i64) -> i64 {
    match milliseconds {
        ..150 => MOST_HURRY,
        150..300 => 3,
        300..UNHURRIED => 2,
        _ => 1,
    }
}

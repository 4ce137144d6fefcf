//! Time between onsets and the hurry it makes (section 1 of the model).

use apoyando_music::{Duration, Moment, Score};

/// Quarters a minute where no metronome mark is in force, or one of nothing.
const UNMARKED: (i128, i128) = (72, 1);

/// The metronome marks of a score.
pub(crate) struct Clock {
    /// From when on so many quarters, as a fraction, go to a minute.
    marks: Vec<(Moment, (i128, i128))>,
}

impl Clock {
    pub(crate) fn of(score: &Score) -> Self {
        let marks = score
            .bars()
            .iter()
            .filter_map(|bar| bar.tempo.map(|tempo| (bar.start, tempo)))
            .map(|(at, tempo)| {
                if tempo.per_minute == 0 {
                    return (at, UNMARKED);
                }
                let value = tempo.value.duration().ratio();
                let quarters = 4 * i128::from(tempo.per_minute) * i128::from(*value.numer());
                (at, (quarters, i128::from(*value.denom())))
            })
            .collect();
        Self { marks }
    }

    /// Milliseconds that a length lasts at the tempo of an onset.
    pub(crate) fn lasting(&self, at: Moment, length: Duration) -> i128 {
        let after = self.marks.partition_point(|(mark, _)| *mark <= at);
        let (numerator, denominator) =
            after.checked_sub(1).map_or(UNMARKED, |index| self.marks[index].1);
        let length = length.ratio();
        let above = i128::from(*length.numer()) * 240_000 * denominator;
        above / (i128::from(*length.denom()) * numerator)
    }

    /// Milliseconds from one onset to another, at the tempo of the first.
    pub(crate) fn milliseconds(&self, from: Moment, to: Moment) -> i128 {
        self.lasting(from, to - from)
    }

    /// How much of a hurry there is from one onset to another.
    pub(crate) fn hurry(&self, from: Moment, to: Moment) -> i64 {
        self.hurry_of(from, to - from)
    }

    /// How much of a hurry a length makes at the tempo of an onset.
    pub(crate) fn hurry_of(&self, at: Moment, length: Duration) -> i64 {
        match self.lasting(at, length) {
            ..150 => 4,
            150..300 => 3,
            300..600 => 2,
            _ => 1,
        }
    }
}

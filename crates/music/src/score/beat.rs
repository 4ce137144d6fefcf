//! Moments as players say them: bar and beat.

use num_rational::Ratio;

use super::{Bar, Score};
use crate::rhythm::{Duration, Moment};

impl Bar {
    /// What is missing before a pickup: it is counted from the end of the bar
    /// that it stands for.
    fn before_pickup(&self) -> Duration {
        let whole = self.metre.bar();
        if self.number == 0 && self.length < whole { whole - self.length } else { Duration::ZERO }
    }

    /// The beat of a moment, counted from 1 in beats as they are felt (dotted
    /// quarters in 6/8), with a fraction for what lies between: `2`, `3½`,
    /// `1 2/5`.
    pub fn beat_text(&self, at: Moment) -> String {
        let beats = (at - self.start + self.before_pickup()).ratio() / self.metre.beat().ratio();
        let whole = beats.floor();
        let rest = beats - whole;
        let fraction = match (*rest.numer(), *rest.denom()) {
            (0, _) => String::new(),
            (1, 2) => "½".to_owned(),
            (1, 3) => "⅓".to_owned(),
            (2, 3) => "⅔".to_owned(),
            (1, 4) => "¼".to_owned(),
            (3, 4) => "¾".to_owned(),
            (above, below) => format!(" {above}/{below}"),
        };
        format!("{}{fraction}", whole.to_integer() + 1)
    }

    /// The moment of a beat counted from 1; `None` if the bar has no such beat.
    pub fn moment_of_beat(&self, beat: Ratio<i64>) -> Option<Moment> {
        let whole_beats = beat - Ratio::from_integer(1);
        let offset = self.metre.beat().scaled(whole_beats);
        let before = self.before_pickup();
        (offset >= before && offset < before + self.length).then(|| self.start + (offset - before))
    }
}

impl Score {
    /// Printed bar number and beat of a moment, for messages.
    pub fn bar_and_beat(&self, at: Moment) -> (u32, String) {
        self.bar_at(at).map_or((0, "1".to_owned()), |index| {
            let bar = self.bar(index);
            (bar.number, bar.beat_text(at))
        })
    }
}

#[cfg(test)]
mod tests {
    use crate::{
        Base, Draft, DraftBar, DraftEvent, DraftPart, Duration, KeySignature, Metre, NoteValue,
        Score,
    };

    #[test]
    fn beats_are_counted_as_they_are_felt() {
        let mut pickup = DraftBar::new(0, Metre::new(3, 4), KeySignature::NONE);
        pickup.length = Some(Duration::QUARTER);
        let compound = DraftBar::new(1, Metre::new(6, 8), KeySignature::NONE);
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(vec![
            vec![DraftEvent::rest(NoteValue::plain(Base::Quarter))],
            vec![DraftEvent::bar_rest()],
        ]);
        let score = Score::assemble(Draft {
            bars: vec![pickup, compound],
            parts: vec![part],
            ..Draft::default()
        })
        .unwrap();
        let bars = score.bars();
        let eighth = Duration::new(1, 8);
        assert_eq!(bars[0].beat_text(bars[0].start), "3");
        assert_eq!(bars[0].beat_text(bars[0].start + eighth), "3½");
        assert_eq!(bars[1].beat_text(bars[1].start + eighth), "1⅓");
        assert_eq!(score.bar_and_beat(bars[1].start + eighth * 4), (1, "2⅓".to_owned()));
        assert_eq!(bars[0].moment_of_beat(3.into()), Some(bars[0].start));
        assert_eq!(bars[0].moment_of_beat(2.into()), None);
        assert_eq!(bars[1].moment_of_beat(2.into()), Some(bars[1].start + eighth * 3));
        assert_eq!(bars[1].moment_of_beat(3.into()), None);
    }
}

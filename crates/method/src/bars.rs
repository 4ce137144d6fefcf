//! Notes put into bars, with ties over the barlines and pins for the search.

use apoyando_fingering::{
    LeftFinger, LeftFingerSet, Pin, PinAuthor, PinRule, Pins, Position, PositionSet, Scope,
    StringSet,
};
use apoyando_fretboard::StringNumber;
use apoyando_hands::RightPlan;
use apoyando_marks::{Caption, CaptionText};
use apoyando_music::{
    BarEnd, BarIndex, Base, Draft, DraftBar, DraftEvent, DraftNote, DraftPart, Duration, Heading,
    Moment, NoteValue, Origin, PartIndex, Pitch, Score, VoiceNumber,
};

use crate::error::MethodError;
use crate::setting::Setting;
use crate::written::Written;

/// How a shape holds one of its notes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Hold {
    pub(crate) string: StringNumber,
    /// `None` on an open string.
    pub(crate) finger: Option<LeftFinger>,
}

/// A note to be written, held in one way if it belongs to a shape.
pub(crate) type Struck = (Pitch, Option<Hold>);

/// A part of one voice in the making.
pub(crate) struct Bars<'a> {
    setting: &'a Setting<'a>,
    writer: &'static str,
    title: String,
    bars: Vec<Vec<DraftEvent>>,
    /// How much of the last bar is filled.
    filled: Duration,
    /// Bar and event of every note that is held in one way.
    holds: Vec<(usize, usize, Pitch, Hold)>,
    positions: Option<Position>,
    captions: Vec<Caption>,
    double_bars: Vec<usize>,
    step: u32,
}

const PART: PartIndex = PartIndex(0);

impl<'a> Bars<'a> {
    pub(crate) fn new(
        setting: &'a Setting<'a>,
        writer: &'static str,
        title: String,
    ) -> Result<Self, MethodError> {
        setting.check()?;
        Ok(Self {
            setting,
            writer,
            title,
            bars: Vec::new(),
            filled: setting.metre.bar(),
            holds: Vec::new(),
            positions: None,
            captions: Vec::new(),
            double_bars: Vec::new(),
            step: 0,
        })
    }

    /// The hand is to stay in a position from beginning to end.
    pub(crate) const fn stay_in(&mut self, position: Position) {
        self.positions = Some(position);
    }

    /// When the next event begins.
    pub(crate) fn now(&self) -> Moment {
        let bar = self.setting.metre.bar();
        let before = self.bars.len().saturating_sub(1) as i64;
        let filled = if self.bars.is_empty() { Duration::ZERO } else { self.filled };
        Moment::after_start(bar * before + filled)
    }

    /// What is left of the bar; a whole bar at its end.
    pub(crate) fn room(&self) -> Duration {
        let bar = self.setting.metre.bar();
        if self.filled < bar { bar - self.filled } else { bar }
    }

    /// How many bars there are.
    pub(crate) const fn count(&self) -> usize {
        self.bars.len()
    }

    /// Prints something at the next event.
    pub(crate) fn caption(&mut self, text: CaptionText) {
        self.captions.push(Caption { part: PART, at: self.now(), text });
    }

    /// Two thin lines after the last bar so far.
    pub(crate) fn double_bar(&mut self) {
        if let Some(last) = self.bars.len().checked_sub(1) {
            self.double_bars.push(last);
        }
    }

    /// Strikes notes together.
    pub(crate) fn play(&mut self, notes: &[Struck], length: Duration) -> Result<(), MethodError> {
        let pieces = self.pieces(length)?;
        let count = pieces.len();
        for (index, (bar, value)) in pieces.into_iter().enumerate() {
            let tied = index + 1 < count;
            let mut event = DraftEvent::rest(value);
            event.notes = notes
                .iter()
                .map(|(pitch, _)| DraftNote { tied, ..DraftNote::new(*pitch) })
                .collect();
            if index == 0 {
                let place = self.bars.get(bar).map_or(0, Vec::len);
                let holds = notes.iter().filter_map(|(p, hold)| Some((bar, place, *p, (*hold)?)));
                self.holds.extend(holds);
            }
            self.put(bar, event);
        }
        self.step += 1;
        Ok(())
    }

    /// Keeps silence.
    pub(crate) fn rest(&mut self, length: Duration) -> Result<(), MethodError> {
        for (bar, value) in self.pieces(length)? {
            self.put(bar, DraftEvent::rest(value));
        }
        self.step += 1;
        Ok(())
    }

    /// Ends on a long note: to the end of the bar, and through another one if
    /// less than twice the value is left.
    pub(crate) fn end_on(&mut self, notes: &[Struck]) -> Result<(), MethodError> {
        let room = self.room();
        let long = room >= self.setting.value.duration() * 2 || room == self.setting.metre.bar();
        self.play(notes, if long { room } else { room + self.setting.metre.bar() })
    }

    fn put(&mut self, bar: usize, event: DraftEvent) {
        while self.bars.len() <= bar {
            self.bars.push(Vec::new());
            self.filled = Duration::ZERO;
        }
        self.filled += event.value.duration();
        let origin = Origin::Written { writer: self.writer, step: self.step };
        self.bars[bar].push(event.from_origin(origin));
    }

    /// Written values, with the bars that they fall in, that make up a length
    /// from here on.
    fn pieces(&self, length: Duration) -> Result<Vec<(usize, NoteValue)>, MethodError> {
        let full = self.setting.metre.bar();
        let mut pieces = Vec::new();
        let (mut bar, mut room) = if self.filled < full {
            (self.bars.len().saturating_sub(1), full - self.filled)
        } else {
            (self.bars.len(), full)
        };
        let mut left = length;
        while left > Duration::ZERO {
            let fits = if left < room { left } else { room };
            let value = largest_within(fits).ok_or_else(|| self.setting.value_error())?;
            pieces.push((bar, value));
            left = left - value.duration();
            room = room - value.duration();
            if room.is_zero() {
                bar += 1;
                room = full;
            }
        }
        Ok(pieces)
    }

    /// The exercise, complete.
    pub(crate) fn finish(mut self, right: RightPlan) -> Result<Written, MethodError> {
        let full = self.setting.metre.bar();
        if self.filled < full {
            self.rest(full - self.filled)?;
        }
        let setting = self.setting;
        let count = self.bars.len();
        let grid = (0..count)
            .map(|index| {
                let number = index as u32 + 1;
                let mut bar = DraftBar::new(number, setting.metre, setting.key.signature());
                if index == 0 {
                    bar.tempo = setting.tempo;
                }
                bar.end = if index + 1 == count {
                    BarEnd::Final
                } else if self.double_bars.contains(&index) {
                    BarEnd::Double
                } else {
                    BarEnd::Plain
                };
                bar
            })
            .collect();
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(self.bars);
        let score = Score::assemble(Draft {
            heading: Heading { title: self.title, ..Heading::default() },
            bars: grid,
            parts: vec![part],
        })?;
        let mut pins = hold_pins(&score, &self.holds);
        if let (Some(position), Some(last)) = (self.positions, count.checked_sub(1)) {
            pins.push(Pin {
                scope: Scope::Bars { first: BarIndex(0), last: BarIndex(last as u32) },
                rule: PinRule::Positions(PositionSet::NONE.with(position)),
                author: PinAuthor::Author,
            });
        }
        Ok(Written {
            score,
            pins: vec![Pins(pins)],
            captions: self.captions,
            right,
            advice: Vec::new(),
            listed: Vec::new(),
            findings: Vec::new(),
        })
    }
}

/// String and finger of every note that a shape holds.
fn hold_pins(score: &Score, holds: &[(usize, usize, Pitch, Hold)]) -> Vec<Pin> {
    let tones = score.tones(PART);
    let mut pins = Vec::new();
    for (bar, event, pitch, hold) in holds {
        let struck = score.part(PART).voices.iter().filter(|v| v.number == VoiceNumber(1));
        let notes = struck
            .filter_map(|voice| voice.bars.get(*bar)?.get(*event))
            .flat_map(|event| event.notes().iter().copied());
        let found = notes.filter(|id| score.note(*id).pitch == *pitch);
        for tone in found.filter_map(|id| tones.of_note(id)) {
            let pin = |rule| Pin { scope: Scope::Tone(tone), rule, author: PinAuthor::Author };
            pins.push(pin(PinRule::Strings(StringSet::NONE.with(hold.string))));
            pins.push(pin(PinRule::LeftFingers(LeftFingerSet::NONE.with(hold.finger))));
        }
    }
    pins
}

/// The longest written value, with at most one dot, within a length.
fn largest_within(length: Duration) -> Option<NoteValue> {
    Base::ALL
        .into_iter()
        .flat_map(|base| [NoteValue::dotted(base), NoteValue::plain(base)])
        .find(|value| value.duration() <= length)
}

#[cfg(test)]
mod tests {
    use super::*;
    use apoyando_fingering::Level;
    use apoyando_fretboard::Instrument;
    use apoyando_music::Metre;

    fn written(metre: Metre, lengths: &[(i64, i64)]) -> Written {
        let guitar = Instrument::guitar();
        let level = Level::open();
        let key = "C major".parse().unwrap();
        let setting = Setting { metre, ..Setting::new(key, Position::FIRST, &guitar, &level) };
        let mut bars = Bars::new(&setting, "test", String::new()).unwrap();
        let pitch: Pitch = "C4".parse().unwrap();
        for (numerator, denominator) in lengths {
            bars.play(&[(pitch, None)], Duration::new(*numerator, *denominator)).unwrap();
        }
        bars.finish(RightPlan::default()).unwrap()
    }

    #[test]
    fn notes_are_tied_over_the_barline_and_bars_filled() {
        let written = written(Metre::new(3, 4), &[(1, 2), (1, 2), (1, 4)]);
        assert_eq!(written.score.bars().len(), 2);
        let tones = written.score.tones(PART);
        let lengths: Vec<Duration> =
            tones.as_slice().iter().map(apoyando_music::Tone::duration).collect();
        assert_eq!(lengths, [Duration::new(1, 2), Duration::new(1, 2), Duration::new(1, 4)]);
        assert_eq!(tones.as_slice()[1].notes.len(), 2);
        assert_eq!(written.score.bars()[1].end, BarEnd::Final);
    }

    #[test]
    fn a_metre_of_nothing_is_refused() {
        let guitar = Instrument::guitar();
        let level = Level::open();
        let key = "C major".parse().unwrap();
        let none = Metre::new(0, 4);
        let setting =
            Setting { metre: none, ..Setting::new(key, Position::FIRST, &guitar, &level) };
        assert!(Bars::new(&setting, "test", String::new()).is_err());
    }
}

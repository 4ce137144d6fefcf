//! What every writer is told.

use apoyando_fingering::{Level, Position};
use apoyando_fretboard::Instrument;
use apoyando_music::{Base, Key, Metre, NoteValue, Tempo};

use crate::error::MethodError;

/// Key, place on the instrument and look of an exercise.
#[derive(Clone, Copy, Debug)]
pub struct Setting<'a> {
    /// The key.
    pub key: Key,
    /// The position it is written for.
    pub position: Position,
    /// What it is played on.
    pub instrument: &'a Instrument,
    /// What may be asked of the player.
    pub level: &'a Level,
    /// The value of its notes.
    pub value: NoteValue,
    /// Its metre.
    pub metre: Metre,
    /// A metronome mark at its beginning.
    pub tempo: Option<Tempo>,
}

impl<'a> Setting<'a> {
    /// Quarter notes in common time, without a metronome mark.
    pub const fn new(
        key: Key,
        position: Position,
        instrument: &'a Instrument,
        level: &'a Level,
    ) -> Self {
        Self {
            key,
            position,
            instrument,
            level,
            value: NoteValue::plain(Base::Quarter),
            metre: Metre::COMMON,
            tempo: None,
        }
    }

    /// Refuses metres of nothing and values that no page shows.
    pub(crate) fn check(&self) -> Result<(), MethodError> {
        let is_metre = self.metre.count > 0 && self.metre.unit > 0;
        if is_metre && self.value.dots <= 3 { Ok(()) } else { Err(self.value_error()) }
    }

    /// The refusal of a value that does not go into the metre.
    pub(crate) fn value_error(&self) -> MethodError {
        let value = if self.value.dots > 3 {
            "notes with more than three dots".to_owned()
        } else {
            format!("notes of {} of a whole note", self.value.duration())
        };
        MethodError::ValueInMetre { value, count: self.metre.count, unit: self.metre.unit }
    }
}

//! What every writer is told.

use apoyando_fingering::{Level, Position};
use apoyando_fretboard::Instrument;
use apoyando_music::{Base, Key, Metre, NoteValue, Tempo};

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
}

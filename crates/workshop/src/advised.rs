//! Where a key lies best on the neck, asked once for a level and an instrument: all
//! exercises of a section that leave their position open ask the same.

use std::sync::Arc;

use apoyando_fingering::Level;
use apoyando_fretboard::Instrument;
use apoyando_method::{PositionAdvice, advise};
use apoyando_music::Key;

use crate::memo::{Memo, content_hash};

/// The advice that was given.
#[derive(Clone, Default)]
pub struct Advised(Memo<Arc<PositionAdvice>>);

impl Advised {
    /// As [`advise`].
    pub fn of(&self, key: Key, instrument: &Instrument, level: &Level) -> Arc<PositionAdvice> {
        let asked = content_hash((key, level), instrument);
        self.0.get(asked, || Arc::new(advise(key, instrument, level)))
    }

    /// Forgets what nobody has asked for in a long time.
    pub fn end_round(&self) {
        self.0.end_round();
    }
}

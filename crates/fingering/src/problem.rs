//! The question put to the search, and to whoever checks its answer.

use apoyando_fretboard::Instrument;
use apoyando_music::{PartIndex, Score};

use crate::effort::EffortTable;
use crate::house::HouseStyle;
use crate::level::Level;
use crate::pins::Pins;

/// One part of a score to be fingered, with all that limits and prices it.
#[derive(Clone, Copy, Debug)]
pub struct Problem<'a> {
    /// The score.
    pub score: &'a Score,
    /// The part of it.
    pub part: PartIndex,
    /// What it is played on.
    pub instrument: &'a Instrument,
    /// What may be asked of the player.
    pub level: &'a Level,
    /// What the author has decided.
    pub pins: &'a Pins,
    /// What effort costs.
    pub effort: &'a EffortTable,
    /// How the book likes notes to be played where hands do not care.
    pub house: &'a HouseStyle,
}

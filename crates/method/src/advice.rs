//! Where on the neck a key lies best, and why.

use apoyando_fingering::{Level, Position, Shape};
use apoyando_fretboard::{Instrument, Place, StringNumber};
use apoyando_music::{Degree, Key, Pitch};

/// A scale note that a position reaches only with a finger outside its fret.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ExtensionNote {
    /// The sounding pitch.
    pub pitch: Pitch,
    /// Where it is reached.
    pub place: Place,
}

/// A key in one position.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PositionReport {
    /// The position.
    pub position: Position,
    /// The lower tonics of the octaves that lie in it, sounding.
    pub octaves: Vec<Pitch>,
    /// Scale notes between the lowest and the highest that need an extension.
    pub extensions: Vec<ExtensionNote>,
    /// Scale notes under finger 1.
    pub finger_one: Vec<Place>,
    /// Open strings of the key that the position's scale uses.
    pub open_strings: Vec<StringNumber>,
    /// Lowest and highest note of the scale, sounding.
    pub range: Option<(Pitch, Pitch)>,
    /// I, IV and V (i, iv and V) with the shape that holds them in this
    /// position without a barre, if there is one.
    pub primary: Vec<(Degree, Option<Shape>)>,
    /// The answers to the ordered questions, in sentences.
    pub reasons: Vec<String>,
}

/// All positions of a level, best first.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PositionAdvice {
    /// The key.
    pub key: Key,
    /// The positions, best first.
    pub ranked: Vec<PositionReport>,
}

impl PositionAdvice {
    /// The best position, if the level has one with a tonic octave.
    pub fn best(&self) -> Option<&PositionReport> {
        self.ranked.first().filter(|report| !report.octaves.is_empty())
    }

    /// What was found about one position.
    pub fn report(&self, position: Position) -> Option<&PositionReport> {
        self.ranked.iter().find(|report| report.position == position)
    }
}

/// Asks the ordered questions of every position of a level.
pub fn advise(key: Key, instrument: &Instrument, level: &Level) -> PositionAdvice {
    let _ = (key, instrument, level);
    todo!("being written")
}

//! What a file holds.

use apoyando_fingering::{Finding, Pins};
use apoyando_music::Score;

/// What was read from a file.
#[derive(Clone, PartialEq, Debug)]
pub struct Reading {
    /// The pieces, in the order of the file; an ABC file may hold several.
    pub pieces: Vec<ReadPiece>,
    /// What concerns the file as a whole, tunes that could not be read among it.
    pub findings: Vec<Finding>,
}

/// One piece of a file.
#[derive(Clone, PartialEq, Debug)]
pub struct ReadPiece {
    /// The score.
    pub score: Score,
    /// Per part, the fingering marks of the file as imported pins.
    pub pins: Vec<Pins>,
    /// What was not understood or had to be put right, by name and bar.
    pub findings: Vec<Finding>,
}

//! MusicXML 4.0, partwise, with the guitar's own marks.

use apoyando_fingering::Fingering;
use apoyando_fretboard::Instrument;
use apoyando_marks::Marks;
use apoyando_music::{PartIndex, Score};

/// The fingering of one part, for the writer.
#[derive(Clone, Copy, Debug)]
pub struct Layer<'a> {
    /// The part.
    pub part: PartIndex,
    /// What it is played on.
    pub instrument: &'a Instrument,
    /// How it is fingered.
    pub fingering: &'a Fingering,
    /// What of it is printed.
    pub marks: &'a Marks,
}

/// Writes a score with its fingerings. The same input gives the same bytes.
pub fn write(_score: &Score, _layers: &[Layer<'_>]) -> String {
    String::new()
}

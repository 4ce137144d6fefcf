//! Where the notes of a part lie on the strings.

use apoyando_fingering::Fingering;
use apoyando_fretboard::{Instrument, Place, StringNumber};
use apoyando_music::{NoteId, PartIndex, Score};

/// The places of the notes of one part: what tablature shows.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Fretting {
    /// The part.
    pub part: PartIndex,
    /// The thickest string of the instrument: there are as many lines.
    pub thickest: StringNumber,
    /// Per note of the whole score, its string and its fret, counted from the
    /// capo. Of a natural harmonic it is the fret at which the string is touched.
    /// Notes without a place leave no figure.
    pub places: Vec<Option<Place>>,
}

impl Fretting {
    /// No places for a part of a score with so many notes.
    #[must_use]
    pub fn none(part: PartIndex, thickest: StringNumber, notes: usize) -> Self {
        Self { part, thickest, places: vec![None; notes] }
    }

    /// The places of a fingering; those of another revision of the score may be
    /// wrong or missing.
    #[must_use]
    pub fn of(score: &Score, fingering: &Fingering, instrument: &Instrument) -> Self {
        let part = fingering.part;
        let thickest = instrument.tuning.strings().next_back().unwrap_or(StringNumber::FIRST);
        let mut out = Self::none(part, thickest, score.notes().len());
        for tone in score.tones(part).as_slice() {
            let played = fingering.tones.get(tone.id.0 as usize).and_then(|tone| tone.left);
            for note in &tone.notes {
                out.places[note.0 as usize] = played.map(|placement| placement.place);
            }
        }
        out
    }

    /// The same places for the part alone ([`Score::part_alone`]).
    #[must_use]
    pub fn alone(&self, score: &Score) -> Self {
        let places = self.places.get(score.notes_of(self.part)).unwrap_or_default().to_vec();
        Self { part: PartIndex(0), thickest: self.thickest, places }
    }

    /// The place of a note, if it is known and on the instrument.
    #[must_use]
    pub fn place_of(&self, note: NoteId) -> Option<Place> {
        let place = self.places.get(note.0 as usize).copied().flatten()?;
        (place.string <= self.thickest).then_some(place)
    }
}

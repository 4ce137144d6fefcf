//! Tones: chains of tied notes, which are what is fingered and what sounds.

use super::{NoteId, PartIndex, Score, VoiceNumber};
use crate::pitch::Pitch;
use crate::rhythm::{Duration, Moment};

/// Number of a tone in its part, dense from 0, in the order of onset, voice
/// and pitch from low to high.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct ToneId(pub u32);

/// One sound: a note with everything tied to it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Tone {
    /// Its number.
    pub id: ToneId,
    /// Its notes, in order; never empty.
    pub notes: Vec<NoteId>,
    /// The sounding pitch.
    pub pitch: Pitch,
    /// The voice it stands in.
    pub voice: VoiceNumber,
    /// When it is struck.
    pub onset: Moment,
    /// When its written value is over.
    pub end: Moment,
}

impl Tone {
    /// Its whole written length.
    pub fn duration(&self) -> Duration {
        self.end - self.onset
    }

    /// The note that is struck.
    pub fn head(&self) -> NoteId {
        self.notes[0]
    }
}

/// All tones of a part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Tones {
    tones: Vec<Tone>,
    /// Per note of the score, the tone it belongs to; `None` in other parts.
    of_note: Vec<Option<ToneId>>,
}

impl Tones {
    /// How many there are.
    pub const fn len(&self) -> usize {
        self.tones.len()
    }

    /// Whether the part is silent.
    pub const fn is_empty(&self) -> bool {
        self.tones.is_empty()
    }

    /// All of them, in the order of their numbers.
    pub fn as_slice(&self) -> &[Tone] {
        &self.tones
    }

    /// One tone.
    ///
    /// # Panics
    /// If the number is of another part or score.
    pub fn get(&self, id: ToneId) -> &Tone {
        &self.tones[id.0 as usize]
    }

    /// The tone a note belongs to; `None` for a note of another part.
    pub fn of_note(&self, note: NoteId) -> Option<ToneId> {
        self.of_note.get(note.0 as usize).copied().flatten()
    }
}

impl Score {
    /// The tones of a part.
    pub fn tones(&self, part: PartIndex) -> Tones {
        let mut tones: Vec<Tone> = Vec::new();
        for note in self.notes().iter().filter(|n| n.part == part && n.tied_from.is_none()) {
            let mut notes = vec![note.id];
            let mut last = note;
            while let Some(next) = last.tied_to {
                last = self.note(next);
                notes.push(next);
            }
            tones.push(Tone {
                id: ToneId(0),
                notes,
                pitch: note.pitch,
                voice: note.voice,
                onset: note.onset,
                end: last.onset + last.duration,
            });
        }
        tones.sort_by_key(|tone| (tone.onset, tone.voice, tone.pitch));
        let mut of_note = vec![None; self.notes().len()];
        for (index, tone) in tones.iter_mut().enumerate() {
            tone.id = ToneId(index as u32);
            for note in &tone.notes {
                of_note[note.0 as usize] = Some(tone.id);
            }
        }
        Tones { tones, of_note }
    }
}

//! Anchors: which note an author means, across edits of its source.
//!
//! A [`NoteId`](crate::NoteId) holds in one score only. An [`Anchor`] says
//! where a note stood and what it was; a [`Memory`] keeps digests of all bars
//! of the score that the anchors were made on. When the source has changed,
//! old bars are aligned with new ones and each anchor is found where it was,
//! found elsewhere, ambiguous or lost. It is never guessed.

mod align;
mod memory;
mod resolve;
#[cfg(test)]
mod tests;

pub use align::{Alignment, BarMatch};
pub use memory::{BarDigest, Memory};
pub use resolve::{How, Resolved};

use crate::interval::Interval;
use crate::pitch::Pitch;
use crate::rhythm::Duration;
use crate::score::{BarIndex, Note, NoteId, PartIndex, Score, VoiceNumber};
use memory::Digest;

/// A note as an author means it. Pitches are sounding.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Anchor {
    /// The part.
    pub part: PartIndex,
    /// The bar, by its index.
    pub bar: BarIndex,
    /// The voice.
    pub voice: VoiceNumber,
    /// Onset in the bar.
    pub onset: Duration,
    /// The pitch as spelled.
    pub pitch: Pitch,
    /// Its place in its chord, from 0 for the lowest note.
    pub ordinal: u16,
    /// Fingerprint of the event before it in its voice, the same in every
    /// transposition.
    pub before: u64,
    /// Fingerprint of the event after it.
    pub after: u64,
    /// The identifier its source gave it.
    pub source_id: Option<String>,
}

impl Anchor {
    /// The anchor of a note.
    ///
    /// # Panics
    /// If the note is of another score.
    pub fn of(score: &Score, note: NoteId) -> Self {
        let note = score.note(note);
        let event = score.event_of(note);
        let ordinal = event.notes().iter().position(|id| *id == note.id).unwrap_or_default();
        let (before, after) = neighbours(score, note);
        Self {
            part: note.part,
            bar: note.bar,
            voice: note.voice,
            onset: note.onset - score.bar(note.bar).start,
            pitch: note.pitch,
            ordinal: ordinal as u16,
            before,
            after,
            source_id: note.source_id.clone(),
        }
    }
}

/// Fingerprints of the sounding events before and after a note in its voice.
fn neighbours(score: &Score, note: &Note) -> (u64, u64) {
    let voice = &score.part(note.part).voices[usize::from(note.voice.0) - 1];
    let bar = note.bar.0 as usize;
    // A neighbour farther than a bar away says little of a note.
    let from = bar.saturating_sub(1);
    let to = (bar + 2).min(voice.bars.len());
    let events = || voice.bars[from..to].iter().flatten().filter(|event| !event.is_rest());
    let print = |event: Option<&crate::score::Event>| {
        let mut digest = Digest::default();
        if let Some(event) = event {
            digest.duration(event.duration);
            for id in event.notes() {
                let interval = Interval::between(note.pitch, score.note(*id).pitch);
                digest.interval(interval);
            }
            digest.extras(event, |digest, pitch| {
                digest.interval(Interval::between(note.pitch, pitch));
            });
        }
        digest.finish()
    };
    let before = events().take_while(|event| event.onset < note.onset).last();
    let after = events().find(|event| event.onset > note.onset);
    (print(before), print(after))
}

//! A note in words.

use std::fmt::Write;

use apoyando_fingering::{Placement, ToneFingering};
use apoyando_music::NoteId;
use apoyando_workshop::BuiltItem;
use apoyando_workshop::piece::FingeredPart;

/// The part of an item that a note belongs to.
pub fn part_of(item: &BuiltItem, note: NoteId) -> Option<&FingeredPart> {
    let part = item.score.notes().get(note.0 as usize)?.part;
    item.parts.iter().find(|fingered| fingered.part == part)
}

/// How the tone of a note is played, where its part is fingered.
pub fn tone_of(item: &BuiltItem, note: NoteId) -> Option<ToneFingering> {
    let fingering = part_of(item, note)?.fingering.as_ref()?;
    let tone = item.score.tones(fingering.part).of_note(note)?;
    Some(*fingering.tone(tone))
}

/// A note as it is read out: `C4, bar 3, beat 2: ② fret 1, finger 1, i`.
pub fn spoken(item: &BuiltItem, note: NoteId) -> String {
    let Some(own) = item.score.notes().get(note.0 as usize) else { return String::new() };
    let (bar, beat) = item.score.bar_and_beat(own.onset);
    let written = own.pitch.up_octaves(item.score.part(own.part).clef.octaves_up());
    let mut said = format!("{written}, bar {bar}, beat {beat}");
    if let Some(tone) = tone_of(item, note) {
        if let Some(left) = tone.left {
            let _ = write!(said, ": {}", placed(left));
        }
        if let Some(right) = tone.right {
            let _ = write!(said, ", {right}");
        }
    }
    said
}

/// A place and its finger in words: `② fret 1, finger 1`.
pub fn placed(placement: Placement) -> String {
    let place = placement.place;
    match placement.finger {
        None => format!("open {}", place.string),
        Some(finger) => format!("{} fret {}, finger {finger}", place.string, place.fret),
    }
}

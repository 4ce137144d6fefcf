//! Which notes carry an accidental.

use std::collections::BTreeMap;

use apoyando_music::{KeySignature, Note, NoteId, Part, Score, Step};

/// The accidentals of one bar of a part, by note: an accidental holds for its
/// line or space until the bar is over; a tied note needs none.
pub(super) fn of_bar(
    score: &Score,
    part: &Part,
    bar: usize,
    signature: KeySignature,
) -> BTreeMap<NoteId, &'static str> {
    let events = part.voices.iter().flat_map(|voice| &voice.bars[bar]);
    let ids = events.flat_map(|event| event.notes());
    let mut notes: Vec<&Note> = ids.map(|id| score.note(*id)).collect();
    notes.sort_by_key(|note| (note.onset, note.id));
    let mut in_force: BTreeMap<(Step, i8), i32> = BTreeMap::new();
    let mut shown = BTreeMap::new();
    for note in notes {
        let place = (note.pitch.step, note.pitch.octave);
        let alter = note.pitch.alter.semitones();
        let now = in_force
            .get(&place)
            .copied()
            .unwrap_or_else(|| signature.alter(note.pitch.step).semitones());
        if alter != now && note.tied_from.is_none() {
            in_force.insert(place, alter);
            shown.insert(note.id, name(alter));
        }
    }
    shown
}

const fn name(semitones: i32) -> &'static str {
    match semitones {
        -3 => "triple-flat",
        -2 => "flat-flat",
        -1 => "flat",
        1 => "sharp",
        2 => "double-sharp",
        3 => "triple-sharp",
        _ => "natural",
    }
}

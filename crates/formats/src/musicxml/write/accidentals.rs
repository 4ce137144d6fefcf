//! Which notes and grace notes carry an accidental.

use std::collections::BTreeMap;

use apoyando_music::{KeySignature, Moment, NoteId, Part, Pitch, Score, Step};

/// A note head that may carry an accidental. Grace notes go before the notes of
/// their moment.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Head {
    /// A grace note before the event of a note, by its place in order.
    Grace(NoteId, usize),
    /// A note.
    Note(NoteId),
}

/// Which heads of a bar carry which accidental.
pub(super) type Accidentals = BTreeMap<Head, &'static str>;

/// The accidentals of one bar of a part: an accidental holds for its line or
/// space until the bar is over; a tied note needs none.
pub(super) fn of_bar(
    score: &Score,
    part: &Part,
    bar: usize,
    signature: KeySignature,
) -> Accidentals {
    let mut heads: Vec<(Moment, Head, Pitch)> = Vec::new();
    for event in part.voices.iter().flat_map(|voice| &voice.bars[bar]) {
        let first = event.notes().first().copied();
        for (index, grace) in event.graces.iter().enumerate() {
            heads.extend(first.map(|id| (event.onset, Head::Grace(id, index), grace.pitch)));
        }
        let untied = event.notes().iter().map(|id| score.note(*id));
        for note in untied.filter(|note| note.tied_from.is_none()) {
            heads.push((note.onset, Head::Note(note.id), note.pitch));
        }
    }
    heads.sort_unstable();
    let mut in_force: BTreeMap<(Step, i8), i32> = BTreeMap::new();
    let mut shown = BTreeMap::new();
    for (_, head, pitch) in heads {
        let place = (pitch.step, pitch.octave);
        let alter = pitch.alter.semitones();
        let now = in_force
            .get(&place)
            .copied()
            .unwrap_or_else(|| signature.alter(pitch.step).semitones());
        if alter != now {
            in_force.insert(place, alter);
            shown.insert(head, name(alter));
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

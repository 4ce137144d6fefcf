//! Notes of two voices of one side that look like one chord, and are written as one.

use super::{Chord, StaffBar};

/// Joins chords of one side that are struck together, have one value and neither beam nor
/// flag, and nothing of their own beside their notes.
pub fn join(bar: &mut StaffBar) {
    if !bar.shared {
        return;
    }
    let mut into: Vec<usize> = (0..bar.chords.len()).collect();
    for at in 0..bar.chords.len() {
        let first = (0..at)
            .find(|first| into[*first] == *first && may_join(&bar.chords[*first], &bar.chords[at]));
        if let Some(first) = first {
            let heads = std::mem::take(&mut bar.chords[at].heads);
            bar.chords[first].heads.extend(heads);
            bar.chords[first].heads.sort_by_key(|head| head.step);
            into[at] = first;
        }
    }
    // What is left moves up.
    let mut place = 0;
    let places: Vec<usize> = (0..into.len())
        .map(|at| {
            let own = place;
            place += usize::from(into[at] == at);
            own
        })
        .collect();
    let moved = |at: &mut usize| *at = places[into[*at]];
    bar.beams.iter_mut().flatten().for_each(moved);
    for tuplet in &mut bar.tuplets {
        tuplet.chords.iter_mut().for_each(moved);
    }
    bar.chords.retain(|chord| !chord.heads.is_empty());
}

fn may_join(one: &Chord, other: &Chord) -> bool {
    let plain =
        |chord: &Chord| !chord.in_tuplet && chord.beam.is_none() && chord.value.base.flags() == 0;
    one.up == other.up
        && one.voice != other.voice
        && (one.onset, one.value) == (other.onset, other.value)
        && plain(one)
        && plain(other)
        && other.marks.is_empty()
        && other.graces.is_empty()
}

//! Slurs that begin without an end, or end without a beginning, are not drawn.

use std::collections::HashMap;

use apoyando_music::{EventMark, VoiceNumber};

use super::Staff;

/// Where a mark stands: bar, chord, mark.
type Place = (usize, usize, usize);

/// Takes the marks away that have no partner in their voice.
pub fn pair(staff: &mut Staff) {
    let mut open: HashMap<VoiceNumber, Vec<Place>> = HashMap::new();
    let mut loose: Vec<Place> = Vec::new();
    for (bar, notated) in staff.bars.iter().enumerate() {
        for (index, chord) in notated.chords.iter().enumerate() {
            let voice = open.entry(chord.voice).or_default();
            // A slur that ends here does not begin here.
            for (at, mark) in chord.marks.iter().enumerate() {
                if *mark == EventMark::SlurEnd && voice.pop().is_none() {
                    loose.push((bar, index, at));
                }
            }
            for (at, mark) in chord.marks.iter().enumerate() {
                if matches!(mark, EventMark::SlurStart { .. }) {
                    voice.push((bar, index, at));
                }
            }
        }
    }
    loose.extend(open.into_values().flatten());
    // From the back, so that earlier places stay right.
    loose.sort_unstable();
    for (bar, chord, mark) in loose.into_iter().rev() {
        staff.bars[bar].chords[chord].marks.remove(mark);
    }
}

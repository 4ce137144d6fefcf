//! Glissandi as they are drawn: from an event to the next one of its voice.

use std::collections::{BTreeSet, HashMap};

use apoyando_music::{EventMark, VoiceNumber};

use super::StaffBar;

/// A line between two successive chords of a voice: the bar and the chord in it
/// where it begins, and where it ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Glide {
    pub from: (usize, usize),
    pub to: (usize, usize),
}

/// The glissandi of a staff. One that spans several chords is drawn from each to
/// the next; one that never ends leads to the next chord. A rest in between
/// leaves no line.
pub fn find(bars: &[StaffBar]) -> Vec<Glide> {
    let mut voices: HashMap<VoiceNumber, Vec<(usize, usize)>> = HashMap::new();
    for (bar, notated) in bars.iter().enumerate() {
        for (index, chord) in notated.chords.iter().enumerate() {
            voices.entry(chord.voice).or_default().push((bar, index));
        }
    }
    let chord = |(bar, index): (usize, usize)| &bars[bar].chords[index];
    let mut glides = Vec::new();
    for places in voices.values() {
        let mut steps: BTreeSet<usize> = BTreeSet::new();
        let mut open: Vec<usize> = Vec::new();
        for (at, place) in places.iter().enumerate() {
            let count = |mark| chord(*place).marks.iter().filter(|m| **m == mark).count();
            // A glissando that ends here does not begin here.
            for _ in 0..count(EventMark::GlideEnd) {
                steps.extend(open.pop().into_iter().flat_map(|from| from..at));
            }
            open.extend(std::iter::repeat_n(at, count(EventMark::GlideStart)));
        }
        steps.extend(open);
        glides.extend(steps.into_iter().filter_map(|at| {
            let (from, to) = (*places.get(at)?, *places.get(at + 1)?);
            let (one, other) = (chord(from), chord(to));
            (one.onset + one.duration == other.onset).then_some(Glide { from, to })
        }));
    }
    glides.sort_by_key(|glide| (glide.from, glide.to));
    glides
}

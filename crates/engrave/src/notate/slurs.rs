//! Slurs that begin without an end, or end without a beginning, are not drawn.

use std::collections::HashMap;

use apoyando_music::{EventMark, VoiceNumber};

use super::StaffBar;

/// A slur of one voice: the bar and the chord in it where it begins, and where
/// it ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Slur {
    pub voice: VoiceNumber,
    pub from: (usize, usize),
    pub to: (usize, usize),
    /// Whether the left hand plays it.
    pub technical: bool,
}

/// The slurs of a staff; of those that overlap, the last begun ends first.
pub fn pair(bars: &[StaffBar]) -> Vec<Slur> {
    // Those begun end where they begin, until their end is found.
    let mut open: HashMap<VoiceNumber, Vec<Slur>> = HashMap::new();
    let mut slurs = Vec::new();
    for (bar, notated) in bars.iter().enumerate() {
        for (index, chord) in notated.chords.iter().enumerate() {
            let voice = open.entry(chord.voice).or_default();
            // A slur that ends here does not begin here.
            for _ in chord.marks.iter().filter(|mark| **mark == EventMark::SlurEnd) {
                slurs.extend(voice.pop().map(|slur| Slur { to: (bar, index), ..slur }));
            }
            voice.extend(chord.marks.iter().filter_map(|mark| match mark {
                EventMark::SlurStart { technical } => {
                    let (voice, at) = (chord.voice, (bar, index));
                    Some(Slur { voice, from: at, to: at, technical: *technical })
                }
                _ => None,
            }));
        }
    }
    slurs
}

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
}

/// The slurs of a staff; of those that overlap, the last begun ends first.
pub fn pair(bars: &[StaffBar]) -> Vec<Slur> {
    let mut open: HashMap<VoiceNumber, Vec<(usize, usize)>> = HashMap::new();
    let mut slurs = Vec::new();
    for (bar, notated) in bars.iter().enumerate() {
        for (index, chord) in notated.chords.iter().enumerate() {
            let voice = open.entry(chord.voice).or_default();
            let count =
                |pick: fn(&EventMark) -> bool| chord.marks.iter().filter(|m| pick(m)).count();
            // A slur that ends here does not begin here.
            for _ in 0..count(|mark| *mark == EventMark::SlurEnd) {
                if let Some(from) = voice.pop() {
                    slurs.push(Slur { voice: chord.voice, from, to: (bar, index) });
                }
            }
            for _ in 0..count(|mark| matches!(mark, EventMark::SlurStart { .. })) {
                voice.push((bar, index));
            }
        }
    }
    slurs
}

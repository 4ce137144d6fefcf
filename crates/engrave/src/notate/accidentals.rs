//! Which notes need an accidental.

use std::collections::HashMap;

use apoyando_music::{Alter, KeySignature, Pitch, Score, Step};

use super::{Accidental, Chord};
use crate::font::{Glyph, table};

/// What accidentals hold so far in this bar, and held in the one before.
#[derive(Default)]
pub struct Memory {
    signature: KeySignature,
    bar: HashMap<(Step, i8), Alter>,
    before: HashMap<(Step, i8), Alter>,
}

impl Memory {
    /// A barline ends all accidentals.
    pub fn enter_bar(&mut self, signature: KeySignature) {
        self.signature = signature;
        std::mem::swap(&mut self.bar, &mut self.before);
        self.bar.clear();
    }

    /// Whether a pitch is another than what signature and accidentals so far
    /// give.
    fn differs(&self, pitch: Pitch) -> bool {
        let holds = self.bar.get(&(pitch.step, pitch.octave)).copied();
        pitch.alter != holds.unwrap_or_else(|| self.signature.alter(pitch.step))
    }

    /// Whether a reader may think of an accidental that no longer holds, or
    /// that holds in another octave.
    fn doubtful(&self, pitch: Pitch) -> bool {
        let other = |map: &HashMap<(Step, i8), Alter>, octaves: bool| {
            map.iter().any(|((step, octave), alter)| {
                *step == pitch.step && (octaves || *octave == pitch.octave) && *alter != pitch.alter
            })
        };
        !self.bar.contains_key(&(pitch.step, pitch.octave))
            && (other(&self.before, false) || other(&self.bar, true))
    }

    /// The sign that a pitch needs alone, which then holds.
    pub fn sign(&mut self, pitch: Pitch, courtesy: bool) -> Option<&'static Glyph> {
        let needed = self.differs(pitch) || (courtesy && self.doubtful(pitch));
        if needed {
            self.bar.insert((pitch.step, pitch.octave), pitch.alter);
        }
        needed.then(|| glyph_of(pitch.alter))
    }
}

/// The sign of an alteration.
pub const fn glyph_of(alter: Alter) -> &'static Glyph {
    match alter.semitones() {
        ..=-3 => &table::ACCIDENTAL_TRIPLE_FLAT,
        -2 => &table::ACCIDENTAL_DOUBLE_FLAT,
        -1 => &table::ACCIDENTAL_FLAT,
        0 => &table::ACCIDENTAL_NATURAL,
        1 => &table::ACCIDENTAL_SHARP,
        2 => &table::ACCIDENTAL_DOUBLE_SHARP,
        _ => &table::ACCIDENTAL_TRIPLE_SHARP,
    }
}

/// Marks the heads of one onset that need a sign. Accidentals hold for their
/// octave to the end of the bar; notes tied from before need none (common
/// practice, no source).
pub fn mark(all: &mut [Chord], here: &[usize], score: &Score, memory: &mut Memory, courtesy: bool) {
    let mut heard: Vec<((Step, i8), Alter, bool)> = Vec::new();
    let struck: Vec<Pitch> = here
        .iter()
        .flat_map(|index| all[*index].heads.iter().map(|head| score.note(head.note).pitch))
        .collect();
    for index in here {
        for head in &mut all[*index].heads {
            let pitch = score.note(head.note).pitch;
            let place = (pitch.step, pitch.octave);
            let clashes = struck
                .iter()
                .any(|other| (other.step, other.octave) == place && other.alter != pitch.alter);
            let mut needed = memory.differs(pitch) || clashes;
            if head.tied_from.is_some() {
                needed = false;
            } else if courtesy && !needed {
                needed = memory.doubtful(pitch);
            }
            if needed && !heard.contains(&(place, pitch.alter, true)) {
                head.accidental = Some(Accidental { glyph: glyph_of(pitch.alter), x: 0.0 });
            }
            if head.tied_from.is_none() {
                heard.push((place, pitch.alter, needed));
            }
        }
    }
    for (place, alter, needed) in heard {
        if needed {
            memory.bar.insert(place, alter);
        }
    }
}

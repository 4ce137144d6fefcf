//! What another finger on a note would cost (model §6, Alternatives).

use apoyando_fingering::{RightFinger, RightFingerSet};
use apoyando_music::ToneId;

use super::Asked;
use super::hand::Hand;
use super::way::Table;

/// What each finger on one struck sound costs the whole right hand.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RightChoices {
    /// The tones of the sound.
    pub tones: Vec<ToneId>,
    /// For p, i, m and a: the effort of the cheapest right hand with that finger
    /// here; `None` where the pins or the order of the fingers exclude it.
    pub effort: [Option<u64>; 4],
}

impl RightChoices {
    /// What a finger costs here.
    pub const fn of(&self, finger: RightFinger) -> Option<u64> {
        self.effort[finger as usize]
    }

    /// The fingers that can be chosen.
    pub fn fingers(&self) -> RightFingerSet {
        RightFinger::ALL.into_iter().filter(|finger| self.of(*finger).is_some()).collect()
    }
}

/// The choices of every struck sound, layer by layer from the thickest string.
pub(super) fn choices(asked: &Asked<'_>, table: &Table<'_>) -> Vec<RightChoices> {
    let forward = table.forward();
    let mut hands: Vec<Hand> = Vec::new();
    let mut found = Vec::with_capacity(table.beats.plucks.len());
    for (layer, beat) in table.beats.beats.iter().enumerate() {
        for (sound, pluck) in table.beats.plucks(beat).iter().enumerate() {
            let mut effort = [None; 4];
            for (finger, slot) in (0u8..).zip(&mut effort) {
                table.beats.with_pin(beat, sound, finger, &mut hands);
                let best = match table.is_sewn(layer) {
                    // What is played elsewhere too depends on it: all is looked at anew.
                    true if hands.is_empty() => None,
                    true => {
                        let beats = table.beats.with_hands(layer, &hands);
                        Some(Table::new(asked, &beats, table.costs).cheapest(asked.plan).1)
                    }
                    false => hands.iter().map(|hand| table.through(&forward, layer, *hand)).min(),
                };
                *slot = best.and_then(|best| u64::try_from(best).ok());
            }
            found.push(RightChoices {
                tones: asked.music.sounds[pluck.sound].tones.clone(),
                effort,
            });
        }
    }
    found
}

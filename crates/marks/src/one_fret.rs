//! Two voices on one fret. A reader who knows the position has one finger for both notes;
//! which of two it is, and on which, only digits say (common practice, no source).

use std::collections::HashMap;

use apoyando_fingering::{Fingering, LeftFinger, Placement};
use apoyando_fretboard::Place;
use apoyando_music::{ToneId, Tones};

use crate::sounds::Sound;

/// Bars after the one where they last sounded together in which the fingers are remembered.
const BARS: u32 = 1;

/// A finger at its place.
type Stopped = (LeftFinger, Place);

/// Adds the digits of notes of two voices that two fingers stop on one fret at one time, of
/// both if they are struck in one bar.
pub(crate) fn told(sounds: &[Sound], tones: &Tones, fingering: &Fingering, needed: &mut [bool]) {
    let struck: HashMap<_, usize> =
        sounds.iter().enumerate().map(|(index, sound)| ((sound.onset, sound.key), index)).collect();
    let sound_of = |tone: ToneId| {
        let tone = tones.get(tone);
        struck.get(&(tone.onset, tone.pitch.key_number())).copied()
    };
    let mut known: HashMap<(Stopped, Stopped), u32> = HashMap::new();
    for posture in &fingering.postures {
        let at = sounds.partition_point(|sound| sound.onset < posture.at);
        let Some(bar) = sounds.get(at).map(|sound| sound.bar.0) else { continue };
        let sounding: Vec<(usize, Stopped)> = posture
            .sounding
            .iter()
            .filter_map(|(tone, Placement { place, finger })| {
                Some((sound_of(*tone)?, ((*finger)?, *place)))
            })
            .collect();
        for (number, (one, first)) in sounding.iter().enumerate() {
            for (other, second) in &sounding[number + 1..] {
                let voices = sounds[*one].voice != sounds[*other].voice;
                let on_one_fret = first.1.fret == second.1.fret && first.0 != second.0;
                if !voices || !on_one_fret {
                    continue;
                }
                let pair = if first.0 < second.0 { (*first, *second) } else { (*second, *first) };
                let before = known.insert(pair, bar);
                if before.is_some_and(|before| bar <= before + BARS) {
                    continue;
                }
                for index in [*one, *other] {
                    needed[index] |= sounds[index].bar.0 == bar;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::digits;

    /// G on ⑥ and D on ②, both on fret 3, of which II gives each finger 2; told again when
    /// they are remembered no more.
    #[test]
    fn two_voices_on_one_fret_have_their_digits() {
        let line = "1 2.3.3 | 2 2.3.3 1.0.0 | 1 1.0.0 | 4 2.3.3 1.0.0 2.3.3 1.0.0";
        let bass = "1 6.3.2 | 6.3.2 | 5.0.0 | 6.3.2";
        assert_eq!(digits(&format!("@2 {line} / {bass}")), "32·0··03···2");
        // A bass on a fret of its own has none again.
        let bass = "1 6.2.1 | 6.2.1 | 5.0.0 | 6.2.1";
        assert_eq!(digits(&format!("@2 {line} / {bass}")), "31·0··03····");
    }
}

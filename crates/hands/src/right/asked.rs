//! What pins ask of each sound.

use apoyando_fingering::{Pin, PinRule, RightFinger, Scope};
use apoyando_music::BarIndex;

use crate::heard::Music;

use super::hand::ANY;

/// The fingers that the pins allow each sound, as bits; none where they
/// exclude each other.
pub(super) fn allowed(music: &Music, pins: &[Pin]) -> Vec<u8> {
    let mut allowed = vec![ANY; music.sounds.len()];
    let sets: Vec<(Scope, u8)> = pins
        .iter()
        .filter_map(|pin| match pin.rule {
            PinRule::RightFingers(set) => {
                let bits = RightFinger::ALL.into_iter().filter(|finger| set.contains(*finger));
                Some((pin.scope, bits.fold(0, |bits, finger| bits | 1 << finger as u8)))
            }
            _ => None,
        })
        .collect();
    if sets.is_empty() {
        return allowed;
    }
    let tones = music.sounds.iter().flat_map(|s| &s.tones).map(|t| t.0 as usize + 1).max();
    let mut of_tone = vec![None; tones.unwrap_or(0)];
    for (index, sound) in music.sounds.iter().enumerate() {
        for tone in &sound.tones {
            of_tone[tone.0 as usize] = Some(index);
        }
    }
    for (scope, bits) in sets {
        match scope {
            Scope::Tone(tone) => {
                if let Some(Some(sound)) = of_tone.get(tone.0 as usize) {
                    allowed[*sound] &= bits;
                }
            }
            Scope::Bars { first, last } => {
                let layers = layers_in(music, first, last);
                let sounds = music.layers[layers].iter().flat_map(|layer| layer.struck());
                sounds.for_each(|sound| allowed[sound] &= bits);
            }
        }
    }
    allowed
}

/// The layers from one bar to another, both included.
fn layers_in(music: &Music, first: BarIndex, last: BarIndex) -> std::ops::Range<usize> {
    let from = music.layers.partition_point(|layer| layer.bar < first);
    let to = music.layers.partition_point(|layer| layer.bar <= last);
    from..to.max(from)
}

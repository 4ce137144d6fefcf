//! Rest stroke or free stroke (model §6).

use apoyando_fingering::{RightFinger, RightPlan, Stroke};
use apoyando_music::Tones;

use crate::heard::{Music, Sound};

/// The stroke of a sound: what is said of one of its voices, of the part, or
/// rest stroke for a line in a part of one voice.
pub(super) fn stroke(
    plan: &RightPlan,
    music: &Music,
    tones: &Tones,
    (sound, finger, line): (&Sound, RightFinger, bool),
) -> Stroke {
    let said = sound
        .tones
        .iter()
        .map(|tone| tones.get(*tone).voice)
        .filter_map(|voice| plan.stroke_of(voice).map(|stroke| (voice, stroke)))
        .min_by_key(|(voice, _)| *voice)
        .map(|(_, stroke)| stroke);
    let usual = if line && music.voices < 2 && finger != RightFinger::P {
        Stroke::Rest
    } else {
        Stroke::Free
    };
    said.or(plan.stroke).unwrap_or(usual)
}

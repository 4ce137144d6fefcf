//! Basses that stand alone in one voice: the thumb's, and no line (model §6).

use super::Asked;
use super::beat::{Beat, Beats};
use super::hand::THUMB;
use super::home::THICK;

/// A run by step of so many sounds is a scale, wherever it lies.
const SCALE: usize = 8;

/// So many are one if they go on to the thin strings or are quick.
const SHORT_SCALE: usize = 5;

/// Less than so many milliseconds from sound to sound are quick.
const QUICK: i64 = 600;

/// A part whose sounds come faster than this, in milliseconds, is no
/// accompaniment for the thumb.
const AT_LEISURE: i64 = 500;

/// Semitones down to a bass out of a tune and up from it.
const DEEP: i16 = 12;

/// The numbers of the beats that are lone basses.
pub(super) fn lone_basses(asked: &Asked<'_>, beats: &Beats) -> Vec<usize> {
    if asked.music.voices > 1 || asked.plan.pair.iter().any(|finger| *finger as u8 == THUMB) {
        return Vec::new();
    }
    let lies_low = lies_low(asked, beats);
    let in_scale = scales(asked, beats);
    (0..beats.beats.len())
        .filter(|index| {
            let beat = &beats.beats[*index];
            beat.line
                && is_thick(beats, beat)
                && !in_scale[beat.layer]
                && (lies_low || is_deep(asked, beats, *index))
        })
        .collect()
}

/// Whether the only pluck of a beat is on a thick string.
fn is_thick(beats: &Beats, beat: &Beat) -> bool {
    matches!(beats.plucks(beat), [lone] if lone.string >= THICK)
}

/// Whether most of the part's lone sounds are basses, none of them in a hurry.
fn lies_low(asked: &Asked<'_>, beats: &Beats) -> bool {
    let [first, .., last] = &beats.beats[..] else { return false };
    let lone = beats.beats.iter().filter(|beat| beat.lone).count();
    let thick = beats.beats.iter().filter(|beat| is_thick(beats, beat)).count();
    let moves = i64::try_from(beats.beats.len() - 1).unwrap_or(i64::MAX);
    2 * thick >= lone && (asked.time)(first.layer, last.layer) >= AT_LEISURE.saturating_mul(moves)
}

/// Whether a tune leaps down to a beat and up from it.
fn is_deep(asked: &Asked<'_>, beats: &Beats, index: usize) -> bool {
    let lowest = |beat: &Beat| {
        beats.plucks(beat).iter().map(|pluck| asked.music.sounds[pluck.sound].key).min()
    };
    let own = lowest(&beats.beats[index]);
    let above = |other: Option<&Beat>| {
        let other = other.and_then(lowest);
        own.zip(other).is_some_and(|(own, other)| other - own >= DEEP)
    };
    above(index.checked_sub(1).and_then(|before| beats.beats.get(before)))
        && above(beats.beats.get(index + 1))
}

/// For each layer of the music, whether it is of a scale.
fn scales(asked: &Asked<'_>, beats: &Beats) -> Vec<bool> {
    let layers = &asked.music.layers;
    let mut thin = vec![false; layers.len()];
    for beat in &beats.beats {
        thin[beat.layer] = beats.plucks(beat).iter().any(|pluck| pluck.string < THICK);
    }
    let mut in_scale = vec![false; layers.len()];
    let mut first = 0;
    for past in 1..=layers.len() {
        if past < layers.len() && is_step(asked, past - 1, past) {
            continue;
        }
        let count = past - first;
        let quick = || {
            let moves = i64::try_from(count - 1).unwrap_or(i64::MAX);
            (asked.time)(first, past - 1) < QUICK.saturating_mul(moves)
        };
        let goes_on = thin[first..past].contains(&true);
        if count >= SCALE || (count >= SHORT_SCALE && (goes_on || quick())) {
            in_scale[first..past].fill(true);
        }
        first = past;
    }
    in_scale
}

/// Whether the only sound of a layer and that of the next are a step apart.
fn is_step(asked: &Asked<'_>, from: usize, to: usize) -> bool {
    let lone = |layer: usize| {
        let layer = &asked.music.layers[layer];
        layer.is_lone().then(|| &asked.music.sounds[layer.first])
    };
    let (Some(from), Some(to)) = (lone(from), lone(to)) else { return false };
    let staff = |tones: &[apoyando_music::ToneId]| {
        tones.first().map(|tone| asked.tones.get(*tone).pitch.staff_step())
    };
    from.key != to.key
        && staff(&from.tones).zip(staff(&to.tones)).is_some_and(|(from, to)| from.abs_diff(to) <= 1)
}

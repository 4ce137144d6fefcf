//! Broken chords and until when their sounds are wanted (section 2).

use std::ops::Range;

use apoyando_music::{Duration, KeyNumber, Moment};

use crate::layers::Layers;

/// The chords a figure may spell, as semitones above the root.
const CHORDS: [&[u16]; 9] = [
    &[0, 4, 7],
    &[0, 3, 7],
    &[0, 3, 6],
    &[0, 4, 8],
    &[0, 4, 7, 10],
    &[0, 3, 7, 10],
    &[0, 4, 7, 11],
    &[0, 3, 6, 10],
    &[0, 3, 6, 9],
];

/// Per sound, its wanted end.
pub(crate) fn wanted_ends(all: &Layers<'_>) -> Vec<Moment> {
    let mut ends: Vec<Moment> = all.sounds.iter().map(|sound| sound.written_end).collect();
    for figure in figures(all) {
        let sounds = all.layers[figure.start].struck.start..all.layers[figure.end - 1].struck.end;
        let over = match all.layers.get(figure.end) {
            Some(layer) => Some(layer.at),
            None => all.sounds[sounds.clone()].iter().map(|sound| sound.written_end).max(),
        };
        let Some(over) = over else { continue };
        for sound in sounds {
            let again = all.sounds[sound].struck_again.unwrap_or(over);
            ends[sound] = ends[sound].max(over.min(again));
        }
    }
    ends
}

/// The figures, as ranges of layers.
pub(crate) fn figures(all: &Layers<'_>) -> Vec<Range<usize>> {
    let sounding = all.sounding_on(|sound| sound.written_end);
    let mut figures = Vec::new();
    let mut first = 0;
    while first < all.layers.len() {
        let mut run = first..first + 1;
        while run.end < all.layers.len() && takes_on(all, &run, &sounding[run.end]) {
            run.end += 1;
        }
        if run.len() >= 3 && keys(all, &run).len() >= 3 {
            first = run.end;
            figures.push(run);
        } else {
            first += 1;
        }
    }
    figures
}

/// The different keys struck in a run, from low to high.
fn keys(all: &Layers<'_>, run: &Range<usize>) -> Vec<KeyNumber> {
    let sounds = all.layers[run.start].struck.start..all.layers[run.end - 1].struck.end;
    let mut keys: Vec<KeyNumber> = all.sounds[sounds].iter().map(|sound| sound.key).collect();
    keys.sort_unstable();
    keys.dedup();
    keys
}

/// Whether a run takes on the layer that follows it.
fn takes_on(all: &Layers<'_>, run: &Range<usize>, sounding: &[usize]) -> bool {
    let (last, next) = (&all.layers[run.end - 1], &all.layers[run.end]);
    if last.bar != next.bar || next.at - last.at > Duration::new(1, 8) {
        return false;
    }
    let keys = keys(all, &(run.start..run.end + 1));
    if keys.windows(2).any(|pair| pair[1].0 - pair[0].0 < 3) {
        return false;
    }
    let held = sounding.iter().map(|sound| all.sounds[*sound].key);
    one_chord(keys.iter().copied().chain(held))
}

fn one_chord(keys: impl Iterator<Item = KeyNumber>) -> bool {
    let classes = keys.fold(0u16, |set, key| set | 1 << key.0.rem_euclid(12));
    (0..12u16).any(|root| {
        CHORDS.iter().any(|chord| {
            let set = chord.iter().fold(0u16, |set, above| set | 1 << ((root + above) % 12));
            classes & !set == 0
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fits(keys: &[i16]) -> bool {
        one_chord(keys.iter().copied().map(KeyNumber))
    }

    /// Common practice, no source: what a triad or seventh is.
    #[test]
    fn triads_and_sevenths_are_chords_and_others_are_not() {
        assert!(fits(&[48, 52, 55, 60]));
        assert!(fits(&[55, 59, 62, 65]));
        assert!(fits(&[60, 64]));
        assert!(!fits(&[48, 50, 52]));
        assert!(!fits(&[60, 64, 67, 69, 71]));
    }
}

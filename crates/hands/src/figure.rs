//! Broken chords, whose tones are meant to sound on (model §2).

use std::collections::HashMap;

use apoyando_music::{Duration, Moment};

use crate::music::Music;

/// Pitch classes of the chords a figure may be of, as intervals above a root.
const CHORDS: [&[u32]; 9] = [
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

/// Whether pitch classes, as twelve bits, all belong to one of the chords.
fn fits_one_chord(classes: u16) -> bool {
    CHORDS.iter().any(|chord| {
        (0..12).any(|root| {
            let tones = chord.iter().fold(0u16, |set, i| set | 1 << ((root + i) % 12));
            classes & !tones == 0
        })
    })
}

const fn class(key: i16) -> u16 {
    1 << key.rem_euclid(12)
}

/// Marks the figures and lets their sounds ring on.
pub(crate) fn find(music: &mut Music) {
    let ringing = ringing_into(music);
    let mut first = 0;
    while first < music.layers.len() {
        let past = run(music, &ringing, first);
        match past {
            Some(past) => {
                ring_on(music, first, past);
                first = past;
            }
            None => first += 1,
        }
    }
}

/// Per layer, the pitch classes of earlier sounds whose written end lies after
/// its onset.
fn ringing_into(music: &Music) -> Vec<u16> {
    let mut active: Vec<usize> = Vec::new();
    music
        .layers
        .iter()
        .map(|layer| {
            active.retain(|s| music.sounds[*s].written_end > layer.onset);
            let set = active.iter().fold(0, |set, s| set | class(music.sounds[*s].key));
            active.extend(layer.struck());
            set
        })
        .collect()
}

/// The layer after a figure that begins at `first`, if one does.
fn run(music: &Music, ringing: &[u16], first: usize) -> Option<usize> {
    let keys_of = |layer: usize| music.sounds[music.layers[layer].struck()].iter().map(|s| s.key);
    let mut keys: Vec<i16> = keys_of(first).collect();
    let mut classes = keys.iter().fold(0, |set, k| set | class(*k));
    let mut past = first + 1;
    while past < music.layers.len() {
        let (last, next) = (&music.layers[past - 1], &music.layers[past]);
        if last.bar != next.bar || next.onset - last.onset > Duration::new(1, 8) {
            break;
        }
        let mut more = keys.clone();
        more.extend(keys_of(past));
        more.sort_unstable();
        more.dedup();
        let with = keys_of(past).fold(classes, |set, k| set | class(k));
        if more.windows(2).any(|w| w[1] - w[0] < 3) || !fits_one_chord(with | ringing[past]) {
            break;
        }
        keys = more;
        classes = with;
        past += 1;
    }
    (keys.len() >= 3 && past - first >= 3).then_some(past)
}

fn ring_on(music: &mut Music, first: usize, past: usize) {
    let span = music.layers[first].first..music.layers[past - 1].past;
    let end = match music.layers.get(past) {
        Some(after) => after.onset,
        None => {
            music.sounds[span.clone()].iter().map(|s| s.written_end).max().unwrap_or(Moment::START)
        }
    };
    // Strikes of the same key after the figure come at its end or later.
    let mut again: HashMap<i16, Moment> = HashMap::new();
    for sound in music.sounds[span].iter_mut().rev() {
        let until = again.insert(sound.key, sound.onset).map_or(end, |next| next.min(end));
        sound.wanted_end = sound.written_end.max(until);
    }
    for layer in &mut music.layers[first..past] {
        layer.figure = Some(first);
    }
}

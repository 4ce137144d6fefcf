//! Broken chords, whose tones are meant to sound on (model §2).

use std::collections::HashMap;

use apoyando_music::{Duration, Moment};

use super::music::Music;

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
pub(crate) fn fits_one_chord(classes: u16) -> bool {
    CHORDS.iter().any(|chord| {
        (0..12).any(|root| {
            let tones = chord.iter().fold(0u16, |set, i| set | 1 << ((root + i) % 12));
            classes & !tones == 0
        })
    })
}

pub(crate) const fn class(key: i16) -> u16 {
    1 << key.rem_euclid(12)
}

/// The greatest gap between the onsets of a figure; in longer values a broken
/// chord is a line.
const CLOSE: (i64, i64) = (1, 8);

/// Marks the figures and lets their sounds ring on.
pub(crate) fn find(music: &mut Music) {
    for (first, past) in runs(music, Duration::new(CLOSE.0, CLOSE.1)) {
        ring_on(music, first, past);
    }
}

/// The runs of layers that break a chord, each by its first layer and the one
/// after its last, with gaps of at most so much from onset to onset.
///
/// A run that breaks none gives up its first layer only: what it took on, the
/// run from the second layer takes on as well, because that asks for less. So
/// each layer is taken on and given up once.
pub(crate) fn runs(music: &Music, gap: Duration) -> Vec<(usize, usize)> {
    let ringing = ringing_into(music);
    let mut struck = Struck::default();
    let mut runs = Vec::new();
    let (mut first, mut past) = (0, 0);
    while first < music.layers.len() {
        if past == first {
            struck.add(music, past);
            past += 1;
        }
        while past < music.layers.len() && takes_on(music, &ringing, (past, gap), &mut struck) {
            past += 1;
        }
        if struck.keys.len() >= 3 && past - first >= 3 {
            runs.push((first, past));
            first = past;
            struck.keys.clear();
        } else {
            struck.give_up(music, first);
            first += 1;
        }
    }
    runs
}

/// The keys struck in a run of layers, from low to high, each with how often.
#[derive(Default)]
struct Struck {
    keys: Vec<(i16, u32)>,
}

impl Struck {
    fn add(&mut self, music: &Music, layer: usize) {
        for sound in &music.sounds[music.layers[layer].struck()] {
            match self.keys.binary_search_by_key(&sound.key, |(key, _)| *key) {
                Ok(at) => self.keys[at].1 += 1,
                Err(at) => self.keys.insert(at, (sound.key, 1)),
            }
        }
    }

    fn give_up(&mut self, music: &Music, layer: usize) {
        for sound in &music.sounds[music.layers[layer].struck()] {
            if let Ok(at) = self.keys.binary_search_by_key(&sound.key, |(key, _)| *key) {
                self.keys[at].1 -= 1;
                if self.keys[at].1 == 0 {
                    self.keys.remove(at);
                }
            }
        }
    }

    fn classes(&self) -> u16 {
        self.keys.iter().fold(0, |set, (key, _)| set | class(*key))
    }
}

/// Whether the run before layer `past` takes that on; if so, its keys are added.
fn takes_on(
    music: &Music,
    ringing: &[u16],
    (past, gap): (usize, Duration),
    struck: &mut Struck,
) -> bool {
    let (last, next) = (&music.layers[past - 1], &music.layers[past]);
    if last.bar != next.bar || next.onset - last.onset > gap {
        return false;
    }
    struck.add(music, past);
    let apart = struck.keys.windows(2).all(|pair| pair[1].0 - pair[0].0 >= 3);
    let fits = apart && fits_one_chord(struck.classes() | ringing[past]);
    if !fits {
        struck.give_up(music, past);
    }
    fits
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

fn ring_on(music: &mut Music, first: usize, past: usize) {
    let span = music.layers[first].first..music.layers[past - 1].past;
    let end = match music.layers.get(past) {
        Some(after) => after.onset,
        None => {
            music.sounds[span.clone()].iter().map(|s| s.written_end).max().unwrap_or(Moment::START)
        }
    };
    // Strikes of the same key after the figure come at its end or later. Of two
    // sounds of one key at one onset neither ends the other.
    let mut again: HashMap<i16, (Moment, Moment)> = HashMap::new();
    for sound in music.sounds[span].iter_mut().rev() {
        let until = match again.get(&sound.key) {
            Some((at, after)) if *at == sound.onset => *after,
            Some((at, _)) => (*at).min(end),
            None => end,
        };
        again.insert(sound.key, (sound.onset, until));
        sound.wanted_end = sound.written_end.max(until);
    }
    for layer in &mut music.layers[first..past] {
        layer.figure = Some((first, past));
    }
}

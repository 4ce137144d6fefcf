//! Sections 1 and 2 of the model, read plainly: sounds, layers, figures.

use std::collections::BTreeSet;

use apoyando_fingering::Problem;
use apoyando_music::{BarIndex, Duration, Moment, ToneId};

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Role {
    Melody,
    Bass,
    Inner,
}

#[derive(Clone, Debug)]
pub struct Sound {
    pub key: i16,
    pub onset: Moment,
    pub written: Moment,
    pub wanted: Moment,
    pub role: Role,
    pub tones: Vec<ToneId>,
}

/// The sounds in order and the onsets.
pub struct Heard {
    pub sounds: Vec<Sound>,
    pub layers: Vec<Moment>,
    pub bars: Vec<BarIndex>,
    /// Which layers are in a figure.
    pub in_figure: Vec<bool>,
    /// How many voices hold notes; asked for the right hand only.
    #[allow(dead_code)]
    pub voices: usize,
}

impl Heard {
    pub fn struck(&self, layer: usize) -> Vec<usize> {
        (0..self.sounds.len()).filter(|s| self.sounds[*s].onset == self.layers[layer]).collect()
    }

    /// Earlier sounds wanted beyond a layer's onset, from low to high.
    pub fn wanted(&self, layer: usize) -> Vec<usize> {
        let at = self.layers[layer];
        let mut found: Vec<usize> = (0..self.sounds.len())
            .filter(|s| self.sounds[*s].onset < at && self.sounds[*s].wanted > at)
            .collect();
        found.sort_by_key(|s| self.sounds[*s].key);
        found
    }
}

pub fn milliseconds(problem: &Problem<'_>, from: Moment, to: Moment) -> i64 {
    let mut quarters = (72i64, 1i64);
    for bar in problem.score.bars() {
        if let Some(tempo) = bar.tempo.filter(|t| bar.start <= from && t.per_minute > 0) {
            let value = tempo.value.duration().ratio();
            quarters = (4 * i64::from(tempo.per_minute) * *value.numer(), *value.denom());
        }
    }
    let length = (to - from).ratio();
    length.numer() * 240_000 * quarters.1 / (length.denom() * quarters.0)
}

pub const fn hurry(milliseconds: i64) -> i64 {
    if milliseconds < 150 {
        4
    } else if milliseconds < 300 {
        3
    } else if milliseconds < 600 {
        2
    } else {
        1
    }
}

pub fn hear(problem: &Problem<'_>) -> Heard {
    let score = problem.score;
    let part = score.part(problem.part);
    let tones = score.tones(problem.part);
    let holding: Vec<u8> = part
        .voices
        .iter()
        .filter(|v| v.bars.iter().flatten().any(|e| !e.notes().is_empty()))
        .map(|v| v.number.0)
        .collect();
    let mut sounds: Vec<Sound> = Vec::new();
    for tone in tones.as_slice() {
        let head = score.note(tone.head());
        let voice = part.voices.iter().find(|v| v.number == head.voice).unwrap();
        let event = &voice.bars[head.bar.0 as usize][head.event as usize];
        let lowest = event.notes()[0] == head.id;
        let highest = *event.notes().last().unwrap() == head.id;
        let last_voice = holding.len() > 1 && holding.last() == Some(&head.voice.0);
        let role = if head.voice.0 == 1 && highest {
            Role::Melody
        } else if lowest && (last_voice || event.notes().len() >= 3) {
            Role::Bass
        } else {
            Role::Inner
        };
        let key = tone.pitch.key_number().0;
        match sounds.iter_mut().find(|s| s.key == key && s.onset == tone.onset) {
            Some(sound) => {
                sound.tones.push(tone.id);
                sound.written = sound.written.max(tone.end);
                if role == Role::Melody || (role == Role::Bass && sound.role == Role::Inner) {
                    sound.role = role;
                }
            }
            None => sounds.push(Sound {
                key,
                onset: tone.onset,
                written: tone.end,
                wanted: tone.end,
                role,
                tones: vec![tone.id],
            }),
        }
    }
    sounds.sort_by_key(|s| (s.onset, s.key));
    for index in 0..sounds.len() {
        if let Some(next) = struck_again(&sounds, index) {
            sounds[index].written = sounds[index].written.min(next);
        }
        sounds[index].wanted = sounds[index].written;
    }
    let layers: Vec<Moment> =
        sounds.iter().map(|s| s.onset).collect::<BTreeSet<_>>().into_iter().collect();
    let bars = layers.iter().map(|at| score.bar_at(*at).unwrap()).collect();
    let in_figure = vec![false; layers.len()];
    let mut heard = Heard { sounds, layers, bars, in_figure, voices: holding.len() };
    ring_on(&mut heard);
    heard
}

fn struck_again(sounds: &[Sound], index: usize) -> Option<Moment> {
    let this = &sounds[index];
    sounds.iter().filter(|s| s.key == this.key && s.onset > this.onset).map(|s| s.onset).min()
}

fn ring_on(heard: &mut Heard) {
    let count = heard.layers.len();
    let mut first = 0;
    while first < count {
        let mut past = first + 1;
        while past < count && takes_on(heard, first, past) {
            past += 1;
        }
        let keys: BTreeSet<i16> = keys(heard, first, past - 1);
        if keys.len() < 3 || past - first < 3 {
            first += 1;
            continue;
        }
        heard.in_figure[first..past].fill(true);
        let members: Vec<usize> = (first..past).flat_map(|l| heard.struck(l)).collect();
        let end = if past < count {
            heard.layers[past]
        } else {
            members.iter().map(|s| heard.sounds[*s].written).max().unwrap()
        };
        for member in members {
            let mut wanted = heard.sounds[member].written.max(end);
            if let Some(next) = struck_again(&heard.sounds, member) {
                wanted = wanted.min(next);
            }
            heard.sounds[member].wanted = wanted;
        }
        first = past;
    }
}

fn keys(heard: &Heard, first: usize, last: usize) -> BTreeSet<i16> {
    (first..=last).flat_map(|l| heard.struck(l)).map(|s| heard.sounds[s].key).collect()
}

fn takes_on(heard: &Heard, first: usize, next: usize) -> bool {
    if heard.bars[next - 1] != heard.bars[next]
        || heard.layers[next] - heard.layers[next - 1] > Duration::new(1, 8)
    {
        return false;
    }
    let keys = keys(heard, first, next);
    if keys.iter().any(|a| keys.iter().any(|b| a < b && b - a < 3)) {
        return false;
    }
    let at = heard.layers[next];
    let mut classes: BTreeSet<i16> = keys.iter().map(|k| k.rem_euclid(12)).collect();
    classes.extend(
        heard
            .sounds
            .iter()
            .filter(|s| s.onset < at && s.written > at)
            .map(|s| s.key.rem_euclid(12)),
    );
    let chords: [(&str, &[i16]); 9] = [
        ("major", &[0, 4, 7]),
        ("minor", &[0, 3, 7]),
        ("diminished", &[0, 3, 6]),
        ("augmented", &[0, 4, 8]),
        ("dominant seventh", &[0, 4, 7, 10]),
        ("minor seventh", &[0, 3, 7, 10]),
        ("major seventh", &[0, 4, 7, 11]),
        ("half-diminished", &[0, 3, 6, 10]),
        ("diminished seventh", &[0, 3, 6, 9]),
    ];
    chords.iter().any(|(_, chord)| {
        (0..12)
            .any(|root| classes.iter().all(|class| chord.iter().any(|i| (root + i) % 12 == *class)))
    })
}

//! Sections 1 and 2 of the model, read plainly: sounds, layers, joins, figures.

use std::collections::BTreeSet;

use apoyando_fingering::{Pin, PinAuthor, PinRule, Pins, Problem, Scope, StringSet};
use apoyando_music::{
    BarIndex, Duration, Event, EventMark, JoinKind, Moment, Note, Tempo, Tone, ToneId,
};

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Role {
    Melody,
    Bass,
    Inner,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    Plain,
    /// The string is touched.
    Natural,
    /// The string is stopped, and the right hand touches it.
    Artificial,
}

#[derive(Clone, Debug)]
pub struct Sound {
    pub key: i16,
    pub onset: Moment,
    pub written: Moment,
    pub wanted: Moment,
    pub role: Role,
    pub kind: Kind,
    pub tones: Vec<ToneId>,
    /// The sound it is joined from.
    pub from: Option<(usize, JoinKind)>,
    /// Keys that its ornament calls for.
    pub auxiliaries: Vec<i16>,
}

/// The sounds in order and the onsets.
pub struct Heard {
    pub sounds: Vec<Sound>,
    pub layers: Vec<Moment>,
    pub bars: Vec<BarIndex>,
    /// The first layer of the figure that a layer is in.
    pub figure: Vec<Option<usize>>,
    /// The same of what would be a figure if its gaps might be a quarter.
    pub slow: Vec<Option<usize>>,
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

/// How long a length lasts that begins at a moment.
pub fn lasting(problem: &Problem<'_>, at: Moment, length: Duration) -> i64 {
    let marks = problem.score.bars().iter().filter(|bar| bar.start <= at);
    let quarters = match marks.filter_map(|bar| bar.tempo).next_back() {
        Some(Tempo { value, per_minute }) if per_minute > 0 => {
            value.duration().ratio() * 4 * i64::from(per_minute)
        }
        _ => 72.into(),
    };
    (length.ratio() * 240_000 / quarters).floor().to_integer()
}

pub fn milliseconds(problem: &Problem<'_>, from: Moment, to: Moment) -> i64 {
    lasting(problem, from, to - from)
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

/// The pins that count: an imported one gives way to the author's of the same
/// kind on the same tone.
pub fn in_force(pins: &Pins) -> Vec<Pin> {
    let kind = |pin: &Pin| std::mem::discriminant(&pin.rule);
    let gives_way = |pin: &Pin| {
        pin.author == PinAuthor::Import
            && matches!(pin.scope, Scope::Tone(_))
            && pins.0.iter().any(|other| {
                other.author == PinAuthor::Author
                    && other.scope == pin.scope
                    && kind(other) == kind(pin)
            })
    };
    pins.0.iter().filter(|pin| !gives_way(pin)).copied().collect()
}

pub fn hear(problem: &Problem<'_>) -> Heard {
    let score = problem.score;
    let tones = score.tones(problem.part);
    let pins = in_force(problem.pins);
    let part = score.part(problem.part);
    let holding: Vec<u8> = part
        .voices
        .iter()
        .filter(|v| v.bars.iter().flatten().any(|e| !e.notes().is_empty()))
        .map(|v| v.number.0)
        .collect();
    let mut sounds: Vec<Sound> = Vec::new();
    for tone in tones.as_slice() {
        let (head, event) = struck_in(problem, tone);
        let lowest = event.notes().first() == Some(&head.id);
        let highest = event.notes().last() == Some(&head.id);
        let last_voice = holding.len() >= 2 && holding.last() == Some(&head.voice.0);
        let role = if head.voice.0 == 1 && highest {
            Role::Melody
        } else if lowest && (last_voice || event.notes().len() >= 3) {
            Role::Bass
        } else {
            Role::Inner
        };
        let key = tone.pitch.key_number().0;
        let same = |sound: &&mut Sound| {
            sound.key == key
                && sound.onset == tone.onset
                && !sound.tones.iter().any(|t| parted(problem, &pins, tones.get(*t), tone))
        };
        if let Some(sound) = sounds.iter_mut().find(same) {
            sound.tones.push(tone.id);
            sound.written = sound.written.max(tone.end);
            if role == Role::Melody || (role == Role::Bass && sound.role == Role::Inner) {
                sound.role = role;
            }
            continue;
        }
        sounds.push(Sound {
            key,
            onset: tone.onset,
            written: tone.end,
            wanted: tone.end,
            role,
            kind: kind(event),
            tones: vec![tone.id],
            from: None,
            auxiliaries: score.auxiliaries(tone).iter().map(|key| key.0).collect(),
        });
    }
    sounds.sort_by_key(|s| (s.onset, s.key, s.tones[0]));
    for index in 0..sounds.len() {
        if let Some(next) = struck_again(&sounds, index) {
            sounds[index].written = sounds[index].written.min(next);
        }
        sounds[index].wanted = sounds[index].written;
    }
    join(problem, &mut sounds);
    let layers: Vec<Moment> =
        sounds.iter().map(|s| s.onset).collect::<BTreeSet<_>>().into_iter().collect();
    let bars = layers.iter().map(|at| score.bar_at(*at).unwrap()).collect();
    let figure = vec![None; layers.len()];
    let slow = figure.clone();
    let mut heard = Heard { sounds, layers, bars, figure, slow, voices: holding.len() };
    for (first, past) in runs(&heard, Duration::new(1, 4)) {
        heard.slow[first..past].fill(Some(first));
    }
    ring_on(&mut heard);
    heard
}

/// The note and the event in which a tone is struck.
fn struck_in<'a>(problem: &Problem<'a>, tone: &Tone) -> (&'a Note, &'a Event) {
    let note = problem.score.note(tone.head());
    (note, problem.score.event_of(note))
}

fn kind(event: &Event) -> Kind {
    if event.marks.contains(&EventMark::NaturalHarmonic) {
        Kind::Natural
    } else if event.marks.contains(&EventMark::ArtificialHarmonic) {
        Kind::Artificial
    } else {
        Kind::Plain
    }
}

/// Whether two tones of one key and onset are on two strings.
fn parted(problem: &Problem<'_>, pins: &[Pin], a: &Tone, b: &Tone) -> bool {
    let (first, second) = (struck_in(problem, a).0, struck_in(problem, b).0);
    let one_event =
        (first.voice, first.bar, first.event) == (second.voice, second.bar, second.event);
    let strings = |tone: &Tone| {
        let pinned = pins.iter().filter(|pin| pin.scope == Scope::Tone(tone.id));
        let sets = pinned.filter_map(|pin| match pin.rule {
            PinRule::Strings(set) => Some(set),
            _ => None,
        });
        sets.reduce(StringSet::and)
    };
    let apart = strings(a).zip(strings(b)).is_some_and(|(a, b)| a.and(b).is_empty());
    one_event || apart
}

fn struck_again(sounds: &[Sound], index: usize) -> Option<Moment> {
    let this = &sounds[index];
    sounds.iter().filter(|s| s.key == this.key && s.onset > this.onset).map(|s| s.onset).min()
}

/// Of several joined tones of a sound the first decides, and what it is joined
/// from must end as it begins.
fn join(problem: &Problem<'_>, sounds: &mut [Sound]) {
    let joins = problem.score.joins(problem.part);
    let sound_of = |sounds: &[Sound], tone: ToneId| {
        sounds.iter().position(|s| s.tones.contains(&tone)).expect("a sound")
    };
    for index in 0..sounds.len() {
        let of_tone = |tone: &ToneId| joins.iter().find(|join| join.to == *tone);
        let first = sounds[index].tones.iter().find_map(of_tone);
        sounds[index].from = first
            .map(|join| (sound_of(sounds, join.from), join.kind))
            .filter(|(from, _)| sounds[*from].written == sounds[index].onset);
    }
}

/// The onset of the first sound joined from a sound.
fn joined_at(sounds: &[Sound], index: usize) -> Option<Moment> {
    let leads_on = |s: &&Sound| s.from.is_some_and(|(from, _)| from == index);
    sounds.iter().filter(leads_on).map(|s| s.onset).min()
}

/// Figures, and what is wanted to sound on in them.
fn ring_on(heard: &mut Heard) {
    let count = heard.layers.len();
    for (first, past) in runs(heard, Duration::new(1, 8)) {
        heard.figure[first..past].fill(Some(first));
        let members: Vec<usize> = (first..past).flat_map(|l| heard.struck(l)).collect();
        let end = if past < count {
            heard.layers[past]
        } else {
            members.iter().map(|s| heard.sounds[*s].written).max().unwrap()
        };
        for member in members {
            let latest = [struck_again(&heard.sounds, member), joined_at(&heard.sounds, member)];
            let wanted = heard.sounds[member].written.max(end);
            heard.sounds[member].wanted = latest.into_iter().flatten().fold(wanted, Ord::min);
        }
    }
}

/// Broken chords with gaps of at most so much, by first layer and the one after
/// the last.
fn runs(heard: &Heard, gap: Duration) -> Vec<(usize, usize)> {
    let count = heard.layers.len();
    let mut runs = Vec::new();
    let mut first = 0;
    while first < count {
        let mut past = first + 1;
        while past < count && takes_on(heard, (first, past), gap) {
            past += 1;
        }
        if keys(heard, first, past - 1).len() < 3 || past - first < 3 {
            first += 1;
            continue;
        }
        runs.push((first, past));
        first = past;
    }
    runs
}

fn keys(heard: &Heard, first: usize, last: usize) -> BTreeSet<i16> {
    (first..=last).flat_map(|l| heard.struck(l)).map(|s| heard.sounds[s].key).collect()
}

fn takes_on(heard: &Heard, (first, next): (usize, usize), gap: Duration) -> bool {
    if heard.bars[next - 1] != heard.bars[next] || heard.layers[next] - heard.layers[next - 1] > gap
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

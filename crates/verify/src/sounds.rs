//! Sounds: what is made with one pluck (section 2 of the model).

use std::collections::{BTreeSet, HashMap};

use apoyando_fingering::{PinRule, Problem, Scope, StringSet};
use apoyando_music::{
    EventMark, JoinKind, KeyNumber, Moment, Note, Score, Tone, ToneId, Tones, VoiceNumber,
};

use crate::author::pins_in_force;

/// Who hears it most.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Role {
    Melody,
    Bass,
    Inner,
}

/// What makes it sound.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Kind {
    Plain,
    Natural,
    Artificial,
}

/// Where a sound is joined from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Joined {
    pub(crate) from: usize,
    pub(crate) kind: JoinKind,
}

/// The tones struck at one onset with one pluck.
#[derive(Debug)]
pub(crate) struct Sound {
    /// Its tones, in the order of their numbers.
    pub(crate) tones: Vec<ToneId>,
    pub(crate) key: KeyNumber,
    pub(crate) kind: Kind,
    pub(crate) role: Role,
    pub(crate) layer: usize,
    pub(crate) onset: Moment,
    pub(crate) written_end: Moment,
    pub(crate) wanted_end: Moment,
    /// When the same key number is struck again.
    pub(crate) struck_again: Option<Moment>,
    /// The keys that its ornament calls for besides its own.
    pub(crate) auxiliaries: Vec<KeyNumber>,
    pub(crate) joined: Option<Joined>,
    /// The sounds joined from it.
    pub(crate) leads_to: Vec<usize>,
}

impl Sound {
    /// Whether it is a plain note of the melody.
    pub(crate) fn is_sung(&self) -> bool {
        self.role == Role::Melody && self.kind == Kind::Plain
    }

    /// Whether it is a plain note of the bass.
    pub(crate) fn is_plain_bass(&self) -> bool {
        self.role == Role::Bass && self.kind == Kind::Plain
    }
}

/// The sounds of the part, in order.
pub(crate) fn sounds(problem: &Problem<'_>, tones: &Tones) -> Vec<Sound> {
    let score = problem.score;
    let bass_voice = bass_voice(tones);
    let mut sounds: Vec<Sound> = Vec::new();
    for tones in one_sound_each(problem, tones) {
        let first = tones[0];
        let layer = sounds.last().map_or(0, |last: &Sound| {
            if last.onset < first.onset { last.layer + 1 } else { last.layer }
        });
        let written_end = tones.iter().map(|tone| tone.end).max().unwrap_or(first.end);
        sounds.push(Sound {
            tones: tones.iter().map(|tone| tone.id).collect(),
            key: first.pitch.key_number(),
            kind: kind(score, first),
            role: role(score, &tones, bass_voice),
            layer,
            onset: first.onset,
            written_end,
            wanted_end: written_end,
            struck_again: None,
            auxiliaries: score.auxiliaries(first),
            joined: None,
            leads_to: Vec::new(),
        });
    }
    cut_where_struck_again(&mut sounds);
    join(problem, tones.len(), &mut sounds);
    sounds
}

/// The tones sound by sound, ordered by onset, key number and first tone.
fn one_sound_each<'a>(problem: &Problem<'_>, tones: &'a Tones) -> Vec<Vec<&'a Tone>> {
    let strings = pinned_strings(problem);
    let parted = |one: &Tone, other: &Tone| {
        let event = |tone: &Tone| {
            let head = problem.score.note(tone.head());
            (head.voice, head.bar, head.event)
        };
        let apart = match (strings.get(&one.id), strings.get(&other.id)) {
            (Some(one), Some(other)) => one.and(*other).is_empty(),
            _ => false,
        };
        event(one) == event(other) || apart
    };
    let unison = |tone: &Tone| (tone.onset, tone.pitch.key_number());
    let mut order: Vec<&Tone> = tones.as_slice().iter().collect();
    order.sort_by_key(|tone| (unison(tone), tone.id));
    let mut sounds: Vec<Vec<&Tone>> = Vec::new();
    // Where the sounds of the onset and key begin.
    let mut begun = 0;
    for tone in order {
        if sounds.last().is_none_or(|last| unison(last[0]) != unison(tone)) {
            begun = sounds.len();
        }
        let fits = |sound: &&mut Vec<&Tone>| !sound.iter().any(|other| parted(tone, other));
        match sounds[begun..].iter_mut().find(fits) {
            Some(sound) => sound.push(tone),
            None => sounds.push(vec![tone]),
        }
    }
    sounds
}

/// The strings that the pins in force leave each tone that has such pins.
fn pinned_strings(problem: &Problem<'_>) -> HashMap<ToneId, StringSet> {
    let mut strings = HashMap::new();
    for pin in pins_in_force(problem) {
        if let (Scope::Tone(tone), PinRule::Strings(set)) = (pin.scope, pin.rule) {
            let left = strings.entry(tone).or_insert(StringSet::ALL);
            *left = left.and(set);
        }
    }
    strings
}

fn kind(score: &Score, tone: &Tone) -> Kind {
    let marks = &score.event_of(score.note(tone.head())).marks;
    if marks.contains(&EventMark::NaturalHarmonic) {
        Kind::Natural
    } else if marks.contains(&EventMark::ArtificialHarmonic) {
        Kind::Artificial
    } else {
        Kind::Plain
    }
}

fn cut_where_struck_again(sounds: &mut [Sound]) {
    // Per key the onset seen last, and the one after it.
    let mut seen: HashMap<KeyNumber, (Moment, Option<Moment>)> = HashMap::new();
    for sound in sounds.iter_mut().rev() {
        sound.struck_again = match seen.get(&sound.key) {
            Some((here, later)) if *here == sound.onset => *later,
            Some((later, _)) => Some(*later),
            None => None,
        };
        seen.insert(sound.key, (sound.onset, sound.struck_again));
        if let Some(again) = sound.struck_again {
            sound.written_end = sound.written_end.min(again);
        }
    }
}

/// The highest-numbered voice that holds notes, if there are two or more.
fn bass_voice(tones: &Tones) -> Option<VoiceNumber> {
    let voices = || tones.as_slice().iter().map(|tone| tone.voice);
    let last = voices().max()?;
    voices().any(|voice| voice != last).then_some(last)
}

fn role(score: &Score, tones: &[&Tone], bass_voice: Option<VoiceNumber>) -> Role {
    let mut role = Role::Inner;
    for tone in tones {
        let head: &Note = score.note(tone.head());
        let notes = score.event_of(head).notes();
        if head.voice.0 == 1 && notes.last() == Some(&head.id) {
            return Role::Melody;
        }
        let in_bass_voice = bass_voice == Some(head.voice);
        if notes.first() == Some(&head.id) && (in_bass_voice || notes.len() >= 3) {
            role = Role::Bass;
        }
    }
    role
}

/// Joins sounds as their tones are joined, where the earlier one ends as the
/// later begins; the first joined tone of a sound decides.
fn join(problem: &Problem<'_>, tones: usize, sounds: &mut [Sound]) {
    let of_tone = of_tone(tones, sounds);
    // Ordered by the tones that they lead to.
    let mut decided = BTreeSet::new();
    for join in problem.score.joins(problem.part) {
        let (from, to) = (of_tone[join.from.0 as usize], of_tone[join.to.0 as usize]);
        if decided.insert(to) && sounds[from].written_end == sounds[to].onset {
            sounds[to].joined = Some(Joined { from, kind: join.kind });
            sounds[from].leads_to.push(to);
        }
    }
}

/// Per tone, the sound it belongs to.
pub(crate) fn of_tone(tones: usize, sounds: &[Sound]) -> Vec<usize> {
    let mut of_tone = vec![0; tones];
    for (index, sound) in sounds.iter().enumerate() {
        for tone in &sound.tones {
            of_tone[tone.0 as usize] = index;
        }
    }
    of_tone
}

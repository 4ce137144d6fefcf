//! Sounds: what is plucked once and stopped by one finger (model §2).

use std::collections::HashMap;

use apoyando_fingering::{Pin, PinRule, Scope, StringSet};
use apoyando_music::{
    Content, EventMark, JoinKind, Moment, NoteId, PartIndex, Score, Tone, ToneId, Tones,
};

/// What a sound is in the music.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(crate) enum Role {
    Melody,
    Bass,
    Inner,
}

/// How the string is made to sound.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(crate) enum Kind {
    Plain,
    NaturalHarmonic,
    ArtificialHarmonic,
}

/// The sound from which another is joined.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Join {
    pub from: usize,
    pub kind: JoinKind,
}

/// One pluck: all tones of one key struck together.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Sound {
    pub key: i16,
    pub kind: Kind,
    pub layer: usize,
    pub onset: Moment,
    pub written_end: Moment,
    pub wanted_end: Moment,
    pub role: Role,
    pub tones: Vec<ToneId>,
    /// Keys that its ornament calls for besides its own.
    pub auxiliaries: Vec<i16>,
    /// What it is joined from.
    pub joined: Option<Join>,
    /// The sounds joined from it by a slur downwards.
    pub pulled_off_to: Vec<usize>,
    /// First layer at which letting it go cuts no more than its tail.
    pub tail_from: usize,
    /// First layer at or after its written end.
    pub written_until: usize,
    /// First layer at or after its wanted end.
    pub wanted_until: usize,
}

impl Sound {
    /// Whether it is a plain note of the melody.
    pub(crate) fn is_sung(&self) -> bool {
        self.role == Role::Melody && self.kind == Kind::Plain
    }

    /// Whether it is a plain note of the bass.
    pub(crate) fn is_low(&self) -> bool {
        self.role == Role::Bass && self.kind == Kind::Plain
    }
}

/// Voices of the part that hold at least one note, by index.
pub(crate) fn sounding_voices(score: &Score, part: PartIndex) -> Vec<usize> {
    let voices = &score.part(part).voices;
    (0..voices.len())
        .filter(|v| {
            voices[*v].bars.iter().flatten().any(|e| matches!(e.content, Content::Notes(_)))
        })
        .collect()
}

/// The sounds of a part in order, not yet laid out in layers.
pub(crate) fn sounds(
    (score, part): (&Score, PartIndex),
    tones: &Tones,
    pins: &[Pin],
) -> Vec<Sound> {
    let mut order: Vec<&Tone> = tones.as_slice().iter().collect();
    // They are in the order of their onsets already.
    for together in order.chunk_by_mut(|a, b| a.onset == b.onset) {
        together.sort_by_key(|t| (t.pitch.key_number(), t.id));
    }
    let reader = Reader::new(score, part, tones, pins);
    let mut sounds: Vec<Sound> = Vec::with_capacity(order.len());
    for together in
        order.chunk_by(|a, b| (a.onset, a.pitch.key_number()) == (b.onset, b.pitch.key_number()))
    {
        let first = sounds.len();
        for tone in together {
            let fits = |sound: &Sound| sound.tones.iter().all(|t| !reader.parted(*t, tone.id));
            match sounds[first..].iter_mut().find(|sound| fits(sound)) {
                Some(sound) => reader.add(sound, tone),
                None => sounds.push(reader.begin(tone)),
            }
        }
        // In the order of their first tones, which is that in which they began.
    }
    end_at_next_strike(&mut sounds);
    join(score, part, tones, &mut sounds);
    sounds
}

/// Whether some tones of one key are struck together, so that pins on strings
/// may part them.
pub(crate) fn has_doubles(tones: &Tones) -> bool {
    let mut keys: Vec<_> =
        tones.as_slice().iter().map(|t| (t.onset, t.pitch.key_number())).collect();
    keys.sort_unstable();
    keys.windows(2).any(|pair| pair[0] == pair[1])
}

struct Reader<'a> {
    score: &'a Score,
    tones: &'a Tones,
    /// The number of the lowest voice, if there are several.
    lowest_voice: Option<apoyando_music::VoiceNumber>,
    /// Strings to which tones are pinned.
    strings: HashMap<ToneId, StringSet>,
}

impl<'a> Reader<'a> {
    fn new(score: &'a Score, part: PartIndex, tones: &'a Tones, pins: &[Pin]) -> Self {
        let voices = sounding_voices(score, part);
        let lowest_voice = (voices.len() > 1)
            .then(|| voices.last().map(|v| score.part(part).voices[*v].number))
            .flatten();
        let mut strings: HashMap<ToneId, StringSet> = HashMap::new();
        for pin in pins {
            if let (Scope::Tone(tone), PinRule::Strings(set)) = (pin.scope, pin.rule) {
                let known = strings.entry(tone).or_insert(StringSet::ALL);
                *known = known.and(set);
            }
        }
        Self { score, tones, lowest_voice, strings }
    }

    fn head(&self, tone: ToneId) -> NoteId {
        self.tones.get(tone).head()
    }

    /// Whether two tones of one key are on two strings.
    fn parted(&self, a: ToneId, b: ToneId) -> bool {
        let place = |tone| {
            let note = self.score.note(self.head(tone));
            (note.voice, note.bar, note.event)
        };
        let strings = |tone| self.strings.get(&tone);
        place(a) == place(b)
            || strings(a).zip(strings(b)).is_some_and(|(a, b)| a.and(*b).is_empty())
    }

    fn role(&self, tone: &Tone) -> Role {
        let note = self.score.note(tone.head());
        let event = self.score.event_of(note).notes();
        let melody = note.voice.0 == 1 && event.last() == Some(&note.id);
        let bass = event.first() == Some(&note.id)
            && (Some(note.voice) == self.lowest_voice || event.len() >= 3);
        match (melody, bass) {
            (true, _) => Role::Melody,
            (false, true) => Role::Bass,
            _ => Role::Inner,
        }
    }

    fn begin(&self, tone: &Tone) -> Sound {
        let marks = &self.score.event_of(self.score.note(tone.head())).marks;
        let kind = if marks.contains(&EventMark::NaturalHarmonic) {
            Kind::NaturalHarmonic
        } else if marks.contains(&EventMark::ArtificialHarmonic) {
            Kind::ArtificialHarmonic
        } else {
            Kind::Plain
        };
        Sound {
            key: tone.pitch.key_number().0,
            kind,
            layer: 0,
            onset: tone.onset,
            written_end: tone.end,
            wanted_end: tone.end,
            role: self.role(tone),
            tones: vec![tone.id],
            auxiliaries: self.score.auxiliaries(tone).iter().map(|key| key.0).collect(),
            joined: None,
            pulled_off_to: Vec::new(),
            tail_from: 0,
            written_until: 0,
            wanted_until: 0,
        }
    }

    fn add(&self, sound: &mut Sound, tone: &Tone) {
        sound.tones.push(tone.id);
        sound.written_end = sound.written_end.max(tone.end);
        sound.role = match (sound.role, self.role(tone)) {
            (Role::Melody, _) | (_, Role::Melody) => Role::Melody,
            (Role::Bass, _) | (_, Role::Bass) => Role::Bass,
            _ => Role::Inner,
        };
    }
}

/// A string that is struck again has stopped sounding its old note.
fn end_at_next_strike(sounds: &mut [Sound]) {
    // By key, the onset of the strike last seen and that of the one after it.
    let mut next: HashMap<i16, (Moment, Option<Moment>)> = HashMap::new();
    for sound in sounds.iter_mut().rev() {
        let again = match next.get(&sound.key) {
            Some((at, after)) if *at == sound.onset => *after,
            Some((at, _)) => Some(*at),
            None => None,
        };
        next.insert(sound.key, (sound.onset, again));
        if let Some(again) = again {
            sound.written_end = sound.written_end.min(again);
        }
        sound.wanted_end = sound.written_end;
    }
}

/// Finds from which sound each is joined.
fn join(score: &Score, part: PartIndex, tones: &Tones, sounds: &mut [Sound]) {
    let joins = score.joins(part);
    if joins.is_empty() {
        return;
    }
    let mut sound_of = vec![usize::MAX; tones.len()];
    for (index, sound) in sounds.iter().enumerate() {
        for tone in &sound.tones {
            sound_of[tone.0 as usize] = index;
        }
    }
    // They come in the order of the tones they lead to, so the first decides.
    let mut decided = vec![false; sounds.len()];
    for join in joins {
        let (from, to) = (sound_of[join.from.0 as usize], sound_of[join.to.0 as usize]);
        if !std::mem::replace(&mut decided[to], true)
            && sounds[from].written_end == sounds[to].onset
        {
            sounds[to].joined = Some(Join { from, kind: join.kind });
        }
    }
    for to in 0..sounds.len() {
        if let Some(Join { from, kind }) = sounds[to].joined
            && kind == JoinKind::Slur
            && sounds[to].key < sounds[from].key
        {
            sounds[from].pulled_off_to.push(to);
        }
    }
}

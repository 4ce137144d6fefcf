//! The part as the hands meet it: sounds, layers, roles (model §2).

use apoyando_music::{BarIndex, Content, Moment, PartIndex, Score, ToneId};

use crate::figure;

/// What a sound is in the music.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Role {
    Melody,
    Bass,
    Inner,
}

/// One pluck: all tones of one key struck together.
#[derive(Clone, Debug)]
pub(crate) struct Sound {
    pub key: i16,
    pub layer: usize,
    pub onset: Moment,
    pub written_end: Moment,
    pub wanted_end: Moment,
    pub role: Role,
    pub tones: Vec<ToneId>,
    /// First layer at which letting it go cuts no more than its tail.
    pub tail_from: usize,
    /// First layer at or after its written end.
    pub written_until: usize,
    /// First layer at or after its wanted end.
    pub wanted_until: usize,
}

/// An onset.
#[derive(Clone, Debug)]
pub(crate) struct Layer {
    pub onset: Moment,
    pub bar: BarIndex,
    /// Sounds struck here, as a range of [`Music::sounds`].
    pub first: usize,
    pub past: usize,
    /// Earlier sounds whose wanted end lies after this onset, from low to high.
    pub held: Vec<usize>,
    /// The figure it belongs to, by the layer at which that begins.
    pub figure: Option<usize>,
}

impl Layer {
    pub fn struck(&self) -> std::ops::Range<usize> {
        self.first..self.past
    }
}

/// All sounds and layers of a part.
#[derive(Clone, Debug)]
pub(crate) struct Music {
    pub sounds: Vec<Sound>,
    pub layers: Vec<Layer>,
    /// How many voices hold notes.
    pub voices: usize,
}

impl Music {
    pub fn read(score: &Score, part: PartIndex) -> Self {
        let mut music = Self { sounds: sounds(score, part), layers: Vec::new(), voices: 0 };
        music.voices = sounding_voices(score, part).len();
        music.layer(score);
        figure::find(&mut music);
        music.place_ends();
        music.hold();
        music
    }

    /// Cuts the sounds, which are in order, into layers.
    fn layer(&mut self, score: &Score) {
        for index in 0..self.sounds.len() {
            let onset = self.sounds[index].onset;
            match self.layers.last_mut() {
                Some(layer) if layer.onset == onset => layer.past = index + 1,
                _ => self.layers.push(Layer {
                    onset,
                    bar: score.bar_at(onset).unwrap_or(BarIndex(0)),
                    first: index,
                    past: index + 1,
                    held: Vec::new(),
                    figure: None,
                }),
            }
            self.sounds[index].layer = self.layers.len() - 1;
        }
    }

    /// Turns the ends into numbers of layers, which compare faster.
    fn place_ends(&mut self) {
        let onsets: Vec<Moment> = self.layers.iter().map(|l| l.onset).collect();
        for sound in &mut self.sounds {
            let length = sound.written_end - sound.onset;
            let from = sound.layer + 1;
            let count = |keep: &dyn Fn(Moment) -> bool| {
                from + onsets[from..].iter().take_while(|m| keep(**m)).count()
            };
            sound.tail_from =
                count(&|m| m < sound.written_end && (sound.written_end - m) * 4 > length);
            sound.written_until = count(&|m| m < sound.written_end);
            sound.wanted_until = count(&|m| m < sound.wanted_end);
        }
    }

    fn hold(&mut self) {
        let mut active: Vec<usize> = Vec::new();
        for index in 0..self.layers.len() {
            active.retain(|s| self.sounds[*s].wanted_until > index);
            self.layers[index].held.clone_from(&active);
            active.extend(self.layers[index].struck());
            active.sort_by_key(|s| self.sounds[*s].key);
        }
    }
}

/// Voices of the part that hold at least one note, by index.
fn sounding_voices(score: &Score, part: PartIndex) -> Vec<usize> {
    let voices = &score.part(part).voices;
    (0..voices.len())
        .filter(|v| {
            voices[*v].bars.iter().flatten().any(|e| matches!(e.content, Content::Notes(_)))
        })
        .collect()
}

fn sounds(score: &Score, part: PartIndex) -> Vec<Sound> {
    let tones = score.tones(part);
    let voices = sounding_voices(score, part);
    let lowest_voice = (voices.len() > 1)
        .then(|| voices.last().map(|v| score.part(part).voices[*v].number))
        .flatten();
    let mut order: Vec<&apoyando_music::Tone> = tones.as_slice().iter().collect();
    order.sort_by_key(|t| (t.onset, t.pitch.key_number(), t.id));
    let mut sounds: Vec<Sound> = Vec::with_capacity(order.len());
    for tone in order {
        let key = tone.pitch.key_number().0;
        let head = score.note(tone.head());
        let voice = &score.part(part).voices[usize::from(head.voice.0) - 1];
        let event = voice.bars[head.bar.0 as usize][head.event as usize].notes();
        let melody = head.voice.0 == 1 && event.last() == Some(&head.id);
        let bass = event.first() == Some(&head.id)
            && (Some(head.voice) == lowest_voice || event.len() >= 3);
        let role = match (melody, bass) {
            (true, _) => Role::Melody,
            (false, true) => Role::Bass,
            _ => Role::Inner,
        };
        match sounds.last_mut() {
            Some(last) if last.onset == tone.onset && last.key == key => {
                last.tones.push(tone.id);
                last.written_end = last.written_end.max(tone.end);
                last.role = match (last.role, role) {
                    (Role::Melody, _) | (_, Role::Melody) => Role::Melody,
                    (Role::Bass, _) | (_, Role::Bass) => Role::Bass,
                    _ => Role::Inner,
                };
            }
            _ => sounds.push(Sound {
                key,
                layer: 0,
                onset: tone.onset,
                written_end: tone.end,
                wanted_end: tone.end,
                role,
                tones: vec![tone.id],
                tail_from: 0,
                written_until: 0,
                wanted_until: 0,
            }),
        }
    }
    end_at_next_strike(&mut sounds);
    sounds
}

/// A string that is struck again has stopped sounding its old note.
fn end_at_next_strike(sounds: &mut [Sound]) {
    let mut next: std::collections::HashMap<i16, Moment> = std::collections::HashMap::new();
    for sound in sounds.iter_mut().rev() {
        if let Some(again) = next.insert(sound.key, sound.onset) {
            sound.written_end = sound.written_end.min(again);
        }
        sound.wanted_end = sound.written_end;
    }
}

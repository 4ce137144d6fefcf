//! Sounds and layers (section 2 of the model).

use std::ops::Range;

use apoyando_music::{
    BarIndex, KeyNumber, Moment, PartIndex, Score, Tone, ToneId, Tones, VoiceNumber,
};

use crate::figure::wanted_ends;
use crate::spot::Spot;

/// Who hears it most.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Role {
    Melody,
    Bass,
    Inner,
}

/// The tones struck at one onset on one key.
#[derive(Debug)]
pub(crate) struct Sound {
    pub(crate) tones: Vec<ToneId>,
    pub(crate) key: KeyNumber,
    pub(crate) layer: usize,
    pub(crate) onset: Moment,
    pub(crate) written_end: Moment,
    pub(crate) wanted_end: Moment,
    /// When the same key number is struck again.
    pub(crate) struck_again: Option<Moment>,
    pub(crate) role: Role,
}

/// Everything struck at one onset.
#[derive(Debug)]
pub(crate) struct Layer {
    pub(crate) at: Moment,
    pub(crate) bar: BarIndex,
    /// The sounds struck, by index.
    pub(crate) struck: Range<usize>,
    /// Earlier sounds whose wanted end lies after this onset.
    pub(crate) held: Vec<usize>,
}

/// All sounds and layers of a part.
pub(crate) struct Layers<'a> {
    pub(crate) score: &'a Score,
    pub(crate) sounds: Vec<Sound>,
    pub(crate) layers: Vec<Layer>,
    /// Per tone, the sound it belongs to.
    pub(crate) of_tone: Vec<usize>,
}

impl<'a> Layers<'a> {
    pub(crate) fn of(score: &'a Score, part: PartIndex) -> Self {
        let tones = score.tones(part);
        let sounds = sounds(score, part, &tones);
        let mut of_tone = vec![0; tones.len()];
        for (index, sound) in sounds.iter().enumerate() {
            for tone in &sound.tones {
                of_tone[tone.0 as usize] = index;
            }
        }
        let layers = layers(score, &sounds);
        let mut all = Self { score, sounds, layers, of_tone };
        for (sound, end) in wanted_ends(&all).into_iter().enumerate() {
            all.sounds[sound].wanted_end = end;
        }
        for (layer, held) in all.sounding_on(|sound| sound.wanted_end).into_iter().enumerate() {
            all.layers[layer].held = held;
        }
        all
    }

    /// Per layer, the earlier sounds whose `end` lies after its onset.
    pub(crate) fn sounding_on(&self, end: impl Fn(&Sound) -> Moment) -> Vec<Vec<usize>> {
        let mut active: Vec<usize> = Vec::new();
        self.layers
            .iter()
            .map(|layer| {
                active.retain(|sound| end(&self.sounds[*sound]) > layer.at);
                let here = active.clone();
                active.extend(layer.struck.clone());
                here
            })
            .collect()
    }

    pub(crate) fn spot(&self, layer: usize) -> Spot {
        let here = &self.layers[layer];
        Spot::new(self.score, here.bar, layer, here.at)
    }
}

fn sounds(score: &Score, part: PartIndex, tones: &Tones) -> Vec<Sound> {
    let mut order: Vec<&Tone> = tones.as_slice().iter().collect();
    order.sort_by_key(|tone| (tone.onset, tone.pitch.key_number(), tone.id));
    let mut sounds: Vec<Sound> = Vec::new();
    let mut layer = 0;
    for tone in order {
        let key = tone.pitch.key_number();
        match sounds.last_mut() {
            Some(last) if last.onset == tone.onset && last.key == key => {
                last.tones.push(tone.id);
                last.written_end = last.written_end.max(tone.end);
                continue;
            }
            Some(last) if last.onset < tone.onset => layer += 1,
            _ => {}
        }
        sounds.push(Sound {
            tones: vec![tone.id],
            key,
            layer,
            onset: tone.onset,
            written_end: tone.end,
            wanted_end: tone.end,
            struck_again: None,
            role: Role::Inner,
        });
    }
    cut_where_struck_again(&mut sounds);
    let bass_voice = bass_voice(tones);
    for sound in &mut sounds {
        sound.role = role(score, part, tones, sound, bass_voice);
    }
    sounds
}

fn cut_where_struck_again(sounds: &mut [Sound]) {
    let mut next = std::collections::HashMap::new();
    for sound in sounds.iter_mut().rev() {
        sound.struck_again = next.insert(sound.key, sound.onset);
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

fn role(
    score: &Score,
    part: PartIndex,
    tones: &Tones,
    sound: &Sound,
    bass_voice: Option<VoiceNumber>,
) -> Role {
    let voices = &score.part(part).voices;
    let mut role = Role::Inner;
    for tone in &sound.tones {
        let head = score.note(tones.get(*tone).head());
        let event = voices
            .iter()
            .find(|voice| voice.number == head.voice)
            .and_then(|voice| voice.bars.get(head.bar.0 as usize))
            .and_then(|bar| bar.get(head.event as usize));
        let Some(event) = event else { continue };
        let notes = event.notes();
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

fn layers(score: &Score, sounds: &[Sound]) -> Vec<Layer> {
    sounds
        .chunk_by(|a, b| a.layer == b.layer)
        .scan(0, |begin, chunk| {
            let struck = *begin..*begin + chunk.len();
            *begin = struck.end;
            let at = chunk[0].onset;
            let bar = score.bar_at(at).unwrap_or(BarIndex(0));
            Some(Layer { at, bar, struck, held: Vec::new() })
        })
        .collect()
}

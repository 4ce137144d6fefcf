//! The sounds of a part as a reader meets them: tones of one pitch struck
//! together are one sound, marked once, at the head of the upper voice.

use apoyando_fingering::{Fingering, LeftFinger, Placement, RightFinger};
use apoyando_music::{BarIndex, KeyNumber, Moment, NoteId, PartIndex, Score, Tones, VoiceNumber};

/// One sound.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Sound {
    /// The head that carries its marks.
    pub head: NoteId,
    /// When it is struck.
    pub onset: Moment,
    /// The bar it is struck in.
    pub bar: BarIndex,
    /// The uppermost voice that has it.
    pub voice: VoiceNumber,
    /// The lowest voice that has it; the same as `voice` unless two share it.
    pub low_voice: VoiceNumber,
    /// Its event in the bar of its upper voice.
    pub event: u32,
    /// What it sounds.
    pub key: KeyNumber,
    /// Whether it is not as the key signature has it.
    pub altered: bool,
    /// How it is stopped; `None` if it is left out.
    pub placement: Option<Placement>,
    /// The finger that takes it over while it sounds.
    pub second: Option<LeftFinger>,
    /// What plucks it; `None` also where the left hand makes it sound.
    pub right: Option<RightFinger>,
}

/// Notes that make a chord.
pub(crate) const CHORD: usize = 3;

impl Sound {
    /// Whether a finger stops it.
    pub fn is_stopped(&self) -> bool {
        self.placement.is_some_and(|placement| placement.finger.is_some())
    }

    /// Whether it is an open string.
    pub fn is_open(&self) -> bool {
        self.placement.is_some_and(|placement| placement.finger.is_none())
    }

    /// Whether both stand in one chord of one voice.
    pub fn same_event(&self, other: &Self) -> bool {
        (self.bar, self.voice, self.event) == (other.bar, other.voice, other.event)
    }
}

/// Whether sounds struck together are a chord of one voice.
pub(crate) fn is_chord(layer: &[Sound]) -> bool {
    layer.len() >= CHORD && layer.iter().all(|sound| sound.same_event(&layer[0]))
}

/// Whether a sound is the only one of its event.
pub(crate) fn is_alone(sounds: &[Sound], at: usize) -> bool {
    let own = &sounds[at];
    let with = |other: &&Sound| other.onset == own.onset;
    let before = sounds[..at].iter().rev().take_while(with);
    let mut others = before.chain(sounds[at + 1..].iter().take_while(with));
    !others.any(|other| other.same_event(own))
}

/// The sounds of a part in the order of onset, then from low to high.
pub(crate) fn sounds(score: &Score, part: PartIndex, fingering: &Fingering) -> Vec<Sound> {
    let tones: Tones = score.tones(part);
    let mut all: Vec<Sound> = tones
        .as_slice()
        .iter()
        .filter_map(|tone| {
            let played = fingering.tones.get(tone.id.0 as usize)?;
            let note = score.note(tone.head());
            let signature = score.bars().get(note.bar.0 as usize)?.signature;
            Some(Sound {
                head: note.id,
                onset: tone.onset,
                bar: note.bar,
                voice: tone.voice,
                low_voice: tone.voice,
                event: note.event,
                key: tone.pitch.key_number(),
                altered: tone.pitch.alter != signature.alter(tone.pitch.step),
                placement: played.left,
                second: played.second.map(|second| second.finger),
                right: played.right.filter(|_| !played.joined),
            })
        })
        .collect();
    all.sort_by_key(|sound| (sound.onset, sound.key, sound.voice));
    all.dedup_by(|later, first| {
        let same = (later.onset, later.key) == (first.onset, first.key);
        if same {
            first.low_voice = later.low_voice;
            first.placement = first.placement.or(later.placement);
            first.second = first.second.or(later.second);
            first.right = first.right.or(later.right);
        }
        same
    });
    all
}

/// The sounds of each onset.
pub(crate) fn layers(sounds: &[Sound]) -> impl Iterator<Item = &[Sound]> {
    sounds.chunk_by(|a, b| a.onset == b.onset)
}

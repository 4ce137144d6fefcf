//! What the right hand strikes.

use std::rc::Rc;

use apoyando_fingering::{Fingering, Pin, PinRule, Problem, RightFinger, RightFingerSet, Scope};
use apoyando_fretboard::StringNumber;
use apoyando_music::VoiceNumber;

use super::chord::{self, Chord};
use crate::author::{in_bars, pins_in_force};
use crate::hand::Hand;
use crate::layers::Layers;
use crate::sounds::Role;
use crate::violation::{Fault, Violation};

/// A sound that is plucked.
pub(super) struct Struck {
    /// Where it stands among those of its layer, from the thickest string.
    pub(super) index: usize,
    pub(super) sound: usize,
    pub(super) string: StringNumber,
    pub(super) bass: bool,
    pub(super) voices: Vec<VoiceNumber>,
    /// The pins of right fingers on it.
    pub(super) pins: Vec<Pin>,
    /// Whether they leave nothing, so that none of them counts.
    pub(super) contradicted: bool,
    pub(super) finger: Option<RightFinger>,
}

/// What is plucked in one layer, from the thickest string on.
pub(super) struct Beat {
    pub(super) layer: usize,
    pub(super) struck: Vec<Struck>,
    /// The chord that it breaks, if it does.
    pub(super) broken: Option<Rc<Chord>>,
    /// Whether the thumb should begin here.
    pub(super) thumb_begins: bool,
    /// Whether it is a bass that stands alone in one voice.
    pub(super) lone_bass: bool,
}

impl Beat {
    /// The hand, if every plucked sound has a finger. With more sounds than any
    /// instrument has strings there is none.
    pub(super) fn hand(&self) -> Option<Vec<RightFinger>> {
        if self.struck.len() > usize::from(StringNumber::MOST) {
            return None;
        }
        self.struck.iter().map(|struck| struck.finger).collect()
    }

    /// The only plucked sound.
    pub(super) fn lone(&self) -> Option<&Struck> {
        match &self.struck[..] {
            [lone] => Some(lone),
            _ => None,
        }
    }

    pub(super) fn is_line(&self) -> bool {
        self.broken.is_none() && !self.lone_bass && self.lone().is_some_and(|lone| !lone.bass)
    }
}

/// The layers in which something is plucked; reports sounds without a finger,
/// and left-out and joined ones with one.
pub(super) fn beats(
    problem: &Problem<'_>,
    all: &Layers<'_>,
    hands: &[Hand],
    fingering: &Fingering,
    found: &mut Vec<Violation>,
) -> Vec<Beat> {
    let pins: Vec<Pin> = pins_in_force(problem)
        .into_iter()
        .filter(|pin| matches!(pin.rule, PinRule::RightFingers(_)))
        .collect();
    let tones = all.score.tones(problem.part);
    let mut beats: Vec<Beat> = hands
        .iter()
        .enumerate()
        .map(|(layer, hand)| {
            let mut report = |fault| found.push(Violation::at(all.spot(layer), fault));
            let joined = |sound: usize| hand.joined.iter().any(|(other, _)| *other == sound);
            let mut struck: Vec<Struck> = hand
                .struck()
                .filter(|sounding| !joined(sounding.sound))
                .map(|sounding| {
                    let sound = &all.sounds[sounding.sound];
                    let bar = all.layers[layer].bar;
                    let pins: Vec<Pin> = pins
                        .iter()
                        .filter(|pin| match pin.scope {
                            Scope::Tone(tone) => sound.tones.contains(&tone),
                            bars => in_bars(bars, bar),
                        })
                        .copied()
                        .collect();
                    Struck {
                        index: 0,
                        sound: sounding.sound,
                        string: sounding.placement.place.string,
                        bass: sound.role == Role::Bass,
                        voices: sound.tones.iter().map(|tone| tones.get(*tone).voice).collect(),
                        contradicted: left_by(&pins).is_empty(),
                        pins,
                        finger: finger(all, sounding.sound, fingering, &mut report),
                    }
                })
                .collect();
            let left_out = hand.left_out.iter().map(|sound| (*sound, true));
            let joined = hand.joined.iter().map(|(sound, _)| (*sound, false));
            for (sound, is_left_out) in left_out.chain(joined) {
                for tone in all.sounds[sound].tones.iter().copied() {
                    if fingering.tones[tone.0 as usize].right.is_some() {
                        report(if is_left_out {
                            Fault::PluckedNothing(tone)
                        } else {
                            Fault::PluckedJoined(tone)
                        });
                    }
                }
            }
            struck.sort_by_key(|struck| std::cmp::Reverse(struck.string));
            for (index, struck) in struck.iter_mut().enumerate() {
                struck.index = index;
            }
            Beat { layer, struck, broken: None, thumb_begins: false, lone_bass: false }
        })
        .filter(|beat| !beat.struck.is_empty())
        .collect();
    chord::hear(all, problem, &mut beats);
    beats
}

/// The fingers that all of some pins allow.
fn left_by(pins: &[Pin]) -> RightFingerSet {
    pins.iter().fold(RightFingerSet::ALL, |left, pin| match pin.rule {
        PinRule::RightFingers(set) => left.and(set),
        _ => left,
    })
}

fn finger(
    all: &Layers<'_>,
    sound: usize,
    fingering: &Fingering,
    report: &mut impl FnMut(Fault),
) -> Option<RightFinger> {
    let tones = &all.sounds[sound].tones;
    let right = |index: usize| fingering.tones[tones[index].0 as usize].right;
    if (1..tones.len()).any(|index| right(index) != right(0)) {
        report(Fault::RightSplit(tones[0]));
    }
    if right(0).is_none() {
        report(Fault::NoRightFinger(tones[0]));
    }
    right(0)
}

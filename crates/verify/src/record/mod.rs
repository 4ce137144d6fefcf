//! Whether what a fingering says beside its postures follows from them (end of
//! section 5 of the model).

mod shifts;
mod spans;

use apoyando_fingering::{Fingering, LetGo, SecondFinger};
use apoyando_music::{Moment, ToneId};

use crate::hand::Hand;
use crate::layers::Layers;
use crate::second::{change, changed_at};
use crate::violation::{Fault, Violation};

pub(crate) fn check(
    all: &Layers<'_>,
    hands: &[Hand],
    fingering: &Fingering,
    found: &mut Vec<Violation>,
) {
    tones(all, hands, fingering, found);
    spans::check(all, hands, fingering, found);
    shifts::check(all, hands, fingering, found);
    let_go(all, hands, &fingering.let_go, found);
}

/// The layer at which each sound is gone, if before its wanted end.
fn gone(all: &Layers<'_>, hands: &[Hand]) -> Vec<Option<usize>> {
    let mut gone = vec![None; all.sounds.len()];
    for (layer, hand) in hands.iter().enumerate() {
        for sound in &hand.let_go {
            gone[*sound].get_or_insert(layer);
        }
    }
    gone
}

fn tones(all: &Layers<'_>, hands: &[Hand], fingering: &Fingering, found: &mut Vec<Violation>) {
    let gone = gone(all, hands);
    for (index, (tone, sound)) in fingering.tones.iter().zip(&all.of_tone).enumerate() {
        let id = ToneId(index as u32);
        let layer = all.sounds[*sound].layer;
        let hand = &hands[layer];
        let placed = hand.struck().find(|s| s.sound == *sound).map(|s| s.placement);
        let mut report = |fault: Fault| found.push(Violation::at(all.spot(layer), fault));
        if tone.left != placed {
            report(Fault::TonePlacement { tone: id, found: tone.left, wanted: placed });
        }
        let wanted = gone[*sound].map_or(all.sounds[*sound].wanted_end, |at| all.layers[at].at);
        if placed.is_some() && tone.sounds_until != wanted {
            report(Fault::SoundsUntil { tone: id, found: tone.sounds_until, wanted });
        }
        let second = second(all, hands, *sound).filter(|_| placed.is_some());
        if tone.second != second {
            report(Fault::ToneSecond { tone: id, found: tone.second, wanted: second });
        }
        if tone.joined != hand.joined.iter().any(|(joined, _)| joined == sound) {
            report(Fault::JoinedFlag { tone: id, found: tone.joined });
        }
    }
}

/// The finger that takes a sound over, and from which onset.
fn second(all: &Layers<'_>, hands: &[Hand], sound: usize) -> Option<SecondFinger> {
    let last = hands.len().checked_sub(1)?;
    let layer = changed_at(all, hands, sound, last)?;
    let (_, finger) = change((&hands[layer - 1], &hands[layer]), sound)?;
    Some(SecondFinger { finger, from: all.layers[layer].at })
}

fn let_go(all: &Layers<'_>, hands: &[Hand], said: &[LetGo], found: &mut Vec<Violation>) {
    let mut wanted = Vec::new();
    for (sound, layer) in gone(all, hands).into_iter().enumerate() {
        let Some(layer) = layer else { continue };
        let (at, sound) = (all.layers[layer].at, &all.sounds[sound]);
        let written = at < sound.written_end;
        wanted.extend(sound.tones.iter().map(|tone| LetGo { tone: *tone, at, written }));
    }
    let mut said = said.to_vec();
    for list in [&mut said, &mut wanted] {
        list.sort_by_key(|entry| (entry.tone, entry.at));
    }
    for entry in said.iter().filter(|entry| !names(&wanted, entry)) {
        found.push(spotted(all, Some(entry.at), Fault::LetGoInvented(*entry)));
    }
    for entry in wanted.iter().filter(|entry| !names(&said, entry)) {
        found.push(spotted(all, Some(entry.at), Fault::LetGoUnsaid(*entry)));
    }
}

/// Whether an entry is in a list ordered by tone and onset.
fn names(list: &[LetGo], entry: &LetGo) -> bool {
    let first = list.partition_point(|other| (other.tone, other.at) < (entry.tone, entry.at));
    let same =
        list[first..].iter().take_while(|other| (other.tone, other.at) == (entry.tone, entry.at));
    same.into_iter().any(|other| other == entry)
}

fn spotted(all: &Layers<'_>, at: Option<Moment>, fault: Fault) -> Violation {
    let layer = at.and_then(|at| all.layers.binary_search_by_key(&at, |layer| layer.at).ok());
    match layer {
        Some(layer) => Violation::at(all.spot(layer), fault),
        None => Violation::whole(fault),
    }
}

//! Broken chords under the right hand (section 6).

use std::collections::BTreeSet;
use std::ops::Range;
use std::rc::Rc;

use apoyando_fingering::{Problem, RightFinger};
use apoyando_fretboard::StringNumber;
use apoyando_music::Duration;

use super::struck::Beat;
use super::voices;
use crate::figure::broken;
use crate::layers::Layers;

use RightFinger::{A, I, M, P};

/// The finger of every string of a broken chord.
pub(super) struct Chord(Vec<(StringNumber, RightFinger)>);

impl Chord {
    pub(super) fn at_home(&self, string: StringNumber) -> RightFinger {
        let own = self.0.iter().find(|(other, _)| *other == string);
        own.map_or_else(|| usual(string), |(_, finger)| *finger)
    }

    /// With the thumb on some strings; those thicker than all of them are left.
    fn over(strings: &BTreeSet<StringNumber>, thumb: &BTreeSet<StringNumber>) -> Self {
        let strings: BTreeSet<StringNumber> = strings
            .iter()
            .filter(|string| thumb.last().is_none_or(|thickest| *string <= thickest))
            .copied()
            .collect();
        let rest: Vec<StringNumber> = strings.difference(thumb).copied().collect();
        let thick = rest.iter().filter(|string| string.get() > 3).count();
        let low = thick > 0 && rest.len() - thick < 2;
        // The thinnest string of the rest comes first.
        let in_turn: &[RightFinger] = match rest.len() {
            0 => &[],
            1 => &[I],
            2 => &[M, I],
            _ => &[A, M, I],
        };
        let fingers = in_turn.iter().copied().chain(std::iter::repeat(P));
        let rest = rest
            .iter()
            .zip(fingers)
            .map(|(string, finger)| (*string, if low { finger } else { usual(*string) }));
        Self(thumb.iter().map(|string| (*string, P)).chain(rest).collect())
    }
}

/// The finger at home on a string when nothing is broken.
pub(super) fn usual(string: StringNumber) -> RightFinger {
    match string.get() {
        1 => A,
        2 => M,
        3 => I,
        _ => P,
    }
}

/// Tells the beats which chord they break.
pub(super) fn hear(all: &Layers<'_>, problem: &Problem<'_>, beats: &mut [Beat]) {
    let many = voices(all, problem).len() > 1;
    for figure in &all.figures {
        break_up(beats, figure, many);
    }
    if many {
        return;
    }
    for slow in broken(all, Duration::new(1, 4)) {
        let own = || beats.iter().filter(|beat| slow.contains(&beat.layer));
        let first_is_thick = own().next().and_then(Beat::lone).is_some_and(|s| s.string.get() >= 4);
        let strings: BTreeSet<StringNumber> =
            own().flat_map(|beat| &beat.struck).map(|struck| struck.string).collect();
        let free = own().all(|beat| beat.broken.is_none());
        let bar = |layer: usize| all.layers[layer].bar;
        let begins = own().next().is_some_and(|first| {
            beats
                .iter()
                .all(|beat| beat.layer >= first.layer || bar(beat.layer) != bar(first.layer))
        });
        if begins && first_is_thick && free && strings.len() > 2 {
            break_up(beats, &slow, many);
        }
    }
}

fn break_up(beats: &mut [Beat], layers: &Range<usize>, many_voices: bool) {
    let own: Vec<usize> = (0..beats.len()).filter(|b| layers.contains(&beats[*b].layer)).collect();
    let (mut strings, mut bass) = (BTreeSet::new(), BTreeSet::new());
    for struck in own.iter().flat_map(|beat| &beats[*beat].struck) {
        strings.insert(struck.string);
        if struck.bass && many_voices {
            bass.insert(struck.string);
        }
    }
    let mut from = 0;
    for past in 1..=own.len() {
        if past < own.len() && !falls_below(beats, &own[..past], own[past]) {
            continue;
        }
        let heard = own[..past].iter().flat_map(|beat| &beats[*beat].struck);
        let thickest = heard.map(|struck| struck.string).max().filter(|s| s.get() >= 4);
        let thumb = if bass.is_empty() { thickest.into_iter().collect() } else { bass.clone() };
        let chord = Rc::new(Chord::over(&strings, &thumb));
        for beat in &own[from..past] {
            beats[*beat].broken = Some(Rc::clone(&chord));
        }
        let begin = &mut beats[own[from]];
        begin.thumb_begins = begin.lone().is_some_and(|struck| struck.string.get() >= 4);
        from = past;
    }
}

/// Whether a beat falls back below all before it in its chord.
fn falls_below(beats: &[Beat], before: &[usize], next: usize) -> bool {
    let Some(lone) = beats[next].lone().map(|struck| struck.string.get()) else { return false };
    let thickest = |own: &[usize]| {
        own.iter().flat_map(|beat| &beats[*beat].struck).map(|s| s.string.get()).max()
    };
    let last = &before[before.len() - 1..];
    lone >= 4
        && thickest(before).is_some_and(|string| lone > string)
        && thickest(last).is_some_and(|string| lone >= string + 2)
}

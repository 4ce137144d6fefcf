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
        break_up(own(beats, figure), many);
    }
    if many {
        return;
    }
    for slow in broken(all, Duration::new(1, 4)) {
        let begin = beats.partition_point(|beat| beat.layer < slow.start);
        let bar = |beat: &Beat| all.layers[beat.layer].bar;
        let before = begin.checked_sub(1).map(|before| bar(&beats[before]));
        let own = own(beats, &slow);
        let Some(first) = own.first() else { continue };
        let strings: BTreeSet<StringNumber> =
            own.iter().flat_map(|beat| &beat.struck).map(|struck| struck.string).collect();
        let begins = before != Some(bar(first));
        let stands_on_a_bass =
            first.lone().is_some_and(|s| s.string.get() >= 4 && strings.last() == Some(&s.string));
        let free = own.iter().all(|beat| beat.broken.is_none());
        if begins && stands_on_a_bass && free && strings.len() > 2 {
            break_up(own, many);
        }
    }
}

/// The beats of some layers; beats are in the order of their layers.
fn own<'b>(beats: &'b mut [Beat], layers: &Range<usize>) -> &'b mut [Beat] {
    let from = beats.partition_point(|beat| beat.layer < layers.start);
    let past = beats.partition_point(|beat| beat.layer < layers.end);
    beats.get_mut(from..past).unwrap_or_default()
}

fn break_up(beats: &mut [Beat], many_voices: bool) {
    let (mut strings, mut bass) = (BTreeSet::new(), BTreeSet::new());
    for struck in beats.iter().flat_map(|beat| &beat.struck) {
        strings.insert(struck.string);
        if struck.bass && many_voices {
            bass.insert(struck.string);
        }
    }
    let thickest = |beat: &Beat| beat.struck.iter().map(|struck| struck.string).max();
    let (mut from, mut heard) = (0, None);
    for past in 1..=beats.len() {
        heard = heard.max(thickest(&beats[past - 1]));
        let last = thickest(&beats[past - 1]);
        if beats.get(past).is_some_and(|next| !falls_below(next, heard, last)) {
            continue;
        }
        let thick = heard.filter(|string| string.get() >= 4);
        let thumb = if bass.is_empty() { thick.into_iter().collect() } else { bass.clone() };
        let chord = Rc::new(Chord::over(&strings, &thumb));
        let rise = &mut beats[from..past];
        rise[0].thumb_begins = rise[0].lone().is_some_and(|struck| struck.string.get() >= 4);
        for beat in rise {
            beat.broken = Some(Rc::clone(&chord));
        }
        from = past;
    }
}

/// Whether a beat falls back below the thickest string heard in its chord, and by more than
/// a string from the last.
fn falls_below(next: &Beat, heard: Option<StringNumber>, last: Option<StringNumber>) -> bool {
    let Some(lone) = next.lone().map(|struck| struck.string) else { return false };
    lone.get() >= 4
        && heard.is_some_and(|string| lone > string)
        && last.is_some_and(|string| lone.get() >= string.get() + 2)
}

//! Gaps in rows of letters: what could be foretold, but looks forgotten where all around it is
//! printed. Common practice, no source.

use apoyando_fingering::{Placement, RightFinger};
use apoyando_music::{Duration, KeyNumber, Moment, Score};

use crate::sounds::Sound;

/// Bars without letters that look forgotten among others: a line of music at most.
const GAP_BARS: usize = 4;

/// The bars without letters between two with letters, if they are not the one before again.
pub(crate) fn lone_bars<'e>(
    sounds: &[Sound],
    bars: &[(&'e [usize], bool)],
) -> impl Iterator<Item = &'e [usize]> {
    let number = |bar: &[usize]| sounds[bar[0]].bar.0;
    let places = |bar: &[usize]| -> Vec<_> {
        bar.iter().map(|at| sounds[*at].placement.map(|placement| placement.place)).collect()
    };
    bars.windows(3).filter_map(move |three| {
        let [(before, true), (bare, false), (after, true)] = three else { return None };
        let next = number(before) + 1 == number(bare) && number(bare) + 1 == number(after);
        (next && places(before) != places(bare)).then_some(*bare)
    })
}

/// When the bar of some sounds begins.
fn start_of(sounds: &[Sound], score: &Score, bar: &[usize]) -> Moment {
    let bar = score.bars().get(sounds[bar[0]].bar.0 as usize);
    bar.map_or(Moment::START, |bar| bar.start)
}

/// A sound as far as it makes a figure of both hands: when, what and how.
type Played = (Duration, KeyNumber, Option<Placement>, Option<RightFinger>);

/// What is played in a bar, from its beginning, by both hands.
fn figure(sounds: &[Sound], score: &Score, bar: &[usize]) -> Vec<Played> {
    let start = start_of(sounds, score, bar);
    let bar = bar.iter().map(|at| &sounds[*at]);
    bar.map(|it| (it.onset - start, it.key, it.placement, it.right)).collect()
}

/// Gives the first of like bars its letters if one of the others has them; not those of one
/// chord, which may have them for what was broken before.
pub(crate) fn first_of_like(
    sounds: &[Sound],
    score: &Score,
    bars: &[(&[usize], bool)],
    told: &mut [bool],
) {
    let figures: Vec<_> = bars.iter().map(|(bar, _)| figure(sounds, score, bar)).collect();
    let is_chord = |bar: &[usize]| {
        bar.len() > 1 && bar.iter().all(|at| sounds[*at].same_event(&sounds[bar[0]]))
    };
    for (later, (bar, _)) in bars.iter().enumerate().filter(|(_, (bar, _))| !is_chord(bar)) {
        let Some(first) = figures[..later].iter().position(|it| *it == figures[later]) else {
            continue;
        };
        for (at, first) in bar.iter().zip(bars[first].0) {
            told[*first] &= told[*at];
        }
    }
}

/// Fills the gaps of a voice most of whose bars, and more than a line of them, have letters:
/// there a few bars without look forgotten, also at the end, and where three quarters have them,
/// any number. What is the bar or the chord before again stays without, and
/// so does the thumb in the bass, which is told once.
pub(crate) fn gaps(
    sounds: &[Sound],
    score: &Score,
    bass: bool,
    bars: &[(&[usize], bool)],
    patterned: &[bool],
    told: &mut [bool],
) {
    let thumb = |bar: &[usize]| bar.iter().all(|at| sounds[*at].right == Some(RightFinger::P));
    let own: Vec<&[usize]> =
        bars.iter().map(|(bar, _)| *bar).filter(|bar| !(bass && thumb(bar))).collect();
    let lettered = |told: &[bool]| -> Vec<bool> {
        own.iter().map(|bar| bar.iter().any(|at| !told[*at])).collect()
    };
    let count = |lettered: &[bool]| lettered.iter().filter(|it| **it).count();
    let has = lettered(told);
    if count(&has) <= GAP_BARS || 2 * count(&has) <= own.len() {
        return;
    }
    // Among so many letters one p does not tell that a whole bar is p.
    for bar in own.iter().zip(&has).filter(|(bar, has)| **has && thumb(bar)) {
        bar.0.iter().for_each(|at| told[*at] &= patterned[*at]);
    }
    fill(sounds, score, &own, (&has, GAP_BARS), patterned, told);
    let has = lettered(told);
    if 4 * count(&has) >= 3 * own.len() {
        fill(sounds, score, &own, (&has, usize::MAX), patterned, told);
    }
}

/// Fills the gaps of bars without letters that are no longer than so many bars.
fn fill(
    sounds: &[Sound],
    score: &Score,
    own: &[&[usize]],
    (lettered, longest): (&[bool], usize),
    patterned: &[bool],
    told: &mut [bool],
) {
    let places = |event: &[usize]| -> Vec<_> {
        event.iter().map(|at| (sounds[*at].placement, sounds[*at].right)).collect()
    };
    let again = |at: usize| {
        let played = |at: usize| figure(sounds, score, own[at]);
        at > 0 && played(at - 1) == played(at)
    };
    let mut first = 0;
    for gap in lettered.chunk_by(|a, b| a == b) {
        let bars = first..first + gap.len();
        first = bars.end;
        if gap[0] || gap.len() > longest {
            continue;
        }
        for index in bars.filter(|at| !again(*at)) {
            let events: Vec<&[usize]> =
                own[index].chunk_by(|a, b| sounds[*a].same_event(&sounds[*b])).collect();
            for (rank, event) in events.iter().enumerate() {
                let again = event.len() > 1
                    && rank.checked_sub(1).is_some_and(|at| places(events[at]) == places(event));
                event.iter().filter(|_| !again).for_each(|at| told[*at] &= patterned[*at]);
            }
        }
    }
}

/// Bars of one row that are seen together: the chords of a progression.
const ROW_BARS: usize = 6;

/// Fills short rows of bars in which shapes are struck or broken in one way: where most bars of a
/// row have letters, all have, if they are not the one before again. A row with a few bars left
/// out looks unfinished.
pub(crate) fn rows(
    sounds: &[Sound],
    score: &Score,
    bars: &[(&[usize], bool)],
    patterned: &[bool],
    told: &mut [bool],
) {
    let number = |bar: &[usize]| sounds[bar[0]].bar.0;
    let figure = |bar: &[usize]| -> Vec<_> {
        let start = start_of(sounds, score, bar);
        let events = bar.chunk_by(|a, b| sounds[*a].same_event(&sounds[*b]));
        events
            .map(|event| {
                let first = &sounds[event[0]];
                let single = if event.len() == 1 { first.right } else { None };
                (first.onset - start, single)
            })
            .collect()
    };
    let places = |bar: &[usize]| -> Vec<_> {
        bar.iter().map(|at| (sounds[*at].placement, sounds[*at].right)).collect()
    };
    let row = bars.chunk_by(|(a, _), (b, _)| number(a) + 1 == number(b) && figure(a) == figure(b));
    for row in row.filter(|row| (2..=ROW_BARS).contains(&row.len())) {
        let figure = figure(row[0].0);
        let struck = figure.iter().any(|(_, single)| single.is_none());
        let mut fingers: Vec<_> = figure.iter().filter_map(|(_, single)| *single).collect();
        fingers.sort_unstable();
        fingers.dedup();
        let lettered = row.iter().filter(|(bar, _)| bar.iter().any(|at| !told[*at])).count();
        if 2 * lettered <= row.len() || !(struck || fingers.len() > 2) {
            continue;
        }
        for (index, (bar, _)) in row.iter().enumerate() {
            if index == 0 || places(row[index - 1].0) != places(bar) {
                bar.iter().for_each(|at| told[*at] &= patterned[*at]);
            }
        }
    }
}

/// The chords without letters between two with letters, if they are not the one before
/// again: a row with a hole is read twice.
pub(crate) fn holes<'e>(
    sounds: &[Sound],
    events: &'e [(Vec<usize>, bool)],
) -> impl Iterator<Item = &'e Vec<usize>> {
    let places = |event: &[usize]| -> Vec<_> {
        event.iter().map(|at| sounds[*at].placement.map(|placement| placement.place)).collect()
    };
    events.windows(3).filter_map(move |three| {
        let [(before, true), (hole, false), (after, true)] = three else { return None };
        let chords = [before, hole, after].iter().all(|event| event.len() > 1);
        (chords && places(before) != places(hole)).then_some(hole)
    })
}

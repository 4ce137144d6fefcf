//! The lines of a piece beside one another: stretch, and how they end.

use std::collections::BTreeMap;

use apoyando_music::{BarEnd, Duration, Moment, Score};

use super::Fault;
use super::columns::heads;
use crate::geometry::Rect;
use crate::sheet::System;

/// Stretch that a line may have [house value].
pub(super) const STRETCH: std::ops::RangeInclusive<f64> = 0.85..=1.25;
/// Stretch that a line may have which is all of its music: a last line is filled from 65 %
/// on [house value], and it has no neighbour to be unlike.
pub(super) const ALONE: std::ops::RangeInclusive<f64> = 0.85..=1.0 / 0.65;
/// The most that a line of whole phrases may have, of four bars each from the beginning of
/// its section [house value].
const PHRASED: f64 = 1.0 / 0.4;
/// Neighbouring lines are stretched alike within this [house value].
pub(super) const ALIKE: f64 = 1.15;
/// The same of two lines of whole phrases [house value].
pub(super) const ALIKE_PHRASED: f64 = 1.35;
/// Natural distance of quarters; it grows with the square root of the time (whole 7, half 5,
/// eighth 2.5, sixteenth 1.75: Ross and Gould, from memory).
const QUARTER: f64 = 3.5;
/// A line with fewer distances than this says nothing.
const FEWEST: usize = 4;

/// Whether something begins between two onsets of a bar.
fn begins_between(score: &Score, from: Moment, until: Moment, bar: u32) -> bool {
    let events = score.parts().iter().flat_map(|part| &part.voices);
    let mut events = events.filter_map(|voice| voice.bars.get(bar as usize)).flatten();
    events.any(|event| from < event.onset && event.onset < until)
}

/// Shortest length of time that sounds at each onset of a part's bars.
fn shortest(score: &Score, at: Moment, bar: u32) -> Option<Duration> {
    let events = score.parts().iter().flat_map(|part| &part.voices);
    let events = events.filter_map(|voice| voice.bars.get(bar as usize)).flatten();
    let sounding = events.filter(|event| event.onset <= at && at < event.end());
    sounding.map(|event| event.duration).min()
}

/// The median of the distances of neighbouring onsets of a line by what they would naturally
/// be, where no rest comes between; `None` where there are too few. The natural distance of a time is that of the
/// shortest note that sounds, in proportion.
#[must_use]
pub fn stretch(system: &System, score: &Score) -> Option<f64> {
    let ratios = ratios(system, score);
    (ratios.len() >= FEWEST).then(|| ratios[ratios.len() / 2])
}

/// Of the same, that of which a tenth are narrower.
pub(super) fn tightest(system: &System, score: &Score) -> Option<f64> {
    let ratios = ratios(system, score);
    (ratios.len() >= FEWEST).then(|| ratios[ratios.len() / 10])
}

fn ratios(system: &System, score: &Score) -> Vec<f64> {
    let mut columns: BTreeMap<(u32, Moment), f64> = BTreeMap::new();
    for (note, area) in heads(&system.drawing, score) {
        let column = columns.entry((note.bar.0, note.onset)).or_insert(area.left);
        *column = column.min(area.left);
    }
    let columns: Vec<_> = columns.into_iter().collect();
    let mut ratios: Vec<f64> = columns
        .windows(2)
        .filter_map(|pair| {
            let [((bar, from), left), ((next, until), right)] = pair else { return None };
            if bar != next || begins_between(score, *from, *until, *bar) {
                return None;
            }
            let time = (*until - *from).whole_notes();
            let shortest = shortest(score, *from, *bar)?.whole_notes();
            let natural = QUARTER * (4.0 * shortest).sqrt() * time / shortest;
            Some((right - left) / natural)
        })
        .collect();
    ratios.sort_by(f64::total_cmp);
    ratios
}

/// Lines stretched or pressed beyond what goes unnoticed, and neighbours of which one is
/// more than 15 % looser. The place of a fault is the staff of its line.
#[must_use]
pub fn uneven_lines(systems: &[System], score: &Score) -> Vec<(usize, Fault)> {
    let stretches: Vec<Option<f64>> = systems.iter().map(|line| stretch(line, score)).collect();
    let mut faults = Vec::new();
    for (at, own) in stretches.iter().enumerate() {
        let Some(own) = own else { continue };
        let bounds = match systems.len() {
            1 => ALONE,
            _ => *STRETCH.start()..=loosest(is_phrased(&systems[at], score)),
        };
        if !bounds.contains(own) {
            let message = format!("a line is stretched to {own:.2}");
            faults.push((at, fault("line-stretch", &systems[at], message)));
        }
        let Some(Some(before)) = at.checked_sub(1).map(|before| stretches[before]) else {
            continue;
        };
        let phrased = systems[at - 1..=at].iter().all(|line| is_phrased(line, score));
        let alike = if phrased { ALIKE_PHRASED } else { ALIKE };
        if (own / before).max(before / own) > alike {
            let message = format!("a line is stretched to {own:.2}, the one before to {before:.2}");
            faults.push((at, fault("lines-unlike", &systems[at], message)));
        }
    }
    faults
}

/// The most that a line may be stretched beside others.
pub(super) fn loosest(phrased: bool) -> f64 {
    if phrased { PHRASED } else { *STRETCH.end() }
}

/// Whether a line has whole phrases of four bars, from the beginning of its section on.
pub(super) fn is_phrased(line: &System, score: &Score) -> bool {
    let first = line.bars.start as usize;
    let bars = score.bars();
    let opens = |at: &usize| {
        let Some(before) = at.checked_sub(1).map(|before| &bars[before]) else { return true };
        let pickup = *at == 1 && before.length < before.metre.bar();
        let parted = before.end == BarEnd::Double || before.repeat_end.is_some();
        pickup || parted || bars[*at].repeat_start
    };
    let opening = (0..=first).rev().find(opens).unwrap_or(0);
    let whole = |bars: usize| bars.is_multiple_of(4);
    whole(first - opening) && whole(line.bars.len())
}

/// A last line of a single bar.
#[must_use]
pub fn lone_last_bar(systems: &[System]) -> Option<(usize, Fault)> {
    let (at, last) = (systems.len().checked_sub(1)?, systems.last()?);
    let lone = at > 0 && last.bars.end - last.bars.start < 2;
    let message = "a single bar stands on the last line".to_owned();
    lone.then(|| (at, fault("last-line-lone", last, message)))
}

fn fault(rule: &'static str, system: &System, message: String) -> Fault {
    let drawing = &system.drawing;
    let place = Rect::new(0.0, -drawing.below.0, drawing.width.0, drawing.above.0);
    Fault { rule, place, message }
}

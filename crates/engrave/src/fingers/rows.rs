//! Left-hand digits away from their heads: stacked over or under the staff, alone
//! or in the level row of a run.

use std::collections::{BTreeMap, HashMap, HashSet};

use apoyando_music::NoteId;

use super::clear;
use super::digits::{Found, Wanted, left_of, put_all};
use super::levels::from_highest;
use super::runs::Run;
use super::sign::Sizes;
use crate::geometry::Stage;

/// A digit no farther than this from the rows before and after it would be read as one that
/// has dropped out of them.
const BETWEEN: f64 = 3.5;

/// The runs whose digits stand in a row: those too fast for digits between
/// their notes, and those where some digit finds no room left of its head.
pub fn choose_rows(
    runs: Vec<Run>,
    wanted: &BTreeMap<NoteId, Wanted>,
    sizes: &Sizes,
    stage: &Stage,
) -> Vec<Run> {
    let rows = runs.into_iter().filter(|run| {
        let no_room = |notes: &Vec<NoteId>| {
            let digits = of_onset(notes, wanted);
            !digits.is_empty() && left_of(&digits, stage).is_none()
        };
        // One digit makes no row, and between two voices it would be anybody's.
        let may = run.onsets.len() > 1 && !run.is_inner;
        run.is_a_row(sizes.row) || may && (run.is_fast || run.onsets.iter().any(no_room))
    });
    let mut rows: Vec<Run> = rows.collect();
    take_in_single_digits(&mut rows, wanted);
    keep_order(&mut rows, wanted, stage);
    rows
}

/// Digits that would be nearer to the staff than the row of some notes struck with theirs,
/// while their own notes lie farther out: as where voices cross.
fn crossed<'a>(
    row: &'a [Wanted],
    wanted: &'a BTreeMap<NoteId, Wanted>,
) -> impl Iterator<Item = NoteId> + 'a {
    let farther = |other: &Wanted| match row.first().is_some_and(Wanted::is_lower) {
        true => row.iter().any(|own| other.middle() < own.middle()),
        false => row.iter().any(|own| other.middle() > own.middle()),
    };
    let with = |other: &Wanted| row.iter().any(|own| own.head.onset == other.head.onset);
    let others = wanted.values().filter(move |other| with(other) && farther(other));
    others.map(|other| other.head.note)
}

/// The digits of an onset of a row.
fn of_onset(notes: &[NoteId], wanted: &BTreeMap<NoteId, Wanted>) -> Vec<Wanted> {
    notes.iter().filter_map(|note| wanted.get(note).copied()).collect()
}

/// Leaves the notes of an onset out of the row that such digits are struck with, if there
/// is room left of the heads for all of them; else takes those digits in.
fn keep_order(rows: &mut Vec<Run>, wanted: &BTreeMap<NoteId, Wanted>, stage: &Stage) {
    let mut in_rows: HashSet<NoteId> =
        rows.iter().flat_map(|row| row.onsets.iter().flatten().copied()).collect();
    for notes in rows.iter_mut().flat_map(|row| &mut row.onsets) {
        let row = of_onset(notes, wanted);
        let crossed: Vec<NoteId> =
            crossed(&row, wanted).filter(|note| !in_rows.contains(note)).collect();
        if crossed.is_empty() {
            continue;
        }
        let onset = row[0].head.onset;
        let struck = wanted.values().filter(|digit| digit.head.onset == onset);
        let at_heads: Vec<Wanted> = struck
            .filter(|d| notes.contains(&d.head.note) || !in_rows.contains(&d.head.note))
            .copied()
            .collect();
        if left_of(&at_heads, stage).is_some() {
            for note in notes.drain(..) {
                in_rows.remove(&note);
            }
        } else {
            in_rows.extend(&crossed);
            notes.extend(crossed);
        }
    }
    for row in rows.iter_mut() {
        row.onsets.retain(|notes| !notes.is_empty());
    }
    rows.retain(|row| !row.onsets.is_empty());
}

/// Takes what stands alone between two rows of its voice into them.
fn take_in_single_digits(rows: &mut Vec<Run>, wanted: &BTreeMap<NoteId, Wanted>) {
    let mut row_of: HashMap<NoteId, usize> = HashMap::new();
    for (at, row) in rows.iter().enumerate() {
        row_of.extend(row.onsets.iter().flatten().map(|note| (*note, at)));
    }
    let mut digits: Vec<&Wanted> = wanted.values().collect();
    digits.sort_by_key(|digit| (digit.head.voice, digit.head.onset, digit.head.step));
    let struck: Vec<&[&Wanted]> = digits
        .chunk_by(|a, b| (a.head.voice, a.head.onset) == (b.head.voice, b.head.onset))
        .collect();
    for around in struck.windows(3) {
        let heads = [0, 1, 2].map(|at| around[at][0].head);
        let row = |at: usize| row_of.get(&heads[at].note).copied();
        let (Some(before), None, Some(after)) = (row(0), row(1), row(2)) else { continue };
        let near = heads.windows(2).all(|pair| {
            let voice = (pair[0].voice, pair[0].side) == (pair[1].voice, pair[1].side);
            voice && pair[1].head.left - pair[0].head.left <= BETWEEN
        });
        if !near {
            continue;
        }
        let own: Vec<NoteId> = around[1].iter().map(|digit| digit.head.note).collect();
        let mut joined = vec![own];
        if after != before {
            joined.append(&mut rows[after].onsets);
        }
        row_of.extend(joined.iter().flatten().map(|note| (*note, before)));
        rows[before].onsets.append(&mut joined);
    }
    rows.retain(|row| !row.onsets.is_empty());
}

/// Stacks the digits of one onset above the staff, those of a lower voice below.
pub fn put_outside(digits: &[Wanted], stage: &mut Stage) {
    let (lower, upper): (Vec<Wanted>, Vec<Wanted>) =
        digits.iter().copied().partition(Wanted::is_lower);
    for (mut voice, above) in [(upper, true), (lower, false)] {
        // From the staff outwards: low to high above it, high to low below.
        voice.sort_by(|a, b| a.middle().total_cmp(&b.middle()));
        if !above {
            voice.reverse();
        }
        let Some(level) = level_of(&voice, above, stage) else { continue };
        put_stack(&voice, above, level, stage);
    }
}

/// The distance from the middle line at which the digits of an onset come clear
/// of the ink under them, and of the beam in which their own stem ends beside them.
fn level_of(voice: &[Wanted], above: bool, stage: &Stage) -> Option<f64> {
    let line = if above { &stage.above } else { &stage.below };
    voice
        .iter()
        .map(|wanted| {
            let right = wanted.centre() + wanted.digit.digit_width() / 2.0;
            let left = right - wanted.digit.width();
            let stem = wanted.head.stem.filter(|stem| stem.beamed && stem.up == above);
            let tip = stem.map_or(0.0, |stem| if above { stem.tip } else { -stem.tip });
            line.reach(left - 0.1, right + 0.1).max(tip) + clear::ROW
        })
        .max_by(f64::total_cmp)
}

fn put_stack(voice: &[Wanted], above: bool, level: f64, stage: &mut Stage) {
    let mut level = level;
    let mut found = Vec::with_capacity(voice.len());
    for wanted in voice {
        let height = wanted.digit.height();
        let middle = if above { level + height / 2.0 } else { -level - height / 2.0 };
        let right = wanted.centre() + wanted.digit.digit_width() / 2.0;
        found.push(Found { wanted: *wanted, right, middle });
        level += clear::CHORD_PITCH.max(height + clear::CHORD_GAP);
    }
    put_all(&found, stage);
}

/// Puts the rows on the staff. Rows of one side whose levels differ little
/// share the outermost of them.
pub fn put_rows(rows: &[Run], wanted: &BTreeMap<NoteId, Wanted>, stage: &mut Stage) {
    let mut levels: HashMap<(usize, bool), f64> = HashMap::new();
    let mut stacks: Vec<(usize, bool, Vec<Wanted>)> = Vec::new();
    for (index, run) in rows.iter().enumerate() {
        for notes in &run.onsets {
            let mut voice = of_onset(notes, wanted);
            let Some(first) = voice.first() else { continue };
            // The run's own come first.
            let above = !first.is_lower();
            voice.sort_by(|a, b| a.middle().total_cmp(&b.middle()));
            if !above {
                voice.reverse();
            }
            if let Some(level) = level_of(&voice, above, stage) {
                let row = levels.entry((index, above)).or_insert(level);
                *row = row.max(level);
            }
            stacks.push((index, above, voice));
        }
    }
    for above in [true, false] {
        let side = levels.iter_mut().filter(|((_, side), _)| *side == above);
        from_highest(side.map(|(_, level)| level).collect(), clear::LEVELLED);
    }
    for (index, above, voice) in stacks {
        let (Some(row), Some(free)) = (levels.get(&(index, above)), level_of(&voice, above, stage))
        else {
            continue;
        };
        // Between notes too close even for a row, over the digit before.
        let ink = free - clear::ROW;
        let level = if ink + clear::ROW_SIDE > *row { ink + clear::CHORD_GAP } else { *row };
        put_stack(&voice, above, level, stage);
    }
}

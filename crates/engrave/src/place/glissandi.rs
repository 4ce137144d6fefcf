//! Glissandi: straight lines from head to head.

use apoyando_music::NoteId;

use super::{Frame, PlacedChord, ink};
use crate::drawing::{Kind, Owner};
use crate::geometry::Stage;
use crate::notate::{self, Glide, Head, StaffBar, height};

/// Thickness of the line, and what both ends keep clear (common practice, no
/// source).
const THICKNESS: f64 = 0.16;
const GAP: f64 = 0.35;
/// What ledger lines add to it.
const LEDGER: f64 = 0.25;
/// Heads and accidentals no more steps than this away are beside a head.
const HEAD: i32 = 2;
const SIGN: i32 = 4;
/// A shorter line is not seen.
const SHORTEST: f64 = 0.5;
/// A level line on a staff line is not seen: it lies in the space above.
const OFF_LINE: f64 = 0.5;

/// Draws all glissandi that touch this line; those over its break in two parts.
pub fn draw(
    stage: &mut Stage,
    frame: &Frame,
    glides: &[Glide],
    bars: &[StaffBar],
    chords: &[Vec<PlacedChord<'_>>],
) {
    let Some(first) = frame.bars.first().map(|bar| bar.index) else { return };
    for glide in glides {
        let find = |(bar, chord): (usize, usize)| chords.get(bar.checked_sub(first)?)?.get(chord);
        let (from, to) = (find(glide.from), find(glide.to));
        if from.is_none() && to.is_none() {
            continue;
        }
        let heads = |(bar, chord): (usize, usize)| bars[bar].chords[chord].heads.iter().rev();
        // From the top as far as both chords have notes.
        for (one, other) in heads(glide.from).zip(heads(glide.to)) {
            let (mut y, mut end) = (height(one.step), height(other.step));
            if one.step == other.step && one.step.rem_euclid(2) == 0 {
                y += OFF_LINE;
                end += OFF_LINE;
            }
            // Half of the way is gone where the line of music breaks.
            let half = f64::midpoint(y, end);
            let edge = frame.bars.last().map_or(frame.right, |bar| bar.end) - GAP;
            let left = from.map_or((frame.music - 0.9, half), |c| (leave(stage, c, one), y));
            let right = to.map_or((edge, half), |c| (arrive(stage, c, other), end));
            let right = to.map_or(right, |c| before_graces(left, right, bars, glide, c));
            if right.0 - left.0 < SHORTEST {
                continue;
            }
            let owner = Owner::Note(if from.is_some() { one.note } else { other.note });
            stage.add(ink::line(left, right, THICKNESS, Kind::Glissando, owner));
        }
    }
}

/// How far a head's ledger lines reach beyond it; there the white is smaller.
fn ledger(head: &Head) -> f64 {
    if notate::has_ledgers(head.step) { LEDGER } else { 0.0 }
}

/// Where a line may begin: right of its head, its dots and the heads beside it.
fn leave(stage: &Stage, placed: &PlacedChord<'_>, head: &Head) -> f64 {
    let heads = placed.chord.heads.iter().filter(|other| (head.step - other.step).abs() <= HEAD);
    let right = |note: NoteId| stage.head(note).map(|head| head.right);
    heads.filter_map(|head| right(head.note)).fold(placed.x, f64::max) + GAP + ledger(head)
}

/// Where a line may end: left of its head, of what stands beside it, and of the
/// accidentals of its chord.
fn arrive(stage: &Stage, placed: &PlacedChord<'_>, head: &Head) -> f64 {
    let heads = placed.chord.heads.iter();
    let near = heads.filter(|other| {
        let reach = if other.accidental.is_some() { SIGN } else { HEAD };
        (head.step - other.step).abs() <= reach
    });
    near.filter_map(|head| stage.head(head.note))
        .map(|head| head.left.min(head.head.left))
        .fold(placed.x - ledger(head), f64::min)
        - GAP
}

/// The end of a line cut off before the grace notes of its chord.
fn before_graces(
    left: (f64, f64),
    right: (f64, f64),
    bars: &[StaffBar],
    glide: &Glide,
    placed: &PlacedChord<'_>,
) -> (f64, f64) {
    let (bar, chord) = glide.to;
    let groups = bars[bar].stacks.iter().flat_map(|stack| &stack.graces);
    let column = placed.x - placed.chord.shift;
    let first = groups.filter(|group| group.chord == chord).map(|group| column + group.left());
    let x = first.fold(f64::MAX, f64::min) - GAP;
    if x >= right.0 {
        return right;
    }
    let part = (x - left.0) / (right.0 - left.0).max(0.1);
    (x, left.1 + part * (right.1 - left.1))
}

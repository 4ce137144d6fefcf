//! Grace notes side by side before what is struck at their onset.

use apoyando_music::{Grace, Pitch};

use super::{Contour, StaffBar, accidentals};
use crate::drawing::Owner;
use crate::font::table;
use crate::geometry::strips;
use crate::graces::{GraceGroup, GraceNote, HEAD_WIDTH, SCALE, STEM};

/// Clear space from the last head to the ink of its onset (common practice, no
/// source: half a space to eight tenths).
const TO_MAIN: f64 = 0.65;
/// The same to the room of a digit, which keeps clear of foreign heads itself.
const TO_WISH: f64 = 0.1;
/// Clear space from a flag to ink at its height.
const TO_INK: f64 = 0.18;
/// From a head to the next, wide enough for two ledger lines.
const BETWEEN: f64 = 0.55;
/// From a head to the accidental after it, and from an accidental to its head.
const TO_ACCIDENTAL: f64 = 0.2;
const TO_HEAD: f64 = 0.15;

/// A grace note on its step.
#[derive(Clone, Copy, Debug)]
pub struct Written {
    pub grace: Grace,
    /// Steps above the middle line.
    pub step: i32,
}

/// Decides which grace notes of an onset need a sign. They are played before
/// its chords and are asked first.
pub fn mark(
    bar: &StaffBar,
    here: &[usize],
    memory: &mut accidentals::Memory,
    courtesy: bool,
) -> Vec<GraceGroup> {
    let mut groups = Vec::new();
    for index in here {
        let chord = &bar.chords[*index];
        if chord.graces.is_empty() {
            continue;
        }
        let notes = chord
            .graces
            .iter()
            .map(|written| GraceNote {
                step: written.step,
                x: 0.0,
                accidental: memory.sign(written.grace.pitch, courtesy).map(|sign| (sign, 0.0)),
            })
            .collect();
        groups.push(GraceGroup {
            chord: *index,
            up: !bar.goes_below(chord.voice),
            slashed: chord.graces.iter().any(|written| written.grace.slashed),
            notes,
        });
    }
    groups
}

/// What is left of a grace note's head: its ledger lines.
fn ledger_reach(step: i32) -> f64 {
    let reach = SCALE * table::LEGER_LINE_EXTENSION;
    if super::has_ledgers(step) { reach } else { 0.0 }
}

/// Places the notes of a group one after another, the last one ending at 0.
fn line_up(group: &mut GraceGroup) {
    let mut right = 0.0;
    for note in group.notes.iter_mut().rev() {
        note.x = right - HEAD_WIDTH;
        let reach = ledger_reach(note.step);
        right = note.x - BETWEEN;
        if let Some((glyph, x)) = &mut note.accidental {
            *x = note.x - TO_HEAD.max(reach + 0.05) - SCALE * glyph.right;
            right = *x + SCALE * glyph.left - TO_ACCIDENTAL - reach;
        }
    }
}

/// How much farther left than asked for the digits of an onset may stand: clear
/// of ledger lines, or so much nearer to the sign of a chord than to grace notes that they
/// are not read as theirs.
pub fn aside(bar: &StaffBar, here: &[usize], has_sign: bool) -> f64 {
    let mut heads = here.iter().flat_map(|index| &bar.chords[*index].heads);
    if has_sign {
        0.75
    } else if heads.any(|head| super::has_ledgers(head.step)) {
        0.3
    } else {
        0.0
    }
}

/// Places the groups left of everything at their onset, digits included, and
/// adds them to its contour. `printed` is the leftmost ink without digits;
/// `aside` is how much farther left than asked for digits may stand.
pub fn arrange(groups: &mut [GraceGroup], printed: f64, aside: f64, contour: &mut Contour) {
    let bound = (printed - TO_MAIN).min(contour.leftmost() - TO_WISH - aside);
    for group in &mut *groups {
        line_up(group);
        let mut own = Contour::EMPTY;
        let stems = group.stems(group.up, STEM, Owner::System);
        for stain in group.heads(Owner::System).into_iter().chain(stems) {
            for area in strips(&stain.ink) {
                own.add(area.left, area.right, area.low, area.high);
            }
        }
        let last = group.notes.last().map_or(0.0, |note| ledger_reach(note.step));
        let mut x = bound - last;
        if let Some(apart) = own.distance(contour, TO_INK) {
            x = x.min(-apart);
        }
        *group = group.moved(x);
        contour.join(&own, x);
    }
    // A grace note over the head before it would be read with its finger.
    for note in groups.iter().flat_map(|group| &group.notes) {
        contour.add_at_all_heights(note.x, note.x + HEAD_WIDTH);
    }
}

/// The grace notes of an event on their steps.
pub fn written(graces: &[Grace], step_of: impl Fn(Pitch) -> i32) -> Vec<Written> {
    graces.iter().map(|grace| Written { grace: *grace, step: step_of(grace.pitch) }).collect()
}

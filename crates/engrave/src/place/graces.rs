//! Grace notes and the small slurs that lead from them to their notes.

use super::grace_slurs::GraceSlur;
use super::{BarFrame, PlacedChord, notes};
use crate::drawing::{Owner, Stain};
use crate::font::table;
use crate::geometry::{Rect, Stage, strips};
use crate::graces::{GraceGroup, HEAD_WIDTH, SCALE, SHORT_STEM, STEM};
use crate::notate::{self, StaffBar, height};

/// Ink nearer than this is in the way of stems, flags and beams.
const CLEAR: f64 = 0.15;
/// From the middle of a grace note's head, and of its note's, to the tip of the
/// slur: a digit has room between them.
const TIP: f64 = 0.55;
const TIP_AT_NOTE: f64 = 0.9;
/// How far left of its note a digit may reach, and half its height.
const DIGIT: (f64, f64) = (1.4, 0.55);
/// Less white than this before a note was not meant for a digit.
const DIGIT_ROOM: f64 = 1.1;
const LEDGERS: f64 = (1.0 + SCALE) * table::LEGER_LINE_EXTENSION;

/// Draws the grace notes of a bar, whose beams are drawn; returns their slurs.
pub fn draw(
    stage: &mut Stage,
    bar: &BarFrame,
    notated: &StaffBar,
    placed: &[PlacedChord<'_>],
) -> Vec<GraceSlur> {
    let mut slurs = Vec::new();
    for stack in &notated.stacks {
        for group in &stack.graces {
            let main = &placed[group.chord];
            let group = group.moved(bar.column(stack.onset));
            let owner = Owner::Note(notes::speaker(main.chord));
            let (up, stems) = stems(stage, &group, owner);
            for stain in group.heads(owner).into_iter().chain(stems) {
                stage.add(stain);
            }
            slurs.extend(slur(&group, up, main, bar.column(stack.onset)));
        }
    }
    slurs
}

/// The stems of a group: shorter, or turned, where a beam or another voice is
/// in the way.
fn stems(stage: &Stage, group: &GraceGroup, owner: Owner) -> (bool, Vec<Stain>) {
    let (up, wished) = (group.up, group.stems(group.up, STEM, owner));
    let clear = |stains: &[Stain]| {
        stains
            .iter()
            .flat_map(|stain| strips(&stain.ink))
            .all(|area| stage.near(area, CLEAR).next().is_none())
    };
    if clear(&wished) {
        return (up, wished);
    }
    [(up, SHORT_STEM), (!up, STEM), (!up, SHORT_STEM)]
        .into_iter()
        .map(|(up, length)| (up, group.stems(up, length, owner)))
        .find(|(_, stains)| clear(stains))
        .unwrap_or((up, wished))
}

/// The slur from the first grace note to a note that is alone in its voice, on
/// the side away from the grace note's stem (common practice, no source).
fn slur(group: &GraceGroup, up: bool, main: &PlacedChord<'_>, column: f64) -> Option<GraceSlur> {
    let [head] = main.chord.heads.as_slice() else { return None };
    let first = group.notes.first()?;
    let side = if up { -1.0 } else { 1.0 };
    let left = main.x + head.x;
    // A downward stem begins at the left of its head: the tip stays left of it,
    // beyond an accidental.
    let stem = up && !main.chord.up && notate::has_stem(main.chord);
    let accidental = head.accidental.filter(|_| stem).map_or(0.0, |sign| -sign.glyph.low);
    let x = if stem { left - 0.2 } else { left + head.glyph.width() * 0.4 };
    let tip = TIP_AT_NOTE.max(accidental + 0.25);
    let ink = head.accidental.map_or(left, |sign| column + sign.x);
    let right = group.notes.last()?.x + HEAD_WIDTH;
    // White that ledger lines need is none.
    let ledgers = if notate::has_ledgers(head.step) { LEDGERS } else { 0.0 };
    let room = ink - right - ledgers;
    let y = height(head.step);
    let digit = Rect::new((ink - DIGIT.0).max(right), y - DIGIT.1, ink - 0.2, y + DIGIT.1);
    Some(GraceSlur {
        digit: (room > DIGIT_ROOM).then_some(digit),
        from: (first.x + HEAD_WIDTH / 2.0, height(first.step) + side * TIP),
        to: (x, height(head.step) + side * tip),
        side,
        note: head.note,
        thickness: SCALE * table::SLUR_MIDPOINT_THICKNESS,
    })
}

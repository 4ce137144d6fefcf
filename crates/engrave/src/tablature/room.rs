//! Room for figures that are wider than the heads above them, and for what stands before
//! them.

use apoyando_music::Score;

use super::figures::{self, Label};
use super::graces::{self, Smalls};
use super::{Fretting, shown, sweeps};
use crate::geometry::Stage;
use crate::graces::GraceGroup;
use crate::notate::{Chord, Head, Stack, Staff, StaffBar};
use crate::place::Frame;
use crate::sheet::Sheet;
use crate::style::Style;

/// Asks that the figures of a string keep clear of one another. A bar may begin a
/// line, so that what is held from the bar before is figured.
pub fn request(sheet: &Sheet<'_>, style: &Style, staves: &mut [Staff]) {
    for staff in staves {
        let Some(fretting) = shown(sheet, style, staff) else { continue };
        let scale = figures::small(style);
        for bar in &mut staff.bars {
            let StaffBar { stacks, chords: all, .. } = bar;
            for (number, stack) in stacks.iter_mut().enumerate() {
                let chords = stack.chords.iter().map(|index| &all[*index]);
                let heads: Vec<&Head> = chords.flat_map(|chord| &chord.heads).collect();
                let narrowest =
                    heads.iter().map(|head| head.glyph.width()).fold(f64::MAX, f64::min);
                if let Some(sign) = stack.beside {
                    let (score, here) = (sheet.score, (&all[..], &stack.chords[..]));
                    let placed = sweeps::place(score, fretting, here, &sign, narrowest / 2.0);
                    if let Some(placed) = placed {
                        for string in placed.strings(fretting.thickest) {
                            let right = placed.left + placed.sign.width();
                            stack.contour.add_figure(placed.left, right, string);
                        }
                    }
                }
                let middle = narrowest / 2.0;
                for smalls in graces_of(sheet.score, fretting, (&all[..], stack), middle, scale) {
                    for (area, (place, _)) in smalls.areas(fretting).zip(&smalls.places) {
                        stack.contour.add_figure(area.left, area.right, place.string);
                    }
                }
                for head in heads {
                    let held = head.tied_from.is_some();
                    if held && number > 0 {
                        continue;
                    }
                    let Some(place) = fretting.place_of(head.note) else { continue };
                    let Some(label) = Label::new(sheet.score, head.note, fretting, held) else {
                        continue;
                    };
                    let (middle, half) = (narrowest / 2.0, label.half_width());
                    stack.contour.add_figure(middle - half, middle + half, place.string);
                }
            }
        }
    }
}

/// The grace notes of a stack of notation whose figures have their middle at a place.
pub fn graces_of(
    score: &Score,
    fretting: &Fretting,
    (all, stack): (&[Chord], &Stack),
    middle: f64,
    scale: f64,
) -> Vec<Smalls> {
    let here = || stack.chords.iter().map(|index| &all[*index]);
    let labels = here().flat_map(|chord| &chord.heads).filter_map(|head| {
        Some(Label::new(score, head.note, fretting, head.tied_from.is_some())?.half_width())
    });
    let half = labels.fold(0.0, f64::max);
    let sign = stack
        .beside
        .and_then(|sign| sweeps::place(score, fretting, (all, &stack.chords), &sign, middle));
    let left = sign.map_or(middle - half, |sign| sign.left.min(middle - half));
    let group = |group: &GraceGroup| {
        graces::lay(score, fretting, &all[group.chord], left, Some(group), scale)
    };
    let groups = stack.graces.iter().map(|of| (group(of), ()));
    graces::lay_once(groups).map(|(smalls, ())| smalls).collect()
}

/// The grace notes of a line of notation with their columns and on which side their slurs
/// are: below for the lower of two voices.
pub fn smalls(
    score: &Score,
    (staff, frame): (&Staff, &Frame),
    fretting: &Fretting,
    notation: &Stage,
    scale: f64,
) -> Vec<(Smalls, f64, f64)> {
    let mut smalls = Vec::new();
    for bar in &frame.bars {
        let notated = &staff.bars[bar.index];
        for stack in notated.stacks.iter().filter(|stack| !stack.graces.is_empty()) {
            let column = bar.column(stack.onset);
            let middle = figures::centre(notation, stack.onset) - column;
            for group in graces_of(score, fretting, (&notated.chords, stack), middle, scale) {
                let chord = group.chord(&notated.chords);
                let below = chord.is_some_and(|chord| notated.goes_below(chord.voice));
                smalls.push((group, column, if below { -1.0 } else { 1.0 }));
            }
        }
    }
    smalls
}

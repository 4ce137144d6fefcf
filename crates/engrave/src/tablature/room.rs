//! Room for figures that are wider than the heads above them, and for the signs before
//! them.

use super::figures::Label;
use super::{shown, sweeps};
use crate::notate::{Head, Staff, StaffBar};
use crate::sheet::Sheet;
use crate::style::Style;

/// Asks that the figures of a string keep clear of one another. A bar may begin a
/// line, so that what is held from the bar before is figured.
pub fn request(sheet: &Sheet<'_>, style: &Style, staves: &mut [Staff]) {
    for staff in staves {
        let Some(fretting) = shown(sheet, style, staff) else { continue };
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

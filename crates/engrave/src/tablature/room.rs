//! Room for figures that are wider than the heads above them.

use super::figures::{HALO, Label};
use super::shown;
use crate::notate::Staff;
use crate::sheet::Sheet;
use crate::style::Style;

/// Asks that the figures of a string keep clear of one another. What is held from
/// the line before asks for nothing: where lines begin is not known yet.
pub fn request(sheet: &Sheet<'_>, style: &Style, staves: &mut [Staff]) {
    for staff in staves {
        let Some(fretting) = shown(sheet, style, staff) else { continue };
        for bar in &mut staff.bars {
            for stack in &mut bar.stacks {
                let chords = || stack.chords.iter().map(|index| &bar.chords[*index]);
                let middle = chords()
                    .flat_map(|chord| &chord.heads)
                    .map(|head| head.glyph.width() / 2.0)
                    .fold(f64::MAX, f64::min);
                let struck =
                    chords().flat_map(|chord| &chord.heads).filter(|head| head.tied_from.is_none());
                let mut wanted = Vec::new();
                for head in struck {
                    let Some(place) = fretting.place_of(head.note) else { continue };
                    if let Some(label) = Label::new(sheet.score, head.note, fretting, false) {
                        wanted.push((place.string, label.half_width() + HALO / 2.0));
                    }
                }
                for (string, half) in wanted {
                    stack.contour.add_figure(middle - half, middle + half, string);
                }
            }
        }
    }
}

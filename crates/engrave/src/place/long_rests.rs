//! A long rest: a thick bar with upright ends on the middle line, over it how many
//! bars it lasts.

use apoyando_music::BarIndex;

use super::{BarFrame, ink};
use crate::drawing::{Kind, Owner};
use crate::font::table;
use crate::geometry::Stage;
use crate::notate::StaffBar;
use crate::notate::resting::Resting;
use crate::signs::figures;

/// White between the barlines and the ends of the bar. House.
const WHITE: f64 = 1.5;
/// Middle of the figures above the upper line: a space over the staff. House.
const FIGURES: f64 = 2.0;

/// Draws the long rest that begins in a bar, if one does, on a staff whose outer lines are
/// `half` from its middle.
pub fn draw(stage: &mut Stage, bar: &BarFrame, notated: &StaffBar, half: f64) {
    let Resting::Begins(count) = notated.resting else { return };
    let owner = Owner::Bar(BarIndex(bar.index as u32));
    let (left, right) = (bar.start + WHITE, bar.end - WHITE);
    let (from, to) = (&table::REST_H_BAR_LEFT, &table::REST_H_BAR_RIGHT);
    stage.add(ink::glyph(from, 1.0, left - from.left, 0.0, Kind::LongRest, owner));
    stage.add(ink::glyph(to, 1.0, right - to.right, 0.0, Kind::LongRest, owner));
    // The middle of the font's own sign, drawn out.
    let middle = &table::REST_H_BAR_MIDDLE;
    let (y, thick) = (f64::midpoint(middle.low, middle.high), middle.high - middle.low);
    let inner = (left + from.width() - 0.1, right - to.width() + 0.1);
    if inner.0 < inner.1 {
        let (from, to) = ((inner.0, y), (inner.1, y));
        stage.add(ink::line(from, to, thick, Kind::LongRest, owner));
    }
    let width: f64 = figures(count).map(|glyph| glyph.advance).sum();
    let mut x = f64::midpoint(left, right) - width / 2.0;
    for glyph in figures(count) {
        stage.add(ink::glyph(glyph, 1.0, x, half + FIGURES, Kind::LongRestFigure, owner));
        x += glyph.advance;
    }
}

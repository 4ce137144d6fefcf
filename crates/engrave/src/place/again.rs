//! The sign for a bar that is the same as the one before.

use apoyando_music::BarIndex;

use super::{Frame, ink};
use crate::drawing::{Kind, Owner};
use crate::font::table;
use crate::geometry::Stage;
use crate::notate::Staff;

/// Draws the signs of a line in the middle of their bars; lines of the staff stand so
/// far apart.
pub fn draw(stage: &mut Stage, staff: &Staff, frame: &Frame, gap: f64) {
    for bar in frame.bars.iter().filter(|bar| staff.bars[bar.index].again) {
        let glyph = &table::REPEAT_1_BAR;
        let x = f64::midpoint(bar.start, bar.end) - gap * (glyph.left + glyph.right) / 2.0;
        let owner = Owner::Bar(BarIndex(bar.index as u32));
        stage.add(ink::glyph(glyph, gap, x, 0.0, Kind::BarRepeat, owner));
    }
}

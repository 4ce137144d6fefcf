//! Breath marks and caesuras: just before what comes after them, a comma over the staff and
//! two strokes across its top line, higher where other ink stands there.

use apoyando_music::BarIndex;

use super::{BarFrame, ink};
use crate::drawing::{Kind, Owner};
use crate::geometry::{Rect, Stage};
use crate::notate::StaffBar;
use crate::notate::breaths::{self, CLEAR, Sign};

/// Lower edge of a comma above the upper line, and of the strokes below it. House.
const COMMA: f64 = 0.3;
const STROKES: f64 = 1.06;
/// Clear space to other ink.
const INK: f64 = 0.25;

/// Draws the signs of a bar on a staff whose outer lines are `half` from its middle.
pub fn draw(stage: &mut Stage, bar: &BarFrame, notated: &StaffBar, half: f64) {
    for (at, sign) in breaths::of(notated) {
        let next = notated.stacks.iter().find(|stack| stack.onset >= at);
        let next = next.map(|next| bar.column(next.onset) + next.contour.leftmost().min(0.0));
        let glyph = sign.glyph();
        let right = next.unwrap_or(bar.end) - CLEAR;
        let left = right - glyph.width();
        let low = match sign {
            Sign::Breath => half + COMMA,
            Sign::Caesura => half - STROKES,
        };
        let place = Rect::new(left, low, right, low + glyph.high - glyph.low);
        let free = stage.near(place, INK).next().is_none();
        let low = if free { low } else { stage.above.reach(left - INK, right + INK) + INK };
        let owner = Owner::Bar(BarIndex(bar.index as u32));
        let (x, y) = (left - glyph.left, low - glyph.low);
        stage.add(ink::glyph(glyph, 1.0, x, y, Kind::Breath, owner));
    }
}

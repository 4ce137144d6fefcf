//! Rests on the page.

use apoyando_music::{BarIndex, Base};

use super::{BarFrame, ink};
use crate::drawing::{Kind, Owner};
use crate::font::table;
use crate::geometry::Stage;
use crate::notate::{self, StaffBar};

/// Draws the rests of a bar on a staff whose outer lines are `half` from its middle; those
/// that fill the bar stand in its middle.
pub fn draw(stage: &mut Stage, bar: &BarFrame, notated: &StaffBar, half: f64) {
    let owner = Owner::Bar(BarIndex(bar.index as u32));
    for rest in notated.rests.iter().filter(|rest| rest.drawn) {
        let x = if rest.whole_bar {
            f64::midpoint(bar.start, bar.end) - rest.glyph.width() / 2.0
        } else {
            bar.column(rest.onset)
        };
        stage.add(ink::glyph(rest.glyph, 1.0, x, rest.y, Kind::Rest, owner));
        // Whole and half rests outside the staff need a line to hold on to.
        if matches!(rest.value.base, Base::Whole | Base::Half) && rest.y.abs() > half + 0.5 {
            let reach = table::LEGER_LINE_EXTENSION;
            let (from, to) = ((x - reach, rest.y), (x + rest.glyph.width() + reach, rest.y));
            let thickness = table::LEGER_LINE_THICKNESS;
            stage.add(ink::line(from, to, thickness, Kind::LedgerLine, owner));
        }
        if rest.whole_bar {
            continue;
        }
        for dot in 0..rest.value.dots {
            let at = x + rest.dots_x + notate::dot_offset(dot);
            let y = rest.dots_y;
            stage.add(ink::glyph(&table::AUGMENTATION_DOT, 1.0, at, y, Kind::Dot, owner));
        }
    }
}

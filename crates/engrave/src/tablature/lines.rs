//! The lines of the strings, TAB in front of them and the barlines through them.

use apoyando_fretboard::StringNumber;
use apoyando_music::BarIndex;

use crate::drawing::{Kind, Owner};
use crate::font::table;
use crate::geometry::Stage;
use crate::place::{Frame, barline, ink};
use crate::signs::{BarLine, CLEF_MIDDLE, Front};

/// Distance of neighbouring lines.
pub const LINE_GAP: f64 = 1.5;
/// Height of the letters in heights of the staff, and how wide they may get.
const CLEF_PART: f64 = 0.8;
const CLEF_WIDEST: f64 = 2.4;

/// From the middle of a staff of so many strings to its outer lines.
pub fn half(thickest: StringNumber) -> f64 {
    f64::from(thickest.get() - 1) * LINE_GAP / 2.0
}

/// How far barlines reach from the middle: even on a single line they are seen.
pub fn barline_half(thickest: StringNumber) -> f64 {
    half(thickest).max(LINE_GAP / 2.0)
}

/// Height of the line of a string above the middle of the staff; ① is on top.
pub fn height(thickest: StringNumber, string: StringNumber) -> f64 {
    half(thickest) - string.index() as f64 * LINE_GAP
}

/// Draws the lines and TAB before them.
pub fn strings(stage: &mut Stage, thickest: StringNumber, frame: &Frame) {
    for string in (1..=thickest.get()).filter_map(StringNumber::new) {
        let y = height(thickest, string);
        let (from, to) = ((frame.left, y), (frame.right, y));
        let thickness = table::STAFF_LINE_THICKNESS;
        stage.add(ink::line(from, to, thickness, Kind::TabLine, Owner::System));
    }
    clef(stage, half(thickest), frame.left + CLEF_MIDDLE);
}

/// Where barlines end, and where repeat dots stand, from the middle.
pub fn sizes(thickest: StringNumber) -> (f64, f64) {
    (barline_half(thickest), dots(thickest))
}

/// What a staff that stands alone begins with: the metre is as large to its lines as it is
/// on five, where there are so many.
pub fn front(thickest: StringNumber) -> Front {
    Front::Strings((half(thickest) * 0.4).clamp(0.8, LINE_GAP))
}

/// The line nearest to a height above the middle.
pub fn line_near(thickest: StringNumber, y: f64) -> f64 {
    let lowest = -half(thickest);
    lowest + ((y - lowest) / LINE_GAP).round() * LINE_GAP
}

/// The middle of the space about or over a height above the middle.
pub fn space_over(thickest: StringNumber, y: f64) -> f64 {
    let lowest = LINE_GAP / 2.0 - half(thickest);
    lowest + ((y - lowest) / LINE_GAP - 1e-9).ceil() * LINE_GAP
}

/// Draws the staff without its figures.
pub fn draw(stage: &mut Stage, thickest: StringNumber, frame: &Frame) {
    strings(stage, thickest, frame);
    barlines(stage, thickest, frame, 1.0);
}

/// Draws the barlines of a staff of this size.
pub fn barlines(stage: &mut Stage, thickest: StringNumber, frame: &Frame, size: f64) {
    let Some(first) = frame.bars.first() else { return };
    let sizes = (size * barline_half(thickest), size * dots(thickest));
    if let Some(x) = frame.repeat {
        let owner = Owner::Bar(BarIndex(first.index as u32));
        barline(stage, BarLine::RepeatStart, x, owner, sizes);
    }
    for bar in &frame.bars {
        let owner = Owner::Bar(BarIndex(bar.index as u32));
        barline(stage, bar.barline, bar.end, owner, sizes);
    }
}

/// How far repeat dots stand from the middle: in spaces, never on a line.
fn dots(thickest: StringNumber) -> f64 {
    if thickest.get().is_multiple_of(2) { LINE_GAP } else { LINE_GAP / 2.0 }
}

/// The letters TAB over one another about the middle of the staff.
fn clef(stage: &mut Stage, half: f64, middle: f64) {
    let glyph = &table::SIX_STRING_TAB_CLEF;
    let tall = glyph.high - glyph.low;
    let scale = (2.0 * half * CLEF_PART / tall).min(CLEF_WIDEST / glyph.width());
    let x = middle - scale * (glyph.left + glyph.right) / 2.0;
    let y = -scale * (glyph.low + glyph.high) / 2.0;
    stage.add(ink::glyph(glyph, scale, x, y, Kind::TabClef, Owner::System));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn string(number: u8) -> StringNumber {
        StringNumber::new(number).unwrap()
    }

    #[test]
    fn the_first_string_is_the_top_line() {
        assert_eq!(height(string(6), string(1)), 3.75);
        assert_eq!(height(string(6), string(6)), -3.75);
        assert_eq!(height(string(7), string(4)), 0.0);
    }

    #[test]
    fn repeat_dots_stand_in_spaces() {
        for thickest in 4..=10 {
            let y = dots(string(thickest));
            let on_line = (1..=thickest).any(|line| {
                [y, -y].iter().any(|y| (height(string(thickest), string(line)) - y).abs() < 0.7)
            });
            assert!(!on_line, "{thickest} strings");
        }
    }
}

//! Lines, clef, signatures and barlines of a staff.

use apoyando_music::{BarIndex, Score};

use super::{Frame, ink};
use crate::drawing::{Kind, Owner};
use crate::font::table;
use crate::geometry::Stage;
use crate::notate::Staff;
use crate::signs::{self, BarLine, Row, Stroke};
use crate::space;

/// Outer lines and repeat dots of a staff of five lines.
const FIVE_LINES: (f64, f64) = (2.0, 0.5);

/// Draws everything of a staff that is not a note.
pub fn draw(stage: &mut Stage, score: &Score, staff: &Staff, frame: &Frame) {
    for line in -2..=2 {
        let y = f64::from(line);
        let thickness = table::STAFF_LINE_THICKNESS;
        let (from, to) = ((frame.left, y), (frame.right, y));
        stage.add(ink::line(from, to, thickness, Kind::StaffLine, Owner::System));
    }
    signs_and_barlines(stage, score, staff, frame, 1.0);
}

/// Draws clef, signatures and barlines of a staff of five lines of this size.
pub fn signs_and_barlines(
    stage: &mut Stage,
    score: &Score,
    staff: &Staff,
    frame: &Frame,
    size: f64,
) {
    let lines = (FIVE_LINES.0 * size, FIVE_LINES.1 * size);
    sized_signs(stage, score, (staff, frame), (lines, size));
}

/// Draws signatures and barlines of a staff whose outer lines, and whose repeat dots,
/// stand so far from its middle.
pub fn draw_signs(
    stage: &mut Stage,
    score: &Score,
    staff: &Staff,
    frame: &Frame,
    lines: (f64, f64),
) {
    sized_signs(stage, score, (staff, frame), (lines, 1.0));
}

fn sized_signs(
    stage: &mut Stage,
    score: &Score,
    (staff, frame): (&Staff, &Frame),
    (lines, size): ((f64, f64), f64),
) {
    let Some(first) = frame.bars.first() else { return };
    let (bars, front) = (score.bars(), staff.front());
    let with_time = space::shows_time(score, first.index);
    let row = signs::prefix(front, &bars[first.index], with_time);
    signs(stage, &row, frame.left, Owner::System, size);
    if let Some(x) = frame.repeat {
        let owner = Owner::Bar(BarIndex(first.index as u32));
        barline(stage, BarLine::RepeatStart, x, owner, lines);
    }
    for bar in &frame.bars {
        let owner = Owner::Bar(BarIndex(bar.index as u32));
        if let (Some(x), Some(before)) = (bar.change, bar.index.checked_sub(1)) {
            let row = signs::change(front, &bars[before], &bars[bar.index], 0.0);
            signs(stage, &row, x, owner, size);
        }
        barline(stage, bar.barline, bar.end, owner, lines);
    }
    if let (Some(x), Some(last)) = (frame.warning, frame.bars.last())
        && let Some(after) = bars.get(last.index + 1)
    {
        let row = signs::change(front, &bars[last.index], after, 0.5);
        signs(stage, &row, x, Owner::Bar(BarIndex(last.index as u32 + 1)), size);
    }
}

fn signs(stage: &mut Stage, row: &Row, x: f64, owner: Owner, size: f64) {
    for sign in &row.signs {
        let (x, y) = (x + sign.x, size * sign.y);
        stage.add(ink::glyph(sign.glyph, size * sign.scale, x, y, sign.kind, owner));
    }
}

/// Draws a barline on a staff whose outer lines, and whose repeat dots, stand so
/// far from its middle.
pub fn barline(stage: &mut Stage, line: BarLine, x: f64, owner: Owner, staff: (f64, f64)) {
    let half = staff.0 + table::STAFF_LINE_THICKNESS / 2.0;
    for stroke in line.strokes() {
        let (at, thickness) = match stroke {
            Stroke::Thin(at) => (at, table::THIN_BARLINE_THICKNESS),
            Stroke::Thick(at) => (at, table::THICK_BARLINE_THICKNESS),
            Stroke::Dots(at) => {
                for y in [staff.1, -staff.1] {
                    let dot = &table::REPEAT_DOT;
                    stage.add(ink::glyph(dot, 1.0, x + at, y, Kind::RepeatDots, owner));
                }
                continue;
            }
        };
        let middle = x + at + thickness / 2.0;
        let (from, to) = ((middle, -half), (middle, half));
        stage.add(ink::line(from, to, thickness, Kind::BarLine, owner));
    }
}

//! Rehearsal letters: boxed, upright, bold, over the barline their bar begins with, or
//! over the beginning of the line.

use apoyando_music::{BarIndex, Score};

use crate::drawing::{Face, Kind, Owner};
use crate::font;
use crate::geometry::Stage;
use crate::place::{Frame, ink};
use crate::style::Style;

/// Em of the letters, the white around them in their box and its stroke. House.
const SIZE: f64 = 2.4;
const WHITE: f64 = 0.45;
const STROKE: f64 = 0.16;
/// Clear space to ink beneath and beside, and the least height above the middle line.
/// House.
const CLEAR: f64 = 0.6;
const APART: f64 = 0.4;
const LOWEST: f64 = 3.4;

/// Draws the letters of a line.
pub fn draw(stage: &mut Stage, score: &Score, style: &Style, frame: &Frame) {
    let size = style.em(SIZE);
    for (at, place) in frame.bars.iter().enumerate() {
        let text = &score.bars()[place.index].rehearsal;
        if text.is_empty() {
            continue;
        }
        let owner = Owner::Bar(BarIndex(place.index as u32));
        let width = font::text_width(Face::Bold, size, text) + 2.0 * WHITE;
        let middle = at.checked_sub(1).map(|before| {
            let before = &frame.bars[before];
            before.end + before.barline.width() / 2.0
        });
        // The strokes stay in the line, too.
        let half = STROKE / 2.0;
        let least = frame.left + half;
        let most = (frame.right - half - width).max(least);
        let left = middle.map_or(least, |middle| middle - width / 2.0).clamp(least, most);
        let right = left + width;
        let (up, down) = font::text_ascent(Face::Bold, size);
        let deep = text.chars().any(|c| "gjpqyQ,;()[]".contains(c));
        let down = if deep { down } else { 0.0 };
        let reach = stage.above.reach(left - APART, right + APART);
        let low = (reach + CLEAR + half).max(LOWEST);
        let high = low + down + up + 2.0 * WHITE;
        for (from, to) in [
            ((left - half, low), (right + half, low)),
            ((left - half, high), (right + half, high)),
            ((left, low), (left, high)),
            ((right, low), (right, high)),
        ] {
            stage.add(ink::line(from, to, STROKE, Kind::RehearsalBox, owner));
        }
        let at = (left + WHITE, low + WHITE + down);
        stage.add(ink::text(text, Face::Bold, size, at, Kind::Rehearsal, owner));
    }
}

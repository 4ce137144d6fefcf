//! The wavy line before a spread chord.
//!
//! The font has it as a glyph lying on its side; a drawing does not turn
//! glyphs, so it is drawn as a shape of its own, as long as the chord.

use apoyando_music::EventMark;

use super::{PlacedChord, notes};
use crate::drawing::{Ink, Kind, Outline, Owner, Point, Stain};
use crate::geometry::Stage;
use crate::notate::{WAVE_WIDTH, Wave};

/// Half a period of the wave, about: the line has a whole number of them.
const HALF_WAVE: f64 = 0.5;
/// Thickness of the ribbon, measured sideways. Where it is steepest that is .15
/// across the stroke: .2 mm on a staff of 5.5 mm.
const RIBBON: f64 = 0.22;

/// Draws the wavy line of an onset.
pub fn draw(stage: &mut Stage, column: f64, wave: Wave, chords: &[&PlacedChord<'_>]) {
    let spread = chords.iter().find(|placed| placed.chord.marks.contains(&EventMark::Arpeggio));
    let Some(spread) = spread else { return };
    let ink = Ink::Shape(ribbon(column + wave.x, wave.low, wave.high));
    let owner = Owner::Note(notes::speaker(spread.chord));
    stage.add(Stain { ink, kind: Kind::Arpeggio, owner });
}

/// The ribbon's outline from low to high.
fn ribbon(left: f64, low: f64, high: f64) -> Vec<Outline> {
    let count = (((high - low) / HALF_WAVE).round() as usize).clamp(2, 400);
    let length = (high - low) / count as f64;
    let swing = (WAVE_WIDTH - RIBBON) / 2.0;
    let middle = left + WAVE_WIDTH / 2.0;
    // A cubic curve reaches three quarters of its control points' swing.
    let bend = |number: usize| if number.is_multiple_of(2) { swing } else { -swing } / 0.75;
    let point = |x: f64, y: f64| Point::new(x, y);
    let (one, other) = (middle - RIBBON / 2.0, middle + RIBBON / 2.0);
    let mut outline = vec![Outline::Move(point(one, low))];
    for number in 0..count {
        let y = low + length * number as f64;
        let x = one + bend(number);
        let third = length / 3.0;
        outline.push(Outline::Curve(
            point(x, y + third),
            point(x, y + 2.0 * third),
            point(one, y + length),
        ));
    }
    outline.push(Outline::Line(point(other, high)));
    for number in (0..count).rev() {
        let y = low + length * (number + 1) as f64;
        let x = other + bend(number);
        let third = length / 3.0;
        outline.push(Outline::Curve(
            point(x, y - third),
            point(x, y - 2.0 * third),
            point(other, y - length),
        ));
    }
    outline.push(Outline::Close);
    outline
}

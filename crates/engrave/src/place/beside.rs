//! The sign before a chord: the wavy line of a spread one, the arrow of a strum, the
//! bracket of one that is struck together.
//!
//! The font has the wavy line as a glyph lying on its side; a drawing does not turn
//! glyphs, so it is drawn as a shape of its own, as long as the chord.

use apoyando_music::Sweep;

use super::{PlacedChord, ink, notes};
use crate::drawing::{Ink, Kind, Outline, Owner, Point, Stain};
use crate::geometry::Stage;
use crate::notate::beside::{ARROW_WIDTH, BRACKET_WIDTH, Sign, WAVE_WIDTH};
use crate::notate::{Beside, Chord};

/// Half a period of the wave, about: the line has a whole number of them.
const HALF_WAVE: f64 = 0.5;
/// Thickness of the ribbon, measured sideways. Where it is steepest that is .15
/// across the stroke: .2 mm on a staff of 5.5 mm.
const RIBBON: f64 = 0.22;
/// Thickness of the shaft of an arrow and of a bracket. House.
const STROKE: f64 = 0.16;
/// Length of the head of an arrow, and how far its back is hollowed. House.
const HEAD: f64 = 1.1;
const HOLLOW: f64 = 0.25;

/// Draws the sign of an onset.
pub fn draw(stage: &mut Stage, column: f64, beside: Beside, chords: &[&PlacedChord<'_>]) {
    let marked = chords.iter().find(|placed| beside.sign.is_of(&placed.chord.marks));
    if let Some(marked) = marked {
        put(stage, column + beside.x, beside, owner(marked.chord));
    }
}

/// Whom the sign of a chord belongs to.
pub fn owner(chord: &Chord) -> Owner {
    Owner::Note(notes::speaker(chord))
}

/// Draws a sign with its left side at a place.
pub fn put(stage: &mut Stage, left: f64, beside: Beside, owner: Owner) {
    let (low, high) = (beside.low, beside.high);
    let mut shape = |outline: Vec<Outline>| {
        stage.add(Stain { ink: Ink::Shape(outline), kind: Kind::Arpeggio, owner });
    };
    match beside.sign {
        Sign::Wave(None) => shape(ribbon(left, low, high)),
        Sign::Wave(Some(sweep)) => {
            let line = left + (ARROW_WIDTH - WAVE_WIDTH) / 2.0;
            let (low, high) = without_head(sweep, low, high);
            shape(ribbon(line, low, high));
            shape(arrowhead(left, sweep, low, high));
        }
        Sign::Arrow(sweep) => {
            let middle = left + ARROW_WIDTH / 2.0;
            let (low, high) = without_head(sweep, low, high);
            shape(arrowhead(left, sweep, low, high));
            let (from, to) = ((middle, low), (middle, high));
            stage.add(ink::line(from, to, STROKE, Kind::Arpeggio, owner));
        }
        Sign::Bracket => {
            let (x, right) = (left + STROKE / 2.0, left + BRACKET_WIDTH);
            let mut stroke =
                |from, to| stage.add(ink::line(from, to, STROKE, Kind::Arpeggio, owner));
            stroke((x, low), (x, high));
            // Hooks begin at the outer edge, so that the corners are square.
            for y in [low + STROKE / 2.0, high - STROKE / 2.0] {
                stroke((left, y), (right, y));
            }
        }
    }
}

/// The ends of the line behind the head of an arrow; it reaches into the hollow.
fn without_head(sweep: Sweep, low: f64, high: f64) -> (f64, f64) {
    match sweep {
        Sweep::ToTreble => (low, high - HEAD + HOLLOW),
        Sweep::ToBass => (low + HEAD - HOLLOW, high),
    }
}

/// The head of an arrow at the end of a line between two heights.
fn arrowhead(left: f64, sweep: Sweep, low: f64, high: f64) -> Vec<Outline> {
    let (root, up) = match sweep {
        Sweep::ToTreble => (high, 1.0),
        Sweep::ToBass => (low, -1.0),
    };
    let (middle, right) = (left + ARROW_WIDTH / 2.0, left + ARROW_WIDTH);
    let point = |x: f64, y: f64| Point::new(x, root + up * y);
    vec![
        Outline::Move(point(middle, HEAD - HOLLOW)),
        Outline::Line(point(right, -HOLLOW)),
        Outline::Line(point(middle, 0.0)),
        Outline::Line(point(left, -HOLLOW)),
        Outline::Close,
    ]
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

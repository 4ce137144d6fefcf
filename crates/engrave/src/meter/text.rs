//! Text too small to be read.

use apoyando_fretboard::Millimetres;

use super::Fault;
use crate::drawing::{Drawing, Ink};
use crate::geometry::bounds;

/// Nothing is set smaller, in points [house value].
const SMALLEST: f64 = 7.0;
/// A point, in millimetres: the 72nd part of an inch.
const POINT: f64 = 25.4 / 72.0;
/// Rounding.
const EXACT: f64 = 1e-6;

/// Text of less than 7 points where a staff has this height.
#[must_use]
pub fn small_text(drawing: &Drawing, staff_height: Millimetres) -> Vec<Fault> {
    let mut faults = Vec::new();
    for stain in &drawing.stains {
        let Ink::Text { text, size, .. } = &stain.ink else { continue };
        let points = size.0 * staff_height.0 / 4.0 / POINT;
        if points < SMALLEST - EXACT {
            let message = format!("“{text}” of kind {:?} has {points:.1} points", stain.kind);
            faults.push(Fault { rule: "text-small", place: bounds(&stain.ink), message });
        }
    }
    faults
}

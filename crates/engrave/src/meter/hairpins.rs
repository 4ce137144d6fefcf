//! Hairpins that run into one another.

use super::Fault;
use crate::drawing::{Drawing, Kind};
use crate::geometry::{Rect, bounds};

/// The two strokes of a hairpin have the same ends.
const SAME: f64 = 0.01;

/// Strokes of different hairpins that meet.
#[must_use]
pub fn crossing_hairpins(drawing: &Drawing) -> Vec<Fault> {
    let strokes: Vec<Rect> = drawing
        .stains
        .iter()
        .filter(|stain| stain.kind == Kind::Hairpin)
        .map(|stain| bounds(&stain.ink))
        .collect();
    let mut faults = Vec::new();
    for (at, one) in strokes.iter().enumerate() {
        for other in &strokes[at + 1..] {
            let same = (one.left - other.left).abs() + (one.right - other.right).abs() < SAME;
            if !same && one.meets(*other) {
                let message = format!("a hairpin meets the one at {other:?}");
                faults.push(Fault { rule: "hairpins-cross", place: *one, message });
            }
        }
    }
    faults
}

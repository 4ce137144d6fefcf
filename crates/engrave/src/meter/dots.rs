//! Dots on lines.

use super::Fault;
use super::scan::{glyph_at, middles};
use crate::drawing::{Drawing, Kind};
use crate::geometry::bounds;

/// Dots that are not in the middle of a space.
#[must_use]
pub fn dots_on_lines(drawing: &Drawing) -> Vec<Fault> {
    let middles = middles(drawing);
    let dots = drawing.stains.iter().filter(|stain| stain.kind == Kind::Dot);
    dots.filter(|stain| {
        glyph_at(stain).is_some_and(|(_, at)| {
            !middles.iter().any(|middle| {
                let step = (at.y.0 - middle) * 2.0;
                (step - step.round()).abs() < 0.01 && (step.round() as i64).rem_euclid(2) == 1
            })
        })
    })
    .map(|stain| Fault {
        rule: "dot-on-line",
        place: bounds(&stain.ink),
        message: "a dot stands on a line".to_owned(),
    })
    .collect()
}

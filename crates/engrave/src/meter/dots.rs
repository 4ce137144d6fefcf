//! Dots on lines.

use super::scan::{glyph_at, middles};
use super::{Fault, figures};
use crate::drawing::{Drawing, Kind};
use crate::font::table;
use crate::geometry::bounds;

/// Clear space from a dot to the line of a string.
const OFF_LINE: f64 = 0.1;

/// Dots that are not in the middle of a space; beside lines of strings, those that touch one.
#[must_use]
pub fn dots_on_lines(drawing: &Drawing) -> Vec<Fault> {
    let (middles, strings) = (middles(drawing), figures::lines(drawing));
    let reach = table::AUGMENTATION_DOT.high + table::STAFF_LINE_THICKNESS / 2.0 + OFF_LINE;
    // Of five lines and of strings the nearer ones are meant.
    let nearest =
        |y: f64, lines: &[f64]| lines.iter().map(|line| (line - y).abs()).fold(f64::MAX, f64::min);
    let dots = drawing.stains.iter().filter(|stain| stain.kind == Kind::Dot);
    dots.filter(|stain| {
        glyph_at(stain).is_some_and(|(_, at)| {
            let line = nearest(at.y.0, &strings);
            if line + 2.0 < nearest(at.y.0, &middles) {
                return line < reach;
            }
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

//! Ink off the line.

use super::Fault;
use crate::drawing::{Drawing, Kind, StaffSpaces};
use crate::geometry::bounds;

/// Rounding that leaves no ink behind.
const EXACT: f64 = 0.01;

/// Ink outside the box of a drawing, and staves, barlines and heads that go on after the
/// end of the line.
#[must_use]
pub fn ink_off_the_line(drawing: &Drawing, line: StaffSpaces) -> Vec<Fault> {
    let mut faults = Vec::new();
    for stain in &drawing.stains {
        let place = bounds(&stain.ink);
        let inside = place.left >= -EXACT
            && place.right <= drawing.width.0 + EXACT
            && place.high <= drawing.above.0 + EXACT
            && place.low >= -drawing.below.0 - EXACT;
        let staff = matches!(
            stain.kind,
            Kind::StaffLine | Kind::TabLine | Kind::BarLine | Kind::Head | Kind::TabFigure
        );
        let mut fault = |what: &str| {
            let message = format!("ink of kind {:?} leaves the {what}", stain.kind);
            faults.push(Fault { rule: "ink-off-the-line", place, message });
        };
        if !inside {
            fault("box of its drawing");
        }
        if staff && place.right > line.0 + EXACT {
            fault("line");
        }
    }
    faults
}

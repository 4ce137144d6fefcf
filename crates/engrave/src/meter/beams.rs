//! Beams that are too steep, or not parallel.

use super::Fault;
use crate::drawing::{Drawing, Ink, Kind, Outline};
use crate::font::table;
use crate::geometry::{Rect, bounds};

/// Greatest rise by run [house value], and in all (Ross and Gould, from memory).
const STEEPEST: f64 = 0.25;
const HIGHEST: f64 = 2.0;
/// What is not seen.
const EXACT: f64 = 0.01;
/// Beams whose middles are no farther apart than this at one place are of one group.
const GROUP: f64 = 1.0;

/// The middle line of a beam.
struct Line {
    left: (f64, f64),
    right: (f64, f64),
    place: Rect,
}

impl Line {
    fn slope(&self) -> f64 {
        (self.right.1 - self.left.1) / (self.right.0 - self.left.0)
    }

    fn at(&self, x: f64) -> f64 {
        self.left.1 + self.slope() * (x - self.left.0)
    }

    /// Whether another beam goes over or under this one in the same group.
    fn is_beside(&self, other: &Self) -> bool {
        let (from, to) = (self.left.0.max(other.left.0), self.right.0.min(other.right.0));
        let x = (from + to) / 2.0;
        to - from > EXACT && (self.at(x) - other.at(x)).abs() < GROUP
    }
}

fn lines(drawing: &Drawing) -> Vec<Line> {
    let beams = drawing.stains.iter().filter(|stain| stain.kind == Kind::Beam);
    beams
        .filter_map(|stain| {
            let Ink::Shape(outline) = &stain.ink else { return None };
            let place = bounds(&stain.ink);
            let corners: Vec<(f64, f64)> = outline
                .iter()
                .filter_map(|step| match step {
                    Outline::Move(at) | Outline::Line(at) => Some((at.x.0, at.y.0)),
                    Outline::Curve(..) | Outline::Close => None,
                })
                .collect();
            let end = |x: f64| {
                let ys: Vec<f64> =
                    corners.iter().filter(|c| (c.0 - x).abs() < EXACT).map(|c| c.1).collect();
                (!ys.is_empty()).then(|| (x, ys.iter().sum::<f64>() / ys.len() as f64))
            };
            Some(Line { left: end(place.left)?, right: end(place.right)?, place })
        })
        .collect()
}

/// Beams that rise by more than a quarter of their run or by more than two spaces, and
/// beams of one group that are not parallel, which leave white wedges.
#[must_use]
pub fn slanting_beams(drawing: &Drawing) -> Vec<Fault> {
    let lines = lines(drawing);
    let mut faults = Vec::new();
    let mut fault =
        |place, message: String| faults.push(Fault { rule: "beam-slants", place, message });
    for (at, line) in lines.iter().enumerate() {
        // From stem to stem.
        let run = line.place.width() - table::STEM_THICKNESS;
        let rise = line.slope().abs() * run;
        if line.slope().abs() > STEEPEST + EXACT || rise > HIGHEST + EXACT {
            fault(line.place, format!("a beam rises by {rise:.2}, {:.2} of its run", line.slope()));
        }
        let crooked = lines[..at]
            .iter()
            .filter(|other| line.is_beside(other))
            .any(|other| (line.slope() - other.slope()).abs() > EXACT);
        if crooked {
            fault(line.place, "a beam is not parallel to the one beside it".to_owned());
        }
    }
    faults
}

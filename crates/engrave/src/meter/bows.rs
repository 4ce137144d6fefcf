//! Ties that are flat or lie on a line, and slurs that are no plain curve.

use super::Fault;
use super::scan::middles;
use crate::drawing::{Drawing, Ink, Kind, Outline, Point, Stain};
use crate::font::table;
use crate::geometry::{Rect, bounds};

/// A bow lower than this is flat: the least height of a tie, with its rounding.
const FLAT: f64 = 0.44;
/// An apex nearer than this to a staff line is taken for a part of it.
const ON_LINE: f64 = 0.18;
/// What is not seen of a bend.
const EXACT: f64 = 0.01;

/// The first of the two curves of a bow.
fn curve(stain: &Stain) -> Option<[Point; 4]> {
    let Ink::Shape(outline) = &stain.ink else { return None };
    match outline.as_slice() {
        [Outline::Move(from), Outline::Curve(one, two, to), ..] => Some([*from, *one, *two, *to]),
        _ => None,
    }
}

/// Height of a point above the straight line between the tips.
fn above_tips([from, _, _, to]: [Point; 4], at: Point) -> f64 {
    let slope = (to.y.0 - from.y.0) / (to.x.0 - from.x.0);
    at.y.0 - from.y.0 - slope * (at.x.0 - from.x.0)
}

/// Ties that are flat, whose apex lies on a staff line, or that cross the stem of their
/// note.
#[must_use]
pub fn poor_ties(drawing: &Drawing) -> Vec<Fault> {
    let middles = middles(drawing);
    let mut faults = Vec::new();
    for stain in drawing.stains.iter().filter(|stain| stain.kind == Kind::Tie) {
        let Some(bow) = curve(stain) else { continue };
        let place: Rect = bounds(&stain.ink);
        let mut fault = |message: String| faults.push(Fault { rule: "tie-poor", place, message });
        if place.height() < FLAT {
            fault(format!("a tie is only {:.2} high", place.height()));
        }
        let mut stems = drawing.stains.iter().filter(|other| other.kind == Kind::Stem);
        let crossed = |other: &Stain| {
            let stem = bounds(&other.ink);
            let within = place.left + EXACT < stem.left && stem.right < place.right - EXACT;
            within && stem.low < place.high && place.low < stem.high
        };
        if stems.any(|other| other.owner == stain.owner && crossed(other)) {
            fault("a tie crosses the stem of its note".to_owned());
        }
        let half = table::TIE_MIDPOINT_THICKNESS / 2.0;
        let up = above_tips(bow, bow[1]) > 0.0;
        let apex = if up { place.high - half } else { place.low + half };
        let off = middles
            .iter()
            .flat_map(|middle| (-2..=2).map(move |line| middle + f64::from(line)))
            .map(|line| (apex - line).abs())
            .fold(f64::MAX, f64::min);
        if off < ON_LINE {
            fault(format!("the apex of a tie is {off:.2} from a staff line"));
        }
    }
    faults
}

/// Slurs that bend both ways.
#[must_use]
pub fn bent_slurs(drawing: &Drawing) -> Vec<Fault> {
    let slurs = drawing.stains.iter().filter(|stain| stain.kind == Kind::Slur);
    slurs
        .filter(|stain| {
            curve(stain).is_some_and(|bow| {
                let bends = [bow[1], bow[2]].map(|corner| above_tips(bow, corner));
                bends[0] * bends[1] <= 0.0 || bends.iter().any(|bend| bend.abs() < EXACT)
            })
        })
        .map(|stain| Fault {
            rule: "slur-bent",
            place: bounds(&stain.ink),
            message: "a slur is not one curve".to_owned(),
        })
        .collect()
}

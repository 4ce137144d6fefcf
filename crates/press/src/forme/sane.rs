//! Drawings that can be printed at all.

use apoyando_engrave::{Drawing, Ink, Outline, Point};

use crate::error::PressError;

/// Refuses lengths that are not numbers or are absurd.
pub fn check(place: &str, index: usize, drawing: &Drawing) -> Result<(), PressError> {
    let sane = |length: f64| length.abs() < 100_000.0;
    let point = |p: &Point| sane(p.x.0) && sane(p.y.0);
    let ink = |ink: &Ink| match ink {
        Ink::Glyph { scale, at, .. } => sane(*scale) && point(at),
        Ink::Line { from, to, thickness, dash } => {
            point(from)
                && point(to)
                && sane(thickness.0)
                && dash.is_none_or(|(on, off)| sane(on.0) && sane(off.0))
        }
        Ink::Shape(steps) => steps.iter().all(|step| match step {
            Outline::Move(p) | Outline::Line(p) => point(p),
            Outline::Curve(a, b, c) => point(a) && point(b) && point(c),
            Outline::Close => true,
        }),
        Ink::Circle { centre, radius, ring } => {
            point(centre) && sane(radius.0) && ring.is_none_or(|ring| sane(ring.0))
        }
        Ink::Text { size, at, width, .. } => sane(size.0) && point(at) && sane(width.0),
        Ink::Halo { low, high } => point(low) && point(high),
    };
    let edges = [drawing.width.0, drawing.above.0, drawing.below.0];
    if edges.into_iter().all(sane) && drawing.stains.iter().all(|stain| ink(&stain.ink)) {
        Ok(())
    } else {
        Err(PressError::Drawing { place: place.to_owned(), index: index + 1 })
    }
}

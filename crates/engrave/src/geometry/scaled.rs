//! Ink in other sizes.

use crate::drawing::{Ink, Outline, Point, StaffSpaces};

/// Ink made so many times as large about the origin, then moved up by so many spaces.
pub fn scaled(ink: Ink, by: f64, up: f64) -> Ink {
    let point = |at: Point| Point::new(by * at.x.0, by * at.y.0 + up);
    let length = |length: StaffSpaces| length * by;
    match ink {
        Ink::Glyph { glyph, scale, at } => Ink::Glyph { glyph, scale: by * scale, at: point(at) },
        Ink::Line { from, to, thickness, dash } => Ink::Line {
            from: point(from),
            to: point(to),
            thickness: length(thickness),
            dash: dash.map(|(dash, gap)| (length(dash), length(gap))),
        },
        Ink::Shape(outline) => Ink::Shape(
            outline
                .into_iter()
                .map(|step| match step {
                    Outline::Move(to) => Outline::Move(point(to)),
                    Outline::Line(to) => Outline::Line(point(to)),
                    Outline::Curve(one, two, to) => {
                        Outline::Curve(point(one), point(two), point(to))
                    }
                    Outline::Close => Outline::Close,
                })
                .collect(),
        ),
        Ink::Circle { centre, radius, ring } => {
            Ink::Circle { centre: point(centre), radius: length(radius), ring: ring.map(length) }
        }
        Ink::Text { text, face, size, at, width } => {
            Ink::Text { text, face, size: length(size), at: point(at), width: length(width) }
        }
        Ink::Halo { low, high } => Ink::Halo { low: point(low), high: point(high) },
    }
}

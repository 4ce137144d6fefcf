//! Short ways to ink.

use crate::drawing::{Face, Ink, Kind, Outline, Owner, Point, StaffSpaces, Stain};
use crate::font::{self, Glyph};

/// A glyph.
pub fn glyph(glyph: &Glyph, scale: f64, x: f64, y: f64, kind: Kind, owner: Owner) -> Stain {
    Stain { ink: Ink::Glyph { glyph: glyph.code, scale, at: Point::new(x, y) }, kind, owner }
}

/// A straight stroke.
pub fn line(from: (f64, f64), to: (f64, f64), thickness: f64, kind: Kind, owner: Owner) -> Stain {
    Stain {
        ink: Ink::Line {
            from: Point::new(from.0, from.1),
            to: Point::new(to.0, to.1),
            thickness: StaffSpaces(thickness),
            dash: None,
        },
        kind,
        owner,
    }
}

/// A filled shape with straight sides.
pub fn polygon(corners: &[(f64, f64)], kind: Kind, owner: Owner) -> Stain {
    let mut outline = Vec::with_capacity(corners.len() + 1);
    for (at, corner) in corners.iter().enumerate() {
        let point = Point::new(corner.0, corner.1);
        outline.push(if at == 0 { Outline::Move(point) } else { Outline::Line(point) });
    }
    outline.push(Outline::Close);
    Stain { ink: Ink::Shape(outline), kind, owner }
}

/// A line of text, its baseline beginning at a point.
pub fn text(text: &str, face: Face, size: f64, at: (f64, f64), kind: Kind, owner: Owner) -> Stain {
    Stain {
        ink: Ink::Text {
            text: text.to_owned(),
            face,
            size: StaffSpaces(size),
            at: Point::new(at.0, at.1),
            width: StaffSpaces(font::text_width(face, size, text)),
        },
        kind,
        owner,
    }
}

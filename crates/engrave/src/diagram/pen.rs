//! What diagrams and maps are drawn with.

use crate::drawing::{Face, Ink, Kind, Outline, Owner, Point, StaffSpaces, Stain};
use crate::font;

/// Points of a quarter circle drawn as one cubic curve.
const ROUND: f64 = 0.552_284_749_8;

/// Collects ink.
#[derive(Default)]
pub(super) struct Pen {
    pub stains: Vec<Stain>,
}

impl Pen {
    fn ink(&mut self, kind: Kind, ink: Ink) {
        self.stains.push(Stain { ink, kind, owner: Owner::System });
    }

    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), thickness: f64) {
        self.ink(
            Kind::Diagram,
            Ink::Line {
                from: Point::new(from.0, from.1),
                to: Point::new(to.0, to.1),
                thickness: StaffSpaces(thickness),
                dash: None,
            },
        );
    }

    pub fn dot(&mut self, at: (f64, f64), diameter: f64) {
        let (centre, radius) = (Point::new(at.0, at.1), StaffSpaces(diameter / 2.0));
        self.ink(Kind::Diagram, Ink::Circle { centre, radius, ring: None });
    }

    pub fn ring(&mut self, at: (f64, f64), diameter: f64, thickness: f64) {
        let radius = StaffSpaces((diameter - thickness) / 2.0);
        let (centre, ring) = (Point::new(at.0, at.1), Some(StaffSpaces(thickness)));
        self.ink(Kind::Diagram, Ink::Circle { centre, radius, ring });
    }

    /// A bar with round ends whose centres are the two strings.
    pub fn bar(&mut self, from: f64, to: f64, y: f64, height: f64) {
        let r = height / 2.0;
        let k = ROUND * r;
        let p = Point::new;
        let outline = vec![
            Outline::Move(p(from, y + r)),
            Outline::Line(p(to, y + r)),
            Outline::Curve(p(to + k, y + r), p(to + r, y + k), p(to + r, y)),
            Outline::Curve(p(to + r, y - k), p(to + k, y - r), p(to, y - r)),
            Outline::Line(p(from, y - r)),
            Outline::Curve(p(from - k, y - r), p(from - r, y - k), p(from - r, y)),
            Outline::Curve(p(from - r, y + k), p(from - k, y + r), p(from, y + r)),
            Outline::Close,
        ];
        self.ink(Kind::Diagram, Ink::Shape(outline));
    }

    pub fn text(&mut self, text: &str, face: Face, size: f64, at: (f64, f64)) {
        self.ink(
            Kind::Diagram,
            Ink::Text {
                text: text.to_owned(),
                face,
                size: StaffSpaces(size),
                at: Point::new(at.0, at.1),
                width: StaffSpaces(font::text_width(face, size, text)),
            },
        );
    }

    /// White over what was drawn before.
    pub fn halo(&mut self, low: (f64, f64), high: (f64, f64)) {
        let (low, high) = (Point::new(low.0, low.1), Point::new(high.0, high.1));
        self.ink(Kind::Halo, Ink::Halo { low, high });
    }
}

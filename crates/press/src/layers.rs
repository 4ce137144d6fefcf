//! Which ink must be painted before which.
//!
//! All ink is black but for the halos, so the order of two stains matters only
//! where a halo meets ink. Sorted into layers, halos first in each, the rest
//! may be painted in any order, and glyphs of one size together.

use apoyando_engrave::{Ink, Outline};

use crate::faces::faces;

/// A rectangle in staff spaces, y up.
#[derive(Clone, Copy, Debug)]
struct Extent {
    left: f64,
    right: f64,
    low: f64,
    high: f64,
}

impl Extent {
    const NOTHING: Self = Self {
        left: f64::INFINITY,
        right: f64::NEG_INFINITY,
        low: f64::INFINITY,
        high: f64::NEG_INFINITY,
    };

    fn with(self, x: f64, y: f64) -> Self {
        Self {
            left: self.left.min(x),
            right: self.right.max(x),
            low: self.low.min(y),
            high: self.high.max(y),
        }
    }

    fn grown(self, by: f64) -> Self {
        Self {
            left: self.left - by,
            right: self.right + by,
            low: self.low - by,
            high: self.high + by,
        }
    }

    fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.low < other.high
            && other.low < self.high
    }
}

/// The layer of every ink, from 0. In a layer, halos come first.
pub fn layers(inks: &[&Ink]) -> Vec<usize> {
    let mut layers = Vec::with_capacity(inks.len());
    let extents: Vec<Extent> = inks.iter().map(|ink| extent(ink)).collect();
    let mut halos: Vec<usize> = Vec::new();
    for (i, ink) in inks.iter().enumerate() {
        let layer = if matches!(ink, Ink::Halo { .. }) {
            // Above all ink before it that it meets, and with or above the
            // halos before it, which it cannot harm.
            let above = (0..i)
                .filter(|&j| !matches!(inks[j], Ink::Halo { .. }))
                .filter(|&j| extents[j].meets(&extents[i]))
                .map(|j| layers[j] + 1)
                .max();
            halos.push(i);
            above.unwrap_or(0)
        } else {
            let over = halos.iter().filter(|&&j| extents[j].meets(&extents[i]));
            over.map(|&j| layers[j]).max().unwrap_or(0)
        };
        layers.push(layer);
    }
    layers
}

/// A rectangle around the ink; it may be too large, never too small.
fn extent(ink: &Ink) -> Extent {
    match ink {
        Ink::Glyph { glyph, scale, at } => {
            let ttf = faces().music.ttf();
            let bounds = ttf.glyph_index(*glyph).and_then(|id| ttf.glyph_bounding_box(id));
            let em = 4.0 * scale / f64::from(ttf.units_per_em());
            let (x, y) = (at.x.0, at.y.0);
            bounds.map_or(Extent::NOTHING, |b| {
                Extent::NOTHING
                    .with(x + f64::from(b.x_min) * em, y + f64::from(b.y_min) * em)
                    .with(x + f64::from(b.x_max) * em, y + f64::from(b.y_max) * em)
            })
        }
        Ink::Line { from, to, thickness, .. } => Extent::NOTHING
            .with(from.x.0, from.y.0)
            .with(to.x.0, to.y.0)
            .grown(thickness.0.abs() / 2.0),
        Ink::Shape(steps) => {
            steps.iter().fold(Extent::NOTHING, |extent, step| match *step {
                Outline::Move(p) | Outline::Line(p) => extent.with(p.x.0, p.y.0),
                // A curve lies within the hull of its points.
                Outline::Curve(a, b, c) => {
                    extent.with(a.x.0, a.y.0).with(b.x.0, b.y.0).with(c.x.0, c.y.0)
                }
                Outline::Close => extent,
            })
        }
        Ink::Circle { centre, radius, ring } => Extent::NOTHING
            .with(centre.x.0, centre.y.0)
            .grown(radius.0.abs() + ring.map_or(0.0, |ring| ring.0.abs() / 2.0)),
        Ink::Text { size, at, width, .. } => Extent::NOTHING
            .with(at.x.0 - 0.2 * size.0, at.y.0 - 0.4 * size.0)
            .with(at.x.0 + width.0 + 0.2 * size.0, at.y.0 + 1.1 * size.0),
        Ink::Halo { low, high } => Extent::NOTHING.with(low.x.0, low.y.0).with(high.x.0, high.y.0),
    }
}

#[cfg(test)]
mod tests {
    use apoyando_engrave::{Point, StaffSpaces};

    use super::*;

    fn line(y: f64) -> Ink {
        Ink::Line {
            from: Point::new(0.0, y),
            to: Point::new(10.0, y),
            thickness: StaffSpaces(0.13),
            dash: None,
        }
    }

    fn halo(x: f64) -> Ink {
        Ink::Halo { low: Point::new(x, -0.5), high: Point::new(x + 1.0, 0.5) }
    }

    #[test]
    fn a_halo_covers_only_what_came_before_it() {
        let (staff, later) = (line(0.0), line(0.2));
        let (first, second) = (halo(1.0), halo(5.0));
        let far = line(3.0);
        let found = layers(&[&staff, &first, &second, &later, &far]);
        assert_eq!(found, [0, 1, 1, 1, 0]);
        assert_eq!(layers(&[&first, &staff]), [0, 0], "a halo under the first ink stays below");
        assert_eq!(layers(&[&staff, &first, &later, &first]), [0, 1, 1, 2]);
    }
}

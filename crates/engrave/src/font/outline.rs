//! Outlines of the music glyphs, and how far their ink reaches slice by slice.

use std::collections::HashMap;
use std::sync::OnceLock;

use ttf_parser::{Face, OutlineBuilder};

use super::{MUSIC_FONT, table};
use crate::drawing::{Outline, Point};

/// Height of a slice of a [`Profile`], in staff spaces.
const SLICE: f64 = 0.1;

/// How far the ink of a glyph reaches to the left and to the right at each
/// height, and up and down at each place along its width.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Profile {
    low: f64,
    sides: Vec<(f64, f64)>,
    left: f64,
    reach: Vec<(f64, f64)>,
}

impl Profile {
    /// Leftmost and rightmost ink between two heights, if there is any.
    #[must_use]
    pub fn sides(&self, low: f64, high: f64) -> Option<(f64, f64)> {
        span(&self.sides, self.low, low, high)
    }

    /// Lowest and highest ink between two places along the width, if any.
    #[must_use]
    pub fn reach(&self, left: f64, right: f64) -> Option<(f64, f64)> {
        span(&self.reach, self.left, left, right)
    }

    /// Flat rows that together cover the ink: low, high, left, right.
    pub fn rows(&self) -> impl Iterator<Item = (f64, f64, f64, f64)> + '_ {
        self.sides.iter().enumerate().filter(|(_, (left, right))| left <= right).map(
            |(at, sides)| {
                let low = self.low + at as f64 * SLICE;
                (low, low + SLICE, sides.0, sides.1)
            },
        )
    }

    /// Upright strips that together cover the ink: left, right, low, high.
    pub fn strips(&self) -> impl Iterator<Item = (f64, f64, f64, f64)> + '_ {
        self.reach.iter().enumerate().filter(|(_, (low, high))| low <= high).map(|(at, reach)| {
            let left = self.left + at as f64 * SLICE;
            (left, left + SLICE, reach.0, reach.1)
        })
    }
}

fn span(slices: &[(f64, f64)], start: f64, from: f64, to: f64) -> Option<(f64, f64)> {
    let first = ((from - start) / SLICE).floor().max(0.0) as usize;
    let last = ((to - start) / SLICE).ceil().max(0.0) as usize;
    let found = slices
        .get(first..last.min(slices.len()))?
        .iter()
        .filter(|slice| slice.0 <= slice.1)
        .fold((f64::MAX, f64::MIN), |all, slice| (all.0.min(slice.0), all.1.max(slice.1)));
    (found.0 <= found.1).then_some(found)
}

struct Shape {
    outline: Vec<Outline>,
    profile: Profile,
}

fn shapes() -> &'static HashMap<char, Shape> {
    static SHAPES: OnceLock<HashMap<char, Shape>> = OnceLock::new();
    SHAPES.get_or_init(|| {
        let Ok(face) = Face::parse(MUSIC_FONT, 0) else { return HashMap::new() };
        let scale = 4.0 / f64::from(face.units_per_em());
        table::ALL
            .iter()
            .filter_map(|glyph| {
                let mut pen = Pen { scale, ..Pen::default() };
                face.outline_glyph(face.glyph_index(glyph.code)?, &mut pen)?;
                let profile = measure(&pen.outline);
                Some((glyph.code, Shape { outline: pen.outline, profile }))
            })
            .collect()
    })
}

/// Contours of a glyph of the music font at scale 1, or nothing for a code
/// point outside the table.
#[must_use]
pub fn outline(code: char) -> &'static [Outline] {
    shapes().get(&code).map_or(&[], |shape| &shape.outline)
}

/// How far the ink of a glyph reaches, or `None` outside the table.
#[must_use]
pub fn profile(code: char) -> Option<&'static Profile> {
    shapes().get(&code).map(|shape| &shape.profile)
}

/// Collects contours, scaled, with quadratic curves raised to cubic ones.
#[derive(Default)]
pub(super) struct Pen {
    pub(super) scale: f64,
    pub(super) shift: f64,
    pub(super) last: (f64, f64),
    pub(super) outline: Vec<Outline>,
}

impl Pen {
    fn point(&self, x: f32, y: f32) -> (f64, f64) {
        (f64::from(x) * self.scale + self.shift, f64::from(y) * self.scale)
    }
}

fn at(point: (f64, f64)) -> Point {
    Point::new(point.0, point.1)
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.last = self.point(x, y);
        self.outline.push(Outline::Move(at(self.last)));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.last = self.point(x, y);
        self.outline.push(Outline::Line(at(self.last)));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (start, control, end) = (self.last, self.point(x1, y1), self.point(x, y));
        let third = |from: (f64, f64)| {
            at((
                from.0 + (control.0 - from.0) * 2.0 / 3.0,
                from.1 + (control.1 - from.1) * 2.0 / 3.0,
            ))
        };
        self.outline.push(Outline::Curve(third(start), third(end), at(end)));
        self.last = end;
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let (one, two, end) = (self.point(x1, y1), self.point(x2, y2), self.point(x, y));
        self.outline.push(Outline::Curve(at(one), at(two), at(end)));
        self.last = end;
    }

    fn close(&mut self) {
        self.outline.push(Outline::Close);
    }
}

/// Walks along the contours in small steps and notes how far they reach.
fn measure(outline: &[Outline]) -> Profile {
    let points = crate::geometry::flatten(outline);
    let all = |pick: fn(&(f64, f64)) -> f64| {
        points.iter().map(pick).fold((f64::MAX, f64::MIN), |m, v| (m.0.min(v), m.1.max(v)))
    };
    let ((left, right), (low, high)) = (all(|p| p.0), all(|p| p.1));
    if points.is_empty() {
        return Profile::default();
    }
    let count = |from: f64, to: f64| ((to - from) / SLICE).ceil().max(1.0) as usize;
    let mut sides = vec![(f64::MAX, f64::MIN); count(low, high)];
    let mut reach = vec![(f64::MAX, f64::MIN); count(left, right)];
    let mut note = |x: f64, y: f64| {
        let row = (((y - low) / SLICE) as usize).min(sides.len() - 1);
        sides[row] = (sides[row].0.min(x), sides[row].1.max(x));
        let column = (((x - left) / SLICE) as usize).min(reach.len() - 1);
        reach[column] = (reach[column].0.min(y), reach[column].1.max(y));
    };
    for pair in points.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let steps = (((to.0 - from.0).abs().max((to.1 - from.1).abs())) / (SLICE / 4.0)).ceil();
        for step in 0..=steps as usize {
            let part = if steps > 0.0 { step as f64 / steps } else { 0.0 };
            note(from.0 + (to.0 - from.0) * part, from.1 + (to.1 - from.1) * part);
        }
    }
    Profile { low, sides, left, reach }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn profiles_lie_within_the_boxes_and_know_the_hollows() {
        for glyph in table::ALL {
            let (left, right) = profile(glyph.code).unwrap().sides(-9.0, 9.0).unwrap();
            assert!((left - glyph.left).abs() < 0.02, "{}", glyph.name);
            assert!((right - glyph.right).abs() < 0.02, "{}", glyph.name);
        }
        // A flat is slim above its belly.
        let flat = profile(table::ACCIDENTAL_FLAT.code).unwrap();
        let (_, top) = flat.sides(1.0, 1.6).unwrap();
        assert!(top < table::ACCIDENTAL_FLAT.right / 2.0);
    }
}

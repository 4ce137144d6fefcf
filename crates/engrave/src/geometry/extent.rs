//! How far ink reaches.

use super::Rect;
use crate::drawing::{Ink, Outline, Point};
use crate::font;

/// Steps into which a curve is cut.
const CURVE_STEPS: usize = 12;

/// Width of the strips into which sloped and curved ink is cut.
const STRIP: f64 = 0.25;

/// The corners of an outline, curves cut into short straight pieces.
#[must_use]
pub fn flatten(outline: &[Outline]) -> Vec<(f64, f64)> {
    let pair = |p: Point| (p.x.0, p.y.0);
    let mut points: Vec<(f64, f64)> = Vec::with_capacity(outline.len() * 4);
    for step in outline {
        match *step {
            Outline::Move(to) | Outline::Line(to) => points.push(pair(to)),
            Outline::Curve(one, two, end) => {
                let start = points.last().copied().unwrap_or(pair(one));
                let (one, two, end) = (pair(one), pair(two), pair(end));
                for step in 1..=CURVE_STEPS {
                    let t = step as f64 / CURVE_STEPS as f64;
                    let u = 1.0 - t;
                    let at = |a: f64, b: f64, c: f64, d: f64| {
                        u * u * u * a + 3.0 * u * u * t * b + 3.0 * u * t * t * c + t * t * t * d
                    };
                    points
                        .push((at(start.0, one.0, two.0, end.0), at(start.1, one.1, two.1, end.1)));
                }
            }
            Outline::Close => {}
        }
    }
    points
}

fn around(points: &[(f64, f64)]) -> Rect {
    points.iter().fold(Rect::EMPTY, |all, &(x, y)| all.join(Rect::new(x, y, x, y)))
}

/// The smallest rectangle that holds the ink; [`Rect::EMPTY`] if there is none.
#[must_use]
pub fn bounds(ink: &Ink) -> Rect {
    match ink {
        Ink::Glyph { glyph, scale, at } => font::glyph(*glyph).map_or(Rect::EMPTY, |box_of| {
            Rect::new(
                at.x.0 + scale * box_of.left,
                at.y.0 + scale * box_of.low,
                at.x.0 + scale * box_of.right,
                at.y.0 + scale * box_of.high,
            )
        }),
        Ink::Line { from, to, thickness, .. } => {
            let half = thickness.0 / 2.0;
            let (run, rise) = (to.x.0 - from.x.0, to.y.0 - from.y.0);
            let length = run.hypot(rise);
            // Square ends: the stroke reaches sideways only across its run.
            let (across, along) = if length > 0.0 {
                (half * rise.abs() / length, half * run.abs() / length)
            } else {
                (half, half)
            };
            Rect::new(
                from.x.0.min(to.x.0) - across,
                from.y.0.min(to.y.0) - along,
                from.x.0.max(to.x.0) + across,
                from.y.0.max(to.y.0) + along,
            )
        }
        Ink::Shape(outline) => around(&flatten(outline)),
        Ink::Circle { centre, radius, ring } => {
            let reach = radius.0 + ring.map_or(0.0, |ring| ring.0 / 2.0);
            Rect::new(centre.x.0, centre.y.0, centre.x.0, centre.y.0).grown(reach)
        }
        Ink::Text { text, face, size, at, width } => {
            let (up, down) = font::text_ascent(*face, size.0);
            // Letters that reach below the line, or lean out of it.
            let deep = text.chars().any(|c| "gjpqyQ,;()[]".contains(c));
            let down = if deep { down } else { 0.02 * size.0 };
            Rect::new(at.x.0, at.y.0 - down, at.x.0 + width.0, at.y.0 + up)
        }
        Ink::Halo { low, high } => Rect::new(low.x.0, low.y.0, high.x.0, high.y.0),
    }
}

/// Rectangles that together cover the ink closely: glyphs by their outlines,
/// sloped lines and curves in upright strips. Halos leave none.
#[must_use]
pub fn strips(ink: &Ink) -> Vec<Rect> {
    match ink {
        Ink::Glyph { glyph, scale, at } => font::profile(*glyph).map_or_else(Vec::new, |profile| {
            profile
                .strips()
                .map(|(left, right, low, high)| {
                    Rect::new(scale * left, scale * low, scale * right, scale * high)
                        .moved(at.x.0, at.y.0)
                })
                .collect()
        }),
        Ink::Line { from, to, thickness, .. } if from.x != to.x && from.y != to.y => {
            let half = thickness.0 / 2.0;
            cut(&[(from.x.0, from.y.0), (to.x.0, to.y.0)], half)
        }
        Ink::Shape(outline) => {
            let mut points = flatten(outline);
            points.extend(points.first().copied());
            cut(&points, 0.0)
        }
        Ink::Halo { .. } => Vec::new(),
        _ => vec![bounds(ink)],
    }
}

/// Cuts what lies within a closed or open line of corners into strips.
fn cut(points: &[(f64, f64)], half: f64) -> Vec<Rect> {
    let all = around(points);
    if all.left > all.right {
        return Vec::new();
    }
    // Steep ink needs narrower ones.
    let count = (all.width().max(all.height() / 4.0) / STRIP).ceil().clamp(1.0, 4000.0) as usize;
    let width = (all.width() / count as f64).max(1e-6);
    let mut strips = vec![(f64::MAX, f64::MIN); count];
    for pair in points.windows(2) {
        let ((mut x1, mut y1), (mut x2, mut y2)) = (pair[0], pair[1]);
        if x1 > x2 {
            (x1, y1, x2, y2) = (x2, y2, x1, y1);
        }
        let first = (((x1 - all.left) / width) as usize).min(count - 1);
        let last = (((x2 - all.left) / width) as usize).min(count - 1);
        for (at, strip) in strips.iter_mut().enumerate().take(last + 1).skip(first) {
            let left = (all.left + at as f64 * width).max(x1);
            let right = (all.left + (at + 1) as f64 * width).min(x2);
            for x in [left, right] {
                let part = if x2 > x1 { (x - x1) / (x2 - x1) } else { 0.5 };
                let y = y1 + (y2 - y1) * part;
                strip.0 = strip.0.min(y);
                strip.1 = strip.1.max(y);
            }
            if x1 == x2 {
                strip.0 = strip.0.min(y1.min(y2));
                strip.1 = strip.1.max(y1.max(y2));
            }
        }
    }
    strips
        .into_iter()
        .enumerate()
        .filter(|(_, (low, high))| low <= high)
        .map(|(at, (low, high))| {
            let left = all.left + at as f64 * width;
            Rect::new(left, low - half, left + width, high + half)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::StaffSpaces;

    #[test]
    fn strips_of_a_sloped_line_follow_it() {
        let line = Ink::Line {
            from: Point::new(0.0, 0.0),
            to: Point::new(10.0, 5.0),
            thickness: StaffSpaces(0.2),
            dash: None,
        };
        let strips = strips(&line);
        assert!(strips.iter().all(|strip| strip.height() < 0.4), "{strips:?}");
        let all = strips.iter().copied().fold(Rect::EMPTY, Rect::join);
        assert!((all.width() - 10.0).abs() < 1e-9 && (all.high - 5.1).abs() < 0.01);
    }
}

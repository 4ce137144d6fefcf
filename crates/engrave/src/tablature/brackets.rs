//! Brackets around figures. They are drawn: those of the text face are taller
//! than the distance of the lines.

use crate::drawing::{Ink, Outline, Point};

/// What stands around a figure.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Bracket {
    /// ( ): it sounds on and is not struck.
    Round,
    /// ⟨ ⟩: the string is touched there.
    Angle,
}

/// From figure to bracket, and how wide a bracket is.
const GAP: f64 = 0.1;
const WIDTH: f64 = 0.36;
/// Thickness of the strokes.
const STROKE: f64 = 0.13;

impl Bracket {
    /// What it adds to a figure on each side.
    pub const fn room(self) -> f64 {
        GAP + WIDTH
    }

    /// The two of them around a figure that reaches `half` to each side and `up`
    /// to top and bottom.
    pub fn inks(self, centre: (f64, f64), half: f64, up: f64) -> [Ink; 2] {
        [-1.0, 1.0].map(|side| {
            // From the figure outwards, in the direction of the side.
            let at =
                |out: f64, y: f64| Point::new(centre.0 + side * (half + GAP + out), centre.1 + y);
            Ink::Shape(match self {
                Self::Round => vec![
                    Outline::Move(at(0.0, up)),
                    Outline::Curve(
                        at(WIDTH * 4.0 / 3.0, 0.5 * up),
                        at(WIDTH * 4.0 / 3.0, -0.5 * up),
                        at(0.0, -up),
                    ),
                    Outline::Curve(
                        at(WIDTH * 4.0 / 3.0 - STROKE * 4.0 / 3.0, -0.45 * up),
                        at(WIDTH * 4.0 / 3.0 - STROKE * 4.0 / 3.0, 0.45 * up),
                        at(0.0, up),
                    ),
                    Outline::Close,
                ],
                Self::Angle => vec![
                    Outline::Move(at(0.0, up)),
                    Outline::Line(at(STROKE, up)),
                    Outline::Line(at(WIDTH, 0.0)),
                    Outline::Line(at(STROKE, -up)),
                    Outline::Line(at(0.0, -up)),
                    Outline::Line(at(WIDTH - STROKE, 0.0)),
                    Outline::Close,
                ],
            })
        })
    }
}

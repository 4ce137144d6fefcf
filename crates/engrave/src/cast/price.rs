//! What a line costs.

use super::Line;
use crate::space::{BarRoom, STRETCHES};
use crate::style::Style;

/// Below this share of the width the last line is left ragged.
const RAGGED_BELOW: f64 = 0.65;
/// Cost of a last line that is all white.
const RAGGED: f64 = 0.15;
/// Cost of a line that begins in the middle of a phrase of four bars, and of
/// one of two: full lines of four bars are easiest to read and to copy.
const WITHIN_PHRASE: f64 = 0.03;
/// Stretch a line may have without being called loose or cramped.
pub const LOOSE: f64 = 1.25;
pub const CRAMPED: f64 = 0.85;
/// Ratio of the stretches of neighbouring lines that is not noticed.
const ALIKE: f64 = 1.15;
/// Prices lines.
pub struct Caster<'a> {
    rooms: &'a [BarRoom],
    style: &'a Style,
    /// Sums of widths, joints and changes over the bars before each.
    sums: Vec<[f64; STRETCHES.len()]>,
    /// Width at the left that is not music, per first bar or later one.
    indent: (f64, f64),
}

impl<'a> Caster<'a> {
    pub fn new(rooms: &'a [BarRoom], style: &'a Style, indent: (f64, f64)) -> Self {
        let mut sums = vec![[0.0; STRETCHES.len()]; rooms.len() + 1];
        for (at, room) in rooms.iter().enumerate() {
            let mut next = sums[at];
            for (sum, width) in next.iter_mut().zip(room.widths) {
                *sum += width + room.change + room.joint;
            }
            sums[at + 1] = next;
        }
        Self { rooms, style, sums, indent }
    }

    fn available(&self, from: usize) -> f64 {
        let indent = if from == 0 { self.indent.0 } else { self.indent.1 };
        self.style.line_width.0 - indent
    }

    /// Width of a line at the nth stretch.
    fn width(&self, from: usize, to: usize, nth: usize) -> f64 {
        let last = &self.rooms[to - 1];
        let first = &self.rooms[from];
        self.sums[to][nth] - self.sums[from][nth] - first.change - last.joint + first.prefix
            - first.springs.saved_in_line()
            + last.end
    }

    /// The stretch at which a line is as wide as it should be; `Err` with the
    /// least width if it does not fit at all.
    fn stretch(&self, from: usize, to: usize, wanted: f64) -> Result<f64, f64> {
        let least = self.width(from, to, 0);
        if least > wanted + 1e-9 {
            return Err(least);
        }
        let (mut low, mut high) = (0, STRETCHES.len() - 1);
        if self.width(from, to, high) <= wanted {
            return Ok(STRETCHES[high]);
        }
        while high - low > 1 {
            let middle = usize::midpoint(low, high);
            if self.width(from, to, middle) <= wanted {
                low = middle;
            } else {
                high = middle;
            }
        }
        let (narrow, broad) = (self.width(from, to, low), self.width(from, to, high));
        let part = if broad > narrow { (wanted - narrow) / (broad - narrow) } else { 0.0 };
        Ok(STRETCHES[low] + (STRETCHES[high] - STRETCHES[low]) * part)
    }

    /// A line with its own cost.
    pub fn line(&self, from: usize, to: usize) -> (Line, f64) {
        let wanted = self.available(from);
        let last = to == self.rooms.len();
        let mut line = Line { bars: from..to, stretch: 1.0, ragged: false, overfull: false };
        let mut cost = 0.0;
        let natural = self.width(from, to, NATURAL);
        if last && self.style.ragged_last && natural < RAGGED_BELOW * wanted {
            line.ragged = true;
            // A short last line is no fault, but full lines are better.
            cost += RAGGED * (1.0 - natural / wanted);
        } else {
            match self.stretch(from, to, wanted) {
                Ok(stretch) => {
                    line.stretch = stretch;
                    cost += badness(stretch);
                }
                Err(least) => {
                    line.stretch = 0.0;
                    line.overfull = true;
                    cost += 100.0 + 10.0 * (least / wanted.max(1.0)).min(1e6);
                }
            }
        }
        if last && to - from < 2 && from > 0 {
            cost += 4.0;
        }
        let number = self.rooms[from].since_section;
        for phrase in [2, 4] {
            if !number.is_multiple_of(phrase) {
                cost += WITHIN_PHRASE;
            }
        }
        (line, cost)
    }
}

/// Index of stretch 1 in [`STRETCHES`].
const NATURAL: usize = 6;

/// Cost of a stretch: the square of its logarithm, much dearer beyond what
/// goes unnoticed.
fn badness(stretch: f64) -> f64 {
    let log = stretch.max(0.05).ln();
    let beyond = if stretch > LOOSE {
        (stretch / LOOSE).ln()
    } else if stretch < CRAMPED {
        2.0 * (CRAMPED / stretch.max(0.05)).ln()
    } else {
        0.0
    };
    log * log + 8.0 * beyond * beyond + beyond
}

/// Cost of two neighbouring lines that are not alike.
pub fn unlike(one: &Line, other: &Line) -> f64 {
    if other.ragged || one.overfull || other.overfull {
        return 0.0;
    }
    let ratio = (one.stretch.max(0.05) / other.stretch.max(0.05)).ln().abs();
    let beyond = (ratio - ALIKE.ln()).max(0.0);
    0.3 * ratio * ratio + 4.0 * beyond * beyond
}

//! How far up (or down) the ink of a staff reaches at every place.

use super::Rect;

/// Width of a slice, in staff spaces.
const SLICE: f64 = 0.1;

/// How far the ink reaches away from the middle line, slice by slice. Above
/// the staff the numbers grow upwards; below it a skyline counts *downwards*,
/// so that for both a larger number is farther from the staff.
#[derive(Clone, PartialEq, Debug)]
pub struct Skyline {
    slices: Vec<f64>,
    upwards: bool,
}

impl Skyline {
    /// Nothing but a staff of five lines over `width`.
    #[must_use]
    pub fn of_staff(width: f64, upwards: bool) -> Self {
        let count = (width.clamp(0.0, 1e5) / SLICE).ceil() as usize + 1;
        Self { slices: vec![2.065; count], upwards }
    }

    fn range(&self, left: f64, right: f64) -> std::ops::Range<usize> {
        let last = self.slices.len() - 1;
        let first = ((left / SLICE).floor().max(0.0) as usize).min(last);
        let end = ((right / SLICE).ceil().max(0.0) as usize).clamp(first + 1, last + 1);
        first..end
    }

    /// How far the ink reaches between two places, as a distance from the
    /// middle line.
    #[must_use]
    pub fn reach(&self, left: f64, right: f64) -> f64 {
        self.slices[self.range(left, right)].iter().copied().fold(f64::MIN, f64::max)
    }

    /// How far it reaches anywhere.
    #[must_use]
    pub fn farthest(&self) -> f64 {
        self.slices.iter().copied().fold(f64::MIN, f64::max)
    }

    /// Adds ink.
    pub fn add(&mut self, ink: Rect) {
        if ink.left > ink.right {
            return;
        }
        let reach = if self.upwards { ink.high } else { -ink.low };
        let range = self.range(ink.left, ink.right);
        for slice in &mut self.slices[range] {
            *slice = slice.max(reach);
        }
    }

    /// The least distance of the middle lines at which what hangs below this
    /// upper staff stays `gap` clear of what rises above the lower one.
    #[must_use]
    pub fn distance_to(&self, lower: &Self, gap: f64) -> f64 {
        self.slices.iter().zip(&lower.slices).map(|(down, up)| down + up + gap).fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn skylines_keep_the_farthest_ink() {
        let mut above = Skyline::of_staff(20.0, true);
        let mut below = Skyline::of_staff(20.0, false);
        let note = Rect::new(5.0, -4.0, 6.2, 3.5);
        above.add(note);
        below.add(note);
        assert_eq!(above.reach(5.5, 5.6), 3.5);
        assert_eq!(below.reach(0.0, 20.0), 4.0);
        assert_eq!(above.reach(8.0, 9.0), 2.065);
        assert_eq!(below.distance_to(&above, 1.0), 4.0 + 3.5 + 1.0);
    }
}

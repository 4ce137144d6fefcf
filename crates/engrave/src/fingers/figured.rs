//! Degrees with their figures: the 7 of a seventh and the 6/4 of an inversion
//! stand small behind the numeral, several over one another.

use super::sign::Text;
use crate::drawing::{Face, Kind, Owner};
use crate::geometry::Stage;

/// Em of a figure in ems of its numeral. House value.
const FIGURE: f64 = 0.64;
/// From numeral to figures, in ems. House value.
const GAP: f64 = 0.05;
/// From baseline to baseline of figures over one another, in heights of one.
/// House value.
const PITCH: f64 = 1.16;

/// A degree, measured.
#[derive(Clone, PartialEq, Debug)]
pub struct Figured {
    /// The numeral with what else is not a figure.
    pub numeral: Text,
    figures: Vec<Text>,
    em: f64,
}

impl Figured {
    /// A degree whose em is `em`: figures are the digits at its end.
    #[must_use]
    pub fn new(degree: &str, em: f64) -> Self {
        let numeral = degree.trim_end_matches(|c: char| c.is_ascii_digit());
        let figures = degree[numeral.len()..]
            .chars()
            .map(|figure| Text::new(&figure.to_string(), Face::Regular, FIGURE * em))
            .collect();
        Self { numeral: Text::new(numeral, Face::Regular, em), figures, em }
    }

    /// Its width.
    #[must_use]
    pub fn width(&self) -> f64 {
        let widest = self.figures.iter().map(|figure| figure.width).fold(0.0, f64::max);
        let gap = if self.figures.is_empty() { 0.0 } else { GAP * self.em };
        self.numeral.width + gap + widest
    }

    /// Baselines of the figures, the first one highest: one figure ends level
    /// with the numeral's top and a bit, several share its height.
    fn baselines(&self) -> Vec<f64> {
        let capital = self.numeral.rise();
        let height = self.figures.first().map_or(0.0, Text::rise);
        let count = self.figures.len();
        let top = if count == 1 {
            1.15 * capital - height
        } else {
            (capital - height + (count.max(1) - 1) as f64 * PITCH * height) / 2.0
        };
        (0..count).map(|rank| top - rank as f64 * PITCH * height).collect()
    }

    /// How far it reaches above its baseline.
    #[must_use]
    pub fn rise(&self) -> f64 {
        let height = self.figures.first().map_or(0.0, Text::rise);
        let top = self.baselines().first().map_or(0.0, |baseline| baseline + height);
        self.numeral.rise().max(top)
    }

    /// How far it reaches below its baseline.
    #[must_use]
    pub fn fall(&self) -> f64 {
        self.baselines().last().map_or(0.0, |baseline| -baseline).max(0.0)
    }

    /// Puts it on a staff.
    pub fn put(self, stage: &mut Stage, at: (f64, f64)) {
        let x = at.0 + self.numeral.width + GAP * self.em;
        for (figure, baseline) in self.figures.iter().zip(self.baselines()) {
            figure.clone().put(stage, Kind::Degree, Owner::System, (x, at.1 + baseline));
        }
        self.numeral.put(stage, Kind::Degree, Owner::System, at);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_at_the_end_are_figures() {
        for (degree, figures) in [("I", 0), ("V7", 1), ("I64", 2), ("V7/V", 0), ("vii°", 0)] {
            assert_eq!(Figured::new(degree, 2.0).figures.len(), figures, "{degree}");
        }
    }

    #[test]
    fn stacked_figures_stand_over_one_another_about_the_numeral() {
        let degree = Figured::new("I64", 2.0);
        let baselines = degree.baselines();
        let height = degree.figures[0].rise();
        assert!(baselines[0] - baselines[1] > height);
        let middle = (baselines[0] + height + baselines[1]) / 2.0;
        assert!((middle - degree.numeral.rise() / 2.0).abs() < 1e-9);
        assert!(degree.width() < Figured::new("I6", 2.0).width() + 0.1);
    }
}

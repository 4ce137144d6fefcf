//! The units of sound.

use std::ops::{Add, Sub};

/// A time or a length of time in seconds.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug, Default)]
pub struct Seconds(pub f64);

impl Add for Seconds {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Seconds {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

/// A frequency.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
pub struct Hertz(pub f64);

/// How much louder than something else, in decibels; negative is softer.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug, Default)]
pub struct Decibels(pub f64);

impl Decibels {
    /// By how much an amplitude is multiplied.
    pub fn factor(self) -> f64 {
        10f64.powf(self.0 / 20.0)
    }

    /// What an amplitude is, against 1.
    pub fn of_factor(factor: f64) -> Self {
        Self(20.0 * factor.log10())
    }
}

impl Add for Decibels {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

//! Lengths on the instrument.

use std::fmt;
use std::ops::Sub;

use serde::{Deserialize, Serialize};

/// A length in millimetres.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug, Serialize, Deserialize)]
pub struct Millimetres(pub f64);

impl Millimetres {
    /// Rounded to tenths, once: from here on the hand model counts in whole
    /// numbers.
    pub fn to_tenths(self) -> TenthsOfMm {
        TenthsOfMm((self.0 * 10.0).round() as i32)
    }
}

/// A length in whole tenths of a millimetre, the unit of the hand model.
#[derive(
    Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default, Serialize, Deserialize,
)]
pub struct TenthsOfMm(pub i32);

impl TenthsOfMm {
    /// The same in millimetres.
    pub fn in_millimetres(self) -> Millimetres {
        Millimetres(f64::from(self.0) / 10.0)
    }
}

/// The number without its unit: `104`, `65.5`.
impl fmt::Display for Millimetres {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

impl Sub for TenthsOfMm {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

//! Exact rhythm: every moment and length is a fraction of a whole note.

use std::cmp::Ordering;
use std::fmt;
use std::ops::{Add, AddAssign, Mul, Sub};

use num_rational::Ratio;
use num_traits::Zero;
use serde::{Deserialize, Serialize};

/// A length of time in whole notes, exact. A quarter is 1/4.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Duration(Ratio<i64>);

/// A point in a score: whole notes since its beginning, exact.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Moment(Ratio<i64>);

/// Compares two fractions. Everything in a score is put in order by these, so it is
/// done without dividing.
fn compare(a: Ratio<i64>, b: Ratio<i64>) -> Ordering {
    if a.denom() == b.denom() {
        return a.numer().cmp(b.numer());
    }
    let across = |a: Ratio<i64>, b: Ratio<i64>| i128::from(*a.numer()) * i128::from(*b.denom());
    across(a, b).cmp(&across(b, a))
}

impl Ord for Duration {
    fn cmp(&self, other: &Self) -> Ordering {
        compare(self.0, other.0)
    }
}

impl PartialOrd for Duration {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Moment {
    fn cmp(&self, other: &Self) -> Ordering {
        compare(self.0, other.0)
    }
}

impl PartialOrd for Moment {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Duration {
    /// Nothing at all.
    pub const ZERO: Self = Self(Ratio::new_raw(0, 1));
    /// A quarter note.
    pub const QUARTER: Self = Self(Ratio::new_raw(1, 4));
    /// A whole note.
    pub const WHOLE: Self = Self(Ratio::new_raw(1, 1));

    /// `numerator`/`denominator` of a whole note.
    ///
    /// # Panics
    /// If the denominator is zero.
    pub fn new(numerator: i64, denominator: i64) -> Self {
        Self(Ratio::new(numerator, denominator))
    }

    /// The fraction of a whole note.
    pub const fn ratio(self) -> Ratio<i64> {
        self.0
    }

    /// Whole notes as a float, for spacing and tempo; never for comparing.
    pub fn whole_notes(self) -> f64 {
        *self.0.numer() as f64 / *self.0.denom() as f64
    }

    /// Whether it is nothing at all.
    pub fn is_zero(self) -> bool {
        self.0.is_zero()
    }

    /// This length times a fraction.
    pub fn scaled(self, by: Ratio<i64>) -> Self {
        Self(self.0 * by)
    }
}

impl Moment {
    /// The beginning of the score.
    pub const START: Self = Self(Ratio::new_raw(0, 1));

    /// The moment a length after the beginning.
    pub const fn after_start(length: Duration) -> Self {
        Self(length.0)
    }

    /// Length from the beginning to here.
    pub const fn since_start(self) -> Duration {
        Duration(self.0)
    }
}

impl Add for Duration {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Duration {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Duration {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Mul<i64> for Duration {
    type Output = Self;
    fn mul(self, by: i64) -> Self {
        Self(self.0 * by)
    }
}

impl std::iter::Sum for Duration {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}

impl Add<Duration> for Moment {
    type Output = Self;
    fn add(self, length: Duration) -> Self {
        Self(self.0 + length.0)
    }
}

impl AddAssign<Duration> for Moment {
    fn add_assign(&mut self, length: Duration) {
        *self = *self + length;
    }
}

impl Sub for Moment {
    type Output = Duration;
    fn sub(self, earlier: Self) -> Duration {
        Duration(self.0 - earlier.0)
    }
}

impl fmt::Display for Duration {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// The written values, each half of the one before. `Breve` is two whole notes.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Base {
    Breve,
    Whole,
    Half,
    Quarter,
    Eighth,
    N16,
    N32,
    N64,
    N128,
}

impl Base {
    /// From the longest to the shortest.
    pub const ALL: [Self; 9] = [
        Self::Breve,
        Self::Whole,
        Self::Half,
        Self::Quarter,
        Self::Eighth,
        Self::N16,
        Self::N32,
        Self::N64,
        Self::N128,
    ];

    /// Its length without dots.
    pub fn duration(self) -> Duration {
        match self {
            Self::Breve => Duration::new(2, 1),
            shorter => Duration::new(1, 1 << (shorter as i64 - 1)),
        }
    }

    /// Flags or beams: none down to the quarter, one for an eighth.
    pub const fn flags(self) -> u8 {
        (self as u8).saturating_sub(Self::Quarter as u8)
    }
}

/// A written value: base and up to three dots.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct NoteValue {
    /// The value without dots.
    pub base: Base,
    /// Number of dots, at most 3.
    pub dots: u8,
}

impl NoteValue {
    /// A value without dots.
    pub const fn plain(base: Base) -> Self {
        Self { base, dots: 0 }
    }

    /// A value with one dot.
    pub const fn dotted(base: Base) -> Self {
        Self { base, dots: 1 }
    }

    /// Its length: each dot adds half of what the one before added.
    pub fn duration(self) -> Duration {
        let denominator = 1i64 << self.dots;
        self.base.duration().scaled(Ratio::new(2 * denominator - 1, denominator))
    }

    /// The single written value of this length, if there is one with at most
    /// three dots.
    pub fn of(duration: Duration) -> Option<Self> {
        Base::ALL
            .into_iter()
            .flat_map(|base| (0..=3).map(move |dots| Self { base, dots }))
            .find(|value| value.duration() == duration)
    }
}

/// `actual` notes in the time of `normal`; a triplet is 3 in the time of 2.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Tuplet {
    /// Notes written.
    pub actual: u8,
    /// In the time of so many.
    pub normal: u8,
    /// Whether the bracket begins with this event.
    pub first: bool,
    /// Whether the bracket ends with this event.
    pub last: bool,
}

impl Tuplet {
    /// What a written value is multiplied by.
    pub fn ratio(self) -> Ratio<i64> {
        Ratio::new(i64::from(self.normal), i64::from(self.actual))
    }
}

/// How a metre is shown at the beginning of a staff.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum MetreSign {
    /// Two figures.
    #[default]
    Figures,
    /// The C of common time.
    Common,
    /// The barred C of cut time.
    Cut,
}

/// A metre: so many of such a note in a bar.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Metre {
    /// The upper figure.
    pub count: u8,
    /// The lower figure: 1, 2, 4, 8, 16 or 32.
    pub unit: u8,
    /// How it is shown.
    pub sign: MetreSign,
}

impl Metre {
    /// Four quarters.
    pub const COMMON: Self = Self::new(4, 4);

    /// A metre shown with two figures.
    pub const fn new(count: u8, unit: u8) -> Self {
        Self { count, unit, sign: MetreSign::Figures }
    }

    /// Length of a full bar.
    pub fn bar(self) -> Duration {
        Duration::new(i64::from(self.count), i64::from(self.unit))
    }

    /// Whether beats divide in three: 6/8, 9/8, 12/8, not 3/8.
    pub const fn is_compound(self) -> bool {
        self.unit >= 8 && self.count > 3 && self.count.is_multiple_of(3)
    }

    /// Length of a beat as it is felt: a dotted quarter in 6/8, the lower
    /// figure elsewhere.
    pub fn beat(self) -> Duration {
        let unit = Duration::new(1, i64::from(self.unit));
        if self.is_compound() { unit * 3 } else { unit }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_add_their_dots() {
        let cases =
            [(Base::Quarter, 0, (1, 4)), (Base::Half, 1, (3, 4)), (Base::Eighth, 2, (7, 32))];
        for (base, dots, (numerator, denominator)) in cases {
            let value = NoteValue { base, dots };
            let duration = Duration::new(numerator, denominator);
            assert_eq!(value.duration(), duration);
            assert_eq!(NoteValue::of(duration), Some(value));
        }
        assert_eq!(NoteValue::of(Duration::new(5, 8)), None);
    }

    #[test]
    fn flags_grow_from_the_eighth_on() {
        let flags: Vec<u8> = Base::ALL.into_iter().map(Base::flags).collect();
        assert_eq!(flags, [0, 0, 0, 0, 1, 2, 3, 4, 5]);
    }

    #[test]
    fn compound_metres_are_felt_in_dotted_beats() {
        assert_eq!(Metre::new(6, 8).beat(), Duration::new(3, 8));
        assert_eq!(Metre::new(3, 8).beat(), Duration::new(1, 8));
        assert_eq!(Metre::new(3, 4).beat(), Duration::QUARTER);
    }
}

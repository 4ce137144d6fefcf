//! Time inside the readers: fractions of a whole note whose sums cannot run
//! over, whatever a file says.

use apoyando_music::{Base, Duration, NoteValue, Tuplet};
use num_integer::Integer;
use num_rational::Ratio;
use num_traits::{CheckedAdd, CheckedMul, Zero};

/// A length or an onset within a bar, in whole notes.
pub(crate) type Time = Ratio<i64>;

/// Finest grain a score may have: no moment needs a denominator above this.
/// It holds values down to 1/1024 with 3, 5, 7, 9, 11 and 13 in one score.
pub(crate) const FINEST: i64 = 1 << 26;

/// Longest bar, in whole notes. Free passages without bar lines are long.
pub(crate) const LONGEST_BAR: i64 = 256;

/// No time at all.
pub(crate) fn zero() -> Time {
    Time::zero()
}

/// A fraction, if it is within what a score can hold.
pub(crate) fn fraction(numerator: i64, denominator: i64) -> Option<Time> {
    if denominator == 0 {
        return None;
    }
    // The extreme values cannot be negated, which reducing may need.
    if numerator == i64::MIN || denominator == i64::MIN {
        return None;
    }
    within(Ratio::new(numerator, denominator))
}

/// Sum, if it is within what a score can hold.
pub(crate) fn add(a: Time, b: Time) -> Option<Time> {
    a.checked_add(&b).and_then(within)
}

/// Product, if it is within what a score can hold.
pub(crate) fn multiply(a: Time, b: Time) -> Option<Time> {
    a.checked_mul(&b).and_then(within)
}

fn within(time: Time) -> Option<Time> {
    let longest = LONGEST_BAR * 64;
    (*time.denom() <= FINEST && time.numer() / time.denom() <= longest).then_some(time)
}

/// As a duration of the score.
pub(crate) fn duration(time: Time) -> Duration {
    Duration::new(*time.numer(), *time.denom())
}

/// How a length is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Written {
    pub value: NoteValue,
    pub tuplet: Option<Tuplet>,
}

/// The values that make up `length`, long before short. `tuplet` is the ratio
/// the values stand in; without one, a length that needs a tuplet gets one of
/// its own. `None` if no values can make it up.
pub(crate) fn spell(length: Time, tuplet: Option<Tuplet>) -> Option<Vec<Written>> {
    if length <= zero() || length > Time::from_integer(LONGEST_BAR * 2) {
        return None;
    }
    let (tuplet, written) = match tuplet {
        Some(tuplet) => (Some(tuplet), multiply(length, tuplet.ratio().recip())?),
        None => {
            let odd = length.denom() >> length.denom().trailing_zeros();
            if odd == 1 {
                (None, length)
            } else {
                let actual = u8::try_from(odd).ok()?;
                let normal = 1u8 << (7 - actual.leading_zeros());
                let tuplet = Tuplet { actual, normal, first: false, last: false };
                (Some(tuplet), multiply(length, tuplet.ratio().recip())?)
            }
        }
    };
    if let Some(value) = NoteValue::of(duration(written)) {
        return Some(vec![Written { value, tuplet }]);
    }
    let mut values = Vec::new();
    let mut left = written;
    // Half a breve's dot is the longest step; the rest halves from there.
    let dotted_breve = Time::from_integer(3);
    while left >= dotted_breve {
        values.push(NoteValue::dotted(Base::Breve));
        left -= dotted_breve;
    }
    for base in Base::ALL {
        for dots in [1, 0] {
            let value = NoteValue { base, dots };
            let length = value.duration().ratio();
            if length <= left {
                values.push(value);
                left -= length;
            }
        }
    }
    left.is_zero().then(|| values.into_iter().map(|value| Written { value, tuplet }).collect())
}

/// Least common multiple while it stays within [`FINEST`].
pub(crate) fn common_grain(grain: i64, denominator: i64) -> Option<i64> {
    let factor = denominator / grain.gcd(&denominator);
    grain.checked_mul(factor).filter(|lcm| *lcm <= FINEST)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn total(values: &[Written]) -> Time {
        values
            .iter()
            .map(|w| {
                let ratio = w.tuplet.map_or(Time::from_integer(1), Tuplet::ratio);
                w.value.duration().ratio() * ratio
            })
            .sum()
    }

    #[test]
    fn lengths_are_spelled_exactly() {
        for denominator in [1, 2, 4, 8, 16, 32, 64, 128, 3, 6, 12, 24, 5, 20, 7, 28, 40, 60] {
            for numerator in 1..=64 {
                let length = Time::new(numerator, denominator);
                let values = spell(length, None).expect("spelled");
                assert_eq!(total(&values), length, "{length}");
            }
        }
        assert_eq!(spell(Time::new(5, 8), None).unwrap().len(), 2);
        assert_eq!(spell(Time::new(7, 8), None).unwrap().len(), 1);
    }

    #[test]
    fn what_no_value_can_show_is_refused() {
        assert_eq!(spell(zero(), None), None);
        assert_eq!(spell(Time::new(1, 1 << 14), None), None);
        assert_eq!(spell(Time::new(1, 257), None), None);
        assert_eq!(spell(Time::from_integer(100_000), None), None);
        assert_eq!(fraction(1, 0), None);
        assert_eq!(fraction(i64::MAX, 1), None);
        assert_eq!(add(Time::from_integer(i64::MAX), Time::from_integer(1)), None);
    }
}

//! Lengths of notes and metres.

use apoyando_music::Metre;
use apoyando_music::rhythm::MetreSign;

use super::chars::Chars;
use crate::time::{Time, fraction};

/// A note's length in units: `3`, `3/2`, `/`, `//`. `None` if it cannot be
/// counted.
pub(super) fn multiple(chars: &mut Chars) -> Option<Time> {
    let numerator = chars.number().ok()?.unwrap_or(1);
    let mut denominator: i64 = 1;
    while chars.take('/') {
        let by = chars.number().ok()?.unwrap_or(2);
        denominator = denominator.checked_mul(i64::from(by))?;
    }
    fraction(i64::from(numerator), denominator)
}

/// A fraction: `1/8`.
pub(super) fn written_fraction(text: &str) -> Option<Time> {
    let (numerator, denominator) = text.trim().split_once('/').unwrap_or((text.trim(), "1"));
    let number = |text: &str| text.trim().parse::<u32>().ok().map(i64::from);
    fraction(number(numerator)?, number(denominator)?).filter(|f| *f > Time::from_integer(0))
}

/// What an `M:` field says.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum MetreField {
    Free,
    Metre(Metre),
    /// A metre of added groups, whose grouping is not kept.
    Added(Metre),
    Unknown,
}

/// Reads the content of an `M:` field.
pub(super) fn metre(text: &str) -> MetreField {
    let text = text.trim();
    match text {
        "" | "none" => return MetreField::Free,
        "C" => return MetreField::Metre(Metre { sign: MetreSign::Common, ..Metre::COMMON }),
        "C|" => {
            return MetreField::Metre(Metre { sign: MetreSign::Cut, ..Metre::new(2, 2) });
        }
        _ => {}
    }
    let Some((count, unit)) = text.split_once('/') else { return MetreField::Unknown };
    let groups = count.trim().trim_start_matches('(').trim_end_matches(')');
    let counts: Option<Vec<u8>> =
        groups.split([' ', '+']).filter(|g| !g.is_empty()).map(|g| g.parse().ok()).collect();
    let count = counts.as_ref().and_then(|all| {
        all.iter().try_fold(0u8, |sum, count| sum.checked_add(*count)).filter(|sum| *sum > 0)
    });
    let unit = unit.trim().parse().ok().filter(|unit| matches!(unit, 1 | 2 | 4 | 8 | 16 | 32));
    match (count, unit) {
        (Some(count), Some(unit)) if counts.is_some_and(|all| all.len() > 1) => {
            MetreField::Added(Metre::new(count, unit))
        }
        (Some(count), Some(unit)) => MetreField::Metre(Metre::new(count, unit)),
        _ => MetreField::Unknown,
    }
}

/// The unit length where no `L:` gives one: 1/16 in metres below 3/4.
pub(super) fn default_unit(metre: Option<Metre>) -> Time {
    match metre {
        Some(metre) if metre.bar().ratio() < Time::new(3, 4) => Time::new(1, 16),
        _ => Time::new(1, 8),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn multiples_of_the_unit() {
        for (text, numerator, denominator) in [
            ("", 1, 1),
            ("3", 3, 1),
            ("3/2", 3, 2),
            ("/", 1, 2),
            ("//", 1, 4),
            ("/4", 1, 4),
            ("3/", 3, 2),
        ] {
            assert_eq!(multiple(&mut Chars::of(text)), fraction(numerator, denominator), "{text}");
        }
        assert_eq!(multiple(&mut Chars::of("99999999999")), None);
        assert_eq!(multiple(&mut Chars::of("1/0")), None);
    }

    #[test]
    fn metres() {
        assert_eq!(metre("6/8"), MetreField::Metre(Metre::new(6, 8)));
        assert_eq!(metre("(2+3+2)/8"), MetreField::Added(Metre::new(7, 8)));
        assert_eq!(metre("none"), MetreField::Free);
        for bad in ["4/3", "x/4", "4", "300/4", "0/4"] {
            assert_eq!(metre(bad), MetreField::Unknown, "{bad}");
        }
    }
}

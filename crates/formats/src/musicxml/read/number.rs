//! Numbers as files write them.

use crate::time::Time;

/// A whole number, with or without a sign.
pub(super) fn whole(text: &str) -> Option<i64> {
    text.strip_prefix('+').unwrap_or(text).parse().ok()
}

/// A decimal number as an exact fraction: `1.5` is 3/2.
pub(super) fn decimal(text: &str) -> Option<Time> {
    let (negative, digits) = match text.strip_prefix('-') {
        Some(digits) => (true, digits),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let (integer, places) = digits.split_once('.').unwrap_or((digits, ""));
    if integer.is_empty() && places.is_empty() {
        return None;
    }
    let places = places.trim_end_matches('0');
    let all = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    if !all(integer) || !all(places) || integer.len() > 12 || places.len() > 5 {
        return None;
    }
    let scale = 10i64.pow(places.len() as u32);
    let integer: i64 = if integer.is_empty() { 0 } else { integer.parse().ok()? };
    let places: i64 = if places.is_empty() { 0 } else { places.parse().ok()? };
    let value = integer.checked_mul(scale)?.checked_add(places)?;
    Some(Time::new(if negative { -value } else { value }, scale))
}

/// The first whole number in a text: `c. 96` is 96.
pub(super) fn first_number(text: &str) -> Option<u32> {
    let start = text.find(|c: char| c.is_ascii_digit())?;
    let digits = &text[start..];
    let end = digits.find(|c: char| !c.is_ascii_digit()).unwrap_or(digits.len());
    digits[..end].parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fraction(numerator: i64, denominator: i64) -> Option<Time> {
        Some(Time::new(numerator, denominator))
    }

    #[test]
    fn decimals_are_exact() {
        assert_eq!(decimal("1.5"), fraction(3, 2));
        assert_eq!(decimal("-2.50"), fraction(-5, 2));
        assert_eq!(decimal(".25"), fraction(1, 4));
        assert_eq!(decimal("12"), fraction(12, 1));
        for bad in ["", ".", "-", "1e5", "1.2.3", "nan", "99999999999999999999"] {
            assert_eq!(decimal(bad), None, "{bad}");
        }
        assert_eq!(first_number("c. 96–100"), Some(96));
    }
}

//! The finger at home on a string (model §6).

use super::hand::{MIDDLE, RING, THUMB};

/// The thinnest of the thick strings, ④, as an index.
pub(super) const THICK: u8 = 3;

/// With so many thin strings to play the hand stays over them.
const STAYS: u32 = 2;

/// In a chord: p on ④ and thicker, i on ③, m on ②, a on ①.
pub(super) const fn in_a_chord(string: u8) -> u8 {
    match string {
        0 => RING,
        1 => MIDDLE,
        2 => 1,
        _ => THUMB,
    }
}

/// The thickest of some strings, if that is a thick one; as bits, the thinnest
/// lowest.
pub(super) fn thickest_thick(strings: u16) -> u16 {
    match strings.checked_ilog2() {
        Some(thickest) if thickest >= u32::from(THICK) => 1 << thickest,
        _ => 0,
    }
}

/// In a broken chord over some strings, of which the thumb has some, all as bits.
/// Strings thicker than the thumb's are not reached for yet.
pub(super) fn in_a_broken_chord(all: u16, thumb: u16, string: u8) -> u8 {
    if thumb & 1 << string != 0 {
        return THUMB;
    }
    let above = if thumb == 0 { all } else { all & ((1 << thumb.ilog2()) - 1) };
    let others = above & !thumb;
    let thin = others & ((1 << THICK) - 1);
    if thin == others || thin.count_ones() >= STAYS {
        return in_a_chord(string);
    }
    let thinner = (others & ((1 << string) - 1)).count_ones();
    let fingers = others.count_ones().min(3);
    u8::try_from(fingers.saturating_sub(thinner)).unwrap_or(THUMB)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fingers from the thickest string on, for strings named by their numbers.
    fn hand(strings: &[u8], bass: &[u8]) -> String {
        let bits = |numbers: &[u8]| numbers.iter().fold(0u16, |set, n| set | 1 << (n - 1));
        let thumb = if bass.is_empty() { thickest_thick(bits(strings)) } else { bits(bass) };
        let finger = |n: &u8| in_a_broken_chord(bits(strings), thumb, n - 1);
        strings.iter().map(|n| ["p", "i", "m", "a"][usize::from(finger(n))]).collect()
    }

    /// Common practice, no source.
    #[test]
    fn the_thumb_has_the_thickest_string_and_the_fingers_the_next() {
        assert_eq!(hand(&[5, 4, 3], &[]), "pim");
        assert_eq!(hand(&[5, 3, 2, 1], &[]), "pima");
        assert_eq!(hand(&[6, 2, 1], &[]), "pma");
        assert_eq!(hand(&[6, 5, 4, 3], &[]), "pima");
        assert_eq!(hand(&[5, 4, 3, 2], &[]), "ppim");
        assert_eq!(hand(&[6, 5, 4, 3, 2], &[]), "pppim");
        assert_eq!(hand(&[6, 4], &[]), "pi");
        assert_eq!(hand(&[3, 2, 1], &[]), "ima");
        assert_eq!(hand(&[6, 5, 3, 2], &[6, 5]), "ppim");
        assert_eq!(hand(&[3, 2, 1], &[3]), "pma");
        assert_eq!(hand(&[6, 5, 4, 3, 2, 1], &[]), "pppima");
    }
}

//! A note that its voice strikes again at once, in the same bar and in the same way, is told
//! the first time or not at all (common practice, no source: what is as just before needs no
//! digit, and a digit at the second would say that the first was something else).

use crate::sounds::{Sound, is_alone};

/// Gives the first of equal notes the digit that a later one needs, and takes it from that;
/// digits that are fixed stay, and those of chords.
pub(crate) fn told_first(sounds: &[Sound], fixed: &[bool], needed: &mut [bool]) {
    for later in (0..sounds.len()).rev() {
        let wants = needed[later] && !fixed[later] && is_alone(sounds, later);
        if let Some(earlier) = before(sounds, later).filter(|_| wants) {
            needed[later] = false;
            needed[earlier] = true;
        }
    }
}

/// What its voice struck last, if that is the same in the same bar.
fn before(sounds: &[Sound], at: usize) -> Option<usize> {
    let own = &sounds[at];
    let last = sounds[..at].iter().rposition(|other| other.voice == own.voice)?;
    let other = &sounds[last];
    let same = (other.bar, other.key, other.placement) == (own.bar, own.key, own.placement);
    (same && own.second.is_none() && other.second.is_none() && is_alone(sounds, last))
        .then_some(last)
}

#[cfg(test)]
mod tests {
    use crate::trial::{digits, trial};

    /// A 1 on ③ fret 2 in I is no finger of its fret.
    #[test]
    fn of_equal_notes_the_first_has_the_digit() {
        assert_eq!(digits("4 @1 3.2.1 3.2.1 3.2.1 1.0.0"), "1···");
        // In the next bar it is remembered.
        assert_eq!(digits("2 @1 3.2.1 3.2.1 | 3.2.1 1.0.0"), "1···");
    }

    /// D 3 and G 4 over one fret, the second D under the G.
    #[test]
    fn the_first_is_told_what_the_second_needs() {
        let needed = vec![false, true, false];
        let sounds = trial("4 @1 2.3.3 2.3.3 2.1.1").sounds();
        let mut told = needed.clone();
        super::told_first(&sounds, &[false; 3], &mut told);
        assert_eq!(told, [true, false, false]);
        // A dash or an arrival stays where it is; and a note between parts them.
        let mut told = needed;
        super::told_first(&sounds, &[false, true, false], &mut told);
        assert_eq!(told, [false, true, false]);
        let parted = trial("4 @1 2.3.3 2.1.1 2.3.3").sounds();
        let mut told = vec![false, false, true];
        super::told_first(&parted, &[false; 3], &mut told);
        assert_eq!(told, [false, false, true]);
    }
}

//! Chords broken by a right-hand pattern.

use apoyando_fingering::RightFinger;
use apoyando_hands::RightPattern;
use apoyando_music::{BarIndex, Chord, Duration};

use crate::bars::{Bars, Struck};
use crate::error::MethodError;
use crate::setting::Setting;

/// A pattern of the right hand in the metre of an exercise.
pub(crate) struct Breaking<'a> {
    given: Option<&'a [RightFinger]>,
    value: Duration,
    /// Onsets in a bar.
    onsets: usize,
}

impl<'a> Breaking<'a> {
    pub(crate) fn new(
        setting: &Setting<'_>,
        given: Option<&'a [RightFinger]>,
    ) -> Result<Self, MethodError> {
        if given.is_some_and(<[RightFinger]>::is_empty) {
            return Err(MethodError::EmptyPattern);
        }
        setting.check()?;
        let value = setting.value.duration();
        let share = setting.metre.bar().ratio() / value.ratio();
        let onsets = usize::try_from(share.to_integer()).ok().filter(|_| share.is_integer());
        match onsets {
            Some(onsets) if onsets > 0 => Ok(Self { given, value, onsets }),
            _ => Err(setting.value_error()),
        }
    }

    /// The fingers of one bar over a shape of so many strings. Where none are
    /// given: p i m a m i, p i m a or p i m, whichever fills the bar. Where a
    /// shape has fewer strings than the pattern has fingers, another finger
    /// plays in place of a.
    fn fingers(&self, strings: usize) -> Vec<RightFinger> {
        use RightFinger::{A, I, M, P};
        let pattern: &[RightFinger] = match self.given {
            Some(given) => given,
            None if self.onsets.is_multiple_of(6) => &[P, I, M, A, M, I],
            None if self.onsets.is_multiple_of(3) => &[P, I, M],
            None => &[P, I, M, A],
        };
        let pattern = if strings > 3 { pattern.to_vec() } else { without_ring(pattern) };
        pattern.into_iter().cycle().take(self.onsets).collect()
    }

    /// Breaks a chord over the next bar; gives the pattern played. `turn`
    /// counts the bars in which the chord is broken: the thumb takes the bass
    /// strings in turn, the lowest first.
    pub(crate) fn play(
        &self,
        bars: &mut Bars<'_>,
        (name, chord): (Chord, &[Struck]),
        turn: usize,
    ) -> Result<Option<RightPattern>, MethodError> {
        if chord.is_empty() {
            return Ok(None);
        }
        let fingers = self.fingers(chord.len());
        let strings: Vec<usize> =
            fingers.iter().map(|f| string_of(*f, &fingers, (chord.len(), turn))).collect();
        let strings = with_seventh(strings, &fingers, name, chord);
        let bar = BarIndex(bars.count() as u32);
        for string in strings {
            bars.play(&[chord[string]], self.value)?;
        }
        Ok(Some(RightPattern { bars: Some((bar, bar)), fingers: as_struck(fingers, chord) }))
    }
}

/// A pattern for three strings: where p i m a are all in it, i or m plays in
/// place of a, whichever does not play next to it, or p where both do.
fn without_ring(pattern: &[RightFinger]) -> Vec<RightFinger> {
    use RightFinger::{A, I, M, P};
    if !RightFinger::ALL.iter().all(|finger| pattern.contains(finger)) {
        return pattern.to_vec();
    }
    let mut fingers = pattern.to_vec();
    let count = fingers.len();
    for at in (0..count).filter(|at| pattern[*at] == A) {
        let beside = [fingers[(at + count - 1) % count], fingers[(at + 1) % count]];
        fingers[at] = [I, M].into_iter().find(|finger| !beside.contains(finger)).unwrap_or(P);
    }
    fingers
}

/// The fingers of a pattern on a shape: where all of it lies on ③ ② ①, i m a pluck it, and
/// the thumb has no bass to play, broken as struck (common practice, no source).
fn as_struck(fingers: Vec<RightFinger>, chord: &[Struck]) -> Vec<RightFinger> {
    use RightFinger::{A, I, M, P};
    let thin = chord.iter().all(|(_, hold)| hold.is_some_and(|hold| hold.string.index() < 3));
    if !thin || chord.len() != 3 || fingers.contains(&A) || !fingers.contains(&P) {
        return fingers;
    }
    let next = |finger| match finger {
        P => I,
        I => M,
        M | A => A,
    };
    fingers.into_iter().map(next).collect()
}

/// Which string of a shape each finger plays, counted from the thickest: i m a
/// have the three thinnest, and the thumb has the rest. In a shape of three the
/// thumb has the thickest, and the fingers of the pattern the other two.
fn string_of(
    finger: RightFinger,
    pattern: &[RightFinger],
    (strings, turn): (usize, usize),
) -> usize {
    let thinnest = strings.saturating_sub(1);
    let basses = strings.saturating_sub(3).max(1);
    let above = if strings > 3 {
        finger as usize
    } else {
        let lower = RightFinger::ALL[..finger as usize].iter();
        1 + lower.filter(|f| **f != RightFinger::P && pattern.contains(f)).count()
    };
    let wanted = match finger {
        RightFinger::P => turn % basses,
        _ => basses + above - 1,
    };
    wanted.min(thinnest)
}

/// The strings of a pattern, moved for a chord of the seventh that would be broken
/// without it: i m a together go as few strings as can be towards the thinner ones, or
/// else towards the thicker, until one of them has it. Common practice, no source: it
/// is the note that names the chord.
fn with_seventh(
    strings: Vec<usize>,
    fingers: &[RightFinger],
    name: Chord,
    chord: &[Struck],
) -> Vec<usize> {
    let Some(seventh) = name.notes().get(3).copied() else { return strings };
    let moved = |by: isize| -> Option<Vec<usize>> {
        let basses = || strings.iter().zip(fingers).filter(|(_, f)| **f == RightFinger::P);
        let bass = basses().map(|(string, _)| *string).max();
        strings
            .iter()
            .zip(fingers)
            .map(|(string, finger)| match finger {
                RightFinger::P => Some(*string),
                _ => string
                    .checked_add_signed(by)
                    .filter(|to| *to < chord.len() && bass.is_none_or(|bass| *to > bass)),
            })
            .collect()
    };
    let sounds = |strings: &Vec<usize>| strings.iter().any(|s| chord[*s].0.name() == seventh);
    let most = chord.len() as isize;
    let found = (0..most).flat_map(|by| [by, -by]).filter_map(moved).find(sounds);
    found.unwrap_or(strings)
}

#[cfg(test)]
mod tests {
    use super::*;

    use RightFinger::{A, I, M, P};

    #[test]
    fn fingers_have_their_strings() {
        let strings = |count, turn| {
            [P, I, M, A].map(|finger| string_of(finger, &[P, I, M, A], (count, turn)))
        };
        assert_eq!(strings(6, 0), [0, 3, 4, 5]);
        assert_eq!(strings(6, 1), [1, 3, 4, 5]);
        assert_eq!(strings(5, 2), [0, 2, 3, 4]);
        assert_eq!(strings(4, 3), [0, 1, 2, 3]);
        let of_three = |pattern: &[RightFinger]| -> Vec<usize> {
            pattern.iter().map(|finger| string_of(*finger, pattern, (3, 1))).collect()
        };
        assert_eq!(of_three(&[P, I, M]), [0, 1, 2]);
        assert_eq!(of_three(&[P, M, A]), [0, 1, 2]);
        assert_eq!(of_three(&[P, I, A, I]), [0, 1, 2, 1]);
    }

    /// Common practice, no source: on three strings p i m i is played for
    /// p i m a, and p i m i m i for p i m a m i.
    #[test]
    fn three_strings_are_broken_by_three_fingers() {
        let fitted = |pattern: &[RightFinger]| -> String {
            without_ring(pattern).iter().map(|finger| finger.letter()).collect()
        };
        assert_eq!(fitted(&[P, I, M, A]), "pimi");
        assert_eq!(fitted(&[P, I, M, A, M, I]), "pimimi");
        assert_eq!(fitted(&[P, A, M, I]), "pimi");
        assert_eq!(fitted(&[P, M, I, A]), "pmim");
        assert_eq!(fitted(&[P, I, A, M]), "pipm");
        assert_eq!(fitted(&[P, M, A]), "pma", "two fingers for two strings");
    }
}

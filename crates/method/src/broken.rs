//! Chords broken by a right-hand pattern.

use apoyando_fingering::RightFinger;
use apoyando_hands::RightPattern;
use apoyando_music::{BarIndex, Duration};

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
    /// given: p i m a m i, p i m a or p i m, whichever fills the bar; on three
    /// strings i or m in place of a.
    fn fingers(&self, strings: usize) -> Vec<RightFinger> {
        use RightFinger::{A, I, M, P};
        let pattern: &[RightFinger] = match self.given {
            Some(given) => given,
            None if self.onsets.is_multiple_of(6) && strings > 3 => &[P, I, M, A, M, I],
            None if self.onsets.is_multiple_of(6) => &[P, I, M, I, M, I],
            None if self.onsets.is_multiple_of(3) => &[P, I, M],
            None if strings > 3 => &[P, I, M, A],
            None => &[P, I, M, I],
        };
        pattern.iter().copied().cycle().take(self.onsets).collect()
    }

    /// Breaks a chord over the next bar; gives the pattern played. `turn`
    /// counts the bars in which the chord is broken: the thumb takes the bass
    /// strings in turn, the lowest first.
    pub(crate) fn play(
        &self,
        bars: &mut Bars<'_>,
        chord: &[Struck],
        turn: usize,
    ) -> Result<Option<RightPattern>, MethodError> {
        if chord.is_empty() {
            return Ok(None);
        }
        let fingers = self.fingers(chord.len());
        let bar = BarIndex(bars.count() as u32);
        for finger in &fingers {
            bars.play(&[chord[string_of(*finger, chord.len(), turn)]], self.value)?;
        }
        Ok(Some(RightPattern { bars: Some((bar, bar)), fingers }))
    }
}

/// Which string of a shape a finger plays, counted from the thickest: i m a
/// have the three thinnest, or the two above the bass in a shape of three; the
/// thumb has the rest.
fn string_of(finger: RightFinger, strings: usize, turn: usize) -> usize {
    let thinnest = strings.saturating_sub(1);
    let basses = strings.saturating_sub(3).max(1);
    let wanted = match finger {
        RightFinger::P => turn % basses,
        RightFinger::I => basses,
        RightFinger::M => basses + 1,
        RightFinger::A => basses + 2,
    };
    wanted.min(thinnest)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fingers_have_their_strings() {
        use RightFinger::{A, I, M, P};
        let strings = |count, turn| [P, I, M, A].map(|finger| string_of(finger, count, turn));
        assert_eq!(strings(6, 0), [0, 3, 4, 5]);
        assert_eq!(strings(6, 1), [1, 3, 4, 5]);
        assert_eq!(strings(5, 2), [0, 2, 3, 4]);
        assert_eq!(strings(4, 3), [0, 1, 2, 3]);
        assert_eq!(strings(3, 1), [0, 1, 2, 2]);
    }
}

//! Fingers bound by ornaments (P11).

use super::{Filling, Grips, MOST_WORK, TooMany};
use crate::hand::Played;

impl Grips<'_> {
    /// Binds fingers to the auxiliaries of the struck sounds from one on, or
    /// leaves a sound without its ornament (P11).
    pub(super) fn ornament(&mut self, f: &mut Filling<'_>, from: usize) -> Result<(), TooMany> {
        let rules = self.rules;
        let with = |index: &usize| {
            let struck = &rules.struck[*index];
            struck.plain && !struck.auxiliaries.is_empty() && f.played[*index] != Played::OUT
        };
        let Some(index) = (from..rules.struck.len()).find(with) else {
            self.lay_hand(f);
            return Ok(());
        };
        self.ornament(f, index + 1)?;
        self.bind(f, index, 0)
    }

    /// Binds fingers to the auxiliaries of a sound from one on.
    fn bind(&mut self, f: &mut Filling<'_>, index: usize, from: usize) -> Result<(), TooMany> {
        self.work += 1;
        if self.work > MOST_WORK {
            return Err(TooMany);
        }
        let main = f.played[index];
        let Some(semitones) = self.rules.struck[index].auxiliaries.get(from).copied() else {
            f.shape.ornamented += 1;
            self.ornament(f, index + 1)?;
            f.shape.ornamented -= 1;
            return Ok(());
        };
        let fret = i16::from(main.fret) + i16::from(semitones);
        let Ok(fret) = u8::try_from(fret) else { return Ok(()) };
        if fret > self.pricing.geometry.frets {
            return Ok(());
        }
        if fret == 0 {
            return self.bind(f, index, from + 1);
        }
        let string = usize::from(main.string);
        if f.stops_with_first() && fret == f.shape.fret[0] {
            let before = f.covered;
            f.covered |= 1 << string;
            self.bind(f, index, from + 1)?;
            f.covered = before;
        }
        for finger in 0..4 {
            let faults =
                (f.faults.0, f.faults.1 + u16::from(self.rules.fingers & (1 << finger) == 0));
            if f.shape.is_down(finger)
                || !f.worth(faults)
                || !self.finger_fits(&f.shape, finger, fret, string)
            {
                continue;
            }
            let before = (f.shape, f.faults);
            f.shape.down[finger] = 1 << string;
            f.shape.fret[finger] = fret;
            f.shape.bound |= 1 << finger;
            f.faults = faults;
            self.bind(f, index, from + 1)?;
            (f.shape, f.faults) = before;
        }
        Ok(())
    }
}

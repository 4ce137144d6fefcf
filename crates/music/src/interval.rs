//! Intervals as spelled distances: so many staff steps, so many semitones.

use std::fmt;
use std::str::FromStr;

use crate::pitch::{Alter, Pitch, Step};

/// The distance from one spelled pitch to another, upwards if positive.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Interval {
    /// Staff steps: 0 for a unison, 2 for a third.
    pub steps: i8,
    /// Semitones: 4 for a major third.
    pub semitones: i8,
}

/// Semitones of the perfect or major interval of each step count.
const NATURAL: [i32; 7] = [0, 2, 4, 5, 7, 9, 11];

impl Interval {
    /// An interval of `steps` staff steps and `semitones` semitones.
    pub const fn new(steps: i8, semitones: i8) -> Self {
        Self { steps, semitones }
    }

    /// From one pitch to another.
    pub const fn between(from: Pitch, to: Pitch) -> Self {
        Self {
            steps: (to.staff_step() - from.staff_step()) as i8,
            semitones: from.semitones_to(to) as i8,
        }
    }

    /// `pitch` moved by this interval; `None` if the spelling would need more
    /// than a triple accidental.
    pub fn above(self, pitch: Pitch) -> Option<Pitch> {
        let step = pitch.staff_step() + i32::from(self.steps);
        let letter = Step::from_index(step);
        let octave = i8::try_from(step.div_euclid(7)).ok()?;
        let natural = Pitch { step: letter, alter: Alter::NATURAL, octave };
        let wanted = i32::from(pitch.key_number().0) + i32::from(self.semitones);
        let alter = Alter::new(wanted - i32::from(natural.key_number().0))?;
        Some(Pitch { alter, ..natural })
    }

    /// The interval of so many semitones that moves a name by so many places
    /// on the line of fifths; `None` if there is none. A fifth up the line is
    /// four steps and seven semitones, less octaves.
    pub fn of_fifths(fifths: i32, semitones: i8) -> Option<Self> {
        let up = 7 * fifths - i32::from(semitones);
        let steps = (up % 12 == 0).then_some(4 * fifths - 7 * (up / 12))?;
        Some(Self::new(i8::try_from(steps).ok()?, semitones))
    }

    /// Places on the line of fifths by which it moves a name: 1 for a fifth,
    /// 2 for a major second, −1 for a fourth.
    pub const fn fifths(self) -> i32 {
        // The inverse of the above: twelve fifths are seven octaves.
        7 * self.semitones as i32 - 12 * self.steps as i32
    }

    /// The same interval in the other direction.
    pub const fn inverse(self) -> Self {
        Self { steps: -self.steps, semitones: -self.semitones }
    }

    /// Semitones by which it exceeds the perfect or major interval of its size.
    fn deviation(self) -> i32 {
        let steps = i32::from(self.steps.unsigned_abs());
        let sign = if self.steps < 0 || (self.steps == 0 && self.semitones < 0) { -1 } else { 1 };
        sign * i32::from(self.semitones) - NATURAL[(steps % 7) as usize] - 12 * (steps / 7)
    }
}

/// Perfect intervals are the unison, fourth, fifth and their octaves.
const fn is_perfect(steps: u8) -> bool {
    matches!(steps % 7, 0 | 3 | 4)
}

/// `P5`, `m3`, `A4`, `-M2`; repeated letters beyond single augmentation.
impl fmt::Display for Interval {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let steps = self.steps.unsigned_abs();
        if self.steps < 0 {
            f.write_str("-")?;
        }
        let deviation = self.deviation();
        let quality = match (is_perfect(steps), deviation) {
            (true, 0) => "P".to_owned(),
            (false, 0) => "M".to_owned(),
            (false, -1) => "m".to_owned(),
            (true, d) if d < 0 => "d".repeat(d.unsigned_abs() as usize),
            (false, d) if d < 0 => "d".repeat(d.unsigned_abs() as usize - 1),
            (_, d) => "A".repeat(d.unsigned_abs() as usize),
        };
        write!(f, "{quality}{}", steps + 1)
    }
}

/// A text that is not an interval.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("“{0}” is not an interval; write quality and number, as in m3, P5 or -M2")]
pub struct IntervalTextError(String);

impl FromStr for Interval {
    type Err = IntervalTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let error = || IntervalTextError(text.to_owned());
        let (body, down) = match text.strip_prefix('-') {
            Some(body) => (body, true),
            None => (text, false),
        };
        let digits = body.find(|c: char| c.is_ascii_digit()).ok_or_else(error)?;
        let (quality, number) = body.split_at(digits);
        let number: u8 = number.parse().map_err(|_| error())?;
        let steps = number.checked_sub(1).filter(|s| *s < 64).ok_or_else(error)?;
        let count = quality.len() as i32;
        let deviation = match (is_perfect(steps), quality.chars().next()) {
            _ if count == 0 || quality.chars().any(|c| !quality.starts_with(c)) => {
                return Err(error());
            }
            (true, Some('P')) | (false, Some('M')) if count == 1 => 0,
            (false, Some('m')) if count == 1 => -1,
            (_, Some('A')) => count,
            (true, Some('d')) => -count,
            (false, Some('d')) => -count - 1,
            _ => return Err(error()),
        };
        let semitones = NATURAL[usize::from(steps % 7)] + 12 * i32::from(steps / 7) + deviation;
        let up = Self::new(steps as i8, i8::try_from(semitones).map_err(|_| error())?);
        Ok(if down { up.inverse() } else { up })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_read_and_written_back() {
        for text in ["P1", "m2", "M3", "A4", "d5", "m7", "P8", "M10", "-P5", "dd7", "AA1"] {
            assert_eq!(text.parse::<Interval>().unwrap().to_string(), text);
        }
        for bad in ["", "P3", "m5", "M", "PP1", "Ad3", "P0"] {
            assert!(bad.parse::<Interval>().is_err(), "{bad}");
        }
    }

    /// Common practice, no source: the line runs C G D A E B F♯ upwards.
    #[test]
    fn intervals_lie_on_the_line_of_fifths() {
        for (text, fifths) in
            [("P1", 0), ("P5", 1), ("-P4", 1), ("M2", 2), ("m3", -3), ("A1", 7), ("-M9", -2)]
        {
            let interval: Interval = text.parse().unwrap();
            assert_eq!(interval.fifths(), fifths, "{text}");
            assert_eq!(Interval::of_fifths(fifths, interval.semitones), Some(interval));
        }
        assert_eq!(Interval::of_fifths(1, 1), None);
    }

    #[test]
    fn pitches_move_with_their_spelling() {
        for (from, by, to) in
            [("C4", "M3", "E4"), ("B3", "m2", "C4"), ("F#4", "A4", "B#4"), ("C4", "-m2", "B3")]
        {
            let from: Pitch = from.parse().unwrap();
            let to: Pitch = to.parse().unwrap();
            let by: Interval = by.parse().unwrap();
            assert_eq!(by.above(from), Some(to));
            assert_eq!(Interval::between(from, to), by);
        }
    }
}

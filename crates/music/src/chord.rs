//! Triads and seventh chords, spelled.

use std::fmt;
use std::str::FromStr;

use crate::interval::Interval;
use crate::pitch::{NoteName, Pitch};

/// What a chord is made of.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum ChordQuality {
    /// Major triad.
    Major,
    /// Minor triad.
    Minor,
    /// Diminished triad.
    Diminished,
    /// Augmented triad.
    Augmented,
    /// Major triad with a minor seventh.
    DominantSeventh,
    /// Major triad with a major seventh.
    MajorSeventh,
    /// Minor triad with a minor seventh.
    MinorSeventh,
    /// Diminished triad with a minor seventh.
    HalfDiminishedSeventh,
    /// Diminished triad with a diminished seventh.
    DiminishedSeventh,
    /// Minor triad with a major seventh.
    MinorMajorSeventh,
}

impl ChordQuality {
    /// All of them, triads first.
    pub const ALL: [Self; 10] = [
        Self::Major,
        Self::Minor,
        Self::Diminished,
        Self::Augmented,
        Self::DominantSeventh,
        Self::MajorSeventh,
        Self::MinorSeventh,
        Self::HalfDiminishedSeventh,
        Self::DiminishedSeventh,
        Self::MinorMajorSeventh,
    ];

    /// The intervals above the root, the root itself left out.
    pub const fn intervals(self) -> &'static [Interval] {
        const MAJOR_3: Interval = Interval::new(2, 4);
        const MINOR_3: Interval = Interval::new(2, 3);
        const PERFECT_5: Interval = Interval::new(4, 7);
        const DIMINISHED_5: Interval = Interval::new(4, 6);
        const AUGMENTED_5: Interval = Interval::new(4, 8);
        const MAJOR_7: Interval = Interval::new(6, 11);
        const MINOR_7: Interval = Interval::new(6, 10);
        const DIMINISHED_7: Interval = Interval::new(6, 9);
        match self {
            Self::Major => &[MAJOR_3, PERFECT_5],
            Self::Minor => &[MINOR_3, PERFECT_5],
            Self::Diminished => &[MINOR_3, DIMINISHED_5],
            Self::Augmented => &[MAJOR_3, AUGMENTED_5],
            Self::DominantSeventh => &[MAJOR_3, PERFECT_5, MINOR_7],
            Self::MajorSeventh => &[MAJOR_3, PERFECT_5, MAJOR_7],
            Self::MinorSeventh => &[MINOR_3, PERFECT_5, MINOR_7],
            Self::HalfDiminishedSeventh => &[MINOR_3, DIMINISHED_5, MINOR_7],
            Self::DiminishedSeventh => &[MINOR_3, DIMINISHED_5, DIMINISHED_7],
            Self::MinorMajorSeventh => &[MINOR_3, PERFECT_5, MAJOR_7],
        }
    }

    /// Whether the chord has a seventh.
    pub const fn is_seventh(self) -> bool {
        self.intervals().len() == 3
    }

    /// What follows the root in a chord's name.
    pub const fn suffix(self) -> &'static str {
        match self {
            Self::Major => "",
            Self::Minor => "m",
            Self::Diminished => "dim",
            Self::Augmented => "aug",
            Self::DominantSeventh => "7",
            Self::MajorSeventh => "maj7",
            Self::MinorSeventh => "m7",
            Self::HalfDiminishedSeventh => "m7♭5",
            Self::DiminishedSeventh => "dim7",
            Self::MinorMajorSeventh => "m(maj7)",
        }
    }
}

/// Which chord tone lies lowest: the root, third, fifth or seventh.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Inversion(u8);

impl Inversion {
    /// The root lies lowest.
    pub const ROOT: Self = Self(0);
    /// The third lies lowest.
    pub const FIRST: Self = Self(1);
    /// The fifth lies lowest.
    pub const SECOND: Self = Self(2);
    /// The seventh lies lowest.
    pub const THIRD: Self = Self(3);

    /// Root position (0) to third inversion (3).
    pub const fn new(inversion: u8) -> Option<Self> {
        if inversion <= 3 { Some(Self(inversion)) } else { None }
    }

    /// 0 for root position.
    pub const fn get(self) -> u8 {
        self.0
    }
}

impl fmt::Display for Inversion {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(
            ["root position", "first inversion", "second inversion", "third inversion"]
                [usize::from(self.0.min(3))],
        )
    }
}

/// A chord on a root; all its notes can be spelled.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Chord {
    root: NoteName,
    quality: ChordQuality,
}

impl Chord {
    /// A chord; `None` if one of its notes would need more than a triple
    /// accidental.
    pub fn new(root: NoteName, quality: ChordQuality) -> Option<Self> {
        let spelled = quality.intervals().iter().all(|i| i.above(root.in_octave(3)).is_some());
        spelled.then_some(Self { root, quality })
    }

    /// The note it is built on.
    pub const fn root(self) -> NoteName {
        self.root
    }

    /// What it is made of.
    pub const fn quality(self) -> ChordQuality {
        self.quality
    }

    /// Root, third, fifth and seventh if there is one.
    pub fn notes(self) -> Vec<NoteName> {
        let root = self.root.in_octave(3);
        std::iter::once(self.root)
            .chain(self.quality.intervals().iter().filter_map(|i| i.above(root)).map(Pitch::name))
            .collect()
    }

    /// The note that lies lowest in an inversion; `None` for the third
    /// inversion of a triad.
    pub fn bass(self, inversion: Inversion) -> Option<NoteName> {
        self.notes().get(usize::from(inversion.0)).copied()
    }

    /// The inversion in which a note lies lowest; `None` for a note that is
    /// not of the chord.
    pub fn inversion_over(self, bass: NoteName) -> Option<Inversion> {
        let index = self.notes().iter().position(|name| *name == bass)?;
        Inversion::new(index as u8)
    }

    /// The name of the chord tone that sounds a pitch class, 0 for C.
    pub fn note_of_class(self, pitch_class: i32) -> Option<NoteName> {
        self.notes().into_iter().find(|name| name.pitch_class() == pitch_class.rem_euclid(12))
    }

    /// The chord in close position, its lowest note the lowest that sounds at
    /// or above `from`; `None` for the third inversion of a triad.
    pub fn close_position(self, inversion: Inversion, from: Pitch) -> Option<Vec<Pitch>> {
        let notes = self.notes();
        let bass = *notes.get(usize::from(inversion.0))?;
        let mut lowest = bass.in_octave(from.octave.saturating_sub(1));
        while lowest.key_number() < from.key_number() {
            lowest = lowest.up_octaves(1);
        }
        let mut pitches = vec![lowest];
        for turn in 1..notes.len() {
            let name = notes[(usize::from(inversion.0) + turn) % notes.len()];
            let below = pitches[turn - 1];
            // The next letter of the chord above the one before.
            let mut next = name.in_octave(below.octave);
            while next.staff_step() <= below.staff_step() {
                next = next.up_octaves(1);
            }
            pitches.push(next);
        }
        Some(pitches)
    }

    /// The chord that these notes make up, as spelled, and its inversion; the
    /// first is the lowest, the others may come in any order and more than
    /// once.
    pub fn recognise(notes: &[NoteName]) -> Option<(Self, Inversion)> {
        let bass = *notes.first()?;
        notes.iter().find_map(|root| {
            ChordQuality::ALL.into_iter().find_map(|quality| {
                let chord = Self::new(*root, quality)?;
                let tones = chord.notes();
                let same = notes.iter().all(|name| tones.contains(name))
                    && tones.iter().all(|name| notes.contains(name));
                same.then_some((chord, chord.inversion_over(bass)?))
            })
        })
    }
}

/// `C`, `Am`, `B7`, `F♯m7♭5`.
impl fmt::Display for Chord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.root, self.quality.suffix())
    }
}

/// A text that is not a chord name.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error(
    "“{0}” is not a chord; write root and kind, as in C, Am, B7, Fmaj7, Dm7, Bdim, F#m7b5, Cdim7 or Caug"
)]
pub struct ChordTextError(String);

impl FromStr for Chord {
    type Err = ChordTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let error = || ChordTextError(text.to_owned());
        // The root is the longest beginning that is a note name.
        let ends = text.char_indices().map(|(index, c)| index + c.len_utf8()).take(4);
        let (end, root) = ends
            .filter_map(|end| Some((end, text[..end].parse::<NoteName>().ok()?)))
            .last()
            .ok_or_else(error)?;
        let suffix = text[end..].replace('b', "♭");
        let quality = ChordQuality::ALL.into_iter().find(|q| q.suffix() == suffix);
        quality.and_then(|quality| Self::new(root, quality)).ok_or_else(error)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(text: &str) -> Vec<NoteName> {
        text.split(' ').map(|name| name.parse().unwrap()).collect()
    }

    /// Common practice, no source.
    #[test]
    fn chords_are_spelled_in_thirds() {
        for (chord, notes) in [
            ("C", "C E G"),
            ("Am", "A C E"),
            ("Bdim", "B D F"),
            ("Caug", "C E G♯"),
            ("B7", "B D♯ F♯ A"),
            ("Fmaj7", "F A C E"),
            ("Dm7", "D F A C"),
            ("F#m7b5", "F♯ A C E"),
            ("G#dim7", "G♯ B D F"),
            ("Am(maj7)", "A C E G♯"),
            ("Cbm", "C♭ E♭♭ G♭"),
        ] {
            let chord: Chord = chord.parse().unwrap();
            assert_eq!(chord.notes(), names(notes), "{chord}");
            assert_eq!(chord.to_string().parse(), Ok(chord));
        }
        for bad in ["", "H", "Cm7b6", "C##b#", "7"] {
            assert!(bad.parse::<Chord>().is_err(), "{bad}");
        }
    }

    #[test]
    fn chords_are_recognised_in_every_inversion_and_order() {
        for root in ["C", "F#", "Bb", "E", "Ab"] {
            for quality in ChordQuality::ALL {
                let chord = Chord::new(root.parse().unwrap(), quality).unwrap();
                let notes = chord.notes();
                for (index, bass) in notes.iter().enumerate() {
                    let mut heard = vec![*bass];
                    heard.extend(notes.iter().rev());
                    let inversion = Inversion::new(index as u8).unwrap();
                    assert_eq!(Chord::recognise(&heard), Some((chord, inversion)));
                    assert_eq!(chord.bass(inversion), Some(*bass));
                }
            }
        }
        assert_eq!(Chord::recognise(&names("C E")), None);
        assert_eq!(Chord::recognise(&names("C D E")), None);
        assert_eq!(Chord::recognise(&[]), None);
    }

    #[test]
    fn close_position_stays_within_an_octave() {
        let from: Pitch = "C3".parse().unwrap();
        let shown = |chord: &str, inversion| -> String {
            let chord: Chord = chord.parse().unwrap();
            let pitches = chord.close_position(inversion, from).unwrap();
            pitches.iter().map(Pitch::to_string).collect::<Vec<_>>().join(" ")
        };
        assert_eq!(shown("C", Inversion::ROOT), "C3 E3 G3");
        assert_eq!(shown("C", Inversion::FIRST), "E3 G3 C4");
        assert_eq!(shown("G7", Inversion::THIRD), "F3 G3 B3 D4");
        assert_eq!(shown("Cb", Inversion::ROOT), "C♭4 E♭4 G♭4");
        let c: Chord = "C".parse().unwrap();
        assert_eq!(c.close_position(Inversion::THIRD, from), None);
    }
}

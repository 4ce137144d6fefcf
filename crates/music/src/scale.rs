//! Major and minor scales, spelled.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::key::{Key, Mode};
use crate::pitch::{Alter, NoteName, Pitch, Step};

/// The scales of a graded method.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ScaleKind {
    /// Major.
    Major,
    /// Minor as its signature says.
    NaturalMinor,
    /// Minor with a raised seventh.
    HarmonicMinor,
    /// Minor with raised sixth and seventh upwards, natural downwards.
    MelodicMinor,
}

impl ScaleKind {
    /// Major or minor.
    pub const fn mode(self) -> Mode {
        match self {
            Self::Major => Mode::Major,
            Self::NaturalMinor | Self::HarmonicMinor | Self::MelodicMinor => Mode::Minor,
        }
    }

    /// Whether a degree is raised against the signature.
    const fn raises(self, degree: ScaleDegree, direction: Direction) -> bool {
        match self {
            Self::Major | Self::NaturalMinor => false,
            Self::HarmonicMinor => degree.0 == 7,
            Self::MelodicMinor => matches!(direction, Direction::Up) && degree.0 >= 6,
        }
    }
}

impl fmt::Display for ScaleKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Major => "major",
            Self::NaturalMinor => "natural minor",
            Self::HarmonicMinor => "harmonic minor",
            Self::MelodicMinor => "melodic minor",
        })
    }
}

/// A text that is not a kind of scale.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error(
    "“{0}” is not a kind of scale; write major, natural minor, harmonic minor or melodic minor"
)]
pub struct ScaleKindTextError(String);

/// Reads the names with a space or a hyphen between the words.
impl FromStr for ScaleKind {
    type Err = ScaleKindTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        match text.trim().replace('-', " ").as_str() {
            "major" => Ok(Self::Major),
            "natural minor" => Ok(Self::NaturalMinor),
            "harmonic minor" => Ok(Self::HarmonicMinor),
            "melodic minor" => Ok(Self::MelodicMinor),
            _ => Err(ScaleKindTextError(text.to_owned())),
        }
    }
}

/// Which way a scale runs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Direction {
    /// From low to high.
    Up,
    /// From high to low.
    Down,
}

/// A degree of a scale, 1 to 7.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct ScaleDegree(u8);

impl ScaleDegree {
    /// The tonic.
    pub const TONIC: Self = Self(1);

    /// A degree from 1 to 7.
    pub const fn new(degree: u8) -> Option<Self> {
        if degree >= 1 && degree <= 7 { Some(Self(degree)) } else { None }
    }

    /// Its number, from 1.
    pub const fn get(self) -> u8 {
        self.0
    }

    /// From the tonic to the seventh.
    pub fn all() -> impl DoubleEndedIterator<Item = Self> {
        (1..=7).map(Self)
    }
}

/// A scale on a tonic.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Scale {
    key: Key,
    kind: ScaleKind,
}

impl Scale {
    /// The scale of this kind in a key; `None` if one is major and the other
    /// minor.
    pub fn new(key: Key, kind: ScaleKind) -> Option<Self> {
        (kind.mode() == key.mode()).then_some(Self { key, kind })
    }

    /// The scale that the signature of a key gives: major or natural minor.
    pub const fn of_key(key: Key) -> Self {
        let kind = match key.mode() {
            Mode::Major => ScaleKind::Major,
            Mode::Minor => ScaleKind::NaturalMinor,
        };
        Self { key, kind }
    }

    /// Its key.
    pub const fn key(self) -> Key {
        self.key
    }

    /// Its kind.
    pub const fn kind(self) -> ScaleKind {
        self.kind
    }

    /// The note on a degree.
    pub fn note(self, degree: ScaleDegree, direction: Direction) -> NoteName {
        let step = Step::from_index(self.key.tonic().step.index() + i32::from(degree.0) - 1);
        let by_signature = self.key.signature().alter(step).semitones();
        let raised = i32::from(self.kind.raises(degree, direction));
        // A signature alters by one semitone at most, so this never exceeds two.
        NoteName::new(step, Alter::new(by_signature + raised).unwrap_or_default())
    }

    /// The seven notes from the tonic up, as they are when the scale runs in
    /// this direction.
    pub fn notes(self, direction: Direction) -> [NoteName; 7] {
        std::array::from_fn(|index| self.note(ScaleDegree(index as u8 + 1), direction))
    }

    /// The degree of a note, as spelled.
    pub fn degree_of(self, name: NoteName, direction: Direction) -> Option<ScaleDegree> {
        ScaleDegree::all().find(|degree| self.note(*degree, direction) == name)
    }

    /// All pitches of the scale that sound from `low` to `high`, both
    /// included, in the order in which the scale runs.
    pub fn pitches(self, low: Pitch, high: Pitch, direction: Direction) -> Vec<Pitch> {
        let keys = low.key_number()..=high.key_number();
        let notes = self.notes(direction);
        // One octave on either side, because B♯ and C♭ sound across the octave line.
        let mut pitches: Vec<Pitch> = (low.octave.saturating_sub(1)
            ..=high.octave.saturating_add(1))
            .flat_map(|octave| notes.map(|name| name.in_octave(octave)))
            .filter(|pitch| keys.contains(&pitch.key_number()))
            .collect();
        pitches.sort();
        if direction == Direction::Down {
            pitches.reverse();
        }
        pitches
    }
}

/// `G major`, `E harmonic minor`.
impl fmt::Display for Scale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.key.tonic(), self.kind)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scale(key: &str, kind: ScaleKind) -> Scale {
        Scale::new(key.parse().unwrap(), kind).unwrap()
    }

    fn spelled(scale: Scale, direction: Direction) -> String {
        scale.notes(direction).map(|name| name.to_string()).join(" ")
    }

    /// Common practice, no source.
    #[test]
    fn scales_are_spelled_with_every_letter_once() {
        use Direction::{Down, Up};
        use ScaleKind::{HarmonicMinor, Major, MelodicMinor, NaturalMinor};
        for (key, kind, direction, notes) in [
            ("C major", Major, Up, "C D E F G A B"),
            ("D major", Major, Up, "D E F♯ G A B C♯"),
            ("Cb major", Major, Up, "C♭ D♭ E♭ F♭ G♭ A♭ B♭"),
            ("C# major", Major, Down, "C♯ D♯ E♯ F♯ G♯ A♯ B♯"),
            ("A minor", NaturalMinor, Up, "A B C D E F G"),
            ("A minor", HarmonicMinor, Down, "A B C D E F G♯"),
            ("A minor", MelodicMinor, Up, "A B C D E F♯ G♯"),
            ("A minor", MelodicMinor, Down, "A B C D E F G"),
            ("G# minor", HarmonicMinor, Up, "G♯ A♯ B C♯ D♯ E F♯♯"),
            ("Ab minor", MelodicMinor, Up, "A♭ B♭ C♭ D♭ E♭ F G"),
        ] {
            assert_eq!(spelled(scale(key, kind), direction), notes, "{key} {kind}");
        }
    }

    /// The definitions of the scales in whole and half tones. Common practice,
    /// no source.
    #[test]
    fn all_keys_have_the_steps_of_their_kind() {
        for key in Key::all() {
            for (kind, direction, steps) in [
                (ScaleKind::Major, Direction::Up, [2, 2, 1, 2, 2, 2, 1]),
                (ScaleKind::NaturalMinor, Direction::Up, [2, 1, 2, 2, 1, 2, 2]),
                (ScaleKind::HarmonicMinor, Direction::Up, [2, 1, 2, 2, 1, 3, 1]),
                (ScaleKind::MelodicMinor, Direction::Up, [2, 1, 2, 2, 2, 2, 1]),
                (ScaleKind::MelodicMinor, Direction::Down, [2, 1, 2, 2, 1, 2, 2]),
            ] {
                let Some(scale) = Scale::new(key, kind) else { continue };
                let low = key.tonic().in_octave(3);
                let mut pitches = scale.pitches(low, low.up_octaves(1), direction);
                pitches.sort();
                let found: Vec<i32> = pitches.windows(2).map(|w| w[0].semitones_to(w[1])).collect();
                assert_eq!(found, steps, "{scale}");
                let letters: Vec<i32> =
                    pitches.windows(2).map(|w| w[1].staff_step() - w[0].staff_step()).collect();
                assert_eq!(letters, [1; 7], "{scale}");
            }
        }
    }

    #[test]
    fn a_range_takes_in_both_its_ends() {
        let pitches = scale("C# major", ScaleKind::Major).pitches(
            "C4".parse().unwrap(),
            "F4".parse().unwrap(),
            Direction::Up,
        );
        let shown: Vec<String> = pitches.iter().map(Pitch::to_string).collect();
        assert_eq!(shown, ["B♯3", "C♯4", "D♯4", "E♯4"]);
        assert_eq!(
            scale("C major", ScaleKind::Major).degree_of("B".parse().unwrap(), Direction::Up),
            ScaleDegree::new(7)
        );
    }

    #[test]
    fn kinds_are_read_back() {
        for kind in [
            ScaleKind::Major,
            ScaleKind::NaturalMinor,
            ScaleKind::HarmonicMinor,
            ScaleKind::MelodicMinor,
        ] {
            assert_eq!(kind.to_string().parse(), Ok(kind));
        }
        assert!("minor".parse::<ScaleKind>().is_err());
        assert!(Scale::new("C major".parse().unwrap(), ScaleKind::HarmonicMinor).is_none());
    }
}

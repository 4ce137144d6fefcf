//! Items: what stands in a section, one after another.

use std::fmt;
use std::str::FromStr;

use apoyando_fingering::{Level, RightFinger, Stroke};
use apoyando_music::{Degree, NoteValue};

use super::Prose;
use super::breaks::Breaks;
use super::nudge::PlannedNudge;
use super::pins::{BarRange, PlannedPin};
use super::section::PositionChoice;
use super::seen::SeenRemark;
use crate::source::SourcePlace;

/// How much fingering is printed.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Density {
    /// A digit at every note.
    EveryNote,
    /// What a player could get wrong.
    #[default]
    WhereNeeded,
    /// Nothing.
    None,
}

/// Right-hand fingers in the order in which they play.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct RightPattern(pub Vec<RightFinger>);

/// Two fingers that take turns in a line.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Alternation {
    /// The finger that begins.
    pub first: RightFinger,
    /// The other one.
    pub second: RightFinger,
}

impl Alternation {
    /// i m, with which lines are begun.
    pub const INDEX_MIDDLE: Self = Self { first: RightFinger::I, second: RightFinger::M };
}

/// A text that is no row of right-hand fingers.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("“{read}” is not {wanted}")]
pub struct RightHandTextError {
    read: String,
    wanted: &'static str,
}

fn fingers(text: &str) -> Option<Vec<RightFinger>> {
    text.chars()
        .filter(|c| !c.is_whitespace() && *c != '-' && *c != ',')
        .map(RightFinger::from_letter)
        .collect()
}

impl FromStr for RightPattern {
    type Err = RightHandTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        fingers(text).filter(|fingers| !fingers.is_empty() && fingers.len() <= 64).map(Self).ok_or(
            RightHandTextError {
                read: text.to_owned(),
                wanted: "a right-hand pattern; write letters p i m a, as in “p i m a m i”",
            },
        )
    }
}

impl FromStr for Alternation {
    type Err = RightHandTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        match fingers(text).as_deref() {
            Some(&[first, second]) if first != second => Ok(Self { first, second }),
            _ => Err(RightHandTextError {
                read: text.to_owned(),
                wanted: "a pair of right-hand fingers; write two different letters, as in “i m”",
            }),
        }
    }
}

impl fmt::Display for RightPattern {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let letters: Vec<String> = self.0.iter().map(ToString::to_string).collect();
        f.write_str(&letters.join(" "))
    }
}

impl fmt::Display for Alternation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.first, self.second)
    }
}

/// What an item asks of the right hand.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct RightHand {
    /// The alternating pair of its lines.
    pub alternation: Alternation,
    /// How it is plucked; `None` is rest stroke on single lines and free
    /// stroke elsewhere.
    pub stroke: Option<Stroke>,
    /// A pattern that its onsets follow from the first one on.
    pub pattern: Option<RightPattern>,
    /// Patterns of some bars; they outrank the one above.
    pub bar_patterns: Vec<BarPattern>,
}

/// A right-hand pattern that some bars follow.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct BarPattern {
    /// Where it stands in the plan.
    pub place: SourcePlace,
    /// The bars.
    pub bars: BarRange,
    /// The fingers.
    pub pattern: RightPattern,
}

/// Which minor scale.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Minor {
    /// As the signature says.
    #[default]
    Natural,
    /// With the leading note.
    Harmonic,
    /// Sixth and seventh raised on the way up, natural on the way down.
    Melodic,
}

/// What every exercise has.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Exercise {
    /// The position, where it is not the section's.
    pub position: Option<PositionChoice>,
    /// Which minor scale it draws on, in a minor key.
    pub minor: Minor,
    /// The value of its notes.
    pub value: NoteValue,
}

/// A scale.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Scale {
    /// Common settings.
    pub exercise: Exercise,
    /// The octave of its lowest tonic *as written* in guitar music (C4 is the
    /// note under the staff); `None` takes the lowest one in the position.
    pub octave: Option<i8>,
}

/// A broken chord on the tonic.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Arpeggio {
    /// Common settings.
    pub exercise: Exercise,
}

/// Triads on three adjacent strings with their inversions.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Triads {
    /// Common settings.
    pub exercise: Exercise,
    /// The degree they stand on.
    pub degree: Degree,
}

/// Chords in degrees.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Progression {
    /// Common settings.
    pub exercise: Exercise,
    /// The degrees, in order.
    pub degrees: Vec<Degree>,
}

/// A part of a duet.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct DuetPart {
    /// Its player's name; may be empty.
    pub name: String,
    /// What may be asked of its player.
    pub level: Level,
}

/// A solo or duet from a file.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Piece {
    /// The file, as a name under `pieces/`.
    pub file: String,
    /// Where the file is named.
    pub place: SourcePlace,
    /// Which tune of a file of several, from 1.
    pub tune: u32,
    /// Composer, where the file does not say or says it otherwise.
    pub composer: Option<String>,
    /// The edition or manuscript it was taken from.
    pub source: Option<String>,
    /// Its rights.
    pub rights: Option<String>,
    /// Quarters a minute, where the file has no mark.
    pub tempo: Option<u16>,
}

/// What an item is.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum ItemKind {
    /// A scale of one octave.
    Scale(Scale),
    /// A scale through all notes of the position.
    PositionScale(Exercise),
    /// A broken chord on the tonic.
    Arpeggio(Arpeggio),
    /// Triads on three adjacent strings.
    Triads(Triads),
    /// Chords in degrees.
    Progression(Progression),
    /// A piece for one player.
    Solo(Piece),
    /// A piece for two players.
    Duet(Piece, [DuetPart; 2]),
    /// Prose.
    Text(Prose),
}

impl ItemKind {
    /// The word for it in the plan.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Scale(_) => "scale",
            Self::PositionScale(_) => "position-scale",
            Self::Arpeggio(_) => "arpeggio",
            Self::Triads(_) => "triads",
            Self::Progression(_) => "progression",
            Self::Solo(_) => "solo",
            Self::Duet(..) => "duet",
            Self::Text(_) => "text",
        }
    }
}

/// An item of a section.
#[derive(Clone, PartialEq, Debug)]
pub struct Item {
    /// Where it begins.
    pub place: SourcePlace,
    /// Its title, where the author gives one.
    pub title: Option<String>,
    /// What may be asked in it; never more than the section allows.
    pub level: Level,
    /// How much fingering is printed.
    pub density: Density,
    /// What it asks of the right hand.
    pub right: RightHand,
    /// What it is for, in a few words.
    pub aim: Option<String>,
    /// The tempo at which it is learned: beats a minute.
    pub goal: Option<u16>,
    /// Other right-hand patterns and pairs to play it with.
    pub also_with: Vec<RightPattern>,
    /// Advice printed with it.
    pub advice: Vec<String>,
    /// Whether what its fingering asks to be prepared is printed with it.
    pub prepare: bool,
    /// What the author has decided about its fingering.
    pub pins: Vec<PlannedPin>,
    /// What the author has decided about its lines and pages.
    pub breaks: Breaks,
    /// Signs that the author wants elsewhere.
    pub nudges: Vec<PlannedNudge>,
    /// Remarks that the author lets stand.
    pub seen: Vec<SeenRemark>,
    /// What it is.
    pub kind: ItemKind,
}

//! Why an exercise cannot be written.

use apoyando_fingering::{Allowance, Position, Remedy};
use apoyando_fretboard::Place;
use apoyando_music::degree::DegreeKeyError;
use apoyando_music::{Key, Pitch, ScaleKind, ScoreError};

use crate::words::or_allow;

/// What is wrong, where, and what can be done.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum MethodError {
    /// The key and the kind of scale do not go together.
    #[error("{key} has no {kind} scale; choose a scale of its own mode")]
    ScaleOfOtherMode {
        /// The key.
        key: Key,
        /// The scale asked for.
        kind: ScaleKind,
    },
    /// The position holds no octave from tonic to tonic.
    #[error("{key} has no tonic octave in {position}; {}", remedy(others))]
    NoTonicOctave {
        /// The key.
        key: Key,
        /// The position asked for.
        position: Position,
        /// Positions of the level that hold one.
        others: Vec<Position>,
    },
    /// The octave asked for does not lie in the position.
    #[error(
        "the octave from written {tonic} does not lie in {position}; {}",
        octave_remedy(octaves)
    )]
    OctaveElsewhere {
        /// The tonic asked for, as written in guitar music.
        tonic: Pitch,
        /// The position.
        position: Position,
        /// Lower tonics, as written, of the octaves that do lie there.
        octaves: Vec<Pitch>,
    },
    /// A note of the scale can only be reached by an extension that the level
    /// does not allow.
    #[error(
        "written {note} lies outside {position} (at {place}) and the level allows no extension; allow one of 1 fret{}",
        or_choose(others)
    )]
    NeedsExtension {
        /// The note, as written in guitar music.
        note: Pitch,
        /// The position.
        position: Position,
        /// Where it could be reached.
        place: Place,
        /// Positions of the level that need no extension.
        others: Vec<Position>,
    },
    /// The position is not one that the level allows, or not on the instrument.
    #[error("{position} is not a position of this level; {}", remedy(others))]
    PositionNotAllowed {
        /// The position.
        position: Position,
        /// Those that are allowed.
        others: Vec<Position>,
    },
    /// A degree cannot be spelled in the key.
    #[error(transparent)]
    Degree(#[from] DegreeKeyError),
    /// No shape of a chord can be held within the level.
    #[error(
        "{degree} ({chord}) has no shape that the level allows up to fret {highest_fret}; {}choose another chord",
        or_allow(.helps)
    )]
    NoShape {
        /// The degree.
        degree: String,
        /// The chord.
        chord: String,
        /// The highest fret tried.
        highest_fret: u8,
        /// What would let it have one, each by itself.
        helps: Vec<Allowance>,
    },
    /// Nothing to write.
    #[error("the progression has no chords; name degrees, as in I IV V7 I")]
    NoDegrees,
    /// Triads were asked of a seventh chord.
    #[error("{degree} is a seventh chord; triads are written of a chord of three notes, such as I")]
    NotATriad {
        /// The degree.
        degree: String,
    },
    /// No triad that the level allows lies in the position.
    #[error(
        "no triad of {degree} on three adjacent strings lies in {position} as the level stands; allow finger 4, an extension or a small barre, or choose another position"
    )]
    NoTriad {
        /// The degree.
        degree: String,
        /// The position.
        position: Position,
    },
    /// A value that does not go into the metre.
    #[error(
        "{value} do not fill a bar of {count}/{unit}; choose a metre and a value that goes into its bars"
    )]
    ValueInMetre {
        /// The notes, by their value.
        value: String,
        /// Upper figure of the metre.
        count: u8,
        /// Lower figure of the metre.
        unit: u8,
    },
    /// The pattern of the right hand is empty.
    #[error("the right-hand pattern is empty; write letters p i m a")]
    EmptyPattern,
    /// A fingering that was made for another score, part or revision.
    #[error("the fingering is not one of this score; finger the score again")]
    OtherScore,
    /// What was written is no score. A fault of the writer, not of the author.
    #[error("the exercise could not be put into bars: {0}")]
    Score(#[from] ScoreError),
}

impl MethodError {
    /// What can be done about it by the program.
    #[must_use]
    pub fn remedies(&self) -> Vec<Remedy> {
        let choose = |others: &[Position]| match others {
            [] => Vec::new(),
            others => vec![Remedy::InPosition(others.to_vec())],
        };
        match self {
            Self::NoTonicOctave { others, .. } | Self::PositionNotAllowed { others, .. } => {
                choose(others)
            }
            Self::NeedsExtension { others, .. } => {
                let mut remedies = vec![Remedy::Allow(Allowance::Extension(1))];
                remedies.extend(choose(others));
                remedies
            }
            Self::NoShape { helps, .. } => helps.iter().copied().map(Remedy::Allow).collect(),
            _ => Vec::new(),
        }
    }
}

fn remedy(positions: &[Position]) -> String {
    if positions.is_empty() {
        return "no position of this level serves; widen the level".to_owned();
    }
    let named: Vec<String> = positions.iter().map(ToString::to_string).collect();
    format!("choose {}", crate::words::either(&named))
}

fn or_choose(positions: &[Position]) -> String {
    if positions.is_empty() { String::new() } else { format!(", or {}", remedy(positions)) }
}

fn octave_remedy(octaves: &[Pitch]) -> String {
    if octaves.is_empty() {
        return "it holds no tonic octave at all; choose another position".to_owned();
    }
    let named: Vec<String> = octaves.iter().map(ToString::to_string).collect();
    format!("begin on written {}", crate::words::either(&named))
}

//! Remedies: what the program can do about a finding when its author says so.

use apoyando_fretboard::Fret;
use apoyando_music::{BarIndex, NoteId, ToneId};

use crate::hand::{LeftFinger, Position};
use crate::level::{BarreLimit, Level};
use crate::pins::Pin;

/// A place in the file of the plan that a finding names.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct PlanSpot {
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

/// What may be asked of a player beyond the level.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Allowance {
    /// Barres up to this width.
    Barre(BarreLimit),
    /// Frets up to this one.
    HighestFret(Fret),
    /// The hand in this position, too.
    Position(Position),
    /// This finger, too; `None` is the open string.
    Finger(Option<LeftFinger>),
    /// A finger so many frets away from its own.
    Extension(u8),
    /// Another finger that takes over a note while it sounds.
    Substitution,
}

impl Allowance {
    /// A level with this allowed, too.
    #[must_use]
    pub fn beside(self, level: &Level) -> Level {
        let mut wider = level.clone();
        match self {
            Self::Barre(limit) => wider.barre = wider.barre.max(limit),
            Self::HighestFret(fret) => wider.highest_fret = wider.highest_fret.max(fret),
            Self::Position(position) => wider.positions = wider.positions.with(position),
            Self::Finger(finger) => wider.fingers = wider.fingers.with(finger),
            Self::Extension(frets) => wider.extension = wider.extension.max(frets),
            Self::Substitution => wider.substitution = true,
        }
        wider
    }
}

/// One thing that can be done. What it is called, and which text of the plan it changes, is
/// for whoever offers it.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum Remedy {
    /// Allow more than the level does, in this item alone.
    Allow(Allowance),
    /// Take back a decision of the author.
    Release(Pin),
    /// Decide about the like tones as about this one.
    PinLike {
        /// The tone that something was decided about.
        tone: ToneId,
        /// Those that are like it.
        likes: Vec<ToneId>,
    },
    /// Let a decision about a note hold in all like bars of the book.
    LikeBars,
    /// Take out what stands at this place of the plan.
    TakeOut(PlanSpot),
    /// Let what stands at this place of the plan be about this note.
    MeansNote(PlanSpot, NoteId),
    /// Let what stands at this place of the plan be about these bars.
    MeansBars(PlanSpot, BarIndex, BarIndex),
    /// Name another file of a folder at this place of the plan.
    ChooseFile(PlanSpot, &'static str),
    /// Write an exercise in another position: one of these.
    InPosition(Vec<Position>),
    /// Make a piece one of another kind, as the plan calls it.
    OfKind(&'static str),
    /// Print fingering at every note.
    EveryNote,
    /// Print this sentence for the student.
    Advise(String),
}

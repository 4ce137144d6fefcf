//! What a piece of music asks a player to know: keys, positions, notes, rhythms,
//! movements of both hands, signs. What a section asks and none before it did is
//! what is *new here*. The stroke, which no page prints, is not told.

mod news;
mod reading;
mod said;

use std::collections::BTreeSet;

use apoyando_fingering::{LeftFinger, Position, RightFinger};
use apoyando_fretboard::{Fret, StringNumber};
use apoyando_music::{Base, KeyNumber};

pub use news::{News, news};
pub use reading::subjects;
pub use said::Theme;

/// One thing to know.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Subject {
    /// A key signature, as sharps or, below 0, flats.
    Signature(i32),
    /// A position of the left hand.
    Position(Position),
    /// A note in a place, by the key it sounds; written an octave higher.
    Note {
        /// What it sounds.
        key: KeyNumber,
        /// Its written name.
        name: String,
        /// Its string.
        string: StringNumber,
        /// Its fret.
        fret: Fret,
    },
    /// A metre.
    Metre(u8, u8),
    /// A note value with so many dots.
    Value(Base, u8),
    /// So many notes in the time of so many.
    Tuplet(u8, u8),
    /// Notes tied over.
    Ties,
    /// So many voices at once.
    Voices(usize),
    /// A finger of the left hand.
    Finger(LeftFinger),
    /// A barre over so many strings.
    Barre(u8),
    /// The hand moves to another position within the music.
    Shifts,
    /// A movement of either hand.
    Movement(Movement),
    /// So many notes struck together.
    Together(usize),
    /// A finger of the right hand.
    Plucking(RightFinger),
    /// A sign to read.
    Sign(Sign),
}

/// What a hand does besides stopping and plucking.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[allow(missing_docs)]
pub enum Movement {
    Slurs,
    GraceNotes,
    Trills,
    Mordents,
    Turns,
    Glissandi,
    NaturalHarmonics,
    ArtificialHarmonics,
    SpreadChords,
    Strums,
    Vibrato,
    LettingRing,
    Substitution,
}

/// A sign of the page; those of fingering are told by what is printed of it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[allow(missing_docs)]
pub enum Sign {
    Pickups,
    Repeats,
    Endings,
    DaCapo,
    DalSegno,
    Coda,
    Staccato,
    Tenuto,
    Accents,
    Fermatas,
    BreathMarks,
    Caesuras,
    Dynamics,
    Hairpins,
    CircledStrings,
    GuideDashes,
    PreparedFingers,
    HoldLines,
}

/// All that is asked.
pub type Subjects = BTreeSet<Subject>;

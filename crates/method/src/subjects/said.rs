//! Subjects in words.

use apoyando_fingering::RightFinger;
use apoyando_music::Base;

use super::{Movement, Sign, Subject};
use crate::words::count;

/// A theme that subjects are listed under.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Theme {
    /// Key signatures.
    Signature,
    /// Positions.
    Position,
    /// Notes in their places.
    Notes,
    /// Metres, values, tuplets, ties, voices.
    Rhythm,
    /// What the left hand does.
    LeftHand,
    /// What the right hand does.
    RightHand,
    /// Signs to read.
    Signs,
}

impl Theme {
    pub(super) const ALL: [Self; 7] = [
        Self::Signature,
        Self::Position,
        Self::Notes,
        Self::Rhythm,
        Self::LeftHand,
        Self::RightHand,
        Self::Signs,
    ];

    /// The theme of one hand, told of the other; all else as it is.
    #[must_use]
    pub const fn of_the_other_hand(self) -> Self {
        match self {
            Self::LeftHand => Self::RightHand,
            Self::RightHand => Self::LeftHand,
            theme => theme,
        }
    }

    /// How it is headed: *Rhythm*.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Signature => "Key signature",
            Self::Position => "Position",
            Self::Notes => "Notes",
            Self::Rhythm => "Rhythm",
            Self::LeftHand => "Left hand",
            Self::RightHand => "Right hand",
            Self::Signs => "Signs",
        }
    }
}

impl Subject {
    pub(super) const fn theme(&self) -> Theme {
        match self {
            Self::Signature(_) => Theme::Signature,
            Self::Position(_) => Theme::Position,
            Self::Note { .. } => Theme::Notes,
            Self::Metre(..) | Self::Value(..) | Self::Tuplet(..) | Self::Ties => Theme::Rhythm,
            Self::Finger(_) | Self::Barre(_) | Self::Shifts | Self::Movement(_) => Theme::LeftHand,
            Self::Together(_) | Self::Plucking(_) => Theme::RightHand,
            Self::Sign(_) | Self::Voices(_) => Theme::Signs,
        }
    }

    /// A few words for it.
    #[must_use]
    pub fn said(&self) -> String {
        match self {
            Self::Signature(0) => "no sharps or flats".to_owned(),
            Self::Signature(fifths) => {
                let kind = if *fifths > 0 { "sharp" } else { "flat" };
                let many = fifths.unsigned_abs() as usize;
                format!("{} {kind}{}", count(many), if many == 1 { "" } else { "s" })
            }
            Self::Position(position) => position.to_string(),
            Self::Note { name, string, .. } => format!("{name} on\u{a0}{string}"),
            Self::Metre(beats, unit) => format!("{beats}/{unit} time"),
            Self::Value(base, dots) => {
                let dotted = ["", "dotted ", "double-dotted ", "triple-dotted "];
                format!("{}{}", dotted[usize::from(*dots).min(3)], value(*base))
            }
            Self::Tuplet(3, 2) => "triplets".to_owned(),
            Self::Tuplet(actual, normal) => format!("{actual} notes in the time of {normal}"),
            Self::Ties => "ties".to_owned(),
            Self::Voices(voices) => format!("{} voices", count(*voices)),
            Self::Finger(finger) => format!("finger {finger}"),
            Self::Barre(strings) => format!("barre over {} strings", count(usize::from(*strings))),
            Self::Shifts => "shifts of position".to_owned(),
            Self::Movement(movement) => movement.said().to_owned(),
            Self::Together(notes) => format!("{} notes together", count(*notes)),
            Self::Plucking(finger) => format!("{finger} ({})", named(*finger)),
            Self::Sign(sign) => sign.said().to_owned(),
        }
    }
}

const fn value(base: Base) -> &'static str {
    match base {
        Base::Breve => "double whole notes",
        Base::Whole => "whole notes",
        Base::Half => "half notes",
        Base::Quarter => "quarter notes",
        Base::Eighth => "eighth notes",
        Base::N16 => "sixteenth notes",
        Base::N32 => "thirty-second notes",
        Base::N64 => "sixty-fourth notes",
        Base::N128 => "hundred-and-twenty-eighth notes",
    }
}

const fn named(finger: RightFinger) -> &'static str {
    match finger {
        RightFinger::P => "thumb",
        RightFinger::I => "index",
        RightFinger::M => "middle",
        RightFinger::A => "ring finger",
    }
}

impl Movement {
    const fn said(self) -> &'static str {
        match self {
            Self::Slurs => "slurs",
            Self::GraceNotes => "grace notes",
            Self::Trills => "trills",
            Self::Mordents => "mordents",
            Self::Turns => "turns",
            Self::Glissandi => "glissandi",
            Self::NaturalHarmonics => "natural harmonics",
            Self::ArtificialHarmonics => "artificial harmonics",
            Self::SpreadChords => "spread chords",
            Self::Strums => "strummed chords",
            Self::Vibrato => "vibrato",
            Self::LettingRing => "letting notes ring",
            Self::Substitution => "finger substitution",
        }
    }
}

impl Sign {
    const fn said(self) -> &'static str {
        match self {
            Self::Pickups => "pickups",
            Self::Repeats => "repeats",
            Self::Endings => "first and second endings",
            Self::DaCapo => "da capo",
            Self::DalSegno => "dal segno",
            Self::Coda => "coda",
            Self::Staccato => "staccato",
            Self::Tenuto => "tenuto",
            Self::Accents => "accents",
            Self::Fermatas => "fermatas",
            Self::BreathMarks => "breath marks",
            Self::Caesuras => "caesuras",
            Self::Dynamics => "dynamics",
            Self::Hairpins => "hairpins",
            Self::CircledStrings => "circled string numbers",
            Self::GuideDashes => "dashes of fingers that slide",
            Self::PreparedFingers => "fingers in parentheses, put down beforehand",
            Self::HoldLines => "lines of fingers that stay down",
        }
    }
}
